//! Reading how a person names a place.

use super::error::ClimateError;
use super::tables::{old_stations, postal_areas, rules, stations};

/// How a user names a place.
#[derive(Debug, Clone, PartialEq)]
pub enum PlaceQuery {
    /// A ZIP code, its first three digits, a Canadian postal code, or the first half of one.
    Postal(String),
    /// Degrees north and east; places in the Americas have negative longitudes.
    Position {
        /// Degrees north, -90 to 90.
        latitude_deg: f64,
        /// Degrees east, -180 to 180.
        longitude_deg: f64,
        /// Height above sea level, m; `None` where it was not given.
        elevation_m: Option<f64>,
    },
    /// A station id of the table, in upper or lower case.
    Station(String),
}

impl PlaceQuery {
    /// Reads a place as typed. Lower case and blanks around or inside are accepted.
    ///
    /// # Example
    ///
    /// ```
    /// use slabseason::climate::PlaceQuery;
    ///
    /// assert_eq!(PlaceQuery::parse(" 05401-1234 ")?, PlaceQuery::Postal("05401".to_string()));
    /// assert_eq!(PlaceQuery::parse("v5k0a1")?, PlaceQuery::Postal("V5K 0A1".to_string()));
    /// # Ok::<(), slabseason::climate::ClimateError>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self, ClimateError> {
        let given = text.trim();
        if given.is_empty() {
            return Err(ClimateError::Empty);
        }
        if given.contains(',') && given.chars().any(|it| it.is_ascii_digit()) {
            return parse_position(given);
        }
        if let Some(code) = postal_code(given)? {
            return Ok(Self::Postal(code.typed));
        }
        let compact = without_blanks(given);
        if STATION_ID_STARTS.iter().any(|it| compact.starts_with(it)) {
            return Ok(Self::Station(
                station_id_as_in_table(&compact).unwrap_or(compact),
            ));
        }
        if let Some(id) = station_id_as_in_table(&compact) {
            return Ok(Self::Station(id));
        }
        Err(ClimateError::NotUnderstood {
            given: given.to_string(),
            hint: stations_of_that_name(given),
        })
    }
}

/// A postal code with the part of it that the table knows.
pub(super) struct PostalCode {
    /// As a person would write it: 05401, 054, V5K 0A1, V5K.
    pub typed: String,
    /// The three characters that are looked up.
    pub prefix: String,
}

/// `None` when the text has not the form of a postal code; an error when it nearly has.
pub(super) fn postal_code(text: &str) -> Result<Option<PostalCode>, ClimateError> {
    let compact = without_blanks(text);
    let (main, extension) = match compact.split_once('-') {
        Some((main, extension)) => (main, Some(extension)),
        None if compact.len() == 9 && all_digits(&compact) => (&compact[..5], Some(&compact[5..])),
        None => (compact.as_str(), None),
    };
    if extension.is_some_and(|it| it.len() != 4 || !all_digits(it)) && all_digits(main) {
        return Ok(None);
    }
    if all_digits(main) && main.len() == 4 {
        return Err(ClimateError::FourDigits {
            given: text.trim().to_string(),
            hint: missing_digit(main),
        });
    }
    if all_digits(main) && (main.len() == 5 || (main.len() == 3 && extension.is_none())) {
        return Ok(Some(PostalCode {
            typed: main.to_string(),
            prefix: main[..3].to_string(),
        }));
    }
    // A hyphen between the halves of a Canadian code is a common way to type it.
    let canadian: String = compact.chars().filter(|it| *it != '-').collect();
    if matches!(canadian.len(), 3 | 6) && is_letter_digit_in_turn(&canadian) {
        let prefix = canadian[..3].to_string();
        let typed = if canadian.len() == 6 {
            format!("{prefix} {}", &canadian[3..])
        } else {
            prefix.clone()
        };
        return Ok(Some(PostalCode { typed, prefix }));
    }
    Ok(None)
}

/// Which digit four digits of a ZIP code have likely lost: the zero in front, where there is an
/// area of that number, or else one of the others. What to type, for a message.
pub fn missing_digit(main: &str) -> String {
    let is_area = |prefix: &str| {
        let areas = postal_areas();
        let found = areas.binary_search_by(|it| it.prefix.as_str().cmp(prefix));
        found.is_ok()
    };
    let with_zero = format!("0{main}");
    let mut says = Vec::new();
    if !main.starts_with('0') && is_area(&with_zero[..3]) {
        says.push(format!(
            "spreadsheets drop a leading zero: if you meant {with_zero}, type the zero too"
        ));
    }
    let missing = if says.is_empty() {
        "a digit is missing: type all five"
    } else {
        "if another digit is missing, type all five"
    };
    let area = &main[..3];
    says.push(if is_area(area) {
        format!("{missing}, or the first three ({area}) for the area")
    } else {
        missing.to_string()
    });
    says.join("; ")
}

