//! What the stations hand to each other: the car, its panels, the kit, the
//! people, the wishes, the readings.
//!
//! Pure data and its readers; no station lives here.

pub mod calibration;
pub mod seen;
pub(crate) mod corners;
pub mod earlier;
pub mod error;
pub mod file_kind;
pub mod job;
pub mod layers;
pub mod panel_names;
pub mod read;
pub mod readings;
pub mod said;
pub(crate) mod toml_fault;
pub mod written;

pub use error::{Caution, InputError};
pub use panel_names::Zone;
pub use readings::{LayerName, LayerReading, Place, Reading, Readings};
pub use said::{Part, Said, Sentence};
