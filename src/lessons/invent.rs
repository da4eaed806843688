//! Invented floors whose truth is known: answers are made up, a truth is drawn from the priors
//! that the answers select, with its own weather; signs and readings are drawn from the
//! model's own chances for that truth.

use super::{LessonTable, Random, lesson_questions};
use crate::climate::Place;
use crate::odds::evidence::{EvidenceTable, Scale, Seasons, observations, signs};
use crate::odds::forcing::PlaceYear;
use crate::odds::forecast::ForecastFloors;
use crate::odds::outcomes::{Shared, SimulatedFloors};
use crate::odds::parameters::{Era, FloorParameters, PriorSet};
use crate::odds::posterior::{plan, seasons};
use crate::odds::priors::Priors;
use crate::odds::simulate::{Dome, Group, LANES, Patch, Plan, SimulatedFloor, run_group};
use crate::season::{STEPS_PER_MONTH, saturation_pa};
use crate::survey::{
    Dehumidifier, Drainage, Lately, LotPosition, MeterScale, Reading, ReadingValue, Retarder,
    Setting, SubDrain, Sump, Visit, WaterNow, parse_visit, weak_signs,
};
use crate::units::{Celsius, RelHumidity};
use chrono::Datelike;
use std::sync::Arc;

/// How many weak signs are asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeakSigns {
    /// One at most, because the weighing takes the six to be kin.
    One,
    /// All six, each seen independently of the others.
    Six,
}

/// How people tell of a floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Telling {
    /// Chance that a fact is told wrong; `None` for owners who know.
    pub mistake: Option<f64>,
    /// Which weak signs people tell of.
    pub weak: WeakSigns,
    /// Share of floors drawn until darkening is reported.
    pub darkening_share: f64,
}

/// What one floor really is and does.
#[derive(Debug, Clone)]
pub struct Truth {
    /// Calendar and use of the floor.
    pub plan: Plan,
    /// The floor is one of those that were run side by side.
    pub lane: usize,
    /// What the floor does through the years.
    pub outcomes: SimulatedFloors,
    /// Where it stands at the visit, so that it can be run on.
    pub group: Arc<Group>,
    /// The meter's own scale.
    pub scale: f64,
    /// Questions whose answers are wrong.
    pub told_wrong: Vec<&'static str>,
    /// Whether the floor lies below grade.
    pub below_grade: bool,
}

impl Truth {
    /// What this floor did.
    pub fn outcome(&self) -> &SimulatedFloor {
        &self.outcomes[self.lane]
    }

    /// The floor among those of its group, to be run on.
    pub fn floor(&self) -> (ForecastFloors<'_>, usize) {
        let floors = ForecastFloors {
            plan: &self.plan,
            outcomes: &self.outcomes,
            groups: std::slice::from_ref(&self.group),
        };
        (floors, self.lane)
    }

    /// Runs it as it is judged: a floor whose sump takes water, as it was told, is graded as if
    /// its pump failed after the visit. Nothing before the visit changes by it.
    pub fn run_as_judged(&mut self, place: &Place, told: &Visit) {
        let judged = plan(told, &[], Dome::NotAsked).pump;
        if self.plan.pump == judged {
            return;
        }
        self.plan.pump = judged;
        let parameters = std::array::from_fn(|lane| self.outcomes[lane].parameters.clone());
        let place_year = PlaceYear::new(place, self.below_grade);
        let (group, outcomes) = run_group(&place_year, &self.plan, &parameters);
        self.group = Arc::new(group);
        self.outcomes = SimulatedFloors::sharing(&Shared::new(outcomes));
    }

    /// What the same meter shows for a share of water by weight, %.
    pub fn shown(&self, fraction: f64) -> f64 {
        100.0 * self.scale * fraction
    }

    /// How far a reading departs from the model's floor in the visit's month (0 to 11) or, 12 and
    /// more, in a month of the next year, % by weight. From a generator of its own, so that an
    /// invented floor stays what it is.
    pub fn departs(&self, month: usize) -> f64 {
        let departs = EvidenceTable::bundled().reading_departure;
        departs * Random::of(self.scale.to_bits(), month).normal()
    }

    /// What the same meter shows in the wettest month of the next year, %.
    pub fn highest(&self) -> f64 {
        let months = self.outcome().next_year.iter();
        months
            .map(|it| self.shown(it.meter_fraction))
            .fold(0.0, f64::max)
    }
}

/// A floor as it is told, and as it is.
#[derive(Debug, Clone)]
pub struct Invented {
    /// The visit as the owner tells it, with readings.
    pub told: Visit,
    /// What the floor really is and does.
    pub truth: Truth,
}

