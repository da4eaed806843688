//! The report: its JSON against its own schema and the fields promised, its sentences against
//! their table, its text in narrow and wide columns, and what it must never say.

use crate::floors::{FEW, root, unwrapped};
use slabseason::climate::{Place, find_place};
use slabseason::report::{
    self, Asked, Extent, FIRST_SCREEN_LINES, Report, Units, day_words, limit_words,
};
use slabseason::survey::{AnsweredBy, Visit, parse_visit, place_query};
use slabseason::verdict::{CoreQuestion, Detail, QUESTIONS, conclude_with};
use slabseason::words::{self, chance_words, say};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// Columns that the text is laid out in: a narrow phone, a wide one, a terminal.
const WIDTHS: [usize; 3] = [40, 60, 80];

fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    fn walk(folder: &Path, ending: &str, res: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, ending, res);
            } else if path.extension().is_some_and(|it| it == ending) {
                res.push(path);
            }
        }
    }
    let mut res = Vec::new();
    walk(&root().join(folder), ending, &mut res);
    res.sort();
    res
}

fn place_of(visit: &Visit) -> Option<Place> {
    find_place(&place_query(&visit.place)).ok()
}

fn report_of(visit: &Visit, place: &Place, notes: &[String]) -> Report {
    let (verdict, _) = conclude_with(place, visit, Detail::Everything, FEW);
    report::build(
        &Asked {
            visit,
            place,
            notes,
        },
        &verdict,
    )
}

fn report_of_text(text: &str) -> Report {
    let parsed = parse_visit(text, "test").unwrap_or_else(|errors| panic!("{errors}"));
    let place = place_of(&parsed.visit).unwrap();
    report_of(&parsed.visit, &place, &parsed.notes)
}

struct Shown {
    name: String,
    visit: Visit,
    report: Report,
}

/// Every example that has a place in the table, with its report.
static SHOWN: LazyLock<Vec<Shown>> = LazyLock::new(|| {
    files("examples/visits", "toml")
        .into_iter()
        .filter_map(|path| {
            let name = path.file_stem().unwrap().to_string_lossy().to_string();
            let text = std::fs::read_to_string(&path).unwrap();
            let parsed = parse_visit(&text, &name).unwrap_or_else(|errors| panic!("{errors}"));
            let place = place_of(&parsed.visit)?;
            let report = report_of(&parsed.visit, &place, &parsed.notes);
            Some(Shown {
                name,
                visit: parsed.visit,
                report,
            })
        })
        .collect()
});

fn shown(name: &str) -> &'static Shown {
    SHOWN
        .iter()
        .find(|it| it.name == name)
        .unwrap_or_else(|| panic!("examples/visits/{name}.toml"))
}

/// The whole document in every width and unit.
fn texts(report: &Report) -> Vec<(usize, String)> {
    texts_of(report, Extent::Full)
}

fn texts_of(report: &Report, extent: Extent) -> Vec<(usize, String)> {
    WIDTHS
        .iter()
        .flat_map(|width| {
            [Units::Us, Units::Si]
                .map(|units| (*width, report::text(report, units, *width, extent)))
        })
        .collect()
}

/// The whole document in a terminal, with its lines run together.
fn said_of(report: &Report) -> String {
    unwrapped(&report::text(report, Units::Us, 80, Extent::Full))
}

#[test]
fn every_example_says_that_it_is_invented() {
    let all = files("examples/visits", "toml");
    assert!(all.len() >= 20, "{}", all.len());
    for path in all {
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(
            text.starts_with("# Invented: no real house or person."),
            "{}",
            path.display()
        );
    }
}

/// The schema itself is held against the reports by a validator in `tests/browser/page.mjs`.
#[test]
fn what_is_written_of_every_example_is_what_is_read_back() {
    for it in SHOWN.iter() {
        let back: Report = serde_json::from_str(&it.report.to_json()).unwrap();
        assert_eq!(back, it.report, "{}", it.name);
    }
}

