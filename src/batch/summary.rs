//! What a season comes to: grades, what was held and why, which floors to visit again, and the
//! question that would settle most.
//!
//! It is made from the lines of results alone, so that a run that was interrupted and went on
//! tells the same as one that was not.

use super::results::{Cell, to_csv};
use crate::words::{knows, say, say_with};
use std::collections::BTreeMap;

/// What the summary needs of a floor's line.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Seen {
    pub line: String,
    pub visit: String,
    pub label: String,
    pub place: String,
    pub status: String,
    pub grade: String,
    pub basis: String,
    pub low_so_far: String,
    pub held_by: String,
    pub retest_after: String,
    pub wet_from: String,
    pub wet_to: String,
    pub open_questions: String,
}

impl Seen {
    /// From a line of results, by the names of its columns.
    pub fn of<'a>(text: impl Fn(&str) -> Option<&'a str>) -> Self {
        let of = |name: &str| text(name).unwrap_or_default().to_string();
        Self {
            line: of("line"),
            visit: of("visit"),
            label: of("label"),
            place: of("place"),
            status: of("status"),
            grade: of("grade"),
            basis: of("basis"),
            low_so_far: of("low_so_far"),
            held_by: of("held_by"),
            retest_after: of("retest_after"),
            wet_from: of("wet_from"),
            wet_to: of("wet_to"),
            open_questions: of("open_questions"),
        }
    }

    /// What this floor is to be visited again for, if it is: one that was held, one that was
    /// never read, or one graded moderate or high, which a reading in the wet season can
    /// settle.
    fn work(&self) -> Option<WorkItem> {
        let reason = match (self.status.as_str(), self.grade.as_str()) {
            ("held", _) => "batch.work_held",
            ("graded", _) if self.basis == "answers" => "batch.work_not_read",
            ("graded", "moderate" | "high") => "batch.work_wet_season",
            _ => return None,
        };
        let date = if self.retest_after.is_empty() {
            &self.wet_from
        } else {
            &self.retest_after
        };
        let until = if self.retest_after.is_empty() {
            &self.wet_to
        } else {
            ""
        };
        Some(WorkItem {
            date: date.clone(),
            until: until.to_string(),
            line: self.line.clone(),
            visit: self.visit.clone(),
            label: self.label.clone(),
            place: self.place.clone(),
            grade: self.grade.clone(),
            why: if reason == "batch.work_held" {
                say_with(reason, &[("why", &held_words(&self.held_by))])
            } else {
                say(reason).to_string()
            },
        })
    }
}

/// The reasons of gates or refusals, as sentences.
fn held_words(ids: &str) -> String {
    let all: Vec<String> = ids
        .split(';')
        .filter(|it| !it.is_empty())
        .map(|it| it.replace('_', " "))
        .collect();
    all.join(", ")
}

/// A floor to visit again.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct WorkItem {
    /// First day that makes sense; empty where any day does.
    pub date: String,
    /// Last day of the wet season where that is the reason to wait.
    pub until: String,
    pub line: String,
    pub visit: String,
    pub label: String,
    pub place: String,
    pub grade: String,
    pub why: String,
}

/// Sums over the floors of a run.
#[derive(Debug, Clone, Default)]
pub struct Summary {
    pub floors: u64,
    pub errors: u64,
    pub refused: u64,
    pub low_so_far: u64,
    grades: BTreeMap<String, u64>,
    held: u64,
    held_by: BTreeMap<String, u64>,
    /// For each question: floors whose grade its answer may change, and the sum of the chances.
    questions: BTreeMap<String, (u64, f64)>,
    /// Floors to visit again, where they are kept.
    pub work: Option<Vec<WorkItem>>,
}

impl Summary {
    /// A summary that keeps the floors to visit again.
    pub fn with_worklist() -> Self {
        Self {
            work: Some(Vec::new()),
            ..Self::default()
        }
    }

