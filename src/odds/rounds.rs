//! Rounds of draws: how a visit is prepared for drawing, where a round is drawn, and where the
//! next one looks.

use super::evidence::{
    self, EvidenceTable, Observation, ObservationValue, Seasons, Sign, Zone, observations,
    readings_log, signs, signs_log, step_of,
};
use super::forcing::{FloorConstants, PlaceYear};
use super::outcomes::Shared;
use super::parameters::{DIMENSIONS, FloorParameters, PriorSet, is_run_from_placing};
use super::pareto::{effective_draws, tempered};
use super::simulate::{
    Dome, Group, LANES, MachinePlan, Patch, Plan, Pump, SimulatedFloor, Snapshot, Start,
    run_group_through,
};
use super::sobol::kept_scores;
use super::weather_had::WeatherHad;
use crate::climate::Place;
use crate::season::{DAYS_PER_YEAR, STEPS_PER_MONTH, STEPS_PER_YEAR};
use crate::slab::Machines;
use crate::survey::{Dehumidifier, ReadingKind, Sump, Visit, age_days};
use chrono::Datelike;
use std::sync::Arc;

/// How hard to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Draws of one round.
    pub round: usize,
    /// Most draws altogether.
    pub most: usize,
    /// Effective draws that are enough, with a tail that can be trusted; 0 for one round whatever
    /// comes of it.
    pub enough: f64,
    /// Years ahead that are simulated: the next one, or five.
    pub ahead: Ahead,
}

/// How far ahead floors are run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ahead {
    /// The next year alone.
    NextYear,
    /// The next year and the four after it.
    FiveYears,
}

impl Effort {
    /// The same without the years after next.
    pub fn next_year_only(self) -> Self {
        Self {
            ahead: Ahead::NextYear,
            ..self
        }
    }
}

/// As many as an answer needs.
pub const FULL: Effort = Effort {
    round: 1_024,
    most: 4_096,
    enough: 200.0,
    ahead: Ahead::FiveYears,
};

/// Effective draws that the tempered weights keep when a new round is aimed.
const AIMING_DRAWS: f64 = 50.0;
/// Weight of the prior when a new round is aimed, in draws.
const AIMING_PRIOR: f64 = 30.0;
/// What the system being quoted allows; all given ones must hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Most that a meter may read, percent by mass.
    pub meter_percent: Option<f64>,
    /// Highest relative humidity at 40 % depth, 0 to 1.
    pub probe_humidity: Option<f64>,
    /// kg/(m2 s) in the dome test.
    pub dome_flux: Option<f64>,
}

/// One round's way of drawing: a normal in each dimension.
#[derive(Debug, Clone)]
pub(super) struct Proposal {
    mean: [f64; DIMENSIONS],
    variance: [f64; DIMENSIONS],
    log_variance: [f64; DIMENSIONS],
}

impl Proposal {
    pub fn prior() -> Self {
        Self {
            mean: [0.0; DIMENSIONS],
            variance: [1.0; DIMENSIONS],
            log_variance: [0.0; DIMENSIONS],
        }
    }

    fn log_density(&self, scores: &[f64; DIMENSIONS]) -> f64 {
        let mut log = 0.0;
        for at in 0..DIMENSIONS {
            let off = scores[at] - self.mean[at];
            log -= 0.5 * (off * off / self.variance[at] + self.log_variance[at]);
        }
        log
    }
}

/// Where a round of draws was drawn.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    proposal: Proposal,
    scores: Arc<[[f64; DIMENSIONS]]>,
    /// Of how many draws each is the only one left, as a logarithm: 0 in a whole round.
    stands_for: Arc<[f64]>,
    /// Draws of the whole round.
    size: usize,
}

impl Drawn {
    fn whole(proposal: Proposal, scores: Arc<[[f64; DIMENSIONS]]>) -> Self {
        Self {
            proposal,
            stands_for: vec![0.0; scores.len()].into(),
            size: scores.len(),
            scores,
        }
    }
}

/// Draws of a round that another visit to the same floor looks at again: those that count for
/// much, and of the others the fewer the less they count, each of which stands for those left out.
pub(super) struct Thinned {
    /// Number of each draw in its round, and the logarithm of how many it stands for.
    draws: Vec<(usize, f64)>,
    /// Draws of the whole round.
    size: usize,
}

