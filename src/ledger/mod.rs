//! A contractor's own floors: visits as they were given, statements sealed, what came of them.
//!
//! Gives: `Ledger`, one SQLite file, where there is a terminal; [`Statement`], what was
//! stated of a floor on a day with exactly the events that later readings score; `check`,
//! statements against what came.
//!
//! Must never know: the clock, the terminal, who the customer is. Days are inputs. Nothing that
//! was sealed is ever changed: a correction is a row of its own.

mod again;
#[cfg(feature = "terminal")]
pub mod check;
#[cfg(feature = "terminal")]
pub mod costs;
#[cfg(feature = "terminal")]
pub mod due;
#[cfg(feature = "terminal")]
mod error;
#[cfg(feature = "terminal")]
mod file;
mod headline;
mod months;
#[cfg(feature = "terminal")]
pub mod power;
#[cfg(feature = "terminal")]
pub mod proof;
mod restate;
#[cfg(feature = "terminal")]
pub mod rules;
#[cfg(feature = "terminal")]
mod said;
#[cfg(feature = "terminal")]
mod schema;
#[cfg(feature = "terminal")]
mod scored_floor;
#[cfg(feature = "terminal")]
pub mod scores;
#[cfg(feature = "terminal")]
pub mod share;
mod statement;
#[cfg(feature = "terminal")]
mod table;
#[cfg(feature = "terminal")]
mod transfer;
#[cfg(feature = "terminal")]
pub mod trial;

pub use again::{Again, AgainMonth, Why, again};
#[cfg(feature = "terminal")]
pub use error::LedgerError;
#[cfg(feature = "terminal")]
pub use file::{
    Added, Coming, FloorKept, Ledger, OutcomeKept, ReadingKept, Sealed, VisitKept, reading_of,
    reading_text, without_withdrawn,
};
pub use headline::HeadlineStated;
pub use months::{month_after, month_name};
pub use restate::{LaterReading, LaterReadings, restated};
#[cfg(feature = "terminal")]
pub use said::{
    FloorSheet, again_said, day_said, filled, floor_text, month_said, of_100, stated_said,
    turned_out_said,
};
#[cfg(feature = "terminal")]
pub use scored_floor::{Features, FloorScored, ReadingScored};
pub use statement::{
    FIRST_SEAL, LEVELS, MonthStated, RegionRow, Rests, Stated, Statement, area_of, region_of,
    rounded_place, seal, stated,
};
#[cfg(feature = "terminal")]
pub use transfer::{Line, Moved};

/// Names the form of a whole ledger as lines of text.
pub const LINES_FORM: &str = "slabseason ledger lines 1";

crate::named_table! {
    /// How floors are kept and held against what came, from `tables/ledger.csv`.
    LedgerTable from "ledger.csv" {
        position_step,
        spots,
        worth_a_visit,
        band_low,
        band_high,
        coverage_margin,
        fewest_to_fit,
        ridge,
        fold_floors,
        log_least,
        sharing_least,
        changes_least,
    }
}
