//! Concrete as a material, the transport solver, and a floor through years, bare or finished.
//!
//! Depth is counted from the top (the room) down to the underside (the ground). Fluxes are
//! positive upward. Everything is written over `L` lanes, that is `L` slabs of the same
//! shape solved side by side; one lane is the judge of the others. This folder knows nothing
//! of answers, readings or chances.

pub mod boundary;
pub mod exp2;
pub mod floor;
pub mod grid;
pub mod material;
pub mod real;
pub mod solver;
pub mod width;
pub mod young;

pub use boundary::{RoomSide, Underside};
pub use exp2::exp2;
pub use floor::{Cadence, FloorRun, FloorSet, Machines, Observed, YearStep, supply_through};
pub use grid::Grid;
pub use material::{GenericConcrete, Material, Transport};
pub use real::Real;
pub use solver::{Geometry, Passed, SlabState, Weights, step};
pub use width::{Width, Work};
pub use young::{DryingSlab, Mix, YoungConcrete, Youth};

/// `L` numbers, one for each slab solved side by side.
pub type Lanes<const L: usize, R = f64> = [R; L];
