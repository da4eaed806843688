//! The notice that a customer gets before anyone signs, long and short.

use super::build::{GatePart, gate_both, gate_words_in};
use super::first_screen::counts_the_coated;
use super::needs::garage_lines;
use super::paper::{Block, Paper, cleaned, typed};
use super::said::{grade_key, limit_in, measured_in, readings_in};
use super::{Basis, GarageSaid, HeadlineOf, Measured, Report, Units};
use crate::climate::is_in_canada;
use crate::survey::interview::Interview;
use crate::survey::{AnsweredBy, Draft, Visit};
use crate::units::Celsius;
use crate::verdict::ways::{Way, WayTable};
use crate::verdict::{Grade, OpenPoint};
use crate::words::{self, Language, say};
use serde::Deserialize;

/// What the notice tells the customer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Variant {
    /// No reason to stop, as far as an estimate can tell.
    Fine,
    /// A test or a second visit is advised.
    Doubtful,
    /// The customer goes ahead although it was advised not to.
    AgainstAdvice,
    /// Water first.
    FixFirst,
    /// The contractor does not quote.
    Declined,
    /// The floor is over the limit today.
    OverLimit,
    /// The readings cannot be used.
    NoGrade,
    /// The floor is outside what the tool can judge.
    NoEstimate,
}

impl Variant {
    /// Every variant.
    pub const ALL: [Variant; 8] = [
        Variant::Fine,
        Variant::Doubtful,
        Variant::AgainstAdvice,
        Variant::FixFirst,
        Variant::Declined,
        Variant::OverLimit,
        Variant::NoGrade,
        Variant::NoEstimate,
    ];

    /// The word of the command line.
    pub fn word(self) -> &'static str {
        match self {
            Variant::Fine => "fine",
            Variant::Doubtful => "doubtful",
            Variant::AgainstAdvice => "against_advice",
            Variant::FixFirst => "fix_first",
            Variant::Declined => "declined",
            Variant::OverLimit => "over_limit",
            Variant::NoGrade => "no_grade",
            Variant::NoEstimate => "no_estimate",
        }
    }

    /// The variant with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|it| it.word() == word)
    }

    /// What the result itself asks for. What a customer decides is never guessed.
    pub fn of(report: &Report) -> Self {
        let fixes_first = matches!(report.preferred_way, Some(Way::FixOutside | Way::FixDrain));
        match State::of(report) {
            State::NoEstimate => Variant::NoEstimate,
            State::NoGrade => Variant::NoGrade,
            State::OverLimit => Variant::OverLimit,
            State::Graded if is_clear(report) => Variant::Fine,
            State::Graded if fixes_first => Variant::FixFirst,
            State::Graded => Variant::Doubtful,
        }
    }

    /// Why this variant cannot be said of a floor, if it cannot.
    fn against(self, report: &Report) -> Option<NoticeError> {
        let state = State::of(report);
        let own = Variant::of(report);
        let fits = match self {
            Variant::Fine => {
                return (own != Variant::Fine).then_some(NoticeError::NotFine);
            }
            Variant::AgainstAdvice => {
                return (own == Variant::Fine).then_some(NoticeError::NothingAdvisedAgainst);
            }
            Variant::Declined => true,
            Variant::Doubtful | Variant::FixFirst => {
                matches!(state, State::Graded | State::OverLimit)
            }
            Variant::OverLimit => state == State::OverLimit,
            Variant::NoGrade => state == State::NoGrade,
            Variant::NoEstimate => state == State::NoEstimate,
        };
        (!fits).then_some(NoticeError::AnotherState {
            variant: self.word(),
            own: own.word(),
        })
    }
}

/// What is known of a floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Graded,
    OverLimit,
    NoGrade,
    NoEstimate,
}

impl State {
    fn of(report: &Report) -> Self {
        if report.refused {
            State::NoEstimate
        } else if report.is_over_today() {
            // Over the limit is said even where nothing explains the reading.
            State::OverLimit
        } else if report.held || report.grade.is_none() {
            State::NoGrade
        } else if report.over_now {
            State::OverLimit
        } else {
            State::Graded
        }
    }
}

