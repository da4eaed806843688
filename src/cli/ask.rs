//! The interview in a terminal: it shows one question at a time and saves each answer.
//!
//! What is asked, and what an answer means, is all in `survey::interview`.

use super::output;
use super::prompt::{Heard, Prompt, Terminal, is_no, is_yes, say};
use crate::report::Report;
use crate::survey::interview::{Answer, Choice, Interview, Pass, Step, opening_comment};
use crate::survey::{
    FieldError, FieldKind, Parsed, UnitSystem, Visit, field, parse_unfinished, unusual_meter_limit,
};
use crate::verdict::UsedLimits;
use crate::words::{self, Language};
use anyhow::{Context, Result, anyhow, bail};
use chrono::NaiveDate;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// Letters of an answer in the line of help, which stays within 80 columns.
const CLIPPED: usize = 20;

/// The question for the limit of a meter.
const LIMIT: &str = "limit.meter_percent";

/// Questions whose answers can hold a reading back.
const HOLD_A_READING: [&str; 4] = [
    "floor.last_wetted_days",
    "floor.surface",
    "floor.cover_removed_days",
    "floor.heated_slab",
];

/// Where the interview starts and where it is kept.
#[derive(Debug)]
pub struct Begin {
    /// A visit to go on with.
    pub visit: Option<PathBuf>,
    /// The file to keep it in; otherwise the file it came from, or one named for the day.
    pub save: Option<PathBuf>,
    /// In which it is asked.
    pub language: Language,
    /// The units of bare numbers.
    pub units: UnitSystem,
}

/// How it ended.
pub enum Ended {
    /// All is said; `is_shown` when this very result stands on the screen.
    Finished {
        parsed: Box<Parsed>,
        report: Box<Report>,
        is_shown: bool,
    },
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
    pub text: &'a dyn Fn(&Parsed, &Report) -> String,
    /// What the answers to a question would make of the chance.
    pub moves: &'a Moves,
    /// Paths of the questions that could change the result, most telling first.
    pub telling: &'a dyn Fn(Parsed) -> Result<Vec<String>>,
}

