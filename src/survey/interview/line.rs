//! Several readings on one line: "3.9 middle 10, 4.2 south 3, 3.6 stairs 8".

/// One reading of a line, still as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LineReading {
    pub value: String,
    pub spot: Option<String>,
    /// How far the nearest outside wall is, with its unit where one was typed.
    pub wall: Option<String>,
}

/// Units that may stand behind a distance.
const LENGTH_UNITS: [&str; 9] = ["ft", "feet", "foot", "'", "in", "\"", "m", "cm", "mm"];

/// Reads a line: the number, a name for the spot and the distance to the wall, or the name
/// first; readings stand apart by a comma or a semicolon.
///
/// # Errors
///
/// The part that is no reading.
pub(crate) fn readings_in_line(text: &str) -> Result<Vec<LineReading>, String> {
    if let Some(part) = decimal_comma(text) {
        return Err(part);
    }
    text.split([',', ';', '\n'])
        .map(str::trim)
        .filter(|it| !it.is_empty())
        .map(|part| one(part).ok_or_else(|| part.to_string()))
        .collect()
}

/// "3,9": a comma between digits was meant as a decimal point, and must not make two readings.
fn decimal_comma(text: &str) -> Option<String> {
    text.split_whitespace()
        .find(|word| {
            let bytes = word.as_bytes();
            bytes.windows(3).any(|it| {
                it[0].is_ascii_digit() && matches!(it[1], b',' | b';') && it[2].is_ascii_digit()
            })
        })
        .map(str::to_string)
}

fn one(part: &str) -> Option<LineReading> {
    let mut words: Vec<String> = part.split_whitespace().map(str::to_string).collect();
    // "5 %" and "10 ft" are one word each.
    let mut at = 1;
    while at < words.len() {
        let is_unit = words[at] == "%" || LENGTH_UNITS.contains(&words[at].to_lowercase().as_str());
        if is_unit && number(&words[at - 1]).is_some() {
            let unit = words.remove(at);
            words[at - 1].push_str(&unit);
        } else {
            at += 1;
        }
    }
    let first = words
        .iter()
        .position(|it| number(it.trim_end_matches('%')).is_some())?;
    let value = words.remove(first).trim_end_matches('%').to_string();
    // A name in front of the number, or behind it.
    let mut name: Vec<String> = words.drain(..first).collect();
    let wall = words.last().filter(|it| is_length(it)).cloned();
    if wall.is_some() {
        words.pop();
    }
    name.append(&mut words);
    if name.iter().any(|it| number(it).is_some() && wall.is_none()) {
        return None;
    }
    Some(LineReading {
        value,
        spot: (!name.is_empty()).then(|| name.join(" ")),
        wall,
    })
}

fn number(text: &str) -> Option<f64> {
    let is_plain = text.starts_with(|it: char| it.is_ascii_digit() || it == '.');
    text.parse::<f64>().ok().filter(|_| is_plain)
}

fn is_length(text: &str) -> bool {
    let end = text
        .find(|it: char| !(it.is_ascii_digit() || it == '.'))
        .unwrap_or(text.len());
    let (value, unit) = text.split_at(end);
    number(value).is_some()
        && (unit.is_empty() || LENGTH_UNITS.contains(&unit.to_lowercase().as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<(String, String, String)> {
        readings_in_line(text)
            .unwrap()
            .into_iter()
            .map(|it| {
                (
                    it.value,
                    it.spot.unwrap_or_default(),
                    it.wall.unwrap_or_default(),
                )
            })
            .collect()
    }

    #[test]
    fn three_readings_stand_on_one_line() {
        let wanted = [
            ("3.9", "middle", "10"),
            ("4.2", "south", "3"),
            ("3.6", "stairs", "8"),
        ]
        .map(|it| (it.0.to_string(), it.1.to_string(), it.2.to_string()));
        for line in [
            "3.9 middle 10, 4.2 south 3, 3.6 stairs 8",
            "middle 3.9 10; south 4.2 3; stairs 3.6 8;",
            "3.9% middle 10,  4.2 % south 3 , 3.6 stairs 8",
        ] {
            assert_eq!(read(line), wanted, "{line}");
        }
        assert_eq!(
            read("4.2 south wall 3 ft, 3.9 2.5m, 3.6")
                .into_iter()
                .map(|it| (it.1, it.2))
                .collect::<Vec<_>>(),
            [
                ("south wall".to_string(), "3ft".to_string()),
                (String::new(), "2.5m".to_string()),
                (String::new(), String::new())
            ]
        );
    }

    /// A decimal comma must not make two readings of one.
    #[test]
    fn what_is_no_reading_is_named() {
        for (line, part) in [
            ("3,9 middle", "3,9"),
            ("3.9 middle, wet", "wet"),
            ("3.9 A 1 north", "3.9 A 1 north"),
        ] {
            assert_eq!(readings_in_line(line), Err(part.to_string()), "{line}");
        }
    }
}
