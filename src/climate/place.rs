//! From a named place to its twelve months.

use super::error::ClimateError;
use super::interpolate::{
    Neighbor, Point, mean_depression_k, mean_precipitation_mm, mean_temperature_c, neighborhood,
};
use super::query::{PlaceQuery, check_position, postal_code, station_id_as_in_table};
use super::tables::{
    ClimateRules, PostalArea, Station, old_stations, postal_areas, rules, source_of_key, stations,
};

/// A place with its climate, and what that climate rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// "05401, near Burlington, VT".
    pub label: String,
    /// Degrees, north positive.
    pub latitude_deg: f64,
    /// Degrees, east positive.
    pub longitude_deg: f64,
    /// As given, or as estimated for the postal area; `None` when nobody knows.
    pub elevation_m: Option<f64>,
    /// The station that counts most.
    pub station_id: String,
    /// "Burlington, VT".
    pub station_name: String,
    /// From the place to that station, km.
    pub distance_km: f64,
    /// Place minus station.
    pub elevation_difference_m: Option<f64>,
    /// Stations of temperature and precipitation with their shares, heaviest first; the shares add up to one.
    pub stations_used: Vec<(String, f64)>,
    /// Mean temperature by calendar month, January first, °C.
    pub mean_c: [f64; 12],
    /// Rain and snow by calendar month, January first, mm of water.
    pub precipitation_mm: [f64; 12],
    /// Never above `mean_c`.
    pub dew_point_c: [f64; 12],
    /// The years that the stations used were read in.
    pub period: String,
    /// Short sentences for the reader; empty when there is nothing to warn of.
    pub warnings: Vec<String>,
}

/// The climate of a place.
///
/// # Example
///
/// ```
/// use slabseason::climate::{PlaceQuery, find_place};
///
/// let place = find_place(&PlaceQuery::parse("05401")?)?;
/// assert_eq!(place.station_id, "USW00014742");
/// # Ok::<(), slabseason::climate::ClimateError>(())
/// ```
pub fn find_place(query: &PlaceQuery) -> Result<Place, ClimateError> {
    find(query, None)
}

/// The climate of a place as if the table did not have one of its stations.
///
/// This is for checks: what the other stations say about a station, against what was read there.
pub fn find_place_leaving_out(query: &PlaceQuery, station_id: &str) -> Result<Place, ClimateError> {
    find(query, Some(station_id))
}

/// The climate of a position from stations of another table, for makers and checks.
pub fn find_place_among(
    among: &[Station],
    latitude_deg: f64,
    longitude_deg: f64,
    elevation_m: Option<f64>,
) -> Result<Place, ClimateError> {
    let label = format!("{latitude_deg}, {longitude_deg}");
    check_position(&label, latitude_deg, longitude_deg, elevation_m)?;
    let point = Point {
        latitude_deg,
        longitude_deg,
        elevation_m,
    };
    let height = HeightKnowledge::of_position(elevation_m);
    place_of_point(among, &label, point, height, Vec::new(), None)
}

fn find(query: &PlaceQuery, left_out: Option<&str>) -> Result<Place, ClimateError> {
    match query {
        PlaceQuery::Station(given) => place_of_station(given, left_out),
        PlaceQuery::Position {
            latitude_deg,
            longitude_deg,
            elevation_m,
        } => {
            let label = format!("{latitude_deg}, {longitude_deg}");
            check_position(&label, *latitude_deg, *longitude_deg, *elevation_m)?;
            let point = Point {
                latitude_deg: *latitude_deg,
                longitude_deg: *longitude_deg,
                elevation_m: *elevation_m,
            };
            place_of_point(
                stations(),
                &label,
                point,
                HeightKnowledge::of_position(*elevation_m),
                Vec::new(),
                left_out,
            )
        }
        PlaceQuery::Postal(given) => place_of_postal(given, left_out),
    }
}

/// How the height of the place is known, which decides what is worth a warning.
#[derive(Debug, Clone, Copy, PartialEq)]
enum HeightKnowledge {
    Given,
    EstimatedForArea,
    Unknown,
}

impl HeightKnowledge {
    fn of_position(elevation_m: Option<f64>) -> Self {
        if elevation_m.is_some() {
            Self::Given
        } else {
            Self::Unknown
        }
    }
}

