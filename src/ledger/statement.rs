//! What is stated of a floor on a day, with exactly the events that later readings score.

use super::LedgerTable;
use super::again::{Again, again};
use super::headline::{HeadlineStated, word_of};
use super::months::{month_after, month_name};
use crate::climate::{Place, postal_areas};
use crate::odds::evidence::{ObservationValue, Scale, meter_sd};
use crate::odds::first_round::FirstRound;
use crate::odds::posterior::{FULL, Posterior};
use crate::odds::priors::normal_cdf;
use crate::report::{self, Asked, Report};
use crate::survey::{Parsed, PlaceName, Visit, digest};
use crate::units::{table_rows, table_text};
use crate::verdict::finish::DataSheet;
use crate::verdict::ways::Way;
use crate::verdict::{Detail, Request, answer};
use crate::words::say_with;
use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::sync::LazyLock;

/// Number of the form in which statements are sealed; fields are only ever added.
const FORM: u32 = 1;

/// The shares at which a band of readings is told. A statement carries its own, so that this
/// may change later.
pub const LEVELS: [f64; 11] = [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95];

/// One month ahead, as it will be scored.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MonthStated {
    /// "2026-10".
    pub month: String,
    /// Chance (0 to 1) that a reading of this month is over the meter limit; none without one.
    pub over: Option<f64>,
    /// The same by the answers alone.
    pub over_by_answers: Option<f64>,
    /// What is read with the chances of the levels, % by weight.
    pub band: Vec<f64>,
    /// The band by the answers alone, percent by mass.
    pub band_by_answers: Vec<f64>,
}

/// What is stated of a floor on a day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Statement {
    /// Version of the statement's form; fields are only added.
    pub form: u32,
    /// Version of the model.
    pub model: String,
    /// Digest of the tables.
    pub tables: String,
    /// Digest of the visit.
    pub visit: String,
    /// Day of the visit.
    pub visit_date: NaiveDate,
    /// Day of the statement.
    pub stated_on: NaiveDate,
    /// Region of `tables/regions.csv`.
    pub region: String,
    /// `reading` or `answers`.
    pub basis: String,
    /// Held or refused: nothing is stated of it that could be scored.
    pub held: bool,
    /// Grade as told, `low` to `very_high`; none when held.
    pub grade: Option<String>,
    /// Chance that the wettest month of the next year is over a limit.
    pub exceedance_probability: Option<f64>,
    /// The same by the answers alone, 0 to 1.
    pub before_probability: Option<f64>,
    /// Limit of the events, % by weight.
    pub limit_percent: Option<f64>,
    /// What is scored, in words.
    pub event: String,
    /// The meter whose readings are stated, where it has a name.
    pub meter: Option<String>,
    /// Newest meter reading that was weighed, percent by mass.
    pub last_reading: Option<f64>,
    /// Its day.
    pub last_reading_on: Option<NaiveDate>,
    /// Levels (0 to 1) at which the bands of the months are told, rising.
    pub levels: Vec<f64>,
    /// Twelve months from the one after the visit.
    pub months: Vec<MonthStated>,
    /// The headline that was printed; none in statements of the bare floor alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub headline: Option<HeadlineStated>,
    /// The floor was over its limit that day and its reading is held, so that no headline has a
    /// grade. Left out where it is not so.
    #[serde(default, skip_serializing_if = "is_false")]
    pub over_today: bool,
}

fn is_false(it: &bool) -> bool {
    !*it
}

impl Statement {
    /// The bytes that are sealed.
    pub fn canonical(&self) -> String {
        serde_json::to_string(self).expect("a statement holds only plain values")
    }

    /// The month of a later reading, where it is one of those that were stated.
    pub fn month_of(&self, day: NaiveDate) -> Option<&MonthStated> {
        let name = month_name(day);
        self.months.iter().find(|it| it.month == name)
    }
}

/// Stands before the first seal.
pub const FIRST_SEAL: &str = "slabseason ledger";

/// A seal over some content and the seal before it: 64 hexadecimal digits of SHA-256.
pub fn seal(previous: &str, content: &str) -> String {
    let mut hash = Sha256::new();
    hash.update(previous.as_bytes());
    hash.update(b"\n");
    hash.update(content.as_bytes());
    hash.finalize()
        .iter()
        .map(|it| format!("{it:02x}"))
        .collect()
}

