//! Learners' results: read from a table, and added up for a class.

use super::lesson::{all_letters, letter, question_of};
use super::result::{Guess, LessonResult, judge};
use super::{Call, Class, LessonTable, lesson_questions};
use crate::report::Page;
use crate::verdict::Cause;
use crate::verdict::ways::Way;
use crate::words::{say, say_with};
use std::collections::BTreeMap;

/// The columns of class results.
const COLUMNS: [&str; 7] = [
    "learner", "floor", "in_100", "chance", "cause", "way", "asked",
];

/// Letters of a learner's name; longer is no name.
const LONGEST_NAME: usize = 60;

/// One learner's guess on one floor.
#[derive(Debug, Clone, PartialEq)]
pub struct ResultRow {
    /// The learner's name or number, as typed.
    pub learner: String,
    /// Number of the floor in the class, from 1.
    pub floor: usize,
    /// What the learner stated.
    pub guess: Guess,
    /// Letters of what was asked; all of them where the column is left out.
    pub asked: String,
}

/// What is wrong with a table of results.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ResultsError {
    /// A column that every table of results needs is not there.
    #[error("{}", say_with("lesson.error.column", &[("file", file), ("column", column)]))]
    Column {
        /// Name of the file.
        file: String,
        /// The column that is missing.
        column: &'static str,
    },
    /// A heading is unknown or stands twice.
    #[error("{}", say_with("lesson.error.heading", &[
        ("file", file),
        ("number", &number.to_string()),
        ("given", given),
        ("what", what),
    ]))]
    Heading {
        /// Name of the file.
        file: String,
        /// Which column it is, from 1.
        number: usize,
        /// The heading, as typed.
        given: String,
        /// What is wrong with it.
        what: &'static str,
    },
    /// A cell says nothing that the column takes.
    #[error("{}", say_with("lesson.error.cell", &[
        ("file", file),
        ("line", &line.to_string()),
        ("column", column),
        ("given", given),
        ("accepted", accepted),
        ("todo", todo),
    ]))]
    Cell {
        /// Name of the file.
        file: String,
        /// Line of the file, from 1.
        line: u64,
        /// The column.
        column: &'static str,
        /// The cell, as typed.
        given: String,
        /// What the column takes.
        accepted: String,
        /// What to do.
        todo: &'static str,
    },
    /// One learner has two rows for one floor.
    #[error("{}", say_with("lesson.error.twice", &[
        ("file", file),
        ("line", &line.to_string()),
        ("learner", learner),
        ("floor", &floor.to_string()),
    ]))]
    Twice {
        /// Name of the file.
        file: String,
        /// Line of the later row, from 1.
        line: u64,
        /// The learner's name or number.
        learner: String,
        /// The floor's number.
        floor: usize,
    },
    /// The file is no table of comma-separated text.
    #[error("{}", say_with("lesson.error.not_read", &[("file", file), ("what", what)]))]
    NotRead {
        /// Name of the file.
        file: String,
        /// What its reader said.
        what: String,
    },
}

