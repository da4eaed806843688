//! Values that several commands take.

use crate::report::Units;
use crate::verdict::ways::Way;
use crate::words::Language;
use clap::ValueEnum;

/// Units of what is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsArg {
    Us,
    Si,
}

impl UnitsArg {
    pub fn units(self) -> Units {
        match self {
            UnitsArg::Us => Units::Us,
            UnitsArg::Si => Units::Si,
        }
    }
}

/// One of the words of the ways forward.
pub fn way(text: &str) -> Result<Way, String> {
    Way::from_word(text).ok_or_else(|| {
        let words: Vec<&str> = Way::ALL.iter().map(|it| it.word()).collect();
        format!(
            "\"{text}\" is not an option; use one of {}",
            words.join(", ")
        )
    })
}

/// A language of what a homeowner, a customer or a crew reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LanguageArg {
    En,
    Es,
}

impl LanguageArg {
    /// The language that is meant.
    pub fn language(self) -> Language {
        match self {
            LanguageArg::En => Language::English,
            LanguageArg::Es => Language::Spanish,
        }
    }
}
