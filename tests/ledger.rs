//! The ledger: nothing is lost and nothing is bettered; scores against other programs.

use crate::floors::root;
use crate::ledgers::{ADDED, Case, done, fails, lines, program, table, visit};
use slabseason::ledger::scores::*;
use slabseason::ledger::{Ledger, LedgerError, seal};

#[test]
fn a_floor_is_kept_restated_and_given_back_whole() {
    let case = Case::new();
    let job = visit("job-7", 1958, 3.6);
    let told = case.add(&job, ADDED);
    assert!(told.contains("#1 job-7"), "{told}");
    let again = case.add(&job, ADDED);
    assert!(again.contains("nothing was added"), "{again}");
    let later = "add-reading job-7 --value 4.4 --value 4.6 --spot A1 --spot A2 --on 2027-04-12";
    case.does(later);
    case.refuses(later, &["there already"]);
    case.does("outcome #1 held_up --coated-with epoxy --on 2027-06-01");
    let shown = case.does("show job-7");
    for part in [
        "3.6 %",
        "4.4 %",
        "4.6 % m1",
        "updated with a reading added later",
        "held up",
    ] {
        assert!(shown.contains(part), "{part} is not in {shown}");
    }
    assert_eq!(case.assert_whole(), 1);

    // Out and in again: the same lines.
    let out = case.path("out");
    case.does(&format!("export -o {}", out.display()));
    let text = std::fs::read_to_string(out.join("ledger.jsonl")).unwrap();
    assert_eq!(text, case.lines());
    let other = Case::new();
    other.does(&format!("import {}", out.join("ledger.jsonl").display()));
    assert_eq!(other.lines(), text);
    // The visit file comes back as the program writes it, and its readings with it.
    let visits: Vec<_> = std::fs::read_dir(out.join("visits")).unwrap().collect();
    assert_eq!(visits.len(), 2);
    for it in visits {
        let text = std::fs::read_to_string(it.unwrap().path()).unwrap();
        let parsed = slabseason::survey::parse_visit(&text, "").unwrap();
        assert!([1, 3].contains(&parsed.visit.readings.len()));
    }
    // A copy is a ledger of its own, and is not written over.
    let copy = case.path("copy.ledger");
    let backup = format!("backup -o {}", copy.display());
    case.does(&backup);
    assert_eq!(lines(&copy), text);
    case.refuses(&backup, &["there already"]);
}

#[test]
fn what_is_sealed_is_not_bettered() {
    let case = Case::of_table(&table(0, 4));
    let text = case.lines();
    // A seal of an earlier day would pass for one that knew less.
    let job = case.write("job.toml", &visit("late", 1958, 3.6));
    let early = format!("add {job} --on 2026-09-08");
    case.refuses(&early, &["before the newest seal"]);
    // The file itself refuses a change.
    let direct = rusqlite::Connection::open(&case.file).unwrap();
    assert!(
        direct
            .execute("UPDATE sealed SET content = 'x' WHERE id = 2", [])
            .is_err()
    );
    assert!(direct.execute("DELETE FROM reading", []).is_err());
    // Whoever takes the guard away is found out by the seals.
    direct.execute("DROP TRIGGER sealed_stays", []).unwrap();
    direct
        .execute(
            "UPDATE sealed SET content = replace(content, '\"over\":0', '\"over\":1') WHERE id = 2",
            [],
        )
        .unwrap();
    drop(direct);
    assert_eq!(
        Ledger::open(&case.file).unwrap().broken_seal().unwrap(),
        (4, Some(2))
    );
    // So is whoever edits the lines of an export.
    let at = text.find("exceedance_probability\\\":").unwrap() + 25;
    let mut edited = text.clone();
    edited.replace_range(at..at + 1, if &text[at..at + 1] == "0" { "1" } else { "0" });
    let mut other = Ledger::in_memory().unwrap();
    other.fill(&edited).unwrap();
    assert!(other.broken_seal().unwrap().1.is_some());
}

/// Source: the program sha256sum 9.x of GNU coreutils over "slabseason ledger", a line end and
/// "{}".
#[test]
fn a_seal_is_the_sha_256_of_what_went_before_and_the_content() {
    assert_eq!(seal("slabseason ledger", "{}"), SEAL_OF_NOTHING);
}