fn place_of_postal(given: &str, left_out: Option<&str>) -> Result<Place, ClimateError> {
    let code = postal_code(given)?.ok_or_else(|| ClimateError::NotUnderstood {
        given: given.trim().to_string(),
        hint: String::new(),
    })?;
    let mut warnings = Vec::new();
    let area = match area_of_prefix(&code.prefix) {
        Some(area) => area,
        None => {
            // Digits have no such fallback: the first digit of a ZIP code spans several states.
            let letter = &code.prefix[..1];
            let area = area_of_prefix(letter).ok_or_else(|| ClimateError::UnknownPostal {
                given: code.typed.clone(),
                prefix: code.prefix.clone(),
            })?;
            warnings.push(format!(
                "{} is not in the postal table. The position is the center of all codes that begin with {letter}, \
                 which is very rough; give latitude,longitude instead.",
                code.prefix
            ));
            area
        }
    };
    if area.spread_km > rules().spread_refusal_km {
        return Err(ClimateError::AreaTooWide {
            given: code.typed,
            prefix: area.prefix.clone(),
            spread_km: area.spread_km,
            limit_km: rules().spread_refusal_km,
        });
    }
    if area.spread_km > rules().spread_warning_km {
        warnings.push(format!(
            "Postal area {} reaches {:.0} km from its center; latitude,longitude is more exact.",
            area.prefix, area.spread_km
        ));
    }
    let point = Point {
        latitude_deg: area.latitude_deg,
        longitude_deg: area.longitude_deg,
        elevation_m: area.elevation_m,
    };
    let knowledge = if area.elevation_m.is_some() {
        HeightKnowledge::EstimatedForArea
    } else {
        HeightKnowledge::Unknown
    };
    place_of_point(
        stations(),
        &code.typed,
        point,
        knowledge,
        warnings,
        left_out,
    )
}

fn area_of_prefix(prefix: &str) -> Option<&'static PostalArea> {
    let areas = postal_areas();
    areas
        .binary_search_by(|it| it.prefix.as_str().cmp(prefix))
        .ok()
        .map(|at| &areas[at])
}

fn place_of_station(given: &str, left_out: Option<&str>) -> Result<Place, ClimateError> {
    let unknown = || ClimateError::UnknownStation {
        given: given.trim().to_string(),
    };
    let id = station_id_as_in_table(given.trim())
        .filter(|it| left_out != Some(it))
        .ok_or_else(unknown)?;
    let Some(station) = stations().iter().find(|it| it.id == id) else {
        return place_of_old_id(&id, left_out).unwrap_or_else(|| Err(unknown()));
    };
    let mut warnings = Vec::new();
    let dew_point_c = match station.dew_point_c {
        // The source lets a dew point exceed the mean by rounding; a place never does.
        Some(months) => std::array::from_fn(|month| months[month].min(station.mean_c[month])),
        None => {
            let point = Point {
                latitude_deg: station.latitude_deg,
                longitude_deg: station.longitude_deg,
                elevation_m: station.elevation_m,
            };
            let (depression_k, nearest, nearest_km) =
                depression_around(stations(), point, left_out, rules());
            warnings.push(format!(
                "{} has no dew point data; it comes from nearby stations, the nearest of them {}, \
                 {nearest_km:.0} km away.",
                station.id,
                name_of(nearest)
            ));
            std::array::from_fn(|month| station.mean_c[month] - depression_k[month])
        }
    };
    Ok(Place {
        label: format!("{}, {}", station.id, name_of(station)),
        latitude_deg: station.latitude_deg,
        longitude_deg: station.longitude_deg,
        elevation_m: station.elevation_m,
        station_id: station.id.clone(),
        station_name: name_of(station),
        distance_km: 0.0,
        elevation_difference_m: station.elevation_m.map(|_| 0.0),
        stations_used: vec![(station.id.clone(), 1.0)],
        mean_c: station.mean_c,
        precipitation_mm: station.precipitation_mm,
        dew_point_c,
        period: period_of(station).to_string(),
        warnings,
    })
}

/// The climate where a station of an earlier table stood, from the stations of today.
fn place_of_old_id(id: &str, left_out: Option<&str>) -> Option<Result<Place, ClimateError>> {
    let old = old_stations().iter().find(|it| it.id == id)?;
    let point = Point {
        latitude_deg: old.latitude_deg,
        longitude_deg: old.longitude_deg,
        elevation_m: old.elevation_m,
    };
    let label = format!("{}, {}, {}", old.id, old.name, old.admin);
    let height = HeightKnowledge::of_position(old.elevation_m);
    Some(place_of_point(
        stations(),
        &label,
        point,
        height,
        Vec::new(),
        left_out,
    ))
}

