//! A sheet of paper as a list of blocks, laid out as text, Markdown or HTML.
//!
//! The document of a screen, the notice, the homeowner's sheet and the blank forms are made of
//! these; what a person typed stands in them through [`typed`], so that it can neither break out
//! nor turn the line around. A page can draw the same blocks: they are values with a tag.

use super::said::Units;
use crate::climate::is_in_canada;
use crate::words::{Language, say};
use serde::Serialize;

/// Styles of a sheet in HTML, all under `.paper`.
pub const PAPER_STYLE: &str = include_str!("paper.css");

/// How a sheet is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// Plain text in columns.
    Text,
    /// Markdown with tables.
    Markdown,
    /// HTML without scripts.
    Html,
}

/// A part of a sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "block", content = "of", rename_all = "snake_case")]
pub enum Block {
    /// Begins a part.
    Heading(String),
    /// Begins a part of a part.
    Subheading(String),
    /// A paragraph.
    Text(String),
    /// A paragraph of the first screen, without an indent.
    Plain(String),
    /// A paragraph that weighs more.
    Strong(String),
    /// A paragraph that weighs less.
    Small(String),
    /// A line that must not be overlooked.
    Banner(String),
    /// The one risk that leads, and what to do.
    Risk(Risk),
    /// Shares of 100 floors as bars.
    Bars(Bars),
    /// A word or two, and what is said under it.
    Labeled(Labeled),
    /// Options, each with one number.
    Options(Options),
    /// A list.
    Items(Vec<String>),
    /// Steps to take in order.
    Steps(Vec<String>),
    /// Rows under a head; the first column names the row.
    Table {
        /// Names of the columns.
        head: Vec<String>,
        /// As many cells as the head has; an empty one is written in by hand.
        rows: Vec<Vec<String>>,
    },
    /// Rows that a few numbers lead.
    Ranked(Ranked),
    /// Something to write in by hand; stays visibly blank.
    Blanks(Vec<String>),
    /// A question with boxes to tick.
    Boxes {
        /// The question.
        ask: String,
        /// Words beside each box.
        boxes: Vec<String>,
    },
    /// Lines whose columns matter.
    Columns(String),
    /// A drawing.
    Figure(Figure),
}

/// The one risk that leads a document.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Risk {
    /// The risk in a word or two, such as "RISK: VERY HIGH".
    pub headline: String,
    /// What to do, in a sentence or two.
    pub says: String,
}

/// Shares of 100 floors as bars of twenty signs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Bars {
    /// What the bars are of.
    pub title: String,
    /// What one sign stands for.
    pub key: String,
    /// The bars.
    pub rows: Vec<Bar>,
}

/// One bar.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Bar {
    /// The count and what is counted, in words.
    pub says: String,
    /// Signs of [`BAR_SIGNS`] that are filled.
    pub filled: usize,
}

/// Signs of a bar: one for every five of 100 floors.
pub const BAR_SIGNS: usize = 20;

/// A word or two, and what is said under it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Labeled {
    /// The word.
    pub label: String,
    /// What is said.
    pub says: String,
    /// Whether it can be read aloud as it stands, in quotes.
    pub aloud: bool,
}

/// Options, each with one number.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Options {
    /// What they are.
    pub title: String,
    /// What the number counts.
    pub key: String,
    /// The options in their order.
    pub rows: Vec<OptionRow>,
}

/// One option.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OptionRow {
    /// Of 100 floors, such as "45" or "<5"; "-" where it cannot be told.
    pub count: String,
    /// The option in a few words.
    pub name: String,
    /// The one that is quoted.
    pub quoted: bool,
}

/// Rows that a few numbers lead.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Ranked {
    /// Name of the column of names, then of each number.
    pub name: String,
    /// Names of the numbers.
    pub head: Vec<String>,
    /// The rows in their order.
    pub rows: Vec<RankedRow>,
}

