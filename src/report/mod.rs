//! One [`Report`] value; one [`document`] made of it; three layouts of that: text, Markdown and
//! HTML. JSON is the value itself.
//!
//! The value holds what is known, typed; sentences are made where the document is made. No layout
//! knows the report, and nothing is read back from a sentence. Fields of the JSON are only ever
//! added.

mod build;
pub mod calendar;
mod charts;
mod clues;
mod costs;
mod document;
mod drying;
mod explain;
mod first_screen;
mod forms;
mod glance;
mod home_steps;
mod homeowner;
mod html_layout;
mod layouts;
mod markdown_layout;
mod needs;
pub mod notice;
mod page;
pub mod paper;
mod place;
mod reliability;
mod said;
mod sections;
mod svg;
mod text_layout;

pub use build::{Asked, build};
pub use calendar::{calendar, calendar_in};
pub use clues::Clue;
pub use document::{
    Extent, HTML_STYLE, document, first_document_in, first_html_in, first_text_in, html, html_body,
    markdown, text,
};
pub use drying::{drying_text, not_drying_text};
pub use explain::{Topic, WinterAirRow, explain, topics};
pub use first_screen::{
    FIRST_SCREEN_LINES, bare_floor_in, bare_floor_words, first_screen, headline_words, raise_shown,
};
pub use forms::{COLUMNS as READING_COLUMNS, form, form_in};
pub use glance::{Glance, Quoting, Reader, glance};
pub use homeowner::{HomeSheetOf, HomeTable, home_first_step, homeowner_sheet};
pub(crate) use page::Page;
pub use paper::{Block, Layout, Paper, escaped as html_text};
pub use place::{card_text, place_prior_json, place_prior_text};
pub use reliability::{StatedShare, reliability_figure};
pub use said::{Units, day_words, limit_words, month_words, percent_words, short_chance};
pub use sections::NEXT_SHOWN;

use crate::survey::{AnsweredBy, ReadingKind, Setting};
use crate::verdict::ways::Way;
use crate::verdict::{Cause, Grade, OpenPoint, Raise, UsedLimits};
use crate::words::{say, say_with};
use chrono::{Datelike, Months, NaiveDate};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Number of the JSON's shape.
pub const SCHEMA: u32 = 1;

/// What the estimate rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// The answers and the climate alone.
    Answers,
    /// A reading that can be used, too.
    Reading,
}

/// Where the floor is and which station speaks for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlaceSaid {
    /// As the place was given, with the nearest town.
    pub label: String,
    /// Nearest station of the climate table.
    pub station_id: String,
    /// Name of that station.
    pub name: String,
    /// Distance to it, km.
    pub distance_km: f64,
    /// Height of the place over it, m.
    pub elevation_difference_m: Option<f64>,
    /// All stations that were averaged, nearest first.
    pub stations_used: Vec<String>,
    /// Which years the normals are from, as a sentence.
    pub normals: String,
    /// What makes the climate rough here, as sentences.
    pub warnings: Vec<String>,
}

/// What a reading showed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Measured {
    /// Percent by weight of concrete.
    Percent(f64),
    /// A number on the meter's relative scale.
    RelativeScale(f64),
    /// A number on a scale that nobody noted.
    UnknownScale(f64),
    /// Relative humidity in the hole, percent.
    ProbePercent(f64),
    /// Pounds per 1,000 square feet in 24 hours.
    Pounds(f64),
    /// Whether it was damp under the sheet.
    Damp(bool),
}

/// One reading as it was given; withdrawn ones are kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ReadingSaid {
    /// Day of the reading.
    pub date: NaiveDate,
    /// Which test it was.
    pub test: ReadingKind,
    /// What it showed.
    pub measured: Measured,
    /// The test, in the words of the first version of this JSON; nothing reads it.
    pub kind: String,
    /// What it showed, in the words of the first version of this JSON; nothing reads it.
    pub value: String,
    /// Name of the spot.
    pub spot: Option<String>,
    /// Distance to the nearest wall, m.
    pub wall_distance_m: Option<f64>,
    /// Which meter.
    pub meter_id: Option<String>,
    /// Taken back: printed, not used.
    pub withdrawn: bool,
}

