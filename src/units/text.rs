//! Numbers that carry their unit, as people type them.

use super::{
    Celsius, LitersPerDay, Meters, Permeance, RainPercent, RelHumidity, SquareMeters, UnitsError,
};

/// A quantity that can be read from text with a unit behind the number.
pub type UnitText<T> = fn(&str) -> Result<T, UnitsError>;

/// The shortest plain way to write a number in a message.
pub(super) fn plain(value: f64) -> String {
    format!("{value}")
}

/// The number in front and the unit behind it, lower case and without spaces.
fn split(
    name: &'static str,
    text: &str,
    accepted: &'static str,
) -> Result<(f64, String), UnitsError> {
    let trimmed = text.trim();
    let end = trimmed
        .char_indices()
        .find(|(at, it)| {
            let exponent = matches!(it, 'e' | 'E')
                && trimmed[at + 1..].starts_with(|next: char| next.is_ascii_digit() || next == '-');
            !(it.is_ascii_digit() || matches!(it, '.' | '-' | '+') || exponent)
        })
        .map_or(trimmed.len(), |(at, _)| at);
    let value = trimmed[..end]
        .parse::<f64>()
        .ok()
        .filter(|it| it.is_finite())
        .ok_or_else(|| UnitsError::NotANumber {
            name,
            given: trimmed.to_string(),
            accepted,
        })?;
    let unit = trimmed[end..]
        .chars()
        .filter(|it| !it.is_whitespace())
        .collect::<String>()
        .to_lowercase();
    Ok((value, unit))
}

fn unknown(name: &'static str, given: &str, unit: String, accepted: &'static str) -> UnitsError {
    UnitsError::UnknownUnit {
        name,
        given: given.trim().to_string(),
        unit,
        accepted,
    }
}

/// A temperature such as "67F", "19.5 C" or "19.5".
///
/// # Errors
///
/// Says what was given and what is read; a bare number that only makes sense as °F says so.
///
/// ```
/// use slabseason::units::celsius_from_text;
/// assert!((celsius_from_text("67F")?.get() - 19.444).abs() < 1e-3);
/// assert!(celsius_from_text("67").is_err());
/// # Ok::<(), slabseason::units::UnitsError>(())
/// ```
pub fn celsius_from_text(text: &str) -> Result<Celsius, UnitsError> {
    const ACCEPTED: &str = "write a number with C or F, such as 19.5C or 67F";
    let (value, unit) = split("temperature", text, ACCEPTED)?;
    match unit.trim_start_matches(['°', 'º']) {
        "" | "c" => Celsius::new(value).map_err(|it| fahrenheit_hint(it, value)),
        "f" => Celsius::from_fahrenheit(value),
        _ => Err(unknown("temperature", text, unit, ACCEPTED)),
    }
}

/// Adds "if you meant °F" where the number reads well as Fahrenheit.
fn fahrenheit_hint(error: UnitsError, value: f64) -> UnitsError {
    match error {
        UnitsError::OutOfRange {
            name,
            unit,
            given,
            low,
            high,
            ..
        } if Celsius::from_fahrenheit(value).is_ok() => {
            let hint = format!("; if you meant °F, write {given}F");
            UnitsError::OutOfRange {
                name,
                unit,
                given,
                low,
                high,
                hint,
            }
        }
        other => other,
    }
}

