//! One lesson: a floor with a hidden truth, and what a learner may see of it.

use super::{LessonTable, Random, Telling, Truth, WeakSigns, invent, lesson_questions, towns};
use crate::climate::{Place, PlaceQuery, find_place};
use crate::odds::posterior::{Ahead, Effort, FULL, Limits, posterior};
use crate::survey::interview::choices;
use crate::survey::{AnsweredBy, ReadingValue, Visit, parse_visit, to_toml};
use crate::verdict::{Detail, Grade, GradeTable, QUESTIONS, Request, answer};
use crate::words::{self, Language, say, say_with};
use serde::{Deserialize, Serialize};

/// How sure the model itself can be of the floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Nearly never or nearly always over.
    Clear,
    /// Every grade about as often.
    #[default]
    Mixed,
    /// About even.
    Borderline,
}

impl Level {
    /// The word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Level::Clear => "clear",
            Level::Mixed => "mixed",
            Level::Borderline => "borderline",
        }
    }

    /// The least and the most chance of a floor of this level.
    fn chances(self, random: &mut Random) -> (f64, f64) {
        let table = LessonTable::bundled();
        let grades = GradeTable::bundled();
        match self {
            Level::Clear if random.chance(0.5) => (0.0, table.clear_within),
            Level::Clear => (1.0 - table.clear_within, 1.0),
            Level::Borderline => (table.border_low, table.border_high),
            Level::Mixed => [
                (0.0, grades.low_below),
                (grades.low_below, grades.moderate_below),
                (grades.moderate_below, grades.high_below),
                (grades.high_below, 1.0),
            ][random.below(4)],
        }
    }
}

/// A floor with a hidden truth.
#[derive(Debug, Clone)]
pub struct Lesson {
    /// Number that the class's floors are drawn from.
    pub seed: u64,
    /// Which floor of the class, from 1.
    pub number: usize,
    /// How sure the model itself can be of the floor.
    pub level: Level,
    /// Where it stands.
    pub place: Place,
    /// Town and state or province, as it is printed.
    pub town: String,
    /// All that an owner would answer.
    pub told: Visit,
    /// What the floor really is and does; never shown before the guess.
    pub truth: Truth,
}

/// A first look, enough to tell whether a floor is near the level wanted.
const LOOK: Effort = Effort {
    round: 256,
    most: 256,
    enough: 0.0,
    ahead: Ahead::NextYear,
};

/// Chance by which a first look may miss.
const LOOK_MISSES: f64 = 0.15;

/// The floor of a seed and a number; every town takes its turn by chance.
pub fn lesson(seed: u64, number: usize, level: Level) -> Lesson {
    let mut random = Random::of(seed ^ 0x6c65_7373_6f6e, number);
    let town = random.below(towns().len());
    lesson_in(town, seed, number, level)
}

