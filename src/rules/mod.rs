//! Gates that hold a reading back, and what is refused.
//!
//! It names what stands in the way and until when; the sentences are in `words`.

use crate::climate::Place;
use crate::odds::evidence::{is_near_wall, is_usable};
use crate::season::{dew_point_c, saturation_pa};
use crate::survey::{
    Dehumidifier, MeterScale, Reading, ReadingKind, ReadingValue, Setting, Surface, Visit,
    WaterNow, age_days,
};
use chrono::{Days, Months, NaiveDate};

crate::named_table! {
    /// Limits of the gates, from `tables/gates.csv`.
    GateTable from "gates.csv" {
        youngest_days,
        wetted_days,
        uncovered_days,
        dew_point_spread_k,
        meter_top_percent,
        oldest_months,
        machine_days,
        spots_wanted,
        freezing_c,
        lead_paint_until,
        asbestos_until,
        least_usual_limit_percent,
    }
}

/// One reason why the reading is not graded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gate {
    /// `too_new`, `wetted` and the like; its sentences are the rows `gate.ID.reason` and
    /// `gate.ID.action` of `tables/words.csv`.
    pub id: &'static str,
    /// First day on which a new reading makes sense, where waiting helps.
    pub retest_after: Option<NaiveDate>,
}

/// Why no estimate is given at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refusal {
    /// The floor hangs in the air: nothing of the model holds.
    Suspended,
    /// The slab freezes.
    Freezing,
    /// An unheated garage where it freezes: no year is told of it, but much else.
    ColdGarage,
    /// Water stands on the floor now.
    StandingWater,
}

impl Refusal {
    /// The id under which the sentences stand.
    pub fn id(self) -> &'static str {
        match self {
            Refusal::Suspended => "suspended",
            Refusal::Freezing => "freezing",
            Refusal::ColdGarage => "cold_garage",
            Refusal::StandingWater => "standing_water",
        }
    }
}

/// What is refused, if anything.
pub fn refusal(visit: &Visit, place: &Place) -> Option<Refusal> {
    if visit.floor.setting == Some(Setting::Suspended) {
        return Some(Refusal::Suspended);
    }
    if visit.signs.water_now == Some(WaterNow::Standing) {
        return Some(Refusal::StandingWater);
    }
    // A garage or open floor without heat follows the outdoors; below grade the ground keeps
    // it from freezing except over frozen ground.
    let freezing_c = GateTable::bundled().freezing_c;
    let coldest_c = place.mean_c.iter().copied().fold(f64::INFINITY, f64::min);
    let yearly_c = place.mean_c.iter().sum::<f64>() / 12.0;
    let open_to_cold = visit.floor.setting == Some(Setting::Garage)
        || (visit.floor.setting == Some(Setting::OnGrade) && visit.air.heated == Some(false));
    let freezes = yearly_c < freezing_c
        || (open_to_cold && visit.air.heated != Some(true) && coldest_c < freezing_c);
    freezes.then_some(if visit.floor.setting == Some(Setting::Garage) {
        Refusal::ColdGarage
    } else {
        Refusal::Freezing
    })
}

/// Everything that holds the readings of a visit back. Without a reading only what speaks of
/// the floor itself is named.
pub fn gates(visit: &Visit) -> Vec<Gate> {
    let mut out = floor_gates(visit);
    let readings: Vec<&Reading> = visit.readings.iter().filter(|it| !it.withdrawn).collect();
    if let Some(newest) = readings.iter().map(|it| it.date).max() {
        out.extend(surface_gates(visit));
        out.extend(air_gates(visit, newest));
        out.extend(spot_gates(&readings));
        out.extend(date_gates(visit, newest));
    }
    out
}

/// Gates that no meter on the surface opens: a new slab, and one with heat in it.
const DEPTH_GATES: [&str; 4] = [
    "too_new",
    "still_drying",
    "unexplained_high_young",
    "heated_slab",
];

/// Whether one of the gates, by their ids, asks for a test at depth and not for a meter.
pub fn asks_for_depth<'a>(mut ids: impl Iterator<Item = &'a str>) -> bool {
    ids.any(|it| DEPTH_GATES.contains(&it))
}

fn gate(id: &'static str, retest_after: Option<NaiveDate>) -> Gate {
    Gate { id, retest_after }
}

fn in_days(from: NaiveDate, days: f64) -> Option<NaiveDate> {
    from.checked_add_days(Days::new(days.max(0.0).ceil() as u64))
}

