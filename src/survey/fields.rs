//! Every field of the visit file, once: its path, what it is, what it takes, how it is set
//! and read back. Files, tables, questions and the page all go through this registry.

use super::check::{problems, range, reading_value};
use super::errors::FieldError;
use super::nearest::nearest;
use super::visit::*;
use crate::units::{
    Celsius, LitersPerDay, Meters, RelHumidity, SquareMeters, UnitText, UnitsError, area_from_text,
    celsius_from_text, humidity_from_text, length_from_text, volume_per_day_from_text,
};
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;

/// A value as it was given, before it means anything.
#[derive(Debug, Clone, PartialEq)]
pub enum Raw {
    Bool(bool),
    Integer(i64),
    Float(f64),
    Text(String),
    List(Vec<Raw>),
    Date(NaiveDate),
}

impl Raw {
    /// As plain text, the way a table cell holds it.
    pub fn to_text(&self) -> String {
        match self {
            Raw::Bool(it) => it.to_string(),
            Raw::Integer(it) => it.to_string(),
            // Not hundreds of digits.
            Raw::Float(it) if it.abs() >= 1.0e15 => format!("{it:e}"),
            Raw::Float(it) => it.to_string(),
            Raw::Text(it) => it.clone(),
            Raw::List(items) => items.iter().map(Raw::to_text).collect::<Vec<_>>().join(";"),
            Raw::Date(it) => it.to_string(),
        }
    }

    /// As it stands behind the equals sign of a visit file.
    pub fn to_toml(&self) -> String {
        match self {
            Raw::Text(it) => quoted(it),
            Raw::List(items) => format!(
                "[{}]",
                items
                    .iter()
                    .map(Raw::to_toml)
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
            other => other.to_text(),
        }
    }

    /// An empty cell says nothing, which is not the same as "unknown" where a field is needed.
    fn is_blank(&self) -> bool {
        match self {
            Raw::Text(it) => it.trim().is_empty(),
            Raw::List(items) => items.is_empty(),
            _ => false,
        }
    }

    fn is_unknown(&self) -> bool {
        matches!(self, Raw::Text(it) if matches!(word_form(it).as_str(), "unknown" | "not_sure"))
    }

    /// For a message: quoted, on one line, and short.
    fn shown(&self) -> String {
        match self {
            Raw::Text(it) => format!("\"{}\"", shortened(it)),
            Raw::List(_) => shortened(&self.to_toml()),
            other => shortened(&other.to_text()),
        }
    }
}

/// A visit that is still being filled in. `None` is "not answered" or "not sure".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Draft {
    pub visit_date: Option<NaiveDate>,
    pub label: Option<String>,
    pub answered_by: Option<AnsweredBy>,
    pub postal: Option<String>,
    pub latitude: Option<f64>,
    pub longitude: Option<f64>,
    pub elevation: Option<Meters>,
    pub station: Option<String>,
    pub floor: Floor,
    pub lot: Lot,
    pub signs: Signs,
    pub air: Air,
    pub readings: Vec<ReadingDraft>,
    pub limit: Limit,
    /// Which spelling of a field was given, by the path it is saved under.
    spelled: BTreeMap<String, String>,
}

/// A reading that is still being filled in. Its value waits for the kind and the scale.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadingDraft {
    pub date: Option<NaiveDate>,
    pub kind: Option<ReadingKind>,
    pub value: Option<Raw>,
    pub scale: Option<MeterScale>,
    pub meter_id: Option<String>,
    pub meter_checked: Option<bool>,
    pub spot: Option<String>,
    pub wall_distance: Option<Meters>,
    pub x: Option<Meters>,
    pub y: Option<Meters>,
    pub withdrawn: bool,
}

impl ReadingDraft {
    /// Whether nothing was given, as in the empty cells of a wide table.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl Draft {
    /// The visit, or everything that still stands in its way.
    ///
    /// A reading without a date is of the day of the visit. Readings in which nothing at all
    /// was given are left out.
    pub fn finish(self) -> Result<Visit, Vec<FieldError>> {
        let found = problems(&self);
        if !found.is_empty() {
            return Err(found);
        }
        let whole = "problems() reports what is missing";
        let visit_date = self.visit_date.expect(whole);
        let place = match (self.postal, self.station) {
            (Some(postal), _) => PlaceName::Postal(postal),
            (None, Some(station)) => PlaceName::Station(station),
            (None, None) => PlaceName::Position {
                latitude: self.latitude.expect(whole),
                longitude: self.longitude.expect(whole),
                elevation: self.elevation,
            },
        };
        let mut readings = Vec::new();
        for it in self.readings.into_iter().filter(|it| !it.is_empty()) {
            let kind = it.kind.expect(whole);
            let raw = it.value.as_ref().expect(whole);
            readings.push(Reading {
                date: it.date.unwrap_or(visit_date),
                value: reading_value("reading", kind, it.scale, raw)
                    .map_err(|error| vec![error])?,
                scale: it.scale,
                meter_id: it.meter_id,
                meter_checked: it.meter_checked,
                spot: it.spot,
                wall_distance: it.wall_distance,
                x: it.x,
                y: it.y,
                withdrawn: it.withdrawn,
            });
        }
        Ok(Visit {
            visit_date,
            label: self.label,
            answered_by: self.answered_by,
            place,
            floor: self.floor,
            lot: self.lot,
            signs: self.signs,
            air: self.air,
            readings,
            limit: self.limit,
        })
    }
}

