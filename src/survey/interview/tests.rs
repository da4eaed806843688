//! What the interview must do, question by question.

use super::questions::{PLACE, WHENS};
use super::*;
use crate::survey::{
    AnsweredBy, Draft, FIELDS, FieldKind, MeterScale, Parsed, PlaceName, Raw, ReadingKind,
    ReadingValue, SurveyErrors, field, get_field, parse_unfinished, parse_visit,
};
use crate::units::table_text;
use chrono::NaiveDate;
use proptest::prelude::*;

/// A file that may not be finished, with the paths that say "unknown".
fn draft_from_text(text: &str, name: &str) -> Result<(Draft, Vec<String>), SurveyErrors> {
    parse_unfinished(text, name).map(|it| (it.draft, it.not_sure))
}

fn today() -> NaiveDate {
    "2026-09-08".parse().unwrap()
}

/// Answers in turn; each with the path that must be asked then.
fn told(answers: &[(&str, &str)]) -> Interview {
    let mut res = Interview::new(Some(today()));
    for (path, text) in answers {
        let asked = res.current().map(|it| it.path());
        assert_eq!(asked.as_deref(), Some(*path), "before {text}");
        res.answer(text)
            .unwrap_or_else(|it| panic!("{path} {text}: {it}"));
    }
    res
}

/// The start that every interview shares.
const START: [(&str, &str); 3] = [
    ("answered_by", "estimator"),
    ("visit_date", ""),
    ("postal", "05401"),
];

/// A quick pass with one reading, as an estimator would type it.
fn quick() -> Interview {
    let mut answers = START.to_vec();
    answers.extend([
        ("floor.setting", "1"),
        ("floor.year_built", "1958"),
        ("floor.retarder", ""),
        ("lot.position", "low"),
        ("lot.drainage", "failing"),
        ("signs.spring_darkening", "y"),
        ("reading.first", "1"),
        ("reading.1.value", "3.6 %"),
        ("reading.1.more", "no"),
        ("limit.meter_percent", "5"),
    ]);
    told(&answers)
}

/// The same with some of the rest.
fn with_more() -> Interview {
    let mut res = quick();
    res.go_on_with_more();
    for (path, text) in [
        ("signs.water_now", "dry"),
        ("floor.heated_slab", "n"),
        ("lot.downspouts", "near"),
        ("lot.slope", "toward the house"),
        ("signs.darkening_months", "Mar, Apr"),
        ("signs.lightens_by_late_summer", "yes"),
        ("signs.springs_watched", "3"),
        ("floor.last_wetted_days", "40 days"),
        ("floor.surface", "bare"),
        ("floor.cover_removed_days", "no"),
        ("reading.1.spot", "middle"),
        ("reading.1.wall_distance_m", "10ft"),
        ("reading.1.meter_id", "A"),
        ("reading.1.meter_checked", "no"),
        ("limit.source", "data sheet"),
    ] {
        assert!(res.go_to(path), "{path}");
        res.answer(text)
            .unwrap_or_else(|it| panic!("{path} {text}: {it}"));
    }
    res
}

#[test]
fn both_tables_parse_and_refuse_what_is_wrong() {
    parse_questions(table_text("questions.csv")).unwrap();
    parse_choices(table_text("choices.csv")).unwrap();
    let head = "field,pass,who,section,ask,ask_home,why,hint,when,source\n";
    for (row, what) in [
        (
            "floor.bananas,quick,both,S,A,H,W,,,judgement",
            "no such field",
        ),
        ("floor.area,quick,both,S,A,H,W,,,judgement", "no such field"),
        ("floor.setting,later,both,S,A,H,W,,,judgement", "pass is"),
        ("floor.setting,quick,nobody,S,A,H,W,,,judgement", "who is"),
        ("floor.setting,quick,both,S,A,,W,,,judgement", "ask_home"),
        (
            "floor.setting,quick,estimator,S,A,H,W,,,judgement",
            "ask_home",
        ),
        ("floor.setting,quick,both,S,A,H,,,,judgement", "must say"),
        (
            "floor.setting,quick,both,S,A,H,W,,full_moon,judgement",
            "no such condition",
        ),
    ] {
        let error = parse_questions(&format!("{head}{row}\n")).unwrap_err();
        assert!(error.contains(what), "{row}: {error}");
    }
    let twice = "floor.setting,quick,both,S,A,H,W,,,judgement\n".repeat(2);
    assert!(
        parse_questions(&format!("{head}{twice}"))
            .unwrap_err()
            .contains("twice")
    );
    for (_, when) in WHENS {
        assert!(
            questions().iter().any(|it| it.condition == *when),
            "{when:?} stands in no row"
        );
    }
}

