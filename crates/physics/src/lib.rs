//! The laws of nature behind a polishing pass, a working day and a coating.
//!
//! This room imports `measure` and nothing else of ours. It knows no panel by
//! name, no customer, no money, no file and no chance. A walk through it, in
//! the order a pass happens:
//!
//! - [`contact`]: how the pressure spreads under a pad on an elastic bed;
//! - [`motion`]: how fast the pad rubs at a point;
//! - [`footprint`]: pressure times speed, averaged over a turn;
//! - [`stroke`]: where the machine is, and when;
//! - [`course`]: how the pad touches at every place of that path;
//! - [`removal`]: what comes off, as a map in micrometres;
//! - [`heat`]: how hot the film gets, and where the energy goes;
//! - [`abrasive`]: how the abrasive tires;
//! - [`convection`]: how the panel loses heat to the air;
//! - [`gloss`]: what the finish does to light;
//! - [`moist_air`]: when a surface gets wet by itself;
//! - [`vibration`], [`noise`], [`solvent`]: what the day does to the person.

pub mod error;
mod gauss;
mod wide;
pub mod pad_grid;

pub mod contact;
pub mod motion;
pub mod footprint;
pub mod stroke;
pub mod course;
pub mod removal;
pub mod heat;
pub mod abrasive;
pub mod convection;
pub mod gloss;
pub mod moist_air;
pub mod vibration;
pub mod noise;
pub mod solvent;

pub use error::PhysicsError;
