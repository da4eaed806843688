//! Months by name and by count.

use chrono::{Datelike, Months, NaiveDate};

/// "2026-10".
pub fn month_name(day: NaiveDate) -> String {
    format!("{:04}-{:02}", day.year(), day.month())
}

/// The first day of the month `ahead` months after that of a day.
pub fn month_after(day: NaiveDate, ahead: u32) -> NaiveDate {
    let first = day.with_day(1).expect("every month has a first day");
    first
        .checked_add_months(Months::new(ahead))
        .expect("a visit's year has four digits")
}
