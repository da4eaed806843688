//! The result of a visit on the device, what-ifs beside it, and what an answer would move.

use super::Wrong;
use super::session::Session;
use super::step;
use crate::climate::{Place, find_place};
use crate::report::{
    self, Asked, Block, Extent, Glance, Paper, Quoting, Report, Units, bare_floor_words,
    compared_years, first_screen, glance, home_steps,
};
use crate::survey::interview::{Interview, Pass};
use crate::survey::{AnsweredBy, Parsed, parse_visit, place_query};
use crate::verdict::answer_effects::{LOOK, answer_effects};
use crate::verdict::ways::Way;
use crate::verdict::{Detail, QUESTIONS, Request, answer};
use crate::words::{chance_words, say, say_with};
use serde::{Deserialize, Serialize};

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

/// Fewest letters in a line that tables are laid out for.
pub(super) const LEAST: usize = 40;

/// As wide as a terminal.
pub(super) fn wide() -> usize {
    80
}

/// One answer that is not what was said.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Changed {
    path: String,
    text: String,
    /// The report of what was said, to stand beside.
    own: Box<Report>,
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
    /// As wide as a terminal or a sheet of paper.
    text: String,
    /// As wide as the screen, where that is narrower.
    #[serde(skip_serializing_if = "Option::is_none")]
    narrow: Option<String>,
    /// The document at a glance, for the card.
    #[serde(skip_serializing_if = "Option::is_none")]
    card: Option<Box<Glance>>,
    /// Whose result it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    who: Option<AnsweredBy>,
    /// What was changed, where this is no result of what was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    what_if: Option<String>,
    /// What to show, as blocks.
    #[serde(skip_serializing_if = "Option::is_none")]
    blocks: Option<Vec<Block>>,
    /// The same blocks as markup that holds nothing unescaped of what a person typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    html: Option<String>,
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
        text: report::text(&said, Units::Us, wide(), Extent::Full),
        report: said,
        narrow: None,
        card: None,
        who: None,
        what_if: None,
        blocks: None,
        html: None,
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

fn report_with(parsed: &Parsed, request: Request) -> Result<Report, Wrong> {
    let place = find_place(&place_query(&parsed.visit.place)).map_err(|it| it.to_string())?;
    let (verdict, _) = answer(&place, &parsed.visit, request);
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
    (units, columns): (Units, usize),
    effort: EffortWord,
    quote: Option<&str>,
    what_if: Option<Changed>,
) -> Result<Shown, Wrong> {
    let quoted = quoted_way(quote)?;
    let changed = match what_if {
        None => None,
        Some(changed) => {
            let says = change(&mut kept, &changed)?;
            Some((says, changed.own))
        }
    };
    let interview = kept.interview(None)?.interview;
    let parsed = parsed_of(&interview)?;
    let report = report_by(&parsed, quoted, effort)?;
    let blocks = match &changed {
        Some((_, own)) => beside(own, &report),
        None if interview.audience() == AnsweredBy::Homeowner && effort == EffortWord::Whole => {
            home_steps(&parsed.visit, &report)
        }
        None => first_screen(&report),
    };
    let paper = Paper {
        title: String::new(),
        blocks,
    };
    let laid_out = |width: usize| report::text(&report, units, width, Extent::Full);
    Ok(Shown {
        text: laid_out(wide()),
        narrow: (columns < wide()).then(|| laid_out(columns.max(LEAST))),
        html: Some(paper.html_blocks()),
        blocks: Some(paper.blocks),
        card: Some(Box::new(glance(
            &report,
            units,
            interview.audience(),
            match quote {
                Some(_) => Quoting::Said,
                None => Quoting::Assumed,
            },
        ))),
        report,
        who: Some(interview.audience()),
        what_if: changed.map(|it| it.0),
    })
}

/// Both chances of the bare floor, and both years in one drawing. It holds nothing that a person typed.
fn beside(own: &Report, tried: &Report) -> Vec<Block> {
    let mut blocks = vec![Block::Text(say_with(
        "page.what_if.chance",
        &[
            ("after", &bare_floor_words(tried)),
            ("before", &bare_floor_words(own)),
        ],
    ))];
    blocks.extend(compared_years(own, tried).map(Block::Figure));
    blocks
}

/// Changes one answer in a copy of the visit and says so.
fn change(kept: &mut Session, changed: &Changed) -> Result<String, Wrong> {
    let restored = kept.interview(None)?;
    let mut interview = restored.interview.at_depth(Pass::More);
    if !interview.go_to(&changed.path) {
        return Err(Wrong::from(say("page.error.not_asked").to_string()));
    }
    let step = interview.current().expect("gone to above");
    let before = interview
        .said_to(&step)
        .unwrap_or_else(|| step::not_sure().to_string());
    interview
        .answer(&changed.text)
        .map_err(|it| it.in_plain_words())?;
    let after = interview
        .said_to(&step)
        .unwrap_or_else(|| step::not_sure().to_string());
    kept.typed
        .insert(changed.path.clone(), changed.text.clone());
    Ok(say_with(
        "page.what_if.says",
        &[
            ("question", &step::words(&interview, &step)),
            ("answer", &after),
            ("before", &before),
        ],
    ))
}

/// The visit, or what it still needs.
pub(super) fn parsed_of(interview: &Interview) -> Result<Parsed, Wrong> {
    interview.parsed().map_err(|errors| Wrong {
        error: say("page.error.too_little").to_string(),
        missing: errors.iter().map(|it| it.in_plain_words()).collect(),
    })
}

/// The questions that move the chance and can be changed beside the result.
pub(super) fn what_ifs(kept: &Session) -> Result<Vec<WhatIf>, Wrong> {
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
            words: step::words(&interview, step),
            choices: interview
                .choices(step)
                .iter()
                .map(|it| (it.word.clone(), it.words(who).to_string()))
                .collect(),
            said: interview
                .said_to(step)
                .unwrap_or_else(|| step::not_sure().to_string()),
        })
        .collect())
}

/// What each answer to the current question would make of the chance, a line an answer;
/// nothing where too little was said to tell.
pub(super) fn moved(kept: &Session) -> Result<Vec<String>, Wrong> {
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
        choices
            .iter()
            .find(|it| it.word == word)
            .map_or(step::not_sure(), |it| it.words(who))
    };
    Ok(answer_effects(&place, &visit, &step.path(), &words)
        .iter()
        .map(|(word, chance)| {
            say_with(
                "page.moves.line",
                &[("answer", label(word)), ("chance", &chance_words(*chance))],
            )
        })
        .collect())
}