/// What a meter shows is no answer of a plastic sheet: after the kind is changed, the value is
/// asked for anew, and nothing is refused for it.
#[test]
fn another_kind_of_test_asks_for_its_value_anew() {
    let mut interview = quick();
    interview.go_to("reading.first");
    interview.answer("other").unwrap();
    interview.go_to("reading.1.kind");
    interview.answer("sheet").unwrap();
    interview.go_to("reading.1.value");
    let step = interview.current().unwrap();
    assert_eq!(step.path(), "reading.1.value");
    assert_eq!(interview.said_to(&step), None);
    interview.answer("true").unwrap();
    let visit = interview.visit().unwrap();
    assert_eq!(visit.readings[0].kind(), ReadingKind::Sheet);
}

/// Source: the contract of the visit file. What no question asks has its reason.
#[test]
fn every_field_is_asked_or_named_as_not_asked() {
    for it in FIELDS.iter().filter(|it| it.saved_as.is_none()) {
        let asked = questions().iter().any(|question| question.field == it.path);
        let left = NOT_ASKED.iter().any(|(path, _)| *path == it.path);
        assert!(asked != left, "{}: asked {asked}, left out {left}", it.path);
    }
    for (path, reason) in NOT_ASKED {
        assert!(field(path).is_some() && reason.len() > 10, "{path}");
    }
}

#[test]
fn every_word_has_a_label_and_every_label_a_word() {
    for it in FIELDS.iter() {
        let FieldKind::Words(words) = it.kind else {
            continue;
        };
        let labeled: Vec<&str> = choices()
            .iter()
            .filter(|choice| choice.field == it.path)
            .map(|choice| choice.word.as_str())
            .collect();
        assert_eq!(labeled, words, "{}", it.path);
    }
    for it in choices() {
        let has_words =
            field(&it.field).is_some_and(|field| matches!(field.kind, FieldKind::Words(_)));
        let is_special = matches!(
            it.field.as_str(),
            "any" | "reading.value" | FIRST_READING | MORE_READINGS
        );
        assert!(has_words || is_special, "{it:?}");
    }
    // A label that stands for two words would be read as the first of them.
    for one in choices() {
        for label in [&one.label, &one.label_home] {
            let same = choices().iter().filter(|it| {
                it.field == one.field && (it.label == *label || it.label_home == *label)
            });
            assert_eq!(same.count(), 1, "{one:?}");
        }
    }
}

/// The day's case: the place, the six core questions, the readings and the limit are ten
/// prompts to an answer; who asks and the day are known.
#[test]
fn the_quick_pass_is_ten_prompts() {
    let mut interview = Interview::of_estimator(today());
    let mut asked = Vec::new();
    for text in [
        "05401",
        "basement",
        "1958",
        "not sure",
        "low",
        "failing",
        "no",
        "1",
        "3.9 middle 10, 4.2 south 3, 3.6 stairs 8",
        "5%",
    ] {
        asked.push(interview.current().unwrap().path());
        interview
            .answer(text)
            .unwrap_or_else(|it| panic!("{text}: {it}"));
    }
    assert_eq!(interview.current(), None, "after {asked:?}");
    assert_eq!(
        asked,
        [
            "postal",
            "floor.setting",
            "floor.year_built",
            "floor.retarder",
            "lot.position",
            "lot.drainage",
            "signs.spring_darkening",
            "reading.first",
            "reading.1.value",
            "limit.meter_percent",
        ]
    );
    let visit = interview.visit().unwrap();
    assert_eq!(visit.visit_date, today());
    assert_eq!(visit.readings.len(), 3);
    assert!(questions().iter().is_sorted_by_key(|it| it.pass));
}

/// Readings typed one per line: each is one prompt more, where another reading is asked for. The
/// visit is that of the readings in one line.
#[test]
fn readings_one_per_line_need_no_prompt_of_their_own() {
    let told = |readings: &[&str]| {
        let mut interview = Interview::of_estimator(today());
        let before = [
            "05401", "basement", "1958", "not sure", "low", "failing", "no", "1",
        ];
        for text in before.iter().chain(readings).chain(&["5%"]) {
            interview
                .answer(text)
                .unwrap_or_else(|it| panic!("{text}: {it}"));
        }
        assert_eq!(interview.current(), None);
        interview.visit().unwrap()
    };
    let in_lines = told(&["3.9 middle 10", "4.2 south 3", "3.6 stairs 8", "no"]);
    assert_eq!(
        in_lines,
        told(&["3.9 middle 10, 4.2 south 3, 3.6 stairs 8"])
    );
    // "2" stays the second choice, and a word that is no reading is a fault.
    let mut interview = quick();
    interview.go_to("reading.1.more");
    assert!(interview.answer("middle 4,2").is_err());
}

