//! What a person met who tried the program for the first time. Each test is named for what
//! once went wrong.

use crate::floors::root;
use assert_cmd::Command;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::process::Output;

/// A folder of its own in which the program runs.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_slabseason"))
            .current_dir(self.folder.path())
            .args(arguments)
            .output()
            .unwrap()
    }

    /// Runs a line of words, which must end with this code; both streams, folded to one line.
    fn ends(&self, line: &str, code: i32) -> String {
        self.ends_words(&line.split(' ').collect::<Vec<_>>(), code)
    }

    fn ends_words(&self, words: &[&str], code: i32) -> String {
        let output = self.run(words);
        let text = [&output.stdout[..], &output.stderr[..]].concat();
        let text = String::from_utf8(text).unwrap();
        assert_eq!(output.status.code(), Some(code), "{words:?}: {text}");
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Rows of a table by their columns.
    fn rows(&self, name: &str) -> Vec<BTreeMap<String, String>> {
        let text = self.text(name);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let names = reader.headers().unwrap().clone();
        reader
            .records()
            .map(|row| {
                let row = row.unwrap();
                let cells = names.iter().zip(row.iter());
                cells.map(|it| (it.0.into(), it.1.into())).collect()
            })
            .collect()
    }
}

fn example(name: &str) -> String {
    root()
        .join("examples/visits")
        .join(name)
        .display()
        .to_string()
}

/// One row of a table of floors for a visit file.
fn row_of(visit: &str) -> String {
    use slabseason::survey::{Draft, FIELDS, get_field, parse_visit};
    let text = std::fs::read_to_string(visit).unwrap();
    let draft = Draft::from(&parse_visit(&text, "").unwrap().visit);
    let mut names: Vec<String> = Vec::new();
    let mut cells: Vec<String> = Vec::new();
    for it in FIELDS.iter().filter(|it| it.saved_as.is_none()) {
        let paths: Vec<String> = match it.path.strip_prefix("reading.") {
            Some(leaf) => (1..=draft.readings.len())
                .map(|at| format!("reading.{at}.{leaf}"))
                .collect(),
            None => vec![it.path.to_string()],
        };
        for path in paths {
            if let Ok(Some(raw)) = get_field(&draft, &path) {
                names.push(path);
                cells.push(format!("\"{}\"", raw.to_text()));
            }
        }
    }
    format!("{}\n{}\n", names.join(","), cells.join(","))
}

/// The screen led with the coating, and batch, worklist and ledger with the bare floor.
#[test]
fn batch_and_ledger_lead_with_the_risk_that_the_screen_leads_with() {
    let desk = Desk::new();
    for (name, of_system) in [
        ("level_unknown_burlington.toml", true),
        ("low_lot_seattle.toml", true),
    ] {
        let visit = example(name);
        let screen = desk.ends(&format!("screen --visit {visit} --format json"), 0);
        let screen: serde_json::Value = serde_json::from_str(&screen).unwrap();
        let headline = &screen["headline"];
        desk.write("floors.csv", &row_of(&visit));
        for file in ["results.csv", "work.csv"] {
            std::fs::remove_file(desk.path(file)).ok();
        }
        let told = desk.ends("batch floors.csv -o results.csv --worklist work.csv", 0);
        let row = &desk.rows("results.csv")[0];
        assert_eq!(row["headline_grade"], headline["grade"].as_str().unwrap());
        assert_eq!(row["headline_of"], headline["of"].as_str().unwrap());
        let chance: f64 = row["headline_probability"].parse().unwrap();
        assert_eq!(chance, headline["chance"].as_f64().unwrap());
        assert_eq!(headline["of"] == "quoted_system", of_system, "{name}");
        let work = &desk.rows("work.csv")[0];
        assert_eq!(work["grade"], row["headline_grade"], "{name}");
        if row["headline_grade"] != row["grade"] {
            assert!(told.contains("because of the coating you quote"), "{told}");
            assert!(work["why"].contains("if coated now"), "{}", work["why"]);
        }
        let file = format!("{name}.ledger");
        let ledger = format!("--ledger {file} --on 2026-09-30");
        let added = desk.ends(&format!("ledger add {visit} {ledger}"), 0);
        let shown = desk.ends(&format!("ledger show {ledger}"), 0);
        let due = desk.ends(&format!("ledger due --weeks 52 {ledger}"), 0);
        let grade = row["headline_grade"].replace('_', " ");
        for text in [&added, &shown, &due] {
            assert!(text.contains(&grade), "{name}: {grade} is not in {text}");
            assert!(!text.contains("No return visit"), "{text}");
        }
    }
}

/// The screen led with OVER THE LIMIT TODAY, and the ledger with a grade.
#[test]
fn the_ledger_says_first_that_a_floor_is_over_its_limit() {
    let desk = Desk::new();
    let visit = example("over_the_limit_cleveland.toml");
    desk.ends(&format!("ledger add {visit} --on 2026-09-30"), 0);
    let shown = desk.ends("ledger show --on 2026-09-30", 0);
    let of_day = "over the limit that day; very high if coated now";
    assert!(shown.contains(of_day), "{shown}");
}

/// Without it nobody would know that the coating was left out.
#[test]
fn a_batch_of_bare_floors_says_so() {
    let desk = Desk::new();
    desk.write(
        "floors.csv",
        &row_of(&example("level_unknown_burlington.toml")),
    );
    let told = desk.ends("batch floors.csv -o results.csv --bare", 0);
    assert!(told.contains("graded as bare floors"), "{told}");
    assert_eq!(desk.rows("results.csv")[0]["headline_grade"], "");
    desk.ends("batch floors.csv --bare --ways", 2);
}

/// A filled table was replaced by an empty one, and other files without a word.
#[test]
fn what_somebody_else_wrote_is_not_replaced() {
    let desk = Desk::new();
    desk.ends("batch --template t.csv", 0);
    let filled = format!("{}mine,2026-09-08\n", desk.text("t.csv"));
    desk.write("t.csv", &filled);
    assert!(
        desk.ends("batch --template t.csv", 2)
            .contains("another name")
    );
    assert_eq!(desk.text("t.csv"), filled);

    let visit = example("dry_denver.toml");
    desk.write("floors.csv", &row_of(&visit));
    let mine = "job,price\n7,2000\n";
    for name in ["mine.csv", "mine.txt", "mine.toml", "mine.ics", "mine.json"] {
        desk.write(name, mine);
    }
    for line in [
        format!("screen --visit {visit} -o mine.txt"),
        format!("screen --visit {visit} -o mine.toml"),
        format!("screen --visit {visit} --format json -o mine.json"),
        "batch floors.csv -o mine.csv".to_string(),
        "batch floors.csv -o r.csv --worklist mine.csv".to_string(),
        "batch floors.csv -o r.csv --worklist mine.ics".to_string(),
        "batch floors.csv -o r.csv --summary mine.txt".to_string(),
        format!("notice --visit {visit} -o mine.txt"),
    ] {
        let told = desk.ends(&line, 2);
        assert!(told.contains("is there already"), "{line}: {told}");
    }
    for name in ["mine.csv", "mine.txt", "mine.toml", "mine.ics", "mine.json"] {
        assert_eq!(desk.text(name), mine, "{name}");
    }
    assert!(!desk.path("r.csv").exists(), "known before any work");
    desk.ends("batch floors.csv -o mine.csv --force", 0);
}

