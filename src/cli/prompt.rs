//! How a question is put and an answer heard in a terminal.

use super::output;
use crate::words::Language;
use anyhow::{Context, Result};
use inquire::ui::RenderConfig;
use inquire::{InquireError, Text};
use std::io::BufRead;

/// Lines of choices that are shown at once.
const CHOICES_SHOWN: usize = 8;

/// What a person typed or chose.
pub enum Heard {
    Text(String),
    Why,
    Back,
    Result,
    Stop,
    Interrupted,
}

/// What is shown for one answer.
pub struct Prompt {
    pub message: String,
    /// What may be typed, where there is no choice.
    pub accepted: String,
    pub help: String,
    pub choices: Vec<String>,
    /// Words such as "back" are answers here, so only the signs are commands.
    pub is_free_text: bool,
    /// What an empty answer means.
    pub on_enter: String,
}

/// How answers are read.
pub enum Terminal {
    /// With lists to move in, and colors where they are wanted.
    Prompts(Box<RenderConfig<'static>>, Language),
    /// Line by line, for terminals that can do no more.
    Lines(Language),
}

impl Terminal {
    pub fn of_this_terminal(language: Language) -> Self {
        let is_dumb = std::env::var_os("TERM").is_none_or(|it| it.is_empty() || it == "dumb");
        let no_color = std::env::var_os("NO_COLOR").is_some_and(|it| !it.is_empty());
        if is_dumb && !cfg!(windows) {
            Terminal::Lines(language)
        } else if no_color {
            Terminal::Prompts(Box::new(RenderConfig::empty()), language)
        } else {
            Terminal::Prompts(Box::new(RenderConfig::default_colored()), language)
        }
    }

    pub fn listen(&self, prompt: &Prompt) -> Result<Heard> {
        let typed = match self {
            Terminal::Lines(_) => match line(prompt)? {
                Some(text) => text,
                None => return Ok(Heard::Interrupted),
            },
            Terminal::Prompts(look, language) => match prompted(prompt, **look, *language) {
                Ok(text) => text,
                Err(InquireError::OperationCanceled) => return Ok(Heard::Back),
                Err(InquireError::OperationInterrupted) => return Ok(Heard::Interrupted),
                Err(error) => return Err(error).context("asking in this terminal"),
            },
        };
        Ok(heard(prompt, &typed))
    }

