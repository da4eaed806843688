//! Stated chances against how floors turned out.

use crate::words::{say, say_with};
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

/// An office's own table of reliability.
#[derive(Debug, Clone, Default)]
pub struct Reliability {
    by_grade: BTreeMap<String, Group>,
    by_tenth: BTreeMap<usize, Group>,
    not_coated: u64,
    no_chance: u64,
    unknown: u64,
    none: u64,
}

impl Reliability {
    /// Takes up one floor: its grade, its stated chance and its outcome as they stand in the
    /// results.
    pub fn add(&mut self, grade: &str, chance: &str, outcome: &str) {
        let blistered = match outcome {
            "" => {
                self.none += 1;
                return;
            }
            "not_coated" => {
                self.not_coated += 1;
                return;
            }
            "blistered" => true,
            "held_up" => false,
            _ => {
                self.unknown += 1;
                return;
            }
        };
        let Some(chance) = chance
            .parse::<f64>()
            .ok()
            .filter(|it| (0.0..=1.0).contains(it) && !grade.is_empty())
        else {
            self.no_chance += 1;
            return;
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
        line(&format!(
            "{:<14}{:>7}{:>9}{:>11}{:>8}   95 in 100",
            "", "floors", "stated", "blistered", "share"
        ));
        for grade in ["low", "moderate", "high", "very_high"] {
            if let Some(group) = self.by_grade.get(grade) {
                line(&row(&grade.replace('_', " "), group));
            }
        }
        line("");
        for (tenth, group) in &self.by_tenth {
            let low = *tenth as f64 / 10.0;
            line(&row(&format!("{low:.1} to {:.1}", low + 0.1), group));
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
            (self.unknown, "batch.outcome_unknown"),
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
    format!(
        "{name:<14}{:>7}{:>9.2}{:>11}{:>8.2}   {low:.2} to {high:.2}",
        group.floors,
        group.stated / floors,
        group.blistered,
        group.blistered as f64 / floors
    )
}

#[cfg(test)]
mod tests {
    use super::interval;

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
