//! How long things take: `cargo bench`.
//!
//! Every time is the best of several runs, which is the one least disturbed by others on the
//! machine. `cargo bench -- --screens 1` runs screens and nothing else (for
//! `instructions.sh` and for memory), `--compare FOLDER` writes an ensemble and its times for
//! `compare.sh`.

use slabseason::climate::{Place, PlaceQuery, find_place};
use slabseason::odds::forcing::{FloorConstants, NODES, PlaceYear, floor_set_in, levels};
use slabseason::odds::parameters::{DIMENSIONS, FloorParameters, PriorSet};
use slabseason::odds::posterior::{Effort, FULL, Limits, posterior};
use slabseason::odds::simulate::{LANES, Precision};
use slabseason::odds::sobol::normal_scores;
use slabseason::slab::{FloorRun, FloorSet, Machines};
use slabseason::survey::{Visit, parse_visit};
use slabseason::units::{Lanes, Real, Width};
use std::hint::black_box;
use std::io::Write;
use std::path::Path;
use std::time::Instant;

const VISIT: &str = r#"visit_date = 2026-09-08
postal = "05401"
[floor]
setting = "basement"
year_built = 1958
[lot]
position = "level"
[[reading]]
date = 2026-09-08
kind = "meter"
value = 3.6
scale = "percent"
spot = "A1"
"#;
const CONSTANTS: FloorConstants = FloorConstants {
    density_kg_m3: 2_300.0,
    meter_depth_m: 0.02,
    probe_depth: 0.4,
};
const LIMITS: Limits = Limits {
    meter_percent: Some(5.0),
    probe_humidity: None,
    dome_flux: None,
};
/// The year begins in October, as for a reading in September.
const OCTOBER: usize = 9;
const DRAWS: usize = 1_024;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let after = |name: &str| {
        let at = arguments.iter().position(|it| it == name)?;
        arguments.get(at + 1).map(String::as_str)
    };
    if let Some(count) = after("--screens") {
        screens(count.parse().expect("--screens takes a number"));
    } else if let Some(folder) = after("--compare") {
        compare(Path::new(folder));
    } else {
        everything();
    }
}

/// Milliseconds of the fastest of `runs`.
fn best_ms<T>(runs: usize, mut work: impl FnMut() -> T) -> f64 {
    (0..runs)
        .map(|_| {
            let start = Instant::now();
            black_box(work());
            start.elapsed().as_secs_f64() * 1.0e3
        })
        .fold(f64::MAX, f64::min)
}

fn place() -> Place {
    let query = PlaceQuery::parse("05401").expect("a postal code");
    find_place(&query).expect("a place of the bundled table")
}

fn visit() -> Visit {
    parse_visit(VISIT, "bench.toml")
        .expect("the visit above is whole")
        .visit
}

/// One round of draws, next year only.
fn one_round(draws: usize) -> Effort {
    Effort {
        round: draws,
        most: draws,
        ..FULL.next_year_only()
    }
}

fn screens(count: usize) {
    let (place, visit) = (place(), visit());
    for _ in 0..count {
        black_box(posterior(&place, &visit, LIMITS, one_round(DRAWS)));
    }
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    if let Some(line) = status.lines().find(|it| it.starts_with("VmHWM")) {
        println!("{line}");
    }
}

/// Versions of the floor that nothing but the visit's answers select.
fn versions(count: usize) -> Vec<FloorParameters> {
    let priors = PriorSet::for_visit(&visit());
    (0..count)
        .map(|it| priors.parameters(&normal_scores::<DIMENSIONS>(it as u32)))
        .collect()
}

/// Floors side by side, their water tables and where their years begin.
struct Floors<const CUT: usize, const L: usize> {
    set: FloorSet<CUT, L, Precision>,
    levels_m: Vec<Lanes<L>>,
    run: FloorRun<CUT, L, Precision>,
}

fn floors<const CUT: usize, const L: usize>(
    width: Width,
    place: &PlaceYear,
    parameters: &[FloorParameters],
) -> Vec<Floors<CUT, L>> {
    parameters
        .chunks_exact(L)
        .map(|some| {
            let refs: [&FloorParameters; L] = std::array::from_fn(|l| &some[l]);
            let set = floor_set_in::<CUT, L, Precision>(width, place, &refs, CONSTANTS);
            let levels_m = levels(place, &refs, OCTOBER).capped_m;
            let run = set.settled(&levels_m[..12], OCTOBER, Machines::On, 0);
            Floors { set, levels_m, run }
        })
        .collect()
}

fn one_year<const CUT: usize, const L: usize>(all: &[Floors<CUT, L>]) {
    for it in all {
        let mut run = it.run.clone();
        run.months(
            &it.set,
            &it.levels_m[..12],
            OCTOBER,
            Machines::On,
            &[],
            |_, _| {},
            |_, _| {},
        );
        black_box(&run);
    }
}

