//! Teaching the warning signs: floors with a hidden truth, classes, pairs, and the signs explained.
//!
//! A lesson is drawn from the model, so a class learns what the model believes and not what real
//! floors do. Pure like the folders before it: the same seed gives the same bytes everywhere.

mod class;
mod explain;
mod invent;
mod lesson;
mod pairs;
mod random;
mod result;
mod results;
mod text;

pub use class::{
    Class, PaperExercise, answer_key, class, class_sheet, model_result, named_causes,
    paper_exercise,
};
pub use explain::{Explained, explain, explained_text};
pub use invent::{Invented, Telling, Truth, WeakSigns, invent};
pub use lesson::{Askable, Lesson, LessonView, Level, ToldAnswer, all_letters, lesson, lesson_in};
pub use pairs::{Pair, Side, pairs, pairs_text};
pub use random::Random;
pub use result::{Call, Guess, LessonResult, MonthSeen, brier, judge, log_score};
pub use results::{ResultRow, ResultsError, add_up, parse_chance, parse_results};
pub use text::{Judged, judged, judged_in, questions_text, result_text, view_text};

use crate::units::{table_rows, table_text};
use crate::words::Language;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

crate::named_table! {
    /// How lessons are made and added up, from `tables/lessons.csv`.
    LessonTable from "lessons.csv" {
        walk_out_share,
        open_least,
        open_spread,
        damp_share,
        damp_retarder_factor,
        damp_lot_high,
        damp_lot_level,
        damp_lot_low,
        retarder_before_1960,
        retarder_before_1980,
        retarder_before_2000,
        retarder_from_2000,
        damp_failing_share,
        failing_share,
        damp_drain_works,
        drain_works,
        drain_failed,
        drain_none,
        machine_running,
        cooled_share,
        heated_share,
        gravel_share,
        one_spot_share,
        checked_share,
        pit_share,
        springs_most,
        darkening_share,
        told_wrong,
        clear_within,
        border_low,
        border_high,
        tries_most,
        cause_counts,
        bolder_by,
        sign_floors,
        sign_gap,
    }
}

/// A town of the lessons.
#[derive(Debug, Clone, Deserialize)]
pub struct Town {
    /// ZIP code or Canadian postal code.
    pub postal: String,
    /// Town and state or province, as it is printed.
    pub town: String,
    explained: String,
}

impl Town {
    /// Whether the signs are explained in its climate.
    pub fn is_explained(&self) -> bool {
        self.explained == "yes"
    }
}

/// A question of a lesson and what it costs.
#[derive(Debug, Clone, Deserialize)]
pub struct LessonQuestion {
    /// The visit file's path of the question.
    pub question: String,
    told: String,
    /// What asking costs, minutes; 0 for what is seen on the way in.
    pub minutes: u32,
    wet: String,
}

impl LessonQuestion {
    /// Whether it is answered before anything is asked.
    pub fn is_told_first(&self) -> bool {
        self.told == "first"
    }

    /// Whether an answer speaks of a wetter floor.
    pub fn is_wet(&self, answer: &str) -> bool {
        self.wet.split_whitespace().any(|it| answer.starts_with(it))
    }
}

/// One row of the pairs: a field and its value on both floors.
#[derive(Debug, Clone, Deserialize)]
pub struct PairRow {
    /// The pair it belongs to; `base` is the floor that all pairs start from.
    pub pair: String,
    /// The visit file's path of the field.
    pub path: String,
    /// Value on the first floor, as the visit file writes it.
    pub first: String,
    /// Value on the second floor.
    pub second: String,
}

/// Reads a lesson's table.
fn rows<T: serde::de::DeserializeOwned>(text: &str) -> Vec<T> {
    table_rows(text).expect("tests/tables.rs parses this file")
}

static TOWNS: LazyLock<Vec<Town>> =
    LazyLock::new(|| rows(const { table_text("lesson_places.csv") }));
static QUESTIONS: LazyLock<Vec<LessonQuestion>> =
    LazyLock::new(|| rows(const { table_text("lesson_questions.csv") }));
static PAIRS: LazyLock<Vec<PairRow>> =
    LazyLock::new(|| rows(const { table_text("lesson_pairs.csv") }));

/// The towns of the lessons.
pub fn towns() -> &'static [Town] {
    &TOWNS
}

/// The questions of a lesson in the order of their letters.
pub fn lesson_questions() -> &'static [LessonQuestion] {
    &QUESTIONS
}

/// What a page asks for: a lesson, what was asked of the owner so far, and, at the end, a guess.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LessonRequest {
    /// Number that the class's floors are drawn from.
    pub seed: u64,
    /// Which floor of the class, from 1.
    pub number: usize,
    /// How sure the model itself can be of the floor.
    #[serde(default)]
    pub level: Level,
    /// Letters of the questions that were asked.
    #[serde(default)]
    pub asked: String,
    /// What the learner states; `None` while still asking.
    pub guess: Option<Guess>,
}

/// What a page gets: the learner's view, and the truth only against a guess.
#[derive(Debug, Clone, Serialize)]
pub struct LessonAnswer {
    /// The floor as far as it is known by now.
    pub view: LessonView,
    /// How the guess did; `None` without one.
    pub result: Option<LessonResult>,
}

/// Answers a page in a language.
pub fn respond(language: Language, request: &LessonRequest) -> LessonAnswer {
    let lesson = lesson(request.seed, request.number, request.level);
    LessonAnswer {
        view: lesson.view_in(language, &request.asked),
        result: request
            .guess
            .as_ref()
            .map(|it| judge(&lesson, &request.asked, it)),
    }
}
