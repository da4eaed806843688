//! The solver that runs many floors at once against a plain one that runs one.
//!
//! The plain form below is the solver as it was first written: one slab, one node after the
//! other, the library's exponential, nothing shared and nothing folded together. It is the
//! judge of every faster form, in single and in double precision. Every width that the processor has must give the same bits.

use crate::floors::{CONSTANTS, OCTOBER, PERCENT_SHOWN, place};
use slabseason::odds::evidence::readings_log;
use slabseason::odds::forcing::{NODES, PlaceYear, floor_set, floor_set_in, levels};
use slabseason::odds::parameters::{FloorParameters, PriorSet};
use slabseason::odds::pareto::smooth;
use slabseason::odds::posterior::{Effort, FULL, Limits, posterior};
use slabseason::odds::simulate::{Dome, Highest, LANES, Snapshot, dome_flux};
use slabseason::odds::sobol::normal_scores;
use slabseason::season::STEPS_PER_MONTH;
use slabseason::slab::{FloorSet, Grid, Machines, Observed};
use slabseason::survey::{Visit, parse_visit};
use slabseason::units::{Lanes, Real, Width};

const VISIT: &str = "visit_date = 2026-09-08\npostal = \"05401\"\nfloor.setting = \"basement\"\n\
    [[reading]]\ndate = 2026-09-08\nkind = \"meter\"\nvalue = 3.6\nscale = \"percent\"\nspot = \"A1\"\n";

fn visit() -> Visit {
    parse_visit(VISIT, "made.toml").unwrap().visit
}

fn draws(count: u32) -> Vec<FloorParameters> {
    let priors = PriorSet::for_visit(&visit());
    (0..count)
        .map(|it| priors.parameters(&normal_scores(it)))
        .collect()
}

// ------------------------------------------------------------------ the plain form

/// Concrete of one slab; Künzel's forms, written out.
struct Concrete {
    saturation: f64,
    b: f64,
    absorption: f64,
    mu: f64,
}

impl Concrete {
    fn humidity(&self, u: f64) -> f64 {
        self.b * u / (self.b - 1.0 + u)
    }

    fn humidity_slope(&self, u: f64) -> f64 {
        self.b * (self.b - 1.0) / ((self.b - 1.0 + u) * (self.b - 1.0 + u))
    }

    /// The integral of `D_w dw` from dry.
    fn liquid(&self, u: f64) -> f64 {
        let ln_thousand = 1_000.0_f64.ln();
        3.8 * self.absorption * self.absorption / (self.saturation * ln_thousand)
            * (ln_thousand * (u - 1.0)).exp()
    }

    fn liquid_slope(&self, u: f64) -> f64 {
        1_000.0_f64.ln() * self.liquid(u)
    }

    fn vapor(&self) -> f64 {
        2.0e-10 / self.mu
    }
}

/// What lies about one slab during one step.
struct Around {
    surface_pa: f64,
    under_pa: f64,
    /// Supply of the ground, kg/(m2 s) for each unit of humidity missing.
    supply: f64,
    soil_humidity: f64,
    film: f64,
    through_air: f64,
    reference_pa: f64,
    setting_pa: f64,
    dried_reference_pa: f64,
    room_saturation_pa: f64,
}

struct Slab {
    now: [f64; NODES],
    before: [f64; NODES],
}

