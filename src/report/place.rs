//! What is believed of a place, and the paper card made for it, as text of 80 columns.

use super::page::Page;
use super::said::{Units, far, percent_words};
use crate::climate::Place;
use crate::odds::water_year::first_highest;
use crate::season::MONTH_NAMES;
use crate::units::{Celsius, Meters, rounded};
use crate::verdict::card::{Card, RANGES, READING_EDGES};
use crate::verdict::place_prior::PlacePrior;
use crate::words::{chance_words, count_words, say, say_with};
use serde::Serialize;
use tabled::builder::Builder;
use tabled::settings::{Alignment, Padding, Style, object::Columns};

fn degrees(celsius: f64, units: Units) -> String {
    match units {
        Units::Si => format!("{celsius:.0}"),
        Units::Us => format!(
            "{:.0}",
            Celsius::new(celsius).map_or(celsius, Celsius::fahrenheit)
        ),
    }
}

fn depth(mm: f64, units: Units) -> String {
    match units {
        Units::Si => format!("{mm:.0}"),
        Units::Us => format!("{:.1}", mm / 25.4),
    }
}

/// A share as a whole number in a hundred; adding zero turns -0 into 0.
fn in_hundred(share: f64) -> String {
    format!("{:.0}", 100.0 * share + 0.0)
}

fn table_lines(page: &mut Page, builder: Builder, left_columns: usize) {
    let mut table = builder.build();
    table
        .with(Style::empty())
        .with(Padding::new(1, 0, 0, 0))
        .modify(Columns::new(left_columns..), Alignment::right());
    for line in table.to_string().lines() {
        page.line(line);
    }
}

/// Place, distance and age of the normals.
fn place_lines(page: &mut Page, place: &Place, units: Units) {
    page.wrapped(&place.label, "", "  ");
    let higher = place.elevation_difference_m.map_or(String::new(), |it| {
        let key = match (units, it < 0.0) {
            (Units::Si, true) => "place.lower_m",
            (Units::Si, false) => "place.higher_m",
            (Units::Us, true) => "place.lower_ft",
            (Units::Us, false) => "place.higher_ft",
        };
        let number = match units {
            Units::Si => it.abs(),
            Units::Us => Meters::new(it.abs()).map_or(it.abs(), Meters::feet),
        };
        say_with(key, &[("number", &format!("{number:.0}"))])
    });
    let others = place.stations_used.len().saturating_sub(1);
    let text = say_with(
        "place.station",
        &[
            ("name", &place.station_name),
            ("id", &place.station_id),
            ("away", &far(place.distance_km, units)),
            ("higher", &higher),
            ("count", &others.to_string()),
        ],
    );
    page.wrapped(&text, "", "  ");
    page.wrapped(
        &say_with("normals_age", &[("period", &place.period)]),
        "",
        "  ",
    );
    for warning in &place.warnings {
        page.item(warning);
    }
}

/// A place's months and seasons, as `climate --format json` writes them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaceSaid {
    /// Identifier of the nearest station.
    pub station_id: String,
    /// Its name.
    pub station_name: String,
    /// Share (0 to 1) of plain basement floors over the usual limit in their wettest month.
    pub plain_floor_over: f64,
    /// January first.
    pub months: Vec<PlaceMonthSaid>,
    /// Months (1 to 12) in which water from below is likeliest.
    pub water_season: Vec<u32>,
    /// Months (1 to 12) in which damp air is likeliest.
    pub damp_air_season: Vec<u32>,
}

/// One month of a place; shares are of plain basement floors.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaceMonthSaid {
    /// 1 to 12.
    pub month: u32,
    /// Water table above its level without stored water, m.
    pub water_table_rise_m: f64,
    /// Chance (0 to 1) that the ground water of a single year is highest in this month.
    pub highest_water_chance: f64,
    /// Chance (0 to 1) that ground water or its fringe wets the underside.
    pub contact_chance: f64,
    /// Of the floors that go over in the year, the share (0 to 1) that is over in this month.
    pub over_share: f64,
    /// Chance (0 to 1) that the air dampens the floor.
    pub damp_air_chance: f64,
}

/// What the tool believes of a place, as JSON with a line end; `highest` is the chance of each
/// month to hold the highest water of a year.
pub fn place_prior_json(place: &Place, place_prior: &PlacePrior, highest: &[f64; 12]) -> String {
    let seasons = &place_prior.wet_seasons;
    let months = place_prior.months.iter().zip(&seasons.months);
    let months = months.zip(highest);
    let said = PlaceSaid {
        station_id: place.station_id.clone(),
        station_name: place.station_name.clone(),
        plain_floor_over: rounded(place_prior.plain_floor_over),
        months: months
            .map(|((month, season), chance)| PlaceMonthSaid {
                month: season.month,
                water_table_rise_m: rounded(month.rise_m),
                highest_water_chance: rounded(*chance),
                contact_chance: rounded(season.contact),
                over_share: rounded(season.over_share),
                damp_air_chance: rounded(season.damp_air),
            })
            .collect(),
        water_season: seasons.water.clone(),
        damp_air_season: seasons.damp_air.clone(),
    };
    let mut text = serde_json::to_string_pretty(&said).expect("it holds only plain values");
    text.push('\n');
    text
}