/// The fields of the contract. `next` and `ways` come with the comparison of ways forward and
/// are not asked for here.
#[test]
fn the_json_has_every_promised_field() {
    for it in SHOWN.iter() {
        let json: serde_json::Value = serde_json::from_str(&it.report.to_json()).unwrap();
        for field in [
            "schema",
            "model",
            "tables",
            "input_digest",
            "basis",
            "place",
            "grade",
            "grade_raised_by",
            "held",
            "provisional",
            "over_now",
            "gates",
            "before_reading",
            "exceedance_probability",
            "exceedance_5y",
            "score",
            "wettest_month",
            "wet_season",
            "next",
            "ways",
            "from_below_probability",
            "months",
            "causes",
            "answers",
            "quality",
            "cautions",
            "disclaimer",
        ] {
            assert!(json.get(field).is_some(), "{}: no {field}", it.name);
        }
        if it.report.refused {
            continue;
        }
        let has = |value: &serde_json::Value, fields: &[&str]| {
            for field in fields {
                assert!(
                    value.get(field).is_some(),
                    "{}: no {field} in {value}",
                    it.name
                );
            }
        };
        has(
            &json["place"],
            &[
                "station_id",
                "name",
                "distance_km",
                "elevation_difference_m",
            ],
        );
        if it.report.before_reading.is_some() {
            has(
                &json["before_reading"],
                &["exceedance_probability", "grade"],
            );
        }
        has(
            &json["quality"],
            &[
                "draws",
                "effective_draws",
                "k_hat",
                "reading_p_value",
                "sensitivity",
                "warnings",
            ],
        );
        let each = |field: &str, fields: &[&str]| {
            for row in json[field].as_array().unwrap() {
                has(row, fields);
            }
        };
        each("gates", &["id", "reason", "action", "retest_after"]);
        each("causes", &["cause", "probability"]);
        each("answers", &["question", "answer", "decibans"]);
        each(
            "months",
            &[
                "month",
                "reading_p10",
                "reading_p50",
                "reading_p90",
                "surface_humidity_p50",
                "wet_contact_mean",
            ],
        );
        if !json["score"].is_null() {
            has(&json["score"], &["total", "lines"]);
            for line in json["score"]["lines"].as_array().unwrap() {
                has(line, &["line", "points"]);
            }
        }
    }
}

#[test]
fn the_numbers_of_the_json_are_what_their_names_say() {
    for it in SHOWN.iter() {
        let report = &it.report;
        let name = &it.name;
        let fraction = |value: f64| (0.0..=1.0).contains(&value);
        // A refused floor carries no number to lean on.
        // Beside a reading that lies above what the answers explain, they are known to be wrong.
        let is_known_wrong = report.gates.iter().any(|it| it.id == "unexplained_high");
        assert_eq!(
            report.before_reading.is_none(),
            report.refused || is_known_wrong,
            "{name}"
        );
        if let Some(before) = &report.before_reading {
            assert!(fraction(before.exceedance_probability), "{name}");
        } else {
            continue;
        }
        assert!(fraction(report.from_below_probability), "{name}");
        if let (Some(one), Some(five)) = (report.exceedance_probability, report.exceedance_5y) {
            assert!(
                fraction(one) && one <= five && fraction(five),
                "{name}: {one} {five}"
            );
        }
        let shares: f64 = report.causes.iter().map(|it| it.probability).sum();
        // Seven shares, each rounded to four decimals.
        assert!((shares - 1.0).abs() < 0.0004, "{name}: {shares}");
        let numbers: Vec<u32> = report.months.iter().map(|it| it.month).collect();
        assert_eq!(numbers, (1..=12).collect::<Vec<u32>>(), "{name}");
        for month in &report.months {
            assert!(
                month.reading_p10 <= month.reading_p50 && month.reading_p50 <= month.reading_p90,
                "{name}: {month:?}"
            );
            assert!(
                fraction(month.surface_humidity_p50) && fraction(month.wet_contact_mean),
                "{name}: {month:?}"
            );
        }
        assert!(report.wet_season.contains(&report.wettest_month), "{name}");
        assert_eq!(
            report.held,
            report.grade.is_none(),
            "{name}: held is without a grade"
        );
        assert_eq!(
            report.held,
            report.exceedance_probability.is_none(),
            "{name}"
        );
        assert_eq!(report.held, report.exceedance_5y.is_none(), "{name}");
        assert_eq!(report.held, report.score.is_none(), "{name}");
        assert!(
            !report.held || !report.gates.is_empty(),
            "{name}: held without a reason"
        );
    }
}

