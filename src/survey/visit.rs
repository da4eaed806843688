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
    AnsweredBy {
        /// A person who coats floors, at the visit.
        Estimator = "estimator",
        /// Somebody who lives in the house; no readings are asked for.
        Homeowner = "homeowner",
    }
    /// What kind of floor it is.
    Setting {
        /// Basement with ground on all sides.
        Basement = "basement",
        /// Basement with a door to the yard: one side drains freely.
        WalkOut = "walk_out",
        /// Slab on the ground, no basement.
        OnGrade = "on_grade",
        /// Garage; unless it is heated its air follows the outdoors.
        Garage = "garage",
        /// Floor over a crawl space or rooms: no estimate is given.
        Suspended = "suspended",
    }
    /// What is known of a vapor retarder under the slab.
    Retarder {
        /// There is one.
        Seen = "seen",
        /// There is none.
        Absent = "absent",
    }
    /// How the retarder is known.
    RetarderProof {
        /// Somebody saw it in a hole or at an edge.
        Hole = "hole",
        /// Plans or permit records say so.
        Papers = "papers",
        /// Somebody said so.
        Told = "told",
    }
    /// What lies on the concrete now.
    Surface {
        /// Bare concrete, which a meter can read.
        Bare = "bare",
        /// Sealer or paint: a meter reads that too.
        Sealed = "sealed",
        /// Tile, carpet or wood.
        Covered = "covered",
    }
    /// What an earlier coating did.
    PriorCoating {
        /// Never coated.
        NoCoating = "none",
        /// Coated and holding up well.
        Sound = "sound",
        /// Coated and peeling or blistered.
        Peeling = "peeling",
    }
    /// Whether the basement is finished.
    Finished {
        /// Bare walls and floor, so that signs can be seen.
        No = "no",
        /// Finished in part.
        Partly = "partly",
        /// Finished: walls and floor are out of sight.
        Yes = "yes",
    }
    /// Where the house stands.
    LotPosition {
        /// Higher than most lots around.
        High = "high",
        /// About the same as the lots around.
        Level = "level",
        /// Lower than most lots around.
        Low = "low",
    }
    /// Gutters and grading together.
    Drainage {
        /// Surface water drains away from the walls.
        Sound = "sound",
        /// Surface water drains toward the walls.
        Failing = "failing",
    }
    /// Where roof water is let out.
    Downspouts {
        /// Under 6 ft from the wall.
        Near = "near",
        /// 6 ft or more from the wall.
        Far = "far",
        /// No gutters: roof water drops beside the wall.
        NoGutters = "none",
    }
    /// How the ground slopes at the walls.
    GroundSlope {
        /// Toward the house.
        Toward = "toward",
        /// Flat.
        Flat = "flat",
        /// Away from the house.
        Away = "away",
    }
    /// A drain under or beside the footing.
    SubDrain {
        /// There is one and it works.
        Works = "works",
        /// There is one, blocked or broken.
        Failed = "failed",
        /// There is none.
        NoDrain = "none",
    }
    /// How often a sump holds or pumps water.
    Sump {
        /// There is no sump.
        NoSump = "none",
        /// Always dry.
        Dry = "dry",
        /// Water in it after rain.
        AfterRain = "after_rain",
        /// Water in it, or the pump running, most days.
        MostDays = "most_days",
    }
    /// Something in the house that leaks.
    Leak {
        /// Nothing known.
        NoLeak = "none",
        /// The water heater.
        Heater = "heater",
        /// The washing machine.
        Washer = "washer",
        /// A pipe.
        Pipe = "pipe",
        /// The sewer or a floor drain.
        Sewer = "sewer",
    }
    /// The weather of the last months beside the usual.
    Lately {
        /// Drier than usual.
        Drier = "drier",
        /// As usual.
        Usual = "usual",
        /// Wetter than usual.
        Wetter = "wetter",
    }
    /// Water on the floor at the visit.
    WaterNow {
        /// No water.
        Dry = "dry",
        /// Damp patches.
        Damp = "damp",
        /// Standing water: no estimate is given.
        Standing = "standing",
    }
    /// A machine that dries the air.
    Dehumidifier {
        /// None, or switched off.
        NoMachine = "none",
        /// It runs.
        Running = "running",
    }
    /// How a reading was taken.
    ReadingKind {
        /// Moisture meter on the surface; percent by mass on the percent scale.
        Meter = "meter",
        /// Humidity probe in a drilled hole (ASTM F2170); percent RH.
        Probe = "probe",
        /// Calcium chloride dish (ASTM F1869); lb per 1000 ft2 in 24 h.
        CalciumChloride = "calcium_chloride",
        /// Plastic sheet taped to the floor (ASTM D4263); damp or dry.
        Sheet = "sheet",
    }
    /// The scale a meter was on.
    MeterScale {
        /// Percent by mass of concrete.
        Percent = "percent",
        /// A scale of its own: the reading gets no grade.
        Relative = "relative",
    }
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
    (weather_months) => { Option<Vec<MonthHad>> };
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
        /// North positive, -90 to 90.
        latitude: f64,
        /// East positive, -180 to 180.
        longitude: f64,
        /// Height above sea level; `None` where it was not given.
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
    /// Day of the visit.
    pub visit_date: NaiveDate,
    /// Job number or the like; no person's name.
    pub label: Option<String>,
    /// Who gave the answers.
    pub answered_by: Option<AnsweredBy>,
    /// Where the house is.
    pub place: PlaceName,
    /// The slab and what lies on and under it.
    pub floor: Floor,
    /// The lot, its drainage, and water that came in.
    pub lot: Lot,
    /// What can be seen or smelled.
    pub signs: Signs,
    /// The air of the basement and what dries, heats or cools it.
    pub air: Air,
    /// The weather of the months before the visit.
    pub weather: Weather,
    /// All readings, withdrawn ones too, in the order of the file.
    pub readings: Vec<Reading>,
    /// The moisture limit of the system being quoted; empty where no data sheet was at hand.
    pub limit: Limit,
}

/// What a month's weather was at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonthHad {
    /// Calendar year.
    pub year: i32,
    /// 1 to 12.
    pub month: u32,
    /// Rain and snow, where it is known.
    pub rain: Option<MonthRain>,
    /// Mean temperature, where it is known.
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
    /// Day it was taken.
    pub date: NaiveDate,
    /// What it said, in the unit of its kind.
    pub value: ReadingValue,
    /// The scale a meter was on; `None` for other kinds and where it is not known.
    pub scale: Option<MeterScale>,
    /// Which meter; readings of one meter share its scale.
    pub meter_id: Option<String>,
    /// The meter was checked on its check block.
    pub meter_checked: Option<bool>,
    /// Name of the spot, such as A1.
    pub spot: Option<String>,
    /// Distance to the nearest outside wall, as measured.
    pub wall_distance: Option<Meters>,
    /// Distance from the left wall of the sketch.
    pub x: Option<Meters>,
    /// Distance from the lower wall of the sketch.
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
