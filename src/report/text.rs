//! The report for a terminal of 80 columns or fewer.

use super::{Basis, GateSaid, ReadingSaid, Report, WaySaid};
use crate::season::MONTH_NAMES;
use crate::units::Meters;
use crate::verdict::ways::{Way, WayTable};
use crate::verdict::{Grade, OpenPoint, Raise};
use crate::words::{chance_words, in_twentieths, say, say_with};
use std::fmt::Write;
use tabled::builder::Builder;
use tabled::settings::{Alignment, Padding, Style, object::Columns};

/// Units in which lengths and temperatures are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Units {
    Us,
    Si,
}

/// Lays the report out in `width` columns (40 to 80 are sensible).
pub fn text(report: &Report, units: Units, width: usize) -> String {
    let mut page = Page {
        out: String::new(),
        width,
    };
    head(&mut page, report, units);
    headline(&mut page, report);
    said_first(&mut page, report);
    if report.refused {
        if !report.first.is_empty() {
            page.title("What to do now");
            page.paragraph(&report.next_step);
        }
        cautions(&mut page, report);
        return page.done();
    }
    page.title("What to do now");
    page.paragraph(&report.next_step);
    if !report.held {
        page.paragraph(say("over_is_not_failure"));
    }
    ways(&mut page, report);
    next(&mut page, report);
    months(&mut page, report);
    reasons(&mut page, report);
    causes(&mut page, report);
    zones(&mut page, report);
    open(&mut page, report);
    quality(&mut page, report);
    cautions(&mut page, report);
    page.done()
}

/// Text that grows line by line, wrapped.
pub(crate) struct Page {
    out: String,
    width: usize,
}

impl Page {
    pub(crate) fn new(width: usize) -> Self {
        Self {
            out: String::new(),
            width,
        }
    }
    /// Columns that the text is laid out in.
    pub(crate) fn width(&self) -> usize {
        self.width
    }
    /// The finished text.
    pub(crate) fn done(self) -> String {
        self.out
    }
    pub(crate) fn line(&mut self, text: &str) {
        let _ = writeln!(self.out, "{}", text.trim_end());
    }
    pub(crate) fn title(&mut self, text: &str) {
        self.line("");
        self.wrapped(&text.to_uppercase(), "", "  ");
    }
    pub(crate) fn paragraph(&mut self, text: &str) {
        self.wrapped(text, "  ", "  ");
    }
    pub(crate) fn item(&mut self, text: &str) {
        self.wrapped(text, "  - ", "    ");
    }
    pub(crate) fn wrapped(&mut self, text: &str, first: &str, rest: &str) {
        let options = textwrap::Options::new(self.width)
            .initial_indent(first)
            .subsequent_indent(rest);
        for line in textwrap::wrap(text, options) {
            self.line(&line);
        }
    }
}

pub(super) fn distance(meters: f64, units: Units) -> String {
    match units {
        Units::Si => format!("{meters:.0} m"),
        Units::Us => format!(
            "{:.0} ft",
            Meters::new(meters.abs()).map_or(meters, |it| it.feet())
        ),
    }
}

fn head(page: &mut Page, report: &Report, units: Units) {
    let label = report
        .label
        .clone()
        .unwrap_or_else(|| "floor without a label".to_string());
    page.wrapped(
        &format!("{label}, visit of {}", report.visit_date),
        "",
        "  ",
    );
    let away = match units {
        Units::Si => format!("{:.0} km", report.place.distance_km),
        Units::Us => format!("{:.0} mi", report.place.distance_km / 1.609_344),
    };
    page.wrapped(
        &format!(
            "{}; climate of {}, {away} away",
            report.place.label, report.place.name
        ),
        "",
        "  ",
    );
    if report.readings.is_empty() {
        page.line("No reading.");
    }
    for reading in readings_said(report, units) {
        page.wrapped(&reading, "Reading ", "  ");
    }
    page.wrapped(&report.limit.words(), "", "  ");
    page.wrapped(&report.disclaimer, "", "");
}

