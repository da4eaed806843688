//! Lays out `tables/climate_normals.csv` and `tables/postal_areas.csv` from the compiled tables.
//!
//! `cargo run --example lay_out_climate -- NORMALS.csv POSTAL.csv tables`
//!
//! The compiled tables have decimal numbers, snow, and the number of codes of an area, in any order of rows.
//! Ours have whole tenths and thousandths, no snow, rows by id, and the three header lines. No digit is lost: a
//! number with more places than ours can hold is an error.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail, ensure};
use slabseason::climate::{
    PostalArea, Station, parse_normals, parse_postal_areas, write_normals, write_postal_areas,
};

fn main() -> anyhow::Result<()> {
    let args: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [normals, postal, folder] = args.as_slice() else {
        bail!("three arguments are needed: NORMALS.csv POSTAL.csv and the folder to write to");
    };
    write(
        folder,
        "climate_normals.csv",
        &laid_out_normals(&read(normals)?)?,
    )?;
    write(
        folder,
        "postal_areas.csv",
        &laid_out_postal_areas(&read(postal)?)?,
    )
}

/// The text of `climate_normals.csv` from the text of the compiled normals.
pub fn laid_out_normals(compiled: &str) -> anyhow::Result<String> {
    let mut stations = Vec::new();
    for row in rows(compiled)? {
        let months = |stem: &str| -> anyhow::Result<[f64; 12]> {
            let mut res = [0.0; 12];
            for (month, value) in res.iter_mut().enumerate() {
                *value = row.number(&format!("{stem}_{:02}", month + 1), 1)?;
            }
            Ok(res)
        };
        let has_dew_point = (1..=12).any(|month| {
            row.cell(&format!("dewp_c_{month:02}"))
                .is_ok_and(|it| !it.is_empty())
        });
        stations.push(Station {
            id: row.cell("station_id")?.to_string(),
            name: row.cell("name")?.to_string(),
            admin: row.cell("admin")?.to_string(),
            country: row.cell("country")?.to_string(),
            latitude_deg: row.number("lat", 3)?,
            longitude_deg: row.number("lon", 3)?,
            elevation_m: row.number_or_blank("elev_m", 0)?,
            period: row.cell("period")?.to_string(),
            source_key: row.cell("source_key")?.to_string(),
            mean_c: months("tavg_c")?,
            precipitation_mm: months("prcp_mm")?,
            dew_point_c: if has_dew_point {
                Some(months("dewp_c")?)
            } else {
                None
            },
        });
    }
    stations.sort_by(|one, other| one.id.cmp(&other.id));
    let res = write_normals(&stations);
    ensure!(
        parse_normals(&res)? == stations,
        "the written normals do not read back as the same stations"
    );
    Ok(res)
}

/// The text of `postal_areas.csv` from the text of the compiled postal table.
pub fn laid_out_postal_areas(compiled: &str) -> anyhow::Result<String> {
    let mut areas = Vec::new();
    for row in rows(compiled)? {
        areas.push(PostalArea {
            prefix: row.cell("prefix")?.to_string(),
            admin: row.cell("admin")?.to_string(),
            latitude_deg: row.number("lat", 3)?,
            longitude_deg: row.number("lon", 3)?,
            elevation_m: row.number_or_blank("elev_m_est", 0)?,
            spread_km: row.number("spread_km", 0)?,
            source_key: row.cell("source_key")?.to_string(),
        });
    }
    areas.sort_by(|one, other| one.prefix.cmp(&other.prefix));
    let res = write_postal_areas(&areas);
    ensure!(
        parse_postal_areas(&res)? == areas,
        "the written areas do not read back as the same areas"
    );
    Ok(res)
}

/// One row of a compiled table, by column name.
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
        // Our layout writes cells as they are, which is safe as long as none needs quotes.
        ensure!(
            !cell.contains([',', '"', '\n', '\r']),
            "line {}: {column} \"{cell}\" needs quotes",
            self.line
        );
        Ok(cell)
    }

    fn number(&self, column: &str, places: usize) -> anyhow::Result<f64> {
        let cell = self.cell(column)?;
        exact_number(cell, places).with_context(|| {
            format!(
                "line {}: {column} \"{cell}\" is not a number of at most {places} decimal places",
                self.line
            )
        })
    }

    fn number_or_blank(&self, column: &str, places: usize) -> anyhow::Result<Option<f64>> {
        if self.cell(column)?.is_empty() {
            Ok(None)
        } else {
            self.number(column, places).map(Some)
        }
    }
}

fn rows(compiled: &str) -> anyhow::Result<Vec<Row>> {
    let mut reader = csv::Reader::from_reader(compiled.as_bytes());
    let header = reader.headers()?.clone();
    let mut res = Vec::new();
    for (index, record) in reader.records().enumerate() {
        let record = record?;
        let cells = header
            .iter()
            .zip(record.iter())
            .map(|(key, it)| (key.to_string(), it.trim().to_string()));
        res.push(Row {
            line: index + 2,
            cells: cells.collect(),
        });
    }
    Ok(res)
}

/// The number, when all its decimal places fit.
fn exact_number(text: &str, places: usize) -> Option<f64> {
    let decimals = text.split_once('.').map_or("", |it| it.1);
    let is_plain = text
        .chars()
        .all(|it| it.is_ascii_digit() || it == '.' || it == '-');
    if !is_plain || decimals.len() > places {
        None
    } else {
        text.parse().ok()
    }
}

fn read(path: &Path) -> anyhow::Result<String> {
    std::fs::read_to_string(path).with_context(|| format!("cannot read {}", path.display()))
}

fn write(folder: &Path, name: &str, text: &str) -> anyhow::Result<()> {
    let path = folder.join(name);
    std::fs::write(&path, text).with_context(|| format!("cannot write {}", path.display()))
}
