//! A floor with what was stated of it and what was read later.

use super::scores::Came;
use super::statement::MonthStated;

/// A later reading beside what was stated of its month.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingScored {
    /// 1 to 12.
    pub month: u32,
    /// Mean of the day's spots, % by weight.
    pub percent: f64,
    /// What was stated of that month.
    pub stated: MonthStated,
}

/// A floor with a sealed statement and a later reading or more.
#[derive(Debug, Clone, PartialEq)]
pub struct FloorScored {
    /// Region of `tables/regions.csv`.
    pub region: String,
    /// Levels (0 to 1) of the stated bands, rising.
    pub levels: Vec<f64>,
    /// Meter limit of the events, percent by mass; none where no meter limit was in use.
    pub limit: Option<f64>,
    /// The reading that was known, and its month, 1 to 12.
    pub last: Option<(f64, u32)>,
    /// Later readings by day; at least one.
    pub readings: Vec<ReadingScored>,
}

impl FloorScored {
    /// The one reading by which the floor counts for the chances: of those taken, the first in
    /// the month whose stated chance was the highest. What came has no part in the choice.
    pub fn event(&self) -> Option<(&ReadingScored, Came)> {
        let limit = self.limit?;
        let mut best: Option<&ReadingScored> = None;
        for it in &self.readings {
            let chance = it.stated.over?;
            if best.is_none_or(|before| chance > before.stated.over.unwrap_or(0.0)) {
                best = Some(it);
            }
        }
        best.map(|it| (it, Came::of(it.percent > limit)))
    }

    /// What a rule may look at for one reading.
    pub fn features(&self, it: &ReadingScored) -> Option<Features> {
        let (last, last_month) = self.last?;
        Some(Features {
            over_limit: last - self.limit.unwrap_or(0.0),
            last,
            month: it.month,
            last_month,
        })
    }
}

/// What a rule may look at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Features {
    /// The reading that was known less the limit, % by weight.
    pub over_limit: f64,
    /// The reading that was known, percent by mass.
    pub last: f64,
    /// Month that is told and month of the reading that was known, 1 to 12.
    pub month: u32,
    /// Month of the reading that was known, 1 to 12.
    pub last_month: u32,
}
