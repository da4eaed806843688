//! Blocks laid out as plain text.

use super::page::Page;
use super::paper::{
    BAR_SIGNS, Bars, Block, Course, Figure, Labeled, Options, Ranked, Risk, asked, plain,
};

/// Columns of a blank to write on.
const BLANK: usize = 28;
/// Columns of the narrower cells of a table.
const CELL: usize = 24;
/// Columns from which on options stand two in a line.
const TWO_COLUMNS: usize = 72;
/// Columns under which marks of a year are letters.
const NARROW: usize = 76;
/// Columns under which a bar says nothing.
const SHORTEST_BAR: usize = 8;
/// Columns of a short label and the gap behind it.
const SHORT_LABEL: usize = 5;

/// Adds a block to a page.
pub(super) fn block(page: &mut Page, block: &Block) {
    let width = page.width();
    match block {
        Block::Heading(it) | Block::Subheading(it) => page.title(&plain(it)),
        Block::Text(it) | Block::Strong(it) | Block::Small(it) => page.paragraph(&plain(it)),
        Block::Plain(it) => page.wrapped(&plain(it), "", ""),
        Block::Banner(it) => {
            page.line("");
            page.wrapped(&plain(it), "** ", "   ");
        }
        Block::Risk(it) => risk(page, it),
        Block::Bars(it) => bars(page, it),
        Block::Labeled(it) => labeled(page, it),
        Block::Options(it) => options(page, it),
        Block::Items(items) => items.iter().for_each(|it| page.item(&plain(it))),
        Block::Steps(items) => {
            for (at, it) in items.iter().enumerate() {
                page.wrapped(&plain(it), &format!("  {}. ", at + 1), "     ");
            }
        }
        Block::Table { head, rows } => table(page, head, rows),
        Block::Ranked(it) => ranked(page, it),
        Block::Blanks(names) => names.iter().for_each(|it| blank(page, it)),
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
        Block::Figure(it) => figure(page, it),
        Block::Columns(text) => {
            page.line("");
            text.lines().for_each(|it| page.line(&plain(it)));
        }
    }
}

fn wide(text: &str) -> usize {
    textwrap::core::display_width(text)
}

/// Text filled up with blanks to so many columns.
fn padded(text: &str, columns: usize) -> String {
    format!("{text}{}", " ".repeat(columns.saturating_sub(wide(text))))
}

fn risk(page: &mut Page, it: &Risk) {
    page.line("");
    page.wrapped(&plain(&format!("{}. {}", it.headline, it.says)), "", "");
}

/// A title at the left end of a line and its key at the right end, or under it.
fn title_with_key(page: &mut Page, title: &str, key: &str) {
    page.line("");
    let title = plain(title).to_uppercase();
    let key = plain(key);
    let gap = page.width().saturating_sub(wide(&title) + wide(&key));
    if gap >= 2 {
        page.line(&format!(
            "{title}{}{key}",
            " ".repeat(gap.min(page.width()))
        ));
    } else {
        page.wrapped(&title, "", "  ");
        page.wrapped(&key, "  ", "  ");
    }
}

fn bars(page: &mut Page, it: &Bars) {
    title_with_key(page, &it.title, &it.key);
    let room = page.width().saturating_sub(BAR_SIGNS + 3);
    for row in &it.rows {
        let bar = format!(
            "{}{}",
            "#".repeat(row.filled),
            ".".repeat(BAR_SIGNS - row.filled.min(BAR_SIGNS))
        );
        let says = plain(&row.says);
        if wide(&says) <= room {
            page.line(&format!("  {} {bar}", padded(&says, room)));
        } else {
            page.wrapped(&says, "  ", "    ");
            page.line(&format!("    {bar}"));
        }
    }
}

fn labeled(page: &mut Page, it: &Labeled) {
    let label = plain(&it.label).to_uppercase();
    let says = plain(&it.says);
    if it.aloud {
        page.line("");
        page.wrapped(&label, "", "  ");
        page.wrapped(&format!("\"{says}\""), "  ", "  ");
    } else if wide(&label) < SHORT_LABEL {
        let first = padded(&label, SHORT_LABEL);
        page.wrapped(&says, &first, &" ".repeat(SHORT_LABEL));
    } else {
        page.wrapped(&format!("{label} {says}"), "", "     ");
    }
}

/// Two options in a line where there is room, the first half at the left.
fn options(page: &mut Page, it: &Options) {
    title_with_key(page, &it.title, &it.key);
    let said: Vec<String> = it
        .rows
        .iter()
        .map(|it| {
            let mark = if it.quoted { ">" } else { " " };
            format!("{mark} {:>3}  {}", plain(&it.count), plain(&it.name))
        })
        .collect();
    let half = said.len().div_ceil(2);
    let left = said[..half]
        .iter()
        .map(|it| wide(it) + 2)
        .max()
        .unwrap_or(0);
    let fits = page.width() >= TWO_COLUMNS
        && said[half..]
            .iter()
            .all(|it| wide(it) + left <= page.width());
    if fits {
        for (at, it) in said[..half].iter().enumerate() {
            let right = said.get(half + at).map_or("", String::as_str);
            page.line(&format!("{}{right}", padded(it, left)));
        }
    } else {
        said.iter().for_each(|it| page.wrapped(it, "", "       "));
    }
}

