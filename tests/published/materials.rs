//! Materials of the benchmarks, for the same solver as the floor's concrete.

use slabseason::slab::{Material, Transport};

/// Water content that follows a straight law: constant diffusivity, humidity equal to `u`.
pub struct Linear {
    pub content: [f64; 1],
    pub diffusivity_m2_s: f64,
}

impl Material<1> for Linear {
    fn saturation_content(&self) -> &[f64; 1] {
        &self.content
    }
    fn transport(&self, u: &[f64; 1]) -> Transport<1> {
        let slope = self.diffusivity_m2_s * self.content[0];
        Transport {
            humidity: *u,
            humidity_slope: [1.0],
            liquid: [slope * u[0]],
            liquid_slope: [slope],
            vapor: [0.0],
        }
    }
}

/// HAMSTAD benchmark 2: constant diffusivity, `w = 116 / (1 - ln(H)/0.118)^0.869`.
pub struct Hamstad2 {
    pub content: [f64; 1],
}

impl Hamstad2 {
    pub fn humidity(u: f64) -> f64 {
        (0.118 * (1.0 - u.powf(-1.0 / 0.869))).exp()
    }
}

impl Material<1> for Hamstad2 {
    fn saturation_content(&self) -> &[f64; 1] {
        &self.content
    }
    fn transport(&self, u: &[f64; 1]) -> Transport<1> {
        let humidity = Self::humidity(u[0]);
        let humidity_slope = humidity * 0.118 / 0.869 * u[0].powf(-1.0 / 0.869 - 1.0);
        let slope = 6.0e-10 * self.content[0];
        Transport {
            humidity: [humidity],
            humidity_slope: [humidity_slope],
            liquid: [slope * u[0]],
            liquid_slope: [slope],
            vapor: [0.0],
        }
    }
}

/// The material of EN 15026:2007, Annex A.
///
/// The liquid potential is the integral of the printed conductivity over suction, tabled on
/// a fine grid; the rest is evaluated from the printed functions.
pub struct AnnexA {
    content: [f64; 1],
    potential: Vec<f64>,
}

const CONTENT: f64 = 146.0;
const POINTS: usize = 20_000;
/// Density of water times the specific gas constant times 293.15 K, Pa.
pub const SUCTION_SCALE_PA: f64 = 1_000.0 * (8.314 / 0.018) * 293.15;

pub fn suction_pa(w: f64) -> f64 {
    ((CONTENT / w).powf(1.0 / 0.375) - 1.0).powf(1.0 / 1.6) / 8.0e-8
}

fn suction_slope(w: f64) -> f64 {
    let ratio = (CONTENT / w).powf(1.0 / 0.375);
    (ratio - 1.0).powf(1.0 / 1.6 - 1.0) / 1.6 * (-ratio / (0.375 * w)) / 8.0e-8
}

pub fn conductivity_s(w: f64) -> f64 {
    let x = w - 73.0;
    (-39.2619 + 0.0704 * x - 1.7420e-4 * x * x - 2.7953e-6 * x.powi(3) - 1.1566e-7 * x.powi(4)
        + 2.5969e-9 * x.powi(5))
    .exp()
}

pub fn vapor_permeability(w: f64) -> f64 {
    let dry = 1.0 - w / CONTENT;
    let factor = dry / (0.503 * dry * dry + 0.497);
    0.018 / (8.314 * 293.15) * 26.1e-6 * factor / 200.0
}

pub fn water_content(humidity: f64) -> f64 {
    let suction = -SUCTION_SCALE_PA * humidity.ln();
    CONTENT / (1.0 + (8.0e-8 * suction).powf(1.6)).powf(0.375)
}

pub fn humidity(w: f64) -> f64 {
    (-suction_pa(w) / SUCTION_SCALE_PA).exp()
}

/// Liquid diffusivity, m2/s.
pub fn diffusivity(w: f64) -> f64 {
    -conductivity_s(w) * suction_slope(w)
}

impl AnnexA {
    pub fn new() -> Self {
        let top = 0.9999 * CONTENT;
        let width = top / POINTS as f64;
        let mut potential = vec![0.0; POINTS + 1];
        for at in 1..=POINTS {
            // Simpson over each interval; the very dry end carries nothing.
            let (from, to) = ((at - 1) as f64 * width, at as f64 * width);
            let low = if at == 1 { 0.0 } else { diffusivity(from) };
            potential[at] = potential[at - 1]
                + width / 6.0 * (low + 4.0 * diffusivity(0.5 * (from + to)) + diffusivity(to));
        }
        Self {
            content: [CONTENT],
            potential,
        }
    }
}

impl Material<1> for AnnexA {
    fn saturation_content(&self) -> &[f64; 1] {
        &self.content
    }
    fn transport(&self, u: &[f64; 1]) -> Transport<1> {
        let w = (u[0] * CONTENT).clamp(1.0, 0.9998 * CONTENT);
        let place = w / (0.9999 * CONTENT) * POINTS as f64;
        let at = (place as usize).min(POINTS - 1);
        let share = place - at as f64;
        let phi = humidity(w);
        Transport {
            humidity: [phi],
            humidity_slope: [-phi * suction_slope(w) / SUCTION_SCALE_PA * CONTENT],
            liquid: [self.potential[at] * (1.0 - share) + self.potential[at + 1] * share],
            liquid_slope: [diffusivity(w) * CONTENT],
            vapor: [vapor_permeability(w)],
        }
    }
}
