//! The versions of the floor that remain, and how much each counts.

use super::evidence::{
    self, EvidenceTable, Observation, ObservationValue, Scale, Seasons, Sign, Zone,
    chance_at_or_under, readings_log, shared_log,
};
use super::first_round::FirstRound;
use super::outcomes::SimulatedFloors;
use super::parameters::YEARS_DRAWN;
use super::pareto::{Smoothed, effective_draws, smooth};
use super::priors::{Priors, normal_cdf};
pub use super::quantiles::weighted_quantiles;
pub use super::rounds::{Ahead, Effort, FULL, Limits, plan, seasons};
use super::rounds::{Drawn, PreparedVisit, Proposal, Round, Thinned, Untouched, mixed};
use super::simulate::{Group, Highest, LANES, Plan, Pump, SimulatedFloor, Snapshot, run_on};
use crate::climate::Place;
use crate::season::STEPS_PER_MONTH;
use crate::slab::Machines;
use crate::survey::Visit;
use std::sync::{Arc, OnceLock};

/// Share of the weight that may be left out of quantiles and of the years after next.
const NEGLIGIBLE: f64 = 1.0e-5;

/// What the floors are weighed by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Answers and signs alone: before any reading, and for a reading that is held.
    Answers,
    /// The readings as well.
    Readings,
}

/// Everything that is known of the floor after the answers and the readings.
#[derive(Debug, Clone)]
pub struct Posterior {
    /// What each version of the floor did, in the order of the draws.
    pub outcomes: SimulatedFloors,
    /// Weights by answers, signs and readings.
    pub after: Smoothed,
    /// Weights by answers and signs alone.
    pub before: Smoothed,
    /// The scale of the meter whose readings are reported, for each draw, after the readings.
    pub scales: Vec<Scale>,
    /// The same before any reading.
    pub scale_before: Scale,
    /// What is weighed of the readings: one number for each date, kind and meter.
    pub observations: Vec<Observation>,
    /// What is weighed of the answers that are signs.
    pub signs: Vec<Sign>,
    /// The place's wet and dry months.
    pub seasons: Seasons,
    /// The limits that going over is told of.
    pub limits: Limits,
    /// Calendar and use of the floor.
    pub plan: Plan,
    /// Equally weighted draws that the weights after the readings are worth.
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
    reported_meter: Option<String>,
    over_after: OnceLock<Vec<f64>>,
    groups: Vec<Arc<Group>>,
    /// What each version was like at each observation, draw after draw.
    marks: Vec<Snapshot>,
    /// Where each round was drawn.
    drawn: Vec<Drawn>,
    /// Whether the floor was taken to lie below grade.
    below_grade: bool,
}

/// Weighs versions of the floor by everything the visit says.
pub fn posterior(place: &Place, visit: &Visit, limits: Limits, effort: Effort) -> Posterior {
    weigh(
        &PreparedVisit::out(place, visit, limits),
        effort,
        Source::Own,
    )
}

/// What differs in the years ahead of a floor, and in nothing before its visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Otherwise {
    /// The sump pump goes on running.
    PumpRuns,
    /// The machine is off.
    MachineOff,
}

/// [`posterior`] of the next year alone for a floor of `main` whose years ahead are otherwise.
/// All that was seen and read stays as it was, so that the draws of `main` keep their weights.
pub fn posterior_otherwise(
    main: &Posterior,
    place: &Place,
    visit: &Visit,
    otherwise: Otherwise,
) -> Posterior {
    let mut prepared = PreparedVisit::out(place, visit, main.limits);
    let untouched: Untouched = match otherwise {
        Otherwise::PumpRuns => {
            prepared.plan.pump = Pump::Runs;
            |it| !it.drain_works
        }
        Otherwise::MachineOff => {
            prepared.plan.machines.after = Machines::Off;
            |it| !it.has_machine
        }
    };
    // As many rounds as `main` has.
    let effort = Effort {
        most: usize::MAX,
        enough: 0.0,
        ..FULL.next_year_only()
    };
    // Both weights of a draw may be asked for.
    let [by_answers, by_readings] =
        [Basis::Answers, Basis::Readings].map(|it| main.by(it).counts());
    let counts: Vec<f64> = by_answers
        .iter()
        .zip(&by_readings)
        .map(|(a, b)| a.max(*b))
        .collect();
    let thinned = main.of_rounds(&counts, usize::MAX, Thinned::that_count);
    let source = Source::Beside {
        main,
        basis: Basis::Readings,
        untouched,
        thinned: &thinned,
    };
    weigh(&prepared, effort, source)
}

