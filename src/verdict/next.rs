//! What to ask, test or wait for next: by the chance that it changes the grade.

use super::questions::{Acts, Question, open_questions};
use super::ways::was_done;
use super::{Grade, Verdict};
use crate::climate::Place;
use crate::odds::evidence::{EvidenceTable, Sign, sheet_chance, signs};
use crate::odds::pareto::smooth;
use crate::odds::posterior::{self, Effort, Posterior};
use crate::odds::priors::Priors;
use crate::odds::unseen::{Era, RetarderState};
use crate::survey::{
    Dehumidifier, Drainage, LotPosition, ReadingKind, Retarder, SubDrain, Sump, Visit, WaterNow,
};
use std::collections::HashMap;
use std::sync::LazyLock;

/// Something that could be asked, tested or waited for.
#[derive(Debug, Clone, PartialEq)]
pub struct NextStep {
    /// A question's id, or `test.probe` and the like; a second visit names its month.
    pub id: String,
    /// 1 to 12 for a second visit.
    pub month: Option<u32>,
    pub chance_of_change: f64,
    pub days: f64,
}

static DAYS: LazyLock<HashMap<String, f64>> = LazyLock::new(|| {
    parse_days(include_str!("../../tables/tests.csv")).expect("tests/tables.rs parses this file")
});

fn parse_days(text: &str) -> Result<HashMap<String, f64>, String> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut rows = HashMap::new();
    for record in reader.records() {
        let record = record.map_err(|it| it.to_string())?;
        let days = record[1]
            .parse::<f64>()
            .map_err(|_| format!("{}: \"{}\"", &record[0], &record[1]))?;
        rows.insert(record[0].to_string(), days);
    }
    Ok(rows)
}

static SHARES: LazyLock<HashMap<(String, String), f64>> = LazyLock::new(|| {
    parse_shares(include_str!("../../tables/answer_shares.csv"))
        .expect("tests/tables.rs parses this file")
});

fn parse_shares(text: &str) -> Result<HashMap<(String, String), f64>, String> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut rows = HashMap::new();
    for record in reader.records() {
        let record = record.map_err(|it| it.to_string())?;
        let share = record[2]
            .parse::<f64>()
            .ok()
            .filter(|it| (0.0..=1.0).contains(it))
            .ok_or_else(|| format!("{}: \"{}\" is not a share", &record[0], &record[2]))?;
        rows.insert((record[0].to_string(), record[1].to_string()), share);
    }
    Ok(rows)
}

fn days(key: &str) -> f64 {
    *DAYS
        .get(key)
        .unwrap_or_else(|| panic!("tables/tests.csv has no row {key}"))
}

/// Floors that stand for the truth when a test's outcome is imagined.
const IMAGINED: usize = 48;
/// Part of the draws that an imagined answer is worth. Source: judgement, by speed.
const IMAGINED_SHARE: usize = 4;
/// Chance under which a step is not worth naming.
const WORTH_NAMING: f64 = 0.005;

