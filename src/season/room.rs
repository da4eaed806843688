//! The air of the basement: its temperature, its vapor, and how it is renewed.

use super::{Harmonic, SeasonTable, Swing};
use crate::units::Real;

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

/// The temperature of the basement's air through the year: a swing of `half_range_k` about
/// `mean_c`, most of it with the outdoors and the rest with the ground.
pub fn room_swing(mean_c: f64, half_range_k: f64, outdoor: &Harmonic, ground: &Harmonic) -> Swing {
    let table = SeasonTable::bundled();
    let (outdoor, ground) = (outdoor.direction(), ground.direction());
    let part =
        |at: usize| table.outdoor_phase_share * outdoor[at] + table.ground_phase_share * ground[at];
    Swing {
        mean_c,
        cosine_k: half_range_k * part(0),
        sine_k: half_range_k * part(1),
    }
}

/// Share (0 to 1) of a house's moisture excess that is there when it is so warm outdoors, °C:
/// all of it at 0 °C and below, none once windows stand open.
///
/// # Source
///
/// iso-13788.
pub fn excess_share(outdoor_c: f64) -> f64 {
    (1.0 - outdoor_c / SeasonTable::bundled().excess_vanishes_c).clamp(0.0, 1.0)
}

/// Vapor pressure that ventilation and the people of the house would give, Pa: that of the
/// outdoors, at most `cooled_pa` in a cooled house, and the excess.
#[inline(always)]
pub fn reference_pa<R: Real>(outdoor_pa: R, cooled_pa: R, excess_pa: R) -> R {
    let capped = if outdoor_pa < cooled_pa {
        outdoor_pa
    } else {
        cooled_pa
    };
    capped + excess_pa
}

/// Temperature in a slab that takes the share `toward_room` (0 to 1) of the way from the
/// ground's temperature to the room's; °C.
///
/// # Source
///
/// iso-13370 for the shares.
#[inline(always)]
pub fn slab_c<R: Real>(ground_c: R, room_c: R, toward_room: R) -> R {
    ground_c + toward_room * (room_c - ground_c)
}
