//! Pairs of floors that differ in one thing, with the size of the difference.

use super::PAIRS;
use crate::climate::find_place;
use crate::report::Page;
use crate::survey::{Draft, Raw, Visit, place_query, set_field};
use crate::verdict::ways::Way;
use crate::verdict::{Detail, Grade, Request, answer, decibans};
use crate::words::{Language, chance_words, say, say_with};
use serde::Serialize;

/// One floor of a pair.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Side {
    /// None where the reading is held.
    pub chance: Option<f64>,
    /// Grade; `None` where the reading is held.
    pub grade: Option<Grade>,
    /// Preferred way forward; `None` where the reading is held or there is no estimate.
    pub preferred: Option<Way>,
}

/// Two floors that differ in one thing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pair {
    /// Name of the pair in `tables/lesson_pairs.csv`.
    pub key: &'static str,
    /// The floor with the values of the column `first`.
    pub first: Side,
    /// The floor with those of the column `second`.
    pub second: Side,
    /// Points of the score between them: 3 double the odds.
    pub points: Option<f64>,
}

/// The floor that all pairs start from, and what the paths of one pair make of it.
pub(super) fn pair_visit(key: &str, second: bool) -> Visit {
    let mut draft = Draft::default();
    let of = |wanted: &'static str| PAIRS.iter().filter(move |it| it.pair == wanted);
    let own = PAIRS.iter().filter(|it| it.pair == key && key != "base");
    for row in of("base").chain(own) {
        let value = if second { &row.second } else { &row.first };
        set_field(&mut draft, &row.path, &Raw::Text(value.clone()))
            .expect("tests/lessons.rs sets every row of the pairs");
    }
    draft
        .finish()
        .expect("tests/lessons.rs finishes every pair")
}

/// Names of the pairs in the order of the board.
const NAMES: [&str; 5] = ["darkening", "season", "town", "retarder", "weather"];

/// Works every pair out, as `screen` would.
pub fn pairs() -> Vec<Pair> {
    NAMES
        .into_iter()
        .map(|key| {
            let [first, second] = [false, true].map(|it| side(&pair_visit(key, it)));
            Pair {
                key,
                points: first
                    .chance
                    .zip(second.chance)
                    .map(|(a, b)| decibans(a) - decibans(b)),
                first,
                second,
            }
        })
        .collect()
}

fn side(visit: &Visit) -> Side {
    let place = find_place(&place_query(&visit.place))
        .expect("tests/lessons.rs finds the place of every pair");
    let request = Request {
        detail: Detail::Ways,
        ..Request::default()
    };
    let (verdict, _) = answer(&place, visit, request);
    Side {
        chance: verdict.chance,
        grade: verdict.grade,
        preferred: verdict
            .ways
            .filter(|_| !verdict.held)
            .map(|it| it.preferred),
    }
}

/// The trainer's board.
pub fn pairs_text(pairs: &[Pair], width: usize) -> String {
    let mut page = Page::new(width);
    page.line(say("lesson.pairs_head"));
    page.paragraph(say("lesson.pairs_base"));
    for pair in pairs {
        page.title(say(&format!("lesson.pair.{}", pair.key)));
        for (at, side) in [
            (say(&format!("lesson.pair_first.{}", pair.key)), &pair.first),
            (
                say(&format!("lesson.pair_second.{}", pair.key)),
                &pair.second,
            ),
        ] {
            let chance = side
                .chance
                .map_or(say("lesson.held").to_string(), chance_words);
            let way = side.preferred.map_or(String::new(), |it| {
                format!("; {}", say(&format!("way.{}", it.word())))
            });
            page.wrapped(
                &format!(
                    "{:<24}{chance}, {}{way}",
                    format!("{at}: "),
                    super::lesson::grade_words(Language::English, side.grade)
                ),
                "  ",
                "                          ",
            );
        }
        if let Some(points) = pair.points {
            let odds = libm::pow(10.0, points.abs() / 10.0);
            page.paragraph(&say_with(
                if points.abs().round() == 1.0 {
                    "lesson.pair_gap_one"
                } else {
                    "lesson.pair_gap"
                },
                &[
                    ("points", &format!("{:.0}", points.abs())),
                    ("times", &format!("{odds:.1}")),
                ],
            ));
        }
        page.paragraph(say(&format!("lesson.pair_why.{}", pair.key)));
    }
    page.line("");
    page.wrapped(say("disclaimer"), "", "");
    page.done()
}
