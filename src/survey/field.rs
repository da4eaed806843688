//! What a field of the visit file is: its path, what it takes, how it is set and read back.

use super::draft::Draft;
use super::errors::FieldError;
use super::limits::range;
use super::raw::Raw;
use super::visit::Visit;
use crate::units::UnitsError;

/// A question whose answer moves the chance, in the order in which answers are listed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ModelQuestion {
    /// When the slab was placed.
    Era,
    /// A vapor retarder under the slab.
    Retarder,
    /// Whether the slab lies below the ground outside.
    BelowGrade,
    /// Where the lot lies among its neighbors.
    Position,
    /// Dark patches in the wet season.
    SpringDarkening,
    /// Gutters and grading.
    Drainage,
    /// A drain under or beside the footing.
    SubDrain,
    /// How often the sump has water.
    Sump,
    /// Standing water in the last five years.
    StandingWater,
    /// The weather of the last months.
    Lately,
    /// Gravel under the slab.
    GravelBase,
    /// A dehumidifier.
    Dehumidifier,
    /// Cooling in summer.
    AirConditioned,
    /// Heat in winter.
    Heated,
    /// The room's humidity at the visit.
    RoomHumidity,
    /// The room's temperature at the visit.
    RoomTemperature,
    /// The slab's temperature at the visit.
    SlabTemperature,
    /// Water on the floor at the visit.
    WaterNow,
    /// A floor that sweats in summer.
    Sweats,
    /// A weak sign, seen or not; its rates are a row of `tables/signs.csv`.
    Weak(WeakSign),
}

/// One of the weak signs, by its field.
#[derive(Clone, Copy)]
pub struct WeakSign(pub(super) &'static Field);

impl WeakSign {
    /// The path of its field.
    pub fn path(self) -> &'static str {
        self.0.path
    }

    /// The name of its row in `tables/signs.csv`.
    pub fn row(self) -> &'static str {
        self.0.leaf()
    }

    /// Whether it was seen; `None` where nobody looked or is sure.
    pub fn seen(self, visit: &Visit) -> Option<bool> {
        (self.yes_no().get)(visit)
    }

    /// Where the visit keeps it.
    pub fn yes_no(self) -> YesNo {
        self.0.yes_no.expect("a test reads every weak sign")
    }
}

impl PartialEq for WeakSign {
    fn eq(&self, other: &Self) -> bool {
        self.path() == other.path()
    }
}

impl std::fmt::Debug for WeakSign {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.path())
    }
}

/// How the answer of a field moves the chance of a floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Moves {
    /// It holds or refuses, brings a caution, or is kept for the record.
    Nothing,
    /// It is the answer to this question of the model.
    Main(ModelQuestion),
    /// It goes with the answer to this question.
    PartOf(ModelQuestion),
    /// It is a weak sign.
    Weak,
}

/// Where a yes or no of the visit is kept.
#[derive(Debug, Clone, Copy)]
pub struct YesNo {
    /// The answer of a visit; `None` is not sure.
    pub get: fn(&Visit) -> Option<bool>,
    /// Where the answer is written.
    pub at: fn(&mut Visit) -> &mut Option<bool>,
}

/// What kind of value a field takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FieldKind {
    /// The version of the file's form, a whole number.
    Version,
    /// A day.
    Date,
    /// True or false.
    YesNo,
    /// One of these words.
    Words(&'static [&'static str]),
    /// Free text on one line, of limited length.
    Text,
    /// ZIP code or Canadian postal code, or its first characters.
    Postal,
    /// Id of a weather station.
    Station,
    /// A whole number in the range of the limits table.
    Whole,
    /// A number in the range of the limits table.
    Number,
    /// Calendar months, by number or by English name.
    Months,
    /// Months with the rain and the temperature they had.
    WeatherMonths,
    /// A fraction, or percent with its sign.
    Humidity,
    /// Percent of relative humidity, as a probe shows it.
    ProbePercent,
    /// A number with its unit behind it; two examples.
    WithUnit(&'static str),
    /// A reading's value: a number or yes and no, by the kind of the reading.
    ReadingValue,
}

/// A value on its way into a field.
pub(super) struct Given<'a> {
    /// As it was written, with the number of the reading.
    pub path: &'a str,
    pub field: &'static Field,
    pub raw: &'a Raw,
}

