//! The command `ledger`: a contractor's own floors, kept in one file.

use super::floor::{Done, Floor, read_text, read_weather};
use super::ledger_import::{
    Counts, Prepared, Taken, page_export, table, visit_ahead, wrong_outcome,
};
use super::output;
use super::values::{DateOrderArg, assumed, day};
use crate::batch::{Assumed, Habits, Outcome};
use crate::climate::find_place;
use crate::ledger::check::{Checked, check};
use crate::ledger::due::{due, messages, route_csv, route_ics, route_text};
use crate::ledger::proof::proof_paper;
use crate::ledger::share::{self, for_sharing};
use crate::ledger::{
    Added, FloorKept, FloorSheet, LaterReading, LaterReadings, Ledger, OutcomeKept, Stated,
    Statement, again_said, day_said, filled, floor_text, restated, stated_said, turned_out_said,
    without_withdrawn,
};
use crate::report::Layout;
use crate::survey::{Parsed, Reading, Visit, parse_visit, place_query};
use crate::verdict::Detail;
use crate::verdict::finish::DataSheet;
use crate::words::{say, say_with};
use anyhow::{Context, Result, anyhow, bail};
use chrono::NaiveDate;
use clap::{Args as ClapArgs, Subcommand, ValueEnum};
use std::io::{BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

/// A reading from before this many days ahead of the first visit is a slip.
const LONG_BEFORE_DAYS: u64 = 366;

#[derive(Debug, ClapArgs)]
pub struct LedgerArgs {
    /// The ledger's file; `show`, `due` and `check` read the lines of an export (.jsonl) too.
    #[arg(
        long,
        global = true,
        value_name = "FILE",
        default_value = "floors.ledger"
    )]
    pub ledger: PathBuf,
    /// The day to write down [default: today].
    #[arg(long, global = true, value_name = "DATE", value_parser = day)]
    pub on: Option<NaiveDate>,
    #[command(subcommand)]
    pub action: Action,
}

#[derive(Debug, Subcommand)]
pub enum Action {
    /// Keep a visit: its result as printed today, and its statement sealed.
    Add(AddArgs),
    /// Keep a later reading of a floor and update the floor with it.
    AddReading(ReadingArgs),
    /// Mark a reading as wrong; it stays in the ledger.
    Withdraw {
        /// Job label, or a number such as #12; may be left out where the ledger has one floor.
        /// Then the number of the reading, from `ledger show FLOOR`.
        #[arg(required = true, num_args = 1..=2, value_name = "[FLOOR] READING")]
        reading: Vec<String>,
        /// What was wrong with it.
        #[arg(long, value_name = "TEXT")]
        why: String,
    },
    /// Keep how a floor turned out.
    Outcome(OutcomeArgs),
    /// List the floors, or everything that is kept of one.
    Show {
        /// Job label, or a number such as #12.
        floor: Option<String>,
    },
    /// List the return visits that tell most, by week and town.
    Due(DueArgs),
    /// Compare what was stated with later readings.
    Check(CheckArgs),
    /// Write the ledger as text that nothing is lost in, or a table to share.
    Export(ExportArgs),
    /// Take in visit files, a season's table, results with outcomes, or a whole ledger's lines.
    Import {
        /// Visit files (.toml), tables (.csv), or lines of a ledger (.jsonl).
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
        /// The manufacturer's data sheet (TOML), for visits without a limit.
        #[arg(long, value_name = "FILE")]
        finish: Option<PathBuf>,
        /// What a reading is where a table does not say, such as meter,percent.
        #[arg(long, value_name = "KIND[,SCALE]", value_parser = assumed)]
        assume: Option<Assumed>,
        /// Which number comes first in a day that could be two, such as 3/4/2026: mdy is March 4.
        #[arg(long, value_name = "ORDER")]
        dates: Option<DateOrderArg>,
    },
    /// Copy the whole ledger while others may go on writing.
    Backup {
        /// The copy; a file that is there already is not written over.
        #[arg(short, long, value_name = "FILE")]
        output: PathBuf,
    },
}

