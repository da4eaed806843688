//! The document at a glance, as values for a page that draws its own card: the words and numbers
//! are those of the first screen and of the sections behind it, made by the same functions.

use super::charts;
use super::first_screen::{
    clue_words, customer_words, headline_words, likely_cause, next_words, quoted_chance,
    wettest_month,
};
use super::paper::{Figure, Paper};
use super::said::{
    Units, capital, limit_words, measured_words, months_span, percent_words, short_chance,
    test_words,
};
use super::sections::{is_acceptable, way_words};
use super::{Basis, HeadlineOf, HeadlineState, Report, WaySaid};
use crate::survey::AnsweredBy;
use crate::verdict::Grade;
use crate::verdict::ways::Way;
use crate::words::{Language, chance_words, count_words, in_hundred, say, say_with};
use serde::Serialize;

/// Letters of the action on a card, so that it can be read at arm's length.
const ACTION_LETTERS: usize = 90;

/// Questions that are offered to sharpen a result.
const SHARPENING_SHOWN: usize = 3;

/// The document at a glance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Glance {
    /// What kind of card: `graded`, `over`, `none` or `refused`.
    pub kind: &'static str,
    /// The place by name.
    pub place: String,
    /// Before the word, such as "Risk"; empty where the word says all.
    pub label: String,
    /// The risk in a word or two.
    pub word: String,
    /// Tiles beside a grade, 1 to 4; 0 where there is no grade.
    pub tiles: usize,
    /// What to do, in a sentence.
    pub action: String,
    /// Readings and limit in a line.
    pub meta: String,
    /// Bare floors over the limit in the wettest month.
    pub bare: Option<Share>,
    /// The quoted system's problem within five years.
    pub quoted: Option<Share>,
    /// Whose risk leads and what else has to be said at once.
    pub notes: Vec<String>,
    /// To be read aloud to the customer.
    pub customer: Option<String>,
    /// The year ahead, drawn.
    pub year_html: Option<String>,
    /// The same year in numbers.
    pub year_table_html: Option<String>,
    /// The seasons, told apart.
    pub seasons: Vec<String>,
    /// Acceptable ones first.
    pub options: Vec<OptionGlance>,
    /// What to do next, with its time.
    pub next: Vec<Step>,
    /// What speaks for and against, and the likely source.
    pub why: Why,
    /// Questions that would move it most.
    pub sharpen: Vec<Sharpen>,
    /// The standing sentence.
    pub standing: String,
}

/// A count of 100 floors, to be drawn as tiles and said in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Share {
    /// Tiles of 100 that are filled.
    pub filled: u32,
    /// `few` under the first step, `most` over the last one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edge: Option<&'static str>,
    /// Before the number, such as "about".
    pub lead: String,
    /// The number alone.
    pub number: String,
    /// Both in a few letters: "60", "<5".
    pub short: String,
    /// "about 60 of 100".
    pub count: String,
    /// What is counted.
    pub says: String,
    /// All of it in words, for somebody who does not see the drawing.
    pub spoken: String,
    /// The month that is meant; empty where none stands out.
    pub month: String,
    /// What that month is.
    pub month_says: String,
}

/// One option on its card.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OptionGlance {
    /// The option's word.
    pub way: Way,
    /// `acceptable`, `lower` (better than what is quoted) or `not`.
    pub group: &'static str,
    /// The same in words.
    pub group_label: &'static str,
    /// Its name.
    pub name: String,
    /// Whether this is what is quoted.
    pub quoted: bool,
    /// Its problem within one year.
    pub one: Option<Share>,
    /// And within five.
    pub five: Option<Share>,
    /// How long it waits; empty for now.
    pub wait: String,
    /// What speaks against it.
    pub catch: String,
}

/// Something to do, with its time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Step {
    /// A month, a span, or "now".
    pub when: String,
    /// What to do.
    pub text: String,
}

/// What speaks for and against a wet floor.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Why {
    /// Signs of a wet floor.
    pub r#for: Vec<String>,
    /// Signs against it.
    pub against: Vec<String>,
    /// The likely source.
    pub source: String,
}

/// A question worth asking.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Sharpen {
    /// The question's path.
    pub path: String,
    /// The question.
    pub text: String,
    /// How often the answer changes the grade.
    pub worth: String,
}