/// Invents one floor of a place, visited in a calendar month (0 to 11).
pub fn invent(
    random: &mut Random,
    place: &Place,
    postal: &str,
    month: usize,
    telling: Telling,
) -> Invented {
    let mut visit = facts(random, postal, month);
    let mut true_visit = visit.clone();
    let told_wrong = match telling.mistake {
        Some(mistake) => tell_wrong(random, &mut true_visit, mistake),
        None => Vec::new(),
    };

    // The truth: a point of the priors that the true facts select.
    let priors = PriorSet::for_visit(&true_visit);
    let place_year = PlaceYear::new(place, priors.below_grade);
    visit.readings = readings(random, &visit);
    let marks = observations(&visit);
    let mut truth_plan = plan(&true_visit, &marks, Dome::NotAsked);
    // A second mark one step on tells how much the exact step matters.
    // A truth is asked about everything.
    truth_plan.patch = Patch::Asked;
    let step = truth_plan.marks[0];
    truth_plan.marks = vec![step, (step + 1).min(24 * STEPS_PER_MONTH - 1)];
    let stated_priors = PriorSet::for_visit(&visit);
    let seasons = seasons(
        &PlaceYear::new(place, stated_priors.below_grade),
        &stated_priors,
    );
    let darkens = random.chance(telling.darkening_share);
    let springs = LessonTable::bundled().springs_most as usize;
    visit.signs.springs_watched = Some(1 + random.below(springs) as u32);
    let (group, outcomes, lane) = loop {
        let tried: [FloorParameters; TRIED] = std::array::from_fn(|_| {
            let scores = std::array::from_fn(|_| random.normal());
            priors.parameters(&scores)
        });
        let truths: [FloorParameters; LANES] =
            std::array::from_fn(|lane| tried[lane % TRIED].clone());
        let (group, outcomes) = run_group(&place_year, &truth_plan, &truths);
        let lane = if darkens {
            visit.signs.spring_darkening = Some(true);
            (0..TRIED).find(|lane| {
                random.chance(chance_of(&visit, DARKENING, &seasons, &outcomes[*lane]))
            })
        } else {
            Some(0)
        };
        if let Some(lane) = lane {
            break (group, outcomes, lane);
        }
    };

    let checked = visit.readings[0].meter_checked == Some(true);
    let scale_prior = Scale::prior(checked);
    let scale = scale_prior.mean + scale_prior.sd * random.normal();
    let truth = Truth {
        plan: truth_plan,
        lane,
        outcomes: SimulatedFloors::sharing(&Shared::new(outcomes)),
        group: Arc::new(group),
        scale,
        told_wrong,
        below_grade: priors.below_grade,
    };
    let noise = EvidenceTable::bundled().meter_noise;
    let departs = truth.departs(visit.visit_date.month0() as usize);
    for reading in &mut visit.readings {
        let value = truth.shown(truth.outcome().at_marks[0].meter_fraction)
            + departs
            + noise * random.normal();
        reading.value = ReadingValue::Meter((value * 10.0).round() / 10.0);
    }
    evidence(random, &mut visit, &seasons, truth.outcome(), telling.weak);
    Invented { told: visit, truth }
}

/// Floors that are tried before chance is asked again. A seed's floors follow from it, so that
/// it stays what it is however many floors a processor takes at once.
const TRIED: usize = 8;
const DARKENING: &str = "signs.spring_darkening";

