//! What a person needs first, in a screen of a terminal: the one risk and what to do, two bars,
//! why, what to tell the customer, the options, what to do next, and the standing sentence.

use super::build::{GatePart, gate_words_in};
use super::paper::{Bar, Bars, Block, Labeled, OptionRow, Options, Risk, typed};
use super::said::{
    day_words, joined, limit_source, limit_words, measured_words, month_in, percent_words,
    short_chance,
};
use super::{Advice, Basis, Clue, GateSaid, HeadlineOf, HeadlineState, Measured, Report};
use crate::survey::{AnsweredBy, ReadingKind};
use crate::verdict::ways::Way;
use crate::verdict::{Cause, Grade, OpenPoint, Raise};
use crate::words::{Language, chance_words, count_words, in_hundred, say, say_with};
use std::collections::BTreeSet;

/// Lines that the first screen has on a terminal of 80 columns.
pub const FIRST_SCREEN_LINES: usize = 24;

/// Clues that are named on the first screen.
const CLUES_SHOWN: usize = 2;
/// Readings that are listed; of more, the lowest and the highest are told.
const READINGS_LISTED: usize = 3;
/// Things to do next that are named on the first screen.
const NEXT_SHOWN: usize = 3;

/// The blocks of the first screen.
pub fn first_screen(report: &Report) -> Vec<Block> {
    let mut blocks = vec![
        Block::Plain(where_and_when(report)),
        Block::Plain(measured_line(report)),
        Block::Risk(risk(report)),
    ];
    blocks.extend(bars(report).map(Block::Bars));
    let labeled = |key: &str, says: String| {
        Block::Labeled(Labeled {
            label: say(key).to_string(),
            says,
            aloud: false,
        })
    };
    blocks.extend(why(report).map(|it| labeled("first.why", it)));
    if let Some(says) = customer_in(Language::English, report) {
        blocks.push(Block::Labeled(Labeled {
            label: say("first.customer").to_string(),
            says,
            aloud: true,
        }));
    }
    blocks.extend(options(report).map(Block::Options));
    let next = next_in(Language::English, report);
    if !next.is_empty() {
        blocks.push(labeled("first.next", next));
    }
    blocks
}

/// The floor in a line: whose, where, what, and the day.
fn where_and_when(report: &Report) -> String {
    let label = report
        .label
        .as_deref()
        .map(|it| say_with("first.sentence", &[("text", &typed(it))]));
    let setting = report
        .setting
        .map(|it| say(&format!("setting.{}", it.word())).to_string());
    let floor = match (setting, report.year_built) {
        (Some(setting), Some(year)) => Some(say_with(
            "first.floor_built",
            &[("setting", &setting), ("year", &year.to_string())],
        )),
        (Some(setting), None) => Some(say_with("first.sentence", &[("text", &setting)])),
        (None, Some(year)) => Some(say_with("first.built", &[("year", &year.to_string())])),
        (None, None) => None,
    };
    let parts = [
        label,
        Some(say_with(
            "first.sentence",
            &[("text", &typed(&report.place.label))],
        )),
        floor,
        Some(say_with(
            "first.visit",
            &[("day", &day_words(report.visit_date))],
        )),
    ];
    joined(&parts.into_iter().flatten().collect::<Vec<_>>())
}

/// What counts of the newest day, by test, and the limit.
fn measured_line(report: &Report) -> String {
    let used: Vec<_> = report.readings.iter().filter(|it| !it.withdrawn).collect();
    let newest = used.iter().map(|it| it.date).max();
    let mut parts = Vec::new();
    for test in [
        ReadingKind::Meter,
        ReadingKind::Probe,
        ReadingKind::CalciumChloride,
        ReadingKind::Sheet,
    ] {
        let of_test: Vec<_> = used
            .iter()
            .filter(|it| it.test == test && Some(it.date) == newest)
            .collect();
        if of_test.is_empty() {
            continue;
        }
        let values = values_words(&of_test.iter().map(|it| it.measured).collect::<Vec<_>>());
        let meters: BTreeSet<&String> = of_test
            .iter()
            .filter_map(|it| it.meter_id.as_ref())
            .collect();
        let spots = say_with(
            if of_test.len() == 1 {
                "first.spot"
            } else {
                "first.spots"
            },
            &[("count", &of_test.len().to_string())],
        );
        let by = match meters.len() {
            0 => spots,
            1 => say_with("first.one_meter", &[("spots", &spots)]),
            count => say_with(
                "first.meters",
                &[("spots", &spots), ("count", &count.to_string())],
            ),
        };
        parts.push(say_with(
            "first.measured",
            &[("test", short_test(test)), ("values", &values), ("by", &by)],
        ));
    }
    if parts.is_empty() {
        parts.push(say("first.no_reading").to_string());
    }
    let earlier = used.iter().filter(|it| Some(it.date) != newest).count();
    if earlier > 0 {
        parts.push(say_with(
            "first.earlier",
            &[("count", &earlier.to_string())],
        ));
    }
    parts.push(limit_line(report));
    joined(&parts)
}

