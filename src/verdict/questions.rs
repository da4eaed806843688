//! The questions that move the answer, as verdicts and lessons list them.
//!
//! What they are, their answers and how these are taken back is declared in `survey`.

use crate::survey::{ModelQuestion, Visit};
use std::sync::LazyLock;

/// The six questions that a person asks first, each a line of the score.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CoreQuestion {
    /// Year or era the slab was placed in.
    Era,
    /// Vapor retarder under the slab: seen, absent, or not known.
    Retarder,
    /// Floor below grade, or not.
    BelowGrade,
    /// Where the house stands on its lot: high, level or low.
    Lot,
    /// Whether the floor turns dark in the wet season.
    Darkening,
    /// Gutters, downspouts and grading outside.
    Drainage,
}

impl CoreQuestion {
    /// In the order of the score.
    pub const ALL: [CoreQuestion; 6] = [
        CoreQuestion::Era,
        CoreQuestion::Retarder,
        CoreQuestion::BelowGrade,
        CoreQuestion::Lot,
        CoreQuestion::Darkening,
        CoreQuestion::Drainage,
    ];

    /// The question of the list that it is.
    pub fn question(self) -> &'static OpenQuestion {
        QUESTIONS
            .iter()
            .find(|it| it.core == Some(self))
            .expect("each core question is in the list")
    }

    /// The answer given, in the visit file's words.
    pub fn answer(self, visit: &Visit) -> Option<String> {
        self.question().answer(visit)
    }
}

/// How an answer acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Acts {
    /// It selects priors: taking it back means drawing anew.
    Selects,
    /// It is evidence: taking it back means weighing anew.
    Speaks,
}

/// A question of the model.
#[derive(Debug)]
pub struct OpenQuestion {
    /// The visit file's path of its main field.
    pub id: &'static str,
    /// Which of the six core questions it is; `None` for the others.
    pub core: Option<CoreQuestion>,
    /// Whether its answer selects priors or is weighed as evidence.
    pub acts: Acts,
    /// The question in the survey, with its answers and how one is taken back.
    pub question: ModelQuestion,
}

impl OpenQuestion {
    /// The answer given, in the visit file's words.
    pub fn answer(&self, visit: &Visit) -> Option<String> {
        self.question.answer(visit)
    }

    /// Sets it back to "not sure".
    pub fn clear(&self, visit: &mut Visit) {
        self.question.clear(visit);
    }
}

/// Whether a question is one of the six, and how its answer acts.
fn part_of(question: ModelQuestion) -> (Option<CoreQuestion>, Acts) {
    match question {
        ModelQuestion::Era => (Some(CoreQuestion::Era), Acts::Selects),
        ModelQuestion::Retarder => (Some(CoreQuestion::Retarder), Acts::Selects),
        ModelQuestion::BelowGrade => (Some(CoreQuestion::BelowGrade), Acts::Selects),
        ModelQuestion::Position => (Some(CoreQuestion::Lot), Acts::Selects),
        ModelQuestion::SpringDarkening => (Some(CoreQuestion::Darkening), Acts::Speaks),
        ModelQuestion::Drainage => (Some(CoreQuestion::Drainage), Acts::Selects),
        ModelQuestion::SubDrain
        | ModelQuestion::GravelBase
        | ModelQuestion::Dehumidifier
        | ModelQuestion::AirConditioned
        | ModelQuestion::Heated => (None, Acts::Selects),
        ModelQuestion::Sump
        | ModelQuestion::StandingWater
        | ModelQuestion::Lately
        | ModelQuestion::RoomHumidity
        | ModelQuestion::RoomTemperature
        | ModelQuestion::SlabTemperature
        | ModelQuestion::WaterNow
        | ModelQuestion::Sweats
        | ModelQuestion::Weak(_) => (None, Acts::Speaks),
    }
}

/// All questions that move the answer, core ones first.
pub static QUESTIONS: LazyLock<Vec<OpenQuestion>> = LazyLock::new(|| {
    ModelQuestion::all()
        .iter()
        .map(|question| {
            let (core, acts) = part_of(*question);
            OpenQuestion {
                id: question.path(),
                core,
                acts,
                question: *question,
            }
        })
        .collect()
});

/// The questions that were answered.
pub fn given_answers(visit: &Visit) -> Vec<(&'static OpenQuestion, String)> {
    QUESTIONS
        .iter()
        .filter_map(|it| it.answer(visit).map(|answer| (it, answer)))
        .collect()
}

/// The questions that are open: not asked, or answered "not sure".
pub fn open_questions(visit: &Visit) -> Vec<&'static OpenQuestion> {
    QUESTIONS
        .iter()
        .filter(|it| it.answer(visit).is_none())
        .collect()
}
