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
pub use outcomes::{Reliability, interval};
pub use record::{Scan, delimiter_of, fields_of};
pub use results::{
    Cell, Line, Options, cell_text, error_line, lines_header, place_problem, screened, to_csv,
    to_json,
};
pub use rows::{FloorRead, Outcome, Problem, Row, Rows, read_floor, unclear_day, visit_of};
pub use spreadsheet::{SpreadsheetWord, template};
pub use summary::{Seen, Summary, WorkItem, worklist_csv};
