//! Blocks laid out as HTML without scripts or identifiers; looks are classes of `paper.css`.

use super::paper::{
    BAR_SIGNS, Bars, Block, Figure, Options, Ranked, asked, escaped, plain_escaped,
};
use super::svg::Svg;

/// Width and height of a bar in its own units.
const BAR: (f64, f64) = (200.0, 12.0);

/// A cell: where it has a second line, the first names it.
fn cell(text: &str) -> String {
    match text.split_once('\n') {
        None => escaped(text),
        Some((name, rest)) => format!("<strong>{}</strong><br>{}", escaped(name), escaped(rest)),
    }
}

/// Adds a block.
pub(super) fn block(out: &mut String, block: &Block) {
    let mut line = |it: String| {
        out.push_str(&it);
        out.push('\n');
    };
    match block {
        Block::Heading(it) => line(format!("<h2>{}</h2>", escaped(it))),
        Block::Subheading(it) => line(format!("<h3>{}</h3>", escaped(it))),
        Block::Text(it) | Block::Plain(it) => line(format!("<p>{}</p>", escaped(it))),
        Block::Strong(it) => line(format!("<p><strong>{}</strong></p>", escaped(it))),
        Block::Small(it) => line(format!("<p class=\"small\">{}</p>", escaped(it))),
        Block::Banner(it) => line(format!("<p class=\"banner\">{}</p>", escaped(it))),
        Block::Risk(it) => line(format!(
            "<div class=\"risk\">\n<p><strong>{}</strong></p>\n<p>{}</p>\n</div>",
            escaped(&it.headline),
            escaped(&it.says)
        )),
        Block::Labeled(it) if it.aloud => line(format!(
            "<h2>{}</h2>\n<blockquote><p>{}</p></blockquote>",
            escaped(&it.label),
            escaped(&it.says)
        )),
        Block::Labeled(it) => line(format!(
            "<p><strong>{}.</strong> {}</p>",
            escaped(&it.label),
            escaped(&it.says)
        )),
        Block::Bars(it) => line(bars(it)),
        Block::Options(it) => line(options(it)),
        Block::Items(items) => line(list("ul", items)),
        Block::Steps(items) => line(list("ol", items)),
        Block::Table { head, rows } => line(table(head, rows)),
        Block::Ranked(it) => line(ranked(it)),
        Block::Figure(it) => line(figure(it)),
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

fn list(tag: &str, items: &[String]) -> String {
    let items: String = items
        .iter()
        .map(|it| format!("<li>{}</li>\n", escaped(it)))
        .collect();
    format!("<{tag}>\n{items}</{tag}>")
}

/// Each bar is drawn beside its words, which say the same; it is hidden from who listens.
fn bars(it: &Bars) -> String {
    let rows: String = it
        .rows
        .iter()
        .map(|row| {
            let mut svg = Svg::new(BAR.0, BAR.1);
            let filled = BAR.0 * row.filled as f64 / BAR_SIGNS as f64;
            svg.rect("share", (0.0, 1.0), (filled, BAR.1 - 2.0));
            svg.rect("whole", (0.5, 1.0), (BAR.0 - 1.0, BAR.1 - 2.0));
            format!("<li>{} {}</li>\n", escaped(&row.says), svg.hidden())
        })
        .collect();
    format!(
        "<h2>{}</h2>\n<ul class=\"bars\">\n{rows}</ul>",
        escaped(&it.title)
    )
}

fn options(it: &Options) -> String {
    let rows: Vec<Vec<String>> = it
        .rows
        .iter()
        .map(|it| vec![it.name.clone(), it.count.clone()])
        .collect();
    table(&[it.title.clone(), it.key.clone()], &rows)
}

fn ranked(it: &Ranked) -> String {
    let (head, rows) = it.as_table();
    table(&head, &rows)
}

fn figure(it: &Figure) -> String {
    format!(
        "<figure>\n<figcaption><h3>{}</h3></figcaption>\n{}\n<p class=\"small\">{} {}</p>\n{}\n</figure>",
        escaped(&it.title),
        it.svg,
        escaped(&it.says),
        escaped(&it.key),
        table(&it.head, &it.rows)
    )
}

/// A table in a frame of its own: where it is wider than the page, the frame scrolls, by keys
/// too.
fn table(head: &[String], rows: &[Vec<String>]) -> String {
    let mut out = format!(
        "<div class=\"frame\" role=\"group\" tabindex=\"0\" aria-label=\"{}\">\n<table>\n<thead>\n\
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
    out.push_str("</tbody>\n</table>\n</div>");
    out
}