impl From<&Visit> for Draft {
    fn from(visit: &Visit) -> Self {
        let mut draft = Draft {
            visit_date: Some(visit.visit_date),
            label: visit.label.clone(),
            answered_by: visit.answered_by,
            floor: visit.floor.clone(),
            lot: visit.lot.clone(),
            signs: visit.signs.clone(),
            air: visit.air.clone(),
            limit: visit.limit.clone(),
            ..Draft::default()
        };
        match &visit.place {
            PlaceName::Postal(postal) => draft.postal = Some(postal.clone()),
            PlaceName::Station(station) => draft.station = Some(station.clone()),
            PlaceName::Position {
                latitude,
                longitude,
                elevation,
            } => {
                draft.latitude = Some(*latitude);
                draft.longitude = Some(*longitude);
                draft.elevation = *elevation;
            }
        }
        draft.readings = visit
            .readings
            .iter()
            .map(|it| ReadingDraft {
                date: Some(it.date),
                kind: Some(it.kind()),
                value: Some(match it.value {
                    ReadingValue::Meter(value) | ReadingValue::CalciumChloride(value) => {
                        float(value)
                    }
                    ReadingValue::Probe(humidity) => float(tidy(humidity.percent())),
                    ReadingValue::Sheet(damp) => Raw::Bool(damp),
                }),
                scale: it.scale,
                meter_id: it.meter_id.clone(),
                meter_checked: it.meter_checked,
                spot: it.spot.clone(),
                wall_distance: it.wall_distance,
                x: it.x,
                y: it.y,
                withdrawn: it.withdrawn,
            })
            .collect();
        draft
    }
}

/// What kind of value a field takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FieldKind {
    Version,
    Date,
    YesNo,
    /// One of these words.
    Words(&'static [&'static str]),
    Text,
    Postal,
    Station,
    /// A whole number in the range of the limits table.
    Whole,
    /// A number in the range of the limits table.
    Number,
    /// Calendar months, by number or by English name.
    Months,
    /// A fraction, or percent with its sign.
    Humidity,
    /// Percent of relative humidity, as a probe shows it.
    ProbePercent,
    /// A number with its unit behind it; two examples.
    WithUnit(&'static str),
    ReadingValue,
}

/// A value on its way into a field.
struct Given<'a> {
    /// As it was written, with the number of the reading.
    path: &'a str,
    field: &'static Field,
    raw: &'a Raw,
}

