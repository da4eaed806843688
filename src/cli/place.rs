//! The commands that speak of a place and of no house: `climate` and `card`.

use super::files::Files;
use super::floor::found;
use super::output;
use super::papers::{LayoutArg, SheetArgs};
use super::values::UnitsArg;
use crate::report::paper::{Block, Paper};
use crate::report::{card_text, place_prior_json, place_prior_text};
use crate::verdict::{GradeTable, card, place_prior};
use crate::words::say;
use anyhow::Result;
use clap::Args as ClapArgs;

#[derive(Debug, ClapArgs)]
pub struct PlaceArgs {
    /// A postal code or prefix, a station id, or latitude,longitude.
    #[arg(value_name = "PLACE", allow_hyphen_values = true)]
    pub place: String,
    /// Units in the text.
    #[arg(long, value_enum, default_value_t = UnitsArg::Us)]
    pub units: UnitsArg,
}

#[derive(Debug, ClapArgs)]
pub struct ClimateArgs {
    #[command(flatten)]
    pub place: PlaceArgs,
    /// Text, or JSON of the months and the two seasons.
    #[arg(long, value_enum, default_value_t = ClimateFormat::Text)]
    pub format: ClimateFormat,
}

/// How the year of a place is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum ClimateFormat {
    Text,
    Json,
}

#[derive(Debug, ClapArgs)]
pub struct CardArgs {
    #[command(flatten)]
    pub place: PlaceArgs,
    /// Meter limit on the data sheet, percent by weight.
    #[arg(long, value_name = "PERCENT", value_parser = limit)]
    pub limit: Option<f64>,
    #[command(flatten)]
    pub sheet: SheetArgs,
}

fn limit(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|it| (2.0..=8.0).contains(it))
        .ok_or_else(|| format!("\"{text}\" is not a limit from 2 to 8 percent; write it as 5.0"))
}

/// Prints what is believed of a place.
pub fn climate(args: &ClimateArgs) -> Result<()> {
    let place = found(&args.place.place)?;
    let place_prior = place_prior::place_prior(&place);
    let highest = place_prior::water_highest(&place);
    match args.format {
        ClimateFormat::Text => {
            let width = output::width(true);
            let units = args.place.units.units();
            let text = place_prior_text(&place, &place_prior, &highest, units, width);
            output::write_text(None, &text)
        }
        ClimateFormat::Json => {
            output::write(None, &place_prior_json(&place, &place_prior, &highest))
        }
    }
}

/// Prints the paper card of a place.
pub fn paper_card(args: &CardArgs) -> Result<()> {
    Files::default().writes("-o", args.sheet.output.as_deref())?;
    let place = found(&args.place.place)?;
    let limit = args
        .limit
        .unwrap_or(GradeTable::bundled().default_meter_percent);
    let card = card::card(&place, limit);
    let text = card_text(&place, &card, output::width(args.sheet.is_printed()));
    match args.sheet.format {
        LayoutArg::Text => output::write_text(args.sheet.output.as_deref(), &text),
        LayoutArg::Markdown | LayoutArg::Html => args.sheet.write(&Paper {
            title: say("card.title").to_string(),
            blocks: vec![Block::Columns(text)],
        }),
    }
}
