//! The program as a person or a script runs it: examples of the help, errors, files, text.

use crate::floors::root;
use assert_cmd::Command;
use std::path::Path;
use std::process::Output;

/// The program in the folder that its examples are written for.
fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_slabseason"));
    command.current_dir(root());
    command
}

fn run(arguments: &[&str]) -> Output {
    program().args(arguments).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A visit that is read without an error; an invented house.
const VISIT: &str = "visit_version = 1
visit_date = 2026-09-08
postal = \"05401\"

[floor]
year_built = 1958

[lot]
position = \"level\"

[air]
temp_c = 19.5
";

/// Runs `screen` on a file of this content; the file's name comes back with the output.
fn screen_of(content: &[u8]) -> (Output, String) {
    let folder = tempfile::tempdir().unwrap();
    let visit = folder.path().join("job.toml");
    std::fs::write(&visit, content).unwrap();
    let name = visit.to_str().unwrap().to_string();
    let result = folder.path().join("result.txt");
    let output = run(&["screen", "--visit", &name, "-o", result.to_str().unwrap()]);
    let left: Vec<_> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|it| it.unwrap().file_name())
        .collect();
    let count = if output.status.success() { 2 } else { 1 };
    assert_eq!(left.len(), count, "files left behind: {left:?}");
    (output, name)
}

/// The visit with one line in place of another.
fn changed(from: &str, to: &str) -> String {
    assert!(VISIT.contains(from), "{from}");
    VISIT.replace(from, to)
}

/// Examples of a command's help, as words after the program's name. The shell's part of a line
/// is left out.
fn examples_of(command: &str) -> Vec<Vec<String>> {
    let help = out(&run(&[command, "--help"]));
    let examples: Vec<Vec<String>> = help
        .lines()
        .filter_map(|it| it.strip_prefix("  slabseason "))
        .filter_map(|it| it.split(" > ").next())
        .map(|it| it.split_whitespace().map(String::from).collect())
        .collect();
    assert!(!examples.is_empty(), "{command} has no example");
    examples
}

/// Every example is understood and names files that are there; what it then does, the tests of
/// its command show. One of each command is run here.
#[test]
fn every_example_of_the_help_is_understood_and_one_runs() {
    let commands: Vec<String> = slabseason::cli::command()
        .get_subcommands()
        .map(|it| it.get_name().to_string())
        .collect();
    assert!(commands.len() >= 7, "{commands:?}");
    for command in commands {
        let examples = examples_of(&command);
        for words in &examples {
            assert_eq!(words[0], command, "{words:?}");
            let whole = std::iter::once("slabseason").chain(words.iter().map(String::as_str));
            let understood = slabseason::cli::command().try_get_matches_from(whole);
            assert!(understood.is_ok(), "{words:?}: {:?}", understood.err());
            for file in words.iter().filter(|it| it.starts_with("examples/")) {
                assert!(Path::new(file).exists(), "{words:?}: no {file}");
            }
        }
        // A class of ten floors takes as long as all the others; the second example has three.
        one_runs(&command, &examples[usize::from(command == "class")]);
    }
}

fn one_runs(command: &str, example: &[String]) {
    let folder = tempfile::tempdir().unwrap();
    let mut words = example.to_vec();
    // A file goes to a folder of its own.
    let written = words.iter().position(|it| it == "-o").map(|at| {
        let path = folder.path().join(&words[at + 1]);
        words[at + 1] = path.to_str().unwrap().to_string();
        path
    });
    let output = program().args(&words).output().unwrap();
    assert_eq!(
        output.status.code(),
        Some(0),
        "{example:?}: {}",
        err(&output)
    );
    // What a season comes to is talk, and goes where talk goes.
    let talks = command == "batch" && err(&output).contains(" floors\n");
    assert!(talks || err(&output).is_empty(), "{example:?}");
    match written {
        Some(path) => assert!(path.metadata().unwrap().len() > 100, "{example:?}"),
        None => assert!(output.stdout.len() > 100, "{example:?}: {}", out(&output)),
    }
}

