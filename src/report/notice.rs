//! The notice that a customer gets before anyone signs.

use super::paper::{Block, Paper, typed};
use super::said::{day_words, grade_key, limit_words};
use super::{Basis, Report, Units, readings_said};
use crate::season::MONTH_NAMES;
use crate::survey::interview::Interview;
use crate::survey::{AnsweredBy, Draft, Visit};
use crate::units::Celsius;
use crate::verdict::Grade;
use crate::verdict::ways::Way;
use crate::words::{chance_words, say, say_with};
use serde::Deserialize;

/// What was decided, as far as the notice tells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Variant {
    /// Nothing stands against the way that is quoted, as far as a screen can tell.
    Fine,
    /// A test or a second visit is advised.
    Doubtful,
    /// The customer goes ahead although it was advised not to.
    AgainstAdvice,
    /// Water first.
    FixFirst,
    /// The contractor does not quote.
    Declined,
}

impl Variant {
    pub const ALL: [Variant; 5] = [
        Variant::Fine,
        Variant::Doubtful,
        Variant::AgainstAdvice,
        Variant::FixFirst,
        Variant::Declined,
    ];

    /// The word of the command line.
    pub fn word(self) -> &'static str {
        match self {
            Variant::Fine => "fine",
            Variant::Doubtful => "doubtful",
            Variant::AgainstAdvice => "against_advice",
            Variant::FixFirst => "fix_first",
            Variant::Declined => "declined",
        }
    }

    /// The variant with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|it| it.word() == word)
    }

    /// What the verdict itself asks for. What a customer decides is never guessed.
    pub fn of(report: &Report) -> Self {
        let fixes_first = matches!(report.preferred_way, Some(Way::FixOutside | Way::FixDrain));
        if is_clear(report) {
            Variant::Fine
        } else if fixes_first {
            Variant::FixFirst
        } else {
            Variant::Doubtful
        }
    }
}

/// Whether nothing is open and both headline chances are low.
fn is_clear(report: &Report) -> bool {
    let quoted = report
        .ways
        .iter()
        .find(|it| it.way == report.quoted_way)
        .and_then(|it| it.chance_5y);
    report.grade == Some(Grade::Low)
        && report.open_points.is_empty()
        && report.basis == Basis::Reading
        && !report.over_now
        && quoted.is_some_and(|it| Grade::of_chance(it) == Grade::Low)
}

/// Who gives the notice; whatever is absent stays visibly blank.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Company {
    pub name: Option<String>,
    pub address: Option<String>,
    pub phone: Option<String>,
    pub email: Option<String>,
    pub license: Option<String>,
    /// The company's own lawyer has read the wording.
    pub wording_read_by_lawyer: bool,
}

impl Company {
    /// Reads a settings file (TOML).
    ///
    /// # Errors
    ///
    /// Where it stands, what was found and what is accepted.
    pub fn parse(text: &str) -> Result<Self, NoticeError> {
        toml::from_str(text).map_err(|it| NoticeError::Company {
            what: it.to_string().trim_end().to_string(),
        })
    }
}

/// Whether the chance stands in percent too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figures {
    Words,
    Percent,
}

/// Whether the answers are those of the visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    AsSaid,
    /// An answer was changed to see what would be.
    WhatIf,
}

/// Why there is no notice.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoticeError {
    #[error("no notice can be made of a what-if: go back to your own answers first")]
    WhatIf,
    #[error(
        "there is no notice of a reading that is held or a floor that is refused: {reason} {action}"
    )]
    Held { reason: String, action: String },
    #[error(
        "this floor does not qualify for the \"fine\" notice; use doubtful, fix_first, against_advice, \
         or declined"
    )]
    NotFine,
    #[error("nothing was advised against, so nobody can go ahead against advice; use fine")]
    NothingAdvisedAgainst,
    #[error(
        "company settings: {what}\n  accepted: name, address, phone, email, license in quotes; \
         wording_read_by_lawyer = true or false"
    )]
    Company { what: String },
}

/// What a notice is made of.
#[derive(Debug, Clone, Copy)]
pub struct NoticeOf<'a> {
    pub report: &'a Report,
    pub visit: &'a Visit,
    pub company: &'a Company,
    /// As the verdict asks for where absent.
    pub variant: Option<Variant>,
    pub figures: Figures,
    pub standing: Standing,
    pub units: Units,
}

