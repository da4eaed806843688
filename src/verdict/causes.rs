//! Where the water of the wettest month comes from.

use super::zones::ZoneOdds;
use crate::odds::evidence::leak_prior;
use crate::odds::simulate::{SimulatedFloor, Start};
use crate::odds::view::View;
use crate::survey::Visit;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A source of moisture in the floor.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// Mix water that has not dried out since the pour.
    ConstructionWater,
    /// Washing, a spill or a flood shortly before a reading that is over the limit today.
    RecentWetting,
    /// Roof and surface water that gutters, downspouts or grading lead to the walls.
    DrainageAtWalls,
    /// Water that rises through the slab all year, past a retarder that is damaged or not there.
    GroundMoisture,
    /// A water table, or the fringe above it, that reaches the underside in the wet season.
    SeasonalWaterTable,
    /// Humid room air that wets a cool slab from above, mostly in summer.
    HumidAir,
    /// A leak of a water heater, washer, pipe or sewer.
    Leak,
}

impl Cause {
    /// All causes, in a fixed order.
    pub const ALL: [Cause; 7] = [
        Cause::ConstructionWater,
        Cause::RecentWetting,
        Cause::DrainageAtWalls,
        Cause::GroundMoisture,
        Cause::SeasonalWaterTable,
        Cause::HumidAir,
        Cause::Leak,
    ];
    /// The word of the result.
    pub fn word(self) -> &'static str {
        match self {
            Cause::ConstructionWater => "construction_water",
            Cause::RecentWetting => "recent_wetting",
            Cause::DrainageAtWalls => "drainage_at_walls",
            Cause::GroundMoisture => "ground_moisture",
            Cause::SeasonalWaterTable => "seasonal_water_table",
            Cause::HumidAir => "humid_air",
            Cause::Leak => "leak",
        }
    }
}

/// Whether the wettest month is made by water from below: the underside is wetted, or more
/// rises through the surface while it builds up than vapor alone brings. An ordinary slab
/// always passes a little vapor upward; its summer peak is the room's.
fn rises(outcome: &SimulatedFloor) -> bool {
    rises_in(outcome, outcome.wettest)
}

/// The same of a calendar month (0 to 11).
pub(super) fn rises_in(outcome: &SimulatedFloor, at: usize) -> bool {
    let flux = 0.5 * (outcome.next_year[(at + 11) % 12].flux + outcome.next_year[at].flux);
    flux > super::GradeTable::bundled().from_below_flux
}

/// Chance that the wettest month comes from below rather than from the air.
pub fn from_below(view: View) -> f64 {
    view.posterior
        .outcomes
        .iter()
        .zip(view.weights())
        .filter(|(it, _)| rises(it))
        .map(|(_, weight)| weight)
        .sum()
}

/// Chance to go over a limit in a wettest month that comes from below.
pub(super) fn over_from_below(view: View) -> f64 {
    let posterior = view.posterior;
    let floors = posterior.outcomes.iter().zip(view.weights()).enumerate();
    floors
        .filter(|(_, (it, _))| rises(it))
        .map(|(draw, (_, weight))| weight * posterior.over_next_year(draw, view.scale(draw)))
        .sum()
}

/// Chances of the causes, largest first. Floors that go over the limit count by their chance to
/// do so, so that these are the causes of trouble rather than of an ordinary swing.
pub fn causes(
    view: View,
    visit: &Visit,
    over_now: bool,
    zones: Option<&ZoneOdds>,
) -> Vec<(Cause, f64)> {
    let (posterior, weights) = (view.posterior, view.weights());
    let table = super::GradeTable::bundled();
    let over = posterior.over_after();
    let trouble: f64 = weights
        .iter()
        .zip(over)
        .map(|(weight, over)| weight * over)
        .sum();
    let mut shares = [0.0; 7];
    let mut add = |cause: Cause, share: f64| {
        let at = Cause::ALL
            .iter()
            .position(|it| *it == cause)
            .expect("all causes are listed");
        shares[at] += share;
    };
    let leak = posterior.leak_chance(leak_prior(visit));
    // Washing explains what is read today and not the wettest month of a year.
    let wetting = visit
        .floor
        .last_wetted_days
        .filter(|_| over_now)
        .map_or(0.0, |days| {
            table.wetting_share * libm::exp(-days / table.wetting_days)
        });
    let rest = (1.0 - leak) * (1.0 - wetting);
    let band = zones.map_or(0.0, |it| it.band);
    add(Cause::Leak, leak);
    add(Cause::RecentWetting, (1.0 - leak) * wetting);
    for (draw, outcome) in posterior.outcomes.iter().enumerate() {
        // Where hardly any floor goes over, all count alike.
        let share = if trouble > 0.01 {
            weights[draw] * over[draw] / trouble
        } else {
            weights[draw]
        };
        if share <= 0.0 {
            continue;
        }
        let cause = cause_of(outcome, posterior.plan.start);
        // What is wet along the walls alone is what the walls bring.
        let walls = match cause {
            Cause::GroundMoisture | Cause::SeasonalWaterTable | Cause::HumidAir => band,
            _ => 0.0,
        };
        add(cause, rest * share * (1.0 - walls));
        add(Cause::DrainageAtWalls, rest * share * walls);
    }
    let mut out: Vec<(Cause, f64)> = Cause::ALL.iter().copied().zip(shares).collect();
    out.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    out
}

/// Where the water of one floor's wettest month comes from, leaks and washing apart.
pub fn cause_of(outcome: &SimulatedFloor, start: Start) -> Cause {
    let table = super::GradeTable::bundled();
    let at = outcome.wettest;
    let wet = [at, (at + 11) % 12, (at + 10) % 12]
        .iter()
        .map(|month| outcome.next_year[*month].contact)
        .fold(0.0, f64::max);
    let young = start
        .months()
        .is_some_and(|it| (it as f64) < table.construction_months);
    if wet > table.contact_counts && rises(outcome) {
        if outcome.next_ground_only_m + outcome.parameters.fringe_m > 0.0 {
            Cause::SeasonalWaterTable
        } else {
            Cause::DrainageAtWalls
        }
    } else if !rises(outcome) {
        Cause::HumidAir
    } else if young {
        Cause::ConstructionWater
    } else {
        Cause::GroundMoisture
    }
}
