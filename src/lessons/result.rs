//! What a floor really did, and how a learner's chance, cause and way are judged.

use super::LessonTable;
use super::lesson::{Lesson, grade_words};
use crate::odds::forcing::PlaceYear;
use crate::odds::posterior::FULL;
use crate::verdict::ways::{Tried, Way, try_way};
use crate::verdict::{Cause, Detail, Grade, Request, answer, cause_of};
use crate::words::Language;
use serde::{Deserialize, Serialize};

/// What a learner states.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Guess {
    /// Chance that the wettest month of the next year reads over the limit, 0 to 1.
    pub chance: f64,
    /// The source of moisture that the learner names; `None` where none was named.
    pub cause: Option<Cause>,
    /// The way forward that the learner would take; `None` where none was named.
    pub way: Option<Way>,
}

/// A decision by what could be known, and the floor by what it did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Call {
    /// A sound decision, and the floor held.
    Right,
    /// A sound decision on a floor that went over all the same.
    RightUnlucky,
    /// A decision that was not sound, on a floor that held all the same.
    WrongLucky,
    /// A decision that was not sound, and the floor went over.
    Wrong,
}

impl Call {
    /// The word of the result.
    pub fn word(self) -> &'static str {
        match self {
            Call::Right => "right",
            Call::RightUnlucky => "right_unlucky",
            Call::WrongLucky => "wrong_lucky",
            Call::Wrong => "wrong",
        }
    }

    fn of(sound: Sound, held: Held) -> Self {
        match (sound, held) {
            (Sound::Yes, Held::Yes) => Call::Right,
            (Sound::Yes, Held::No) => Call::RightUnlucky,
            (Sound::No, Held::Yes) => Call::WrongLucky,
            (Sound::No, Held::No) => Call::Wrong,
        }
    }
}

#[derive(Clone, Copy)]
enum Sound {
    Yes,
    No,
}

#[derive(Clone, Copy)]
enum Held {
    Yes,
    No,
}

/// What the meter would have shown in one month of the next year.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MonthSeen {
    /// 1 to 12; the first is the month after the visit.
    pub month: u32,
    /// What the meter would show, percent by mass.
    pub reading: f64,
}

/// One year under the way chosen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YearUnder {
    /// Year under the finish, from 1.
    pub year: usize,
    /// Highest humidity at the bond line, or of the bare surface, a fraction.
    pub highest_bond: f64,
    /// Month under the finish (1 is the first) in which it first went over its own limit.
    pub over_in_month: Option<usize>,
}

/// How the way chosen fared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WayResult {
    /// The way that was chosen.
    pub way: Way,
    /// Chance of going over its limit in five years, by what was known.
    pub chance_5y: f64,
    /// It is acceptable by what was known.
    pub is_sound: bool,
    /// Its condition was met at the time, so that it was put down.
    pub put_down: bool,
    /// It went over its own limit within five years; for declining, a film would have.
    pub gave_way: bool,
    /// The five years, the first one first.
    pub years: Vec<YearUnder>,
    /// The decision and what came of it.
    pub call: Call,
}

/// Everything that is shown once a learner has decided.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LessonResult {
    /// The chance that the learner stated, 0 to 1.
    pub stated: f64,
    /// The tool's chance on the same knowledge; none where it would hold the reading.
    pub model_chance: Option<f64>,
    /// The tool's grade on the same knowledge; `None` where it would hold the reading.
    pub model_grade: Option<Grade>,
    /// The tool's chance, 0 to 1, of a problem within five years under a film put on today;
    /// `None` where there is no estimate.
    pub coated_5y: Option<f64>,
    /// The wettest month of the next year really read over the limit.
    pub over: bool,
    /// The next year month by month, the one after the visit first.
    pub months: Vec<MonthSeen>,
    /// Points lost by what could be known: the square of the distance from the tool's chance.
    pub lost: Option<f64>,
    /// Brier score of this one draw; only sums over a class mean something.
    pub brier: f64,
    /// Brier score of the tool's chance on this one draw; `None` where it gave none.
    pub model_brier: Option<f64>,
    /// Where the water of the wettest month really came from.
    pub true_cause: Cause,
    /// Sources that are likely by what was known, with their chances (0 to 1), largest first.
    pub likely_causes: Vec<(Cause, f64)>,
    /// Whether the source named is among them; `None` where none was named.
    pub named_a_likely_cause: Option<bool>,
    /// The way that the tool prefers; `None` where there is no estimate.
    pub preferred: Option<Way>,
    /// Every way that is acceptable by what was known.
    pub sound_ways: Vec<Way>,
    /// How the way chosen fared; `None` where none was chosen.
    pub way: Option<WayResult>,
    /// Questions that were answered wrong.
    pub told_wrong: Vec<&'static str>,
}

/// The Brier score of one stated chance: the square of its distance from what came. 0 is best.
///
/// It is proper: whoever states what they believe loses least in the long run. It is chosen over
/// the logarithm, which is proper as well, because one bold miss among ten floors would
/// outweigh the other nine.
pub fn brier(chance: f64, came: bool) -> f64 {
    let off = chance - f64::from(u8::from(came));
    off * off
}

/// The logarithmic score, for comparison: 0 is best. Chances are kept off 0 and 1 by one in a
/// hundred, as the tool's own are.
pub fn log_score(chance: f64, came: bool) -> f64 {
    let least = crate::verdict::GradeTable::bundled().least_chance;
    let held = chance.clamp(least, 1.0 - least);
    -libm::log(if came { held } else { 1.0 - held })
}

