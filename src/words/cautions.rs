//! Which cautions a visit calls for.

use crate::climate::is_in_canada;
use crate::rules::GateTable;
use crate::survey::{
    Finished, Leak, PriorCoating, ReadingKind, Surface, Visit, WaterNow, construction_year,
};

/// The key of a caution for a country: rules of the United States are none in Canada.
pub fn caution_of(key: &'static str, is_canada: bool) -> &'static str {
    match key {
        "caution.silica" if is_canada => "caution.silica.ca",
        "caution.asbestos" if is_canada => "caution.asbestos.ca",
        "caution.lead" if is_canada => "caution.lead.ca",
        _ => key,
    }
}

/// Keys of the cautions, in a fixed order. Not knowing counts as yes. `place` is the label of the
/// place, which tells the country.
pub fn cautions(visit: &Visit, place: &str) -> Vec<&'static str> {
    let is_canada = is_in_canada(place);
    let keys = keys(visit);
    keys.into_iter()
        .map(|it| caution_of(it, is_canada))
        .collect()
}

fn keys(visit: &Visit) -> Vec<&'static str> {
    let year = construction_year(&visit.floor);
    let table = GateTable::bundled();
    let old = |until: f64| year.is_none_or(|it| f64::from(it) <= until);
    let floor = &visit.floor;
    let drills = visit
        .readings
        .iter()
        .any(|it| matches!(it.kind(), ReadingKind::Probe | ReadingKind::CalciumChloride))
        || floor.retarder.is_none();
    let mut out = Vec::new();
    if visit.signs.water_now == Some(WaterNow::Standing) || visit.lot.leak == Some(Leak::Sewer) {
        out.push("caution.water_power");
    }
    if drills || floor.tendons == Some(true) || floor.heated_slab == Some(true) {
        out.push("caution.locate");
    }
    out.push("caution.silica");
    let coverings =
        matches!(floor.surface, Some(Surface::Covered)) || floor.cover_removed_days.is_some();
    if old(table.asbestos_until)
        && (coverings || floor.surface.is_none() || floor.finished != Some(Finished::No))
    {
        out.push("caution.asbestos");
    }
    if old(table.lead_paint_until) && floor.prior_coating != Some(PriorCoating::NoCoating) {
        out.push("caution.lead");
    }
    if visit.air.dehumidifier.is_some() || visit.air.heated == Some(true) {
        out.push("caution.combustion");
    }
    if visit.lot.standing_water_5y == Some(true) || visit.signs.damp_crack == Some(true) {
        out.push("caution.professional");
    }
    if visit.lot.sump.is_some() || floor.retarder.is_none() {
        out.push("caution.radon");
    }
    out.push("caution.coating");
    out
}
