//! Nothing lost: files, streams and tables under attack. Each test is named for what once
//! went wrong.
//!
//! The kills of a batch come at times that differ from run to run; what must hold does not.
//! `SLABSEASON_KILLS=500 cargo test --release --test suite a_batch_killed` is the long one.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use crate::invented_floors::{Alike, table};

/// A folder of its own, with a visit and a table of floors.
struct Place {
    folder: tempfile::TempDir,
}

/// A visit that needs no simulation: refused, so that a run takes milliseconds.
const REFUSED: &str =
    "visit_date = 2026-09-08\npostal = \"05401\"\n[signs]\nwater_now = \"standing\"\n";
/// The same as rows of a table.
const ROWS: &str = "visit_date,postal,signs.water_now,label\n2026-09-08,05401,standing,one\n2026-09-08,05401,standing,two\n";

impl Place {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("v.toml"), REFUSED).unwrap();
        std::fs::write(folder.path().join("f.csv"), ROWS).unwrap();
        Self { folder }
    }

    fn with_floors(table: impl AsRef<[u8]>) -> Self {
        let place = Self::new();
        std::fs::write(place.path("f.csv"), table).unwrap();
        place
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap()
    }

    fn text(&self, name: &str) -> String {
        String::from_utf8(self.bytes(name)).unwrap()
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(self.folder.path())
            .unwrap()
            .map(|it| it.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    fn command(&self, typed: &str) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_slabseason"));
        command
            .current_dir(self.folder.path())
            .args(typed.split_whitespace());
        command
    }

    fn run(&self, typed: &str) -> Output {
        self.command(typed).stdin(Stdio::null()).output().unwrap()
    }

    #[track_caller]
    fn ends(&self, typed: &str, code: i32, parts: &[&str]) -> Output {
        let output = self.run(typed);
        let said = err(&output);
        assert_eq!(output.status.code(), Some(code), "{typed}: {said}");
        for part in parts {
            assert!(said.contains(part), "{typed}: \"{part}\" is not in: {said}");
        }
        output
    }
}

fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Whether text holds what a terminal obeys or turns around.
fn is_obeyed(text: &str) -> bool {
    text.chars().any(|it| {
        it.is_control() && it != '\n' && it != '\t'
            || matches!(it, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}')
    })
}

// Files.

/// An output that is an input, or another output, is refused before any work, whatever the
/// name: links and second names lead to the same file.
#[test]
fn outputs_over_inputs_and_each_other_are_refused() {
    let place = Place::new();
    std::fs::write(place.path("class.csv"), "learner,floor,chance\na,1,5\n").unwrap();
    std::fs::write(place.path("company.toml"), "name = \"\"\n").unwrap();
    std::fs::write(
        place.path("results.csv"),
        "grade,exceedance_probability,outcome\n",
    )
    .unwrap();
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("f.csv", place.path("link.csv")).unwrap();
        std::os::unix::fs::symlink("gone.csv", place.path("dangling.csv")).unwrap();
        std::fs::hard_link(place.path("v.toml"), place.path("second.toml")).unwrap();
    }
    std::fs::create_dir(place.path("sub")).unwrap();
    let before: Vec<(String, Vec<u8>)> = place
        .names()
        .into_iter()
        .filter(|it| place.path(it).is_file())
        .map(|it| (it.clone(), place.bytes(&it)))
        .collect();
    let mut attacks = vec![
        "screen --visit v.toml -o v.toml",
        "screen --visit v.toml -o ./v.toml",
        "screen --visit v.toml -o sub/../v.toml",
        "notice --visit v.toml -o v.toml",
        "notice --visit v.toml --company company.toml -o company.toml",
        "homeowner --visit v.toml -o v.toml",
        "calendar --visit v.toml -o v.toml",
        "class --seed 7 --results class.csv -o class.csv",
        "batch f.csv -o f.csv",
        "batch f.csv -o r.csv --summary f.csv",
        "batch f.csv -o r.csv --worklist f.csv",
        "batch f.csv -o r.csv --summary r.csv",
        "batch f.csv -o r.csv --summary r.csv.part",
        "batch f.csv -o r.csv --summary r.csv --worklist r.csv",
        "batch f.csv -o r.csv --worklist w.csv --worklist w.csv",
        "batch --outcomes results.csv -o results.csv",
    ];
    if cfg!(unix) {
        attacks.extend([
            "screen --visit v.toml -o second.toml",
            "batch f.csv -o link.csv",
            "batch link.csv -o f.csv",
            "batch f.csv -o r.csv --summary link.csv",
            "batch f.csv -o gone.csv --summary dangling.csv",
        ]);
    }
    for attack in attacks {
        let output = place.ends(attack, 2, &["are one file"]);
        assert!(output.stdout.is_empty(), "{attack}");
        for (name, bytes) in &before {
            assert_eq!(&place.bytes(name), bytes, "{attack} changed {name}");
        }
        assert_eq!(
            place.names().len(),
            before.len() + 1 + usize::from(cfg!(unix)),
            "{attack}: {:?}",
            place.names()
        );
    }
    place.ends("screen --visit - --finish -", 2, &["can be read once"]);
}

