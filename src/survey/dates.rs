//! Days as people write them: "2026-10-14", "10/14/2026", "Oct 14", "today".

use chrono::{Datelike, Days, NaiveDate};

/// Which of two numbers comes first in a day such as 3/4/2026.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateOrder {
    /// 3/4 is March 4.
    MonthFirst,
    /// 3/4 is April 3.
    DayFirst,
}

/// Why a text is no day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateFault {
    /// It is no day of the calendar in any form that is read here.
    NotADay,
    /// It is one day by the American order and another by the other one.
    TwoDays {
        /// The day by the American order, month first.
        month_first: NaiveDate,
        /// The day by the other order, day first.
        day_first: NaiveDate,
    },
}

/// Names of the months in the languages that people write to us in.
const MONTH_NAMES: [[&str; 2]; 12] = [
    ["january", "enero"],
    ["february", "febrero"],
    ["march", "marzo"],
    ["april", "abril"],
    ["may", "mayo"],
    ["june", "junio"],
    ["july", "julio"],
    ["august", "agosto"],
    ["september", "septiembre"],
    ["october", "octubre"],
    ["november", "noviembre"],
    ["december", "diciembre"],
];

/// Letters that tell one month from another.
const MONTH_LETTERS: usize = 3;

/// The month, 1 to 12, whose name begins so; three letters at least.
pub fn month_from_name(text: &str) -> Option<u32> {
    let name = text.trim().trim_end_matches('.').to_lowercase();
    if name.chars().count() < MONTH_LETTERS {
        return None;
    }
    MONTH_NAMES
        .iter()
        .position(|both| both.iter().any(|it| it.starts_with(&name)))
        .map(|at| at as u32 + 1)
}

/// Reads a day. A day without its year is the last such day up to `today`; "today" and
/// "yesterday" are counted from it. Without an `order`, a day that could be two is a fault.
///
/// # Errors
///
/// The text is no day, or could be two.
///
/// ```
/// use slabseason::survey::{DateOrder, day_from_text};
/// let today = "2026-11-03".parse().unwrap();
/// let read = |text| day_from_text(text, Some(today), Some(DateOrder::MonthFirst));
/// assert_eq!(read("10/14/2026").unwrap().to_string(), "2026-10-14");
/// assert_eq!(read("Dec 14").unwrap().to_string(), "2025-12-14");
/// ```
pub fn day_from_text(
    text: &str,
    today: Option<NaiveDate>,
    order: Option<DateOrder>,
) -> Result<NaiveDate, DateFault> {
    let lower = without_time(text.trim()).to_lowercase();
    match lower.as_str() {
        "today" | "now" | "hoy" => return today.ok_or(DateFault::NotADay),
        "yesterday" | "ayer" => {
            return today
                .and_then(|it| it.checked_sub_days(Days::new(1)))
                .ok_or(DateFault::NotADay);
        }
        _ => {}
    }
    let parts: Vec<&str> = lower
        .split([' ', ',', '/', '-', '.'])
        .filter(|it| !it.is_empty() && !matches!(*it, "of" | "de" | "del") && !is_weekday(it))
        .collect();
    let named: Vec<u32> = parts.iter().filter_map(|it| month_from_name(it)).collect();
    let numbers: Vec<&str> = parts
        .iter()
        .copied()
        .filter(|it| month_from_name(it).is_none())
        .collect();
    let day = match (&named[..], &numbers[..]) {
        ([month], [day]) => last_such(*month, ordinal(day).ok_or(DateFault::NotADay)?, today),
        ([month], [one, other]) => {
            // "Oct 14, 2026", "14 Oct 2026" and "2026 Oct 14".
            let (day, year) = if one.len() == 4 && ordinal(one).is_none() {
                (other, one)
            } else {
                (one, other)
            };
            year_of(year)
                .zip(ordinal(day))
                .and_then(|(year, day)| NaiveDate::from_ymd_opt(year, *month, day))
        }
        ([], [year, month, day]) if year.len() == 4 => year_of(year)
            .zip(number(month))
            .zip(number(day))
            .and_then(|((year, month), day)| NaiveDate::from_ymd_opt(year, month, day)),
        ([], [one, other, year]) => {
            let (one, other) = number(one).zip(number(other)).ok_or(DateFault::NotADay)?;
            let year = year_of(year).ok_or(DateFault::NotADay)?;
            return either(order, one, other, |month, day| {
                NaiveDate::from_ymd_opt(year, month, day)
            });
        }
        ([], [one, other]) => {
            let (one, other) = number(one).zip(number(other)).ok_or(DateFault::NotADay)?;
            return either(order, one, other, |month, day| last_such(month, day, today));
        }
        _ => None,
    };
    day.ok_or(DateFault::NotADay)
}

