//! What a person needs first, in a screen of a terminal: the one risk and what to do, two bars,
//! why, what to tell the customer, the options, what to do next, and the standing sentence.

use super::build::{GatePart, gate_words_in};
use super::needs::garage_lines;
use super::paper::{Bar, Bars, Block, Labeled, OptionRow, Options, Risk, typed};
use super::said::{
    Units, joined, limit_in, limit_source_in, measured_in, month_of_in, percent_in, short_chance,
};
use super::{
    Advice, Basis, Clue, GateSaid, HeadlineOf, HeadlineState, Measured, OverTodaySaid, Report,
};
use crate::survey::{AnsweredBy, ReadingKind};
use crate::verdict::ways::Way;
use crate::verdict::{Cause, Grade, GradeTable, OpenPoint, Raise};
use crate::words::{Language, in_hundred};
use std::collections::BTreeSet;

/// Lines that the first screen has on a terminal of 80 columns.
pub const FIRST_SCREEN_LINES: usize = 24;

/// Clues that are named on the first screen.
const CLUES_SHOWN: usize = 2;
/// Readings that are listed; of more, the lowest and the highest are told.
const READINGS_LISTED: usize = 3;
/// Causes of a floor over its limit that are named on the first screen.
const CAUSES_SHOWN: usize = 3;
/// A cause with a smaller chance is not named there.
const WORTH_NAMING: f64 = 0.075;
/// Questions to ask now that are named on the first screen.
const QUESTIONS_SHOWN: usize = 2;
/// Share of the floors under which a second reading settles little.
pub(super) const LITTLE_SETTLED: f64 = 0.2;
/// Things to do next that are named on the first screen.
const NEXT_SHOWN: usize = 3;
/// A chance under this says nothing beside the others.
pub(super) const WORTH_SAYING: f64 = 0.025;
/// A chance in the first year this much over that of liquid water in five is not the water's.
const AT_ONCE_MORE: f64 = 0.1;

/// The blocks of the first screen.
pub fn first_screen(report: &Report) -> Vec<Block> {
    first_screen_in((Language::English, Units::Us), report, Room::Ample)
}

/// How much room there is for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Room {
    /// All of it.
    Ample,
    /// Without what the full text says too: what to ask now, what a return visit is worth, and
    /// that no answer tells; a clue or a cause less, and the walls in the line of the readings.
    Tight,
}

/// The same in a language, and with what was measured in some units.
pub fn first_screen_in(
    (language, units): (Language, Units),
    report: &Report,
    room: Room,
) -> Vec<Block> {
    let mut blocks = vec![
        Block::Plain(where_and_when(language, report)),
        Block::Plain(measured_line(language, report, units)),
    ];
    // Wet walls and readings far apart are said first: they change what everything below means.
    let parts = walls_lead(language, report).or_else(|| spot_lead(language, report));
    match (parts, room) {
        (Some(walls), Room::Ample) => blocks.push(Block::Plain(walls)),
        (Some(walls), Room::Tight) => {
            blocks.pop();
            let line = joined(&[measured_line(language, report, units), walls]);
            blocks.push(Block::Plain(line));
        }
        (None, _) => {}
    }
    blocks.push(Block::Risk(risk(language, report)));
    if let Some(garage) = &report.leads.garage {
        blocks.push(Block::Items(garage_lines(language, garage)));
    }
    blocks.extend(bars(language, report).map(Block::Bars));
    let labeled = |key: &str, says: String| {
        Block::Labeled(Labeled {
            label: language.say(key).to_string(),
            says,
            aloud: false,
        })
    };
    match over_today(report) {
        Some(it) => {
            blocks.push(labeled("first.why", causes_today(language, it, room)));
            if room == Room::Ample {
                blocks.extend(ask_today(language, it).map(|it| labeled("first.ask", it)));
            }
        }
        None => blocks.extend(why(language, report, room).map(|it| labeled("first.why", it))),
    }
    if let Some(says) = customer_words(language, report) {
        blocks.push(Block::Labeled(Labeled {
            label: language.say("first.customer").to_string(),
            says,
            aloud: true,
        }));
    }
    blocks.extend(options(language, report).map(Block::Options));
    let mut next = next_words(language, report);
    if room == Room::Ample
        && let Some(worth) = return_visit_words(language, report)
    {
        next = joined(&[next, worth]);
    }
    if !next.is_empty() {
        blocks.push(labeled("first.next", next));
    }
    blocks
}