/// Makes the notice.
///
/// # Errors
///
/// For a what-if, a held reading, a refused floor, and a variant that the verdict contradicts.
pub fn notice(of: NoticeOf) -> Result<Paper, NoticeError> {
    let NoticeOf { report, visit, .. } = of;
    if of.standing == Standing::WhatIf {
        return Err(NoticeError::WhatIf);
    }
    if report.held || report.refused || report.grade.is_none() {
        let gate = report.gates.first();
        return Err(NoticeError::Held {
            reason: gate.map_or(String::new(), |it| it.reason.clone()),
            action: gate.map_or(String::new(), |it| it.action.clone()),
        });
    }
    let variant = of.variant.unwrap_or_else(|| Variant::of(report));
    match variant {
        Variant::Fine if !is_clear(report) => return Err(NoticeError::NotFine),
        Variant::AgainstAdvice if is_clear(report) => {
            return Err(NoticeError::NothingAdvisedAgainst);
        }
        _ => {}
    }
    let mut blocks = Vec::new();
    if !of.company.wording_read_by_lawyer {
        blocks.push(Block::Banner(say("disclaimer_draft").to_string()));
    }
    company(&mut blocks, of.company);
    heading(&mut blocks, "notice.floor");
    blocks.push(Block::Text(say_with(
        "notice.floor.line",
        &[
            (
                "label",
                &report
                    .label
                    .as_deref()
                    .map_or_else(|| say("notice.no_label").to_string(), typed),
            ),
            ("place", &report.place.label),
            ("day", &day_words(report.visit_date)),
        ],
    )));
    blocks.push(Block::Banner(
        say(&format!("notice.{}.short", variant.word())).to_string(),
    ));

    heading(&mut blocks, "notice.measured");
    let used: Vec<_> = report.readings.iter().filter(|it| !it.withdrawn).collect();
    if used.is_empty() {
        blocks.push(Block::Text(say("notice.nothing_measured").to_string()));
    } else {
        let readings = readings_said(report, of.units);
        blocks.push(Block::Items(readings.iter().map(|it| typed(it)).collect()));
        blocks.push(Block::Text(say_with(
            "notice.spots",
            &[("count", &used.len().to_string())],
        )));
    }
    blocks.extend(room(visit, of.units).map(Block::Text));
    blocks.push(Block::Text(typed_limit(report)));

    heading(&mut blocks, "notice.expected");
    expected(&mut blocks, report, of.figures);

    heading(&mut blocks, "notice.cannot");
    blocks.push(Block::Items(
        ["one_day", "today", "screen", "wet_year", "leak"]
            .iter()
            .map(|it| say(&format!("notice.cannot.{it}")).to_string())
            .collect(),
    ));

    heading(&mut blocks, "notice.advice");
    blocks.push(Block::Text(advice(report).to_string()));
    if let Some(way) = report.preferred_way.filter(|_| variant != Variant::Fine) {
        blocks.push(Block::Text(say_with(
            "notice.way",
            &[("way", say(&format!("way.{}", way.word())))],
        )));
    }
    blocks.push(Block::Text(
        say(&format!("notice.{}.long", variant.word())).to_string(),
    ));
    blocks.push(Block::Blanks(vec![
        say("notice.also_advised").to_string(),
        say("notice.not_wanted").to_string(),
    ]));

    heading(&mut blocks, "notice.answers");
    answers(&mut blocks, visit);

    heading(&mut blocks, "notice.rights");
    blocks.push(Block::Items(
        ["received", "rights", "lawyer", "cancel"]
            .iter()
            .map(|it| say(&format!("notice.rights.{it}")).to_string())
            .collect(),
    ));
    blocks.push(Block::Blanks(
        ["customer", "customer_day", "giver", "giver_day"]
            .iter()
            .map(|it| say(&format!("notice.sign.{it}")).to_string())
            .collect(),
    ));

    heading(&mut blocks, "notice.careful");
    blocks.push(Block::Items(report.cautions.clone()));
    blocks.push(Block::Text(report.disclaimer.clone()));
    blocks.push(Block::Text(format!(
        "{}, {}",
        report.model, report.input_digest
    )));
    Ok(Paper {
        title: say("notice.title").to_string(),
        blocks,
    })
}

/// What the worse of the two headline chances asks for, in a customer's words.
fn advice(report: &Report) -> &'static str {
    let quoted = report
        .ways
        .iter()
        .find(|it| it.way == report.quoted_way)
        .and_then(|it| it.chance_5y)
        .map(Grade::of_chance);
    let worse = report.grade.max(quoted);
    say(match worse {
        _ if report.over_now => "notice.advice.over_now",
        _ if report.basis == Basis::Answers => "notice.advice.no_reading",
        Some(Grade::Low) if report.open_points.is_empty() => "notice.advice.low",
        Some(Grade::Low) => "notice.advice.low_so_far",
        Some(Grade::Moderate) => "notice.advice.moderate",
        Some(Grade::High) => "notice.advice.high",
        Some(Grade::VeryHigh) | None => "notice.advice.very_high",
    })
}

