//! Distributions of what cannot be seen, from `tables/priors.csv` and `tables/retarder.csv`.

use crate::units::{table_lines, table_text};
use std::collections::HashMap;
use std::sync::LazyLock;

/// What is wrong with a table of priors.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line}: {what}")]
pub struct PriorError {
    /// Line of the table, from 1.
    pub line: u64,
    /// What is wrong in it.
    pub what: String,
}

/// One distribution, as a map from a standard normal score.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    shape: Shape,
    low: f64,
    high: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Shape {
    Normal { mean: f64, sd: f64 },
    Lognormal { ln_median: f64, ln_factor: f64 },
    Uniform { low: f64, high: f64 },
    Fixed { value: f64 },
}

impl Prior {
    /// A number that is known.
    pub fn fixed(value: f64) -> Self {
        Self {
            shape: Shape::Fixed { value },
            low: value,
            high: value,
        }
    }
    /// The value at a normal score; rises with it.
    pub fn at(&self, score: f64) -> f64 {
        self.at_times(score, 1.0)
    }
    /// The value at a normal score times `factor` (above 0), within the row's own ends.
    pub fn at_times(&self, score: f64, factor: f64) -> f64 {
        let value = match self.shape {
            Shape::Normal { mean, sd } => mean + sd * score,
            Shape::Lognormal {
                ln_median,
                ln_factor,
            } => libm::exp(ln_median + ln_factor * score),
            Shape::Uniform { low, high } => low + (high - low) * normal_cdf(score),
            Shape::Fixed { value } => value,
        };
        (value * factor).clamp(self.low, self.high)
    }
    /// A chance or a fixed number.
    pub fn value(&self) -> f64 {
        self.at(0.0)
    }
    /// Standard deviation of a normal row.
    pub fn sd(&self) -> f64 {
        match self.shape {
            Shape::Normal { sd, .. } => sd,
            _ => 0.0,
        }
    }
}

/// The chance of a standard normal at or under `score`.
///
/// Written over `libm`: a crate that is built with other features in tests than in the binary
/// would give other last digits there.
pub fn normal_cdf(score: f64) -> f64 {
    0.5 * libm::erfc(-score * std::f64::consts::FRAC_1_SQRT_2)
}

/// The score at which a standard normal has the chance `chance`, strictly between 0 and 1.
///
/// # Source
///
/// abramowitz-stegun, formula 26.2.23, within 4.5e-4; two steps of Halley's method from there,
/// each of which takes the error to its third power.
pub fn normal_score(chance: f64) -> f64 {
    // The lower half; the upper one is its mirror.
    let (tail, sign) = if chance > 0.5 {
        (1.0 - chance, 1.0)
    } else {
        (chance, -1.0)
    };
    let t = (-2.0 * libm::log(tail)).sqrt();
    let over = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let under = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    let mut score = over / under - t;
    for _ in 0..2 {
        let density = libm::exp(-0.5 * score * score) / SQRT_TWO_PI;
        let step = (normal_cdf(score) - tail) / density;
        score -= step / (1.0 + 0.5 * score * step);
    }
    -sign * score
}

/// Square root of two pi.
const SQRT_TWO_PI: f64 = 2.506_628_274_631_000_5;

/// All rows.
#[derive(Debug, Clone)]
pub struct Priors {
    rows: HashMap<(String, String), Prior>,
}

impl Priors {
    /// Reads the table.
    ///
    /// # Errors
    ///
    /// The line of a row that is double, has an unknown shape, a bad number, no unit or no source.
    pub fn parse(text: &str) -> Result<Self, PriorError> {
        #[derive(serde::Deserialize)]
        struct Row {
            quantity: String,
            answer: String,
            shape: String,
            middle: Option<f64>,
            spread: Option<f64>,
            low: Option<f64>,
            high: Option<f64>,
            unit: String,
            source: String,
        }
        let wrong = |line: u64, what: String| PriorError { line, what };
        let mut rows = HashMap::new();
        for (line, it) in table_lines::<Row>(text).map_err(|it| wrong(it.line, it.what))? {
            let name = format!("{} {}", it.quantity, it.answer);
            let bad = |what: &str| wrong(line, format!("{name}: {what}"));
            if it.unit.is_empty() || it.source.is_empty() {
                return Err(bad("no unit or no source"));
            }
            let shape = match (it.shape.as_str(), it.middle, it.spread, it.low, it.high) {
                ("normal", Some(mean), Some(sd), _, _) => Shape::Normal { mean, sd },
                ("lognormal", Some(median), Some(factor), _, _) => Shape::Lognormal {
                    ln_median: libm::log(median),
                    ln_factor: libm::log(factor),
                },
                ("uniform", _, _, Some(low), Some(high)) => Shape::Uniform { low, high },
                ("chance", Some(value), _, _, _) if (0.0..=1.0).contains(&value) => {
                    Shape::Fixed { value }
                }
                ("fixed", Some(value), _, _, _) => Shape::Fixed { value },
                _ => {
                    return Err(bad(
                        "normal and lognormal take middle and spread, uniform low and high, \
                         fixed middle, and chance a middle of 0 to 1",
                    ));
                }
            };
            let low = it.low.unwrap_or(f64::NEG_INFINITY);
            let high = it.high.unwrap_or(f64::INFINITY);
            if low > high {
                return Err(bad("its low is over its high"));
            }
            let prior = Prior { shape, low, high };
            if rows.insert((it.quantity, it.answer), prior).is_some() {
                return Err(bad("given twice"));
            }
        }
        Ok(Self { rows })
    }

