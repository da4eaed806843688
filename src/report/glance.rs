//! The document at a glance, as values for a page that draws its own card: the words and numbers
//! are those of the first screen and of the sections behind it, made by the same functions.

use super::charts;
use super::first_screen::{
    clue_words, counts_the_coated, customer_words, grade_name, headline_in, is_over_at_once,
    likely_cause, next_words, quoted_chance, reason_in, spot_lead, wettest_month,
};
use super::paper::{Figure, Paper};
use super::said::{Units, capital, limit_in, measured_in, months_span, short_chance, test_in};
use super::sections::{is_acceptable, way_in};
use super::{Basis, HeadlineOf, HeadlineState, Report, WaySaid};
use crate::season::DAYS_PER_YEAR;
use crate::survey::{AnsweredBy, interview};
use crate::verdict::Grade;
use crate::verdict::ways::Way;
use crate::words::{Language, asked, in_hundred};
use chrono::{Datelike, Days, NaiveDate};
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
    /// What the risk word speaks of, to be drawn beside it: bare floors, or the quoted system.
    pub lead: Option<Share>,
    /// The other of the two, where it is told.
    pub second: Option<Share>,
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
    /// First and last day, where it has some.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<NaiveDate>,
    /// The last day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<NaiveDate>,
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

/// Who reads it, and how.
#[derive(Debug, Clone, Copy)]
pub struct Reader {
    /// A homeowner is not told of quoting.
    pub audience: AnsweredBy,
    /// Of lengths.
    pub units: Units,
    /// Of every sentence.
    pub language: Language,
}

