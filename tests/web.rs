//! The page's door: what is asked in JSON and what comes back.

use proptest::prelude::*;
use serde_json::{Value, json};
use slabseason::survey::{
    Draft, Raw, ReadingValue, TypedUnit, field, get_field, interview::questions, parse_visit,
    set_field, typed_units, with_unit,
};
use slabseason::web::respond;

fn ask(request: Value) -> Value {
    serde_json::from_str(&respond(&request.to_string())).unwrap()
}

fn talk(kept: &Value, units: &str, act: Value) -> Value {
    let request =
        json!({ "ask": "talk", "kept": kept, "units": units, "today": "2026-09-08", "act": act });
    let answer = ask(request);
    assert!(answer["error"].is_null(), "{answer}");
    answer
}

/// A visit on the device with these answers.
fn kept(typed: &[(&str, &str)]) -> Value {
    let typed: std::collections::BTreeMap<_, _> = typed.iter().copied().collect();
    json!({ "typed": typed })
}

const LITTLE: [(&str, &str); 4] = [
    ("answered_by", "estimator"),
    ("visit_date", "2026-09-08"),
    ("postal", "05401"),
    ("floor.setting", "basement"),
];

#[test]
fn a_visit_in_and_a_report_out() {
    let visit = include_str!("../examples/visits/level_unknown_burlington.toml");
    let answer = ask(json!({ "ask": "screen", "visit": visit, "quick": true }));
    assert_eq!(answer["report"]["place"]["station_id"], "USW00014742");
    assert!(answer["text"].as_str().unwrap().contains("RISK"));
}

/// The whole result goes on from the floors of the first answer, and a first answer from those of a
/// whole result of the same visit. Neither may show it, and another visit has floors of its own.
#[test]
fn what_was_asked_before_changes_no_digit() {
    let result = |kept: &Value, effort: &str| {
        respond(
            &json!({ "ask": "result", "kept": kept, "units": "us", "effort": effort, "what_if": null })
                .to_string(),
        )
    };
    let [one, other] = ["1958", "1995"].map(|year| {
        let mut said = LITTLE.to_vec();
        said.extend([("floor.year_built", year), ("lot.position", "low")]);
        kept(&said)
    });
    let alone = |kept: &Value, effort: &'static str| {
        let kept = kept.clone();
        // A thread of its own has been asked nothing.
        std::thread::spawn(move || result(&kept, effort))
            .join()
            .unwrap()
    };
    for (kept, effort) in [
        (&one, "quick"),
        (&one, "whole"),
        (&one, "quick"),
        (&other, "whole"),
        (&other, "whole"),
        (&one, "whole"),
    ] {
        let told = result(kept, effort);
        assert!(told.contains("exceedance_probability"), "{told}");
        assert!(told == alone(kept, effort), "{effort} of {kept}");
    }
}

/// A statement sealed on the page said nothing of the system quoted, which was the headline.
#[test]
fn a_statement_leads_with_the_risk_that_the_card_leads_with() {
    let text = include_str!("../examples/visits/level_unknown_burlington.toml");
    let loaded = ask(json!({ "ask": "load", "name": "made.toml", "text": text }));
    let said = |quote: Value| {
        let state = json!({
            "ask": "state", "kept": loaded["kept"], "quote": quote, "on": "2026-09-08"
        });
        let sealed = ask(state)["sealed"].clone();
        let lines = json!([sealed]);
        let said = ask(json!({ "ask": "said", "kept": loaded["kept"], "lines": lines }));
        said["said"][0]["says"].as_str().unwrap().to_string()
    };
    for quote in [Value::Null, json!("film_now")] {
        let says = said(quote);
        assert!(says.starts_with("HIGH if coated now: about"), "{says}");
        assert!(says.contains("Bare floor, LOW"), "{says}");
    }
    let bare = said(json!("leave_bare"));
    assert!(!bare.contains("if coated"), "{bare}");
}