/// Each reading in a line, withdrawn ones marked as such.
pub(super) fn readings_said(report: &Report, units: Units) -> Vec<String> {
    let said = |reading: &ReadingSaid| {
        let mut text = format!("{} {}: {}", reading.date, reading.kind, reading.value);
        if let Some(spot) = &reading.spot {
            let _ = write!(text, ", spot {spot}");
        }
        if let Some(wall) = reading.wall_distance_m {
            let _ = write!(
                text,
                ", {} from a wall",
                match units {
                    Units::Si => format!("{wall:.1} m"),
                    Units::Us => distance(wall, units),
                }
            );
        }
        if let Some(meter) = &reading.meter_id {
            let _ = write!(text, ", meter {meter}");
        }
        if reading.withdrawn {
            text = format!("withdrawn: {text}");
        }
        text
    };
    report.readings.iter().map(said).collect()
}

/// The grade's words.
pub(super) fn grade_key(grade: Grade) -> &'static str {
    match grade {
        Grade::Low => "low",
        Grade::Moderate => "moderate",
        Grade::High => "high",
        Grade::VeryHigh => "very_high",
    }
}

/// What some floors need said before anything else.
fn said_first(page: &mut Page, report: &Report) {
    for section in &report.first {
        page.title(&section.title);
        for line in &section.lines {
            page.item(line);
        }
    }
}

fn headline(page: &mut Page, report: &Report) {
    page.title("Verdict");
    let lines = verdict_words(report);
    page.paragraph(&lines[0]);
    if report.grade.is_none() {
        gates(page, &report.gates);
    }
    for line in &lines[1..] {
        page.paragraph(line);
    }
}

/// The verdict in sentences, the grade or that there is none first. The gates stand apart.
pub(super) fn verdict_words(report: &Report) -> Vec<String> {
    let mut lines = match (report.grade, report.exceedance_probability) {
        (Some(grade), Some(chance)) => graded_words(report, grade, chance),
        _ => held_words(report),
    };
    if report.over_now && !report.refused {
        lines.push("The newest reading is over the limit today.".to_string());
    }
    lines
}

fn graded_words(report: &Report, grade: Grade, chance: f64) -> Vec<String> {
    let open = grade == Grade::Low && !report.open_points.is_empty();
    let name = say(if open {
        "grade.low_so_far"
    } else {
        match grade {
            Grade::Low => "grade.low",
            Grade::Moderate => "grade.moderate",
            Grade::High => "grade.high",
            Grade::VeryHigh => "grade.very_high",
        }
    });
    let month = MONTH_NAMES[report.wettest_month as usize - 1];
    let mut lines = vec![
        format!(
            "{name}: {} that the bare floor reads over its limit in its wettest month within a year \
             ({}).",
            chance_words(chance),
            say(&format!("grade.{}.phrase", grade_key(grade)))
        ),
        quoted_words(report),
    ];
    let quoted = report.ways.iter().find(|it| it.way == report.quoted_way);
    if quoted
        .and_then(|it| it.chance_5y)
        .is_some_and(|it| Grade::of_chance(it) > grade)
    {
        lines.push(say("do.way_worse").to_string());
    }
    if open {
        lines.push(format!("Still open: {}.", open_words(report).join("; ")));
    }
    let wet = report.exceedance_wet_year.map_or(String::new(), |it| {
        format!(
            " {}",
            say_with("wet_year", &[("chance", &chance_words(it))])
        )
    });
    let five = report.exceedance_5y.map_or(String::new(), |it| {
        format!(" In any of five years: {}.", chance_words(it))
    });
    lines.push(format!(
        "Wettest month: {month}; {}.{five}{wet}",
        season_words(report)
    ));
    lines.extend(report.grade_raised_by.iter().map(|raise| {
        say(match raise {
            Raise::SpringDarkening => "raised.spring_darkening",
            Raise::StandingWater => "raised.standing_water",
        })
        .to_string()
    }));
    if report.basis == Basis::Answers {
        lines.push(say("answers_only").to_string());
    }
    lines
}

