//! Statements against what came: the table that says whether the tool is right.

use super::LedgerTable;
use super::error::LedgerError;
use super::file::{Ledger, ReadingKept};
use super::rules::{Told, base_rate, by_last_reading, by_reading_and_month, point_told};
use super::scored_floor::{FloorScored, ReadingScored};
use super::scores::{
    Came, Paired, SharedOut, brier, crps_band, exact_interval, log_score, paired, share_of_kin,
};
use super::statement::{MonthStated, Statement};
use chrono::{Datelike, NaiveDate};
use serde::Serialize;
use std::collections::BTreeMap;

crate::named_table! {
    /// What a claim needs and how a trial is laid out, from `tables/trial.csv`.
    TrialTable from "trial.csv" {
        need_brier_answers,
        need_crps_answers,
        need_crps_last,
        need_coverage,
        need_brier_rule,
        need_crps_rule,
        visits,
        drop_out,
        visit_window_days,
    }
}

/// Why floors are not among those that count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct LeftOut {
    /// No chance was stated: held, refused, or a line of results alone.
    pub not_stated: u64,
    /// No later reading so far.
    pub not_read_again: u64,
    /// The later readings are older than the statement's seal: that proves nothing.
    pub sealed_after: u64,
    /// Read with another meter, near a wall, or beyond the twelve months.
    pub other_reading: u64,
}

/// One row of the scores: means over floors.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScoreRow {
    /// Who tells: `tool`, `answers`, `reading_and_month`, `last_reading` or `base_rate`.
    pub by: &'static str,
    /// Brier score of the chances, 0 to 1; 0 is best.
    pub brier: Option<f64>,
    /// Logarithmic score of the chances, natural logarithm, 0 and up; 0 is best.
    pub log: Option<f64>,
    /// CRPS of the bands, percent by mass; 0 is best.
    pub crps: Option<f64>,
    /// The row's score less the tool's; above 0 where the tool is better.
    pub brier_more: Option<Difference>,
    /// The same of the CRPS, percent by mass.
    pub crps_more: Option<Difference>,
}

/// A mean difference over floors with its interval of 95 in 100.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Difference {
    /// Floors on which both have a score.
    pub floors: usize,
    /// Mean over the floors, in the unit of the score.
    pub mean: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

impl From<Paired> for Difference {
    fn from(it: Paired) -> Self {
        Self {
            floors: it.floors,
            mean: it.mean,
            low: it.low,
            high: it.high,
        }
    }
}

/// Floors of about the same stated chance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tenth {
    /// Lower edge of the tenth, 0 to 0.9.
    pub from: f64,
    /// Floors whose stated chance lies in it.
    pub floors: u64,
    /// Mean stated chance of these, 0 to 1.
    pub stated: f64,
    /// Floors of these that were read over the limit.
    pub came: u64,
    /// Share of these, 0 to 1.
    pub share: f64,
    /// Lower end of the exact interval of 95 in 100, 0 to 1.
    pub low: f64,
    /// Upper end of the exact interval of 95 in 100, 0 to 1.
    pub high: f64,
}

/// Readings within the stated band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Held {
    /// `all`, a month's name, or a region.
    pub name: String,
    /// Floors with such a reading.
    pub floors: u64,
    /// Their readings.
    pub readings: u64,
    /// Readings within the band.
    pub within: u64,
    /// Share of the readings within, 0 to 1.
    pub share: f64,
    /// Lower end of the interval of 95 in 100, 0 to 1.
    pub low: f64,
    /// Upper end of the interval of 95 in 100, 0 to 1.
    pub high: f64,
}

/// Whether something may be claimed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Too few floors: nothing is said, whatever the figures look like.
    TooFew,
    /// Enough floors, and the figures bear it out.
    Shown,
    /// Enough floors, and the figures do not bear it out.
    NotShown,
}

/// One claim, and how many floors it needs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Claim {
    /// `coverage`, or the score and whom it is held against, such as `crps_answers`.
    pub claim: &'static str,
    /// Floors that speak to it so far.
    pub floors: u64,
    /// Floors that it needs, from `tables/trial.csv`.
    pub needed: u64,
    /// Whether it may be claimed.
    pub standing: Standing,
}

