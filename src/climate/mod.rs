//! The climate of a place: monthly temperature, dew point and precipitation from bundled normals.
//!
//! Gives: [`PlaceQuery::parse`] reads how a person names a place, [`find_place`] turns it into twelve
//! months of climate with the stations behind them and short warnings. The tables are
//! `tables/climate_normals.csv`, `climate_old_stations.csv`, `postal_areas.csv`,
//! `climate_sources.csv` and `climate_rules.csv`.
//!
//! Must never know: floors, visits, grades, files, the date. Angles are degrees and everything else
//! carries its unit in its name; these are plain numbers because two thousand rows of them are data.

mod error;
mod interpolate;
mod place;
mod query;
mod rounded;
mod tables;
mod zone;

pub use error::ClimateError;
pub use place::{Place, find_place, find_place_among, find_place_leaving_out};
pub use query::{PlaceQuery, missing_digit};
pub use rounded::{is_in_canada, to_the_town};
pub use tables::{
    ClimateRules, ClimateSource, NORMALS_TEXT, OLD_STATIONS_TEXT, OldStation, POSTAL_TEXT,
    PostalArea, RULES_TEXT, SOURCES_TEXT, Station, climate_sources, old_stations, parse_normals,
    parse_old_stations, parse_postal_areas, parse_rules, parse_sources, postal_areas, rules,
    source_of_key, stations, write_normals, write_old_stations, write_postal_areas,
};
pub use zone::{ClimateZoneTable, HouseStock, climate_zone, house_stock, parse_house_stock};
