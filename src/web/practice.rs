//! An invented floor to learn on, as the page shows it.

use super::Wrong;
use crate::lessons::{
    Guess, LessonRequest, LessonResult, LessonView, Level, judged_in, named_causes, parse_chance,
    respond,
};
use crate::verdict::Cause;
use crate::verdict::ways::Way;
use crate::words::Language;
use serde::{Deserialize, Serialize};

/// What a learner says at the end, as chosen and typed.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Stated {
    chance: String,
    cause: String,
    way: String,
}

/// A floor as the learner knows it, and its year once a chance was stated.
#[derive(Debug, Serialize)]
pub(super) struct Practice {
    view: LessonView,
    /// Word and label.
    causes: Vec<(&'static str, &'static str)>,
    ways: Vec<(&'static str, &'static str)>,
    /// Absent until a chance was stated: nothing of the truth is told before.
    result: Option<LessonResult>,
    /// How the call is judged, a sentence or two each.
    said: Vec<String>,
}

/// The floor of a seed and number.
pub(super) fn practice(
    language: Language,
    (seed, number, level): (u64, usize, Level),
    asked: String,
    stated: Option<&Stated>,
) -> Result<Practice, Wrong> {
    let guess = match stated {
        None => None,
        Some(it) => Some(Guess {
            chance: parse_chance(&it.chance).ok_or_else(|| {
                Wrong::from(language.say("page.practice.chance_wrong").to_string())
            })?,
            cause: Cause::ALL
                .into_iter()
                .find(|cause| cause.word() == it.cause),
            way: Way::from_word(&it.way),
        }),
    };
    let answer = respond(
        language,
        &LessonRequest {
            seed,
            number,
            level,
            asked,
            guess,
        },
    );
    Ok(Practice {
        said: answer
            .result
            .iter()
            .flat_map(|it| judged_in(language, it))
            .flat_map(|it| it.says)
            .collect(),
        view: answer.view,
        result: answer.result,
        causes: named_causes()
            .iter()
            .map(|it| (it.word(), language.say(&format!("cause.{}", it.word()))))
            .collect(),
        ways: Way::ALL
            .iter()
            .map(|it| (it.word(), language.say(&format!("way.{}", it.word()))))
            .collect(),
    })
}
