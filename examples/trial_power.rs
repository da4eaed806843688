//! How many floors a claim needs: simulated trials of invented floors, some dropping out.
//!
//! ```sh
//! cargo run --release --example trial_power -- 800 100
//! ```
//!
//! The pool holds floors that the model invents, each with one statement and three later
//! readings in the telling months of its region. A second pool is another world: facts told
//! wrong twice as often, a meter that reads a sixth high, half as much noise again. Fixed seeds: the
//! same figures each time.

use chrono::Datelike;
use slabseason::climate::{PlaceQuery, find_place};
use slabseason::ledger::check::{TrialTable, scored};
use slabseason::ledger::power::power;
use slabseason::ledger::trial::telling_months;
use slabseason::ledger::{
    FloorScored, LedgerTable, ReadingScored, Rests, month_after, region_of, stated,
};
use slabseason::lessons::{Random, Telling, WeakSigns, invent};
use slabseason::odds::evidence::EvidenceTable;
use slabseason::survey::Parsed;
use slabseason::verdict::Detail;

const TOWNS: [&str; 12] = [
    "05401", "14604", "15222", "43215", "55401", "60601", "02108", "98101", "97201", "80202",
    "30303", "64106",
];

/// What the invented floors are like beside what the model takes for granted.
#[derive(Clone, Copy)]
struct World {
    name: &'static str,
    seed: u64,
    mistakes: f64,
    meter_factor: f64,
    noise_factor: f64,
}

const WORLDS: [World; 2] = [
    World {
        name: "the model's own world",
        seed: 11,
        mistakes: 0.07,
        meter_factor: 1.0,
        noise_factor: 1.0,
    },
    World {
        name: "another world",
        seed: 12,
        mistakes: 0.14,
        meter_factor: 7.0 / 6.0,
        noise_factor: 1.5,
    },
];

fn main() {
    let number = |at: usize, or: usize| {
        std::env::args()
            .nth(at)
            .and_then(|it| it.parse().ok())
            .unwrap_or(or)
    };
    let (size, trials) = (number(1, 800), number(2, 100));
    let drop_out = TrialTable::bundled().drop_out;
    for world in WORLDS {
        let pool = pool(world, size);
        let over = pool
            .iter()
            .filter_map(FloorScored::event)
            .filter(|it| it.1.number() > 0.5)
            .count();
        println!("{}: {} floors, {over} of them over", world.name, pool.len());
        let all = scored(&pool);
        for it in &all.scores {
            println!("  {:<18} Brier {:?} CRPS {:?}", it.by, it.brier, it.crps);
        }
        println!(
            "  band {:?}",
            all.band.first().map(|it| (it.share, it.low, it.high))
        );
        for floors in [15, 20, 30, 40, 60, 80, 100, 130, 170, 220, 300, 400, 600] {
            if floors > size * 3 / 4 {
                break;
            }
            let told: Vec<String> = power(&pool, floors, trials, drop_out, world.seed)
                .iter()
                .map(|it| format!("{} {:.2}", it.claim, it.power))
                .collect();
            println!("  {floors:>4} floors: {}", told.join(", "));
        }
    }
}

fn pool(world: World, size: usize) -> Vec<FloorScored> {
    let months = telling_months(3);
    let noise = world.noise_factor * EvidenceTable::bundled().meter_noise;
    let spots = LedgerTable::bundled().spots;
    let mut res = Vec::new();
    for at in 0..size {
        let mut random = Random::of(world.seed, at);
        let postal = TOWNS[at % TOWNS.len()];
        let place = find_place(&PlaceQuery::parse(postal).expect("a code")).expect("a town");
        let telling = Telling {
            mistake: Some(world.mistakes),
            weak: WeakSigns::One,
            darkening_share: 0.0,
        };
        let month = random.below(12);
        let mut it = invent(&mut random, &place, postal, month, telling);
        // The first readings are of the same meter.
        for reading in &mut it.told.readings {
            if let slabseason::survey::ReadingValue::Meter(value) = &mut reading.value {
                *value = (*value * world.meter_factor * 10.0).round() / 10.0;
            }
        }
        let parsed = Parsed {
            visit: it.told.clone(),
            notes: Vec::new(),
        };
        let rests = Rests {
            place: &place,
            sheet: None,
            on: it.told.visit_date,
            detail: Detail::Chances,
            first: None,
        };
        let statement = stated(&parsed, rests).statement;
        if statement.held {
            continue;
        }
        let region = region_of(&place);
        let to_go = months
            .iter()
            .find(|it| it.region == region)
            .map(|it| it.months.clone())
            .unwrap_or_default();
        let readings = to_go
            .iter()
            .filter_map(|month| {
                let ahead = (month + 11 - statement.visit_date.month0()) % 12;
                let ahead = if ahead == 0 { 12 } else { ahead };
                let day = month_after(statement.visit_date, ahead);
                let truth = it.truth.outcome().next_year[*month as usize - 1].meter_fraction;
                let error = noise * random.normal() / spots.sqrt();
                Some(ReadingScored {
                    month: *month,
                    percent: world.meter_factor * it.truth.shown(truth) + error,
                    stated: statement.month_of(day)?.clone(),
                })
            })
            .collect();
        res.push(FloorScored {
            region: region.to_string(),
            levels: statement.levels.clone(),
            limit: statement.limit_percent,
            last: statement
                .last_reading
                .zip(statement.last_reading_on.map(|it| it.month())),
            readings,
        });
    }
    res
}
