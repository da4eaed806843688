//! How a value that was given becomes an answer: one reader for each kind of field.

use super::dates::month_from_name;
use super::errors::FieldError;
use super::field::{FieldKind, Given, PROBE_ACCEPTED, or_unknown};
use super::limits::range;
use super::nearest::nearest;
use super::raw::{Raw, float, is_refused, number_of, percent_of, shortened, tidy, word_form};
use super::visit::*;
use super::weather::{month_text, months_in};
use crate::climate::missing_digit;
use crate::units::{RelHumidity, UnitText, UnitsError, humidity_from_text};
use chrono::{Datelike, NaiveDate};

/// The version of visit file that is read and written.
pub(super) const VERSION: i64 = 1;

pub(super) fn version(given: &Given) -> Result<(), FieldError> {
    match whole::<i64>(given) {
        Ok(VERSION) => Ok(()),
        _ => Err(given.not_read(
            "write visit_version = 1, or use the program that wrote the file".to_string(),
        )),
    }
}

pub(super) fn yes_no(given: &Given) -> Result<bool, FieldError> {
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

pub(super) fn word<T>(
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

pub(super) fn date(given: &Given) -> Result<NaiveDate, FieldError> {
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

pub(super) fn date_from_text(text: &str) -> Option<NaiveDate> {
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

pub(super) fn text(given: &Given) -> Result<String, FieldError> {
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

pub(super) fn postal(given: &Given) -> Result<String, FieldError> {
    let in_quotes = || "write it in quotes, with its leading zeros".to_string();
    let code = match given.raw {
        Raw::Text(it) => it.trim().to_uppercase(),
        Raw::Integer(it) if (10_000..=99_999).contains(it) => it.to_string(),
        _ => return Err(given.not_read(in_quotes())),
    };
    let digits_only = code.bytes().all(|it| it.is_ascii_digit());
    if digits_only && code.len() == 4 {
        return Err(given.not_read(missing_digit(&code)));
    }
    let plain = code
        .chars()
        .all(|it| it.is_ascii_alphanumeric() || matches!(it, ' ' | '-'));
    if !plain || !(3..=10).contains(&code.len()) {
        return Err(given.not_read(in_quotes()));
    }
    Ok(code)
}

pub(super) fn station(given: &Given) -> Result<String, FieldError> {
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

pub(super) fn number(given: &Given) -> Result<f64, FieldError> {
    // "5%" where percent is what the field holds.
    let is_percent = range(given.field.saved_path()).unit.starts_with('%');
    let read = if is_percent {
        percent_of(given.raw)
    } else {
        number_of(given.raw)
    };
    let value = read.ok_or_else(|| {
        given.not_read(match (given.field.with_unit, given.raw) {
            (Some(other), Raw::Text(it)) => format!(
                "with a unit behind it write {} = \"{}\"",
                other.rsplit_once('.').map_or(other, |(_, leaf)| leaf),
                shortened(it)
            ),
            _ => or_unknown(),
        })
    })?;
    in_range(given, value)?;
    Ok(value + 0.0)
}

/// Refuses a value outside the row of the limits table, in the unit it is saved in.
pub(super) fn in_range(given: &Given, value: f64) -> Result<(), FieldError> {
    let limits = range(given.field.saved_path());
    if limits.contains(value) {
        return Ok(());
    }
    Err(given.out_of_range(limits.accepted(), range_hint(given, value)))
}

/// What was probably meant by a number that is out of range.
pub(super) fn range_hint(given: &Given, value: f64) -> String {
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

pub(super) fn whole<T: TryFrom<i64>>(given: &Given) -> Result<T, FieldError> {
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

pub(super) fn whole_raw<T: Into<i64>>(value: T) -> Raw {
    Raw::Integer(value.into())
}

pub(super) fn months(given: &Given) -> Result<Vec<u32>, FieldError> {
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
                let by_name = month_from_name(it).map(f64::from);
                by_name.or_else(|| it.trim().parse().ok())
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

pub(super) fn months_raw(months: Vec<u32>) -> Raw {
    Raw::List(months.into_iter().map(whole_raw).collect())
}

/// Months with their weather, one text each; a cell of a table has semicolons between them.
pub(super) fn weather_months(given: &Given) -> Result<Vec<MonthHad>, FieldError> {
    let lines: Option<Vec<&str>> = match given.raw {
        Raw::List(items) => items
            .iter()
            .map(|it| match it {
                Raw::Text(it) => Some(it.as_str()),
                _ => None,
            })
            .collect(),
        Raw::Text(it) => Some(it.split(';').collect()),
        _ => None,
    };
    let lines = lines.ok_or_else(|| given.not_read(or_unknown()))?;
    months_in(lines).map_err(|todo| given.not_read(todo))
}

pub(super) fn weather_months_raw(months: Vec<MonthHad>) -> Raw {
    Raw::List(months.iter().map(|it| Raw::Text(month_text(it))).collect())
}

pub(super) fn humidity(given: &Given) -> Result<RelHumidity, FieldError> {
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

pub(super) fn humidity_raw(humidity: RelHumidity) -> Raw {
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

pub(super) fn probe_percent(given: &Given) -> Result<RelHumidity, FieldError> {
    probe_humidity(given.path, given.field.path, given.raw)
}

pub(super) fn probe_percent_raw(humidity: RelHumidity) -> Raw {
    float(tidy(humidity.percent()))
}

pub(super) fn plain_quantity<T>(
    given: &Given,
    per: f64,
    new: fn(f64) -> Result<T, UnitsError>,
) -> Result<T, FieldError> {
    let value = number(given)?;
    new(tidy(value / per)).map_err(|it| given.units(it))
}

pub(super) fn quantity_with_unit<T>(
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
pub(super) fn any_value(given: &Given) -> Result<Raw, FieldError> {
    match given.raw {
        Raw::Bool(_) | Raw::Integer(_) | Raw::Text(_) => Ok(given.raw.clone()),
        Raw::Float(it) if it.is_finite() => Ok(given.raw.clone()),
        _ => Err(given.not_read("write what the instrument showed".to_string())),
    }
}

/// What a reading said, now that its kind and scale are known.
pub(super) fn reading_value(
    path: &str,
    kind: ReadingKind,
    scale: Option<MeterScale>,
    raw: &Raw,
) -> Result<ReadingValue, FieldError> {
    let not_read = |accepted: &str| FieldError::NotRead {
        path: path.to_string(),
        given: raw.shown(),
        accepted: format!("{accepted} for kind = \"{}\"", kind.word()),
        todo: "write what the instrument showed".to_string(),
    };
    let checked = |value: Option<f64>, key: &str, todo: &str, accepted: &str| {
        let limits = range(key);
        let value = value.ok_or_else(|| not_read(accepted))?;
        if limits.contains(value) {
            return Ok(value + 0.0);
        }
        Err(FieldError::OutOfRange {
            path: path.to_string(),
            given: raw.shown(),
            accepted: limits.accepted(),
            todo: todo.to_string(),
        })
    };
    match kind {
        ReadingKind::Meter if scale == Some(MeterScale::Relative) => checked(
            number_of(raw),
            "reading.value.relative",
            "check the number",
            "a number",
        )
        .map(ReadingValue::Meter),
        ReadingKind::Meter => {
            let percent = percent_of(raw);
            let todo = if percent.is_some_and(|it| it < 0.0) {
                "check the number".to_string()
            } else {
                let scale = path.replace(".value", ".scale");
                format!("a number above 20 is usually a relative scale: write relative as {scale}")
            };
            checked(
                percent,
                "reading.value.percent",
                &todo,
                "percent such as 3.9",
            )
            .map(ReadingValue::Meter)
        }
        ReadingKind::Probe => {
            percent_of(raw).ok_or_else(|| not_read("percent RH such as 85"))?;
            probe_humidity(path, "reading.value.probe", raw).map(ReadingValue::Probe)
        }
        ReadingKind::CalciumChloride => checked(
            number_of(raw),
            "reading.value.calcium_chloride",
            "check the number",
            "pounds per 1000 square feet in 24 hours such as 3.1",
        )
        .map(ReadingValue::CalciumChloride),
        ReadingKind::Sheet => {
            let word = match raw {
                Raw::Bool(it) => Some(*it),
                Raw::Text(it) => match it.trim().to_lowercase().as_str() {
                    "true" | "yes" | "damp" => Some(true),
                    "false" | "no" | "dry" => Some(false),
                    _ => None,
                },
                _ => None,
            };
            word.map(ReadingValue::Sheet)
                .ok_or_else(|| not_read("true (damp) | false (dry)"))
        }
    }
}
