//! Makes `tables/climate_normals.csv` and `tables/climate_old_stations.csv` from NOAA's and
//! Canada's station normals.
//!
//! ```text
//! cargo run --release --example make_climate -- NOAA.csv SHIFT.csv ECCC.csv EARLIER.csv tables
//! cargo run --release --example make_climate -- NOAA.csv SHIFT.csv ECCC.csv EARLIER.csv curve
//! ```
//!
//! `EARLIER.csv` are the compiled normals of the earlier table, which give dew points, names and
//! ids. Stations that the earlier table had are kept; of the others those are added, in turns,
//! that most help to tell the climate at stations that are not kept, up to [`KEPT`]. Old ids that
//! are not kept name a position, and the few that are far from all others keep their old rows.
//! `curve` prints what a number of stations is worth: errors at stations that were never kept,
//! in temperature, rain, and the chance of four floors.

use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};

use anyhow::{Context, bail, ensure};
use slabseason::climate::{
    OldStation, Place, Station, find_place_among, parse_normals, parse_old_stations, rules,
    write_normals, write_old_stations,
};
use slabseason::odds::posterior::{Ahead, Effort, Limits, posterior};
use slabseason::survey::parse_visit;

#[allow(dead_code)]
#[path = "lay_out_climate.rs"]
mod lay_out_climate;

/// Stations of the table: where the curve has flattened; see DEVELOPERS.md.
pub const KEPT: usize = 3_200;

fn main() -> anyhow::Result<()> {
    let args: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [noaa, shift, canada, earlier, to] = args.as_slice() else {
        bail!(
            "five arguments are needed: NOAA.csv SHIFT.csv ECCC.csv EARLIER.csv and a folder or the word curve"
        );
    };
    let earlier = parse_normals(&lay_out_climate::laid_out_normals(&read(earlier)?)?)?;
    let all = all_stations(&read(noaa)?, &read(shift)?, &read(canada)?, &earlier)?;
    println!("{} stations have temperature and precipitation", all.len());
    if to.as_os_str() == "curve" {
        curve(&all, &earlier);
        return Ok(());
    }
    let kept = thinned(&all, &earlier, KEPT, |_| false);
    let mut kept: Vec<Station> = kept.iter().map(|it| all[*it].clone()).collect();
    let mut old = without_row(&earlier, &kept);
    let lonely = far_from(&kept, &old);
    kept.extend(earlier.iter().filter(|it| lonely.contains(&it.id)).cloned());
    kept.sort_by(|one, other| one.id.cmp(&other.id));
    old.retain(|it| !lonely.contains(&it.id));
    let (normals, olds) = (write_normals(&kept), write_old_stations(&old));
    ensure!(
        parse_normals(&normals)?.len() == kept.len(),
        "rows are lost"
    );
    ensure!(parse_old_stations(&olds)? == old, "old rows are lost");
    println!(
        "{} stations kept, {} old ids by position",
        kept.len(),
        old.len()
    );
    write(to, "climate_normals.csv", &normals)?;
    write(to, "climate_old_stations.csv", &olds)
}

