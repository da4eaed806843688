//! Ways forward by a contractor's own costs. Without such a file nothing is said about money.

use super::LedgerTable;
use super::again::{Again, Why, again};
use super::error::LedgerError;
use super::months::month_name;
use crate::odds::evidence::meter_sd;
use crate::odds::posterior::Posterior;
use crate::report::{
    CostsSaid, LeftOut, LeftOutFor, NotPriced, OptionCost, Report, ReturnCost, WaySaid,
};
use crate::survey::Visit;
use crate::units::rounded;
use crate::verdict::ways::{Way, Ways};
use crate::verdict::{GradeTable, Verdict};
use chrono::{Datelike, NaiveDate};
use serde::Deserialize;

/// A cost: one number, or a low and a high one.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Cost {
    /// One number, 0 and up.
    One(f64),
    /// The low and the high number, 0 and up.
    Between([f64; 2]),
}

impl Cost {
    fn ends(self) -> [f64; 2] {
        match self {
            Cost::One(it) => [it, it],
            Cost::Between(it) => it,
        }
    }

    fn middle(self) -> f64 {
        let [low, high] = self.ends();
        0.5 * (low + high)
    }
}

/// What things cost whoever asks, in any currency.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Costs {
    /// Taking a failed coating off and doing it over.
    pub failed_coating: Cost,
    /// A job that is lost because the floor is left bare or declined.
    pub lost_job: Option<Cost>,
    /// Driving out for one more reading.
    pub return_visit: Option<Cost>,
    /// A test in the wettest month before a film.
    pub test: Option<Cost>,
    /// Drying with a machine before a film.
    pub drying: Option<Cost>,
    /// A moisture-tolerant primer under the film.
    pub primer: Option<Cost>,
    /// A moisture mitigation membrane under the film.
    pub membrane: Option<Cost>,
    /// A breathable finish in place of the film.
    pub breathable: Option<Cost>,
    /// Gutters and grading set right.
    pub gutters: Option<Cost>,
    /// A drain set right.
    pub drain: Option<Cost>,
}

/// The file with `"$6,000"` as 6000: money as people write it.
fn plain_numbers(text: &str) -> Result<String, LedgerError> {
    let Ok(mut table) = text.parse::<toml::Table>() else {
        // Its fault is told where it is read.
        return Ok(text.to_string());
    };
    let plain = |it: &mut toml::Value| -> Result<(), LedgerError> {
        if let toml::Value::String(given) = it {
            let bare: String = given
                .chars()
                .filter(|it| !matches!(it, '$' | ',' | ' '))
                .collect();
            let number: f64 = bare.parse().map_err(|_| {
                LedgerError::say_with("costs.error.number", &[("given", given.as_str())])
            })?;
            *it = toml::Value::Float(number);
        }
        Ok(())
    };
    for (_, value) in table.iter_mut() {
        match value {
            toml::Value::Array(ends) => ends.iter_mut().try_for_each(plain)?,
            one => plain(one)?,
        }
    }
    Ok(table.to_string())
}

impl Costs {
    /// Reads a file of costs.
    ///
    /// # Errors
    ///
    /// No cost of a failed coating, a name that is not known, a number under 0, a low over its
    /// high.
    pub fn parse(text: &str) -> Result<Self, LedgerError> {
        let costs: Self = toml::from_str(&plain_numbers(text)?).map_err(|it| {
            LedgerError::say_with("costs.error.file", &[("why", it.to_string().trim())])
        })?;
        let all = [
            ("failed_coating", Some(costs.failed_coating)),
            ("lost_job", costs.lost_job),
            ("return_visit", costs.return_visit),
            ("test", costs.test),
            ("drying", costs.drying),
            ("primer", costs.primer),
            ("membrane", costs.membrane),
            ("breathable", costs.breathable),
            ("gutters", costs.gutters),
            ("drain", costs.drain),
        ];
        for (name, it) in all {
            let Some([low, high]) = it.map(Cost::ends) else {
                continue;
            };
            if !(low >= 0.0 && high >= low && high.is_finite()) {
                let given = format!("{name} = {low} to {high}");
                return Err(LedgerError::say_with(
                    "costs.error.number",
                    &[("given", &given)],
                ));
            }
        }
        Ok(costs)
    }

