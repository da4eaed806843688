//! The door for a page: JSON in, JSON out, over three plain functions of a WebAssembly module.
//!
//! It decides nothing: a request names what is asked and carries what the device keeps; the
//! answer is a question to show, the report, or what is wrong and what to do.

#[cfg(target_arch = "wasm32")]
mod ffi;
mod floors;
mod practice;
mod quick;
mod result;
mod session;
mod sheets;
mod step;

pub use quick::{QuickRow, ScreenKind, quick_rows};
pub use session::Session;

use crate::words::Language;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;

/// A request and the language of its answer.
#[derive(Debug, Deserialize)]
struct Asked {
    #[serde(default)]
    language: LanguageWord,
    #[serde(flatten)]
    request: Request,
}

/// The language that the page is read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
enum LanguageWord {
    #[default]
    En,
    Es,
}

impl From<LanguageWord> for Language {
    fn from(word: LanguageWord) -> Self {
        match word {
            LanguageWord::En => Language::English,
            LanguageWord::Es => Language::Spanish,
        }
    }
}

/// What a page can ask.
#[derive(Debug, Deserialize)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
enum Request {
    /// The page's own labels.
    Words,
    /// One step of the interview: what was done, and what to show now.
    Talk {
        kept: Session,
        units: UnitsWord,
        /// The device's day, offered as the day of the visit.
        today: Option<String>,
        act: step::Act,
    },
    /// The quick pass: answers by path, all its screens back.
    Quick {
        kept: Session,
        units: UnitsWord,
        today: Option<String>,
        #[serde(default)]
        set: BTreeMap<String, String>,
    },
    /// What each answer to the current question would make of the chance.
    Moves { kept: Session },
    /// What can be changed beside the result.
    WhatIfs { kept: Session },
    /// The result of what was said so far.
    Result {
        kept: Session,
        units: UnitsWord,
        effort: result::EffortWord,
        /// The option that is quoted, by its word; nothing where nobody said.
        #[serde(default)]
        quote: Option<String>,
        what_if: Option<result::Changed>,
    },
    /// A sheet to print or a file to keep.
    Sheet {
        kept: Session,
        units: UnitsWord,
        #[serde(default)]
        quote: Option<String>,
        of: sheets::SheetOf,
    },
    /// An invented floor to learn on.
    Practice {
        seed: u64,
        number: usize,
        level: crate::lessons::Level,
        /// Letters of the questions that were asked.
        asked: String,
        stated: Option<practice::Stated>,
    },
    /// The visit as it stands now, stated and sealed.
    State {
        kept: Session,
        #[serde(default)]
        quote: Option<String>,
        on: NaiveDate,
        /// The seal before; nothing for the first one.
        #[serde(default)]
        before: Option<String>,
    },
    /// Readings of a later day, to go with the visit.
    Again {
        kept: Session,
        day: NaiveDate,
        /// What was read by; the first visit's meter where nothing was said.
        #[serde(default)]
        by: floors::ReadBy,
        readings: Vec<floors::TypedAgain>,
    },
    /// What was stated of a visit, to show.
    Said {
        kept: Session,
        lines: Vec<floors::SealedLine>,
    },
    /// The lines of a ledger.
    Ledger { name: String, text: String },
    /// A visit file of the command line, to go on with.
    Load { name: String, text: String },
    /// What was said so far, as a visit file.
    Save { kept: Session },
    /// The report of a visit file, and its text.
    Screen {
        visit: String,
        /// The way that is quoted, by its word.
        quote: Option<String>,
        /// Chances alone, without what each answer is worth.
        #[serde(default)]
        quick: bool,
    },
}

/// How the page is read: its units, its language, and the device's day.
#[derive(Debug, Clone, Copy)]
struct Reading {
    units: UnitsWord,
    language: Language,
    today: Option<NaiveDate>,
}

impl Reading {
    /// A day that cannot be read is left out.
    fn of(units: UnitsWord, language: Language, today: Option<&str>) -> Self {
        Self {
            units,
            language,
            today: today.and_then(|it| it.parse().ok()),
        }
    }
}

/// The units that the switch of the page stands at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum UnitsWord {
    Us,
    Si,
}

impl From<UnitsWord> for crate::report::Units {
    fn from(word: UnitsWord) -> Self {
        match word {
            UnitsWord::Us => crate::report::Units::Us,
            UnitsWord::Si => crate::report::Units::Si,
        }
    }
}

/// A file to keep: its name and text.
#[derive(Debug, Serialize)]
struct Saved {
    name: String,
    text: String,
}

