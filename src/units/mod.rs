//! Quantities with their range, conversions, and reading text such as "67F" or "5 perm".
//!
//! Everything inside is °C, Pa, m, kg, s and fractions. °F, inches, perms and percent exist
//! only where people type and read. It also holds the kinds of numbers that the model counts
//! in: precision, lanes, and the width of the processor. This folder knows nothing of climate,
//! slabs or visits.

mod exp2;
mod named;
mod real;
mod tables;
mod text;
mod width;

pub use exp2::exp2;
pub use real::Real;
pub use width::{Width, Work};

/// `L` numbers, one for each house or slab that is worked out side by side.
pub type Lanes<const L: usize, R = f64> = [R; L];

pub use named::{NamedTableError, named_values};
pub use tables::{
    TABLES, Table, TableError, short_hex, table_lines, table_rows, table_text, tables_digest,
};

pub use text::{
    UnitText, area_from_text, celsius_from_text, humidity_from_text, length_from_text,
    permeance_from_text, rain_percent_from_text, volume_per_day_from_text,
};

/// Four decimals: enough to tell, and the same text on every machine.
pub fn rounded(value: f64) -> f64 {
    (value * 10_000.0).round() / 10_000.0
}

use serde::{Deserialize, Serialize};

/// What was wrong with a quantity.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum UnitsError {
    /// The number is finite but not believable for this quantity.
    #[error("{name} {given} {unit} is outside {low} to {high}{hint}")]
    OutOfRange {
        /// What kind of quantity it is.
        name: &'static str,
        /// Unit of the number and of the range.
        unit: &'static str,
        /// The number, as plain text.
        given: String,
        /// Lowest value taken.
        low: f64,
        /// Highest value taken.
        high: f64,
        /// What may have been meant, such as "if you meant °F"; empty where nothing comes to mind.
        hint: String,
    },
    /// The text holds no number where one was needed.
    #[error("{name} \"{given}\" is not a number; {accepted}")]
    NotANumber {
        /// What kind of quantity it is.
        name: &'static str,
        /// The text, as typed.
        given: String,
        /// The units that are read, with examples.
        accepted: &'static str,
    },
    /// The number is there, the unit is not one we read.
    #[error("{name} \"{given}\" has the unit \"{unit}\", which is not known here; {accepted}")]
    UnknownUnit {
        /// What kind of quantity it is.
        name: &'static str,
        /// The text, as typed.
        given: String,
        /// The unit that is not known.
        unit: String,
        /// The units that are read, with examples.
        accepted: &'static str,
    },
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident: $words:literal, $unit:literal, $low:literal to $high:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);
        // Invariant: the value is finite and inside the range of the declaration.
        impl $name {
            /// The lowest value taken.
            pub const LOW: f64 = $low;
            /// The highest value taken.
            pub const HIGH: f64 = $high;
            /// The checked quantity, or what is wrong with the number.
            pub fn new(value: f64) -> Result<Self, UnitsError> {
                if value.is_finite() && ($low..=$high).contains(&value) {
                    Ok(Self(value))
                } else {
                    Err(UnitsError::OutOfRange {
                        name: $words,
                        unit: $unit,
                        given: text::plain(value),
                        low: $low,
                        high: $high,
                        hint: String::new(),
                    })
                }
            }
            /// The number, in the unit of the declaration.
            pub fn get(self) -> f64 {
                self.0
            }
        }
    )*};
}

quantities! {
    /// Temperature.
    Celsius: "temperature", "°C", -60.0 to 60.0;
    /// Relative humidity as a fraction: 0.55, never 55.
    RelHumidity: "relative humidity", "(0 to 1)", 0.0 to 1.0;
    /// Partial pressure of water vapor.
    Pascals: "vapor pressure", "Pa", 0.0 to 25_000.0;
    /// Moisture by weight as a meter shows it: 3.9, never 0.039.
    MoisturePercent: "moisture reading", "%", 0.0 to 20.0;
    /// Flow of water through a square meter, upward positive.
    MoistureFlux: "moisture flux", "kg/(m2 s)", -1.0e-3 to 1.0e-3;
    /// How easily vapor passes a layer.
    Permeance: "permeance", "kg/(m2 s Pa)", 0.0 to 1.0e-6;
    /// A thickness or distance.
    Meters: "length", "m", 0.0 to 10_000.0;
    /// A floor's area.
    SquareMeters: "area", "m2", 1.0 to 10_000.0;
    /// Water that a machine takes out in a day.
    LitersPerDay: "water per day", "L/day", 0.0 to 1_000.0;
    /// Rain of some months in percent of what is normal for them.
    RainPercent: "rain", "% of normal", 0.0 to 1_000.0;
}

/// Kilograms in a pound. Source: the international avoirdupois pound, exact by definition.
const KG_PER_LB: f64 = 0.453_592_37;
/// Meters in a foot. Source: the international foot, exact by definition.
const M_PER_FT: f64 = 0.3048;
/// Pascals in an inch of mercury at 0 °C. Source: the perm of ASTM E96 is defined with it.
const PA_PER_INHG: f64 = 3_386.389;
/// Pounds in a grain. Source: 7000 grains to the pound, exact by definition.
const LB_PER_GRAIN: f64 = 1.0 / 7_000.0;
/// Liters in a US pint. Source: 28.875 cubic inches, exact by definition.
const L_PER_PINT: f64 = 0.473_176_473;

