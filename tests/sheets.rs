//! What leaves the basement on paper: the notice, the homeowner's sheet, the calendar and the
//! blank forms, in every layout.

use crate::floors::{SHOWN, Shown, plain_notice, shown_of, unwrapped};
use chrono::Datelike;
use icalendar::{Calendar, CalendarComponent, Component, DatePerhapsTime};
use slabseason::climate::find_place;
use slabseason::report::notice::{
    Company, Figures, NoticeError, NoticeOf, Standing, Variant, notice, notice_short,
};
use slabseason::report::paper::typed;
use slabseason::report::{
    self, HomeSheetOf, Layout, Measured, Paper, READING_COLUMNS, Units, calendar, form,
    homeowner_sheet, percent_words,
};
use slabseason::survey::interview::{FIRST_READING, MORE_READINGS, choices, questions};
use slabseason::survey::{AnsweredBy, parse_visit};
use slabseason::units::tables_digest;
use slabseason::verdict::place_prior;
use slabseason::words::{Language, say};
use std::path::PathBuf;

fn shown(name: &str) -> &'static Shown {
    SHOWN
        .iter()
        .find(|it| it.name == name)
        .unwrap_or_else(|| panic!("examples/visits/{name}.toml"))
}

fn company() -> Company {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("examples/company.toml");
    Company::parse(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn notice_asked<'a>(it: &'a Shown, variant: Option<Variant>, company: &'a Company) -> NoticeOf<'a> {
    NoticeOf {
        company,
        variant,
        ..plain_notice(&it.report, &it.visit)
    }
}

fn notice_of(it: &Shown, variant: Option<Variant>) -> Result<Paper, NoticeError> {
    notice(notice_asked(it, variant, &company()))
}

fn home_of(it: &Shown) -> Paper {
    homeowner_sheet(HomeSheetOf {
        place: &it.place,
        place_prior: &place_prior::place_prior(&it.place),
        answered: Some((&it.visit, &it.report)),
        language: Language::English,
        units: Units::Us,
    })
}

/// The rules for contracts signed at home are each country's own.
#[test]
fn a_canadian_notice_names_no_rule_of_the_united_states() {
    for language in [Language::English, Language::Spanish] {
        // A weather station may lie across the border.
        for (place, is_canadian) in [
            ("14301, near Niagara Falls, ON", false),
            ("P6A, near Sault Ste Marie, MI", true),
            ("K1A, near Ottawa, ON", true),
            ("14604, near Rochester, NY", false),
        ] {
            let it = shown("low_lot_rochester");
            let mut report = it.report.clone();
            report.place.label = place.to_string();
            let text = notice(NoticeOf {
                report: &report,
                language,
                ..notice_asked(it, None, &company())
            })
            .unwrap()
            .text(400);
            assert_eq!(text.contains("16 CFR"), !is_canadian, "{text}");
            let theirs = language.say("notice.rights.cancel.ca");
            assert_eq!(text.contains(theirs), is_canadian, "{text}");
        }
    }
}

const LAYOUTS: [Layout; 3] = [Layout::Text, Layout::Markdown, Layout::Html];

/// Every floor has the notice of its state, and only variants that fit this state.
#[test]
fn every_state_of_a_floor_has_its_notice() {
    let mut seen: Vec<&str> = Vec::new();
    for it in SHOWN.iter() {
        let own = Variant::of(&it.report);
        seen.push(own.word());
        assert!(notice_of(it, None).is_ok(), "{}", it.name);
        assert!(
            notice_of(it, Some(Variant::Declined)).is_ok(),
            "{}",
            it.name
        );
        let is_state = |variant| own == variant;
        for (variant, is_so) in [
            (Variant::NoEstimate, it.report.refused),
            (Variant::NoGrade, it.report.held && !it.report.refused),
            (
                Variant::OverLimit,
                it.report.over_now && !it.report.held && !it.report.refused,
            ),
        ] {
            assert_eq!(is_state(variant), is_so, "{} {}", it.name, variant.word());
            assert_eq!(
                notice_of(it, Some(variant)).is_ok(),
                is_so,
                "{} {}",
                it.name,
                variant.word()
            );
        }
        if it.report.held || it.report.refused {
            let text = unwrapped(&notice_of(it, None).unwrap().text(80));
            assert!(text.contains(&it.report.gates[0].reason), "{text}");
            assert!(!text.contains("floors like yours"), "no chance: {text}");
            assert!(matches!(
                notice_of(it, Some(Variant::FixFirst)),
                Err(NoticeError::AnotherState { .. })
            ));
        }
    }
    for it in ["fine", "fix_first", "over_limit", "no_grade", "no_estimate"] {
        assert!(seen.contains(&it), "no example has {it}");
    }
}

/// The day and the readings lead, then what is advised; safety stands before the signatures.
#[test]
fn a_notice_has_its_order() {
    for it in SHOWN.iter() {
        let text = unwrapped(&notice_of(it, None).unwrap().text(80));
        let at = |what: &str| {
            text.find(what)
                .unwrap_or_else(|| panic!("{}: {what}", it.name))
        };
        let places = [
            at("On "),
            at("WHAT WE RECOMMEND"),
            at("Customer's name: ____"),
            at("WHAT THIS ESTIMATE CANNOT TELL YOU"),
            at("SAFETY"),
            at("Received by: ____"),
        ];
        assert!(places.is_sorted(), "{} {places:?}", it.name);
        let day = slabseason::report::day_words(it.report.visit_date);
        assert!(text[places[0]..places[1]].contains(&day), "{}", it.name);
        let goes_on = text.contains("I want to go ahead against this advice (initials): ____");
        assert_eq!(
            goes_on,
            Variant::of(&it.report) != Variant::Fine,
            "{}",
            it.name
        );
    }
}

/// What an option lowers stands with what it does not lower; a drain is for a licensed contractor.
#[test]
fn what_is_advised_never_promises() {
    let text = unwrapped(
        &notice_of(shown("low_lot_rochester"), None)
            .unwrap()
            .text(80),
    );
    for must in [
        "It lowers the risk but does not remove it.",
        "licensed drainage contractor",
        "only while the drain works",
    ] {
        assert!(text.contains(must), "{must}: {text}");
    }
    assert!(!text.contains("not sure"), "{text}");
    // Whoever asks for a doubtful notice of a very high floor is not told that nobody is sure.
    let doubtful = notice_of(shown("low_lot_rochester"), Some(Variant::Doubtful)).unwrap();
    assert!(!unwrapped(&doubtful.text(80)).contains("We are not sure"));
}

/// The short form says the same in about sixty words and ends at the notice itself.
#[test]
fn the_short_notice_is_short() {
    for it in SHOWN.iter() {
        for variant in std::iter::once(None).chain(Variant::ALL.map(Some)) {
            let Ok(text) = notice_short(notice_asked(it, variant, &company())) else {
                continue;
            };
            let words = text.split_whitespace().count();
            assert!((30..=110).contains(&words), "{words}: {text}");
            assert!(text.starts_with("Moisture. On "), "{text}");
            for must in [
                "an estimate, not a test, and not a promise",
                "See the Moisture Notice.",
            ] {
                assert!(text.contains(must), "{text}");
            }
            let is_told = !(it.report.held || it.report.refused || it.report.over_now);
            assert_eq!(text.contains("of 100 floors like yours"), is_told, "{text}");
        }
    }
    let text = notice_short(notice_asked(shown("low_lot_rochester"), None, &company())).unwrap();
    assert!(
        text.contains("September 8, 2026") && text.contains("3.4% to 3.8%"),
        "{text}"
    );
}

#[test]
fn a_what_if_has_no_notice() {
    let it = shown("low_lot_rochester");
    let of = NoticeOf {
        standing: Standing::WhatIf,
        ..plain_notice(&it.report, &it.visit)
    };
    assert_eq!(notice(of), Err(NoticeError::WhatIf));
}

#[test]
fn a_notice_never_says_fine_against_the_verdict() {
    let wet = shown("low_lot_rochester");
    assert_eq!(
        notice_of(wet, Some(Variant::Fine)),
        Err(NoticeError::NotFine)
    );
    assert_ne!(Variant::of(&wet.report), Variant::Fine);
    let answers_only = shown("homeowner_no_reading");
    assert_ne!(Variant::of(&answers_only.report), Variant::Fine);
    let dry = shown("new_drained_burlington");
    assert_eq!(Variant::of(&dry.report), Variant::Fine);
    assert_eq!(
        notice_of(dry, Some(Variant::AgainstAdvice)),
        Err(NoticeError::NothingAdvisedAgainst)
    );
}

/// What every notice must say, and what none may.
#[test]
fn every_notice_keeps_to_its_bounds() {
    for it in SHOWN.iter() {
        for variant in Variant::ALL {
            let Ok(paper) = notice_of(it, Some(variant)) else {
                continue;
            };
            let text = unwrapped(&paper.text(80));
            for must in [
                "Your signature means only that you received this page.",
                "This page does not take away any right you have under the law.",
                "Ask an attorney if you have questions about warranties, waivers, or canceling.",
                "16 CFR Part 429",
                "Received by: ____",
                "This is a screening estimate, not a test.",
                "Readings used: ",
                "License number: ____",
            ] {
                assert!(
                    text.contains(must)
                        || must == "Readings used: " && it.report.readings.is_empty(),
                    "{} {}: {must}",
                    it.name,
                    variant.word()
                );
            }
            let lower = text.to_lowercase();
            for never in ["$", "guarantee", "fault", "liable", "will fail.", "safe to"] {
                let count = lower.matches(never).count();
                let allowed = match never {
                    // "It does not mean the coating will fail."
                    "will fail." => 1,
                    _ => 0,
                };
                assert!(count <= allowed, "{} {}: {never}", it.name, variant.word());
            }
            assert_eq!(lower.matches("warrant").count(), 1, "{}", it.name);
            // Every answer of the visit file stands in it, as far as it is no measurement.
            // A floor that cannot be judged is not asked further.
            if it.visit.floor.year_built.is_some() && !it.report.refused {
                assert!(text.contains("What year was your house built?"), "{text}");
            }
            for reading in it.report.readings.iter() {
                if let Measured::Percent(percent) = reading.measured {
                    let value = percent_words(percent);
                    assert!(text.contains(&value), "{}: {value}", it.name);
                }
            }
        }
    }
}

#[test]
fn percent_stands_only_where_it_is_asked_for() {
    let it = shown("low_lot_rochester");
    let text = |figures| {
        let of = NoticeOf {
            figures,
            units: Units::Si,
            ..plain_notice(&it.report, &it.visit)
        };
        unwrapped(&notice(of).unwrap().text(80))
    };
    let chance = it.report.exceedance_probability.unwrap();
    let percent = format!("({})", percent_words((100.0 * chance).round()));
    assert!(text(Figures::Percent).contains(&percent));
    assert!(!text(Figures::Words).contains(&percent));
}

#[test]
fn settings_of_the_company_say_what_is_wrong() {
    let error = Company::parse("name = \"A\"\nprize = 3\n")
        .unwrap_err()
        .to_string();
    for part in ["line 2", "prize", "accepted: name, address"] {
        assert!(error.contains(part), "{error}");
    }
    let read = Company::parse("wording_read_by_lawyer = true").unwrap();
    let it = shown("low_lot_rochester");
    let of = NoticeOf {
        company: &read,
        ..plain_notice(&it.report, &it.visit)
    };
    let text = notice(of).unwrap().text(80);
    assert!(!text.contains("DRAFT"));
    assert!(
        text.contains("Company: ____"),
        "a blank stays visibly blank"
    );
}

/// Laid out as text no line is wider than the page.
#[test]
fn sheets_fit_their_page() {
    for width in [40, 60, 80] {
        let mut papers = vec![form(AnsweredBy::Estimator), form(AnsweredBy::Homeowner)];
        for it in SHOWN.iter().take(8) {
            papers.push(home_of(it));
            papers.extend(notice_of(it, None));
        }
        for paper in papers {
            for line in paper.text(width).lines() {
                assert!(
                    textwrap::core::display_width(line) <= width
                        || line.split_whitespace().count() <= 1,
                    "{width}: {line:?}"
                );
            }
        }
    }
}

/// The homeowner's sheet names what ASTM D4263 asks for (18 in, 4 mil, 16 h; the figures are
/// as in the published summaries of the standard), and months of its own place.
#[test]
fn the_homeowners_sheet_is_made_for_its_place() {
    let sheet = |code: &str| {
        let place = find_place(&slabseason::climate::PlaceQuery::parse(code).unwrap()).unwrap();
        let paper = homeowner_sheet(HomeSheetOf {
            place: &place,
            place_prior: &place_prior::place_prior(&place),
            answered: None,
            language: Language::English,
            units: Units::Us,
        });
        unwrapped(&paper.text(80))
    };
    let burlington = sheet("05401");
    for must in [
        "18 in on each side and 4 mil thick",
        "at least 16 hours",
        "A dry sheet in a dry month does not mean the floor stays dry all year.",
        "April: Is the bare concrete darker",
        "licensed professional",
    ] {
        assert!(burlington.contains(must), "{must}");
    }
    // South Florida is wettest in fall and Denver has no season to speak of.
    assert!(sheet("33101").contains("October: Is the bare concrete darker"));
    assert!(!sheet("33101").contains("April: Is the bare concrete darker"));
    assert!(sheet("80202").contains("No month stands out here."));
}

/// Read back by `icalendar` 0.17.17, a parser of RFC 5545 that others wrote.
#[test]
fn the_calendar_is_read_by_a_reference_parser() {
    let mut entries = 0;
    for it in SHOWN.iter() {
        let text = calendar(&it.report);
        assert!(text.ends_with("END:VCALENDAR\r\n"));
        for line in text.split("\r\n") {
            // RFC 5545, section 3.1: 75 octets without the line break.
            assert!(line.len() <= 75 && !line.contains('\n'), "{line}");
        }
        let read: Calendar = text.parse().unwrap_or_else(|error| panic!("{error}"));
        let mut ids = Vec::new();
        for component in &read.components {
            let CalendarComponent::Event(event) = component else {
                panic!("{component:?}");
            };
            let (first, end) = (event.get_start().unwrap(), event.get_end().unwrap());
            let (DatePerhapsTime::Date(first), DatePerhapsTime::Date(end)) = (first, end) else {
                panic!("whole days");
            };
            assert!(first < end);
            assert!(
                it.report.held || first > it.visit.visit_date,
                "{} {first}",
                it.name
            );
            assert!(event.get_timestamp().is_some());
            ids.push(event.get_uid().unwrap().to_string());
            entries += 1;
        }
        let count = ids.len();
        ids.dedup();
        assert_eq!(ids.len(), count);
        if let Some(back) = it.report.come_back.as_ref().filter(|_| !it.report.held) {
            let second = read
                .components
                .iter()
                .find_map(|it| match it {
                    CalendarComponent::Event(event)
                        if event.get_uid().unwrap().contains("second_reading") =>
                    {
                        event.get_start()
                    }
                    _ => None,
                })
                .unwrap();
            assert_eq!(second, DatePerhapsTime::Date(back.from));
        }
    }
    assert!(entries > 20);
}

/// The form asks every question with every choice; the readings are a table of their own.
#[test]
fn the_form_asks_everything() {
    for audience in [AnsweredBy::Estimator, AnsweredBy::Homeowner] {
        let text = unwrapped(&form(audience).text(80));
        for question in questions() {
            if question.is_per_reading() && question.field != MORE_READINGS {
                let has_column = READING_COLUMNS.iter().any(|it| it.0 == question.field);
                assert!(has_column, "{}", question.field);
            }
            let is_asked = audience == AnsweredBy::Estimator || !question.ask_home.is_empty();
            let is_row = question.is_per_reading()
                || [FIRST_READING, MORE_READINGS].contains(&question.field.as_str());
            if is_asked && !is_row {
                assert!(
                    text.contains(question.words(audience)),
                    "{}",
                    question.field
                );
                for choice in choices().iter().filter(|it| it.field == question.field) {
                    assert!(text.contains(choice.words(audience)), "{}", choice.word);
                }
            }
        }
        assert_eq!(
            text.contains("no. 3 ___"),
            audience == AnsweredBy::Estimator
        );
    }
}

/// Markup, quotes, control signs, a long label and text from right to left do no harm in any
/// layout.
#[test]
fn a_hostile_visit_is_harmless() {
    let label = "<img src=x onerror=alert(1)></title><script>alert(2)</script>\\u0007\\u001b[31m\
                 \\u202Eevil \\u05D0\\u05D1 \\\" ' | # `` https://example.invalid ";
    let long = "x".repeat(60);
    let text = format!(
        "visit_version = 1\nvisit_date = 2026-09-08\nlabel = \"{label}{long}\"\npostal = \
         \"05401\"\n[floor]\nyear_built = 1961\n[[reading]]\ndate = 2026-09-08\nkind = \
         \"meter\"\nvalue = 3.4\nscale = \"percent\"\nspot = \"<b>{label}\"\nmeter_id = \
         \"</script>\"\n[limit]\nmeter_percent = 5.0\nsource = \"<i>{label}\"\n"
    );
    // A label that the parser refuses is harmless; what it lets through has to be.
    let it = match parse_visit(&text, "hostile") {
        Ok(_) => shown_of("hostile", &text),
        Err(_) => {
            let tame = text.replace("\\u0007\\u001b", "").replace("\\u202E", "");
            shown_of("hostile", &tame)
        }
    };
    let papers = [notice_of(&it, None).unwrap(), home_of(&it)];
    for paper in &papers {
        for layout in LAYOUTS {
            let out = paper.laid_out(layout, 80);
            assert!(!out.contains(|it: char| it.is_control() && it != '\n'));
            assert!(!out.contains('\u{202E}'));
            if layout != Layout::Text {
                for never in ["<script", "<img", "<b>", "<i>", "</title><"] {
                    assert!(!out.contains(never), "{layout:?} {never}");
                }
            }
        }
    }
    for units in [Units::Us, Units::Si] {
        for out in [
            report::html(&it.report, units),
            report::html_body(&it.report, units),
            report::markdown(&it.report, units),
        ] {
            assert!(!out.contains(|it: char| it.is_control() && it != '\n'));
            for never in ["<script", "<img", "<b>", "<i>", "</title><", "</style></"] {
                assert!(!out.contains(never), "{never}");
            }
        }
    }
    let entries = calendar(&it.report);
    entries.parse::<Calendar>().unwrap();
    assert!(!entries.contains('\u{7}'));
    assert_eq!(
        entries.matches("BEGIN:VEVENT").count(),
        entries.matches("\r\nUID:").count()
    );
    // The words themselves are all there.
    assert!(
        papers[0]
            .html()
            .contains("&lt;img src=x onerror=alert(1)&gt;")
    );
    assert!(typed("a\u{0}b").contains("ab"));
}

/// Parts of the document in the order in which it is read: the risk, the standing sentence, what
/// to do, the chances, the cautions, and the method last.
#[test]
fn the_document_puts_the_risk_first_and_the_method_last() {
    for it in SHOWN.iter().filter(|it| !it.report.refused) {
        let html = report::html(&it.report, Units::Us);
        let at = |what: &str| {
            html.find(what)
                .unwrap_or_else(|| panic!("{} has no {what}", it.name))
        };
        let heading = |key: &str| at(&format!("<h2>{}</h2>", say(key)));
        let places = [
            at("class=\"risk\""),
            at(&report::html_text(&it.report.disclaimer)),
            heading("written.now"),
            heading("full.chances"),
            heading("written.careful"),
            heading("written.method"),
        ];
        assert!(places.is_sorted(), "{} {places:?}", it.name);
        if it.report.held && !it.report.over_now {
            assert!(html.contains("NO GRADE"), "{}", it.name);
        }
        if it.report.held {
            let ways = format!("<h2>{}</h2>", say("written.ways"));
            assert!(!html.contains(&ways), "{}", it.name);
        }
    }
}

/// The fragment can stand on any page under a strict policy: no identifiers that could clash,
/// no scripts, no styles in place, nothing from elsewhere.
#[test]
fn a_report_holds_nothing_that_a_strict_page_refuses() {
    for it in SHOWN.iter() {
        let body = report::html_body(&it.report, Units::Us);
        assert!(body.starts_with("<article class=\"paper report\">"));
        for never in [
            " id=", " style=", "<script", "<style", "http", "url(", " on",
        ] {
            // " on" begins words of ours; as an attribute it has an equals sign.
            let found = match never {
                " on" => body.split(" on").skip(1).any(|it| {
                    let word: String = it.chars().take_while(char::is_ascii_alphabetic).collect();
                    it[word.len()..].starts_with("=\"")
                }),
                _ => body.contains(never),
            };
            assert!(!found, "{}: {never}", it.name);
        }
    }
    for line in report::HTML_STYLE.lines() {
        assert!(
            !line.contains("url(") && !line.contains("@import"),
            "{line}"
        );
    }
}

/// Every drawing has a title, says in words what it shows, and has its numbers in a table.
#[test]
fn every_drawing_has_words_and_a_table() {
    let mut drawn = 0;
    for it in SHOWN.iter() {
        let html = report::html_body(&it.report, Units::Si);
        for figure in html.split("<figure>").skip(1) {
            let figure = figure.split("</figure>").next().unwrap();
            for part in [
                "<h3>",
                "<figcaption>",
                "<p class=\"small\">",
                "<table>",
                "<tbody>",
            ] {
                assert!(figure.contains(part), "{}: {part}", it.name);
            }
            if figure.contains("<svg") {
                drawn += 1;
                for part in ["role=\"img\"", "aria-label=\"", "<title>"] {
                    assert!(figure.contains(part), "{}: {part}", it.name);
                }
                assert!(
                    !figure.contains("NaN") && !figure.contains("inf\""),
                    "{}",
                    it.name
                );
            }
        }
        if it.report.months.len() == 12 {
            // The likely row is the report's own numbers, from the month after the visit on.
            let visit: usize = it.report.visit_date.month() as usize;
            let cells: String = (0..12)
                .map(|ahead| {
                    let month = &it.report.months[(visit + ahead) % 12];
                    format!("<td>{:.1}</td>", (10.0 * month.reading_p50).round() / 10.0)
                })
                .collect();
            assert!(
                html.contains(&format!(
                    "<th scope=\"row\">{}</th>{cells}",
                    say("chart.year.likely")
                )),
                "{}: {cells}",
                it.name
            );
        }
    }
    assert!(drawn > 40, "{drawn}");
}

/// The likely line stands where the scale puts it. By hand: the panel is 160 high from 22 on
/// and reaches from 0 to the next whole percent above the highest value and 0.4.
#[test]
fn the_line_of_the_year_is_drawn_to_scale() {
    let it = shown("low_lot_rochester");
    let months = &it.report.months;
    let most = months.iter().map(|it| it.reading_p90).fold(5.0, f64::max);
    let top = (most + 0.4).ceil();
    let html = report::html_body(&it.report, Units::Us);
    let points = html
        .split("<polyline class=\"likely\" points=\"")
        .nth(1)
        .and_then(|it| it.split('"').next())
        .unwrap();
    let heights: Vec<f64> = points
        .split(' ')
        .map(|it| it.split_once(',').unwrap().1.parse().unwrap())
        .collect();
    assert_eq!(heights.len(), 12);
    // The visit was in September, so the first month is October.
    for (at, height) in heights.iter().enumerate() {
        let percent = months[(9 + at) % 12].reading_p50;
        let wanted = 22.0 + 160.0 * (1.0 - percent / top);
        // Printed with one decimal.
        assert!((height - wanted).abs() < 0.051, "{at}: {height} {wanted}");
    }
}

/// A withdrawn reading stays in the report, struck through.
#[test]
fn a_withdrawn_reading_is_struck_through() {
    let it = shown("seven_readings_one_withdrawn");
    let html = report::html(&it.report, Units::Us);
    assert!(html.contains("8.4%</s> (withdrawn)"));
    assert_eq!(html.matches("<s>").count(), 1);
    assert!(report::markdown(&it.report, Units::Us).contains("8.4% (withdrawn)"));
}

/// Kept as read.
#[test]
fn sheets_as_read() {
    let wet = shown("low_lot_rochester");
    insta::assert_snapshot!(
        "notice_low_lot_rochester",
        notice_of(wet, None).unwrap().text(80)
    );
    insta::assert_snapshot!(
        "notice_against_advice",
        notice_of(wet, Some(Variant::AgainstAdvice))
            .unwrap()
            .markdown()
    );
    insta::assert_snapshot!(
        "notice_new_drained_burlington",
        notice_of(shown("new_drained_burlington"), None)
            .unwrap()
            .text(80)
    );
    insta::assert_snapshot!(
        "homeowner_no_reading_sheet",
        home_of(shown("homeowner_no_reading")).text(80)
    );
    insta::assert_snapshot!(
        "calendar_low_lot",
        calendar(&wet.report).replace("\r\n", "\n")
    );
    for name in ["low_lot_rochester", "just_washed", "standing_water_now"] {
        insta::assert_snapshot!(
            format!("report_{name}"),
            // Any changed row of any table is another digest; what is read here is the sheet.
            report::markdown(&shown(name).report, Units::Us).replace(tables_digest(), "TABLES")
        );
    }
    let over = shown("over_the_limit_cleveland");
    insta::assert_snapshot!(
        "notice_over_the_limit",
        notice_of(over, None).unwrap().text(80)
    );
    let held = shown("just_washed");
    insta::assert_snapshot!("notice_no_grade", notice_of(held, None).unwrap().text(80));
    let short: Vec<String> = [
        "low_lot_rochester",
        "new_drained_burlington",
        "just_washed",
        "over_the_limit_cleveland",
        "suspended_floor",
    ]
    .iter()
    .map(|it| notice_short(notice_asked(shown(it), None, &company())).unwrap())
    .collect();
    insta::assert_snapshot!("notice_short", short.join("\n"));
    insta::assert_snapshot!("form_estimator", form(AnsweredBy::Estimator).text(80));
    insta::assert_snapshot!("form_homeowner", form(AnsweredBy::Homeowner).html_body());
}
