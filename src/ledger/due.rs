//! Return visits by week and town.

use super::LedgerTable;
use super::again::{Again, Why};
use super::error::LedgerError;
use super::file::{FloorKept, Ledger};
use super::headline::HeadlineStated;
use super::months::{month_after, month_name};
use super::said::{day_said, headline_said, month_said, of_100, over_and_held_said};
use super::table::{Cell, to_csv};
use crate::climate::{PlaceQuery, find_place, postal_areas};
use crate::report::calendar::{Entry, calendar_of};
use crate::words::{say, say_with};
use chrono::{Datelike, Days, NaiveDate};
use std::collections::BTreeMap;

/// A return visit.
#[derive(Debug, Clone, PartialEq)]
pub struct DueVisit {
    /// The floor to drive to.
    pub floor: FloorKept,
    /// Monday of the week.
    pub week: NaiveDate,
    /// First day on which the reading counts.
    pub not_before: NaiveDate,
    /// Why.
    pub why: Why,
    /// "2027-04".
    pub month: String,
    /// Share of floors like this one that the reading settles.
    pub settles: f64,
    /// The headline of the result, where it was kept.
    pub headline: Option<HeadlineStated>,
}

/// Return visits in the order in which they are driven.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Due {
    /// In the order in which they are driven.
    pub visits: Vec<DueVisit>,
    /// Floors whose months are all over: they are stated anew by a visit at any time.
    pub run_out: u64,
}

/// What is due from a day on, through so many weeks.
pub fn due(ledger: &Ledger, from: NaiveDate, weeks: u32) -> Result<Due, LedgerError> {
    let until = from + Days::new(7 * u64::from(weeks));
    let mut by_month: BTreeMap<String, Vec<DueVisit>> = BTreeMap::new();
    let mut res = Due::default();
    ledger.each_again(|floor, text| {
        let Some(again) = Again::of_text(text) else {
            return Ok(());
        };
        if !again.is_due() {
            return Ok(());
        }
        let Some((month, settles)) = still_ahead(&again, from) else {
            res.run_out += 1;
            return Ok(());
        };
        by_month.entry(month.clone()).or_default().push(DueVisit {
            floor,
            week: from,
            not_before: if again.waits_for_a_day() {
                again.from
            } else {
                from
            },
            why: again.why,
            month,
            settles,
            headline: again.headline,
        });
        Ok(())
    })?;
    for (month, visits) in by_month {
        let in_weeks = spread_over(&month, visits, from);
        res.visits
            .extend(in_weeks.into_iter().filter(|it| it.week < until));
    }
    Ok(res)
}

/// The month to go in, from a day on: the one that tells most, or where it has gone by the best
/// of those that are left.
fn still_ahead(again: &Again, from: NaiveDate) -> Option<(String, f64)> {
    let now = month_name(from);
    if again.waits_for_a_day() {
        let day = again.from.max(from);
        return Some((month_name(day), again.settles));
    }
    if again.to >= from {
        return Some((month_name(again.from), again.settles));
    }
    let least = LedgerTable::bundled().worth_a_visit;
    again
        .months
        .iter()
        .filter(|it| it.month >= now && it.settles >= least)
        .min_by(|a, b| a.brier.total_cmp(&b.brier))
        .map(|it| (it.month.clone(), it.settles))
}

fn monday_of(day: NaiveDate) -> NaiveDate {
    day - Days::new(u64::from(day.weekday().num_days_from_monday()))
}

/// Monday of the first week that lies on a day or after it; this week where the day has come.
fn week_from(day: NaiveDate, from: NaiveDate) -> NaiveDate {
    if day <= from {
        return monday_of(from);
    }
    let monday = monday_of(day);
    if monday < day {
        monday + Days::new(7)
    } else {
        monday
    }
}