const SEAL_OF_NOTHING: &str = "11fef9b96765fbe56fd3988f13ece68f2ff3a1abb9065d76b35ba1dac0832100";

#[test]
fn positions_are_rounded_before_they_are_kept() {
    let case = Case::new();
    let text = visit("job-8", 1958, 3.6).replace(
        "postal = \"05401\"",
        "latitude = 44.47654\nlongitude = -73.21234",
    );
    case.add(&text, ADDED);
    let text = case.lines();
    assert!(text.contains("latitude = 44.48") && text.contains("longitude = -73.21"));
    assert!(!text.contains("44.476") && !text.contains("73.212"));
}

#[test]
fn what_is_shared_names_no_job_no_day_and_no_house() {
    let far = "99,job-99,2026-09-08,98101,basement,1950,meter,3.0,percent\n";
    let case = Case::of_table(&(table(0, 6) + far));
    case.does("add-reading job-3 --value 4.4 --on 2027-04-12");
    let out = case.path("shared.csv");
    let export = format!("export --for-sharing -o {}", out.display());
    case.refuses(&export, &["nothing was written", "first rows"]);
    assert!(!out.exists());
    case.does(&format!("{export} --yes"));
    let shared = std::fs::read_to_string(out).unwrap();
    assert_eq!(shared.lines().count(), 1 + 7 + 1);
    assert!(shared.contains(",reading,2027-04,4.4,"), "{shared}");
    for hidden in ["job", "2026-09-08", "2027-04-12", "05401", ",981,"] {
        assert!(!shared.contains(hidden), "{hidden} is in {shared}");
    }
    assert!(shared.contains(",054,"));
}

#[test]
fn a_file_of_another_version_is_left_as_it_is() {
    let case = Case::of_table(&table(0, 2));
    let direct = rusqlite::Connection::open(&case.file).unwrap();
    direct.pragma_update(None, "user_version", 99).unwrap();
    drop(direct);
    let before = std::fs::read(&case.file).unwrap();
    case.refuses("show", &["newer version", "99", "Nothing was changed"]);
    assert_eq!(std::fs::read(&case.file).unwrap(), before);
    // Neither another program's file nor one that is no database is touched.
    let other = Case::new();
    rusqlite::Connection::open(&other.file)
        .unwrap()
        .execute_batch("CREATE TABLE t (x)")
        .unwrap();
    other.refuses("show", &["another program"]);
    let text = "not a database, and long enough to be told from one ".repeat(40);
    std::fs::write(&other.file, text).unwrap();
    other.refuses("show", &["no ledger"]);
    Case::new().refuses("show", &["there is no ledger"]);
}

/// A disk that fills up in the middle: the step is taken back whole, and goes through later.
#[test]
fn a_full_disk_loses_nothing() {
    let case = Case::of_table(&table(100, 1));
    let season = case.write("season.csv", &table(0, 40));
    let import = format!("import {season} --on {ADDED}");
    // The shell's limit on the size of a file stands for the disk: 512 bytes times 400, or 1024.
    let script = format!(
        "trap '' XFSZ; ulimit -f 400; exec \"{}\" {}",
        env!("CARGO_BIN_EXE_slabseason"),
        case.typed(&import)
    );
    let output = std::process::Command::new("sh")
        .args(["-c", &script])
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("nothing before it is lost"), "{told}");
    let kept = case.assert_whole();
    assert!((1..41).contains(&kept), "{kept}");
    case.does(&import);
    assert_eq!(case.assert_whole(), 41);
    // The same through the file's own limit, with the other error.
    let ledger = Ledger::open(&case.file).unwrap();
    ledger.hold_to_pages(1).unwrap();
    let mut ledger = ledger;
    let long = "x".repeat(1 << 20);
    let day = "2026-09-10".parse().unwrap();
    let failed = ledger.seal_trial(&long, day).unwrap_err();
    assert!(matches!(failed, LedgerError::File(_)));
    assert!(failed.to_string().contains("disk is full"), "{failed}");
    drop(ledger);
    assert_eq!(case.assert_whole(), 41);
}

