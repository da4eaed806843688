//! The door for a page: JSON in, JSON out, over three plain functions of a WebAssembly module.
//!
//! It decides nothing: a request names what is asked and carries a visit file's text; the
//! answer is the report, or what is wrong and what to do.

use crate::climate::find_place;
use crate::report::{self, Asked, Report, Units};
use crate::survey::{parse_visit, place_query};
use crate::verdict::ways::Way;
use crate::verdict::{Detail, Request, answer};
use serde::{Deserialize, Serialize};
use serde_json::json;

/// What a page can ask.
#[derive(Debug, Deserialize)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
enum Question {
    /// The report of a visit file, and its text.
    Screen {
        visit: String,
        /// The way that is quoted, by its word.
        quote: Option<String>,
        /// Chances alone, without what each answer is worth.
        #[serde(default)]
        quick: bool,
    },
}

/// What comes back; the fields of the report stand as on the command line.
#[derive(Debug, Serialize)]
struct Answer {
    report: Report,
    text: String,
}

/// Answers one request; never panics on what it is given.
pub fn respond(request: &str) -> String {
    let answered = serde_json::from_str::<Question>(request)
        .map_err(|it| format!("the request cannot be read: {it}"))
        .and_then(respond_to);
    match answered {
        Ok(answer) => serde_json::to_string(&answer)
            .unwrap_or_else(|it| json!({ "error": it.to_string() }).to_string()),
        Err(error) => json!({ "error": error }).to_string(),
    }
}

fn respond_to(question: Question) -> Result<Answer, String> {
    let Question::Screen {
        visit,
        quote,
        quick,
    } = question;
    let parsed = parse_visit(&visit, "visit").map_err(|it| it.to_string())?;
    let place = find_place(&place_query(&parsed.visit.place)).map_err(|it| it.to_string())?;
    let quoted = match &quote {
        None => Way::FilmNow,
        Some(word) => {
            Way::from_word(word).ok_or_else(|| format!("\"{word}\" is not a way forward"))?
        }
    };
    let detail = if quick {
        Detail::Chances
    } else {
        Detail::Everything
    };
    let request = Request {
        detail,
        quoted,
        ..Request::default()
    };
    let request = if quick {
        Request {
            effort: request.effort.next_year_only(),
            ..request
        }
    } else {
        request
    };
    let (verdict, _) = answer(&place, &parsed.visit, request);
    let asked = Asked {
        visit: &parsed.visit,
        place: &place,
        notes: &parsed.notes,
    };
    let said = report::build(&asked, &verdict);
    let text = report::text(&said, Units::Us, 80);
    Ok(Answer { report: said, text })
}

/// The plain functions of the module; a page holds one request and one answer at a time.
#[cfg(target_arch = "wasm32")]
mod plain {
    /// Room for `length` bytes of a request.
    #[unsafe(no_mangle)]
    extern "C" fn take_room(length: usize) -> *mut u8 {
        let mut room = std::mem::ManuallyDrop::new(vec![0_u8; length]);
        room.as_mut_ptr()
    }

    /// Gives room back that was taken, or an answer that was read.
    ///
    /// # Safety
    ///
    /// `at` and `length` are those of [`take_room`] or of an answer, each given back once.
    #[unsafe(no_mangle)]
    unsafe extern "C" fn give_room(at: *mut u8, length: usize) {
        // SAFETY: the caller keeps the promise above; capacity equals length in both.
        drop(unsafe { Vec::from_raw_parts(at, length, length) });
    }

    /// Answers the request; place and length of the answer come packed, place above.
    ///
    /// # Safety
    ///
    /// `at` and `length` are those of [`take_room`], filled with UTF-8; the room is used up.
    #[unsafe(no_mangle)]
    unsafe extern "C" fn respond(at: *mut u8, length: usize) -> u64 {
        // SAFETY: the caller keeps the promise above.
        let bytes = unsafe { Vec::from_raw_parts(at, length, length) };
        let answer = crate::web::respond(&String::from_utf8_lossy(&bytes))
            .into_bytes()
            .into_boxed_slice();
        let length = answer.len() as u64;
        let place = Box::into_raw(answer).cast::<u8>() as u64;
        (place << 32) | length
    }
}

#[cfg(test)]
mod tests {
    use super::respond;

    #[test]
    fn a_visit_in_and_a_report_out() {
        let visit = include_str!("../../examples/visits/level_unknown_burlington.toml");
        let request =
            serde_json::json!({ "ask": "screen", "visit": visit, "quick": true }).to_string();
        let answer: serde_json::Value = serde_json::from_str(&respond(&request)).unwrap();
        assert_eq!(answer["report"]["place"]["station_id"], "USW00014742");
        assert!(answer["text"].as_str().unwrap().contains("VERDICT"));
    }

    #[test]
    fn wrong_requests_are_answered() {
        for request in [
            "",
            "{}",
            "[1]",
            "{\"ask\":\"price\"}",
            "{\"ask\":\"screen\",\"visit\":\"\"}",
        ] {
            let answer: serde_json::Value = serde_json::from_str(&respond(request)).unwrap();
            assert!(answer["error"].is_string(), "{request}: {answer}");
        }
    }
}
