//! When to read a floor again: the month in which one more reading tells most.

use super::LedgerTable;
use super::headline::HeadlineStated;
use super::months::{month_after, month_name};
use crate::odds::posterior::Basis;
use crate::odds::posterior::Posterior;
use crate::report::Report;
use crate::rules::asks_for_depth;
use crate::survey::Visit;
use crate::units::rounded;
use crate::verdict::return_visit::worth_of_return;
use crate::verdict::{Grade, GradeTable};
use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};

/// Why a floor is visited again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// The reading is held; a new one opens the way.
    Held,
    /// No meter on the surface releases it, as on a new slab: a test at depth is due.
    Depth,
    /// It was never read.
    NotRead,
    /// One more reading may settle it.
    Tells,
    /// The chance is low or high enough already.
    Settled,
    /// No month tells enough.
    TellsLittle,
    /// Bare it is settled and low; under the system quoted it is not.
    Coating,
    /// It is wet for sure: its water is to be found.
    Wet,
    /// It was over its limit that day, from something that may pass: read again soon.
    OverToday,
    /// It was over its limit that day, and waiting alone tells nothing: its water is stopped first.
    StopWater,
}

impl Why {
    /// The word of the file.
    pub fn word(self) -> &'static str {
        match self {
            Why::Held => "held",
            Why::Depth => "depth",
            Why::NotRead => "not_read",
            Why::Tells => "tells",
            Why::Settled => "settled",
            Why::TellsLittle => "tells_little",
            Why::Coating => "coating",
            Why::Wet => "wet",
            Why::OverToday => "over_today",
            Why::StopWater => "stop_water",
        }
    }

    /// Whether it waits for a day and not for a month.
    pub fn waits_for_a_day(self) -> bool {
        matches!(
            self,
            Why::Held | Why::Depth | Why::OverToday | Why::StopWater
        )
    }

    /// Whether one more reading with a meter is what it asks for.
    pub fn asks_for_a_reading(self) -> bool {
        match self {
            Why::Held | Why::NotRead | Why::Tells | Why::OverToday => true,
            Why::Depth
            | Why::Settled
            | Why::TellsLittle
            | Why::Coating
            | Why::Wet
            | Why::StopWater => false,
        }
    }
}

/// One month of the year ahead.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AgainMonth {
    /// "2027-04".
    pub month: String,
    /// Share of floors like this one that a reading in this month settles.
    pub settles: f64,
    /// Expected Brier score after it.
    pub brier: f64,
}

/// The month in which one more reading tells most, and what it is worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Again {
    /// Why the visit is worth the drive, or why it is not.
    pub why: Why,
    /// First and last day.
    pub from: NaiveDate,
    /// The last day.
    pub to: NaiveDate,
    /// Chance now that the wettest month goes over.
    pub chance: f64,
    /// Expected Brier score of a quote on what is known now.
    pub brier_now: f64,
    /// The best month's.
    pub settles: f64,
    /// Expected Brier score after a reading in the best month, 0 to 1; 0 is best.
    pub brier: f64,
    /// The chance after a reading in this month, as means of twentieths, lowest first.
    pub chances: Vec<f64>,
    /// All twelve, from the one after the visit.
    pub months: Vec<AgainMonth>,
    /// The headline of the result.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub headline: Option<HeadlineStated>,
}

impl Again {
    /// Whether it waits for a day and not for a month.
    pub fn waits_for_a_day(&self) -> bool {
        self.why.waits_for_a_day()
    }

    /// As it was kept. A floor that was over its limit that day waits for no month: older versions
    /// named one where no day was told.
    #[cfg(feature = "terminal")]
    pub(super) fn of_text(text: &str) -> Option<Self> {
        let kept: Self = serde_json::from_str(text).ok()?;
        let is_over = kept.headline.as_ref().is_some_and(|it| it.is_over_today());
        if !is_over || kept.waits_for_a_day() {
            return Some(kept);
        }
        let first = kept.months.first().map(|it| format!("{}-01", it.month));
        let first = first.and_then(|it| it.parse().ok()).unwrap_or(kept.from);
        Some(Self {
            why: Why::StopWater,
            from: first,
            to: first,
            ..kept
        })
    }