/// Who gave the limit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(from = "String", into = "String")]
#[schemars(with = "String")]
pub enum LimitSource {
    /// Nobody: the limit of common practice stands in.
    CommonPractice,
    /// A limit was given without its source.
    NotGiven,
    /// As it was typed.
    Named(String),
}

/// Row of the JSON's words for a limit that nobody gave.
const COMMON_PRACTICE: &str = "limit.file.common_practice";
/// Row of the JSON's words for a limit without a source.
const SOURCE_NOT_GIVEN: &str = "limit.file.not_given";

impl From<LimitSource> for String {
    fn from(it: LimitSource) -> Self {
        match it {
            LimitSource::CommonPractice => say(COMMON_PRACTICE).to_string(),
            LimitSource::NotGiven => say(SOURCE_NOT_GIVEN).to_string(),
            LimitSource::Named(name) => name,
        }
    }
}

impl From<String> for LimitSource {
    fn from(it: String) -> Self {
        if it == say(COMMON_PRACTICE) {
            LimitSource::CommonPractice
        } else if it == say(SOURCE_NOT_GIVEN) {
            LimitSource::NotGiven
        } else {
            LimitSource::Named(it)
        }
    }
}

/// The limit in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LimitSaid {
    /// Percent by weight, by meter.
    pub meter_percent: Option<f64>,
    /// Relative humidity inside the slab, percent.
    pub probe_rh: Option<f64>,
    /// Pounds per 1,000 square feet in 24 hours.
    pub calcium_chloride_lb: Option<f64>,
    /// Who gave it.
    pub source: LimitSource,
}

impl LimitSaid {
    /// The limits in use.
    pub fn of(limits: &UsedLimits) -> Self {
        Self {
            meter_percent: limits.meter_percent,
            probe_rh: limits.probe_percent,
            calcium_chloride_lb: limits.calcium_chloride_lb,
            source: match (&limits.source, limits.provisional) {
                (_, true) => LimitSource::CommonPractice,
                (Some(source), false) => LimitSource::Named(source.clone()),
                (None, false) => LimitSource::NotGiven,
            },
        }
    }
}

/// Why a reading is held, or an estimate refused, and what to do about it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GateSaid {
    /// Name of the rule.
    pub id: String,
    /// Why, as a sentence.
    pub reason: String,
    /// What to do about it, as a sentence.
    pub action: String,
    /// First day on which a new reading makes sense.
    pub retest_after: Option<NaiveDate>,
}

/// What a floor needs said beside its grade.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NeedSaid {
    /// Name of the need: walls, first_year, today, garage, sheet.
    pub id: String,
    /// What it is about.
    pub title: String,
    /// Sentences.
    pub lines: Vec<String>,
}

/// Readings along the walls and away from them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WallsSaid {
    /// Mean of the newest meter readings along the walls, percent by weight.
    pub band_percent: f64,
    /// The same away from the walls.
    pub field_percent: f64,
    /// Names of the spots along the walls.
    pub spots: Vec<String>,
}

/// A spot that reads too far above the others to be averaged with them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SpotSaid {
    /// Its name, where it has one.
    pub spot: Option<String>,
    /// What a meter read there, percent by weight.
    pub percent: f64,
    /// The lowest of the other spots, percent by weight.
    pub rest_low: f64,
    /// The highest of the other spots, percent by weight.
    pub rest_high: f64,
}

/// What a floor over its limit today may have, and what tells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OverTodaySaid {
    /// What it may be, likeliest first.
    pub causes: Vec<CauseSaid>,
    /// Questions to ask now, by the paths of the visit file.
    pub ask: Vec<String>,
    /// When to read again, where waiting tells something.
    pub come_back: Option<NaiveDate>,
}

