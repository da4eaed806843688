//! A floor of two stores of water in a row over a measured well: the crudest of the other models.

use super::wells::wells;
use slabseason::climate::Place;
use slabseason::lessons::Random;
use slabseason::survey::{Drainage, LotPosition, Retarder, SubDrain, Visit};

/// What a meter shows on a slab that is soaked, percent by mass; judgement.
const SOAKED_PERCENT: f64 = 7.5;
/// Years that are run before the visit's year, so that the start is forgotten.
const YEARS_BEFORE: usize = 4;

/// What a meter shows on one floor in 24 months from January of the visit's year, percent by
/// mass. Of the facts as they were told: here owners know.
pub fn course(random: &mut Random, place: &Place, told: &Visit) -> [f64; 24] {
    let spread = |random: &mut Random, middle: f64, factor: f64| {
        middle * (factor.ln() * random.normal()).exp()
    };
    let well = wells()[random.below(wells().len())].months();
    let swing = spread(random, 1.0, 1.5);
    let mean_m = match told.lot.position {
        Some(LotPosition::High) => -2.6,
        Some(LotPosition::Low) => -0.4,
        _ => -1.4,
    } + 0.8 * random.normal()
        + if told.lot.drainage == Some(Drainage::Failing) {
            0.3
        } else {
            0.0
        };
    let drains = told.lot.sub_drain == Some(SubDrain::Works) && random.chance(0.9);
    let passes = match told.floor.retarder {
        Some(Retarder::Seen) => random.chance(0.25),
        Some(Retarder::Absent) => true,
        _ => random.chance(0.6),
    };
    let wicks = if passes {
        spread(random, 1.0, 1.4)
    } else {
        0.05
    };
    let (below_days, through_days, off_days) = (
        spread(random, 40.0, 1.6),
        spread(random, 35.0, 1.5),
        spread(random, 50.0, 1.4),
    );
    let scale = spread(random, 1.0, 1.07);
    let excess_pa = spread(random, 250.0, 1.5);
    let saturation = |t: f64| 611.0 * (17.5 * t / (241.0 + t)).exp();
    let (mut lower, mut upper, mut lasting_m) = (2.5, 2.2, 0.0);
    let mut percent = [0.0; 24];
    for month in 0..12 * (YEARS_BEFORE + 2) {
        let calendar = month % 12;
        // Wet and dry spells last some months.
        lasting_m = 0.7 * lasting_m + 0.25 * random.normal();
        let level_m = mean_m + swing * well[calendar] + lasting_m;
        let level_m = if drains { level_m.min(-0.25) } else { level_m };
        let contact = 1.0 / (1.0 + (-(level_m + 0.1) / 0.08).exp());
        let outdoor_c = place.mean_c[calendar];
        let yearly_c = place.mean_c.iter().sum::<f64>() / 12.0;
        let slab_c = 14.0 + 0.3 * (yearly_c - 10.0) + 0.15 * (outdoor_c - yearly_c);
        let vapor_pa = saturation(place.dew_point_c[calendar])
            + excess_pa * (1.0 - outdoor_c / 20.0).clamp(0.0, 1.0);
        let humidity = (vapor_pa / saturation(slab_c)).clamp(0.2, 0.97);
        let air = 1.0 + 2.8 * humidity.powf(1.5);
        let mut mean = 0.0;
        for _ in 0..30 {
            let rises = wicks * contact * (SOAKED_PERCENT - lower) / below_days;
            let passes = (lower - upper) / through_days;
            let dries = (upper - air) / off_days;
            lower += rises - passes;
            upper += passes - dries;
            mean += (0.3 * lower + 0.7 * upper) / 30.0;
        }
        if let Some(at) = month.checked_sub(12 * YEARS_BEFORE) {
            percent[at] = scale * mean;
        }
    }
    percent
}