impl Celsius {
    /// From degrees Fahrenheit.
    ///
    /// ```
    /// use slabseason::units::Celsius;
    /// assert!((Celsius::from_fahrenheit(67.0)?.get() - 19.444).abs() < 1e-3);
    /// # Ok::<(), slabseason::units::UnitsError>(())
    /// ```
    pub fn from_fahrenheit(value_f: f64) -> Result<Self, UnitsError> {
        Self::new((value_f - 32.0) / 1.8)
    }
    /// In degrees Fahrenheit.
    pub fn fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }
}

impl RelHumidity {
    /// From percent.
    pub fn from_percent(percent: f64) -> Result<Self, UnitsError> {
        Self::new(percent / 100.0)
    }
    /// In percent.
    pub fn percent(self) -> f64 {
        self.0 * 100.0
    }
}

impl MoisturePercent {
    /// Mass of water per mass of dry concrete.
    pub fn fraction(self) -> f64 {
        self.0 / 100.0
    }
    /// From the fraction of mass.
    pub fn from_fraction(fraction: f64) -> Result<Self, UnitsError> {
        Self::new(fraction * 100.0)
    }
}

impl MoistureFlux {
    /// One pound per 1000 square feet in 24 hours, as ASTM F1869 reports it, in kg/(m2 s).
    pub const POUND_PER_1000_FT2_DAY: f64 = KG_PER_LB / (1_000.0 * M_PER_FT * M_PER_FT * 86_400.0);
    /// From pounds per 1000 square feet in 24 hours.
    ///
    /// ```
    /// use slabseason::units::MoistureFlux;
    /// let three = MoistureFlux::from_pounds(3.0)?;
    /// assert!((three.get() / 1.69529e-7 - 1.0).abs() < 1e-5);
    /// # Ok::<(), slabseason::units::UnitsError>(())
    /// ```
    pub fn from_pounds(pounds: f64) -> Result<Self, UnitsError> {
        Self::new(pounds * Self::POUND_PER_1000_FT2_DAY)
    }
    /// In pounds per 1000 square feet in 24 hours.
    pub fn pounds(self) -> f64 {
        self.0 / Self::POUND_PER_1000_FT2_DAY
    }
    /// In grams per square meter and day.
    pub fn grams_per_day(self) -> f64 {
        self.0 * 1_000.0 * 86_400.0
    }
}

impl Permeance {
    /// One US perm, grain/(h ft2 inHg), in kg/(m2 s Pa).
    pub const US_PERM: f64 =
        LB_PER_GRAIN * KG_PER_LB / (3_600.0 * M_PER_FT * M_PER_FT * PA_PER_INHG);
    /// From US perms.
    pub fn from_perms(perms: f64) -> Result<Self, UnitsError> {
        Self::new(perms * Self::US_PERM)
    }
    /// In US perms.
    pub fn perms(self) -> f64 {
        self.0 / Self::US_PERM
    }
}

impl Meters {
    /// From feet.
    pub fn from_feet(feet: f64) -> Result<Self, UnitsError> {
        Self::new(feet * M_PER_FT)
    }
    /// From inches.
    pub fn from_inches(inches: f64) -> Result<Self, UnitsError> {
        Self::new(inches * M_PER_FT / 12.0)
    }
    /// In feet.
    pub fn feet(self) -> f64 {
        self.0 / M_PER_FT
    }
    /// In inches.
    pub fn inches(self) -> f64 {
        self.0 * 12.0 / M_PER_FT
    }
}

impl SquareMeters {
    /// From square feet.
    pub fn from_square_feet(square_feet: f64) -> Result<Self, UnitsError> {
        Self::new(square_feet * M_PER_FT * M_PER_FT)
    }
    /// In square feet.
    pub fn square_feet(self) -> f64 {
        self.0 / (M_PER_FT * M_PER_FT)
    }
}

impl RainPercent {
    /// As a multiple of the normal.
    pub fn share(self) -> f64 {
        self.get() / 100.0
    }
}

