//! A visit file from text to a visit, with every problem and its line.

use super::check::{notes, problems};
use super::draft::Draft;
use super::errors::{FieldError, SurveyError, SurveyErrors};
use super::fields::{saved_path, set_field, unknown_field};
use super::limits::range;
use super::raw::{Raw, shortened};
use super::registry::TABLES;
use super::visit::Visit;
use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet};
use toml::de::{DeTable, DeValue};

/// A visit as it was read, with remarks that stop nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Parsed {
    /// What the file says.
    pub visit: Visit,
    /// Remarks for the person, in sentences; empty when nothing was assumed or left aside.
    pub notes: Vec<String>,
}

/// No one mends more at once, and a file of another kind would give thousands.
const MOST_PROBLEMS: usize = 50;

/// Reads a visit file.
///
/// # Errors
///
/// All problems of the file, in order of line; those without a line come last.
///
/// ```
/// use slabseason::survey::parse_visit;
/// let text = "visit_date = 2026-09-08\npostal = \"05401\"\n[lot]\npositon = \"low\"\n";
/// assert_eq!(
///     parse_visit(text, "job.toml").unwrap_err().to_string(),
///     "job.toml, line 4: lot.positon is not part of the visit file; did you mean `position`?"
/// );
/// ```
pub fn parse_visit(text: &str, file_name: &str) -> Result<Parsed, SurveyErrors> {
    let read = read(text, file_name);
    if !read.problems.is_empty() {
        return Err(SurveyErrors {
            problems: read.problems,
        });
    }
    let notes = notes(&read.draft);
    match read.draft.finish() {
        Ok(visit) => Ok(Parsed { visit, notes }),
        Err(rest) => {
            let file = shortened_name(file_name);
            Err(SurveyErrors {
                problems: rest.into_iter().map(|it| placed(&file, None, it)).collect(),
            })
        }
    }
}

/// A visit file that may not be finished.
#[derive(Debug, Clone, PartialEq)]
pub struct Unfinished {
    /// What could be read so far.
    pub draft: Draft,
    /// Paths that say "unknown".
    pub not_sure: Vec<String>,
    /// Numbers that were given with their unit, as they were written, by the path they are
    /// saved under.
    pub typed: BTreeMap<String, String>,
}

/// Reads a visit file that may not be finished.
///
/// # Errors
///
/// Every problem of the file but what is still missing.
pub fn parse_unfinished(text: &str, file_name: &str) -> Result<Unfinished, SurveyErrors> {
    let read = read(text, file_name);
    let is_missing = |it: &SurveyError| {
        matches!(
            it,
            SurveyError::Missing {
                error: FieldError::Needed { .. },
                ..
            } | SurveyError::Field {
                error: FieldError::Needed { .. },
                ..
            }
        )
    };
    if !read.problems.iter().all(is_missing) {
        return Err(SurveyErrors {
            problems: read.problems,
        });
    }
    Ok(Unfinished {
        draft: read.draft,
        not_sure: read.not_sure,
        typed: read.typed,
    })
}

/// What a walk through a file found.
struct FileRead {
    draft: Draft,
    not_sure: Vec<String>,
    typed: BTreeMap<String, String>,
    problems: Vec<SurveyError>,
}

impl FileRead {
    fn refused(problem: SurveyError) -> Self {
        FileRead {
            draft: Draft::default(),
            not_sure: Vec::new(),
            typed: BTreeMap::new(),
            problems: vec![problem],
        }
    }
}