    /// The bundled table.
    pub fn bundled() -> &'static Self {
        static TABLE: LazyLock<Priors> = LazyLock::new(|| {
            Priors::parse(const { table_text("priors.csv") })
                .expect("tests/tables.rs parses this file")
        });
        &TABLE
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there is no row.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The row of a quantity for an answer. Every name in the code has its row; a test asks
    /// for all of them.
    pub fn of(&self, quantity: &str, answer: &str) -> Prior {
        *self
            .rows
            .get(&(quantity.to_string(), answer.to_string()))
            .unwrap_or_else(|| panic!("tables/priors.csv has no row {quantity}, {answer}"))
    }
}

/// One number for each state of a retarder, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RetarderChance {
    /// Where it works.
    pub effective: f64,
    /// Where it is there and damaged.
    pub damaged: f64,
    /// Where there is none.
    pub none: f64,
}

/// How often a retarder is there by era, and how often each answer is given in each state.
#[derive(Debug, Clone)]
pub struct RetarderTable {
    rows: HashMap<(String, String), RetarderChance>,
}

impl RetarderTable {
    /// Reads the table.
    ///
    /// # Errors
    ///
    /// The line of a row that is double, not a chance, or with which good news would raise the
    /// risk: chances of an era sum to 1, "seen" is said most where it works, "absent" least.
    pub fn parse(text: &str) -> Result<Self, PriorError> {
        #[derive(serde::Deserialize)]
        struct Row {
            answer: String,
            detail: String,
            effective: f64,
            damaged: f64,
            none: f64,
            source: String,
        }
        let wrong = |line: u64, what: String| PriorError { line, what };
        let mut rows = HashMap::new();
        for (line, it) in table_lines::<Row>(text).map_err(|it| wrong(it.line, it.what))? {
            let all = [it.effective, it.damaged, it.none];
            let fits = all.iter().all(|it| (0.0..=1.0).contains(it))
                && match it.answer.as_str() {
                    "era" => (all.iter().sum::<f64>() - 1.0).abs() < 1.0e-9,
                    "seen" => all[0] >= all[1] && all[1] >= all[2] && all[2] > 0.0,
                    "absent" => all[0] <= all[1] && all[1] <= all[2] && all[0] > 0.0,
                    _ => false,
                };
            let name = format!("{} {}", it.answer, it.detail);
            if !fits || it.source.is_empty() {
                return Err(wrong(
                    line,
                    format!("{name}: no such chances, or no source"),
                ));
            }
            let row = RetarderChance {
                effective: it.effective,
                damaged: it.damaged,
                none: it.none,
            };
            if rows.insert((it.answer, it.detail), row).is_some() {
                return Err(wrong(line, format!("{name}: given twice")));
            }
        }
        Ok(Self { rows })
    }

    /// The bundled table.
    pub fn bundled() -> &'static Self {
        static TABLE: LazyLock<RetarderTable> = LazyLock::new(|| {
            RetarderTable::parse(const { table_text("retarder.csv") })
                .expect("tests/tables.rs parses this file")
        });
        &TABLE
    }

    /// The row of an era, or of an answer and its proof.
    fn row(&self, answer: &str, detail: &str) -> RetarderChance {
        *self
            .rows
            .get(&(answer.to_string(), detail.to_string()))
            .unwrap_or_else(|| panic!("tables/retarder.csv has no row {answer}, {detail}"))
    }

    /// How likely an answer with its proof is in each state.
    pub fn given(&self, answer: &str, proof: &str) -> RetarderChance {
        self.row(answer, proof)
    }

    /// Chances of the states in an era, before any answer.
    pub fn of_era(&self, era: &str) -> RetarderChance {
        self.row("era", era)
    }

    /// Chances of the states in an era after an answer with its proof, by Bayes' rule: good news
    /// never raises the risk and bad news never lowers it.
    pub fn after(&self, era: &str, answer: &str, proof: &str) -> RetarderChance {
        let (prior, given) = (self.of_era(era), self.given(answer, proof));
        let joint = RetarderChance {
            effective: prior.effective * given.effective,
            damaged: prior.damaged * given.damaged,
            none: prior.none * given.none,
        };
        let sum = joint.effective + joint.damaged + joint.none;
        RetarderChance {
            effective: joint.effective / sum,
            damaged: joint.damaged / sum,
            none: joint.none / sum,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: a law. In every era and with every proof "seen" raises the chance that it works
    /// and lowers the chance that there is none; "absent" does the opposite.
    #[test]
    fn news_of_a_retarder_moves_the_right_way() {
        let table = RetarderTable::bundled();
        for era in super::super::parameters::Era::ALL {
            let before = table.of_era(era.key());
            for proof in ["hole", "papers", "told", "no_proof"] {
                let seen = table.after(era.key(), "seen", proof);
                assert!(seen.effective > before.effective && seen.none < before.none);
                let absent = table.after(era.key(), "absent", proof);
                assert!(absent.effective < before.effective && absent.none > before.none);
            }
        }
    }

    /// Source: by hand. 0.58, 0.24, 0.18 times 0.9, 0.8, 0.01 are 0.522, 0.192, 0.0018.
    #[test]
    fn bayes_by_hand() {
        let res = RetarderTable::bundled().after("before_2021", "seen", "hole");
        assert!((res.effective - 0.522 / 0.7158).abs() < 1.0e-12, "{res:?}");
    }
}
