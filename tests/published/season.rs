//! Humid air, water balance, ground temperature, water table and room air against published
//! values, other programs and observed wells, and the laws that hold for any place.

use crate::table::{number, rows};
use proptest::prelude::*;
use slabseason::season::{
    Balance, BalanceMonth, DAYS_PER_YEAR, Harmonic, MonthWeather, Outdoors, STEPS_PER_MONTH,
    SeasonTable, SoilStore, WaterTable, between_months, contact, day_length, dew_point,
    dew_point_c, frost_kept, ground_temperature, hamon_evapotranspiration, lift_m, rain_share,
    room_swing, saturation_pa, saturation_pressure, thaw_k_days, ventilation_conductance,
};
use slabseason::units::{Celsius, MoistureFlux, Pascals, Permeance};
use std::collections::HashMap;

type Row = HashMap<String, String>;
/// One month's weather and its precipitation in mm.
type Month = (MonthWeather, f64);

const DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// The rows of a table by one of its columns, in the order of the file.
fn groups(text: &str, column: &str) -> Vec<(String, Vec<Row>)> {
    let mut found: Vec<(String, Vec<Row>)> = Vec::new();
    for row in rows(text) {
        match found.last_mut() {
            Some((name, group)) if *name == row[column] => group.push(row),
            _ => found.push((row[column].clone(), vec![row])),
        }
    }
    found
}

// Humid air.

/// Source: ISO 13788:2012, Annex E, the branch for water; psychrolib 2.5.0; WMO-No. 8.
/// To the four printed decimals for the same formula. Within 0.2 % of psychrolib from 0 to
/// 40 °C, because ours is a fit and the handbook's a better one. Within 1.2 % of the WMO's
/// formula for supercooled water down to -20 °C, where the two fits part: 0.14 K of dew point.
#[test]
fn saturation_pressure_of_water() {
    let (mut worst, mut checked) = (0.0_f64, 0);
    for row in rows(include_str!("saturation_pressure.csv")) {
        let air_c = number(&row, "t_c");
        let got = saturation_pa(air_c);
        let supercooled = number(&row, "wmo_water_pa");
        assert!(
            (got / supercooled - 1.0).abs() < 0.012,
            "{air_c} °C: {got} Pa, WMO {supercooled} Pa"
        );
        let checked_quantity = saturation_pressure(Celsius::new(air_c).unwrap()).get();
        assert_eq!(checked_quantity, got);
        if air_c < 0.0 {
            continue;
        }
        let printed = number(&row, "iso_water_pa");
        assert!(
            (got - printed).abs() < 0.6e-4,
            "{air_c} °C: {got} Pa, printed {printed} Pa"
        );
        let handbook = number(&row, "psychrolib_pa");
        worst = worst.max((got / handbook - 1.0).abs());
        checked += 1;
        assert!(
            (got / handbook - 1.0).abs() < 0.002,
            "{air_c} °C: {got} Pa, psychrolib {handbook} Pa"
        );
    }
    assert!(checked >= 20, "only {checked} rows");
    println!("saturation pressure: within {:.3} %", 100.0 * worst);
}

/// Source: psychrolib 2.5.0; ISO 13788:2012, Annex E, there and back in Python.
/// From temperature and humidity, as a visit gives them, within 0.01 K of psychrolib, for the
/// errors of our two saturation pressures nearly cancel. From psychrolib's own vapor pressure
/// within 0.02 K: 0.1 % of pressure is 0.015 K. Within 1e-4 K for the same formula: four
/// printed decimals.
#[test]
fn dew_points() {
    let (mut worst, mut worst_of_vapor) = (0.0_f64, 0.0_f64);
    let states = rows(include_str!("moist_air_states.csv"));
    assert!(states.len() >= 25);
    for row in states {
        let (handbook, iso) = (number(&row, "dew_point_c"), number(&row, "iso_dew_point_c"));
        let vapor_pa = saturation_pa(number(&row, "t_c")) * number(&row, "rh_percent") / 100.0;
        let got = dew_point_c(vapor_pa);
        worst = worst.max((got - handbook).abs());
        assert!((got - handbook).abs() < 0.01, "{row:?}: {got} °C");
        assert!((got - iso).abs() < 1.0e-4, "{row:?}: {got} °C");
        let of_vapor = dew_point_c(number(&row, "vapor_pa"));
        worst_of_vapor = worst_of_vapor.max((of_vapor - handbook).abs());
        assert!((of_vapor - handbook).abs() < 0.02, "{row:?}: {of_vapor} °C");
        // The other way: air saturated at the printed dew point holds psychrolib's vapor.
        let back = saturation_pa(handbook);
        assert!(
            (back / number(&row, "vapor_pa") - 1.0).abs() < 0.002,
            "{row:?}: {back} Pa"
        );
    }
    println!("dew points: within {worst:.4} K of psychrolib, {worst_of_vapor:.4} K from its vapor");
}

/// Source: psychrolib 2.5.0; the distance of 5 °F (2.78 K) of ISO 8502-4.
/// Within 0.5 % relative humidity, a fifth of what a good hygrometer tells apart, with
/// pressures that are 0.2 % off at most. The yes or no agrees in every case: the nearest one
/// is 0.05 K from the edge, five times the error of a dew point.
#[test]
fn room_air_on_a_colder_slab() {
    let cases = rows(include_str!("slab_surface_humidity.csv"));
    assert_eq!(cases.len(), 16);
    let mut worst: f64 = 0.0;
    for row in cases {
        let slab_c = number(&row, "slab_c");
        let vapor_pa = saturation_pa(number(&row, "air_c")) * number(&row, "air_percent") / 100.0;
        let got = 100.0 * vapor_pa / saturation_pa(slab_c);
        let want = number(&row, "surface_percent");
        worst = worst.max((got - want).abs());
        assert!((got - want).abs() < 0.5, "{row:?}: {got} %");
        let clear = slab_c - dew_point_c(vapor_pa) >= 5.0 / 1.8;
        assert_eq!(
            clear,
            row["clear_of_dew_point"] == "yes",
            "{row:?}: the 5 °F rule"
        );
    }
    println!("humidity on slabs: within {worst:.3} points of psychrolib");
}

