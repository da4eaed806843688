//! What is told of each floor: the same columns as cells of a table or as one JSON object.

use super::rows::{FloorRead, Problem};
use crate::climate::{ClimateError, Place};
use crate::odds::first_round::FirstRound;
use crate::odds::posterior::FULL;
use crate::report::{self, Asked, Report};
use crate::rules;
use crate::survey::{Parsed, Visit, digest};
use crate::units::tables_digest;
use crate::verdict::finish::DataSheet;
use crate::verdict::next::telling_questions;
use crate::verdict::ways::Way;
use crate::verdict::{Detail, Grade, Request, answer};
use sha2::{Digest, Sha256};

/// What is worked out of every floor beside grade, chance and months.
#[derive(Debug, Clone)]
pub struct Options {
    pub detail: Detail,
    /// The way that is quoted.
    pub quoted: Way,
    pub sheet: Option<DataSheet>,
    /// The sheet as it was given, so that another one is another run.
    pub sheet_text: String,
}

impl Options {
    /// Whether floors that share place and answers can share a round of draws.
    pub fn can_share(&self) -> bool {
        self.detail == Detail::Chances
    }

    /// Names the model, its tables and these options: results of equal names can stand in one
    /// file.
    pub fn model(&self) -> String {
        let text = format!(
            "{} {:?} {:?} {}",
            tables_digest(),
            self.detail,
            self.quoted,
            self.sheet_text
        );
        let digest = Sha256::digest(text.as_bytes());
        let short: String = digest
            .iter()
            .take(4)
            .map(|it| format!("{it:02x}"))
            .collect();
        format!("{}-{short}", env!("CARGO_PKG_VERSION"))
    }
}

/// One cell of the results.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Nothing,
    /// What someone wrote, or words.
    Text(String),
    Number(f64),
    Yes(bool),
}

impl Cell {
    fn of(value: Option<f64>) -> Self {
        value.map_or(Cell::Nothing, Cell::Number)
    }

    fn text(value: impl Into<String>) -> Self {
        let text = value.into();
        if text.is_empty() {
            Cell::Nothing
        } else {
            Cell::Text(text)
        }
    }
}

/// One floor's results, in the order of [`lines_header`].
pub type Line = Vec<Cell>;

/// Names of the columns.
pub fn lines_header(options: &Options) -> Vec<String> {
    let mut names: Vec<String> = [
        "line",
        "visit",
        "label",
        "visit_date",
        "status",
        "grade",
        "grade_raised_by",
        "exceedance_probability",
        "basis",
        "low_so_far",
        "open_points",
        "over_now",
        "held_by",
        "retest_after",
        "before_probability",
        "before_grade",
        "wettest_month",
        "wet_season",
        "wet_from",
        "wet_to",
        "from_below_probability",
        "provisional",
        "open_questions",
        "effective_draws",
        "k_hat",
        "reading_p_value",
        "station_id",
        "place",
    ]
    .map(String::from)
    .to_vec();
    for month in 1..=12 {
        for quantile in ["reading_p10", "reading_p50", "reading_p90"] {
            names.push(format!("month_{month}_{quantile}"));
        }
    }
    if options.detail != Detail::Chances {
        names.push("exceedance_5y".to_string());
        names.push("preferred_way".to_string());
        names.extend(Way::ALL.iter().map(|it| format!("{}_chance_5y", it.word())));
    }
    names.extend(
        [
            "outcome",
            "outcome_date",
            "model",
            "input_digest",
            "problem_column",
            "problem",
        ]
        .map(String::from),
    );
    names
}

/// Cells by name; the rest stays empty.
struct Told<'a> {
    names: &'a [String],
    line: Line,
}

impl<'a> Told<'a> {
    fn of(names: &'a [String], floor: &FloorRead, options: &Options, status: &str) -> Self {
        let mut told = Self {
            names,
            line: vec![Cell::Nothing; names.len()],
        };
        told.put("line", Cell::Number(floor.line as f64));
        told.put("visit", Cell::text(floor.visit.clone().unwrap_or_default()));
        told.put("status", Cell::text(status));
        told.put(
            "outcome",
            Cell::text(floor.outcome.map_or("", |it| it.word())),
        );
        let date = floor.outcome_date.map(|it| it.to_string());
        told.put("outcome_date", Cell::text(date.unwrap_or_default()));
        told.put("model", Cell::text(options.model()));
        told
    }

