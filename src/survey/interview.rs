//! The interview: which question comes next, what an answer means, and what was said.
//!
//! It is the same for the terminal, the page and a sheet on paper: the words stand in
//! `tables/questions.csv` and `tables/choices.csv`, and a door only shows them. It reads no
//! clock: today's date comes from the door.

use super::check::{problems, range};
use super::errors::{FieldError, SurveyError, SurveyErrors};
use super::fields::{
    Draft, FIELDS, Field, FieldKind, Raw, TABLES, field, indexed, set_field, value_of,
};
use super::parse::parse_visit;
use super::visit::*;
use crate::climate::{PlaceQuery, find_place};
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// When a question is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pass {
    /// What can hold, refuse or decide; under three minutes.
    Quick,
    /// The rest, on wish.
    More,
}

/// Who can answer a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    Both,
    Estimator,
    Homeowner,
}

impl Who {
    fn suits(self, audience: AnsweredBy) -> bool {
        match self {
            Who::Both => true,
            Who::Estimator => audience == AnsweredBy::Estimator,
            Who::Homeowner => audience == AnsweredBy::Homeowner,
        }
    }
}

/// When a question makes sense.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum When {
    Always,
    PlaceIsPosition,
    DepthOpen,
    OpenToColdOrMore,
    PlacedLately,
    RetarderKnown,
    BareFloor,
    DarkeningSeen,
    DarkeningAnswered,
    KindKnown,
    MeterReading,
    ValueKnown,
    MeterValueKnown,
    ProbeOrMore,
    ChlorideOrMore,
    LimitGiven,
    MachineRunning,
}

/// The keys of the table. None is added without its meaning in [`When::holds`].
const WHENS: &[(&str, When)] = &[
    ("", When::Always),
    ("place_is_position", When::PlaceIsPosition),
    ("depth_open", When::DepthOpen),
    ("open_to_cold_or_more", When::OpenToColdOrMore),
    ("placed_lately", When::PlacedLately),
    ("retarder_known", When::RetarderKnown),
    ("bare_floor", When::BareFloor),
    ("darkening_seen", When::DarkeningSeen),
    ("darkening_answered", When::DarkeningAnswered),
    ("kind_known", When::KindKnown),
    ("meter_reading", When::MeterReading),
    ("value_known", When::ValueKnown),
    ("meter_value_known", When::MeterValueKnown),
    ("probe_or_more", When::ProbeOrMore),
    ("chloride_or_more", When::ChlorideOrMore),
    ("limit_given", When::LimitGiven),
    ("machine_running", When::MachineRunning),
];

/// Years before the visit in which the day of placing is worth asking for.
const LATELY_YEARS: i32 = 3;

impl When {
    /// Whether the question makes sense, by what was said so far.
    fn holds(self, draft: &Draft, at: usize, depth: Pass) -> bool {
        let reading = draft.readings.get(at);
        let kind = reading.and_then(|it| it.kind);
        let has_value = reading.is_some_and(|it| it.kind.is_some() && it.value.is_some());
        let any_of = |kind| draft.readings.iter().any(|it| it.kind == Some(kind));
        match self {
            When::Always => true,
            When::PlaceIsPosition => draft.latitude.is_some(),
            When::DepthOpen => matches!(draft.floor.setting, None | Some(Setting::WalkOut)),
            When::OpenToColdOrMore => {
                depth == Pass::More
                    || matches!(
                        draft.floor.setting,
                        Some(Setting::Garage | Setting::OnGrade)
                    )
            }
            When::PlacedLately => draft
                .floor
                .year_built
                .zip(draft.visit_date)
                .is_some_and(|(year, visit)| visit.year() - year <= LATELY_YEARS),
            When::RetarderKnown => draft.floor.retarder.is_some(),
            When::BareFloor => draft.floor.surface == Some(Surface::Bare),
            When::DarkeningSeen => draft.signs.spring_darkening == Some(true),
            When::DarkeningAnswered => draft.signs.spring_darkening.is_some(),
            When::KindKnown => kind.is_some(),
            When::MeterReading => kind == Some(ReadingKind::Meter),
            When::ValueKnown => has_value,
            When::MeterValueKnown => has_value && kind == Some(ReadingKind::Meter),
            When::ProbeOrMore => depth == Pass::More || any_of(ReadingKind::Probe),
            When::ChlorideOrMore => depth == Pass::More || any_of(ReadingKind::CalciumChloride),
            When::LimitGiven => {
                let limit = &draft.limit;
                limit.meter_percent.is_some()
                    || limit.probe.is_some()
                    || limit.calcium_chloride_lb.is_some()
            }
            When::MachineRunning => draft.air.dehumidifier == Some(Dehumidifier::Running),
        }
    }
}

