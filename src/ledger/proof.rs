//! The check as a sheet of paper.

use super::check::{Checked, Claim, Difference, Held, ScoreRow, Standing};
use crate::report::paper::Block;
use crate::report::{Layout, Paper, StatedShare, reliability_figure};
use crate::words::{say, say_all, say_with};

/// A table: cells under each other where letters have one width, a table of the page elsewhere.
pub(super) fn laid_table(layout: Layout, head: Vec<String>, rows: Vec<Vec<String>>) -> Block {
    if layout != Layout::Text {
        return Block::Table { head, rows };
    }
    let widths: Vec<usize> = (0..head.len())
        .map(|at| {
            let cells = rows.iter().map(|it| it[at].chars().count());
            cells.max().unwrap_or(0).max(head[at].chars().count())
        })
        .collect();
    let line = |cells: &[String]| {
        let all: Vec<String> = cells
            .iter()
            .zip(&widths)
            .enumerate()
            .map(|(at, (cell, width))| match at {
                0 => format!("{cell:<width$}"),
                _ => format!("{cell:>width$}"),
            })
            .collect();
        format!("{}\n", all.join("  ").trim_end())
    };
    let mut text = line(&head);
    for row in &rows {
        text.push_str(&line(row));
    }
    Block::Columns(text)
}

/// The sheet, for a layout.
pub fn proof_paper(checked: &Checked, layout: Layout) -> Paper {
    let mut blocks = vec![Block::Banner(standing_said(checked))];
    blocks.push(Block::Heading(say("ledger.proof.claims").to_string()));
    blocks.push(Block::Items(
        checked.claims.iter().map(claim_said).collect(),
    ));
    blocks.push(Block::Small(say("ledger.proof.claims_how").to_string()));
    blocks.push(Block::Heading(say("ledger.proof.chances").to_string()));
    if checked.reliability.is_empty() {
        blocks.push(Block::Text(say("ledger.proof.nothing").to_string()));
    } else {
        let shares: Vec<StatedShare> = checked
            .reliability
            .iter()
            .map(|it| StatedShare {
                floors: it.floors,
                stated: it.stated,
                came: it.share,
                low: it.low,
                high: it.high,
            })
            .collect();
        let figure = reliability_figure(&shares);
        blocks.push(match layout {
            Layout::Text => laid_table(layout, figure.head, figure.rows),
            Layout::Markdown | Layout::Html => Block::Figure(figure),
        });
    }
    blocks.push(Block::Small(say("ledger.proof.event").to_string()));
    blocks.push(Block::Heading(say("ledger.proof.scores").to_string()));
    blocks.extend(scores_tables(&checked.scores, layout));
    blocks.push(Block::Small(say("ledger.proof.scores_how").to_string()));
    blocks.push(Block::Heading(say("ledger.proof.band").to_string()));
    blocks.push(laid_table(
        layout,
        say_all(&[
            "ledger.column.band_of",
            "ledger.column.floors",
            "ledger.column.readings",
            "ledger.column.within",
            "ledger.column.interval",
        ]),
        checked.band.iter().map(band_row).collect(),
    ));
    blocks.push(Block::Small(say("ledger.proof.band_how").to_string()));
    if !checked.outcomes.is_empty() {
        blocks.push(Block::Heading(say("ledger.proof.outcomes").to_string()));
        let count = |it: u64| it.to_string();
        blocks.push(laid_table(
            layout,
            say_all(&[
                "ledger.column.grade",
                "ledger.column.held_up",
                "ledger.column.blistered",
                "ledger.column.not_coated",
            ]),
            checked
                .outcomes
                .iter()
                .map(|(grade, up, blistered, not)| {
                    vec![
                        grade.replace('_', " "),
                        count(*up),
                        count(*blistered),
                        count(*not),
                    ]
                })
                .collect(),
        ));
        blocks.push(Block::Small(say("ledger.proof.outcomes_how").to_string()));
    }
    blocks.push(Block::Heading(say("ledger.proof.left_out").to_string()));
    let left = checked.left_out;
    let counted = |key: &str, count: u64| say_with(key, &[("count", &count.to_string())]);
    blocks.push(Block::Items(vec![
        counted("ledger.left.not_stated", left.not_stated),
        counted("ledger.left.not_read_again", left.not_read_again),
        counted("ledger.left.sealed_after", left.sealed_after),
        counted("ledger.left.other_reading", left.other_reading),
    ]));
    blocks.push(Block::Small(say("disclaimer").to_string()));
    Paper {
        title: say("ledger.proof.title").to_string(),
        blocks,
    }
}

