//! Scores of stated chances and bands, and what they leave open. Small pure functions.

use crate::odds::priors::normal_cdf;
use statrs::distribution::{Beta, ContinuousCDF, Normal, StudentsT};

/// Chance left out at each end of an interval of 95 in 100.
const TAIL: f64 = 0.025;

/// The Brier score of one stated chance (0 to 1): 0 is best, 1 worst.
///
/// # Formula
///
/// `(p - o)^2`, `o` being 1 where the event came and 0 where it did not.
///
/// # Source
///
/// brier-1950, in the form for two outcomes.
///
/// # Example
///
/// ```
/// use slabseason::ledger::scores::{Came, brier};
/// assert_eq!(brier(0.5, Came::Yes), 0.25);
/// ```
pub fn brier(chance: f64, came: Came) -> f64 {
    let off = chance - came.number();
    off * off
}

/// Whether an event came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Came {
    /// It came.
    Yes,
    /// It did not.
    No,
}

impl Came {
    /// From a yes or no.
    pub fn of(yes: bool) -> Self {
        if yes { Came::Yes } else { Came::No }
    }

    /// 1 or 0.
    pub fn number(self) -> f64 {
        match self {
            Came::Yes => 1.0,
            Came::No => 0.0,
        }
    }
}

/// The logarithmic score of one stated chance, in nats: 0 is best. A chance counts as no surer
/// than `least` either way, so that one miss does not outweigh all other floors.
///
/// # Formula
///
/// `-ln p` where the event came, `-ln (1 - p)` where it did not.
///
/// # Source
///
/// gneiting-raftery-2007, 3.
pub fn log_score(chance: f64, came: Came, least: f64) -> f64 {
    let chance = chance.clamp(least, 1.0 - least);
    match came {
        Came::Yes => -libm::log(chance),
        Came::No => -libm::log(1.0 - chance),
    }
}

/// The continuous ranked probability score of a band, in the unit of the reading: 0 is best,
/// and a band that is one number scores its distance.
///
/// # Formula
///
/// `integral over t of 2 (1{q(t) >= y} - t) (q(t) - y)` from 0 to 1, where `q` is straight
/// between the levels and constant beyond the first and the last. Each stretch is integrated
/// exactly.
///
/// # Source
///
/// gneiting-raftery-2007, 4.2, and its form by quantiles.
pub fn crps_band(levels: &[f64], band: &[f64], reading: f64) -> f64 {
    // Between levels a and b, with q(t) = u + (v - u) (t - a)/(b - a), of 2 (1 - t)(q - y) over
    // q >= y and 2 t (y - q) under it.
    let stretch = |a: f64, b: f64, u: f64, v: f64| -> f64 {
        // Of a straight line: from t0 to t1 where it runs from e0 to e1 above the reading.
        let part = |t0: f64, t1: f64, e0: f64, e1: f64| {
            let width = t1 - t0;
            if width <= 0.0 {
                return 0.0;
            }
            // The product of two straight lines is integrated exactly by Simpson's rule.
            let (tm, em) = (0.5 * (t0 + t1), 0.5 * (e0 + e1));
            let of = |t: f64, e: f64| {
                if em >= 0.0 {
                    2.0 * (1.0 - t) * e
                } else {
                    -2.0 * t * e
                }
            };
            width / 6.0 * (of(t0, e0) + 4.0 * of(tm, em) + of(t1, e1))
        };
        let (e0, e1) = (u - reading, v - reading);
        if e0 < 0.0 && e1 > 0.0 {
            let cut = a + (b - a) * e0 / (e0 - e1);
            part(a, cut, e0, 0.0) + part(cut, b, 0.0, e1)
        } else {
            part(a, b, e0, e1)
        }
    };
    let last = levels.len() - 1;
    let mut sum = stretch(0.0, levels[0], band[0], band[0]);
    for at in 0..last {
        sum += stretch(levels[at], levels[at + 1], band[at], band[at + 1]);
    }
    sum + stretch(levels[last], 1.0, band[last], band[last])
}

/// The same of a normal.
///
/// # Formula
///
/// `s (z (2 F(z) - 1) + 2 f(z) - 1/sqrt(pi))`, `z = (y - m)/s`.
///
/// # Source
///
/// gneiting-raftery-2007, equation 21.
pub fn crps_normal(mean: f64, sd: f64, reading: f64) -> f64 {
    if sd <= 0.0 {
        return (reading - mean).abs();
    }
    let z = (reading - mean) / sd;
    let density = libm::exp(-0.5 * z * z) / (2.0 * std::f64::consts::PI).sqrt();
    sd * (z * (2.0 * normal_cdf(z) - 1.0) + 2.0 * density - 1.0 / std::f64::consts::PI.sqrt())
}

/// The same of a sample of equal weights.
///
/// # Formula
///
/// `mean |x - y| - 1/2 mean |x - x'|`.
///
/// # Source
///
/// gneiting-raftery-2007, equation 20.
pub fn crps_sample(sorted: &[f64], reading: f64) -> f64 {
    let count = sorted.len() as f64;
    if sorted.is_empty() {
        return 0.0;
    }
    let apart: f64 = sorted.iter().map(|it| (it - reading).abs()).sum::<f64>() / count;
    // Of a sorted sample the sum over all pairs takes one pass.
    let pairs: f64 = sorted
        .iter()
        .enumerate()
        .map(|(at, it)| it * (2.0 * at as f64 - count + 1.0))
        .sum();
    apart - pairs / (count * count)
}