#[derive(Debug, ClapArgs)]
pub struct AddArgs {
    /// The visit file (TOML).
    #[arg(value_name = "VISIT", required = true)]
    pub visits: Vec<PathBuf>,
    /// The manufacturer's data sheet (TOML); of its limits and a visit's, the stricter one counts.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    /// The weather before the visits, month by month (CSV; see `explain weather`); it is kept
    /// with each visit.
    #[arg(long, value_name = "FILE")]
    pub weather: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
pub struct ReadingArgs {
    /// Job label, or a number such as #12.
    pub floor: String,
    /// The reading: percent by weight, percent RH, or pounds; once for each spot.
    #[arg(long, required = true, value_name = "NUMBER")]
    pub value: Vec<String>,
    /// Name of each spot, in the order of the values.
    #[arg(long, value_name = "NAME")]
    pub spot: Vec<String>,
    /// Day of the reading [default: today].
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub date: Option<NaiveDate>,
    /// meter, probe, calcium_chloride or sheet.
    #[arg(long, default_value = "meter")]
    pub kind: String,
    /// Scale of a meter: percent or relative.
    #[arg(long, default_value = "percent")]
    pub scale: String,
    /// The meter's name [default: that of the floor's last reading].
    #[arg(long, value_name = "NAME")]
    pub meter: Option<String>,
    /// Distance to the nearest wall, such as 10ft.
    #[arg(long, value_name = "LENGTH")]
    pub wall_distance: Option<String>,
    /// The weather before the reading, month by month (CSV; see `explain weather`).
    #[arg(long, value_name = "FILE")]
    pub weather: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
pub struct OutcomeArgs {
    /// Job label, or a number such as #12.
    pub floor: String,
    /// held_up, blistered or not_coated.
    pub outcome: String,
    /// Day it was seen [default: today].
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub date: Option<NaiveDate>,
    /// What it was coated with.
    #[arg(long, value_name = "TEXT")]
    pub coated_with: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub struct DueArgs {
    /// First day [default: today].
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub from: Option<NaiveDate>,
    /// How many weeks ahead.
    #[arg(long, value_name = "COUNT", default_value_t = 8, value_parser = clap::value_parser!(u32).range(1..=520))]
    pub weeks: u32,
    /// A route, a table, a calendar (RFC 5545), or texts to send to customers.
    #[arg(long, value_enum, default_value_t = DueFormat::Text)]
    pub format: DueFormat,
    /// Write to this file instead of the screen; a partial file is never left behind.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DueFormat {
    Text,
    Csv,
    Ics,
    Messages,
}

#[derive(Debug, ClapArgs)]
pub struct CheckArgs {
    /// What to print.
    #[arg(long, value_enum, default_value_t = CheckFormat::Text)]
    pub format: CheckFormat,
    /// A seal that was noted earlier; fails where the ledger does not hold it.
    #[arg(long, value_name = "SEAL")]
    pub seal: Option<String>,
    /// Write to this file instead of the screen; a partial file is never left behind.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CheckFormat {
    Text,
    Json,
    Markdown,
    Html,
}

/// Writes a check in the form that was asked for.
pub fn write_checked(checked: &Checked, format: CheckFormat, output: Option<&Path>) -> Result<()> {
    let width = output::width(output.is_none());
    let paper = |layout| proof_paper(checked, layout).laid_out(layout, width);
    let text = match format {
        CheckFormat::Text => paper(Layout::Text),
        CheckFormat::Markdown => paper(Layout::Markdown),
        CheckFormat::Html => paper(Layout::Html),
        CheckFormat::Json => {
            let mut text = serde_json::to_string_pretty(checked).context("plain values")?;
            text.push('\n');
            text
        }
    };
    output::write(output, &text)
}

#[derive(Debug, ClapArgs)]
pub struct ExportArgs {
    /// A new folder, or the file to share.
    #[arg(short, long, value_name = "PATH")]
    pub output: PathBuf,
    /// A table without labels, days of the month and places finer than three digits.
    #[arg(long)]
    pub for_sharing: bool,
    /// Write the table to share without being asked.
    #[arg(long)]
    pub yes: bool,
}

impl LedgerArgs {
    /// The day that is written down; the only clock of the ledger.
    pub fn day(&self) -> NaiveDate {
        self.on.unwrap_or_else(|| chrono::Local::now().date_naive())
    }

    /// The ledger to read: a file, or the lines of an export.
    pub fn to_read(&self) -> Result<Ledger> {
        opened(&self.ledger)
    }

