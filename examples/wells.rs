//! The year of the water table against measured shallow wells, beside answers that know less.
//!
//! ```text
//! cargo run --release --example wells
//! cargo run --release --example wells -- refit
//! ```
//!
//! The program's own draws say the month of the highest and the lowest water, its odds, the
//! course of the twelve months and the swing. Beside them stand the best constant answer and a
//! ridge regression on the yearly swing of temperature and rain, both learned on the other
//! states. Wells of dry states are told apart: their water is a river's or a pump's.
//!
//! `refit` adds the program as it would be if its rows had been chosen without each group of
//! states: [`ROW_SETS`] sets of rows are drawn, and the best of them on the other states answer
//! together.

use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::forcing::PlaceYear;
use slabseason::odds::parameters::PriorSet;
use slabseason::odds::priors::{Prior, Priors, normal_cdf};
use slabseason::odds::sobol::normal_scores;
use slabseason::odds::water_year::{WaterYear, levels_of, standard, water_year};
use slabseason::season::{Balances, MonthWeather, SeasonTable, SoilStore, day_length};
use slabseason::survey::parse_visit;

fn main() {
    let sites = sites();
    let mut answers: Vec<(&str, Vec<Answer>)> = vec![
        ("the program", sites.iter().map(program).collect()),
        ("best constants", constants(&sites)),
        ("ridge on climate", ridge(&sites)),
    ];
    if std::env::args().any(|it| it == "refit") {
        for (who, given) in refitted(&sites) {
            answers.push((who, given));
        }
    }
    for (who, given) in &answers {
        println!("\n{who}");
        println!(
            "| region | sites | highest within one | exact | lowest within one | correlation | log score of the highest month |"
        );
        println!("|---|---|---|---|---|---|---|");
        for (name, states) in FOLDS.iter().chain([&("all humid", ALL), &DRY]) {
            let of: Vec<usize> = (0..sites.len())
                .filter(|it| {
                    states.contains(&sites[*it].state.as_str())
                        || (*name == "all humid" && !sites[*it].is_dry())
                })
                .collect();
            let it = score(&sites, given, &of);
            println!(
                "| {name} | {} | {:.3} | {:.3} | {:.3} | {:.3} | {:.2} |",
                of.len(),
                it.highest_within_one,
                it.highest_exact,
                it.lowest_within_one,
                it.correlation,
                it.log_score
            );
        }
    }
    let humid: Vec<usize> = (0..sites.len()).filter(|it| !sites[*it].is_dry()).collect();
    let years: Vec<WaterYear> = sites.iter().map(year_of).collect();
    let of_sites: Vec<Swings> = humid.iter().map(|it| Swings::of(&sites[*it])).collect();
    println!(
        "\nswing, m, of {SHARES:?}: said {:.2?}, measured {:.2?}",
        said_swings(&of_sites),
        measured_swings(&of_sites)
    );
    println!(
        "share of its versions that swing less than each site: {:.2?} in {SHARES:?} of the sites",
        quantiles(of_sites.iter().map(Swings::rank).collect())
    );
    println!("\nodds of a month to hold the highest water, stated and measured");
    for (low, high) in BANDS {
        let (mut stated, mut came, mut count) = (0.0, 0.0, 0);
        for it in &humid {
            for month in 0..12 {
                let odds = years[*it].highest[month];
                if (low..high).contains(&odds) {
                    stated += odds;
                    came += f64::from(u8::from(sites[*it].highest() == month));
                    count += 1;
                }
            }
        }
        let of = f64::from(count.max(1));
        println!(
            "{low:.2} to {high:.2}: {count} months, {:.3}, {:.3}",
            stated / of,
            came / of
        );
    }
}

/// Bands of odds that are told apart.
const BANDS: [(f64, f64); 6] = [
    (0.0, 0.02),
    (0.02, 0.1),
    (0.1, 0.3),
    (0.3, 0.5),
    (0.5, 0.7),
    (0.7, 1.01),
];