/// Everything that could be done next, most telling first. Empty when nothing would change
/// the grade, and for a visit without one.
pub fn next_steps(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    verdict: &Verdict,
    effort: Effort,
) -> Vec<NextStep> {
    let Some(chance) = verdict.chance else {
        return Vec::new();
    };
    let grade = Grade::of_chance(chance);
    let mut out = Vec::new();
    let mut add = |id: &str, month: Option<u32>, chance_of_change: f64, days: f64| {
        out.push(NextStep {
            id: id.to_string(),
            month,
            chance_of_change,
            days,
        });
    };
    for question in open_questions(visit) {
        let change = match question.acts {
            Acts::Speaks => speaking(visit, posterior, grade, question),
            Acts::Selects => selecting(place, visit, verdict, question, effort),
        };
        if let Some(change) = change {
            add(question.id, None, change, 0.0);
        }
    }
    // Tests of the floor as it is now.
    let month = posterior.plan.reading_month;
    let table = EvidenceTable::bundled();
    let now = |draw: usize| posterior.outcomes[draw].reading_year[month];
    if !was_done(visit, ReadingKind::Probe) {
        let value = |draw: usize| now(draw).probe_humidity;
        add(
            "test.probe",
            None,
            measuring(posterior, grade, &value, table.probe_noise),
            days("probe"),
        );
    }
    if !was_done(visit, ReadingKind::Sheet) {
        let damp = |draw: usize| sheet_chance(&now(draw));
        add(
            "test.sheet",
            None,
            answering(posterior, grade, &[&damp, &|draw| 1.0 - damp(draw)]),
            days("sheet"),
        );
    }
    if visit.floor.retarder_proof.is_none() {
        let seen = |draw: usize| match posterior.outcomes[draw].unseen.retarder {
            RetarderState::Effective => SEEN_IF_THERE,
            RetarderState::Damaged => SEEN_IF_DAMAGED,
            RetarderState::None => 1.0 - SEEN_IF_THERE,
        };
        let change = answering(posterior, grade, &[&seen, &|draw| 1.0 - seen(draw)]);
        add("test.retarder_hole", None, change, days("retarder_hole"));
    }
    let best = second_visit(posterior, grade);
    // The same month comes again in a year.
    let months_ahead = (best.0 + 11 - (month as u32 + 1)) % 12 + 1;
    let wait = f64::from(months_ahead) * 30.4;
    add(
        "test.second_visit",
        Some(best.0),
        best.1,
        wait.max(days("second_visit")),
    );

    out.retain(|it| it.chance_of_change >= WORTH_NAMING);
    out.sort_by(|a, b| {
        b.chance_of_change
            .total_cmp(&a.chance_of_change)
            .then(a.id.cmp(&b.id))
    });
    out
}

/// Chance that a look finds a retarder that is whole, and one that is torn. Source: judgement.
const SEEN_IF_THERE: f64 = 0.97;
const SEEN_IF_DAMAGED: f64 = 0.85;

