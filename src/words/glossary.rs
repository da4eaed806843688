//! The words of the trade as we use them, and what we do not say instead.

use crate::units::{table_rows, table_text};
use serde::Deserialize;
use std::sync::LazyLock;

/// One word of the trade.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    /// The word as we say it.
    pub term: String,
    /// What it means, in a sentence.
    pub meaning: String,
    /// Phrases that are not used for it.
    pub avoid: Vec<String>,
}

static TERMS: LazyLock<Vec<Term>> = LazyLock::new(|| {
    parse_glossary(table_text("glossary.csv")).expect("tests/tables.rs parses this file")
});

/// Reads `term,meaning,avoid` rows.
///
/// # Errors
///
/// The row that is short, empty or given twice.
pub fn parse_glossary(text: &str) -> Result<Vec<Term>, String> {
    let terms = parse_glossary_es(text)?;
    match terms.iter().find(|it| it.avoid.is_empty()) {
        Some(it) => Err(format!("{} avoids nothing", it.term)),
        None => Ok(terms),
    }
}

/// Reads the Spanish rows, some of which avoid nothing.
///
/// # Errors
///
/// The row that is short, empty or given twice.
pub fn parse_glossary_es(text: &str) -> Result<Vec<Term>, String> {
    #[derive(Deserialize)]
    struct Row {
        term: String,
        meaning: String,
        avoid: String,
    }
    let mut res: Vec<Term> = Vec::new();
    for it in table_rows::<Row>(text).map_err(|it| it.to_string())? {
        let avoid: Vec<String> = it
            .avoid
            .split('|')
            .filter(|_| !it.avoid.is_empty())
            .map(str::to_string)
            .collect();
        let is_known = res.iter().any(|term| term.term == it.term);
        if is_known
            || it.term.is_empty()
            || it.meaning.is_empty()
            || avoid.iter().any(String::is_empty)
        {
            return Err(format!("{} is empty or given twice", it.term));
        }
        res.push(Term {
            term: it.term,
            meaning: it.meaning,
            avoid,
        });
    }
    Ok(res)
}

/// Every term, in the order of the table.
pub fn glossary() -> &'static [Term] {
    &TERMS
}

/// Where a phrase stands in a text as whole words, without case. A hyphen belongs to a word, so
/// "a film" does not stand in "a film-forming coating".
pub fn stands_in(phrase: &str, text: &str) -> bool {
    let (phrase, text) = (phrase.to_lowercase(), text.to_lowercase());
    let is_letter = |it: char| it.is_alphanumeric() || matches!(it, '_' | '-');
    text.match_indices(&phrase).any(|(at, it)| {
        let before = text[..at].chars().next_back();
        let after = text[at + it.len()..].chars().next();
        !before.is_some_and(is_letter) && !after.is_some_and(is_letter)
    })
}
