//! Kinds of finish: generic rows of `tables/finishes.csv`, or a maker's data sheet.

use crate::slab::material::STILL_AIR;
use crate::units::{Permeance, UnitsError, table_rows, table_text};
use serde::Deserialize;
use std::sync::LazyLock;

crate::named_table! {
    /// Numbers of the ways forward and their finishes, from `tables/ways.csv`.
    WayTable from "ways.csv" {
        floors,
        bond_wet,
        acceptable_5y,
        fix_water_first,
        test_probe_limit,
        drying_months,
        drying_l_day,
        drying_setting,
        fix_wait_months,
        test_days,
        test_flux_limit_lb,
        liquid,
        fix_helps,
        rarely_put_down,
        fewest_floors,
        known_spread,
        way_margin,
    }
}

/// What kind a finish is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FinishKind {
    /// A coating that closes the surface, such as epoxy.
    Film,
    /// A moisture-tolerant primer under the film.
    Primer,
    /// A moisture mitigation membrane under the film.
    Membrane,
    /// A stain or thin overlay that lets vapor pass.
    Breathable,
    /// No finish: the concrete stays as it is.
    Bare,
}

impl FinishKind {
    const ALL: [FinishKind; 5] = [
        FinishKind::Film,
        FinishKind::Primer,
        FinishKind::Membrane,
        FinishKind::Breathable,
        FinishKind::Bare,
    ];

    fn key(self) -> &'static str {
        match self {
            FinishKind::Film => "film",
            FinishKind::Primer => "primer",
            FinishKind::Membrane => "membrane",
            FinishKind::Breathable => "breathable",
            FinishKind::Bare => "bare",
        }
    }
}

/// How a finish passes vapor and what it can bear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finish {
    /// The kind it is.
    pub kind: FinishKind,
    /// Vapor layer, m of still air, and its spread as a factor.
    pub air_layer_m: f64,
    /// Spread of the vapor layer as a factor, 1 and up: two of three products lie within it.
    pub spread: f64,
    /// Humidity at the bond line from which it gives way, a fraction.
    pub bond_humidity: Option<f64>,
    /// Level of water above the underside from which it gives way, m; with a humidity both
    /// must hold.
    pub water_m: Option<f64>,
}

static FINISHES: LazyLock<Vec<Finish>> = LazyLock::new(|| {
    parse_finishes(const { table_text("finishes.csv") }).expect("tests/tables.rs parses this file")
});

/// Reads the table of finishes.
///
/// # Errors
///
/// Names the row that is missing or wrong.
pub fn parse_finishes(text: &str) -> Result<Vec<Finish>, String> {
    #[derive(Deserialize)]
    struct Row {
        key: String,
        air_layer_m: f64,
        spread: f64,
        bond_humidity: Option<f64>,
        water_m: Option<f64>,
    }
    let rows: Vec<Row> = table_rows(text).map_err(|it| it.to_string())?;
    let finish = |it: &Row| {
        let kind = FinishKind::ALL
            .into_iter()
            .find(|kind| kind.key() == it.key)
            .ok_or_else(|| format!("the finish \"{}\" is not known", it.key))?;
        Ok(Finish {
            kind,
            air_layer_m: it.air_layer_m,
            spread: it.spread,
            bond_humidity: it.bond_humidity,
            water_m: it.water_m,
        })
    };
    let mut finishes: Vec<Finish> = rows.iter().map(finish).collect::<Result<_, String>>()?;
    finishes.sort_by_key(|it| it.kind);
    let kinds: Vec<FinishKind> = finishes.iter().map(|it| it.kind).collect();
    if kinds != FinishKind::ALL {
        Err("each finish stands once".to_string())
    } else {
        Ok(finishes)
    }
}

impl Finish {
    /// The generic row of a kind.
    pub fn generic(kind: FinishKind) -> Self {
        *FINISHES
            .iter()
            .find(|it| it.kind == kind)
            .expect("the table has every kind")
    }

    /// Vapor layer for a number of 0 to 1 that says where in the spread it lies.
    pub fn layer_m(&self, share: f64) -> f64 {
        if self.air_layer_m <= 0.0 {
            return 0.0;
        }
        let score = crate::odds::priors::normal_score(share.clamp(0.001, 0.999));
        self.air_layer_m * libm::exp(score * libm::log(self.spread))
    }
}

