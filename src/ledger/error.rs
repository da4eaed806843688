//! What can go wrong with a ledger, and what to do about it.

use crate::words::{say, say_with};

/// Why a ledger could not do what was asked. Nothing of a step that failed is kept.
#[derive(Debug, thiserror::Error)]
pub enum LedgerError {
    /// In words: what was given, what is accepted and what to do.
    #[error("{0}")]
    Told(String),
    /// The file itself.
    #[error("{}", told_of(.0))]
    File(#[from] rusqlite::Error),
}

impl LedgerError {
    /// A sentence of the table.
    pub fn say(key: &str) -> Self {
        LedgerError::Told(say(key).to_string())
    }

    /// A sentence with its blanks filled in.
    pub fn say_with(key: &str, blanks: &[(&str, &str)]) -> Self {
        LedgerError::Told(say_with(key, blanks))
    }
}

/// What a complaint of the file's keeper means for whoever reads it.
fn told_of(error: &rusqlite::Error) -> String {
    use rusqlite::ErrorCode;
    let told = |key| format!("{} ({error})", say(key));
    match error.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => told("ledger.error.full"),
        Some(ErrorCode::SystemIoFailure) => told("ledger.error.io"),
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => told("ledger.error.busy"),
        Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => told("ledger.error.broken"),
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
            told("ledger.error.cannot_open")
        }
        _ => error.to_string(),
    }
}
