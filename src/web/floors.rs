//! Floors over time: what was said of them on a day, sealed, beside what was read later; and the
//! floors of a ledger's lines.

use super::Wrong;
use super::result::{parsed_of, quoted_way};
use super::session::Session;
use crate::climate::find_place;
use crate::ledger::{
    FIRST_SEAL, LINES_FORM, LaterReading, LaterReadings, Rests, Statement, month_name, restated,
    seal, stated,
};
use crate::survey::{Reading, ReadingValue, parse_visit, place_query, to_toml};
use crate::verdict::Detail;
use crate::words::Language;
use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Letters of a seal that are shown.
const SEAL_SHOWN: usize = 12;

/// A statement as it was sealed. The content is the exact text that was hashed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SealedLine {
    on: NaiveDate,
    content: String,
    previous: String,
    seal: String,
}

impl SealedLine {
    fn fits(&self) -> bool {
        seal(&self.previous, &self.content) == self.seal
    }
}

/// A statement to show, beside what was read later.
#[derive(Debug, Serialize)]
pub(super) struct SaidView {
    /// "September 8, 2026".
    day: String,
    /// Grade and chance, in a sentence.
    says: String,
    /// Month, chance that a reading is over the limit, and what was read then.
    months: Vec<[String; 3]>,
    /// Its first letters.
    seal: String,
    /// Why it is not to be trusted.
    #[serde(skip_serializing_if = "Option::is_none")]
    broken: Option<String>,
}

/// One floor of a ledger.
#[derive(Debug, Serialize)]
pub(super) struct FloorRead {
    name: String,
    kept: Session,
    said: Vec<SealedLine>,
}

/// The floors of a ledger's lines.
#[derive(Debug, Serialize)]
pub(super) struct LedgerRead {
    floors: Vec<FloorRead>,
    statements: usize,
    /// Whether every seal fits its content and the seal before it.
    is_sound: bool,
    /// Floors that were left out, with the reason.
    refused: Vec<String>,
}

/// States the visit as it stands and seals that after the seal before.
pub(super) fn state(
    kept: &Session,
    quote: Option<&str>,
    on: NaiveDate,
    before: Option<String>,
    language: Language,
) -> Result<SealedLine, Wrong> {
    let parsed = parsed_of(&kept.interview(None)?.interview, language)?;
    let place = find_place(&place_query(&parsed.visit.place)).map_err(|it| it.to_string())?;
    let rests = Rests {
        place: &place,
        sheet: None,
        quoted: quoted_way(quote)?,
        on,
        detail: Detail::Headline,
        first: None,
    };
    let content = stated(&parsed, rests).statement.canonical();
    let previous = before.unwrap_or_else(|| FIRST_SEAL.to_string());
    Ok(SealedLine {
        on,
        seal: seal(&previous, &content),
        content,
        previous,
    })
}

/// What was said of a visit, with what was read in the months that were spoken of.
pub(super) fn said(
    kept: &Session,
    lines: &[SealedLine],
    language: Language,
) -> Result<Vec<SaidView>, Wrong> {
    let interview = kept.interview(None)?.interview;
    let mut read: BTreeMap<String, Vec<(NaiveDate, f64)>> = BTreeMap::new();
    if let Ok(visit) = interview.visit() {
        for it in visit.readings.iter().filter(|it| !it.withdrawn) {
            if let ReadingValue::Meter(percent) = it.value {
                read.entry(month_name(it.date))
                    .or_default()
                    .push((it.date, percent));
            }
        }
    }
    lines
        .iter()
        .map(|line| {
            let it: Statement = serde_json::from_str(&line.content)
                .map_err(|error| Wrong::from(error.to_string()))?;
            Ok(view(&it, line, &read, language))
        })
        .collect()
}