/// Values in a row, or the lowest and the highest where they are many.
fn values_words(all: &[Measured]) -> String {
    let percent = |it: &Measured| match it {
        Measured::Percent(percent) => Some(*percent),
        _ => None,
    };
    let percents: Option<Vec<f64>> = all.iter().map(percent).collect();
    match percents {
        Some(percents) if percents.len() > READINGS_LISTED => {
            let low = percents.iter().copied().fold(f64::INFINITY, f64::min);
            let high = percents.iter().copied().fold(0.0, f64::max);
            say_with(
                "first.range",
                &[("low", &percent_words(low)), ("high", &percent_words(high))],
            )
        }
        _ => all
            .iter()
            .map(|it| measured_words(*it))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

/// The name of a test in a word or two.
fn short_test(test: ReadingKind) -> &'static str {
    say(match test {
        ReadingKind::Meter => "first.test.meter",
        ReadingKind::Probe => "first.test.probe",
        ReadingKind::CalciumChloride => "first.test.calcium_chloride",
        ReadingKind::Sheet => "first.test.sheet",
    })
}

/// The limit and who gave it; where there is a meter's limit alone, the test goes without saying.
fn limit_line(report: &Report) -> String {
    let limit = &report.limit;
    let text = match (
        limit.meter_percent,
        limit.probe_rh,
        limit.calcium_chloride_lb,
    ) {
        (Some(percent), None, None) => say_with(
            "limit.line",
            &[
                ("limits", &percent_words(percent)),
                ("source", &limit_source(limit)),
            ],
        ),
        _ => limit_words(limit),
    };
    say_with("first.sentence", &[("text", &typed(&text))])
}

/// Whether a homeowner answered: a floor of one's own is not quoted, and nobody is to be told.
fn is_for_home(report: &Report) -> bool {
    report.answered_by == Some(AnsweredBy::Homeowner)
}

/// The one risk in a word or two.
pub fn headline_words(report: &Report) -> String {
    headline_in(Language::English, report)
}

/// The same in a language.
pub(super) fn headline_in(language: Language, report: &Report) -> String {
    let headline = &report.headline;
    let say = |key: &str| language.say(key);
    match (headline.state, headline.grade) {
        (HeadlineState::OverToday, _) => say("headline.over_today").to_string(),
        (HeadlineState::NoEstimate, _) => say("refused.headline").to_string(),
        (HeadlineState::NoGrade, _) | (HeadlineState::Graded, None) => say(match report.advice {
            Advice::UnexplainedHigh | Advice::UnexplainedLow => "held.unexplained",
            _ => "held.headline",
        })
        .to_string(),
        (HeadlineState::Graded, Some(_)) if is_for_home(report) => say(match report.grade {
            Some(Grade::Low) | None => "home.first.low",
            Some(Grade::Moderate) => "home.first.moderate",
            Some(Grade::High) => "home.first.high",
            Some(Grade::VeryHigh) => "home.first.very_high",
        })
        .to_string(),
        (HeadlineState::Graded, Some(grade)) => {
            let of = match headline.of {
                HeadlineOf::BareFloor => say("of.bare_floor"),
                HeadlineOf::QuotedSystem => say(&format!("of.{}", report.quoted_way.word())),
            };
            language.say_with(
                "headline.risk",
                &[("grade", grade_in(language, report, grade)), ("of", of)],
            )
        }
    }
}

/// The name of a grade; low with something open is never more than "so far".
pub(super) fn grade_in(language: Language, report: &Report, grade: Grade) -> &'static str {
    let is_open = !report.open_points.is_empty() || report.basis == Basis::Answers;
    language.say(match grade {
        Grade::Low if is_open => "grade.low_so_far",
        Grade::Low => "grade.low",
        Grade::Moderate => "grade.moderate",
        Grade::High => "grade.high",
        Grade::VeryHigh => "grade.very_high",
    })
}

/// The bare floor's grade and chance, or that it has none, for what-ifs side by side.
pub fn bare_floor_words(report: &Report) -> String {
    bare_floor_in(Language::English, report)
}