/// 10 ft is 3.048 m by definition; 3 ft 0.9144, 8 ft 2.4384.
#[test]
fn readings_in_one_line_are_three_readings_of_one_meter() {
    let mut interview = quick();
    interview.go_to("reading.1.value");
    interview
        .answer("3.9 middle 10, 4.2 south 3, 3.6 stairs 8")
        .unwrap();
    let visit = interview.visit().unwrap();
    type Told<'a> = (
        ReadingValue,
        Option<&'a str>,
        Option<f64>,
        Option<MeterScale>,
    );
    let told: Vec<Told> = visit
        .readings
        .iter()
        .map(|it| {
            let wall = it.wall_distance.map(|it| it.get());
            (it.value, it.spot.as_deref(), wall, it.scale)
        })
        .collect();
    let percent = Some(MeterScale::Percent);
    assert_eq!(
        told,
        [
            (
                ReadingValue::Meter(3.9),
                Some("middle"),
                Some(3.048),
                percent
            ),
            (
                ReadingValue::Meter(4.2),
                Some("south"),
                Some(0.9144),
                percent
            ),
            (
                ReadingValue::Meter(3.6),
                Some("stairs"),
                Some(2.4384),
                percent
            ),
        ]
    );
    // The mark of the meter is asked once, and holds for all three.
    interview.go_on_with_more();
    interview.go_to("reading.1.meter_id");
    interview.answer("A").unwrap();
    let marks = interview.visit().unwrap().readings;
    assert!(marks.iter().all(|it| it.meter_id.as_deref() == Some("A")));
    // A part that is no reading changes nothing.
    let before = interview.clone();
    interview.go_to("reading.1.value");
    let error = interview.answer("3,9 middle").unwrap_err();
    assert!(error.to_string().contains("3,9"), "{error}");
    assert_eq!(interview.visit(), before.visit());
    // Bare distances of a metric person are meters.
    let mut metric = quick().in_units(crate::survey::UnitSystem::Si);
    metric.go_to("reading.1.value");
    metric.answer("3.9 middle 3").unwrap();
    let wall = metric.visit().unwrap().readings[0].wall_distance;
    assert_eq!(wall.unwrap().get(), 3.0);
}

/// A mark such as "R" at the question for the scale is no "relative".
#[test]
fn a_mark_at_the_scale_is_no_scale() {
    let mut interview = quick();
    for mark in ["R", "A", "a1", "M2"] {
        interview.go_to("reading.1.scale");
        assert!(interview.answer(mark).is_err(), "{mark}");
    }
    interview.answer("rel").unwrap();
    let scale = interview.visit().unwrap().readings[0].scale;
    assert_eq!(scale, Some(MeterScale::Relative));
}

#[test]
fn yes_and_no_are_read_everywhere() {
    let mut interview = with_more();
    for (path, text, word) in [
        ("floor.retarder", "no", "absent"),
        ("floor.retarder", "yes", "seen"),
        ("lot.sump", "no", "none"),
        ("lot.sub_drain", "n", "none"),
        ("lot.leak", "no", "none"),
        ("signs.water_now", "no", "dry"),
        ("air.dehumidifier", "yes", "running"),
        ("air.dehumidifier", "no", "none"),
        ("floor.finished", "yeah", "yes"),
        ("floor.prior_coating", "no", "none"),
        ("signs.musty_smell", "sí", "true"),
    ] {
        assert!(interview.go_to(path), "{path}");
        interview
            .answer(text)
            .unwrap_or_else(|it| panic!("{path} {text}: {it}"));
        let raw = get_field(&interview.draft(), path).unwrap().unwrap();
        assert_eq!(raw.to_text(), word, "{path} {text}");
    }
    // "I don't know" is never a no.
    interview.go_to("signs.musty_smell");
    interview.answer("no sé").unwrap();
    assert_eq!(interview.draft().signs.musty_smell, None);
}

/// "Does surface water drain away from the walls?" refused yes and no.
#[test]
fn whether_water_drains_away_is_a_yes_or_a_no() {
    let mut interview = quick();
    for (text, word) in [("yes", "sound"), ("n", "failing"), ("sí", "sound")] {
        interview.go_to("lot.drainage");
        interview.answer(text).unwrap();
        let raw = get_field(&interview.draft(), "lot.drainage").unwrap();
        assert_eq!(raw.unwrap().to_text(), word, "{text}");
    }
}

