//! Ways forward, compared on the very floors that remain after the readings.

use super::drying::depth_limit_percent;
pub use super::finish::WayTable;
use super::finish::{DataSheet, Exclusion, Finish, FinishKind};
use super::{Cause, Grade, Verdict};
use crate::climate::Place;
use crate::odds::evidence::Zone;
use crate::odds::forcing::PlaceYear;
use crate::odds::forecast::{
    Change, Course, ForecastFloors, MonthAfter, Sampled, run_ahead, water_above,
};
use crate::odds::parameters::{FloorParameters, PriorSet};
use crate::odds::posterior::Basis;
use crate::odds::posterior::Posterior;
use crate::odds::priors::{Priors, normal_cdf};
use crate::odds::simulate::Highest;
use crate::odds::weather_had::WeatherHad;
use crate::slab::Machines;
use crate::survey::{
    Drainage, ReadingKind, Retarder, Setting, SubDrain, Visit, derived_drainage, known_below_grade,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A way forward.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// A film-forming coating now.
    FilmNow,
    /// The same on condition of a test in the wettest month.
    FilmAfterTest,
    /// The same after drying with a machine.
    FilmAfterDrying,
    /// A moisture-tolerant primer under the film.
    Primer,
    /// A mitigation membrane under the film.
    Membrane,
    /// A finish that lets vapor pass.
    Breathable,
    /// Nothing on it.
    LeaveBare,
    /// Gutters and grading first, a film a year later.
    FixOutside,
    /// A working drain first, a film a year later.
    FixDrain,
    /// No floor at all.
    Decline,
}

impl Way {
    /// Whether the job is left undone, so that nothing can fail.
    pub fn is_undone(self) -> bool {
        matches!(self, Way::LeaveBare | Way::Decline)
    }

    /// All ways, in the order they are shown.
    pub const ALL: [Way; 10] = [
        Way::FilmNow,
        Way::FilmAfterTest,
        Way::FilmAfterDrying,
        Way::Primer,
        Way::Membrane,
        Way::Breathable,
        Way::LeaveBare,
        Way::FixOutside,
        Way::FixDrain,
        Way::Decline,
    ];

    /// The word of the result.
    pub fn word(self) -> &'static str {
        match self {
            Way::FilmNow => "film_now",
            Way::FilmAfterTest => "film_after_test",
            Way::FilmAfterDrying => "film_after_drying",
            Way::Primer => "primer",
            Way::Membrane => "membrane",
            Way::Breathable => "breathable",
            Way::LeaveBare => "leave_bare",
            Way::FixOutside => "fix_outside",
            Way::FixDrain => "fix_drain",
            Way::Decline => "decline",
        }
    }

    /// The way with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Way::ALL.into_iter().find(|it| it.word() == word)
    }

    fn kind(self) -> FinishKind {
        match self {
            Way::FilmNow
            | Way::FilmAfterTest
            | Way::FilmAfterDrying
            | Way::FixOutside
            | Way::FixDrain => FinishKind::Film,
            Way::Primer => FinishKind::Primer,
            Way::Membrane => FinishKind::Membrane,
            Way::Breathable => FinishKind::Breathable,
            Way::LeaveBare | Way::Decline => FinishKind::Bare,
        }
    }
}