/// The card said HIGH for the coated floor, and the array beside it showed 5 bare floors of 100.
#[test]
fn what_stands_beside_the_risk_word_is_what_it_speaks_of() {
    let card = |name: &str, quote: Value| {
        let path = crate::floors::root().join("examples/visits").join(name);
        let text = std::fs::read_to_string(path).unwrap();
        let loaded = ask(json!({ "ask": "load", "name": "made.toml", "text": text }));
        let asked = json!({
            "ask": "result", "kept": loaded["kept"], "units": "us", "effort": "whole",
            "quote": quote, "what_if": null
        });
        ask(asked)["card"].clone()
    };
    let coated = card("level_unknown_burlington.toml", Value::Null);
    assert_eq!(coated["word"], "HIGH");
    assert_eq!(coated["lead"]["short"], "40");
    assert_eq!(coated["second"]["short"], coated["bare"]["short"]);
    let tested = card("level_unknown_burlington.toml", json!("film_after_test"));
    let says = tested["lead"]["says"].as_str().unwrap();
    assert!(says.starts_with("of 100 floors that get coated"), "{says}");
    // Where the word speaks of the floor as it is, so does the array.
    let over = card("over_the_limit_cleveland.toml", Value::Null);
    assert_eq!(over["lead"], over["bare"]);
    assert_eq!(over["second"], over["quoted"]);
    let home = card("homeowner_no_reading.toml", Value::Null);
    assert_eq!(home["lead"], home["bare"]);
}

/// A floor over its limit was sealed as "VERY HIGH if coated now", where its card says that it is
/// over the limit today.
#[test]
fn a_statement_of_a_floor_over_its_limit_says_so_first() {
    let text = include_str!("../examples/visits/over_the_limit_cleveland.toml");
    let loaded = ask(json!({ "ask": "load", "name": "made.toml", "text": text }));
    let state = json!({
        "ask": "state", "kept": loaded["kept"], "quote": Value::Null, "on": "2026-09-08"
    });
    let sealed = ask(state)["sealed"].clone();
    let lines = json!([sealed]);
    let said = ask(json!({ "ask": "said", "kept": loaded["kept"], "lines": lines }));
    let says = said["said"][0]["says"].as_str().unwrap();
    assert!(
        says.starts_with("OVER THE LIMIT TODAY. VERY HIGH if coated now: "),
        "{says}"
    );
}

/// A line of readings is read on the page as in the terminal, in the question and in the rows of
/// the quick pass, where all but the first of it were lost.
#[test]
fn readings_in_one_line_are_three_readings() {
    let line = "3.9 middle 10, 4.2 south 3, 3.6 stairs 8";
    let mut said = LITTLE.to_vec();
    said.extend([
        ("reading.first", "yes"),
        ("reading.1.kind", "meter"),
        ("reading.1.scale", "percent"),
    ]);
    let path = "reading.1.value";
    let there = talk(&kept(&said), "us", json!({ "do": "go", "path": path }));
    let asked = talk(
        &there["kept"],
        "us",
        json!({ "do": "answer", "text": line }),
    );
    let row = |value: &str| json!({ "reading.1.kind": "meter", "reading.1.scale": "percent", "reading.1.value": value });
    let rows = ask(json!({
        "ask": "quick", "kept": kept(&LITTLE), "units": "us", "today": "2026-09-08", "set": row(line)
    }));
    for kept in [&asked["kept"], &rows["kept"]] {
        let file = ask(json!({ "ask": "save", "kept": kept }));
        let text = file["text"].as_str().unwrap();
        let visit = parse_visit(text, "made.toml").unwrap().visit;
        let values: Vec<_> = visit.readings.iter().map(|it| it.value).collect();
        assert_eq!(values, [3.9, 4.2, 3.6].map(ReadingValue::Meter), "{text}");
        let last = &visit.readings[2];
        assert_eq!(last.spot.as_deref(), Some("stairs"));
        assert!((last.wall_distance_m().unwrap() - 8.0 * 0.3048).abs() < 1e-6);
    }
}

#[test]
fn wrong_requests_are_answered() {
    for request in [
        "",
        "{}",
        "[1]",
        "{\"ask\":\"price\"}",
        "{\"ask\":\"screen\",\"visit\":\"\"}",
        "{\"ask\":\"save\",\"kept\":{\"file\":\"[\"}}",
        "{\"ask\":\"save\",\"kept\":{\"bananas\":1}}",
        "{\"ask\":\"load\",\"name\":\"made.toml\",\"text\":\"[floor]\\nbananas = 3\\n\"}",
        "{\"ask\":\"result\",\"kept\":{},\"units\":\"us\",\"effort\":\"quick\",\"what_if\":null}",
    ] {
        let answer: Value = serde_json::from_str(&respond(request)).unwrap();
        assert!(answer["error"].is_string(), "{request}: {answer}");
    }
}