/// Answers that select priors, each left open with a chance of its own floor.
fn facts(random: &mut Random, postal: &str, month: usize) -> Visit {
    let table = LessonTable::bundled();
    let text = format!(
        "visit_version = 1\nvisit_date = 2026-{:02}-{:02}\npostal = \"{postal}\"\n[floor]\nsetting = \"basement\"\n",
        month + 1,
        1 + random.below(28)
    );
    let mut visit = parse_visit(&text, "invented")
        .expect("a date, a place and one answer are a visit")
        .visit;
    if random.chance(table.walk_out_share) {
        visit.floor.setting = Some(Setting::WalkOut);
    }
    let open = table.open_least + table.open_spread * random.even();
    let known = |random: &mut Random| !random.chance(open);
    let damp = random.chance(table.damp_share);
    let priors = Priors::bundled();
    let shares = [
        (1910, 1959, "before_1960"),
        (1960, 1979, "before_1980"),
        (1980, 1999, "before_2000"),
        (2000, 2020, "before_2021"),
        (2021, 2024, "from_2021"),
    ]
    .map(|(from, to, key)| ((from, to), priors.of("era_share", key).value()));
    let (from, to) = random.pick(&shares);
    let year = from + random.below((to - from + 1) as usize) as i32;
    if known(random) {
        visit.floor.year_built = Some(year);
    }
    if known(random) {
        visit.floor.retarder = Some(retarder(random, year, damp));
    }
    if known(random) {
        visit.lot.position = Some(position(random, damp));
    }
    if known(random) {
        visit.lot.drainage = Some(
            if random.chance(if damp {
                table.damp_failing_share
            } else {
                table.failing_share
            }) {
                Drainage::Failing
            } else {
                Drainage::Sound
            },
        );
    }
    if known(random) {
        visit.lot.sub_drain = Some(random.pick(&[
            (
                SubDrain::Works,
                if damp {
                    table.damp_drain_works
                } else {
                    table.drain_works
                },
            ),
            (SubDrain::Failed, table.drain_failed),
            (SubDrain::NoDrain, table.drain_none),
        ]));
    }
    if known(random) {
        visit.air.dehumidifier = Some(random.pick(&[
            (Dehumidifier::Running, table.machine_running),
            (Dehumidifier::NoMachine, 1.0 - table.machine_running),
        ]));
    }
    if known(random) {
        visit.air.air_conditioned = Some(random.chance(table.cooled_share));
    }
    if known(random) {
        visit.air.heated = Some(random.chance(table.heated_share));
    }
    if known(random) {
        visit.floor.gravel_base = Some(random.chance(table.gravel_share));
    }
    visit
}

/// What somebody says of the retarder: newer floors more often have one that was seen.
fn retarder(random: &mut Random, year: i32, damp: bool) -> Retarder {
    let table = LessonTable::bundled();
    let seen = match Era::of_year(year) {
        Era::Before1960 => table.retarder_before_1960,
        Era::Before1980 => table.retarder_before_1980,
        Era::Before2000 => table.retarder_before_2000,
        Era::Before2021 | Era::From2021 => table.retarder_from_2000,
    };
    let factor = if damp {
        table.damp_retarder_factor
    } else {
        1.0
    };
    if random.chance(factor * seen) {
        Retarder::Seen
    } else {
        Retarder::Absent
    }
}

/// Where the house stands on its lot.
fn position(random: &mut Random, damp: bool) -> LotPosition {
    let table = LessonTable::bundled();
    let positions = [LotPosition::High, LotPosition::Level, LotPosition::Low];
    let often = if damp {
        [
            table.damp_lot_high,
            table.damp_lot_level,
            table.damp_lot_low,
        ]
    } else {
        positions.map(|it| Priors::bundled().of("lot_share", it.word()).value())
    };
    random.pick(&std::array::from_fn::<_, 3, _>(|at| {
        (positions[at], often[at])
    }))
}

/// Turns some facts of the truth away from what was told; how many.
fn tell_wrong(random: &mut Random, truth: &mut Visit, mistake: f64) -> Vec<&'static str> {
    let mut wrong = Vec::new();
    if let Some(told) = truth.lot.position
        && random.chance(mistake)
    {
        let others: Vec<(LotPosition, f64)> = LotPosition::ALL
            .iter()
            .filter(|it| **it != told)
            .map(|it| (*it, 1.0))
            .collect();
        truth.lot.position = Some(random.pick(&others));
        wrong.push("lot.position");
    }
    if let Some(told) = truth.lot.drainage
        && random.chance(mistake)
    {
        truth.lot.drainage = Some(match told {
            Drainage::Sound => Drainage::Failing,
            Drainage::Failing => Drainage::Sound,
        });
        wrong.push("lot.drainage");
    }
    if let Some(told) = truth.floor.retarder
        && random.chance(mistake)
    {
        truth.floor.retarder = Some(match told {
            Retarder::Seen => Retarder::Absent,
            Retarder::Absent => Retarder::Seen,
        });
        wrong.push("floor.retarder");
    }
    if let Some(told) = truth.floor.year_built
        && random.chance(mistake)
    {
        // An era off, as people are: the house was bought with the story.
        let earlier = told >= 2000 || (told >= 1960 && random.chance(0.5));
        truth.floor.year_built = Some(if earlier { told - 20 } else { told + 20 });
        wrong.push("floor.year_built");
    }
    wrong
}

