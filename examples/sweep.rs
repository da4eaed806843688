//! A handful of floors over every station of the climate table: nothing may break, and the
//! seasons must fall where published statements put them.
//!
//! `cargo run --release --example sweep [EVERY] [--station ID]`
//!
//! `EVERY` takes each so-many-th station only. `--station` shows the months of one station
//! in place of the sweep. Few draws are taken: chances here are good to a few points.

use slabseason::climate::{Place, PlaceQuery, Station, find_place, stations};
use slabseason::odds::forcing::PlaceYear;
use slabseason::odds::parameters::{DIMENSIONS, PriorSet};
use slabseason::odds::posterior::{Effort, FULL, Limits, Posterior, posterior};
use slabseason::season::{BalanceMonth, MONTH_NAMES};
use slabseason::survey::{Visit, parse_visit};
use slabseason::verdict::place_prior::water_highest;
use std::panic::{AssertUnwindSafe, catch_unwind};

const LIMIT_PERCENT: f64 = 5.0;
const FEW: Effort = Effort {
    round: 128,
    most: 128,
    enough: 0.0,
    ..FULL
};
/// How far a share may pass 1 before it counts as broken.
const ROUNDING: f64 = 1.0e-3;
const NEW: usize = 0;
const LEVEL: usize = 1;
const LOW: usize = 2;
/// The floors: a name, and what is told of them.
const FLOORS: [(&str, &str); 4] = [
    (
        "new and drained",
        "[floor]\nsetting = \"basement\"\nyear_built = 2015\nretarder = \"seen\"\n[lot]\nposition = \"level\"\n\
         drainage = \"sound\"\nsub_drain = \"works\"\n[air]\ndehumidifier = \"running\"\n",
    ),
    (
        "1958, level lot",
        "[floor]\nsetting = \"basement\"\nyear_built = 1958\n[lot]\nposition = \"level\"\n",
    ),
    (
        "1958, low lot, failing",
        "[floor]\nsetting = \"basement\"\nyear_built = 1958\n[lot]\nposition = \"low\"\ndrainage = \"failing\"\n",
    ),
    (
        "garage on grade, 1995",
        "[floor]\nsetting = \"garage\"\nyear_built = 1995\n",
    ),
];

fn main() {
    let mut every = 1;
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        if arg == "--station" {
            let id = args.next().expect("--station takes a station's id");
            show_station(&id);
            return;
        }
        every = arg
            .parse()
            .ok()
            .filter(|it| *it > 0)
            .expect("EVERY is a whole number above 0");
    }
    let chosen: Vec<&Station> = stations().iter().step_by(every).collect();
    let mut found: Vec<(usize, Result<At, String>)> = Vec::with_capacity(chosen.len());
    std::thread::scope(|scope| {
        let chosen = &chosen;
        let workers = [0, 1].map(|first| {
            scope.spawn(move || {
                (first..chosen.len())
                    .step_by(2)
                    .map(|index| {
                        let with_reading = index % 10 == 0;
                        let run = AssertUnwindSafe(|| at_station(chosen[index], with_reading));
                        let res = catch_unwind(run)
                            .unwrap_or_else(|_| Err(format!("{}: panic", chosen[index].id)));
                        (index, res)
                    })
                    .collect::<Vec<_>>()
            })
        });
        for worker in workers {
            found.extend(worker.join().expect("panics are caught one floor deeper"));
        }
    });
    found.sort_by_key(|it| it.0);
    let wrong: Vec<&String> = found.iter().filter_map(|it| it.1.as_ref().err()).collect();
    println!(
        "{} stations, {} floors each; broken: {}\n",
        found.len(),
        FLOORS.len(),
        wrong.len()
    );
    for it in wrong.iter().take(20) {
        println!("- {it}");
    }
    let refused = chosen.iter().filter(|it| !is_taken(it)).count();
    println!("Stations whose id a visit file does not take: {refused}");
    let all: Vec<&At> = found.iter().filter_map(|it| it.1.as_ref().ok()).collect();
    let over_one: Vec<f64> = all.iter().map(|it| it.excess).collect();
    println!(
        "Stations with a share over 1 by more than 1e-9: {}, at most by {:.1e}",
        over_one.iter().filter(|it| **it > 1.0e-9).count(),
        over_one.iter().copied().fold(0.0, f64::max)
    );
    published(&all);
    recharge(&all);
    groups(&all);
    readings(&all);
    flags(&all);
    if !wrong.is_empty() {
        std::process::exit(1);
    }
}

