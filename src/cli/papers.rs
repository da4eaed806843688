//! The commands that put something on paper: `notice`, `homeowner`, `calendar`, `form`, `explain`.

use super::files::Files;
use super::floor::{Floor, found, read_text, screen};
use super::output;
use super::values::{LanguageArg, UnitsArg, way};
use crate::report::notice::{Company, Figures, NoticeOf, Standing, Variant, notice, notice_short};
use crate::report::{
    HomeSheetOf, Layout, Paper, Topic, Units, calendar, explain, form_in, homeowner_sheet, topics,
};
use crate::survey::AnsweredBy;
use crate::verdict::ways::Way;
use crate::verdict::{Detail, place_prior};
use crate::words::Language;
use anyhow::{Context, Result, anyhow, bail};
use clap::{Args as ClapArgs, ValueEnum};
use std::path::PathBuf;

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LayoutArg {
    Text,
    Markdown,
    Html,
}

/// How a sheet is laid out and where it goes.
#[derive(Debug, ClapArgs)]
pub struct SheetArgs {
    /// Layout of the page.
    #[arg(long, value_enum, default_value_t = LayoutArg::Text)]
    pub format: LayoutArg,
    /// Write to this file instead of the screen; a partial file is never left behind.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

impl SheetArgs {
    /// Whether it goes to standard output.
    pub fn is_printed(&self) -> bool {
        self.output.is_none()
    }

    /// Lays a sheet out and writes it.
    pub fn write(&self, paper: &Paper) -> Result<()> {
        self.write_in(Language::English, paper)
    }

    /// The same in a language.
    pub fn write_in(&self, language: Language, paper: &Paper) -> Result<()> {
        let layout = match self.format {
            LayoutArg::Text => Layout::Text,
            LayoutArg::Markdown => Layout::Markdown,
            LayoutArg::Html => Layout::Html,
        };
        let width = output::width(self.is_printed());
        output::write_text(
            self.output.as_deref(),
            &paper.laid_out_in(language, layout, width),
        )
    }
}

#[derive(Debug, ClapArgs)]
pub struct NoticeArgs {
    /// The visit file (TOML); - reads standard input.
    #[arg(long, value_name = "FILE")]
    pub visit: PathBuf,
    /// What was decided: fine, doubtful, against_advice, fix_first, declined; over_limit,
    /// no_grade and no_estimate follow from the floor [default: what the result recommends].
    #[arg(long, value_name = "VARIANT", value_parser = variant)]
    pub variant: Option<Variant>,
    /// Company settings (TOML); anything left out is a line to fill in.
    #[arg(long, value_name = "FILE")]
    pub company: Option<PathBuf>,
    /// Show chances as percentages too.
    #[arg(long)]
    pub percent: bool,
    /// Print about 60 words to paste into a quote.
    #[arg(long, conflicts_with = "format")]
    pub short: bool,
    /// Language of the notice.
    #[arg(long, value_enum, default_value_t = LanguageArg::En)]
    pub language: LanguageArg,
    /// Units for lengths.
    #[arg(long, value_enum, default_value_t = UnitsArg::Us)]
    pub units: UnitsArg,
    /// The option the customer asked for.
    #[arg(long, value_name = "WAY", value_parser = way, default_value = "film_now")]
    pub quote: Way,
    /// The manufacturer's data sheet (TOML) for the system you plan to quote.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    #[command(flatten)]
    pub sheet: SheetArgs,
}

#[derive(Debug, ClapArgs)]
pub struct HomeownerArgs {
    /// A postal code or prefix, a station id, or latitude,longitude.
    #[arg(
        value_name = "PLACE",
        allow_hyphen_values = true,
        required_unless_present = "visit"
    )]
    pub place: Option<String>,
    /// A visit file (TOML) instead of a place; - reads standard input.
    #[arg(long, value_name = "FILE", conflicts_with = "place")]
    pub visit: Option<PathBuf>,
    /// Language of the sheet.
    #[arg(long, value_enum, default_value_t = LanguageArg::En)]
    pub language: LanguageArg,
    /// Units for lengths.
    #[arg(long, value_enum, default_value_t = UnitsArg::Us)]
    pub units: UnitsArg,
    #[command(flatten)]
    pub sheet: SheetArgs,
}

#[derive(Debug, ClapArgs)]
pub struct CalendarArgs {
    /// The visit file (TOML); - reads standard input.
    #[arg(long, value_name = "FILE")]
    pub visit: PathBuf,
    /// The manufacturer's data sheet (TOML); of its limits and the visit's, the stricter one counts.
    #[arg(long, value_name = "FILE")]
    pub finish: Option<PathBuf>,
    /// Write to this file instead of the screen; a partial file is never left behind.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum AudienceArg {
    Estimator,
    Homeowner,
}

