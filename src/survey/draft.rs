//! A visit that is still being filled in.

use super::raw::{Raw, float, tidy};
use super::visit::*;
use crate::units::Meters;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// A visit that is still being filled in. `None` is "not answered" or "not sure".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Draft {
    pub visit_date: Option<NaiveDate>,
    pub label: Option<String>,
    pub answered_by: Option<AnsweredBy>,
    pub postal: Option<String>,
    pub latitude: Option<f64>,
    pub longitude: Option<f64>,
    pub elevation: Option<Meters>,
    pub station: Option<String>,
    pub floor: Floor,
    pub lot: Lot,
    pub signs: Signs,
    pub air: Air,
    pub weather: Weather,
    pub months_had: Vec<MonthHad>,
    pub readings: Vec<ReadingDraft>,
    pub limit: Limit,
    /// Which spelling of a field was given, by the path it is saved under.
    pub(super) spelled: BTreeMap<String, String>,
}

/// A reading that is still being filled in. Its value waits for the kind and the scale.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadingDraft {
    pub date: Option<NaiveDate>,
    pub kind: Option<ReadingKind>,
    pub value: Option<Raw>,
    pub scale: Option<MeterScale>,
    pub meter_id: Option<String>,
    pub meter_checked: Option<bool>,
    pub spot: Option<String>,
    pub wall_distance: Option<Meters>,
    pub x: Option<Meters>,
    pub y: Option<Meters>,
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
            months_had: visit.months_had.clone(),
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
