//! The table of floors, read piece by piece: rows, and the rows of one floor together.

use super::super::output::{self, told_path};
use crate::batch::{Columns, Fields, Habits, Row, Rows, Scan, delimiter_of, visit_of};
use crate::survey::range;
use crate::words::{say, say_with};
use anyhow::{Context, Result, bail};
use std::collections::HashSet;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Read;
use std::path::Path;

/// Columns that are no field which are named; more says no more.
const TOLD_AT_MOST: usize = 20;

/// Bytes that are read at once.
const PIECE: usize = 1 << 16;

/// Bytes of a table, cut into records. A quote that nothing closes costs its own line alone.
pub struct Records {
    input: Box<dyn Read + Send>,
    buffer: Vec<u8>,
    /// Where the next record begins in the buffer, and how far it was looked through.
    from: usize,
    seen: usize,
    scan: Scan,
    delimiter: u8,
    ended: bool,
    line: u64,
    cut: Cut,
    /// Cells that a record must have; a record of several lines with another number was made
    /// by a stray quote.
    cells: Option<usize>,
    /// Takes records apart.
    fields: Fields,
    /// Whether lines end as on old Macs, by a carriage return alone.
    is_mac: bool,
    /// Line on which the last record began.
    pub begun: u64,
    /// Bytes of the records given so far.
    pub given: u64,
}

/// What a record is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cut {
    /// Fields with quotes around some.
    Table,
    /// A line.
    Lines,
}

/// One record: its line and its fields, or why it has none.
pub struct Record {
    pub line: u64,
    pub fields: Result<Vec<Vec<u8>>, String>,
    /// Whether a line end closes it; the last of a torn file has none.
    pub is_closed: bool,
}

impl Records {
    pub fn new(input: Box<dyn Read + Send>) -> Self {
        Self {
            input,
            buffer: Vec::new(),
            from: 0,
            seen: 0,
            scan: Scan::new(b','),
            delimiter: b',',
            ended: false,
            line: 1,
            cut: Cut::Table,
            cells: None,
            fields: Fields::new(b','),
            is_mac: false,
            begun: 0,
            given: 0,
        }
    }

    /// The same with each line as a record of one field.
    pub fn of_lines(self) -> Self {
        Self {
            cut: Cut::Lines,
            ..self
        }
    }

    /// Opens a file or standard input.
    pub fn open(path: &Path) -> Result<Self> {
        if path.as_os_str() == "-" {
            return Ok(Self::new(Box::new(std::io::stdin())));
        }
        let file = std::fs::File::open(path)
            .with_context(|| format!("{}: cannot be read; check the path", told_path(path)))?;
        Ok(Self::new(Box::new(file)))
    }

    fn more(&mut self) -> std::io::Result<()> {
        if self.from > 0 {
            self.buffer.drain(..self.from);
            self.seen -= self.from;
            self.from = 0;
        }
        let length = self.buffer.len();
        self.buffer.resize(length + PIECE, 0);
        let read = self.input.read(&mut self.buffer[length..]);
        self.buffer.truncate(length + *read.as_ref().unwrap_or(&0));
        if self.is_mac {
            line_ends(&mut self.buffer[length..]);
        }
        self.ended = read? == 0;
        Ok(())
    }

    /// The heading; it also settles the separator. None in an empty file.
    pub fn heading(&mut self) -> Result<Option<Record>> {
        while !self.ended && !self.buffer.contains(&b'\n') && self.buffer.len() < longest() {
            self.more()?;
        }
        if self.buffer.starts_with(&[0xff, 0xfe]) || self.buffer.starts_with(&[0xfe, 0xff]) {
            bail!("this is text in UTF-16; accepted: UTF-8; save it as UTF-8");
        }
        if self.buffer.starts_with(&[0xef, 0xbb, 0xbf]) {
            self.from = 3;
            self.given = 3;
        }
        self.seen = self.from;
        let rest = &self.buffer[self.from..];
        if rest.contains(&0) || rest.starts_with(b"PK\x03\x04") || rest.starts_with(b"%PDF") {
            bail!("this is a binary file; accepted: comma-separated values; save the sheet as CSV");
        }
        if !rest.contains(&b'\n') && rest.contains(&b'\r') {
            self.is_mac = true;
            line_ends(&mut self.buffer);
        }
        let rest = &self.buffer[self.from..];
        let first = rest.split(|it| *it == b'\n').next().unwrap_or_default();
        self.delimiter = delimiter_of(first);
        self.scan = Scan::new(self.delimiter);
        self.fields = Fields::new(self.delimiter);
        let heading = self.next()?;
        if let Some(Record { fields: Ok(it), .. }) = &heading {
            self.cells = Some(it.len());
        }
        Ok(heading)
    }