/// One field of the visit file.
pub struct Field {
    /// The dotted path, as people write it. Fields of a reading also take its number:
    /// `reading.2.value`.
    pub path: &'static str,
    /// What it is, in plain words.
    pub about: &'static str,
    pub kind: FieldKind,
    /// The path it is saved under, when this is the other way to write that field.
    pub saved_as: Option<&'static str>,
    set: fn(&mut Draft, usize, Option<&Given>) -> Result<(), FieldError>,
    get: fn(&Draft, usize) -> Option<Raw>,
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

/// The tables of the visit file, in its order.
pub(super) const TABLES: &[&str] = &["floor", "lot", "signs", "air", "reading", "limit"];

/// A field with one way to write it.
macro_rules! one {
    ($path:literal, $kind:expr, $read:expr, $write:expr, |$d:ident, $i:ident| $place:expr, $about:literal) => {
        Field {
            path: $path,
            about: $about,
            kind: $kind,
            saved_as: None,
            set: |$d, $i, given| {
                let _ = $i;
                $place = given.map($read).transpose()?;
                Ok(())
            },
            get: |$d, $i| {
                let _ = $i;
                $place.clone().map($write)
            },
        }
    };
}

macro_rules! words {
    ($path:literal, $type:ident, |$d:ident, $i:ident| $place:expr, $about:literal) => {
        one!(
            $path,
            FieldKind::Words($type::WORDS),
            |it| word(it, $type::WORDS, $type::from_word),
            |it: $type| Raw::Text(it.word().to_string()),
            |$d, $i| $place,
            $about
        )
    };
}

macro_rules! yes_no {
    ($path:literal, |$d:ident, $i:ident| $place:expr, $about:literal) => {
        one!(
            $path,
            FieldKind::YesNo,
            yes_no,
            Raw::Bool,
            |$d, $i| $place,
            $about
        )
    };
}

macro_rules! date {
    ($path:literal, |$d:ident, $i:ident| $place:expr, $about:literal) => {
        one!(
            $path,
            FieldKind::Date,
            date,
            Raw::Date,
            |$d, $i| $place,
            $about
        )
    };
}

macro_rules! text {
    ($path:literal, |$d:ident, $i:ident| $place:expr, $about:literal) => {
        one!(
            $path,
            FieldKind::Text,
            text,
            Raw::Text,
            |$d, $i| $place,
            $about
        )
    };
}

macro_rules! number {
    ($path:literal, |$d:ident, $i:ident| $place:expr, $about:literal) => {
        one!(
            $path,
            FieldKind::Number,
            number,
            float,
            |$d, $i| $place,
            $about
        )
    };
}

/// A quantity that is a plain number under its saved name, with the unit in the name.
macro_rules! measured {
    ($path:literal, $type:ident, per $per:literal, |$d:ident, $i:ident| $place:expr, $about:literal) => {
        one!(
            $path,
            FieldKind::Number,
            |it| plain_quantity(it, $per, $type::new),
            |it: $type| float(tidy(it.get() * $per)),
            |$d, $i| $place,
            $about
        )
    };
}

/// The other name of a quantity, where the unit stands behind the number.
macro_rules! with_unit {
    ($path:literal, saved as $saved:literal, $type:ident, per $per:literal, $text:ident, $unit:literal,
     $examples:literal, |$d:ident, $i:ident| $place:expr, $about:literal) => {
        Field {
            path: $path,
            about: $about,
            kind: FieldKind::WithUnit($examples),
            saved_as: Some($saved),
            set: |$d, $i, given| {
                let _ = $i;
                $place = given
                    .map(|it| quantity_with_unit(it, $per, $text, $type::get, $type::new))
                    .transpose()?;
                Ok(())
            },
            get: |$d, $i| {
                let _ = $i;
                $place.map(|it| Raw::Text(format!("{}{}", tidy(it.get()), $unit)))
            },
        }
    };
}

/// Every field, in the order in which a visit is saved.
pub static FIELDS: &[Field] = &[
    Field {
        path: "visit_version",
        about: "The version of the visit file.",
        kind: FieldKind::Version,
        saved_as: None,
        set: |_, _, given| given.map_or(Ok(()), version),
        get: |_, _| Some(Raw::Integer(VERSION)),
    },
    date!("visit_date", |d, i| d.visit_date, "The day of the visit."),
    text!(
        "label",
        |d, i| d.label,
        "A job number or another name for the visit that is not a person."
    ),
    words!(
        "answered_by",
        AnsweredBy,
        |d, i| d.answered_by,
        "Who gave the answers."
    ),
    one!(
        "postal",
        FieldKind::Postal,
        postal,
        Raw::Text,
        |d, i| d.postal,
        "The postal code of the house."
    ),
    number!(
        "latitude",
        |d, i| d.latitude,
        "Degrees north of the equator."
    ),
    number!(
        "longitude",
        |d, i| d.longitude,
        "Degrees east of Greenwich; west is negative."
    ),
    measured!("elevation_m", Meters, per 1.0, |d, i| d.elevation, "Height above the sea in meters."),
    with_unit!("elevation", saved as "elevation_m", Meters, per 1.0, length_from_text, "m", "\"350ft\" or \"110m\"",
        |d, i| d.elevation, "Height above the sea with its unit."),
    one!(
        "station",
        FieldKind::Station,
        station,
        Raw::Text,
        |d, i| d.station,
        "The weather station to use."
    ),
    words!(
        "floor.setting",
        Setting,
        |d, i| d.floor.setting,
        "What kind of floor it is."
    ),
    yes_no!(
        "floor.below_grade",
        |d, i| d.floor.below_grade,
        "Whether the slab lies below the ground outside."
    ),
    one!(
        "floor.year_built",
        FieldKind::Whole,
        whole,
        whole_raw,
        |d, i| d.floor.year_built,
        "The year the slab was placed, or the house built."
    ),
    date!(
        "floor.placed_date",
        |d, i| d.floor.placed_date,
        "The day the concrete was placed, for a new slab."
    ),
    words!(
        "floor.retarder",
        Retarder,
        |d, i| d.floor.retarder,
        "Whether there is a vapor retarder under the slab."
    ),
    words!(
        "floor.retarder_proof",
        RetarderProof,
        |d, i| d.floor.retarder_proof,
        "How the retarder is known."
    ),
    words!(
        "floor.surface",
        Surface,
        |d, i| d.floor.surface,
        "What lies on the concrete now."
    ),
    number!(
        "floor.cover_removed_days",
        |d, i| d.floor.cover_removed_days,
        "Days since a cover was taken off."
    ),
    words!(
        "floor.prior_coating",
        PriorCoating,
        |d, i| d.floor.prior_coating,
        "What an earlier coating did."
    ),
    yes_no!(
        "floor.gravel_base",
        |d, i| d.floor.gravel_base,
        "Whether the slab lies on gravel."
    ),
    yes_no!(
        "floor.heated_slab",
        |d, i| d.floor.heated_slab,
        "Whether the slab has heating in it."
    ),
    yes_no!(
        "floor.tendons",
        |d, i| d.floor.tendons,
        "Whether the slab has post-tension tendons."
    ),
    measured!("floor.thickness_mm", Meters, per 1_000.0, |d, i| d.floor.thickness, "The slab's thickness in mm."),
    with_unit!("floor.thickness", saved as "floor.thickness_mm", Meters, per 1_000.0, length_from_text, "m",
        "\"4in\" or \"100mm\"", |d, i| d.floor.thickness, "The slab's thickness with its unit."),
    measured!("floor.area_m2", SquareMeters, per 1.0, |d, i| d.floor.area, "The floor's area in m2."),
    with_unit!("floor.area", saved as "floor.area_m2", SquareMeters, per 1.0, area_from_text, "m2",
        "\"750ft2\" or \"70m2\"", |d, i| d.floor.area, "The floor's area with its unit."),
    number!(
        "floor.last_wetted_days",
        |d, i| d.floor.last_wetted_days,
        "Days since the floor was washed or flooded."
    ),
    words!(
        "floor.finished",
        Finished,
        |d, i| d.floor.finished,
        "Whether the basement is finished."
    ),
    words!(
        "lot.position",
        LotPosition,
        |d, i| d.lot.position,
        "Where the house stands among its neighbors."
    ),
    words!(
        "lot.drainage",
        Drainage,
        |d, i| d.lot.drainage,
        "Gutters and the slope of the ground, taken together."
    ),
    words!(
        "lot.downspouts",
        Downspouts,
        |d, i| d.lot.downspouts,
        "Where roof water is let out."
    ),
    words!(
        "lot.slope",
        GroundSlope,
        |d, i| d.lot.slope,
        "How the ground slopes at the walls."
    ),
    date!(
        "lot.drainage_work_date",
        |d, i| d.lot.drainage_work_date,
        "The day drainage work was finished."
    ),
    words!(
        "lot.sub_drain",
        SubDrain,
        |d, i| d.lot.sub_drain,
        "A drain under or beside the footing."
    ),
    words!(
        "lot.sump",
        Sump,
        |d, i| d.lot.sump,
        "How often the sump holds or pumps water."
    ),
    yes_no!(
        "lot.standing_water_5y",
        |d, i| d.lot.standing_water_5y,
        "Standing water in the last five years."
    ),
    words!(
        "lot.leak",
        Leak,
        |d, i| d.lot.leak,
        "Something in the house that leaks."
    ),
    words!(
        "lot.lately",
        Lately,
        |d, i| d.lot.lately,
        "The weather of the last months beside the usual."
    ),
    yes_no!(
        "signs.spring_darkening",
        |d, i| d.signs.spring_darkening,
        "Whether the slab darkens in spring."
    ),
    one!(
        "signs.darkening_months",
        FieldKind::Months,
        months,
        months_raw,
        |d, i| d.signs.darkening_months,
        "The months in which the slab is dark."
    ),
    yes_no!(
        "signs.lightens_by_late_summer",
        |d, i| d.signs.lightens_by_late_summer,
        "Whether it is light again by late summer."
    ),
    one!(
        "signs.springs_watched",
        FieldKind::Whole,
        whole,
        whole_raw,
        |d, i| d.signs.springs_watched,
        "How many springs the bare concrete was watched."
    ),
    yes_no!(
        "signs.white_deposit",
        |d, i| d.signs.white_deposit,
        "White powder on the concrete."
    ),
    yes_no!(
        "signs.joint_stain",
        |d, i| d.signs.joint_stain,
        "Stains along the joints."
    ),
    yes_no!(
        "signs.damp_crack",
        |d, i| d.signs.damp_crack,
        "Cracks that are damp."
    ),
    yes_no!(
        "signs.damp_lower_wall",
        |d, i| d.signs.damp_lower_wall,
        "Damp at the foot of the walls."
    ),
    yes_no!(
        "signs.rusty_posts",
        |d, i| d.signs.rusty_posts,
        "Rust at the foot of steel posts."
    ),
    yes_no!(
        "signs.musty_smell",
        |d, i| d.signs.musty_smell,
        "A musty smell."
    ),
    yes_no!(
        "signs.sweats_in_summer",
        |d, i| d.signs.sweats_in_summer,
        "Water beads on the floor in summer."
    ),
    words!(
        "signs.water_now",
        WaterNow,
        |d, i| d.signs.water_now,
        "Water on the floor at the visit."
    ),
    words!(
        "air.dehumidifier",
        Dehumidifier,
        |d, i| d.air.dehumidifier,
        "A machine that dries the air."
    ),
    date!(
        "air.dehumidifier_since",
        |d, i| d.air.dehumidifier_since,
        "The day the dehumidifier was started."
    ),
    yes_no!(
        "air.runs_after",
        |d, i| d.air.runs_after,
        "Whether it keeps running after the floor is coated."
    ),
    measured!("air.dehumidifier_capacity_l_day", LitersPerDay, per 1.0, |d, i| d.air.dehumidifier_capacity,
        "Liters a day that the dehumidifier takes out."),
    with_unit!("air.dehumidifier_capacity", saved as "air.dehumidifier_capacity_l_day", LitersPerDay, per 1.0,
        volume_per_day_from_text, "L", "\"30 pints\" or \"14L\"", |d, i| d.air.dehumidifier_capacity,
        "What the dehumidifier takes out in a day, with its unit."),
    one!(
        "air.dehumidifier_setting",
        FieldKind::Humidity,
        humidity,
        humidity_raw,
        |d, i| d.air.dehumidifier_setting,
        "The humidity the dehumidifier is set to."
    ),
    yes_no!(
        "air.air_conditioned",
        |d, i| d.air.air_conditioned,
        "Whether the house is cooled in summer."
    ),
    yes_no!(
        "air.heated",
        |d, i| d.air.heated,
        "Whether the room is heated in winter."
    ),
    measured!("air.temp_c", Celsius, per 1.0, |d, i| d.air.temp, "The room's temperature in °C."),
    with_unit!("air.temp", saved as "air.temp_c", Celsius, per 1.0, celsius_from_text, "C", "\"67F\" or \"19.5C\"",
        |d, i| d.air.temp, "The room's temperature with its unit."),
    one!(
        "air.relative_humidity",
        FieldKind::Humidity,
        humidity,
        humidity_raw,
        |d, i| d.air.relative_humidity,
        "The room's relative humidity."
    ),
    measured!("air.slab_temp_c", Celsius, per 1.0, |d, i| d.air.slab_temp, "The slab's surface temperature in °C."),
    with_unit!("air.slab_temp", saved as "air.slab_temp_c", Celsius, per 1.0, celsius_from_text, "C",
        "\"62F\" or \"16.5C\"", |d, i| d.air.slab_temp, "The slab's surface temperature with its unit."),
    date!(
        "reading.date",
        |d, i| d.readings[i].date,
        "The day of the reading."
    ),
    words!(
        "reading.kind",
        ReadingKind,
        |d, i| d.readings[i].kind,
        "How the reading was taken."
    ),
    one!(
        "reading.value",
        FieldKind::ReadingValue,
        any_value,
        untouched,
        |d, i| d.readings[i].value,
        "What the reading said."
    ),
    words!(
        "reading.scale",
        MeterScale,
        |d, i| d.readings[i].scale,
        "The scale the meter was on."
    ),
    text!(
        "reading.meter_id",
        |d, i| d.readings[i].meter_id,
        "Which meter it was."
    ),
    yes_no!(
        "reading.meter_checked",
        |d, i| d.readings[i].meter_checked,
        "Whether the meter was checked on its test block."
    ),
    text!(
        "reading.spot",
        |d, i| d.readings[i].spot,
        "A name for the spot."
    ),
    measured!("reading.wall_distance_m", Meters, per 1.0, |d, i| d.readings[i].wall_distance,
        "Meters to the nearest outside wall."),
    with_unit!("reading.wall_distance", saved as "reading.wall_distance_m", Meters, per 1.0, length_from_text, "m",
        "\"8ft\" or \"2.5m\"", |d, i| d.readings[i].wall_distance, "How far the nearest outside wall is, with its unit."),
    measured!("reading.x_m", Meters, per 1.0, |d, i| d.readings[i].x, "Meters from the left wall on the sketch."),
    with_unit!("reading.x", saved as "reading.x_m", Meters, per 1.0, length_from_text, "m", "\"8ft\" or \"2.5m\"",
        |d, i| d.readings[i].x, "How far from the left wall on the sketch, with its unit."),
    measured!("reading.y_m", Meters, per 1.0, |d, i| d.readings[i].y, "Meters from the lower wall on the sketch."),
    with_unit!("reading.y", saved as "reading.y_m", Meters, per 1.0, length_from_text, "m", "\"8ft\" or \"2.5m\"",
        |d, i| d.readings[i].y, "How far from the lower wall on the sketch, with its unit."),
    Field {
        path: "reading.withdrawn",
        about: "Kept and printed, not used.",
        kind: FieldKind::YesNo,
        saved_as: None,
        set: |draft, at, given| {
            draft.readings[at].withdrawn = given.map(yes_no).transpose()?.unwrap_or(false);
            Ok(())
        },
        get: |draft, at| draft.readings[at].withdrawn.then_some(Raw::Bool(true)),
    },
    number!(
        "limit.meter_percent",
        |d, i| d.limit.meter_percent,
        "The highest meter reading the data sheet allows."
    ),
    one!(
        "limit.probe_rh",
        FieldKind::ProbePercent,
        probe_percent,
        probe_percent_raw,
        |d, i| d.limit.probe,
        "The highest humidity at 40 % depth that the data sheet allows, in percent."
    ),
    number!(
        "limit.calcium_chloride_lb",
        |d, i| d.limit.calcium_chloride_lb,
        "The highest flux the data sheet allows, in pounds per 1000 square feet and 24 hours."
    ),
    text!(
        "limit.source",
        |d, i| d.limit.source,
        "Where the limits come from."
    ),
];

/// The version of visit file that is read and written.
const VERSION: i64 = 1;

/// The field at a path, with or without the number of a reading in it.
pub fn field(path: &str) -> Option<&'static Field> {
    locate(path).map(|(field, _)| field)
}