/// What is expected of one way.
#[derive(Debug, Clone, PartialEq)]
pub struct WayOutcome {
    /// The way forward it is about.
    pub way: Way,
    /// Chance that its own limit is exceeded within so many years of being put down; of those
    /// floors on which it would be put down at all.
    pub chance_1y: f64,
    /// The same within two years, 0 to 1.
    pub chance_2y: f64,
    /// The same within five years, 0 to 1.
    pub chance_5y: f64,
    /// Chance that its condition is not met, so that it is not put down.
    pub not_put_down: f64,
    /// Chance that the bond line is wet, and liquid-wet, within five years.
    pub bond_wet_5y: f64,
    /// Chance (0 to 1) that liquid water lies at the bond line within five years.
    pub liquid_wet_5y: f64,
    /// Month from now (0 is the month after the visit) in which half of the floors are over.
    pub first_month_half: Option<usize>,
    /// Days from the visit until it is put down.
    pub wait_days: usize,
    /// For a film now: chance that a test at 40 % depth would not allow it today.
    pub test_would_stop: Option<f64>,
    /// What the data sheet or the makers' common terms exclude.
    pub excluded: Option<Exclusion>,
    /// Whether it makes sense on this floor: no drain where one works, or on a floor that is not
    /// below grade; no gutters where they are sound.
    pub makes_sense: bool,
    /// Median humidity at the bond line by month under the finish, with its 1-in-10 ends.
    pub bond_course: Vec<[f64; 3]>,
    /// Chance that it is over its limit at once, before any year.
    at_once: f64,
    /// The same on another day on which the meter is not over its limit.
    at_once_later: f64,
    trials: Vec<Trial>,
    /// Month after the finish in which each sampled floor first has its problem.
    gives_way_in: Vec<Option<usize>>,
}

impl WayOutcome {
    /// Whether it is put down on enough of the sampled floors to tell what becomes of them.
    pub fn is_told(&self) -> bool {
        let table = WayTable::bundled();
        (1.0 - self.not_put_down) * table.floors >= table.fewest_floors
    }
}

impl WayOutcome {
    /// Of each sampled floor: by what share it is put down, and the chance that it then goes over
    /// its own limit within five years, where the meter does not stand over it on that day.
    pub fn on_each_floor(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.trials.iter().map(|it| {
            let fails = if it.over_5y { 1.0 } else { self.at_once_later };
            (it.put_down, fails)
        })
    }
}

/// One sampled floor under one way: by what share it is put down, and whether it then goes over
/// within five years.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Trial {
    put_down: f64,
    over_5y: bool,
}

/// Whether a way makes sense on a floor at all: no drain where one works, in a garage, or for a
/// floor that is not below grade; no gutters and grading where they are sound.
fn makes_sense(visit: &Visit, way: Way) -> bool {
    match way {
        Way::FixOutside => derived_drainage(&visit.lot) != Some(Drainage::Sound),
        Way::FixDrain => {
            visit.lot.sub_drain != Some(SubDrain::Works)
                && known_below_grade(&visit.floor) != Some(false)
                && visit.floor.setting != Some(Setting::Garage)
        }
        Way::FilmNow
        | Way::FilmAfterTest
        | Way::FilmAfterDrying
        | Way::Primer
        | Way::Membrane
        | Way::Breathable
        | Way::LeaveBare
        | Way::Decline => true,
    }
}

/// All ways, and what they say together.
#[derive(Debug, Clone, PartialEq)]
pub struct Ways {
    /// Draws of the sampled floors.
    draws: Vec<usize>,
    /// Whether water stands above the underside of each within five years.
    water: Vec<bool>,
    /// One outcome for each way, in the order of [`Way::ALL`].
    pub outcomes: Vec<WayOutcome>,
    /// Chance that water stands above the underside within five years.
    pub water_above: f64,
    /// The first way that holds, or declining.
    pub preferred: Way,
}

/// What a way is asked about beside the visit.
#[derive(Debug, Clone, Copy, Default)]
pub struct WayInputs<'a> {
    /// A maker's data sheet that takes the place of the generic row of its kind.
    pub sheet: Option<&'a DataSheet>,
}

/// Compares the ways forward.
pub fn compare(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    verdict: &Verdict,
    inputs: WayInputs,
) -> Ways {
    let table = WayTable::bundled();
    let priors = PriorSet::for_visit(visit);
    let place_year = PlaceYear::new(place, priors.below_grade).after(WeatherHad::of(place, visit));
    let sampled = posterior.by(verdict.basis()).sample(table.floors as usize);
    let context = Context {
        visit,
        posterior,
        verdict,
        place_year: &place_year,
        sampled: &sampled,
        inputs,
    };
    let mut outcomes: Vec<WayOutcome> = Vec::new();
    for way in Way::ALL {
        let film = outcomes.iter().find(|it| it.way == Way::FilmNow);
        let outcome = context.of(way, film);
        outcomes.push(outcome);
    }
    let water = water_above(posterior, &sampled, FIVE_YEARS);
    let water_above = water.iter().filter(|it| **it).count() as f64 / water.len() as f64;
    let preferred = preferred(&shares(&outcomes), water_above, verdict);
    let draws = sampled.iter().map(|it| it.draw).collect();
    Ways {
        draws,
        water,
        outcomes,
        water_above,
        preferred,
    }
}

