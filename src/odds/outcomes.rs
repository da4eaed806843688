//! The versions of a floor in the order of their draws; a first round may be shared.

use super::simulate::Outcome;
use std::ops::{Index, IndexMut};
use std::sync::Arc;

/// Versions of a floor. The first round depends on place and answers alone, so that visits
/// which agree in both hold one copy of it.
#[derive(Debug, Clone, Default)]
pub struct Outcomes {
    first: Arc<Vec<Outcome>>,
    more: Vec<Outcome>,
}

impl Outcomes {
    /// Begins with a first round that others may hold too.
    pub fn sharing(first: Arc<Vec<Outcome>>) -> Self {
        Self {
            first,
            more: Vec::new(),
        }
    }

    /// Adds one more version.
    pub fn push(&mut self, outcome: Outcome) {
        self.more.push(outcome);
    }

    pub fn len(&self) -> usize {
        self.first.len() + self.more.len()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    pub fn iter(&self) -> impl Iterator<Item = &Outcome> {
        self.first.iter().chain(&self.more)
    }

    /// Versions to be changed; a round that others hold is copied first.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut Outcome> {
        Arc::make_mut(&mut self.first)
            .iter_mut()
            .chain(&mut self.more)
    }
}

impl Index<usize> for Outcomes {
    type Output = Outcome;

    fn index(&self, draw: usize) -> &Outcome {
        match draw.checked_sub(self.first.len()) {
            None => &self.first[draw],
            Some(later) => &self.more[later],
        }
    }
}

impl IndexMut<usize> for Outcomes {
    fn index_mut(&mut self, draw: usize) -> &mut Outcome {
        match draw.checked_sub(self.first.len()) {
            None => &mut Arc::make_mut(&mut self.first)[draw],
            Some(later) => &mut self.more[later],
        }
    }
}

impl<'a> IntoIterator for &'a Outcomes {
    type Item = &'a Outcome;
    type IntoIter = std::iter::Chain<std::slice::Iter<'a, Outcome>, std::slice::Iter<'a, Outcome>>;

    fn into_iter(self) -> Self::IntoIter {
        self.first.iter().chain(&self.more)
    }
}