/// A month as people write it: "2026-08", "August 2026", "Aug 2026", "8/2026"; its year and its
/// number, 1 to 12.
///
/// ```
/// use slabseason::survey::month_from_text;
/// assert_eq!(month_from_text("Aug 2026"), Some((2026, 8)));
/// assert_eq!(month_from_text("2026-08"), Some((2026, 8)));
/// assert_eq!(month_from_text("2026"), None);
/// ```
pub fn month_from_text(text: &str) -> Option<(i32, u32)> {
    let parts: Vec<&str> = text
        .split([' ', ',', '/', '-', '.'])
        .filter(|it| !it.is_empty())
        .collect();
    let [one, other] = parts[..] else {
        return None;
    };
    let is_year = |it: &str| it.len() == 4 && it.bytes().all(|it| it.is_ascii_digit());
    let (year, month) = if is_year(one) {
        (one, other)
    } else {
        (other, one)
    };
    let year = Some(year).filter(|it| is_year(it))?.parse().ok()?;
    let month = month_from_name(month).or_else(|| number(month))?;
    (1..=12).contains(&month).then_some((year, month))
}

/// The order that a day of numbers alone proves: 13/9/2026 can only be day first. None where it
/// could be either, and where its year comes first or its month has a name.
///
/// ```
/// use slabseason::survey::{DateOrder, order_proved_by};
/// assert_eq!(order_proved_by("13/9/2026"), Some(DateOrder::DayFirst));
/// assert_eq!(order_proved_by("9/8/2026"), None);
/// ```
pub fn order_proved_by(text: &str) -> Option<DateOrder> {
    let parts: Vec<u32> = without_time(text.trim())
        .split(['/', '-', '.', ' '])
        .map(number)
        .take(2)
        .collect::<Option<_>>()?;
    match parts[..] {
        [one, other] if one > 12 && other <= 12 => Some(DateOrder::DayFirst),
        [one, other] if one <= 12 && other > 12 => Some(DateOrder::MonthFirst),
        _ => None,
    }
}

/// The day of a spreadsheet's date number: days since December 30, 1899. Only numbers of this
/// century's days are read; a smaller one is something else.
///
/// ```
/// use slabseason::survey::day_of_spreadsheet;
/// assert_eq!(day_of_spreadsheet("46273").unwrap().to_string(), "2026-09-08");
/// ```
pub fn day_of_spreadsheet(text: &str) -> Option<NaiveDate> {
    let days: u64 = text.trim().parse().ok()?;
    let start = NaiveDate::from_ymd_opt(1899, 12, 30)?;
    let day = start.checked_add_days(Days::new(days))?;
    (2000..2100).contains(&day.year()).then_some(day)
}

/// A year as people write it: "1960", "c. 1960", "about 1960", "~1960", and of "1990s" the first
/// year, which is the cautious end: older floors have fewer retarders.
///
/// ```
/// use slabseason::survey::year_from_text;
/// assert_eq!(year_from_text("c. 1960"), Some(1960));
/// assert_eq!(year_from_text("1990s"), Some(1990));
/// assert_eq!(year_from_text("60"), None);
/// ```
pub fn year_from_text(text: &str) -> Option<i32> {
    let lower = text.trim().to_lowercase();
    let before = [
        "circa", "about", "around", "approx.", "approx", "ca.", "c.", "ca", "c", "~",
    ];
    let bare = before
        .iter()
        .find_map(|it| lower.strip_prefix(it))
        .unwrap_or(&lower)
        .trim();
    let year = match bare.strip_suffix("'s").or(bare.strip_suffix('s')) {
        Some(decade) if decade.ends_with('0') => decade,
        Some(_) => return None,
        None => bare,
    };
    let is_year = year.len() == 4 && year.bytes().all(|it| it.is_ascii_digit());
    year.parse().ok().filter(|_| is_year)
}

