//! Small tables of named numbers: one row a number, with unit and source.

/// What is wrong with a table of named numbers.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NamedTableError {
    /// A row cannot be read.
    #[error("line {line}: {what}")]
    Row { line: u64, what: String },
    /// A row that the code needs is not there.
    #[error("no row for {key}")]
    Missing { key: &'static str },
    /// A row that nothing reads.
    #[error("the row {key} is read by nothing")]
    Unused { key: String },
}

/// Reads `key,value,unit,source` and returns the values in the order of `keys`.
///
/// # Errors
///
/// A row missing, given twice, unknown, without unit or source, or not a number.
pub fn named_values(text: &str, keys: &[&'static str]) -> Result<Vec<f64>, NamedTableError> {
    let mut found: Vec<Option<f64>> = vec![None; keys.len()];
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    for record in reader.records() {
        let record = record.map_err(|it| NamedTableError::Row {
            line: it.position().map_or(0, |at| at.line()),
            what: it.to_string(),
        })?;
        let line = record.position().map_or(0, |it| it.line());
        let cell = |at: usize| record.get(at).unwrap_or("").trim();
        let bad = |what: String| NamedTableError::Row { line, what };
        let value: f64 = cell(1)
            .parse()
            .map_err(|_| bad(format!("{} is \"{}\", not a number", cell(0), cell(1))))?;
        if cell(2).is_empty() || cell(3).is_empty() {
            return Err(bad(format!("{} has no unit or no source", cell(0))));
        }
        let Some(at) = keys.iter().position(|it| *it == cell(0)) else {
            return Err(NamedTableError::Unused {
                key: cell(0).to_string(),
            });
        };
        if found[at].replace(value).is_some() {
            return Err(bad(format!("{} is given twice", cell(0))));
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
        #[allow(missing_docs)]
        pub struct $name { $(pub $field: f64),+ }
        impl $name {
            /// Reads a table of this shape.
            pub fn parse(text: &str) -> Result<Self, $crate::units::NamedTableError> {
                let values = $crate::units::named_values(text, &[$(stringify!($field)),+])?;
                let mut values = values.into_iter();
                Ok(Self { $($field: values.next().expect("one value for each key")),+ })
            }
            /// The bundled table.
            pub fn bundled() -> &'static Self {
                static TABLE: std::sync::LazyLock<$name> = std::sync::LazyLock::new(|| {
                    $name::parse(include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/tables/", $file)))
                        .expect("tests/tables.rs parses this file")
                });
                &TABLE
            }
        }
    };
}