/// A shell's `> f.csv` comes too late to save the file, `>> f.csv` does not.
#[cfg(unix)]
#[test]
fn standard_output_into_the_table_is_refused() {
    let place = Place::new();
    let own = std::fs::OpenOptions::new()
        .append(true)
        .open(place.path("f.csv"))
        .unwrap();
    let output = place.command("batch f.csv").stdout(own).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("standard output are one file"));
    assert_eq!(place.text("f.csv"), ROWS);
}

/// A target that cannot be written is refused before the work, not after it.
#[test]
fn a_folder_as_a_target_is_refused_up_front() {
    // A table that would take many seconds, were it begun.
    let place = Place::with_floors(table(400, Alike::Different, 3));
    std::fs::create_dir(place.path("sub")).unwrap();
    std::fs::create_dir(place.path("sub.csv")).unwrap();
    for (attack, part) in [
        ("screen --visit v.toml -o sub", "is a folder"),
        ("batch f.csv -o sub.csv", "is a folder"),
        ("batch f.csv -o r.csv --summary sub", "is a folder"),
        ("batch f.csv -o r.csv --worklist sub.csv", "is a folder"),
        (
            "batch f.csv -o r.csv --summary nowhere/s.txt",
            "folder is there",
        ),
        ("batch f.csv -o nowhere/r.csv", "folder is there"),
        ("pairs -o sub", "is a folder"),
        ("class --seed 7 -o sub", "is a folder"),
        ("form -o sub", "is a folder"),
    ] {
        place.ends(attack, 2, &[part]);
    }
    assert!(!place.path("r.csv").exists() && !place.path("r.csv.part").exists());
}

/// Outcomes that a person typed into results are not lost to a new run.
#[test]
fn typed_outcomes_are_not_erased() {
    let place = Place::new();
    place.ends("batch f.csv -o r.csv", 0, &[]);
    let filled = place.text("r.csv");
    // By the name of its column, as a person does in a spreadsheet.
    let mut reader = csv::Reader::from_reader(filled.as_bytes());
    let names = reader.headers().unwrap().clone();
    let at = names.iter().position(|it| it == "outcome").unwrap();
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&names).unwrap();
    for (number, row) in reader.records().enumerate() {
        let mut cells: Vec<String> = row.unwrap().iter().map(str::to_string).collect();
        if number == 1 {
            cells[at] = "held_up".to_string();
        }
        writer.write_record(&cells).unwrap();
    }
    let filled = writer.into_inner().unwrap();
    std::fs::write(place.path("r.csv"), &filled).unwrap();
    place.ends(
        "batch f.csv -o r.csv",
        2,
        &["1 outcomes are filled in", "--force"],
    );
    place.ends(
        "batch f.csv -o r.csv --resume",
        2,
        &["1 outcomes are filled in"],
    );
    assert_eq!(place.bytes("r.csv"), filled);
    place.ends("batch f.csv -o r.csv --force", 0, &[]);
    assert!(!place.text("r.csv").contains("held_up"));
}

