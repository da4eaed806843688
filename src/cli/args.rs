//! Just what was typed.

use super::values::{DateOrderArg, LanguageArg, UnitsArg, assumed, way};
use crate::batch::Assumed;
use crate::units::{humidity_from_text, volume_per_day_from_text};
use crate::verdict::ways::Way;
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Estimate how wet a basement slab gets in its wettest month, from one meter reading in a drier one.
///
/// A screening estimate, not a test. ASTM tests, the manufacturer's data sheet, local codes, and
/// licensed professionals come first.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100, arg_required_else_help = true)]
pub struct Args {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Estimate one floor from a visit file, or answer questions in the terminal.
    #[command(after_help = "Examples:
  slabseason screen --visit examples/visits/low_lot_rochester.toml
  slabseason screen --visit examples/visits/low_lot_rochester.toml --format html -o result.html")]
    Screen(ScreenArgs),
    /// Estimate many floors at once: read a table with one visit per row, write a table of results.
    ///
    /// Columns are named as in the visit file: visit_date, postal, floor.year_built,
    /// reading.1.kind, reading.1.value. The column visit ties rows of readings to one floor; keep
    /// those rows together. A row that cannot be read is skipped and reported.
    #[command(after_help = "Examples:
  slabseason batch examples/floors.csv -o results.csv
  slabseason batch --outcomes examples/outcomes.csv")]
    Batch(BatchArgs),
    /// Print how many days until the floor dries below its limit, by method, and the water removed.
    #[command(after_help = "Examples:
  slabseason dry --visit examples/visits/new_slab_ten_weeks.toml
  slabseason dry --visit examples/visits/just_washed.toml --dehumidifier 30pints --setting 50%")]
    Dry(DryArgs),
    /// Print the climate of a place month by month: air, ground, and wet season.
    #[command(after_help = "Examples:
  slabseason climate 05401
  slabseason climate 44.48,-73.21 --units si")]
    Climate(super::place::ClimateArgs),
    /// Print a paper score card for a place, and how well it matches the tool.
    #[command(after_help = "Examples:
  slabseason card 14604
  slabseason card 98101 --limit 4.5")]
    Card(super::place::CardArgs),
    /// Write the moisture notice to give the customer before anyone signs.
    #[command(after_help = "Examples:
  slabseason notice --visit examples/visits/low_lot_rochester.toml
  slabseason notice --visit examples/visits/low_lot_rochester.toml --format html -o notice.html")]
    Notice(super::papers::NoticeArgs),
    /// Write a sheet for a homeowner with no meter: what to fix, watch, and ask for, month by month.
    #[command(after_help = "Examples:
  slabseason homeowner 05401
  slabseason homeowner --visit examples/visits/homeowner_no_reading.toml -o before_you_call.txt")]
    Homeowner(super::papers::HomeownerArgs),
    /// Write follow-up dates as a calendar file (RFC 5545).
    #[command(after_help = "Examples:
  slabseason calendar --visit examples/visits/low_lot_rochester.toml
  slabseason calendar --visit examples/visits/low_lot_rochester.toml -o floor.ics")]
    Calendar(super::papers::CalendarArgs),
    /// Write the questions as a blank form for pen and paper.
    #[command(after_help = "Examples:
  slabseason form
  slabseason form --for homeowner --format html -o questions.html")]
    Form(super::papers::FormArgs),
    /// Explain one topic: the result, the options, the visit file, batch rules, exit codes, and more.
    #[command(after_help = "Examples:
  slabseason explain
  slabseason explain options")]
    Explain(super::papers::ExplainArgs),
    /// Practice on made-up floors one at a time, then see how each year went.
    #[command(after_help = "Examples:
  slabseason lesson --seed 7
  slabseason lesson --seed 7 --level borderline --floors 5")]
    Lesson(super::lessons::LessonArgs),
    /// Print a class sheet, its answer key, or a class's scores.
    #[command(after_help = "Examples:
  slabseason class --seed 7
  slabseason class --seed 7 --floors 3 --key
  slabseason class --seed 7 --results examples/class_results.csv
  slabseason class --seed 7 --floors 3 --card")]
    Class(super::lessons::ClassArgs),
    /// Print pairs of floors that differ in one thing, and how much it matters.
    #[command(after_help = "Examples:
  slabseason pairs
  slabseason pairs -o board.txt")]
    Pairs(super::lessons::PrintArgs),
    /// Print why each question is asked and how much it matters in three climates.
    #[command(after_help = "Examples:
  slabseason signs
  slabseason signs -o signs.txt")]
    Signs(super::lessons::PrintArgs),
    /// Print which packages of others are inside the program or the page, and their licenses.
    #[command(after_help = "Examples:
  slabseason licenses
  slabseason licenses --of page")]
    Licenses {
        /// Of what.
        #[arg(long = "of", value_enum, default_value_t = InsideArg::Binary)]
        of: InsideArg,
    },
    /// Keep your own floors in one file, and measure whether the tool was right about them.
    ///
    /// A visit goes in as you gave it. What is stated about it is sealed, so that nobody can
    /// improve on it later. Labels are job numbers, not people.
    #[command(after_help = "Examples:
  slabseason ledger check --ledger examples/invented_ledger.jsonl
  slabseason ledger due --ledger examples/invented_ledger.jsonl --from 2026-10-01 --weeks 52")]
    Ledger(super::ledger::LedgerArgs),
    /// Plan a trial of twelve months on your own floors, and print what it came to.
    #[command(after_help = "Examples:
  slabseason trial plan --floors 60 --from 2027-01 --on 2026-09-15
  slabseason trial report --ledger examples/invented_ledger.jsonl")]
    Trial(super::trial::TrialArgs),
    /// Print the JSON Schema for `screen --format json`.
    #[command(after_help = "Examples:
  slabseason schema
  slabseason schema > result.schema.json")]
    Schema,
    /// Print a shell completion script.
    #[command(after_help = "Examples:
  slabseason completions bash
  slabseason completions fish > slabseason.fish")]
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Print the man page.
    #[command(after_help = "Examples:
  slabseason manual
  slabseason manual > slabseason.1")]
    Manual,
}

