//! The monthly water balance of the soil around a house.

use super::SeasonTable;
use crate::units::exp2;

/// Length of the day on a day of the year (1 to 365), in units of 12 hours.
///
/// # Source
///
/// Declination `0.4093 sin(2 pi d/365 - 1.405)` as in thornthwaite-1948 programs; beyond the
/// polar circles the day is held to 0 to 24 hours.
pub fn day_length(latitude_deg: f64, day: f64) -> f64 {
    let declination = 0.4093 * libm::sin(2.0 * std::f64::consts::PI * day / 365.0 - 1.405);
    let cosine = -libm::tan(latitude_deg.to_radians()) * libm::tan(declination);
    2.0 / std::f64::consts::PI * libm::acos(cosine.clamp(-1.0, 1.0))
}

/// Evapotranspiration that a wet soil would give, mm in a month.
///
/// # Formula
///
/// `13.97 d D^2 W`, `W = 4.95 exp(0.062 T)/100`, with `d` days and `D` the day length in
/// units of 12 hours.
///
/// # Source
///
/// hamon-1961 as used by mccabe-markstrom-2007.
pub fn hamon_evapotranspiration(days: f64, day_length: f64, mean_c: f64) -> f64 {
    13.97 * days * day_length * day_length * 4.95 * libm::exp(0.062 * mean_c) / 100.0
}

/// Share of a month's precipitation that falls as rain, 0 to 1.
///
/// # Formula
///
/// `N((T - t)/s)`, the share of days over `t` (`rain_from_c`) when days are normal about the
/// month's mean `T` with the spread `s` (`daily_spread_k`).
///
/// # Source
///
/// The rows of `tables/season.csv`.
pub fn rain_share(mean_c: f64) -> f64 {
    rain_share_by(SeasonTable::bundled(), mean_c)
}

fn rain_share_by(table: &SeasonTable, mean_c: f64) -> f64 {
    normal_below((mean_c - table.rain_from_c) / table.daily_spread_k)
}

/// Warmth that melts snow in a month, K day, counted in days of 12 hours of sun.
///
/// # Formula
///
/// `n D^p s (z N(z) + n(z))` with `n` days, `D` the day length in units of 12 hours,
/// `z = T/s`: the mean of the part above 0 °C when days are normal about the month's mean `T`
/// with the spread `s` (`daily_spread_k`), times a power `p` (`melt_daylight_power`) of the
/// daylight, since a low winter sun melts less at the same temperature.
///
/// # Source
///
/// The mean by integration; spread and power are rows of `tables/season.csv`.
pub fn thaw_k_days(days: f64, day_length: f64, mean_c: f64) -> f64 {
    thaw_k_days_by(SeasonTable::bundled(), days, day_length, mean_c)
}

fn thaw_k_days_by(table: &SeasonTable, days: f64, day_length: f64, mean_c: f64) -> f64 {
    let z = mean_c / table.daily_spread_k;
    let density = libm::exp(-0.5 * z * z) / libm::sqrt(2.0 * std::f64::consts::PI);
    let above_k = table.daily_spread_k * (z * normal_below(z) + density);
    days * libm::pow(day_length, table.melt_daylight_power) * at_least(0.0, above_k)
}

/// Share of what the store below would give in a month that frost keeps in it, 0 to 1: ditches,
/// seeps and outlets that are frozen hard let less out, so that water stands longer through a
/// hard winter.
///
/// # Formula
///
/// `k N((t - T)/s)` with `k` for `frost_keeps`, the share of days under `t` (`frost_from_c`)
/// when days are normal about the month's mean `T` with the spread `s` (`daily_spread_k`).
///
/// # Source
///
/// The rows of `tables/season.csv`, held against measured wells.
pub fn frost_kept(mean_c: f64) -> f64 {
    frost_kept_by(SeasonTable::bundled(), mean_c)
}

fn frost_kept_by(table: &SeasonTable, mean_c: f64) -> f64 {
    table.frost_keeps * normal_below((table.frost_from_c - mean_c) / table.daily_spread_k)
}

/// The chance of a standard normal under `z`.
fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// What a month's weather brings to a soil but its precipitation.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MonthWeather {
    /// Share of precipitation that falls as rain, 0 to 1.
    pub rain_share: f64,
    /// Warmth that melts snow, K day.
    pub thaw_k_days: f64,
    /// Share of what the store below would give that frost keeps in it, 0 to 1.
    pub frost_kept: f64,
    /// What the air would take from a wet soil, mm.
    pub evapotranspiration_mm: f64,
}

impl MonthWeather {
    /// Of a month with so many days, of a length in units of 12 hours, by its mean
    /// temperature, °C.
    pub fn new(days: f64, day_length: f64, mean_c: f64) -> Self {
        Self::by(SeasonTable::bundled(), days, day_length, mean_c)
    }

