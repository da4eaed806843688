//! Just what was typed.

use crate::units::{humidity_from_text, volume_per_day_from_text};
use crate::verdict::ways::Way;
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Says what a basement slab will do in its wettest month, from one reading in a drier one.
///
/// A screen, not a test: ASTM tests, the maker's data sheet, local codes and licensed
/// practice come first.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100, arg_required_else_help = true)]
pub struct Args {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Screen one floor from a visit file, or by questions in a terminal.
    #[command(after_help = "Examples:
  slabseason screen --visit examples/visits/low_lot_rochester.toml
  slabseason screen --visit examples/visits/low_lot_rochester.toml --format html -o result.html")]
    Screen(ScreenArgs),
    /// Screen a season of floors: a table in, one visit a row, a table of results out.
    ///
    /// Columns are named as in the visit file: visit_date, postal, floor.year_built,
    /// reading.1.kind, reading.1.value. A column visit ties rows of readings to one floor; they
    /// stand next to each other. A bad row costs that row.
    #[command(after_help = "Examples:
  slabseason batch examples/floors.csv -o results.csv
  slabseason batch --outcomes examples/outcomes.csv")]
    Batch(BatchArgs),
    /// Print how long a floor takes to dry under its limit, with what, and how much water that is.
    #[command(after_help = "Examples:
  slabseason dry --visit examples/visits/new_slab_ten_weeks.toml
  slabseason dry --visit examples/visits/just_washed.toml --dehumidifier 30pints --setting 50%")]
    Dry(DryArgs),
    /// Print what is believed of a place: its air, its ground, its wet months.
    #[command(after_help = "Examples:
  slabseason climate 05401
  slabseason climate 44.48,-73.21 --units si")]
    Climate(super::place::PlaceArgs),
    /// Print a paper card of points for a place, with how well it agrees with the model.
    #[command(after_help = "Examples:
  slabseason card 14604
  slabseason card 98101 --limit 4.5")]
    Card(super::place::CardArgs),
    /// Write the notice that the customer gets before anyone signs.
    #[command(after_help = "Examples:
  slabseason notice --visit examples/visits/low_lot_rochester.toml
  slabseason notice --visit examples/visits/low_lot_rochester.toml --format html -o notice.html")]
    Notice(super::papers::NoticeArgs),
    /// Write a sheet for someone without a meter: what to fix, watch and ask for, in which month.
    #[command(after_help = "Examples:
  slabseason homeowner 05401
  slabseason homeowner --visit examples/visits/homeowner_no_reading.toml -o before_you_call.txt")]
    Homeowner(super::papers::HomeownerArgs),
    /// Write the days to come back as a calendar file (RFC 5545).
    #[command(after_help = "Examples:
  slabseason calendar --visit examples/visits/low_lot_rochester.toml
  slabseason calendar --visit examples/visits/low_lot_rochester.toml -o floor.ics")]
    Calendar(super::papers::CalendarArgs),
    /// Write the questions as a blank form for pen and paper.
    #[command(after_help = "Examples:
  slabseason form
  slabseason form --for homeowner --format html -o questions.html")]
    Form(super::papers::FormArgs),
    /// Guess at invented floors one by one, then see the year each really had.
    #[command(after_help = "Examples:
  slabseason lesson --seed 7
  slabseason lesson --seed 7 --level borderline --floors 5")]
    Lesson(super::lessons::LessonArgs),
    /// Print a class sheet of invented floors, its answer key, or a class's results added up.
    #[command(after_help = "Examples:
  slabseason class --seed 7
  slabseason class --seed 7 --floors 3 --key
  slabseason class --seed 7 --results examples/class_results.csv
  slabseason class --seed 7 --floors 3 --card")]
    Class(super::lessons::ClassArgs),
    /// Print pairs of floors that differ in one thing, with the size of the difference.
    #[command(after_help = "Examples:
  slabseason pairs
  slabseason pairs -o board.txt")]
    Pairs(super::lessons::PrintArgs),
    /// Print why each question is asked and what it moves in three climates.
    #[command(after_help = "Examples:
  slabseason signs
  slabseason signs -o signs.txt")]
    Signs(super::lessons::PrintArgs),
    /// Print the JSON Schema of `screen --format json`.
    #[command(after_help = "Examples:
  slabseason schema
  slabseason schema > result.schema.json")]
    Schema,
    /// Print what a shell needs to complete commands and options.
    #[command(after_help = "Examples:
  slabseason completions bash
  slabseason completions fish > slabseason.fish")]
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page, for man.
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
    /// Go on with the questions from the visit file.
    #[arg(long)]
    pub ask: bool,
    /// Keep the answers here [default: the visit file, or visit-DATE.toml in this folder].
    #[arg(long, value_name = "FILE")]
    pub save: Option<PathBuf>,
    /// What to print.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// Units for lengths in the text.
    #[arg(long, value_enum, default_value_t = UnitsArg::Us)]
    pub units: UnitsArg,
    /// The way you would quote; its chance stands in the headline.
    #[arg(long, value_name = "WAY", value_parser = way, default_value = "film_now")]
    pub quote: Way,
    /// The maker's data sheet (TOML) of the system you would quote.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    /// Print everything: chances, options, months, reasons, score, method, cautions.
    #[arg(long, conflicts_with = "brief")]
    pub full: bool,
    /// Print everything but the score, what each answer moves, and what to ask next (faster).
    #[arg(long)]
    pub brief: bool,
    /// Write here instead of printing; the file is written whole or not at all.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
pub struct BatchArgs {
    /// The table of floors (comma, semicolon or tab); - reads standard input.
    #[arg(value_name = "FLOORS", conflicts_with = "outcomes")]
    pub floors: Option<PathBuf>,
    /// Write results here, as .csv or .jsonl; the file appears when it is whole, and grows as
    /// FILE.part until then [default: standard output].
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// Format of standard output.
    #[arg(long, value_enum)]
    pub format: Option<BatchFormat>,
    /// Go on with an interrupted run, from the last whole floor of FILE.part.
    #[arg(long)]
    pub resume: bool,
    /// Work out the ways forward and five years too; each floor is then a screen of its own.
    #[arg(long)]
    pub ways: bool,
    /// The way you would quote.
    #[arg(long, value_name = "WAY", value_parser = way, default_value = "film_now")]
    pub quote: Way,
    /// The maker's data sheet (TOML) whose limits count where a row gives none.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    /// Threads to work on [default: all cores]; they change no byte.
    #[arg(long, value_name = "N", value_parser = threads)]
    pub threads: Option<usize>,
    /// Write the summary here too.
    #[arg(long, value_name = "FILE")]
    pub summary: Option<PathBuf>,
    /// Write the floors to visit again, by date, as .csv or .ics; may be given twice.
    #[arg(long, value_name = "FILE")]
    pub worklist: Vec<PathBuf>,
    /// Print stated chances against what happened, from results whose column outcome you filled
    /// in with held_up, blistered or not_coated.
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
    /// The maker's data sheet (TOML) whose limits count where the visit gives none.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    /// Water that the dehumidifier takes out in a day, such as 25L or 50pints.
    #[arg(long, value_name = "AMOUNT", value_parser = capacity)]
    pub dehumidifier: Option<f64>,
    /// Humidity at which it stops, such as 45%.
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

/// One of the words of the ways forward.
pub fn way(text: &str) -> Result<Way, String> {
    Way::from_word(text).ok_or_else(|| {
        let words: Vec<&str> = Way::ALL.iter().map(|it| it.word()).collect();
        format!(
            "\"{text}\" is not a way forward; write one of {}",
            words.join(", ")
        )
    })
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    Text,
    Json,
    Markdown,
    Html,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsArg {
    Us,
    Si,
}