fn view(
    it: &Statement,
    line: &SealedLine,
    read: &BTreeMap<String, Vec<(NaiveDate, f64)>>,
    language: Language,
) -> SaidView {
    let graded = |key: &str, grade: &str, chance: f64, of: &str| {
        language.say_with(
            key,
            &[
                ("grade", language.say(&format!("grade.{grade}"))),
                ("count", &language.chance(chance)),
                ("of", of),
            ],
        )
    };
    let mut says = match (&it.grade, it.exceedance_probability) {
        (Some(grade), Some(chance)) => graded("page.said.line", grade, chance, ""),
        _ => language.say("page.said.held").to_string(),
    };
    if let Some(leads) = it.headline.as_ref().filter(|it| it.is_of_system()) {
        let of = language.say(&format!("of.{}", leads.way));
        let led = graded("page.said.system", &leads.grade, leads.chance, of);
        says = language.say_with("page.said.both", &[("first", &led), ("then", &says)]);
    }
    if it.over_today || it.headline.as_ref().is_some_and(|it| it.is_over_today()) {
        says = format!("{}. {says}", language.say("headline.over_today"));
    }
    let percent = |it: f64| language.say_with("percent", &[("number", &it.to_string())]);
    let months = it
        .months
        .iter()
        .filter_map(|month| {
            let over = month.over?;
            let later: Vec<String> = read
                .get(&month.month)
                .into_iter()
                .flatten()
                .filter(|(day, _)| *day > it.visit_date)
                .map(|(_, value)| percent(*value))
                .collect();
            Some([
                month_words(&month.month, language),
                language.count(over),
                later.join(", "),
            ])
        })
        .collect();
    SaidView {
        day: language.day(line.on),
        says,
        months,
        seal: line.seal.chars().take(SEAL_SHOWN).collect(),
        broken: (!line.fits()).then(|| language.say("page.said.broken").to_string()),
    }
}

/// "June 2027", of "2027-06".
fn month_words(name: &str, language: Language) -> String {
    let first = format!("{name}-01").parse::<NaiveDate>();
    first.map_or_else(
        |_| name.to_string(),
        |day| {
            language.say_with(
                "date.month",
                &[
                    ("month", language.month(day.month())),
                    ("year", &day.year().to_string()),
                ],
            )
        },
    )
}

/// A row of the lines; each table has some of these.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Row {
    table: String,
    id: i64,
    floor: Option<i64>,
    label: Option<String>,
    day: String,
    kind: String,
    content: String,
    previous: String,
    seal: String,
    sealed_on: String,
    reading: i64,
}

/// Reads the lines that a ledger writes (`ledger export`).
pub(super) fn ledger(name: &str, text: &str, language: Language) -> Result<LedgerRead, Wrong> {
    let bad = |why: &str| {
        Wrong::from(language.say_with("page.ledger.bad", &[("name", name), ("why", why)]))
    };
    let mut lines = text.lines().enumerate();
    if !lines.next().is_some_and(|it| it.1.contains(LINES_FORM)) {
        return Err(bad(""));
    }
    let mut rows: Vec<Row> = Vec::new();
    for (at, line) in lines.filter(|it| !it.1.trim().is_empty()) {
        rows.push(serde_json::from_str(line).map_err(|error| {
            let told = [("line", (at + 1).to_string()), ("why", error.to_string())];
            bad(&language.say_with(
                "page.ledger.bad_line",
                &told.each_ref().map(|it| (it.0, it.1.as_str())),
            ))
        })?);
    }
    let of = |table: &'static str| rows.iter().filter(move |it| it.table == table);
    let withdrawn: Vec<i64> = of("withdrawal").map(|it| it.reading).collect();
    let (mut before, mut is_sound) = (FIRST_SEAL, true);
    for it in of("sealed") {
        is_sound &= it.previous == before && seal(&it.previous, &it.content) == it.seal;
        before = &it.seal;
    }
    let mut res = LedgerRead {
        floors: Vec::new(),
        statements: 0,
        is_sound,
        refused: Vec::new(),
    };
    for floor in of("floor") {
        let name = floor
            .label
            .clone()
            .unwrap_or_else(|| format!("#{}", floor.id));
        let mine = |table: &'static str| of(table).filter(|it| it.floor == Some(floor.id));
        // The newest visit holds what was known last.
        let newest = mine("visit").max_by(|a, b| (&a.day, a.id).cmp(&(&b.day, b.id)));
        let Some(visit) = newest else { continue };
        let readings = mine("reading").filter(|it| !withdrawn.contains(&it.id));
        let text = with_readings(&visit.content, readings.map(|it| it.content.as_str()));
        let kept = match Session::of_file(&name, &text) {
            Ok(kept) => kept,
            Err(wrong) => {
                res.refused.push(format!("{name}: {}", wrong.error));
                continue;
            }
        };
        let said: Vec<SealedLine> = mine("sealed")
            .filter(|it| it.kind == "statement")
            .filter_map(|it| {
                Some(SealedLine {
                    on: it.sealed_on.parse().ok()?,
                    content: it.content.clone(),
                    previous: it.previous.clone(),
                    seal: it.seal.clone(),
                })
            })
            .collect();
        res.statements += said.len();
        res.floors.push(FloorRead { name, kept, said });
    }
    Ok(res)
}

