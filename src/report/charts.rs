//! The three drawings of the estimator's report, each with what it shows in words and figures.

use super::paper::{Figure, typed};
use super::svg::{Anchor, Svg};
use super::text::short_chance;
use super::{ReadingSaid, Report, Units, WaySaid};
use crate::odds::evidence::EvidenceTable;
use crate::season::MONTH_NAMES;
use crate::units::Meters;
use crate::verdict::ways::{Way, WayTable};
use crate::words::{say, say_with};

/// Width of a drawing in its own units; letters are 11 to 13 of them high.
const WIDTH: f64 = 400.0;
/// Room for the numbers beside an axis.
const LEFT: f64 = 30.0;

fn strings(keys: &[&str]) -> Vec<String> {
    keys.iter().map(|it| say(it).to_string()).collect()
}

fn month_name(month: u32) -> &'static str {
    &MONTH_NAMES[month as usize - 1][..3]
}

fn visit_month(report: &Report) -> u32 {
    report.visit_date[5..7]
        .parse()
        .expect("a date is written year-month-day")
}

fn feet(meters: f64) -> f64 {
    // A water table may lie below the slab, and a length of ours may not be negative.
    meters.signum() * Meters::new(meters.abs()).map_or(meters.abs(), Meters::feet)
}

/// What the meter showed on the newest day it was used, percent by weight.
fn meter_percents(report: &Report) -> Vec<f64> {
    let meter = |it: &&ReadingSaid| it.kind == "meter" && !it.withdrawn;
    let newest = report
        .readings
        .iter()
        .filter(meter)
        .map(|it| &it.date)
        .max();
    report
        .readings
        .iter()
        .filter(meter)
        .filter(|it| Some(&it.date) == newest)
        .filter_map(|it| it.value.strip_suffix(" %")?.parse().ok())
        .collect()
}

/// A scale from values to heights of a panel.
struct Panel {
    top: f64,
    height: f64,
    least: f64,
    most: f64,
}

impl Panel {
    fn y(&self, value: f64) -> f64 {
        let share = (value.clamp(self.least, self.most) - self.least) / (self.most - self.least);
        self.top + self.height * (1.0 - share)
    }

    fn bottom(&self) -> f64 {
        self.top + self.height
    }

    fn grid(&self, svg: &mut Svg, value: f64, name: &str) {
        let y = self.y(value);
        svg.line("grid", (LEFT, y), (WIDTH - 4.0, y));
        svg.text("number", (LEFT - 4.0, y + 4.0), Anchor::End, name);
    }
}

