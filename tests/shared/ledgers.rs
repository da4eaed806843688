//! A ledger in a folder of its own, and what is asked of it by the program.

use crate::floors::root;
use assert_cmd::Command;
use slabseason::ledger::Ledger;
use std::path::{Path, PathBuf};
use std::process::Output;

/// The day on which floors are added, as a rule: the one after the visit.
pub const ADDED: &str = "2026-09-09";

/// The program with what is typed after its name, in the repository.
pub fn program(typed: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_slabseason"));
    command.current_dir(root()).args(typed.split(' '));
    command
}

/// What a program that succeeds writes.
#[track_caller]
pub fn done(output: &Output) -> String {
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{told}");
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// A program that fails names these.
#[track_caller]
pub fn fails(output: &Output, names: &[&str]) {
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8_lossy(&output.stderr);
    for name in names {
        assert!(told.contains(name), "{name} is not in {told}");
    }
}

/// A visit of an invented house with a reading.
pub fn visit(label: &str, built: i32, percent: f64) -> String {
    format!(
        "visit_version = 1\nvisit_date = 2026-09-08\nlabel = \"{label}\"\npostal = \"05401\"\n\n[floor]\nsetting = \"basement\"\nyear_built = {built}\n\n[lot]\nposition = \"low\"\n\n[[reading]]\nkind = \"meter\"\nvalue = {percent}\nscale = \"percent\"\nspot = \"A1\"\nmeter_id = \"m1\"\n"
    )
}

/// A table of so many invented floors.
pub fn table(from: usize, count: usize) -> String {
    let mut text = "visit,label,visit_date,postal,floor.setting,floor.year_built,reading.1.kind,reading.1.value,reading.1.scale\n".to_string();
    for at in from..from + count {
        text.push_str(&format!(
            "{at},job-{at},2026-09-08,05401,basement,{},meter,{:.1},percent\n",
            1930 + at % 80,
            2.5 + (at % 20) as f64 * 0.1
        ));
    }
    text
}

/// A ledger's file; a folder of the test's own goes with it.
pub struct Case {
    folder: tempfile::TempDir,
    /// The ledger, which the first floor that is added makes.
    pub file: PathBuf,
}

impl Case {
    /// A folder without a ledger yet.
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("floors.ledger");
        Self { folder, file }
    }

    /// A ledger that is there already.
    pub fn at(file: PathBuf) -> Self {
        Self {
            file,
            ..Self::new()
        }
    }

    /// A ledger with these floors of a table in it.
    pub fn of_table(text: &str) -> Self {
        let case = Self::new();
        case.import(text);
        case
    }

    /// A ledger with the floor `job-7`, read 3.6 %, added on a day.
    pub fn of_floor(on: &str) -> Self {
        let case = Self::new();
        case.add(&visit("job-7", 1958, 3.6), on);
        case
    }

    /// A path in the folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file into the folder and gives its path as text.
    pub fn write(&self, name: &str, text: &str) -> String {
        std::fs::write(self.path(name), text).unwrap();
        self.path(name).to_str().unwrap().to_string()
    }

    /// What is typed after the program's name to ask the ledger something.
    pub fn typed(&self, asked: &str) -> String {
        format!("ledger --ledger {} {asked}", self.file.display())
    }

    /// Asks the ledger something.
    pub fn run(&self, asked: &str) -> Output {
        program(&self.typed(asked)).output().unwrap()
    }

    /// Asks the ledger something that it answers.
    #[track_caller]
    pub fn does(&self, asked: &str) -> String {
        done(&self.run(asked))
    }

    /// Asks the ledger something that it refuses, naming these.
    #[track_caller]
    pub fn refuses(&self, asked: &str, names: &[&str]) {
        fails(&self.run(asked), names);
    }

    /// Adds a visit on a day.
    #[track_caller]
    pub fn add(&self, text: &str, on: &str) -> String {
        let job = self.write("job.toml", text);
        self.does(&format!("add {job} --on {on}"))
    }

    /// Adds the floors of a table.
    #[track_caller]
    pub fn import(&self, text: &str) {
        let season = self.write("season.csv", text);
        self.does(&format!("import {season} --on {ADDED}"));
    }

    /// The lines of the ledger, read through the library.
    pub fn lines(&self) -> String {
        lines(&self.file)
    }

    /// What is in the file hangs together: pages, seals, and each floor whole. Gives their number.
    #[track_caller]
    pub fn assert_whole(&self) -> u64 {
        let ledger = Ledger::open(&self.file).unwrap();
        assert!(ledger.is_whole().unwrap());
        let (_, broken) = ledger.broken_seal().unwrap();
        assert_eq!(broken, None);
        for floor in ledger.each_floor().unwrap() {
            let visits = ledger.visits(floor.id).unwrap();
            let sealed = ledger.sealed_of(floor.id).unwrap();
            assert!(!visits.is_empty());
            assert_eq!(visits.len(), sealed.len(), "a visit without its seal");
            assert!(ledger.result(sealed[0].id).unwrap().is_some());
            assert!(!ledger.readings(floor.id).unwrap().is_empty());
        }
        ledger.floors().unwrap()
    }
}

/// The lines of a ledger, read through the library.
pub fn lines(file: &Path) -> String {
    let mut text = String::new();
    Ledger::open(file)
        .unwrap()
        .lines(|line| {
            text.push_str(line);
            Ok(())
        })
        .unwrap();
    text
}
