//! Every bundled table, declared once: its text, its rows, and the digest of all.
//!
//! A table that is not declared here cannot be named in code, and `tests/tables.rs` fails on a
//! file of `tables/` that is missing from the list.

use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};
use std::sync::LazyLock;

/// A bundled table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Table {
    /// Name of its file in `tables/`.
    pub file: &'static str,
    /// What stands in the file.
    pub text: &'static str,
}

macro_rules! declare {
    ($($file:literal),+ $(,)?) => {
        /// Every bundled table, in the order of the names.
        pub const TABLES: &[Table] = &[$(Table {
            file: $file,
            text: include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/tables/", $file)),
        }),+];
    };
}

declare! {
    "answer_shares.csv",
    "card.csv",
    "choices.csv",
    "climate_normals.csv",
    "climate_old_stations.csv",
    "climate_rules.csv",
    "climate_sources.csv",
    "climate_zones.csv",
    "drying.csv",
    "evidence.csv",
    "finishes.csv",
    "gates.csv",
    "glossary.csv",
    "glossary_es.csv",
    "grades.csv",
    "homeowner.csv",
    "house_stock.csv",
    "ledger.csv",
    "lesson_pairs.csv",
    "lesson_places.csv",
    "lesson_questions.csv",
    "lessons.csv",
    "licenses.csv",
    "postal_areas.csv",
    "priors.csv",
    "questions.csv",
    "quick_screens.csv",
    "regions.csv",
    "retarder.csv",
    "season.csv",
    "signs.csv",
    "sources.csv",
    "spreadsheet_words.csv",
    "tests.csv",
    "trial.csv",
    "typed_units.csv",
    "visit_limits.csv",
    "ways.csv",
    "winter_air.csv",
    "words.csv",
    "words_es.csv",
    "young_concrete.csv",
    "zones.csv",
}

/// The text of a table. In a constant, a file that is not declared does not compile.
///
/// # Panics
///
/// On a file that is not declared.
///
/// # Example
///
/// ```
/// const TEXT: &str = slabseason::units::table_text("season.csv");
/// assert!(TEXT.starts_with("# What: "));
/// ```
pub const fn table_text(file: &str) -> &'static str {
    let mut at = 0;
    while at < TABLES.len() {
        if is_same(TABLES[at].file.as_bytes(), file.as_bytes()) {
            return TABLES[at].text;
        }
        at += 1;
    }
    panic!("this table is not declared in src/units/tables.rs")
}

const fn is_same(one: &[u8], other: &[u8]) -> bool {
    if one.len() != other.len() {
        return false;
    }
    let mut at = 0;
    while at < one.len() {
        if one[at] != other[at] {
            return false;
        }
        at += 1;
    }
    true
}

/// A row of a table that cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line}: {what}")]
pub struct TableError {
    /// Line of the file, from 1.
    pub line: u64,
    /// What is wrong in it.
    pub what: String,
}

/// Reads the rows of a table, by the names of its columns, as any type that `serde` can fill.
///
/// # Errors
///
/// The line of the first row that does not fit.
pub fn table_rows<T: DeserializeOwned>(text: &str) -> Result<Vec<T>, TableError> {
    Ok(table_lines(text)?.into_iter().map(|it| it.1).collect())
}

/// The same with the line of each row, for a message.
///
/// # Errors
///
/// The line of the first row that does not fit.
pub fn table_lines<T: DeserializeOwned>(text: &str) -> Result<Vec<(u64, T)>, TableError> {
    let wrong = |error: csv::Error| TableError {
        line: error.position().map_or(0, csv::Position::line),
        what: error.to_string(),
    };
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let heading = reader.headers().map_err(wrong)?.clone();
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(wrong)?;
        let line = record.position().map_or(0, csv::Position::line);
        let row = record.deserialize(Some(&heading)).map_err(wrong)?;
        rows.push((line, row));
    }
    Ok(rows)
}

static DIGEST: LazyLock<String> = LazyLock::new(|| digest_of(TABLES));

/// Names the bundled tables: sixteen hexadecimal digits that change with any byte of any of them.
pub fn tables_digest() -> &'static str {
    &DIGEST
}

fn digest_of(tables: &[Table]) -> String {
    let mut hash = Sha256::new();
    for it in tables {
        // Lengths keep the end of one apart from the start of the next.
        hash.update((it.file.len() as u64).to_le_bytes());
        hash.update(it.file);
        hash.update((it.text.len() as u64).to_le_bytes());
        hash.update(it.text);
    }
    short_hex(&hash.finalize())
}

/// The first sixteen hexadecimal digits of a hash, as results bear them.
pub fn short_hex(hash: &[u8]) -> String {
    hash.iter().take(8).map(|it| format!("{it:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A changed byte, name or order of any table is another digest.
    #[test]
    fn any_change_is_another_digest() {
        let whole = digest_of(TABLES);
        for at in 0..TABLES.len() {
            let mut changed = TABLES.to_vec();
            changed[at].text = "# What: another";
            assert_ne!(digest_of(&changed), whole, "{}", TABLES[at].file);
            changed.remove(at);
            assert_ne!(digest_of(&changed), whole, "{}", TABLES[at].file);
        }
    }

    #[test]
    fn a_bad_row_is_told_with_its_line() {
        #[derive(Debug, serde::Deserialize)]
        struct Row {
            #[allow(dead_code)]
            share: f64,
        }
        let text = "# What: made\nkey,share\na,0.5\nb,half\n";
        let error = table_rows::<Row>(text).unwrap_err();
        assert_eq!(error.line, 4, "{error}");
    }
}