/// Every draw of a single round that counts for so many is kept. Source: judgement, by speed; the
/// thinned chance errs by less than the sampling (`tests/decisions.rs`).
const HEAVY: f64 = 2.0;
/// Of the draws that count least one in so many is kept, since another answer may give them
/// weight. Source: as above.
const ONE_IN: f64 = 8.0;

/// Whether what differs between two visits to one floor does nothing to a version of it.
pub(super) type Untouched = fn(&FloorParameters) -> bool;

/// Draws of less, 1 in the mean, are left out where little can give them weight: years ahead that
/// are otherwise, and answers that are imagined. Source: judgement, by speed; in the examples they
/// weigh less than a ten-thousandth together.
pub const LEAST_WEIGHT: f64 = 1.0e-3;

impl Thinned {
    /// The draws that count at all, each as it is, by what each counts for.
    pub fn that_count(counts: &[f64]) -> Self {
        let draws = (0..counts.len()).filter(|at| counts[*at] >= LEAST_WEIGHT);
        Self {
            draws: draws.map(|at| (at, 0.0)).collect(),
            size: counts.len(),
        }
    }

    /// By what each of the draws counts for in the visit that it was drawn for, 1 in the mean; the
    /// fewer of them, the more rounds there are.
    pub fn of(counts: &[f64], rounds: usize) -> Self {
        let heavy = HEAVY * rounds as f64;
        let least = 1.0 / (ONE_IN * rounds as f64);
        // Draws are passed in order; whenever the shares add up to one more, one is kept.
        let mut shares = 0.5;
        let mut draws = Vec::new();
        for (at, count) in counts.iter().enumerate() {
            let share = (count / heavy).clamp(least, 1.0);
            shares += share;
            if shares >= 1.0 {
                shares -= 1.0;
                draws.push((at, -libm::log(share)));
            }
        }
        Self {
            draws,
            size: counts.len(),
        }
    }
}

/// A round of draws: where they were drawn and what became of them.
#[derive(Debug)]
pub(super) struct Round {
    pub drawn: Drawn,
    pub outcomes: Shared,
    /// Where the versions stand at the visit, from which a way forward can be run.
    pub groups: Vec<Arc<Group>>,
}

/// How a visit is laid out in time.
pub fn plan(visit: &Visit, observations: &[Observation], dome: Dome) -> Plan {
    let table = EvidenceTable::bundled();
    let end = visit.visit_date;
    let start = match age_days(&visit.floor, end) {
        Some(days) if is_run_from_placing(visit) => {
            let steps_per_day = STEPS_PER_YEAR as f64 / DAYS_PER_YEAR;
            let old = libm::round(days as f64 * steps_per_day) as usize;
            // A reading of the visit's day is looked at when its step ends.
            let left = step_of(end, end).map_or(0, |it| 2 * STEPS_PER_YEAR - 1 - it);
            Start::Placed { steps: old + left }
        }
        _ => Start::Settled,
    };
    let running = |on: bool| if on { Machines::On } else { Machines::Off };
    // A machine that came within the last year did not make the reading's year.
    let recent = visit
        .air
        .dehumidifier_since
        .is_some_and(|it| ((end - it).num_days() as f64) < table.machine_settles_days);
    let there = visit.air.dehumidifier != Some(Dehumidifier::NoMachine);
    Plan {
        reading_month: end.month0() as usize,
        start,
        machines: MachinePlan {
            before: running(there && !recent),
            after: running(there && visit.air.runs_after != Some(false)),
        },
        pump: match visit.lot.sump {
            Some(Sump::AfterRain | Sump::MostDays) => Pump::Fails,
            Some(Sump::Dry | Sump::NoSump) | None => Pump::Runs,
        },
        marks: observations.iter().map(|it| it.step).collect(),
        patch: if asks_patch(visit, observations) {
            Patch::Asked
        } else {
            Patch::NotAsked
        },
        dome,
        constants: FloorConstants {
            density_kg_m3: table.concrete_density,
            meter_depth_m: table.meter_depth_m,
            probe_depth: table.probe_depth,
        },
    }
}

/// Seasons of a place, from its balance with middle numbers.
pub fn seasons(place: &PlaceYear, priors: &PriorSet) -> Seasons {
    let months = place.balance(&priors.middle());
    Seasons::from_store(&std::array::from_fn(|month| months[month].ground_mm))
}

