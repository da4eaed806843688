//! Chances, grade, score, wet season, causes.
//!
//! Numbers and names only: what is said about them is for `words` and `report`.

pub mod answer_effects;
pub mod card;
mod causes;
pub mod drying;
pub mod finish;
pub mod next;
pub mod place_prior;
mod questions;
pub mod return_visit;
mod score;
pub mod seasons;
pub mod today;
pub mod walls;
pub mod ways;
pub mod young;
pub mod zones;

pub use causes::{Cause, cause_of, causes, from_below};
pub use questions::{CoreQuestion, OpenQuestion, QUESTIONS, given_answers, open_questions};
pub use score::{Score, ScoreLine, decibans};

use crate::climate::Place;
use crate::odds::evidence::Zone;
use crate::odds::first_round::{FirstRound, KeptRounds, RoundKey};
use crate::odds::posterior::{self, Ahead, Basis, Effort, FULL, Limits, Otherwise, Posterior};
use crate::odds::simulate::Pump;
use crate::odds::view::View;
use crate::rules::{self, Gate, GateTable, Refusal};
use crate::survey::{Drainage, ReadingValue, Visit, derived_drainage};
use crate::units::{MoistureFlux, RelHumidity};
use chrono::Datelike;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

crate::named_table! {
    /// Edges of the grades and the score, from `tables/grades.csv`.
    GradeTable from "grades.csv" {
        low_below,
        moderate_below,
        high_below,
        mostly_one_side,
        hard_to_weigh,
        very_likely_from,
        grade_margin,
        from_below_doubt,
        wet_season_within,
        score_even,
        score_per_tenfold,
        least_chance,
        default_meter_percent,
        model_error_content,
        from_below_flux,
        least_chance_of_a_line,
        construction_months,
        contact_counts,
        wetting_days,
        wetting_share,
        wetting_unasked,
        firm_low,
        air_wet_humidity,
        no_season_months,
        few_effective,
        leak_worth_naming,
        card_same_grade,
        card_least_percent,
        card_sign_share,
        card_far_apart,
        sweats_on,
        season_share,
        damp_season_share,
        season_least_chance,
        season_least_over,
        season_least_swing_m,
        season_negligible,
        air_threatens,
        season_outweighs,
        season_told_from,
        return_spots,
        settled_low,
        settled_high,
        return_month_margin,
        return_least_open,
        air_damp_humidity,
    }
}

/// How likely the wettest month goes over the limit.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Chance under `low_below` of `tables/grades.csv`.
    Low,
    /// Chance from there up to `moderate_below`.
    Moderate,
    /// Chance from there up to `high_below`.
    High,
    /// Chance of `high_below` and more.
    VeryHigh,
}

impl Grade {
    /// The grade of a chance (0 to 1).
    pub fn of_chance(chance: f64) -> Self {
        let table = GradeTable::bundled();
        if chance < table.low_below {
            Grade::Low
        } else if chance < table.moderate_below {
            Grade::Moderate
        } else if chance < table.high_below {
            Grade::High
        } else {
            Grade::VeryHigh
        }
    }

    /// Whether a chance (0 to 1) lies outside this grade by more than a margin:
    /// what only just crosses an edge changes no grade.
    pub fn is_left_by(self, chance: f64) -> bool {
        let margin = GradeTable::bundled().grade_margin;
        [chance - margin, chance, chance + margin]
            .iter()
            .all(|it| Self::of_chance(*it) != self)
    }
}

/// What lifted the grade above what the chance alone would give.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Raise {
    /// Darkening in the wet season was reported.
    SpringDarkening,
    /// Water stood on the floor within five years.
    StandingWater,
}

/// Why a low grade is only "so far".
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum OpenPoint {
    /// Fewer spots were read than `spots_wanted` of the gates.
    FewSpots,
    /// No reading can be weighed.
    NoReading,
    /// Gutters, downspouts or grading are failing.
    DrainageTrouble,
    /// Darkening in the wet season was reported.
    Darkening,
    /// No data sheet gave the limit: that of common practice stands in.
    ProvisionalLimit,
    /// The band along the walls reads wetter than the rest.
    BandNearWalls,
    /// One of the six core questions is not answered.
    CoreQuestionOpen,
}

