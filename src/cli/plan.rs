//! All files found and all values checked; only this runs.

use super::args::{self, Args, Command, Format, InsideArg};
use super::ask::{self, Answering, Begin, Ended};
use super::batch::BatchPlan;
use super::files::Files;
use super::floor::{Done, Floor, done, read_sheet, read_text, read_weather, screen};
use super::output;
use super::papers;
use crate::climate::find_place;
use crate::ledger::costs::Costs;
use crate::report::{self, Extent, HomeSheetOf, Layout, Report, Units, homeowner_sheet};
use crate::survey::{AnsweredBy, MonthHad, Parsed, UnitSystem, Visit, place_query};
use crate::verdict::answer_effects::answer_effects;
use crate::verdict::drying::{DryingTable, Room, drying, not_drying};
use crate::verdict::finish::DataSheet;
use crate::verdict::ways::Way;
use crate::verdict::{Detail, Request, answer, place_prior};
use crate::words::{Language, licenses_text};
use anyhow::{Context, Result, bail};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// How a report is printed, and where.
pub struct Print {
    pub format: Format,
    pub units: Units,
    /// Of a text; the other formats are whole.
    pub extent: Extent,
    pub language: Language,
    pub output: Option<PathBuf>,
}

impl Print {
    fn of(typed: &args::ScreenArgs) -> Self {
        Self {
            format: typed.format,
            units: typed.units.units(),
            extent: if typed.full || typed.brief {
                Extent::Full
            } else {
                Extent::First
            },
            language: typed.language.language(),
            output: typed.output.clone(),
        }
    }

    /// What has to be worked out for it: a first screen needs no score and no questions.
    fn detail(&self, is_brief: bool) -> Detail {
        // In Spanish every layout is a first screen or a homeowner's sheet.
        let is_text = self.format == Format::Text;
        let is_spanish = self.language == Language::Spanish && self.format != Format::Json;
        let is_first = (is_text || is_spanish) && self.extent == Extent::First;
        if is_brief || is_first {
            Detail::Ways
        } else {
            Detail::Everything
        }
    }

    /// An estimator's whole report has no Spanish; half of one in each language is none.
    fn check_language(&self, has_costs: bool) -> Result<()> {
        let is_whole = self.extent == Extent::Full && self.format != Format::Json;
        let tells_costs = has_costs && self.format != Format::Json;
        if self.language == Language::Spanish && (is_whole || tells_costs) {
            bail!("{}", self.language.say("full.in_english"));
        }
        Ok(())
    }

    fn laid_out(&self, visit: &Visit, report: &Report) -> String {
        laid_out(visit, report, self.format, self, self.output.is_none())
    }
}

/// What will run.
pub enum Plan {
    Screen {
        floor: Box<Floor>,
        quoted: Way,
        detail: Detail,
        print: Print,
        costs: Option<Box<Costs>>,
    },
    Ask {
        begin: Begin,
        sheet: Option<Box<DataSheet>>,
        months_had: Vec<MonthHad>,
        quoted: Way,
        print: Print,
        costs: Option<Box<Costs>>,
    },
    Dry {
        floor: Box<Floor>,
        machine: (f64, f64),
    },
    Batch(BatchPlan),
    Schema,
    /// Licenses of what is inside this.
    Licenses(&'static str),
    Completions(clap_complete::Shell),
    Manual,
    Climate(super::place::ClimateArgs),
    Card(super::place::CardArgs),
    Paper(PaperPlan),
    Lesson(super::lessons::LessonArgs),
    Class(super::lessons::ClassArgs),
    Pairs(super::lessons::PrintArgs),
    Signs(super::lessons::PrintArgs),
    Ledger(Box<super::ledger::LedgerArgs>),
    Trial(super::trial::TrialArgs),
}

/// A sheet of paper; its files are read when it runs.
pub enum PaperPlan {
    Notice(papers::NoticeArgs),
    Homeowner(papers::HomeownerArgs),
    Calendar(papers::CalendarArgs),
    Form(papers::FormArgs),
    Explain(papers::ExplainArgs),
}

impl Plan {
    /// Finds the files and checks the values of what was typed.
    pub fn of(args: Args) -> Result<Self> {
        match args.command {
            Command::Batch(typed) => BatchPlan::of(typed).map(Plan::Batch),
            Command::Schema => Ok(Plan::Schema),
            Command::Licenses { of } => Ok(Plan::Licenses(match of {
                InsideArg::Binary => "binary",
                InsideArg::Page => "page",
            })),
            Command::Completions { shell } => Ok(Plan::Completions(shell)),
            Command::Manual => Ok(Plan::Manual),
            Command::Climate(typed) => Ok(Plan::Climate(typed)),
            Command::Card(typed) => Ok(Plan::Card(typed)),
            Command::Notice(typed) => Ok(Plan::Paper(PaperPlan::Notice(typed))),
            Command::Homeowner(typed) => Ok(Plan::Paper(PaperPlan::Homeowner(typed))),
            Command::Calendar(typed) => Ok(Plan::Paper(PaperPlan::Calendar(typed))),
            Command::Form(typed) => Ok(Plan::Paper(PaperPlan::Form(typed))),
            Command::Explain(typed) => Ok(Plan::Paper(PaperPlan::Explain(typed))),
            Command::Lesson(typed) => Ok(Plan::Lesson(typed)),
            Command::Class(typed) => Ok(Plan::Class(typed)),
            Command::Pairs(typed) => Ok(Plan::Pairs(typed)),
            Command::Signs(typed) => Ok(Plan::Signs(typed)),
            Command::Trial(typed) => Ok(Plan::Trial(typed)),
            Command::Ledger(typed) => Ok(Plan::Ledger(Box::new(typed))),
            Command::Dry(typed) => Self::of_dry(&typed),
            Command::Screen(typed) => Self::of_screen(typed),
        }
    }

