//! The four climate tables: reading them, checking them, and writing the two that are made.
//!
//! Numbers stand in the two big tables as whole tenths or thousandths. That keeps every digit of the source,
//! makes the tables a fifth smaller, and reads fast at start-up.

use std::collections::HashSet;
use std::fmt::Write as _;
use std::sync::LazyLock;

use csv::ByteRecord;

use super::error::ClimateError;
use crate::units::table_text;

/// Text of `tables/climate_normals.csv`.
pub const NORMALS_TEXT: &str = table_text("climate_normals.csv");
/// Text of `tables/climate_old_stations.csv`.
pub const OLD_STATIONS_TEXT: &str = table_text("climate_old_stations.csv");
/// Text of `tables/postal_areas.csv`.
pub const POSTAL_TEXT: &str = table_text("postal_areas.csv");
/// Text of `tables/climate_sources.csv`.
pub const SOURCES_TEXT: &str = table_text("climate_sources.csv");
/// Text of `tables/climate_rules.csv`.
pub const RULES_TEXT: &str = table_text("climate_rules.csv");

/// One weather station with its months, January first.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Id by which a station is asked for.
    pub id: String,
    /// Town or airport.
    pub name: String,
    /// State or province, two letters.
    pub admin: String,
    /// "US" or "CA".
    pub country: String,
    /// Degrees, north positive.
    pub latitude_deg: f64,
    /// Degrees, east positive.
    pub longitude_deg: f64,
    /// Height above sea level, m; `None` when the source has none.
    pub elevation_m: Option<f64>,
    /// Years of the temperature, "1991-2020"; those of the rest stand with its source.
    pub period: String,
    /// Row of `tables/climate_sources.csv`.
    pub source_key: String,
    /// Mean temperature by calendar month, °C.
    pub mean_c: [f64; 12],
    /// Rain and snow by calendar month, mm of water.
    pub precipitation_mm: [f64; 12],
    /// May exceed the mean by up to half a degree, as the source has it.
    pub dew_point_c: Option<[f64; 12]>,
}

/// A station of an earlier table, of which only the position is kept: its id still names it.
#[derive(Debug, Clone, PartialEq)]
pub struct OldStation {
    /// Id by which the station was asked for.
    pub id: String,
    /// Town or airport.
    pub name: String,
    /// State or province, two letters.
    pub admin: String,
    /// Degrees, north positive.
    pub latitude_deg: f64,
    /// Degrees, east positive.
    pub longitude_deg: f64,
    /// Height above sea level, m; `None` when the source had none.
    pub elevation_m: Option<f64>,
}

/// The middle of the places whose postal codes begin alike.
#[derive(Debug, Clone, PartialEq)]
pub struct PostalArea {
    /// Three digits (US), three characters, or one letter (both Canadian).
    pub prefix: String,
    /// State or province, two letters.
    pub admin: String,
    /// Degrees, north positive.
    pub latitude_deg: f64,
    /// Degrees, east positive.
    pub longitude_deg: f64,
    /// Estimated from the stations around; unknown for Canada.
    pub elevation_m: Option<f64>,
    /// From the middle to the farthest code.
    pub spread_km: f64,
    /// Row of `tables/climate_sources.csv`.
    pub source_key: String,
}

/// Where rows of the two big tables come from.
#[derive(Debug, Clone, PartialEq)]
pub struct ClimateSource {
    /// Key that the rows of the tables name.
    pub source_key: String,
    /// What was taken and how it was made into rows.
    pub what: String,
    /// The years, in words that go into a report.
    pub period: String,
    /// Whom to credit.
    pub credit: String,
    /// Terms under which it may be passed on.
    pub license: String,
    /// best, good, fair or weak.
    pub quality: String,
    /// The copy that was read, with its commit or version.
    pub copy: String,
}