/// What is made again and again is replaced by its like.
#[test]
fn our_own_outputs_are_made_anew() {
    let desk = Desk::new();
    let visit = example("dry_denver.toml");
    desk.write("floors.csv", &row_of(&visit));
    let later = example("level_unknown_burlington.toml");
    for _ in 0..2 {
        for line in [
            format!("screen --visit {visit} -o report.txt"),
            format!("screen --visit {visit} --format json -o report.json"),
            format!("screen --visit {visit} --format html -o report.html"),
            "batch floors.csv -o r.csv --summary s.txt --worklist w.csv --worklist w.ics"
                .to_string(),
            format!("notice --visit {visit} -o notice.txt"),
            format!("calendar --visit {later} -o days.ics"),
            "form -o form.html --format html".to_string(),
        ] {
            desk.ends(&line, 0);
        }
    }
}

/// Answers under an office's own headings were carried along as notes.
#[test]
fn headings_that_answer_a_question_are_no_notes() {
    let desk = Desk::new();
    let read = |heading: &str, cell: &str| {
        desk.write(
            "f.csv",
            &format!("date,zip,year built,{heading}\n2026-09-08,05401,1961,{cell}\n"),
        );
        for file in ["r.jsonl", "r.jsonl.part"] {
            std::fs::remove_file(desk.path(file)).ok();
        }
        desk.run(&[
            "batch",
            "f.csv",
            "-o",
            "r.jsonl",
            "--keep-columns",
            "--assume",
            "meter,percent",
        ])
    };
    for (heading, cell) in [
        ("Dark Spots", "yes"),
        ("Spring Darkening", "yes"),
        ("Dark Patches", "no"),
        ("Smell", "yes"),
        ("Moisture Reading", "3.9"),
    ] {
        let output = read(heading, cell);
        assert!(output.status.success(), "{heading}");
        assert!(!desk.text("r.jsonl").contains("note."), "{heading}");
    }
    for (heading, field) in [
        ("Gutters", "lot.downspouts"),
        ("Grading", "lot.drainage"),
        ("Water in basement", "lot.standing_water_5y"),
        ("Age of house", "floor.year_built"),
        ("Max", "limit.meter_percent"),
    ] {
        let output = read(heading, "12");
        assert_eq!(output.status.code(), Some(2), "{heading}");
        let told = String::from_utf8(output.stderr).unwrap();
        let note = format!("note.{heading}");
        assert!(told.contains(field) && told.contains(&note), "{told}");
        assert!(read(&note, "12").status.success(), "{note}");
    }
    for heading in ["Job", "Phone", "Crew", "City", "Price", "Customer"] {
        assert!(read(heading, "x").status.success(), "{heading}");
    }
    desk.write("f.csv", "date,Address Zip,lot\n2026-09-08,05401,low\n");
    desk.ends("batch f.csv", 0);
}

/// One cell of a table of floors as it was read, or the run's complaint.
fn read_cell(heading: &str, cell: &str, more: &[&str]) -> String {
    let desk = Desk::new();
    let cut = if cell.contains(',') { ";" } else { "," };
    let lines = [
        ["date", "zip", "year built", "lot", "reading 1", heading].join(cut),
        ["Sep 8 2026", "05401", "1961", "low", "3.9", cell].join(cut),
    ];
    desk.write("f.csv", &format!("{}\n", lines.join("\n")));
    let line = [
        &["batch", "f.csv", "--assume", "meter,percent", "--bare"][..],
        more,
    ]
    .concat();
    let output = desk.run(&line);
    format!(
        "{}{}",
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap()
    )
}

/// 13/9/2026 under month first became September 13 without a word.
#[test]
fn a_day_that_proves_the_other_order_is_a_bad_row() {
    let told = read_cell("outcome date", "13/9/2026", &["--dates", "mdy"]);
    assert!(told.contains("in the other order than --dates"), "{told}");
    let told = read_cell("outcome date", "13/9/2026", &["--dates", "dmy"]);
    assert!(told.contains("2026-09-13"), "{told}");
}

/// Each was refused, or read as something else.
#[test]
fn cells_are_read_as_people_type_them() {
    for (heading, cell) in [
        ("vapor barrier", "none"),
        ("outcome date", "46273"),
        ("outcome", "popped"),
        ("outcome", "failed"),
        ("outcome", "-"),
        ("limit", "3,4"),
    ] {
        let told = read_cell(heading, cell, &[]);
        assert!(!told.contains("error:"), "{heading} {cell}: {told}");
    }
    assert!(read_cell("outcome date", "46273", &[]).contains("2026-09-08"));
    assert!(read_cell("outcome", "popped", &[]).contains("blistered"));
    // A thousand is no decimal.
    assert!(read_cell("floor.area", "1,250 ft2", &[]).contains("error:"));
    let desk = Desk::new();
    for (year, lot) in [
        ("c. 1960", "flat"),
        ("1990s", "low lot"),
        ("about 1972", "high lot"),
    ] {
        desk.write(
            "f.csv",
            &format!("date,zip,year built,lot\nSep 8 2026,05401,{year},{lot}\n"),
        );
        let told = desk.ends("batch f.csv --bare", 0);
        // What was made of it is told.
        let read = slabseason::survey::year_from_text(year).unwrap();
        assert!(told.contains(&format!("{year}: {read}")), "{told}");
    }
}

/// A limit of 1 % was taken without a word, from a file, a row and a data sheet.
#[test]
fn a_limit_of_one_percent_is_questioned() {
    let desk = Desk::new();
    let visit = "visit_date = 2026-09-08\npostal = \"05401\"\n[floor]\nyear_built = 1961\n";
    desk.write("plain.toml", visit);
    desk.write(
        "odd.toml",
        &format!("{visit}[limit]\nmeter_percent = 1.0\n"),
    );
    desk.write(
        "sheet.toml",
        "finish_version = 1\nname = \"invented\"\nkind = \"film\"\nmeter_percent = 1.0\n",
    );
    let says = "3 to 6 %";
    let file = desk.ends("screen --visit odd.toml --full", 0);
    assert!(file.contains(says), "{file}");
    let sheet = desk.ends("screen --visit plain.toml --finish sheet.toml --full", 0);
    assert!(sheet.contains(says), "{sheet}");
    assert!(
        !desk
            .ends("screen --visit plain.toml --full", 0)
            .contains(says)
    );
    let head = "visit_date,postal,floor.year_built,limit.meter_percent\n";
    desk.write("f.csv", &format!("{head}2026-09-08,05401,1961,1\n"));
    desk.ends("batch f.csv --bare -o r.csv", 0);
    assert!(desk.rows("r.csv")[0]["input_notes"].contains(says));
}