#[test]
fn score_lines_add_up_and_keep_their_order() {
    let mut seen = 0;
    for it in SHOWN.iter() {
        let Some(score) = &it.report.score else {
            continue;
        };
        seen += 1;
        let sum: i32 = score.lines.iter().map(|it| it.points).sum();
        assert_eq!(sum, score.total, "{}", it.name);
        let order: Vec<&str> = score.lines.iter().map(|it| it.line.as_str()).collect();
        assert_eq!(
            order,
            [
                "start",
                "floor.year_built",
                "floor.retarder",
                "floor.below_grade",
                "lot.position",
                "signs.spring_darkening",
                "lot.drainage",
                "other_signs",
                "reading",
                "together",
            ],
            "{}",
            it.name
        );
        // The score is the chance in other words: 20 + 10 log10(odds), to half a point of
        // rounding and the fourth decimal of the chance, held to 1 in 100 at both ends.
        let chance = it.report.exceedance_probability.unwrap().clamp(0.01, 0.99);
        let expected = 20.0 + 10.0 * (chance / (1.0 - chance)).log10();
        assert!(
            (f64::from(score.total) - expected).abs() < 0.55,
            "{}: {} points, {expected} by hand",
            it.name,
            score.total
        );
    }
    assert!(seen >= 8, "only {seen} of the examples have a score");
}

/// String literals of a source text, with their escapes left as they are.
fn literals(text: &str) -> Vec<String> {
    let mut res = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['"', '\'', '/']) {
        let tail = &rest[at..];
        if tail.starts_with("//") {
            rest = tail.find('\n').map_or("", |end| &tail[end..]);
        } else if let Some(after) = tail.strip_prefix("'\"'") {
            rest = after;
        } else if tail.starts_with('"') {
            let mut end = 1;
            let bytes = tail.as_bytes();
            while end < bytes.len() && bytes[end] != b'"' {
                end += if bytes[end] == b'\\' { 2 } else { 1 };
            }
            res.push(tail[1..end.min(tail.len())].to_string());
            rest = tail.get(end + 1..).unwrap_or("");
        } else {
            rest = &tail[1..];
        }
    }
    res
}

fn sources() -> Vec<(PathBuf, String)> {
    files("src", "rs")
        .into_iter()
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            (path, text)
        })
        .collect()
}

fn keys() -> BTreeSet<&'static str> {
    words::all().into_iter().map(|(key, _)| key).collect()
}

/// The literals between two marks of a file.
fn literals_between(file: &str, from: &str, to: &str) -> Vec<String> {
    let text = std::fs::read_to_string(root().join(file)).unwrap();
    let start = text
        .find(from)
        .unwrap_or_else(|| panic!("{file} has no {from}"));
    let end = text[start..].find(to).map_or(text.len(), |it| start + it);
    literals(&text[start..end])
}