/// Everything that a check comes to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checked {
    /// Version of the JSON's form; fields are only added.
    pub schema: u32,
    /// Floors of the ledger.
    pub floors: u64,
    /// Seals of the ledger.
    pub seals: u64,
    /// The first seal that does not fit.
    pub broken_seal: Option<i64>,
    /// The seal that stands for all before it, 64 hexadecimal digits; none in an empty ledger.
    pub newest_seal: Option<String>,
    /// Floors with a sealed statement and a later reading that counts.
    pub scored_floors: u64,
    /// Their readings, one a day.
    pub scored_readings: u64,
    /// Floors that do not count, by reason.
    pub left_out: LeftOut,
    /// Stated chances against what came, by tenths; tenths without a floor are left out.
    pub reliability: Vec<Tenth>,
    /// The tool's scores first, then those it is held against.
    pub scores: Vec<ScoreRow>,
    /// The band of 80 in 100: all, then by month, then by region.
    pub band: Vec<Held>,
    /// What may be claimed by now.
    pub claims: Vec<Claim>,
    /// By grade of the headline of the first statement, of the bare floor where no headline was
    /// kept: grade, held up, blistered, not coated.
    pub outcomes: Vec<(String, u64, u64, u64)>,
}

/// Checks a ledger.
pub fn check(ledger: &Ledger) -> Result<Checked, LedgerError> {
    let (seals, broken_seal) = ledger.broken_seal()?;
    let gathered = gather(ledger, None)?;
    let mut checked = scored(&gathered.floors);
    checked.floors = ledger.floors()?;
    checked.seals = seals;
    checked.broken_seal = broken_seal;
    checked.newest_seal = ledger.head()?;
    checked.left_out = gathered.left_out;
    checked.outcomes = gathered.outcomes;
    Ok(checked)
}

/// What a ledger has to score.
#[derive(Debug, Clone, Default)]
pub struct Gathered {
    /// Floors that count.
    pub floors: Vec<FloorScored>,
    /// Floors that do not count, by reason.
    pub left_out: LeftOut,
    /// By grade of the headline of the first statement, of the bare floor where no headline was
    /// kept: grade, held up, blistered, not coated.
    pub outcomes: Vec<(String, u64, u64, u64)>,
}

/// Floors with the first statement that gave a chance, and what was read later; of `only`
/// some floors where a trial names them.
pub fn gather(ledger: &Ledger, only: Option<&[i64]>) -> Result<Gathered, LedgerError> {
    let mut res = Gathered::default();
    let mut by_grade: BTreeMap<String, [u64; 3]> = BTreeMap::new();
    let turned_out = ledger.newest_outcomes()?;
    let mut before = None;
    let mut stated = 0;
    ledger.each_statement(|floor, sealed_on, content| {
        let is_asked = only.is_none_or(|some| some.contains(&floor));
        if !is_asked || before == Some(floor) {
            return Ok(());
        }
        let Ok(statement) = serde_json::from_str::<Statement>(content) else {
            return Ok(());
        };
        if statement.held || statement.months.is_empty() {
            return Ok(());
        }
        // The first that gave a chance is the one that counts.
        before = Some(floor);
        stated += 1;
        if let Some(outcome) = turned_out.get(&floor) {
            // By what the result led with, where that was kept.
            let led = statement.headline.as_ref().map(|it| it.grade.clone());
            let grade = led.or(statement.grade.clone()).unwrap_or_default();
            let counts = by_grade.entry(grade).or_default();
            match outcome.as_str() {
                "held_up" => counts[0] += 1,
                "blistered" => counts[1] += 1,
                _ => counts[2] += 1,
            }
        }
        let later: Vec<ReadingKept> = ledger
            .readings(floor)?
            .into_iter()
            .filter(|it| it.day > statement.visit_date && it.withdrawn.is_none())
            .collect();
        let in_time: Vec<&ReadingKept> = later.iter().filter(|it| it.day >= sealed_on).collect();
        if later.is_empty() {
            res.left_out.not_read_again += 1;
        } else if in_time.is_empty() {
            res.left_out.sealed_after += 1;
        } else {
            match floor_scored(&statement, &in_time) {
                Some(it) => res.floors.push(it),
                None => res.left_out.other_reading += 1,
            }
        }
        Ok(())
    })?;
    let all = match only {
        None => ledger.floors()?,
        Some(some) => some.len() as u64,
    };
    res.left_out.not_stated = all.saturating_sub(stated);
    for (grade, [held_up, blistered, not_coated]) in by_grade {
        res.outcomes.push((grade, held_up, blistered, not_coated));
    }
    Ok(res)
}

fn floor_scored(statement: &Statement, later: &[&ReadingKept]) -> Option<FloorScored> {
    let mut days: BTreeMap<NaiveDate, Vec<f64>> = BTreeMap::new();
    for it in later {
        let same_meter = match (&statement.meter, &it.meter) {
            (Some(stated), Some(read)) => stated == read,
            _ => true,
        };
        if let Some(percent) = it.percent.filter(|_| same_meter) {
            days.entry(it.day).or_default().push(percent);
        }
    }
    let readings: Vec<ReadingScored> = days
        .iter()
        .filter_map(|(day, spots)| {
            let stated = statement.month_of(*day)?.clone();
            Some(ReadingScored {
                month: day.month(),
                percent: spots.iter().sum::<f64>() / spots.len() as f64,
                stated,
            })
        })
        .collect();
    (!readings.is_empty()).then(|| FloorScored {
        region: statement.region.clone(),
        levels: statement.levels.clone(),
        limit: statement.limit_percent,
        last: statement
            .last_reading
            .zip(statement.last_reading_on.map(|it| it.month())),
        readings,
    })
}