    /// The next record that is not blank.
    pub fn next(&mut self) -> Result<Option<Record>> {
        loop {
            let ahead = &self.buffer[self.seen..];
            let found = match self.cut {
                Cut::Table => self.scan.end(ahead),
                Cut::Lines => ahead.iter().position(|it| *it == b'\n').map(|it| it + 1),
            };
            let (end, is_closed) = match found {
                Some(length) => (self.seen + length, true),
                None => {
                    self.seen = self.buffer.len();
                    let waiting = self.buffer.len() - self.from;
                    if !self.ended && waiting <= longest() {
                        self.more()?;
                        continue;
                    }
                    if waiting == 0 {
                        return Ok(None);
                    }
                    if self.scan.is_open() || !self.ended {
                        return Ok(Some(self.first_line()));
                    }
                    (self.buffer.len(), false)
                }
            };
            let bytes = &self.buffer[self.from..end];
            let lines = bytes.iter().filter(|it| **it == b'\n').count() as u64;
            let fields = match self.cut {
                Cut::Table => self.fields.of(bytes),
                Cut::Lines => vec![bytes.trim_ascii().to_vec()],
            };
            if lines > 1 && self.cells.is_some_and(|it| it != fields.len()) {
                return Ok(Some(self.first_line()));
            }
            let line = self.line;
            self.begun = line;
            self.given += bytes.len() as u64;
            self.line += lines;
            self.from = end;
            self.seen = end;
            if fields
                .iter()
                .any(|it| !it.iter().all(u8::is_ascii_whitespace))
            {
                return Ok(Some(Record {
                    line,
                    fields: Ok(fields),
                    is_closed,
                }));
            }
        }
    }

    /// Gives up the line on which the record begins, and goes on behind it.
    fn first_line(&mut self) -> Record {
        let rest = &self.buffer[self.from..];
        let cut = rest.iter().position(|it| *it == b'\n');
        let told = match cut {
            Some(_) => "batch.row_open",
            None if self.ended => "batch.row_open",
            None => "batch.row_long",
        };
        let length = cut.map_or(rest.len(), |it| it + 1);
        let line = self.line;
        self.begun = line;
        self.from += length;
        self.seen = self.from;
        self.given += length as u64;
        self.line += u64::from(cut.is_some());
        self.scan = Scan::new(self.delimiter);
        Record {
            line,
            fields: Err(say(told).to_string()),
            is_closed: cut.is_some(),
        }
    }
}

/// Line ends of old Macs as the rest of the world has them.
fn line_ends(bytes: &mut [u8]) {
    for it in bytes.iter_mut().filter(|it| **it == b'\r') {
        *it = b'\n';
    }
}

/// Bytes of the longest record.
fn longest() -> usize {
    range("file.bytes").high as usize
}

/// The floors of a table, in its order.
pub struct Floors {
    records: Records,
    pub columns: Columns,
    waiting: Option<Row>,
    /// Digests of the visits that were seen: eight bytes a visit, however long its name.
    known: HashSet<u64>,
}

impl Floors {
    /// Opens a table and reads its heading.
    pub fn open(path: &Path, habits: Habits) -> Result<Self> {
        let mut records = Records::open(path)?;
        let name = told_path(path);
        let heading = records.heading().with_context(|| name.clone())?;
        let heading = match heading {
            None => bail!(
                "{name}: the file is empty; accepted: a heading and a row for each floor; write the names of the visit file in the first line"
            ),
            Some(it) => match it.fields {
                Ok(fields) => fields,
                Err(told) => bail!("{name}, line 1: {told}"),
            },
        };
        let most = range("file.columns").high as usize;
        if heading.len() > most {
            let blanks = [
                ("given", &*heading.len().to_string()),
                ("most", &most.to_string()),
            ];
            bail!(
                "{name}, line 1: {}",
                say_with("batch.columns_many", &blanks)
            );
        }
        match Columns::of(&heading, habits) {
            Ok(columns) => {
                if columns.leaves_kinds_unsaid() {
                    output::tell(&say_with("batch.no_kinds", &[("file", &name)]));
                }
                Ok(Self {
                    columns: columns.parted_by(records.delimiter),
                    records,
                    waiting: None,
                    known: HashSet::new(),
                })
            }
            Err(mut wrong) => {
                let more = wrong.len().saturating_sub(TOLD_AT_MOST);
                wrong.truncate(TOLD_AT_MOST);
                if more > 0 {
                    wrong.push(format!("and {more} more columns that are no field"));
                }
                bail!(
                    "{name}, line 1, {}",
                    wrong.join(&format!("\n{name}, line 1, "))
                )
            }
        }
    }

    /// Bytes of the floors given so far.
    pub fn given(&self) -> u64 {
        self.records.given
    }

    fn row(&mut self) -> Result<Option<Row>> {
        if let Some(row) = self.waiting.take() {
            return Ok(Some(row));
        }
        let record = self.records.next().context("reading the table of floors")?;
        Ok(record.map(|it| Row {
            line: it.line,
            cells: it.fields,
        }))
    }

    /// The rows of the next floor.
    pub fn next(&mut self) -> Result<Option<Rows>> {
        let Some(first) = self.row()? else {
            return Ok(None);
        };
        let Some(visit) = visit_of(&self.columns, &first) else {
            return Ok(Some(Rows {
                rows: vec![first],
                is_torn: false,
            }));
        };
        let mut hasher = DefaultHasher::new();
        visit.hash(&mut hasher);
        let is_torn = !self.known.insert(hasher.finish());
        let mut rows = vec![first];
        while let Some(row) = self.row()? {
            if visit_of(&self.columns, &row).as_ref() != Some(&visit) {
                self.waiting = Some(row);
                break;
            }
            // One more than a visit can have is enough to say so.
            if rows.len() as f64 <= range("file.readings").high {
                rows.push(row);
            }
        }
        Ok(Some(Rows { rows, is_torn }))
    }
}
