//! Every table: its head, its own parser, a source for each row, and a row for each question
//! that the code asks.

use crate::floors::root;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use slabseason::batch::SpreadsheetWord;
use slabseason::climate::{
    parse_normals, parse_old_stations, parse_postal_areas, parse_rules, parse_sources,
};
use slabseason::ledger::check::TrialTable;
use slabseason::ledger::{LedgerTable, RegionRow};
use slabseason::lessons::{LessonQuestion, LessonTable, PairRow, Town};
use slabseason::odds::evidence::{EvidenceTable, Scale, Seasons, parse_signs, signs};
use slabseason::odds::parameters::{DIMENSIONS, PriorSet};
use slabseason::odds::priors::{Priors, RetarderTable};
use slabseason::report::HomeTable;
use slabseason::rules::GateTable;
use slabseason::season::SeasonTable;
use slabseason::slab::young::YoungTable;
use slabseason::survey::TypedUnit;
use slabseason::survey::*;
use slabseason::units::{TABLES, table_rows, tables_digest};
use slabseason::verdict::GradeTable;
use slabseason::verdict::card::parse_offered;
use slabseason::verdict::drying::DryingTable;
use slabseason::verdict::finish::parse_finishes;
use slabseason::verdict::next::{TestTable, parse_shares};
use slabseason::verdict::ways::WayTable;
use slabseason::verdict::zones::ZoneTable;
use slabseason::words;

/// What a source may begin with when it is not an id, each an honest mark.
const MARKS: [&str; 15] = [
    "judgement",
    "common practice",
    "from memory",
    "by definition",
    "the answer",
    // Wells and their monthly heads stand in tests/published.
    "observed wells in tests/published",
    // Trials with an example, or notes of the compiler of the climate tables.
    "leave-one-out",
    "from a trial",
    // To published figures that stand in tests/published.
    "fit of ours",
    "recorded by the table's compiler",
    "nearest by definition",
    // Another row, or arithmetic on other rows.
    "the rows ",
    "reference of the rows ",
    "2.2 m less 0.3 m",
    // The lowest place of the table's countries.
    "Death Valley",
];

/// How far a source can have been checked.
const HOW_CHECKED: [&str; 4] = [
    "read",
    "quoted by another program",
    "quoted by a public page",
    "from memory",
];

fn files_under(folder: &Path) -> Vec<PathBuf> {
    let mut res = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            res.extend(files_under(&path));
        } else {
            res.push(path);
        }
    }
    res.sort();
    res
}

/// Path below `tables` and text of every table.
fn tables() -> Vec<(String, String)> {
    let folder = root().join("tables");
    files_under(&folder)
        .into_iter()
        .map(|path| {
            let name = path.strip_prefix(&folder).unwrap();
            (
                name.to_string_lossy().replace('\\', "/"),
                std::fs::read_to_string(&path)
                    .unwrap_or_else(|it| panic!("{}: {it}", path.display())),
            )
        })
        .collect()
}

fn records(text: &str) -> (Vec<String>, Vec<csv::StringRecord>) {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let names = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_string)
        .collect();
    (names, reader.records().map(|it| it.unwrap()).collect())
}

/// Words that look like the id of a source: small letters, a hyphen, and a last part with a
/// digit, such as mccabe-markstrom-2007 and astm-f2170.
fn ids_in(text: &str) -> Vec<String> {
    text.split(|it: char| !(it.is_ascii_alphanumeric() || it == '-' || it == '_'))
        .map(|it| it.trim_matches('-'))
        .filter(|it| {
            let Some((first, rest)) = it.split_once('-') else {
                return false;
            };
            let last = rest.rsplit('-').next().unwrap_or_default();
            first.len() >= 2
                && first.chars().all(|it| it.is_ascii_lowercase())
                && it.chars().all(|it| !it.is_ascii_uppercase() && it != '_')
                && last.chars().any(|it| it.is_ascii_digit())
        })
        .map(str::to_string)
        .collect()
}

/// The ids of `sources.csv`.
fn source_ids() -> Vec<String> {
    let (_, rows) = records(include_str!("../tables/sources.csv"));
    rows.iter().map(|it| it[0].to_string()).collect()
}

