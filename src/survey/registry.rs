//! The registry of fields: what files, tables, the interview and the page go through.

use super::declared::declare_answers;
use super::field::{Field, FieldKind, ModelQuestion, Moves, YesNo};
use super::raw::{Raw, float, tidy, untouched};
use super::values::*;
use super::visit::*;
use crate::units::{
    Celsius, LitersPerDay, Meters, RainPercent, SquareMeters, area_from_text, celsius_from_text,
    length_from_text, rain_percent_from_text, volume_per_day_from_text,
};
use std::sync::LazyLock;

/// The tables of the visit file, in its order.
pub(super) const TABLES: &[&str] = &[
    "floor", "lot", "signs", "air", "weather", "reading", "limit",
];

/// How an answer moves the chance.
macro_rules! moves {
    () => {
        Moves::Nothing
    };
    (weak) => {
        Moves::Weak
    };
    (answers $question:ident) => {
        Moves::Main(ModelQuestion::$question)
    };
    (part of $question:ident) => {
        Moves::PartOf(ModelQuestion::$question)
    };
}

/// The entries of one declaration: one, or two where a unit may stand behind the number.
macro_rules! entries {
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; words $type:ident) => {
        entries!($out, $path, $about, |$d, $i| $place; one FieldKind::Words($type::WORDS),
            |it| word(it, $type::WORDS, $type::from_word),
            |it: $type| Raw::Text(it.word().to_string()))
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; yes_no) => {
        entries!($out, $path, $about, |$d, $i| $place; one FieldKind::YesNo, yes_no, Raw::Bool)
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; date) => {
        entries!($out, $path, $about, |$d, $i| $place; one FieldKind::Date, date, Raw::Date)
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; text) => {
        entries!($out, $path, $about, |$d, $i| $place; one FieldKind::Text, text, Raw::Text)
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; number) => {
        entries!($out, $path, $about, |$d, $i| $place; one FieldKind::Number, number, float)
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; whole $type:ident) => {
        entries!($out, $path, $about, |$d, $i| $place; one FieldKind::Whole, whole, whole_raw)
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; months) => {
        entries!($out, $path, $about, |$d, $i| $place; one FieldKind::Months, months, months_raw)
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; weather_months) => {
        entries!($out, $path, $about, |$d, $i| $place;
            one FieldKind::WeatherMonths, weather_months, weather_months_raw)
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; humidity) => {
        entries!($out, $path, $about, |$d, $i| $place; one FieldKind::Humidity, humidity, humidity_raw)
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; probe_percent) => {
        entries!($out, concat!($path, "_rh"), $about, |$d, $i| $place;
            one FieldKind::ProbePercent, probe_percent, probe_percent_raw)
    };
    // Saved as a plain number with the unit in its name, or typed with its unit behind it.
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr;
     measured $type:ident as $suffix:literal per $per:literal by $text:ident in $unit:literal such as $examples:literal) => {
        $out.push(Field {
            with_unit: Some($path),
            ..entries!(@one concat!($path, $suffix), $about, |$d, $i| $place, FieldKind::Number,
                |it| plain_quantity(it, $per, $type::new),
                |it: $type| float(tidy(it.get() * $per)))
        });
        $out.push(Field {
            saved_as: Some(concat!($path, $suffix)),
            ..entries!(@one $path, $about, |$d, $i| $place, FieldKind::WithUnit($examples),
                |it| quantity_with_unit(it, $per, $text, $type::get, $type::new),
                |it: $type| Raw::Text(format!("{}{}", tidy(it.get()), $unit)))
        })
    };
    ($out:ident, $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr; one $kind:expr, $read:expr, $write:expr) => {
        $out.push(entries!(@one $path, $about, |$d, $i| $place, $kind, $read, $write))
    };
    (@one $path:expr, $about:expr, |$d:ident, $i:ident| $place:expr, $kind:expr, $read:expr, $write:expr) => {
        Field {
            path: $path,
            about: $about.trim(),
            kind: $kind,
            saved_as: None,
            with_unit: None,
            moves: Moves::Nothing,
            yes_no: None,
            forget: None,
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

/// Where a yes or no of the visit is kept.
macro_rules! yes_no_at {
    ($table:ident, $name:ident, yes_no) => {
        Some(YesNo {
            get: |it| it.$table.$name,
            at: |it| &mut it.$table.$name,
        })
    };
    ($table:ident, $name:ident, $($other:tt)+) => {
        None
    };
}

/// The entries of a part of the visit.
macro_rules! entries_of {
    ($(#[$doc:meta])* $table:ident: $part:ident, $entries:ident {
        $($(#[doc = $about:literal])+ $name:ident: $kind:ident $(($($arg:tt)+))? $(=> $($moves:ident)+)?;)+
    }) => {
        fn $entries(fields: &mut Vec<Field>) {
            $(
                let first = fields.len();
                entries!(fields, concat!(stringify!($table), ".", stringify!($name)), concat!($($about),+),
                    |draft, at| draft.$table.$name; $kind $($($arg)+)?);
                for it in &mut fields[first..] {
                    it.moves = moves!($($($moves)+)?);
                    it.yes_no = yes_no_at!($table, $name, $kind $($($arg)+)?);
                    it.forget = Some(|visit| visit.$table.$name = None);
                }
            )+
        }
    };
}

declare_answers!(entries_of);

/// The top of the file: the day, the place and who answers.
fn top_fields(fields: &mut Vec<Field>) {
    fields.push(Field {
        path: "visit_version",
        about: "The version of the visit file.",
        kind: FieldKind::Version,
        saved_as: None,
        with_unit: None,
        moves: Moves::Nothing,
        yes_no: None,
        forget: None,
        set: |_, _, given| given.map_or(Ok(()), version),
        get: |_, _| Some(Raw::Integer(VERSION)),
    });
    entries!(fields, "visit_date", "The day of the visit.", |d, i| d.visit_date; date);
    entries!(fields, "label", "A job number or another name for the visit that is not a person.",
        |d, i| d.label; text);
    entries!(fields, "answered_by", "Who gave the answers.", |d, i| d.answered_by; words AnsweredBy);
    entries!(fields, "postal", "The postal code of the house.", |d, i| d.postal;
        one FieldKind::Postal, postal, Raw::Text);
    entries!(fields, "latitude", "Degrees north of the equator.", |d, i| d.latitude; number);
    entries!(fields, "longitude", "Degrees east of Greenwich; west is negative.", |d, i| d.longitude; number);
    entries!(fields, "elevation", "Height above the sea, in meters in the file.", |d, i| d.elevation;
        measured Meters as "_m" per 1.0 by length_from_text in "m" such as "\"350ft\" or \"110m\"");
    entries!(fields, "station", "The weather station to use.", |d, i| d.station;
        one FieldKind::Station, station, Raw::Text);
}

/// One reading at one spot.
fn reading_fields(fields: &mut Vec<Field>) {
    entries!(fields, "reading.date", "The day of the reading.", |d, i| d.readings[i].date; date);
    entries!(fields, "reading.kind", "How the reading was taken.", |d, i| d.readings[i].kind; words ReadingKind);
    entries!(fields, "reading.value", "What the reading said.", |d, i| d.readings[i].value;
        one FieldKind::ReadingValue, any_value, untouched);
    entries!(fields, "reading.scale", "The scale the meter was on.", |d, i| d.readings[i].scale; words MeterScale);
    entries!(fields, "reading.meter_id", "Which meter it was.", |d, i| d.readings[i].meter_id; text);
    entries!(fields, "reading.meter_checked", "Whether the meter was checked on its test block.",
        |d, i| d.readings[i].meter_checked; yes_no);
    entries!(fields, "reading.spot", "A name for the spot.", |d, i| d.readings[i].spot; text);
    entries!(fields, "reading.wall_distance", "How far the nearest outside wall is, in meters in the file.",
        |d, i| d.readings[i].wall_distance;
        measured Meters as "_m" per 1.0 by length_from_text in "m" such as "\"8ft\" or \"2.5m\"");
    entries!(fields, "reading.x", "How far the left wall of the sketch is, in meters in the file.",
        |d, i| d.readings[i].x;
        measured Meters as "_m" per 1.0 by length_from_text in "m" such as "\"8ft\" or \"2.5m\"");
    entries!(fields, "reading.y", "How far the lower wall of the sketch is, in meters in the file.",
        |d, i| d.readings[i].y;
        measured Meters as "_m" per 1.0 by length_from_text in "m" such as "\"8ft\" or \"2.5m\"");
    fields.push(Field {
        path: "reading.withdrawn",
        about: "Kept and printed, not used.",
        kind: FieldKind::YesNo,
        saved_as: None,
        with_unit: None,
        moves: Moves::Nothing,
        yes_no: None,
        forget: None,
        set: |draft, at, given| {
            draft.readings[at].withdrawn = given.map(yes_no).transpose()?.unwrap_or(false);
            Ok(())
        },
        get: |draft, at| draft.readings[at].withdrawn.then_some(Raw::Bool(true)),
    });
}

/// Every field, in the order in which a visit is saved.
pub static FIELDS: LazyLock<Vec<Field>> = LazyLock::new(|| {
    let mut fields = Vec::new();
    top_fields(&mut fields);
    floor_fields(&mut fields);
    lot_fields(&mut fields);
    sign_fields(&mut fields);
    air_fields(&mut fields);
    weather_fields(&mut fields);
    reading_fields(&mut fields);
    limit_fields(&mut fields);
    fields
});
