//! The quick pass: ten screens from the place to the answer, each with its few questions.
//!
//! The table `quick_screens.csv` says what each screen shows; the questions are those of the
//! interview, so nothing is declared twice.

use super::session::Session;
use super::step::{QuestionView, missing, question, system_of};
use super::{Reading, UnitsWord, Wrong};
use crate::climate::{PlaceQuery, find_place};
use crate::survey::interview::{
    FIRST_READING, Interview, LineReading, Pass, Step, readings_in_line,
};
use crate::survey::{UnitSystem, with_unit_beside};
use crate::units::{table_rows, table_text};
use crate::words::{self, Language};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// How a screen is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScreenKind {
    /// The place, confirmed by name, and the day.
    Place,
    /// All readings in rows.
    Readings,
    /// A list of what can spoil a reading.
    Checks,
    /// What is quoted and what its data sheet allows.
    Limit,
    /// One question with what follows from its answer.
    Questions,
}

/// One row of `tables/quick_screens.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct QuickRow {
    /// The screen that shows the question.
    pub screen: String,
    /// The part of the progress bar it belongs to.
    pub section: String,
    /// What kind of screen that is.
    pub kind: ScreenKind,
    /// The question's field.
    pub field: String,
    /// The answer that "None of these" gives; empty where the list has no such line.
    pub ruled_out: String,
    /// Where the choice of questions comes from.
    pub source: String,
}

static ROWS: LazyLock<Vec<QuickRow>> = LazyLock::new(|| {
    table_rows(const { table_text("quick_screens.csv") }).expect("tests/tables.rs parses this file")
});

/// Every row of `tables/quick_screens.csv`.
pub fn quick_rows() -> &'static [QuickRow] {
    &ROWS
}

/// A screen and its questions as they stand now.
#[derive(Debug, Serialize)]
struct ScreenView {
    id: &'static str,
    section: &'static str,
    section_label: &'static str,
    kind: ScreenKind,
    title: String,
    lead: String,
    questions: Vec<AskedView>,
}

/// A question on a screen.
#[derive(Debug, Serialize)]
struct AskedView {
    #[serde(flatten)]
    question: QuestionView,
    /// Its line in a list of what can spoil a reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<String>,
    /// The answer that "None of these" gives.
    #[serde(skip_serializing_if = "str::is_empty")]
    ruled_out: &'static str,
}

/// The place as the climate table knows it.
#[derive(Debug, Serialize)]
struct PlaceView {
    /// "Rochester, NY".
    name: String,
    /// "Rochester, NY, 4 mi away".
    climate: String,
}

/// What the quick pass shows after some answers were given.
#[derive(Debug, Serialize)]
pub(super) struct Quick {
    kept: Session,
    screens: Vec<ScreenView>,
    place: Option<PlaceView>,
    /// What the result still needs.
    missing: Vec<String>,
    /// Rows of readings so far: the answers by the last part of their path.
    readings: Vec<BTreeMap<String, String>>,
    /// Answers that were not taken, by path, with the reason.
    refused: BTreeMap<String, String>,
    /// The questions of a row of readings, for its choices and units.
    row: Vec<QuestionView>,
}

/// By definition of the international mile.
const KM_PER_MILE: f64 = 1.609_344;
/// Most rows of readings that the page takes.
const MOST_READINGS: usize = 60;

/// Gives answers by path (an empty text takes an answer back) and shows every screen.
pub(super) fn quick(
    mut kept: Session,
    reading: Reading,
    set: BTreeMap<String, String>,
) -> Result<Quick, Wrong> {
    let mut moved_rows = false;
    for (path, text) in set {
        let text = text.trim().to_string();
        moved_rows |= path.starts_with("reading.");
        if text.is_empty() {
            kept.typed.remove(&path);
        } else {
            kept.typed.insert(path, text);
        }
    }
    if moved_rows {
        close_gaps(&mut kept.typed, system_of(reading.units));
    }
    kept.at = None;
    let Reading {
        units, language, ..
    } = reading;
    let say = |key: &str| language.say(key);
    let restored = kept.interview(reading.today)?;
    let interview = restored.interview.clone().at_depth(Pass::More);
    let view = |step: &Step| question(&restored, &kept, reading, step, None);
    let steps = interview.steps();
    let mut screens: Vec<ScreenView> = Vec::new();
    for row in quick_rows() {
        if screens.last().is_none_or(|it| it.id != row.screen) {
            screens.push(ScreenView {
                id: &row.screen,
                section: &row.section,
                section_label: say(&format!("page.quick.section.{}", row.section)),
                kind: row.kind,
                title: say(&format!("page.quick.{}", row.screen)).to_string(),
                lead: say(&format!("page.quick.{}.lead", row.screen)).to_string(),
                questions: Vec::new(),
            });
        }
        let screen = screens.last_mut().expect("pushed above");
        if let Some(step) = steps.iter().find(|it| it.path() == row.field) {
            screen.questions.push(AskedView {
                question: view(step),
                line: (row.kind == ScreenKind::Checks)
                    .then(|| say(&format!("page.quick.check.{}", row.field)).to_string()),
                ruled_out: &row.ruled_out,
            });
        }
    }
    let readings = rows_of(&kept);
    let row = row_questions(&interview, &restored, &kept, reading);
    Ok(Quick {
        place: place_of(&kept, units, language),
        missing: missing(&interview, language),
        refused: restored
            .refused
            .iter()
            .map(|(path, it)| {
                let step = steps.iter().find(|step| step.path() == *path);
                let told = step.map_or_else(
                    || it.in_plain_words(),
                    |step| words::fault(language, &interview, step, it),
                );
                (path.clone(), told)
            })
            .collect(),
        screens,
        readings,
        row,
        kept,
    })
}

