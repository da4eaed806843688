//! Weather that varies from month to month, and the weather that a place had.

use crate::floors::{METER, YEAR, place};
use slabseason::climate::Place;
use slabseason::odds::forcing::{BalanceRun, PlaceYear};
use slabseason::odds::parameters::{FloorParameters, PriorSet};
use slabseason::odds::posterior::{Posterior, posterior};
use slabseason::odds::sobol::kept_scores;
use slabseason::odds::weather_had::{WeatherHad, months_used};
use slabseason::season::WeatherStream;
use slabseason::survey::{Visit, Weather, months_had, parse_visit, to_toml};
use std::io::Write;
use std::path::Path;
use std::process::Command;

/// A floor of 1958 on a low lot, read in June.
fn visit(more: &str) -> Visit {
    let text = format!(
        "visit_date = 2026-06-10\npostal = \"14604\"\nfloor.setting = \"basement\"\nfloor.year_built = 1958\nlot.position = \"low\"\n{more}\n[[reading]]\nkind = \"meter\"\nscale = \"percent\"\ndate = 2026-06-10\nvalue = 4.2\n"
    );
    parse_visit(&text, "made.toml").unwrap().visit
}

fn with_months(table: &str) -> Visit {
    Visit {
        weather: Weather {
            months: Some(months_had(table).unwrap()),
            ..Weather::default()
        },
        ..visit("")
    }
}

fn weighed(visit: &Visit) -> Posterior {
    posterior(&place("14604"), visit, METER, YEAR)
}

fn spring(percent: &str) -> String {
    let mut table = "month,rain\n".to_string();
    for month in ["2026-03", "2026-04", "2026-05"] {
        table += &format!("{month},{percent}\n");
    }
    table
}

/// Source: a law. A reading after a wet spring is partly that spring's, and the next one is an
/// ordinary one: it alarms less than the same reading after a dry spring.
#[test]
fn a_reading_after_a_wet_spring_alarms_less() {
    let [dry, normal, wet] = ["40 %", "100 %", "200 %"]
        .map(|it| weighed(&with_months(&spring(it))))
        .map(|it| it.exceedance());
    let asked = |percent: &str| {
        weighed(&visit(&format!(
            "weather.last_three_months = \"{percent}\""
        )))
        .exceedance()
    };
    let (dry_asked, wet_asked) = (asked("40 %"), asked("200 %"));
    println!("dry {dry}, normal {normal}, wet {wet}; asked {dry_asked}, {wet_asked}");
    assert!(wet + 0.03 < dry && wet < normal && normal < dry);
    assert!(wet_asked + 0.03 < dry_asked);
    for it in [dry, wet, dry_asked, wet_asked] {
        assert!((0.0..=1.0).contains(&it));
    }
}

fn version(visit: &Visit, draw: usize) -> FloorParameters {
    let mut it = PriorSet::for_visit(visit).parameters(&kept_scores(draw));
    it.year_rain = it.place_rain;
    it
}

fn run(here: &Place, visit: &Visit, parameters: &FloorParameters) -> BalanceRun<1> {
    let year = PlaceYear::new(here, true).after(WeatherHad::of(here, visit));
    year.balances(&[parameters], 6, 0)
}

/// Every month of the five years up to the visit as its normal says.
fn all_normal(here: &Place, rain: impl Fn(usize) -> String) -> String {
    let mut table = "month,rain,temperature\n".to_string();
    for back in 0..60 {
        let serial = 2026 * 12 + 5 - back;
        let month0 = serial % 12;
        table += &format!(
            "{}-{:02},{},{}C\n",
            serial / 12,
            month0 + 1,
            rain(month0),
            here.mean_c[month0]
        );
    }
    table
}