    /// Takes up one floor.
    pub fn add(&mut self, seen: &Seen) {
        self.floors += 1;
        match seen.status.as_str() {
            "graded" => {
                *self.grades.entry(seen.grade.clone()).or_default() += 1;
                self.low_so_far += u64::from(seen.low_so_far == "true");
            }
            "held" => {
                self.held += 1;
                for id in seen.held_by.split(';').filter(|it| !it.is_empty()) {
                    *self.held_by.entry(id.to_string()).or_default() += 1;
                }
            }
            "refused" => {
                self.refused += 1;
                *self.held_by.entry(seen.held_by.clone()).or_default() += 1;
            }
            _ => self.errors += 1,
        }
        for part in seen.open_questions.split(';') {
            if let Some((id, chance)) = part.split_once(' ')
                && let Ok(chance) = chance.parse::<f64>()
            {
                let sum = self.questions.entry(id.to_string()).or_default();
                sum.0 += 1;
                sum.1 += chance;
            }
        }
        if let (Some(work), Some(item)) = (&mut self.work, seen.work()) {
            work.push(item);
        }
    }

    /// Floors of a grade.
    pub fn of_grade(&self, grade: &str) -> u64 {
        self.grades.get(grade).copied().unwrap_or(0)
    }

    /// The question whose answers would change most grades: its id, the floors whose grade it
    /// may change, and how many of them it is expected to change.
    pub fn telling_question(&self) -> Option<(&str, u64, f64)> {
        self.questions
            .iter()
            .max_by(|a, b| a.1.1.total_cmp(&b.1.1).then(b.0.cmp(a.0)))
            .map(|(id, (floors, sum))| (id.as_str(), *floors, *sum))
    }

    /// The summary as text.
    pub fn text(&self) -> String {
        let mut lines = vec![say_with(
            "batch.floors",
            &[("count", &self.floors.to_string())],
        )];
        for (grade, name) in [
            ("low", "batch.low"),
            ("moderate", "batch.moderate"),
            ("high", "batch.high"),
            ("very_high", "batch.very_high"),
        ] {
            let blanks = [
                ("count", &*format!("{:>7}", self.of_grade(grade))),
                ("so_far", &self.low_so_far.to_string()),
            ];
            lines.push(say_with(name, &blanks));
        }
        for (count, name) in [
            (self.held, "batch.held"),
            (self.refused, "batch.refused"),
            (self.errors, "batch.errors"),
        ] {
            lines.push(say_with(name, &[("count", &format!("{count:>7}"))]));
        }
        if !self.held_by.is_empty() {
            lines.push(say("batch.held_why").to_string());
            let mut all: Vec<(&String, &u64)> = self.held_by.iter().collect();
            all.sort_by(|a, b| b.1.cmp(a.1).then(a.0.cmp(b.0)));
            for (id, count) in all {
                lines.push(format!("  {count:>7}  {}", id.replace('_', " ")));
            }
        }
        lines.push(match self.telling_question() {
            Some((id, floors, expected)) => {
                let key = format!("question.{id}");
                let question = if knows(&key) { say(&key) } else { id };
                say_with(
                    "batch.question",
                    &[
                        ("question", question),
                        ("floors", &floors.to_string()),
                        ("expected", &format!("{expected:.0}")),
                    ],
                )
            }
            None => say("batch.no_question").to_string(),
        });
        lines.push(say("disclaimer").to_string());
        let mut text = String::new();
        for line in lines {
            text.push_str(&textwrap::fill(
                &line,
                textwrap::Options::new(80).subsequent_indent("    "),
            ));
            text.push('\n');
        }
        text
    }

    /// The floors to visit again, by date; those that any day suits come first.
    pub fn sorted_work(&self) -> Vec<WorkItem> {
        let mut work = self.work.clone().unwrap_or_default();
        work.sort_by_key(|it| {
            let line: u64 = it.line.parse().unwrap_or(0);
            (it.date.clone(), line)
        });
        work
    }
}

/// The worklist as comma-separated values.
pub fn worklist_csv(work: &[WorkItem]) -> String {
    let text = |it: &str| Cell::Text(it.to_string());
    let heading = [
        "date", "until", "visit", "label", "place", "grade", "why", "line",
    ];
    let mut out = to_csv(&heading.map(text));
    for it in work {
        let cells = [
            &it.date, &it.until, &it.visit, &it.label, &it.place, &it.grade, &it.why, &it.line,
        ];
        out.push_str(&to_csv(&cells.map(|it| text(it))));
    }
    out
}