/// Sets one field of a visit. Empty text takes the answer back, and so does "unknown" or
/// "not sure" in any case. The fields of a reading take its number, from 1:
/// `reading.2.value`; without one it is the first.
///
/// # Errors
///
/// An unknown path names the nearest field. A second spelling of a field that was already set
/// under another name is refused, and the field keeps its first value.
///
/// ```
/// use slabseason::survey::{set_field, Draft, Raw};
/// let mut draft = Draft::default();
/// set_field(&mut draft, "air.temp", &Raw::Text("67F".to_string()))?;
/// assert!((draft.air.temp.unwrap().get() - 19.444).abs() < 1e-3);
/// assert!(set_field(&mut draft, "air.temp_c", &Raw::Float(19.5)).is_err());
/// # Ok::<(), slabseason::survey::FieldError>(())
/// ```
pub fn set_field(visit: &mut Draft, path: &str, raw: &Raw) -> Result<(), FieldError> {
    let (field, at) = locate(path).ok_or_else(|| unknown_field(path))?;
    let saved = indexed(field.saved_path(), at);
    let is_reading = field.table() == "reading";
    let elsewhere = visit
        .spelled
        .get(&saved)
        .filter(|it| it.as_str() != path)
        .cloned();
    if raw.is_unknown() && field.is_needed() {
        return Err(FieldError::NotRead {
            path: path.to_string(),
            given: raw.shown(),
            accepted: field.accepted(),
            todo: "write it, or leave the whole reading or visit out".to_string(),
        });
    }
    if raw.is_unknown() || raw.is_blank() {
        // An empty cell under one name must not wipe out the value given under the other.
        if elsewhere.is_none() && (!is_reading || at < visit.readings.len()) {
            (field.set)(visit, at, None)?;
            visit.spelled.remove(&saved);
        }
        return Ok(());
    }
    if let Some(first) = elsewhere {
        return Err(FieldError::TwoSpellings {
            path: path.to_string(),
            first,
        });
    }
    if is_reading && at >= visit.readings.len() {
        visit.readings.resize(at + 1, ReadingDraft::default());
    }
    (field.set)(visit, at, Some(&Given { path, field, raw }))?;
    visit.spelled.insert(saved, path.to_string());
    Ok(())
}

