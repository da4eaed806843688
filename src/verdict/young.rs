//! A slab in its first year: drying for the first time, whatever its surface reads.

use super::drying::{DryingTable, From, Room, depth_limit_percent, drying, origin};
use super::{UsedLimits, ways::was_done};
use crate::climate::Place;
pub use crate::odds::evidence::is_drying;
use crate::odds::posterior::{Basis, Posterior};
use crate::rules::Gate;
use crate::survey::{ReadingKind, Visit};
use chrono::{Days, NaiveDate};

/// What is told of a slab in its first year.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstYear {
    /// Days since it was placed.
    pub age_days: f64,
    /// Humidity at 40 % depth that it has to get under, in percent.
    pub depth_percent: f64,
    /// Share of the floors that are under it at depth at the visit.
    pub ready: f64,
    /// Days from the placing until half of the floors are dry, and nine of ten.
    pub days_half: Option<f64>,
    /// Days from the placing until nine of ten floors are dry; `None` beyond the time looked at.
    pub days_nine_of_ten: Option<f64>,
    /// Day on which half of the floors are dry: when a test at depth makes sense.
    pub test_from: Option<NaiveDate>,
    /// Day on which nine of ten floors are dry; `None` beyond the time looked at.
    pub dry_by: Option<NaiveDate>,
    /// Young enough that a high reading is its own water and no leak.
    pub is_drying: bool,
}

/// What is told of the first year, of a slab whose day of placing is known; `None` for others.
pub fn first_year(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    limits: &UsedLimits,
) -> Option<FirstYear> {
    let table = DryingTable::bundled();
    let placed = visit.floor.placed_date?;
    let (from, age_days) = origin(visit);
    if from != From::Placed || age_days >= table.young_days {
        return None;
    }
    let depth_percent = depth_limit_percent(visit, limits).unwrap_or(table.release_probe_percent);
    let plan = drying(place, visit, posterior, limits, &[Room::AsItIs]);
    let way = &plan.ways[0];
    let by_reading = posterior.is_explained() && !posterior.observations.is_empty();
    let view = posterior.by(if by_reading {
        Basis::Readings
    } else {
        Basis::Answers
    });
    let month = posterior.plan.reading_month;
    let ready = posterior
        .outcomes
        .iter()
        .zip(view.weights())
        .filter(|(it, _)| 100.0 * it.reading_year[month].probe_humidity <= depth_percent)
        .map(|(_, weight)| weight)
        .sum();
    let day = |days: f64| placed.checked_add_days(Days::new(days.max(0.0).ceil() as u64));
    Some(FirstYear {
        age_days,
        depth_percent,
        ready,
        days_half: way.days_half,
        days_nine_of_ten: way.days_nine_of_ten,
        test_from: way.days_half.and_then(day),
        dry_by: way.days_nine_of_ten.and_then(day),
        is_drying: is_drying(visit),
    })
}

/// Holds a surface reading of a slab whose middle is not known to be dry, and moves the day on
/// which a new slab is read again to when its own drying allows it.
pub fn hold(gates: &mut Vec<Gate>, visit: &Visit, limits: &UsedLimits, first_year: &FirstYear) {
    // The day by which half of such slabs are dry; past it, the one of nine in ten.
    let next_look = [first_year.test_from, first_year.dry_by]
        .into_iter()
        .flatten()
        .find(|it| *it > visit.visit_date);
    if let Some(gate) = gates.iter_mut().find(|it| it.id == "too_new") {
        gate.retest_after = gate.retest_after.max(next_look);
        return;
    }
    let was_read = visit.readings.iter().any(|it| !it.withdrawn);
    let is_ready = first_year.ready >= DryingTable::bundled().ready_share;
    // A sheet that goes by F1869 alone is met by that test.
    let was_tested = was_done(visit, ReadingKind::Probe)
        || (limits.calcium_chloride_lb.is_some() && was_done(visit, ReadingKind::CalciumChloride));
    if was_read && !is_ready && !was_tested {
        gates.push(Gate {
            id: "still_drying",
            retest_after: next_look,
        });
    }
}
