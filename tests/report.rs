//! The report: its contract, its words, and that nothing is said that must not be.

use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::posterior::{Ahead, Effort};
use slabseason::report::{Asked, Report, Units, build, text};
use slabseason::survey::{PlaceName, parse_visit};
use slabseason::verdict::ways::Way;
use slabseason::verdict::{Cause, QUESTIONS, Request, answer};
use slabseason::words::{all, knows};
use std::path::Path;

const VISITS: [&str; 8] = [
    "low_lot_rochester",
    "new_drained_burlington",
    "level_unknown_burlington",
    "unexplained_denver",
    "homeowner_no_reading",
    "just_washed",
    "probe_and_dome",
    "seven_readings_one_withdrawn",
];

fn report(name: &str) -> Report {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("examples/visits/{name}.toml"));
    let parsed = parse_visit(&std::fs::read_to_string(path).unwrap(), name).unwrap();
    let query = match &parsed.visit.place {
        PlaceName::Postal(it) => PlaceQuery::parse(it).unwrap(),
        PlaceName::Station(it) => PlaceQuery::Station(it.clone()),
        PlaceName::Position {
            latitude,
            longitude,
            elevation,
        } => PlaceQuery::Position {
            latitude_deg: *latitude,
            longitude_deg: *longitude,
            elevation_m: elevation.map(|it| it.get()),
        },
    };
    let place = find_place(&query).unwrap();
    let effort = Effort {
        round: 256,
        most: 256,
        enough: 0.0,
        ahead: Ahead::FiveYears,
    };
    let verdict = answer(
        &place,
        &parsed.visit,
        Request {
            effort,
            ..Request::default()
        },
    )
    .0;
    build(
        &Asked {
            visit: &parsed.visit,
            place: &place,
            notes: &parsed.notes,
        },
        &verdict,
    )
}

#[test]
fn json_keeps_its_contract() {
    let schema = Report::json_schema();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for name in VISITS {
        let report = report(name);
        let json: serde_json::Value = serde_json::from_str(&report.to_json()).unwrap();
        let problems: Vec<String> = validator
            .iter_errors(&json)
            .map(|it| it.to_string())
            .collect();
        assert!(problems.is_empty(), "{name}: {problems:?}");
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
            "from_below_probability",
            "months",
            "causes",
            "answers",
            "next",
            "ways",
            "quality",
            "cautions",
            "disclaimer",
        ] {
            assert!(json.get(field).is_some(), "{name} has no {field}");
        }
        assert_eq!(json["months"].as_array().unwrap().len(), 12);
        assert_eq!(
            serde_json::from_value::<Report>(json).unwrap(),
            report,
            "{name}: there and back"
        );
        if report.held {
            assert!(
                report.grade.is_none()
                    && report.exceedance_probability.is_none()
                    && report.score.is_none()
            );
            assert!(!report.gates.is_empty(), "{name}");
        } else {
            let score = report.score.unwrap();
            assert_eq!(
                score.lines.iter().map(|it| it.points).sum::<i32>(),
                score.total,
                "{name}"
            );
        }
    }
    // A broken report does not validate.
    let mut broken: serde_json::Value =
        serde_json::from_str(&report("just_washed").to_json()).unwrap();
    broken["months"] = serde_json::json!("none");
    assert!(!validator.is_valid(&broken));
}

#[test]
fn texts_fit_and_say_no_certainty() {
    for name in VISITS {
        let report = report(name);
        for width in [60, 80] {
            let text = text(&report, Units::Us, width);
            for line in text.lines() {
                let bare_table = line.contains("--") || line.contains('|');
                assert!(
                    line.chars().count() <= width || (width < 80 && bare_table),
                    "{name}, {width}: {line}"
                );
            }
            for never in [" 0 in 20", "20 in 20 that", "passes", "safe to coat"] {
                assert!(!text.contains(never), "{name}: {never}");
            }
            let words: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(words.contains(&report.disclaimer), "{name}: the disclaimer");
            for reading in &report.readings {
                assert!(
                    words.contains(&reading.value),
                    "{name}: {} is not printed",
                    reading.value
                );
            }
            if report.readings.iter().any(|it| it.withdrawn) {
                assert!(words.contains("withdrawn"), "{name}");
            }
        }
    }
}