    fn put(&mut self, name: &str, cell: Cell) {
        let at = self.names.iter().position(|it| it == name);
        self.line[at.expect("lines_header has every name that is put")] = cell;
    }

    fn visit(&mut self, visit: &Visit) {
        self.put("label", Cell::text(visit.label.clone().unwrap_or_default()));
        self.put("visit_date", Cell::text(visit.visit_date.to_string()));
        self.put("input_digest", Cell::text(digest(visit)));
    }
}

/// The line of a floor that could not be read or has no place.
pub fn error_line(
    names: &[String],
    floor: &FloorRead,
    options: &Options,
    problems: &[Problem],
) -> Line {
    let mut told = Told::of(names, floor, options, "error");
    let columns: Vec<&str> = problems
        .iter()
        .filter_map(|it| it.column.as_deref())
        .collect();
    told.put("problem_column", Cell::text(columns.join(" ")));
    let all: Vec<String> = problems
        .iter()
        .map(|it| format!("{}: {}", it.place(), it.told))
        .collect();
    told.put("problem", Cell::text(all.join(" | ")));
    told.line
}

/// The problem of a visit whose place the table does not know.
pub fn place_problem(floor: &FloorRead, error: &ClimateError) -> Problem {
    Problem {
        line: floor.line,
        column: None,
        told: error.to_string(),
    }
}

/// Screens a floor. A refused one is not simulated: nothing of it would be told.
pub fn screened(
    names: &[String],
    floor: &FloorRead,
    parsed: &Parsed,
    place: &Place,
    options: &Options,
    first: Option<&FirstRound>,
) -> Line {
    let visit = &parsed.visit;
    if let Some(refusal) = rules::refusal(visit, place) {
        let mut told = Told::of(names, floor, options, "refused");
        told.visit(visit);
        told.put("held_by", Cell::text(refusal.id()));
        told.put("station_id", Cell::text(place.station_id.clone()));
        told.put("place", Cell::text(place.label.clone()));
        return told.line;
    }
    let effort = match options.detail {
        Detail::Chances => FULL.next_year_only(),
        _ => FULL,
    };
    let request = Request {
        detail: options.detail,
        effort,
        quoted: options.quoted,
        sheet: options.sheet.as_ref(),
        first: first.filter(|_| options.can_share()),
    };
    let (verdict, posterior) = answer(place, visit, request);
    let asked = Asked {
        visit,
        place,
        notes: &parsed.notes,
    };
    let report = report::build(&asked, &verdict);
    let status = if report.held { "held" } else { "graded" };
    let mut told = Told::of(names, floor, options, status);
    told.visit(visit);
    tell(&mut told, &report);
    let questions: Vec<String> = telling_questions(visit, &posterior, &verdict)
        .iter()
        .map(|(id, chance)| format!("{id} {chance:.3}"))
        .collect();
    told.put("open_questions", Cell::text(questions.join(";")));
    if options.detail != Detail::Chances {
        told.put("exceedance_5y", Cell::of(report.exceedance_5y));
        let preferred = report.preferred_way.map_or("", |it| it.word());
        told.put("preferred_way", Cell::text(preferred));
        for way in &report.ways {
            let name = format!("{}_chance_5y", way.way.word());
            told.put(&name, Cell::of(way.chance_5y));
        }
    }
    told.line
}

