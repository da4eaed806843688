//! What a homeowner, a customer or a crew reads in Spanish.

use crate::floors::{FEW, SHOWN, Shown, plain_notice};
use slabseason::climate::find_place;
use slabseason::report::notice::{Figures, NoticeOf, Variant, notice, notice_short};
use slabseason::report::{
    self, Asked, HomeSheetOf, Layout, Paper, Report, Units, form_in, homeowner_sheet,
};
use slabseason::survey::interview::{Interview, choices, questions};
use slabseason::survey::{AnsweredBy, FIELDS, FieldKind, Visit, parse_visit, place_query};
use slabseason::verdict::{Detail, conclude_with, place_prior};
use slabseason::words::{
    self, Language, all, all_spanish, heard, is_no_se, months_read, stands_in,
};
use std::collections::BTreeSet;

fn blanks(text: &str) -> BTreeSet<String> {
    text.split('{')
        .skip(1)
        .filter_map(|it| it.split_once('}'))
        .map(|it| it.0.to_string())
        .collect()
}

/// Every blank of a Spanish sentence is one of the English sentence, and none is lost.
#[test]
fn every_blank_is_in_both_languages() {
    let mut compared = 0;
    for (key, spanish) in all_spanish() {
        if key.starts_with("month.") || key.starts_with("interview.") || key.starts_with("choice.")
        {
            assert!(blanks(spanish).is_empty(), "{key}");
            continue;
        }
        assert!(words::knows(key), "words.csv has no row {key}");
        assert_eq!(blanks(spanish), blanks(words::say(key)), "{key}");
        compared += 1;
    }
    assert!(compared > 200, "{compared}");
}

#[test]
fn every_question_and_every_choice_has_its_spanish() {
    let spanish: BTreeSet<&str> = all_spanish().into_iter().map(|it| it.0).collect();
    for it in questions() {
        for part in ["ask", "why"] {
            let key = format!("interview.{}.{part}", it.field);
            assert!(spanish.contains(key.as_str()), "{key}");
        }
    }
    for it in choices() {
        let key = format!("choice.{}.{}", it.field, it.word);
        assert!(spanish.contains(key.as_str()), "{key}");
    }
    for (key, _) in all() {
        let is_read = [
            "notice.",
            "home.",
            "caution.",
            "gate.",
            "form.",
            "talk.",
            "page.home.",
            "first.",
            "customer.",
            "option.",
            "problem.",
            "clue.",
            "source.",
            "setting.",
            "of.",
            "when.",
            "need.garage.",
            "need.ask.",
        ]
        .iter()
        .any(|it| key.starts_with(it));
        assert!(!is_read || spanish.contains(key), "no Spanish for {key}");
    }
}

/// Words that mean something else to some of the readers stand in no Spanish sentence.
#[test]
fn no_false_friend_is_used() {
    let terms = words::parse_glossary_es(slabseason::units::table_text("glossary_es.csv")).unwrap();
    let mut tried = 0;
    for (key, text) in all_spanish() {
        for phrase in terms.iter().flat_map(|it| &it.avoid) {
            tried += 1;
            assert!(
                !stands_in(phrase, text),
                "{key}: \"{phrase}\" in \"{text}\""
            );
        }
    }
    assert!(tried > 5_000);
}

/// "No sé" is never a no, whatever the question and however it is typed.
#[test]
fn no_se_is_never_a_no() {
    for typed in [
        "No sé",
        "no sé",
        "no se",
        "NO SE",
        "nose",
        "No sé.",
        "no lo sé",
        "¿no sé?",
    ] {
        let typed = typed.trim_end_matches('?');
        assert!(is_no_se(typed), "{typed}");
    }
    for typed in ["no", "No", "NO.", "no hay", "no, está seco", "sí"] {
        assert!(!is_no_se(typed), "{typed}");
    }
    let mut interview = Interview::new(None);
    for text in ["homeowner", "2026-09-08", "14604"] {
        interview.answer(text).unwrap();
    }
    let mut asked = 0;
    while let Some(step) = interview.current() {
        for language in Language::ALL {
            assert_eq!(heard(language, &interview, &step, "No sé"), "not sure");
        }
        let path = step.path();
        interview
            .answer(&heard(Language::Spanish, &interview, &step, "no se"))
            .unwrap_or_else(|error| panic!("{path}: {error}"));
        asked += 1;
    }
    assert!(asked >= 8, "{asked}");
    let visit = interview.visit();
    // Nothing was said but the day and the place.
    assert!(visit.is_err() || visit.is_ok_and(|it| it.floor == Default::default()));
}