    fn of_dry(typed: &args::DryArgs) -> Result<Self> {
        let table = DryingTable::bundled();
        let machine = (
            typed.dehumidifier.unwrap_or(table.machine_l_day),
            typed.setting.unwrap_or(table.machine_setting),
        );
        let mut files = Files::default();
        files.reads("--visit", Some(&typed.visit))?;
        files.reads("--finish", typed.finish.as_deref())?;
        let floor = Floor::read(&typed.visit, typed.finish.as_deref())?;
        Ok(Plan::Dry {
            floor: Box::new(floor),
            machine,
        })
    }

    /// A screen of a file, or of the answers to questions.
    fn of_screen(typed: args::ScreenArgs) -> Result<Self> {
        let print = Print::of(&typed);
        let detail = print.detail(typed.brief);
        let mut files = Files::default();
        files.reads("--visit", typed.visit.as_deref())?;
        files.reads("--finish", typed.finish.as_deref())?;
        files.reads("--costs", typed.costs.as_deref())?;
        files.reads("--weather", typed.weather.as_deref())?;
        let weather = typed.weather.as_deref().map(read_weather).transpose()?;
        let costs = typed.costs.as_deref().map(read_costs).transpose()?;
        if typed.save != typed.visit {
            files.writes("--save", typed.save.as_deref())?;
        }
        files.writes("-o", typed.output.as_deref())?;
        let visit = match typed.visit {
            Some(visit) if !typed.ask => visit,
            visit => {
                print.check_language(typed.costs.is_some())?;
                check_asking(visit.as_deref(), typed.save.as_deref())?;
                let sheet = typed.finish.as_deref().map(read_sheet).transpose()?;
                return Ok(Plan::Ask {
                    begin: Begin {
                        visit,
                        save: typed.save,
                        language: typed.language.language(),
                        units: match print.units {
                            Units::Us => UnitSystem::Us,
                            Units::Si => UnitSystem::Si,
                        },
                    },
                    sheet: sheet.map(Box::new),
                    months_had: weather.unwrap_or_default(),
                    quoted: typed.quote,
                    print,
                    costs: costs.map(Box::new),
                });
            }
        };
        if typed.save.is_some() {
            bail!("--save keeps the answers to questions; add --ask, or use -o for the result");
        }
        let mut floor = Floor::read(&visit, typed.finish.as_deref())?;
        if floor.parsed.visit.answered_by != Some(AnsweredBy::Homeowner) || costs.is_some() {
            print.check_language(costs.is_some())?;
        }
        if let Some(months) = weather {
            floor.lives_through(months)?;
        }
        Ok(Plan::Screen {
            floor: Box::new(floor),
            quoted: typed.quote,
            detail,
            print,
            costs: costs.map(Box::new),
        })
    }