/// What is expected of one way alone, on the very floors that [`compare`] runs it on.
pub fn expected(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    verdict: &Verdict,
    inputs: WayInputs,
    way: Way,
) -> WayOutcome {
    let priors = PriorSet::for_visit(visit);
    let place_year = PlaceYear::new(place, priors.below_grade).after(WeatherHad::of(place, visit));
    let floors = WayTable::bundled().floors as usize;
    let context = Context {
        visit,
        posterior,
        verdict,
        place_year: &place_year,
        sampled: &posterior.by(verdict.basis()).sample(floors),
        inputs,
    };
    let film = goes_under_a_film(way).then(|| context.of(Way::FilmNow, None));
    context.of(way, film.as_ref())
}

/// What is done to a floor that cannot be seen.
type Mend = Box<dyn Fn(&mut FloorParameters)>;

/// What comes before a way is put down: months of the bare floor, and what is mended.
fn before(way: Way, visit: &Visit, test_months: usize) -> (usize, Option<Mend>) {
    let table = WayTable::bundled();
    match way {
        Way::FilmAfterTest => (test_months, None),
        Way::FilmAfterDrying => (
            table.drying_months as usize,
            Some(Box::new(|it: &mut FloorParameters| {
                it.has_machine = true;
                it.machine_l_day = it.machine_l_day.max(table.drying_l_day);
                it.machine_setting = it.machine_setting.min(table.drying_setting);
            })),
        ),
        Way::FixOutside => {
            let most = most_wall_share(visit);
            let sound = Priors::bundled().of("wall_share_most", "sound").value();
            // What is left is the same luck with sound gutters and grading.
            (
                table.fix_wait_months as usize,
                Some(Box::new(move |it: &mut FloorParameters| {
                    it.wall_share = (it.wall_share / most * sound).min(it.wall_share)
                })),
            )
        }
        Way::FixDrain => (
            table.fix_wait_months as usize,
            Some(Box::new(|it: &mut FloorParameters| it.drain_works = true)),
        ),
        _ => (0, None),
    }
}

/// What one floor whose truth is known did under a way.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// Whether it was put down at all, by its condition at the time.
    pub put_down: bool,
    /// Month under the finish (0 is the first) in which it went over its own limit.
    pub gives_way: Option<usize>,
    /// Sixty months under the finish.
    pub months: Vec<MonthAfter>,
}

/// Runs one floor whose truth is known under a way, with `scale` the meter's own. It is put
/// down by its true humidity, since a test of one floor has one outcome.
pub fn try_way(
    way: Way,
    floor: (ForecastFloors, usize),
    place_year: &PlaceYear,
    visit: &Visit,
    wettest_month: u32,
    scale: f64,
) -> Tried {
    let (floors, draw) = floor;
    let limits = super::UsedLimits::of_visit(visit, None);
    let finish = Finish::generic(way.kind());
    let layer = |share: f64| finish.layer_m(share);
    let test_months = months_until(wettest_month, floors.plan.reading_month);
    let (bare_months, parameters) = before(way, visit, test_months);
    let change = Change {
        parameters: parameters.as_deref(),
        bare_months,
        bare_machines: match way {
            Way::FilmAfterDrying => Machines::On,
            _ => floors.plan.machines.after,
        },
        air_layer_m: &layer,
    };
    let one = [Sampled { draw, spread: 0.5 }];
    let course = run_ahead(floors, place_year, &one, change, FIVE_YEARS)
        .pop()
        .expect("one floor went in");
    let probe_limit = match limits.probe_percent {
        Some(percent) => percent / 100.0,
        None if way == Way::FilmAfterTest => WayTable::bundled().test_probe_limit,
        None => 1.0,
    };
    let put_down = way != Way::Decline
        && course.bare.last().is_none_or(|at| {
            let meter = limits
                .meter_percent
                .is_none_or(|it| scale * 100.0 * at.meter_fraction <= it);
            at.probe_humidity <= probe_limit && (meter || way == Way::FilmAfterTest)
        });
    let own = course
        .finished
        .iter()
        .position(|month| gives_way(&finish, month));
    let gives_way = if goes_under_a_film(way) {
        let film = try_way(
            Way::FilmNow,
            (floors, draw),
            place_year,
            visit,
            wettest_month,
            scale,
        );
        later_of(own, film.gives_way)
    } else {
        own
    };
    Tried {
        put_down,
        gives_way,
        months: course.finished,
    }
}

