//! One visit: what was seen, asked and read. `None` is "not sure", and is never dry.

use super::declared::declare_answers;
use crate::climate::PlaceQuery;
use crate::units::{Celsius, LitersPerDay, Meters, RainPercent, RelHumidity, SquareMeters};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// Declares an answer with its words in the visit file.
macro_rules! answers {
    ($($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),+ $(,)? })*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema)]
        pub enum $name {
            $($(#[$vdoc])* #[serde(rename = $word)] $variant,)+
        }
        impl $name {
            /// Every answer, in the order it is offered.
            pub const ALL: &'static [$name] = &[$($name::$variant),+];
            /// The words of the visit file, in the same order.
            pub const WORDS: &'static [&'static str] = &[$($word),+];
            /// The word of the visit file.
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }
            /// The answer with this word.
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|it| it.word() == word)
            }
        }
    )*};
}

answers! {
    /// Who gave the answers.
    AnsweredBy { Estimator = "estimator", Homeowner = "homeowner" }
    /// What kind of floor it is.
    Setting { Basement = "basement", WalkOut = "walk_out", OnGrade = "on_grade", Garage = "garage", Suspended = "suspended" }
    /// What is known of a vapor retarder under the slab.
    Retarder { Seen = "seen", Absent = "absent" }
    /// How the retarder is known.
    RetarderProof { Hole = "hole", Papers = "papers", Told = "told" }
    /// What lies on the concrete now.
    Surface { Bare = "bare", Sealed = "sealed", Covered = "covered" }
    /// What an earlier coating did.
    PriorCoating { NoCoating = "none", Sound = "sound", Peeling = "peeling" }
    /// Whether the basement is finished.
    Finished { No = "no", Partly = "partly", Yes = "yes" }
    /// Where the house stands.
    LotPosition { High = "high", Level = "level", Low = "low" }
    /// Gutters and grading together.
    Drainage { Sound = "sound", Failing = "failing" }
    /// Where roof water is let out.
    Downspouts { Near = "near", Far = "far", NoGutters = "none" }
    /// How the ground slopes at the walls.
    GroundSlope { Toward = "toward", Flat = "flat", Away = "away" }
    /// A drain under or beside the footing.
    SubDrain { Works = "works", Failed = "failed", NoDrain = "none" }
    /// How often a sump holds or pumps water.
    Sump { NoSump = "none", Dry = "dry", AfterRain = "after_rain", MostDays = "most_days" }
    /// Something in the house that leaks.
    Leak { NoLeak = "none", Heater = "heater", Washer = "washer", Pipe = "pipe", Sewer = "sewer" }
    /// The weather of the last months beside the usual.
    Lately { Drier = "drier", Usual = "usual", Wetter = "wetter" }
    /// Water on the floor at the visit.
    WaterNow { Dry = "dry", Damp = "damp", Standing = "standing" }
    /// A machine that dries the air.
    Dehumidifier { NoMachine = "none", Running = "running" }
    /// How a reading was taken.
    ReadingKind { Meter = "meter", Probe = "probe", CalciumChloride = "calcium_chloride", Sheet = "sheet" }
    /// The scale a meter was on.
    MeterScale { Percent = "percent", Relative = "relative" }
}

impl Sump {
    /// The answers of somebody who looked into a pit.
    pub const WITH_A_PIT: &'static [Self] = &[Sump::Dry, Sump::AfterRain, Sump::MostDays];
}

impl WaterNow {
    /// The answers beside water that stands.
    pub const WITHOUT_STANDING: &'static [Self] = &[WaterNow::Dry, WaterNow::Damp];
}

/// The type that holds an answer of a kind; `None` is "not sure".
macro_rules! held_as {
    (words $type:ident) => { Option<$type> };
    (yes_no) => { Option<bool> };
    (date) => { Option<NaiveDate> };
    (text) => { Option<String> };
    (number) => { Option<f64> };
    (whole $type:ident) => { Option<$type> };
    (months) => { Option<Vec<u32>> };
    (humidity) => { Option<RelHumidity> };
    (probe_percent) => { Option<RelHumidity> };
    (measured $type:ident $($more:tt)*) => { Option<$type> };
}