/// The document at a glance, for whoever asked.
pub fn glance(report: &Report, units: Units, audience: AnsweredBy, is_quoted: Quoting) -> Glance {
    let headline = &report.headline;
    let grade = headline
        .grade
        .filter(|_| headline.state == HeadlineState::Graded);
    let kind = match headline.state {
        HeadlineState::Graded => "graded",
        HeadlineState::OverToday => "over",
        HeadlineState::NoGrade => "none",
        HeadlineState::NoEstimate => "refused",
    };
    let year = charts::readings_year(report, units);
    Glance {
        kind,
        place: report.place.label.clone(),
        label: grade.map_or_else(String::new, |_| say("page.risk").to_string()),
        word: grade.map_or_else(
            || headline_words(report),
            |it| super::first_screen::grade_name(Language::English, report, it).to_string(),
        ),
        tiles: grade.map_or(0, tiles),
        action: action(report),
        meta: meta(report),
        bare: bare(report),
        quoted: (audience != AnsweredBy::Homeowner)
            .then(|| quoted(report))
            .flatten(),
        notes: notes(report, audience),
        customer: (audience != AnsweredBy::Homeowner)
            .then(|| customer_words(Language::English, report))
            .flatten(),
        year_html: year.as_ref().map(|it| it.svg.clone()),
        year_table_html: year.as_ref().map(numbers),
        seasons: super::sections::season_lines(report),
        options: options(report, is_quoted),
        next: next(report),
        why: why(report),
        sharpen: sharpen(report),
        standing: report.disclaimer.clone(),
    }
}

/// Whether somebody said what is quoted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quoting {
    /// A way was named.
    Said,
    /// Nothing was, and the usual one stands in.
    Assumed,
}

fn tiles(grade: Grade) -> usize {
    match grade {
        Grade::Low => 1,
        Grade::Moderate => 2,
        Grade::High => 3,
        Grade::VeryHigh => 4,
    }
}

fn action(report: &Report) -> String {
    match report.headline.state {
        HeadlineState::NoGrade | HeadlineState::NoEstimate => report
            .gates
            .iter()
            .map(|it| it.reason.as_str())
            .collect::<Vec<_>>()
            .join(" "),
        HeadlineState::OverToday | HeadlineState::Graded => {
            let (first, second, _) = sentences(&report.next_step);
            match first.len() + second.len() < ACTION_LETTERS {
                true => [first, second].join(" ").trim().to_string(),
                false => first.to_string(),
            }
        }
    }
}

/// The first two sentences of a text, and the rest.
fn sentences(text: &str) -> (&str, &str, &str) {
    let (first, rest) = cut(text);
    let (second, rest) = cut(rest);
    (first, second, rest)
}

/// A sentence and what follows it.
fn cut(text: &str) -> (&str, &str) {
    match text.find(". ") {
        Some(at) => (&text[..=at], text[at + 1..].trim_start()),
        None => (text, ""),
    }
}

fn meta(report: &Report) -> String {
    let mut parts = Vec::new();
    let used: Vec<_> = report.readings.iter().filter(|it| !it.withdrawn).collect();
    if let Some(first) = used.first() {
        let values: Vec<String> = used
            .iter()
            .filter(|it| it.test == first.test)
            .map(|it| measured_words(it.measured))
            .collect();
        parts.push(format!(
            "{} {}",
            capital(test_words(first.test)),
            values.join(", ")
        ));
    } else {
        parts.push(say("page.no_reading").to_string());
    }
    parts.push(limit_words(&report.limit));
    parts.join(" \u{b7} ")
}

/// A chance as tiles and words.
fn share(chance: f64, says: String) -> Share {
    let count = count_words(chance);
    let hundred = in_hundred(chance);
    let number = count
        .rsplit(' ')
        .next()
        .expect("a split gives at least one part")
        .to_string();
    Share {
        filled: hundred.unwrap_or(if chance < 0.5 { 0 } else { 95 }),
        edge: match hundred {
            Some(_) => None,
            None if chance < 0.5 => Some("few"),
            None => Some("most"),
        },
        lead: count.trim_end_matches(&number).trim_end().to_string(),
        number,
        short: short_chance(chance),
        count: say_with("page.of_hundred", &[("count", &short_chance(chance))]),
        spoken: format!("{} {says}", chance_words(chance)),
        says,
        month: String::new(),
        month_says: String::new(),
    }
}

fn bare(report: &Report) -> Option<Share> {
    let chance = match report.headline.state {
        HeadlineState::Graded | HeadlineState::OverToday => report.exceedance_probability?,
        HeadlineState::NoGrade | HeadlineState::NoEstimate => return None,
    };
    let limit = match report.limit.meter_percent {
        Some(percent) if report.limit.probe_rh.is_none() => percent_words(percent),
        _ => say("first.the_limit").to_string(),
    };
    let month = wettest_month(Language::English, report);
    let says = say_with(
        if month.is_some() {
            "page.bare.in"
        } else {
            "page.bare.any"
        },
        &[("limit", &limit)],
    );
    Some(Share {
        month: month.unwrap_or_default().to_string(),
        month_says: say("page.bare.month").to_string(),
        ..share(chance, says)
    })
}

