//! The versions of a floor in the order of their draws; a first round may be shared.

use super::evidence::{Sign, log_of_chance};
use super::simulate::Outcome;
use std::ops::{Index, IndexMut};
use std::sync::{Arc, Mutex, PoisonError};

/// A round of draws, and what signs make of it.
#[derive(Debug, Default)]
struct Round {
    outcomes: Vec<Outcome>,
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

/// A first round that several visits hold.
#[derive(Debug, Clone, Default)]
pub struct Shared(Arc<Round>);

impl Shared {
    /// From versions in the order of their draws.
    pub fn new(outcomes: Vec<Outcome>) -> Self {
        Self(Arc::new(Round {
            outcomes,
            signs: Mutex::default(),
        }))
    }
}

/// Versions of a floor. The first round depends on place and answers alone, so that visits
/// which agree in both hold one copy of it.
#[derive(Debug, Clone, Default)]
pub struct Outcomes {
    first: Arc<Round>,
    more: Vec<Outcome>,
}

impl Outcomes {
    /// Begins with a first round that others may hold too.
    pub fn sharing(first: &Shared) -> Self {
        Self {
            first: first.0.clone(),
            more: Vec::new(),
        }
    }

    /// Adds one more version.
    pub fn push(&mut self, outcome: Outcome) {
        self.more.push(outcome);
    }

    /// Chances of an answer for each version.
    pub fn chances(&self, sign: &Sign) -> Vec<f64> {
        let more = self.more.iter().map(|it| sign.chance(it));
        if self.first.outcomes.is_empty() {
            return more.collect();
        }
        let first = self.first.likelihood(sign);
        first.chances.iter().copied().chain(more).collect()
    }

    /// Logs of the chances of an answer for the versions from a draw on.
    pub fn logs(&self, sign: &Sign, from: usize) -> Vec<f64> {
        let shared = self.first.outcomes.len();
        let more = self.more[from.saturating_sub(shared)..]
            .iter()
            .map(|it| sign.log(it));
        if from >= shared {
            return more.collect();
        }
        let first = self.first.likelihood(sign);
        first.logs[from..].iter().copied().chain(more).collect()
    }

    pub fn len(&self) -> usize {
        self.first.outcomes.len() + self.more.len()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    pub fn iter(&self) -> impl Iterator<Item = &Outcome> {
        self.first.outcomes.iter().chain(&self.more)
    }

    /// Versions to be changed; a round that others hold is copied first.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut Outcome> {
        Arc::make_mut(&mut self.first)
            .outcomes
            .iter_mut()
            .chain(&mut self.more)
    }
}

impl Index<usize> for Outcomes {
    type Output = Outcome;

    fn index(&self, draw: usize) -> &Outcome {
        match draw.checked_sub(self.first.outcomes.len()) {
            None => &self.first.outcomes[draw],
            Some(later) => &self.more[later],
        }
    }
}

impl IndexMut<usize> for Outcomes {
    fn index_mut(&mut self, draw: usize) -> &mut Outcome {
        match draw.checked_sub(self.first.outcomes.len()) {
            None => &mut Arc::make_mut(&mut self.first).outcomes[draw],
            Some(later) => &mut self.more[later],
        }
    }
}

impl<'a> IntoIterator for &'a Outcomes {
    type Item = &'a Outcome;
    type IntoIter = std::iter::Chain<std::slice::Iter<'a, Outcome>, std::slice::Iter<'a, Outcome>>;

    fn into_iter(self) -> Self::IntoIter {
        self.first.outcomes.iter().chain(&self.more)
    }
}
