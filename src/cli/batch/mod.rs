//! The command `batch`: a table of floors in, a table of results out.

mod sink;
pub(super) mod source;
mod work;

use super::args::{BatchArgs, BatchFormat};
use super::output::{self, told_path};
use super::plan::{Done, read_text};
use crate::batch::{
    Cell, Options, Problem, Reliability, Seen, Summary, cell_text, lines_header, read_floor,
    to_csv, to_json, worklist_csv, worklist_ics,
};
use crate::survey::digest;
use crate::verdict::Detail;
use crate::verdict::finish::DataSheet;
use anyhow::{Context, Result, bail};
use indicatif::{ProgressBar, ProgressStyle};
use sink::{KeptLines, Kind, Sink, part_of};
use source::Floors;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use work::Shared;

/// Floors that are read before they are grouped: enough to find those that are alike.
const CHUNK: usize = 1_024;
/// The same where each floor is a screen of its own.
const CHUNK_ALONE: usize = 128;

/// Rounds of draws that are freed go back to the system at once. The allocator of glibc would
/// learn to keep blocks of their size, and between what threads leave behind they add up: 40
/// megabytes in a file of unlike floors.
fn give_rounds_back() {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    // SAFETY: `mallopt` sets a number of the allocator's and may be called at any time.
    unsafe {
        libc::mallopt(libc::M_MMAP_THRESHOLD, ROUND_BYTES);
    }
}

/// Bytes that a round of draws takes at least, and little else does.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
const ROUND_BYTES: libc::c_int = 2 * 1_024 * 1_024;

/// A run with all its files named and values checked.
pub enum BatchPlan {
    SimulatedFloors {
        results: PathBuf,
        kind: Kind,
        output: Option<PathBuf>,
    },
    Screen(Box<ScreenAll>),
}

/// What a run needs.
pub struct ScreenAll {
    floors: PathBuf,
    /// None for standard output.
    output: Option<PathBuf>,
    kind: Kind,
    options: Options,
    threads: usize,
    goes_on: Begins,
    summary: Option<PathBuf>,
    worklist: Vec<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Begins {
    Anew,
    WhereItStopped,
}

impl BatchPlan {
    /// Finds the files and checks the values of what was typed.
    pub fn of(typed: BatchArgs) -> Result<Self> {
        if let Some(results) = typed.outcomes {
            let kind = if results.as_os_str() == "-" {
                Kind::Csv
            } else {
                Kind::of_path(&results)?
            };
            return Ok(BatchPlan::SimulatedFloors {
                results,
                kind,
                output: typed.output,
            });
        }
        let Some(floors) = typed.floors else {
            bail!("no table of floors; give FLOORS.csv, or --outcomes RESULTS.csv");
        };
        let output = typed.output.filter(|it| it.as_os_str() != "-");
        let by_name = output.as_deref().map(Kind::of_path).transpose()?;
        let kind = match (typed.format, by_name) {
            (Some(BatchFormat::Csv), None) | (None, None) => Kind::Csv,
            (Some(BatchFormat::Jsonl), None) => Kind::JsonLines,
            (_, Some(kind)) => kind,
        };
        if typed.resume && output.is_none() {
            bail!("--resume goes on with a file; name it with -o");
        }
        for path in &typed.worklist {
            let end = path
                .extension()
                .map(|it| it.to_string_lossy().to_lowercase());
            if !matches!(end.as_deref(), Some("csv" | "ics")) {
                bail!(
                    "{}: the name tells no format; accepted: a worklist's name that ends in .csv or .ics",
                    told_path(path)
                );
            }
        }
        let sheet_text = typed.finish.as_deref().map(read_text).transpose()?;
        let sheet = match (&sheet_text, &typed.finish) {
            (Some(text), Some(path)) => {
                Some(DataSheet::parse(text).with_context(|| told_path(path))?)
            }
            _ => None,
        };
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        Ok(BatchPlan::Screen(Box::new(ScreenAll {
            floors,
            output,
            kind,
            options: Options {
                detail: if typed.ways {
                    Detail::Ways
                } else {
                    Detail::Chances
                },
                quoted: typed.quote,
                sheet,
                sheet_text: sheet_text.unwrap_or_default(),
            },
            threads: typed.threads.unwrap_or(cores),
            goes_on: if typed.resume {
                Begins::WhereItStopped
            } else {
                Begins::Anew
            },
            summary: typed.summary,
            worklist: typed.worklist,
        })))
    }

