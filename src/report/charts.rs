//! The three drawings of the estimator's report, each with what it shows in words and figures.

use super::first_screen::WORTH_SAYING;
use super::paper::{Course, Figure, struck, typed};
use super::said::{capital, day_words, distance, measured_words, short_chance, test_words};
use super::svg::{Anchor, Svg};
use super::{Measured, MonthSaid, ReadingSaid, Report, Units, WaySaid};
use crate::odds::evidence::EvidenceTable;
use crate::units::Meters;
use crate::verdict::ways::{Way, WayTable};
use crate::words::{Language, say, say_with};
use chrono::Datelike;

/// Width of a drawing in its own units; letters are 11 to 13 of them high.
const WIDTH: f64 = 400.0;
/// Room for the numbers beside an axis.
const LEFT: f64 = 30.0;

/// Height of a line of letters on a phone.
const LINE: f64 = 18.0;
/// Columns in which a name at the left would meet the limit's.
const EARLY: usize = 4;
/// The column from which the limit is named then.
const LATE: usize = 9;

/// Where the visit is named: small screens have large letters, and a line more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Named {
    Beside,
    Below,
}

fn strings(keys: &[&str]) -> Vec<String> {
    keys.iter().map(|it| say(it).to_string()).collect()
}

/// The first letters of a month's name.
fn short_month(language: Language, month: u32) -> String {
    language.month(month).chars().take(3).collect()
}

fn feet(meters: f64) -> f64 {
    // A water table may lie below the slab, and a length of ours may not be negative.
    meters.signum() * Meters::new(meters.abs()).map_or(meters.abs(), Meters::feet)
}

/// What the meter showed on the newest day it was used, percent by weight.
fn meter_percents(report: &Report) -> Vec<f64> {
    let percent = |it: &ReadingSaid| match it.measured {
        Measured::Percent(percent) if !it.withdrawn => Some(percent),
        _ => None,
    };
    let used = || {
        report
            .readings
            .iter()
            .filter_map(|it| Some((it.date, percent(it)?)))
    };
    let newest = used().map(|it| it.0).max();
    used()
        .filter(|it| Some(it.0) == newest)
        .map(|it| it.1)
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

    /// A line for every percent, or for every other where there are many.
    fn whole_percents(&self, svg: &mut Svg) {
        let every = if self.most > 9.0 { 2 } else { 1 };
        for percent in (0..=self.most as usize).step_by(every) {
            self.grid(svg, percent as f64, &percent.to_string());
        }
    }

    /// The limit across the panel, named from `left` on.
    fn limit(&self, language: Language, svg: &mut Svg, (limit, left): (f64, f64)) {
        let y = self.y(limit);
        svg.line("limit", (LEFT, y), (WIDTH - 4.0, y));
        let name = language.say_with("chart.year.limit", &[("limit", &limit.to_string())]);
        svg.text("label halo", (left, y - 4.0), Anchor::Start, &name);
    }

    fn grid(&self, svg: &mut Svg, value: f64, name: &str) {
        let y = self.y(value);
        svg.line("grid", (LEFT, y), (WIDTH - 4.0, y));
        svg.text("number", (LEFT - 4.0, y + 4.0), Anchor::End, name);
    }
}

/// The next twelve months in columns, the visit before the first of them.
struct YearAhead<'a> {
    report: &'a Report,
    units: Units,
    language: Language,
    /// From the month after the visit on.
    months: Vec<&'a MonthSaid>,
}

impl<'a> YearAhead<'a> {
    fn of(report: &'a Report, units: Units, language: Language) -> Option<Self> {
        if report.months.len() != 12 {
            return None;
        }
        let visit = report.visit_date.month() as usize;
        let months = (0..12)
            .map(|it| &report.months[(visit + it) % 12])
            .collect();
        Some(Self {
            report,
            units,
            language,
            months,
        })
    }

    /// Width of a column.
    fn step() -> f64 {
        (WIDTH - 4.0 - LEFT) / 13.0
    }

