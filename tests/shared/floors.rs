//! Floors and what is asked of them, as several files of tests have them.

use slabseason::climate::{Place, PlaceQuery, find_place};
use slabseason::odds::forcing::FloorConstants;
use slabseason::odds::posterior::{Ahead, Effort, FULL, Limits};
use slabseason::report::notice::{Company, Figures, NoticeOf, Standing};
use slabseason::report::{self, Asked, Report, Units};
use slabseason::survey::{Visit, parse_visit, place_query};
use slabseason::verdict::{Detail, conclude_with};
use slabseason::words::Language;
use std::path::PathBuf;
use std::sync::LazyLock;

/// The limit of most film coatings by a meter. Source: common practice, no data sheet.
pub const METER: Limits = Limits {
    meter_percent: Some(5.0),
    probe_humidity: None,
    dome_flux: None,
};

/// The next year alone.
pub const YEAR: Effort = Effort {
    ahead: Ahead::NextYear,
    ..FULL
};

/// Enough versions for every part of a sheet to be filled; its numbers are not looked at.
pub const FEW: Effort = Effort {
    round: 128,
    most: 128,
    enough: 0.0,
    ahead: Ahead::FiveYears,
};

/// Whether studies of floors are run whole, as `.ci/studies` does, or on the sample that every
/// change is held to.
pub fn is_whole() -> bool {
    std::env::var_os("SLABSEASON_WHOLE").is_some()
}

/// How a floor is read. Density by common practice; depths as in `tables/evidence.csv`.
pub const CONSTANTS: FloorConstants = FloorConstants {
    density_kg_m3: 2_300.0,
    meter_depth_m: 0.02,
    probe_depth: 0.4,
};
/// The year begins in October, as for a reading in September.
pub const OCTOBER: usize = 9;
/// Percent that a meter of the middle scale shows for a fraction of water.
pub const PERCENT_SHOWN: f64 = 110.0;

/// The repository.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A text with its lines run together.
pub fn unwrapped(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A place as a person types it.
pub fn place(typed: &str) -> Place {
    PlaceQuery::parse(typed)
        .and_then(|it| find_place(&it))
        .unwrap_or_else(|it| panic!("{typed}: {it}"))
}

/// The place of a visit.
pub fn place_of(visit: &Visit) -> Place {
    find_place(&place_query(&visit.place)).unwrap()
}

/// A visit with the report that is made of it.
pub struct Shown {
    pub name: String,
    pub visit: Visit,
    pub place: Place,
    pub report: Report,
}

/// A visit file's report, made of few versions.
pub fn shown_of(name: &str, text: &str) -> Shown {
    let parsed = parse_visit(text, name).unwrap_or_else(|errors| panic!("{errors}"));
    let place = place_of(&parsed.visit);
    let (verdict, _) = conclude_with(&place, &parsed.visit, Detail::Everything, FEW);
    let asked = Asked {
        visit: &parsed.visit,
        place: &place,
        notes: &parsed.notes,
    };
    let report = report::build(&asked, &verdict);
    Shown {
        name: name.to_string(),
        visit: parsed.visit,
        place,
        report,
    }
}

/// The example visits with their reports, but for the one of a place beyond the table.
pub static SHOWN: LazyLock<Vec<Shown>> = LazyLock::new(|| {
    let folder = root().join("examples/visits");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|it| it.unwrap().path())
        .collect();
    paths.sort();
    let shown: Vec<Shown> = paths
        .iter()
        .filter_map(|path| {
            let name = path.file_stem().unwrap().to_string_lossy().to_string();
            let text = std::fs::read_to_string(path).unwrap();
            let parsed = parse_visit(&text, &name).ok()?;
            find_place(&place_query(&parsed.visit.place)).ok()?;
            Some(shown_of(&name, &text))
        })
        .collect();
    assert!(shown.len() >= 20);
    shown
});

/// No company's details, as most tests of a notice have it.
pub static NO_COMPANY: LazyLock<Company> = LazyLock::new(Company::default);

/// The notice that a floor asks for, in English and US units.
pub fn plain_notice<'a>(report: &'a Report, visit: &'a Visit) -> NoticeOf<'a> {
    NoticeOf {
        report,
        visit,
        company: &NO_COMPANY,
        variant: None,
        figures: Figures::Words,
        standing: Standing::AsSaid,
        units: Units::Us,
        language: Language::English,
    }
}
