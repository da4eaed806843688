//! Ways forward by a contractor's own costs. Without such a file nothing is said about money.

use super::again::Again;
use super::error::LedgerError;
use crate::report::Report;
use crate::verdict::ways::Way;
use crate::words::{say, say_with};
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

/// A whole number with a comma at each thousand: 15,869.
fn with_commas(it: f64) -> String {
    let digits = format!("{:.0}", it.abs());
    let mut res = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at) % 3 == 0 {
            res.push(',');
        }
        res.push(digit);
    }
    if it < 0.0 { format!("-{res}") } else { res }
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
        let optional = [
            costs.lost_job,
            costs.return_visit,
            costs.test,
            costs.drying,
            costs.primer,
            costs.membrane,
            costs.breathable,
            costs.gutters,
            costs.drain,
        ];
        let all = optional.into_iter().flatten().chain([costs.failed_coating]);
        for it in all {
            let [low, high] = it.ends();
            if !(low >= 0.0 && high >= low && high.is_finite()) {
                let given = format!("{low} to {high}");
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
    fn expected(self, fixed: f64, failed: f64, lost: f64) -> f64 {
        fixed + self.lost * lost + self.fails * failed
    }
}

/// One line of the order.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    /// A way, or the return visit.
    pub name: String,
    /// Expected cost at the middle of all ranges.
    pub expected: f64,
    /// With all costs at their low and at their high ends.
    pub low: f64,
    /// Expected cost with all costs at their high ends.
    pub high: f64,
    /// Standard deviation of what one floor costs: most cost little and a few a lot.
    pub spread: f64,
    /// Cost of the way itself.
    own: f64,
}

/// The order of the ways, and where it turns.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Ways with a cost, the cheapest first.
    pub ranked: Vec<Ranked>,
    /// Cost of a failed coating at which the first two change places.
    pub turns_at_failed: Option<f64>,
    /// Cost of the second way at which it becomes the first.
    pub turns_at_second: Option<f64>,
}

/// Ways that somebody coats and pays for, in the order of the list; a floor that a data sheet
/// excludes from a way is left out of it.
fn options(report: &Report, costs: &Costs) -> Vec<(Way, Outlay)> {
    report
        .ways
        .iter()
        .filter(|it| it.not_allowed.is_none())
        .filter_map(|it| {
            let fixed = costs.of_way(it.way)?;
            let lost = it.not_put_down;
            if lost > 0.0 && costs.lost_job.is_none() {
                return None;
            }
            let option = match it.way {
                Way::LeaveBare | Way::Decline => Outlay {
                    fixed,
                    lost: 0.0,
                    fails: 0.0,
                },
                _ => Outlay {
                    fixed,
                    lost,
                    fails: (1.0 - lost) * it.chance_5y?,
                },
            };
            Some((it.way, option))
        })
        .collect()
}

/// Ways and the return visit, ready to be costed.
struct Compared {
    ways: Vec<(String, Outlay)>,
    again: Option<Returning>,
}

/// A return visit: its cost, the chance now, and the chances after it in even parts.
struct Returning {
    name: String,
    cost: Cost,
    chance: f64,
    chances: Vec<f64>,
}

/// Orders the ways by expected cost.
///
/// # Formula
///
/// Of a way: its own cost, plus the chance that it is not put down times a lost job, plus the
/// chance that it is put down and goes over its own limit within five years times a failed
/// coating. That over a limit is a failure is the cautious end: not every one is. Of a return
/// visit: its cost, plus the mean over what may be read of the cheapest way then, with each
/// way's chance moved in the ratio of the chance after the reading to the chance now.
pub fn order(report: &Report, again: Option<&Again>, costs: &Costs) -> Order {
    let ways = options(report, costs)
        .into_iter()
        .map(|(way, it)| (say(&format!("way.{}", way.word())).to_string(), it))
        .collect();
    let again = again
        .filter(|it| it.why.asks_for_a_reading() && it.chance > 0.0)
        .zip(costs.return_visit)
        .map(|(it, cost)| Returning {
            name: say_with(
                "costs.return_visit",
                &[(
                    "month",
                    &super::said::month_said(&super::months::month_name(it.from)),
                )],
            ),
            cost,
            chance: it.chance,
            chances: it.chances.clone(),
        });
    Compared { ways, again }.order(
        costs.failed_coating,
        costs.lost_job.unwrap_or(Cost::One(0.0)),
    )
}

