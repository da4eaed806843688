//! The interview: which question comes next, what an answer means, and what was said.
//!
//! It is the same for the terminal, the page and a sheet on paper: the words stand in
//! `tables/questions.csv` and `tables/choices.csv`, and a door only shows them. It reads no
//! clock: today's date comes from the door.

use super::check::{notes, problems, range};
use super::errors::{FieldError, SurveyError, SurveyErrors};
use super::fields::{
    Draft, FIELDS, Field, FieldKind, Raw, TABLES, field, indexed, set_field, value_of,
};
use super::parse::{Parsed, parse_visit};
use super::visit::*;
use crate::climate::{PlaceQuery, find_place};
use crate::units::table_text;
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
    parse_questions(const { table_text("questions.csv") })
        .expect("tests/tables.rs parses this file")
});

static CHOICES: LazyLock<Vec<Choice>> = LazyLock::new(|| {
    parse_choices(const { table_text("choices.csv") }).expect("tests/tables.rs parses this file")
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
            return (
                path,
                match (name, word.as_str()) {
                    ("reading.value", "damp") => Raw::Bool(true),
                    ("reading.value", "dry") => Raw::Bool(false),
                    _ => Raw::Text(word),
                },
            );
        }
        if name == "reading.value" {
            let kind = self.kept.readings.get(step.reading).and_then(|it| it.kind);
            let is_percent = matches!(kind, Some(ReadingKind::Meter | ReadingKind::Probe));
            let bare = without_unit(name, text);
            let bare = if is_percent {
                bare.trim_end_matches(['%', ' '])
            } else {
                bare
            };
            let raw = bare
                .parse::<f64>()
                .map_or_else(|_| Raw::Text(text.to_string()), Raw::Float);
            return (path, raw);
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

/// Short names of the months, in order.
pub const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// Comments before the first field of a file; who goes on with it keeps them.
pub fn opening_comment(text: &str) -> String {
    text.lines()
        .take_while(|it| it.starts_with('#'))
        .map(|it| format!("{it}\n"))
        .collect()
}

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
pub fn with_unit(name: &str) -> Option<&'static Field> {
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
pub fn takes_never(step: &Step) -> bool {
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
    with_unit(&step.question.field)
        .is_some()
        .then(|| text.to_string())
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::get_field;
    use proptest::prelude::*;

    fn today() -> NaiveDate {
        "2026-09-08".parse().unwrap()
    }

    /// Answers in turn; each with the path that must be asked then.
    fn told(answers: &[(&str, &str)]) -> Interview {
        let mut res = Interview::new(Some(today()));
        for (path, text) in answers {
            let asked = res.current().map(|it| it.path());
            assert_eq!(asked.as_deref(), Some(*path), "before {text}");
            res.answer(text)
                .unwrap_or_else(|it| panic!("{path} {text}: {it}"));
        }
        res
    }

    /// The start that every interview shares.
    const START: [(&str, &str); 3] = [
        ("answered_by", "estimator"),
        ("visit_date", ""),
        ("postal", "05401"),
    ];

    /// A quick pass with one reading, as an estimator would type it.
    fn quick() -> Interview {
        let mut answers = START.to_vec();
        answers.extend([
            ("floor.setting", "1"),
            ("signs.water_now", "dry"),
            ("floor.heated_slab", "n"),
            ("floor.year_built", "1958"),
            ("floor.retarder", ""),
            ("lot.position", "low"),
            ("lot.downspouts", "near"),
            ("lot.slope", "toward the house"),
            ("signs.spring_darkening", "y"),
            ("signs.darkening_months", "Mar, Apr"),
            ("signs.lightens_by_late_summer", "yes"),
            ("signs.springs_watched", "3"),
            ("floor.last_wetted_days", "40 days"),
            ("floor.surface", "bare"),
            ("floor.cover_removed_days", "no"),
            ("reading.first", "y"),
            ("reading.1.kind", "meter"),
            ("reading.1.scale", "percent"),
            ("reading.1.value", "3.6 %"),
            ("reading.1.spot", "middle"),
            ("reading.1.wall_distance_m", "10ft"),
            ("reading.1.meter_id", "A"),
            ("reading.1.meter_checked", "no"),
            ("reading.1.more", "no"),
            ("limit.meter_percent", "5"),
            ("limit.source", "data sheet"),
        ]);
        told(&answers)
    }

    #[test]
    fn both_tables_parse_and_refuse_what_is_wrong() {
        parse_questions(table_text("questions.csv")).unwrap();
        parse_choices(table_text("choices.csv")).unwrap();
        let head = "field,pass,who,section,ask,ask_home,why,when,source\n";
        for (row, what) in [
            (
                "floor.bananas,quick,both,S,A,H,W,,judgement",
                "no such field",
            ),
            ("floor.area,quick,both,S,A,H,W,,judgement", "no such field"),
            ("floor.setting,later,both,S,A,H,W,,judgement", "pass is"),
            ("floor.setting,quick,nobody,S,A,H,W,,judgement", "who is"),
            ("floor.setting,quick,both,S,A,,W,,judgement", "ask_home"),
            (
                "floor.setting,quick,estimator,S,A,H,W,,judgement",
                "ask_home",
            ),
            ("floor.setting,quick,both,S,A,H,,,judgement", "must say"),
            (
                "floor.setting,quick,both,S,A,H,W,full_moon,judgement",
                "no such condition",
            ),
        ] {
            let error = parse_questions(&format!("{head}{row}\n")).unwrap_err();
            assert!(error.contains(what), "{row}: {error}");
        }
        let twice = "floor.setting,quick,both,S,A,H,W,,judgement\n".repeat(2);
        assert!(
            parse_questions(&format!("{head}{twice}"))
                .unwrap_err()
                .contains("twice")
        );
        for (_, when) in WHENS {
            assert!(
                questions().iter().any(|it| it.condition == *when),
                "{when:?} stands in no row"
            );
        }
    }

    /// Source: the contract of the visit file. What no question asks has its reason.
    #[test]
    fn every_field_is_asked_or_named_as_not_asked() {
        for it in FIELDS.iter().filter(|it| it.saved_as.is_none()) {
            let asked = questions().iter().any(|question| question.field == it.path);
            let left = NOT_ASKED.iter().any(|(path, _)| *path == it.path);
            assert!(asked != left, "{}: asked {asked}, left out {left}", it.path);
        }
        for (path, reason) in NOT_ASKED {
            assert!(field(path).is_some() && reason.len() > 10, "{path}");
        }
    }

    #[test]
    fn every_word_has_a_label_and_every_label_a_word() {
        for it in FIELDS {
            let FieldKind::Words(words) = it.kind else {
                continue;
            };
            let labeled: Vec<&str> = choices()
                .iter()
                .filter(|choice| choice.field == it.path)
                .map(|choice| choice.word.as_str())
                .collect();
            assert_eq!(labeled, words, "{}", it.path);
        }
        for it in choices() {
            let has_words =
                field(&it.field).is_some_and(|field| matches!(field.kind, FieldKind::Words(_)));
            let is_special = matches!(it.field.as_str(), "any" | "reading.value" | MORE_READINGS);
            assert!(has_words || is_special, "{it:?}");
        }
        // A label that stands for two words would be read as the first of them.
        for one in choices() {
            for label in [&one.label, &one.label_home] {
                let same = choices().iter().filter(|it| {
                    it.field == one.field && (it.label == *label || it.label_home == *label)
                });
                assert_eq!(same.count(), 1, "{one:?}");
            }
        }
    }

    /// Settings that refuse come first, then the core questions, the reading and the limit.
    #[test]
    fn the_quick_pass_is_in_its_order_and_short() {
        let order: Vec<&str> = questions()
            .iter()
            .filter(|it| it.pass == Pass::Quick)
            .map(|it| it.field.as_str())
            .collect();
        let at = |path: &str| order.iter().position(|it| *it == path).unwrap();
        let wanted = [
            "answered_by",
            "postal",
            "floor.setting",
            "signs.water_now",
            "floor.below_grade",
            "floor.heated_slab",
            "floor.year_built",
            "floor.retarder",
            "lot.position",
            "lot.downspouts",
            "lot.slope",
            "signs.spring_darkening",
            "floor.last_wetted_days",
            "floor.surface",
            "reading.kind",
            "reading.value",
            "limit.meter_percent",
            "limit.source",
        ];
        assert!(wanted.map(at).is_sorted());
        assert!(questions().iter().is_sorted_by_key(|it| it.pass));
        // Three minutes at six seconds a question, with one reading.
        assert!(quick().answers().len() <= 30, "{}", quick().answers().len());
        assert!(!order.contains(&"lot.drainage"));
    }

    /// Source: the grade of Kincaid and others (1975), 0.39 of the words in a sentence and
    /// 11.8 of the syllables in a word, less 15.59. Syllables are counted as groups of vowels,
    /// without an e at the end. Eighth grade is the house rule for what homeowners see.
    #[test]
    fn homeowners_can_read_it() {
        let is_vowel = |it: char| "aeiouy".contains(it);
        let syllables = |word: &str| {
            let lower = word.to_lowercase();
            let body = lower.strip_suffix('e').unwrap_or(&lower);
            let groups = body
                .chars()
                .fold((0, false), |(count, before), it| {
                    (count + usize::from(is_vowel(it) && !before), is_vowel(it))
                })
                .0;
            groups.max(1)
        };
        assert_eq!(
            ["sheet", "basement", "water", "the"].map(syllables),
            [1, 3, 2, 1]
        );
        let grade = |text: &str| {
            let sentences = text.matches(['.', '?', ':']).count().max(1) as f64;
            let words: Vec<&str> = text
                .split(|it: char| !it.is_alphabetic() && it != '\'')
                .filter(|it| !it.is_empty())
                .collect();
            let count: usize = words.iter().map(|it| syllables(it)).sum();
            let words = words.len() as f64;
            0.39 * words / sentences + 11.8 * count as f64 / words - 15.59
        };
        let for_home = || questions().iter().filter(|it| it.who != Who::Estimator);
        let asks: Vec<&str> = for_home().map(|it| it.ask_home.as_str()).collect();
        let whys: Vec<&str> = for_home().map(|it| it.why.as_str()).collect();
        for all in [asks.join(" "), whys.join(" ")] {
            assert!(grade(&all) <= 8.0, "grade {:.1}", grade(&all));
        }
        for it in for_home() {
            let sentences = it.why.split_terminator('.').chain([it.ask_home.as_str()]);
            for sentence in sentences {
                assert!(sentence.split_whitespace().count() <= 20, "{sentence}");
            }
            // In two sentences one long word counts for a few grades.
            assert!(
                grade(&it.why) <= 11.0,
                "{}: {:.1}",
                it.field,
                grade(&it.why)
            );
        }
    }

    #[test]
    fn a_quick_pass_gives_the_visit_it_tells_of() {
        let interview = quick();
        assert_eq!(interview.current(), None);
        assert!(interview.is_finished_quick());
        let wanted = parse_visit(
            r#"
visit_date = 2026-09-08
answered_by = "estimator"
postal = "05401"
[floor]
setting = "basement"
heated_slab = false
year_built = 1958
surface = "bare"
last_wetted_days = 40
[lot]
position = "low"
downspouts = "near"
slope = "toward"
[signs]
water_now = "dry"
spring_darkening = true
darkening_months = [3, 4]
lightens_by_late_summer = true
springs_watched = 3
[[reading]]
kind = "meter"
scale = "percent"
value = 3.6
spot = "middle"
wall_distance = "10ft"
meter_id = "A"
meter_checked = false
[limit]
meter_percent = 5
source = "data sheet"
"#,
            "made.toml",
        )
        .unwrap()
        .visit;
        assert_eq!(interview.visit().unwrap(), wanted);
        let said: Vec<String> = interview
            .answers()
            .iter()
            .map(|it| format!("{} {}", it.step.path(), it.said))
            .collect();
        for line in [
            "visit_date 2026-09-08",
            "floor.setting basement",
            "floor.retarder not sure",
            "lot.slope toward the house",
            "signs.darkening_months Mar, Apr",
            "reading.1.wall_distance_m 10ft",
            "reading.1.more no, that is all",
        ] {
            assert!(said.contains(&line.to_string()), "{line} in {said:?}");
        }
    }

    #[test]
    fn back_then_forward_keeps_every_answer() {
        let mut interview = quick();
        let (visit, answers) = (interview.visit().unwrap(), interview.answers());
        let mut back = 0;
        while interview.back() {
            back += 1;
            assert_eq!(interview.visit().unwrap(), visit);
        }
        assert_eq!(back, answers.len());
        assert_eq!(interview.current().unwrap().path(), "answered_by");
        assert!(!interview.back(), "nothing is before the first question");
        interview.answer("").unwrap();
        assert_eq!(interview.current(), None);
        // Each question on its own.
        for it in &answers {
            assert!(interview.go_to(&it.step.path()));
            interview.answer("").unwrap();
        }
        assert_eq!(interview.visit().unwrap(), visit);
        assert_eq!(interview.answers(), answers);
    }

    #[test]
    fn not_sure_is_an_answer_everywhere_but_at_the_day_and_the_place() {
        for audience in ["estimator", "homeowner"] {
            let mut interview = Interview::new(None);
            interview.answer(audience).unwrap();
            interview.go_on_with_more();
            let mut asked = 0;
            while let Some(step) = interview.current() {
                asked += 1;
                assert!(asked < 200, "{}", step.path());
                if step.question.is_needed() {
                    for text in ["", "not sure"] {
                        assert!(interview.answer(text).is_err(), "{}", step.path());
                    }
                    let text = if step.path() == PLACE {
                        "05401"
                    } else {
                        "2026-09-08"
                    };
                    interview.answer(text).unwrap();
                } else {
                    interview.answer("not sure").unwrap();
                }
            }
            assert!(asked > 25, "{audience}: {asked}");
            let missing = interview.visit().unwrap_err();
            assert_eq!(missing.len(), 1, "only an answer is missing: {missing:?}");
            assert_eq!(missing[0].path(), "answers");
        }
    }

    #[test]
    fn homeowners_are_asked_nothing_about_meters() {
        let mut interview = Interview::new(Some(today()));
        interview.answer("homeowner").unwrap();
        interview.go_on_with_more();
        for step in interview.steps() {
            let path = step.path();
            assert!(
                !path.starts_with("reading") && !path.starts_with("limit"),
                "{path}"
            );
            assert!(!step.question.ask_home.is_empty(), "{path}");
        }
        assert_eq!(interview.audience(), AnsweredBy::Homeowner);
    }

    #[test]
    fn what_refuses_ends_the_interview() {
        for (setting, water) in [("suspended", None), ("basement", Some("standing"))] {
            let mut answers = START.to_vec();
            answers.push(("floor.setting", setting));
            answers.extend(water.map(|it| ("signs.water_now", it)));
            let mut interview = told(&answers);
            assert_eq!(interview.current(), None, "{setting}");
            interview.go_on_with_more();
            assert_eq!(interview.current(), None, "{setting}");
            assert!(interview.visit().is_ok());
            // A slip is mended, and the interview goes on.
            assert!(interview.back());
            interview.answer("1").unwrap();
            assert!(interview.current().is_some());
        }
    }

    #[test]
    fn a_garage_is_asked_for_heat_and_a_walk_out_for_its_depth() {
        let after = |setting: &str| {
            let mut answers = START.to_vec();
            answers.extend([("floor.setting", setting), ("signs.water_now", "dry")]);
            told(&answers).current().unwrap().path()
        };
        assert_eq!(after("garage"), "air.heated");
        assert_eq!(after("walk_out"), "floor.below_grade");
        assert_eq!(after("not sure"), "floor.below_grade");
        assert_eq!(after("basement"), "floor.heated_slab");
    }

    /// An answer whose question is gone must not act, and must not be lost.
    #[test]
    fn an_answer_goes_and_comes_with_its_question() {
        let mut answers = START.to_vec();
        answers.extend([
            ("floor.setting", "basement"),
            ("signs.water_now", "dry"),
            ("floor.heated_slab", "no"),
            ("floor.year_built", "2025"),
            ("floor.placed_date", "2025-06-01"),
        ]);
        let mut interview = told(&answers);
        let placed = |it: &Interview| it.draft().floor.placed_date.map(|it| it.to_string());
        assert_eq!(placed(&interview).as_deref(), Some("2025-06-01"));
        interview.go_to("floor.year_built");
        interview.answer("1958").unwrap();
        assert_eq!(placed(&interview), None);
        assert!(!interview.file_text().contains("placed_date"));
        interview.go_to("floor.year_built");
        interview.answer("2025").unwrap();
        assert_eq!(placed(&interview).as_deref(), Some("2025-06-01"));
        assert_eq!(interview.current().unwrap().path(), "floor.retarder");
    }

    #[test]
    fn readings_come_one_after_another() {
        let mut interview = quick();
        interview.go_to("reading.1.more");
        interview.answer("2").unwrap();
        // The same meter: its kind, scale and mark are not asked again.
        assert_eq!(interview.current().unwrap().path(), "reading.2.value");
        for text in ["3.8", "north", "9ft"] {
            interview.answer(text).unwrap();
        }
        assert_eq!(interview.current().unwrap().path(), "reading.2.more");
        interview.answer("other").unwrap();
        interview.answer("sheet").unwrap();
        let step = interview.current().unwrap();
        assert_eq!(step.path(), "reading.3.value");
        let words: Vec<&str> = interview
            .choices(&step)
            .iter()
            .map(|it| it.word.as_str())
            .collect();
        assert_eq!(words, ["damp", "dry"]);
        for text in ["damp", "", "", "other"] {
            interview.answer(text).unwrap();
        }
        // A reading whose number nobody remembers is no reading.
        interview.answer("probe").unwrap();
        interview.answer("not sure").unwrap();
        assert_eq!(interview.current().unwrap().path(), "reading.4.more");
        interview.answer("no").unwrap();
        // A probe was told of, so its limit is asked for.
        assert_eq!(interview.current().unwrap().path(), "limit.probe_rh");
        interview.answer("80%").unwrap();
        let visit = interview.visit().unwrap();
        let values: Vec<ReadingValue> = visit.readings.iter().map(|it| it.value).collect();
        assert_eq!(
            values,
            [
                ReadingValue::Meter(3.6),
                ReadingValue::Meter(3.8),
                ReadingValue::Sheet(true)
            ]
        );
        assert_eq!(visit.readings[1].meter_id.as_deref(), Some("A"));
        assert_eq!(visit.readings[1].scale, Some(MeterScale::Percent));
        let said = |wanted: &str| interview.answers().iter().any(|it| it.said == wanted);
        assert!(said("damp or darker under the sheet"));
        // Taken back, and back again.
        interview.go_to("reading.first");
        interview.answer("no").unwrap();
        assert!(interview.visit().unwrap().readings.is_empty());
        interview.go_to("reading.first");
        interview.answer("yes").unwrap();
        assert_eq!(interview.visit().unwrap(), visit);
    }

    /// 10 ft is 3.048 m and 67 °F is 19.44 °C by definition.
    #[test]
    fn numbers_carry_their_unit() {
        let mut interview = quick();
        let wall = interview.visit().unwrap().readings[0].wall_distance;
        assert_eq!(wall.unwrap().get(), 3.048);
        interview.go_on_with_more();
        for (path, text, is_read) in [
            ("reading.1.wall_distance_m", "8", false),
            ("reading.1.wall_distance_m", "2.5m", true),
            ("air.temp_c", "67", false),
            ("air.temp_c", "67F", true),
            ("air.relative_humidity", "62", true),
            ("air.relative_humidity", "620", false),
            ("air.relative_humidity", "62 %", true),
            ("floor.thickness_mm", "4", false),
            ("floor.thickness_mm", "4in", true),
            ("floor.area_m2", "750 sq ft", true),
            ("limit.meter_percent", "5 %", true),
            ("limit.calcium_chloride_lb", "3 lb", true),
            ("floor.last_wetted_days", "12 days ago", true),
            ("floor.year_built", "about 1960", false),
            ("floor.year_built", "2027", false),
            ("reading.1.value", "45", false),
            ("signs.darkening_months", "Smarch", false),
            ("lot.position", "9", false),
            ("lot.position", "l", false),
            ("lot.position", "lo", true),
            ("visit_date", "9/8/2026", false),
            ("visit_date", "today", true),
            ("postal", "1234", false),
            ("postal", "44.48,-73.21", true),
            ("elevation_m", "350ft", true),
            ("postal", "USW00014742", true),
            ("postal", "05401", true),
        ] {
            assert!(interview.go_to(path), "{path}");
            let before = interview.clone();
            let res = interview.answer(text);
            assert_eq!(res.is_ok(), is_read, "{path} {text}: {res:?}");
            if res.is_err() {
                assert_eq!(interview, before, "a wrong answer changes nothing");
            }
        }
        let visit = interview.visit().unwrap();
        assert!((visit.air.temp.unwrap().get() - 19.444).abs() < 1e-3);
        assert_eq!(visit.air.relative_humidity.unwrap().get(), 0.62);
        assert_eq!(visit.place, PlaceName::Postal("05401".to_string()));
    }

    #[test]
    fn a_form_gives_values_instead_of_text() {
        let mut interview = told(&START);
        for raw in [
            Raw::Text("basement".to_string()),
            Raw::Text("dry".to_string()),
            Raw::Bool(false),
            Raw::Integer(1958),
        ] {
            interview.answer_raw(&raw).unwrap();
        }
        assert_eq!(interview.draft().floor.year_built, Some(1958));
        assert_eq!(interview.draft().floor.heated_slab, Some(false));
        interview.go_on_with_more();
        interview.go_to("floor.thickness_mm");
        interview.answer_raw(&Raw::Float(100.0)).unwrap();
        let thickness = interview.draft().floor.thickness;
        assert_eq!(thickness.map(|it| it.get()), Some(0.1));
    }

    #[test]
    fn a_saved_interview_goes_on_where_it_stopped() {
        let stops = quick();
        let mut interview = Interview::new(Some(today()));
        for it in stops.answers() {
            assert_eq!(interview.current().unwrap().path(), it.step.path());
            interview.answer(&it.said).unwrap();
            if it.step.path() == FIRST_READING {
                // A reading without a field leaves nothing in the file.
                continue;
            }
            let text = interview.file_text();
            let (draft, not_sure) = draft_from_text(&text, "made.toml").unwrap();
            let again = Interview::from_draft(draft, &not_sure, Some(today()));
            // If more readings follow is not in the file, so it is asked again.
            let next = |it: &Interview| {
                let is_open = |path: &String| {
                    !it.said.contains_key(path) && !path.ends_with(".more") && path != FIRST_READING
                };
                it.steps().iter().map(Step::path).find(is_open)
            };
            assert_eq!(next(&again), next(&interview), "{text}");
        }
        assert_eq!(interview.visit(), stops.visit());
    }

    /// A file that somebody wrote by hand holds more than the interview would ask.
    #[test]
    fn nothing_of_a_file_is_lost() {
        let text = r#"
visit_date = 2026-09-08
answered_by = "homeowner"
postal = "05401"
[floor]
placed_date = 1958-05-01
retarder_proof = "told"
year_built = 1958
retarder = "Not sure"
[lot]
drainage = "sound"
[air]
temp = "67F"
[[reading]]
kind = "meter"
value = 3.4
x = "8ft"
withdrawn = true
"#;
        let Parsed { visit, .. } = parse_visit(text, "made.toml").unwrap();
        let (draft, not_sure) = draft_from_text(text, "made.toml").unwrap();
        assert_eq!(not_sure, ["floor.retarder"]);
        let mut interview = Interview::from_draft(draft, &not_sure, None);
        assert_eq!(interview.visit().unwrap(), visit);
        interview.go_on_with_more();
        while let Some(step) = interview.current() {
            assert_ne!(step.path(), "floor.retarder", "that was answered");
            interview.not_sure().unwrap();
        }
        let (draft, _) = draft_from_text(&interview.file_text(), "made.toml").unwrap();
        assert_eq!(draft.finish().unwrap(), visit);
    }

    #[test]
    fn another_spelling_in_a_file_does_not_stand_in_the_way() {
        let text = "visit_date = 2026-09-08\npostal = \"05401\"\n[floor]\nthickness = \"4in\"\n";
        let (draft, _) = draft_from_text(text, "made.toml").unwrap();
        let mut interview = Interview::from_draft(draft, &[], None);
        interview.go_on_with_more();
        assert!(interview.go_to("floor.thickness_mm"));
        let said = interview.said_to(&interview.current().unwrap());
        assert_eq!(said.as_deref(), Some("0.1016m"));
        interview.answer("5in").unwrap();
        assert_eq!(interview.draft().floor.thickness.unwrap().get(), 0.127);
    }

    #[test]
    fn a_broken_file_is_not_resumed() {
        for text in [
            "",
            "[floor]\nbananas = 3\n",
            "visit_date = never\n",
            "[floor]\nyear_built = 3\n",
        ] {
            assert!(draft_from_text(text, "made.toml").is_err(), "{text}");
        }
        let (draft, _) = draft_from_text("visit_date = 2026-09-08\n", "made.toml").unwrap();
        let date = get_field(&draft, "visit_date").unwrap();
        assert_eq!(date, Some(Raw::Date(today())));
    }

    #[test]
    fn comments_at_the_top_are_kept() {
        assert_eq!(
            opening_comment("# Invented.\n# Two.\nvisit_version = 1\n# not this\n"),
            "# Invented.\n# Two.\n"
        );
    }

    /// What a hand might do next.
    fn act(interview: &mut Interview, choice: usize, at: usize) {
        const TEXTS: [&str; 14] = [
            "1958",
            "2025",
            "2026-09-01",
            "05401",
            "44.48,-73.21,105",
            "3.6",
            "8ft",
            "67F",
            "62%",
            "3 4",
            "30 pints",
            "A1",
            "n",
            "1957-02-27",
        ];
        let steps = interview.steps();
        let text = TEXTS[at % TEXTS.len()];
        match choice {
            0 => {
                interview.back();
            }
            1 => {
                interview.go_to(&steps[at % steps.len()].path());
            }
            2 => interview.go_on_with_more(),
            3 => {
                let _ = interview.not_sure();
            }
            4 => {
                let _ = interview.answer(text);
            }
            _ => {
                if let Some(step) = interview.current() {
                    let choices = interview.choices(&step);
                    if choices.is_empty() {
                        let _ = interview.answer(text);
                    } else {
                        interview.answer(&choices[at % choices.len()].word).unwrap();
                    }
                }
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        /// Any way through it ends, and the file so far gives back what was said.
        #[test]
        fn any_order_of_answers_ends(
            actions in prop::collection::vec((0usize..10, 0usize..60), 0..80),
        ) {
            let mut interview = Interview::new(Some(today()));
            for (choice, at) in actions {
                act(&mut interview, choice, at);
                let (said, all) = interview.progress();
                prop_assert!(said <= all);
            }
            let mut left = 0;
            while let Some(step) = interview.current() {
                left += 1;
                prop_assert!(left < 400, "{}", step.path());
                let text = match step.path().as_str() {
                    "visit_date" => "2026-12-31",
                    PLACE => "05401",
                    path if path.ends_with(".more") || path == FIRST_READING => "no",
                    _ => "not sure",
                };
                interview.answer(text).unwrap();
            }
            prop_assert!(interview.is_finished_quick());
            let (draft, _) = draft_from_text(&interview.file_text(), "made.toml").unwrap();
            match (draft.finish(), interview.visit()) {
                (Ok(one), Ok(other)) => prop_assert_eq!(one, other),
                (Err(_), Err(missing)) => prop_assert_eq!(missing[0].path(), "answers"),
                (one, other) => prop_assert!(false, "{:?} and {:?}", one, other),
            }
        }

        #[test]
        fn any_text_is_read_or_refused(texts in prop::collection::vec(".{0,12}", 40)) {
            let mut interview = quick();
            interview.go_on_with_more();
            for text in &texts {
                if interview.answer(text).is_err() {
                    let _ = interview.not_sure();
                }
            }
            prop_assert!(draft_from_text(&interview.file_text(), "made.toml").is_ok());
        }
    }
}
