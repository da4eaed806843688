//! The versions of the floor that remain, and how much each counts.

use super::evidence::{
    self, EvidenceTable, Observation, ObservationValue, Scale, Seasons, Sign, chance_at_or_under,
    observations, readings_log, shared_log, signs, signs_log, step_of,
};
use super::first_round::FirstRound;
use super::forcing::{FloorConstants, PlaceYear};
use super::outcomes::{Shared, SimulatedFloors};
use super::parameters::{DIMENSIONS, FloorParameters, PriorSet, YEARS_DRAWN, is_run_from_placing};
use super::pareto::{Smoothed, effective_draws, smooth, tempered};
use super::priors::{Priors, normal_cdf};
pub use super::quantiles::weighted_quantiles;
use super::simulate::{
    Dome, Group, Highest, LANES, MachinePlan, Plan, SimulatedFloor, Snapshot, Start,
    run_group_through, run_on,
};
use super::sobol::kept_scores;
use crate::climate::Place;
use crate::season::{DAYS_PER_YEAR, STEPS_PER_MONTH, STEPS_PER_YEAR};
use crate::slab::Machines;
use crate::survey::{Dehumidifier, ReadingKind, Visit, age_days};
use chrono::Datelike;
use std::sync::{Arc, OnceLock};

/// How hard to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Draws of one round.
    pub round: usize,
    /// Most draws altogether.
    pub most: usize,
    /// Effective draws that are enough.
    pub enough: f64,
    /// Years ahead that are simulated: the next one, or five.
    pub ahead: Ahead,
}

/// How far ahead floors are run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ahead {
    NextYear,
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
/// Share of the weight that may be left out of quantiles and of the years after next.
const NEGLIGIBLE: f64 = 1.0e-5;

/// What the system being quoted allows; all given ones must hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    pub meter_percent: Option<f64>,
    pub probe_humidity: Option<f64>,
    /// kg/(m2 s) in the dome test.
    pub dome_flux: Option<f64>,
}

/// Everything that is known of the floor after the answers and the readings.
#[derive(Debug, Clone)]
pub struct Posterior {
    pub outcomes: SimulatedFloors,
    /// Weights by answers, signs and readings.
    pub after: Smoothed,
    /// Weights by answers and signs alone.
    pub before: Smoothed,
    /// The scale of the meter whose readings are told, for each draw, after the readings.
    pub scales: Vec<Scale>,
    /// The same before any reading.
    pub scale_before: Scale,
    pub observations: Vec<Observation>,
    pub signs: Vec<Sign>,
    pub seasons: Seasons,
    pub limits: Limits,
    pub plan: Plan,
    pub effective_draws: f64,
    /// Least two-sided chance of a reading among the answers' floors, corrected for their
    /// number; `None` without a reading.
    pub reading_p_value: Option<f64>,
    /// Whether the reading lies above what the answers explain.
    pub reading_is_high: bool,
    /// Log of the mean likelihood of signs and readings under the answers' priors.
    pub log_evidence: f64,
    /// Rounds of draws.
    pub rounds: usize,
    told: Option<String>,
    over_after: OnceLock<Vec<f64>>,
    groups: Vec<Group>,
    /// What each version was like at each observation, draw after draw.
    marks: Vec<Snapshot>,
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

/// A round of draws: where they were drawn and what became of them.
#[derive(Debug)]
pub(super) struct Round {
    proposal: Proposal,
    scores: Vec<[f64; DIMENSIONS]>,
    outcomes: Shared,
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
        marks: observations.iter().map(|it| it.step).collect(),
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
    let middle = priors.parameters(&[0.0; DIMENSIONS]);
    let months = place.balance(&middle);
    Seasons::from_store(&std::array::from_fn(|month| months[month].ground_mm))
}

/// Weighs versions of the floor by everything the visit says.
pub fn posterior(place: &Place, visit: &Visit, limits: Limits, effort: Effort) -> Posterior {
    weigh(&PreparedVisit::out(place, visit, limits), effort, None)
}

/// [`posterior`] of the next year alone, going on from a first round that visits of the same
/// place and answers share. The digits are those of `posterior`; what only the ways forward
/// need is not kept.
pub fn posterior_from(
    place: &Place,
    visit: &Visit,
    limits: Limits,
    first: &FirstRound,
) -> Posterior {
    let prepared = PreparedVisit::out(place, visit, limits);
    weigh(&prepared, FULL.next_year_only(), Some(first))
}

/// A visit as drawing needs it: the priors that its answers select, its signs and readings,
/// and its calendar.
pub(super) struct PreparedVisit {
    pub priors: PriorSet,
    pub place_year: PlaceYear,
    pub plan: Plan,
    limits: Limits,
    seasons: Seasons,
    signs: Vec<Sign>,
    observations: Vec<Observation>,
    told: Option<String>,
    told_checked: bool,
}

impl PreparedVisit {
    pub fn out(place: &Place, visit: &Visit, limits: Limits) -> Self {
        let priors = PriorSet::for_visit(visit);
        let place_year = PlaceYear::new(place, priors.below_grade);
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
        let told = newest.and_then(|it| it.meter.clone());
        let told_checked = newest.is_some_and(|it| it.checked);
        Self {
            priors,
            place_year,
            plan,
            limits,
            seasons,
            signs,
            observations,
            told,
            told_checked,
        }
    }
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
struct Coarse {
    signs: Vec<Sign>,
    observations: Vec<Observation>,
}

impl PreparedVisit {
    fn coarse(&self) -> Coarse {
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
    ) -> (Round, Vec<Group>) {
        let spread = proposal.variance.map(f64::sqrt);
        let scores: Vec<[f64; DIMENSIONS]> = (from..from + size)
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
            // What may be shared is never run on.
            if years > 1 {
                groups.push(group);
            }
            outcomes.append(&mut some);
        }
        let round = Round {
            proposal,
            scores,
            outcomes: Shared::new(outcomes),
        };
        (round, groups)
    }

