//! What the tool believes about a place before anyone says anything of a house.

use super::seasons::{WetSeasons, wet_seasons};
use crate::climate::Place;
use crate::odds::evidence::Seasons;
use crate::odds::forcing::PlaceYear;
use crate::odds::parameters::PriorSet;
use crate::odds::posterior::{Ahead, Basis, Effort, Limits, posterior};
use crate::odds::water_year::highest_of_years;
use crate::survey::{PlaceName, Setting, Visit};
use chrono::NaiveDate;

/// Twelve months of a place. Means of the air; middle numbers of an ordinary basement.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacePrior {
    /// January first.
    pub months: Vec<MonthBelief>,
    /// Calendar months (0 to 11) in which the place's ground is wettest and driest.
    pub seasons: Seasons,
    /// Water from below and damp air, told apart, on the plain basement floors of the place.
    pub wet_seasons: WetSeasons,
    /// Shares of plain basement floors that are over 5 % in their wettest month.
    pub plain_floor_over: f64,
}

/// One month.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonthBelief {
    /// Mean outdoor temperature, °C.
    pub mean_c: f64,
    /// Mean outdoor dew point, °C.
    pub dew_point_c: f64,
    /// Rain and snow of the month, mm of water.
    pub precipitation_mm: f64,
    /// Potential evapotranspiration of the month by Hamon's formula, mm.
    pub evapotranspiration_mm: f64,
    /// Snow that melts in the month, mm of water.
    pub snow_melt_mm: f64,
    /// Water that the soil cannot hold and passes on downward in the month, mm.
    pub surplus_mm: f64,
    /// Water table above its mean of a usual year, m; negative below it.
    pub rise_m: f64,
    /// Ground temperature in mid-month at the depth of a basement slab, °C.
    pub ground_c: f64,
    /// Temperature of the slab's surface, mean over plain floors, °C.
    pub slab_c: f64,
    /// Share of plain floors whose underside is wetted.
    pub wet_from_below: f64,
    /// Share of plain floors that sweat, or whose surface the air brings to 95 % and more.
    pub sweating: f64,
}

/// Draws behind the shares.
const DRAWS: usize = 512;

/// A visit on which nothing is known but that it is a basement.
pub fn unasked_visit(date: NaiveDate) -> Visit {
    let mut visit = Visit {
        visit_date: date,
        label: None,
        answered_by: None,
        place: PlaceName::Postal(String::new()),
        floor: Default::default(),
        lot: Default::default(),
        signs: Default::default(),
        air: Default::default(),
        weather: Default::default(),
        readings: Vec::new(),
        limit: Default::default(),
    };
    visit.floor.setting = Some(Setting::Basement);
    visit
}

/// A visit for what hangs on the place alone.
fn of_no_house() -> Visit {
    unasked_visit(NaiveDate::from_ymd_opt(2025, 12, 15).expect("a day of the calendar"))
}

/// Chance (0 to 1) that the ground water of a place stands highest in each month of a single
/// year, January first, for a lot of which nothing is known; sums to 1.
pub fn water_highest(place: &Place) -> [f64; 12] {
    highest_of_years(
        &PlaceYear::new(place, true),
        &PriorSet::for_visit(&of_no_house()),
    )
}

/// Works out what is believed of a place.
pub fn place_prior(place: &Place) -> PlacePrior {
    let visit = of_no_house();
    let priors = PriorSet::for_visit(&visit);
    let year = PlaceYear::new(place, true);
    let middle = priors.middle();
    let balance = year.balance(&middle);
    let usual_mm = balance.iter().map(|it| it.ground_mm).sum::<f64>() / 12.0;
    let limits = Limits {
        meter_percent: Some(super::GradeTable::bundled().default_meter_percent),
        probe_humidity: None,
        dome_flux: None,
    };
    let effort = Effort {
        round: DRAWS,
        most: DRAWS,
        enough: 0.0,
        ahead: Ahead::NextYear,
    };
    let floors = posterior(place, &visit, limits, effort);
    let share = |test: &dyn Fn(&crate::odds::simulate::Snapshot) -> bool, month: usize| {
        floors
            .outcomes
            .iter()
            .zip(&floors.before.weights)
            .filter(|(it, _)| test(&it.next_year[month]))
            .map(|(_, weight)| weight)
            .sum::<f64>()
    };
    let ground = year.ground(middle.ground_diffusivity);
    let months = (0..12)
        .map(|month| {
            let day = (month as f64 + 0.5) * crate::season::DAYS_PER_YEAR / 12.0;
            let slab_c = floors
                .outcomes
                .iter()
                .map(|it| it.surface_c[month])
                .sum::<f64>()
                / DRAWS as f64;
            MonthBelief {
                mean_c: place.mean_c[month],
                dew_point_c: place.dew_point_c[month],
                precipitation_mm: place.precipitation_mm[month],
                evapotranspiration_mm: year.evapotranspiration_mm[month],
                snow_melt_mm: balance[month].melt_mm,
                surplus_mm: balance[month].surplus_mm,
                rise_m: (balance[month].ground_mm - usual_mm) / (1_000.0 * middle.specific_yield),
                ground_c: ground.at(day),
                slab_c,
                wet_from_below: share(&|it| it.contact > 0.1, month),
                sweating: share(
                    &|it| {
                        it.flux <= 0.0
                            && (it.shed > 0.0
                                || it.surface_humidity
                                    > super::GradeTable::bundled().air_wet_humidity)
                    },
                    month,
                ),
            }
        })
        .collect();
    PlacePrior {
        months,
        seasons: floors.seasons.clone(),
        wet_seasons: wet_seasons(floors.by(Basis::Answers)),
        plain_floor_over: floors.exceedance_before(),
    }
}
