//! Measured wells by month, for truths that the program's water balance has no part in.

use slabseason::climate::Place;
use slabseason::units::table_rows;
use std::sync::LazyLock;

/// A row of the table of wells.
#[derive(serde::Deserialize)]
pub struct WellRow {
    latitude: f64,
    longitude: f64,
    m01: f64,
    m02: f64,
    m03: f64,
    m04: f64,
    m05: f64,
    m06: f64,
    m07: f64,
    m08: f64,
    m09: f64,
    m10: f64,
    m11: f64,
    m12: f64,
}

static WELLS: LazyLock<Vec<WellRow>> = LazyLock::new(|| {
    table_rows(include_str!("../../tests/published/shallow_wells.csv"))
        .expect("the table of wells is read by its own check")
});

/// All wells.
pub fn wells() -> &'static [WellRow] {
    &WELLS
}

impl WellRow {
    /// Above the mean of the year, m.
    pub fn months(&self) -> [f64; 12] {
        [
            self.m01, self.m02, self.m03, self.m04, self.m05, self.m06, self.m07, self.m08,
            self.m09, self.m10, self.m11, self.m12,
        ]
        .map(|it| it / 1_000.0)
    }

    /// From a place, km.
    fn km_from(&self, place: &Place) -> f64 {
        let north = 111.2 * (self.latitude - place.latitude_deg);
        let shrink = place.latitude_deg.to_radians().cos();
        let east = 111.2 * shrink * (self.longitude - place.longitude_deg);
        north.hypot(east)
    }
}

/// Wells no further than this speak for a place, km.
const NEAR_KM: f64 = 600.0;
/// So many of them.
const NEAR: usize = 8;

/// The nearest wells of a place; none where there are too few.
pub fn near(place: &Place) -> Option<Vec<&'static WellRow>> {
    let mut all: Vec<&WellRow> = WELLS.iter().collect();
    all.sort_by(|a, b| a.km_from(place).total_cmp(&b.km_from(place)));
    all.truncate(NEAR);
    all.iter()
        .all(|it| it.km_from(place) <= NEAR_KM)
        .then_some(all)
}
