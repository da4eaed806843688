//! Every answer of varied visits, before and after the reading: which moves go the wrong way?
//!
//! `cargo run --release --example answers_sweep [VISITS]`. An answer that speaks of a wetter
//! floor should not lower the chance. What is printed by question are the pairs of answers that
//! do, beyond sampling error: by the answers alone, and with the reading; of the latter, those
//! that rise or stay without it, where the answer explains the reading away.

#[path = "../tests/shared/answers.rs"]
mod answers;

use answers::{Fall, TOLERANCE, pairs, varied_visits};
use slabseason::survey::{ModelQuestion, to_toml};

fn worst<'a>(falls: &[&'a Fall], of: fn(&Fall) -> f64) -> Option<&'a Fall> {
    falls.iter().copied().max_by(|a, b| of(a).total_cmp(&of(b)))
}

fn main() {
    let count = std::env::args()
        .nth(1)
        .map_or(200, |it| it.parse().expect("a number of visits"));
    let visits = varied_visits(count);
    println!("{count} visits; falls of more than {TOLERANCE}, beyond three standard errors:");
    println!(
        "{:<28}{:>7}{:>9}{:>9}{:>9}{:>9}{:>11}",
        "question", "pairs", "before", "worst", "after", "worst", "explained"
    );
    for question in ModelQuestion::all() {
        let it = pairs(*question, &visits);
        if it.count == 0 {
            continue;
        }
        let [before, after] = [0, 1].map(|when| {
            it.falls
                .iter()
                .filter(|it| it.is_sure[when])
                .collect::<Vec<_>>()
        });
        let explained = after.iter().filter(|it| !it.is_sure[0]).count();
        let (most_before, most_after) =
            (worst(&before, |it| it.before), worst(&after, |it| it.after));
        println!(
            "{:<28}{:>7}{:>9}{:>9.3}{:>9}{:>9.3}{:>11}",
            question.path(),
            it.count,
            before.len(),
            most_before.map_or(0.0, |it| it.before),
            after.len(),
            most_after.map_or(0.0, |it| it.after),
            explained
        );
        for (when, most) in [("before", most_before), ("after", most_after)] {
            if let Some(fall) = most {
                eprintln!(
                    "# {} {when}: before {:+.3}, after {:+.3}\n{}",
                    question.path(),
                    -fall.before,
                    -fall.after,
                    to_toml(&fall.wetter)
                );
            }
        }
    }
}
