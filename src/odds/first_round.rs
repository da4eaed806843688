//! The first round of draws, which visits of one place and the same answers share.

use super::house::PlaceYear;
use super::outcomes::Shared;
use super::posterior::{FULL, Laid, Limits};
use super::simulate::{Dome, LANES, Outcome, Plan, run_group_through};
use super::sobol::kept_scores;
use super::unseen::{PriorSet, Unseen};
use crate::climate::Place;
use crate::season::STEPS_PER_MONTH;
use crate::survey::Visit;
use sha2::{Digest, Sha256};

/// Stands for everything that the first round is made from. Visits with equal keys have equal
/// first rounds: the same climate, the same priors by the answers, the same months of the
/// year, the same age of a slab that is young, the same use of the machine.
///
/// Signs, readings, limits of a meter or probe and the years themselves only weigh.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RoundKey([u8; 16]);

/// Versions drawn from the priors and simulated, before anything is weighed.
#[derive(Debug, Clone)]
pub struct FirstRound {
    outcomes: Shared,
    /// Steps at which each version was looked at.
    marks: Vec<usize>,
}

impl FirstRound {
    /// What the first round of a visit is made from.
    pub fn key(place: &Place, visit: &Visit, limits: Limits) -> RoundKey {
        let mut laid = Laid::out(place, visit, limits);
        laid.plan.marks = shared_marks(&laid.plan);
        // The printed text holds every number to its last digit.
        let climate = (
            place.latitude_deg,
            place.mean_c,
            place.precipitation_mm,
            place.dew_point_c,
        );
        let text = format!("{climate:?} {:?} {:?}", laid.priors, laid.plan);
        let digest = Sha256::digest(text.as_bytes());
        RoundKey(std::array::from_fn(|at| digest[at]))
    }

    /// Draws and simulates the round of a visit.
    pub fn draw(place: &Place, visit: &Visit, limits: Limits) -> Self {
        let mut laid = Laid::out(place, visit, limits);
        laid.plan.marks = shared_marks(&laid.plan);
        let outcomes = simulated(&laid.place_year, &laid.plan, &laid.priors);
        Self {
            outcomes: Shared::new(outcomes),
            marks: laid.plan.marks,
        }
    }

    /// The versions in the order of their draws.
    pub fn outcomes(&self) -> &Shared {
        &self.outcomes
    }

    /// Where the marks of a visit's plan stand among those that were looked at.
    pub(super) fn columns_of(&self, plan: &Plan) -> Vec<usize> {
        plan.marks
            .iter()
            .map(|step| {
                self.marks
                    .iter()
                    .position(|it| it == step)
                    .expect("a round is only shared by visits with its key")
            })
            .collect()
    }
}

/// The steps at which versions are looked at: every step of a month with a reading, so that
/// readings of other days of it find theirs. A dome test is too dear for that.
fn shared_marks(plan: &Plan) -> Vec<usize> {
    if plan.dome != Dome::NotAsked {
        let mut marks = plan.marks.clone();
        marks.dedup();
        return marks;
    }
    let mut months: Vec<usize> = plan.marks.iter().map(|it| it / STEPS_PER_MONTH).collect();
    months.dedup();
    months
        .into_iter()
        .flat_map(|it| it * STEPS_PER_MONTH..(it + 1) * STEPS_PER_MONTH)
        .collect()
}

fn simulated(place_year: &PlaceYear, plan: &Plan, priors: &PriorSet) -> Vec<Outcome> {
    (0..FULL.round / LANES)
        .flat_map(|group| {
            let unseen: [Unseen; LANES] =
                std::array::from_fn(|l| priors.unseen(&kept_scores(group * LANES + l)));
            run_group_through(place_year, plan, priors, &unseen, 1).1
        })
        .collect()
}