/// A program that is killed in the middle, again and again, and then left to finish.
#[test]
fn a_kill_loses_nothing() {
    let case = Case::new();
    let season = case.write("season.csv", &table(0, 120));
    let import = format!("import {season} --on {ADDED}");
    let mut seen = 0;
    for wait in [150, 700, 900, 1100] {
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_slabseason"))
            .current_dir(root())
            .args(case.typed(&import).split(' '))
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait));
        child.kill().unwrap();
        child.wait().unwrap();
        if case.file.exists() && std::fs::metadata(&case.file).unwrap().len() > 0 {
            let kept = case.assert_whole();
            assert!(kept >= seen, "{kept} floors after {seen}");
            seen = kept;
        }
    }
    case.does(&import);
    assert_eq!(case.assert_whole(), 120);
}

/// Two programs write at once: every floor of both is there and the seals hang together.
#[test]
fn two_programs_at_once_lose_nothing() {
    let case = Case::new();
    let children: Vec<std::process::Child> = (0..2)
        .map(|half| {
            let season = case.write(&format!("season{half}.csv"), &table(half * 70, 70));
            std::process::Command::new(env!("CARGO_BIN_EXE_slabseason"))
                .current_dir(root())
                .args(
                    case.typed(&format!("import {season} --on {ADDED}"))
                        .split(' '),
                )
                .stdout(std::process::Stdio::null())
                .spawn()
                .unwrap()
        })
        .collect();
    for mut child in children {
        assert!(child.wait().unwrap().success());
    }
    assert_eq!(case.assert_whole(), 140);
}

/// Source: SciPy 1.17.1 (`stats.beta.ppf`, `stats.ttest_1samp`, `integrate.quad`) and
/// scoringrules 0.10.0 (`crps_normal`, `crps_ensemble`) with NumPy 2.4.6. Within 1e-6: their
/// last digits and ours come from other expansions of the same functions.
#[test]
fn scores_are_those_of_other_programs() {
    let near = |got: f64, wanted: f64| assert!((got - wanted).abs() < 1e-6, "{got}, {wanted}");
    for (reading, mean, sd, wanted) in [
        (3.6, 3.0, 0.5, 0.374_007_658_9),
        (5.0, 4.2, 1.3, 0.494_234_734_4),
        (2.0, 4.0, 0.25, 1.858_952_604_1),
    ] {
        near(crps_normal(mean, sd, reading), wanted);
    }
    let sample = [1.0, 2.5, 3.0, 4.7, 6.1];
    for (reading, wanted) in [(0.5, 1.968), (3.2, 0.508), (7.0, 2.548)] {
        near(crps_sample(&sample, reading), wanted);
    }
    let levels = [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95];
    let band = [2.0, 2.2, 2.5, 2.7, 2.9, 3.1, 3.4, 3.8, 4.4, 5.3, 6.2];
    for (reading, wanted) in [
        (1.5, 1.320_75),
        (3.0, 0.265_75),
        (4.9, 1.038_527_777_8),
        (7.0, 2.905_75),
    ] {
        near(crps_band(&levels, &band, reading), wanted);
    }
    for (count, of, low, high) in [
        (3.0, 10.0, 0.066_739_511_2, 0.652_452_850_1),
        (41.0, 52.0, 0.652_962_393_6, 0.889_388_489_7),
        (40.5, 51.2, 0.654_596_742_2, 0.891_988_763_9),
        (7.25, 19.5, 0.167_658_750_0, 0.616_263_854_4),
    ] {
        let got = exact_interval(count, of);
        near(got.0, low);
        near(got.1, high);
    }
    let it = paired(&[0.01, -0.03, 0.12, 0.05, -0.02, 0.08, 0.0]).unwrap();
    near(it.mean, 0.03);
    near(it.sd, 0.055_377_492_4);
    near(it.low, -0.021_215_638_4);
    near(it.high, 0.081_215_638_4);
    // The formula of korn-graubard-1998 written out in NumPy.
    let kin = [
        (3.0, 3.0),
        (2.0, 3.0),
        (3.0, 3.0),
        (1.0, 2.0),
        (3.0, 3.0),
        (0.0, 1.0),
        (2.0, 2.0),
        (3.0, 3.0),
    ];
    let it = share_of_kin(&kin);
    near(it.share, 0.85);
    near(it.effective, 14.477_222_675_3);
    near(it.low, 0.569_469_051_7);
    near(it.high, 0.978_768_010_9);
    assert_eq!(floors_needed(0.03, 0.1), 88.0);
}