/// One place with a measured year.
pub struct Site {
    pub name: String,
    pub state: String,
    pub latitude_deg: f64,
    pub longitude_deg: f64,
    /// Level about its mean, m.
    pub level_m: [f64; 12],
    pub year: PlaceYear,
}

impl Site {
    pub fn highest(&self) -> usize {
        highest(&self.level_m)
    }

    pub fn lowest(&self) -> usize {
        highest(&self.level_m.map(|it| -it))
    }

    pub fn swing_m(&self) -> f64 {
        self.level_m[self.highest()] - self.level_m[self.lowest()]
    }

    pub fn is_dry(&self) -> bool {
        DRY.1.contains(&self.state.as_str())
    }
}

/// Humid states, in groups that are left out together.
pub const FOLDS: [(&str, &[&str]); 6] = [
    ("New England", &["CT", "MA", "ME", "NH", "RI", "VT"]),
    ("New Jersey", &["NJ"]),
    ("Pennsylvania, Delaware", &["DE", "PA"]),
    ("Midwest", &["IA", "IL", "IN", "MN"]),
    ("Tennessee, South Carolina", &["SC", "TN"]),
    ("Georgia, South", &["AL", "GA", "MS"]),
];
/// States where the ground is fed by rivers and pumps move it.
pub const DRY: (&str, &[&str]) = ("dry states", &["AZ", "MT", "NM", "NV", "OK"]);
const ALL: &[&str] = &[];

/// The wells of `tests/published/shallow_wells.csv`, the bogs of one place as one.
pub fn sites() -> Vec<Site> {
    let text = include_str!("../tests/published/shallow_wells.csv");
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut res: Vec<Site> = Vec::new();
    let mut bogs: Vec<[f64; 12]> = Vec::new();
    for record in reader.records() {
        let record = record.expect("a row of the table");
        let number = |at: usize| record[at].parse::<f64>().expect("a number of the table");
        let level_m = std::array::from_fn(|month| number(5 + month) / 1_000.0);
        if record[4].is_empty() {
            bogs.push(level_m);
            if bogs.len() > 1 {
                continue;
            }
        }
        let place = find_place(&PlaceQuery::Position {
            latitude_deg: number(2),
            longitude_deg: number(3),
            elevation_m: None,
        })
        .expect("stations stand about every well");
        res.push(Site {
            name: if record[4].is_empty() {
                "bogs".to_string()
            } else {
                record[0].to_string()
            },
            state: record[1].to_string(),
            latitude_deg: number(2),
            longitude_deg: number(3),
            level_m,
            year: PlaceYear::new(&place, true),
        });
    }
    let all = res
        .iter_mut()
        .find(|it| it.name == "bogs")
        .expect("the table has bogs");
    all.level_m = std::array::from_fn(|month| {
        bogs.iter().map(|it| it[month]).sum::<f64>() / bogs.len() as f64
    });
    res
}

/// What someone says of a site without having measured it.
pub struct Answer {
    pub highest: usize,
    pub lowest: usize,
    pub course: [f64; 12],
    /// Odds of each month to hold the highest water.
    pub odds: [f64; 12],
}

/// What the program's draws say of a site.
pub fn year_of(site: &Site) -> WaterYear {
    water_year(&site.year, &priors())
}

/// The priors of a floor of which nothing is known.
fn priors() -> PriorSet {
    let visit = parse_visit(
        "visit_date = 2026-09-08\npostal = \"05401\"\nfloor.setting = \"basement\"\n",
        "wells",
    )
    .expect("a whole visit")
    .visit;
    PriorSet::for_visit(&visit)
}

fn program(site: &Site) -> Answer {
    answer_of(&year_of(site))
}

pub fn answer_of(year: &WaterYear) -> Answer {
    Answer {
        highest: year.highest_month(),
        lowest: year.lowest_month(),
        course: year.course,
        odds: year.highest,
    }
}