/// A statement with the result that was printed and the month to read again in.
#[derive(Debug, Clone)]
pub struct Stated {
    /// The statement, to be sealed.
    pub statement: Statement,
    /// The result that was printed.
    pub report: Report,
    /// When to read again; none where no estimate is given.
    pub again: Option<Again>,
}

/// A row of `tables/regions.csv`.
#[derive(Debug, Deserialize)]
pub struct RegionRow {
    /// Postal code of a state or province.
    pub admin: String,
    /// Region, as it is counted by.
    pub region: String,
}

static REGIONS: LazyLock<HashMap<String, String>> = LazyLock::new(|| {
    table_rows::<RegionRow>(table_text("regions.csv"))
        .expect("tests/tables.rs parses this file")
        .into_iter()
        .map(|it| (it.admin, it.region))
        .collect()
});

/// The region of a place, by the state of the station that counts most.
pub fn region_of(place: &Place) -> &'static str {
    let state = place.station_name.rsplit(", ").next().unwrap_or_default();
    REGIONS.get(state).map_or("elsewhere", String::as_str)
}

/// The three-digit postal area of a place: as it is named, or the nearest one.
pub fn area_of(name: &PlaceName, place: &Place) -> String {
    if let PlaceName::Postal(code) = name {
        let compact: String = code.chars().filter(|it| it.is_alphanumeric()).collect();
        return compact.chars().take(3).collect::<String>().to_uppercase();
    }
    let shrink = libm::cos(place.latitude_deg.to_radians());
    let off = |latitude: f64, longitude: f64| {
        let east = shrink * (longitude - place.longitude_deg);
        let north = latitude - place.latitude_deg;
        east * east + north * north
    };
    postal_areas()
        .iter()
        .min_by(|a, b| {
            off(a.latitude_deg, a.longitude_deg).total_cmp(&off(b.latitude_deg, b.longitude_deg))
        })
        .map(|it| it.prefix.clone())
        .unwrap_or_default()
}

/// A place with its coordinates to a hundredth of a degree.
pub fn rounded_place(name: &PlaceName) -> PlaceName {
    let step = LedgerTable::bundled().position_step;
    let per_degree = (1.0 / step).round();
    let rounded = |it: f64| (it * per_degree).round() / per_degree;
    match name {
        PlaceName::Position {
            latitude,
            longitude,
            elevation,
        } => PlaceName::Position {
            latitude: rounded(*latitude),
            longitude: rounded(*longitude),
            elevation: *elevation,
        },
        other => other.clone(),
    }
}

/// What the result of a visit rests on beside the visit.
#[derive(Debug, Clone, Copy)]
pub struct Rests<'a> {
    /// The place of the visit.
    pub place: &'a Place,
    /// Data sheet of the system quoted, where one was given.
    pub sheet: Option<&'a DataSheet>,
    /// What is quoted, where no data sheet says it.
    pub quoted: Way,
    /// Day of the statement.
    pub on: NaiveDate,
    /// How much is worked out beside the chances.
    pub detail: Detail,
    /// A first round that visits share, where not all ways are compared.
    pub first: Option<&'a FirstRound>,
}

/// States a visit on a day.
pub fn stated(parsed: &Parsed, rests: Rests) -> Stated {
    let visit = &parsed.visit;
    let (effort, first) = match rests.detail {
        Detail::Chances | Detail::Headline => (FULL.next_year_only(), rests.first),
        Detail::Ways | Detail::Everything => (FULL, None),
    };
    let request = Request {
        detail: rests.detail,
        effort,
        quoted: rests.quoted,
        sheet: rests.sheet,
        first,
    };
    let (verdict, posterior) = answer(rests.place, visit, request);
    let asked = Asked {
        visit,
        place: rests.place,
        notes: &parsed.notes,
    };
    let report = report::build(&asked, &verdict);
    let again = again(visit, &report, &posterior);
    let held = report.held || report.refused;
    let newest = posterior
        .observations
        .iter()
        .rev()
        .find(|it| matches!(it.value, ObservationValue::Meter { .. }));
    let last_reading = newest.and_then(|it| match it.value {
        ObservationValue::Meter { percent, .. } => Some(thousandths(percent)),
        _ => None,
    });
    let limit_percent = verdict.limits.meter_percent;
    let months = if held {
        Vec::new()
    } else {
        months_stated(visit, &posterior, limit_percent)
    };
    let limit_words = limit_percent.map_or_else(|| "-".to_string(), |it| format!("{it}"));
    let statement = Statement {
        form: FORM,
        model: report.model.clone(),
        tables: report.tables.clone(),
        visit: digest(visit),
        visit_date: visit.visit_date,
        stated_on: rests.on,
        region: region_of(rests.place).to_string(),
        basis: word_of(&report.basis),
        held,
        grade: report.grade.as_ref().map(word_of),
        exceedance_probability: report.exceedance_probability,
        before_probability: report
            .before_reading
            .as_ref()
            .map(|it| it.exceedance_probability),
        limit_percent,
        event: say_with("ledger.event", &[("limit", &limit_words)]),
        meter: newest.and_then(|it| it.meter.clone()),
        last_reading,
        last_reading_on: newest.map(|it| it.date),
        levels: LEVELS.to_vec(),
        months,
        headline: HeadlineStated::of_report(&report).filter(|_| rests.detail != Detail::Chances),
        over_today: report.held && report.is_over_today(),
    };
    Stated {
        statement,
        report,
        again,
    }
}

