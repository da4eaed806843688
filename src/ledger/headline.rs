//! The one risk that leads a result, as the ledger keeps it.

use crate::report::{HeadlineState, Report};
use serde::{Deserialize, Serialize};

/// The one risk that leads a result: the worse of the bare floor and the system quoted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeadlineStated {
    /// What the result led with: the grade below, or that the floor was over its limit that day.
    /// Left out where it is the grade, as in statements that were sealed before it was kept.
    #[serde(default, skip_serializing_if = "is_graded")]
    pub state: HeadlineState,
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
            state: headline.state,
            of: word_of(&headline.of),
            grade: word_of(&headline.grade?),
            chance: headline.chance?,
            way: report.quoted_way.word().to_string(),
        })
    }

    /// Whether the floor was over its limit the day it was read, which leads before any grade.
    pub fn is_over_today(&self) -> bool {
        self.state == HeadlineState::OverToday
    }

    /// Whether it is of the system that is quoted, which is then worse than the bare floor.
    pub fn is_of_system(&self) -> bool {
        self.of == "quoted_system"
    }
}

fn is_graded(state: &HeadlineState) -> bool {
    *state == HeadlineState::Graded
}

/// The word that JSON has for a value.
pub(super) fn word_of(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}