/// Readings keep their order and leave no row out when one is removed; a line of several becomes
/// as many rows.
fn close_gaps(typed: &mut BTreeMap<String, String>, units: UnitSystem) {
    let mut rows: BTreeMap<usize, BTreeMap<String, String>> = BTreeMap::new();
    let mut others = BTreeMap::new();
    for (path, text) in std::mem::take(typed) {
        match reading_path(&path) {
            Some((number, leaf)) => {
                rows.entry(number)
                    .or_default()
                    .insert(leaf.to_string(), text);
            }
            None => {
                others.insert(path, text);
            }
        }
    }
    *typed = others;
    rows.retain(|_, row| {
        row.keys()
            .any(|it| it != "more" && it != "kind" && it != "scale")
    });
    let rows: Vec<_> = rows
        .into_values()
        .flat_map(|it| rows_of_line(it, units))
        .take(MOST_READINGS)
        .collect();
    let count = rows.len();
    for (at, row) in rows.into_iter().enumerate() {
        for (leaf, text) in row {
            if leaf != "more" {
                typed.insert(format!("reading.{}.{leaf}", at + 1), text);
            }
        }
        let more = if at + 1 < count { "yes" } else { "no" };
        typed.insert(format!("reading.{}.more", at + 1), more.to_string());
    }
    if count > 0 {
        let of_first = |leaf: &str| {
            let path = format!("reading.1.{leaf}");
            typed.get(&path).map_or("", String::as_str)
        };
        let first = match (of_first("kind"), of_first("scale")) {
            ("meter", "percent") => "meter",
            ("meter", "relative") => "relative",
            _ => "other",
        };
        typed.insert(FIRST_READING.to_string(), first.to_string());
    }
}

/// The row itself, or one for each reading of a line such as "3.9 middle 10, 4.2 south 3". What
/// is no such line stays as it was typed, to be refused with its reason.
fn rows_of_line(row: BTreeMap<String, String>, units: UnitSystem) -> Vec<BTreeMap<String, String>> {
    let typed = row.get("value").map_or("", String::as_str);
    let line = readings_in_line(typed).unwrap_or_default();
    let is_line = line.len() > 1 || line.iter().any(|it| it.spot.is_some() || it.wall.is_some());
    if !is_line {
        return vec![row];
    }
    let with = |(at, it): (usize, LineReading)| {
        let mut made = row.clone();
        // What stands in the row's other boxes is of the first of them.
        if at > 0 {
            made.retain(|leaf, _| leaf != "spot" && leaf != "wall_distance_m");
        }
        made.insert("value".to_string(), it.value);
        if let Some(spot) = it.spot {
            made.insert("spot".to_string(), spot);
        }
        if let Some(wall) = it.wall {
            let wall = with_unit_beside("reading.wall_distance_m", units, &wall);
            made.insert("wall_distance_m".to_string(), wall);
        }
        made
    };
    line.into_iter().enumerate().map(with).collect()
}

/// The number and the leaf of a reading's path.
fn reading_path(path: &str) -> Option<(usize, &str)> {
    let (number, leaf) = path.strip_prefix("reading.")?.split_once('.')?;
    Some((number.parse().ok()?, leaf))
}

fn rows_of(kept: &Session) -> Vec<BTreeMap<String, String>> {
    let mut rows: BTreeMap<usize, BTreeMap<String, String>> = BTreeMap::new();
    for (path, text) in &kept.typed {
        if let Some((number, leaf)) = reading_path(path) {
            rows.entry(number)
                .or_default()
                .insert(leaf.to_string(), text.clone());
        }
    }
    rows.into_values().collect()
}

/// The questions of the first row, whether or not a reading was taken.
fn row_questions(
    interview: &Interview,
    restored: &super::session::Restored,
    kept: &Session,
    reading: Reading,
) -> Vec<QuestionView> {
    let mut trial = interview.clone();
    for (path, text) in [
        (FIRST_READING, "other"),
        ("reading.1.kind", "meter"),
        ("reading.1.scale", "percent"),
        ("reading.1.value", "3"),
    ] {
        let is_open = kept.typed.get(path).is_none_or(String::is_empty);
        if is_open && trial.go_to(path) && trial.answer(text).is_err() {
            return Vec::new();
        }
    }
    trial
        .steps()
        .iter()
        .filter(|it| it.path().starts_with("reading.1."))
        .map(|step| question(restored, kept, reading, step, None))
        .collect()
}

/// The typed place by name, once the climate table knows it.
fn place_of(kept: &Session, units: UnitsWord, language: Language) -> Option<PlaceView> {
    let query = PlaceQuery::parse(kept.typed.get("postal")?).ok()?;
    let place = find_place(&query).ok()?;
    let away = match units {
        UnitsWord::Si => format!("{:.0}\u{a0}km", place.distance_km),
        UnitsWord::Us => format!("{:.0}\u{a0}mi", place.distance_km / KM_PER_MILE),
    };
    Some(PlaceView {
        climate: language.say_with(
            "page.quick.place.climate",
            &[("name", &place.station_name), ("away", &away)],
        ),
        name: language.place(&place.label),
    })
}