/// Dates gave raw texts of a library, outcomes were read by batch alone, and the template's own
/// example could not be imported.
#[test]
fn the_ledger_reads_what_people_type() {
    let desk = Desk::new();
    let visit = example("dry_denver.toml");
    desk.ends(&format!("ledger add {visit} --on 10/14/2026"), 0);
    for (outcome, day) in [("peeled", "1"), ("delaminated", "2")] {
        let told = desk.ends(
            &format!("ledger outcome #1 {outcome} --on 2026-12-0{day}"),
            0,
        );
        let said = format!("blistered on December {day}, 2026");
        assert!(told.contains(&said), "{told}");
    }
    let reading = ["ledger", "add-reading", "#1", "--value", "3.1"];
    let with = |more: &[&str], code: i32| desk.ends_words(&[&reading[..], more].concat(), code);
    assert!(with(&["--date", "2026-13-01"], 2).contains("accepted: 2026-10-14"));
    assert!(with(&["--date", "Oct 20 2027", "--on", "2026-12-01"], 2).contains("is after"));
    assert!(with(&["--date", "2021-10-20", "--on", "2026-12-01"], 2).contains("check the year"));
    // A table of months that the floor never lived through was taken without a word.
    desk.write("old.csv", "month,rain\nJune 2016,4 in\n");
    let on = ["--date", "Nov 20 2026", "--on", "2026-12-01"];
    let told = with(&[&on[..], &["--weather", "old.csv"]].concat(), 2);
    assert!(told.contains("none of the months"), "{told}");
    desk.write(
        "had.csv",
        "Month,Rain,Temp\nJune 2026,4 in,68F\nAug 2026,3 in,70F\n",
    );
    with(&[&on[..], &["--weather", "had.csv"]].concat(), 0);

    desk.ends("batch --template t.csv", 0);
    let import = "ledger --ledger new.ledger import t.example.csv --dates mdy";
    let told = desk.ends(&format!("{import} --assume meter,percent"), 0);
    assert!(told.contains("2 added"), "{told}");
}

/// Money as people write it gave a text of a library, and came back without commas.
#[test]
fn costs_are_money_as_people_write_it() {
    let desk = Desk::new();
    desk.write(
        "costs.toml",
        "failed_coating = \"$60,000\"\nlost_job = 2000\nmembrane = 25000\n",
    );
    let visit = example("level_unknown_burlington.toml");
    let told = desk.ends(&format!("screen --visit {visit} --costs costs.toml"), 0);
    assert!(told.contains("2,000, whatever happens"), "{told}");
    assert!(!told.contains("differs by about 0)"), "{told}");
    assert!(!told.contains("untagged"), "{told}");
}

/// The calendar knew no data sheet, and the sheet had no example.
#[test]
fn a_data_sheet_can_be_tried_everywhere() {
    let desk = Desk::new();
    let sheet = root().join("examples/stricter_sheet.toml");
    let with = format!("--finish {}", sheet.display());
    let visit = example("stricter_sheet_erie.toml");
    let screen = desk.ends(&format!("screen --visit {visit} {with}"), 0);
    assert!(screen.contains("Limit: 4%"), "{screen}");
    let visit = example("level_unknown_burlington.toml");
    desk.ends(&format!("calendar --visit {visit} {with}"), 0);
    let told = desk.ends("explain data-sheet", 0);
    assert!(told.contains("name, and kind"), "{told}");
}

/// "Sealed before the first reading" stood on a plan that nothing had sealed, a past month was
/// taken, and nobody was told that the floors are too few for a claim.
#[test]
fn a_trial_says_what_its_floors_can_reach() {
    let desk = Desk::new();
    let on = "--on 2026-09-01";
    let draft = desk.ends(&format!("trial plan --from 2026-10 {on}"), 0);
    assert!(draft.contains("A draft: nothing is sealed yet"), "{draft}");
    assert!(draft.contains("60 floors are too few"), "{draft}");
    let coverage = slabseason::ledger::check::TrialTable::bundled().need_coverage;
    assert!(draft.contains(&format!("takes {coverage}")), "{draft}");
    assert!(draft.contains("October 1, 2026"), "{draft}");
    let told = desk.ends(&format!("trial plan --from 2026-08 {on}"), 2);
    assert!(told.contains("a month still to come"), "{told}");
    let line = format!("trial plan --floors 2000 --from 2026-10 {on} --ledger t.ledger");
    let sealed = desk.ends(&line, 0);
    assert!(
        sealed.contains("Sealed before the first reading"),
        "{sealed}"
    );
    assert!(sealed.contains("enough for every claim"), "{sealed}");
}

/// The floor was settled bare and sent back for a reading that "settles 95"; the homeowner's sheet
/// said nothing of the coating.
#[test]
fn a_floor_that_is_dry_bare_is_told_of_its_coating_everywhere() {
    let desk = Desk::new();
    let visit = example("level_unknown_burlington.toml");
    let first = desk.ends(&format!("screen --visit {visit}"), 0);
    assert!(
        first.contains("Test at depth (F2170) in May 2027"),
        "{first}"
    );
    let whole = desk.ends(&format!("screen --visit {visit} --full"), 0);
    for it in [&first, &whole] {
        assert!(!it.contains("settles"), "{it}");
    }
    let added = desk.ends(&format!("ledger add {visit}"), 0);
    assert!(added.contains("F2170) in May 2027"), "{added}");
    let sheet = desk.ends(&format!("homeowner --visit {visit}"), 0);
    assert!(
        sheet.contains("about 40 have a moisture problem"),
        "{sheet}"
    );
    assert!(!sheet.contains("FEW FLOORS LIKE YOURS"), "{sheet}");
}

/// A coating put down over the limit was said to fail by "liquid water".
#[test]
fn a_coating_over_the_limit_that_day_is_not_said_to_get_water() {
    let desk = Desk::new();
    let visit = example("over_today_little_known_peoria.toml");
    let first = desk.ends(&format!("screen --visit {visit}"), 0);
    assert!(
        first.contains("more than 95 fail: over the limit on the day of coating"),
        "{first}"
    );
}

/// The list sent a crew out two weeks before a new slab can be read again.
#[test]
fn nobody_is_sent_before_the_day_on_which_a_reading_counts() {
    let desk = Desk::new();
    let visit = example("new_slab_ten_weeks.toml");
    let added = desk.ends(&format!("ledger add {visit}"), 0);
    assert!(added.contains("on or after December 15, 2026"), "{added}");
    let due = desk.ends("ledger due --from 2026-09-15 --weeks 52", 0);
    assert!(due.contains("Week of December 21, 2026"), "{due}");
}

/// "0, whatever happens" stood at coatings that can fail; a cost out of order had no name.
#[test]
fn costs_are_sure_only_where_nothing_can_fail() {
    let desk = Desk::new();
    let costs = root().join("examples/costs.toml");
    let costs = costs.to_str().unwrap();
    for name in [
        "new_drained_burlington.toml",
        "homeowner_no_reading.toml",
        "wet_lot_phoenix.toml",
    ] {
        let visit = example(name);
        let said = desk.ends(&format!("screen --visit {visit} --costs {costs}"), 0);
        let sure = said.matches("whatever happens").count();
        let undone = said
            .matches("leave it bare: 2,000, whatever happens")
            .count()
            + said
                .matches("decline the job: 2,000, whatever happens")
                .count();
        assert_eq!(sure, undone, "{name}: {said}");
        assert_eq!(sure, 2, "{name}: {said}");
    }
    desk.write("costs.toml", "failed_coating = [12000, 6000]\n");
    let visit = example("dry_denver.toml");
    let said = desk.ends(&format!("screen --visit {visit} --costs costs.toml"), 2);
    assert!(said.contains("failed_coating = 12000 to 6000"), "{said}");
}

