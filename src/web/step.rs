//! One step of the interview: what was done, and the page to show now.

use super::session::{Restored, Session, Takes, months};
use super::{UnitsWord, Wrong};
use crate::survey::interview::{Interview, Pass, Step, takes_never};
use crate::survey::{AnsweredBy, FieldKind, UnitSystem, field, typed_unit, with_unit_beside};
use crate::words::{say, say_with};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// What the person did.
#[derive(Debug, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum Act {
    /// Opened the page or switched the units.
    Show,
    Answer {
        text: String,
    },
    NotSure,
    Back,
    /// Wants to change an answer.
    Go {
        path: String,
    },
    /// Goes on with the rest of the questions.
    Rest,
    /// Looks at all answers.
    Check,
}

/// What the device keeps from now on, and what it shows.
#[derive(Debug, Serialize)]
pub(super) struct Said {
    kept: Session,
    view: View,
}

#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum View {
    Question(Box<QuestionView>),
    Check(CheckView),
}

#[derive(Debug, Serialize)]
pub(super) struct QuestionView {
    path: String,
    section: String,
    /// "Question 5 of about 27".
    progress: String,
    /// The same as a share, for a bar.
    done: f64,
    /// The question.
    words: String,
    why: String,
    hint: String,
    takes: Takes,
    choices: Vec<ChoiceView>,
    /// The unit beside the box, or nothing.
    unit: String,
    /// What stands in the box.
    typed: String,
    /// What was said before, in plain words; absent where nothing was.
    said: Option<String>,
    /// "Not sure" is an answer here.
    not_sure: bool,
    /// "None or never" is an answer here.
    never: bool,
    is_first: bool,
    /// Who is asked.
    who: AnsweredBy,
    /// Why the answer was not taken.
    error: Option<String>,
    /// Whether the moves of each answer can be told.
    can_move: bool,
}

#[derive(Debug, Serialize)]
struct ChoiceView {
    word: String,
    label: String,
    chosen: bool,
}

#[derive(Debug, Serialize)]
struct CheckView {
    sections: Vec<SectionView>,
    /// How many questions of the rest are open; none are asked yet.
    rest_open: usize,
    /// Questions of this pass that are still open.
    open: usize,
    who: AnsweredBy,
    /// What the result still needs.
    missing: Vec<String>,
}

#[derive(Debug, Serialize)]
struct SectionView {
    title: String,
    answers: Vec<AnswerView>,
}

#[derive(Debug, Serialize)]
struct AnswerView {
    path: String,
    words: String,
    said: String,
    error: Option<String>,
}

/// Does one thing and says what to show.
pub(super) fn step(
    mut kept: Session,
    units: UnitsWord,
    today: Option<NaiveDate>,
    act: Act,
) -> Result<Said, Wrong> {
    let mut restored = kept.interview(today)?;
    let mut error = None;
    let mut is_check = false;
    let interview = &mut restored.interview;
    match act {
        Act::Show => {}
        Act::Check => is_check = true,
        Act::Answer { text } => error = answer(interview, &mut kept, units, text.trim()),
        Act::NotSure => error = answer(interview, &mut kept, units, "not sure"),
        Act::Back => {
            interview.back();
            kept.at = interview.current().map(|it| it.path());
        }
        Act::Rest => {
            kept.rest = true;
            kept.at = None;
            interview.go_on_with_more();
        }
        Act::Go { path } => {
            if !interview.go_to(&path) {
                kept.rest = true;
                interview.go_on_with_more();
                interview.go_to(&path);
            }
            kept.at = Some(path);
        }
    }
    let view = match restored.interview.current() {
        Some(step) if !is_check => {
            View::Question(Box::new(question(&restored, &kept, units, &step, error)))
        }
        _ => check(&restored, &kept),
    };
    Ok(Said { kept, view })
}

/// Takes an answer, or says why not; nothing that was typed is lost then.
fn answer(
    interview: &mut Interview,
    kept: &mut Session,
    units: UnitsWord,
    text: &str,
) -> Option<String> {
    let step = interview.current()?;
    let path = step.path();
    if text.is_empty() {
        let key = if step.question.is_needed() {
            "page.error.needed"
        } else {
            "page.error.empty"
        };
        return Some(say_with(key, &[("accepted", &interview.accepted(&step))]));
    }
    let text = with_unit_beside(&step.question.field, system_of(units), text);
    if let Err(error) = interview.answer(&text) {
        return Some(interview.told(&step, &error));
    }
    // "today" means another day tomorrow, so a day is kept as the day it was.
    let is_day = field(&step.question.field).is_some_and(|it| it.kind == FieldKind::Date);
    let said = interview.said_to(&step).filter(|_| is_day);
    kept.typed.insert(path, said.unwrap_or(text));
    kept.at = None;
    None
}

fn system_of(units: UnitsWord) -> UnitSystem {
    match units {
        UnitsWord::Us => UnitSystem::Us,
        UnitsWord::Si => UnitSystem::Si,
    }
}

