//! Printing and writing: results to stdout or a whole file, talk to stderr.

use anyhow::{Context, Result};
use std::io::{IsTerminal, Write};
use std::path::Path;

/// Columns of a report that does not go to a terminal.
const PLAIN_WIDTH: usize = 80;

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

/// Prints, or writes a file whole or not at all.
pub fn write(path: Option<&Path>, text: &str) -> Result<()> {
    match path.filter(|it| it.as_os_str() != "-") {
        None => {
            let mut stdout = std::io::stdout().lock();
            match stdout
                .write_all(text.as_bytes())
                .and_then(|()| stdout.flush())
            {
                // A reader such as `head` may have seen enough.
                Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
                other => other.context("writing to standard output"),
            }
        }
        Some(path) => {
            let told = || {
                format!(
                    "{}: cannot be written; check that the folder is there",
                    path.display()
                )
            };
            let folder = path
                .parent()
                .filter(|it| !it.as_os_str().is_empty())
                .unwrap_or(Path::new("."));
            let mut whole = tempfile::Builder::new();
            // As other programs write: readable by whom the system's mask allows.
            #[cfg(unix)]
            whole.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
            let mut file = whole.tempfile_in(folder).with_context(told)?;
            file.write_all(text.as_bytes()).with_context(told)?;
            file.persist(path).with_context(told)?;
            Ok(())
        }
    }
}

/// A path for messages.
pub fn told_path(path: &Path) -> String {
    path.display().to_string()
}

/// Says what went wrong, with its causes.
pub fn complain(error: &anyhow::Error) {
    let parts: Vec<String> = error.chain().map(|it| it.to_string()).collect();
    eprintln!("error: {}", parts.join(": "));
}
