//! A floor from its files, and its report.

use super::output::{self, told_path};
use crate::climate::{Place, PlaceQuery, find_place};
use crate::ledger::costs::{Costs, costed};
use crate::odds::weather_had::months_used;
use crate::report::{self, Asked, Report};
use crate::survey::{
    MonthHad, Parsed, months_had, parse_visit_bytes, place_query, unusual_meter_limit,
};
use crate::verdict::finish::DataSheet;
use crate::verdict::ways::Way;
use crate::verdict::{Detail, Request, answer};
use crate::words::say_with;
use anyhow::{Context, Result, anyhow, bail};
use std::io::Read;
use std::path::Path;

/// Largest file that is read whole, bytes; a visit file is refused from 1 MB on.
const READ_AT_MOST: u64 = 2_000_000;

/// How a run ended.
pub enum Done {
    All,
    /// Some rows failed; the output says which.
    Some,
    /// Nothing could be estimated; stderr says why.
    Nothing,
}

/// A visit, its place, and the data sheet that goes with it.
pub struct Floor {
    pub parsed: Parsed,
    pub place: Place,
    pub sheet: Option<DataSheet>,
}

impl Floor {
    /// Reads a visit file and, where named, a data sheet.
    pub fn read(visit: &Path, finish: Option<&Path>) -> Result<Self> {
        let name = told_path(visit);
        let bytes = read(visit)?;
        let parsed = parse_visit_bytes(&bytes, &name).map_err(|it| anyhow!("{it}"))?;
        let place = find_place(&place_query(&parsed.visit.place))
            .with_context(|| format!("{name}{}", place_line(&bytes)))?;
        let sheet = finish.map(read_sheet).transpose()?;
        let mut floor = Self {
            parsed,
            place,
            sheet,
        };
        floor
            .parsed
            .notes
            .extend(floor.sheet.as_ref().and_then(sheet_note));
        Ok(floor)
    }
}

impl Floor {
    /// Puts the weather of the months before the visit into it.
    ///
    /// # Errors
    ///
    /// None of the months is one that the visit's floor has lived through.
    pub fn lives_through(&mut self, months: Vec<MonthHad>) -> Result<()> {
        let visit = &mut self.parsed.visit;
        visit.weather.months = Some(months);
        let used = months_used(visit);
        if used == 0 {
            let date = visit.visit_date.to_string();
            bail!("{}", say_with("weather.error.none", &[("date", &date)]));
        }
        let count = used.to_string();
        let note = say_with("weather.used", &[("months", &count)]);
        self.parsed.notes.push(note);
        Ok(())
    }
}

/// What is odd about a data sheet.
pub fn sheet_note(sheet: &DataSheet) -> Option<String> {
    let odd = sheet.meter_percent.and_then(unusual_meter_limit)?;
    Some(format!("{}: {}", sheet.name, odd.note()))
}

/// Reads a table of weather.
pub fn read_weather(path: &Path) -> Result<Vec<MonthHad>> {
    months_had(&read_text(path)?).with_context(|| told_path(path))
}

/// The place that was typed.
pub fn found(typed: &str) -> Result<Place> {
    let query = PlaceQuery::parse(typed).with_context(|| typed.to_string())?;
    find_place(&query).with_context(|| typed.to_string())
}

/// ", line N" of the visit file's line that names the place.
fn place_line(bytes: &[u8]) -> String {
    let text = String::from_utf8_lossy(bytes);
    let names_place = |it: &str| {
        ["postal", "station", "latitude"]
            .iter()
            .any(|key| it.starts_with(key))
    };
    text.lines()
        .position(|it| names_place(it.trim_start()))
        .map_or_else(String::new, |at| format!(", line {}", at + 1))
}

/// Reads a maker's data sheet.
pub fn read_sheet(path: &Path) -> Result<DataSheet> {
    DataSheet::parse(&read_text(path)?).with_context(|| told_path(path))
}

/// A settings file as text.
pub fn read_text(path: &Path) -> Result<String> {
    String::from_utf8(read(path)?)
        .with_context(|| format!("{}: is not a text file", told_path(path)))
}

/// A file or standard input, whole.
pub fn read(path: &Path) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let at_most = READ_AT_MOST + 1;
    if path.as_os_str() == "-" {
        std::io::stdin()
            .take(at_most)
            .read_to_end(&mut bytes)
            .context("reading standard input")?;
    } else {
        let told = || format!("{}: cannot be read; check the path", told_path(path));
        let file = std::fs::File::open(path).with_context(told)?;
        file.take(at_most)
            .read_to_end(&mut bytes)
            .with_context(told)?;
    }
    if bytes.len() as u64 > READ_AT_MOST {
        bail!(
            "{}: is larger than 2 MB; accepted: a text file of at most 2 MB; check the path",
            told_path(path)
        );
    }
    Ok(bytes)
}

/// The report of a floor, with the ways by costs of one's own where there are any.
pub fn screen(floor: &Floor, quoted: Way, detail: Detail, costs: Option<&Costs>) -> Report {
    let request = Request {
        quoted,
        detail,
        sheet: floor.sheet.as_ref(),
        ..Request::default()
    };
    let visit = &floor.parsed.visit;
    let (verdict, posterior) = answer(&floor.place, visit, request);
    let asked = Asked {
        visit,
        place: &floor.place,
        notes: &floor.parsed.notes,
    };
    let mut report = report::build(&asked, &verdict);
    report.costs = costs.map(|it| costed(visit, &report, &verdict, &posterior, it));
    report
}

/// How a run ends that made this report. A refusal estimated nothing, and stderr says so too:
/// whoever writes to a file would see nothing else.
pub fn done(report: &Report) -> Done {
    if !report.refused {
        return Done::All;
    }
    let why: Vec<&str> = report.gates.iter().map(|it| it.reason.as_str()).collect();
    output::tell(&format!("error: nothing was estimated: {}", why.join(" ")));
    Done::Nothing
}
