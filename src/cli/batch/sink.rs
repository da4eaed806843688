//! Where results go: a file that grows beside its place and takes it when it is whole, or
//! standard output.

use super::super::output::{target_of, told_path};
use super::source::Records;
use crate::batch::{Columns, FloorResult, OutcomeRow};
use anyhow::{Context, Result, anyhow, bail};
use std::fs::{File, OpenOptions};
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// How results are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Csv,
    JsonLines,
}

impl Kind {
    /// By the end of a file's name.
    pub fn of_path(path: &Path) -> Result<Self> {
        let end = path
            .extension()
            .map(|it| it.to_string_lossy().to_lowercase());
        match end.as_deref() {
            Some("csv") => Ok(Kind::Csv),
            Some("jsonl") => Ok(Kind::JsonLines),
            _ => bail!(
                "{}: the name tells no format; accepted: a name that ends in .csv or .jsonl, or -",
                told_path(path)
            ),
        }
    }
}

/// Results read back, floor by floor.
pub struct KeptLines {
    records: Records,
    kind: Kind,
    names: csv::StringRecord,
    path: PathBuf,
    is_part: bool,
    /// Bytes up to the end of the last whole floor.
    whole: u64,
}

impl KeptLines {
    /// Opens results; the heading of a table is read.
    pub fn open(path: &Path, kind: Kind) -> Result<Self> {
        let mut records = Records::open(path)?;
        let mut names = csv::StringRecord::new();
        let mut whole = 0;
        if kind == Kind::JsonLines {
            records = records.of_lines();
        } else if let Some(heading) = records.heading().with_context(|| told_path(path))?
            && let Ok(fields) = heading.fields
            && (heading.is_closed || !is_part(path))
        {
            names = texts_of(&fields);
            whole = records.given;
        }
        Ok(Self {
            records,
            kind,
            names,
            is_part: is_part(path),
            path: path.to_path_buf(),
            whole,
        })
    }

    /// Whether not even a heading is there.
    pub fn is_bare(&self) -> bool {
        self.whole == 0
    }

    /// Whether a column stands in the heading.
    pub fn has(&self, name: &str) -> bool {
        self.names.iter().any(|it| it == name)
    }

    /// Whether the heading is that of results.
    pub fn is_whole_heading(&self, columns: &Columns) -> bool {
        self.names == FloorResult::names(columns)
    }

    /// The next whole floor; a last one that is torn counts as not there.
    pub fn next(&mut self) -> Result<Option<FloorResult>> {
        self.next_as(FloorResult::from_csv, FloorResult::from_json)
    }

    /// The next floor's outcome and what was stated of it, with its line.
    pub fn next_outcome(&mut self) -> Result<Option<(u64, OutcomeRow)>> {
        let row = self.next_as(
            |names, row| row.deserialize(Some(names)),
            |line| serde_json::from_slice(line),
        )?;
        Ok(row.map(|it| (self.records.begun, it)))
    }

    fn next_as<T>(
        &mut self,
        of_csv: impl Fn(&csv::StringRecord, &csv::StringRecord) -> Result<T, csv::Error>,
        of_json: impl Fn(&[u8]) -> Result<T, serde_json::Error>,
    ) -> Result<Option<T>> {
        let Some(record) = self.records.next()? else {
            return Ok(None);
        };
        let line = record.line;
        let fields = record.fields.unwrap_or_default();
        let row: Option<T> = match self.kind {
            Kind::Csv if fields.len() == self.names.len() => {
                of_csv(&self.names, &texts_of(&fields)).ok()
            }
            Kind::Csv => None,
            Kind::JsonLines => fields.first().and_then(|it| of_json(it).ok()),
        };
        match row {
            Some(row) if record.is_closed || !self.is_part => {
                self.whole = self.records.given;
                Ok(Some(row))
            }
            // The last line of an interrupted run may be torn.
            _ if self.is_part => Ok(None),
            _ => Err(anyhow!(
                "{}, line {line}: this is no line of results; accepted: lines that batch wrote; give the file of a run",
                told_path(&self.path)
            )),
        }
    }
}

/// Outcomes that a person filled in into results that are there.
pub fn outcomes_in(path: &Path, kind: Kind) -> u64 {
    let Ok(mut kept) = KeptLines::open(path, kind) else {
        return 0;
    };
    if kind == Kind::Csv && !kept.has("outcome") {
        return 0;
    }
    let mut count = 0;
    while let Ok(Some((_, row))) = kept.next_outcome() {
        count += u64::from(row.outcome.is_some_and(|it| !it.trim().is_empty()));
    }
    count
}

