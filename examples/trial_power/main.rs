//! How many floors a claim needs: simulated trials of invented floors, some dropping out.
//!
//! ```sh
//! cargo run --release --example trial_power -- 400 100
//! ```
//!
//! The pool holds floors that the model invents, each with one statement and three later
//! readings in the telling months of its region. A second pool is another world: facts told
//! wrong twice as often, a meter that reads a sixth high, half as much noise again. In the
//! others the truth comes from another model altogether, over water tables that move as measured
//! wells do: concrete that passes on humidity (`humidity.rs`), and two stores of water in a row
//! (`two_stores.rs`). Each of these is judged on all floors, and on those that an estimator
//! doubts: they read 3.5 % up to the limit; trials are simulated of all floors. Two stores come
//! once more with the year that the program's own dry floors have, which shows what of their
//! error is the season's. A third word
//! after the two numbers picks the worlds that have it in their names. Fixed seeds: the same
//! figures each time.

mod humidity;
mod two_stores;
mod wells;

use chrono::Datelike;
use slabseason::climate::{Place, PlaceQuery, find_place};
use slabseason::ledger::check::{TrialTable, scored};
use slabseason::ledger::power::power;
use slabseason::ledger::trial::telling_months;
use slabseason::ledger::{
    FloorScored, LedgerTable, ReadingScored, Rests, month_after, region_of, stated,
};
use slabseason::lessons::{Random, Telling, WeakSigns, invent};
use slabseason::odds::evidence::EvidenceTable;
use slabseason::survey::{Parsed, ReadingValue, Signs, Visit};
use slabseason::verdict::Detail;
use slabseason::verdict::ways::Way;

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
    truth: Truth,
    /// Only floors that an estimator doubts.
    doubted: bool,
    /// Whose year a dry floor has.
    dry_year: DryYear,
}

/// Whose year a dry floor of a two-store world has.
#[derive(Clone, Copy, PartialEq)]
enum DryYear {
    /// That of the truth.
    OfTruth,
    /// That of the program's own floors: what is left of the truth is all but its season.
    OfProgram,
}

/// By how much dry floors of two stores read above the program's own, January first, % by weight:
/// the mean months of floors that stay under 4.5 %, as this program prints them of both worlds.
const TWO_STORES_ABOVE: [f64; 12] = [
    0.19, 0.07, -0.02, -0.08, -0.12, -0.10, 0.01, 0.19, 0.34, 0.42, 0.40, 0.30,
];

/// Where the readings come from.
#[derive(Clone, Copy, PartialEq)]
enum Truth {
    Own,
    Humidity,
    TwoStores,
}

const OWN: World = World {
    name: "the model's own world",
    seed: 11,
    mistakes: 0.07,
    meter_factor: 1.0,
    noise_factor: 1.0,
    truth: Truth::Own,
    doubted: false,
    dry_year: DryYear::OfTruth,
};

const WORLDS: [World; 9] = [
    OWN,
    World {
        name: "another world",
        seed: 12,
        mistakes: 0.14,
        meter_factor: 7.0 / 6.0,
        noise_factor: 1.5,
        ..OWN
    },
    World {
        name: "the model's own world, doubted floors",
        seed: 14,
        doubted: true,
        ..OWN
    },
    World {
        name: "concrete that passes on humidity",
        seed: 15,
        truth: Truth::Humidity,
        ..OWN
    },
    World {
        name: "concrete that passes on humidity, doubted floors",
        seed: 16,
        truth: Truth::Humidity,
        doubted: true,
        ..OWN
    },
    World {
        name: "two stores",
        seed: 13,
        truth: Truth::TwoStores,
        ..OWN
    },
    World {
        name: "two stores, doubted floors",
        seed: 17,
        truth: Truth::TwoStores,
        doubted: true,
        ..OWN
    },
    World {
        name: "two stores in the program's dry year",
        seed: 13,
        truth: Truth::TwoStores,
        dry_year: DryYear::OfProgram,
        ..OWN
    },
    World {
        name: "two stores in the program's dry year, doubted floors",
        seed: 17,
        truth: Truth::TwoStores,
        doubted: true,
        dry_year: DryYear::OfProgram,
        ..OWN
    },
];

