//! The file: one SQLite database that only ever grows.

use super::again::Again;
use super::error::LedgerError;
use super::schema::{APPLICATION, STEPS};
use super::statement::{FIRST_SEAL, Stated, Statement, seal};
use crate::odds::evidence::{is_near_wall, is_usable};
use crate::survey::{
    Draft, Parsed, Reading, ReadingValue, Visit, digest, draft_to_toml, parse_visit, to_toml,
};
use chrono::NaiveDate;
use rusqlite::{
    Connection, OpenFlags, OptionalExtension, Transaction, TransactionBehavior, params,
};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long a step waits for another program that writes.
const WAITS: Duration = Duration::from_secs(30);

/// A contractor's ledger.
#[derive(Debug)]
pub struct Ledger {
    pub(super) connection: Connection,
    /// The copy that was made before an older file was brought up to date.
    pub copied_to: Option<PathBuf>,
}

/// A floor of the ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FloorKept {
    /// Number of the floor in the file.
    pub id: i64,
    /// Job number or the like, as in the visit.
    pub label: Option<String>,
    /// Three-digit postal area.
    pub area: String,
    /// Region of `tables/regions.csv`, for counts.
    pub region: String,
}

impl FloorKept {
    /// What a person calls it.
    pub fn name(&self) -> String {
        match &self.label {
            Some(label) => format!("#{} {label}", self.id),
            None => format!("#{}", self.id),
        }
    }

    /// The same with the area where it is known.
    pub fn name_and_area(&self) -> String {
        match self.area.as_str() {
            "" => self.name(),
            area => format!("{} ({area})", self.name()),
        }
    }
}

/// A visit of a floor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitKept {
    /// Number of the visit in the file.
    pub id: i64,
    /// `given`, `restated` or `results`.
    pub origin: String,
    /// Day of the visit.
    pub day: NaiveDate,
    /// Digest of the visit, by which a second copy is known.
    pub digest: String,
    /// The visit file.
    pub content: String,
    /// Day on which it came into the file.
    pub added_on: NaiveDate,
}

/// Something that was sealed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealed {
    /// Number of the seal in the file, in the order of sealing.
    pub id: i64,
    /// `statement` or `trial`.
    pub kind: String,
    /// The floor; none for a trial.
    pub floor: Option<i64>,
    /// The visit; none for a trial.
    pub visit: Option<i64>,
    /// Day of the seal; never before that of the seal before.
    pub sealed_on: NaiveDate,
    /// The exact text that was sealed.
    pub content: String,
    /// The seal before, which this one covers.
    pub previous: String,
    /// SHA-256 of the seal before, a line end and the content, as hexadecimal digits.
    pub seal: String,
}

/// A reading, of a visit or later.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingKept {
    /// Number of the reading in the file.
    pub id: i64,
    /// Day it was taken.
    pub day: NaiveDate,
    /// Percent by weight of a meter in the open floor; none for other readings.
    pub percent: Option<f64>,
    /// Which meter, where it has a name.
    pub meter: Option<String>,
    /// The reading as it stands in a visit file.
    pub content: String,
    /// Day on which it came into the file.
    pub added_on: NaiveDate,
    /// Why it was withdrawn.
    pub withdrawn: Option<String>,
    /// Number among the readings of its floor, from 1 in the order in which they came into the
    /// file: what a person calls it by, and the same for good.
    pub number: i64,
}

/// How a floor turned out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutcomeKept {
    /// Day that it was seen.
    pub day: NaiveDate,
    /// `held_up`, `blistered` or `not_coated`.
    pub outcome: String,
    /// The finish that was put down, as typed.
    pub coated_with: Option<String>,
    /// Day on which it came into the file.
    pub added_on: NaiveDate,
}

/// What became of something that was added.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Added {
    /// Number of the floor in the file.
    pub floor: i64,
    /// It was there already, and nothing was changed.
    pub was_known: bool,
    /// The floor was there already.
    pub is_return: bool,
    /// The new seal; none where nothing was sealed.
    pub seal: Option<String>,
}

