//! The commands that teach: `lesson`, `class`, `pairs` and `signs`.

use super::ask::is_someone_there;
use super::files::Files;
use super::floor::{Done, read};
use super::output;
use super::prompt::{Heard, Prompt, Terminal, say as tell};
use crate::lessons::{
    Call, Class, Guess, Level, add_up, all_letters, answer_key, class, class_sheet, explain,
    explained_text, judge, lesson, named_causes, pairs, pairs_text, paper_exercise, parse_chance,
    parse_results, result_text, view_text,
};
use crate::report::card_text;
use crate::verdict::Cause;
use crate::verdict::ways::Way;
use crate::words::{Language, say, say_with};
use anyhow::{Context, Result};
use clap::{Args as ClapArgs, ValueEnum};
use std::path::PathBuf;

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LevelArg {
    Clear,
    Mixed,
    Borderline,
}

impl LevelArg {
    fn level(self) -> Level {
        match self {
            LevelArg::Clear => Level::Clear,
            LevelArg::Mixed => Level::Mixed,
            LevelArg::Borderline => Level::Borderline,
        }
    }
}

#[derive(Debug, ClapArgs)]
pub struct SetArgs {
    /// Number that picks the set of floors; the same number gives the same floors everywhere.
    #[arg(long, value_name = "NUMBER")]
    pub seed: u64,
    /// How many floors.
    #[arg(long, value_name = "COUNT", default_value_t = 10, value_parser = clap::value_parser!(u16).range(1..=100))]
    pub floors: u16,
    /// How hard the floors are.
    #[arg(long, value_enum, default_value_t = LevelArg::Mixed)]
    pub level: LevelArg,
}

#[derive(Debug, ClapArgs)]
pub struct LessonArgs {
    #[command(flatten)]
    pub set: SetArgs,
}

