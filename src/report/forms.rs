//! Blank forms: the interview on paper, in its order.

use super::paper::{Block, Paper};
use crate::survey::interview::{FIRST_READING, Pass, Question, choices, questions};
use crate::survey::{AnsweredBy, FieldKind, field};
use crate::words::{Language, asked as asked_in, choice, section as section_in};

/// Rows of the table of readings. A low grade stays open under three spots.
const READINGS: usize = 6;

/// What is written down of each reading: the field and the name of its column.
pub const COLUMNS: [(&str, &str); 8] = [
    ("reading.date", "form.reading.date"),
    ("reading.kind", "form.reading.kind"),
    ("reading.scale", "form.reading.scale"),
    ("reading.value", "form.reading.value"),
    ("reading.spot", "form.reading.spot"),
    ("reading.wall_distance_m", "form.reading.wall_distance_m"),
    ("reading.meter_id", "form.reading.meter_id"),
    ("reading.meter_checked", "form.reading.meter_checked"),
];

/// The interview as a form to be filled in by hand.
pub fn form(audience: AnsweredBy) -> Paper {
    form_in(audience, Language::English)
}

/// The same in a language.
pub fn form_in(audience: AnsweredBy, language: Language) -> Paper {
    let mut blocks = vec![
        Block::Text(language.say("form.intro").to_string()),
        Block::Text(language.say("disclaimer").to_string()),
    ];
    for pass in [Pass::Quick, Pass::More] {
        blocks.push(Block::Heading(
            language
                .say(match pass {
                    Pass::Quick => "form.quick",
                    Pass::More => "form.more",
                })
                .to_string(),
        ));
        let mut section = "";
        for question in questions() {
            if question.pass != pass || question.words(audience).is_empty() {
                continue;
            }
            if audience == AnsweredBy::Homeowner && question.ask_home.is_empty() {
                continue;
            }
            // The readings are one table, where they are first asked for.
            if question.is_per_reading() {
                continue;
            }
            if question.section != section {
                section = &question.section;
                blocks.push(Block::Heading(section_in(language, question)));
            }
            if question.field == FIRST_READING {
                blocks.push(readings(language));
                continue;
            }
            blocks.push(asked(question, audience, language));
        }
    }
    blocks.push(Block::Text(language.say("form.then").to_string()));
    Paper {
        title: language
            .say(match audience {
                AnsweredBy::Estimator => "form.title",
                AnsweredBy::Homeowner => "form.title_home",
            })
            .to_string(),
        blocks,
    }
}

/// Boxes where there is something to choose, else a line to write on.
fn asked(question: &Question, audience: AnsweredBy, language: Language) -> Block {
    let words = asked_in(language, question, audience);
    let named = |wanted: &str| {
        choices()
            .iter()
            .filter(|it| it.field == wanted)
            .map(|it| choice(language, it, audience))
            .collect::<Vec<String>>()
    };
    let mut boxes = named(&question.field);
    let is_yes_no = field(&question.field).is_some_and(|it| it.kind == FieldKind::YesNo);
    if boxes.is_empty() && is_yes_no {
        boxes = named("any");
    }
    if boxes.is_empty() {
        return Block::Blanks(vec![words]);
    }
    if !question.is_needed() && question.field != "answered_by" {
        boxes.push(language.say("form.not_sure").to_string());
    }
    Block::Boxes { ask: words, boxes }
}

/// The readings, a row each, with a column for each question that every reading asks.
fn readings(language: Language) -> Block {
    let mut head = vec![language.say("form.reading").to_string()];
    head.extend(COLUMNS.iter().map(|(_, key)| language.say(key).to_string()));
    let columns = head.len();
    let rows = (1..=READINGS)
        .map(|at| {
            let mut row = vec![language.say_with("form.reading.row", &[("row", &at.to_string())])];
            row.resize(columns, String::new());
            row
        })
        .collect();
    Block::Table { head, rows }
}
