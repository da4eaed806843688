//! How long until this slab reads under the limit, and how much water that is.

use super::UsedLimits;
use crate::climate::Place;
use crate::odds::evidence::dome_test;
use crate::odds::forcing::{NODES, PlaceYear, floor_set, levels};
use crate::odds::forecast::{gather, sample};
use crate::odds::parameters::{FloorParameters, PriorSet};
use crate::odds::posterior::Posterior;
use crate::odds::priors::normal_score;
use crate::odds::simulate::{LANES, Precision, dome_flux};
use crate::season::{DAYS_PER_YEAR, STEPS_PER_YEAR};
use crate::slab::{FloorSet, Machines};
use crate::survey::Visit;
use crate::units::{Lanes, MoistureFlux, Real};

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
    let months = table.months as usize;
    // From the placing on the floor is run from its first day; otherwise from the visit.
    let lead = match from {
        From::Placed => (gone_by / (DAYS_PER_YEAR / 12.0)).round() as usize,
        From::Wetted | From::Visit => 0,
    };
    let first_month = (posterior.plan.reading_month + 1 + 12 * 100 - lead) % 12;
    let step_days = DAYS_PER_YEAR / STEPS_PER_YEAR as f64;
    let marks: Vec<usize> = (0..months * STEPS_PER_YEAR / 12).collect();
    let ways = rooms
        .iter()
        .map(|room| {
            let mut dry_after: Vec<Option<f64>> = Vec::new();
            let mut water: Vec<(f64, f64)> = Vec::new();
            let mut held = 0.0;
            for some in sampled.chunks(LANES) {
                let at = |l: usize| &some[l.min(some.len() - 1)];
                let parameters: [FloorParameters; LANES] = std::array::from_fn(|l| {
                    let mut parameters = posterior.outcomes[at(l).draw].parameters.clone();
                    match room {
                        Room::AsItIs => {}
                        Room::AirAndWarmth => {
                            parameters.air_changes_per_h *= table.moving_air_factor;
                            parameters.room_mean_c += table.warmer_k;
                        }
                        Room::Machine { l_day, setting } => {
                            parameters.has_machine = true;
                            parameters.machine_l_day = *l_day;
                            parameters.machine_setting = *setting;
                        }
                    }
                    parameters
                });
                let refs: [&FloorParameters; LANES] = std::array::from_fn(|l| &parameters[l]);
                let set: FloorSet<NODES, LANES, Precision> =
                    floor_set(&place_year, &refs, posterior.plan.constants);
                let all = levels(&place_year, &refs, (posterior.plan.reading_month + 1) % 12);
                // Months before the visit repeat the reading's year.
                let levels_m: Vec<Lanes<LANES>> = (0..months)
                    .map(|month| match month.checked_sub(lead) {
                        None => all.capped_m[(month + 12 * 100 - lead) % 12],
                        Some(ahead) => all.capped_m[12 + ahead],
                    })
                    .collect();
                let mut run = match from {
                    From::Placed => set.at_humidity(priors.placed_humidity),
                    From::Wetted | From::Visit => gather(posterior, some),
                };
                if from == From::Wetted {
                    for node in 0..NODES {
                        for l in 0..LANES {
                            if set.grid.depth[node] * set.thickness_m[l].wide()
                                < table.wetted_depth_m
                            {
                                run.state.now[node][l] = 1.0;
                                run.state.before[node][l] = 1.0;
                            }
                        }
                    }
                }
                let mut under: Vec<Option<f64>> = vec![None; some.len()];
                let mut given: Vec<f64> = vec![0.0; some.len()];
                let mut room_over: Vec<f64> = vec![0.0; some.len()];
                run.months(
                    &set,
                    &levels_m,
                    first_month,
                    Machines::On,
                    &marks,
                    |_, _| {},
                    |mark, (seen, state)| {
                        let day = (mark as f64 + 1.0) * step_days;
                        let asks_dome = limits.calcium_chloride_lb.is_some() && mark % 9 == 8;
                        let dome = if asks_dome {
                            dome_flux(&set, state, dome_test())
                        } else {
                            [f64::INFINITY; LANES]
                        };
                        let step = (first_month * STEPS_PER_YEAR / 12 + mark) % STEPS_PER_YEAR;
                        for (l, it) in some.iter().enumerate() {
                            let scale = posterior.scale_before.mean
                                + posterior.scale_before.sd
                                    * normal_score(it.spread.clamp(0.01, 0.99));
                            let meter = limits.meter_percent.is_none_or(|limit| {
                                100.0 * scale * seen.meter_fraction[l] <= limit
                            });
                            let probe = limits
                                .probe_percent
                                .is_none_or(|limit| 100.0 * seen.probe_humidity[l] <= limit);
                            let lime = limits.calcium_chloride_lb.is_none_or(|limit| {
                                dome[l] / MoistureFlux::POUND_PER_1000_FT2_DAY <= limit
                            });
                            if under[l].is_none() && meter && probe && lime {
                                under[l] = Some(day);
                            }
                            if day <= table.first_days {
                                given[l] += seen.flux[l].max(0.0) * step_days * 86_400.0;
                                let room_humidity =
                                    seen.room_pa[l] / set.year[step].room_saturation_pa[l].wide();
                                room_over[l] = room_over[l].max(room_humidity);
                            }
                        }
                    },
                );
                for l in 0..some.len() {
                    dry_after.push(under[l]);
                    water.push((
                        given[l] * parameters[l].floor_area_m2 / table.first_days,
                        1.0,
                    ));
                    if let Room::Machine { setting, .. } = room
                        && room_over[l] <= setting + table.keeps_up_within
                    {
                        held += 1.0;
                    }
                }
            }
            let count = dry_after.len() as f64;
            let mut days: Vec<f64> = dry_after
                .iter()
                .map(|it| it.unwrap_or(f64::INFINITY))
                .collect();
            days.sort_by(f64::total_cmp);
            let quantile = |share: f64| {
                let at = ((share * count).ceil() as usize).clamp(1, days.len()) - 1;
                Some(days[at]).filter(|it| it.is_finite())
            };
            let never = days.iter().filter(|it| it.is_infinite()).count() as f64 / count;
            let [_, l_day, _] =
                crate::odds::posterior::weighted_quantiles(&mut water, [0.1, 0.5, 0.9]);
            Drying {
                room: *room,
                days_half: quantile(0.5),
                days_nine_of_ten: quantile(0.9),
                never,
                l_day,
                keeps_up: matches!(room, Room::Machine { .. }).then_some(held / count),
            }
        })
        .collect();
    DryingPlan {
        from,
        gone_by,
        months_looked_at: table.months,
        ways,
    }
}
