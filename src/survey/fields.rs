//! Fields by their path: set, read back, and what was probably meant by a path that no field has.

use super::draft::{Draft, ReadingDraft};
use super::errors::FieldError;
use super::field::{Field, Given};
use super::limits::range;
use super::nearest::nearest;
use super::raw::{Raw, shortened};
use super::registry::{FIELDS, TABLES};

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

/// The path that a field is saved under, with the number of its reading; an unknown path stays.
pub(super) fn saved_path(path: &str) -> String {
    match locate(path) {
        Some((field, at)) if field.saved_as.is_some() => indexed(field.saved_path(), at),
        _ => path.to_string(),
    }
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

/// The other way to write a field, with its unit behind the number.
pub fn with_unit(path: &str) -> Option<&'static Field> {
    find(find(path)?.with_unit?)
}

fn find(path: &str) -> Option<&'static Field> {
    FIELDS.iter().find(|it| it.path == path)
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

#[cfg(test)]
mod tests {
    use super::*;

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
}