#[derive(Debug, ClapArgs)]
pub struct ClassArgs {
    #[command(flatten)]
    pub set: SetArgs,
    /// Print the answer key.
    #[arg(long, conflicts_with = "results")]
    pub key: bool,
    /// Score a class: a table with learner,floor,in_100,cause,way,asked.
    #[arg(long, value_name = "FILE", conflicts_with = "card")]
    pub results: Option<PathBuf>,
    /// Floors of one town with its paper card, to add up by hand.
    #[arg(long)]
    pub card: bool,
    /// Write to this file instead of the screen; a partial file is never left behind.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
pub struct PrintArgs {
    /// Write to this file instead of the screen; a partial file is never left behind.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// Prints a class: its sheet, its key, its results or its card.
pub fn print_class(args: &ClassArgs) -> Result<()> {
    let (seed, floors) = (args.set.seed, usize::from(args.set.floors));
    let level = args.set.level.level();
    let width = output::width(args.output.is_none());
    Files::check(
        &[("--results", args.results.as_deref())],
        args.output.as_deref(),
    )?;
    if args.card {
        let exercise = paper_exercise(seed, floors, level).context(say("lesson.card_no_town"))?;
        let text = if args.key {
            exercise.key(width)
        } else {
            format!(
                "{}{}",
                card_text(&exercise.place, &exercise.card, width),
                exercise.sheet(width)
            )
        };
        return output::write_text(args.output.as_deref(), &text);
    }
    let rows = match &args.results {
        None => None,
        Some(path) => {
            let name = path.display().to_string();
            let text = String::from_utf8(read(path)?)
                .with_context(|| format!("{name}: is not a text file; save it as UTF-8 CSV"))?;
            Some(parse_results(&text, &name, floors)?)
        }
    };
    let made: Class = class(seed, floors, level);
    let text = match rows {
        Some(rows) => add_up(&made, &rows, width),
        None if args.key => answer_key(&made, width),
        None => class_sheet(&made, width),
    };
    output::write_text(args.output.as_deref(), &text)
}

/// Prints the trainer's board.
pub fn print_pairs(args: &PrintArgs) -> Result<()> {
    Files::check(&[], args.output.as_deref())?;
    let text = pairs_text(&pairs(), output::width(args.output.is_none()));
    output::write_text(args.output.as_deref(), &text)
}

/// Prints the signs explained.
pub fn print_signs(args: &PrintArgs) -> Result<()> {
    Files::check(&[], args.output.as_deref())?;
    let text = explained_text(&explain(), output::width(args.output.is_none()));
    output::write_text(args.output.as_deref(), &text)
}

/// Asks one floor after the other in a terminal.
pub fn teach(args: &LessonArgs) -> Result<Done> {
    let (seed, floors) = (args.set.seed, usize::from(args.set.floors));
    let level = args.set.level.level();
    if !is_someone_there() {
        let view = lesson(seed, 1, level).view("");
        let how = say_with("lesson.no_terminal", &[("seed", &seed.to_string())]);
        let width = output::width(true);
        let text = format!(
            "{}{}\n\n{}\n",
            view_text(&view, width),
            crate::lessons::questions_text(&view, width),
            textwrap::fill(&how, width)
        );
        output::write_text(None, &text)?;
        return Ok(Done::All);
    }
    let terminal = Terminal::of_this_terminal(Language::English);
    let (mut lost, mut right, mut wrong) = (0.0, 0, 0);
    tell(say("lesson.invented"));
    for number in 1..=floors {
        let floor = lesson(seed, number, level);
        let Some((asked, guess)) = one_guess(&terminal, &floor)? else {
            return Ok(Done::All);
        };
        let result = judge(&floor, &asked, &guess);
        output::tell(&result_text(
            &floor.view(&asked),
            &result,
            output::width(true),
        ));
        lost += result.lost.unwrap_or(0.0);
        match result.way.map(|it| it.call) {
            Some(Call::Right | Call::RightUnlucky) => right += 1,
            Some(Call::Wrong | Call::WrongLucky) => wrong += 1,
            None => {}
        }
        tell(&say_with(
            "lesson.so_far",
            &[
                ("floors", &number.to_string()),
                ("lost", &format!("{lost:.2}")),
                ("right", &right.to_string()),
                ("wrong", &wrong.to_string()),
            ],
        ));
    }
    Ok(Done::All)
}

/// One floor: questions until Enter, then chance, cause and way. `None` to stop.
fn one_guess(
    terminal: &Terminal,
    floor: &crate::lessons::Lesson,
) -> Result<Option<(String, Guess)>> {
    let width = output::width(true);
    let mut asked = String::new();
    loop {
        let view = floor.view(&asked);
        output::tell(&view_text(&view, width));
        if view.to_ask.is_empty() {
            break;
        }
        output::tell(&crate::lessons::questions_text(&view, width));
        let Some(text) = typed(terminal, say("lesson.ask_prompt"), &[])? else {
            return Ok(None);
        };
        let letters: String = text
            .to_uppercase()
            .chars()
            .filter(|it| it.is_alphanumeric())
            .collect();
        if letters.is_empty() {
            break;
        }
        if letters.chars().any(|it| !all_letters().contains(it)) {
            tell(say("lesson.not_letters"));
            continue;
        }
        asked.push_str(&letters);
    }
    let chance = loop {
        let Some(text) = typed(terminal, say("lesson.chance_prompt"), &[])? else {
            return Ok(None);
        };
        match parse_chance(&text) {
            Some(chance) => break chance,
            None => tell(say("lesson.not_chance")),
        }
    };
    let causes: Vec<(&str, Cause)> = named_causes()
        .into_iter()
        .map(|it| (say(&format!("cause.{}", it.word())), it))
        .collect();
    let Some(cause) = chosen(terminal, say("lesson.cause_prompt"), &causes)? else {
        return Ok(None);
    };
    let ways: Vec<(&str, Way)> = Way::ALL
        .into_iter()
        .map(|it| (say(&format!("way.{}", it.word())), it))
        .collect();
    let Some(way) = chosen(terminal, say("lesson.way_prompt"), &ways)? else {
        return Ok(None);
    };
    let guess = Guess {
        chance,
        cause: Some(cause),
        way: Some(way),
    };
    Ok(Some((asked, guess)))
}

fn typed(terminal: &Terminal, message: &str, choices: &[String]) -> Result<Option<String>> {
    let prompt = Prompt {
        message: message.to_string(),
        accepted: String::new(),
        help: ". stop".to_string(),
        choices: choices.to_vec(),
        is_free_text: true,
        on_enter: String::new(),
    };
    Ok(match terminal.listen(&prompt)? {
        Heard::Text(text) => Some(text),
        Heard::Stop | Heard::Interrupted => None,
        Heard::Why | Heard::Back | Heard::Result => Some("?".to_string()),
    })
}

fn chosen<T: Copy>(terminal: &Terminal, message: &str, from: &[(&str, T)]) -> Result<Option<T>> {
    let lines: Vec<String> = from
        .iter()
        .enumerate()
        .map(|(at, it)| format!("{}  {}", at + 1, it.0))
        .collect();
    loop {
        let Some(text) = typed(terminal, message, &lines)? else {
            return Ok(None);
        };
        let number = text.trim().parse::<usize>().ok();
        match number
            .and_then(|it| it.checked_sub(1))
            .and_then(|it| from.get(it))
        {
            Some(it) => return Ok(Some(it.1)),
            None => tell(&format!("Write a number from 1 to {}.", from.len())),
        }
    }
}