    /// Runs the command.
    pub fn run(&self) -> Result<Done> {
        match &self.action {
            Action::Add(typed) => self.add(typed),
            Action::AddReading(typed) => self.add_reading(typed),
            Action::Withdraw { reading, why } => self.withdraw(reading, why),
            Action::Outcome(typed) => self.outcome(typed),
            Action::Show { floor } => self.show(floor.as_deref()),
            Action::Due(typed) => self.due(typed),
            Action::Check(typed) => self.check(typed),
            Action::Export(typed) => self.export(typed),
            Action::Import {
                files,
                finish,
                assume,
                dates,
            } => {
                let habits = Habits {
                    keep_columns: true,
                    dates: dates.map(DateOrderArg::order),
                    assumed: assume.unwrap_or_default(),
                };
                self.import(files, finish.as_deref(), habits)
            }
            Action::Backup { output } => {
                Ledger::open(&self.ledger)?.back_up(output)?;
                let file = output.display().to_string();
                print(&[say_with("ledger.copied", &[("file", &file)])])
            }
        }
    }

    fn to_write(&self) -> Result<Ledger> {
        let ledger = Ledger::open_or_begin(&self.ledger)?;
        if let Some(copy) = &ledger.copied_to {
            let file = copy.display().to_string();
            output::tell(&say_with("ledger.copied_first", &[("file", &file)]));
        }
        Ok(ledger)
    }

    fn add(&self, typed: &AddArgs) -> Result<Done> {
        let mut ledger = self.to_write()?;
        let weather = typed.weather.as_deref().map(read_weather).transpose()?;
        let mut lines = Vec::new();
        for path in &typed.visits {
            let mut floor = Floor::read(path, typed.finish.as_deref())?;
            let name = path.display().to_string();
            if let Some(told) = visit_ahead(&name, &floor.parsed.visit, self.day()) {
                bail!("{told}");
            }
            if let Some(months) = &weather {
                floor.lives_through(months.clone())?;
            }
            if let Some(label) = &floor.parsed.visit.label
                && names_a_person(label)
            {
                output::tell(&say_with("ledger.label_odd", &[("label", label)]));
            }
            let coming = Prepared::of(
                floor.parsed,
                floor.place,
                floor.sheet.as_ref(),
                self.day(),
                Detail::Everything,
            );
            let added = ledger.add_visits(&[coming.coming(self.day())])?;
            let day = coming.parsed.visit.visit_date;
            let visits = ledger.visits(added[0].floor)?;
            let first = visits.iter().map(|it| it.day).filter(|it| *it != day).min();
            let came = Came::Visit { day, first };
            lines.extend(added_lines(&ledger, &added[0], &coming.stated, came)?);
        }
        print(&lines)
    }

    fn add_reading(&self, typed: &ReadingArgs) -> Result<Done> {
        let mut ledger = Ledger::open(&self.ledger)?;
        let floor = ledger.find(&typed.floor)?;
        let visits = ledger.visits(floor.id)?;
        let newest = visits
            .iter()
            .rev()
            .find(|it| it.origin != "results")
            .ok_or_else(|| anyhow!("{}: {}", floor.name(), say("ledger.no_place_for_reading")))?;
        let parsed = parse_visit(&newest.content, &floor.name()).map_err(|it| anyhow!("{it}"))?;
        let first = visits.iter().map(|it| it.day).min();
        let read_on = typed.date.unwrap_or(self.day());
        self.check_day_of_reading(read_on, first)?;
        let readings = typed.readings(&parsed.visit, read_on)?;
        let kept = ledger.readings(floor.id)?;
        let gone = kept.iter().filter(|it| it.withdrawn.is_some());
        let gone: Vec<&str> = gone.map(|it| it.content.as_str()).collect();
        let visit = restated(&without_withdrawn(&parsed.visit, &gone), &readings);
        let place = find_place(&place_query(&visit.place))?;
        let mut again = Floor {
            parsed: Parsed {
                visit,
                notes: Vec::new(),
            },
            place,
            sheet: None,
        };
        if let Some(path) = &typed.weather {
            again.lives_through(read_weather(path)?)?;
        }
        let mut coming = Prepared::of(
            again.parsed,
            again.place,
            None,
            self.day(),
            Detail::Everything,
        );
        coming.origin = "restated";
        coming.floor = Some(floor.id);
        let added = ledger.add_readings(floor.id, &readings, &coming.coming(self.day()))?;
        let came = Came::Reading {
            day: read_on,
            first: first.unwrap_or(read_on),
            is_same_day: visits.iter().any(|it| it.day == read_on),
        };
        print(&added_lines(&ledger, &added, &coming.stated, came)?)
    }