/// The screen named July 21, and ledger, list and calendar knew only next year's July.
#[test]
fn a_floor_over_its_limit_is_read_again_on_one_day_everywhere() {
    let desk = Desk::new();
    let visit = example("over_today_little_known_peoria.toml");
    let first = desk.ends(&format!("screen --visit {visit}"), 0);
    assert!(first.contains("July 21, 2026 or later"), "{first}");
    let added = desk.ends(&format!("ledger add {visit}"), 0);
    assert!(added.contains("on July 21, 2026 or later"), "{added}");
    let due = desk.ends("ledger due --from 2026-07-15 --weeks 6", 0);
    assert!(due.contains("Week of July 27, 2026"), "{due}");
    let days = desk.ends(&format!("calendar --visit {visit}"), 0);
    assert!(days.contains("DTSTART;VALUE=DATE:20260721"), "{days}");
}

/// A typed ZIP code of four digits was answered with a code of which nobody had thought.
#[test]
fn four_digits_of_a_zip_code_say_which_one_may_be_missing() {
    let desk = Desk::new();
    let vermont = desk.ends("climate 5401", 2);
    assert!(vermont.contains("spreadsheets drop"), "{vermont}");
    assert!(vermont.contains("if you meant 05401"), "{vermont}");
    // The zero is there: another digit is missing.
    let typed = desk.ends("climate 0540", 2);
    assert!(!typed.contains("00540"), "{typed}");
    assert!(
        typed.contains("type all five, or the first three (054)"),
        "{typed}"
    );
    // No area has the number 090.
    let coast = desk.ends("climate 9021", 2);
    assert!(
        !coast.contains("09021") && coast.contains("(902)"),
        "{coast}"
    );
    desk.write(
        "f.toml",
        "visit_date = 2026-09-08\npostal = \"0540\"\n[lot]\nposition = \"low\"\n",
    );
    let file = desk.ends("screen --visit f.toml", 2);
    assert!(!file.contains("00540") && file.contains("(054)"), "{file}");
}

/// Readings of all floors were counted through, so that the second floor began with a 4.
#[test]
fn readings_are_numbered_floor_by_floor() {
    let desk = Desk::new();
    let on = "--on 2026-10-01";
    for name in ["level_unknown_burlington.toml", "low_lot_rochester.toml"] {
        desk.ends(&format!("ledger add {} {on}", example(name)), 0);
    }
    desk.ends(
        &format!("ledger add-reading #1 --value 3.3 --date 2026-09-30 {on}"),
        0,
    );
    let second = desk.ends("ledger show #2", 0);
    for it in ["reading 1: 3.4 %", "reading 2: 3.8 %", "reading 3: 3.6 %"] {
        assert!(second.contains(it), "{second}");
    }
    let first = desk.ends("ledger show #1", 0);
    assert!(first.contains("reading 4: 3.3 %"), "{first}");
    let asked = desk.ends_words(&["ledger", "withdraw", "2", "--why", "slip"], 2);
    assert!(asked.contains("name the floor first"), "{asked}");
    let told = desk.ends_words(&["ledger", "withdraw", "#2", "4", "--why", "slip"], 2);
    assert!(told.contains("accepted: 1 to 3"), "{told}");
    desk.ends_words(&["ledger", "withdraw", "#2", "2", "--why", "slip"], 0);
    let second = desk.ends("ledger show #2", 0);
    assert!(
        second.contains("reading 2: 3.8 % A (withdrawn)"),
        "{second}"
    );
    assert!(!desk.ends("ledger show #1", 0).contains("withdrawn"));
    desk.ends("ledger export -o out", 0);
    let rows = desk.rows("out/readings.csv");
    let numbers: Vec<(&str, &str)> = rows
        .iter()
        .map(|it| (it["floor"].as_str(), it["reading"].as_str()))
        .collect();
    assert_eq!(
        numbers,
        [
            ("1", "1"),
            ("1", "2"),
            ("1", "3"),
            ("1", "4"),
            ("2", "1"),
            ("2", "2"),
            ("2", "3")
        ]
    );
}

/// A reading of a day before the visit was told to be a return visit.
#[test]
fn only_a_later_day_is_a_return_visit() {
    let desk = Desk::new();
    let visit = example("level_unknown_burlington.toml");
    let on = "--on 2026-10-02";
    desk.ends(&format!("ledger add {visit} {on}"), 0);
    let add = |day: &str| {
        desk.ends(
            &format!("ledger add-reading #1 --value 3.3 --date {day} --spot {day} {on}"),
            0,
        )
    };
    let before = add("2026-09-01");
    assert!(
        before.contains("before the first visit on September 8, 2026"),
        "{before}"
    );
    let same = add("2026-09-08");
    assert!(same.contains("from the day of a visit"), "{same}");
    let after = add("2026-10-01");
    assert!(after.contains("This is a return visit"), "{after}");
    for it in [&before, &same] {
        assert!(!it.contains("this is a return visit"), "{it}");
    }
    let text = std::fs::read_to_string(&visit).unwrap();
    desk.write("old.toml", &text.replace("2026-09-08", "2026-06-08"));
    let older = desk.ends(&format!("ledger add old.toml {on}"), 0);
    assert!(
        older.contains("before the one on September 8, 2026"),
        "{older}"
    );
}

/// A coated floor was sent back for another reading.
#[test]
fn a_floor_that_was_coated_is_not_read_again() {
    let desk = Desk::new();
    let visit = example("low_lot_rochester.toml");
    let on = "--on 2026-11-01";
    desk.ends(&format!("ledger add {visit} {on}"), 0);
    desk.ends(
        &format!("ledger outcome #1 held_up --coated-with epoxy {on}"),
        0,
    );
    let sheet = desk.ends("ledger show #1", 0);
    let list = desk.ends("ledger show", 0);
    let added = desk.ends(
        "ledger add-reading #1 --value 3.3 --date 2026-11-20 --on 2026-11-20",
        0,
    );
    for it in [&sheet, &list, &added] {
        assert!(!it.contains("another reading"), "{it}");
        assert!(it.contains("It was coated, so no reading is due"), "{it}");
    }
    let due = desk.ends("ledger due --from 2026-11-21 --weeks 52", 0);
    assert!(due.contains("No return visit is due"), "{due}");
    // The season's list and its calendar too.
    let row = row_of(&example("level_unknown_burlington.toml"));
    let (head, cells) = row.split_once('\n').unwrap();
    let cells = cells.trim_end();
    desk.write(
        "floors.csv",
        &format!("{head},outcome,outcome_date\n{cells},held_up,2026-11-01\n{cells},,\n"),
    );
    desk.ends(
        "batch floors.csv -o r.csv --worklist w.csv --worklist w.ics",
        0,
    );
    let work = desk.rows("w.csv");
    assert_eq!(work.len(), 1, "{work:?}");
    assert_eq!(work[0]["line"], "3");
    assert_eq!(desk.text("w.ics").matches("BEGIN:VEVENT").count(), 1);
}

