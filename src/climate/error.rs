//! What can go wrong between a typed place and its climate.

/// Why a place or a climate table could not be used, and what to do about it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ClimateError {
    #[error("the place is empty; {ACCEPTED_FORMS}")]
    Empty,

    #[error("place \"{given}\" is not understood; {ACCEPTED_FORMS}{hint}")]
    NotUnderstood { given: String, hint: String },

    #[error(
        "ZIP code \"{given}\" has four digits, a ZIP code has five\n  if you meant {likely}, type the leading zero"
    )]
    MissingLeadingZero { given: String, likely: String },

    #[error("position \"{given}\": {what} {value} is outside {low} to {high}{hint}")]
    OutsideRange {
        given: String,
        what: &'static str,
        value: f64,
        low: f64,
        high: f64,
        hint: &'static str,
    },

    #[error(
        "postal code {given}: its area {prefix} is not in the table, which has the ZIP areas of the fifty states, \
         DC, Puerto Rico and the islands, and Canadian codes; military and single-firm codes have no place\n  \
         check the code, or give latitude,longitude such as 44.48,-73.21"
    )]
    UnknownPostal { given: String, prefix: String },

    #[error(
        "postal code {given}: the table knows it only as area {prefix}, which reaches {spread_km:.0} km from its \
         middle and has no one climate; areas up to {limit_km:.0} km are taken\n  \
         give latitude,longitude such as 44.48,-73.21, or a station id"
    )]
    AreaTooWide {
        given: String,
        prefix: String,
        spread_km: f64,
        limit_km: f64,
    },

    #[error(
        "station \"{given}\" is not in the table; accepted is an id of tables/climate_normals.csv, such as \
         USW00014742\n  give a ZIP code or latitude,longitude instead, and the nearest stations are found"
    )]
    UnknownStation { given: String },

    #[error(
        "{label} is {distance_km:.0} km from the nearest weather station of the table, {station_id} {station_name}; \
         the table speaks for places within {limit_km:.0} km\n  \
         give the id of a station with a like climate, or a latitude,longitude nearer to one{hint}"
    )]
    TooFar {
        label: String,
        distance_km: f64,
        station_id: String,
        station_name: String,
        limit_km: f64,
        hint: &'static str,
    },

    #[error("{table}, line {line}: {problem}")]
    Table {
        table: &'static str,
        line: u64,
        problem: String,
    },
}

/// The forms a place may be typed in; every error about the form ends with it.
const ACCEPTED_FORMS: &str = "accepted are a ZIP code (05401) or its first three digits (054), a Canadian postal \
                              code (V5K 0A1) or its first half (V5K), latitude,longitude in degrees (44.48,-73.21) with or \
                              without a height in meters (44.48,-73.21,105), or a station id (USW00014742)";