/// Air and floor at the visit, where they were measured.
fn room(visit: &Visit, units: Units) -> Option<String> {
    let degrees = |it: Celsius| match units {
        Units::Us => format!("{:.0} °F", it.fahrenheit()),
        Units::Si => format!("{:.1} °C", it.get()),
    };
    let air = &visit.air;
    let values: Vec<String> = [
        ("temp", air.temp.map(degrees)),
        (
            "humidity",
            air.relative_humidity
                .map(|it| format!("{:.0} %", 100.0 * it.get())),
        ),
        ("slab", air.slab_temp.map(degrees)),
    ]
    .into_iter()
    .filter_map(|(key, value)| {
        Some(say_with(
            &format!("notice.room.{key}"),
            &[("value", &value?)],
        ))
    })
    .collect();
    (!values.is_empty()).then(|| say_with("notice.room", &[("values", &values.join(", "))]))
}

/// What the estimator measures is no answer of the customer.
const MEASURED: [&str; 3] = ["air.temp_c", "air.relative_humidity", "air.slab_temp_c"];

fn heading(blocks: &mut Vec<Block>, key: &str) {
    blocks.push(Block::Heading(say(key).to_string()));
}

/// The limit, whose source somebody typed.
fn typed_limit(report: &Report) -> String {
    format!("{}.", typed(&limit_words(&report.limit)))
}

fn company(blocks: &mut Vec<Block>, company: &Company) {
    let Company {
        name,
        address,
        phone,
        email,
        license,
        ..
    } = company;
    let mut known = Vec::new();
    let mut blank = Vec::new();
    for (key, value) in [
        ("name", name),
        ("address", address),
        ("phone", phone),
        ("email", email),
        ("license", license),
    ] {
        let label = say(&format!("notice.company.{key}"));
        match value.as_deref().map(str::trim).filter(|it| !it.is_empty()) {
            Some(value) => known.push(format!("{label}: {}", typed(value))),
            None => blank.push(label.to_string()),
        }
    }
    if !known.is_empty() {
        blocks.push(Block::Items(known));
    }
    if !blank.is_empty() {
        blocks.push(Block::Blanks(blank));
    }
}

fn expected(blocks: &mut Vec<Block>, report: &Report, figures: Figures) {
    let month = MONTH_NAMES[report.wettest_month as usize - 1];
    let (Some(grade), Some(chance)) = (report.grade, report.exceedance_probability) else {
        return;
    };
    let percent = |chance: f64| match figures {
        Figures::Percent => format!(" ({})", percent_words(chance)),
        Figures::Words => String::new(),
    };
    let phrase = say(&format!("grade.{}.phrase", grade_key(grade)));
    blocks.push(Block::Text(say_with(
        "notice.expected.bare",
        &[
            ("month", month),
            ("chance", &chance_words(chance)),
            ("percent", &percent(chance)),
            ("phrase", phrase),
        ],
    )));
    let quoted = report.ways.iter().find(|it| it.way == report.quoted_way);
    if let Some((way, chance)) = quoted.and_then(|it| it.chance_5y.map(|chance| (it, chance))) {
        blocks.push(Block::Text(say_with(
            "notice.expected.way",
            &[
                ("way", say(&format!("way.{}", way.way.word()))),
                ("chance", &chance_words(chance)),
                ("percent", &percent(chance)),
                ("limit", &way.limit),
            ],
        )));
    }
    blocks.push(Block::Text(say("over_is_not_failure").to_string()));
}

/// A chance in whole percent; never 0 or 100.
fn percent_words(chance: f64) -> String {
    let percent = (100.0 * chance).round();
    if percent < 1.0 {
        say("percent.under").to_string()
    } else if percent > 99.0 {
        say("percent.over").to_string()
    } else {
        super::percent_words(percent)
    }
}

/// What was asked and said, in the words of a homeowner, in the order of the questions.
fn answers(blocks: &mut Vec<Block>, visit: &Visit) {
    let who = match visit.answered_by {
        Some(AnsweredBy::Homeowner) => "notice.answers.by_you",
        Some(AnsweredBy::Estimator) => "notice.answers.by_estimator",
        None => "notice.answers.by_nobody_named",
    };
    blocks.push(Block::Text(say(who).to_string()));
    let interview = Interview::from_draft(Draft::from(visit), &[], None);
    let rows: Vec<Vec<String>> = interview
        .answers()
        .into_iter()
        .filter(|it| {
            let field = it.step.question.field.as_str();
            ["floor.", "lot.", "signs.", "air."]
                .iter()
                .any(|table| field.starts_with(table))
                && !MEASURED.contains(&field)
        })
        .map(|it| {
            let asked = it.step.question.words(AnsweredBy::Homeowner);
            // Without the hint on how to type it.
            let asked = asked.split(" (such as").next().unwrap_or(asked);
            vec![asked.to_string(), typed(&it.said)]
        })
        .collect();
    if rows.is_empty() {
        blocks.push(Block::Text(say("notice.answers.none").to_string()));
    } else {
        blocks.push(Block::Table {
            head: vec![
                say("notice.answers.asked").to_string(),
                say("notice.answers.said").to_string(),
            ],
            rows,
        });
        blocks.push(Block::Text(say("notice.answers.rest").to_string()));
    }
}
