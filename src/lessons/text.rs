//! A lesson for a terminal of 80 columns or a printed sheet.

use super::lesson::LessonView;
use super::result::{LessonResult, WayResult};
use crate::report::Page;
use crate::season::MONTH_NAMES;
use crate::words::{Language, say, say_with};
use chrono::NaiveDate;

/// Columns of the bar of a month for each percent.
const BAR_PER_PERCENT: f64 = 8.0;
/// Longest bar.
const BAR_MOST: usize = 56;
/// Columns that the month and its number take beside a bar.
const BAR_BESIDE: usize = 16;

/// What a learner sees of a floor.
pub fn view_text(view: &LessonView, width: usize) -> String {
    let mut page = Page::new(width);
    view_on(&mut page, view);
    page.done()
}

pub(super) fn view_on(page: &mut Page, view: &LessonView) {
    page.line("");
    page.line(&say_with(
        "lesson.head",
        &[("number", &view.number.to_string()), ("town", &view.town)],
    ));
    let date = view.visit_date.parse().map_or_else(
        |_| view.visit_date.clone(),
        |it: NaiveDate| Language::English.day(it),
    );
    let readings: Vec<String> = view
        .readings
        .iter()
        .map(|it| format!("{it:.1} %"))
        .collect();
    let checked = if view.meter_checked {
        format!(" {}", say("lesson.meter_checked"))
    } else {
        String::new()
    };
    page.paragraph(&format!(
        "{}{checked}",
        say_with(
            "lesson.read",
            &[
                ("date", &date),
                ("readings", &readings.join(", ")),
                ("limit", &format!("{:.1}", view.limit_percent)),
            ],
        )
    ));
    let known = |is_asked: bool| -> Vec<String> {
        view.told
            .iter()
            .filter(|it| it.letter.is_some() == is_asked)
            .map(|it| format!("{}: {}", it.label, it.answer))
            .collect()
    };
    page.paragraph(&format!("{}.", known(false).join("; ")));
    let asked = known(true);
    if !asked.is_empty() {
        page.paragraph(&say_with(
            match view.minutes {
                1 => "lesson.asked_one",
                _ => "lesson.asked",
            },
            &[
                ("minutes", &view.minutes.to_string()),
                ("answers", &asked.join("; ")),
            ],
        ));
    }
}

/// The questions that can still be asked.
pub fn questions_text(view: &LessonView, width: usize) -> String {
    let mut page = Page::new(width);
    questions_on(&mut page, view);
    page.done()
}

/// Two to a line.
pub(super) fn questions_on(page: &mut Page, view: &LessonView) {
    page.paragraph(say("lesson.may_ask"));
    let each: Vec<String> = view
        .to_ask
        .iter()
        .map(|it| {
            say_with(
                "lesson.ask_line",
                &[
                    ("letter", &it.letter.to_string()),
                    ("label", &it.label),
                    ("minutes", &it.minutes.to_string()),
                ],
            )
        })
        .collect();
    for pair in each.chunks(2) {
        let second = pair.get(1).map_or("", |it| it.as_str());
        let line = format!("  {:<41} {second}", pair[0]);
        if line.chars().count() <= page.width() {
            page.line(&line);
        } else {
            pair.iter().for_each(|it| page.line(&format!("  {it}")));
        }
    }
}

/// What the floor did, and how the guess is judged.
pub fn result_text(view: &LessonView, result: &LessonResult, width: usize) -> String {
    let mut page = Page::new(width);
    page.title(say("lesson.year_title"));
    year_on(&mut page, view.limit_percent, result);
    for part in judged(result) {
        part.title.iter().for_each(|it| page.title(it));
        part.says.iter().for_each(|it| page.paragraph(it));
    }
    page.done()
}

/// Part of the judgement of a guess.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// Its heading, where it has one.
    pub title: Option<&'static str>,
    /// Sentences, each a paragraph.
    pub says: Vec<String>,
}

/// How the guess is judged: the chance, the source, the option, what was told wrong.
pub fn judged(result: &LessonResult) -> Vec<Judged> {
    judged_in(Language::English, result)
}