/// Asks until all is said or the person stops.
pub fn ask(begin: Begin, answering: Answering) -> Result<Ended> {
    let today = chrono::Local::now().date_naive();
    let language = begin.language;
    let mut keeper = Keeper {
        language,
        ..Keeper::default()
    };
    let interview = match &begin.visit {
        None => {
            if language == Language::English {
                say(language.say("talk.start"));
                Interview::of_estimator(today)
            } else {
                Interview::new(Some(today))
            }
        }
        Some(path) => {
            let name = path.display().to_string();
            let text = std::fs::read_to_string(path)
                .with_context(|| language.say_with("talk.cannot_read", &[("file", &name)]))?;
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
        terminal: Terminal::of_this_terminal(begin.language),
        answering,
        language: begin.language,
        section: String::new(),
        last: None,
        today,
        is_day_sure: false,
    };
    if let Some(path) = begin.save.filter(|it| begin.visit.as_ref() != Some(it))
        && path.exists()
    {
        let question = language.say_with("talk.exists", &[("file", &path.display().to_string())]);
        match talk
            .terminal
            .yes_or_no(&question, language.say("talk.enter_no"))?
        {
            Some(true) => {}
            Some(false) => bail!(
                language.say_with("talk.save_exists", &[("file", &path.display().to_string())])
            ),
            None => return Ok(Ended::Interrupted),
        }
    }
    let ended = talk.run()?;
    match &ended {
        Ended::Finished { .. } => talk.keeper.say_where("talk.saved"),
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
    language: Language,
    section: String,
    /// The result that was shown last, and of what.
    last: Option<(Parsed, Report)>,
    today: NaiveDate,
    /// Whether a visit still to come was asked about.
    is_day_sure: bool,
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
            let parsed = self.interview.parsed().map_err(|missing| {
                anyhow!(
                    self.language
                        .say_with("talk.still_needed", &[("missing", &listed(&missing))])
                )
            })?;
            return Ok(match self.last.take() {
                Some((of, report)) if of == parsed => Ended::Finished {
                    parsed: Box::new(of),
                    report: Box::new(report),
                    is_shown: true,
                },
                _ => Ended::Finished {
                    report: Box::new((self.answering.report)(parsed.clone())?),
                    parsed: Box::new(parsed),
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
            let place = self.language.say_with(
                "talk.place",
                &[
                    ("section", &words::section(self.language, step.question)),
                    ("number", &(said + 1).to_string()),
                    ("all", &all.to_string()),
                ],
            );
            output::tell(&format!("\n{place}"));
        }
        let prompt = self.prompt(step);
        match self.terminal.listen(&prompt)? {
            Heard::Text(text) => {
                let text = words::heard(self.language, &self.interview, step, &text);
                match self.interview.answer(&text) {
                    Ok(()) => {
                        if let Some(ended) = self.confirm_limit(step)? {
                            return Ok(Some(ended));
                        }
                        self.question_a_day_ahead(step);
                        return self.keep();
                    }
                    Err(error) => say(&self.fault(step, &error)),
                }
            }
            Heard::Why => {
                say(&words::why_asked(self.language, step.question));
                if let Some(moved) = self.moved(step) {
                    say(&moved);
                }
            }
            Heard::Back => {
                if !self.interview.back() {
                    say(self.language.say("talk.first"));
                }
            }
            Heard::Result => self.result()?,
            Heard::Stop => return self.stop().map(Some),
            Heard::Interrupted => return Ok(Some(Ended::Interrupted)),
        }
        Ok(None)
    }

    /// Asks once more for the day of a visit that is still to come.
    fn question_a_day_ahead(&mut self, step: &Step) {
        let day = self.interview.draft().visit_date;
        let is_ahead = day.is_some_and(|it| it > self.today);
        if step.question.field == "visit_date" && is_ahead && !self.is_day_sure {
            self.is_day_sure = true;
            say(self.language.say("talk.day_ahead"));
            self.interview.go_to(&step.path());
        }
    }

    /// Asks about a limit that no data sheet is known to have; `no` leads back to its question.
    fn confirm_limit(&mut self, step: &Step) -> Result<Option<Ended>> {
        let limit = self.interview.draft().limit.meter_percent;
        let Some(odd) = limit.and_then(unusual_meter_limit) else {
            return Ok(None);
        };
        if step.question.field != LIMIT {
            return Ok(None);
        }
        let question = self.language.say_with(
            "talk.limit_odd",
            &[
                ("limit", &odd.limit),
                ("low", &odd.low),
                ("high", &odd.high),
            ],
        );
        let help = self.language.say("talk.enter_no");
        match self.terminal.yes_or_no(&question, help)? {
            Some(true) => {}
            Some(false) => {
                self.interview.go_to(LIMIT);
            }
            None => return Ok(Some(Ended::Interrupted)),
        }
        Ok(None)
    }

    /// What is wrong with an answer, to somebody who typed it.
    fn fault(&self, step: &Step, error: &FieldError) -> String {
        if self.language == Language::English {
            return self.interview.told(step, error);
        }
        let told = words::fault(self.language, &self.interview, step, error);
        self.language.say_with("talk.fix", &[("error", &told)])
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
            choices.iter().find(|it| it.word == word).map_or_else(
                || self.language.say("talk.not_sure").to_string(),
                |it| words::choice(self.language, it, audience),
            )
        };
        let said: Vec<String> = moves
            .iter()
            .map(|(word, chance)| format!("{}: {}", label(word), self.language.chance(*chance)))
            .collect();
        (said.len() > 1).then(|| {
            self.language
                .say_with("talk.moves", &[("chances", &said.join("; "))])
        })
    }

    fn prompt(&self, step: &Step) -> Prompt {
        let audience = self.interview.audience();
        let language = self.language;
        let words = words::asked(language, step.question, audience);
        let choices = self.interview.choices(step);
        let message = if step.question.is_per_reading() {
            language.say_with(
                "talk.reading",
                &[
                    ("number", &(step.reading + 1).to_string()),
                    ("question", &words),
                ],
            )
        } else {
            words.clone()
        };
        let not_known = language.say("talk.not_sure");
        let said = self.interview.said_to(step).map(|said| {
            let answer = Answer { step: *step, said };
            words::said(language, &self.interview, &answer)
        });
        let limit = UsedLimits::common_percent().to_string();
        let stands_in = language.say_with("talk.limit_default", &[("limit", &limit)]);
        let on_enter = match (said, self.interview.default(step)) {
            // What stands in for a limit nobody knows is said before it is used.
            (None, None) if step.question.field == LIMIT => stands_in,
            (Some(said), _) => said,
            (None, Some(default)) => default,
            (None, None) if step.question.is_needed() => {
                language.say("talk.needs_answer").to_string()
            }
            (None, None) => not_known.to_string(),
        };
        let mut lines: Vec<String> = choices
            .iter()
            .enumerate()
            .map(|(at, it): (usize, &&Choice)| {
                format!("{}  {}", at + 1, words::choice(language, it, audience))
            })
            .collect();
        if !step.question.is_needed() && !lines.is_empty() {
            lines.push(language.say("talk.not_sure.line").to_string());
        }
        // Where the question gives examples itself, they are not said twice.
        let is_shown = lines.is_empty() && !words.contains('(');
        let not_sure = if step.question.is_needed() || on_enter == not_known {
            String::new()
        } else {
            [" ", language.say("talk.help.not_sure")].concat()
        };
        Prompt {
            message,
            accepted: if is_shown && language == Language::English {
                self.interview.accepted(step)
            } else {
                String::new()
            },
            help: language.say_with(
                "talk.help",
                &[("answer", &clipped(&on_enter)), ("not_sure", &not_sure)],
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
            output::tell(&format!("\n{}", self.language.say("talk.check")));
            for (at, it) in answers.iter().enumerate() {
                let words =
                    words::asked(self.language, it.step.question, self.interview.audience());
                // Examples in brackets are not needed any more.
                let words = words.split(" (").next().unwrap_or(&words);
                let words = format!("{}?", words.trim_end_matches('?'));
                let words = if it.step.question.is_per_reading() {
                    self.language.say_with(
                        "talk.reading",
                        &[
                            ("number", &(it.step.reading + 1).to_string()),
                            ("question", &words),
                        ],
                    )
                } else {
                    words
                };
                let said = words::said(self.language, &self.interview, it);
                let text = format!("{words} {said}");
                let options = textwrap::Options::new(output::width(true))
                    .initial_indent("")
                    .subsequent_indent("    ");
                output::tell(&textwrap::fill(&format!("{:>3} {text}", at + 1), options));
            }
            let prompt = Prompt {
                message: self.language.say("talk.check.ask").to_string(),
                accepted: self.language.say_with(
                    "talk.check.accepted",
                    &[("count", &answers.len().to_string())],
                ),
                help: self.language.say("talk.check.help").to_string(),
                choices: Vec::new(),
                is_free_text: false,
                on_enter: self.language.say("talk.check.right").to_string(),
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
                        None => say(&self.language.say_with(
                            "talk.check.number",
                            &[("count", &answers.len().to_string())],
                        )),
                    }
                }
                Heard::Why => say(self.language.say("talk.check.why")),
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

    /// Offers the questions of the rest that could change the answer, in the order of what to
    /// ask next, and on wish all of them.
    fn rest(&mut self) -> Result<Next> {
        let all = self.interview.open_in_more();
        let telling = self.telling()?;
        let count = telling.len();
        let language = self.language;
        let with_count =
            |key: &str, count: usize| language.say_with(key, &[("count", &count.to_string())]);
        let message = match count {
            0 => language.say("talk.rest.none").to_string(),
            1 => language.say("talk.rest.one").to_string(),
            _ => with_count("talk.rest", count),
        };
        let yes = if count == 0 { all } else { count };
        let mut choices = vec![
            format!("1  {}", language.say("talk.yes")),
            format!("2  {}", language.say("talk.no")),
            format!("3  {}", language.say("talk.rest.look")),
        ];
        if count > 0 && all > count {
            choices.push(format!("4  {}", with_count("talk.rest.all", all)));
        }
        let has_all = yes == all || choices.len() == 4;
        let prompt = Prompt {
            message,
            accepted: String::new(),
            help: language.say("talk.rest.help").to_string(),
            choices,
            is_free_text: false,
            on_enter: language.say("talk.no").to_string(),
        };
        loop {
            match self.terminal.listen(&prompt)? {
                Heard::Text(text) if is_yes(&text) || text.trim() == "1" => {
                    if count == 0 {
                        self.interview.ask_first(telling);
                    } else {
                        self.interview.ask_only(telling);
                    }
                    self.interview.go_on_with_more();
                    return Ok(Next::Question);
                }
                Heard::Text(text) if is_no(&text) => return Ok(Next::On),
                Heard::Text(text) if text.trim() == "3" => return self.check(),
                Heard::Text(text) if text.trim() == "4" && has_all => {
                    self.interview.ask_first(telling);
                    self.interview.go_on_with_more();
                    return Ok(Next::Question);
                }
                Heard::Text(_) => say(language.say("talk.rest.yes_or_no")),
                Heard::Why => say(language.say("talk.rest.why")),
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

    /// Paths of the open questions that matter: what the whole report would ask next, then what
    /// can hold the reading back.
    fn telling(&self) -> Result<Vec<String>> {
        let Ok(parsed) = self.interview.parsed() else {
            return Ok(Vec::new());
        };
        let has_reading = !parsed.visit.readings.is_empty();
        let mut paths = (self.answering.telling)(parsed)?;
        if has_reading {
            paths.extend(HOLD_A_READING.map(str::to_string));
        }
        let mut known = std::collections::HashSet::new();
        paths.retain(|it| known.insert(it.clone()));
        Ok(self.interview.open_among(&paths))
    }

    /// Shows the result of what was said so far.
    fn result(&mut self) -> Result<()> {
        match self.interview.parsed() {
            Ok(parsed) => {
                say(self.language.say("talk.working"));
                let report = (self.answering.report)(parsed.clone())?;
                output::tell(&format!("\n{}", (self.answering.text)(&parsed, &report)));
                self.last = Some((parsed, report));
            }
            Err(missing) => {
                let missing = match self.language {
                    Language::English => listed(&missing),
                    Language::Spanish => self.language.say("talk.missing.all").to_string(),
                };
                say(&self
                    .language
                    .say_with("talk.missing", &[("missing", &missing)]));
            }
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
            let name = format!("visit-{day}");
            let Some(path) = free_name(&name, &self.terminal, self.language)? else {
                return Ok(Some(Ended::Interrupted));
            };
            self.keeper.path = Some(path);
            self.keeper.say_where("talk.kept");
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
    language: Language,
}

impl Keeper {
    fn keep(&mut self, text: &str) {
        let Some(path) = &self.path else {
            return;
        };
        // The interview goes on: what was said is still here, and the next answer tries again.
        match output::write_over(Some(path), &format!("{}{text}", self.head)) {
            Ok(()) => self.is_kept = true,
            Err(error) => {
                self.is_kept = false;
                say(&self
                    .language
                    .say_with("talk.not_saved", &[("error", &format!("{error:#}"))]));
            }
        }
    }

    fn say_where(&self, key: &str) {
        if let Some(path) = &self.path {
            say(&self
                .language
                .say_with(key, &[("file", &path.display().to_string())]));
        }
    }

    fn say_how_to_go_on(&self) {
        match &self.path {
            Some(path) if self.is_kept || path.exists() => {
                self.say_where("talk.stopped");
                // On one line, so that it can be copied.
                output::tell(&format!(
                    "  slabseason screen --visit {} --ask",
                    path.display()
                ));
            }
            _ => say(self.language.say("talk.stopped.nothing")),
        }
    }
}

/// The name itself, or on wish the next one that is free. `None` when interrupted.
fn free_name(name: &str, terminal: &Terminal, language: Language) -> Result<Option<PathBuf>> {
    let first = PathBuf::from(format!("{name}.toml"));
    if !first.exists() {
        return Ok(Some(first));
    }
    let next = (2..)
        .map(|it| PathBuf::from(format!("{name}-{it}.toml")))
        .find(|it| !it.exists())
        .expect("some number is free");
    let question = language.say_with("talk.exists", &[("file", &first.display().to_string())]);
    let help = language.say_with(
        "talk.enter_no_keep",
        &[("file", &next.display().to_string())],
    );
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
