//! An interview under way.

use super::super::check::{notes, problems};
use super::super::draft::{Draft, ReadingDraft};
use super::super::errors::FieldError;
use super::super::field::FieldKind;
use super::super::fields::{field, indexed, set_field, value_of, with_unit};
use super::super::limits::range;
use super::super::parse::Parsed;
use super::super::raw::{Raw, shortened};
use super::super::registry::FIELDS;
use super::super::typed_units::{UnitSystem, with_unit_beside};
use super::super::visit::*;
use super::answers::{Asked, MONTHS, is_never, is_not_sure, takes_never, typed};
use super::line::readings_in_line;
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
    /// The question it was said to.
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

/// What readings by the same meter share.
const METER_LEAVES: [&str; 4] = [
    "reading.kind",
    "reading.scale",
    "reading.meter_id",
    "reading.meter_checked",
];

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
    /// The units of bare numbers.
    units: UnitSystem,
    /// Paths of the open questions of the rest that would tell most, best first.
    telling: Vec<String>,
    /// Whether the rest ends with these.
    is_telling_alone: bool,
}

impl Interview {
    /// A new interview. `today` is offered as the day of the visit.
    pub fn new(today: Option<NaiveDate>) -> Self {
        Self::from_draft(Draft::default(), &[], today)
    }

    /// A new interview of an estimator on the day of the visit: neither is asked, and both can
    /// be changed.
    pub fn of_estimator(today: NaiveDate) -> Self {
        let mut res = Self::new(Some(today));
        res.kept.answered_by = Some(AnsweredBy::Estimator);
        res.kept.visit_date = Some(today);
        res.say("answered_by", Said::Answer(None));
        res.say("visit_date", Said::Answer(None));
        res
    }

    /// The same interview with bare numbers in these units.
    pub fn in_units(self, units: UnitSystem) -> Self {
        Interview { units, ..self }
    }

