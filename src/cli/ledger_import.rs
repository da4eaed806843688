//! Floors on their way into a ledger: visits, a season's table, results with outcomes.

use super::batch::source::Floors;
use super::output;
use crate::batch::{Habits, Outcome, read_floor};
use crate::climate::{Place, find_place};
use crate::ledger::{Coming, Ledger, OutcomeKept, Rests, Stated, area_of, rounded_place, stated};
use crate::survey::{Parsed, Visit, parse_visit, place_query};
use crate::verdict::Detail;
use crate::verdict::finish::DataSheet;
use crate::verdict::ways::Way;
use crate::words::{say, say_with};
use anyhow::{Context, Result, bail};
use chrono::NaiveDate;
use std::path::Path;

/// Floors that are kept in one step; a step that is cut off is done again.
const STEP: usize = 32;

/// Columns of an office's own that name the job.
const JOB_COLUMNS: [&str; 5] = ["job", "job number", "job no", "job no.", "job #"];

/// How a table is taken in.
#[derive(Clone, Copy)]
pub struct Taken<'a> {
    /// What the table leaves unsaid.
    pub habits: Habits,
    pub sheet: Option<&'a DataSheet>,
    /// The day that is written down.
    pub on: NaiveDate,
}

/// Takes in a table.
pub fn table(path: &Path, ledger: &mut Ledger, counts: &mut Counts, taken: Taken) -> Result<()> {
    let Taken { habits, sheet, on } = taken;
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
    let mut floors = Floors::open(path, habits)?;
    let is_job = |name: &str| JOB_COLUMNS.contains(&name.trim().to_lowercase().as_str());
    let left: Vec<&str> = floors.columns.kept().filter(|it| !is_job(it)).collect();
    if !left.is_empty() {
        let blanks = [
            ("file", path.display().to_string()),
            ("columns", left.join(", ")),
        ];
        let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
        output::tell(&say_with("ledger.columns_left", &blanks));
    }
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
            Ok((mut parsed, place)) => {
                // The job stands for the floor where no column is its label.
                if parsed.visit.label.is_none() {
                    let job = floor.kept.iter().find(|it| is_job(&it.0));
                    let job = job.map(|it| it.1.trim()).filter(|it| !it.is_empty());
                    parsed.visit.label = job.map(str::to_string);
                }
                let outcome = floor.outcome.map(|it| OutcomeKept {
                    day: floor.outcome_date.unwrap_or(on),
                    outcome: it.word().to_string(),
                    coated_with: None,
                    added_on: on,
                });
                chunk.push((parsed, place, outcome));
            }
            Err(told) => {
                output::tell(&format!("{}, {told}", path.display()));
                counts.failed += 1;
            }
        }
        if chunk.len() >= STEP {
            counts.take(ledger, std::mem::take(&mut chunk), sheet, (path, on))?;
        }
    }
    counts.take(ledger, chunk, sheet, (path, on))
}

/// Takes outcomes out of a table of results. A line whose visit or label is in the ledger gives
/// its outcome to that floor; another one is told and left out.
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
    let records: Vec<csv::StringRecord> = reader
        .records()
        .collect::<Result<_, _>>()
        .with_context(|| path.display().to_string())?;
    let is_told = |it: &csv::StringRecord| !it.get(outcome_at).unwrap_or("").trim().is_empty();
    if !records.iter().any(is_told) {
        bail!("{}: {}", path.display(), say("ledger.error.is_results"));
    }
    for (number, record) in records.iter().enumerate() {
        let cell = |name: &str| at(name).and_then(|it| record.get(it)).unwrap_or("").trim();
        let given = record.get(outcome_at).unwrap_or("").trim();
        let outcome = match given {
            "" => None,
            given => match Outcome::of_text(given) {
                Ok(outcome) => Some(outcome),
                Err(told) => {
                    output::tell(&format!("{}, line {}: {told}", path.display(), number + 2));
                    counts.failed += 1;
                    continue;
                }
            },
        };
        let day: Option<NaiveDate> = cell("outcome_date").parse().ok();
        let place = format!("{}, line {}", path.display(), number + 2);
        if let Some(told) = day.and_then(|it| wrong_outcome(&place, it, on, None)) {
            output::tell(&told);
            counts.failed += 1;
            continue;
        }
        let Some(outcome) = outcome else {
            continue;
        };
        // A line of results has no visit in it: it makes no floor.
        let by_digest = ledger.floor_of_digest(cell("input_digest"))?;
        let by_label = || {
            let label = Some(cell("label")).filter(|it| !it.is_empty())?;
            ledger.find(label).ok().map(|it| it.id)
        };
        let Some(floor) = by_digest.or_else(by_label) else {
            let blanks = [("where", place.as_str())];
            output::tell(&say_with("ledger.error.results_line", &blanks));
            counts.failed += 1;
            continue;
        };
        counts.known += 1;
        let it = OutcomeKept {
            day: day.unwrap_or(on),
            outcome: outcome.word().to_string(),
            coated_with: None,
            added_on: on,
        };
        counts.outcomes += u64::from(ledger.add_outcome(floor, &it)?);
    }
    Ok(())
}

