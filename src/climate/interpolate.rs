//! The stations around a point, their weights, and the climate they give together.

use super::tables::{ClimateRules, Station};

/// A point on the map. A height of `None` is not known, and then plays no part.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    pub latitude_deg: f64,
    pub longitude_deg: f64,
    pub elevation_m: Option<f64>,
}

/// One station of the mean.
#[derive(Debug, Clone, Copy)]
pub(super) struct Neighbor<'a> {
    pub station: &'a Station,
    pub distance_km: f64,
    /// Place minus station; `None` where either height is unknown.
    pub height_difference_m: Option<f64>,
    /// All weights of a mean add up to one.
    pub weight: f64,
}

/// The stations of a mean, heaviest first, and the one nearest on the map.
pub(super) struct Neighborhood<'a> {
    pub neighbors: Vec<Neighbor<'a>>,
    pub nearest: &'a Station,
    pub nearest_km: f64,
}

/// Distance over the ground.
///
/// # Formula
///
/// `d = 2 R asin(sqrt(sin²(Δlat/2) + cos lat1 cos lat2 sin²(Δlon/2)))`, the haversine.
///
/// # Source
///
/// Textbook spherical trigonometry; `R` is the earth's mean radius, 6371 km.
pub(super) fn distance_km(from: Point, latitude_deg: f64, longitude_deg: f64) -> f64 {
    let half_latitude = libm::sin((latitude_deg - from.latitude_deg).to_radians() / 2.0);
    let half_longitude = libm::sin((longitude_deg - from.longitude_deg).to_radians() / 2.0);
    let cosines = libm::cos(latitude_deg.to_radians()) * libm::cos(from.latitude_deg.to_radians());
    let haversine = half_latitude * half_latitude + cosines * half_longitude * half_longitude;
    2.0 * EARTH_RADIUS_KM * libm::asin(haversine.sqrt().min(1.0))
}

