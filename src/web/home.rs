//! What a homeowner does next: fix outside, watch in these months, ask for this test.

use crate::report::Report;
use crate::season::MONTH_NAMES;
use crate::survey::{Downspouts, Drainage, GroundSlope, Leak, SubDrain, Sump, Visit};
use crate::words::{say, say_with};

/// The end of a homeowner's way, as markup. It holds nothing that a person typed.
pub(super) fn home(visit: &Visit, report: &Report) -> String {
    let mut res = String::new();
    if report.refused {
        // What to do about a refused floor stands in the report alone.
        for gate in &report.gates {
            res.push_str(&format!("<p>{} {}</p>", gate.reason, gate.action));
        }
        return res;
    }
    part(&mut res, "page.home.fix", fixes(visit));
    part(&mut res, "page.home.watch", watching(report));
    part(&mut res, "page.home.test", tests(report));
    res
}

fn part(res: &mut String, title: &str, lines: Vec<String>) {
    let items: String = lines.iter().map(|it| format!("<li>{it}</li>")).collect();
    res.push_str(&format!("<h2>{}</h2><ul>{items}</ul>", say(title)));
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
    let month = MONTH_NAMES[report.wettest_month as usize - 1];
    vec![
        say_with("page.home.test.sheet", &[("month", month)]),
        say_with("page.home.test.paid", &[("month", month)]),
        say("page.home.test.before").to_string(),
    ]
}

/// "March, April and May".
fn listed(months: &[u32]) -> String {
    let names: Vec<&str> = months
        .iter()
        .map(|it| MONTH_NAMES[*it as usize - 1])
        .collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => (*one).to_string(),
        [rest @ .., last] => say_with(
            "page.home.and",
            &[("first", &rest.join(", ")), ("last", last)],
        ),
    }
}
