//! What the solver must know of a material, and the concrete of ordinary floors.

use super::{Lanes, exp2};

/// A material's state at one node, for every lane.
///
/// The unknown is `u`, water content over the water content at saturation.
#[derive(Debug, Clone, Copy)]
pub struct Transport<const L: usize> {
    /// Pore relative humidity.
    pub humidity: Lanes<L>,
    /// Its slope over `u`.
    pub humidity_slope: Lanes<L>,
    /// Liquid potential, kg/(m s): its gradient is the liquid flux.
    pub liquid: Lanes<L>,
    /// Its slope over `u`.
    pub liquid_slope: Lanes<L>,
    /// Vapor permeability, kg/(m s Pa).
    pub vapor: Lanes<L>,
}

/// A porous material in the sense of EN 15026: one storage curve, liquid and vapor flux.
pub trait Material<const L: usize> {
    /// Whether the vapor permeability is the same at every state; then vapor has a potential
    /// of its own in each slab, and the solver has less to do.
    const EVEN_VAPOR: bool = false;
    /// Water content at saturation, kg/m3.
    fn saturation_content(&self) -> &Lanes<L>;
    /// Everything the solver needs at the states `u` (0 to 1).
    fn transport(&self, u: &Lanes<L>) -> Transport<L>;
    /// The same at two nodes, for materials that can share work between them.
    #[inline(always)]
    fn transport_pair(&self, first: &Lanes<L>, second: &Lanes<L>) -> (Transport<L>, Transport<L>) {
        (self.transport(first), self.transport(second))
    }
}

/// Vapor permeability of still air, kg/(m s Pa). Source: convention of ISO 10456, from memory.
pub const STILL_AIR: f64 = 2.0e-10;
/// log2(1000): the liquid diffusivity falls a thousandfold from saturation to dry.
const LOG2_THOUSAND: f64 = 9.965_784_284_662_087;
/// ln(1000).
const LN_THOUSAND: f64 = 6.907_755_278_982_137;

/// Concrete with the storage and liquid curves of Künzel (1995), one set of numbers a lane.
///
/// # Formula
///
/// `w = w_f (b - 1) phi / (b - phi)`, `D_w = 3.8 (A / w_f)^2 1000^(w / w_f - 1)`,
/// `delta_p = 2e-10 / mu`.
///
/// # Source
///
/// kunzel-1995 for the forms; the numbers are rows of `tables/priors.csv`.
#[derive(Debug, Clone)]
pub struct GenericConcrete<const L: usize> {
    saturation: Lanes<L>,
    b: Lanes<L>,
    liquid_at_saturation: Lanes<L>,
    vapor: Lanes<L>,
}

impl<const L: usize> GenericConcrete<L> {
    /// From water content at saturation (kg/m3), the shape `b` (above 1), sustained water
    /// absorption `A` (kg/(m2 s^0.5)) and the vapor resistance factor `mu`.
    pub fn new(saturation: Lanes<L>, b: Lanes<L>, absorption: Lanes<L>, mu: Lanes<L>) -> Self {
        let mut liquid_at_saturation = [0.0; L];
        let mut vapor = [0.0; L];
        for l in 0..L {
            // The integral of D_w dw from dry: D_w(saturation) w_f / ln(1000).
            liquid_at_saturation[l] =
                3.8 * absorption[l] * absorption[l] / (saturation[l] * LN_THOUSAND);
            vapor[l] = STILL_AIR / mu[l];
        }
        Self {
            saturation,
            b,
            liquid_at_saturation,
            vapor,
        }
    }

    /// The state `u` at a pore humidity.
    pub fn state(&self, lane: usize, humidity: f64) -> f64 {
        (self.b[lane] - 1.0) * humidity / (self.b[lane] - humidity)
    }

    /// The pore humidity at a state `u`.
    pub fn humidity(&self, lane: usize, u: f64) -> f64 {
        self.b[lane] * u / (self.b[lane] - 1.0 + u)
    }
}

impl<const L: usize> GenericConcrete<L> {
    /// The pore humidity at a water content, kg/m3.
    pub fn humidity_of_content(&self, lane: usize, content: f64) -> f64 {
        self.humidity(lane, content / self.saturation[lane])
    }
}

impl<const L: usize> Material<L> for GenericConcrete<L> {
    const EVEN_VAPOR: bool = true;

    #[inline(always)]
    fn saturation_content(&self) -> &Lanes<L> {
        &self.saturation
    }

    #[inline(always)]
    fn transport(&self, u: &Lanes<L>) -> Transport<L> {
        let mut share = [0.0; L];
        for l in 0..L {
            share[l] = 1.0 / (self.b[l] - 1.0 + u[l]);
        }
        self.with_share(u, &share)
    }

    /// Both reciprocals come from one division, the dearest part of a step.
    #[inline(always)]
    fn transport_pair(&self, first: &Lanes<L>, second: &Lanes<L>) -> (Transport<L>, Transport<L>) {
        let (mut share_first, mut share_second) = ([0.0; L], [0.0; L]);
        for l in 0..L {
            let (one, other) = (self.b[l] - 1.0 + first[l], self.b[l] - 1.0 + second[l]);
            let both = 1.0 / (one * other);
            share_first[l] = both * other;
            share_second[l] = both * one;
        }
        (
            self.with_share(first, &share_first),
            self.with_share(second, &share_second),
        )
    }
}

impl<const L: usize> GenericConcrete<L> {
    /// The state at `u` with `1 / (b - 1 + u)` at hand.
    #[inline(always)]
    fn with_share(&self, u: &Lanes<L>, share: &Lanes<L>) -> Transport<L> {
        let mut out = Transport {
            humidity: [0.0; L],
            humidity_slope: [0.0; L],
            liquid: [0.0; L],
            liquid_slope: [0.0; L],
            vapor: self.vapor,
        };
        for l in 0..L {
            let less_one = self.b[l] - 1.0;
            let share = share[l];
            out.humidity[l] = self.b[l] * u[l] * share;
            out.humidity_slope[l] = self.b[l] * less_one * share * share;
            out.liquid[l] = self.liquid_at_saturation[l] * exp2(LOG2_THOUSAND * (u[l] - 1.0));
            out.liquid_slope[l] = out.liquid[l] * LN_THOUSAND;
        }
        out
    }
}
