//! The command `trial`: a protocol for twelve months, and what it came to.

use super::floor::Done;
use super::ledger::{CheckFormat, opened};
use super::output;
use super::papers::{LayoutArg, SheetArgs};
use super::values::{day, month};
use crate::ledger::Ledger;
use crate::ledger::trial::{
    Sealed, protocol, protocol_paper, reminders, result_paper, trial_result,
};
use crate::report::Layout;
use crate::units::tables_digest;
use crate::words::say;
use anyhow::{Context, Result, anyhow, bail};
use chrono::NaiveDate;
use clap::{Args as ClapArgs, Subcommand};
use std::path::PathBuf;

#[derive(Debug, ClapArgs)]
pub struct TrialArgs {
    #[command(subcommand)]
    pub action: TrialAction,
}

#[derive(Debug, Subcommand)]
pub enum TrialAction {
    /// Write the protocol: floors, spots, months, forms; sealed before the first reading.
    Plan(PlanArgs),
    /// Print the table of the newest trial of a ledger.
    Report {
        /// The ledger's file, or the lines of an export (.jsonl).
        #[arg(long, value_name = "FILE", default_value = "floors.ledger")]
        ledger: PathBuf,
        /// What to print.
        #[arg(long, value_enum, default_value_t = CheckFormat::Text)]
        format: CheckFormat,
        /// Write to this file instead of the screen; a partial file is never left behind.
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
    },
}

#[derive(Debug, ClapArgs)]
pub struct PlanArgs {
    /// How many floors.
    #[arg(long, value_name = "COUNT", default_value_t = 60, value_parser = clap::value_parser!(u64).range(1..=10_000))]
    pub floors: u64,
    /// First month, such as 2026-10.
    #[arg(long, value_name = "MONTH", value_parser = month)]
    pub from: NaiveDate,
    /// Seal it in this ledger, before any floor of the trial is in it.
    #[arg(long, value_name = "FILE")]
    pub ledger: Option<PathBuf>,
    /// The day to write down [default: today].
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub on: Option<NaiveDate>,
    /// Write the months to go as a calendar (RFC 5545) too.
    #[arg(long, value_name = "FILE")]
    pub reminders: Option<PathBuf>,
    #[command(flatten)]
    pub sheet: SheetArgs,
}

impl TrialArgs {
    /// Runs the command.
    pub fn run(&self) -> Result<Done> {
        match &self.action {
            TrialAction::Plan(typed) => typed.run(),
            TrialAction::Report {
                ledger,
                format,
                output,
            } => {
                let result =
                    trial_result(&opened(ledger)?).with_context(|| ledger.display().to_string())?;
                if *format == CheckFormat::Json {
                    let mut text = serde_json::to_string_pretty(&serde_json::json!({
                        "schema": 1,
                        "protocol": result.protocol,
                        "seal": result.seal,
                        "model_changed": result.model_changed,
                        "checked": result.checked,
                    }))?;
                    text.push('\n');
                    output::write(output.as_deref(), &text)?;
                    return Ok(Done::All);
                }
                let layout = match format {
                    CheckFormat::Text | CheckFormat::Json => Layout::Text,
                    CheckFormat::Markdown => Layout::Markdown,
                    CheckFormat::Html => Layout::Html,
                };
                let width = output::width(output.is_none());
                let text = result_paper(&result, layout).laid_out(layout, width);
                output::write(output.as_deref(), &text).map(|()| Done::All)
            }
        }
    }
}

impl PlanArgs {
    fn run(&self) -> Result<Done> {
        let model = concat!("slabseason ", env!("CARGO_PKG_VERSION"));
        let protocol = protocol(self.floors, self.from, model, tables_digest());
        let content = protocol.canonical();
        let on = self.on.unwrap_or_else(|| chrono::Local::now().date_naive());
        if on > self.from {
            bail!("{}", say("trial.error.late"));
        }
        let sealed = match &self.ledger {
            None => Sealed::Draft,
            Some(path) => {
                let mut ledger = Ledger::open_or_begin(path)?;
                let seal = ledger
                    .seal_trial(&content, on)
                    .map_err(|it| anyhow!("{}: {it}", path.display()))?;
                Sealed::InLedger(seal)
            }
        };
        if let Some(path) = &self.reminders {
            output::write(Some(path), &reminders(&protocol))?;
        }
        let layout = match self.sheet.format {
            LayoutArg::Text => Layout::Text,
            LayoutArg::Markdown => Layout::Markdown,
            LayoutArg::Html => Layout::Html,
        };
        let paper = protocol_paper(&protocol, &sealed, layout);
        let width = output::width(self.sheet.is_printed());
        output::write(self.sheet.output.as_deref(), &paper.laid_out(layout, width))?;
        Ok(Done::All)
    }
}
