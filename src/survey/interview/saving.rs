//! The file of an interview that is not finished.

use super::super::draft::Draft;
use super::super::fields::indexed;
use super::super::save::draft_to_toml_with;

/// The visit so far, with "unknown" where `is_open` says that somebody was not sure. A reading
/// whose kind or value nobody knows is no reading; `only_whole` leaves out half ones too.
pub(super) fn unfinished_file(
    draft: &Draft,
    is_open: impl Fn(&str) -> bool,
    only_whole: bool,
) -> String {
    let is_kept = |at: usize| {
        let is_known = ["reading.kind", "reading.value"]
            .iter()
            .all(|leaf| !is_open(&indexed(leaf, at)));
        is_known && (!only_whole || draft.readings[at].is_whole())
    };
    draft_to_toml_with(draft, &is_open, &is_kept)
}

/// Comments before the first field of a file; who goes on with it keeps them.
pub fn opening_comment(text: &str) -> String {
    text.lines()
        .take_while(|it| it.starts_with('#'))
        .map(|it| format!("{it}\n"))
        .collect()
}