/// Sites of other states to learn from.
fn others(sites: &[Site], site: &Site) -> Vec<usize> {
    let fold = FOLDS.iter().find(|it| it.1.contains(&site.state.as_str()));
    (0..sites.len())
        .filter(|it| !sites[*it].is_dry())
        .filter(|it| !fold.is_some_and(|of| of.1.contains(&sites[*it].state.as_str())))
        .collect()
}

/// The months and the course that do best on the other states.
pub fn constants(sites: &[Site]) -> Vec<Answer> {
    sites
        .iter()
        .map(|site| {
            let known = others(sites, site);
            let best = |month_of: &dyn Fn(&Site) -> usize| {
                let within = |month: usize| {
                    let hit = |it: &&usize| apart(month_of(&sites[**it]), month) <= 1;
                    known.iter().filter(hit).count() as f64
                };
                highest(&std::array::from_fn(within))
            };
            let mut odds = [0.5 / 12.0; 12];
            let mut course = [0.0; 12];
            for it in &known {
                odds[sites[*it].highest()] += 1.0;
                let shape = standard(&sites[*it].level_m);
                for month in 0..12 {
                    course[month] += shape[month];
                }
            }
            let sum: f64 = odds.iter().sum();
            Answer {
                highest: best(&Site::highest),
                lowest: best(&Site::lowest),
                course,
                odds: odds.map(|it| it / sum),
            }
        })
        .collect()
}

/// Penalty on standard features, not tuned; it learns on about 115 sites.
const RIDGE: f64 = 3.0;

/// A linear map from the yearly swing of temperature and rain to the course, learned on the
/// other states.
pub fn ridge(sites: &[Site]) -> Vec<Answer> {
    ridge_with(sites, RIDGE)
}

pub fn ridge_with(sites: &[Site], penalty: f64) -> Vec<Answer> {
    let features: Vec<Vec<f64>> = sites.iter().map(features).collect();
    sites
        .iter()
        .enumerate()
        .map(|(at, site)| {
            let known = others(sites, site);
            let count = features[0].len();
            let mean: Vec<f64> = (0..count)
                .map(|k| known.iter().map(|it| features[*it][k]).sum::<f64>() / known.len() as f64)
                .collect();
            let sd: Vec<f64> = (0..count)
                .map(|k| {
                    let square: f64 = known
                        .iter()
                        .map(|it| (features[*it][k] - mean[k]).powi(2))
                        .sum();
                    (square / known.len() as f64).sqrt().max(1.0e-9)
                })
                .collect();
            let scaled = |it: usize| -> Vec<f64> {
                (0..count)
                    .map(|k| (features[it][k] - mean[k]) / sd[k])
                    .collect()
            };
            let rows: Vec<Vec<f64>> = known.iter().map(|it| scaled(*it)).collect();
            let mut normal = vec![vec![0.0; count]; count];
            for row in &rows {
                for i in 0..count {
                    for j in 0..count {
                        normal[i][j] += row[i] * row[j];
                    }
                }
            }
            for (k, row) in normal.iter_mut().enumerate() {
                row[k] += penalty;
            }
            let here = scaled(at);
            let course: [f64; 12] = std::array::from_fn(|month| {
                let wanted: Vec<f64> = known
                    .iter()
                    .map(|it| standard(&sites[*it].level_m)[month])
                    .collect();
                let middle = wanted.iter().sum::<f64>() / wanted.len() as f64;
                let right: Vec<f64> = (0..count)
                    .map(|k| {
                        rows.iter()
                            .zip(&wanted)
                            .map(|(row, it)| row[k] * (it - middle))
                            .sum()
                    })
                    .collect();
                let weights = solved(normal.clone(), right);
                middle
                    + weights
                        .iter()
                        .zip(&here)
                        .map(|(one, other)| one * other)
                        .sum::<f64>()
            });
            let top = highest(&course);
            // No odds of its own: it is taken to be nearly sure of its month.
            let mut odds = [0.05 / 12.0; 12];
            odds[top] += 0.95;
            Answer {
                highest: top,
                lowest: highest(&course.map(|it| -it)),
                course,
                odds,
            }
        })
        .collect()
}