/// Chance that the bare floor goes over its meter limit in a year as wet as one in ten, on the
/// floors that remain; `None` for a held reading or a limit of the calcium chloride test.
pub fn chance_in_a_wet_year(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    verdict: &Verdict,
) -> Option<f64> {
    if verdict.basis() == Basis::Answers || verdict.limits.calcium_chloride_lb.is_some() {
        return None;
    }
    let priors = PriorSet::for_visit(visit);
    let place_year = PlaceYear::new(place, priors.below_grade).after(WeatherHad::of(place, visit));
    let sampled = posterior
        .by(Basis::Readings)
        .sample(WayTable::bundled().floors as usize);
    let wet = |it: &mut FloorParameters| priors.set_next_year(it, ONE_IN_TEN);
    let change = Change {
        parameters: Some(&wet),
        bare_months: 12,
        bare_machines: posterior.plan.machines.after,
        air_layer_m: &|_| 0.0,
    };
    let courses = run_ahead(posterior, &place_year, &sampled, change, 0);
    let over = courses.iter().zip(&sampled).fold(0.0, |sum, (course, it)| {
        let most =
            |value: fn(&MonthAfter) -> f64| course.bare.iter().map(value).fold(0.0, f64::max);
        let scale = posterior.scales[it.draw];
        sum + posterior.over(
            scale,
            Highest {
                meter_fraction: most(|it| it.meter_fraction),
                probe_humidity: most(|it| it.probe_humidity),
                dome_flux: 0.0,
            },
        )
    });
    Some(over / courses.len() as f64)
}

/// Normal score that one year in ten exceeds. Source: abramowitz-stegun, table 26.5.
const ONE_IN_TEN: f64 = 1.281_551_565_544_6;

/// Months from the visit to the end of a calendar month (1 to 12).
fn months_until(month: u32, reading_month: usize) -> usize {
    (month as usize - 1 + 12 - (reading_month + 1) % 12) % 12 + 1
}

fn most_wall_share(visit: &Visit) -> f64 {
    let key = match derived_drainage(&visit.lot) {
        Some(Drainage::Sound) => "sound",
        Some(Drainage::Failing) => "failing",
        None => "unknown",
    };
    Priors::bundled().of("wall_share_most", key).value()
}