/// A visit and what is stated of it, on their way into the file.
#[derive(Debug, Clone)]
pub struct Coming<'a> {
    /// The visit as it was checked.
    pub visit: &'a Visit,
    /// What is stated of it.
    pub stated: &'a Stated,
    /// Three-digit postal area.
    pub area: &'a str,
    /// `given` or `restated`.
    pub origin: &'a str,
    /// The floor it belongs to; by its label and area where none is named.
    pub floor: Option<i64>,
    /// Day of the seal.
    pub on: NaiveDate,
}

impl Ledger {
    /// Opens a ledger, or begins one where there is no file.
    ///
    /// # Errors
    ///
    /// A file that is no ledger, of a newer program, or that cannot be written.
    pub fn open_or_begin(path: &Path) -> Result<Self, LedgerError> {
        Self::prepared(Connection::open(path)?, Some(path))
    }

    /// Opens a ledger that is there.
    ///
    /// # Errors
    ///
    /// As [`Ledger::open_or_begin`], and where there is no file.
    pub fn open(path: &Path) -> Result<Self, LedgerError> {
        if !path.is_file() {
            let name = path.display().to_string();
            return Err(LedgerError::say_with(
                "ledger.error.none",
                &[("file", &name)],
            ));
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        Self::prepared(Connection::open_with_flags(path, flags)?, Some(path))
    }

    /// A ledger that no file keeps.
    pub fn in_memory() -> Result<Self, LedgerError> {
        Self::prepared(Connection::open_in_memory()?, None)
    }

    fn prepared(connection: Connection, path: Option<&Path>) -> Result<Self, LedgerError> {
        Self::brought_to(connection, path, STEPS)
    }

    /// The same, with the steps that lead from each version to the next.
    fn brought_to(
        connection: Connection,
        path: Option<&Path>,
        steps: &[&str],
    ) -> Result<Self, LedgerError> {
        let newest = steps.len() as i64;
        connection.busy_timeout(WAITS)?;
        let number =
            |name: &str| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
        // Blank or not comes first: another program may begin the same file just now, and tables
        // and mark come in one step.
        let is_blank: bool =
            connection.query_row("SELECT count(*) = 0 FROM sqlite_schema", [], |row| {
                row.get(0)
            })?;
        let application = number("application_id")?;
        let version = number("user_version")?;
        let name = path.map(|it| it.display().to_string()).unwrap_or_default();
        if application != APPLICATION && !is_blank {
            return Err(LedgerError::say_with(
                "ledger.error.other_file",
                &[("file", &name)],
            ));
        }
        if version > newest {
            return Err(LedgerError::say_with(
                "ledger.error.newer",
                &[
                    ("file", &name),
                    ("version", &version.to_string()),
                    ("newest", &newest.to_string()),
                ],
            ));
        }
        write_ahead(&connection)?;
        // Every step that was reported is on the disk.
        connection.pragma_update(None, "synchronous", "FULL")?;
        connection.pragma_update(None, "foreign_keys", true)?;
        let mut ledger = Self {
            connection,
            copied_to: None,
        };
        if version < newest {
            if let Some(path) = path.filter(|_| !is_blank) {
                let copy = path.with_extension(format!("before-{newest}"));
                if !copy.exists() {
                    ledger.back_up(&copy)?;
                    ledger.copied_to = Some(copy);
                }
            }
            ledger.bring_up_to_date(steps)?;
        }
        Ok(ledger)
    }

    fn bring_up_to_date(&mut self, steps: &[&str]) -> Result<(), LedgerError> {
        let step = self.begin()?;
        // Another program may have done it while this one waited.
        let version: i64 = step.pragma_query_value(None, "user_version", |row| row.get(0))?;
        for sql in steps.iter().skip(version as usize) {
            step.execute_batch(sql)?;
        }
        step.pragma_update(None, "application_id", APPLICATION)?;
        step.pragma_update(None, "user_version", steps.len() as i64)?;
        step.commit()?;
        Ok(())
    }

    /// A step that is kept whole or not at all.
    pub(super) fn begin(&mut self) -> Result<Transaction<'_>, LedgerError> {
        Ok(self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)?)
    }

    /// Holds the file to so many pages of 4 kB, as a full disk would; for tests and quotas.
    pub fn hold_to_pages(&self, pages: u32) -> Result<(), LedgerError> {
        self.connection
            .pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))?;
        Ok(())
    }

    /// Writes a copy that is whole; the file appears under its name when it is done.
    ///
    /// # Errors
    ///
    /// A file that is there already.
    pub fn back_up(&self, to: &Path) -> Result<(), LedgerError> {
        let name = to.display().to_string();
        if to.exists() {
            return Err(LedgerError::say_with(
                "ledger.error.there",
                &[("file", &name)],
            ));
        }
        let part = to.with_extension("part");
        let _ = std::fs::remove_file(&part);
        let part_name = part.display().to_string();
        let told = |it: std::io::Error| {
            let why = it.to_string();
            LedgerError::say_with("ledger.error.copy", &[("file", &name), ("why", &why)])
        };
        let copied = self.connection.execute("VACUUM INTO ?1", [&part_name]);
        if let Err(error) = copied {
            let _ = std::fs::remove_file(&part);
            return Err(error.into());
        }
        std::fs::File::open(&part)
            .and_then(|it| it.sync_all())
            .and_then(|()| std::fs::rename(&part, to))
            .map_err(told)
    }

    /// Whether the file's own pages hang together.
    pub fn is_whole(&self) -> Result<bool, LedgerError> {
        let told: String = self
            .connection
            .pragma_query_value(None, "integrity_check", |row| row.get(0))?;
        Ok(told == "ok")
    }

    /// Adds visits with what is stated of them, all or none.
    pub fn add_visits(&mut self, coming: &[Coming]) -> Result<Vec<Added>, LedgerError> {
        let step = self.begin()?;
        let added = coming
            .iter()
            .map(|it| add_visit(&step, it))
            .collect::<Result<Vec<_>, _>>()?;
        step.commit()?;
        Ok(added)
    }

    /// Adds a reading that was taken later, with the visit as it is restated by it.
    ///
    /// # Errors
    ///
    /// A reading that is there already.
    pub fn add_readings(
        &mut self,
        floor: i64,
        readings: &[Reading],
        restated: &Coming,
    ) -> Result<Added, LedgerError> {
        let step = self.begin()?;
        for reading in readings {
            if insert_reading(&step, floor, reading, 0, restated.on)?.is_none() {
                return Err(LedgerError::say("ledger.error.reading_known"));
            }
        }
        let added = add_visit(&step, restated)?;
        step.commit()?;
        Ok(added)
    }

    /// The reading of a floor that a person calls by its number.
    ///
    /// # Errors
    ///
    /// A number that no reading of the floor has.
    pub fn reading_numbered(&self, floor: &FloorKept, number: i64) -> Result<i64, LedgerError> {
        let readings = self.readings(floor.id)?;
        let found = readings.iter().find(|it| it.number == number);
        found.map(|it| it.id).ok_or_else(|| {
            LedgerError::say_with(
                "ledger.error.no_reading",
                &[
                    ("floor", &floor.name()),
                    ("id", &number.to_string()),
                    ("count", &readings.len().to_string()),
                ],
            )
        })
    }

    /// Withdraws a reading by its number in the file; it stays there. The visit as it is restated
    /// without it is kept in the same step.
    pub fn withdraw(
        &mut self,
        reading: i64,
        why: &str,
        on: NaiveDate,
        restated: Option<&Coming>,
    ) -> Result<Option<Added>, LedgerError> {
        let step = self.begin()?;
        step.execute(
            "INSERT OR IGNORE INTO withdrawal VALUES (?1, ?2, ?3)",
            params![reading, why, on],
        )?;
        let added = restated.map(|it| add_visit(&step, it)).transpose()?;
        step.commit()?;
        Ok(added)
    }

    /// Adds how a floor turned out; false where just this is known already.
    pub fn add_outcome(&mut self, floor: i64, it: &OutcomeKept) -> Result<bool, LedgerError> {
        let step = self.begin()?;
        let known: bool = step.query_row(
            "SELECT count(*) > 0 FROM outcome WHERE floor = ?1 AND day = ?2 AND outcome = ?3 AND coated_with IS ?4",
            params![floor, it.day, it.outcome, it.coated_with],
            |row| row.get(0),
        )?;
        if !known {
            step.execute(
                "INSERT INTO outcome (floor, day, outcome, coated_with, added_on) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![floor, it.day, it.outcome, it.coated_with, it.added_on],
            )?;
        }
        step.commit()?;
        Ok(!known)
    }

    /// Seals a protocol.
    pub fn seal_trial(&mut self, content: &str, on: NaiveDate) -> Result<String, LedgerError> {
        let step = self.begin()?;
        let (_, seal) = append(&step, "trial", None, None, on, content)?;
        step.commit()?;
        Ok(seal)
    }

    /// The floor of a visit, by the visit's digest.
    pub fn floor_of_digest(&self, digest: &str) -> Result<Option<i64>, LedgerError> {
        floor_of_digest(&self.connection, digest)
    }

    /// The floor that is called so: `#12`, or its label.
    ///
    /// # Errors
    ///
    /// None or several of that name.
    pub fn find(&self, name: &str) -> Result<FloorKept, LedgerError> {
        let by_number = name
            .trim()
            .strip_prefix('#')
            .and_then(|it| it.parse::<i64>().ok());
        let sql = match by_number {
            Some(_) => "SELECT id, label, area, region FROM floor WHERE id = ?1",
            None => "SELECT id, label, area, region FROM floor WHERE label = ?1 ORDER BY id",
        };
        let mut query = self.connection.prepare_cached(sql)?;
        let found: Vec<FloorKept> = match by_number {
            Some(id) => query
                .query_map([id], floor_row)?
                .collect::<Result<_, _>>()?,
            None => query
                .query_map([name.trim()], floor_row)?
                .collect::<Result<_, _>>()?,
        };
        match found.len() {
            1 => Ok(found.into_iter().next().expect("there is one")),
            0 => Err(LedgerError::say_with(
                "ledger.error.no_floor",
                &[("name", name)],
            )),
            _ => {
                let all: Vec<String> = found
                    .iter()
                    .map(|it| format!("#{} ({})", it.id, it.area))
                    .collect();
                Err(LedgerError::say_with(
                    "ledger.error.many_floors",
                    &[("name", name), ("floors", &all.join(", "))],
                ))
            }
        }
    }

    /// Number of floors.
    pub fn floors(&self) -> Result<u64, LedgerError> {
        let count: i64 = self
            .connection
            .query_row("SELECT count(*) FROM floor", [], |row| row.get(0))?;
        Ok(count.unsigned_abs())
    }

    /// Floors by number.
    pub fn each_floor(&self) -> Result<Vec<FloorKept>, LedgerError> {
        let mut query = self
            .connection
            .prepare("SELECT id, label, area, region FROM floor ORDER BY id")?;
        let all = query.query_map([], floor_row)?.collect::<Result<_, _>>()?;
        Ok(all)
    }

    /// Visits of a floor, oldest first.
    pub fn visits(&self, floor: i64) -> Result<Vec<VisitKept>, LedgerError> {
        let mut query = self.connection.prepare_cached(
            "SELECT id, origin, day, digest, content, added_on FROM visit WHERE floor = ?1 ORDER BY day, id",
        )?;
        let all = query
            .query_map([floor], |row| {
                Ok(VisitKept {
                    id: row.get(0)?,
                    origin: row.get(1)?,
                    day: row.get(2)?,
                    digest: row.get(3)?,
                    content: row.get(4)?,
                    added_on: row.get(5)?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(all)
    }

    /// What was sealed of a floor, oldest first.
    pub fn sealed_of(&self, floor: i64) -> Result<Vec<Sealed>, LedgerError> {
        let mut query = self.connection.prepare_cached(
            "SELECT id, kind, floor, visit, sealed_on, content, previous, seal FROM sealed WHERE floor = ?1 ORDER BY id",
        )?;
        let all = query
            .query_map([floor], sealed_row)?
            .collect::<Result<_, _>>()?;
        Ok(all)
    }

    /// Everything that was sealed, in the order of the seals.
    pub fn each_sealed(
        &self,
        mut each: impl FnMut(Sealed) -> Result<(), LedgerError>,
    ) -> Result<(), LedgerError> {
        let mut query = self.connection.prepare(
            "SELECT id, kind, floor, visit, sealed_on, content, previous, seal FROM sealed ORDER BY id",
        )?;
        let mut rows = query.query([])?;
        while let Some(row) = rows.next()? {
            each(sealed_row(row)?)?;
        }
        Ok(())
    }

    /// Statements floor by floor, oldest first: floor, day of the seal, content.
    pub fn each_statement(
        &self,
        mut each: impl FnMut(i64, NaiveDate, &str) -> Result<(), LedgerError>,
    ) -> Result<(), LedgerError> {
        let mut query = self.connection.prepare(
            "SELECT floor, sealed_on, content FROM sealed WHERE kind = 'statement' ORDER BY floor, id",
        )?;
        let mut rows = query.query([])?;
        while let Some(row) = rows.next()? {
            let content = row.get_ref(2)?.as_str().map_err(rusqlite::Error::from)?;
            each(row.get(0)?, row.get(1)?, content)?;
        }
        Ok(())
    }

    /// Readings of a floor by day.
    pub fn readings(&self, floor: i64) -> Result<Vec<ReadingKept>, LedgerError> {
        let mut query = self.connection.prepare_cached(
            "SELECT id, day, percent, meter, content, added_on, why, row_number() OVER (ORDER BY id) \
             FROM reading LEFT JOIN withdrawal ON withdrawal.reading = reading.id WHERE floor = ?1 ORDER BY day, id",
        )?;
        let all = query
            .query_map([floor], |row| {
                Ok(ReadingKept {
                    id: row.get(0)?,
                    day: row.get(1)?,
                    percent: row.get(2)?,
                    meter: row.get(3)?,
                    content: row.get(4)?,
                    added_on: row.get(5)?,
                    withdrawn: row.get(6)?,
                    number: row.get(7)?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(all)
    }

    /// Outcomes of a floor by day.
    pub fn outcomes(&self, floor: i64) -> Result<Vec<OutcomeKept>, LedgerError> {
        let mut query = self.connection.prepare_cached(
            "SELECT day, outcome, coated_with, added_on FROM outcome WHERE floor = ?1 ORDER BY day, id",
        )?;
        let all = query
            .query_map([floor], |row| {
                Ok(OutcomeKept {
                    day: row.get(0)?,
                    outcome: row.get(1)?,
                    coated_with: row.get(2)?,
                    added_on: row.get(3)?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(all)
    }

    /// The newest outcome of each floor that has one.
    pub fn newest_outcomes(&self) -> Result<HashMap<i64, String>, LedgerError> {
        let mut query = self
            .connection
            .prepare("SELECT floor, outcome FROM outcome ORDER BY day, id")?;
        let all = query
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
            .collect::<Result<_, _>>()?;
        Ok(all)
    }

    /// The result that was printed when something was sealed.
    pub fn result(&self, sealed: i64) -> Result<Option<String>, LedgerError> {
        Ok(self
            .connection
            .query_row(
                "SELECT content FROM result WHERE sealed = ?1",
                [sealed],
                |row| row.get(0),
            )
            .optional()?)
    }

    /// When to read a floor again by its newest statement.
    pub fn again(&self, floor: i64) -> Result<Option<Again>, LedgerError> {
        let text: Option<String> = self
            .connection
            .query_row(
                "SELECT content FROM again WHERE floor = ?1 ORDER BY sealed DESC LIMIT 1",
                [floor],
                |row| row.get(0),
            )
            .optional()?;
        Ok(text.and_then(|it| Again::of_text(&it)))
    }

    /// When to read again by the newest statement of each floor that was neither coated nor
    /// given up: floor, label, area and the kept text.
    pub fn each_again(
        &self,
        mut each: impl FnMut(FloorKept, &str) -> Result<(), LedgerError>,
    ) -> Result<(), LedgerError> {
        let mut query = self.connection.prepare(
            "SELECT max(again.sealed), floor.id, label, area, region, again.content FROM again \
             JOIN floor ON floor.id = again.floor \
             WHERE floor.id NOT IN (SELECT floor FROM outcome) GROUP BY again.floor",
        )?;
        let mut rows = query.query([])?;
        while let Some(row) = rows.next()? {
            let floor = FloorKept {
                id: row.get(1)?,
                label: row.get(2)?,
                area: row.get(3)?,
                region: row.get(4)?,
            };
            let content = row.get_ref(5)?.as_str().map_err(rusqlite::Error::from)?;
            each(floor, content)?;
        }
        Ok(())
    }

    /// The newest seal, which stands for everything that was sealed so far.
    pub fn head(&self) -> Result<Option<String>, LedgerError> {
        Ok(self
            .connection
            .query_row(
                "SELECT seal FROM sealed ORDER BY id DESC LIMIT 1",
                [],
                |row| row.get(0),
            )
            .optional()?)
    }

    /// Makes every seal anew and says where the first one does not fit, and how many were
    /// looked at.
    pub fn broken_seal(&self) -> Result<(u64, Option<i64>), LedgerError> {
        let mut before = FIRST_SEAL.to_string();
        let (mut count, mut broken) = (0, None);
        self.each_sealed(|it| {
            count += 1;
            let fits = it.previous == before && seal(&it.previous, &it.content) == it.seal;
            if !fits && broken.is_none() {
                broken = Some(it.id);
            }
            before = it.seal;
            Ok(())
        })?;
        Ok((count, broken))
    }

    /// Whether a seal that was noted earlier stands in the file.
    pub fn has_seal(&self, noted: &str) -> Result<bool, LedgerError> {
        Ok(self.connection.query_row(
            "SELECT count(*) > 0 FROM sealed WHERE seal = ?1",
            [noted.trim()],
            |row| row.get(0),
        )?)
    }
}

/// Writes go to a log first, so that a step is whole or not there. Two programs that begin a
/// file at once may meet here, where the file's keeper does not wait by itself.
fn write_ahead(connection: &Connection) -> Result<(), LedgerError> {
    const PAUSE: Duration = Duration::from_millis(50);
    let mut waited = Duration::ZERO;
    loop {
        let mode: Result<String, rusqlite::Error> =
            connection.pragma_query_value(None, "journal_mode", |row| row.get(0));
        // Memory has no log and needs none.
        if mode
            .as_deref()
            .is_ok_and(|it| it == "wal" || it == "memory")
        {
            return Ok(());
        }
        let set = mode.and_then(|_| connection.pragma_update(None, "journal_mode", "WAL"));
        match set {
            Ok(()) => return Ok(()),
            Err(error) => {
                let is_busy = error.sqlite_error_code() == Some(rusqlite::ErrorCode::DatabaseBusy);
                if !is_busy || waited > WAITS {
                    return Err(error.into());
                }
                std::thread::sleep(PAUSE);
                waited += PAUSE;
            }
        }
    }
}

fn floor_row(row: &rusqlite::Row) -> rusqlite::Result<FloorKept> {
    Ok(FloorKept {
        id: row.get(0)?,
        label: row.get(1)?,
        area: row.get(2)?,
        region: row.get(3)?,
    })
}

fn sealed_row(row: &rusqlite::Row) -> rusqlite::Result<Sealed> {
    Ok(Sealed {
        id: row.get(0)?,
        kind: row.get(1)?,
        floor: row.get(2)?,
        visit: row.get(3)?,
        sealed_on: row.get(4)?,
        content: row.get(5)?,
        previous: row.get(6)?,
        seal: row.get(7)?,
    })
}

fn floor_of_digest(connection: &Connection, digest: &str) -> Result<Option<i64>, LedgerError> {
    Ok(connection
        .prepare_cached("SELECT floor FROM visit WHERE digest = ?1")?
        .query_row([digest], |row| row.get(0))
        .optional()?)
}

fn add_visit(step: &Transaction, it: &Coming) -> Result<Added, LedgerError> {
    let digest = digest(it.visit);
    if let Some(floor) = floor_of_digest(step, &digest)? {
        return Ok(Added {
            floor,
            was_known: true,
            is_return: true,
            seal: None,
        });
    }
    let known: Option<i64> = match (it.floor, &it.visit.label) {
        (Some(floor), _) => Some(floor),
        (None, None) => None,
        (None, Some(label)) => step
            .prepare_cached(
                "SELECT id FROM floor WHERE label = ?1 AND area = ?2 ORDER BY id LIMIT 1",
            )?
            .query_row(params![label, it.area], |row| row.get(0))
            .optional()?,
    };
    let statement: &Statement = &it.stated.statement;
    let floor = match known {
        Some(floor) => floor,
        None => {
            step.prepare_cached("INSERT INTO floor (label, area, region) VALUES (?1, ?2, ?3)")?
                .execute(params![it.visit.label, it.area, statement.region])?;
            step.last_insert_rowid()
        }
    };
    step.prepare_cached(
        "INSERT INTO visit (floor, origin, day, digest, content, added_on) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?
    .execute(params![
        floor,
        it.origin,
        it.visit.visit_date,
        digest,
        to_toml(it.visit),
        it.on
    ])?;
    let visit = step.last_insert_rowid();
    // Equal readings of one visit are told apart by their number; those that came before are
    // known.
    let mut seen: Vec<String> = Vec::new();
    for reading in &it.visit.readings {
        let text = reading_text(reading);
        let nth = seen.iter().filter(|it| **it == text).count();
        insert_reading(step, floor, reading, nth as i64, it.on)?;
        seen.push(text);
    }
    let (sealed, seal) = append(
        step,
        "statement",
        Some(floor),
        Some(visit),
        it.on,
        &statement.canonical(),
    )?;
    let result = serde_json::to_string(&it.stated.report).expect("a report holds plain values");
    step.prepare_cached("INSERT INTO result VALUES (?1, ?2)")?
        .execute(params![sealed, result])?;
    if let Some(again) = &it.stated.again {
        let content = serde_json::to_string(again).expect("plain values");
        let month = super::months::month_name(again.from);
        step.prepare_cached("INSERT INTO again VALUES (?1, ?2, ?3, ?4, ?5, ?6)")?
            .execute(params![
                sealed,
                floor,
                month,
                again.why.word(),
                again.settles,
                content
            ])?;
    }
    Ok(Added {
        floor,
        was_known: false,
        is_return: known.is_some(),
        seal: Some(seal),
    })
}

/// Appends to the chain of seals; its number and its seal.
fn append(
    step: &Transaction,
    kind: &str,
    floor: Option<i64>,
    visit: Option<i64>,
    on: NaiveDate,
    content: &str,
) -> Result<(i64, String), LedgerError> {
    let newest: Option<(String, NaiveDate)> = step
        .prepare_cached("SELECT seal, sealed_on FROM sealed ORDER BY id DESC LIMIT 1")?
        .query_row([], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    let previous = match newest {
        // A day before that of the newest seal would pass for one that knew less.
        Some((_, day)) if on < day => {
            return Err(LedgerError::say_with(
                "ledger.error.back_dated",
                &[("on", &on.to_string()), ("day", &day.to_string())],
            ));
        }
        Some((seal, _)) => seal,
        None => FIRST_SEAL.to_string(),
    };
    let seal = seal(&previous, content);
    step.prepare_cached(
        "INSERT INTO sealed (kind, floor, visit, sealed_on, content, previous, seal) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?
    .execute(params![kind, floor, visit, on, content, previous, seal])?;
    Ok((step.last_insert_rowid(), seal))
}

/// The visit with those of its readings marked that the ledger keeps as withdrawn.
pub fn without_withdrawn(visit: &Visit, withdrawn: &[&str]) -> Visit {
    let mut res = visit.clone();
    for text in withdrawn {
        let mut same = res.readings.iter_mut();
        if let Some(it) = same.find(|it| !it.withdrawn && reading_text(it) == *text) {
            it.withdrawn = true;
        }
    }
    res
}

/// A reading as it stands in a visit file, without its withdrawal.
pub fn reading_text(reading: &Reading) -> String {
    let mut alone = empty_visit(reading.date);
    alone.readings = vec![Reading {
        withdrawn: false,
        ..reading.clone()
    }];
    let text = draft_to_toml(&Draft::from(&alone));
    let from = text.find("[[reading]]").unwrap_or(0);
    let rest = &text[from..];
    // Tables behind the readings are not its own.
    let end = rest[1..].find("\n[").map_or(rest.len(), |it| it + 2);
    rest[..end].trim().to_string()
}

/// The reading of a text of [`reading_text`].
pub fn reading_of(text: &str) -> Option<Reading> {
    let visit = to_toml(&empty_visit(NaiveDate::from_ymd_opt(2000, 1, 1)?));
    let parsed: Parsed = parse_visit(&format!("{visit}\n{text}\n"), "").ok()?;
    parsed.visit.readings.into_iter().next()
}

/// A visit that says nothing but its day.
fn empty_visit(day: NaiveDate) -> Visit {
    let text = format!(
        "visit_version = 1\nvisit_date = {day}\npostal = \"05401\"\n[floor]\nsetting = \"basement\"\n"
    );
    parse_visit(&text, "")
        .expect("a day, a place and an answer are a visit")
        .visit
}

/// The number of a reading that is new, none of one that is known.
fn insert_reading(
    step: &Transaction,
    floor: i64,
    reading: &Reading,
    nth: i64,
    on: NaiveDate,
) -> Result<Option<i64>, LedgerError> {
    let percent = match reading.value {
        ReadingValue::Meter(percent)
            if is_usable(&Reading {
                withdrawn: false,
                ..reading.clone()
            }) && !is_near_wall(reading) =>
        {
            Some(percent)
        }
        _ => None,
    };
    let content = reading_text(reading);
    let changed = step
        .prepare_cached(
            "INSERT OR IGNORE INTO reading (floor, day, percent, meter, content, nth, added_on) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?
        .execute(params![
            floor,
            reading.date,
            percent,
            reading.meter_id,
            content,
            nth,
            on
        ])?;
    let id: i64 = step
        .prepare_cached("SELECT id FROM reading WHERE floor = ?1 AND content = ?2 AND nth = ?3")?
        .query_row(params![floor, content, nth], |row| row.get(0))?;
    if reading.withdrawn {
        step.prepare_cached("INSERT OR IGNORE INTO withdrawal VALUES (?1, ?2, ?3)")?
            .execute(params![id, "visit", on])?;
    }
    Ok((changed > 0).then_some(id))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NEXT: &str = "ALTER TABLE floor ADD COLUMN town TEXT;";

    fn floors(ledger: &Ledger) -> Vec<FloorKept> {
        ledger.each_floor().unwrap()
    }

    /// A file of version 1 with a floor in it.
    fn older(folder: &Path) -> std::path::PathBuf {
        let path = folder.join("f.ledger");
        let ledger = Ledger::brought_to(Connection::open(&path).unwrap(), Some(&path), &STEPS[..1]);
        let ledger = ledger.unwrap();
        let row = "INSERT INTO floor (label, area, region) VALUES ('job 7', '146', 'great_lakes')";
        ledger.connection.execute(row, []).unwrap();
        path
    }

    /// A file of an older version is copied first, then brought up to date with all its floors;
    /// opened again, nothing more is done.
    #[test]
    fn an_older_file_keeps_its_floors() {
        let folder = tempfile::tempdir().unwrap();
        let path = older(folder.path());
        let steps = [STEPS[0], NEXT];
        let open = || Ledger::brought_to(Connection::open(&path).unwrap(), Some(&path), &steps);
        let ledger = open().unwrap();
        assert_eq!(floors(&ledger).len(), 1);
        assert_eq!(floors(&ledger)[0].label.as_deref(), Some("job 7"));
        ledger
            .connection
            .execute("UPDATE floor SET town = 'x'", [])
            .unwrap();
        let copy = ledger.copied_to.clone().unwrap();
        assert_eq!(copy, path.with_extension("before-2"));
        let before = Ledger::brought_to(Connection::open(&copy).unwrap(), Some(&copy), &STEPS[..1]);
        assert_eq!(floors(&before.unwrap()).len(), 1);
        drop(ledger);
        assert_eq!(open().unwrap().copied_to, None);
        // The program of before leaves the newer file alone.
        let refused =
            Ledger::brought_to(Connection::open(&path).unwrap(), Some(&path), &STEPS[..1]);
        assert!(refused.is_err());
    }

    /// A step that fails in its middle leaves the file as it was.
    #[test]
    fn a_step_that_fails_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = older(folder.path());
        let half = format!("{NEXT} INSERT INTO nowhere VALUES (1);");
        let steps = [STEPS[0], half.as_str()];
        let opened = Ledger::brought_to(Connection::open(&path).unwrap(), Some(&path), &steps);
        assert!(opened.is_err());
        let as_before =
            Ledger::brought_to(Connection::open(&path).unwrap(), Some(&path), &STEPS[..1]);
        let as_before = as_before.unwrap();
        assert_eq!(floors(&as_before).len(), 1);
        assert!(
            as_before
                .connection
                .prepare("SELECT town FROM floor")
                .is_err()
        );
    }
}
