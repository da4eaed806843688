//! Invents a season of floors with their later readings, as the lines of a ledger.
//!
//! ```sh
//! cargo run --release --example invented_season -- examples/invented_ledger.jsonl
//! ```
//!
//! Nothing in it was measured: floors, answers, readings and truths come from the model itself,
//! so that what the check prints of it only shows the form. Results as printed are left out of
//! the lines, to keep the file small.

use chrono::{Datelike, NaiveDate};
use slabseason::climate::{PlaceQuery, find_place};
use slabseason::ledger::trial::{protocol, telling_months};
use slabseason::ledger::{
    Coming, Ledger, OutcomeKept, Rests, area_of, month_after, region_of, restated, stated,
};
use slabseason::lessons::{Random, Telling, WeakSigns, invent};
use slabseason::odds::evidence::EvidenceTable;
use slabseason::survey::{MeterScale, Parsed, Reading, ReadingValue, Visit};
use slabseason::verdict::Detail;
use slabseason::verdict::ways::Way;

const SEED: u64 = 2_026;
const FLOORS: usize = 13;
/// Invented towns by postal code; `tables/lesson_places.csv` has them.
const TOWNS: [&str; 8] = [
    "05401", "14604", "15222", "43215", "60601", "02108", "98101", "97201",
];

fn main() {
    let path = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "examples/invented_ledger.jsonl".to_string());
    let ledger = season(FLOORS);
    let mut text = String::new();
    ledger
        .lines(|line| {
            if !line.starts_with("{\"table\":\"result\"") {
                text.push_str(line);
            }
            Ok(())
        })
        .expect("a ledger in memory");
    std::fs::write(&path, text).expect("the file can be written");
}

/// What happens on a day.
enum Event {
    Visit(usize),
    Readings(usize, Vec<Reading>),
    Outcome(usize, &'static str),
}

fn season(floors: usize) -> Ledger {
    let months = telling_months(3);
    let mut ledger = Ledger::in_memory().expect("memory is there");
    let begin: NaiveDate = NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day");
    let plan = protocol(
        floors as u64,
        begin,
        concat!("slabseason ", env!("CARGO_PKG_VERSION")),
        slabseason::units::tables_digest(),
    );
    ledger
        .seal_trial(&plan.canonical(), begin)
        .expect("memory is there");
    let mut visits: Vec<Visit> = Vec::new();
    let mut events: Vec<(NaiveDate, Event)> = Vec::new();
    for at in 0..floors {
        let mut random = Random::of(SEED, at);
        let postal = TOWNS[at % TOWNS.len()];
        let place = find_place(&PlaceQuery::parse(postal).expect("a code")).expect("a town");
        let telling = Telling {
            mistake: Some(0.07),
            weak: WeakSigns::One,
            darkening_share: 0.15,
        };
        let month = random.below(12);
        let it = invent(&mut random, &place, postal, month, telling);
        let mut visit = it.told;
        visit.label = Some(format!("invented {}", at + 1));
        for reading in &mut visit.readings {
            reading.meter_id = Some("meter 1".to_string());
        }
        let noise = EvidenceTable::bundled().meter_noise;
        let region = region_of(&place);
        let to_go = months.iter().find(|it| it.region == region);
        for month in to_go.map(|it| it.months.clone()).unwrap_or_default() {
            let ahead = (month + 11 - visit.visit_date.month0()) % 12;
            // The month of the visit itself comes again after a year.
            let ahead = if ahead == 0 { 12 } else { ahead };
            let day = month_after(visit.visit_date, ahead)
                .with_day(10 + random.below(10) as u32)
                .expect("every month has a twentieth");
            // The last floors still wait for their return visit.
            if random.chance(0.1) || at + 3 >= floors {
                continue;
            }
            let truth = it.truth.outcome().next_year[month as usize - 1].meter_fraction;
            let readings = (0..3)
                .map(|spot| {
                    let departs = it.truth.departs(month as usize + 11);
                    let value = it.truth.shown(truth) + departs + noise * random.normal();
                    Reading {
                        date: day,
                        value: ReadingValue::Meter((value.max(0.1) * 10.0).round() / 10.0),
                        scale: Some(MeterScale::Percent),
                        meter_id: Some("meter 1".to_string()),
                        meter_checked: None,
                        spot: Some(["A", "B", "C"][spot].to_string()),
                        wall_distance: None,
                        x: None,
                        y: None,
                        withdrawn: false,
                    }
                })
                .collect();
            events.push((day, Event::Readings(at, readings)));
        }
        if at % 4 == 1 {
            let day = month_after(visit.visit_date, 14);
            let word = ["held_up", "blistered", "not_coated"][at % 3];
            events.push((day, Event::Outcome(at, word)));
        }
        events.push((visit.visit_date, Event::Visit(at)));
        visits.push(visit);
    }
    events.sort_by_key(|it| it.0);
    let mut ids = vec![0; floors];
    for (day, event) in events {
        match event {
            Event::Visit(at) => ids[at] = add(&mut ledger, &visits[at], None, &[], day),
            Event::Readings(at, readings) => {
                visits[at] = restated(&visits[at], &readings);
                add(&mut ledger, &visits[at], Some(ids[at]), &readings, day);
            }
            Event::Outcome(at, word) => {
                let outcome = OutcomeKept {
                    day,
                    outcome: word.to_string(),
                    coated_with: None,
                    added_on: day,
                };
                ledger
                    .add_outcome(ids[at], &outcome)
                    .expect("memory is there");
            }
        }
    }
    ledger
}

fn add(
    ledger: &mut Ledger,
    visit: &Visit,
    floor: Option<i64>,
    readings: &[Reading],
    on: NaiveDate,
) -> i64 {
    let place = find_place(&slabseason::survey::place_query(&visit.place)).expect("a town");
    let parsed = Parsed {
        visit: visit.clone(),
        notes: Vec::new(),
    };
    let rests = Rests {
        quoted: Way::FilmNow,
        place: &place,
        sheet: None,
        on,
        detail: Detail::Chances,
        first: None,
    };
    let stated = stated(&parsed, rests);
    let area = area_of(&visit.place, &place);
    let coming = Coming {
        visit,
        stated: &stated,
        area: &area,
        origin: if floor.is_some() { "restated" } else { "given" },
        floor,
        on,
    };
    match floor {
        Some(id) => ledger.add_readings(id, readings, &coming),
        None => ledger.add_visits(&[coming]).map(|it| it[0].clone()),
    }
    .expect("memory is there")
    .floor
}