/// Walks through a file once.
fn read(text: &str, file_name: &str) -> FileRead {
    let file = shortened_name(file_name);
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if let Some(problem) = wrong_file(text, &file) {
        return FileRead::refused(problem);
    }
    let lines = Lines::of(text);
    let (root, faults) = DeTable::parse_recoverable(text);
    let mut reader = Reader {
        lines: &lines,
        draft: Draft::default(),
        places: BTreeMap::new(),
        failed: BTreeSet::new(),
        found: Vec::new(),
        not_sure: Vec::new(),
        typed: BTreeMap::new(),
    };
    if let Some(problem) = reader.version(root.get_ref()) {
        let line = reader.line_of(&problem);
        return FileRead::refused(placed(&file, line, problem));
    }
    reader.table(root.get_ref(), "");

    let mut by_line: BTreeMap<usize, Vec<SurveyError>> = BTreeMap::new();
    for fault in &faults {
        if by_line.len() > MOST_PROBLEMS {
            break;
        }
        let line = lines.at(fault.span().map_or(text.len(), |it| it.start));
        // What follows a first fault in a line is mostly its echo.
        by_line
            .entry(line)
            .or_insert_with(|| vec![syntax(&file, line, lines.text(text, line), fault.message())]);
    }
    let faulty: BTreeSet<usize> = by_line.keys().copied().collect();
    let mut across = problems(&reader.draft);
    // A field that could not be read is not missing as well.
    across.retain(|it| {
        !matches!(it, FieldError::Needed { .. }) || (faults.is_empty() && !reader.is_explained(it))
    });
    // Fields below a heading that could not be read belong to no one knows which table.
    let is_heading = |line: &usize| lines.text(text, *line).trim_start().starts_with('[');
    let is_echo = |line: usize| {
        faulty.contains(&line)
            || (1..=line)
                .rev()
                .find(is_heading)
                .is_some_and(|it| faulty.contains(&it))
    };
    let mut without_line = Vec::new();
    let found = std::mem::take(&mut reader.found);
    for (line, error) in found
        .into_iter()
        .chain(across.into_iter().map(|it| (reader.line_of(&it), it)))
    {
        match line {
            Some(line) if is_echo(line) => {}
            Some(at) => by_line
                .entry(at)
                .or_default()
                .push(placed(&file, line, error)),
            None => without_line.push(placed(&file, None, error)),
        }
    }
    let mut all: Vec<SurveyError> = by_line
        .into_values()
        .flatten()
        .chain(without_line)
        .collect();
    if all.len() > MOST_PROBLEMS {
        all.truncate(MOST_PROBLEMS);
        all.push(SurveyError::More {
            file: file.clone(),
            shown: MOST_PROBLEMS,
        });
    }
    FileRead {
        draft: reader.draft,
        not_sure: reader.not_sure,
        typed: reader.typed,
        problems: all,
    }
}

/// Reads a visit file from its bytes, which may turn out to be no text at all.
pub fn parse_visit_bytes(bytes: &[u8], file_name: &str) -> Result<Parsed, SurveyErrors> {
    let file = shortened_name(file_name);
    let refuse = |what: &str, todo: &str| {
        Err(SurveyErrors {
            problems: vec![SurveyError::File {
                file: file.clone(),
                what: what.to_string(),
                todo: todo.to_string(),
            }],
        })
    };
    if bytes.len() as f64 > range("file.bytes").high {
        return Err(SurveyErrors {
            problems: vec![too_large(bytes.len(), &file)],
        });
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return refuse("this is text in UTF-16", "save it as UTF-8");
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => parse_visit(text, file_name),
        Err(fault) => {
            let start = &bytes[..fault.valid_up_to()];
            let line = 1 + start.iter().filter(|it| **it == b'\n').count();
            if bytes.contains(&0) || bytes.starts_with(b"PK") || bytes.starts_with(b"%PDF") {
                return refuse("this is a binary file", "give the visit file");
            }
            refuse(
                &format!("line {line} holds bytes that are not UTF-8"),
                "save it as UTF-8",
            )
        }
    }
}

/// A file name is somebody's text too: no line breaks in messages.
fn shortened_name(file_name: &str) -> String {
    file_name
        .chars()
        .flat_map(|it| {
            if it.is_control() {
                it.escape_default().collect()
            } else {
                vec![it]
            }
        })
        .collect()
}

fn placed(file: &str, line: Option<usize>, error: FieldError) -> SurveyError {
    match line {
        Some(line) => SurveyError::Field {
            file: file.to_string(),
            line,
            error,
        },
        None => SurveyError::Missing {
            file: file.to_string(),
            error,
        },
    }
}

fn too_large(bytes: usize, file: &str) -> SurveyError {
    SurveyError::File {
        file: file.to_string(),
        what: format!(
            "the file has {bytes} bytes, more than {}",
            range("file.bytes").high
        ),
        todo: "give the visit file".to_string(),
    }
}