/// [`posterior`] of the next year alone, going on from a first round that visits of the same
/// place and answers share. The digits are those of `posterior`; of the
/// water table no more than a year is kept.
pub fn posterior_from(
    place: &Place,
    visit: &Visit,
    limits: Limits,
    first: &FirstRound,
) -> Posterior {
    let prepared = PreparedVisit::out(place, visit, limits);
    weigh(&prepared, FULL.next_year_only(), Source::Shared(first))
}

/// [`posterior`] of the next year for another visit to the same floor, one answer apart: it
/// begins with the first `effort.round` draws of each round of `main`, thinned by their weights
/// in it, and takes over the floors about which the answer changes nothing. Errors of the two
/// chances are mostly the same, so that fewer draws tell their difference; a chance that is told
/// itself wants [`posterior`].
pub fn posterior_beside(
    main: &Posterior,
    basis: Basis,
    place: &Place,
    visit: &Visit,
    effort: Effort,
) -> Posterior {
    let mut prepared = PreparedVisit::out(place, visit, main.limits);
    // A patch that is worked out and not asked for changes nothing.
    let plan = Plan {
        marks: main.plan.marks.clone(),
        patch: main.plan.patch,
        ..prepared.plan.clone()
    };
    let is_alike = plan == main.plan
        && prepared.plan.marks == plan.marks
        && prepared.priors.below_grade == main.below_grade;
    if is_alike {
        prepared.plan = plan;
    }
    let counts = main.by(basis).counts();
    let thinned = main.of_rounds(&counts, effort.round, |it| Thinned::of(it, main.rounds));
    weigh(
        &prepared,
        effort.next_year_only(),
        Source::Beside {
            main,
            basis,
            untouched: if is_alike { |_| true } else { |_| false },
            thinned: &thinned,
        },
    )
}

/// Where the draws of a visit come from.
#[derive(Clone, Copy)]
enum Source<'a> {
    /// Its own rounds.
    Own,
    /// Rounds that visits of the same place and answers share.
    Shared(&'a FirstRound),
    /// Those of another visit to the same floor, before rounds of its own.
    Beside {
        main: &'a Posterior,
        /// What the chance is asked by.
        basis: Basis,
        /// Which floors of the same parameters do the same in both.
        untouched: Untouched,
        /// The draws of each of its rounds that are looked at again.
        thinned: &'a [Thinned],
    },
}

