//! What a homeowner gets: the result of their answers, and the sheet for someone without a meter,
//! made for their place and its months.

use super::home_steps::{home_tests, home_watch, outside_fixes};
use super::paper::{BAR_SIGNS, Bar, Bars, Block, Paper, typed};
use super::said::Units;
use super::{Basis, Report};
use crate::climate::{HouseStock, Place, house_stock, is_in_canada, to_the_town};
use crate::survey::{Downspouts, Drainage, GroundSlope, LotPosition, Retarder, Sump, Visit};
use crate::units::Meters;
use crate::verdict::place_prior::PlacePrior;
use crate::verdict::ways::{Way, WayTable};
use crate::verdict::{Grade, GradeTable};
use crate::words::{self, Language};
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
    /// Whose climate the months are told of.
    pub place: &'a Place,
    /// What is believed of the place before any visit.
    pub place_prior: &'a PlacePrior,
    /// The visit and its report, where there was one.
    pub answered: Option<(&'a Visit, &'a Report)>,
    /// Language of the sheet.
    pub language: Language,
    /// Units of lengths.
    pub units: Units,
}

/// What is looked for in a month.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Look {
    Wet,
    Air,
    Dry,
}

/// Makes the sheet: with a visit its result leads, without one a first answer of the place.
pub fn homeowner_sheet(of: HomeSheetOf) -> Paper {
    let language = of.language;
    let speak = |key: &str| language.say(key).to_string();
    let mut blocks = Vec::new();
    let title = match of.answered {
        Some((visit, report)) => {
            result(&mut blocks, &of, (visit, report));
            result_title(report, language)
        }
        None => {
            first_answer(&mut blocks, &of);
            speak("home.title")
        }
    };
    let heading = |blocks: &mut Vec<Block>, key: &str| blocks.push(Block::Heading(speak(key)));
    blocks.push(Block::Text(language.say_with(
        "home.intro",
        &[("place", &language.place(&to_the_town(&of.place.label)))],
    )));

    outside(&mut blocks, language, of.units);
    heading(&mut blocks, "home.months");
    months(&mut blocks, &of);

    plastic_sheet(&mut blocks, language, of.units);
    lists(&mut blocks, language, is_in_canada(&of.place.label));
    blocks.push(Block::Text(speak("disclaimer")));
    Paper { title, blocks }
        .in_words_of(&of.place.label)
        .in_units(of.units, language)
}

/// What to do about water outside.
fn outside(blocks: &mut Vec<Block>, language: Language, units: Units) {
    let speak = |key: &str| language.say(key).to_string();
    let table = HomeTable::bundled();
    let (keyed, meters, centimeters) = (
        |key| key_of(key, units),
        |feet: f64| in_meters(feet, units),
        |inches: f64| in_centimeters(inches, units),
    );
    let heading = |blocks: &mut Vec<Block>, key: &str| blocks.push(Block::Heading(speak(key)));
    heading(blocks, "home.outside");
    blocks.push(Block::Items(vec![
        speak("home.outside.gutters"),
        language.say_with(
            keyed("home.outside.spouts"),
            &[("feet", &meters(table.spout_ft))],
        ),
        language.say_with(
            keyed("home.outside.slope"),
            &[
                ("drop", &centimeters(table.slope_drop_in)),
                ("over", &meters(table.slope_over_ft)),
            ],
        ),
        speak("home.outside.window_wells"),
        speak("home.outside.then"),
    ]));
}

/// How to tape down a plastic sheet, and what it tells.
fn plastic_sheet(blocks: &mut Vec<Block>, language: Language, units: Units) {
    let speak = |key: &str| language.say(key).to_string();
    let table = HomeTable::bundled();
    let number = |it: f64| format!("{it}");
    let heading = |blocks: &mut Vec<Block>, key: &str| blocks.push(Block::Heading(speak(key)));
    heading(blocks, "home.sheet");
    blocks.push(Block::Items(vec![
        speak("home.sheet.where"),
        language.say_with(
            key_of("home.sheet.how", units),
            &[
                ("side", &in_centimeters(table.sheet_side_in, units)),
                ("mil", &in_millimeters(table.sheet_mil, units)),
            ],
        ),
        language.say_with("home.sheet.wait", &[("hours", &number(table.sheet_hours))]),
        speak("home.sheet.damp"),
    ]));
    blocks.push(Block::Banner(speak("home.sheet.dry")));
    blocks.push(Block::Text(speak("home.sheet.source")));
}