/// What a doubted floor reads at the first visit, percent by mass: up to the usual limit.
const DOUBTED: std::ops::RangeInclusive<f64> = 3.5..=5.0;

fn main() {
    let number = |at: usize, or: usize| {
        std::env::args()
            .nth(at)
            .and_then(|it| it.parse().ok())
            .unwrap_or(or)
    };
    let (size, trials) = (number(1, 800), number(2, 100));
    let drop_out = TrialTable::bundled().drop_out;
    let only = std::env::args().nth(3);
    for world in WORLDS {
        if only.as_ref().is_some_and(|it| !world.name.contains(it)) {
            continue;
        }
        let (pool, courses) = pool(world, size);
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
        how_it_moves(&courses);
        by_season(&pool);
        for floors in [15, 20, 30, 40, 60, 80, 100, 130, 170, 220, 300, 400, 600] {
            if floors > size * 3 / 4 || trials == 0 || world.doubted {
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

/// How the readings of a world move: swing of a year, and in which quarter the highest month lies,
/// of floors that stay dry and of those that get wet.
fn how_it_moves(courses: &[[f64; 12]]) {
    let most = |it: &[f64; 12]| it.iter().copied().fold(0.0, f64::max);
    let least = |it: &[f64; 12]| it.iter().copied().fold(f64::INFINITY, f64::min);
    for (name, wet) in [("that stay under 4.5 %", false), ("that get wetter", true)] {
        let some: Vec<&[f64; 12]> = courses
            .iter()
            .filter(|it| (most(it) >= 4.5) == wet)
            .collect();
        if some.is_empty() {
            continue;
        }
        let mut swings: Vec<f64> = some.iter().map(|it| most(it) - least(it)).collect();
        swings.sort_by(f64::total_cmp);
        let at = |share: f64| swings[(share * (swings.len() - 1) as f64).round() as usize];
        let mut highest = [0; 4];
        for it in &some {
            let month = (0..12)
                .max_by(|a, b| it[*a].total_cmp(&it[*b]))
                .unwrap_or(0);
            highest[month / 3] += 1;
        }
        let months: Vec<String> = (0..12)
            .map(|month| some.iter().map(|it| it[month]).sum::<f64>() / some.len() as f64)
            .map(|it| format!("{it:.2}"))
            .collect();
        println!(
            "  floors {name}: {}; swing of a year (10, 50, 90 of 100) {:.2} {:.2} {:.2}; highest month by quarter {highest:?}; mean months {}",
            some.len(),
            at(0.1),
            at(0.5),
            at(0.9),
            months.join(" ")
        );
    }
}

/// Readings by quarter of the year: of the last reading, then of the later one.
fn by_season(pool: &[FloorScored]) {
    let quarters = [
        "January to March",
        "April to June",
        "July to September",
        "October to December",
    ];
    let quarter = |month: u32| (month as usize - 1) / 3;
    for (title, of_last) in [("last read in", true), ("later read in", false)] {
        for (at, name) in quarters.iter().enumerate() {
            let mut rows: Vec<(f64, &ReadingScored)> = Vec::new();
            for floor in pool {
                let Some((last, last_month)) = floor.last else {
                    continue;
                };
                let some = floor
                    .readings
                    .iter()
                    .filter(|it| at == quarter(if of_last { last_month } else { it.month }));
                rows.extend(some.map(|it| (last, it)));
            }
            if rows.is_empty() {
                continue;
            }
            let mean = |value: &dyn Fn(&(f64, &ReadingScored)) -> f64| {
                rows.iter().map(value).sum::<f64>() / rows.len() as f64
            };
            let band = |it: &ReadingScored, at: usize| it.stated.band[at];
            println!(
                "  {title} {name}: {} readings, change {:+.2}, stated {:+.2}; under the band {:.3}, over it {:.3}; over the limit {:.3}, stated {:.3}, by the answers {:.3}",
                rows.len(),
                mean(&|it| it.1.percent - it.0),
                mean(&|it| band(it.1, 5) - it.0),
                mean(&|it| f64::from(u8::from(it.1.percent < band(it.1, 1)))),
                mean(&|it| f64::from(u8::from(it.1.percent > band(it.1, 9)))),
                mean(&|it| f64::from(u8::from(it.1.percent > 5.0))),
                mean(&|it| it.1.stated.over.unwrap_or(0.0)),
                mean(&|it| it.1.stated.over_by_answers.unwrap_or(0.0)),
            );
        }
    }
}

/// What another model's floor shows in 24 months, percent by mass; none where no well is near.
fn other_course(
    world: World,
    random: &mut Random,
    place: &Place,
    told: &Visit,
) -> Option<[f64; 24]> {
    match world.truth {
        Truth::Own => None,
        Truth::TwoStores => {
            let course = two_stores::course(random, place, told);
            Some(match world.dry_year {
                DryYear::OfTruth => course,
                DryYear::OfProgram => {
                    std::array::from_fn(|month| course[month] - TWO_STORES_ABOVE[month % 12])
                }
            })
        }
        Truth::Humidity => {
            let wells = wells::near(place)?;
            Some(humidity::course(random, place, &wells, told).0)
        }
    }
}

/// Takes out every answer that was drawn from the tool's own model: such answers speak of a floor
/// that another truth has no part in.
fn forget_signs(told: &mut Visit) {
    told.signs = Signs::default();
    told.lot.sump = None;
    told.lot.standing_water_5y = None;
    told.lot.lately = None;
    told.air.temp = None;
    told.air.slab_temp = None;
    told.air.relative_humidity = None;
}

/// Floors with what was stated and read, and the true readings of the year ahead of each.
fn pool(world: World, size: usize) -> (Vec<FloorScored>, Vec<[f64; 12]>) {
    let months = telling_months(3);
    let noise = world.noise_factor * EvidenceTable::bundled().meter_noise;
    let spots = LedgerTable::bundled().spots;
    let (mut res, mut courses) = (Vec::new(), Vec::new());
    // Floors that are left out are replaced by the next ones.
    for at in 0.. {
        if at >= size && !(world.doubted && res.len() < size) {
            break;
        }
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
        let other = other_course(world, &mut random, &place, &it.told);
        if world.truth != Truth::Own {
            let Some(other) = &other else {
                continue;
            };
            forget_signs(&mut it.told);
            for reading in &mut it.told.readings {
                if let ReadingValue::Meter(value) = &mut reading.value {
                    let error = EvidenceTable::bundled().meter_noise * random.normal();
                    *value = ((other[month] + error) * 10.0).round() / 10.0;
                }
            }
        }
        // The first readings are of the same meter.
        for reading in &mut it.told.readings {
            if let ReadingValue::Meter(value) = &mut reading.value {
                *value = (*value * world.meter_factor * 10.0).round() / 10.0;
            }
        }
        let first: Vec<f64> = it
            .told
            .readings
            .iter()
            .filter_map(|it| match it.value {
                ReadingValue::Meter(percent) => Some(percent),
                _ => None,
            })
            .collect();
        let mean = first.iter().sum::<f64>() / first.len().max(1) as f64;
        if world.doubted && !DOUBTED.contains(&mean) {
            continue;
        }
        let parsed = Parsed {
            visit: it.told.clone(),
            notes: Vec::new(),
        };
        let rests = Rests {
            quoted: Way::FilmNow,
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
        if other.is_none() {
            it.truth.run_as_judged(&place, &it.told);
        }
        courses.push(std::array::from_fn(|month| match &other {
            Some(other) => other[12 + month],
            None => {
                let months = &it.truth.outcome().next_year;
                it.truth.shown(months[month].meter_fraction)
            }
        }));
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
                let percent = match &other {
                    Some(other) => other[statement.visit_date.month0() as usize + ahead as usize],
                    None => {
                        let months = &it.truth.outcome().next_year;
                        it.truth.shown(months[*month as usize - 1].meter_fraction)
                            + it.truth.departs(*month as usize + 11)
                    }
                };
                let error = noise * random.normal() / spots.sqrt();
                Some(ReadingScored {
                    month: *month,
                    percent: world.meter_factor * percent + error,
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
    (res, courses)
}
