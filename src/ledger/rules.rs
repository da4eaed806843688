//! What the tool is held against: rules that are fitted to the other floors.

use super::LedgerTable;
use super::scored_floor::{Features, FloorScored};
use super::scores::{Came, crps_normal, crps_sample};
use crate::odds::priors::normal_cdf;

/// What a rule tells: the chance of each floor's event, and the CRPS of each reading in the
/// order of floors and readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Told {
    /// Chance (0 to 1) of each floor's event, in the order of floors; `None` where it tells none.
    pub chances: Vec<Option<f64>>,
    /// CRPS of each reading, percent by mass; `None` where it tells no band.
    pub crps: Vec<Option<f64>>,
}

/// Numbers of a rule.
const MOST: usize = 6;
type Row = [f64; MOST];

/// The rule by the last reading looks at it alone.
const BY_LAST: usize = 2;

fn row(it: Features, first: f64) -> Row {
    let angle = |month: u32| std::f64::consts::TAU * (f64::from(month) - 0.5) / 12.0;
    let (to, from) = (angle(it.month), angle(it.last_month));
    [
        1.0,
        first,
        libm::cos(to),
        libm::sin(to),
        libm::cos(from),
        libm::sin(from),
    ]
}

/// The numbers of `rows` that come nearest to `values`: least squares with a ridge on all but
/// the first, each row by its weight.
///
/// # Formula
///
/// `(X'WX + r I) b = X'Wy`, by elimination.
pub fn fit(rows: &[Row], values: &[f64], weights: &[f64], numbers: usize) -> Row {
    let ridge = LedgerTable::bundled().ridge;
    let mut matrix = [[0.0; MOST + 1]; MOST];
    for ((row, value), weight) in rows.iter().zip(values).zip(weights) {
        for i in 0..numbers {
            for j in 0..numbers {
                matrix[i][j] += weight * row[i] * row[j];
            }
            matrix[i][MOST] += weight * row[i] * value;
        }
    }
    for (at, row) in matrix.iter_mut().enumerate().take(numbers) {
        row[at] += if at == 0 { 1.0e-9 } else { ridge };
    }
    solved(matrix, numbers)
}

fn solved(mut matrix: [[f64; MOST + 1]; MOST], numbers: usize) -> Row {
    for at in 0..numbers {
        let best = (at..numbers)
            .max_by(|a, b| matrix[*a][at].abs().total_cmp(&matrix[*b][at].abs()))
            .expect("there is a row left");
        matrix.swap(at, best);
        for other in 0..numbers {
            if other != at {
                let factor = matrix[other][at] / matrix[at][at];
                for column in 0..=MOST {
                    matrix[other][column] -= factor * matrix[at][column];
                }
            }
        }
    }
    let mut res = [0.0; MOST];
    for at in 0..numbers {
        res[at] = matrix[at][MOST] / matrix[at][at];
    }
    res
}

fn dot(numbers: &Row, row: &Row, count: usize) -> f64 {
    (0..count).map(|it| numbers[it] * row[it]).sum()
}

/// A logistic rule by Newton's steps, with the ridge of [`fit`].
fn fit_logistic(rows: &[Row], came: &[f64], numbers: usize) -> Row {
    const STEPS: usize = 8;
    let mut beta = [0.0; MOST];
    for _ in 0..STEPS {
        let mut values = Vec::with_capacity(rows.len());
        let mut weights = Vec::with_capacity(rows.len());
        for (row, came) in rows.iter().zip(came) {
            let line = dot(&beta, row, numbers).clamp(-12.0, 12.0);
            let chance = 1.0 / (1.0 + libm::exp(-line));
            let weight = (chance * (1.0 - chance)).max(1.0e-4);
            values.push(line + (came - chance) / weight);
            weights.push(weight);
        }
        beta = fit(rows, &values, &weights, numbers);
    }
    beta
}

/// The floors that a floor's rule is not fitted to: itself, and in a large ledger a twentieth.
fn fold_of(at: usize, floors: usize) -> usize {
    if floors as f64 <= LedgerTable::bundled().fold_floors {
        at
    } else {
        at % 20
    }
}

/// What a rule sees of a floor, and what came of it.
struct Seen {
    floor: usize,
    row: Row,
    came: f64,
}

/// Tells each floor by a rule fitted to the others.
fn left_out(floors: &[FloorScored], numbers: usize) -> Told {
    let mut events = Vec::new();
    let mut reads: Vec<Option<Seen>> = Vec::new();
    for (floor, it) in floors.iter().enumerate() {
        if let Some((reading, came)) = it.event()
            && let Some(features) = it.features(reading)
        {
            events.push(Seen {
                floor,
                row: row(features, features.over_limit),
                came: came.number(),
            });
        }
        for reading in &it.readings {
            reads.push(it.features(reading).map(|features| Seen {
                floor,
                row: row(features, features.last),
                came: reading.percent,
            }));
        }
    }
    let mut told = Told {
        chances: vec![None; floors.len()],
        crps: vec![None; reads.len()],
    };
    let folds = (0..floors.len())
        .map(|it| fold_of(it, floors.len()) + 1)
        .max()
        .unwrap_or(0);
    for fold in 0..folds {
        let is_told = |it: &Seen| fold_of(it.floor, floors.len()) == fold;
        let (rows, came) = rows_of(events.iter().filter(|it| !is_told(it)));
        if !rows.is_empty() {
            let beta = fit_logistic(&rows, &came, numbers);
            for it in events.iter().filter(|it| is_told(it)) {
                let line = dot(&beta, &it.row, numbers);
                told.chances[it.floor] = Some(1.0 / (1.0 + libm::exp(-line)));
            }
        }
        let (rows, percent) = rows_of(reads.iter().flatten().filter(|it| !is_told(it)));
        if rows.len() <= numbers + 1 {
            continue;
        }
        let (beta, sd) = fit_with_sd(&rows, &percent, numbers);
        for (crps, it) in told.crps.iter_mut().zip(&reads) {
            if let Some(it) = it.as_ref().filter(|it| is_told(it)) {
                *crps = Some(crps_normal(dot(&beta, &it.row, numbers), sd, it.came));
            }
        }
    }
    told
}