/// A line of readings was refused where the question was whether there is one, of which kind or
/// on which scale.
#[test]
fn a_line_of_readings_is_taken_before_its_question() {
    let before = [
        "05401", "basement", "1958", "not sure", "low", "no", "not sure",
    ];
    let line = "3.4% middle 10, 3.8 north 9";
    let wanted = [ReadingValue::Meter(3.4), ReadingValue::Meter(3.8)];
    for at in [&[][..], &["yes"], &["yes", "meter"]] {
        // Ten prompts or a few more, never nineteen.
        let mut interview = Interview::of_estimator(today());
        for text in before.iter().chain(at).chain(&[line, "5"]) {
            interview
                .answer(text)
                .unwrap_or_else(|it| panic!("{at:?} {text}: {it}"));
        }
        assert_eq!(interview.current(), None, "{at:?}");
        let (said, all) = interview.progress();
        assert!(said == all && all < 13, "{said} of {all}");
        let visit = interview.visit().unwrap();
        let read: Vec<ReadingValue> = visit.readings.iter().map(|it| it.value).collect();
        assert_eq!(read, wanted, "{at:?}");
        let scales = visit.readings.iter().map(|it| it.scale);
        assert!(scales.into_iter().all(|it| it == Some(MeterScale::Percent)));
    }
    // Without a percent sign the scale is asked for, once, and holds for all.
    let mut interview = Interview::of_estimator(today());
    for text in before.iter().chain(&["3.4 middle 10, 3.8 north 9"]) {
        interview.answer(text).unwrap();
    }
    assert_eq!(interview.current().unwrap().path(), "reading.1.scale");
    interview.answer("relative").unwrap();
    let visit = interview.visit().unwrap();
    assert_eq!(visit.readings.len(), 2);
    let scales = visit.readings.iter().map(|it| it.scale);
    assert!(
        scales
            .into_iter()
            .all(|it| it == Some(MeterScale::Relative))
    );
    let answers = interview.answers();
    let first = answers
        .iter()
        .find(|it| it.step.path() == "reading.first")
        .unwrap();
    assert!(first.said.contains("relative"), "{}", first.said);
}

/// "Sharpen this?" went through all 60 questions and counted all that were ever said.
#[test]
fn what_sharpens_ends_with_what_matters() {
    let mut interview = quick();
    let wanted = ["lot.sump", "lot.drainage", "signs.joint_stain"].map(str::to_string);
    // What was answered is not asked again.
    let open = interview.open_among(&wanted);
    assert_eq!(open, ["lot.sump", "signs.joint_stain"]);
    interview.ask_only(open);
    interview.go_on_with_more();
    for (number, path) in ["lot.sump", "signs.joint_stain"].iter().enumerate() {
        assert_eq!(interview.current().unwrap().path(), *path);
        assert_eq!(interview.progress(), (number, 2));
        interview.answer("no").unwrap();
    }
    assert_eq!(interview.current(), None);
}

/// A limit of 1 % was never asked about.
#[test]
fn an_unusual_limit_is_noted() {
    let mut interview = quick();
    assert!(interview.parsed().unwrap().notes.is_empty());
    interview.go_to("limit.meter_percent");
    interview.answer("1").unwrap();
    let notes = interview.parsed().unwrap().notes;
    assert!(notes[0].contains("3 to 6 %"), "{notes:?}");
}

/// The most telling questions of the rest come first, and what stands in the way of an answer
/// before them.
#[test]
fn the_rest_is_asked_by_what_it_tells() {
    let mut interview = quick();
    interview.go_on_with_more();
    interview.ask_first(vec![
        "lot.sump".to_string(),
        "signs.joint_stain".to_string(),
    ]);
    for path in ["lot.sump", "signs.joint_stain", "signs.water_now"] {
        assert_eq!(interview.current().unwrap().path(), path);
        interview.answer("no").unwrap();
    }
}

/// Source: the grade of Kincaid and others (1975), 0.39 of the words in a sentence and
/// 11.8 of the syllables in a word, less 15.59. Syllables are counted as groups of vowels,
/// without an e at the end. Eighth grade is the house rule for what homeowners see.
#[test]
fn homeowners_can_read_it() {
    let is_vowel = |it: char| "aeiouy".contains(it);
    let syllables = |word: &str| {
        let lower = word.to_lowercase();
        let body = lower.strip_suffix('e').unwrap_or(&lower);
        let groups = body
            .chars()
            .fold((0, false), |(count, before), it| {
                (count + usize::from(is_vowel(it) && !before), is_vowel(it))
            })
            .0;
        groups.max(1)
    };
    assert_eq!(
        ["sheet", "basement", "water", "the"].map(syllables),
        [1, 3, 2, 1]
    );
    let grade = |text: &str| {
        let sentences = text.matches(['.', '?', ':']).count().max(1) as f64;
        let words: Vec<&str> = text
            .split(|it: char| !it.is_alphabetic() && it != '\'')
            .filter(|it| !it.is_empty())
            .collect();
        let count: usize = words.iter().map(|it| syllables(it)).sum();
        let words = words.len() as f64;
        0.39 * words / sentences + 11.8 * count as f64 / words - 15.59
    };
    let for_home = || questions().iter().filter(|it| it.who != Who::Estimator);
    let asks: Vec<&str> = for_home().map(|it| it.ask_home.as_str()).collect();
    let whys: Vec<&str> = for_home().map(|it| it.why.as_str()).collect();
    for all in [asks.join(" "), whys.join(" ")] {
        assert!(grade(&all) <= 8.0, "grade {:.1}", grade(&all));
    }
    for it in for_home() {
        let sentences = it.why.split_terminator('.').chain([it.ask_home.as_str()]);
        for sentence in sentences {
            assert!(sentence.split_whitespace().count() <= 20, "{sentence}");
        }
        // In two sentences one long word counts for a few grades.
        assert!(
            grade(&it.why) <= 11.0,
            "{}: {:.1}",
            it.field,
            grade(&it.why)
        );
    }
}