/// A visit as drawing needs it: the priors that its answers select, its signs and readings,
/// and its calendar.
pub(super) struct PreparedVisit {
    pub priors: PriorSet,
    pub place_year: PlaceYear,
    pub plan: Plan,
    pub limits: Limits,
    pub seasons: Seasons,
    pub signs: Vec<Sign>,
    pub observations: Vec<Observation>,
    /// The meter whose future readings are reported: that of the newest reading.
    pub reported_meter: Option<String>,
    pub reported_checked: bool,
}

impl PreparedVisit {
    pub fn out(place: &Place, visit: &Visit, limits: Limits) -> Self {
        let priors = PriorSet::for_visit(visit);
        let place_year =
            PlaceYear::new(place, priors.below_grade).after(WeatherHad::of(place, visit));
        let seasons = seasons(&place_year, &priors);
        let signs = signs(visit, &seasons);
        let mut observations = observations(visit);
        // Marks are passed in rising order.
        observations.sort_by_key(|it| it.step);
        let plan = plan(visit, &observations, asked_dome(visit, limits));
        let newest = observations
            .iter()
            .rev()
            .find(|it| matches!(it.value, ObservationValue::Meter { .. }));
        let reported_meter = newest.and_then(|it| it.meter.clone());
        let reported_checked = newest.is_some_and(|it| it.checked);
        Self {
            priors,
            place_year,
            plan,
            limits,
            seasons,
            signs,
            observations,
            reported_meter,
            reported_checked,
        }
    }
}

/// The darkest patch is worked out where darkening was answered or a spot stands out.
fn asks_patch(visit: &Visit, observations: &[Observation]) -> bool {
    visit.signs.spring_darkening.is_some() || observations.iter().any(|it| it.zone == Zone::Spot)
}

/// The dome test is simulated where a limit or a reading is of that kind.
pub(super) fn asked_dome(visit: &Visit, limits: Limits) -> Dome {
    let asks_dome = limits.dome_flux.is_some()
        || visit
            .readings
            .iter()
            .any(|it| it.kind() == ReadingKind::CalciumChloride);
    if asks_dome {
        evidence::dome_test()
    } else {
        Dome::NotAsked
    }
}

/// Signs and readings as far as they matter for where to look.
pub(super) struct Coarse {
    pub signs: Vec<Sign>,
    pub observations: Vec<Observation>,
}

impl PreparedVisit {
    pub fn coarse(&self) -> Coarse {
        Coarse {
            signs: self.signs.iter().filter_map(Sign::coarse).collect(),
            observations: self.observations.iter().map(Observation::coarse).collect(),
        }
    }

    /// Draws and simulates a round; `from` draws went before it.
    pub fn draw(
        &self,
        proposal: Proposal,
        from: usize,
        size: usize,
        plan: &Plan,
        years: usize,
    ) -> Round {
        let spread = proposal.variance.map(f64::sqrt);
        let scores: Arc<[[f64; DIMENSIONS]]> = (from..from + size)
            .map(|index| {
                let even = kept_scores(index);
                std::array::from_fn(|at| proposal.mean[at] + spread[at] * even[at])
            })
            .collect();
        let mut groups = Vec::with_capacity(size / LANES);
        let mut outcomes = Vec::with_capacity(size);
        for chunk in scores.chunks_exact(LANES) {
            let parameters: [FloorParameters; LANES] =
                std::array::from_fn(|l| self.priors.parameters(&chunk[l]));
            let (group, mut some) = run_group_through(&self.place_year, plan, &parameters, years);
            groups.push(Arc::new(group));
            outcomes.append(&mut some);
        }
        Round {
            drawn: Drawn::whole(proposal, scores),
            outcomes: Shared::new(outcomes),
            groups,
        }
    }

