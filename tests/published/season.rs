//! Humid air, water balance, ground temperature, water table and room air against published
//! values, other programs and observed wells, and the laws that hold for any place.

use crate::table::{number, rows};
use proptest::prelude::*;
use slabseason::season::{
    Balance, BalanceMonth, DAYS_PER_YEAR, Harmonic, Outdoors, STEPS_PER_MONTH, SeasonTable,
    SoilStore, WaterTable, between_months, contact, day_length, dew_point, dew_point_c,
    ground_temperature, hamon_evapotranspiration, room_swing, saturation_pa, saturation_pressure,
    ventilation_conductance,
};
use slabseason::units::{Celsius, MoistureFlux, Pascals, Permeance};
use std::collections::HashMap;

type Row = HashMap<String, String>;
/// One month: mean temperature in °C, precipitation and evapotranspiration in mm.
type MonthWeather = (f64, f64, f64);

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

/// One year's weather, month by month: mean temperature, precipitation, evapotranspiration.
fn weather(months: &[Row]) -> Vec<MonthWeather> {
    months
        .iter()
        .map(|row| {
            (
                number(row, "mean_c"),
                number(row, "precipitation_mm"),
                number(row, "evapotranspiration_mm"),
            )
        })
        .collect()
}

/// The last of so many equal years.
fn last_year(mut balance: Balance, months: &[MonthWeather], years: usize) -> Vec<BalanceMonth> {
    let mut last = Vec::new();
    for _ in 0..years {
        last = months
            .iter()
            .map(|(mean_c, rain_mm, wet_mm)| balance.month(*mean_c, *rain_mm, *wet_mm))
            .collect();
    }
    last
}

/// Source: McCabe and Markstrom 2007 programmed in NumPy; four climates, last of 50 years.
/// Within 0.0005 mm in all ten columns: the table and the evapotranspiration that goes in are
/// printed with four decimals, and a dozen months' rounding adds up in the stores.
#[test]
fn water_balance_of_another_program() {
    let cases = groups(include_str!("water_balance.csv"), "case");
    assert_eq!(cases.len(), 4);
    for (case, months) in cases {
        let mut balance = Balance::without_root_draw(SoilStore {
            capacity_mm: 150.0,
            release: 0.5,
            all_snow_c: -10.0,
        });
        let year = weather(&months);
        let mut carried = 0.0;
        for turn in 0..50 {
            for (row, (mean_c, precipitation, wet)) in months.iter().zip(&year) {
                let got = balance.month(*mean_c, *precipitation, *wet);
                let released = carried + got.surplus_mm - got.ground_end_mm;
                let ground_mm = 0.5 * (carried + got.ground_end_mm);
                carried = got.ground_end_mm;
                if turn < 49 {
                    continue;
                }
                assert!((got.ground_mm - ground_mm).abs() < 1.0e-9);
                for (value, column) in [
                    (got.rain_mm, "rain_mm"),
                    (got.snowfall_mm, "snowfall_mm"),
                    (got.melt_mm, "melt_mm"),
                    (got.direct_runoff_mm, "direct_runoff_mm"),
                    (got.soil_mm, "soil_mm"),
                    (got.surplus_mm, "surplus_mm"),
                    (
                        got.actual_evapotranspiration_mm,
                        "actual_evapotranspiration_mm",
                    ),
                    (got.ground_end_mm, "carried_mm"),
                    (released, "released_mm"),
                    (
                        balance.held_mm() - got.soil_mm - got.ground_end_mm,
                        "snow_store_mm",
                    ),
                ] {
                    let want = number(row, column);
                    assert!(
                        (value - want).abs() < 5.0e-4,
                        "{case}, month {}, {column}: {value}, other program {want}",
                        row["month"]
                    );
                }
            }
        }
    }
}

