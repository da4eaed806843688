//! The one risk that leads a result, as the ledger keeps it.

use crate::report::Report;
use serde::{Deserialize, Serialize};

/// The one risk that leads a result: the worse of the bare floor and the system quoted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeadlineStated {
    /// `bare_floor`, for the next year, or `quoted_system`, for five years.
    pub of: String,
    /// Its grade, `low` to `very_high`.
    pub grade: String,
    /// Its chance, 0 to 1.
    pub chance: f64,
    /// The way that was quoted.
    pub way: String,
}

impl HeadlineStated {
    /// That of a report; none where there is no grade.
    pub fn of_report(report: &Report) -> Option<Self> {
        let headline = &report.headline;
        Some(Self {
            of: word_of(&headline.of),
            grade: word_of(&headline.grade?),
            chance: headline.chance?,
            way: report.quoted_way.word().to_string(),
        })
    }

    /// Whether it is of the system that is quoted, which is then worse than the bare floor.
    pub fn is_of_system(&self) -> bool {
        self.of == "quoted_system"
    }
}

/// The word that JSON has for a value.
pub(super) fn word_of(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}