#[derive(Debug, ClapArgs)]
pub struct FormArgs {
    /// Who will fill it in.
    #[arg(long = "for", value_enum, default_value_t = AudienceArg::Estimator)]
    pub audience: AudienceArg,
    /// Language of the form.
    #[arg(long, value_enum, default_value_t = LanguageArg::En)]
    pub language: LanguageArg,
    #[command(flatten)]
    pub sheet: SheetArgs,
}

#[derive(Debug, ClapArgs)]
pub struct ExplainArgs {
    /// The topic; without one, the list of topics.
    #[arg(value_name = "TOPIC", value_parser = topic)]
    pub topic: Option<Topic>,
    #[command(flatten)]
    pub sheet: SheetArgs,
}

fn topic(text: &str) -> Result<Topic, String> {
    Topic::from_word(text).ok_or_else(|| {
        let words: Vec<&str> = Topic::ALL.iter().map(|it| it.word()).collect();
        format!("\"{text}\" is not a topic; use one of {}", words.join(", "))
    })
}

/// Writes what a topic is about.
pub fn write_explained(args: &ExplainArgs) -> Result<()> {
    args.sheet.write(&args.topic.map_or_else(topics, explain))
}

fn variant(text: &str) -> Result<Variant, String> {
    Variant::from_word(text).ok_or_else(|| {
        let words: Vec<&str> = Variant::ALL.iter().map(|it| it.word()).collect();
        format!(
            "\"{text}\" is not a kind of notice; use one of {}",
            words.join(", ")
        )
    })
}

/// Writes the notice for the customer.
pub fn write_notice(args: &NoticeArgs) -> Result<()> {
    Files::check(
        &[
            ("--visit", Some(&args.visit)),
            ("--company", args.company.as_deref()),
            ("--finish", args.finish.as_deref()),
        ],
        args.sheet.output.as_deref(),
    )?;
    let floor = Floor::read(&args.visit, args.finish.as_deref())?;
    let company = match &args.company {
        None => Company::default(),
        Some(path) => {
            Company::parse(&read_text(path)?).with_context(|| path.display().to_string())?
        }
    };
    let report = screen(&floor, args.quote, Detail::Ways, None);
    let of = NoticeOf {
        report: &report,
        visit: &floor.parsed.visit,
        company: &company,
        variant: args.variant,
        figures: if args.percent {
            Figures::Percent
        } else {
            Figures::Words
        },
        standing: Standing::AsSaid,
        units: match args.units {
            UnitsArg::Us => Units::Us,
            UnitsArg::Si => Units::Si,
        },
        language: args.language.language(),
    };
    let name = || args.visit.display().to_string();
    if args.short {
        let text = notice_short(of).with_context(name)?;
        let width = output::width(args.sheet.is_printed());
        return output::write_text(
            args.sheet.output.as_deref(),
            &textwrap::fill(&text, textwrap::Options::new(width)),
        );
    }
    args.sheet
        .write_in(of.language, &notice(of).with_context(name)?)
}

/// Writes the sheet for someone without a meter.
pub fn write_homeowner(args: &HomeownerArgs) -> Result<()> {
    Files::check(
        &[("--visit", args.visit.as_deref())],
        args.sheet.output.as_deref(),
    )?;
    let (place, answered) = match (&args.visit, &args.place) {
        (Some(visit), _) => {
            let floor = Floor::read(visit, None)?;
            let report = screen(&floor, Way::FilmNow, Detail::Ways, None);
            (floor.place, Some((floor.parsed.visit, report)))
        }
        (None, Some(place)) => (found(place)?, None),
        (None, None) => bail!("give a place or --visit FILE"),
    };
    let place_prior = place_prior::place_prior(&place);
    let language = args.language.language();
    args.sheet.write_in(
        language,
        &homeowner_sheet(HomeSheetOf {
            place: &place,
            place_prior: &place_prior,
            answered: answered.as_ref().map(|it| (&it.0, &it.1)),
            language,
            units: args.units.units(),
        }),
    )
}

/// Writes the days to come back as a calendar file.
pub fn write_calendar(args: &CalendarArgs) -> Result<()> {
    Files::check(
        &[
            ("--visit", Some(&args.visit)),
            ("--finish", args.finish.as_deref()),
        ],
        args.output.as_deref(),
    )?;
    let floor = Floor::read(&args.visit, args.finish.as_deref())?;
    let report = screen(&floor, Way::FilmNow, Detail::Everything, None);
    if crate::report::calendar::entries(&report).is_empty() {
        return Err(anyhow!(
            "{}: this visit has no date to come back: {}",
            args.visit.display(),
            report.next_step
        ));
    }
    output::write(args.output.as_deref(), &calendar(&report))
}

/// Writes the questions as a form to fill in by hand.
pub fn write_form(args: &FormArgs) -> Result<()> {
    Files::check(&[], args.sheet.output.as_deref())?;
    let audience = match args.audience {
        AudienceArg::Estimator => AnsweredBy::Estimator,
        AudienceArg::Homeowner => AnsweredBy::Homeowner,
    };
    let language = args.language.language();
    args.sheet.write_in(language, &form_in(audience, language))
}
