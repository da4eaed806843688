//! An interview under way.

use super::super::check::{notes, problems};
use super::super::draft::Draft;
use super::super::errors::FieldError;
use super::super::field::FieldKind;
use super::super::fields::{field, indexed, set_field, value_of, with_unit};
use super::super::limits::range;
use super::super::parse::Parsed;
use super::super::raw::{Raw, shortened};
use super::super::registry::FIELDS;
use super::super::visit::*;
use super::answers::{Asked, MONTHS, is_never, is_not_sure, takes_never, typed};
use super::questions::{
    Choice, FIRST_READING, MORE_READINGS, PLACE, Pass, QUESTIONS, Question, Step,
};
use super::saving::unfinished_file;
use crate::climate::{PlaceQuery, find_place};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// What was said to one question, for checking.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    pub step: Step,
    /// In plain words; "not sure" where that was said.
    pub said: String,
}

#[derive(Debug, Clone, PartialEq)]
enum Said {
    /// As it was typed, where that reads better than the saved number.
    Answer(Option<String>),
    NotSure,
    /// A word that is no field of the visit file.
    Word(String),
}

/// An interview under way.
///
/// Answers are never lost: one whose question no longer makes sense is left out of the visit
/// and comes back with its question.
///
/// ```
/// use slabseason::survey::interview::Interview;
/// let mut interview = Interview::new(None);
/// interview.answer("estimator")?;
/// interview.answer("2026-09-08")?;
/// assert!(interview.not_sure().is_err(), "the place is needed");
/// interview.answer("05401")?;
/// assert_eq!(interview.current().unwrap().path(), "floor.setting");
/// # Ok::<(), slabseason::survey::FieldError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Interview {
    /// Everything that was said, also what no longer applies.
    kept: Draft,
    said: BTreeMap<String, Said>,
    /// The question that the person went back to.
    pinned: Option<String>,
    depth: Pass,
    /// Offered as the day of the visit.
    today: Option<NaiveDate>,
}

impl Interview {
    /// A new interview. `today` is offered as the day of the visit.
    pub fn new(today: Option<NaiveDate>) -> Self {
        Self::from_draft(Draft::default(), &[], today)
    }

    /// Goes on with what is there already. `not_sure` are paths that were answered so.
    pub fn from_draft(draft: Draft, not_sure: &[String], today: Option<NaiveDate>) -> Self {
        let mut res = Interview {
            kept: draft,
            said: BTreeMap::new(),
            pinned: None,
            depth: Pass::More,
            today,
        };
        let count = res.kept.readings.len();
        if count > 0 {
            res.say(FIRST_READING, Said::Word("true".to_string()));
        }
        for at in 0..count {
            if at + 1 < count {
                res.say(&indexed(MORE_READINGS, at), Said::Word("other".to_string()));
            }
        }
        // Only what has its question now is marked as said: the rest of a file that somebody
        // wrote by hand is kept whatever is answered.
        for step in res.steps() {
            let path = step.path();
            if res.holds_something(&step) {
                res.say(&path, Said::Answer(None));
            } else if not_sure.contains(&path) && !step.question.is_needed() {
                res.say(&path, Said::NotSure);
            }
        }
        res.depth = Pass::Quick;
        res
    }

    /// The question to ask now, or `None` when this pass is through.
    pub fn current(&self) -> Option<Step> {
        let steps = self.steps();
        let pinned = self.pinned.as_ref();
        if let Some(step) = pinned.and_then(|path| steps.iter().find(|it| it.path() == *path)) {
            return Some(*step);
        }
        steps
            .into_iter()
            .find(|it| !self.said.contains_key(&it.path()))
    }

