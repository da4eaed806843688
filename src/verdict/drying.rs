//! How long until this slab reads under the limit, and how much water that is.

use super::{Unexplained, UsedLimits};
use crate::climate::Place;
use crate::odds::drying::{Dried, DryingRun, DryingStart, DryingState, dry_out};
use crate::odds::forcing::PlaceYear;
use crate::odds::forecast::{Sampled, sample};
use crate::odds::parameters::{FloorParameters, PriorSet};
use crate::odds::posterior::{Basis, Posterior, weighted_quantiles};
use crate::odds::priors::normal_score;
use crate::odds::view::View;
use crate::odds::weather_had::WeatherHad;
use crate::rules::Refusal;
use crate::season::DAYS_PER_YEAR;
use crate::survey::{ReadingValue, Visit};
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
        comes_back_named,
        young_days,
        ready_share,
        release_probe_percent,
        from_below_named,
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
    Machine {
        /// Water it takes out in a day, L.
        l_day: f64,
        /// Relative humidity of the room at which it shuts off, 0 to 1.
        setting: f64,
    },
}

/// What one way of drying takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Drying {
    /// How the room is kept meanwhile.
    pub room: Room,
    /// Days from the start until half of the floors read under the limit, and nine of ten;
    /// `None` where they do not within the time looked at.
    pub days_half: Option<f64>,
    /// Days until nine of ten floors read under the limit; `None` where they do not in that time.
    pub days_nine_of_ten: Option<f64>,
    /// Share of the floors that never do within that time.
    pub never: f64,
    /// Of the floors that do, the share that is over again within a year: wet from below.
    pub comes_back: f64,
    /// Water the floor gives to the room, L/day over the first month, middle of the floors.
    pub l_day: f64,
    /// Share of floors on which the machine holds its setting in the first month.
    pub keeps_up: Option<f64>,
}

/// Why no drying is told of a floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotDrying {
    /// The screen tells nothing of it either.
    Refused(Refusal),
    /// The screen does not use its reading, for this reason.
    Held(&'static str),
    /// Nothing that is known makes it read so high.
    Unexplained,
    /// It reads under its limit and there is nothing to dry.
    UnderLimit,
}

/// What stands against telling a visit's drying, if anything. A young slab has its middle to
/// dry, whatever its surface reads; one that was just wetted is under its limit only until
/// the water has gone in. Days to dry of a floor that no climate and no answer makes so wet would
/// be those of other floors.
pub fn not_drying(
    place: &Place,
    visit: &Visit,
    over_now: bool,
    unexplained: Option<Unexplained>,
) -> Option<NotDrying> {
    if let Some(refusal) = crate::rules::refusal(visit, place) {
        return Some(NotDrying::Refused(refusal));
    }
    let was_read = visit
        .readings
        .iter()
        .any(|it| !it.withdrawn && !matches!(it.value, ReadingValue::Sheet(_)));
    if origin(visit).0 != From::Visit || !was_read {
        return None;
    }
    if unexplained == Some(Unexplained::High) {
        return Some(NotDrying::Unexplained);
    }
    if over_now {
        return None;
    }
    // A reading that says nothing does not say that the floor is dry.
    let held = crate::rules::gates(visit).first().map(|it| it.id);
    Some(held.map_or(NotDrying::UnderLimit, NotDrying::Held))
}

/// From when the days of a visit are counted, and how many have gone by.
pub fn origin(visit: &Visit) -> (From, f64) {
    let table = DryingTable::bundled();
    let wetted = visit
        .floor
        .last_wetted_days
        .filter(|it| *it < table.first_days);
    let placed = visit
        .floor
        .placed_date
        .map(|it| (visit.visit_date - it).num_days() as f64);
    match (wetted, placed) {
        (_, Some(days)) if days < table.young_days => (From::Placed, days),
        (Some(days), _) => (From::Wetted, days),
        (None, Some(days)) if days < table.months * DAYS_PER_YEAR / 12.0 => (From::Placed, days),
        _ => (From::Visit, 0.0),
    }
}

