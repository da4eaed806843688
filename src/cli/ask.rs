//! The interview in a terminal: it shows one question at a time and saves each answer.
//!
//! What is asked, and what an answer means, is all in `survey::interview`.

use super::output;
use super::prompt::{Heard, Prompt, Terminal, is_no, is_yes, say};
use crate::report::Report;
use crate::survey::interview::{Choice, Interview, Pass, Step, opening_comment};
use crate::survey::{FieldError, FieldKind, Parsed, UnitSystem, Visit, field, parse_unfinished};
use crate::words::chance_words;
use anyhow::{Context, Result, anyhow, bail};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// What an empty answer mostly means, and how it is shown.
const NOT_SURE: &str = "not sure";

/// Letters of an answer in the line of help, which stays within 80 columns.
const CLIPPED: usize = 20;

/// Where the interview starts and where it is kept.
#[derive(Debug)]
pub struct Begin {
    /// A visit to go on with.
    pub visit: Option<PathBuf>,
    /// The file to keep it in; otherwise the file it came from, or one named for the day.
    pub save: Option<PathBuf>,
    /// The units of bare numbers.
    pub units: UnitSystem,
}

/// How it ended.
pub enum Ended {
    /// All is said; `is_shown` when this very result stands on the screen.
    Finished { report: Box<Report>, is_shown: bool },
    /// Stopped on wish; all is kept.
    Stopped,
    /// Interrupted, by the keys or because the terminal went away.
    Interrupted,
}

/// Whether somebody is there to answer: questions go to stderr, answers come from stdin.
pub fn is_someone_there() -> bool {
    std::io::stdin().is_terminal() && std::io::stderr().is_terminal()
}

/// The chance for each of a question's answers, for a visit and the question's path; nothing
/// where the place is not known.
pub type Moves = dyn Fn(&Visit, &str, &[&str]) -> Option<Vec<(String, f64)>>;

/// How a visit becomes a result, and a result a text for the screen.
pub struct Answering<'a> {
    pub report: &'a dyn Fn(Parsed) -> Result<Report>,
    pub text: &'a dyn Fn(&Report) -> String,
    /// What the answers to a question would make of the chance.
    pub moves: &'a Moves,
}

/// Asks until all is said or the person stops.
pub fn ask(begin: Begin, answering: Answering) -> Result<Ended> {
    let today = chrono::Local::now().date_naive();
    let mut keeper = Keeper::default();
    let interview = match &begin.visit {
        None => {
            say("Asked as an estimator, as of today. To change either, type < at the first question.");
            Interview::of_estimator(today)
        }
        Some(path) => {
            let name = path.display().to_string();
            let text = std::fs::read_to_string(path)
                .with_context(|| format!("{name}: cannot be read as text; check the path"))?;
            let read = parse_unfinished(&text, &name).map_err(|error| anyhow!("{error}"))?;
            keeper.head = opening_comment(&text);
            Interview::from_draft(read.draft, &read.not_sure, Some(today))
        }
    }
    .in_units(begin.units);
    keeper.path = begin.save.clone().or(begin.visit.clone());
    let mut talk = Talk {
        interview,
        keeper,
        terminal: Terminal::of_this_terminal(),
        answering,
        section: String::new(),
        last: None,
    };
    if let Some(path) = begin.save.filter(|it| begin.visit.as_ref() != Some(it))
        && path.exists()
    {
        let question = format!("{} already exists. Replace it?", path.display());
        match talk.terminal.yes_or_no(&question, "Enter no")? {
            Some(true) => {}
            Some(false) => bail!(
                "{} already exists; give another name with --save",
                path.display()
            ),
            None => return Ok(Ended::Interrupted),
        }
    }
    let ended = talk.run()?;
    match &ended {
        Ended::Finished { .. } => talk.keeper.say_where("Saved in"),
        Ended::Stopped => talk.keeper.say_how_to_go_on(),
        Ended::Interrupted => {
            // The question that was left stands without its line end.
            output::tell("");
            talk.keeper.say_how_to_go_on();
        }
    }
    Ok(ended)
}

struct Talk<'a> {
    interview: Interview,
    keeper: Keeper,
    terminal: Terminal,
    answering: Answering<'a>,
    section: String,
    /// The result that was shown last, and of what.
    last: Option<(Parsed, Report)>,
}