    /// The next way of drawing, from the rounds so far and the coarse evidence.
    fn next_proposal(
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
            logs[draw] += readings_log(&coarse.observations, &snapshots, self.told.as_deref()).0;
        }
        next_proposal(rounds, &logs, &self.priors)
    }
}

fn weigh(prepared: &PreparedVisit, effort: Effort, first: Option<&FirstRound>) -> Posterior {
    let PreparedVisit {
        plan,
        limits,
        seasons,
        signs,
        observations,
        told,
        told_checked,
        ..
    } = prepared;
    let coarse = prepared.coarse();
    let coarse_text = format!("{:?} {:?}", coarse.signs, coarse.observations);
    let columns = match first {
        Some(first) => first.columns_of(plan),
        None => (0..plan.marks.len()).collect(),
    };
    let mut rounds: Vec<Arc<Round>> = Vec::new();
    let mut outcomes = SimulatedFloors::default();
    let mut groups: Vec<Group> = Vec::new();
    let mut marks: Vec<Snapshot> = Vec::new();
    let mut scales: Vec<Scale> = Vec::new();
    let mut sign_logs: Vec<f64> = Vec::new();
    let mut reading_logs: Vec<f64> = Vec::new();
    loop {
        let from = outcomes.len();
        let proposal = || match rounds.is_empty() {
            true => Proposal::prior(),
            false => prepared.next_proposal(&coarse, &rounds, &marks),
        };
        let round = match first {
            Some(first) if rounds.is_empty() => first.round().clone(),
            Some(first) => first.further(&coarse_text, rounds.len(), || {
                prepared
                    .draw(proposal(), from, effort.round, first.plan(), 1)
                    .0
            }),
            None => {
                let (round, mut some) =
                    prepared.draw(proposal(), from, effort.round, plan, YEARS_DRAWN);
                groups.append(&mut some);
                Arc::new(round)
            }
        };
        outcomes.add(&round.outcomes);
        for outcome in round.outcomes.outcomes() {
            marks.extend(columns.iter().map(|at| outcome.at_marks[*at]));
        }
        rounds.push(round);
        let by_sign: Vec<Vec<f64>> = signs.iter().map(|it| outcomes.newest_logs(it)).collect();
        for draw in from..outcomes.len() {
            let at_marks = &marks[draw * observations.len()..(draw + 1) * observations.len()];
            sign_logs.push(shared_log(signs, |sign| by_sign[sign][draw - from]));
            let (log, scale) = readings_log(observations, at_marks, told.as_deref());
            reading_logs.push(log);
            scales.push(scale);
        }
        // The deterministic mixture of all rounds so far, each of the same size.
        let mixture = mixed(&rounds);
        let before: Vec<f64> = mixture.iter().zip(&sign_logs).map(|(a, b)| a + b).collect();
        let after: Vec<f64> = before
            .iter()
            .zip(&reading_logs)
            .map(|(a, b)| a + b)
            .collect();
        let smoothed = smooth(&after);
        let effective = effective_draws(&smoothed.weights);
        let done = effective >= effort.enough || outcomes.len() + effort.round > effort.most;
        if !done {
            continue;
        }
        let log_evidence = mean_of_logs(&after) - mean_of_logs(&mixture);
        let before = smooth(&before);
        let (reading_p_value, reading_is_high) = p_value(observations, &marks, &before.weights);
        let mut posterior = Posterior {
            outcomes,
            after: smoothed,
            before,
            scales,
            scale_before: Scale::prior(*told_checked),
            observations: observations.clone(),
            signs: signs.clone(),
            seasons: seasons.clone(),
            limits: *limits,
            plan: plan.clone(),
            effective_draws: effective,
            reading_p_value,
            reading_is_high,
            log_evidence,
            rounds: rounds.len(),
            told: told.clone(),
            over_after: OnceLock::new(),
            groups,
            marks,
        };
        // Held twice, a round would be copied where it is run on.
        drop(rounds);
        if effort.ahead == Ahead::FiveYears {
            posterior.run_later();
        }
        return posterior;
    }
}

