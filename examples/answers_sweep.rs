//! Every answer of varied visits, before and after the reading: which moves go the wrong way?
//!
//! `cargo run --release --example answers_sweep [VISITS]`. An answer that speaks of a wetter
//! floor should not lower the chance. What is printed are the pairs of answers that do, by
//! more than a point, with the worst visit of each question.

use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::posterior::{Limits, posterior};
use slabseason::survey::{
    Draft, ModelQuestion, PlaceName, Raw, Visit, parse_visit, set_field, to_toml,
};
use slabseason::verdict::answer_effects::LOOK;

/// A move of less is not told from sampling error at this many draws.
const TOLERANCE: f64 = 0.01;

const TOWNS: [&str; 8] = [
    "05401", "14604", "98101", "80202", "55401", "43215", "30303", "02108",
];

/// Numbers that look random and are the same each time.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % count as u64) as usize
    }
}

/// The words of a question from the driest to the wettest; none where no order is expected.
fn from_dry_to_wet(question: ModelQuestion) -> &'static [&'static str] {
    match question {
        ModelQuestion::Position => &["high", "level", "low"],
        ModelQuestion::Drainage => &["sound", "failing"],
        ModelQuestion::SubDrain => &["works", "failed"],
        ModelQuestion::Sump => &["dry", "after_rain", "most_days"],
        ModelQuestion::Retarder => &["seen", "absent"],
        ModelQuestion::GravelBase => &["yes", "no"],
        ModelQuestion::Dehumidifier => &["running", "none"],
        ModelQuestion::WaterNow => &["dry", "damp"],
        // After a wet spell the same number means less.
        ModelQuestion::Lately => &["wetter", "usual", "drier"],
        ModelQuestion::BelowGrade
        | ModelQuestion::SpringDarkening
        | ModelQuestion::StandingWater
        | ModelQuestion::Sweats
        | ModelQuestion::Weak(_) => &["no", "yes"],
        ModelQuestion::AirConditioned => &["yes", "no"],
        ModelQuestion::Era
        | ModelQuestion::Heated
        | ModelQuestion::RoomHumidity
        | ModelQuestion::RoomTemperature
        | ModelQuestion::SlabTemperature => &[],
    }
}

fn varied(numbers: &mut Numbers) -> Visit {
    let town = TOWNS[numbers.below(TOWNS.len())];
    let (month, year) = (1 + numbers.below(12), 1940 + numbers.below(80));
    let tenths = 18 + numbers.below(34);
    let text = format!(
        "visit_date = 2026-{month:02}-08\npostal = \"{town}\"\n[floor]\nsetting = \"basement\"\n\
         year_built = {year}\n[[reading]]\nkind = \"meter\"\nscale = \"percent\"\nvalue = {}\n",
        tenths as f64 / 10.0
    );
    let mut visit = parse_visit(&text, "varied").expect("it is a visit").visit;
    for question in ModelQuestion::all() {
        let answers = question.imagined(&visit);
        if !answers.is_empty() && numbers.below(3) == 0 {
            visit = answers[numbers.below(answers.len())].1.clone();
        }
    }
    visit
}

/// Chances to go over next year: by the answers alone, and with the reading.
fn chances(visit: &Visit) -> [f64; 2] {
    let PlaceName::Postal(code) = &visit.place else {
        unreachable!("varied visits have a postal code")
    };
    let place = find_place(&PlaceQuery::Postal(code.clone())).expect("the towns are known");
    let limits = Limits {
        meter_percent: Some(5.0),
        probe_humidity: None,
        dome_flux: None,
    };
    let it = posterior(&place, visit, limits, LOOK);
    [it.exceedance_before(), it.exceedance()]
}

/// Pairs of neighboring answers of one question.
#[derive(Default)]
struct Pairs {
    count: usize,
    wrong: [usize; 2],
    worst: [(f64, String); 2],
}

fn main() {
    let count = std::env::args()
        .nth(1)
        .map_or(200, |it| it.parse().expect("a number of visits"));
    let mut numbers = Numbers(7);
    let visits: Vec<Visit> = (0..count).map(|_| varied(&mut numbers)).collect();
    println!("{count} visits; a move against the answer by more than {TOLERANCE}:");
    println!(
        "{:<28}{:>7}{:>9}{:>9}{:>9}{:>9}",
        "question", "pairs", "before", "worst", "after", "worst"
    );
    for question in ModelQuestion::all() {
        let words = from_dry_to_wet(*question);
        let mut pairs = Pairs::default();
        for visit in &visits {
            let of = |word: &&str| {
                let mut draft = Draft::from(visit);
                set_field(&mut draft, question.path(), &Raw::Text((*word).to_string())).ok()?;
                if *question == ModelQuestion::SpringDarkening {
                    draft.signs.springs_watched = Some(2);
                }
                draft.finish().ok()
            };
            let all: Vec<(Visit, [f64; 2])> = words
                .iter()
                .filter_map(of)
                .map(|it| (it.clone(), chances(&it)))
                .collect();
            for both in all.windows(2) {
                pairs.count += 1;
                for when in 0..2 {
                    let fall = both[0].1[when] - both[1].1[when];
                    pairs.wrong[when] += usize::from(fall > TOLERANCE);
                    if fall > pairs.worst[when].0 {
                        pairs.worst[when] = (fall, to_toml(&both[1].0));
                    }
                }
            }
        }
        if pairs.count > 0 {
            println!(
                "{:<28}{:>7}{:>9}{:>9.3}{:>9}{:>9.3}",
                question.path(),
                pairs.count,
                pairs.wrong[0],
                pairs.worst[0].0,
                pairs.wrong[1],
                pairs.worst[1].0
            );
            for (when, name) in ["before", "after"].iter().enumerate() {
                if pairs.worst[when].0 > TOLERANCE {
                    eprintln!(
                        "# {} {name}, {:.3}\n{}",
                        question.path(),
                        pairs.worst[when].0,
                        pairs.worst[when].1
                    );
                }
            }
        }
    }
}