    /// Answers the current question: the word of the visit file, the label or its beginning,
    /// the number of the choice, a number with its unit, yes or no, a date. Empty text keeps
    /// what was said before, takes the default, or means "not sure".
    ///
    /// # Errors
    ///
    /// Where, what was given, what is accepted and what to do; nothing has changed then.
    pub fn answer(&mut self, text: &str) -> Result<(), FieldError> {
        let Some(step) = self.current() else {
            return Ok(());
        };
        let text = text.trim();
        if text.is_empty() {
            return match self.default(&step) {
                _ if self.said.contains_key(&step.path()) => {
                    self.pinned = None;
                    Ok(())
                }
                Some(default) => self.answer(&default),
                None => self.not_sure(),
            };
        }
        if is_not_sure(text) || (is_never(text) && takes_never(&step)) {
            return self.not_sure();
        }
        match step.question.field.as_str() {
            FIRST_READING | MORE_READINGS => self.answer_about_readings(&step, text),
            PLACE => self.answer_place(text),
            _ => {
                let (path, raw) = self.asked(&step).meant(text);
                self.set(&step, &[(path, raw)], typed(&step, text))
            }
        }
    }

    /// Answers the current question with a value that a form has read already.
    ///
    /// # Errors
    ///
    /// As [`Interview::answer`].
    pub fn answer_raw(&mut self, raw: &Raw) -> Result<(), FieldError> {
        let Some(step) = self.current() else {
            return Ok(());
        };
        match raw {
            Raw::Text(it) => self.answer(it),
            Raw::Bool(it) if step.question.field == FIRST_READING => {
                self.answer(if *it { "true" } else { "false" })
            }
            other => self.set(&step, &[(step.path(), other.clone())], None),
        }
    }

    /// Says "not sure", which is always an answer but for the day and the place.
    ///
    /// # Errors
    ///
    /// The current question is one of these two.
    pub fn not_sure(&mut self) -> Result<(), FieldError> {
        let Some(step) = self.current() else {
            return Ok(());
        };
        if step.question.is_needed() {
            return Err(FieldError::Needed {
                path: step.path(),
                near: None,
                what: if step.question.field == PLACE {
                    "the place"
                } else {
                    "the day of the visit"
                }
                .to_string(),
                accepted: self.accepted(&step),
                todo: "nothing can be said without it".to_string(),
            });
        }
        if is_field(&step) {
            clear(&mut self.kept, &step);
        }
        self.say(&step.path(), Said::NotSure);
        self.pinned = None;
        Ok(())
    }

    /// Goes to the question before; what was answered stays. `false` at the first one.
    pub fn back(&mut self) -> bool {
        let steps = self.steps();
        let here = self.current().map(|it| it.path());
        let at = here
            .and_then(|path| steps.iter().position(|it| it.path() == path))
            .unwrap_or(steps.len());
        let before = at.checked_sub(1).map(|it| steps[it].path());
        let moved = before.is_some();
        self.pinned = before.or(self.pinned.take());
        moved
    }

    /// Goes to a question that was answered, to change it. `false` when it is not asked now.
    pub fn go_to(&mut self, path: &str) -> bool {
        let found = self.steps().iter().any(|it| it.path() == path);
        if found {
            self.pinned = Some(path.to_string());
        }
        found
    }

    /// Whether every question of the quick pass is answered.
    pub fn is_finished_quick(&self) -> bool {
        self.pinned.is_none()
            && self
                .steps_to(Pass::Quick)
                .iter()
                .all(|it| self.said.contains_key(&it.path()))
    }

    /// Asks the rest as well.
    pub fn go_on_with_more(&mut self) {
        self.depth = Pass::More;
    }

    /// Whether the rest is being asked.
    pub fn depth(&self) -> Pass {
        self.depth
    }

    /// The same interview, asking this pass.
    pub fn at_depth(self, depth: Pass) -> Self {
        Interview { depth, ..self }
    }

    /// How many questions of the rest are open.
    pub fn open_in_more(&self) -> usize {
        self.steps_to(Pass::More)
            .iter()
            .filter(|it| !self.said.contains_key(&it.path()))
            .count()
    }

    /// How many questions of this pass were answered, and how many there are by now.
    pub fn progress(&self) -> (usize, usize) {
        let steps = self.steps();
        let said = steps
            .iter()
            .filter(|it| self.said.contains_key(&it.path()))
            .count();
        (said, steps.len())
    }

    /// Whose words are used: the estimator's until a homeowner says so.
    pub fn audience(&self) -> AnsweredBy {
        self.kept.answered_by.unwrap_or(AnsweredBy::Estimator)
    }