#[test]
fn a_quick_pass_gives_the_visit_it_tells_of() {
    let interview = with_more();
    assert!(interview.is_finished_quick());
    let wanted = parse_visit(
        r#"
visit_date = 2026-09-08
answered_by = "estimator"
postal = "05401"
[floor]
setting = "basement"
heated_slab = false
year_built = 1958
surface = "bare"
last_wetted_days = 40
[lot]
position = "low"
drainage = "failing"
downspouts = "near"
slope = "toward"
[signs]
water_now = "dry"
spring_darkening = true
darkening_months = [3, 4]
lightens_by_late_summer = true
springs_watched = 3
[[reading]]
kind = "meter"
scale = "percent"
value = 3.6
spot = "middle"
wall_distance = "10ft"
meter_id = "A"
meter_checked = false
[limit]
meter_percent = 5
source = "data sheet"
"#,
        "made.toml",
    )
    .unwrap()
    .visit;
    assert_eq!(interview.visit().unwrap(), wanted);
    let said: Vec<String> = interview
        .answers()
        .iter()
        .map(|it| format!("{} {}", it.step.path(), it.said))
        .collect();
    for line in [
        "visit_date 2026-09-08",
        "floor.setting basement",
        "floor.retarder not sure",
        "lot.slope toward the house",
        "signs.darkening_months Mar, Apr",
        "reading.1.wall_distance_m 10ft",
        "reading.1.more no, that is all",
    ] {
        assert!(said.contains(&line.to_string()), "{line} in {said:?}");
    }
}

#[test]
fn back_then_forward_keeps_every_answer() {
    let mut interview = quick();
    assert_eq!(interview.current(), None);
    let (visit, answers) = (interview.visit().unwrap(), interview.answers());
    let mut back = 0;
    while interview.back() {
        back += 1;
        assert_eq!(interview.visit().unwrap(), visit);
    }
    assert_eq!(back, interview.steps().len());
    assert_eq!(interview.current().unwrap().path(), "answered_by");
    assert!(!interview.back(), "nothing is before the first question");
    interview.answer("").unwrap();
    assert_eq!(interview.current(), None);
    // Each question on its own.
    for it in &answers {
        assert!(interview.go_to(&it.step.path()));
        interview.answer("").unwrap();
    }
    assert_eq!(interview.visit().unwrap(), visit);
    assert_eq!(interview.answers(), answers);
}

#[test]
fn not_sure_is_an_answer_everywhere_but_at_the_day_and_the_place() {
    for audience in ["estimator", "homeowner"] {
        let mut interview = Interview::new(None);
        interview.answer(audience).unwrap();
        interview.go_on_with_more();
        let mut asked = 0;
        while let Some(step) = interview.current() {
            asked += 1;
            assert!(asked < 200, "{}", step.path());
            if step.question.is_needed() {
                for text in ["", "not sure"] {
                    assert!(interview.answer(text).is_err(), "{}", step.path());
                }
                let text = if step.path() == PLACE {
                    "05401"
                } else {
                    "2026-09-08"
                };
                interview.answer(text).unwrap();
            } else {
                interview.answer("not sure").unwrap();
            }
        }
        assert!(asked > 25, "{audience}: {asked}");
        let missing = interview.visit().unwrap_err();
        assert_eq!(missing.len(), 1, "only an answer is missing: {missing:?}");
        assert_eq!(missing[0].path(), "answers");
    }
}

#[test]
fn homeowners_are_asked_nothing_about_meters() {
    let mut interview = Interview::new(Some(today()));
    interview.answer("homeowner").unwrap();
    interview.go_on_with_more();
    for step in interview.steps() {
        let path = step.path();
        assert!(
            !path.starts_with("reading") && !path.starts_with("limit"),
            "{path}"
        );
        assert!(!step.question.ask_home.is_empty(), "{path}");
    }
    assert_eq!(interview.audience(), AnsweredBy::Homeowner);
}