fn weigh(prepared: &PreparedVisit, effort: Effort, source: Source) -> Posterior {
    let PreparedVisit {
        plan,
        limits,
        seasons,
        signs,
        observations,
        reported_meter,
        reported_checked,
        ..
    } = prepared;
    let coarse = prepared.coarse();
    let coarse_text = format!("{:?} {:?}", coarse.signs, coarse.observations);
    let columns = match source {
        Source::Shared(first) => first.columns_of(plan),
        Source::Own | Source::Beside { .. } => (0..plan.marks.len()).collect(),
    };
    let mut rounds: Vec<Arc<Round>> = Vec::new();
    let mut outcomes = SimulatedFloors::default();
    let mut marks: Vec<Snapshot> = Vec::new();
    let mut logs = DrawLogs::default();
    loop {
        let from = rounds.len() * effort.round;
        let proposal = || match rounds.is_empty() {
            true => Proposal::prior(),
            false => prepared.next_proposal(&coarse, &rounds, &marks),
        };
        let at = rounds.len();
        let round = match source {
            Source::Beside {
                main,
                untouched,
                thinned,
                ..
            } if at < main.drawn.len() => {
                let known = main.outcomes.round(at);
                Arc::new(prepared.draw_beside(&main.drawn[at], &thinned[at], known, untouched))
            }
            Source::Beside { .. } => {
                Arc::new(prepared.draw(proposal(), from, effort.round, plan, 1))
            }
            Source::Shared(first) if rounds.is_empty() => first.round().clone(),
            Source::Shared(first) => first.further(&coarse_text, rounds.len(), || {
                prepared.draw(proposal(), from, effort.round, first.plan(), 1)
            }),
            Source::Own => {
                Arc::new(prepared.draw(proposal(), from, effort.round, plan, YEARS_DRAWN))
            }
        };
        outcomes.add(&round.outcomes);
        for outcome in round.outcomes.outcomes() {
            let at = observations.iter().zip(&columns);
            marks.extend(at.map(|(it, at)| seen_at(it, *at, plan.reading_month + 1, outcome)));
        }
        rounds.push(round);
        logs.add(prepared, &outcomes, &marks);
        // The deterministic mixture of all rounds so far, each of the same size.
        let mixture = mixed(&rounds);
        let before = sums(&mixture, &logs.signs);
        let after = sums(&before, &logs.readings);
        let smoothed = smooth(&after);
        let effective = effective_draws(&smoothed.weights);
        let trusted = smoothed.k_hat <= EvidenceTable::bundled().k_hat_limit;
        let enough = match source {
            // Nothing is told of these draws but a difference, so that the number will do.
            Source::Beside { main, basis, .. } => {
                let effective = match basis {
                    Basis::Answers => effective_draws(&smooth(&before).weights),
                    Basis::Readings => effective,
                };
                rounds.len() >= main.drawn.len() && effective >= effort.enough
            }
            Source::Own | Source::Shared(_) => {
                effort.enough <= 0.0 || effective >= effort.enough && trusted
            }
        };
        let done = enough || (rounds.len() + 1) * effort.round > effort.most;
        if !done {
            continue;
        }
        let log_evidence = mean_of_logs(&after) - mean_of_logs(&mixture);
        let before = smooth(&before);
        let (reading_p_value, reading_is_high) = p_value(
            observations,
            &marks,
            &before.weights,
            reported_meter.as_deref(),
        );
        let posterior = Posterior {
            outcomes,
            after: smoothed,
            before,
            scales: logs.scales,
            scale_before: Scale::prior(*reported_checked),
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
            reported_meter: reported_meter.clone(),
            over_after: OnceLock::new(),
            groups: rounds.iter().flat_map(|it| it.groups.clone()).collect(),
            marks,
            drawn: rounds.iter().map(|it| it.drawn.clone()).collect(),
            below_grade: prepared.priors.below_grade,
        };
        // Held twice, a round would be copied where it is run on.
        drop(rounds);
        return match effort.ahead {
            Ahead::NextYear => posterior,
            Ahead::FiveYears => posterior.through_five_years(),
        };
    }
}

/// Log likelihoods of what was seen and read, draw after draw.
#[derive(Default)]
struct DrawLogs {
    /// Of all signs together.
    signs: Vec<f64>,
    /// Of all readings together.
    readings: Vec<f64>,
    /// The reported meter's scale, as each draw leaves it.
    scales: Vec<Scale>,
}

impl DrawLogs {
    /// Adds those of the newest round.
    fn add(&mut self, prepared: &PreparedVisit, outcomes: &SimulatedFloors, marks: &[Snapshot]) {
        let PreparedVisit {
            signs,
            observations,
            reported_meter,
            ..
        } = prepared;
        let from = self.signs.len();
        let by_sign: Vec<Vec<f64>> = signs.iter().map(|it| outcomes.newest_logs(it)).collect();
        for draw in from..outcomes.len() {
            let at_marks = &marks[draw * observations.len()..(draw + 1) * observations.len()];
            self.signs
                .push(shared_log(signs, |sign| by_sign[sign][draw - from]));
            let (log, scale) = readings_log(observations, at_marks, reported_meter.as_deref());
            self.readings.push(log);
            self.scales.push(scale);
        }
    }
}

/// Sums of two lists of logs, draw by draw.
fn sums(one: &[f64], other: &[f64]) -> Vec<f64> {
    one.iter().zip(other).map(|(a, b)| a + b).collect()
}

/// What a floor was like where and when a number was read: a spot that stands out is read on the
/// darkest patch, in its month.
fn seen_at(
    it: &Observation,
    column: usize,
    first_month: usize,
    outcome: &SimulatedFloor,
) -> Snapshot {
    match &outcome.patch {
        Some(patch)
            if it.zone == Zone::Spot && !matches!(it.value, ObservationValue::Dome { .. }) =>
        {
            let month = (first_month + it.step / STEPS_PER_MONTH) % 12;
            patch.reading_year[month]
        }
        _ => outcome.at_marks[column],
    }
}

/// Log of the mean of numbers given by their logs.
fn mean_of_logs(logs: &[f64]) -> f64 {
    let highest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = logs.iter().map(|it| libm::exp(it - highest)).sum();
    highest + libm::log(sum / logs.len() as f64)
}

