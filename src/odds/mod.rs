//! Priors from answers, draws, weights from readings and signs, the posterior.
//!
//! It knows what an answer is worth and never what to do about it: that is for `rules` and
//! `verdict`.

pub mod drying;
pub mod evidence;
pub mod first_round;
pub mod forcing;
pub mod forecast;
pub mod outcomes;
pub mod parameters;
pub mod pareto;
pub mod posterior;
pub mod priors;
pub mod quantiles;
pub mod rounds;
pub mod simulate;
pub mod sobol;
pub mod view;
pub mod water_year;
pub mod weather_had;