/// Both ends of the temperatures taken give an answer, and dry air has no dew point.
#[test]
fn ends_of_humid_air() {
    for end_c in [Celsius::LOW, Celsius::HIGH] {
        let pressure = saturation_pressure(Celsius::new(end_c).unwrap());
        let back = dew_point(pressure).unwrap().get();
        assert!((back - end_c).abs() < 1.0e-9, "{end_c} °C: {back} °C");
    }
    assert_eq!(dew_point(Pascals::new(0.0).unwrap()), None);
}

// Water balance.

/// Source: declination of the R package SPEI 1.8.1 at Wichita, Kansas.
/// Within 1e-5 hours: five printed decimals of the same formula.
#[test]
fn day_length_at_wichita() {
    let months = rows(include_str!("daylight.csv"));
    assert_eq!(months.len(), 12);
    for row in months {
        let got_h = 12.0 * day_length(37.6475, number(&row, "day"));
        let want_h = number(&row, "daylight_h");
        assert!((got_h - want_h).abs() < 1.0e-5, "{row:?}: {got_h} h");
    }
}

/// Source: the sun does not rise or set beyond the polar circles at the solstices; at the
/// equator day and night are equal. Exact: the day is held to its ends there.
#[test]
fn day_length_at_the_ends_of_the_earth() {
    for (latitude, day, want) in [
        (80.0, 172.0, 2.0),
        (80.0, 355.0, 0.0),
        (-80.0, 172.0, 0.0),
        (-80.0, 355.0, 2.0),
        (0.0, 172.0, 1.0),
        (90.0, 172.0, 2.0),
        (-90.0, 172.0, 0.0),
    ] {
        let got = day_length(latitude, day);
        assert!(
            (got - want).abs() < 1.0e-12,
            "{latitude}°, day {day}: {got}"
        );
    }
}

/// Source: Hamon 1961 as McCabe and Markstrom 2007 use it, in NumPy; pyet 1.5.0.
/// Given the table's day length, to its printed digits: 0.0005 mm for the sum and as much for
/// the five decimals of the day. With our own day length: 1 % in a month and 0.2 % in a year
/// against both, because their declination is FAO-56's (0.409 and 1.39 where we have 0.4093
/// and 1.405): about a day's shift, which the halves of the year cancel.
/// Twelve equal months with the day length of their middles, as the model counts, give the
/// year within 0.2 % as well: what one equal month gains its neighbor loses.
#[test]
fn hamon_in_four_climates() {
    let cases = groups(include_str!("hamon.csv"), "case");
    assert_eq!(cases.len(), 4);
    for (case, months) in cases {
        let (mut ours, mut ours_daily, mut theirs, mut pyet) = (0.0, 0.0, 0.0, 0.0);
        let mut before = 0;
        let mut equal_months = 0.0;
        for (month, (row, days)) in months.iter().zip(DAYS).enumerate() {
            let (mean_c, want) = (number(row, "mean_c"), number(row, "hamon_mm"));
            let given =
                hamon_evapotranspiration(days as f64, number(row, "day_length_h") / 12.0, mean_c);
            assert!((given - want).abs() < 1.0e-3, "{row:?}: {given} mm");
            let lengths: Vec<f64> = (before + 1..=before + days)
                .map(|day| day_length(number(row, "latitude"), day as f64))
                .collect();
            before += days;
            let middle = (month as f64 + 0.5) * 365.0 / 12.0;
            equal_months += hamon_evapotranspiration(
                365.0 / 12.0,
                day_length(number(row, "latitude"), middle),
                mean_c,
            );
            let mean_length = lengths.iter().sum::<f64>() / days as f64;
            let got = hamon_evapotranspiration(days as f64, mean_length, mean_c);
            let daily: f64 = lengths
                .iter()
                .map(|it| hamon_evapotranspiration(1.0, *it, mean_c))
                .sum();
            assert!((got / want - 1.0).abs() < 0.01, "{row:?}: {got} mm");
            assert!(
                (daily / number(row, "pyet_mm") - 1.0).abs() < 0.01,
                "{row:?}: {daily} mm"
            );
            ours += got;
            ours_daily += daily;
            theirs += want;
            pyet += number(row, "pyet_mm");
        }
        println!(
            "{case}: {ours:.1}, {ours_daily:.1} and {equal_months:.1} mm, others {theirs:.1} and \
             {pyet:.1} mm"
        );
        assert!((ours / theirs - 1.0).abs() < 0.002, "{case}: {ours} mm");
        assert!(
            (ours_daily / pyet - 1.0).abs() < 0.002,
            "{case}: {ours_daily} mm"
        );
        assert!(
            (equal_months / theirs - 1.0).abs() < 0.002,
            "{case}: {equal_months} mm in equal months"
        );
    }
}

/// One year's weather of a table, month by month, at a latitude in degrees.
fn weather(months: &[Row], latitude: f64) -> Vec<Month> {
    months
        .iter()
        .zip(DAYS)
        .enumerate()
        .map(|(month, (row, days))| {
            let length = day_length(latitude, (month as f64 + 0.5) * 365.0 / 12.0);
            let mut it = MonthWeather::new(days as f64, length, number(row, "mean_c"));
            it.evapotranspiration_mm = number(row, "evapotranspiration_mm");
            (it, number(row, "precipitation_mm"))
        })
        .collect()
}

/// The last of so many equal years.
fn last_year(mut balance: Balance, months: &[Month], years: usize) -> Vec<BalanceMonth> {
    let mut last = Vec::new();
    for _ in 0..years {
        last = months
            .iter()
            .map(|(weather, precipitation_mm)| balance.month(weather, *precipitation_mm))
            .collect();
    }
    last
}

/// Soil as the wells are tried with: the middles of the rows of tables/priors.csv.
fn soil_with(release: f64) -> SoilStore {
    SoilStore {
        capacity_mm: 120.0,
        release,
        melt_mm_k_day: 5.0,
        bypass: 0.2,
        root_draw: 0.5,
        evapotranspiration: 1.0,
    }
}