/// What a field of the visit holds, `None` where nothing is known.
pub fn get_field(visit: &Draft, path: &str) -> Result<Option<Raw>, FieldError> {
    let (field, at) = locate(path).ok_or_else(|| unknown_field(path))?;
    Ok(value_of(visit, field, at))
}

/// The value of a field, for the reading at this place counted from 0.
pub(super) fn value_of(visit: &Draft, field: &Field, at: usize) -> Option<Raw> {
    if field.table() == "reading" && at >= visit.readings.len() {
        return None;
    }
    (field.get)(visit, at)
}

/// The path with the number of the reading in it.
pub(super) fn indexed(path: &str, at: usize) -> String {
    match path.strip_prefix("reading.") {
        Some(leaf) => format!("reading.{}.{leaf}", at + 1),
        None => path.to_string(),
    }
}

fn locate(path: &str) -> Option<(&'static Field, usize)> {
    let find = |wanted: &str| FIELDS.iter().find(|it| it.path == wanted);
    let numbered = path
        .strip_prefix("reading.")
        .and_then(|rest| rest.split_once('.'));
    match numbered {
        Some((number, leaf)) => {
            let plain = number.bytes().all(|it| it.is_ascii_digit()) && !number.starts_with('0');
            let count = number.parse::<usize>().ok().filter(|_| plain)?;
            if count as f64 > range("file.readings").high {
                return None;
            }
            find(&format!("reading.{leaf}")).map(|it| (it, count - 1))
        }
        None => find(path).map(|it| (it, 0)),
    }
}

/// Where a field stands, in words.
fn place_of(table: &str) -> String {
    match table {
        "" => "the top of the file".to_string(),
        "reading" => "[[reading]]".to_string(),
        other => format!("[{other}]"),
    }
}

/// The error for a path that no field has, with the field that was probably meant.
pub fn unknown_field(path: &str) -> FieldError {
    let (table, leaf) = path.rsplit_once('.').unwrap_or(("", path));
    let table = if table.starts_with("reading.") {
        "reading"
    } else {
        table
    };
    FieldError::Unknown {
        path: shortened(path),
        advice: advice(table, leaf),
    }
}

