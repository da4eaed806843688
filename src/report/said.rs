//! Days, months, percent, lengths and readings as they are written in a sentence.

use super::{LimitSaid, LimitSource, Measured, MonthOfYear, ReadingSaid, Report};
use crate::survey::ReadingKind;
use crate::units::{Meters, MoistureFlux};
use crate::verdict::Grade;
use crate::words::{Language, in_hundred, say_with};
use chrono::{Datelike, NaiveDate};

/// Units in which lengths and temperatures are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Units {
    /// Feet, inches, degrees Fahrenheit.
    Us,
    /// Meters, millimeters, degrees Celsius.
    Si,
}

/// A day, such as "September 8, 2026".
pub fn day_words(day: NaiveDate) -> String {
    Language::English.day(day)
}

/// A month of a year, such as "June 2027".
pub fn month_words(month: MonthOfYear) -> String {
    month_year_in(Language::English, month)
}

/// The same in a language.
pub(super) fn month_year_in(language: Language, month: MonthOfYear) -> String {
    language.say_with(
        "date.month",
        &[
            ("month", language.month(month.month)),
            ("year", &month.year.to_string()),
        ],
    )
}

/// The month of a day, such as "June 2027".
pub(super) fn month_in(language: Language, day: NaiveDate) -> String {
    month_year_in(
        language,
        MonthOfYear {
            year: day.year(),
            month: day.month(),
        },
    )
}

/// The same in a language.
pub(super) fn month_of_in(language: Language, day: NaiveDate) -> String {
    language.say_with(
        "date.month",
        &[
            ("month", language.month(day.month())),
            ("year", &day.year().to_string()),
        ],
    )
}

/// First and last day of whole months: "May 2027", "May to June 2027".
pub(super) fn months_span(language: Language, from: NaiveDate, to: NaiveDate) -> String {
    if (from.year(), from.month()) == (to.year(), to.month()) {
        return month_in(language, from);
    }
    let first = if from.year() == to.year() {
        language.month(from.month()).to_string()
    } else {
        month_in(language, from)
    };
    language.say_with(
        "date.span",
        &[("from", &first), ("to", &month_in(language, to))],
    )
}

/// A number of percent, such as "5%".
pub fn percent_words(percent: f64) -> String {
    say_with("percent", &[("number", &percent.to_string())])
}

/// The same in a language.
pub(super) fn percent_in(language: Language, percent: f64) -> String {
    language.say_with("percent", &[("number", &percent.to_string())])
}

/// A distance in whole feet, or meters.
pub(super) fn distance(meters: f64, units: Units) -> String {
    distance_in(Language::English, meters, units)
}

fn distance_in(language: Language, meters: f64, units: Units) -> String {
    match units {
        Units::Si => language.say_with("length.m", &[("number", &format!("{meters:.1}"))]),
        Units::Us => {
            let feet = Meters::new(meters.abs()).map_or(meters, |it| it.feet());
            language.say_with("length.ft", &[("number", &format!("{feet:.0}"))])
        }
    }
}

/// A distance on a map in whole miles, or kilometers.
pub(super) fn far(km: f64, units: Units) -> String {
    let (key, number) = match units {
        Units::Si => ("length.km", km),
        Units::Us => ("length.mi", km / 1.609_344),
    };
    say_with(key, &[("number", &format!("{number:.0}"))])
}

/// A chance (0 to 1) in a column: "45", "<5", ">95", out of 100.
pub fn short_chance(chance: f64) -> String {
    match in_hundred(chance) {
        Some(count) => count.to_string(),
        None if chance < 0.5 => "<5".to_string(),
        None => ">95".to_string(),
    }
}

/// The grade's part of a key.
pub(super) fn grade_key(grade: Grade) -> &'static str {
    match grade {
        Grade::Low => "low",
        Grade::Moderate => "moderate",
        Grade::High => "high",
        Grade::VeryHigh => "very_high",
    }
}

/// A sentence with a capital letter in front.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Sentences in a row.
pub(super) fn joined<T: AsRef<str>>(sentences: &[T]) -> String {
    let all: Vec<&str> = sentences
        .iter()
        .map(AsRef::as_ref)
        .filter(|it| !it.is_empty())
        .collect();
    all.join(" ")
}

/// The name of a test.
pub(super) fn test_words(test: ReadingKind) -> &'static str {
    test_in(Language::English, test)
}