/// Log of the prior over the mixture of the rounds' densities, for each draw.
fn mixed(rounds: &[Arc<Round>]) -> Vec<f64> {
    let scores = rounds.iter().flat_map(|it| &it.scores);
    if rounds.len() == 1 {
        // Of the prior alone each draw counts the same.
        return scores.map(|_| 0.0).collect();
    }
    scores
        .map(|it| {
            let logs: Vec<f64> = rounds
                .iter()
                .map(|by| by.proposal.log_density(it))
                .collect();
            let highest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let sum: f64 = logs.iter().map(|log| libm::exp(log - highest)).sum();
            logs[0] - highest - libm::log(sum / rounds.len() as f64)
        })
        .collect()
}

/// Log of the mean of numbers given by their logs.
fn mean_of_logs(logs: &[f64]) -> f64 {
    let highest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = logs.iter().map(|it| libm::exp(it - highest)).sum();
    highest + libm::log(sum / logs.len() as f64)
}

/// A normal about the draws that count, drawn toward the prior where few do.
fn next_proposal(rounds: &[Arc<Round>], log_weights: &[f64], priors: &PriorSet) -> Proposal {
    let scores = || rounds.iter().flat_map(|it| &it.scores);
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

/// Least two-sided chance of the readings among floors weighed without them.
fn p_value(
    observations: &[Observation],
    marks: &[Snapshot],
    weights: &[f64],
) -> (Option<f64>, bool) {
    let mut least: Option<(f64, bool)> = None;
    let mut count = 0;
    for (mark, it) in observations.iter().enumerate() {
        let mut under = 0.0;
        let mut ordered = true;
        for (draw, weight) in weights.iter().enumerate() {
            match chance_at_or_under(it, &marks[draw * observations.len() + mark]) {
                Some(chance) => under += weight * chance,
                None => ordered = false,
            }
        }
        if ordered {
            count += 1;
            let p = 2.0 * under.min(1.0 - under);
            if least.is_none_or(|(before, _)| p < before) {
                least = Some((p, under > 0.5));
            }
        }
    }
    match least {
        Some((p, high)) => (Some((p * f64::from(count)).min(1.0)), high),
        None => (None, false),
    }
}

impl Posterior {
    /// Runs on the versions that count through the years after next.
    fn run_later(&mut self) {
        for (at, group) in self.groups.iter().enumerate() {
            let part: f64 = self.after.weights[at * LANES..(at + 1) * LANES]
                .iter()
                .sum();
            if part < NEGLIGIBLE / self.groups.len() as f64 {
                continue;
            }
            let later: [Highest; LANES] = run_on(group, &self.plan);
            for (l, it) in later.into_iter().enumerate() {
                self.outcomes[at * LANES + l].later = Some(it);
            }
        }
    }

    /// What a version was like at each observation.
    pub fn at_marks(&self, draw: usize) -> &[Snapshot] {
        &self.marks[draw * self.observations.len()..(draw + 1) * self.observations.len()]
    }

    /// Groups of versions at the end of the next year, in the order of the draws.
    pub fn groups(&self) -> &[Group] {
        &self.groups
    }

    /// Whether the readings are explained by climate and answers.
    pub fn is_explained(&self) -> bool {
        self.reading_p_value
            .is_none_or(|it| it >= EvidenceTable::bundled().reading_refused_p)
    }

    /// Chance that one version goes over a limit, given its highest values.
    pub fn over(&self, scale: Scale, most: Highest) -> f64 {
        let probe = self
            .limits
            .probe_humidity
            .is_some_and(|it| most.probe_humidity > it);
        let dome = self.limits.dome_flux.is_some_and(|it| most.dome_flux > it);
        if probe || dome {
            return 1.0;
        }
        match self.limits.meter_percent {
            Some(limit) => {
                let dry = 100.0 * most.meter_fraction;
                1.0 - normal_cdf((limit / dry.max(1.0e-9) - scale.mean) / scale.sd)
            }
            None => 0.0,
        }
    }

    /// Chance that each version goes over a limit in the next year.
    pub fn over_next_year(&self, draw: usize, scale: Scale) -> f64 {
        self.over(scale, self.outcomes[draw].next_most)
    }

    /// Chance that each version goes over a limit in the next year, by its scale after the
    /// readings.
    pub fn over_after(&self) -> &[f64] {
        self.over_after.get_or_init(|| {
            let of =
                |(outcome, scale): (&SimulatedFloor, &Scale)| self.over(*scale, outcome.next_most);
            self.outcomes.iter().zip(&self.scales).map(of).collect()
        })
    }

    /// Chance that the next year's wettest reading is over a limit, after the readings.
    pub fn exceedance(&self) -> f64 {
        let over = self.over_after();
        self.mean_after(|draw| over[draw])
    }

    /// Chance before the reading.
    pub fn exceedance_before(&self) -> f64 {
        (0..self.outcomes.len())
            .map(|draw| self.before.weights[draw] * self.over_next_year(draw, self.scale_before))
            .sum()
    }

    /// Chance that any of the next five years goes over a limit; of the next year alone where
    /// no others were run.
    pub fn exceedance_five_years(&self) -> f64 {
        let over = self.over_after();
        self.mean_after(|draw| match self.outcomes[draw].later {
            None => over[draw],
            Some(later) => self.over(self.scales[draw], self.outcomes[draw].next_most.and(later)),
        })
    }

    /// Chances before and after the readings if all concrete held `content` kg/m3 at
    /// saturation: the meter's middle scale is one unsourced number, so it is moved by the
    /// ratio of the contents against the same readings of water.
    pub fn with_saturation_content(&self, content: f64) -> (f64, f64) {
        let middle = Priors::bundled().of("saturation_content", "any").value();
        let ratio = content / middle;
        let before_scale = Scale {
            mean: self.scale_before.mean * ratio,
            sd: self.scale_before.sd * ratio,
        };
        let before = (0..self.outcomes.len())
            .map(|draw| self.before.weights[draw] * self.over_next_year(draw, before_scale))
            .sum();
        let mut scales = Vec::with_capacity(self.outcomes.len());
        let logs: Vec<f64> = self
            .before
            .weights
            .iter()
            .enumerate()
            .map(|(draw, weight)| {
                let scaled: Vec<Snapshot> = self
                    .at_marks(draw)
                    .iter()
                    .map(|it| Snapshot {
                        meter_fraction: ratio * it.meter_fraction,
                        ..*it
                    })
                    .collect();
                let (log, scale) = readings_log(&self.observations, &scaled, self.told.as_deref());
                scales.push(Scale {
                    mean: scale.mean * ratio,
                    sd: scale.sd * ratio,
                });
                libm::log(weight.max(1.0e-300)) + log
            })
            .collect();
        let weights = smooth(&logs).weights;
        let after = weights
            .iter()
            .enumerate()
            .filter(|(_, weight)| **weight > 0.0)
            .map(|(draw, weight)| weight * self.over_next_year(draw, scales[draw]))
            .sum();
        (before, after)
    }

    /// Mean over the versions by the weights after the readings.
    pub fn mean_after(&self, value: impl Fn(usize) -> f64) -> f64 {
        self.after
            .weights
            .iter()
            .enumerate()
            .filter(|(_, weight)| **weight > 0.0)
            .map(|(draw, weight)| weight * value(draw))
            .sum()
    }

    /// Quantile of what the meter would show for values of the draws: `dry_percent` gives the
    /// water content in percent for each draw.
    pub fn reading_quantiles(
        &self,
        weights: &[f64],
        scales: impl Fn(usize) -> Scale,
        dry_percent: impl Fn(usize) -> f64,
        chances: [f64; 3],
    ) -> [f64; 3] {
        // The scale of each draw enters by five points of equal weight, the middles of fifths of
        // a normal, widened by 1.142 so that they keep its variance.
        const POINTS: [f64; 5] = [-1.463_5, -0.598_9, 0.0, 0.598_9, 1.463_5];
        let mut values: Vec<(f64, f64)> = Vec::with_capacity(weights.len() * POINTS.len());
        for (draw, weight) in weights.iter().enumerate() {
            if *weight > NEGLIGIBLE / weights.len() as f64 {
                let (scale, dry) = (scales(draw), dry_percent(draw));
                for point in POINTS {
                    values.push((
                        dry * (scale.mean + scale.sd * point),
                        weight / POINTS.len() as f64,
                    ));
                }
            }
        }
        weighted_quantiles(&mut values, chances)
    }

    /// Chance of going over in the next year without one sign: after the readings, or
    /// before them for a reading that is held.
    pub fn chance_without_sign(&self, question: &str, held: bool) -> f64 {
        let rest: Vec<Sign> = self
            .signs
            .iter()
            .filter(|it| it.question != question)
            .cloned()
            .collect();
        let weights = if held {
            &self.before.weights
        } else {
            &self.after.weights
        };
        let logs: Vec<f64> = self
            .outcomes
            .iter()
            .zip(weights)
            .map(|(outcome, weight)| {
                libm::log(weight.max(1.0e-300)) - signs_log(&self.signs, outcome)
                    + signs_log(&rest, outcome)
            })
            .collect();
        smooth(&logs)
            .weights
            .iter()
            .enumerate()
            .filter(|(_, weight)| **weight > 0.0)
            .map(|(draw, weight)| {
                let scale = if held {
                    self.scale_before
                } else {
                    self.scales[draw]
                };
                weight * self.over_next_year(draw, scale)
            })
            .sum()
    }

    /// Chance of a leak that no answer tells of, by the first meter reading.
    pub fn leak_chance(&self, prior: f64) -> f64 {
        let table = EvidenceTable::bundled();
        let Some((mark, it)) = self
            .observations
            .iter()
            .enumerate()
            .find(|(_, it)| matches!(it.value, ObservationValue::Meter { .. }))
        else {
            return prior;
        };
        let ObservationValue::Meter { percent, .. } = it.value else {
            return prior;
        };
        let one = std::slice::from_ref(it);
        let explained: f64 = self
            .before
            .weights
            .iter()
            .enumerate()
            .map(|(draw, weight)| {
                let at_mark = &self.at_marks(draw)[mark..=mark];
                weight * libm::exp(readings_log(one, at_mark, None).0)
            })
            .sum();
        let score = (percent - table.leak_reading) / table.leak_reading_sd;
        let leak = libm::exp(-0.5 * score * score) / (table.leak_reading_sd * 2.506_628_274_631);
        prior * leak / (prior * leak + (1.0 - prior) * explained).max(1.0e-300)
    }
}

/// Zones along the walls stand out where their observed number does.
pub fn stands_out(observations: &[Observation]) -> Option<evidence::Zone> {
    observations
        .iter()
        .map(|it| it.zone)
        .find(|it| *it != evidence::Zone::Field)
}
