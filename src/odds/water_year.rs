//! The year of a place's water table before anything is known of a house, with its odds.

use super::forcing::{BalanceRun, PlaceYear};
use super::parameters::{FloorParameters, PriorSet};
use super::sobol::kept_scores;
use crate::season::WeatherStream;

/// What versions of the ground say of an ordinary year, months from January.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterYear {
    /// Chance that the water stands highest in the month; sums to 1.
    pub highest: [f64; 12],
    /// Chance that it stands lowest.
    pub lowest: [f64; 12],
    /// Shape of the year: the mean of the versions' levels, each about its own mean and in units
    /// of its own spread, so that a version with a wide swing has no more say than the others.
    pub course: [f64; 12],
}

impl WaterYear {
    /// From the levels of versions, each twelve months from January.
    pub fn of_levels(levels_m: &[[f64; 12]]) -> Self {
        let one = 1.0 / levels_m.len() as f64;
        let mut res = Self {
            highest: [0.0; 12],
            lowest: [0.0; 12],
            course: [0.0; 12],
        };
        for months in levels_m {
            let (high, low) = (first_highest(months), first_highest(&months.map(|it| -it)));
            res.highest[high] += one;
            res.lowest[low] += one;
            let shape = standard(months);
            for month in 0..12 {
                res.course[month] += one * shape[month];
            }
        }
        res
    }

    /// The likeliest month of the highest water, 0 to 11.
    pub fn highest_month(&self) -> usize {
        first_highest(&self.highest)
    }

    /// The likeliest month of the lowest water, 0 to 11.
    pub fn lowest_month(&self) -> usize {
        first_highest(&self.lowest)
    }
}

/// Versions of the ground behind the odds.
const VERSIONS: usize = 512;
/// Versions that run side by side.
const LANES: usize = 16;

/// The water table of a place through its usual year, from the ground's own store alone.
pub fn water_year(place: &PlaceYear, priors: &PriorSet) -> WaterYear {
    WaterYear::of_levels(&levels_of(place, priors))
}

/// The levels behind [`water_year`]: those of each version about its own mean, m, months from
/// January.
pub fn levels_of(place: &PlaceYear, priors: &PriorSet) -> Vec<[f64; 12]> {
    let mut res = Vec::with_capacity(VERSIONS);
    for first in (0..VERSIONS).step_by(LANES) {
        let versions: [FloorParameters; LANES] = std::array::from_fn(|l| {
            let mut it = priors.parameters(&kept_scores(first + l));
            it.year_rain = it.place_rain;
            it.weather = WeatherStream::USUAL;
            it
        });
        res.extend(usual_levels(place, &versions));
    }
    res
}

/// Chance (0 to 1) that a single calendar year has its highest water in each month, January
/// first: over versions of the ground, and over five years of weather of each. Sums to 1.
pub fn highest_of_years(place: &PlaceYear, priors: &PriorSet) -> [f64; 12] {
    let mut found = [0.0; 12];
    let mut years = 0.0;
    for first in (0..VERSIONS).step_by(LANES) {
        let versions: [FloorParameters; LANES] =
            std::array::from_fn(|l| priors.parameters(&kept_scores(first + l)));
        let run: BalanceRun<LANES> = place.balances(&std::array::from_fn(|l| &versions[l]), 0, 0);
        let months: Vec<_> = run.before.iter().chain(&run.months).collect();
        for year in months.chunks_exact(12) {
            for l in 0..LANES {
                let levels = std::array::from_fn(|month| year[month].ground_mm[l]);
                found[first_highest(&levels)] += 1.0;
                years += 1.0;
            }
        }
    }
    found.map(|it| it / years)
}

/// Levels of the usual year about its mean, m, for each version.
fn usual_levels<const L: usize>(
    place: &PlaceYear,
    versions: &[FloorParameters; L],
) -> [[f64; 12]; L] {
    let run: BalanceRun<L> = place.balances(&std::array::from_fn(|l| &versions[l]), 0, 0);
    std::array::from_fn(|l| {
        std::array::from_fn(|month| {
            let stored_mm = run.months[month].ground_mm[l] - run.usual_ground_mm[l];
            stored_mm / (1_000.0 * versions[l].specific_yield)
        })
    })
}

/// Twelve values about their mean, in units of their spread; all 0 where they do not differ.
pub fn standard(values: &[f64; 12]) -> [f64; 12] {
    let mean = values.iter().sum::<f64>() / 12.0;
    let variance = values.iter().map(|it| (it - mean).powi(2)).sum::<f64>() / 12.0;
    if variance > 0.0 {
        values.map(|it| (it - mean) / libm::sqrt(variance))
    } else {
        [0.0; 12]
    }
}

/// The first month (0 to 11) of the highest values.
pub fn first_highest(values: &[f64; 12]) -> usize {
    let mut res = 0;
    for month in 1..12 {
        if values[month] > values[res] {
            res = month;
        }
    }
    res
}
