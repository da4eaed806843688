//! Every answer of varied visits, from the driest to the wettest: for the sweep of
//! `examples/answers_sweep.rs`, and for the small sample of it that the tests keep.

use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::posterior::{Ahead, Effort, Limits, posterior};
use slabseason::survey::{Draft, ModelQuestion, PlaceName, Raw, Visit, parse_visit, set_field};
use slabseason::verdict::answer_effects::LOOK;

/// A move of less is none: it changes no grade.
pub const TOLERANCE: f64 = 0.01;
/// A move counts from so many standard errors on: what is left to chance is then one in 700.
const ERRORS: f64 = 3.0;

/// Enough draws to tell a move of some points from sampling error.
const CLOSE_LOOK: Effort = Effort {
    round: 1_024,
    most: 8_192,
    enough: 1_000.0,
    ahead: Ahead::NextYear,
};

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

/// A chance and the standard error of its draws.
#[derive(Clone, Copy)]
struct Chance {
    chance: f64,
    error: f64,
}

impl Chance {
    fn new(chance: f64, weights: &[f64]) -> Self {
        let squares: f64 = weights.iter().map(|it| it * it).sum();
        Self {
            chance,
            error: (chance * (1.0 - chance) * squares).sqrt(),
        }
    }
}

/// Chances to go over next year: by the answers alone, and with the reading.
fn chances(visit: &Visit, effort: Effort) -> [Chance; 2] {
    let PlaceName::Postal(code) = &visit.place else {
        unreachable!("varied visits have a postal code")
    };
    let place = find_place(&PlaceQuery::Postal(code.clone())).expect("the towns are known");
    let limits = Limits {
        meter_percent: Some(5.0),
        probe_humidity: None,
        dome_flux: None,
    };
    let it = posterior(&place, visit, limits, effort);
    [
        Chance::new(it.exceedance_before(), &it.before.weights),
        Chance::new(it.exceedance(), &it.after.weights),
    ]
}

/// Two neighboring answers of which the wetter one gives the lower chance, beyond sampling error.
#[derive(Clone)]
pub struct Fall {
    /// By how much it falls by the answers alone; negative where it rises.
    pub before: f64,
    /// The same with the reading.
    pub after: f64,
    /// Whether each of them is beyond sampling error.
    pub is_sure: [bool; 2],
    /// The visit with the wetter answer.
    pub wetter: Visit,
}

/// Pairs of neighboring answers of one question, and those that fall.
pub struct Pairs {
    pub count: usize,
    pub falls: Vec<Fall>,
}

/// The visit with a question answered otherwise; nothing where the answer does not fit the rest.
fn answered(visit: &Visit, question: ModelQuestion, word: &str) -> Option<Visit> {
    let mut draft = Draft::from(visit);
    set_field(&mut draft, question.path(), &Raw::Text(word.to_string())).ok()?;
    if question == ModelQuestion::SpringDarkening {
        draft.signs.springs_watched = Some(2);
    }
    draft.finish().ok()
}

/// Gives each answer of a question to each visit, from the driest to the wettest. A fall that a
/// short look shows is looked at closely.
pub fn pairs(question: ModelQuestion, visits: &[Visit]) -> Pairs {
    let words = from_dry_to_wet(question);
    let mut out = Pairs {
        count: 0,
        falls: Vec::new(),
    };
    for visit in visits {
        let all: Vec<(Visit, [Chance; 2])> = words
            .iter()
            .filter_map(|word| answered(visit, question, word))
            .map(|it| (it.clone(), chances(&it, LOOK)))
            .collect();
        for both in all.windows(2) {
            out.count += 1;
            let falls =
                |a: &[Chance; 2], b: &[Chance; 2], when: usize| a[when].chance - b[when].chance;
            if (0..2).all(|when| falls(&both[0].1, &both[1].1, when) <= TOLERANCE) {
                continue;
            }
            let close = [&both[0].0, &both[1].0].map(|it| chances(it, CLOSE_LOOK));
            let fall = [0, 1].map(|when| falls(&close[0], &close[1], when));
            let is_sure = [0, 1].map(|when| {
                let error = close[0][when].error.hypot(close[1][when].error);
                fall[when] > TOLERANCE + ERRORS * error
            });
            if is_sure != [false, false] {
                out.falls.push(Fall {
                    before: fall[0],
                    after: fall[1],
                    is_sure,
                    wetter: both[1].0.clone(),
                });
            }
        }
    }
    out
}

/// As many varied visits as asked for, the same each time.
pub fn varied_visits(count: usize) -> Vec<Visit> {
    let mut numbers = Numbers(7);
    (0..count).map(|_| varied(&mut numbers)).collect()
}
