//! The program as it is typed: examples of the help, exit codes, errors, whole files.

use assert_cmd::Command;
use std::path::Path;

fn program() -> Command {
    let mut command = Command::cargo_bin("slabseason").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command
}

fn run(words: &[&str]) -> (i32, String, String) {
    let output = program().args(words).output().unwrap();
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

const VISIT: &str = "examples/visits/low_lot_rochester.toml";

#[test]
fn every_example_of_the_help_runs() {
    let folder = tempfile::tempdir().unwrap();
    let mut ran = 0;
    for command in [
        "screen",
        "dry",
        "climate",
        "card",
        "schema",
        "completions",
        "manual",
    ] {
        let (code, help, _) = run(&[command, "--help"]);
        assert_eq!(code, 0);
        let examples: Vec<&str> = help
            .lines()
            .filter_map(|it| it.strip_prefix("  slabseason "))
            .collect();
        assert!(
            examples.len() >= 2,
            "{command} has {} examples",
            examples.len()
        );
        for example in examples {
            let plain = example.split(" > ").next().unwrap();
            // What is asked in a terminal is tested in tests/interview.rs.
            if plain == "screen" || plain.contains("--ask") || plain.contains("--save") {
                continue;
            }
            let inside = folder.path().join("out").display().to_string();
            let mut words: Vec<String> = plain.split_whitespace().map(str::to_string).collect();
            if let Some(at) = words.iter().position(|it| it == "-o") {
                words[at + 1] = inside.clone();
            }
            let output = program().args(&words).output().unwrap();
            assert!(
                output.status.success(),
                "{plain}: {}",
                String::from_utf8_lossy(&output.stderr)
            );
            ran += 1;
        }
    }
    assert!(ran >= 12, "{ran}");
}

#[test]
fn errors_say_where_and_write_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let head = "visit_version = 1\nvisit_date = 2026-09-08\n";
    let cases: [(&str, String, &[&str]); 8] = [
        (
            "field",
            format!("{head}postal = \"05401\"\n[floor]\nyear_bilt = 1958\n"),
            &["line 5", "year_bilt", "year_built"],
        ),
        (
            "value",
            format!("{head}postal = \"05401\"\n[floor]\nthickness_mm = 9000\n"),
            &["line 5", "9000"],
        ),
        (
            "station",
            format!("{head}station = \"USW99999999\"\n[floor]\nsetting = \"basement\"\n"),
            &["USW99999999"],
        ),
        (
            "late",
            format!(
                "{head}postal = \"05401\"\n[[reading]]\ndate = 2026-10-01\nkind = \"meter\"\nvalue = 3.0\n"
            ),
            &["2026-10-01", "2026-09-08"],
        ),
        (
            "warm",
            format!("{head}postal = \"05401\"\n[air]\ntemp_c = 67\n"),
            &["line 5", "67F"],
        ),
        ("empty", String::new(), &["empty"]),
        (
            "page",
            "<!doctype html><html></html>".to_string(),
            &["HTML"],
        ),
        (
            "far",
            format!("{head}latitude = 48.2\nlongitude = 16.4\n[floor]\nsetting = \"basement\"\n"),
            &["far"],
        ),
    ];
    for (name, text, said) in cases {
        let path = folder.path().join(format!("{name}.toml"));
        let out = folder.path().join(format!("{name}.out"));
        std::fs::write(&path, text).unwrap();
        let (code, stdout, stderr) = run(&[
            "screen",
            "--visit",
            path.to_str().unwrap(),
            "-o",
            out.to_str().unwrap(),
        ]);
        assert_eq!((code, stdout.as_str()), (2, ""), "{name}: {stderr}");
        assert!(
            stderr.starts_with("error: ") && stderr.contains(path.to_str().unwrap()),
            "{stderr}"
        );
        for part in said {
            assert!(stderr.contains(part), "{name}: {stderr}");
        }
        assert!(!Path::new(&out).exists(), "{name} wrote a file");
    }
    for words in [
        &["screen", "--visit", "nowhere.toml"][..],
        &["screen", "--visit", "src"],
        &["climate", "5401"],
    ] {
        let (code, _, stderr) = run(words);
        assert_eq!(code, 2, "{words:?}: {stderr}");
        assert!(stderr.contains(words[words.len() - 1]), "{stderr}");
    }
    let (code, _, stderr) = run(&["climate", "5401"]);
    assert!(code == 2 && stderr.contains("05401"), "{stderr}");
}

#[test]
fn files_are_whole_and_the_same_each_time() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("result.json");
    let (code, printed, _) = run(&["screen", "--visit", VISIT, "--format", "json"]);
    assert_eq!(code, 0);
    let (code, stdout, _) = run(&[
        "screen",
        "--visit",
        VISIT,
        "--format",
        "json",
        "-o",
        out.to_str().unwrap(),
    ]);
    assert_eq!((code, stdout.as_str()), (0, ""));
    assert_eq!(std::fs::read_to_string(&out).unwrap(), printed);
    let visit = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(VISIT)).unwrap();
    let piped = program()
        .args(["screen", "--visit", "-", "--format", "json"])
        .write_stdin(visit)
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(piped.stdout).unwrap(), printed);
}

#[test]
fn without_a_visit_or_a_terminal_it_says_what_to_give() {
    let (code, _, stderr) = run(&["screen"]);
    assert_eq!(code, 2);
    assert!(stderr.contains("--visit"), "{stderr}");
}

/// A refused floor prints why and ends with 2; a damp one ends with 0.
#[test]
fn exit_codes() {
    let (code, stdout, _) = run(&["screen", "--visit", "examples/visits/suspended_floor.toml"]);
    assert_eq!(code, 2);
    assert!(stdout.contains("NO ESTIMATE"), "{stdout}");
    let (code, _, _) = run(&[
        "screen",
        "--visit",
        "examples/visits/over_the_limit_cleveland.toml",
    ]);
    assert_eq!(code, 0);
}

/// The texts of five visits; each was read before it was accepted.
#[test]
fn texts_of_five_visits() {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| {
        for name in [
            "low_lot_rochester",
            "level_unknown_burlington",
            "unexplained_denver",
            "homeowner_no_reading",
            "just_washed",
        ] {
            let (_, text, _) = run(&["screen", "--visit", &format!("examples/visits/{name}.toml")]);
            assert!(text.lines().all(|it| it.chars().count() <= 80), "{name}");
            insta::assert_snapshot!(name, text);
        }
    });
}