    /// The visit as far as it goes: without what no longer applies, and without readings that
    /// turned out to have no kind or no value.
    pub fn draft(&self) -> Draft {
        let mut draft = self.plan(self.depth).1;
        let mut at = 0;
        draft.readings.retain(|_| {
            let dropped = ["reading.kind", "reading.value"]
                .iter()
                .any(|it| self.said.get(&indexed(it, at)) == Some(&Said::NotSure));
            at += 1;
            !dropped
        });
        draft
    }

    /// The visit for a result now: a reading that is only half told is left out.
    ///
    /// # Errors
    ///
    /// What is still missing: a day, a place, one answer.
    pub fn visit(&self) -> Result<Visit, Vec<FieldError>> {
        let mut draft = self.draft();
        draft
            .readings
            .retain(|it| it.kind.is_some() && it.value.is_some());
        draft.finish()
    }

    /// The visit with the notes on it. A reading without a day of its own was taken at the
    /// visit; nobody typed otherwise.
    ///
    /// # Errors
    ///
    /// As [`Interview::visit`].
    pub fn parsed(&self) -> Result<Parsed, Vec<FieldError>> {
        let visit = self.visit()?;
        let mut draft = self.draft();
        for reading in &mut draft.readings {
            reading.date = reading.date.or(draft.visit_date);
        }
        Ok(Parsed {
            visit,
            notes: notes(&draft),
        })
    }

    /// The same interview at the first open question.
    pub fn unpinned(self) -> Self {
        Interview {
            pinned: None,
            ..self
        }
    }

    /// Whether something was said to the question at a path, "not sure" too.
    pub fn is_answered(&self, path: &str) -> bool {
        self.said.contains_key(path)
    }

    /// Everything that was said, in the order of the questions.
    pub fn answers(&self) -> Vec<Answer> {
        self.steps_to(Pass::More)
            .into_iter()
            .filter_map(|step| self.said_to(&step).map(|said| Answer { step, said }))
            .collect()
    }

    /// What was said to a question, in plain words.
    pub fn said_to(&self, step: &Step) -> Option<String> {
        let said = self.said.get(&step.path())?;
        Some(match said {
            Said::NotSure => "not sure".to_string(),
            Said::Answer(Some(typed)) => typed.clone(),
            Said::Word(word) => self.label(step, word),
            Said::Answer(None) => self.value_in_words(step),
        })
    }