fn example() -> Case {
    Case::at(root().join("examples/invented_ledger.jsonl"))
}

/// Whatever the example holds: the check counts it, claims nothing too early, and says the same
/// in every layout.
#[test]
fn a_check_counts_and_claims_nothing_too_early() {
    let json = example().does("check --format json");
    let checked: serde_json::Value = serde_json::from_str(&json).unwrap();
    let count = |name: &str| checked[name].as_u64().unwrap();
    let left: u64 = checked["left_out"]
        .as_object()
        .unwrap()
        .values()
        .map(|it| it.as_u64().unwrap())
        .sum();
    assert_eq!(count("floors"), count("scored_floors") + left);
    let by_chance: u64 = checked["reliability"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["floors"].as_u64().unwrap())
        .sum();
    assert_eq!(by_chance, count("scored_floors"));
    for claim in checked["claims"].as_array().unwrap() {
        let too_few = claim["floors"].as_u64() < claim["needed"].as_u64();
        assert_eq!(claim["standing"] == "too_few", too_few, "{claim}");
    }
    let text = example().does("check");
    assert!(text.contains("Too early to claim"), "{text}");
    assert!(text.lines().all(|it| it.chars().count() <= 80), "{text}");
    let html = example().does("check --format html");
    assert!(html.contains("<svg role=\"img\"") && !html.contains("<script"));
}

/// A seal that was noted earlier is found again; one that was not is missed.
#[test]
fn a_noted_seal_is_found_again() {
    let text = std::fs::read_to_string(example().file).unwrap();
    let at = text.find("\"seal\":\"").unwrap() + 8;
    let noted = &text[at..at + 64];
    example().does(&format!("check --seal {noted}"));
    let unknown = format!("check --seal {}", "0".repeat(64));
    example().refuses(&unknown, &["not in the ledger"]);
}

/// Source: by hand. One floor with two later readings; the statement is taken from the ledger
/// itself, and its scores are worked out anew from the readings.
#[test]
fn a_floor_is_scored_by_what_was_sealed() {
    let case = Case::of_floor(ADDED);
    for (percent, day) in [
        ("4.4", "2027-04-12"),
        ("6.2", "2027-05-12"),
        ("9.0", "2027-09-20"),
    ] {
        case.does(&format!("add-reading job-7 --value {percent} --on {day}"));
    }
    // Another meter's reading is kept and does not count.
    case.does("add-reading job-7 --value 9.0 --meter m2 --on 2027-09-21");
    let kept = Ledger::open(&case.file).unwrap();
    let sealed = kept.sealed_of(1).unwrap();
    let statement: slabseason::ledger::Statement =
        serde_json::from_str(&sealed[0].content).unwrap();
    let stated = |month: &str| {
        statement
            .months
            .iter()
            .find(|it| it.month == month)
            .unwrap()
    };
    let gathered = slabseason::ledger::check::gather(&kept, None).unwrap();
    assert_eq!(gathered.floors.len(), 1);
    // The reading of the next September is the twelfth month's.
    assert_eq!(gathered.floors[0].readings.len(), 3);
    let (event, came) = gathered.floors[0].event().unwrap();
    let highest = ["2027-04", "2027-05", "2027-09"]
        .into_iter()
        .max_by(|a, b| stated(a).over.unwrap().total_cmp(&stated(b).over.unwrap()))
        .unwrap();
    assert_eq!(event.stated.month, highest);
    assert_eq!(came, Came::of(event.percent > 5.0));
    let checked = slabseason::ledger::check::check(&kept).unwrap();
    let tool = &checked.scores[0];
    let chance = stated(highest).over.unwrap();
    assert!((tool.brier.unwrap() - brier(chance, came)).abs() < 1e-12);
    let by_hand: f64 = [("2027-04", 4.4), ("2027-05", 6.2), ("2027-09", 9.0)]
        .iter()
        .map(|(month, percent)| crps_band(&statement.levels, &stated(month).band, *percent))
        .sum::<f64>()
        / 3.0;
    assert!((tool.crps.unwrap() - by_hand).abs() < 1e-12);
}