/// Stations of both countries with all months, by id, with dew points from the earlier table.
pub fn all_stations(
    noaa: &str,
    shift: &str,
    canada: &str,
    earlier: &[Station],
) -> anyhow::Result<Vec<Station>> {
    let mut ratios: HashMap<String, [f64; 12]> = HashMap::new();
    for row in rows(shift)? {
        if let Some(months) = row.months("p_ratio")? {
            ratios.insert(row.cell("state")?.to_string(), months);
        }
    }
    let names: HashMap<String, &str> = earlier
        .iter()
        .map(|it| (today_id(&it.id), it.name.as_str()))
        .collect();
    let mut res = Vec::new();
    for row in rows(noaa)? {
        let (Some(mean_c), Some(rain_mm)) = (row.months("t9120")?, row.months("p8110")?) else {
            continue;
        };
        let state = row.cell("state")?;
        let ratio = ratios.get(state);
        let id = row.cell("id")?.to_string();
        let name = match names.get(&id) {
            Some(known) => (*known).to_string(),
            None => spoken_name(row.cell("name")?),
        };
        res.push(Station {
            name,
            admin: state.to_string(),
            country: "US".to_string(),
            period: "1991-2020".to_string(),
            source_key: if ratio.is_some() {
                "noaa"
            } else {
                "noaa_uncarried"
            }
            .to_string(),
            precipitation_mm: std::array::from_fn(|month| {
                rain_mm[month] * ratio.map_or(1.0, |it| it[month])
            }),
            ..row.station(id, mean_c, "lat", "lon")?
        });
    }
    for row in rows(canada)? {
        let (Some(mean_c), Some(precipitation_mm)) = (row.months("t")?, row.months("p")?) else {
            continue;
        };
        res.push(Station {
            name: spoken_name(row.cell("name")?),
            admin: row.cell("prov")?.to_string(),
            country: "CA".to_string(),
            period: "1981-2010".to_string(),
            source_key: "eccc".to_string(),
            precipitation_mm,
            ..row.station(format!("CA-{}", row.cell("stn_id")?), mean_c, "lat", "lon")?
        });
    }
    for it in &mut res {
        let around = find_place_among(earlier, it.latitude_deg, it.longitude_deg, it.elevation_m);
        // Where no earlier station with a dew point is near, none is given: a place then takes
        // it from farther ones and says so.
        let is_rough = |place: &Place| place.warnings.iter().any(|it| it.contains("dew point"));
        let own = earlier
            .iter()
            .find(|old| today_id(&old.id) == it.id && old.dew_point_c.is_some());
        let depression_k: Option<[f64; 12]> = match (own, around) {
            (Some(old), _) => old
                .dew_point_c
                .map(|dew| std::array::from_fn(|m| (old.mean_c[m] - dew[m]).max(0.0))),
            (None, Ok(place)) if !is_rough(&place) => Some(std::array::from_fn(|m| {
                place.mean_c[m] - place.dew_point_c[m]
            })),
            (None, _) => None,
        };
        it.dew_point_c =
            depression_k.map(|depression| std::array::from_fn(|m| it.mean_c[m] - depression[m]));
        round(it);
    }
    res.sort_by(|one, other| one.id.cmp(&other.id));
    Ok(res)
}

/// To the digits of the table.
fn round(it: &mut Station) {
    let to = |value: f64, scale: f64| (value * scale).round() / scale;
    it.latitude_deg = to(it.latitude_deg, 1_000.0);
    it.longitude_deg = to(it.longitude_deg, 1_000.0);
    it.elevation_m = it.elevation_m.map(|m| to(m, 1.0));
    it.mean_c = it.mean_c.map(|c| to(c, 10.0));
    it.precipitation_mm = it.precipitation_mm.map(|mm| to(mm, 10.0));
    it.dew_point_c = it.dew_point_c.map(|months| months.map(|c| to(c, 10.0)));
}

/// The id that NOAA has for a station of the earlier table: a cooperative station's number.
pub fn today_id(earlier: &str) -> String {
    match earlier.strip_prefix("CLG-") {
        Some(rest) if rest.len() == 8 => format!("USC00{}", &rest[2..]),
        _ => earlier.to_string(),
    }
}

/// Stations of the earlier table that the kept ones do not have.
pub fn without_row(earlier: &[Station], kept: &[Station]) -> Vec<OldStation> {
    let ids: HashSet<&str> = kept.iter().map(|it| it.id.as_str()).collect();
    earlier
        .iter()
        .filter(|it| !ids.contains(today_id(&it.id).as_str()))
        .map(|it| OldStation {
            id: it.id.clone(),
            name: it.name.clone(),
            admin: it.admin.clone(),
            latitude_deg: it.latitude_deg,
            longitude_deg: it.longitude_deg,
            elevation_m: it.elevation_m,
        })
        .collect()
}

/// Old stations that are too far from all others to be told by position, such as Guam's: these
/// keep their row and its years.
fn far_from(kept: &[Station], old: &[OldStation]) -> HashSet<String> {
    let is_far = |it: &&OldStation| {
        find_place_among(kept, it.latitude_deg, it.longitude_deg, it.elevation_m).is_err()
    };
    old.iter().filter(is_far).map(|it| it.id.clone()).collect()
}

/// "Burlington International Airport" of "BURLINGTON INTL AP"; compass points stay as they are.
pub fn spoken_name(listed: &str) -> String {
    let words = listed.split_whitespace().map(|word| match word {
        "INTL" => "International".to_string(),
        "AP" | "A" => "Airport".to_string(),
        "RGNL" => "Regional".to_string(),
        "MUNI" => "Municipal".to_string(),
        "RSVR" => "Reservoir".to_string(),
        "MTN" => "Mountain".to_string(),
        _ if word.starts_with(|it: char| it.is_ascii_digit()) => word.to_string(),
        "N" | "E" | "S" | "W" | "NE" | "NW" | "SE" | "SW" | "NNE" | "NNW" | "SSE" | "SSW"
        | "ENE" | "ESE" | "WNW" | "WSW" | "WSO" | "WB" | "WFO" | "AFB" | "CS" => word.to_string(),
        _ => {
            let mut res = String::new();
            let mut is_first = true;
            for letter in word.chars() {
                if is_first {
                    res.push(letter);
                } else {
                    res.extend(letter.to_lowercase());
                }
                is_first = !letter.is_alphabetic() && letter != '\'';
            }
            res
        }
    });
    words.collect::<Vec<_>>().join(" ")
}