fn held_words(report: &Report) -> Vec<String> {
    let unexplained = report
        .gates
        .iter()
        .any(|it| it.id.starts_with("unexplained"));
    let mut lines = vec![
        say(if report.refused {
            "refused.headline"
        } else if unexplained {
            "held.unexplained"
        } else {
            "held.headline"
        })
        .to_string(),
    ];
    if let Some(before) = &report.before_reading {
        lines.push(say_with(
            "answers_estimate",
            &[
                ("chance", &chance_words(before.exceedance_probability)),
                (
                    "grade",
                    // Low without a usable reading is never more than "so far".
                    match before.grade {
                        Grade::Low => say("grade.low_so_far"),
                        other => say(&format!("grade.{}", grade_key(other))),
                    },
                ),
            ],
        ));
    }
    lines
}

/// The quoted way and its chance, or that there is none to tell.
fn quoted_words(report: &Report) -> String {
    let quoted = report.ways.iter().find(|it| it.way == report.quoted_way);
    match quoted.and_then(|it| it.chance_5y.map(|chance| (it, chance))) {
        Some((it, chance)) => say_with(
            "ways.quoted",
            &[
                ("way", say(&format!("way.{}", it.way.word()))),
                ("chance", &chance_words(chance)),
                ("limit", &it.limit),
            ],
        ),
        None => say("ways.not_compared").to_string(),
    }
}

/// A sentence with a capital letter in front.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A chance in a column: "9 in 20", "<1 in 20".
pub(super) fn short_chance(chance: f64) -> String {
    match in_twentieths(chance) {
        Some(count) => format!("{count}"),
        None if chance < 0.5 => "<1".to_string(),
        None => ">19".to_string(),
    }
}

fn ways(page: &mut Page, report: &Report) {
    if report.ways.is_empty() || report.held {
        return;
    }
    page.title("Ways forward: chance in 20 that each goes over its own limit");
    page.line("    1y   2y   5y  wait");
    for it in &report.ways {
        let Some([one, two, five]) = way_chances(it) else {
            continue;
        };
        let mark = if it.way == report.quoted_way {
            ">"
        } else {
            " "
        };
        let wait = if it.wait_days == 0 {
            "-".to_string()
        } else {
            format!("{} d", it.wait_days)
        };
        page.wrapped(
            &format!(
                "{mark}{:>4} {:>4} {:>4} {:>6}  {}{}",
                one,
                two,
                five,
                wait,
                say(&format!("way.{}", it.way.word())),
                it.not_allowed.as_ref().map_or(String::new(), |it| {
                    format!(" ({}: {it})", say("ways.excluded"))
                })
            ),
            " ",
            "                       ",
        );
        let more = way_words(report, it);
        page.wrapped(
            &more,
            "                        ",
            "                        ",
        );
    }
    if let Some(text) = preferred_words(report) {
        page.paragraph(&text);
    }
    page.paragraph(say("ways.reading"));
}

/// The chances of a way within one, two and five years, for columns: a dash where too few floors
/// tell of it. None for declining, which has no chances.
pub(super) fn way_chances(it: &WaySaid) -> Option<[String; 3]> {
    let column = |chance: Option<f64>| chance.map_or_else(|| "-".to_string(), short_chance);
    (it.way != Way::Decline).then(|| [it.chance_1y, it.chance_2y, it.chance_5y].map(column))
}

/// What is to be said of one way: why, when, and what may keep it from being put down.
pub(super) fn way_words(report: &Report, it: &WaySaid) -> String {
    let mut more = it.why.clone();
    if let Some(month) = &it.first_month_half {
        more = format!("{more} {}.", say_with("ways.half", &[("month", month)]));
    }
    if let Some(stop) = it.test_would_stop.filter(|it| *it >= 0.025) {
        let limit = report
            .limit
            .probe_rh
            .unwrap_or(100.0 * WayTable::bundled().test_probe_limit);
        let said = say_with(
            "ways.test_would_stop",
            &[
                ("chance", &chance_words(stop)),
                ("limit", &format!("{limit:.0}")),
            ],
        );
        more = format!("{more} {}.", capital(&said));
    }
    if it.not_put_down >= 0.025 {
        let chance = chance_words(it.not_put_down);
        more = format!(
            "{more} {}.",
            capital(&say_with("ways.not_put_down", &[("chance", &chance)]))
        );
        if it.way != Way::Decline && it.chance_5y.is_none() {
            more = format!("{more} {}", say("ways.too_few"));
        }
    }
    more
}

