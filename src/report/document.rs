//! The document of a screen: one list of blocks, whatever it is laid out as.

use super::costs::costs;
use super::first_screen::{FIRST_SCREEN_LINES, Room, first_screen_in};
use super::paper::{Block, Paper, html_file, html_file_in, typed};
use super::said::Units;
use super::{Report, sections};
use crate::words::Language;

/// Styles of the document in HTML, all under `.paper`.
pub const HTML_STYLE: &str = super::paper::PAPER_STYLE;

/// Classes of the document's element.
const CLASSES: &str = "paper report";

/// How much of the document is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// What a person needs first: a screen of a terminal.
    First,
    /// The same, and all the rest in the order of need.
    Full,
}

/// Makes the document of a report.
pub fn document(report: &Report, units: Units, extent: Extent) -> Paper {
    match extent {
        Extent::First => first_document((Language::English, units), report, Room::Ample),
        Extent::Full => {
            let language = Language::English;
            let mut blocks = first_screen_in((language, units), report, Room::Ample);
            blocks.push(Block::Plain(language.say("disclaimer").to_string()));
            blocks.extend(sections::rest(report, units));
            blocks.extend(report.costs.iter().flat_map(costs));
            titled((language, units), report, blocks)
        }
    }
}

/// The first screen in a language; the whole document is for an estimator and in English.
pub fn first_document_in(language: Language, report: &Report, units: Units) -> Paper {
    first_document((language, units), report, Room::Ample)
}

fn first_document(told_in: (Language, Units), report: &Report, room: Room) -> Paper {
    let language = told_in.0;
    let mut blocks = first_screen_in(told_in, report, room);
    blocks.push(Block::Plain(language.say("disclaimer.short").to_string()));
    titled(told_in, report, blocks)
}

fn titled((language, units): (Language, Units), report: &Report, blocks: Vec<Block>) -> Paper {
    let label = report
        .label
        .as_deref()
        .map_or_else(|| language.say("notice.no_label").to_string(), typed);
    Paper {
        title: language.say_with(
            "written.title",
            &[("label", &label), ("day", &language.day(report.visit_date))],
        ),
        blocks,
    }
    .in_words_of(&report.place.label)
    .in_units(units, language)
}

/// The document as plain text in `width` columns (40 to 80 are sensible). In 80 columns the
/// first screen keeps to [`FIRST_SCREEN_LINES`].
pub fn text(report: &Report, units: Units, width: usize, extent: Extent) -> String {
    match extent {
        Extent::Full => document(report, units, extent).body_text(width),
        Extent::First => {
            let first = first_text_in(Language::English, report, units, width);
            match &report.costs {
                // Costs follow the first screen, which keeps its lines.
                Some(it) => {
                    let blocks = costs(it);
                    first + &titled((Language::English, units), report, blocks).body_text(width)
                }
                None => first,
            }
        }
    }
}

/// The first screen as plain text in a language.
pub fn first_text_in(language: Language, report: &Report, units: Units, width: usize) -> String {
    let laid_out =
        |room: Room| closed_up(&first_document((language, units), report, room).body_text(width));
    let text = laid_out(Room::Ample);
    if text.lines().count() <= FIRST_SCREEN_LINES {
        text
    } else {
        laid_out(Room::Tight)
    }
}

/// Without empty lines, from the last up, as far as needed to fit a screen.
fn closed_up(text: &str) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    while lines.len() > FIRST_SCREEN_LINES
        && let Some(at) = lines.iter().rposition(|it| it.is_empty())
    {
        lines.remove(at);
    }
    let mut out = lines.join("\n");
    out.push('\n');
    out
}

/// The whole document as an HTML file without scripts or anything from elsewhere.
pub fn html(report: &Report, units: Units) -> String {
    let paper = document(report, units, Extent::Full);
    html_file(&paper.title, HTML_STYLE, &paper.html_body_as(CLASSES))
}

/// The first screen as an HTML file in a language.
pub fn first_html_in(language: Language, report: &Report, units: Units) -> String {
    let paper = first_document_in(language, report, units);
    let body = paper.html_body_as(CLASSES);
    html_file_in(language, &paper.title, HTML_STYLE, &body)
}

/// The whole document as an HTML fragment for a page that has [`HTML_STYLE`]; it uses no
/// identifiers.
pub fn html_body(report: &Report, units: Units) -> String {
    document(report, units, Extent::Full).html_body_as(CLASSES)
}

/// The whole document as Markdown.
pub fn markdown(report: &Report, units: Units) -> String {
    document(report, units, Extent::Full).markdown()
}