    /// What a way costs before anything goes wrong.
    fn of_way(&self, way: Way) -> Option<Cost> {
        match way {
            Way::FilmNow => Some(Cost::One(0.0)),
            Way::FilmAfterTest => self.test,
            Way::FilmAfterDrying => self.drying,
            Way::Primer => self.primer,
            Way::Membrane => self.membrane,
            Way::Breathable => self.breathable,
            Way::FixOutside => self.gutters,
            Way::FixDrain => self.drain,
            Way::LeaveBare | Way::Decline => self.lost_job,
        }
    }
}

/// A way with what makes its expected cost.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Outlay {
    fixed: Cost,
    /// Chance that a job is lost since the way is not put down in the end.
    lost: f64,
    /// Chance that it is put down and fails.
    fails: f64,
}

impl Outlay {
    fn expected(self, money: Money) -> f64 {
        money.of(self.fixed) + self.lost * money.lost + self.fails * money.failed
    }
}

/// What a lost job and a failed coating cost, and which end of a range counts.
#[derive(Clone, Copy)]
struct Money {
    end: fn(Cost) -> f64,
    failed: f64,
    lost: f64,
}

impl Money {
    /// At one end of all ranges, or in their middle.
    fn at(end: fn(Cost) -> f64, failed: Cost, lost: Cost) -> Self {
        Self {
            end,
            failed: end(failed),
            lost: end(lost),
        }
    }

    fn of(self, cost: Cost) -> f64 {
        (self.end)(cost)
    }
}

/// What one sampled floor would read on a return visit, and what comes of each way on it. All
/// floors of a sample weigh the same.
#[derive(Debug, Clone, PartialEq)]
struct FloorThen {
    /// Middle of what the meter would read, % by weight.
    reads_percent: f64,
    /// One standard deviation about it, by the meter's scale and the noise of its spots.
    sd_percent: f64,
    /// Of each way in the order of the outlays.
    ways: Vec<WayThen>,
}

/// What comes of one way on one floor, 0 to 1 each.
#[derive(Debug, Clone, Copy, PartialEq)]
struct WayThen {
    /// By what share it is put down.
    put_down: f64,
    /// Chance that it fails once it is down.
    fails: f64,
}

/// What stops a film on the day of a return visit.
#[derive(Debug, Clone, Copy, PartialEq)]
struct FilmThen {
    /// Which of the ways it is.
    way: usize,
    /// The most that the meter may read, % by weight.
    limit_percent: f64,
}

/// One reading that may come, to the width of a bin.
#[derive(Debug, Clone, PartialEq)]
struct ReadingThen {
    /// How likely it is, 0 to 1; all sum to one.
    weight: f64,
    /// Chance, together with this reading, that the job is lost and that the coating fails, by
    /// way.
    ways: Vec<(f64, f64)>,
}

/// Bins of the smallest standard deviation of a reading.
const BINS_A_SD: f64 = 4.0;
/// Readings are followed so many standard deviations out.
const REACH_SD: f64 = 4.0;