/// Which way holds first, or what to fix before.
pub(super) fn preferred_words(report: &Report) -> Option<String> {
    let water = report.water_above_probability.unwrap_or(0.0);
    let name = |way: Way| say(&format!("way.{}", way.word()));
    Some(match report.preferred_way? {
        Way::Decline => say("ways.none_holds").to_string(),
        way @ (Way::FixOutside | Way::FixDrain) => say_with(
            "ways.fix_first",
            &[("chance", &chance_words(water)), ("way", name(way))],
        ),
        way => {
            let limit = WayTable::bundled().acceptable_5y;
            let hold: Vec<&str> = report
                .ways
                .iter()
                .filter(|it| it.not_allowed.is_none() && it.chance_5y.is_some_and(|it| it < limit))
                .map(|it| name(it.way))
                .collect();
            say_with(
                "ways.holds",
                &[("ways", &hold.join("; ")), ("way", name(way))],
            )
        }
    })
}

fn next(page: &mut Page, report: &Report) {
    if report.held {
        return;
    }
    page.title("What to ask or test next");
    // A brief report has not looked.
    let is_brief = report.score.is_none();
    if report.next.is_empty() && is_brief {
        page.paragraph(say("next.brief"));
    } else if report.next.is_empty() {
        page.paragraph(say("next.none"));
    } else {
        page.paragraph(say("next.intro"));
        page.line("  grade   way");
        for it in report.next.iter().take(NEXT_SHOWN) {
            let days = days_words(it.days);
            let way = it
                .chance_of_changing_way
                .map_or_else(|| "-".to_string(), short_chance);
            page.wrapped(
                &format!(
                    "{:>5} {way:>5}  {}{days}",
                    short_chance(it.chance_of_changing_grade),
                    it.text
                ),
                "  ",
                "               ",
            );
        }
    }
    if report.come_back.is_none() {
        page.paragraph(say("next.no_season"));
    }
    if let Some(it) = &report.come_back {
        let wet = format!("{} to {}", it.wet_from, it.wet_to);
        page.paragraph(&say_with(
            "come_back",
            &[("from", &it.from), ("to", &it.to), ("wet", &wet)],
        ));
    }
}

/// How long a step takes, in brackets; nothing for a question.
pub(super) fn days_words(days: f64) -> String {
    if days < 0.5 {
        String::new()
    } else if days < 1.5 {
        " (1 day)".to_string()
    } else {
        format!(" ({days:.0} days)")
    }
}

/// Next steps that are shown.
pub(super) const NEXT_SHOWN: usize = 6;

fn gates(page: &mut Page, gates: &[GateSaid]) {
    for gate in gates {
        page.item(&gate.reason);
        let when = gate
            .retest_after
            .as_ref()
            .map_or(String::new(), |it| format!(" Not before {it}."));
        page.wrapped(&format!("{}{when}", gate.action), "    ", "    ");
    }
}

fn month_list(months: &[u32]) -> String {
    months
        .iter()
        .map(|it| &MONTH_NAMES[*it as usize - 1][..3])
        .collect::<Vec<_>>()
        .join(", ")
}

pub(super) fn season_words(report: &Report) -> String {
    let from = if report.from_below_probability >= 0.7 {
        "mostly from below"
    } else if report.from_below_probability <= 0.3 {
        "mostly from the air"
    } else {
        "from below or from the air"
    };
    if report.wet_season.len() == 12 {
        format!("all months are close to it, {from}")
    } else {
        format!("wet season {}, {from}", month_list(&report.wet_season))
    }
}

