//! What a homeowner does next: fix outside, watch in these months, ask for this test.

use super::Report;
use super::paper::Block;
use super::said::{joined, month_name};
use crate::survey::{Downspouts, Drainage, GroundSlope, Leak, SubDrain, Sump, Visit};
use crate::words::{say, say_with};

/// The end of a homeowner's way. It holds nothing that a person typed.
pub fn home_steps(visit: &Visit, report: &Report) -> Vec<Block> {
    if report.refused {
        // What to do about such a floor stands with its reason alone.
        return report
            .gates
            .iter()
            .map(|it| Block::Text(joined(&[&it.reason, &it.action])))
            .collect();
    }
    [
        ("page.home.fix", fixes(visit)),
        ("page.home.watch", watching(report)),
        ("page.home.test", tests(report)),
    ]
    .into_iter()
    .flat_map(|(key, items)| [Block::Heading(say(key).to_string()), Block::Items(items)])
    .collect()
}

/// What to mend or to look at outside, by the answers; what nobody knows is looked at first.
fn fixes(visit: &Visit) -> Vec<String> {
    let lot = &visit.lot;
    let mut keys = Vec::new();
    match lot.downspouts {
        Some(Downspouts::Near) => keys.push("page.home.fix.downspouts"),
        Some(Downspouts::NoGutters) => keys.push("page.home.fix.gutters"),
        Some(Downspouts::Far) => {}
        None => keys.push("page.home.look.downspouts"),
    }
    match lot.slope {
        Some(GroundSlope::Toward | GroundSlope::Flat) => keys.push("page.home.fix.slope"),
        Some(GroundSlope::Away) => {}
        None => keys.push("page.home.look.slope"),
    }
    if lot.drainage == Some(Drainage::Failing) && lot.downspouts.is_none() && lot.slope.is_none() {
        keys.push("page.home.fix.drainage");
    }
    if lot.sub_drain == Some(SubDrain::Failed) {
        keys.push("page.home.fix.drain");
    }
    if matches!(lot.sump, Some(Sump::AfterRain | Sump::MostDays)) {
        keys.push("page.home.fix.pump");
    }
    if !matches!(lot.leak, None | Some(Leak::NoLeak)) {
        keys.push("page.home.fix.leak");
    }
    if keys.is_empty() {
        keys.push("page.home.fix.nothing");
    }
    keys.iter().map(|it| say(it).to_string()).collect()
}

fn watching(report: &Report) -> Vec<String> {
    let months = listed(&report.wet_season);
    let mut res = Vec::new();
    if report.come_back.is_some() {
        res.push(say_with("page.home.watch.months", &[("months", &months)]));
    } else {
        res.push(say("page.home.watch.any").to_string());
    }
    res.push(say("page.home.watch.write").to_string());
    if !report.sweating_months.is_empty() {
        res.push(say_with(
            "page.home.watch.sweat",
            &[("months", &listed(&report.sweating_months))],
        ));
    }
    res
}

fn tests(report: &Report) -> Vec<String> {
    let month = month_name(report.wettest_month);
    vec![
        say_with("page.home.test.sheet", &[("month", month)]),
        say_with("page.home.test.paid", &[("month", month)]),
        say("page.home.test.before").to_string(),
    ]
}

/// "March, April and May".
fn listed(months: &[u32]) -> String {
    let names: Vec<&str> = months.iter().map(|it| month_name(*it)).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => (*one).to_string(),
        [rest @ .., last] => say_with(
            "page.home.and",
            &[("first", &rest.join(", ")), ("last", last)],
        ),
    }
}
