//! A whole ledger as lines of text, and back: nothing is lost on either way.

use super::LINES_FORM;
use super::error::LedgerError;
use super::file::Ledger;
use rusqlite::types::{Value, ValueRef};
use serde_json::{Map, Value as Json};

/// The tables in the order in which one refers to those before it.
const TABLES: [&str; 8] = [
    "floor",
    "visit",
    "sealed",
    "result",
    "again",
    "reading",
    "withdrawal",
    "outcome",
];

/// One line of the text: a row of a table.
pub type Line = Map<String, Json>;

/// How many rows went into a ledger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Moved {
    /// Rows that were taken in.
    pub rows: u64,
    /// Floors among them.
    pub floors: u64,
}

impl Ledger {
    /// Every row as a line of JSON; `each` gets them one by one.
    pub fn lines(
        &self,
        mut each: impl FnMut(&str) -> Result<(), LedgerError>,
    ) -> Result<(), LedgerError> {
        each(&format!("{{\"form\":\"{LINES_FORM}\"}}\n"))?;
        for table in TABLES {
            let mut query = self
                .connection
                .prepare(&format!("SELECT * FROM {table} ORDER BY 1"))?;
            let names: Vec<String> = query.column_names().map(|it| it.to_string()).collect();
            let mut rows = query.query([])?;
            while let Some(row) = rows.next()? {
                let mut line = format!("{{\"table\":\"{table}\"");
                for (at, name) in names.iter().enumerate() {
                    let value = match row.get_ref(at)? {
                        ValueRef::Null => Json::Null,
                        ValueRef::Integer(it) => it.into(),
                        ValueRef::Real(it) => it.into(),
                        ValueRef::Text(it) => String::from_utf8_lossy(it).into(),
                        ValueRef::Blob(_) => Json::Null,
                    };
                    line.push_str(&format!(",\"{name}\":{value}"));
                }
                line.push_str("}\n");
                each(&line)?;
            }
        }
        Ok(())
    }

    /// Fills an empty ledger from such lines, all or nothing, and makes every seal anew.
    ///
    /// # Errors
    ///
    /// A ledger that is not empty, a line that is none, a seal that does not fit.
    pub fn fill(&mut self, text: &str) -> Result<Moved, LedgerError> {
        if self.floors()? > 0 || self.head()?.is_some() {
            return Err(LedgerError::say("ledger.error.not_empty"));
        }
        let bad = |line: usize, why: &str| {
            LedgerError::say_with(
                "ledger.error.line",
                &[("line", &(line + 1).to_string()), ("why", why)],
            )
        };
        let mut moved = Moved::default();
        let step = self.begin()?;
        let mut lines = text.lines().enumerate();
        let first = lines.next().map_or("", |it| it.1);
        if !first.contains(LINES_FORM) {
            return Err(bad(0, LINES_FORM));
        }
        for (number, text) in lines.filter(|it| !it.1.trim().is_empty()) {
            let line: Line =
                serde_json::from_str(text).map_err(|it| bad(number, &it.to_string()))?;
            let table = line
                .get("table")
                .and_then(Json::as_str)
                .and_then(|it| TABLES.into_iter().find(|known| *known == it))
                .ok_or_else(|| bad(number, "table"))?;
            let names: Vec<&String> = line.keys().filter(|it| *it != "table").collect();
            let is_name = |it: &&String| it.bytes().all(|it| it.is_ascii_lowercase() || it == b'_');
            if !names.iter().all(is_name) {
                return Err(bad(number, table));
            }
            let columns: Vec<&str> = names.iter().map(|it| it.as_str()).collect();
            let marks: Vec<String> = (1..=names.len()).map(|it| format!("?{it}")).collect();
            let values: Vec<Value> = names
                .iter()
                .map(|it| match &line[*it] {
                    Json::Number(it) if it.is_i64() => Value::Integer(it.as_i64().unwrap_or(0)),
                    Json::Number(it) => Value::Real(it.as_f64().unwrap_or(0.0)),
                    Json::String(it) => Value::Text(it.clone()),
                    _ => Value::Null,
                })
                .collect();
            let sql = format!(
                "INSERT INTO {table} ({}) VALUES ({})",
                columns.join(", "),
                marks.join(", ")
            );
            step.prepare_cached(&sql)?
                .execute(rusqlite::params_from_iter(values))
                .map_err(|it| bad(number, &it.to_string()))?;
            moved.rows += 1;
            moved.floors += u64::from(table == "floor");
        }
        step.commit()?;
        Ok(moved)
    }
}