/// Whether the seals hold, in a sentence.
fn standing_said(checked: &Checked) -> String {
    let newest = checked
        .newest_seal
        .clone()
        .unwrap_or_else(|| "-".to_string());
    let (seals, floors) = (checked.seals.to_string(), checked.floors.to_string());
    let (scored, readings) = (
        checked.scored_floors.to_string(),
        checked.scored_readings.to_string(),
    );
    let blanks = [
        ("seals", seals.as_str()),
        ("floors", &floors),
        ("scored", &scored),
        ("readings", &readings),
        ("newest", &newest),
    ];
    match checked.broken_seal {
        None if checked.seals == 1 => say_with("ledger.proof.sealed_one", &blanks),
        None => say_with("ledger.proof.sealed", &blanks),
        Some(number) => say_with(
            "ledger.proof.broken",
            &[("number", &number.to_string()), ("seals", &seals)],
        ),
    }
}

/// A claim with where it stands.
pub fn claim_said(it: &Claim) -> String {
    let claim = say(&format!("ledger.claim.{}", it.claim));
    let left = it.needed.saturating_sub(it.floors).to_string();
    let (floors, needed) = (it.floors.to_string(), it.needed.to_string());
    let blanks = [
        ("claim", claim),
        ("floors", floors.as_str()),
        ("needed", &needed),
        ("left", &left),
    ];
    say_with(
        match it.standing {
            Standing::TooFew => "ledger.standing.too_few",
            Standing::Shown => "ledger.standing.shown",
            Standing::NotShown => "ledger.standing.not_shown",
        },
        &blanks,
    )
}

fn scores_tables(rows: &[ScoreRow], layout: Layout) -> [Block; 2] {
    let number = |it: Option<f64>| it.map_or_else(|| "-".to_string(), |it| format!("{it:.3}"));
    let difference = |it: Option<Difference>| {
        it.map_or_else(
            || "-".to_string(),
            |it| format!("{:+.3} ({:+.3} to {:+.3})", it.mean, it.low, it.high),
        )
    };
    let name = |it: &ScoreRow| say(&format!("ledger.by.{}", it.by)).to_string();
    let of_chances = laid_table(
        layout,
        say_all(&[
            "ledger.column.by",
            "ledger.column.log",
            "ledger.column.brier",
            "ledger.column.more",
        ]),
        rows.iter()
            .map(|it| {
                vec![
                    name(it),
                    number(it.log),
                    number(it.brier),
                    difference(it.brier_more),
                ]
            })
            .collect(),
    );
    let of_bands = laid_table(
        layout,
        say_all(&[
            "ledger.column.by",
            "ledger.column.crps",
            "ledger.column.more",
        ]),
        rows.iter()
            .map(|it| vec![name(it), number(it.crps), difference(it.crps_more)])
            .collect(),
    );
    [of_chances, of_bands]
}

/// A share out of 100.
fn hundredths(share: f64) -> String {
    format!("{:.0}", 100.0 * share)
}

fn span_of_100(low: f64, high: f64) -> String {
    say_with(
        "ledger.proof.span",
        &[("low", &hundredths(low)), ("high", &hundredths(high))],
    )
}

fn band_row(it: &Held) -> Vec<String> {
    vec![
        it.name.replace('_', " "),
        it.floors.to_string(),
        it.readings.to_string(),
        hundredths(it.share),
        span_of_100(it.low, it.high),
    ]
}