    pub fn run(self) -> Result<Done> {
        give_rounds_back();
        match self {
            BatchPlan::SimulatedFloors {
                results,
                kind,
                output,
            } => outcomes(&results, kind, output.as_deref()),
            BatchPlan::Screen(all) => all.run(),
        }
    }
}

fn outcomes(results: &Path, kind: Kind, output: Option<&Path>) -> Result<Done> {
    let mut lines = KeptLines::open(results, kind)?;
    let wanted = ["grade", "exceedance_probability", "outcome"];
    if kind == Kind::Csv
        && !wanted
            .iter()
            .all(|it| lines.names().iter().any(|name| name == it))
    {
        bail!(
            "{}: columns are missing; accepted: results of batch, with {}; fill in outcome there",
            told_path(results),
            wanted.join(", ")
        );
    }
    let mut table = Reliability::default();
    while let Some(line) = lines.next()? {
        let [grade, chance, outcome] = wanted.map(|it| line.text(it).trim());
        table.add(grade, chance, outcome);
    }
    output::write(output, &table.text())?;
    Ok(if table.floors() > 0 {
        Done::All
    } else {
        Done::Nothing
    })
}

impl ScreenAll {
    fn run(self) -> Result<Done> {
        let mut floors = Floors::open(&self.floors)?;
        let columns = floors.columns.clone();
        let names = lines_header(&self.options);
        let mut summary = if self.worklist.is_empty() {
            Summary::default()
        } else {
            Summary::with_worklist()
        };
        let bar = self.bar();
        let heading = match self.kind {
            Kind::Csv => to_csv(&names.iter().cloned().map(Cell::Text).collect::<Vec<_>>()),
            Kind::JsonLines => String::new(),
        };
        let part = self.output.as_deref().map(part_of);
        let is_there = part.as_deref().is_some_and(Path::exists);
        let mut sink = match (&self.output, self.goes_on) {
            (Some(path), Begins::WhereItStopped) if is_there => {
                let kept = self.skip_done(&mut floors, &names, path, &mut summary)?;
                let mut sink = Sink::go_on(path, &kept)?;
                if kept.is_bare() {
                    sink.add(&heading)?;
                }
                sink
            }
            _ => Sink::begin(self.output.as_deref(), &heading)?,
        };
        let shared = Shared::new(&columns, &names, &self.options, self.threads);
        let most = if self.options.can_share() {
            CHUNK
        } else {
            CHUNK_ALONE
        };
        loop {
            let mut chunk = Vec::new();
            while chunk.len() < most
                && let Some(rows) = floors.next()?
            {
                chunk.push(rows);
            }
            if chunk.is_empty() {
                break;
            }
            let step = (floors.given().saturating_sub(bar.position())) / chunk.len() as u64;
            let mut failed = None;
            shared.screen(chunk, |it| {
                let text = match self.kind {
                    Kind::Csv => to_csv(&it.line),
                    Kind::JsonLines => to_json(&names, &it.line),
                };
                failed = failed.take().or_else(|| sink.add(&text).err());
                let texts: Vec<String> = it.line.iter().map(cell_text).collect();
                summary.add(&Seen::of(|name| {
                    let at = names.iter().position(|it| it == name)?;
                    Some(&texts[at])
                }));
                self.complain(&bar, &it.problems);
                bar.inc(step);
            });
            if let Some(error) = failed {
                return Err(error);
            }
            bar.set_position(floors.given());
        }
        bar.finish_and_clear();
        self.end(sink, &summary)
    }

    /// Writes what stands at the end; results without a floor are not left behind.
    fn end(&self, sink: Sink, summary: &Summary) -> Result<Done> {
        if summary.floors == 0 {
            if let Some(path) = &self.output {
                drop(sink);
                std::fs::remove_file(part_of(path)).ok();
            }
            bail!(
                "{}: no floor below the heading; accepted: a row for each floor; write one",
                told_path(&self.floors)
            );
        }
        sink.end()?;
        let text = summary.text();
        eprint!("{text}");
        if let Some(path) = &self.summary {
            output::write(Some(path), &text)?;
        }
        let work = summary.sorted_work();
        for path in &self.worklist {
            let is_calendar = path
                .extension()
                .is_some_and(|it| it.eq_ignore_ascii_case("ics"));
            let text = if is_calendar {
                worklist_ics(&work)
            } else {
                worklist_csv(&work)
            };
            output::write(Some(path), &text)?;
        }
        Ok(match summary.errors {
            0 => Done::All,
            some if some == summary.floors => Done::Nothing,
            _ => Done::Some,
        })
    }

    /// Passes over the floors whose results are there, and checks that they are the same.
    fn skip_done(
        &self,
        floors: &mut Floors,
        names: &[String],
        path: &Path,
        summary: &mut Summary,
    ) -> Result<KeptLines> {
        let part = part_of(path);
        let mut kept = KeptLines::open(&part, self.kind)?;
        let name = told_path(&part);
        if !kept.is_bare() && self.kind == Kind::Csv && kept.names() != names {
            bail!(
                "{name}: has other columns than this run; give the options of the interrupted run, or delete it"
            );
        }
        while let Some(done) = kept.next()? {
            let Some(rows) = floors.next()? else {
                bail!(
                    "{name}: has more floors than {}; give the table of the interrupted run, or delete it",
                    told_path(&self.floors)
                );
            };
            let floor = read_floor(&floors.columns, &rows);
            let is_same = match &floor.parsed {
                _ if done.text("line") != floor.line.to_string() => false,
                _ if done.text("status") == "error" => true,
                Ok(parsed) => digest(&parsed.visit) == done.text("input_digest"),
                Err(_) => false,
            };
            if !is_same {
                bail!(
                    "{}, line {}: is not the floor that the interrupted run had there; give the same table, or delete {name} and begin anew",
                    told_path(&self.floors),
                    floor.line
                );
            }
            if done.text("model") != self.options.model() {
                bail!(
                    "{name}: was made by another version or with other options; give the same, or delete it and begin anew"
                );
            }
            summary.add(&done.seen());
        }
        Ok(kept)
    }

    fn complain(&self, bar: &ProgressBar, problems: &[Problem]) {
        for it in problems {
            let place = it.place();
            bar.suspend(|| eprintln!("error: {}, {place}: {}", told_path(&self.floors), it.told));
        }
    }

    /// A bar for someone who watches.
    fn bar(&self) -> ProgressBar {
        if !std::io::stderr().is_terminal() {
            return ProgressBar::hidden();
        }
        let length = std::fs::metadata(&self.floors).map(|it| it.len());
        let bar = match length {
            Ok(length) => ProgressBar::new(length),
            Err(_) => ProgressBar::new_spinner(),
        };
        let style =
            ProgressStyle::with_template("{wide_bar} {percent:>3} %  {elapsed} of {duration}");
        if let Ok(style) = style {
            bar.set_style(style);
        }
        bar
    }
}