/// A relative humidity: "0.62" as a fraction, "62%" as percent.
///
/// ```
/// use slabseason::units::humidity_from_text;
/// assert_eq!(humidity_from_text("62 %")?.get(), 0.62);
/// assert!(humidity_from_text("62").is_err());
/// # Ok::<(), slabseason::units::UnitsError>(())
/// ```
pub fn humidity_from_text(text: &str) -> Result<RelHumidity, UnitsError> {
    const ACCEPTED: &str = "write a fraction such as 0.62, or percent such as 62%";
    let (value, unit) = split("relative humidity", text, ACCEPTED)?;
    match unit.as_str() {
        "" => RelHumidity::new(value).map_err(|it| match it {
            UnitsError::OutOfRange {
                name,
                unit,
                given,
                low,
                high,
                ..
            } if (1.0..=100.0).contains(&value) => {
                let hint = format!("; if you meant percent, write {given}%");
                UnitsError::OutOfRange {
                    name,
                    unit,
                    given,
                    low,
                    high,
                    hint,
                }
            }
            other => other,
        }),
        "%" | "%rh" | "percent" => RelHumidity::from_percent(value),
        _ => Err(unknown("relative humidity", text, unit, ACCEPTED)),
    }
}

/// A length such as "4in", "6 ft", "100 mm" or "2.5" (meters).
pub fn length_from_text(text: &str) -> Result<Meters, UnitsError> {
    const ACCEPTED: &str = "write m, cm, mm, ft or in behind the number, such as 2.5m or 6ft";
    let (value, unit) = split("length", text, ACCEPTED)?;
    match unit.as_str() {
        "" | "m" => Meters::new(value),
        "cm" => Meters::new(value / 100.0),
        "mm" => Meters::new(value / 1_000.0),
        "ft" | "'" | "feet" | "foot" => Meters::from_feet(value),
        "in" | "\"" | "inch" | "inches" => Meters::from_inches(value),
        _ => Err(unknown("length", text, unit, ACCEPTED)),
    }
}

/// An area such as "70 m2" or "750 ft2".
pub fn area_from_text(text: &str) -> Result<SquareMeters, UnitsError> {
    const ACCEPTED: &str = "write m2 or ft2 behind the number, such as 70m2 or 750ft2";
    let (value, unit) = split("area", text, ACCEPTED)?;
    match unit.as_str() {
        "" | "m2" | "m²" | "sqm" => SquareMeters::new(value),
        "ft2" | "ft²" | "sqft" | "sf" => SquareMeters::from_square_feet(value),
        _ => Err(unknown("area", text, unit, ACCEPTED)),
    }
}

/// A permeance such as "5 perm".
pub fn permeance_from_text(text: &str) -> Result<Permeance, UnitsError> {
    const ACCEPTED: &str = "write perm behind the number, such as 5 perm";
    let (value, unit) = split("permeance", text, ACCEPTED)?;
    match unit.as_str() {
        "perm" | "perms" => Permeance::from_perms(value),
        _ => Err(unknown("permeance", text, unit, ACCEPTED)),
    }
}

/// Water a machine takes out, such as "30 pints" or "14 L".
pub fn volume_per_day_from_text(text: &str) -> Result<LitersPerDay, UnitsError> {
    const ACCEPTED: &str = "write L or pints behind the number, such as 14L or 30pints";
    let (value, unit) = split("water per day", text, ACCEPTED)?;
    match unit.trim_end_matches("/day") {
        "" | "l" | "liter" | "liters" => LitersPerDay::new(value),
        "pint" | "pints" | "pt" => LitersPerDay::from_pints(value),
        _ => Err(unknown("water per day", text, unit, ACCEPTED)),
    }
}