/// Everything that a return visit may read, with what it would say of each way.
///
/// # Formula
///
/// Floors `i` of equal weight, each reading `y` with the density `N(y; r_i, s_i)`: a reading has
/// the weight `sum N_i / n`, and a way loses the job with `sum N_i (1 - d_i) / n` and fails with
/// `sum N_i d_i q_i / n`, where `d` is the share that is put down and `q` the chance that it then
/// fails. A film on a floor that reads over its limit that day counts as failed, as it does today.
///
/// # Source
///
/// raiffa-schlaifer-1961, preposterior analysis.
fn readings_then(floors: &[FloorThen], film: Option<FilmThen>) -> Vec<ReadingThen> {
    let reach = |it: &FloorThen| REACH_SD * it.sd_percent;
    let least_sd = floors
        .iter()
        .map(|it| it.sd_percent)
        .fold(f64::INFINITY, f64::min);
    let from = floors
        .iter()
        .map(|it| it.reads_percent - reach(it))
        .fold(f64::INFINITY, f64::min);
    let width = least_sd / BINS_A_SD;
    let ways = floors.first().map_or(0, |it| it.ways.len());
    let mut res: Vec<ReadingThen> = Vec::new();
    for floor in floors {
        let bin = |percent: f64| ((percent - from) / width) as usize;
        let (first, last) = (
            bin(floor.reads_percent - reach(floor)),
            bin(floor.reads_percent + reach(floor)),
        );
        while res.len() <= last {
            res.push(ReadingThen {
                weight: 0.0,
                ways: vec![(0.0, 0.0); ways],
            });
        }
        let middle = |at: usize| from + (at as f64 + 0.5) * width;
        let density = |at: usize| {
            let off = (middle(at) - floor.reads_percent) / floor.sd_percent;
            libm::exp(-0.5 * off * off)
        };
        let sum: f64 = (first..=last).map(density).sum();
        for (at, reading) in res.iter_mut().enumerate().take(last + 1).skip(first) {
            let part = density(at) / sum / floors.len() as f64;
            reading.weight += part;
            for (way, (it, all)) in floor.ways.iter().zip(&mut reading.ways).enumerate() {
                let is_over = film.is_some_and(|it| it.way == way && middle(at) > it.limit_percent);
                let fails = if is_over { 1.0 } else { it.fails };
                all.0 += part * (1.0 - it.put_down);
                all.1 += part * it.put_down * fails;
            }
        }
    }
    res
}

/// The way that is the cheapest of some after a reading, with what it costs, times the reading's
/// weight.
fn cheapest(ways: &[Outlay], reading: &ReadingThen, money: Money) -> (usize, f64) {
    let mut res = (0, f64::INFINITY);
    for (at, (way, (lost, fails))) in ways.iter().zip(&reading.ways).enumerate() {
        let cost = reading.weight * money.of(way.fixed) + lost * money.lost + fails * money.failed;
        if cost < res.1 {
            res = (at, cost);
        }
    }
    res
}

/// A return visit: its cost, and what it may read.
struct Returning {
    cost: Cost,
    readings: Vec<ReadingThen>,
}

/// Ways and the return visit, ready to be costed.
struct Compared {
    ways: Vec<(Way, Outlay)>,
    again: Option<Returning>,
    failed: Cost,
    lost: Cost,
}

/// A failed coating is tried up to so many times dearer and cheaper, in steps of a hundredth.
const TURNS_WITHIN: f64 = 100.0;

impl Compared {
    fn money(&self, end: fn(Cost) -> f64) -> Money {
        Money::at(end, self.failed, self.lost)
    }

    fn outlays(&self) -> Vec<Outlay> {
        self.ways.iter().map(|it| it.1).collect()
    }

    /// Expected cost of a return visit and of the cheapest way after it.
    fn returning(&self, again: &Returning, money: Money) -> f64 {
        let ways = self.outlays();
        let after = again.readings.iter();
        money.of(again.cost) + after.map(|it| cheapest(&ways, it, money).1).sum::<f64>()
    }