/// Stations within reach of a station, nearest first, that may speak for it.
const REACH: usize = 48;
/// Stations added in one turn.
const TURN: usize = 100;
/// Two stations added in one turn stand at least so far apart.
const TURN_KM: f64 = 60.0;
/// Errors of temperature and rain that weigh the same: 0.6 K and 12 % of a month.
const EQUAL_K: f64 = 0.6;
const EQUAL_RAIN: f64 = 0.12;

/// Indices of the stations that are kept, in order.
fn thinned(
    all: &[Station],
    earlier: &[Station],
    most: usize,
    never: impl Fn(&Station) -> bool,
) -> Vec<usize> {
    let old: HashSet<String> = earlier.iter().map(|it| today_id(&it.id)).collect();
    let near: Vec<Vec<(f64, usize)>> = (0..all.len()).map(|it| reach(all, it)).collect();
    let mut kept: Vec<bool> = all
        .iter()
        .map(|it| old.contains(&it.id) && !never(it))
        .collect();
    let mut count = kept.iter().filter(|it| **it).count();
    // What a station could help: those that have it within reach.
    let mut helped: Vec<Vec<usize>> = vec![Vec::new(); all.len()];
    for (at, list) in near.iter().enumerate() {
        for (_, other) in list {
            helped[*other].push(at);
        }
    }
    while count < most {
        let errors: Vec<f64> = (0..all.len())
            .map(|it| error_at(all, &near[it], it, &kept, None))
            .collect();
        let mut gains: Vec<(f64, usize)> = (0..all.len())
            .filter(|it| !kept[*it] && !never(&all[*it]))
            .map(|candidate| {
                let gain: f64 = helped[candidate]
                    .iter()
                    .filter(|it| !kept[**it])
                    .map(|it| errors[*it] - error_at(all, &near[*it], *it, &kept, Some(candidate)))
                    .sum();
                (gain, candidate)
            })
            .filter(|it| it.0 > 0.0)
            .collect();
        gains.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
        let mut turn: Vec<usize> = Vec::new();
        for (_, candidate) in gains {
            if turn.len() == TURN || count + turn.len() == most {
                break;
            }
            if turn
                .iter()
                .all(|it| effective_km(&all[*it], &all[candidate]) > TURN_KM)
            {
                turn.push(candidate);
            }
        }
        if turn.is_empty() {
            break;
        }
        count += turn.len();
        for it in turn {
            kept[it] = true;
        }
    }
    (0..all.len()).filter(|it| kept[*it]).collect()
}

/// Distance as `climate` counts it: height costs kilometers.
fn effective_km(one: &Station, other: &Station) -> f64 {
    let rules = rules();
    let half = |a: f64, b: f64| ((a - b).to_radians() / 2.0).sin().powi(2);
    let cosines = one.latitude_deg.to_radians().cos() * other.latitude_deg.to_radians().cos();
    let haversine = half(one.latitude_deg, other.latitude_deg)
        + cosines * half(one.longitude_deg, other.longitude_deg);
    let ground_km = 12_742.0 * haversine.sqrt().min(1.0).asin();
    let height_m = match (one.elevation_m, other.elevation_m) {
        (Some(a), Some(b)) => a - b,
        _ => 0.0,
    };
    ground_km.hypot(rules.height_km_per_100m * height_m / 100.0) + rules.softening_km
}

fn reach(all: &[Station], at: usize) -> Vec<(f64, usize)> {
    let here = &all[at];
    let mut res: Vec<(f64, usize)> = (0..all.len())
        .filter(|it| *it != at && (all[*it].latitude_deg - here.latitude_deg).abs() < 4.0)
        .map(|it| (effective_km(here, &all[it]), it))
        .collect();
    res.sort_by(|one, other| one.0.total_cmp(&other.0));
    res.truncate(REACH);
    res
}