/// A statement that was made when the later readings were known proves nothing.
#[test]
fn a_statement_after_the_fact_is_not_scored() {
    let case = Case::of_floor("2027-06-01");
    case.does("add-reading job-7 --value 4.4 --date 2027-04-12 --on 2027-06-02");
    let checked = slabseason::ledger::check::check(&Ledger::open(&case.file).unwrap()).unwrap();
    assert_eq!(
        (checked.scored_floors, checked.left_out.sealed_after),
        (0, 1)
    );
}

#[test]
fn return_visits_come_as_route_table_calendar_and_texts() {
    // Never read: each of them is due.
    let text: String = table(0, 6)
        .lines()
        .map(|it| match it.rsplit_once(",meter,") {
            Some((head, _)) => format!("{head},,,\n"),
            None => format!("{it}\n"),
        })
        .collect();
    let case = Case::of_table(&text);
    let year = "due --from 2026-10-01 --weeks 52";
    let route = case.does(year);
    assert!(
        route.contains("Week of ") && route.contains("Burlington, VT (054)"),
        "{route}"
    );
    let with = |format: &str| case.does(&format!("{year} --format {format}"));
    assert_eq!(with("csv").lines().count(), 1 + 6);
    let ics: icalendar::Calendar = with("ics").parse().unwrap();
    assert_eq!(ics.components.len(), 6);
    let texts = with("messages");
    assert_eq!(texts.matches("Which day works for you?").count(), 6);
    // What is coated is not read again.
    case.does("outcome #1 held_up --on 2026-10-01");
    assert_eq!(with("csv").lines().count(), 1 + 5);
}

#[test]
fn a_trial_is_sealed_before_its_floors_and_counts_those_after_it() {
    let case = Case::new();
    let trial = |asked: &str| {
        let typed = format!("trial {asked} --ledger {}", case.file.display());
        program(&typed).output().unwrap()
    };
    let before = visit("before", 1950, 3.4).replace("2026-09-08", "2026-08-08");
    case.add(&before, "2026-08-09");
    fails(&trial("report"), &["no trial is sealed"]);
    let plan = |on: &str| trial(&format!("plan --floors 2 --from 2026-09 --on {on}"));
    fails(&plan("2026-09-02"), &["begins before today"]);
    let told = done(&plan("2026-08-20"));
    let seal = Ledger::open(&case.file).unwrap().head().unwrap().unwrap();
    assert!(told.contains(&seal), "{told}");
    for (label, built) in [("one", 1958), ("two", 1961), ("three", 1964)] {
        case.add(&visit(label, built, 3.6), ADDED);
    }
    for label in ["before", "one", "three"] {
        case.does(&format!("add-reading {label} --value 4.4 --on 2027-04-12"));
    }
    let json = done(&trial("report --format json"));
    let result: serde_json::Value = serde_json::from_str(&json).unwrap();
    // Two were planned: the first two after the seal, of which one was read again.
    assert_eq!(result["checked"]["floors"], 2);
    assert_eq!(result["checked"]["scored_floors"], 1);
    assert_eq!(result["seal"], seal.as_str());
}

/// Without a file of costs nothing about money is said; with one it is at the end.
#[test]
fn money_is_named_only_with_a_file_of_costs() {
    let screen = "screen --visit examples/visits/low_lot_rochester.toml --brief";
    let said = |typed: &str| done(&program(typed).output().unwrap());
    let plain = said(screen);
    let costed = said(&format!("{screen} --costs examples/costs.toml"));
    assert!(costed.starts_with(&plain));
    let more = &costed[plain.len()..];
    assert!(
        more.contains("expected (") && more.contains("another option comes first"),
        "{more}"
    );
    assert!(!plain.contains("expected ("));
}

/// The costs of an example visit as JSON.
fn costed(visit: &str, costs: &str, more: &[&str]) -> serde_json::Value {
    let mut command = program("screen --brief --format json");
    command.args(["--costs", costs, "--visit"]);
    command.arg(format!("examples/visits/{visit}.toml"));
    let json: serde_json::Value =
        serde_json::from_slice(&command.args(more).output().unwrap().stdout).unwrap();
    json["costs"].clone()
}

const COSTS: &str = "examples/costs.toml";

