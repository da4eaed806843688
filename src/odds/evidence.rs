//! How likely the readings and signs of a visit are, for each version of the floor.

use super::priors::Priors;
use super::simulate::{Dome, SimulatedFloor, Snapshot};
use crate::season::{STEPS_PER_MONTH, saturation_pa};
use crate::slab::young::YoungTable;
use crate::survey::age_days;
use crate::survey::{
    Lately, Leak, MeterScale, Reading, ReadingValue, Sump, Visit, WaterNow, weak_signs,
};
use crate::units::{MoistureFlux, table_rows, table_text};
use chrono::{Datelike, NaiveDate};
use serde::Deserialize;
use std::collections::HashMap;
use std::sync::LazyLock;

crate::named_table! {
    /// Rates of signs and noise of readings, from `tables/evidence.csv`.
    EvidenceTable from "evidence.csv" {
        meter_noise,
        reading_departure,
        meter_depth_m,
        probe_depth,
        probe_noise,
        dome_noise,
        dome_hours,
        dome_humidity,
        sheet_false,
        sheet_found,
        sheet_humidity,
        sheet_width,
        darkening_false,
        darkening_found,
        darkening_missed_again,
        darkening_humidity,
        darkening_humidity_width,
        darkening_field_humidity,
        darkening_field_width,
        darkening_swing,
        darkening_swing_width,
        standing_false,
        standing_found,
        standing_level_m,
        standing_width_m,
        sump_false,
        sump_found,
        sump_level_m,
        sump_width_m,
        lately_weight,
        lately_cut,
        room_temperature_sd_k,
        slab_temperature_sd_k,
        room_humidity_sd,
        damp_false,
        damp_found,
        damp_humidity,
        damp_width,
        sign_humidity,
        sign_width,
        sign_sharing,
        sign_steepness_level_m,
        sweat_humidity,
        sweat_width,
        sweat_false,
        sweat_found,
        reading_refused_p,
        leak_prior,
        leak_reading,
        leak_reading_sd,
        band_m,
        concrete_density,
        machine_settles_days,
        dry_store_mm,
        dome_slab_c,
        darkening_found_most,
        spot_stands_out_sd,
        band_stands_out_sd,
        leak_answered_none,
        leak_answered_some,
        k_hat_limit,
        even_course_readings,
    }
}

/// Rates of one weak sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SignRates {
    side: Side,
    wet: f64,
    dry: f64,
}

/// Where the water of a weak sign comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Side {
    Below,
    Water,
    Any,
}

static SIGNS: LazyLock<HashMap<String, SignRates>> = LazyLock::new(|| {
    parse_signs(const { table_text("signs.csv") }).expect("tests/tables.rs parses this file")
});

/// Reads the rates of the weak signs, by sign.
///
/// # Errors
///
/// The row with a chance that is not strictly between 0 and 1, or that stands twice.
pub fn parse_signs(text: &str) -> Result<HashMap<String, SignRates>, String> {
    #[derive(Deserialize)]
    struct Row {
        sign: String,
        side: Side,
        seen_if_wet: f64,
        seen_if_dry: f64,
    }
    let mut signs = HashMap::new();
    for it in table_rows::<Row>(text).map_err(|it| it.to_string())? {
        let (wet, dry) = (it.seen_if_wet, it.seen_if_dry);
        if [wet, dry].iter().any(|it| *it <= 0.0 || *it >= 1.0) {
            return Err(format!(
                "{}: {wet} and {dry} are not strictly between 0 and 1",
                it.sign
            ));
        }
        let rates = SignRates {
            side: it.side,
            wet,
            dry,
        };
        if signs.insert(it.sign.clone(), rates).is_some() {
            return Err(format!("{}: given twice", it.sign));
        }
    }
    Ok(signs)
}

/// Calendar months (0 to 11) in which a place's ground is wettest and driest.
#[derive(Debug, Clone, PartialEq)]
pub struct Seasons {
    /// Months that darkening is looked for in.
    pub wet: Vec<usize>,
    /// Months in which the floor would have lightened again.
    pub dry: Vec<usize>,
    /// Month of the highest store below, where there is one to speak of.
    pub peak: Option<usize>,
}

