//! All files found and all values checked; only this runs.

use super::args::{Args, Command, Format, UnitsArg};
use super::output;
use crate::climate::{Place, PlaceQuery, find_place};
use crate::report::{self, Asked, Report, Units};
use crate::survey::{Parsed, PlaceName, parse_visit_bytes};
use crate::verdict::{Detail, conclude};
use anyhow::{Context, Result, anyhow};
use std::io::Read;
use std::path::{Path, PathBuf};

/// Largest visit file that is read, bytes; the parser refuses from 1 MB on.
const READ_AT_MOST: u64 = 2_000_000;

/// How a run ended.
pub enum Done {
    All,
    /// Nothing could be estimated; the output says why.
    Nothing,
}

/// What will run.
pub enum Plan {
    Screen {
        parsed: Box<Parsed>,
        place: Box<Place>,
        format: Format,
        units: Units,
        output: Option<PathBuf>,
    },
    Schema,
    Climate(super::place::PlaceArgs),
    Card(super::place::CardArgs),
}

impl Plan {
    /// Finds the files and checks the values of what was typed.
    pub fn of(args: Args) -> Result<Self> {
        match args.command {
            Command::Schema => Ok(Plan::Schema),
            Command::Climate(typed) => Ok(Plan::Climate(typed)),
            Command::Card(typed) => Ok(Plan::Card(typed)),
            Command::Screen(typed) => {
                let name = typed.visit.display().to_string();
                let bytes = read(&typed.visit)?;
                let parsed = parse_visit_bytes(&bytes, &name).map_err(|it| anyhow!("{it}"))?;
                let place =
                    find_place(&query(&parsed.visit.place)?).with_context(|| name.clone())?;
                let units = match typed.units {
                    UnitsArg::Us => Units::Us,
                    UnitsArg::Si => Units::Si,
                };
                Ok(Plan::Screen {
                    parsed: Box::new(parsed),
                    place: Box::new(place),
                    format: typed.format,
                    units,
                    output: typed.output,
                })
            }
        }
    }

    /// Runs it.
    pub fn run(self) -> Result<Done> {
        match self {
            Plan::Climate(typed) => super::place::climate(&typed).map(|()| Done::All),
            Plan::Card(typed) => super::place::paper_card(&typed).map(|()| Done::All),
            Plan::Schema => {
                let mut text = serde_json::to_string_pretty(&Report::json_schema())
                    .context("writing the schema")?;
                text.push('\n');
                output::write(None, &text)?;
                Ok(Done::All)
            }
            Plan::Screen {
                parsed,
                place,
                format,
                units,
                output,
            } => {
                let verdict = conclude(&place, &parsed.visit, Detail::Everything);
                let asked = Asked {
                    visit: &parsed.visit,
                    place: &place,
                    notes: &parsed.notes,
                };
                let report = report::build(&asked, &verdict);
                let text = match format {
                    Format::Text => report::text(&report, units, output::width(output.is_none())),
                    Format::Json => report.to_json(),
                };
                output::write(output.as_deref(), &text)?;
                Ok(if report.refused {
                    Done::Nothing
                } else {
                    Done::All
                })
            }
        }
    }
}

/// The climate query of a visit's place.
fn query(place: &PlaceName) -> Result<PlaceQuery> {
    Ok(match place {
        PlaceName::Postal(code) => PlaceQuery::parse(code)?,
        PlaceName::Position {
            latitude,
            longitude,
            elevation,
        } => PlaceQuery::Position {
            latitude_deg: *latitude,
            longitude_deg: *longitude,
            elevation_m: elevation.map(|it| it.get()),
        },
        PlaceName::Station(id) => PlaceQuery::Station(id.clone()),
    })
}

fn read(path: &Path) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    if path.as_os_str() == "-" {
        std::io::stdin()
            .take(READ_AT_MOST)
            .read_to_end(&mut bytes)
            .context("reading standard input")?;
    } else {
        let told = || format!("{}: cannot be read; check the path", path.display());
        let file = std::fs::File::open(path).with_context(told)?;
        file.take(READ_AT_MOST)
            .read_to_end(&mut bytes)
            .with_context(told)?;
    }
    Ok(bytes)
}