fn rows_of<'a>(seen: impl Iterator<Item = &'a Seen>) -> (Vec<Row>, Vec<f64>) {
    seen.map(|it| (it.row, it.came)).unzip()
}

/// A straight line through the rows, and the standard deviation about it.
fn fit_with_sd(rows: &[Row], values: &[f64], numbers: usize) -> (Row, f64) {
    let beta = fit(rows, values, &vec![1.0; rows.len()], numbers);
    let square: f64 = rows
        .iter()
        .zip(values)
        .map(|(row, value)| {
            let off = value - dot(&beta, row, numbers);
            off * off
        })
        .sum();
    (beta, (square / (rows.len() - numbers) as f64).sqrt())
}

/// The last reading and the two months, fitted to the other floors.
pub fn by_reading_and_month(floors: &[FloorScored]) -> Told {
    left_out(floors, MOST)
}

/// The last reading alone, fitted to the other floors.
pub fn by_last_reading(floors: &[FloorScored]) -> Told {
    left_out(floors, BY_LAST)
}

/// How often it came on the other floors, and their readings as a band.
pub fn base_rate(floors: &[FloorScored]) -> Told {
    let events: Vec<Option<Came>> = floors.iter().map(|it| it.event().map(|it| it.1)).collect();
    let all = events.iter().flatten().count() as f64;
    let came: f64 = events.iter().flatten().map(|it| it.number()).sum();
    let mut sorted: Vec<f64> = floors
        .iter()
        .flat_map(|it| it.readings.iter().map(|it| it.percent))
        .collect();
    sorted.sort_unstable_by(f64::total_cmp);
    // Of a large ledger some two thousand readings, evenly along them, tell its spread.
    let most = (5.0 * LedgerTable::bundled().fold_floors) as usize;
    let thin: Vec<f64> = if sorted.len() > 4 * most {
        sorted
            .iter()
            .copied()
            .step_by(sorted.len() / most)
            .collect()
    } else {
        Vec::new()
    };
    let crps = floors
        .iter()
        .flat_map(|floor| {
            let mut others = Vec::new();
            if thin.is_empty() {
                let own: Vec<f64> = floor.readings.iter().map(|it| it.percent).collect();
                others.clone_from(&sorted);
                for it in own {
                    if let Some(at) = others.iter().position(|other| *other == it) {
                        others.remove(at);
                    }
                }
            }
            let others = if thin.is_empty() {
                others
            } else {
                thin.clone()
            };
            floor
                .readings
                .iter()
                .map(|it| (!others.is_empty()).then(|| crps_sample(&others, it.percent)))
                .collect::<Vec<_>>()
        })
        .collect();
    Told {
        chances: events
            .iter()
            .map(|it| {
                let own = it.as_ref()?.number();
                (all > 1.0).then(|| (came - own) / (all - 1.0))
            })
            .collect(),
        crps,
    }
}

/// The last reading as it stands, for ledgers with too few floors to fit anything to: its
/// chance by a noise of its own meter, its band a single number.
pub fn point_told(floors: &[FloorScored]) -> Told {
    let noise = super::statement::noise_percent();
    Told {
        chances: floors
            .iter()
            .map(|it| {
                let (reading, _) = it.event()?;
                Some(normal_cdf(it.features(reading)?.over_limit / noise))
            })
            .collect(),
        crps: floors
            .iter()
            .flat_map(|floor| {
                floor
                    .readings
                    .iter()
                    .map(|it| floor.last.map(|last| (it.percent - last.0).abs()))
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: by hand. Three points on y = 1 + 2 x with a ridge of 0.5 on the slope: the
    /// middle is kept, and the slope is 2 * 2 / (2 + 0.5) = 1.6 about x = 0 of spread 2.
    #[test]
    fn a_ridge_draws_the_slope_in() {
        let rows = [-1.0, 0.0, 1.0].map(|x| [1.0, x, 0.0, 0.0, 0.0, 0.0]);
        let beta = fit(&rows, &[-1.0, 1.0, 3.0], &[1.0; 3], BY_LAST);
        assert!(
            (beta[0] - 1.0).abs() < 1e-6 && (beta[1] - 1.6).abs() < 1e-6,
            "{beta:?}"
        );
    }

    /// Source: by hand. Without anything to look at the fitted chance is the share: 3 of 4.
    #[test]
    fn a_logistic_rule_without_signs_is_the_share() {
        let rows = [[1.0, 0.0, 0.0, 0.0, 0.0, 0.0]; 4];
        let beta = fit_logistic(&rows, &[1.0, 1.0, 1.0, 0.0], BY_LAST);
        let chance = 1.0 / (1.0 + libm::exp(-beta[0]));
        assert!((chance - 0.75).abs() < 1e-6, "{chance}");
    }
}