impl Ranked {
    /// Head and rows of the same as a table, the name first and what more is said of it below.
    pub(super) fn as_table(&self) -> (Vec<String>, Vec<Vec<String>>) {
        let head = std::iter::once(&self.name).chain(&self.head);
        let row = |it: &RankedRow| {
            let name = if it.more.is_empty() {
                it.name.clone()
            } else {
                format!("{}\n{}", it.name, it.more)
            };
            std::iter::once(name)
                .chain(it.numbers.iter().cloned())
                .collect()
        };
        (head.cloned().collect(), self.rows.iter().map(row).collect())
    }
}

/// A row that a few numbers lead.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RankedRow {
    /// As many as the head has.
    pub numbers: Vec<String>,
    /// What they are of.
    pub name: String,
    /// What else is to be said of it; may be empty.
    pub more: String,
}

/// A drawing with what it shows in words and in figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// Its heading.
    pub title: String,
    /// What it shows, in words.
    pub says: String,
    /// How to read it.
    pub key: String,
    /// Our own markup; empty where there is nothing to draw.
    pub svg: String,
    /// Names of the columns of its numbers.
    pub head: Vec<String>,
    /// Its numbers.
    pub rows: Vec<Vec<String>>,
    /// The same as courses of a year, for a page of plain signs.
    pub courses: Vec<Course>,
    /// A mark across all courses.
    pub limit: Option<f64>,
}

/// A month of a year: a band and the likely value in it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Course {
    /// The month.
    pub name: String,
    /// Low, likely, high.
    pub values: [f64; 3],
    /// What is to be marked of it.
    pub mark: String,
}

/// A whole sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Paper {
    /// Its heading.
    pub title: String,
    /// Its parts in their order.
    pub blocks: Vec<Block>,
}

/// Sentences that name a length or a temperature, and have a row of their own for SI units.
const WITH_A_MEASURE: [(&str, &str); 9] = [
    (
        "gate.only_near_walls.reason",
        "gate.only_near_walls.reason.si",
    ),
    ("gate.sweating.reason", "gate.sweating.reason.si"),
    ("length.spout_far", "length.spout_far.si"),
    ("length.spout_near", "length.spout_near.si"),
    ("need.garage.summer", "need.garage.summer.si"),
    ("need.walls.do", "need.walls.do.si"),
    ("need.walls.practice", "need.walls.practice.si"),
    ("term.percent", "term.percent.si"),
    ("way.limit.membrane", "way.limit.membrane.si"),
];

/// A text with "65 °F (18.3 °C)" as "18.3 °C".
fn in_celsius(text: &str) -> String {
    const BOTH: &str = " °F (";
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(BOTH) {
        let (before, after) = (&rest[..at], &rest[at + BOTH.len()..]);
        let Some(end) = after.find(')') else {
            break;
        };
        let is_of_number = |it: char| it.is_ascii_digit() || it == '-';
        out.push_str(before.trim_end_matches(is_of_number));
        out.push_str(&after[..end]);
        rest = &after[end + 1..];
    }
    out.push_str(rest);
    out
}

impl Paper {
    /// With the measures of its sentences in meters and °C, where those were asked for.
    pub(super) fn in_units(mut self, units: Units, language: Language) -> Self {
        if units == Units::Si {
            let pairs = WITH_A_MEASURE.map(|it| (language.say(it.0), language.say(it.1)));
            self.blocks.iter_mut().for_each(|it| {
                it.each_text(&mut |text| {
                    for (usual, there) in pairs {
                        if text.contains(usual) {
                            *text = text.replace(usual, there);
                        }
                    }
                    *text = in_celsius(text);
                });
            });
        }
        self
    }