    /// What comes first, and what it costs: a way, or none for the return visit.
    fn first(&self, money: Money) -> Option<(Option<Way>, f64)> {
        let ways = self
            .ways
            .iter()
            .map(|(way, it)| (Some(*way), it.expected(money)));
        let again = self.again.iter().filter(|_| !self.ways.is_empty());
        ways.chain(again.map(|it| (None, self.returning(it, money))))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn options(&self) -> Vec<OptionCost> {
        let ends: [fn(Cost) -> f64; 2] = [|it| it.ends()[0], |it| it.ends()[1]];
        let middle = self.money(Cost::middle);
        let mut res: Vec<OptionCost> = self
            .ways
            .iter()
            .map(|(way, it)| {
                let [low, high] = ends.map(|end| it.expected(self.money(end)));
                let mean = it.lost * middle.lost + it.fails * middle.failed;
                let square =
                    it.lost * middle.lost * middle.lost + it.fails * middle.failed * middle.failed;
                OptionCost {
                    way: Some(*way),
                    expected: cents(it.expected(middle)),
                    low: cents(low),
                    high: cents(high),
                    spread: cents((square - mean * mean).max(0.0).sqrt()),
                    own: cents(it.fixed.middle()),
                }
            })
            .collect();
        if let Some(again) = self.again.as_ref().filter(|_| !self.ways.is_empty()) {
            let [low, high] = ends.map(|end| self.returning(again, self.money(end)));
            let expected = self.returning(again, middle);
            res.push(OptionCost {
                way: None,
                expected: cents(expected),
                low: cents(low),
                high: cents(high),
                spread: cents(self.spread_of_return(again, middle)),
                own: cents(again.cost.middle()),
            });
        }
        res.sort_by(|a, b| a.expected.total_cmp(&b.expected));
        res
    }

    /// Standard deviation of what one floor costs after a return visit: by what is read, and by
    /// what then comes of the way that is the cheapest.
    fn spread_of_return(&self, again: &Returning, money: Money) -> f64 {
        let ways = self.outlays();
        let (mut mean, mut square) = (0.0, 0.0);
        for reading in &again.readings {
            let best = cheapest(&ways, reading, money).0;
            let (lost, fails) = reading.ways[best];
            let own = money.of(ways[best].fixed);
            for (part, cost) in [
                (reading.weight - lost - fails, own),
                (lost, own + money.lost),
                (fails, own + money.failed),
            ] {
                mean += part * cost;
                square += part * cost * cost;
            }
        }
        (square - mean * mean).max(0.0).sqrt()
    }

    /// What a return visit is worth beside the cheapest way now.
    fn return_worth(&self) -> Option<(f64, f64)> {
        let again = self.again.as_ref()?;
        let money = self.money(Cost::middle);
        let ways = self.outlays();
        let (now, cost_now) = ways
            .iter()
            .map(|it| it.expected(money))
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1))?;
        let changes = again.readings.iter();
        let changes = changes
            .filter(|it| cheapest(&ways, it, money).0 != now)
            .map(|it| it.weight)
            .sum();
        let saves = cost_now - (self.returning(again, money) - money.of(again.cost));
        Some((changes, saves))
    }

    /// Own cost of a way at which it comes before the return visit, to the halves of a cent. A way
    /// that is cheaper makes the visit cheaper too, where it is taken after it, but never by more.
    fn turns_before_return(&self, way: Way) -> Option<f64> {
        let again = self.again.as_ref()?;
        let at = self.ways.iter().position(|it| it.0 == way)?;
        let money = self.money(Cost::middle);
        let is_before = |own: f64| {
            let mut tried = self.outlays();
            tried[at].fixed = Cost::One(own);
            let readings = again.readings.iter();
            let after: f64 = readings.map(|it| cheapest(&tried, it, money).1).sum();
            tried[at].expected(money) <= money.of(again.cost) + after
        };
        let (mut low, mut high) = (0.0, self.ways[at].1.fixed.middle());
        if !is_before(low) {
            return None;
        }
        while high - low > 0.005 {
            let middle = 0.5 * (low + high);
            if is_before(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(low)
    }

    /// The nearer of the two costs of a failed coating, up and down, at which another option
    /// comes first.
    fn turns_at_failed(&self) -> Option<f64> {
        let middle = self.money(Cost::middle);
        let first = self.first(middle)?.0;
        let changes = |factor: f64| {
            let failed = middle.failed * factor;
            self.first(Money { failed, ..middle })
                .is_some_and(|it| it.0 != first)
        };
        let mut factor = 1.0;
        while factor < TURNS_WITHIN {
            factor *= 1.01;
            for it in [factor, 1.0 / factor] {
                if changes(it) {
                    return Some(it * middle.failed);
                }
            }
        }
        None
    }
}

/// To the cent, the same on every machine.
fn cents(it: f64) -> f64 {
    (it * 100.0).round() / 100.0
}

/// Ways that somebody coats and pays for, in the order of the list, and those that are left out of
/// it, each with the reason.
fn options(report: &Report, costs: &Costs) -> (Vec<(Way, Outlay)>, Vec<LeftOut>) {
    let mut priced = Vec::new();
    let mut left_out = Vec::new();
    for it in &report.ways {
        match outlay(it, costs) {
            Ok(outlay) => priced.push((it.way, outlay)),
            Err(why) => left_out.push(LeftOut { way: it.way, why }),
        }
    }
    (priced, left_out)
}

/// What a way costs, or why it has no price here.
fn outlay(it: &WaySaid, costs: &Costs) -> Result<Outlay, LeftOutFor> {
    if it.not_allowed.is_some() {
        return Err(LeftOutFor::DataSheet);
    }
    if !it.makes_sense {
        return Err(LeftOutFor::NoSense);
    }
    let fixed = costs.of_way(it.way).ok_or(LeftOutFor::NoCost)?;
    if it.way.is_undone() {
        return Ok(Outlay {
            fixed,
            lost: 0.0,
            fails: 0.0,
        });
    }
    let lost = it.not_put_down;
    let fails = it.chance_5y.ok_or(LeftOutFor::TooFew)?;
    if lost > 0.0 && costs.lost_job.is_none() {
        return Err(LeftOutFor::NoLostJob);
    }
    Ok(Outlay {
        fixed,
        lost,
        fails: (1.0 - lost) * fails,
    })
}

/// The sampled floors as a return visit in a month (0 to 11) of the year ahead would find them.
fn floors_then(known: Known, compared: &Ways, options: &[(Way, Outlay)]) -> Vec<FloorThen> {
    let view = known.posterior.by(known.verdict.basis());
    let noise = meter_sd(GradeTable::bundled().return_spots);
    let month = known.month.month0() as usize;
    let ways: Vec<Vec<WayThen>> = options
        .iter()
        .map(|(way, _)| match way {
            // A job that is not done is lost by its own cost, and cannot fail.
            Way::LeaveBare | Way::Decline => {
                let none = WayThen {
                    put_down: 1.0,
                    fails: 0.0,
                };
                vec![none; compared.draws().len()]
            }
            _ => compared
                .of(*way)
                .on_each_floor()
                .map(|(put_down, fails)| WayThen { put_down, fails })
                .collect(),
        })
        .collect();
    compared
        .draws()
        .iter()
        .enumerate()
        .map(|(at, draw)| {
            let scale = view.scale(*draw);
            let snapshot = &known.posterior.outcomes[*draw].next_year[month];
            let dry_percent = 100.0 * snapshot.meter_fraction;
            FloorThen {
                reads_percent: scale.mean * dry_percent,
                sd_percent: libm::hypot(scale.sd * dry_percent, noise),
                ways: ways.iter().map(|it| it[at]).collect(),
            }
        })
        .collect()
}

/// What is known of a floor that is costed.
#[derive(Clone, Copy)]
struct Known<'a> {
    verdict: &'a Verdict,
    posterior: &'a Posterior,
    /// First day of the month to go back in.
    month: NaiveDate,
}

