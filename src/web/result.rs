//! The result of a visit on the device, what-ifs beside it, and what an answer would move.

use super::Wrong;
use super::session::Session;
use super::step;
use crate::climate::{Place, find_place};
use crate::odds::posterior::{FULL, Posterior};
use crate::report::{
    self, Asked, Block, Extent, Glance, HomeSheetOf, Paper, Quoting, Reader, Report, Units, glance,
    home_first_step, homeowner_sheet,
};
use crate::survey::interview::{Interview, Pass};
use crate::survey::{AnsweredBy, Parsed, Visit, parse_visit, place_query};
use crate::verdict::answer_effects::{LOOK, answer_effects};
use crate::verdict::place_prior::place_prior;
use crate::verdict::ways::Way;
use crate::verdict::{Detail, QUESTIONS, Request, Verdict, answer, answer_drawn};
use crate::words::{self, Language};
use serde::{Deserialize, Serialize};
use std::cell::RefCell;

/// How much is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum EffortWord {
    /// A first look, with fewer floors.
    Look,
    /// Chances and the year ahead.
    Quick,
    /// Everything, as on the command line.
    Whole,
}

/// Letters in a line of a terminal.
const WIDE: usize = 80;

/// One answer that is not what was said.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Changed {
    path: String,
    text: String,
}

/// A question that can be changed beside the result.
#[derive(Debug, Serialize)]
pub(super) struct WhatIf {
    path: String,
    words: String,
    /// Word and label; empty where a number is typed.
    choices: Vec<(String, String)>,
    said: String,
}

/// A result to show; the fields of the report stand as on the command line.
#[derive(Debug, Serialize)]
pub(super) struct Shown {
    report: Report,
    /// As wide as a terminal, for a visit file.
    #[serde(skip_serializing_if = "Option::is_none")]
    text: Option<String>,
    /// The document at a glance, for the card.
    #[serde(skip_serializing_if = "Option::is_none")]
    card: Option<Box<Glance>>,
    /// Whose result it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    who: Option<AnsweredBy>,
    /// What was changed, where this is no result of what was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    what_if: Option<String>,
    /// A homeowner's document as markup, which holds nothing unescaped of what a person typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    document: Option<String>,
    /// What is printed: the drawn report, or a homeowner's sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    print: Option<String>,
}

/// The report of a visit file, with the notes as on the command line.
pub(super) fn screen(visit: &str, quote: Option<&str>, quick: bool) -> Result<Shown, Wrong> {
    let parsed = parse_visit(visit, "visit").map_err(|it| it.to_string())?;
    let quoted = quoted_way(quote)?;
    let effort = if quick {
        EffortWord::Quick
    } else {
        EffortWord::Whole
    };
    let said = report_by(&parsed, quoted, effort)?;
    Ok(Shown {
        text: Some(report::text(&said, Units::Us, WIDE, Extent::Full)),
        report: said,
        card: None,
        who: None,
        what_if: None,
        document: None,
        print: None,
    })
}

/// The option that is quoted by its word; a film where nobody said.
pub(super) fn quoted_way(quote: Option<&str>) -> Result<Way, Wrong> {
    match quote {
        None => Ok(Way::FilmNow),
        Some(word) => {
            Way::from_word(word).ok_or_else(|| Wrong::from(format!("\"{word}\" is not an option")))
        }
    }
}

pub(super) fn report_of(parsed: &Parsed, quoted: Way, detail: Detail) -> Result<Report, Wrong> {
    report_with(
        parsed,
        Request {
            quoted,
            detail,
            ..Request::default()
        },
    )
}

thread_local! {
    /// The visit that was looked at last, and its floors: the whole result after the first answer
    /// goes on from them.
    static LAST: RefCell<Option<(Visit, Posterior)>> = const { RefCell::new(None) };
}