#[test]
fn every_table_opens_with_what_unit_and_source() {
    let tables = tables();
    assert!(tables.len() >= 12);
    for (name, text) in tables {
        let mut lines = text.lines();
        for start in ["# What: ", "# Unit: ", "# Source: "] {
            let line = lines.next().unwrap_or_default();
            assert!(
                line.starts_with(start) && line.len() > start.len() + 3,
                "tables/{name} has \"{line}\" where \"{start}\" belongs"
            );
        }
    }
}

/// What a parser of the program says of a table.
fn said<T, E: ToString>(parsed: Result<T, E>) -> Result<(), String> {
    parsed.map(drop).map_err(|it| it.to_string())
}

/// Reads a table with the very parser that the program reads it with.
fn parse(name: &str, text: &str) -> Result<(), String> {
    match name {
        "answer_shares.csv" => said(parse_shares(text)),
        "card.csv" => said(parse_offered(text)),
        "choices.csv" => said(interview::parse_choices(text)),
        "climate_normals.csv" => said(parse_normals(text)),
        "climate_old_stations.csv" => said(parse_old_stations(text)),
        "climate_rules.csv" => said(parse_rules(text)),
        "climate_sources.csv" => said(parse_sources(text)),
        "climate_zones.csv" => said(slabseason::climate::ClimateZoneTable::parse(text)),
        "drying.csv" => said(DryingTable::parse(text)),
        "evidence.csv" => said(EvidenceTable::parse(text)),
        "finishes.csv" => said(parse_finishes(text)),
        "gates.csv" => said(GateTable::parse(text)),
        "glossary.csv" => said(words::parse_glossary(text)),
        "glossary_es.csv" => said(words::parse_glossary_es(text)),
        "grades.csv" => said(GradeTable::parse(text)),
        "homeowner.csv" => said(HomeTable::parse(text)),
        "house_stock.csv" => said(slabseason::climate::parse_house_stock(text)),
        "ledger.csv" => said(LedgerTable::parse(text)),
        "lesson_pairs.csv" => said(table_rows::<PairRow>(text)),
        "lesson_places.csv" => said(table_rows::<Town>(text)),
        "lesson_questions.csv" => said(table_rows::<LessonQuestion>(text)),
        "lessons.csv" => said(LessonTable::parse(text)),
        "licenses.csv" => said(table_rows::<words::License>(text)),
        "postal_areas.csv" => said(parse_postal_areas(text)),
        "priors.csv" => said(Priors::parse(text)),
        "questions.csv" => said(interview::parse_questions(text)),
        "regions.csv" => said(table_rows::<RegionRow>(text)),
        "retarder.csv" => said(RetarderTable::parse(text)),
        "season.csv" => said(SeasonTable::parse(text)),
        "signs.csv" => said(parse_signs(text)),
        // Read by these tests alone.
        "sources.csv" => said(table_rows::<SourceRow>(text)),
        "tests.csv" => said(TestTable::parse(text)),
        "quick_screens.csv" => said(table_rows::<slabseason::web::QuickRow>(text)),
        "spreadsheet_words.csv" => said(table_rows::<SpreadsheetWord>(text)),
        "trial.csv" => said(TrialTable::parse(text)),
        "typed_units.csv" => said(table_rows::<TypedUnit>(text)),
        "visit_limits.csv" => said(parse_ranges(text)),
        "ways.csv" => said(WayTable::parse(text)),
        "winter_air.csv" => said(table_rows::<slabseason::report::WinterAirRow>(text)),
        "words.csv" | "words_es.csv" => said(words::parse(text)),
        "young_concrete.csv" => said(YoungTable::parse(text)),
        "zones.csv" => said(ZoneTable::parse(text)),
        other => Err(format!("add the parser of {other} to tests/tables.rs")),
    }
}

/// A row of `sources.csv`.
#[derive(serde::Deserialize)]
#[allow(dead_code)]
struct SourceRow {
    id: String,
    what: String,
    how_checked: String,
}

