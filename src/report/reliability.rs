//! Stated chances against shares that came, drawn.

use super::paper::Figure;
use super::svg::{Anchor, Svg};
use crate::words::{say, say_with};

/// Floors that were told about the same chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StatedShare {
    /// How many they are.
    pub floors: u64,
    /// Mean stated chance (0 to 1).
    pub stated: f64,
    /// Share that came, and its interval.
    pub came: f64,
    /// Lower end of the interval of 95 in 100, 0 to 1.
    pub low: f64,
    /// Upper end of the interval of 95 in 100, 0 to 1.
    pub high: f64,
}

const SIDE: f64 = 300.0;
const LEFT: f64 = 44.0;
const TOP: f64 = 16.0;

/// A square: stated along, came up, the line on which both agree.
pub fn reliability_figure(shares: &[StatedShare]) -> Figure {
    let title = say("ledger.figure.title").to_string();
    let floors: u64 = shares.iter().map(|it| it.floors).sum();
    let holds = |it: &&StatedShare| it.low <= it.stated && it.stated <= it.high;
    let says = say_with(
        "ledger.figure.says",
        &[
            ("groups", &shares.len().to_string()),
            ("floors", &floors.to_string()),
            ("hold", &shares.iter().filter(holds).count().to_string()),
        ],
    );
    let x = |share: f64| LEFT + SIDE * share;
    let y = |share: f64| TOP + SIDE * (1.0 - share);
    let mut svg = Svg::new(LEFT + SIDE + 12.0, TOP + SIDE + 44.0);
    for at in 0..=4 {
        let share = f64::from(at) / 4.0;
        let name = format!("{:.0}", 100.0 * share);
        svg.line("grid", (x(0.0), y(share)), (x(1.0), y(share)));
        svg.text("number", (LEFT - 6.0, y(share) + 4.0), Anchor::End, &name);
        svg.text("number", (x(share), y(0.0) + 16.0), Anchor::Middle, &name);
    }
    svg.line("limit", (x(0.0), y(0.0)), (x(1.0), y(1.0)));
    for it in shares {
        let at = x(it.stated);
        svg.line("cross", (at, y(it.low)), (at, y(it.high)));
        svg.line("cross", (at - 4.0, y(it.low)), (at + 4.0, y(it.low)));
        svg.line("cross", (at - 4.0, y(it.high)), (at + 4.0, y(it.high)));
        svg.circle("spot", (at, y(it.came)), 4.0);
    }
    let below = (x(0.5), TOP + SIDE + 36.0);
    svg.text("number", below, Anchor::Middle, say("ledger.figure.stated"));
    svg.text(
        "number",
        (LEFT, TOP - 4.0),
        Anchor::Start,
        say("ledger.figure.came"),
    );
    let head = [
        "ledger.column.stated",
        "ledger.column.floors",
        "ledger.column.came",
        "ledger.column.interval",
    ];
    Figure {
        svg: if shares.is_empty() {
            String::new()
        } else {
            svg.done(&title, &says)
        },
        title,
        says,
        key: say("ledger.figure.key").to_string(),
        courses: Vec::new(),
        limit: None,
        head: head.map(|it| say(it).to_string()).to_vec(),
        rows: shares
            .iter()
            .map(|it| {
                vec![
                    format!("{:.0}", 100.0 * it.stated),
                    it.floors.to_string(),
                    format!("{:.0}", 100.0 * it.came),
                    format!("{:.0} to {:.0}", 100.0 * it.low, 100.0 * it.high),
                ]
            })
            .collect(),
    }
}
