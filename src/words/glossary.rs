//! The words of the trade as we use them, and what we do not say instead.

use crate::units::table_text;
use std::sync::LazyLock;

/// One word of the trade.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    pub term: String,
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
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut res: Vec<Term> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|it| it.to_string())?;
        let avoid: Vec<String> = record[2].split('|').map(str::to_string).collect();
        let is_known = res.iter().any(|it| it.term == record[0]);
        if is_known || record.iter().any(str::is_empty) || avoid.iter().any(String::is_empty) {
            return Err(format!("{} is empty or given twice", &record[0]));
        }
        res.push(Term {
            term: record[0].to_string(),
            meaning: record[1].to_string(),
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
