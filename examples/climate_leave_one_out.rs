//! How well the stations around a station say what was read there, by region.
//!
//! `cargo run --release --example climate_leave_one_out`
//!
//! Every station is left out of the table once and found again as a position. The rules of
//! `tables/climate_rules.csv` were tried with this.

use slabseason::climate::{PlaceQuery, Station, find_place_leaving_out, stations};

fn main() {
    println!("region          stations  refused  temp K  dew K  annual rain %  monthly rain %");
    for (name, states) in REGIONS {
        let of_region = || {
            stations()
                .iter()
                .filter(|it| states.contains(&it.admin.as_str()))
        };
        print_line(name, &errors_of(of_region()));
    }
    print_line("all", &errors_of(stations().iter()));
    print_line(
        "Canada",
        &errors_of(stations().iter().filter(|it| it.country == "CA")),
    );
}

/// The regions of the US Census Bureau, the West without Alaska and Hawaii.
pub const REGIONS: [(&str, &[&str]); 4] = [
    (
        "Northeast",
        &["CT", "MA", "ME", "NH", "NJ", "NY", "PA", "RI", "VT"],
    ),
    (
        "Midwest",
        &[
            "IA", "IL", "IN", "KS", "MI", "MN", "MO", "ND", "NE", "OH", "SD", "WI",
        ],
    ),
    (
        "West",
        &[
            "AZ", "CA", "CO", "ID", "MT", "NM", "NV", "OR", "UT", "WA", "WY",
        ],
    ),
    (
        "South",
        &[
            "AL", "AR", "DC", "DE", "FL", "GA", "KY", "LA", "MD", "MS", "NC", "OK", "SC", "TN",
            "TX", "VA", "WV",
        ],
    ),
];

/// Mean absolute errors over stations and months.
pub struct Errors {
    pub stations: usize,
    /// Stations that lie too far from all others.
    pub refused: usize,
    pub temperature_k: f64,
    pub dew_point_k: f64,
    pub annual_rain_percent: f64,
    pub monthly_rain_percent: f64,
}

pub fn errors_of<'a>(stations: impl Iterator<Item = &'a Station>) -> Errors {
    let mut refused = 0;
    let (mut temperature_k, mut dew_point_k) = (Vec::new(), Vec::new());
    let (mut annual, mut monthly) = (Vec::new(), Vec::new());
    for station in stations {
        let position = PlaceQuery::Position {
            latitude_deg: station.latitude_deg,
            longitude_deg: station.longitude_deg,
            elevation_m: station.elevation_m,
        };
        let Ok(place) = find_place_leaving_out(&position, &station.id) else {
            refused += 1;
            continue;
        };
        temperature_k.push(mean_absolute_difference(&place.mean_c, &station.mean_c));
        if let Some(dew_point_c) = station.dew_point_c {
            dew_point_k.push(mean_absolute_difference(&place.dew_point_c, &dew_point_c));
        }
        let total_mm: f64 = station.precipitation_mm.iter().sum();
        let found_mm: f64 = place.precipitation_mm.iter().sum();
        annual.push(100.0 * (found_mm / total_mm - 1.0).abs());
        let months = mean_absolute_difference(&place.precipitation_mm, &station.precipitation_mm);
        monthly.push(100.0 * months / (total_mm / 12.0));
    }
    Errors {
        stations: temperature_k.len(),
        refused,
        temperature_k: mean(&temperature_k),
        dew_point_k: mean(&dew_point_k),
        annual_rain_percent: mean(&annual),
        monthly_rain_percent: mean(&monthly),
    }
}

fn print_line(name: &str, it: &Errors) {
    println!(
        "{name:<14} {:>9} {:>8} {:>7.2} {:>6.2} {:>14.1} {:>15.1}",
        it.stations,
        it.refused,
        it.temperature_k,
        it.dew_point_k,
        it.annual_rain_percent,
        it.monthly_rain_percent
    );
}

fn mean_absolute_difference(some: &[f64; 12], others: &[f64; 12]) -> f64 {
    some.iter()
        .zip(others)
        .map(|(one, other)| (one - other).abs())
        .sum::<f64>()
        / 12.0
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}