/// A pipe stays a pipe, a link a link, and a closed mode closed.
#[cfg(unix)]
#[test]
fn special_files_links_and_modes_stay() {
    use std::os::unix::fs::{FileTypeExt, MetadataExt, PermissionsExt, symlink};
    let place = Place::new();
    let made = Command::new("mkfifo")
        .arg(place.path("pipe"))
        .status()
        .unwrap();
    assert!(made.success());
    for typed in ["form -o pipe", "batch f.csv -o pipe"] {
        let reader = {
            let pipe = place.path("pipe");
            std::thread::spawn(move || std::fs::read_to_string(pipe).unwrap())
        };
        place.ends(typed, 0, &[]);
        assert!(reader.join().unwrap().len() > 100, "{typed}");
        let kind = std::fs::symlink_metadata(place.path("pipe"))
            .unwrap()
            .file_type();
        assert!(kind.is_fifo(), "{typed}");
    }
    place.ends("form -o /dev/null", 0, &[]);
    assert!(
        std::fs::metadata("/dev/null")
            .unwrap()
            .file_type()
            .is_char_device()
    );

    std::fs::create_dir(place.path("else")).unwrap();
    for (typed, name) in [("form -o", "form.txt"), ("batch f.csv -o", "r.csv")] {
        let (link, target) = (place.path(name), place.path("else").join(name));
        // Also where the file that the link leads to is not there yet.
        symlink(Path::new("else").join(name), &link).unwrap();
        for _ in 0..2 {
            place.ends(&format!("{typed} {name}"), 0, &[]);
            assert!(
                std::fs::symlink_metadata(&link)
                    .unwrap()
                    .file_type()
                    .is_symlink()
            );
            assert!(target.metadata().unwrap().len() > 100);
            std::fs::set_permissions(&target, PermissionsExt::from_mode(0o600)).unwrap();
        }
        assert_eq!(target.metadata().unwrap().mode() & 0o777, 0o600, "{typed}");
    }
}

// Streams.

/// A reader of stderr that goes away, as `2>&1 | head -1` does, stops nothing.
#[cfg(unix)]
#[test]
fn a_closed_stderr_ends_nothing() {
    let bad = "2026-09-08,05401,wet?,x\n".repeat(2_000);
    let place = Place::with_floors(format!("{ROWS}{bad}"));
    let mut child = place
        .command("batch f.csv -o r.csv --threads 1")
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(1));
    assert_eq!(place.text("r.csv").lines().count(), 2_003);
    for typed in ["screen --visit nowhere.toml", "batch nowhere.csv", "screen"] {
        let mut child = place
            .command(typed)
            .stdin(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stderr.take());
        assert_eq!(child.wait().unwrap().code(), Some(2), "{typed}");
    }
    // And a reader of the results.
    let mut child = place
        .command("batch f.csv")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(1));
}

/// Exit 2 comes with a line on stderr that says why.
#[test]
fn exit_2_says_why() {
    let place = Place::new();
    place.ends(
        "screen --visit v.toml -o r.txt",
        2,
        &["error: nothing was estimated", "standing water"],
    );
    assert!(
        !place.text("r.txt").is_empty(),
        "the refusal itself is written"
    );
    std::fs::write(
        place.path("results.csv"),
        "grade,exceedance_probability,outcome\nlow,0.02,\n",
    )
    .unwrap();
    place.ends(
        "batch --outcomes results.csv",
        2,
        &["error: ", "no floor has both"],
    );
    std::fs::write(place.path("f.csv"), "visit_date,postal\nnever,05401\n").unwrap();
    place.ends("batch f.csv -o r.csv", 2, &["no floor could be read"]);
}