/// The word that JSON has for a grade, a raise or an open point.
fn json_word(value: &impl serde::Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

fn json_words<T: serde::Serialize>(values: &[T]) -> Cell {
    let words: Vec<String> = values.iter().map(json_word).collect();
    Cell::text(words.join(";"))
}

fn tell(told: &mut Told, report: &Report) {
    if let Some(grade) = &report.grade {
        told.put("grade", Cell::text(json_word(grade)));
    }
    told.put("grade_raised_by", json_words(&report.grade_raised_by));
    told.put(
        "exceedance_probability",
        Cell::of(report.exceedance_probability),
    );
    told.put("basis", Cell::text(json_word(&report.basis)));
    let is_low = report.grade == Some(Grade::Low);
    told.put(
        "low_so_far",
        Cell::Yes(is_low && !report.open_points.is_empty()),
    );
    told.put("open_points", json_words(&report.open_points));
    told.put("over_now", Cell::Yes(report.over_now));
    let held: Vec<&str> = report.gates.iter().map(|it| it.id.as_str()).collect();
    told.put("held_by", Cell::text(held.join(";")));
    let retest = report
        .gates
        .iter()
        .filter_map(|it| it.retest_after)
        .max()
        .map_or_else(String::new, |it| it.to_string());
    told.put("retest_after", Cell::text(retest));
    if let Some(before) = &report.before_reading {
        told.put(
            "before_probability",
            Cell::Number(before.exceedance_probability),
        );
        told.put("before_grade", Cell::text(json_word(&before.grade)));
    }
    told.put(
        "wettest_month",
        Cell::Number(f64::from(report.wettest_month)),
    );
    let season: Vec<String> = report.wet_season.iter().map(u32::to_string).collect();
    told.put("wet_season", Cell::text(season.join(";")));
    if let Some(window) = &report.come_back {
        told.put("wet_from", Cell::text(window.wet_from.to_string()));
        told.put("wet_to", Cell::text(window.wet_to.to_string()));
    }
    told.put(
        "from_below_probability",
        Cell::Number(report.from_below_probability),
    );
    told.put("provisional", Cell::Yes(report.provisional));
    told.put(
        "effective_draws",
        Cell::Number(report.quality.effective_draws),
    );
    told.put("k_hat", Cell::Number(report.quality.k_hat));
    told.put("reading_p_value", Cell::of(report.quality.reading_p_value));
    told.put("station_id", Cell::text(report.place.station_id.clone()));
    told.put("place", Cell::text(report.place.label.clone()));
    for month in &report.months {
        let number = month.month;
        let mut put = |name: &str, value: f64| {
            told.put(&format!("month_{number}_{name}"), Cell::Number(value));
        };
        put("reading_p10", month.reading_p10);
        put("reading_p50", month.reading_p50);
        put("reading_p90", month.reading_p90);
    }
}

/// A line of comma-separated values, with its line end.
pub fn to_csv(cells: &[Cell]) -> String {
    let texts = cells.iter().map(|it| match it {
        Cell::Text(text) => harmless(text),
        other => cell_text(other),
    });
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    let whole = "a record goes into memory";
    writer.write_record(texts).expect(whole);
    let bytes = writer.into_inner().expect(whole);
    String::from_utf8(bytes).expect("cells are text")
}

/// Text that a spreadsheet would run as a formula gets an apostrophe in front, which it shows
/// as text.
fn harmless(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{text}")
    } else {
        text.to_string()
    }
}

/// One JSON object on one line, with its line end; empty cells are null.
pub fn to_json(names: &[String], cells: &[Cell]) -> String {
    let fields: Vec<String> = names
        .iter()
        .zip(cells)
        .map(|(name, cell)| {
            let value = match cell {
                Cell::Nothing => serde_json::Value::Null,
                Cell::Text(text) => text.as_str().into(),
                Cell::Number(value) if value.fract() == 0.0 && value.abs() < 1.0e15 => {
                    (*value as i64).into()
                }
                Cell::Number(value) => (*value).into(),
                Cell::Yes(yes) => (*yes).into(),
            };
            format!("{}:{value}", serde_json::Value::from(name.as_str()))
        })
        .collect();
    format!("{{{}}}\n", fields.join(","))
}

/// The text of a cell as it stands in the table, without the mark against formulas.
pub fn cell_text(cell: &Cell) -> String {
    match cell {
        Cell::Nothing => String::new(),
        Cell::Text(text) => text.clone(),
        Cell::Number(value) => value.to_string(),
        Cell::Yes(yes) => yes.to_string(),
    }
}