impl Seasons {
    /// From the store below by calendar month, mm. Where it is highest between December and
    /// May, or hardly fills at all, the wet season is spring: February to May against August
    /// to October. Elsewhere it is the peak with its neighbors against the other half year.
    pub fn from_store(ground_mm: &[f64; 12]) -> Self {
        let peak = (0..12)
            .max_by(|a, b| ground_mm[*a].total_cmp(&ground_mm[*b]))
            .expect("twelve months");
        let spring = Self {
            wet: vec![1, 2, 3, 4],
            dry: vec![7, 8, 9],
            peak: None,
        };
        if ground_mm[peak] < EvidenceTable::bundled().dry_store_mm {
            return spring;
        }
        if peak == 11 || peak <= 4 {
            return Self {
                peak: Some(peak),
                ..spring
            };
        }
        Self {
            wet: [11, 0, 1, 2].iter().map(|it| (peak + it) % 12).collect(),
            dry: [5, 6, 7].iter().map(|it| (peak + it) % 12).collect(),
            peak: Some(peak),
        }
    }
}

/// A rise from 0 to 1 about zero.
fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-x))
}

fn normal_log(difference: f64, sd: f64) -> f64 {
    let score = difference / sd;
    -0.5 * score * score - libm::log(sd) - 0.918_938_533_204_672_7
}

/// One answer that speaks about the floor, apart from those that select priors.
#[derive(Debug, Clone, PartialEq)]
pub struct Sign {
    /// The visit file's path of the question.
    pub question: &'static str,
    kind: SignKind,
    /// Weak signs of one cause share their weight.
    shared: bool,
}

#[derive(Debug, Clone, PartialEq)]
enum SignKind {
    Darkening {
        yes: bool,
        wet: Vec<usize>,
        dry: Vec<usize>,
        lightens: bool,
        springs: u32,
    },
    Standing {
        yes: bool,
    },
    Sump {
        answer: Sump,
    },
    Lately {
        answer: Lately,
    },
    Weak {
        yes: bool,
        rates: SignRates,
    },
    Sweats {
        yes: bool,
    },
    WaterNow {
        damp: bool,
        month: usize,
    },
    RoomTemperature {
        measured_c: f64,
        month: usize,
    },
    SlabTemperature {
        measured_c: f64,
        month: usize,
    },
    RoomHumidity {
        measured: f64,
        month: usize,
    },
}

/// All signs of a visit.
pub fn signs(visit: &Visit, seasons: &Seasons) -> Vec<Sign> {
    let mut out = Vec::new();
    let mut add = |question: &'static str, kind: SignKind| {
        out.push(Sign {
            question,
            kind,
            shared: false,
        })
    };
    let month = visit.visit_date.month0() as usize;
    if let Some(yes) = visit.signs.spring_darkening {
        let springs = visit.signs.springs_watched.unwrap_or(1);
        let named: Option<Vec<usize>> = visit
            .signs
            .darkening_months
            .as_ref()
            .filter(|it| yes && !it.is_empty())
            .map(|it| it.iter().map(|month| (*month as usize + 11) % 12).collect());
        // Whoever names a month of the wet season saw what others call spring: people name the
        // month in which they looked, and an early one is no sign of a drier floor.
        let wet = match named {
            Some(months) if !months.iter().any(|it| seasons.wet.contains(it)) => months,
            Some(_) | None => seasons.wet.clone(),
        };
        let mut dry: Vec<usize> = seasons
            .dry
            .iter()
            .copied()
            .filter(|it| !wet.contains(it))
            .collect();
        if dry.is_empty() {
            dry = wet
                .iter()
                .map(|it| (it + 6) % 12)
                .filter(|it| !wet.contains(it))
                .collect();
        }
        if springs > 0 || yes {
            let lightens = visit.signs.lightens_by_late_summer.unwrap_or(true);
            let kind = SignKind::Darkening {
                yes,
                wet,
                dry,
                lightens,
                springs: springs.max(1),
            };
            add("signs.spring_darkening", kind);
        }
    }
    if let Some(yes) = visit.lot.standing_water_5y {
        add("lot.standing_water_5y", SignKind::Standing { yes });
    }
    if let Some(answer) = visit.lot.sump
        && answer != Sump::NoSump
    {
        add("lot.sump", SignKind::Sump { answer });
    }
    if let Some(answer) = visit.lot.lately {
        add("lot.lately", SignKind::Lately { answer });
    }
    if let Some(yes) = visit.signs.sweats_in_summer {
        add("signs.sweats_in_summer", SignKind::Sweats { yes });
    }
    match visit.signs.water_now {
        Some(WaterNow::Dry) => add("signs.water_now", SignKind::WaterNow { damp: false, month }),
        Some(WaterNow::Damp) => add("signs.water_now", SignKind::WaterNow { damp: true, month }),
        Some(WaterNow::Standing) | None => {}
    }
    if let Some(it) = visit.air.temp {
        add(
            "air.temp_c",
            SignKind::RoomTemperature {
                measured_c: it.get(),
                month,
            },
        );
    }
    if let Some(it) = visit.air.slab_temp {
        add(
            "air.slab_temp_c",
            SignKind::SlabTemperature {
                measured_c: it.get(),
                month,
            },
        );
    }
    if let Some(it) = visit.air.relative_humidity {
        add(
            "air.relative_humidity",
            SignKind::RoomHumidity {
                measured: it.get(),
                month,
            },
        );
    }
    for sign in weak_signs() {
        if let Some(yes) = sign.seen(visit) {
            let rates = *SIGNS
                .get(sign.row())
                .expect("a test asks for every sign's row");
            out.push(Sign {
                question: sign.path(),
                kind: SignKind::Weak { yes, rates },
                shared: true,
            });
        }
    }
    out
}

