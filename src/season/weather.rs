//! Weather that varies from month to month and from year to year about a place's normals.

use super::{MonthWeather, SeasonTable};
use crate::units::exp2;
use std::sync::LazyLock;

/// How a month departed from its normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Departure {
    /// Multiple of the normal precipitation, 0 and more.
    pub rain: f64,
    /// How much warmer than normal it was, K; below zero colder.
    pub warmer_k: f64,
}

impl Departure {
    /// A month that is its normal to the last digit.
    pub const NONE: Self = Self {
        rain: 1.0,
        warmer_k: 0.0,
    };
}

/// Stands for the weather that one version of a floor lives through: a number that a counter of
/// years and months is mixed with, so that every month has its own departure and the same one
/// whenever it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WeatherStream(u64);

impl WeatherStream {
    /// Every month as its normal.
    pub const USUAL: Self = Self(0);

    /// The weather that belongs to a draw, by its scores to the last digit.
    pub fn of_draw(scores: &[f64]) -> Self {
        let mixed = scores
            .iter()
            .fold(0, |sum, it| mix(sum ^ it.to_bits()).wrapping_add(STEP));
        // Nothing but the usual weather is 0.
        Self(mixed | 1)
    }

    /// The departure of a calendar month (0 to 11) of a year of this stream, counted from any
    /// beginning.
    ///
    /// # Formula
    ///
    /// Scores `s` are sums of four even numbers, scaled to a variance of one: nearly normal and
    /// never beyond 3.5. Rain is `exp(g s)/m`, with `m` its mean, so that months of many years
    /// come to the normal; temperature is normal about the normal.
    ///
    /// # Source
    ///
    /// The rows `month_rain_sd`, `month_winter_sd_k` and `month_summer_sd_k` of
    /// `tables/season.csv`.
    #[inline(always)]
    pub fn month(self, spread: &Spread, year: usize, month: usize) -> Departure {
        if self == Self::USUAL {
            return Departure::NONE;
        }
        let first = mix(self.0 ^ ((12 * year + month) as u64 + 1).wrapping_mul(STEP));
        let second = mix(first.wrapping_add(STEP));
        Departure {
            rain: spread.rain(score(first)),
            warmer_k: spread.warmer_k[month] * score(second),
        }
    }

    /// A score of its own for a year of this stream, for what is common to all its months.
    pub fn year_score(self, year: usize) -> f64 {
        if self == Self::USUAL {
            return 0.0;
        }
        score(mix(!self.0 ^ (year as u64 + 1).wrapping_mul(STEP)))
    }
}

/// How far months depart from their normals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Logarithm to the base of two of the rain for a score of one, and of the mean.
    rain_log2: f64,
    mean_log2: f64,
    /// Standard deviation of a month's temperature, K, January first.
    warmer_k: [f64; 12],
}

impl Spread {
    /// From `tables/season.csv`.
    pub fn bundled() -> &'static Self {
        static SPREAD: LazyLock<Spread> = LazyLock::new(|| {
            let table = SeasonTable::bundled();
            let rain = libm::sqrt(libm::log1p(table.month_rain_sd * table.month_rain_sd));
            // The mean of exp(g s) for a sum of four even numbers.
            let half = rain * EVEN_HALF_WIDTH;
            let mean = libm::pow(libm::sinh(half) / half, 4.0);
            let (winter, summer) = (table.month_winter_sd_k, table.month_summer_sd_k);
            Spread {
                rain_log2: rain * std::f64::consts::LOG2_E,
                mean_log2: libm::log2(mean),
                warmer_k: std::array::from_fn(|month| {
                    let turn = 2.0 * std::f64::consts::PI * month as f64 / 12.0;
                    0.5 * (winter + summer) + 0.5 * (winter - summer) * libm::cos(turn)
                }),
            }
        });
        &SPREAD
    }

    #[inline(always)]
    fn rain(&self, score: f64) -> f64 {
        exp2(self.rain_log2 * score - self.mean_log2)
    }
}

/// Half the width of each of the four even numbers behind a score.
const EVEN_HALF_WIDTH: f64 = 0.866_025_403_784_438_6;

/// An odd number that steps through all numbers of 64 bits: two to the 64th over the golden
/// section.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;