/// The calendar month (1 to 12) in which a second reading tells most, and its chance to change
/// the grade.
pub fn second_visit(posterior: &Posterior, grade: Grade) -> (u32, f64) {
    let noise = EvidenceTable::bundled().meter_noise;
    (0..12)
        .map(|month| {
            // The same meter: its scale is what the readings leave of it.
            let value = |draw: usize| {
                100.0
                    * posterior.scales[draw].mean
                    * posterior.outcomes[draw].next_year[month].meter_fraction
            };
            (month as u32 + 1, measuring(posterior, grade, &value, noise))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        .expect("twelve months")
}

/// The grade with the draws weighed anew.
fn grade_with(posterior: &Posterior, log_more: impl Fn(usize) -> f64) -> Grade {
    let logs: Vec<f64> = posterior
        .after
        .weights
        .iter()
        .enumerate()
        .map(|(draw, weight)| libm::log(weight.max(1.0e-300)) + log_more(draw))
        .collect();
    let chance: f64 = smooth(&logs)
        .weights
        .iter()
        .enumerate()
        .filter(|(_, weight)| **weight > 1.0e-12)
        .map(|(draw, weight)| weight * posterior.over_next_year(draw, posterior.scales[draw]))
        .sum();
    Grade::of_chance(chance)
}

/// Chance that one of several answers changes the grade; `chances[a](draw)` is the chance of
/// answer `a` for a draw.
fn answering(posterior: &Posterior, grade: Grade, chances: &[&dyn Fn(usize) -> f64]) -> f64 {
    chances
        .iter()
        .map(|chance| {
            let given = posterior.mean_after(chance);
            let changed =
                grade_with(posterior, |draw| libm::log(chance(draw).max(1.0e-12))) != grade;
            if changed { given } else { 0.0 }
        })
        .fold(0.0, |sum, it| sum + it)
}

/// Chance that a measured number changes the grade: the truth is imagined on floors picked
/// evenly along the weights, each with one even share of the noise.
fn measuring(posterior: &Posterior, grade: Grade, value: &dyn Fn(usize) -> f64, noise: f64) -> f64 {
    let sampled = crate::odds::ahead::sample(posterior, &posterior.after.weights, IMAGINED);
    let changed = sampled
        .iter()
        .filter(|it| {
            let error = noise * crate::odds::priors::normal_score(it.spread.clamp(0.01, 0.99));
            let read = value(it.draw) + error;
            let log = |draw: usize| {
                let off = (read - value(draw)) / noise;
                -0.5 * off * off
            };
            grade_with(posterior, log) != grade
        })
        .count();
    changed as f64 / IMAGINED as f64
}

/// A question whose answer is evidence: `None` where it has no answers to imagine.
fn speaking(
    visit: &Visit,
    posterior: &Posterior,
    grade: Grade,
    question: &Question,
) -> Option<f64> {
    let answers: Vec<Visit> = imagined_signs(visit, question.id);
    if answers.is_empty() {
        return None;
    }
    let kinds: Vec<Sign> = answers
        .iter()
        .filter_map(|it| {
            signs(it, &posterior.seasons)
                .into_iter()
                .find(|sign| sign.question == question.id)
        })
        .collect();
    let chances: Vec<Box<dyn Fn(usize) -> f64 + '_>> = kinds
        .iter()
        .map(|sign| {
            Box::new(move |draw: usize| sign.chance(&posterior.outcomes[draw]))
                as Box<dyn Fn(usize) -> f64>
        })
        .collect();
    let refs: Vec<&dyn Fn(usize) -> f64> = chances.iter().map(|it| it.as_ref()).collect();
    Some(answering(posterior, grade, &refs))
}

/// The visit with each possible answer to a question of evidence.
fn imagined_signs(visit: &Visit, id: &str) -> Vec<Visit> {
    let with = |change: &dyn Fn(&mut Visit)| {
        let mut other = visit.clone();
        change(&mut other);
        other
    };
    macro_rules! yes_no {
        ($($part:ident).+) => {
            [true, false].iter().map(|yes| with(&|it| it.$($part).+ = Some(*yes))).collect()
        };
    }
    match id {
        "signs.spring_darkening" => [true, false]
            .iter()
            .map(|yes| {
                with(&|it| {
                    it.signs.spring_darkening = Some(*yes);
                    it.signs.springs_watched = it.signs.springs_watched.or(Some(2));
                })
            })
            .collect(),
        "lot.sump" => [Sump::Dry, Sump::AfterRain, Sump::MostDays]
            .iter()
            .map(|answer| with(&|it| it.lot.sump = Some(*answer)))
            .collect(),
        "lot.standing_water_5y" => yes_no!(lot.standing_water_5y),
        "signs.water_now" => [WaterNow::Dry, WaterNow::Damp]
            .iter()
            .map(|answer| with(&|it| it.signs.water_now = Some(*answer)))
            .collect(),
        "signs.sweats_in_summer" => yes_no!(signs.sweats_in_summer),
        "signs.white_deposit" => yes_no!(signs.white_deposit),
        "signs.joint_stain" => yes_no!(signs.joint_stain),
        "signs.damp_crack" => yes_no!(signs.damp_crack),
        "signs.damp_lower_wall" => yes_no!(signs.damp_lower_wall),
        "signs.rusty_posts" => yes_no!(signs.rusty_posts),
        "signs.musty_smell" => yes_no!(signs.musty_smell),
        _ => Vec::new(),
    }
}

/// A question that selects priors: each answer is simulated, and counts by its share and by how
/// well it explains the readings.
fn selecting(
    place: &Place,
    visit: &Visit,
    verdict: &Verdict,
    question: &Question,
    effort: Effort,
) -> Option<f64> {
    let answers = imagined_answers(visit, question.id);
    if answers.len() < 2 {
        return None;
    }
    // Only the grade is asked of an answer that is imagined: fewer draws tell it.
    let effort = Effort {
        round: effort.round / IMAGINED_SHARE,
        most: effort.most / IMAGINED_SHARE,
        enough: effort.enough / IMAGINED_SHARE as f64,
        ..effort.next_year_only()
    };
    let results: Vec<(f64, Grade)> = answers
        .iter()
        .map(|(share, other)| {
            let it = posterior::posterior(place, other, verdict.limits.for_odds(), effort);
            (
                share * libm::exp(it.log_evidence),
                Grade::of_chance(it.exceedance()),
            )
        })
        .collect();
    // The grade now by as few draws, so that their error alone changes nothing.
    let now = Grade::of_chance(
        posterior::posterior(place, visit, verdict.limits.for_odds(), effort).exceedance(),
    );
    let whole: f64 = results.iter().map(|it| it.0).sum();
    let changed: f64 = results
        .iter()
        .filter(|it| it.1 != now)
        .fold(0.0, |sum, it| sum + it.0);
    (whole > 0.0).then(|| changed / whole)
}

/// The visit with each possible answer to a question that selects priors, and its share.
fn imagined_answers(visit: &Visit, id: &str) -> Vec<(f64, Visit)> {
    let priors = Priors::bundled();
    let with = |share: f64, change: &dyn Fn(&mut Visit)| {
        let mut other = visit.clone();
        change(&mut other);
        (share, other)
    };
    let share = |answer: &str| {
        *SHARES
            .get(&(id.to_string(), answer.to_string()))
            .unwrap_or_else(|| panic!("tables/answer_shares.csv has no row {id}, {answer}"))
    };
    match id {
        "floor.year_built" => Era::ALL
            .iter()
            .map(|era| {
                with(priors.of("era_share", era.key()).value(), &|it| {
                    it.floor.year_built = Some(era.middle_year())
                })
            })
            .collect(),
        "floor.retarder" => vec![
            with(share("seen"), &|it| {
                it.floor.retarder = Some(Retarder::Seen)
            }),
            with(share("absent"), &|it| {
                it.floor.retarder = Some(Retarder::Absent)
            }),
        ],
        "lot.position" => LotPosition::ALL
            .iter()
            .map(|lot| {
                with(priors.of("lot_share", lot.word()).value(), &|it| {
                    it.lot.position = Some(*lot)
                })
            })
            .collect(),
        "lot.drainage" => vec![
            with(share("sound"), &|it| {
                it.lot.drainage = Some(Drainage::Sound)
            }),
            with(share("failing"), &|it| {
                it.lot.drainage = Some(Drainage::Failing)
            }),
        ],
        "lot.sub_drain" => vec![
            with(share("works"), &|it| {
                it.lot.sub_drain = Some(SubDrain::Works)
            }),
            with(share("none"), &|it| {
                it.lot.sub_drain = Some(SubDrain::NoDrain)
            }),
        ],
        "air.dehumidifier" => vec![
            with(share("running"), &|it| {
                it.air.dehumidifier = Some(Dehumidifier::Running)
            }),
            with(share("none"), &|it| {
                it.air.dehumidifier = Some(Dehumidifier::NoMachine)
            }),
        ],
        "floor.gravel_base" => [("yes", true), ("no", false)]
            .iter()
            .map(|(word, answer)| with(share(word), &|it| it.floor.gravel_base = Some(*answer)))
            .collect(),
        "air.air_conditioned" => [("yes", true), ("no", false)]
            .iter()
            .map(|(word, answer)| with(share(word), &|it| it.air.air_conditioned = Some(*answer)))
            .collect(),
        "air.heated" => [("yes", true), ("no", false)]
            .iter()
            .map(|(word, answer)| with(share(word), &|it| it.air.heated = Some(*answer)))
            .collect(),
        _ => Vec::new(),
    }
}