/// Highest surface humidity of months in which water leaves the floor upward.
fn highest_from_below(outcome: &SimulatedFloor) -> f64 {
    outcome
        .reading_year
        .iter()
        .filter(|it| it.flux > 0.0)
        .map(|it| it.surface_humidity)
        .fold(0.0, f64::max)
}

fn highest(outcome: &SimulatedFloor) -> f64 {
    outcome
        .reading_year
        .iter()
        .map(|it| it.surface_humidity)
        .fold(0.0, f64::max)
}

impl Sign {
    /// Whether both are the same answer, and so have the same chances.
    pub fn says_the_same(&self, other: &Self) -> bool {
        self.kind == other.kind
    }

    /// Of a weak sign, the side that it speaks of, whether it was seen, and how strongly it then
    /// speaks: the log of the ratio of its rates.
    fn weakness(&self) -> Option<(Side, bool, f64)> {
        match &self.kind {
            SignKind::Weak { yes, rates } => {
                let ratio = if *yes {
                    rates.wet / rates.dry
                } else {
                    (1.0 - rates.dry) / (1.0 - rates.wet)
                };
                Some((rates.side, *yes, libm::log(ratio)))
            }
            _ => None,
        }
    }

    /// The same answer without what hardly matters for where to look; none for a weak sign.
    pub fn coarse(&self) -> Option<Self> {
        let mut coarse = self.clone();
        if let SignKind::Darkening { springs, .. } = &mut coarse.kind {
            *springs = 2;
        }
        (!self.shared).then_some(coarse)
    }

    /// Log of [`Sign::chance`], never below that of one in a million millions.
    pub fn log(&self, outcome: &SimulatedFloor) -> f64 {
        log_of_chance(self.chance(outcome))
    }

    /// Chance of the answer that was given.
    pub fn chance(&self, outcome: &SimulatedFloor) -> f64 {
        let table = EvidenceTable::bundled();
        let given = |chance: f64, yes: bool| if yes { chance } else { 1.0 - chance };
        match &self.kind {
            SignKind::Darkening {
                yes,
                wet,
                dry,
                lightens,
                springs,
            } => {
                let shown = darkens(outcome, wet, dry, *lightens);
                let missed = (1.0 - table.darkening_found)
                    * libm::pow(table.darkening_missed_again, f64::from(*springs - 1));
                let found = table.darkening_found_most - missed;
                given(
                    table.darkening_false + found * shown.dark * shown.swings,
                    *yes,
                )
            }
            SignKind::Standing { yes } => {
                let x =
                    (outcome.five_year_peak_m - table.standing_level_m) / table.standing_width_m;
                given(
                    table.standing_false + table.standing_found * logistic(x),
                    *yes,
                )
            }
            SignKind::Sump { answer } => sump_chance(outcome, *answer),
            SignKind::Lately { answer } => lately_chance(outcome, *answer),
            SignKind::Weak { yes, rates } => {
                let humidity = |it: f64| logistic((it - table.sign_humidity) / table.sign_width);
                let wet = match rates.side {
                    Side::Below => humidity(highest_from_below(outcome)),
                    Side::Any => humidity(highest(outcome)),
                    Side::Water => {
                        logistic(outcome.highest_capped_m / table.sign_steepness_level_m)
                    }
                };
                given(rates.dry + (rates.wet - rates.dry) * wet, *yes)
            }
            SignKind::Sweats { yes } => {
                let x = outcome
                    .reading_year
                    .iter()
                    .filter(|it| it.flux < 0.0 || it.shed > 0.0)
                    .map(|it| it.surface_humidity)
                    .fold(0.0, f64::max);
                let sweats = logistic((x - table.sweat_humidity) / table.sweat_width);
                given(table.sweat_false + table.sweat_found * sweats, *yes)
            }
            SignKind::WaterNow { damp, month } => {
                let x = (outcome.reading_year[*month].surface_humidity - table.damp_humidity)
                    / table.damp_width;
                given(table.damp_false + table.damp_found * logistic(x), *damp)
            }
            SignKind::RoomTemperature { measured_c, month } => libm::exp(normal_log(
                measured_c - outcome.room_c[*month],
                table.room_temperature_sd_k,
            )),
            SignKind::SlabTemperature { measured_c, month } => libm::exp(normal_log(
                measured_c - outcome.surface_c[*month],
                table.slab_temperature_sd_k,
            )),
            SignKind::RoomHumidity { measured, month } => {
                let expected =
                    outcome.reading_year[*month].room_pa / saturation_pa(outcome.room_c[*month]);
                libm::exp(normal_log(measured - expected, table.room_humidity_sd))
            }
        }
    }
}

