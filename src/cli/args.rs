//! Just what was typed.

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
    /// Screen one floor from a visit file.
    #[command(after_help = "Examples:
  slabseason screen --visit examples/visits/low_lot_rochester.toml
  slabseason screen --visit examples/visits/low_lot_rochester.toml --format json -o result.json")]
    Screen(ScreenArgs),
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
    /// Print the JSON Schema of `screen --format json`.
    #[command(after_help = "Examples:
  slabseason schema
  slabseason schema > result.schema.json")]
    Schema,
}

#[derive(Debug, ClapArgs)]
pub struct ScreenArgs {
    /// The visit file (TOML); - reads standard input.
    #[arg(long, value_name = "FILE")]
    pub visit: PathBuf,
    /// What to print.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// Units for lengths in the text.
    #[arg(long, value_enum, default_value_t = UnitsArg::Us)]
    pub units: UnitsArg,
    /// Write here instead of printing; the file is written whole or not at all.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    Text,
    Json,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsArg {
    Us,
    Si,
}
