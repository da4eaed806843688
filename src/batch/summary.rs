//! What a season comes to: grades, what was held and why, which floors to visit again, and the
//! question that would settle most.
//!
//! It is made from the lines of results alone, so that a run that was interrupted and went on
//! tells the same as one that was not.

use super::results::{FloorResult, csv_line, quoted, with_kept_cells, without_formula};
use crate::rules::asks_for_depth;
use crate::words::{chance_words, knows, say, say_with};
use serde::Serialize;
use std::collections::BTreeMap;

impl FloorResult {
    /// Grade of the headline; that of the bare floor in results that have no headline.
    fn leading_grade(&self) -> String {
        let own = self.headline_grade.as_ref().or(self.grade.as_ref());
        own.cloned().unwrap_or_default()
    }

    /// Whether the result leads with a reading over the limit that day; older results do not say
    /// it of held floors.
    fn is_over_today(&self) -> bool {
        match self.headline_state.as_deref() {
            Some(state) => state == "over_today",
            None => {
                self.status.as_deref() == Some("graded")
                    && self.basis.as_deref() != Some("answers")
                    && self.over_now == Some(true)
            }
        }
    }

    /// What this floor needs a person for, if it does: one that was held, with a day to come
    /// back or without, one that was never read, one graded moderate or high, which a reading in
    /// the wet season can settle, and one graded very high or with water standing on it, whose
    /// source is to be found first. None of which it is known how it turned out.
    fn work(&self) -> Option<WorkItem> {
        let word = |it: &Option<String>| it.clone().unwrap_or_default();
        // It is known how it turned out: nobody goes there for a reading.
        if !word(&self.outcome).is_empty() {
            return None;
        }
        let grade = self.leading_grade();
        let reason = match (word(&self.status).as_str(), word(&self.grade).as_str()) {
            ("held", _) if asks_for_depth(word(&self.held_by).split(';')) => {
                "batch.work_held_depth"
            }
            ("held" | "graded", _) if self.is_over_today() && self.retest_after.is_some() => {
                "batch.work_over_now_day"
            }
            ("held" | "graded", _) if self.is_over_today() => "batch.work_over_now",
            ("held", _) => "batch.work_held",
            ("graded", _) if word(&self.basis) == "answers" => "batch.work_not_read",
            ("graded", "low") if grade != "low" => "batch.work_coating",
            ("graded", "moderate" | "high") => "batch.work_wet_season",
            ("graded", "very_high") => "batch.work_very_high",
            ("refused", _) if word(&self.held_by) == "standing_water" => "batch.work_very_high",
            _ => return None,
        };
        let (date, until) = match &self.retest_after {
            // Nothing is to be waited for.
            _ if ["batch.work_very_high", "batch.work_over_now"].contains(&reason) => {
                (String::new(), String::new())
            }
            Some(after) => (after.clone(), String::new()),
            None => (word(&self.wet_from), word(&self.wet_to)),
        };
        Some(WorkItem {
            date,
            until,
            visit: word(&self.visit),
            label: word(&self.label),
            place: word(&self.place),
            grade,
            why: match reason {
                "batch.work_held" | "batch.work_held_depth" => {
                    say_with(reason, &[("why", &held_words(&word(&self.held_by)))])
                }
                "batch.work_coating" => {
                    let of = format!("of.{}", word(&self.quoted_way));
                    let blanks = [
                        ("grade", self.leading_grade().replace('_', " ")),
                        ("of", say(&of).to_string()),
                        (
                            "chance",
                            chance_words(self.headline_probability.unwrap_or(0.0)),
                        ),
                    ];
                    say_with(reason, &blanks.each_ref().map(|it| (it.0, it.1.as_str())))
                }
                _ => say(reason).to_string(),
            },
            line: self.line.unwrap_or(0),
            kept: self.kept.clone(),
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

/// A floor to visit again; a row of the worklist.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct WorkItem {
    /// First day that makes sense; empty where any day does.
    pub date: String,
    /// Last day of the wet season where that is the reason to wait.
    pub until: String,
    /// The word that ties the floor's rows together; empty where there is none.
    pub visit: String,
    /// Job number or the like, as in the visit.
    pub label: String,
    /// The place as it was found.
    pub place: String,
    /// Grade of the headline, `low` to `very_high`; empty for a held floor.
    pub grade: String,
    /// Why a person is to go, as a sentence.
    pub why: String,
    /// Line of the table of floors.
    pub line: u64,
    /// Name and cell of each column of the office's own.
    #[serde(skip)]
    pub kept: Vec<(String, String)>,
}

/// Sums over the floors of a run.
#[derive(Debug, Clone, Default)]
pub struct Summary {
    /// Floors of the table, those with errors too.
    pub floors: u64,
    /// Floors whose rows could not be read.
    pub errors: u64,
    /// Floors of which no estimate is given, such as a suspended one.
    pub refused: u64,
    /// Floors that are graded low with something left open.
    pub low_so_far: u64,
    grades: BTreeMap<String, u64>,
    /// Floors that the system quoted puts in a worse grade than the bare floor's.
    by_system: u64,
    /// Floors of which the system quoted was not looked at.
    bare_alone: u64,
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
    pub fn add(&mut self, floor: &FloorResult) {
        let word = |it: &Option<String>| it.clone().unwrap_or_default();
        self.floors += 1;
        match word(&floor.status).as_str() {
            "graded" => {
                let grade = floor.leading_grade();
                self.bare_alone += u64::from(floor.headline_grade.is_none());
                self.by_system += u64::from(grade != word(&floor.grade));
                let is_low = grade == "low";
                self.low_so_far += u64::from(is_low && floor.low_so_far == Some(true));
                *self.grades.entry(grade).or_default() += 1;
            }
            "held" => {
                self.held += 1;
                for id in word(&floor.held_by).split(';').filter(|it| !it.is_empty()) {
                    *self.held_by.entry(id.to_string()).or_default() += 1;
                }
            }
            "refused" => {
                self.refused += 1;
                *self.held_by.entry(word(&floor.held_by)).or_default() += 1;
            }
            _ => self.errors += 1,
        }
        for part in word(&floor.open_questions).split(';') {
            if let Some((id, chance)) = part.split_once(' ')
                && let Ok(chance) = chance.parse::<f64>()
            {
                let sum = self.questions.entry(id.to_string()).or_default();
                sum.0 += 1;
                sum.1 += chance;
            }
        }
        if let (Some(work), Some(item)) = (&mut self.work, floor.work()) {
            work.push(item);
        }
    }

    /// Floors of a grade.
    fn of_grade(&self, grade: &str) -> u64 {
        self.grades.get(grade).copied().unwrap_or(0)
    }

    /// The question whose answers would change most grades: its id, the floors whose grade it
    /// may change, and how many of them it is expected to change.
    fn telling_question(&self) -> Option<(&str, u64, f64)> {
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
        if self.bare_alone > 0 {
            let count = self.bare_alone.to_string();
            lines.push(say_with("batch.bare_alone", &[("count", &count)]));
        }
        if self.by_system > 0 {
            let count = self.by_system.to_string();
            lines.push(say_with("batch.by_system", &[("count", &count)]));
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
        work.sort_by_key(|it| (it.date.clone(), it.line));
        work
    }
}

/// The worklist as comma-separated values.
pub fn worklist_csv(work: &[WorkItem]) -> String {
    let mut out = "date,until,visit,label,place,grade,why,line".to_string();
    for (name, _) in work.first().iter().flat_map(|it| &it.kept) {
        out.push(',');
        out.push_str(&quoted(&without_formula(name)));
    }
    out.push('\n');
    for it in work {
        let cell = |it: &String| quoted(&without_formula(it));
        let line = csv_line(&WorkItem {
            date: cell(&it.date),
            until: cell(&it.until),
            visit: cell(&it.visit),
            label: cell(&it.label),
            place: cell(&it.place),
            grade: cell(&it.grade),
            why: cell(&it.why),
            line: it.line,
            kept: Vec::new(),
        });
        out.push_str(&with_kept_cells(line, &it.kept));
    }
    out
}