/// What there is to see of a floor that darkens in a wet season: the chance that it gets dark, and
/// that between the seasons it lightens, or stays as it was, as people say.
struct Darkens {
    dark: f64,
    swings: f64,
}

fn darkens(outcome: &SimulatedFloor, wet: &[usize], dry: &[usize], lightens: bool) -> Darkens {
    let table = EvidenceTable::bundled();
    // People report the darkest patch, where it was worked out.
    let (year, humidity, width) = match &outcome.patch {
        Some(patch) => (
            &patch.reading_year,
            table.darkening_humidity,
            table.darkening_humidity_width,
        ),
        None => (
            &outcome.reading_year,
            table.darkening_field_humidity,
            table.darkening_field_width,
        ),
    };
    let at = |month: &usize| year[*month].surface_humidity;
    let high = wet.iter().map(at).fold(0.0, f64::max);
    let low = dry.iter().map(at).sum::<f64>() / dry.len().max(1) as f64;
    let swings = if dry.is_empty() {
        1.0
    } else {
        logistic((high - low - table.darkening_swing) / table.darkening_swing_width)
    };
    Darkens {
        dark: logistic((high - humidity) / width),
        swings: if lightens { swings } else { 1.0 - swings },
    }
}

/// Chance of what was found in the sump, by the highest and the mean level of the year.
fn sump_chance(outcome: &SimulatedFloor, answer: Sump) -> f64 {
    let table = EvidenceTable::bundled();
    let holds = |level_m: f64| {
        let x = (level_m - table.sump_level_m) / table.sump_width_m;
        table.sump_false + table.sump_found * logistic(x)
    };
    let ever = holds(outcome.highest_uncapped_m);
    let mostly = holds(outcome.mean_uncapped_m);
    match answer {
        Sump::Dry | Sump::NoSump => 1.0 - ever,
        Sump::AfterRain => ever * (1.0 - mostly),
        Sump::MostDays => ever * mostly,
    }
}

/// Chance of an ordered answer about a latent view that shares part of the last months' rain.
fn lately_chance(outcome: &SimulatedFloor, answer: Lately) -> f64 {
    let table = EvidenceTable::bundled();
    let spread = (1.0 - table.lately_weight * table.lately_weight).sqrt();
    let below = |cut: f64| {
        super::priors::normal_cdf((cut - table.lately_weight * outcome.lately_score) / spread)
    };
    match answer {
        Lately::Drier => below(-table.lately_cut),
        Lately::Usual => below(table.lately_cut) - below(-table.lately_cut),
        Lately::Wetter => 1.0 - below(table.lately_cut),
    }
}

/// Log of a chance, never below that of one in a million millions.
pub fn log_of_chance(chance: f64) -> f64 {
    libm::log(chance.max(1.0e-12))
}

/// Log likelihood of signs; of weak signs of one kind the strongest counts in full.
pub fn signs_log(signs: &[Sign], outcome: &SimulatedFloor) -> f64 {
    shared_log(signs, |at| signs[at].log(outcome))
}