/// Whether the text is no visit at all, by its first characters.
fn wrong_file(text: &str, file: &str) -> Option<SurveyError> {
    if text.len() as f64 > range("file.bytes").high {
        return Some(too_large(text.len(), file));
    }
    let start = text.trim_start();
    let first = text
        .lines()
        .map(str::trim)
        .find(|it| !it.is_empty() && !it.starts_with('#'));
    let refused = |what: &str, todo: &str| {
        Some(SurveyError::File {
            file: file.to_string(),
            what: what.to_string(),
            todo: todo.to_string(),
        })
    };
    let other = "give the visit file";
    let Some(first) = first else {
        return refused(
            "the file is empty",
            "write at least visit_date, a place and one answer",
        );
    };
    if text.contains('\0') || start.starts_with("%PDF") || start.starts_with("PK\u{3}\u{4}") {
        return refused("this is a binary file", other);
    }
    if start.starts_with('<') {
        let head: String = start.chars().take(200).collect::<String>().to_lowercase();
        let is_page = head.contains("<html") || head.contains("<!doctype html");
        return refused(
            if is_page {
                "this is an HTML page"
            } else {
                "this is XML"
            },
            other,
        );
    }
    let in_list = start.strip_prefix('[').map(|it| it.trim_start());
    if start.starts_with('{') || in_list.is_some_and(|it| it.starts_with(['{', '"'])) {
        return refused("this is JSON", other);
    }
    let separators = first
        .chars()
        .filter(|it| matches!(it, ',' | ';' | '\t'))
        .count();
    if separators > 0 && !first.contains('=') && !first.starts_with('[') {
        return refused(
            "this is a table of comma-separated values",
            "give it to the batch command, or give a visit file",
        );
    }
    None
}

/// Where lines begin, so that a place in the text becomes a line number.
struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    fn of(text: &str) -> Self {
        let mut starts = vec![0];
        starts.extend(
            text.bytes()
                .enumerate()
                .filter(|(_, it)| *it == b'\n')
                .map(|(at, _)| at + 1),
        );
        // The end of the last line belongs to it, not to an empty line behind it.
        if starts.len() > 1 && starts.last() == Some(&text.len()) {
            starts.pop();
        }
        Self { starts }
    }

    /// The line of a byte, from 1.
    fn at(&self, byte: usize) -> usize {
        self.starts.partition_point(|it| *it <= byte)
    }

    fn text<'t>(&self, text: &'t str, line: usize) -> &'t str {
        let from = self.starts[line - 1];
        text[from..].lines().next().unwrap_or_default()
    }
}

/// Whether a text is written as a day, year-month-day, whether there is such a day or not.
fn is_day_shaped(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let is_number = |it: &&str| !it.is_empty() && it.bytes().all(|byte| byte.is_ascii_digit());
    parts.len() == 3 && parts[0].len() == 4 && parts.iter().all(is_number)
}

/// A line that is not TOML, in plain words where the cause can be told.
fn syntax(file: &str, line: usize, text: &str, message: &str) -> SurveyError {
    let text = text.trim();
    let value = text
        .split_once('=')
        .map(|(key, value)| (key.trim(), value.trim()));
    let bare_word =
        |it: &str| it.starts_with(|first: char| first.is_alphabetic()) && !it.contains('"');
    let leading_zero = |it: &str| {
        it.len() > 1
            && it.starts_with('0')
            && it.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-')
    };
    let slashes =
        |it: &str| it.contains('/') && it.bytes().all(|byte| byte.is_ascii_digit() || byte == b'/');
    let number_with_unit =
        |it: &str| it.starts_with(|first: char| first.is_ascii_digit()) && !it.contains('"');
    let todo = match value {
        _ if message.contains("duplicate key") => "it is given twice; delete one".to_string(),
        None if text.starts_with('[') => {
            "write [floor], or [[reading]] for each reading".to_string()
        }
        None => "write name = value".to_string(),
        Some((key, "")) => format!(
            "write a value behind {} =, or delete the line",
            shortened(key)
        ),
        // It has the shape of a day, and TOML knows no such day.
        Some((_, it)) if is_day_shaped(it) => format!(
            "there is no {} in any calendar; check the day and the month",
            shortened(it)
        ),
        Some((_, it)) if slashes(it) => "write dates as year-month-day".to_string(),
        Some((key, it)) if bare_word(it) || leading_zero(it) => {
            format!(
                "put the value in quotes: {} = \"{}\"",
                shortened(key),
                shortened(it)
            )
        }
        Some((key, it)) if number_with_unit(it) => {
            format!(
                "a number with a unit goes in quotes: {} = \"{}\"",
                shortened(key),
                shortened(it)
            )
        }
        Some(_) => format!("mend the line ({message})"),
    };
    SurveyError::Syntax {
        file: file.to_string(),
        line,
        what: format!(
            "\"{}\" is not read as TOML; accepted: name = value",
            shortened(text)
        ),
        todo,
    }
}

