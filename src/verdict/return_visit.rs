//! What one more reading is worth, for each month in which it could be taken.

use super::GradeTable;
use crate::odds::evidence::{Scale, meter_sd};
use crate::odds::posterior::Posterior;
use crate::odds::view::View;

/// One more reading with the same meter in one calendar month of the next year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReturnMonth {
    /// 1 to 12.
    pub month: u32,
    /// Share (0 to 1) of floors like this one whose chance then lies under `low` or from `high`
    /// on.
    pub settles: f64,
    /// Brier score that is expected of the chance after the reading; 0 is best.
    pub brier: f64,
    /// The chance after the reading, as means of twentieths of what may be read, lowest first.
    pub chances: [f64; TWENTIETHS],
}

/// Parts in which the chances after a reading are told.
pub const TWENTIETHS: usize = 20;

/// What is known before any return visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReturnVisit {
    /// Chance that the year's wettest reading is over a limit.
    pub chance: f64,
    /// Brier score that is expected of this chance.
    pub brier: f64,
    /// What a reading in each calendar month is worth, January first.
    pub months: [ReturnMonth; 12],
}

impl ReturnVisit {
    /// The month in which a reading tells most.
    pub fn best(&self) -> &ReturnMonth {
        let months = self.months.iter();
        months
            .min_by(|a, b| a.brier.total_cmp(&b.brier))
            .expect("twelve months")
    }

    /// The month in which it tells least.
    pub fn worst(&self) -> &ReturnMonth {
        let months = self.months.iter().rev();
        months
            .max_by(|a, b| a.brier.total_cmp(&b.brier))
            .expect("twelve months")
    }

    /// The month (1 to 12) to read the floor again: the wettest one, unless another tells
    /// clearly more.
    pub fn month_to_go(&self, wettest: u32) -> u32 {
        let named = &self.months[wettest as usize - 1];
        let table = GradeTable::bundled();
        let margin = table.return_month_margin * self.brier;
        let best = self.best();
        if self.brier >= table.return_least_open && named.brier - best.brier > margin {
            best.month
        } else {
            wettest
        }
    }
}

/// What a return visit to a floor is worth, for as many spots as a visit should read.
pub fn worth_of_return(view: View) -> ReturnVisit {
    let table = GradeTable::bundled();
    let settled = Settled {
        low: table.settled_low,
        high: table.settled_high,
    };
    let scale_of = |draw: usize| view.scale(draw);
    return_visit(
        view.posterior,
        view.weights(),
        scale_of,
        settled,
        table.return_spots,
    )
}

/// From when on a floor counts as settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Chance (0 to 1) under which it is dry enough.
    pub low: f64,
    /// Chance from which it is wet.
    pub high: f64,
}

impl Settled {
    /// Whether a chance settles it.
    pub fn is(self, chance: f64) -> bool {
        chance < self.low || chance >= self.high
    }
}

/// Bins of a standard deviation of the reading's noise.
const BINS_A_SD: f64 = 4.0;
/// Noise is followed so many standard deviations out.
const REACH_SD: f64 = 4.0;

/// What a reading of `spots` spots is expected to do in each month, with the chances after the
/// readings; of a held reading, with those by the answers alone.
///
/// # Formula
///
/// Versions of the floor with weight `w`, reading `r` in the month and `o` = 1 where their
/// wettest month is over. After a reading `y` the chance is
/// `p(y) = sum w o N(y; r, s) / sum w N(y; r, s)`; the expected Brier score is the integral of
/// `p (1 - p)` over the density of `y`. The meter's scale is a part of each version, so that
/// the reading tells of it too.
///
/// # Source
///
/// raiffa-schlaifer-1961, preposterior analysis; brier-1950 for the score.
pub fn return_visit(
    posterior: &Posterior,
    weights: &[f64],
    scale_of: impl Fn(usize) -> Scale,
    settled: Settled,
    spots: f64,
) -> ReturnVisit {
    // The middles of fifths of a normal, widened so that they keep its variance.
    const POINTS: [f64; 5] = [-1.463_5, -0.598_9, 0.0, 0.598_9, 1.463_5];
    let noise = meter_sd(spots);
    let least = 1.0e-6 / weights.len() as f64;
    // Weight, scale and what came of each version; the reading follows from the month.
    let mut versions: Vec<(usize, f64, f64, f64)> = Vec::new();
    for (draw, weight) in weights.iter().enumerate().filter(|(_, it)| **it > least) {
        let scale = scale_of(draw);
        for point in POINTS {
            let exact = Scale {
                mean: scale.mean + scale.sd * point,
                sd: 1.0e-9,
            };
            let over = posterior.over(exact, posterior.outcomes[draw].next_most);
            versions.push((draw, weight / POINTS.len() as f64, exact.mean, over));
        }
    }
    let total: f64 = versions.iter().map(|it| it.1).sum();
    let chance = versions.iter().map(|it| it.1 * it.3).sum::<f64>() / total;
    let months = std::array::from_fn(|month| {
        let readings: Vec<(f64, f64, f64)> = versions
            .iter()
            .map(|(draw, weight, scale, over)| {
                let dry = 100.0 * posterior.outcomes[*draw].next_year[month].meter_fraction;
                (scale * dry, weight / total, *over)
            })
            .collect();
        let after = Expected::of(&readings, noise, settled);
        ReturnMonth {
            month: month as u32 + 1,
            settles: after.settles,
            brier: after.brier,
            chances: after.chances,
        }
    });
    ReturnVisit {
        chance,
        brier: chance * (1.0 - chance),
        months,
    }
}