    /// The middle of a column; the visit stands in the first.
    fn x(column: usize) -> f64 {
        LEFT + Self::step() * (column as f64 + 0.5)
    }

    /// Rain and snow of a month in the reader's unit.
    fn rain(&self, it: &MonthSaid) -> f64 {
        match self.units {
            Units::Us => it.precipitation_mm / MM_PER_INCH,
            Units::Si => it.precipitation_mm,
        }
    }

    fn rain_words(&self, rain: f64) -> String {
        match self.units {
            Units::Us => format!("{rain:.1}"),
            Units::Si => format!("{rain:.0}"),
        }
    }

    /// Level of the water table in the reader's unit.
    fn level(&self, it: &MonthSaid) -> f64 {
        match self.units {
            Units::Us => feet(it.water_table_m),
            Units::Si => it.water_table_m,
        }
    }

    fn rain_key(&self) -> &'static str {
        match self.units {
            Units::Us => "chart.year.rain_in",
            Units::Si => "chart.year.rain_mm",
        }
    }

    fn level_key(&self) -> &'static str {
        match self.units {
            Units::Us => "chart.year.water_ft",
            Units::Si => "chart.year.water_m",
        }
    }

    fn name_months(&self, svg: &mut Svg, y: f64, named: Named) {
        let visit = self.language.say("chart.year.visit");
        match named {
            Named::Beside => svg.text("label", (Self::x(0), y), Anchor::Middle, visit),
            Named::Below => {
                let month = short_month(self.language, self.report.visit_date.month());
                svg.text("number", (Self::x(0), y), Anchor::Middle, &month);
                svg.text("label", (2.0, y + LINE), Anchor::Start, visit);
            }
        }
        for (at, it) in self.months.iter().enumerate() {
            let name = short_month(self.language, it.month);
            svg.text("number", (Self::x(at + 1), y), Anchor::Middle, &name);
        }
    }

    /// The reading with its band, the limit and the visit.
    fn draw_readings(&self, svg: &mut Svg, named: Named) {
        let limit = self.report.limit.meter_percent;
        // A reading that is held says nothing here.
        let spots = if self.report.held {
            Vec::new()
        } else {
            meter_percents(self.report)
        };
        let most = self
            .months
            .iter()
            .map(|it| it.reading_p90)
            .chain(limit)
            .chain(spots.iter().copied())
            .fold(0.0_f64, f64::max);
        let panel = Panel {
            top: 22.0,
            height: 160.0,
            least: 0.0,
            most: (most + 0.4).ceil(),
        };
        let percent = self.language.say("chart.year.percent");
        svg.text("label", (2.0, 12.0), Anchor::Start, percent);
        if !self.report.held {
            self.shade_season(svg, &panel);
        }
        panel.whole_percents(svg);
        let course = |value: &dyn Fn(&MonthSaid) -> f64| -> Vec<(f64, f64)> {
            self.months
                .iter()
                .enumerate()
                .map(|(at, it)| (Self::x(at + 1), panel.y(value(it))))
                .collect()
        };
        svg.band(&course(&|it| it.reading_p10), &course(&|it| it.reading_p90));
        let likely = course(&|it| it.reading_p50);
        svg.polyline("likely", &likely);
        let wettest = self
            .months
            .iter()
            .position(|it| it.month == self.report.wettest_month);
        let first = LEFT + Self::step();
        if let Some(limit) = limit {
            // Away from the month to watch, which has a name of its own.
            let is_early = wettest.is_some_and(|it| it < EARLY);
            let left = if is_early { Self::x(LATE) } else { first + 2.0 };
            panel.limit(self.language, svg, (limit, left));
        }
        svg.line("mark", (first, panel.top), (first, panel.bottom()));
        for percent in &spots {
            svg.diamond("spot", (Self::x(0), panel.y(*percent)), 4.5);
        }
        if let Some(at) = wettest {
            svg.circle("ring", likely[at], 5.5);
            let above = panel.y(self.months[at].reading_p90) - 6.0;
            svg.text(
                "label halo",
                (Self::x(at + 1), above.max(panel.top - 2.0)),
                if at > 8 { Anchor::End } else { Anchor::Middle },
                self.language.say("chart.year.watch"),
            );
        }
        self.name_months(svg, panel.bottom() + 17.0, named);
    }

    fn draw_rain(&self, svg: &mut Svg) {
        let rain: Vec<f64> = self.months.iter().map(|it| self.rain(it)).collect();
        let least = match self.units {
            Units::Us => 10.0 / MM_PER_INCH,
            Units::Si => 10.0,
        };
        let most = rain.iter().copied().fold(0.0, f64::max).max(least);
        let panel = Panel {
            top: 222.0,
            height: 46.0,
            least: 0.0,
            most,
        };
        svg.text(
            "label",
            (2.0, 214.0),
            Anchor::Start,
            self.language.say(self.rain_key()),
        );
        panel.grid(svg, 0.0, "0");
        panel.grid(svg, most, &self.rain_words(most));
        for (at, it) in rain.iter().enumerate() {
            let y = panel.y(*it);
            svg.rect(
                "rain",
                (Self::x(at + 1) - 0.32 * Self::step(), y),
                (0.64 * Self::step(), panel.bottom() - y),
            );
        }
    }

    fn draw_water_table(&self, svg: &mut Svg) {
        let level: Vec<f64> = self.months.iter().map(|it| self.level(it)).collect();
        let lowest = level.iter().copied().fold(0.0, f64::min);
        let highest = level.iter().copied().fold(0.0, f64::max);
        let panel = Panel {
            top: 302.0,
            height: 50.0,
            least: (lowest - 0.1).floor(),
            most: (highest + 0.1).ceil(),
        };
        svg.text(
            "label",
            (2.0, 290.0),
            Anchor::Start,
            self.language.say(self.level_key()),
        );
        panel.grid(svg, panel.least, &format!("{:.0}", panel.least));
        let slab = panel.y(0.0);
        svg.line("slab", (LEFT, slab), (WIDTH - 4.0, slab));
        svg.text("number", (LEFT - 4.0, slab + 4.0), Anchor::End, "0");
        let course: Vec<(f64, f64)> = level
            .iter()
            .enumerate()
            .map(|(at, it)| (Self::x(at + 1), panel.y(*it)))
            .collect();
        svg.polyline("water", &course);
        self.name_months(svg, panel.bottom() + 16.0, Named::Beside);
    }

    /// The drawing with its words and numbers.
    fn figure(&self, svg: Svg) -> Figure {
        let says = self.says();
        let title = self.language.say(if self.report.held {
            "chart.year.title_held"
        } else {
            "chart.year.title"
        });
        let mut head = vec![self.language.say("chart.year.month").to_string()];
        head.extend(
            self.months
                .iter()
                .map(|it| short_month(self.language, it.month)),
        );
        Figure {
            title: title.to_string(),
            svg: svg.done(title, &says),
            says,
            key: self.language.say("chart.year.key").to_string(),
            head,
            rows: self.rows(),
            courses: self.courses(),
            limit: self.report.limit.meter_percent,
        }
    }

    /// The months in which water from below is likeliest, shaded behind the readings.
    fn shade_season(&self, svg: &mut Svg, panel: &Panel) {
        for (at, it) in self.months.iter().enumerate() {
            if self.report.water_season.contains(&it.month) {
                let left = Self::x(at + 1) - 0.5 * Self::step();
                svg.rect("season", (left, panel.top), (Self::step(), panel.height));
            }
        }
    }

    /// What the drawing shows, in words.
    fn says(&self) -> String {
        let by_reading = |a: &&&MonthSaid, b: &&&MonthSaid| a.reading_p50.total_cmp(&b.reading_p50);
        let low = self.months.iter().min_by(by_reading);
        let high = self.months.iter().max_by(by_reading);
        let (low, high) = low.zip(high).expect("a year has twelve months");
        let tenth = |it: &MonthSaid| format!("{:.1}", it.reading_p50);
        let says = self.language.say_with(
            "chart.year.says",
            &[
                ("low", &tenth(low)),
                ("low_month", self.language.month(low.month)),
                ("high", &tenth(high)),
                ("high_month", self.language.month(high.month)),
            ],
        );
        let limit = self
            .report
            .limit
            .meter_percent
            .map_or_else(String::new, |it| {
                self.language
                    .say_with("chart.year.says_limit", &[("limit", &it.to_string())])
            });
        super::said::joined(&[says, limit, self.watch_says(high)])
    }

    /// Why the month to watch is not the one in which most floors read highest, where that is so:
    /// those that go over do so in another season.
    fn watch_says(&self, high: &MonthSaid) -> String {
        let watch = self.report.wettest_month;
        let apart = (high.month + 12 - watch) % 12;
        let is_under = self
            .report
            .limit
            .meter_percent
            .is_some_and(|it| high.reading_p50 < it);
        // Where hardly any goes over there is nothing to explain.
        let is_watched = self
            .report
            .exceedance_probability
            .is_some_and(|it| it >= WORTH_SAYING);
        if !is_watched || !is_under || apart.min(12 - apart) <= 1 {
            return String::new();
        }
        self.language.say_with(
            "chart.year.why_watch",
            &[
                ("high_month", self.language.month(high.month)),
                ("month", self.language.month(watch)),
            ],
        )
    }

    /// The numbers of the drawing, a row each.
    fn rows(&self) -> Vec<Vec<String>> {
        let row = |key: &str, value: &dyn Fn(&MonthSaid) -> String| {
            let mut row = vec![self.language.say(key).to_string()];
            row.extend(self.months.iter().map(|it| value(it)));
            row
        };
        let level = match self.units {
            Units::Us => "chart.year.row_ft",
            Units::Si => "chart.year.row_m",
        };
        vec![
            row("chart.year.low", &|it| tenth(it.reading_p10)),
            row("chart.year.likely", &|it| tenth(it.reading_p50)),
            row("chart.year.high", &|it| tenth(it.reading_p90)),
            row(self.rain_key(), &|it| self.rain_words(self.rain(it))),
            row(level, &|it| tenth(self.level(it))),
        ]
    }

    fn courses(&self) -> Vec<Course> {
        let visit = self.report.visit_date.month();
        self.months
            .iter()
            .map(|it| {
                let mut marks = Vec::new();
                if it.month == self.report.wettest_month {
                    marks.push(self.language.say("chart.year.watch"));
                }
                if it.month == visit {
                    marks.push(self.language.say("chart.year.visit_month"));
                }
                Course {
                    name: short_month(self.language, it.month),
                    values: [it.reading_p10, it.reading_p50, it.reading_p90],
                    mark: marks.join(", "),
                }
            })
            .collect()
    }
}