#[test]
fn what_refuses_ends_the_interview() {
    for (who, setting, water) in [
        ("estimator", "suspended", None),
        ("homeowner", "basement", Some("standing")),
    ] {
        let mut answers = vec![
            ("answered_by", who),
            ("visit_date", ""),
            ("postal", "05401"),
        ];
        answers.push(("floor.setting", setting));
        answers.extend(water.map(|it| ("signs.water_now", it)));
        let mut interview = told(&answers);
        assert_eq!(interview.current(), None, "{setting}");
        interview.go_on_with_more();
        assert_eq!(interview.current(), None, "{setting}");
        assert!(interview.visit().is_ok());
        // A slip is mended, and the interview goes on.
        assert!(interview.back());
        interview.answer("1").unwrap();
        assert!(interview.current().is_some());
    }
}

#[test]
fn a_garage_is_asked_for_heat_and_a_walk_out_for_its_depth() {
    let after = |setting: &str| {
        let mut answers = START.to_vec();
        answers.extend([("floor.setting", setting)]);
        told(&answers).current().unwrap().path()
    };
    assert_eq!(after("garage"), "air.heated");
    assert_eq!(after("walk_out"), "floor.below_grade");
    assert_eq!(after("not sure"), "floor.below_grade");
    assert_eq!(after("basement"), "floor.year_built");
}

/// An answer whose question is gone must not act, and must not be lost.
#[test]
fn an_answer_goes_and_comes_with_its_question() {
    let mut answers = START.to_vec();
    answers.extend([
        ("floor.setting", "basement"),
        ("floor.year_built", "2025"),
        ("floor.placed_date", "2025-06-01"),
    ]);
    let mut interview = told(&answers);
    let placed = |it: &Interview| it.draft().floor.placed_date.map(|it| it.to_string());
    assert_eq!(placed(&interview).as_deref(), Some("2025-06-01"));
    interview.go_to("floor.year_built");
    interview.answer("1958").unwrap();
    assert_eq!(placed(&interview), None);
    assert!(!interview.file_text().contains("placed_date"));
    interview.go_to("floor.year_built");
    interview.answer("2025").unwrap();
    assert_eq!(placed(&interview).as_deref(), Some("2025-06-01"));
    assert_eq!(interview.current().unwrap().path(), "floor.retarder");
}

#[test]
fn readings_come_one_after_another() {
    let mut interview = with_more().at_depth(Pass::Quick);
    interview.go_to("reading.1.more");
    interview.answer("2").unwrap();
    // The same meter: its kind, scale and mark are not asked again.
    assert_eq!(interview.current().unwrap().path(), "reading.2.value");
    interview.answer("3.8 north 9").unwrap();
    assert_eq!(interview.current().unwrap().path(), "reading.2.more");
    interview.answer("other").unwrap();
    interview.answer("sheet").unwrap();
    let step = interview.current().unwrap();
    assert_eq!(step.path(), "reading.3.value");
    let words: Vec<&str> = interview
        .choices(&step)
        .iter()
        .map(|it| it.word.as_str())
        .collect();
    assert_eq!(words, ["damp", "dry"]);
    for text in ["damp", "other"] {
        interview.answer(text).unwrap();
    }
    // A reading whose number nobody remembers is no reading.
    interview.answer("probe").unwrap();
    interview.answer("not sure").unwrap();
    assert_eq!(interview.current().unwrap().path(), "reading.4.more");
    interview.answer("no").unwrap();
    // A probe was told of, so its limit is asked for.
    assert_eq!(interview.current().unwrap().path(), "limit.probe_rh");
    interview.answer("80%").unwrap();
    let visit = interview.visit().unwrap();
    let values: Vec<ReadingValue> = visit.readings.iter().map(|it| it.value).collect();
    assert_eq!(
        values,
        [
            ReadingValue::Meter(3.6),
            ReadingValue::Meter(3.8),
            ReadingValue::Sheet(true)
        ]
    );
    assert_eq!(visit.readings[1].meter_id.as_deref(), Some("A"));
    assert_eq!(visit.readings[1].scale, Some(MeterScale::Percent));
    let said = |wanted: &str| interview.answers().iter().any(|it| it.said == wanted);
    assert!(said("damp or darker under the sheet"));
    // Taken back, and back again.
    interview.go_to("reading.first");
    interview.answer("no").unwrap();
    assert!(interview.visit().unwrap().readings.is_empty());
    interview.go_to("reading.first");
    interview.answer("yes").unwrap();
    assert_eq!(interview.visit().unwrap(), visit);
}