/// Twelve months ahead: the reading with its band, the limit and the visit; the rain and the
/// water table beneath.
pub(super) fn year(report: &Report, units: Units) -> Option<Figure> {
    if report.months.len() != 12 {
        return None;
    }
    let visit = visit_month(report);
    let ahead: Vec<_> = (0..12)
        .map(|it| &report.months[(visit as usize + it) % 12])
        .collect();
    let step = (WIDTH - 4.0 - LEFT) / 13.0;
    // The visit stands before the first month.
    let x = |column: usize| LEFT + step * (column as f64 + 0.5);
    let limit = report.limit.meter_percent;
    // A reading that is held says nothing here.
    let spots = if report.held {
        Vec::new()
    } else {
        meter_percents(report)
    };
    let most = ahead
        .iter()
        .map(|it| it.reading_p90)
        .chain(limit)
        .chain(spots.iter().copied())
        .fold(0.0_f64, f64::max);
    let mut svg = Svg::new(WIDTH, 372.0);
    let panel = Panel {
        top: 22.0,
        height: 160.0,
        least: 0.0,
        most: (most + 0.4).ceil(),
    };
    svg.text(
        "label",
        (2.0, 12.0),
        Anchor::Start,
        say("chart.year.percent"),
    );
    let every = if panel.most > 9.0 { 2 } else { 1 };
    for percent in (0..=panel.most as usize).step_by(every) {
        panel.grid(&mut svg, percent as f64, &percent.to_string());
    }
    let course = |value: &dyn Fn(&super::MonthSaid) -> f64| -> Vec<(f64, f64)> {
        (0..12)
            .map(|it| (x(it + 1), panel.y(value(ahead[it]))))
            .collect()
    };
    svg.band(&course(&|it| it.reading_p10), &course(&|it| it.reading_p90));
    let likely = course(&|it| it.reading_p50);
    svg.polyline("likely", &likely);
    if let Some(limit) = limit {
        let y = panel.y(limit);
        svg.line("limit", (LEFT, y), (WIDTH - 4.0, y));
        svg.text(
            "label halo",
            (LEFT + step + 2.0, y - 4.0),
            Anchor::Start,
            &say_with("chart.year.limit", &[("limit", &limit.to_string())]),
        );
    }
    svg.line(
        "mark",
        (LEFT + step, panel.top),
        (LEFT + step, panel.bottom()),
    );
    for percent in &spots {
        svg.diamond("spot", (x(0), panel.y(*percent)), 4.5);
    }
    let wettest = ahead.iter().position(|it| it.month == report.wettest_month);
    if let Some(at) = wettest {
        svg.circle("ring", likely[at], 5.5);
        let above = panel.y(ahead[at].reading_p90) - 6.0;
        svg.text(
            "label halo",
            (x(at + 1), above.max(panel.top - 2.0)),
            if at > 8 { Anchor::End } else { Anchor::Middle },
            say("chart.year.wettest"),
        );
    }
    let name_months = |svg: &mut Svg, y: f64| {
        svg.text("label", (x(0), y), Anchor::Middle, say("chart.year.visit"));
        for (at, it) in ahead.iter().enumerate() {
            svg.text(
                "number",
                (x(at + 1), y),
                Anchor::Middle,
                month_name(it.month),
            );
        }
    };
    name_months(&mut svg, panel.bottom() + 14.0);

    let rain_of = |mm: f64| match units {
        Units::Us => mm / 25.4,
        Units::Si => mm,
    };
    let level_of = |meters: f64| match units {
        Units::Us => feet(meters),
        Units::Si => meters,
    };
    let rain: Vec<f64> = ahead
        .iter()
        .map(|it| rain_of(it.precipitation_mm))
        .collect();
    let most_rain = rain.iter().copied().fold(0.0, f64::max).max(rain_of(10.0));
    let rain_panel = Panel {
        top: 222.0,
        height: 46.0,
        least: 0.0,
        most: most_rain,
    };
    let (rain_key, level_key, row_key) = match units {
        Units::Us => (
            "chart.year.rain_in",
            "chart.year.water_ft",
            "chart.year.row_ft",
        ),
        Units::Si => (
            "chart.year.rain_mm",
            "chart.year.water_m",
            "chart.year.row_m",
        ),
    };
    svg.text("label", (2.0, 214.0), Anchor::Start, say(rain_key));
    let rain_text = |it: f64| match units {
        Units::Us => format!("{it:.1}"),
        Units::Si => format!("{it:.0}"),
    };
    rain_panel.grid(&mut svg, 0.0, "0");
    rain_panel.grid(&mut svg, most_rain, &rain_text(most_rain));
    for (at, it) in rain.iter().enumerate() {
        let y = rain_panel.y(*it);
        svg.rect(
            "rain",
            (x(at + 1) - 0.32 * step, y),
            (0.64 * step, rain_panel.bottom() - y),
        );
    }

    let level: Vec<f64> = ahead.iter().map(|it| level_of(it.water_table_m)).collect();
    let lowest = level.iter().copied().fold(0.0, f64::min);
    let highest = level.iter().copied().fold(0.0, f64::max);
    let level_panel = Panel {
        top: 302.0,
        height: 50.0,
        least: (lowest - 0.1).floor(),
        most: (highest + 0.1).ceil(),
    };
    svg.text("label", (2.0, 290.0), Anchor::Start, say(level_key));
    level_panel.grid(
        &mut svg,
        level_panel.least,
        &format!("{:.0}", level_panel.least),
    );
    svg.line(
        "slab",
        (LEFT, level_panel.y(0.0)),
        (WIDTH - 4.0, level_panel.y(0.0)),
    );
    svg.text(
        "number",
        (LEFT - 4.0, level_panel.y(0.0) + 4.0),
        Anchor::End,
        "0",
    );
    let course: Vec<(f64, f64)> = level
        .iter()
        .enumerate()
        .map(|(at, it)| (x(at + 1), level_panel.y(*it)))
        .collect();
    svg.polyline("water", &course);
    name_months(&mut svg, level_panel.bottom() + 16.0);

    let low = ahead
        .iter()
        .min_by(|a, b| a.reading_p50.total_cmp(&b.reading_p50))?;
    let high = ahead
        .iter()
        .max_by(|a, b| a.reading_p50.total_cmp(&b.reading_p50))?;
    let mut says = say_with(
        "chart.year.says",
        &[
            ("low", &format!("{:.1}", low.reading_p50)),
            ("low_month", MONTH_NAMES[low.month as usize - 1]),
            ("high", &format!("{:.1}", high.reading_p50)),
            ("high_month", MONTH_NAMES[high.month as usize - 1]),
        ],
    );
    if let Some(limit) = limit {
        let limit = limit.to_string();
        says = format!(
            "{says} {}",
            say_with("chart.year.says_limit", &[("limit", &limit)])
        );
    }
    let mut head = vec![say("chart.year.month").to_string()];
    head.extend(ahead.iter().map(|it| month_name(it.month).to_string()));
    let row = |key: &str, value: &dyn Fn(usize) -> String| {
        let mut row = vec![say(key).to_string()];
        row.extend((0..12).map(value));
        row
    };
    // Adding zero turns a rounded -0 into 0.
    let tenth = |it: f64| format!("{:.1}", (10.0 * it).round() / 10.0 + 0.0);
    let rows = vec![
        row("chart.year.low", &|it| tenth(ahead[it].reading_p10)),
        row("chart.year.likely", &|it| tenth(ahead[it].reading_p50)),
        row("chart.year.high", &|it| tenth(ahead[it].reading_p90)),
        row(rain_key, &|it| rain_text(rain[it])),
        row(row_key, &|it| tenth(level[it])),
    ];
    let title = say(if report.held {
        "chart.year.title_held"
    } else {
        "chart.year.title"
    });
    Some(Figure {
        title: title.to_string(),
        svg: svg.done(title, &says),
        says: format!("{says} {}", say("chart.year.key")),
        head,
        rows,
    })
}

