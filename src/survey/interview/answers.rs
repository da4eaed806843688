//! What typed text means at a question, and what a question takes.

use super::super::dates::{DateOrder, day_from_text, year_from_text};
use super::super::field::FieldKind;
use super::super::fields::{field, indexed, with_unit};
use super::super::raw::Raw;
use super::super::typed_units::{UnitSystem, typed_unit, with_unit_beside};
use super::super::visit::*;
use super::questions::{Choice, Step, offered, questions};
use chrono::NaiveDate;

/// Short names of the months, in order.
pub const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// A question as it is being answered.
pub(super) struct Asked<'a> {
    pub step: &'a Step,
    /// How the reading was taken, where the question is about one.
    pub kind: Option<ReadingKind>,
    pub audience: AnsweredBy,
    pub today: Option<NaiveDate>,
    /// The units of bare numbers.
    pub units: UnitSystem,
}

impl Asked<'_> {
    pub(super) fn choices(&self) -> Vec<&'static Choice> {
        offered(self.step, self.kind)
    }

    /// What the current question takes, for a hint.
    pub(super) fn accepted(&self) -> String {
        let choices = self.choices();
        if !choices.is_empty() {
            let labels: Vec<&str> = choices.iter().map(|it| it.words(self.audience)).collect();
            return labels.join(" | ");
        }
        let name = self.step.question.field.as_str();
        if let Some((unit, such_as)) = typed_unit(name).map(|it| it.pair(self.units)) {
            return format!("a number in {unit}, like {such_as}");
        }
        match self.kind.filter(|_| name == "reading.value") {
            Some(ReadingKind::Probe) => "percent RH, like 85".to_string(),
            Some(ReadingKind::CalciumChloride) => {
                "pounds per 1000 square feet in 24 hours, like 3.1".to_string()
            }
            Some(ReadingKind::Meter | ReadingKind::Sheet) | None => self.step.question.hint.clone(),
        }
    }

    /// The word of the choice that was meant: by number, word, label or its beginning.
    pub(super) fn chosen(&self, text: &str) -> Option<String> {
        let choices = self.choices();
        let lower = text.trim().to_lowercase();
        if let Ok(number) = lower.parse::<usize>() {
            let choice = number.checked_sub(1).and_then(|it| choices.get(it));
            return choice.map(|it| it.word.clone());
        }
        let same_word = |it: &&&Choice| it.word.replace('_', " ") == lower.replace(['_', '-'], " ");
        let same_label = |it: &&&Choice| {
            [&it.label, &it.label_home]
                .iter()
                .any(|label| label.to_lowercase() == lower)
        };
        let exact = choices
            .iter()
            .find(same_word)
            .or_else(|| choices.iter().find(same_label));
        if let Some(it) = exact {
            return Some(it.word.clone());
        }
        if let Some(word) = yes_or_no(&lower)
            && let Some(it) = choices.iter().find(|it| it.word == word)
        {
            return Some(it.word.clone());
        }
        if let Some(word) = self.yes_or_no_among(&choices, &lower) {
            return Some(word);
        }
        // "Does surface water drain away from the walls?" is a yes or a no to a person.
        if self.step.question.field == "lot.drainage"
            && let Some(word) = yes_or_no(&lower)
        {
            return Some(if word == "true" { "sound" } else { "failing" }.to_string());
        }
        // A meter's mark, such as "R" or "A", is no scale.
        let is_mark = self.step.question.field == "reading.scale" && lower.len() < 3;
        let begins = |label: &str| !is_mark && label.to_lowercase().starts_with(&lower);
        let here: Vec<&&'static Choice> = choices
            .iter()
            .filter(|it| begins(&it.word) || begins(it.words(self.audience)))
            .collect();
        match here[..] {
            [it] => Some(it.word.clone()),
            // Nothing in the words that are shown: the other audience's may say it.
            [] => only(
                choices
                    .iter()
                    .filter(|it| begins(&it.label) || begins(&it.label_home)),
            ),
            _ => None,
        }
    }

    /// Whether the text is one number, with its unit at most.
    pub(super) fn is_one_value(&self, text: &str) -> bool {
        matches!(self.meant(text).1, Raw::Float(_))
    }

    /// Yes and no at a question that has other words for them.
    fn yes_or_no_among(&self, choices: &[&'static Choice], lower: &str) -> Option<String> {
        let wanted: &[&str] = match yes_or_no(lower)? {
            // Further readings are mostly by the same meter; a first one has its kind asked.
            "true" => &["yes", "same", "other", "running", "seen"],
            _ => &["no", "none", "dry", "absent"],
        };
        wanted
            .iter()
            .find_map(|word| choices.iter().find(|it| it.word == *word))
            .map(|it| it.word.clone())
    }

    /// The field and the value that typed text means at a question.
    pub(super) fn meant(&self, text: &str) -> (String, Raw) {
        let name = self.step.question.field.as_str();
        let path = self.step.path();
        if !self.choices().is_empty() {
            let word = self.chosen(text).unwrap_or_else(|| text.to_string());
            return (
                path,
                match (name, word.as_str()) {
                    ("reading.value", "damp") => Raw::Bool(true),
                    ("reading.value", "dry") => Raw::Bool(false),
                    _ => Raw::Text(word),
                },
            );
        }
        if name == "reading.value" {
            let is_percent = matches!(self.kind, Some(ReadingKind::Meter | ReadingKind::Probe));
            let bare = without_unit(name, text);
            let bare = if is_percent {
                bare.trim_end_matches(['%', ' '])
            } else {
                bare
            };
            let raw = bare
                .parse::<f64>()
                .map_or_else(|_| Raw::Text(text.to_string()), Raw::Float);
            return (path, raw);
        }
        if let Some(other) = with_unit(name) {
            let text = with_unit_beside(name, self.units, text);
            return (indexed(other.path, self.step.reading), Raw::Text(text));
        }
        let kind = field(name).map(|it| it.kind);
        let year = year_from_text(text).filter(|_| name == "floor.year_built");
        if let Some(year) = year {
            return (path, Raw::Integer(year.into()));
        }
        let text = match kind {
            Some(FieldKind::Date) => self.day(text),
            // No room has a humidity of 62 as a fraction, so a bare 62 can only be percent.
            Some(FieldKind::Humidity)
                if text.parse::<f64>().is_ok_and(|it| it > 1.0 && it <= 100.0) =>
            {
                format!("{text}%")
            }
            _ => without_unit(name, text).to_string(),
        };
        (path, Raw::Text(text))
    }

    /// A day as it was typed; what is no day stays, to be refused.
    fn day(&self, text: &str) -> String {
        day_from_text(text, self.today, Some(DateOrder::MonthFirst))
            .map_or_else(|_| text.to_string(), |it| it.to_string())
    }
}