/// The row of a sentence with measures for the units that were asked for.
fn key_of(key: &'static str, units: Units) -> &'static str {
    match (key, units) {
        (_, Units::Us) => key,
        ("home.outside.spouts", Units::Si) => "home.outside.spouts.si",
        ("home.outside.slope", Units::Si) => "home.outside.slope.si",
        ("home.sheet.how", Units::Si) => "home.sheet.how.si",
        (_, Units::Si) => key,
    }
}

/// Feet as they stand, or meters to a decimeter.
fn in_meters(feet: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{feet}"),
        Units::Si => {
            let meters = Meters::from_feet(feet).map_or(feet, Meters::get);
            format!("{}", (10.0 * meters).round() / 10.0)
        }
    }
}

/// Inches as they stand, or whole centimeters.
fn in_centimeters(inches: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{inches}"),
        Units::Si => {
            let meters = Meters::from_feet(inches / INCHES_A_FOOT).map_or(inches, Meters::get);
            format!("{:.0}", 100.0 * meters)
        }
    }
}

/// Mils (thousandths of an inch) as they stand, or tenths of a millimeter.
fn in_millimeters(mils: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{mils}"),
        Units::Si => {
            let meters = Meters::from_feet(mils / 1000.0 / INCHES_A_FOOT).map_or(mils, Meters::get);
            format!("{:.1}", 1000.0 * meters)
        }
    }
}

const INCHES_A_FOOT: f64 = 12.0;

/// Signs to look for, what to ask for, whom to call, and safety.
fn lists(blocks: &mut Vec<Block>, language: Language, is_canada: bool) {
    let speak = |key: &str| language.say(key).to_string();
    let heading = |blocks: &mut Vec<Block>, key: &str| blocks.push(Block::Heading(speak(key)));
    for (title, keys) in [
        (
            "home.signs",
            &[
                "home.signs.dark",
                "home.signs.powder",
                "home.signs.joint",
                "home.signs.crack",
                "home.signs.wall",
                "home.signs.posts",
                "home.signs.musty",
                "home.signs.sweat",
            ][..],
        ),
        (
            "home.ask",
            &[
                "home.ask.test",
                "home.ask.when",
                "home.ask.sheet",
                "home.ask.written",
            ],
        ),
        (
            "home.call",
            &[
                "home.call.standing",
                "home.call.cracks",
                "home.call.sewage",
                "home.call.drain",
                "home.call.mold",
            ],
        ),
        (
            "home.safety",
            &[
                "caution.water_power",
                "caution.asbestos",
                "caution.lead",
                "caution.locate",
                "caution.combustion",
                "caution.radon",
            ],
        ),
    ] {
        heading(blocks, title);
        let keys = keys.iter().map(|it| words::caution_of(it, is_canada));
        blocks.push(Block::Items(keys.map(speak).collect()));
    }
}

/// What a homeowner does first: nothing stands before it in the list of the sheet. None where
/// the reasons of the floor come first.
pub fn home_first_step(visit: &Visit, report: &Report, language: Language) -> Option<String> {
    if report.refused || report.held {
        return None;
    }
    outside_fixes(visit, language).into_iter().next()
}

/// The result in one sentence.
fn result_title(report: &Report, language: Language) -> String {
    let grade = report.grade;
    let key = if report.refused {
        "home.result.no_estimate"
    } else if report.is_over_today() {
        "home.result.over_now"
    } else if report.held {
        "home.result.no_grade"
    } else {
        match grade {
            None => "home.result.no_grade",
            Some(Grade::Low) if report.is_the_coating() => "home.result.coating",
            Some(Grade::Low) if report.open_points.is_empty() => "home.result.low",
            Some(Grade::Low) => "home.result.low_so_far",
            Some(Grade::Moderate) => "home.result.moderate",
            Some(Grade::High) => "home.result.high",
            Some(Grade::VeryHigh) => "home.result.very_high",
        }
    };
    language.say_with(key, &[("month", language.month(report.wettest_month))])
}