/// Every floor with a grade has a return visit in its order, whatever state it is in. By hand
/// from the file: a visit costs 150, and whoever then takes the cheapest option of today pays that
/// option too, so that what it is worth, what it costs and the cheapest option of today add up.
#[test]
fn a_return_visit_is_priced_on_every_floor_with_a_grade() {
    for (visit, state) in [
        ("only_setting", "one more reading tells"),
        ("level_unknown_burlington", "no reading tells much"),
        ("new_drained_burlington", "settled and dry"),
        ("seven_readings_one_withdrawn", "dry bare, not under a film"),
        ("over_the_limit_cleveland", "over today and wet for sure"),
        ("over_today_little_known_peoria", "over today, little known"),
        ("homeowner_no_reading", "never read"),
    ] {
        let costs = costed(visit, COSTS, &[]);
        let options = costs["options"].as_array().unwrap();
        let number = |it: &serde_json::Value| it.as_f64().unwrap();
        let expected: Vec<f64> = options.iter().map(|it| number(&it["expected"])).collect();
        assert!(expected.is_sorted(), "{visit} ({state}): {expected:?}");
        let visits: Vec<_> = options.iter().filter(|it| it["way"].is_null()).collect();
        let [again] = visits[..] else {
            panic!("{visit} ({state}): {options:?}");
        };
        assert_eq!(number(&again["own"]), 150.0, "{visit}");
        let cheapest = options.iter().find(|it| !it["way"].is_null()).unwrap();
        let told = &costs["return_visit"];
        let sum = number(&again["expected"]) - 150.0 + number(&told["worth"]);
        // Rounded chances of the result: 0.00005 of 9,000, and cents.
        assert!(
            (sum - number(&cheapest["expected"])).abs() < 1.0,
            "{visit}: {costs}"
        );
        assert!(costs["not_priced"].is_null(), "{visit}");
    }
}

/// By hand: in Phoenix a breathable finish at 300 comes first whatever is read, and under one in
/// 100 of them fails, at 9,000: with the visit 450 to 540. Over the limit and wet for sure the job
/// is lost for 2,000 whatever is read, 2,150 with the visit at most, and 1 % of it less where a
/// reading may still turn it.
#[test]
fn a_return_visit_that_changes_nothing_costs_its_price() {
    for (visit, least, most) in [
        ("wet_lot_phoenix", 450.0, 540.0),
        ("over_the_limit_cleveland", 2_129.0, 2_150.0),
        ("wet_along_the_walls_columbus", 2_129.0, 2_150.0),
    ] {
        let costs = costed(visit, COSTS, &[]);
        let options = costs["options"].as_array().unwrap();
        let again = options.iter().find(|it| it["way"].is_null()).unwrap();
        let expected = again["expected"].as_f64().unwrap();
        assert!((least..=most).contains(&expected), "{visit}: {expected}");
        assert_eq!(costs["return_visit"]["changes_nothing"], true, "{visit}");
        let said = format!("screen --visit examples/visits/{visit}.toml --costs {COSTS}");
        let said = done(&program(&said).output().unwrap());
        assert!(
            said.contains("A return visit costs you 150 and almost never pays here"),
            "{visit}: {said}"
        );
    }
}