/// Reads `learner,floor,in_100,cause,way,asked`; cause, way and asked may be left out. Tables
/// from before have a column `chance` in twentieths in place of `in_100`; they are read too.
///
/// # Errors
///
/// The line and the column of what is not read.
pub fn parse_results(
    text: &str,
    file: &str,
    floors: usize,
) -> Result<Vec<ResultRow>, ResultsError> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let not_read = |it: csv::Error| ResultsError::NotRead {
        file: file.to_string(),
        what: it.to_string(),
    };
    let names = reader.headers().map_err(not_read)?.clone();
    let column = |name: &str| names.iter().position(|it| it.eq_ignore_ascii_case(name));
    for (at, given) in names.iter().enumerate() {
        let unknown = |what: &'static str| ResultsError::Heading {
            file: file.to_string(),
            number: at + 1,
            given: given.chars().take(LONGEST_NAME).collect(),
            what,
        };
        let Some(name) = COLUMNS.iter().find(|it| it.eq_ignore_ascii_case(given)) else {
            return Err(unknown(say("lesson.error.unknown_column")));
        };
        if column(name) != Some(at) {
            return Err(unknown(say("lesson.error.twice_column")));
        }
    }
    let needed = |name: &'static str| {
        column(name).ok_or(ResultsError::Column {
            file: file.to_string(),
            column: name,
        })
    };
    let (learner_at, floor_at) = (needed("learner")?, needed("floor")?);
    let (chance_name, chance_at, chance_of): (&'static str, usize, ChanceOf) =
        match column("in_100") {
            Some(at) => ("in_100", at, parse_chance),
            None => match column("chance") {
                Some(at) => ("chance", at, parse_twentieths),
                None => ("in_100", needed("in_100")?, parse_chance),
            },
        };
    let mut rows: Vec<ResultRow> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(not_read)?;
        let line = record.position().map_or(0, |it| it.line());
        let cell = |at: Option<usize>| at.and_then(|it| record.get(it)).unwrap_or("");
        let wrong = |column: &'static str, given: &str, accepted: String, todo: &'static str| {
            ResultsError::Cell {
                file: file.to_string(),
                line,
                column,
                given: given.to_string(),
                accepted,
                todo,
            }
        };
        let learner = cell(Some(learner_at)).to_string();
        if learner.is_empty() {
            return Err(wrong(
                "learner",
                "",
                say("lesson.error.name").to_string(),
                say("lesson.error.name_todo"),
            ));
        }
        if learner.chars().count() > LONGEST_NAME {
            return Err(wrong(
                "learner",
                &learner.chars().take(LONGEST_NAME).collect::<String>(),
                say_with(
                    "lesson.error.long_name",
                    &[("letters", &LONGEST_NAME.to_string())],
                ),
                say("lesson.error.long_name_todo"),
            ));
        }
        let given = cell(Some(floor_at));
        let floor = given
            .parse::<usize>()
            .ok()
            .filter(|it| (1..=floors).contains(it))
            .ok_or_else(|| {
                wrong(
                    "floor",
                    given,
                    say_with("lesson.error.floor", &[("floors", &floors.to_string())]),
                    say("lesson.error.floor_todo"),
                )
            })?;
        let given = cell(Some(chance_at));
        let chance = chance_of(given).ok_or_else(|| {
            let accepted = match chance_name {
                "chance" => "lesson.error.twentieths",
                _ => "lesson.error.in_100",
            };
            wrong(
                chance_name,
                given,
                say(accepted).to_string(),
                say("lesson.error.chance_todo"),
            )
        })?;
        let given = cell(column("cause"));
        let cause = match given {
            "" => None,
            word => Some(
                Cause::ALL
                    .into_iter()
                    .find(|it| it.word() == word)
                    .ok_or_else(|| {
                        let words: Vec<&str> = Cause::ALL.iter().map(|it| it.word()).collect();
                        wrong(
                            "cause",
                            given,
                            words.join(", "),
                            say("lesson.error.word_todo"),
                        )
                    })?,
            ),
        };
        let given = cell(column("way"));
        let way = match given {
            "" => None,
            word => Some(Way::from_word(word).ok_or_else(|| {
                let words: Vec<&str> = Way::ALL.iter().map(|it| it.word()).collect();
                wrong(
                    "way",
                    given,
                    words.join(", "),
                    say("lesson.error.word_todo"),
                )
            })?),
        };
        let asked = match column("asked") {
            None => all_letters(),
            some => cell(some).to_uppercase(),
        };
        if let Some(it) = asked
            .chars()
            .find(|it| it.is_alphanumeric() && !all_letters().contains(*it))
        {
            return Err(wrong(
                "asked",
                &it.to_string(),
                all_letters(),
                say("lesson.error.letters_todo"),
            ));
        }
        if rows
            .iter()
            .any(|it| it.learner == learner && it.floor == floor)
        {
            return Err(ResultsError::Twice {
                file: file.to_string(),
                line,
                learner,
                floor,
            });
        }
        rows.push(ResultRow {
            learner,
            floor,
            guess: Guess { chance, cause, way },
            asked,
        });
    }
    if rows.is_empty() {
        return Err(ResultsError::NotRead {
            file: file.to_string(),
            what: say("lesson.error.no_rows").to_string(),
        });
    }
    Ok(rows)
}

