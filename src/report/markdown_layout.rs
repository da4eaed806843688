//! Blocks laid out as Markdown.

use super::paper::{Block, Figure, Options, Ranked, asked, plain};

/// Columns of a blank to write on.
const BLANK: usize = 28;

/// Markdown's own signs made harmless.
pub(super) fn safe(text: &str) -> String {
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
    // A bare address would become a link that somebody else typed.
    out = out.replace("://", "\\://").replace("www.", "www\\.");
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

fn row(cells: &[String]) -> String {
    let cells: Vec<String> = cells
        .iter()
        .map(|it| safe(&it.replacen('\n', ": ", 1)))
        .collect();
    format!("| {} |\n", cells.join(" | "))
}

/// Rows under a head.
fn table(out: &mut String, head: &[String], rows: &[Vec<String>]) {
    out.push_str(&row(head));
    out.push_str(&format!("|{}\n", " --- |".repeat(head.len())));
    for it in rows {
        out.push_str(&row(it));
    }
}

/// Adds a block.
pub(super) fn block(out: &mut String, block: &Block) {
    let mut line = |it: String| {
        out.push_str(&it);
        out.push('\n');
    };
    match block {
        Block::Heading(it) => line(format!("## {}", safe(it))),
        Block::Subheading(it) => line(format!("### {}", safe(it))),
        Block::Text(it) | Block::Plain(it) | Block::Small(it) => line(safe(it)),
        Block::Strong(it) => line(format!("**{}**", safe(it))),
        Block::Banner(it) => line(format!("> **{}**", safe(it))),
        Block::Risk(it) => line(format!("**{}.** {}", safe(&it.headline), safe(&it.says))),
        Block::Labeled(it) if it.aloud => {
            line(format!("**{}:**\n\n> {}", safe(&it.label), safe(&it.says)))
        }
        Block::Labeled(it) => line(format!("**{}:** {}", safe(&it.label), safe(&it.says))),
        Block::Bars(it) => {
            line(format!("### {}\n", safe(&it.title)));
            it.rows
                .iter()
                .for_each(|it| line(format!("- {}", safe(&it.says))));
        }
        Block::Options(it) => options(out, it),
        Block::Items(items) => items.iter().for_each(|it| line(format!("- {}", safe(it)))),
        Block::Steps(items) => items
            .iter()
            .enumerate()
            .for_each(|(at, it)| line(format!("{}. {}", at + 1, safe(it)))),
        Block::Table { head, rows } => table(out, head, rows),
        Block::Ranked(it) => ranked(out, it),
        Block::Figure(it) => figure(out, it),
        Block::Blanks(names) => names.iter().for_each(|it| {
            line(format!("{} {}\n", safe(&asked(it)), "\\_".repeat(BLANK)));
        }),
        Block::Boxes { ask, boxes } => {
            line(format!("{}\n", safe(ask)));
            boxes
                .iter()
                .for_each(|it| line(format!("- [ ] {}", safe(it))));
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

fn options(out: &mut String, it: &Options) {
    out.push_str(&format!("### {}\n\n", safe(&it.title)));
    let rows: Vec<Vec<String>> = it
        .rows
        .iter()
        .map(|it| vec![it.name.clone(), it.count.clone()])
        .collect();
    table(out, &[it.title.clone(), it.key.clone()], &rows);
}

fn ranked(out: &mut String, it: &Ranked) {
    let (head, rows) = it.as_table();
    table(out, &head, &rows);
}

fn figure(out: &mut String, it: &Figure) {
    out.push_str(&format!(
        "### {}\n\n{} {}\n\n",
        safe(&it.title),
        safe(&it.says),
        safe(&it.key)
    ));
    table(out, &it.head, &it.rows);
}
