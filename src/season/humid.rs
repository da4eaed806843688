//! Vapor pressure and dew point.

use crate::units::{Celsius, Pascals, Real};

/// Pressure at 0 °C, Pa, and the two constants of the fit, in its own terms and °C.
const AT_ZERO_PA: f64 = 610.5;
const STEEPNESS: f64 = 17.269;
const OFFSET_C: f64 = 237.3;

/// Vapor pressure at saturation over liquid water, in Pa, from °C.
///
/// # Formula
///
/// `p = 610.5 exp(17.269 t / (237.3 + t))`
///
/// # Range
///
/// -60 to 60 °C. Below 0 °C it is for supercooled water, not frost: dew points of weather
/// stations are given over water. Within 0.2 % of ASHRAE from 0 to 40 °C.
///
/// # Source
///
/// iso-13788, the branch for water. Worked out as a power of two, so that it runs over lanes.
#[inline(always)]
pub fn saturation_pa<R: Real>(t_c: R) -> R {
    let power = R::of(STEEPNESS * std::f64::consts::LOG2_E) * t_c / (R::of(OFFSET_C) + t_c);
    R::of(AT_ZERO_PA) * power.power_of_two()
}

/// [`saturation_pa`] on checked quantities.
///
/// ```
/// use slabseason::{season::saturation_pressure, units::Celsius};
/// assert!((saturation_pressure(Celsius::new(20.0)?).get() - 2337.0).abs() < 1.0);
/// # Ok::<(), slabseason::units::UnitsError>(())
/// ```
pub fn saturation_pressure(air: Celsius) -> Pascals {
    Pascals::new(saturation_pa(air.get())).expect("the hottest air taken, 60 °C, gives 20 kPa")
}

/// The temperature in °C at which air of this vapor pressure (Pa, above 0) is saturated;
/// the inverse of [`saturation_pa`].
pub fn dew_point_c(vapor_pa: f64) -> f64 {
    let ln = libm::log(vapor_pa / AT_ZERO_PA);
    OFFSET_C * ln / (STEEPNESS - ln)
}

/// [`dew_point_c`] on checked quantities; dry air has none.
pub fn dew_point(vapor: Pascals) -> Option<Celsius> {
    (vapor.get() > 0.0)
        .then(|| dew_point_c(vapor.get()))
        .and_then(|it| Celsius::new(it).ok())
}
