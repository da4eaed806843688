//! The paper card: the model of one place as points that add up on a sheet.
//!
//! Floors are drawn with their answers and a reading in every month; a logistic regression of
//! what they do on the answers and the reading gives the points. Only floors of the kind that a
//! card is filled in for count: they read from 2 % up to the limit, and half of them show a sign
//! of water. A floor that reads higher never gets fewer points. How well the card agrees with
//! the model is measured on other floors of the same kind, and a card that agrees too badly is
//! refused.

use super::place_prior::unasked_visit;
use super::{Grade, GradeTable};
use crate::climate::Place;
use crate::odds::evidence::{Scale, Sign, meter_sd, signs};
use crate::odds::forcing::PlaceYear;
use crate::odds::parameters::{DIMENSIONS, FloorParameters, PriorSet};
use crate::odds::posterior::{Ahead, Effort, Limits, plan, posterior, seasons};
use crate::odds::priors::normal_cdf;
use crate::odds::simulate::{Dome, Patch, SimulatedFloor, simulate_each};
use crate::odds::sobol::normal_scores;
use crate::survey::{
    Drainage, LotPosition, MeterScale, Reading, ReadingValue, Retarder, RetarderProof, Setting,
    Visit, known_below_grade,
};
use crate::units::{TableError, table_lines, table_text};
use chrono::{Datelike, Months, NaiveDate};
use std::sync::LazyLock;

/// Upper edges of the ranges of a reading on the card, %.
pub const READING_EDGES: [f64; 6] = [2.5, 3.0, 3.5, 4.0, 4.5, 5.0];
/// Ranges of a reading.
pub const RANGES: usize = READING_EDGES.len() + 1;

/// One answer of a core question, as the card offers it.
#[derive(Debug, Clone, PartialEq)]
pub struct CardAnswer {
    /// The visit file's path of the question, such as `lot.position`.
    pub question: &'static str,
    /// The answer as the card prints it; "not sure" is one of them where it is offered.
    pub answer: &'static str,
    /// Points that this answer adds; 3 points double the odds, and below 0 speaks for a dry floor.
    pub points: i32,
}

/// How well a card agrees with the model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// Simulated floors compared.
    pub floors: usize,
    /// Those of them that show a sign of water.
    pub with_sign: usize,
    /// Share with the same grade.
    pub same_grade: f64,
    /// Share two grades apart or more.
    pub far_apart: f64,
    /// Share of the same grade that one would get by naming the commonest grade always.
    pub by_commonest: f64,
}

/// A card for one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// Points that every floor begins with, before answers and reading.
    pub start: i32,
    /// What each answer of the six core questions adds, in the card's order.
    pub answers: Vec<CardAnswer>,
    /// Points of the reading by calendar month (January first) and range; `None` where
    /// simulated floors hardly ever read so.
    pub readings: Vec<[Option<i32>; RANGES]>,
    /// How well this card does against the model on floors that it was not fitted to.
    pub agreement: Agreement,
    /// Meter limit that the card is made for, %.
    pub limit_percent: f64,
}

impl Card {
    /// Whether the card may be used: same grade 85 of 100, two grades apart under 1 of 100.
    pub fn is_good(&self) -> bool {
        self.agreement.same_grade >= GradeTable::bundled().card_same_grade
            && self.agreement.far_apart < GradeTable::bundled().card_far_apart
    }

    /// Whether always naming the commonest grade would do as well.
    pub fn is_no_better_than_guessing(&self) -> bool {
        self.agreement.same_grade <= self.agreement.by_commonest
    }
}

/// Floors behind the fit.
const FITTED: usize = 6_144;
/// Floors on which the agreement is measured.
const COMPARED: usize = 240;
/// Floors that are looked at to find those.
const MOST_LOOKED_AT: usize = 2_400;
/// Pull of every point toward zero, in floors.
const RIDGE: f64 = 4.0;
/// Floors that must read in a range for it to have points.
const FEWEST: f64 = 12.0;
/// Dimensions beyond those of a draw: which answers are given, and how the meter reads.
const EXTRA: usize = 8;
const WIDE: usize = DIMENSIONS + EXTRA;

/// One offered answer of `tables/card.csv`.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
struct OfferedRow {
    question: String,
    answer: String,
    share: f64,
    source: String,
}