/// What is expected after a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Expected {
    settles: f64,
    brier: f64,
    chances: [f64; TWENTIETHS],
}

impl Expected {
    /// From readings with weights that sum to one, and whether each goes over.
    fn of(readings: &[(f64, f64, f64)], noise: f64, settled: Settled) -> Self {
        let width = noise / BINS_A_SD;
        let reach = (BINS_A_SD * REACH_SD) as usize;
        let lowest = readings.iter().map(|it| it.0).fold(f64::INFINITY, f64::min);
        let highest = readings
            .iter()
            .map(|it| it.0)
            .fold(f64::NEG_INFINITY, f64::max);
        let bins = ((highest - lowest) / width) as usize + 1 + 2 * reach;
        let (mut all, mut over) = (vec![0.0; bins], vec![0.0; bins]);
        for (reading, weight, goes_over) in readings {
            let bin = ((reading - lowest) / width) as usize + reach;
            all[bin] += weight;
            over[bin] += weight * goes_over;
        }
        let kernel: Vec<f64> = (0..=2 * reach)
            .map(|at| {
                let off = (at as f64 - reach as f64) / BINS_A_SD;
                libm::exp(-0.5 * off * off)
            })
            .collect();
        let sum: f64 = kernel.iter().sum();
        let mut res = Self {
            settles: 0.0,
            brier: 0.0,
            chances: [0.0; TWENTIETHS],
        };
        let mut told: Vec<(f64, f64)> = Vec::with_capacity(bins);
        for at in 0..bins {
            let from = at.saturating_sub(reach);
            let to = (at + reach + 1).min(bins);
            let (mut density, mut wet) = (0.0, 0.0);
            for bin in from..to {
                let part = kernel[bin + reach - at] / sum;
                density += part * all[bin];
                wet += part * over[bin];
            }
            if density <= 0.0 {
                continue;
            }
            let after = wet / density;
            res.brier += density * after * (1.0 - after);
            res.settles += if settled.is(after) { density } else { 0.0 };
            told.push((after, density));
        }
        res.chances = twentieths(&mut told);
        res
    }
}

/// Means of even parts of values with weights, lowest first.
fn twentieths(values: &mut [(f64, f64)]) -> [f64; TWENTIETHS] {
    values.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let part = values.iter().map(|it| it.1).sum::<f64>() / TWENTIETHS as f64;
    let mut res = [0.0; TWENTIETHS];
    let (mut at, mut room) = (0, part);
    for (value, weight) in values.iter() {
        let mut left = *weight;
        while left > 0.0 {
            let taken = if left < room { left } else { room };
            res[at] += value * taken / part;
            left -= taken;
            room -= taken;
            // The last part takes what rounding leaves.
            if room <= 0.0 {
                if at + 1 == TWENTIETHS {
                    break;
                }
                at += 1;
                room = part;
            }
        }
    }
    res
}

#[cfg(test)]
mod tests {
    use super::*;

    const SETTLED: Settled = Settled {
        low: 0.1,
        high: 0.9,
    };

    /// Source: by hand. Two kinds of floors, half each, read 2 and 6 with a noise of 0.1: after
    /// the reading everything is known. With a noise of 100 nothing is: 0.5 (1 - 0.5) = 0.25.
    #[test]
    fn a_sharp_reading_tells_all_and_a_blunt_one_nothing() {
        let readings = [(2.0, 0.5, 0.0), (6.0, 0.5, 1.0)];
        let sharp = Expected::of(&readings, 0.1, SETTLED);
        assert!(sharp.brier < 1e-9 && (sharp.settles - 1.0).abs() < 1e-6);
        let blunt = Expected::of(&readings, 100.0, SETTLED);
        // Bins are a quarter of the noise wide; the two readings fall in one.
        assert!((blunt.brier - 0.25).abs() < 0.001 && blunt.settles == 0.0);
        // Half of what may be read says dry and half wet.
        assert!(sharp.chances[9] < 1e-6 && sharp.chances[10] > 1.0 - 1e-6);
        assert!(blunt.chances.iter().all(|it| (it - 0.5).abs() < 0.001));
    }

    /// Source: by hand, the two normals of equal weight 4 and 4 + d apart by d = 2 noises.
    /// p(y) = 1 / (1 + exp(-2 t)) at t noises from the middle, and the expected p (1 - p) is
    /// the integral of half of the sum of both densities times 1 / (4 cosh(t)^2): by the
    /// trapezoid rule over t = -8 to 8 in steps of 0.001 (shown below).
    #[test]
    fn two_overlapping_kinds_by_hand() {
        let density = |t: f64| libm::exp(-0.5 * t * t) / (2.0 * std::f64::consts::PI).sqrt();
        let hand = |noises: f64| -> f64 {
            let half = 0.5 * noises;
            (-8000..=8000)
                .map(|it| f64::from(it) * 0.001)
                .map(|t| {
                    let steep = libm::cosh(half * t);
                    0.5 * (density(t - half) + density(t + half)) / (4.0 * steep * steep) * 0.001
                })
                .sum()
        };
        let readings = [(4.0, 0.5, 0.0), (4.6, 0.5, 1.0)];
        let got = Expected::of(&readings, 0.3, SETTLED);
        // A bin is a quarter of the noise: the two may lie a bin closer or further apart.
        let (least, most) = (hand(2.25), hand(1.75) + 1e-4);
        assert!(
            (least..most).contains(&got.brier),
            "{} by hand {least} to {most}",
            got.brier
        );
    }
}