#[test]
fn yes_and_choices_are_heard_in_spanish() {
    let mut interview = Interview::new(None);
    for text in ["homeowner", "2026-09-08", "14604"] {
        interview.answer(text).unwrap();
    }
    let mut step = interview.current().unwrap();
    let mut hear = |interview: &mut Interview, text: &str| {
        step = interview.current().unwrap();
        let text = heard(Language::Spanish, interview, &step, text);
        interview
            .answer(&text)
            .unwrap_or_else(|it| panic!("{}: {it}", step.path()));
    };
    hear(
        &mut interview,
        "Un sótano (la parte de la casa bajo tierra)",
    );
    hear(&mut interview, "partes humedas");
    let visit = interview.visit().unwrap();
    assert_eq!(
        visit.floor.setting,
        Some(slabseason::survey::Setting::Basement)
    );
    assert_eq!(
        visit.signs.water_now,
        Some(slabseason::survey::WaterNow::Damp)
    );
    while let Some(step) = interview.current() {
        let is_yes_no = FIELDS
            .iter()
            .any(|it| it.path == step.question.field && it.kind == FieldKind::YesNo);
        if is_yes_no {
            assert_eq!(heard(Language::Spanish, &interview, &step, "Sí"), "true");
            assert_eq!(heard(Language::Spanish, &interview, &step, "no"), "false");
        }
        interview.not_sure().unwrap();
    }
}

/// Months are read in both languages.
#[test]
fn months_are_read_in_both_languages() {
    for (typed, read) in [
        ("mar, abr", Some("Mar, Apr")),
        ("marzo y abril", Some("Mar, Apr")),
        ("ene dic", Some("Jan, Dec")),
        ("setiembre", Some("Sep")),
        ("Agosto", Some("Aug")),
        ("Mar, Apr", None),
        ("March", None),
        ("no sé", None),
        ("algún mes", None),
    ] {
        assert_eq!(months_read(typed).as_deref(), read, "{typed}");
    }
    for (at, (spanish, english)) in (1..=12).map(|it| {
        (
            it,
            (Language::Spanish.month(it), Language::English.month(it)),
        )
    }) {
        let short: String = spanish.chars().take(3).collect();
        let read = months_read(spanish).unwrap_or_else(|| spanish.to_string());
        assert!(
            read.to_lowercase()
                .starts_with(&english[..3].to_lowercase()),
            "{at}: {read}"
        );
        let read = months_read(&short).unwrap_or(short);
        assert!(
            read.to_lowercase()
                .starts_with(&english[..3].to_lowercase()),
            "{at}: {read}"
        );
    }
}

/// No sentence of a Spanish sheet is left in English, but for the line that says in both
/// languages that no lawyer has read it.
#[test]
fn spanish_sheets_are_whole() {
    let both = words::say("notice.no_lawyer");
    let mut english: Vec<String> = all()
        .into_iter()
        .map(|(_, text)| text.to_string())
        .chain(
            questions()
                .iter()
                .flat_map(|it| [it.ask.clone(), it.ask_home.clone()]),
        )
        .chain(
            choices()
                .iter()
                .flat_map(|it| [it.label.clone(), it.label_home.clone()]),
        )
        .flat_map(|text| {
            text.split(['{', '}'])
                .step_by(2)
                .map(|it| it.trim().to_string())
                .collect::<Vec<_>>()
        })
        .filter(|it| it.split_whitespace().count() >= 3 && it != both)
        .collect();
    english.sort();
    english.dedup();
    assert!(english.len() > 500);
    let unwrapped = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let check = |name: &str, text: &str| {
        let text = unwrapped(text).replace(both, "");
        for it in &english {
            assert!(!text.contains(it.as_str()), "{name}: {it}\n{text}");
        }
        assert!(!text.contains('{'), "{name}: an open blank");
    };
    let (mut notices, mut states) = (0, BTreeSet::new());
    for Shown {
        name,
        visit,
        place,
        report,
    } in SHOWN.iter()
    {
        for variant in std::iter::once(None).chain(Variant::ALL.map(Some)) {
            let of = NoticeOf {
                variant,
                figures: Figures::Percent,
                language: Language::Spanish,
                ..plain_notice(report, visit)
            };
            let Ok(paper) = notice(of) else { continue };
            let text = paper.text(80);
            check(name, &text);
            assert!(unwrapped(&text).contains(both), "{name}");
            assert!(text.contains("Ningún abogado"), "{name}");
            check(name, &notice_short(of).unwrap());
            states.insert(Variant::of(report).word());
            notices += 1;
        }
        let sheet = homeowner_sheet(HomeSheetOf {
            place,
            place_prior: &place_prior::place_prior(place),
            answered: Some((visit, report)),
            language: Language::Spanish,
            units: Units::Us,
        });
        check(name, &sheet.text(80));
        html_is_spanish(&sheet);
    }
    assert!(notices > 60, "{notices}");
    assert!(states.len() >= 6, "every state has a notice: {states:?}");
    for audience in [AnsweredBy::Homeowner, AnsweredBy::Estimator] {
        let paper = form_in(audience, Language::Spanish);
        check("form", &paper.text(80));
    }
}

