//! Over the limit today: what it may be, what to ask now, when to come back, what is left.

use super::drying::DryingTable;
use super::ways::{Way, WayOutcome, WayTable, Ways};
use super::{Cause, GradeTable};
use crate::odds::evidence::{Zone, is_drying, leak_prior};
use crate::odds::simulate::Snapshot;
use crate::odds::view::View;
use crate::rules::{Gate, GateTable};
use crate::survey::Visit;
use chrono::{Days, NaiveDate};

/// What is told of a floor that reads over its limit today.
#[derive(Debug, Clone, PartialEq)]
pub struct OverToday {
    /// What it may be, likeliest first.
    pub causes: Vec<(Cause, f64)>,
    /// Open questions that tell these causes apart, by the paths of the visit file, in the order
    /// of the causes.
    pub ask: Vec<&'static str>,
    /// When to read again, where waiting tells something.
    pub come_back: Option<NaiveDate>,
    /// Ways that hold as far as is known, and are allowed.
    pub options: Vec<Way>,
}

/// What the answers and the floors that remain say of a reading over the limit today.
pub fn over_today(
    visit: &Visit,
    view: View,
    gates: &[Gate],
    ways: Option<&Ways>,
    zone: Option<Zone>,
) -> OverToday {
    let causes = causes_today(visit, view, gates, zone);
    let mut ask: Vec<&'static str> = Vec::new();
    for (cause, chance) in &causes {
        if *chance < DryingTable::bundled().comes_back_named / 2.0 {
            continue;
        }
        for question in questions_of(*cause) {
            if is_open(visit, question) && !ask.contains(question) {
                ask.push(question);
            }
        }
    }
    let options = ways.map_or(Vec::new(), |it| {
        let film = it.of(Way::FilmNow).liquid_wet_5y;
        let helps = |of: &WayOutcome| match of.way {
            // A fix that leaves the floor as it is is no option.
            Way::FixOutside | Way::FixDrain => of.chance_5y < WayTable::bundled().fix_helps * film,
            Way::FilmNow
            | Way::FilmAfterTest
            | Way::FilmAfterDrying
            | Way::Primer
            | Way::Membrane
            | Way::Breathable
            | Way::LeaveBare => true,
            Way::Decline => false,
        };
        it.outcomes
            .iter()
            .filter(|it| helps(it) && it.is_told() && it.holds())
            .map(|it| it.way)
            .collect()
    });
    OverToday {
        come_back: come_back(visit, causes[0].0, gates),
        causes,
        ask,
        options,
    }
}

/// The day on which such a floor is read again, where waiting tells something: the same for a
/// screen, a season's table, the ledger and the calendar.
pub fn day_to_read(
    visit: &Visit,
    view: View,
    gates: &[Gate],
    zone: Option<Zone>,
) -> Option<NaiveDate> {
    come_back(visit, causes_today(visit, view, gates, zone)[0].0, gates)
}

fn causes_today(
    visit: &Visit,
    view: View,
    gates: &[Gate],
    zone: Option<Zone>,
) -> Vec<(Cause, f64)> {
    let (posterior, weights) = (view.posterior, view.weights());
    let table = GradeTable::bundled();
    let mut shares = [0.0; Cause::ALL.len()];
    let mut add = |cause: Cause, share: f64| {
        let at = Cause::ALL.iter().position(|it| *it == cause);
        shares[at.expect("all causes are listed")] += share;
    };
    // A slab in its first months is its own water, whatever else there may be.
    let leak = if is_drying(visit) {
        0.0
    } else {
        posterior.leak_chance(leak_prior(visit))
    };
    let wetting = match visit.floor.last_wetted_days {
        Some(days) if days < GateTable::bundled().wetted_days => {
            table.wetting_share * libm::exp(-days / table.wetting_days)
        }
        Some(_) => 0.0,
        None => table.wetting_unasked,
    };
    let sweats = gates.iter().any(|it| it.id == "sweating");
    add(Cause::Leak, leak);
    add(Cause::RecentWetting, (1.0 - leak) * wetting);
    let rest = (1.0 - leak) * (1.0 - wetting);
    let month = posterior.plan.reading_month;
    for (outcome, weight) in posterior.outcomes.iter().zip(weights) {
        let share = rest * weight;
        let at: &Snapshot = &outcome.reading_year[month];
        let wet = at.contact > table.contact_counts;
        let cause = if is_drying(visit) {
            Cause::ConstructionWater
        } else if zone == Some(Zone::Band) {
            Cause::DrainageAtWalls
        } else if sweats || (at.flux <= table.from_below_flux && !wet) {
            Cause::HumidAir
        } else if wet && outcome.next_ground_only_m + outcome.parameters.fringe_m > 0.0 {
            Cause::SeasonalWaterTable
        } else if wet {
            Cause::DrainageAtWalls
        } else {
            Cause::GroundMoisture
        };
        add(cause, share);
    }
    let mut out: Vec<(Cause, f64)> = Cause::ALL
        .iter()
        .copied()
        .zip(shares)
        .filter(|it| it.1 > 0.0)
        .collect();
    out.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    out
}

/// What tells a cause from the others, the plainest first.
fn questions_of(cause: Cause) -> &'static [&'static str] {
    match cause {
        Cause::ConstructionWater => &["floor.placed_date", "floor.thickness_mm"],
        Cause::RecentWetting => &["floor.last_wetted_days"],
        Cause::DrainageAtWalls => &["lot.downspouts", "lot.slope", "lot.lately"],
        Cause::GroundMoisture => &["floor.retarder"],
        Cause::SeasonalWaterTable => &["lot.sump", "lot.sub_drain", "lot.position"],
        Cause::HumidAir => &["air.relative_humidity", "air.slab_temp_c"],
        Cause::Leak => &["lot.leak"],
    }
}

fn is_open(visit: &Visit, question: &str) -> bool {
    let (floor, lot, air) = (&visit.floor, &visit.lot, &visit.air);
    match question {
        "floor.placed_date" => floor.placed_date.is_none(),
        "floor.thickness_mm" => floor.thickness.is_none(),
        "floor.last_wetted_days" => floor.last_wetted_days.is_none(),
        "floor.retarder" => floor.retarder.is_none(),
        "lot.downspouts" => lot.downspouts.is_none(),
        "lot.slope" => lot.slope.is_none(),
        "lot.lately" => lot.lately.is_none(),
        "lot.sump" => lot.sump.is_none(),
        "lot.sub_drain" => lot.sub_drain.is_none(),
        "lot.position" => lot.position.is_none(),
        "lot.leak" => lot.leak.is_none(),
        "air.relative_humidity" => air.relative_humidity.is_none(),
        "air.slab_temp_c" => air.slab_temp.is_none(),
        _ => false,
    }
}

/// The day of a gate, else what the likeliest cause needs to show itself.
fn come_back(visit: &Visit, cause: Cause, gates: &[Gate]) -> Option<NaiveDate> {
    let table = GateTable::bundled();
    let by_gate = gates.iter().filter_map(|it| it.retest_after).max();
    let in_days = |days: f64| {
        visit
            .visit_date
            .checked_add_days(Days::new(days.max(0.0).ceil() as u64))
    };
    by_gate.or_else(|| match cause {
        Cause::RecentWetting | Cause::Leak => in_days(table.wetted_days),
        Cause::HumidAir => in_days(table.machine_days),
        Cause::ConstructionWater
        | Cause::DrainageAtWalls
        | Cause::GroundMoisture
        | Cause::SeasonalWaterTable => None,
    })
}