struct Reader<'t> {
    lines: &'t Lines,
    draft: Draft,
    /// The line of each path, of each table and of each reading.
    places: BTreeMap<String, usize>,
    /// Paths that were given and could not be read.
    failed: BTreeSet<String>,
    found: Vec<(Option<usize>, FieldError)>,
    not_sure: Vec<String>,
    typed: BTreeMap<String, String>,
}

impl Reader<'_> {
    /// A file of another version is not read any further: its fields mean something else.
    fn version(&mut self, root: &DeTable<'_>) -> Option<FieldError> {
        let (key, value) = root.get_key_value("visit_version")?;
        self.places
            .insert("visit_version".to_string(), self.lines.at(key.span().start));
        let raw = raw_of("visit_version", value.get_ref()).ok()?;
        set_field(&mut self.draft, "visit_version", &raw).err()
    }

    /// Reads one table; its path is empty for the top of the file.
    fn table(&mut self, table: &DeTable<'_>, path: &str) {
        let mut entries: Vec<_> = table
            .iter()
            .map(|(key, value)| (key.span().start, key.get_ref(), value))
            .collect();
        // The map is in order of names; problems are told in order of lines.
        entries.sort_by_key(|(start, _, _)| *start);
        for (start, key, value) in entries {
            if self.found.len() > MOST_PROBLEMS {
                return;
            }
            let here = if path.is_empty() {
                key.to_string()
            } else {
                format!("{path}.{key}")
            };
            let line = self.lines.at(start);
            self.places.entry(here.clone()).or_insert(line);
            let is_top = path.is_empty() && TABLES.contains(&key.as_ref());
            match value.get_ref() {
                DeValue::Array(items) if is_top && here == "reading" => {
                    for (at, item) in items.iter().enumerate() {
                        self.reading(item.get_ref(), at, self.lines.at(item.span().start));
                    }
                }
                DeValue::Table(_) if here == "reading" => self.fail(
                    "reading",
                    line,
                    not_read(
                        "reading",
                        "a single table",
                        "[[reading]]",
                        "write [[reading]], with two brackets",
                    ),
                ),
                DeValue::Table(inner) if is_top => self.table(inner, &here),
                _ if is_top => {
                    let accepted = if here == "reading" {
                        "[[reading]]"
                    } else {
                        "a table"
                    };
                    let heading = if here == "reading" {
                        "[[reading]]".to_string()
                    } else {
                        format!("[{here}]")
                    };
                    let todo = format!("write {heading} on a line of its own and its fields below");
                    self.fail(
                        &here,
                        line,
                        not_read(&here, "with a value", accepted, &todo),
                    );
                }
                // A key with a dot or a blank in its quotes must not pass for a path.
                _ if key.contains('.') || super::fields::field(&here).is_none() => {
                    let error = unknown_field(&here);
                    self.fail(&here, line, error);
                }
                value => {
                    let set = raw_of(&here, value).and_then(|raw| self.set(&here, &raw));
                    if let Err(error) = set {
                        self.fail(&here, line, error);
                    }
                }
            }
        }
    }

    fn reading(&mut self, item: &DeValue<'_>, at: usize, line: usize) {
        let path = format!("reading.{}", at + 1);
        self.places.insert(path.clone(), line);
        let most = range("file.readings").high;
        if at as f64 >= most {
            if at as f64 == most {
                let todo = "split the visit".to_string();
                let accepted = range("file.readings").accepted();
                self.fail(
                    &path,
                    line,
                    FieldError::OutOfRange {
                        path: "reading".to_string(),
                        given: (at + 1).to_string(),
                        accepted,
                        todo,
                    },
                );
            }
            return;
        }
        match item {
            DeValue::Table(table) if table.is_empty() => {
                self.fail(
                    &path,
                    line,
                    not_read(
                        &path,
                        "without any field",
                        "date, kind and value",
                        "write them, or delete it",
                    ),
                );
            }
            DeValue::Table(table) => self.table(table, &path),
            _ => self.fail(
                &path,
                line,
                not_read(
                    &path,
                    "with a value",
                    "[[reading]]",
                    "write [[reading]] on a line of its own and its fields below",
                ),
            ),
        }
    }

    fn set(&mut self, path: &str, raw: &Raw) -> Result<(), FieldError> {
        set_field(&mut self.draft, path, raw)?;
        let saved = saved_path(path);
        match raw {
            _ if raw.is_unknown() => self.not_sure.push(saved),
            Raw::Text(text) if saved != path => {
                self.typed.insert(saved, text.clone());
            }
            _ => {}
        }
        Ok(())
    }

    fn fail(&mut self, path: &str, line: usize, error: FieldError) {
        self.failed.insert(path.to_string());
        self.found.push((Some(line), error));
    }

    fn line_of(&self, error: &FieldError) -> Option<usize> {
        let near = match error {
            FieldError::Needed { near, .. } => near.as_deref(),
            _ => None,
        };
        let other = match error.path() {
            "elevation_m" => Some("elevation"),
            _ => None,
        };
        [Some(error.path()), other, near]
            .into_iter()
            .flatten()
            .find_map(|it| self.places.get(it))
            .copied()
    }

    /// Whether what is missing was given in a way that could not be read.
    fn is_explained(&self, error: &FieldError) -> bool {
        let place = ["postal", "latitude", "longitude", "station"];
        match error.path() {
            "answers" => !self.failed.is_empty(),
            "place" => place.iter().any(|it| self.failed.contains(*it)),
            path => self.failed.contains(path),
        }
    }
}

