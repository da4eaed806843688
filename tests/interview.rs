//! The interview as a person has it: in a terminal, by keys.
//!
//! Each test has a terminal of its own, so none waits for another.
#![cfg(unix)]

use rexpect::process::WaitStatus;
use rexpect::session::{PtySession, spawn_command};
use slabseason::climate::{PlaceQuery, find_place};
use slabseason::survey::interview::questions;
use slabseason::survey::{Visit, parse_visit};
use slabseason::verdict::{Detail, conclude};
use std::path::Path;
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// Longest wait for one thing to appear, ms. A result takes seconds where tests share a core.
const PATIENCE_MS: u64 = 30_000;

/// Control-C, as the keyboard sends it.
const CONTROL_C: &str = "\u{3}";

/// A person at a terminal of 200 columns, so that no line is broken.
struct Person {
    session: PtySession,
}

impl Person {
    fn starts(folder: &Path, arguments: &str, terminal: &str) -> Self {
        let mut command = Command::new("sh");
        command
            .arg("-c")
            .arg(format!("stty rows 60 cols 200; exec \"$0\" {arguments}"))
            .arg(env!("CARGO_BIN_EXE_slabseason"))
            .current_dir(folder)
            .env("TERM", terminal)
            .env("NO_COLOR", "1");
        let session = spawn_command(command, Some(PATIENCE_MS)).expect("a terminal can be opened");
        Self { session }
    }

    /// Waits for words, and gives back what came before them.
    #[track_caller]
    fn sees(&mut self, words: &str) -> String {
        match self.session.exp_string(words) {
            Ok(before) => before,
            Err(error) => panic!("\"{words}\" did not appear: {error}"),
        }
    }

    fn types(&mut self, keys: &str) {
        self.session.send(keys).expect("the terminal is open");
        self.session.flush().expect("the terminal is open");
    }

    /// Waits for a question and answers it.
    #[track_caller]
    fn answers(&mut self, question: &str, answer: &str) {
        self.sees(question);
        self.types(&format!("{answer}\r"));
    }

    /// The rest of the output and the exit code.
    fn ends(mut self) -> (String, i32) {
        let rest = self.session.exp_eof().expect("the program ends");
        match self.session.process().wait() {
            Ok(WaitStatus::Exited(_, code)) => (rest, code),
            other => panic!("{other:?}"),
        }
    }
}

fn visit_in(folder: &TempDir, name: &str) -> (String, Visit) {
    let text = std::fs::read_to_string(folder.path().join(name))
        .unwrap_or_else(|it| panic!("{name}: {it}"));
    let visit = parse_visit(&text, name)
        .unwrap_or_else(|it| panic!("{it}\n{text}"))
        .visit;
    (text, visit)
}