/// Every file of the folder is declared, and what is declared is the file.
#[test]
fn every_file_is_declared_once() {
    let declared: Vec<(String, String)> = TABLES
        .iter()
        .map(|it| (it.file.to_string(), it.text.to_string()))
        .collect();
    let names =
        |of: &[(String, String)]| -> Vec<String> { of.iter().map(|it| it.0.clone()).collect() };
    assert_eq!(
        names(&declared),
        names(&tables()),
        "src/units/tables.rs declares each file of tables/, in the order of the names"
    );
    assert_eq!(declared, tables(), "build again: a table was changed");
}

/// The digest that results bear is that of every file: worked out here from the folder itself.
#[test]
fn the_digest_is_of_every_file() {
    let mut hash = Sha256::new();
    for (name, text) in tables() {
        for part in [name, text] {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part);
        }
    }
    let wanted: String = hash.finalize()[..8]
        .iter()
        .map(|it| format!("{it:02x}"))
        .collect();
    assert_eq!(tables_digest(), wanted);
}

/// Tables come into the program by one way, so that none escapes the digest.
#[test]
fn tables_are_read_through_the_list_alone() {
    for file in files_under(&root().join("src")) {
        let is_list = file.ends_with("units/tables.rs");
        if !is_list && file.extension().is_some_and(|it| it == "rs") {
            let text = std::fs::read_to_string(&file).unwrap();
            for (at, line) in text.lines().enumerate() {
                assert!(
                    !(line.contains("include_") && line.contains("tables/")),
                    "{}, line {}: take it from units::table_text",
                    file.display(),
                    at + 1
                );
            }
        }
    }
}

/// Each with the parser that the program uses.
#[test]
fn every_table_parses() {
    for (name, text) in tables() {
        if let Err(problem) = parse(&name, &text) {
            panic!("tables/{name}: {problem}");
        }
        // Each parser sees a row without its cells.
        assert!(
            parse(&name, &format!("{text}made\n")).is_err(),
            "the parser of {name} reads a row of one cell"
        );
        if name.ends_with(".csv") {
            // The reader refuses a row with another number of cells.
            let (names, rows) = records(&text);
            assert!(!rows.is_empty(), "tables/{name} has no row");
            let mut seen: BTreeMap<Vec<&str>, usize> = BTreeMap::new();
            for (at, row) in rows.iter().enumerate() {
                assert!(!row[0].trim().is_empty(), "tables/{name}, row {}", at + 1);
                for (column, cell) in names.iter().zip(row) {
                    assert_eq!(cell.trim(), cell, "tables/{name}, row {}, {column}", at + 1);
                }
                if let Some(before) = seen.insert(row.iter().collect(), at) {
                    panic!("tables/{name}: rows {} and {} are one", before + 1, at + 1);
                }
            }
        }
    }
}

/// Weak signs are read when a visit has one, so a visit with all of them reads the table.
#[test]
fn every_weak_sign_is_read() {
    let (_, rows) = records(include_str!("../tables/signs.csv"));
    let answers: Vec<String> = rows.iter().map(|it| format!("{} = true", &it[0])).collect();
    let visit = visit(&format!("[signs]\n{}", answers.join("\n")));
    let seasons = Seasons::from_store(&[50.0; 12]);
    let read: Vec<&str> = signs(&visit, &seasons)
        .iter()
        .map(|it| it.question)
        .collect();
    for row in &rows {
        let question = format!("signs.{}", &row[0]);
        assert!(read.contains(&question.as_str()), "{question} is not read");
        for column in [2, 3] {
            let chance: f64 = row[column].parse().unwrap();
            assert!(chance > 0.0 && chance < 1.0, "{row:?}");
        }
        assert!(
            row[2].parse::<f64>().unwrap() > row[3].parse::<f64>().unwrap(),
            "{row:?}: a sign is likelier where the floor is wet"
        );
    }
}