fn quoted(report: &Report) -> Option<Share> {
    if report.held || report.refused {
        return None;
    }
    let problem = say(&format!("problem.{}", report.quoted_way.word()));
    Some(share(
        quoted_chance(report)?,
        say_with("page.quoted", &[("problem", problem)]),
    ))
}

fn notes(report: &Report, audience: AnsweredBy) -> Vec<String> {
    let mut res: Vec<String> = Vec::new();
    let shown = action(report);
    if let Some(rest) = report.next_step.strip_prefix(shown.as_str()) {
        res.extend(Some(rest.trim().to_string()).filter(|it| !it.is_empty()));
    }
    if report.headline.state == HeadlineState::Graded {
        if report.headline.of == HeadlineOf::QuotedSystem && audience != AnsweredBy::Homeowner {
            res.push(headline_words(report));
        }
        res.extend(report.grade_raised_by.iter().map(|it| {
            say(match it {
                crate::verdict::Raise::SpringDarkening => "raised.spring_darkening",
                crate::verdict::Raise::StandingWater => "raised.standing_water",
            })
            .to_string()
        }));
        if report.basis == Basis::Answers {
            res.push(say("answers_only").to_string());
        }
    }
    res.push(say("over_is_not_failure").to_string());
    res
}

/// The numbers of a drawing as a table.
fn numbers(figure: &Figure) -> String {
    let head = figure.head.clone();
    let rows = figure.rows.clone();
    Paper {
        title: String::new(),
        blocks: vec![super::paper::Block::Table { head, rows }],
    }
    .html_blocks()
}

fn options(report: &Report, is_quoted: Quoting) -> Vec<OptionGlance> {
    if report.held || report.refused {
        return Vec::new();
    }
    let of_quoted = quoted_chance(report).unwrap_or(1.0);
    let group = |it: &WaySaid| {
        if is_acceptable(it) {
            "acceptable"
        } else if it.not_allowed.is_none()
            && it.way != report.quoted_way
            && it.chance_5y.is_some_and(|it| it + 0.05 < of_quoted)
        {
            "lower"
        } else {
            "not"
        }
    };
    let mut res: Vec<OptionGlance> = report
        .ways
        .iter()
        .filter(|it| it.way != Way::Decline)
        .map(|it| {
            let group = group(it);
            let years = |chance: Option<f64>| chance.map(|it| share(it, String::new()));
            OptionGlance {
                way: it.way,
                group,
                group_label: say(&format!("page.options.{group}")),
                name: say(&format!("way.{}", it.way.word())).to_string(),
                quoted: it.way == report.quoted_way && is_quoted == Quoting::Said,
                one: years(it.chance_1y),
                five: years(it.chance_5y),
                wait: match it.wait_days {
                    0 => String::new(),
                    days => say_with("page.options.wait", &[("days", &days.to_string())]),
                },
                catch: way_words(report, it),
            }
        })
        .collect();
    let place = |it: &OptionGlance| {
        ["acceptable", "lower", "not"]
            .iter()
            .position(|group| *group == it.group)
    };
    // Stable, so that the document's order stays within a group.
    res.sort_by_key(place);
    res
}

fn next(report: &Report) -> Vec<Step> {
    let mut res = vec![Step {
        when: say("page.next.now").to_string(),
        text: next_words(Language::English, report),
    }];
    if let Some(it) = report
        .come_back
        .as_ref()
        .filter(|_| report.headline.state == HeadlineState::Graded)
    {
        res.push(Step {
            when: months_span(it.from, it.to),
            text: say("page.next.read_again").to_string(),
        });
    }
    res.retain(|it| !it.text.is_empty());
    res
}

fn why(report: &Report) -> Why {
    let clues = |all: &[super::Clue]| {
        all.iter()
            .map(|it| clue_words(Language::English, report, *it))
            .collect()
    };
    Why {
        r#for: clues(&report.clues_for),
        against: clues(&report.clues_against),
        source: likely_cause(report).map_or_else(String::new, |(cause, _)| {
            let name = say(&format!("cause.{}", cause.word()));
            say_with("first.source", &[("cause", name)])
        }),
    }
}

fn sharpen(report: &Report) -> Vec<Sharpen> {
    report
        .next
        .iter()
        .filter(|it| crate::survey::field(&it.question).is_some())
        .take(SHARPENING_SHOWN)
        .map(|it| Sharpen {
            path: it.question.clone(),
            text: it.text.clone(),
            worth: say_with(
                "page.sharpen.worth",
                &[("chance", &chance_words(it.chance_of_changing_grade))],
            ),
        })
        .collect()
}