/// A failed coating is tried up to so many times dearer and cheaper, in steps of a hundredth.
const TURNS_WITHIN: f64 = 100.0;

impl Compared {
    fn order(&self, failed: Cost, lost: Cost) -> Order {
        let ranked = self.ranked(failed, lost);
        let first = ranked.first().map(|it| it.name.clone()).unwrap_or_default();
        let changes = |factor: f64| {
            let tried = Cost::One(failed.middle() * factor);
            self.ranked(tried, Cost::One(lost.middle()))
                .first()
                .is_some_and(|it| it.name != first)
        };
        // The nearer of the two turns, up and down.
        let mut factor = 1.0;
        let mut turns_at_failed = None;
        while ranked.len() > 1 && factor < TURNS_WITHIN && turns_at_failed.is_none() {
            factor *= 1.01;
            turns_at_failed = [factor, 1.0 / factor]
                .into_iter()
                .find(|it| changes(*it))
                .map(|it| it * failed.middle());
        }
        let turns_at_second = match ranked.as_slice() {
            [first, second, ..] => {
                Some(second.own - (second.expected - first.expected)).filter(|it| *it > 0.0)
            }
            _ => None,
        };
        Order {
            ranked,
            turns_at_failed,
            turns_at_second,
        }
    }

    fn ranked(&self, failed: Cost, lost: Cost) -> Vec<Ranked> {
        let mut ranked: Vec<Ranked> = self
            .ways
            .iter()
            .map(|(name, it)| {
                let end = |at: usize| {
                    it.expected(it.fixed.ends()[at], failed.ends()[at], lost.ends()[at])
                };
                let (failed, lost) = (failed.middle(), lost.middle());
                let mean = it.lost * lost + it.fails * failed;
                let square = it.lost * lost * lost + it.fails * failed * failed;
                Ranked {
                    name: name.clone(),
                    expected: it.expected(it.fixed.middle(), failed, lost),
                    low: end(0),
                    high: end(1),
                    spread: (square - mean * mean).max(0.0).sqrt(),
                    own: it.fixed.middle(),
                }
            })
            .collect();
        if let Some(again) = self.again.as_ref().filter(|_| !self.ways.is_empty()) {
            let cheapest = |chance: f64, end: fn(Cost) -> f64| {
                self.ways
                    .iter()
                    .map(|(_, it)| {
                        let fails = (it.fails * chance / again.chance).min(1.0 - it.lost);
                        let moved = Outlay { fails, ..*it };
                        moved.expected(end(it.fixed), end(failed), end(lost))
                    })
                    .fold(f64::INFINITY, f64::min)
            };
            let count = again.chances.len().max(1) as f64;
            let mean = |end: fn(Cost) -> f64| {
                let sum: f64 = again.chances.iter().map(|it| cheapest(*it, end)).sum();
                end(again.cost) + sum / count
            };
            let expected = mean(Cost::middle);
            let off = |chance: &f64| {
                let it = again.cost.middle() + cheapest(*chance, Cost::middle) - expected;
                it * it
            };
            ranked.push(Ranked {
                name: again.name.clone(),
                expected,
                low: mean(|it| it.ends()[0]),
                high: mean(|it| it.ends()[1]),
                spread: (again.chances.iter().map(off).sum::<f64>() / count).sqrt(),
                own: again.cost.middle(),
            });
        }
        ranked.sort_by(|a, b| a.expected.total_cmp(&b.expected));
        ranked
    }
}

