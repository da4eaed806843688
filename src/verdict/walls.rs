//! Wet along the walls or at one spot: what the parts of the floor read, and what the open floor
//! alone and the band alone would be.

use super::{Grade, UsedLimits, Verdict};
use crate::climate::Place;
use crate::odds::evidence::{EvidenceTable, Zone, is_near_wall, is_usable, one_stands_out};
use crate::odds::posterior::{Effort, posterior};
use crate::survey::{Reading, ReadingValue, Visit};

/// The two parts of a floor, each as if the whole floor read like it.
#[derive(Debug, Clone, PartialEq)]
pub struct AlongWalls {
    /// Mean of the newest meter readings away from the walls and along them, %.
    pub field_percent: f64,
    /// Mean of the newest meter readings along the walls, percent by mass.
    pub band_percent: f64,
    /// Chance of going over in the next year.
    pub field_chance: f64,
    /// Chance (0 to 1) that a floor which reads like the band goes over in the next year.
    pub band_chance: f64,
    /// Names of the spots in the band.
    pub spots: Vec<String>,
}

impl AlongWalls {
    /// Grades of the two parts.
    pub fn grades(&self) -> (Grade, Grade) {
        (
            Grade::of_chance(self.field_chance),
            Grade::of_chance(self.band_chance),
        )
    }
}

/// What a meter read along the walls and away from them on the newest day.
#[derive(Debug, Clone, PartialEq)]
pub struct WallsRead {
    /// Mean away from the walls, %.
    pub field_percent: f64,
    /// Mean along them, %.
    pub band_percent: f64,
    /// Names of the spots in the band.
    pub spots: Vec<String>,
}

/// Meter readings of the newest day in the band along the walls, or away from it.
fn newest(visit: &Visit, in_band: bool) -> Vec<&Reading> {
    let is_meter = |it: &&Reading| matches!(it.value, ReadingValue::Meter(_)) && is_usable(it);
    let meter = || visit.readings.iter().filter(is_meter);
    let day = meter().map(|it| it.date).max();
    meter()
        .filter(|it| Some(it.date) == day && is_near_wall(it) == in_band)
        .collect()
}

fn mean_percent(readings: &[&Reading]) -> Option<f64> {
    let sum: f64 = readings
        .iter()
        .map(|it| match it.value {
            ReadingValue::Meter(percent) => percent,
            ReadingValue::Probe(_) | ReadingValue::CalciumChloride(_) | ReadingValue::Sheet(_) => {
                0.0
            }
        })
        .sum();
    (!readings.is_empty()).then(|| sum / readings.len() as f64)
}

/// The readings of the two parts, where the walls stand out of a floor; `None` elsewhere.
pub fn walls_read(visit: &Visit, verdict: &Verdict) -> Option<WallsRead> {
    if verdict.zone != Some(Zone::Band) || verdict.refusal.is_some() {
        return None;
    }
    let band = newest(visit, true);
    Some(WallsRead {
        field_percent: mean_percent(&newest(visit, false))?,
        band_percent: mean_percent(&band)?,
        spots: band.iter().filter_map(|it| it.spot.clone()).collect(),
    })
}

/// A spot that a meter read too far above the others of the newest day to be averaged with them.
#[derive(Debug, Clone, PartialEq)]
pub struct SpotRead {
    /// Its name, where it has one.
    pub spot: Option<String>,
    /// What it read, % by weight.
    pub percent: f64,
    /// The lowest of the others, % by weight.
    pub rest_low: f64,
    /// The highest of the others, % by weight.
    pub rest_high: f64,
}

/// The spot that stands out of the open floor, or else of the walls; `None` where none does.
pub fn spot_read(visit: &Visit, verdict: &Verdict) -> Option<SpotRead> {
    if verdict.zone != Some(Zone::Spot) || verdict.refusal.is_some() {
        return None;
    }
    [false, true].into_iter().find_map(|in_band| {
        let mut read: Vec<(f64, &Reading)> = newest(visit, in_band)
            .into_iter()
            .filter_map(|it| match it.value {
                ReadingValue::Meter(percent) => Some((percent, it)),
                ReadingValue::Probe(_)
                | ReadingValue::CalciumChloride(_)
                | ReadingValue::Sheet(_) => None,
            })
            .collect();
        read.sort_by(|a, b| a.0.total_cmp(&b.0));
        let values: Vec<f64> = read.iter().map(|it| it.0).collect();
        if !one_stands_out(&values, EvidenceTable::bundled().meter_noise) {
            return None;
        }
        let (percent, top) = *read.last()?;
        Some(SpotRead {
            spot: top.spot.clone(),
            percent,
            rest_low: values[0],
            rest_high: values[values.len() - 2],
        })
    })
}

/// The two parts with the chance of each, where the walls stand out of a floor; `None`
/// elsewhere.
pub fn along_walls(
    place: &Place,
    visit: &Visit,
    verdict: &Verdict,
    limits: &UsedLimits,
    effort: Effort,
) -> Option<AlongWalls> {
    let read = walls_read(visit, verdict)?;
    let chance = |readings: &[&Reading]| {
        let mut other = visit.clone();
        other.readings = readings.iter().map(|it| (*it).clone()).collect();
        posterior(place, &other, limits.for_odds(), effort.next_year_only()).exceedance()
    };
    Some(AlongWalls {
        field_chance: chance(&newest(visit, false)),
        band_chance: chance(&newest(visit, true)),
        field_percent: read.field_percent,
        band_percent: read.band_percent,
        spots: read.spots,
    })
}