/// The stations that speak for a point.
///
/// # Formula
///
/// `weight = 1/e²`, `e = (sqrt(d² + (c Δz/100)²) + d0) f`, with `d` the distance in km, `Δz` the difference of
/// height in m, `c` the cost of 100 m in km, `d0` a distance that keeps one station from being everything, and
/// `f` the factor of the station's source.
///
/// # Source
///
/// Inverse distance squared is common practice; `c`, `d0` and `f` are rows of `tables/climate_rules.csv`, tried
/// with `examples/climate_leave_one_out.rs`.
pub(super) fn neighborhood<'a>(
    candidates: impl Iterator<Item = &'a Station>,
    point: Point,
    rules: &ClimateRules,
) -> Option<Neighborhood<'a>> {
    let mut kept: Vec<(f64, Neighbor<'a>)> = Vec::with_capacity(rules.stations_in_mean + 1);
    let mut nearest: Option<(f64, &'a Station)> = None;
    for station in candidates {
        let is_full = kept.len() == rules.stations_in_mean;
        let worst_km = if is_full {
            kept.last().map_or(f64::INFINITY, |it| it.0)
        } else {
            f64::INFINITY
        };
        // No station is nearer than its difference of latitude, and no factor is below one, so most of the
        // table is passed over here, before any trigonometry.
        let latitude_km =
            (station.latitude_deg - point.latitude_deg).abs() * KM_PER_LATITUDE_DEGREE_AT_LEAST;
        if latitude_km + rules.softening_km > worst_km {
            continue;
        }
        let distance_km = distance_km(point, station.latitude_deg, station.longitude_deg);
        if nearest.is_none_or(|it| distance_km < it.0) {
            nearest = Some((distance_km, station));
        }
        let height_difference_m = match (point.elevation_m, station.elevation_m) {
            (Some(place_m), Some(station_m)) => Some(place_m - station_m),
            _ => None,
        };
        let height_km = rules.height_km_per_100m * height_difference_m.unwrap_or(0.0) / 100.0;
        let straight_km = (distance_km * distance_km + height_km * height_km).sqrt();
        let effective_km =
            (straight_km + rules.softening_km) * rules.distance_factor(&station.source_key);
        if effective_km >= worst_km {
            continue;
        }
        let at = kept.partition_point(|it| it.0 <= effective_km);
        let weight = 1.0 / (effective_km * effective_km);
        kept.insert(
            at,
            (
                effective_km,
                Neighbor {
                    station,
                    distance_km,
                    height_difference_m,
                    weight,
                },
            ),
        );
        kept.truncate(rules.stations_in_mean);
    }
    let (nearest_km, nearest) = nearest?;
    let total: f64 = kept.iter().map(|it| it.1.weight).sum();
    let neighbors = kept
        .into_iter()
        .map(|(_, it)| Neighbor {
            weight: it.weight / total,
            ..it
        })
        .collect();
    Some(Neighborhood {
        neighbors,
        nearest,
        nearest_km,
    })
}

/// Mean temperature brought to the point's height.
pub(super) fn mean_temperature_c(neighbors: &[Neighbor], rules: &ClimateRules) -> [f64; 12] {
    weighted_months(neighbors, |it, month| {
        it.station.mean_c[month]
            - rules.temperature_lapse_k_per_km * it.height_difference_m.unwrap_or(0.0) / 1000.0
    })
}

/// Precipitation, unchanged by height.
pub(super) fn mean_precipitation_mm(neighbors: &[Neighbor]) -> [f64; 12] {
    weighted_months(neighbors, |it, month| it.station.precipitation_mm[month])
}

/// How far the dew point lies under the mean temperature, never below zero.
///
/// The depression is interpolated, rather than the dew point itself. With the same stations this is the same
/// number, since it changes with height by the difference of the two lapse rates. Where the stations that have
/// a dew point lie farther off than those that have a temperature, the depression carries farther.
pub(super) fn mean_depression_k(neighbors: &[Neighbor], rules: &ClimateRules) -> [f64; 12] {
    let lapse_k_per_km = rules.temperature_lapse_k_per_km - rules.dew_point_lapse_k_per_km;
    let res = weighted_months(neighbors, |it, month| {
        let dew_point_c = it
            .station
            .dew_point_c
            .map_or(it.station.mean_c[month], |months| months[month]);
        it.station.mean_c[month]
            - dew_point_c
            - lapse_k_per_km * it.height_difference_m.unwrap_or(0.0) / 1000.0
    });
    res.map(|it| it.max(0.0))
}

const EARTH_RADIUS_KM: f64 = 6371.0;

/// A hair under the true 111.19 km, so that rounding never passes over a station that counts.
const KM_PER_LATITUDE_DEGREE_AT_LEAST: f64 = 111.1;

fn weighted_months(neighbors: &[Neighbor], value: impl Fn(&Neighbor, usize) -> f64) -> [f64; 12] {
    std::array::from_fn(|month| {
        neighbors
            .iter()
            .map(|it| it.weight * value(it, month))
            .sum()
    })
}

#[cfg(test)]
mod tests {
    use super::super::tables::{rules, stations};
    use super::*;

    fn point(latitude_deg: f64, longitude_deg: f64) -> Point {
        Point {
            latitude_deg,
            longitude_deg,
            elevation_m: None,
        }
    }

    /// Source: arithmetic. A quarter of the earth's circumference is pi/2 times 6371 km, 10007.5 km; the pole is
    /// that far from every point of the equator, whatever the longitude.
    #[test]
    fn distances_match_a_quarter_of_the_globe() {
        for longitude_deg in [-180.0, -73.0, 0.0, 90.0] {
            let got_km = distance_km(point(0.0, 0.0), 90.0, longitude_deg);
            assert!(
                (got_km - 10_007.5).abs() < 0.1,
                "{longitude_deg}: {got_km} km"
            );
        }
        assert_eq!(distance_km(point(44.0, -73.0), 44.0, -73.0), 0.0);
    }

    /// The Aleutians lie on both sides of 180 degrees. Source: arithmetic, two degrees of the equator are
    /// 2/360 of 40 030.2 km, 222.4 km.
    #[test]
    fn the_date_line_is_no_wall() {
        let got_km = distance_km(point(0.0, 179.0), 0.0, -179.0);
        assert!((got_km - 222.4).abs() < 0.1, "{got_km} km");
    }

    fn station(
        id: &str,
        latitude_deg: f64,
        elevation_m: f64,
        mean_c: f64,
        dew_point_c: f64,
    ) -> Station {
        Station {
            id: id.to_string(),
            name: "Invented".to_string(),
            admin: "VT".to_string(),
            country: "US".to_string(),
            latitude_deg,
            longitude_deg: -73.0,
            elevation_m: Some(elevation_m),
            period: "invented".to_string(),
            source_key: "ccd2018_rh".to_string(),
            mean_c: [mean_c; 12],
            precipitation_mm: [80.0; 12],
            dew_point_c: Some([dew_point_c; 12]),
        }
    }

    /// Source: the lapse rates of the table, 6 and 4 K/km, worked by hand. One station alone at 100 m has 10 °C
    /// and a dew point of 5 °C. At 300 m that is 10 - 1.2 = 8.8 °C, and 5 - 0.8 = 4.2 °C, so 4.6 K apart.
    #[test]
    fn height_cools_by_the_lapse_and_leaves_rain_alone() {
        let only = [station("A", 44.0, 100.0, 10.0, 5.0)];
        let high = Point {
            elevation_m: Some(300.0),
            ..point(44.3, -73.0)
        };
        let around = neighborhood(only.iter(), high, rules()).unwrap().neighbors;
        assert!((mean_temperature_c(&around, rules())[0] - 8.8).abs() < 1e-9);
        assert!((mean_depression_k(&around, rules())[0] - 4.6).abs() < 1e-9);
        assert_eq!(mean_precipitation_mm(&around)[0], 80.0);
    }

    /// Source: by hand. Deep below a humid station the dew point would pass the temperature: 1000 m lower adds
    /// 6 K to one and 4 K to the other, so the depression grows; 1000 m higher takes 2 K from a depression of 1 K.
    #[test]
    fn the_depression_stops_at_zero() {
        let only = [station("A", 44.0, 100.0, 10.0, 9.0)];
        for (height_m, wanted_k) in [(-900.0, 3.0), (1100.0, 0.0)] {
            let place = Point {
                elevation_m: Some(height_m),
                ..point(44.0, -73.0)
            };
            let around = neighborhood(only.iter(), place, rules()).unwrap().neighbors;
            assert!(
                (mean_depression_k(&around, rules())[0] - wanted_k).abs() < 1e-9,
                "{height_m} m"
            );
        }
    }

    /// Source: by hand, with the table's 5 km and 10 km per 100 m. Both stations lie 0.4 degrees of latitude off,
    /// 44.478 km. The second is 300 m higher, 30 km more the hard way: sqrt(44.478^2 + 30^2) = 53.650. Weights
    /// 1/49.478^2 and 1/58.650^2, so the first has 58.650^2/(49.478^2 + 58.650^2) = 0.5842.
    #[test]
    fn height_counts_as_distance() {
        let both = [
            station("A", 43.6, 100.0, 10.0, 5.0),
            station("B", 44.4, 400.0, 10.0, 5.0),
        ];
        let place = Point {
            elevation_m: Some(100.0),
            ..point(44.0, -73.0)
        };
        let around = neighborhood(both.iter(), place, rules()).unwrap();
        assert_eq!(around.neighbors[0].station.id, "A");
        assert!(
            (around.neighbors[0].weight - 0.5842).abs() < 1e-4,
            "{}",
            around.neighbors[0].weight
        );
        let unknown = neighborhood(both.iter(), point(44.0, -73.0), rules()).unwrap();
        assert!((unknown.neighbors[0].weight - 0.5).abs() < 1e-9);
    }

    /// The short way through the table must find what the long way finds.
    #[test]
    fn passing_over_by_latitude_loses_no_station() {
        for (latitude_deg, longitude_deg) in [
            (44.48, -73.21),
            (39.7, -105.0),
            (61.2, -150.0),
            (21.3, -157.9),
        ] {
            let place = Point {
                elevation_m: Some(200.0),
                ..point(latitude_deg, longitude_deg)
            };
            let found = neighborhood(stations().iter(), place, rules()).unwrap();
            let mut all: Vec<(f64, &str)> = stations()
                .iter()
                .map(|it| {
                    let over_ground_km = distance_km(place, it.latitude_deg, it.longitude_deg);
                    let upward_km = rules().height_km_per_100m
                        * (200.0 - it.elevation_m.unwrap_or(200.0))
                        / 100.0;
                    let straight_km = over_ground_km.hypot(upward_km) + rules().softening_km;
                    (
                        straight_km * rules().distance_factor(&it.source_key),
                        it.id.as_str(),
                    )
                })
                .collect();
            all.sort_by(|one, other| one.0.total_cmp(&other.0));
            let wanted: Vec<&str> = all
                .iter()
                .take(rules().stations_in_mean)
                .map(|it| it.1)
                .collect();
            let got: Vec<&str> = found
                .neighbors
                .iter()
                .map(|it| it.station.id.as_str())
                .collect();
            assert_eq!(got, wanted, "{latitude_deg}, {longitude_deg}");
        }
    }
}