/// How a column tells a chance.
type ChanceOf = fn(&str) -> Option<f64>;

/// A chance (0 to 1) as a learner writes it: floors in 100, with or without a percent sign.
pub fn parse_chance(text: &str) -> Option<f64> {
    let text = text.trim();
    let count = text.strip_suffix('%').unwrap_or(text);
    let chance = count.trim().parse::<f64>().ok()? / 100.0;
    (0.0..=1.0).contains(&chance).then_some(chance)
}

/// A chance (0 to 1) as tables of results wrote it before: twentieths, or percent with its sign.
fn parse_twentieths(text: &str) -> Option<f64> {
    let text = text.trim();
    if text.ends_with('%') {
        return parse_chance(text);
    }
    let chance = text.parse::<f64>().ok()? / 20.0;
    (0.0..=1.0).contains(&chance).then_some(chance)
}

/// One row with its judgement.
struct Judged<'a> {
    row: &'a ResultRow,
    result: LessonResult,
}

/// Adds a class up: who is over-confident, and which sign each overlooks.
pub fn add_up(class: &Class, rows: &[ResultRow], width: usize) -> String {
    // Learners who asked the same of a floor share what the tool makes of it; each guess is
    // judged by itself.
    let judged: Vec<Judged> = rows
        .iter()
        .map(|row| Judged {
            row,
            result: judge(&class.lessons[row.floor - 1], &row.asked, &row.guess),
        })
        .collect();
    let mut learners: BTreeMap<&str, Vec<&Judged>> = BTreeMap::new();
    for it in &judged {
        learners
            .entry(it.row.learner.as_str())
            .or_default()
            .push(it);
    }
    let mut page = Page::new(width);
    page.line(&say_with(
        "lesson.results_head",
        &[
            ("seed", &class.seed.to_string()),
            ("learners", &learners.len().to_string()),
            ("rows", &rows.len().to_string()),
        ],
    ));
    page.paragraph(say("lesson.results_how"));
    page.line("");
    page.line(&format!("  {}", say("lesson.results_columns")));
    for (name, all) in &learners {
        page.line(&learner_line(name, all));
    }
    page.line(&learner_line(
        say("lesson.whole_class"),
        &judged.iter().collect::<Vec<_>>(),
    ));
    page.title(say("lesson.confidence_title"));
    for (name, all) in &learners {
        page.item(&format!("{name}: {}", confidence(all)));
    }
    page.title(say("lesson.overlooked_title"));
    for (name, all) in &learners {
        page.item(&format!("{name}: {}", overlooked(class, all)));
    }
    let whole: Vec<&Judged> = judged.iter().collect();
    page.item(&format!(
        "{}: {}",
        say("lesson.whole_class"),
        overlooked(class, &whole)
    ));
    page.paragraph(say("lesson.results_caveat"));
    page.done()
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), it| (sum + it, count + 1.0));
    if count > 0.0 { sum / count } else { 0.0 }
}

