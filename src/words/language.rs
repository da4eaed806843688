//! The languages that a customer, a homeowner and a crew read.

use super::{knows, parse, say};
use crate::season::MONTH_NAMES;
use crate::units::table_text;
use chrono::{Datelike, NaiveDate};
use std::collections::HashMap;
use std::sync::LazyLock;

/// A language of sheets and questions. The report for an estimator is in English.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// As it is spoken in the United States.
    #[default]
    English,
    /// As it is spoken in the United States, for readers from many countries.
    Spanish,
}

/// The Spanish sentences, by the keys of `tables/words.csv`, and those of the questions.
static SPANISH: LazyLock<HashMap<String, String>> = LazyLock::new(|| {
    parse(const { table_text("words_es.csv") }).expect("tests/tables.rs parses this file")
});

impl Language {
    /// Both, English first.
    pub const ALL: [Language; 2] = [Language::English, Language::Spanish];

    /// The word of the command line and of a page's `lang`.
    pub fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
        }
    }

    /// The sentence of a key. A sentence that only an estimator reads has no Spanish row and
    /// stays English; `tests/spanish.rs` holds that no sheet has one.
    pub fn say(self, key: &str) -> &'static str {
        self.own(key).unwrap_or_else(|| say(key))
    }

    /// The sentence of a key in this very language, where there is one.
    pub fn own(self, key: &str) -> Option<&'static str> {
        match self {
            Language::English => knows(key).then(|| say(key)),
            Language::Spanish => SPANISH.get(key).map(String::as_str),
        }
    }

    /// A sentence with its blanks filled in.
    pub fn say_with(self, key: &str, blanks: &[(&str, &str)]) -> String {
        let mut text = self.say(key).to_string();
        for (name, value) in blanks {
            text = text.replace(&format!("{{{name}}}"), value);
        }
        text
    }

    /// The name of a month from 1 to 12.
    pub fn month(self, month: u32) -> &'static str {
        match self {
            Language::English => MONTH_NAMES[month as usize - 1],
            Language::Spanish => self.say(&format!("month.{month}")),
        }
    }

    /// A day, such as "September 8, 2026" or "8 de septiembre de 2026".
    pub fn day(self, day: NaiveDate) -> String {
        self.say_with(
            "date.day",
            &[
                ("month", self.month(day.month())),
                ("day", &day.day().to_string()),
                ("year", &day.year().to_string()),
            ],
        )
    }

    /// A place by its label, such as "14604, near Rochester, NY".
    pub fn place(self, label: &str) -> String {
        let near = |it: Language| [", ", it.say("first.near"), " "].concat();
        label.replace(&near(Language::English), &near(self))
    }

    /// "March, April and May".
    pub fn listed(self, names: &[&str]) -> String {
        match names {
            [] => String::new(),
            [one] => (*one).to_string(),
            [rest @ .., last] => self.say_with(
                "page.home.and",
                &[("first", &rest.join(", ")), ("last", last)],
            ),
        }
    }
}

/// All Spanish rows, in the order of their keys.
pub fn all_spanish() -> Vec<(&'static str, &'static str)> {
    let mut rows: Vec<_> = SPANISH
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    rows.sort_unstable();
    rows
}

/// Spanish names of months with the English ones that the questions read.
const SPANISH_MONTHS: [(&str, &str); 12] = [
    ("ene", "Jan"),
    ("feb", "Feb"),
    ("mar", "Mar"),
    ("abr", "Apr"),
    ("may", "May"),
    ("jun", "Jun"),
    ("jul", "Jul"),
    ("ago", "Aug"),
    ("sep", "Sep"),
    ("oct", "Oct"),
    ("nov", "Nov"),
    ("dic", "Dec"),
];

/// Letters without their accents, in lower case: "No sé" as "no se".
pub fn unaccented(text: &str) -> String {
    text.trim()
        .to_lowercase()
        .chars()
        .map(|it| match it {
            'á' => 'a',
            'é' => 'e',
            'í' => 'i',
            'ó' => 'o',
            'ú' | 'ü' => 'u',
            'ñ' => 'n',
            other => other,
        })
        .filter(|it| !matches!(it, '¿' | '¡' | '.' | '!'))
        .collect()
}

/// Whether somebody said in Spanish that they do not know. It is never a no.
///
/// ```
/// use slabseason::words::is_no_se;
/// assert!(is_no_se("No sé") && is_no_se("nose") && is_no_se("no se."));
/// assert!(!is_no_se("no"));
/// ```
pub fn is_no_se(text: &str) -> bool {
    matches!(
        unaccented(text).as_str(),
        "no se"
            | "nose"
            | "no lo se"
            | "no se sabe"
            | "ni idea"
            | "desconocido"
            | "no estoy seguro"
            | "no estoy segura"
    )
}

/// Months named in Spanish, in the English names that the questions read; `None` where a part
/// is no month. Both languages may stand in one answer.
///
/// ```
/// use slabseason::words::months_read;
/// assert_eq!(months_read("mar, abril"), Some("Mar, Apr".to_string()));
/// assert_eq!(months_read("enero y feb"), Some("Jan, Feb".to_string()));
/// assert_eq!(months_read("Apr"), None, "already English");
/// ```
pub fn months_read(text: &str) -> Option<String> {
    let plain = unaccented(text).replace(" y ", ",");
    let mut is_spanish = false;
    let names: Vec<String> = plain
        .split([',', ';', ' '])
        .map(str::trim)
        .filter(|it| !it.is_empty())
        .map(|part| {
            let full = (1..=12).find(|it| {
                let name = Language::Spanish.month(*it);
                name == part || (part == "setiembre" && *it == 9)
            });
            let short = SPANISH_MONTHS.iter().position(|it| it.0 == part);
            let english = MONTH_NAMES
                .iter()
                .any(|it| it.to_lowercase() == part || it[..3].to_lowercase() == part);
            match (full, short) {
                (Some(month), _) => {
                    is_spanish |= !english;
                    Some(SPANISH_MONTHS[month as usize - 1].1.to_string())
                }
                (None, Some(at)) => {
                    is_spanish |= !english;
                    Some(SPANISH_MONTHS[at].1.to_string())
                }
                (None, None) => english.then(|| part.to_string()),
            }
        })
        .collect::<Option<_>>()?;
    is_spanish.then(|| names.join(", "))
}