/// Spreads a month's visits over its weeks, area after area along a short way.
fn spread_over(month: &str, visits: Vec<DueVisit>, from: NaiveDate) -> Vec<DueVisit> {
    let first: NaiveDate = format!("{month}-01").parse().unwrap_or(from);
    let start = first.max(from);
    let end = month_after(first, 1);
    let monday = week_from(start, from);
    let weeks = ((end - monday).num_days() as usize).div_ceil(7).max(1);
    let mut by_area: BTreeMap<String, Vec<DueVisit>> = BTreeMap::new();
    for it in visits {
        by_area.entry(it.floor.area.clone()).or_default().push(it);
    }
    let count: usize = by_area.values().map(Vec::len).sum();
    let way = short_way(by_area.keys().cloned().collect());
    let mut done = 0;
    let mut res = Vec::with_capacity(count);
    for area in way {
        let some = by_area.remove(&area).unwrap_or_default();
        // A town's floors are one trip.
        let middle = done + some.len() / 2;
        let week = (middle * weeks / count.max(1)).min(weeks - 1);
        done += some.len();
        let week = monday + Days::new(7 * week as u64);
        // Never before the first day on which a new reading counts.
        res.extend(some.into_iter().map(|it| DueVisit {
            week: if it.why.waits_for_a_day() {
                week_from(it.not_before, from)
            } else {
                week
            },
            ..it
        }));
    }
    res.sort_by_key(|it| it.week);
    res
}

/// Areas in the order of a walk that goes on to the nearest each time.
fn short_way(areas: Vec<String>) -> Vec<String> {
    let at = |area: &str| {
        postal_areas()
            .binary_search_by(|it| it.prefix.as_str().cmp(area))
            .ok()
            .map(|it| {
                let it = &postal_areas()[it];
                let shrink = libm::cos(it.latitude_deg.to_radians());
                (shrink * it.longitude_deg, it.latitude_deg)
            })
    };
    let (mut left, unknown): (Vec<_>, Vec<_>) = areas
        .into_iter()
        .map(|it| (at(&it), it))
        .partition(|it| it.0.is_some());
    let mut res = Vec::new();
    // From the westernmost on.
    let mut here = left
        .iter()
        .filter_map(|it| it.0)
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    while let Some((x, y)) = here {
        let off = |it: &(Option<(f64, f64)>, String)| {
            let (ax, ay) = it.0.unwrap_or((x, y));
            (ax - x) * (ax - x) + (ay - y) * (ay - y)
        };
        let Some(nearest) = (0..left.len()).min_by(|a, b| {
            off(&left[*a])
                .total_cmp(&off(&left[*b]))
                .then(left[*a].1.cmp(&left[*b].1))
        }) else {
            break;
        };
        let (place, area) = left.remove(nearest);
        here = place;
        res.push(area);
    }
    res.extend(unknown.into_iter().map(|it| it.1));
    res
}

/// The town that an area lies about.
fn town(area: &str) -> String {
    PlaceQuery::parse(area)
        .and_then(|it| find_place(&it))
        .map_or_else(|_| area.to_string(), |it| it.station_name)
}

fn reason(it: &DueVisit) -> String {
    let key = match it.why {
        Why::Held => "ledger.due.held",
        Why::Depth => "ledger.due.depth",
        Why::NotRead => "ledger.due.not_read",
        Why::Coating => "ledger.due.coating",
        Why::Wet => "ledger.due.wet",
        Why::OverToday => "ledger.due.over_today",
        Why::StopWater => "ledger.due.stop_water",
        Why::TellsLittle => "ledger.due.tells_little",
        Why::Tells | Why::Settled => "ledger.due.tells",
    };
    let told = say_with(key, &[("share", &of_100(it.settles))]);
    match &it.headline {
        Some(headline) => format!("{}; {told}", headline_said(headline)),
        // A held reading over the limit has no chance to lead with.
        None if matches!(it.why, Why::OverToday | Why::StopWater) => {
            format!("{}; {told}", over_and_held_said())
        }
        None => told,
    }
}