    /// Draws of a round of another visit, drawn for this one. Versions of the same parameters are
    /// taken over from `known` as far as they are `untouched` by what differs; the rest is
    /// simulated through the next year.
    pub fn draw_beside(
        &self,
        other: &Drawn,
        thinned: &Thinned,
        known: &[SimulatedFloor],
        untouched: Untouched,
    ) -> Round {
        let draws = &thinned.draws;
        let scores: Arc<[[f64; DIMENSIONS]]> = draws.iter().map(|it| other.scores[it.0]).collect();
        let parameters: Vec<FloorParameters> =
            scores.iter().map(|it| self.priors.parameters(it)).collect();
        let mut outcomes: Vec<Option<SimulatedFloor>> = draws
            .iter()
            .zip(&parameters)
            .map(|((draw, _), it)| {
                let known = &known[*draw];
                (untouched(it) && known.parameters == *it).then(|| known.clone())
            })
            .collect();
        let open: Vec<usize> = (0..draws.len())
            .filter(|at| outcomes[*at].is_none())
            .collect();
        for some in open.chunks(LANES) {
            let lanes: [FloorParameters; LANES] =
                std::array::from_fn(|l| parameters[some[l.min(some.len() - 1)]].clone());
            let (_, simulated) = run_group_through(&self.place_year, &self.plan, &lanes, 1);
            for (at, it) in some.iter().zip(simulated) {
                outcomes[*at] = Some(it);
            }
        }
        Round {
            drawn: Drawn {
                proposal: other.proposal.clone(),
                scores,
                stands_for: draws.iter().map(|it| it.1).collect(),
                size: thinned.size,
            },
            outcomes: Shared::new(outcomes.into_iter().flatten().collect()),
            groups: Vec::new(),
        }
    }

    /// The next way of drawing, from the rounds so far and the coarse evidence.
    pub fn next_proposal(
        &self,
        coarse: &Coarse,
        rounds: &[Arc<Round>],
        marks: &[Snapshot],
    ) -> Proposal {
        let first_month = self.plan.reading_month + 1;
        let mut logs = mixed(rounds);
        let outcomes = rounds.iter().flat_map(|it| it.outcomes.outcomes());
        for (draw, outcome) in outcomes.enumerate() {
            let snapshots: Vec<Snapshot> = coarse
                .observations
                .iter()
                .enumerate()
                .map(|(mark, it)| match it.value {
                    ObservationValue::Dome { .. } => marks[draw * self.observations.len() + mark],
                    _ => outcome.reading_year[(first_month + it.step / STEPS_PER_MONTH) % 12],
                })
                .collect();
            logs[draw] += signs_log(&coarse.signs, outcome);
            logs[draw] += readings_log(
                &coarse.observations,
                &snapshots,
                self.reported_meter.as_deref(),
            )
            .0;
        }
        next_proposal(rounds, &logs, &self.priors)
    }
}

/// Log of the prior over the mixture of the rounds' densities, for each draw and those that it
/// stands for. The rounds are of one size before they are thinned.
pub(super) fn mixed(rounds: &[Arc<Round>]) -> Vec<f64> {
    debug_assert!(
        rounds
            .iter()
            .all(|it| it.drawn.size == rounds[0].drawn.size)
    );
    let stand_for = rounds.iter().flat_map(|it| it.drawn.stands_for.iter());
    if rounds.len() == 1 {
        // Of the prior alone each draw counts the same.
        return stand_for.copied().collect();
    }
    let scores = rounds.iter().flat_map(|it| it.drawn.scores.iter());
    scores
        .zip(stand_for)
        .map(|(it, stands_for)| {
            let logs: Vec<f64> = rounds
                .iter()
                .map(|by| by.drawn.proposal.log_density(it))
                .collect();
            let highest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let sum: f64 = logs.iter().map(|log| libm::exp(log - highest)).sum();
            logs[0] - highest - libm::log(sum / rounds.len() as f64) + stands_for
        })
        .collect()
}

/// A normal about the draws that count, drawn toward the prior where few do.
fn next_proposal(rounds: &[Arc<Round>], log_weights: &[f64], priors: &PriorSet) -> Proposal {
    let scores = || rounds.iter().flat_map(|it| it.drawn.scores.iter());
    let (weights, _) = tempered(log_weights, AIMING_DRAWS);
    let effective = effective_draws(&weights);
    let trust = effective / (effective + AIMING_PRIOR);
    let mut proposal = Proposal::prior();
    for at in (0..DIMENSIONS).filter(|it| priors.is_drawn(*it)) {
        let mean: f64 = weights
            .iter()
            .zip(scores())
            .map(|(weight, it)| weight * it[at])
            .sum();
        let variance: f64 = weights
            .iter()
            .zip(scores())
            .map(|(weight, it)| weight * (it[at] - mean) * (it[at] - mean))
            .sum();
        proposal.mean[at] = trust * mean;
        proposal.variance[at] = (trust * variance + 1.0 - trust).clamp(0.3, 1.0);
        proposal.log_variance[at] = libm::log(proposal.variance[at]);
    }
    proposal
}