/// The numbers of `tables/climate_rules.csv`, which says where each is from.
#[derive(Debug, Clone, PartialEq)]
pub struct ClimateRules {
    /// Stations in the mean of a place, at most.
    pub stations_in_mean: usize,
    /// Added to every distance, so that a station at the door does not count alone, km.
    pub softening_km: f64,
    /// A height difference of 100 m counts as so many km of distance.
    pub height_km_per_100m: f64,
    /// Air is colder by so much for each km of height, K.
    pub temperature_lapse_k_per_km: f64,
    /// The dew point is lower by so much for each km of height, K.
    pub dew_point_lapse_k_per_km: f64,
    /// Nearest station beyond this: the place gets a warning, km.
    pub distance_warning_km: f64,
    /// Height difference to the stations beyond this: the place gets a warning, m.
    pub height_warning_m: f64,
    /// Stations of less weight than this do not count as neighbors whose heights differ.
    pub height_warning_share: f64,
    /// A postal area wider than this gets a warning, km from its middle.
    pub spread_warning_km: f64,
    /// A postal area wider than this is refused, km from its middle.
    pub spread_refusal_km: f64,
    /// Nearest station beyond this: the place is refused, km.
    pub refuse_beyond_km: f64,
    /// Lowest height of a place that is taken, m above sea level.
    pub elevation_lowest_m: f64,
    /// Greatest height of a place that is taken, m above sea level.
    pub elevation_highest_m: f64,
    /// Source key and factor; a station's distance times its factor is what counts.
    // Invariant: every factor is at least one, on which the search for neighbors relies.
    distance_factors: Vec<(String, f64)>,
}

impl ClimateRules {
    /// A source without a row counts as the plainest one, and so as far as the farthest row.
    pub fn distance_factor(&self, source_key: &str) -> f64 {
        let found = self.distance_factors.iter().find(|it| it.0 == source_key);
        found.map_or_else(
            || {
                self.distance_factors
                    .iter()
                    .map(|it| it.1)
                    .fold(1.0, f64::max)
            },
            |it| it.1,
        )
    }
}

/// All stations, by id.
pub fn stations() -> &'static [Station] {
    static STATIONS: LazyLock<Vec<Station>> = LazyLock::new(|| {
        parse_normals(NORMALS_TEXT).expect("tests/climate_tables.rs parses this file")
    });
    &STATIONS
}

/// Stations of an earlier table that have no row of their own now, by id.
pub fn old_stations() -> &'static [OldStation] {
    static OLD: LazyLock<Vec<OldStation>> = LazyLock::new(|| {
        parse_old_stations(OLD_STATIONS_TEXT).expect("tests/climate_tables.rs parses this file")
    });
    &OLD
}

/// All postal areas, by prefix.
pub fn postal_areas() -> &'static [PostalArea] {
    static AREAS: LazyLock<Vec<PostalArea>> = LazyLock::new(|| {
        parse_postal_areas(POSTAL_TEXT).expect("tests/climate_tables.rs parses this file")
    });
    &AREAS
}

/// All sources, in the order of the table.
pub fn climate_sources() -> &'static [ClimateSource] {
    static SOURCES: LazyLock<Vec<ClimateSource>> = LazyLock::new(|| {
        parse_sources(SOURCES_TEXT).expect("tests/climate_tables.rs parses this file")
    });
    &SOURCES
}

/// The numbers that the climate of a place is made with.
pub fn rules() -> &'static ClimateRules {
    static RULES: LazyLock<ClimateRules> = LazyLock::new(|| {
        parse_rules(RULES_TEXT).expect("tests/climate_tables.rs parses this file")
    });
    &RULES
}

/// The source of a row of the two big tables.
pub fn source_of_key(source_key: &str) -> Option<&'static ClimateSource> {
    climate_sources()
        .iter()
        .find(|it| it.source_key == source_key)
}