/// Source: the claim of `balance_years` in tables/season.csv; weather of Dourado-Neto and
/// others 2010 and of the four climates, made drier by up to 70 %, over a large soil.
/// After that many years the soil is within 1 mm of 250 and the store below within 0.01 mm of
/// a hundred years: the worst case, cold and just too dry to fill the soil, is 0.4 mm away.
#[test]
fn balance_repeats_after_its_years() {
    let years = SeasonTable::bundled().balance_years as usize;
    let mut places: Vec<(String, Vec<MonthWeather>)> =
        groups(include_str!("water_balance.csv"), "case")
            .into_iter()
            .map(|(case, months)| (case, weather(&months)))
            .collect();
    let dry = rows(include_str!("dry_climate.csv"));
    places.push((
        "Petrolina".to_string(),
        dry.iter()
            .map(|row| {
                (
                    25.0,
                    number(row, "precipitation_mm"),
                    number(row, "evapotranspiration_mm"),
                )
            })
            .collect(),
    ));
    let mut worst: f64 = 0.0;
    for (case, months) in places {
        for share in [0.3, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1.0] {
            let drier: Vec<_> = months
                .iter()
                .map(|(mean_c, rain, wet)| (*mean_c, share * rain, *wet))
                .collect();
            let soil = SoilStore {
                capacity_mm: 250.0,
                release: 0.2,
                all_snow_c: -5.0,
            };
            let soon = last_year(Balance::new(soil), &drier, years);
            let late = last_year(Balance::new(soil), &drier, 100);
            for (one, other) in soon.iter().zip(&late) {
                worst = worst.max((one.soil_mm - other.soil_mm).abs());
                assert!(
                    (one.soil_mm - other.soil_mm).abs() < 1.0,
                    "{case} with {share} of the rain: soil {} and {} mm",
                    one.soil_mm,
                    other.soil_mm
                );
                assert!((one.ground_mm - other.ground_mm).abs() < 0.01, "{case}");
            }
        }
    }
    println!("after {years} years the soil is within {worst:.2} mm of its rest");
}

// Observed wells.

struct Well {
    name: String,
    months: Vec<MonthWeather>,
    head_m: Vec<f64>,
}

