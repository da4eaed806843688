//! A trial: which floors, which months, what is measured; sealed before the first reading.

use super::check::{Checked, TrialTable, gather, scored};
use super::error::LedgerError;
use super::file::Ledger;
use super::months::{month_after, month_name};
use super::proof::laid_table;
use super::said::{day_said, of_100};
use super::statement::region_of;
use crate::climate::{Place, PlaceQuery, find_place};
use crate::lessons::Town;
use crate::odds::posterior::{Ahead, Effort, Limits, posterior};
use crate::odds::priors::normal_cdf;
use crate::report::calendar::{Entry, calendar_of};
use crate::report::paper::Block;
use crate::report::{Layout, Paper};
use crate::season::MONTH_NAMES;
use crate::survey::parse_visit;
use crate::units::{table_rows, table_text};
use crate::verdict::GradeTable;
use crate::words::{say, say_all, say_with};
use chrono::{Datelike, Days, NaiveDate};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Number of the form in which protocols are sealed.
const FORM: u32 = 1;

/// The months of the later visits in one region.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RegionMonths {
    /// Region of `tables/regions.csv`.
    pub region: String,
    /// 1 to 12, in the order of the calendar.
    pub months: Vec<u32>,
    /// Share of the floors that go over in the year which are over in one of these months.
    pub catches: f64,
}

/// What is fixed before the first reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Protocol {
    /// Version of the protocol's form; fields are only added.
    pub form: u32,
    /// Version of the model.
    pub model: String,
    /// Digest of the tables.
    pub tables: String,
    /// Floors that the trial is to state.
    pub floors: u64,
    /// First day of the twelve months.
    pub from: NaiveDate,
    /// Months of the later visits, region by region.
    pub regions: Vec<RegionMonths>,
    /// Claims that the trial is made for.
    pub primary: Vec<String>,
    /// Claims that are looked at beside them.
    pub secondary: Vec<String>,
    /// Claims and the floors that each needs.
    pub needed: BTreeMap<String, u64>,
}

impl Protocol {
    /// The bytes that are sealed.
    pub fn canonical(&self) -> String {
        serde_json::to_string(self).expect("plain values")
    }
}

/// Towns by region that the months are worked out for.
fn towns() -> BTreeMap<&'static str, Vec<Place>> {
    let mut res: BTreeMap<&'static str, Vec<Place>> = BTreeMap::new();
    let rows = table_rows::<Town>(table_text("lesson_places.csv"));
    for row in rows.expect("tests/tables.rs parses this file") {
        let place = PlaceQuery::parse(&row.postal)
            .and_then(|it| find_place(&it))
            .expect("tests/lessons.rs finds every town");
        res.entry(region_of(&place)).or_default().push(place);
    }
    res
}

/// Sets of so many months, each in rising order.
fn sets(visits: usize) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for _ in 0..visits {
        all = all
            .into_iter()
            .flat_map(|set: Vec<usize>| {
                let from = set.last().map_or(0, |it| it + 1);
                (from..12).map(move |month| {
                    let mut more = set.clone();
                    more.push(month);
                    more
                })
            })
            .collect();
    }
    all
}

/// For each set of months, the weight of basement floors of a place that are over the usual
/// limit in one of them; and of those that are over in any month.
///
/// # Formula
///
/// Sum over the versions of `w P(scale > limit / highest water content of the months)`, the
/// scale normal.
fn caught(place: &Place, sets: &[Vec<usize>]) -> (Vec<f64>, f64) {
    let text = "visit_version = 1\nvisit_date = 2026-09-15\npostal = \"05401\"\n[floor]\nsetting = \"basement\"\n";
    let visit = parse_visit(text, "")
        .expect("a day, a place and an answer are a visit")
        .visit;
    let limit = GradeTable::bundled().default_meter_percent;
    let limits = Limits {
        meter_percent: Some(limit),
        probe_humidity: None,
        dome_flux: None,
    };
    let effort = Effort {
        round: 1_024,
        most: 1_024,
        enough: 0.0,
        ahead: Ahead::NextYear,
    };
    let floors = posterior(place, &visit, limits, effort);
    let scale = floors.scale_before;
    let (mut of_sets, mut of_year) = (vec![0.0; sets.len()], 0.0);
    for (outcome, weight) in floors.outcomes.iter().zip(&floors.before.weights) {
        let over: [f64; 12] = std::array::from_fn(|month| {
            let dry = 100.0 * outcome.next_year[month].meter_fraction;
            1.0 - normal_cdf((limit / dry.max(1.0e-9) - scale.mean) / scale.sd)
        });
        of_year += weight * over.iter().copied().fold(0.0, f64::max);
        for (set, sum) in sets.iter().zip(&mut of_sets) {
            *sum += weight * set.iter().map(|it| over[*it]).fold(0.0, f64::max);
        }
    }
    (of_sets, of_year)
}