/// What it means, why, and what to do in order.
fn result(blocks: &mut Vec<Block>, of: &HomeSheetOf, (visit, report): (&Visit, &Report)) {
    let language = of.language;
    let speak = |key: &str| language.say(key).to_string();
    if let Some(label) = &report.label {
        blocks.push(Block::Text(
            [typed(label), language.day(report.visit_date)].join(", "),
        ));
    }
    if report.refused || report.held {
        blocks.push(Block::Items(
            report
                .gates
                .iter()
                .map(|it| super::build::gate_both(language, &it.id))
                .collect(),
        ));
        if report.refused {
            return;
        }
    }
    let month = language.month(report.wettest_month);
    if let Some(chance) = report.exceedance_probability.filter(|_| !report.held) {
        let filled = (chance * BAR_SIGNS as f64).round() as usize;
        blocks.push(Block::Bars(Bars {
            title: speak("home.means"),
            key: speak("first.bars.key"),
            rows: vec![Bar {
                says: language.say_with(
                    "home.means.chance",
                    &[("count", &language.count(chance)), ("month", month)],
                ),
                filled,
            }],
        }));
        let coated = super::first_screen::quoted_chance(report);
        if let Some(chance) = coated.filter(|_| report.is_the_coating()) {
            blocks.push(Block::Text(language.say_with(
                "home.result.coated",
                &[("count", &language.count(chance))],
            )));
        }
        if !report.grade_raised_by.is_empty() {
            blocks.push(Block::Text(speak("home.means.raised")));
        }
    }
    if report.held {
        blocks.push(Block::Heading(speak("home.means")));
    }
    blocks.push(Block::Text(speak(match report.basis {
        Basis::Answers => "home.means.no_reading",
        Basis::Reading => "home.means.reading",
    })));

    blocks.push(Block::Heading(speak("home.why")));
    blocks.push(Block::Items(
        reasons(visit).into_iter().map(speak).collect(),
    ));

    blocks.push(Block::Heading(speak("home.do")));
    let mut steps = outside_fixes(visit, language);
    steps.extend(home_watch(report, &watched(of), language));
    steps.extend(home_tests(report, language));
    let chance = |way: Way| {
        report
            .ways
            .iter()
            .find(|it| it.way == way)
            .and_then(|it| it.chance_5y)
    };
    if let (Some(outside), Some(drain)) = (chance(Way::FixOutside), chance(Way::FixDrain))
        && report.preferred_way == Some(Way::FixDrain)
    {
        steps.push(language.say_with(
            "home.do.drain",
            &[
                ("outside", &language.count(outside)),
                ("drain", &language.count(drain)),
            ],
        ));
    }
    blocks.push(Block::Steps(steps));
    let is_bare_safe =
        chance(Way::LeaveBare).is_some_and(|it| it < WayTable::bundled().acceptable_5y);
    if is_bare_safe {
        blocks.push(Block::Text(speak("home.bare")));
    }
}

/// The answers that point to water, the telling ones first.
fn reasons(visit: &Visit) -> Vec<&'static str> {
    let (lot, signs) = (&visit.lot, &visit.signs);
    let mut keys = Vec::new();
    let mut add = |is_so: bool, key: &'static str| {
        if is_so {
            keys.push(key);
        }
    };
    add(signs.spring_darkening == Some(true), "home.why.darkening");
    add(
        lot.standing_water_5y == Some(true),
        "home.why.standing_water",
    );
    add(
        lot.downspouts == Some(Downspouts::Near),
        "home.why.downspouts",
    );
    add(
        lot.downspouts == Some(Downspouts::NoGutters),
        "home.why.no_gutters",
    );
    add(lot.slope == Some(GroundSlope::Toward), "home.why.slope");
    add(
        lot.drainage == Some(Drainage::Failing) && lot.downspouts.is_none() && lot.slope.is_none(),
        "home.why.drainage",
    );
    add(lot.position == Some(LotPosition::Low), "home.why.low_lot");
    add(
        visit.floor.retarder == Some(Retarder::Absent),
        "home.why.no_sheet",
    );
    add(
        matches!(lot.sump, Some(Sump::AfterRain | Sump::MostDays)),
        "home.why.sump",
    );
    add(signs.white_deposit == Some(true), "home.why.powder");
    add(signs.sweats_in_summer == Some(true), "home.why.sweats");
    if keys.is_empty() {
        keys.push("home.why.nothing");
    }
    keys
}