/// One step of one slab; `first` takes it by first order.
fn plain_step(
    slab: &mut Slab,
    concrete: &Concrete,
    grid: &Grid<NODES>,
    thickness_m: f64,
    around: &Around,
    step_s: f64,
    first: bool,
) {
    let last = NODES - 1;
    let about: Vec<f64> = (0..NODES)
        .map(|node| {
            let ahead = if first {
                slab.now[node]
            } else {
                2.0 * slab.now[node] - slab.before[node]
            };
            ahead.clamp(1.0e-4, 1.0)
        })
        .collect();
    let saturation =
        |node: usize| around.surface_pa + grid.depth[node] * (around.under_pa - around.surface_pa);
    // Flux from node + 1 up to node, and its slopes over the two states.
    let flux = |node: usize| {
        let conductance = grid.inverse_distance[node] / thickness_m;
        let pressure = |at: usize| saturation(at) * concrete.humidity(about[at]);
        let slope = |at: usize| {
            conductance
                * (concrete.liquid_slope(about[at])
                    + concrete.vapor() * saturation(at) * concrete.humidity_slope(about[at]))
        };
        let value = conductance
            * (concrete.liquid(about[node + 1]) - concrete.liquid(about[node])
                + concrete.vapor() * (pressure(node + 1) - pressure(node)));
        (value, slope(node + 1), slope(node))
    };
    let ground_slope = around.supply * concrete.humidity_slope(about[last]);
    let ground = around.supply * (around.soil_humidity - concrete.humidity(about[last]));
    let mut into_rest = ground + ground_slope * about[last];
    let mut into_slope = ground_slope;
    let mut level = [0.0; NODES];
    let mut gain = [0.0; NODES];
    for node in (0..last).rev() {
        let (value, slope_low, slope_up) = flux(node);
        let rest = value - slope_low * about[node + 1] + slope_up * about[node];
        let volume = grid.volume[node + 1] * thickness_m * concrete.saturation;
        let (held, carried) = if first {
            (volume / step_s, volume / step_s * slab.now[node + 1])
        } else {
            (
                1.5 * volume / step_s,
                volume / step_s * (2.0 * slab.now[node + 1] - 0.5 * slab.before[node + 1]),
            )
        };
        let whole = held + into_slope + slope_low;
        level[node + 1] = (carried + into_rest - rest) / whole;
        gain[node + 1] = slope_up / whole;
        into_rest = rest + slope_low * level[node + 1];
        into_slope = slope_up - slope_low * gain[node + 1];
    }
    // The surface: each case of the room is a straight line, the largest flux holds.
    let slope = around.surface_pa * concrete.humidity_slope(about[0]);
    let rest_pa = around.surface_pa * concrete.humidity(about[0]) - slope * about[0];
    let solve = |conductance: f64, target_pa: f64| {
        (into_rest - conductance * (rest_pa - target_pa)) / (into_slope + conductance * slope)
    };
    let aired = solve(around.through_air, around.reference_pa);
    let held = solve(around.film, around.setting_pa);
    let strained = solve(around.through_air, around.dried_reference_pa);
    let soaked = solve(around.film, around.room_saturation_pa);
    let mut next = [0.0; NODES];
    next[0] = aired.min(held.max(strained)).min(soaked).clamp(1.0e-4, 1.0);
    for node in 1..NODES {
        next[node] = level[node] + gain[node] * next[node - 1];
    }
    slab.before = slab.now;
    slab.now = next;
}

