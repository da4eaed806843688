//! A sheet of paper as a list of blocks, laid out as text, Markdown or HTML.
//!
//! The notice, the homeowner's sheet and the blank forms are made of these; what a person
//! typed stands in them through [`typed`], so that it can neither break out nor turn the
//! line around.

use super::text::Page;

/// Styles of a sheet in HTML, all under `.paper`.
pub const PAPER_STYLE: &str = include_str!("paper.css");

/// Columns of a blank to write on.
const BLANK: usize = 28;
/// Columns of the narrower cells of a table in text.
const CELL: usize = 24;

/// How a sheet is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    Text,
    Markdown,
    Html,
}

/// A part of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    Heading(String),
    Text(String),
    /// A line that must not be overlooked.
    Banner(String),
    Items(Vec<String>),
    /// Rows under a head; the first column names the row.
    Table {
        head: Vec<String>,
        rows: Vec<Vec<String>>,
    },
    /// Something to write in by hand; stays visibly blank.
    Blanks(Vec<String>),
    /// A question with boxes to tick.
    Boxes {
        ask: String,
        boxes: Vec<String>,
    },
    /// Lines whose columns matter.
    Columns(String),
    /// Sentences, and what limits them beside them in the same size.
    Beside {
        lead: Vec<String>,
        beside: Vec<String>,
    },
    Strong(String),
    Subheading(String),
    Small(String),
    Figure(Figure),
}

/// A drawing with what it shows in words and in figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    pub title: String,
    pub says: String,
    /// Our own markup; empty where there is nothing to draw.
    pub svg: String,
    pub head: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

/// A whole sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Paper {
    pub title: String,
    pub blocks: Vec<Block>,
}

impl Paper {
    /// The sheet as a file of its own.
    pub fn laid_out(&self, layout: Layout, width: usize) -> String {
        match layout {
            Layout::Text => self.text(width),
            Layout::Markdown => self.markdown(),
            Layout::Html => self.html(),
        }
    }

    /// Plain text in `width` columns.
    pub fn text(&self, width: usize) -> String {
        let mut page = Page::new(width);
        page.wrapped(&plain(&self.title.to_uppercase()), "", "  ");
        for block in &self.blocks {
            text_block(&mut page, block, width);
        }
        page.done()
    }

    /// Markdown, with tables.
    pub fn markdown(&self) -> String {
        let mut out = format!("# {}\n", marked_down(&self.title));
        for block in &self.blocks {
            out.push('\n');
            markdown_block(&mut out, block);
        }
        out
    }

    /// An HTML fragment for a page that has [`PAPER_STYLE`].
    pub fn html_body(&self) -> String {
        self.html_body_as("paper")
    }

    /// The same with more classes, of which `paper` must be one.
    pub fn html_body_as(&self, classes: &str) -> String {
        let mut out = format!(
            "<article class=\"{classes}\">\n<h1>{}</h1>\n",
            escaped(&self.title)
        );
        for block in &self.blocks {
            html_block(&mut out, block);
        }
        out.push_str("</article>\n");
        out
    }

    /// A whole HTML file without scripts or anything from elsewhere.
    pub fn html(&self) -> String {
        document(&self.title, PAPER_STYLE, &self.html_body())
    }
}

