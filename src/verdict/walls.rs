//! Wet along the walls: what the open floor alone and the band alone would be.

use super::{Grade, UsedLimits, Verdict};
use crate::climate::Place;
use crate::odds::evidence::{Zone, is_near_wall, is_usable};
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

/// The two parts, where the walls stand out of a floor; `None` elsewhere.
pub fn along_walls(
    place: &Place,
    visit: &Visit,
    verdict: &Verdict,
    limits: &UsedLimits,
    effort: Effort,
) -> Option<AlongWalls> {
    if verdict.zone != Some(Zone::Band) || verdict.refusal.is_some() {
        return None;
    }
    let is_meter = |it: &&Reading| matches!(it.value, ReadingValue::Meter(_)) && is_usable(it);
    let newest = visit
        .readings
        .iter()
        .filter(is_meter)
        .map(|it| it.date)
        .max()?;
    let part = |band: bool| {
        let readings: Vec<&Reading> = visit
            .readings
            .iter()
            .filter(is_meter)
            .filter(|it| it.date == newest && is_near_wall(it) == band)
            .collect();
        let sum: f64 = readings
            .iter()
            .map(|it| match it.value {
                ReadingValue::Meter(percent) => percent,
                _ => 0.0,
            })
            .sum();
        (!readings.is_empty()).then(|| (sum / readings.len() as f64, readings))
    };
    let (field_percent, field) = part(false)?;
    let (band_percent, band) = part(true)?;
    let chance = |readings: &[&Reading]| {
        let mut other = visit.clone();
        other.readings = readings.iter().map(|it| (*it).clone()).collect();
        posterior(place, &other, limits.for_odds(), effort.next_year_only()).exceedance()
    };
    Some(AlongWalls {
        field_percent,
        band_percent,
        field_chance: chance(&field),
        band_chance: chance(&band),
        spots: band.iter().filter_map(|it| it.spot.clone()).collect(),
    })
}