/// One or three spots of the open floor on the day of the visit; their values come later.
fn readings(random: &mut Random, visit: &Visit) -> Vec<Reading> {
    let table = LessonTable::bundled();
    let spots = if random.chance(table.one_spot_share) {
        1
    } else {
        3
    };
    let checked = random.chance(table.checked_share);
    (0..spots)
        .map(|_| Reading {
            date: visit.visit_date,
            value: ReadingValue::Meter(0.0),
            scale: Some(MeterScale::Percent),
            meter_id: None,
            meter_checked: checked.then_some(true),
            spot: None,
            wall_distance: None,
            x: None,
            y: None,
            withdrawn: false,
        })
        .collect()
}

/// Chance of the answer to one question that the visit now holds.
fn chance_of(visit: &Visit, question: &str, seasons: &Seasons, truth: &SimulatedFloor) -> f64 {
    signs(visit, seasons)
        .iter()
        .find(|it| it.question == question)
        .expect("the answer was just given")
        .chance(truth)
}

/// Where a question's yes or no is kept.
type Answer = fn(&mut Visit) -> &mut Option<bool>;

/// The weak signs that a lesson asks for; the floors of lessons are bare and never painted, so
/// what only paint can show is not among them.
fn asked_weak_signs() -> Vec<(&'static str, Answer)> {
    weak_signs()
        .iter()
        .filter(|sign| {
            lesson_questions()
                .iter()
                .any(|it| it.question == sign.path())
        })
        .map(|sign| (sign.path(), sign.yes_no().at))
        .collect()
}

/// Answers that speak of the floor, drawn from the model's own chances for the truth.
fn evidence(
    random: &mut Random,
    visit: &mut Visit,
    seasons: &Seasons,
    truth: &SimulatedFloor,
    weak: WeakSigns,
) {
    let table = EvidenceTable::bundled();
    let lessons = LessonTable::bundled();
    let open = lessons.open_least + lessons.open_spread * random.even();
    let known = |random: &mut Random| !random.chance(open);
    let yes_no = |random: &mut Random, visit: &mut Visit, question: &str, at: Answer| {
        *at(visit) = Some(true);
        let chance = chance_of(visit, question, seasons, truth);
        *at(visit) = Some(random.chance(chance));
    };
    if visit.signs.spring_darkening.is_none() && known(random) {
        yes_no(random, visit, DARKENING, |it| {
            &mut it.signs.spring_darkening
        });
    }
    if known(random) {
        yes_no(random, visit, "lot.standing_water_5y", |it| {
            &mut it.lot.standing_water_5y
        });
    }
    if known(random) {
        yes_no(random, visit, "signs.sweats_in_summer", |it| {
            &mut it.signs.sweats_in_summer
        });
    }
    // One basement in three has a pit to look into.
    if random.chance(lessons.pit_share) {
        let shares = [Sump::Dry, Sump::AfterRain, Sump::MostDays].map(|answer| {
            visit.lot.sump = Some(answer);
            (answer, chance_of(visit, "lot.sump", seasons, truth))
        });
        visit.lot.sump = Some(random.pick(&shares));
    }
    if known(random) {
        let shares = [Lately::Drier, Lately::Usual, Lately::Wetter].map(|answer| {
            visit.lot.lately = Some(answer);
            (answer, chance_of(visit, "lot.lately", seasons, truth))
        });
        visit.lot.lately = Some(random.pick(&shares));
    }
    if known(random) {
        visit.signs.water_now = Some(WaterNow::Damp);
        let damp = chance_of(visit, "signs.water_now", seasons, truth);
        if !random.chance(damp) {
            visit.signs.water_now = Some(WaterNow::Dry);
        }
    }
    let asked = asked_weak_signs();
    if weak == WeakSigns::Six {
        for (question, at) in asked {
            if known(random) {
                yes_no(random, visit, question, at);
            }
        }
    } else if known(random) {
        let (question, at) = asked[random.below(asked.len())];
        yes_no(random, visit, question, at);
    }
    let month = truth_month(visit);
    if known(random) {
        let measured = truth.room_c[month] + table.room_temperature_sd_k * random.normal();
        visit.air.temp = Celsius::new(measured).ok();
        let measured = truth.surface_c[month] + table.slab_temperature_sd_k * random.normal();
        visit.air.slab_temp = Celsius::new(measured).ok();
        let saturated = saturation_pa(truth.room_c[month]);
        let measured = truth.reading_year[month].room_pa / saturated
            + table.room_humidity_sd * random.normal();
        // No instrument shows more than saturation.
        visit.air.relative_humidity = RelHumidity::new(measured.clamp(0.0, 1.0)).ok();
    }
}

fn truth_month(visit: &Visit) -> usize {
    visit.visit_date.month0() as usize
}
