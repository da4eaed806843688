//! The sheet for someone without a meter, made for their place and its months.

use super::Report;
use super::paper::{Block, Paper, typed};
use super::said::day_words;
use crate::climate::{Place, to_the_town};
use crate::season::MONTH_NAMES;
use crate::verdict::GradeTable;
use crate::verdict::place_prior::PlacePrior;
use crate::words::{chance_words, say, say_with};
use chrono::Datelike;

crate::named_table! {
    /// Sizes and days of what a person can do without a meter, from `tables/homeowner.csv`.
    HomeTable from "homeowner.csv" {
        sheet_side_in,
        sheet_mil,
        sheet_hours,
        spout_ft,
        slope_drop_in,
        slope_over_ft,
        sweating_counts,
        wet_counts,
    }
}

/// What a homeowner's sheet is made of.
#[derive(Debug, Clone, Copy)]
pub struct HomeSheetOf<'a> {
    pub place: &'a Place,
    pub place_prior: &'a PlacePrior,
    /// The report of a visit, where there was one.
    pub report: Option<&'a Report>,
}

/// What is looked for in a month.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Look {
    Wet,
    Air,
    Dry,
}

/// Makes the sheet.
pub fn homeowner_sheet(of: HomeSheetOf) -> Paper {
    let table = HomeTable::bundled();
    let number = |it: f64| format!("{it}");
    let mut blocks = vec![Block::Text(say_with(
        "home.intro",
        &[("place", &to_the_town(&of.place.label))],
    ))];
    if let Some(report) = of.report {
        verdict(&mut blocks, report);
    }

    heading(&mut blocks, "home.outside");
    blocks.push(Block::Items(vec![
        say("home.outside.gutters").to_string(),
        say_with("home.outside.spouts", &[("feet", &number(table.spout_ft))]),
        say_with(
            "home.outside.slope",
            &[
                ("drop", &number(table.slope_drop_in)),
                ("over", &number(table.slope_over_ft)),
            ],
        ),
        say("home.outside.window_wells").to_string(),
        say("home.outside.then").to_string(),
    ]));

    heading(&mut blocks, "home.months");
    months(&mut blocks, &of);

    heading(&mut blocks, "home.sheet");
    blocks.push(Block::Items(vec![
        say("home.sheet.where").to_string(),
        say_with(
            "home.sheet.how",
            &[
                ("side", &number(table.sheet_side_in)),
                ("mil", &number(table.sheet_mil)),
            ],
        ),
        say_with("home.sheet.wait", &[("hours", &number(table.sheet_hours))]),
        say("home.sheet.damp").to_string(),
    ]));
    blocks.push(Block::Banner(say("home.sheet.dry").to_string()));
    blocks.push(Block::Text(say("home.sheet.source").to_string()));

    heading(&mut blocks, "home.signs");
    blocks.push(Block::Items(
        [
            "dark", "powder", "joint", "crack", "wall", "posts", "musty", "sweat",
        ]
        .iter()
        .map(|it| say(&format!("home.signs.{it}")).to_string())
        .collect(),
    ));

    heading(&mut blocks, "home.ask");
    blocks.push(Block::Items(
        ["test", "when", "sheet", "written"]
            .iter()
            .map(|it| say(&format!("home.ask.{it}")).to_string())
            .collect(),
    ));

    heading(&mut blocks, "home.call");
    blocks.push(Block::Items(
        ["standing", "cracks", "sewage", "drain", "mold"]
            .iter()
            .map(|it| say(&format!("home.call.{it}")).to_string())
            .collect(),
    ));

    heading(&mut blocks, "home.safety");
    blocks.push(Block::Items(
        [
            "caution.water_power",
            "caution.asbestos",
            "caution.lead",
            "caution.locate",
            "caution.combustion",
            "caution.radon",
        ]
        .iter()
        .map(|it| say(it).to_string())
        .collect(),
    ));
    blocks.push(Block::Text(say("disclaimer").to_string()));
    Paper {
        title: say("home.title").to_string(),
        blocks,
    }
}

fn heading(blocks: &mut Vec<Block>, key: &str) {
    blocks.push(Block::Heading(say(key).to_string()));
}

/// What the screen said, in a homeowner's words.
fn verdict(blocks: &mut Vec<Block>, report: &Report) {
    if let Some(label) = &report.label {
        blocks.push(Block::Text(
            [typed(label), day_words(report.visit_date)].join(", "),
        ));
    }
    match report.exceedance_probability.filter(|_| !report.held) {
        Some(chance) => blocks.push(Block::Text(say_with(
            "home.verdict",
            &[
                ("month", MONTH_NAMES[report.wettest_month as usize - 1]),
                ("chance", &chance_words(chance)),
            ],
        ))),
        None => blocks.extend(
            report
                .gates
                .iter()
                .map(|it| Block::Text(format!("{} {}", it.reason, it.action))),
        ),
    }
}

fn months(blocks: &mut Vec<Block>, of: &HomeSheetOf) {
    let table = HomeTable::bundled();
    let place_prior = of.place_prior;
    // Water below and the slab's own peak may be months apart: both are watched.
    let of_floor = of.report.filter(|it| !it.refused && !it.held);
    let wet: Vec<usize> = (0..12)
        .filter(|it| {
            let is_wettest =
                of_floor.is_some_and(|report| report.wet_season.contains(&(*it as u32 + 1)));
            place_prior.seasons.wet.contains(it) || is_wettest
        })
        .collect();
    let is_season = (wet.len() as f64) < GradeTable::bundled().no_season_months
        && place_prior
            .months
            .iter()
            .any(|it| it.wet_from_below >= table.wet_counts);
    let names = |all: &[usize]| -> String {
        let names: Vec<&str> = all.iter().map(|it| MONTH_NAMES[*it]).collect();
        names.join(", ")
    };
    if is_season {
        blocks.push(Block::Text(say_with(
            "home.months.wet",
            &[("months", &names(&wet))],
        )));
    } else {
        blocks.push(Block::Text(say("home.months.no_season").to_string()));
    }
    let first = of.report.map_or(0, |it| it.visit_date.month() as usize);
    let rows: Vec<Vec<String>> = (0..12)
        .map(|it| (first + it) % 12)
        .filter_map(|month| {
            let look = if wet.contains(&month) && is_season {
                Look::Wet
            } else if place_prior.months[month].sweating >= table.sweating_counts {
                Look::Air
            } else if is_season && place_prior.seasons.dry.contains(&month) {
                Look::Dry
            } else if !is_season && month % 3 == 0 {
                // Where no month stands out, once in each quarter of the year.
                Look::Wet
            } else {
                return None;
            };
            let what = say(match look {
                Look::Wet => "home.look.wet",
                Look::Air => "home.look.air",
                Look::Dry => "home.look.dry",
            });
            Some(vec![
                MONTH_NAMES[month].to_string(),
                what.to_string(),
                String::new(),
            ])
        })
        .collect();
    blocks.push(Block::Table {
        head: ["home.months.month", "home.months.look", "home.months.saw"]
            .iter()
            .map(|it| say(it).to_string())
            .collect(),
        rows,
    });
    blocks.push(Block::Text(say("home.months.rain").to_string()));
}
