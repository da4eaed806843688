//! The questions that move the chance: the answer given, taking it back, answers to imagine.

use super::check::{derived_drainage, known_below_grade};
use super::field::{Field, ModelQuestion, Moves, WeakSign};
use super::registry::FIELDS;
use super::visit::*;
use std::sync::LazyLock;

static WEAK: LazyLock<Vec<WeakSign>> = LazyLock::new(|| {
    FIELDS
        .iter()
        .filter(|it| it.moves == Moves::Weak)
        .map(WeakSign)
        .collect()
});

static ALL: LazyLock<Vec<ModelQuestion>> = LazyLock::new(|| {
    use ModelQuestion::*;
    [
        Era,
        Retarder,
        BelowGrade,
        Position,
        SpringDarkening,
        Drainage,
        SubDrain,
        Sump,
        StandingWater,
        Lately,
        GravelBase,
        Dehumidifier,
        AirConditioned,
        Heated,
        RoomHumidity,
        RoomTemperature,
        SlabTemperature,
        WaterNow,
        Sweats,
    ]
    .into_iter()
    .chain(WEAK.iter().map(|it| Weak(*it)))
    .collect()
});

/// Every weak sign, in the order of the visit file.
pub fn weak_signs() -> &'static [WeakSign] {
    &WEAK
}

/// The visit with each of some answers put into one of its fields, by the answer's word.
macro_rules! each_of {
    ($visit:ident, $part:ident.$field:ident, $answer:ident::$answers:ident) => {
        each(
            $visit,
            super::visit::$answer::$answers,
            |it| it.word(),
            |visit, it| visit.$part.$field = Some(it),
        )
    };
}

impl ModelQuestion {
    /// Every question, the six core ones first.
    pub fn all() -> &'static [ModelQuestion] {
        &ALL
    }

    /// The path of the field that holds its answer.
    pub fn path(self) -> &'static str {
        self.main().path
    }

    fn main(self) -> &'static Field {
        match self {
            ModelQuestion::Weak(sign) => sign.0,
            other => FIELDS
                .iter()
                .find(|it| it.moves == Moves::Main(other))
                .expect("a test finds the main field of every question"),
        }
    }

    /// The answer given, in the words of the visit file.
    pub fn answer(self, visit: &Visit) -> Option<String> {
        use ModelQuestion::*;
        let (floor, lot, air) = (&visit.floor, &visit.lot, &visit.air);
        match self {
            Era => match (floor.placed_date, floor.year_built) {
                (Some(date), _) => Some(format!("placed {date}")),
                (None, Some(year)) => Some(year.to_string()),
                (None, None) => None,
            },
            Retarder => {
                let answer = floor.retarder?.word();
                Some(match floor.retarder_proof {
                    Some(proof) => format!("{answer} ({})", proof.word()),
                    None => answer.to_string(),
                })
            }
            BelowGrade => yes_no(known_below_grade(floor)),
            Drainage => word(derived_drainage(lot), |it| it.word()),
            Position => word(lot.position, |it| it.word()),
            SubDrain => word(lot.sub_drain, |it| it.word()),
            Sump => word(lot.sump, |it| it.word()),
            Lately => word(lot.lately, |it| it.word()).or_else(|| weather_in_words(visit)),
            Dehumidifier => word(air.dehumidifier, |it| it.word()),
            WaterNow => word(visit.signs.water_now, |it| it.word()),
            RoomHumidity => air
                .relative_humidity
                .map(|it| format!("{:.0} %", it.percent())),
            RoomTemperature => air.temp.map(in_both_scales),
            SlabTemperature => air.slab_temp.map(in_both_scales),
            SpringDarkening | StandingWater | GravelBase | AirConditioned | Heated | Sweats
            | Weak(_) => yes_no(self.main().yes_no.and_then(|it| (it.get)(visit))),
        }
    }

    /// Takes the answer back, and what goes with it.
    pub fn clear(self, visit: &mut Visit) {
        let is_of_it = |it: &&Field| match (self, it.moves) {
            (ModelQuestion::Weak(sign), _) => it.path == sign.path(),
            (_, Moves::Main(of) | Moves::PartOf(of)) => of == self,
            (_, Moves::Nothing | Moves::Weak) => false,
        };
        for field in FIELDS.iter().filter(is_of_it) {
            if let Some(forget) = field.forget {
                forget(visit);
            }
        }
    }

    /// The visit with each answer that somebody might give, by its word; none where the answer
    /// is a number.
    pub fn imagined(self, visit: &Visit) -> Vec<(&'static str, Visit)> {
        use ModelQuestion::*;
        match self {
            Era | RoomHumidity | RoomTemperature | SlabTemperature => Vec::new(),
            SpringDarkening => yes_and_no(visit, self.main())
                .into_iter()
                .map(|(word, mut other)| {
                    // Who can say so has watched; two springs are a usual time in a house.
                    other.signs.springs_watched = other.signs.springs_watched.or(Some(2));
                    (word, other)
                })
                .collect(),
            BelowGrade | StandingWater | GravelBase | AirConditioned | Heated | Sweats
            | Weak(_) => yes_and_no(visit, self.main()),
            Retarder => each_of!(visit, floor.retarder, Retarder::ALL),
            Position => each_of!(visit, lot.position, LotPosition::ALL),
            Drainage => each_of!(visit, lot.drainage, Drainage::ALL),
            SubDrain => each_of!(visit, lot.sub_drain, SubDrain::ALL),
            // Without a pit there is nothing to look into.
            Sump => each_of!(visit, lot.sump, Sump::WITH_A_PIT),
            Lately => each_of!(visit, lot.lately, Lately::ALL),
            Dehumidifier => each_of!(visit, air.dehumidifier, Dehumidifier::ALL),
            // Standing water would have been seen, and stops everything.
            WaterNow => each_of!(visit, signs.water_now, WaterNow::WITHOUT_STANDING),
        }
    }
}

