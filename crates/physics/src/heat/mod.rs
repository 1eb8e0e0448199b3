//! How warm the panel gets under a moving pad, from the clear coat to the inner face.
//!
//! Law: ρc·∂T/∂t = ∇·(k∇T) in every layer, flux q into the outer face under the
//! pad, h·(T − T_air) out of both faces. Finite volumes; implicit through the
//! depth, explicit in the plane; single precision, with unknowns chosen so that
//! heat is kept to rounding.
//! Source: Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959
//! (`Source::CarslawJaeger1959`); Patankar 1980 for the cells; Alexander 1977
//! for the step in time.
//! Holds: rises of some hundred kelvin at constant properties; touch longer
//! than 0.1 s. Outside: a flash at a single grain is far shorter and is not seen.
//! Left out: evaporation of what is wet, heat kept in the pad beyond its share,
//! curved panels (a section is small against its curvature).
//! Checked by: closed forms H1 to H8 and H10 to H12, a manufactured solution,
//! independent three-dimensional runs, the energy books, mirror images, and
//! equal bits for any number of threads.
//!
//! Describe the job as a [`HeatProblem`] and call [`solve_heat`]. The rises of a
//! panel that starts at air temperature grow in step with the flux: compute the
//! unit solution once, keep it, and use [`HeatResult::scaled`].

mod accuracy;
mod bands;
mod column;
mod depth;
mod error;
mod layers;
mod notes;
mod path;
mod plane;
mod problem;
mod result;
mod round;
mod run;
mod schedule;
mod sideways;
mod source;
mod tile;

#[cfg(test)]
mod checks;

pub use accuracy::{Accuracy, Cells, DepthCells};
pub use column::Scheme;
pub use error::HeatError;
pub use layers::{Layer, Substrate};
pub use path::{FnPath, PadMoment, PadPath, TimedPath};
pub use plane::Rim;
pub use problem::{AirContact, HeatProblem, HeatWatch, Panel};
pub use result::{Energy, GridUsed, HeatResult, HistoryPoint, HotSpot, TimeAbove};
pub use run::solve_heat;
pub use source::FluxFootprint;