/// The same in a language.
pub fn bare_floor_in(language: Language, report: &Report) -> String {
    let say = |key: &str| language.say(key);
    if report.refused {
        return say("refused.headline").to_string();
    }
    let Some((grade, chance)) = report.grade.zip(report.exceedance_probability) else {
        let alone = report
            .before_reading
            .as_ref()
            .map_or_else(String::new, |it| language.chance(it.exceedance_probability));
        return language.say_with("page.what_if.held", &[("chance", &alone)]);
    };
    let mut parts = vec![
        grade_in(language, report, grade).to_string(),
        language.chance(chance),
    ];
    parts.extend(report.grade_raised_by.iter().map(|raise| {
        say(match raise {
            Raise::SpringDarkening => "page.raised.spring_darkening",
            Raise::StandingWater => "page.raised.standing_water",
        })
        .to_string()
    }));
    parts.join(", ")
}

/// The month in which the floor is likely to read highest, where one stands out.
pub(super) fn wettest_in(language: Language, report: &Report) -> Option<&'static str> {
    report
        .come_back
        .as_ref()
        .map(|_| language.month(report.wettest_month))
}

/// Whether humid air wets this floor rather than water from the ground.
fn is_wet_by_air(report: &Report) -> bool {
    likely_cause(report).is_some_and(|it| it.0 == Cause::HumidAir)
}

/// What to do, in one sentence.
fn advice_words(report: &Report) -> &'static str {
    let by_air = is_wet_by_air(report);
    say(match report.advice {
        Advice::Held | Advice::UnexplainedHigh | Advice::UnexplainedLow => "first.advice.held",
        Advice::OverNow => "first.advice.over_now",
        Advice::AnswersLow | Advice::AnswersOther => "answers_only",
        Advice::Low => "first.advice.low",
        Advice::LowSoFar => "first.advice.low_so_far",
        Advice::Moderate => "first.advice.moderate",
        Advice::High if by_air => "first.advice.high_air",
        Advice::High => "first.advice.high",
        Advice::VeryHigh if by_air => "first.advice.very_high_air",
        Advice::VeryHigh => "first.advice.very_high",
    })
}

/// What lifted the grade of the headline. Where two things did, the one that no test clears.
pub fn raise_shown(report: &Report) -> Option<Raise> {
    let is_of_bare = report.headline.state == HeadlineState::Graded
        && report.headline.of == HeadlineOf::BareFloor;
    let raised = || report.grade_raised_by.iter().copied();
    raised()
        .find(|it| *it == Raise::StandingWater)
        .or(raised().next())
        .filter(|_| is_of_bare)
}

fn risk(report: &Report) -> Risk {
    let mut says = Vec::new();
    match report.headline.state {
        HeadlineState::NoEstimate | HeadlineState::NoGrade => {
            says.extend(report.gates.iter().map(|it| it.reason.clone()));
        }
        HeadlineState::OverToday | HeadlineState::Graded => {
            says.push(advice_words(report).to_string());
            says.extend(raise_shown(report).map(|raise| {
                say(match raise {
                    Raise::SpringDarkening => "first.raised.spring_darkening",
                    Raise::StandingWater => "first.raised.standing_water",
                })
                .to_string()
            }));
        }
    }
    Risk {
        headline: headline_words(report),
        says: joined(&says),
    }
}

/// Signs of a bar that a chance fills: one for every five of 100 floors.
fn filled(chance: f64) -> usize {
    in_hundred(chance).map_or(if chance < 0.5 { 0 } else { 20 }, |it| it as usize / 5)
}

/// The bare floor in its wettest month, and the quoted system within five years.
fn bars(report: &Report) -> Option<Bars> {
    let (title, bare) = match (report.exceedance_probability, &report.before_reading) {
        (Some(chance), _) => ("first.bars", chance),
        (None, Some(before)) => ("first.bars_answers", before.exceedance_probability),
        (None, None) => return None,
    };
    let limit = match (&report.limit.meter_percent, &report.limit.probe_rh) {
        (Some(percent), None) if report.limit.calcium_chloride_lb.is_none() => {
            percent_words(*percent)
        }
        _ => say("first.the_limit").to_string(),
    };
    let over = match wettest_in(Language::English, report) {
        Some(month) => say_with(
            "first.bar.bare",
            &[
                ("count", &count_words(bare)),
                ("limit", &limit),
                ("month", month),
            ],
        ),
        None => say_with(
            "first.bar.bare_any",
            &[("count", &count_words(bare)), ("limit", &limit)],
        ),
    };
    let mut rows = vec![Bar {
        says: over,
        filled: filled(bare),
    }];
    let quoted = quoted_chance(report).filter(|_| !report.held && !is_for_home(report));
    if let Some(chance) = quoted {
        rows.push(Bar {
            says: say_with(
                "first.bar.way",
                &[
                    ("count", &count_words(chance)),
                    (
                        "problem",
                        say(&format!("problem.{}", report.quoted_way.word())),
                    ),
                ],
            ),
            filled: filled(chance),
        });
    }
    Some(Bars {
        title: say(title).to_string(),
        key: say("first.bars.key").to_string(),
        rows,
    })
}

