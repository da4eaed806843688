//! What each part of the season's model does, on a grid: the faster path of the darkest patch,
//! the backfill that soaks up rain, the humidity at which people call a patch dark, and months
//! that vary.
//!
//! ```text
//! cargo run --release --example season_parts
//! ```
//!
//! Old floors without a retarder on low lots at the Great Lakes and in the Ohio valley: how many
//! darken, in which months, how many are light again in August and read under the limit then.
//! Beside it the cards that darkening moves, and what the moisture excess of winter rooms moves.

use slabseason::climate::{Place, PlaceQuery, find_place};
use slabseason::odds::evidence::{EvidenceTable, Scale, observations, readings_log};
use slabseason::odds::forcing::{Levels, PlaceYear, levels};
use slabseason::odds::parameters::{FloorParameters, PriorSet};
use slabseason::odds::posterior::plan;
use slabseason::odds::priors::normal_cdf;
use slabseason::odds::simulate::{Dome, Patch, SimulatedFloor, Year, simulate_each};
use slabseason::odds::sobol::kept_scores;
use slabseason::season::{WeatherStream, contact};
use slabseason::survey::{Visit, parse_visit};

/// Draws of a floor.
const DRAWS: usize = 1_024;
/// Months that are the spring, and the month by which a floor is light again; 0 is January.
const SPRING: std::ops::Range<usize> = 2..5;
const AUGUST: usize = 7;
/// The meter's limit, %.
const LIMIT: f64 = 5.0;

const TOWNS: [&str; 10] = [
    "44101", "43085", "45202", "14604", "48201", "46201", "60601", "53202", "40202", "15201",
];

const OLD_LOW: &str = "floor.setting = \"basement\"\nfloor.year_built = 1955\nfloor.retarder = \"absent\"\nfloor.retarder_proof = \"hole\"\nlot.position = \"low\"\n";

/// What is seen to darken, and at which humidity (0 to 1) of its surface.
#[derive(Clone, Copy)]
enum Seen {
    Patch(f64),
    OpenFloor(f64),
}

struct Part {
    name: &'static str,
    change: fn(&mut FloorParameters),
    seen: Seen,
}

fn nothing(_: &mut FloorParameters) {}

fn no_uptake(it: &mut FloorParameters) {
    it.backfill_uptake = 0.0;
}

/// Every month as its normal, every year as the usual one.
fn no_weather(it: &mut FloorParameters) {
    it.weather = WeatherStream::USUAL;
    it.year_rain = it.place_rain;
    it.ahead_rain = it.ahead_rain.map(|_| it.place_rain);
}

fn all_cooled(it: &mut FloorParameters) {
    it.cooled = true;
}

fn none_cooled(it: &mut FloorParameters) {
    it.cooled = false;
}

/// Ground whose pore space has nothing to do with how fast it gives its water.
fn free_yield(it: &mut FloorParameters) {
    it.specific_yield = it.backfill_yield;
}

const PARTS: [Part; 11] = [
    Part {
        name: "as shipped",
        change: nothing,
        seen: Seen::Patch(0.95),
    },
    Part {
        name: "no faster path: the open floor at 0.95",
        change: nothing,
        seen: Seen::OpenFloor(0.95),
    },
    Part {
        name: "the open floor at 0.88, which is the limit",
        change: nothing,
        seen: Seen::OpenFloor(0.88),
    },
    Part {
        name: "the patch called dark at 0.88",
        change: nothing,
        seen: Seen::Patch(0.88),
    },
    Part {
        name: "backfill that soaks up nothing",
        change: no_uptake,
        seen: Seen::Patch(0.95),
    },
    Part {
        name: "the patch called dark at 0.97",
        change: nothing,
        seen: Seen::Patch(0.97),
    },
    Part {
        name: "the patch called dark at 0.98",
        change: nothing,
        seen: Seen::Patch(0.98),
    },
    Part {
        name: "every house cooled in summer",
        change: all_cooled,
        seen: Seen::Patch(0.95),
    },
    Part {
        name: "no house cooled in summer",
        change: none_cooled,
        seen: Seen::Patch(0.95),
    },
    Part {
        name: "months as their normals",
        change: no_weather,
        seen: Seen::Patch(0.95),
    },
    Part {
        name: "pore space free of how fast the ground drains",
        change: free_yield,
        seen: Seen::Patch(0.95),
    },
];