/// How likely readings as far out as these are among the answers' floors, two-sided, and
/// whether they lie above: the least chance of a single reading, corrected for their number, or
/// that of all of them together. Each is also judged by what the readings before it leave, so
/// that a course which no floor takes is seen though every number alone is ordinary.
fn p_value(
    observations: &[Observation],
    marks: &[Snapshot],
    weights: &[f64],
    reported: Option<&str>,
) -> (Option<f64>, bool) {
    let mut least: Option<(f64, bool)> = None;
    let (mut count, mut squares) = (0.0, 0.0);
    for mark in 0..observations.len() {
        let Some(alone) = chance_under(observations, marks, weights, mark, &[]) else {
            continue;
        };
        count += 1.0;
        let p = 2.0 * alone.min(1.0 - alone);
        if least.is_none_or(|(before, _)| p < before) {
            least = Some((p, alone > 0.5));
        }
        let logs = logs_of_first(observations, marks, weights, mark, reported);
        let after = chance_under(observations, marks, &logs.0, mark, &logs.1);
        let after = after
            .unwrap_or(alone)
            .clamp(LEAST_CHANCE, 1.0 - LEAST_CHANCE);
        let score = super::priors::normal_score(after);
        squares += score * score;
    }
    match least {
        Some((p, high)) => {
            let single = (p * count).min(1.0);
            let together = chi_square_over(squares, count);
            let both = match too_even(observations) {
                // Of three that are looked at, the least.
                Some(even) => 3.0 * single.min(together).min(even),
                None if count > 1.0 => 2.0 * single.min(together),
                None => single,
            };
            let both = both.min(1.0);
            (Some(both), high)
        }
        None => (None, false),
    }
}

/// How likely meter readings are to lie as close together as these, at most: the noise of the
/// spots alone sets them further apart, and a floor's year adds to that. `None` for a few.
///
/// Readings that are more even than a meter's noise lets any be were not read month by month.
fn too_even(observations: &[Observation]) -> Option<f64> {
    let table = EvidenceTable::bundled();
    let meter: Vec<(f64, f64)> = observations
        .iter()
        .filter_map(|it| match it.value {
            ObservationValue::Meter { percent, .. } => {
                Some((percent, it.spots as f64 / table.meter_noise.powi(2)))
            }
            _ => None,
        })
        .collect();
    if (meter.len() as f64) < table.even_course_readings {
        return None;
    }
    let weights: f64 = meter.iter().map(|it| it.1).sum();
    let mean = meter.iter().map(|it| it.0 * it.1).sum::<f64>() / weights;
    let squares: f64 = meter.iter().map(|it| it.1 * (it.0 - mean).powi(2)).sum();
    Some(1.0 - chi_square_over(squares, meter.len() as f64 - 1.0))
}

/// Chance of a reading at or under the one at `mark`, by weights of the draws and the meter's
/// scale of each draw, the prior one where none is given; `None` for a sheet.
fn chance_under(
    observations: &[Observation],
    marks: &[Snapshot],
    weights: &[f64],
    mark: usize,
    scales: &[Scale],
) -> Option<f64> {
    let it = &observations[mark];
    let mut under = 0.0;
    for (draw, weight) in weights.iter().enumerate() {
        if *weight <= 0.0 {
            continue;
        }
        let snapshot = &marks[draw * observations.len() + mark];
        let scale = scales.get(draw).copied();
        under += weight * chance_at_or_under(it, snapshot, scale)?;
    }
    Some(under)
}

/// Weights of the draws after the first `count` readings, and the scale of the meter of the next
/// one for each draw.
fn logs_of_first(
    observations: &[Observation],
    marks: &[Snapshot],
    weights: &[f64],
    count: usize,
    reported: Option<&str>,
) -> (Vec<f64>, Vec<Scale>) {
    if count == 0 {
        return (weights.to_vec(), Vec::new());
    }
    let first = &observations[..count];
    let meter = observations[count].meter.as_deref();
    let knows_meter = first.iter().any(|it| {
        matches!(it.value, ObservationValue::Meter { .. }) && it.meter.as_deref() == meter
    });
    let mut scales = Vec::with_capacity(weights.len());
    let mut logs = Vec::with_capacity(weights.len());
    for (draw, weight) in weights.iter().enumerate() {
        let at = draw * observations.len();
        let (log, scale) = readings_log(first, &marks[at..at + count], meter.or(reported));
        logs.push(libm::log(weight.max(1.0e-300)) + log);
        scales.push(if knows_meter {
            scale
        } else {
            Scale::prior(observations[count].checked)
        });
    }
    let highest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut after: Vec<f64> = logs.iter().map(|it| libm::exp(it - highest)).collect();
    let sum: f64 = after.iter().sum();
    after.iter_mut().for_each(|it| *it /= sum);
    (after, scales)
}

