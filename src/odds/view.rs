//! The floors of a posterior as one reader sees them: by the answers alone, or by the readings
//! as well.

use super::evidence::{Scale, Sign, signs_log};
use super::forecast::{Sampled, sample};
use super::pareto::smooth;
use super::posterior::{Basis, Posterior};
use super::quantiles::weighted_quantiles;

/// The floors of a posterior, weighed by one basis.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// The floors and both of their weights.
    pub posterior: &'a Posterior,
    /// Which of the weights count.
    pub basis: Basis,
}

impl Posterior {
    /// The floors weighed by a basis.
    pub fn by(&self, basis: Basis) -> View<'_> {
        View {
            posterior: self,
            basis,
        }
    }
}

impl<'a> View<'a> {
    /// Weights of the draws; they sum to one.
    pub fn weights(&self) -> &'a [f64] {
        match self.basis {
            Basis::Answers => &self.posterior.before.weights,
            Basis::Readings => &self.posterior.after.weights,
        }
    }

    /// The scale of the reported meter on one draw.
    pub fn scale(&self, draw: usize) -> Scale {
        match self.basis {
            Basis::Answers => self.posterior.scale_before,
            Basis::Readings => self.posterior.scales[draw],
        }
    }

    /// What each draw counts for in the whole, or in the chance to go over where that is more: 1
    /// in the mean.
    pub(super) fn counts(&self) -> Vec<f64> {
        let draws = self.weights().len() as f64;
        let parts: Vec<f64> = self
            .weights()
            .iter()
            .enumerate()
            .map(|(draw, weight)| weight * self.posterior.over_next_year(draw, self.scale(draw)))
            .collect();
        let chance = parts.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        let count = |(weight, part): (&f64, &f64)| weight.max(part / chance) * draws;
        self.weights().iter().zip(&parts).map(count).collect()
    }

    /// Mean of a value of the draws.
    pub fn mean(&self, value: impl Fn(usize) -> f64) -> f64 {
        self.weights()
            .iter()
            .enumerate()
            .filter(|(_, weight)| **weight > 0.0)
            .map(|(draw, weight)| weight * value(draw))
            .sum()
    }

    /// Chance (0 to 1) that the next year's highest reading is over a limit.
    pub fn exceedance(&self) -> f64 {
        match self.basis {
            Basis::Answers => self.posterior.exceedance_before(),
            Basis::Readings => self.posterior.exceedance(),
        }
    }

    /// Quantiles at `chances` of what the meter would show, %: `dry_percent` is the water of a
    /// draw by weight, %.
    pub fn reading_quantiles(
        &self,
        dry_percent: impl Fn(usize) -> f64,
        chances: [f64; 3],
    ) -> [f64; 3] {
        self.posterior.reading_quantiles(
            self.weights(),
            |draw| self.scale(draw),
            dry_percent,
            chances,
        )
    }

    /// Median of a value of the draws.
    pub fn median(&self, value: impl Fn(usize) -> f64) -> f64 {
        let mut all: Vec<(f64, f64)> = self
            .weights()
            .iter()
            .enumerate()
            .map(|(draw, weight)| (value(draw), *weight))
            .collect();
        let [middle] = weighted_quantiles(&mut all, [0.5]);
        middle
    }

    /// So many floors of equal weight, picked evenly.
    pub fn sample(&self, floors: usize) -> Vec<Sampled> {
        sample(self.posterior, self.weights(), floors)
    }

    /// Chance (0 to 1) to go over in the next year without what one answer says as a sign.
    pub fn exceedance_without(&self, question: &str) -> f64 {
        let posterior = self.posterior;
        let rest: Vec<Sign> = posterior
            .signs
            .iter()
            .filter(|it| it.question != question)
            .cloned()
            .collect();
        let logs: Vec<f64> = posterior
            .outcomes
            .iter()
            .zip(self.weights())
            .map(|(outcome, weight)| {
                libm::log(weight.max(1.0e-300)) - signs_log(&posterior.signs, outcome)
                    + signs_log(&rest, outcome)
            })
            .collect();
        smooth(&logs)
            .weights
            .iter()
            .enumerate()
            .filter(|(_, weight)| **weight > 0.0)
            .map(|(draw, weight)| weight * posterior.over_next_year(draw, self.scale(draw)))
            .sum()
    }
}
