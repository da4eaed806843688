//! Rows of comma-separated values.

/// One cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Nothing,
    /// What someone wrote, or words.
    Text(String),
    Number(f64),
    Yes(bool),
}

/// A line, with its end. Text that a spreadsheet would run as a formula gets an apostrophe in
/// front, which it shows as text.
pub fn to_csv(cells: &[Cell]) -> String {
    let texts = cells.iter().map(|it| match it {
        Cell::Nothing => String::new(),
        Cell::Text(text) if text.starts_with(['=', '+', '-', '@', '\t', '\r']) => {
            format!("'{text}")
        }
        Cell::Text(text) => text.clone(),
        Cell::Number(value) => value.to_string(),
        Cell::Yes(yes) => yes.to_string(),
    });
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    let whole = "a record goes into memory";
    writer.write_record(texts).expect(whole);
    String::from_utf8(writer.into_inner().expect(whole)).expect("cells are text")
}