/// A whole quick pass, with a look back, a why, a wrong answer, a result on the way, three
/// readings on one line, the answer, and a question that sharpens it.
#[test]
fn an_estimator_answers_the_quick_pass() {
    let folder = TempDir::new().unwrap();
    let mut person = Person::starts(folder.path(), "screen", "xterm");
    person.answers("Where is the house?", "<");
    person.answers("Date of the visit?", "9/8/2026");
    person.sees("Each answer is saved in visit-2026-09-08.toml");
    person.answers("Where is the house?", "=");
    person.sees("No result yet");
    person.answers("Where is the house?", "nowhere");
    person.sees("Enter a ZIP or postal code");
    person.answers("Where is the house?", "05401");
    person.answers("What kind of floor?", "garage");
    person.answers("Is the room heated in winter?", "<");
    // The list is moved in by the arrow; the first line is the basement.
    person.sees("What kind of floor?");
    person.types("\u{1b}[B\r");
    person.answers("Year the slab was placed", "the sixties");
    person.sees("Enter four digits");
    person.answers("Year the slab was placed", "about 1961");
    person.answers("Is there a vapor retarder", "?");
    person.sees("A working retarder keeps most ground moisture out");
    person.answers("Is there a vapor retarder", "");
    person.answers("Is the lot higher or lower", "low");
    person.answers("Does surface water drain", "failing");
    person.answers("Do dark patches show on the bare", "y");
    person.answers("Did you take a reading?", "1");
    person.answers(
        "Reading 1: What did the meter or test show?",
        "3.6 back 10, 3.9 south 3, 3.4 stairs 8",
    );
    person.answers("Highest meter reading", "5%");
    person.answers("Sharpen this?", "1");
    // What the whole report would ask next comes first, and few questions in all.
    let asked = person.sees(" of about ");
    assert!(asked.contains("(question 1"), "{asked}");
    person.types(".\r");
    let (rest, code) = person.ends();
    assert_eq!(code, 0);
    assert!(
        rest.contains("screen --visit visit-2026-09-08.toml --ask"),
        "{rest}"
    );

    let (text, visit) = visit_in(&folder, "visit-2026-09-08.toml");
    let wanted = r#"
visit_date = 2026-09-08
answered_by = "estimator"
postal = "05401"
[floor]
setting = "basement"
year_built = 1961
[lot]
position = "low"
drainage = "failing"
[signs]
spring_darkening = true
[[reading]]
kind = "meter"
scale = "percent"
value = 3.6
spot = "back"
wall_distance = "10ft"
[[reading]]
kind = "meter"
scale = "percent"
value = 3.9
spot = "south"
wall_distance = "3ft"
[[reading]]
kind = "meter"
scale = "percent"
value = 3.4
spot = "stairs"
wall_distance = "8ft"
[limit]
meter_percent = 5
"#;
    assert_eq!(visit, parse_visit(wanted, "wanted.toml").unwrap().visit);
    assert!(text.contains("retarder = \"unknown\""), "{text}");
}

/// A file of costs that was given to an interview was read by nobody.
#[test]
fn an_interview_prices_the_options_by_the_file_of_costs() {
    let folder = TempDir::new().unwrap();
    let costs = "failed_coating = 9000\nlost_job = 2000\nreturn_visit = 150\n";
    std::fs::write(folder.path().join("costs.toml"), costs).unwrap();
    let typed = "screen --save oak.toml --costs costs.toml";
    let mut person = Person::starts(folder.path(), typed, "xterm");
    person.answers("Where is the house?", "05401");
    person.answers("What kind of floor?", "basement");
    person.answers("Year the slab was placed", "=");
    person.sees("BY YOUR OWN COSTS");
    person.sees("take readings in");
    person.sees("leave it bare: 2,000, whatever happens");
    person.types(CONTROL_C);
    assert_eq!(person.ends().1, 2);
}

/// Control-C keeps what was said; the interview goes on from the file, in another terminal
/// that can show lines only, and gives its result as JSON in a file.
#[test]
fn an_interrupted_interview_is_resumed() {
    let folder = TempDir::new().unwrap();
    let mut person = Person::starts(folder.path(), "screen --save oak.toml", "xterm");
    person.answers("Where is the house?", "44.48,-73.21");
    person.answers("What kind of floor?", "-");
    person.sees("Is the slab below grade");
    person.types(CONTROL_C);
    let (rest, code) = person.ends();
    assert_eq!(code, 2);
    assert!(
        rest.contains("slabseason screen --visit oak.toml --ask"),
        "{rest}"
    );
    let oak = folder.path().join("oak.toml");
    let kept = std::fs::read_to_string(&oak).unwrap();
    assert!(kept.contains("setting = \"unknown\""), "{kept}");
    std::fs::write(&oak, format!("# Invented.\n{kept}")).unwrap();

    let arguments = "screen --visit oak.toml --ask --format json -o result.json";
    let mut person = Person::starts(folder.path(), arguments, "dumb");
    // The kind of floor was answered "not sure", and is not asked again.
    let before = person.sees("Is the slab below grade");
    assert!(!before.contains("What kind of floor?"), "{before}");
    person.types("<\r");
    person.answers("What kind of floor?", "suspended");
    // A floor over air is refused whatever else is said, so nothing more is asked.
    person.answers("Is this right?", "");
    person.sees("NO ESTIMATE");
    let (_, code) = person.ends();
    assert_eq!(code, 2, "nothing was estimated");
    let result = std::fs::read_to_string(folder.path().join("result.json")).unwrap();
    let result: serde_json::Value = serde_json::from_str(&result).unwrap();
    assert_eq!(result["refused"], true);
    let (text, _) = visit_in(&folder, "oak.toml");
    assert!(text.starts_with("# Invented.\n"), "{text}");
    assert!(text.contains("setting = \"suspended\""), "{text}");
}