/// One floor by the plain form through a settled year, that year again and the next, each of
/// `levels_m`: water in the meter's layer (a fraction) at every step of the last two years.
fn plain_years(
    set: &FloorSet<NODES, 1>,
    parameters: &FloorParameters,
    before_m: &[f64],
    levels_m: &[f64],
) -> Vec<f64> {
    let concrete = Concrete {
        saturation: parameters.saturation_content,
        b: parameters.storage_shape,
        absorption: parameters.absorption,
        mu: parameters.vapor_resistance,
    };
    let grid = Grid::<NODES>::graded();
    let thickness_m = parameters.thickness_m;
    let wet =
        |level_m: f64| ((level_m + parameters.fringe_m) / parameters.fringe_m).clamp(0.0, 1.0);
    let around = |calendar_step: usize, wet: f64| {
        let at = &set.year[calendar_step];
        Around {
            surface_pa: at.surface_saturation_pa[0],
            under_pa: at.under_saturation_pa[0],
            supply: 2.0e-10 / parameters.air_layer_m * at.under_saturation_pa[0]
                + parameters.contact_supply * wet,
            soil_humidity: set.soil_air_humidity,
            film: set.film[0],
            through_air: set.through_air[0],
            reference_pa: at.reference_pa[0],
            setting_pa: at.setting_pa[0],
            dried_reference_pa: at.dried_reference_pa[0],
            room_saturation_pa: at.room_saturation_pa[0],
        }
    };
    // The mean of the years before, for the profile that the years begin with.
    let steps = 12 * STEPS_PER_MONTH;
    let mean_wet = before_m.iter().map(|it| wet(*it)).sum::<f64>() / before_m.len() as f64;
    let year_before = &before_m[before_m.len() - 12..];
    let all: Vec<Around> = (0..steps).map(|it| around(it, mean_wet)).collect();
    let mean = |value: fn(&Around) -> f64| all.iter().map(value).sum::<f64>() / steps as f64;
    let mean_year = Around {
        surface_pa: mean(|it| it.surface_pa),
        under_pa: mean(|it| it.under_pa),
        supply: mean(|it| it.supply),
        reference_pa: mean(|it| it.reference_pa),
        setting_pa: mean(|it| it.setting_pa),
        dried_reference_pa: mean(|it| it.dried_reference_pa),
        room_saturation_pa: mean(|it| it.room_saturation_pa),
        ..around(0, mean_wet)
    };
    let u = (concrete.b - 1.0) * 0.75 / (concrete.b - 0.75);
    let mut slab = Slab {
        now: [u; NODES],
        before: [u; NODES],
    };
    for growth in 0..14 {
        let length_s = 1.0e5 * 3.0_f64.powi(growth);
        plain_step(
            &mut slab,
            &concrete,
            &grid,
            thickness_m,
            &mean_year,
            length_s,
            true,
        );
    }
    let weights = grid.top_mean_weights((CONSTANTS.meter_depth_m / thickness_m).min(1.0));
    let mut seen = Vec::with_capacity(2 * steps);
    for (year, months) in [year_before, &levels_m[..12], &levels_m[12..24]]
        .into_iter()
        .enumerate()
    {
        for month in 0..12 {
            for part in 0..STEPS_PER_MONTH {
                let place = (part as f64 + 1.0) / STEPS_PER_MONTH as f64 - 0.5;
                let neighbor = if place < 0.0 {
                    month.max(1) - 1
                } else {
                    (month + 1).min(11)
                };
                let level_m = (1.0 - place.abs()) * months[month] + place.abs() * months[neighbor];
                let calendar_step = ((OCTOBER + month) % 12) * STEPS_PER_MONTH + part;
                let first = year == 0 && month == 0 && part == 0;
                plain_step(
                    &mut slab,
                    &concrete,
                    &grid,
                    thickness_m,
                    &around(calendar_step, wet(level_m)),
                    set.cadence.step_s,
                    first,
                );
                let layer: f64 = weights
                    .iter()
                    .zip(&slab.now)
                    .map(|(weight, u)| weight * u)
                    .sum();
                if year > 0 {
                    seen.push(layer * concrete.saturation / CONSTANTS.density_kg_m3);
                }
            }
        }
    }
    seen
}

/// The plain form for a version of the floor.
fn plain(place: &PlaceYear, parameters: &FloorParameters) -> Vec<f64> {
    let set = floor_set::<NODES, 1, f64>(place, &[parameters], CONSTANTS);
    let all = levels(place, &[parameters], OCTOBER);
    let alone = |levels_m: &[[f64; 1]]| levels_m.iter().map(|it| it[0]).collect::<Vec<f64>>();
    plain_years(
        &set,
        parameters,
        &alone(&all.before_m),
        &alone(&all.capped_m),
    )
}

/// Means of the months of a year, from its steps.
fn monthly(steps: &[f64]) -> Vec<f64> {
    steps
        .chunks_exact(STEPS_PER_MONTH)
        .map(|it| it.iter().sum::<f64>() / STEPS_PER_MONTH as f64)
        .collect()
}

// ------------------------------------------------------------------ the tests