#[derive(Debug, ClapArgs)]
pub struct ScreenArgs {
    /// The visit file (TOML); - reads standard input. Without it, questions are asked.
    #[arg(long, value_name = "FILE")]
    pub visit: Option<PathBuf>,
    /// Continue with the questions, starting from the visit file.
    #[arg(long)]
    pub ask: bool,
    /// Save the answers here [default: the visit file, or visit-DATE.toml in this folder].
    #[arg(long, value_name = "FILE")]
    pub save: Option<PathBuf>,
    /// What to print.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// Units for lengths in the text.
    #[arg(long, value_enum, default_value_t = UnitsArg::Us)]
    pub units: UnitsArg,
    /// Language of the questions, a homeowner's sheet, and an estimator's first screen; the whole
    /// report is in English.
    #[arg(long, value_enum, default_value_t = LanguageArg::En)]
    pub language: LanguageArg,
    /// Option you plan to quote; its chance goes in the headline.
    #[arg(long, value_name = "WAY", value_parser = way, default_value = "film_now")]
    pub quote: Way,
    /// The manufacturer's data sheet (TOML) for the system you plan to quote.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    /// What things cost you (TOML): adds the options by expected cost, a return visit among them.
    #[arg(long, value_name = "FILE")]
    pub costs: Option<PathBuf>,
    /// The weather the place had before the visit, month by month (CSV; see `explain weather`).
    #[arg(long, value_name = "FILE")]
    pub weather: Option<PathBuf>,
    /// Print everything: chances, options, months, reasons, score, method, cautions.
    #[arg(long, conflicts_with = "brief")]
    pub full: bool,
    /// Print everything but the score, the effect of each answer, and what to ask next (faster).
    #[arg(long)]
    pub brief: bool,
    /// Write to this file instead of the screen; a partial file is never left behind.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
pub struct BatchArgs {
    /// The table of floors (comma, semicolon or tab); - reads standard input.
    #[arg(value_name = "FLOORS", conflicts_with = "outcomes")]
    pub floors: Option<PathBuf>,
    /// Write results here, as .csv or .jsonl; until they are complete they grow as FILE.part
    /// [default: standard output].
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// Format of standard output.
    #[arg(long, value_enum)]
    pub format: Option<BatchFormat>,
    /// Continue an interrupted run from the last complete floor in FILE.part.
    #[arg(long)]
    pub resume: bool,
    /// Replace a file that is there even if outcomes are filled in or it is not results of batch.
    #[arg(long)]
    pub force: bool,
    /// Also work out the options and the five-year chance (slower).
    #[arg(long)]
    pub ways: bool,
    /// Grade the bare floor alone, without the coating you quote (faster).
    #[arg(long, conflicts_with = "ways")]
    pub bare: bool,
    /// Option you plan to quote.
    #[arg(long, value_name = "WAY", value_parser = way, default_value = "film_now")]
    pub quote: Way,
    /// The manufacturer's data sheet (TOML); of its limits and a row's, the stricter one counts.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    /// The weather before the visits, month by month, for all floors (CSV; see `explain weather`).
    #[arg(long, value_name = "FILE")]
    pub weather: Option<PathBuf>,
    /// Which number comes first in a day that could be two, such as 3/4/2026: mdy is March 4.
    #[arg(long, value_enum, value_name = "ORDER")]
    pub dates: Option<DateOrderArg>,
    /// What a reading is where the table does not say, such as meter,percent; the results say so.
    #[arg(long, value_name = "KIND[,SCALE]", value_parser = assumed)]
    pub assume: Option<Assumed>,
    /// Carry columns that are no field, such as job and phone, along to results and worklist.
    #[arg(long)]
    pub keep_columns: bool,
    /// Write an empty table of floors to FILE, and a filled example beside it.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["floors", "outcomes"])]
    pub template: Option<PathBuf>,
    /// Number of threads [default: all cores]; results are identical.
    #[arg(long, value_name = "N", value_parser = threads)]
    pub threads: Option<usize>,
    /// Write the summary here too.
    #[arg(long, value_name = "FILE")]
    pub summary: Option<PathBuf>,
    /// Write the floors to visit again, by date, as .csv or .ics; may be given twice.
    #[arg(long, value_name = "FILE")]
    pub worklist: Vec<PathBuf>,
    /// Compare estimated chances with what happened. RESULTS is a results file whose outcome column
    /// you filled in with held_up, blistered, or not_coated.
    #[arg(long, value_name = "RESULTS")]
    pub outcomes: Option<PathBuf>,
}

/// What results are written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BatchFormat {
    Csv,
    Jsonl,
}