/// [`answer`], going on from the floors of the first answer where it was of the same visit.
fn answer_on(place: &Place, visit: &Visit, request: Request) -> Verdict {
    if request.effort.next_year_only() != FULL.next_year_only() {
        return answer(place, visit, request).0;
    }
    let of_same = |last: &(Visit, Posterior)| last.0 == *visit;
    let (verdict, posterior) = match LAST.take().filter(of_same) {
        Some((_, drawn)) => answer_drawn(place, visit, request, drawn),
        None => answer(place, visit, request),
    };
    LAST.set(Some((visit.clone(), posterior)));
    verdict
}

fn report_with(parsed: &Parsed, request: Request) -> Result<Report, Wrong> {
    let place = find_place(&place_query(&parsed.visit.place)).map_err(|it| it.to_string())?;
    let verdict = answer_on(&place, &parsed.visit, request);
    let asked = Asked {
        visit: &parsed.visit,
        place: &place,
        notes: &parsed.notes,
    };
    Ok(report::build(&asked, &verdict))
}

fn report_by(parsed: &Parsed, quoted: Way, effort: EffortWord) -> Result<Report, Wrong> {
    let request = Request {
        quoted,
        detail: Detail::Chances,
        ..Request::default()
    };
    let effort = match effort {
        EffortWord::Whole => return report_of(parsed, quoted, Detail::Everything),
        EffortWord::Look => LOOK,
        EffortWord::Quick => request.effort.next_year_only(),
    };
    let mut report = report_with(parsed, Request { effort, ..request })?;
    // Only the next year was run.
    report.exceedance_5y = None;
    Ok(report)
}

/// The result of what was said so far, or with one answer changed.
pub(super) fn result(
    mut kept: Session,
    (units, language): (Units, Language),
    effort: EffortWord,
    quote: Option<&str>,
    what_if: Option<Changed>,
) -> Result<Shown, Wrong> {
    let quoted = quoted_way(quote)?;
    let what_if = match what_if {
        None => None,
        Some(changed) => Some(change(&mut kept, language, &changed)?),
    };
    let interview = kept.interview(None)?.interview;
    let parsed = parsed_of(&interview, language)?;
    let report = report_by(&parsed, quoted, effort)?;
    let audience = interview.audience();
    let is_quoted = match quote {
        Some(_) => Quoting::Said,
        None => Quoting::Assumed,
    };
    let reader = Reader {
        audience,
        units,
        language,
    };
    let mut card = glance(&report, reader, is_quoted);
    let is_home = audience == AnsweredBy::Homeowner;
    if is_home && let Some(first) = home_first_step(&parsed.visit, &report, language) {
        card.action = first;
    }
    let is_whole = effort == EffortWord::Whole && what_if.is_none();
    let (document, print) = match (is_whole, is_home) {
        (false, _) => (None, None),
        (true, false) => (None, Some(report::html_body(&report, units))),
        (true, true) => {
            let sheet = home_sheet(&parsed, &report, language, units)?;
            let print = sheet.html_body();
            (Some(below_the_card(sheet)), Some(print))
        }
    };
    Ok(Shown {
        text: None,
        card: Some(Box::new(card)),
        report,
        who: Some(audience),
        what_if,
        document,
        print,
    })
}

/// The homeowner's document of the library.
fn home_sheet(
    parsed: &Parsed,
    report: &Report,
    language: Language,
    units: Units,
) -> Result<Paper, Wrong> {
    let place = find_place(&place_query(&parsed.visit.place)).map_err(|it| it.to_string())?;
    Ok(homeowner_sheet(HomeSheetOf {
        place: &place,
        place_prior: &place_prior(&place),
        answered: Some((&parsed.visit, report)),
        language,
        units,
    }))
}

/// The same without its title and bars, which the card tells.
fn below_the_card(sheet: Paper) -> String {
    let blocks = sheet
        .blocks
        .into_iter()
        .map(|it| match it {
            Block::Bars(bars) => Block::Heading(bars.title),
            other => other,
        })
        .collect();
    let paper = Paper {
        title: String::new(),
        blocks,
    };
    paper.html_blocks()
}

