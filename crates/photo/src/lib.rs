//! From pixels to scratch density, change and haze: a room that is still empty.
//!
//! Nothing is measured here yet. The room exists so that the house has its
//! place for it: it imports `measure` alone, reads no image file and knows no
//! job.