/// Reads a table of normals in our layout, ours or a user's own.
pub fn parse_normals(text: &str) -> Result<Vec<Station>, ClimateError> {
    let mut res: Vec<Station> = Vec::with_capacity(text.len() / 190);
    each_row(NORMALS_NAME, &normals_columns(), text, |row| {
        let station = Station {
            id: row.text(0)?,
            name: row.text(1)?,
            admin: row.text(2)?,
            country: row.text(3)?,
            latitude_deg: row.scaled(4, 1000, -90.0, 90.0)?,
            longitude_deg: row.scaled(5, 1000, -180.0, 180.0)?,
            elevation_m: row.scaled_or_blank(6, 1, -500.0, 9000.0)?,
            period: spelled_period(row.str(7)?),
            source_key: row.text(8)?,
            mean_c: row.months(9, -60.0, 60.0)?,
            precipitation_mm: row.months(21, 0.0, 5000.0)?,
            dew_point_c: if row.is_blank(33, 12) {
                None
            } else {
                Some(row.months(33, -70.0, 40.0)?)
            },
        };
        if res.last().is_some_and(|it| it.id >= station.id) {
            return Err(row.problem(format!(
                "station {} is twice or out of order; rows go by id",
                station.id
            )));
        }
        res.push(station);
        Ok(())
    })?;
    Ok(res)
}

/// Reads the table of old stations in our layout.
pub fn parse_old_stations(text: &str) -> Result<Vec<OldStation>, ClimateError> {
    let mut res: Vec<OldStation> = Vec::new();
    each_row(OLD_STATIONS_NAME, &OLD_STATIONS_COLUMNS, text, |row| {
        let station = OldStation {
            id: row.text(0)?,
            name: row.text(1)?,
            admin: row.text(2)?,
            latitude_deg: row.scaled(3, 1000, -90.0, 90.0)?,
            longitude_deg: row.scaled(4, 1000, -180.0, 180.0)?,
            elevation_m: row.scaled_or_blank(5, 1, -500.0, 9000.0)?,
        };
        if res.last().is_some_and(|it| it.id >= station.id) {
            return Err(row.problem(format!(
                "station {} is twice or out of order; rows go by id",
                station.id
            )));
        }
        res.push(station);
        Ok(())
    })?;
    Ok(res)
}

/// Reads a table of postal areas in our layout.
pub fn parse_postal_areas(text: &str) -> Result<Vec<PostalArea>, ClimateError> {
    let mut res: Vec<PostalArea> = Vec::with_capacity(text.len() / 30);
    each_row(POSTAL_NAME, &POSTAL_COLUMNS, text, |row| {
        let area = PostalArea {
            prefix: row.text(0)?,
            admin: row.text(1)?,
            latitude_deg: row.scaled(2, 1000, -90.0, 90.0)?,
            longitude_deg: row.scaled(3, 1000, -180.0, 180.0)?,
            elevation_m: row.scaled_or_blank(4, 1, -500.0, 9000.0)?,
            spread_km: row.scaled(5, 1, 0.0, 5000.0)?,
            source_key: row.text(6)?,
        };
        if res.last().is_some_and(|it| it.prefix >= area.prefix) {
            return Err(row.problem(format!(
                "area {} is twice or out of order; rows go by prefix",
                area.prefix
            )));
        }
        res.push(area);
        Ok(())
    })?;
    Ok(res)
}

/// Reads the table of sources.
pub fn parse_sources(text: &str) -> Result<Vec<ClimateSource>, ClimateError> {
    let mut res: Vec<ClimateSource> = Vec::new();
    each_row(
        SOURCES_NAME,
        &[
            "source_key",
            "what",
            "period",
            "credit",
            "license",
            "quality",
            "copy",
        ],
        text,
        |row| {
            let source = ClimateSource {
                source_key: row.text(0)?,
                what: row.text(1)?,
                period: row.text(2)?,
                credit: row.text(3)?,
                license: row.text(4)?,
                quality: row.text(5)?,
                copy: row.text(6)?,
            };
            if !["best", "good", "fair", "weak"].contains(&source.quality.as_str()) {
                return Err(row.problem(format!(
                    "quality \"{}\" is not best, good, fair or weak",
                    source.quality
                )));
            }
            if res.iter().any(|it| it.source_key == source.source_key) {
                return Err(row.problem(format!("source {} is there twice", source.source_key)));
            }
            res.push(source);
            Ok(())
        },
    )?;
    Ok(res)
}

