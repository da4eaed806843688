//! What can go wrong between a typed place and its climate.

/// Why a place or a climate table could not be used, and what to do about it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ClimateError {
    /// Nothing was typed.
    #[error("the place is empty; {ACCEPTED_FORMS}")]
    Empty,

    /// It is no code, position or station id.
    #[error("place \"{given}\" is not understood; {ACCEPTED_FORMS}{hint}")]
    NotUnderstood {
        /// As typed.
        given: String,
        /// Stations of that name or what may have been meant; empty where nothing comes to mind.
        hint: String,
    },

    /// A ZIP code that has lost a digit: its leading zero, as in a spreadsheet, or another one.
    #[error("ZIP code \"{given}\" has four digits, a ZIP code has five\n  {hint}")]
    FourDigits {
        /// As typed.
        given: String,
        /// Which digit is likely missing, and what to type.
        hint: String,
    },

    /// A position beyond the poles, once around the globe, or at a height where nobody lives.
    #[error("position \"{given}\": {what} {value} is outside {low} to {high}{hint}")]
    OutsideRange {
        /// As typed.
        given: String,
        /// `latitude`, `longitude` or `height`.
        what: &'static str,
        /// The number: degrees north, degrees east, or m above sea level.
        value: f64,
        /// Lowest value taken.
        low: f64,
        /// Highest value taken.
        high: f64,
        /// What to do about it.
        hint: &'static str,
    },

    /// The postal table has no such area.
    #[error(
        "postal code {given}: its area {prefix} is not in the table, which has the ZIP areas of the fifty states, \
         DC, Puerto Rico and the islands, and Canadian codes; military and single-firm codes have no place\n  \
         check the code, or give latitude,longitude such as 44.48,-73.21"
    )]
    UnknownPostal {
        /// As typed.
        given: String,
        /// The first characters that the table was asked for.
        prefix: String,
    },

    /// The area is so wide that it has no one climate.
    #[error(
        "postal code {given}: the table knows it only as area {prefix}, which reaches {spread_km:.0} km from its \
         middle and has no one climate; areas up to {limit_km:.0} km are taken\n  \
         give latitude,longitude such as 44.48,-73.21, or a station id"
    )]
    AreaTooWide {
        /// As typed.
        given: String,
        /// The area that the table knows.
        prefix: String,
        /// From the middle of the area to its farthest code, km.
        spread_km: f64,
        /// Widest area that is taken, km.
        limit_km: f64,
    },

    /// No station has this id.
    #[error(
        "station \"{given}\" is not in the table; accepted is an id of tables/climate_normals.csv, such as \
         USW00014742\n  give a ZIP code or latitude,longitude instead, and the nearest stations are found"
    )]
    UnknownStation {
        /// As typed.
        given: String,
    },

    /// No station is near enough to speak for the place.
    #[error(
        "{label} is {distance_km:.0} km from the nearest weather station of the table, {station_id} {station_name}; \
         the table speaks for places within {limit_km:.0} km\n  \
         give the id of a station with a similar climate, or a latitude,longitude nearer to one{hint}"
    )]
    TooFar {
        /// The place, as it is told.
        label: String,
        /// Distance to the nearest station, km.
        distance_km: f64,
        /// Id of that station.
        station_id: String,
        /// Name of that station.
        station_name: String,
        /// Farthest distance that is taken, km.
        limit_km: f64,
        /// What may have been meant, such as a longitude without its minus.
        hint: &'static str,
    },

    /// A table of the climate cannot be read.
    #[error("{table}, line {line}: {problem}")]
    Table {
        /// Name of the table.
        table: &'static str,
        /// Line of the table, from 1.
        line: u64,
        /// What is wrong in it.
        problem: String,
    },
}

/// The forms a place may be typed in; every error about the form ends with it.
const ACCEPTED_FORMS: &str = "accepted are a ZIP code (05401) or its first three digits (054), a Canadian postal \
                              code (V5K 0A1) or its first half (V5K), latitude,longitude in degrees (44.48,-73.21) with or \
                              without a height in meters (44.48,-73.21,105), or a station id (USW00014742)";
