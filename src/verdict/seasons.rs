//! Two seasons, told apart: water from below, and damp air.
//!
//! Every output speaks of seasons from here, so that none contradicts another.

use super::causes::rises_in;
use super::{GradeTable, Verdict};
use crate::odds::posterior::Basis;
use crate::odds::simulate::Highest;
use crate::odds::view::View;
use crate::odds::water_year::first_highest;

/// One calendar month of an ordinary next year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonMonth {
    /// 1 to 12.
    pub month: u32,
    /// Chance (0 to 1) that ground water or its fringe wets the underside.
    pub contact: f64,
    /// Chance (0 to 1) that the floor is over its limit in this month with water that comes up.
    pub over_from_below: f64,
    /// The same with water that the air brings.
    pub over_from_air: f64,
    /// Of the floors that go over in the year, the share (0 to 1) that is over in this month;
    /// 0 where none goes over.
    pub over_share: f64,
    /// Chance (0 to 1) that the air dampens the floor: it sweats, or its surface is damp without
    /// water that comes up.
    pub damp_air: f64,
    /// Median level of the water table, m above the slab's underside.
    pub level_m: f64,
}

/// Which of the two seasons the floor has more to fear from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Threat {
    /// Water from below.
    WaterFromBelow,
    /// Damp air.
    DampAir,
}

/// When the floor is wet, and from where.
#[derive(Debug, Clone, PartialEq)]
pub struct WetSeasons {
    /// January first.
    pub months: [SeasonMonth; 12],
    /// Calendar months (1 to 12) in which water from below is likeliest, in the order of time;
    /// empty where the ground has no season.
    pub water: Vec<u32>,
    /// The same of damp air; empty where the air hardly ever dampens a floor.
    pub damp_air: Vec<u32>,
    /// Chance (0 to 1) to go over a limit with water from below in some month of the year.
    pub over_from_below: f64,
    /// The same with water that the air brings; a floor may do both.
    pub over_from_air: f64,
    /// The season that the floor has more to fear from; `None` where there is none.
    pub threat: Option<Threat>,
    /// Calendar month (1 to 12) of that season to test in, or to come back for.
    pub month_to_test: Option<u32>,
}

impl WetSeasons {
    /// Months (1 to 12) of the season that threatens, in the order of time.
    pub fn threatening(&self) -> &[u32] {
        match self.threat {
            Some(Threat::WaterFromBelow) => &self.water,
            Some(Threat::DampAir) => &self.damp_air,
            None => &[],
        }
    }

    /// The month (1 to 12) of a season with its highest chance, and that chance; `None` for a
    /// season that the place does not have.
    pub fn likeliest(&self, of: Threat) -> Option<(u32, f64)> {
        let (season, value): (&[u32], fn(&SeasonMonth) -> f64) = match of {
            Threat::WaterFromBelow => (&self.water, |it| it.contact),
            Threat::DampAir => (&self.damp_air, |it| it.damp_air),
        };
        season
            .iter()
            .map(|it| (*it, value(&self.months[*it as usize - 1])))
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
    }
}

impl Verdict {
    /// What the shown numbers are weighed by: for a held reading the answers alone.
    pub fn basis(&self) -> Basis {
        if self.held {
            Basis::Answers
        } else {
            Basis::Readings
        }
    }
}

/// Tells the seasons of a floor.
pub fn wet_seasons(view: View) -> WetSeasons {
    let table = GradeTable::bundled();
    let posterior = view.posterior;
    let mut months: [SeasonMonth; 12] = std::array::from_fn(|month| SeasonMonth {
        month: month as u32 + 1,
        contact: 0.0,
        over_from_below: 0.0,
        over_from_air: 0.0,
        over_share: 0.0,
        damp_air: 0.0,
        level_m: view.median(|draw| posterior.outcomes[draw].next_level_m[month]),
    });
    let (mut below, mut air, mut ever) = (0.0, 0.0, 0.0);
    for (draw, (outcome, weight)) in posterior.outcomes.iter().zip(view.weights()).enumerate() {
        if *weight <= 0.0 {
            continue;
        }
        for (month, at) in outcome.next_year.iter().enumerate() {
            if at.contact > table.contact_counts {
                months[month].contact += weight;
            }
            let sweats = at.flux < 0.0 && at.shed > 0.0;
            if sweats || !rises_in(outcome, month) && at.surface_humidity > table.air_damp_humidity
            {
                months[month].damp_air += weight;
            }
        }
        // Most floors are far from any limit in every month.
        let over = |month: usize| {
            posterior.over(
                view.scale(draw),
                Highest::of_month(&outcome.next_year[month]),
            )
        };
        let most = posterior.over_next_year(draw, view.scale(draw));
        if weight * most < table.season_negligible {
            continue;
        }
        ever += weight * most;
        let (mut most_below, mut most_air) = (0.0_f64, 0.0_f64);
        for month in 0..12 {
            let chance = over(month);
            let sums = &mut months[month];
            sums.over_share += weight * chance;
            if rises_in(outcome, month) {
                sums.over_from_below += weight * chance;
                most_below = most_below.max(chance);
            } else {
                sums.over_from_air += weight * chance;
                most_air = most_air.max(chance);
            }
        }
        below += weight * most_below;
        air += weight * most_air;
    }
    for it in &mut months {
        it.over_share = if ever > 0.0 {
            it.over_share / ever
        } else {
            0.0
        };
    }
    let sums = OverSums {
        ever,
        below,
        air,
        from_below: super::from_below(view),
    };
    conclude(months, sums)
}