/// What was found at one station.
struct At {
    station: &'static Station,
    mean_c: f64,
    rain_mm: f64,
    /// Evapotranspiration that wet soil would give in a year, mm.
    thirst_mm: f64,
    coldest_c: f64,
    /// Store below by month, mm, with middle numbers, and the surplus that feeds it.
    store_mm: [f64; 12],
    /// Chance of each month to hold the highest water of a year, as `climate` prints it.
    highest: [f64; 12],
    surplus_mm: [f64; 12],
    /// Most by which a humidity passes 1.
    excess: f64,
    floors: [Seen; FLOORS.len()],
    /// Chance, p-value and height of a 3.6 in September, where it was tried.
    reading: Option<[(f64, f64, bool); FLOORS.len()]>,
}

/// What the answers alone say of one floor.
#[derive(Clone, Copy)]
struct Seen {
    over: f64,
    /// Of the floors over the limit, those that take in water from the air as it gets worst.
    from_air: f64,
    /// Month of the highest middle reading, and that reading and the lowest.
    wettest: usize,
    highest: f64,
    lowest: f64,
    coldest_surface_c: f64,
}

/// The place of a visit is not used by the posterior, which gets it by itself.
fn visit_of(floor: &str, reading: &str) -> Visit {
    let text =
        format!("visit_version = 1\nvisit_date = 2026-09-08\npostal = \"05401\"\n{floor}{reading}");
    parse_visit(&text, "an invented floor")
        .expect("the floors above are written as visits")
        .visit
}

/// Whether a visit file may name the station.
fn is_taken(station: &Station) -> bool {
    let text = format!(
        "visit_version = 1\nvisit_date = 2026-09-08\nstation = \"{}\"\n{}",
        station.id, FLOORS[LEVEL].1
    );
    parse_visit(&text, "an invented floor").is_ok()
}

fn limits() -> Limits {
    Limits {
        meter_percent: Some(LIMIT_PERCENT),
        probe_humidity: None,
        dome_flux: None,
    }
}

fn balance_of(place: &Place) -> Vec<BalanceMonth> {
    let middle = PriorSet::for_visit(&visit_of(FLOORS[LEVEL].1, "")).parameters(&[0.0; DIMENSIONS]);
    PlaceYear::new(place, true).balance(&middle)
}

fn place_of(station: &Station) -> Result<Place, String> {
    find_place(&PlaceQuery::Station(station.id.clone()))
        .map_err(|it| format!("{}: {it}", station.id))
}

fn at_station(station: &'static Station, with_reading: bool) -> Result<At, String> {
    let place = place_of(station)?;
    let months = balance_of(&place);
    let year = PlaceYear::new(&place, true);
    let mut floors = [Seen {
        over: 0.0,
        from_air: 0.0,
        wettest: 0,
        highest: 0.0,
        lowest: 0.0,
        coldest_surface_c: 0.0,
    }; FLOORS.len()];
    let mut reading = [(0.0, 0.0, false); FLOORS.len()];
    let mut excess = 0.0f64;
    for (at, (name, floor)) in FLOORS.iter().enumerate() {
        let stated = posterior(&place, &visit_of(floor, ""), limits(), FEW);
        let most = sound(&stated).map_err(|it| format!("{} {name}: {it}", station.id))?;
        excess = excess.max(most);
        floors[at] = seen(&stated);
        if with_reading {
            let told = "[[reading]]\ndate = 2026-09-08\nkind = \"meter\"\nscale = \"percent\"\nvalue = 3.6\n";
            let stated = posterior(&place, &visit_of(floor, told), limits(), FEW);
            sound(&stated).map_err(|it| format!("{} {name} with a reading: {it}", station.id))?;
            let p = stated.reading_p_value.unwrap_or(f64::NAN);
            if !(0.0..=1.0).contains(&p) {
                return Err(format!("{} {name}: reading p-value {p}", station.id));
            }
            reading[at] = (stated.exceedance(), p, stated.reading_is_high);
        }
    }
    Ok(At {
        station,
        mean_c: place.mean_c.iter().sum::<f64>() / 12.0,
        rain_mm: place.precipitation_mm.iter().sum(),
        thirst_mm: year.evapotranspiration_mm.iter().sum(),
        coldest_c: place.mean_c.iter().copied().fold(f64::INFINITY, f64::min),
        store_mm: std::array::from_fn(|month| months[month].ground_mm),
        highest: water_highest(&place),
        surplus_mm: std::array::from_fn(|month| months[month].surplus_mm),
        excess,
        floors,
        reading: with_reading.then_some(reading),
    })
}

