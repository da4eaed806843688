//! The lowest and the highest value of each number that a visit file may hold.

use crate::units::{table_rows, table_text};
use serde::Deserialize;
use std::sync::LazyLock;

/// The lowest and the highest value that a visit file may hold.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Range {
    /// The path that the number is saved under, or the name of another limit.
    pub key: String,
    /// Lowest value that is accepted, in the unit of the row.
    pub low: f64,
    /// Highest value that is accepted, in the unit of the row.
    pub high: f64,
    /// Unit of both; empty for a bare number.
    pub unit: String,
    /// Where the range comes from.
    pub source: String,
}

impl Range {
    /// Whether the value is inside, both ends included.
    pub fn contains(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// As a message says it: "40 to 400 mm".
    pub fn accepted(&self) -> String {
        let words = format!("{} to {} {}", self.low, self.high, self.unit);
        words.trim_end().to_string()
    }
}

/// Every row of the limits table.
pub static RANGES: LazyLock<Vec<Range>> = LazyLock::new(|| {
    parse_ranges(const { table_text("visit_limits.csv") })
        .expect("tests/tables.rs parses this file")
});

/// Reads the limits.
///
/// # Errors
///
/// The row whose ends are in the wrong order, or that has no source or stands twice.
pub fn parse_ranges(text: &str) -> Result<Vec<Range>, String> {
    let ranges: Vec<Range> = table_rows(text).map_err(|it| it.to_string())?;
    for (at, it) in ranges.iter().enumerate() {
        let is_twin = ranges[..at].iter().any(|before| before.key == it.key);
        if it.low >= it.high || it.source.is_empty() || is_twin {
            return Err(format!(
                "{}: ends in the wrong order, no source, or given twice",
                it.key
            ));
        }
    }
    Ok(ranges)
}

/// A limit of a meter that hardly any data sheet has, with the range of those that they have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusualLimit {
    /// The limit as it was given, percent by mass.
    pub limit: String,
    /// Lowest usual limit, percent by mass.
    pub low: String,
    /// Highest usual limit, percent by mass.
    pub high: String,
}

impl UnusualLimit {
    /// A sentence about it.
    pub fn note(&self) -> String {
        format!(
            "a meter limit of {} % is unusual: data sheets allow {} to {} %; it is used as given, check it",
            self.limit, self.low, self.high
        )
    }
}

/// Whether a meter limit, percent by mass, lies outside those that data sheets have.
///
/// ```
/// use slabseason::survey::unusual_meter_limit;
/// assert_eq!(unusual_meter_limit(1.0).unwrap().high, "6");
/// assert!(unusual_meter_limit(4.0).is_none());
/// ```
pub fn unusual_meter_limit(percent: f64) -> Option<UnusualLimit> {
    let usual = range("limit.meter_percent.usual");
    (!usual.contains(percent)).then(|| UnusualLimit {
        limit: percent.to_string(),
        low: usual.low.to_string(),
        high: usual.high.to_string(),
    })
}

/// The row with this key.
pub fn range(key: &str) -> &'static Range {
    RANGES
        .iter()
        .find(|it| it.key == key)
        .expect("a test looks up every key that the code uses")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::FIELDS;

    #[test]
    fn limits_table_is_whole() {
        let rows = parse_ranges(table_text("visit_limits.csv")).unwrap();
        let other_keys = [
            "reading.value.percent",
            "reading.value.relative",
            "reading.value.probe",
            "reading.value.calcium_chloride",
            "limit.meter_percent.usual",
            "date.year",
            "text.characters",
            "file.bytes",
            "file.readings",
            "file.columns",
        ];
        for row in &rows {
            let is_field = FIELDS.iter().any(|it| it.path == row.key);
            assert!(
                is_field || other_keys.contains(&row.key.as_str()),
                "no one uses {}",
                row.key
            );
        }
        for key in other_keys {
            assert_eq!(range(key).key, key);
        }
        // Every field that takes a number must find its row, or its help would have no range.
        for field in FIELDS.iter() {
            assert!(!field.accepted().is_empty(), "{}", field.path);
            assert!(
                FIELDS.iter().any(|it| it.path == field.saved_path()),
                "{}",
                field.path
            );
        }
    }

    #[test]
    fn limits_table_faults_are_found() {
        let head = "key,low,high,unit,source\n";
        assert!(parse_ranges(&format!("{head}a,2,1,m,judgement\n")).is_err());
        assert!(parse_ranges(&format!("{head}a,1,2,m,\n")).is_err());
        assert!(parse_ranges(&format!("{head}a,1,2,m,judgement\na,1,3,m,judgement\n")).is_err());
        assert!(parse_ranges(&format!("{head}a,one,2,m,judgement\n")).is_err());
    }
}