fn main() {
    println!(
        "| part | darken | of these dark in March to May | of these light again in August | of these under the limit in August | card 2 | card 3 | card 4 |\n|---|---|---|---|---|---|---|---|"
    );
    let mut by_month = Vec::new();
    for part in &PARTS {
        let of_floors = floors(part);
        println!(
            "| {} | {:.3} | {:.3} | {:.3} | {:.3} | {:.3} | {:.3} | {:.3} |",
            part.name,
            of_floors.dark,
            of_floors.spring,
            of_floors.light,
            of_floors.under,
            card("14604", CARD_2, Some(true), part),
            card("14604", CARD_2, Some(false), part),
            card("05401", CARD_4, None, part),
        );
        by_month.push((part.name, of_floors.months));
    }
    println!("\nShare of the floors that is dark, January to December:");
    for (name, months) in by_month {
        let months: Vec<String> = months.iter().map(|it| format!("{it:.2}")).collect();
        println!("{name}: {}", months.join(" "));
    }
    println!(
        "\nMoisture excess of winter rooms, mean and spread in Pa: chance of the level floor in Burlington, read 3.6 % in December and in September"
    );
    for (mean_pa, spread_pa) in [
        (200.0, 150.0),
        (250.0, 180.0),
        (320.0, 210.0),
        (400.0, 210.0),
    ] {
        let of = |visit: &str| excess(visit, mean_pa, spread_pa);
        println!(
            "{mean_pa:.0} and {spread_pa:.0}: {:.3}, {:.3}",
            of("2026-12-08"),
            of("2026-09-08")
        );
    }
    println!(
        "\nShare of the floors that water reaches in a year, in six of the towns: as shipped, and with pore space free of how fast the ground drains; months as shipped"
    );
    for (name, told) in LOTS {
        let (ever, months) = reached(told, nothing);
        let (free, _) = reached(told, free_yield);
        let months: Vec<String> = months.iter().map(|it| format!("{it:.2}")).collect();
        println!("{name}: {ever:.3}, {free:.3}; {}", months.join(" "));
    }
}

const LOTS: [(&str, &str); 4] = [
    (
        "high, sound",
        "lot.position = \"high\"\nlot.drainage = \"sound\"\n",
    ),
    ("level", "lot.position = \"level\"\n"),
    ("not known", ""),
    (
        "low, failing",
        "lot.position = \"low\"\nlot.drainage = \"failing\"\n",
    ),
];

/// Share of a lot's floors of which water wets a tenth at any time of a year, and in each month.
fn reached(told: &str, change: fn(&mut FloorParameters)) -> (f64, [f64; 12]) {
    const LANES: usize = 16;
    let told = format!("floor.setting = \"basement\"\n{told}");
    let (mut ever, mut months) = (0.0, [0.0; 12]);
    let one = 1.0 / (6 * DRAWS) as f64;
    for postal in ["43085", "14604", "53202", "15201", "60601", "48201"] {
        let place = place(postal);
        let priors = PriorSet::for_visit(&visit(postal, "2026-09-08", &told));
        let year = PlaceYear::new(&place, priors.below_grade);
        for first in (0..DRAWS).step_by(LANES) {
            let versions: [FloorParameters; LANES] = std::array::from_fn(|lane| {
                let mut it = priors.parameters(&kept_scores(first + lane));
                change(&mut it);
                it
            });
            let levels: Levels<LANES> =
                levels(&year, &std::array::from_fn(|lane| &versions[lane]), 0);
            for (lane, it) in versions.iter().enumerate() {
                let wet: Vec<bool> = levels.capped_m[..12]
                    .iter()
                    .map(|level| contact(level[lane], it.fringe_m) > 0.1)
                    .collect();
                ever += one * f64::from(u8::from(wet.contains(&true)));
                for (share, wet) in months.iter_mut().zip(wet) {
                    *share += one * f64::from(u8::from(wet));
                }
            }
        }
    }
    (ever, months)
}

fn place(postal: &str) -> Place {
    find_place(&PlaceQuery::parse(postal).expect("a postal code")).expect("a place in the table")
}

fn visit(postal: &str, date: &str, told: &str) -> Visit {
    let text = format!("visit_date = {date}\npostal = \"{postal}\"\n{told}");
    parse_visit(&text, "an invented floor")
        .expect("the floors above are written as visits")
        .visit
}

fn simulated(
    place: &Place,
    visit: &Visit,
    change: fn(&mut FloorParameters),
) -> Vec<SimulatedFloor> {
    let priors = PriorSet::for_visit(visit);
    let mut layout = plan(visit, &observations(visit), Dome::NotAsked);
    layout.patch = Patch::Asked;
    let versions: Vec<FloorParameters> = (0..DRAWS)
        .map(|draw| {
            let mut it = priors.parameters(&kept_scores(draw));
            change(&mut it);
            it
        })
        .collect();
    simulate_each(
        &PlaceYear::new(place, priors.below_grade),
        &layout,
        &versions,
    )
}

/// The year that is seen, and the humidity at which it is dark.
fn seen(floor: &SimulatedFloor, part: &Part) -> (Year, f64) {
    match (part.seen, &floor.patch) {
        (Seen::Patch(humidity), Some(patch)) => (patch.reading_year, humidity),
        (Seen::Patch(humidity) | Seen::OpenFloor(humidity), _) => (floor.reading_year, humidity),
    }
}

/// Shares of the old low floors.
struct Shares {
    dark: f64,
    spring: f64,
    light: f64,
    under: f64,
    months: [f64; 12],
}