/// The months that catch most, by region; of equals the earliest.
pub fn telling_months(visits: usize) -> Vec<RegionMonths> {
    let sets = sets(visits);
    towns()
        .into_iter()
        .map(|(region, places)| {
            let (mut of_sets, mut of_year) = (vec![0.0; sets.len()], 0.0);
            for place in &places {
                let (some, year) = caught(place, &sets);
                // Towns count the same, however wet they are.
                let share = 1.0 / year.max(1.0e-9);
                for (sum, it) in of_sets.iter_mut().zip(some) {
                    *sum += share * it;
                }
                of_year += 1.0;
            }
            let best = (0..sets.len())
                .max_by(|a, b| of_sets[*a].total_cmp(&of_sets[*b]).then(b.cmp(a)))
                .expect("there is a set");
            RegionMonths {
                region: region.to_string(),
                months: sets[best].iter().map(|it| *it as u32 + 1).collect(),
                catches: (1_000.0 * of_sets[best] / of_year).round() / 1_000.0,
            }
        })
        .collect()
}

/// The protocol of a trial with the shipped model.
pub fn protocol(floors: u64, from: NaiveDate, model: &str, tables: &str) -> Protocol {
    let table = TrialTable::bundled();
    let needed = [
        ("coverage", table.need_coverage),
        ("crps_answers", table.need_crps_answers),
        ("crps_last", table.need_crps_last),
        ("crps_rule", table.need_crps_rule),
        ("brier_answers", table.need_brier_answers),
        ("brier_rule", table.need_brier_rule),
    ];
    let words = |all: &[&str]| all.iter().map(|it| it.to_string()).collect();
    Protocol {
        form: FORM,
        model: model.to_string(),
        tables: tables.to_string(),
        floors,
        from,
        regions: telling_months(table.visits as usize),
        primary: words(&["coverage", "crps_answers", "crps_last"]),
        secondary: words(&["brier_answers", "brier_rule"]),
        needed: needed
            .iter()
            .map(|it| (it.0.to_string(), it.1 as u64))
            .collect(),
    }
}

/// First and last day of a visit in a month of the trial's twelve.
fn window(protocol: &Protocol, month: u32) -> (NaiveDate, NaiveDate) {
    let ahead = (month + 12 - protocol.from.month()) % 12;
    let first = month_after(protocol.from, ahead);
    let middle = first + Days::new(14);
    let days = Days::new(TrialTable::bundled().visit_window_days as u64);
    (middle - days, middle + days)
}

/// The days of the visits by region, and how many floors they catch.
fn months_table(protocol: &Protocol, layout: Layout) -> Block {
    let rows = protocol
        .regions
        .iter()
        .map(|it| {
            let days: Vec<String> = it
                .months
                .iter()
                .map(|month| {
                    let (first, last) = window(protocol, *month);
                    let name = &MONTH_NAMES[*month as usize - 1][..3];
                    format!("{name} {} to {}", first.day(), last.day())
                })
                .collect();
            vec![
                it.region.replace('_', " "),
                days.join(", "),
                format!("{:.0}", 100.0 * it.catches),
            ]
        })
        .collect();
    let head = [
        "trial.column.region",
        "trial.column.days",
        "trial.column.catches",
    ];
    laid_table(layout, say_all(&head), rows)
}

/// How many floors each claim needs.
fn needed_table(protocol: &Protocol, layout: Layout) -> Block {
    let rows = protocol
        .needed
        .iter()
        .map(|(claim, floors)| {
            vec![
                say(&format!("ledger.claim.{claim}")).to_string(),
                floors.to_string(),
            ]
        })
        .collect();
    laid_table(
        layout,
        say_all(&["trial.column.claim", "trial.column.needed"]),
        rows,
    )
}