/// The customer of a new slab was offered one more visit with the meter, which cannot clear it.
#[test]
fn a_new_slab_is_offered_the_test_that_is_due() {
    let desk = Desk::new();
    for name in ["new_slab_three_weeks.toml", "new_slab_ten_weeks.toml"] {
        let visit = example(name);
        let text = std::fs::read_to_string(&visit).unwrap();
        desk.write(name, &text);
        let file = format!("--ledger {name}.ledger --on 2026-09-30");
        let added = desk.ends(&format!("ledger add {name} {file}"), 0);
        assert!(
            added.contains("Test at depth (ASTM F2170) on or after"),
            "{added}"
        );
        let due = |format: &str| {
            desk.ends(
                &format!("ledger due --from 2026-10-01 --weeks 52 --format {format} {file}"),
                0,
            )
        };
        let message = due("messages");
        assert!(message.contains("small holes that we drill"), "{message}");
        assert!(!message.contains("no mark"), "{message}");
        assert!(due("text").contains("test at depth (F2170)"));
        assert!(due("ics").contains("Test at depth"));
        let days = desk.ends(&format!("calendar --visit {name}"), 0);
        assert!(days.contains("Test this floor at depth (F2170)"), "{days}");
        let screen = desk.ends(&format!("screen --visit {name}"), 0);
        assert!(screen.contains("F2170"), "{screen}");
        std::fs::remove_file(desk.path("r.csv")).ok();
        std::fs::remove_file(desk.path("w.csv")).ok();
        desk.write("floors.csv", &row_of(&visit));
        desk.ends("batch floors.csv -o r.csv --worklist w.csv", 0);
        let why = &desk.rows("w.csv")[0]["why"];
        assert!(why.contains("test at depth (F2170)"), "{why}");
    }
    // What a meter can tell is still read by a meter.
    let washed = example("just_washed.toml");
    desk.ends(&format!("ledger add {washed} --on 2026-10-30"), 0);
    let message = desk.ends(
        "ledger due --from 2026-10-30 --weeks 52 --format messages",
        0,
    );
    assert!(
        message.contains("We would like to take another"),
        "{message}"
    );
}

/// A slip in the year was kept for good.
#[test]
fn days_that_cannot_be_are_not_kept() {
    let desk = Desk::new();
    let visit = example("low_lot_rochester.toml");
    let told = desk.ends(&format!("ledger add {visit} --on 2026-09-01"), 2);
    assert!(
        told.contains("a visit of 2026-09-08 is after 2026-09-01"),
        "{told}"
    );
    let told = desk.ends(&format!("ledger import {visit} --on 2026-09-01"), 1);
    assert!(
        told.contains("is after") && told.contains("0 added"),
        "{told}"
    );
    desk.ends(&format!("ledger add {visit} --on 2026-09-08"), 0);
    let outcome = |more: &str| desk.ends(&format!("ledger outcome #1 held_up {more}"), 2);
    let ahead = outcome("--date 2027-10-01 --on 2026-10-01");
    assert!(ahead.contains("is after 2026-10-01"), "{ahead}");
    let before = outcome("--date 2025-10-01 --on 2026-10-01");
    assert!(
        before.contains("before the first visit on 2026-09-08"),
        "{before}"
    );
    let row = row_of(&visit);
    let (head, cells) = row.split_once('\n').unwrap();
    desk.write(
        "floors.csv",
        &format!(
            "{head},outcome,outcome_date\n{},held_up,2025-11-01\n",
            cells.trim_end()
        ),
    );
    let told = desk.ends("batch floors.csv -o r.csv --bare", 2);
    assert!(told.contains("before the visit on 2026-09-08"), "{told}");
    // A visit file is checked against its own days.
    let text = std::fs::read_to_string(&visit).unwrap();
    let after = text.replacen("\ndate = 2026-09-08", "\ndate = 2026-10-08", 1);
    desk.write("after.toml", &after);
    let told = desk.ends("screen --visit after.toml", 2);
    assert!(told.contains("is after the visit on 2026-09-08"), "{told}");
    let poured = text.replace("year_built = 1958", "placed_date = 2026-09-20");
    desk.write("poured.toml", &poured);
    let told = desk.ends("screen --visit poured.toml", 2);
    assert!(told.contains("is before the slab was placed"), "{told}");
}

/// A floor of 1.5, 6.5 and 2.0 % was over its limit, and nobody said that one spot made it so.
#[test]
fn a_spot_far_above_the_others_is_said_first() {
    let desk = Desk::new();
    let visit = |values: &[f64]| {
        let mut text = "visit_date = 2026-09-08\npostal = \"05401\"\n[floor]\nsetting = \
                        \"basement\"\nyear_built = 1961\n"
            .to_string();
        for (at, value) in values.iter().enumerate() {
            text.push_str(&format!(
                "[[reading]]\nkind = \"meter\"\nvalue = {value}\nscale = \"percent\"\nspot = \
                 \"A{}\"\n",
                at + 1
            ));
        }
        text
    };
    for (values, rest) in [
        (&[1.5, 6.5, 2.0][..], "1.5% to 2%"),
        (&[1.5, 6.5], "1.5%"),
        (&[2.0, 4.8, 2.2], "2% to 2.2%"),
    ] {
        desk.write("f.toml", &visit(values));
        let first = desk.ends("screen --visit f.toml", 0);
        let says = format!(
            "too far apart to average: A2 reads {}%, the rest {rest}",
            values[1]
        );
        let at = first
            .find(&says)
            .unwrap_or_else(|| panic!("{says}: {first}"));
        let risk = first
            .find("OVER THE LIMIT")
            .or(first.find("RISK:"))
            .unwrap();
        assert!(at < risk, "{first}");
        assert!(first.contains("Read A2 again"), "{first}");
        let json = desk.ends("screen --visit f.toml --format json", 0);
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!(json["leads"]["spot"]["percent"], values[1]);
    }
    // The whole text left the chances empty without a word.
    desk.write("f.toml", &visit(&[1.5, 6.5, 2.0]));
    let whole = desk.ends("screen --visit f.toml --full", 0);
    let (_, chances) = whole.split_once("THE CHANCES").unwrap();
    assert!(
        chances.trim().starts_with("Fewer than 2 in 100 floors"),
        "{chances}"
    );
    desk.write("f.toml", &visit(&[3.4, 3.5, 3.7]));
    let even = desk.ends("screen --visit f.toml", 0);
    assert!(!even.contains("too far apart"), "{even}");
}