/// What a terminal would obey comes out of no file that a person is handed.
#[test]
fn terminal_escapes_come_out_of_no_file() {
    let place = Place::new();
    let evil = "\u{1b}]0;owned\u{7}\u{1b}[2J\u{202e}txt.exe\u{2066}";
    std::fs::write(
        place.path("class.csv"),
        format!("learner,floor,chance\n{evil},1,5\n"),
    )
    .unwrap();
    std::fs::write(
        place.path("bad_class.csv"),
        format!("learner,floor,chance\na,{evil},5\n"),
    )
    .unwrap();
    std::fs::write(place.path("company.toml"), format!("{evil} = 1\n")).unwrap();
    std::fs::write(
        place.path("finish.toml"),
        format!("kind = \"{}\"\n", "film\\u001b[2J\\u202e"),
    )
    .unwrap();
    std::fs::write(
        place.path("quantity.toml"),
        "visit_date = 2026-09-08\npostal = \"05401\"\n[air]\ntemp = \"\\u001b[2J\\u202e9\"\n",
    )
    .unwrap();
    std::fs::write(
        place.path("names.csv"),
        format!("visit,visit_date,postal,signs.water_now,floor.thickness\n{evil},2026-09-08,05401,standing,{evil}\n"),
    )
    .unwrap();
    std::fs::write(place.path("heading.csv"), format!("visit_date,{evil}\n")).unwrap();
    for typed in [
        "class --seed 7 --floors 1 --results class.csv",
        "class --seed 7 --floors 1 --results bad_class.csv",
        "notice --visit v.toml --company company.toml",
        "screen --visit v.toml --finish finish.toml",
        "screen --visit quantity.toml",
        "batch names.csv -o r.csv",
        "batch heading.csv -o r2.csv",
    ] {
        let output = place.run(typed);
        assert!(!is_obeyed(&err(&output)), "{typed}: {:?}", err(&output));
        assert!(!is_obeyed(&out(&output)), "{typed}: {:?}", out(&output));
        assert!(output.stderr.len() + output.stdout.len() > 20, "{typed}");
    }
    // A path is typed by someone too.
    let output = place
        .command("screen --visit")
        .arg(format!("{evil}.toml"))
        .output()
        .unwrap();
    assert!(!is_obeyed(&err(&output)), "{:?}", err(&output));
    // A line of talk has an end.
    let long = format!("visit_date = \"{}\"\n", "x".repeat(200_000));
    std::fs::write(place.path("long.toml"), long).unwrap();
    assert!(err(&place.run("screen --visit long.toml")).len() < 10_000);
}

// Tables.

/// A column of class results that is misspelt, doubled or foreign stops, as in a table of
/// floors.
#[test]
fn class_results_with_another_column_stop() {
    let place = Place::new();
    for (heading, row, part) in [
        ("learner,floor,chance,casue", "a,1,5,", "\"casue\""),
        ("learner,floor,chance,chance", "a,1,5,6", "is there twice"),
        ("learner,floor,chance,grade", "a,1,5,low", "\"grade\""),
        ("learner,floor,chance,", "a,1,5,", "\"\""),
    ] {
        std::fs::write(place.path("class.csv"), format!("{heading}\n{row}\n")).unwrap();
        place.ends(
            "class --seed 7 --floors 1 --results class.csv",
            2,
            &[part, "accepted"],
        );
    }
}

/// A heading of many columns is refused at once, and many bad rows do not fill a screen.
#[test]
fn wide_headings_and_many_bad_rows_are_kept_short() {
    let place = Place::with_floors(format!(
        "visit_date,postal{}\n2026-09-08,05401\n",
        ",".repeat(300_000)
    ));
    place.ends(
        "batch f.csv -o r.csv",
        2,
        &["300002 columns", "at most 8000"],
    );
    std::fs::write(
        place.path("f.csv"),
        format!("visit_date{}\n", ",nonsense".repeat(7_000)),
    )
    .unwrap();
    let output = place.ends("batch f.csv -o r.csv", 2, &["column 2", "more columns"]);
    assert!(output.stderr.len() < 20_000, "{}", output.stderr.len());
    let rows = "2026-09-08,05401,perhaps,x\n".repeat(3_000);
    std::fs::write(place.path("f.csv"), format!("{ROWS}{rows}")).unwrap();
    let output = place.ends("batch f.csv -o r.csv", 1, &["line 4,", "2900 more"]);
    assert!(output.stderr.len() < 100_000, "{}", output.stderr.len());
    assert_eq!(place.text("r.csv").matches("perhaps").count(), 3_000);
}

