//! Rounds of draws that visits share: the first by place and answers, further ones also by
//! about the same evidence.

use super::rounds::{FULL, Limits, PreparedVisit, Proposal, Round};
use super::simulate::{Dome, Plan};
use crate::climate::Place;
use crate::season::STEPS_PER_MONTH;
use crate::survey::Visit;
use sha2::{Digest, Sha256};
use std::sync::{Arc, Mutex, PoisonError};

/// Stands for everything that the first round is made from. Visits with equal keys have equal
/// first rounds: the same climate, the same priors by the answers, the same months of the
/// year, the same age of a slab that is young, the same use of the machine.
///
/// Signs, readings, limits of a meter or probe and the years themselves only weigh.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RoundKey([u8; 16]);

impl RoundKey {
    fn of(text: &str) -> Self {
        let digest = Sha256::digest(text.as_bytes());
        Self(std::array::from_fn(|at| digest[at]))
    }
}

/// Versions drawn from the priors and simulated, before anything is weighed.
#[derive(Debug, Clone)]
pub struct FirstRound {
    key: RoundKey,
    round: Arc<Round>,
    /// The visit's plan with the steps at which each version was looked at.
    plan: Plan,
    kept: KeptRounds,
}

impl FirstRound {
    /// What the first round of a visit is made from.
    pub fn key(place: &Place, visit: &Visit, limits: Limits) -> RoundKey {
        let prepared = PreparedVisit::out(place, visit, limits);
        Self::key_of(&prepared, place, &shared_plan(&prepared.plan))
    }

    fn key_of(prepared: &PreparedVisit, place: &Place, plan: &Plan) -> RoundKey {
        // The printed text holds every number to its last digit.
        let climate = (
            place.latitude_deg,
            place.mean_c,
            place.precipitation_mm,
            place.dew_point_c,
        );
        let had = prepared.place_year.had();
        RoundKey::of(&format!(
            "{climate:?} {had:?} {:?} {plan:?}",
            prepared.priors
        ))
    }

    /// Draws and simulates the round of a visit; rounds that follow it are kept in `kept`. Where
    /// that keeps none the visit is alone, and the round serves no other.
    pub fn draw(place: &Place, visit: &Visit, limits: Limits, kept: &KeptRounds) -> Self {
        let prepared = PreparedVisit::out(place, visit, limits);
        let shared = shared_plan(&prepared.plan);
        let key = Self::key_of(&prepared, place, &shared);
        let plan = if kept.most > 0 {
            shared
        } else {
            prepared.plan.clone()
        };
        let round = prepared.draw(Proposal::prior(), 0, FULL.round, &plan, 1);
        Self {
            key,
            round: Arc::new(round),
            plan,
            kept: kept.clone(),
        }
    }

    /// The versions and where they were drawn.
    pub(super) fn round(&self) -> &Arc<Round> {
        &self.round
    }

    /// How versions are simulated for all who share them.
    pub(super) fn plan(&self) -> &Plan {
        &self.plan
    }

    /// A further round of visits with this first one and the same `coarse` evidence: one that
    /// is kept, or one that is drawn now.
    pub(super) fn further(
        &self,
        coarse: &str,
        round: usize,
        draw: impl FnOnce() -> Round,
    ) -> Arc<Round> {
        let key = RoundKey::of(&format!("{:?} {round} {coarse}", self.key));
        self.kept.get(key, draw)
    }

    /// Where the marks of a visit's plan stand among those that were looked at.
    pub(super) fn columns_of(&self, plan: &Plan) -> Vec<usize> {
        plan.marks
            .iter()
            .map(|step| {
                self.plan
                    .marks
                    .iter()
                    .position(|it| it == step)
                    .expect("a round is only shared by visits with its key")
            })
            .collect()
    }
}

/// A visit's plan with the marks that serve all who share its rounds.
fn shared_plan(plan: &Plan) -> Plan {
    Plan {
        marks: shared_marks(plan),
        ..plan.clone()
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

/// Further rounds of draws that visits of one place, the same answers and about the same
/// evidence share. What is kept changes no digit.
#[derive(Debug, Clone)]
pub struct KeptRounds {
    most: usize,
    rounds: Arc<Mutex<Vec<Kept>>>,
}

type Kept = (RoundKey, Arc<Round>);

impl KeptRounds {
    /// Keeps so many at most, some four megabytes each; those that were not asked for the
    /// longest are given up first.
    pub fn new(most: usize) -> Self {
        Self {
            most,
            rounds: Arc::default(),
        }
    }

    fn get(&self, key: RoundKey, draw: impl FnOnce() -> Round) -> Arc<Round> {
        let lock = || self.rounds.lock().unwrap_or_else(PoisonError::into_inner);
        let known = {
            let mut rounds = lock();
            rounds.iter().position(|it| it.0 == key).map(|at| {
                let it = rounds.remove(at);
                let known = it.1.clone();
                rounds.push(it);
                known
            })
        };
        known.unwrap_or_else(|| {
            let made = Arc::new(draw());
            let mut rounds = lock();
            if rounds.len() >= self.most && !rounds.is_empty() {
                rounds.remove(0);
            }
            if self.most > 0 {
                rounds.push((key, made.clone()));
            }
            made
        })
    }
}
