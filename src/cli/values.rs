//! Values that several commands take.

use crate::batch::Assumed;
use crate::report::Units;
use crate::survey::{DateOrder, ReadingKind, day_from_text, month_from_text};
use crate::verdict::ways::Way;
use crate::words::{Language, say_with};
use chrono::NaiveDate;
use clap::ValueEnum;

/// Units of what is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsArg {
    Us,
    Si,
}

impl UnitsArg {
    pub fn units(self) -> Units {
        match self {
            UnitsArg::Us => Units::Us,
            UnitsArg::Si => Units::Si,
        }
    }
}

/// A day as people type it: 2026-10-14, 10/14/2026 with the month first, "Oct 14", today. One
/// without its year is the last such day.
pub fn day(text: &str) -> Result<NaiveDate, String> {
    let today = chrono::Local::now().date_naive();
    day_from_text(text, Some(today), Some(DateOrder::MonthFirst))
        .map_err(|_| say_with("error.not_a_day", &[("given", text)]))
}

/// A first day of a month: 2026-10, "Oct 2026", October 2026.
pub fn month(text: &str) -> Result<NaiveDate, String> {
    month_from_text(text)
        .and_then(|(year, month)| NaiveDate::from_ymd_opt(year, month, 1))
        .ok_or_else(|| say_with("error.not_a_month", &[("given", text)]))
}

/// One of the words of the ways forward.
pub fn way(text: &str) -> Result<Way, String> {
    Way::from_word(text).ok_or_else(|| {
        let words: Vec<&str> = Way::ALL.iter().map(|it| it.word()).collect();
        format!(
            "\"{text}\" is not an option; use one of {}",
            words.join(", ")
        )
    })
}

/// A language of what a homeowner, a customer or a crew reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LanguageArg {
    En,
    Es,
}

impl LanguageArg {
    /// The language that is meant.
    pub fn language(self) -> Language {
        match self {
            LanguageArg::En => Language::English,
            LanguageArg::Es => Language::Spanish,
        }
    }
}

/// The order of day and month.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DateOrderArg {
    Mdy,
    Dmy,
}

impl DateOrderArg {
    /// The order that is meant.
    pub fn order(self) -> DateOrder {
        match self {
            DateOrderArg::Mdy => DateOrder::MonthFirst,
            DateOrderArg::Dmy => DateOrder::DayFirst,
        }
    }
}

/// "meter" or "meter,percent".
pub fn assumed(text: &str) -> Result<Assumed, String> {
    Assumed::of_text(text).ok_or_else(|| {
        format!(
            "\"{text}\" is no kind of reading; write one of {}, and for a meter a scale, such as meter,percent",
            ReadingKind::WORDS.join(", ")
        )
    })
}
