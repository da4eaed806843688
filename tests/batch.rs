//! A season of floors in one file, as a person or a script runs it.

use assert_cmd::Command;
use slabseason::survey::{Draft, FIELDS, get_field, parse_visit};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::invented_floors::{Alike, table};

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_slabseason"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A folder with a table in it.
struct Case {
    folder: tempfile::TempDir,
}

impl Case {
    fn of(table: impl AsRef<[u8]>) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("floors.csv"), table).unwrap();
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    fn run(&self, output: &str, more: &[&str]) -> Output {
        program()
            .arg("batch")
            .arg(self.path("floors.csv"))
            .arg("-o")
            .arg(self.path(output))
            .args(more)
            .output()
            .unwrap()
    }

    /// The results after a run with this exit code.
    fn results(&self, code: i32) -> Vec<BTreeMap<String, String>> {
        let output = self.run("results.csv", &[]);
        assert_eq!(output.status.code(), Some(code), "{}", err(&output));
        rows(&self.text("results.csv"))
    }
}

fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|it| it.unwrap())
        .collect()
}

const HEADING: &str =
    "visit_date,postal,lot.position,reading.1.kind,reading.1.value,reading.1.scale";

fn one(row: &str) -> String {
    format!("{HEADING}\n{row}\n")
}

const SOUND: &str = "2026-09-08,05401,level,meter,3.6,percent";

/// All visits of the examples as one table, through the registry of fields; a reading's number
/// stands in the name of its column.
fn examples_as_table() -> (Vec<PathBuf>, String) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/visits");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|it| it.unwrap().path())
        .collect();
    paths.sort();
    let mut columns: Vec<String> = Vec::new();
    let mut drafts = Vec::new();
    for path in &paths {
        let text = std::fs::read_to_string(path).unwrap();
        let draft = Draft::from(&parse_visit(&text, "example").unwrap().visit);
        drafts.push(draft);
    }
    let most = drafts.iter().map(|it| it.readings.len()).max().unwrap();
    for it in FIELDS.iter().filter(|it| it.saved_as.is_none()) {
        match it.path.strip_prefix("reading.") {
            Some(leaf) => {
                columns.extend((1..=most).map(|number| format!("reading.{number}.{leaf}")));
            }
            None => columns.push(it.path.to_string()),
        }
    }
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&columns).unwrap();
    for draft in &drafts {
        let cells = columns.iter().map(|path| {
            let number = path
                .strip_prefix("reading.")
                .and_then(|it| it.split_once('.'))
                .map(|it| it.0.parse::<usize>().unwrap());
            match number {
                Some(number) if number > draft.readings.len() => String::new(),
                _ => get_field(draft, path)
                    .unwrap()
                    .map_or_else(String::new, |it| it.to_text()),
            }
        });
        writer.write_record(cells).unwrap();
    }
    (
        paths,
        String::from_utf8(writer.into_inner().unwrap()).unwrap(),
    )
}

fn number(text: &str) -> Option<f64> {
    (!text.is_empty()).then(|| text.parse().unwrap())
}

/// The same visit gives the same digits by `screen --format json`, for every example.
#[test]
fn every_example_has_the_digits_of_screen() {
    let (paths, table) = examples_as_table();
    let case = Case::of(table);
    let output = case.run("results.csv", &[]);
    let results = rows(&case.text("results.csv"));
    assert_eq!(results.len(), paths.len(), "{}", err(&output));
    let mut graded = 0;
    for (path, row) in paths.iter().zip(&results) {
        let name = path.file_stem().unwrap().to_string_lossy();
        let screened = program()
            .args(["screen", "--brief", "--format", "json", "--visit"])
            .arg(path)
            .output()
            .unwrap();
        if screened.stdout.is_empty() {
            assert_eq!(row["status"], "error", "{name}");
            assert!(!row["problem"].is_empty(), "{name}");
            continue;
        }
        let json: serde_json::Value = serde_json::from_slice(&screened.stdout).unwrap();
        assert_eq!(
            number(&row["exceedance_probability"]),
            json["exceedance_probability"].as_f64(),
            "{name}"
        );
        assert_eq!(row["grade"], json["grade"].as_str().unwrap_or(""), "{name}");
        if json["refused"] == true {
            assert_eq!(row["status"], "refused", "{name}");
            continue;
        }
        assert_eq!(row["status"] == "held", json["held"] == true, "{name}");
        assert_eq!(row["input_digest"], json["input_digest"], "{name}");
        assert_eq!(
            number(&row["before_probability"]),
            json["before_reading"]["exceedance_probability"].as_f64(),
            "{name}"
        );
        assert_eq!(
            number(&row["effective_draws"]),
            json["quality"]["effective_draws"].as_f64(),
            "{name}"
        );
        for month in json["months"].as_array().unwrap() {
            for quantile in ["reading_p10", "reading_p50", "reading_p90"] {
                let column = format!("month_{}_{quantile}", month["month"]);
                assert_eq!(
                    number(&row[&column]),
                    month[quantile].as_f64(),
                    "{name}, {column}"
                );
            }
        }
        graded += usize::from(row["status"] == "graded");
    }
    assert!(graded >= 10, "{graded}");
}