/// One month of the next year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonthAhead {
    /// 1 to 12.
    pub month: u32,
    /// One floor in ten reads under this in the month, percent by mass on the meter's scale.
    pub reading_p10: f64,
    /// Middle reading of the month, percent by mass on the meter's scale.
    pub reading_p50: f64,
    /// One floor in ten reads over this in the month, percent by mass on the meter's scale.
    pub reading_p90: f64,
    /// Median pore humidity of the surface, a fraction.
    pub surface_humidity_p50: f64,
    /// Mean share of the underside that is wetted.
    pub wet_contact_mean: f64,
    /// Rain and snow of the normals, mm of water.
    pub precipitation_mm: f64,
    /// Middle level of the water table, m above the slab's underside.
    pub water_table_m: f64,
}

/// The chance with one thing otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// What is otherwise: `machine_off`, `other_calibration`, `pump_runs` or `pump_fails`.
    pub id: &'static str,
    /// Chance (0 to 1) of going over the limit in the next year, with that so.
    pub chance: f64,
}

/// What one answer moved.
#[derive(Debug, Clone, PartialEq)]
pub struct AnswerWeight {
    /// The visit file's path of the question, such as `lot.position`.
    pub question: &'static str,
    /// The answer in the visit file's words.
    pub answer: String,
    /// What it moved, in decibans (ten of them are ten times the odds); below 0 toward dry.
    pub decibans: f64,
}

/// Everything that is concluded of one visit.
#[derive(Debug, Clone)]
pub struct Verdict {
    /// The limits that chances are told of.
    pub limits: UsedLimits,
    /// Why there is no estimate at all, where that is so.
    pub refusal: Option<Refusal>,
    /// Every reason why the reading is not graded; empty where it may be.
    pub gates: Vec<Gate>,
    /// The reading is not explained by climate and answers. On the high side the estimate by the
    /// answers alone is known to be wrong: by the reading alone most such floors are over.
    pub unexplained: Option<Unexplained>,
    /// No grade, chance or score is told: a gate, a refusal, or a reading that does not fit.
    pub held: bool,
    /// A reading is weighed; withdrawn and unusable ones do not count.
    pub has_reading: bool,
    /// A reading of the newest date is over its limit.
    pub over_now: bool,
    /// The grade, raised where a sign calls for it; `None` when held.
    pub grade: Option<Grade>,
    /// What raised the grade above that of the chance.
    pub raised_by: Vec<Raise>,
    /// What a low grade leaves open; with any of them it is only low so far.
    pub open_points: Vec<OpenPoint>,
    /// Chance (0 to 1) that the next year's wettest reading is over the limit; `None` when held.
    pub chance: Option<f64>,
    /// Chance (0 to 1) that any of the next five years is; `None` when held.
    pub chance_five_years: Option<f64>,
    /// Chance (0 to 1) of the next year by the answers alone, as before the reading.
    pub chance_before: f64,
    /// Grade of that chance.
    pub grade_before: Grade,
    /// The points; `None` when held and where only chances or ways were asked for.
    pub score: Option<Score>,
    /// Calendar month to watch, 1 to 12: that of the season that threatens.
    pub wettest_month: u32,
    /// Calendar months of the season that threatens, 1 to 12.
    pub wet_season: Vec<u32>,
    /// Chance (0 to 1) that the wettest month comes from below rather than from the air.
    pub from_below: f64,
    /// Water from below and damp air, told apart.
    pub seasons: seasons::WetSeasons,
    /// The next year by calendar month, January first.
    pub months: Vec<MonthAhead>,
    /// Chance (0 to 1) of each source of moisture, largest first; they sum to one.
    pub causes: Vec<(Cause, f64)>,
    /// What each given answer moved; empty unless everything was asked for.
    pub answers: Vec<AnswerWeight>,
    /// The chance with one thing otherwise; empty unless everything was asked for.
    pub sensitivity: Vec<Sensitivity>,
    /// Calendar months (1 to 12) in which the slab sweats on enough of the floors.
    pub sweating_months: Vec<u32>,
    /// The ways forward; none when refused.
    pub ways: Option<ways::Ways>,
    /// The way that is being quoted.
    pub quoted: ways::Way,
    /// What is expected of that way, where it was run without the others.
    pub quoted_alone: Option<ways::WayOutcome>,
    /// What to ask, test or wait for next.
    pub next: Vec<next::NextStep>,
    /// Chance of going over in a 1-in-10 wet year.
    pub chance_wet_year: Option<f64>,
    /// Of a slab in its first year.
    pub first_year: Option<young::FirstYear>,
    /// The day on which a floor that is over its limit today is read again, where waiting tells
    /// something.
    pub read_again: Option<chrono::NaiveDate>,
    /// What is told of a floor that is over its limit today.
    pub over_today: Option<today::OverToday>,
    /// What the open floor and the band along the walls would be, each alone.
    pub along_walls: Option<walls::AlongWalls>,
    /// What one more reading is worth in each month; for graded floors with all detail.
    pub second_reading: Option<return_visit::ReturnVisit>,
    /// Chance (0 to 1) that the darkest patch goes over the limit in the next year, where darkening
    /// was answered or a spot stands out.
    pub patch_chance: Option<f64>,
    /// Where on the floor it is wet, by three spots or more.
    pub zones: Option<zones::ZoneOdds>,
    /// Readings that are weighed stand out near the walls or at one spot.
    pub zone: Option<Zone>,
    /// Versions of the floor that were simulated.
    pub draws: usize,
    /// Equally weighted versions that the weights are worth; under 200 the chance is rough.
    pub effective_draws: f64,
    /// Shape of the tail of the weights; above 0.7 they are not to be trusted.
    pub k_hat: f64,
    /// Two-sided chance (0 to 1) of so odd a reading on floors with these answers; `None` without
    /// a reading.
    pub reading_p_value: Option<f64>,
}