/// The first way that holds and is allowed. Where water stands above the underside it is fixed
/// first, if fixing helps at all; the floor is then read again.
fn preferred(shares: &[Share], water_above: f64, verdict: &Verdict) -> Way {
    let table = WayTable::bundled();
    let of = |way: Way| shares.iter().find(|it| it.way == way);
    // Damp air or a leak is no matter for a drain or a gutter.
    let source = verdict.causes.first().map(|it| it.0);
    let from_outside = matches!(
        source,
        Some(Cause::SeasonalWaterTable | Cause::DrainageAtWalls)
    );
    let holds = |it: &&Share| {
        it.chance_5y < it.acceptable && !it.excluded && it.not_put_down < table.rarely_put_down
    };
    let film = of(Way::FilmNow).map_or(1.0, |it| it.chance_5y);
    let outside = of(Way::FixOutside).filter(|it| !it.excluded);
    // Wet along the walls: what brings water to the walls comes first.
    if let Some(outside) = outside.filter(|_| verdict.zone == Some(Zone::Band)) {
        return outside.way;
    }
    // A low floor needs no drain: what is acceptable on it comes first.
    let is_low = verdict.grade == Some(Grade::Low);
    let stands_in_water = water_above >= table.fix_water_first && !is_low;
    // Of a floor that nobody has read, answers must speak clearly before anyone digs.
    let is_known = verdict.has_reading || verdict.grade >= Some(Grade::High);
    if from_outside && is_known && (stands_in_water || verdict.over_now) {
        let best = [Way::FixOutside, Way::FixDrain]
            .into_iter()
            .filter_map(of)
            .filter(|it| !it.excluded)
            .min_by(|a, b| a.chance_5y.total_cmp(&b.chance_5y))
            .filter(|it| it.chance_5y < table.fix_helps * film);
        if let Some(best) = best {
            return best.way;
        }
    }
    let order = if verdict.over_now {
        &[
            Way::FilmAfterDrying,
            Way::Membrane,
            Way::Breathable,
            Way::LeaveBare,
        ][..]
    } else {
        &[
            Way::FilmNow,
            Way::FilmAfterTest,
            Way::FilmAfterDrying,
            Way::Primer,
            Way::Membrane,
            Way::Breathable,
            Way::LeaveBare,
            Way::FixOutside,
            Way::FixDrain,
        ][..]
    };
    order
        .iter()
        .find(|it| of(**it).filter(holds).is_some())
        .copied()
        .unwrap_or(Way::Decline)
}

/// What a choice among the ways looks at.
struct Share {
    way: Way,
    chance_5y: f64,
    not_put_down: f64,
    excluded: bool,
    /// Chance under which it holds.
    acceptable: f64,
}

fn shares(outcomes: &[WayOutcome]) -> Vec<Share> {
    let share = |it: &WayOutcome| Share {
        way: it.way,
        chance_5y: it.chance_5y,
        not_put_down: it.not_put_down,
        excluded: it.excluded.is_some() || !it.makes_sense,
        acceptable: WayTable::bundled().acceptable_5y,
    };
    outcomes.iter().map(share).collect()
}

impl WayOutcome {
    /// Whether it holds by what is known: under the accepted chance, allowed, and put down
    /// on more than a few floors.
    pub fn holds(&self) -> bool {
        let table = WayTable::bundled();
        self.chance_5y < table.acceptable_5y
            && self.excluded.is_none()
            && self.makes_sense
            && self.not_put_down < table.rarely_put_down
    }
}

impl Ways {
    /// Draws of the sampled floors, in the order of [`WayOutcome::on_each_floor`].
    pub fn draws(&self) -> &[usize] {
        &self.draws
    }

    /// What is expected of one way.
    pub fn of(&self, way: Way) -> &WayOutcome {
        self.outcomes
            .iter()
            .find(|it| it.way == way)
            .expect("every way was run")
    }

    /// The way that would be preferred if the sampled floors counted by `weight(draw)`.
    pub fn preferred_if(&self, weight: impl Fn(usize) -> f64, verdict: &Verdict) -> Way {
        let table = WayTable::bundled();
        let weights: Vec<f64> = self.draws.iter().map(|it| weight(*it)).collect();
        let all: f64 = weights.iter().sum();
        if all <= 0.0 {
            return self.preferred;
        }
        let shares: Vec<Share> = self
            .outcomes
            .iter()
            .map(|it| {
                let trials = || it.trials.iter().zip(&weights);
                let put_down =
                    trials().fold(0.0, |sum, (trial, weight)| sum + trial.put_down * weight);
                let over = trials()
                    .filter(|(trial, _)| trial.over_5y)
                    .fold(0.0, |sum, (trial, weight)| sum + trial.put_down * weight);
                let chance = if put_down > 0.0 { over / put_down } else { 0.0 };
                Share {
                    way: it.way,
                    chance_5y: 1.0 - (1.0 - chance) * (1.0 - it.at_once),
                    not_put_down: 1.0 - put_down / all,
                    excluded: it.excluded.is_some() || !it.makes_sense,
                    // What is preferred now keeps its place, and what would take it must hold
                    // clearly: the sample's error alone changes nothing.
                    acceptable: if it.way == self.preferred {
                        table.acceptable_5y + table.way_margin
                    } else {
                        table.acceptable_5y - table.way_margin
                    },
                }
            })
            .collect();
        let water = self
            .water
            .iter()
            .zip(&weights)
            .filter(|(it, _)| **it)
            .fold(0.0, |sum, (_, it)| sum + it);
        preferred(&shares, water / all, verdict)
    }
}