/// How far the kept stations are off at a station, in units of [`EQUAL_K`] and [`EQUAL_RAIN`].
fn error_at(
    all: &[Station],
    near: &[(f64, usize)],
    at: usize,
    kept: &[bool],
    more: Option<usize>,
) -> f64 {
    let rules = rules();
    let around: Vec<(f64, usize)> = near
        .iter()
        .filter(|it| kept[it.1] || Some(it.1) == more)
        .take(rules.stations_in_mean)
        .map(|it| (1.0 / (it.0 * it.0), it.1))
        .collect();
    if around.is_empty() {
        return 5.0;
    }
    let total: f64 = around.iter().map(|it| it.0).sum();
    let here = &all[at];
    let (mut off_k, mut off_mm, mut rain_mm) = (0.0, 0.0, 0.0);
    for month in 0..12 {
        let (mut mean_c, mut precipitation_mm) = (0.0, 0.0);
        for (weight, it) in &around {
            let higher_m = match (here.elevation_m, all[*it].elevation_m) {
                (Some(a), Some(b)) => a - b,
                _ => 0.0,
            };
            let lapse_k = rules.temperature_lapse_k_per_km * higher_m / 1_000.0;
            mean_c += weight / total * (all[*it].mean_c[month] - lapse_k);
            precipitation_mm += weight / total * all[*it].precipitation_mm[month];
        }
        off_k += (mean_c - here.mean_c[month]).abs() / 12.0;
        off_mm += (precipitation_mm - here.precipitation_mm[month]).abs();
        rain_mm += here.precipitation_mm[month];
    }
    off_k / EQUAL_K + off_mm / rain_mm.max(1.0) / EQUAL_RAIN
}

/// Four floors whose chance shows what an error of climate is worth.
const FLOORS: [(&str, &str); 4] = [
    ("nothing known", ""),
    (
        "low, failing",
        "floor.year_built = 1958\nlot.position = \"low\"\nlot.drainage = \"failing\"\n",
    ),
    (
        "level",
        "floor.year_built = 1975\nlot.position = \"level\"\n",
    ),
    (
        "new, sound",
        "floor.year_built = 2015\nfloor.retarder = \"seen\"\nlot.drainage = \"sound\"\n",
    ),
];

/// One station in ten, by its id alone.
fn is_test(it: &Station) -> bool {
    let digest = it.id.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    digest.is_multiple_of(10)
}

fn curve(all: &[Station], earlier: &[Station]) {
    let tests: Vec<usize> = (0..all.len()).filter(|it| is_test(&all[*it])).collect();
    // Floors cost a hundred times as much as a climate.
    let with_dew_point = |it: &usize| all[*it].dew_point_c.is_some();
    let some: Vec<usize> = tests
        .iter()
        .copied()
        .filter(with_dew_point)
        .step_by(9)
        .collect();
    let own: Vec<[f64; 4]> = some
        .iter()
        .map(|it| chances(&own_climate(all, *it)))
        .collect();
    println!(
        "{} stations never kept; floors at {} of them",
        tests.len(),
        some.len()
    );
    println!(
        "| table | stations | temperature K | nine of ten under | rain of a month % | nine of ten under | chance of four floors, mean and most |"
    );
    println!("|---|---|---|---|---|---|---|");
    let line = |name: &str, among: &[Station]| {
        let (mut off_k, mut off_rain) = (Vec::new(), Vec::new());
        for it in &tests {
            let here = &all[*it];
            let Ok(place) = find_place_among(
                among,
                here.latitude_deg,
                here.longitude_deg,
                here.elevation_m,
            ) else {
                continue;
            };
            off_k.push(
                (0..12)
                    .map(|m| (place.mean_c[m] - here.mean_c[m]).abs())
                    .sum::<f64>()
                    / 12.0,
            );
            let off: f64 = (0..12)
                .map(|m| (place.precipitation_mm[m] - here.precipitation_mm[m]).abs())
                .sum();
            off_rain.push(100.0 * off / here.precipitation_mm.iter().sum::<f64>());
        }
        let mut off_chance = Vec::new();
        for (it, own) in some.iter().zip(&own) {
            let here = &all[*it];
            let found = find_place_among(
                among,
                here.latitude_deg,
                here.longitude_deg,
                here.elevation_m,
            );
            if let Ok(place) = found {
                let said = chances(&Place {
                    dew_point_c: own_climate(all, *it).dew_point_c,
                    ..place
                });
                off_chance.extend((0..4).map(|k| (said[k] - own[k]).abs()));
            }
        }
        let mean = |it: &[f64]| it.iter().sum::<f64>() / it.len() as f64;
        let nine = |it: &mut Vec<f64>| {
            it.sort_by(f64::total_cmp);
            it[it.len() * 9 / 10]
        };
        println!(
            "| {name} | {} | {:.2} | {:.2} | {:.1} | {:.1} | {:.4}, {:.3} |",
            among.len(),
            mean(&off_k),
            nine(&mut off_k.clone()),
            mean(&off_rain),
            nine(&mut off_rain.clone()),
            mean(&off_chance),
            off_chance.iter().copied().fold(0.0, f64::max)
        );
    };
    let earlier_ids: HashSet<&str> = tests.iter().map(|it| all[*it].id.as_str()).collect();
    let earlier_kept: Vec<Station> = earlier
        .iter()
        .filter(|it| !earlier_ids.contains(today_id(&it.id).as_str()))
        .cloned()
        .map(|it| Station {
            source_key: "noaa".to_string(),
            ..it
        })
        .collect();
    line("the earlier table", &earlier_kept);
    for most in [0, 1_800, 2_200, 2_700, 3_200, 4_000, 5_000, usize::MAX] {
        let kept: Vec<Station> = if most == usize::MAX {
            all.iter().filter(|it| !is_test(it)).cloned().collect()
        } else {
            thinned(all, earlier, most, is_test)
                .iter()
                .map(|it| all[*it].clone())
                .collect()
        };
        line("this one", &kept);
    }
}