/// The same in a language.
pub fn judged_in(language: Language, result: &LessonResult) -> Vec<Judged> {
    let model = result
        .model_chance
        .map_or(language.say("lesson.held").to_string(), |it| {
            language.chance(it)
        });
    let mut says = vec![language.say_with(
        "lesson.chances",
        &[
            ("stated", &language.chance(result.stated)),
            ("model", &model),
            ("grade", &super::result::grade_of(language, result)),
        ],
    )];
    says.extend(super::result::coated_said(language, result));
    if let Some(lost) = result.lost {
        let lost = format!("{lost:.2}");
        says.push(language.say_with("lesson.lost", &[("lost", &lost)]));
    }
    if let Some(named) = result.named_a_likely_cause {
        let key = if named {
            "lesson.cause_likely"
        } else {
            "lesson.cause_unlikely"
        };
        says.push(language.say(key).to_string());
    }
    says.push(causes(language, result));
    let mut parts = vec![Judged {
        title: Some(language.say("lesson.chance_title")),
        says,
    }];
    if let Some(way) = &result.way {
        let mut says = way_says(language, way);
        if !way.is_sound {
            says.push(sound(language, result));
        }
        parts.push(Judged {
            title: Some(language.say("lesson.way_title")),
            says,
        });
    }
    let wrong: Vec<String> = result
        .told_wrong
        .iter()
        .map(|it| {
            let question = language.say(&format!("question.{it}"));
            language.say_with("lesson.was_wrong", &[("question", question)])
        })
        .collect();
    if !wrong.is_empty() {
        parts.push(Judged {
            title: None,
            says: wrong,
        });
    }
    parts
}

pub(super) fn year_on(page: &mut Page, limit: f64, result: &LessonResult) {
    // On a narrow page the bars shrink together, so that none is broken.
    let room = page.width().saturating_sub(BAR_BESIDE).clamp(8, BAR_MOST);
    let per_percent = BAR_PER_PERCENT * room as f64 / BAR_MOST as f64;
    let column = |percent: f64| ((percent * per_percent).round() as usize).min(room);
    for it in &result.months {
        let mut bar: Vec<char> = "#".repeat(column(it.reading)).chars().collect();
        let at = column(limit);
        bar.resize(bar.len().max(at + 1), ' ');
        bar[at] = if it.reading > limit { '+' } else { '|' };
        let bar: String = bar.into_iter().collect();
        page.line(&format!(
            "  {}  {:4.1} %  {bar}",
            &MONTH_NAMES[it.month as usize - 1][..3],
            it.reading
        ));
    }
    page.paragraph(say(if result.over {
        "lesson.went_over"
    } else {
        "lesson.stayed_under"
    }));
}

pub(super) fn causes(language: Language, result: &LessonResult) -> String {
    let likely: Vec<String> = result
        .likely_causes
        .iter()
        .map(|(cause, chance)| {
            format!(
                "{} ({})",
                language.say(&format!("cause.{}", cause.word())),
                language.chance(*chance)
            )
        })
        .collect();
    language.say_with(
        "lesson.causes",
        &[
            ("likely", &likely.join("; ")),
            (
                "true",
                language.say(&format!("cause.{}", result.true_cause.word())),
            ),
        ],
    )
}

pub(super) fn sound(language: Language, result: &LessonResult) -> String {
    let names: Vec<&str> = result
        .sound_ways
        .iter()
        .map(|it| language.say(&format!("way.{}", it.word())))
        .collect();
    language.say_with("lesson.sound_ways", &[("ways", &names.join("; "))])
}

fn way_says(language: Language, way: &WayResult) -> Vec<String> {
    let mut res = vec![format!(
        "{} {}",
        language.say(&format!("lesson.call.{}", way.call.word())),
        language.say_with(
            "lesson.way_chance",
            &[
                ("way", language.say(&format!("way.{}", way.way.word()))),
                ("chance", &language.chance(way.chance_5y)),
            ],
        )
    )];
    if way.way == crate::verdict::ways::Way::Decline {
        let key = if way.gave_way {
            "lesson.declined_wet"
        } else {
            "lesson.declined_dry"
        };
        res.push(language.say(key).to_string());
        return res;
    }
    if !way.put_down {
        res.push(language.say("lesson.not_put_down").to_string());
        return res;
    }
    let years: Vec<String> = way
        .years
        .iter()
        .map(|it| {
            format!(
                "{}: {:.0} %{}",
                it.year,
                100.0 * it.highest_bond,
                it.over_in_month.map_or(String::new(), |month| format!(
                    " ({})",
                    language.say_with("lesson.over_in_month", &[("month", &month.to_string())])
                ))
            )
        })
        .collect();
    res.push(language.say_with("lesson.bond", &[("years", &years.join("; "))]));
    res
}