#[test]
fn every_key_that_the_code_can_ask_for_has_its_row() {
    let mut asked: BTreeSet<String> = BTreeSet::new();
    for question in QUESTIONS.iter() {
        asked.insert(format!("question.{}", question.id));
    }
    for core in CoreQuestion::ALL {
        asked.insert(format!("line.{}", core.question().id));
    }
    for line in ["start", "other_signs", "reading", "together"] {
        asked.insert(format!("line.{line}"));
    }
    let gates = literals_between("src/rules/mod.rs", "fn floor_gates", "#[cfg(test)]");
    assert!(gates.len() >= 14, "{gates:?}");
    for gate in gates.iter().map(String::as_str).chain([
        "unexplained_high",
        "unexplained_high_young",
        "unexplained_low",
        "still_drying",
    ]) {
        asked.insert(format!("gate.{gate}.reason"));
        asked.insert(format!("gate.{gate}.action"));
    }
    for refusal in [
        slabseason::rules::Refusal::Suspended,
        slabseason::rules::Refusal::Freezing,
        slabseason::rules::Refusal::ColdGarage,
        slabseason::rules::Refusal::StandingWater,
    ] {
        asked.insert(format!("refused.{}.reason", refusal.id()));
        asked.insert(format!("refused.{}.action", refusal.id()));
    }
    for cause in slabseason::verdict::Cause::ALL {
        asked.insert(format!("cause.{}", cause.word()));
    }
    for grade in ["low", "moderate", "high", "very_high"] {
        asked.insert(format!("grade.{grade}"));
        asked.insert(format!("grade.{grade}.phrase"));
    }
    let sensitivities = literals_between("src/verdict/mod.rs", "fn sensitivities", "\n}\n");
    assert!(sensitivities.len() >= 3, "{sensitivities:?}");
    for id in sensitivities {
        asked.insert(format!("sensitivity.{id}"));
    }
    // Keys that are written out, wherever a literal looks like a key of the table.
    let families: BTreeSet<&str> = keys()
        .into_iter()
        .filter_map(|key| key.split_once('.').map(|it| it.0))
        .collect();
    for (path, text) in sources() {
        // The door asks its own questions; its `say` is another one.
        if path.ends_with("src/words/chance.rs")
            || path.starts_with(root().join("src/cli"))
            || path.starts_with(root().join("src/survey"))
        {
            continue;
        }
        for literal in literals(&text) {
            let is_key = literal
                .bytes()
                .all(|it| it.is_ascii_lowercase() || matches!(it, b'_' | b'.'));
            let family = literal.split_once('.').map(|it| it.0);
            if is_key
                && !literal.ends_with(".csv")
                && family.is_some_and(|it| families.contains(it))
            {
                asked.insert(literal);
            }
        }
        for (at, _) in text
            .match_indices("say(")
            .chain(text.match_indices("say_with("))
        {
            let inside = text[at..].split_once('(').unwrap().1.trim_start();
            if let Some(tail) = inside.strip_prefix('"') {
                asked.insert(tail.split('"').next().unwrap().to_string());
            }
        }
    }
    let missing: Vec<&String> = asked.iter().filter(|it| !words::knows(it)).collect();
    assert!(missing.is_empty(), "tables/words.csv lacks {missing:?}");
}

/// Keys that the page's own files name: `"page.next"` in the script, `{{page.menu}}` in the page.
fn asked_by_the_page() -> Vec<String> {
    literals_of_the_page()
        .into_iter()
        .filter(|it| it.starts_with("page.") && !it.contains('{'))
        .collect()
}

/// Everything in quotes in the page's scripts, templates such as `page.company.{name}`, and the
/// blanks of the page itself.
fn literals_of_the_page() -> Vec<String> {
    let folder = root().join("src/web/page");
    let read = |path: std::path::PathBuf| std::fs::read_to_string(path).unwrap();
    let mut scripts: Vec<_> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|it| it.unwrap().path())
        .filter(|it| it.extension().is_some_and(|it| it == "js"))
        .collect();
    scripts.sort();
    let script: String = scripts.into_iter().map(read).collect();
    let page = read(folder.join("index.html"));
    let quoted = script.split('"').map(str::to_string);
    let templates = script
        .split('`')
        .filter(|it| it.starts_with("page."))
        .map(|it| it.replace("${", "{"));
    let blanks = page
        .split("{{")
        .skip(1)
        .filter_map(|it| it.split_once("}}").map(|it| it.0.to_string()));
    quoted.chain(templates).chain(blanks).collect()
}

#[test]
fn every_key_of_the_page_has_its_row() {
    let asked = asked_by_the_page();
    assert!(asked.len() > 50, "{asked:?}");
    let missing: Vec<&String> = asked.iter().filter(|it| !words::knows(it)).collect();
    assert!(missing.is_empty(), "tables/words.csv lacks {missing:?}");
}

/// Whether a key is `template` with each blank filled by something that is a literal too.
fn fits(key: &str, template: &str, all: &BTreeSet<String>) -> bool {
    // The sentences of a topic are numbered.
    if let (Some(template), Some((key, number))) =
        (template.strip_suffix(".{at}"), key.rsplit_once('.'))
    {
        return number.parse::<u32>().is_ok() && fits(key, template, all);
    }
    let Some((head, rest)) = template.split_once('{') else {
        return key == template;
    };
    let Some((_, tail)) = rest.split_once('}') else {
        return false;
    };
    head.contains('.')
        && key
            .strip_prefix(head)
            .and_then(|it| it.strip_suffix(tail))
            .is_some_and(|it| all.contains(it))
}