/// Chance that a sum of squares of `count` standard normal scores is over `squares`.
///
/// # Source
///
/// wilson-hilferty-1931, from memory: the cube root is nearly normal; within 0.002 from 2 on.
fn chi_square_over(squares: f64, count: f64) -> f64 {
    if count <= 0.0 {
        return 1.0;
    }
    let variance = 2.0 / (9.0 * count);
    let root = libm::cbrt(squares / count);
    1.0 - normal_cdf((root - 1.0 + variance) / variance.sqrt())
}

/// Chances nearer to 0 or 1 are not told apart.
const LEAST_CHANCE: f64 = 1.0e-9;

impl Posterior {
    /// Something of the first `most` draws of each round, by a number for each draw.
    fn of_rounds<T>(&self, numbers: &[f64], most: usize, of: impl Fn(&[f64]) -> T) -> Vec<T> {
        let mut from = 0;
        let of_round = |at: usize| {
            let size = self.outcomes.round(at).len();
            from += size;
            of(&numbers[from - size..from - size + size.min(most)])
        };
        (0..self.drawn.len()).map(of_round).collect()
    }

    /// The same with the versions that count run on through the years after next, where they were
    /// not yet.
    ///
    /// # Panics
    ///
    /// Of floors that come from a shared round, whose water tables end with the next year.
    pub fn through_five_years(mut self) -> Self {
        if self.outcomes.iter().any(|it| it.later.is_some()) {
            return self;
        }
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
        self
    }

    /// What a version was like at each observation.
    pub fn at_marks(&self, draw: usize) -> &[Snapshot] {
        &self.marks[draw * self.observations.len()..(draw + 1) * self.observations.len()]
    }

    /// Groups of versions at the end of the next year, in the order of the draws.
    pub fn groups(&self) -> &[Arc<Group>] {
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

    /// Chance (0 to 1) that the darkest patch goes over a limit in the next year, after the
    /// readings; `None` where no patch was worked out.
    pub fn patch_exceedance(&self) -> Option<f64> {
        // The calcium chloride test is not worked out on patches.
        let has_patches =
            self.limits.dome_flux.is_none() && self.outcomes.iter().all(|it| it.patch.is_some());
        has_patches.then(|| {
            self.mean_after(|draw| {
                let outcome = &self.outcomes[draw];
                let patch = outcome
                    .patch
                    .as_ref()
                    .map_or(outcome.next_most, |it| it.next_most);
                // The darkest patch is no drier than the rest.
                let most = outcome.next_most.and(patch);
                self.over(self.scales[draw], most)
            })
        })
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
                let (log, scale) =
                    readings_log(&self.observations, &scaled, self.reported_meter.as_deref());
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

    /// Quantiles of what the meter would show at one spot, its noise included: `dry_percent` gives
    /// the water content in percent for each draw.
    pub fn reading_quantiles(
        &self,
        weights: &[f64],
        scales: impl Fn(usize) -> Scale,
        dry_percent: impl Fn(usize) -> f64,
        chances: [f64; 3],
    ) -> [f64; 3] {
        let noise = evidence::meter_sd(1.0);
        // Scale and noise of each draw enter by five points of equal weight, the middles of fifths of
        // a normal, widened by 1.142 so that they keep its variance.
        const POINTS: [f64; 5] = [-1.463_5, -0.598_9, 0.0, 0.598_9, 1.463_5];
        let mut values: Vec<(f64, f64)> = Vec::with_capacity(weights.len() * POINTS.len());
        for (draw, weight) in weights.iter().enumerate() {
            if *weight > NEGLIGIBLE / weights.len() as f64 {
                let (scale, dry) = (scales(draw), dry_percent(draw));
                let spread = (dry * scale.sd * dry * scale.sd + noise * noise).sqrt();
                for point in POINTS {
                    values.push((
                        // No meter shows less than nothing.
                        (dry * scale.mean + spread * point).max(0.0),
                        weight / POINTS.len() as f64,
                    ));
                }
            }
        }
        weighted_quantiles(&mut values, chances)
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
