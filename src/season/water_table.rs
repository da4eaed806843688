//! How high the water stands about the slab.

use super::{BalanceMonth, SeasonTable};
use crate::units::Real;

/// Numbers of the ground about one house.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterTable {
    /// Mean level of a usual year, m above the underside (negative below it).
    pub mean_m: f64,
    /// The store below in the mean of a usual year, mm.
    pub usual_ground_mm: f64,
    /// Drainable pore space, 0 to 1.
    pub specific_yield: f64,
    /// Drainable pore space of the backfill at the walls, 0 to 1.
    pub backfill_yield: f64,
    /// How much of roof and yard water is led to the walls: its multiple of the rain.
    pub wall_share: f64,
    /// How much of the rain led to the walls dry backfill soaks up, 0 to 1: all of it where the
    /// soil is no more than half wet.
    pub backfill_uptake: f64,
    /// Highest level that a working drain leaves, m; `None` where no drain works.
    pub drain_cap_m: Option<f64>,
}

impl WaterTable {
    /// Level with nothing done about it, m above the underside.
    pub fn uncapped_m(&self, month: &BalanceMonth, capacity_mm: f64) -> f64 {
        self.from_ground_m(month) + self.from_walls_m(month, capacity_mm)
    }

    /// Level from the ground's own store alone, m above the underside: it swings about the
    /// mean of the usual year, so that a slow store, which holds much, lifts no lot by that.
    pub fn from_ground_m(&self, month: &BalanceMonth) -> f64 {
        self.mean_m + (month.ground_mm - self.usual_ground_mm) / (1_000.0 * self.specific_yield)
    }

    /// What the water led to the walls adds, m. Backfill that is no more than half wet soaks
    /// up all of the rain.
    pub fn from_walls_m(&self, month: &BalanceMonth, capacity_mm: f64) -> f64 {
        let wet = (2.0 * month.soil_mm / capacity_mm - 1.0).clamp(0.0, 1.0);
        let let_through = 1.0 - self.backfill_uptake * (1.0 - wet);
        let led_mm = month.rain_mm * let_through + month.melt_mm;
        let boost_m = self.wall_share * led_mm / (1_000.0 * self.backfill_yield);
        let most_m = SeasonTable::bundled().rain_boost_most_m;
        if boost_m > most_m { most_m } else { boost_m }
    }

    /// A level as a drain leaves it.
    pub fn capped_m(&self, level_m: f64) -> f64 {
        match self.drain_cap_m {
            Some(cap_m) if level_m > cap_m => cap_m,
            _ => level_m,
        }
    }
}

/// How far a place that feeds its ground lifts the water table of every lot, m, by the water
/// that reaches the store below in a usual year, mm.
///
/// # Formula
///
/// `a Q/(Q + b)` with `lift_most_m` for `a` and `lift_half_mm` for `b`.
pub fn lift_m(recharge_mm: f64) -> f64 {
    let table = SeasonTable::bundled();
    table.lift_most_m * recharge_mm / (recharge_mm + table.lift_half_mm)
}

/// Share of the underside that water or its fringe wets, 0 to 1.
///
/// `level` in m above the underside, `fringe` the height that water climbs above the table,
/// in m (above 0). Without a branch, so that it runs over lanes.
#[inline(always)]
pub fn contact<R: Real>(level_m: R, fringe_m: R) -> R {
    let wetted = (level_m + fringe_m) / fringe_m;
    let raised = if wetted < R::zero() {
        R::zero()
    } else {
        wetted
    };
    if raised > R::one() { R::one() } else { raised }
}
