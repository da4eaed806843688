//! The floors that remain after the readings, run on: finished, dried, or with a fixed drain.

use super::evidence::dome_test;
use super::forcing::{NODES, PlaceYear, floor_set, levels};
use super::outcomes::SimulatedFloors;
use super::parameters::{FloorParameters, YEARS_DRAWN};
use super::posterior::Posterior;
use super::simulate::{Group, LANES, Plan, Precision, Pump, dome_flux};
use crate::slab::{FloorRun, FloorSet, Machines, Observed, supply_through};
use crate::units::{Lanes, Real};
use std::sync::Arc;

/// One floor of the sample.
#[derive(Debug, Clone)]
pub struct Sampled {
    /// Draw of the posterior it comes from.
    pub draw: usize,
    /// A number of 0 to 1 of its own, evenly spread over the sample, for what is drawn later.
    pub spread: f64,
}

/// Simulated floors that can be run on: those of a posterior, or one whose truth is known.
#[derive(Debug, Clone, Copy)]
pub struct ForecastFloors<'a> {
    /// Calendar and use of the floors.
    pub plan: &'a Plan,
    /// What each version did so far.
    pub outcomes: &'a SimulatedFloors,
    /// Where they stand at the visit, in the order of the outcomes.
    pub groups: &'a [Arc<Group>],
}

impl<'a> From<&'a Posterior> for ForecastFloors<'a> {
    fn from(posterior: &'a Posterior) -> Self {
        Self {
            plan: &posterior.plan,
            outcomes: &posterior.outcomes,
            groups: posterior.groups(),
        }
    }
}

/// Floors of equal weight, picked evenly along the posterior's weights.
pub fn sample(posterior: &Posterior, weights: &[f64], floors: usize) -> Vec<Sampled> {
    let mut out = Vec::with_capacity(floors);
    let mut sum = 0.0;
    let mut draw = 0;
    for at in 0..floors {
        let target = (at as f64 + 0.5) / floors as f64;
        while sum + weights[draw] < target && draw + 1 < posterior.outcomes.len() {
            sum += weights[draw];
            draw += 1;
        }
        // The golden section spreads evenly whatever the length of the sample.
        let spread = ((at as f64 + 0.5) * 0.618_033_988_749_894_9) % 1.0;
        out.push(Sampled { draw, spread });
    }
    out
}

/// Whether water stands above the underside of each sampled floor in some of so many months
/// after the visit.
pub fn water_above(posterior: &Posterior, sampled: &[Sampled], months: usize) -> Vec<bool> {
    let stands = |it: &Sampled| {
        let levels_m = &posterior.groups()[it.draw / LANES].levels_m;
        levels_m[12..12 + months]
            .iter()
            .any(|level| level[it.draw % LANES] > 0.0)
    };
    sampled.iter().map(stands).collect()
}

/// Flux into the dome of a calcium chloride test at the visit, for each draw, kg/(m2 s).
pub fn dome_flux_now(posterior: &Posterior) -> Vec<f64> {
    let test = dome_test();
    let each =
        |group: &Arc<Group>| dome_flux(&group.set, &group.at_visit, test, &group.dome_layer_m);
    posterior.groups().iter().flat_map(each).collect()
}

/// What is changed about the sampled floors before they run on.
#[derive(Clone, Copy)]
pub struct Change<'a> {
    /// Changes what cannot be seen, such as a drain that works from now on.
    pub parameters: Option<&'a dyn Fn(&mut FloorParameters)>,
    /// Months the floor stays bare before it is finished.
    pub bare_months: usize,
    /// Machines while it is bare.
    pub bare_machines: Machines,
    /// Vapor layer of the finish for a number of 0 to 1, m of still air; 0 leaves it bare.
    pub air_layer_m: &'a dyn Fn(f64) -> f64,
}

/// One month of one sampled floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonthAfter {
    /// Pore humidity at the bond line, or of the bare surface.
    pub bond_humidity: f64,
    /// Humidity at the depth of a probe.
    pub probe_humidity: f64,
    /// Water by weight in the layer that a meter reads, a fraction.
    pub meter_fraction: f64,
    /// Water table above the underside, m.
    pub level_m: f64,
    /// Water shed by the surface, kg/(m2 s).
    pub shed: f64,
}

/// Months of one sampled floor: bare ones, then those under the finish.
#[derive(Debug, Clone)]
pub struct Course {
    /// Months before the finish, the first after the visit first.
    pub bare: Vec<MonthAfter>,
    /// Months under the finish, in order.
    pub finished: Vec<MonthAfter>,
}

