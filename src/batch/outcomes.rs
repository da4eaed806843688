//! Stated chances against how floors turned out.

use super::rows::Outcome;
use super::spreadsheet::is_open;
use crate::words::{say, say_with};
use serde::Deserialize;
use statrs::distribution::{Beta, ContinuousCDF};
use std::collections::BTreeMap;

/// The exact interval of a share by Clopper and Pearson: in 95 of 100 such counts, or more,
/// the true share lies in it, however small the number.
///
/// # Source
///
/// newcombe-1998, method 5.
///
/// # Example
///
/// ```
/// use slabseason::batch::interval;
/// let (low, high) = interval(0, 20);
/// // By hand: the share under which 20 floors in a row hold up once in 40: 1 - 0.025^(1/20).
/// assert_eq!(low, 0.0);
/// assert!((high - 0.168433).abs() < 1e-6);
/// ```
pub fn interval(count: u64, of: u64) -> (f64, f64) {
    let (count_f, rest) = (count as f64, of.saturating_sub(count) as f64);
    let quantile = |a: f64, b: f64, chance: f64| {
        Beta::new(a, b)
            .expect("both counts are above 0")
            .inverse_cdf(chance)
    };
    let low = if count == 0 {
        0.0
    } else {
        quantile(count_f, rest + 1.0, TAIL)
    };
    let high = if count >= of {
        1.0
    } else {
        quantile(count_f + 1.0, rest, 1.0 - TAIL)
    };
    (low, high)
}

/// Chance left out at each end of an interval of 95 in 100.
const TAIL: f64 = 0.025;

/// Floors of one grade or tenth.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Group {
    floors: u64,
    blistered: u64,
    stated: f64,
}

impl Group {
    fn add(&mut self, stated: f64, blistered: bool) {
        self.floors += 1;
        self.blistered += u64::from(blistered);
        self.stated += stated;
    }
}

/// What `--outcomes` reads of a floor's results, which a person may have touched.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(default)]
pub struct OutcomeRow {
    /// Grade of the result: `low` to `very_high`; none for a held floor.
    pub grade: Option<String>,
    /// Stated chance of the next year, 0 to 1.
    pub exceedance_probability: Option<Loose>,
    /// How the floor turned out, as a person wrote it.
    pub outcome: Option<String>,
}

/// A number, or what stands in its place.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Loose {
    Number(f64),
    Text(String),
}

/// An office's own table of reliability.
#[derive(Debug, Clone, Default)]
pub struct Reliability {
    by_grade: BTreeMap<String, Group>,
    by_tenth: BTreeMap<usize, Group>,
    not_coated: u64,
    no_chance: u64,
    not_read: u64,
    none: u64,
}

/// The words of the grades, from the best.
const GRADES: [&str; 4] = ["low", "moderate", "high", "very_high"];

impl Reliability {
    /// Takes up one floor: its grade, its stated chance and its outcome as they stand in the
    /// results.
    ///
    /// # Errors
    ///
    /// The column that is not read, and what is accepted; the floor then counts as not read.
    pub fn add(&mut self, row: &OutcomeRow) -> Result<(), (&'static str, String)> {
        let added = self.floor(row);
        self.not_read += u64::from(added.is_err());
        added
    }

    fn floor(&mut self, row: &OutcomeRow) -> Result<(), (&'static str, String)> {
        let given = row.outcome.as_deref().unwrap_or_default().trim();
        if given.is_empty() || is_open(given) {
            self.none += 1;
            return Ok(());
        }
        let outcome = Outcome::of_text(given).map_err(|told| ("outcome", told))?;
        let grade = row.grade.as_deref().unwrap_or_default().trim();
        if !grade.is_empty() && !GRADES.contains(&grade) {
            let blanks = [("given", grade), ("words", &GRADES.join(" | "))];
            return Err(("grade", say_with("batch.outcome_grade", &blanks)));
        }
        let not_a_chance = |given: &str| {
            let told = say_with("batch.outcome_chance", &[("given", given)]);
            ("exceedance_probability", told)
        };
        let chance = match &row.exceedance_probability {
            None => None,
            Some(Loose::Number(it)) if (0.0..=1.0).contains(it) => Some(*it),
            Some(Loose::Number(it)) => return Err(not_a_chance(&it.to_string())),
            Some(Loose::Text(it)) if it.trim().is_empty() => None,
            Some(Loose::Text(it)) => return Err(not_a_chance(it)),
        };
        let blistered = match outcome {
            Outcome::NotCoated => {
                self.not_coated += 1;
                return Ok(());
            }
            Outcome::Blistered => true,
            Outcome::HeldUp => false,
        };
        let Some(chance) = chance.filter(|_| !grade.is_empty()) else {
            self.no_chance += 1;
            return Ok(());
        };
        let tenth = ((chance * 10.0) as usize).min(9);
        self.by_tenth
            .entry(tenth)
            .or_default()
            .add(chance, blistered);
        self.by_grade
            .entry(grade.to_string())
            .or_default()
            .add(chance, blistered);
        Ok(())
    }