/// The word of the visit file for an answer in the words of a question: one of its labels, or
/// yes or no. No numbers of a list, and no beginnings: nobody sees a list in a spreadsheet.
pub fn word_of(path: &str, text: &str) -> Option<String> {
    let question = questions().iter().find(|it| it.field == path)?;
    let step = Step {
        question,
        reading: 0,
    };
    let asked = Asked {
        step: &step,
        kind: None,
        audience: AnsweredBy::Estimator,
        today: None,
        units: UnitSystem::default(),
    };
    let lower = text.trim().to_lowercase();
    let choices = asked.choices();
    let by_label = choices
        .iter()
        .find(|it| {
            [&it.label, &it.label_home]
                .iter()
                .any(|label| label.to_lowercase() == lower)
        })
        .map(|it| it.word.clone());
    by_label.or_else(|| asked.yes_or_no_among(&choices, &lower))
}

/// The word of the one choice there is.
fn only<'c>(mut choices: impl Iterator<Item = &'c &'static Choice>) -> Option<String> {
    match (choices.next(), choices.next()) {
        (Some(it), None) => Some(it.word.clone()),
        _ => None,
    }
}

pub(super) fn is_not_sure(text: &str) -> bool {
    matches!(
        text.trim().to_lowercase().replace(['_', '-'], " ").as_str(),
        "not sure"
            | "unknown"
            | "don't know"
            | "dont know"
            | "do not know"
            | "unsure"
            | "n/a"
            | "?"
            | "no se"
            | "no sé"
    )
}

pub(super) fn is_never(text: &str) -> bool {
    matches!(text.to_lowercase().as_str(), "no" | "n" | "never" | "none")
}

/// Where "never" is no number and no day, the field stays empty.
pub fn takes_never(step: &Step) -> bool {
    matches!(
        step.question.field.as_str(),
        "floor.last_wetted_days"
            | "floor.cover_removed_days"
            | "lot.drainage_work_date"
            | "limit.meter_percent"
            | "limit.probe_rh"
            | "limit.calcium_chloride_lb"
    )
}

fn yes_or_no(lower: &str) -> Option<&'static str> {
    match lower {
        "y" | "yes" | "yeah" | "yep" | "true" | "si" | "sí" => Some("true"),
        "n" | "no" | "nope" | "false" => Some("false"),
        _ => None,
    }
}

/// Answers that are shown back as they were typed, with the unit that was meant.
pub(super) fn typed(step: &Step, units: UnitSystem, text: &str) -> Option<String> {
    let name = &step.question.field;
    with_unit(name)
        .is_some()
        .then(|| with_unit_beside(name, units, text))
}

/// The number without a unit that its field has in its name.
fn without_unit<'t>(name: &str, text: &'t str) -> &'t str {
    let units: &[&str] = match name {
        "floor.last_wetted_days" | "floor.cover_removed_days" => {
            &["days ago", "day ago", "days", "day", "d"]
        }
        "limit.meter_percent" => &["percent", "%", "% by weight"],
        "limit.probe_rh" => &["% RH", "% rh", "%RH", "percent"],
        "limit.calcium_chloride_lb" => &["pounds", "lbs", "lb"],
        "signs.springs_watched" => &["springs", "spring", "years", "year"],
        "reading.value" => &["% RH", "% rh", "%RH", "pounds", "lbs", "lb"],
        _ => &[],
    };
    units
        .iter()
        .filter_map(|it| text.strip_suffix(it))
        .map(str::trim_end)
        .find(|it| it.parse::<f64>().is_ok())
        .unwrap_or(text)
}