/// Changes one answer in a copy of the visit and says so.
fn change(kept: &mut Session, language: Language, changed: &Changed) -> Result<String, Wrong> {
    let restored = kept.interview(None)?;
    let mut interview = restored.interview.at_depth(Pass::More);
    if !interview.go_to(&changed.path) {
        return Err(Wrong::from(
            language.say("page.error.not_asked").to_string(),
        ));
    }
    let step = interview.current().expect("gone to above");
    let before = step::said_to(language, &interview, &step);
    let heard = words::heard(language, &interview, &step, &changed.text);
    interview
        .answer(&heard)
        .map_err(|it| words::fault(language, &interview, &step, &it))?;
    let after = step::said_to(language, &interview, &step);
    kept.typed.insert(changed.path.clone(), heard);
    Ok(language.say_with(
        "page.what_if.says",
        &[
            ("question", &step::asked(language, &interview, &step)),
            ("answer", &after),
            ("before", &before),
        ],
    ))
}

/// The visit, or what it still needs.
pub(super) fn parsed_of(interview: &Interview, language: Language) -> Result<Parsed, Wrong> {
    interview.parsed().map_err(|errors| Wrong {
        error: language.say("page.error.too_little").to_string(),
        missing: match language {
            Language::English => errors.iter().map(|it| it.in_plain_words()).collect(),
            Language::Spanish => vec![language.say("talk.missing.all").to_string()],
        },
    })
}

/// The questions that move the chance and can be changed beside the result.
pub(super) fn what_ifs(kept: &Session, language: Language) -> Result<Vec<WhatIf>, Wrong> {
    let interview = kept.interview(None)?.interview.at_depth(Pass::More);
    let who = interview.audience();
    let counts = |path: &str| {
        // What people can see of the drainage stands for the drainage.
        matches!(
            path,
            "lot.downspouts" | "lot.slope" | "floor.retarder_proof"
        ) || QUESTIONS.iter().any(|it| it.id == path)
    };
    Ok(interview
        .steps()
        .iter()
        .filter(|it| !it.question.is_per_reading() && counts(&it.question.field))
        .map(|step| WhatIf {
            path: step.path(),
            words: step::asked(language, &interview, step),
            choices: interview
                .choices(step)
                .iter()
                .map(|it| (it.word.clone(), words::choice(language, it, who)))
                .collect(),
            said: step::said_to(language, &interview, step),
        })
        .collect())
}

/// What each answer to the current question would make of the chance, a line an answer;
/// nothing where too little was said to tell.
pub(super) fn moved(kept: &Session, language: Language) -> Result<Vec<String>, Wrong> {
    let interview = kept.interview(None)?.interview;
    let (Some(step), Ok(visit)) = (interview.current(), interview.visit()) else {
        return Ok(Vec::new());
    };
    let choices = interview.choices(&step);
    if choices.is_empty() || step.question.is_per_reading() {
        return Ok(Vec::new());
    }
    let Ok(place) = find_place(&place_query(&visit.place)) else {
        return Ok(Vec::new());
    };
    let place: Place = place;
    let words: Vec<&str> = choices
        .iter()
        .map(|it| it.word.as_str())
        .chain(["unknown"])
        .collect();
    let who = interview.audience();
    let label = |word: &str| {
        choices.iter().find(|it| it.word == word).map_or_else(
            || step::not_sure(language).to_string(),
            |it| words::choice(language, it, who),
        )
    };
    Ok(answer_effects(&place, &visit, &step.path(), &words)
        .iter()
        .map(|(word, chance)| {
            language.say_with(
                "page.moves.line",
                &[
                    ("answer", &label(word)),
                    ("chance", &language.chance(*chance)),
                ],
            )
        })
        .collect())
}