    /// A later reading is of a day that has come, and not of one long before the first visit: a
    /// slip in the year would be weighed as what it says.
    fn check_day_of_reading(&self, day: NaiveDate, first: Option<NaiveDate>) -> Result<()> {
        let blanks = |bound: NaiveDate| [("day", day.to_string()), ("bound", bound.to_string())];
        let told = |key: &str, bound: NaiveDate| {
            let blanks = blanks(bound);
            say_with(key, &blanks.each_ref().map(|it| (it.0, it.1.as_str())))
        };
        if day > self.day() {
            bail!("{}", told("ledger.error.reading_ahead", self.day()));
        }
        let least = first.and_then(|it| it.checked_sub_days(chrono::Days::new(LONG_BEFORE_DAYS)));
        match (least, first) {
            (Some(least), Some(first)) if day < least => {
                bail!("{}", told("ledger.error.reading_before", first))
            }
            _ => Ok(()),
        }
    }

    fn withdraw(&self, typed: &[String], why: &str) -> Result<Done> {
        let mut ledger = Ledger::open(&self.ledger)?;
        let all = ledger.each_floor()?;
        let (floor, given) = match (typed, all.as_slice()) {
            ([floor, given], _) => (ledger.find(floor)?, given),
            ([given], [one]) => (one.clone(), given),
            ([given, ..], _) => bail!(
                "{}",
                say_with("ledger.error.which_floor", &[("given", given)])
            ),
            ([], _) => bail!("{}", say("ledger.error.which_reading")),
        };
        let number: i64 = given.trim().parse().map_err(|_| {
            anyhow!(
                "{}",
                say_with("ledger.error.reading_number", &[("given", given)])
            )
        })?;
        let id = ledger.reading_numbered(&floor, number)?;
        let blanks = [("floor", floor.name()), ("id", number.to_string())];
        let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
        let mut lines = vec![say_with("ledger.withdrawn_done", &blanks)];
        match self.stated_without(&ledger, &floor, id)? {
            None => {
                ledger.withdraw(id, why, self.day(), None)?;
            }
            Some(anew) => {
                let coming = anew.coming(self.day());
                let added = ledger.withdraw(id, why, self.day(), Some(&coming))?;
                lines.push(say("ledger.withdrawn_anew").to_string());
                if let Some(added) = added {
                    let came = Came::Visit {
                        day: anew.parsed.visit.visit_date,
                        first: None,
                    };
                    let told = added_lines(&ledger, &added, &anew.stated, came)?;
                    lines.extend(told.into_iter().take(1));
                }
            }
        }
        print(&lines)
    }

    /// The floor's newest visit stated without a reading; none where it does not weigh it.
    fn stated_without(
        &self,
        ledger: &Ledger,
        floor: &FloorKept,
        reading: i64,
    ) -> Result<Option<Prepared>> {
        let visits = ledger.visits(floor.id)?;
        let Some(newest) = visits.iter().rev().find(|it| it.origin != "results") else {
            return Ok(None);
        };
        let parsed = parse_visit(&newest.content, &floor.name()).map_err(|it| anyhow!("{it}"))?;
        let readings = ledger.readings(floor.id)?;
        let gone: Vec<&str> = readings
            .iter()
            .filter(|it| it.withdrawn.is_some() || it.id == reading)
            .map(|it| it.content.as_str())
            .collect();
        let visit = without_withdrawn(&parsed.visit, &gone);
        if visit == parsed.visit {
            return Ok(None);
        }
        let place = find_place(&place_query(&visit.place))?;
        let anew = Parsed {
            visit,
            notes: Vec::new(),
        };
        let mut anew = Prepared::of(anew, place, None, self.day(), Detail::Everything);
        anew.origin = "restated";
        anew.floor = Some(floor.id);
        Ok(Some(anew))
    }