/// The document at a glance, for whoever asked.
pub fn glance(report: &Report, reader: Reader, is_quoted: Quoting) -> Glance {
    let Reader {
        audience,
        units,
        language,
    } = reader;
    let say = |key: &str| language.say(key);
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
    let year = charts::readings_year(report, units, language);
    let bare = bare(language, report);
    let quoted = (audience != AnsweredBy::Homeowner)
        .then(|| quoted(language, report, is_quoted))
        .flatten();
    let leading = quoted.as_ref().and(lead_of_quoted(language, report));
    let (lead, second) = match leading {
        Some(it) => (Some(it), second_of_bare(language, report)),
        None => (bare.clone(), quoted.clone()),
    };
    Glance {
        lead,
        second,
        kind,
        place: language.place(&report.place.label),
        label: match (grade, audience) {
            (Some(_), AnsweredBy::Estimator) => say("page.risk").to_string(),
            _ => String::new(),
        },
        word: match (grade, audience) {
            (Some(it), AnsweredBy::Estimator) => grade_name(language, report, it).to_string(),
            _ => headline_in(language, report),
        },
        tiles: grade.map_or(0, tiles),
        action: action(language, report),
        meta: meta(language, report, units),
        bare,
        quoted,
        notes: notes(report, reader),
        customer: (audience != AnsweredBy::Homeowner)
            .then(|| customer_words(language, report))
            .flatten(),
        year_html: year.as_ref().map(|it| it.svg.clone()),
        year_table_html: year.as_ref().map(numbers),
        seasons: super::sections::season_lines(language, report),
        options: options(language, report, is_quoted),
        next: next(language, report),
        why: why(language, report),
        sharpen: sharpen(report, reader),
        standing: say("disclaimer").to_string(),
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

fn action(language: Language, report: &Report) -> String {
    match report.headline.state {
        HeadlineState::NoGrade | HeadlineState::NoEstimate => report
            .gates
            .iter()
            .map(|it| reason_in(language, it))
            .collect::<Vec<_>>()
            .join(" "),
        HeadlineState::OverToday | HeadlineState::Graded => {
            let (first, second, _) = sentences(language.say(&report.next_step_key));
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

fn meta(language: Language, report: &Report, units: Units) -> String {
    let mut parts = Vec::new();
    let used: Vec<_> = report.readings.iter().filter(|it| !it.withdrawn).collect();
    if let Some(first) = used.first() {
        let values: Vec<String> = used
            .iter()
            .filter(|it| it.test == first.test)
            .map(|it| measured_in(language, it.measured, units))
            .collect();
        parts.push(format!(
            "{} {}",
            capital(test_in(language, first.test)),
            values.join(", ")
        ));
    } else {
        parts.push(language.say("page.no_reading").to_string());
    }
    parts.push(limit_in(language, &report.limit, units));
    parts.join(" \u{b7} ")
}

/// A chance as tiles and words.
fn share(language: Language, chance: f64, says: String) -> Share {
    let count = language.count(chance);
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
        count: language.say_with("page.of_hundred", &[("count", &short_chance(chance))]),
        spoken: format!("{} {says}", language.count(chance)),
        says,
        month: String::new(),
        month_says: String::new(),
    }
}

fn bare(language: Language, report: &Report) -> Option<Share> {
    let chance = match report.headline.state {
        HeadlineState::Graded | HeadlineState::OverToday => report.exceedance_probability?,
        HeadlineState::NoGrade | HeadlineState::NoEstimate => return None,
    };
    let limit = limit_of_bare(language, report);
    let month = wettest_month(language, report);
    let says = language.say_with(
        if month.is_some() {
            "page.bare.in"
        } else {
            "page.bare.any"
        },
        &[("limit", &limit)],
    );
    Some(Share {
        month: month.unwrap_or_default().to_string(),
        month_says: language.say("page.bare.month").to_string(),
        ..share(language, chance, says)
    })
}

/// The quoted system beside the risk word, where that speaks of it.
fn lead_of_quoted(language: Language, report: &Report) -> Option<Share> {
    let is_of_system = report.headline.state == HeadlineState::Graded
        && report.headline.of == HeadlineOf::QuotedSystem;
    let chance = quoted_chance(report).filter(|_| is_of_system)?;
    let way = report.quoted_way.word();
    let key = if is_over_at_once(report) {
        "page.lead.at_once"
    } else if counts_the_coated(report) {
        "page.lead.coated"
    } else {
        "page.lead.quoted"
    };
    let says = language.say_with(
        key,
        &[
            ("problem", language.say(&format!("problem.{way}"))),
            ("of", language.say(&format!("of.{way}"))),
        ],
    );
    Some(share(language, chance, says))
}

/// Bare floors in the line below, where the risk word speaks of the quoted system.
fn second_of_bare(language: Language, report: &Report) -> Option<Share> {
    let chance = report.exceedance_probability?;
    let limit = limit_of_bare(language, report);
    let says = match wettest_month(language, report) {
        Some(month) => language.say_with("page.second.in", &[("limit", &limit), ("month", month)]),
        None => language.say_with("page.second.any", &[("limit", &limit)]),
    };
    Some(share(language, chance, says))
}

/// The limit that bare floors go over, in a word or two.
fn limit_of_bare(language: Language, report: &Report) -> String {
    match report.limit.meter_percent {
        Some(percent) if report.limit.probe_rh.is_none() => {
            language.say_with("percent", &[("number", &percent.to_string())])
        }
        _ => language.say("first.the_limit").to_string(),
    }
}

fn quoted(language: Language, report: &Report, is_quoted: Quoting) -> Option<Share> {
    if report.held || report.refused {
        return None;
    }
    let problem = language.say(&format!("problem.{}", report.quoted_way.word()));
    let key = match is_quoted {
        _ if is_over_at_once(report) => "page.quoted.at_once",
        _ if counts_the_coated(report) => "page.quoted.coated",
        Quoting::Said => "page.quoted",
        Quoting::Assumed => "page.quoted.assumed",
    };
    Some(share(
        language,
        quoted_chance(report)?,
        language.say_with(key, &[("problem", problem)]),
    ))
}

fn notes(report: &Report, reader: Reader) -> Vec<String> {
    let language = reader.language;
    let speak = |key: &str| language.say(key).to_string();
    // A homeowner's own document says the rest.
    if reader.audience == AnsweredBy::Homeowner {
        return Vec::new();
    }
    let mut res: Vec<String> = spot_lead(language, report).into_iter().collect();
    let shown = action(language, report);
    if let Some(rest) = language
        .say(&report.next_step_key)
        .strip_prefix(shown.as_str())
    {
        res.extend(Some(rest.trim().to_string()).filter(|it| !it.is_empty()));
    }
    if report.headline.state == HeadlineState::Graded {
        if report.headline.of == HeadlineOf::QuotedSystem {
            res.push(speak("page.risk.of_coating"));
        }
        res.extend(report.grade_raised_by.iter().map(|it| {
            speak(match it {
                crate::verdict::Raise::SpringDarkening => "raised.spring_darkening",
                crate::verdict::Raise::StandingWater => "raised.standing_water",
            })
        }));
        if report.basis == Basis::Answers {
            res.push(speak("answers_only"));
        }
    }
    res.push(speak("over_is_not_failure"));
    res
}

/// The numbers of a drawing as a table, a row for each month, so that it fits a phone.
fn numbers(figure: &Figure) -> String {
    let first_of = |row: &Vec<String>| row.first().cloned().unwrap_or_default();
    let mut head = vec![first_of(&figure.head)];
    head.extend(figure.rows.iter().map(first_of));
    let rows = figure
        .head
        .iter()
        .enumerate()
        .skip(1)
        .map(|(at, month)| {
            let cell = |row: &Vec<String>| row.get(at).cloned().unwrap_or_default();
            let mut res = vec![month.clone()];
            res.extend(figure.rows.iter().map(cell));
            res
        })
        .collect();
    Paper {
        title: String::new(),
        blocks: vec![super::paper::Block::Table { head, rows }],
    }
    .html_blocks()
}

fn options(language: Language, report: &Report, is_quoted: Quoting) -> Vec<OptionGlance> {
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
        .options()
        .map(|it| {
            let group = group(it);
            let years = |chance: Option<f64>| chance.map(|it| share(language, it, String::new()));
            OptionGlance {
                way: it.way,
                group,
                group_label: language.say(&format!("page.options.{group}")),
                name: language.say(&format!("way.{}", it.way.word())).to_string(),
                quoted: it.way == report.quoted_way && is_quoted == Quoting::Said,
                one: years(it.chance_1y),
                five: years(it.chance_5y),
                wait: wait_words(language, report.visit_date, it.wait_days),
                catch: way_in(language, report, it),
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

/// Until when an option waits: a month and about how many months that is.
fn wait_words(language: Language, from: NaiveDate, days: usize) -> String {
    let Some(until) = from
        .checked_add_days(Days::new(days as u64))
        .filter(|_| days > 0)
    else {
        return String::new();
    };
    let months = (12.0 * days as f64 / DAYS_PER_YEAR).round().max(1.0);
    let until = language.say_with(
        "date.month",
        &[
            ("month", language.month(until.month())),
            ("year", &until.year().to_string()),
        ],
    );
    let key = if months == 1.0 {
        "page.options.wait.month"
    } else {
        "page.options.wait"
    };
    language.say_with(key, &[("months", &months.to_string()), ("until", &until)])
}

/// What to do, with its days: what waits for nothing first, then when to read again, when the wet
/// season is watched, and when the floor is looked at after it.
fn next(language: Language, report: &Report) -> Vec<Step> {
    let speak = |key: &str| language.say(key).to_string();
    let mut res = vec![Step {
        when: speak("page.next.now"),
        text: next_words(language, report),
        from: None,
        to: None,
    }];
    let held_until = report.gates.iter().filter_map(|it| it.retest_after).max();
    res.extend(held_until.filter(|_| report.held).map(|day| Step {
        when: language.say_with("page.next.after", &[("day", &language.day(day))]),
        text: speak("page.next.read_again"),
        from: Some(day),
        to: None,
    }));
    let back = report
        .come_back
        .as_ref()
        .filter(|_| !report.held && !report.refused);
    if let Some(it) = back {
        let span = |from: NaiveDate, to: NaiveDate, key: &str| Step {
            when: months_span(language, from, to),
            text: speak(key),
            from: Some(from),
            to: Some(to),
        };
        res.push(span(it.from, it.to, "page.next.read_again"));
        if (it.wet_from, it.wet_to) != (it.from, it.to) {
            res.push(span(it.wet_from, it.wet_to, "page.next.wet_season"));
        }
    }
    res.retain(|it| !it.text.is_empty());
    // What has no day of its own is for now.
    res.sort_by_key(|it| it.from);
    res
}

fn why(language: Language, report: &Report) -> Why {
    let clues = |all: &[super::Clue]| {
        all.iter()
            .map(|it| clue_words(language, report, *it))
            .collect()
    };
    Why {
        r#for: clues(&report.clues_for),
        against: clues(&report.clues_against),
        source: likely_cause(report).map_or_else(String::new, |(cause, _)| {
            let name = language.say(&format!("cause.{}", cause.word()));
            language.say_with("first.source", &[("cause", name)])
        }),
    }
}

fn sharpen(report: &Report, reader: Reader) -> Vec<Sharpen> {
    report
        .next
        .iter()
        .filter_map(|it| {
            let question = interview::questions()
                .iter()
                .find(|one| one.field == it.question)?;
            Some(Sharpen {
                path: it.question.clone(),
                text: asked(reader.language, question, reader.audience),
                worth: reader.language.say_with(
                    "page.sharpen.worth",
                    &[(
                        "chance",
                        &reader.language.chance(it.chance_of_changing_grade),
                    )],
                ),
            })
        })
        .take(SHARPENING_SHOWN)
        .collect()
}