/// Reads the table of rules; a missing, unknown or double key is an error.
pub fn parse_rules(text: &str) -> Result<ClimateRules, ClimateError> {
    let mut rows: Vec<(String, f64)> = Vec::new();
    let mut known: HashSet<&str> = RULE_KEYS.into_iter().collect();
    let mut distance_factors = Vec::new();
    let mut last_line = 0;
    each_row(
        RULES_NAME,
        &["key", "value", "unit", "source"],
        text,
        |row| {
            last_line = row.line;
            let key = row.text(0)?;
            let typed = row.str(1)?;
            let value = typed.parse::<f64>().ok().filter(|it| it.is_finite());
            let value =
                value.ok_or_else(|| row.problem(format!("{key} \"{typed}\" is not a number")))?;
            row.str(2)?;
            row.str(3)?;
            if let Some(source_key) = key.strip_prefix("distance_factor.") {
                if value < 1.0
                    || distance_factors
                        .iter()
                        .any(|it: &(String, f64)| it.0 == source_key)
                {
                    return Err(row.problem(format!(
                        "{key} must be there once and be at least 1, it is {value}"
                    )));
                }
                distance_factors.push((source_key.to_string(), value));
                return Ok(());
            }
            if !known.remove(key.as_str()) {
                return Err(row.problem(format!("key {key} is twice or not a rule of this table")));
            }
            rows.push((key, value));
            Ok(())
        },
    )?;
    let end = |problem: String| ClimateError::Table {
        table: RULES_NAME,
        line: last_line,
        problem,
    };
    let number = |key: &str, low: f64, high: f64| -> Result<f64, ClimateError> {
        let (_, value) = rows
            .iter()
            .find(|it| it.0 == key)
            .ok_or_else(|| end(format!("no row for {key}")))?;
        if (low..=high).contains(value) {
            return Ok(*value);
        }
        Err(end(format!("{key} {value} is outside {low} to {high}")))
    };
    let stations_in_mean = number("stations_in_mean", 1.0, 20.0)?;
    if stations_in_mean.fract() != 0.0 {
        return Err(end(format!(
            "stations_in_mean {stations_in_mean} is not a whole number"
        )));
    }
    Ok(ClimateRules {
        stations_in_mean: stations_in_mean as usize,
        softening_km: number("softening_km", 0.1, 50.0)?,
        height_km_per_100m: number("height_km_per_100m", 0.0, 100.0)?,
        temperature_lapse_k_per_km: number("temperature_lapse_k_per_km", 0.0, 10.0)?,
        dew_point_lapse_k_per_km: number("dew_point_lapse_k_per_km", 0.0, 10.0)?,
        distance_warning_km: number("distance_warning_km", 0.0, 1000.0)?,
        height_warning_m: number("height_warning_m", 0.0, 5000.0)?,
        height_warning_share: number("height_warning_share", 0.0, 1.0)?,
        spread_warning_km: number("spread_warning_km", 0.0, 1000.0)?,
        spread_refusal_km: number("spread_refusal_km", 0.0, 5000.0)?,
        refuse_beyond_km: number("refuse_beyond_km", 1.0, 2000.0)?,
        elevation_lowest_m: number("elevation_lowest_m", -500.0, 0.0)?,
        elevation_highest_m: number("elevation_highest_m", 0.0, 9000.0)?,
        distance_factors,
    })
}

