//! The score: every result as a sum of points.

use super::questions::{Acts, CoreQuestion, QUESTIONS, given_answers};
use super::{AnswerWeight, GradeTable, Verdict};
use crate::climate::Place;
use crate::odds::posterior::Basis;
use crate::odds::posterior::{self, Effort, Posterior};
use crate::survey::Visit;

/// Points that add up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Score {
    /// Sum of the lines: 20 is even odds, 10 points more are ten times the odds.
    pub total: i32,
    /// The start, the six core questions, other signs, the reading, and what takes up the rest.
    pub lines: Vec<ScoreLine>,
}

/// One line of the score.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScoreLine {
    /// `start`, a core question's path in the visit file, `other_signs`, `reading` or `together`.
    pub line: &'static str,
    /// Points of the line; below 0 it speaks for a dry floor.
    pub points: i32,
}

/// Ten times the common logarithm of the odds, held to what the model may claim.
pub fn decibans(chance: f64) -> f64 {
    let table = GradeTable::bundled();
    let held = chance.clamp(table.least_chance, 1.0 - table.least_chance);
    table.score_per_tenfold * libm::log10(held / (1.0 - held))
}

/// The same for one line, held less tightly so that answers show at the ends too.
fn line_decibans(chance: f64) -> f64 {
    let table = GradeTable::bundled();
    let held = chance.clamp(
        table.least_chance_of_a_line,
        1.0 - table.least_chance_of_a_line,
    );
    table.score_per_tenfold * libm::log10(held / (1.0 - held))
}

/// Fills in what each answer moved and, for a graded visit, the score.
pub(super) fn explain(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    verdict: &mut Verdict,
    effort: Effort,
) {
    let effort = effort.next_year_only();
    let basis = verdict.basis();
    let limits = verdict.limits.for_odds();
    let chance_of = |it: &Posterior| it.by(basis).exceedance();
    let whole = chance_of(posterior);
    let anew = |other: &Visit| chance_of(&posterior::posterior(place, other, limits, effort));
    for (question, answer) in given_answers(visit) {
        let without = match question.acts {
            Acts::Selects => {
                let mut other = visit.clone();
                question.clear(&mut other);
                anew(&other)
            }
            Acts::Speaks => posterior.by(basis).exceedance_without(question.id),
        };
        verdict.answers.push(AnswerWeight {
            question: question.id,
            answer,
            decibans: line_decibans(whole) - line_decibans(without),
        });
    }
    if basis == Basis::Answers {
        return;
    }

    let table = GradeTable::bundled();
    let points = |decibans: f64| libm::round(decibans) as i32;
    let mut bare = visit.clone();
    for question in QUESTIONS.iter() {
        question.clear(&mut bare);
    }
    bare.readings.clear();
    let start = posterior::posterior(place, &bare, limits, effort).exceedance_before();
    let mut lines = vec![ScoreLine {
        line: "start",
        points: points(table.score_even + decibans(start)),
    }];
    for core in CoreQuestion::ALL {
        let id = core.question().id;
        let moved = verdict
            .answers
            .iter()
            .find(|it| it.question == id)
            .map_or(0.0, |it| it.decibans);
        lines.push(ScoreLine {
            line: id,
            points: points(moved),
        });
    }
    let mut only_core = visit.clone();
    let mut others = 0;
    for question in QUESTIONS.iter().filter(|it| it.core.is_none()) {
        others += usize::from(question.answer(visit).is_some());
        question.clear(&mut only_core);
    }
    let other_signs = if others == 0 {
        0.0
    } else {
        line_decibans(whole) - line_decibans(anew(&only_core))
    };
    lines.push(ScoreLine {
        line: "other_signs",
        points: points(other_signs),
    });
    let reading = line_decibans(whole) - line_decibans(posterior.exceedance_before());
    lines.push(ScoreLine {
        line: "reading",
        points: points(reading),
    });
    let total = points(table.score_even + decibans(whole));
    let sum: i32 = lines.iter().map(|it| it.points).sum();
    lines.push(ScoreLine {
        line: "together",
        points: total - sum,
    });
    verdict.score = Some(Score { total, lines });
}