/// Chance of a problem with the option that is quoted, within five years.
fn quoted_chance(report: &Report) -> Option<f64> {
    chance_of(report, report.quoted_way)
}

/// Chance of a problem with an option within five years.
fn chance_of(report: &Report, way: Way) -> Option<f64> {
    report
        .ways
        .iter()
        .find(|it| it.way == way)
        .and_then(|it| it.chance_5y)
}

/// The worse of the grade and that of the option that is quoted.
fn worse_grade(report: &Report) -> Option<Grade> {
    report
        .grade
        .max(quoted_chance(report).map(Grade::of_chance))
}

/// Whether nothing is open and both headline chances are low.
fn is_clear(report: &Report) -> bool {
    report.grade == Some(Grade::Low)
        && report.open_points.is_empty()
        && report.basis == Basis::Reading
        && !report.over_now
        && quoted_chance(report).is_some_and(|it| Grade::of_chance(it) == Grade::Low)
}

/// Who gives the notice; whatever is absent stays visibly blank.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Company {
    /// Name of the company, as it signs.
    pub name: Option<String>,
    /// Street address on one line.
    pub address: Option<String>,
    /// Phone number as it is printed.
    pub phone: Option<String>,
    /// Email address.
    pub email: Option<String>,
    /// License or registration number, where the state has one.
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
    /// In words and out of 100 floors.
    Words,
    /// The percent as well.
    Percent,
}

/// Whether the answers are those of the visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// The answers are those of the visit.
    AsSaid,
    /// An answer was changed to see what would be.
    WhatIf,
}

/// Why there is no notice.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoticeError {
    /// An answer was changed to see what would be; a customer is told only what was answered.
    #[error("no notice can be made of a what-if: go back to your own answers first")]
    WhatIf,
    /// The result is not clear enough to say that there is no reason to stop.
    #[error(
        "this floor does not qualify for the \"fine\" notice; use doubtful, fix_first, against_advice, \
         or declined"
    )]
    NotFine,
    /// The notice that was asked for does not go with what is known of this floor.
    #[error(
        "the notice of this floor is {own} and not {variant}; use {own}, against_advice or declined"
    )]
    AnotherState {
        /// The notice that was asked for.
        variant: &'static str,
        /// The notice of this floor.
        own: &'static str,
    },
    /// There is no advice to go against.
    #[error("nothing was advised against, so nobody can go ahead against advice; use fine")]
    NothingAdvisedAgainst,
    /// The settings file is not TOML of this form.
    #[error(
        "company settings: {what}\n  accepted: name, address, phone, email, license in quotes; \
         wording_read_by_lawyer = true or false"
    )]
    Company {
        /// What the reader said, with the line.
        what: String,
    },
}

/// What a notice is made of.
#[derive(Debug, Clone, Copy)]
pub struct NoticeOf<'a> {
    /// The result that the notice tells.
    pub report: &'a Report,
    /// The visit behind it.
    pub visit: &'a Visit,
    /// Who gives the notice.
    pub company: &'a Company,
    /// As the result asks for where absent.
    pub variant: Option<Variant>,
    /// Whether the chance stands in percent too.
    pub figures: Figures,
    /// Whether the answers are those of the visit.
    pub standing: Standing,
    /// Units of what was measured.
    pub units: Units,
    /// Language of the notice.
    pub language: Language,
}

/// What was checked before any notice is made.
fn checked(of: &NoticeOf) -> Result<Variant, NoticeError> {
    if of.standing == Standing::WhatIf {
        return Err(NoticeError::WhatIf);
    }
    let variant = of.variant.unwrap_or_else(|| Variant::of(of.report));
    variant.against(of.report).map_or(Ok(variant), Err)
}