/// The walls by name with what they read and what comes first, where they stand out.
fn walls_lead(language: Language, report: &Report) -> Option<String> {
    let it = report.leads.walls.as_ref()?;
    let spots = if it.spots.is_empty() {
        language.say("need.walls.unnamed").to_string()
    } else {
        typed(&it.spots.join(", "))
    };
    let percent = |value: f64| percent_in(language, (10.0 * value).round() / 10.0);
    Some(language.say_with(
        "first.walls",
        &[
            ("spots", &spots),
            ("band", &percent(it.band_percent)),
            ("field", &percent(it.field_percent)),
        ],
    ))
}

/// The spot that reads far above the others, and what to do about it first.
pub(super) fn spot_lead(language: Language, report: &Report) -> Option<String> {
    let it = report.leads.spot.as_ref()?;
    let percent = |value: f64| percent_in(language, value);
    let rest = if it.rest_low == it.rest_high {
        percent(it.rest_low)
    } else {
        language.say_with(
            "first.range",
            &[
                ("low", &percent(it.rest_low)),
                ("high", &percent(it.rest_high)),
            ],
        )
    };
    let key = match it.spot {
        Some(_) => "first.far_apart",
        None => "first.far_apart.unnamed",
    };
    let spot = it.spot.as_deref().map_or_else(String::new, typed);
    Some(language.say_with(
        key,
        &[
            ("spot", &spot),
            ("percent", &percent(it.percent)),
            ("rest", &rest),
        ],
    ))
}

/// What is told of a floor that is over its limit today.
fn over_today(report: &Report) -> Option<&OverTodaySaid> {
    report
        .leads
        .over_today
        .as_ref()
        .filter(|_| report.is_over_today())
}

/// What it may be, likeliest first.
fn causes_today(language: Language, it: &OverTodaySaid, room: Room) -> String {
    let shown = match room {
        Room::Ample => CAUSES_SHOWN,
        Room::Tight => CAUSES_SHOWN - 1,
    };
    let causes: Vec<String> = it
        .causes
        .iter()
        .filter(|it| it.probability >= WORTH_NAMING)
        .take(shown)
        .map(|it| {
            language.say_with(
                "first.cause",
                &[
                    (
                        "cause",
                        language.say(&format!("source.{}", it.cause.word())),
                    ),
                    ("count", &language.count(it.probability)),
                ],
            )
        })
        .collect();
    language.say_with("first.may_be", &[("causes", &causes.join("; "))])
}

/// What to ask now, the most telling first.
fn ask_today(language: Language, it: &OverTodaySaid) -> Option<String> {
    let questions: Vec<&str> = it
        .ask
        .iter()
        .take(QUESTIONS_SHOWN)
        .map(|it| language.say(&format!("need.ask.{it}")))
        .collect();
    (!questions.is_empty()).then(|| questions.join(" "))
}

/// The floor in a line: whose, where, what, and the day.
fn where_and_when(language: Language, report: &Report) -> String {
    let label = report
        .label
        .as_deref()
        .map(|it| language.say_with("first.sentence", &[("text", &typed(it))]));
    let setting = report
        .setting
        .map(|it| language.say(&format!("setting.{}", it.word())).to_string());
    let floor = match (setting, report.year_built) {
        (Some(setting), Some(year)) => Some(language.say_with(
            "first.floor_built",
            &[("setting", &setting), ("year", &year.to_string())],
        )),
        (Some(setting), None) => Some(language.say_with("first.sentence", &[("text", &setting)])),
        (None, Some(year)) => {
            Some(language.say_with("first.built", &[("year", &year.to_string())]))
        }
        (None, None) => None,
    };
    let parts = [
        label,
        Some(language.say_with(
            "first.sentence",
            &[("text", &typed(&language.place(&report.place.label)))],
        )),
        floor,
        Some(language.say_with("first.visit", &[("day", &language.day(report.visit_date))])),
    ];
    joined(&parts.into_iter().flatten().collect::<Vec<_>>())
}