/// Chances (0 to 1) of the next year as a whole.
struct OverSums {
    /// Of going over a limit in some month.
    ever: f64,
    /// Of going over with water from below.
    below: f64,
    /// Of going over with water that the air brings.
    air: f64,
    /// That the wettest month comes from below.
    from_below: f64,
}

/// The seasons from the chances of the months and of the year.
fn conclude(months: [SeasonMonth; 12], sums: OverSums) -> WetSeasons {
    let OverSums {
        ever,
        below,
        air,
        from_below,
    } = sums;
    let table = GradeTable::bundled();
    let of = |value: fn(&SeasonMonth) -> f64| months.each_ref().map(value);
    // Water from below: contact, and being over with it, each against its own likeliest month.
    let contact = shares_of_most(&of(|it| it.contact), table.season_least_chance);
    let over = shares_of_most(&of(|it| it.over_from_below), table.season_least_over);
    let level = level_shares(&of(|it| it.level_m), table.season_least_swing_m);
    let water = match (contact, over) {
        (Some(contact), Some(over)) => {
            let both: [f64; 12] = std::array::from_fn(|at| contact[at] + over[at]);
            shares_of_most(&both, 0.0)
        }
        (Some(only), None) | (None, Some(only)) => Some(only),
        // Where water hardly ever comes, the months in which it stands highest.
        (None, None) => level,
    };
    let damp = shares_of_most(&of(|it| it.damp_air), table.season_least_chance);
    let dampest = shares_of_most(&of(|it| it.over_from_air), table.season_least_over).or(damp);
    // What lasts the year round is no season.
    let season = |shares: Option<[f64; 12]>, least: f64| {
        let months = shares.map_or_else(Vec::new, |it| around_highest(&it, least));
        Some(months).filter(|it| (it.len() as f64) < table.no_season_months)
    };
    let mut water_season = season(water, table.season_share).unwrap_or_default();
    let mut damp_season = season(damp, table.damp_season_share).unwrap_or_default();
    let most_of_it = air >= table.air_threatens * (below + air);
    let wettest_by_air = air > below && from_below <= 1.0 - table.mostly_one_side;
    // A floor is told to watch the months in which floors like it are over, whatever wets them:
    // a slab that gives off ground moisture all year goes over when the air stops drying it.
    let most_over = |season: &[u32]| {
        let shares = season.iter().map(|it| months[*it as usize - 1].over_share);
        shares.fold(0.0, f64::max)
    };
    let tells_months = ever >= table.season_least_over;
    let damp_over = most_over(&damp_season);
    let over_in_damp_air = tells_months
        && damp_over > 0.0
        && damp_over >= table.season_outweighs * most_over(&water_season);
    let air_leads = below + air > 0.0 && (most_of_it || wettest_by_air) || over_in_damp_air;
    let threat = match (water_season.is_empty(), damp_season.is_empty()) {
        (true, true) => None,
        (true, false) => Some(Threat::DampAir),
        (false, true) => Some(Threat::WaterFromBelow),
        (false, false) if air_leads => Some(Threat::DampAir),
        (false, false) => Some(Threat::WaterFromBelow),
    };
    let mut threat = threat;
    let mut to_test = match threat {
        Some(Threat::WaterFromBelow) => water,
        Some(Threat::DampAir) if over_in_damp_air => {
            let within = |it: &SeasonMonth| f64::from(u8::from(damp_season.contains(&it.month)));
            Some(months.each_ref().map(|it| it.over_share * within(it)))
        }
        Some(Threat::DampAir) => dampest
            .filter(|it| damp_season.contains(&month_of(it)))
            .or(damp),
        None => None,
    };
    // Where neither season has the months in which floors like it are over, those months are the
    // season, of whatever wets them.
    let over_shares = of(|it| it.over_share);
    let peak = first_highest(&over_shares);
    let watched = match threat {
        Some(Threat::WaterFromBelow) => &water_season,
        Some(Threat::DampAir) => &damp_season,
        None => &Vec::new(),
    };
    let elsewhere = over_shares[peak] >= table.season_outweighs * most_over(watched);
    let run = season(
        shares_of_most(&over_shares, f64::MIN_POSITIVE),
        table.damp_season_share,
    );
    let is_told = ever >= table.season_told_from && elsewhere;
    if let Some(run) = run.filter(|it| is_told && !it.is_empty()) {
        let rises = months[peak].over_from_below >= months[peak].over_from_air;
        if rises {
            (water_season, threat) = (run, Some(Threat::WaterFromBelow));
        } else {
            (damp_season, threat) = (run, Some(Threat::DampAir));
        }
        to_test = Some(over_shares);
    }
    WetSeasons {
        water: water_season,
        damp_air: damp_season,
        over_from_below: below,
        over_from_air: air,
        threat,
        month_to_test: to_test.map(|it| month_of(&it)),
        months,
    }
}

