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
    let table = GateTable::bundled();
    let mut out = Vec::new();
    let mut add =
        |id: &'static str, retest_after: Option<NaiveDate>| out.push(Gate { id, retest_after });
    let today = visit.visit_date;
    let in_days =
        |from: NaiveDate, days: f64| from.checked_add_days(Days::new(days.max(0.0).ceil() as u64));

    let floor = &visit.floor;
    if let Some(days) = age_days(floor, today)
        && (days as f64) < table.youngest_days
    {
        match floor.placed_date {
            Some(placed) => add("too_new", in_days(placed, table.youngest_days)),
            // Waiting does not tell its date: it has to be asked for.
            None => add("too_new_or_unknown", None),
        }
    }
    if floor.heated_slab == Some(true) {
        add("heated_slab", None);
    }
    let readings: Vec<&Reading> = visit.readings.iter().filter(|it| !it.withdrawn).collect();
    if readings.is_empty() {
        return out;
    }
    if let Some(days) = floor.last_wetted_days
        && days < table.wetted_days
    {
        add("wetted", in_days(today, table.wetted_days - days));
    }
    match floor.surface {
        Some(Surface::Sealed) => add("sealed", None),
        Some(Surface::Covered) => add("covered", None),
        Some(Surface::Bare) | None => {
            if let Some(days) = floor.cover_removed_days
                && days < table.uncovered_days
            {
                add(
                    "just_uncovered",
                    in_days(today, table.uncovered_days - days),
                );
            }
        }
    }
    if let (Some(slab), Some(air), Some(humidity)) = (
        visit.air.slab_temp,
        visit.air.temp,
        visit.air.relative_humidity,
    ) {
        let vapor_pa = humidity.get() * saturation_pa(air.get());
        if vapor_pa > 0.0 && slab.get() - dew_point_c(vapor_pa) < table.dew_point_spread_k {
            add("sweating", in_days(today, table.machine_days));
        }
    }
    if visit.air.dehumidifier == Some(Dehumidifier::Running)
        && let Some(since) = visit.air.dehumidifier_since
    {
        let newest = readings.iter().map(|it| it.date).max().unwrap_or(today);
        if ((newest - since).num_days() as f64) < table.machine_days {
            add("machine_just_started", in_days(since, table.machine_days));
        }
    }
    let meters: Vec<&&Reading> = readings
        .iter()
        .filter(|it| it.kind() == ReadingKind::Meter)
        .collect();
    if !meters.is_empty() && !readings.iter().any(|it| is_usable(it)) {
        let relative = meters
            .iter()
            .any(|it| it.scale == Some(MeterScale::Relative));
        add(
            if relative {
                "relative_scale"
            } else {
                "unknown_scale"
            },
            None,
        );
    }
    let off_scale = readings.iter().any(|it| match it.value {
        ReadingValue::Meter(percent) => is_usable(it) && percent > table.meter_top_percent,
        _ => false,
    });
    if off_scale {
        add("off_scale", None);
    }
    let near_walls = |it: &&Reading| is_near_wall(it);
    let spots: Vec<&Reading> = readings
        .iter()
        .copied()
        .filter(|it| is_usable(it))
        .collect();
    if !spots.is_empty() && spots.iter().all(near_walls) {
        add("only_near_walls", None);
    }
    let newest = readings.iter().map(|it| it.date).max();
    let oldest_ok = today.checked_sub_months(Months::new(table.oldest_months as u32));
    if let (Some(newest), Some(oldest_ok)) = (newest, oldest_ok)
        && newest < oldest_ok
    {
        add("old_reading", None);
    }
    if let (Some(work), Some(newest)) = (visit.lot.drainage_work_date, newest)
        && newest < work
    {
        add("before_drainage_work", in_days(work, 365.0));
    }
    out
}
