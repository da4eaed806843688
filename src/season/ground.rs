//! Temperature of the ground through the year.

use super::DAYS_PER_YEAR;
use crate::units::Real;

/// The yearly swing of a temperature: `mean + amplitude cos(2 pi (day - warmest) / year)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Harmonic {
    /// Yearly mean, °C.
    pub mean_c: f64,
    /// Half the yearly swing, K.
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

    /// Cosine and sine of the turn of the year on which it is highest.
    pub fn direction(&self) -> [f64; 2] {
        turn_of_year(self.warmest_day / DAYS_PER_YEAR)
    }

    /// The same swing in its straight parts.
    pub fn swing(&self) -> Swing {
        let [cosine, sine] = self.direction();
        Swing {
            mean_c: self.mean_c,
            cosine_k: self.amplitude_k * cosine,
            sine_k: self.amplitude_k * sine,
        }
    }

    /// The value on a day of the year, °C.
    pub fn at(&self, day: f64) -> f64 {
        self.swing().on(day)
    }
}

/// Cosine and sine of the turn at a share (0 to 1) of the year gone by.
pub fn turn_of_year(share: f64) -> [f64; 2] {
    let angle = 2.0 * std::f64::consts::PI * share;
    [libm::cos(angle), libm::sin(angle)]
}

/// A yearly swing in its straight parts: `mean + cosine cos(turn) + sine sin(turn)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// °C.
    pub mean_c: f64,
    /// K, either sign.
    pub cosine_k: f64,
    /// K, either sign.
    pub sine_k: f64,
}

impl Swing {
    /// The value on a day of the year (0 to 365.25), °C.
    pub fn on(&self, day: f64) -> f64 {
        swing_at(
            [self.mean_c, self.cosine_k, self.sine_k],
            turn_of_year(day / DAYS_PER_YEAR),
        )
    }
}

/// A swing's mean, cosine and sine parts at a turn of the year; °C.
#[inline(always)]
pub fn swing_at<R: Real>([mean, cosine, sine]: [R; 3], turn: [R; 2]) -> R {
    mean + turn[0] * cosine + turn[1] * sine
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
