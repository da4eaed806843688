//! Concrete as a material, the transport solver, and a floor through years, bare or finished.
//!
//! Depth is counted from the top (the room) down to the underside (the ground). Fluxes are
//! positive upward. Everything is written over `L` lanes, that is `L` slabs of the same
//! shape solved side by side; one lane is the judge of the others. This folder knows nothing
//! of answers, readings or chances.

pub mod boundary;
pub mod floor;
pub mod grid;
pub mod material;
pub mod solver;
pub mod young;

pub use boundary::{RoomSide, Underside};
pub use floor::{FloorRun, FloorSet, Machines, Observed, supply_through};
pub use grid::Grid;
pub use material::{GenericConcrete, Material, Transport};
pub use solver::{Geometry, Passed, SlabState, Weights, step};
pub use young::{DryingSlab, Mix, YoungConcrete, Youth};
