//! Disclaimer, cautions and plain explanations: every sentence stands once in `tables/words.csv`.

mod cautions;
mod chance;
mod glossary;
mod language;
mod licenses;
mod readability;
mod talk;

pub use cautions::{caution_of, cautions};
pub use chance::{chance_words, count_words, in_hundred, in_twentieths, likely_words};
pub use glossary::{Term, glossary, parse_glossary, parse_glossary_es, stands_in};
pub use language::{Language, all_spanish, is_no_se, months_read, unaccented};
pub use licenses::{License, licenses, licenses_text};
pub use readability::{Counted, count, grade_level, sentences, syllables};
pub use talk::{asked, choice, fault, heard, hint, said, section, why_asked};

use crate::units::{table_rows, table_text};
use serde::Deserialize;
use std::collections::HashMap;
use std::sync::LazyLock;

/// The bundled sentences.
static WORDS: LazyLock<HashMap<String, String>> = LazyLock::new(|| {
    parse(const { table_text("words.csv") }).expect("tests/tables.rs parses this file")
});

/// Reads `key,text` rows.
///
/// # Errors
///
/// The key of a row that is double or empty.
pub fn parse(text: &str) -> Result<HashMap<String, String>, String> {
    #[derive(Deserialize)]
    struct Row {
        key: String,
        text: String,
    }
    let mut words = HashMap::new();
    for it in table_rows::<Row>(text).map_err(|it| it.to_string())? {
        if it.text.is_empty() || words.insert(it.key.clone(), it.text).is_some() {
            return Err(format!("{} is empty or given twice", it.key));
        }
    }
    Ok(words)
}

/// The sentence of a key. Every key that the code can ask for has its row; a test walks
/// through them.
pub fn say(key: &str) -> &'static str {
    WORDS
        .get(key)
        .unwrap_or_else(|| panic!("tables/words.csv has no row {key}"))
}

/// Whether there is a sentence for a key.
pub fn knows(key: &str) -> bool {
    WORDS.contains_key(key)
}

/// Sentences of several keys, as for the head of a table.
pub fn say_all(keys: &[&str]) -> Vec<String> {
    keys.iter().map(|it| say(it).to_string()).collect()
}

/// A sentence with its blanks filled in.
pub fn say_with(key: &str, blanks: &[(&str, &str)]) -> String {
    let mut text = say(key).to_string();
    for (name, value) in blanks {
        text = text.replace(&format!("{{{name}}}"), value);
    }
    text
}

/// The keys and sentences of a family, such as those that begin with "caution".
pub fn family(name: &str) -> Vec<(&'static str, &'static str)> {
    all()
        .into_iter()
        .filter(|(key, _)| key.split('.').next() == Some(name))
        .collect()
}

/// Every key and sentence, in the order of the keys.
pub fn all() -> Vec<(&'static str, &'static str)> {
    let mut rows: Vec<_> = WORDS
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    rows.sort();
    rows
}
