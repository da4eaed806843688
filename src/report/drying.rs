//! The drying estimate as text.

use super::text::Page;
use crate::units::LitersPerDay;
use crate::verdict::drying::{DryingPlan, DryingTable, From, NotDrying, Room};
use crate::words::{chance_words, say, say_with};

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
    page.line("  half   9 in 10   water from the floor, first month");
    for it in &plan.ways {
        let months = format!("{:.0}", plan.months_looked_at);
        let span = |days: Option<f64>| {
            days.map_or_else(
                || format!(">{:.0} d", plan.months_looked_at * 30.4),
                |it| format!("{it:.0} d"),
            )
        };
        let pints = LitersPerDay::new(it.l_day).map_or(0.0, LitersPerDay::pints);
        page.line(&format!(
            "  {:>7} {:>8}   {:.1} L ({:.1} pints) a day",
            span(it.days_half),
            span(it.days_nine_of_ten),
            it.l_day,
            pints
        ));
        let name = match it.room {
            Room::AsItIs => say("dry.room.as_it_is").to_string(),
            Room::AirAndWarmth => say("dry.room.air_and_warmth").to_string(),
            Room::Machine { l_day, setting } => say_with(
                "dry.room.machine",
                &[
                    ("liters", &format!("{l_day:.0}")),
                    (
                        "pints",
                        &format!(
                            "{:.0}",
                            LitersPerDay::new(l_day).map_or(0.0, LitersPerDay::pints)
                        ),
                    ),
                    ("setting", &format!("{:.0}", 100.0 * setting)),
                ],
            ),
        };
        let mut more = name;
        if it.comes_back >= DryingTable::bundled().comes_back_named {
            let back = say_with(
                "dry.comes_back",
                &[("chance", &chance_words(it.comes_back))],
            );
            more = format!("{more}; {back}");
        }
        if it.never >= 0.025 {
            let never = say_with("dry.never", &[("months", &months)]);
            more = format!("{more}; {}: {never}", chance_words(it.never));
        }
        if let Some(share) = it.keeps_up {
            more = format!(
                "{more}; {}",
                say_with("dry.keeps_up", &[("chance", &chance_words(share))])
            );
        }
        page.wrapped(&more, "      ", "      ");
    }
    page.paragraph(say("dry.note"));
    page.paragraph(say("caution.combustion"));
    page.wrapped(say("disclaimer"), "", "");
    page.done()
}