/// Makes the notice.
///
/// # Errors
///
/// For a what-if, and for a variant that the result contradicts.
pub fn notice(of: NoticeOf) -> Result<Paper, NoticeError> {
    let variant = checked(&of)?;
    let NoticeOf {
        report,
        visit,
        language,
        ..
    } = of;
    let speak = Speaker { language };
    let mut blocks = Vec::new();
    if !of.company.wording_read_by_lawyer || language != Language::English {
        blocks.push(Block::Banner(speak.text("disclaimer_draft")));
    }
    if language != Language::English {
        // In both languages, since the person who hands it over may read only one.
        blocks.push(Block::Banner(speak.text("notice.no_lawyer")));
        blocks.push(Block::Banner(say("notice.no_lawyer").to_string()));
    }
    blocks.push(Block::Text(lead(&of)));
    blocks.push(Block::Text(typed_limit(&of)));
    blocks.push(Block::Banner(speak.text(short_key(report, variant))));

    speak.heading(&mut blocks, "notice.advice");
    advised(&mut blocks, &of, variant);

    speak.heading(&mut blocks, "notice.floor");
    let label = report
        .label
        .as_deref()
        .map_or_else(|| speak.text("notice.no_label"), typed);
    blocks.push(Block::Text(language.say_with(
        "notice.floor.line",
        &[
            ("label", &label),
            ("place", &language.place(&report.place.label)),
        ],
    )));
    blocks.push(Block::Blanks(
        speak.texts(&["notice.customer.name", "notice.customer.address"]),
    ));
    blocks.push(Block::Text(speak.text("notice.customer.kept")));
    company(&mut blocks, of.company, language);

    if !report.refused && !report.held && report.grade.is_some() {
        speak.heading(&mut blocks, "notice.expected");
        expected(&mut blocks, &of);
    }

    // No year is told of a garage that freezes: what can be said stands here instead.
    if let Some(garage) = &report.leads.garage {
        speak.heading(&mut blocks, "need.garage.title");
        blocks.push(Block::Text(speak.text("notice.advice.garage")));
        // What to answer is for who uses the tool, and not for the customer.
        let told = GarageSaid {
            is_heat_unknown: false,
            ..garage.clone()
        };
        blocks.push(Block::Items(garage_lines(language, &told)));
    }

    measured(&mut blocks, &of);
    speak.heading(&mut blocks, "notice.cannot");
    blocks.push(Block::Items(speak.texts(&[
        "notice.cannot.one_day",
        "notice.cannot.today",
        "notice.cannot.screen",
        "notice.cannot.wet_year",
        "notice.cannot.leak",
    ])));

    speak.heading(&mut blocks, "notice.answers");
    answers(&mut blocks, visit, language);

    speak.heading(&mut blocks, "notice.careful");
    blocks.push(Block::Items(
        words::cautions(visit, &report.place.label)
            .into_iter()
            .map(|it| speak.text(it))
            .collect(),
    ));
    rights_and_signatures(&mut blocks, &of, variant);
    Ok(Paper {
        title: speak.text("notice.title"),
        blocks,
    }
    .in_words_of(&of.report.place.label)
    .in_units(of.units, language))
}

/// Every reading, how many count, and the room.
fn measured(blocks: &mut Vec<Block>, of: &NoticeOf) {
    let NoticeOf {
        report, language, ..
    } = *of;
    let speak = Speaker { language };
    if !report.readings.is_empty() {
        speak.heading(blocks, "notice.measured");
        let readings = readings_in(language, report, of.units);
        blocks.push(Block::Items(readings.iter().map(|it| typed(it)).collect()));
        let used = report.readings.iter().filter(|it| !it.withdrawn).count();
        blocks.push(Block::Text(
            language.say_with("notice.spots", &[("count", &used.to_string())]),
        ));
    }
    blocks.extend(room(of.visit, of.units, language).map(Block::Text));
}