fn wells() -> Vec<Well> {
    groups(include_str!("wells.csv"), "site")
        .into_iter()
        .map(|(name, months)| Well {
            months: weather(&months),
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

/// Soil as the wells are tried with: the middle of the thresholds drawn for snow.
fn soil_with(release: f64) -> SoilStore {
    SoilStore {
        capacity_mm: 150.0,
        release,
        all_snow_c: -5.0,
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

/// Source: the same balance in NumPy on the same weather, without roots below the soil.
/// Correlations within 0.002, because the weather in our table is rounded to 0.01 mm and the
/// other program's was not; highest and lowest months agree.
#[test]
fn wells_as_another_program_sees_them() {
    let cases = rows(include_str!("wells_other_program.csv"));
    assert_eq!(cases.len(), 30);
    for row in cases {
        let well = well(&row["site"]);
        let balance = Balance::without_root_draw(SoilStore {
            all_snow_c: -10.0,
            ..soil_with(number(&row, "release"))
        });
        // What is left after the release is a fixed share of the other program's store.
        let store: Vec<f64> = last_year(balance, &well.months, 50)
            .iter()
            .map(|it| it.ground_end_mm)
            .collect();
        let got = correlation(&store, &well.head_m);
        let want = number(&row, "correlation");
        assert!((got - want).abs() < 0.002, "{row:?}: {got}");
        assert_eq!(
            highest_month(&store) as f64,
            number(&row, "highest"),
            "{row:?}"
        );
        assert_eq!(
            lowest_month(&store) as f64,
            number(&row, "lowest"),
            "{row:?}"
        );
    }
}

/// Source: observed levels at Kingstown, Rhode Island, 2003-2018 (pastas).
/// At least 0.9 at a release of 0.3, which leaves the two curves a fifth of the variance to
/// differ by: twelve means of sixteen years cannot ask for more. The observed peak is April; the
/// store may come one month early, since it has no way down to the water.
#[test]
fn well_at_kingstown() {
    let well = well("kingstown_ri");
    assert_eq!(highest_month(&well.head_m), 4);
    let store = store_mm(&well, Balance::new(soil_with(0.3)));
    let got = correlation(&store, &well.head_m);
    assert!(got >= 0.9, "correlation {got}");
    let peak = highest_month(&store);
    assert!((3..=4).contains(&peak), "peak in month {peak}");
    let low = lowest_month(&store);
    assert!((9..=10).contains(&low), "lowest in month {low}");
    // A store that empties faster peaks too early: every step up from 0.2 fits worse.
    let fits: Vec<f64> = [0.2, 0.3, 0.4, 0.5, 0.6]
        .iter()
        .map(|release| fit(&well, *release))
        .collect();
    println!("kingstown_ri: {fits:.3?} at releases 0.2 to 0.6, peak in month {peak} at 0.3");
    assert!(fits.windows(2).all(|it| it[0] > it[1]), "{fits:?}");
}

/// Source: observed levels in three Dutch wells, 5 to 27 years (pastas).
/// At least 0.75 at a release of 0.3: one of the three has five years only, and its twelve
/// means still carry the weather of single years.
#[test]
fn dutch_wells() {
    for name in ["b58c0698_nl", "b28h1804_nl", "b32c0609_nl"] {
        let well = well(name);
        let store = store_mm(&well, Balance::new(soil_with(0.3)));
        let got = correlation(&store, &well.head_m);
        let (model, observed) = (highest_month(&store), highest_month(&well.head_m));
        println!("{name}: {got:.3}, peak in month {model}, observed {observed}");
        assert!(got >= 0.75, "{name}: correlation {got}");
        assert!(
            model.abs_diff(observed) <= 1,
            "{name}: peak in month {model}"
        );
    }
}

/// Source: observed levels at Heby, Sweden, 1980-2020 (pastas).
/// The model fits poorly here, between 0.6 and 0.8 at a release of 0.3: at a monthly mean of
/// -2.6 °C it still has 29 % of the precipitation fall as rain and melts a seventh of the snow,
/// so the store peaks in March where the water stands highest in May. A lower limit for snow
/// nearer to 0 °C fits better.
#[test]
fn snowy_well_peaks_too_early() {
    let well = well("heby_se");
    assert_eq!(highest_month(&well.head_m), 5);
    let store = store_mm(&well, Balance::new(soil_with(0.3)));
    let got = correlation(&store, &well.head_m);
    let peak = highest_month(&store);
    println!("heby_se: {got:.3}, peak in month {peak}, observed 5");
    assert!((0.6..0.8).contains(&got), "correlation {got}");
    assert!((3..=4).contains(&peak), "peak in month {peak}");
    let later_thaw = Balance::new(SoilStore {
        all_snow_c: -1.0,
        ..soil_with(0.3)
    });
    let better = correlation(&store_mm(&well, later_thaw), &well.head_m);
    assert!(
        better > got,
        "{better} with all snow at -1 °C, {got} at -5 °C"
    );
}

/// Source: observed levels at Gossau, Switzerland, 1984-2023 (pastas).
/// The model is wrong here, under 0.6 at a release of 0.3: summers are the wet season and the
/// soil never dries, so the store follows the rain into August, while the water stands highest
/// in June and lowest in November.
#[test]
fn well_with_wet_summers_is_missed() {
    let well = well("gossau_ch");
    assert_eq!(highest_month(&well.head_m), 6);
    let store = store_mm(&well, Balance::new(soil_with(0.3)));
    let got = correlation(&store, &well.head_m);
    let peak = highest_month(&store);
    println!("gossau_ch: {got:.3}, peak in month {peak}, observed 6");
    assert!(got < 0.6, "correlation {got}: Gossau fits now, say so");
    assert_eq!(peak, 8);
    let wettest = highest_month(&well.months.iter().map(|it| it.1).collect::<Vec<_>>());
    assert!((6..=8).contains(&wettest), "wettest month {wettest}");
}

/// Source: the claim of `root_draw` in tables/season.csv; the wells of wells.csv.
/// Roots below the soil raise the mean correlation of the four wells without snow at a
/// release of 0.3, most at the two that dry out deepest. They do nothing at Gossau, where the
/// soil never runs short, and change the fit at Heby by less than 0.02 either way.
#[test]
fn roots_on_the_store_help_where_summers_are_dry() {
    let gain = |name: &str| {
        let well = well(name);
        let without = correlation(
            &store_mm(&well, Balance::without_root_draw(soil_with(0.3))),
            &well.head_m,
        );
        let gained = fit(&well, 0.3) - without;
        println!("{name}: roots change the correlation by {gained:+.3}");
        gained
    };
    let mild: Vec<f64> = ["kingstown_ri", "b58c0698_nl", "b28h1804_nl", "b32c0609_nl"]
        .iter()
        .map(|name| gain(name))
        .collect();
    assert!(mild.iter().sum::<f64>() / 4.0 > 0.01, "{mild:?}");
    assert!(mild.iter().all(|it| *it > -0.01), "{mild:?}");
    assert!(gain("gossau_ch").abs() < 0.01);
    let heby = gain("heby_se");
    assert!(heby.abs() < 0.02, "{heby}: Heby fits otherwise now, say so");
}

/// Source: the claim of the row `bypass` in tables/priors.csv; the wells of wells.csv.
/// A tenth of rain and melt that runs past the soil lifts the fit at snowy Heby from about 0.74
/// to 0.85 and takes nothing from the others (less than 0.01).
#[test]
fn water_past_the_soil_helps_where_snow_melts() {
    for name in [
        "kingstown_ri",
        "b58c0698_nl",
        "b28h1804_nl",
        "b32c0609_nl",
        "heby_se",
    ] {
        let well = well(name);
        let past = Balance::new(soil_with(0.3)).with_bypass(0.1);
        let gained = correlation(&store_mm(&well, past), &well.head_m) - fit(&well, 0.3);
        println!("{name}: water past the soil changes the correlation by {gained:+.3}");
        if name == "heby_se" {
            assert!(gained > 0.05, "{gained}");
        } else {
            assert!(gained > -0.01, "{name}: {gained}");
        }
    }
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

/// Source: by hand. 150 mm in pores of 0.15 stand 150/(1000 0.15) = 1 m above -1.9 m. Rain of
/// 90 mm on a soil half full and 15 mm of melt lead 90/2 + 15 = 60 mm to the walls; 0.6 times
/// that in the same pores is 0.24 m. Ten times the share would be 2.4 m, and is held at the
/// table's 1.2 m. Within 1e-12: only rounding is left.
#[test]
fn level_at_the_slab() {
    let month = BalanceMonth {
        rain_mm: 90.0,
        melt_mm: 15.0,
        soil_mm: 75.0,
        ground_mm: 150.0,
        ..BalanceMonth::default()
    };
    let open = WaterTable {
        base_m: -1.9,
        specific_yield: 0.15,
        wall_share: 0.6,
        drain_cap_m: None,
    };
    assert!((open.from_ground_m(&month) - -0.9).abs() < 1.0e-12);
    assert!((open.from_walls_m(&month, 150.0) - 0.24).abs() < 1.0e-12);
    assert!((open.uncapped_m(&month, 150.0) - -0.66).abs() < 1.0e-12);
    let flooded = WaterTable {
        wall_share: 6.0,
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

/// Months of weather: mean temperature, precipitation and evapotranspiration.
fn any_weather() -> impl Strategy<Value = Vec<MonthWeather>> {
    proptest::collection::vec((-40.0..40.0_f64, 0.0..500.0_f64, 0.0..300.0_f64), 1..36)
}

fn any_soil() -> impl Strategy<Value = SoilStore> {
    (30.0..400.0_f64, 0.0..1.0_f64, -10.0..-1.0_f64).prop_map(
        |(capacity_mm, release, all_snow_c)| SoilStore {
            capacity_mm,
            release,
            all_snow_c,
        },
    )
}

/// Follows the water: what comes is what leaves and what stays. Evapotranspiration, direct
/// runoff and the release of the store leave; the release is worked out here from its share,
/// not from the store.
fn no_water_is_lost(
    mut balance: Balance,
    soil: SoilStore,
    root_draw: f64,
    months: &[MonthWeather],
) -> Result<(), TestCaseError> {
    let mut ground_mm = 0.0;
    for (mean_c, precipitation, wet) in months {
        let before = balance.held_mm();
        let got = balance.month(*mean_c, *precipitation, *wet);
        let shortage = 1.0 - got.soil_mm / soil.capacity_mm;
        let full = ground_mm + got.surplus_mm;
        // Roots draw by the soil's shortage, and no more than the air could still take.
        let drawn = (root_draw * shortage * full).min(wet - got.actual_evapotranspiration_mm);
        let released = (soil.release * full + drawn.max(0.0)).min(full);
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

    /// The published model keeps every drop.
    #[test]
    fn balance_keeps_water(soil in any_soil(), months in any_weather()) {
        no_water_is_lost(Balance::without_root_draw(soil), soil, 0.0, &months)?;
    }

    /// So does ours: what roots draw from the store below leaves with its release.
    #[test]
    fn balance_with_roots_keeps_water(soil in any_soil(), months in any_weather()) {
        let root_draw = SeasonTable::bundled().root_draw;
        no_water_is_lost(Balance::new(soil), soil, root_draw, &months)?;
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
        for (count, (mean_c, precipitation, wet)) in months.iter().enumerate() {
            let extra = if count == place % months.len() { more_mm } else { 0.0 };
            let one = usual.month(*mean_c, *precipitation, *wet);
            let other = wetter.month(*mean_c, precipitation + extra, *wet);
            prop_assert!(other.soil_mm >= one.soil_mm - 1.0e-9, "{one:?} {other:?}");
            prop_assert!(other.ground_mm >= one.ground_mm - 1.0e-9, "{one:?} {other:?}");
        }
    }

    /// Roots only take.
    #[test]
    fn roots_never_raise_the_store(soil in any_soil(), months in any_weather()) {
        let mut with = Balance::new(soil);
        let mut without = Balance::without_root_draw(soil);
        for (mean_c, precipitation, wet) in &months {
            let one = with.month(*mean_c, *precipitation, *wet);
            let other = without.month(*mean_c, *precipitation, *wet);
            prop_assert!(one.ground_mm <= other.ground_mm + 1.0e-9);
            prop_assert_eq!(one.soil_mm, other.soil_mm);
        }
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
            base_m: -1.9,
            specific_yield: 0.15,
            wall_share: 0.6,
            drain_cap_m: Some(cap_m),
        };
        let capped = drained.capped_m(level_m);
        prop_assert!(capped <= level_m && capped <= cap_m);
        prop_assert!(capped == level_m || capped == cap_m);
    }
}