/// The climate of a station by itself.
fn own_climate(all: &[Station], at: usize) -> Place {
    let here = &all[at];
    find_place_among(
        &all[at..=at],
        here.latitude_deg,
        here.longitude_deg,
        here.elevation_m,
    )
    .expect("a station is at its own place")
}

fn chances(place: &Place) -> [f64; 4] {
    let effort = Effort {
        round: 256,
        most: 256,
        enough: 0.0,
        ahead: Ahead::NextYear,
    };
    let limits = Limits {
        meter_percent: Some(5.0),
        probe_humidity: None,
        dome_flux: None,
    };
    FLOORS.map(|(name, floor)| {
        let text = format!(
            "visit_date = 2026-09-08\npostal = \"05401\"\nfloor.setting = \"basement\"\n{floor}"
        );
        let visit = parse_visit(&text, name).expect("a whole visit").visit;
        posterior(place, &visit, limits, effort).exceedance_before()
    })
}

/// One row of an input, by column name.
struct Row {
    line: usize,
    cells: HashMap<String, String>,
}

impl Row {
    fn cell(&self, column: &str) -> anyhow::Result<&str> {
        let cell = self
            .cells
            .get(column)
            .with_context(|| format!("line {}: no column {column}", self.line))?;
        ensure!(
            !cell.contains([',', '"', '\n', '\r']),
            "line {}: {column} \"{cell}\" needs quotes",
            self.line
        );
        Ok(cell)
    }

    fn number(&self, column: &str) -> anyhow::Result<f64> {
        let cell = self.cell(column)?;
        cell.parse()
            .with_context(|| format!("line {}: {column} \"{cell}\" is not a number", self.line))
    }

    /// `None` where a month is blank.
    fn months(&self, stem: &str) -> anyhow::Result<Option<[f64; 12]>> {
        let mut res = [0.0; 12];
        for (month, value) in res.iter_mut().enumerate() {
            let column = format!("{stem}_{:02}", month + 1);
            if self.cell(&column)?.is_empty() {
                return Ok(None);
            }
            *value = self.number(&column)?;
        }
        Ok(Some(res))
    }

    /// A station's place and temperature; the rest is for the caller to fill in.
    fn station(
        &self,
        id: String,
        mean_c: [f64; 12],
        latitude: &str,
        longitude: &str,
    ) -> anyhow::Result<Station> {
        Ok(Station {
            id,
            name: String::new(),
            admin: String::new(),
            country: String::new(),
            latitude_deg: self.number(latitude)?,
            longitude_deg: self.number(longitude)?,
            elevation_m: if self.cell("elev_m")?.is_empty() {
                None
            } else {
                Some(self.number("elev_m")?)
            },
            period: String::new(),
            source_key: String::new(),
            mean_c,
            precipitation_mm: [0.0; 12],
            dew_point_c: None,
        })
    }
}

fn rows(text: &str) -> anyhow::Result<Vec<Row>> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let header = reader.headers()?.clone();
    let mut res = Vec::new();
    for record in reader.records() {
        let record = record?;
        let line = record.position().map_or(0, |it| it.line() as usize);
        let cells = header.iter().zip(record.iter());
        res.push(Row {
            line,
            cells: cells
                .map(|(key, it)| (key.to_string(), it.trim().to_string()))
                .collect(),
        });
    }
    Ok(res)
}

fn read(path: &Path) -> anyhow::Result<String> {
    std::fs::read_to_string(path).with_context(|| format!("cannot read {}", path.display()))
}

fn write(folder: &Path, name: &str, text: &str) -> anyhow::Result<()> {
    let path = folder.join(name);
    std::fs::write(&path, text).with_context(|| format!("cannot write {}", path.display()))
}