/// Everything that floors with later readings tell.
pub fn scored(floors: &[FloorScored]) -> Checked {
    let scores = score_rows(floors);
    let band = bands(floors);
    let claims = claims(&scores, &band);
    Checked {
        schema: 1,
        floors: floors.len() as u64,
        seals: 0,
        broken_seal: None,
        newest_seal: None,
        scored_floors: floors.len() as u64,
        scored_readings: floors.iter().map(|it| it.readings.len() as u64).sum(),
        left_out: LeftOut::default(),
        reliability: tenths(floors),
        scores,
        band,
        claims,
        outcomes: Vec::new(),
    }
}

fn tenths(floors: &[FloorScored]) -> Vec<Tenth> {
    let mut groups: BTreeMap<usize, (u64, f64, u64)> = BTreeMap::new();
    for (it, came) in floors.iter().filter_map(FloorScored::event) {
        let chance = it.stated.over.unwrap_or(0.0);
        let group = groups.entry(((chance * 10.0) as usize).min(9)).or_default();
        group.0 += 1;
        group.1 += chance;
        group.2 += u64::from(came == Came::Yes);
    }
    groups
        .into_iter()
        .map(|(tenth, (floors, stated, came))| {
            let count = floors as f64;
            let (low, high) = exact_interval(came as f64, count);
            Tenth {
                from: tenth as f64 / 10.0,
                floors,
                stated: stated / count,
                came,
                share: came as f64 / count,
                low,
                high,
            }
        })
        .collect()
}

/// What one way of telling says of each floor: its chance of the event, and the mean CRPS of
/// its readings.
type ToldFloors = Vec<(Option<f64>, Option<f64>)>;

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0.0);
    for it in values {
        sum += it;
        count += 1.0;
    }
    (count > 0.0).then(|| sum / count)
}

fn of_statement(
    floors: &[FloorScored],
    chance: fn(&MonthStated) -> Option<f64>,
    band: fn(&MonthStated) -> &[f64],
) -> ToldFloors {
    floors
        .iter()
        .map(|floor| {
            let event = floor.event().and_then(|(it, _)| chance(&it.stated));
            let crps = mean(
                floor
                    .readings
                    .iter()
                    .map(|it| crps_band(&floor.levels, band(&it.stated), it.percent)),
            );
            (event, crps)
        })
        .collect()
}

/// From what a rule tells of each event and each reading.
fn of_rule(floors: &[FloorScored], told: Told) -> ToldFloors {
    let mut crps = told.crps.into_iter();
    floors
        .iter()
        .zip(told.chances)
        .map(|(floor, chance)| {
            let own: Vec<f64> = floor
                .readings
                .iter()
                .filter_map(|_| crps.next().flatten())
                .collect();
            (chance, mean(own.into_iter()))
        })
        .collect()
}

fn score_rows(floors: &[FloorScored]) -> Vec<ScoreRow> {
    let tool = of_statement(floors, |it| it.over, |it| &it.band);
    let answers = of_statement(floors, |it| it.over_by_answers, |it| &it.band_by_answers);
    let fits = floors.len() >= LedgerTable::bundled().fewest_to_fit as usize;
    let mut all = vec![("tool", tool.clone()), ("answers", answers)];
    if fits {
        all.push((
            "reading_and_month",
            of_rule(floors, by_reading_and_month(floors)),
        ));
        all.push(("last_reading", of_rule(floors, by_last_reading(floors))));
        all.push(("base_rate", of_rule(floors, base_rate(floors))));
    } else {
        all.push(("last_reading", of_rule(floors, point_told(floors))));
    }
    let least = LedgerTable::bundled().log_least;
    let came: Vec<Option<Came>> = floors.iter().map(|it| it.event().map(|it| it.1)).collect();
    let briers = |told: &ToldFloors| -> Vec<Option<f64>> {
        told.iter()
            .zip(&came)
            .map(|(it, came)| Some(brier(it.0?, (*came)?)))
            .collect()
    };
    let (tool_brier, tool_crps) = (
        briers(&tool),
        tool.iter().map(|it| it.1).collect::<Vec<_>>(),
    );
    let more = |own: &[Option<f64>], tool: &[Option<f64>]| -> Option<Difference> {
        let differences: Vec<f64> = own
            .iter()
            .zip(tool)
            .filter_map(|(own, tool)| Some((*own)? - (*tool)?))
            .collect();
        paired(&differences).map(Difference::from)
    };
    all.into_iter()
        .map(|(by, told)| {
            let own_brier = briers(&told);
            let own_crps: Vec<Option<f64>> = told.iter().map(|it| it.1).collect();
            let logs = told
                .iter()
                .zip(&came)
                .filter_map(|(it, came)| Some(log_score(it.0?, (*came)?, least)));
            let others = by != "tool";
            ScoreRow {
                by,
                brier: mean(own_brier.iter().flatten().copied()),
                log: mean(logs),
                crps: mean(own_crps.iter().flatten().copied()),
                brier_more: others.then(|| more(&own_brier, &tool_brier)).flatten(),
                crps_more: others.then(|| more(&own_crps, &tool_crps)).flatten(),
            }
        })
        .collect()
}

