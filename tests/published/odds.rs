//! Pareto smoothing and the normal distribution against other programs.

use crate::table::{number, rows};
use slabseason::odds::pareto::{effective_draws, smooth};
use slabseason::odds::priors::{normal_cdf, normal_score};

/// Log weights of a set by the formula in the first line of the table.
fn made_log_weights(count: usize, steepness: f64) -> Vec<f64> {
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    (0..count)
        .map(|at| {
            let radius = (-2.0 * ((at as f64 + 0.5) / count as f64).ln()).sqrt();
            let turn = (at as f64 * golden).fract();
            let score = radius * (2.0 * std::f64::consts::PI * turn).cos();
            steepness * score * score
        })
        .collect()
}

/// Source: ArviZ 0.23.4, `psislw`. The conventions are the same throughout: a tail of
/// `min(n / 5, 3 sqrt(n))` draws rounded up, the fit of zhang-stephens-2009 on
/// `30 + sqrt(tail)` points, the scale taken before the weak prior of ten values toward one
/// half, the middles of `tail` equal parts as smoothed values, none above the largest raw one.
/// Within 1e-9: both are double precision, but exponentials, logarithms and the order of sums
/// differ, and the fit multiplies such differences by some thousands.
#[test]
fn pareto_smoothing() {
    let mut shapes = 0;
    let mut weights = 0;
    for row in rows(include_str!("psis_arviz.csv")) {
        let count = number(&row, "n") as usize;
        let want = number(&row, "value");
        let smoothed = smooth(&made_log_weights(count, number(&row, "c")));
        let got = if row["quantity"] == "k_hat" {
            shapes += 1;
            smoothed.k_hat
        } else {
            weights += 1;
            smoothed.weights[number(&row, "index") as usize].ln()
        };
        assert!(
            (got - want).abs() < 1.0e-9,
            "{row:?}: {got}, the other program {want}"
        );
    }
    assert_eq!(shapes, 3);
    assert!(weights >= 28, "only {weights} weights");
}

/// Source: hand calculation. Even weights have no tail and stay even, and a draw that is ruled
/// out has no weight; of `n` even weights all `n` count.
#[test]
fn even_weights_stay_even() {
    let mut logs = vec![-3.0; 200];
    logs[7] = f64::NEG_INFINITY;
    let smoothed = smooth(&logs);
    assert_eq!(smoothed.weights[7], 0.0);
    assert!((smoothed.weights[8] - 1.0 / 199.0).abs() < 1.0e-15);
    assert!((effective_draws(&smoothed.weights) - 199.0).abs() < 1.0e-9);
}

/// Source: Abramowitz & Stegun 1964, table 26.1, to the 15 digits that it prints; recomputed
/// with mpmath 1.4.1 (`ncdf`, 30 digits). Within 1e-13: what the digits printed leave.
#[test]
fn normal_distribution() {
    for (score, chance) in [
        (0.1, 0.539_827_837_277_029),
        (0.5, 0.691_462_461_274_013),
        (1.0, 0.841_344_746_068_543),
        (1.5, 0.933_192_798_731_142),
        (1.96, 0.975_002_104_851_78),
        (2.0, 0.977_249_868_051_821),
        (3.0, 0.998_650_101_968_370),
        (4.0, 0.999_968_328_758_167),
        (5.0, 0.999_999_713_348_428),
    ] {
        let got = normal_cdf(score);
        assert!((got - chance).abs() < 1.0e-13, "{score}: {got}");
        let under = normal_cdf(-score);
        assert!(
            (under - (1.0 - chance)).abs() < 1.0e-13,
            "-{score}: {under}"
        );
    }
    assert_eq!(normal_cdf(0.0), 0.5);
}

/// Source: mpmath 1.4.1, the root of `ncdf(-x) = q` with 30 digits; Abramowitz & Stegun 1964,
/// table 26.5 print the first five decimals of the same. Within 1e-12: thirteen decimals are
/// printed.
#[test]
fn normal_scores_of_chances() {
    for (beyond, score) in [
        (0.4, 0.253_347_103_135_8),
        (0.25, 0.674_489_750_196_082),
        (0.1, 1.281_551_565_544_6),
        (0.05, 1.644_853_626_951_473),
        (0.025, 1.959_963_984_540_054),
        (0.01, 2.326_347_874_040_841),
        (0.005, 2.575_829_303_548_901),
        (0.001, 3.090_232_306_167_814),
        (0.0001, 3.719_016_485_455_681),
        (0.000_001, 4.753_424_308_822_899),
    ] {
        let got = normal_score(beyond);
        assert!((got + score).abs() < 1.0e-12, "{beyond}: {got}");
        let other = normal_score(1.0 - beyond);
        assert!((other - score).abs() < 1.0e-9, "1 - {beyond}: {other}");
    }
}

/// Source: statrs 0.19.1, the normal distribution of a general-purpose library. Within 1e-10:
/// its own error function is good to that.
#[test]
fn normal_distribution_of_a_library() {
    use statrs::distribution::{ContinuousCDF, Normal};
    let library = Normal::standard();
    for at in 1..2_000 {
        let chance = f64::from(at) / 2_000.0;
        let (got, want) = (normal_score(chance), library.inverse_cdf(chance));
        assert!((got - want).abs() < 1.0e-10, "{chance}: {got}, {want}");
        let (got, want) = (normal_cdf(want), library.cdf(want));
        assert!((got - want).abs() < 1.0e-10, "{chance}: {got}, {want}");
    }
}
