//! The numbers that the solver counts in: single or double precision.
//!
//! Whole screens count in single precision, of which a processor takes twice as many at once.
//! In the worst month of any floor a state is then good to 1e-4 of saturation, a fiftieth of
//! what cells and steps leave open; `tests/lockstep.rs` holds it against double precision and
//! against a plain form. The published checks count in double precision.

use super::exp2::{exp2, exp2_single};
use num_traits::NumAssign;

/// A number of the solver.
pub trait Real: NumAssign + PartialOrd + Copy + 'static {
    /// The nearest number to one of double precision.
    fn of(value: f64) -> Self;
    /// The same number in double precision.
    fn wide(self) -> f64;
    /// Two to its power, without a branch: [`exp2`] or its form in single precision.
    fn power_of_two(self) -> Self;
}

impl Real for f64 {
    #[inline(always)]
    fn of(value: f64) -> Self {
        value
    }

    #[inline(always)]
    fn wide(self) -> f64 {
        self
    }

    #[inline(always)]
    fn power_of_two(self) -> Self {
        exp2(self)
    }
}

impl Real for f32 {
    #[inline(always)]
    fn of(value: f64) -> Self {
        value as f32
    }

    #[inline(always)]
    fn wide(self) -> f64 {
        f64::from(self)
    }

    #[inline(always)]
    fn power_of_two(self) -> Self {
        exp2_single(self)
    }
}