/// What counts of the newest day, by test, and the limit.
fn measured_line(language: Language, report: &Report, units: Units) -> String {
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
        let values = values_words(
            language,
            &of_test.iter().map(|it| it.measured).collect::<Vec<_>>(),
            units,
        );
        let meters: BTreeSet<&String> = of_test
            .iter()
            .filter_map(|it| it.meter_id.as_ref())
            .collect();
        let spots = language.say_with(
            if of_test.len() == 1 {
                "first.spot"
            } else {
                "first.spots"
            },
            &[("count", &of_test.len().to_string())],
        );
        let by = match meters.len() {
            0 => spots,
            1 => language.say_with("first.one_meter", &[("spots", &spots)]),
            count => language.say_with(
                "first.meters",
                &[("spots", &spots), ("count", &count.to_string())],
            ),
        };
        parts.push(language.say_with(
            "first.measured",
            &[
                ("test", short_test(language, test)),
                ("values", &values),
                ("by", &by),
            ],
        ));
    }
    if parts.is_empty() {
        parts.push(language.say("first.no_reading").to_string());
    }
    let earlier = used.iter().filter(|it| Some(it.date) != newest).count();
    if earlier == 1 {
        parts.push(language.say("first.earlier_one").to_string());
    } else if earlier > 1 {
        parts.push(language.say_with("first.earlier", &[("count", &earlier.to_string())]));
    }
    parts.push(limit_line(language, report, units));
    joined(&parts)
}

