//! One step of the interview: what was done, and the page to show now.

use super::session::{Restored, Session, Takes, months};
use super::{Reading, UnitsWord, Wrong};
use crate::survey::interview::{Interview, Pass, Step, takes_never};
use crate::survey::{AnsweredBy, FieldKind, UnitSystem, field, typed_unit, with_unit_beside};
use crate::words::{self, Language};
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
    /// "Not sure" is what was said.
    unsure: bool,
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
pub(super) fn step(mut kept: Session, reading: Reading, act: Act) -> Result<Said, Wrong> {
    let mut restored = kept.interview(reading.today)?;
    let mut error = None;
    let mut is_check = false;
    let interview = &mut restored.interview;
    match act {
        Act::Show => {}
        Act::Check => is_check = true,
        Act::Answer { text } => error = answer(interview, &mut kept, reading, text.trim()),
        Act::NotSure => error = answer(interview, &mut kept, reading, "not sure"),
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
            View::Question(Box::new(question(&restored, &kept, reading, &step, error)))
        }
        _ => check(&restored, &kept, reading.language),
    };
    Ok(Said { kept, view })
}

/// Takes an answer, or says why not; nothing that was typed is lost then.
fn answer(
    interview: &mut Interview,
    kept: &mut Session,
    Reading {
        units, language, ..
    }: Reading,
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
        return Some(language.say_with(key, &[("accepted", &interview.accepted(&step))]));
    }
    let text = words::heard(language, interview, &step, text);
    let text = with_unit_beside(&step.question.field, system_of(units), &text);
    if let Err(error) = interview.answer(&text) {
        return Some(words::fault(language, interview, &step, &error));
    }
    // "today" means another day tomorrow, so a day is kept as the day it was.
    let is_day = field(&step.question.field).is_some_and(|it| it.kind == FieldKind::Date);
    let said = interview.said_to(&step).filter(|_| is_day);
    kept.typed.insert(path, said.unwrap_or(text));
    kept.at = None;
    None
}

pub(super) fn system_of(units: UnitsWord) -> UnitSystem {
    match units {
        UnitsWord::Us => UnitSystem::Us,
        UnitsWord::Si => UnitSystem::Si,
    }
}

pub(super) fn question(
    restored: &Restored,
    kept: &Session,
    Reading {
        units, language, ..
    }: Reading,
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
            label: words::choice(language, it, who),
            chosen: said.as_deref() == Some(it.words(who)),
        })
        .chain(
            months()
                .into_iter()
                .filter(|_| takes == Takes::Months)
                .zip(1..)
                .map(|(it, month)| ChoiceView {
                    word: it.to_string(),
                    label: match language {
                        Language::English => it.to_string(),
                        Language::Spanish => language.month(month).to_string(),
                    },
                    chosen: typed.split(", ").any(|one| one == it),
                }),
        )
        .collect();
    let hint = match (takes, unit) {
        (Takes::Choice | Takes::Months | Takes::Date, _) => String::new(),
        (_, Some((unit, such_as))) => {
            language.say_with("page.hint.unit", &[("unit", unit), ("number", such_as)])
        }
        _ => accepted(language, interview, step),
    };
    let (answered, all) = interview.progress();
    QuestionView {
        section: words::section(language, step.question),
        progress: language.say_with(
            "page.progress",
            &[
                ("number", &(number(interview, &path)).to_string()),
                ("all", &all.to_string()),
            ],
        ),
        done: answered as f64 / all.max(1) as f64,
        words: asked(language, interview, step),
        why: words::why_asked(language, step.question),
        hint,
        takes,
        can_move: !choices.is_empty() && !step.question.is_per_reading() && takes == Takes::Choice,
        choices,
        unit: unit.map_or(String::new(), |it| it.0.to_string()),
        typed,
        unsure: said.as_deref() == Some("not sure"),
        said,
        not_sure: !step.question.is_needed(),
        never: takes_never(step),
        is_first: number(interview, &path) == 1,
        who,
        error: error.or_else(|| {
            restored
                .refused
                .get(&path)
                .map(|it| words::fault(language, interview, step, it))
        }),
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
pub(super) fn asked(language: Language, interview: &Interview, step: &Step) -> String {
    let whole = words::asked(language, step.question, interview.audience());
    let words = match whole.split_once(" (such as").or(whole.split_once(" (ZIP")) {
        Some((words, _)) => format!("{}?", words.trim_end_matches('?')),
        None => whole,
    };
    if step.question.is_per_reading() {
        language.say_with(
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

fn check(restored: &Restored, kept: &Session, language: Language) -> View {
    let interview = &restored.interview;
    let mut sections: Vec<SectionView> = Vec::new();
    for it in interview.answers() {
        let title = words::section(language, it.step.question);
        let path = it.step.path();
        let line = AnswerView {
            words: asked(language, interview, &it.step),
            said: match kept.typed.get(&path) {
                Some(typed) if typed == NEVER => language.say("page.answer.never").to_lowercase(),
                _ => words::said(language, interview, &it),
            },
            error: restored
                .refused
                .get(&path)
                .map(|error| words::fault(language, interview, &it.step, error)),
            path,
        };
        match sections.iter_mut().find(|it| it.title == title) {
            Some(section) => section.answers.push(line),
            None => sections.push(SectionView {
                title,
                answers: vec![line],
            }),
        }
    }
    let missing = missing(interview, language);
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
pub(super) fn missing(interview: &Interview, language: Language) -> Vec<String> {
    match (interview.visit(), language) {
        (Ok(_), _) => Vec::new(),
        (Err(_), Language::Spanish) => vec![language.say("talk.missing.all").to_string()],
        (Err(errors), Language::English) => errors.iter().map(|it| it.in_plain_words()).collect(),
    }
}

/// What may be typed, as a hint.
fn accepted(language: Language, interview: &Interview, step: &Step) -> String {
    match words::hint(language, interview, step) {
        none if none.is_empty() => none,
        accepted => language.say_with("page.hint", &[("accepted", &accepted)]),
    }
}

/// What was said to a question, or that nothing was.
pub(super) fn said_to(language: Language, interview: &Interview, step: &Step) -> String {
    interview
        .answers()
        .into_iter()
        .find(|it| it.step.path() == step.path())
        .map_or_else(
            || not_sure(language).to_string(),
            |it| words::said(language, interview, &it),
        )
}

/// The page's word for an answer that was not given.
pub(super) fn not_sure(language: Language) -> &'static str {
    language.say("page.not_sure")
}