fn table(page: &mut Page, head: &[String], rows: &[Vec<String>]) {
    let width = page.width();
    if head.len() <= 2 {
        for row in rows {
            let rest = row.get(1).map_or("", String::as_str);
            let line = format!("{} {rest}", asked(&row[0]));
            page.wrapped(&plain(&line), "  - ", "    ");
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

fn ranked(page: &mut Page, it: &Ranked) {
    let columns: Vec<usize> = (0..it.head.len())
        .map(|at| {
            it.rows
                .iter()
                .map(|row| wide(&plain(&row.numbers[at])))
                .chain([wide(&plain(&it.head[at]))])
                .max()
                .unwrap_or(0)
        })
        .collect();
    let numbers = |cells: &[String]| -> String {
        cells
            .iter()
            .zip(&columns)
            .map(|(cell, columns)| {
                let cell = plain(cell);
                format!("{}{cell}  ", " ".repeat(columns - wide(&cell)))
            })
            .collect()
    };
    page.line(&format!("  {}{}", numbers(&it.head), plain(&it.name)));
    let indent = 2 + columns.iter().map(|it| it + 2).sum::<usize>();
    let rest = " ".repeat(indent + 2);
    for row in &it.rows {
        let first = format!("  {}", numbers(&row.numbers));
        page.wrapped(&plain(&row.name), &first, &rest);
        if !row.more.is_empty() {
            let more = " ".repeat(indent);
            page.wrapped(&plain(&row.more), &more, &more);
        }
    }
}

fn blank(page: &mut Page, name: &str) {
    let name = plain(&asked(name));
    let room = page.width().saturating_sub(wide(&name) + 3);
    page.line("");
    if room >= BLANK / 2 {
        page.line(&format!("  {name} {}", "_".repeat(room.min(BLANK * 2))));
    } else {
        page.wrapped(&name, "  ", "    ");
        page.line(&format!("    {}", "_".repeat(BLANK)));
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

/// A drawing in plain signs where it is the course of a year, else its numbers.
fn figure(page: &mut Page, it: &Figure) {
    page.title(&plain(&it.title));
    page.paragraph(&plain(&it.says));
    if it.courses.is_empty() {
        numbers_of(page, &it.head, &it.rows);
    } else {
        courses(page, &it.courses, it.limit);
    }
}

/// Numbers in columns where they fit, else a line for each row.
fn numbers_of(page: &mut Page, head: &[String], rows: &[Vec<String>]) {
    let columns: Vec<usize> = (0..head.len())
        .map(|at| {
            rows.iter()
                .map(|row| wide(&plain(&row[at])))
                .chain([wide(&plain(&head[at]))])
                .max()
                .unwrap_or(0)
        })
        .collect();
    if columns.iter().map(|it| it + 2).sum::<usize>() <= page.width() {
        for row in std::iter::once(head).chain(rows.iter().map(Vec::as_slice)) {
            let cells: String = row
                .iter()
                .zip(&columns)
                .map(|(cell, columns)| format!("  {}", padded(&plain(cell), *columns)))
                .collect();
            page.line(&cells);
        }
        return;
    }
    for row in rows {
        let rest: Vec<String> = row
            .iter()
            .zip(head)
            .skip(1)
            .filter(|it| !it.0.is_empty())
            .map(|(cell, name)| format!("{name} {cell}"))
            .collect();
        let line = format!("{} {}", asked(&row[0]), rest.join("; "));
        page.wrapped(&plain(&line), "  - ", "    ");
    }
}

/// Months as bands between low and high with the likely value and the limit.
fn courses(page: &mut Page, courses: &[Course], limit: Option<f64>) {
    let top = courses
        .iter()
        .map(|it| it.values[2])
        .chain(limit)
        .fold(0.0, f64::max);
    let longest = courses.iter().map(|it| wide(&it.name)).max().unwrap_or(0);
    let beside = longest + 22;
    let is_narrow = page.width() < NARROW;
    let marks = courses.iter().map(|it| wide(&it.mark)).max().unwrap_or(0);
    let room = page
        .width()
        .saturating_sub(beside + if is_narrow { 0 } else { marks });
    for it in courses {
        let [low, likely, high] = it.values;
        let bar = band(it.values, limit, top, room.min(38));
        let mark = if is_narrow { "" } else { it.mark.as_str() };
        page.line(&format!(
            "  {}  {low:>4.1} {likely:>4.1} {high:>4.1}  {bar}  {mark}",
            padded(&it.name, longest)
        ));
    }
}

/// A band from low to high with the likely value and the limit, in plain signs.
fn band(values: [f64; 3], limit: Option<f64>, top: f64, width: usize) -> String {
    if width < SHORTEST_BAR {
        return String::new();
    }
    let place = |value: f64| ((value / top * (width - 1) as f64).round() as usize).min(width - 1);
    let mut cells = vec![' '; width];
    for cell in &mut cells[place(values[0])..=place(values[2])] {
        *cell = '-';
    }
    if let Some(limit) = limit {
        cells[place(limit)] = '|';
    }
    cells[place(values[1])] = 'o';
    cells.into_iter().collect()
}