/// The same from the log likelihood of each sign, by its place.
pub fn shared_log(signs: &[Sign], log: impl Fn(usize) -> f64) -> f64 {
    (0..signs.len())
        .map(|at| sign_share(signs, at) * log(at))
        .sum()
}

/// How much a sign counts, 0 to 1: in full, but for weak signs of one side that say the same as a
/// stronger one. So one more sign of damp never makes a floor look drier.
fn sign_share(signs: &[Sign], at: usize) -> f64 {
    let Some((side, yes, strength)) = signs[at].weakness() else {
        return 1.0;
    };
    let is_stronger = |(other, it): (usize, &Sign)| {
        it.weakness().is_some_and(|(its_side, its_yes, its)| {
            (its_side, its_yes) == (side, yes) && (its > strength || its == strength && other < at)
        })
    };
    if signs.iter().enumerate().any(is_stronger) {
        EvidenceTable::bundled().sign_sharing
    } else {
        1.0
    }
}

/// Where on the floor the observed number of a date comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Zone {
    /// The open floor.
    Field,
    /// The band along the walls.
    Band,
    /// One spot that stands out.
    Spot,
}

/// One number that is weighed: the worst zone of one date, kind and meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// Day of the readings.
    pub date: NaiveDate,
    /// Step in the last two years.
    pub step: usize,
    /// The number and its noise.
    pub value: ObservationValue,
    /// The part of the floor that it speaks for.
    pub zone: Zone,
    /// Readings behind the number.
    pub spots: usize,
    /// Which meter, for those that share its scale.
    pub meter: Option<String>,
    /// The meter was checked, so that its scale is known closer.
    pub checked: bool,
}

impl Observation {
    /// The same to the nearest half point of a meter or 2.5 points of a probe, in the middle of
    /// its month, for where to look: visits that differ in less look in the same places.
    /// A calcium chloride test keeps its step: it is simulated there alone.
    pub fn coarse(&self) -> Self {
        let nearest = |value: f64, width: f64| width * (value / width).round();
        let month = self.step / STEPS_PER_MONTH;
        let middle = month * STEPS_PER_MONTH + STEPS_PER_MONTH / 2;
        let (value, step) = match self.value {
            ObservationValue::Meter { percent, sd } => {
                let percent = nearest(percent, 0.5);
                (ObservationValue::Meter { percent, sd }, middle)
            }
            ObservationValue::Probe { humidity, sd } => {
                let humidity = nearest(humidity, 0.025);
                (ObservationValue::Probe { humidity, sd }, middle)
            }
            it @ ObservationValue::Sheet { .. } => (it, middle),
            it @ ObservationValue::Dome { .. } => (it, self.step),
        };
        Self {
            date: NaiveDate::default(),
            value,
            step,
            ..self.clone()
        }
    }
}

/// The number itself with its noise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ObservationValue {
    /// Percent by weight.
    Meter {
        /// Mean of the readings, percent by mass.
        percent: f64,
        /// Standard deviation of the mean, percent by mass, without the meter's scale.
        sd: f64,
    },
    /// Fraction.
    Probe {
        /// Mean relative humidity at 40 % depth (ASTM F2170), 0 to 1.
        humidity: f64,
        /// Standard deviation of the mean, 0 to 1.
        sd: f64,
    },
    /// Natural logarithm of kg/(m2 s).
    Dome {
        /// Logarithm of the vapor given off (ASTM F1869).
        ln_flux: f64,
        /// Standard deviation of the logarithm.
        sd: f64,
    },
    /// A plastic sheet taped to the floor (ASTM D4263).
    Sheet {
        /// Water or a dark spot was under it.
        damp: bool,
    },
}

/// Step of a date, counted over the 24 months that end with the month of `visit`; `None`
/// more than 24 months ago or after it.
pub fn step_of(date: NaiveDate, visit: NaiveDate) -> Option<usize> {
    let months = |it: NaiveDate| i64::from(it.year()) * 12 + i64::from(it.month0());
    let back = match months(visit) - months(date) {
        // The same month two years ago: the year before the reading's year repeats itself.
        24 => 12,
        back if (0..24).contains(&back) => back,
        _ => return None,
    };
    let day_share = (f64::from(date.day()) - 0.5) / 31.0;
    let part = ((day_share * STEPS_PER_MONTH as f64) as usize).min(STEPS_PER_MONTH - 1);
    Some((23 - back as usize) * STEPS_PER_MONTH + part)
}