/// The whole screen again with the plain form in place of the solver. Source of the tolerances:
/// the project's own bound on what speed may cost, 0.01 points rms in readings and 0.003 in
/// chances. The two forms solve the same equations by the same scheme, so that only rounding
/// and the fast exponential differ; in truth they agree far better.
#[test]
fn readings_and_chances_are_those_of_the_plain_form() {
    let place = place("05401");
    let visit = visit();
    let limits = Limits {
        meter_percent: Some(5.0),
        probe_humidity: None,
        dome_flux: None,
    };
    let one_round = Effort {
        most: FULL.round,
        ..FULL.next_year_only()
    };
    let fast = posterior(&place, &visit, limits, one_round);
    let place_year = PlaceYear::new(&place, PriorSet::for_visit(&visit).below_grade);
    let mut slow = fast.clone();
    let mark = fast.plan.marks[0];
    let (mut squares, mut count, mut span) = (0.0, 0, (f64::MAX, f64::MIN));
    let (mut logs, mut scales) = (Vec::new(), Vec::new());
    for (outcome, weight) in slow.outcomes.iter_mut().zip(&fast.before.weights) {
        let steps = plain(&place_year, &outcome.parameters);
        let (reading_year, next_year) = steps.split_at(12 * STEPS_PER_MONTH);
        for (year, kept) in [
            (monthly(reading_year), &mut outcome.reading_year),
            (monthly(next_year), &mut outcome.next_year),
        ] {
            for (month, want) in year.into_iter().enumerate() {
                let got = &mut kept[(OCTOBER + month) % 12].meter_fraction;
                let points = PERCENT_SHOWN * (*got - want);
                squares += points * points;
                count += 1;
                span = (span.0.min(want), span.1.max(want));
                *got = want;
            }
        }
        outcome.next_most = Highest::of(&outcome.next_year);
        // Marks count from the year before the reading's year.
        outcome.at_marks[0] = Snapshot {
            meter_fraction: reading_year[mark - 12 * STEPS_PER_MONTH],
            ..outcome.at_marks[0]
        };
        let (log, scale) = readings_log(&fast.observations, &outcome.at_marks, None);
        logs.push(weight.ln() + log);
        scales.push(scale);
    }
    let rms = (squares / f64::from(count)).sqrt();
    assert!(rms < 0.01, "readings differ by {rms} points rms");
    // The floors are not all alike, so that agreement means something.
    assert!(PERCENT_SHOWN * (span.1 - span.0) > 4.0, "{span:?}");
    slow.after = smooth(&logs);
    slow.scales = scales;
    let (fast_chance, slow_chance) = (fast.exceedance(), slow.exceedance());
    assert!(
        (fast_chance - slow_chance).abs() < 0.003,
        "after the reading {fast_chance}, plain {slow_chance}"
    );
    assert!(slow_chance > 0.001, "{slow_chance}");
    let (fast_before, slow_before) = (fast.exceedance_before(), slow.exceedance_before());
    assert!(
        (fast_before - slow_before).abs() < 0.003,
        "before the reading {fast_before}, plain {slow_before}"
    );
}

/// Everything that a set tells of one lane, as bits.
fn bits<const L: usize, R: Real>(
    width: Width,
    place: &PlaceYear,
    parameters: &[&FloorParameters; L],
    lane: usize,
) -> Vec<u64> {
    let set = floor_set_in::<NODES, L, R>(width, place, parameters, CONSTANTS);
    let mut res = Vec::new();
    for at in &set.year {
        for value in [
            at.surface_saturation_pa,
            at.under_saturation_pa,
            at.room_saturation_pa,
            at.reference_pa,
            at.setting_pa,
            at.dried_reference_pa,
        ] {
            res.push(value[lane].wide().to_bits());
        }
    }
    let levels_m = &levels(place, parameters, OCTOBER).capped_m[..24];
    res.extend(levels_m.iter().map(|it| it[lane].to_bits()));
    let mut run = set.settled(&levels_m[..12], OCTOBER, Machines::On, 1);
    let mut months = Vec::new();
    let mut domes = Vec::new();
    run.months(
        &set,
        levels_m,
        OCTOBER,
        Machines::On,
        &[3, 40, 120],
        |_, seen: &Observed<L>| {
            for value in [
                seen.meter_fraction,
                seen.surface_humidity,
                seen.probe_humidity,
                seen.flux,
                seen.shed,
                seen.contact,
                seen.room_pa,
            ] {
                months.push(value[lane].to_bits());
            }
        },
        |_, (seen, run)| {
            let asked = Dome::Asked {
                hours: 66.0,
                humidity: 0.02,
                slab_c: 20.0,
            };
            domes.push(seen.meter_fraction[lane].to_bits());
            domes.push(dome_flux(&set, run, asked, &[1.6; L])[lane].to_bits());
        },
    );
    res.extend(months);
    res.extend(domes);
    for node in 0..NODES {
        res.push(run.state.now[node][lane].wide().to_bits());
        res.push(run.state.before[node][lane].wide().to_bits());
    }
    res
}