/// Millimeters of an inch, by definition.
const MM_PER_INCH: f64 = 25.4;

/// One decimal; adding zero turns a rounded -0 into 0.
fn tenth(it: f64) -> String {
    format!("{:.1}", (10.0 * it).round() / 10.0 + 0.0)
}

/// Twelve months ahead: the reading with its band, the limit and the visit; the rain and the
/// water table beneath.
pub(super) fn year(report: &Report, units: Units) -> Option<Figure> {
    let year = YearAhead::of(report, units, Language::English)?;
    let mut svg = Svg::new(WIDTH, 372.0);
    year.draw_readings(&mut svg, Named::Beside);
    year.draw_rain(&mut svg);
    year.draw_water_table(&mut svg);
    Some(year.figure(svg))
}

/// The same without rain and water table, for a small screen.
pub(super) fn readings_year(report: &Report, units: Units, language: Language) -> Option<Figure> {
    let year = YearAhead::of(report, units, language)?;
    let mut svg = Svg::new(WIDTH, 222.0);
    year.draw_readings(&mut svg, Named::Below);
    Some(year.figure(svg))
}

/// Months that a bond line is followed for.
const MONTHS: usize = 60;
/// Small drawings beside each other, the gap between them, and their height.
const SMALL_COLUMNS: usize = 2;
const SMALL_GAP: f64 = 14.0;
const SMALL_HIGH: f64 = 104.0;