/// What can be said of an unheated garage in a climate that freezes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GarageSaid {
    /// Highest meter reading that counts, percent by weight.
    pub reading_percent: Option<f64>,
    /// Limit of the meter, percent by weight.
    pub limit_percent: Option<f64>,
    /// The newest reading is over it.
    pub is_over: bool,
    /// Age of a slab that is still drying, days.
    pub young_days: Option<i64>,
    /// Washed or flooded lately.
    pub is_washed: bool,
    /// Nobody said whether it is heated.
    #[serde(default)]
    pub is_heat_unknown: bool,
}

/// What leads the first screen of floors that need more than a grade.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LeadsSaid {
    /// Of a floor that is wet along the walls.
    pub walls: Option<WallsSaid>,
    /// Of a floor with one spot far above the others.
    pub spot: Option<SpotSaid>,
    /// Of a floor over its limit today.
    pub over_today: Option<OverTodaySaid>,
    /// Of a garage that freezes.
    pub garage: Option<GarageSaid>,
}

/// The estimate without the reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BeforeReading {
    /// Chance (0 to 1) that the bare floor goes over its limit in its wettest month.
    pub exceedance_probability: f64,
    /// The grade of that chance.
    pub grade: Grade,
}

/// The score; its lines add up to the total.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScoreSaid {
    /// Score points; 20 are even odds.
    pub total: i32,
    /// In a fixed order.
    pub lines: Vec<ScoreLineSaid>,
}

/// One line of the score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScoreLineSaid {
    /// Name of the line: a core question, or one of start, other_signs, reading, together.
    pub line: String,
    /// Score points.
    pub points: i32,
}

/// One month ahead, as the same meter would read it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MonthSaid {
    /// 1 to 12.
    pub month: u32,
    /// Percent by weight under which 1 in 10 read.
    pub reading_p10: f64,
    /// Middle reading, percent by weight.
    pub reading_p50: f64,
    /// Percent by weight over which 1 in 10 read.
    pub reading_p90: f64,
    /// Middle pore humidity of the surface, 0 to 1.
    pub surface_humidity_p50: f64,
    /// Mean share of the underside that is wetted, 0 to 1.
    pub wet_contact_mean: f64,
    /// Rain and snow of the climate normals, mm of water.
    pub precipitation_mm: f64,
    /// Middle level of the water table, m above the slab's underside.
    pub water_table_m: f64,
    /// Chance that ground water or its fringe wets the underside.
    pub contact_chance: f64,
    /// Of the floors that go over in the year, the share that is over in this month.
    pub over_share: f64,
    /// Chance that the air dampens the floor.
    pub damp_air_chance: f64,
}

/// What one more reading with the same meter is worth, as expected Brier scores (0 is best).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SecondReadingSaid {
    /// Of the chance as it stands.
    pub score_now: f64,
    /// After one more reading in a calendar month, January first.
    pub score_after: [f64; 12],
    /// Share (0 to 1) of floors like this one that are as good as known to be dry or wet after
    /// a reading in a calendar month, January first.
    pub settles: [f64; 12],
    /// The month (1 to 12) to go back in: the wettest one, unless another tells clearly more.
    pub month_to_go: u32,
    /// The month (1 to 12) in which a reading tells most.
    pub best_month: u32,
    /// The month (1 to 12) in which it tells least.
    pub worst_month: u32,
}

impl SecondReadingSaid {
    /// Share of floors that a reading in a month (1 to 12) settles.
    pub fn settles_in(&self, month: u32) -> f64 {
        self.settles[month as usize - 1]
    }
}

/// A cause of the wettest month and its chance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CauseSaid {
    /// The source of water.
    pub cause: Cause,
    /// Its chance, 0 to 1; all sum to one.
    pub probability: f64,
}

/// What one answer moved, in tenths of a power of ten of the odds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AnswerSaid {
    /// The question's field.
    pub question: String,
    /// The answer as it was given.
    pub answer: String,
    /// Score points that it moves by itself.
    pub decibans: f64,
}

/// The chance with one thing otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SensitivitySaid {
    /// What is otherwise.
    pub id: String,
    /// The same with its chance, as a line; nothing reads it.
    pub text: String,
    /// The chance (0 to 1) then.
    pub exceedance_probability: f64,
}