fn months(page: &mut Page, report: &Report) {
    page.title(if report.held {
        "Twelve months by the answers alone (% by the same meter)"
    } else {
        "The next twelve months (% by the same meter)"
    });
    let visit_month: usize = report.visit_date[5..7]
        .parse()
        .expect("a date is written year-month-day");
    let limit = report.limit.meter_percent;
    let mut builder = Builder::default();
    builder.push_record(["", "low", "likely", "high", "", ""]);
    let top = report
        .months
        .iter()
        .map(|it| it.reading_p90)
        .chain(limit)
        .fold(0.0, f64::max);
    // A narrow terminal has no room for a picture.
    let bar_width = page.width.saturating_sub(50).min(38);
    let is_narrow = page.width < NARROW;
    // From the month after the visit on; the visit's own month comes last, a year on.
    let rotated = (0..12).filter_map(|ahead| {
        report
            .months
            .iter()
            .find(|it| it.month as usize == (visit_month + ahead) % 12 + 1)
    });
    for month in rotated {
        let at = month.month as usize - 1;
        let mut marks = Vec::new();
        if month.month == report.wettest_month {
            marks.push(if is_narrow { "W" } else { "wettest" });
        }
        if month.month as usize == visit_month {
            marks.push(if is_narrow {
                "V"
            } else {
                "visit month, a year on"
            });
        }
        builder.push_record([
            MONTH_NAMES[at][..3].to_string(),
            format!("{:.1}", month.reading_p10),
            format!("{:.1}", month.reading_p50),
            format!("{:.1}", month.reading_p90),
            bar(
                [month.reading_p10, month.reading_p50, month.reading_p90],
                limit,
                top,
                bar_width,
            ),
            marks.join(", "),
        ]);
    }
    let mut table = builder.build();
    table
        .with(Style::empty())
        .with(Padding::new(2, 0, 0, 0))
        .modify(Columns::new(1..4), Alignment::right());
    for line in table.to_string().lines() {
        page.line(line);
    }
    if let Some(limit) = limit {
        page.paragraph(&format!("| limit {limit} %   --- low to high   o likely"));
    }
    if is_narrow {
        page.paragraph("W wettest, V visit month, a year on");
    }
}

/// Columns under which marks are letters.
const NARROW: usize = 76;

/// Columns under which a bar says nothing.
const SHORTEST_BAR: usize = 8;

/// A band from low to high with the likely value and the limit, in plain characters.
fn bar(values: [f64; 3], limit: Option<f64>, top: f64, width: usize) -> String {
    if width < SHORTEST_BAR {
        return String::new();
    }
    let place = |value: f64| ((value / top * (width - 1) as f64).round() as usize).min(width - 1);
    let mut cells = vec![' '; width];
    for cell in &mut cells[place(values[0])..=place(values[2])] {
        *cell = '-';
    }
    if let Some(limit) = limit {
        cells[place(limit)] = '|';
    }
    cells[place(values[1])] = 'o';
    cells.into_iter().collect()
}

fn reasons(page: &mut Page, report: &Report) {
    if let Some(score) = &report.score {
        page.title(&format!("Score {} points", score.total));
        for line in &score.lines {
            let name = say(&format!("line.{}", line.line));
            page.line(&format!(
                "  {:>4}  {name}",
                if line.line == "start" {
                    line.points.to_string()
                } else {
                    format!("{:+}", line.points)
                }
            ));
        }
        page.paragraph(say("term.points"));
    }
    if !report.answers.is_empty() {
        page.title("What speaks for it (points each answer moves by itself)");
        let mut answers: Vec<_> = report.answers.iter().collect();
        answers.sort_by(|a, b| b.decibans.abs().total_cmp(&a.decibans.abs()));
        let chance = report.exceedance_probability.unwrap_or(0.5);
        if !(0.03..=0.97).contains(&chance) {
            page.paragraph(say("answers.at_the_end"));
        }
        for it in answers {
            let name = say(&format!("question.{}", it.question));
            // Adding zero turns a rounded -0.0 into 0.0.
            let moved = (it.decibans * 10.0).round() / 10.0 + 0.0;
            let answer = it.answer.replace('_', " ");
            page.wrapped(
                &format!("{moved:>+5.1}  {name}: {answer}"),
                "  ",
                "         ",
            );
        }
    }
}

