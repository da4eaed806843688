//! Every file of a run, known before any work: nothing is written over what is read, no two
//! outputs are one file, and a place that cannot be written is refused at once.

use super::output::{folder_of, target_of, told_path};
use anyhow::{Result, bail};
use std::path::{Path, PathBuf};

/// A regular file as the system knows it, under whatever name.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Identity {
    /// Device and number of a file that is there.
    #[cfg(unix)]
    Known(u64, u64),
    /// A file that is not there yet: its folder and its name. Elsewhere, any file.
    Named(PathBuf),
}

/// The files of a run, with the options that named them.
#[derive(Debug, Default)]
pub struct Files {
    known: Vec<(Identity, String)>,
    /// Who reads standard input.
    stdin: Option<String>,
}

impl Files {
    /// Files that are only read, and one that is written.
    pub fn check(reads: &[(&str, Option<&Path>)], output: Option<&Path>) -> Result<()> {
        let mut files = Self::default();
        for (option, path) in reads {
            files.reads(option, *path)?;
        }
        files.writes("-o", output)
    }

    /// A file to be read; `-` is standard input, which can be read once.
    pub fn reads(&mut self, option: &str, path: Option<&Path>) -> Result<()> {
        let Some(path) = path else {
            return Ok(());
        };
        if path.as_os_str() == "-" {
            if let Some(other) = self.stdin.replace(option.to_string()) {
                bail!(
                    "{other} and {option} both read standard input, which can be read once; give one of them a file"
                );
            }
            return Ok(());
        }
        if let Some(it) = identity(path) {
            self.known
                .push((it, format!("{option} {}", told_path(path))));
        }
        Ok(())
    }

    /// A file to be written; `-` is standard output.
    pub fn writes(&mut self, option: &str, path: Option<&Path>) -> Result<()> {
        let Some(path) = path.filter(|it| it.as_os_str() != "-") else {
            return Ok(());
        };
        let name = told_path(path);
        if path.is_dir() {
            bail!("{option} {name}: is a folder; give the name of a file");
        }
        let target = target_of(path);
        let folder = folder_of(&target);
        if !folder.is_dir() {
            bail!("{option} {name}: cannot be written; check that the folder is there");
        }
        let Some(it) = identity(path) else {
            // A pipe or a device: nothing of it can be lost.
            return Ok(());
        };
        // A nameless file, gone at once, shows whether the folder can be written.
        if let Err(error) = tempfile::tempfile_in(folder) {
            bail!("{option} {name}: cannot be written; its folder takes no file: {error}");
        }
        let told = format!("{option} {name}");
        if let Some((_, other)) = self.known.iter().find(|(known, _)| *known == it) {
            bail!("{other} and {told} are one file; nothing was written; give another name");
        }
        self.known.push((it, told));
        Ok(())
    }

    /// Standard output, where a shell sends it to a file.
    pub fn writes_stdout(&mut self) -> Result<()> {
        #[cfg(unix)]
        {
            use std::os::fd::AsFd;
            let Ok(stdout) = std::io::stdout().as_fd().try_clone_to_owned() else {
                return Ok(());
            };
            let file = std::fs::File::from(stdout);
            if let Some(it) = file.metadata().ok().as_ref().and_then(known)
                && let Some((_, other)) = self.known.iter().find(|(known, _)| *known == it)
            {
                bail!("{other} and standard output are one file; give another name");
            }
        }
        Ok(())
    }
}

/// None for what is no regular file.
fn identity(path: &Path) -> Option<Identity> {
    match std::fs::metadata(path) {
        #[cfg(unix)]
        Ok(it) => known(&it),
        #[cfg(not(unix))]
        Ok(it) if !it.is_file() => None,
        _ => {
            let target = target_of(path);
            let folder = std::fs::canonicalize(folder_of(&target)).ok()?;
            Some(Identity::Named(folder.join(target.file_name()?)))
        }
    }
}

#[cfg(unix)]
fn known(it: &std::fs::Metadata) -> Option<Identity> {
    use std::os::unix::fs::MetadataExt;
    it.is_file().then(|| Identity::Known(it.dev(), it.ino()))
}
