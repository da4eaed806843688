//! From rows of a table to one visit, with every problem's line, column and value.

use super::columns::{Columns, Holds, takes_number};
use crate::survey::{Draft, FieldError, Parsed, Raw, field, notes, range, set_field};
use crate::words::{say, say_with};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// One record of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Line of the file on which it begins, from 1.
    pub line: u64,
    /// The fields, or why the record cannot be taken apart.
    pub cells: Result<Vec<Vec<u8>>, String>,
}

/// Rows that belong to one floor, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rows {
    pub rows: Vec<Row>,
    /// Rows of the same visit stand further up, with others between.
    pub is_torn: bool,
}

/// What is wrong with a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub line: u64,
    pub column: Option<String>,
    /// What was given, what is accepted and what to do.
    pub told: String,
}

impl Problem {
    /// "line 12, column reading.1.value: ..."
    pub fn place(&self) -> String {
        match &self.column {
            Some(column) => format!("line {}, column {column}", self.line),
            None => format!("line {}", self.line),
        }
    }
}

/// How a floor turned out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    HeldUp,
    Blistered,
    NotCoated,
}

impl Outcome {
    pub const ALL: [Outcome; 3] = [Outcome::HeldUp, Outcome::Blistered, Outcome::NotCoated];

    /// The word of the table.
    pub fn word(self) -> &'static str {
        match self {
            Outcome::HeldUp => "held_up",
            Outcome::Blistered => "blistered",
            Outcome::NotCoated => "not_coated",
        }
    }

    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|it| it.word() == word)
    }

    /// From what a person wrote.
    ///
    /// # Errors
    ///
    /// What is accepted.
    pub fn of_text(text: &str) -> Result<Self, String> {
        Self::from_word(&text.to_lowercase().replace(' ', "_")).ok_or_else(|| {
            let words = Self::ALL.map(Self::word).join(" | ");
            let blanks = [("given", &*shortened(text)), ("words", &words)];
            say_with("batch.outcome_word", &blanks)
        })
    }
}

/// A floor of the table as it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct FloorRead {
    pub line: u64,
    /// The word that ties its rows together, where one was given.
    pub visit: Option<String>,
    pub outcome: Option<Outcome>,
    pub outcome_date: Option<NaiveDate>,
    pub parsed: Result<Parsed, Vec<Problem>>,
}

/// The visit that a row belongs to; none where the column is not there or empty.
pub fn visit_of(columns: &Columns, row: &Row) -> Option<String> {
    let at = columns.position_of(&Holds::Visit)?;
    let cells = row.cells.as_ref().ok()?;
    let text = std::str::from_utf8(cells.get(at)?).ok()?.trim();
    (!text.is_empty()).then(|| text.to_string())
}

/// More problems of one floor than anybody reads.
const MOST_PROBLEMS: usize = 20;

struct Reading<'a> {
    columns: &'a Columns,
    draft: Draft,
    /// Line and column of each path that was given, and the text there.
    given: BTreeMap<String, (u64, usize, String)>,
    outcome: Option<Outcome>,
    outcome_date: Option<NaiveDate>,
    wrong: Vec<Problem>,
}

/// Reads the rows of one floor.
pub fn read_floor(columns: &Columns, rows: &Rows) -> FloorRead {
    let first = &rows.rows[0];
    let visit = visit_of(columns, first);
    let mut reading = Reading {
        columns,
        draft: Draft::default(),
        given: BTreeMap::new(),
        outcome: None,
        outcome_date: None,
        wrong: Vec::new(),
    };
    if rows.is_torn {
        let name = visit.clone().unwrap_or_default();
        reading.wrong.push(Problem {
            line: first.line,
            column: Some("visit".to_string()),
            told: say_with("batch.visit_torn", &[("visit", &shortened(&name))]),
        });
    } else {
        for row in &rows.rows {
            reading.row(row);
        }
    }
    let Reading {
        draft,
        given,
        outcome,
        outcome_date,
        mut wrong,
        ..
    } = reading;
    let parsed = if wrong.is_empty() {
        let notes = notes(&draft);
        draft
            .finish()
            .map(|visit| Parsed { visit, notes })
            .map_err(|found| {
                found
                    .iter()
                    .map(|it| placed(columns, &given, first.line, it))
                    .collect()
            })
    } else {
        wrong.truncate(MOST_PROBLEMS);
        Err(wrong)
    };
    FloorRead {
        line: first.line,
        visit: visit.map(|it| shortened(&it)),
        outcome,
        outcome_date,
        parsed,
    }
}