/// What every way needs.
struct Context<'a> {
    visit: &'a Visit,
    posterior: &'a Posterior,
    verdict: &'a Verdict,
    place_year: &'a PlaceYear,
    sampled: &'a [Sampled],
    inputs: WayInputs<'a>,
}

/// Days until the finish is on the floor.
fn wait_days(way: Way, bare_months: usize) -> usize {
    let test = match way {
        Way::FilmAfterTest => WayTable::bundled().test_days,
        _ => 0.0,
    };
    let bare = bare_months as f64 * crate::season::DAYS_PER_YEAR / 12.0;
    (bare + test).round() as usize
}

/// Sampled floors through the years after the finish, each by its share that is finished at all.
struct FinishedYears<'a> {
    courses: &'a [Course],
    /// Share of each floor that is finished, 0 to 1.
    put_down: &'a [f64],
    /// Sum of these shares.
    whole: f64,
}

impl FinishedYears<'_> {
    /// First month after the finish in which each floor is so; `None` where it never is.
    fn first_months(&self, is_so: impl Fn(&MonthAfter) -> bool) -> Vec<Option<usize>> {
        let first = |it: &Course| it.finished.iter().position(&is_so);
        self.courses.iter().map(first).collect()
    }

    /// Share of the finished floors whose month comes within so many; 0 where none is finished.
    fn share_within(&self, months: usize, first: &[Option<usize>]) -> f64 {
        if self.whole <= 0.0 {
            return 0.0;
        }
        first
            .iter()
            .zip(self.put_down)
            .filter(|(it, _)| it.is_some_and(|at| at < months))
            // A sum of nothing is -0 in this language; the start makes it 0.
            .fold(0.0, |sum, (_, share)| sum + share)
            / self.whole
    }

    /// First month by which half of the finished floors are so.
    fn month_of_half(&self, first: &[Option<usize>]) -> Option<usize> {
        (0..FIVE_YEARS).find(|month| {
            let over: f64 = first
                .iter()
                .zip(self.put_down)
                .filter(|(at, _)| at.is_some_and(|at| at <= *month))
                .map(|(_, share)| share)
                .sum();
            self.whole > 0.0 && over >= 0.5 * self.whole
        })
    }

    /// Humidity at the bond line month by month: 10, 50 and 90 of 100 floors are below.
    fn bond_course(&self) -> Vec<[f64; 3]> {
        (0..FIVE_YEARS)
            .filter_map(|month| {
                let mut values: Vec<(f64, f64)> = self
                    .courses
                    .iter()
                    .zip(self.put_down)
                    .filter_map(|(it, share)| {
                        it.finished.get(month).map(|it| (it.bond_humidity, *share))
                    })
                    .collect();
                (!values.is_empty() && self.whole > 0.0).then(|| {
                    crate::odds::posterior::weighted_quantiles(&mut values, [0.1, 0.5, 0.9])
                })
            })
            .collect()
    }
}

