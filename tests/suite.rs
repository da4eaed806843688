//! All tests but the published checks, in one program: it is built and linked once.
//!
//! `cargo test --test suite NAME::` runs one file. A file of `tests/` that is not named here does
//! not compile into anything; `layout.rs` fails on it.

mod answers;
mod attacks;
mod batch;
mod card;
mod cli;
mod climate_tables;
mod consistent;
mod decisions;
mod estimators_day;
mod faults;
mod first_use;
mod interview;
mod laws;
mod layout;
mod ledger;
mod lessons;
mod lockstep;
mod report;
mod rules;
mod seasons;
mod sheets;
mod solver;
mod spanish;
mod tables;
mod visit_file;
mod weather;
mod web;
mod words;

// Floors and what is asked of them, as several files have them.
#[path = "shared/floors.rs"]
mod floors;

// A ledger and what is asked of it by the program.
#[path = "shared/ledgers.rs"]
mod ledgers;

// Floors of our own making, from an example that has a program around them.
#[allow(dead_code)]
#[path = "../examples/invented_floors.rs"]
mod invented_floors;