    /// With the word of the trade where it differs by country: a footing drain is weeping tile in
    /// Canada.
    pub(super) fn in_words_of(mut self, place: &str) -> Self {
        if is_in_canada(place) {
            let there = say("term.footing_drain.ca");
            for usual in [
                "term.footing_drain.long",
                "term.footing_drain.a",
                "term.footing_drain",
            ]
            .map(say)
            {
                self.blocks.iter_mut().for_each(|it| {
                    it.each_text(&mut |text| {
                        if text.contains(usual) {
                            *text = text.replace(usual, there);
                        }
                    });
                });
            }
        }
        self
    }
}

impl Block {
    /// Everything that is read of it but columns.
    fn each_text(&mut self, change: &mut dyn FnMut(&mut String)) {
        match self {
            Block::Heading(it)
            | Block::Subheading(it)
            | Block::Text(it)
            | Block::Plain(it)
            | Block::Strong(it)
            | Block::Small(it)
            | Block::Banner(it) => change(it),
            Block::Risk(it) => {
                change(&mut it.headline);
                change(&mut it.says);
            }
            Block::Bars(it) => it.rows.iter_mut().for_each(|it| change(&mut it.says)),
            Block::Labeled(it) => change(&mut it.says),
            Block::Options(it) => it.rows.iter_mut().for_each(|it| change(&mut it.name)),
            Block::Items(all) | Block::Steps(all) | Block::Blanks(all) => {
                all.iter_mut().for_each(change);
            }
            Block::Table { head, rows } => {
                head.iter_mut().for_each(&mut *change);
                rows.iter_mut().flatten().for_each(change);
            }
            Block::Ranked(it) => it.rows.iter_mut().for_each(|it| {
                change(&mut it.name);
                change(&mut it.more);
            }),
            Block::Boxes { ask, boxes } => {
                change(ask);
                boxes.iter_mut().for_each(change);
            }
            Block::Figure(it) => {
                change(&mut it.says);
                change(&mut it.svg);
                it.rows.iter_mut().flatten().for_each(change);
            }
            Block::Columns(_) => {}
        }
    }
}

/// A whole HTML file around a body.
pub fn html_file(title: &str, style: &str, body: &str) -> String {
    html_file_in(Language::English, title, style, body)
}

/// The same with its language.
pub(super) fn html_file_in(language: Language, title: &str, style: &str, body: &str) -> String {
    let code = language.code();
    format!(
        "<!DOCTYPE html>\n<html lang=\"{code}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{}</title>\n<style>\n{style}</style>\n</head>\n<body>\n<main>\n{body}</main>\n\
         </body>\n</html>\n",
        plain_escaped(title)
    )
}

/// What a person typed, kept apart from the words around it: no control characters, and
/// between marks that keep its direction to itself.
pub fn typed(text: &str) -> String {
    format!("{ISOLATE}{}{POP}", cleaned(text))
}

/// What no longer counts but stays readable.
pub fn struck(text: &str) -> String {
    format!("{STRIKE}{text}{UNSTRIKE}")
}

/// Private signs; [`cleaned`] keeps a person from typing them.
const STRIKE: char = '\u{E000}';
const UNSTRIKE: char = '\u{E001}';
const ISOLATE: char = '\u{2068}';
const POP: char = '\u{2069}';

/// Without control characters, and without marks that turn the text around it.
pub fn cleaned(text: &str) -> String {
    let shown: String = text
        .chars()
        .map(|it| if it.is_whitespace() { ' ' } else { it })
        .filter(|it| {
            !it.is_control()
                && !matches!(*it, '\u{200E}' | '\u{200F}' | '\u{061C}' | '\u{FEFF}'
                    | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}'
                    | '\u{FFFE}' | '\u{FFFF}' | STRIKE | UNSTRIKE)
        })
        .collect();
    shown.trim().to_string()
}

/// Letters that are written from right to left.
fn turns(text: &str) -> bool {
    text.chars()
        .any(|it| matches!(it, '\u{0590}'..='\u{08FF}' | '\u{FB1D}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFC}'))
}