/// One field of the visit file.
pub struct Field {
    /// The dotted path, as people write it. Fields of a reading also take its number:
    /// `reading.2.value`.
    pub path: &'static str,
    /// What it is, in plain words.
    pub about: &'static str,
    /// What kind of value it takes.
    pub kind: FieldKind,
    /// The path it is saved under, when this is the other way to write that field.
    pub saved_as: Option<&'static str>,
    /// The path under which the unit stands behind the number, where there is one.
    pub with_unit: Option<&'static str>,
    /// How its answer moves the chance.
    pub moves: Moves,
    /// Where a yes or no of the visit is kept; none for other kinds and for readings.
    pub yes_no: Option<YesNo>,
    /// Takes the answer back; none for what no visit can be without, and for readings.
    pub(super) forget: Option<fn(&mut Visit)>,
    pub(super) set: fn(&mut Draft, usize, Option<&Given>) -> Result<(), FieldError>,
    pub(super) get: fn(&Draft, usize) -> Option<Raw>,
}

impl Field {
    /// The path the field is saved under.
    pub fn saved_path(&self) -> &'static str {
        self.saved_as.unwrap_or(self.path)
    }

    /// The table it stands in, empty at the top of the file.
    pub fn table(&self) -> &'static str {
        self.path.rsplit_once('.').map_or("", |(table, _)| table)
    }

    /// Its name inside the table.
    pub fn leaf(&self) -> &'static str {
        self.path
            .rsplit_once('.')
            .map_or(self.path, |(_, leaf)| leaf)
    }

    /// Whether "unknown" is no answer here.
    pub fn is_needed(&self) -> bool {
        matches!(
            self.path,
            "visit_version" | "visit_date" | "reading.date" | "reading.kind" | "reading.value"
        )
    }

    /// What it takes, for messages, forms and help.
    pub fn accepted(&self) -> String {
        match self.kind {
            FieldKind::Version => "1".to_string(),
            FieldKind::Date => "a date such as 2026-09-08".to_string(),
            FieldKind::YesNo => "true | false".to_string(),
            FieldKind::Words(words) => words.join(" | "),
            FieldKind::Text => format!("text of up to {} characters on one line", range("text.characters").high),
            FieldKind::Postal => "a postal code in quotes such as \"05401\"".to_string(),
            FieldKind::Station => "a station id in quotes such as \"USW00014742\"".to_string(),
            FieldKind::Whole => format!("a whole number, {}", range(self.path).accepted()),
            FieldKind::Number => format!("a number, {}", range(self.path).accepted()),
            FieldKind::Months => "months such as [3, 4]".to_string(),
            FieldKind::WeatherMonths => {
                "months such as [\"2026-08, 4.3 in, 70F\"]: month, rain, temperature".to_string()
            }
            FieldKind::Humidity => "a fraction such as 0.62, or percent such as \"62%\"".to_string(),
            FieldKind::ProbePercent => PROBE_ACCEPTED.to_string(),
            FieldKind::WithUnit(examples) => format!("a number with its unit, such as {examples}"),
            FieldKind::ReadingValue => {
                "percent for a meter, percent RH for a probe, pounds for calcium chloride, true | false for a sheet"
                    .to_string()
            }
        }
    }
}

impl Given<'_> {
    pub fn not_read(&self, todo: String) -> FieldError {
        FieldError::NotRead {
            path: self.path.to_string(),
            given: self.raw.shown(),
            accepted: self.field.accepted(),
            todo,
        }
    }

    pub fn out_of_range(&self, accepted: String, todo: String) -> FieldError {
        FieldError::OutOfRange {
            path: self.path.to_string(),
            given: self.raw.shown(),
            accepted,
            todo,
        }
    }

    pub fn units(&self, error: UnitsError) -> FieldError {
        FieldError::Units {
            path: self.path.to_string(),
            error,
        }
    }
}

/// What to do where nothing better can be said.
pub(super) fn or_unknown() -> String {
    "fix it, or write \"unknown\"".to_string()
}
/// What a probe's percent is read from, in a limit and in a reading.
pub(super) const PROBE_ACCEPTED: &str = "percent RH such as 85";