#[test]
fn no_sentence_is_unused() {
    let mut all: BTreeSet<String> = sources()
        .iter()
        .flat_map(|(_, text)| literals(text))
        .collect();
    all.extend(literals_of_the_page());
    for row in slabseason::web::quick_rows() {
        all.extend([row.screen.clone(), row.section.clone(), row.field.clone()]);
    }
    all.extend(QUESTIONS.iter().map(|it| it.id.to_string()));
    let unused: Vec<&str> = keys()
        .into_iter()
        .filter(|key| !all.iter().any(|template| fits(key, template, &all)))
        .collect();
    assert!(
        unused.is_empty(),
        "rows of tables/words.csv that nothing asks for: {unused:?}"
    );
}

#[test]
fn no_blank_is_left_open() {
    for it in SHOWN.iter() {
        for text in texts(&it.report)
            .into_iter()
            .map(|it| it.1)
            .chain([it.report.to_json()])
        {
            let open = text.split('{').skip(1).find(|it| {
                it.split_once('}')
                    .is_some_and(|(inside, _)| inside.bytes().all(|it| it.is_ascii_lowercase()))
            });
            assert!(open.is_none(), "{}: {{{}", it.name, open.unwrap());
        }
    }
}

/// A line may be longer only where it is one word that nothing can break.
#[test]
fn no_line_is_wider_than_its_columns() {
    let mut too_wide = BTreeSet::new();
    for it in SHOWN.iter() {
        for (width, text) in texts(&it.report) {
            for line in text.lines() {
                let wide = textwrap::core::display_width(line);
                if wide > width && line.split_whitespace().count() > 1 {
                    too_wide.insert(format!("at {width}: {wide} columns in {line:?}"));
                }
            }
        }
    }
    assert!(too_wide.is_empty(), "{too_wide:#?}");
}

#[test]
fn no_chance_is_spoken_as_never_or_always() {
    for thousandth in 0..=1000 {
        let words = chance_words(f64::from(thousandth) / 1000.0);
        assert!(!words.contains(" 0 in 100"), "{thousandth}: {words}");
        assert!(!words.contains("100 in 100"), "{thousandth}: {words}");
        assert!(!words.starts_with("0 in"), "{thousandth}: {words}");
    }
    let mut report = shown("low_lot_rochester").report.clone();
    let absolute = |report: &Report| {
        let said = said_of(report);
        [" 0 in 100", " 100 in 100", "about 0 ", "about 100 "]
            .into_iter()
            .find(|it| said.contains(it))
            .map(|it| format!("{it} in {said}"))
    };
    for chance in [0.0, 0.004, 0.5, 0.996, 1.0] {
        report.exceedance_probability = Some(chance);
        report.exceedance_5y = Some(chance);
        report.quality.reading_p_value = Some(chance);
        report.causes[0].probability = chance;
        assert_eq!(absolute(&report), None, "at {chance}");
    }
    for it in SHOWN.iter() {
        assert_eq!(absolute(&it.report), None, "{}", it.name);
    }
}

/// The words beside a grade must not be those of another grade's edge: 10, 30 and 60 in 100 are
/// where moderate, high and very high begin.
#[test]
fn the_spoken_chance_agrees_with_its_grade() {
    let table = slabseason::verdict::GradeTable::bundled();
    for edge in [table.low_below, table.moderate_below, table.high_below] {
        let (below, above) = (chance_words(edge - 0.001), chance_words(edge));
        assert_ne!(
            below, above,
            "just under {edge} is another grade than {edge}, and is said in the same words"
        );
    }
}

#[test]
fn every_report_ends_with_the_standing_sentence() {
    let sentence = say("disclaimer");
    // What it has to say, in whatever words.
    for part in [
        "not a test",
        "simulated floors",
        "measured floors",
        "ASTM",
        "data sheet",
        "local codes",
        "licensed",
    ] {
        assert!(sentence.contains(part), "{sentence} lacks {part}");
    }
    for it in SHOWN.iter() {
        for (width, text) in texts(&it.report) {
            assert!(
                unwrapped(&text)
                    .to_lowercase()
                    .contains(&sentence.to_lowercase()),
                "{} at {width}",
                it.name
            );
        }
        assert!(
            it.report
                .to_json()
                .to_lowercase()
                .contains(&sentence.to_lowercase())
        );
    }
}