/// Chances and grades that are none, and words that are none, are told with their lines and
/// counted by themselves.
#[test]
fn outcomes_that_are_none_are_told() {
    let place = Place::new();
    std::fs::write(
        place.path("results.csv"),
        "grade,exceedance_probability,outcome\nlow,0.02,held_up\nlow,1.7,held_up\nlow,nan,blistered\nfoo,0.2,held_up\nlow,0.02,fell_off\n,,held_up\nhigh,0.4,Blistered\n",
    )
    .unwrap();
    let output = place.ends(
        "batch --outcomes results.csv",
        1,
        &[
            "line 3, column exceedance_probability",
            "line 4, column exceedance_probability",
            "line 5, column grade",
            "line 6, column outcome: \"fell_off\"",
            "held_up | blistered | not_coated",
        ],
    );
    let said = out(&output);
    assert!(said.contains("left out of the counts: 4"), "{said}");
    assert!(
        said.contains("With an outcome but no grade: 1"),
        "a held floor is no mistake: {said}"
    );
    let all = said.lines().find(|it| it.starts_with("all")).unwrap();
    assert_eq!(all.split_whitespace().nth(1), Some("2"), "{said}");
}

/// Lines that end as on old Macs are lines.
#[test]
fn line_ends_of_old_macs_are_read() {
    let place = Place::new();
    place.ends("batch f.csv -o r.csv", 0, &[]);
    std::fs::write(place.path("mac.csv"), ROWS.replace('\n', "\r")).unwrap();
    place.ends("batch mac.csv -o m.csv", 0, &[]);
    assert_eq!(place.bytes("m.csv"), place.bytes("r.csv"));
}

/// A file that is too long is refused and not cut.
#[test]
fn a_file_over_2_mb_is_refused() {
    let place = Place::new();
    let pad = "# a comment of no meaning\n".repeat(100_000);
    std::fs::write(
        place.path("class.csv"),
        format!("learner,floor,chance\na,1,5\n{pad}"),
    )
    .unwrap();
    std::fs::write(place.path("finish.toml"), &pad).unwrap();
    std::fs::write(place.path("long.toml"), format!("{REFUSED}{pad}")).unwrap();
    for typed in [
        "class --seed 7 --results class.csv",
        "screen --visit v.toml --finish finish.toml",
        "screen --visit long.toml",
    ] {
        place.ends(typed, 2, &["MB"]);
    }
}

/// A day that no calendar has is told as such, and not as a matter of quotes.
#[test]
fn an_impossible_date_is_told_as_one() {
    let place = Place::new();
    for day in ["2026-02-30", "2026-13-01", "2025-02-29"] {
        std::fs::write(place.path("v.toml"), REFUSED.replace("2026-09-08", day)).unwrap();
        let output = place.ends("screen --visit v.toml", 2, &["line 1", day]);
        assert!(!err(&output).contains("quotes"), "{}", err(&output));
    }
}

/// A number of any size is told in a few digits.
#[test]
fn a_huge_number_is_told_shortly() {
    let place = Place::new();
    std::fs::write(
        place.path("v.toml"),
        format!("{REFUSED}[floor]\narea_m2 = 1e308\n"),
    )
    .unwrap();
    let output = place.ends("screen --visit v.toml", 2, &["area_m2"]);
    assert!(err(&output).len() < 300, "{}", err(&output));
}

