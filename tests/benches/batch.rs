//! How many floors a second `batch` does, and in how much memory: `cargo bench --bench batch`.
//!
//! `-- --memory 100000` runs so many rows that share their draws and prints the peak memory;
//! that takes minutes. Nothing here fails by being slow.

#[path = "../../examples/invented_floors.rs"]
mod invented_floors;

use invented_floors::{Alike, table};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let folder = tempfile::tempdir().expect("a folder for tables");
    let rows = arguments
        .iter()
        .position(|it| it == "--memory")
        .and_then(|at| arguments.get(at + 1)?.parse::<usize>().ok());
    let runs: Vec<(Alike, &str, usize)> = match rows {
        Some(rows) => vec![(Alike::Shared, "shared", rows)],
        None => vec![
            (Alike::Different, "different", 300),
            (Alike::Season, "season", 300),
            (Alike::Shared, "shared", 2_000),
        ],
    };
    for (alike, name, count) in runs {
        let floors = folder.path().join("floors.csv");
        std::fs::write(&floors, table(count, alike, 2026)).expect("the folder takes a file");
        for threads in ["1", "2"] {
            if rows.is_some() && threads == "1" {
                continue;
            }
            let (seconds, peak) = run(&floors, threads);
            println!(
                "{name:10} {count:7} floors, {threads} threads: {:8.1} floors/s, peak {peak}",
                count as f64 / seconds
            );
        }
    }
}

/// Seconds and peak memory of a run.
fn run(floors: &Path, threads: &str) -> (f64, String) {
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_slabseason"))
        .arg("batch")
        .arg(floors)
        .args(["--bare", "--threads", threads])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let status = format!("/proc/{}/status", child.id());
    let mut peak = "not told on this system".to_string();
    loop {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        if let Some(line) = text.lines().find(|it| it.starts_with("VmHWM")) {
            peak = line
                .split_whitespace()
                .skip(1)
                .collect::<Vec<_>>()
                .join(" ");
        }
        if child
            .try_wait()
            .expect("the run can be asked after")
            .is_some()
        {
            return (start.elapsed().as_secs_f64(), peak);
        }
        std::thread::sleep(Duration::from_millis(10));
    }
}
