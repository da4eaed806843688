//! What stands behind the first screen, in the order of need: the chances, the options with
//! their reasons, what to ask next, the year, the source of the water, where on the floor, what
//! speaks for and against, what is open, the score, the method, the cautions.

use super::first_screen::{
    LITTLE_SETTLED, WORTH_SAYING, by_answers, clue_words, counts_the_coated, quoted_chance,
    walls_are_wet,
};
use super::paper::{Block, Ranked, RankedRow, typed};
use super::said::{
    Units, capital, far, grade_key, joined, month_of_in, month_year_in, months_span, pounds_in,
    short_chance,
};
use super::{AnswerSaid, Basis, Report, WaySaid, charts};
use crate::verdict::ways::{Way, WayTable};
use crate::verdict::{Cause, Grade, GradeTable, OpenPoint, Raise};
use crate::words::{Language, chance_words, count_words, likely_words, say, say_with};

/// Next steps that are shown.
pub const NEXT_SHOWN: usize = 6;

/// Everything behind the first screen.
pub(super) fn rest(report: &Report, units: Units) -> Vec<Block> {
    let mut blocks = Vec::new();
    for need in &report.needs {
        blocks.push(Block::Heading(need.title.clone()));
        let lines = need
            .lines
            .iter()
            .map(|it| typed(&limit_in_units(it, report, units)));
        blocks.push(Block::Items(lines.collect()));
    }
    heading(&mut blocks, "written.now");
    blocks.push(Block::Strong(report.next_step.clone()));
    if !report.refused {
        chances(&mut blocks, report);
        options(&mut blocks, report);
        next(&mut blocks, report);
        blocks.extend(charts::year(report, units).map(Block::Figure));
        source(&mut blocks, report);
        place_on_floor(&mut blocks, report, units);
        for_and_against(&mut blocks, report);
        open(&mut blocks, report);
        score(&mut blocks, report);
        blocks.extend(charts::bond(report).map(Block::Figure));
    } else {
        blocks.extend(charts::floor(report, units).map(Block::Figure));
    }
    careful(&mut blocks, report);
    method(&mut blocks, report, units);
    blocks
}

/// A line with the limit of a calcium chloride test in some units.
fn limit_in_units(line: &str, report: &Report, units: Units) -> String {
    match report.limit.calcium_chloride_lb {
        Some(limit) if units == Units::Si => {
            let [usual, there] =
                [Units::Us, Units::Si].map(|it| pounds_in(Language::English, limit, it));
            line.replace(&usual, &there)
        }
        _ => line.to_string(),
    }
}

fn heading(blocks: &mut Vec<Block>, key: &str) {
    blocks.push(Block::Heading(say(key).to_string()));
}

fn text(blocks: &mut Vec<Block>, key: &str) {
    blocks.push(Block::Text(say(key).to_string()));
}

/// Every chance of the headline and beside it, word and number together.
fn chances(blocks: &mut Vec<Block>, report: &Report) {
    heading(blocks, "full.chances");
    if report.held {
        let told = by_answers(Language::English, report);
        // Where even the answers tell no chance, what stands in the way.
        let told = told.unwrap_or_else(|| {
            let reasons = report.gates.iter().map(|it| it.reason.as_str());
            joined(&reasons.collect::<Vec<_>>())
        });
        blocks.push(Block::Text(told));
        return;
    }
    let said = |key: &str, chance: f64, blanks: &[(&str, &str)]| {
        let mut all = vec![("likely", likely_words(chance))];
        let words = chance_words(chance);
        all.push(("chance", &words));
        all.extend(blanks.iter().copied());
        capital(&say_with(key, &all))
    };
    let mut items = Vec::new();
    if let Some(chance) = report.exceedance_probability {
        items.push(said("full.chance.bare", chance, &[]));
    }
    if let Some(chance) = report.exceedance_5y {
        items.push(said("full.chance.five_years", chance, &[]));
    }
    if let Some(chance) = report.exceedance_wet_year {
        items.push(said("full.chance.wet_year", chance, &[]));
    }
    if let Some(chance) = quoted_chance(report) {
        let limit = say(&format!("way.limit.{}", report.quoted_way.word()));
        let key = if counts_the_coated(report) {
            "full.chance.quoted_coated"
        } else {
            "full.chance.quoted"
        };
        items.push(said(
            key,
            chance,
            &[("way", way_name(report.quoted_way)), ("problem", limit)],
        ));
    } else {
        items.push(say("ways.not_compared").to_string());
    }
    items.push(season_words(Language::English, report));
    items.extend(report.grade_raised_by.iter().map(|raise| {
        say(match raise {
            Raise::SpringDarkening => "raised.spring_darkening",
            Raise::StandingWater => "raised.standing_water",
        })
        .to_string()
    }));
    blocks.push(Block::Items(items));
    text(blocks, "over_is_not_failure");
}

