//! A visit that is still being filled in.

use super::raw::{Raw, float, tidy};
use super::visit::*;
use crate::units::Meters;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// A visit that is still being filled in. `None` is "not answered" or "not sure".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Draft {
    /// Day of the visit.
    pub visit_date: Option<NaiveDate>,
    /// Job number or the like; no person's name.
    pub label: Option<String>,
    /// Who gave the answers.
    pub answered_by: Option<AnsweredBy>,
    /// ZIP code or Canadian postal code, or its first characters, as typed.
    pub postal: Option<String>,
    /// Degrees, north positive, -90 to 90.
    pub latitude: Option<f64>,
    /// Degrees, east positive, -180 to 180.
    pub longitude: Option<f64>,
    /// Height of the house above sea level, beside a position.
    pub elevation: Option<Meters>,
    /// Id of a weather station of the bundled table.
    pub station: Option<String>,
    /// The slab and what lies on and under it.
    pub floor: Floor,
    /// The lot, its drainage, and water that came in.
    pub lot: Lot,
    /// What can be seen or smelled.
    pub signs: Signs,
    /// The air of the basement and what dries, heats or cools it.
    pub air: Air,
    /// The weather of the months before the visit.
    pub weather: Weather,
    /// Readings in the order they were entered.
    pub readings: Vec<ReadingDraft>,
    /// The moisture limit of the system being quoted.
    pub limit: Limit,
    /// Which spelling of a field was given, by the path it is saved under.
    pub(super) spelled: BTreeMap<String, String>,
}

/// A reading that is still being filled in. Its value waits for the kind and the scale.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadingDraft {
    /// Day it was taken.
    pub date: Option<NaiveDate>,
    /// How it was taken.
    pub kind: Option<ReadingKind>,
    /// As it was given: percent by mass, percent RH, lb per 1000 ft2 in 24 h, or yes and no.
    pub value: Option<Raw>,
    /// The scale a meter was on.
    pub scale: Option<MeterScale>,
    /// Which meter; readings of one meter share its scale.
    pub meter_id: Option<String>,
    /// The meter was checked on its check block.
    pub meter_checked: Option<bool>,
    /// Name of the spot, such as A1.
    pub spot: Option<String>,
    /// Distance to the nearest outside wall.
    pub wall_distance: Option<Meters>,
    /// Distance from the left wall of the sketch.
    pub x: Option<Meters>,
    /// Distance from the lower wall of the sketch.
    pub y: Option<Meters>,
    /// Kept and printed, not used.
    pub withdrawn: bool,
}

impl ReadingDraft {
    /// Whether it says enough to be a reading.
    pub fn is_whole(&self) -> bool {
        self.kind.is_some() && self.value.is_some()
    }

    /// Whether nothing was given, as in the empty cells of a wide table.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl From<&Visit> for Draft {
    fn from(visit: &Visit) -> Self {
        let mut draft = Draft {
            visit_date: Some(visit.visit_date),
            label: visit.label.clone(),
            answered_by: visit.answered_by,
            floor: visit.floor.clone(),
            lot: visit.lot.clone(),
            signs: visit.signs.clone(),
            air: visit.air.clone(),
            weather: visit.weather.clone(),
            limit: visit.limit.clone(),
            ..Draft::default()
        };
        match &visit.place {
            PlaceName::Postal(postal) => draft.postal = Some(postal.clone()),
            PlaceName::Station(station) => draft.station = Some(station.clone()),
            PlaceName::Position {
                latitude,
                longitude,
                elevation,
            } => {
                draft.latitude = Some(*latitude);
                draft.longitude = Some(*longitude);
                draft.elevation = *elevation;
            }
        }
        draft.readings = visit
            .readings
            .iter()
            .map(|it| ReadingDraft {
                date: Some(it.date),
                kind: Some(it.kind()),
                value: Some(match it.value {
                    ReadingValue::Meter(value) | ReadingValue::CalciumChloride(value) => {
                        float(value)
                    }
                    ReadingValue::Probe(humidity) => float(tidy(humidity.percent())),
                    ReadingValue::Sheet(damp) => Raw::Bool(damp),
                }),
                scale: it.scale,
                meter_id: it.meter_id.clone(),
                meter_checked: it.meter_checked,
                spot: it.spot.clone(),
                wall_distance: it.wall_distance,
                x: it.x,
                y: it.y,
                withdrawn: it.withdrawn,
            })
            .collect();
        draft
    }
}