#[test]
fn every_reading_is_printed_and_a_withdrawn_one_is_marked() {
    for it in SHOWN.iter() {
        assert_eq!(
            it.report.readings.len(),
            it.visit.readings.len(),
            "{}",
            it.name
        );
        for (width, text) in texts(&it.report) {
            let said = unwrapped(&text);
            for reading in &it.report.readings {
                let day = day_words(reading.date);
                assert!(said.contains(&day), "{} at {width}: no {day}", it.name);
            }
            let marked = said.matches(say("chart.floor.withdrawn")).count();
            let withdrawn = it.report.readings.iter().filter(|it| it.withdrawn).count();
            assert_eq!(marked, withdrawn, "{} at {width}", it.name);
        }
        // Each reading is a row of its own.
        let markdown = report::markdown(&it.report, Units::Us);
        for row in 1..=it.report.readings.len() {
            assert!(
                markdown.contains(&format!("\n| {row} | ")),
                "{}: {row}",
                it.name
            );
        }
    }
    let withdrawn = shown("seven_readings_one_withdrawn");
    assert_eq!(
        withdrawn
            .report
            .readings
            .iter()
            .filter(|it| it.withdrawn)
            .count(),
        1
    );
}

#[test]
fn who_gave_the_limit_is_said() {
    for it in SHOWN.iter() {
        let said = said_of(&it.report);
        assert!(
            said.contains(limit_words(&it.report.limit).split_once('(').unwrap().1),
            "{}",
            it.name
        );
        assert_eq!(
            it.report.provisional,
            it.visit.limit.meter_percent.is_none()
                && it.visit.limit.probe.is_none()
                && it.visit.limit.calcium_chloride_lb.is_none(),
            "{}",
            it.name
        );
    }
}

#[test]
fn open_questions_are_named_and_answered_ones_are_not() {
    for it in SHOWN.iter().filter(|it| !it.report.refused) {
        let answered: BTreeSet<&str> = it
            .report
            .answers
            .iter()
            .map(|it| it.question.as_str())
            .collect();
        let open: BTreeSet<&str> = it.report.unknown.iter().map(String::as_str).collect();
        assert!(answered.is_disjoint(&open), "{}", it.name);
        assert_eq!(
            answered.len() + open.len(),
            QUESTIONS.len(),
            "{}: a question is lost",
            it.name
        );
    }
}

/// A floor whose readings cannot be used was read all the same.
#[test]
fn a_held_reading_is_not_called_no_reading() {
    for it in SHOWN.iter().filter(|it| !it.visit.readings.is_empty()) {
        let said = said_of(&it.report);
        assert!(!said.contains("no reading was taken"), "{}", it.name);
    }
}

/// Walls are not compared with an open floor that nobody read.
#[test]
fn readings_at_the_walls_alone_compare_nothing() {
    let said = said_of(&shown("near_walls_only").report);
    assert!(!said.contains("higher along the walls"), "{said}");
    assert!(
        !said.contains("The grade is for the strip along the walls"),
        "{said}"
    );
}

/// A model that does not hold for a floor has no number for it, not even in the JSON.
#[test]
fn a_refused_floor_has_no_numbers_to_lean_on() {
    for name in [
        "suspended_floor",
        "standing_water_now",
        "garage_unheated_minneapolis",
    ] {
        let report = &shown(name).report;
        assert!(report.refused && report.held, "{name}");
        assert_eq!(report.gates.len(), 1, "{name}");
        let said = said_of(report);
        assert!(said.contains(say("refused.headline")), "{name}");
        assert!(!said.contains("in 100"), "{name}: {said}");
        assert!(
            said.contains(&say("written.careful").to_uppercase()),
            "{name}"
        );
    }
}