/// One question of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// The path of its field, or [`FIRST_READING`] or [`MORE_READINGS`].
    pub field: String,
    pub pass: Pass,
    pub who: Who,
    /// The heading it stands under.
    pub section: String,
    /// In the words of the trade.
    pub ask: String,
    /// In a homeowner's words; empty where a homeowner is not asked.
    pub ask_home: String,
    /// Why it is asked and what it moves.
    pub why: String,
    /// The key of its condition; empty is always.
    pub when: String,
    pub source: String,
    condition: When,
}

impl Question {
    /// The words for this person.
    pub fn words(&self, audience: AnsweredBy) -> &str {
        match audience {
            AnsweredBy::Homeowner if !self.ask_home.is_empty() => &self.ask_home,
            _ => &self.ask,
        }
    }

    /// Whether each reading asks it anew.
    pub fn is_per_reading(&self) -> bool {
        self.field.starts_with("reading.") && self.field != FIRST_READING
    }

    /// Whether "not sure" is no answer: without a day and a place nothing can be said.
    pub fn is_needed(&self) -> bool {
        matches!(self.field.as_str(), "visit_date" | PLACE)
    }
}

/// One answer that can be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// The path of its field, or "any" for yes and no.
    pub field: String,
    /// The word of the visit file.
    pub word: String,
    pub label: String,
    pub label_home: String,
}

impl Choice {
    /// The label for this person.
    pub fn words(&self, audience: AnsweredBy) -> &str {
        match audience {
            AnsweredBy::Homeowner => &self.label_home,
            AnsweredBy::Estimator => &self.label,
        }
    }
}

/// The question that stands for all ways to name the place.
const PLACE: &str = "postal";
/// Asks if there is a reading at all; no field of the visit file.
pub const FIRST_READING: &str = "reading.first";
/// Asks for another reading; no field of the visit file.
pub const MORE_READINGS: &str = "reading.more";

/// Fields of the visit file that no question asks for, and why.
pub const NOT_ASKED: &[(&str, &str)] = &[
    ("visit_version", "written by the program"),
    ("latitude", "given at the question for the place"),
    ("longitude", "given at the question for the place"),
    ("station", "given at the question for the place"),
    (
        "lot.drainage",
        "derived from downspouts and slope, which people can see",
    ),
    ("reading.x_m", "set by a tap on a sketch"),
    ("reading.y_m", "set by a tap on a sketch"),
    (
        "reading.withdrawn",
        "set when a reading is taken back, never asked about a new one",
    ),
];

static QUESTIONS: LazyLock<Vec<Question>> = LazyLock::new(|| {
    parse_questions(include_str!("../../tables/questions.csv")).expect("a test parses this file")
});

static CHOICES: LazyLock<Vec<Choice>> = LazyLock::new(|| {
    parse_choices(include_str!("../../tables/choices.csv")).expect("a test parses this file")
});

/// Every question, in the order in which they are asked.
pub fn questions() -> &'static [Question] {
    &QUESTIONS
}

/// Every choice of the table, in the order in which they are offered.
pub fn choices() -> &'static [Choice] {
    &CHOICES
}

