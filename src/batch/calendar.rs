//! The floors to visit again as a calendar (RFC 5545).

use super::summary::WorkItem;
use crate::climate::to_the_town;
use crate::report::calendar::{Entry, calendar_of};
use chrono::NaiveDate;
use sha2::{Digest, Sha256};

/// An entry for each floor with a date; a floor that any day suits has none. One of the wet
/// season spans it. All bear the stamp of the first day of the list: no clock is read.
pub fn worklist_ics(work: &[WorkItem]) -> String {
    let entries: Vec<Entry> = work.iter().filter_map(entry).collect();
    let stamp = entries.iter().map(|it| it.first).min().unwrap_or_default();
    calendar_of(&entries, stamp)
}

fn entry(it: &WorkItem) -> Option<Entry> {
    let first: NaiveDate = it.date.parse().ok()?;
    let last = it.until.parse::<NaiveDate>().unwrap_or(first);
    let name = [&it.label, &it.visit]
        .into_iter()
        .find(|it| !it.is_empty())
        .cloned()
        .unwrap_or_else(|| format!("line {}", it.line));
    let digest = Sha256::digest(format!("{it:?}").as_bytes());
    Some(Entry {
        id: digest
            .iter()
            .take(8)
            .map(|it| format!("{it:02x}"))
            .collect(),
        first,
        last: last.max(first),
        summary: format!("{name}, {}", to_the_town(&it.place)),
        description: it
            .kept
            .iter()
            .filter(|(_, cell)| !cell.is_empty())
            .fold(it.why.clone(), |told, (name, cell)| {
                format!("{told}\n{name}: {cell}")
            }),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 5545, 3.1 (lines of 75 octets, folded by a line end and a blank), 3.3.11
    /// (what is escaped) and 3.6.1 (the end of a day is the next day).
    #[test]
    fn events_are_as_the_standard_has_them() {
        let item = WorkItem {
            date: "2027-02-01".to_string(),
            until: "2027-02-28".to_string(),
            line: 2,
            visit: String::new(),
            label: "job 7, north; \\ ä".repeat(8),
            place: "05401".to_string(),
            grade: "high".to_string(),
            why: "wet season".to_string(),
            kept: Vec::new(),
        };
        let text = worklist_ics(&[item]);
        assert!(text.lines().count() > 10 && text.ends_with("END:VCALENDAR\r\n"));
        assert!(text.split("\r\n").all(|it| it.len() <= 75), "{text}");
        assert!(text.contains("DTEND;VALUE=DATE:20270301\r\n"));
        let whole = text.replace("\r\n ", "");
        assert!(
            whole.contains("SUMMARY:job 7\\, north\\; \\\\ ä"),
            "{whole}"
        );
    }
}