/// Which side of what the answers explain the reading lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unexplained {
    /// It reads wetter than they explain: another source of water.
    High,
    /// It reads drier than they explain: a sealer, the wrong spot, or the meter.
    Low,
}

/// The limit in use and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct UsedLimits {
    /// Most that a meter may read, percent by mass.
    pub meter_percent: Option<f64>,
    /// Highest relative humidity at 40 % depth (ASTM F2170), percent.
    pub probe_percent: Option<f64>,
    /// Most vapor given off (ASTM F1869), lb per 1000 ft2 in 24 h.
    pub calcium_chloride_lb: Option<f64>,
    /// Who gave the limit, as typed, with the data sheet's name; `None` where nobody did.
    pub source: Option<String>,
    /// No data sheet: the limit of common practice stands in.
    pub provisional: bool,
}

impl UsedLimits {
    /// The meter limit that stands in where no data sheet is known, percent by mass.
    pub fn common_percent() -> f64 {
        GradeTable::bundled().default_meter_percent
    }

    /// The stricter of the visit's limits and those of the data sheet; without either the meter
    /// limit of common practice.
    pub fn of_visit(visit: &Visit, sheet: Option<&finish::DataSheet>) -> Self {
        let mut limit = visit.limit.clone();
        if let Some(sheet) = sheet {
            // Where both tell a limit the stricter one holds.
            let stricter = |given: Option<f64>, of_sheet: Option<f64>| match (given, of_sheet) {
                (Some(given), Some(of_sheet)) => Some(given.min(of_sheet)),
                (given, of_sheet) => given.or(of_sheet),
            };
            let before = limit.clone();
            limit.meter_percent = stricter(limit.meter_percent, sheet.meter_percent);
            limit.probe = stricter(limit.probe.map(|it| it.percent()), sheet.probe_rh)
                .and_then(|it| RelHumidity::from_percent(it).ok());
            limit.calcium_chloride_lb =
                stricter(limit.calcium_chloride_lb, sheet.calcium_chloride_lb);
            if limit != before || limit.source.is_none() {
                limit.source = Some(match &limit.source {
                    Some(source) => format!("{source}; {}", sheet.name),
                    None => sheet.name.clone(),
                });
            }
        }
        let none = limit.meter_percent.is_none()
            && limit.probe.is_none()
            && limit.calcium_chloride_lb.is_none();
        Self {
            meter_percent: if none {
                Some(GradeTable::bundled().default_meter_percent)
            } else {
                limit.meter_percent
            },
            probe_percent: limit.probe.map(|it| it.percent()),
            calcium_chloride_lb: limit.calcium_chloride_lb,
            source: limit.source,
            provisional: none,
        }
    }