/// The same in one town.
///
/// Floors are looked at until the tool's own chance is of the level. What is looked at is known
/// to the tool, so its chances stay as right as they are.
pub fn lesson_in(town: usize, seed: u64, number: usize, level: Level) -> Lesson {
    let table = LessonTable::bundled();
    let town = &towns()[town];
    let place = PlaceQuery::parse(&town.postal)
        .and_then(|it| find_place(&it))
        .expect("tests/lessons.rs finds every town of the table");
    let mut random = Random::of(seed, number);
    let (least, most) = level.chances(&mut random);
    let telling = Telling {
        mistake: Some(table.told_wrong),
        weak: WeakSigns::One,
        darkening_share: table.darkening_share,
    };
    let limit = GradeTable::bundled().default_meter_percent;
    let limits = Limits {
        meter_percent: Some(limit),
        probe_humidity: None,
        dome_flux: None,
    };
    let mut nearest: Option<(f64, Lesson)> = None;
    for _ in 0..table.tries_most as usize {
        let month = random.below(12);
        let mut floor = invent(&mut random, &place, &town.postal, month, telling);
        floor.told.label = Some(say_with(
            "lesson.label",
            &[("number", &number.to_string()), ("seed", &seed.to_string())],
        ));
        floor.told.limit.meter_percent = Some(limit);
        floor.told.limit.source = Some(say("lesson.limit_source").to_string());
        // As its file says it, so that `screen` reads the very same.
        floor.told = parse_visit(&to_toml(&floor.told), "invented")
            .expect("an invented floor is a visit")
            .visit;
        let over_now = floor
            .told
            .readings
            .iter()
            .any(|it| matches!(it.value, ReadingValue::Meter(percent) if percent > limit));
        if over_now {
            continue;
        }
        let look = posterior(&place, &floor.told, limits, LOOK).exceedance();
        let is_near = (least - LOOK_MISSES..most + LOOK_MISSES).contains(&look);
        if !is_near && nearest.is_some() {
            continue;
        }
        let request = Request {
            detail: Detail::Chances,
            effort: FULL.next_year_only(),
            ..Request::default()
        };
        let Some(chance) = answer(&place, &floor.told, request).0.chance else {
            continue;
        };
        let off = (least - chance).max(chance - most).max(0.0);
        if nearest.as_ref().is_none_or(|it| off < it.0) {
            let found = Lesson {
                seed,
                number,
                level,
                place: place.clone(),
                town: town.town.clone(),
                told: floor.told,
                truth: floor.truth,
            };
            nearest = Some((off, found));
        }
        if off == 0.0 {
            break;
        }
    }
    nearest.expect("some floor of hundreds is graded").1
}

/// An answer as the owner gave it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ToldAnswer {
    /// Letter of a question that was asked; none for what was told at once.
    pub letter: Option<char>,
    /// The visit file's path of the question.
    pub question: &'static str,
    /// Short name of the question.
    pub label: String,
    /// The answer in plain words.
    pub answer: String,
}

/// A question that can still be asked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Askable {
    /// Letter to ask it by.
    pub letter: char,
    /// The visit file's path of the question.
    pub question: &'static str,
    /// Short name of the question.
    pub label: String,
    /// What asking costs, minutes.
    pub minutes: u32,
}

/// What a learner sees. It has no field of the truth and is made from a visit alone, so that
/// nothing can leak.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LessonView {
    /// Number that the class's floors are drawn from.
    pub seed: u64,
    /// Which floor of the class, from 1.
    pub number: usize,
    /// How sure the model itself can be of the floor.
    pub level: Level,
    /// Town and state or province, as it is printed.
    pub town: String,
    /// Name of the nearest station, whose climate it is.
    pub climate_of: String,
    /// The day as the visit file writes it.
    pub visit_date: String,
    /// Meter limit of the system being quoted, percent by mass.
    pub limit_percent: f64,
    /// Meter readings at spots in the open floor, percent by weight.
    pub readings: Vec<f64>,
    /// The meter was checked on its check block.
    pub meter_checked: bool,
    /// What the owner said so far.
    pub told: Vec<ToldAnswer>,
    /// Questions that are still open.
    pub to_ask: Vec<Askable>,
    /// What the questions asked so far cost, minutes.
    pub minutes: u32,
    /// The visit as a file, for `screen`.
    pub visit_file: String,
}

impl Lesson {
    /// What is known once the questions of some letters were asked.
    pub fn known(&self, asked: &str) -> Visit {
        let mut visit = self.told.clone();
        for (at, it) in lesson_questions().iter().enumerate() {
            let is_known = it.is_told_first() || asked.to_uppercase().contains(letter(at));
            if !is_known {
                question_of(&it.question).clear(&mut visit);
            }
        }
        if visit.signs.spring_darkening.is_none() {
            visit.signs.springs_watched = None;
        }
        visit
    }

    /// What a learner sees after asking some questions.
    pub fn view(&self, asked: &str) -> LessonView {
        self.view_in(Language::English, asked)
    }