/// What holds a floor with or without a reading.
fn floor_gates(visit: &Visit) -> Vec<Gate> {
    let table = GateTable::bundled();
    let floor = &visit.floor;
    let mut out = Vec::new();
    if let Some(days) = age_days(floor, visit.visit_date)
        && (days as f64) < table.youngest_days
    {
        out.push(match floor.placed_date {
            Some(placed) => gate("too_new", in_days(placed, table.youngest_days)),
            // Waiting does not tell its date: it has to be asked for.
            None => gate("too_new_or_unknown", None),
        });
    }
    if floor.heated_slab == Some(true) {
        out.push(gate("heated_slab", None));
    }
    out
}

/// Water, sealer or a cover on the slab that was read.
fn surface_gates(visit: &Visit) -> Vec<Gate> {
    let table = GateTable::bundled();
    let (floor, today) = (&visit.floor, visit.visit_date);
    let mut out = Vec::new();
    if let Some(days) = floor.last_wetted_days
        && days < table.wetted_days
    {
        out.push(gate("wetted", in_days(today, table.wetted_days - days)));
    }
    match floor.surface {
        Some(Surface::Sealed) => out.push(gate("sealed", None)),
        Some(Surface::Covered) => out.push(gate("covered", None)),
        Some(Surface::Bare) | None => {
            if let Some(days) = floor.cover_removed_days
                && days < table.uncovered_days
            {
                let after = in_days(today, table.uncovered_days - days);
                out.push(gate("just_uncovered", after));
            }
        }
    }
    out
}

/// A slab that sweats, or a dehumidifier that has only just begun to dry the air.
fn air_gates(visit: &Visit, newest: NaiveDate) -> Vec<Gate> {
    let table = GateTable::bundled();
    let air = &visit.air;
    let mut out = Vec::new();
    if let (Some(slab), Some(room), Some(humidity)) =
        (air.slab_temp, air.temp, air.relative_humidity)
    {
        let vapor_pa = humidity.get() * saturation_pa(room.get());
        if vapor_pa > 0.0 && slab.get() - dew_point_c(vapor_pa) < table.dew_point_spread_k {
            out.push(gate(
                "sweating",
                in_days(visit.visit_date, table.machine_days),
            ));
        }
    }
    if air.dehumidifier == Some(Dehumidifier::Running)
        && let Some(since) = air.dehumidifier_since
        && ((newest - since).num_days() as f64) < table.machine_days
    {
        out.push(gate(
            "machine_just_started",
            in_days(since, table.machine_days),
        ));
    }
    out
}

/// The wrong scale, off the scale, or no spot away from the walls.
fn spot_gates(readings: &[&Reading]) -> Vec<Gate> {
    let table = GateTable::bundled();
    let mut out = Vec::new();
    let usable: Vec<&&Reading> = readings.iter().filter(|it| is_usable(it)).collect();
    let mut meters = readings
        .iter()
        .filter(|it| it.kind() == ReadingKind::Meter)
        .peekable();
    if meters.peek().is_some() && usable.is_empty() {
        let is_relative = meters.any(|it| it.scale == Some(MeterScale::Relative));
        out.push(gate(
            if is_relative {
                "relative_scale"
            } else {
                "unknown_scale"
            },
            None,
        ));
    }
    let is_off_scale = |it: &&&Reading| matches!(it.value, ReadingValue::Meter(percent) if percent > table.meter_top_percent);
    if usable.iter().any(is_off_scale) {
        out.push(gate("off_scale", None));
    }
    // Concrete always holds some water.
    let is_no_contact =
        |it: &&&Reading| matches!(it.value, ReadingValue::Meter(percent) if percent <= 0.0);
    if usable.iter().any(is_no_contact) {
        out.push(gate("no_contact", None));
    }
    if !usable.is_empty() && usable.iter().all(|it| is_near_wall(it)) {
        out.push(gate("only_near_walls", None));
    }
    out
}

/// A reading too old to speak for the floor, or older than work on its drainage.
fn date_gates(visit: &Visit, newest: NaiveDate) -> Vec<Gate> {
    let table = GateTable::bundled();
    let oldest_ok = visit
        .visit_date
        .checked_sub_months(Months::new(table.oldest_months as u32));
    let mut out = Vec::new();
    if oldest_ok.is_some_and(|it| newest < it) {
        out.push(gate("old_reading", None));
    }
    if let Some(work) = visit.lot.drainage_work_date
        && newest < work
    {
        out.push(gate("before_drainage_work", in_days(work, 365.0)));
    }
    out
}
