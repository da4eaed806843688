//! What a homeowner does next: fix outside, watch in these months, ask for this test.

use super::Report;
use crate::survey::{Downspouts, Drainage, GroundSlope, Leak, SubDrain, Sump, Visit};
use crate::words::Language;

/// What to fix or to look at outside, by the answers; what nobody knows is looked at first.
pub(super) fn outside_fixes(visit: &Visit, language: Language) -> Vec<String> {
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
    keys.iter().map(|it| language.say(it).to_string()).collect()
}

/// Which months (1 to 12; none where no season stands out) to watch, and how.
pub(super) fn home_watch(report: &Report, months: &[u32], language: Language) -> Vec<String> {
    let mut res = Vec::new();
    if months.is_empty() {
        res.push(language.say("page.home.watch.any").to_string());
    } else {
        res.push(language.say_with(
            "page.home.watch.months",
            &[("months", &listed(language, months))],
        ));
    }
    res.push(language.say("page.home.watch.write").to_string());
    if !report.sweating_months.is_empty() {
        res.push(language.say_with(
            "page.home.watch.sweat",
            &[("months", &listed(language, &report.sweating_months))],
        ));
    }
    res
}

/// Which tests to do and to ask for.
pub(super) fn home_tests(report: &Report, language: Language) -> Vec<String> {
    let month = language.month(report.wettest_month);
    vec![
        language.say_with("page.home.test.sheet", &[("month", month)]),
        language.say_with("page.home.test.paid", &[("month", month)]),
        language.say("page.home.test.before").to_string(),
    ]
}

/// "March, April and May".
fn listed(language: Language, months: &[u32]) -> String {
    let names: Vec<&str> = months.iter().map(|it| language.month(*it)).collect();
    language.listed(&names)
}