/// "Of 100 floors like this one" stood over a chance that counts those alone that get coated.
#[test]
fn a_chance_of_the_coated_floors_says_so() {
    let desk = Desk::new();
    let visit = example("level_unknown_burlington.toml");
    let with = "--quote film_after_test";
    let first = desk.ends(&format!("screen --visit {visit} {with}"), 0);
    assert!(
        first.contains("about 30 of 100 coated get liquid water in 5 years"),
        "{first}"
    );
    let whole = desk.ends(&format!("screen --visit {visit} {with} --full"), 0);
    assert!(
        whole.contains("about 30 in 100 that get coated this way: a problem"),
        "{whole}"
    );
    let notice = desk.ends(&format!("notice --visit {visit} {with}"), 0);
    assert!(
        notice.contains("Of floors like yours that get coated this way"),
        "{notice}"
    );
    let now = desk.ends(&format!("screen --visit {visit}"), 0);
    assert!(!now.contains("of 100 coated get"), "{now}");
}

/// One place named May for the next reading and another June.
#[test]
fn the_month_of_the_next_reading_is_one_everywhere() {
    let desk = Desk::new();
    for name in [
        "over_the_limit_cleveland.toml",
        "low_lot_rochester.toml",
        "wet_along_the_walls_columbus.toml",
        "seven_readings_one_withdrawn.toml",
    ] {
        let visit = example(name);
        let json = desk.ends(&format!("screen --visit {visit} --format json"), 0);
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let month = json["second_reading"]["month_to_go"].as_u64().unwrap() as usize;
        let month = slabseason::season::MONTH_NAMES[month - 1];
        let whole = desk.ends(&format!("screen --visit {visit} --full"), 0);
        for (before, after) in [
            ("One more reading with the same meter in ", ' '),
            ("second round of readings with the same meter in ", ' '),
            ("Come back in ", ' '),
        ] {
            for (at, _) in whole.match_indices(before) {
                let said = whole[at + before.len()..].split(after).next().unwrap();
                assert_eq!(said, month, "{name}: {before}");
            }
        }
        assert!(!whole.contains("tells the most in"), "{whole}");
    }
}

/// An option without a cost, or put down too seldom, was left out without a word.
#[test]
fn options_without_a_price_say_why() {
    let desk = Desk::new();
    let costs = root().join("examples/costs.toml");
    let costs = costs.to_str().unwrap();
    let visit = example("over_the_limit_cleveland.toml");
    let said = desk.ends(&format!("screen --visit {visit} --costs {costs}"), 0);
    assert!(
        said.contains("wettest month: too few of these floors get that far"),
        "{said}"
    );
    desk.write("few.toml", "failed_coating = 9000\nbreathable = 300\n");
    let visit = example("new_drained_burlington.toml");
    let said = desk.ends(&format!("screen --visit {visit} --costs few.toml"), 0);
    for it in [
        "Not on the list, and why:",
        "leave it bare: your file has no cost for it (lost_job)",
        "moisture-tolerant primer under the coating: your file has no cost for it (primer)",
        "gutters and grading first, then coat a year later: the gutters and the grading are fine",
    ] {
        assert!(said.contains(it), "{it}: {said}");
    }
    let json = desk.ends(
        &format!("screen --visit {visit} --costs few.toml --format json"),
        0,
    );
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let costs = &json["costs"];
    let count = |name: &str| costs[name].as_array().unwrap().len();
    assert_eq!(
        count("left_out") + count("options"),
        json["ways"].as_array().unwrap().len(),
        "each option is priced or told: {costs}"
    );
    desk.write(
        "sheet.toml",
        "finish_version = 1\nname = \"invented\"\nkind = \"film\"\nexcludes = [\"below_grade\"]\n",
    );
    let line = format!("screen --visit {visit} --finish sheet.toml --costs few.toml");
    let said = desk.ends(&line, 0);
    assert!(said.contains("the data sheet rules it out"), "{said}");
}

/// Feet and degrees Fahrenheit stood in sheets that were asked for in meters.
#[test]
fn si_units_are_all_that_is_printed_when_asked_for() {
    let desk = Desk::new();
    let sweating = std::fs::read_to_string(example("sweating_slab.toml")).unwrap();
    desk.write("sweating.toml", &sweating);
    let mut visits: Vec<String> = [
        "low_lot_rochester.toml",
        "wet_along_the_walls_columbus.toml",
        "near_walls_only.toml",
        "homeowner_no_reading.toml",
        "garage_unheated_minneapolis.toml",
        "new_slab_ten_weeks.toml",
        "probe_and_dome.toml",
    ]
    .map(example)
    .to_vec();
    visits.push("sweating.toml".to_string());
    let us = [
        " ft",
        " feet",
        " foot ",
        " inch",
        "°F",
        " F (",
        " lb",
        " in on each",
        " in over",
        " mil ",
        " 4 in ",
    ];
    let check = |line: &str| {
        // Of a garage that freezes nothing is estimated, and much is said.
        let code = if line.starts_with("screen") && line.contains("garage") {
            2
        } else {
            0
        };
        let said = desk.ends(line, code);
        for it in us {
            let clean = said.replace("foot of the walls", "");
            assert!(!clean.contains(it), "{line}: {it} in {said}");
        }
        said
    };
    for visit in &visits {
        check(&format!("screen --visit {visit} --units si"));
        check(&format!(
            "screen --visit {visit} --units si --full --quote membrane"
        ));
        check(&format!(
            "notice --visit {visit} --units si --quote membrane"
        ));
        check(&format!("homeowner --visit {visit} --units si"));
        check(&format!(
            "homeowner --visit {visit} --units si --language es"
        ));
        let spanish = desk.ends(
            &format!("notice --visit {visit} --units si --language es"),
            0,
        );
        assert!(
            !spanish.contains("pies") && !spanish.contains("°F"),
            "{spanish}"
        );
    }
    check("climate 05401 --units si");
    let dome = example("probe_and_dome.toml");
    let sheet = check(&format!("screen --visit {dome} --units si --full"));
    assert!(sheet.contains("µg/(s m2)"), "{sheet}");
    let sheet = check("homeowner 05401 --units si");
    for it in [
        "1.8 m from the wall",
        "15 cm over the first 3 m",
        "46 cm on each side and 0.1 mm",
    ] {
        assert!(sheet.contains(it), "{it}: {sheet}");
    }
    // Asked for in feet, they stay.
    let usual = desk.ends("homeowner 05401", 0);
    assert!(usual.contains("6 ft from the wall"), "{usual}");
}

/// "Answer the questions" named no way to do it.
#[test]
fn a_homeowner_with_a_postal_code_is_told_what_to_run() {
    let desk = Desk::new();
    let english = desk.ends("homeowner 05401", 0);
    let spanish = desk.ends("homeowner 05401 --language es", 0);
    for it in [&english, &spanish] {
        assert!(it.contains("slabseason screen"), "{it}");
        assert!(it.contains("slabseason homeowner"), "{it}");
        assert!(it.contains("slabseason form --for homeowner"), "{it}");
    }
    // With the answers nothing is left to answer.
    let visit = example("homeowner_no_reading.toml");
    let answered = desk.ends(&format!("homeowner --visit {visit}"), 0);
    assert!(!answered.contains("slabseason screen"), "{answered}");
}

