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
    let not_read = |what: String| ResultsError::NotRead {
        file: file.to_string(),
        what,
    };
    let heading = reader.headers().map_err(|it| not_read(it.to_string()))?;
    let columns = Columns::of(heading, file)?;
    let mut rows: Vec<ResultRow> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|it| not_read(it.to_string()))?;
        let line = Line {
            file,
            number: record.position().map_or(0, |it| it.line()),
            record: &record,
            columns: &columns,
        };
        let row = line.row(floors)?;
        if rows
            .iter()
            .any(|it| it.learner == row.learner && it.floor == row.floor)
        {
            return Err(ResultsError::Twice {
                file: file.to_string(),
                line: line.number,
                learner: row.learner,
                floor: row.floor,
            });
        }
        rows.push(row);
    }
    if rows.is_empty() {
        return Err(not_read(say("lesson.error.no_rows").to_string()));
    }
    Ok(rows)
}

/// Where each column of a table of answers is.
struct Columns {
    learner: usize,
    floor: usize,
    chance: usize,
    /// Name of the column with the chance, and how it tells it.
    chance_told: (&'static str, ChanceOf),
    cause: Option<usize>,
    way: Option<usize>,
    asked: Option<usize>,
}

impl Columns {
    fn of(heading: &csv::StringRecord, file: &str) -> Result<Self, ResultsError> {
        let column = |name: &str| heading.iter().position(|it| it.eq_ignore_ascii_case(name));
        for (at, given) in heading.iter().enumerate() {
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
        let (learner, floor) = (needed("learner")?, needed("floor")?);
        let (chance, chance_told): (usize, (&'static str, ChanceOf)) =
            match (column("in_100"), column("chance")) {
                (None, Some(at)) => (at, ("chance", parse_twentieths)),
                _ => (needed("in_100")?, ("in_100", parse_chance)),
            };
        Ok(Self {
            learner,
            floor,
            chance,
            chance_told,
            cause: column("cause"),
            way: column("way"),
            asked: column("asked"),
        })
    }
}

/// One line of a table of answers.
struct Line<'a> {
    file: &'a str,
    /// From 1, the heading counted.
    number: u64,
    record: &'a csv::StringRecord,
    columns: &'a Columns,
}

impl Line<'_> {
    fn row(&self, floors: usize) -> Result<ResultRow, ResultsError> {
        Ok(ResultRow {
            learner: self.learner()?,
            floor: self.floor(floors)?,
            guess: Guess {
                chance: self.chance()?,
                cause: self.word("cause", self.columns.cause, &Cause::ALL, |it| it.word())?,
                way: self.word("way", self.columns.way, &Way::ALL, |it| it.word())?,
            },
            asked: self.asked()?,
        })
    }

    fn cell(&self, at: usize) -> &str {
        self.record.get(at).unwrap_or("")
    }

    fn wrong(
        &self,
        column: &'static str,
        given: &str,
        accepted: String,
        todo: &str,
    ) -> ResultsError {
        ResultsError::Cell {
            file: self.file.to_string(),
            line: self.number,
            column,
            given: given.to_string(),
            accepted,
            todo: say(todo),
        }
    }

    fn learner(&self) -> Result<String, ResultsError> {
        let given = self.cell(self.columns.learner);
        if given.is_empty() {
            let accepted = say("lesson.error.name").to_string();
            return Err(self.wrong("learner", "", accepted, "lesson.error.name_todo"));
        }
        if given.chars().count() > LONGEST_NAME {
            let begin: String = given.chars().take(LONGEST_NAME).collect();
            let letters = LONGEST_NAME.to_string();
            let accepted = say_with("lesson.error.long_name", &[("letters", &letters)]);
            return Err(self.wrong("learner", &begin, accepted, "lesson.error.long_name_todo"));
        }
        Ok(given.to_string())
    }

    fn floor(&self, floors: usize) -> Result<usize, ResultsError> {
        let given = self.cell(self.columns.floor);
        let number = given.parse::<usize>().ok();
        number
            .filter(|it| (1..=floors).contains(it))
            .ok_or_else(|| {
                let floors = floors.to_string();
                let accepted = say_with("lesson.error.floor", &[("floors", &floors)]);
                self.wrong("floor", given, accepted, "lesson.error.floor_todo")
            })
    }

    fn chance(&self) -> Result<f64, ResultsError> {
        let given = self.cell(self.columns.chance);
        let (name, chance_of) = self.columns.chance_told;
        chance_of(given).ok_or_else(|| {
            let accepted = match name {
                "chance" => "lesson.error.twentieths",
                _ => "lesson.error.in_100",
            };
            let accepted = say(accepted).to_string();
            self.wrong(name, given, accepted, "lesson.error.chance_todo")
        })
    }

    /// One of a few words; nothing where the cell is empty or the column is not there.
    fn word<T: Copy>(
        &self,
        column: &'static str,
        at: Option<usize>,
        all: &[T],
        word: impl Fn(&T) -> &'static str,
    ) -> Result<Option<T>, ResultsError> {
        let given = at.map_or("", |it| self.cell(it));
        let found = all.iter().find(|it| word(it) == given);
        if given.is_empty() || found.is_some() {
            return Ok(found.copied());
        }
        let words: Vec<&str> = all.iter().map(&word).collect();
        Err(self.wrong(column, given, words.join(", "), "lesson.error.word_todo"))
    }

    fn asked(&self) -> Result<String, ResultsError> {
        let Some(at) = self.columns.asked else {
            return Ok(all_letters());
        };
        let asked = self.cell(at).to_uppercase();
        let is_strange = |it: &char| it.is_alphanumeric() && !all_letters().contains(*it);
        match asked.chars().find(is_strange) {
            None => Ok(asked),
            Some(it) => {
                let todo = "lesson.error.letters_todo";
                Err(self.wrong("asked", &it.to_string(), all_letters(), todo))
            }
        }
    }
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
    page.paragraph(say("lesson.results_calls"));
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