/// The customer's rights, the standing sentence and the lines to sign on.
fn rights_and_signatures(blocks: &mut Vec<Block>, of: &NoticeOf, variant: Variant) {
    let report = of.report;
    let speak = Speaker {
        language: of.language,
    };
    speak.heading(blocks, "notice.rights");
    let mut rights = vec![
        "notice.rights.received",
        "notice.rights.rights",
        "notice.rights.lawyer",
    ];
    // The two rules are of the United States.
    rights.extend(if is_in_canada(&report.place.label) {
        &["notice.rights.cancel.ca"][..]
    } else {
        &["notice.rights.cancel", "notice.rights.language"]
    });
    blocks.push(Block::Items(speak.texts(&rights)));
    blocks.push(Block::Text(speak.text("disclaimer")));
    let mut lines = Vec::new();
    if !matches!(variant, Variant::Fine | Variant::Declined) {
        lines.push("notice.sign.against");
    }
    lines.extend([
        "notice.sign.customer",
        "notice.sign.customer_day",
        "notice.sign.giver",
        "notice.sign.giver_day",
    ]);
    blocks.push(Block::Blanks(speak.texts(&lines)));
    blocks.push(Block::Text(format!(
        "{}, {}",
        report.model, report.input_digest
    )));
}

/// The same in about sixty words, to paste into a quote.
///
/// # Errors
///
/// As [`notice`].
pub fn notice_short(of: NoticeOf) -> Result<String, NoticeError> {
    let variant = checked(&of)?;
    let NoticeOf {
        report, language, ..
    } = of;
    let day = language.day(report.visit_date);
    let used = used(report);
    let mut says = Vec::new();
    if used.is_empty() {
        says.push(language.say_with("notice.short.none", &[("day", &day)]));
    } else {
        let spots = match used.len() {
            1 => language.say("notice.short.spot").to_string(),
            count => language.say_with("notice.short.spots", &[("count", &count.to_string())]),
        };
        says.push(language.say_with(
            "notice.short.readings",
            &[
                ("day", &day),
                ("spots", &spots),
                ("values", &values(&used, language, of.units)),
                (
                    "limit",
                    &cleaned(&limit_in(language, &report.limit, of.units)),
                ),
            ],
        ));
    }
    let reason = report.gates.first().map_or_else(String::new, |it| {
        gate_words_in(language, &it.id, GatePart::Reason)
    });
    match State::of(report) {
        State::NoEstimate => {
            says.push(language.say_with("notice.short.no_estimate", &[("reason", &reason)]));
        }
        State::NoGrade => {
            says.push(language.say_with("notice.short.no_grade", &[("reason", &reason)]));
        }
        State::OverLimit => says.push(language.say("notice.short.over_limit").to_string()),
        State::Graded => {
            let quoted = chance_of(report, report.quoted_way).filter(|_| {
                report.headline.of == HeadlineOf::QuotedSystem
                    && report.headline.grade > Some(Grade::Low)
            });
            // Where there is advice to give, its sentence takes the place.
            if matches!(
                variant,
                Variant::Fine | Variant::AgainstAdvice | Variant::Declined
            ) {
                says.push(language.say("notice.short.one_day").to_string());
            }
            if let Some(chance) = report.exceedance_probability {
                says.push(language.say_with(
                    "notice.short.chance",
                    &[
                        ("count", &language.count(chance)),
                        ("month", language.month(report.wettest_month)),
                    ],
                ));
            }
            if let Some(quoted) = quoted {
                says.push(
                    language.say_with("notice.short.quoted", &[("count", &language.count(quoted))]),
                );
            }
        }
    }
    match variant {
        Variant::Declined => says.push(language.say("notice.short.declined").to_string()),
        Variant::AgainstAdvice => {
            says.push(language.say("notice.short.against_advice").to_string())
        }
        Variant::Doubtful | Variant::FixFirst => {
            says.push(language.say(short_key(report, variant)).to_string());
        }
        Variant::Fine | Variant::OverLimit | Variant::NoGrade | Variant::NoEstimate => {}
    }
    says.push(language.say("notice.short.end").to_string());
    let mut text = says.join(" ");
    text.push('\n');
    Ok(text)
}

/// The words of one language.
#[derive(Clone, Copy)]
struct Speaker {
    language: Language,
}

impl Speaker {
    fn text(self, key: &str) -> String {
        self.language.say(key).to_string()
    }

    fn texts(self, keys: &[&str]) -> Vec<String> {
        keys.iter().map(|it| self.text(it)).collect()
    }