#[test]
fn every_row_has_a_source() {
    let ids = source_ids();
    let climate_keys: Vec<String> = parse_sources(include_str!("../tables/climate_sources.csv"))
        .unwrap()
        .into_iter()
        .map(|it| it.source_key)
        .collect();
    let mut wrong = Vec::new();
    for (name, text) in tables() {
        let head: String = text
            .lines()
            .take(3)
            .filter_map(|it| it.strip_prefix("# Source: "))
            .collect();
        for id in ids_in(&head) {
            if !ids.contains(&id) {
                wrong.push(format!("tables/{name}: {id} is not in sources.csv"));
            }
        }
        if !name.ends_with(".csv") {
            continue;
        }
        let (names, rows) = records(&text);
        if let Some(column) = names.iter().position(|it| it == "source_key") {
            for row in &rows {
                if !climate_keys.iter().any(|it| *it == row[column]) {
                    wrong.push(format!("tables/{name}: \"{}\"", &row[column]));
                }
            }
        }
        if let Some(column) = names.iter().position(|it| it == "source") {
            for row in &rows {
                let source = &row[column];
                let named = ids_in(source);
                let opens_with_id = ids.iter().any(|it| {
                    source.strip_prefix(it.as_str()).is_some_and(|rest| {
                        !rest.starts_with(|it: char| it.is_alphanumeric() || it == '-')
                    })
                });
                let is_marked = MARKS.iter().any(|it| source.starts_with(it));
                if !opens_with_id && !is_marked {
                    wrong.push(format!(
                        "tables/{name}, {}: \"{source}\" is no id of sources.csv and no honest mark",
                        &row[0]
                    ));
                }
                for id in named {
                    if !ids.contains(&id) {
                        wrong.push(format!(
                            "tables/{name}, {}: {id} is not in sources.csv",
                            &row[0]
                        ));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_source_says_how_it_was_checked() {
    let (names, rows) = records(include_str!("../tables/sources.csv"));
    assert_eq!(names, ["id", "what", "how_checked"]);
    let ids = source_ids();
    assert!(ids.is_sorted(), "ids are in order, so that one is found");
    for row in &rows {
        assert!(row[1].len() > 20, "{row:?}");
        assert!(HOW_CHECKED.contains(&&row[2]), "{row:?}");
        assert_eq!(ids.iter().filter(|it| **it == row[0]).count(), 1, "{row:?}");
    }
}

/// Ids in the comments of the code stand in the same list.
#[test]
fn every_source_in_a_comment_is_listed() {
    let ids = source_ids();
    let mut found = 0;
    let mut wrong = Vec::new();
    for file in files_under(&root().join("src")) {
        let text = std::fs::read_to_string(&file).unwrap();
        let mut in_source = false;
        for (at, line) in text.lines().enumerate() {
            let Some(comment) = line.trim_start().strip_prefix("//") else {
                in_source = false;
                continue;
            };
            let comment = comment.trim_start_matches(['/', '!']).trim();
            if comment.contains("Source") {
                in_source = true;
            } else if comment.starts_with("# ") {
                in_source = false;
            }
            if in_source {
                for id in ids_in(comment) {
                    found += 1;
                    if !ids.contains(&id) {
                        wrong.push(format!("{}, line {}: {id}", file.display(), at + 1));
                    }
                }
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "not in sources.csv:\n{}",
        wrong.join("\n")
    );
    assert!(
        found >= 8,
        "only {found} ids were seen; the reading is broken"
    );
}

/// Source: by hand.
#[test]
fn ids_are_told_from_words() {
    assert_eq!(
        ids_in(
            "judgement: 85 kg/m3 at 80 % as in kunzel-1995, two-sided; iso-8502-4 and 1e-4, leave-one-out"
        ),
        ["kunzel-1995", "iso-8502-4"]
    );
}

/// A visit with these fields.
fn visit(fields: &str) -> Visit {
    let text = format!("visit_date = 2026-09-08\npostal = \"05401\"\n{fields}");
    parse_visit(&text, "made.toml")
        .unwrap_or_else(|it| panic!("{it}\nin\n{text}"))
        .visit
}

/// `None` and every answer.
fn open_or<T: Copy>(all: &[T]) -> Vec<Option<T>> {
    std::iter::once(None)
        .chain(all.iter().copied().map(Some))
        .collect()
}

/// Every version must be a floor that can be simulated.
fn check_draws(visit: &Visit) {
    let set = PriorSet::for_visit(visit);
    for score in [-4.5, -1.0, 0.0, 1.0, 4.5] {
        let it = set.parameters(&[score; DIMENSIONS]);
        for (name, value) in [
            ("rain", it.year_rain),
            ("soil store", it.soil_store_mm),
            ("release", it.release),
            ("specific yield", it.specific_yield),
            ("backfill yield", it.backfill_yield),
            ("fringe", it.fringe_m),
            ("air changes", it.air_changes_per_h),
            ("floor area", it.floor_area_m2),
            ("content", it.saturation_content),
            ("absorption", it.absorption),
            ("vapor resistance", it.vapor_resistance),
            ("thickness", it.thickness_m),
            ("air layer", it.air_layer_m),
            ("contact supply", it.contact_supply),
            ("diffusivity", it.ground_diffusivity),
            ("machine", it.machine_l_day),
        ] {
            assert!(
                value.is_finite() && value > 0.0,
                "{name} {value} in {visit:?}"
            );
        }
        assert!(it.storage_shape > 1.0 && it.water_table_m.is_finite());
        assert!((0.0..=1.0).contains(&it.machine_setting));
    }
}

/// Asks for the priors of every answer, in every combination of answers that are looked up
/// together. A row that is missing would stop the program.
#[test]
fn every_answer_has_its_priors() {
    let start = visit("air.heated = true");
    let mut asked = 0;
    let mut ask = |visit: &Visit| {
        check_draws(visit);
        asked += 1;
    };
    let yes_no = [None, Some(false), Some(true)];

    // The kind of floor and its depth.
    for setting in open_or(Setting::ALL) {
        for below_grade in yes_no {
            let mut it = start.clone();
            it.floor.setting = setting;
            it.floor.below_grade = below_grade;
            ask(&it);
        }
    }
    // The lot, gutters and grading by every way to say it, and the drain.
    for position in open_or(LotPosition::ALL) {
        for drainage in open_or(Drainage::ALL) {
            for downspouts in open_or(Downspouts::ALL) {
                for slope in open_or(GroundSlope::ALL) {
                    for sub_drain in open_or(SubDrain::ALL) {
                        let mut it = start.clone();
                        it.lot.position = position;
                        it.lot.drainage = drainage;
                        it.lot.downspouts = downspouts;
                        it.lot.slope = slope;
                        it.lot.sub_drain = sub_drain;
                        ask(&it);
                    }
                }
            }
        }
    }
    // The retarder, how it is known, and the year, also by the day of placing.
    let years = [
        None,
        Some(1890),
        Some(1959),
        Some(1960),
        Some(1979),
        Some(1980),
        Some(1999),
        Some(2000),
        Some(2020),
        Some(2021),
        Some(2026),
    ];
    for retarder in open_or(Retarder::ALL) {
        for proof in open_or(RetarderProof::ALL) {
            for year in years {
                let mut it = start.clone();
                it.floor.retarder = retarder;
                it.floor.retarder_proof = proof;
                it.floor.year_built = year;
                ask(&it);
            }
        }
    }
    // The air.
    for heated in yes_no {
        for cooled in yes_no {
            for machine in open_or(Dehumidifier::ALL) {
                let mut it = start.clone();
                it.air.heated = heated;
                it.air.air_conditioned = cooled;
                it.air.dehumidifier = machine;
                ask(&it);
            }
        }
    }
    // The slab itself.
    for gravel in yes_no {
        for thickness in ["", "thickness_mm = 120\n"] {
            for area in ["", "area_m2 = 40\n"] {
                let mut it = visit(&format!("[floor]\nyear_built = 1961\n{thickness}{area}"));
                it.floor.gravel_base = gravel;
                ask(&it);
            }
        }
    }
    for checked in [false, true] {
        let scale = Scale::prior(checked);
        assert!(scale.mean > 0.0 && scale.sd > 0.0);
    }
    // 6 x 3, 4 x 3 x 4 x 4 x 4, 3 x 4 x 11, 3 x 3 x 3, 3 x 2 x 2.
    assert_eq!(asked, 18 + 768 + 132 + 27 + 12);
}

/// A row of priors that nothing asks for would be a number without effect.
#[test]
fn every_prior_is_asked_for() {
    let code: String = files_under(&root().join("src"))
        .iter()
        .map(|it| std::fs::read_to_string(it).unwrap())
        .collect();
    let (_, rows) = records(include_str!("../tables/priors.csv"));
    for row in &rows {
        for name in [&row[0], &row[1]] {
            assert!(
                code.contains(&format!("\"{name}\"")),
                "tables/priors.csv: nothing asks for {name}"
            );
        }
    }
}

/// What is inside the program and the page is told whole: every package of `Cargo.lock` has its
/// row, with its version and a license. `cargo run --example list_licenses` makes the table.
#[test]
fn every_package_has_its_license() {
    let lock: toml::Table = include_str!("../Cargo.lock").parse().unwrap();
    let mut locked: Vec<(String, String)> = lock["package"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|it| it.get("source").is_some())
        .map(|it| {
            let text = |name: &str| it[name].as_str().unwrap().to_string();
            (text("name"), text("version"))
        })
        .collect();
    locked.sort();
    let mut listed: Vec<(String, String)> = words::licenses()
        .iter()
        .map(|it| (it.name.clone(), it.version.clone()))
        .collect();
    listed.sort();
    let missing: Vec<_> = locked.iter().filter(|it| !listed.contains(it)).collect();
    let stale: Vec<_> = listed.iter().filter(|it| !locked.contains(it)).collect();
    assert!(
        missing.is_empty() && stale.is_empty(),
        "run cargo run --example list_licenses > tables/licenses.csv; missing {missing:?}, stale {stale:?}"
    );
    for it in words::licenses() {
        assert!(!it.license.is_empty(), "{it:?}");
        assert!(
            ["binary", "page", "binary and page", "tests and tools"].contains(&&*it.inside),
            "{it:?}"
        );
    }
    let told = words::licenses_text("binary");
    for name in ["clap ", "csv ", "serde_json "] {
        assert!(told.contains(name), "{told}");
    }
    assert!(!words::licenses_text("page").contains("clap "));
}

/// What a newcomer looks for, the row that it leads to, and the one function that reads the row
/// or holds the formula. Two searches each: the words, then the key.
const HUNTS: [(&str, &str, &str, &str, &str); 6] = [
    (
        "at which humidity the darkest patch is seen (0.95)",
        "evidence.csv",
        "darkening_humidity,0.95,",
        "src/odds",
        "darkening_humidity",
    ),
    (
        "the advice not to quote a film",
        "words.csv",
        "do.high,\"Do not quote a film-forming",
        "src/report",
        "do.",
    ),
    (
        "the water that a young slab still gives off",
        "words.csv",
        "mix water left from the pour",
        "src/report",
        "cause.",
    ),
    (
        "the air of the room: what ventilation carries off",
        "season.csv",
        "room_height_m,",
        "src/season",
        "fn ventilation_conductance",
    ),
    (
        "from which share on water comes mostly from below",
        "grades.csv",
        "mostly_one_side,",
        "src/report",
        "mostly_one_side",
    ),
    (
        "the prior of a leak",
        "evidence.csv",
        "leak_prior,",
        "src/odds",
        "fn leak_prior",
    ),
];

/// Each hunt ends at one row, and at one file of code where it is worked with.
#[test]
fn hunts_end_at_one_home() {
    for (what, file, row, folder, reader) in HUNTS {
        let rows: Vec<String> = tables()
            .into_iter()
            .flat_map(|(name, text)| {
                let is_row = move |line: &&str| line.contains(row);
                let lines: Vec<String> = text.lines().filter(is_row).map(str::to_string).collect();
                lines.into_iter().map(move |_| name.clone())
            })
            .collect();
        assert!(
            !rows.is_empty() && rows.iter().all(|it| it == file),
            "{what}: {row} stands in {rows:?}, wanted tables/{file}"
        );
        let homes: Vec<String> = files_under(&root().join(folder))
            .iter()
            .filter(|it| std::fs::read_to_string(it).unwrap().contains(reader))
            .map(|it| it.display().to_string())
            .collect();
        assert!(
            !homes.is_empty(),
            "{what}: nothing in {folder} has {reader}"
        );
        if reader.starts_with("fn ") {
            assert_eq!(homes.len(), 1, "{what}: {homes:?}");
        }
        // The sentence or the number stands in no code.
        for source in files_under(&root().join("src")) {
            let code = std::fs::read_to_string(&source).unwrap_or_default();
            for words in [
                "Do not quote a film",
                "mix water left",
                "ostly from below\"",
            ] {
                assert!(!code.contains(words), "{}: {words}", source.display());
            }
        }
    }
}