/// Microseconds of a slab through a year.
fn slab_year_us<const CUT: usize, const L: usize>(
    width: Width,
    place: &PlaceYear,
    parameters: &[FloorParameters],
) -> f64 {
    let all = floors::<CUT, L>(width, place, parameters);
    best_ms(15, || one_year(&all)) * 1.0e3 / parameters.len() as f64
}

fn everything() {
    let start = Instant::now();
    let place = place();
    let first_place_ms = start.elapsed().as_secs_f64() * 1.0e3;
    let visit = visit();

    println!("A screen: {DRAWS} draws, the year before, the reading's year, the next");
    let next = best_ms(25, || posterior(&place, &visit, LIMITS, one_round(DRAWS)));
    println!("  next year only                 {next:8.2} ms");
    let five = Effort {
        most: DRAWS,
        ..FULL
    };
    let five_ms = best_ms(10, || posterior(&place, &visit, LIMITS, five));
    println!("  all five years                 {five_ms:8.2} ms");
    println!("  first place (tables are read)  {first_place_ms:8.2} ms");
    command(&place);

    println!("\nOne slab through one year of 108 steps, {NODES} nodes");
    let year = PlaceYear::new(&place, true);
    let parameters = versions(DRAWS);
    for width in Width::all() {
        let word = width.word();
        let one = slab_year_us::<NODES, 1>(width, &year, &parameters);
        let two = slab_year_us::<NODES, 2>(width, &year, &parameters);
        let four = slab_year_us::<NODES, 4>(width, &year, &parameters);
        let eight = slab_year_us::<NODES, 8>(width, &year, &parameters);
        let all = slab_year_us::<NODES, LANES>(width, &year, &parameters);
        println!(
            "  {word:10} 1 lane {one:6.2}  2 lanes {two:6.2}  4 lanes {four:6.2}  8 lanes {eight:6.2}  {LANES} lanes {all:6.2} us"
        );
    }

    println!("\nStages of a screen");
    let priors = PriorSet::for_visit(&visit);
    let stage = |name: &str, ms: f64| println!("  {name:30} {ms:8.2} ms");
    stage("draws", best_ms(15, || versions(DRAWS)));
    stage(
        "water tables",
        best_ms(15, || {
            for some in parameters.chunks_exact(LANES) {
                let refs: [&FloorParameters; LANES] = std::array::from_fn(|l| &some[l]);
                black_box(levels(&year, &refs, OCTOBER));
            }
        }),
    );
    stage(
        "forcing",
        best_ms(15, || {
            for some in parameters.chunks_exact(LANES) {
                let refs: [&FloorParameters; LANES] = std::array::from_fn(|l| &some[l]);
                black_box(floor_set_in::<NODES, LANES, Precision>(
                    Width::widest(),
                    &year,
                    &refs,
                    CONSTANTS,
                ));
            }
        }),
    );
    let all = floors::<NODES, LANES>(Width::widest(), &year, &parameters);
    stage(
        "steady profiles",
        best_ms(15, || {
            for it in &all {
                black_box(it.set.settled(&it.levels_m[..12], OCTOBER, Machines::On, 0));
            }
        }),
    );
    stage("three years", 3.0 * best_ms(15, || one_year(&all)));
    black_box(&priors);

    println!("\nDraws");
    for draws in [256, 512, 1_024, 2_048, 4_096] {
        let ms = best_ms(8, || posterior(&place, &visit, LIMITS, one_round(draws)));
        println!(
            "  {draws:5} {ms:8.2} ms, {:6.2} us a draw",
            ms * 1.0e3 / draws as f64
        );
    }

    println!("\nCells, us a slab-year");
    let width = Width::widest();
    println!(
        "  12 {:8.2}",
        slab_year_us::<14, LANES>(width, &year, &parameters)
    );
    println!(
        "  16 {:8.2}",
        slab_year_us::<18, LANES>(width, &year, &parameters)
    );
    println!(
        "  24 {:8.2}",
        slab_year_us::<26, LANES>(width, &year, &parameters)
    );
    println!(
        "  48 {:8.2}",
        slab_year_us::<50, LANES>(width, &year, &parameters)
    );

    println!("\nCores, each with screens of its own");
    for threads in [1, 2] {
        const EACH: usize = 8;
        let ms = best_ms(5, || {
            std::thread::scope(|scope| {
                for _ in 0..threads {
                    scope.spawn(|| {
                        for _ in 0..EACH {
                            black_box(posterior(&place, &visit, LIMITS, one_round(DRAWS)));
                        }
                    });
                }
            });
        });
        let screens = (EACH * threads) as f64;
        println!("  {threads}: {:8.2} ms a screen", ms / screens);
    }

    println!("\nPeak memory of a process with one screen");
    let me = std::env::current_exe().expect("this program has a path");
    let told = std::process::Command::new(me)
        .args(["--screens", "1"])
        .output()
        .expect("this program starts again");
    print!("  {}", String::from_utf8_lossy(&told.stdout));
}

