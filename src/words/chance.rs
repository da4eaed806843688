//! Chances in plain words.

use crate::verdict::GradeTable;

/// A chance (0 to 1) in whole twentieths; never 0 and never 20.
pub fn in_twentieths(chance: f64) -> Option<u32> {
    let twentieths = (chance * 20.0).round() as u32;
    (1..20).contains(&twentieths).then_some(twentieths)
}

/// "about 9 in 20"; at the ends "less than 1 in 20" and "more than 19 in 20".
///
/// ```
/// use slabseason::words::chance_words;
/// assert_eq!(chance_words(0.46), "about 9 in 20");
/// assert_eq!(chance_words(0.0), "less than 1 in 20");
/// ```
pub fn chance_words(chance: f64) -> String {
    // Where rounding lands on the edge of a grade from below, the words say so.
    let table = GradeTable::bundled();
    let under_an_edge = [table.low_below, table.moderate_below, table.high_below]
        .iter()
        .any(|edge| chance < *edge && in_twentieths(chance) == in_twentieths(*edge));
    match in_twentieths(chance) {
        Some(count) if under_an_edge => format!("just under {count} in 20"),
        Some(10) => "about even, 10 in 20".to_string(),
        Some(count) => format!("about {count} in 20"),
        None if chance < 0.5 => "less than 1 in 20".to_string(),
        None => "more than 19 in 20".to_string(),
    }
}