/// Whether every number is one that can be.
///
/// The most by which a share passes 1 is given back: a step of the solver is made straight
/// once about a guess, so that a saturated layer may end a little over; more is an error.
fn sound(stated: &Posterior) -> Result<f64, String> {
    let mut excess = 0.0f64;
    let mut share = |what: &str, value: f64| {
        if (0.0..=1.0 + ROUNDING).contains(&value) {
            excess = excess.max(value - 1.0);
            Ok(())
        } else {
            Err(format!("{what} {value}"))
        }
    };
    share("chance", stated.exceedance())?;
    share("chance before", stated.exceedance_before())?;
    share("chance of five years", stated.exceedance_five_years())?;
    if stated.exceedance_five_years() + 1.0e-9 < stated.exceedance() {
        return Err("five years are less likely than one".into());
    }
    share("sum of weights", stated.after.weights.iter().sum::<f64>())?;
    for outcome in &stated.outcomes {
        for it in outcome.reading_year.iter().chain(&outcome.next_year) {
            share("humidity of the layer", it.layer_humidity)?;
            share("humidity of the surface", it.surface_humidity)?;
            share("humidity at the probe", it.probe_humidity)?;
            share("contact", it.contact)?;
            share("water by weight", it.meter_fraction)?;
            if !(it.flux.is_finite()
                && it.shed.is_finite()
                && it.room_pa > 0.0
                && it.room_pa < 12_000.0)
            {
                return Err(format!("flux {}, room {} Pa", it.flux, it.room_pa));
            }
        }
        for month in 0..12 {
            let room_share = outcome.next_year[month].room_pa
                / slabseason::season::saturation_pa(outcome.room_c[month]);
            // Means of a month against the temperature of its middle.
            if room_share > 1.05 {
                return Err(format!("room at {:.0} % humidity", 100.0 * room_share));
            }
        }
    }
    Ok(excess)
}

fn seen(stated: &Posterior) -> Seen {
    let middle: [f64; 12] = std::array::from_fn(|month| {
        stated.reading_quantiles(
            &stated.after.weights,
            |draw| stated.scales[draw],
            |draw| 100.0 * stated.outcomes[draw].next_year[month].meter_fraction,
            [0.1, 0.5, 0.9],
        )[1]
    });
    let wettest = highest_month(&middle);
    let mut from_air = 0.0;
    let mut over = 0.0;
    let mut coldest_surface_c = f64::INFINITY;
    for (draw, weight) in stated.after.weights.iter().enumerate() {
        let outcome = &stated.outcomes[draw];
        let part = weight * stated.over_next_year(draw, stated.scales[draw]);
        let year = &outcome.next_year;
        let worst = highest_month(&std::array::from_fn(|month| year[month].meter_fraction));
        over += part;
        if year[worst].flux < 0.0 || year[(worst + 11) % 12].flux < 0.0 {
            from_air += part;
        }
        coldest_surface_c = outcome
            .surface_c
            .iter()
            .copied()
            .fold(coldest_surface_c, f64::min);
    }
    Seen {
        over: stated.exceedance(),
        from_air: if over > 0.0 { from_air / over } else { 0.0 },
        wettest,
        highest: middle[wettest],
        lowest: middle.iter().copied().fold(f64::INFINITY, f64::min),
        coldest_surface_c,
    }
}

fn highest_month(values: &[f64; 12]) -> usize {
    (0..12)
        .max_by(|a, b| values[*a].total_cmp(&values[*b]))
        .expect("a year has months")
}