#[test]
fn an_answer_is_taken_and_the_next_question_comes() {
    let first = talk(&json!({}), "us", json!({ "do": "show" }));
    assert_eq!(first["view"]["path"], "answered_by");
    let next = talk(
        &first["kept"],
        "us",
        json!({ "do": "answer", "text": "homeowner" }),
    );
    assert_eq!(next["view"]["path"], "visit_date");
    assert_eq!(next["view"]["typed"], "2026-09-08");
    assert_eq!(next["view"]["words"], "What is today's date?");
    let back = talk(&next["kept"], "us", json!({ "do": "back" }));
    assert_eq!(back["view"]["path"], "answered_by");
    assert_eq!(back["view"]["choices"][1]["chosen"], true);
}

/// "today" means another day tomorrow, so the day itself is kept.
#[test]
fn a_day_is_kept_as_the_day_it_was() {
    let at_the_day = kept(&LITTLE[..1]);
    let next = talk(
        &at_the_day,
        "us",
        json!({ "do": "answer", "text": "today" }),
    );
    assert_eq!(next["kept"]["typed"]["visit_date"], "2026-09-08");
}

#[test]
fn what_is_not_taken_changes_nothing_and_says_what_to_do() {
    let before = kept(&LITTLE[..2]);
    for text in ["", "here", "00000"] {
        let after = talk(&before, "us", json!({ "do": "answer", "text": text }));
        assert_eq!(after["kept"]["typed"], before["typed"]);
        assert_eq!(after["view"]["path"], "postal");
        let error = after["view"]["error"].as_str().unwrap();
        assert!(error.contains("a ZIP or postal code"), "{error}");
    }
}

/// Source: by definition, 8 ft is 2.4384 m, and 8 m is 8 m.
#[test]
fn a_bare_number_takes_the_unit_beside_its_box() {
    let mut said = LITTLE.to_vec();
    said.extend([
        ("reading.first", "yes"),
        ("reading.1.kind", "meter"),
        ("reading.1.scale", "percent"),
        ("reading.1.value", "3.4"),
    ]);
    for (units, typed, saved) in [("us", "8 ft", "2.4384"), ("si", "8 m", "8")] {
        let path = "reading.1.wall_distance_m";
        let there = talk(&kept(&said), units, json!({ "do": "go", "path": path }));
        assert_eq!(there["view"]["path"], path);
        let after = talk(
            &there["kept"],
            units,
            json!({ "do": "answer", "text": "8" }),
        );
        assert_eq!(after["kept"]["typed"][path], typed);
        let file = ask(json!({ "ask": "save", "kept": after["kept"] }));
        let line = format!("wall_distance_m = {saved}\n");
        let text = file["text"].as_str().unwrap();
        assert!(text.contains(&line), "{text}");
    }
}

/// An answer whose question no longer makes sense comes back with it.
#[test]
fn an_answer_waits_for_its_question() {
    let mut said = LITTLE.to_vec();
    said.extend([("floor.surface", "bare"), ("floor.cover_removed_days", "3")]);
    let with = kept(&said);
    let saved = |kept: &Value| {
        let answer = ask(json!({ "ask": "save", "kept": kept }));
        answer["text"].as_str().unwrap().to_string()
    };
    assert!(saved(&with).contains("cover_removed_days = 3"));
    let there = talk(&with, "us", json!({ "do": "go", "path": "floor.surface" }));
    let covered = talk(
        &there["kept"],
        "us",
        json!({ "do": "answer", "text": "covered" }),
    );
    assert!(!saved(&covered["kept"]).contains("cover_removed_days"));
    let there = talk(
        &covered["kept"],
        "us",
        json!({ "do": "go", "path": "floor.surface" }),
    );
    let again = talk(
        &there["kept"],
        "us",
        json!({ "do": "answer", "text": "bare" }),
    );
    assert_eq!(saved(&again["kept"]), saved(&with));
}

#[test]
fn a_file_is_gone_on_with_and_nothing_of_it_is_lost() {
    let text = "# Invented.\nvisit_date = 2026-09-08\npostal = \"05401\"\n[floor]\nthickness = \"4in\"\nretarder = \"unknown\"\n[lot]\ndrainage = \"sound\"\n";
    let loaded = ask(json!({ "ask": "load", "name": "made.toml", "text": text }));
    assert_eq!(loaded["kept"]["typed"]["floor.thickness_mm"], "4in");
    let saved = ask(json!({ "ask": "save", "kept": loaded["kept"] }));
    assert_eq!(saved["name"], "visit-2026-09-08.toml");
    let saved = saved["text"].as_str().unwrap();
    for line in [
        "# Invented.\n",
        "thickness_mm = 101.6\n",
        "retarder = \"unknown\"\n",
        "drainage = \"sound\"\n",
    ] {
        assert!(saved.contains(line), "{line}: {saved}");
    }
}