/// The month in which one more reading tells most; a floor over its limit is read before that,
/// and no model says what it reads within days.
fn month_of(report: &Report, again: &Again) -> NaiveDate {
    if matches!(again.why, Why::OverToday | Why::StopWater) {
        report.month_to_go().unwrap_or(again.from)
    } else {
        again.from
    }
}

/// Orders the ways by expected cost.
///
/// # Formula
///
/// Of a way: its own cost, plus the chance that it is not put down times a lost job, plus the
/// chance that it is put down and goes over its own limit within five years times a failed
/// coating. That over a limit is a failure is the cautious end: not every one is. Of a return
/// visit: its cost, plus the mean over what may be read of the cheapest way then, by the floors
/// that would read so. What the wait itself changes is left out, but for a film: it is held
/// against what is read that day.
pub fn costed(
    visit: &Visit,
    report: &Report,
    verdict: &Verdict,
    posterior: &Posterior,
    costs: &Costs,
) -> CostsSaid {
    let none = |why: NotPriced| CostsSaid {
        not_priced: Some(why),
        ..CostsSaid::default()
    };
    if report.refused {
        return none(NotPriced::Refused);
    }
    if report.held {
        return none(NotPriced::Held);
    }
    let (ways, left_out) = options(report, costs);
    let again = again(visit, report, posterior);
    let not_priced = if costs.return_visit.is_none() {
        Some(NotPriced::NoCost)
    } else if ways.is_empty() {
        Some(NotPriced::NoOption)
    } else {
        None
    };
    let returning = costs
        .return_visit
        .zip(again.as_ref().zip(verdict.ways.as_ref()))
        .map(|(cost, (again, compared))| {
            let known = Known {
                verdict,
                posterior,
                month: month_of(report, again),
            };
            let film = ways.iter().position(|it| it.0 == Way::FilmNow);
            let film = film
                .zip(report.limit.meter_percent)
                .map(|(way, limit_percent)| FilmThen { way, limit_percent });
            Returning {
                cost,
                readings: readings_then(&floors_then(known, compared, &ways), film),
            }
        });
    let compared = Compared {
        ways,
        again: returning.filter(|_| not_priced.is_none()),
        failed: costs.failed_coating,
        lost: costs.lost_job.unwrap_or(Cost::One(0.0)),
    };
    let worth = compared.return_worth();
    let mut res = said(&compared);
    res.not_priced = not_priced;
    res.left_out = left_out;
    res.is_first_reading = report.basis == crate::report::Basis::Answers;
    res.return_visit = again
        .zip(worth)
        .map(|(again, (changes, saves))| ReturnCost {
            month: month_name(month_of(report, &again)),
            changes: rounded(changes),
            changes_nothing: changes < LedgerTable::bundled().changes_least,
            worth: cents(saves),
        });
    res
}