/// Sheets for Canada cited federal rules of the United States.
#[test]
fn sheets_for_canada_cite_no_rules_of_the_united_states() {
    let desk = Desk::new();
    let us = ["CFR", "OSHA", "EPA ", "1978", "State ", "federal"];
    let check = |words: &str| {
        let said = desk.ends(words, 0);
        for it in us {
            let clean = said.replace("Environment and Climate Change", "");
            assert!(!clean.contains(it), "{words}: {it} in {said}");
        }
    };
    for name in [
        "low_lot_rochester.toml",
        "over_the_limit_cleveland.toml",
        "new_slab_five_weeks.toml",
        "homeowner_no_reading.toml",
    ] {
        let text = std::fs::read_to_string(example(name)).unwrap();
        let there: Vec<&str> = text
            .lines()
            .map(|it| match it.split_once(" = ") {
                Some(("postal", _)) => "postal = \"M5V 2T6\"",
                _ => it,
            })
            .collect();
        desk.write("f.toml", &there.join("\n"));
        for format in ["text", "html", "markdown"] {
            check(&format!("notice --visit f.toml --format {format}"));
            check(&format!("screen --visit f.toml --full --format {format}"));
            check(&format!("homeowner --visit f.toml --format {format}"));
        }
        check("screen --visit f.toml --format json");
        check("notice --visit f.toml --language es");
        check("homeowner --visit f.toml --language es");
    }
    check("homeowner M5V");
    let home = desk.ends("homeowner 05401", 0);
    assert!(home.contains("40 CFR 745"), "{home}");
}

/// A floor over its limit that nothing explains: `dry` had it ready in three days, by floors that
/// read less, and the notice and the homeowner's sheet said only that the reading cannot be used.
#[test]
fn a_floor_over_its_limit_that_nothing_explains_is_over_everywhere() {
    let desk = Desk::new();
    desk.write(
        "over.toml",
        "visit_date = 2026-09-14\npostal = \"14604\"\nfloor.setting = \"basement\"\nfloor.year_built = 1988\nfloor.surface = \"bare\"\nlot.position = \"level\"\nlot.drainage = \"sound\"\nsigns.spring_darkening = false\nlimit.meter_percent = 5.0\n[[reading]]\nkind = \"meter\"\nscale = \"percent\"\nvalue = 6.1\n[[reading]]\nkind = \"meter\"\nscale = \"percent\"\nvalue = 5.4\n",
    );
    let screen = desk.ends("screen --visit over.toml", 0);
    assert!(screen.contains("OVER THE LIMIT TODAY"), "{screen}");
    assert!(screen.contains("Fewer than 2 in 100"), "{screen}");
    let dry = desk.ends("dry --visit over.toml", 0);
    assert!(dry.contains("no days to count yet"), "{dry}");
    assert!(!dry.contains("9 in 10"), "{dry}");
    for command in ["notice", "homeowner"] {
        let sheet = desk.ends(&format!("{command} --visit over.toml"), 0);
        let said = sheet.to_lowercase();
        assert!(said.contains("over the moisture limit today"), "{sheet}");
        assert!(sheet.contains("Look for a plumbing leak"), "{sheet}");
        assert!(!said.contains("cannot be used"), "{sheet}");
    }
}

/// Where most floors read highest in summer air, and those that go over do so in spring, the
/// twelve months looked as if they spoke against the month to watch.
#[test]
fn months_say_why_the_highest_reading_is_not_the_month_to_watch() {
    let desk = Desk::new();
    desk.write(
        "tor.toml",
        "visit_date = 2026-10-25\npostal = \"M5V 2T6\"\nfloor.setting = \"basement\"\nfloor.year_built = 1975\nfloor.retarder = \"absent\"\nlot.position = \"level\"\n[[reading]]\nkind = \"meter\"\nscale = \"percent\"\nvalue = 3.3\n",
    );
    let full = desk.ends("screen --visit tor.toml --full", 0);
    assert!(full.contains("wettest month (April)"), "{full}");
    assert!(full.contains("% in August."), "{full}");
    assert!(
        full.contains("The ones that go over do it mostly around April"),
        "{full}"
    );
    // A wet floor reads highest when it is to be watched, and needs no such sentence.
    let wet = example("low_lot_rochester.toml");
    let wet = desk.ends(&format!("screen --visit {wet} --full"), 0);
    assert!(!wet.contains("The ones that go over"), "{wet}");
}

/// Read over its limit, and higher than climate and answers explain.
const OVER_AND_HELD: &str = r#"visit_version = 1
visit_date = 2026-09-14
postal = "14604"
label = "J-102"
[floor]
setting = "basement"
year_built = 1988
surface = "bare"
last_wetted_days = 30
[lot]
position = "level"
drainage = "sound"
[signs]
spring_darkening = false
[[reading]]
kind = "meter"
scale = "percent"
value = 6.1
spot = "middle"
wall_distance = "9ft"
[[reading]]
kind = "meter"
scale = "percent"
value = 5.4
spot = "north"
wall_distance = "6ft"
[limit]
meter_percent = 5.0
source = "sheet"
"#;

/// Of a floor over its limit whose reading is held, the screen said to come back in two weeks;
/// the season's table and the ledger said ten months, and the calendar had no day at all.
#[test]
fn a_held_floor_over_its_limit_is_read_again_on_the_screens_day_everywhere() {
    let desk = Desk::new();
    desk.write("over.toml", OVER_AND_HELD);
    let screen = desk.ends("screen --visit over.toml", 0);
    assert!(screen.contains("OVER THE LIMIT TODAY"), "{screen}");
    assert!(
        screen.contains("on September 28, 2026 or later"),
        "{screen}"
    );
    let calendar = desk.ends("calendar --visit over.toml", 0);
    assert!(
        calendar.contains("DTSTART;VALUE=DATE:20260928"),
        "{calendar}"
    );

    desk.write(
        "floors.csv",
        &row_of(&desk.path("over.toml").display().to_string()),
    );
    desk.ends("batch floors.csv -o results.csv --worklist work.csv", 0);
    let work = &desk.rows("work.csv")[0];
    assert_eq!(work["date"], "2026-09-28");
    assert!(work["why"].starts_with("over the limit"), "{work:?}");

    let added = "ledger --ledger a.ledger --on 2026-09-15 add over.toml";
    let taken = "ledger --ledger b.ledger --on 2026-09-15 import floors.csv";
    for (ledger, line) in [("a", added), ("b", taken)] {
        desk.ends(line, 0);
        let of = format!("ledger --ledger {ledger}.ledger");
        let shown = desk.ends_words(
            &[of.split(' ').collect::<Vec<_>>(), vec!["show", "#1"]].concat(),
            0,
        );
        assert!(shown.contains("over the limit that day"), "{shown}");
        assert!(shown.contains("on September 28, 2026 or later"), "{shown}");
        let due = desk.ends(&format!("{of} due --from 2026-09-16"), 0);
        assert!(due.contains("Week of September 28, 2026"), "{due}");
        assert!(due.contains("over the limit that day"), "{due}");
        let texts = desk.ends(&format!("{of} due --from 2026-09-16 --format messages"), 0);
        assert!(texts.contains("over the moisture limit"), "{texts}");
    }
}