impl Context<'_> {
    fn finish(&self, kind: FinishKind) -> Finish {
        match self.inputs.sheet {
            Some(sheet) if sheet.kind == kind => sheet.finish(),
            _ => Finish::generic(kind),
        }
    }

    /// A way's outcome, with what comes before it; `film` is that of the film alone today.
    fn of(&self, way: Way, film: Option<&WayOutcome>) -> WayOutcome {
        if way == Way::Decline {
            return WayOutcome {
                way,
                chance_1y: 0.0,
                chance_2y: 0.0,
                chance_5y: 0.0,
                not_put_down: 1.0,
                bond_wet_5y: 0.0,
                liquid_wet_5y: 0.0,
                first_month_half: None,
                wait_days: 0,
                test_would_stop: None,
                excluded: None,
                makes_sense: true,
                bond_course: Vec::new(),
                at_once: 0.0,
                at_once_later: 0.0,
                trials: Vec::new(),
                gives_way_in: Vec::new(),
            };
        }
        let month = self.posterior.plan.reading_month;
        let test_months = months_until(self.verdict.wettest_month, month);
        let (bare_months, parameters) = before(way, self.visit, test_months);
        let film = film.filter(|_| goes_under_a_film(way));
        self.outcome(way, bare_months, parameters.as_deref(), film)
    }

    fn outcome(
        &self,
        way: Way,
        bare_months: usize,
        parameters: Option<&dyn Fn(&mut FloorParameters)>,
        film: Option<&WayOutcome>,
    ) -> WayOutcome {
        let table = WayTable::bundled();
        let finish = self.finish(way.kind());
        let layer = |share: f64| finish.layer_m(share);
        let machines = match way {
            Way::FilmAfterDrying => Machines::On,
            _ => self.posterior.plan.machines.after,
        };
        let change = Change {
            parameters,
            bare_months,
            bare_machines: machines,
            air_layer_m: &layer,
        };
        let courses = run_ahead(
            self.posterior,
            self.place_year,
            self.sampled,
            change,
            FIVE_YEARS,
        );
        let put_down: Vec<f64> = courses
            .iter()
            .zip(self.sampled)
            .map(|(course, it)| self.put_down(way, course, it))
            .collect();
        let years = FinishedYears {
            courses: &courses,
            put_down: &put_down,
            whole: put_down.iter().sum(),
        };
        let mut fails = years.first_months(|month| gives_way(&finish, month));
        if let Some(film) = film {
            for (own, film) in fails.iter_mut().zip(&film.gives_way_in) {
                *own = later_of(*own, *film);
            }
        }
        let bond_wet = years.first_months(|month| month.bond_humidity >= table.bond_wet);
        let liquid_wet = years.first_months(|month| month.bond_humidity >= table.liquid);
        let at_once = self.at_once(way);
        let now = |chance: f64| 1.0 - (1.0 - chance) * (1.0 - at_once);
        let trials = fails
            .iter()
            .zip(&put_down)
            .map(|(fail, put_down)| Trial {
                put_down: *put_down,
                over_5y: fail.is_some(),
            })
            .collect();
        WayOutcome {
            way,
            chance_1y: now(years.share_within(12, &fails)),
            chance_2y: now(years.share_within(24, &fails)),
            chance_5y: now(years.share_within(FIVE_YEARS, &fails)),
            not_put_down: 1.0 - years.whole / courses.len() as f64,
            bond_wet_5y: years.share_within(FIVE_YEARS, &bond_wet),
            liquid_wet_5y: years.share_within(FIVE_YEARS, &liquid_wet),
            first_month_half: years.month_of_half(&fails).map(|it| it + bare_months),
            wait_days: wait_days(way, bare_months),
            test_would_stop: (way == Way::FilmNow).then(|| self.test_would_stop()),
            excluded: self.excluded(way),
            makes_sense: makes_sense(self.visit, way),
            bond_course: years.bond_course(),
            at_once,
            at_once_later: self.at_once_by_test(way),
            trials,
            gives_way_in: fails,
        }
    }

    /// Share that is over on the day: whatever is put down today with that limit goes over at
    /// once. A limit of the data sheet that was not measured may be over as well.
    fn at_once(&self, way: Way) -> f64 {
        if self.is_over_today(way) {
            return 1.0;
        }
        self.at_once_by_test(way)
    }

    /// Chance that a limit at depth that was not measured today is over.
    fn at_once_by_test(&self, way: Way) -> f64 {
        match (way, depth_limit_percent(self.visit, &self.verdict.limits)) {
            (Way::FilmNow, Some(_)) if !was_done(self.visit, ReadingKind::Probe) => {
                self.test_would_stop()
            }
            _ => 0.0,
        }
    }

    fn is_over_today(&self, way: Way) -> bool {
        self.verdict.over_now && matches!(way, Way::FilmNow)
    }

    /// Chance that a test at 40 % depth would not allow a film today.
    fn test_would_stop(&self) -> f64 {
        let month = self.posterior.plan.reading_month;
        let humidity =
            |it: &Sampled| self.posterior.outcomes[it.draw].reading_year[month].probe_humidity;
        let passes = self
            .sampled
            .iter()
            .fold(0.0, |sum, it| sum + self.passes_test(humidity(it)));
        1.0 - passes / self.sampled.len() as f64
    }

    /// Chance that a floor of this humidity at 40 % depth stays under the limit of the test.
    fn passes_test(&self, probe_humidity: f64) -> f64 {
        let least = WayTable::bundled().test_probe_limit;
        let limit = self
            .verdict
            .limits
            .probe_percent
            .map_or(least, |it| it / 100.0);
        let noise = crate::odds::evidence::EvidenceTable::bundled().probe_noise;
        normal_cdf((limit - probe_humidity) / noise)
    }

    /// Share of one floor on which the way is put down: by its condition at the time.
    fn put_down(&self, way: Way, course: &Course, sampled: &Sampled) -> f64 {
        let Some(at) = course.bare.last() else {
            return 1.0;
        };
        let limits = &self.verdict.limits;
        match way {
            Way::FilmAfterTest => self.passes_test(at.probe_humidity),
            Way::FilmAfterDrying | Way::FixOutside | Way::FixDrain => {
                let probe = depth_limit_percent(self.visit, limits)
                    .is_none_or(|it| at.probe_humidity * 100.0 <= it);
                let meter = match limits.meter_percent {
                    None => 1.0,
                    Some(limit) => {
                        let scale = self.posterior.by(self.verdict.basis()).scale(sampled.draw);
                        normal_cdf((limit / (100.0 * at.meter_fraction) - scale.mean) / scale.sd)
                    }
                };
                if probe { meter } else { 0.0 }
            }
            _ => 1.0,
        }
    }

    fn excluded(&self, way: Way) -> Option<Exclusion> {
        let sheet = self
            .inputs
            .sheet
            .filter(|it| it.kind == way.kind() && way.kind() != FinishKind::Bare)?;
        let floor = &self.visit.floor;
        sheet.excludes.iter().copied().find(|it| match it {
            Exclusion::BelowGrade => known_below_grade(floor) == Some(true),
            Exclusion::OnGrade => known_below_grade(floor) == Some(false),
            Exclusion::NoRetarder => floor.retarder == Some(Retarder::Absent),
            Exclusion::RetarderNotProven => {
                floor.retarder != Some(Retarder::Seen) || floor.retarder_proof.is_none()
            }
            Exclusion::HeatedSlab => floor.heated_slab == Some(true),
            Exclusion::WaterPressure => self.visit.lot.standing_water_5y == Some(true),
        })
    }
}