/// The form of one visit, with its blanks to fill in.
fn visit_form(number: usize) -> [Block; 2] {
    let lines = [
        "trial.form.label",
        "trial.form.day",
        "trial.form.meter",
        "trial.form.block",
        "trial.form.spot_a",
        "trial.form.spot_b",
        "trial.form.spot_c",
        "trial.form.lost",
    ];
    [
        Block::Subheading(say_with(
            "trial.form.title",
            &[("number", &number.to_string())],
        )),
        Block::Blanks(say_all(&lines)),
    ]
}

/// Whether a protocol is sealed yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sealed {
    /// In a ledger, under this seal.
    InLedger(String),
    /// Nowhere: it proves nothing yet.
    Draft,
}

/// Which claims so many floors cannot reach, or that they reach all.
fn out_of_reach(protocol: &Protocol) -> String {
    let floors = protocol.floors.to_string();
    let missed: Vec<String> = protocol
        .needed
        .iter()
        .filter(|(_, needed)| **needed > protocol.floors)
        .map(|(claim, needed)| {
            let claim = say(&format!("ledger.claim.{claim}"));
            let needed = needed.to_string();
            say_with("trial.plan.needs", &[("claim", claim), ("needed", &needed)])
        })
        .collect();
    if missed.is_empty() {
        return say_with("trial.plan.reaches", &[("floors", &floors)]);
    }
    let missed = missed.join("; ");
    let blanks = [("floors", floors.as_str()), ("missed", &missed)];
    say_with("trial.plan.too_few", &blanks)
}

/// The protocol on paper.
pub fn protocol_paper(protocol: &Protocol, sealed: &Sealed, layout: Layout) -> Paper {
    let (sealed_key, seal) = match sealed {
        Sealed::InLedger(seal) => ("trial.plan.sealed", seal.as_str()),
        Sealed::Draft => ("trial.plan.draft", ""),
    };
    let table = TrialTable::bundled();
    let floors = protocol.floors.to_string();
    let until = month_after(protocol.from, 12) - Days::new(1);
    let blanks = [
        ("floors", floors.as_str()),
        ("from", &day_said(protocol.from)),
        ("until", &day_said(until)),
        ("seal", seal),
        ("model", &protocol.model),
        ("tables", &protocol.tables),
        ("drop_out", &of_100(table.drop_out)),
        ("days", &format!("{:.0}", table.visit_window_days)),
    ];
    let text = |key: &str| Block::Text(say_with(key, &blanks));
    let heading = |key: &str| Block::Heading(say(key).to_string());
    let items = |keys: &[&str]| Block::Items(keys.iter().map(|it| say_with(it, &blanks)).collect());
    let mut blocks = vec![
        text("trial.plan.what"),
        Block::Banner(say_with(sealed_key, &blanks)),
        heading("trial.plan.measured"),
        items(&[
            "trial.plan.primary",
            "trial.plan.secondary",
            "trial.plan.unit",
            "trial.plan.once",
        ]),
        needed_table(protocol, layout),
        Block::Text(out_of_reach(protocol)),
        Block::Small(say("trial.plan.power").to_string()),
        heading("trial.plan.which"),
        items(&[
            "trial.plan.next",
            "trial.plan.no_choice",
            "trial.plan.leave",
            "trial.plan.add",
        ]),
        heading("trial.plan.spots"),
        items(&[
            "trial.plan.three",
            "trial.plan.mark",
            "trial.plan.meter",
            "trial.plan.tendons",
        ]),
        heading("trial.plan.when"),
        months_table(protocol, layout),
        Block::Small(say_with("trial.plan.when_how", &blanks)),
        heading("trial.plan.lost"),
        items(&[
            "trial.plan.lost_spot",
            "trial.plan.lost_two",
            "trial.plan.lost_floor",
            "trial.plan.lost_meter",
            "trial.plan.never",
        ]),
        heading("trial.plan.forms"),
    ];
    for number in 1..=1 + table.visits as usize {
        blocks.extend(visit_form(number));
    }
    blocks.push(Block::Small(say("disclaimer").to_string()));
    Paper {
        title: say("trial.plan.title").to_string(),
        blocks,
    }
}

/// Reminders of a trial as a calendar: a window for each region and month.
pub fn reminders(protocol: &Protocol) -> String {
    let mut entries: Vec<Entry> = Vec::new();
    for it in &protocol.regions {
        for month in &it.months {
            let (first, last) = window(protocol, *month);
            entries.push(Entry {
                id: format!(
                    "trial-{}-{}",
                    it.region.replace('_', "-"),
                    month_name(first)
                ),
                first,
                last,
                summary: say_with(
                    "trial.reminder",
                    &[("region", &it.region.replace('_', " "))],
                ),
                description: say("trial.reminder_how").to_string(),
            });
        }
    }
    entries.sort_by_key(|it| it.first);
    calendar_of(&entries, protocol.from)
}