    /// The answers to choose from, empty where the answer is typed.
    pub fn choices(&self, step: &Step) -> Vec<&'static Choice> {
        self.asked(step).choices()
    }

    /// What the current question takes, for a hint.
    pub fn accepted(&self, step: &Step) -> String {
        self.asked(step).accepted()
    }

    fn asked<'a>(&self, step: &'a Step) -> Asked<'a> {
        Asked {
            step,
            kind: self.kept.readings.get(step.reading).and_then(|it| it.kind),
            audience: self.audience(),
            today: self.today,
        }
    }

    /// The visit file so far, with "unknown" where somebody said so: a resumed interview does
    /// not ask it again.
    pub fn file_text(&self) -> String {
        unfinished_file(&self.plan(self.depth).1, |path| self.is_open(path))
    }

    /// What an empty answer means where nothing was said yet.
    pub fn default(&self, step: &Step) -> Option<String> {
        match step.question.field.as_str() {
            "visit_date" => self.today.map(|it| it.to_string()),
            "reading.date" => self.kept.visit_date.map(|it| it.to_string()),
            _ => None,
        }
    }

    /// The questions of this pass that make sense by now, answered or not.
    pub fn steps(&self) -> Vec<Step> {
        self.steps_to(self.depth)
    }

    fn steps_to(&self, depth: Pass) -> Vec<Step> {
        self.plan(depth).0
    }

    fn is_open(&self, path: &str) -> bool {
        self.said.get(path) == Some(&Said::NotSure)
    }

    /// Walks through the table once: which questions make sense, and the visit without the
    /// answers to those that do not.
    fn plan(&self, depth: Pass) -> (Vec<Step>, Draft) {
        let mut draft = self.kept.clone();
        let mut steps = Vec::new();
        let mut at = 0;
        while at < QUESTIONS.len() {
            let is_group = QUESTIONS[at].is_per_reading();
            let same = |it: &&Question| it.is_per_reading() == is_group;
            let end = at + QUESTIONS[at..].iter().take_while(same).count();
            let rounds = if is_group {
                self.count_readings(&mut draft)
            } else {
                1
            };
            for reading in 0..rounds {
                for question in &QUESTIONS[at..end] {
                    self.consider(Step { question, reading }, depth, &mut draft, &mut steps);
                }
            }
            at = end;
        }
        if is_refused(&draft) {
            // Nothing more can help; what was said stays to be checked and changed.
            steps.retain(|it: &Step| it.question.is_needed() || self.said.contains_key(&it.path()));
        }
        (steps, draft)
    }

    fn consider(&self, step: Step, depth: Pass, draft: &mut Draft, steps: &mut Vec<Step>) {
        let question = step.question;
        let holds = |depth| question.condition.holds(draft, step.reading, depth);
        if holds(depth) && question.who.suits(self.audience()) && question.pass <= depth {
            steps.push(step);
        } else if !holds(Pass::More)
            && is_field(&step)
            && matches!(self.said.get(&step.path()), Some(Said::Answer(_)))
        {
            clear(draft, &step);
        }
    }

    /// How many readings are told of; those taken back by "no" are left out of the draft.
    fn count_readings(&self, draft: &mut Draft) -> usize {
        let word = |path: &str| match self.said.get(path) {
            Some(Said::Word(it)) => Some(it.as_str()),
            _ => None,
        };
        if !self.said.contains_key(FIRST_READING) {
            return draft.readings.len();
        }
        if word(FIRST_READING) != Some("true") {
            draft.readings.clear();
            return 0;
        }
        let most = range("file.readings").high as usize;
        let mut count = 1;
        while count < most
            && matches!(
                word(&indexed(MORE_READINGS, count - 1)),
                Some("same" | "other")
            )
        {
            count += 1;
        }
        draft.readings.truncate(count);
        count
    }

    fn say(&mut self, path: &str, said: Said) {
        self.said.insert(path.to_string(), said);
    }

    fn holds_something(&self, step: &Step) -> bool {
        if step.question.field == PLACE {
            return self.kept.postal.is_some()
                || self.kept.station.is_some()
                || self.kept.latitude.is_some();
        }
        field(&step.question.field)
            .is_some_and(|it| value_of(&self.kept, it, step.reading).is_some())
    }

    /// Sets fields of the current question in a copy, and keeps it when no new problem came.
    fn set(
        &mut self,
        step: &Step,
        values: &[(String, Raw)],
        typed: Option<String>,
    ) -> Result<(), FieldError> {
        let mut next = self.clone();
        clear(&mut next.kept, step);
        for (path, raw) in values {
            set_field(&mut next.kept, path, raw)?;
        }
        next.say(&step.path(), Said::Answer(typed));
        let before = problems(&self.draft());
        let new = problems(&next.draft())
            .into_iter()
            .find(|it| !matches!(it, FieldError::Needed { .. }) && !before.contains(it));
        if let Some(error) = new {
            return Err(error);
        }
        next.pinned = None;
        *self = next;
        Ok(())
    }

    /// The place in any form that the climate table knows.
    fn answer_place(&mut self, text: &str) -> Result<(), FieldError> {
        let step = self.current().expect("only asked at the place");
        let not_read = |error: String| FieldError::NotRead {
            path: PLACE.to_string(),
            given: format!("\"{}\"", shortened(text)),
            accepted: self.accepted(&step),
            todo: error.replace("\n  ", "; "),
        };
        // What is accepted is said already, so the error of the query would say it twice.
        let query = PlaceQuery::parse(text)
            .map_err(|_| not_read("look at it again and write one of these".to_string()))?;
        find_place(&query).map_err(|it| not_read(it.to_string()))?;
        let values = match query {
            PlaceQuery::Postal(code) => vec![(PLACE.to_string(), Raw::Text(code))],
            PlaceQuery::Station(id) => vec![("station".to_string(), Raw::Text(id))],
            PlaceQuery::Position {
                latitude_deg,
                longitude_deg,
                elevation_m,
            } => {
                let mut res = vec![
                    ("latitude".to_string(), Raw::Float(latitude_deg)),
                    ("longitude".to_string(), Raw::Float(longitude_deg)),
                ];
                res.extend(elevation_m.map(|it| ("elevation_m".to_string(), Raw::Float(it))));
                res
            }
        };
        let has_height = values.len() == 3;
        self.set(&step, &values, Some(text.to_string()))?;
        // The height belonged to the place before.
        self.said.remove("elevation_m");
        if has_height {
            self.say("elevation_m", Said::Answer(None));
        }
        Ok(())
    }

    fn answer_about_readings(&mut self, step: &Step, text: &str) -> Result<(), FieldError> {
        let word = self
            .asked(step)
            .chosen(text)
            .ok_or_else(|| FieldError::NotRead {
                path: step.path(),
                given: format!("\"{}\"", shortened(text)),
                accepted: self.accepted(step),
                todo: "choose one of these".to_string(),
            })?;
        if word == "same" {
            self.copy_meter(step.reading)?;
        }
        self.say(&step.path(), Said::Word(word));
        self.pinned = None;
        Ok(())
    }

    /// Another reading by the same meter: its kind, scale and mark are those of this one.
    fn copy_meter(&mut self, from: usize) -> Result<(), FieldError> {
        let to = from + 1;
        if self.kept.readings.get(to).is_some_and(|it| !it.is_empty()) {
            return Ok(());
        }
        for name in [
            "reading.kind",
            "reading.scale",
            "reading.meter_id",
            "reading.meter_checked",
        ] {
            let own = field(name).expect("these are fields of a reading");
            let path = indexed(name, to);
            if let Some(raw) = value_of(&self.kept, own, from) {
                set_field(&mut self.kept, &path, &raw)?;
            }
            if let Some(said) = self.said.get(&indexed(name, from)).cloned() {
                self.say(&path, said);
            }
        }
        Ok(())
    }

    fn label(&self, step: &Step, word: &str) -> String {
        self.choices(step)
            .iter()
            .find(|it| it.word == word)
            .map_or_else(
                || word.to_string(),
                |it| it.words(self.audience()).to_string(),
            )
    }

    fn value_in_words(&self, step: &Step) -> String {
        let name = step.question.field.as_str();
        if name == PLACE {
            let (postal, station) = (self.kept.postal.clone(), self.kept.station.clone());
            return postal.or(station).unwrap_or_else(|| {
                let degrees = |it: Option<f64>| it.map_or(String::new(), |it| it.to_string());
                format!(
                    "{},{}",
                    degrees(self.kept.latitude),
                    degrees(self.kept.longitude)
                )
            });
        }
        let shown = with_unit(name).or(field(name));
        let raw = shown.and_then(|it| value_of(&self.kept, it, step.reading));
        match raw {
            Some(Raw::List(months)) => months
                .iter()
                .filter_map(|it| match it {
                    Raw::Integer(month) => MONTHS.get(*month as usize - 1).copied(),
                    _ => None,
                })
                .collect::<Vec<_>>()
                .join(", "),
            Some(Raw::Float(it)) if shown.is_some_and(|it| it.kind == FieldKind::Humidity) => {
                format!("{:.0} %", it * 100.0)
            }
            Some(Raw::Bool(it)) if name == "reading.value" => {
                self.label(step, if it { "damp" } else { "dry" })
            }
            Some(raw) => self.label(step, &raw.to_text()),
            None => String::new(),
        }
    }
}

/// What is refused whatever else is said.
fn is_refused(draft: &Draft) -> bool {
    draft.floor.setting == Some(Setting::Suspended)
        || draft.signs.water_now == Some(WaterNow::Standing)
}

fn is_field(step: &Step) -> bool {
    field(&step.question.field).is_some()
}

/// Takes the answer to a question back, under whichever name it was given.
fn clear(draft: &mut Draft, step: &Step) {
    let blank = Raw::Text(String::new());
    let names: &[&str] = if step.question.field == PLACE {
        &["postal", "station", "latitude", "longitude", "elevation_m"]
    } else {
        &[step.question.field.as_str()]
    };
    for name in names {
        let spellings = FIELDS.iter().filter(|it| it.saved_path() == *name);
        for it in spellings {
            let path = indexed(it.path, step.reading);
            set_field(draft, &path, &blank).expect("an empty value takes any answer back");
        }
    }
}
