//! How a year is cut into months and steps.

/// Days in a mean year.
pub const DAYS_PER_YEAR: f64 = 365.25;
/// Steps of the slab in a month; months are taken as equal.
pub const STEPS_PER_MONTH: usize = 9;
/// Steps of the slab in a year.
pub const STEPS_PER_YEAR: usize = 12 * STEPS_PER_MONTH;

/// English names of the months.
pub const MONTH_NAMES: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// For a step's end within its month of `steps_per_month`: the neighbor month (-1 or 1) and the
/// share of this month (0.5 to 1) in a straight line between the middles of the two.
#[inline(always)]
pub fn between_months(step_in_month: usize, steps_per_month: usize) -> (isize, f64) {
    let place = (step_in_month as f64 + 1.0) / steps_per_month as f64 - 0.5;
    if place < 0.0 {
        (-1, 1.0 + place)
    } else {
        (1, 1.0 - place)
    }
}