#[test]
fn a_hostile_label_is_only_text() {
    let visit = |label: &str| {
        format!(
            "visit_date = 2026-09-08\npostal = \"05401\"\nlabel = {label}\n[floor]\nsetting = \"basement\"\n"
        )
    };
    // Escape sequences, line breaks and marks that turn the reading direction do not get in.
    for refused in [
        r#""\u001b[31mred""#,
        r#""two\nlines""#,
        r#""a\tb""#,
        r#""nul\u0000""#,
        r#""bell\u0007""#,
        r#""c1\u009b31m""#,
        r#""turned\u202Etxt""#,
        r#""turned\u2066txt""#,
        r#""line\u2028break""#,
    ] {
        assert!(
            parse_visit(&visit(refused), "test").is_err(),
            "{refused} is read"
        );
    }
    let long = format!("\"{}\"", "x".repeat(200));
    let wide = format!("\"{}\"", "地下室".repeat(66));
    for label in [
        r#""<script>alert(1)</script><img src=x onerror=alert(1)>""#,
        r#""{label} {{days}} %s %n ${HOME} $(id) `id`""#,
        r#""'; DROP TABLE floors; -- \\ \" end""#,
        r#""=1+1|-@cmd""#,
        r#""RISK: LOW, fewer than 5 in 100""#,
        &long,
        &wide,
    ] {
        let report = report_of_text(&visit(label));
        let json: serde_json::Value = serde_json::from_str(&report.to_json()).unwrap();
        assert_eq!(
            json["label"].as_str(),
            report.label.as_deref(),
            "{label} comes back as it was given"
        );
        let without = report_of_text(&visit("\"plain\""));
        for ((width, text), (_, plain)) in texts(&report).into_iter().zip(texts(&without)) {
            for line in text.lines() {
                assert!(
                    textwrap::core::display_width(line) <= width
                        || line.split_whitespace().count() <= 1,
                    "{label} at {width}: {line:?}"
                );
            }
            // Below the lines that hold the label nothing has changed but the digest.
            let below = |text: &str| {
                let start = text.find(&say("written.now").to_uppercase()).unwrap();
                let end = text.rfind("slabseason ").unwrap();
                text[start..end].to_string()
            };
            assert_eq!(below(&text), below(&plain), "{label} at {width}");
        }
    }
}

#[test]
fn the_same_visit_gives_the_same_bytes() {
    let it = shown("level_unknown_burlington");
    let again = report_of(&it.visit, &place_of(&it.visit).unwrap(), &it.report.notes);
    assert_eq!(again.to_json(), it.report.to_json());
}

/// The first screen of every example fits a terminal of 80 columns and 24 lines, says the risk,
/// the standing sentence and, where there is one, a sentence to read aloud.
#[test]
fn the_first_screen_fits_a_terminal() {
    for it in SHOWN.iter() {
        let text = report::text(&it.report, Units::Us, 80, Extent::First);
        let lines: Vec<&str> = text.lines().collect();
        assert!(
            lines.len() <= FIRST_SCREEN_LINES,
            "{}: {} lines\n{text}",
            it.name,
            lines.len()
        );
        for line in &lines {
            assert!(
                textwrap::core::display_width(line) <= 80,
                "{}: {line}",
                it.name
            );
        }
        let said = unwrapped(&text);
        assert!(said.contains(&report::headline_words(&it.report)), "{text}");
        assert!(said.contains(say("disclaimer.short")), "{text}");
        let has_customer = said.contains(&say("first.customer").to_uppercase());
        let is_home = it.visit.answered_by == Some(AnsweredBy::Homeowner);
        assert_eq!(has_customer, !it.report.refused && !is_home, "{text}");
    }
}

/// What leads the text leads Markdown and HTML too: the same blocks in the same order.
#[test]
fn the_first_screen_leads_every_layout() {
    for it in SHOWN.iter() {
        let first = report::document(&it.report, Units::Us, Extent::First);
        let full = report::document(&it.report, Units::Us, Extent::Full);
        let leads = first.blocks.len() - 1;
        assert_eq!(first.blocks[..leads], full.blocks[..leads], "{}", it.name);
        let headline = report::headline_words(&it.report);
        for text in [
            report::html(&it.report, Units::Us),
            report::markdown(&it.report, Units::Us),
        ] {
            assert!(text.contains(&headline), "{}: {headline}", it.name);
        }
        // The page gets them as values with a tag.
        let blocks = serde_json::to_value(&first.blocks).unwrap();
        for block in blocks.as_array().unwrap() {
            assert!(
                block["block"].is_string() && !block["of"].is_null(),
                "{block}"
            );
        }
    }
}