    /// `None` when interrupted; an empty answer and a step back are a no.
    pub fn yes_or_no(&self, question: &str, help: &str) -> Result<Option<bool>> {
        let language = match self {
            Terminal::Prompts(_, language) | Terminal::Lines(language) => *language,
        };
        let prompt = Prompt {
            message: question.to_string(),
            accepted: String::new(),
            help: help.to_string(),
            choices: vec![
                format!("1  {}", language.say("talk.yes")),
                format!("2  {}", language.say("talk.no")),
            ],
            is_free_text: false,
            on_enter: language.say("talk.no").to_string(),
        };
        loop {
            match self.listen(&prompt)? {
                Heard::Text(text) if is_yes(&text) || text.trim() == "1" => return Ok(Some(true)),
                Heard::Text(text) if is_no(&text) => return Ok(Some(false)),
                Heard::Back => return Ok(Some(false)),
                Heard::Stop | Heard::Interrupted => return Ok(None),
                Heard::Text(_) | Heard::Why | Heard::Result => say(language.say("talk.yes_or_no")),
            }
        }
    }
}

/// One line, or `None` at the end of the input.
fn line(prompt: &Prompt) -> Result<Option<String>> {
    output::tell(&prompt.message);
    for it in &prompt.choices {
        output::tell(&format!("  {it}"));
    }
    if !prompt.accepted.is_empty() {
        output::tell(&format!("  ({})", prompt.accepted));
    }
    output::ask_for(&format!("[{}]\n> ", prompt.help));
    let mut text = String::new();
    let count = std::io::stdin()
        .lock()
        .read_line(&mut text)
        .context("reading the answer")?;
    Ok((count > 0).then_some(text))
}

fn prompted(
    prompt: &Prompt,
    look: RenderConfig<'static>,
    language: Language,
) -> Result<String, InquireError> {
    let lines = prompt.choices.clone();
    let suggest = move |typed: &str| {
        let typed = typed.trim().to_lowercase();
        let fits = |it: &&String| it.to_lowercase().contains(&typed);
        Ok(lines.iter().filter(fits).cloned().collect())
    };
    let shown = |typed: &str| answer_line(prompt, typed, language);
    Text::new(&prompt.message)
        .with_help_message(&prompt.help)
        .with_placeholder(&prompt.accepted)
        .with_autocomplete(suggest)
        .with_page_size(CHOICES_SHOWN)
        .with_formatter(&shown)
        .with_render_config(look)
        .prompt()
}

/// What stays on the screen behind the question.
fn answer_line(prompt: &Prompt, typed: &str, language: Language) -> String {
    match heard(prompt, typed) {
        Heard::Why => language.say("talk.said.why").to_string(),
        Heard::Back => language.say("talk.said.back").to_string(),
        Heard::Result => language.say("talk.said.result").to_string(),
        Heard::Stop => language.say("talk.said.stop").to_string(),
        Heard::Interrupted => String::new(),
        Heard::Text(text) if text.trim().is_empty() => prompt.on_enter.clone(),
        Heard::Text(text) => {
            let numbered = prompt
                .choices
                .iter()
                .find_map(|it| it.strip_prefix(&format!("{}  ", text.trim())));
            numbered.map_or(text.clone(), str::to_string)
        }
    }
}

/// Tells commands from answers; a line of the list stands for its number.
fn heard(prompt: &Prompt, typed: &str) -> Heard {
    let text = typed.trim();
    if let Some(it) = prompt.choices.iter().find(|it| *it == text) {
        let number = it.split_whitespace().next().unwrap_or_default();
        return if number == "-" {
            Heard::Text("not sure".to_string())
        } else {
            Heard::Text(number.to_string())
        };
    }
    match text {
        "?" => return Heard::Why,
        "<" => return Heard::Back,
        "=" => return Heard::Result,
        "." => return Heard::Stop,
        "-" => return Heard::Text("not sure".to_string()),
        _ => {}
    }
    if !prompt.is_free_text {
        match text.to_lowercase().as_str() {
            "why" | "por qué" | "por que" => return Heard::Why,
            "back" | "atrás" | "atras" => return Heard::Back,
            "result" | "resultado" => return Heard::Result,
            "stop" | "save" | "quit" | "parar" | "guardar" => return Heard::Stop,
            _ => {}
        }
    }
    Heard::Text(text.to_string())
}

pub fn is_yes(text: &str) -> bool {
    matches!(
        text.trim().to_lowercase().as_str(),
        "y" | "yes" | "s" | "si" | "sí"
    )
}

pub fn is_no(text: &str) -> bool {
    matches!(text.trim().to_lowercase().as_str(), "" | "n" | "no" | "2")
}

/// Talk, wrapped.
pub fn say(text: &str) {
    let options = textwrap::Options::new(output::width(true))
        .initial_indent("  ")
        .subsequent_indent("  ");
    output::tell(&textwrap::fill(text, options));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn prompt(choices: &[&str], is_free_text: bool) -> Prompt {
        Prompt {
            message: "Lot?".to_string(),
            accepted: String::new(),
            help: String::new(),
            choices: choices.iter().map(|it| it.to_string()).collect(),
            is_free_text,
            on_enter: "not sure".to_string(),
        }
    }

    #[test]
    fn signs_are_commands_and_words_only_where_no_name_is_asked() {
        let choice = prompt(&["1  high", "2  low", "-  not sure"], false);
        let name = prompt(&[], true);
        for it in [&choice, &name] {
            assert!(matches!(heard(it, "?"), Heard::Why));
            assert!(matches!(heard(it, " < "), Heard::Back));
            assert!(matches!(heard(it, "="), Heard::Result));
            assert!(matches!(heard(it, "."), Heard::Stop));
            assert!(matches!(heard(it, "-"), Heard::Text(text) if text == "not sure"));
        }
        assert!(matches!(heard(&choice, "back"), Heard::Back));
        assert!(matches!(heard(&name, "back"), Heard::Text(text) if text == "back"));
        assert!(matches!(heard(&choice, "2  low"), Heard::Text(text) if text == "2"));
        assert!(matches!(heard(&choice, "-  not sure"), Heard::Text(text) if text == "not sure"));
    }

    #[test]
    fn the_screen_keeps_the_word_and_not_the_number() {
        let choice = prompt(&["1  high", "2  low", "-  not sure"], false);
        assert_eq!(answer_line(&choice, "2", Language::English), "low");
        assert_eq!(answer_line(&choice, "", Language::English), "not sure");
        assert_eq!(answer_line(&choice, "<", Language::English), "back");
    }
}