fn is_part(path: &Path) -> bool {
    path.extension().is_some_and(|it| it == "part")
}

fn texts_of(fields: &[Vec<u8>]) -> csv::StringRecord {
    fields
        .iter()
        .map(|it| String::from_utf8_lossy(it))
        .collect::<Vec<_>>()
        .into()
}

/// Where results go.
pub enum Sink {
    /// Standard output, or what is no regular file: a pipe, a device.
    Through(Box<dyn Write>),
    File {
        file: File,
        part: PathBuf,
        target: PathBuf,
    },
}

/// The file that grows until it is whole, beside the file that it becomes.
pub fn part_of(path: &Path) -> PathBuf {
    let mut name = target_of(path).into_os_string();
    name.push(".part");
    PathBuf::from(name)
}

/// Whether results grow beside their place; a pipe or a device has no such place.
pub fn has_part(path: &Path) -> bool {
    std::fs::metadata(path).map_or(true, |it| it.is_file())
}

/// Takes the file for this run alone, as long as it is open.
fn locked(file: File, part: &Path) -> Result<File> {
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(std::fs::TryLockError::WouldBlock) => bail!(
            "{}: another run is writing this now; wait for it, or give another name with -o",
            told_path(part)
        ),
        // Some file systems know no locks.
        Err(std::fs::TryLockError::Error(_)) => Ok(file),
    }
}

impl Sink {
    /// Begins new results.
    pub fn begin(path: Option<&Path>, heading: &str) -> Result<Self> {
        let mut sink = match path {
            None => Sink::Through(Box::new(std::io::stdout())),
            Some(path) if !has_part(path) => {
                let file = OpenOptions::new()
                    .write(true)
                    .open(path)
                    .with_context(|| format!("{}: cannot be written", told_path(path)))?;
                Sink::Through(Box::new(file))
            }
            Some(path) => Self::new_part(path)?,
        };
        sink.add(heading)?;
        Ok(sink)
    }

    fn new_part(path: &Path) -> Result<Self> {
        let (part, target) = (part_of(path), target_of(path));
        match OpenOptions::new().write(true).create_new(true).open(&part) {
            Ok(file) => {
                if let Ok(it) = std::fs::metadata(&target) {
                    file.set_permissions(it.permissions()).ok();
                }
                Ok(Sink::File {
                    file: locked(file, &part)?,
                    part,
                    target,
                })
            }
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
                if let Ok(file) = OpenOptions::new().write(true).open(&part) {
                    locked(file, &part)?;
                }
                bail!(
                    "{}: an interrupted run left this; add --resume to go on with it, or delete it",
                    told_path(&part)
                )
            }
            Err(error) => bail!(
                "{}: cannot be written; check that the folder is there: {error}",
                told_path(&part)
            ),
        }
    }

    /// Goes on with results that were interrupted. What is torn at their end is cut off once
    /// `behind` has said where the last whole line ends.
    pub fn go_on(path: &Path) -> Result<Self> {
        let part = part_of(path);
        let file = OpenOptions::new()
            .write(true)
            .open(&part)
            .with_context(|| format!("{}: cannot be written", told_path(&part)))?;
        Ok(Sink::File {
            file: locked(file, &part)?,
            target: target_of(path),
            part,
        })
    }

    /// Cuts off what stands behind the last whole line.
    pub fn behind(&mut self, kept: &KeptLines) -> Result<()> {
        if let Sink::File { file, part, .. } = self {
            let told = || format!("{}: cannot be written", told_path(part));
            file.set_len(kept.whole).with_context(told)?;
            file.seek(SeekFrom::End(0)).with_context(told)?;
        }
        Ok(())
    }

    /// Adds whole lines.
    pub fn add(&mut self, lines: &str) -> Result<()> {
        match self {
            Sink::Through(file) => {
                match file.write_all(lines.as_bytes()).and_then(|()| file.flush()) {
                    // A reader such as `head` may have seen enough.
                    Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
                    other => other.context("writing results"),
                }
            }
            Sink::File { file, part, .. } => file
                .write_all(lines.as_bytes())
                .with_context(|| format!("{}: cannot be written", told_path(part))),
        }
    }

    /// Puts whole results in their place.
    pub fn end(self) -> Result<()> {
        if let Sink::File { file, part, target } = self {
            let told = || format!("{}: cannot be written", told_path(&target));
            file.sync_all().with_context(told)?;
            std::fs::rename(&part, &target).with_context(told)?;
        }
        Ok(())
    }

    /// Leaves nothing behind.
    pub fn drop_part(self) {
        if let Sink::File { part, .. } = self {
            std::fs::remove_file(part).ok();
        }
    }
}