fn threads(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|it| (1..=256).contains(it))
        .ok_or_else(|| format!("\"{text}\" is not a number of threads from 1 to 256"))
}

#[derive(Debug, ClapArgs)]
pub struct DryArgs {
    /// The visit file (TOML); - reads standard input.
    #[arg(long, value_name = "FILE")]
    pub visit: PathBuf,
    /// The manufacturer's data sheet (TOML); of its limits and the visit's, the stricter one counts.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    /// Water the dehumidifier removes in a day, such as 25L or 50pints.
    #[arg(long, value_name = "AMOUNT", value_parser = capacity)]
    pub dehumidifier: Option<f64>,
    /// Humidity at which it shuts off, such as 45%.
    #[arg(long, value_name = "HUMIDITY", value_parser = humidity)]
    pub setting: Option<f64>,
}

fn capacity(text: &str) -> Result<f64, String> {
    volume_per_day_from_text(text)
        .map(|it| it.get())
        .map_err(|it| it.to_string())
}

fn humidity(text: &str) -> Result<f64, String> {
    humidity_from_text(text)
        .map(|it| it.get())
        .map_err(|it| it.to_string())
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    Text,
    Json,
    Markdown,
    Html,
}

/// What has packages of others inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum InsideArg {
    /// The program.
    Binary,
    /// The page.
    Page,
}

/// The definitions of commands and options, for completions and the manual page.
pub fn command() -> clap::Command {
    <Args as clap::CommandFactory>::command()
}