/// Width of a small drawing.
fn small_wide() -> f64 {
    (WIDTH - 4.0 - LEFT - SMALL_GAP) / SMALL_COLUMNS as f64
}

/// Highest humidity of a year at the bond line, percent; `which` is low, middle or high.
fn highest_bond(it: &WaySaid, year: usize, which: usize) -> f64 {
    it.bond_course[12 * (year - 1)..12 * year]
        .iter()
        .map(|it| 100.0 * it[which])
        .fold(0.0, f64::max)
}

/// Humidity at the bond line over five years, a small drawing for each option.
pub(super) fn bond(report: &Report) -> Option<Figure> {
    let ways: Vec<&WaySaid> = report
        .options()
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
    let rows_of = ways.len().div_ceil(SMALL_COLUMNS);
    let mut svg = Svg::new(WIDTH, SMALL_HIGH * rows_of as f64 + 4.0);
    for (at, it) in ways.iter().enumerate() {
        let is_quoted = it.way == report.quoted_way;
        bond_of_way(&mut svg, at, it, is_quoted, least);
    }
    let rows = ways
        .iter()
        .map(|it| {
            let mut row = vec![say(&format!("way.{}", it.way.word())).to_string()];
            row.extend([1, 2, 5].map(|year| {
                format!(
                    "{:.0}% ({:.0}%)",
                    highest_bond(it, year, 1),
                    highest_bond(it, year, 2)
                )
            }));
            row.push(it.chance_5y.map_or_else(String::new, |it| {
                say_with("chart.bond.count", &[("count", &short_chance(it))])
            }));
            row
        })
        .collect();
    let under = ways
        .iter()
        .filter(|it| (1..=5).all(|year| highest_bond(it, year, 1) < liquid))
        .count();
    let says = say_with(
        if under == ways.len() {
            "chart.bond.says_all"
        } else {
            "chart.bond.says"
        },
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
        says,
        key: say("chart.bond.key").to_string(),
        courses: Vec::new(),
        limit: None,
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

/// The small drawing of one option; `least` is the lowest percent of all of them.
fn bond_of_way(svg: &mut Svg, at: usize, it: &WaySaid, is_quoted: bool, least: f64) {
    let wide = small_wide();
    let left = LEFT + (wide + SMALL_GAP) * (at % SMALL_COLUMNS) as f64;
    let top = SMALL_HIGH * (at / SMALL_COLUMNS) as f64;
    let panel = Panel {
        top: top + 32.0,
        height: 52.0,
        least,
        most: 100.0,
    };
    let mut name = say(&format!("way.{}", it.way.word())).to_string();
    let mut class = "number";
    if is_quoted {
        name = say_with("chart.bond.quoted", &[("way", &name)]);
        class = "number strong";
    }
    for (line, part) in textwrap::wrap(&name, 30).iter().take(2).enumerate() {
        let at = (left, top + 13.0 + 13.0 * line as f64);
        svg.text(class, at, Anchor::Start, part);
    }
    let x = |month: f64| left + wide * month / MONTHS as f64;
    let across = |svg: &mut Svg, class: &str, value: f64| {
        let y = panel.y(value);
        svg.line(class, (left, y), (left + wide, y));
    };
    for value in [least, 100.0] {
        across(svg, "grid", value);
        if at.is_multiple_of(SMALL_COLUMNS) {
            let here = (left - 4.0, panel.y(value) + 4.0);
            svg.text("number", here, Anchor::End, &format!("{value:.0}"));
        }
    }
    for year in 1..=5 {
        let end = x(12.0 * f64::from(year));
        svg.line("grid", (end, panel.bottom()), (end, panel.bottom() + 3.0));
        let middle = (x(12.0 * f64::from(year) - 6.0), panel.bottom() + 13.0);
        svg.text("number", middle, Anchor::Middle, &year.to_string());
    }
    let course = |which: usize| -> Vec<(f64, f64)> {
        it.bond_course
            .iter()
            .enumerate()
            .map(|(month, it)| (x(month as f64 + 0.5), panel.y(100.0 * it[which])))
            .collect()
    };
    svg.band(&course(0), &course(2));
    svg.polyline("likely", &course(1));
    across(svg, "limit", 100.0 * WayTable::bundled().liquid);
}

/// Half of the sketched floor's shorter side, m: a spot farther from a wall stands here.
const DEEPEST_M: f64 = 3.6;
/// Length of a meter on the sketch.
const SKETCH_SCALE: f64 = 26.0;
/// Where the sketch begins.
const SKETCH_AT: (f64, f64) = (14.0, 8.0);

/// Key of where a reading was taken.
fn where_is(it: &ReadingSaid) -> &'static str {
    match it.wall_distance_m {
        None => "chart.floor.unknown",
        Some(distance) if distance < EvidenceTable::bundled().band_m => "chart.floor.near",
        Some(_) => "chart.floor.open",
    }
}

/// Where on the floor was read: near the walls or in the open.
pub(super) fn floor(report: &Report, units: Units) -> Option<Figure> {
    if report.readings.is_empty() {
        return None;
    }
    let has_place = report
        .readings
        .iter()
        .any(|it| it.wall_distance_m.is_some());
    let rows = report
        .readings
        .iter()
        .enumerate()
        .map(|(row, it)| reading_row(row + 1, it, units))
        .collect();
    let count = |key: &str| {
        report
            .readings
            .iter()
            .filter(|it| !it.withdrawn && where_is(it) == key)
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
            sketch(report).done(title, &says)
        } else {
            String::new()
        },
        says,
        key: say("chart.floor.key").to_string(),
        courses: Vec::new(),
        limit: None,
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

/// A reading as a row of the table under the sketch.
fn reading_row(number: usize, it: &ReadingSaid, units: Units) -> Vec<String> {
    let value = [
        capital(test_words(it.test)),
        measured_words(it.measured, units),
    ]
    .join(": ");
    vec![
        number.to_string(),
        day_words(it.date),
        if it.withdrawn {
            [struck(&value).as_str(), say("chart.floor.withdrawn")].join(" ")
        } else {
            value
        },
        it.spot.as_deref().map_or_else(String::new, typed),
        it.wall_distance_m
            .map_or_else(String::new, |it| distance(it, units)),
        say(where_is(it)).to_string(),
        it.meter_id.as_deref().map_or_else(String::new, typed),
    ]
}

/// A floor with a band along its walls and the spots that were read.
fn sketch(report: &Report) -> Svg {
    let (at, scale) = (SKETCH_AT, SKETCH_SCALE);
    let size = (WIDTH - 28.0, 2.0 * DEEPEST_M * scale);
    let mut svg = Svg::new(WIDTH, size.1 + 24.0);
    svg.rect("near", at, size);
    let inset = EvidenceTable::bundled().band_m * scale;
    svg.rect(
        "open",
        (at.0 + inset, at.1 + inset),
        (size.0 - 2.0 * inset, size.1 - 2.0 * inset),
    );
    svg.rect("wall", at, size);
    let near = (at.0 + 8.0, at.1 + size.1 - 8.0);
    svg.text("label halo", near, Anchor::Start, say("chart.floor.near"));
    let open = (at.0 + inset + 6.0, at.1 + inset + 16.0);
    svg.text("label", open, Anchor::Start, say("chart.floor.open"));
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
        let number = format!("{}", row + 1);
        svg.text(
            "label halo",
            (here.0, here.1 + 18.0),
            Anchor::Middle,
            &number,
        );
    }
    svg
}