/// Rain against the normal, such as "150 %"; a bare number is in percent as well.
///
/// ```
/// use slabseason::units::rain_percent_from_text;
/// assert_eq!(rain_percent_from_text("150 %")?.share(), 1.5);
/// assert!(rain_percent_from_text("6 in").is_err());
/// # Ok::<(), slabseason::units::UnitsError>(())
/// ```
pub fn rain_percent_from_text(text: &str) -> Result<RainPercent, UnitsError> {
    const ACCEPTED: &str = "write percent of normal, such as 80% or 150%";
    let (value, unit) = split("rain", text, ACCEPTED)?;
    match unit.as_str() {
        "" | "%" | "percent" | "%ofnormal" | "percentofnormal" => RainPercent::new(value),
        _ => Err(unknown("rain", text, unit, ACCEPTED)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn units_are_read_in_every_dress() {
        // 68 °F is (68 - 32) / 1.8 = 20 °C.
        for text in [
            "68F", "68 F", " 68 °f ", "68.0ºF", "6.8e1F", "20C", "20 °C", "20", "+20",
        ] {
            assert_eq!(celsius_from_text(text).unwrap().get(), 20.0, "{text}");
        }
        for text in ["62%", "62 %", "62% RH", "62 percent", "0.62"] {
            assert_eq!(humidity_from_text(text).unwrap().get(), 0.62, "{text}");
        }
        // 6 ft is 6 * 0.3048 = 1.8288 m.
        for text in [
            "6ft",
            "6 feet",
            "6'",
            "72 in",
            "72\"",
            "1828.8 mm",
            "182.88cm",
            "1.8288",
            "1.8288 m",
        ] {
            assert!(
                (length_from_text(text).unwrap().get() - 1.8288).abs() < 1e-12,
                "{text}"
            );
        }
        // 1000 ft2 is 92.90304 m2.
        for text in [
            "1000 sq ft",
            "1000ft2",
            "1000 ft²",
            "1000 sf",
            "92.90304 m2",
            "92.90304",
        ] {
            assert!(
                (area_from_text(text).unwrap().get() - 92.903_04).abs() < 1e-10,
                "{text}"
            );
        }
        // 30 pints of 0.473176473 L.
        for text in [
            "30 pints",
            "30pt",
            "30 pints/day",
            "14.19529419 L",
            "14.19529419 liters/day",
        ] {
            assert!(
                (volume_per_day_from_text(text).unwrap().get() - 14.195_294_19).abs() < 1e-9,
                "{text}"
            );
        }
        assert_eq!(
            permeance_from_text("5 perms").unwrap().get(),
            Permeance::from_perms(5.0).unwrap().get()
        );
    }

    #[test]
    fn what_is_not_read_says_what_is() {
        let said = |error: UnitsError| error.to_string();
        assert_eq!(
            said(celsius_from_text("warm").unwrap_err()),
            "temperature \"warm\" is not a number; write a number with C or F, such as 19.5C or 67F"
        );
        assert_eq!(
            said(celsius_from_text("67K").unwrap_err()),
            "temperature \"67K\" has the unit \"k\", which is not known here; write a number with C or F, such as 19.5C or 67F"
        );
        assert_eq!(
            said(celsius_from_text("67").unwrap_err()),
            "temperature 67 °C is outside -60 to 60; if you meant °F, write 67F"
        );
        assert_eq!(
            said(humidity_from_text("62").unwrap_err()),
            "relative humidity 62 (0 to 1) is outside 0 to 1; if you meant percent, write 62%"
        );
        assert!(
            permeance_from_text("5").is_err(),
            "a bare number has no perm"
        );
        for text in ["", "-", ".", "e", "1e", "--4", "∞", "nan", "1e999"] {
            assert!(length_from_text(text).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in any::<String>()) {
            let _ = (celsius_from_text(&text), humidity_from_text(&text), length_from_text(&text));
            let _ = (area_from_text(&text), permeance_from_text(&text), volume_per_day_from_text(&text));
        }

        #[test]
        fn a_written_quantity_is_read_again(value in 1.0..=59.0f64, spaces in " {0,3}") {
            prop_assert_eq!(celsius_from_text(&format!("{value}{spaces}C")).unwrap().get(), value);
            prop_assert_eq!(length_from_text(&format!("{spaces}{value}m")).unwrap().get(), value);
            prop_assert_eq!(area_from_text(&format!("{value}{spaces}m2{spaces}")).unwrap().get(), value);
            prop_assert_eq!(volume_per_day_from_text(&format!("{value}{spaces}L")).unwrap().get(), value);
        }
    }
}