/// A homeowner gets plain words and no question about meters, and may stop at any time. The
/// file of another visit of the day is not written over.
#[test]
fn a_homeowner_stops_and_another_visit_is_left_alone() {
    let folder = TempDir::new().unwrap();
    let other = folder.path().join("visit-2026-09-08.toml");
    std::fs::write(&other, "another visit").unwrap();
    let mut person = Person::starts(folder.path(), "screen", "xterm");
    person.answers("Where is the house?", "<");
    person.answers("Date of the visit?", "2026-09-08");
    person.answers("Replace it?", "");
    person.sees("visit-2026-09-08-2.toml");
    person.answers("Where is the house?", "<");
    person.answers("Date of the visit?", "<");
    person.answers("Who is answering?", "homeowner");
    person.answers("Where is your house?", "14604");
    person.answers("What kind of floor is it?", "1");
    person.answers("Is there water on your floor today?", "1");
    person.answers("What year was your house built?", "1958");
    person.answers("Is there a plastic sheet under the floor?", "n");
    person.answers("Is your house higher or lower", "lower than most");
    person.answers("Where does the water from your roof gutters", "");
    person.answers("Which way does the ground slope", "3");
    person.answers("Does your bare floor get dark patches", "n");
    person.answers("Sharpen this?", "3");
    let between = person.sees("Your answers");
    assert!(!between.to_lowercase().contains("meter"), "{between}");
    person.answers("Is this right?", ".");
    let (rest, code) = person.ends();
    assert_eq!(code, 0);
    assert!(
        rest.contains("screen --visit visit-2026-09-08-2.toml --ask"),
        "{rest}"
    );
    assert_eq!(std::fs::read_to_string(&other).unwrap(), "another visit");
    let (_, visit) = visit_in(&folder, "visit-2026-09-08-2.toml");
    let wanted = r#"
visit_date = 2026-09-08
answered_by = "homeowner"
postal = "14604"
[floor]
setting = "basement"
year_built = 1958
retarder = "absent"
[lot]
position = "low"
slope = "away"
[signs]
water_now = "dry"
spring_darkening = false
"#;
    assert_eq!(visit, parse_visit(wanted, "wanted.toml").unwrap().visit);
}

/// Today is offered as the day of the visit, and the end of the input is an interruption.
#[test]
fn today_is_offered_and_the_end_of_the_input_ends_it() {
    let folder = TempDir::new().unwrap();
    let mut person = Person::starts(folder.path(), "screen", "dumb");
    person.answers("Where is the house?", "<");
    person.sees("Date of the visit?");
    let (before, day) = person
        .session
        .exp_regex(r"[A-Z][a-z]+ [0-9]{1,2}, [0-9]{4} \|")
        .expect("today stands in the help");
    assert!(before.contains("Enter"), "{before}");
    person.types("\r");
    let day = chrono::NaiveDate::parse_from_str(day.trim_end_matches(" |"), "%B %d, %Y").unwrap();
    person.sees(&format!("visit-{day}.toml"));
    person.sees("Where is the house?");
    // Control-D at the start of a line.
    person.types("\u{4}");
    let (rest, code) = person.ends();
    assert_eq!(code, 2);
    assert!(rest.contains("--ask"), "{rest}");
    assert!(folder.path().join(format!("visit-{day}.toml")).exists());
}

