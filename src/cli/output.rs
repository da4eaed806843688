//! Printing and writing: results to stdout or a whole file, talk to stderr.
//!
//! The one place where text leaves the program: what a terminal would obey is taken out here,
//! and a reader that has gone away ends nothing.

use anyhow::{Context, Result, bail};
use std::io::{IsTerminal, Write};
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

/// Prints, or writes a file whole or not at all.
///
/// A link is followed to its file, and a file that is there keeps its mode. What is no regular
/// file (a pipe, a device) is written straight through.
pub fn write(path: Option<&Path>, text: &str) -> Result<()> {
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
}
