//! Ways forward by a contractor's own costs, as the document tells them.

use super::paper::Block;
use super::said::{capital, joined, month_year_in};
use super::{CostsSaid, LeftOut, LeftOutFor, MonthOfYear, NotPriced, OptionCost, ReturnCost};
use crate::verdict::ways::Way;
use crate::words::{Language, chance_words, say, say_with};

/// The costs of a report as blocks.
pub(super) fn costs(said: &CostsSaid) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(say("costs.title").to_string())];
    let mut text = |it: String| blocks.push(Block::Text(it));
    if let Some(why @ (NotPriced::Held | NotPriced::Refused)) = said.not_priced {
        text(say(why_key(why)).to_string());
        return blocks;
    }
    text(say("costs.lead").to_string());
    let steps = said.options.iter().map(|it| line(said, it)).collect();
    blocks.push(Block::Steps(steps));
    if !said.left_out.is_empty() {
        blocks.push(Block::Text(say("costs.left_out").to_string()));
        blocks.push(Block::Items(said.left_out.iter().map(left_out).collect()));
    }
    let mut text = |it: String| blocks.push(Block::Text(it));
    if let [_, second, ..] = said.options.as_slice() {
        if let Some(cost) = said.turns_at_failed {
            let key = if said.turns_upward {
                "costs.turns_at_more"
            } else {
                "costs.turns_at_less"
            };
            text(say_with(key, &[("cost", &with_commas(cost))]));
        }
        // What a return visit may cost is told with what it is worth.
        // A job left undone costs what a lost job costs, and no less.
        let turns = said
            .turns_at_second
            .filter(|_| second.way.is_some_and(|it| !it.is_undone()));
        if let Some(cost) = turns {
            text(say_with(
                "costs.turns_at_second",
                &[
                    ("second", &capital(&name(said, second))),
                    ("cost", &with_commas(cost)),
                ],
            ));
        }
    } else {
        text(say("costs.too_few").to_string());
    }
    if let Some(it) = &said.return_visit {
        text(return_said(said, it));
    }
    if let Some(why) = said.not_priced {
        text(say(why_key(why)).to_string());
    }
    let how = [
        Some("costs.how"),
        said.return_visit.as_ref().map(|_| "costs.how_return"),
    ];
    text(joined(
        &how.into_iter().flatten().map(say).collect::<Vec<_>>(),
    ));
    blocks
}

/// An option that has no price, and why.
fn left_out(it: &LeftOut) -> String {
    let name = say(&format!("way.{}", it.way.word()));
    let why = match it.why {
        LeftOutFor::NoCost => say_with("costs.left_out.no_cost", &[("name", cost_of(it.way))]),
        LeftOutFor::NoLostJob => say("costs.left_out.no_lost_job").to_string(),
        LeftOutFor::TooFew => say("costs.left_out.too_few").to_string(),
        LeftOutFor::DataSheet => say("costs.left_out.data_sheet").to_string(),
        LeftOutFor::NoSense => say(match it.way {
            Way::FixOutside => "costs.left_out.sound",
            _ => "costs.left_out.no_drain",
        })
        .to_string(),
    };
    say_with("costs.left_out.line", &[("way", name), ("why", &why)])
}

/// The name of a way's own cost in the file of costs.
fn cost_of(way: Way) -> &'static str {
    match way {
        Way::FilmNow => "failed_coating",
        Way::FilmAfterTest => "test",
        Way::FilmAfterDrying => "drying",
        Way::Primer => "primer",
        Way::Membrane => "membrane",
        Way::Breathable => "breathable",
        Way::LeaveBare | Way::Decline => "lost_job",
        Way::FixOutside => "gutters",
        Way::FixDrain => "drain",
    }
}

fn why_key(why: NotPriced) -> &'static str {
    match why {
        NotPriced::Refused => "costs.refused",
        NotPriced::Held => "costs.held",
        NotPriced::NoCost => "costs.return_no_cost",
        NotPriced::NoOption => "costs.return_no_option",
    }
}

/// A way, or the return visit with its month.
fn name(said: &CostsSaid, option: &OptionCost) -> String {
    match (option.way, &said.return_visit) {
        (Some(way), _) => say(&format!("way.{}", way.word())).to_string(),
        (None, it) => say_with(
            if said.is_first_reading {
                "costs.return_first"
            } else {
                "costs.return_visit"
            },
            &[("month", &it.as_ref().map_or_else(String::new, month_said))],
        ),
    }
}

/// "April 2027".
fn month_said(it: &ReturnCost) -> String {
    let (year, month) = it.month.split_once('-').unwrap_or_default();
    let month = MonthOfYear {
        year: year.parse().unwrap_or_default(),
        month: month.parse().unwrap_or(1),
    };
    month_year_in(Language::English, month)
}

fn line(said: &CostsSaid, it: &OptionCost) -> String {
    let has_spread = it.spread >= 0.5;
    let is_one = it.low.round() == it.high.round();
    let key = match (it.way.is_some_and(Way::is_undone), has_spread, is_one) {
        (true, _, true) => "costs.line_fixed",
        (true, _, false) => "costs.line_sure",
        (false, true, false) => "costs.line",
        (false, true, true) => "costs.line_one",
        (false, false, false) => "costs.line_even",
        (false, false, true) => "costs.line_plain",
    };
    say_with(
        key,
        &[
            ("way", &name(said, it)),
            ("expected", &with_commas(it.expected)),
            ("low", &with_commas(it.low)),
            ("high", &with_commas(it.high)),
            ("spread", &with_commas(it.spread)),
        ],
    )
}

/// What a return visit is worth, in a sentence or two.
fn return_said(said: &CostsSaid, it: &ReturnCost) -> String {
    let visit = said.options.iter().find(|it| it.way.is_none());
    let (month, price) = (
        month_said(it),
        visit.map_or_else(String::new, |it| with_commas(it.own)),
    );
    let (share, worth) = (chance_words(it.changes), with_commas(it.worth));
    let key = if it.changes_nothing {
        "costs.return_nothing"
    } else if it.worth.round() <= 0.0 {
        "costs.return_never"
    } else if visit.is_some_and(|visit| visit.own < it.worth) {
        "costs.return_pays"
    } else {
        "costs.return_too_dear"
    };
    say_with(
        key,
        &[
            ("month", &month),
            ("price", &price),
            ("share", &share),
            ("worth", &worth),
        ],
    )
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

#[cfg(test)]
mod tests {
    use super::with_commas;

    #[test]
    fn thousands_are_parted_by_commas() {
        assert_eq!(
            [999.0, 15869.0, 1234567.0].map(with_commas),
            ["999", "15,869", "1,234,567"]
        );
    }
}
