//! The monthly water balance of the soil around a house.

use super::SeasonTable;

/// Length of the day on a day of the year (1 to 365), in units of 12 hours.
///
/// # Source
///
/// Declination `0.4093 sin(2 pi d/365 - 1.405)` as in thornthwaite-1948 programs; beyond the
/// polar circles the day is held to 0 to 24 hours.
pub fn day_length(latitude_deg: f64, day: f64) -> f64 {
    let declination = 0.4093 * libm::sin(2.0 * std::f64::consts::PI * day / 365.0 - 1.405);
    let cosine = -libm::tan(latitude_deg.to_radians()) * libm::tan(declination);
    2.0 / std::f64::consts::PI * libm::acos(cosine.clamp(-1.0, 1.0))
}

/// Evapotranspiration that a wet soil would give, mm in a month.
///
/// # Formula
///
/// `13.97 d D^2 W`, `W = 4.95 exp(0.062 T)/100`, with `d` days and `D` the day length in
/// units of 12 hours.
///
/// # Source
///
/// hamon-1961 as used by mccabe-markstrom-2007.
pub fn hamon_evapotranspiration(days: f64, day_length: f64, mean_c: f64) -> f64 {
    13.97 * days * day_length * day_length * 4.95 * libm::exp(0.062 * mean_c) / 100.0
}

/// Numbers of the soil that differ from house to house.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoilStore {
    /// Water that the root zone holds, mm.
    pub capacity_mm: f64,
    /// Share of the store below that leaves in a month.
    pub release: f64,
    /// Temperature at and below which all precipitation is snow, °C.
    pub all_snow_c: f64,
}

/// What a month left behind.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BalanceMonth {
    pub rain_mm: f64,
    pub snowfall_mm: f64,
    pub melt_mm: f64,
    pub direct_runoff_mm: f64,
    pub soil_mm: f64,
    pub surplus_mm: f64,
    pub actual_evapotranspiration_mm: f64,
    /// Store below, at the end of the month, mm.
    pub ground_end_mm: f64,
    /// Store below, mean of the start and the end of the month, mm.
    pub ground_mm: f64,
}

/// The balance running from month to month.
///
/// # Source
///
/// mccabe-markstrom-2007 for snow, melt, runoff and soil store; the linear store takes the
/// place of its runoff, and roots draw on it by half of the soil's shortage, up to what the
/// air could still take.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    soil: SoilStore,
    snow_mm: f64,
    soil_mm: f64,
    ground_mm: f64,
    root_draw: f64,
    bypass: f64,
}

impl Balance {
    /// A soil half full, without snow.
    pub fn new(soil: SoilStore) -> Self {
        let root_draw = SeasonTable::bundled().root_draw;
        Self {
            soil,
            snow_mm: 0.0,
            soil_mm: 0.5 * soil.capacity_mm,
            ground_mm: 0.0,
            root_draw,
            bypass: 0.0,
        }
    }

    /// The same with a share of rain and melt (0 to 1) that runs past the soil through cracks
    /// and root holes into the store below.
    pub fn with_bypass(self, share: f64) -> Self {
        Self {
            bypass: share,
            ..self
        }
    }

    /// The same without roots that draw on the store below: the published model.
    pub fn without_root_draw(soil: SoilStore) -> Self {
        Self {
            root_draw: 0.0,
            ..Self::new(soil)
        }
    }

    /// Takes one month: mean temperature °C, precipitation and evapotranspiration mm.
    pub fn month(
        &mut self,
        mean_c: f64,
        precipitation_mm: f64,
        evapotranspiration_mm: f64,
    ) -> BalanceMonth {
        let table = SeasonTable::bundled();
        let range_c = table.all_rain_c - self.soil.all_snow_c;
        let warm = ((mean_c - self.soil.all_snow_c) / range_c).clamp(0.0, 1.0);
        let snowfall = precipitation_mm * (1.0 - warm);
        let rain = precipitation_mm - snowfall;
        let direct = table.direct_runoff_share * rain;
        self.snow_mm += snowfall;
        let melt = self.snow_mm * (warm * table.melt_share_most);
        self.snow_mm -= melt;
        let past = self.bypass * (rain - direct + melt);
        let supply = rain - direct + melt - past;
        let mut surplus = past;
        let actual;
        if supply >= evapotranspiration_mm {
            actual = evapotranspiration_mm;
            let filled = self.soil_mm + supply - evapotranspiration_mm;
            surplus += (filled - self.soil.capacity_mm).max(0.0);
            self.soil_mm = filled.min(self.soil.capacity_mm);
        } else {
            let drawn = ((evapotranspiration_mm - supply) * self.soil_mm / self.soil.capacity_mm)
                .min(self.soil_mm);
            self.soil_mm -= drawn;
            actual = supply + drawn;
        }
        let shortage = 1.0 - self.soil_mm / self.soil.capacity_mm;
        let start = self.ground_mm;
        let full = start + surplus;
        // Roots draw on the store below by the soil's shortage, and never more than the air
        // could still take.
        let drawn =
            (self.root_draw * shortage * full).min((evapotranspiration_mm - actual).max(0.0));
        self.ground_mm = (full * (1.0 - self.soil.release) - drawn).max(0.0);
        BalanceMonth {
            rain_mm: rain,
            snowfall_mm: snowfall,
            melt_mm: melt,
            direct_runoff_mm: direct,
            soil_mm: self.soil_mm,
            surplus_mm: surplus,
            actual_evapotranspiration_mm: actual,
            ground_end_mm: self.ground_mm,
            ground_mm: 0.5 * (start + self.ground_mm),
        }
    }

    /// Water on and in the ground now, mm: snow, soil and the store below.
    pub fn held_mm(&self) -> f64 {
        self.snow_mm + self.soil_mm + self.ground_mm
    }
}