/// 10 ft is 3.048 m and 67 °F is 19.44 °C by definition.
#[test]
fn numbers_carry_their_unit() {
    let mut interview = with_more();
    let wall = interview.visit().unwrap().readings[0].wall_distance;
    assert_eq!(wall.unwrap().get(), 3.048);
    interview.go_on_with_more();
    for (path, text, is_read) in [
        ("reading.1.wall_distance_m", "8", true),
        ("reading.1.wall_distance_m", "2.5m", true),
        ("air.temp_c", "67", true),
        ("air.temp_c", "67F", true),
        ("air.relative_humidity", "62", true),
        ("air.relative_humidity", "620", false),
        ("air.relative_humidity", "62 %", true),
        ("floor.thickness_mm", "4", true),
        ("floor.thickness_mm", "4in", true),
        ("floor.area_m2", "750 sq ft", true),
        ("limit.meter_percent", "5 %", true),
        ("limit.calcium_chloride_lb", "3 lb", true),
        ("floor.last_wetted_days", "12 days ago", true),
        ("floor.year_built", "the sixties", false),
        ("floor.year_built", "about 1960", true),
        ("floor.year_built", "1958", true),
        ("floor.year_built", "2027", false),
        ("reading.1.value", "45", false),
        ("signs.darkening_months", "Smarch", false),
        ("lot.position", "9", false),
        ("lot.position", "l", false),
        ("lot.position", "lo", true),
        ("visit_date", "9/8/2026", true),
        ("visit_date", "Sep 8", true),
        ("visit_date", "8 sep 2026", true),
        ("visit_date", "soon", false),
        ("visit_date", "today", true),
        ("postal", "1234", false),
        ("postal", "44.48,-73.21", true),
        ("elevation_m", "350ft", true),
        ("postal", "USW00014742", true),
        ("postal", "05401", true),
    ] {
        assert!(interview.go_to(path), "{path}");
        let before = interview.clone();
        let res = interview.answer(text);
        assert_eq!(res.is_ok(), is_read, "{path} {text}: {res:?}");
        if res.is_err() {
            assert_eq!(interview, before, "a wrong answer changes nothing");
        }
    }
    let visit = interview.visit().unwrap();
    assert!((visit.air.temp.unwrap().get() - 19.444).abs() < 1e-3);
    assert_eq!(visit.air.relative_humidity.unwrap().get(), 0.62);
    assert_eq!(visit.place, PlaceName::Postal("05401".to_string()));
}

#[test]
fn a_saved_interview_goes_on_where_it_stopped() {
    let stops = quick();
    let mut interview = Interview::new(Some(today()));
    for it in stops.answers() {
        if interview.is_answered(&it.step.path()) {
            continue;
        }
        assert_eq!(interview.current().unwrap().path(), it.step.path());
        interview.answer(&it.said).unwrap();
        if it.step.path() == FIRST_READING {
            // A reading without a field leaves nothing in the file.
            continue;
        }
        let text = interview.file_text();
        let (draft, not_sure) = draft_from_text(&text, "made.toml").unwrap();
        let again = Interview::from_draft(draft, &not_sure, Some(today()));
        // If more readings follow is not in the file, so it is asked again.
        let next = |it: &Interview| {
            let is_open = |path: &String| {
                !it.is_answered(path) && !path.ends_with(".more") && path != FIRST_READING
            };
            it.steps().iter().map(Step::path).find(is_open)
        };
        assert_eq!(next(&again), next(&interview), "{text}");
    }
    assert_eq!(interview.visit(), stops.visit());
}

/// A file that somebody wrote by hand holds more than the interview would ask.
#[test]
fn nothing_of_a_file_is_lost() {
    let text = r#"
visit_date = 2026-09-08
answered_by = "homeowner"
postal = "05401"
[floor]
placed_date = 1958-05-01
retarder_proof = "told"
year_built = 1958
retarder = "Not sure"
[lot]
drainage = "sound"
[air]
temp = "67F"
[[reading]]
kind = "meter"
value = 3.4
x = "8ft"
withdrawn = true
"#;
    let Parsed { visit, .. } = parse_visit(text, "made.toml").unwrap();
    let (draft, not_sure) = draft_from_text(text, "made.toml").unwrap();
    assert_eq!(not_sure, ["floor.retarder"]);
    let mut interview = Interview::from_draft(draft, &not_sure, None);
    assert_eq!(interview.visit().unwrap(), visit);
    interview.go_on_with_more();
    while let Some(step) = interview.current() {
        assert_ne!(step.path(), "floor.retarder", "that was answered");
        interview.not_sure().unwrap();
    }
    let (draft, _) = draft_from_text(&interview.file_text(), "made.toml").unwrap();
    assert_eq!(draft.finish().unwrap(), visit);
}

#[test]
fn another_spelling_in_a_file_does_not_stand_in_the_way() {
    let text = "visit_date = 2026-09-08\npostal = \"05401\"\n[floor]\nthickness = \"4in\"\n";
    let (draft, _) = draft_from_text(text, "made.toml").unwrap();
    let mut interview = Interview::from_draft(draft, &[], None);
    interview.go_on_with_more();
    assert!(interview.go_to("floor.thickness_mm"));
    let said = interview.said_to(&interview.current().unwrap());
    assert_eq!(said.as_deref(), Some("0.1016m"));
    interview.answer("5in").unwrap();
    assert_eq!(interview.draft().floor.thickness.unwrap().get(), 0.127);
}

