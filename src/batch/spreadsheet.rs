//! What people write in their own spreadsheets: headings, outcomes and cells left open.

use crate::survey::{FIELDS, field};
use crate::units::{table_rows, table_text};
use serde::Deserialize;
use std::sync::LazyLock;

/// One row of `tables/spreadsheet_words.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct SpreadsheetWord {
    /// Where the word stands.
    pub kind: WordKind,
    /// The word as people write it; spaces and case do not matter.
    pub given: String,
    /// The path of a field, with `{n}` for the number of a reading; that and its word for a cell
    /// of a field; the word of an outcome; nothing for a cell left open.
    pub means: String,
}

/// What a word stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WordKind {
    /// Heading of a column.
    Heading,
    /// Word of a heading that probably answers a question.
    Key,
    /// Cell of a field.
    Answer,
    /// How a floor turned out.
    Outcome,
    /// A cell that says "not sure".
    Open,
}

static WORDS: LazyLock<Vec<SpreadsheetWord>> = LazyLock::new(|| {
    table_rows(const { table_text("spreadsheet_words.csv") })
        .expect("tests/tables.rs parses this file")
});

/// Lower case, with one blank where people write blanks, hyphens and underscores.
fn plain(text: &str) -> String {
    text.to_lowercase()
        .split([' ', '_', '-', '\t', '#'])
        .filter(|it| !it.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Whether a cell says "not sure".
pub(super) fn is_open(cell: &str) -> bool {
    let lower = cell.trim().to_lowercase();
    WORDS
        .iter()
        .any(|it| it.kind == WordKind::Open && it.given == lower)
}

/// The word of an outcome that somebody wrote in their own words.
pub(super) fn outcome_word(text: &str) -> Option<&'static str> {
    let text = plain(text);
    WORDS
        .iter()
        .find(|it| it.kind == WordKind::Outcome && it.given == text)
        .map(|it| it.means.as_str())
}

/// The word of a field that a cell in an office's words stands for.
pub(super) fn answer_word(path: &str, text: &str) -> Option<&'static str> {
    let text = plain(text);
    WORDS
        .iter()
        .filter(|it| it.kind == WordKind::Answer && it.given == text)
        .filter_map(|it| it.means.split_once(' '))
        .find(|(field, _)| *field == path)
        .map(|(_, word)| word)
}

/// The field whose question a heading that is not read probably answers.
pub(super) fn field_of_key(heading: &str) -> Option<&'static str> {
    let words = plain(&heading.replace(['.', '?', ',', '(', ')', '/'], " "));
    WORDS
        .iter()
        .filter(|it| it.kind == WordKind::Key)
        .find(|it| words.split(' ').any(|word| word == it.given))
        .map(|it| it.means.as_str())
}

/// The path, or the name of a column of ours, that a heading stands for.
pub(super) fn path_of(heading: &str) -> Option<String> {
    let exact = heading.trim().to_lowercase();
    if field(&exact).is_some() {
        return Some(exact);
    }
    let plain = plain(&exact.replace('.', " "));
    let by_word = WORDS
        .iter()
        .filter(|it| it.kind == WordKind::Heading)
        .find_map(|it| meant(&it.given, &it.means, &plain));
    by_word
        .or_else(|| by_path(&plain))
        .or_else(|| by_leaf(&plain))
}

/// What a row of the table makes of a heading.
fn meant(given: &str, means: &str, plain: &str) -> Option<String> {
    match given.strip_suffix("{n}") {
        None => (given == plain).then(|| means.to_string()),
        Some(before) => {
            let number = plain.strip_prefix(before)?;
            let is_number = !number.is_empty() && number.bytes().all(|it| it.is_ascii_digit());
            is_number.then(|| means.replace("{n}", number))
        }
    }
}

/// "Reading 2 wall distance" and "Floor year built": a path with blanks.
fn by_path(plain: &str) -> Option<String> {
    let (table, rest) = plain.split_once(' ')?;
    let (number, leaf) = match rest.split_once(' ') {
        Some((number, leaf)) if number.bytes().all(|it| it.is_ascii_digit()) => {
            (format!("{number}."), leaf)
        }
        _ => (String::new(), rest),
    };
    let path = format!("{table}.{number}{}", leaf.replace(' ', "_"));
    field(&path).is_some().then_some(path)
}

/// "Year Built": the name of one field alone, whatever its table.
fn by_leaf(plain: &str) -> Option<String> {
    let leaf = plain.replace(' ', "_");
    let mut named = FIELDS
        .iter()
        .filter(|it| it.leaf() == leaf && leaf.len() > 1);
    match (named.next(), named.next()) {
        (Some(it), None) => Some(it.path.to_string()),
        _ => None,
    }
}