/// A part of the visit with its answers as public fields.
macro_rules! part_of_visit {
    ($(#[$doc:meta])* $table:ident: $part:ident, $entries:ident {
        $($(#[doc = $about:literal])+ $name:ident: $kind:ident $(($($arg:tt)+))? $(=> $($moves:ident)+)?;)+
    }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Default)]
        pub struct $part {
            $($(#[doc = $about])+ pub $name: held_as!($kind $($($arg)+)?),)+
        }
    };
}

declare_answers!(part_of_visit);

/// How the place was named; exactly one of the ways.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum PlaceName {
    /// A postal code or prefix.
    Postal(String),
    /// A position, north and east positive, in degrees.
    Position {
        latitude: f64,
        longitude: f64,
        elevation: Option<Meters>,
    },
    /// A station of the bundled table.
    Station(String),
}

/// The climate table's question for a place; a postal code that cannot be read is asked for as
/// it stands, so that the answer names it.
pub fn place_query(place: &PlaceName) -> PlaceQuery {
    match place {
        PlaceName::Postal(code) => {
            PlaceQuery::parse(code).unwrap_or_else(|_| PlaceQuery::Postal(code.clone()))
        }
        PlaceName::Position {
            latitude,
            longitude,
            elevation,
        } => PlaceQuery::Position {
            latitude_deg: *latitude,
            longitude_deg: *longitude,
            elevation_m: elevation.map(|it| it.get()),
        },
        PlaceName::Station(id) => PlaceQuery::Station(id.clone()),
    }
}

/// One visit to one floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    pub visit_date: NaiveDate,
    pub label: Option<String>,
    pub answered_by: Option<AnsweredBy>,
    pub place: PlaceName,
    pub floor: Floor,
    pub lot: Lot,
    pub signs: Signs,
    pub air: Air,
    pub weather: Weather,
    /// Months whose weather is known from a table; they stand in no visit file.
    pub months_had: Vec<MonthHad>,
    pub readings: Vec<Reading>,
    pub limit: Limit,
}

/// What a month's weather was at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonthHad {
    /// Calendar year.
    pub year: i32,
    /// 1 to 12.
    pub month: u32,
    pub rain: Option<MonthRain>,
    /// Mean temperature.
    pub mean: Option<Celsius>,
}

/// What fell in a month, snow as the water it holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MonthRain {
    /// mm.
    Fallen(f64),
    /// A multiple of what is normal there.
    OfNormal(f64),
}

/// What a reading said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReadingValue {
    /// A meter's number: percent by weight on that scale, a bare number on another.
    Meter(f64),
    /// Relative humidity in the hole.
    Probe(RelHumidity),
    /// Pounds per 1000 square feet in 24 hours.
    CalciumChloride(f64),
    /// Damp under the sheet or the concrete darkened.
    Sheet(bool),
}

/// One reading at one spot.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub date: NaiveDate,
    pub value: ReadingValue,
    pub scale: Option<MeterScale>,
    pub meter_id: Option<String>,
    pub meter_checked: Option<bool>,
    pub spot: Option<String>,
    pub wall_distance: Option<Meters>,
    pub x: Option<Meters>,
    pub y: Option<Meters>,
    /// Kept and printed, not used.
    pub withdrawn: bool,
}

impl Reading {
    /// Distance to the nearest wall that is known, m: as measured, else the nearer of the two
    /// walls that the sketch counts from.
    pub fn wall_distance_m(&self) -> Option<f64> {
        let measured = self.wall_distance.map(|it| it.get());
        measured.or_else(|| Some(self.x?.get().min(self.y?.get())))
    }

    /// How it was taken.
    pub fn kind(&self) -> ReadingKind {
        match self.value {
            ReadingValue::Meter(_) => ReadingKind::Meter,
            ReadingValue::Probe(_) => ReadingKind::Probe,
            ReadingValue::CalciumChloride(_) => ReadingKind::CalciumChloride,
            ReadingValue::Sheet(_) => ReadingKind::Sheet,
        }
    }
}
