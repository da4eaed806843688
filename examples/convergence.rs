//! How far grid, steps and start are from what they stand for, as tables for the developers'
//! page.
//!
//! ```text
//! cargo run --release --example convergence
//! ```
//!
//! Monthly readings of 256 versions of a basement at Burlington of which nothing is known,
//! in points of a meter's percent.

use slabseason::climate::{Place, PlaceQuery, find_place};
use slabseason::odds::forcing::{FloorConstants, NODES, PlaceYear, floor_set, levels};
use slabseason::odds::parameters::{FloorParameters, PriorSet};
use slabseason::odds::simulate::LANES;
use slabseason::odds::sobol::normal_scores;
use slabseason::season::STEPS_PER_MONTH;
use slabseason::slab::Machines;
use slabseason::survey::parse_visit;

/// The year begins in October, as for a reading in September.
const OCTOBER: usize = 9;
const FLOORS: u32 = 256;
/// Percent that a meter of the middle scale shows for a fraction of water.
const PERCENT_SHOWN: f64 = 110.0;

fn main() {
    let place = find_place(&PlaceQuery::parse("05401").expect("a postal code"))
        .expect("the table has stations near Burlington");
    let text = "visit_date = 2026-09-08\npostal = \"05401\"\nfloor.setting = \"basement\"";
    let visit = parse_visit(text, "made").expect("a whole visit").visit;
    let priors = PriorSet::for_visit(&visit);
    let floors: Vec<FloorParameters> = (0..FLOORS)
        .map(|it| priors.parameters(&normal_scores(it)))
        .collect();

    println!("Against 96 cells and 180 steps a month, fourth year after the steady start:\n");
    println!("| cells | steps a month | rms | bias | 99th percentile | largest |");
    println!("|---|---|---|---|---|---|");
    let finest = readings::<98>(&place, &floors, 180, 0, 3);
    for steps in [9, 18, 30, 90] {
        for (cells, coarse) in [
            (12, readings::<14>(&place, &floors, steps, 0, 3)),
            (16, readings::<18>(&place, &floors, steps, 0, 3)),
            (24, readings::<26>(&place, &floors, steps, 0, 3)),
            (48, readings::<50>(&place, &floors, steps, 0, 3)),
        ] {
            println!("| {cells} | {steps} | {} |", deviations(&coarse, &finest));
        }
    }

    println!("\nAgainst forty years of the same weather, 12 cells and 9 steps a month:\n");
    println!("| rounds of settling | years of run-up | rms | bias | 99th percentile | largest |");
    println!("|---|---|---|---|---|---|");
    let long = readings::<NODES>(&place, &floors, STEPS_PER_MONTH, 0, 40);
    for rounds in [0, 1, 2] {
        for years in [0, 1, 2] {
            let short = readings::<NODES>(&place, &floors, STEPS_PER_MONTH, rounds, years);
            println!("| {rounds} | {years} | {} |", deviations(&short, &long));
        }
    }
}

/// Monthly readings of all floors in the year after `years` of run-up.
fn readings<const CUT: usize>(
    place: &Place,
    floors: &[FloorParameters],
    steps_per_month: usize,
    rounds: usize,
    years: usize,
) -> Vec<f64> {
    let place = PlaceYear::with_steps(place, true, steps_per_month);
    let mut out = Vec::new();
    for chunk in floors.chunks_exact(LANES) {
        let parameters: [&FloorParameters; LANES] = std::array::from_fn(|l| &chunk[l]);
        let levels_m = levels(&place, &parameters, OCTOBER).capped_m[..12].to_vec();
        let constants = FloorConstants {
            density_kg_m3: 2_300.0,
            meter_depth_m: 0.02,
            probe_depth: 0.4,
        };
        let set = floor_set::<CUT, LANES, f64>(&place, &parameters, constants);
        let mut run = set.settled(&levels_m, OCTOBER, Machines::On, rounds);
        for year in 0..=years {
            run.months(
                &set,
                &levels_m,
                OCTOBER,
                Machines::On,
                &[],
                |_, seen| {
                    if year == years {
                        out.extend(seen.meter_fraction.map(|it| PERCENT_SHOWN * it));
                    }
                },
                |_, _| {},
            );
        }
    }
    out
}

/// Four numbers as cells of a table.
fn deviations(coarse: &[f64], fine: &[f64]) -> String {
    let off: Vec<f64> = coarse.iter().zip(fine).map(|(a, b)| a - b).collect();
    let count = off.len() as f64;
    let rms = (off.iter().map(|it| it * it).sum::<f64>() / count).sqrt();
    let mean = off.iter().sum::<f64>() / count;
    let mut sizes: Vec<f64> = off.iter().map(|it| it.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    format!(
        "{rms:.4} | {mean:+.4} | {:.3} | {:.3}",
        sizes[(0.99 * count) as usize],
        sizes[sizes.len() - 1]
    )
}
