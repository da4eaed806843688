//! A season of floors: rows of a table to visits, a result for each, what they come to together.
//!
//! Pure, as everything above it: files, threads and terminals are for `cli`.

mod calendar;
mod columns;
mod outcomes;
mod record;
mod results;
mod rows;
mod spreadsheet;
mod summary;

pub use calendar::worklist_ics;
pub use columns::{Assumed, Columns, Habits};
pub use outcomes::{OutcomeRow, Reliability, interval};
pub use record::{Fields, Scan, delimiter_of};
pub use results::{FloorResult, Options, error_line, place_problem, screened};
pub use rows::{FloorRead, Outcome, Problem, Row, Rows, read_floor, unclear_day, visit_of};
pub use spreadsheet::{SpreadsheetWord, template};
pub use summary::{Summary, WorkItem, worklist_csv};
