//! The unit that a bare number is in, for each number that is typed with its unit.

use crate::units::{table_rows, table_text};
use serde::Deserialize;
use std::sync::LazyLock;

/// In which units a person types.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UnitSystem {
    /// Feet, inches, °F, pints.
    #[default]
    Us,
    /// Meters, millimeters, °C, liters.
    Si,
}

/// The unit beside the box of a number, and an example.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct TypedUnit {
    /// The path that the number is saved under.
    pub field: String,
    /// US unit, as it is printed beside the box.
    pub us: String,
    /// Example of a number in the US unit.
    pub us_such_as: String,
    /// SI unit, as it is printed beside the box.
    pub si: String,
    /// Example of a number in the SI unit.
    pub si_such_as: String,
    /// Where the examples come from.
    pub source: String,
}

impl TypedUnit {
    /// The unit and its example.
    pub fn pair(&self, system: UnitSystem) -> (&str, &str) {
        match system {
            UnitSystem::Us => (&self.us, &self.us_such_as),
            UnitSystem::Si => (&self.si, &self.si_such_as),
        }
    }
}

static TYPED_UNITS: LazyLock<Vec<TypedUnit>> = LazyLock::new(|| {
    table_rows(const { table_text("typed_units.csv") }).expect("tests/tables.rs parses this file")
});

/// Every row of `tables/typed_units.csv`.
pub fn typed_units() -> &'static [TypedUnit] {
    &TYPED_UNITS
}

/// The unit of the number at a question; `None` where none is typed.
pub fn typed_unit(field: &str) -> Option<&'static TypedUnit> {
    typed_units().iter().find(|it| it.field == field)
}

/// What was typed, with the unit that stands beside the box where it was a bare number.
pub fn with_unit_beside(field: &str, system: UnitSystem, text: &str) -> String {
    match typed_unit(field) {
        Some(unit) if text.trim().parse::<f64>().is_ok() => {
            format!("{} {}", text.trim(), unit.pair(system).0)
        }
        _ => text.to_string(),
    }
}