fn way_name(way: Way) -> &'static str {
    say(&format!("way.{}", way.word()))
}

/// The seasons in lines of their own.
pub(super) fn season_lines(language: Language, report: &Report) -> Vec<String> {
    if report.refused || report.held {
        return Vec::new();
    }
    vec![season_words(language, report)]
}

/// Which months are wet, and from where.
fn season_words(language: Language, report: &Report) -> String {
    let say = |key: &str| language.say(key);
    // From the same sources that are listed below, so that the two agree.
    let by_air: f64 = report
        .causes
        .iter()
        .filter(|it| it.cause == Cause::HumidAir)
        .map(|it| it.probability)
        .sum();
    let mostly = GradeTable::bundled().mostly_one_side;
    let from = say(if by_air >= mostly && !walls_are_wet(report) {
        "season.from_air"
    } else if by_air <= 1.0 - mostly {
        "season.from_below"
    } else {
        "season.from_both"
    });
    let listed = |key: &str, months: &[u32]| {
        let names: Vec<&str> = months.iter().map(|it| language.month(*it)).collect();
        (!names.is_empty()).then(|| language.say_with(key, &[("months", &names.join(", "))]))
    };
    let mut says: Vec<String> = [
        listed("season.water", &report.water_season),
        listed("season.damp_air", &report.damp_air_season),
    ]
    .into_iter()
    .flatten()
    .collect();
    if says.is_empty() {
        says.push(say("season.all").to_string());
    }
    says.push(from.to_string());
    joined(&says)
}

/// The chances of an option within one, two and five years: a dash where too few floors tell.
fn way_chances(it: &WaySaid) -> [String; 3] {
    let column = |chance: Option<f64>| chance.map_or_else(|| "-".to_string(), short_chance);
    [it.chance_1y, it.chance_2y, it.chance_5y].map(column)
}

/// Why, when, and what may keep it from being done.
fn way_words(report: &Report, it: &WaySaid) -> String {
    way_in(Language::English, report, it)
}

/// The same in a language.
pub(super) fn way_in(language: Language, report: &Report, it: &WaySaid) -> String {
    let say = |key: &str| language.say(key);
    let say_with = |key: &str, blanks: &[(&str, &str)]| language.say_with(key, blanks);
    let mut says = vec![say(&format!("why.{}", it.way.word())).to_string()];
    let sentence = |text: String| say_with("first.sentence", &[("text", &capital(&text))]);
    if let Some(month) = it.first_month_half {
        says.push(sentence(say_with(
            "ways.half",
            &[("month", &month_year_in(language, month))],
        )));
    }
    if let Some(stop) = it.test_would_stop.filter(|it| *it >= WORTH_SAYING) {
        let limit = report
            .limit
            .probe_rh
            .unwrap_or(100.0 * WayTable::bundled().test_probe_limit);
        says.push(sentence(say_with(
            "ways.test_would_stop",
            &[
                ("chance", &language.chance(stop)),
                ("limit", &format!("{limit:.0}")),
            ],
        )));
    }
    if it.not_put_down >= WORTH_SAYING {
        let chance = language.chance(it.not_put_down);
        says.push(sentence(say_with(
            "ways.not_put_down",
            &[("chance", &chance)],
        )));
        if it.way != Way::Decline && it.chance_5y.is_none() {
            says.push(say("ways.too_few").to_string());
        }
    }
    joined(&says)
}

