//! A ledger of a hundred thousand floors: how long `due` and `check` take, and what they hold.
//!
//! ```sh
//! cargo run --release --example large_ledger -- 100000 large.ledger
//! ```
//!
//! Some sixty floors are stated once; the others repeat them under labels of their own, each
//! with its seal and two later readings, so that the file is as large as a real one.

use chrono::NaiveDate;
use slabseason::climate::{PlaceQuery, find_place};
use slabseason::ledger::check::check;
use slabseason::ledger::due::due;
use slabseason::ledger::{Coming, Ledger, Rests, Stated, area_of, month_after, stated};
use slabseason::lessons::{Random, Telling, WeakSigns, invent};
use slabseason::survey::{MeterScale, Parsed, Reading, ReadingValue, Visit};
use slabseason::verdict::Detail;
use slabseason::verdict::ways::Way;
use std::path::Path;
use std::time::Instant;

const MODELS: usize = 60;
const STEP: usize = 1_000;
const TOWNS: [&str; 12] = [
    "05401", "14604", "15222", "43215", "55401", "60601", "02108", "98101", "97201", "80202",
    "30303", "64106",
];

fn main() {
    let floors: usize = std::env::args()
        .nth(1)
        .and_then(|it| it.parse().ok())
        .unwrap_or(100_000);
    let path = std::env::args()
        .nth(2)
        .unwrap_or_else(|| "large.ledger".to_string());
    let path = Path::new(&path);
    if !path.exists() {
        let begun = Instant::now();
        fill(path, floors);
        println!("filled in {:.1} s", begun.elapsed().as_secs_f64());
    }
    let size = std::fs::metadata(path).map_or(0, |it| it.len());
    println!("{floors} floors, {:.0} MB", size as f64 / 1e6);
    let begun = Instant::now();
    let ledger = Ledger::open(path).expect("the ledger was just filled");
    println!("open {:.3} s", begun.elapsed().as_secs_f64());
    let from = NaiveDate::from_ymd_opt(2027, 3, 1).expect("a day");
    let begun = Instant::now();
    let list = due(&ledger, from, 8).expect("the ledger can be read");
    println!(
        "due: {} visits in {:.2} s, {} MB at most",
        list.visits.len(),
        begun.elapsed().as_secs_f64(),
        most_memory()
    );
    let begun = Instant::now();
    let checked = check(&ledger).expect("the ledger can be read");
    println!(
        "check: {} floors scored, {} seals in {:.2} s, {} MB at most",
        checked.scored_floors,
        checked.seals,
        begun.elapsed().as_secs_f64(),
        most_memory()
    );
}

/// Most memory that this program has held, MB; 0 where the system does not say.
fn most_memory() -> u64 {
    std::fs::read_to_string("/proc/self/status")
        .ok()
        .and_then(|text| {
            let line = text.lines().find(|it| it.starts_with("VmHWM:"))?;
            line.split_whitespace().nth(1)?.parse::<u64>().ok()
        })
        .map_or(0, |kilobytes| kilobytes / 1_000)
}

fn fill(path: &Path, floors: usize) {
    let on = NaiveDate::from_ymd_opt(2026, 12, 31).expect("a day");
    let models: Vec<(Visit, Stated, String)> = (0..MODELS)
        .map(|at| {
            let mut random = Random::of(7, at);
            let postal = TOWNS[at % TOWNS.len()];
            let place = find_place(&PlaceQuery::parse(postal).expect("a code")).expect("a town");
            let telling = Telling {
                mistake: None,
                weak: WeakSigns::One,
                darkening_share: 0.1,
            };
            let month = random.below(12);
            let visit = invent(&mut random, &place, postal, month, telling).told;
            let parsed = Parsed {
                visit: visit.clone(),
                notes: Vec::new(),
            };
            let rests = Rests {
                quoted: Way::FilmNow,
                place: &place,
                sheet: None,
                on,
                detail: Detail::Chances,
                first: None,
            };
            let stated = stated(&parsed, rests);
            let area = area_of(&visit.place, &place);
            (visit, stated, area)
        })
        .collect();
    let mut ledger = Ledger::open_or_begin(path).expect("a new file");
    for from in (0..floors).step_by(STEP) {
        let visits: Vec<Visit> = (from..(from + STEP).min(floors))
            .map(|at| {
                let mut visit = models[at % MODELS].0.clone();
                visit.label = Some(format!("invented {at}"));
                // Half of the floors were read again in two later months.
                if at % 2 == 0 {
                    visit.readings.extend([7, 10].map(|ahead| Reading {
                        date: month_after(on, ahead),
                        value: ReadingValue::Meter(2.0 + (at % 50) as f64 * 0.1),
                        scale: Some(MeterScale::Percent),
                        meter_id: None,
                        meter_checked: None,
                        spot: None,
                        wall_distance: None,
                        x: None,
                        y: None,
                        withdrawn: false,
                    }));
                }
                visit
            })
            .collect();
        let coming: Vec<Coming> = visits
            .iter()
            .enumerate()
            .map(|(at, visit)| {
                let (_, stated, area) = &models[(from + at) % MODELS];
                Coming {
                    visit,
                    stated,
                    area,
                    origin: "given",
                    floor: None,
                    on,
                }
            })
            .collect();
        ledger.add_visits(&coming).expect("the disk has room");
    }
}
