//! A value as it was given, before it means anything, and how it is written and shown.

use chrono::NaiveDate;

/// A value as it was given, before it means anything.
#[derive(Debug, Clone, PartialEq)]
pub enum Raw {
    /// Yes or no.
    Bool(bool),
    /// A whole number.
    Integer(i64),
    /// A number with a fraction.
    Float(f64),
    /// Text, or a number with its unit.
    Text(String),
    /// Several values, such as months.
    List(Vec<Raw>),
    /// A day.
    Date(NaiveDate),
}

impl Raw {
    /// As plain text, the way a table cell holds it.
    pub fn to_text(&self) -> String {
        match self {
            Raw::Bool(it) => it.to_string(),
            Raw::Integer(it) => it.to_string(),
            // Not hundreds of digits.
            Raw::Float(it) if it.abs() >= 1.0e15 => format!("{it:e}"),
            Raw::Float(it) => it.to_string(),
            Raw::Text(it) => it.clone(),
            Raw::List(items) => items.iter().map(Raw::to_text).collect::<Vec<_>>().join(";"),
            Raw::Date(it) => it.to_string(),
        }
    }

    /// As it stands behind the equals sign of a visit file.
    pub fn to_toml(&self) -> String {
        match self {
            Raw::Text(it) => quoted(it),
            Raw::List(items) => format!(
                "[{}]",
                items
                    .iter()
                    .map(Raw::to_toml)
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
            other => other.to_text(),
        }
    }

    /// An empty cell says nothing, which is not the same as "unknown" where a field is needed.
    pub(super) fn is_blank(&self) -> bool {
        match self {
            Raw::Text(it) => it.trim().is_empty(),
            Raw::List(items) => items.is_empty(),
            _ => false,
        }
    }

    pub(super) fn is_unknown(&self) -> bool {
        matches!(self, Raw::Text(it) if matches!(word_form(it).as_str(), "unknown" | "not_sure"))
    }

    /// For a message: quoted, on one line, and short.
    pub(super) fn shown(&self) -> String {
        match self {
            Raw::Text(it) => format!("\"{}\"", shortened(it)),
            Raw::List(_) => shortened(&self.to_toml()),
            other => shortened(&other.to_text()),
        }
    }
}
/// Ten significant digits, so that 4in and 101.6 mm are one number, and a saved file gives
/// back exactly what was read. No one measures a floor to a part in ten billion.
pub(super) fn tidy(value: f64) -> f64 {
    // Adding zero turns minus zero into zero, which has no other way to be written.
    format!("{value:.9e}")
        .parse::<f64>()
        .expect("a printed number can be read again")
        + 0.0
}

pub(super) fn float(value: f64) -> Raw {
    Raw::Float(value + 0.0)
}

pub(super) fn untouched(raw: Raw) -> Raw {
    raw
}

/// Lower case, with spaces and hyphens as the underscore of the words.
pub(super) fn word_form(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-'], "_")
}

/// For messages: no line breaks, no control characters, not too long.
pub(super) fn shortened(text: &str) -> String {
    const LONGEST: usize = 40;
    let mut res: String = text.chars().take(LONGEST).flat_map(printable).collect();
    if text.chars().nth(LONGEST).is_some() {
        res.push_str("...");
    }
    res
}

fn printable(it: char) -> Vec<char> {
    if is_refused(it) {
        it.escape_default().collect()
    } else {
        vec![it]
    }
}

/// Control characters, and the marks that turn the direction of what follows: both can make
/// a report show something else than the file says.
pub(super) fn is_refused(it: char) -> bool {
    it.is_control()
        || matches!(it, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A TOML string in double quotes.
fn quoted(text: &str) -> String {
    let mut res = String::from("\"");
    for it in text.chars() {
        match it {
            '"' => res.push_str("\\\""),
            '\\' => res.push_str("\\\\"),
            it if is_refused(it) => res.push_str(&format!("\\u{:04X}", u32::from(it))),
            it => res.push(it),
        }
    }
    res.push('"');
    res
}

/// The number as given, finite, before any range.
pub(super) fn number_of(raw: &Raw) -> Option<f64> {
    match raw {
        Raw::Integer(it) => Some(*it as f64),
        Raw::Float(it) => Some(*it),
        Raw::Text(it) => it.trim().parse::<f64>().ok(),
        _ => None,
    }
    .filter(|it| it.is_finite())
}
/// A number, or text with a percent sign behind it.
pub(super) fn percent_of(raw: &Raw) -> Option<f64> {
    match raw {
        Raw::Text(it) => number_of(&Raw::Text(it.trim().trim_end_matches('%').to_string())),
        other => number_of(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn messages_stay_short_and_on_one_line() {
        assert_eq!(shortened("a\nb\u{202e}"), "a\\nb\\u{202e}");
        assert_eq!(shortened(&"x".repeat(41)), format!("{}...", "x".repeat(40)));
    }

    #[test]
    fn minus_zero_is_zero() {
        assert!(tidy(-0.0).is_sign_positive());
        assert_eq!(float(-0.0).to_toml(), "0");
    }

    proptest! {
        /// The law that saving rests on: millimeters, percent and back give the same bits.
        #[test]
        fn tidy_numbers_survive_another_unit(value in -1.0e5..1.0e5f64) {
            let kept = tidy(value);
            prop_assert!((kept - value).abs() <= 1e-9 * value.abs());
            prop_assert_eq!(tidy(kept), kept);
            for per in [1.0, 100.0, 1_000.0] {
                prop_assert_eq!(tidy(tidy(kept * per) / per), kept);
            }
        }
    }
}