/// Months that a bond line is followed for.
const MONTHS: usize = 60;

/// Humidity at the bond line over five years, a small drawing for each way.
pub(super) fn bond(report: &Report) -> Option<Figure> {
    let ways: Vec<&WaySaid> = report
        .ways
        .iter()
        // A bare floor has no bond line.
        .filter(|it| it.way != Way::LeaveBare && it.bond_course.len() == MONTHS)
        .collect();
    if ways.is_empty() || report.held {
        return None;
    }
    let liquid = 100.0 * WayTable::bundled().liquid;
    let lowest = ways
        .iter()
        .flat_map(|it| it.bond_course.iter().map(|it| 100.0 * it[0]))
        .fold(100.0, f64::min);
    let least = (lowest / 10.0).floor() * 10.0;
    let (columns, gap, high) = (2, 14.0, 104.0);
    let wide = (WIDTH - 4.0 - LEFT - gap) / columns as f64;
    let rows_of = ways.len().div_ceil(columns);
    let mut svg = Svg::new(WIDTH, high * rows_of as f64 + 4.0);
    for (at, it) in ways.iter().enumerate() {
        let left = LEFT + (wide + gap) * (at % columns) as f64;
        let top = high * (at / columns) as f64;
        let panel = Panel {
            top: top + 32.0,
            height: 52.0,
            least,
            most: 100.0,
        };
        let mut name = say(&format!("way.{}", it.way.word())).to_string();
        if it.way == report.quoted_way {
            name = say_with("chart.bond.quoted", &[("way", &name)]);
        }
        for (line, part) in textwrap::wrap(&name, 30).iter().take(2).enumerate() {
            let class = if it.way == report.quoted_way {
                "number strong"
            } else {
                "number"
            };
            svg.text(
                class,
                (left, top + 13.0 + 13.0 * line as f64),
                Anchor::Start,
                part,
            );
        }
        let x = |month: f64| left + wide * month / MONTHS as f64;
        let course = |which: usize| -> Vec<(f64, f64)> {
            it.bond_course
                .iter()
                .enumerate()
                .map(|(month, it)| (x(month as f64 + 0.5), panel.y(100.0 * it[which])))
                .collect()
        };
        for value in [least, 100.0] {
            svg.line(
                "grid",
                (left, panel.y(value)),
                (left + wide, panel.y(value)),
            );
            if at % columns == 0 {
                let name = format!("{value:.0}");
                svg.text(
                    "number",
                    (left - 4.0, panel.y(value) + 4.0),
                    Anchor::End,
                    &name,
                );
            }
        }
        for year in 1..=5 {
            let here = x(12.0 * f64::from(year));
            svg.line("grid", (here, panel.bottom()), (here, panel.bottom() + 3.0));
            let middle = x(12.0 * f64::from(year) - 6.0);
            svg.text(
                "number",
                (middle, panel.bottom() + 13.0),
                Anchor::Middle,
                &year.to_string(),
            );
        }
        svg.band(&course(0), &course(2));
        svg.polyline("likely", &course(1));
        svg.line(
            "limit",
            (left, panel.y(liquid)),
            (left + wide, panel.y(liquid)),
        );
    }
    let highest = |it: &WaySaid, year: usize, which: usize| {
        it.bond_course[12 * (year - 1)..12 * year]
            .iter()
            .map(|it| 100.0 * it[which])
            .fold(0.0, f64::max)
    };
    let rows: Vec<Vec<String>> =
        ways.iter()
            .map(|it| {
                let mut row = vec![say(&format!("way.{}", it.way.word())).to_string()];
                row.extend([1, 2, 5].map(|year| {
                    format!("{:.0} ({:.0})", highest(it, year, 1), highest(it, year, 2))
                }));
                row.push(it.chance_5y.map_or_else(String::new, short_chance));
                row
            })
            .collect();
    let under = ways
        .iter()
        .filter(|it| (1..=5).all(|year| highest(it, year, 1) < liquid))
        .count();
    let says = say_with(
        "chart.bond.says",
        &[
            ("under", &under.to_string()),
            ("all", &ways.len().to_string()),
            ("liquid", &format!("{liquid:.0}")),
        ],
    );
    let title = say("chart.bond.title");
    Some(Figure {
        title: title.to_string(),
        svg: svg.done(title, &says),
        says: format!("{says} {}", say("chart.bond.key")),
        head: strings(&[
            "chart.bond.way",
            "chart.bond.year_1",
            "chart.bond.year_2",
            "chart.bond.year_5",
            "chart.bond.chance",
        ]),
        rows,
    })
}