/// The visits of a file that the page's Export all wrote. An unfinished one is told and left out.
pub fn page_export(path: &Path) -> Result<Vec<ToTake>> {
    #[derive(serde::Deserialize)]
    struct Export {
        format: String,
        visits: Vec<Kept>,
    }
    #[derive(serde::Deserialize)]
    struct Kept {
        #[serde(default)]
        name: String,
        visit: String,
    }
    let text = super::floor::read_text(path)?;
    let told = || {
        say_with(
            "ledger.error.page",
            &[("file", &path.display().to_string())],
        )
    };
    let export: Export = serde_json::from_str(&text).with_context(told)?;
    if export.format != "slabseason visits" {
        bail!("{}", told());
    }
    let mut res = Vec::new();
    for it in export.visits {
        let name = format!("{}, {}", path.display(), it.name);
        let found = parse_visit(&it.visit, &name)
            .map_err(|it| it.to_string())
            .and_then(|parsed| {
                let place = find_place(&place_query(&parsed.visit.place));
                let place = place.map_err(|it| format!("{name}: {it}"))?;
                Ok((parsed, place, None))
            });
        match found {
            Ok(it) => res.push(it),
            Err(told) => output::tell(&told),
        }
    }
    Ok(res)
}

/// What an import came to.
#[derive(Debug, Default)]
pub struct Counts {
    pub added: u64,
    pub known: u64,
    pub outcomes: u64,
    pub failed: u64,
}

/// A visit, its place and how it turned out, where that is known.
pub type ToTake = (Parsed, Place, Option<OutcomeKept>);

impl Counts {
    /// Takes in some floors of a file: stated on all cores, kept in one step. A visit or an
    /// outcome of a day that cannot be is told and left out.
    pub fn take(
        &mut self,
        ledger: &mut Ledger,
        chunk: Vec<ToTake>,
        sheet: Option<&DataSheet>,
        (file, on): (&Path, NaiveDate),
    ) -> Result<()> {
        let new: Vec<ToTake> = chunk
            .into_iter()
            .filter(|(parsed, _, outcome)| {
                let wrong = wrong_days(file, &parsed.visit, outcome.as_ref(), on);
                if let Some(told) = &wrong {
                    output::tell(told);
                    self.failed += 1;
                }
                wrong.is_none()
            })
            .map(|(parsed, place, outcome)| (for_ledger(parsed), place, outcome))
            .collect();
        // What is known already need not be stated again.
        let mut work = Vec::new();
        for (parsed, place, outcome) in new {
            match ledger.floor_of_digest(&crate::survey::digest(&parsed.visit))? {
                Some(floor) => {
                    self.known += 1;
                    if let Some(it) = outcome {
                        self.outcomes += u64::from(ledger.add_outcome(floor, &it)?);
                    }
                }
                None => work.push((parsed, place, outcome)),
            }
        }
        let prepared = in_parallel(work, |(parsed, place, outcome)| {
            let it = Prepared::of(parsed, place, sheet, on, Detail::Headline);
            (it, outcome)
        });
        let coming: Vec<Coming> = prepared.iter().map(|it| it.0.coming(on)).collect();
        let added = ledger.add_visits(&coming)?;
        for (it, (_, outcome)) in added.iter().zip(&prepared) {
            self.added += u64::from(!it.was_known);
            self.known += u64::from(it.was_known);
            if let Some(outcome) = outcome {
                self.outcomes += u64::from(ledger.add_outcome(it.floor, outcome)?);
            }
        }
        Ok(())
    }
}