/// What a trial came to: its protocol, and the table of the floors that came after its seal.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialResult {
    /// What was fixed before the first reading.
    pub protocol: Protocol,
    /// Seal of the protocol.
    pub seal: String,
    /// Scores and claims of the floors that count.
    pub checked: Checked,
    /// Floors that were stated after the seal and within the twelve months, at most as many as
    /// the protocol asks for.
    pub floors: u64,
    /// Floors were stated with other tables than the protocol's.
    pub model_changed: bool,
}

/// The newest trial of a ledger against what came.
///
/// # Errors
///
/// A ledger without a trial.
pub fn trial_result(ledger: &Ledger) -> Result<TrialResult, LedgerError> {
    let mut found: Option<(i64, String, Protocol)> = None;
    let mut floors: Vec<i64> = Vec::new();
    let mut model_changed = false;
    ledger.each_sealed(|it| {
        match (it.kind.as_str(), it.floor) {
            ("trial", _) => {
                if let Ok(protocol) = serde_json::from_str::<Protocol>(&it.content) {
                    found = Some((it.id, it.seal, protocol));
                    floors.clear();
                    model_changed = false;
                }
            }
            (_, Some(floor)) => {
                if let Some((_, _, protocol)) = &found
                    && let Ok(statement) = serde_json::from_str::<super::Statement>(&it.content)
                {
                    let first = protocol.from;
                    let days = first..month_after(first, 12);
                    let is_new = !floors.contains(&floor) && it.visit.is_some();
                    if is_new
                        && !statement.held
                        && days.contains(&statement.visit_date)
                        && (floors.len() as u64) < protocol.floors
                    {
                        model_changed |= statement.tables != protocol.tables;
                        floors.push(floor);
                    }
                }
            }
            _ => {}
        }
        Ok(())
    })?;
    let Some((_, seal, protocol)) = found else {
        return Err(LedgerError::say("trial.error.none"));
    };
    let gathered = gather(ledger, Some(&floors))?;
    let (seals, broken) = ledger.broken_seal()?;
    let mut checked = scored(&gathered.floors);
    checked.left_out = gathered.left_out;
    checked.floors = floors.len() as u64;
    checked.seals = seals;
    checked.broken_seal = broken;
    checked.newest_seal = ledger.head()?;
    checked.outcomes = gathered.outcomes;
    Ok(TrialResult {
        protocol,
        seal,
        checked,
        floors: floors.len() as u64,
        model_changed,
    })
}

/// The trial's table on paper: what the protocol names first comes first.
pub fn result_paper(result: &TrialResult, layout: Layout) -> Paper {
    let mut paper = super::proof::proof_paper(&result.checked, layout);
    paper.title = say("trial.report.title").to_string();
    let claims = |names: &[String]| {
        result
            .checked
            .claims
            .iter()
            .filter(|it| names.iter().any(|name| name == it.claim))
            .map(super::proof::claim_said)
            .collect::<Vec<String>>()
    };
    let blanks = [
        ("floors", result.floors.to_string()),
        ("planned", result.protocol.floors.to_string()),
        ("from", result.protocol.from.to_string()),
        ("seal", result.seal.clone()),
    ];
    let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
    let mut first = vec![
        Block::Text(say_with("trial.report.what", &blanks)),
        Block::Heading(say("trial.report.primary").to_string()),
        Block::Items(claims(&result.protocol.primary)),
        Block::Heading(say("trial.report.secondary").to_string()),
        Block::Items(claims(&result.protocol.secondary)),
    ];
    if result.model_changed {
        first.push(Block::Banner(say("trial.report.model_changed").to_string()));
    }
    first.extend(paper.blocks);
    paper.blocks = first;
    paper
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: by hand, 12 over 3 is 220; the first and the last set in the order of the months.
    #[test]
    fn sets_of_months_are_all_there() {
        let all = sets(3);
        assert_eq!(all.len(), 220);
        assert_eq!((&all[0], &all[219]), (&vec![0, 1, 2], &vec![9, 10, 11]));
    }
}