fn lowest_month(values: &[f64; 12]) -> usize {
    highest_month(&values.map(|it| -it))
}

fn apart(one: usize, other: usize) -> usize {
    let steps = one.abs_diff(other);
    steps.min(12 - steps)
}

/// The month with the least sum of distances to all others, on the circle of the year.
fn middle_month(months: &[usize]) -> usize {
    (0..12)
        .min_by_key(|month| months.iter().map(|it| apart(*month, *it)).sum::<usize>())
        .expect("a year has months")
}

fn short(month: usize) -> &'static str {
    &MONTH_NAMES[month][..3]
}

/// A region with what is published of its water table; months count from 0.
struct Region {
    name: &'static str,
    source: &'static str,
    high: &'static [usize],
    low: &'static [usize],
    holds: fn(&Station) -> bool,
}

fn degrees(station: &Station) -> (f64, f64) {
    (station.latitude_deg, station.longitude_deg)
}

const REGIONS: [Region; 6] = [
    Region {
        name: "Pennsylvania",
        source: "high Mar-Apr, low late Sep-Oct (Penn State Extension)",
        high: &[2, 3],
        low: &[8, 9],
        holds: |it| it.admin == "PA",
    },
    Region {
        name: "South Florida",
        source: "high in fall at the end of the rains (Sep-Nov), low in late spring (May)",
        high: &[8, 9, 10],
        low: &[4],
        holds: |it| it.admin == "FL" && it.latitude_deg < 27.2,
    },
    Region {
        name: "Willamette Valley",
        source: "saturated Dec-Mar (NRCS, Wapato series)",
        high: &[11, 0, 1, 2],
        low: &[],
        holds: |it| {
            let (latitude, longitude) = degrees(it);
            it.admin == "OR"
                && (43.9..45.7).contains(&latitude)
                && (-123.6..-122.3).contains(&longitude)
                && it.elevation_m.is_some_and(|it| it < 200.0)
        },
    },
    Region {
        name: "Rhode Island",
        source: "high Apr, low Sep-Oct (well at Kingstown)",
        high: &[3],
        low: &[8, 9],
        holds: |it| it.admin == "RI",
    },
    Region {
        name: "Northwest Minnesota",
        source: "high Apr to Jun, low Feb-Mar (wells at Glacial Ridge)",
        high: &[3, 4, 5],
        low: &[1, 2],
        holds: |it| it.admin == "MN" && it.latitude_deg > 46.5 && it.longitude_deg < -95.0,
    },
    Region {
        name: "New York and Ohio",
        source: "high in late winter and spring, Feb-May (Zobeck and Ritchie 1984)",
        high: &[1, 2, 3, 4],
        low: &[],
        holds: |it| it.admin == "NY" || it.admin == "OH",
    },
];

fn published(all: &[&At]) {
    println!("\n## The month of the highest water table\n");
    println!(
        "| region | published | stations | no store | model high | in it | within 1 month | model low | within 1 month | wettest reading, low lot |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for region in &REGIONS {
        let of: Vec<&&At> = all.iter().filter(|it| (region.holds)(it.station)).collect();
        if of.is_empty() {
            println!("| {} | {} | 0 | | | | | | | |", region.name, region.source);
            continue;
        }
        // A store that never fills has no season: it counts as a miss.
        let with_store: Vec<&At> = of
            .iter()
            .map(|it| **it)
            .filter(|it| has_store(it))
            .collect();
        let highs: Vec<usize> = with_store
            .iter()
            .map(|it| highest_month(&it.highest))
            .collect();
        let lows: Vec<usize> = with_store
            .iter()
            .map(|it| lowest_month(&it.store_mm))
            .collect();
        let readings: Vec<usize> = of.iter().map(|it| it.floors[LOW].wettest).collect();
        let within = |months: &[usize], published: &[usize], most: usize| -> String {
            if published.is_empty() {
                return "".into();
            }
            let near = months
                .iter()
                .filter(|month| published.iter().any(|it| apart(*it, **month) <= most))
                .count();
            format!("{:.0} %", 100.0 * near as f64 / of.len() as f64)
        };
        println!(
            "| {} | {} | {} | {} | {} | {} | {} | {} | {} | {} |",
            region.name,
            region.source,
            of.len(),
            of.len() - highs.len(),
            short(middle_month(&highs)),
            within(&highs, region.high, 0),
            within(&highs, region.high, 1),
            short(middle_month(&lows)),
            within(&lows, region.low, 1),
            short(middle_month(&readings)),
        );
    }
}