/// The numbers that are weighed: usable readings, by date, kind and meter, worst zone each.
pub fn observations(visit: &Visit) -> Vec<Observation> {
    let mut keys: Vec<(NaiveDate, u8, Option<String>)> = Vec::new();
    let usable: Vec<&Reading> = visit.readings.iter().filter(|it| is_usable(it)).collect();
    let key_of = |it: &Reading| (it.date, it.kind() as u8, it.meter_id.clone());
    for reading in &usable {
        let key = key_of(reading);
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    keys.sort();
    keys.iter()
        .filter_map(|key| {
            let group: Vec<&Reading> = usable
                .iter()
                .copied()
                .filter(|it| key_of(it) == *key)
                .collect();
            grade_group(&group, step_of(key.0, visit.visit_date)?)
        })
        .collect()
}

/// Whether a reading can be weighed at all: not withdrawn, and on a scale that is known.
pub fn is_usable(reading: &Reading) -> bool {
    let on_scale = match reading.value {
        ReadingValue::Meter(_) => reading.scale == Some(MeterScale::Percent),
        _ => true,
    };
    on_scale && !reading.withdrawn
}

/// Whether a spot lies in the band along the walls.
pub fn is_near_wall(reading: &Reading) -> bool {
    reading
        .wall_distance_m()
        .is_some_and(|it| it < EvidenceTable::bundled().band_m)
}

/// Whether a slab is so young that a high reading is drying and never a leak: by its day, or
/// placed within the year of the visit on a day that is not known.
pub fn is_drying(visit: &Visit) -> bool {
    let dated = visit.floor.placed_date.is_some()
        || visit.floor.year_built == Some(visit.visit_date.year());
    let most_days = YoungTable::bundled().drying_only_days;
    dated && age_days(&visit.floor, visit.visit_date).is_some_and(|it| (it as f64) < most_days)
}

/// Chance (0 to 1) of a leak before any reading, by what was answered.
pub fn leak_prior(visit: &Visit) -> f64 {
    let table = EvidenceTable::bundled();
    // What a slab reads in its first months is its own water.
    if is_drying(visit) {
        return 0.0;
    }
    match visit.lot.leak {
        None => table.leak_prior,
        Some(Leak::NoLeak) => table.leak_answered_none * table.leak_prior,
        Some(Leak::Heater | Leak::Washer | Leak::Pipe | Leak::Sewer) => table.leak_answered_some,
    }
}

/// The calcium chloride test as it is simulated.
pub fn dome_test() -> Dome {
    let table = EvidenceTable::bundled();
    Dome::Asked {
        hours: table.dome_hours,
        humidity: table.dome_humidity,
        slab_c: table.dome_slab_c,
    }
}

/// Standard deviation of a day's mean of so many spots, % by weight, without the meter's scale:
/// the noise of the spots, and what the model of a slab misses that month, which they share.
pub fn meter_sd(spots: f64) -> f64 {
    let table = EvidenceTable::bundled();
    let (noise, departs) = (table.meter_noise, table.reading_departure);
    (noise * noise / spots + departs * departs).sqrt()
}

/// Whether the highest of some values lies too far above the others to be averaged with them;
/// `noise` is the standard deviation of one.
pub fn one_stands_out(values: &[f64], noise: f64) -> bool {
    let count = values.len();
    if count < 2 {
        return false;
    }
    let others = (count - 1) as f64;
    let top = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let rest = (values.iter().sum::<f64>() - top) / others;
    let least_sd = EvidenceTable::bundled().spot_stands_out_sd;
    top - rest > least_sd * noise * (1.0 + 1.0 / others).sqrt()
}

fn grade_group(group: &[&Reading], step: usize) -> Option<Observation> {
    let table = EvidenceTable::bundled();
    let first = group.first()?;
    let make = |value: ObservationValue, zone: Zone, spots: usize| Observation {
        date: first.date,
        step,
        value,
        zone,
        spots,
        meter: first.meter_id.clone(),
        checked: group.iter().all(|it| it.meter_checked == Some(true)),
    };
    if let ReadingValue::Sheet(_) = first.value {
        let damp = group
            .iter()
            .any(|it| matches!(it.value, ReadingValue::Sheet(true)));
        return Some(make(
            ObservationValue::Sheet { damp },
            Zone::Field,
            group.len(),
        ));
    }
    let (noise, number): (f64, fn(&Reading) -> f64) = match first.value {
        ReadingValue::Meter(_) => (table.meter_noise, |it| match it.value {
            ReadingValue::Meter(percent) => percent,
            _ => f64::NAN,
        }),
        ReadingValue::Probe(_) => (table.probe_noise, |it| match it.value {
            ReadingValue::Probe(humidity) => humidity.get(),
            _ => f64::NAN,
        }),
        _ => (table.dome_noise, |it| match it.value {
            ReadingValue::CalciumChloride(pounds) => {
                libm::log(pounds.max(0.05) * MoistureFlux::POUND_PER_1000_FT2_DAY)
            }
            _ => f64::NAN,
        }),
    };
    let zone_of = |band: bool| -> Vec<f64> {
        group
            .iter()
            .filter(|it| is_near_wall(it) == band)
            .map(|it| number(it))
            .collect()
    };
    // Mean of a zone, unless one spot stands out of it: then that spot.
    let summary = |values: &[f64], zone: Zone| -> Option<(f64, usize, Zone)> {
        let count = values.len();
        let mean = values.iter().sum::<f64>() / count.max(1) as f64;
        let top = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        match count {
            0 => None,
            1 => Some((mean, 1, zone)),
            _ if one_stands_out(values, noise) => Some((top, 1, Zone::Spot)),
            _ => Some((mean, count, zone)),
        }
    };
    let field = summary(&zone_of(false), Zone::Field);
    let band = summary(&zone_of(true), Zone::Band);
    let (mean, count, zone) = match (field, band) {
        (Some(field), Some(band)) => {
            let sd = noise * (1.0 / field.1 as f64 + 1.0 / band.1 as f64).sqrt();
            if band.0 - field.0 > table.band_stands_out_sd * sd {
                band
            } else {
                field
            }
        }
        (Some(only), None) => only,
        // Nothing in the open to compare with: the walls do not stand out of anything.
        (None, Some(only)) => (only.0, only.1, Zone::Field),
        (None, None) => return None,
    };
    let sd = match first.value {
        ReadingValue::Meter(_) => meter_sd(count as f64),
        _ => noise / (count as f64).sqrt(),
    };
    let value = match first.value {
        ReadingValue::Meter(_) => ObservationValue::Meter { percent: mean, sd },
        ReadingValue::Probe(_) => ObservationValue::Probe { humidity: mean, sd },
        _ => ObservationValue::Dome { ln_flux: mean, sd },
    };
    Some(make(value, zone, group.len()))
}

/// A normal distribution of a meter's scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Middle of the scale, as a factor on the true percent.
    pub mean: f64,
    /// Standard deviation of the factor.
    pub sd: f64,
}