/// Each month's value over the highest one; `None` where that is under `least`.
fn shares_of_most(values: &[f64; 12], least: f64) -> Option<[f64; 12]> {
    let most = values[first_highest(values)];
    (most >= least).then(|| values.map(|it| it / most))
}

/// Levels from the lowest (0) to the highest (1); `None` where they hardly swing.
fn level_shares(levels_m: &[f64; 12], least_m: f64) -> Option<[f64; 12]> {
    let most = levels_m[first_highest(levels_m)];
    let lowest = levels_m.iter().copied().fold(f64::INFINITY, f64::min);
    (most - lowest >= least_m).then(|| levels_m.map(|it| (it - lowest) / (most - lowest)))
}

/// The calendar month (1 to 12) of the highest value.
fn month_of(values: &[f64; 12]) -> u32 {
    first_highest(values) as u32 + 1
}

/// Calendar months (1 to 12) of a season, in the order of time: the run about the highest month
/// in which every month has at least the share `least`.
fn around_highest(shares: &[f64; 12], least: f64) -> Vec<u32> {
    let peak = first_highest(shares);
    let run = |step: usize| {
        (1..12)
            .take_while(|it| shares[(peak + it * step) % 12] >= least)
            .count()
    };
    // Eleven months on is one month back.
    let (after, before) = (run(1), run(11));
    if before + after >= 11 {
        return (1..=12).collect();
    }
    (0..=before + after)
        .map(|it| ((peak + 12 - before + it) % 12) as u32 + 1)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn month(month: u32, contact: f64, below: f64, air: f64, damp_air: f64) -> SeasonMonth {
        SeasonMonth {
            month,
            contact,
            over_from_below: below,
            over_from_air: air,
            over_share: 0.0,
            damp_air,
            level_m: -1.0,
        }
    }

    /// Source: by hand. Contact in March and April, floors over from April to June: the mean of
    /// both shares is highest in April; the air is damp in July and August.
    #[test]
    fn two_seasons_are_told_apart() {
        let made: [SeasonMonth; 12] = std::array::from_fn(|at| match at {
            2 => month(3, 0.6, 0.30, 0.0, 0.0),
            3 => month(4, 0.6, 0.40, 0.0, 0.0),
            4 => month(5, 0.45, 0.40, 0.0, 0.0),
            6 | 7 => month(at as u32 + 1, 0.1, 0.0, 0.05, 0.2),
            _ => month(at as u32 + 1, 0.1, 0.05, 0.0, 0.0),
        });
        let of_year = |below: f64, air: f64, from_below: f64| OverSums {
            ever: below + air,
            below,
            air,
            from_below,
        };
        let res = conclude(made, of_year(0.4, 0.05, 0.9));
        assert_eq!(res.water, [3, 4, 5]);
        assert_eq!(res.damp_air, [7, 8]);
        assert_eq!(res.threat, Some(Threat::WaterFromBelow));
        assert_eq!(res.month_to_test, Some(4));
        assert_eq!(res.likeliest(Threat::DampAir), Some((7, 0.2)));
        // With hardly any water the air threatens, and July is the month to test in.
        let res = conclude(made, of_year(0.001, 0.05, 0.1));
        assert_eq!(res.threat, Some(Threat::DampAir));
        assert_eq!(res.month_to_test, Some(7));
        // Water from below, but the floors that go over are over in August: that is the month.
        let mut in_august = made;
        (in_august[3].over_share, in_august[7].over_share) = (0.2, 0.9);
        let res = conclude(in_august, of_year(0.4, 0.05, 0.9));
        assert_eq!(res.threat, Some(Threat::DampAir));
        assert_eq!(res.month_to_test, Some(8));
        assert_eq!(res.water, [3, 4, 5]);
    }

    /// A dry place has neither season, and nothing to wait for.
    #[test]
    fn a_dry_place_has_no_season() {
        let made: [SeasonMonth; 12] =
            std::array::from_fn(|at| month(at as u32 + 1, 0.0, 0.0, 0.0, 0.0));
        let nowhere = OverSums {
            ever: 0.0,
            below: 0.0,
            air: 0.0,
            from_below: 0.5,
        };
        let res = conclude(made, nowhere);
        assert!(res.water.is_empty() && res.damp_air.is_empty());
        assert_eq!((res.threat, res.month_to_test), (None, None));
    }

    /// A season around the turn of the year is told from its first month on; a second hump is not
    /// part of it.
    #[test]
    fn a_winter_season_starts_in_december() {
        let mut shares = [0.1; 12];
        (shares[11], shares[0], shares[1], shares[6]) = (0.9, 1.0, 0.9, 0.9);
        assert_eq!(around_highest(&shares, 0.85), [12, 1, 2]);
        assert_eq!(around_highest(&[1.0; 12], 0.85).len(), 12);
    }
}
