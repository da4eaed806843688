//! How long until this slab reads under the limit, and how much water that is.

use super::UsedLimits;
use crate::climate::Place;
use crate::odds::drying::{Dried, DryingRun, DryingStart, DryingState, dry_out};
use crate::odds::forcing::PlaceYear;
use crate::odds::forecast::{Sampled, sample};
use crate::odds::parameters::{FloorParameters, PriorSet};
use crate::odds::posterior::{Posterior, weighted_quantiles};
use crate::odds::priors::normal_score;
use crate::season::DAYS_PER_YEAR;
use crate::survey::Visit;
use crate::units::MoistureFlux;

crate::named_table! {
    /// Numbers of the drying estimate, from `tables/drying.csv`.
    DryingTable from "drying.csv" {
        floors,
        months,
        wetted_depth_m,
        moving_air_factor,
        warmer_k,
        machine_l_day,
        machine_setting,
        first_days,
        keeps_up_within,
    }
}

/// How the room is while the floor dries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Room {
    /// As it is lived in.
    AsItIs,
    /// Air that moves, and warmth.
    AirAndWarmth,
    /// A machine of a capacity (L/day) and a setting (fraction).
    Machine { l_day: f64, setting: f64 },
}

/// What one way of drying takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Drying {
    pub room: Room,
    /// Days from the start until half of the floors read under the limit, and nine of ten;
    /// `None` where they do not within the time looked at.
    pub days_half: Option<f64>,
    pub days_nine_of_ten: Option<f64>,
    /// Share of the floors that never do within that time.
    pub never: f64,
    /// Water the floor gives to the room, L/day over the first month, middle of the floors.
    pub l_day: f64,
    /// Share of floors on which the machine holds its setting in the first month.
    pub keeps_up: Option<f64>,
}

/// From when the days are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    Placed,
    Wetted,
    Visit,
}

/// The drying of one visit.
#[derive(Debug, Clone, PartialEq)]
pub struct DryingPlan {
    pub from: From,
    /// Days that have gone by since then at the visit.
    pub gone_by: f64,
    pub months_looked_at: f64,
    pub ways: Vec<Drying>,
}

/// Works out the drying of a visit's floors for each room. The posterior must have been made
/// with the same limits; a reading of a floor that is still wet is not weighed.
pub fn drying(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    limits: &UsedLimits,
    rooms: &[Room],
) -> DryingPlan {
    let table = DryingTable::bundled();
    let wetted = visit
        .floor
        .last_wetted_days
        .filter(|it| *it < table.first_days);
    let placed = visit
        .floor
        .placed_date
        .map(|it| (visit.visit_date - it).num_days() as f64);
    let (from, gone_by) = match (wetted, placed) {
        (Some(days), _) => (From::Wetted, days),
        (None, Some(days)) if days < table.months * DAYS_PER_YEAR / 12.0 => (From::Placed, days),
        _ => (From::Visit, 0.0),
    };
    let priors = PriorSet::for_visit(visit);
    let place_year = PlaceYear::new(place, priors.below_grade);
    let sampled = sample(posterior, &posterior.before.weights, table.floors as usize);
    // From the placing on the floor is run from its first day; otherwise from the visit.
    let lead = match from {
        From::Placed => (gone_by / (DAYS_PER_YEAR / 12.0)).round() as usize,
        From::Wetted | From::Visit => 0,
    };
    let ways = rooms
        .iter()
        .map(|room| {
            let run = DryingRun {
                months: table.months as usize,
                start: match from {
                    From::Placed => DryingStart::Placed { lead },
                    From::Wetted => DryingStart::Wetted {
                        depth_m: table.wetted_depth_m,
                    },
                    From::Visit => DryingStart::AsItIs,
                },
                first_days: table.first_days,
                asks_dome: limits.calcium_chloride_lb.is_some(),
                room: &|it: &mut FloorParameters| in_room(*room, it),
                placed_humidity: priors.placed_humidity,
            };
            let is_dry = |it: &Sampled, seen: &DryingState| is_under(posterior, limits, it, seen);
            let dried = dry_out(posterior, &place_year, &sampled, &run, is_dry);
            summary(*room, &dried)
        })
        .collect();
    DryingPlan {
        from,
        gone_by,
        months_looked_at: table.months,
        ways,
    }
}

/// The room of one floor while it dries.
fn in_room(room: Room, it: &mut FloorParameters) {
    let table = DryingTable::bundled();
    match room {
        Room::AsItIs => {}
        Room::AirAndWarmth => {
            it.air_changes_per_h *= table.moving_air_factor;
            it.room_mean_c += table.warmer_k;
        }
        Room::Machine { l_day, setting } => {
            it.has_machine = true;
            it.machine_l_day = l_day;
            it.machine_setting = setting;
        }
    }
}

/// Whether a floor reads under every limit.
fn is_under(
    posterior: &Posterior,
    limits: &UsedLimits,
    floor: &Sampled,
    seen: &DryingState,
) -> bool {
    // Each floor is read by a meter of its own.
    let scale = posterior.scale_before.mean
        + posterior.scale_before.sd * normal_score(floor.spread.clamp(0.01, 0.99));
    let meter = limits
        .meter_percent
        .is_none_or(|limit| 100.0 * scale * seen.meter_fraction <= limit);
    let probe = limits
        .probe_percent
        .is_none_or(|limit| 100.0 * seen.probe_humidity <= limit);
    let lime = limits
        .calcium_chloride_lb
        .is_none_or(|limit| seen.dome_flux / MoistureFlux::POUND_PER_1000_FT2_DAY <= limit);
    meter && probe && lime
}

/// What the sampled floors say together.
fn summary(room: Room, dried: &[Dried]) -> Drying {
    let table = DryingTable::bundled();
    let count = dried.len() as f64;
    let mut days: Vec<f64> = dried
        .iter()
        .map(|it| it.days.unwrap_or(f64::INFINITY))
        .collect();
    days.sort_by(f64::total_cmp);
    let quantile = |share: f64| {
        let at = ((share * count).ceil() as usize).clamp(1, days.len()) - 1;
        Some(days[at]).filter(|it| it.is_finite())
    };
    let mut water: Vec<(f64, f64)> = dried
        .iter()
        .map(|it| (it.given_l / table.first_days, 1.0))
        .collect();
    let [l_day] = weighted_quantiles(&mut water, [0.5]);
    let keeps_up = match room {
        Room::Machine { setting, .. } => {
            let keeps = |it: &&Dried| it.highest_room_humidity <= setting + table.keeps_up_within;
            Some(dried.iter().filter(keeps).count() as f64 / count)
        }
        Room::AsItIs | Room::AirAndWarmth => None,
    };
    Drying {
        room,
        days_half: quantile(0.5),
        days_nine_of_ten: quantile(0.9),
        never: days.iter().filter(|it| it.is_infinite()).count() as f64 / count,
        l_day,
        keeps_up,
    }
}