    fn outcome(&self, typed: &OutcomeArgs) -> Result<Done> {
        let outcome = Outcome::of_text(&typed.outcome).map_err(|told| anyhow!("{told}"))?;
        let word = outcome.word().to_string();
        let mut ledger = Ledger::open(&self.ledger)?;
        let floor = ledger.find(&typed.floor)?;
        let it = OutcomeKept {
            day: typed.date.unwrap_or(self.day()),
            outcome: word,
            coated_with: typed.coated_with.clone(),
            added_on: self.day(),
        };
        let first = ledger.visits(floor.id)?.iter().map(|it| it.day).min();
        if let Some(told) = wrong_outcome(&floor.name(), it.day, self.day(), first) {
            bail!("{told}");
        }
        let is_new = ledger.add_outcome(floor.id, &it)?;
        let key = if is_new {
            "ledger.outcome_added"
        } else {
            "ledger.outcome_known"
        };
        let blanks = [
            ("floor", floor.name()),
            ("outcome", it.outcome.replace('_', " ")),
            ("day", day_said(it.day)),
        ];
        let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
        print(&[say_with(key, &blanks)])
    }

    fn show(&self, name: Option<&str>) -> Result<Done> {
        let ledger = self.to_read()?;
        if let Some(name) = name {
            let floor = ledger.find(name)?;
            let text = floor_text(
                &FloorSheet {
                    floor: &floor,
                    visits: &ledger.visits(floor.id)?,
                    sealed: &ledger.sealed_of(floor.id)?,
                    readings: &ledger.readings(floor.id)?,
                    outcomes: &ledger.outcomes(floor.id)?,
                    again: ledger.again(floor.id)?.as_ref(),
                },
                output::width(true),
            );
            return output::write(None, &text).map(|()| Done::All);
        }
        let mut lines = Vec::new();
        for floor in ledger.each_floor()? {
            let newest = ledger
                .sealed_of(floor.id)?
                .iter()
                .rev()
                .find_map(|it| serde_json::from_str::<Statement>(&it.content).ok());
            let mut told = newest.as_ref().map(stated_said).unwrap_or_default();
            if let Some(outcome) = ledger.outcomes(floor.id)?.last() {
                let turned_out = turned_out_said(outcome);
                told = match told.is_empty() {
                    true => turned_out,
                    false => format!("{told}. {turned_out}"),
                };
            }
            lines.push(format!("{}  {told}", floor.name_and_area()));
        }
        if lines.is_empty() {
            lines.push(say("ledger.empty").to_string());
        }
        if let Some(head) = ledger.head()? {
            let (sealed, _) = ledger.broken_seal()?;
            let blanks = [
                ("floors", ledger.floors()?.to_string()),
                ("sealed", sealed.to_string()),
                ("seal", head),
            ];
            let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
            let is_one = blanks[0].1 == "1" || blanks[1].1 == "1";
            let key = if is_one {
                "ledger.head_plain"
            } else {
                "ledger.head"
            };
            lines.push(say_with(key, &blanks));
        }
        print(&lines)
    }

    fn due(&self, typed: &DueArgs) -> Result<Done> {
        let ledger = self.to_read()?;
        let from = typed.from.unwrap_or(self.day());
        let due = due(&ledger, from, typed.weeks)?;
        let text = match typed.format {
            DueFormat::Text => route_text(&due, output::width(typed.output.is_none())),
            DueFormat::Csv => route_csv(&due),
            DueFormat::Ics => route_ics(&due, from),
            DueFormat::Messages => messages(&due),
        };
        output::write(typed.output.as_deref(), &text).map(|()| Done::All)
    }

    fn check(&self, typed: &CheckArgs) -> Result<Done> {
        let ledger = self.to_read()?;
        let checked = check(&ledger)?;
        write_checked(&checked, typed.format, typed.output.as_deref())?;
        if let Some(noted) = &typed.seal
            && !ledger.has_seal(noted)?
        {
            bail!("{}", say_with("ledger.error.seal_gone", &[("seal", noted)]));
        }
        match checked.broken_seal {
            None => Ok(Done::All),
            Some(_) => bail!("{}", say("ledger.seal_broken_short")),
        }
    }