/// The heading that was probably meant by one that stands for nothing.
pub(super) fn near_heading(heading: &str) -> Option<String> {
    let plain = plain(&heading.replace('.', " "));
    let names = FIELDS
        .iter()
        .flat_map(|it| [it.path, it.leaf()])
        .map(|it| it.replace(['_', '.'], " "));
    let words = WORDS
        .iter()
        .filter(|it| it.kind == WordKind::Heading)
        .map(|it| it.given.clone());
    let known: Vec<String> = names.chain(words).filter(|it| it.len() > 3).collect();
    crate::survey::nearest(&plain, known.iter().map(String::as_str)).map(str::to_string)
}

/// The heading of an empty table, in an office's words.
const TEMPLATE: [&str; 24] = [
    "Visit",
    "Visit Date",
    "ZIP",
    "Floor Setting",
    "Year Built",
    "Vapor Retarder",
    "Lot Position",
    "Gutters and Grading",
    "Dark in Spring",
    "Days Since Washed",
    "Surface",
    "Reading 1",
    "Spot 1",
    "Wall 1",
    "Reading 2",
    "Spot 2",
    "Wall 2",
    "Reading 3",
    "Spot 3",
    "Wall 3",
    "Data Sheet Limit",
    "Outcome",
    "note.Job",
    "note.Phone",
];

/// Two invented floors under that heading.
const EXAMPLE: [[&str; 24]; 2] = [
    [
        "invented A",
        "2026-09-08",
        "05401",
        "basement",
        "1961",
        "?",
        "low",
        "failing",
        "yes",
        "40",
        "bare",
        "3.9",
        "middle",
        "10ft",
        "4.2",
        "south",
        "3ft",
        "3.6",
        "stairs",
        "8ft",
        "5%",
        "",
        "1042",
        "000-0100",
    ],
    [
        "invented B",
        "9/18/2026",
        "80202",
        "walk out",
        "1994",
        "seen",
        "level",
        "sound",
        "no",
        "-",
        "bare",
        "2.4",
        "middle",
        "9ft",
        "2.6",
        "north",
        "6ft",
        "2.5",
        "door",
        "7ft",
        "4%",
        "Held up",
        "1043",
        "000-0101",
    ],
];

/// An empty table of floors, and the same with invented floors, as comma-separated values.
pub fn template() -> (String, String) {
    let line = |cells: &[&str]| format!("{}\n", cells.join(","));
    let empty = line(&TEMPLATE);
    let filled: String = EXAMPLE.iter().map(|it| line(it)).collect();
    (empty.clone(), format!("{empty}{filled}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::Outcome;

    fn takes_word(path: &str, word: &str) -> bool {
        let mut draft = crate::survey::Draft::default();
        let raw = crate::survey::Raw::Text(word.to_string());
        crate::survey::set_field(&mut draft, path, &raw).is_ok()
    }

    /// A word that means nothing would be a silent gap.
    #[test]
    fn every_word_means_something() {
        for it in WORDS.iter() {
            let is_known = match it.kind {
                WordKind::Heading => {
                    it.means == "outcome" || field(&it.means.replace("{n}", "2")).is_some()
                }
                WordKind::Key => field(&it.means).is_some(),
                WordKind::Answer => it
                    .means
                    .split_once(' ')
                    .is_some_and(|(path, word)| takes_word(path, word)),
                WordKind::Outcome => Outcome::from_word(&it.means).is_some(),
                WordKind::Open => it.means.is_empty(),
            };
            assert!(is_known, "{it:?}");
            // One word may answer several questions.
            let of = |one: &SpreadsheetWord| match one.kind {
                WordKind::Answer => one.means.split(' ').next().map(str::to_string),
                _ => None,
            };
            let first = WORDS
                .iter()
                .find(|one| (one.kind, &one.given, of(one)) == (it.kind, &it.given, of(it)));
            assert_eq!(first, Some(it), "given twice");
        }
    }

    #[test]
    fn headings_are_read_as_offices_write_them() {
        for (heading, path) in [
            ("Visit Date", "visit_date"),
            ("ZIP", "postal"),
            ("Year Built", "floor.year_built"),
            ("Reading 1", "reading.1.value"),
            ("reading_2", "reading.2.value"),
            ("Reading 2 Spot", "reading.2.spot"),
            ("Wall 3", "reading.3.wall_distance"),
            ("LOT POSITION", "lot.position"),
            ("Vapor Barrier", "floor.retarder"),
            ("floor.setting", "floor.setting"),
            ("Floor Setting", "floor.setting"),
            ("musty smell", "signs.musty_smell"),
        ] {
            assert_eq!(path_of(heading).as_deref(), Some(path), "{heading}");
        }
        for heading in [
            "Job", "Phone", "Notes", "Customer", "x", "Crew", "City", "Price",
        ] {
            assert_eq!(path_of(heading), None, "{heading}");
            assert_eq!(near_heading(heading), None, "{heading}");
        }
        for heading in ["Yaer Built", "vist date", "lot.positon", "Retardr"] {
            assert_eq!(path_of(heading), None, "{heading}");
            assert!(near_heading(heading).is_some(), "{heading}");
        }
    }
}