/// A month of a year, written as 2027-04 in the JSON.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct MonthOfYear {
    /// Calendar year.
    pub year: i32,
    /// 1 to 12.
    pub month: u32,
}

impl From<MonthOfYear> for String {
    fn from(it: MonthOfYear) -> Self {
        format!("{:04}-{:02}", it.year, it.month)
    }
}

impl TryFrom<String> for MonthOfYear {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let read = text
            .split_once('-')
            .and_then(|(year, month)| Some((year.parse().ok()?, month.parse().ok()?)));
        match read {
            Some((year, month)) if (1..=12).contains(&month) => Ok(Self { year, month }),
            _ => Err(say_with("month.error", &[("given", &text)])),
        }
    }
}

/// What is expected of one way forward.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WaySaid {
    /// The option.
    pub way: Way,
    /// The problem that its chances are about, in words.
    pub limit: String,
    /// Chance (0 to 1) of its problem within a year, among the floors that get it; absent for
    /// declining, and where too few of them get it to tell.
    pub chance_1y: Option<f64>,
    /// The same within two years.
    pub chance_2y: Option<f64>,
    /// The same within five years.
    pub chance_5y: Option<f64>,
    /// Chance that its condition is not met.
    pub not_put_down: f64,
    /// Chance that the bond line is wet within five years.
    pub bond_wet_5y: Option<f64>,
    /// Chance that water is liquid there within five years.
    pub liquid_wet_5y: Option<f64>,
    /// Year and month in which half of the floors are over.
    pub first_month_half: Option<MonthOfYear>,
    /// Days until it can start.
    pub wait_days: usize,
    /// For a film now: chance that an F2170 test would not allow it today.
    pub test_would_stop: Option<f64>,
    /// What the data sheet excludes, if anything.
    pub not_allowed: Option<String>,
    /// Whether it makes sense on this floor at all: no drain where one works or for a garage, no
    /// gutters where they are sound.
    #[serde(default = "makes_sense")]
    pub makes_sense: bool,
    /// What speaks for and against it, as sentences.
    pub why: String,
    /// Humidity at the bond line by month under the finish: 1 in 10 low, middle, 1 in 10 high.
    pub bond_course: Vec<[f64; 3]>,
}

/// Of reports that were written before it was told.
fn makes_sense() -> bool {
    true
}

/// Ways forward by costs of one's own.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CostsSaid {
    /// Ways that have a cost, and the return visit, the cheapest first.
    pub options: Vec<OptionCost>,
    /// Options without a price here, each with the reason.
    #[serde(default)]
    pub left_out: Vec<LeftOut>,
    /// Cost of a failed coating at which another option comes first.
    pub turns_at_failed: Option<f64>,
    /// Whether that is more than a failed coating costs by the file.
    pub turns_upward: bool,
    /// Own cost of the second option at which it comes first.
    pub turns_at_second: Option<f64>,
    /// Whether the return visit would bring the first readings.
    pub is_first_reading: bool,
    /// What a return visit is worth; absent where none is priced.
    pub return_visit: Option<ReturnCost>,
    /// Why nothing is priced, or no return visit.
    pub not_priced: Option<NotPriced>,
}

/// An option without a price.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LeftOut {
    /// The option.
    pub way: Way,
    /// Why it has none.
    pub why: LeftOutFor,
}

/// Why an option has no price.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LeftOutFor {
    /// The file has no cost of it.
    NoCost,
    /// It may not be put down in the end, and the file has no cost of a lost job.
    NoLostJob,
    /// It is put down on too few of the floors to tell a chance.
    TooFew,
    /// The data sheet rules it out.
    DataSheet,
    /// It makes no sense on this floor.
    NoSense,
}

/// What one option is expected to cost, in the currency of the file of costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OptionCost {
    /// The option; absent for a return visit, after which the cheapest option is taken.
    pub way: Option<Way>,
    /// Expected cost at the middle of all ranges.
    pub expected: f64,
    /// Expected cost with all costs at their low ends.
    pub low: f64,
    /// Expected cost with all costs at their high ends.
    pub high: f64,
    /// Standard deviation of what a single floor costs: most cost little and a few a lot.
    pub spread: f64,
    /// Cost of the option itself.
    pub own: f64,
}