fn advice(table: &str, leaf: &str) -> String {
    if !table.is_empty() && !TABLES.contains(&table) {
        return match nearest(table, TABLES.iter().copied()) {
            Some(near) => format!("did you mean {}?", place_of(near)),
            None => format!(
                "the tables are {}; delete it or move its fields there",
                TABLES.join(", ")
            ),
        };
    }
    let here = || {
        FIELDS
            .iter()
            .filter(|it| it.table() == table)
            .map(Field::leaf)
    };
    if let Some(other) = FIELDS
        .iter()
        .find(|it| it.leaf() == leaf && it.table() != table)
    {
        return format!(
            "`{leaf}` belongs at {}; move it there",
            place_of(other.table())
        );
    }
    let at_top = TABLES.iter().copied().filter(|_| table.is_empty());
    if let Some(near) = nearest(leaf, here().chain(at_top)) {
        return format!("did you mean `{near}`?");
    }
    let all = || FIELDS.iter().map(Field::leaf);
    if let Some(near) = nearest(leaf, all()) {
        let other = FIELDS
            .iter()
            .find(|it| it.leaf() == near)
            .expect("the leaf came from this list");
        return format!("did you mean `{near}` at {}?", place_of(other.table()));
    }
    format!(
        "the fields at {} are {}; delete it or write one of these",
        place_of(table),
        here().collect::<Vec<_>>().join(", ")
    )
}

/// Ten significant digits, so that 4in and 101.6 mm are one number, and a saved file gives
/// back exactly what was read. No one measures a floor to a part in ten billion.
pub(super) fn tidy(value: f64) -> f64 {
    // Adding zero turns minus zero into zero, which has no other way to be written.
    format!("{value:.9e}")
        .parse::<f64>()
        .expect("a printed number can be read again")
        + 0.0
}

fn float(value: f64) -> Raw {
    Raw::Float(value + 0.0)
}

fn untouched(raw: Raw) -> Raw {
    raw
}

/// Lower case, with spaces and hyphens as the underscore of the words.
fn word_form(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-'], "_")
}

/// For messages: no line breaks, no control characters, not too long.
pub(super) fn shortened(text: &str) -> String {
    const LONGEST: usize = 40;
    let mut res: String = text.chars().take(LONGEST).flat_map(printable).collect();
    if text.chars().nth(LONGEST).is_some() {
        res.push_str("...");
    }
    res
}

fn printable(it: char) -> Vec<char> {
    if is_refused(it) {
        it.escape_default().collect()
    } else {
        vec![it]
    }
}

