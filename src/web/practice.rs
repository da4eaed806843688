//! An invented floor to learn on, as the page shows it.

use super::Wrong;
use crate::lessons::{
    Askable, Guess, LessonRequest, Level, named_causes, parse_chance, respond, result_text,
    view_text,
};
use crate::verdict::Cause;
use crate::verdict::ways::Way;
use crate::words::say;
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
    text: String,
    to_ask: Vec<Askable>,
    /// Word and label.
    causes: Vec<(&'static str, &'static str)>,
    ways: Vec<(&'static str, &'static str)>,
    /// Absent until a chance was stated: nothing of the truth is told before.
    result: Option<String>,
}

/// The floor of a seed and number.
pub(super) fn practice(
    (seed, number, level): (u64, usize, Level),
    asked: String,
    stated: Option<&Stated>,
    columns: usize,
) -> Result<Practice, Wrong> {
    let guess = match stated {
        None => None,
        Some(it) => Some(Guess {
            chance: parse_chance(&it.chance)
                .ok_or_else(|| Wrong::from(say("page.practice.chance_wrong").to_string()))?,
            cause: Cause::ALL
                .into_iter()
                .find(|cause| cause.word() == it.cause),
            way: Way::from_word(&it.way),
        }),
    };
    let answer = respond(&LessonRequest {
        seed,
        number,
        level,
        asked,
        guess,
    });
    Ok(Practice {
        text: view_text(&answer.view, columns),
        result: answer
            .result
            .as_ref()
            .map(|it| result_text(&answer.view, it, columns)),
        to_ask: answer.view.to_ask,
        causes: named_causes()
            .iter()
            .map(|it| (it.word(), say(&format!("cause.{}", it.word()))))
            .collect(),
        ways: Way::ALL
            .iter()
            .map(|it| (it.word(), say(&format!("way.{}", it.word()))))
            .collect(),
    })
}
