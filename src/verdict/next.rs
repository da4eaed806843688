//! What to ask, test or wait for next: by the chance that it changes the grade or the way.

use super::questions::open_questions;
use super::ways::{Way, Ways, was_done};
use super::{Grade, Verdict};
use crate::climate::Place;
use crate::odds::evidence::{EvidenceTable, Sign, meter_sd, sheet_chance, signs};
use crate::odds::forecast::{dome_flux_now, sample};
use crate::odds::parameters::{Era, RetarderState};
use crate::odds::pareto::smooth;
use crate::odds::posterior::{self, Basis, Effort, Posterior};
use crate::odds::priors::{Priors, RetarderChance, RetarderTable};
use crate::odds::rounds::LEAST_WEIGHT;
use crate::season::saturation_pa;
use crate::survey::{LotPosition, ModelQuestion, ReadingKind, Visit};
use crate::units::{table_rows, table_text};
use std::collections::HashMap;
use std::sync::LazyLock;

crate::named_table! {
    /// Costs in days and what a look can find, from `tables/tests.csv`.
    TestTable from "tests.csv" {
        probe_days,
        calcium_chloride_days,
        sheet_days,
        retarder_hole_days,
        retarder_papers_days,
        hole_finds_whole,
        hole_finds_torn,
        hole_finds_nothing_there,
        papers_tell_of_one,
        papers_tell_of_none_laid,
    }
}

/// Something that could be asked, tested or waited for.
#[derive(Debug, Clone, PartialEq)]
pub struct NextStep {
    /// A question's id, or `test.probe` and the like; a second visit names its month.
    pub id: String,
    /// 1 to 12 for a second visit.
    pub month: Option<u32>,
    /// Chance that the answer changes the grade.
    pub chance_of_change: f64,
    /// Chance that it changes the preferred way; `None` for an answer that had to be
    /// simulated anew for the grade alone.
    pub chance_of_way: Option<f64>,
    /// Days until the answer is in: 0 for a question that can be asked on the spot.
    pub days: f64,
}

impl NextStep {
    /// The larger of the two chances.
    pub fn worth(&self) -> f64 {
        self.chance_of_change.max(self.chance_of_way.unwrap_or(0.0))
    }
}

static SHARES: LazyLock<HashMap<(String, String), f64>> = LazyLock::new(|| {
    parse_shares(const { table_text("answer_shares.csv") })
        .expect("tests/tables.rs parses this file")
});

/// Reads the shares of answers, by question and answer.
///
/// # Errors
///
/// The row that is no share from 0 to 1 or stands twice.
pub fn parse_shares(text: &str) -> Result<HashMap<(String, String), f64>, String> {
    #[derive(serde::Deserialize)]
    struct Row {
        question: String,
        answer: String,
        share: f64,
    }
    let mut shares = HashMap::new();
    for it in table_rows::<Row>(text).map_err(|it| it.to_string())? {
        let name = format!("{} {}", it.question, it.answer);
        if !(0.0..=1.0).contains(&it.share) {
            return Err(format!("{name}: {} is not a share", it.share));
        }
        if shares.insert((it.question, it.answer), it.share).is_some() {
            return Err(format!("{name}: given twice"));
        }
    }
    Ok(shares)
}

/// Floors that stand for the truth when a test's outcome is imagined.
const IMAGINED: usize = 48;
/// Part of the draws that an imagined answer is worth. Source: judgement, by speed.
const IMAGINED_SHARE: usize = 2;
/// Chance under which a step is not worth naming.
const WORTH_NAMING: f64 = 0.005;

/// Chances that something changes.
#[derive(Debug, Clone, Copy, Default)]
struct Changes {
    grade: f64,
    way: f64,
}

impl Changes {
    /// Of the grade, and of the preferred way.
    fn both(self) -> (f64, Option<f64>) {
        (self.grade, Some(self.way))
    }
}

impl Changes {
    fn and(self, more: Self) -> Self {
        Self {
            grade: self.grade + more.grade,
            way: self.way + more.way,
        }
    }
}

