//! The tables of questions and choices, and when a question makes sense.

use super::super::draft::Draft;
use super::super::field::FieldKind;
use super::super::fields::{field, indexed};
use super::super::visit::*;
use crate::units::{table_rows, table_text};
use chrono::Datelike;
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
    /// Anybody who stands in the basement.
    Both,
    /// A person with a meter, or one who knows slabs.
    Estimator,
    /// The owner alone, of what only somebody who lives there has seen.
    Homeowner,
}

impl Who {
    pub(super) fn suits(self, audience: AnsweredBy) -> bool {
        match self {
            Who::Both => true,
            Who::Estimator => audience == AnsweredBy::Estimator,
            Who::Homeowner => audience == AnsweredBy::Homeowner,
        }
    }
}

/// When a question makes sense.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum When {
    Always,
    PlaceIsPosition,
    HomeownerOrMore,
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
pub(super) const WHENS: &[(&str, When)] = &[
    ("", When::Always),
    ("place_is_position", When::PlaceIsPosition),
    ("homeowner_or_more", When::HomeownerOrMore),
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
    pub(super) fn holds(self, draft: &Draft, at: usize, depth: Pass) -> bool {
        let reading = draft.readings.get(at);
        let kind = reading.and_then(|it| it.kind);
        let has_value = reading.is_some_and(|it| it.kind.is_some() && it.value.is_some());
        let any_of = |kind| draft.readings.iter().any(|it| it.kind == Some(kind));
        match self {
            When::Always => true,
            When::PlaceIsPosition => draft.latitude.is_some(),
            When::HomeownerOrMore => {
                depth == Pass::More || draft.answered_by == Some(AnsweredBy::Homeowner)
            }
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
    /// The pass in which it is asked.
    pub pass: Pass,
    /// Who is asked.
    pub who: Who,
    /// The heading it stands under.
    pub section: String,
    /// In the words of the trade.
    pub ask: String,
    /// In a homeowner's words; empty where a homeowner is not asked.
    pub ask_home: String,
    /// Why it is asked and what it moves.
    pub why: String,
    /// What may be typed, with an example; empty where the answer is chosen.
    pub hint: String,
    /// The key of its condition; empty is always.
    pub when: String,
    /// Where the question comes from, by the ids of `tables/sources.csv` or an honest mark.
    pub source: String,
    pub(super) condition: When,
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
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize)]
pub struct Choice {
    /// The path of its field, or "any" for yes and no.
    pub field: String,
    /// The word of the visit file.
    pub word: String,
    /// In the words of the trade.
    pub label: String,
    /// In a homeowner's words.
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
pub(super) const PLACE: &str = "postal";
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
        "weather.months",
        "taken from a table with --weather, or written into the file",
    ),
    ("reading.x_m", "set by a tap on a sketch"),
    ("reading.y_m", "set by a tap on a sketch"),
    (
        "reading.withdrawn",
        "set when a reading is taken back, never asked about a new one",
    ),
];

pub(super) static QUESTIONS: LazyLock<Vec<Question>> = LazyLock::new(|| {
    parse_questions(const { table_text("questions.csv") })
        .expect("tests/tables.rs parses this file")
});

pub(super) static CHOICES: LazyLock<Vec<Choice>> = LazyLock::new(|| {
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
    #[derive(serde::Deserialize)]
    struct Row {
        field: String,
        pass: String,
        who: String,
        section: String,
        ask: String,
        ask_home: String,
        why: String,
        hint: String,
        when: String,
        source: String,
    }
    let mut res: Vec<Question> = Vec::new();
    for it in table_rows::<Row>(text).map_err(|it| it.to_string())? {
        let wrong = |what: &str| format!("{}: {what}", it.field);
        let is_known = field(&it.field).is_some_and(|it| it.saved_as.is_none())
            || matches!(it.field.as_str(), FIRST_READING | MORE_READINGS);
        if !is_known {
            return Err(wrong("no such field is saved"));
        }
        if res.iter().any(|other| other.field == it.field) {
            return Err(wrong("asked twice"));
        }
        let who = match it.who.as_str() {
            "both" => Who::Both,
            "estimator" => Who::Estimator,
            "homeowner" => Who::Homeowner,
            _ => return Err(wrong("who is both, estimator or homeowner")),
        };
        if (who == Who::Estimator) != it.ask_home.is_empty() {
            return Err(wrong(
                "ask_home is empty where a homeowner is not asked, and only there",
            ));
        }
        let said = [&it.section, &it.ask, &it.why, &it.source];
        if said.iter().any(|it| it.is_empty()) {
            return Err(wrong("section, ask, why and source must say something"));
        }
        let pass = match it.pass.as_str() {
            "quick" => Pass::Quick,
            "more" => Pass::More,
            _ => return Err(wrong("pass is quick or more")),
        };
        let condition = WHENS
            .iter()
            .find(|(key, _)| *key == it.when)
            .map(|(_, condition)| *condition)
            .ok_or_else(|| wrong("no such condition"))?;
        res.push(Question {
            field: it.field,
            pass,
            who,
            section: it.section,
            ask: it.ask,
            ask_home: it.ask_home,
            why: it.why,
            hint: it.hint,
            when: it.when,
            source: it.source,
            condition,
        });
    }
    Ok(res)
}

/// Rows of the table of choices, or what is wrong with them.
pub fn parse_choices(text: &str) -> Result<Vec<Choice>, String> {
    let mut res: Vec<Choice> = Vec::new();
    for it in table_rows::<Choice>(text).map_err(|it| it.to_string())? {
        let wrong = |what: &str| format!("{} {}: {what}", it.field, it.word);
        let all = [&it.field, &it.word, &it.label, &it.label_home];
        if all.iter().any(|it| it.is_empty()) {
            return Err(wrong("an empty cell"));
        }
        if res
            .iter()
            .any(|other| other.field == it.field && other.word == it.word)
        {
            return Err(wrong("given twice"));
        }
        res.push(it);
    }
    Ok(res)
}

/// One question at its place in the interview.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The row of the table.
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

/// The answers that a question offers, empty where the answer is typed.
pub(super) fn offered(step: &Step, kind: Option<ReadingKind>) -> Vec<&'static Choice> {
    let name = step.question.field.as_str();
    let of = |wanted: &str| CHOICES.iter().filter(|it| it.field == wanted).collect();
    if name == "reading.value" {
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