/// Rows of the table of questions, or what is wrong with them.
pub fn parse_questions(text: &str) -> Result<Vec<Question>, String> {
    let mut res: Vec<Question> = Vec::new();
    for row in rows(text, 9)? {
        let [name, pass, who, section, ask, ask_home, why, when, source] = &row[..] else {
            unreachable!("rows() gives nine cells")
        };
        let wrong = |what: &str| format!("{name}: {what}");
        let is_known = field(name).is_some_and(|it| it.saved_as.is_none())
            || matches!(name.as_str(), FIRST_READING | MORE_READINGS);
        if !is_known {
            return Err(wrong("no such field is saved"));
        }
        if res.iter().any(|it| it.field == *name) {
            return Err(wrong("asked twice"));
        }
        let who = match who.as_str() {
            "both" => Who::Both,
            "estimator" => Who::Estimator,
            "homeowner" => Who::Homeowner,
            _ => return Err(wrong("who is both, estimator or homeowner")),
        };
        if (who == Who::Estimator) != ask_home.is_empty() {
            return Err(wrong(
                "ask_home is empty where a homeowner is not asked, and only there",
            ));
        }
        if [section, ask, why, source].iter().any(|it| it.is_empty()) {
            return Err(wrong("section, ask, why and source must say something"));
        }
        res.push(Question {
            field: name.clone(),
            pass: match pass.as_str() {
                "quick" => Pass::Quick,
                "more" => Pass::More,
                _ => return Err(wrong("pass is quick or more")),
            },
            who,
            section: section.clone(),
            ask: ask.clone(),
            ask_home: ask_home.clone(),
            why: why.clone(),
            when: when.clone(),
            source: source.clone(),
            condition: WHENS
                .iter()
                .find(|(key, _)| key == when)
                .map(|(_, it)| *it)
                .ok_or_else(|| wrong("no such condition"))?,
        });
    }
    Ok(res)
}

/// Rows of the table of choices, or what is wrong with them.
pub fn parse_choices(text: &str) -> Result<Vec<Choice>, String> {
    let mut res: Vec<Choice> = Vec::new();
    for row in rows(text, 4)? {
        if row.iter().any(|it| it.is_empty()) {
            return Err(format!("{} {}: an empty cell", row[0], row[1]));
        }
        let choice = Choice {
            field: row[0].clone(),
            word: row[1].clone(),
            label: row[2].clone(),
            label_home: row[3].clone(),
        };
        if res
            .iter()
            .any(|it| it.field == choice.field && it.word == choice.word)
        {
            return Err(format!("{} {}: given twice", row[0], row[1]));
        }
        res.push(choice);
    }
    Ok(res)
}

fn rows(text: &str, cells: usize) -> Result<Vec<Vec<String>>, String> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut res = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|it| it.to_string())?;
        if row.len() != cells {
            return Err(format!("{row:?}: {cells} cells are wanted"));
        }
        res.push(row.iter().map(str::to_string).collect());
    }
    Ok(res)
}

/// One question at its place in the interview.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    pub question: &'static Question,
    /// Which reading it is about, counted from 0; 0 where it is about none.
    pub reading: usize,
}