/// Half of the sketched floor's shorter side, m: a spot farther from a wall stands here.
const DEEPEST_M: f64 = 3.6;

/// Where on the floor was read: near the walls or in the open.
pub(super) fn floor(report: &Report, units: Units) -> Option<Figure> {
    if report.readings.is_empty() {
        return None;
    }
    let band_m = EvidenceTable::bundled().band_m;
    let has_place = report
        .readings
        .iter()
        .any(|it| it.wall_distance_m.is_some());
    let scale = 26.0;
    let (at, size) = ((14.0, 8.0), (WIDTH - 28.0, 2.0 * DEEPEST_M * scale));
    let mut svg = Svg::new(WIDTH, size.1 + 24.0);
    svg.rect("near", at, size);
    let inset = band_m * scale;
    svg.rect(
        "open",
        (at.0 + inset, at.1 + inset),
        (size.0 - 2.0 * inset, size.1 - 2.0 * inset),
    );
    svg.rect("wall", at, size);
    svg.text(
        "label halo",
        (at.0 + 8.0, at.1 + size.1 - 8.0),
        Anchor::Start,
        say("chart.floor.near"),
    );
    svg.text(
        "label",
        (at.0 + inset + 6.0, at.1 + inset + 16.0),
        Anchor::Start,
        say("chart.floor.open"),
    );
    let placed: Vec<(usize, &ReadingSaid, f64)> = report
        .readings
        .iter()
        .enumerate()
        .filter_map(|(row, it)| Some((row, it, it.wall_distance_m?)))
        .collect();
    for (order, (row, it, distance)) in placed.iter().enumerate() {
        // Only the distance is known: spots stand side by side along the far wall.
        let here = (
            at.0 + size.0 * (order as f64 + 1.0) / (placed.len() as f64 + 1.0),
            at.1 + distance.clamp(0.25, DEEPEST_M) * scale,
        );
        if it.withdrawn {
            for side in [-1.0, 1.0] {
                svg.line(
                    "cross",
                    (here.0 - 5.0, here.1 - 5.0 * side),
                    (here.0 + 5.0, here.1 + 5.0 * side),
                );
            }
        } else {
            svg.diamond("spot", here, 5.0);
        }
        svg.text(
            "label halo",
            (here.0, here.1 + 18.0),
            Anchor::Middle,
            &format!("{}", row + 1),
        );
    }
    let where_is = |it: &ReadingSaid| {
        say(match it.wall_distance_m {
            None => "chart.floor.unknown",
            Some(distance) if distance < band_m => "chart.floor.near",
            Some(_) => "chart.floor.open",
        })
    };
    let rows = report
        .readings
        .iter()
        .enumerate()
        .map(|(row, it)| {
            let distance = it
                .wall_distance_m
                .map_or_else(String::new, |it| match units {
                    Units::Us => format!("{:.0} ft", feet(it)),
                    Units::Si => format!("{it:.1} m"),
                });
            let value = format!("{} {}", it.kind, it.value);
            vec![
                (row + 1).to_string(),
                it.date.clone(),
                if it.withdrawn {
                    format!(
                        "{} {}",
                        super::paper::struck(&value),
                        say("chart.floor.withdrawn")
                    )
                } else {
                    value
                },
                it.spot.as_deref().map_or_else(String::new, typed),
                distance,
                where_is(it).to_string(),
                it.meter_id.as_deref().map_or_else(String::new, typed),
            ]
        })
        .collect();
    let count = |key: &str| {
        report
            .readings
            .iter()
            .filter(|it| !it.withdrawn && where_is(it) == say(key))
            .count()
            .to_string()
    };
    let says = say_with(
        "chart.floor.says",
        &[
            ("near", &count("chart.floor.near")),
            ("open", &count("chart.floor.open")),
            ("unknown", &count("chart.floor.unknown")),
        ],
    );
    let title = say("chart.floor.title");
    Some(Figure {
        title: title.to_string(),
        // Without any distance there is nothing to draw.
        svg: if has_place {
            svg.done(title, &says)
        } else {
            String::new()
        },
        says: format!("{says} {}", say("chart.floor.key")),
        head: strings(&[
            "chart.floor.number",
            "chart.floor.date",
            "chart.floor.reading",
            "chart.floor.spot",
            "chart.floor.distance",
            "chart.floor.where",
            "chart.floor.meter",
        ]),
        rows,
    })
}
