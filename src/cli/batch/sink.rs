//! Where results go: a file that grows beside its place and takes it when it is whole, or
//! standard output.

use super::super::output::told_path;
use super::source::Records;
use crate::batch::Seen;
use anyhow::{Context, Result, anyhow, bail};
use std::collections::HashMap;
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

/// One floor of results that are there already.
pub struct Kept {
    values: HashMap<String, String>,
}

impl Kept {
    pub fn text(&self, name: &str) -> &str {
        self.values.get(name).map_or("", String::as_str)
    }

    pub fn seen(&self) -> Seen {
        Seen::of(|name| Some(self.text(name)))
    }
}

/// Results read back, floor by floor.
pub struct KeptLines {
    records: Records,
    kind: Kind,
    names: Vec<String>,
    path: PathBuf,
    is_part: bool,
    /// Bytes up to the end of the last whole floor.
    whole: u64,
}

impl KeptLines {
    /// Opens results; the heading of a table is read.
    pub fn open(path: &Path, kind: Kind) -> Result<Self> {
        let mut records = Records::open(path)?;
        let mut names = Vec::new();
        let mut whole = 0;
        if kind == Kind::JsonLines {
            records = records.of_lines();
        } else if let Some(heading) = records.heading().with_context(|| told_path(path))?
            && let Ok(fields) = heading.fields
            && (heading.is_closed || !is_part(path))
        {
            names = fields.iter().map(|it| text_of(it)).collect();
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

    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// The next whole floor; a last one that is torn counts as not there.
    pub fn next(&mut self) -> Result<Option<Kept>> {
        let Some(record) = self.records.next()? else {
            return Ok(None);
        };
        let line = record.line;
        let fields = record.fields.unwrap_or_default();
        let values: Option<HashMap<String, String>> = match self.kind {
            Kind::Csv if fields.len() == self.names.len() => {
                let texts = fields.iter().map(|it| plain(&text_of(it)));
                Some(self.names.iter().cloned().zip(texts).collect())
            }
            Kind::Csv => None,
            Kind::JsonLines => fields.first().and_then(|it| json_values(it)),
        };
        match values {
            Some(values) if record.is_closed || !self.is_part => {
                self.whole = self.records.given;
                Ok(Some(Kept { values }))
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

fn is_part(path: &Path) -> bool {
    path.extension().is_some_and(|it| it == "part")
}

fn text_of(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Without the mark that keeps a spreadsheet from running a text.
fn plain(text: &str) -> String {
    match text.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@', '\t', '\r']) => rest.to_string(),
        _ => text.to_string(),
    }
}

fn json_values(line: &[u8]) -> Option<HashMap<String, String>> {
    let object: serde_json::Map<String, serde_json::Value> = serde_json::from_slice(line).ok()?;
    let text = |value: serde_json::Value| match value {
        serde_json::Value::Null => String::new(),
        serde_json::Value::String(it) => it,
        other => other.to_string(),
    };
    Some(
        object
            .into_iter()
            .map(|(name, value)| (name, text(value)))
            .collect(),
    )
}

/// Where results go.
pub enum Sink {
    Stdout,
    File {
        file: File,
        part: PathBuf,
        path: PathBuf,
    },
}

/// The file that grows until it is whole.
pub fn part_of(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".part");
    PathBuf::from(name)
}

impl Sink {
    /// Begins new results.
    pub fn begin(path: Option<&Path>, heading: &str) -> Result<Self> {
        let mut sink = match path {
            None => Sink::Stdout,
            Some(path) => {
                let part = part_of(path);
                let file = OpenOptions::new()
                    .write(true)
                    .create_new(true)
                    .open(&part)
                    .map_err(|error| match error.kind() {
                        std::io::ErrorKind::AlreadyExists => anyhow!(
                            "{}: an interrupted run left this; add --resume to go on with it, or delete it",
                            told_path(&part)
                        ),
                        _ => anyhow!(
                            "{}: cannot be written; check that the folder is there: {error}",
                            told_path(&part)
                        ),
                    })?;
                Sink::File {
                    file,
                    part,
                    path: path.to_path_buf(),
                }
            }
        };
        sink.add(heading)?;
        Ok(sink)
    }

    /// Goes on behind the last whole line of results that were interrupted.
    pub fn go_on(path: &Path, kept: &KeptLines) -> Result<Self> {
        let part = part_of(path);
        let told = || format!("{}: cannot be written", told_path(&part));
        let mut file = OpenOptions::new()
            .write(true)
            .open(&part)
            .with_context(told)?;
        file.set_len(kept.whole).with_context(told)?;
        file.seek(SeekFrom::End(0)).with_context(told)?;
        Ok(Sink::File {
            file,
            part,
            path: path.to_path_buf(),
        })
    }

    /// Adds whole lines.
    pub fn add(&mut self, lines: &str) -> Result<()> {
        match self {
            Sink::Stdout => super::super::output::write(None, lines),
            Sink::File { file, part, .. } => file
                .write_all(lines.as_bytes())
                .with_context(|| format!("{}: cannot be written", told_path(part))),
        }
    }

    /// Puts whole results in their place.
    pub fn end(self) -> Result<()> {
        if let Sink::File { file, part, path } = self {
            let told = || format!("{}: cannot be written", told_path(&path));
            file.sync_all().with_context(told)?;
            std::fs::rename(&part, &path).with_context(told)?;
        }
        Ok(())
    }
}