/// The line and column of a problem across fields.
fn placed(
    columns: &Columns,
    given: &BTreeMap<String, (u64, usize, String)>,
    line: u64,
    error: &FieldError,
) -> Problem {
    let near = match error {
        FieldError::Needed {
            near: Some(near), ..
        } => given
            .iter()
            .find(|(path, _)| path.starts_with(&format!("{near}."))),
        _ => None,
    };
    let exact = given.get_key_value(error.path());
    let line = exact.or(near).map_or(line, |(_, at)| at.0);
    let column = exact.map(|(_, at)| columns.name(at.1).to_string());
    Problem {
        line,
        column,
        told: error.to_string(),
    }
}

/// At most 200 characters on one line; longer labels are no names.
fn shortened(text: &str) -> String {
    let most = range("text.characters").high as usize;
    text.chars()
        .map(|it| if it.is_control() { ' ' } else { it })
        .take(most)
        .collect()
}

impl Reading<'_> {
    fn row(&mut self, row: &Row) {
        let cells = match &row.cells {
            Ok(cells) => cells,
            Err(told) => return self.fail(row.line, None, told.clone()),
        };
        let columns = self.columns;
        let count = columns.columns.len();
        let rest_is_empty = |from: usize| cells[from..].iter().all(|it| it.is_empty());
        if cells.len() > count && !rest_is_empty(count) || cells.len() < count {
            let blanks = [
                ("given", &*cells.len().to_string()),
                ("wanted", &count.to_string()),
            ];
            return self.fail(row.line, None, say_with("batch.row_length", &blanks));
        }
        // Readings of a further row stand behind those of the rows before.
        let base = self.draft.readings.len();
        for (at, cell) in cells.iter().take(count).enumerate() {
            let Ok(text) = std::str::from_utf8(cell) else {
                self.fail(row.line, Some(at), say("batch.cell_bytes").to_string());
                continue;
            };
            let text = text.trim();
            if !text.is_empty() && self.wrong.len() < MOST_PROBLEMS {
                self.cell(row.line, at, text, base);
            }
        }
    }

    fn cell(&mut self, line: u64, at: usize, text: &str, base: usize) {
        let columns = self.columns;
        match &columns.columns[at].holds {
            Holds::Visit => {}
            Holds::Nothing => {
                let told = say_with("batch.no_heading", &[("given", &shortened(text))]);
                self.fail(line, Some(at), told);
            }
            Holds::Outcome => match Outcome::of_text(text) {
                Ok(outcome) if self.outcome.is_none_or(|it| it == outcome) => {
                    self.outcome = Some(outcome);
                }
                Ok(_) => self.fail(line, Some(at), say("batch.outcome_twice").to_string()),
                Err(told) => self.fail(line, Some(at), told),
            },
            Holds::OutcomeDate => match NaiveDate::parse_from_str(text, "%Y-%m-%d") {
                Ok(date) => self.outcome_date = Some(date),
                Err(_) => {
                    let told = say_with("batch.outcome_date", &[("given", &shortened(text))]);
                    self.fail(line, Some(at), told);
                }
            },
            Holds::Field(path) => self.field(line, at, path.clone(), text),
            Holds::Reading(number, leaf) => {
                let place = base + number;
                if place as f64 >= range("file.readings").high {
                    let most = range("file.readings").accepted();
                    let told = say_with("batch.readings", &[("most", &most)]);
                    return self.fail(line, Some(at), told);
                }
                self.field(line, at, format!("reading.{}.{leaf}", place + 1), text);
            }
        }
    }

    fn field(&mut self, line: u64, at: usize, path: String, text: &str) {
        if let Some((first, _, before)) = self.given.get(&path) {
            // A further row of a visit may say again what its first row said.
            if before != text {
                let blanks = [
                    ("given", &*shortened(text)),
                    ("before", &shortened(before)),
                    ("line", &first.to_string()),
                ];
                self.fail(line, Some(at), say_with("batch.visit_differs", &blanks));
            }
            return;
        }
        if takes_number(&path) && has_decimal_comma(text) {
            let blanks = [
                ("given", &*shortened(text)),
                ("point", &shortened(&text.replacen(',', ".", 1))),
                (
                    "accepted",
                    &field(&path).map(|it| it.accepted()).unwrap_or_default(),
                ),
            ];
            return self.fail(line, Some(at), say_with("batch.decimal_comma", &blanks));
        }
        match set_field(&mut self.draft, &path, &Raw::Text(text.to_string())) {
            Ok(()) => {
                self.given.insert(path, (line, at, text.to_string()));
            }
            Err(error) => self.fail(line, Some(at), error.to_string()),
        }
    }

    fn fail(&mut self, line: u64, at: Option<usize>, told: String) {
        self.wrong.push(Problem {
            line,
            column: at.map(|it| self.columns.name(it).to_string()),
            told,
        });
    }
}

/// Whether a comma stands between digits, as in `3,6`.
fn has_decimal_comma(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes
        .windows(3)
        .any(|it| it[0].is_ascii_digit() && it[1] == b',' && it[2].is_ascii_digit())
}
