//! Simulated trials: how often a trial of so many floors would show what is true.

use super::check::{borne_out, scored};
use super::scored_floor::FloorScored;
use crate::lessons::Random;

/// Share of trials that bear each claim out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Power {
    /// The claim, such as `crps_answers`.
    pub claim: &'static str,
    /// Share of the trials that bear it out, 0 to 1.
    pub power: f64,
    /// Floors with a reading left, on average.
    pub floors: f64,
}

/// Draws trials of `floors` floors from a pool without putting back; each floor drops out with
/// chance `drop_out` before one of its later visits. The same seed gives the same trials.
pub fn power(
    pool: &[FloorScored],
    floors: usize,
    trials: usize,
    drop_out: f64,
    seed: u64,
) -> Vec<Power> {
    let mut counts: Vec<(&'static str, usize, f64)> = Vec::new();
    for trial in 0..trials {
        let mut random = Random::of(seed, trial);
        let mut order: Vec<usize> = (0..pool.len()).collect();
        let mut some = Vec::with_capacity(floors);
        for at in 0..floors.min(pool.len()) {
            let other = at + random.below(order.len() - at);
            order.swap(at, other);
            let mut floor = pool[order[at]].clone();
            if random.chance(drop_out) {
                let left = random.below(floor.readings.len().max(1));
                floor.readings.truncate(left);
            }
            if !floor.readings.is_empty() {
                some.push(floor);
            }
        }
        let checked = scored(&some);
        for (at, (claim, seen, shown)) in borne_out(&checked.scores, &checked.band)
            .into_iter()
            .enumerate()
        {
            if counts.len() <= at {
                counts.push((claim, 0, 0.0));
            }
            counts[at].1 += usize::from(shown);
            counts[at].2 += seen as f64;
        }
    }
    counts
        .into_iter()
        .map(|(claim, shown, seen)| Power {
            claim,
            power: shown as f64 / trials as f64,
            floors: seen / trials as f64,
        })
        .collect()
}
