//! The estimator's report as a sheet: verdict, next step, reasons, what is open, method.

use super::paper::{Block, Paper, document, typed};
use super::text::{
    NEXT_SHOWN, capital, days_words, open_words, preferred_words, short_chance, verdict_words,
    versions_words, way_chances, way_words,
};
use super::{Report, Units, charts};
use crate::words::{chance_words, say, say_with};

/// Styles of the report in HTML, all under `.paper`.
pub const HTML_STYLE: &str = super::paper::PAPER_STYLE;

/// Classes of the report's element.
const CLASSES: &str = "paper report";

/// The report as a whole HTML file without scripts or anything from elsewhere.
pub fn html(report: &Report, units: Units) -> String {
    let paper = sheet(report, units);
    document(&paper.title, HTML_STYLE, &paper.html_body_as(CLASSES))
}

/// The report as an HTML fragment for a page that has [`HTML_STYLE`]; it uses no identifiers.
pub fn html_body(report: &Report, units: Units) -> String {
    sheet(report, units).html_body_as(CLASSES)
}

/// The report as Markdown.
pub fn markdown(report: &Report, units: Units) -> String {
    sheet(report, units).markdown()
}

fn heading(blocks: &mut Vec<Block>, key: &str) {
    blocks.push(Block::Heading(say(key).to_string()));
}

fn sheet(report: &Report, units: Units) -> Paper {
    let mut blocks = vec![Block::Text(place(report, units))];
    verdict(&mut blocks, report);
    for section in &report.first {
        blocks.push(Block::Subheading(section.title.clone()));
        blocks.push(Block::Items(
            section.lines.iter().map(|it| typed(it)).collect(),
        ));
    }
    if report.refused {
        careful(&mut blocks, report);
    } else {
        now(&mut blocks, report);
        reasons(&mut blocks, report, units);
        open(&mut blocks, report);
        careful(&mut blocks, report);
        method(&mut blocks, report);
    }
    blocks.push(Block::Small(say("disclaimer_draft").to_string()));
    blocks.push(Block::Small(format!(
        "{}, tables {}, visit {}",
        report.model, report.tables, report.input_digest
    )));
    let label = report
        .label
        .as_deref()
        .map_or_else(|| say("notice.no_label").to_string(), typed);
    Paper {
        title: say_with(
            "written.title",
            &[("label", &label), ("day", &report.visit_date)],
        ),
        blocks,
    }
}

fn place(report: &Report, units: Units) -> String {
    let away = match units {
        Units::Si => format!("{:.0} km", report.place.distance_km),
        Units::Us => format!("{:.0} mi", report.place.distance_km / 1.609_344),
    };
    say_with(
        "written.place",
        &[
            ("place", &typed(&report.place.label)),
            ("station", &report.place.name),
            ("away", &away),
        ],
    )
}

/// The verdict, and its limits beside it in the same size.
fn verdict(blocks: &mut Vec<Block>, report: &Report) {
    let words = verdict_words(report);
    let mut lead = vec![words[0].clone()];
    lead.extend(report.gates.iter().map(|gate| {
        let when = gate.retest_after.as_ref().map_or(String::new(), |it| {
            format!(" {}", say_with("written.not_before", &[("day", it)]))
        });
        format!("{} {}{when}", gate.reason, gate.action)
    }));
    lead.extend(words[1..].iter().cloned());
    let mut beside = vec![report.disclaimer.clone()];
    if !report.refused {
        beside.push(format!("{}.", typed(&report.limit.words())));
        beside.push(say("over_is_not_failure").to_string());
    }
    blocks.push(Block::Beside { lead, beside });
}

