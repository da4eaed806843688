//! Why each question is asked and what it moves in unlike climates, from tables and model.

use super::lesson::answer_words;
use super::pairs::pair_visit;
use super::{lesson_questions, towns};
use crate::climate::{PlaceQuery, find_place};
use crate::report::{Page, short_chance};
use crate::survey::interview::{choices, questions};
use crate::survey::{PlaceName, Visit};
use crate::verdict::answer_effects::answer_effects;
use crate::words::{Language, say, say_with};
use serde::Serialize;

/// One question explained.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explained {
    /// The visit file's path of the question.
    pub question: &'static str,
    /// Short name of the question.
    pub label: &'static str,
    /// Why it is asked and what it moves.
    pub why: &'static str,
    /// Where the question comes from.
    pub source: &'static str,
    /// Towns of the columns.
    pub towns: Vec<String>,
    /// Answer in plain words and the chance it makes in each town.
    pub answers: Vec<(String, Vec<f64>)>,
}

/// Explains every question of the lessons that has a few answers to choose from.
pub fn explain() -> Vec<Explained> {
    let places: Vec<_> = towns()
        .iter()
        .filter(|it| it.is_explained())
        .map(|it| {
            let place = PlaceQuery::parse(&it.postal)
                .and_then(|query| find_place(&query))
                .expect("tests/lessons.rs finds every town of the table");
            (it, place)
        })
        .collect();
    lesson_questions()
        .iter()
        .filter_map(|asked| {
            let question = super::lesson::question_of(&asked.question);
            let words = words_of(question.id);
            let row = questions().iter().find(|it| it.field == question.id);
            if words.is_empty() {
                return None;
            }
            let (why, source) = match row {
                Some(row) => (row.why.as_str(), row.source.as_str()),
                // Gutters and grading are asked as two questions.
                None => (say("lesson.why_drainage"), "judgement"),
            };
            let by_town: Vec<Vec<(String, f64)>> = places
                .iter()
                .map(|(town, place)| {
                    let visit = Visit {
                        place: PlaceName::Postal(town.postal.clone()),
                        ..base_visit(question.id)
                    };
                    answer_effects(place, &visit, question.id, &words)
                })
                .collect();
            let answers = words
                .iter()
                .filter_map(|word| {
                    let chances: Vec<f64> = by_town
                        .iter()
                        .filter_map(|it| it.iter().find(|it| it.0 == *word).map(|it| it.1))
                        .collect();
                    let label = if *word == "unknown" {
                        say("lesson.not_sure").to_string()
                    } else {
                        answer_words(Language::English, question.id, word)
                    };
                    (chances.len() == places.len()).then_some((label, chances))
                })
                .collect();
            Some(Explained {
                question: question.id,
                label: say(&format!("question.{}", question.id)),
                why,
                source,
                towns: places.iter().map(|it| it.0.town.clone()).collect(),
                answers,
            })
        })
        .collect()
}

/// The floor of the pairs, with everything open that a question could ask. A reading would hide
/// what an answer is worth; only the weather of late speaks of one.
fn base_visit(question: &str) -> Visit {
    let mut visit = pair_visit("base", false);
    if question != "lot.lately" {
        visit.readings.clear();
    }
    visit.lot.drainage = None;
    visit.lot.position = None;
    visit
}

/// The answers of a question in the visit file's words, and "not sure".
fn words_of(question: &str) -> Vec<&'static str> {
    let own: Vec<&'static str> = choices()
        .iter()
        .filter(|it| it.field == question && it.word != "standing")
        .map(|it| it.word.as_str())
        .collect();
    let is_yes_no = matches!(
        crate::survey::field(question).map(|it| &it.kind),
        Some(crate::survey::FieldKind::YesNo)
    );
    match (own.is_empty(), is_yes_no) {
        (false, _) => own.into_iter().chain(["unknown"]).collect(),
        (true, true) => vec!["yes", "no", "unknown"],
        (true, false) => Vec::new(),
    }
}

/// The explanations, one table a question.
pub fn explained_text(all: &[Explained], width: usize) -> String {
    let mut page = Page::new(width);
    page.line(say("lesson.signs_head"));
    page.paragraph(say("lesson.signs_how"));
    for it in all {
        page.title(it.label);
        page.paragraph(&say_with(
            "lesson.why",
            &[("why", it.why), ("source", it.source)],
        ));
        let head: Vec<String> = it.towns.iter().map(|town| format!("{town:>14}")).collect();
        page.line(&format!("  {:<30}{}", "", head.join("")));
        for (answer, chances) in &it.answers {
            let cells: Vec<String> = chances
                .iter()
                .map(|chance| format!("{:>14}", short_chance(*chance)))
                .collect();
            page.line(&format!("  {answer:<30}{}", cells.join("")));
        }
    }
    page.line("");
    page.wrapped(say("disclaimer"), "", "");
    page.done()
}