    /// Runs it.
    pub fn run(self) -> Result<Done> {
        match self {
            Plan::Batch(plan) => plan.run(),
            Plan::Completions(shell) => {
                let mut text = Vec::new();
                clap_complete::generate(shell, &mut args::command(), "slabseason", &mut text);
                write_made(text)
            }
            Plan::Manual => {
                let mut text = Vec::new();
                clap_mangen::Man::new(args::command())
                    .render(&mut text)
                    .context("writing the manual")?;
                write_made(text)
            }
            Plan::Climate(typed) => super::place::climate(&typed).map(|()| Done::All),
            Plan::Lesson(typed) => super::lessons::teach(&typed),
            Plan::Class(typed) => super::lessons::print_class(&typed).map(|()| Done::All),
            Plan::Pairs(typed) => super::lessons::print_pairs(&typed).map(|()| Done::All),
            Plan::Signs(typed) => super::lessons::print_signs(&typed).map(|()| Done::All),
            Plan::Ledger(typed) => typed.run(),
            Plan::Trial(typed) => typed.run(),
            Plan::Card(typed) => super::place::paper_card(&typed).map(|()| Done::All),
            Plan::Paper(plan) => {
                match plan {
                    PaperPlan::Notice(typed) => papers::write_notice(&typed),
                    PaperPlan::Homeowner(typed) => papers::write_homeowner(&typed),
                    PaperPlan::Calendar(typed) => papers::write_calendar(&typed),
                    PaperPlan::Form(typed) => papers::write_form(&typed),
                    PaperPlan::Explain(typed) => papers::write_explained(&typed),
                }?;
                Ok(Done::All)
            }
            Plan::Licenses(of) => {
                output::write_text(None, &licenses_text(of))?;
                Ok(Done::All)
            }
            Plan::Schema => {
                let mut text = serde_json::to_string_pretty(&Report::json_schema())
                    .context("writing the schema")?;
                text.push('\n');
                output::write(None, &text)?;
                Ok(Done::All)
            }
            Plan::Dry { floor, machine } => {
                let (l_day, setting) = machine;
                let rooms = [
                    Room::AsItIs,
                    Room::AirAndWarmth,
                    Room::Machine { l_day, setting },
                ];
                let text = drying_report(&floor, &rooms, output::width(true));
                output::write_text(None, &text)?;
                Ok(Done::All)
            }
            Plan::Screen {
                floor,
                quoted,
                detail,
                print,
                costs,
            } => {
                let report = screen(&floor, quoted, detail, costs.as_deref());
                let text = print.laid_out(&floor.parsed.visit, &report);
                output::write(print.output.as_deref(), &text)?;
                Ok(done(&report))
            }
            Plan::Ask {
                begin,
                sheet,
                months_had,
                quoted,
                print,
                costs,
            } => {
                let beside = Beside {
                    sheet: sheet.as_deref(),
                    months_had: &months_had,
                    quoted,
                    costs: costs.as_deref(),
                };
                asked(begin, beside, &print)
            }
        }
    }
}

/// Text that a library made, to standard output as it is.
fn write_made(text: Vec<u8>) -> Result<Done> {
    output::write(
        None,
        &String::from_utf8(text).context("what it made is no text")?,
    )?;
    Ok(Done::All)
}

/// What was given beside the answers to questions.
struct Beside<'a> {
    sheet: Option<&'a DataSheet>,
    months_had: &'a [MonthHad],
    quoted: Way,
    costs: Option<&'a Costs>,
}