fn now(blocks: &mut Vec<Block>, report: &Report) {
    heading(blocks, "written.now");
    blocks.push(Block::Strong(report.next_step.clone()));
    match &report.come_back {
        Some(it) if !report.held => {
            let wet = format!("{} to {}", it.wet_from, it.wet_to);
            blocks.push(Block::Text(say_with(
                "come_back",
                &[("from", &it.from), ("to", &it.to), ("wet", &wet)],
            )));
        }
        None if !report.held => blocks.push(Block::Text(say("next.no_season").to_string())),
        _ => {}
    }
    if report.held {
        return;
    }
    ways(blocks, report);
    if report.next.is_empty() {
        return;
    }
    heading(blocks, "written.next");
    let rows = report
        .next
        .iter()
        .take(NEXT_SHOWN)
        .map(|it| {
            vec![
                format!("{}{}", it.text, days_words(it.days)),
                short_chance(it.chance_of_changing_grade),
                it.chance_of_changing_way
                    .map_or_else(|| "-".to_string(), short_chance),
            ]
        })
        .collect();
    blocks.push(Block::Text(say("next.intro").to_string()));
    blocks.push(table(
        &[
            "written.next.what",
            "written.next.grade",
            "written.next.way",
        ],
        rows,
    ));
}

fn table(head: &[&str], rows: Vec<Vec<String>>) -> Block {
    Block::Table {
        head: head.iter().map(|it| say(it).to_string()).collect(),
        rows,
    }
}