/// Whether the store below fills at all in a year of middle weather.
fn has_store(it: &At) -> bool {
    it.store_mm.iter().any(|it| *it >= 1.0)
}

/// Published for Pennsylvania: 80 % of the recharge from November to May, most in March.
fn recharge(all: &[&At]) {
    let of: Vec<&&At> = all.iter().filter(|it| it.station.admin == "PA").collect();
    if of.is_empty() {
        return;
    }
    let winter = [10, 11, 0, 1, 2, 3, 4];
    let shares: Vec<f64> = of
        .iter()
        .map(|it| {
            let total: f64 = it.surplus_mm.iter().sum();
            winter
                .iter()
                .map(|month| it.surplus_mm[*month])
                .sum::<f64>()
                / total.max(1.0e-9)
        })
        .collect();
    let tops: Vec<usize> = of.iter().map(|it| highest_month(&it.surplus_mm)).collect();
    println!(
        "\nPennsylvania, recharge: published 80 % from November to May, most in March; model {:.0} % (middle of {} stations), most in {} ({:.0} % of stations in March, {:.0} % within a month of it); {:.0} mm a year.",
        100.0 * middle(&shares),
        of.len(),
        short(middle_month(&tops)),
        100.0 * tops.iter().filter(|it| **it == 2).count() as f64 / of.len() as f64,
        100.0 * tops.iter().filter(|it| apart(**it, 2) <= 1).count() as f64 / of.len() as f64,
        middle(
            &of.iter()
                .map(|it| it.surplus_mm.iter().sum())
                .collect::<Vec<f64>>()
        ),
    );
}

fn middle(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN)
}

type Test = fn(&At) -> bool;

/// Groups of stations; a station may be in several.
const GROUPS: [(&str, Test); 15] = [
    ("New England, NY", |it| {
        ["CT", "MA", "ME", "NH", "NY", "RI", "VT"].contains(&it.station.admin.as_str())
    }),
    ("NJ, PA, DE, MD", |it| {
        ["NJ", "PA", "DE", "MD", "DC"].contains(&it.station.admin.as_str())
    }),
    ("Great Lakes", |it| {
        ["OH", "MI", "IN", "IL", "WI"].contains(&it.station.admin.as_str())
    }),
    ("MN, IA, MO", |it| {
        ["MN", "IA", "MO"].contains(&it.station.admin.as_str())
    }),
    ("northern plains", |it| {
        ["ND", "SD", "NE", "KS"].contains(&it.station.admin.as_str())
    }),
    ("inland South", |it| {
        ["KY", "TN", "NC", "VA", "WV", "AR", "GA", "SC"].contains(&it.station.admin.as_str())
    }),
    ("Gulf coast", is_gulf),
    ("Florida", |it| it.station.admin == "FL"),
    ("OK, TX", |it| {
        ["OK", "TX"].contains(&it.station.admin.as_str())
    }),
    ("mountain West", |it| {
        ["CO", "UT", "WY", "MT", "ID"].contains(&it.station.admin.as_str())
    }),
    ("desert", is_desert),
    ("WA, OR west of 122 W", |it| {
        ["WA", "OR"].contains(&it.station.admin.as_str()) && it.station.longitude_deg < -122.0
    }),
    ("California", |it| it.station.admin == "CA"),
    ("Alaska", |it| it.station.admin == "AK"),
    ("Hawaii and islands", |it| {
        ["HI", "PR", "VI", "GU", "AS"].contains(&it.station.admin.as_str())
    }),
];

fn is_gulf(it: &At) -> bool {
    let (latitude, longitude) = degrees(it.station);
    ["TX", "LA", "MS", "AL", "FL"].contains(&it.station.admin.as_str())
        && latitude < 31.2
        && longitude > -98.0
}