/// Which option is acceptable first, or what to fix before.
fn preferred_words(report: &Report) -> Option<String> {
    let acceptable = WayTable::bundled().acceptable_5y;
    let water = report.water_above_probability.unwrap_or(0.0);
    if report.over_now {
        return Some(say("full.find_first").to_string());
    }
    Some(match report.preferred_way? {
        Way::Decline => say("ways.none_holds").to_string(),
        Way::FixOutside if walls_are_wet(report) => walls_first(report),
        way @ (Way::FixOutside | Way::FixDrain) => {
            let chance = chance_words(water);
            let mut says = vec![say_with(
                "ways.fix_first",
                &[("chance", &chance), ("way", way_name(way))],
            )];
            let left = report.ways.iter().find(|it| it.way == way);
            if let Some(left) = left
                .and_then(|it| it.chance_5y)
                .filter(|it| *it >= acceptable)
            {
                says.push(say_with(
                    "full.fix_leaves",
                    &[("chance", &chance_words(left))],
                ));
            }
            joined(&says)
        }
        way => {
            let hold: Vec<&str> = report
                .ways
                .iter()
                .filter(|it| is_acceptable(it))
                .map(|it| way_name(it.way))
                .collect();
            say_with(
                "ways.holds",
                &[("ways", &hold.join("; ")), ("way", way_name(way))],
            )
        }
    })
}

/// What to start with at walls that read wetter, and what that leaves.
fn walls_first(report: &Report) -> String {
    let left = |way: Way| report.ways.iter().find(|it| it.way == way)?.chance_5y;
    match (left(Way::FixOutside), left(Way::FixDrain)) {
        (Some(outside), Some(drain)) if drain < outside => say_with(
            "ways.walls_first",
            &[
                ("outside", &count_words(outside)),
                ("drain", &count_words(drain)),
            ],
        ),
        (outside, _) => say_with(
            "ways.walls_first_alone",
            &[("outside", &count_words(outside.unwrap_or(1.0)))],
        ),
    }
}

/// Whether an option's own chance is acceptable, and it is allowed and often done.
pub(super) fn is_acceptable(it: &WaySaid) -> bool {
    let table = WayTable::bundled();
    it.not_allowed.is_none()
        && it.makes_sense
        && it.not_put_down < table.rarely_put_down
        && it.chance_5y.is_some_and(|it| it < table.acceptable_5y)
}

fn options(blocks: &mut Vec<Block>, report: &Report) {
    if report.held || report.ways.is_empty() {
        return;
    }
    let rows = report
        .options()
        .map(|it| {
            let mut name = way_name(it.way).to_string();
            if it.way == report.quoted_way {
                name = say_with("chart.bond.quoted", &[("way", &name)]);
            }
            if let Some(why) = &it.not_allowed {
                name = say_with("full.not_allowed", &[("way", &name), ("why", why)]);
            }
            let wait = match it.wait_days {
                0 => "-".to_string(),
                days => days.to_string(),
            };
            let [one, two, five] = way_chances(it);
            RankedRow {
                numbers: vec![one, two, five, wait],
                name,
                more: way_words(report, it),
            }
        })
        .collect();
    heading(blocks, "written.ways");
    text(blocks, "written.ways.lead");
    blocks.push(Block::Ranked(ranked(
        "chart.bond.way",
        &[
            "written.ways.one",
            "written.ways.two",
            "written.ways.five",
            "written.ways.wait",
        ],
        rows,
    )));
    blocks.extend(preferred_words(report).map(Block::Text));
    text(blocks, "ways.reading");
}

fn ranked(name: &str, head: &[&str], rows: Vec<RankedRow>) -> Ranked {
    Ranked {
        name: say(name).to_string(),
        head: head.iter().map(|it| say(it).to_string()).collect(),
        rows,
    }
}

/// How long a step takes, in brackets; nothing for a question.
fn days_words(days: f64) -> String {
    match days.round() as u32 {
        0 => String::new(),
        1 => say("full.day").to_string(),
        days => say_with("full.days", &[("days", &days.to_string())]),
    }
}

