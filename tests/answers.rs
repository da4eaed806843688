//! Every answer of a few varied visits: a small fixed sample of `examples/answers_sweep.rs`.

#[path = "shared/answers.rs"]
mod sweep;

use crate::floors::is_whole;
use slabseason::survey::{ModelQuestion, to_toml};
use sweep::{TOLERANCE, pairs, varied_visits};

/// Visits of the sample, and of the whole study.
const VISITS: [usize; 2] = [3, 20];

/// By the answers alone no answer that tells of more water lowers the chance beyond sampling
/// error. With the reading it can, where the answer explains the reading away; then it raises
/// the chance, or leaves it, without the reading.
#[test]
fn no_answer_of_more_water_lowers_the_chance() {
    let visits = varied_visits(VISITS[usize::from(is_whole())]);
    let mut compared = 0;
    for question in ModelQuestion::all() {
        let it = pairs(*question, &visits);
        compared += it.count;
        for fall in &it.falls {
            // What it was like lately speaks of the day of the reading alone.
            let is_wrong = match question {
                ModelQuestion::Lately => fall.is_sure[1],
                _ => fall.is_sure[0] || fall.before > TOLERANCE,
            };
            assert!(
                !is_wrong,
                "{}: {:+.3} before, {:+.3} after\n{}",
                question.path(),
                -fall.before,
                -fall.after,
                to_toml(&fall.wetter)
            );
        }
    }
    assert!(compared > 20 * visits.len(), "{compared}");
}