    fn export(&self, typed: &ExportArgs) -> Result<Done> {
        let ledger = self.to_read()?;
        if typed.for_sharing {
            return export_for_sharing(&ledger, typed);
        }
        let folder = &typed.output;
        let told = || format!("{}: cannot be written; name a new folder", folder.display());
        std::fs::create_dir(folder).with_context(told)?;
        let lines = std::fs::File::create(folder.join("ledger.jsonl")).with_context(told)?;
        let mut lines = std::io::BufWriter::new(lines);
        let mut rows = 0u64;
        let mut failed = None;
        ledger.lines(|line| {
            rows += 1;
            if failed.is_none() {
                failed = lines.write_all(line.as_bytes()).err();
            }
            Ok(())
        })?;
        if let Some(error) = failed {
            return Err(error).with_context(told);
        }
        lines.flush().with_context(told)?;
        let visits = folder.join("visits");
        std::fs::create_dir(&visits).with_context(told)?;
        let mut floors_csv = rows_to(&folder.join("floors.csv"), &FloorRow::COLUMNS)?;
        let mut readings_csv = rows_to(&folder.join("readings.csv"), &ReadingRow::COLUMNS)?;
        let floors = ledger.each_floor()?;
        for floor in &floors {
            for it in ledger.visits(floor.id)? {
                let ending = if it.origin == "results" {
                    "json"
                } else {
                    "toml"
                };
                let name = format!("{}-{}-{}.{ending}", floor.id, it.day, it.digest);
                std::fs::write(visits.join(name), &it.content).with_context(told)?;
            }
            floors_csv.serialize(FloorRow::of(&ledger, floor)?)?;
            for it in ledger.readings(floor.id)? {
                readings_csv.serialize(ReadingRow {
                    floor: floor.id,
                    label: floor.label.clone(),
                    reading: it.number,
                    date: it.day,
                    percent: it.percent,
                    meter: it.meter,
                    withdrawn: it.withdrawn,
                    as_given: it.content,
                })?;
            }
        }
        floors_csv.flush().with_context(told)?;
        readings_csv.flush().with_context(told)?;
        let blanks = [
            ("rows", rows.to_string()),
            ("floors", floors.len().to_string()),
            ("folder", folder.display().to_string()),
        ];
        let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
        print(&[say_with("ledger.exported", &blanks)])
    }