/// The order as text. It names no price to charge.
pub fn order_text(order: &Order, width: usize) -> String {
    let whole = with_commas;
    let mut lines = vec![say("costs.title").to_string()];
    for (at, it) in order.ranked.iter().enumerate() {
        let is_fixed = it.spread < 0.5 && it.low.round() == it.high.round();
        let key = if is_fixed {
            "costs.line_fixed"
        } else {
            "costs.line"
        };
        lines.push(say_with(
            key,
            &[
                ("number", &(at + 1).to_string()),
                ("way", &it.name),
                ("expected", &whole(it.expected)),
                ("low", &whole(it.low)),
                ("high", &whole(it.high)),
                ("spread", &whole(it.spread)),
            ],
        ));
    }
    if let [first, second, ..] = order.ranked.as_slice() {
        let names = [("first", first.name.as_str()), ("second", &second.name)];
        let mut turn = |key: &str, cost: Option<f64>| {
            if let Some(cost) = cost {
                let mut blanks = names.to_vec();
                let cost = whole(cost);
                blanks.push(("cost", &cost));
                lines.push(say_with(key, &blanks));
            }
        };
        turn("costs.turns_at_failed", order.turns_at_failed);
        turn("costs.turns_at_second", order.turns_at_second);
    } else {
        lines.push(say("costs.too_few").to_string());
    }
    lines.push(say("costs.how").to_string());
    super::said::filled(&lines, width)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: by hand. A film fails 0.3 times at 10: 3. A membrane of 3 fails 0.05 times: 3.5.
    /// The order turns where a failure costs 3 / (0.3 - 0.05) = 12, or a membrane 2.5. After a
    /// return visit of 0.2 the chance is 0 or 0.6 alike: half of the time a film for nothing,
    /// half a membrane of 3 that fails 0.1 times: 0.2 + (0 + 4)/2 = 2.2, the cheapest of all.
    #[test]
    fn an_order_by_hand() {
        let outlay = |fixed: f64, fails: f64| Outlay {
            fixed: Cost::One(fixed),
            lost: 0.0,
            fails,
        };
        let mut compared = Compared {
            ways: vec![
                ("film".to_string(), outlay(0.0, 0.3)),
                ("membrane".to_string(), outlay(3.0, 0.05)),
            ],
            again: None,
        };
        let (failed, lost) = (Cost::One(10.0), Cost::One(0.0));
        let order = compared.order(failed, lost);
        assert_eq!(order.ranked[0].name, "film");
        assert!((order.ranked[1].expected - 3.5).abs() < 1e-9);
        // Steps of a hundredth: up to that much beyond the turn.
        let turns = order.turns_at_failed.unwrap();
        assert!((12.0..12.13).contains(&turns), "{turns}");
        assert!((order.turns_at_second.unwrap() - 2.5).abs() < 1e-9);
        // A failed film costs 10 three times in ten: sqrt(0.3 * 0.7) * 10.
        assert!((order.ranked[0].spread - 4.582_575_695).abs() < 1e-6);
        compared.again = Some(Returning {
            name: "return".to_string(),
            cost: Cost::One(0.2),
            chance: 0.3,
            chances: vec![0.0, 0.6],
        });
        let order = compared.order(failed, lost);
        assert_eq!(order.ranked[0].name, "return");
        assert!((order.ranked[0].expected - 2.2).abs() < 1e-9);
    }

    #[test]
    fn a_file_of_costs_is_read_or_refused() {
        let costs = Costs::parse(include_str!("../../examples/costs.toml")).unwrap();
        assert_eq!(costs.failed_coating.ends(), [6000.0, 12000.0]);
        let typed = Costs::parse("failed_coating = [\"$6,000\", 12000]\nlost_job = \"2,000\"");
        assert_eq!(typed.unwrap().failed_coating.ends(), [6000.0, 12000.0]);
        assert_eq!(
            [999.0, 15869.0, 1234567.0].map(with_commas),
            ["999", "15,869", "1,234,567"]
        );
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