    /// The same by other rows than the bundled ones, to see what hangs on them.
    pub fn by(table: &SeasonTable, days: f64, day_length: f64, mean_c: f64) -> Self {
        Self {
            rain_share: rain_share_by(table, mean_c),
            thaw_k_days: thaw_k_days_by(table, days, day_length, mean_c),
            frost_kept: frost_kept_by(table, mean_c),
            evapotranspiration_mm: hamon_evapotranspiration(days, day_length, mean_c),
        }
    }
}

/// Numbers of the soil that differ from house to house.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoilStore {
    /// Water that the root zone holds, mm.
    pub capacity_mm: f64,
    /// Share of the store below that leaves in a month.
    pub release: f64,
    /// Snow that melts for each degree above freezing, mm/(K day).
    pub melt_mm_k_day: f64,
    /// Share of rain and melt that runs past the soil through cracks and root holes into the
    /// store below, 0 to 1.
    pub bypass: f64,
    /// Share of the store below that roots draw in a month when the soil is empty, 0 to 1.
    pub root_draw: f64,
    /// Multiple of the formula's evapotranspiration.
    pub evapotranspiration: f64,
}

/// What a month left behind.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BalanceMonth {
    /// Rain of the month, mm.
    pub rain_mm: f64,
    /// Snowfall of the month, mm of water.
    pub snowfall_mm: f64,
    /// Snow that melted, mm of water.
    pub melt_mm: f64,
    /// Rain that ran off at once, mm.
    pub direct_runoff_mm: f64,
    /// Water in the soil at the end of the month, mm.
    pub soil_mm: f64,
    /// Water that passed on to the store below, mm: what the soil could not hold or ran past it.
    pub surplus_mm: f64,
    /// Water that the air took from rain and soil, mm.
    pub actual_evapotranspiration_mm: f64,
    /// Store below, at the end of the month, mm.
    pub ground_end_mm: f64,
    /// Store below, mean of the start and the end of the month, mm.
    pub ground_mm: f64,
}

/// The balances of `L` soils side by side, running from month to month.
///
/// # Source
///
/// mccabe-markstrom-2007 for direct runoff and what fills the soil; thornthwaite-mather-1955
/// for what a dry month draws from it, `soil (1 - exp(-shortfall/capacity))`. Snow melts by
/// degree-days, at most the pack; a linear store takes the place of the source's runoff, and
/// roots draw on it by the soil's shortage, up to what the air could still take.
#[derive(Debug, Clone, PartialEq)]
pub struct Balances<const L: usize> {
    capacity_mm: [f64; L],
    release: [f64; L],
    melt_mm_k_day: [f64; L],
    bypass: [f64; L],
    root_draw: [f64; L],
    evapotranspiration: [f64; L],
    snow_mm: [f64; L],
    soil_mm: [f64; L],
    ground_mm: [f64; L],
}

impl<const L: usize> Balances<L> {
    /// Soils half full, without snow.
    pub fn new(soils: &[SoilStore; L]) -> Self {
        let capacity_mm = soils.map(|it| it.capacity_mm);
        Self {
            capacity_mm,
            release: soils.map(|it| it.release),
            melt_mm_k_day: soils.map(|it| it.melt_mm_k_day),
            bypass: soils.map(|it| it.bypass),
            root_draw: soils.map(|it| it.root_draw),
            evapotranspiration: soils.map(|it| it.evapotranspiration),
            snow_mm: [0.0; L],
            soil_mm: capacity_mm.map(|it| 0.5 * it),
            ground_mm: [0.0; L],
        }
    }

