//! What one more reading with the same meter is worth, month by month.

use crate::odds::evidence::meter_sd;
use crate::odds::forecast::sample;
use crate::odds::posterior::Posterior;
use crate::odds::priors::normal_score;

/// What a second reading is worth.
///
/// A Brier score is the squared distance of a chance from what comes, 0 at best; here it is the
/// one that the model expects of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct SecondReading {
    /// Expected Brier score of the chance as it stands, 0 to 0.25.
    pub score_now: f64,
    /// The same after one more reading in a calendar month, January first.
    pub score_after: [f64; 12],
    /// Calendar month (1 to 12) in which it tells most.
    pub best_month: u32,
    /// Calendar month (1 to 12) in which it tells least.
    pub worst_month: u32,
}

impl SecondReading {
    /// Share (0 to 1) of what is open that a reading in a calendar month (1 to 12) settles.
    pub fn settles(&self, month: u32) -> f64 {
        if self.score_now <= 0.0 {
            return 0.0;
        }
        1.0 - self.score_after[month as usize - 1] / self.score_now
    }
}

/// Truths that are imagined for each month, picked evenly along the weights.
const IMAGINED: usize = 48;

/// Tells what one more reading of one spot in each month of the next year is worth.
pub fn second_reading(posterior: &Posterior) -> SecondReading {
    let over = posterior.over_after();
    let chance = posterior.exceedance();
    let score_now = chance * (1.0 - chance);
    let noise = meter_sd(1.0);
    let weights = &posterior.after.weights;
    // What hardly counts is left out of every sum.
    let counts: Vec<usize> = (0..weights.len())
        .filter(|draw| weights[*draw] > 1.0e-7)
        .collect();
    let sampled = sample(posterior, weights, IMAGINED);
    let score_after = std::array::from_fn(|month| {
        let shown = |draw: usize| {
            let dry = posterior.outcomes[draw].next_year[month].meter_fraction;
            100.0 * posterior.scales[draw].mean * dry
        };
        let values: Vec<f64> = counts.iter().map(|draw| shown(*draw)).collect();
        let settled = sampled.iter().fold(0.0, |sum, it| {
            let read = shown(it.draw) + noise * normal_score(it.spread.clamp(0.01, 0.99));
            let (mut all, mut bad) = (0.0, 0.0);
            for (draw, value) in counts.iter().zip(&values) {
                let off = (read - value) / noise;
                let weight = weights[*draw] * libm::exp(-0.5 * off * off);
                all += weight;
                bad += weight * over[*draw];
            }
            let moved = if all > 0.0 { bad / all - chance } else { 0.0 };
            sum + moved * moved / IMAGINED as f64
        });
        (score_now - settled).max(0.0)
    });
    let month_of = |is_better: fn(f64, f64) -> bool| {
        let mut best = 0;
        for month in 1..12 {
            if is_better(score_after[month], score_after[best]) {
                best = month;
            }
        }
        best as u32 + 1
    };
    SecondReading {
        score_now,
        score_after,
        best_month: month_of(|a, b| a < b),
        worst_month: month_of(|a, b| a > b),
    }
}
