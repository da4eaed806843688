//! Temperature of the ground through the year.

use super::DAYS_PER_YEAR;

/// The yearly swing of a temperature: `mean + amplitude cos(2 pi (day - warmest) / year)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Harmonic {
    pub mean_c: f64,
    pub amplitude_k: f64,
    /// Day of the year of the highest value.
    pub warmest_day: f64,
}

impl Harmonic {
    /// The first harmonic of twelve monthly means.
    pub fn of_months(mean_c: &[f64; 12]) -> Self {
        let mut mean = 0.0;
        let (mut cosine, mut sine) = (0.0, 0.0);
        for (month, value) in mean_c.iter().enumerate() {
            let angle = 2.0 * std::f64::consts::PI * (month as f64 + 0.5) / 12.0;
            mean += value / 12.0;
            cosine += value * libm::cos(angle) / 6.0;
            sine += value * libm::sin(angle) / 6.0;
        }
        let phase = libm::atan2(sine, cosine);
        let day = phase / (2.0 * std::f64::consts::PI) * DAYS_PER_YEAR;
        Self {
            mean_c: mean,
            amplitude_k: (cosine * cosine + sine * sine).sqrt(),
            warmest_day: if day < 0.0 { day + DAYS_PER_YEAR } else { day },
        }
    }

    /// The value on a day of the year, °C.
    pub fn at(&self, day: f64) -> f64 {
        let angle = 2.0 * std::f64::consts::PI * (day - self.warmest_day) / DAYS_PER_YEAR;
        self.mean_c + self.amplitude_k * libm::cos(angle)
    }
}

/// The swing at a depth in the ground under a surface that swings.
///
/// # Formula
///
/// Amplitude times `exp(-z/d)`, later by `z/d` of a turn, `d = sqrt(a P / pi)`.
///
/// # Source
///
/// kusuda-achenbach-1965. `depth` in m (0 and more), `diffusivity` in m2/day (above 0).
pub fn ground_temperature(surface: &Harmonic, depth_m: f64, diffusivity_m2_day: f64) -> Harmonic {
    let damping_m = (diffusivity_m2_day * DAYS_PER_YEAR / std::f64::consts::PI).sqrt();
    let ratio = depth_m / damping_m;
    let lag_days = ratio / (2.0 * std::f64::consts::PI) * DAYS_PER_YEAR;
    Harmonic {
        mean_c: surface.mean_c,
        amplitude_k: surface.amplitude_k * libm::exp(-ratio),
        warmest_day: (surface.warmest_day + lag_days) % DAYS_PER_YEAR,
    }
}