fn floors(part: &Part) -> Shares {
    let (mut all, mut dark, mut spring, mut light, mut under) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let mut months = [0.0; 12];
    let scale = Scale::prior(false).mean;
    for postal in TOWNS {
        // The reading's year ends with the visit's month.
        for it in simulated(
            &place(postal),
            &visit(postal, "2026-12-10", OLD_LOW),
            part.change,
        ) {
            let (year, humidity) = seen(&it, part);
            let is_dark = |month: usize| year[month].surface_humidity >= humidity;
            let one = |it: bool| f64::from(u8::from(it));
            all += 1.0;
            for (month, share) in months.iter_mut().enumerate() {
                *share += one(is_dark(month));
            }
            let in_spring = SPRING.into_iter().any(is_dark);
            let fades = in_spring && !is_dark(AUGUST);
            let august = 100.0 * scale * it.reading_year[AUGUST].meter_fraction;
            dark += one((0..12).any(is_dark));
            spring += one(in_spring);
            light += one(fades);
            under += one(fades && august < LIMIT);
        }
    }
    Shares {
        dark: dark / all,
        spring: spring / f64::max(dark, 1.0),
        light: light / f64::max(spring, 1.0),
        under: under / f64::max(light, 1.0),
        months: months.map(|it| it / all),
    }
}

const READ: &str = "[[reading]]\nkind = \"meter\"\nscale = \"percent\"\nvalue = 3.6\n";
const CARD_2: &str = "floor.setting = \"basement\"\nfloor.year_built = 1958\nlot.position = \"low\"\nlot.drainage = \"failing\"\n[[reading]]\nkind = \"meter\"\nscale = \"percent\"\nvalue = 3.6\n";
const CARD_4: &str = "floor.setting = \"basement\"\nfloor.year_built = 1958\nlot.position = \"level\"\n[[reading]]\nkind = \"meter\"\nscale = \"percent\"\nvalue = 3.6\n";

/// Chance that a card's floor goes over, with darkening seen, not seen, or not asked for.
fn card(postal: &str, told: &str, darkens: Option<bool>, part: &Part) -> f64 {
    let visit = visit(postal, "2026-09-08", told);
    let floors = simulated(&place(postal), &visit, part.change);
    chance(&visit, &floors, |it| match darkens {
        None => 1.0,
        Some(answer) => {
            let yes = darkening(it, part);
            if answer { yes } else { 1.0 - yes }
        }
    })
}

/// How likely darkening in spring that fades is reported, by the rows of `tables/evidence.csv`,
/// for what is seen.
fn darkening(floor: &SimulatedFloor, part: &Part) -> f64 {
    let table = EvidenceTable::bundled();
    let (year, humidity) = seen(floor, part);
    let at = |month: usize| year[month].surface_humidity;
    let high = (1..5).map(at).fold(0.0, f64::max);
    let low = (7..10).map(at).sum::<f64>() / 3.0;
    let rises = |x: f64| 1.0 / (1.0 + (-x).exp());
    table.darkening_false
        + table.darkening_found
            * rises((high - humidity) / table.darkening_humidity_width)
            * rises((high - low - table.darkening_swing) / table.darkening_swing_width)
}

/// Chance to go over the limit in the next year, by the readings and a weight of each floor.
fn chance(
    visit: &Visit,
    floors: &[SimulatedFloor],
    weight: impl Fn(&SimulatedFloor) -> f64,
) -> f64 {
    let seen = observations(visit);
    let (mut sum, mut over) = (0.0, 0.0);
    for it in floors {
        let (log, scale) = readings_log(&seen, &it.at_marks, None);
        let counts = weight(it) * log.exp();
        let dry = (100.0 * it.next_most.meter_fraction).max(1.0e-9);
        sum += counts;
        over += counts * (1.0 - normal_cdf((LIMIT / dry - scale.mean) / scale.sd));
    }
    over / sum
}

/// Chance of the level floor in Burlington with another prior of the moisture excess: the same
/// draws, weighed by the other prior over the shipped one.
fn excess(date: &str, mean_pa: f64, spread_pa: f64) -> f64 {
    let told = format!(
        "floor.setting = \"basement\"\nfloor.year_built = 1958\nlot.position = \"level\"\n{READ}"
    );
    let visit = visit("05401", date, &told);
    let floors = simulated(&place("05401"), &visit, nothing);
    let shipped = slabseason::odds::priors::Priors::bundled().of("moisture_excess", "any");
    let density = |excess_pa: f64, mean_pa: f64, spread_pa: f64| {
        let score = (excess_pa - mean_pa) / spread_pa;
        (-0.5 * score * score).exp() / spread_pa
    };
    chance(&visit, &floors, |it| {
        let excess_pa = it.parameters.excess_pa;
        density(excess_pa, mean_pa, spread_pa) / density(excess_pa, shipped.value(), shipped.sd())
    })
}