#[test]
fn the_visit_of_these_tests_is_sound() {
    let (output, _) = screen_of(VISIT.as_bytes());
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert_eq!(out(&output), "", "with -o nothing is printed");
}

#[track_caller]
fn fails_at_line(content: &str, line: usize, names: &[&str]) {
    let (output, file) = screen_of(content.as_bytes());
    assert_eq!(output.status.code(), Some(2), "{}", err(&output));
    assert_eq!(out(&output), "");
    let said = err(&output);
    let base = Path::new(&file).file_name().unwrap().to_str().unwrap();
    let place = format!("{base}, line {line}:");
    assert!(said.contains(&place), "no \"{place}\" in: {said}");
    for name in names {
        assert!(said.contains(name), "no \"{name}\" in: {said}");
    }
}

#[test]
fn unknown_field_is_named_with_its_line() {
    fails_at_line(
        &changed("position =", "positon ="),
        9,
        &["positon", "position"],
    );
}

#[test]
fn impossible_value_is_named_with_its_line() {
    fails_at_line(&changed("1958", "3058"), 6, &["3058"]);
}

#[test]
fn unknown_station_is_named_with_its_line() {
    let content = changed("postal = \"05401\"", "station = \"USW99999999\"");
    fails_at_line(&content, 3, &["USW99999999"]);
}

#[test]
fn unknown_postal_code_is_named_with_its_line() {
    fails_at_line(&changed("05401", "00001"), 3, &["00001"]);
}

#[test]
fn reading_after_the_visit_is_named_with_its_line() {
    let reading = "
[[reading]]
date = 2026-09-20
kind = \"meter\"
value = 3.6
scale = \"percent\"
";
    fails_at_line(
        &format!("{VISIT}{reading}"),
        15,
        &["2026-09-20", "2026-09-08"],
    );
}

#[test]
fn fahrenheit_typed_as_celsius_is_named_with_its_line() {
    fails_at_line(&changed("19.5", "67"), 12, &["67", "F"]);
}

#[test]
fn several_mistakes_are_told_at_once() {
    let content = changed("position =", "positon =").replace("19.5", "67");
    let (output, _) = screen_of(content.as_bytes());
    let said = err(&output);
    assert!(
        said.contains("line 9") && said.contains("line 12"),
        "{said}"
    );
}

#[track_caller]
fn fails_naming_the_file(output: &Output, file: &str) {
    assert_eq!(output.status.code(), Some(2), "{}", err(output));
    assert_eq!(out(output), "");
    let said = err(output);
    let base = Path::new(file).file_name().unwrap().to_str().unwrap();
    assert!(said.contains(base), "no \"{base}\" in: {said}");
    assert!(!said.contains("panicked"), "{said}");
}

#[test]
fn empty_binary_and_missing_files_are_named() {
    let (output, file) = screen_of(b"");
    fails_naming_the_file(&output, &file);
    assert!(err(&output).contains("empty"), "{}", err(&output));
    let (output, file) = screen_of(&[0x7f, b'E', b'L', b'F', 2, 1, 1, 0, 0xff, 0xfe, 0, 0]);
    fails_naming_the_file(&output, &file);
    assert!(err(&output).contains("text"), "{}", err(&output));
    let output = run(&["screen", "--visit", "no/such/job.toml"]);
    fails_naming_the_file(&output, "no/such/job.toml");
    let output = run(&["dry", "--visit", "no/such/job.toml"]);
    fails_naming_the_file(&output, "no/such/job.toml");
}

#[test]
fn a_file_that_stands_already_outlives_an_error() {
    let folder = tempfile::tempdir().unwrap();
    let result = folder.path().join("result.txt");
    std::fs::write(&result, "of yesterday").unwrap();
    let result = result.to_str().unwrap();
    let output = run(&["screen", "--visit", "no/such/job.toml", "-o", result]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(result).unwrap(), "of yesterday");
}

#[test]
fn a_folder_that_is_not_there_is_told() {
    let visit = "examples/visits/level_unknown_burlington.toml";
    let output = run(&["screen", "--visit", visit, "-o", "no/such/result.txt"]);
    fails_naming_the_file(&output, "result.txt");
}

