//! How many floors a claim needs: simulated trials of invented floors, some dropping out.
//!
//! ```sh
//! cargo run --release --example trial_power -- 800 100
//! ```
//!
//! The pool holds floors that the model invents, each with one statement and three later
//! readings in the telling months of its region. A second pool is another world: facts told
//! wrong twice as often, a meter that reads a sixth high, half as much noise again. In a third
//! the truth comes from another model altogether: water tables move as measured wells do, and
//! the slab is two stores of water in a row. Fixed seeds: the same figures each time.

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
use slabseason::survey::{
    Drainage, LotPosition, Parsed, ReadingValue, Retarder, Signs, SubDrain, Visit,
};
use slabseason::units::table_rows;
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
    /// The truth comes from the other model.
    other_model: bool,
}

const WORLDS: [World; 3] = [
    World {
        name: "the model's own world",
        seed: 11,
        mistakes: 0.07,
        meter_factor: 1.0,
        noise_factor: 1.0,
        other_model: false,
    },
    World {
        name: "another world",
        seed: 12,
        mistakes: 0.14,
        meter_factor: 7.0 / 6.0,
        noise_factor: 1.5,
        other_model: false,
    },
    World {
        name: "another model's world",
        seed: 13,
        mistakes: 0.07,
        meter_factor: 1.0,
        noise_factor: 1.0,
        other_model: true,
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
        let other = world
            .other_model
            .then(|| OtherFloor::of(&mut random, &place, &it.told));
        if let Some(other) = &other {
            // Signs were drawn from the tool's own model.
            it.told.signs = Signs::default();
            for reading in &mut it.told.readings {
                if let ReadingValue::Meter(value) = &mut reading.value {
                    let error = EvidenceTable::bundled().meter_noise * random.normal();
                    *value = ((other.percent[month] + error) * 10.0).round() / 10.0;
                }
            }
        }
        // The first readings are of the same meter.
        for reading in &mut it.told.readings {
            if let ReadingValue::Meter(value) = &mut reading.value {
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
                let percent = match &other {
                    Some(other) => {
                        other.percent[statement.visit_date.month0() as usize + ahead as usize]
                    }
                    None => {
                        let months = &it.truth.outcome().next_year;
                        it.truth.shown(months[*month as usize - 1].meter_fraction)
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
    res
}

/// What a meter shows on a slab that is soaked, percent by mass; judgement.
const SOAKED_PERCENT: f64 = 7.5;

/// A floor of the other model: what a meter shows in 24 months from January of the visit's year,
/// percent by mass.
struct OtherFloor {
    percent: [f64; 24],
}

#[derive(serde::Deserialize)]
struct WellRow {
    m01: f64,
    m02: f64,
    m03: f64,
    m04: f64,
    m05: f64,
    m06: f64,
    m07: f64,
    m08: f64,
    m09: f64,
    m10: f64,
    m11: f64,
    m12: f64,
}

impl WellRow {
    /// Above the mean of the year, m.
    fn months(&self) -> [f64; 12] {
        [
            self.m01, self.m02, self.m03, self.m04, self.m05, self.m06, self.m07, self.m08,
            self.m09, self.m10, self.m11, self.m12,
        ]
        .map(|it| it / 1_000.0)
    }
}

impl OtherFloor {
    /// Years that are run before the visit's year, so that the start is forgotten.
    const YEARS_BEFORE: usize = 4;

    /// Of the facts as they were told: here owners know.
    fn of(random: &mut Random, place: &Place, told: &Visit) -> Self {
        let spread = |random: &mut Random, middle: f64, factor: f64| {
            middle * (factor.ln() * random.normal()).exp()
        };
        let wells: Vec<WellRow> = table_rows(include_str!("../tests/published/shallow_wells.csv"))
            .expect("the table of wells is read by its own check");
        let well = wells[random.below(wells.len())].months();
        let swing = spread(random, 1.0, 1.5);
        let mean_m = match told.lot.position {
            Some(LotPosition::High) => -2.6,
            Some(LotPosition::Low) => -0.4,
            _ => -1.4,
        } + 0.8 * random.normal()
            + if told.lot.drainage == Some(Drainage::Failing) {
                0.3
            } else {
                0.0
            };
        let drains = told.lot.sub_drain == Some(SubDrain::Works) && random.chance(0.9);
        let passes = match told.floor.retarder {
            Some(Retarder::Seen) => random.chance(0.25),
            Some(Retarder::Absent) => true,
            _ => random.chance(0.6),
        };
        let wicks = if passes {
            spread(random, 1.0, 1.4)
        } else {
            0.05
        };
        let (below_days, through_days, off_days) = (
            spread(random, 40.0, 1.6),
            spread(random, 35.0, 1.5),
            spread(random, 50.0, 1.4),
        );
        let scale = spread(random, 1.0, 1.07);
        let excess_pa = spread(random, 250.0, 1.5);
        let saturation = |t: f64| 611.0 * (17.5 * t / (241.0 + t)).exp();
        let (mut lower, mut upper, mut lasting_m) = (2.5, 2.2, 0.0);
        let mut percent = [0.0; 24];
        for month in 0..12 * (Self::YEARS_BEFORE + 2) {
            let calendar = month % 12;
            // Wet and dry spells last some months.
            lasting_m = 0.7 * lasting_m + 0.25 * random.normal();
            let level_m = mean_m + swing * well[calendar] + lasting_m;
            let level_m = if drains { level_m.min(-0.25) } else { level_m };
            let contact = 1.0 / (1.0 + (-(level_m + 0.1) / 0.08).exp());
            let outdoor_c = place.mean_c[calendar];
            let yearly_c = place.mean_c.iter().sum::<f64>() / 12.0;
            let slab_c = 14.0 + 0.3 * (yearly_c - 10.0) + 0.15 * (outdoor_c - yearly_c);
            let vapor_pa = saturation(place.dew_point_c[calendar])
                + excess_pa * (1.0 - outdoor_c / 20.0).clamp(0.0, 1.0);
            let humidity = (vapor_pa / saturation(slab_c)).clamp(0.2, 0.97);
            let air = 1.0 + 2.8 * humidity.powf(1.5);
            let mut mean = 0.0;
            for _ in 0..30 {
                let rises = wicks * contact * (SOAKED_PERCENT - lower) / below_days;
                let passes = (lower - upper) / through_days;
                let dries = (upper - air) / off_days;
                lower += rises - passes;
                upper += passes - dries;
                mean += (0.3 * lower + 0.7 * upper) / 30.0;
            }
            if let Some(at) = month.checked_sub(12 * Self::YEARS_BEFORE) {
                percent[at] = scale * mean;
            }
        }
        Self { percent }
    }
}