/// What a data sheet excludes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Exclusion {
    /// Not for a floor below grade.
    BelowGrade,
    /// Not for a floor on grade.
    OnGrade,
    /// Not where there is no vapor retarder under the slab.
    NoRetarder,
    /// Not where nobody has shown that there is a vapor retarder.
    RetarderNotProven,
    /// Not on a slab with heating tubes or cables.
    HeatedSlab,
    /// Not where water pushes up against the slab.
    WaterPressure,
}

/// A maker's data sheet, as the office typed it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DataSheet {
    /// Version of the file's form; this program reads 1.
    pub finish_version: i64,
    /// Name of the product, as the reports tell it.
    pub name: String,
    /// The kind of finish; its generic row stands in for what the sheet leaves open.
    pub kind: FinishKind,
    /// US perms of the cured finish, or its vapor layer in m of still air.
    pub perm: Option<f64>,
    /// Vapor layer of the cured finish, m of still air, 0.01 to 2000; not together with `perm`.
    pub air_layer_m: Option<f64>,
    /// Dry film thickness in mil, kept for the record.
    pub thickness_mil: Option<f64>,
    /// Most that a meter may read before coating, percent by mass, 1 to 10.
    pub meter_percent: Option<f64>,
    /// Highest relative humidity at 40 % depth before coating (ASTM F2170), percent, 40 to 100.
    pub probe_rh: Option<f64>,
    /// Most vapor that the floor may give off before coating (ASTM F1869), lb per 1000 ft2 in 24 h,
    /// 0.5 to 30.
    pub calcium_chloride_lb: Option<f64>,
    /// Floors that the maker rules out.
    #[serde(default)]
    pub excludes: Vec<Exclusion>,
}

/// What is wrong with a data sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DataSheetError {
    /// The file is not TOML of this form; the line, and what the reader said of it.
    #[error("{0}")]
    Toml(String),
    /// The file is of a form that this program does not know; the version given.
    #[error("finish_version is {0}; this program reads finish_version = 1")]
    Version(i64),
    /// A number outside what the field takes.
    #[error("{field} is {given}, outside {low} to {high}; check the data sheet")]
    Range {
        /// Name of the field in the file.
        field: &'static str,
        /// The number in the file, in the field's unit.
        given: f64,
        /// Least number accepted.
        low: f64,
        /// Greatest number accepted.
        high: f64,
    },
    /// The vapor layer is told two ways, and they might disagree.
    #[error("perm and air_layer_m are both given; leave one out")]
    Twice,
    /// A quantity outside its range.
    #[error(transparent)]
    Units(#[from] UnitsError),
}

impl DataSheet {
    /// Reads a data sheet from TOML.
    ///
    /// # Errors
    ///
    /// The line of what cannot be read, or the field that is out of range.
    pub fn parse(text: &str) -> Result<Self, DataSheetError> {
        let sheet: DataSheet = toml::from_str(text).map_err(|it| {
            let line = it
                .span()
                .map_or(1, |span| text[..span.start].lines().count().max(1));
            DataSheetError::Toml(format!("line {line}: {}", it.message()))
        })?;
        if sheet.finish_version != 1 {
            return Err(DataSheetError::Version(sheet.finish_version));
        }
        let ranges = [
            ("perm", sheet.perm, 0.001, 100.0),
            ("air_layer_m", sheet.air_layer_m, 0.01, 2_000.0),
            ("thickness_mil", sheet.thickness_mil, 0.5, 1_000.0),
            ("meter_percent", sheet.meter_percent, 1.0, 10.0),
            ("probe_rh", sheet.probe_rh, 40.0, 100.0),
            ("calcium_chloride_lb", sheet.calcium_chloride_lb, 0.5, 30.0),
        ];
        for (field, value, low, high) in ranges {
            if let Some(given) = value
                && !(low..=high).contains(&given)
            {
                return Err(DataSheetError::Range {
                    field,
                    given,
                    low,
                    high,
                });
            }
        }
        if sheet.perm.is_some() && sheet.air_layer_m.is_some() {
            return Err(DataSheetError::Twice);
        }
        Ok(sheet)
    }

    /// The finish it describes; what it leaves open is the generic row.
    pub fn finish(&self) -> Finish {
        let mut finish = Finish::generic(self.kind);
        if let Some(perm) = self.perm.and_then(|it| Permeance::from_perms(it).ok()) {
            finish.air_layer_m = STILL_AIR / perm.get();
            finish.spread = WayTable::bundled().known_spread;
        }
        if let Some(layer) = self.air_layer_m {
            finish.air_layer_m = layer;
            finish.spread = WayTable::bundled().known_spread;
        }
        finish
    }
}
