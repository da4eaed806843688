//! The drying estimate as text.

use super::build::{GatePart, gate_words_in};
use super::page::Page;
use crate::units::LitersPerDay;
use crate::verdict::drying::{Drying, DryingPlan, DryingTable, From, NotDrying, Room};
use crate::words::{Language, chance_words, say, say_with};

/// Mean length of a month, days.
const DAYS_PER_MONTH: f64 = 30.4;

/// Why no drying is told, in `width` columns.
pub fn not_drying_text(head: &str, why: NotDrying, width: usize) -> String {
    let mut page = Page::new(width);
    page.wrapped(head, "", "  ");
    page.title(say("dry.title"));
    match why {
        NotDrying::Refused(refusal) => {
            page.paragraph(say(&format!("refused.{}.reason", refusal.id())));
            page.paragraph(say(&format!("refused.{}.action", refusal.id())));
        }
        NotDrying::Held(_) | NotDrying::Unexplained => {
            let (key, gate) = match why {
                NotDrying::Held(gate) => ("dry.held", gate),
                _ => ("dry.unexplained", "unexplained_high"),
            };
            page.paragraph(say(key));
            for part in [GatePart::Reason, GatePart::Action] {
                page.paragraph(&gate_words_in(Language::English, gate, part));
            }
        }
        NotDrying::UnderLimit => page.paragraph(say("dry.under_limit")),
    }
    page.wrapped(say("disclaimer"), "", "");
    page.done()
}

/// Lays a drying estimate out in `width` columns.
pub fn drying_text(head: &str, limits: &str, plan: &DryingPlan, width: usize) -> String {
    let mut page = Page::new(width);
    page.wrapped(head, "", "  ");
    page.title(say("dry.title"));
    page.paragraph(limits);
    let days = format!("{:.0}", plan.gone_by);
    page.paragraph(&say_with(
        match plan.from {
            From::Placed => "dry.from.placed",
            From::Wetted => "dry.from.wetted",
            From::Visit => "dry.from.visit",
        },
        &[("days", &days)],
    ));
    if let Some(depth) = plan.depth_percent {
        page.paragraph(&say_with("dry.depth", &[("limit", &format!("{depth:.0}"))]));
    }
    // A new slab dries of its own water first; what comes from below shows later.
    if plan.from != From::Placed && plan.from_below >= DryingTable::bundled().from_below_named {
        page.paragraph(&say_with(
            "dry.from_below",
            &[("chance", &chance_words(plan.from_below))],
        ));
    }
    page.line(&format!(
        "  {:>7} {:>10}   {}",
        say("dry.column.half"),
        say("dry.column.nine_of_ten"),
        say("dry.column.water")
    ));
    for it in &plan.ways {
        drying_way(&mut page, plan, it);
    }
    page.paragraph(say("dry.note"));
    page.paragraph(say("caution.combustion"));
    page.wrapped(say("disclaimer"), "", "");
    page.done()
}

/// One room: days, water, and what it is.
fn drying_way(page: &mut Page, plan: &DryingPlan, it: &Drying) {
    let whole = |number: f64| format!("{number:.0}");
    let pints = |l_day: f64| LitersPerDay::new(l_day).map_or(0.0, LitersPerDay::pints);
    let span = |days: Option<f64>| match days {
        Some(days) => say_with("dry.days", &[("days", &whole(days))]),
        None => {
            let most = plan.months_looked_at * DAYS_PER_MONTH;
            say_with("dry.more_days", &[("days", &whole(most))])
        }
    };
    let water = say_with(
        "dry.water",
        &[
            ("liters", &format!("{:.1}", it.l_day)),
            ("pints", &format!("{:.1}", pints(it.l_day))),
        ],
    );
    page.line(&format!(
        "  {:>7} {:>10}   {water}",
        span(it.days_half),
        span(it.days_nine_of_ten)
    ));
    let mut more = vec![match it.room {
        Room::AsItIs => say("dry.room.as_it_is").to_string(),
        Room::AirAndWarmth => say("dry.room.air_and_warmth").to_string(),
        Room::Machine { l_day, setting } => say_with(
            "dry.room.machine",
            &[
                ("liters", &whole(l_day)),
                ("pints", &whole(pints(l_day))),
                ("setting", &whole(100.0 * setting)),
            ],
        ),
    }];
    if it.comes_back >= DryingTable::bundled().comes_back_named {
        more.push(say_with(
            "dry.comes_back",
            &[("chance", &chance_words(it.comes_back))],
        ));
    }
    if it.never >= 0.025 {
        let never = say_with("dry.never", &[("months", &whole(plan.months_looked_at))]);
        more.push([chance_words(it.never), never].join(": "));
    }
    if let Some(share) = it.keeps_up {
        more.push(say_with(
            "dry.keeps_up",
            &[("chance", &chance_words(share))],
        ));
    }
    page.wrapped(&more.join("; "), "      ", "      ");
}
