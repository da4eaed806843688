//! Questions, their choices and their answers in the reader's language. What an answer means
//! is in `survey::interview`, which hears English; this turns what was typed into that.

use super::Language;
use super::language::{is_no_se, months_read, unaccented};
use crate::survey::interview::{Answer, Choice, Interview, Question, Step, takes_never};
use crate::survey::{AnsweredBy, FieldError, FieldKind, Raw, field, get_field};

/// A question.
pub fn asked(language: Language, question: &Question, audience: AnsweredBy) -> String {
    let english = question.words(audience);
    spoken(
        language,
        &format!("interview.{}.ask", question.field),
        english,
    )
}

/// Why it is asked.
pub fn why_asked(language: Language, question: &Question) -> String {
    spoken(
        language,
        &format!("interview.{}.why", question.field),
        &question.why,
    )
}

/// The part of the interview that it belongs to.
pub fn section(language: Language, question: &Question) -> String {
    let key = question.section.to_lowercase().replace(' ', "_");
    spoken(
        language,
        &format!("interview.section.{key}"),
        &question.section,
    )
}

/// An answer to choose.
pub fn choice(language: Language, choice: &Choice, audience: AnsweredBy) -> String {
    let key = format!("choice.{}.{}", choice.field, choice.word);
    spoken(language, &key, choice.words(audience))
}

fn spoken(language: Language, key: &str, english: &str) -> String {
    match language {
        Language::English => english.to_string(),
        Language::Spanish => language.own(key).unwrap_or(english).to_string(),
    }
}

/// What may be typed, as an example; empty where the question itself has one.
pub fn hint(language: Language, interview: &Interview, step: &Step) -> String {
    if language == Language::English {
        return interview.accepted(step).replace(" | ", " or ");
    }
    let name = &step.question.field;
    let of_kind = get_field(&interview.draft(), &step.path().replace(".value", ".kind"))
        .ok()
        .flatten()
        .filter(|_| name == "reading.value");
    let own = |key: String| language.own(&key).map(str::to_string);
    let special = match of_kind {
        Some(Raw::Text(kind)) => own(format!("interview.{name}.hint.{kind}")),
        _ => None,
    };
    special
        .or_else(|| own(format!("interview.{name}.hint")))
        .unwrap_or_default()
}

/// What was said to a question.
pub fn said(language: Language, interview: &Interview, answer: &Answer) -> String {
    let step = &answer.step;
    if language == Language::English {
        // A day is kept as a file has it, and told as people say it.
        let day = get_field(&interview.draft(), &step.path()).ok().flatten();
        return match day {
            Some(Raw::Date(day)) if answer.said != "not sure" => language.day(day),
            _ => answer.said.clone(),
        };
    }
    if answer.said == "not sure" {
        return language.say("talk.not_sure").to_string();
    }
    let raw = get_field(&interview.draft(), &step.path()).ok().flatten();
    match raw {
        Some(Raw::List(months)) if is_months(step) => {
            let names: Vec<&str> = months
                .iter()
                .filter_map(|it| match it {
                    Raw::Integer(month) => u32::try_from(*month).ok(),
                    Raw::Bool(_) | Raw::Float(_) | Raw::Text(_) | Raw::List(_) | Raw::Date(_) => {
                        None
                    }
                })
                .filter(|it| (1..=12).contains(it))
                .map(|it| language.month(it))
                .collect();
            language.listed(&names)
        }
        Some(Raw::Date(day)) => language.day(day),
        Some(other) => {
            let word = other.to_text();
            interview
                .choices(step)
                .into_iter()
                .find(|it| it.word == word)
                .map_or_else(
                    || answer.said.clone(),
                    |it| choice(language, it, interview.audience()),
                )
        }
        None => answer.said.clone(),
    }
}

fn is_months(step: &Step) -> bool {
    field(&step.question.field).is_some_and(|it| it.kind == FieldKind::Months)
}

/// What is wrong with an answer, to somebody who typed it.
pub fn fault(language: Language, interview: &Interview, step: &Step, error: &FieldError) -> String {
    if language == Language::English {
        return interview.told(step, error);
    }
    let kind = field(&step.question.field).map(|it| it.kind);
    let key = match kind {
        _ if !interview.choices(step).is_empty() => "talk.error.choice",
        Some(FieldKind::Date) => "talk.error.date",
        Some(FieldKind::Whole | FieldKind::Version) => "talk.error.year",
        Some(FieldKind::Months) => "talk.error.months",
        Some(FieldKind::WithUnit(_)) => "talk.error.unit",
        Some(FieldKind::Text | FieldKind::WeatherMonths) => "talk.error.text",
        Some(FieldKind::Postal | FieldKind::Station) => "talk.error.place",
        Some(
            FieldKind::YesNo
            | FieldKind::Words(_)
            | FieldKind::Number
            | FieldKind::Humidity
            | FieldKind::ProbePercent
            | FieldKind::ReadingValue,
        ) => "talk.error.number",
        None => "talk.error.place",
    };
    let example = match kind {
        Some(FieldKind::WithUnit(example)) => example,
        _ => "",
    };
    language.say_with(key, &[("example", example)])
}

/// What somebody typed, as the interview hears it. Both languages are read whatever is shown,
/// but for free text, which stays as it is.
pub fn heard(language: Language, interview: &Interview, step: &Step, typed: &str) -> String {
    let kind = field(&step.question.field).map(|it| it.kind);
    let plain = unaccented(typed);
    if is_no_se(typed) {
        return "not sure".to_string();
    }
    if kind == Some(FieldKind::Text) {
        return typed.to_string();
    }
    if is_months(step)
        && let Some(english) = months_read(typed)
    {
        return english;
    }
    if plain == "hoy" && kind == Some(FieldKind::Date) {
        return "today".to_string();
    }
    if takes_never(step) && matches!(plain.as_str(), "nunca" | "ninguno" | "ninguna") {
        return "never".to_string();
    }
    let choices = interview.choices(step);
    if let Some(it) = choices
        .iter()
        .find(|it| unaccented(&choice(language, it, interview.audience())) == plain)
    {
        return it.word.clone();
    }
    if matches!(plain.as_str(), "si" | "s") && !choices.is_empty() {
        return "yes".to_string();
    }
    if language != Language::English
        && let Some(word) = begun(language, interview, step, &plain)
    {
        return word;
    }
    typed.to_string()
}

/// The word of the one choice that begins so in the reader's language, or of the one that holds
/// these words: "mas bajo" and "bajo".
fn begun(language: Language, interview: &Interview, step: &Step, plain: &str) -> Option<String> {
    if plain.chars().count() < 2 {
        return None;
    }
    let labels: Vec<(String, String)> = interview
        .choices(step)
        .into_iter()
        .map(|it| {
            let label = unaccented(&choice(language, it, interview.audience()));
            (label, it.word.clone())
        })
        .collect();
    let only = |fits: &dyn Fn(&str) -> bool| {
        let mut found = labels.iter().filter(|it| fits(&it.0));
        match (found.next(), found.next()) {
            (Some(it), None) => Some(it.1.clone()),
            _ => None,
        }
    };
    let words = format!(" {plain} ");
    only(&|label| label.starts_with(plain))
        .or_else(|| only(&|label| format!(" {label} ").contains(&words)))
}
