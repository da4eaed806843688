//! The one way in which a visit is written, and the short name of what it says.

use super::draft::Draft;
use super::field::Field;
use super::fields::{indexed, value_of};
use super::registry::{FIELDS, TABLES};
use super::visit::Visit;
use crate::units::short_hex;
use sha2::{Digest, Sha256};

/// The visit as a file: every field that holds something, in the order of the registry.
/// Reading it gives the same visit.
///
/// Measured quantities are written with ten significant digits, as they are read.
pub fn to_toml(visit: &Visit) -> String {
    draft_to_toml(&Draft::from(visit))
}

/// A visit that is not finished yet, as far as it goes.
pub fn draft_to_toml(draft: &Draft) -> String {
    draft_to_toml_with(draft, &|_| false, &|_| true)
}

/// The same with "unknown" at the paths that `is_unknown` names, and without the readings that
/// `is_kept` leaves out.
pub(super) fn draft_to_toml_with(
    draft: &Draft,
    is_unknown: &dyn Fn(&str) -> bool,
    is_kept: &dyn Fn(usize) -> bool,
) -> String {
    let lines = |table: &str, at: usize| table_lines(draft, table, at, is_unknown);
    let mut res = lines("", 0);
    for table in TABLES {
        if *table == "reading" {
            let told = |at: &usize| is_kept(*at) && !draft.readings[*at].is_empty();
            for at in (0..draft.readings.len()).filter(told) {
                res.push_str(&format!("\n[[reading]]\n{}", lines(table, at)));
            }
            continue;
        }
        let lines = lines(table, 0);
        if !lines.is_empty() {
            res.push_str(&format!("\n[{table}]\n{lines}"));
        }
    }
    res
}

fn table_lines(draft: &Draft, table: &str, at: usize, is_unknown: &dyn Fn(&str) -> bool) -> String {
    let is_saved = |it: &&Field| it.table() == table && it.saved_as.is_none();
    let line = |it: &Field| match value_of(draft, it, at) {
        Some(raw) => Some(format!("{} = {}\n", it.leaf(), raw.to_toml())),
        None if !it.is_needed() && is_unknown(&indexed(it.path, at)) => {
            Some(format!("{} = \"unknown\"\n", it.leaf()))
        }
        None => None,
    };
    FIELDS.iter().filter(is_saved).filter_map(line).collect()
}

/// Sixteen hexadecimal digits that stand for everything the visit says: the start of the
/// SHA-256 of the saved file. The order of the fields and the units they were typed in do not
/// change it; any answer does.
pub fn digest(visit: &Visit) -> String {
    short_hex(&Sha256::digest(to_toml(visit).as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{Raw, set_field};

    /// Source: the program sha256sum 9.x of GNU coreutils over the text below, first 16 digits.
    #[test]
    fn digest_is_the_start_of_the_sha_256_of_the_saved_file() {
        let mut draft = Draft::default();
        for (path, text) in [
            ("lot.sump", "dry"),
            ("postal", "05401"),
            ("visit_date", "2026-09-08"),
        ] {
            set_field(&mut draft, path, &Raw::Text(text.to_string())).unwrap();
        }
        let visit = draft.finish().unwrap();
        let text = "visit_version = 1\nvisit_date = 2026-09-08\npostal = \"05401\"\n\n[lot]\nsump = \"dry\"\n";
        assert_eq!(to_toml(&visit), text);
        assert_eq!(digest(&visit), "d62bec540c182c0e");
    }

    #[test]
    fn an_unfinished_visit_is_saved_as_far_as_it_goes() {
        let mut draft = Draft::default();
        assert_eq!(draft_to_toml(&draft), "visit_version = 1\n");
        set_field(&mut draft, "reading.2.spot", &Raw::Text("A1".to_string())).unwrap();
        assert_eq!(
            draft_to_toml(&draft),
            "visit_version = 1\n\n[[reading]]\nspot = \"A1\"\n"
        );
    }
}