/// Values in a row, or the lowest and the highest where they are many.
fn values_words(language: Language, all: &[Measured], units: Units) -> String {
    let percent = |it: &Measured| match it {
        Measured::Percent(percent) => Some(*percent),
        _ => None,
    };
    let percents: Option<Vec<f64>> = all.iter().map(percent).collect();
    match percents {
        Some(percents) if percents.len() > READINGS_LISTED => {
            let low = percents.iter().copied().fold(f64::INFINITY, f64::min);
            let high = percents.iter().copied().fold(0.0, f64::max);
            language.say_with(
                "first.range",
                &[
                    ("low", &percent_in(language, low)),
                    ("high", &percent_in(language, high)),
                ],
            )
        }
        _ => all
            .iter()
            .map(|it| measured_in(language, *it, units))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

/// The name of a test in a word or two.
fn short_test(language: Language, test: ReadingKind) -> &'static str {
    language.say(match test {
        ReadingKind::Meter => "first.test.meter",
        ReadingKind::Probe => "first.test.probe",
        ReadingKind::CalciumChloride => "first.test.calcium_chloride",
        ReadingKind::Sheet => "first.test.sheet",
    })
}

/// The limit and who gave it; where there is a meter's limit alone, the test goes without saying.
fn limit_line(language: Language, report: &Report, units: Units) -> String {
    let limit = &report.limit;
    let text = match (
        limit.meter_percent,
        limit.probe_rh,
        limit.calcium_chloride_lb,
    ) {
        (Some(percent), None, None) => language.say_with(
            "limit.line",
            &[
                ("limits", &percent_in(language, percent)),
                ("source", &limit_source_in(language, limit)),
            ],
        ),
        _ => limit_in(language, limit, units),
    };
    language.say_with("first.sentence", &[("text", &typed(&text))])
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
pub fn headline_in(language: Language, report: &Report) -> String {
    let headline = &report.headline;
    match (headline.state, headline.grade) {
        (HeadlineState::OverToday, _) => language.say("headline.over_today").to_string(),
        (HeadlineState::NoEstimate, _) => language.say("refused.headline").to_string(),
        (HeadlineState::NoGrade, _) | (HeadlineState::Graded, None) => language
            .say(match report.advice {
                Advice::UnexplainedHigh | Advice::UnexplainedLow => "held.unexplained",
                _ if report.readings.iter().all(|it| it.withdrawn) => "held.no_reading",
                _ => "held.headline",
            })
            .to_string(),
        (HeadlineState::Graded, Some(_)) if is_for_home(report) => language
            .say(match report.grade {
                Some(Grade::Low) | None => "home.first.low",
                Some(Grade::Moderate) => "home.first.moderate",
                Some(Grade::High) => "home.first.high",
                Some(Grade::VeryHigh) => "home.first.very_high",
            })
            .to_string(),
        (HeadlineState::Graded, Some(grade)) => {
            let of = match headline.of {
                HeadlineOf::BareFloor => language.say("of.bare_floor"),
                HeadlineOf::QuotedSystem => {
                    language.say(&format!("of.{}", report.quoted_way.word()))
                }
            };
            language.say_with(
                "headline.risk",
                &[("grade", grade_name(language, report, grade)), ("of", of)],
            )
        }
    }
}

/// The name of a grade; low with something open is never more than "so far".
pub(super) fn grade_name(language: Language, report: &Report, grade: Grade) -> &'static str {
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
    if report.refused {
        return language.say("refused.headline").to_string();
    }
    let Some((grade, chance)) = report.grade.zip(report.exceedance_probability) else {
        let alone = report
            .before_reading
            .as_ref()
            .map_or_else(String::new, |it| language.chance(it.exceedance_probability));
        return language.say_with("page.what_if.held", &[("chance", &alone)]);
    };
    let mut parts = vec![
        grade_name(language, report, grade).to_string(),
        language.chance(chance),
    ];
    parts.extend(report.grade_raised_by.iter().map(|raise| {
        language
            .say(match raise {
                Raise::SpringDarkening => "page.raised.spring_darkening",
                Raise::StandingWater => "page.raised.standing_water",
            })
            .to_string()
    }));
    parts.join(", ")
}

/// Why a floor has no grade or no estimate.
pub(super) fn reason_in(language: Language, gate: &GateSaid) -> String {
    match language {
        Language::English => gate.reason.clone(),
        Language::Spanish => gate_words_in(language, &gate.id, GatePart::Reason),
    }
}

/// The month in which the floor is likely to read highest, where one stands out.
pub(super) fn wettest_month(language: Language, report: &Report) -> Option<&'static str> {
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
fn advice_words(language: Language, report: &Report) -> &'static str {
    let by_air = is_wet_by_air(report);
    let is_film = matches!(
        report.quoted_way,
        Way::FilmNow | Way::FilmAfterTest | Way::FilmAfterDrying | Way::FixOutside | Way::FixDrain
    );
    let of_another = report.headline.of == HeadlineOf::QuotedSystem && !is_film;
    language.say(match report.advice {
        Advice::High if of_another => "first.advice.high_other",
        Advice::VeryHigh if of_another => "first.advice.very_high_other",
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

fn risk(language: Language, report: &Report) -> Risk {
    let mut says = Vec::new();
    match report.headline.state {
        HeadlineState::NoEstimate | HeadlineState::NoGrade => {
            says.extend(
                report
                    .gates
                    .iter()
                    .map(|it| gate_words_in(language, &it.id, GatePart::Reason)),
            );
            if report.advice == Advice::UnexplainedHigh {
                says.push(language.say("held.reading_alone").to_string());
            }
        }
        HeadlineState::OverToday | HeadlineState::Graded => {
            says.push(advice_words(language, report).to_string());
            // Without a chance nobody would know why there is none.
            if report.held && report.leads.spot.is_none() {
                says.extend(
                    report
                        .gates
                        .iter()
                        .map(|it| gate_words_in(language, &it.id, GatePart::Reason)),
                );
            }
            says.extend(raise_shown(report).map(|raise| {
                language
                    .say(match raise {
                        Raise::SpringDarkening => "first.raised.spring_darkening",
                        Raise::StandingWater => "first.raised.standing_water",
                    })
                    .to_string()
            }));
        }
    }
    Risk {
        headline: headline_in(language, report),
        says: joined(&says),
    }
}

/// Signs of a bar that a chance fills: one for every five of 100 floors.
fn filled(chance: f64) -> usize {
    in_hundred(chance).map_or(if chance < 0.5 { 0 } else { 20 }, |it| it as usize / 5)
}

/// The bare floor in its wettest month, and the quoted system within five years.
fn bars(language: Language, report: &Report) -> Option<Bars> {
    let (title, bare) = match (report.exceedance_probability, &report.before_reading) {
        (Some(chance), _) => ("first.bars", chance),
        (None, Some(before)) => ("first.bars_answers", before.exceedance_probability),
        (None, None) => return None,
    };
    let limit = match (&report.limit.meter_percent, &report.limit.probe_rh) {
        (Some(percent), None) if report.limit.calcium_chloride_lb.is_none() => {
            percent_in(language, *percent)
        }
        _ => language.say("first.the_limit").to_string(),
    };
    let over = match wettest_month(language, report) {
        Some(month) => language.say_with(
            "first.bar.bare",
            &[
                ("count", &language.count(bare)),
                ("limit", &limit),
                ("month", month),
            ],
        ),
        None => language.say_with(
            "first.bar.bare_any",
            &[("count", &language.count(bare)), ("limit", &limit)],
        ),
    };
    let mut rows = vec![Bar {
        says: over,
        filled: filled(bare),
    }];
    let quoted = quoted_chance(report).filter(|_| !report.held && !is_for_home(report));
    if let Some(chance) = quoted {
        rows.push(Bar {
            says: language.say_with(
                if is_over_at_once(report) {
                    "first.bar.at_once"
                } else if counts_the_coated(report) {
                    "first.bar.way_coated"
                } else {
                    "first.bar.way"
                },
                &[
                    ("count", &language.count(chance)),
                    (
                        "problem",
                        language.say(&format!("problem.{}", report.quoted_way.word())),
                    ),
                ],
            ),
            filled: filled(chance),
        });
    }
    Some(Bars {
        title: language.say(title).to_string(),
        key: language.say("first.bars.key").to_string(),
        rows,
    })
}

/// Whether most of the quoted system's problems are that it is put down over its own limit, and
/// not the water of later years.
pub(super) fn is_over_at_once(report: &Report) -> bool {
    let quoted = report.quoted();
    quoted
        .and_then(|it| it.chance_1y.zip(it.liquid_wet_5y))
        .is_some_and(|(first_year, wet)| first_year > wet + AT_ONCE_MORE)
}

/// Whether the chance of the quoted system counts those floors alone that get coated: others do
/// not meet its condition.
pub(super) fn counts_the_coated(report: &Report) -> bool {
    let quoted = report.quoted();
    quoted.is_some_and(|it| it.not_put_down >= WORTH_SAYING)
}

/// Chance (0 to 1) of a problem with the quoted system within five years, of the floors that get
/// it.
pub(super) fn quoted_chance(report: &Report) -> Option<f64> {
    report.quoted().and_then(|it| it.chance_5y)
}

/// A clue as a sentence.
pub(super) fn clue_words(language: Language, report: &Report, clue: Clue) -> String {
    match (clue, report.springs_watched) {
        (Clue::DarkPatches | Clue::NoDarkPatches, Some(1)) => language
            .say(&format!("clue.{}.spring", clue.word()))
            .to_string(),
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
fn why(language: Language, report: &Report, room: Room) -> Option<String> {
    if report.held || report.refused {
        return None;
    }
    let is_wet = report.headline.grade >= Some(Grade::High);
    let (first, then) = if is_wet {
        (&report.clues_for, &report.clues_against)
    } else {
        (&report.clues_against, &report.clues_for)
    };
    let shown = match room {
        Room::Ample => CLUES_SHOWN,
        Room::Tight => CLUES_SHOWN - 1,
    };
    // A grade in the middle has reasons on both sides, where both are known.
    let is_between = report.headline.grade == Some(Grade::Moderate) && !then.is_empty();
    let is_between = is_between && shown > 1;
    let of_first = if is_between { shown - 1 } else { shown };
    let mut clues: Vec<Clue> = first.iter().copied().take(of_first).collect();
    if clues.len() < shown || is_between {
        clues.extend(then.iter().take(1));
    }
    let mut says: Vec<String> = clues
        .iter()
        .map(|it| clue_words(language, report, *it))
        .collect();
    let cause = likely_cause(report);
    if says.is_empty() {
        // Where room is short the likely source alone will do.
        if room == Room::Ample || cause.is_none() {
            says.push(language.say("first.no_clues").to_string());
        }
    } else if report.clues_for.is_empty() && report.headline.grade >= Some(Grade::Moderate) {
        // Good news alone is no reason for a grade that is not.
        says.insert(0, language.say("first.no_wet_clue").to_string());
        says.truncate(shown);
    }
    if let Some((cause, _)) = cause {
        // What is named as the source need not be named as a clue too.
        if cause == Cause::DrainageAtWalls {
            says.retain(|it| it != language.say("clue.water_at_walls"));
        }
        let name = language.say(&format!("source.{}", cause.word()));
        says.push(language.say_with("first.source", &[("cause", name)]));
    }
    Some(joined(&says))
}

/// Whether there is water that somebody can keep away from the floor, as far as is known.
fn has_water_to_fix(report: &Report) -> bool {
    report.open_points.contains(&OpenPoint::DrainageTrouble)
        || matches!(report.preferred_way, Some(Way::FixOutside | Way::FixDrain))
        || walls_are_wet(report)
}

/// What to tell the customer, to be read aloud; nothing where no estimate is given.
pub(super) fn customer_words(language: Language, report: &Report) -> Option<String> {
    let month = wettest_month(language, report);
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
    let is_read_today = report
        .readings
        .iter()
        .any(|it| !it.withdrawn && it.date == report.visit_date);
    let key = match (report.headline.state, report.advice) {
        (HeadlineState::NoEstimate, _) => return None,
        _ if is_for_home(report) => return None,
        (HeadlineState::NoGrade, _) if !is_read_today => "customer.no_grade_unread",
        (HeadlineState::NoGrade, _) => "customer.no_grade",
        (HeadlineState::OverToday, _) => "customer.over_today",
        (HeadlineState::Graded, _) if report.basis == Basis::Answers => "customer.answers",
        (HeadlineState::Graded, _) if report.headline.of == HeadlineOf::QuotedSystem => {
            match report.headline.grade {
                Some(Grade::Low) | None => "customer.quoted_low",
                Some(Grade::Moderate) => "customer.quoted_moderate",
                Some(_) if is_air => "customer.quoted_air",
                Some(Grade::High) if !has_water_to_fix(report) => "customer.quoted_test",
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
    let reason = report.gates.first().map_or_else(String::new, |it| {
        gate_words_in(language, &it.id, GatePart::Reason)
    });
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
fn options(language: Language, report: &Report) -> Option<Options> {
    if report.held || report.refused || is_for_home(report) {
        return None;
    }
    let rows: Vec<OptionRow> = report
        .options()
        .map(|it| OptionRow {
            count: match (&it.not_allowed, it.chance_5y) {
                (Some(_), _) => language.say("first.options.no").to_string(),
                (None, Some(chance)) => short_chance(chance),
                (None, None) => "-".to_string(),
            },
            name: language.say_with(
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
        title: language.say("first.options").to_string(),
        key: language.say(key).to_string(),
        rows,
    })
}

/// What to do next, with a day or a month where there is one.
pub(super) fn next_words(language: Language, report: &Report) -> String {
    let mut says: Vec<String> = Vec::new();
    match report.headline.state {
        HeadlineState::NoEstimate | HeadlineState::NoGrade => {
            for gate in &report.gates {
                says.push(gate_words_in(language, &gate.id, GatePart::Action));
            }
            let day = report.gates.iter().filter_map(|it| it.retest_after).max();
            says.extend(
                day.map(|it| language.say_with("first.not_before", &[("day", &language.day(it))])),
            );
        }
        HeadlineState::OverToday | HeadlineState::Graded => {
            if report.open_points.contains(&OpenPoint::DrainageTrouble)
                || report.leads.walls.is_some()
            {
                says.push(language.say("first.do.drainage").to_string());
            }
            // At walls that read wetter, what runs off outside comes first.
            if report.preferred_way == Some(Way::FixDrain) && !walls_are_wet(report) {
                says.push(language.say("first.do.drain").to_string());
            }
            if report.basis == Basis::Answers {
                says.push(language.say("first.do.read").to_string());
            } else if report.open_points.contains(&OpenPoint::FewSpots) {
                says.push(language.say("first.do.spots").to_string());
            }
            if report.provisional && report.headline.grade <= Some(Grade::Moderate) {
                says.push(language.say("first.do.limit").to_string());
            }
            match (over_today(report), &report.come_back) {
                (Some(it), _) => says.push(match it.come_back {
                    Some(day) => {
                        language.say_with("need.today.come_back", &[("day", &language.day(day))])
                    }
                    None => language.say("first.do.after_fix").to_string(),
                }),
                (None, Some(_)) if report.advice == Advice::Low => {}
                (None, Some(it)) => {
                    let to_go = report.month_to_go().unwrap_or(it.from);
                    let key = if report.is_the_coating() {
                        "first.do.test_depth"
                    } else if report.basis == Basis::Answers {
                        "first.do.again"
                    } else if to_go == it.from {
                        "first.do.come_back"
                    } else {
                        "first.do.come_back_other"
                    };
                    let month = if report.is_the_coating() {
                        it.from
                    } else {
                        to_go
                    };
                    says.push(language.say_with(
                        key,
                        &[
                            ("month", &month_of_in(language, month)),
                            ("wettest", language.month(report.wettest_month)),
                        ],
                    ));
                }
                (None, None) => says.push(language.say("first.do.no_season").to_string()),
            }
            if report.advice == Advice::Low {
                says.push(language.say("first.do.own_tests").to_string());
            }
            says.truncate(NEXT_SHOWN);
        }
    }
    joined(&says)
}

/// What a reading on the return visit is worth against a quote now, where the month comes out
/// and something is open.
fn return_visit_words(language: Language, report: &Report) -> Option<String> {
    let worth = report.second_reading.as_ref()?;
    report.come_back.as_ref()?;
    let is_open = worth.score_now >= GradeTable::bundled().return_least_open
        && report.basis == Basis::Reading
        && report.headline.state == HeadlineState::Graded
        && report.advice != Advice::Low
        && !report.is_the_coating()
        && !report.open_points.contains(&OpenPoint::FewSpots);
    if !is_open {
        return None;
    }
    let settles = worth.settles_in(worth.month_to_go);
    Some(if settles >= LITTLE_SETTLED {
        language.say_with("first.do.worth", &[("count", &language.count(settles))])
    } else {
        language.say("first.do.worth_little").to_string()
    })
}

/// The chance of the estimate by the answers alone, where the reading is left out.
pub(super) fn by_answers(language: Language, report: &Report) -> Option<String> {
    let before = report.before_reading.as_ref().filter(|_| report.held)?;
    Some(language.say_with(
        "answers_estimate",
        &[("chance", &language.chance(before.exceedance_probability))],
    ))
}