/// The day of two numbers, by the order where both orders give a day.
fn either(
    order: Option<DateOrder>,
    one: u32,
    other: u32,
    day: impl Fn(u32, u32) -> Option<NaiveDate>,
) -> Result<NaiveDate, DateFault> {
    match (day(one, other), day(other, one), order) {
        (Some(month_first), Some(day_first), None) if month_first != day_first => {
            Err(DateFault::TwoDays {
                month_first,
                day_first,
            })
        }
        (Some(month_first), None, _) => Ok(month_first),
        (None, Some(day_first), _) => Ok(day_first),
        (Some(month_first), Some(_), None | Some(DateOrder::MonthFirst)) => Ok(month_first),
        (Some(_), Some(day_first), Some(DateOrder::DayFirst)) => Ok(day_first),
        (None, None, _) => Err(DateFault::NotADay),
    }
}

/// The last day of this name up to today.
fn last_such(month: u32, day: u32, today: Option<NaiveDate>) -> Option<NaiveDate> {
    let today = today?;
    // Four years back there is always a February 29.
    (0..=8)
        .filter_map(|back| NaiveDate::from_ymd_opt(today.year() - back, month, day))
        .find(|it| *it <= today)
}

/// A spreadsheet writes the midnight behind its days.
fn without_time(text: &str) -> &str {
    match text.split_once([' ', 'T']) {
        Some((day, time)) if time.contains(':') => day,
        _ => text,
    }
}

fn number(text: &str) -> Option<u32> {
    let is_short = (1..=2).contains(&text.len());
    let is_plain = text.bytes().all(|it| it.is_ascii_digit());
    text.parse().ok().filter(|_| is_short && is_plain)
}

/// "14", "14th".
fn ordinal(text: &str) -> Option<u32> {
    let bare = ["st", "nd", "rd", "th"]
        .iter()
        .find_map(|it| text.strip_suffix(it))
        .unwrap_or(text);
    number(bare)
}

/// Two digits are of this century: no house is visited in another.
fn year_of(text: &str) -> Option<i32> {
    let is_plain = text.bytes().all(|it| it.is_ascii_digit());
    match text.len() {
        2 if is_plain => text.parse::<i32>().ok().map(|it| 2000 + it),
        4 if is_plain => text.parse().ok(),
        _ => None,
    }
}

fn is_weekday(text: &str) -> bool {
    matches!(
        text.get(..3),
        Some("mon" | "tue" | "wed" | "thu" | "fri" | "sat" | "sun")
    ) && text.ends_with("day")
        || matches!(text, "mon" | "tue" | "wed" | "thu" | "fri" | "sat" | "sun")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, order: Option<DateOrder>) -> Option<String> {
        let today = "2026-11-03".parse().unwrap();
        day_from_text(text, Some(today), order)
            .ok()
            .map(|it| it.to_string())
    }

    #[test]
    fn days_are_read_as_people_write_them() {
        for (text, day) in [
            ("2026-10-14", "2026-10-14"),
            ("2026/10/14", "2026-10-14"),
            ("10/14/2026", "2026-10-14"),
            ("10-14-26", "2026-10-14"),
            ("14.10.2026", "2026-10-14"),
            ("10/14", "2026-10-14"),
            ("Oct 14", "2026-10-14"),
            ("Oct. 14th, 2026", "2026-10-14"),
            ("14 October 2026", "2026-10-14"),
            ("Wed, Oct 14 2026", "2026-10-14"),
            ("14 de octubre de 2026", "2026-10-14"),
            ("10/14/2026 0:00", "2026-10-14"),
            ("2026-10-14T00:00:00", "2026-10-14"),
            ("today", "2026-11-03"),
            ("Yesterday", "2026-11-02"),
            // The last one before today.
            ("Dec 14", "2025-12-14"),
            ("Feb 29", "2024-02-29"),
        ] {
            assert_eq!(
                read(text, Some(DateOrder::MonthFirst)).as_deref(),
                Some(day),
                "{text}"
            );
        }
        for text in [
            "",
            "soon",
            "13/13/2026",
            "Oct",
            "Oct 2026 14 3",
            "2026-02-30",
            "1-2-3-4",
            "14",
        ] {
            assert_eq!(read(text, Some(DateOrder::MonthFirst)), None, "{text}");
        }
    }

    #[test]
    fn a_day_that_could_be_two_asks_for_its_order() {
        assert_eq!(read("9/8/2026", None), None);
        assert_eq!(read("8/8/2026", None).as_deref(), Some("2026-08-08"));
        assert_eq!(read("9/18/2026", None).as_deref(), Some("2026-09-18"));
        let both =
            [DateOrder::MonthFirst, DateOrder::DayFirst].map(|it| read("9/8/2026", Some(it)));
        assert_eq!(
            both,
            [
                Some("2026-09-08".to_string()),
                Some("2026-08-09".to_string())
            ]
        );
    }
}