impl LitersPerDay {
    /// From US pints per day.
    pub fn from_pints(pints: f64) -> Result<Self, UnitsError> {
        Self::new(pints * L_PER_PINT)
    }
    /// In US pints per day.
    pub fn pints(self) -> f64 {
        self.0 / L_PER_PINT
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Source: hand calculations from the exact definitions of the pound (0.45359237 kg), the
    /// foot (0.3048 m), the grain (1/7000 lb) and mercury's inch at 0 °C (3386.389 Pa), the
    /// numbers with which ASTM F1869 and E96 define their units. Written to six digits, so they
    /// hold within 1e-5.
    ///
    /// One pound per 1000 ft2 and 24 h: 0.45359237 / (92.90304 * 86400) = 5.65096e-8 kg/(m2 s),
    /// and times 8.64e7 is 4.88243 g/(m2 day). One perm: 0.45359237 / 7000 / 3600 / 0.09290304 /
    /// 3386.389 = 5.72135e-11 kg/(m2 s Pa).
    #[test]
    fn fluxes_and_perms_match_their_definitions() {
        let near = |got: f64, printed: f64| {
            assert!(
                (got / printed - 1.0).abs() < 1e-5,
                "{got}, printed {printed}"
            )
        };
        let one = MoistureFlux::from_pounds(1.0).unwrap();
        near(one.get(), 5.65096e-8);
        near(one.grams_per_day(), 4.88243);
        let three = MoistureFlux::from_pounds(3.0).unwrap();
        near(three.get(), 1.69529e-7);
        near(three.grams_per_day(), 14.6473);
        near(Permeance::from_perms(1.0).unwrap().get(), 5.72135e-11);
    }

    /// Source: hand calculations. Still air passes 2.0e-10 kg/(m s Pa), the rounded convention
    /// of ISO 13788, so a layer of 0.1 perm is worth 2.0e-10 / 5.72135e-12 = 34.9568 m of it;
    /// and 100 mm of concrete with a resistance of 100 times still air, 10 m of it, is
    /// 2.0e-11 / 5.72135e-11 = 0.349568 perm.
    #[test]
    fn perms_match_meters_of_still_air() {
        let still_air = 2.0e-10;
        for (perms, s_d_m) in [
            (0.1, 34.9568),
            (0.06, 58.2613),
            (0.01, 349.568),
            (1.0, 3.49568),
            (10.0, 0.349568),
        ] {
            let got_m = still_air / Permeance::from_perms(perms).unwrap().get();
            assert!(
                (got_m / s_d_m - 1.0).abs() < 1e-5,
                "{perms} perm: {got_m} m, printed {s_d_m} m"
            );
        }
        for (mu, perms) in [(100.0, 0.349568), (80.0, 0.43696), (130.0, 0.268898)] {
            let got = Permeance::new(still_air / (mu * 0.1)).unwrap().perms();
            assert!(
                (got / perms - 1.0).abs() < 1e-5,
                "mu {mu}: {got} perm, printed {perms}"
            );
        }
    }

    /// By definition: water freezes at 32 °F and boils at 212 °F, −40 is the same on both
    /// scales, an inch is 25.4 mm, a US pint 0.473176473 L.
    #[test]
    fn everyday_units_match_their_definitions() {
        assert_eq!(Celsius::from_fahrenheit(32.0).unwrap().get(), 0.0);
        assert_eq!(Celsius::from_fahrenheit(-40.0).unwrap().get(), -40.0);
        assert!(
            Celsius::from_fahrenheit(212.0).is_err(),
            "boiling water is no room"
        );
        assert!((Meters::from_inches(4.0).unwrap().get() - 0.1016).abs() < 1e-15);
        assert_eq!(Meters::from_feet(1.0).unwrap().get(), 0.3048);
        assert!((SquareMeters::from_square_feet(1_000.0).unwrap().get() - 92.90304).abs() < 1e-10);
        assert_eq!(LitersPerDay::from_pints(1.0).unwrap().get(), 0.473_176_473);
        assert_eq!(MoisturePercent::new(3.9).unwrap().fraction(), 0.039);
    }

    #[test]
    fn both_ends_are_taken_and_no_more() {
        for value in [RelHumidity::LOW, RelHumidity::HIGH] {
            assert!(RelHumidity::new(value).is_ok());
        }
        for value in [-0.001, 1.001, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(RelHumidity::new(value).is_err(), "{value}");
        }
        assert_eq!(
            Celsius::new(140.0).unwrap_err().to_string(),
            "temperature 140 °C is outside -60 to 60"
        );
    }

    /// There and back again within rounding: each way is one multiplication and at most one
    /// addition, so 1e-12 leaves room.
    fn same(got: f64, given: f64) -> bool {
        (got - given).abs() <= 1e-12 * (1.0 + given.abs())
    }

    proptest! {
        #[test]
        fn there_and_back_again(part in 0.0..=1.0f64) {
            let fahrenheit = -76.0 + part * 216.0;
            prop_assert!(same(Celsius::from_fahrenheit(fahrenheit).unwrap().fahrenheit(), fahrenheit));
            let percent = part * 100.0;
            prop_assert!(same(RelHumidity::from_percent(percent).unwrap().percent(), percent));
            prop_assert!(same(MoisturePercent::from_fraction(part * 0.2).unwrap().fraction(), part * 0.2));
            prop_assert!(same(MoistureFlux::from_pounds(percent).unwrap().pounds(), percent));
            prop_assert!(same(Permeance::from_perms(percent).unwrap().perms(), percent));
            prop_assert!(same(Meters::from_feet(percent).unwrap().feet(), percent));
            prop_assert!(same(Meters::from_inches(percent).unwrap().inches(), percent));
            prop_assert!(same(SquareMeters::from_square_feet(11.0 + percent).unwrap().square_feet(), 11.0 + percent));
            prop_assert!(same(LitersPerDay::from_pints(percent).unwrap().pints(), percent));
        }
    }
}