/// Source: a law. Months that are given exactly as their normals are the normals: the balance is
/// that of a version whose weather is usual, to the last digit, whatever the draw.
#[test]
fn months_as_normal_are_the_normals() {
    // A visit file holds ten digits; these normals have fewer.
    let mut here = place("14604");
    for it in &mut here.mean_c {
        *it = (*it * 10.0).round() / 10.0;
    }
    let named = with_months(&all_normal(&here, |_| "100 %".to_string()));
    assert_eq!(months_used(&named), 60);
    for draw in 0..8 {
        let drawn = version(&named, draw);
        let usual = FloorParameters {
            weather: WeatherStream::USUAL,
            ..drawn.clone()
        };
        let given = run(&here, &named, &drawn);
        let normal = run(&here, &visit(""), &usual);
        assert_eq!(given.months, normal.months);
        assert_eq!(given.before, normal.before);
        assert_ne!(given.months, run(&here, &visit(""), &drawn).months);
        assert!(given.lately_score[0].abs() < 1e-9);
    }
}

/// Source: by definition. What fell in mm over the normal is its percent; a centimeter is ten mm.
#[test]
fn millimeters_and_percent_of_normal_tell_the_same() {
    let here = place("14604");
    let of = |rain: &dyn Fn(usize) -> String| {
        let named = with_months(&all_normal(&here, rain));
        run(&here, &named, &version(&named, 3))
    };
    let percent = of(&|_| "150 %".to_string());
    let fallen = of(&|month| format!("{} mm", 1.5 * here.precipitation_mm[month]));
    for (a, b) in percent.months.iter().zip(&fallen.months) {
        assert!((a.ground_mm[0] - b.ground_mm[0]).abs() < 1e-6);
    }
}

/// Source: by definition. The rain of the three months before the visit's one comes to what was
/// answered, whatever was drawn; of the twelve as well, and both hold together.
#[test]
fn spans_come_to_what_was_answered() {
    let here = place("14604");
    let told =
        visit("weather.last_three_months = \"160 %\"\nweather.last_twelve_months = \"90 %\"");
    for draw in 0..16 {
        let drawn = version(&told, draw);
        let run = run(&here, &told, &drawn);
        // The run ends with June; its last entry is the visit's month.
        let sum = |back: usize| {
            let (mut fallen_mm, mut usual_mm) = (0.0, 0.0);
            for at in 1..=back {
                let month = if at < 12 {
                    &run.months[11 - at]
                } else {
                    &run.before[run.before.len() - 1]
                };
                fallen_mm += month.rain_mm[0] + month.snowfall_mm[0];
                usual_mm += here.precipitation_mm[(5 + 12 - at) % 12] * drawn.place_rain;
            }
            fallen_mm / usual_mm
        };
        assert!((sum(3) - 1.6).abs() < 1e-9, "{}", sum(3));
        assert!((sum(12) - 0.9).abs() < 1e-9, "{}", sum(12));
    }
}

/// Months after the visit and long before it change nothing: the years ahead stay drawn.
#[test]
fn other_months_change_nothing() {
    let other = with_months("month,rain\n2026-07,300 %\n2027-04,300 %\n2019-04,300 %\n");
    assert_eq!(months_used(&other), 0);
    assert_eq!(
        weighed(&other).exceedance(),
        weighed(&visit("")).exceedance()
    );
}

/// The usual cost of varied months: they are drawn for each version and month, the reading's
/// year unlike the next.
#[test]
fn every_version_has_weather_of_its_own() {
    let here = place("14604");
    let one = run(&here, &visit(""), &version(&visit(""), 1));
    let other = run(&here, &visit(""), &version(&visit(""), 2));
    let shares = |it: &BalanceRun<1>| -> Vec<f64> {
        let total = |at: usize| it.months[at].rain_mm[0] + it.months[at].snowfall_mm[0];
        (0..12)
            .map(|at| total(at) / here.precipitation_mm[(6 + at) % 12])
            .collect()
    };
    let (a, b) = (shares(&one), shares(&other));
    assert!(
        a.iter()
            .zip(&b)
            .filter(|(a, b)| (**a - **b).abs() > 0.05)
            .count()
            > 6
    );
}