/// Each width is called directly; the judge is one floor alone in the build's own width.
#[test]
fn every_width_gives_the_same_bits() {
    let widths = Width::all();
    assert_eq!(widths[0], Width::AS_BUILT);
    assert_eq!(*widths.last().unwrap(), Width::widest());
    every_width_in::<f32>(&widths);
    every_width_in::<f64>(&widths);
}

fn every_width_in<R: Real>(widths: &[Width]) {
    let place = PlaceYear::new(&place("05401"), true);
    let all = draws(4 * LANES as u32);
    for some in all.chunks_exact(LANES) {
        let parameters: [&FloorParameters; LANES] = std::array::from_fn(|l| &some[l]);
        for l in 0..LANES {
            let alone = bits::<1, R>(Width::AS_BUILT, &place, &[parameters[l]], 0);
            assert!(alone.len() > 108 * 6 + 24 * 7);
            for width in widths {
                assert!(
                    bits::<LANES, R>(*width, &place, &parameters, l) == alone,
                    "{} differs in lane {l}",
                    width.word()
                );
            }
        }
    }
}

/// Monthly means of three years in a precision: meter (in points), surface, probe and room.
fn three_years<R: Real>(
    place: &PlaceYear,
    parameters: &[&FloorParameters; LANES],
) -> Vec<[Lanes<LANES>; 4]> {
    let set = floor_set::<NODES, LANES, R>(place, parameters, CONSTANTS);
    let levels_m = &levels(place, parameters, OCTOBER).capped_m[..36];
    let mut run = set.settled(&levels_m[..12], OCTOBER, Machines::On, 0);
    let mut res = Vec::new();
    run.months(
        &set,
        levels_m,
        OCTOBER,
        Machines::On,
        &[],
        |_, seen: &Observed<LANES>| {
            res.push([
                seen.meter_fraction.map(|it| PERCENT_SHOWN * it),
                seen.surface_humidity,
                seen.probe_humidity,
                seen.room_pa.map(|it| it / 1_000.0),
            ]);
        },
        |_, _| {},
    );
    res
}

/// Single precision holds 24 bits: a state of 0 to 1 to 6e-8, a flux between two of fourteen
/// nodes to some thousand times that. Source of the tolerances: the project's own bound on
/// what speed may cost, 0.01 points in a reading; a fifth of it for the worst month of any
/// floor, and as much for humidity and for kPa of the room.
#[test]
fn single_precision_is_double_precision() {
    let place = PlaceYear::new(&place("05401"), true);
    let all = draws(32 * LANES as u32);
    let mut worst = [0.0_f64; 4];
    let mut differs = false;
    for some in all.chunks_exact(LANES) {
        let parameters: [&FloorParameters; LANES] = std::array::from_fn(|l| &some[l]);
        let single = three_years::<f32>(&place, &parameters);
        let double = three_years::<f64>(&place, &parameters);
        for (one, other) in single.iter().zip(&double) {
            for kind in 0..4 {
                for l in 0..LANES {
                    let off = (one[kind][l] - other[kind][l]).abs();
                    worst[kind] = worst[kind].max(off);
                    differs |= off > 0.0;
                }
            }
        }
    }
    println!("worst: {worst:?} of points, surface, probe, kPa");
    assert!(differs, "the two are one and the same");
    for off in worst {
        assert!(off < 2.0e-3, "{worst:?}");
    }
}