fn place_of_point(
    among: &[Station],
    label: &str,
    point: Point,
    height: HeightKnowledge,
    mut warnings: Vec<String>,
    left_out: Option<&str>,
) -> Result<Place, ClimateError> {
    let rules = rules();
    let around = neighborhood(stations_but(among, left_out), point, rules)
        .expect("the table has stations enough that one left out leaves some");
    if around.nearest_km > rules.refuse_beyond_km {
        let looks_eastern = point.longitude_deg > 0.0 && point.latitude_deg > 0.0;
        return Err(ClimateError::TooFar {
            label: label.to_string(),
            distance_km: around.nearest_km,
            station_id: around.nearest.id.clone(),
            station_name: name_of(around.nearest),
            limit_km: rules.refuse_beyond_km,
            hint: if looks_eastern {
                "\n  longitudes west of Greenwich are negative: 44.48,-73.21"
            } else {
                ""
            },
        });
    }
    let main = around.neighbors[0];
    let mean_c = mean_temperature_c(&around.neighbors, rules);
    let (depression_k, dew_point_station, dew_point_km) =
        depression_around(among, point, left_out, rules);

    warnings.extend(distance_warning(&main, rules));
    warnings.extend(height_warning(&around.neighbors, point, height, rules));
    if dew_point_km > rules.refuse_beyond_km {
        warnings.push(format!(
            "The nearest station with dew point data is {}, {dew_point_km:.0} km away, so humidity is approximate here.",
            name_of(dew_point_station)
        ));
    }
    Ok(Place {
        label: format!("{label}, near {}", name_of(main.station)),
        latitude_deg: point.latitude_deg,
        longitude_deg: point.longitude_deg,
        elevation_m: point.elevation_m,
        station_id: main.station.id.clone(),
        station_name: name_of(main.station),
        distance_km: main.distance_km,
        elevation_difference_m: main.height_difference_m,
        stations_used: around
            .neighbors
            .iter()
            .map(|it| (it.station.id.clone(), it.weight))
            .collect(),
        mean_c,
        precipitation_mm: mean_precipitation_mm(&around.neighbors),
        dew_point_c: std::array::from_fn(|month| mean_c[month] - depression_k[month]),
        period: periods_of(&around.neighbors),
        warnings,
    })
}

/// The dew point depression, with the nearest station it comes from.
fn depression_around<'a>(
    among: &'a [Station],
    point: Point,
    left_out: Option<&str>,
    rules: &ClimateRules,
) -> ([f64; 12], &'a Station, f64) {
    let with_dew_point = stations_but(among, left_out).filter(|it| it.dew_point_c.is_some());
    let around = neighborhood(with_dew_point, point, rules)
        .expect("most stations of the table have a dew point");
    (
        mean_depression_k(&around.neighbors, rules),
        around.nearest,
        around.nearest_km,
    )
}

fn stations_but<'a>(
    among: &'a [Station],
    left_out: Option<&str>,
) -> impl Iterator<Item = &'a Station> {
    among
        .iter()
        .filter(move |it| left_out != Some(it.id.as_str()))
}

fn distance_warning(main: &Neighbor, rules: &ClimateRules) -> Option<String> {
    (main.distance_km > rules.distance_warning_km).then(|| {
        format!(
            "The main station, {}, is {:.0} km away, so treat the monthly values as approximate.",
            name_of(main.station),
            main.distance_km
        )
    })
}

fn height_warning(
    neighbors: &[Neighbor],
    point: Point,
    height: HeightKnowledge,
    rules: &ClimateRules,
) -> Option<String> {
    let heavy = neighbors
        .iter()
        .filter(|it| it.weight >= rules.height_warning_share);
    let heights_m = heavy.filter_map(|it| it.station.elevation_m);
    let (lowest_m, highest_m) = heights_m.fold((f64::INFINITY, f64::NEG_INFINITY), |res, it| {
        (res.0.min(it), res.1.max(it))
    });
    let is_hilly = highest_m - lowest_m > rules.height_warning_m;
    let difference_m = neighbors[0].height_difference_m.unwrap_or(0.0);
    match height {
        HeightKnowledge::Unknown if is_hilly => Some(format!(
            "The elevation of this place is not known, and nearby stations are between {lowest_m:.0} and \
             {highest_m:.0} m: give latitude,longitude,elevation in meters."
        )),
        HeightKnowledge::EstimatedForArea if is_hilly => Some(format!(
            "The elevation of this place is taken as {:.0} m, and nearby stations are between {lowest_m:.0} and \
             {highest_m:.0} m: give latitude,longitude,elevation in meters if that is wrong.",
            point.elevation_m.unwrap_or(0.0)
        )),
        _ if difference_m.abs() > rules.height_warning_m => Some(format!(
            "This place is {:.0} m {} the main station, {}, so treat the monthly values as approximate.",
            difference_m.abs(),
            if difference_m > 0.0 { "above" } else { "below" },
            name_of(neighbors[0].station)
        )),
        _ => None,
    }
}

/// The periods of the sources used, each once, in the order of weight.
fn periods_of(neighbors: &[Neighbor]) -> String {
    let mut res: Vec<&str> = Vec::new();
    for neighbor in neighbors {
        let period = period_of(neighbor.station);
        if !res.contains(&period) {
            res.push(period);
        }
    }
    res.join(" and ")
}

fn name_of(station: &Station) -> String {
    format!("{}, {}", station.name, station.admin)
}

/// The years of a station's figures, in words; of its source, or of its row in a user's table.
fn period_of(station: &Station) -> &str {
    source_of_key(&station.source_key).map_or(station.period.as_str(), |it| it.period.as_str())
}