/// A floor that is held or refused has no chance to count by, a file may have no cost of a visit,
/// and a sheet may shut out the only option that is priced: each is said in a sentence, and is a
/// word of the JSON.
#[test]
fn what_is_not_priced_says_why() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_string()
    };
    let no_visit = write("no_visit.toml", "failed_coating = 9000\nlost_job = 2000\n");
    let film_alone = write("film.toml", "failed_coating = 9000\nreturn_visit = 150\n");
    let sheet = write(
        "sheet.toml",
        "finish_version = 1\nname = \"invented film\"\nkind = \"film\"\nmeter_percent = 4.0\nexcludes = [\"below_grade\"]\n",
    );
    let with_sheet = ["--finish", sheet.as_str()];
    for (visit, costs, more, word, sentence) in [
        (
            "just_washed",
            COSTS,
            &[][..],
            "held",
            "this reading cannot be used",
        ),
        (
            "unexplained_denver",
            COSTS,
            &[],
            "held",
            "this reading cannot be used",
        ),
        (
            "suspended_floor",
            COSTS,
            &[],
            "refused",
            "no estimate for this floor",
        ),
        (
            "standing_water_now",
            COSTS,
            &[],
            "refused",
            "no estimate for this floor",
        ),
        (
            "level_unknown_burlington",
            &no_visit,
            &[],
            "no_cost",
            "has no cost for one",
        ),
        (
            "level_unknown_burlington",
            &film_alone,
            &with_sheet,
            "no_option",
            "no cost for any option that is open",
        ),
    ] {
        let told = costed(visit, costs, more);
        assert_eq!(told["not_priced"], word, "{visit}: {told}");
        assert!(told["return_visit"].is_null(), "{visit}: {told}");
        let mut command = program("screen --costs");
        command.arg(costs).args(more).arg("--visit");
        command.arg(format!("examples/visits/{visit}.toml"));
        let text = String::from_utf8(command.output().unwrap().stdout).unwrap();
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(sentence), "{visit}: {text}");
        let is_empty = told["options"].as_array().unwrap().is_empty();
        assert_eq!(is_empty, word != "no_cost", "{visit}: {told}");
    }
}

/// Costs stand in every format; JSON without a file of costs has no word of them.
#[test]
fn every_format_carries_the_costs() {
    let visit = "screen --visit examples/visits/only_setting.toml";
    let said = |more: &str| done(&program(&format!("{visit} {more}")).output().unwrap());
    for format in ["text", "markdown", "html"] {
        let more = said(&format!("--costs {COSTS} --format {format}"));
        let words = more.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            words.contains("Nothing here says what to charge"),
            "{format}"
        );
        assert!(words.contains("take readings in June 2027"), "{format}");
        assert!(words.contains("comes out ahead"), "{format}");
        assert!(
            !said(&format!("--format {format}")).contains("to charge"),
            "{format}"
        );
    }
    let plain: serde_json::Value = serde_json::from_str(&said("--format json")).unwrap();
    assert!(plain.get("costs").is_none());
    let costed = said(&format!("--format json --costs {COSTS}"));
    let costed: serde_json::Value = serde_json::from_str(&costed).unwrap();
    // All else is as it is without costs.
    let mut rest = costed;
    rest.as_object_mut().unwrap().remove("costs");
    assert_eq!(rest, plain);
}

/// Source: the claims' numbers come from simulated trials; here that the simulation itself is
/// sound: floors on which the stated band is the truth bear out the coverage more often the
/// more there are, and the same seed gives the same trials.
#[test]
fn simulated_trials_gain_power_with_floors() {
    use slabseason::ledger::{FloorScored, LEVELS, MonthStated, ReadingScored};
    use slabseason::lessons::Random;
    use slabseason::odds::priors::normal_score;
    let pool: Vec<FloorScored> = (0..300)
        .map(|at| {
            let mut random = Random::of(5, at);
            let middle = 3.0 + random.normal();
            let band = |sd: f64| LEVELS.map(|it| middle + sd * normal_score(it)).to_vec();
            let readings = (0..3)
                .map(|month| ReadingScored {
                    month: month + 3,
                    percent: middle + 0.5 * random.normal(),
                    stated: MonthStated {
                        month: format!("2027-0{}", month + 3),
                        over: Some(0.1),
                        over_by_answers: Some(0.2),
                        band: band(0.5),
                        band_by_answers: LEVELS.map(|it| 3.0 + 1.2 * normal_score(it)).to_vec(),
                    },
                })
                .collect();
            FloorScored {
                region: "south".to_string(),
                levels: LEVELS.to_vec(),
                limit: Some(5.0),
                last: Some((middle + 0.7 * random.normal(), 9)),
                readings,
            }
        })
        .collect();
    let of = |floors: usize| slabseason::ledger::power::power(&pool, floors, 40, 0.2, 9);
    let (few, many) = (of(15), of(100));
    assert_eq!(few, of(15));
    let coverage = |it: &[slabseason::ledger::power::Power]| it[0].power;
    assert!(coverage(&few) < coverage(&many), "{few:?} {many:?}");
    assert!(many[1].power > 0.95, "{many:?}");
    // A fifth of the floors drop out, and of those one in three before any later reading.
    assert!((many[0].floors - 93.3).abs() < 2.0, "{many:?}");
}
