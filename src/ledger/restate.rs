//! A floor told anew with the readings that came since.

use crate::survey::{Reading, Visit};

/// The visit with later readings. What was true of the day of the visit alone does not move
/// with it: the air, the weather of the last months, water on the floor. Days since something
/// was done grow.
pub fn restated(visit: &Visit, readings: &[Reading]) -> Visit {
    let mut res = visit.clone();
    let newest = readings.iter().map(|it| it.date).max();
    if let Some(day) = newest.filter(|it| *it > visit.visit_date) {
        let days = (day - visit.visit_date).num_days() as f64;
        res.visit_date = day;
        res.air.temp = None;
        res.air.relative_humidity = None;
        res.air.slab_temp = None;
        res.signs.water_now = None;
        res.lot.lately = None;
        res.weather = Default::default();
        let later = |it: Option<f64>| it.map(|before| before + days);
        res.floor.last_wetted_days = later(res.floor.last_wetted_days);
        res.floor.cover_removed_days = later(res.floor.cover_removed_days);
    }
    res.readings.extend(readings.iter().cloned());
    res
}
