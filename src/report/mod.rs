//! One [`Report`] value, shown as text, Markdown, HTML or JSON.
//!
//! It holds every number and sentence that a person gets to see; the shows only lay it out.
//! Fields of the JSON are only ever added.

mod build;
pub mod calendar;
mod charts;
mod drying;
mod estimator;
mod forms;
mod homeowner;
pub mod notice;
pub mod paper;
mod place;
mod svg;
mod text;
pub(crate) use text::Page;

pub use build::{Asked, build};
pub use calendar::calendar;
pub use drying::drying_text;
pub use estimator::{HTML_STYLE, html, html_body, markdown};
pub use forms::{COLUMNS as READING_COLUMNS, form};
pub use homeowner::{HomeSheetOf, HomeTable, homeowner_sheet};
pub use paper::{Layout, Paper};
pub use place::{card_text, place_prior_text};
pub use text::{Units, text};

use text::readings_said;

use crate::verdict::ways::Way;
use crate::verdict::{Grade, OpenPoint, Raise, UsedLimits};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Number of the JSON's shape.
pub const SCHEMA: u32 = 1;

/// What the estimate rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    Answers,
    Reading,
}

/// Where the floor is and which station speaks for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlaceSaid {
    pub label: String,
    pub station_id: String,
    pub name: String,
    pub distance_km: f64,
    pub elevation_difference_m: Option<f64>,
    pub stations_used: Vec<String>,
    pub normals: String,
    pub warnings: Vec<String>,
}

/// One reading as it was given; withdrawn ones are kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ReadingSaid {
    pub date: String,
    pub kind: String,
    pub value: String,
    pub spot: Option<String>,
    pub wall_distance_m: Option<f64>,
    pub meter_id: Option<String>,
    pub withdrawn: bool,
}

/// The limit in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LimitSaid {
    pub meter_percent: Option<f64>,
    pub probe_rh: Option<f64>,
    pub calcium_chloride_lb: Option<f64>,
    pub source: String,
}

impl LimitSaid {
    /// The limits in use.
    pub fn of(limits: &UsedLimits) -> Self {
        Self {
            meter_percent: limits.meter_percent,
            probe_rh: limits.probe_percent,
            calcium_chloride_lb: limits.calcium_chloride_lb,
            source: match (&limits.source, limits.provisional) {
                (_, true) => "common practice, no data sheet".to_string(),
                (Some(source), false) => source.clone(),
                (None, false) => "source not given".to_string(),
            },
        }
    }

    /// The limits as a line of text.
    pub fn words(&self) -> String {
        let meter = self.meter_percent.map(|it| format!("{it} % by meter"));
        let probe = self.probe_rh.map(|it| format!("{it:.0} % RH by probe"));
        let dish = self
            .calcium_chloride_lb
            .map(|it| format!("{it} lb by calcium chloride"));
        let all: Vec<String> = [meter, probe, dish].into_iter().flatten().collect();
        format!("Limit {} ({})", all.join(" and "), self.source)
    }
}

/// Why a reading is held, or an estimate refused, and what to do about it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GateSaid {
    pub id: String,
    pub reason: String,
    pub action: String,
    /// First day on which a new reading makes sense.
    pub retest_after: Option<String>,
}

/// The estimate without the reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BeforeReading {
    pub exceedance_probability: f64,
    pub grade: Grade,
}

/// The score; its lines add up to the total.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScoreSaid {
    pub total: i32,
    pub lines: Vec<ScoreLineSaid>,
}

/// One line of the score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScoreLineSaid {
    pub line: String,
    pub points: i32,
}

/// One month ahead, as the same meter would read it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MonthSaid {
    pub month: u32,
    pub reading_p10: f64,
    pub reading_p50: f64,
    pub reading_p90: f64,
    pub surface_humidity_p50: f64,
    pub wet_contact_mean: f64,
    /// Rain and snow of the climate normals, mm of water.
    pub precipitation_mm: f64,
    /// Middle level of the water table, m above the slab's underside.
    pub water_table_m: f64,
}

