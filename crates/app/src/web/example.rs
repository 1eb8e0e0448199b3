//! The example car, in the binary: invented, to look around with.

/// Its name in addresses.
pub(crate) const NAME: &str = "harbour-estate";
/// Its job file.
pub(crate) const JOB: &str = include_str!("../../../../examples/harbour-estate/job.toml");
/// Its gauge readings.
pub(crate) const READINGS: &str = include_str!("../../../../examples/harbour-estate/readings.csv");
