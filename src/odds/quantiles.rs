//! Quantiles of weighted values.

/// Shares of the span that values are first counted into.
const BINS: usize = 512;

/// The smallest values at which the weights of all values up to them reach the chances' shares
/// of the whole. `values` are put in another order on the way.
///
/// Weights are counted by even shares of the span, and only the share in which a quantile
/// falls is put in order: a sort of all would be most of the work of a screen's months.
pub fn weighted_quantiles<const N: usize>(
    values: &mut [(f64, f64)],
    chances: [f64; N],
) -> [f64; N] {
    let (mut lowest, mut highest, mut total) = (f64::INFINITY, f64::NEG_INFINITY, 0.0);
    for (value, weight) in values.iter() {
        lowest = if *value < lowest { *value } else { lowest };
        highest = if *value > highest { *value } else { highest };
        total += weight;
    }
    let per_value = BINS as f64 / (highest - lowest);
    if values.is_empty() || !per_value.is_finite() {
        return sorted_quantiles(values, 0.0, total, chances);
    }
    let mut sums = [0.0; BINS];
    let bins: Vec<u16> = values
        .iter()
        .map(|(value, weight)| {
            let bin = (((value - lowest) * per_value) as usize).min(BINS - 1);
            sums[bin] += weight;
            bin as u16
        })
        .collect();
    // The share of each chance and the weight under it.
    let shares = chances.map(|chance| {
        let (mut before, mut bin) = (0.0, 0);
        while bin + 1 < BINS && before + sums[bin] < chance * total {
            before += sums[bin];
            bin += 1;
        }
        (bin as u16, before)
    });
    let mut within: [Vec<(f64, f64)>; N] = std::array::from_fn(|_| Vec::new());
    for (value, bin) in values.iter().zip(&bins) {
        for ((share, _), some) in shares.iter().zip(&mut within) {
            if bin == share {
                some.push(*value);
            }
        }
    }
    std::array::from_fn(|at| {
        if within[at].is_empty() {
            return highest;
        }
        sorted_quantiles(&mut within[at], shares[at].1, total, [chances[at]])[0]
    })
}

/// Quantiles by putting all in order; `before` is the weight of what lies under them.
fn sorted_quantiles<const N: usize>(
    values: &mut [(f64, f64)],
    before: f64,
    total: f64,
    chances: [f64; N],
) -> [f64; N] {
    values.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    chances.map(|chance| {
        let mut sum = before;
        for (value, weight) in values.iter() {
            sum += weight;
            if sum >= chance * total {
                return *value;
            }
        }
        values.last().map_or(0.0, |it| it.0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Source: by hand. Weights 1, 2, 3, 4 of ten: a tenth is reached at the first, a half at
    /// the third, nine tenths at the last.
    #[test]
    fn quantiles_by_hand() {
        let mut values = [(4.0, 4.0), (1.0, 1.0), (3.0, 3.0), (2.0, 2.0)];
        assert_eq!(
            weighted_quantiles(&mut values, [0.1, 0.5, 0.9]),
            [1.0, 3.0, 4.0]
        );
        assert_eq!(weighted_quantiles(&mut [], [0.1, 0.5, 0.9]), [0.0; 3]);
        let mut even = [(2.5, 0.2), (2.5, 0.8)];
        assert_eq!(weighted_quantiles(&mut even, [0.1, 0.5, 0.9]), [2.5; 3]);
    }

    proptest! {
        /// The definition: weights under a quantile miss the share, with it they reach it.
        /// Within 1e-9, as sums in another order differ in the last digits.
        #[test]
        fn quantiles_hold_their_definition(
            mut values in prop::collection::vec((-5.0..5.0f64, 0.001..1.0f64), 1..400),
            chance in 0.01..0.99f64,
        ) {
            let total: f64 = values.iter().map(|it| it.1).sum();
            let got = weighted_quantiles(&mut values, [chance; 3])[1];
            let under: f64 = values.iter().filter(|it| it.0 < got).map(|it| it.1).sum();
            let with: f64 = values.iter().filter(|it| it.0 <= got).map(|it| it.1).sum();
            prop_assert!(under < chance * total + 1e-9);
            prop_assert!(with > chance * total - 1e-9);
        }
    }
}
