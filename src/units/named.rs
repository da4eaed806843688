//! Small tables of named numbers: one row a number, with unit and source.

use super::tables::table_lines;

/// What is wrong with a table of named numbers.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NamedTableError {
    /// A row cannot be read.
    #[error("line {line}: {what}")]
    Row {
        /// Line of the table, from 1.
        line: u64,
        /// What is wrong in it.
        what: String,
    },
    /// A row that the code needs is not there.
    #[error("no row for {key}")]
    Missing {
        /// Key of the row.
        key: &'static str,
    },
    /// A row that nothing reads.
    #[error("the row {key} is read by nothing")]
    Unused {
        /// Key of the row.
        key: String,
    },
}

/// Reads `key,value,unit,source` and returns the values in the order of `keys`.
///
/// # Errors
///
/// A row missing, given twice, unknown, without unit or source, or not a number.
pub fn named_values(text: &str, keys: &[&'static str]) -> Result<Vec<f64>, NamedTableError> {
    #[derive(serde::Deserialize)]
    struct Row {
        key: String,
        value: f64,
        unit: String,
        source: String,
    }
    let mut found: Vec<Option<f64>> = vec![None; keys.len()];
    let bad = |line: u64, what: String| NamedTableError::Row { line, what };
    for (line, it) in table_lines::<Row>(text).map_err(|it| bad(it.line, it.what))? {
        if it.unit.is_empty() || it.source.is_empty() {
            return Err(bad(line, format!("{} has no unit or no source", it.key)));
        }
        let Some(at) = keys.iter().position(|key| *key == it.key) else {
            return Err(NamedTableError::Unused { key: it.key });
        };
        if found[at].replace(it.value).is_some() {
            return Err(bad(line, format!("{} is given twice", it.key)));
        }
    }
    keys.iter()
        .zip(found)
        .map(|(key, value)| value.ok_or(NamedTableError::Missing { key }))
        .collect()
}

/// Declares a struct of numbers that are the rows of a table.
#[macro_export]
macro_rules! named_table {
    ($(#[$doc:meta])* $name:ident from $file:literal { $($field:ident),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $(
                #[doc = concat!(
                    "The row `", stringify!($field), "` of `tables/", $file, "`, in its unit there."
                )]
                pub $field: f64
            ),+
        }
        impl $name {
            /// Reads a table of this shape.
            pub fn parse(text: &str) -> Result<Self, $crate::units::NamedTableError> {
                let values = $crate::units::named_values(text, &[$(stringify!($field)),+])?;
                let mut values = values.into_iter();
                Ok(Self { $($field: values.next().expect("one value for each key")),+ })
            }
            /// The bundled table.
            pub fn bundled() -> &'static Self {
                const TEXT: &str = $crate::units::table_text($file);
                static TABLE: std::sync::LazyLock<$name> = std::sync::LazyLock::new(|| {
                    $name::parse(TEXT)
                        .expect("tests/tables.rs parses this file")
                });
                &TABLE
            }
        }
    };
}