    fn heading(self, blocks: &mut Vec<Block>, key: &str) {
        blocks.push(Block::Heading(self.text(key)));
    }
}

/// The sentence that leads: its words follow the grade.
fn short_key(report: &Report, variant: Variant) -> &'static str {
    match variant {
        Variant::Fine => "notice.fine.short",
        Variant::Doubtful => match worse_grade(report) {
            Some(Grade::VeryHigh) => "notice.doubtful.very_high.short",
            Some(Grade::High) => "notice.doubtful.high.short",
            Some(Grade::Moderate | Grade::Low) | None => "notice.doubtful.short",
        },
        Variant::AgainstAdvice => "notice.against_advice.short",
        Variant::FixFirst => "notice.fix_first.short",
        Variant::Declined => "notice.declined.short",
        Variant::OverLimit => "notice.over_limit.short",
        Variant::NoGrade => "notice.no_grade.short",
        Variant::NoEstimate => "notice.no_estimate.short",
    }
}

/// What follows from it: its words follow the grade and the option.
fn long_key(report: &Report, variant: Variant) -> &'static str {
    match variant {
        Variant::Fine => "notice.fine.long",
        Variant::Doubtful if worse_grade(report) == Some(Grade::VeryHigh) => {
            "notice.doubtful.very_high.long"
        }
        Variant::Doubtful => "notice.doubtful.long",
        Variant::AgainstAdvice => "notice.against_advice.long",
        Variant::FixFirst => match report.preferred_way {
            Some(Way::FixOutside) => "notice.fix_first.fix_outside.long",
            // What the screen puts first is first here too.
            Some(Way::FixDrain) if report.open_points.contains(&OpenPoint::DrainageTrouble) => {
                "notice.fix_first.both.long"
            }
            Some(Way::FixDrain) => "notice.fix_first.fix_drain.long",
            _ => "notice.fix_first.long",
        },
        Variant::Declined => "notice.declined.long",
        Variant::OverLimit => "notice.over_limit.long",
        Variant::NoGrade => "notice.no_grade.long",
        Variant::NoEstimate => "notice.no_estimate.long",
    }
}

/// Readings that count.
fn used(report: &Report) -> Vec<Measured> {
    report
        .readings
        .iter()
        .filter(|it| !it.withdrawn)
        .map(|it| it.measured)
        .collect()
}

/// "3.4% to 3.8%" where all are of one meter's kind, else each.
fn values(used: &[Measured], language: Language, units: Units) -> String {
    let percents: Option<Vec<f64>> = used
        .iter()
        .map(|it| match it {
            Measured::Percent(percent) => Some(*percent),
            Measured::RelativeScale(_)
            | Measured::UnknownScale(_)
            | Measured::ProbePercent(_)
            | Measured::Pounds(_)
            | Measured::Damp(_) => None,
        })
        .collect();
    let span = percents.and_then(|it| {
        let low = it.iter().copied().fold(f64::INFINITY, f64::min);
        let high = it.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (low < high).then_some((low, high))
    });
    if let Some((low, high)) = span {
        return language.say_with(
            "notice.short.span",
            &[("low", &low.to_string()), ("high", &high.to_string())],
        );
    }
    let mut all: Vec<String> = used
        .iter()
        .map(|it| measured_in(language, *it, units))
        .collect();
    all.dedup();
    all.join(", ")
}

/// The day and the readings.
fn lead(of: &NoticeOf) -> String {
    let language = of.language;
    let used = used(of.report);
    let day = language.day(of.report.visit_date);
    let key = match used.len() {
        0 => "notice.lead.none",
        1 => "notice.lead.one",
        _ => "notice.lead.readings",
    };
    language.say_with(
        key,
        &[
            ("day", &day),
            ("count", &used.len().to_string()),
            ("values", &values(&used, language, of.units)),
        ],
    )
}