/// Sentences stand in the table: no literal of `report` or `lessons` has a blank between words.
/// What remains is markup, separators, names of classes, and what a file holds.
#[test]
fn no_sentence_stands_in_the_code() {
    let mut found = Vec::new();
    for (path, text) in sources() {
        let folder = path.strip_prefix(root().join("src")).unwrap();
        if !(folder.starts_with("report") || folder.starts_with("lessons")) {
            continue;
        }
        let code = text.split("#[cfg(test)]").next().unwrap();
        let mut is_error = false;
        for (at, line) in code.lines().enumerate() {
            let line = line.trim();
            // Reasons for whoever reads the code, and errors of a command line.
            if line.starts_with("//") || line.contains("expect(") {
                continue;
            }
            // An error of a library is told in the words of its type.
            is_error |= line.starts_with("#[error");
            if is_error {
                is_error = !line.ends_with(")]");
                continue;
            }
            for literal in literals(line) {
                if is_a_sentence(&literal) {
                    found.push(format!("{}:{}: {literal}", folder.display(), at + 1));
                }
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

/// Two words or more in a row outside of markup and blanks to fill in.
fn is_a_sentence(literal: &str) -> bool {
    let is_markup = literal.contains('<') || literal.contains("=\\\"") || literal.contains("\\n");
    let is_class = [
        "paper report",
        "label halo",
        "number strong",
        "likely tried",
        " (such as",
    ]
    .contains(&literal);
    if is_markup || is_class {
        return false;
    }
    let mut plain = String::new();
    let mut depth = 0;
    for it in literal.chars() {
        match it {
            '{' => depth += 1,
            '}' => depth -= 1,
            it if depth == 0 => plain.push(it),
            _ => {}
        }
    }
    let words = plain
        .split_whitespace()
        .filter(|it| it.chars().filter(|it| it.is_alphabetic()).count() >= 2)
        .count();
    words >= 2 || (words == 1 && plain.trim().contains(' '))
}

/// An answer of more water that makes the same reading less alarming is named where it moves the
/// grade, and only there. By hand: 0.28 is odds of 0.389; 3 score points back are 0.776, a
/// chance of 0.44, which is HIGH; 0.1 points back are 0.28 again.
#[test]
fn an_answer_that_explains_the_reading_away_is_named() {
    let mut report = shown("low_lot_rochester").report.clone();
    report.exceedance_probability = Some(0.28);
    for (decibans, is_named) in [(-3.0, true), (-0.1, false), (3.0, false)] {
        report.answers = vec![report::AnswerSaid {
            question: "lot.position".to_string(),
            answer: "low".to_string(),
            decibans,
        }];
        let text = unwrapped(&report::text(&report, Units::Us, 80, Extent::Full));
        let is_said = text.contains("makes this reading less alarming");
        assert_eq!(is_said, is_named, "{decibans}");
        if is_named {
            assert!(text.contains("graded HIGH, not MODERATE"), "{text}");
        }
    }
}

/// What a return visit is worth stands on the first screen where something is open, and what
/// the reading alone says where it is held as too high.
#[test]
fn the_first_screen_says_what_a_return_visit_is_worth() {
    let first = |name: &str| {
        unwrapped(&report::text(
            &shown(name).report,
            Units::Us,
            80,
            Extent::First,
        ))
    };
    let worth = "of 100 floors like this one; a quote today settles none";
    assert!(first("level_unknown_burlington").contains(worth));
    assert!(!first("dry_denver").contains("settles"));
    let held = first("unexplained_denver");
    assert!(
        held.contains("By the reading alone, most floors like this"),
        "{held}"
    );
    // A floor that nobody has read has no reading to leave out.
    let unread = first("new_slab_poured_three_days_ago");
    assert!(
        unread.contains("NO GRADE YET") && !unread.contains("today's reading"),
        "{unread}"
    );
}