/// A visit file with the readings that it does not hold yet, told anew on the day of the newest.
fn with_readings<'a>(visit: &str, readings: impl Iterator<Item = &'a str>) -> String {
    let Ok(parsed) = parse_visit(visit, "visit") else {
        return visit.to_string();
    };
    let later: Vec<Reading> = readings
        .filter_map(|it| {
            // Far in the future, so that no reading is after the visit.
            let text = format!("visit_date = 9999-12-31\npostal = \"05401\"\n[floor]\nsetting = \"basement\"\n\n{it}\n");
            parse_visit(&text, "reading").ok()?.visit.readings.pop()
        })
        .filter(|it| !parsed.visit.readings.contains(it))
        .collect();
    match later.is_empty() {
        true => visit.to_string(),
        false => to_toml(&restated(&parsed.visit, &later)),
    }
}

/// A reading of a later day, as typed.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TypedAgain {
    value: String,
    #[serde(default)]
    spot: String,
    #[serde(default)]
    wall: String,
}

/// The test and the meter that later readings are by, in the visit file's words.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ReadBy {
    kind: String,
    scale: String,
    /// Its mark; empty for the meter that was used last.
    #[serde(default)]
    meter: String,
}

impl Default for ReadBy {
    fn default() -> Self {
        Self {
            kind: "meter".to_string(),
            scale: "percent".to_string(),
            meter: String::new(),
        }
    }
}

/// The visit with readings of a later day; what was true of its day alone does not move with it.
pub(super) fn again(
    kept: &Session,
    (day, by): (NaiveDate, ReadBy),
    typed: &[TypedAgain],
    language: Language,
) -> Result<Session, Wrong> {
    let visit = parsed_of(&kept.interview(None)?.interview, language)?.visit;
    let newest = visit.readings.iter().map(|it| it.date).max();
    if let Some(last) = newest.filter(|it| *it > day) {
        let told = language.say_with("page.again.before", &[("day", &language.day(last))]);
        return Err(Wrong::from(told));
    }
    let given = |text: &str| Some(text.trim().to_string()).filter(|it| !it.is_empty());
    let later = LaterReadings {
        day,
        kind: by.kind,
        scale: by.scale,
        meter: given(&by.meter),
        readings: typed
            .iter()
            .filter_map(|it| {
                Some(LaterReading {
                    value: given(&it.value)?,
                    spot: given(&it.spot),
                    wall_distance: given(&it.wall),
                })
            })
            .collect(),
    };
    if later.readings.is_empty() {
        return Err(Wrong::from(language.say("page.again.none").to_string()));
    }
    let readings = later.checked(&visit).map_err(|found| {
        let all: Vec<String> = found.iter().map(|it| it.in_plain_words()).collect();
        Wrong::from(all.join(" "))
    })?;
    Session::of_file("visit", &to_toml(&restated(&visit, &readings)))
}