/// Source: by hand from the rule and the rows of tables/season.csv. At 2 °C half of the days
/// bring rain. A spread of 5 K about 0 °C has 5/sqrt(2 pi) = 1.9947 K over freezing in the
/// mean, 59.84 K day in 30 days of 12 hours; at 13 hours (13/12)^3 = 1.2714 times as much.
/// Far from freezing all falls as rain or snow, and a warm month has 30 times its mean. At -8 °C
/// frost keeps half of its 0.7, at -13 °C 0.841345 of it.
/// To the printed digits.
#[test]
fn rain_and_thaw_of_a_month() {
    assert!((rain_share(2.0) - 0.5).abs() < 1.0e-12);
    assert!((rain_share(7.0) - 0.841345).abs() < 1.0e-6);
    assert!(rain_share(-40.0) < 1.0e-10 && rain_share(40.0) > 1.0 - 1.0e-10);
    assert!((thaw_k_days(30.0, 1.0, 0.0) - 59.84).abs() < 0.005);
    assert!((thaw_k_days(30.0, 13.0 / 12.0, 0.0) / 59.84 - 1.2714).abs() < 2.0e-4);
    assert!((thaw_k_days(30.0, 1.0, 25.0) - 750.0).abs() < 0.01);
    assert!((0.0..1.0e-12).contains(&thaw_k_days(30.0, 1.0, -60.0)));
    assert!((frost_kept(-8.0) - 0.35).abs() < 1.0e-12);
    assert!((frost_kept(-13.0) - 0.7 * 0.841345).abs() < 1.0e-6);
    assert!(frost_kept(20.0) < 1.0e-7 && frost_kept(-60.0) > 0.7 - 1.0e-12);
}

/// Source: McCabe and Markstrom 2007 programmed in NumPy; four climates, last of 50 years.
/// Their snow is not ours and is put in as it is; what they have in common is what rain does
/// to a full soil. Every month that begins and ends with a full soil there is taken here from a
/// full soil, with its own rain, melt and evapotranspiration. Within 0.0005 mm in six columns:
/// the table is printed with four decimals.
#[test]
fn full_soils_of_another_program() {
    let cases = groups(include_str!("water_balance.csv"), "case");
    assert_eq!(cases.len(), 4);
    let mut checked = 0;
    for (case, months) in cases {
        for at in 0..12 {
            let (before, row) = (&months[(at + 11) % 12], &months[at]);
            let get = |column: &str| number(row, column);
            if number(before, "soil_mm") < 150.0 || get("soil_mm") < 150.0 {
                continue;
            }
            let mut balance = Balance::new(SoilStore {
                capacity_mm: 150.0,
                release: 0.5,
                melt_mm_k_day: 1.0,
                bypass: 0.0,
                root_draw: 0.0,
                evapotranspiration: 1.0,
            });
            // A wet month fills the soil and leaves the snow that the table begins with.
            let snow_mm = number(before, "snow_store_mm");
            let wet = MonthWeather {
                rain_share: 1.0 - snow_mm / 1_000.0,
                ..MonthWeather::default()
            };
            let start_mm = balance.month(&wet, 1_000.0).ground_end_mm;
            let weather = MonthWeather {
                rain_share: get("rain_mm") / get("precipitation_mm"),
                thaw_k_days: get("melt_mm"),
                frost_kept: 0.0,
                evapotranspiration_mm: get("evapotranspiration_mm"),
            };
            let got = balance.month(&weather, get("precipitation_mm"));
            assert!((got.ground_end_mm - 0.5 * (start_mm + got.surplus_mm)).abs() < 1.0e-9);
            for (value, column) in [
                (got.snowfall_mm, "snowfall_mm"),
                (got.direct_runoff_mm, "direct_runoff_mm"),
                (got.melt_mm, "melt_mm"),
                (got.surplus_mm, "surplus_mm"),
                (
                    got.actual_evapotranspiration_mm,
                    "actual_evapotranspiration_mm",
                ),
                (
                    balance.held_mm() - got.soil_mm - got.ground_end_mm,
                    "snow_store_mm",
                ),
            ] {
                let want = get(column);
                assert!(
                    (value - want).abs() < 5.0e-4,
                    "{case}, month {}, {column}: {value}, other program {want}",
                    row["month"]
                );
            }
            checked += 1;
        }
    }
    assert!(checked >= 20, "only {checked} months");
}

/// Source: Dourado-Neto and others 2010, tables 2 and 4 (Petrolina); agrometeorologiapy 1.0.1
/// for the other climates, both after Thornthwaite and Mather.
/// Within 0.0005 mm of the program's storage where it has come to rest: four printed decimals.
/// Within 0.01 mm of what it gives for evapotranspiration and surplus, where it stops. Within
/// 0.002 mm of the paper's storage and 0.1 mm of its deficits, printed with one decimal: its
/// own storages give 40.93 for April, where it has 41.0.
#[test]
fn soils_of_thornthwaite_and_mather() {
    let cases = groups(include_str!("thornthwaite_mather.csv"), "case");
    assert_eq!(cases.len(), 5);
    for (case, months) in cases {
        let soil = SoilStore {
            capacity_mm: number(&months[0], "capacity_mm"),
            release: 0.5,
            melt_mm_k_day: 1.0,
            bypass: 0.0,
            root_draw: 0.0,
            evapotranspiration: 1.0,
        };
        // All of it as snow that melts at once, so that none runs off before the soil.
        let year: Vec<Month> = months
            .iter()
            .map(|row| {
                let weather = MonthWeather {
                    rain_share: 0.0,
                    thaw_k_days: 1.0e6,
                    frost_kept: 0.0,
                    evapotranspiration_mm: number(row, "evapotranspiration_mm"),
                };
                (weather, number(row, "precipitation_mm"))
            })
            .collect();
        for (row, got) in months.iter().zip(last_year(Balance::new(soil), &year, 200)) {
            let near = |value: f64, column: &str, most: f64| {
                let want = number(row, column);
                assert!(
                    (value - want).abs() < most,
                    "{case}, month {}, {column}: {value}, printed {want}",
                    row["month"]
                );
            };
            near(got.soil_mm, "storage_mm", 5.0e-4);
            near(
                got.actual_evapotranspiration_mm,
                "actual_evapotranspiration_mm",
                0.01,
            );
            near(got.surplus_mm, "surplus_mm", 0.01);
            if case == "petrolina" {
                near(got.soil_mm, "paper_storage_mm", 0.002);
                let deficit =
                    number(row, "evapotranspiration_mm") - got.actual_evapotranspiration_mm;
                near(deficit, "paper_deficit_mm", 0.1);
            }
        }
    }
}