/// What a return visit is worth beside the cheapest option now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ReturnCost {
    /// Year and month of the visit, such as "2027-04".
    pub month: String,
    /// Chance (0 to 1) of a reading after which another option is the cheapest.
    pub changes: f64,
    /// That chance is too small to name.
    pub changes_nothing: bool,
    /// What it saves before its own cost: it comes out ahead of every option as long as it costs
    /// less than this.
    pub worth: f64,
}

/// Why nothing is priced, or no return visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum NotPriced {
    /// Nothing is estimated of this floor.
    Refused,
    /// The reading cannot be used.
    Held,
    /// The file has no cost of a return visit.
    NoCost,
    /// No option has a cost to set against a return visit.
    NoOption,
}

/// Something to ask, test or wait for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NextSaid {
    /// Name of the question or test.
    pub question: String,
    /// The same in words.
    pub text: String,
    /// Chance (0 to 1) that its answer changes the grade.
    pub chance_of_changing_grade: f64,
    /// Absent where the answer was simulated for the grade alone.
    pub chance_of_changing_way: Option<f64>,
    /// Days that it takes.
    pub days: f64,
}

/// Where on the floor it is wet; the chances sum to one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ZonesSaid {
    /// All spots read alike.
    pub whole: f64,
    /// The walls are wetter than the open floor.
    pub band: f64,
    /// One spot stands out.
    pub spot: f64,
    /// Name of that spot.
    pub spot_name: Option<String>,
    /// Spots that were compared.
    pub spots: usize,
}

/// When to come back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ComeBack {
    /// First and last day of the window in which a second reading tells most.
    pub from: NaiveDate,
    /// The last day of it.
    pub to: NaiveDate,
    /// First and last day of the wet season's next months.
    pub wet_from: NaiveDate,
    /// The last day of it.
    pub wet_to: NaiveDate,
}

/// How far the estimate can be trusted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Quality {
    /// Simulated floors.
    pub draws: usize,
    /// How many equally weighed ones they are worth.
    pub effective_draws: f64,
    /// Shape of the weights' tail; over 0.7 the chance is rough.
    pub k_hat: f64,
    /// Share of such floors that read as far out as this one, either side.
    pub reading_p_value: Option<f64>,
    /// The chance with one thing otherwise.
    pub sensitivity: Vec<SensitivitySaid>,
    /// What makes the estimate rough, as sentences.
    pub warnings: Vec<String>,
}

/// What kind of result stands in the headline.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HeadlineState {
    /// A grade and a chance.
    #[default]
    Graded,
    /// The newest reading is over the limit.
    OverToday,
    /// The reading cannot be used.
    NoGrade,
    /// Outside what the tool can judge.
    NoEstimate,
}

/// Whose risk stands in the headline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HeadlineOf {
    /// The bare slab in its wettest month.
    BareFloor,
    /// The system that is quoted, within five years.
    QuotedSystem,
}

/// The one risk that leads every output: the worse of the bare slab and the quoted system.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Headline {
    /// What kind of result it is.
    pub state: HeadlineState,
    /// Whose risk it is.
    pub of: HeadlineOf,
    /// Absent where there is no grade.
    pub grade: Option<Grade>,
    /// Its chance, 0 to 1; absent where there is no grade.
    pub chance: Option<f64>,
}

impl Headline {
    /// Whether the system that is quoted leads with a risk worth speaking of.
    pub fn leads_with_system(&self) -> bool {
        self.of == HeadlineOf::QuotedSystem && self.grade >= Some(Grade::Moderate)
    }
}

/// What is advised.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Advice {
    /// Do what each reason asks for, then read again.
    Held,
    /// Over the limit today.
    OverNow,
    /// Wetter than can be explained.
    UnexplainedHigh,
    /// Drier than can be explained.
    UnexplainedLow,
    /// No reading; low by the answers.
    AnswersLow,
    /// No reading; not low by the answers.
    AnswersOther,
    /// Low, and nothing is open.
    Low,
    /// Low, and something is open.
    LowSoFar,
    /// By the worse of bare floor and quoted system.
    Moderate,
    /// By the worse of bare floor and quoted system.
    High,
    /// By the worse of bare floor and quoted system.
    VeryHigh,
}