/// Noise of a stated reading, % by weight: the mean of the spots that are asked for.
pub fn noise_percent() -> f64 {
    meter_sd(LedgerTable::bundled().spots)
}

fn months_stated(visit: &Visit, posterior: &Posterior, limit: Option<f64>) -> Vec<MonthStated> {
    let after = |draw: usize| posterior.scales[draw];
    let before = |_: usize| posterior.scale_before;
    (1..=12)
        .map(|ahead| {
            let first = month_after(visit.visit_date, ahead);
            let month = first.month0() as usize;
            let column: Vec<f64> = posterior
                .outcomes
                .iter()
                .map(|it| 100.0 * it.next_year[month].meter_fraction)
                .collect();
            let told = |weights: &[f64], scale: &dyn Fn(usize) -> Scale| {
                let readings = Readings {
                    column: &column,
                    weights,
                    scale,
                };
                let over = limit.map(|it| thousandths(readings.over(it)));
                (over, readings.band())
            };
            let (over, band) = told(&posterior.after.weights, &after);
            let (over_by_answers, band_by_answers) = told(&posterior.before.weights, &before);
            MonthStated {
                month: month_name(first),
                over,
                over_by_answers,
                band,
                band_by_answers,
            }
        })
        .collect()
}

/// What a meter may read in a month: for each version of the floor a normal.
struct Readings<'a> {
    /// Water by weight, %.
    column: &'a [f64],
    weights: &'a [f64],
    scale: &'a dyn Fn(usize) -> Scale,
}

impl Readings<'_> {
    /// Mean, spread and weight of the versions that count.
    fn normals(&self) -> impl Iterator<Item = (f64, f64, f64)> + '_ {
        let noise = noise_percent();
        let least = 1.0e-6 / self.weights.len() as f64;
        self.weights
            .iter()
            .enumerate()
            .filter(move |(_, weight)| **weight > least)
            .map(move |(draw, weight)| {
                let (scale, dry) = ((self.scale)(draw), self.column[draw]);
                let spread = dry * scale.sd;
                let sd = (spread * spread + noise * noise).sqrt();
                (dry * scale.mean, sd, *weight)
            })
    }

    fn over(&self, limit: f64) -> f64 {
        let (mut over, mut all) = (0.0, 0.0);
        for (mean, sd, weight) in self.normals() {
            over += weight * (1.0 - normal_cdf((limit - mean) / sd));
            all += weight;
        }
        over / all
    }

    /// Quantiles at the levels. Each normal enters by the middles of fifths of its weight,
    /// widened by 1.142 so that they keep its variance.
    fn band(&self) -> Vec<f64> {
        const POINTS: [f64; 5] = [-1.463_5, -0.598_9, 0.0, 0.598_9, 1.463_5];
        let mut values: Vec<(f64, f64)> = Vec::with_capacity(self.weights.len() * POINTS.len());
        for (mean, sd, weight) in self.normals() {
            values.extend(POINTS.iter().map(|it| (mean + sd * it, weight)));
        }
        values.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let total: f64 = values.iter().map(|it| it.1).sum();
        let mut sum = 0.0;
        let mut at = 0;
        LEVELS
            .iter()
            .map(|level| {
                while at + 1 < values.len() && sum + values[at].1 < level * total {
                    sum += values[at].1;
                    at += 1;
                }
                // No meter reads under nothing.
                thousandths(values[at].0.max(0.0))
            })
            .collect()
    }
}

/// Three decimals: enough to tell, and the same text on every machine.
fn thousandths(value: f64) -> f64 {
    (value * 1_000.0).round() / 1_000.0
}