/// Writes normals in our layout, with the header lines; reading it back gives the same stations.
pub fn write_normals(stations: &[Station]) -> String {
    let mut res = format!("{NORMALS_HEADER}{}\n", normals_columns().join(","));
    for it in stations {
        write!(
            res,
            "{},{},{},{},{},{},{},{},{}",
            it.id,
            it.name,
            it.admin,
            it.country,
            whole(it.latitude_deg, 1000),
            whole(it.longitude_deg, 1000),
            whole_or_blank(it.elevation_m),
            short_period(&it.period),
            it.source_key
        )
        .expect("writing to a string does not fail");
        for value in it.mean_c.iter().chain(&it.precipitation_mm) {
            write!(res, ",{}", whole(*value, 10)).expect("writing to a string does not fail");
        }
        for month in 0..12 {
            let cell = it
                .dew_point_c
                .map_or(String::new(), |months| whole(months[month], 10).to_string());
            write!(res, ",{cell}").expect("writing to a string does not fail");
        }
        res.push('\n');
    }
    res
}

/// Writes old stations in our layout, with the header lines.
pub fn write_old_stations(stations: &[OldStation]) -> String {
    let mut res = format!("{OLD_STATIONS_HEADER}{}\n", OLD_STATIONS_COLUMNS.join(","));
    for it in stations {
        writeln!(
            res,
            "{},{},{},{},{},{}",
            it.id,
            it.name,
            it.admin,
            whole(it.latitude_deg, 1000),
            whole(it.longitude_deg, 1000),
            whole_or_blank(it.elevation_m),
        )
        .expect("writing to a string does not fail");
    }
    res
}

/// Writes postal areas in our layout, with the header lines.
pub fn write_postal_areas(areas: &[PostalArea]) -> String {
    let mut res = format!("{POSTAL_HEADER}{}\n", POSTAL_COLUMNS.join(","));
    for it in areas {
        writeln!(
            res,
            "{},{},{},{},{},{},{}",
            it.prefix,
            it.admin,
            whole(it.latitude_deg, 1000),
            whole(it.longitude_deg, 1000),
            whole_or_blank(it.elevation_m),
            whole(it.spread_km, 1),
            it.source_key
        )
        .expect("writing to a string does not fail");
    }
    res
}

const NORMALS_NAME: &str = "tables/climate_normals.csv";
const POSTAL_NAME: &str = "tables/postal_areas.csv";
const SOURCES_NAME: &str = "tables/climate_sources.csv";
const RULES_NAME: &str = "tables/climate_rules.csv";

const NORMALS_HEADER: &str = "\
# What: monthly climate of weather stations in the United States and Canada, January to December; made by examples/make_climate.rs
# Unit: latitude, longitude in thousandths of a degree; elevation in m; period of the temperature, 1991-2020 or years of record to the 1990s (45y), that of the rest stands in climate_sources.csv; t mean temperature in tenths of a degree C; p precipitation in tenths of a mm; d dew point in tenths of a degree C; blank is not known
# Source: noaa, noaa_uncarried, ccd2018_rh (NOAA NCEI); cligen4 (USDA ARS CLIGEN); eccc (Data Source: Environment and Climate Change Canada); each is a row of climate_sources.csv
";

const POSTAL_HEADER: &str = "\
# What: middle of the places whose postal codes begin alike: three digits of a ZIP code, first half or first letter of a Canadian code; laid out by examples/lay_out_climate.rs
# Unit: latitude, longitude in thousandths of a degree; elevation in m, estimated from weather stations; spread in km from the middle to the farthest code; blank is not known
# Source: census_zcta (US Census Bureau); geonames (GeoNames, CC BY 4.0); each is a row of climate_sources.csv
";

const OLD_STATIONS_NAME: &str = "tables/climate_old_stations.csv";

const OLD_STATIONS_HEADER: &str = "\
# What: stations of an earlier table that have no row in climate_normals.csv, so that their ids still name a place; made by examples/make_climate.rs
# Unit: latitude, longitude in thousandths of a degree; elevation in m; blank is not known
# Source: positions as in the earlier table: USDA ARS CLIGEN, NOAA NCEI, and Canadian cities typed by hand within about 0.05 degree
";

const OLD_STATIONS_COLUMNS: [&str; 6] =
    ["id", "name", "admin", "latitude", "longitude", "elevation"];