/// Why a visit or its outcome cannot be of its day, as far as the day that is written down tells.
fn wrong_days(
    file: &Path,
    visit: &Visit,
    outcome: Option<&OutcomeKept>,
    on: NaiveDate,
) -> Option<String> {
    let name = visit.label.clone().unwrap_or_else(|| {
        let day = visit.visit_date.to_string();
        say_with("ledger.visit_of", &[("day", &day)])
    });
    let name = format!("{}, {name}", file.display());
    visit_ahead(&name, visit, on)
        .or_else(|| outcome.and_then(|it| wrong_outcome(&name, it.day, on, Some(visit.visit_date))))
}

/// That a visit is ahead of the day that is written down.
pub fn visit_ahead(place: &str, visit: &Visit, on: NaiveDate) -> Option<String> {
    let day = visit.visit_date;
    (day > on).then(|| days_told("ledger.error.visit_ahead", place, day, on))
}

/// That an outcome is ahead of the day that is written down, or before the floor's first visit.
pub fn wrong_outcome(
    place: &str,
    day: NaiveDate,
    on: NaiveDate,
    first: Option<NaiveDate>,
) -> Option<String> {
    if day > on {
        return Some(days_told("ledger.error.outcome_ahead", place, day, on));
    }
    let first = first.filter(|it| day < *it)?;
    Some(days_told("ledger.error.outcome_before", place, day, first))
}

fn days_told(key: &str, place: &str, day: NaiveDate, bound: NaiveDate) -> String {
    say_with(
        key,
        &[
            ("where", place),
            ("day", &day.to_string()),
            ("bound", &bound.to_string()),
        ],
    )
}

/// Does work on all cores; results come in the order of the items.
fn in_parallel<T: Send, R: Send>(items: Vec<T>, work: impl Fn(T) -> R + Sync) -> Vec<R> {
    use std::sync::Mutex;
    use std::sync::atomic::{AtomicUsize, Ordering};
    let threads = std::thread::available_parallelism().map_or(1, |it| it.get());
    let count = items.len();
    let items: Vec<Mutex<Option<T>>> = items.into_iter().map(|it| Mutex::new(Some(it))).collect();
    let results: Vec<Mutex<Option<R>>> = (0..count).map(|_| Mutex::new(None)).collect();
    let next = AtomicUsize::new(0);
    let whole = "no thread fails while it holds this";
    std::thread::scope(|scope| {
        for _ in 0..threads.min(count) {
            scope.spawn(|| {
                loop {
                    let at = next.fetch_add(1, Ordering::Relaxed);
                    let Some(slot) = items.get(at) else {
                        return;
                    };
                    if let Some(item) = slot.lock().expect(whole).take() {
                        *results[at].lock().expect(whole) = Some(work(item));
                    }
                }
            });
        }
    });
    results
        .into_iter()
        .filter_map(|it| it.into_inner().expect(whole))
        .collect()
}

/// A visit that is stated and waits to be kept.
pub struct Prepared {
    pub parsed: Parsed,
    pub stated: Stated,
    pub area: String,
    pub origin: &'static str,
    pub floor: Option<i64>,
}

impl Prepared {
    pub fn of(
        parsed: Parsed,
        place: Place,
        sheet: Option<&DataSheet>,
        on: NaiveDate,
        detail: Detail,
    ) -> Self {
        let parsed = for_ledger(parsed);
        // A rounded position is another place, by a little; what is kept is what is stated.
        let place = find_place(&place_query(&parsed.visit.place)).unwrap_or(place);
        let area = area_of(&parsed.visit.place, &place);
        let rests = Rests {
            quoted: Way::FilmNow,
            place: &place,
            sheet,
            on,
            detail,
            first: None,
        };
        let stated = stated(&parsed, rests);
        Self {
            parsed,
            stated,
            area,
            origin: "given",
            floor: None,
        }
    }

    pub fn coming(&self, on: NaiveDate) -> Coming<'_> {
        Coming {
            visit: &self.parsed.visit,
            stated: &self.stated,
            area: &self.area,
            origin: self.origin,
            floor: self.floor,
            on,
        }
    }
}

/// A visit as the ledger keeps it.
fn for_ledger(parsed: Parsed) -> Parsed {
    let visit = Visit {
        place: rounded_place(&parsed.visit.place),
        ..parsed.visit
    };
    Parsed { visit, ..parsed }
}