/// The list as a route: weeks, towns, floors.
pub fn route_text(due: &Due, width: usize) -> String {
    let mut lines = Vec::new();
    let mut week = None;
    let mut area = String::new();
    for it in &due.visits {
        if week != Some(it.week) {
            week = Some(it.week);
            area.clear();
            lines.push(say_with("ledger.due.week", &[("day", &day_said(it.week))]));
        }
        if area != it.floor.area {
            area.clone_from(&it.floor.area);
            lines.push(format!("  {} ({area})", town(&area)));
        }
        lines.push(format!("    {}: {}", it.floor.name(), reason(it)));
    }
    if due.visits.is_empty() {
        lines.push(say("ledger.due.none").to_string());
    }
    if due.run_out > 0 {
        let count = due.run_out.to_string();
        let key = match due.run_out {
            1 => "ledger.due.run_out_one",
            _ => "ledger.due.run_out",
        };
        lines.push(say_with(key, &[("count", &count)]));
    }
    lines.push(say("ledger.due.how").to_string());
    super::said::filled(&lines, width)
}

/// The list as comma-separated values.
pub fn route_csv(due: &Due) -> String {
    let text = |it: &str| Cell::Text(it.to_string());
    let mut out = to_csv(&["week", "area", "floor", "label", "month", "why", "settles"].map(text));
    for it in &due.visits {
        out.push_str(&to_csv(&[
            text(&it.week.to_string()),
            text(&it.floor.area),
            Cell::Number(it.floor.id as f64),
            text(it.floor.label.as_deref().unwrap_or_default()),
            text(&it.month),
            text(it.why.word()),
            Cell::Number(it.settles),
        ]));
    }
    out
}

/// The list as a calendar (RFC 5545): an entry for each floor and its week.
pub fn route_ics(due: &Due, stamp: NaiveDate) -> String {
    let entries: Vec<Entry> = due
        .visits
        .iter()
        .map(|it| Entry {
            id: format!("again-{}-{}", it.floor.id, it.month),
            first: it.week.max(stamp),
            last: (it.week + Days::new(4)).max(stamp),
            summary: say_with(summary_key(it.why), &[("floor", &it.floor.name())]),
            description: reason(it),
        })
        .collect();
    calendar_of(&entries, stamp)
}

/// What a visit is for, in the square of a calendar.
fn summary_key(why: Why) -> &'static str {
    match why {
        Why::Depth | Why::Coating => "ledger.due.summary_depth",
        Why::Wet | Why::StopWater => "ledger.due.summary_wet",
        Why::Held
        | Why::NotRead
        | Why::OverToday
        | Why::TellsLittle
        | Why::Tells
        | Why::Settled => "ledger.due.summary",
    }
}

/// A text to send to each customer. It names no price and no promise.
pub fn messages(due: &Due) -> String {
    let mut out = String::new();
    for it in &due.visits {
        let month = month_said(&it.month);
        let blanks = [("month", month.as_str()), ("day", &day_said(it.week))];
        let key = match it.why {
            Why::Held => "ledger.message.held",
            Why::Depth => "ledger.message.depth",
            Why::NotRead => "ledger.message.not_read",
            Why::Coating | Why::TellsLittle => "ledger.message.coating",
            Why::Wet => "ledger.message.wet",
            Why::OverToday => "ledger.message.over_today",
            Why::StopWater => "ledger.message.stop_water",
            Why::Tells | Why::Settled => "ledger.message.tells",
        };
        out.push_str(&format!(
            "[{}]\n{}\n\n",
            it.floor.name(),
            say_with(key, &blanks)
        ));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: by hand, from west to east along the middle latitudes: Denver, Kansas City,
    /// Chicago, Boston.
    #[test]
    fn a_route_goes_on_to_the_nearest() {
        let areas = ["021", "606", "802", "641"].map(String::from).to_vec();
        assert_eq!(short_way(areas), ["802", "641", "606", "021"]);
    }
}