/// The rain before the visit against its normal, for a list of answers.
fn weather_in_words(visit: &Visit) -> Option<String> {
    let weather = &visit.weather;
    let spans = [
        (3, weather.last_three_months),
        (12, weather.last_twelve_months),
    ];
    let mut said: Vec<String> = spans
        .into_iter()
        .filter_map(|(months, rain)| {
            rain.map(|it| format!("rain {:.0} % in {months} months", it.get()))
        })
        .collect();
    let months = weather.months.iter().flatten().count();
    if months > 0 {
        let s = if months == 1 { "" } else { "s" };
        said.push(format!("weather of {months} month{s}"));
    }
    (!said.is_empty()).then(|| said.join(", "))
}

fn yes_no(answer: Option<bool>) -> Option<String> {
    answer.map(|it| if it { "yes" } else { "no" }.to_string())
}

fn word<T>(answer: Option<T>, of: fn(T) -> &'static str) -> Option<String> {
    answer.map(|it| of(it).to_string())
}

fn in_both_scales(it: crate::units::Celsius) -> String {
    format!("{:.0} °F ({:.1} °C)", it.fahrenheit(), it.get())
}

fn each<T: Copy>(
    visit: &Visit,
    answers: &[T],
    word: fn(T) -> &'static str,
    put: fn(&mut Visit, T),
) -> Vec<(&'static str, Visit)> {
    answers
        .iter()
        .map(|it| {
            let mut other = visit.clone();
            put(&mut other, *it);
            (word(*it), other)
        })
        .collect()
}

fn yes_and_no(visit: &Visit, field: &Field) -> Vec<(&'static str, Visit)> {
    let at = field.yes_no.expect("a test reads every yes or no").at;
    [("yes", true), ("no", false)]
        .into_iter()
        .map(|(word, answer)| {
            let mut other = visit.clone();
            *at(&mut other) = Some(answer);
            (word, other)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{FieldKind, parse_visit};

    fn bare() -> Visit {
        parse_visit(
            "visit_date = 2026-09-08\npostal = \"05401\"\n[lot]\nleak = \"none\"\n",
            "made.toml",
        )
        .unwrap()
        .visit
    }

    /// The registry is whole: each question has one main field, and each weak sign is a yes or no.
    #[test]
    fn every_question_has_its_field() {
        let all = ModelQuestion::all();
        for (at, question) in all.iter().enumerate() {
            assert!(
                all[..at].iter().all(|it| it.path() != question.path()),
                "{question:?}"
            );
            assert_eq!(question.answer(&bare()), None, "{question:?}");
        }
        for it in FIELDS.iter() {
            if let Moves::Main(question) = it.moves {
                assert!(all.contains(&question), "{}", it.path);
            }
            let is_part = it.path.starts_with("reading.") || it.path.starts_with("limit.");
            let is_yes_no = it.kind == FieldKind::YesNo && !is_part;
            assert_eq!(it.yes_no.is_some(), is_yes_no, "{}", it.path);
        }
        assert!(weak_signs().len() >= 6);
    }

    #[test]
    fn an_imagined_answer_is_given_and_taken_back() {
        for question in ModelQuestion::all() {
            for (word, mut visit) in question.imagined(&bare()) {
                assert_eq!(
                    question.answer(&visit).as_deref(),
                    Some(word),
                    "{question:?}"
                );
                question.clear(&mut visit);
                assert_eq!(visit, bare(), "{question:?} {word}");
            }
        }
    }
}
