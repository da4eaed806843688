//! Which cautions a visit calls for.

use crate::survey::{
    Finished, Leak, PriorCoating, ReadingKind, Surface, Visit, WaterNow, construction_year,
};

/// Last year in which lead paint was sold for houses. Source: 40 CFR 745.
const LEAD_PAINT_UNTIL: i32 = 1977;
/// Last year in which asbestos in tile and glue is likely.
/// Source: common practice, no source: mostly before the middle of the 1980s.
const ASBESTOS_UNTIL: i32 = 1986;

/// Keys of the cautions, in a fixed order. Not knowing counts as yes.
pub fn cautions(visit: &Visit) -> Vec<&'static str> {
    let year = construction_year(&visit.floor);
    let old = |until: i32| year.is_none_or(|it| it <= until);
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
    if old(ASBESTOS_UNTIL)
        && (coverings || floor.surface.is_none() || floor.finished != Some(Finished::No))
    {
        out.push("caution.asbestos");
    }
    if old(LEAD_PAINT_UNTIL) && floor.prior_coating != Some(PriorCoating::NoCoating) {
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