fn next(blocks: &mut Vec<Block>, report: &Report) {
    if report.held {
        return;
    }
    heading(blocks, "written.next");
    // A brief report has not looked.
    let is_brief = report.score.is_none();
    if report.next.is_empty() {
        text(blocks, if is_brief { "next.brief" } else { "next.none" });
    } else {
        let rows = report
            .next
            .iter()
            .take(NEXT_SHOWN)
            .map(|it| RankedRow {
                numbers: vec![
                    short_chance(it.chance_of_changing_grade),
                    it.chance_of_changing_way
                        .map_or_else(|| "-".to_string(), short_chance),
                ],
                name: joined(&[it.text.as_str(), &days_words(it.days)]),
                more: String::new(),
            })
            .collect();
        text(blocks, "next.intro");
        blocks.push(Block::Ranked(ranked(
            "written.next.what",
            &["written.next.grade", "written.next.way"],
            rows,
        )));
    }
    blocks.push(Block::Text(match &report.come_back {
        Some(it) => say_with(
            "full.come_back",
            &[
                (
                    "when",
                    &month_of_in(Language::English, report.month_to_go().unwrap_or(it.from)),
                ),
                (
                    "wet",
                    &months_span(Language::English, it.wet_from, it.wet_to),
                ),
            ],
        ),
        None => say("next.no_season").to_string(),
    }));
    blocks.extend(second_reading_words(report).map(Block::Text));
}

/// What one more reading with the same meter is worth in the month to go back in, and in the one
/// that tells least.
pub(super) fn second_reading_words(report: &Report) -> Option<String> {
    let it = report.second_reading.as_ref()?;
    if report.basis != Basis::Reading || it.score_now < LEAST_OPEN || report.is_the_coating() {
        return None;
    }
    let (then, worst) = (it.month_to_go, it.worst_month);
    let count = |month: u32| count_words(it.settles_in(month));
    let key = if it.settles_in(then) < LITTLE_SETTLED {
        "full.second_reading.little"
    } else if it.settles_in(worst) < it.settles_in(then) {
        "full.second_reading"
    } else {
        "full.second_reading.alone"
    };
    Some(say_with(
        key,
        &[
            ("month", Language::English.month(then)),
            ("count", &count(then)),
            ("worst", Language::English.month(worst)),
            ("least", &count(worst)),
        ],
    ))
}

/// Expected Brier score under which nothing worth a reading is open: a chance of 2 in 100.
const LEAST_OPEN: f64 = 0.0196;

fn source(blocks: &mut Vec<Block>, report: &Report) {
    let items: Vec<String> = report
        .causes
        .iter()
        .filter(|it| it.probability >= WORTH_SAYING)
        .map(|it| {
            let cause = say(&format!("cause.{}", it.cause.word()));
            let chance = chance_words(it.probability);
            capital(&say_with(
                "full.cause",
                &[("chance", &chance), ("cause", cause)],
            ))
        })
        .collect();
    if items.is_empty() {
        return;
    }
    let goes_over = report.exceedance_probability.is_none_or(|it| it >= 0.05);
    // What it may be today stands at the head of such a floor; a second list with other shares
    // would only argue with it.
    let is_told = report.leads.over_today.is_some();
    let water = report.water_above_probability.filter(|_| !report.held);
    if is_told && water.is_none() {
        return;
    }
    heading(
        blocks,
        match (is_told, goes_over) {
            (true, _) => "cause.title_told",
            (false, true) => "cause.title",
            (false, false) => "cause.title_low",
        },
    );
    if !is_told {
        blocks.push(Block::Items(items));
        if walls_are_wet(report) && !report.held {
            text(blocks, "full.wet_walls");
        }
    }
    if let Some(water) = water {
        blocks.push(Block::Text(say_with(
            "full.water_above",
            &[("chance", &chance_words(water))],
        )));
    }
}

/// Which zone is wet, and every reading with its place.
fn place_on_floor(blocks: &mut Vec<Block>, report: &Report, units: Units) {
    blocks.extend(charts::floor(report, units).map(Block::Figure));
    if report.readings.iter().any(|it| it.withdrawn) {
        text(blocks, "full.withdrawn");
    }
    let Some(it) = report.zones.as_ref().filter(|_| !report.held) else {
        return;
    };
    let spot = it.spot_name.as_deref().map_or_else(String::new, typed);
    let items: Vec<String> = [
        ("zones.whole", it.whole),
        ("zones.band", it.band),
        ("zones.spot", it.spot),
    ]
    .into_iter()
    .filter(|(_, share)| *share >= WORTH_SAYING)
    .map(|(key, share)| {
        let chance = chance_words(share);
        capital(&say_with(key, &[("chance", &chance), ("spot", &spot)]))
    })
    .collect();
    blocks.push(Block::Items(items));
    blocks.push(Block::Text(say_with(
        "zones.worst",
        &[("spots", &it.spots.to_string())],
    )));
}