/// A slip in the year was taken without a word; whoever means it may say so.
#[test]
fn a_visit_still_to_come_is_asked_about_once() {
    let folder = TempDir::new().unwrap();
    let mut person = Person::starts(folder.path(), "screen", "dumb");
    person.answers("Where is the house?", "<");
    person.answers("Date of the visit?", "2097-10-14");
    person.sees("has not come yet");
    person.answers("Date of the visit?", "");
    person.sees("Where is the house?");
    person.types("\u{4}");
    let (_, code) = person.ends();
    assert_eq!(code, 2);
    assert!(folder.path().join("visit-2097-10-14.toml").exists());
}

/// What a script gets, which has no terminal: exit code, stdout and stderr.
fn without_terminal(arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_slabseason"))
        .args(arguments)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let text = |it: Vec<u8>| String::from_utf8(it).unwrap();
    (
        output.status.code(),
        text(output.stdout),
        text(output.stderr),
    )
}

#[test]
fn without_a_terminal_a_visit_file_is_wanted() {
    for (arguments, told) in [
        (&["screen"][..], "give --visit FILE"),
        (
            &["screen", "--visit", "a.toml", "--ask"],
            "this is not a terminal",
        ),
        (
            &["screen", "--visit", "a.toml", "--save", "b.toml"],
            "add --ask",
        ),
        (
            &["screen", "--visit", "-", "--ask"],
            "give --visit and --save a name",
        ),
        (&["screen", "--save", "-"], "give --visit and --save a name"),
    ] {
        let (code, stdout, stderr) = without_terminal(arguments);
        assert_eq!(code, Some(2), "{arguments:?}");
        assert_eq!(stdout, "", "{arguments:?}");
        assert!(
            stderr.starts_with("error: ") && stderr.contains(told),
            "{arguments:?}: {stderr}"
        );
    }
}

/// What a question says of itself must be so: an answer that "does not change the result" or "does not change
/// the chance" leaves the chance as it was, to the last digit.
#[test]
fn what_is_said_to_move_nothing_moves_nothing() {
    let place = find_place(&PlaceQuery::parse("14604").unwrap()).unwrap();
    let chance = |more: &str, reading: &str| {
        let text = format!(
            "visit_date = 2026-09-08\npostal = \"14604\"\n{more}\n[[reading]]\nkind = \"meter\"\n\
             scale = \"percent\"\nvalue = 3.6\n{reading}\n"
        );
        let visit = parse_visit(&text, "made.toml")
            .unwrap_or_else(|it| panic!("{it}\n{text}"))
            .visit;
        let verdict = conclude(&place, &visit, Detail::Chances);
        (verdict.chance.unwrap(), verdict.chance_before)
    };
    let plain = chance("", "");
    let moves_not = |why: &str| {
        [
            "does not change the result",
            "does not change the chance",
            "not the chance",
        ]
        .iter()
        .any(|it| why.contains(it))
    };
    let mut tried = 0;
    for it in questions().iter().filter(|it| moves_not(&it.why)) {
        tried += 1;
        let (more, reading) = match it.field.as_str() {
            "answered_by" => ("answered_by = \"homeowner\"", ""),
            "label" => ("label = \"job 7\"", ""),
            "reading.spot" => ("", "spot = \"middle\""),
            "limit.source" => ("[limit]\nmeter_percent = 5\nsource = \"mine\"", ""),
            "lot.leak" => ("[lot]\nleak = \"pipe\"", ""),
            "floor.water_cement_ratio" => ("[floor]\nwater_cement_ratio = 0.5", ""),
            "floor.tendons" => ("[floor]\ntendons = true", ""),
            "floor.finished" => ("[floor]\nfinished = \"yes\"", ""),
            "floor.prior_coating" => ("[floor]\nprior_coating = \"peeling\"", ""),
            other => panic!("{other} is said to move nothing; try it here"),
        };
        assert_eq!(chance(more, reading), plain, "{}", it.field);
    }
    assert_eq!(tried, 9);
    // The trial itself sees what does move.
    assert_ne!(chance("[lot]\nposition = \"low\"", ""), plain);
}