    fn for_odds(&self) -> Limits {
        Limits {
            meter_percent: self.meter_percent,
            probe_humidity: self.probe_percent.map(|it| it / 100.0),
            dome_flux: self
                .calcium_chloride_lb
                .map(|it| it * MoistureFlux::POUND_PER_1000_FT2_DAY),
        }
    }
}

/// How much is worked out beside the chances.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// Chances, grade and months.
    Chances,
    /// Also the way that is quoted, which the headline may be of.
    Headline,
    /// Also the ways forward and a wet year.
    Ways,
    /// Also the score, what each answer moved, and the sensitivities.
    Everything,
}

/// What is asked of a visit beside its chances.
#[derive(Debug, Clone, Copy)]
pub struct Request<'a> {
    /// What is worked out beside the chances.
    pub detail: Detail,
    /// How many versions are drawn, and how many years ahead they are run.
    pub effort: Effort,
    /// The way that is being quoted.
    pub quoted: ways::Way,
    /// The data sheet of the system quoted.
    pub sheet: Option<&'a finish::DataSheet>,
    /// A first round that visits share, for the next year alone: not where all ways are compared.
    pub first: Option<&'a FirstRound>,
}

impl Default for Request<'_> {
    fn default() -> Self {
        Self {
            detail: Detail::Everything,
            effort: FULL,
            quoted: ways::Way::FilmNow,
            sheet: None,
            first: None,
        }
    }
}

/// Stands for the first round of a visit; visits with equal keys can share it.
pub fn round_key(place: &Place, visit: &Visit, sheet: Option<&finish::DataSheet>) -> RoundKey {
    let limits = UsedLimits::of_visit(visit, sheet).for_odds();
    FirstRound::key(place, visit, limits)
}

/// The first round of a visit, for [`Request::first`].
pub fn first_round(
    place: &Place,
    visit: &Visit,
    sheet: Option<&finish::DataSheet>,
    kept: &KeptRounds,
) -> FirstRound {
    let limits = UsedLimits::of_visit(visit, sheet).for_odds();
    FirstRound::draw(place, visit, limits, kept)
}

/// Concludes a visit at its place.
pub fn conclude(place: &Place, visit: &Visit, detail: Detail) -> Verdict {
    answer(
        place,
        visit,
        Request {
            detail,
            ..Request::default()
        },
    )
    .0
}

/// [`conclude`] with an effort of one's own, and the versions of the floor behind it.
pub fn conclude_with(
    place: &Place,
    visit: &Visit,
    detail: Detail,
    effort: Effort,
) -> (Verdict, Posterior) {
    answer(
        place,
        visit,
        Request {
            detail,
            effort,
            ..Request::default()
        },
    )
}

/// Everything that is asked of a visit, and the versions of the floor behind it.
pub fn answer(place: &Place, visit: &Visit, request: Request) -> (Verdict, Posterior) {
    let limits = UsedLimits::of_visit(visit, request.sheet);
    let posterior = match request.first {
        Some(first) => posterior::posterior_from(place, visit, limits.for_odds(), first),
        None => posterior::posterior(place, visit, limits.for_odds(), request.effort),
    };
    answer_drawn(place, visit, request, posterior)
}

/// [`answer`] by floors that were drawn for the same visit, by the same effort but for the years
/// ahead: those that are missing are run.
pub fn answer_drawn(
    place: &Place,
    visit: &Visit,
    request: Request,
    drawn: Posterior,
) -> (Verdict, Posterior) {
    let limits = UsedLimits::of_visit(visit, request.sheet);
    let posterior = match request.effort.ahead {
        Ahead::NextYear => drawn,
        Ahead::FiveYears => drawn.through_five_years(),
    };
    let mut verdict = graded(place, visit, &posterior, limits, request.quoted);
    match request.detail {
        Detail::Chances => {}
        // Of a held reading no risk is told.
        Detail::Headline if verdict.held => {}
        Detail::Headline => {
            let inputs = ways::WayInputs {
                sheet: request.sheet,
            };
            let way = request.quoted;
            let quoted = ways::expected(place, visit, &posterior, &verdict, inputs, way);
            verdict.quoted_alone = Some(quoted);
        }
        Detail::Ways | Detail::Everything => {
            compared(place, visit, &posterior, request, &mut verdict);
        }
    }
    (verdict, posterior)
}