/// Little rain, far less than the air would take.
fn is_desert(it: &At) -> bool {
    it.rain_mm < 300.0 && it.thirst_mm > 2.0 * it.rain_mm
}

fn groups(all: &[&At]) {
    println!(
        "\n## Chance over {LIMIT_PERCENT} % by the answers alone, middle (highest) of the stations; share of it from the air; month of the wettest middle reading\n"
    );
    print!("| stations | n |");
    for (name, _) in FLOORS {
        print!(" {name} |");
    }
    println!();
    println!("|---|---|---|---|---|---|");
    let line = |name: &str, of: &[&&At]| {
        if of.is_empty() {
            return;
        }
        print!("| {name} | {} |", of.len());
        for at in 0..FLOORS.len() {
            let chances: Vec<f64> = of.iter().map(|it| it.floors[at].over).collect();
            let airs: Vec<f64> = of.iter().map(|it| it.floors[at].from_air).collect();
            let months: Vec<usize> = of.iter().map(|it| it.floors[at].wettest).collect();
            print!(
                " {:.0} % ({:.0} %), air {:.0} %, {} |",
                100.0 * middle(&chances),
                100.0 * chances.iter().copied().fold(0.0, f64::max),
                100.0 * middle(&airs),
                short(middle_month(&months))
            );
        }
        println!();
    };
    for (name, test) in GROUPS {
        let of: Vec<&&At> = all.iter().filter(|it| test(it)).collect();
        line(name, &of);
    }
    let canada: Vec<&&At> = all.iter().filter(|it| it.station.country == "CA").collect();
    line("Canada", &canada);
    line("all", &all.iter().collect::<Vec<_>>());
}

fn readings(all: &[&At]) {
    println!("\n## A 3.6 in September at every tenth station\n");
    println!("| floor | stations | chance, middle | before it, middle | held high | held low |");
    println!("|---|---|---|---|---|---|");
    for (at, (name, _)) in FLOORS.iter().enumerate() {
        let of: Vec<(&At, (f64, f64, bool))> = all
            .iter()
            .filter_map(|it| it.reading.map(|reading| (*it, reading[at])))
            .collect();
        let held = |high: bool| {
            of.iter()
                .filter(|(_, it)| it.1 < 0.02 && it.2 == high)
                .count()
        };
        println!(
            "| {name} | {} | {:.3} | {:.3} | {} | {} |",
            of.len(),
            middle(&of.iter().map(|it| it.1.0).collect::<Vec<_>>()),
            middle(&of.iter().map(|it| it.0.floors[at].over).collect::<Vec<_>>()),
            held(true),
            held(false)
        );
    }
}

fn flags(all: &[&At]) {
    println!("\n## What looks odd\n");
    let flag = |name: &str, at: usize, test: &dyn Fn(&At) -> bool| {
        let mut of: Vec<&&At> = all.iter().filter(|it| test(it)).collect();
        of.sort_by(|a, b| b.floors[at].over.total_cmp(&a.floors[at].over));
        println!("- {name}: {}", of.len());
        for it in of.iter().take(8) {
            let floor = &it.floors[at];
            println!(
                "  - {} {} {}: {:.0} %, air {:.0} %, wettest {} {:.1} (lowest {:.1}); {:.1} °C, rain {:.0} mm",
                it.station.id,
                it.station.name,
                it.station.admin,
                100.0 * floor.over,
                100.0 * floor.from_air,
                short(floor.wettest),
                floor.highest,
                floor.lowest,
                it.mean_c,
                it.rain_mm
            );
        }
    };
    flag("new and drained over 20 %", NEW, &|it| {
        it.floors[NEW].over > 0.2
    });
    flag("deserts with a level lot over 20 %", LEVEL, &|it| {
        is_desert(it) && it.floors[LEVEL].over > 0.2
    });
    flag("deserts, a level lot, most first", LEVEL, &|it| {
        is_desert(it)
    });
    flag("Gulf coast with a level lot under 5 %", LEVEL, &|it| {
        is_gulf(it) && it.floors[LEVEL].over < 0.05
    });
    flag("garage on grade over 20 %", 3, &|it| {
        it.floors[3].over > 0.2
    });
    flag("mean of the ground under 0 °C (frozen)", LOW, &|it| {
        it.mean_c < 0.0
    });
    flag("slab surface under 0 °C in some version", LEVEL, &|it| {
        it.floors.iter().any(|floor| floor.coldest_surface_c < 0.0)
    });
    flag("coldest month under -15 °C", LOW, &|it| {
        it.coldest_c < -15.0
    });
    flag("rain over 400 mm and no store below", LOW, &|it| {
        it.rain_mm > 400.0 && !has_store(it)
    });
    flag("low lot drier than level lot", LOW, &|it| {
        it.floors[LOW].over + 0.01 < it.floors[LEVEL].over
    });
    flag("low lot, highest", LOW, &|_| true);
    flag("level lot, highest", LEVEL, &|_| true);
    let mut lowest: Vec<&&At> = all.iter().filter(|it| it.rain_mm > 900.0).collect();
    lowest.sort_by(|a, b| a.floors[LOW].over.total_cmp(&b.floors[LOW].over));
    println!("- low lot, lowest where it rains more than 900 mm:");
    for it in lowest.iter().take(8) {
        println!(
            "  - {} {} {}: {:.0} %, rain {:.0} mm, wet soil would give {:.0} mm",
            it.station.id,
            it.station.name,
            it.station.admin,
            100.0 * it.floors[LOW].over,
            it.rain_mm,
            it.thirst_mm
        );
    }
}