/// A cause of the wettest month and its chance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CauseSaid {
    pub cause: String,
    pub probability: f64,
}

/// What one answer moved, in tenths of a power of ten of the odds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AnswerSaid {
    pub question: String,
    pub answer: String,
    pub decibans: f64,
}

/// The chance with one thing otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SensitivitySaid {
    pub id: String,
    pub text: String,
    pub exceedance_probability: f64,
}

/// What is expected of one way forward.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WaySaid {
    pub way: Way,
    /// The limit that its chances are about.
    pub limit: String,
    /// Of the floors on which it is put down; absent for declining, and where it is put down on
    /// too few of them to tell.
    pub chance_1y: Option<f64>,
    pub chance_2y: Option<f64>,
    pub chance_5y: Option<f64>,
    /// Chance that its condition is not met.
    pub not_put_down: f64,
    pub bond_wet_5y: Option<f64>,
    pub liquid_wet_5y: Option<f64>,
    /// Year and month in which half of the floors are over.
    pub first_month_half: Option<String>,
    pub wait_days: usize,
    /// For a film now: chance that an F2170 test would not allow it today.
    pub test_would_stop: Option<f64>,
    /// What the data sheet excludes, if anything.
    pub not_allowed: Option<String>,
    pub why: String,
    /// Humidity at the bond line by month under the finish: 1 in 10 low, middle, 1 in 10 high.
    pub bond_course: Vec<[f64; 3]>,
}

/// Something to ask, test or wait for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NextSaid {
    pub question: String,
    pub text: String,
    pub chance_of_changing_grade: f64,
    /// Absent where the answer was simulated for the grade alone.
    pub chance_of_changing_way: Option<f64>,
    pub days: f64,
}

/// Where on the floor it is wet; the chances sum to one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ZonesSaid {
    pub whole: f64,
    pub band: f64,
    pub spot: f64,
    pub spot_name: Option<String>,
    pub spots: usize,
}

/// When to come back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ComeBack {
    /// First and last day of the window in which a second reading tells most.
    pub from: String,
    pub to: String,
    /// First and last day of the wet season's next months.
    pub wet_from: String,
    pub wet_to: String,
}

/// How far the estimate can be trusted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Quality {
    pub draws: usize,
    pub effective_draws: f64,
    pub k_hat: f64,
    pub reading_p_value: Option<f64>,
    pub sensitivity: Vec<SensitivitySaid>,
    pub warnings: Vec<String>,
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
    pub label: Option<String>,
    pub visit_date: String,
    pub basis: Basis,
    pub place: PlaceSaid,
    pub readings: Vec<ReadingSaid>,
    pub limit: LimitSaid,
    /// Absent when the reading is held or the estimate refused.
    pub grade: Option<Grade>,
    pub grade_raised_by: Vec<Raise>,
    pub open_points: Vec<OpenPoint>,
    pub held: bool,
    /// No estimate at all.
    pub refused: bool,
    /// The limit is that of common practice and not of a data sheet.
    pub provisional: bool,
    /// The newest reading is over the limit today.
    pub over_now: bool,
    pub gates: Vec<GateSaid>,
    /// Absent for a refused floor.
    pub before_reading: Option<BeforeReading>,
    pub exceedance_probability: Option<f64>,
    pub exceedance_5y: Option<f64>,
    pub score: Option<ScoreSaid>,
    /// 1 to 12.
    pub wettest_month: u32,
    pub wet_season: Vec<u32>,
    pub from_below_probability: f64,
    pub sweating_months: Vec<u32>,
    pub months: Vec<MonthSaid>,
    pub causes: Vec<CauseSaid>,
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
    pub exceedance_wet_year: Option<f64>,
    pub next: Vec<NextSaid>,
    pub come_back: Option<ComeBack>,
    pub zones: Option<ZonesSaid>,
    pub quality: Quality,
    /// What to do now, in one or two sentences.
    pub next_step: String,
    /// Notes on the input that did not stop it.
    pub notes: Vec<String>,
    pub cautions: Vec<String>,
    pub disclaimer: String,
}

impl Report {
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