#[test]
fn a_broken_file_is_not_resumed() {
    for text in [
        "",
        "[floor]\nbananas = 3\n",
        "visit_date = never\n",
        "[floor]\nyear_built = 3\n",
    ] {
        assert!(draft_from_text(text, "made.toml").is_err(), "{text}");
    }
    let (draft, _) = draft_from_text("visit_date = 2026-09-08\n", "made.toml").unwrap();
    let date = get_field(&draft, "visit_date").unwrap();
    assert_eq!(date, Some(Raw::Date(today())));
}

#[test]
fn comments_at_the_top_are_kept() {
    assert_eq!(
        opening_comment("# Invented.\n# Two.\nvisit_version = 1\n# not this\n"),
        "# Invented.\n# Two.\n"
    );
}

/// What a hand might do next.
fn act(interview: &mut Interview, choice: usize, at: usize) {
    const TEXTS: [&str; 14] = [
        "1958",
        "2025",
        "2026-09-01",
        "05401",
        "44.48,-73.21,105",
        "3.6",
        "8ft",
        "67F",
        "62%",
        "3 4",
        "30 pints",
        "A1",
        "n",
        "1957-02-27",
    ];
    let steps = interview.steps();
    let text = TEXTS[at % TEXTS.len()];
    match choice {
        0 => {
            interview.back();
        }
        1 => {
            interview.go_to(&steps[at % steps.len()].path());
        }
        2 => interview.go_on_with_more(),
        3 => {
            let _ = interview.not_sure();
        }
        4 => {
            let _ = interview.answer(text);
        }
        _ => {
            if let Some(step) = interview.current() {
                let choices = interview.choices(&step);
                if choices.is_empty() {
                    let _ = interview.answer(text);
                } else {
                    interview.answer(&choices[at % choices.len()].word).unwrap();
                }
            }
        }
    }
}

/// Acts in an order, answers what is left with "not sure", and compares the file with the visit.
fn ends(actions: &[(usize, usize)]) {
    let mut interview = Interview::new(Some(today()));
    for (choice, at) in actions {
        act(&mut interview, *choice, *at);
        let (said, all) = interview.progress();
        assert!(said <= all);
    }
    let mut left = 0;
    while let Some(step) = interview.current() {
        left += 1;
        assert!(left < 400, "{}", step.path());
        let text = match step.path().as_str() {
            "visit_date" => "2026-12-31",
            PLACE => "05401",
            path if path.ends_with(".more") || path == FIRST_READING => "no",
            _ => "not sure",
        };
        interview.answer(text).unwrap();
    }
    assert!(interview.is_finished_quick());
    let (draft, _) = draft_from_text(&interview.file_text(), "made.toml").unwrap();
    match (draft.finish(), interview.visit()) {
        (Ok(one), Ok(other)) => assert_eq!(one, other),
        (Err(_), Err(missing)) => assert_eq!(missing[0].path(), "answers"),
        (one, other) => panic!("{one:?} and {other:?}"),
    }
}

/// Orders that once failed: another kind after a value; a reading nobody knows before one that
/// is told, and then water on the floor.
#[test]
fn orders_that_once_failed_end() {
    ends(&[
        (5, 14),
        (4, 33),
        (1, 42),
        (5, 0),
        (4, 31),
        (2, 0),
        (3, 0),
        (3, 0),
        (3, 0),
        (5, 0),
        (3, 0),
        (5, 0),
        (5, 46),
        (5, 1),
        (4, 5),
        (0, 0),
        (0, 0),
        (5, 43),
    ]);
    ends(&[
        (5, 32),
        (4, 2),
        (4, 31),
        (3, 0),
        (3, 0),
        (3, 0),
        (5, 0),
        (5, 0),
        (5, 0),
        (0, 0),
        (2, 0),
        (5, 0),
        (0, 0),
        (3, 0),
        (3, 0),
        (5, 45),
        (3, 0),
        (4, 22),
        (5, 14),
        (0, 0),
        (3, 6),
        (3, 4),
        (5, 44),
    ]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Any way through it ends, and the file so far gives back what was said.
    #[test]
    fn any_order_of_answers_ends(
        actions in prop::collection::vec((0usize..10, 0usize..60), 0..80),
    ) {
        ends(&actions);
    }

    #[test]
    fn any_text_is_read_or_refused(texts in prop::collection::vec(".{0,12}", 40)) {
        let mut interview = quick();
        interview.go_on_with_more();
        for text in &texts {
            if interview.answer(text).is_err() {
                let _ = interview.not_sure();
            }
        }
        prop_assert!(draft_from_text(&interview.file_text(), "made.toml").is_ok());
    }
}