fn said(compared: &Compared) -> CostsSaid {
    let options = compared.options();
    let (turns_at_failed, turns_at_second) = match options.as_slice() {
        [first, second, ..] => (
            compared.turns_at_failed().map(cents),
            match (first.way, second.way) {
                (None, Some(way)) => compared.turns_before_return(way),
                _ => Some(second.own - (second.expected - first.expected)),
            }
            .map(cents)
            .filter(|it| *it > 0.0),
        ),
        _ => (None, None),
    };
    CostsSaid {
        options,
        turns_upward: turns_at_failed.is_some_and(|it| it > compared.failed.middle()),
        turns_at_failed,
        turns_at_second,
        ..CostsSaid::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outlay(fixed: f64, fails: f64) -> Outlay {
        Outlay {
            fixed: Cost::One(fixed),
            lost: 0.0,
            fails,
        }
    }

    fn film_and_membrane(again: Option<Returning>) -> Compared {
        Compared {
            ways: vec![
                (Way::FilmNow, outlay(0.0, 0.3)),
                (Way::Membrane, outlay(3.0, 0.05)),
            ],
            again,
            failed: Cost::One(10.0),
            lost: Cost::One(0.0),
        }
    }

    fn floor(reads_percent: f64, film_fails: f64, membrane_fails: f64) -> FloorThen {
        let way = |fails: f64| WayThen {
            put_down: 1.0,
            fails,
        };
        FloorThen {
            reads_percent,
            sd_percent: 0.1,
            ways: vec![way(film_fails), way(membrane_fails)],
        }
    }

    fn returning(cost: f64, floors: &[FloorThen], film: Option<FilmThen>) -> Option<Returning> {
        Some(Returning {
            cost: Cost::One(cost),
            readings: readings_then(floors, film),
        })
    }

    /// Source: by hand. A film fails 0.3 times at 10: 3. A membrane of 3 fails 0.05 times: 3.5.
    /// The order turns where a failure costs 3 / (0.3 - 0.05) = 12, or a membrane 2.5. A failed
    /// film costs 10 three times in ten: a spread of sqrt(0.3 * 0.7) * 10.
    #[test]
    fn an_order_by_hand() {
        let said = said(&film_and_membrane(None));
        assert_eq!(said.options[0].way, Some(Way::FilmNow));
        assert_eq!(said.options[1].expected, 3.5);
        // Steps of a hundredth: up to that much beyond the turn.
        let turns = said.turns_at_failed.unwrap();
        assert!((12.0..12.13).contains(&turns), "{turns}");
        assert_eq!(said.turns_at_second, Some(2.5));
        assert_eq!(said.options[0].spread, 4.58);
    }

    /// Source: by hand. Five floors of ten read 2 % and none of their films fails; five read 4 %,
    /// six films of ten fail there and one membrane of ten. The noise of 0.1 parts them wholly.
    /// Now a film costs 0.3 x 10 = 3, a membrane 3 + 0.05 x 10 = 3.5. After a visit of 0.2: a film
    /// for nothing on half of them, a membrane for 3 + 0.1 x 10 = 4 on the others:
    /// 0.2 + (0 + 4) / 2 = 2.2, which comes first. It saves 3 - 2 = 1 before its own cost, and
    /// half of the readings change the option. One floor costs 0, 3 or 13 (one in twenty) beside
    /// the visit: mean 2, mean square 0.45 x 9 + 0.05 x 169 = 12.5, spread sqrt(12.5 - 4).
    #[test]
    fn a_return_visit_by_hand() {
        let floors = [floor(2.0, 0.0, 0.0), floor(4.0, 0.6, 0.1)];
        let compared = film_and_membrane(returning(0.2, &floors, None));
        let options = compared.options();
        assert_eq!(options[0].way, None);
        assert_eq!((options[0].expected, options[0].own), (2.2, 0.2));
        assert_eq!(options[0].spread, 2.92);
        let (changes, saves) = compared.return_worth().unwrap();
        assert!((changes - 0.5).abs() < 1e-9 && (saves - 1.0).abs() < 1e-9);
        // The film comes second. After the visit it is taken on half of the floors: costing c it
        // would come to 3 + c, the visit to 0.2 + c/2 + 2, so it never comes first. A membrane of
        // c comes to c + 0.5, the visit to 0.2 + (c + 1)/2, the same at c = 0.4.
        assert_eq!(compared.turns_before_return(Way::FilmNow), None);
        let turns = compared.turns_before_return(Way::Membrane).unwrap();
        assert!((turns - 0.4).abs() < 0.006, "{turns}");
        // A visit for a little more than it saves comes second to the film.
        let dear = film_and_membrane(returning(1.01, &floors, None));
        assert_eq!(dear.options()[0].way, Some(Way::FilmNow));
        assert_eq!(dear.options()[1].expected, 3.01);
    }

    /// Source: by hand. Floors that all read alike tell nothing: the visit costs its 0.2 on top of
    /// the film's 3, and no reading changes the option.
    #[test]
    fn a_reading_that_tells_nothing_costs_its_price() {
        let floors = [floor(3.0, 0.0, 0.0), floor(3.0, 0.6, 0.1)];
        let compared = film_and_membrane(returning(0.2, &floors, None));
        let (changes, saves) = compared.return_worth().unwrap();
        assert!(changes == 0.0 && saves.abs() < 1e-9, "{changes} {saves}");
        let options = compared.options();
        assert_eq!(options[0].way, Some(Way::FilmNow));
        assert_eq!((options[1].way, options[1].expected), (None, 3.2));
    }

    /// Source: by hand. Over the limit today a film has failed at once and costs 10, a membrane
    /// 3 + 0.05 x 10 = 3.5. Half of such floors read 2 % later, where no film fails, half 6 %, over
    /// the limit of 5 %, where a film fails at once, whatever it did in five years, and a membrane
    /// one time in ten: 0.2 + (0 + 4) / 2 = 2.2, and the visit comes first up to 1.5.
    #[test]
    fn over_the_limit_today_a_dry_reading_brings_the_film_back() {
        let floors = [floor(2.0, 0.0, 0.0), floor(6.0, 0.0, 0.1)];
        let film = FilmThen {
            way: 0,
            limit_percent: 5.0,
        };
        let mut compared = film_and_membrane(returning(0.2, &floors, Some(film)));
        compared.ways[0].1.fails = 1.0;
        let options = compared.options();
        assert_eq!((options[0].way, options[0].expected), (None, 2.2));
        let (changes, saves) = compared.return_worth().unwrap();
        assert!((changes - 0.5).abs() < 1e-9 && (saves - 1.5).abs() < 1e-9);
    }

    /// Source: by hand. Half of the floors stay under a test's limit and get their film (none
    /// fails); on the others the job of 4 is lost: 0.5 x 4 = 2 for the test, that costs nothing. A
    /// membrane costs 3 everywhere. After a reading that tells the two apart: nothing or 3, 1.5.
    #[test]
    fn a_lost_job_is_counted_after_the_visit_too() {
        let way = |put_down: f64| WayThen {
            put_down,
            fails: 0.0,
        };
        let floor = |reads_percent: f64, put_down: f64| FloorThen {
            reads_percent,
            sd_percent: 0.1,
            ways: vec![way(put_down), way(1.0)],
        };
        let test = Outlay {
            lost: 0.5,
            ..outlay(0.0, 0.0)
        };
        let compared = Compared {
            ways: vec![
                (Way::FilmAfterTest, test),
                (Way::Membrane, outlay(3.0, 0.0)),
            ],
            again: returning(0.0, &[floor(2.0, 1.0), floor(4.0, 0.0)], None),
            failed: Cost::One(10.0),
            lost: Cost::One(4.0),
        };
        let told: Vec<(Option<Way>, f64)> = compared
            .options()
            .iter()
            .map(|it| (it.way, it.expected))
            .collect();
        let wanted = [
            (None, 1.5),
            (Some(Way::FilmAfterTest), 2.0),
            (Some(Way::Membrane), 3.0),
        ];
        assert_eq!(told, wanted);
    }

    #[test]
    fn a_file_of_costs_is_read_or_refused() {
        let costs = Costs::parse(include_str!("../../examples/costs.toml")).unwrap();
        assert_eq!(costs.failed_coating.ends(), [6000.0, 12000.0]);
        let typed = Costs::parse("failed_coating = [\"$6,000\", 12000]\nlost_job = \"2,000\"");
        assert_eq!(typed.unwrap().failed_coating.ends(), [6000.0, 12000.0]);
        for bad in [
            "lost_job = 1",
            "failed_coating = -1",
            "failed_coating = [3, 2]",
            "failed_coating = 1\nx = 2",
            "failed_coating = \"dear\"",
        ] {
            assert!(Costs::parse(bad).is_err(), "{bad}");
        }
    }
}