impl Talk<'_> {
    fn run(&mut self) -> Result<Ended> {
        loop {
            while let Some(step) = self.interview.current() {
                if let Some(ended) = self.question(&step)? {
                    return Ok(ended);
                }
            }
            // The quick pass leads straight to its answer; what can sharpen it comes after.
            let next = if self.interview.depth() == Pass::Quick && self.interview.open_in_more() > 0
            {
                self.result()?;
                self.rest()?
            } else {
                let next = self.check()?;
                if matches!(next, Next::On) {
                    self.result()?;
                }
                next
            };
            match next {
                Next::Ended(ended) => return Ok(ended),
                Next::Question => continue,
                Next::On => {}
            }
            let parsed = self
                .interview
                .parsed()
                .map_err(|missing| anyhow!("no result yet; still needed: {}", listed(&missing)))?;
            return Ok(match self.last.take() {
                Some((of, report)) if of == parsed => Ended::Finished {
                    report: Box::new(report),
                    is_shown: true,
                },
                _ => Ended::Finished {
                    report: Box::new((self.answering.report)(parsed)?),
                    is_shown: false,
                },
            });
        }
    }

    /// Asks one question once.
    fn question(&mut self, step: &Step) -> Result<Option<Ended>> {
        if self.section != step.question.section {
            self.section = step.question.section.clone();
            let (said, all) = self.interview.progress();
            output::tell(&format!(
                "\n{} (question {} of about {all})",
                self.section,
                said + 1
            ));
        }
        let prompt = self.prompt(step);
        match self.terminal.listen(&prompt)? {
            Heard::Text(text) => match self.interview.answer(&text) {
                Ok(()) => return self.keep(),
                Err(error) => say(&self.interview.told(step, &error)),
            },
            Heard::Why => {
                say(&step.question.why);
                if let Some(moved) = self.moved(step) {
                    say(&moved);
                }
            }
            Heard::Back => {
                if !self.interview.back() {
                    say("This is the first question.");
                }
            }
            Heard::Result => self.result()?,
            Heard::Stop => return self.stop().map(Some),
            Heard::Interrupted => return Ok(Some(Ended::Interrupted)),
        }
        Ok(None)
    }

    /// What each answer would make of the chance, once enough was said to tell.
    fn moved(&self, step: &Step) -> Option<String> {
        let visit = self.interview.visit().ok()?;
        let choices = self.interview.choices(step);
        if choices.is_empty() || step.question.is_per_reading() {
            return None;
        }
        let words: Vec<&str> = choices
            .iter()
            .map(|it| it.word.as_str())
            .chain(["unknown"])
            .collect();
        let moves = (self.answering.moves)(&visit, &step.path(), &words)?;
        let audience = self.interview.audience();
        let label = |word: &str| {
            choices
                .iter()
                .find(|it| it.word == word)
                .map_or(NOT_SURE, |it| it.words(audience))
        };
        let said: Vec<String> = moves
            .iter()
            .map(|(word, chance)| format!("{}: {}", label(word), chance_words(*chance)))
            .collect();
        (said.len() > 1).then(|| {
            format!(
                "Chance of going over the limit, from your answers so far. {}.",
                said.join("; ")
            )
        })
    }

    fn prompt(&self, step: &Step) -> Prompt {
        let audience = self.interview.audience();
        let words = step.question.words(audience);
        let choices = self.interview.choices(step);
        let message = if step.question.is_per_reading() {
            format!("Reading {}: {words}", step.reading + 1)
        } else {
            words.to_string()
        };
        let on_enter = match (self.interview.said_to(step), self.interview.default(step)) {
            (Some(said), _) => said,
            (None, Some(default)) => default,
            (None, None) if step.question.is_needed() => "needs an answer".to_string(),
            (None, None) => NOT_SURE.to_string(),
        };
        let mut lines: Vec<String> = choices
            .iter()
            .enumerate()
            .map(|(at, it): (usize, &&Choice)| format!("{}  {}", at + 1, it.words(audience)))
            .collect();
        if !step.question.is_needed() && !lines.is_empty() {
            lines.push("-  not sure".to_string());
        }
        // Where the question gives examples itself, they are not said twice.
        let is_shown = lines.is_empty() && !words.contains('(');
        let not_sure = if step.question.is_needed() || on_enter == NOT_SURE {
            ""
        } else {
            " | - not sure"
        };
        Prompt {
            message,
            accepted: if is_shown {
                self.interview.accepted(step)
            } else {
                String::new()
            },
            help: format!(
                "Enter {}{not_sure} | ? why | < back | = result | . stop",
                clipped(&on_enter)
            ),
            choices: lines,
            is_free_text: field(&step.question.field).is_some_and(|it| it.kind == FieldKind::Text),
            on_enter,
        }
    }

    /// Shows all that was said, to be changed.
    fn check(&mut self) -> Result<Next> {
        let answers = self.interview.answers();
        loop {
            output::tell("\nYour answers");
            for (at, it) in answers.iter().enumerate() {
                let words = it.step.question.words(self.interview.audience());
                // Examples in brackets are not needed any more.
                let words = words.split(" (").next().unwrap_or(words);
                let words = format!("{}?", words.trim_end_matches('?'));
                let of = if it.step.question.is_per_reading() {
                    format!("Reading {}: ", it.step.reading + 1)
                } else {
                    String::new()
                };
                let text = format!("{of}{words} {}", it.said);
                let options = textwrap::Options::new(output::width(true))
                    .initial_indent("")
                    .subsequent_indent("    ");
                output::tell(&textwrap::fill(&format!("{:>3} {text}", at + 1), options));
            }
            let prompt = Prompt {
                message: "Is this right? Type a number to change that answer.".to_string(),
                accepted: format!("1 to {}", answers.len()),
                help: "Enter = looks right | < back | = result | . stop".to_string(),
                choices: Vec::new(),
                is_free_text: false,
                on_enter: "looks right".to_string(),
            };
            match self.terminal.listen(&prompt)? {
                Heard::Text(text) if text.trim().is_empty() || is_yes(&text) => {
                    return Ok(Next::On);
                }
                Heard::Text(text) => {
                    let at = text.trim().parse::<usize>().ok();
                    match at
                        .and_then(|it| it.checked_sub(1))
                        .and_then(|it| answers.get(it))
                    {
                        Some(it) => {
                            if it.step.question.pass == Pass::More {
                                self.interview.go_on_with_more();
                            }
                            self.section.clear();
                            self.interview.go_to(&it.step.path());
                            return Ok(Next::Question);
                        }
                        None => say(&format!("Type a number from 1 to {}.", answers.len())),
                    }
                }
                Heard::Why => {
                    say("A wrong answer is easiest to fix now, before you rely on the result.")
                }
                Heard::Back => {
                    self.interview.back();
                    return Ok(Next::Question);
                }
                Heard::Result => self.result()?,
                Heard::Stop => return self.stop().map(Next::Ended),
                Heard::Interrupted => return Ok(Next::Ended(Ended::Interrupted)),
            }
        }
    }

    /// Offers the questions of the rest, those first that could change the answer most.
    fn rest(&mut self) -> Result<Next> {
        let count = self.interview.open_in_more();
        self.interview.ask_first(self.telling());
        let prompt = Prompt {
            message: format!(
                "Sharpen this? {count} more questions, the ones that could change it most first."
            ),
            accepted: String::new(),
            help: "Enter no | < back | = result | . stop".to_string(),
            choices: vec![
                "1  yes".to_string(),
                "2  no".to_string(),
                "3  look over my answers".to_string(),
            ],
            is_free_text: false,
            on_enter: "no".to_string(),
        };
        loop {
            match self.terminal.listen(&prompt)? {
                Heard::Text(text) if is_yes(&text) || text.trim() == "1" => {
                    self.interview.go_on_with_more();
                    return Ok(Next::Question);
                }
                Heard::Text(text) if is_no(&text) => return Ok(Next::On),
                Heard::Text(text) if text.trim() == "3" => return self.check(),
                Heard::Text(_) => say("Type yes or no, or 3 to look over your answers."),
                Heard::Why => say("Next come drains, minor signs, and room air."),
                Heard::Result => self.result()?,
                Heard::Back => {
                    self.interview.back();
                    return Ok(Next::Question);
                }
                Heard::Stop => return self.stop().map(Next::Ended),
                Heard::Interrupted => return Ok(Next::Ended(Ended::Interrupted)),
            }
        }
    }

    /// Paths of the open questions, most telling first: what can hold the reading back, then
    /// what the last result would ask next.
    fn telling(&self) -> Vec<String> {
        let holds = [
            "signs.water_now",
            "floor.last_wetted_days",
            "floor.surface",
            "floor.cover_removed_days",
            "floor.heated_slab",
        ];
        let next = self.last.iter().flat_map(|(_, report)| &report.next);
        holds
            .into_iter()
            .chain(next.map(|it| it.question.as_str()))
            .map(str::to_string)
            .collect()
    }

    /// Shows the result of what was said so far.
    fn result(&mut self) -> Result<()> {
        match self.interview.parsed() {
            Ok(parsed) => {
                say("Working it out...");
                let report = (self.answering.report)(parsed.clone())?;
                output::tell(&format!("\n{}", (self.answering.text)(&report)));
                self.last = Some((parsed, report));
            }
            Err(missing) => say(&format!(
                "No result yet. Still needed: {}.",
                listed(&missing)
            )),
        }
        // The screen is full of the result, so the next question says where it stands.
        self.section.clear();
        Ok(())
    }

    fn stop(&mut self) -> Result<Ended> {
        Ok(self.keep()?.unwrap_or(Ended::Stopped))
    }

    /// Saves the visit whole, once its day is known.
    fn keep(&mut self) -> Result<Option<Ended>> {
        if self.keeper.path.is_none()
            && let Some(day) = self.interview.draft().visit_date
        {
            let Some(path) = free_name(&format!("visit-{day}"), &self.terminal)? else {
                return Ok(Some(Ended::Interrupted));
            };
            self.keeper.path = Some(path);
            self.keeper.say_where("Each answer is saved in");
        }
        self.keeper.keep(&self.interview.file_text());
        Ok(None)
    }
}