/// Answers that are shown on each side.
const ANSWERS_SHOWN: usize = 6;

/// Two short lists: by what each answer moves where that was looked at, else the answers alone.
fn for_and_against(blocks: &mut Vec<Block>, report: &Report) {
    if report.answers.is_empty() {
        for (key, all) in [
            ("full.for", &report.clues_for),
            ("full.against", &report.clues_against),
        ] {
            if !all.is_empty() {
                heading(blocks, key);
                let items = all
                    .iter()
                    .map(|it| clue_words(Language::English, report, *it))
                    .collect();
                blocks.push(Block::Items(items));
            }
        }
        return;
    }
    let mut answers: Vec<&AnswerSaid> = report
        .answers
        .iter()
        .filter(|it| (it.decibans * 10.0).round() != 0.0)
        .collect();
    answers.sort_by(|a, b| b.decibans.abs().total_cmp(&a.decibans.abs()));
    let (wetter, drier): (Vec<_>, Vec<_>) = answers.into_iter().partition(|it| it.decibans > 0.0);
    for (key, all) in [("full.for", wetter), ("full.against", drier)] {
        let rows: Vec<RankedRow> = all
            .into_iter()
            .take(ANSWERS_SHOWN)
            .map(|it| RankedRow {
                numbers: vec![format!("{:+.1}", it.decibans)],
                name: say_with(
                    "full.answer",
                    &[
                        ("question", say(&format!("question.{}", it.question))),
                        ("answer", &typed(&it.answer.replace('_', " "))),
                    ],
                ),
                more: String::new(),
            })
            .collect();
        if !rows.is_empty() {
            heading(blocks, key);
            blocks.push(Block::Ranked(ranked(
                "full.answer.alone",
                &["written.score.points"],
                rows,
            )));
        }
    }
    blocks.extend(explained_away(report).map(Block::Text));
    let edge = GradeTable::bundled().hard_to_weigh;
    let chance = report.exceedance_probability.unwrap_or(0.5);
    if !(edge..=1.0 - edge).contains(&chance) {
        text(blocks, "answers.at_the_end");
    }
}

/// Answers that tell of more water; one of them can still make the same reading less alarming.
const OF_MORE_WATER: [(&str, &str); 8] = [
    ("lot.position", "low"),
    ("lot.drainage", "failing"),
    ("lot.sub_drain", "failed"),
    ("lot.sump", "after_rain"),
    ("lot.sump", "most_days"),
    ("lot.standing_water_5y", "yes"),
    ("floor.below_grade", "yes"),
    ("floor.retarder", "absent"),
];

/// That an answer of more water explains the reading away, where that moves the grade: a
/// legitimate move, but nobody should make it without knowing.
fn explained_away(report: &Report) -> Option<String> {
    let chance = report
        .exceedance_probability
        .filter(|it| *it > 0.0 && *it < 1.0)?;
    let now = Grade::of_chance(chance);
    report
        .answers
        .iter()
        .filter(|it| OF_MORE_WATER.contains(&(it.question.as_str(), it.answer.as_str())))
        .filter_map(|it| {
            let tenfold = GradeTable::bundled().score_per_tenfold;
            let odds = chance / (1.0 - chance) * libm::pow(10.0, -it.decibans / tenfold);
            let without = Grade::of_chance(odds / (1.0 + odds));
            (without > now).then_some((it, without))
        })
        .min_by(|a, b| a.0.decibans.total_cmp(&b.0.decibans))
        .map(|(it, without)| {
            let answer = say_with(
                "full.answer",
                &[
                    ("question", say(&format!("question.{}", it.question))),
                    ("answer", &typed(&it.answer.replace('_', " "))),
                ],
            );
            say_with(
                "full.explained_away",
                &[
                    ("answer", &answer),
                    ("grade", grade_of(without)),
                    ("now", grade_of(now)),
                ],
            )
        })
}

fn grade_of(grade: Grade) -> &'static str {
    say(&format!("grade.{}", grade_key(grade)))
}