/// What is advised, what it lowers and what it does not lower.
fn advised(blocks: &mut Vec<Block>, of: &NoticeOf, variant: Variant) {
    let NoticeOf {
        report, language, ..
    } = *of;
    let speak = Speaker { language };
    match State::of(report) {
        State::NoEstimate | State::NoGrade => {}
        State::OverLimit | State::Graded => {
            blocks.push(Block::Text(speak.text(advice(report))));
        }
    }
    if report.refused || report.held {
        blocks.push(Block::Items(
            report
                .gates
                .iter()
                .map(|it| gate_both(language, &it.id))
                .collect(),
        ));
    }
    blocks.push(Block::Text(speak.text(long_key(report, variant))));
    if let Some(day) = report.gates.iter().filter_map(|it| it.retest_after).max() {
        blocks.push(Block::Text(
            language.say_with("notice.no_grade.after", &[("day", &language.day(day))]),
        ));
    }
    let way = report
        .preferred_way
        .filter(|_| State::of(report) == State::Graded && variant != Variant::Fine)
        .filter(|it| !matches!(it, Way::Decline));
    if let Some(way) = way {
        blocks.push(Block::Text(lowers(report, way, language)));
    }
    blocks.push(Block::Blanks(
        speak.texts(&["notice.also_advised", "notice.not_wanted"]),
    ));
}

/// An option, what it lowers and what it does not.
fn lowers(report: &Report, way: Way, language: Language) -> String {
    let mut says = vec![language.say_with(
        "notice.way",
        &[("way", language.say(&format!("way.{}", way.word())))],
    )];
    // Only coatings are compared: each other option has a problem of its own kind.
    let is_coated = matches!(
        way,
        Way::FilmAfterTest | Way::FilmAfterDrying | Way::FixOutside | Way::FixDrain
    );
    if let (Some(now), Some(after), true) = (
        chance_of(report, Way::FilmNow),
        chance_of(report, way),
        is_coated,
    ) {
        says.push(language.say_with(
            "notice.lowers",
            &[
                ("now", &language.count(now)),
                ("after", &language.count(after)),
            ],
        ));
        if after >= WayTable::bundled().acceptable_5y {
            says.push(language.say("notice.lowers.not_enough").to_string());
        }
    }
    says.push(
        language
            .say(match way {
                Way::FixOutside => "notice.lowers.fix_outside",
                Way::FixDrain => "notice.lowers.fix_drain",
                Way::FilmNow
                | Way::FilmAfterTest
                | Way::FilmAfterDrying
                | Way::Primer
                | Way::Membrane
                | Way::Breathable
                | Way::LeaveBare
                | Way::Decline => "notice.lowers.other",
            })
            .to_string(),
    );
    says.push(language.say("notice.lowers.never").to_string());
    if matches!(way, Way::FixOutside | Way::FixDrain) {
        says.push(language.say("notice.drainage").to_string());
    }
    says.join(" ")
}

/// What the worse of the two headline chances asks for, in a customer's words.
fn advice(report: &Report) -> &'static str {
    match worse_grade(report) {
        _ if report.over_now => "notice.advice.over_now",
        _ if report.basis == Basis::Answers => "notice.advice.no_reading",
        Some(Grade::Low) if report.open_points.is_empty() => "notice.advice.low",
        Some(Grade::Low) => "notice.advice.low_so_far",
        Some(Grade::Moderate) => "notice.advice.moderate",
        Some(Grade::High) => "notice.advice.high",
        Some(Grade::VeryHigh) | None => "notice.advice.very_high",
    }
}

/// Air and floor at the visit, where they were measured.
fn room(visit: &Visit, units: Units, language: Language) -> Option<String> {
    let degrees = |it: Celsius| match units {
        Units::Us => format!("{:.0} °F", it.fahrenheit()),
        Units::Si => format!("{:.1} °C", it.get()),
    };
    let air = &visit.air;
    let values: Vec<String> = [
        ("notice.room.temp", air.temp.map(degrees)),
        (
            "notice.room.humidity",
            air.relative_humidity
                .map(|it| format!("{:.0}%", 100.0 * it.get())),
        ),
        ("notice.room.slab", air.slab_temp.map(degrees)),
    ]
    .into_iter()
    .filter_map(|(key, value)| Some(language.say_with(key, &[("value", &value?)])))
    .collect();
    (!values.is_empty())
        .then(|| language.say_with("notice.room", &[("values", &values.join(", "))]))
}