/// What imagined answers are held against.
struct Looking<'a> {
    posterior: &'a Posterior,
    verdict: &'a Verdict,
    ways: &'a Ways,
    grade: Grade,
    /// Draws that count.
    draws: Vec<usize>,
    /// Logs of their weights, which every imagined answer is added to.
    log_weights: Vec<f64>,
    /// Chance of going over in the next year, for each draw.
    over: Vec<f64>,
}

/// Everything that could be done next, most telling first. Empty when nothing would change
/// the grade or the preferred way, and for a visit without a grade.
pub fn next_steps(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    verdict: &Verdict,
    ways: &Ways,
    effort: Effort,
) -> Vec<NextStep> {
    let Some(chance) = verdict.chance else {
        return Vec::new();
    };
    let weights = &posterior.after.weights;
    let least = LEAST_WEIGHT / weights.len() as f64;
    let draws: Vec<usize> = (0..weights.len())
        .filter(|draw| weights[*draw] > least)
        .collect();
    let looking = Looking {
        posterior,
        verdict,
        ways,
        grade: Grade::of_chance(chance),
        log_weights: draws.iter().map(|it| libm::log(weights[*it])).collect(),
        draws,
        over: (0..posterior.outcomes.len())
            .map(|draw| posterior.over_next_year(draw, posterior.scales[draw]))
            .collect(),
    };
    let mut out: Vec<NextStep> = open_questions(visit)
        .iter()
        .filter_map(|question| {
            let (grade, way) = match look(visit, posterior, question.question) {
                Look::Weighed(answers) => looking.answering(&answers).both(),
                Look::Measured(values, noise) => {
                    looking.measuring(&|draw| values[draw], noise).both()
                }
                Look::Simulated(answers) => {
                    let change = selecting(place, visit, posterior, &answers, effort)?;
                    (change, None)
                }
            };
            Some(NextStep {
                id: question.id.to_string(),
                month: None,
                chance_of_change: grade,
                chance_of_way: way,
                days: 0.0,
            })
        })
        .collect();
    out.extend(tests_now(visit, posterior, &looking));
    out.extend(second_visit_step(posterior, &looking));
    out.retain(|it| it.worth() >= WORTH_NAMING);
    out.sort_by(|a, b| {
        b.worth()
            .total_cmp(&a.worth())
            .then(b.chance_of_change.total_cmp(&a.chance_of_change))
            .then(a.id.cmp(&b.id))
    });
    out
}

/// Tests of the floor as it is now, and two ways to find out about the retarder.
fn tests_now(visit: &Visit, posterior: &Posterior, looking: &Looking) -> Vec<NextStep> {
    let mut out = Vec::new();
    let mut add = |id: &str, changes: Changes, days: f64| {
        out.push(NextStep {
            id: id.to_string(),
            month: None,
            chance_of_change: changes.grade,
            chance_of_way: Some(changes.way),
            days,
        });
    };
    let tests = TestTable::bundled();
    let month = posterior.plan.reading_month;
    let table = EvidenceTable::bundled();
    let now = |draw: usize| posterior.outcomes[draw].reading_year[month];
    if !was_done(visit, ReadingKind::Probe) {
        let changes = looking.measuring(&|draw| now(draw).probe_humidity, table.probe_noise);
        add("test.probe", changes, tests.probe_days);
    }
    if !was_done(visit, ReadingKind::CalciumChloride) {
        let flux = dome_flux_now(posterior);
        let changes =
            looking.measuring(&|draw| libm::log(flux[draw].max(1.0e-12)), table.dome_noise);
        add(
            "test.calcium_chloride",
            changes,
            tests.calcium_chloride_days,
        );
    }
    if !was_done(visit, ReadingKind::Sheet) {
        let changes = looking.answering(&yes_or_no(posterior, |draw| sheet_chance(&now(draw))));
        add("test.sheet", changes, tests.sheet_days);
    }
    if visit.floor.retarder_proof.is_none() {
        let state = |draw: usize| posterior.outcomes[draw].parameters.retarder;
        let hole = yes_or_no(posterior, |draw| match state(draw) {
            RetarderState::Effective => tests.hole_finds_whole,
            RetarderState::Damaged => tests.hole_finds_torn,
            RetarderState::None => tests.hole_finds_nothing_there,
        });
        add(
            "test.retarder_hole",
            looking.answering(&hole),
            tests.retarder_hole_days,
        );
        let papers = yes_or_no(posterior, |draw| match state(draw) {
            RetarderState::Effective | RetarderState::Damaged => tests.papers_tell_of_one,
            RetarderState::None => tests.papers_tell_of_none_laid,
        });
        add(
            "test.retarder_papers",
            looking.answering(&papers),
            tests.retarder_papers_days,
        );
    }
    out
}