/// A question of the card and the answers that it offers, with the share of floors that give
/// each.
#[derive(Debug, Clone, PartialEq)]
pub struct Offered {
    question: &'static str,
    answers: Vec<(&'static str, f64)>,
}

/// Reads the answers that the card offers.
///
/// # Errors
///
/// A row without source, with a share outside of 0 to 1, or out of the order of the questions.
pub fn parse_offered(text: &str) -> Result<Vec<Offered>, TableError> {
    let mut out: Vec<Offered> = Vec::new();
    for (line, row) in table_lines::<OfferedRow>(text)? {
        let bad = |what: String| TableError { line, what };
        if row.source.is_empty() || !(0.0..=1.0).contains(&row.share) {
            return Err(bad("no source, or a share outside of 0 to 1".to_string()));
        }
        let question = *CARD_QUESTIONS
            .iter()
            .find(|it| **it == row.question)
            .ok_or_else(|| bad(format!("the card does not ask {}", row.question)))?;
        // The words live as long as the program: the table is bundled and read once.
        let answer: &'static str = Box::leak(row.answer.into_boxed_str());
        match out.last_mut() {
            Some(last) if last.question == question => last.answers.push((answer, row.share)),
            _ => out.push(Offered {
                question,
                answers: vec![(answer, row.share)],
            }),
        }
    }
    let asked: Vec<&str> = out.iter().map(|it| it.question).collect();
    if asked != CARD_QUESTIONS {
        let what = "the questions are not those of the card, in its order".to_string();
        return Err(TableError { line: 0, what });
    }
    Ok(out)
}

/// Questions of the card, in its order.
const CARD_QUESTIONS: [&str; 6] = [
    "floor.year_built",
    "floor.retarder",
    "floor.below_grade",
    "lot.position",
    "signs.spring_darkening",
    "lot.drainage",
];

static OFFERED: LazyLock<Vec<Offered>> = LazyLock::new(|| {
    parse_offered(table_text("card.csv")).expect("tests/tables.rs parses this file")
});

/// Place of the darkening question among the offered.
const DARKENING: usize = 4;

fn pick(shares: &[(&'static str, f64)], chance: f64) -> usize {
    let mut sum = 0.0;
    for (at, (_, share)) in shares.iter().enumerate() {
        sum += share;
        if chance < sum {
            return at;
        }
    }
    shares.len() - 1
}

/// A floor of the card: its answers, the visit they make, and chances for the rest.
struct Asked {
    chosen: [usize; 6],
    visit: Visit,
    scores: [f64; WIDE],
}

impl Asked {
    /// Whether an answer speaks of water: dark patches, a low lot, water sent to the walls.
    fn shows_a_sign(&self, darkening: usize) -> bool {
        darkening == 0
            || self.visit.lot.position == Some(LotPosition::Low)
            || self.visit.lot.drainage == Some(Drainage::Failing)
    }
}

/// Whether a floor that reads so, in %, is one that a card is filled in for.
fn is_carded(percent: f64, limit_percent: f64) -> bool {
    (GradeTable::bundled().card_least_percent..limit_percent).contains(&percent)
}

fn asked(index: usize, date: NaiveDate) -> Asked {
    let scores: [f64; WIDE] = normal_scores(index as u32);
    let chance = |extra: usize| normal_cdf(scores[DIMENSIONS + extra]);
    let mut chosen = [0; 6];
    for (at, extra) in [(0, 0), (1, 1), (2, 2), (3, 3), (5, 4)] {
        chosen[at] = pick(&OFFERED[at].answers, chance(extra));
    }
    let mut visit = unasked_visit(date);
    visit.floor.year_built = Some([1950, 1970, 1990, 2008][chosen[0]]);
    (visit.floor.retarder, visit.floor.retarder_proof) = match chosen[1] {
        0 => (Some(Retarder::Seen), Some(RetarderProof::Papers)),
        1 => (Some(Retarder::Absent), None),
        _ => (None, None),
    };
    if chosen[2] == 1 {
        visit.floor.setting = Some(Setting::OnGrade);
        visit.floor.below_grade = Some(false);
    }
    visit.lot.position = [
        Some(LotPosition::High),
        Some(LotPosition::Level),
        Some(LotPosition::Low),
        None,
    ][chosen[3]];
    visit.lot.drainage = [Some(Drainage::Sound), Some(Drainage::Failing), None][chosen[5]];
    Asked {
        chosen,
        visit,
        scores,
    }
}

/// Fits a card to the model of a place and measures how well it agrees.
pub fn card(place: &Place, limit_percent: f64) -> Card {
    // The reading's year ends with December, so that every calendar month lies in it.
    let december = NaiveDate::from_ymd_opt(2025, 12, 15).expect("a day of the calendar");
    let limits = Limits {
        meter_percent: Some(limit_percent),
        probe_humidity: None,
        dome_flux: None,
    };
    let mut rows = Rows::default();
    let floors: Vec<Asked> = (0..FITTED).map(|index| asked(index, december)).collect();
    let base = PriorSet::for_visit(&unasked_visit(december));
    let place_year = PlaceYear::new(place, true);
    let place_seasons = seasons(&place_year, &base);
    // Floors on and below grade differ in the depth of the ground: two runs would cost twice, so
    // each floor's own priors move the water table and the rest is shared.
    let parameters: Vec<FloorParameters> = floors
        .iter()
        .map(|it| {
            let scores: [f64; DIMENSIONS] = std::array::from_fn(|at| it.scores[at]);
            PriorSet::for_visit(&it.visit).parameters(&scores)
        })
        .collect();
    let mut layout = plan(&unasked_visit(december), &[], Dome::NotAsked);
    layout.patch = Patch::Asked;
    let outcomes = simulate_each(&place_year, &layout, &parameters);
    for (floor, outcome) in floors.iter().zip(&outcomes) {
        let darkening = darkening_answer(floor, outcome, &place_seasons);
        rows.add(floor, darkening, outcome, limit_percent);
    }
    let fit = rows.fit();
    let table = GradeTable::bundled();
    let to_points = |log_odds: f64| log_odds * table.score_per_tenfold / std::f64::consts::LN_10;
    let mut start = table.score_even + to_points(fit.weights[0]);
    let mut answers = Vec::new();
    let mut column = 1;
    for Offered {
        question,
        answers: offered,
    } in OFFERED.iter()
    {
        // "Not sure" is the zero of each question, or the first answer where it is not offered.
        let columns = &fit.weights[column..column + offered.len()];
        let zero = offered
            .iter()
            .position(|it| it.0 == "not sure")
            .unwrap_or(0);
        let base = columns[zero];
        start += to_points(base);
        for ((answer, _), weight) in offered.iter().zip(columns) {
            answers.push(CardAnswer {
                question,
                answer,
                points: to_points(weight - base).round() as i32,
            });
        }
        column += offered.len();
    }
    let readings = (0..12)
        .map(|month| {
            std::array::from_fn(|range| {
                let at = column + month * RANGES + range;
                (rows.counts[at] >= FEWEST).then(|| to_points(fit.weights[at]).round() as i32)
            })
        })
        .collect();
    let mut card = Card {
        start: start.round() as i32,
        answers,
        readings,
        agreement: Agreement {
            floors: 0,
            with_sign: 0,
            same_grade: 0.0,
            far_apart: 0.0,
            by_commonest: 0.0,
        },
        limit_percent,
    };
    card.agreement = agreement(&card, place, limits, &place_seasons);
    card
}

/// The darkening question's answer: asked of half of the floors.
fn darkening_answer(
    floor: &Asked,
    outcome: &SimulatedFloor,
    place_seasons: &crate::odds::evidence::Seasons,
) -> usize {
    let chance = |extra: usize| normal_cdf(floor.scores[DIMENSIONS + extra]);
    if chance(5) < OFFERED[DARKENING].answers[2].1 {
        return 2;
    }
    let mut visit = floor.visit.clone();
    visit.signs.spring_darkening = Some(true);
    visit.signs.springs_watched = Some(2);
    let sign: &Sign = &signs(&visit, place_seasons)[0];
    usize::from(chance(6) >= sign.chance(outcome))
}

fn range_of(percent: f64) -> usize {
    READING_EDGES
        .iter()
        .position(|it| percent < *it)
        .unwrap_or(RANGES - 1)
}

/// A meter's scale drawn with one score, and a reading.
fn drawn_scale(score: f64) -> f64 {
    let scale = Scale::prior(false);
    scale.mean + scale.sd * score
}

const ANSWER_COLUMNS: usize = 1 + 4 + 3 + 2 + 4 + 3 + 3;
const COLUMNS: usize = ANSWER_COLUMNS + 12 * RANGES;

/// Rows of the regression, kept as the columns that are set and the outcome.
struct Rows {
    set: Vec<[usize; 8]>,
    over: Vec<f64>,
    counts: Vec<f64>,
    /// Floors so far, carded or not.
    floors: usize,
    shows_a_sign: Vec<bool>,
}

impl Default for Rows {
    fn default() -> Self {
        Self {
            set: Vec::new(),
            over: Vec::new(),
            floors: 0,
            shows_a_sign: Vec::new(),
            counts: vec![0.0; COLUMNS],
        }
    }
}

struct Fit {
    weights: Vec<f64>,
}

impl Rows {
    fn add(
        &mut self,
        floor: &Asked,
        darkening: usize,
        outcome: &SimulatedFloor,
        limit_percent: f64,
    ) {
        let scale = drawn_scale(floor.scores[DIMENSIONS + 7]);
        let noise = meter_sd(1.0);
        let most = outcome
            .next_year
            .iter()
            .map(|it| it.meter_fraction)
            .fold(0.0, f64::max);
        let over = f64::from(u8::from(scale * most * 100.0 > limit_percent));
        let mut columns = [0usize; 8];
        let mut column = 1;
        for (at, Offered { answers, .. }) in OFFERED.iter().enumerate() {
            let chosen = if at == DARKENING {
                darkening
            } else {
                floor.chosen[at]
            };
            columns[at + 1] = column + chosen;
            column += answers.len();
        }
        let shows_a_sign = floor.shows_a_sign(darkening);
        for month in 0..12 {
            // Noise that differs by month, spread evenly by a fixed irrational turn.
            let turn = ((12 * self.floors + month) as f64 * 0.754_877_666_246_692_7) % 1.0;
            let error = noise * crate::odds::priors::normal_score(turn.clamp(0.001, 0.999));
            let reading = scale * outcome.reading_year[month].meter_fraction * 100.0 + error;
            if !is_carded(reading, limit_percent) {
                continue;
            }
            columns[7] = ANSWER_COLUMNS + month * RANGES + range_of(reading);
            self.set.push(columns);
            self.over.push(over);
            self.shows_a_sign.push(shows_a_sign);
            for column in columns {
                self.counts[column] += 1.0;
            }
        }
        self.floors += 1;
    }

    /// What a row with a sign and one without count for, so that those with a sign come to
    /// their share.
    fn shares(&self) -> [f64; 2] {
        let all = self.set.len() as f64;
        let with = self.shows_a_sign.iter().filter(|it| **it).count() as f64;
        let wanted = GradeTable::bundled().card_sign_share;
        [
            wanted * all / with.max(1.0),
            (1.0 - wanted) * all / (all - with).max(1.0),
        ]
    }

    /// Ridge logistic regression by Newton steps; each floor's twelve rows count as one.
    fn fit(&self) -> Fit {
        let mut weights = vec![0.0; COLUMNS];
        let [with, without] = self.shares().map(|it| it / 12.0);
        for _ in 0..NEWTON_STEPS {
            let mut gradient = vec![0.0; COLUMNS];
            let mut curvature = vec![0.0; COLUMNS * COLUMNS];
            for ((columns, over), sign) in self.set.iter().zip(&self.over).zip(&self.shows_a_sign) {
                let share = if *sign { with } else { without };
                let log_odds: f64 = columns.iter().map(|it| weights[*it]).sum();
                let chance = 1.0 / (1.0 + libm::exp(-log_odds));
                let slope = share * chance * (1.0 - chance);
                for a in columns {
                    gradient[*a] += share * (over - chance);
                    for b in columns {
                        curvature[a * COLUMNS + b] += slope;
                    }
                }
            }
            for at in 0..COLUMNS {
                let pull = if at == 0 { 0.01 } else { RIDGE / 12.0 };
                gradient[at] -= pull * weights[at];
                curvature[at * COLUMNS + at] += pull;
            }
            let change = solve_symmetric(&mut curvature, &mut gradient, COLUMNS);
            for (weight, change) in weights.iter_mut().zip(change) {
                *weight += change.clamp(-2.0, 2.0);
            }
        }
        for month in 0..12 {
            let from = ANSWER_COLUMNS + month * RANGES;
            never_falling(
                &mut weights[from..from + RANGES],
                &self.counts[from..from + RANGES],
            );
        }
        Fit { weights }
    }
}

/// The nearest values that never fall: neighbors that do are put together at their mean, each
/// counting by its floors (pooling of adjacent violators).
fn never_falling(values: &mut [f64], counts: &[f64]) {
    let mut pools: Vec<(f64, f64, usize)> = Vec::new();
    for (value, count) in values.iter().zip(counts) {
        // A range without floors has no say of its own.
        let mut pool = (*value, count.max(1.0e-6), 1);
        while let Some(last) = pools.last().copied().filter(|it| it.0 > pool.0) {
            pools.pop();
            let count = last.1 + pool.1;
            let mean = (last.0 * last.1 + pool.0 * pool.1) / count;
            pool = (mean, count, last.2 + pool.2);
        }
        pools.push(pool);
    }
    let mut at = 0;
    for (mean, _, length) in pools {
        values[at..at + length].fill(mean);
        at += length;
    }
}

const NEWTON_STEPS: usize = 12;

/// Solves `matrix x = right` for a symmetric positive matrix by elimination.
fn solve_symmetric(matrix: &mut [f64], right: &mut [f64], size: usize) -> Vec<f64> {
    for pivot in 0..size {
        let inverse = 1.0 / matrix[pivot * size + pivot];
        for row in pivot + 1..size {
            let factor = matrix[row * size + pivot] * inverse;
            if factor != 0.0 {
                for column in pivot..size {
                    matrix[row * size + column] -= factor * matrix[pivot * size + column];
                }
                right[row] -= factor * right[pivot];
            }
        }
    }
    let mut out = vec![0.0; size];
    for row in (0..size).rev() {
        let rest: f64 = (row + 1..size)
            .map(|column| matrix[row * size + column] * out[column])
            .sum();
        out[row] = (right[row] - rest) / matrix[row * size + row];
    }
    out
}

/// The grade that a score on paper stands for.
pub fn grade_of_points(points: i32) -> Grade {
    match points {
        ..=10 => Grade::Low,
        11..=16 => Grade::Moderate,
        17..=22 => Grade::High,
        _ => Grade::VeryHigh,
    }
}

/// Adds a floor up on paper: the place of each question's answer among those offered, the month
/// of the reading (January is 0) and the reading in %. `None` where the card has no points for
/// the reading.
pub fn add_up(card: &Card, chosen: &[usize; 6], month: usize, percent: f64) -> Option<i32> {
    let mut sum = card.start + card.readings[month][range_of(percent)]?;
    let mut at = 0;
    for (Offered { answers, .. }, chosen) in OFFERED.iter().zip(chosen) {
        sum += card.answers[at + chosen].points;
        at += answers.len();
    }
    Some(sum)
}

/// Compares the card with the model on floors that the fit has not seen.
fn agreement(
    card: &Card,
    place: &Place,
    limits: Limits,
    place_seasons: &crate::odds::evidence::Seasons,
) -> Agreement {
    let effort = Effort {
        round: 512,
        most: 2_048,
        enough: 120.0,
        ahead: Ahead::NextYear,
    };
    let wanted = GradeTable::bundled().card_sign_share;
    let with_sign = (wanted * COMPARED as f64).round() as usize;
    // Floors still to be compared: without a sign, with one.
    let mut missing = [COMPARED - with_sign, with_sign];
    let (mut same, mut far, mut count) = (0, 0, 0);
    let mut signs_shown = 0;
    let mut by_grade = [0; 4];
    for at in 0..MOST_LOOKED_AT {
        if missing == [0, 0] {
            break;
        }
        let month = at % 12;
        let date = NaiveDate::from_ymd_opt(2025, 12, 15)
            .and_then(|it| it.checked_sub_months(Months::new(11 - month as u32)))
            .expect("a day of the calendar");
        let mut floor = asked(FITTED + 512 + at, date);
        let priors = PriorSet::for_visit(&floor.visit);
        let place_year = PlaceYear::new(place, priors.below_grade);
        let scores: [f64; DIMENSIONS] = std::array::from_fn(|at| floor.scores[at]);
        let truth = [priors.parameters(&scores)];
        let mut layout = plan(&floor.visit, &[], Dome::NotAsked);
        layout.patch = Patch::Asked;
        let outcomes = simulate_each(&place_year, &layout, &truth);
        floor.chosen[DARKENING] = darkening_answer(&floor, &outcomes[0], place_seasons);
        let month_at = date.month0() as usize;
        let percent = drawn_scale(floor.scores[DIMENSIONS + 7])
            * outcomes[0].reading_year[month_at].meter_fraction
            * 100.0;
        let kind = usize::from(floor.shows_a_sign(floor.chosen[DARKENING]));
        if !is_carded(percent, card.limit_percent) || missing[kind] == 0 {
            continue;
        }
        missing[kind] -= 1;
        let mut visit = floor.visit.clone();
        visit.signs.spring_darkening = [Some(true), Some(false), None][floor.chosen[DARKENING]];
        visit.signs.springs_watched = visit.signs.spring_darkening.map(|_| 2);
        visit.readings = vec![Reading {
            date,
            value: ReadingValue::Meter(percent),
            scale: Some(MeterScale::Percent),
            meter_id: None,
            meter_checked: None,
            spot: None,
            wall_distance: None,
            x: None,
            y: None,
            withdrawn: false,
        }];
        let model = posterior(place, &visit, limits, effort);
        let Some(points) = add_up(card, &floor.chosen, month_at, percent) else {
            continue;
        };
        if !model.is_explained() {
            continue;
        }
        let (by_model, on_paper) = (
            Grade::of_chance(model.exceedance()),
            grade_of_points(points),
        );
        count += 1;
        signs_shown += kind;
        by_grade[by_model as usize] += 1;
        let apart = (by_model as i32 - on_paper as i32).abs();
        same += usize::from(apart == 0);
        far += usize::from(apart >= 2);
    }
    let share = |part: usize| part as f64 / f64::from(count.max(1));
    Agreement {
        floors: count as usize,
        with_sign: signs_shown,
        same_grade: share(same),
        far_apart: share(far),
        by_commonest: share(by_grade.into_iter().max().unwrap_or(0)),
    }
}

/// A visit added up on a card.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperScore {
    /// Question, answer as the card offers it, and its points.
    pub lines: Vec<(&'static str, &'static str, i32)>,
    /// Points of the reading; none where the card has none.
    pub reading: Option<i32>,
    /// Start, answers and reading added up; `None` where the card has no points for the reading.
    pub total: Option<i32>,
}

/// Adds a visit up on a card, with one number for its reading.
pub fn add_up_visit(card: &Card, visit: &Visit, percent: f64) -> PaperScore {
    let not_sure = |at: usize, known: Option<usize>| known.unwrap_or(OFFERED[at].answers.len() - 1);
    let year = crate::survey::construction_year(&visit.floor);
    // Floors that are asked about are mostly below grade.
    let below = known_below_grade(&visit.floor).unwrap_or(true);
    let chosen = [
        // The card asks for an age; one that is not known counts as the middle of the range.
        year.map_or(1, |it| match it {
            ..1960 => 0,
            1960..1980 => 1,
            1980..2000 => 2,
            2000.. => 3,
        }),
        not_sure(
            1,
            visit.floor.retarder.map(|it| match it {
                Retarder::Seen => 0,
                Retarder::Absent => 1,
            }),
        ),
        usize::from(!below),
        not_sure(
            3,
            visit.lot.position.map(|it| match it {
                LotPosition::High => 0,
                LotPosition::Level => 1,
                LotPosition::Low => 2,
            }),
        ),
        not_sure(4, visit.signs.spring_darkening.map(|yes| usize::from(!yes))),
        not_sure(
            5,
            crate::survey::derived_drainage(&visit.lot).map(|it| match it {
                Drainage::Sound => 0,
                Drainage::Failing => 1,
            }),
        ),
    ];
    let month = visit.visit_date.month0() as usize;
    let mut at = 0;
    let mut lines = Vec::new();
    for (Offered { question, answers }, chosen) in OFFERED.iter().zip(chosen) {
        lines.push((
            *question,
            answers[chosen].0,
            card.answers[at + chosen].points,
        ));
        at += answers.len();
    }
    PaperScore {
        lines,
        reading: card.readings[month][range_of(percent)],
        total: add_up(card, &chosen, month, percent),
    }
}