/// Humidity at 40 % depth, in percent, that a floor must get under beside its other limits: that
/// of the data sheet. A new slab has one too where the sheet gives a meter limit alone, since a
/// meter on its surface cannot tell.
pub fn depth_limit_percent(visit: &Visit, limits: &UsedLimits) -> Option<f64> {
    let is_new = origin(visit).0 == From::Placed && limits.calcium_chloride_lb.is_none();
    limits
        .probe_percent
        .or(is_new.then_some(DryingTable::bundled().release_probe_percent))
}

/// From when the days are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// The day a new slab was placed.
    Placed,
    /// The day the floor was last wetted.
    Wetted,
    /// The day of the visit.
    Visit,
}

/// The drying of one visit.
#[derive(Debug, Clone, PartialEq)]
pub struct DryingPlan {
    /// The day that all days of drying are counted from.
    pub from: From,
    /// Days that have gone by since then at the visit.
    pub gone_by: f64,
    /// How long floors are run on, months; a floor that is not dry by then counts as never dry.
    pub months_looked_at: f64,
    /// Humidity at 40 % depth that has to be reached beside the limits, in percent.
    pub depth_percent: Option<f64>,
    /// Chance that the wettest month comes from below: what is dried then comes back.
    pub from_below: f64,
    /// One entry for each room that was asked about, in that order.
    pub ways: Vec<Drying>,
}

/// Works out the drying of a visit's floors for each room. The posterior must have been made
/// with the same limits.
pub fn drying(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    limits: &UsedLimits,
    rooms: &[Room],
) -> DryingPlan {
    let table = DryingTable::bundled();
    let (from, gone_by) = origin(visit);
    let limits = &UsedLimits {
        probe_percent: depth_limit_percent(visit, limits),
        ..limits.clone()
    };
    let priors = PriorSet::for_visit(visit);
    let place_year = PlaceYear::new(place, priors.below_grade).after(WeatherHad::of(place, visit));
    // A reading speaks of how this floor dries, but not while water of a washing is in it.
    let by_reading =
        from != From::Wetted && !posterior.observations.is_empty() && posterior.is_explained();
    let view = posterior.by(if by_reading {
        Basis::Readings
    } else {
        Basis::Answers
    });
    let sampled = sample(posterior, view.weights(), table.floors as usize);
    // From the placing on the floor is run from its first day; otherwise from the visit.
    let lead = match from {
        From::Placed => posterior.plan.start.months().unwrap_or(0),
        From::Wetted | From::Visit => 0,
    };
    let ways = rooms
        .iter()
        .map(|room| {
            let run = DryingRun {
                months: table.months as usize,
                start: match from {
                    From::Placed => DryingStart::Placed {
                        lead,
                        first_age_days: posterior.plan.start.first_age_days(),
                    },
                    From::Wetted => DryingStart::Wetted {
                        depth_m: table.wetted_depth_m,
                    },
                    From::Visit => DryingStart::AsItIs,
                },
                first_days: table.first_days,
                asks_dome: limits.calcium_chloride_lb.is_some(),
                room: &|it: &mut FloorParameters| in_room(*room, it),
            };
            let is_dry = |it: &Sampled, seen: &DryingState| is_under(view, limits, it, seen);
            let dried = dry_out(posterior, &place_year, &sampled, &run, is_dry);
            summary(*room, &dried)
        })
        .collect();
    DryingPlan {
        from,
        gone_by,
        months_looked_at: table.months,
        depth_percent: limits.probe_percent,
        from_below: super::causes::over_from_below(view),
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
fn is_under(view: View, limits: &UsedLimits, floor: &Sampled, seen: &DryingState) -> bool {
    // Each floor is read by a meter of its own.
    let scale = view.scale(floor.draw);
    let scale = scale.mean + scale.sd * normal_score(floor.spread.clamp(0.01, 0.99));
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
    let got_under = dried.iter().filter(|it| it.days.is_some()).count() as f64;
    let came_back = dried.iter().filter(|it| it.came_back).count() as f64;
    Drying {
        room,
        comes_back: if got_under > 0.0 {
            came_back / got_under
        } else {
            0.0
        },
        days_half: quantile(0.5),
        days_nine_of_ten: quantile(0.9),
        never: days.iter().filter(|it| it.is_infinite()).count() as f64 / count,
        l_day,
        keeps_up,
    }
}