const POSTAL_COLUMNS: [&str; 7] = [
    "prefix",
    "admin",
    "latitude",
    "longitude",
    "elevation",
    "spread",
    "source_key",
];

const RULE_KEYS: [&str; 13] = [
    "stations_in_mean",
    "softening_km",
    "height_km_per_100m",
    "temperature_lapse_k_per_km",
    "dew_point_lapse_k_per_km",
    "distance_warning_km",
    "height_warning_m",
    "height_warning_share",
    "spread_warning_km",
    "spread_refusal_km",
    "refuse_beyond_km",
    "elevation_lowest_m",
    "elevation_highest_m",
];

fn normals_columns() -> Vec<String> {
    let fixed = [
        "id",
        "name",
        "admin",
        "country",
        "latitude",
        "longitude",
        "elevation",
        "period",
        "source_key",
    ];
    let months = ["t", "p", "d"]
        .into_iter()
        .flat_map(|stem| (1..=12).map(move |month| format!("{stem}{month:02}")));
    fixed
        .into_iter()
        .map(str::to_string)
        .chain(months)
        .collect()
}

/// The long form of a period is the same 23 letters on most rows, so the table holds "45y".
const RECORD_ENDING: &str = "-year record to 1990s";

fn spelled_period(short: &str) -> String {
    match short.strip_suffix('y') {
        Some(years) => format!("{years}{RECORD_ENDING}"),
        None => short.to_string(),
    }
}

fn short_period(spelled: &str) -> String {
    match spelled.strip_suffix(RECORD_ENDING) {
        Some(years) => format!("{years}y"),
        None => spelled.to_string(),
    }
}

fn whole(value: f64, scale: i64) -> i64 {
    (value * scale as f64).round() as i64
}

fn whole_or_blank(value: Option<f64>) -> String {
    value.map_or(String::new(), |it| whole(it, 1).to_string())
}

/// One row while it is read, with what an error needs.
struct Row<'a> {
    table: &'static str,
    line: u64,
    columns: &'a [String],
    record: &'a ByteRecord,
}

impl Row<'_> {
    fn problem(&self, problem: String) -> ClimateError {
        ClimateError::Table {
            table: self.table,
            line: self.line,
            problem,
        }
    }

    fn str(&self, column: usize) -> Result<&str, ClimateError> {
        let cell = self.record.get(column).unwrap_or(b"");
        let text = std::str::from_utf8(cell).unwrap_or("");
        if text.trim().is_empty() {
            return Err(self.problem(format!("{} is blank or not UTF-8", self.columns[column])));
        }
        Ok(text)
    }

    fn text(&self, column: usize) -> Result<String, ClimateError> {
        self.str(column).map(str::to_string)
    }

    fn is_blank(&self, first: usize, count: usize) -> bool {
        (first..first + count).all(|it| self.record.get(it).is_none_or(<[u8]>::is_empty))
    }

    fn scaled(&self, column: usize, scale: i64, low: f64, high: f64) -> Result<f64, ClimateError> {
        let cell = self.record.get(column).unwrap_or(b"");
        let Some(number) = whole_number(cell) else {
            let given = String::from_utf8_lossy(cell);
            return Err(self.problem(format!(
                "{} \"{given}\" is not a whole number",
                self.columns[column]
            )));
        };
        let value = number as f64 / scale as f64;
        if (low..=high).contains(&value) {
            return Ok(value);
        }
        Err(self.problem(format!(
            "{} {value} is outside {low} to {high}",
            self.columns[column]
        )))
    }

    fn scaled_or_blank(
        &self,
        column: usize,
        scale: i64,
        low: f64,
        high: f64,
    ) -> Result<Option<f64>, ClimateError> {
        if self.is_blank(column, 1) {
            Ok(None)
        } else {
            self.scaled(column, scale, low, high).map(Some)
        }
    }

    fn months(&self, first: usize, low: f64, high: f64) -> Result<[f64; 12], ClimateError> {
        let mut res = [0.0; 12];
        for (month, value) in res.iter_mut().enumerate() {
            *value = self.scaled(first + month, 10, low, high)?;
        }
        Ok(res)
    }
}