/// Gates, chances, grade, seasons and causes; options and what to do next come after.
fn graded(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    limits: UsedLimits,
    quoted: ways::Way,
) -> Verdict {
    let mut gates = rules::gates(visit);
    let refusal = rules::refusal(visit, place);
    let first_year = match refusal {
        None => young::first_year(place, visit, posterior, &limits),
        Some(_) => None,
    };
    if let Some(first_year) = &first_year {
        young::hold(&mut gates, visit, &limits, first_year);
    }
    let has_reading = !posterior.observations.is_empty();
    let any_reading = visit.readings.iter().any(|it| !it.withdrawn);
    let unexplained = (!posterior.is_explained()).then_some(if posterior.reading_is_high {
        Unexplained::High
    } else {
        Unexplained::Low
    });
    let held = !gates.is_empty()
        || unexplained.is_some()
        || refusal.is_some()
        || (any_reading && !has_reading);

    let chance_before = posterior.exceedance_before();
    let chance = (!held).then(|| posterior.exceedance());
    // What is shown for a held reading is the estimate by answers alone.
    let view = posterior.by(if held {
        Basis::Answers
    } else {
        Basis::Readings
    });
    let months = months_ahead(place, view);
    let seasons = seasons::wet_seasons(view);
    let (wettest_month, wet_season) = threatening(&seasons, &months);
    let from_below = from_below(view);
    let over_now = is_over_now(visit, &limits);
    let (grade, raised_by) = match chance {
        Some(chance) => {
            let by_chance = Grade::of_chance(chance);
            raised(visit, &limits, &wet_season, by_chance, from_below)
        }
        None => (None, Vec::new()),
    };
    let zones = zones::zone_odds(visit);
    let zone = posterior::stands_out(&posterior.observations);
    let read_again = (over_now && refusal.is_none())
        .then(|| today::day_to_read(visit, view, &gates, zone))
        .flatten();
    Verdict {
        refusal,
        gates,
        unexplained,
        held,
        has_reading,
        over_now,
        grade,
        raised_by,
        open_points: open_points(visit, posterior, &limits, chance, chance_before),
        chance,
        chance_five_years: (!held).then(|| posterior.exceedance_five_years()),
        chance_before,
        grade_before: Grade::of_chance(chance_before),
        score: None,
        wettest_month,
        wet_season,
        from_below,
        seasons,
        causes: causes(view, visit, over_now, zones.as_ref()),
        answers: Vec::new(),
        sensitivity: Vec::new(),
        sweating_months: sweating_months(view),
        zone,
        draws: posterior.outcomes.len(),
        effective_draws: posterior.effective_draws,
        k_hat: posterior.after.k_hat,
        reading_p_value: posterior.reading_p_value,
        ways: None,
        quoted,
        quoted_alone: None,
        next: Vec::new(),
        chance_wet_year: None,
        first_year,
        read_again,
        over_today: None,
        along_walls: None,
        second_reading: None,
        patch_chance: posterior.patch_exceedance().filter(|_| !held),
        zones,
        months,
        limits,
    }
}

/// Options compared, what to do next, and what a floor over its limit today may be.
fn compared(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    request: Request,
    verdict: &mut Verdict,
) {
    let effort = request.effort;
    if verdict.refusal.is_some() {
        return;
    }
    let inputs = ways::WayInputs {
        sheet: request.sheet,
    };
    let compared = ways::compare(place, visit, posterior, verdict, inputs);
    verdict.chance_wet_year = ways::chance_in_a_wet_year(place, visit, posterior, verdict);
    verdict.second_reading =
        (!verdict.held).then(|| return_visit::worth_of_return(posterior.by(verdict.basis())));
    if request.detail == Detail::Everything {
        score::explain(place, visit, posterior, verdict, effort);
        verdict.sensitivity = sensitivities(place, visit, posterior, verdict);
        verdict.next = next::next_steps(place, visit, posterior, verdict, &compared, effort);
    }
    verdict.ways = Some(compared);
    if request.detail == Detail::Everything {
        verdict.along_walls = walls::along_walls(place, visit, verdict, &verdict.limits, effort);
    }
    if verdict.over_now {
        verdict.over_today = Some(today::over_today(
            visit,
            posterior.by(verdict.basis()),
            &verdict.gates,
            verdict.ways.as_ref(),
            verdict.zone,
        ));
    }
}