/// Means and first two harmonics of temperature and rain.
fn features(site: &Site) -> Vec<f64> {
    let mut res = Vec::new();
    let rain = site.year.precipitation_mm;
    let yearly: f64 = rain.iter().sum();
    for values in [site.year.mean_c, rain.map(|it| 12.0 * it / yearly)] {
        for harmonic in [1.0, 2.0] {
            let angle =
                |month: usize| 2.0 * std::f64::consts::PI * harmonic * (month as f64 + 0.5) / 12.0;
            res.push((0..12).map(|it| values[it] * angle(it).cos()).sum::<f64>() / 6.0);
            res.push((0..12).map(|it| values[it] * angle(it).sin()).sum::<f64>() / 6.0);
        }
    }
    res.push(site.year.mean_c.iter().sum::<f64>() / 12.0);
    res.push(yearly);
    res
}

/// Sets of rows that are drawn.
const ROW_SETS: usize = 256;
/// Sets that answer together: the best on the other states.
const BEST_SETS: usize = 32;
/// Versions of the ground of each set, in runs of so many.
const VERSIONS: usize = 128;
const LANES: usize = 16;

/// Rows of the balance, each drawn evenly between two ends about the row that ships: the middles
/// of soil store (mm), release (1/month), its factor, the top of the bypass, melt factor
/// (mm/(K day)), multiple of evapotranspiration, top of the root draw; then the rules of snow and
/// frost: half rain (°C), spread of days (K), power of the daylight, the share that runs off, the
/// days that freeze outlets (°C), and what frost keeps.
const ROW_ENDS: [[f64; 2]; 13] = [
    [80.0, 160.0],
    [0.2, 0.5],
    [1.6, 2.4],
    [0.2, 0.7],
    [3.0, 8.0],
    [0.9, 1.25],
    [0.5, 1.0],
    [0.5, 3.0],
    [4.0, 6.5],
    [1.0, 4.0],
    [0.02, 0.15],
    [-12.0, -4.0],
    [0.0, 0.9],
];

/// One set of rows: the priors in the order of [`ROW_ENDS`] without the release's factor, and
/// the rules.
struct Rows {
    priors: [Prior; 6],
    rules: SeasonTable,
}

fn drawn_rows(set: usize) -> Rows {
    let scores: [f64; 13] = normal_scores(set as u32);
    let at = |row: usize| {
        let [low, high] = ROW_ENDS[row];
        low + (high - low) * normal_cdf(scores[row])
    };
    let text = format!(
        "quantity,answer,shape,middle,spread,low,high,unit,source\n\
         soil_store,any,lognormal,{},1.9,30,350,mm,drawn\n\
         release,any,lognormal,{},{},0.05,0.9,1/month,drawn\n\
         bypass,any,uniform,,,0,{},1,drawn\n\
         melt_factor,any,lognormal,{},1.6,1.5,10,mm/(K day),drawn\n\
         evapotranspiration_factor,any,normal,{},0.12,0.75,1.35,1,drawn\n\
         root_draw,any,uniform,,,0,{},1/month,drawn\n",
        at(0),
        at(1),
        at(2),
        at(3),
        at(4),
        at(5),
        at(6),
    );
    let priors = Priors::parse(&text).expect("rows of a table of priors");
    let names = [
        "soil_store",
        "release",
        "bypass",
        "melt_factor",
        "evapotranspiration_factor",
        "root_draw",
    ];
    Rows {
        priors: names.map(|it| priors.of(it, "any")),
        rules: SeasonTable {
            rain_from_c: at(7),
            daily_spread_k: at(8),
            melt_daylight_power: at(9),
            direct_runoff_share: at(10),
            frost_from_c: at(11),
            frost_keeps: at(12),
            ..SeasonTable::bundled().clone()
        },
    }
}