/// Judges a guess on a lesson after some questions were asked.
pub fn judge(lesson: &Lesson, asked: &str, guess: &Guess) -> LessonResult {
    let visit = lesson.known(asked);
    let request = Request {
        detail: Detail::Ways,
        effort: FULL,
        ..Request::default()
    };
    let (verdict, _) = answer(&lesson.place, &visit, request);
    let truth = &lesson.truth;
    let outcome = truth.outcome();
    let over = truth.highest() > lesson_limit(lesson);
    let first = (truth.plan.reading_month + 1) % 12;
    let months = (0..12)
        .map(|at| {
            let month = (first + at) % 12;
            MonthSeen {
                month: month as u32 + 1,
                reading: truth.shown(outcome.next_year[month].meter_fraction),
            }
        })
        .collect();
    let counts = LessonTable::bundled().cause_counts;
    let likely_causes: Vec<(Cause, f64)> = verdict
        .causes
        .iter()
        .enumerate()
        .filter(|(at, it)| *at == 0 || it.1 >= counts)
        .map(|(_, it)| *it)
        .collect();
    let ways = verdict.ways.as_ref();
    let preferred = ways.map(|it| it.preferred);
    let sound_ways: Vec<Way> = ways.map_or(Vec::new(), |ways| {
        Way::ALL
            .into_iter()
            .filter(|way| *way == ways.preferred || (*way != Way::Decline && ways.of(*way).holds()))
            .collect()
    });
    let way = guess.way.zip(ways).map(|(way, ways)| {
        let place_year = PlaceYear::new(&lesson.place, truth.below_grade);
        let tried = |way: Way| {
            let (wettest, scale) = (verdict.wettest_month, truth.scale);
            try_way(way, truth.floor(), &place_year, &visit, wettest, scale)
        };
        let is_sound = sound_ways.contains(&way);
        way_result(way, ways.of(way).chance_5y, is_sound, tried)
    });
    LessonResult {
        stated: guess.chance,
        model_chance: verdict.chance,
        model_grade: verdict.grade,
        coated_5y: ways
            .filter(|_| verdict.grade.is_some())
            .map(|it| it.of(Way::FilmNow).chance_5y),
        over,
        months,
        lost: verdict
            .chance
            .map(|it| (guess.chance - it) * (guess.chance - it)),
        brier: brier(guess.chance, over),
        model_brier: verdict.chance.map(|it| brier(it, over)),
        true_cause: cause_of(outcome, truth.plan.start),
        named_a_likely_cause: guess
            .cause
            .map(|cause| likely_causes.iter().any(|it| it.0 == cause)),
        likely_causes,
        preferred,
        sound_ways,
        way,
        told_wrong: truth
            .told_wrong
            .iter()
            .copied()
            .filter(|it| {
                let question = super::lesson::question_of(it);
                question.answer(&visit).is_some()
            })
            .collect(),
    }
}

/// What came of the way that was taken; `tried` runs the true floor under a way.
fn way_result(way: Way, chance_5y: f64, is_sound: bool, tried: impl Fn(Way) -> Tried) -> WayResult {
    let own = tried(way);
    // Who declined is shown what a film would have done.
    let gave_way = match way {
        Way::Decline => tried(Way::FilmNow).gives_way.is_some(),
        _ => own.put_down && own.gives_way.is_some(),
    };
    // Who declined put nothing down that could give way: it was right where a film would have.
    let is_right = (way == Way::Decline) == gave_way;
    let held = if is_right { Held::Yes } else { Held::No };
    let years = own
        .months
        .chunks(12)
        .enumerate()
        .map(|(year, months)| YearUnder {
            year: year + 1,
            highest_bond: months.iter().map(|it| it.bond_humidity).fold(0.0, f64::max),
            over_in_month: own
                .gives_way
                .filter(|it| it / 12 == year)
                .map(|it| it % 12 + 1),
        })
        .collect();
    let sound = if is_sound { Sound::Yes } else { Sound::No };
    WayResult {
        way,
        chance_5y,
        is_sound,
        put_down: own.put_down,
        gave_way,
        years,
        call: Call::of(sound, held),
    }
}

/// The limit of a lesson, %.
pub(super) fn lesson_limit(lesson: &Lesson) -> f64 {
    lesson
        .told
        .limit
        .meter_percent
        .unwrap_or(crate::verdict::GradeTable::bundled().default_meter_percent)
}

/// What a coating put on now would come to, where that is worse than the bare floor and so the
/// risk that `screen` leads with.
pub(super) fn coated_said(language: Language, result: &LessonResult) -> Option<String> {
    let chance = result.coated_5y?;
    let grade = Grade::of_chance(chance);
    (Some(grade) > result.model_grade).then(|| {
        language.say_with(
            "lesson.coated",
            &[
                ("count", &language.chance(chance)),
                ("grade", grade_words(language, Some(grade))),
            ],
        )
    })
}

/// The grade of the tool, and whether a sign raised it above what the chance gives.
pub(super) fn grade_of(language: Language, result: &LessonResult) -> String {
    let words = grade_words(language, result.model_grade);
    match (result.model_grade, result.model_chance) {
        (Some(grade), Some(chance)) if grade > Grade::of_chance(chance) => {
            language.say_with("lesson.raised", &[("grade", words)])
        }
        _ => words.to_string(),
    }
}