    /// Whether the floor stands on the list of return visits: also where no reading tells much
    /// and the headline is worse than low.
    pub fn is_due(&self) -> bool {
        let leads = self.headline.as_ref().is_some_and(|it| it.grade != "low");
        match self.why {
            Why::Held
            | Why::Depth
            | Why::NotRead
            | Why::Tells
            | Why::Coating
            | Why::Wet
            | Why::OverToday
            | Why::StopWater => true,
            Why::TellsLittle => leads,
            Why::Settled => false,
        }
    }
}

/// When to read again; none for a floor that is refused.
pub fn again(visit: &Visit, report: &Report, posterior: &Posterior) -> Option<Again> {
    if report.refused {
        return None;
    }
    let basis = if report.held {
        Basis::Answers
    } else {
        Basis::Readings
    };
    let worth = worth_of_return(posterior.by(basis));
    let months: Vec<(NaiveDate, AgainMonth)> = (1..=12)
        .map(|ahead| {
            let first = month_after(visit.visit_date, ahead);
            let it = worth.months[first.month0() as usize];
            let told = AgainMonth {
                month: month_name(first),
                settles: rounded(it.settles),
                brier: rounded(it.brier),
            };
            (first, told)
        })
        .collect();
    // The month that the screen names.
    let to_go = worth.month_to_go(report.wettest_month);
    let (first, best) = months
        .iter()
        .find(|it| it.0.month() == to_go)
        .expect("twelve months hold every month");
    let retest = report.gates.iter().filter_map(|it| it.retest_after).max();
    // The day that the screen names for a floor over its limit.
    let soon = report.day_after_over();
    let has_reading = !posterior.observations.is_empty();
    let gates = report.gates.iter().map(|it| it.id.as_str());
    let why = if report.held && asks_for_depth(gates) {
        Why::Depth
    } else if soon.is_some() {
        Why::OverToday
    } else if report.is_over_today() {
        Why::StopWater
    } else if report.held {
        Why::Held
    } else if !has_reading {
        Why::NotRead
    } else if report.is_the_coating() {
        Why::Coating
    } else if is_settled(worth.chance) && report.headline.grade <= Some(Grade::Low) {
        Why::Settled
    } else if worth.chance >= GradeTable::bundled().settled_high {
        Why::Wet
    } else if best.settles < LedgerTable::bundled().worth_a_visit {
        Why::TellsLittle
    } else {
        Why::Tells
    };
    let month_end = |first: NaiveDate| month_after(first, 1).pred_opt().unwrap_or(first);
    let wettest = || {
        let mut all = months.iter().map(|it| it.0);
        all.find(|it| it.month() == report.wettest_month)
    };
    let (from, to) = match (retest.filter(|_| report.held).or(soon), why) {
        (Some(day), _) => (day, month_end(day)),
        // Nothing is to be waited for.
        (None, Why::StopWater) => (visit.visit_date, visit.visit_date),
        // A test before a coating is of the wettest month.
        (None, Why::Coating) => {
            let month = wettest().unwrap_or(*first);
            (month, month_end(month))
        }
        (None, _) => (*first, month_end(*first)),
    };
    Some(Again {
        why,
        from,
        to: to.max(from),
        chance: rounded(worth.chance),
        brier_now: rounded(worth.brier),
        settles: best.settles,
        brier: best.brier,
        chances: worth.months[first.month0() as usize]
            .chances
            .map(rounded)
            .to_vec(),
        months: months.into_iter().map(|it| it.1).collect(),
        headline: HeadlineStated::of_report(report),
    })
}

/// Whether a chance is low or high enough that no reading is needed.
fn is_settled(chance: f64) -> bool {
    let table = GradeTable::bundled();
    chance < table.settled_low || chance >= table.settled_high
}