fn ways(blocks: &mut Vec<Block>, report: &Report) {
    let rows: Vec<Vec<String>> = report
        .ways
        .iter()
        .filter_map(|it| {
            let mut name = say(&format!("way.{}", it.way.word())).to_string();
            if it.way == report.quoted_way {
                name = say_with("chart.bond.quoted", &[("way", &name)]);
            }
            if let Some(why) = &it.not_allowed {
                name = format!("{name} ({}: {why})", say("ways.excluded"));
            }
            let wait = match it.wait_days {
                0 => "-".to_string(),
                days => days.to_string(),
            };
            let [one, two, five] = way_chances(it)?;
            Some(vec![
                format!("{name}\n{}", way_words(report, it)),
                one,
                two,
                five,
                wait,
            ])
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    heading(blocks, "written.ways");
    blocks.push(Block::Text(say("written.ways.lead").to_string()));
    blocks.push(table(
        &[
            "chart.bond.way",
            "written.ways.one",
            "written.ways.two",
            "written.ways.five",
            "written.ways.wait",
        ],
        rows,
    ));
    blocks.extend(preferred_words(report).map(Block::Text));
    blocks.push(Block::Text(say("ways.reading").to_string()));
}

fn reasons(blocks: &mut Vec<Block>, report: &Report, units: Units) {
    heading(blocks, "written.why");
    blocks.extend(charts::year(report, units).map(Block::Figure));
    let causes: Vec<String> = report
        .causes
        .iter()
        .filter(|it| it.probability >= 0.025)
        .map(|it| {
            let cause = say(&format!("cause.{}", it.cause));
            format!("{}: {cause}", capital(&chance_words(it.probability)))
        })
        .collect();
    if !causes.is_empty() {
        let goes_over = report.exceedance_probability.is_none_or(|it| it >= 0.05);
        let key = if goes_over {
            "cause.title"
        } else {
            "cause.title_low"
        };
        blocks.push(Block::Subheading(say(key).to_string()));
        blocks.push(Block::Items(causes));
    }
    score(blocks, report);
    blocks.extend(charts::floor(report, units).map(Block::Figure));
    zones(blocks, report);
    blocks.extend(charts::bond(report).map(Block::Figure));
}

/// The score with, under each line, what the person said.
fn score(blocks: &mut Vec<Block>, report: &Report) {
    if let Some(score) = &report.score {
        let title = say_with("written.score", &[("points", &score.total.to_string())]);
        blocks.push(Block::Subheading(title));
        let rows = score
            .lines
            .iter()
            .map(|it| {
                let points = if it.line == "start" {
                    it.points.to_string()
                } else {
                    format!("{:+}", it.points)
                };
                vec![say(&format!("line.{}", it.line)).to_string(), points]
            })
            .collect();
        blocks.push(table(&["written.score.line", "written.score.points"], rows));
        blocks.push(Block::Text(say("term.points").to_string()));
    }
    if report.answers.is_empty() {
        return;
    }
    blocks.push(Block::Subheading(say("written.answers").to_string()));
    let mut answers: Vec<_> = report.answers.iter().collect();
    answers.sort_by(|a, b| b.decibans.abs().total_cmp(&a.decibans.abs()));
    // Answers that move nothing that would show are named in one line.
    let (moving, still): (Vec<_>, Vec<_>) = answers
        .into_iter()
        .partition(|it| (it.decibans * 10.0).round() != 0.0);
    let rows = moving
        .into_iter()
        .map(|it| {
            let moved = (it.decibans * 10.0).round() / 10.0;
            vec![
                say(&format!("question.{}", it.question)).to_string(),
                typed(&it.answer.replace('_', " ")),
                format!("{moved:+.1}"),
            ]
        })
        .collect();
    blocks.push(table(
        &[
            "written.answers.asked",
            "written.answers.said",
            "written.score.points",
        ],
        rows,
    ));
    let names: Vec<String> = still
        .iter()
        .map(|it| {
            let name = say(&format!("question.{}", it.question));
            format!("{name}: {}", typed(&it.answer.replace('_', " ")))
        })
        .collect();
    if !names.is_empty() {
        let text = say_with("written.answers.still", &[("names", &names.join("; "))]);
        blocks.push(Block::Text(text));
    }
}

fn zones(blocks: &mut Vec<Block>, report: &Report) {
    let Some(it) = report.zones.as_ref().filter(|_| !report.held) else {
        return;
    };
    let spot = it.spot_name.as_deref().map_or_else(String::new, typed);
    let said = [
        ("zones.whole", it.whole),
        ("zones.band", it.band),
        ("zones.spot", it.spot),
    ]
    .into_iter()
    .filter(|(_, share)| *share >= 0.025)
    .map(|(key, share)| {
        let chance = chance_words(share);
        capital(&say_with(key, &[("chance", &chance), ("spot", &spot)]))
    })
    .collect();
    blocks.push(Block::Items(said));
    blocks.push(Block::Text(say_with(
        "zones.worst",
        &[("spots", &it.spots.to_string())],
    )));
}

fn open(blocks: &mut Vec<Block>, report: &Report) {
    if report.unknown.is_empty() && report.open_points.is_empty() {
        return;
    }
    heading(blocks, "written.open");
    let mut items: Vec<String> = open_words(report).into_iter().map(capital).collect();
    if !report.unknown.is_empty() {
        let names: Vec<&str> = report
            .unknown
            .iter()
            .map(|it| say(&format!("question.{it}")))
            .collect();
        items.push(say_with("written.unknown", &[("names", &names.join("; "))]));
    }
    blocks.push(Block::Items(items));
}

fn careful(blocks: &mut Vec<Block>, report: &Report) {
    heading(blocks, "written.careful");
    let mut items = report.cautions.clone();
    items.push(say("refused.topics").to_string());
    blocks.push(Block::Items(items));
}

fn method(blocks: &mut Vec<Block>, report: &Report) {
    heading(blocks, "written.method");
    blocks.push(Block::Small(format!(
        "{} {}",
        say("term.spread"),
        versions_words(report)
    )));
    let quality = &report.quality;
    let items: Vec<String> = quality
        .sensitivity
        .iter()
        .map(|it| &it.text)
        .chain(&quality.warnings)
        .chain(&report.place.warnings)
        .map(|it| capital(it))
        .chain(report.notes.iter().map(|it| typed(it)))
        .collect();
    blocks.extend(items.into_iter().map(Block::Small));
    let terms = ["likely", "percent", "retarder", "bond", "tests"];
    let terms: Vec<&str> = terms.iter().map(|it| say(&format!("term.{it}"))).collect();
    blocks.push(Block::Small(terms.join(" ")));
    blocks.push(Block::Small(format!(
        "{} {}",
        report.place.normals,
        say_with(
            "written.stations",
            &[("stations", &report.place.stations_used.join(", "))]
        )
    )));
    blocks.push(Block::Small(say("written.sources").to_string()));
}