/// The ids of the table begin with one of these, so a wrong id can be told from a wrong postal code.
const STATION_ID_STARTS: [&str; 5] = ["USW", "USC", "CA-", "CLG-", "CAN-"];

fn parse_position(given: &str) -> Result<PlaceQuery, ClimateError> {
    let not_understood = || ClimateError::NotUnderstood {
        given: given.to_string(),
        hint: String::new(),
    };
    let parts: Vec<&str> = given.split(',').map(str::trim).collect();
    let number = |text: &str| -> Result<f64, ClimateError> {
        text.parse::<f64>()
            .ok()
            .filter(|it| it.is_finite())
            .ok_or_else(not_understood)
    };
    let (latitude, longitude, elevation) = match parts.as_slice() {
        [latitude, longitude] => (*latitude, *longitude, None),
        [latitude, longitude, elevation] => (*latitude, *longitude, Some(*elevation)),
        _ => return Err(not_understood()),
    };
    let latitude_deg = number(latitude)?;
    let longitude_deg = number(longitude)?;
    let elevation_m = match elevation {
        Some(text) => Some(number(
            text.strip_suffix(['m', 'M']).unwrap_or(text).trim_end(),
        )?),
        None => None,
    };
    check_position(given, latitude_deg, longitude_deg, elevation_m)?;
    Ok(PlaceQuery::Position {
        latitude_deg,
        longitude_deg,
        elevation_m,
    })
}

/// Checks a position, also one that did not come through [`PlaceQuery::parse`].
pub(super) fn check_position(
    given: &str,
    latitude_deg: f64,
    longitude_deg: f64,
    elevation_m: Option<f64>,
) -> Result<(), ClimateError> {
    let check = |what, value: f64, low: f64, high: f64, hint| {
        if (low..=high).contains(&value) {
            return Ok(());
        }
        Err(ClimateError::OutsideRange {
            given: given.to_string(),
            what,
            value,
            low,
            high,
            hint,
        })
    };
    let order = "\n  the order is latitude,longitude: 44.48,-73.21";
    check("latitude", latitude_deg, -90.0, 90.0, order)?;
    check("longitude", longitude_deg, -180.0, 180.0, order)?;
    if let Some(elevation_m) = elevation_m {
        let (low, high) = (rules().elevation_lowest_m, rules().elevation_highest_m);
        check(
            "height",
            elevation_m,
            low,
            high,
            "\n  the height is in meters; for feet, multiply by 0.3048",
        )?;
    }
    Ok(())
}

/// People type names of towns; the table's stations of that name are the nearest thing to an answer.
fn stations_of_that_name(given: &str) -> String {
    let wanted = given
        .split(',')
        .next()
        .unwrap_or(given)
        .trim()
        .to_ascii_lowercase();
    let found: Vec<String> = stations()
        .iter()
        .filter(|it| wanted.len() >= 3 && it.name.to_ascii_lowercase().starts_with(&wanted))
        .take(4)
        .map(|it| format!("{} ({}, {})", it.id, it.name, it.admin))
        .collect();
    if found.is_empty() {
        return String::new();
    }
    format!("\n  stations of that name: {}", found.join(", "))
}

/// The id as the table spells it, for one typed in any case. An id of an earlier table that
/// holds a cooperative station's number gives that station's row, if there is one.
pub(super) fn station_id_as_in_table(given: &str) -> Option<String> {
    let of_today = |id: &str| {
        let found = stations().iter().find(|it| it.id.eq_ignore_ascii_case(id));
        found.map(|it| it.id.clone())
    };
    let of_old = || {
        let found = old_stations()
            .iter()
            .find(|it| it.id.eq_ignore_ascii_case(given));
        found.map(|it| it.id.clone())
    };
    let number = || of_today(&cooperative_id(given)?);
    of_today(given).or_else(of_old).or_else(number)
}

/// "USC00435278" for "CLG-vt435278": a state and a cooperative station's number.
fn cooperative_id(given: &str) -> Option<String> {
    let (start, rest) = given.split_at_checked(4)?;
    let number = rest.get(2..)?;
    (start.eq_ignore_ascii_case("CLG-") && number.len() == 6 && all_digits(number))
        .then(|| format!("USC00{number}"))
}

fn without_blanks(text: &str) -> String {
    text.chars()
        .filter(|it| !it.is_whitespace())
        .map(|it| it.to_ascii_uppercase())
        .collect()
}

fn all_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|it| it.is_ascii_digit())
}

/// A1A and A1A1A1, the form of Canadian codes.
fn is_letter_digit_in_turn(text: &str) -> bool {
    text.bytes().enumerate().all(|(position, it)| {
        if position % 2 == 0 {
            it.is_ascii_uppercase()
        } else {
            it.is_ascii_digit()
        }
    })
}