/// Whether a reading lies in the stated band of 80 in 100.
fn is_within(levels: &[f64], it: &ReadingScored) -> bool {
    let table = LedgerTable::bundled();
    let at = |wanted: f64| {
        levels
            .iter()
            .position(|level| (level - wanted).abs() < 1.0e-9)
            .map(|at| it.stated.band[at])
    };
    let low = at(table.band_low).unwrap_or(f64::NEG_INFINITY);
    let high = at(table.band_high).unwrap_or(f64::INFINITY);
    (low..=high).contains(&it.percent)
}

fn bands(floors: &[FloorScored]) -> Vec<Held> {
    let held = |name: String, of: &dyn Fn(&FloorScored, &ReadingScored) -> bool| -> Option<Held> {
        let counts: Vec<(f64, f64)> = floors
            .iter()
            .map(|floor| {
                let some: Vec<&ReadingScored> =
                    floor.readings.iter().filter(|it| of(floor, it)).collect();
                let within = some
                    .iter()
                    .filter(|it| is_within(&floor.levels, it))
                    .count();
                (within as f64, some.len() as f64)
            })
            .filter(|it| it.1 > 0.0)
            .collect();
        if counts.is_empty() {
            return None;
        }
        let SharedOut {
            share, low, high, ..
        } = share_of_kin(&counts);
        Some(Held {
            name,
            floors: counts.len() as u64,
            readings: counts.iter().map(|it| it.1).sum::<f64>() as u64,
            within: counts.iter().map(|it| it.0).sum::<f64>() as u64,
            share,
            low,
            high,
        })
    };
    let mut res = Vec::new();
    res.extend(held("all".to_string(), &|_, _| true));
    for month in 1..=12 {
        let name = crate::season::MONTH_NAMES[month as usize - 1].to_string();
        res.extend(held(name, &|_, it| it.month == month));
    }
    let mut regions: Vec<&str> = floors.iter().map(|it| it.region.as_str()).collect();
    regions.sort_unstable();
    regions.dedup();
    for region in regions {
        res.extend(held(region.to_string(), &|floor, _| floor.region == region));
    }
    res
}

/// Whether the figures bear each claim out, and of how many floors; not yet whether it may be
/// made.
pub fn borne_out(checked_scores: &[ScoreRow], band: &[Held]) -> [(&'static str, u64, bool); 6] {
    let margin = LedgerTable::bundled().coverage_margin;
    let eighty = LedgerTable::bundled().band_high - LedgerTable::bundled().band_low;
    let more = |name: &'static str, by: &str, of: fn(&ScoreRow) -> Option<Difference>| {
        let it = checked_scores.iter().find(|it| it.by == by).and_then(of);
        let floors = it.map_or(0, |it| it.floors as u64);
        (name, floors, it.is_some_and(|it| it.low > 0.0))
    };
    let all = band.first();
    let holds = all.is_some_and(|it| it.low >= eighty - margin && it.high <= eighty + margin);
    [
        ("coverage", all.map_or(0, |it| it.floors), holds),
        more("crps_answers", "answers", |it| it.crps_more),
        more("crps_last", "last_reading", |it| it.crps_more),
        more("crps_rule", "reading_and_month", |it| it.crps_more),
        more("brier_answers", "answers", |it| it.brier_more),
        more("brier_rule", "reading_and_month", |it| it.brier_more),
    ]
}

fn claims(scores: &[ScoreRow], band: &[Held]) -> Vec<Claim> {
    let table = TrialTable::bundled();
    let needed = [
        table.need_coverage,
        table.need_crps_answers,
        table.need_crps_last,
        table.need_crps_rule,
        table.need_brier_answers,
        table.need_brier_rule,
    ];
    borne_out(scores, band)
        .into_iter()
        .zip(needed)
        .map(|((claim, floors, shown), needed)| Claim {
            claim,
            floors,
            needed: needed as u64,
            standing: if floors < needed as u64 {
                Standing::TooFew
            } else if shown {
                Standing::Shown
            } else {
                Standing::NotShown
            },
        })
        .collect()
}