#[test]
fn a_what_if_says_so_and_a_result_does_not() {
    let kept = kept(&LITTLE);
    let request = |what_if: Value| json!({ "ask": "result", "kept": kept, "units": "us", "effort": "look", "what_if": what_if });
    let own = ask(request(Value::Null));
    assert!(own["what_if"].is_null());
    let what_if = json!({ "path": "lot.position", "text": "low" });
    let tried = ask(request(what_if));
    let says = tried["what_if"].as_str().unwrap();
    assert!(
        says.contains("lower than most") && says.contains("not sure"),
        "{says}"
    );
    // A lower lot never lowers the risk before a reading (tests/laws.rs).
    let chance = |it: &Value| it["report"]["exceedance_probability"].as_f64().unwrap();
    assert!(chance(&tried) >= chance(&own));
    let wrong = json!({ "path": "lot.position", "text": "purple" });
    assert!(ask(request(wrong))["error"].is_string());
}

#[test]
fn what_each_answer_moves_is_told_once_enough_was_said() {
    let at = |typed: &[(&str, &str)]| {
        let mut kept = kept(typed);
        kept["at"] = json!("lot.position");
        ask(json!({ "ask": "moves", "kept": kept }))["lines"]
            .as_array()
            .unwrap()
            .len()
    };
    assert_eq!(at(&LITTLE[..2]), 0);
    assert_eq!(at(&LITTLE), 4, "three answers and not sure");
}

/// Both units of a row are read, and as the unit that they are.
#[test]
fn every_number_with_a_unit_has_one_beside_its_box() {
    let asked: Vec<&str> = questions()
        .iter()
        .map(|it| it.field.as_str())
        .filter(|it| with_unit(it).is_some())
        .collect();
    let mut given: Vec<&str> = typed_units().iter().map(|it| it.field.as_str()).collect();
    given.sort_unstable();
    let mut wanted = asked.clone();
    wanted.sort_unstable();
    assert_eq!(given, wanted);
    for TypedUnit {
        field: name,
        us,
        us_such_as,
        si,
        si_such_as,
        ..
    } in typed_units()
    {
        assert!(field(name).is_some(), "{name}");
        let other = with_unit(name).unwrap().path;
        for text in [format!("{us_such_as} {us}"), format!("{si_such_as} {si}")] {
            let mut draft = Draft::default();
            set_field(&mut draft, other, &Raw::Text(text.clone()))
                .unwrap_or_else(|it| panic!("{name} {text}: {it}"));
            assert!(get_field(&draft, name).unwrap().is_some());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever a device kept, there is a question, a check, or an error; and what was typed is
    /// still there.
    #[test]
    fn any_kept_visit_is_answered(
        answers in prop::collection::vec((0usize..90, 0usize..12, ".{0,10}"), 0..40),
        at in 0usize..90,
    ) {
        const TEXTS: [&str; 11] = [
            "yes", "no", "not sure", "never", "1958", "2026-09-08", "05401", "3.6", "8 ft", "meter", "same",
        ];
        let path = |at: usize| {
            let name = &questions()[at % questions().len()].field;
            match name.strip_prefix("reading.") {
                Some(leaf) if leaf != "first" => format!("reading.{}.{leaf}", 1 + at % 3),
                _ => name.clone(),
            }
        };
        let typed: std::collections::BTreeMap<String, String> = answers
            .iter()
            .map(|(at, text, wild)| {
                (path(*at), TEXTS.get(*text).map_or(wild.clone(), |it| it.to_string()))
            })
            .collect();
        let kept = json!({ "typed": typed, "at": path(at), "rest": at % 2 == 0 });
        let answer = talk(&kept, "si", json!({ "do": "show" }));
        prop_assert_eq!(&answer["kept"]["typed"], &kept["typed"]);
        prop_assert!(answer["view"]["kind"].is_string());
        let file = ask(json!({ "ask": "save", "kept": kept }));
        let text = file["text"].as_str().unwrap();
        let loaded = ask(json!({ "ask": "load", "name": "made.toml", "text": text }));
        prop_assert!(loaded["error"].is_null(), "{} {}", loaded, text);
    }
}