/// A whole HTML file around a body.
pub fn document(title: &str, style: &str, body: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
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
fn plain(text: &str) -> String {
    let text = text.replace([STRIKE, UNSTRIKE], "");
    if turns(&text) {
        text
    } else {
        text.replace([ISOLATE, POP], "")
    }
}

/// HTML's own signs made harmless, and the marks dropped, as for a title.
fn plain_escaped(text: &str) -> String {
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

/// A cell: where it has a second line, the first names it.
fn cell(text: &str) -> String {
    match text.split_once('\n') {
        None => escaped(text),
        Some((name, rest)) => format!("<strong>{}</strong><br>{}", escaped(name), escaped(rest)),
    }
}

/// Markdown's own signs made harmless.
fn marked_down(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for it in plain(text).chars() {
        match it {
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '~' | '!' => {
                out.push('\\');
                out.push(it);
            }
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            it => out.push(it),
        }
    }
    // At the start of a line these would begin a list, and digits with a point a numbered one.
    if out.starts_with(['-', '+', '=']) {
        out.insert(0, '\\');
    } else if let Some(at) = out.find(['.', ')'])
        && at > 0
        && out[..at].bytes().all(|it| it.is_ascii_digit())
    {
        out.insert(at, '\\');
    }
    out
}

fn text_block(page: &mut Page, block: &Block, width: usize) {
    match block {
        Block::Heading(it) => page.title(&plain(it)),
        Block::Text(it) => page.paragraph(&plain(it)),
        Block::Banner(it) => {
            page.line("");
            page.wrapped(&plain(it), "** ", "   ");
        }
        Block::Items(items) => items.iter().for_each(|it| page.item(&plain(it))),
        Block::Table { head, rows } => {
            if head.len() <= 2 {
                for row in rows {
                    let rest = row.get(1).map_or("", String::as_str);
                    page.wrapped(
                        &plain(&format!("{} {rest}", asked(&row[0]))),
                        "  - ",
                        "    ",
                    );
                }
                return;
            }
            if rows.iter().all(|row| row[1..].iter().all(String::is_empty)) {
                grid(page, head, rows, width);
                return;
            }
            // What is filled in speaks for itself; a blank needs its name.
            for row in rows {
                let mut line = asked(&row[0]);
                for (cell, name) in row.iter().zip(head).skip(1) {
                    line.push(' ');
                    if cell.is_empty() {
                        line.push_str(&format!("{name}: {}", "_".repeat(CELL.min(width / 3))));
                    } else {
                        line.push_str(cell);
                    }
                }
                page.wrapped(&plain(&line), "  - ", "    ");
            }
        }
        Block::Blanks(names) => {
            for name in names {
                let name = plain(&asked(name));
                let room = width.saturating_sub(textwrap::core::display_width(&name) + 3);
                page.line("");
                if room >= BLANK / 2 {
                    page.line(&format!("  {name} {}", "_".repeat(room.min(BLANK * 2))));
                } else {
                    page.wrapped(&name, "  ", "    ");
                    page.line(&format!("    {}", "_".repeat(BLANK)));
                }
            }
        }
        Block::Boxes { ask, boxes } => {
            page.wrapped(&plain(ask), "  ", "    ");
            let boxes: Vec<String> = boxes
                .iter()
                // A box and its words stay together.
                .map(|it| format!("[\u{a0}]\u{a0}{}", plain(it).replace(' ', "\u{a0}")))
                .collect();
            let mut part = Page::new(width);
            part.wrapped(&boxes.join("  "), "      ", "      ");
            for line in part.done().lines() {
                page.line(&line.replace('\u{a0}', " "));
            }
        }
        Block::Beside { lead, beside } => lead
            .iter()
            .chain(beside)
            .for_each(|it| page.paragraph(&plain(it))),
        Block::Strong(it) | Block::Small(it) => page.paragraph(&plain(it)),
        Block::Subheading(it) => page.title(&plain(it)),
        Block::Figure(it) => {
            page.title(&plain(&it.title));
            page.paragraph(&plain(&it.says));
            let table = Block::Table {
                head: it.head.clone(),
                rows: it.rows.clone(),
            };
            text_block(page, &table, width);
        }
        Block::Columns(text) => {
            page.line("");
            text.lines().for_each(|it| page.line(&plain(it)));
        }
    }
}

/// Rows to be filled in: columns with a line to write on, as many as fit beside each other.
fn grid(page: &mut Page, head: &[String], rows: &[Vec<String>], width: usize) {
    let first = rows
        .iter()
        .map(|it| it[0].chars().count())
        .max()
        .unwrap_or(0);
    let names: Vec<String> = head[1..].iter().map(|it| plain(it)).collect();
    let longest = names.iter().map(|it| it.chars().count()).max().unwrap_or(0);
    let fit = ((width.saturating_sub(first + 2)) / (longest + 1)).max(1);
    for part in names.chunks(fit) {
        page.line("");
        let cells: String = part.iter().map(|it| format!(" {it:<longest$}")).collect();
        page.line(&format!("  {:first$}{cells}", ""));
        for row in rows {
            let cells = format!(" {}", "_".repeat(longest)).repeat(part.len());
            page.line(&format!("  {:<first$}{cells}", plain(&row[0])));
        }
    }
}

/// The name of a row before what stands in it: a question needs no colon.
fn asked(name: &str) -> String {
    if name.ends_with('?') {
        name.to_string()
    } else {
        format!("{name}:")
    }
}

fn markdown_row(cells: &[String]) -> String {
    let cells: Vec<String> = cells
        .iter()
        .map(|it| marked_down(&it.replacen('\n', ": ", 1)))
        .collect();
    format!("| {} |\n", cells.join(" | "))
}

/// Rows under a head.
fn markdown_table(out: &mut String, head: &[String], rows: &[Vec<String>]) {
    out.push_str(&markdown_row(head));
    out.push_str(&format!("|{}\n", " --- |".repeat(head.len())));
    for row in rows {
        out.push_str(&markdown_row(row));
    }
}

fn markdown_block(out: &mut String, block: &Block) {
    match block {
        Block::Table { head, rows } => return markdown_table(out, head, rows),
        Block::Figure(it) => {
            out.push_str(&format!(
                "### {}\n\n{}\n\n",
                marked_down(&it.title),
                marked_down(&it.says)
            ));
            return markdown_table(out, &it.head, &it.rows);
        }
        _ => {}
    }
    let mut line = |it: String| {
        out.push_str(&it);
        out.push('\n');
    };
    match block {
        Block::Heading(it) => line(format!("## {}", marked_down(it))),
        Block::Text(it) => line(marked_down(it)),
        Block::Banner(it) => line(format!("> **{}**", marked_down(it))),
        Block::Items(items) => items
            .iter()
            .for_each(|it| line(format!("- {}", marked_down(it)))),
        Block::Table { .. } | Block::Figure(_) => {}
        Block::Beside { lead, beside } => {
            lead.iter()
                .chain(beside)
                .enumerate()
                .for_each(|(at, it)| match at {
                    0 => line(format!("**{}**\n", marked_down(it))),
                    _ => line(format!("{}\n", marked_down(it))),
                })
        }
        Block::Strong(it) => line(format!("**{}**", marked_down(it))),
        Block::Subheading(it) => line(format!("### {}", marked_down(it))),
        Block::Small(it) => line(marked_down(it)),
        Block::Blanks(names) => names.iter().for_each(|it| {
            line(format!(
                "{} {}\n",
                marked_down(&asked(it)),
                "\\_".repeat(BLANK)
            ));
        }),
        Block::Boxes { ask, boxes } => {
            line(format!("{}\n", marked_down(ask)));
            boxes
                .iter()
                .for_each(|it| line(format!("- [ ] {}", marked_down(it))));
        }
        Block::Columns(text) => {
            // A fence that nothing in it can close, so that no sign in it means anything.
            let fence = "~".repeat(3 + text.chars().filter(|it| *it == '~').count());
            line(fence.clone());
            text.lines().for_each(|it| line(plain(it)));
            line(fence);
        }
    }
}

fn html_block(out: &mut String, block: &Block) {
    let mut line = |it: String| {
        out.push_str(&it);
        out.push('\n');
    };
    match block {
        Block::Heading(it) => line(format!("<h2>{}</h2>", escaped(it))),
        Block::Text(it) => line(format!("<p>{}</p>", escaped(it))),
        Block::Banner(it) => line(format!("<p class=\"banner\">{}</p>", escaped(it))),
        Block::Items(items) => {
            line("<ul>".to_string());
            items
                .iter()
                .for_each(|it| line(format!("<li>{}</li>", escaped(it))));
            line("</ul>".to_string());
        }
        Block::Table { head, rows } => line(html_table(head, rows)),
        Block::Beside { lead, beside } => {
            let part = |all: &[String]| -> String {
                all.iter()
                    .map(|it| format!("<p>{}</p>\n", escaped(it)))
                    .collect()
            };
            line(format!(
                "<div class=\"beside\">\n<div class=\"lead\">\n{}</div>\n<div>\n{}</div>\n</div>",
                part(lead),
                part(beside)
            ));
        }
        Block::Strong(it) => line(format!("<p><strong>{}</strong></p>", escaped(it))),
        Block::Subheading(it) => line(format!("<h3>{}</h3>", escaped(it))),
        Block::Small(it) => line(format!("<p class=\"small\">{}</p>", escaped(it))),
        Block::Figure(it) => line(format!(
            "<figure>\n<figcaption><h3>{}</h3></figcaption>\n{}\n<p class=\"small\">{}</p>\n{}\n</figure>",
            escaped(&it.title),
            it.svg,
            escaped(&it.says),
            html_table(&it.head, &it.rows)
        )),
        Block::Blanks(names) => names.iter().for_each(|it| {
            line(format!(
                "<p class=\"blank\"><span>{}</span> <span class=\"rule\"></span></p>",
                escaped(&asked(it))
            ));
        }),
        Block::Boxes { ask, boxes } => {
            line(format!(
                "<p class=\"ask\">{}</p>\n<ul class=\"boxes\">",
                escaped(ask)
            ));
            boxes
                .iter()
                .for_each(|it| line(format!("<li>{}</li>", escaped(it))));
            line("</ul>".to_string());
        }
        Block::Columns(text) => line(format!("<pre tabindex=\"0\">{}</pre>", escaped(text))),
    }
}

/// A table in a frame of its own: where it is wider than the page, the frame scrolls, by keys
/// too.
fn html_table(head: &[String], rows: &[Vec<String>]) -> String {
    let mut out = format!(
        "<section class=\"frame\" tabindex=\"0\" aria-label=\"{}\">\n<table>\n<thead>\n\
         <tr>{}</tr>\n</thead>\n<tbody>\n",
        plain_escaped(&head.join(", ")),
        head.iter()
            .map(|it| format!("<th scope=\"col\">{}</th>", escaped(it)))
            .collect::<String>()
    );
    for row in rows {
        let cells: String = row
            .iter()
            .enumerate()
            .map(|(at, it)| match at {
                0 => format!("<th scope=\"row\">{}</th>", cell(it)),
                _ => format!("<td>{}</td>", cell(it)),
            })
            .collect();
        out.push_str(&format!("<tr>{cells}</tr>\n"));
    }
    out.push_str("</tbody>\n</table>\n</section>");
    out
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