/// Source: the claim of `balance_years` in tables/season.csv; weather of Dourado-Neto and
/// others 2010 and of the four climates, made drier by up to 70 %, over a large soil.
/// After that many years the soil is within 1 mm of 250 and the store below, at a release of
/// 0.2, within 0.1 mm of three hundred years. The slowest store drawn, a release of 0.05, is
/// within 1 % of its mean: 0.95 to the power of 144 is 0.0006, and the soil comes later.
#[test]
fn balance_repeats_after_its_years() {
    let years = SeasonTable::bundled().balance_years as usize;
    let mut places: Vec<(String, Vec<Month>)> = groups(include_str!("water_balance.csv"), "case")
        .into_iter()
        .map(|(case, months)| (case, weather(&months, 42.0)))
        .collect();
    let dry = rows(include_str!("dry_climate.csv"));
    places.push((
        "Petrolina".to_string(),
        dry.iter()
            .map(|row| {
                let mut it = MonthWeather::new(30.4, 1.0, 25.0);
                it.evapotranspiration_mm = number(row, "evapotranspiration_mm");
                (it, number(row, "precipitation_mm"))
            })
            .collect(),
    ));
    let mut worst: f64 = 0.0;
    for (case, months) in places {
        for share in [0.3, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1.0] {
            let drier: Vec<_> = months
                .iter()
                .map(|(weather, rain)| (*weather, share * rain))
                .collect();
            let soil = SoilStore {
                capacity_mm: 250.0,
                bypass: 0.0,
                ..soil_with(0.2)
            };
            let soon = last_year(Balance::new(soil), &drier, years);
            let late = last_year(Balance::new(soil), &drier, 300);
            for (one, other) in soon.iter().zip(&late) {
                worst = worst.max((one.soil_mm - other.soil_mm).abs());
                assert!(
                    (one.soil_mm - other.soil_mm).abs() < 1.0,
                    "{case} with {share} of the rain: soil {} and {} mm",
                    one.soil_mm,
                    other.soil_mm
                );
                assert!((one.ground_mm - other.ground_mm).abs() < 0.1, "{case}");
            }
            let slow = SoilStore {
                release: 0.05,
                ..soil
            };
            let soon = last_year(Balance::new(slow), &drier, years);
            let late = last_year(Balance::new(slow), &drier, 300);
            let mean = |year: &[BalanceMonth]| year.iter().map(|it| it.ground_mm).sum::<f64>();
            let apart = (mean(&soon) - mean(&late)).abs();
            assert!(apart <= 0.01 * mean(&late) + 1.0, "{case} {share}: {apart}");
        }
    }
    println!("after {years} years the soil is within {worst:.2} mm of its rest");
}

// Observed wells.

struct Well {
    name: String,
    months: Vec<Month>,
    head_m: Vec<f64>,
}

fn wells() -> Vec<Well> {
    groups(include_str!("wells.csv"), "site")
        .into_iter()
        .map(|(name, months)| Well {
            months: weather(&months, latitude(&name)),
            head_m: months.iter().map(|row| number(row, "head_m")).collect(),
            name,
        })
        .collect()
}

fn well(name: &str) -> Well {
    wells()
        .into_iter()
        .find(|it| it.name == name)
        .expect("the table has this well")
}

fn correlation(one: &[f64], other: &[f64]) -> f64 {
    let count = one.len() as f64;
    let mean = |values: &[f64]| values.iter().sum::<f64>() / count;
    let (one_mean, other_mean) = (mean(one), mean(other));
    let product = |a: &[f64], a_mean: f64, b: &[f64], b_mean: f64| -> f64 {
        a.iter()
            .zip(b)
            .map(|(x, y)| (x - a_mean) * (y - b_mean))
            .sum()
    };
    product(one, one_mean, other, other_mean)
        / (product(one, one_mean, one, one_mean) * product(other, other_mean, other, other_mean))
            .sqrt()
}

/// The month, 1 to 12, of the highest value.
fn highest_month(values: &[f64]) -> usize {
    let mut best = 0;
    for (month, value) in values.iter().enumerate() {
        if *value > values[best] {
            best = month;
        }
    }
    best + 1
}

fn lowest_month(values: &[f64]) -> usize {
    highest_month(&values.iter().map(|it| -it).collect::<Vec<_>>())
}

/// Latitude of a well, degrees, for the length of its days; to half a degree.
fn latitude(name: &str) -> f64 {
    match name {
        "kingstown_ri" => 41.5,
        "heby_se" => 60.0,
        "gossau_ch" => 47.5,
        _ => 52.0,
    }
}

/// The store below as the model uses it, mean of each month.
fn store_mm(well: &Well, balance: Balance) -> Vec<f64> {
    last_year(balance, &well.months, 50)
        .iter()
        .map(|it| it.ground_mm)
        .collect()
}

fn fit(well: &Well, release: f64) -> f64 {
    correlation(
        &store_mm(well, Balance::new(soil_with(release))),
        &well.head_m,
    )
}

/// Source: observed levels at Kingstown, Rhode Island, 2003-2018 (pastas).
/// At least 0.97 at a release of 0.3, with the observed peak, April, and low, September or
/// October. A store that empties faster peaks too early: every step up from 0.3 fits worse.
#[test]
fn well_at_kingstown() {
    let well = well("kingstown_ri");
    assert_eq!(highest_month(&well.head_m), 4);
    let store = store_mm(&well, Balance::new(soil_with(0.3)));
    let got = correlation(&store, &well.head_m);
    assert!(got >= 0.97, "correlation {got}");
    let (peak, low) = (highest_month(&store), lowest_month(&store));
    assert_eq!(peak, 4);
    assert!((9..=10).contains(&low), "lowest in month {low}");
    let fits = [0.3, 0.4, 0.5, 0.6].map(|release| fit(&well, release));
    println!("kingstown_ri: {fits:.3?} at releases 0.3 to 0.6, peak in month {peak} at 0.3");
    assert!(fits.windows(2).all(|it| it[0] > it[1]), "{fits:?}");
}

/// Source: observed levels in three Dutch wells, 5 to 27 years (pastas).
/// At least 0.8 at a release of 0.3: one of the three has five years only, and its twelve
/// means still carry the weather of single years.
#[test]
fn dutch_wells() {
    for name in ["b58c0698_nl", "b28h1804_nl", "b32c0609_nl"] {
        let well = well(name);
        let store = store_mm(&well, Balance::new(soil_with(0.3)));
        let got = correlation(&store, &well.head_m);
        let (model, observed) = (highest_month(&store), highest_month(&well.head_m));
        println!("{name}: {got:.3}, peak in month {model}, observed {observed}");
        assert!(got >= 0.8, "{name}: correlation {got}");
        assert!(
            model.abs_diff(observed) <= 1,
            "{name}: peak in month {model}"
        );
    }
}