/// The usual year of a site for each version of a set of rows, by the balance that ships:
/// water in the store below, m.
fn levels_with(site: &Site, rows: &Rows) -> Vec<[f64; 12]> {
    const DAYS: [f64; 12] = [
        31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0,
    ];
    let table = &rows.rules;
    let weather: [MonthWeather; 12] = std::array::from_fn(|month| {
        let middle = (month as f64 + 0.5) * 365.0 / 12.0;
        let length = day_length(site.latitude_deg, middle);
        MonthWeather::by(table, DAYS[month], length, site.year.mean_c[month])
    });
    let mut res = Vec::with_capacity(VERSIONS);
    for first in (0..VERSIONS).step_by(LANES) {
        let soils: [SoilStore; LANES] = std::array::from_fn(|l| {
            let scores: [f64; 6] = normal_scores((first + l) as u32);
            let at = |row: usize| rows.priors[row].at(scores[row]);
            SoilStore {
                capacity_mm: at(0),
                release: at(1),
                bypass: at(2),
                melt_mm_k_day: at(3),
                evapotranspiration: at(4),
                root_draw: at(5),
            }
        });
        let mut balances = Balances::new(&soils);
        let mut levels = [[0.0; 12]; LANES];
        for _ in 0..table.balance_years as usize {
            for month in 0..12 {
                let rain_mm = [site.year.precipitation_mm[month]; LANES];
                let it = balances.month(table, &[weather[month]; LANES], &rain_mm);
                for l in 0..LANES {
                    levels[l][month] = it.ground_mm[l] / 1_000.0;
                }
            }
        }
        res.extend(levels);
    }
    res
}

