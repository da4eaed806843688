//! The interview: which question comes next, what an answer means, and what was said.
//!
//! It is the same for the terminal, the page and a sheet on paper: the words stand in
//! `tables/questions.csv` and `tables/choices.csv`, and a door only shows them. It reads no
//! clock: today's date comes from the door. `questions` has the tables, `answers` what typed
//! text means, `state` the interview under way, `saving` its file.

mod answers;
mod line;
mod questions;
mod saving;
mod state;

pub use answers::{MONTHS, takes_never, word_of};
pub(crate) use line::{LineReading, readings_in_line};
pub use questions::{
    Choice, FIRST_READING, MORE_READINGS, NOT_ASKED, Pass, Question, Step, Who, choices,
    parse_choices, parse_questions, questions,
};
pub use saving::opening_comment;
pub use state::{Answer, Interview};

#[cfg(test)]
mod tests;