/// Formulas in full width, behind a semicolon or a tab run in no spreadsheet.
#[test]
fn full_width_formulas_are_not_handed_on() {
    let place = Place::with_floors(
        "visit,visit_date,postal,signs.water_now,label\n＝1+1,2026-09-08,05401,standing,job;=1+1\n＋2,2026-09-08,05401,standing,＠SUM(A1)\n－3,2026-09-08,05401,standing,plain\n",
    );
    place.ends("batch f.csv -o r.csv --worklist w.csv", 0, &[]);
    let text = place.text("r.csv");
    for part in [
        ",'＝1+1,",
        ",'＋2,",
        ",'－3,",
        ",'＠SUM(A1),",
        ",\"job;=1+1\",",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
}

/// A homeowner's sheet and a calendar go further than the office: a place is rounded there to
/// the town.
#[test]
fn coordinates_are_rounded_where_strangers_read() {
    let place = Place::new();
    std::fs::write(
        place.path("v.toml"),
        "visit_date = 2026-09-08\nlatitude = 44.476123\nlongitude = -73.212987\n[lot]\nposition = \"low\"\n",
    )
    .unwrap();
    for typed in [
        "homeowner --visit v.toml",
        "homeowner --visit v.toml --format html",
        "homeowner 44.476123,-73.212987",
        "calendar --visit v.toml",
    ] {
        let said = out(&place.ends(typed, 0, &[]));
        assert!(
            !said.contains("44.476") && !said.contains("73.212"),
            "{typed}: {said}"
        );
    }
    std::fs::write(
        place.path("f.csv"),
        "visit_date,latitude,longitude,lot.position\n2026-09-08,44.476123,-73.212987,low\n",
    )
    .unwrap();
    place.ends("batch f.csv -o r.csv --worklist w.ics", 0, &[]);
    assert!(
        !place.text("w.ics").contains("44.476"),
        "{}",
        place.text("w.ics")
    );
}

// Going on.

/// Whatever was changed in a row that is done is seen: a row in error, an outcome, the name of
/// a visit, a label.
#[test]
fn going_on_sees_every_changed_row() {
    let rows = "visit,visit_date,postal,signs.water_now,label,outcome\nA,2026-09-08,05401,standing,one,held_up\nB,never,05401,standing,two,\nC,2026-09-08,05401,standing,three,\n";
    let place = Place::with_floors(rows);
    place.ends("batch f.csv -o whole.csv", 1, &[]);
    let whole = place.text("whole.csv");
    let three: String = whole.split_inclusive('\n').take(3).collect();
    for (from, to, line) in [
        ("held_up", "blistered", "line 2"),
        ("A,2026", "Z,2026", "line 2"),
        ("never", "2026-09-09", "line 3"),
        ("two", "too", "line 3"),
    ] {
        assert!(rows.contains(from));
        std::fs::write(place.path("f.csv"), rows.replacen(from, to, 1)).unwrap();
        std::fs::write(place.path("r.csv.part"), &three).unwrap();
        place.ends(
            "batch f.csv -o r.csv --resume",
            2,
            &[line, "is not the floor"],
        );
        assert_eq!(place.text("r.csv.part"), three, "nothing is lost");
    }
    std::fs::write(place.path("f.csv"), rows).unwrap();
    place.ends("batch f.csv -o r.csv --resume", 1, &[]);
    assert_eq!(place.text("r.csv"), whole);
}

/// A second run on the same results says that the first is running, and touches nothing.
#[test]
fn a_running_batch_says_that_it_is_running() {
    let place = Place::with_floors(table(200, Alike::Different, 5));
    let mut first = place
        .command("batch f.csv -o r.csv --threads 1")
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    wait_for_lines(&place, &mut first, 2);
    for typed in ["batch f.csv -o r.csv", "batch f.csv -o r.csv --resume"] {
        place.ends(typed, 2, &["another run is writing this now"]);
    }
    assert!(first.try_wait().unwrap().is_none(), "the first run goes on");
    first.kill().unwrap();
    first.wait().unwrap();
    place.ends("batch f.csv -o r.csv", 2, &["--resume"]);
}

fn wait_for_lines(place: &Place, child: &mut std::process::Child, count: usize) {
    let lines = || {
        std::fs::read(place.path("r.csv.part"))
            .map_or(0, |it| it.iter().filter(|it| **it == b'\n').count())
    };
    while lines() < count {
        assert!(child.try_wait().unwrap().is_none(), "the run ended first");
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
}

/// Killed thirty times at any moment, a batch goes on each time and ends with the bytes of a
/// run that was left alone: results, worklists, summary.
#[test]
fn a_batch_killed_thirty_times_ends_with_the_same_bytes() {
    let kills: u32 = std::env::var("SLABSEASON_KILLS")
        .ok()
        .and_then(|it| it.parse().ok())
        .unwrap_or(30);
    // Floors of all kinds: graded ones that share their draws, refused ones, ones in error.
    let mut text = table(24, Alike::Shared, 17);
    let heading = text.lines().next().unwrap().to_string();
    let columns: Vec<&str> = heading.split(',').collect();
    for number in 0..300 {
        let cells: Vec<String> = columns
            .iter()
            .map(|it| match *it {
                "visit" => format!("more-{number}"),
                "visit_date" if number % 7 == 0 => "never".to_string(),
                "visit_date" => "2026-09-08".to_string(),
                "postal" => "05401".to_string(),
                "floor.setting" => "suspended".to_string(),
                _ => String::new(),
            })
            .collect();
        text.push_str(&format!("{}\n", cells.join(",")));
    }
    let place = Place::with_floors(text);
    let typed = "batch f.csv -o r.csv --summary s.txt --worklist w.csv --worklist w.ics";
    let straight = place.run(&typed.replace("r.csv", "straight.csv"));
    assert_eq!(straight.status.code(), Some(1), "{}", err(&straight));
    let (summary, work, days) = (
        place.bytes("s.txt"),
        place.bytes("w.csv"),
        place.bytes("w.ics"),
    );
    for name in ["s.txt", "w.csv", "w.ics"] {
        std::fs::remove_file(place.path(name)).unwrap();
    }
    // Moments from the process itself: where a kill falls cannot be foreseen.
    let mut moment = std::process::id();
    let mut killed = 0;
    let mut ended = 0;
    while killed < kills {
        let mut child = place
            .command(&format!("{typed} --resume --threads 1"))
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        moment = moment.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let wait_us = u64::from(moment >> 8) % 120_000;
        std::thread::sleep(std::time::Duration::from_micros(wait_us));
        match child.try_wait().unwrap() {
            None => {
                child.kill().unwrap();
                child.wait().unwrap();
                killed += 1;
            }
            Some(status) => {
                // It came to its end: checked, and begun anew.
                assert_eq!(status.code(), Some(1));
                assert_eq!(place.bytes("r.csv"), place.bytes("straight.csv"));
                for name in ["r.csv", "s.txt", "w.csv", "w.ics"] {
                    std::fs::remove_file(place.path(name)).unwrap();
                }
                ended += 1;
            }
        }
    }
    let last = place.run(&format!("{typed} --resume"));
    assert_eq!(last.status.code(), Some(1), "{}", err(&last));
    assert_eq!(
        place.bytes("r.csv"),
        place.bytes("straight.csv"),
        "after {ended} whole runs"
    );
    assert_eq!(place.bytes("s.txt"), summary);
    assert_eq!(place.bytes("w.csv"), work);
    assert_eq!(place.bytes("w.ics"), days);
    let left: Vec<String> = place
        .names()
        .into_iter()
        .filter(|it| it.ends_with(".part"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

// A short fuzz, the same mutants each time. The long ones are in `tests/fuzz`.

/// Mutants of a text: bytes changed, cut, doubled, put in.
fn mutants(seed: &str, count: usize) -> impl Iterator<Item = Vec<u8>> {
    // The generator SplitMix64.
    let mut state: u64 = 2_026;
    let mut next = move || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut it = state;
        it = (it ^ (it >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        it = (it ^ (it >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (it ^ (it >> 31)) as usize
    };
    let seed = seed.as_bytes().to_vec();
    (0..count).map(move |_| {
        let mut bytes = seed.clone();
        for _ in 0..1 + next() % 4 {
            let at = next() % bytes.len().max(1);
            match next() % 5 {
                0 => bytes.truncate(at),
                1 if at < bytes.len() => bytes[at] = next() as u8,
                2 if at < bytes.len() => drop(bytes.remove(at)),
                3 => {
                    let odd = [
                        b"\"".as_slice(),
                        b"=",
                        b",",
                        b"\n",
                        b"1e999",
                        b"\xff",
                        b"]]",
                        b"{{",
                    ];
                    bytes.splice(at..at, odd[next() % odd.len()].iter().copied());
                }
                _ => {
                    let end = (at + next() % 20).min(bytes.len());
                    let again = bytes[at.min(end)..end].to_vec();
                    bytes.splice(end..end, again);
                }
            }
        }
        bytes
    })
}

/// The page's door answers whatever comes with one object of JSON.
#[test]
fn a_short_fuzz_of_the_pages_door() {
    let load = "{\"ask\":\"load\",\"name\":\"a.toml\",\"text\":\"visit_date = 2026-09-08\\npostal = \\\"05401\\\"\"}";
    for seed in [load, "{\"ask\":\"words\"}"] {
        for bytes in mutants(seed, 1_000) {
            let text = String::from_utf8_lossy(&bytes);
            let answer = slabseason::web::respond(&text);
            let parsed: Result<serde_json::Value, _> = serde_json::from_str(&answer);
            assert!(
                parsed.is_ok_and(|it| it.is_object()),
                "{text}: {answer:.200}"
            );
        }
    }
}

/// A visit file is read or refused; what is read can be saved and read again.
#[test]
fn a_short_fuzz_of_visit_files() {
    let seed = include_str!("../examples/visits/low_lot_rochester.toml");
    for bytes in mutants(seed, 2_000) {
        if let Ok(parsed) = slabseason::survey::parse_visit_bytes(&bytes, "made.toml") {
            let text = slabseason::survey::to_toml(&parsed.visit);
            let again = slabseason::survey::parse_visit(&text, "saved.toml").unwrap();
            assert_eq!(again.visit, parsed.visit);
        }
    }
}

/// A table of any bytes costs its rows and nothing else: no crash, and a row told for each.
#[test]
fn a_short_fuzz_of_tables_of_floors() {
    let place = Place::new();
    for (number, bytes) in mutants(ROWS, 60).enumerate() {
        std::fs::write(place.path("f.csv"), &bytes).unwrap();
        let output = place.run("batch f.csv -o r.csv");
        let code = output.status.code();
        assert!(
            matches!(code, Some(0..=2)),
            "mutant {number}: {}",
            err(&output)
        );
        assert!(
            code == Some(0) || !output.stderr.is_empty(),
            "mutant {number}"
        );
        assert!(!place.path("r.csv.part").exists(), "mutant {number}");
    }
}

/// Any text is a quantity in its range or is refused.
#[test]
fn a_short_fuzz_of_quantities() {
    use slabseason::units::{
        Celsius, RelHumidity, area_from_text, celsius_from_text, humidity_from_text,
        length_from_text, permeance_from_text, volume_per_day_from_text,
    };
    for seed in ["67 F", "55%", "4 in", "750 ft2", "30 pints", "1e308"] {
        for bytes in mutants(seed, 500) {
            let text = String::from_utf8_lossy(&bytes);
            if let Ok(it) = celsius_from_text(&text) {
                assert!((Celsius::LOW..=Celsius::HIGH).contains(&it.get()), "{text}");
            }
            if let Ok(it) = humidity_from_text(&text) {
                let range = RelHumidity::LOW..=RelHumidity::HIGH;
                assert!(range.contains(&it.get()), "{text}");
            }
            let _ = (length_from_text(&text), area_from_text(&text));
            let _ = (permeance_from_text(&text), volume_per_day_from_text(&text));
        }
    }
}

/// What a person typed as an address stays text in Markdown.
#[test]
fn a_typed_address_is_no_link_in_markdown() {
    let place = Place::new();
    let visit = "visit_date = 2026-09-08\npostal = \"05401\"\nlabel = \"see https://example.org or www.example.org\"\n[floor]\nyear_built = 1961\n";
    std::fs::write(place.path("v.toml"), visit).unwrap();
    let said = out(&place.run("screen --visit v.toml --format markdown"));
    assert!(said.contains("https\\://example"), "{said}");
    assert!(
        !said.contains("https://") && !said.contains("www.example"),
        "{said}"
    );
}