/// What the estimator measures is no answer of the customer.
const MEASURED: [&str; 3] = ["air.temp_c", "air.relative_humidity", "air.slab_temp_c"];

/// The limit, whose source somebody typed.
fn typed_limit(of: &NoticeOf) -> String {
    format!(
        "{}.",
        typed(&limit_in(of.language, &of.report.limit, of.units))
    )
}

fn company(blocks: &mut Vec<Block>, company: &Company, language: Language) {
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
        ("notice.company.name", name),
        ("notice.company.address", address),
        ("notice.company.phone", phone),
        ("notice.company.email", email),
        ("notice.company.license", license),
    ] {
        let label = language.say(key);
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

fn expected(blocks: &mut Vec<Block>, of: &NoticeOf) {
    let NoticeOf {
        report,
        language,
        figures,
        ..
    } = *of;
    let (Some(grade), Some(chance)) = (report.grade, report.exceedance_probability) else {
        return;
    };
    let percent = |chance: f64| match figures {
        Figures::Percent => format!(" ({})", percent_words(chance, language)),
        Figures::Words => String::new(),
    };
    let phrase = language.say(&format!("grade.{}.phrase", grade_key(grade)));
    blocks.push(Block::Text(language.say_with(
        "notice.expected.bare",
        &[
            ("month", language.month(report.wettest_month)),
            ("chance", &language.chance(chance)),
            ("percent", &percent(chance)),
            ("phrase", phrase),
        ],
    )));
    if let Some(chance) = quoted_chance(report) {
        let way = report.quoted_way.word();
        let key = if counts_the_coated(report) {
            "notice.expected.way_coated"
        } else {
            "notice.expected.way"
        };
        blocks.push(Block::Text(language.say_with(
            key,
            &[
                ("way", language.say(&format!("way.{way}"))),
                ("chance", &language.chance(chance)),
                ("percent", &percent(chance)),
                ("limit", language.say(&format!("way.limit.{way}"))),
            ],
        )));
    }
    blocks.push(Block::Text(language.say("over_is_not_failure").to_string()));
}

/// A chance in whole percent; never 0 or 100.
fn percent_words(chance: f64, language: Language) -> String {
    let percent = (100.0 * chance).round();
    let (key, number) = if percent < 1.0 {
        ("percent.under", 1.0)
    } else if percent > 99.0 {
        ("percent.over", 99.0)
    } else {
        ("percent", percent)
    };
    language.say_with(key, &[("number", &format!("{number:.0}"))])
}

/// What was asked and said, in the words of a homeowner, in the order of the questions.
fn answers(blocks: &mut Vec<Block>, visit: &Visit, language: Language) {
    let who = match visit.answered_by {
        Some(AnsweredBy::Homeowner) => "notice.answers.by_you",
        Some(AnsweredBy::Estimator) => "notice.answers.by_estimator",
        None => "notice.answers.by_nobody_named",
    };
    blocks.push(Block::Text(language.say(who).to_string()));
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
            let asked = words::asked(language, it.step.question, AnsweredBy::Homeowner);
            // Without the hint on how to type it.
            let asked = [" (such as", " (como", " (año"]
                .iter()
                .fold(asked.as_str(), |it, hint| {
                    it.split(hint).next().unwrap_or(it)
                })
                .to_string();
            let said = words::said(language, &interview, &it);
            vec![asked, typed(&said)]
        })
        .collect();
    if rows.is_empty() {
        blocks.push(Block::Text(language.say("notice.answers.none").to_string()));
    } else {
        blocks.push(Block::Table {
            head: vec![
                language.say("notice.answers.asked").to_string(),
                language.say("notice.answers.said").to_string(),
            ],
            rows,
        });
        blocks.push(Block::Text(language.say("notice.answers.rest").to_string()));
    }
}