impl Advice {
    /// Key of its sentence in `tables/words.csv`, under `do.`.
    pub fn word(self) -> &'static str {
        match self {
            Advice::Held => "held",
            Advice::OverNow => "over_now",
            Advice::UnexplainedHigh => "unexplained_high",
            Advice::UnexplainedLow => "unexplained_low",
            Advice::AnswersLow => "answers_low",
            Advice::AnswersOther => "answers_other",
            Advice::Low => "low",
            Advice::LowSoFar => "low_so_far",
            Advice::Moderate => "moderate",
            Advice::High => "high",
            Advice::VeryHigh => "very_high",
        }
    }
}

/// Everything that a screen says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Report {
    /// Number of this shape; fields are only ever added.
    pub schema: u32,
    /// Version of the model.
    pub model: String,
    /// Digest of all bundled tables.
    pub tables: String,
    /// Digest of the visit.
    pub input_digest: String,
    /// Job number or name, as typed.
    pub label: Option<String>,
    /// Day of the visit.
    pub visit_date: NaiveDate,
    /// What the estimate rests on.
    pub basis: Basis,
    /// Where the floor is.
    pub place: PlaceSaid,
    /// Who answered.
    pub answered_by: Option<AnsweredBy>,
    /// What kind of floor.
    pub setting: Option<Setting>,
    /// When the house was built.
    pub year_built: Option<i32>,
    /// All readings, withdrawn ones too.
    pub readings: Vec<ReadingSaid>,
    /// The limit in use.
    pub limit: LimitSaid,
    /// The one risk that leads.
    pub headline: Headline,
    /// What is advised.
    pub advice: Advice,
    /// Answers that speak for a wet floor, the telling ones first.
    pub clues_for: Vec<Clue>,
    /// Answers that speak against it.
    pub clues_against: Vec<Clue>,
    /// Springs in which the bare floor was watched.
    pub springs_watched: Option<u32>,
    /// Absent when the reading is held or the estimate refused.
    pub grade: Option<Grade>,
    /// What lifted it above what the chance alone would give.
    pub grade_raised_by: Vec<Raise>,
    /// What keeps a low grade from being more than "so far".
    pub open_points: Vec<OpenPoint>,
    /// The reading cannot be used.
    pub held: bool,
    /// No estimate at all.
    pub refused: bool,
    /// The limit is that of common practice and not of a data sheet.
    pub provisional: bool,
    /// The newest reading is over the limit today.
    pub over_now: bool,
    /// The day on which a floor that is over its limit today is read again, where waiting tells
    /// something.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub read_again: Option<NaiveDate>,
    /// Why the reading cannot be used, or the floor not be judged.
    pub gates: Vec<GateSaid>,
    /// What this floor needs said beside its grade: wet walls, a new slab, over the limit today,
    /// a cold garage, the tests of the data sheet.
    pub needs: Vec<NeedSaid>,
    /// The same as numbers, where it leads the first screen.
    #[serde(default)]
    pub leads: LeadsSaid,
    /// Absent for a refused floor.
    pub before_reading: Option<BeforeReading>,
    /// Chance (0 to 1) that the bare floor goes over its limit in its wettest month.
    pub exceedance_probability: Option<f64>,
    /// The same within five years.
    pub exceedance_5y: Option<f64>,
    /// Absent without a grade and in a first screen.
    pub score: Option<ScoreSaid>,
    /// 1 to 12.
    pub wettest_month: u32,
    /// Months close to the wettest, 1 to 12.
    pub wet_season: Vec<u32>,
    /// Months (1 to 12) in which water from below is likeliest, in the order of time; empty where
    /// the ground has no season.
    pub water_season: Vec<u32>,
    /// The same of damp air.
    pub damp_air_season: Vec<u32>,
    /// Chance that the wettest month comes from below rather than from the air.
    pub from_below_probability: f64,
    /// Months in which half of the floors sweat.
    pub sweating_months: Vec<u32>,
    /// The next year, January first; empty for a refused floor.
    pub months: Vec<MonthSaid>,
    /// Where the water comes from.
    pub causes: Vec<CauseSaid>,
    /// What each answer moves.
    pub answers: Vec<AnswerSaid>,
    /// Questions of the model that are open.
    pub unknown: Vec<String>,
    /// The ways forward; empty when refused.
    pub ways: Vec<WaySaid>,
    /// The way that is being quoted.
    pub quoted_way: Way,
    /// The first way that holds.
    pub preferred_way: Option<Way>,
    /// Chance that water stands above the underside within five years.
    pub water_above_probability: Option<f64>,
    /// Chance of going over in the wettest of ten years.
    pub exceedance_wet_year: Option<f64>,
    /// What one more reading is worth; absent for floors without a grade.
    pub second_reading: Option<SecondReadingSaid>,
    /// Chance that the darkest patch goes over the limit in the next year, where it was worked out.
    pub patch_exceedance_probability: Option<f64>,
    /// The ways forward by costs of one's own; absent without them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub costs: Option<CostsSaid>,
    /// What to ask or test next; empty in a first screen.
    pub next: Vec<NextSaid>,
    /// When to come back; absent where no month stands out.
    pub come_back: Option<ComeBack>,
    /// Where on the floor it is wet.
    pub zones: Option<ZonesSaid>,
    /// How far it can be trusted.
    pub quality: Quality,
    /// What to do now, in one or two sentences.
    pub next_step: String,
    /// Its row of `tables/words.csv`, for a reader of another language.
    #[serde(default)]
    pub next_step_key: String,
    /// Notes on the input that did not stop it.
    pub notes: Vec<String>,
    /// The usual cautions.
    pub cautions: Vec<String>,
    /// The standing sentence.
    pub disclaimer: String,
}