fn causes(page: &mut Page, report: &Report) {
    let goes_over = report.exceedance_probability.is_none_or(|it| it >= 0.05);
    page.title(say(if goes_over {
        "cause.title"
    } else {
        "cause.title_low"
    }));
    for it in report.causes.iter().filter(|it| it.probability >= 0.025) {
        let cause = say(&format!("cause.{}", it.cause));
        page.wrapped(
            &format!("{:<22} {cause}", chance_words(it.probability)),
            "  ",
            "                         ",
        );
    }
}

fn zones(page: &mut Page, report: &Report) {
    let Some(it) = report.zones.as_ref().filter(|_| !report.held) else {
        return;
    };
    page.title(say("zones.title"));
    for (key, share) in [
        ("zones.whole", it.whole),
        ("zones.band", it.band),
        ("zones.spot", it.spot),
    ] {
        if share >= 0.025 {
            let spot = it.spot_name.clone().unwrap_or_default();
            page.item(&capital(&say_with(
                key,
                &[("chance", &chance_words(share)), ("spot", &spot)],
            )));
        }
    }
    page.paragraph(&say_with(
        "zones.worst",
        &[("spots", &it.spots.to_string())],
    ));
}

pub(super) fn open_words(report: &Report) -> Vec<&'static str> {
    report
        .open_points
        .iter()
        .map(|it| {
            say(match it {
                OpenPoint::FewSpots => "open.few_spots",
                OpenPoint::NoReading => "open.no_reading",
                OpenPoint::DrainageTrouble => "open.drainage_trouble",
                OpenPoint::Darkening => "open.darkening",
                OpenPoint::ProvisionalLimit => "open.provisional_limit",
                OpenPoint::BandNearWalls => "open.band_near_walls",
                OpenPoint::CoreQuestionOpen => "open.core_question_open",
            })
        })
        .collect()
}

fn open(page: &mut Page, report: &Report) {
    if !report.unknown.is_empty() {
        page.title("Not known");
        let names: Vec<&str> = report
            .unknown
            .iter()
            .map(|it| say(&format!("question.{it}")))
            .collect();
        page.paragraph(&format!("{}.", names.join("; ")));
    }
    if !report.open_points.is_empty() {
        page.title("Still open");
        for words in open_words(report) {
            page.item(words);
        }
    }
}

fn quality(page: &mut Page, report: &Report) {
    page.title("How sure");
    page.paragraph(say("term.spread"));
    page.paragraph(&versions_words(report));
    for it in &report.quality.sensitivity {
        page.item(&it.text);
    }
    for it in report
        .quality
        .warnings
        .iter()
        .chain(&report.place.warnings)
        .chain(&report.notes)
    {
        page.item(it);
    }
    page.paragraph(&report.place.normals);
    page.paragraph(say("term.likely"));
    page.paragraph(say("term.percent"));
    page.paragraph(say("term.retarder"));
    page.paragraph(say("term.bond"));
    page.paragraph(say("term.tests"));
}

/// How many versions stand behind it, and how far out the reading lies.
pub(super) fn versions_words(report: &Report) -> String {
    format!(
        "{} versions simulated, {:.0} effective.{}",
        report.quality.draws,
        report.quality.effective_draws,
        report
            .quality
            .reading_p_value
            .filter(|_| !report.held)
            .map_or(String::new(), |it| {
                let share = if it < 0.01 {
                    "Fewer than 1 in 100".to_string()
                } else {
                    format!("About {:.0} in 100", (100.0 * it).min(99.0))
                };
                format!(" {share} such floors would read as far out as this one, either side.")
            })
    )
}

fn cautions(page: &mut Page, report: &Report) {
    page.title("Cautions");
    for it in &report.cautions {
        page.item(it);
    }
    page.item(say("refused.topics"));
    page.line("");
    page.wrapped(&report.disclaimer, "", "");
    page.wrapped(say("disclaimer_draft"), "", "");
    page.wrapped(
        &format!(
            "{}, tables {}, visit {}",
            report.model, report.tables, report.input_digest
        ),
        "",
        "",
    );
}