pub(super) fn question(
    restored: &Restored,
    kept: &Session,
    units: UnitsWord,
    step: &Step,
    error: Option<String>,
) -> QuestionView {
    let interview = &restored.interview;
    let path = step.path();
    let who = interview.audience();
    let takes = Takes::of(interview, step);
    let said = said(interview, kept, step);
    let typed = kept
        .typed
        .get(&path)
        .filter(|it| said.as_deref() != Some("not sure") && *it != NEVER)
        .cloned()
        .or_else(|| said.clone().filter(|it| it != "not sure" && it != NEVER))
        .or_else(|| interview.default(step))
        .unwrap_or_default();
    let unit = typed_unit(&step.question.field).map(|it| it.pair(system_of(units)));
    let choices: Vec<ChoiceView> = interview
        .choices(step)
        .iter()
        .map(|it| ChoiceView {
            word: it.word.clone(),
            label: it.words(who).to_string(),
            chosen: said.as_deref() == Some(it.words(who)),
        })
        .chain(
            months()
                .into_iter()
                .filter(|_| takes == Takes::Months)
                .map(|it| ChoiceView {
                    word: it.to_string(),
                    label: it.to_string(),
                    chosen: typed.split(", ").any(|one| one == it),
                }),
        )
        .collect();
    let hint = match (takes, unit) {
        (Takes::Choice | Takes::Months | Takes::Date, _) => String::new(),
        (_, Some((unit, such_as))) => {
            say_with("page.hint.unit", &[("unit", unit), ("number", such_as)])
        }
        _ => say_with(
            "page.hint",
            &[("accepted", &interview.accepted(step).replace(" | ", " or "))],
        ),
    };
    let (answered, all) = interview.progress();
    QuestionView {
        section: step.question.section.clone(),
        progress: say_with(
            "page.progress",
            &[
                ("number", &(number(interview, &path)).to_string()),
                ("all", &all.to_string()),
            ],
        ),
        done: answered as f64 / all.max(1) as f64,
        words: words(interview, step),
        why: step.question.why.clone(),
        hint,
        takes,
        can_move: !choices.is_empty() && !step.question.is_per_reading() && takes == Takes::Choice,
        choices,
        unit: unit.map_or(String::new(), |it| it.0.to_string()),
        typed,
        said,
        not_sure: !step.question.is_needed(),
        never: takes_never(step),
        is_first: number(interview, &path) == 1,
        who,
        error: error.or_else(|| restored.refused.get(&path).map(|it| it.in_plain_words())),
        path,
    }
}

const NEVER: &str = "never";

/// What was said to a question; "never" is kept as such.
fn said(interview: &Interview, kept: &Session, step: &Step) -> Option<String> {
    let said = interview.said_to(step)?;
    match kept.typed.get(&step.path()) {
        Some(typed) if typed == NEVER => Some(typed.clone()),
        _ => Some(said),
    }
}

fn number(interview: &Interview, path: &str) -> usize {
    1 + interview
        .steps()
        .iter()
        .position(|it| it.path() == path)
        .unwrap_or(0)
}

/// The question, with the number of its reading, without examples that the hint gives.
pub(super) fn words(interview: &Interview, step: &Step) -> String {
    let whole = step.question.words(interview.audience());
    let words = match whole.split_once(" (such as").or(whole.split_once(" (ZIP")) {
        Some((words, _)) => format!("{}?", words.trim_end_matches('?')),
        None => whole.to_string(),
    };
    if step.question.is_per_reading() {
        say_with(
            "page.of_reading",
            &[
                ("number", &(step.reading + 1).to_string()),
                ("question", &words),
            ],
        )
    } else {
        words
    }
}

fn check(restored: &Restored, kept: &Session) -> View {
    let interview = &restored.interview;
    let mut sections: Vec<SectionView> = Vec::new();
    for it in interview.answers() {
        let title = &it.step.question.section;
        let path = it.step.path();
        let line = AnswerView {
            words: words(interview, &it.step),
            said: said(interview, kept, &it.step).unwrap_or(it.said),
            error: restored.refused.get(&path).map(|it| it.in_plain_words()),
            path,
        };
        match sections.iter_mut().find(|it| it.title == *title) {
            Some(section) => section.answers.push(line),
            None => sections.push(SectionView {
                title: title.clone(),
                answers: vec![line],
            }),
        }
    }
    let missing = missing(interview);
    let (answered, all) = interview.progress();
    View::Check(CheckView {
        sections,
        rest_open: if interview.depth() == Pass::Quick {
            interview.open_in_more()
        } else {
            0
        },
        open: all - answered,
        who: interview.audience(),
        missing,
    })
}

/// What the result still needs, as sentences.
pub(super) fn missing(interview: &Interview) -> Vec<String> {
    match interview.visit() {
        Ok(_) => Vec::new(),
        Err(errors) => errors.iter().map(|it| it.in_plain_words()).collect(),
    }
}

/// The page's word for an answer that was not given.
pub(super) fn not_sure() -> &'static str {
    say("page.not_sure")
}