    /// Takes one month with the weather and the precipitation of each soil, mm.
    ///
    /// Without a branch, so that it runs over lanes.
    #[inline(always)]
    pub fn month(
        &mut self,
        table: &SeasonTable,
        weather: &[MonthWeather; L],
        precipitation_mm: &[f64; L],
    ) -> BalanceMonths<L> {
        let mut out = BalanceMonths::default();
        for l in 0..L {
            let weather = &weather[l];
            let evapotranspiration_mm = weather.evapotranspiration_mm * self.evapotranspiration[l];
            let snowfall = precipitation_mm[l] * (1.0 - weather.rain_share);
            let rain = precipitation_mm[l] - snowfall;
            let direct = table.direct_runoff_share * rain;
            let snow = self.snow_mm[l] + snowfall;
            let melt = at_most(snow, self.melt_mm_k_day[l] * weather.thaw_k_days);
            self.snow_mm[l] = snow - melt;
            let past = self.bypass[l] * (rain - direct + melt);
            let supply = rain - direct + melt - past;
            let (soil, capacity) = (self.soil_mm[l], self.capacity_mm[l]);
            // Where the rain is enough the soil fills up, otherwise it is drawn on.
            let filled = soil + supply - evapotranspiration_mm;
            let short_of = at_least(0.0, evapotranspiration_mm - supply) / capacity;
            let drawn = soil * (1.0 - exp2(-std::f64::consts::LOG2_E * at_most(MOST, short_of)));
            let enough = supply >= evapotranspiration_mm;
            let over = at_least(0.0, filled - capacity);
            let surplus = past + if enough { over } else { 0.0 };
            let held = if enough {
                at_most(capacity, filled)
            } else {
                soil - drawn
            };
            let actual = if enough {
                evapotranspiration_mm
            } else {
                supply + drawn
            };
            let shortage = 1.0 - held / capacity;
            let start = self.ground_mm[l];
            let full = start + surplus;
            // Roots draw on the store below by the soil's shortage, and never more than the
            // air could still take.
            let taken = at_most(
                at_least(0.0, evapotranspiration_mm - actual),
                self.root_draw[l] * shortage * full,
            );
            let released = self.release[l] * (1.0 - weather.frost_kept);
            let ground = at_least(0.0, full * (1.0 - released) - taken);
            self.soil_mm[l] = held;
            self.ground_mm[l] = ground;
            out.rain_mm[l] = rain;
            out.snowfall_mm[l] = snowfall;
            out.melt_mm[l] = melt;
            out.direct_runoff_mm[l] = direct;
            out.soil_mm[l] = held;
            out.surplus_mm[l] = surplus;
            out.actual_evapotranspiration_mm[l] = actual;
            out.ground_end_mm[l] = ground;
            out.ground_mm[l] = 0.5 * (start + ground);
        }
        out
    }

    /// Water on and in the ground now, mm: snow, soil and the store below.
    pub fn held_mm(&self) -> [f64; L] {
        std::array::from_fn(|l| self.snow_mm[l] + self.soil_mm[l] + self.ground_mm[l])
    }
}

/// A shortfall of so many soils leaves nothing of the soil to speak of.
const MOST: f64 = 40.0;

#[inline(always)]
fn at_most(most: f64, value: f64) -> f64 {
    if value > most { most } else { value }
}

#[inline(always)]
fn at_least(least: f64, value: f64) -> f64 {
    if value < least { least } else { value }
}

/// What a month left behind in each of `L` soils; see [`BalanceMonth`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceMonths<const L: usize> {
    /// Rain of the month, mm.
    pub rain_mm: [f64; L],
    /// Snowfall of the month, mm of water.
    pub snowfall_mm: [f64; L],
    /// Snow that melted, mm of water.
    pub melt_mm: [f64; L],
    /// Rain that ran off at once, mm.
    pub direct_runoff_mm: [f64; L],
    /// Water in the soil at the end of the month, mm.
    pub soil_mm: [f64; L],
    /// Water that passed on to the store below, mm.
    pub surplus_mm: [f64; L],
    /// Water that the air took from rain and soil, mm.
    pub actual_evapotranspiration_mm: [f64; L],
    /// Store below, at the end of the month, mm.
    pub ground_end_mm: [f64; L],
    /// Store below, mean of the start and the end of the month, mm.
    pub ground_mm: [f64; L],
}

impl<const L: usize> Default for BalanceMonths<L> {
    fn default() -> Self {
        let zero = [0.0; L];
        Self {
            rain_mm: zero,
            snowfall_mm: zero,
            melt_mm: zero,
            direct_runoff_mm: zero,
            soil_mm: zero,
            surplus_mm: zero,
            actual_evapotranspiration_mm: zero,
            ground_end_mm: zero,
            ground_mm: zero,
        }
    }
}

impl<const L: usize> BalanceMonths<L> {
    /// The month of one soil.
    pub fn of(&self, l: usize) -> BalanceMonth {
        BalanceMonth {
            rain_mm: self.rain_mm[l],
            snowfall_mm: self.snowfall_mm[l],
            melt_mm: self.melt_mm[l],
            direct_runoff_mm: self.direct_runoff_mm[l],
            soil_mm: self.soil_mm[l],
            surplus_mm: self.surplus_mm[l],
            actual_evapotranspiration_mm: self.actual_evapotranspiration_mm[l],
            ground_end_mm: self.ground_end_mm[l],
            ground_mm: self.ground_mm[l],
        }
    }
}

/// The balance of one soil.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance(Balances<1>);

impl Balance {
    /// A soil half full, without snow.
    pub fn new(soil: SoilStore) -> Self {
        Self(Balances::new(&[soil]))
    }

    /// Takes one month with its precipitation, mm.
    pub fn month(&mut self, weather: &MonthWeather, precipitation_mm: f64) -> BalanceMonth {
        self.0
            .month(SeasonTable::bundled(), &[*weather], &[precipitation_mm])
            .of(0)
    }

    /// Water on and in the ground now, mm: snow, soil and the store below.
    pub fn held_mm(&self) -> f64 {
        self.0.held_mm()[0]
    }
}
