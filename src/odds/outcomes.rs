//! The versions of a floor in the order of their draws; rounds of them may be shared.

use super::evidence::{Sign, log_of_chance};
use super::simulate::SimulatedFloor;
use std::ops::{Index, IndexMut};
use std::sync::{Arc, Mutex, PoisonError};

/// A round of draws, and what signs make of it.
#[derive(Debug, Default)]
pub struct Round {
    outcomes: Vec<SimulatedFloor>,
    signs: Mutex<Vec<(Sign, Arc<Likelihood>)>>,
}

/// Chance of a sign for each version, and its log.
#[derive(Debug)]
struct Likelihood {
    chances: Vec<f64>,
    logs: Vec<f64>,
}

/// Signs whose chances a round remembers; visits that share a round say the same few things.
const REMEMBERED: usize = 64;

impl Clone for Round {
    /// A round that is copied is about to be changed: what signs made of it is forgotten.
    fn clone(&self) -> Self {
        Self {
            outcomes: self.outcomes.clone(),
            signs: Mutex::default(),
        }
    }
}

impl Round {
    fn likelihood(&self, sign: &Sign) -> Arc<Likelihood> {
        let mut known = self.signs.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, it)) = known.iter().find(|(it, _)| it.says_the_same(sign)) {
            return it.clone();
        }
        let chances: Vec<f64> = self.outcomes.iter().map(|it| sign.chance(it)).collect();
        let logs = chances.iter().map(|it| log_of_chance(*it)).collect();
        let made = Arc::new(Likelihood { chances, logs });
        if known.len() < REMEMBERED {
            known.push((sign.clone(), made.clone()));
        }
        made
    }
}

/// A round that several visits may hold.
#[derive(Debug, Clone, Default)]
pub struct Shared(Arc<Round>);

impl Shared {
    /// The versions in the order of their draws.
    pub fn outcomes(&self) -> &[SimulatedFloor] {
        &self.0.outcomes
    }

    /// From versions in the order of their draws.
    pub fn new(outcomes: Vec<SimulatedFloor>) -> Self {
        Self(Arc::new(Round {
            outcomes,
            signs: Mutex::default(),
        }))
    }
}

/// Versions of a floor in rounds of draws, each of which visits may share.
#[derive(Debug, Clone, Default)]
pub struct SimulatedFloors {
    rounds: Vec<Arc<Round>>,
}

impl SimulatedFloors {
    /// Of one round.
    pub fn sharing(first: &Shared) -> Self {
        let mut new = Self::default();
        new.add(first);
        new
    }

    /// Adds a round.
    pub fn add(&mut self, round: &Shared) {
        self.rounds.push(round.0.clone());
    }

    /// Chances of an answer for each version.
    pub fn chances(&self, sign: &Sign) -> Vec<f64> {
        let mut all = Vec::with_capacity(self.len());
        for round in &self.rounds {
            all.extend_from_slice(&round.likelihood(sign).chances);
        }
        all
    }

    /// Logs of the chances of an answer for the versions of the newest round.
    pub fn newest_logs(&self, sign: &Sign) -> Vec<f64> {
        let newest = self.rounds.last();
        newest.map_or_else(Vec::new, |it| it.likelihood(sign).logs.clone())
    }

    /// Versions of one round, in the order of their draws.
    pub fn round(&self, at: usize) -> &[SimulatedFloor] {
        &self.rounds[at].outcomes
    }

    /// Versions of all rounds together.
    pub fn len(&self) -> usize {
        self.rounds.iter().map(|it| it.outcomes.len()).sum()
    }

    /// Whether nothing was simulated.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// All versions, round after round.
    pub fn iter(&self) -> impl Iterator<Item = &SimulatedFloor> {
        self.into_iter()
    }

    /// Versions to be changed; a round that others hold is copied first.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut SimulatedFloor> {
        self.rounds
            .iter_mut()
            .flat_map(|it| Arc::make_mut(it).outcomes.iter_mut())
    }

    /// The round of a draw, and its place there.
    fn find(&self, mut draw: usize) -> (usize, usize) {
        for (at, round) in self.rounds.iter().enumerate() {
            if draw < round.outcomes.len() {
                return (at, draw);
            }
            draw -= round.outcomes.len();
        }
        panic!("there are no more draws than {}", self.len());
    }
}

impl Index<usize> for SimulatedFloors {
    type Output = SimulatedFloor;

    fn index(&self, draw: usize) -> &SimulatedFloor {
        let (round, at) = self.find(draw);
        &self.rounds[round].outcomes[at]
    }
}

impl IndexMut<usize> for SimulatedFloors {
    fn index_mut(&mut self, draw: usize) -> &mut SimulatedFloor {
        let (round, at) = self.find(draw);
        // A round that others hold is copied before it is changed.
        &mut Arc::make_mut(&mut self.rounds[round]).outcomes[at]
    }
}

/// Versions of round after round.
pub type Versions<'a> = std::iter::FlatMap<
    std::slice::Iter<'a, Arc<Round>>,
    std::slice::Iter<'a, SimulatedFloor>,
    fn(&'a Arc<Round>) -> std::slice::Iter<'a, SimulatedFloor>,
>;

impl<'a> IntoIterator for &'a SimulatedFloors {
    type Item = &'a SimulatedFloor;
    type IntoIter = Versions<'a>;

    fn into_iter(self) -> Self::IntoIter {
        self.rounds.iter().flat_map(|it| it.outcomes.iter())
    }
}