    /// Goes on with what is there already. `not_sure` are paths that were answered so.
    pub fn from_draft(draft: Draft, not_sure: &[String], today: Option<NaiveDate>) -> Self {
        let mut res = Interview {
            kept: draft,
            said: BTreeMap::new(),
            pinned: None,
            depth: Pass::More,
            today,
            units: UnitSystem::default(),
            telling: Vec::new(),
            is_telling_alone: false,
        };
        let count = res.kept.readings.len();
        if count > 0 {
            res.say(FIRST_READING, Said::Word("other".to_string()));
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
        let is_open = |it: &&Step| !self.said.contains_key(&it.path());
        let telling = || {
            self.telling
                .iter()
                .find_map(|path| steps.iter().filter(is_open).find(|it| it.path() == *path))
        };
        let quick = self.steps_to(Pass::Quick);
        let rest = || {
            steps
                .iter()
                .filter(is_open)
                .find(|_| !self.is_telling_alone)
        };
        quick
            .iter()
            .find(is_open)
            .or_else(telling)
            .or_else(rest)
            .copied()
    }

    /// Asks these questions of the rest before the others: the most telling first.
    pub fn ask_first(&mut self, paths: Vec<String>) {
        self.telling = paths;
        self.is_telling_alone = false;
    }

    /// Asks these questions of the rest and no others.
    pub fn ask_only(&mut self, paths: Vec<String>) {
        self.telling = paths;
        self.is_telling_alone = true;
    }

    /// Which of these paths are open questions of the rest.
    pub fn open_among(&self, paths: &[String]) -> Vec<String> {
        let steps = self.steps_to(Pass::More);
        let is_open = |path: &&String| {
            !self.said.contains_key(*path) && steps.iter().any(|it| it.path() == **path)
        };
        paths.iter().filter(is_open).cloned().collect()
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
            MORE_READINGS if is_a_reading(text) => self.answer_another(&step, text),
            FIRST_READING | "reading.kind" | "reading.scale" if is_a_reading(text) => {
                self.answer_early(&step, text)
            }
            FIRST_READING | MORE_READINGS => self.answer_about_readings(&step, text),
            PLACE => self.answer_place(text),
            "reading.value" if self.choices(&step).is_empty() => self.answer_line(&step, text),
            _ => self.answer_one(&step, text),
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
        if METER_LEAVES.contains(&step.question.field.as_str()) {
            self.carry_on(&step);
        }
        self.pinned = None;
        self.forget_values_that_fail()
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
        if self.depth == Pass::More && self.is_telling_alone {
            let said = self.telling.iter().filter(|it| self.said.contains_key(*it));
            return (said.count(), self.telling.len());
        }
        // Readings on one line are one question to whoever types them.
        let is_here = |it: &Step| it.question.pass == self.depth && !it.question.is_per_reading();
        let steps: Vec<Step> = self.steps().into_iter().filter(is_here).collect();
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
            at += 1;
            !self.is_dropped(at - 1)
        });
        draft
    }

    /// Values that kind and scale allow no more are asked for anew.
    fn forget_values_that_fail(&mut self) -> Result<(), FieldError> {
        let failing = |it: &Self| {
            let problems = problems(&it.draft());
            problems
                .iter()
                .find_map(|problem| it.value_that_fails(problem))
        };
        while let Some(value) = failing(self) {
            set_field(&mut self.kept, &value, &Raw::Text(String::new()))?;
            self.said.remove(&value);
        }
        Ok(())
    }

    /// Whether a reading turned out to have no kind or no value.
    fn is_dropped(&self, reading: usize) -> bool {
        ["reading.kind", "reading.value"]
            .iter()
            .any(|it| self.said.get(&indexed(it, reading)) == Some(&Said::NotSure))
    }

    /// Where the value of a reading is kept that a problem of the draft is about; the draft
    /// counts without the readings that are dropped.
    fn value_that_fails(&self, error: &FieldError) -> Option<String> {
        let number = error
            .path()
            .strip_prefix("reading.")?
            .strip_suffix(".value")?;
        let nth = number.parse::<usize>().ok()?.checked_sub(1)?;
        let at = (0..self.kept.readings.len())
            .filter(|it| !self.is_dropped(*it))
            .nth(nth)?;
        let is_there = self.kept.readings[at].value.is_some();
        is_there.then(|| indexed("reading.value", at))
    }

    /// The visit for a result now: a reading that is only half told is left out.
    ///
    /// # Errors
    ///
    /// What is still missing: a day, a place, one answer.
    pub fn visit(&self) -> Result<Visit, Vec<FieldError>> {
        let mut draft = self.draft();
        draft.readings.retain(ReadingDraft::is_whole);
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

    /// Why an answer to a question was not taken, and what to enter.
    pub fn told(&self, step: &Step, error: &FieldError) -> String {
        if self.choices(step).is_empty() {
            error.at_a_question(&self.accepted(step))
        } else {
            error.at_a_question("a number of the list, or its words")
        }
    }

    fn asked<'a>(&self, step: &'a Step) -> Asked<'a> {
        Asked {
            step,
            kind: self.kept.readings.get(step.reading).and_then(|it| it.kind),
            audience: self.audience(),
            today: self.today.or(self.kept.visit_date),
            units: self.units,
        }
    }

    /// The visit file so far, with "unknown" where somebody said so: a resumed interview does
    /// not ask it again.
    pub fn file_text(&self) -> String {
        let draft = self.plan(self.depth).1;
        // No reading is asked for then, so a half one would never be made whole.
        let only_whole = self.audience() == AnsweredBy::Homeowner || is_refused(&draft);
        unfinished_file(&draft, |path| self.is_open(path), only_whole)
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
        if !matches!(word(FIRST_READING), Some("meter" | "relative" | "other")) {
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
        let new = |next: &Self| {
            problems(&next.draft())
                .into_iter()
                .find(|it| !matches!(it, FieldError::Needed { .. }) && !before.contains(it))
        };
        while let Some(error) = new(&next) {
            // What a meter shows is no answer of a sheet: such a value is asked for anew.
            let Some(value) = next.value_that_fails(&error) else {
                return Err(error);
            };
            if value == step.path() {
                return Err(error);
            }
            set_field(&mut next.kept, &value, &Raw::Text(String::new()))?;
            next.said.remove(&value);
        }
        next.pinned = None;
        *self = next;
        Ok(())
    }

    fn answer_one(&mut self, step: &Step, text: &str) -> Result<(), FieldError> {
        let (path, raw) = self.asked(step).meant(text);
        self.set(step, &[(path, raw)], typed(step, self.units, text))?;
        if METER_LEAVES.contains(&step.question.field.as_str()) {
            self.carry_on(step);
            self.forget_values_that_fail()?;
        }
        // The first question told of the scale too, and says what is so now.
        let scale = self.kept.readings.first().and_then(|it| it.scale);
        if step.path() == indexed("reading.scale", 0)
            && let Some(scale) = scale
            && self.said.contains_key(FIRST_READING)
        {
            let word = match scale {
                MeterScale::Percent => "meter",
                MeterScale::Relative => "relative",
            };
            self.say(FIRST_READING, Said::Word(word.to_string()));
        }
        Ok(())
    }

    /// One number, or several readings by one meter with their spots and distances.
    fn answer_line(&mut self, step: &Step, text: &str) -> Result<(), FieldError> {
        let refused = |part: String| FieldError::NotRead {
            path: step.path(),
            given: format!("\"{}\"", shortened(&part)),
            accepted: self.accepted(step),
            todo: "write the number first, and a point in it instead of a comma".to_string(),
        };
        let is_one = self.asked(step).is_one_value(text);
        let line = match readings_in_line(text) {
            Ok(line) if !is_one && !line.is_empty() => line,
            Err(part) if !is_one => return Err(refused(part)),
            _ => return self.answer_one(step, text),
        };
        let most = range("file.readings");
        if (step.reading + line.len()) as f64 > most.high {
            return Err(FieldError::OutOfRange {
                path: step.path(),
                given: line.len().to_string(),
                accepted: most.accepted(),
                todo: "split the visit".to_string(),
            });
        }
        let mut next = self.clone();
        let count = line.len();
        for (more, reading) in line.into_iter().enumerate() {
            let at = step.reading + more;
            if more > 0 {
                next.say(
                    &indexed(MORE_READINGS, at - 1),
                    Said::Word("same".to_string()),
                );
                next.forget_reading(at)?;
                next.copy_meter(at - 1)?;
            }
            let there = |name: &str| indexed(name, at);
            next.pinned = Some(there("reading.value"));
            let it = next
                .current()
                .filter(|it| it.path() == there("reading.value"));
            let it = it.unwrap_or(Step {
                reading: at,
                ..*step
            });
            next.answer_one(&it, &reading.value)?;
            if let Some(spot) = reading.spot {
                set_field(&mut next.kept, &there("reading.spot"), &Raw::Text(spot))?;
                next.say(&there("reading.spot"), Said::Answer(None));
            }
            if let Some(wall) = reading.wall {
                let wall = with_unit_beside("reading.wall_distance_m", next.units, &wall);
                clear(&mut next.kept, &step_of("reading.wall_distance_m", at));
                set_field(
                    &mut next.kept,
                    &there("reading.wall_distance"),
                    &Raw::Text(wall.clone()),
                )?;
                next.say(&there("reading.wall_distance_m"), Said::Answer(Some(wall)));
            }
        }
        let last = indexed(MORE_READINGS, step.reading + count - 1);
        if count > 1 && !next.said.contains_key(&last) {
            next.say(&last, Said::Word("no".to_string()));
        }
        next.pinned = None;
        *self = next;
        Ok(())
    }

    /// Readings of a meter, typed where the question was whether there are any, of which kind or
    /// on which scale. Without a percent sign the scale is asked for after them.
    fn answer_early(&mut self, step: &Step, text: &str) -> Result<(), FieldError> {
        let mut next = self.clone();
        let at = step.reading;
        if step.question.field == FIRST_READING {
            next.say(FIRST_READING, Said::Word("meter".to_string()));
        }
        let mut told = vec![("reading.kind", ReadingKind::Meter.word())];
        if text.contains('%') {
            told.push(("reading.scale", MeterScale::Percent.word()));
        }
        for (name, word) in told {
            let path = indexed(name, at);
            set_field(&mut next.kept, &path, &Raw::Text(word.to_string()))?;
            next.say(&path, Said::Answer(None));
        }
        next.answer_line(&step_of("reading.value", at), text)?;
        *self = next;
        Ok(())
    }

    /// The next reading, typed where the question was whether there is one: the same meter.
    fn answer_another(&mut self, step: &Step, text: &str) -> Result<(), FieldError> {
        let mut next = self.clone();
        next.answer_about_readings(step, "same")?;
        let there = indexed("reading.value", step.reading + 1);
        let Some(it) = next.current().filter(|it| it.path() == there) else {
            return self.answer_about_readings(step, text);
        };
        next.answer_line(&it, text)?;
        *self = next;
        Ok(())
    }

    /// Takes back everything of a reading that a line is written over.
    fn forget_reading(&mut self, at: usize) -> Result<(), FieldError> {
        for it in FIELDS.iter().filter(|it| it.table() == "reading") {
            let path = indexed(it.path, at);
            set_field(&mut self.kept, &path, &Raw::Text(String::new()))?;
            self.said.remove(&path);
        }
        Ok(())
    }

    /// What was said of a meter holds for the readings that follow by the same one.
    fn carry_on(&mut self, step: &Step) {
        let name = step.question.field.as_str();
        let own = field(name).expect("these are fields of a reading");
        let mut at = step.reading;
        let is_same = |it: &Self, at| {
            it.said.get(&indexed(MORE_READINGS, at)) == Some(&Said::Word("same".to_string()))
        };
        while is_same(self, at) && at + 1 < self.kept.readings.len() {
            let path = indexed(name, at + 1);
            if self.said.contains_key(&path) {
                return;
            }
            let (raw, said) = (
                value_of(&self.kept, own, at),
                self.said.get(&indexed(name, at)).cloned(),
            );
            if let Some(raw) = raw {
                set_field(&mut self.kept, &path, &raw).expect("it was read at the reading before");
            }
            if let Some(said) = said {
                self.say(&path, said);
            }
            at += 1;
        }
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
            .map_err(|_| not_read("we can't find that place".to_string()))?;
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
        match (step.question.field.as_str(), word.as_str()) {
            (MORE_READINGS, "same") => self.copy_meter(step.reading)?,
            // One prompt for whether, how and on which scale.
            (FIRST_READING, "meter") => self.first_by_meter(MeterScale::Percent)?,
            (FIRST_READING, "relative") => self.first_by_meter(MeterScale::Relative)?,
            _ => {}
        }
        self.say(&step.path(), Said::Word(word));
        self.pinned = None;
        self.forget_values_that_fail()
    }

    /// The first reading is of a meter on this scale, unless it was told otherwise already.
    fn first_by_meter(&mut self, scale: MeterScale) -> Result<(), FieldError> {
        let of_meter = |it: &ReadingDraft| it.kind.is_none_or(|it| it == ReadingKind::Meter);
        if !self.kept.readings.first().is_none_or(of_meter) {
            self.forget_reading(0)?;
        }
        for (name, word) in [
            ("reading.kind", ReadingKind::Meter.word()),
            ("reading.scale", scale.word()),
        ] {
            let path = indexed(name, 0);
            set_field(&mut self.kept, &path, &Raw::Text(word.to_string()))?;
            self.say(&path, Said::Answer(None));
        }
        Ok(())
    }

    /// Another reading by the same meter: its kind, scale and mark are those of this one.
    fn copy_meter(&mut self, from: usize) -> Result<(), FieldError> {
        let to = from + 1;
        if self.kept.readings.get(to).is_some_and(|it| !it.is_empty()) {
            return Ok(());
        }
        for name in METER_LEAVES {
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

/// Whether a text is a reading and no number of a choice: "4.2", "4 south 3", "5%".
fn is_a_reading(text: &str) -> bool {
    text.contains(['.', '%', ' ']) && readings_in_line(text).is_ok_and(|it| !it.is_empty())
}

/// The question of a field at a reading.
fn step_of(field: &str, reading: usize) -> Step {
    let question = QUESTIONS
        .iter()
        .find(|it| it.field == field)
        .expect("a test finds the question of every field");
    Step { question, reading }
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
