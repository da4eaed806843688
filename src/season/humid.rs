//! Vapor pressure and dew point.

use crate::units::{Celsius, Pascals};

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
/// iso-13788, the branch for water.
pub fn saturation_pa(t_c: f64) -> f64 {
    610.5 * libm::exp(17.269 * t_c / (237.3 + t_c))
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
    let ln = libm::log(vapor_pa / 610.5);
    237.3 * ln / (17.269 - ln)
}

/// [`dew_point_c`] on checked quantities; dry air has none.
pub fn dew_point(vapor: Pascals) -> Option<Celsius> {
    (vapor.get() > 0.0)
        .then(|| dew_point_c(vapor.get()))
        .and_then(|it| Celsius::new(it).ok())
}
