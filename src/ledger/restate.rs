//! A floor told anew with the readings that came since.

use crate::survey::{Draft, FieldError, Raw, Reading, Visit, Weather, set_field};
use chrono::NaiveDate;

/// Later readings of one day and one instrument, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LaterReadings {
    /// Not before the visit.
    pub day: NaiveDate,
    /// Word of the test, such as `meter`.
    pub kind: String,
    /// Word of the meter's scale, such as `percent`.
    pub scale: String,
    /// The mark on the meter; nothing for the one that was used last.
    pub meter: Option<String>,
    /// One for each spot.
    pub readings: Vec<LaterReading>,
}

/// One of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LaterReading {
    /// What the instrument showed, with or without its unit.
    pub value: String,
    /// Name of the spot.
    pub spot: Option<String>,
    /// Distance to the nearest wall with its unit, such as "8 ft".
    pub wall_distance: Option<String>,
}

impl LaterReadings {
    /// The readings, checked as those of a visit file are.
    ///
    /// # Errors
    ///
    /// Each field that is not taken, with what is accepted.
    pub fn checked(&self, visit: &Visit) -> Result<Vec<Reading>, Vec<FieldError>> {
        let last_meter = || {
            let mut newest_first = visit.readings.iter().rev();
            newest_first.find_map(|it| it.meter_id.clone())
        };
        let meter = self.meter.clone().or_else(last_meter);
        let mut draft = Draft::from(&Visit {
            visit_date: visit.visit_date.max(self.day),
            readings: Vec::new(),
            ..visit.clone()
        });
        for (at, it) in self.readings.iter().enumerate() {
            let mut set = |leaf: &str, text: &str| {
                let path = format!("reading.{}.{leaf}", at + 1);
                set_field(&mut draft, &path, &Raw::Text(text.to_string())).map_err(|it| vec![it])
            };
            set("date", &self.day.to_string())?;
            set("kind", &self.kind)?;
            set("value", &it.value)?;
            if self.kind == "meter" {
                set("scale", &self.scale)?;
                if let Some(meter) = &meter {
                    set("meter_id", meter)?;
                }
            }
            if let Some(spot) = &it.spot {
                set("spot", spot)?;
            }
            if let Some(distance) = &it.wall_distance {
                set("wall_distance", distance)?;
            }
        }
        Ok(draft.finish()?.readings)
    }
}

/// The visit with later readings. What was true of the day of the visit alone does not move
/// with it: the air, the rain of the months before it, water on the floor. Days since something
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
        // Months of the calendar stay what they were.
        res.weather = Weather {
            months: res.weather.months.take(),
            ..Weather::default()
        };
        let later = |it: Option<f64>| it.map(|before| before + days);
        res.floor.last_wetted_days = later(res.floor.last_wetted_days);
        res.floor.cover_removed_days = later(res.floor.cover_removed_days);
    }
    res.readings.extend(readings.iter().cloned());
    res
}