    /// Floors that could not be read.
    pub fn not_read(&self) -> u64 {
        self.not_read
    }

    /// Floors that tell something.
    pub fn floors(&self) -> u64 {
        self.by_tenth.values().map(|it| it.floors).sum()
    }

    /// The table as text.
    pub fn text(&self) -> String {
        let mut out = String::new();
        let mut line = |text: &str| {
            out.push_str(text);
            out.push('\n');
        };
        line(say("batch.outcomes_title"));
        line("");
        line(say("batch.outcomes_of_100"));
        line("");
        line(&format!(
            "{:<14}{:>7}{:>9}{:>11}{:>8}   95 in 100",
            "", "floors", "stated", "blistered", "share"
        ));
        for grade in GRADES {
            if let Some(group) = self.by_grade.get(grade) {
                line(&row(&grade.replace('_', " "), group));
            }
        }
        line("");
        for (tenth, group) in &self.by_tenth {
            let low = 10 * tenth;
            line(&row(&format!("{low} to {}", low + 10), group));
        }
        let mut all = Group::default();
        for group in self.by_tenth.values() {
            all.floors += group.floors;
            all.blistered += group.blistered;
            all.stated += group.stated;
        }
        if all.floors > 0 {
            line("");
            line(&row("all", &all));
        }
        line("");
        for (count, key) in [
            (self.not_coated, "batch.not_coated"),
            (self.no_chance, "batch.no_chance"),
            (self.none, "batch.no_outcome"),
            (self.not_read, "batch.outcome_unknown"),
        ] {
            if count > 0 {
                let told = say_with(key, &[("count", &count.to_string())]);
                line(&textwrap::fill(&told, 80));
            }
        }
        for key in [
            "batch.outcomes_mean",
            "batch.outcomes_event",
            "batch.outcomes_chosen",
        ] {
            line(&textwrap::fill(say(key), 80));
        }
        out
    }
}

fn row(name: &str, group: &Group) -> String {
    let (low, high) = interval(group.blistered, group.floors);
    let floors = group.floors as f64;
    let of_100 = |share: f64| format!("{:.0}", 100.0 * share);
    format!(
        "{name:<14}{:>7}{:>9}{:>11}{:>8}   {} to {}",
        group.floors,
        of_100(group.stated / floors),
        group.blistered,
        of_100(group.blistered as f64 / floors),
        of_100(low),
        of_100(high)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: by hand. A chance that is none, a grade that is none and a word that is none are
    /// told, each with its column, and are not taken for floors without a grade.
    #[test]
    fn what_is_no_outcome_is_told() {
        let row = |grade: &str, chance: f64, outcome: &str| OutcomeRow {
            grade: Some(grade.to_string()),
            exceedance_probability: Some(Loose::Number(chance)),
            outcome: Some(outcome.to_string()),
        };
        let mut table = Reliability::default();
        for (bad, column) in [
            (row("low", 1.7, "held_up"), "exceedance_probability"),
            (row("low", f64::NAN, "held_up"), "exceedance_probability"),
            (row("foo", 0.2, "held_up"), "grade"),
            (row("low", 0.2, "vanished"), "outcome"),
        ] {
            assert_eq!(table.add(&bad).unwrap_err().0, column, "{bad:?}");
        }
        // Words as `batch` takes them.
        table.add(&row("low", 0.2, "Held up")).unwrap();
        assert_eq!(
            (table.floors(), table.not_read(), table.no_chance),
            (1, 4, 0)
        );
    }

    /// Source: newcombe-1998, table I, method 5 (Clopper-Pearson), four digits as printed.
    #[test]
    fn intervals_are_the_published_ones() {
        for (count, of, low, high) in [
            (81, 263, 0.2527, 0.3676),
            (15, 148, 0.0578, 0.1617),
            (0, 20, 0.0000, 0.1684),
            (1, 29, 0.0009, 0.1776),
        ] {
            let got = interval(count, of);
            assert!(
                (got.0 - low).abs() < 0.00005 + 1e-9 && (got.1 - high).abs() < 0.00005 + 1e-9,
                "{count} of {of}: {got:?}, printed {low} to {high}"
            );
        }
        assert_eq!(interval(7, 7).1, 1.0);
    }
}
