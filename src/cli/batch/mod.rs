//! The command `batch`: a table of floors in, a table of results out.

mod sink;
pub(super) mod source;
mod work;

use super::args::{BatchArgs, BatchFormat};
use super::ask::is_someone_there;
use super::files::Files;
use super::floor::{Done, read_text, read_weather, sheet_note};
use super::output::{self, told_path};
use super::prompt::Terminal;
use super::values::DateOrderArg;
use crate::batch::{
    FloorResult, Habits, Options, Outcome, Problem, Reliability, Summary, template, unclear_day,
    worklist_csv, worklist_ics,
};
use crate::survey::DateOrder;
use crate::verdict::Detail;
use crate::verdict::finish::DataSheet;
use crate::words::{Language, say, say_with};
use anyhow::{Context, Result, bail};
use indicatif::{ProgressBar, ProgressStyle};
use sink::{KeptLines, Kind, Sink, has_part, outcomes_in, part_of};
use source::Floors;
use std::io::{IsTerminal, Read};
use std::path::{Path, PathBuf};
use work::Shared;

/// Problems that are told one by one; the results have them all.
const TOLD_AT_MOST: u64 = 100;

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
    /// Stated chances against what came of the floors.
    Outcomes {
        results: PathBuf,
        kind: Kind,
        output: Option<PathBuf>,
    },
    Screen(Box<ScreenAll>),
    /// An empty table of floors and a filled example beside it.
    Template {
        empty: PathBuf,
        filled: PathBuf,
    },
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

/// The form of the results: as asked for, or by the name of their file.
fn kind_of_results(format: Option<BatchFormat>, output: Option<&Path>) -> Result<Kind> {
    let by_name = match output {
        // A pipe or a device has no name that tells.
        Some(path) if !has_part(path) => Kind::of_path(path).ok(),
        Some(path) => Some(Kind::of_path(path)?),
        None => None,
    };
    Ok(match (format, by_name) {
        (Some(BatchFormat::Csv), None) | (None, None) => Kind::Csv,
        (Some(BatchFormat::Jsonl), None) => Kind::JsonLines,
        (_, Some(kind)) => kind,
    })
}

/// Every file that is read or written, before any work: none twice, and each can be written.
fn check_files(typed: &BatchArgs, floors: &Path, output: Option<&Path>) -> Result<()> {
    let mut files = Files::default();
    files.reads("FLOORS", Some(floors))?;
    files.reads("--finish", typed.finish.as_deref())?;
    files.reads("--weather", typed.weather.as_deref())?;
    match output {
        Some(path) => {
            files.writes("-o", Some(path))?;
            if has_part(path) {
                files.writes("the growing file of -o,", Some(&part_of(path)))?;
            }
        }
        None => files.writes_stdout()?,
    }
    files.writes("--summary", typed.summary.as_deref())?;
    for path in &typed.worklist {
        files.writes("--worklist", Some(path))?;
    }
    Ok(())
}

/// A worklist's format, by the name of its file.
fn is_calendar(path: &Path) -> bool {
    path.extension()
        .is_some_and(|it| it.eq_ignore_ascii_case("ics"))
}

