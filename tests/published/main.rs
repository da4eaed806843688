//! Formulas and the solver against published values, analytic solutions and other programs.
//!
//! Each table beside this file names its source in its first lines.

mod materials;
mod odds;
mod season;
mod slab;
mod table;
mod wells;
mod young;

// The example has parts that only its own table uses.
#[allow(dead_code)]
#[path = "../../examples/wells.rs"]
mod wells_example;