impl Report {
    /// Options that are shown: not one that makes no sense on this floor, unless it is quoted.
    pub fn options(&self) -> impl Iterator<Item = &WaySaid> {
        let is_shown = |it: &&WaySaid| it.makes_sense || it.way == self.quoted_way;
        let all = self.ways.iter().filter(|it| it.way != Way::Decline);
        all.filter(is_shown)
    }

    /// The option that is quoted, where it is told.
    pub fn quoted(&self) -> Option<&WaySaid> {
        self.ways.iter().find(|it| it.way == self.quoted_way)
    }

    /// Whether the bare floor is low by its readings, and only the system that is quoted makes the
    /// risk.
    pub fn is_the_coating(&self) -> bool {
        self.basis == Basis::Reading
            && self.grade == Some(Grade::Low)
            && self.headline.leads_with_system()
    }

    /// Whether the result leads with a reading over the limit that day, before any grade.
    pub fn is_over_today(&self) -> bool {
        self.headline.state == HeadlineState::OverToday
    }

    /// The day on which such a floor is read again, where waiting tells something.
    pub fn day_after_over(&self) -> Option<NaiveDate> {
        self.read_again.filter(|_| self.is_over_today())
    }

    /// First day of the month to read the floor again: the wettest one, or one in which a
    /// reading tells clearly more; `None` where no month stands out.
    pub fn month_to_go(&self) -> Option<NaiveDate> {
        let back = self.come_back.as_ref()?;
        let Some(worth) = &self.second_reading else {
            return Some(back.from);
        };
        let first = self.visit_date.with_day(1)?;
        (1..=12)
            .filter_map(|it| first.checked_add_months(Months::new(it)))
            .find(|it| it.month() == worth.month_to_go)
    }

    /// The report as JSON, with a line end.
    pub fn to_json(&self) -> String {
        let mut text =
            serde_json::to_string_pretty(self).expect("a report holds only plain values");
        text.push('\n');
        text
    }

    /// The JSON Schema of the report, made from the same types.
    pub fn json_schema() -> serde_json::Value {
        serde_json::to_value(schemars::schema_for!(Report)).expect("a schema is plain JSON")
    }
}