/// What the tool believes of a place; `highest` as in [`place_prior_json`].
pub fn place_prior_text(
    place: &Place,
    place_prior: &PlacePrior,
    highest: &[f64; 12],
    units: Units,
    width: usize,
) -> String {
    let mut page = Page::new(width);
    place_lines(&mut page, place, units);
    page.title(say("place.year"));
    let (t, p, l) = match units {
        Units::Us => ("F", "in", "ft"),
        Units::Si => ("C", "mm", "m"),
    };
    let share = say("place.unit.in_100");
    let mut builder = Builder::default();
    let names = [
        "air", "dew", "rain", "drawn", "melt", "extra", "rise", "ground", "slab", "below", "damp",
    ]
    .map(|it| say(&format!("place.column.{it}")));
    let names = std::iter::once("").chain(names);
    let units_row = ["", t, t, p, p, p, p, l, t, t, share, share];
    builder.push_record(names);
    builder.push_record(units_row);
    for (at, month) in place_prior.months.iter().enumerate() {
        let rise = match units {
            Units::Si => format!("{:.1}", month.rise_m),
            Units::Us => format!("{:.1}", Meters::new(month.rise_m).map_or(0.0, Meters::feet)),
        };
        builder.push_record([
            MONTH_NAMES[at][..3].to_string(),
            degrees(month.mean_c, units),
            degrees(month.dew_point_c, units),
            depth(month.precipitation_mm, units),
            depth(month.evapotranspiration_mm, units),
            depth(month.snow_melt_mm, units),
            depth(month.surplus_mm, units),
            rise,
            degrees(month.ground_c, units),
            degrees(month.slab_c, units),
            in_hundred(month.wet_from_below),
            in_hundred(month.sweating),
        ]);
    }
    table_lines(&mut page, builder, 1);
    page.paragraph(say("place.columns"));
    page.paragraph(&match place_prior.seasons.peak {
        Some(_) => highest_words(highest),
        None => say("place.no_peak").to_string(),
    });
    page.paragraph(&say_with(
        "place.plain",
        &[("chance", &chance_words(place_prior.plain_floor_over))],
    ));
    page.paragraph(say("disclaimer"));
    page.done()
}

/// The likeliest month of the highest water with its odds, and those of it and its neighbors.
fn highest_words(highest: &[f64; 12]) -> String {
    let month = first_highest(highest);
    let about = [(month + 11) % 12, month, (month + 1) % 12];
    let name = |it: usize| MONTH_NAMES[it];
    say_with(
        "place.peak",
        &[
            ("month", name(month)),
            ("years", &count_words(highest[month])),
            ("before", name(about[0])),
            ("after", name(about[2])),
            (
                "more",
                &count_words(about.map(|it| highest[it]).iter().sum()),
            ),
        ],
    )
}

/// The paper card of a place, or why there is none.
pub fn card_text(place: &Place, card: &Card, width: usize) -> String {
    let mut page = Page::new(width);
    let limit = percent_words(card.limit_percent);
    page.line(&say_with("card.head", &[("limit", &limit)]));
    page.wrapped(
        &say_with(
            "card.place",
            &[("place", &place.label), ("station", &place.station_name)],
        ),
        "",
        "  ",
    );
    let percent = |share: f64| format!("{:.0}", 100.0 * share);
    let agreement = say_with(
        if card.is_good() {
            "card.agreement"
        } else {
            "card.refused"
        },
        &[
            ("floors", &card.agreement.floors.to_string()),
            ("same", &percent(card.agreement.same_grade)),
            ("far", &percent(card.agreement.far_apart)),
            ("commonest", &percent(card.agreement.by_commonest)),
        ],
    );
    if !card.is_good() {
        page.paragraph(&agreement);
        page.paragraph(say("disclaimer"));
        return page.done();
    }
    page.line(&format!(
        "  {:>4}  {:<50}______",
        card.start,
        say("card.start")
    ));
    let mut question = "";
    for answer in &card.answers {
        if answer.question != question {
            question = answer.question;
            page.line(&format!(
                "        {:<50}______",
                say(&format!("line.{question}"))
            ));
        }
        page.line(&format!("  {:>+4}    {}", answer.points, answer.answer));
    }
    page.line(&format!("        {:<50}______", say("card.reading")));
    let mut builder = Builder::default();
    let mut head = vec![String::new()];
    // Readings over the limit are not for the card.
    let ranges: Vec<usize> = (0..RANGES)
        .filter(|range| card.readings.iter().any(|it| it[*range].is_some()))
        .collect();
    for range in ranges.iter().copied() {
        head.push(match range {
            0 => format!("<{}", READING_EDGES[0]),
            last if last == RANGES - 1 => format!("{:.1}+", READING_EDGES[last - 1]),
            _ => format!("{:.1}-", READING_EDGES[range - 1]),
        });
    }
    builder.push_record(head);
    for (month, points) in card.readings.iter().enumerate() {
        let mut row = vec![MONTH_NAMES[month][..3].to_string()];
        row.extend(
            ranges
                .iter()
                .map(|it| points[*it].map_or(" x".to_string(), |points| format!("{points:+}"))),
        );
        builder.push_record(row);
    }
    table_lines(&mut page, builder, 1);
    page.line(&format!("  {:<56}______", say("card.total")));
    page.paragraph(say("card.grades"));
    page.paragraph(say("card.bare"));
    page.paragraph(say("card.rules"));
    page.paragraph(&agreement);
    if card.is_no_better_than_guessing() {
        page.paragraph(say("card.no_better"));
    }
    page.wrapped(say("disclaimer"), "", "");
    page.done()
}
