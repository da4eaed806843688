//! What the solver must know of a material, and the concrete of ordinary floors.

use crate::units::{Lanes, Real};

/// A material's state at one node, for every lane.
///
/// The unknown is `u`, water content over the water content at saturation.
#[derive(Debug, Clone, Copy)]
pub struct Transport<const L: usize, R = f64> {
    /// Pore relative humidity.
    pub humidity: Lanes<L, R>,
    /// Its slope over `u`.
    pub humidity_slope: Lanes<L, R>,
    /// Liquid potential, kg/(m s): its gradient is the liquid flux.
    pub liquid: Lanes<L, R>,
    /// Its slope over `u`.
    pub liquid_slope: Lanes<L, R>,
    /// Vapor permeability, kg/(m s Pa).
    pub vapor: Lanes<L, R>,
}

/// A porous material in the sense of EN 15026: one storage curve, liquid and vapor flux.
pub trait Material<const L: usize, R = f64> {
    /// Whether the vapor permeability is the same at every state; then vapor has a potential
    /// of its own in each slab, and the solver has less to do.
    const EVEN_VAPOR: bool = false;
    /// Water content at saturation, kg/m3.
    fn saturation_content(&self) -> &Lanes<L, R>;
    /// Everything the solver needs at the states `u` (0 to 1).
    fn transport(&self, u: &Lanes<L, R>) -> Transport<L, R>;
    /// The same at two nodes, for materials that can share work between them.
    #[inline(always)]
    fn transport_pair(
        &self,
        first: &Lanes<L, R>,
        second: &Lanes<L, R>,
    ) -> (Transport<L, R>, Transport<L, R>) {
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
pub struct GenericConcrete<const L: usize, R = f64> {
    saturation: Lanes<L, R>,
    b: Lanes<L, R>,
    liquid_at_saturation: Lanes<L, R>,
    vapor: Lanes<L, R>,
}

impl<const L: usize, R: Real> GenericConcrete<L, R> {
    /// From water content at saturation (kg/m3), the shape `b` (above 1), sustained water
    /// absorption `A` (kg/(m2 s^0.5)) and the vapor resistance factor `mu`.
    pub fn new(saturation: Lanes<L>, b: Lanes<L>, absorption: Lanes<L>, mu: Lanes<L>) -> Self {
        Self {
            saturation: saturation.map(R::of),
            b: b.map(R::of),
            // The integral of D_w dw from dry: D_w(saturation) w_f / ln(1000).
            liquid_at_saturation: std::array::from_fn(|l| {
                R::of(3.8 * absorption[l] * absorption[l] / (saturation[l] * LN_THOUSAND))
            }),
            vapor: mu.map(|it| R::of(STILL_AIR / it)),
        }
    }

    /// The state `u` at a pore humidity.
    pub fn state(&self, lane: usize, humidity: f64) -> f64 {
        let b = self.b[lane].wide();
        (b - 1.0) * humidity / (b - humidity)
    }

    /// The pore humidity at a state `u`.
    pub fn humidity(&self, lane: usize, u: f64) -> f64 {
        let b = self.b[lane].wide();
        b * u / (b - 1.0 + u)
    }

    /// The same in the solver's own numbers.
    #[inline(always)]
    pub(crate) fn pore_humidity(&self, lane: usize, u: R) -> R {
        self.b[lane] * u / (self.b[lane] - R::one() + u)
    }

    /// The pore humidity at a water content, kg/m3.
    pub fn humidity_of_content(&self, lane: usize, content: f64) -> f64 {
        self.humidity(lane, content / self.saturation[lane].wide())
    }
}

impl<const L: usize, R: Real> Material<L, R> for GenericConcrete<L, R> {
    const EVEN_VAPOR: bool = true;

    #[inline(always)]
    fn saturation_content(&self) -> &Lanes<L, R> {
        &self.saturation
    }

    #[inline(always)]
    fn transport(&self, u: &Lanes<L, R>) -> Transport<L, R> {
        let mut share = [R::zero(); L];
        for l in 0..L {
            share[l] = R::one() / (self.b[l] - R::one() + u[l]);
        }
        self.with_share(u, &share)
    }

    /// Both reciprocals come from one division, the dearest part of a step.
    #[inline(always)]
    fn transport_pair(
        &self,
        first: &Lanes<L, R>,
        second: &Lanes<L, R>,
    ) -> (Transport<L, R>, Transport<L, R>) {
        let (mut share_first, mut share_second) = ([R::zero(); L], [R::zero(); L]);
        for l in 0..L {
            let less_one = self.b[l] - R::one();
            let (one, other) = (less_one + first[l], less_one + second[l]);
            let both = R::one() / (one * other);
            share_first[l] = both * other;
            share_second[l] = both * one;
        }
        (
            self.with_share(first, &share_first),
            self.with_share(second, &share_second),
        )
    }
}

impl<const L: usize, R: Real> GenericConcrete<L, R> {
    /// The state at `u` with `1 / (b - 1 + u)` at hand.
    #[inline(always)]
    fn with_share(&self, u: &Lanes<L, R>, share: &Lanes<L, R>) -> Transport<L, R> {
        let zero = [R::zero(); L];
        let mut out = Transport {
            humidity: zero,
            humidity_slope: zero,
            liquid: zero,
            liquid_slope: zero,
            vapor: self.vapor,
        };
        let (log2_thousand, ln_thousand) = (R::of(LOG2_THOUSAND), R::of(LN_THOUSAND));
        for l in 0..L {
            let less_one = self.b[l] - R::one();
            let share = share[l];
            out.humidity[l] = self.b[l] * u[l] * share;
            out.humidity_slope[l] = self.b[l] * less_one * share * share;
            out.liquid[l] =
                self.liquid_at_saturation[l] * (log2_thousand * (u[l] - R::one())).power_of_two();
            out.liquid_slope[l] = out.liquid[l] * ln_thousand;
        }
        out
    }
}
