//! The whole result for an estimator on a small screen: what to do, the ways, what comes next.
//! Everything else stands in the report's text, which is behind one button.

use crate::report::{Report, WaySaid};
use crate::verdict::ways::Way;
use crate::words::{chance_words, in_twentieths, say, say_with};

/// Questions and tests that are shown.
const NEXT_SHOWN: usize = 5;

/// As markup; what a person typed cannot be more than text in it.
pub(super) fn sheet(report: &Report) -> String {
    let mut res = format!("<h2>{}</h2>", say("page.sheet.do"));
    for gate in &report.gates {
        let when = gate.retest_after.as_ref().map_or(String::new(), |it| {
            say_with("page.sheet.retest", &[("day", it)])
        });
        res.push_str(&paragraph(&format!(
            "{} {} {when}",
            gate.reason, gate.action
        )));
    }
    res.push_str(&paragraph(&report.next_step));
    if report.refused || report.held {
        return res;
    }
    res.push_str(&paragraph(say("over_is_not_failure")));
    res.push_str(&ways(report));
    if !report.next.is_empty() {
        let items: String = report
            .next
            .iter()
            .take(NEXT_SHOWN)
            .map(|it| {
                let chance = chance_words(it.chance_of_changing_grade);
                format!("<li>{}: {}</li>", escaped(&it.text), escaped(&chance))
            })
            .collect();
        res.push_str(&format!(
            "<h2>{}</h2><p>{}</p><ul>{items}</ul>",
            say("page.sheet.next"),
            say("page.sheet.next.lead")
        ));
    }
    res
}

fn ways(report: &Report) -> String {
    let rows: String = report
        .ways
        .iter()
        .filter_map(|it| way(report, it))
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    let mut res = format!(
        "<h2>{}</h2><p>{}</p><table><thead><tr><th scope=\"col\">{}</th><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th><th scope=\"col\">{}</th></tr></thead><tbody>{rows}</tbody></table>",
        say("page.sheet.ways"),
        say("page.sheet.ways.lead"),
        say("page.sheet.way"),
        say("page.sheet.one_year"),
        say("page.sheet.five_years"),
        say("page.sheet.wait"),
    );
    if let Some(way) = report.preferred_way {
        let name = say(&format!("way.{}", way.word()));
        let water = chance_words(report.water_above_probability.unwrap_or(0.0));
        res.push_str(&paragraph(&match way {
            Way::Decline => say("ways.none_holds").to_string(),
            Way::FixOutside | Way::FixDrain => {
                say_with("ways.fix_first", &[("chance", &water), ("way", name)])
            }
            _ => say_with("page.sheet.first", &[("way", name)]),
        }));
    }
    res
}

fn way(report: &Report, it: &WaySaid) -> Option<String> {
    if it.way == Way::Decline {
        return None;
    }
    let column = |chance: Option<f64>| chance.map_or_else(|| "-".to_string(), short);
    let mut name = say(&format!("way.{}", it.way.word())).to_string();
    if it.way == report.quoted_way {
        name = format!("{name} {}", say("page.sheet.quoted"));
    }
    if it.not_allowed.is_some() {
        name = format!("{name} ({})", say("ways.excluded"));
    }
    let wait = it.wait_days;
    Some(format!(
        "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{wait}</td></tr>",
        escaped(&name),
        escaped(&column(it.chance_1y)),
        escaped(&column(it.chance_5y))
    ))
}

/// A chance in twentieths for a column.
fn short(chance: f64) -> String {
    match in_twentieths(chance) {
        Some(count) => count.to_string(),
        None if chance < 0.5 => "<1".to_string(),
        None => ">19".to_string(),
    }
}

fn paragraph(text: &str) -> String {
    format!("<p>{}</p>", escaped(text.trim()))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