pub(super) fn test_in(language: Language, test: ReadingKind) -> &'static str {
    language.say(match test {
        ReadingKind::Meter => "measured.meter",
        ReadingKind::Probe => "measured.probe",
        ReadingKind::CalciumChloride => "measured.calcium_chloride",
        ReadingKind::Sheet => "measured.sheet",
    })
}

/// What a reading showed.
pub(super) fn measured_words(measured: Measured, units: Units) -> String {
    measured_in(Language::English, measured, units)
}

/// The same in a language.
pub(super) fn measured_in(language: Language, measured: Measured, units: Units) -> String {
    match measured {
        Measured::Percent(it) => language.say_with("percent", &[("number", &it.to_string())]),
        Measured::RelativeScale(it) => {
            language.say_with("measured.relative", &[("number", &it.to_string())])
        }
        Measured::UnknownScale(it) => {
            language.say_with("measured.unknown", &[("number", &it.to_string())])
        }
        Measured::ProbePercent(it) => {
            language.say_with("measured.humidity", &[("number", &format!("{it:.0}"))])
        }
        Measured::Pounds(it) => pounds_in(language, it, units),
        Measured::Damp(true) => language.say("measured.damp").to_string(),
        Measured::Damp(false) => language.say("measured.dry").to_string(),
    }
}

/// What a calcium chloride test gives off: pounds per 1000 square feet in 24 hours, or micrograms
/// per second and square meter.
pub(super) fn pounds_in(language: Language, pounds: f64, units: Units) -> String {
    match units {
        Units::Us => language.say_with("measured.pounds", &[("number", &pounds.to_string())]),
        Units::Si => {
            let micrograms = 1.0e9 * pounds * MoistureFlux::POUND_PER_1000_FT2_DAY;
            language.say_with(
                "measured.micrograms",
                &[("number", &format!("{micrograms:.0}"))],
            )
        }
    }
}

/// Each reading in a line, withdrawn ones marked as such.
pub(super) fn readings_in(language: Language, report: &Report, units: Units) -> Vec<String> {
    let said = |reading: &ReadingSaid| {
        let mut parts = vec![language.say_with(
            "measured.line",
            &[
                ("day", &language.day(reading.date)),
                ("test", test_in(language, reading.test)),
                ("value", &measured_in(language, reading.measured, units)),
            ],
        )];
        if let Some(spot) = &reading.spot {
            parts.push(language.say_with("measured.spot", &[("spot", spot)]));
        }
        if let Some(wall) = reading.wall_distance_m {
            parts.push(language.say_with(
                "measured.wall",
                &[("distance", &distance_in(language, wall, units))],
            ));
        }
        if let Some(meter) = &reading.meter_id {
            parts.push(language.say_with("measured.meter_id", &[("meter", meter)]));
        }
        let line = parts.join(", ");
        if reading.withdrawn {
            language.say_with("measured.withdrawn", &[("reading", &line)])
        } else {
            line
        }
    };
    report.readings.iter().map(said).collect()
}

/// Who gave the limit.
pub(super) fn limit_source_in(language: Language, limit: &LimitSaid) -> String {
    match &limit.source {
        LimitSource::CommonPractice => language.say("limit.common_practice").to_string(),
        LimitSource::NotGiven => language.say("limit.not_given").to_string(),
        LimitSource::Named(name) => name.clone(),
    }
}

/// The limits in use and who gave them, as a sentence without a period.
pub fn limit_words(limit: &LimitSaid) -> String {
    limit_in(Language::English, limit, Units::Us)
}

/// The same in a language.
pub(super) fn limit_in(language: Language, limit: &LimitSaid, units: Units) -> String {
    let meter = limit.meter_percent.map(|it| {
        language.say_with(
            "limit.meter",
            &[(
                "percent",
                &language.say_with("percent", &[("number", &it.to_string())]),
            )],
        )
    });
    let probe = limit
        .probe_rh
        .map(|it| language.say_with("limit.probe", &[("percent", &format!("{it:.0}"))]));
    let dish = limit.calcium_chloride_lb.map(|it| {
        let amount = pounds_in(language, it, units);
        language.say_with("limit.calcium_chloride", &[("amount", &amount)])
    });
    let all: Vec<String> = [meter, probe, dish].into_iter().flatten().collect();
    let all = language.listed(&all.iter().map(String::as_str).collect::<Vec<_>>());
    language.say_with(
        "limit.line",
        &[
            ("limits", &all),
            ("source", &limit_source_in(language, limit)),
        ],
    )
}