/// A second visit with the same meter, in the month that every output names for it.
fn second_visit_step(posterior: &Posterior, looking: &Looking) -> Option<NextStep> {
    let verdict = looking.verdict;
    let worth = verdict.second_reading.as_ref()?;
    let month = worth.month_to_go(verdict.wettest_month);
    let changes = looking.second_visit(month);
    // The same month comes again in a year.
    let months_ahead = (month + 11 - (posterior.plan.reading_month as u32 + 1)) % 12 + 1;
    let days_of_month = crate::season::DAYS_PER_YEAR / 12.0;
    Some(NextStep {
        id: "test.second_visit".to_string(),
        month: Some(month),
        chance_of_change: changes.grade,
        chance_of_way: Some(changes.way),
        days: f64::from(months_ahead) * days_of_month,
    })
}

/// Chances that the answers to the open questions change the grade, most telling first, from
/// one weighing of the versions that are there: the cheap form of [`next_steps`] for many
/// floors. Nothing is simulated and no tail is smoothed anew; questions whose answers are
/// measured or must be simulated are left out. Empty for a visit without a grade.
pub fn telling_questions(
    visit: &Visit,
    posterior: &Posterior,
    verdict: &Verdict,
) -> Vec<(&'static str, f64)> {
    let Some(chance) = verdict.chance else {
        return Vec::new();
    };
    let grade = Grade::of_chance(chance);
    let weights = &posterior.after.weights;
    let over: Vec<f64> = weights
        .iter()
        .zip(posterior.over_after())
        .map(|(weight, over)| weight * over)
        .collect();
    let mut out: Vec<(&'static str, f64)> = Vec::new();
    for question in open_questions(visit) {
        let answers = match look(visit, posterior, question.question) {
            Look::Weighed(answers) => answers,
            Look::Measured(..) | Look::Simulated(_) => continue,
        };
        let change = answers.iter().fold(0.0, |sum, chances| {
            let mean = |of: &[f64]| -> f64 { of.iter().zip(chances).map(|(a, b)| a * b).sum() };
            let given = mean(weights);
            let changes = given > 0.0 && Grade::of_chance(mean(&over) / given) != grade;
            if changes { sum + given } else { sum }
        });
        if change >= WORTH_NAMING {
            out.push((question.id, change));
        }
    }
    out.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(b.0)));
    out
}

/// Chances of an answer for each draw.
type Answer = Vec<f64>;

/// Two answers, by the chance of "yes" for each draw.
fn yes_or_no(posterior: &Posterior, yes: impl Fn(usize) -> f64) -> Vec<Answer> {
    let yes: Answer = (0..posterior.outcomes.len()).map(yes).collect();
    let no = yes.iter().map(|it| 1.0 - it).collect();
    vec![yes, no]
}