fn learner_line(name: &str, all: &[&Judged]) -> String {
    let graded = || all.iter().filter(|it| it.result.model_chance.is_some());
    let calls = |which: [Call; 2]| {
        all.iter()
            .filter(|it| {
                it.result
                    .way
                    .as_ref()
                    .is_some_and(|it| which.contains(&it.call))
            })
            .count()
    };
    let minutes: u32 = all
        .iter()
        .map(|it| {
            lesson_questions()
                .iter()
                .enumerate()
                .filter(|(at, _)| it.row.asked.contains(letter(*at)))
                .map(|(_, it)| it.minutes)
                .sum::<u32>()
        })
        .sum();
    let causes = all
        .iter()
        .filter(|it| it.result.named_a_likely_cause == Some(true))
        .count();
    let short: String = name.chars().take(16).collect();
    format!(
        "  {short:<16}{:>6}{:>8.3}{:>8.3}{:>8.3}{:>8}{:>8}{:>8}{:>8}",
        all.len(),
        mean(graded().filter_map(|it| it.result.lost)),
        mean(graded().map(|it| it.result.brier)),
        mean(graded().filter_map(|it| it.result.model_brier)),
        calls([Call::Right, Call::RightUnlucky]),
        calls([Call::Wrong, Call::WrongLucky]),
        causes,
        minutes
    )
}

/// How far toward never or always, beside the tool on the same knowledge.
fn confidence(all: &[&Judged]) -> String {
    let pairs: Vec<(f64, f64)> = all
        .iter()
        .filter_map(|it| {
            it.result
                .model_chance
                .map(|model| (it.result.stated, model))
        })
        .collect();
    let table = LessonTable::bundled();
    if pairs.len() < table.sign_floors as usize {
        return say("lesson.too_few").to_string();
    }
    let bold = |chance: f64| (2.0 * chance - 1.0).abs();
    let bolder = mean(pairs.iter().map(|it| bold(it.0) - bold(it.1)));
    let lean = mean(pairs.iter().map(|it| it.0 - it.1));
    let how = if bolder > table.bolder_by {
        "lesson.bold"
    } else if bolder < -table.bolder_by {
        "lesson.timid"
    } else {
        "lesson.measured"
    };
    let lean_words = if lean > table.bolder_by {
        say("lesson.leans_wet")
    } else if lean < -table.bolder_by {
        say("lesson.leans_dry")
    } else {
        say("lesson.leans_no_way")
    };
    say_with(
        how,
        &[
            ("by", &format!("{:.0}", 100.0 * bolder.abs())),
            ("lean", lean_words),
        ],
    )
}

/// The sign that a learner follows least: where it speaks of a wetter floor the stated odds lie
/// lower beside the tool's than where it does not.
fn overlooked(class: &Class, all: &[&Judged]) -> String {
    let table = LessonTable::bundled();
    // Chances are spoken in twentieths, so nothing is closer to never than half of one.
    let log_odds = |chance: f64| {
        let held = chance.clamp(0.025, 0.975);
        libm::log(held / (1.0 - held))
    };
    let mut worst: Option<(f64, &'static str, usize)> = None;
    for asked in lesson_questions() {
        let question = question_of(&asked.question);
        let (mut with, mut without) = (Vec::new(), Vec::new());
        for it in all {
            let Some(model) = it.result.model_chance else {
                continue;
            };
            let visit = class.lessons[it.row.floor - 1].known(&it.row.asked);
            let Some(answer) = question.answer(&visit) else {
                continue;
            };
            let gap = log_odds(it.result.stated) - log_odds(model);
            if asked.is_wet(&answer) {
                with.push(gap);
            } else {
                without.push(gap);
            }
        }
        let least = table.sign_floors as usize;
        if with.len() < least || without.len() < least {
            continue;
        }
        let gap = mean(with.iter().copied()) - mean(without.iter().copied());
        if gap < -table.sign_gap && worst.is_none_or(|it| gap < it.0) {
            worst = Some((gap, question.id, with.len()));
        }
    }
    match worst {
        None => say("lesson.overlooks_none").to_string(),
        Some((gap, question, floors)) => say_with(
            "lesson.overlooks",
            &[
                ("sign", say(&format!("question.{question}"))),
                (
                    "points",
                    &format!("{:.0}", -gap * 10.0 / std::f64::consts::LN_10),
                ),
                ("floors", &floors.to_string()),
            ],
        ),
    }
}