impl Step {
    /// The path of its field, with the number of the reading.
    pub fn path(&self) -> String {
        if self.question.is_per_reading() {
            indexed(&self.question.field, self.reading)
        } else {
            self.question.field.clone()
        }
    }
}

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
    /// The quick pass was ended early.
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
        if res
            .steps()
            .iter()
            .all(|it| res.said.contains_key(&it.path()))
            && count > 0
        {
            // A resumed visit may have been left in the middle of the rest.
            res.depth = if res.is_rest_begun() {
                Pass::More
            } else {
                Pass::Quick
            };
        }
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
                let (path, raw) = self.meant(&step, text);
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
        let name = step.question.field.as_str();
        let of = |wanted: &str| CHOICES.iter().filter(|it| it.field == wanted).collect();
        if name == "reading.value" {
            let kind = self.kept.readings.get(step.reading).and_then(|it| it.kind);
            return if kind == Some(ReadingKind::Sheet) {
                of(name)
            } else {
                Vec::new()
            };
        }
        let own: Vec<&'static Choice> = of(name);
        let is_yes_no =
            name == FIRST_READING || field(name).is_some_and(|it| it.kind == FieldKind::YesNo);
        if own.is_empty() && is_yes_no {
            of("any")
        } else {
            own
        }
    }

    /// What an empty answer means where nothing was said yet.
    pub fn default(&self, step: &Step) -> Option<String> {
        match step.question.field.as_str() {
            "visit_date" => self.today.map(|it| it.to_string()),
            "reading.date" => self.kept.visit_date.map(|it| it.to_string()),
            _ => None,
        }
    }

    /// What the current question takes, for a hint.
    pub fn accepted(&self, step: &Step) -> String {
        let choices = self.choices(step);
        if !choices.is_empty() {
            let labels: Vec<&str> = choices.iter().map(|it| it.words(self.audience())).collect();
            return labels.join(" | ");
        }
        let name = step.question.field.as_str();
        if name == PLACE {
            return "a ZIP or postal code, latitude,longitude, or a station id".to_string();
        }
        if name == "reading.value" {
            let kind = self.kept.readings.get(step.reading).and_then(|it| it.kind);
            return match kind {
                Some(ReadingKind::Probe) => "percent RH such as 85",
                Some(ReadingKind::CalciumChloride) => {
                    "pounds per 1000 square feet in 24 hours such as 3.1"
                }
                _ => "percent such as 3.9",
            }
            .to_string();
        }
        match (with_unit(name), field(name)) {
            (Some(other), _) => other.accepted(),
            (None, Some(own)) => own.accepted().replace(" in quotes", ""),
            (None, None) => String::new(),
        }
    }

    /// The visit file so far, with "unknown" where somebody said so: a resumed interview does
    /// not ask it again.
    pub fn file_text(&self) -> String {
        let draft = self.plan(self.depth).1;
        let mut res = String::new();
        let lines = |table: &str, at: usize| -> String {
            FIELDS
                .iter()
                .filter(|it| it.table() == table && it.saved_as.is_none())
                .filter_map(|it| {
                    let path = indexed(it.path, at);
                    match value_of(&draft, it, at) {
                        Some(raw) => Some(format!("{} = {}\n", it.leaf(), raw.to_toml())),
                        None if self.is_open(&path) && !it.is_needed() => {
                            Some(format!("{} = \"unknown\"\n", it.leaf()))
                        }
                        None => None,
                    }
                })
                .collect()
        };
        res.push_str(&lines("", 0));
        for table in TABLES {
            if *table == "reading" {
                let open = |leaf: &str, at: usize| self.is_open(&indexed(leaf, at));
                for at in 0..draft.readings.len() {
                    let dropped = open("reading.kind", at) || open("reading.value", at);
                    if !dropped && !draft.readings[at].is_empty() {
                        res.push_str(&format!("\n[[reading]]\n{}", lines(table, at)));
                    }
                }
                continue;
            }
            let lines = lines(table, 0);
            if !lines.is_empty() {
                res.push_str(&format!("\n[{table}]\n{lines}"));
            }
        }
        res
    }

    /// The questions of this pass that make sense by now, answered or not.
    pub fn steps(&self) -> Vec<Step> {
        self.steps_to(self.depth)
    }

    fn steps_to(&self, depth: Pass) -> Vec<Step> {
        self.plan(depth).0
    }

    /// Whether anything of the rest was answered, as in a resumed visit.
    fn is_rest_begun(&self) -> bool {
        let quick: Vec<String> = self.steps_to(Pass::Quick).iter().map(Step::path).collect();
        self.steps_to(Pass::More)
            .iter()
            .map(Step::path)
            .any(|it| !quick.contains(&it) && self.said.contains_key(&it))
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
            given: format!("\"{}\"", super::fields::shortened(text)),
            accepted: self.accepted(&step),
            todo: error.replace("\n  ", "; "),
        };
        let query = PlaceQuery::parse(text).map_err(|it| not_read(it.to_string()))?;
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
        if has_height {
            self.say("elevation_m", Said::Answer(None));
        }
        Ok(())
    }

    fn answer_about_readings(&mut self, step: &Step, text: &str) -> Result<(), FieldError> {
        let word = self.chosen(step, text).ok_or_else(|| FieldError::NotRead {
            path: step.path(),
            given: format!("\"{}\"", super::fields::shortened(text)),
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

    /// The word of the choice that was meant: by number, word, label or its beginning.
    fn chosen(&self, step: &Step, text: &str) -> Option<String> {
        let choices = self.choices(step);
        let lower = text.trim().to_lowercase();
        if let Ok(number) = lower.parse::<usize>() {
            let choice = number.checked_sub(1).and_then(|it| choices.get(it));
            return choice.map(|it| it.word.clone());
        }
        let same_word = |it: &&&Choice| it.word.replace('_', " ") == lower.replace(['_', '-'], " ");
        let same_label = |it: &&&Choice| {
            [&it.label, &it.label_home]
                .iter()
                .any(|label| label.to_lowercase() == lower)
        };
        let exact = choices
            .iter()
            .find(same_word)
            .or_else(|| choices.iter().find(same_label));
        if let Some(it) = exact {
            return Some(it.word.clone());
        }
        if let Some(word) = yes_or_no(&lower)
            && let Some(it) = choices.iter().find(|it| it.word == word)
        {
            return Some(it.word.clone());
        }
        let mut begins = choices.iter().filter(|it| {
            it.word.starts_with(&lower)
                || it.words(self.audience()).to_lowercase().starts_with(&lower)
        });
        match (begins.next(), begins.next()) {
            (Some(it), None) => Some(it.word.clone()),
            _ => None,
        }
    }

    /// The field and the value that typed text means at a question.
    fn meant(&self, step: &Step, text: &str) -> (String, Raw) {
        let name = step.question.field.as_str();
        let path = step.path();
        if !self.choices(step).is_empty() {
            let word = self.chosen(step, text).unwrap_or_else(|| text.to_string());
            return (path, Raw::Text(word));
        }
        if let Some(other) = with_unit(name) {
            return (
                indexed(other.path, step.reading),
                Raw::Text(text.to_string()),
            );
        }
        let kind = field(name).map(|it| it.kind);
        let text = match kind {
            Some(FieldKind::Date) => self.day(text),
            // No room has a humidity of 62 as a fraction, so a bare 62 can only be percent.
            Some(FieldKind::Humidity)
                if text.parse::<f64>().is_ok_and(|it| it > 1.0 && it <= 100.0) =>
            {
                format!("{text}%")
            }
            _ => without_unit(name, text).to_string(),
        };
        (path, Raw::Text(text))
    }

    /// A date that was typed as "today" or "yesterday".
    fn day(&self, text: &str) -> String {
        let day = match text.to_lowercase().as_str() {
            "today" => self.today,
            "yesterday" => self.today.and_then(|it| it.pred_opt()),
            _ => None,
        };
        day.map_or_else(|| text.to_string(), |it| it.to_string())
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
            Some(Raw::Bool(it)) if name == "reading.value" => {
                self.label(step, if it { "damp" } else { "dry" })
            }
            Some(raw) => self.label(step, &raw.to_text()),
            None => String::new(),
        }
    }
}

/// Short names of the months, in order.
const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// Reads a visit file that may not be finished, with the paths that say "unknown".
///
/// # Errors
///
/// Every problem of the file but what is still missing.
pub fn draft_from_text(text: &str, file_name: &str) -> Result<(Draft, Vec<String>), SurveyErrors> {
    if let Err(found) = parse_visit(text, file_name) {
        let is_missing = |it: &SurveyError| {
            matches!(
                it,
                SurveyError::Missing {
                    error: FieldError::Needed { .. },
                    ..
                } | SurveyError::Field {
                    error: FieldError::Needed { .. },
                    ..
                }
            )
        };
        if !found.problems.iter().all(is_missing) {
            return Err(found);
        }
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let table: toml::Table = text.parse().expect("the file was read as TOML above");
    let mut draft = Draft::default();
    let mut not_sure = Vec::new();
    let mut take = |path: String, value: &toml::Value| {
        let raw = raw_of(value);
        if matches!(&raw, Raw::Text(it) if is_not_sure(it)) {
            let saved = field(&path).map_or(path.clone(), |it| {
                let at = path
                    .split('.')
                    .nth(1)
                    .and_then(|it| it.parse::<usize>().ok());
                indexed(it.saved_path(), at.map_or(0, |it| it - 1))
            });
            not_sure.push(saved);
        } else {
            set_field(&mut draft, &path, &raw).expect("the file was checked above");
        }
    };
    for (key, value) in &table {
        match value {
            toml::Value::Table(inner) => {
                for (leaf, value) in inner {
                    take(format!("{key}.{leaf}"), value);
                }
            }
            toml::Value::Array(items) if key == "reading" => {
                for (at, item) in items.iter().enumerate() {
                    for (leaf, value) in item.as_table().into_iter().flatten() {
                        take(format!("reading.{}.{leaf}", at + 1), value);
                    }
                }
            }
            value => take(key.clone(), value),
        }
    }
    Ok((draft, not_sure))
}

fn raw_of(value: &toml::Value) -> Raw {
    match value {
        toml::Value::Boolean(it) => Raw::Bool(*it),
        toml::Value::Integer(it) => Raw::Integer(*it),
        toml::Value::Float(it) => Raw::Float(*it),
        toml::Value::String(it) => Raw::Text(it.clone()),
        toml::Value::Datetime(it) => Raw::Text(it.to_string()),
        toml::Value::Array(items) => Raw::List(items.iter().map(raw_of).collect()),
        toml::Value::Table(_) => Raw::List(Vec::new()),
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

/// The other way to write a field, with its unit behind the number.
fn with_unit(name: &str) -> Option<&'static Field> {
    FIELDS.iter().find(|it| it.saved_as == Some(name))
}

fn is_not_sure(text: &str) -> bool {
    matches!(
        text.trim().to_lowercase().replace(['_', '-'], " ").as_str(),
        "not sure" | "unknown" | "don't know" | "do not know" | "unsure"
    )
}

fn is_never(text: &str) -> bool {
    matches!(text.to_lowercase().as_str(), "no" | "n" | "never" | "none")
}

/// Where "never" is no number and no day, the field stays empty.
fn takes_never(step: &Step) -> bool {
    matches!(
        step.question.field.as_str(),
        "floor.last_wetted_days"
            | "floor.cover_removed_days"
            | "lot.drainage_work_date"
            | "limit.meter_percent"
            | "limit.probe_rh"
            | "limit.calcium_chloride_lb"
    )
}

fn yes_or_no(lower: &str) -> Option<&'static str> {
    match lower {
        "y" | "yes" | "true" => Some("true"),
        "n" | "no" | "false" => Some("false"),
        _ => None,
    }
}

/// Answers that are shown back as they were typed.
fn typed(step: &Step, text: &str) -> Option<String> {
    let name = step.question.field.as_str();
    let is_sheet_word = name == "reading.value" && text.parse::<f64>().is_err();
    (with_unit(name).is_some() && !is_sheet_word).then(|| text.to_string())
}

/// The number without a unit that its field has in its name.
fn without_unit<'t>(name: &str, text: &'t str) -> &'t str {
    let units: &[&str] = match name {
        "floor.last_wetted_days" | "floor.cover_removed_days" => {
            &["days ago", "day ago", "days", "day", "d"]
        }
        "limit.meter_percent" => &["percent", "%"],
        "limit.probe_rh" => &["% RH", "% rh", "%RH", "percent"],
        "limit.calcium_chloride_lb" => &["pounds", "lbs", "lb"],
        "signs.springs_watched" => &["springs", "spring", "years", "year"],
        "reading.value" => &["% RH", "% rh", "%RH", "pounds", "lbs", "lb"],
        _ => &[],
    };
    units
        .iter()
        .filter_map(|it| text.strip_suffix(it))
        .map(str::trim_end)
        .find(|it| it.parse::<f64>().is_ok())
        .unwrap_or(text)
}