/// Runs sampled floors through `bare_months` and then `finished_months` under the finish.
pub fn run_ahead<'a>(
    floors: impl Into<ForecastFloors<'a>>,
    place: &PlaceYear,
    sampled: &[Sampled],
    change: Change,
    finished_months: usize,
) -> Vec<Course> {
    let floors: ForecastFloors = floors.into();
    let first_month = (floors.plan.reading_month + 1) % 12;
    let mut out = Vec::with_capacity(sampled.len());
    for some in sampled.chunks(LANES) {
        let at = |l: usize| &some[l.min(some.len() - 1)];
        let parameters: [FloorParameters; LANES] = std::array::from_fn(|l| {
            let mut parameters = floors.outcomes[at(l).draw].parameters.clone();
            if floors.plan.pump == Pump::Fails {
                parameters.drain_works = false;
            }
            if let Some(change) = change.parameters {
                change(&mut parameters);
            }
            parameters
        });
        let refs: [&FloorParameters; LANES] = std::array::from_fn(|l| &parameters[l]);
        let mut set: FloorSet<NODES, LANES, Precision> =
            floor_set(place, &refs, floors.plan.constants);
        // Levels from the visit on; a change acts from now on and not on the past.
        let drawn = match change.parameters {
            None => drawn_levels(floors, some),
            Some(_) => None,
        };
        let all = drawn.unwrap_or_else(|| levels(place, &refs, first_month).capped_m);
        let levels_m = &all[12..];
        let mut run = gather(floors, some, &set);
        let mut courses: Vec<Course> = some
            .iter()
            .map(|_| Course {
                bare: Vec::new(),
                finished: Vec::new(),
            })
            .collect();
        let bare = change.bare_months.min(levels_m.len());
        run.months(
            &set,
            &levels_m[..bare],
            first_month,
            change.bare_machines,
            &[],
            |month, seen| {
                for (l, course) in courses.iter_mut().enumerate() {
                    course.bare.push(month_after(seen, levels_m[month][l], l));
                }
            },
            |_, _| {},
        );
        finish(
            &mut set,
            &std::array::from_fn(|l| (change.air_layer_m)(at(l).spread)),
        );
        let end = (bare + finished_months).min(levels_m.len());
        let under = &levels_m[bare..end];
        run.months(
            &set,
            under,
            (first_month + bare) % 12,
            floors.plan.machines.after,
            &[],
            |month, seen| {
                for (l, course) in courses.iter_mut().enumerate() {
                    course.finished.push(month_after(seen, under[month][l], l));
                }
            },
            |_, _| {},
        );
        out.append(&mut courses);
    }
    out
}

/// The water tables that some floors were drawn with, where all years ahead were drawn.
fn drawn_levels(floors: ForecastFloors, some: &[Sampled]) -> Option<Vec<Lanes<LANES>>> {
    let of_lane: [(&[Lanes<LANES>], usize); LANES] = std::array::from_fn(|l| {
        let draw = some[l.min(some.len() - 1)].draw;
        (
            floors.groups[draw / LANES].levels_m.as_slice(),
            draw % LANES,
        )
    });
    let months = 12 * (1 + YEARS_DRAWN);
    of_lane.iter().all(|it| it.0.len() == months).then(|| {
        let month = |at: usize| std::array::from_fn(|l| of_lane[l].0[at][of_lane[l].1]);
        (0..months).map(month).collect()
    })
}

fn month_after(seen: &Observed<LANES>, level_m: f64, l: usize) -> MonthAfter {
    MonthAfter {
        bond_humidity: seen.surface_humidity[l],
        probe_humidity: seen.probe_humidity[l],
        meter_fraction: seen.meter_fraction[l],
        level_m,
        shed: seen.shed[l],
    }
}

/// A group of floors of the sample as they were at the visit.
pub fn gather<'a>(
    floors: impl Into<ForecastFloors<'a>>,
    some: &[Sampled],
    set: &FloorSet<NODES, LANES, Precision>,
) -> FloorRun<NODES, LANES, Precision> {
    let groups = floors.into().groups;
    FloorRun::gathered(set, |l| {
        let draw = some[l.min(some.len() - 1)].draw;
        (&groups[draw / LANES].at_visit, draw % LANES)
    })
}

/// Puts a vapor layer over the floors: the surface node becomes the bond line.
pub fn finish<const CUT: usize, const L: usize, R: Real>(
    set: &mut FloorSet<CUT, L, R>,
    air_layer_m: &Lanes<L>,
) {
    for l in 0..L {
        let layer = if air_layer_m[l] > 0.0 {
            1.0 / supply_through(air_layer_m[l])
        } else {
            0.0
        };
        for path in [&mut set.film[l], &mut set.through_air[l]] {
            *path = R::of(1.0 / (1.0 / path.wide() + layer));
        }
    }
}
