//! Weights of draws, their largest smoothed by a fitted Pareto tail.

/// Weights that sum to one, and how far they can be trusted.
#[derive(Debug, Clone, PartialEq)]
pub struct Smoothed {
    /// One weight for each draw, 0 to 1.
    pub weights: Vec<f64>,
    /// Shape of the fitted tail; above 0.7 the weights are not to be trusted. 0 where the
    /// weights are so even that there is no tail.
    pub k_hat: f64,
}

/// Draws in a tail that is too short to fit.
const SHORTEST_TAIL: usize = 5;
/// Weights, the largest being 1, that differ by less are level.
const LEVEL: f64 = 1.0e-10;
/// Factors that are multiplied before a logarithm is taken: far from the ends of a double.
const FACTORS: usize = 16;

/// Smooths log weights.
///
/// # Source
///
/// vehtari-2024 for the procedure, zhang-stephens-2009 for the fit of the tail. Draws with a
/// log weight of minus infinity keep weight 0.
pub fn smooth(log_weights: &[f64]) -> Smoothed {
    let highest = log_weights
        .iter()
        .copied()
        .fold(f64::NEG_INFINITY, f64::max);
    if highest == f64::NEG_INFINITY {
        let even = 1.0 / log_weights.len() as f64;
        return Smoothed {
            weights: vec![even; log_weights.len()],
            k_hat: f64::INFINITY,
        };
    }
    let mut weights: Vec<f64> = log_weights
        .iter()
        .map(|it| libm::exp(it - highest))
        .collect();
    let count = weights.len();
    let tail = ((0.2 * count as f64).min(3.0 * (count as f64).sqrt())).ceil() as usize;
    let mut order: Vec<usize> = (0..count).collect();
    let rising = |a: &usize, b: &usize| weights[*a].total_cmp(&weights[*b]).then(a.cmp(b));
    if tail < count {
        // Only the tail and the draw under it must stand in order.
        order.select_nth_unstable_by(count - tail - 1, rising);
        order[count - tail..].sort_unstable_by(rising);
    }
    let mut k_hat = 0.0;
    if tail >= SHORTEST_TAIL && tail < count {
        let cut = weights[order[count - tail - 1]].max(f64::MIN_POSITIVE);
        // Draws of the same weight as the cut are no part of the tail.
        let level = order[count - tail..].partition_point(|it| weights[*it] - cut <= LEVEL);
        let order = &order[count - tail + level..];
        if order.len() >= SHORTEST_TAIL {
            let over: Vec<f64> = order.iter().map(|it| weights[*it] - cut).collect();
            let (shape, scale) = fit_tail(&over);
            k_hat = shape;
            if shape.is_finite() {
                for (rank, at) in order.iter().enumerate() {
                    let chance = (rank as f64 + 0.5) / order.len() as f64;
                    weights[*at] = (cut + tail_quantile(chance, shape, scale)).min(1.0);
                }
            }
        }
    }
    let sum: f64 = weights.iter().sum();
    for weight in &mut weights {
        *weight /= sum;
    }
    Smoothed { weights, k_hat }
}

fn tail_quantile(chance: f64, shape: f64, scale: f64) -> f64 {
    if shape.abs() < 1.0e-12 {
        -scale * libm::log1p(-chance)
    } else {
        scale * libm::expm1(-shape * libm::log1p(-chance)) / shape
    }
}

/// Shape and scale of a generalized Pareto tail for rising values of 0 and more.
fn fit_tail(values: &[f64]) -> (f64, f64) {
    let count = values.len();
    let grid = 30 + (count as f64).sqrt().floor() as usize;
    let largest = values[count - 1];
    let quarter = values[((count as f64 / 4.0 + 0.5).floor() as usize).max(1) - 1].max(1.0e-300);
    let shape_for = |theta: f64| {
        let product = |some: &[f64]| some.iter().fold(1.0, |all, it| all * (1.0 - theta * it));
        let logs = values.chunks(FACTORS).map(|it| libm::log(product(it)));
        logs.sum::<f64>() / count as f64
    };
    let thetas: Vec<f64> = (1..=grid)
        .map(|at| {
            1.0 / largest + (1.0 - (grid as f64 / (at as f64 - 0.5)).sqrt()) / (3.0 * quarter)
        })
        .collect();
    let likelihood: Vec<f64> = thetas
        .iter()
        .map(|theta| {
            let shape = shape_for(*theta);
            count as f64 * (libm::log(-theta / shape) - shape - 1.0)
        })
        .collect();
    let highest = likelihood.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let parts: Vec<f64> = likelihood
        .iter()
        .map(|it| libm::exp(it - highest))
        .collect();
    let sum: f64 = parts.iter().sum();
    let theta: f64 = thetas
        .iter()
        .zip(&parts)
        .map(|(theta, part)| theta * part)
        .sum::<f64>()
        / sum;
    let shape = shape_for(theta);
    let scale = -shape / theta;
    // A weak prior toward one half, worth ten values.
    let shape = (count as f64 * shape + 10.0 * 0.5) / (count as f64 + 10.0);
    (shape, scale)
}

/// Effective number of draws behind weights that sum to one.
pub fn effective_draws(weights: &[f64]) -> f64 {
    1.0 / weights.iter().map(|it| it * it).sum::<f64>()
}

/// Log weights raised to the largest power up to 1 that leaves at least `wanted` effective
/// draws; and that power.
pub fn tempered(log_weights: &[f64], wanted: f64) -> (Vec<f64>, f64) {
    let highest = log_weights
        .iter()
        .copied()
        .fold(f64::NEG_INFINITY, f64::max);
    let at_power = |power: f64| {
        let mut weights: Vec<f64> = log_weights
            .iter()
            .map(|it| libm::exp(power * (it - highest)))
            .collect();
        let sum: f64 = weights.iter().sum();
        weights.iter_mut().for_each(|it| *it /= sum);
        weights
    };
    let whole = at_power(1.0);
    if effective_draws(&whole) >= wanted {
        return (whole, 1.0);
    }
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if effective_draws(&at_power(middle)) >= wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    (at_power(low), low)
}