/// The exact interval of a share that holds in 95 of 100 cases or more, by Clopper and
/// Pearson. Counts need not be whole, for readings that are kin.
///
/// # Source
///
/// newcombe-1998, method 5.
pub fn exact_interval(count: f64, of: f64) -> (f64, f64) {
    if of <= 0.0 {
        return (0.0, 1.0);
    }
    let rest = (of - count).max(0.0);
    let quantile = |a: f64, b: f64, chance: f64| {
        Beta::new(a, b)
            .expect("both counts are above 0")
            .inverse_cdf(chance)
    };
    let low = if count <= 0.0 {
        0.0
    } else {
        quantile(count, rest + 1.0, TAIL)
    };
    let high = if rest <= 0.0 {
        1.0
    } else {
        quantile(count + 1.0, rest, 1.0 - TAIL)
    };
    (low, high)
}

/// A share over floors of which each gives some readings, and its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SharedOut {
    /// Share of the readings within, 0 to 1.
    pub share: f64,
    /// Readings that tell as much as these would if none were kin.
    pub effective: f64,
    /// Lower end of the interval of 95 in 100, 0 to 1.
    pub low: f64,
    /// Upper end of the interval of 95 in 100, 0 to 1.
    pub high: f64,
}

/// Share of readings within something: `(within, readings)` for each floor. Readings of one
/// floor are kin, so the exact interval is taken of the number of unrelated ones that would
/// be as sure.
///
/// # Source
///
/// korn-graubard-1998: effective number `p (1 - p)/variance`, variance of a ratio over floors,
/// times the squared ratio of the t quantiles; never more than the readings there are.
pub fn share_of_kin(floors: &[(f64, f64)]) -> SharedOut {
    let all: f64 = floors.iter().map(|it| it.1).sum();
    let within: f64 = floors.iter().map(|it| it.0).sum();
    let count = floors.len() as f64;
    let share = if all > 0.0 { within / all } else { 0.0 };
    let spread: f64 = floors
        .iter()
        .map(|it| (it.0 - share * it.1) * (it.0 - share * it.1))
        .sum();
    let effective = if count < 2.0 || spread <= 0.0 {
        // All or none within, or one floor: each floor counts once.
        count.min(all)
    } else {
        let variance = count / (count - 1.0) * spread / (all * all);
        let t = |freedom: f64| {
            StudentsT::new(0.0, 1.0, freedom)
                .expect("a positive number of floors")
                .inverse_cdf(1.0 - TAIL)
        };
        let ratio = if all > 1.0 {
            t(all - 1.0) / t(count - 1.0)
        } else {
            1.0
        };
        (share * (1.0 - share) / variance * ratio * ratio).min(all)
    };
    let (low, high) = exact_interval(share * effective, effective);
    SharedOut {
        share,
        effective,
        low,
        high,
    }
}

/// The mean of paired differences, one a floor, and its 95 in 100 interval by Student's t.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paired {
    /// Floors with a difference; two or more.
    pub floors: usize,
    /// Mean difference.
    pub mean: f64,
    /// Standard deviation from floor to floor.
    pub sd: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

/// Mean and interval of differences; none of fewer than two.
pub fn paired(differences: &[f64]) -> Option<Paired> {
    let floors = differences.len();
    if floors < 2 {
        return None;
    }
    let count = floors as f64;
    let mean = differences.iter().sum::<f64>() / count;
    let square: f64 = differences.iter().map(|it| (it - mean) * (it - mean)).sum();
    let sd = (square / (count - 1.0)).sqrt();
    let t = StudentsT::new(0.0, 1.0, count - 1.0)
        .expect("two floors or more")
        .inverse_cdf(1.0 - TAIL);
    let half = t * sd / count.sqrt();
    Some(Paired {
        floors,
        mean,
        sd,
        low: mean - half,
        high: mean + half,
    })
}

/// Floors for which a mean difference shows in four of five trials of its kind, at 95 in 100.
///
/// # Formula
///
/// `((z(0.975) + z(0.8)) sd / mean)^2`, rounded up.
pub fn floors_needed(mean: f64, sd: f64) -> f64 {
    let z = |chance: f64| Normal::standard().inverse_cdf(chance);
    let ratio = (z(1.0 - TAIL) + z(0.8)) * sd / mean.abs().max(1.0e-12);
    (ratio * ratio).ceil()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq as near;

    /// Source: by hand.
    #[test]
    fn chances_by_hand() {
        near!(brier(0.2, Came::No), 0.04, epsilon = 1e-12);
        near!(brier(0.2, Came::Yes), 0.64, epsilon = 1e-12);
        near!(
            log_score(0.25, Came::Yes, 0.005),
            1.386_294_361,
            epsilon = 1e-9
        );
        near!(
            log_score(0.0, Came::Yes, 0.01),
            4.605_170_186,
            epsilon = 1e-9
        );
    }

    /// Source: by hand. A point at 3 read 5 scores its distance, 2. Levels 0.25 and 0.75 at 2
    /// and 4, read 3: outer stretches 2 * integral of t * 1 from 0 to 0.25 = 0.0625 each; inner
    /// ones, e = 4 t - 2: 2 * integral from 0.25 to 0.5 of t (2 - 4 t) = 2 (t^2 - 4 t^3 / 3) =
    /// 2 (0.0833333 - 0.0416667) = 0.0833333 each; in all 0.2916667.
    #[test]
    fn bands_by_hand() {
        near!(
            crps_band(&[0.1, 0.9], &[3.0, 3.0], 5.0),
            2.0,
            epsilon = 1e-12
        );
        near!(
            crps_band(&[0.25, 0.75], &[2.0, 4.0], 3.0),
            0.291_666_666_7,
            epsilon = 1e-9
        );
        // Two values 1 and 3 of a sample, read 2: 1 - 1/2 * 1 = 0.5.
        near!(crps_sample(&[1.0, 3.0], 2.0), 0.5, epsilon = 1e-12);
        near!(crps_sample(&[4.0], 1.0), 3.0, epsilon = 1e-12);
    }
}
