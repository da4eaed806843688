//! A contractor's own floors: visits as they were given, statements sealed, what came of them.
//!
//! Gives: [`Ledger`], one SQLite file; [`Statement`], what was stated of a floor on a day with
//! exactly the events that later readings score; [`check`](check::check), statements against
//! what came.
//!
//! Must never know: the clock, the terminal, who the customer is. Days are inputs. Nothing that
//! was sealed is ever changed: a correction is a row of its own.

mod again;
pub mod check;
pub mod costs;
pub mod due;
mod error;
mod file;
mod months;
pub mod power;
pub mod proof;
mod restate;
pub mod rules;
mod said;
mod schema;
mod scored_floor;
pub mod scores;
pub mod share;
mod statement;
mod table;
mod transfer;
pub mod trial;

pub use again::{Again, AgainMonth, Why, again, settled};
pub use error::LedgerError;
pub use file::{
    Added, Coming, FloorKept, Ledger, OutcomeKept, ReadingKept, Sealed, VisitKept, reading_of,
    reading_text,
};
pub use months::{month_after, month_name};
pub use restate::restated;
pub use said::{FloorSheet, again_said, filled, floor_text, month_said, of_100, stated_said};
pub use scored_floor::{Features, FloorScored, ReadingScored};
pub use statement::{
    LEVELS, MonthStated, RegionRow, Rests, Stated, Statement, area_of, region_of, rounded_place,
    seal, stated,
};
pub use transfer::{Line, Moved};

crate::named_table! {
    /// How floors are kept and held against what came, from `tables/ledger.csv`.
    LedgerTable from "ledger.csv" {
        position_step,
        spots,
        settled_low,
        settled_high,
        worth_a_visit,
        band_low,
        band_high,
        coverage_margin,
        fewest_to_fit,
        ridge,
        fold_floors,
        log_least,
        sharing_least,
    }
}