/// Source: observed levels at Heby, Sweden, 1980-2020 (pastas).
/// The middle of the draws is wrong here, under 0.6: a mean of -2.6 °C with a spread of 5 K
/// melts nearly all of January's snow, so the store peaks in March where the water stands
/// highest in May. Snow that melts half as fast, 2 mm/(K day), which is among the draws and
/// usual for northern forests (from memory), fits better, and a slow store better still. Frost
/// that keeps water in the ground lifts it a little.
/// Without the power of the daylight it would be worse than it is.
#[test]
fn northern_well_peaks_too_early() {
    let well = well("heby_se");
    assert_eq!(highest_month(&well.head_m), 5);
    let store = store_mm(&well, Balance::new(soil_with(0.3)));
    let got = correlation(&store, &well.head_m);
    let peak = highest_month(&store);
    let with = |melt_mm_k_day: f64, release: f64| {
        let soil = SoilStore {
            melt_mm_k_day,
            ..soil_with(release)
        };
        correlation(&store_mm(&well, Balance::new(soil)), &well.head_m)
    };
    let (late, slow) = (with(2.0, 0.3), with(2.0, 0.1));
    println!("heby_se: {got:.3}, peak in month {peak}, observed 5; {late:.3} late, {slow:.3} slow");
    assert!((0.4..0.6).contains(&got), "correlation {got}");
    assert!((3..=4).contains(&peak), "peak in month {peak}");
    assert!(late > got + 0.1, "{late}");
    assert!(slow > 0.8, "{slow}");
}

/// Source: observed levels at Gossau, Switzerland, 1984-2023 (pastas).
/// The model knows nothing here, within 0.3 of no correlation. Rain less evapotranspiration is
/// nearly even through the year, 44 to 79 mm in every month, so that a store below hardly
/// swings by it; the water stands highest in June, with the rivers of the Alps, and what rises
/// with a river is in no balance of rain.
#[test]
fn well_in_even_weather_is_missed() {
    let well = well("gossau_ch");
    assert_eq!(highest_month(&well.head_m), 6);
    let got = fit(&well, 0.3);
    println!("gossau_ch: {got:.3}");
    assert!(
        got.abs() < 0.3,
        "correlation {got}: Gossau fits now, say so"
    );
    for (weather, precipitation_mm) in &well.months {
        let left_mm = precipitation_mm - weather.evapotranspiration_mm;
        assert!((44.0..79.0).contains(&left_mm), "{left_mm} mm");
    }
}

/// Source: the claims of the rows `root_draw` and `bypass` in tables/priors.csv; the four wells
/// of wells.csv without much snow, at a release of 0.3.
/// Roots below the soil raise the mean correlation by more than 0.05, most at the two that dry
/// out deepest, and harm none. Water past the soil changes it by less than 0.03 either way: its
/// worth shows at the wells of shallow_wells.csv alone.
#[test]
fn roots_help_where_summers_are_dry() {
    let mild = ["kingstown_ri", "b58c0698_nl", "b28h1804_nl", "b32c0609_nl"];
    let gains = |other: SoilStore| {
        mild.map(|name| {
            let well = well(name);
            let without = correlation(&store_mm(&well, Balance::new(other)), &well.head_m);
            fit(&well, 0.3) - without
        })
    };
    let roots = gains(SoilStore {
        root_draw: 0.0,
        ..soil_with(0.3)
    });
    let past = gains(SoilStore {
        bypass: 0.0,
        ..soil_with(0.3)
    });
    println!("roots {roots:.3?}, water past the soil {past:.3?}");
    assert!(roots.iter().sum::<f64>() / 4.0 > 0.05, "{roots:?}");
    assert!(roots.iter().all(|it| *it > -0.01), "{roots:?}");
    assert!(past.iter().all(|it| it.abs() < 0.03), "{past:?}");
}

// Ground temperature.

/// Source: Kusuda and Achenbach 1965, five soils, ten depths, thirteen days.
/// Within 0.004 of the surface's swing: the table's year has 365 days and ours 365.25, so the
/// angle of a day up to 324 days from the coldest differs by 2 pi 324 (1/365 - 1/365.25) =
/// 0.0038, and the damping depth by 0.03 %.
/// With days and diffusivity stretched to our year the difference goes away: 1e-6 K, the
/// printed digits.
#[test]
fn ground_of_five_soils() {
    let cases = rows(include_str!("ground_temperature.csv"));
    assert!(cases.len() >= 250);
    let stretch = DAYS_PER_YEAR / 365.0;
    let mut worst: f64 = 0.0;
    for row in cases {
        let surface = |coldest_day: f64| Harmonic {
            mean_c: number(&row, "mean_c"),
            amplitude_k: number(&row, "amplitude_k"),
            // The warmest day is half a year from the coldest.
            warmest_day: coldest_day + 0.5 * DAYS_PER_YEAR,
        };
        let (day, coldest_day) = (number(&row, "day"), number(&row, "coldest_day"));
        let (depth_m, diffusivity) = (number(&row, "depth_m"), number(&row, "diffusivity_m2_day"));
        let want = number(&row, "ground_c");
        let got = ground_temperature(&surface(coldest_day), depth_m, diffusivity).at(day);
        worst = worst.max((got - want).abs());
        assert!(
            (got - want).abs() < 0.004 * number(&row, "amplitude_k"),
            "{row:?}: {got} °C"
        );
        let stretched = ground_temperature(
            &surface(coldest_day * stretch),
            depth_m,
            diffusivity / stretch,
        )
        .at(day * stretch);
        assert!((stretched - want).abs() < 1.0e-6, "{row:?}: {stretched} °C");
    }
    println!("ground temperature: within {worst:.3} K for the longer year");
}

// Water table.

