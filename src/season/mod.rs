//! What the weather does to ground and basement, month by month.
//!
//! Humid air, water balance, ground temperature, water table, room air, and the forcing of a
//! floor made of them. It knows climate normals and the numbers of one house; it never knows
//! concrete, answers or readings.

mod balance;
mod forcing;
mod ground;
mod humid;
mod room;
mod water_table;
mod weather;
mod year;

pub use balance::{
    Balance, BalanceMonth, BalanceMonths, Balances, MonthWeather, SoilStore, day_length,
    frost_kept, hamon_evapotranspiration, rain_share, thaw_k_days,
};
pub use forcing::{Cadence, House, Machine, Outdoors, YearStep, forcing};
pub use ground::{Harmonic, Swing, ground_temperature, swing_at, turn_of_year};
pub use humid::{dew_point, dew_point_c, saturation_pa, saturation_pressure};
pub use room::{excess_share, reference_pa, room_swing, slab_c, ventilation_conductance};
pub use water_table::{WaterTable, contact, lift_m};
pub use weather::{Departure, MonthRange, Spread, WeatherStream};
pub use year::{DAYS_PER_YEAR, MONTH_NAMES, STEPS_PER_MONTH, STEPS_PER_YEAR, between_months};

crate::named_table! {
    /// Numbers of this folder, from `tables/season.csv`.
    SeasonTable from "season.csv" {
        rain_from_c,
        daily_spread_k,
        melt_daylight_power,
        frost_from_c,
        frost_keeps,
        direct_runoff_share,
        balance_years,
        lift_most_m,
        lift_half_mm,
        rain_boost_most_m,
        ground_diffusivity_m2_day,
        slab_depth_below_grade_m,
        slab_depth_on_grade_m,
        outdoor_phase_share,
        ground_phase_share,
        underside_less,
        film_kg_m2_s_pa,
        room_height_m,
        cooled_reference_pa,
        excess_vanishes_c,
        soil_air_humidity,
        normal_mean_c,
        month_rain_sd,
        month_winter_sd_k,
        month_summer_sd_k,
    }
}
