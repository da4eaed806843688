//! What can be wrong with a field or a file: where, what was given, what is accepted, what to do.

use crate::units::UnitsError;

/// What is wrong with one field, whoever set it: a file, a table row, a question.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FieldError {
    /// No field has this path.
    #[error("{path} is not part of the visit file; {advice}")]
    Unknown {
        /// The path as it was written.
        path: String,
        /// What it may have been meant for, or what to do.
        advice: String,
    },
    /// The value is of another kind, or another word, than the field takes.
    #[error("{path} {given} cannot be used; accepted: {accepted}; {todo}")]
    NotRead {
        /// The field, by its path.
        path: String,
        /// What was given.
        given: String,
        /// What the field takes.
        accepted: String,
        /// What to write.
        todo: String,
    },
    /// The number is not believable.
    #[error("{path} {given} is outside {accepted}; {todo}")]
    OutOfRange {
        /// The field, by its path.
        path: String,
        /// What was given, with its unit.
        given: String,
        /// The range that is believed, with its unit.
        accepted: String,
        /// What to check or write.
        todo: String,
    },
    /// The number or the unit behind it could not be read.
    #[error("{path}: {error}")]
    Units {
        /// The field, by its path.
        path: String,
        /// What the number or its unit lacks.
        error: UnitsError,
    },
    /// A number without a unit where the name of the field has none either.
    #[error(
        "{path} {given} carries no unit; accepted: {accepted}; write the unit behind the number in quotes"
    )]
    NoUnit {
        /// The field, by its path.
        path: String,
        /// The bare number.
        given: String,
        /// The units that are read, with examples.
        accepted: String,
    },
    /// Text that is too long or holds what cannot be printed.
    #[error("{path} {what}; accepted: {accepted}; {todo}")]
    Text {
        /// The field, by its path.
        path: String,
        /// What is wrong with the text, such as its count of letters.
        what: String,
        /// What the field takes.
        accepted: String,
        /// What to do.
        todo: &'static str,
    },
    /// One quantity under two names.
    #[error("{path} is given as well as {first}; one of the two is accepted; delete one")]
    TwoSpellings {
        /// The name to delete or keep.
        path: String,
        /// The other name that is given for the same quantity.
        first: String,
    },
    /// Something that every visit or reading needs. `near` says where it would stand.
    #[error("{what} is missing; accepted: {accepted}; {todo}")]
    Needed {
        /// Where it is to be written.
        path: String,
        /// Path beside which it would stand, such as `reading.2`; none for the whole file.
        near: Option<String>,
        /// What is missing, in plain words.
        what: String,
        /// What may be given.
        accepted: String,
        /// What to do.
        todo: String,
    },
    /// Two answers that cannot both be true.
    #[error("{path} {given} {what}; accepted: {accepted}; {todo}")]
    Conflict {
        /// The field that is at odds, by its path.
        path: String,
        /// What it says.
        given: String,
        /// What it is at odds with.
        what: String,
        /// What may stand together.
        accepted: String,
        /// What to do.
        todo: &'static str,
    },
}

impl FieldError {
    /// To somebody who typed the answer at its question: no quotes and no name of the file's
    /// field.
    pub fn in_plain_words(&self) -> String {
        let text = self.to_string();
        let rest = text.strip_prefix(self.path()).unwrap_or(&text);
        let rest = rest.trim_start_matches([':', ' ']);
        let mut res = rest
            .replace(" in quotes", "")
            .replace(", or write \"unknown\"", ", or say not sure");
        if !res.ends_with(['.', '?']) {
            res.push('.');
        }
        res
    }

    /// To somebody at a question: what to enter there, in the words of the question's hint. What
    /// a file accepts stays with files.
    pub fn at_a_question(&self, hint: &str) -> String {
        let enter = || format!("Enter {hint}.");
        match self {
            _ if hint.is_empty() => self.in_plain_words(),
            // Why a place is not found is told by the climate table.
            FieldError::NotRead {
                path, given, todo, ..
            } if path == "postal" => {
                format!("{given}: {}. {}", todo.trim_end_matches('.'), enter())
            }
            FieldError::NotRead { given, .. } | FieldError::NoUnit { given, .. } => {
                format!("{given} is not an answer here. {}", enter())
            }
            FieldError::Units { .. } => enter(),
            FieldError::OutOfRange {
                given, accepted, ..
            } => format!(
                "{} is outside {}. {}",
                given.trim_matches('"'),
                accepted.trim_end(),
                enter()
            ),
            FieldError::Needed { .. } => format!("This one is needed. {}", enter()),
            FieldError::Unknown { .. }
            | FieldError::Text { .. }
            | FieldError::TwoSpellings { .. }
            | FieldError::Conflict { .. } => self.in_plain_words(),
        }
    }

    /// The dotted path that the problem is about.
    pub fn path(&self) -> &str {
        match self {
            FieldError::Unknown { path, .. }
            | FieldError::NotRead { path, .. }
            | FieldError::OutOfRange { path, .. }
            | FieldError::Units { path, .. }
            | FieldError::NoUnit { path, .. }
            | FieldError::Text { path, .. }
            | FieldError::TwoSpellings { path, .. }
            | FieldError::Needed { path, .. }
            | FieldError::Conflict { path, .. } => path,
        }
    }
}

/// One problem of a visit file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SurveyError {
    /// A field, with its line.
    #[error("{file}, line {line}: {error}")]
    Field {
        /// Name of the file.
        file: String,
        /// Line in the file, from 1.
        line: usize,
        /// What is wrong with it.
        error: FieldError,
    },
    /// Something missing, which has no line.
    #[error("{file}: {error}")]
    Missing {
        /// Name of the file.
        file: String,
        /// What is missing.
        error: FieldError,
    },
    /// The line is not TOML.
    #[error("{file}, line {line}: {what}; {todo}")]
    Syntax {
        /// Name of the file.
        file: String,
        /// Line in the file, from 1.
        line: usize,
        /// What the reader of TOML stumbled over.
        what: String,
        /// What to do.
        todo: String,
    },
    /// The file as a whole is not a visit.
    #[error("{file}: {what}; accepted: a visit file, which is text in TOML; {todo}")]
    File {
        /// Name of the file.
        file: String,
        /// Why it is none: too big, not text, empty.
        what: String,
        /// What to do.
        todo: String,
    },
    /// More problems than anybody reads at once.
    #[error("{file}: more problems follow these {shown}; mend these first")]
    More {
        /// Name of the file.
        file: String,
        /// Problems that are told.
        shown: usize,
    },
}

/// Every problem of a visit file, in order of line; those without a line come last.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", self.problems.iter().map(|it| it.to_string()).collect::<Vec<_>>().join("\n"))]
pub struct SurveyErrors {
    /// One entry a problem; at least one.
    pub problems: Vec<SurveyError>,
}