/// Files that are there and are not of an earlier run stay: known before any work.
fn check_there(typed: &BatchArgs, kind: Kind, output: Option<&Path>) -> Result<()> {
    if let Some(path) = output.filter(|it| has_part(it)) {
        // Columns of the office's own stand behind ours.
        let starts = match kind {
            Kind::Csv => format!("{},", FloorResult::NAMES[..6].join(",")),
            Kind::JsonLines => format!("{{\"{}\":", FloorResult::NAMES[0]),
        };
        let there = std::fs::File::open(path).ok();
        let mut first = vec![0; starts.len()];
        let is_ours = match there {
            Some(mut file) => {
                let is_empty = file.metadata().is_ok_and(|it| it.len() == 0);
                is_empty || (file.read_exact(&mut first).is_ok() && first == starts.as_bytes())
            }
            None => true,
        };
        if !is_ours {
            let file = told_path(path);
            bail!("{}", say_with("batch.error.not_ours", &[("file", &file)]));
        }
    }
    if let Some(path) = &typed.summary {
        output::check_ours(path, "")?;
    }
    for path in &typed.worklist {
        let like = if is_calendar(path) {
            worklist_ics(&[])
        } else {
            worklist_csv(&[])
        };
        output::check_ours(path, &like)?;
    }
    Ok(())
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
            Files::check(&[("--outcomes", Some(&results))], typed.output.as_deref())?;
            return Ok(BatchPlan::Outcomes {
                results,
                kind,
                output: typed.output,
            });
        }
        if let Some(empty) = typed.template {
            let filled = empty.with_extension("example.csv");
            // A table that somebody filled has the very heading of an empty one.
            for path in [&empty, &filled] {
                let is_filled =
                    std::fs::metadata(path).is_ok_and(|it| it.is_file() && it.len() > 0);
                if is_filled {
                    let file = told_path(path);
                    bail!(
                        "{}",
                        say_with("batch.error.template_there", &[("file", &file)])
                    );
                }
            }
            return Ok(BatchPlan::Template { empty, filled });
        }
        let Some(floors) = typed.floors.clone() else {
            bail!("no table of floors; give FLOORS.csv, or --outcomes RESULTS.csv");
        };
        let output = typed.output.clone().filter(|it| it.as_os_str() != "-");
        let kind = kind_of_results(typed.format, output.as_deref())?;
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
        let weather = typed.weather.as_deref().map(read_weather).transpose()?;
        check_files(&typed, &floors, output.as_deref())?;
        if !typed.force {
            check_there(&typed, kind, output.as_deref())?;
        }
        if let Some(path) = output.as_deref().filter(|it| has_part(it) && !typed.force) {
            let filled = outcomes_in(path, kind);
            if filled > 0 {
                bail!(
                    "{}: {filled} outcomes are filled in there, which new results would not have; give another name with -o, or copy them into the column outcome of your table and add --force",
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
        if let Some(note) = sheet.as_ref().and_then(sheet_note) {
            output::tell(&note);
        }
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        Ok(BatchPlan::Screen(Box::new(ScreenAll {
            floors,
            output,
            kind,
            options: Options {
                detail: if typed.ways {
                    Detail::Ways
                } else if typed.bare {
                    Detail::Chances
                } else {
                    Detail::Headline
                },
                quoted: typed.quote,
                sheet,
                sheet_text: sheet_text.unwrap_or_default(),
                months_had: weather.unwrap_or_default(),
                habits: Habits {
                    keep_columns: typed.keep_columns,
                    dates: typed.dates.map(DateOrderArg::order),
                    assumed: typed.assume.unwrap_or_default(),
                },
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
            BatchPlan::Outcomes {
                results,
                kind,
                output,
            } => outcomes(&results, kind, output.as_deref()),
            BatchPlan::Screen(all) => all.with_dates()?.run(),
            BatchPlan::Template { empty, filled } => {
                let (heading, example) = template();
                output::write_text(Some(&empty), &heading)?;
                output::write_text(Some(&filled), &example)?;
                let name = told_path(&filled);
                output::tell(&say_with("batch.template", &[("filled", &name)]));
                Ok(Done::All)
            }
        }
    }
}

fn outcomes(results: &Path, kind: Kind, output: Option<&Path>) -> Result<Done> {
    let mut lines = KeptLines::open(results, kind)?;
    let wanted = ["grade", "exceedance_probability", "outcome"];
    let name = told_path(results);
    if kind == Kind::Csv && !wanted.iter().all(|it| lines.has(it)) {
        bail!(
            "{name}: columns are missing; accepted: results of batch, with {}; fill in outcome there",
            wanted.join(", ")
        );
    }
    let mut table = Reliability::default();
    let mut told = Told::default();
    while let Some((line, row)) = lines.next_outcome()? {
        if let Err((column, why)) = table.add(&row) {
            told.problem(&format!("{name}, line {line}, column {column}: {why}"));
        }
    }
    told.rest();
    output::write_text(output, &table.text())?;
    Ok(match (table.floors(), table.not_read()) {
        (0, _) => {
            let words = Outcome::ALL.map(Outcome::word).join(", ");
            let why = say_with("batch.outcomes_nothing", &[("words", &words)]);
            output::tell(&format!("error: {name}: {why}"));
            Done::Nothing
        }
        (_, 0) => Done::All,
        _ => Done::Some,
    })
}

/// Problems on stderr, up to a number that somebody reads.
#[derive(Default)]
struct Told {
    count: u64,
}

impl Told {
    fn problem(&mut self, text: &str) {
        self.count += 1;
        if self.count <= TOLD_AT_MOST {
            output::tell(&format!("error: {text}"));
        }
    }

    /// Says how many were not said.
    fn rest(&self) {
        let more = self.count.saturating_sub(TOLD_AT_MOST);
        if more > 0 {
            let count = more.to_string();
            let told = say_with("batch.more_problems", &[("count", &count)]);
            output::tell(&format!("error: {told}"));
        }
    }
}

impl ScreenAll {
    /// Asks once which number comes first, where days of the table could be two and somebody is
    /// there to say.
    fn with_dates(mut self) -> Result<Self> {
        if self.options.habits.dates.is_some()
            || self.floors.as_os_str() == "-"
            || !is_someone_there()
        {
            return Ok(self);
        }
        let mut floors = Floors::open(&self.floors, self.options.habits)?;
        while let Some(rows) = floors.next()? {
            if let Some(day) = unclear_day(&floors.columns, &rows) {
                let question = say_with("batch.which_first", &[("day", &day)]);
                let help = say("batch.which_first_help");
                let month_first =
                    Terminal::of_this_terminal(Language::English).yes_or_no(&question, help)?;
                self.options.habits.dates = match month_first {
                    Some(true) => Some(DateOrder::MonthFirst),
                    Some(false) => Some(DateOrder::DayFirst),
                    None => bail!("stopped before anything was done"),
                };
                break;
            }
        }
        Ok(self)
    }

    fn run(self) -> Result<Done> {
        let mut floors = Floors::open(&self.floors, self.options.habits)?;
        let columns = floors.columns.clone();
        let mut summary = if self.worklist.is_empty() {
            Summary::default()
        } else {
            Summary::with_worklist()
        };
        let bar = self.bar();
        let heading = match self.kind {
            Kind::Csv => FloorResult::csv_heading(&columns),
            Kind::JsonLines => String::new(),
        };
        let interrupted = self
            .output
            .as_deref()
            .filter(|it| has_part(it) && part_of(it).exists());
        let mut sink = match (interrupted, self.goes_on) {
            (Some(path), Begins::WhereItStopped) => {
                // Locked before it is read: another run may be writing it.
                let mut sink = Sink::go_on(path)?;
                let kept = self.skip_done(&mut floors, path, &mut summary)?;
                sink.behind(&kept)?;
                if kept.is_bare() {
                    sink.add(&heading)?;
                }
                sink
            }
            _ => Sink::begin(self.output.as_deref(), &heading)?,
        };
        let shared = Shared::new(&columns, &self.options, self.threads);
        let most = if self.options.can_share() {
            CHUNK
        } else {
            CHUNK_ALONE
        };
        let mut told = Told::default();
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
                    Kind::Csv => it.line.to_csv(),
                    Kind::JsonLines => it.line.to_json(),
                };
                failed = failed.take().or_else(|| sink.add(&text).err());
                summary.add(&it.line);
                self.complain(&bar, &it.problems, &mut told);
                bar.inc(step);
            });
            if let Some(error) = failed {
                return Err(error);
            }
            bar.set_position(floors.given());
        }
        bar.finish_and_clear();
        told.rest();
        self.end(sink, &summary)
    }

    /// Writes what stands at the end; results without a floor are not left behind.
    fn end(&self, sink: Sink, summary: &Summary) -> Result<Done> {
        if summary.floors == 0 {
            sink.drop_part();
            bail!(
                "{}: no floor below the heading; accepted: a row for each floor; write one",
                told_path(&self.floors)
            );
        }
        sink.end()?;
        let work = summary.sorted_work();
        for path in &self.worklist {
            let without = work.iter().filter(|it| it.date.is_empty()).count();
            if is_calendar(path) && without > 0 {
                let lists = self.worklist.iter().find(|it| !is_calendar(it));
                let key = match lists {
                    Some(_) => "batch.calendar_without",
                    None => "batch.calendar_without_list",
                };
                let blanks = [
                    ("file", told_path(path)),
                    ("count", without.to_string()),
                    ("list", lists.map(|it| told_path(it)).unwrap_or_default()),
                ];
                let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
                output::tell(&say_with(key, &blanks));
            }
        }
        let text = summary.text();
        output::ask_for(&text);
        if let Some(path) = &self.summary {
            output::write_over(Some(path), &output::harmless(&text))?;
        }
        for path in &self.worklist {
            let text = if is_calendar(path) {
                worklist_ics(&work)
            } else {
                worklist_csv(&work)
            };
            output::write_over(Some(path), &text)?;
        }
        Ok(match summary.errors {
            0 => Done::All,
            some if some == summary.floors => {
                let told = say_with("batch.errors", &[("count", &some.to_string())]);
                output::tell(&format!("error: no floor could be read: {told}"));
                Done::Nothing
            }
            _ => Done::Some,
        })
    }

    /// Passes over the floors whose results are there, and checks that they are of the same
    /// rows, of all of them: a row in error, an outcome and the name of a visit too.
    fn skip_done(
        &self,
        floors: &mut Floors,
        path: &Path,
        summary: &mut Summary,
    ) -> Result<KeptLines> {
        let part = part_of(path);
        let mut kept = KeptLines::open(&part, self.kind)?;
        let name = told_path(&part);
        if !kept.is_bare() && self.kind == Kind::Csv && !kept.is_whole_heading(&floors.columns) {
            bail!(
                "{name}: has other columns than this run; give the options of the interrupted run, or delete it"
            );
        }
        let model = self.options.model();
        while let Some(done) = kept.next()? {
            let Some(rows) = floors.next()? else {
                bail!(
                    "{name}: has more floors than {}; give the table of the interrupted run, or delete it",
                    told_path(&self.floors)
                );
            };
            if !done.is_of(&floors.columns, &rows) {
                let told = say_with("batch.other_rows", &[("part", &name)]);
                bail!(
                    "{}, line {}: {told}",
                    told_path(&self.floors),
                    rows.rows[0].line
                );
            }
            if done.model.as_deref() != Some(&*model) {
                bail!(
                    "{name}: was made by another version or with other options; give the same, or delete it and begin anew"
                );
            }
            summary.add(&done);
        }
        Ok(kept)
    }

    fn complain(&self, bar: &ProgressBar, problems: &[Problem], told: &mut Told) {
        for it in problems {
            let text = format!("{}, {}: {}", told_path(&self.floors), it.place(), it.told);
            bar.suspend(|| told.problem(&text));
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
