//! Chances in plain words: out of 100 floors like this one, in steps of five.

use super::{Language, say, say_with};
use crate::verdict::GradeTable;

/// Steps of a spoken chance in 100 floors.
const STEP: f64 = 5.0;

/// A chance (0 to 1) in whole twentieths, as the files of a class write it; never 0 and never 20.
pub fn in_twentieths(chance: f64) -> Option<u32> {
    let twentieths = (chance * 100.0 / STEP).round() as u32;
    (1..20).contains(&twentieths).then_some(twentieths)
}

/// A chance (0 to 1) as floors in 100, in steps of five; never 0 and never 100.
pub fn in_hundred(chance: f64) -> Option<u32> {
    in_twentieths(chance).map(|it| 5 * it)
}

/// A count of 100 floors: "about 45"; at the ends "fewer than 5" and "more than 95".
///
/// ```
/// use slabseason::words::count_words;
/// assert_eq!(count_words(0.46), "about 45");
/// assert_eq!(count_words(0.0), "fewer than 5");
/// ```
pub fn count_words(chance: f64) -> String {
    count_in(Language::English, chance)
}

/// The same in a language.
pub(super) fn count_in(language: Language, chance: f64) -> String {
    // Where rounding lands on the edge of a grade from below, the words say so.
    let table = GradeTable::bundled();
    let under_an_edge = [table.low_below, table.moderate_below, table.high_below]
        .iter()
        .any(|edge| chance < *edge && in_hundred(chance) == in_hundred(*edge));
    let key = match in_hundred(chance) {
        Some(_) if under_an_edge => "chance.just_under",
        Some(_) => "chance.about",
        None if chance < 0.5 => "chance.fewer",
        None => "chance.more",
    };
    let count = in_hundred(chance).unwrap_or(if chance < 0.5 { 5 } else { 95 });
    language.say_with(key, &[("count", &count.to_string())])
}

/// The same with what it is a count of: "about 45 in 100".
///
/// ```
/// use slabseason::words::chance_words;
/// assert_eq!(chance_words(0.46), "about 45 in 100");
/// ```
pub fn chance_words(chance: f64) -> String {
    say_with("chance.in_100", &[("count", &count_words(chance))])
}

/// How likely that is, in a word or two. Its edges are those of the grades, and one more that
/// parts likely from very likely.
///
/// ```
/// use slabseason::words::likely_words;
/// assert_eq!(likely_words(0.7), "likely");
/// assert_eq!(likely_words(0.95), "very likely");
/// ```
pub fn likely_words(chance: f64) -> &'static str {
    let table = GradeTable::bundled();
    say(if chance < table.low_below {
        "chance.unlikely"
    } else if chance < table.moderate_below {
        "chance.slight"
    } else if chance < table.high_below {
        "chance.real"
    } else if chance < table.very_likely_from {
        "chance.likely"
    } else {
        "chance.very_likely"
    })
}

impl Language {
    /// A count of 100 floors, such as "about 45".
    pub fn count(self, chance: f64) -> String {
        count_in(self, chance)
    }

    /// The same with what it is a count of, such as "about 45 in 100".
    pub fn chance(self, chance: f64) -> String {
        self.say_with("chance.in_100", &[("count", &self.count(chance))])
    }
}