/// What follows the list of answers.
enum Next {
    On,
    Question,
    Ended(Ended),
}

/// Where the visit is kept.
#[derive(Debug, Default)]
struct Keeper {
    path: Option<PathBuf>,
    /// Comments that opened the file.
    head: String,
    is_kept: bool,
}

impl Keeper {
    fn keep(&mut self, text: &str) {
        let Some(path) = &self.path else {
            return;
        };
        // The interview goes on: what was said is still here, and the next answer tries again.
        match output::write(Some(path), &format!("{}{text}", self.head)) {
            Ok(()) => self.is_kept = true,
            Err(error) => {
                self.is_kept = false;
                say(&format!("NOT SAVED: {error:#}."));
            }
        }
    }

    fn say_where(&self, words: &str) {
        if let Some(path) = &self.path {
            say(&format!("{words} {}.", path.display()));
        }
    }

    fn say_how_to_go_on(&self) {
        match &self.path {
            Some(path) if self.is_kept || path.exists() => {
                say(&format!(
                    "Stopped. Your answers are saved in {}. To continue:",
                    path.display()
                ));
                // On one line, so that it can be copied.
                output::tell(&format!(
                    "  slabseason screen --visit {} --ask",
                    path.display()
                ));
            }
            _ => say("Stopped before a visit date was entered. Nothing was saved."),
        }
    }
}

/// The name itself, or on wish the next one that is free. `None` when interrupted.
fn free_name(name: &str, terminal: &Terminal) -> Result<Option<PathBuf>> {
    let first = PathBuf::from(format!("{name}.toml"));
    if !first.exists() {
        return Ok(Some(first));
    }
    let next = (2..)
        .map(|it| PathBuf::from(format!("{name}-{it}.toml")))
        .find(|it| !it.exists())
        .expect("some number is free");
    let question = format!("{} already exists. Replace it?", first.display());
    let help = format!("Enter no, keep this one in {}", next.display());
    Ok(terminal
        .yes_or_no(&question, &help)?
        .map(|over| if over { first } else { next }))
}

/// The start of a long answer.
fn clipped(text: &str) -> String {
    if text.chars().count() <= CLIPPED {
        return text.to_string();
    }
    let start: String = text.chars().take(CLIPPED).collect();
    format!("{}...", start.trim_end())
}

fn listed(missing: &[FieldError]) -> String {
    let texts: Vec<String> = missing.iter().map(FieldError::to_string).collect();
    texts.join("; ")
}

/// Whether a path may hold a visit that is asked for: a stream cannot be written again.
pub fn is_stream(path: &Path) -> bool {
    path.as_os_str() == "-"
}