impl Looking<'_> {
    /// Chance and preferred way with the draws weighed anew by the log of a likelihood.
    fn after(&self, log_more: impl Fn(usize) -> f64) -> (f64, Way) {
        let more: Vec<f64> = self.draws.iter().map(|it| log_more(*it)).collect();
        let logs: Vec<f64> = self
            .log_weights
            .iter()
            .zip(&more)
            .map(|(weight, more)| weight + more)
            .collect();
        let chance: f64 = smooth(&logs)
            .weights
            .iter()
            .zip(&self.draws)
            .map(|(weight, draw)| weight * self.over[*draw])
            .sum();
        let highest = more.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let way = self
            .ways
            .preferred_if(|draw| libm::exp(log_more(draw) - highest), self.verdict);
        (chance, way)
    }

    /// What one outcome of the given chance adds to the chances of a change.
    fn counted(&self, given: f64, (chance, way): (f64, Way)) -> Changes {
        let if_so = |so: bool| if so { given } else { 0.0 };
        Changes {
            grade: if_so(self.grade.is_left_by(chance)),
            way: if_so(way != self.ways.preferred),
        }
    }

    /// Chances that one of several answers changes something.
    fn answering(&self, answers: &[Answer]) -> Changes {
        answers.iter().fold(Changes::default(), |sum, chances| {
            let given = self.posterior.mean_after(|draw| chances[draw]);
            let after = self.after(|draw| libm::log(chances[draw].max(1.0e-12)));
            sum.and(self.counted(given, after))
        })
    }

    /// Chances that a measured number changes something: the truth is imagined on floors picked
    /// evenly along the weights, each with one even share of the noise.
    fn measuring(&self, value: &dyn Fn(usize) -> f64, noise: f64) -> Changes {
        // By draw, once for all that is imagined.
        let mut values = vec![0.0; self.posterior.outcomes.len()];
        for draw in self.draws.iter().chain(self.ways.draws()) {
            values[*draw] = value(*draw);
        }
        let sampled = sample(self.posterior, &self.posterior.after.weights, IMAGINED);
        sampled.iter().fold(Changes::default(), |sum, it| {
            let error = noise * crate::odds::priors::normal_score(it.spread.clamp(0.01, 0.99));
            let read = value(it.draw) + error;
            let after = self.after(|draw| {
                let off = (read - values[draw]) / noise;
                -0.5 * off * off
            });
            sum.and(self.counted(1.0 / IMAGINED as f64, after))
        })
    }

    /// Chances that a second reading in a calendar month (1 to 12) changes something.
    fn second_visit(&self, month: u32) -> Changes {
        let posterior = self.posterior;
        let at = month as usize - 1;
        // The same meter: its scale is what the readings leave of it.
        let value = |draw: usize| {
            let outcome = &posterior.outcomes[draw];
            100.0 * posterior.scales[draw].mean * outcome.next_year[at].meter_fraction
        };
        self.measuring(&value, meter_sd(1.0))
    }
}

/// How an open question is looked into.
pub enum Look {
    /// The chance of each answer for each draw: draws are weighed, nothing is simulated.
    Weighed(Vec<Answer>),
    /// A number that somebody would measure: what it is in each draw, and its noise.
    Measured(Vec<f64>, f64),
    /// It selects priors: each answer has its share and is simulated.
    Simulated(Vec<(f64, Visit)>),
}

/// Looks into a question. Every question has its line here, so none can be forgotten.
pub fn look(visit: &Visit, posterior: &Posterior, question: ModelQuestion) -> Look {
    let outcomes = &posterior.outcomes;
    let month = posterior.plan.reading_month;
    let table = EvidenceTable::bundled();
    let is = |yes: bool| f64::from(u8::from(yes));
    let each = |value: &dyn Fn(usize) -> f64| (0..outcomes.len()).map(value).collect();
    match question {
        ModelQuestion::SpringDarkening
        | ModelQuestion::Sump
        | ModelQuestion::StandingWater
        | ModelQuestion::Lately
        | ModelQuestion::WaterNow
        | ModelQuestion::Sweats
        | ModelQuestion::Weak(_) => Look::Weighed(speaking(visit, posterior, question)),
        ModelQuestion::Position => Look::Weighed(
            LotPosition::ALL
                .iter()
                .map(|lot| each(&|draw| is(outcomes[draw].parameters.lot == *lot)))
                .collect(),
        ),
        ModelQuestion::Era => Look::Weighed(
            Era::ALL
                .iter()
                .map(|era| each(&|draw| is(outcomes[draw].parameters.era == *era)))
                .collect(),
        ),
        ModelQuestion::Retarder => Look::Weighed(finding_out_retarder(posterior)),
        ModelQuestion::SubDrain => Look::Weighed(finding_out_drain(posterior)),
        ModelQuestion::Dehumidifier => Look::Weighed(yes_or_no(posterior, |draw| {
            is(outcomes[draw].parameters.has_machine)
        })),
        ModelQuestion::AirConditioned => Look::Weighed(yes_or_no(posterior, |draw| {
            is(outcomes[draw].parameters.cooled)
        })),
        ModelQuestion::RoomTemperature => Look::Measured(
            each(&|draw| outcomes[draw].room_c[month]),
            table.room_temperature_sd_k,
        ),
        ModelQuestion::SlabTemperature => Look::Measured(
            each(&|draw| outcomes[draw].surface_c[month]),
            table.slab_temperature_sd_k,
        ),
        ModelQuestion::RoomHumidity => Look::Measured(
            each(&|draw| {
                let saturated = saturation_pa(outcomes[draw].room_c[month]);
                outcomes[draw].reading_year[month].room_pa / saturated
            }),
            table.room_humidity_sd,
        ),
        ModelQuestion::BelowGrade
        | ModelQuestion::Drainage
        | ModelQuestion::GravelBase
        | ModelQuestion::Heated => Look::Simulated(
            question
                .imagined(visit)
                .into_iter()
                .map(|(word, other)| (answer_share(question.path(), word), other))
                .collect(),
        ),
    }
}

