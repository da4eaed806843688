//! Sentences about floors of a ledger.

use super::again::{Again, Why};
use super::file::{FloorKept, OutcomeKept, ReadingKept, Sealed, VisitKept};
use super::headline::HeadlineStated;
use super::statement::Statement;
use crate::season::MONTH_NAMES;
use crate::words::{Language, say, say_with};
use chrono::{Datelike, NaiveDate};

/// Out of 100 floors in steps of 5: "about 80 of 100", "fewer than 5 of 100".
pub fn of_100(share: f64) -> String {
    let fives = (share * 20.0).round() as i64;
    match fives {
        ..=0 => say("ledger.fewer_than_5").to_string(),
        20.. => say("ledger.more_than_95").to_string(),
        it => say_with("ledger.about_of_100", &[("count", &(5 * it).to_string())]),
    }
}

/// "June 3, 2027".
pub fn day_said(day: NaiveDate) -> String {
    Language::English.day(day)
}

/// "June 2027".
pub fn month_said(name: &str) -> String {
    let (year, month) = name.split_once('-').unwrap_or((name, "1"));
    let month: usize = month.parse().unwrap_or(1);
    format!("{} {year}", MONTH_NAMES[(month + 11) % 12])
}

/// What a return visit to a floor is worth, in a sentence.
pub fn again_said(again: &Again) -> String {
    let month = format!(
        "{} {}",
        MONTH_NAMES[again.from.month0() as usize],
        again.from.year()
    );
    let share = of_100(again.settles);
    let blanks = [("month", month.as_str()), ("share", &share)];
    match again.why {
        Why::Tells => say_with("ledger.again.tells", &blanks),
        Why::NotRead => say_with("ledger.again.not_read", &blanks),
        Why::Held => say_with(
            "ledger.again.held",
            &[("day", day_said(again.from).as_str())],
        ),
        Why::Depth => say_with(
            "ledger.again.depth",
            &[("day", day_said(again.from).as_str())],
        ),
        Why::OverToday => say_with(
            "ledger.again.over_today",
            &[("day", day_said(again.from).as_str())],
        ),
        Why::StopWater => say("ledger.again.stop_water").to_string(),
        Why::Settled => say("ledger.again.settled").to_string(),
        Why::TellsLittle => say_with("ledger.again.tells_little", &blanks),
        Why::Coating => say_with("ledger.again.coating", &blanks),
        Why::Wet => say("ledger.again.wet").to_string(),
    }
}

/// That nothing is due on a floor of which it is known how it turned out.
pub fn turned_out_said(outcome: &OutcomeKept) -> String {
    let key = if outcome.outcome == "not_coated" {
        "ledger.again.not_coated"
    } else {
        "ledger.again.coated"
    };
    say_with(
        key,
        &[
            ("outcome", &outcome.outcome.replace('_', " ")),
            ("day", &day_said(outcome.day)),
        ],
    )
}

/// The headline: "high if coated now, about 40 of 100 such floors have a problem", after "over the
/// limit that day" where the result led with that.
pub fn headline_said(headline: &HeadlineStated) -> String {
    let blanks = [
        ("grade", headline.grade.replace('_', " ")),
        ("of", say(&format!("of.{}", headline.way)).to_string()),
        ("share", of_100(headline.chance)),
    ];
    let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
    let key = if headline.is_of_system() {
        "ledger.headline_system"
    } else {
        "ledger.headline_bare"
    };
    let risk = say_with(key, &blanks);
    if headline.is_over_today() {
        say_with("ledger.headline_over_today", &[("risk", &risk)])
    } else {
        risk
    }
}

/// Grade and chance of a statement, in a sentence: the headline first, where it is worse than
/// that of the bare floor.
pub fn stated_said(statement: &Statement) -> String {
    let bare = bare_said(statement);
    match &statement.headline {
        Some(headline) if headline.is_of_system() => say_with(
            "ledger.stated_system",
            &[("headline", &headline_said(headline)), ("bare", &bare)],
        ),
        Some(headline) if headline.is_over_today() => {
            say_with("ledger.headline_over_today", &[("risk", &bare)])
        }
        None if statement.over_today => over_and_held_said(),
        _ => bare,
    }
}