impl Scale {
    /// Before any reading.
    pub fn prior(checked: bool) -> Self {
        // Asked for with every draw: the rows are looked up once.
        static ROWS: LazyLock<[Scale; 2]> = LazyLock::new(|| {
            ["unchecked", "checked"].map(|answer| {
                let row = Priors::bundled().of("meter_scale", answer);
                Scale {
                    mean: row.value(),
                    sd: row.sd(),
                }
            })
        });
        ROWS[usize::from(checked)]
    }
}

/// Log likelihood of all observations, with every meter's scale integrated out, and the
/// scale of the meter whose future readings are reported, given them.
///
/// The scale is normal and a reading is the scale times the water content plus normal noise,
/// so the integral is exact.
pub fn readings_log(
    observations: &[Observation],
    at_marks: &[Snapshot],
    reported: Option<&str>,
) -> (f64, Scale) {
    let mut log = 0.0;
    let mut meters: Vec<Option<&str>> = Vec::new();
    for (it, snapshot) in observations.iter().zip(at_marks) {
        match it.value {
            ObservationValue::Meter { .. } => {
                if !meters.contains(&it.meter.as_deref()) {
                    meters.push(it.meter.as_deref());
                }
            }
            ObservationValue::Probe { humidity, sd } => {
                log += normal_log(humidity - snapshot.probe_humidity, sd)
            }
            ObservationValue::Dome { ln_flux, sd } => {
                log += normal_log(ln_flux - libm::log(snapshot.dome_flux.max(1.0e-12)), sd);
            }
            ObservationValue::Sheet { damp } => {
                let chance = sheet_chance(snapshot);
                log += libm::log(if damp { chance } else { 1.0 - chance });
            }
        }
    }
    let mut reported_scale = None;
    for meter in meters {
        let rows = || {
            observations
                .iter()
                .zip(at_marks)
                .filter(move |(it, _)| it.meter.as_deref() == meter)
        };
        let checked = rows().all(|(it, _)| it.checked);
        let scale = Scale::prior(checked);
        let (mut square, mut cross, mut total, mut constant) = (0.0, 0.0, 0.0, 0.0);
        for (it, snapshot) in rows() {
            if let ObservationValue::Meter { percent, sd } = it.value {
                let dry = 100.0 * snapshot.meter_fraction;
                square += dry * dry / (sd * sd);
                cross += dry * percent / (sd * sd);
                total += percent * percent / (sd * sd);
                constant -= libm::log(sd) + 0.918_938_533_204_672_7;
            }
        }
        let prior_weight = 1.0 / (scale.sd * scale.sd);
        let weight = square + prior_weight;
        let pulled = cross + scale.mean * prior_weight;
        log += constant
            - 0.5 * (total + scale.mean * scale.mean * prior_weight - pulled * pulled / weight)
            - 0.5 * libm::log(1.0 + scale.sd * scale.sd * square);
        let posterior = Scale {
            mean: pulled / weight,
            sd: 1.0 / weight.sqrt(),
        };
        if meter == reported || reported_scale.is_none() {
            reported_scale = Some(posterior);
        }
    }
    (log, reported_scale.unwrap_or_else(|| Scale::prior(false)))
}