fn not_read(path: &str, given: &str, accepted: &str, todo: &str) -> FieldError {
    FieldError::NotRead {
        path: path.to_string(),
        given: given.to_string(),
        accepted: accepted.to_string(),
        todo: todo.to_string(),
    }
}

/// The value of TOML as the registry takes it.
fn raw_of(path: &str, value: &DeValue<'_>) -> Result<Raw, FieldError> {
    let accepted = || {
        super::fields::field(path)
            .map(|it| it.accepted())
            .unwrap_or_default()
    };
    let refused = |given: &str, todo: &str| not_read(path, given, &accepted(), todo);
    match value {
        DeValue::String(it) => Ok(Raw::Text(it.to_string())),
        DeValue::Boolean(it) => Ok(Raw::Bool(*it)),
        DeValue::Integer(it) => i64::from_str_radix(it.as_str(), it.radix())
            .map(Raw::Integer)
            .map_err(|_| refused(&shortened(&it.to_string()), "check the number")),
        DeValue::Float(it) => it
            .as_str()
            .parse::<f64>()
            .ok()
            .filter(|it| it.is_finite())
            .map(Raw::Float)
            .ok_or_else(|| refused(&shortened(it.as_str()), "check the number")),
        DeValue::Datetime(it) => {
            let day = it.date.filter(|_| it.time.is_none()).and_then(|it| {
                NaiveDate::from_ymd_opt(i32::from(it.year), u32::from(it.month), u32::from(it.day))
            });
            day.map(Raw::Date)
                .ok_or_else(|| refused(&it.to_string(), "write the day alone, as year-month-day"))
        }
        DeValue::Array(items) => items
            .iter()
            .map(|it| raw_of(path, it.get_ref()))
            .collect::<Result<Vec<_>, _>>()
            .map(Raw::List),
        DeValue::Table(_) => Err(refused("with fields below it", "write one value")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_counted_from_one() {
        let text = "a\r\nb\n\nc\n";
        let lines = Lines::of(text);
        let at: Vec<usize> = (0..=text.len()).map(|it| lines.at(it)).collect();
        assert_eq!(at, [1, 1, 1, 2, 2, 3, 4, 4, 4]);
        assert_eq!(
            (
                lines.text(text, 1),
                lines.text(text, 3),
                lines.text(text, 4)
            ),
            ("a", "", "c")
        );
        assert_eq!(Lines::of("").at(0), 1);
    }

    #[test]
    fn a_file_name_stays_on_its_line() {
        let errors = parse_visit("", "a\nb").unwrap_err().to_string();
        assert!(errors.starts_with("a\\nb: the file is empty"), "{errors}");
    }
}