/// Months of five years.
const FIVE_YEARS: usize = 60;

/// Whether a way is a layer under the film that is put down today.
fn goes_under_a_film(way: Way) -> bool {
    matches!(way, Way::Primer | Way::Membrane)
}

/// A layer under a film has no problem where the film alone has none: being tighter it holds more
/// water under it, but it bears what the film bears.
fn later_of(own: Option<usize>, film: Option<usize>) -> Option<usize> {
    Some(own?.max(film?))
}

/// Whether a finish gives way in a month.
fn gives_way(finish: &Finish, month: &MonthAfter) -> bool {
    let soaked = finish.bond_humidity.map(|it| month.bond_humidity >= it);
    let flooded = finish.water_m.map(|it| month.level_m >= it);
    match (soaked, flooded) {
        (Some(soaked), Some(flooded)) => soaked && flooded,
        (Some(only), None) | (None, Some(only)) => only,
        // A bare floor bears everything but water that stands on it.
        (None, None) => month.shed > 0.0 && month.level_m > 0.0,
    }
}

/// Whether a test of this kind was done already, so that it is not asked for again.
pub fn was_done(visit: &Visit, kind: ReadingKind) -> bool {
    visit
        .readings
        .iter()
        .any(|it| it.kind() == kind && !it.withdrawn)
}
