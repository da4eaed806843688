//! The door for terminals and scripts: reads files, prints reports, and decides nothing.

mod args;
mod ask;
mod batch;
mod files;
mod floor;
mod ledger;
mod ledger_import;
mod lessons;
mod output;
mod papers;
mod place;
mod plan;
mod prompt;
mod trial;
mod values;

pub use args::command;

use args::Args;
use clap::Parser;
use floor::Done;
use plan::Plan;
use std::process::ExitCode;

/// Runs the program.
pub fn main() -> ExitCode {
    let args = Args::parse();
    match Plan::of(args).and_then(Plan::run) {
        Ok(Done::All) => ExitCode::SUCCESS,
        Ok(Done::Some) => ExitCode::from(1),
        Ok(Done::Nothing) => ExitCode::from(2),
        Err(error) => {
            output::complain(&error);
            ExitCode::from(2)
        }
    }
}