/// Source: by hand. 150 mm over the usual year's mean in pores of 0.15 stand 150/(1000 0.15) =
/// 1 m above -1.9 m. Backfill three quarters wet lets 2 0.75 - 1 = half of the rain through, so
/// 90 mm and 15 mm of melt lead 90/2 + 15 = 60 mm to the walls; 0.6 times that in the same
/// pores is 0.24 m. Ten times the share would be 2.4 m, and is held at the table's 1.2 m. Half
/// wet or drier it soaks up all rain, and the melt alone gives 0.06 m. Within 1e-12: only
/// rounding is left. Recharge of 200 mm a year lifts by half of 0.7 m, none by nothing.
#[test]
fn level_at_the_slab() {
    let month = BalanceMonth {
        rain_mm: 90.0,
        melt_mm: 15.0,
        soil_mm: 112.5,
        ground_mm: 400.0,
        ..BalanceMonth::default()
    };
    let open = WaterTable {
        mean_m: -1.9,
        usual_ground_mm: 250.0,
        specific_yield: 0.15,
        backfill_yield: 0.15,
        wall_share: 0.6,
        backfill_uptake: 1.0,
        drain_cap_m: None,
    };
    assert!((open.from_ground_m(&month) - -0.9).abs() < 1.0e-12);
    assert!((open.from_walls_m(&month, 150.0) - 0.24).abs() < 1.0e-12);
    assert!((open.uncapped_m(&month, 150.0) - -0.66).abs() < 1.0e-12);
    let dry = BalanceMonth {
        soil_mm: 60.0,
        ..month
    };
    assert!((open.from_walls_m(&dry, 150.0) - 0.06).abs() < 1.0e-12);
    assert!((lift_m(200.0) - 0.35).abs() < 1.0e-12 && lift_m(0.0) == 0.0);
    let flooded = WaterTable {
        wall_share: 6.0,
        backfill_uptake: 1.0,
        ..open
    };
    let most_m = SeasonTable::bundled().rain_boost_most_m;
    assert_eq!(flooded.from_walls_m(&month, 150.0), most_m);
    // 0.3 m is above the slab's underside: a working drain takes it to its cap, and nothing
    // changes without a drain or under the cap.
    let drained = WaterTable {
        drain_cap_m: Some(-0.25),
        ..open
    };
    assert_eq!(open.capped_m(0.3), 0.3);
    assert_eq!(drained.capped_m(0.3), -0.25);
    assert_eq!(drained.capped_m(-0.66), -0.66);
}

/// Source: by hand, both ends and the middle. Water at the underside wets all of it; water a
/// whole fringe below wets none; half a fringe below wets half.
#[test]
fn contact_at_both_ends() {
    for (level_m, want) in [
        (5.0_f64, 1.0_f64),
        (0.0, 1.0),
        (-0.075, 0.5),
        (-0.15, 0.0),
        (-0.151, 0.0),
        (-9.0, 0.0),
    ] {
        let got = contact(level_m, 0.15);
        assert!((got - want).abs() < 1.0e-12, "{level_m} m: {got}");
    }
    // Gravel hardly draws water up: 0.03 m leaves the underside dry at the same level.
    assert_eq!(contact(-0.075, 0.03), 0.0);
}

// Room air.

/// Source: by hand. Half an air change an hour over 2.3 m at 20 °C is 0.5 2.3/3600 =
/// 3.194e-4 m3/(m2 s); 900 Pa of vapor weigh 900/(461.5 293.15) = 6.652e-3 kg/m3; together
/// 2.125e-6 kg/(m2 s). Within 0.1 %: four digits.
#[test]
fn ventilation_carries_vapor_off() {
    let height_m = SeasonTable::bundled().room_height_m;
    assert_eq!(height_m, 2.3);
    let flux = 900.0 * ventilation_conductance(0.5, height_m, 20.0);
    assert!((flux / 2.125e-6 - 1.0).abs() < 1.0e-3, "{flux}");
}

/// Source: psychrolib 2.5.0, humidity ratio and density of moist air, which give the vapor in
/// a cubic meter without our gas constant.
/// Within 0.05 %: the humidity ratio is printed with four digits at the dry end.
#[test]
fn ventilation_agrees_with_the_handbook() {
    for row in rows(include_str!("moist_air_states.csv")) {
        let ratio = number(&row, "humidity_ratio");
        let vapor_kg_m3 = number(&row, "density_kg_m3") * ratio / (1.0 + ratio);
        let want = 0.4 * 2.3 / 3_600.0 * vapor_kg_m3;
        let got = ventilation_conductance(0.4, 2.3, number(&row, "t_c")) * number(&row, "vapor_pa");
        assert!((got / want - 1.0).abs() < 5.0e-4, "{row:?}: {got}, {want}");
    }
}

/// Source: by hand. With ground and outdoors warmest on one day the room swings by its whole
/// half range; with the ground half a year behind, 0.7 - 0.3 = 0.4 of it is left.
/// Within 1e-9 K: only rounding is left.
#[test]
fn room_swings_with_outdoors_and_ground() {
    let warmest_on = |warmest_day: f64| Harmonic {
        mean_c: 10.0,
        amplitude_k: 12.0,
        warmest_day,
    };
    let together = room_swing(18.0, 4.0, &warmest_on(200.0), &warmest_on(200.0));
    assert!((together.on(200.0) - 22.0).abs() < 1.0e-9);
    assert!((together.on(200.0 + 0.5 * DAYS_PER_YEAR) - 14.0).abs() < 1.0e-9);
    let opposed = room_swing(
        18.0,
        4.0,
        &warmest_on(200.0),
        &warmest_on(200.0 - 0.5 * DAYS_PER_YEAR),
    );
    assert!((opposed.on(200.0) - 19.6).abs() < 1.0e-9);
}

// Steps of the year.

/// Source: by hand, 365.25 86400/108 = 292200 s. A straight line through the middles of months
/// is met exactly at every step's end, within rounding.
#[test]
fn steps_meet_a_straight_line() {
    let outdoors = Outdoors::new(&[10.0; 12], &[5.0; 12], STEPS_PER_MONTH);
    assert_eq!(outdoors.cadence.step_s, 292_200.0);
    for steps_per_month in [1, 4, STEPS_PER_MONTH, 30] {
        for step in 0..steps_per_month {
            let (neighbor, share) = between_months(step, steps_per_month);
            // Month m has the value m, so the value is the distance from this month's middle.
            let got = neighbor as f64 * (1.0 - share);
            let want = (step as f64 + 1.0) / steps_per_month as f64 - 0.5;
            assert!((got - want).abs() < 1.0e-12, "step {step}: {got}");
            assert!((0.5..=1.0).contains(&share), "step {step}: {share}");
        }
    }
}