/// Control characters, and the marks that turn the direction of what follows: both can make
/// a report show something else than the file says.
pub(super) fn is_refused(it: char) -> bool {
    it.is_control()
        || matches!(it, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A TOML string in double quotes.
fn quoted(text: &str) -> String {
    let mut res = String::from("\"");
    for it in text.chars() {
        match it {
            '"' => res.push_str("\\\""),
            '\\' => res.push_str("\\\\"),
            it if is_refused(it) => res.push_str(&format!("\\u{:04X}", u32::from(it))),
            it => res.push(it),
        }
    }
    res.push('"');
    res
}

impl Given<'_> {
    fn not_read(&self, todo: String) -> FieldError {
        FieldError::NotRead {
            path: self.path.to_string(),
            given: self.raw.shown(),
            accepted: self.field.accepted(),
            todo,
        }
    }

    fn out_of_range(&self, accepted: String, todo: String) -> FieldError {
        FieldError::OutOfRange {
            path: self.path.to_string(),
            given: self.raw.shown(),
            accepted,
            todo,
        }
    }

    fn units(&self, error: UnitsError) -> FieldError {
        FieldError::Units {
            path: self.path.to_string(),
            error,
        }
    }
}

/// What to do where nothing better can be said.
fn or_unknown() -> String {
    "mend it, or write \"unknown\"".to_string()
}

fn version(given: &Given) -> Result<(), FieldError> {
    match whole::<i64>(given) {
        Ok(VERSION) => Ok(()),
        _ => Err(given.not_read(
            "write visit_version = 1, or use the program that wrote the file".to_string(),
        )),
    }
}

fn yes_no(given: &Given) -> Result<bool, FieldError> {
    match given.raw {
        Raw::Bool(it) => Some(*it),
        Raw::Text(it) => match it.trim().to_lowercase().as_str() {
            "true" | "yes" | "y" => Some(true),
            "false" | "no" | "n" => Some(false),
            _ => None,
        },
        _ => None,
    }
    .ok_or_else(|| given.not_read(or_unknown()))
}

fn word<T>(
    given: &Given,
    words: &[&'static str],
    from_word: fn(&str) -> Option<T>,
) -> Result<T, FieldError> {
    let form = match given.raw {
        Raw::Text(it) => word_form(it),
        // A few questions are "yes" or "no" with a third word between.
        Raw::Bool(it) => if *it { "yes" } else { "no" }.to_string(),
        _ => return Err(given.not_read(or_unknown())),
    };
    from_word(&form).ok_or_else(|| {
        given.not_read(match nearest(&form, words.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => "write one of these, or \"unknown\"".to_string(),
        })
    })
}

fn date(given: &Given) -> Result<NaiveDate, FieldError> {
    let res = match given.raw {
        Raw::Date(it) => Some(*it),
        Raw::Text(it) => date_from_text(it.trim()),
        _ => None,
    };
    let res = res.ok_or_else(|| given.not_read("write year-month-day".to_string()))?;
    let years = range(if given.field.path == "floor.placed_date" {
        "floor.year_built"
    } else {
        "date.year"
    });
    if !years.contains(f64::from(res.year())) {
        return Err(given.out_of_range(years.accepted(), "check the year".to_string()));
    }
    Ok(res)
}

fn date_from_text(text: &str) -> Option<NaiveDate> {
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts[..] else {
        return None;
    };
    let all_digits = parts
        .iter()
        .all(|it| !it.is_empty() && it.bytes().all(|byte| byte.is_ascii_digit()));
    if !all_digits || year.len() != 4 || month.len() > 2 || day.len() > 2 {
        return None;
    }
    NaiveDate::from_ymd_opt(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
}

fn text(given: &Given) -> Result<String, FieldError> {
    let res = match given.raw {
        Raw::Text(it) => it.trim().to_string(),
        // Spreadsheets and people write a job number or a spot without quotes.
        Raw::Integer(it) => it.to_string(),
        _ => return Err(given.not_read("write it in quotes".to_string())),
    };
    let count = res.chars().count();
    let fault = |what: String, todo| FieldError::Text {
        path: given.path.to_string(),
        what,
        accepted: given.field.accepted(),
        todo,
    };
    if count as f64 > range("text.characters").high {
        return Err(fault(format!("has {count} characters"), "shorten it"));
    }
    match res.chars().find(|it| is_refused(*it)) {
        Some(it) => Err(fault(
            format!("holds the control character U+{:04X}", u32::from(it)),
            "delete that character",
        )),
        None => Ok(res),
    }
}

fn postal(given: &Given) -> Result<String, FieldError> {
    let in_quotes = || "write it in quotes, with its leading zeros".to_string();
    let code = match given.raw {
        Raw::Text(it) => it.trim().to_uppercase(),
        Raw::Integer(it) if (10_000..=99_999).contains(it) => it.to_string(),
        _ => return Err(given.not_read(in_quotes())),
    };
    let digits_only = code.bytes().all(|it| it.is_ascii_digit());
    if digits_only && code.len() == 4 {
        return Err(given.not_read(format!("a leading zero may be lost: write \"0{code}\"")));
    }
    let plain = code
        .chars()
        .all(|it| it.is_ascii_alphanumeric() || matches!(it, ' ' | '-'));
    if !plain || !(3..=10).contains(&code.len()) {
        return Err(given.not_read(in_quotes()));
    }
    Ok(code)
}

fn station(given: &Given) -> Result<String, FieldError> {
    match given.raw {
        Raw::Text(it) => Some(it.trim().to_uppercase()),
        _ => None,
    }
    .filter(|it| {
        it.len() <= 20
            && it
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
    })
    .ok_or_else(|| given.not_read("write the id of a station of the climate table".to_string()))
}

/// The number as given, finite, before any range.
pub(super) fn number_of(raw: &Raw) -> Option<f64> {
    match raw {
        Raw::Integer(it) => Some(*it as f64),
        Raw::Float(it) => Some(*it),
        Raw::Text(it) => it.trim().parse::<f64>().ok(),
        _ => None,
    }
    .filter(|it| it.is_finite())
}

fn number(given: &Given) -> Result<f64, FieldError> {
    let value = number_of(given.raw).ok_or_else(|| {
        let other = FIELDS
            .iter()
            .find(|it| it.saved_as == Some(given.field.path));
        given.not_read(match (other, given.raw) {
            (Some(other), Raw::Text(it)) => format!(
                "with a unit behind it write {} = \"{}\"",
                other.leaf(),
                shortened(it)
            ),
            _ => or_unknown(),
        })
    })?;
    in_range(given, value)?;
    Ok(value + 0.0)
}

/// Refuses a value outside the row of the limits table, in the unit it is saved in.
fn in_range(given: &Given, value: f64) -> Result<(), FieldError> {
    let limits = range(given.field.saved_path());
    if limits.contains(value) {
        return Ok(());
    }
    Err(given.out_of_range(limits.accepted(), range_hint(given, value)))
}

/// What was probably meant by a number that is out of range.
fn range_hint(given: &Given, value: f64) -> String {
    let saved = given.field.saved_path();
    let limits = range(saved);
    match saved {
        "air.temp_c" | "air.slab_temp_c"
            if value > limits.high && limits.contains((value - 32.0) / 1.8) =>
        {
            let leaf = if saved == "air.temp_c" {
                "temp"
            } else {
                "slab_temp"
            };
            format!("if you meant °F, write {leaf} = \"{value}F\"")
        }
        "floor.thickness_mm" if limits.contains(value * 25.4) => {
            format!("if you meant inches, write thickness = \"{value}in\"")
        }
        "elevation_m" if value < 0.0 => "for a place below the sea write 0".to_string(),
        "latitude" | "longitude" => "check the number".to_string(),
        _ => or_unknown(),
    }
}

fn whole<T: TryFrom<i64>>(given: &Given) -> Result<T, FieldError> {
    let value = match given.raw {
        Raw::Integer(it) => Some(*it),
        other => number_of(other)
            .filter(|it| it.fract() == 0.0 && it.abs() < 1e15)
            .map(|it| it as i64),
    };
    let value = value.ok_or_else(|| given.not_read(or_unknown()))?;
    if given.field.kind == FieldKind::Whole {
        in_range(given, value as f64)?;
    }
    T::try_from(value).map_err(|_| given.not_read(or_unknown()))
}

fn whole_raw<T: Into<i64>>(value: T) -> Raw {
    Raw::Integer(value.into())
}

/// The first three letters of the English names, in order.
const MONTHS: [&str; 12] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
];

fn months(given: &Given) -> Result<Vec<u32>, FieldError> {
    let items = match given.raw {
        Raw::List(items) => items.clone(),
        Raw::Text(it) => it
            .split([',', ';', ' '])
            .filter(|it| !it.is_empty())
            .map(|it| Raw::Text(it.to_string()))
            .collect(),
        other => vec![other.clone()],
    };
    let limits = range("signs.darkening_months");
    let mut res = Vec::new();
    for it in &items {
        let month = match it {
            Raw::Integer(it) => Some(*it as f64),
            Raw::Text(it) => {
                let lower = it.trim().to_lowercase();
                let by_name = MONTHS.iter().position(|name| lower.starts_with(name));
                by_name
                    .map(|at| at as f64 + 1.0)
                    .or_else(|| lower.parse().ok())
            }
            _ => None,
        };
        let month = month
            .filter(|it| it.fract() == 0.0)
            .ok_or_else(|| given.not_read(or_unknown()))?;
        if !limits.contains(month) {
            return Err(given.out_of_range(
                limits.accepted(),
                "write 1 for January to 12 for December".to_string(),
            ));
        }
        res.push(month as u32);
    }
    res.sort_unstable();
    res.dedup();
    Ok(res)
}

fn months_raw(months: Vec<u32>) -> Raw {
    Raw::List(months.into_iter().map(whole_raw).collect())
}

fn humidity(given: &Given) -> Result<RelHumidity, FieldError> {
    let res = match given.raw {
        Raw::Text(it) => humidity_from_text(it),
        other => {
            let value = number_of(other).ok_or_else(|| given.not_read(or_unknown()))?;
            // The text reader knows the hint for percent; a shortest form loses no digit.
            humidity_from_text(&value.to_string())
        }
    };
    let value = res.map_err(|it| given.units(it))?.get();
    in_range(given, value)?;
    RelHumidity::new(tidy(value)).map_err(|it| given.units(it))
}

fn humidity_raw(humidity: RelHumidity) -> Raw {
    float(tidy(humidity.get()))
}

/// The percent of a probe, with or without its sign; a fraction is refused, not guessed at.
pub(super) fn probe_humidity(path: &str, key: &str, raw: &Raw) -> Result<RelHumidity, FieldError> {
    let limits = range(key);
    let given = || raw.shown();
    let percent = percent_of(raw).ok_or_else(|| FieldError::NotRead {
        path: path.to_string(),
        given: given(),
        accepted: PROBE_ACCEPTED.to_string(),
        todo: "write the number".to_string(),
    })?;
    let is_fraction = percent > 0.0 && percent <= 1.0;
    if is_fraction || !limits.contains(percent) {
        let todo = if is_fraction {
            "percent RH: write 85, not 0.85"
        } else {
            "check the number"
        };
        return Err(FieldError::OutOfRange {
            path: path.to_string(),
            given: given(),
            accepted: limits.accepted(),
            todo: todo.to_string(),
        });
    }
    RelHumidity::new(tidy(percent / 100.0)).map_err(|error| FieldError::Units {
        path: path.to_string(),
        error,
    })
}

/// What a probe's percent is read from, in a limit and in a reading.
const PROBE_ACCEPTED: &str = "percent RH such as 85";

/// A number, or text with a percent sign behind it.
pub(super) fn percent_of(raw: &Raw) -> Option<f64> {
    match raw {
        Raw::Text(it) => number_of(&Raw::Text(it.trim().trim_end_matches('%').to_string())),
        other => number_of(other),
    }
}

fn probe_percent(given: &Given) -> Result<RelHumidity, FieldError> {
    probe_humidity(given.path, given.field.path, given.raw)
}

fn probe_percent_raw(humidity: RelHumidity) -> Raw {
    float(tidy(humidity.percent()))
}

fn plain_quantity<T>(
    given: &Given,
    per: f64,
    new: fn(f64) -> Result<T, UnitsError>,
) -> Result<T, FieldError> {
    let value = number(given)?;
    new(tidy(value / per)).map_err(|it| given.units(it))
}

fn quantity_with_unit<T>(
    given: &Given,
    per: f64,
    from_text: UnitText<T>,
    get: fn(T) -> f64,
    new: fn(f64) -> Result<T, UnitsError>,
) -> Result<T, FieldError> {
    let no_unit = || FieldError::NoUnit {
        path: given.path.to_string(),
        given: given.raw.shown(),
        accepted: given.field.accepted(),
    };
    let value = match given.raw {
        Raw::Text(it) if number_of(given.raw).is_some() || it.trim().is_empty() => {
            return Err(no_unit());
        }
        Raw::Integer(_) | Raw::Float(_) => return Err(no_unit()),
        Raw::Text(it) => get(from_text(it).map_err(|error| given.units(error))?),
        _ => return Err(given.not_read(or_unknown())),
    };
    in_range(given, tidy(value * per))?;
    new(tidy(value)).map_err(|it| given.units(it))
}

/// What a reading said, kept until its kind is known.
fn any_value(given: &Given) -> Result<Raw, FieldError> {
    match given.raw {
        Raw::Bool(_) | Raw::Integer(_) | Raw::Text(_) => Ok(given.raw.clone()),
        Raw::Float(it) if it.is_finite() => Ok(given.raw.clone()),
        _ => Err(given.not_read("write what the instrument showed".to_string())),
    }
}

pub(super) fn shown(raw: &Raw) -> String {
    raw.shown()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn paths_of_readings_are_numbered_from_one() {
        assert_eq!(indexed("reading.value", 1), "reading.2.value");
        assert_eq!(indexed("floor.area_m2", 1), "floor.area_m2");
        assert_eq!(
            locate("reading.2.value").map(|(field, at)| (field.path, at)),
            Some(("reading.value", 1))
        );
        assert_eq!(
            locate("reading.value").map(|(field, at)| (field.path, at)),
            Some(("reading.value", 0))
        );
        for path in [
            "reading.0.value",
            "reading.+1.value",
            "reading..value",
            "reading.2.2.value",
            "floor.1.setting",
        ] {
            assert!(locate(path).is_none(), "{path}");
        }
    }

    #[test]
    fn messages_stay_short_and_on_one_line() {
        assert_eq!(shortened("a\nb\u{202e}"), "a\\nb\\u{202e}");
        assert_eq!(shortened(&"x".repeat(41)), format!("{}...", "x".repeat(40)));
    }

    #[test]
    fn minus_zero_is_zero() {
        assert!(tidy(-0.0).is_sign_positive());
        assert_eq!(float(-0.0).to_toml(), "0");
    }

    proptest! {
        /// The law that saving rests on: millimeters, percent and back give the same bits.
        #[test]
        fn tidy_numbers_survive_another_unit(value in -1.0e5..1.0e5f64) {
            let kept = tidy(value);
            prop_assert!((kept - value).abs() <= 1e-9 * value.abs());
            prop_assert_eq!(tidy(kept), kept);
            for per in [1.0, 100.0, 1_000.0] {
                prop_assert_eq!(tidy(tidy(kept * per) / per), kept);
            }
        }
    }
}