fn show_station(id: &str) {
    let station = stations()
        .iter()
        .find(|it| it.id == id)
        .expect("an id of the climate table");
    let place = place_of(station).expect("a station of the table has a place");
    let months = balance_of(&place);
    println!("{} {} {}", station.id, station.name, station.admin);
    let line = |name: &str, value: &dyn Fn(usize) -> f64| {
        let cells: Vec<String> = (0..12)
            .map(|month| format!("{:7.2}", value(month)))
            .collect();
        println!("{name:28}{}", cells.join(""));
    };
    line("mean °C", &|month| place.mean_c[month]);
    line("dew point °C", &|month| place.dew_point_c[month]);
    line("rain mm", &|month| place.precipitation_mm[month]);
    line("evapotranspiration mm", &|month| {
        PlaceYear::new(&place, true).evapotranspiration_mm[month]
    });
    line("melt mm", &|month| months[month].melt_mm);
    line("soil mm", &|month| months[month].soil_mm);
    line("surplus mm", &|month| months[month].surplus_mm);
    line("store mm", &|month| months[month].ground_mm);
    for (name, floor) in FLOORS {
        let stated = posterior(&place, &visit_of(floor, ""), limits(), FEW);
        let seen = seen(&stated);
        println!(
            "{name}: {:.0} % over, air {:.0} %",
            100.0 * seen.over,
            100.0 * seen.from_air
        );
        for (what, chance) in [("  reading p50", 1), ("  reading p90", 2)] {
            line(what, &|month| {
                stated.reading_quantiles(
                    &stated.after.weights,
                    |draw| stated.scales[draw],
                    |draw| 100.0 * stated.outcomes[draw].next_year[month].meter_fraction,
                    [0.1, 0.5, 0.9],
                )[chance]
            });
        }
        let mean = |value: &dyn Fn(usize) -> f64| stated.mean_after(value);
        line("  surface humidity", &|month| {
            mean(&|draw| stated.outcomes[draw].next_year[month].surface_humidity)
        });
        line("  wetted share", &|month| {
            mean(&|draw| stated.outcomes[draw].next_year[month].contact)
        });
        line("  flux g/m2 day", &|month| {
            mean(&|draw| 8.64e7 * stated.outcomes[draw].next_year[month].flux)
        });
        line("  room °C", &|month| {
            mean(&|draw| stated.outcomes[draw].room_c[month])
        });
        line("  surface °C", &|month| {
            mean(&|draw| stated.outcomes[draw].surface_c[month])
        });
        line("  room humidity", &|month| {
            mean(&|draw| {
                stated.outcomes[draw].next_year[month].room_pa
                    / slabseason::season::saturation_pa(stated.outcomes[draw].room_c[month])
            })
        });
    }
}
