//! Printing and writing: results to stdout or a whole file, talk to stderr.
//!
//! The one place where text leaves the program: what a terminal would obey is taken out here,
//! and a reader that has gone away ends nothing.

use crate::words::{Language, say_with};
use anyhow::{Context, Result, bail};
use std::io::{IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

/// Columns of a report that does not go to a terminal.
const PLAIN_WIDTH: usize = 80;
/// Letters of one line of talk; more is a file that was taken for text.
const LONGEST_TALK: usize = 1_000;

/// Columns to lay text out in.
pub fn width(to_screen: bool) -> usize {
    if to_screen && std::io::stdout().is_terminal() {
        let columns =
            terminal_size::terminal_size().map_or(PLAIN_WIDTH, |(width, _)| width.0 as usize);
        columns.clamp(40, PLAIN_WIDTH)
    } else {
        PLAIN_WIDTH
    }
}

/// Text without what a terminal would obey or a reader could not see: escapes, other control
/// characters, and marks that turn the direction of writing. Line ends and tabs stay.
pub fn harmless(text: &str) -> String {
    let is_obeyed = |it: &char| {
        let is_mark = matches!(*it,
            '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}');
        is_mark || it.is_control() && !matches!(*it, '\n' | '\t')
    };
    if !text.chars().any(|it| is_obeyed(&it)) {
        return text.to_string();
    }
    text.chars()
        .map(|it| if is_obeyed(&it) { '\u{fffd}' } else { it })
        .collect()
}

/// Says a line on stderr. Nobody listening is no reason to stop.
pub fn tell(text: &str) {
    let mut out = String::new();
    for line in harmless(text).split('\n') {
        match line.char_indices().nth(LONGEST_TALK) {
            Some((end, _)) => {
                out.push_str(&line[..end]);
                out.push_str("...");
            }
            None => out.push_str(line),
        }
        out.push('\n');
    }
    ask_for(&out);
}

/// The same without a line end, for what is answered on the same line.
pub fn ask_for(text: &str) {
    let mut stderr = std::io::stderr().lock();
    stderr
        .write_all(harmless(text).as_bytes())
        .and_then(|()| stderr.flush())
        .ok();
}

/// Prints text for a person, or writes it to a file whole or not at all.
pub fn write_text(path: Option<&Path>, text: &str) -> Result<()> {
    write(path, &harmless(text))
}

/// Prints, or writes a file whole or not at all; a file that is there and is not ours stays.
pub fn write(path: Option<&Path>, text: &str) -> Result<()> {
    if let Some(path) = path.filter(|it| it.as_os_str() != "-") {
        check_ours(path, text)?;
    }
    write_over(path, text)
}

/// Prints, or writes a file whole or not at all, whatever is there.
///
/// A link is followed to its file, and a file that is there keeps its mode. What is no regular
/// file (a pipe, a device) is written straight through.
pub fn write_over(path: Option<&Path>, text: &str) -> Result<()> {
    let Some(path) = path.filter(|it| it.as_os_str() != "-") else {
        let mut stdout = std::io::stdout().lock();
        return match stdout
            .write_all(text.as_bytes())
            .and_then(|()| stdout.flush())
        {
            // A reader such as `head` may have seen enough.
            Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
            other => other.context("writing to standard output"),
        };
    };
    let told = || {
        format!(
            "{}: cannot be written; check that the folder is there",
            told_path(path)
        )
    };
    let known = std::fs::metadata(path).ok();
    if let Some(it) = &known {
        if it.is_dir() {
            bail!("{}: is a folder; give the name of a file", told_path(path));
        }
        if !it.is_file() {
            let mut file = std::fs::OpenOptions::new()
                .write(true)
                .open(path)
                .with_context(told)?;
            return file
                .write_all(text.as_bytes())
                .and_then(|()| file.flush())
                .with_context(told);
        }
    }
    let target = target_of(path);
    let mut whole = tempfile::Builder::new();
    // As other programs write: readable by whom the system's mask allows.
    #[cfg(unix)]
    whole.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = whole.tempfile_in(folder_of(&target)).with_context(told)?;
    file.write_all(text.as_bytes()).with_context(told)?;
    if let Some(it) = known {
        file.as_file()
            .set_permissions(it.permissions())
            .with_context(told)?;
    }
    file.as_file().sync_all().with_context(told)?;
    file.persist(&target).with_context(told)?;
    Ok(())
}

/// What is read of a file to know it again, bytes.
const LOOKED_AT: u64 = 4_000_000;

/// Refuses to replace a file that is there and was not written by the like of what is coming. A
/// visit file is never replaced: somebody has answered its questions.
///
/// # Errors
///
/// The file is not ours: its name, and what to do.
pub fn check_ours(path: &Path, coming: &str) -> Result<()> {
    let target = target_of(path);
    if !target.is_file() {
        return Ok(());
    }
    let mut bytes = Vec::new();
    // What cannot be read cannot be judged, and what cannot be written says so later.
    let Ok(file) = std::fs::File::open(&target) else {
        return Ok(());
    };
    if file.take(LOOKED_AT).read_to_end(&mut bytes).is_err() || bytes.is_empty() {
        return Ok(());
    }
    let is_visit = |it: &Path| it.extension().is_some_and(|it| it == "toml");
    let there = String::from_utf8_lossy(&bytes);
    let is_ours = is_like(&there, coming) || bears_our_words(&there);
    if is_visit(&target) || is_visit(path) || !is_ours {
        let file = told_path(path);
        bail!("{}", say_with("error.not_ours", &[("file", &file)]));
    }
    Ok(())
}

/// Whether two texts begin alike, past what every file of their kind begins with.
fn is_like(there: &str, coming: &str) -> bool {
    match (telling_line(there), telling_line(coming)) {
        // An office's own columns stand behind ours.
        (Some(one), Some(other)) => one.starts_with(other) || other.starts_with(one),
        _ => false,
    }
}

fn telling_line(text: &str) -> Option<&str> {
    let every_file = |it: &&str| {
        let lower = it.to_lowercase();
        let of_html = ["<!", "<html", "<head", "<meta"];
        let of_calendars = ["begin:vcalendar", "version:2.0", "calscale"];
        *it == "{"
            || *it == "["
            || of_html
                .iter()
                .chain(&of_calendars)
                .any(|one| lower.starts_with(one))
    };
    text.lines()
        .map(str::trim)
        .filter(|it| !it.is_empty())
        .find(|it| !every_file(it))
}

/// Whether a text bears the sentence that every result of ours does.
fn bears_our_words(text: &str) -> bool {
    let plain = |it: &str| it.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = plain(text);
    [Language::English, Language::Spanish]
        .iter()
        .flat_map(|language| ["disclaimer", "disclaimer.short"].map(|key| language.say(key)))
        .filter_map(|it| it.split_inclusive(['.', ';']).next())
        .any(|sentence| text.contains(sentence))
}

/// The file that a path leads to through links, whether it is there yet or not.
pub fn target_of(path: &Path) -> PathBuf {
    if let Ok(it) = std::fs::canonicalize(path) {
        return it;
    }
    let mut target = path.to_path_buf();
    // As many links as systems follow.
    for _ in 0..40 {
        let Ok(link) = std::fs::read_link(&target) else {
            break;
        };
        target = folder_of(&target).join(link);
    }
    target
}

/// The folder that a file stands in.
pub fn folder_of(path: &Path) -> &Path {
    path.parent()
        .filter(|it| !it.as_os_str().is_empty())
        .unwrap_or(Path::new("."))
}

/// A path for messages.
pub fn told_path(path: &Path) -> String {
    path.display().to_string()
}

/// Says what went wrong, with its causes.
pub fn complain(error: &anyhow::Error) {
    let parts: Vec<String> = error.chain().map(|it| it.to_string()).collect();
    tell(&format!("error: {}", parts.join(": ")));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: by hand; the marks are those of Unicode's bidirectional algorithm (UAX 9).
    #[test]
    fn what_a_terminal_obeys_is_taken_out() {
        assert_eq!(harmless("plain ä\tb\n"), "plain ä\tb\n");
        for it in [
            '\u{1b}', '\u{7}', '\u{8}', '\r', '\u{9b}', '\u{202e}', '\u{2066}', '\u{200f}',
            '\u{61c}',
        ] {
            assert_eq!(harmless(&format!("a{it}b")), "a\u{fffd}b", "{it:?}");
        }
    }

    #[test]
    fn what_every_file_begins_with_tells_nothing() {
        let ours = "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:slabseason\n";
        assert!(is_like(ours, ours));
        assert!(!is_like(
            "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:other\n",
            ours
        ));
        assert!(!is_like("{\n  \"name\": 1", "{\n  \"schema\": 1"));
        assert!(!is_like(
            "<!doctype html>\n<title>Mine</title>",
            "<!doctype html>\n<title>Ours</title>"
        ));
        assert!(!is_like("{\n", "{\n"));
        assert!(bears_our_words(
            "Note\nThis is a screening\n  estimate, not a test. And so on."
        ));
        assert!(!bears_our_words("my own list of jobs"));
    }
}
