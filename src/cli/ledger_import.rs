//! Tables on their way into a ledger: a season of floors, or results with outcomes.

use super::batch::source::Floors;
use super::ledger::{Counts, ToTake};
use crate::batch::{Outcome, read_floor};
use crate::climate::find_place;
use crate::ledger::{Ledger, OutcomeKept};
use crate::survey::place_query;
use crate::verdict::finish::DataSheet;
use crate::words::{say, say_with};
use anyhow::{Context, Result, bail};
use chrono::NaiveDate;
use std::path::Path;

/// Floors that are kept in one step; a step that is cut off is done again.
const STEP: usize = 32;

/// Takes in a table.
pub fn table(
    path: &Path,
    ledger: &mut Ledger,
    counts: &mut Counts,
    sheet: Option<&DataSheet>,
    on: NaiveDate,
) -> Result<()> {
    let heading = {
        let mut reader = csv::Reader::from_path(path)
            .with_context(|| format!("{}: cannot be read; check the path", path.display()))?;
        reader
            .headers()
            .with_context(|| path.display().to_string())?
            .clone()
    };
    if heading.iter().any(|it| it == "exceedance_probability") {
        return results(path, ledger, counts, on);
    }
    let mut floors = Floors::open(path)?;
    let mut chunk: Vec<ToTake> = Vec::new();
    while let Some(rows) = floors.next()? {
        let floor = read_floor(&floors.columns, &rows);
        let line = floor.line;
        let found = floor
            .parsed
            .map_err(|problems| {
                let all: Vec<String> = problems
                    .iter()
                    .map(|it| format!("{}: {}", it.place(), it.told))
                    .collect();
                all.join(" | ")
            })
            .and_then(
                |parsed| match find_place(&place_query(&parsed.visit.place)) {
                    Ok(place) => Ok((parsed, place)),
                    Err(error) => Err(format!("line {line}: {error}")),
                },
            );
        match found {
            Ok((parsed, place)) => {
                let outcome = floor.outcome.map(|it| OutcomeKept {
                    day: floor.outcome_date.unwrap_or(on),
                    outcome: it.word().to_string(),
                    coated_with: None,
                    added_on: on,
                });
                chunk.push((parsed, place, outcome));
            }
            Err(told) => {
                eprintln!("{}, {told}", path.display());
                counts.failed += 1;
            }
        }
        if chunk.len() >= STEP {
            counts.take(ledger, std::mem::take(&mut chunk), sheet, on)?;
        }
    }
    counts.take(ledger, chunk, sheet, on)
}

/// Takes outcomes out of a table of results. A line whose visit is in the ledger gives its
/// outcome to that floor; another one is kept as it stands.
fn results(path: &Path, ledger: &mut Ledger, counts: &mut Counts, on: NaiveDate) -> Result<()> {
    let mut reader = csv::Reader::from_path(path)
        .with_context(|| format!("{}: cannot be read; check the path", path.display()))?;
    let heading = reader.headers()?.clone();
    let at = |name: &str| heading.iter().position(|it| it == name);
    let Some(outcome_at) = at("outcome") else {
        bail!(
            "{}: {}",
            path.display(),
            say("ledger.error.no_outcome_column")
        );
    };
    for (number, record) in reader.records().enumerate() {
        let record = record.with_context(|| path.display().to_string())?;
        let cell = |name: &str| at(name).and_then(|it| record.get(it)).unwrap_or("").trim();
        let word = record.get(outcome_at).unwrap_or("").trim().to_lowercase();
        let outcome = Outcome::from_word(&word.replace(' ', "_"));
        if outcome.is_none() && !word.is_empty() {
            let words = Outcome::ALL.map(Outcome::word).join(" | ");
            let blanks = [("given", word.as_str()), ("words", &words)];
            let told = say_with("batch.outcome_word", &blanks);
            eprintln!("{}, line {}: {told}", path.display(), number + 2);
            counts.failed += 1;
            continue;
        }
        let fields: serde_json::Map<String, serde_json::Value> = heading
            .iter()
            .zip(record.iter())
            .filter(|it| !it.1.is_empty())
            .map(|(name, text)| (name.to_string(), text.into()))
            .collect();
        let content = serde_json::Value::Object(fields).to_string();
        let digest = match cell("input_digest") {
            "" => crate::ledger::seal("", &content)[..16].to_string(),
            digest => digest.to_string(),
        };
        let label = Some(cell("label")).filter(|it| !it.is_empty());
        let added = ledger.add_results_line(label, &digest, &content, on)?;
        counts.added += u64::from(!added.was_known);
        counts.known += u64::from(added.was_known);
        if let Some(outcome) = outcome {
            let it = OutcomeKept {
                day: cell("outcome_date").parse().unwrap_or(on),
                outcome: outcome.word().to_string(),
                coated_with: None,
                added_on: on,
            };
            counts.outcomes += u64::from(ledger.add_outcome(added.floor, &it)?);
        }
    }
    Ok(())
}