#[test]
fn a_written_file_holds_what_would_be_printed_and_twice_the_same() {
    let visit = "examples/visits/level_unknown_burlington.toml";
    for format in ["text", "json"] {
        let folder = tempfile::tempdir().unwrap();
        let result = folder.path().join("result");
        let arguments = ["screen", "--visit", visit, "--format", format];
        let printed = run(&arguments);
        assert!(printed.status.success());
        let again = run(&arguments);
        assert_eq!(
            printed.stdout, again.stdout,
            "{format}: not the same bytes twice"
        );
        let written = program()
            .args(arguments)
            .arg("-o")
            .arg(&result)
            .output()
            .unwrap();
        assert!(written.status.success() && written.stdout.is_empty());
        assert_eq!(std::fs::read(&result).unwrap(), printed.stdout, "{format}");
    }
}

#[test]
fn a_minus_reads_standard_input() {
    let visit = "examples/visits/level_unknown_burlington.toml";
    let text = std::fs::read_to_string(root().join(visit)).unwrap();
    let of_file = run(&["screen", "--visit", visit]);
    let of_stream = program()
        .args(["screen", "--visit", "-"])
        .write_stdin(text)
        .output()
        .unwrap();
    assert!(of_stream.status.success(), "{}", err(&of_stream));
    assert_eq!(out(&of_stream), out(&of_file));
    let broken = program()
        .args(["screen", "--visit", "-"])
        .write_stdin(changed("position =", "positon ="))
        .output()
        .unwrap();
    assert_eq!(broken.status.code(), Some(2));
    assert!(err(&broken).contains("line 9"), "{}", err(&broken));
}

#[test]
fn without_a_visit_and_a_terminal_the_way_out_is_told() {
    let output = program().arg("screen").write_stdin("").output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(out(&output), "");
    assert!(err(&output).contains("--visit"), "{}", err(&output));
}

#[test]
fn a_refused_floor_prints_its_reason() {
    let output = run(&["screen", "--visit", "examples/visits/suspended_floor.toml"]);
    assert_eq!(output.status.code(), Some(2));
    let text = out(&output);
    assert!(text.contains("NO ESTIMATE"), "{text}");
    assert!(text.contains("is not on the ground"), "{text}");
    assert!(!text.contains(" in 100"), "a chance in spite of it: {text}");
}

/// The text of a visit, without the digest of the tables: that differs with any number of any
/// table, and what is looked at here is the page.
fn page(name: &str, extent: &[&str]) -> String {
    let visit = format!("examples/visits/{name}.toml");
    let mut arguments = vec!["screen", "--visit", visit.as_str()];
    arguments.extend(extent);
    let output = run(&arguments);
    // A refused floor ends with 2, says why, and still has its page.
    let is_refused = output.status.code() == Some(2);
    let said = err(&output);
    assert!(
        said.is_empty() || is_refused && said.starts_with("error: nothing was estimated"),
        "{said}"
    );
    out(&output)
        .lines()
        .map(|line| {
            let end = line
                .trim_start()
                .starts_with("slabseason ")
                .then(|| line.split_once("tables "))
                .flatten();
            match end {
                Some((begin, rest)) => {
                    let (_, visit) = rest.split_once(", ").expect("the visit follows");
                    format!("{begin}tables (digest), {visit}\n")
                }
                None => format!("{line}\n"),
            }
        })
        .collect()
}

#[test]
fn pages_are_as_they_were_read_and_approved() {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.bind(|| {
        let folder = root().join("examples/visits");
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|it| {
                it.unwrap()
                    .path()
                    .file_stem()
                    .unwrap()
                    .to_string_lossy()
                    .into_owned()
            })
            // These two are outside of the table: errors, and shown as such elsewhere.
            .filter(|it| !it.starts_with("outside_table"))
            .collect();
        names.sort();
        assert!(names.len() >= 20, "{names:?}");
        for name in &names {
            insta::assert_snapshot!(name.as_str(), page(name, &[]));
        }
        for name in ["low_lot_rochester", "new_drained_burlington", "just_washed"] {
            insta::assert_snapshot!(format!("full_{name}"), page(name, &["--full"]));
        }
    });
}
