//! Questions and answers, readings, the visit file and its checks.
//!
//! It never knows what an answer is worth: that is for `odds`.

mod check;
mod errors;
mod fields;
pub mod interview;
mod nearest;
mod parse;
mod save;
pub mod visit;

pub use check::{
    RANGES, Range, age_days, construction_year, derived_drainage, notes, parse_ranges, problems,
    range,
};
pub use errors::{FieldError, SurveyError, SurveyErrors};
pub use fields::{
    Draft, FIELDS, Field, FieldKind, Raw, ReadingDraft, field, get_field, set_field, unknown_field,
};
pub use parse::{Parsed, parse_visit, parse_visit_bytes};
pub use save::{digest, draft_to_toml, to_toml};
pub use visit::*;