    fn import(&self, files: &[PathBuf], finish: Option<&Path>, habits: Habits) -> Result<Done> {
        let sheet = finish
            .map(|it| -> Result<DataSheet> {
                DataSheet::parse(&read_text(it)?).with_context(|| it.display().to_string())
            })
            .transpose()?;
        let mut ledger = self.to_write()?;
        let mut counts = Counts::default();
        for path in files {
            let ending = path
                .extension()
                .and_then(|it| it.to_str())
                .unwrap_or_default();
            match ending {
                "jsonl" => {
                    let text = whole_text(path)?;
                    let moved = ledger
                        .fill(&text)
                        .with_context(|| path.display().to_string())?;
                    if ledger.broken_seal()?.1.is_some() {
                        output::tell(say("ledger.seal_broken_short"));
                    }
                    counts.added += moved.floors;
                }
                "json" => {
                    let chunk = page_export(path)?;
                    counts.take(&mut ledger, chunk, sheet.as_ref(), (path, self.day()))?;
                }
                "toml" => {
                    let floor = Floor::read(path, None)?;
                    let chunk = vec![(floor.parsed, floor.place, None)];
                    counts.take(&mut ledger, chunk, sheet.as_ref(), (path, self.day()))?;
                }
                _ => {
                    let taken = Taken {
                        habits,
                        sheet: sheet.as_ref(),
                        on: self.day(),
                    };
                    table(path, &mut ledger, &mut counts, taken)?;
                }
            }
        }
        let blanks = [
            ("added", counts.added.to_string()),
            ("known", counts.known.to_string()),
            ("outcomes", counts.outcomes.to_string()),
            ("failed", counts.failed.to_string()),
        ];
        let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
        print(&[say_with("ledger.imported", &blanks)])?;
        Ok(if counts.failed > 0 {
            Done::Some
        } else {
            Done::All
        })
    }
}

impl ReadingArgs {
    /// The readings as typed, checked as those of a visit file are.
    fn readings(&self, visit: &Visit, day: NaiveDate) -> Result<Vec<Reading>> {
        if !self.spot.is_empty() && self.spot.len() != self.value.len() {
            bail!("{}", say("ledger.error.spots"));
        }
        let later = LaterReadings {
            day,
            kind: self.kind.clone(),
            scale: self.scale.clone(),
            meter: self.meter.clone(),
            readings: self
                .value
                .iter()
                .enumerate()
                .map(|(at, value)| LaterReading {
                    value: value.clone(),
                    spot: self.spot.get(at).cloned(),
                    wall_distance: self.wall_distance.clone(),
                })
                .collect(),
        };
        later.checked(visit).map_err(|found| {
            let all: Vec<String> = found.iter().map(|it| it.to_string()).collect();
            anyhow!("{}", all.join("; "))
        })
    }
}

/// What was added to a floor, and of which day.
#[derive(Clone, Copy)]
enum Came {
    /// A visit; the first day of the others.
    Visit {
        day: NaiveDate,
        first: Option<NaiveDate>,
    },
    /// A reading; the day of the first visit.
    Reading {
        day: NaiveDate,
        first: NaiveDate,
        is_same_day: bool,
    },
}

impl Came {
    /// Whether it is a return visit, in a sentence.
    fn said(self) -> String {
        let told = |key: &str, day: NaiveDate, first: NaiveDate| {
            say_with(key, &[("day", &day_said(day)), ("first", &day_said(first))])
        };
        match self {
            Came::Visit {
                day,
                first: Some(first),
            } if day < first => told("ledger.earlier_visit", day, first),
            Came::Visit { .. } => say("ledger.returned").to_string(),
            Came::Reading { day, first, .. } if day < first => {
                told("ledger.earlier_reading", day, first)
            }
            Came::Reading {
                is_same_day: true, ..
            } => say("ledger.same_day_reading").to_string(),
            Came::Reading { .. } => say("ledger.returned_reading").to_string(),
        }
    }
}

fn added_lines(ledger: &Ledger, added: &Added, stated: &Stated, came: Came) -> Result<Vec<String>> {
    let floor = ledger.find(&format!("#{}", added.floor))?;
    let name = floor.name();
    if added.was_known {
        return Ok(vec![say_with("ledger.known", &[("floor", &name)])]);
    }
    let again = match ledger.outcomes(floor.id)?.last() {
        Some(outcome) => turned_out_said(outcome),
        None => stated.again.as_ref().map(again_said).unwrap_or_default(),
    };
    let told = stated_said(&stated.statement);
    let seal = added.seal.clone().unwrap_or_default();
    let blanks = [
        ("floor", name.as_str()),
        ("stated", &told),
        ("seal", &seal[..seal.len().min(16)]),
        ("again", &again),
    ];
    let mut lines = vec![say_with("ledger.added", &blanks)];
    if added.is_return {
        lines.push(came.said());
    }
    Ok(lines)
}

fn export_for_sharing(ledger: &Ledger, typed: &ExportArgs) -> Result<Done> {
    let shared = for_sharing(ledger)?;
    let floors = shared.floors.to_string();
    let blanks = [
        ("rows", shared.rows.to_string()),
        ("floors", floors),
        ("columns", share::COLUMNS.join(", ")),
        ("without", shared.without_area.to_string()),
    ];
    let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
    let first: String = shared
        .csv
        .lines()
        .take(4)
        .map(|it| format!("{it}\n"))
        .collect();
    let told = filled(&[say_with("ledger.sharing", &blanks)], output::width(true));
    output::tell(&format!("{told}{first}"));
    if !typed.yes {
        let there = std::io::stdin().is_terminal() && std::io::stderr().is_terminal();
        if !there {
            bail!("{}", say("ledger.error.not_agreed"));
        }
        output::ask_for(&format!("{} ", say("ledger.sharing_ask")));
        let mut line = String::new();
        std::io::stdin().lock().read_line(&mut line)?;
        if line.trim().to_lowercase() != "yes" {
            return print(&[say("ledger.not_shared").to_string()]);
        }
    }
    output::write(Some(&typed.output), &shared.csv)?;
    let file = typed.output.display().to_string();
    print(&[say_with("ledger.shared", &[("file", &file)])])
}

/// Whether a label looks like a phone number or a street address: a label is for jobs, and goes
/// on routes and lists.
fn names_a_person(label: &str) -> bool {
    let groups: Vec<usize> = label
        .split(|it: char| !it.is_ascii_digit())
        .filter(|it| !it.is_empty())
        .map(str::len)
        .collect();
    // The last seven digits stand as three and four, or all ten together.
    let is_phone = groups.windows(2).any(|it| it == [3, 4]) || groups.contains(&10);
    let words: Vec<String> = label
        .split(|it: char| !it.is_alphanumeric())
        .filter(|it| !it.is_empty())
        .map(str::to_lowercase)
        .collect();
    let street = |it: &String| STREET_WORDS.contains(&it.as_str());
    let number = |it: &String| it.len() <= 5 && it.bytes().all(|it| it.is_ascii_digit());
    let is_address = words
        .windows(2)
        .enumerate()
        .any(|(at, two)| number(&two[0]) && words[at + 1..].iter().take(4).any(street));
    is_phone || is_address
}

/// Words that end the name of a street.
const STREET_WORDS: [&str; 14] = [
    "st", "street", "ave", "avenue", "rd", "road", "dr", "drive", "ln", "lane", "blvd", "ct",
    "court", "way",
];

/// A ledger to read: its file, or lines of an export kept in memory.
pub fn opened(path: &Path) -> Result<Ledger> {
    if path.extension().is_some_and(|it| it == "jsonl") {
        let mut ledger = Ledger::in_memory()?;
        ledger
            .fill(&whole_text(path)?)
            .with_context(|| path.display().to_string())?;
        return Ok(ledger);
    }
    Ok(Ledger::open(path)?)
}

/// A text of any length.
fn whole_text(path: &Path) -> Result<String> {
    std::fs::read_to_string(path)
        .with_context(|| format!("{}: cannot be read; check the path", path.display()))
}

fn print(lines: &[String]) -> Result<Done> {
    output::write(None, &filled(lines, output::width(true)))?;
    Ok(Done::All)
}

/// A new table of rows under a heading.
fn rows_to(path: &Path, columns: &[&str]) -> Result<csv::Writer<std::fs::File>> {
    let mut table = csv::WriterBuilder::new()
        .has_headers(false)
        .from_path(path)
        .with_context(|| path.display().to_string())?;
    table.write_record(columns)?;
    Ok(table)
}

/// A floor in the table of an export.
#[derive(serde::Serialize)]
struct FloorRow {
    floor: i64,
    label: Option<String>,
    area: String,
    region: String,
    stated_on: Option<NaiveDate>,
    grade: Option<String>,
    exceedance_probability: Option<f64>,
    seal: Option<String>,
    outcome: Option<String>,
    outcome_date: Option<NaiveDate>,
    coated_with: Option<String>,
}

impl FloorRow {
    /// Its heading, which stands over no rows too.
    const COLUMNS: [&str; 11] = [
        "floor",
        "label",
        "area",
        "region",
        "stated_on",
        "grade",
        "exceedance_probability",
        "seal",
        "outcome",
        "outcome_date",
        "coated_with",
    ];

