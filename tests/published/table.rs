//! Reading the small tables beside this file.

use std::collections::HashMap;

/// The rows of a table as maps from column to text.
pub fn rows(text: &str) -> Vec<HashMap<String, String>> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let names = reader.headers().unwrap().clone();
    reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            names
                .iter()
                .zip(record.iter())
                .map(|(name, cell)| (name.to_string(), cell.to_string()))
                .collect()
        })
        .collect()
}

/// A number of a row.
pub fn number(row: &HashMap<String, String>, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|_| panic!("{column} is \"{}\"", row[column]))
}