/// Chance (0 to 1) of a problem with the quoted system within five years.
pub(super) fn quoted_chance(report: &Report) -> Option<f64> {
    report
        .ways
        .iter()
        .find(|it| it.way == report.quoted_way)
        .and_then(|it| it.chance_5y)
}

/// A clue as a sentence.
pub(super) fn clue_words(report: &Report, clue: Clue) -> String {
    clue_in(Language::English, report, clue)
}

/// The same in a language.
pub(super) fn clue_in(language: Language, report: &Report, clue: Clue) -> String {
    match (clue, report.springs_watched) {
        (Clue::DarkPatches | Clue::NoDarkPatches, Some(springs)) if springs > 0 => language
            .say_with(
                &format!("clue.{}.springs", clue.word()),
                &[("springs", &springs.to_string())],
            ),
        _ => language.say(&format!("clue.{}", clue.word())).to_string(),
    }
}

/// Whether the readings show the walls wetter than the open floor, more likely than not.
pub(super) fn walls_are_wet(report: &Report) -> bool {
    report.zones.as_ref().is_some_and(|it| it.band >= 0.5)
}

/// The likeliest source of the water. Walls that read wetter than the open floor point to water
/// at the walls, whatever the answers alone would name.
pub(super) fn likely_cause(report: &Report) -> Option<(Cause, f64)> {
    if walls_are_wet(report) {
        return report
            .causes
            .iter()
            .find(|it| it.cause == Cause::DrainageAtWalls)
            .map(|it| (it.cause, it.probability));
    }
    report
        .causes
        .iter()
        .map(|it| (it.cause, it.probability))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The telling answers and the likely source, in a line or two.
fn why(report: &Report) -> Option<String> {
    if report.held || report.refused {
        return None;
    }
    let is_wet = report.headline.grade >= Some(Grade::High);
    let (first, then) = if is_wet {
        (&report.clues_for, &report.clues_against)
    } else {
        (&report.clues_against, &report.clues_for)
    };
    let mut clues: Vec<Clue> = first.iter().copied().take(CLUES_SHOWN).collect();
    if clues.len() < CLUES_SHOWN {
        clues.extend(then.iter().take(1));
    }
    let mut says: Vec<String> = clues.iter().map(|it| clue_words(report, *it)).collect();
    if says.is_empty() {
        says.push(say("first.no_clues").to_string());
    }
    if let Some((cause, _)) = likely_cause(report) {
        // What is named as the source need not be named as a clue too.
        if cause == Cause::DrainageAtWalls {
            says.retain(|it| it != say("clue.water_at_walls"));
        }
        let name = say(&format!("source.{}", cause.word()));
        says.push(say_with("first.source", &[("cause", name)]));
    }
    Some(joined(&says))
}

/// What to tell the customer, to be read aloud; nothing where no estimate is given.
pub(super) fn customer_in(language: Language, report: &Report) -> Option<String> {
    let month = wettest_in(language, report);
    let by = month.map_or_else(
        || language.say("when.any").to_string(),
        |it| language.say_with("when.by", &[("month", it)]),
    );
    let then = month.map_or_else(
        || language.say("when.wet").to_string(),
        |it| language.say_with("when.in", &[("month", it)]),
    );
    let bare = report.exceedance_probability.unwrap_or(0.0);
    let quoted = quoted_chance(report).unwrap_or(0.0);
    let is_air = is_wet_by_air(report);
    let key = match (report.headline.state, report.advice) {
        (HeadlineState::NoEstimate, _) => return None,
        _ if is_for_home(report) => return None,
        (HeadlineState::NoGrade, _) => "customer.no_grade",
        (HeadlineState::OverToday, _) => "customer.over_today",
        (HeadlineState::Graded, _) if report.basis == Basis::Answers => "customer.answers",
        (HeadlineState::Graded, _) if report.headline.of == HeadlineOf::QuotedSystem => {
            match report.headline.grade {
                Some(Grade::Low) | None => "customer.quoted_low",
                Some(Grade::Moderate) => "customer.quoted_moderate",
                Some(_) if is_air => "customer.quoted_air",
                Some(_) => "customer.quoted_high",
            }
        }
        (HeadlineState::Graded, _) if !report.grade_raised_by.is_empty() => "customer.raised",
        (_, Advice::Low) => "customer.low",
        (_, Advice::LowSoFar) => "customer.low_so_far",
        (_, Advice::Moderate | Advice::High) => "customer.test",
        (_, _) if is_air => "customer.air",
        (_, _) => "customer.very_high",
    };
    let reason = report
        .gates
        .first()
        .map_or_else(String::new, |it| reason_in(language, it));
    let day = report.gates.iter().filter_map(|it| it.retest_after).max();
    let back = day.map_or_else(
        || language.say("customer.come_back").to_string(),
        |it| language.say_with("customer.come_back_after", &[("day", &language.day(it))]),
    );
    Some(language.say_with(
        key,
        &[
            ("count", &language.count(bare)),
            ("quoted", &language.count(quoted)),
            ("by", &by),
            ("then", &then),
            ("reason", &reason),
            ("back", &back),
        ],
    ))
}

/// The options in the order of the list, each with its chance of a problem in five years.
fn options(report: &Report) -> Option<Options> {
    if report.held || report.refused || is_for_home(report) {
        return None;
    }
    let rows: Vec<OptionRow> = report
        .ways
        .iter()
        .filter(|it| it.way != Way::Decline)
        .map(|it| OptionRow {
            count: match (&it.not_allowed, it.chance_5y) {
                (Some(_), _) => say("first.options.no").to_string(),
                (None, Some(chance)) => short_chance(chance),
                (None, None) => "-".to_string(),
            },
            name: say_with(
                &format!("option.{}", it.way.word()),
                &[("count", &short_chance(it.not_put_down))],
            ),
            quoted: it.way == report.quoted_way,
        })
        .collect();
    let excludes = report.ways.iter().any(|it| it.not_allowed.is_some());
    let key = if excludes {
        "first.options.key_excluded"
    } else {
        "first.options.key"
    };
    (!rows.is_empty()).then(|| Options {
        title: say("first.options").to_string(),
        key: say(key).to_string(),
        rows,
    })
}

/// What to do next, with a day or a month where there is one.
pub(super) fn next_in(language: Language, report: &Report) -> String {
    let say = |key: &str| language.say(key);
    let say_with = |key: &str, blanks: &[(&str, &str)]| language.say_with(key, blanks);
    let mut says: Vec<String> = Vec::new();
    match report.headline.state {
        HeadlineState::NoEstimate | HeadlineState::NoGrade => {
            for gate in &report.gates {
                says.push(action_in(language, gate));
            }
            let day = report.gates.iter().filter_map(|it| it.retest_after).max();
            says.extend(day.map(|it| say_with("first.not_before", &[("day", &language.day(it))])));
        }
        HeadlineState::OverToday | HeadlineState::Graded => {
            if report.open_points.contains(&OpenPoint::DrainageTrouble) {
                says.push(say("first.do.drainage").to_string());
            }
            if report.preferred_way == Some(Way::FixDrain) {
                says.push(say("first.do.drain").to_string());
            }
            if report.basis == Basis::Answers {
                says.push(say("first.do.read").to_string());
            } else if report.open_points.contains(&OpenPoint::FewSpots) {
                says.push(say("first.do.spots").to_string());
            }
            if report.provisional && report.headline.grade <= Some(Grade::Moderate) {
                says.push(say("first.do.limit").to_string());
            }
            match &report.come_back {
                Some(_) if report.advice == Advice::Low => {}
                Some(it) => says.push(say_with(
                    "first.do.come_back",
                    &[("month", &month_in(language, it.from))],
                )),
                None => says.push(say("first.do.no_season").to_string()),
            }
            if report.advice == Advice::Low {
                says.push(say("first.do.own_tests").to_string());
            }
            says.truncate(NEXT_SHOWN);
        }
    }
    joined(&says)
}

/// Why a floor has no grade or no estimate.
pub(super) fn reason_in(language: Language, gate: &GateSaid) -> String {
    match language {
        Language::English => gate.reason.clone(),
        Language::Spanish => gate_words_in(language, &gate.id, GatePart::Reason),
    }
}

/// And what to do about it.
pub(super) fn action_in(language: Language, gate: &GateSaid) -> String {
    match language {
        Language::English => gate.action.clone(),
        Language::Spanish => gate_words_in(language, &gate.id, GatePart::Action),
    }
}

/// The chance of the estimate by the answers alone, where the reading is left out.
pub(super) fn by_answers(report: &Report) -> Option<String> {
    let before = report.before_reading.as_ref().filter(|_| report.held)?;
    Some(say_with(
        "answers_estimate",
        &[("chance", &chance_words(before.exceedance_probability))],
    ))
}