/// The marks stay only where there is something to keep apart.
pub(super) fn plain(text: &str) -> String {
    let text = text.replace([STRIKE, UNSTRIKE], "");
    if turns(&text) {
        text
    } else {
        text.replace([ISOLATE, POP], "")
    }
}

/// HTML's own signs made harmless, and the marks dropped, as for a title.
pub(super) fn plain_escaped(text: &str) -> String {
    signs_escaped(&text.replace([ISOLATE, POP, STRIKE, UNSTRIKE], ""))
}

fn signs_escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for it in text.chars() {
        match it {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            it if it.is_control() && it != '\n' => {}
            it => out.push(it),
        }
    }
    out
}

/// HTML's own signs made harmless; what was typed stands in an element of its own.
pub fn escaped(text: &str) -> String {
    signs_escaped(text)
        .replace(ISOLATE, "<bdi>")
        .replace(POP, "</bdi>")
        .replace(STRIKE, "<s>")
        .replace(UNSTRIKE, "</s>")
}

/// The name of a row before what stands in it: a question needs no colon.
pub(super) fn asked(name: &str) -> String {
    if name.ends_with('?') {
        name.to_string()
    } else {
        format!("{name}:")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(text: &str) -> Paper {
        Paper {
            title: typed(text),
            blocks: vec![
                Block::Heading(typed(text)),
                Block::Text(format!("Said: {}.", typed(text))),
                Block::Items(vec![typed(text)]),
                Block::Table {
                    head: vec!["a".to_string(), "b".to_string(), typed(text)],
                    rows: vec![vec![typed(text), String::new(), typed(text)]],
                },
                Block::Ranked(Ranked {
                    name: typed(text),
                    head: vec![typed(text)],
                    rows: vec![RankedRow {
                        numbers: vec![typed(text)],
                        name: typed(text),
                        more: typed(text),
                    }],
                }),
                Block::Risk(Risk {
                    headline: typed(text),
                    says: typed(text),
                }),
                Block::Labeled(Labeled {
                    label: typed(text),
                    says: typed(text),
                    aloud: true,
                }),
                Block::Bars(Bars {
                    title: typed(text),
                    key: typed(text),
                    rows: vec![Bar {
                        says: typed(text),
                        filled: 3,
                    }],
                }),
                Block::Options(Options {
                    title: typed(text),
                    key: typed(text),
                    rows: vec![OptionRow {
                        count: typed(text),
                        name: typed(text),
                        quoted: true,
                    }],
                }),
                Block::Blanks(vec![typed(text)]),
                Block::Boxes {
                    ask: typed(text),
                    boxes: vec![typed(text)],
                },
                Block::Columns(typed(text)),
            ],
        }
    }

    #[test]
    fn what_was_typed_cannot_break_out() {
        let paper = sheet("<script>alert('x')</script>\" onload=\"y\u{0}\u{1b}[31m\r\n| # ```");
        let html = paper.html();
        assert!(!html.contains("<script") && !html.contains("\" onload"));
        for text in [&html, &paper.text(80), &paper.markdown()] {
            assert!(!text.contains(|it: char| it.is_control() && it != '\n'));
        }
        // All but what stands in the fence.
        let markdown = paper.markdown();
        assert_eq!(markdown.matches("\n~~~\n").count(), 2);
        assert!(
            !markdown
                .split("\n~~~\n")
                .next()
                .unwrap()
                .contains("<script")
        );
    }

    #[test]
    fn text_from_right_to_left_is_kept_apart() {
        let paper = sheet("\u{202E}ab \u{05D0}\u{05D1}");
        assert!(!paper.html().contains('\u{202E}'));
        assert!(paper.html().contains("<bdi>ab \u{05D0}\u{05D1}</bdi>"));
        assert!(
            paper
                .text(80)
                .contains("\u{2068}ab \u{05D0}\u{05D1}\u{2069}")
        );
        assert!(!sheet("plain").text(80).contains(ISOLATE));
    }
}
