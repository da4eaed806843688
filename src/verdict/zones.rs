//! Where on the floor it is wet: everywhere alike, along the walls, or at one spot.

use crate::odds::evidence::{EvidenceTable, is_near_wall, is_usable};
use crate::survey::{Reading, ReadingValue, Visit};

/// Chances of the three patterns; they sum to one.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneOdds {
    /// Chance (0 to 1) that the whole floor is about as wet everywhere.
    pub whole: f64,
    /// Chance (0 to 1) that the band along the walls is wetter than the rest.
    pub band: f64,
    /// Chance (0 to 1) that one spot is wetter than the rest.
    pub spot: f64,
    /// The spot that would stand out, by its name or its number in the visit.
    pub spot_name: Option<String>,
    /// Spots that were read, three or more.
    pub spots: usize,
}

crate::named_table! {
    /// What is looked for, from `tables/zones.csv`.
    ZoneTable from "zones.csv" {
        whole_share,
        band_share,
        spot_share,
        spot_spread,
        level,
        level_spread,
        wetter_least,
        wetter_most,
    }
}

/// Steps between the least and the most that a band or a spot is wetter.
const LOOKS: usize = 8;

/// The patterns' chances from the newest date's meter spots; `None` for fewer than three.
pub fn zone_odds(visit: &Visit) -> Option<ZoneOdds> {
    let table = ZoneTable::bundled();
    let meter = |it: &&Reading| matches!(it.value, ReadingValue::Meter(_)) && is_usable(it);
    let newest = visit
        .readings
        .iter()
        .filter(meter)
        .map(|it| it.date)
        .max()?;
    let spots: Vec<(usize, &Reading)> = visit
        .readings
        .iter()
        .enumerate()
        .filter(|(_, it)| meter(it) && it.date == newest)
        .collect();
    if spots.len() < 3 {
        return None;
    }
    let values: Vec<f64> = spots
        .iter()
        .map(|(_, it)| match it.value {
            ReadingValue::Meter(percent) => percent,
            _ => 0.0,
        })
        .collect();
    let near: Vec<bool> = spots.iter().map(|(_, it)| is_near_wall(it)).collect();
    let has_both = near.iter().any(|it| *it) && near.iter().any(|it| !*it);
    let even = vec![0.0; values.len()];
    let whole = table.whole_share * likelihood(&values, &even);
    let raised = |which: &dyn Fn(usize) -> bool| {
        let of = |more: f64| {
            let shift: Vec<f64> = (0..values.len())
                .map(|at| if which(at) { more } else { 0.0 })
                .collect();
            likelihood(&values, &shift)
        };
        (0..LOOKS)
            .map(|at| {
                let share = at as f64 / (LOOKS - 1) as f64;
                of(table.wetter_least + share * (table.wetter_most - table.wetter_least))
            })
            .sum::<f64>()
            / LOOKS as f64
    };
    let band = if has_both {
        table.band_share * raised(&|at| near[at])
    } else {
        0.0
    };
    let each: Vec<f64> = (0..values.len())
        .map(|only| raised(&|at| at == only))
        .collect();
    let spot = table.spot_share * each.iter().sum::<f64>() / values.len() as f64;
    let wettest = (0..each.len()).max_by(|a, b| each[*a].total_cmp(&each[*b]))?;
    let whole_sum = whole + band + spot;
    let (number, reading) = spots[wettest];
    Some(ZoneOdds {
        whole: whole / whole_sum,
        band: band / whole_sum,
        spot: spot / whole_sum,
        spot_name: Some(
            reading
                .spot
                .clone()
                .unwrap_or_else(|| format!("reading {}", number + 1)),
        ),
        spots: values.len(),
    })
}

/// Likelihood of spots about one unknown level, each less its shift; constants left out.
fn likelihood(values: &[f64], shift: &[f64]) -> f64 {
    let table = ZoneTable::bundled();
    let noise = EvidenceTable::bundled().meter_noise;
    let variance = noise * noise + table.spot_spread * table.spot_spread;
    let (level, spread) = (table.level, table.level_spread);
    let count = values.len() as f64;
    let rest = |at: usize| values[at] - shift[at] - level;
    let sum: f64 = (0..values.len()).map(rest).sum();
    let square: f64 = (0..values.len()).map(|at| rest(at) * rest(at)).sum();
    let weight = count / variance + 1.0 / (spread * spread);
    let pulled = sum / variance;
    libm::exp(-0.5 * (square / variance - pulled * pulled / weight))
}

#[cfg(test)]
mod tests {
    use super::likelihood;

    /// Source: hand calculation. Two spots at 3.5 + a and 3.5 - a share the level 3.5 exactly
    /// when the spread is wide: the likelihood falls as exp(-a^2 / variance), variance 0.18.
    #[test]
    fn two_spots_apart() {
        let ratio = likelihood(&[3.9, 3.1], &[0.0, 0.0]) / likelihood(&[3.5, 3.5], &[0.0, 0.0]);
        assert!(
            (ratio / (-0.16f64 / 0.18).exp() - 1.0).abs() < 1e-12,
            "{ratio}"
        );
    }
}