/// What comes back.
#[derive(Debug, Serialize)]
#[serde(untagged)]
enum Answer {
    Words {
        words: BTreeMap<&'static str, &'static str>,
        /// Keys that stand in English in every language.
        english: Vec<&'static str>,
    },
    Talk(Box<step::Said>),
    Quick(Box<quick::Quick>),
    Lines {
        lines: Vec<String>,
    },
    WhatIfs {
        questions: Vec<result::WhatIf>,
    },
    Result(Box<result::Shown>),
    Kept {
        kept: Session,
    },
    Html {
        html: String,
    },
    Saved(Saved),
    Sealed {
        sealed: floors::SealedLine,
    },
    Said {
        said: Vec<floors::SaidView>,
    },
    Ledger(floors::LedgerRead),
    Practice(Box<practice::Practice>),
}

/// Why a request has no answer. `missing` names the questions that must be answered first.
#[derive(Debug, Serialize)]
struct Wrong {
    error: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    missing: Vec<String>,
}

impl From<String> for Wrong {
    fn from(error: String) -> Self {
        Wrong {
            error,
            missing: Vec::new(),
        }
    }
}

/// Answers one request; never panics on what it is given.
pub fn respond(request: &str) -> String {
    let answered = serde_json::from_str::<Asked>(request)
        .map_err(|it| Wrong::from(format!("the request cannot be read: {it}")))
        .and_then(|it| respond_to(it.request, it.language.into()));
    match answered {
        Ok(answer) => serde_json::to_string(&answer),
        Err(wrong) => serde_json::to_string(&wrong),
    }
    .unwrap_or_else(|it| json!({ "error": it.to_string() }).to_string())
}

/// The page's own labels in a language.
fn labels(language: Language) -> Answer {
    let all = || {
        crate::words::all()
            .into_iter()
            .map(|it| it.0)
            .filter(|key| matches!(key.split('.').next(), Some("page" | "disclaimer")))
    };
    Answer::Words {
        words: all().map(|key| (key, language.say(key))).collect(),
        english: all().filter(|key| language.own(key).is_none()).collect(),
    }
}

/// The visit file of what is kept, named by its day.
fn saved(kept: &Session) -> Result<Saved, Wrong> {
    let interview = kept.interview(None)?.interview;
    let day = interview.draft().visit_date;
    Ok(Saved {
        name: day.map_or("visit.toml".to_string(), |it| format!("visit-{it}.toml")),
        text: kept.file_text(&interview),
    })
}

fn respond_to(request: Request, language: Language) -> Result<Answer, Wrong> {
    match request {
        Request::Words => Ok(labels(language)),
        Request::Talk {
            kept,
            units,
            today,
            act,
        } => {
            let reading = Reading::of(units, language, today.as_deref());
            step::step(kept, reading, act).map(|it| Answer::Talk(Box::new(it)))
        }
        Request::Quick {
            kept,
            units,
            today,
            set,
        } => {
            let reading = Reading::of(units, language, today.as_deref());
            quick::quick(kept, reading, set).map(|it| Answer::Quick(Box::new(it)))
        }
        Request::Moves { kept } => {
            result::moved(&kept, language).map(|lines| Answer::Lines { lines })
        }
        Request::WhatIfs { kept } => {
            result::what_ifs(&kept, language).map(|questions| Answer::WhatIfs { questions })
        }
        Request::Result {
            kept,
            units,
            effort,
            quote,
            what_if,
        } => result::result(
            kept,
            (units.into(), language),
            effort,
            quote.as_deref(),
            what_if,
        )
        .map(|it| Answer::Result(Box::new(it))),
        Request::Sheet {
            kept,
            units,
            quote,
            of,
        } => sheets::sheet_of(&kept, (units.into(), language), quote.as_deref(), of),
        Request::Practice {
            seed,
            number,
            level,
            asked,
            stated,
        } => practice::practice(language, (seed, number, level), asked, stated.as_ref())
            .map(|it| Answer::Practice(Box::new(it))),
        Request::State {
            kept,
            quote,
            on,
            before,
        } => floors::state(&kept, quote.as_deref(), on, before, language)
            .map(|sealed| Answer::Sealed { sealed }),
        Request::Again {
            kept,
            day,
            by,
            readings,
        } => floors::again(&kept, (day, by), &readings, language).map(|kept| Answer::Kept { kept }),
        Request::Said { kept, lines } => {
            floors::said(&kept, &lines, language).map(|said| Answer::Said { said })
        }
        Request::Ledger { name, text } => {
            floors::ledger(&name, &text, language).map(Answer::Ledger)
        }
        Request::Load { name, text } => {
            Session::of_file(&name, &text).map(|kept| Answer::Kept { kept })
        }
        Request::Save { kept } => saved(&kept).map(Answer::Saved),
        Request::Screen {
            visit,
            quote,
            quick,
        } => result::screen(&visit, quote.as_deref(), quick).map(|it| Answer::Result(Box::new(it))),
    }
}