// Units.

/// Source: definitions of pound, foot, grain and inch of mercury; still air by ISO 10456;
/// saturation pressures of psychrolib 2.5.0.
/// Within 1e-5 for conversions: six printed digits. Steady vapor flows within 0.2 % of the
/// pressure below over the resistance of the slab, the error of our saturation pressure: the
/// flow itself may be a small difference, as into the slab in summer.
#[test]
fn units_of_the_trade() {
    let still_air = 2.0e-10;
    let layer_m = |perms: f64| still_air / Permeance::from_perms(perms).unwrap().get();
    let slab_perms = |mu: f64| Permeance::new(still_air / (mu * 0.1)).unwrap().perms();
    let flow = |room_c: f64, humidity: f64| {
        still_air / (100.0 * 0.1) * (saturation_pa(15.0) - humidity * saturation_pa(room_c))
    };
    let cases = rows(include_str!("unit_conversions.csv"));
    assert_eq!(cases.len(), 19);
    for row in cases {
        let want = number(&row, "value");
        let (got, is_flow) = match row["quantity"].as_str() {
            "1 lb" => (MoistureFlux::from_pounds(1.0).unwrap().get(), false),
            "3 lb" => (3.0 * MoistureFlux::POUND_PER_1000_FT2_DAY, false),
            "1 perm" => (Permeance::US_PERM, false),
            "0.1 perm as air layer" => (layer_m(0.1), false),
            "0.06 perm as air layer" => (layer_m(0.06), false),
            "0.01 perm as air layer" => (layer_m(0.01), false),
            "1 perm as air layer" => (layer_m(1.0), false),
            "10 perm as air layer" => (layer_m(10.0), false),
            "100 mm concrete mu 100" => (slab_perms(100.0), false),
            "100 mm concrete mu 80" => (slab_perms(80.0), false),
            "100 mm concrete mu 130" => (slab_perms(130.0), false),
            "vapor flow below 15 C 100 % above 20 C 50 %" => (flow(20.0, 0.5), true),
            "vapor flow below 15 C 100 % above 20 C 30 %" => (flow(20.0, 0.3), true),
            "vapor flow below 15 C 100 % above 22 C 65 %" => (flow(22.0, 0.65), true),
            other => panic!("{other} is checked by nothing"),
        };
        let flux = || MoistureFlux::new(got).unwrap();
        let got = match row["unit"].as_str() {
            "g/(m2 day)" => flux().grams_per_day(),
            "lb/(1000 ft2 24 h)" => flux().pounds(),
            _ => got,
        };
        let tolerance = match (is_flow, row["unit"].as_str()) {
            (false, _) => 1.0e-5 * want,
            (true, "kg/(m2 s)") => 0.002 * still_air / 10.0 * 1705.4,
            (true, _) => 0.002 * still_air / 10.0 * 1705.4 / MoistureFlux::POUND_PER_1000_FT2_DAY,
        };
        assert!((got - want).abs() < tolerance, "{row:?}: {got}");
    }
}

// Laws.

/// Months of weather: rain share, thaw and evapotranspiration of any month, and precipitation.
fn any_weather() -> impl Strategy<Value = Vec<Month>> {
    let month = (
        -40.0..40.0_f64,
        0.2..1.8_f64,
        0.0..500.0_f64,
        0.0..300.0_f64,
    )
        .prop_map(|(mean_c, day, precipitation_mm, evapotranspiration_mm)| {
            let mut it = MonthWeather::new(30.0, day, mean_c);
            it.evapotranspiration_mm = evapotranspiration_mm;
            (it, precipitation_mm)
        });
    proptest::collection::vec(month, 1..36)
}

fn any_soil() -> impl Strategy<Value = SoilStore> {
    (
        30.0..400.0_f64,
        0.0..1.0_f64,
        1.0..8.0_f64,
        0.0..0.4_f64,
        0.0..1.0_f64,
        0.75..1.35_f64,
    )
        .prop_map(
            |(capacity_mm, release, melt_mm_k_day, bypass, root_draw, evapotranspiration)| {
                SoilStore {
                    capacity_mm,
                    release,
                    melt_mm_k_day,
                    bypass,
                    root_draw,
                    evapotranspiration,
                }
            },
        )
}