/// Asks, and prints the report of the answers.
fn asked(begin: Begin, beside: Beside, print: &Print) -> Result<Done> {
    let Beside {
        sheet,
        months_had,
        quoted,
        costs,
    } = beside;
    let report = |parsed: Parsed| -> Result<Report> {
        let place = find_place(&place_query(&parsed.visit.place))?;
        let mut floor = Floor {
            parsed,
            place,
            sheet: sheet.cloned(),
        };
        let note = sheet.and_then(super::floor::sheet_note);
        floor.parsed.notes.extend(note);
        if !months_had.is_empty() {
            floor.lives_through(months_had.to_vec())?;
        }
        Ok(screen(&floor, quoted, print.detail(false), costs))
    };
    let answering = Answering {
        report: &report,
        text: &|parsed, it| laid_out(&parsed.visit, it, Format::Text, print, true),
        moves: &|visit, path, answers| {
            let place = find_place(&place_query(&visit.place)).ok()?;
            Some(answer_effects(&place, visit, path, answers))
        },
        telling: &|parsed| {
            let place = find_place(&place_query(&parsed.visit.place))?;
            let floor = Floor {
                parsed,
                place,
                sheet: sheet.cloned(),
            };
            let report = screen(&floor, quoted, Detail::Everything, None);
            let shown = report.next.into_iter().take(report::NEXT_SHOWN);
            Ok(shown.map(|it| it.question).collect())
        },
    };
    match ask::ask(begin, answering)? {
        Ended::Stopped => Ok(Done::All),
        Ended::Interrupted => Ok(Done::Nothing),
        Ended::Finished {
            parsed,
            report,
            is_shown,
        } => {
            let is_for_screen = print.output.is_none()
                && print.format == Format::Text
                && std::io::stdout().is_terminal();
            if !(is_shown && is_for_screen) {
                let text = print.laid_out(&parsed.visit, &report);
                output::write(print.output.as_deref(), &text)?;
            }
            Ok(done(&report))
        }
    }
}

/// Questions need a person, and a file to keep the answers in.
fn check_asking(visit: Option<&Path>, save: Option<&Path>) -> Result<()> {
    if [visit, save].into_iter().flatten().any(ask::is_stream) {
        bail!("questions are kept in a file; give --visit and --save a name instead of -");
    }
    if !ask::is_someone_there() {
        bail!("this is not a terminal, so no questions can be asked; give --visit FILE");
    }
    Ok(())
}

fn laid_out(
    visit: &Visit,
    report: &Report,
    format: Format,
    print: &Print,
    to_screen: bool,
) -> String {
    // In Spanish a homeowner gets the sheet, an estimator the first screen.
    let is_home = visit.answered_by == Some(AnsweredBy::Homeowner);
    let layout = match format {
        Format::Text => Some(Layout::Text),
        Format::Markdown => Some(Layout::Markdown),
        Format::Html => Some(Layout::Html),
        Format::Json => None,
    };
    if let (Language::Spanish, true, Some(layout), Ok(place)) = (
        print.language,
        is_home,
        layout,
        find_place(&place_query(&visit.place)),
    ) {
        let sheet = homeowner_sheet(HomeSheetOf {
            place: &place,
            place_prior: &place_prior::place_prior(&place),
            answered: Some((visit, report)),
            language: print.language,
            units: print.units,
        });
        return sheet.laid_out_in(print.language, layout, output::width(to_screen));
    }
    let width = output::width(to_screen);
    match (format, print.language) {
        (Format::Json, _) => report.to_json(),
        (Format::Text, Language::Spanish) => {
            report::first_text_in(print.language, report, print.units, width)
        }
        (Format::Html, Language::Spanish) => {
            report::first_html_in(print.language, report, print.units)
        }
        (Format::Markdown, Language::Spanish) => {
            report::first_document_in(print.language, report, print.units).markdown()
        }
        (Format::Text, Language::English) => report::text(report, print.units, width, print.extent),
        (Format::Markdown, Language::English) => report::markdown(report, print.units),
        (Format::Html, Language::English) => report::html(report, print.units),
    }
}

fn read_costs(path: &Path) -> Result<Costs> {
    Costs::parse(&read_text(path)?).with_context(|| output::told_path(path))
}

fn drying_report(floor: &Floor, rooms: &[Room], width: usize) -> String {
    let visit = &floor.parsed.visit;
    let request = Request {
        detail: Detail::Chances,
        sheet: floor.sheet.as_ref(),
        ..Request::default()
    };
    let (verdict, posterior) = answer(&floor.place, visit, request);
    let label = visit
        .label
        .clone()
        .unwrap_or_else(|| "floor without a label".to_string());
    let head = format!(
        "{label}, visit of {}; {}",
        Language::English.day(visit.visit_date),
        floor.place.label
    );
    if let Some(why) = not_drying(&floor.place, visit, verdict.over_now, verdict.unexplained) {
        return report::not_drying_text(&head, why, width);
    }
    let plan = drying(&floor.place, visit, &posterior, &verdict.limits, rooms);
    report::drying_text(
        &head,
        &report::limit_words(&report::LimitSaid::of(&verdict.limits)),
        &plan,
        width,
    )
}