/// The whole command on a file, from start to finish.
fn command(place: &Place) {
    let folder = tempfile::tempdir().expect("a folder for one file");
    let file = folder.path().join("visit.toml");
    std::fs::write(&file, VISIT).expect("the folder takes a file");
    let run = |arguments: &[&str]| {
        best_ms(10, || {
            std::process::Command::new(env!("CARGO_BIN_EXE_slabseason"))
                .args(arguments)
                .output()
                .expect("the program starts")
        })
    };
    let file = file.to_string_lossy();
    let whole = run(&["screen", "--visit", &file, "--format", "json"]);
    let bare = run(&["--version"]);
    black_box(place);
    println!("  the command `screen`           {whole:8.2} ms (`--version` alone {bare:.2} ms)");
}

/// Writes the ensemble as raw numbers, and what this program needs for it, for `compare.sh`.
///
/// `ensemble.bin` holds 64-bit floats, low byte first, row after row with the draws last:
/// 8 rows of the slabs, 108 steps of 8 rows of forcing, 24 months of levels, the nodes' weights
/// in the meter's layer, 12 months of water in that layer in the last year as this program has
/// it. `times.txt` holds names and numbers.
fn compare(folder: &Path) {
    let year = PlaceYear::new(&place(), true);
    let parameters = versions(DRAWS);
    let width = Width::widest();
    let mut rows: Vec<Vec<f64>> = Vec::new();
    let of =
        |value: fn(&FloorParameters) -> f64| parameters.iter().map(value).collect::<Vec<f64>>();
    rows.push(of(|it| it.thickness_m));
    rows.push(of(|it| it.saturation_content));
    rows.push(of(|it| it.storage_shape));
    rows.push(of(|it| it.absorption));
    rows.push(of(|it| it.vapor_resistance));
    rows.push(of(|it| it.air_layer_m));
    rows.push(of(|it| it.contact_supply));
    rows.push(of(|it| it.fringe_m));
    let all = floors::<NODES, LANES>(width, &year, &parameters);
    let mut gather = |value: &dyn Fn(&Floors<NODES, LANES>) -> Lanes<LANES>| {
        rows.push(all.iter().flat_map(value).collect());
    };
    for step in 0..all[0].set.year.len() {
        gather(&|it| it.set.year[step].surface_saturation_pa.map(Real::wide));
        gather(&|it| it.set.year[step].under_saturation_pa.map(Real::wide));
        gather(&|it| it.set.year[step].room_saturation_pa.map(Real::wide));
        gather(&|it| it.set.year[step].reference_pa.map(Real::wide));
        gather(&|it| it.set.year[step].setting_pa.map(Real::wide));
        gather(&|it| it.set.year[step].dried_reference_pa.map(Real::wide));
        gather(&|it| it.set.through_air.map(Real::wide));
        gather(&|it| it.set.film.map(Real::wide));
    }
    for month in 0..24 {
        gather(&|it| it.levels_m[month]);
    }
    for node in 0..NODES {
        gather(&|it| {
            std::array::from_fn(|l| {
                let share = CONSTANTS.meter_depth_m / it.set.thickness_m[l].wide();
                it.set.grid.top_mean_weights(share.min(1.0))[node]
            })
        });
    }
    let years = |it: &Floors<NODES, LANES>| {
        let mut run = it.set.settled(&it.levels_m[..12], OCTOBER, Machines::On, 0);
        let mut seen = Vec::with_capacity(12);
        for (number, months) in [0..12, 0..12, 12..24].into_iter().enumerate() {
            run.months(
                &it.set,
                &it.levels_m[months],
                OCTOBER,
                Machines::On,
                &[],
                |_, means| {
                    if number == 2 {
                        seen.push(means.meter_fraction);
                    }
                },
                |_, _| {},
            );
        }
        seen
    };
    let seen: Vec<Vec<Lanes<LANES>>> = all.iter().map(years).collect();
    for month in 0..12 {
        rows.push(seen.iter().flat_map(|it| it[month]).collect());
    }
    let bytes: Vec<u8> = rows
        .iter()
        .flatten()
        .flat_map(|it| it.to_le_bytes())
        .collect();
    std::fs::write(folder.join("ensemble.bin"), bytes).expect("the folder takes a file");

    let ensemble_ms = best_ms(15, || all.iter().map(years).collect::<Vec<_>>());
    let narrow = floors::<NODES, LANES>(Width::AS_BUILT, &year, &parameters);
    let narrow_ms = best_ms(15, || narrow.iter().map(years).collect::<Vec<_>>());
    let alone = floors::<NODES, 1>(width, &year, &parameters[..64]);
    let alone_us = best_ms(15, || one_year(&alone)) * 1.0e3 / 64.0;
    let mut times =
        std::fs::File::create(folder.join("times.txt")).expect("the folder takes a file");
    writeln!(
        times,
        "width {}\nensemble_ms {ensemble_ms}\nas_built_ms {narrow_ms}\nslab_year_alone_us {alone_us}",
        width.word().replace(' ', "_")
    )
    .expect("the file takes lines");
}
