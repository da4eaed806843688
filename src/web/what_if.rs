//! The year of a what-if drawn over the year of the person's own answers.

use crate::report::Report;
use crate::season::MONTH_NAMES;
use crate::verdict::{Grade, Raise};
use crate::words::{chance_words, say, say_with};
use std::fmt::Write;

/// Width and height of the drawing, and the room around it, in its own units.
const WIDTH: f64 = 360.0;
const HEIGHT: f64 = 190.0;
const LEFT: f64 = 30.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 24.0;

/// Both years as lines of one drawing, with a table, and both chances in words. It holds
/// nothing that a person typed.
pub(super) fn beside(own: &Report, tried: &Report) -> String {
    let mut res = format!(
        "<p>{}</p>",
        say_with(
            "page.what_if.chance",
            &[("after", &verdict(tried)), ("before", &verdict(own))]
        )
    );
    if own.months.len() == tried.months.len() && !own.months.is_empty() {
        res.push_str(&drawing(Some(own), tried));
        res.push_str(&table(own, tried));
    }
    res
}

/// What can be said at once, before the ways forward are worked out.
pub(super) fn at_once(report: &Report) -> String {
    let mut res = format!(
        "<p>{}</p>",
        say_with("page.result.at_once", &[("verdict", &verdict(report))])
    );
    if !report.months.is_empty() && !report.refused {
        res.push_str(&drawing(None, report));
    }
    res
}

/// The grade and the chance; a result without a grade says so.
fn verdict(report: &Report) -> String {
    if report.refused {
        return say("refused.headline").to_string();
    }
    let Some((grade, chance)) = report.grade.zip(report.exceedance_probability) else {
        let alone = report
            .before_reading
            .as_ref()
            .map_or(String::new(), |it| chance_words(it.exceedance_probability));
        return say_with("page.what_if.held", &[("chance", &alone)]);
    };
    let grade = match grade {
        Grade::Low if !report.open_points.is_empty() => say("grade.low_so_far"),
        Grade::Low => say("grade.low"),
        Grade::Moderate => say("grade.moderate"),
        Grade::High => say("grade.high"),
        Grade::VeryHigh => say("grade.very_high"),
    };
    let raised: String = report
        .grade_raised_by
        .iter()
        .map(|it| match it {
            Raise::SpringDarkening => "page.raised.spring_darkening",
            Raise::StandingWater => "page.raised.standing_water",
        })
        .map(|it| format!(", {}", say(it)))
        .collect();
    format!("{grade}, {}{raised}", chance_words(chance))
}

fn drawing(own: Option<&Report>, tried: &Report) -> String {
    let limit = tried.limit.meter_percent;
    let all = own.iter().flat_map(|it| &it.months).chain(&tried.months);
    let top = all
        .map(|it| it.reading_p50)
        .chain(limit)
        .fold(0.0_f64, f64::max)
        .ceil();
    let step = (WIDTH - LEFT - 10.0) / (tried.months.len() - 1) as f64;
    let x = |at: usize| LEFT + 4.0 + step * at as f64;
    let y = |percent: f64| TOP + (HEIGHT - TOP - BOTTOM) * (1.0 - percent / top);
    let points = |report: &Report| {
        report
            .months
            .iter()
            .enumerate()
            .map(|(at, it)| format!("{:.1},{:.1}", x(at), y(it.reading_p50)))
            .collect::<Vec<_>>()
            .join(" ")
    };
    let mut res = format!(
        "<svg class=\"year\" role=\"img\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" aria-label=\"{}\">",
        say(if own.is_some() {
            "page.what_if.drawn"
        } else {
            "page.result.drawn"
        })
    );
    let mut percent = 0.0;
    while percent <= top {
        let height = y(percent);
        let _ = write!(
            res,
            "<line class=\"grid\" x1=\"{LEFT}\" x2=\"{WIDTH}\" y1=\"{height:.1}\" y2=\"{height:.1}\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{percent}</text>",
            LEFT - 5.0,
            height + 4.0
        );
        percent += 1.0;
    }
    for (at, month) in tried.months.iter().enumerate() {
        let name = &MONTH_NAMES[month.month as usize - 1][..1];
        let _ = write!(
            res,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{name}</text>",
            x(at),
            HEIGHT - 6.0
        );
    }
    if let Some(limit) = limit {
        let height = y(limit);
        let _ = write!(
            res,
            "<line class=\"limit\" x1=\"{LEFT}\" x2=\"{WIDTH}\" y1=\"{height:.1}\" y2=\"{height:.1}\"/>"
        );
    }
    if let Some(own) = own {
        let _ = write!(res, "<polyline class=\"own\" points=\"{}\"/>", points(own));
    }
    let _ = write!(
        res,
        "<polyline class=\"tried\" points=\"{}\"/>",
        points(tried)
    );
    for (at, it) in tried.months.iter().enumerate() {
        let _ = write!(
            res,
            "<circle class=\"tried\" cx=\"{:.1}\" cy=\"{:.1}\" r=\"3.5\"/>",
            x(at),
            y(it.reading_p50)
        );
    }
    res.push_str("</svg>");
    let mut key = |class: &str, words: &str| {
        let _ = write!(res, "<span class=\"key {class}\">{}</span> ", say(words));
    };
    match own {
        Some(_) => {
            key("tried-key", "page.what_if.key.tried");
            key("own-key", "page.what_if.key.own");
        }
        None => key("tried-key", "page.result.key"),
    }
    if limit.is_some() {
        key("limit-key", "page.what_if.key.limit");
    }
    res
}

fn table(own: &Report, tried: &Report) -> String {
    let mut res = format!(
        "<details><summary>{}</summary><table><thead><tr><th scope=\"col\">{}</th><th scope=\"col\">{}</th><th scope=\"col\">{}</th></tr></thead><tbody>",
        say("page.what_if.table"),
        say("page.what_if.month"),
        say("page.what_if.key.tried"),
        say("page.what_if.key.own")
    );
    for (after, before) in tried.months.iter().zip(&own.months) {
        let _ = write!(
            res,
            "<tr><th scope=\"row\">{}</th><td>{:.1}</td><td>{:.1}</td></tr>",
            MONTH_NAMES[after.month as usize - 1],
            after.reading_p50,
            before.reading_p50
        );
    }
    res.push_str("</tbody></table></details>");
    res
}
