//! The heading of a table of floors: which column is which field.

use super::spreadsheet::{field_of_key, near_heading, path_of};
use crate::survey::{
    DateOrder, FieldError, FieldKind, MeterScale, ReadingKind, field, unknown_field,
};
use crate::words::say_with;
use std::collections::HashMap;

/// What a table leaves unsaid, and what it carries along.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Habits {
    /// Whether columns that are no field pass through to the results.
    pub keep_columns: bool,
    /// Which number comes first in a day that could be two.
    pub dates: Option<DateOrder>,
    /// What a reading is where its kind or scale is not given.
    pub assumed: Assumed,
}

/// What a reading is taken for where the table does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Assumed {
    /// How readings were taken; `None` where each row must say.
    pub kind: Option<ReadingKind>,
    /// Of meters alone.
    pub scale: Option<MeterScale>,
}

impl Assumed {
    /// Reads "meter" or "meter,percent".
    pub fn of_text(text: &str) -> Option<Self> {
        let mut parts = text.split(',').map(|it| it.trim().to_lowercase());
        let kind = ReadingKind::from_word(&parts.next()?)?;
        let scale = match parts.next() {
            None => None,
            Some(word) if kind == ReadingKind::Meter => Some(MeterScale::from_word(&word)?),
            Some(_) => return None,
        };
        parts.next().is_none().then_some(Self {
            kind: Some(kind),
            scale,
        })
    }
}

/// What stands in a column.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) enum Holds {
    /// Ties rows of one visit together.
    Visit,
    Outcome,
    OutcomeDate,
    /// A field of the visit file, by its path.
    Field(String),
    /// A reading's field: number of the reading in its row, from 0, and the field's name.
    Reading(usize, String),
    /// No field: carried along to the results, under its own name.
    Kept(String),
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
    pub(super) habits: Habits,
    /// Whether commas stand in numbers for a decimal point, as where semicolons part the cells.
    pub(super) has_decimal_commas: bool,
}

impl Columns {
    /// Reads the heading.
    ///
    /// # Errors
    ///
    /// A sentence for each column that is no field, stands twice, or is not text.
    pub fn of(heading: &[Vec<u8>], habits: Habits) -> Result<Self, Vec<String>> {
        let mut columns: Vec<Column> = Vec::with_capacity(heading.len());
        let mut wrong = Vec::new();
        // The number of the column that holds each thing first.
        let mut first_of: HashMap<Holds, usize> = HashMap::new();
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
                "outcome_date" | "outcome date" => Holds::OutcomeDate,
                _ => match (path_of(&name), carried(text.trim(), habits)) {
                    (Some(path), _) if path == "outcome" => Holds::Outcome,
                    (Some(path), _) => match reading_of(&path) {
                        Some((reading, leaf)) => Holds::Reading(reading, leaf),
                        None => Holds::Field(path),
                    },
                    (None, Some(kept)) => Holds::Kept(kept),
                    (None, None) if field_of_key(text).is_some() => {
                        let blanks = [
                            ("column", number.as_str()),
                            ("given", text.trim()),
                            ("field", field_of_key(text).unwrap_or_default()),
                        ];
                        wrong.push(say_with("batch.heading_key", &blanks));
                        continue;
                    }
                    (None, None) => {
                        let near = near_heading(text).filter(|_| !name.contains('.'));
                        let told = match near {
                            Some(near) => FieldError::Unknown {
                                path: name.clone(),
                                advice: format!("did you mean `{near}`?"),
                            },
                            None => unknown_field(&name),
                        }
                        .to_string();
                        wrong.push(say_with(
                            "batch.heading_unknown",
                            &[("column", &number), ("told", &told)],
                        ));
                        continue;
                    }
                },
            };
            let first = match &holds {
                Holds::Nothing => None,
                _ => first_of.get(&holds),
            };
            match first {
                Some(first) => wrong.push(say_with(
                    "batch.heading_twice",
                    &[
                        ("column", &number),
                        ("name", &name),
                        ("first", &first.to_string()),
                    ],
                )),
                None => {
                    first_of.insert(holds.clone(), at + 1);
                    columns.push(Column { name, holds });
                }
            }
        }
        let names_a_date = first_of.contains_key(&Holds::Field("visit_date".to_string()));
        if wrong.is_empty() && !names_a_date {
            wrong.push(say_with("batch.heading_none", &[]));
        }
        if wrong.is_empty() {
            Ok(Self {
                columns,
                habits,
                has_decimal_commas: false,
            })
        } else {
            Err(wrong)
        }
    }

    /// The same in a table whose cells this byte parts.
    pub fn parted_by(self, delimiter: u8) -> Self {
        Self {
            has_decimal_commas: delimiter == b';',
            ..self
        }
    }

    /// Whether the table has readings and nothing says how they were taken.
    pub fn leaves_kinds_unsaid(&self) -> bool {
        let has = |leaf: &str| {
            let mut all = self.columns.iter();
            all.any(|it| matches!(&it.holds, Holds::Reading(_, name) if name == leaf))
        };
        has("value") && !has("kind") && self.habits.assumed.kind.is_none()
    }

    /// Names of the columns that are carried along, in the order of the table.
    pub fn kept(&self) -> impl Iterator<Item = &str> {
        self.columns.iter().filter_map(|it| match &it.holds {
            Holds::Kept(name) => Some(name.as_str()),
            _ => None,
        })
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

/// The name under which a column that is no field is carried along: one that begins with
/// `note.`, or on wish any that is not a slip for a field.
fn carried(heading: &str, habits: Habits) -> Option<String> {
    let note = heading
        .get(..NOTE.len())
        .filter(|it| it.eq_ignore_ascii_case(NOTE))
        .map(|_| heading[NOTE.len()..].trim().to_string());
    let is_slip = || near_heading(heading).is_some() || field_of_key(heading).is_some();
    let other = || (habits.keep_columns && !is_slip()).then(|| heading.to_string());
    note.filter(|it| !it.is_empty()).or_else(other)
}

/// What begins the name of a column that is carried along.
const NOTE: &str = "note.";

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

/// Whether a field takes a day.
pub(super) fn takes_day(path: &str) -> bool {
    field(path).is_some_and(|it| it.kind == FieldKind::Date)
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
