//! The air of the basement: its temperature and how it is renewed.

use super::{Harmonic, SeasonTable};

/// Specific gas constant of water vapor, J/(kg K). Source: iso-13788, from memory.
const WATER_VAPOR_GAS_CONSTANT: f64 = 461.5;

/// Vapor that ventilation carries off, kg/(m2 s Pa) of floor.
///
/// # Formula
///
/// `ACH height / (3600 R_v T)`; air changes in 1/h, height in m, temperature in °C.
pub fn ventilation_conductance(air_changes_per_h: f64, height_m: f64, room_c: f64) -> f64 {
    air_changes_per_h * height_m / (3_600.0 * WATER_VAPOR_GAS_CONSTANT * (room_c + 273.15))
}

/// The temperature of the basement's air through the year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomTemperature {
    mean_c: f64,
    half_range_k: f64,
    outdoor_day: f64,
    ground_day: f64,
}

impl RoomTemperature {
    /// A swing of `half_range_k` about `mean_c`, most of it with the outdoors and the rest
    /// with the ground.
    pub fn new(mean_c: f64, half_range_k: f64, outdoor: &Harmonic, ground: &Harmonic) -> Self {
        Self {
            mean_c,
            half_range_k,
            outdoor_day: outdoor.warmest_day,
            ground_day: ground.warmest_day,
        }
    }

    /// °C on a day of the year.
    pub fn at(&self, day: f64) -> f64 {
        let table = SeasonTable::bundled();
        let swing = |warmest_day: f64| {
            Harmonic {
                mean_c: 0.0,
                amplitude_k: self.half_range_k,
                warmest_day,
            }
            .at(day)
        };
        self.mean_c
            + table.outdoor_phase_share * swing(self.outdoor_day)
            + table.ground_phase_share * swing(self.ground_day)
    }
}