/// A reading that was withdrawn kept its weight in the answer.
#[test]
fn a_floor_is_told_anew_without_a_withdrawn_reading() {
    let desk = Desk::new();
    desk.write("over.toml", OVER_AND_HELD);
    desk.ends("ledger --on 2026-09-15 add over.toml", 0);
    desk.ends("ledger --on 2026-09-15 withdraw 1 --why slip", 0);
    let told = desk.ends("ledger --on 2026-09-15 withdraw 2 --why slip", 0);
    assert!(told.contains("The result is new"), "{told}");
    let shown = desk.ends("ledger show #1", 0);
    assert!(shown.contains("No reading yet."), "{shown}");
    assert!(!shown.contains("Find out why"), "{shown}");
}

/// A table of results made floors without a name and without a place, and counted them as added.
#[test]
fn a_table_of_results_makes_no_floors() {
    let desk = Desk::new();
    desk.write("over.toml", OVER_AND_HELD);
    let row = row_of(&desk.path("over.toml").display().to_string());
    desk.write("floors.csv", &row);
    desk.ends("batch floors.csv -o results.csv", 0);
    let told = desk.ends("ledger --on 2026-09-30 import results.csv", 2);
    assert!(told.contains("import the table of visits"), "{told}");
    let text = desk.text("results.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let names = reader.headers().unwrap().clone();
    let of = |name: &str| names.iter().position(|it| it == name).unwrap();
    let cells = reader.records().next().unwrap().unwrap();
    let mut cells: Vec<String> = cells.iter().map(str::to_string).collect();
    cells[of("outcome")] = "held_up".to_string();
    cells[of("input_digest")] = String::new();
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&names).unwrap();
    writer.write_record(&cells).unwrap();
    let filled = String::from_utf8(writer.into_inner().unwrap()).unwrap();
    desk.write("filled.csv", &filled);
    let told = desk.ends("ledger --on 2026-09-30 import filled.csv", 1);
    assert!(told.contains("filled.csv, line 2"), "{told}");
    let shown = desk.ends("ledger show", 0);
    assert!(shown.contains("no floors yet"), "{shown}");
    desk.ends("ledger --on 2026-09-30 import floors.csv", 0);
    let told = desk.ends("ledger --on 2026-09-30 import filled.csv", 0);
    assert!(told.contains("1 outcomes"), "{told}");
}

/// Job, phone and notes of a table went nowhere, and nobody said so.
#[test]
fn an_import_takes_the_job_as_label_and_tells_what_it_leaves() {
    for (job, phone) in [("Job", "Phone"), ("note.Job", "note.Phone")] {
        let desk = Desk::new();
        desk.write(
            "t.csv",
            &format!("visit date,zip,setting,year built,{job},{phone}\n2026-09-14,14604,basement,1988,4711,000-0100\n"),
        );
        let told = desk.ends("ledger --on 2026-09-30 import t.csv", 0);
        assert!(told.contains("not kept in the ledger: Phone."), "{told}");
        let shown = desk.ends("ledger show", 0);
        assert!(shown.contains("#1 4711"), "{shown}");
    }
}

/// Floors without a date were missing in the calendar, and nobody said so.
#[test]
fn a_calendar_tells_how_many_floors_it_leaves_out() {
    let desk = Desk::new();
    // Water stands on it: its source is found first, on any day.
    desk.write(
        "t.csv",
        "visit date,zip,setting,year built,water now\n2026-09-14,14604,basement,1988,standing\n",
    );
    let told = desk.ends("batch t.csv -o r.csv --worklist w.ics", 0);
    assert!(told.contains("not in the calendar: 1."), "{told}");
    assert!(told.contains("ends in .csv"), "{told}");
    let told = desk.ends(
        "batch t.csv -o r2.csv --worklist w2.ics --worklist w.csv",
        0,
    );
    assert!(told.contains("They are in w.csv"), "{told}");
}

/// The week of a visit began before the day on which a new reading counts, or before the month
/// that was asked for.
#[test]
fn a_week_begins_on_or_after_the_day_that_it_waits_for() {
    let desk = Desk::new();
    let wednesday = OVER_AND_HELD.replace("2026-09-14", "2026-09-16");
    desk.write("over.toml", &wednesday);
    desk.ends("ledger --on 2026-09-17 add over.toml", 0);
    for (from, week) in [
        ("2026-09-17", "Week of October 5, 2026"),
        ("2026-09-30", "Week of September 28, 2026"),
        ("2026-11-18", "Week of November 16, 2026"),
    ] {
        let due = desk.ends(&format!("ledger due --from {from}"), 0);
        assert!(due.contains(week), "{from}: {due}");
    }
    let visit = example("level_unknown_burlington.toml");
    desk.ends(&format!("ledger --ledger b.ledger add {visit}"), 0);
    let line = "ledger --ledger b.ledger due --from 2026-10-01 --weeks 60 --format csv -o due.csv";
    desk.ends(line, 0);
    for row in desk.rows("due.csv") {
        assert_eq!(row["week"][..7], row["month"], "{row:?}");
    }
}

/// A year with a comma was taken for a decimal number, a high reading was answered in the words
/// of another file, and readings without a kind did not lead to the option that tells it.
#[test]
fn a_tables_slips_are_told_in_the_words_of_a_table() {
    let desk = Desk::new();
    desk.write(
        "t.csv",
        "visit date,zip,setting,year built,reading 1\n2026-09-14,14604,basement,\"1,972\",3.4\n",
    );
    let told = desk.ends("batch t.csv -o r.csv --assume meter,percent", 2);
    assert!(!told.contains("--assume"), "{told}");
    let problem = &desk.rows("r.csv")[0]["problem"];
    assert!(problem.contains("write 1972"), "{problem}");
    desk.write(
        "u.csv",
        "visit date,zip,setting,year built,reading 1\n2026-09-14,14604,basement,1972,45%\n",
    );
    desk.ends("batch u.csv -o u_r.csv --assume meter,percent", 2);
    let problem = &desk.rows("u_r.csv")[0]["problem"];
    assert!(problem.contains("relative as reading.1.scale"), "{problem}");
    let told = desk.ends("batch u.csv -o v_r.csv", 2);
    assert_eq!(told.matches("--assume meter,percent").count(), 1, "{told}");
}

/// The screen led with the system quoted, and the check counted by the bare floor's grade.
#[test]
fn outcomes_are_counted_by_the_grade_that_led() {
    let desk = Desk::new();
    let visit = example("level_unknown_burlington.toml");
    desk.ends(&format!("ledger --on 2027-01-01 add {visit}"), 0);
    let screen = desk.ends(&format!("screen --visit {visit} --format json"), 0);
    let screen: serde_json::Value = serde_json::from_str(&screen).unwrap();
    assert_ne!(screen["headline"]["grade"], screen["grade"]);
    desk.ends("ledger --on 2027-02-01 outcome #1 held_up", 0);
    let told = desk.ends("ledger check", 0);
    let grade = screen["headline"]["grade"]
        .as_str()
        .unwrap()
        .replace('_', " ");
    assert!(told.contains(&format!("{grade} 1 0 0")), "{told}");
    assert!(
        told.contains("the grade that the result led with"),
        "{told}"
    );
}