fn open_words(it: OpenPoint) -> &'static str {
    say(match it {
        OpenPoint::FewSpots => "open.few_spots",
        OpenPoint::NoReading => "open.no_reading",
        OpenPoint::DrainageTrouble => "open.drainage_trouble",
        OpenPoint::Darkening => "open.darkening",
        OpenPoint::ProvisionalLimit => "open.provisional_limit",
        OpenPoint::BandNearWalls => "open.band_near_walls",
        OpenPoint::CoreQuestionOpen => "open.core_question_open",
    })
}

fn open(blocks: &mut Vec<Block>, report: &Report) {
    if report.unknown.is_empty() && report.open_points.is_empty() {
        return;
    }
    heading(blocks, "written.open");
    let mut items: Vec<String> = report
        .open_points
        .iter()
        .map(|it| capital(open_words(*it)))
        .collect();
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

/// The score points; lines that move nothing are left out, and all lines still add up.
fn score(blocks: &mut Vec<Block>, report: &Report) {
    let Some(score) = &report.score else {
        return;
    };
    heading(blocks, "full.score");
    let rows = score
        .lines
        .iter()
        .filter(|it| it.line == "start" || it.points != 0)
        .map(|it| RankedRow {
            numbers: vec![if it.line == "start" {
                it.points.to_string()
            } else {
                format!("{:+}", it.points)
            }],
            name: say(&format!("line.{}", it.line)).to_string(),
            more: String::new(),
        })
        .chain([RankedRow {
            numbers: vec![score.total.to_string()],
            name: say("full.score.total").to_string(),
            more: String::new(),
        }])
        .collect();
    text(blocks, "term.points");
    blocks.push(Block::Ranked(ranked(
        "written.score.line",
        &["written.score.points"],
        rows,
    )));
}

fn careful(blocks: &mut Vec<Block>, report: &Report) {
    heading(blocks, "written.careful");
    let mut items = report.cautions.clone();
    items.push(say("refused.topics").to_string());
    blocks.push(Block::Items(items));
}

/// How many versions stand behind it, and how far out the reading lies.
fn versions_words(report: &Report) -> String {
    let versions = say_with(
        "full.versions",
        &[
            ("draws", &report.quality.draws.to_string()),
            (
                "effective",
                &format!("{:.0}", report.quality.effective_draws),
            ),
        ],
    );
    let far_out = report
        .quality
        .reading_p_value
        .filter(|_| !report.held)
        .map(|it| {
            if it < 0.01 {
                say("full.far_out.few").to_string()
            } else {
                let count = format!("{:.0}", (100.0 * it).min(99.0));
                say_with("full.far_out", &[("count", &count)])
            }
        });
    joined(&[versions, far_out.unwrap_or_default()])
}

fn method(blocks: &mut Vec<Block>, report: &Report, units: Units) {
    heading(blocks, "written.method");
    let mut small = Vec::new();
    if !report.refused {
        small.push(joined(&[say("term.spread"), &versions_words(report)]));
        let quality = &report.quality;
        small.extend(quality.sensitivity.iter().map(|it| {
            capital(&say_with(
                "full.sensitivity",
                &[
                    ("what", say(&format!("sensitivity.{}", it.id))),
                    ("chance", &chance_words(it.exceedance_probability)),
                ],
            ))
        }));
        small.extend(quality.warnings.iter().map(|it| capital(it)));
        small.extend(report.place.warnings.iter().cloned());
    }
    small.extend(report.notes.iter().map(|it| typed(it)));
    if !report.refused {
        let terms = ["likely", "percent", "retarder", "bond", "tests"];
        let terms: Vec<&str> = terms.iter().map(|it| say(&format!("term.{it}"))).collect();
        small.push(joined(&terms));
    }
    small.push(say_with(
        "full.climate",
        &[
            ("station", &report.place.name),
            ("away", &far(report.place.distance_km, units)),
            ("normals", &report.place.normals),
            ("stations", &report.place.stations_used.join(", ")),
        ],
    ));
    small.push(say("written.sources").to_string());
    small.push(say_with(
        "full.made_by",
        &[
            ("model", &report.model),
            ("tables", &report.tables),
            ("visit", &report.input_digest),
        ],
    ));
    blocks.extend(small.into_iter().map(Block::Small));
}