/// The month and the season to watch: those of the season that threatens; where there is none,
/// the month of the highest middle reading and those close to it.
fn threatening(seasons: &seasons::WetSeasons, months: &[MonthAhead]) -> (u32, Vec<u32>) {
    if let Some(month) = seasons.month_to_test {
        return (month, seasons.threatening().to_vec());
    }
    let worst = months
        .iter()
        .max_by(|a, b| a.reading_p50.total_cmp(&b.reading_p50))
        .expect("twelve months were made");
    let least = worst.reading_p50 - GradeTable::bundled().wet_season_within;
    let close = months.iter().filter(|it| it.reading_p50 >= least);
    (worst.month, close.map(|it| it.month).collect())
}

fn months_ahead(place: &Place, view: View) -> Vec<MonthAhead> {
    let (posterior, weights) = (view.posterior, view.weights());
    // Month by month from columns: the versions themselves lie far apart in memory.
    let draws = weights.len();
    let mut columns: [Vec<NextMonth>; 12] = std::array::from_fn(|_| Vec::with_capacity(draws));
    for outcome in &posterior.outcomes {
        for (month, column) in columns.iter_mut().enumerate() {
            let at = &outcome.next_year[month];
            column.push(NextMonth {
                meter_fraction: at.meter_fraction,
                surface_humidity: at.surface_humidity,
                contact: at.contact,
                level_m: outcome.next_level_m[month],
            });
        }
    }
    columns
        .iter()
        .enumerate()
        .map(|(month, column)| {
            let [reading_p10, reading_p50, reading_p90] =
                view.reading_quantiles(|draw| 100.0 * column[draw].meter_fraction, [0.1, 0.5, 0.9]);
            let median = |value: fn(&NextMonth) -> f64| view.median(|draw| value(&column[draw]));
            MonthAhead {
                month: month as u32 + 1,
                reading_p10,
                reading_p50,
                reading_p90,
                surface_humidity_p50: median(|it| it.surface_humidity),
                wet_contact_mean: weights
                    .iter()
                    .zip(column)
                    .map(|(weight, at)| weight * at.contact)
                    .sum(),
                precipitation_mm: place.precipitation_mm[month],
                water_table_m: median(|it| it.level_m),
            }
        })
        .collect()
}

/// What a month ahead is told from, of one version.
struct NextMonth {
    meter_fraction: f64,
    surface_humidity: f64,
    contact: f64,
    level_m: f64,
}

/// Months in which the share `sweats_on` of the floors sheds water that the air brings.
fn sweating_months(view: View) -> Vec<u32> {
    (0..12)
        .filter(|month| {
            let share: f64 = view
                .posterior
                .outcomes
                .iter()
                .zip(view.weights())
                .filter(|(outcome, _)| {
                    let at = &outcome.next_year[*month];
                    at.shed > 0.0 && at.flux < 0.0
                })
                .map(|(_, weight)| weight)
                .sum();
            share >= GradeTable::bundled().sweats_on
        })
        .map(|month| month as u32 + 1)
        .collect()
}

/// Whether a reading of the newest date is over its limit now.
fn is_over_now(visit: &Visit, limits: &UsedLimits) -> bool {
    let newest = visit
        .readings
        .iter()
        .filter(|it| !it.withdrawn)
        .map(|it| it.date)
        .max();
    visit
        .readings
        .iter()
        .filter(|it| !it.withdrawn && Some(it.date) == newest)
        .any(|it| match it.value {
            ReadingValue::Meter(percent) => {
                crate::odds::evidence::is_usable(it)
                    && limits.meter_percent.is_some_and(|limit| percent > limit)
            }
            ReadingValue::Probe(humidity) => limits
                .probe_percent
                .is_some_and(|limit| humidity.percent() > limit),
            ReadingValue::CalciumChloride(pounds) => limits
                .calcium_chloride_lb
                .is_some_and(|limit| pounds > limit),
            ReadingValue::Sheet(damp) => damp,
        })
}

/// The grade after what must lift it.
fn raised(
    visit: &Visit,
    limits: &UsedLimits,
    wet_season: &[u32],
    grade: Grade,
    from_below: f64,
) -> (Option<Grade>, Vec<Raise>) {
    let mut by = Vec::new();
    let mut floor = grade;
    if visit.signs.spring_darkening == Some(true) && !is_cleared(visit, limits, wet_season) {
        let least = if from_below < GradeTable::bundled().from_below_doubt {
            Grade::Moderate
        } else {
            Grade::High
        };
        if floor < least {
            floor = least;
            by.push(Raise::SpringDarkening);
        }
    }
    if visit.lot.standing_water_5y == Some(true) && grade < Grade::High {
        floor = floor.max(Grade::High);
        by.push(Raise::StandingWater);
    }
    (Some(floor), by)
}

