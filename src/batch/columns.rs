//! The heading of a table of floors: which column is which field.

use crate::survey::{FieldKind, field, unknown_field};
use crate::words::say_with;

/// What stands in a column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Holds {
    /// Ties rows of one visit together.
    Visit,
    Outcome,
    OutcomeDate,
    /// A field of the visit file, by its path.
    Field(String),
    /// A reading's field: number of the reading in its row, from 0, and the field's name.
    Reading(usize, String),
    /// No name and, if the file is sound, nothing in it.
    Nothing,
}

/// One column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Column {
    pub name: String,
    pub holds: Holds,
}

/// The columns of a table of floors.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    pub(super) columns: Vec<Column>,
}

impl Columns {
    /// Reads the heading.
    ///
    /// # Errors
    ///
    /// A sentence for each column that is no field, stands twice, or is not text.
    pub fn of(heading: &[Vec<u8>]) -> Result<Self, Vec<String>> {
        let mut columns: Vec<Column> = Vec::with_capacity(heading.len());
        let mut wrong = Vec::new();
        for (at, cell) in heading.iter().enumerate() {
            let number = (at + 1).to_string();
            let Ok(text) = std::str::from_utf8(cell) else {
                wrong.push(say_with("batch.heading_bytes", &[("column", &number)]));
                continue;
            };
            let name = text.trim().to_lowercase();
            let holds = match name.as_str() {
                "" => Holds::Nothing,
                "visit" => Holds::Visit,
                "outcome" => Holds::Outcome,
                "outcome_date" => Holds::OutcomeDate,
                path => match (field(path), reading_of(path)) {
                    (Some(_), Some((reading, leaf))) => Holds::Reading(reading, leaf),
                    (Some(_), None) => Holds::Field(path.to_string()),
                    (None, _) => {
                        let told = unknown_field(path).to_string();
                        wrong.push(say_with(
                            "batch.heading_unknown",
                            &[("column", &number), ("told", &told)],
                        ));
                        continue;
                    }
                },
            };
            let twin = columns
                .iter()
                .position(|it| it.holds == holds && holds != Holds::Nothing);
            match twin {
                Some(first) => wrong.push(say_with(
                    "batch.heading_twice",
                    &[
                        ("column", &number),
                        ("name", &name),
                        ("first", &(first + 1).to_string()),
                    ],
                )),
                None => columns.push(Column { name, holds }),
            }
        }
        let names_a_date = columns
            .iter()
            .any(|it| it.holds == Holds::Field("visit_date".to_string()));
        if wrong.is_empty() && !names_a_date {
            wrong.push(say_with("batch.heading_none", &[]));
        }
        if wrong.is_empty() {
            Ok(Self { columns })
        } else {
            Err(wrong)
        }
    }

    /// Whether any column ties rows together.
    pub(super) fn position_of(&self, holds: &Holds) -> Option<usize> {
        self.columns.iter().position(|it| it.holds == *holds)
    }

    /// Name of the column at a place.
    pub(super) fn name(&self, at: usize) -> &str {
        &self.columns[at].name
    }
}

/// `reading.2.value` and `reading.value`, which is the first, as number from 0 and name.
fn reading_of(path: &str) -> Option<(usize, String)> {
    let rest = path.strip_prefix("reading.")?;
    match rest.split_once('.') {
        Some((number, leaf)) => {
            let number = number.parse::<usize>().ok()?;
            Some((number.checked_sub(1)?, leaf.to_string()))
        }
        None => Some((0, rest.to_string())),
    }
}

/// Whether a field takes a number, so that a comma in it was meant as a decimal point.
pub(super) fn takes_number(path: &str) -> bool {
    field(path).is_some_and(|it| {
        matches!(
            it.kind,
            FieldKind::Whole
                | FieldKind::Number
                | FieldKind::Humidity
                | FieldKind::ProbePercent
                | FieldKind::WithUnit(_)
                | FieldKind::ReadingValue
        )
    })
}
