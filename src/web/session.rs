//! What the device keeps of a visit: the file it began with and every answer as it was typed.

use super::Wrong;
use crate::survey::interview::{Interview, MONTHS, Pass, Step, opening_comment};
use crate::survey::{FieldError, FieldKind, field, parse_unfinished};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A visit on the device. It goes to and fro whole, so the module remembers nothing.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Session {
    /// The visit file that was loaded, as it stands; empty where none was.
    pub file: String,
    /// Answers as they were typed, by the path of their question. One whose question no longer
    /// makes sense stays and comes back with it.
    pub typed: BTreeMap<String, String>,
    /// Whether the rest is asked as well.
    pub rest: bool,
    /// The question that the person went back to.
    pub at: Option<String>,
}

/// The interview that a visit on the device stands for.
pub(super) struct Restored {
    pub interview: Interview,
    /// Answers that are not taken any more, with the reason.
    pub refused: BTreeMap<String, FieldError>,
}

impl Session {
    /// Goes on with a visit file.
    pub(super) fn of_file(name: &str, text: &str) -> Result<Self, Wrong> {
        let read = parse_unfinished(text, name).map_err(|it| it.to_string())?;
        Ok(Session {
            file: text.to_string(),
            typed: read.typed,
            ..Session::default()
        })
    }

    /// The interview, with every answer given again.
    pub(super) fn interview(&self, today: Option<NaiveDate>) -> Result<Restored, Wrong> {
        let mut interview = if self.file.is_empty() {
            Interview::new(today)
        } else {
            let read = parse_unfinished(&self.file, "visit").map_err(|it| it.to_string())?;
            Interview::from_draft(read.draft, &read.not_sure, today)
        }
        .at_depth(Pass::More);
        let mut left = self.typed.clone();
        let mut refused = BTreeMap::new();
        // An answer can bring a question whose answer stands before it, so this goes round
        // until nothing more is taken.
        loop {
            let before = left.len();
            for path in interview.steps().iter().map(Step::path) {
                if let Some(text) = left.get(&path)
                    && interview.go_to(&path)
                {
                    if let Err(error) = interview.answer(text) {
                        refused.insert(path.clone(), error);
                    }
                    left.remove(&path);
                }
            }
            if left.len() == before {
                break;
            }
        }
        let depth = if self.rest { Pass::More } else { Pass::Quick };
        interview = interview.unpinned().at_depth(depth);
        if let Some(path) = &self.at {
            interview.go_to(path);
        }
        Ok(Restored { interview, refused })
    }

    /// The visit file so far, under the comments of the file it began with.
    pub(super) fn file_text(&self, interview: &Interview) -> String {
        format!("{}{}", opening_comment(&self.file), interview.file_text())
    }
}

/// How an answer is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Takes {
    Choice,
    Months,
    Date,
    Number,
    Text,
}

impl Takes {
    pub(super) fn of(interview: &Interview, step: &Step) -> Self {
        if !interview.choices(step).is_empty() {
            return Takes::Choice;
        }
        if step.question.field == "reading.value" {
            // A line may hold several readings with their spots.
            return Takes::Text;
        }
        match field(&step.question.field).map(|it| it.kind) {
            Some(FieldKind::Months) => Takes::Months,
            Some(FieldKind::Date) => Takes::Date,
            Some(
                FieldKind::Text | FieldKind::Postal | FieldKind::Station | FieldKind::WeatherMonths,
            )
            | None => Takes::Text,
            Some(_) => Takes::Number,
        }
    }
}

/// Short names of the months, for a list to tick.
pub(super) fn months() -> Vec<&'static str> {
    MONTHS.to_vec()
}