/// Whether an F2170 or F1869 test in the wet season stayed under its limit: then darkening
/// alone does not lift the grade.
fn is_cleared(visit: &Visit, limits: &UsedLimits, wet_season: &[u32]) -> bool {
    let table = ways::WayTable::bundled();
    let probe = limits
        .probe_percent
        .unwrap_or(100.0 * table.test_probe_limit);
    let pounds = limits
        .calcium_chloride_lb
        .unwrap_or(table.test_flux_limit_lb);
    visit
        .readings
        .iter()
        .filter(|it| !it.withdrawn && wet_season.contains(&it.date.month()))
        .any(|it| match it.value {
            ReadingValue::Probe(humidity) => humidity.percent() <= probe,
            ReadingValue::CalciumChloride(read) => read <= pounds,
            ReadingValue::Meter(_) | ReadingValue::Sheet(_) => false,
        })
}

/// What a low grade has to wait for. Where the chance is far under the edge of low, before the
/// reading as after it, an answer that is not known counts as the model has weighed it: at its
/// worst too.
fn open_points(
    visit: &Visit,
    posterior: &Posterior,
    limits: &UsedLimits,
    chance: Option<f64>,
    chance_before: f64,
) -> Vec<OpenPoint> {
    let firm = GradeTable::bundled().firm_low;
    let is_firm = chance.is_some_and(|it| it < firm) && chance_before < firm;
    let mut out = Vec::new();
    let spots: usize = posterior.observations.iter().map(|it| it.spots).sum();
    if spots == 0 {
        out.push(OpenPoint::NoReading);
    } else if (spots as f64) < GateTable::bundled().spots_wanted {
        out.push(OpenPoint::FewSpots);
    }
    if derived_drainage(&visit.lot) == Some(Drainage::Failing) {
        out.push(OpenPoint::DrainageTrouble);
    }
    if visit.signs.spring_darkening == Some(true) {
        out.push(OpenPoint::Darkening);
    }
    if limits.provisional && !is_firm {
        out.push(OpenPoint::ProvisionalLimit);
    }
    if posterior::stands_out(&posterior.observations) == Some(Zone::Band) {
        out.push(OpenPoint::BandNearWalls);
    }
    let any_open = CoreQuestion::ALL
        .iter()
        .any(|it| it.answer(visit).is_none());
    if any_open && !is_firm {
        out.push(OpenPoint::CoreQuestionOpen);
    }
    out
}

/// The chance with one thing otherwise: the machine off, the other meter calibration, the
/// pump failing.
fn sensitivities(
    place: &Place,
    visit: &Visit,
    posterior: &Posterior,
    verdict: &Verdict,
) -> Vec<Sensitivity> {
    let mut out = Vec::new();
    let chance_of = |it: &Posterior| it.by(verdict.basis()).exceedance();
    if posterior.plan.machines.after == crate::slab::Machines::On
        && visit.air.dehumidifier == Some(crate::survey::Dehumidifier::Running)
    {
        let without =
            posterior::posterior_otherwise(posterior, place, visit, Otherwise::MachineOff);
        out.push(Sensitivity {
            id: "machine_off",
            chance: chance_of(&without),
        });
    }
    if verdict.limits.meter_percent.is_some() {
        let other = posterior.with_saturation_content(GradeTable::bundled().model_error_content);
        out.push(Sensitivity {
            id: "other_calibration",
            chance: match verdict.basis() {
                Basis::Answers => other.0,
                Basis::Readings => other.1,
            },
        });
    }
    // The grade is that of a pump that fails; the chance while it runs stands beside it.
    if posterior.plan.pump == Pump::Fails {
        let running = posterior::posterior_otherwise(posterior, place, visit, Otherwise::PumpRuns);
        out.push(Sensitivity {
            id: "pump_runs",
            chance: chance_of(&running),
        });
        out.push(Sensitivity {
            id: "pump_fails",
            chance: chance_of(posterior),
        });
    }
    out
}
