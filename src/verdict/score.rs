//! The score: every result as a sum of points.

use super::questions::{Acts, CoreQuestion, OpenQuestion, QUESTIONS, given_answers};
use super::{AnswerWeight, GradeTable, Verdict};
use crate::climate::Place;
use crate::odds::posterior::{self, Basis, Effort, Limits, Posterior};
use crate::survey::Visit;
use std::cell::OnceCell;

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

/// Part of the effective draws that a score line is worth. Source: judgement, by speed; two
/// chances on the same draws differ by what the answer does.
const SCORE_SHARE: f64 = 0.5;

/// Fills in what each answer moved and, for a graded visit, the score.
pub(super) fn explain(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    verdict: &mut Verdict,
    effort: Effort,
) {
    let weighed = Weighed {
        place,
        visit,
        posterior,
        basis: verdict.basis(),
        limits: verdict.limits.for_odds(),
        effort: Effort {
            enough: effort.enough * SCORE_SHARE,
            ..effort
        },
        one_round: Effort {
            most: effort.round,
            enough: 0.0,
            ..effort.next_year_only()
        },
        whole_of_part: OnceCell::new(),
    };
    verdict.answers = weighed.answers();
    if weighed.basis == Basis::Readings {
        verdict.score = Some(weighed.score(&verdict.answers));
    }
}

/// A visit whose answers are taken back one by one.
struct Weighed<'a> {
    place: &'a Place,
    visit: &'a Visit,
    posterior: &'a Posterior,
    basis: Basis,
    limits: Limits,
    /// For a visit one answer apart.
    effort: Effort,
    /// For a floor of which nothing is known.
    one_round: Effort,
    /// Decibans of the visit's own chance, as visits one answer apart are looked at.
    whole_of_part: OnceCell<f64>,
}

impl Weighed<'_> {
    fn chance(&self) -> f64 {
        self.posterior.by(self.basis).exceedance()
    }

    /// Chance of the same floor with other answers.
    fn chance_of(&self, other: &Visit) -> f64 {
        posterior::posterior_beside(self.posterior, self.basis, self.place, other, self.effort)
            .by(self.basis)
            .exceedance()
    }

    /// Decibans that the visit's chance lies over that of another, both by the same draws.
    fn over(&self, other: &Visit) -> f64 {
        let own = || line_decibans(self.chance_of(self.visit));
        self.whole_of_part.get_or_init(own) - line_decibans(self.chance_of(other))
    }

    /// What each answer that was given moved, when it alone goes back to "not sure".
    fn answers(&self) -> Vec<AnswerWeight> {
        let whole = line_decibans(self.chance());
        let moved = |question: &OpenQuestion| match question.acts {
            Acts::Selects => {
                let mut other = self.visit.clone();
                question.clear(&mut other);
                self.over(&other)
            }
            Acts::Speaks => {
                let view = self.posterior.by(self.basis);
                whole - line_decibans(view.exceedance_without(question.id))
            }
        };
        given_answers(self.visit)
            .into_iter()
            .map(|(question, answer)| AnswerWeight {
                question: question.id,
                answer,
                decibans: moved(question),
            })
            .collect()
    }

    /// Points of all answers that are not core questions, taken back together.
    fn other_signs(&self) -> f64 {
        let mut only_core = self.visit.clone();
        let mut others = 0;
        for question in QUESTIONS.iter().filter(|it| it.core.is_none()) {
            others += usize::from(question.answer(self.visit).is_some());
            question.clear(&mut only_core);
        }
        if others == 0 {
            return 0.0;
        }
        self.over(&only_core)
    }

    /// Chance of a floor of this place of which nothing was told and nothing read.
    fn start(&self) -> f64 {
        let mut bare = self.visit.clone();
        for question in QUESTIONS.iter() {
            question.clear(&mut bare);
        }
        bare.readings.clear();
        posterior::posterior(self.place, &bare, self.limits, self.one_round).exceedance_before()
    }

    /// The lines in their order; "together" takes up what is left.
    fn score(&self, answers: &[AnswerWeight]) -> Score {
        let table = GradeTable::bundled();
        let moved = |id: &str| {
            answers
                .iter()
                .find(|it| it.question == id)
                .map_or(0.0, |it| it.decibans)
        };
        let before = self.posterior.exceedance_before();
        let reading = line_decibans(self.chance()) - line_decibans(before);
        let core = CoreQuestion::ALL.map(|it| it.question().id);
        let mut lines = vec![("start", table.score_even + decibans(self.start()))];
        lines.extend(core.map(|id| (id, moved(id))));
        lines.push(("other_signs", self.other_signs()));
        lines.push(("reading", reading));
        let points = |decibans: f64| libm::round(decibans) as i32;
        let mut lines: Vec<ScoreLine> = lines
            .into_iter()
            .map(|(line, moved)| ScoreLine {
                line,
                points: points(moved),
            })
            .collect();
        let total = points(table.score_even + decibans(self.chance()));
        let sum: i32 = lines.iter().map(|it| it.points).sum();
        lines.push(ScoreLine {
            line: "together",
            points: total - sum,
        });
        Score { total, lines }
    }
}
