//! Floors that dry: the sampled floors of a posterior, run on until each reads under its limits.

use super::evidence::dome_test;
use super::forcing::{NODES, PlaceYear, floor_set, levels};
use super::forecast::{Sampled, gather};
use super::parameters::FloorParameters;
use super::posterior::Posterior;
use super::simulate::{LANES, Precision, dome_flux};
use crate::season::{DAYS_PER_YEAR, STEPS_PER_MONTH, STEPS_PER_YEAR};
use crate::slab::{FloorSet, Machines};
use crate::units::{Lanes, Real};

/// Where a floor stands when it begins to dry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DryingStart {
    /// Just placed, so many months before the visit.
    Placed {
        /// Whole months from the placing to the end of the visit's month.
        lead: usize,
        /// Age at the beginning of the first of them, below zero, days.
        first_age_days: f64,
    },
    /// As at the visit, with its top soaked down to a depth in m.
    Wetted {
        /// From the surface, m.
        depth_m: f64,
    },
    /// As at the visit.
    AsItIs,
}

/// How floors are dried.
pub struct DryingRun<'a> {
    /// Months that are run.
    pub months: usize,
    /// Where the floors stand at first.
    pub start: DryingStart,
    /// Days over which the water given off and the room are looked at.
    pub first_days: f64,
    /// Whether the calcium chloride test is simulated, once a month.
    pub asks_dome: bool,
    /// What is done to the room.
    pub room: &'a dyn Fn(&mut FloorParameters),
}

/// What a floor shows at one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DryingState {
    /// Water by weight in the layer that a meter reads, a fraction.
    pub meter_fraction: f64,
    /// Pore humidity at the depth of a probe, 0 to 1.
    pub probe_humidity: f64,
    /// Flux into a dome, kg/(m2 s); infinite at steps where it is not simulated.
    pub dome_flux: f64,
}

/// What became of one floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dried {
    /// Days from the start until it was dry; `None` where it never was.
    pub days: Option<f64>,
    /// Whether it was wet again within a year of that day.
    pub came_back: bool,
    /// Water that the whole floor gave to the room over the first days, L.
    pub given_l: f64,
    /// Highest humidity of the room's air over the first days, 0 to 1.
    pub highest_room_humidity: f64,
}

/// Dries the sampled floors; `is_dry` tells for a floor and what it shows whether it is dry.
pub fn dry_out(
    posterior: &Posterior,
    place: &PlaceYear,
    sampled: &[Sampled],
    how: &DryingRun,
    is_dry: impl Fn(&Sampled, &DryingState) -> bool,
) -> Vec<Dried> {
    let mut out = Vec::with_capacity(sampled.len());
    for some in sampled.chunks(LANES) {
        out.append(&mut dry_group(posterior, place, some, how, &is_dry));
    }
    out
}

fn dry_group(
    posterior: &Posterior,
    place: &PlaceYear,
    some: &[Sampled],
    how: &DryingRun,
    is_dry: &impl Fn(&Sampled, &DryingState) -> bool,
) -> Vec<Dried> {
    let lead = match how.start {
        DryingStart::Placed { lead, .. } => lead,
        DryingStart::Wetted { .. } | DryingStart::AsItIs => 0,
    };
    let after_visit = posterior.plan.reading_month + 1;
    let first_month = (after_visit + 12 * 100 - lead) % 12;
    let parameters: [FloorParameters; LANES] = std::array::from_fn(|l| {
        let draw = some[l.min(some.len() - 1)].draw;
        let mut parameters = posterior.outcomes[draw].parameters.clone();
        (how.room)(&mut parameters);
        parameters
    });
    let layers_m = parameters.each_ref().map(|it| it.dome_layer_m);
    let refs: [&FloorParameters; LANES] = std::array::from_fn(|l| &parameters[l]);
    let set: FloorSet<NODES, LANES, Precision> = floor_set(place, &refs, posterior.plan.constants);
    let all = levels(place, &refs, after_visit % 12);
    // Months before the visit repeat the reading's year.
    let levels_m: Vec<Lanes<LANES>> = (0..how.months)
        .map(|month| match month.checked_sub(lead) {
            None => all.capped_m[(month + 12 * 100 - lead) % 12],
            Some(ahead) => all.capped_m[12 + ahead],
        })
        .collect();
    let mut run = match how.start {
        DryingStart::Placed { first_age_days, .. } => set.placed(first_age_days, first_month),
        DryingStart::Wetted { .. } | DryingStart::AsItIs => gather(posterior, some, &set),
    };
    if let DryingStart::Wetted { depth_m } = how.start {
        for node in 0..NODES {
            for l in 0..LANES {
                if set.grid.depth[node] * set.thickness_m[l].wide() < depth_m {
                    run.state.now[node][l] = 1.0;
                    run.state.before[node][l] = 1.0;
                }
            }
        }
    }
    let step_days = DAYS_PER_YEAR / STEPS_PER_YEAR as f64;
    let first_age_days = match how.start {
        DryingStart::Placed { first_age_days, .. } => first_age_days,
        DryingStart::Wetted { .. } | DryingStart::AsItIs => 0.0,
    };
    let marks: Vec<usize> = (0..how.months * STEPS_PER_MONTH).collect();
    let nothing = Dried {
        days: None,
        came_back: false,
        given_l: 0.0,
        highest_room_humidity: 0.0,
    };
    let mut out = vec![nothing; some.len()];
    run.months(
        &set,
        &levels_m,
        first_month,
        Machines::On,
        &marks,
        |_, _| {},
        |mark, (seen, run)| {
            let day = (mark as f64 + 1.0) * step_days + first_age_days;
            if day <= 0.0 {
                return;
            }
            let is_month_end = mark % STEPS_PER_MONTH == STEPS_PER_MONTH - 1;
            let dome = if how.asks_dome && is_month_end {
                dome_flux(&set, run, dome_test(), &layers_m)
            } else {
                [f64::INFINITY; LANES]
            };
            let step = (first_month * STEPS_PER_MONTH + mark) % STEPS_PER_YEAR;
            for (l, it) in some.iter().enumerate() {
                let shown = DryingState {
                    meter_fraction: seen.meter_fraction[l],
                    probe_humidity: seen.probe_humidity[l],
                    dome_flux: dome[l],
                };
                let dried = &mut out[l];
                // Where the dome is simulated a floor is looked at once a month.
                let is_looked_at = !how.asks_dome || is_month_end;
                match dried.days {
                    None if is_dry(it, &shown) => dried.days = Some(day),
                    Some(since) if is_looked_at && day - since <= DAYS_PER_YEAR => {
                        dried.came_back |= !is_dry(it, &shown);
                    }
                    _ => {}
                }
                if day <= how.first_days {
                    let flux = seen.flux[l].max(0.0);
                    dried.given_l += flux * step_days * 86_400.0 * parameters[l].floor_area_m2;
                    let humidity = seen.room_pa[l] / set.year[step].room_saturation_pa[l].wide();
                    dried.highest_room_humidity = dried.highest_room_humidity.max(humidity);
                }
            }
        },
    );
    out
}