/// Chance that a taped sheet shows damp.
pub fn sheet_chance(snapshot: &Snapshot) -> f64 {
    let table = EvidenceTable::bundled();
    table.sheet_false
        + table.sheet_found
            * logistic((snapshot.layer_humidity - table.sheet_humidity) / table.sheet_width)
}

/// Chance of a reading at or under the one that was taken, for one version of the floor and what
/// is known of the meter's scale, by its prior where nothing is; `None` for a sheet, which has
/// no order.
pub fn chance_at_or_under(
    it: &Observation,
    snapshot: &Snapshot,
    scale: Option<Scale>,
) -> Option<f64> {
    let cdf = super::priors::normal_cdf;
    match it.value {
        ObservationValue::Meter { percent, sd } => {
            let scale = scale.unwrap_or_else(|| Scale::prior(it.checked));
            let dry = 100.0 * snapshot.meter_fraction;
            let spread = (scale.sd * scale.sd * dry * dry + sd * sd).sqrt();
            Some(cdf((percent - scale.mean * dry) / spread))
        }
        ObservationValue::Probe { humidity, sd } => {
            Some(cdf((humidity - snapshot.probe_humidity) / sd))
        }
        ObservationValue::Dome { ln_flux, sd } => Some(cdf((ln_flux
            - libm::log(snapshot.dome_flux.max(1.0e-12)))
            / sd)),
        ObservationValue::Sheet { .. } => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_has_its_row() {
        for sign in weak_signs() {
            assert!(SIGNS.contains_key(sign.row()), "{sign:?}");
        }
        assert_eq!(SIGNS.len(), weak_signs().len(), "a row that no sign uses");
    }

    /// Source: hand calculation. One reading 4.0 with noise 0.3 of a layer at 3 %: the scale
    /// times 3 plus noise is normal about 3.3 with variance 0.396^2 + 0.3^2.
    #[test]
    fn one_reading_with_the_scale_integrated_out() {
        let day = NaiveDate::from_ymd_opt(2026, 9, 8).unwrap();
        let reading = Observation {
            date: day,
            step: 0,
            value: ObservationValue::Meter {
                percent: 4.0,
                sd: 0.3,
            },
            zone: Zone::Field,
            spots: 1,
            meter: None,
            checked: false,
        };
        let snapshot = Snapshot {
            meter_fraction: 0.03,
            ..Snapshot::default()
        };
        let (log, scale) = readings_log(&[reading], &[snapshot], None);
        let sd = (0.396f64 * 0.396 + 0.09).sqrt();
        assert!((log - normal_log(0.7, sd)).abs() < 1e-12, "{log}");
        // Conjugate update by hand: weight 3^2/0.09 + 1/0.132^2 = 157.39, pull 133.33 + 63.13.
        assert!((scale.mean - 1.24821).abs() < 1e-4, "{scale:?}");
    }
}
