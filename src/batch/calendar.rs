//! The floors to visit again as a calendar (RFC 5545).

use super::summary::WorkItem;
use chrono::{Days, NaiveDate};
use sha2::{Digest, Sha256};

/// Octets of a line before it is folded, without its line end.
const LINE_OCTETS: usize = 75;

/// One all-day event for each floor with a date; a floor that any day suits has none. An event
/// of the wet season spans it.
pub fn worklist_ics(work: &[WorkItem]) -> String {
    let mut out = String::new();
    let mut line = |text: &str| out.push_str(&folded(text));
    line("BEGIN:VCALENDAR");
    line("VERSION:2.0");
    line("PRODID:-//slabseason//batch//EN");
    for it in work {
        let Ok(first) = it.date.parse::<NaiveDate>() else {
            continue;
        };
        let last = it.until.parse::<NaiveDate>().unwrap_or(first);
        // The end of an all-day event is the day after its last.
        let end = last.max(first).checked_add_days(Days::new(1));
        let name = [&it.label, &it.visit]
            .into_iter()
            .find(|it| !it.is_empty())
            .cloned()
            .unwrap_or_else(|| format!("line {}", it.line));
        let digest = Sha256::digest(format!("{it:?}").as_bytes());
        let id: String = digest
            .iter()
            .take(8)
            .map(|it| format!("{it:02x}"))
            .collect();
        let day = |it: NaiveDate| it.to_string().replace('-', "");
        line("BEGIN:VEVENT");
        line(&format!("UID:{id}@slabseason"));
        // No clock is read: the stamp is the day itself, so that equal lists are equal files.
        line(&format!("DTSTAMP:{}T000000Z", day(first)));
        line(&format!("DTSTART;VALUE=DATE:{}", day(first)));
        if let Some(end) = end {
            line(&format!("DTEND;VALUE=DATE:{}", day(end)));
        }
        line(&format!("SUMMARY:{}", escaped(&name)));
        line(&format!("LOCATION:{}", escaped(&it.place)));
        line(&format!("DESCRIPTION:{}", escaped(&it.why)));
        line("TRANSP:TRANSPARENT");
        line("END:VEVENT");
    }
    line("END:VCALENDAR");
    out
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for it in text.chars() {
        match it {
            '\\' | ';' | ',' => out.extend(['\\', it]),
            '\n' => out.push_str("\\n"),
            it if it.is_control() => {}
            it => out.push(it),
        }
    }
    out
}

/// The line with its line end, folded between characters.
fn folded(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let mut octets = 0;
    for it in text.chars() {
        if octets + it.len_utf8() > LINE_OCTETS {
            out.push_str("\r\n ");
            octets = 1;
        }
        out.push(it);
        octets += it.len_utf8();
    }
    out.push_str("\r\n");
    out
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
            line: "2".to_string(),
            visit: String::new(),
            label: "job 7, north; \\ ä".repeat(8),
            place: "05401".to_string(),
            grade: "high".to_string(),
            why: "wet season".to_string(),
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
