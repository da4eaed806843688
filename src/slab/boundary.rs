//! What lies above and below the slab during one step.

use crate::units::Lanes;

/// The room over the floor, or the film that closes it.
///
/// # Formula
///
/// Film and ventilation stand in series between the surface and the reference pressure. A
/// machine holds its setting up to its capacity; the room never holds more than saturation:
/// `p_room = min(balance, max(setting, balance - capacity), saturation)`. Each case is a
/// straight line in the surface pressure, and the flux is the largest of them (the smaller
/// of the machine's two first), so the right one is found without a search.
#[derive(Debug, Clone, Copy)]
pub struct RoomSide<const L: usize, R = f64> {
    /// Vapor film coefficient of the surface, kg/(m2 s Pa).
    pub film: Lanes<L, R>,
    /// Film and ventilation in series, kg/(m2 s Pa).
    pub through_air: Lanes<L, R>,
    /// Pressure that ventilation and the people of the house would give, Pa.
    pub reference_pa: Lanes<L, R>,
    /// Lowest reference that a machine at full power makes of it, Pa.
    pub dried_reference_pa: Lanes<L, R>,
    /// Pressure at which the machine stops, Pa.
    pub setting_pa: Lanes<L, R>,
    /// Saturation in the air of the room, Pa.
    pub room_saturation_pa: Lanes<L, R>,
}

/// The ground under the slab. Soil air stands at saturation.
#[derive(Debug, Clone, Copy)]
pub struct Underside<const L: usize, R = f64> {
    /// Vapor path and wetted contact together, kg/(m2 s) for each unit of humidity missing
    /// from saturation at the underside.
    pub supply: Lanes<L, R>,
    /// Humidity that the ground offers; 1 for soil air.
    pub humidity: Lanes<L, R>,
}