    /// The same in a language.
    pub fn view_in(&self, language: Language, asked: &str) -> LessonView {
        view(language, self, &self.known(asked), asked)
    }
}

/// All letters.
pub fn all_letters() -> String {
    (0..lesson_questions().len())
        .filter(|at| !lesson_questions()[*at].is_told_first())
        .map(letter)
        .collect()
}

/// The letter of a question: those that are asked are counted from A.
pub fn letter(at: usize) -> char {
    let before = lesson_questions()[..at]
        .iter()
        .filter(|it| !it.is_told_first())
        .count();
    if lesson_questions()[at].is_told_first() {
        '-'
    } else {
        char::from(b'A' + before as u8)
    }
}

pub(super) fn question_of(id: &str) -> &'static crate::verdict::OpenQuestion {
    QUESTIONS
        .iter()
        .find(|it| it.id == id)
        .expect("tests/lessons.rs knows every question of the table")
}

/// An answer in the words of the trade.
pub(super) fn answer_words(language: Language, question: &str, answer: &str) -> String {
    let word = match answer {
        "yes" => "true",
        "no" => "false",
        other => other,
    };
    choices()
        .iter()
        .find(|it| it.field == question && (it.word == word || it.word == answer))
        .map_or(answer.to_string(), |it| {
            words::choice(language, it, AnsweredBy::Estimator)
        })
}

fn view(language: Language, lesson: &Lesson, visit: &Visit, asked: &str) -> LessonView {
    let asked = asked.to_uppercase();
    let mut told = Vec::new();
    let mut to_ask = Vec::new();
    let mut minutes = 0;
    for (at, it) in lesson_questions().iter().enumerate() {
        let question = question_of(&it.question);
        let label = language
            .say(&format!("question.{}", question.id))
            .to_string();
        let is_asked = asked.contains(letter(at));
        if it.is_told_first() || is_asked {
            let answer = question.answer(visit);
            let words = answer.map_or(language.say("lesson.not_sure").to_string(), |it| {
                let mut words = answer_words(language, question.id, &it);
                if question.id == "signs.spring_darkening"
                    && let Some(springs) = visit.signs.springs_watched
                {
                    words = language.say_with(
                        "lesson.springs",
                        &[("answer", &words), ("springs", &springs.to_string())],
                    );
                }
                words
            });
            minutes += it.minutes;
            told.push(ToldAnswer {
                letter: is_asked.then(|| letter(at)),
                question: question.id,
                label,
                answer: words,
            });
        } else {
            to_ask.push(Askable {
                letter: letter(at),
                question: question.id,
                label,
                minutes: it.minutes,
            });
        }
    }
    LessonView {
        seed: lesson.seed,
        number: lesson.number,
        level: lesson.level,
        town: lesson.town.clone(),
        climate_of: lesson.place.station_name.clone(),
        visit_date: visit.visit_date.to_string(),
        limit_percent: visit
            .limit
            .meter_percent
            .unwrap_or(GradeTable::bundled().default_meter_percent),
        readings: visit
            .readings
            .iter()
            .filter_map(|it| match it.value {
                ReadingValue::Meter(percent) => Some(percent),
                _ => None,
            })
            .collect(),
        meter_checked: visit
            .readings
            .iter()
            .any(|it| it.meter_checked == Some(true)),
        told,
        to_ask,
        minutes,
        visit_file: to_toml(visit),
    }
}

/// The grade of the tool for a chance, by its word.
pub(super) fn grade_words(language: Language, grade: Option<Grade>) -> &'static str {
    language.say(match grade {
        None => "lesson.held",
        Some(Grade::Low) => "grade.low",
        Some(Grade::Moderate) => "grade.moderate",
        Some(Grade::High) => "grade.high",
        Some(Grade::VeryHigh) => "grade.very_high",
    })
}