/// What the program would say had its rows been chosen without each site's group of states, and
/// what it would say from all the drawn rows, with no choice at all.
fn refitted(sites: &[Site]) -> [(&'static str, Vec<Answer>); 2] {
    let sets: Vec<Vec<WaterYear>> = (0..ROW_SETS)
        .map(|set| {
            let rows = drawn_rows(set);
            let of = |site: &Site| WaterYear::of_levels(&levels_with(site, &rows));
            sites.iter().map(of).collect()
        })
        .collect();
    let merits: Vec<Vec<f64>> = sets
        .iter()
        .map(|years| {
            let merit = |site: &Site, year: &WaterYear| {
                let within = |one, other| f64::from(u8::from(apart(one, other) <= 1));
                correlation(&year.course, &site.level_m)
                    + within(year.highest_month(), site.highest())
                    + within(year.lowest_month(), site.lowest())
            };
            sites.iter().zip(years).map(|(a, b)| merit(a, b)).collect()
        })
        .collect();
    let together = |at: usize, best: &[usize]| {
        let one = 1.0 / best.len() as f64;
        let mut res = WaterYear {
            highest: [0.0; 12],
            lowest: [0.0; 12],
            course: [0.0; 12],
        };
        for set in best {
            let year = &sets[*set][at];
            for month in 0..12 {
                res.highest[month] += one * year.highest[month];
                res.lowest[month] += one * year.lowest[month];
                res.course[month] += one * year.course[month];
            }
        }
        answer_of(&res)
    };
    let mut chosen = Vec::with_capacity(sites.len());
    let mut all = Vec::with_capacity(sites.len());
    for (at, site) in sites.iter().enumerate() {
        let known = others(sites, site);
        let of = |set: usize| known.iter().map(|it| merits[set][*it]).sum::<f64>();
        let mut order: Vec<usize> = (0..ROW_SETS).collect();
        order.sort_by(|a, b| of(*b).total_cmp(&of(*a)));
        chosen.push(together(at, &order[..BEST_SETS]));
        all.push(together(at, &order));
    }
    [
        ("the program, rows chosen on the other states", chosen),
        ("the program, rows drawn and not chosen", all),
    ]
}

/// Gauss elimination with the largest pivot.
fn solved(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let count = right.len();
    for column in 0..count {
        let pivot = (column..count)
            .max_by(|a, b| {
                matrix[*a][column]
                    .abs()
                    .total_cmp(&matrix[*b][column].abs())
            })
            .expect("a row is left");
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        for row in column + 1..count {
            let factor = matrix[row][column] / matrix[column][column];
            for k in column..count {
                matrix[row][k] -= factor * matrix[column][k];
            }
            right[row] -= factor * right[column];
        }
    }
    for row in (0..count).rev() {
        let known: f64 = (row + 1..count).map(|k| matrix[row][k] * right[k]).sum();
        right[row] = (right[row] - known) / matrix[row][row];
    }
    right
}

/// How well answers do on some of the sites.
#[derive(Debug)]
pub struct Score {
    pub highest_within_one: f64,
    pub highest_exact: f64,
    pub lowest_within_one: f64,
    /// Mean over sites of the correlation of the twelve months.
    pub correlation: f64,
    /// Mean logarithm of the odds of the month that was highest.
    pub log_score: f64,
}

pub fn score(sites: &[Site], answers: &[Answer], of: &[usize]) -> Score {
    let mean = |value: &dyn Fn(usize) -> f64| {
        of.iter().map(|it| value(*it)).sum::<f64>() / of.len() as f64
    };
    let yes = |it: bool| f64::from(u8::from(it));
    Score {
        highest_within_one: mean(&|it| yes(apart(answers[it].highest, sites[it].highest()) <= 1)),
        highest_exact: mean(&|it| yes(answers[it].highest == sites[it].highest())),
        lowest_within_one: mean(&|it| yes(apart(answers[it].lowest, sites[it].lowest()) <= 1)),
        correlation: mean(&|it| correlation(&answers[it].course, &sites[it].level_m)),
        log_score: mean(&|it| {
            let odds = answers[it].odds[sites[it].highest()];
            (0.99 * odds + 0.01 / 12.0).ln()
        }),
    }
}

/// Shares at which swings are compared.
pub const SHARES: [f64; 5] = [0.1, 0.25, 0.5, 0.75, 0.9];

/// The swing of a site, and those of all versions of its ground, m.
pub struct Swings {
    pub measured_m: f64,
    pub said_m: Vec<f64>,
}

impl Swings {
    pub fn of(site: &Site) -> Self {
        let swing =
            |levels: &[f64; 12]| levels[highest(levels)] - levels[highest(&levels.map(|it| -it))];
        Self {
            measured_m: site.swing_m(),
            said_m: levels_of(&site.year, &priors()).iter().map(swing).collect(),
        }
    }

    /// Share of the versions that swing less than was measured; even from 0 to 1 over sites if
    /// the versions are right.
    pub fn rank(&self) -> f64 {
        let less = self.said_m.iter().filter(|it| **it < self.measured_m);
        less.count() as f64 / self.said_m.len() as f64
    }
}

/// Swings of all versions of all sites, at [`SHARES`] of them.
pub fn said_swings(of: &[Swings]) -> [f64; 5] {
    quantiles(of.iter().flat_map(|it| it.said_m.clone()).collect())
}

/// Swings measured, at [`SHARES`] of the sites.
pub fn measured_swings(of: &[Swings]) -> [f64; 5] {
    quantiles(of.iter().map(|it| it.measured_m).collect())
}

pub fn quantiles(mut values: Vec<f64>) -> [f64; 5] {
    values.sort_by(f64::total_cmp);
    SHARES.map(|it| values[(it * values.len() as f64) as usize])
}

/// Months between two of the year.
pub fn apart(one: usize, other: usize) -> usize {
    let ahead = (one + 12 - other) % 12;
    ahead.min(12 - ahead)
}

fn highest(values: &[f64; 12]) -> usize {
    (0..12)
        .rev()
        .max_by(|a, b| values[*a].total_cmp(&values[*b]))
        .expect("twelve months")
}

pub fn correlation(one: &[f64; 12], other: &[f64; 12]) -> f64 {
    let (one, other) = (standard(one), standard(other));
    one.iter().zip(&other).map(|(a, b)| a * b).sum::<f64>() / 12.0
}