/// Follows the water: what comes is what leaves and what stays. Evapotranspiration, direct
/// runoff and the release of the store leave; the release is worked out here from its share,
/// not from the store.
fn no_water_is_lost(
    mut balance: Balance,
    soil: SoilStore,
    months: &[Month],
) -> Result<(), TestCaseError> {
    let mut ground_mm = 0.0;
    for (weather, precipitation) in months {
        let wet = weather.evapotranspiration_mm * soil.evapotranspiration;
        let before = balance.held_mm();
        let got = balance.month(weather, *precipitation);
        let shortage = 1.0 - got.soil_mm / soil.capacity_mm;
        let full = ground_mm + got.surplus_mm;
        // Roots draw by the soil's shortage, and no more than the air could still take.
        let drawn = (soil.root_draw * shortage * full).min(wet - got.actual_evapotranspiration_mm);
        let released = soil.release * (1.0 - weather.frost_kept) * full;
        let released = (released + drawn.max(0.0)).min(full);
        ground_mm = got.ground_end_mm;
        let left = got.actual_evapotranspiration_mm + got.direct_runoff_mm + released;
        let change = balance.held_mm() - before;
        prop_assert!(
            (precipitation - left - change).abs() < 1.0e-9 * (1.0 + before + precipitation),
            "{precipitation} mm came, {left} left, {change} stayed: {got:?}"
        );
        prop_assert!((got.rain_mm + got.snowfall_mm - precipitation).abs() < 1.0e-9);
        prop_assert!((0.0..=soil.capacity_mm).contains(&got.soil_mm), "{got:?}");
        prop_assert!(got.actual_evapotranspiration_mm <= wet + 1.0e-9, "{got:?}");
        for value in [
            got.rain_mm,
            got.snowfall_mm,
            got.melt_mm,
            got.direct_runoff_mm,
            got.surplus_mm,
            got.actual_evapotranspiration_mm,
            got.ground_end_mm,
            balance.held_mm() - got.soil_mm - got.ground_end_mm + 1.0e-9,
        ] {
            prop_assert!(value >= 0.0, "{got:?}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// There and back again. Within 1e-9 K: only rounding is left.
    #[test]
    fn dew_point_turns_saturation_around(air_c in -60.0..60.0_f64) {
        let back = dew_point_c(saturation_pa(air_c));
        prop_assert!((back - air_c).abs() < 1.0e-9, "{air_c} °C: {back} °C");
    }

    /// Warmer air holds more.
    #[test]
    fn warmer_air_holds_more(air_c in -60.0..59.0_f64, more_k in 0.01..1.0_f64) {
        prop_assert!(saturation_pa(air_c + more_k) > saturation_pa(air_c));
    }

    /// The two halves of the earth share a day: what one lacks the other has.
    #[test]
    fn day_lengths_of_both_halves_add_up(latitude in -90.0..90.0_f64, day in 1.0..366.0_f64) {
        let length = day_length(latitude, day);
        prop_assert!((0.0..=2.0).contains(&length), "{length}");
        prop_assert!((length + day_length(-latitude, day) - 2.0).abs() < 1.0e-9);
    }

    /// The balance keeps every drop: what roots draw from the store below leaves with its
    /// release.
    #[test]
    fn balance_keeps_water(soil in any_soil(), months in any_weather()) {
        no_water_is_lost(Balance::new(soil), soil, &months)?;
    }

    /// More rain or snow in any one month never lowers the soil or the store, then or later.
    #[test]
    fn more_precipitation_never_dries(
        soil in any_soil(),
        months in any_weather(),
        place in 0..36_usize,
        more_mm in 0.0..200.0_f64,
    ) {
        let mut usual = Balance::new(soil);
        let mut wetter = Balance::new(soil);
        for (count, (weather, precipitation)) in months.iter().enumerate() {
            let extra = if count == place % months.len() { more_mm } else { 0.0 };
            let one = usual.month(weather, *precipitation);
            let other = wetter.month(weather, precipitation + extra);
            prop_assert!(other.soil_mm >= one.soil_mm - 1.0e-9, "{one:?} {other:?}");
            prop_assert!(other.ground_mm >= one.ground_mm - 1.0e-9, "{one:?} {other:?}");
        }
    }

    /// Roots only take.
    #[test]
    fn roots_never_raise_the_store(soil in any_soil(), months in any_weather()) {
        let mut with = Balance::new(soil);
        let mut without = Balance::new(SoilStore { root_draw: 0.0, ..soil });
        for (weather, precipitation) in &months {
            let one = with.month(weather, *precipitation);
            let other = without.month(weather, *precipitation);
            prop_assert!(one.ground_mm <= other.ground_mm + 1.0e-9);
            prop_assert_eq!(one.soil_mm, other.soil_mm);
        }
    }

    /// Warmer months bring more rain and more melt, longer days more melt.
    #[test]
    fn warmth_brings_rain_and_melt(
        mean_c in -60.0..45.0_f64,
        more_k in 0.0..10.0_f64,
        day in 0.0..2.0_f64,
        more_day in 0.0..0.5_f64,
    ) {
        prop_assert!(rain_share(mean_c + more_k) >= rain_share(mean_c));
        let thaw = thaw_k_days(30.0, day, mean_c);
        prop_assert!(thaw >= 0.0);
        prop_assert!(thaw_k_days(30.0, day, mean_c + more_k) >= thaw - 1.0e-9);
        prop_assert!(thaw_k_days(30.0, day + more_day, mean_c) >= thaw - 1.0e-9);
    }

    /// A pure swing is found again in its twelve values. Within 1e-9 K and 1e-6 days.
    #[test]
    fn harmonic_of_its_own_months(
        mean_c in -20.0..30.0_f64,
        amplitude_k in 0.5..25.0_f64,
        warmest_day in 0.0..365.0_f64,
    ) {
        let swing = Harmonic { mean_c, amplitude_k, warmest_day };
        let months = std::array::from_fn(|month| {
            swing.at((month as f64 + 0.5) / 12.0 * DAYS_PER_YEAR)
        });
        let found = Harmonic::of_months(&months);
        prop_assert!((found.mean_c - mean_c).abs() < 1.0e-9);
        prop_assert!((found.amplitude_k - amplitude_k).abs() < 1.0e-9);
        prop_assert!((0.0..=DAYS_PER_YEAR).contains(&found.warmest_day));
        let apart = (found.warmest_day - warmest_day).abs();
        prop_assert!(apart.min(DAYS_PER_YEAR - apart) < 1.0e-6, "{apart} days");
    }

    /// Deeper ground swings less, about the same mean.
    #[test]
    fn deeper_ground_swings_less(
        depth_m in 0.0..5.0_f64,
        deeper_m in 0.01..5.0_f64,
        diffusivity in 0.02..0.1_f64,
    ) {
        let surface = Harmonic { mean_c: 9.0, amplitude_k: 14.0, warmest_day: 201.0 };
        let one = ground_temperature(&surface, depth_m, diffusivity);
        let other = ground_temperature(&surface, depth_m + deeper_m, diffusivity);
        prop_assert!(other.amplitude_k < one.amplitude_k);
        prop_assert_eq!(one.mean_c, other.mean_c);
        prop_assert!((0.0..DAYS_PER_YEAR).contains(&other.warmest_day));
    }

    /// Higher water or a higher fringe never wets less; a drain never raises water.
    #[test]
    fn higher_water_wets_more(
        level_m in -5.0..5.0_f64,
        higher_m in 0.0..1.0_f64,
        fringe_m in 0.01..1.0_f64,
        cap_m in -1.0..1.0_f64,
    ) {
        let wet = contact(level_m, fringe_m);
        prop_assert!((0.0..=1.0).contains(&wet));
        prop_assert!(contact(level_m + higher_m, fringe_m) >= wet);
        prop_assert!(contact(level_m, fringe_m + higher_m) >= wet);
        let drained = WaterTable {
            mean_m: -1.9,
            usual_ground_mm: 250.0,
            specific_yield: 0.15,
                backfill_yield: 0.15,
            wall_share: 0.6,
            backfill_uptake: 1.0,
            drain_cap_m: Some(cap_m),
        };
        let capped = drained.capped_m(level_m);
        prop_assert!(capped <= level_m && capped <= cap_m);
        prop_assert!(capped == level_m || capped == cap_m);
    }
}
