//! The packages of others inside the program and the page, and their licenses.

use crate::units::{table_rows, table_text};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// A package of others, from `tables/licenses.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct License {
    /// Name of the package.
    pub name: String,
    /// Its version.
    pub version: String,
    /// An SPDX expression.
    pub license: String,
    /// `binary`, `page`, `binary and page`, or `tests and tools`.
    pub inside: String,
}

static LICENSES: LazyLock<Vec<License>> = LazyLock::new(|| {
    table_rows(const { table_text("licenses.csv") }).expect("tests/tables.rs parses this file")
});

/// Every package that `Cargo.lock` names, by name.
pub fn licenses() -> &'static [License] {
    &LICENSES
}

/// The packages inside the `binary` or the `page`, each license with the packages under it.
pub fn licenses_text(place: &str) -> String {
    let mut by_license: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for it in licenses().iter().filter(|it| it.inside.contains(place)) {
        let name = format!("{} {}", it.name, it.version);
        by_license.entry(&it.license).or_default().push(name);
    }
    let mut out = String::new();
    for (license, names) in by_license {
        let line = format!("{license}: {}", names.join(", "));
        let options = textwrap::Options::new(80).subsequent_indent("    ");
        out.push_str(&textwrap::fill(&line, options));
        out.push('\n');
    }
    out
}