/// A screen reader is told the language.
fn html_is_spanish(paper: &Paper) {
    let html = paper.laid_out_in(Language::Spanish, Layout::Html, 80);
    assert!(html.contains("<html lang=\"es\">"), "{}", &html[..200]);
}

fn report_with(visit: &Visit, place: &slabseason::climate::Place) -> Report {
    let (verdict, _) = conclude_with(place, visit, Detail::Ways, FEW);
    report::build(
        &Asked {
            visit,
            place,
            notes: &[],
        },
        &verdict,
    )
}

/// The first screen of every example in Spanish: it fits a terminal, and none of its labels,
/// sentences and months is the English one.
#[test]
fn the_first_screen_speaks_spanish() {
    let mut shown = 0;
    for entry in std::fs::read_dir("examples/visits").unwrap() {
        let path = entry.unwrap().path();
        let text = std::fs::read_to_string(&path).unwrap();
        let Ok(mut parsed) = parse_visit(&text, "visit.toml") else {
            continue;
        };
        // What a person typed stays as it is.
        parsed.visit.label = None;
        let Ok(place) = find_place(&place_query(&parsed.visit.place)) else {
            continue;
        };
        let report = report_with(&parsed.visit, &place);
        let said = report::first_text_in(Language::Spanish, &report, Units::Us, 80);
        let name = path.display();
        let lines: Vec<&str> = said.lines().collect();
        assert!(lines.len() <= report::FIRST_SCREEN_LINES, "{name}\n{said}");
        assert!(
            lines.iter().all(|it| it.chars().count() <= 80),
            "{name}\n{said}"
        );
        let english = report::text(&report, Units::Us, 80, report::Extent::First);
        for word in [
            "RISK",
            "WHY ",
            "NEXT",
            "OPTIONS",
            "TELL",
            "floor",
            "Visit ",
            "spots",
            "readings",
            "limit ",
            "Limit",
            "coat ",
            "the wettest",
            "January",
            "April",
            "May ",
            "September",
        ] {
            assert!(!said.contains(word), "{name}: {word}\n{said}");
        }
        assert!(
            english.contains("Visit") && said.contains("Visita"),
            "{name}"
        );
        shown += 1;
    }
    assert!(shown > 25, "{shown}");
}

/// Nothing is half in Spanish: the whole report says in one line what to do, the other layouts are
/// a first screen, and a homeowner's file gives the sheet in any case.
#[test]
fn what_has_no_spanish_says_so_in_one_line() {
    let visit = "examples/visits/low_lot_rochester.toml";
    let run = |more: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("slabseason").unwrap();
        let done = command
            .args(["screen", "--language", "es", "--visit"])
            .args(more)
            .output()
            .unwrap();
        let text = |it: Vec<u8>| String::from_utf8(it).unwrap();
        (done.status.code(), text(done.stdout), text(done.stderr))
    };
    for more in [
        &[visit, "--full"][..],
        &[visit, "--brief"],
        &[visit, "--full", "--format", "html"],
        &[visit, "--costs", "examples/costs.toml"],
    ] {
        let (code, out, said) = run(more);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{more:?}: {said}");
        assert_eq!(said.lines().count(), 1, "{more:?}: {said}");
        assert!(said.contains("solo en inglés"), "{more:?}: {said}");
    }
    for format in ["text", "html", "markdown"] {
        let (_, out, said) = run(&[visit, "--format", format]);
        assert!(
            out.contains("MUY ALTO") || out.contains("muy alto"),
            "{out}"
        );
        for word in ["RISK", "WHAT TO DO", "wettest", "Readings", "floors like"] {
            assert!(!out.contains(word), "{format}: {word}\n{out}{said}");
        }
        assert!(
            format != "html" || out.contains("<html lang=\"es\""),
            "{out}"
        );
    }
    let home = "examples/visits/homeowner_no_reading.toml";
    let (code, out, said) = run(&[home, "--full"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(out.contains("cálculo preliminar"), "{out}");
}