    /// With its newest statement and outcome.
    fn of(ledger: &Ledger, floor: &FloorKept) -> Result<Self> {
        let newest = ledger.sealed_of(floor.id)?.pop();
        let statement = newest
            .as_ref()
            .and_then(|it| serde_json::from_str::<Statement>(&it.content).ok());
        let outcome = ledger.outcomes(floor.id)?.pop();
        Ok(Self {
            floor: floor.id,
            label: floor.label.clone(),
            area: floor.area.clone(),
            region: floor.region.clone(),
            stated_on: newest.as_ref().map(|it| it.sealed_on),
            grade: statement.as_ref().and_then(|it| it.grade.clone()),
            exceedance_probability: statement.and_then(|it| it.exceedance_probability),
            seal: newest.map(|it| it.seal),
            outcome: outcome.as_ref().map(|it| it.outcome.clone()),
            outcome_date: outcome.as_ref().map(|it| it.day),
            coated_with: outcome.and_then(|it| it.coated_with),
        })
    }
}

/// A reading in the table of an export.
#[derive(serde::Serialize)]
struct ReadingRow {
    floor: i64,
    label: Option<String>,
    reading: i64,
    date: NaiveDate,
    percent: Option<f64>,
    meter: Option<String>,
    withdrawn: Option<String>,
    as_given: String,
}

impl ReadingRow {
    /// Its heading, which stands over no rows too.
    const COLUMNS: [&str; 8] = [
        "floor",
        "label",
        "reading",
        "date",
        "percent",
        "meter",
        "withdrawn",
        "as_given",
    ];
}

#[cfg(test)]
mod tests {
    use super::names_a_person;

    #[test]
    fn labels_of_jobs_are_told_from_addresses() {
        for label in [
            "000-0100",
            "(802) 000 0100",
            "12 Oak Street",
            "job 7, 1200 N Elm Ave",
        ] {
            assert!(names_a_person(label), "{label}");
        }
        for label in [
            "1042",
            "job-7",
            "2026-10-14 north",
            "invented: Erie",
            "A 12 garage",
        ] {
            assert!(!names_a_person(label), "{label}");
        }
    }
}