/// A question whose answer is evidence: the chance of each answer for each draw.
fn speaking(visit: &Visit, posterior: &Posterior, question: ModelQuestion) -> Vec<Answer> {
    question
        .imagined(visit)
        .iter()
        .filter_map(|(_, it)| {
            signs(it, &posterior.seasons)
                .into_iter()
                .find(|sign| sign.question == question.path())
        })
        .map(|sign: Sign| posterior.outcomes.chances(&sign))
        .collect()
}

/// People who find out say what is there as often as the table of answers has it.
fn finding_out_retarder(posterior: &Posterior) -> Vec<Answer> {
    let table = RetarderTable::bundled();
    let (seen, absent) = (
        table.given("seen", "no_proof"),
        table.given("absent", "no_proof"),
    );
    yes_or_no(posterior, |draw| {
        let of = |it: RetarderChance| match posterior.outcomes[draw].parameters.retarder {
            RetarderState::Effective => it.effective,
            RetarderState::Damaged => it.damaged,
            RetarderState::None => it.none,
        };
        of(seen) / (of(seen) + of(absent))
    })
}

/// Whoever says that a drain works is right as often as the prior has it.
fn finding_out_drain(posterior: &Posterior) -> Vec<Answer> {
    let priors = Priors::bundled();
    let share = answer_share(ModelQuestion::SubDrain.path(), "works");
    let chance_of = |answer: &str| priors.of("drain_works", answer).value();
    let (with, without) = (chance_of("works"), chance_of("none"));
    let told = |with: f64, without: f64| share * with / (share * with + (1.0 - share) * without);
    let [fails, works] = [told(1.0 - with, 1.0 - without), told(with, without)];
    yes_or_no(posterior, |draw| {
        if posterior.outcomes[draw].parameters.drain_works {
            works
        } else {
            fails
        }
    })
}

/// Share of people who give an answer once they find out.
fn answer_share(question: &str, answer: &str) -> f64 {
    *SHARES
        .get(&(question.to_string(), answer.to_string()))
        .unwrap_or_else(|| panic!("tables/answer_shares.csv has no row {question}, {answer}"))
}

/// A question that selects priors: each answer is simulated, and counts by its share and by how
/// well it explains the readings.
fn selecting(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    answers: &[(f64, Visit)],
    effort: Effort,
) -> Option<f64> {
    // Only the grade is asked of an answer that is imagined: fewer draws tell it.
    let effort = Effort {
        round: effort.round / IMAGINED_SHARE,
        most: effort.most / IMAGINED_SHARE,
        enough: effort.enough / IMAGINED_SHARE as f64,
        ..effort.next_year_only()
    };
    let beside = |other: &Visit| {
        posterior::posterior_beside(posterior, Basis::Readings, place, other, effort)
    };
    let results: Vec<(f64, f64)> = answers
        .iter()
        .map(|(share, other)| {
            let it = beside(other);
            (share * libm::exp(it.log_evidence), it.exceedance())
        })
        .collect();
    // The grade now by as few draws, so that their error alone changes nothing.
    let now = Grade::of_chance(beside(visit).exceedance());
    let whole: f64 = results.iter().map(|it| it.0).sum();
    let changed: f64 = results
        .iter()
        .filter(|it| now.is_left_by(it.1))
        .fold(0.0, |sum, it| sum + it.0);
    (whole > 0.0).then(|| changed / whole)
}