/// All source text of the library.
fn sources() -> String {
    fn walk(folder: &Path, out: &mut String) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, out);
            } else if path.extension().is_some_and(|it| it == "rs") {
                out.push_str(&std::fs::read_to_string(path).unwrap());
            }
        }
    }
    let mut out = String::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut out);
    out
}

#[test]
fn every_sentence_that_is_asked_for_is_there() {
    let mut wanted: Vec<String> = QUESTIONS
        .iter()
        .map(|it| format!("question.{}", it.id))
        .collect();
    wanted.extend(
        QUESTIONS
            .iter()
            .filter(|it| it.core.is_some())
            .map(|it| format!("line.{}", it.id)),
    );
    wanted.extend(["start", "other_signs", "reading", "together"].map(|it| format!("line.{it}")));
    for way in Way::ALL {
        wanted.extend(["way", "why", "way.limit"].map(|it| format!("{it}.{}", way.word())));
    }
    wanted.extend(Cause::ALL.map(|it| format!("cause.{}", it.word())));
    for grade in ["low", "moderate", "high", "very_high"] {
        wanted.extend([format!("grade.{grade}"), format!("grade.{grade}.phrase")]);
    }
    let rules = include_str!("../src/rules/mod.rs");
    let mut gates = 0;
    for id in rules
        .split("add(")
        .skip(1)
        .filter_map(|it| it.split('"').nth(1))
    {
        wanted.extend([format!("gate.{id}.reason"), format!("gate.{id}.action")]);
        gates += 1;
    }
    assert!(gates >= 12, "{gates}");
    for id in ["unexplained_high", "unexplained_low"] {
        wanted.extend([format!("gate.{id}.reason"), format!("gate.{id}.action")]);
    }
    for key in &wanted {
        assert!(knows(key), "tables/words.csv has no row {key}");
    }
    let sources = sources();
    for (key, _) in all() {
        // A key is used as it stands, or made from a prefix such as `say(&format!("gate.{id}...`.
        let made = key
            .match_indices('.')
            .any(|(at, _)| sources.contains(&format!("\"{}.{{", &key[..at])));
        assert!(
            sources.contains(&format!("\"{key}\"")) || made,
            "nothing says {key}"
        );
    }
}

/// Syllables of a word by its groups of vowels, less a silent e.
fn syllables(word: &str) -> usize {
    let word: String = word
        .to_lowercase()
        .chars()
        .filter(|it| it.is_alphabetic())
        .collect();
    let mut count = 0;
    let mut before = false;
    for letter in word.chars() {
        let vowel = "aeiouy".contains(letter);
        count += usize::from(vowel && !before);
        before = vowel;
    }
    if word.ends_with('e') && !word.ends_with("le") && count > 1 {
        count -= 1;
    }
    count.max(1)
}

/// Flesch-Kincaid grade. Source: Kincaid 1975, 0.39 words a sentence + 11.8 syllables a word - 15.59.
fn reading_grade(text: &str) -> f64 {
    let sentences = text
        .split(['.', ':', ';', '?', '!'])
        .filter(|it| it.trim().len() > 1)
        .count()
        .max(1);
    let words: Vec<&str> = text
        .split_whitespace()
        .filter(|it| it.chars().any(char::is_alphabetic))
        .collect();
    let all: usize = words.iter().map(|it| syllables(it)).sum();
    0.39 * words.len() as f64 / sentences as f64 + 11.8 * all as f64 / words.len() as f64 - 15.59
}

/// Goal: 8th grade or lower for what homeowners see, taken together.
#[test]
fn plain_words() {
    // Source: hand calculation, one sentence of five words and five syllables: 1.95 + 11.8 - 15.59.
    assert!((reading_grade("The slab is wet now.") - -1.84).abs() < 1e-9);
    let seen = [
        "do.", "gate.", "cause.", "why.", "next.", "raised.", "open.", "zones.",
    ];
    let rows: Vec<(&str, &str)> = all()
        .into_iter()
        .filter(|(key, _)| seen.iter().any(|it| key.starts_with(it)))
        .collect();
    let together: String = rows
        .iter()
        .map(|it| format!("{}. ", it.1.trim_end_matches('.')))
        .collect();
    let grade = reading_grade(&together);
    let mut each: Vec<(f64, &str)> = rows.iter().map(|it| (reading_grade(it.1), it.0)).collect();
    each.sort_by(|a, b| b.0.total_cmp(&a.0));
    println!("together {grade:.1}; hardest {:?}", &each[..5]);
    assert!(grade <= 8.0, "{grade}");
}
