//! Questions and answers, readings, the visit file and its checks.
//!
//! It never knows what an answer is worth: that is for `odds`.

mod check;
mod dates;
mod declared;
mod draft;
mod errors;
mod field;
mod fields;
pub mod interview;
mod limits;
mod model;
mod nearest;
mod parse;
mod raw;
mod registry;
mod save;
mod typed_units;
mod values;
pub mod visit;
mod weather;

pub use check::{
    age_days, construction_year, derived_drainage, known_below_grade, notes, problems,
};
pub use dates::{
    DateFault, DateOrder, day_from_text, day_of_spreadsheet, month_from_name, month_from_text,
    order_proved_by, year_from_text,
};
pub use draft::{Draft, ReadingDraft};
pub use errors::{FieldError, SurveyError, SurveyErrors};
pub use field::{Field, FieldKind, ModelQuestion, Moves, WeakSign, YesNo};
pub use fields::{field, get_field, set_field, unknown_field, with_unit};
pub use limits::{RANGES, Range, UnusualLimit, parse_ranges, range, unusual_meter_limit};
pub use model::weak_signs;
pub use nearest::nearest;
pub use parse::{Parsed, Unfinished, parse_unfinished, parse_visit, parse_visit_bytes};
pub use raw::Raw;
pub use registry::FIELDS;
pub use save::{digest, draft_to_toml, to_toml};
pub use typed_units::{TypedUnit, UnitSystem, typed_unit, typed_units, with_unit_beside};
pub use visit::*;
pub use weather::{WeatherError, months_had};