/// What climate and house stock alone can say.
fn first_answer(blocks: &mut Vec<Block>, of: &HomeSheetOf) {
    let language = of.language;
    blocks.push(Block::Heading(language.say("home.first").to_string()));
    blocks.push(Block::Text(language.say_with(
        "home.first.chance",
        &[("count", &language.count(of.place_prior.plain_floor_over))],
    )));
    if let Some(HouseStock {
        zone,
        basement,
        slab,
        crawl_space,
        houses,
    }) = house_stock(of.place)
    {
        let hundred = |it: &f64| format!("{:.0}", 100.0 * it);
        blocks.push(Block::Text(language.say_with(
            "home.first.stock",
            &[
                ("zone", zone),
                ("basement", &hundred(basement)),
                ("slab", &hundred(slab)),
                ("crawl", &hundred(crawl_space)),
                ("houses", &format!("{houses}")),
            ],
        )));
    }
    blocks.push(Block::Text(language.say("home.first.more").to_string()));
}

/// Calendar months (1 to 12) that the floor is watched in; none where no season stands out. Water
/// below, damp air and the slab's own peak may be months apart: all are watched. A floor that was
/// told of has months of its own, as on the screen; another one has those of its place.
fn watched(of: &HomeSheetOf) -> Vec<u32> {
    let of_floor = of.answered.map(|it| it.1);
    let of_floor = of_floor.filter(|it| !it.refused && !it.held);
    let wet: Vec<u32> = (1..=12)
        .filter(|it| {
            let of_place = || of.place_prior.seasons.wet.contains(&(*it as usize - 1));
            of_floor.map_or_else(of_place, |report| {
                [
                    &report.wet_season,
                    &report.water_season,
                    &report.damp_air_season,
                ]
                .iter()
                .any(|months| months.contains(it))
            })
        })
        .collect();
    let of_place = || {
        let counts = HomeTable::bundled().wet_counts;
        let mut months = of.place_prior.months.iter();
        months.any(|it| it.wet_from_below >= counts)
    };
    let stands_out = of_floor.map_or_else(of_place, |report| report.come_back.is_some());
    let is_season = stands_out && (wet.len() as f64) < GradeTable::bundled().no_season_months;
    if is_season { wet } else { Vec::new() }
}

fn months(blocks: &mut Vec<Block>, of: &HomeSheetOf) {
    let language = of.language;
    let table = HomeTable::bundled();
    let place_prior = of.place_prior;
    let report = of.answered.map(|it| it.1);
    let wet = watched(of);
    let is_season = !wet.is_empty();
    if is_season {
        let names: Vec<&str> = wet.iter().map(|it| language.month(*it)).collect();
        blocks.push(Block::Text(language.say_with(
            "home.months.wet",
            &[("months", &language.listed(&names))],
        )));
    } else {
        blocks.push(Block::Text(
            language.say("home.months.no_season").to_string(),
        ));
    }
    let first = report.map_or(0, |it| it.visit_date.month() as usize);
    let rows: Vec<Vec<String>> = (0..12)
        .map(|it| (first + it) % 12)
        .filter_map(|month| {
            let look = if wet.contains(&(month as u32 + 1)) {
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
            let what = language.say(match look {
                Look::Wet => "home.look.wet",
                Look::Air => "home.look.air",
                Look::Dry => "home.look.dry",
            });
            Some(vec![
                language.month(month as u32 + 1).to_string(),
                what.to_string(),
                String::new(),
            ])
        })
        .collect();
    blocks.push(Block::Table {
        head: ["home.months.month", "home.months.look", "home.months.saw"]
            .iter()
            .map(|it| language.say(it).to_string())
            .collect(),
        rows,
    });
    blocks.push(Block::Text(language.say("home.months.rain").to_string()));
}