/// Mixes the bits of a counter.
///
/// # Source
///
/// The finisher of steele-2014 (its numbers from memory): a change of one bit turns half of all.
#[inline(always)]
fn mix(counter: u64) -> u64 {
    let mut it = counter.wrapping_add(STEP);
    it = (it ^ (it >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    it = (it ^ (it >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    it ^ (it >> 31)
}

/// A nearly normal score from the four quarters of a number.
#[inline(always)]
fn score(bits: u64) -> f64 {
    let quarters = (bits & 0xffff) + (bits >> 16 & 0xffff) + (bits >> 32 & 0xffff) + (bits >> 48);
    // Each quarter's middle is 32,767.5.
    (quarters as f64 - 131_070.0) / 65_536.0 * (2.0 * EVEN_HALF_WIDTH)
}

/// What a calendar month brings a soil however warm it is.
#[derive(Debug, Clone, PartialEq)]
pub struct MonthRange([MonthWeather; STEPS]);

/// Whole kelvins on each side of the normal that are worked out.
const MOST_K: usize = 12;
const STEPS: usize = 2 * MOST_K + 1;

impl MonthRange {
    /// Of a month with so many days, of a length in units of 12 hours, about its normal mean
    /// temperature, °C.
    pub fn new(days: f64, day_length: f64, mean_c: f64) -> Self {
        Self(std::array::from_fn(|at| {
            MonthWeather::new(days, day_length, mean_c + at as f64 - MOST_K as f64)
        }))
    }

    /// As the normal says.
    pub fn usual(&self) -> &MonthWeather {
        &self.0[MOST_K]
    }

    /// So much warmer than normal, K: in a straight line between whole kelvins, and held at 12 K
    /// to either side, which no month has been off.
    #[inline(always)]
    pub fn at(&self, warmer_k: f64) -> MonthWeather {
        let place = (warmer_k + MOST_K as f64).clamp(0.0, (STEPS - 1) as f64);
        let below = (place as usize).min(STEPS - 2);
        let share = place - below as f64;
        let (low, high) = (&self.0[below], &self.0[below + 1]);
        let between = |low: f64, high: f64| low + share * (high - low);
        MonthWeather {
            rain_share: between(low.rain_share, high.rain_share),
            thaw_k_days: between(low.thaw_k_days, high.thaw_k_days),
            frost_kept: between(low.frost_kept, high.frost_kept),
            evapotranspiration_mm: between(low.evapotranspiration_mm, high.evapotranspiration_mm),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the rows of the table, by 40,000 months; a standard error of the mean is 0.0023,
    /// of the spread about 0.005, of the temperature's spread 0.007 K.
    #[test]
    fn months_vary_as_the_table_says() {
        let (mut sum, mut squares, mut warm, mut count) = (0.0, 0.0, 0.0, 0.0);
        for version in 0..400 {
            let stream = WeatherStream::of_draw(&[f64::from(version), 1.0]);
            for year in 0..100 {
                let it = stream.month(Spread::bundled(), year, 0);
                assert!(
                    (0.1..5.0).contains(&it.rain) && it.warmer_k.abs() < 7.0,
                    "{it:?}"
                );
                sum += it.rain;
                squares += it.rain * it.rain;
                warm += it.warmer_k * it.warmer_k;
                count += 1.0;
            }
        }
        let mean: f64 = sum / count;
        let sd = (squares / count - mean * mean).sqrt();
        let table = SeasonTable::bundled();
        assert!((mean - 1.0).abs() < 0.01, "{mean}");
        assert!((sd - table.month_rain_sd).abs() < 0.02, "{sd}");
        assert!(((warm / count).sqrt() - table.month_winter_sd_k).abs() < 0.03);
    }

    /// Source: a law. The usual weather is the normals to the last digit.
    #[test]
    fn usual_weather_is_the_normals() {
        let range = MonthRange::new(31.0, 0.8, -3.0);
        assert_eq!(range.at(0.0), MonthWeather::new(31.0, 0.8, -3.0));
        let it = WeatherStream::USUAL.month(Spread::bundled(), 3, 7);
        assert_eq!(it, Departure::NONE);
    }
}