/// Of a floor that was over its limit that day, and whose reading is held.
pub(super) fn over_and_held_said() -> String {
    let risk = say("ledger.stated_held");
    say_with("ledger.headline_over_today", &[("risk", risk)])
}

fn bare_said(statement: &Statement) -> String {
    match (&statement.grade, statement.exceedance_probability) {
        (Some(grade), Some(chance)) => say_with(
            "ledger.stated",
            &[
                ("grade", &grade.replace('_', " ")),
                ("share", &of_100(chance)),
            ],
        ),
        _ => say("ledger.stated_held").to_string(),
    }
}

/// Everything that is kept of one floor.
pub struct FloorSheet<'a> {
    /// The floor.
    pub floor: &'a FloorKept,
    /// Its visits by day.
    pub visits: &'a [VisitKept],
    /// What was stated of it, oldest first.
    pub sealed: &'a [Sealed],
    /// Its readings, withdrawn ones too.
    pub readings: &'a [ReadingKept],
    /// How it turned out, as often as somebody wrote it.
    pub outcomes: &'a [OutcomeKept],
    /// When to read again, by the newest statement.
    pub again: Option<&'a Again>,
}

/// The sheet of a floor as lines.
pub fn floor_text(sheet: &FloorSheet, width: usize) -> String {
    let mut lines = vec![sheet.floor.name_and_area()];
    for it in sheet.visits {
        let origin = say(match it.origin.as_str() {
            "given" => "ledger.origin.given",
            "restated" => "ledger.origin.restated",
            _ => "ledger.origin.results",
        });
        lines.push(format!("{}  {origin}  {}", day_said(it.day), it.digest));
    }
    // In the order of their numbers.
    let mut readings: Vec<&ReadingKept> = sheet.readings.iter().collect();
    readings.sort_by_key(|it| it.number);
    for it in readings {
        let value = it.percent.map_or_else(
            || it.content.replace("[[reading]]\n", "").replace('\n', "; "),
            |percent| format!("{percent} %"),
        );
        let gone = match &it.withdrawn {
            Some(_) => say("ledger.withdrawn"),
            None => "",
        };
        let meter = it.meter.as_deref().unwrap_or_default();
        lines.push(
            say_with(
                "ledger.reading_line",
                &[
                    ("day", &day_said(it.day)),
                    ("id", &it.number.to_string()),
                    ("value", &value),
                    ("meter", meter),
                    ("gone", gone),
                ],
            )
            .trim_end()
            .to_string(),
        );
    }
    for it in sheet.sealed {
        if let Ok(statement) = serde_json::from_str::<Statement>(&it.content) {
            lines.push(say_with(
                "ledger.sealed_line",
                &[
                    ("day", &day_said(it.sealed_on)),
                    ("stated", &stated_said(&statement)),
                    ("seal", &it.seal[..16]),
                ],
            ));
        }
    }
    for it in sheet.outcomes {
        lines.push(say_with(
            "ledger.outcome_line",
            &[
                ("day", &day_said(it.day)),
                ("outcome", &it.outcome.replace('_', " ")),
                ("with", it.coated_with.as_deref().unwrap_or("-")),
            ],
        ));
    }
    match (sheet.outcomes.last(), sheet.again) {
        (Some(outcome), _) => lines.push(turned_out_said(outcome)),
        (None, Some(again)) => lines.push(again_said(again)),
        (None, None) => {}
    }
    filled(&lines, width)
}

/// Lines folded to a width.
pub fn filled(lines: &[String], width: usize) -> String {
    let mut text = String::new();
    for line in lines {
        let options = textwrap::Options::new(width).subsequent_indent("    ");
        text.push_str(&textwrap::fill(line, options));
        text.push('\n');
    }
    text
}
