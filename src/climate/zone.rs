//! The climate zone of a place, and what houses there stand on.

use super::Place;
use crate::units::{table_rows, table_text};
use std::sync::LazyLock;

crate::named_table! {
    /// Edges of the climate zones, from `tables/climate_zones.csv`.
    ClimateZoneTable from "climate_zones.csv" {
        warm_base_c,
        cold_base_c,
        hot_from,
        zone_3_cooling,
        zone_4_heating,
        zone_5_heating,
        zone_6_heating,
        zone_7_heating,
        marine_coldest_c,
        marine_warmest_c,
        marine_mild_c,
        marine_mild_months,
        marine_rain_ratio,
        dry_factor_mm,
        dry_offset_c,
        dry_warm_offset_c,
        dry_warm_share,
    }
}

/// April to September, January being 0.
const WARM_HALF: [usize; 6] = [3, 4, 5, 6, 7, 8];

/// Shares of the detached houses of a zone, of all ages.
#[derive(Debug, Clone, PartialEq)]
pub struct HouseStock {
    /// Such as "5A".
    pub zone: String,
    /// Share (0 to 1) on a basement.
    pub basement: f64,
    /// Share (0 to 1) on a slab on the ground.
    pub slab: f64,
    /// Share (0 to 1) over a crawl space.
    pub crawl_space: f64,
    /// Houses of the survey behind it.
    pub houses: f64,
}

static STOCK: LazyLock<Vec<HouseStock>> = LazyLock::new(|| {
    parse_house_stock(table_text("house_stock.csv")).expect("tests/tables.rs parses this file")
});

/// Reads the shares and adds the eras of a zone up, each by its number of houses.
///
/// # Errors
///
/// The row that is short or no number, by its line, or whose shares are no shares, by its name.
pub fn parse_house_stock(text: &str) -> Result<Vec<HouseStock>, String> {
    #[derive(serde::Deserialize)]
    struct Row {
        zone: String,
        era: String,
        basement: f64,
        slab: f64,
        crawl_space: f64,
        open_below: f64,
        houses: f64,
    }
    let mut zones: Vec<HouseStock> = Vec::new();
    for it in table_rows::<Row>(text).map_err(|it| it.to_string())? {
        let sum = it.basement + it.slab + it.crawl_space + it.open_below;
        if (sum - 1.0).abs() > 0.01 || it.houses <= 0.0 {
            return Err(format!(
                "{} {}: the shares do not add up to 1",
                it.zone, it.era
            ));
        }
        let at = match zones.iter().position(|other| other.zone == it.zone) {
            Some(at) => at,
            None => {
                zones.push(HouseStock {
                    zone: it.zone.clone(),
                    basement: 0.0,
                    slab: 0.0,
                    crawl_space: 0.0,
                    houses: 0.0,
                });
                zones.len() - 1
            }
        };
        let zone = &mut zones[at];
        let all = zone.houses + it.houses;
        let mean = |before: f64, more: f64| (before * zone.houses + more * it.houses) / all;
        (zone.basement, zone.slab, zone.crawl_space, zone.houses) = (
            mean(zone.basement, it.basement),
            mean(zone.slab, it.slab),
            mean(zone.crawl_space, it.crawl_space),
            all,
        );
    }
    Ok(zones)
}

/// The climate zone of the International Energy Conservation Code, reckoned from monthly means, so
/// near an edge it may be the next one: "5A". `None` where the winters are warmer than zone 3, or
/// colder than zone 7.
///
/// # Source
///
/// iecc-zones.
pub fn climate_zone(place: &Place) -> Option<String> {
    let table = ClimateZoneTable::bundled();
    let days = 365.25 / 12.0;
    let warm: f64 = place
        .mean_c
        .iter()
        .map(|it| (it - table.warm_base_c).max(0.0) * days)
        .sum();
    let cold: f64 = place
        .mean_c
        .iter()
        .map(|it| (table.cold_base_c - it).max(0.0) * days)
        .sum();
    if warm > table.hot_from {
        return None;
    }
    let number = match cold {
        _ if warm > table.zone_3_cooling => 3,
        it if it <= table.zone_4_heating => 3,
        it if it <= table.zone_5_heating => 4,
        it if it <= table.zone_6_heating => 5,
        it if it <= table.zone_7_heating => 6,
        _ => return None,
    };
    let coldest = place.mean_c.iter().copied().fold(f64::INFINITY, f64::min);
    let warmest = place
        .mean_c
        .iter()
        .copied()
        .fold(f64::NEG_INFINITY, f64::max);
    let mild = place
        .mean_c
        .iter()
        .filter(|it| **it > table.marine_mild_c)
        .count() as f64;
    let rain = |months: &[usize], of: fn(f64, f64) -> f64, from: f64| {
        months
            .iter()
            .map(|it| place.precipitation_mm[*it])
            .fold(from, of)
    };
    let wettest_cold = rain(&[9, 10, 11, 0, 1, 2], f64::max, 0.0);
    let driest_warm = rain(&WARM_HALF, f64::min, f64::INFINITY);
    let is_marine = coldest > table.marine_coldest_c
        && warmest < table.marine_warmest_c
        && mild >= table.marine_mild_months
        && wettest_cold >= table.marine_rain_ratio * driest_warm;
    let yearly_c = place.mean_c.iter().sum::<f64>() / 12.0;
    let yearly_mm: f64 = place.precipitation_mm.iter().sum();
    let warm_mm: f64 = WARM_HALF.iter().map(|it| place.precipitation_mm[*it]).sum();
    let offset_c = match warm_mm / yearly_mm {
        share if share >= table.dry_warm_share => table.dry_warm_offset_c,
        share if share <= 1.0 - table.dry_warm_share => 0.0,
        _ => table.dry_offset_c,
    };
    let letter = if is_marine {
        'C'
    } else if yearly_mm < table.dry_factor_mm * (yearly_c + offset_c) {
        'B'
    } else {
        'A'
    };
    Some(format!("{number}{letter}"))
}

/// What houses of a place's climate zone stand on, where it was counted.
pub fn house_stock(place: &Place) -> Option<&'static HouseStock> {
    // The survey is of the United States.
    let is_counted = !["CA-", "CAN-"]
        .iter()
        .any(|it| place.station_id.starts_with(it));
    let zone = climate_zone(place).filter(|_| is_counted)?;
    STOCK.iter().find(|it| it.zone == zone)
}
