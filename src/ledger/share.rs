//! What a contractor may give away so that others learn: no label, no day, no house.

use super::LedgerTable;
use super::error::LedgerError;
use super::file::Ledger;
use super::months::month_name;
use super::statement::Statement;
use super::table::{Cell, to_csv};
use crate::survey::{Visit, parse_visit};
use std::collections::BTreeMap;

/// Names of the columns.
pub const COLUMNS: [&str; 28] = [
    "floor",
    "area",
    "region",
    "stated_month",
    "model",
    "tables",
    "limit_percent",
    "last_reading",
    "exceedance_probability",
    "kind",
    "month",
    "reading",
    "over_chance",
    "over_chance_by_answers",
    "band_p10",
    "band_p50",
    "band_p90",
    "outcome",
    "setting",
    "decade_built",
    "retarder",
    "lot_position",
    "drainage",
    "sub_drain",
    "sump",
    "spring_darkening",
    "dehumidifier",
    "before_probability",
];

/// The table to share, and how many floors and rows it has.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// The table, with its heading.
    pub csv: String,
    /// Floors in it.
    pub floors: u64,
    /// Rows in it, without the heading.
    pub rows: u64,
    /// Floors whose area is left out because too few floors lie in it.
    pub without_area: u64,
}

/// Makes the table. Floors are numbered anew in the order of their area, so that the order of
/// jobs is not in it either.
pub fn for_sharing(ledger: &Ledger) -> Result<Shared, LedgerError> {
    let least = LedgerTable::bundled().sharing_least as usize;
    let mut by_area: BTreeMap<String, Vec<i64>> = BTreeMap::new();
    let floors = ledger.each_floor()?;
    for floor in &floors {
        by_area
            .entry(floor.area.clone())
            .or_default()
            .push(floor.id);
    }
    let text = |it: &str| Cell::Text(it.to_string());
    let mut shared = Shared {
        csv: to_csv(&COLUMNS.map(text)),
        floors: 0,
        rows: 0,
        without_area: 0,
    };
    // Within an area by seal, which tells nothing of when.
    let mut order: Vec<(String, String, i64)> = Vec::new();
    for (area, ids) in &by_area {
        let told = if ids.len() < least { "" } else { area };
        for id in ids {
            let seal = ledger.sealed_of(*id)?.first().map(|it| it.seal.clone());
            if let Some(seal) = seal {
                shared.without_area += u64::from(told.is_empty());
                order.push((told.to_string(), seal, *id));
            }
        }
    }
    order.sort();
    for (area, _, id) in order {
        let Some(first) = ledger
            .sealed_of(id)?
            .iter()
            .find_map(|it| serde_json::from_str::<Statement>(&it.content).ok())
        else {
            continue;
        };
        shared.floors += 1;
        let visit = ledger
            .visits(id)?
            .iter()
            .find(|it| it.origin != "results")
            .and_then(|it| parse_visit(&it.content, "").ok())
            .map(|it| it.visit);
        let outcome = ledger.outcomes(id)?.last().map(|it| it.outcome.clone());
        let floor = FloorShared {
            number: shared.floors,
            area: &area,
            statement: &first,
            visit: visit.as_ref(),
            outcome: outcome.as_deref().unwrap_or_default(),
        };
        shared.csv.push_str(&floor.row("stated", None));
        shared.rows += 1;
        for reading in ledger.readings(id)? {
            let is_later = reading.day > first.visit_date && reading.withdrawn.is_none();
            if let Some(percent) = reading.percent.filter(|_| is_later) {
                let month = month_name(reading.day);
                shared
                    .csv
                    .push_str(&floor.row("reading", Some((&month, percent))));
                shared.rows += 1;
            }
        }
    }
    Ok(shared)
}

struct FloorShared<'a> {
    number: u64,
    area: &'a str,
    statement: &'a Statement,
    visit: Option<&'a Visit>,
    outcome: &'a str,
}

impl FloorShared<'_> {
    fn row(&self, kind: &str, reading: Option<(&str, f64)>) -> String {
        let it = self.statement;
        let number = |it: Option<f64>| it.map_or(Cell::Nothing, Cell::Number);
        let text = |it: &str| Cell::Text(it.to_string());
        let stated = reading.and_then(|at| it.months.iter().find(|month| month.month == at.0));
        let level = |wanted: f64| {
            let at = it
                .levels
                .iter()
                .position(|level| (level - wanted).abs() < 1.0e-9);
            number(
                stated
                    .zip(at)
                    .and_then(|(month, at)| month.band.get(at).copied()),
            )
        };
        let word = |of: fn(&Visit) -> Option<&'static str>| {
            text(self.visit.and_then(of).unwrap_or_default())
        };
        let decade = self.visit.and_then(|it| it.floor.year_built);
        let dark = self.visit.and_then(|it| it.signs.spring_darkening);
        to_csv(&[
            Cell::Number(self.number as f64),
            text(self.area),
            text(&it.region),
            text(&month_name(it.visit_date)),
            text(&it.model),
            text(&it.tables),
            number(it.limit_percent),
            number(it.last_reading),
            number(it.exceedance_probability),
            text(kind),
            text(reading.map_or("", |it| it.0)),
            number(reading.map(|it| it.1)),
            number(stated.and_then(|it| it.over)),
            number(stated.and_then(|it| it.over_by_answers)),
            level(0.1),
            level(0.5),
            level(0.9),
            text(self.outcome),
            word(|it| it.floor.setting.map(|it| it.word())),
            number(decade.map(|it| f64::from(it / 10 * 10))),
            word(|it| it.floor.retarder.map(|it| it.word())),
            word(|it| it.lot.position.map(|it| it.word())),
            word(|it| it.lot.drainage.map(|it| it.word())),
            word(|it| it.lot.sub_drain.map(|it| it.word())),
            word(|it| it.lot.sump.map(|it| it.word())),
            dark.map_or(Cell::Nothing, Cell::Yes),
            word(|it| it.air.dehumidifier.map(|it| it.word())),
            number(it.before_probability),
        ])
    }
}