/// Five years and the ways are those of `screen` too.
#[test]
fn ways_on_request_are_those_of_screen() {
    let case = Case::of(one(SOUND));
    let output = case.run("results.csv", &["--ways"]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let row = &rows(&case.text("results.csv"))[0];
    let visit = case.path("visit.toml");
    let text = "visit_date = 2026-09-08\npostal = \"05401\"\n[lot]\nposition = \"level\"\n[[reading]]\nkind = \"meter\"\nvalue = 3.6\nscale = \"percent\"\n";
    std::fs::write(&visit, text).unwrap();
    let screened = program()
        .args(["screen", "--brief", "--format", "json", "--visit"])
        .arg(&visit)
        .output()
        .unwrap();
    let json: serde_json::Value = serde_json::from_slice(&screened.stdout).unwrap();
    assert_eq!(
        number(&row["exceedance_5y"]),
        json["exceedance_5y"].as_f64()
    );
    assert_eq!(row["preferred_way"], json["preferred_way"]);
    for way in json["ways"].as_array().unwrap() {
        let column = format!("{}_chance_5y", way["way"].as_str().unwrap());
        assert_eq!(number(&row[&column]), way["chance_5y"].as_f64(), "{column}");
    }
}

/// Threads, and what is next to what, change no byte; nor does the way in and out.
#[test]
fn the_same_bytes_with_one_or_eight_threads() {
    let mut text = table(12, Alike::Shared, 7);
    for line in table(6, Alike::Season, 8).lines().skip(1) {
        // Names of visits of their own.
        text.push_str(&format!("s{line}\n"));
    }
    let case = Case::of(&text);
    for (name, threads) in [("one.csv", "1"), ("eight.csv", "8")] {
        let output = case.run(name, &["--threads", threads]);
        assert!(output.status.code() <= Some(1), "{}", err(&output));
    }
    assert_eq!(case.text("one.csv"), case.text("eight.csv"));
    assert!(case.text("one.csv").lines().count() >= 18);
    let piped = program()
        .args(["batch", "-", "-o", "-"])
        .write_stdin(text)
        .output()
        .unwrap();
    assert_eq!(
        String::from_utf8(piped.stdout).unwrap(),
        case.text("one.csv")
    );
}

#[test]
fn json_lines_say_the_same() {
    let case = Case::of(table(3, Alike::Shared, 3));
    let output = case.run("results.jsonl", &[]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    case.run("results.csv", &[]);
    let table = rows(&case.text("results.csv"));
    for (line, row) in case.text("results.jsonl").lines().zip(&table) {
        let json: BTreeMap<String, serde_json::Value> = serde_json::from_str(line).unwrap();
        assert_eq!(json.len(), row.len());
        for (name, value) in json {
            let text = match value {
                serde_json::Value::Null => String::new(),
                serde_json::Value::String(it) => it,
                other => other.to_string(),
            };
            match (text.parse::<f64>(), row[&name].parse::<f64>()) {
                (Ok(a), Ok(b)) => assert_eq!(a, b, "{name}"),
                _ => assert_eq!(text, row[&name], "{name}"),
            }
        }
    }
}

/// A bad row costs that row: line, column, value, what is accepted, on stderr and in the
/// results; the rows about it are what they are without it.
#[test]
fn a_bad_row_costs_that_row() {
    let bad = "2026-09-08,05401,lwo,meter,3.6,percent";
    let case = Case::of(format!("{HEADING}\n{SOUND}\n{bad}\n{SOUND}\n"));
    let output = case.run("results.csv", &[]);
    assert_eq!(output.status.code(), Some(1));
    let results = rows(&case.text("results.csv"));
    assert_eq!(results[1]["status"], "error");
    assert_eq!(results[1]["problem_column"], "lot.position");
    for part in [
        "line 3, column lot.position",
        "\"lwo\"",
        "high | level | low",
        "did you mean \"low\"",
    ] {
        assert!(
            results[1]["problem"].contains(part),
            "{}",
            results[1]["problem"]
        );
        assert!(err(&output).contains(part), "{}", err(&output));
    }
    let alone = Case::of(one(SOUND)).results(0);
    for at in [0, 2] {
        for (name, value) in &alone[0] {
            if name != "line" {
                assert_eq!(&results[at][name], value, "{name}");
            }
        }
    }
    // Where no row can be read, nothing could be done.
    assert_eq!(Case::of(one(bad)).run("r.csv", &[]).status.code(), Some(2));
}

#[test]
fn spellings_of_the_file_give_one_result() {
    let plain = Case::of(one(SOUND)).results(0);
    let bom = format!("\u{feff}{}", one(SOUND));
    let returns = one(SOUND).replace('\n', "\r\n");
    let semicolons = one(SOUND).replace(',', ";");
    let tabs = one(SOUND).replace(',', "\t");
    let quotes = one(SOUND).replace("05401", "\"05401\"");
    let blank_lines = format!("{HEADING}\n{SOUND}\n\n,,,,,\n");
    let no_end = one(SOUND).trim_end().to_string();
    for other in [bom, returns, semicolons, tabs, quotes, blank_lines, no_end] {
        assert_eq!(Case::of(&other).results(0), plain, "{other:?}");
    }
}

#[test]
fn a_quoted_line_end_stays_in_its_cell() {
    let text = format!("{HEADING},label\n{SOUND},\"two\nlines\"\n{SOUND},plain\n");
    let results = Case::of(text).results(1);
    // The label is one line by the visit file's rule; the next row keeps its own line.
    assert_eq!(results[0]["problem_column"], "label");
    assert!(
        results[0]["problem"].contains("control character"),
        "{results:?}"
    );
    assert_eq!(
        (results[1]["line"].as_str(), results[1]["label"].as_str()),
        ("4", "plain")
    );
}

/// A quote that nothing closes costs its own line and no other.
#[test]
fn an_open_quote_costs_its_line() {
    let text = format!("{HEADING}\n{SOUND}\n\"2026-09-08,05401\n{SOUND}\n{SOUND}\n");
    let results = Case::of(text).results(1);
    let status: Vec<&str> = results.iter().map(|it| it["status"].as_str()).collect();
    assert_eq!(status, ["graded", "error", "graded", "graded"]);
    assert!(
        results[1]["problem"].contains("never closed"),
        "{results:?}"
    );
    // An inch mark inside a cell is no quote.
    let inches = format!("{HEADING},floor.thickness\n{SOUND},4\"\n{SOUND},4in\n");
    let results = Case::of(inches).results(0);
    assert_eq!(results[0]["input_digest"], results[1]["input_digest"]);
}

#[test]
fn decimal_commas_are_refused_with_a_word() {
    let text = one(SOUND).replace(',', "\t").replace("3.6", "3,6");
    let case = Case::of(text);
    let output = case.run("results.csv", &[]);
    assert_eq!(output.status.code(), Some(2));
    let said = err(&output);
    assert!(
        said.contains("line 2, column reading.1.value: \"3,6\" has a comma"),
        "{said}"
    );
    assert!(said.contains("such as 3.6"), "{said}");
    // Where semicolons part the cells, commas stand in numbers.
    let text = one(SOUND).replace(',', ";").replace("3.6", "3,6");
    let with_commas = Case::of(text).results(0);
    let with_points = Case::of(one(SOUND)).results(0);
    assert_eq!(
        with_commas[0]["input_digest"],
        with_points[0]["input_digest"]
    );
}

#[test]
fn columns_that_are_no_field_are_named() {
    for (heading, parts) in [
        (
            "visit_date,postal,lot.positon",
            ["column 3", "lot.positon", "did you mean `position`"],
        ),
        (
            "visit_date,postal,postal",
            ["column 3", "postal is already in column 2", "delete one"],
        ),
        (
            "postal,lot.position",
            ["visit_date", "first line", "heading of visit-file names"],
        ),
        (
            "visit_date,reading.0.value",
            ["column 2", "reading.0.value", "reading"],
        ),
    ] {
        let case = Case::of(format!("{heading}\n2026-09-08,05401,low\n"));
        let output = case.run("results.csv", &[]);
        assert_eq!(output.status.code(), Some(2), "{heading}");
        for part in parts {
            assert!(err(&output).contains(part), "{heading}: {}", err(&output));
        }
        assert!(!case.path("results.csv").exists() && !case.path("results.csv.part").exists());
    }
}

#[test]
fn files_that_are_no_table_are_refused() {
    for (bytes, part) in [
        (b"".to_vec(), "the file is empty"),
        (b"\n\n".to_vec(), "the file is empty"),
        (
            format!("{HEADING}\n").into_bytes(),
            "no floor below the heading",
        ),
        (b"\xff\xfev\0i\0s\0i\0t\0".to_vec(), "UTF-16"),
        (b"PK\x03\x04rest".to_vec(), "binary"),
    ] {
        let case = Case::of(bytes);
        let output = case.run("results.csv", &[]);
        assert_eq!(output.status.code(), Some(2), "{part}");
        assert!(err(&output).contains(part), "{part}: {}", err(&output));
        assert!(!case.path("results.csv").exists() && !case.path("results.csv.part").exists());
    }
}

#[test]
fn bytes_that_are_not_utf_8_cost_their_row() {
    let mut text = format!("{HEADING},label\n{SOUND},caf").into_bytes();
    text.extend(b"\xe9\n");
    text.extend(format!("{SOUND},second\n").into_bytes());
    let results = Case::of(text).results(1);
    assert_eq!(results[0]["problem_column"], "label");
    assert!(results[0]["problem"].contains("UTF-8"), "{results:?}");
    assert_eq!(results[1]["status"], "graded");
}

#[test]
fn two_hundred_columns_are_read() {
    let mut heading = "visit_date,postal".to_string();
    let mut row = "2026-09-08,05401".to_string();
    for number in 1..=66 {
        heading.push_str(&format!(
            ",reading.{number}.kind,reading.{number}.value,reading.{number}.scale"
        ));
        row.push_str(",meter,3.6,percent");
    }
    assert_eq!(heading.split(',').count(), 200);
    let results = Case::of(format!("{heading}\n{row}\n{row},\n{row},extra\n")).results(1);
    assert_eq!(
        (results[0]["status"].as_str(), results[1]["status"].as_str()),
        ("graded", "graded")
    );
    assert!(
        results[2]["problem"].contains("201 cells, but the heading has 200"),
        "{}",
        results[2]["problem"]
    );
}

/// Rows of one visit are one floor with all its readings; a visit that comes back is refused.
#[test]
fn rows_of_a_visit_are_one_floor() {
    let heading = "visit,visit_date,postal,lot.position,reading.kind,reading.value,reading.scale,reading.spot";
    let rows_of = "A,2026-09-08,05401,level,meter,3.6,percent,a\nA,,,,meter,3.8,percent,b\nA,2026-09-08,,,meter,3.4,percent,c\n";
    let results = Case::of(format!(
        "{heading}\n{rows_of}B,2026-09-08,05401,low,meter,3.6,percent,a\n"
    ))
    .results(0);
    assert_eq!(results.len(), 2);
    let wide = "visit_date,postal,lot.position,reading.1.kind,reading.1.value,reading.1.scale,reading.1.spot,reading.2.kind,reading.2.value,reading.2.scale,reading.2.spot,reading.3.kind,reading.3.value,reading.3.scale,reading.3.spot\n2026-09-08,05401,level,meter,3.6,percent,a,meter,3.8,percent,b,meter,3.4,percent,c\n";
    let wide = Case::of(wide).results(0);
    assert_eq!(results[0]["input_digest"], wide[0]["input_digest"]);
    assert_eq!(
        results[0]["exceedance_probability"],
        wide[0]["exceedance_probability"]
    );

    let torn = Case::of(format!(
        "{heading}\n{rows_of}B,2026-09-08,05401,low,meter,3.6,percent,a\nA,,,,meter,3.9,percent,d\n"
    ))
    .results(1);
    assert_eq!(torn[2]["problem_column"], "visit");
    assert!(
        torn[2]["problem"].contains("sort the file by visit"),
        "{torn:?}"
    );

    let differs =
        Case::of(format!("{heading}\n{rows_of}").replace("A,,,,meter,3.8", "A,,,low,meter,3.8"))
            .results(2);
    assert!(
        differs[0]["problem"]
            .contains("line 3, column lot.position: \"low\" does not match line 2"),
        "{differs:?}"
    );
}

/// Text that a spreadsheet would run is written so that it does not; numbers stay numbers.
#[test]
fn formulas_are_not_handed_on() {
    let text = format!("{HEADING},visit,label\n{SOUND},=1+1,@SUM(A1)\n{SOUND},-2,plain\n");
    let results = Case::of(text).results(0);
    assert_eq!(
        (results[0]["visit"].as_str(), results[0]["label"].as_str()),
        ("'=1+1", "'@SUM(A1)")
    );
    assert_eq!(results[1]["visit"], "'-2");
}

/// An interruption at any byte loses no row and makes none twice: what is there is cut at every
/// sort of place, and going on gives the bytes of a run that was not interrupted.
#[test]
fn going_on_after_an_interruption_gives_the_same_file() {
    for end in ["csv", "jsonl"] {
        let case = Case::of(table(6, Alike::Shared, 5));
        let (whole, again) = (format!("whole.{end}"), format!("again.{end}"));
        let output = case.run(
            &whole,
            &["--worklist", case.path("w1.csv").to_str().unwrap()],
        );
        assert!(output.status.code() <= Some(1), "{}", err(&output));
        let bytes = std::fs::read(case.path(&whole)).unwrap();
        let ends: Vec<usize> = (0..bytes.len())
            .filter(|at| bytes[*at] == b'\n')
            .map(|at| at + 1)
            .collect();
        for cut in [
            0,
            5,
            ends[0] - 1,
            ends[0],
            ends[1] + 1,
            ends[3] - 1,
            ends[3],
            bytes.len() - 3,
            bytes.len(),
        ] {
            std::fs::write(case.path(&format!("{again}.part")), &bytes[..cut]).unwrap();
            let resumed = case.run(
                &again,
                &[
                    "--resume",
                    "--worklist",
                    case.path("w2.csv").to_str().unwrap(),
                ],
            );
            assert_eq!(
                resumed.status.code(),
                output.status.code(),
                "{end}, cut at {cut}: {}",
                err(&resumed)
            );
            assert_eq!(
                std::fs::read(case.path(&again)).unwrap(),
                bytes,
                "{end}, cut at {cut}"
            );
            assert_eq!(err(&resumed), err(&output), "the summary of all floors");
            assert_eq!(case.text("w2.csv"), case.text("w1.csv"));
            assert!(!case.path(&format!("{again}.part")).exists());
        }
    }
}

/// A run that is killed leaves the results of before in their place and whole lines beside
/// them, but for the last; going on ends with the same bytes.
#[cfg(unix)]
#[test]
fn a_run_that_is_killed_goes_on() {
    let case = Case::of(table(60, Alike::Different, 11));
    let before = "line,visit,label,visit_date,status,grade,of before\n";
    std::fs::write(case.path("results.csv"), before).unwrap();
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_slabseason"))
        .arg("batch")
        .arg(case.path("floors.csv"))
        .arg("-o")
        .arg(case.path("results.csv"))
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let part = case.path("results.csv.part");
    // Until some floors are written; the run has sixty of them to do.
    while std::fs::read_to_string(&part).map_or(0, |it| it.lines().count()) < 5 {
        assert!(
            child.try_wait().unwrap().is_none(),
            "the run ended before it was killed"
        );
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(case.text("results.csv"), before);
    let kept = std::fs::read_to_string(&part).unwrap();
    let anew = case.run("results.csv", &[]);
    assert_eq!(anew.status.code(), Some(2));
    assert!(err(&anew).contains("--resume"), "{}", err(&anew));
    let resumed = case.run("results.csv", &["--resume"]);
    assert!(resumed.status.code() <= Some(1), "{}", err(&resumed));
    let whole = case.text("results.csv");
    let kept_lines = &kept[..kept.rfind('\n').unwrap() + 1];
    assert!(
        whole.starts_with(kept_lines),
        "nothing that was there is done again"
    );
    case.run("straight.csv", &[]);
    assert_eq!(whole, case.text("straight.csv"));
}

#[test]
fn going_on_with_another_table_or_other_options_is_refused() {
    let case = Case::of(table(3, Alike::Shared, 5));
    case.run("whole.csv", &[]);
    let lines = case.text("whole.csv");
    let two: String = lines.split_inclusive('\n').take(3).collect();
    let part = case.path("results.csv.part");
    std::fs::write(&part, &two).unwrap();
    let quote = case.run("results.csv", &["--resume", "--quote", "primer"]);
    assert_eq!(quote.status.code(), Some(2));
    assert!(err(&quote).contains("other options"), "{}", err(&quote));
    std::fs::write(case.path("floors.csv"), table(3, Alike::Shared, 6)).unwrap();
    let other = case.run("results.csv", &["--resume"]);
    assert_eq!(other.status.code(), Some(2));
    assert!(
        err(&other).contains("line 2: is not the floor"),
        "{}",
        err(&other)
    );
    assert_eq!(
        std::fs::read_to_string(&part).unwrap(),
        two,
        "nothing is lost"
    );
}

/// The summary counts what the results hold, and the worklist is in the order of its dates.
#[test]
fn the_summary_and_the_worklist_follow_the_results() {
    let mut text = format!(
        "{HEADING},floor.last_wetted_days,signs.water_now\n{SOUND},,\n{SOUND},2,\n{SOUND},,standing\n"
    );
    text.push_str("2026-09-08,14604,low,,,,,\n2026-09-08,05401,level,meter,3.6,relative,,\n2026-09-08,05401,bad,meter,3.6,percent,,\n");
    let case = Case::of(text);
    let (csv_path, ics_path, told) = (case.path("w.csv"), case.path("w.ics"), case.path("s.txt"));
    let output = case.run(
        "results.csv",
        &[
            "--worklist",
            csv_path.to_str().unwrap(),
            "--worklist",
            ics_path.to_str().unwrap(),
            "--summary",
            told.to_str().unwrap(),
        ],
    );
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    let results = rows(&case.text("results.csv"));
    let summary = case.text("s.txt");
    assert!(err(&output).ends_with(&summary), "{}", err(&output));
    for (status, words) in [
        ("held", "no grade:"),
        ("refused", "no estimate:"),
        ("error", "not read:"),
    ] {
        let count = results.iter().filter(|it| it["status"] == status).count();
        let line = summary.lines().find(|it| it.contains(words)).unwrap();
        assert_eq!(
            line.split_whitespace().next().unwrap(),
            count.to_string(),
            "{summary}"
        );
    }
    assert!(
        summary.contains("6 floors")
            && summary.contains("1  wetted")
            && summary.contains("1  relative scale"),
        "{summary}"
    );
    let work = rows(&case.text("w.csv"));
    let dates: Vec<&String> = work.iter().map(|it| &it["date"]).collect();
    assert!(dates.is_sorted() && work.len() >= 3, "{work:?}");
    assert!(
        work.iter().any(|it| it["why"].contains("wetted")),
        "{work:?}"
    );
    let events = case.text("w.ics").matches("BEGIN:VEVENT").count();
    assert_eq!(
        events,
        work.iter().filter(|it| !it["date"].is_empty()).count()
    );
}

/// Outcomes are kept, and told against the stated chances; counts by hand.
#[test]
fn outcomes_are_kept_and_told() {
    let text = format!(
        "{HEADING},outcome,outcome_date\n{SOUND},held_up,2027-06-01\n{SOUND},blistered,2027-06-01\n{SOUND},not_coated,\n{SOUND},,\n{SOUND},fell_off,\n"
    );
    let case = Case::of(text);
    let results = case.results(1);
    assert_eq!(
        (
            results[1]["outcome"].as_str(),
            results[1]["outcome_date"].as_str()
        ),
        ("blistered", "2027-06-01")
    );
    assert!(results[4]["problem"].contains("held_up | blistered | not_coated"));
    let output = program()
        .args(["batch", "--outcomes"])
        .arg(case.path("results.csv"))
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let said = String::from_utf8(output.stdout).unwrap();
    // One of two: by hand Clopper-Pearson has 1 - sqrt(0.975) = 0.0126 to sqrt(0.975) = 0.9874.
    let all = said.lines().find(|it| it.starts_with("all")).unwrap();
    let cells: Vec<&str> = all.split_whitespace().collect();
    assert_eq!((cells[1], cells[3], cells[4]), ("2", "1", "50"), "{all}");
    assert!(all.ends_with("1 to 99"), "{all}");
    assert!(
        said.contains("Not coated: 1") && said.contains("two different events"),
        "{said}"
    );
}
