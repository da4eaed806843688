//! Days to come back as a calendar file (RFC 5545).
//!
//! Whole days only, so no time zone is needed. The stamp of each entry is the day of the
//! visit: the same visit gives the same bytes.

use super::Report;
use super::first_screen::reason_in;
use super::paper::cleaned;
use crate::rules::asks_for_depth;
use crate::words::Language;
use chrono::{Datelike, Months, NaiveDate};

/// Longest line in bytes, without its end. Source: RFC 5545, section 3.1.
const FOLD_AT: usize = 75;

/// One entry of some whole days.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Tells entries of one visit apart; letters, digits and "-".
    pub id: String,
    /// The first day.
    pub first: NaiveDate,
    /// The last day, which still counts.
    pub last: NaiveDate,
    /// What stands in the calendar's square.
    pub summary: String,
    /// What stands in the entry when it is opened.
    pub description: String,
}

/// The entries of a report: when to read again, the wet season, and the look after the first
/// wet season. None for a floor whose report names no day.
pub fn entries(report: &Report) -> Vec<Entry> {
    entries_in(Language::English, report)
}

/// The same in a language.
pub fn entries_in(language: Language, report: &Report) -> Vec<Entry> {
    let say = |key: &str| language.say(key);
    let label = report.label.clone().unwrap_or_default();
    let mut out = Vec::new();
    let mut add = |id: &str, first: NaiveDate, last: NaiveDate, description: String| {
        let is_depth = id == "held" && asks_for_depth(report.gates.iter().map(|it| it.id.as_str()));
        let summary = if is_depth {
            say("calendar.held_depth")
        } else {
            say(&format!("calendar.{id}"))
        };
        out.push(Entry {
            id: format!("{}-{id}", report.input_digest),
            first,
            last,
            summary: if label.is_empty() {
                summary.to_string()
            } else {
                [summary, label.as_str()].join(": ")
            },
            description,
        });
    };
    // A held reading: the last of its gates opens the way.
    if let Some(after) = report.gates.iter().filter_map(|it| it.retest_after).max() {
        let reasons: Vec<String> = report
            .gates
            .iter()
            .map(|it| reason_in(language, it))
            .collect();
        add("held", after, after, reasons.join(" "));
    }
    let by_gate = report.gates.iter().any(|it| it.retest_after.is_some());
    if let Some(day) = report.day_after_over().filter(|_| !by_gate) {
        let what = super::said::joined(&[say("calendar.over_today.what"), say("disclaimer")]);
        add("over_today", day, day, what);
    }
    if report.held || report.refused {
        return out;
    }
    let Some(back) = &report.come_back else {
        return out;
    };
    let to_go = report.month_to_go().unwrap_or(back.from);
    let with_disclaimer = |text: &str| super::said::joined(&[text, say("disclaimer")]);
    let told = super::sections::second_reading_words(report);
    add(
        "second_reading",
        to_go,
        to_go
            .checked_add_months(Months::new(1))
            .and_then(|it| it.pred_opt())
            .unwrap_or(to_go),
        with_disclaimer(&super::said::joined(&[
            say("calendar.second_reading.what").to_string(),
            told.unwrap_or_default(),
        ])),
    );
    add(
        "wet_season",
        back.wet_from,
        back.wet_to,
        with_disclaimer(say("calendar.wet_season.what")),
    );
    if let Some(over) = back.wet_to.succ_opt() {
        let until = over.checked_add_days(chrono::Days::new(13)).unwrap_or(over);
        add(
            "look_after",
            over,
            until,
            with_disclaimer(&language.say_with(
                "calendar.look_after.what",
                &[("year", &over.year().to_string())],
            )),
        );
    }
    out
}

/// The calendar file of a report.
pub fn calendar(report: &Report) -> String {
    calendar_in(Language::English, report)
}

/// The same in a language.
pub fn calendar_in(language: Language, report: &Report) -> String {
    calendar_of(&entries_in(language, report), report.visit_date)
}

/// A calendar file of some entries, all stamped with one day.
pub fn calendar_of(entries: &[Entry], stamp: NaiveDate) -> String {
    let mut out = String::new();
    let mut line = |it: &str| fold(&mut out, it);
    line("BEGIN:VCALENDAR");
    line("VERSION:2.0");
    line("PRODID:-//slabseason//EN");
    line("CALSCALE:GREGORIAN");
    line("METHOD:PUBLISH");
    for it in entries {
        // The end of an entry of whole days is the day after its last.
        let end = it.last.succ_opt().unwrap_or(it.last);
        line("BEGIN:VEVENT");
        line(&format!("UID:{}@slabseason", it.id));
        line(&format!("DTSTAMP:{}T000000Z", basic(stamp)));
        line(&format!("DTSTART;VALUE=DATE:{}", basic(it.first)));
        line(&format!("DTEND;VALUE=DATE:{}", basic(end)));
        line(&format!("SUMMARY:{}", value(&it.summary)));
        line(&format!("DESCRIPTION:{}", value(&it.description)));
        line("TRANSP:TRANSPARENT");
        line("END:VEVENT");
    }
    line("END:VCALENDAR");
    out
}

fn basic(day: NaiveDate) -> String {
    format!("{:04}{:02}{:02}", day.year(), day.month(), day.day())
}

/// A text value: RFC 5545, section 3.3.11.
fn value(text: &str) -> String {
    let mut out = String::new();
    for it in cleaned(text).chars() {
        if matches!(it, '\\' | ';' | ',') {
            out.push('\\');
        }
        out.push(it);
    }
    out
}

/// Adds a line, folded between letters and ended as the standard has it.
fn fold(out: &mut String, line: &str) {
    let mut length = 0;
    for it in line.chars() {
        if length + it.len_utf8() > FOLD_AT {
            out.push_str("\r\n ");
            length = 1;
        }
        out.push(it);
        length += it.len_utf8();
    }
    out.push_str("\r\n");
}
