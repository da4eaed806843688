//! What each answer to a question would make of the chance, with everything else as said.

use super::UsedLimits;
use crate::climate::Place;
use crate::odds::posterior::{Ahead, Effort, posterior};
use crate::survey::{Draft, Raw, Visit, set_field};

/// Enough to tell which way an answer moves the chance.
pub const LOOK: Effort = Effort {
    round: 512,
    most: 512,
    enough: 0.0,
    ahead: Ahead::NextYear,
};

/// The chance to go over in the next year for each answer of a question, by the answers' words
/// in the visit file; an answer that does not fit the rest of the visit is left out.
pub fn answer_effects(
    place: &Place,
    visit: &Visit,
    path: &str,
    answers: &[&str],
) -> Vec<(String, f64)> {
    answers
        .iter()
        .filter_map(|answer| {
            let mut draft = Draft::from(visit);
            set_field(&mut draft, path, &Raw::Text((*answer).to_string())).ok()?;
            let other = draft.finish().ok()?;
            let limits = UsedLimits::of_visit(&other, None).for_odds();
            Some((
                (*answer).to_string(),
                posterior(place, &other, limits, LOOK).exceedance(),
            ))
        })
        .collect()
}