/// Seventy thousand cells go through here at start-up, so it reads bytes and not text.
fn whole_number(cell: &[u8]) -> Option<i64> {
    let (sign, digits) = match cell {
        [b'-', digits @ ..] => (-1, digits),
        digits => (1, digits),
    };
    if digits.is_empty() || digits.len() > 9 {
        return None;
    }
    let mut res = 0;
    for digit in digits {
        if !digit.is_ascii_digit() {
            return None;
        }
        res = res * 10 + i64::from(digit - b'0');
    }
    Some(sign * res)
}

/// Reads the rows of a climate table. [`crate::units::table_rows`] makes a text of every cell and
/// takes ten times as long, 39 ms for the normals alone, before every first screen.
fn each_row<C: AsRef<str>>(
    table: &'static str,
    columns: &[C],
    text: &str,
    mut take: impl FnMut(&Row) -> Result<(), ClimateError>,
) -> Result<(), ClimateError> {
    let columns: Vec<String> = columns.iter().map(|it| it.as_ref().to_string()).collect();
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let wrong = |line: u64, problem: String| ClimateError::Table {
        table,
        line,
        problem,
    };
    let header = reader
        .byte_headers()
        .map_err(|it| wrong(0, it.to_string()))?;
    if !header.iter().eq(columns.iter().map(|it| it.as_bytes())) {
        let given: Vec<_> = header.iter().map(String::from_utf8_lossy).collect();
        return Err(wrong(
            0,
            format!(
                "the columns are {}, and should be {}",
                given.join(","),
                columns.join(",")
            ),
        ));
    }
    let mut record = ByteRecord::new();
    let mut line = 0;
    loop {
        match reader.read_byte_record(&mut record) {
            Ok(true) => {}
            Ok(false) => return Ok(()),
            Err(it) => return Err(wrong(line + 1, it.to_string())),
        }
        line = record.position().map_or(0, csv::Position::line);
        take(&Row {
            table,
            line,
            columns: &columns,
            record: &record,
        })?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_numbers_are_read_as_written() {
        assert_eq!(whole_number(b"-83"), Some(-83));
        assert_eq!(whole_number(b"0"), Some(0));
        for bad in ["", "-", "8.3", "1e3", " 1", "9999999999"] {
            assert_eq!(whole_number(bad.as_bytes()), None, "{bad}");
        }
    }

    #[test]
    fn a_bad_row_names_its_line_and_cell() {
        let text = format!(
            "{POSTAL_HEADER}{}\n054,VT,44480,-73210,105,46,census_zcta\n055,VT,x,0,,0,geonames\n",
            POSTAL_COLUMNS.join(",")
        );
        let message = parse_postal_areas(&text).unwrap_err().to_string();
        assert_eq!(
            message,
            "tables/postal_areas.csv, line 6: latitude \"x\" is not a whole number"
        );
    }

    #[test]
    fn rows_must_be_in_order_and_once() {
        for prefixes in [["055", "054"], ["054", "054"]] {
            let rows = prefixes
                .map(|it| format!("{it},VT,44480,-73210,105,46,census_zcta\n"))
                .concat();
            let text = format!("{POSTAL_HEADER}{}\n{rows}", POSTAL_COLUMNS.join(","));
            assert!(
                parse_postal_areas(&text)
                    .unwrap_err()
                    .to_string()
                    .contains("twice or out of order")
            );
        }
    }

    #[test]
    fn a_distance_factor_below_one_is_refused() {
        let text = RULES_TEXT.replace("distance_factor.noaa,1,", "distance_factor.noaa,0.9,");
        assert_ne!(text, RULES_TEXT);
        assert!(
            parse_rules(&text)
                .unwrap_err()
                .to_string()
                .contains("at least 1")
        );
    }
}