fn told(arguments: &[&str], table: &str) -> (i32, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("weather.csv");
    std::fs::File::create(&path)
        .unwrap()
        .write_all(table.as_bytes())
        .unwrap();
    let out = Command::new(env!("CARGO_BIN_EXE_slabseason"))
        .args(arguments)
        .arg("--weather")
        .arg(&path)
        .output()
        .unwrap();
    let text = String::from_utf8(out.stdout).unwrap() + &String::from_utf8(out.stderr).unwrap();
    (out.status.code().unwrap(), text)
}

/// A table that is not read stops the run with its line and what is accepted; one that is read
/// is told in the report; of the table of floors each takes it.
#[test]
fn the_command_line_takes_a_table_of_weather() {
    let file = "examples/visits/low_lot_rochester.toml";
    let screen = ["screen", "--visit", file];
    let (code, text) = told(&screen, "month,rain\n2026-08,4.3\n");
    assert_eq!(code, 2);
    assert!(text.contains("line 2") && text.contains("110 mm"), "{text}");
    let (code, text) = told(&screen, "month,rain\n1999-08,4.3 in\n");
    assert_eq!(code, 2);
    assert!(text.contains("none of the months"), "{text}");
    let table = "month,rain,temperature\n2026-06,150 %,\n2026-07,6 in,72F\n2026-08,5 in,\n";
    let (code, text) = told(&["screen", "--full", "--visit", file], table);
    assert_eq!(code, 0, "{text}");
    assert!(text.contains("3 months before the visit"), "{text}");
    let chance = |weather: Option<&str>| {
        let floors = ["batch", "examples/floors.csv", "--format", "jsonl"];
        match weather {
            Some(table) => told(&floors, table).1,
            None => {
                let out = Command::new(env!("CARGO_BIN_EXE_slabseason"))
                    .args(floors)
                    .output()
                    .unwrap();
                String::from_utf8(out.stdout).unwrap()
            }
        }
    };
    assert_ne!(chance(Some(table)), chance(None));
}

/// The months of a table stand in the visit file that the ledger keeps, so what was stated can be
/// stated again; a later reading keeps them too.
#[test]
fn a_ledger_keeps_the_weather_with_the_visit() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_string();
    std::fs::write(
        at("weather.csv"),
        "month,rain,temperature\n2026-04,6.3 in,\n2026-05,150 %,62F\n",
    )
    .unwrap();
    std::fs::write(at("visit.toml"), to_toml(&visit(""))).unwrap();
    let run = |args: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_slabseason"))
            .args(args)
            .output()
            .unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(0), "{args:?}: {said}");
        String::from_utf8(output.stdout).unwrap()
    };
    let (file, weather, out) = (at("floors.ledger"), at("weather.csv"), at("out"));
    let ledger = |args: &[&str]| {
        let mut all = vec!["ledger"];
        all.extend(args);
        all.extend(["--ledger", &file, "--on", "2026-06-11"]);
        run(&all)
    };
    ledger(&["add", &at("visit.toml"), "--weather", &weather]);
    ledger(&[
        "add-reading",
        "#1",
        "--value",
        "4.4",
        "--date",
        "2026-06-11",
        "--meter",
        "a",
    ]);
    ledger(&["export", "-o", &out]);
    let kept: Vec<String> = std::fs::read_dir(Path::new(&out).join("visits"))
        .unwrap()
        .map(|it| std::fs::read_to_string(it.unwrap().path()).unwrap())
        .filter(|it| it.contains("visit_date"))
        .collect();
    assert_eq!(kept.len(), 2, "{kept:?}");
    for text in &kept {
        assert!(
            text.contains("months = [\"2026-04, 160.02 mm\", \"2026-05, 150 %, 16.66666667C\"]"),
            "{text}"
        );
    }
    let visit = parse_visit(&kept[0], "kept").unwrap().visit;
    assert_eq!(months_used(&visit), 2);
}
