//! The one JSON document of `lapwing film`, with the cells of the maps written
//! panel by panel, so that a car full of maps needs no room of its own.
//!
//! Law: none.
//! Checked by: `tests/doors.rs`, and by counting the memory of a car of maps.

use lapwing_job::inspect::map::FilmMap;
use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};
use serde_json::Value;

/// The document, and the maps of its panels in their order.
pub(super) struct Document<'a> {
    pub(super) value: &'a Value,
    pub(super) maps: Vec<Option<&'a FilmMap>>,
}

impl Serialize for Document<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let keys = self.value.as_object().into_iter().flatten();
        let mut out = serializer.serialize_map(None)?;
        for (key, value) in keys {
            match value.as_array().filter(|_| key == "panels") {
                Some(panels) => out.serialize_entry(key, &Panels(panels, &self.maps))?,
                None => out.serialize_entry(key, value)?,
            }
        }
        out.end()
    }
}

struct Panels<'a>(&'a [Value], &'a [Option<&'a FilmMap>]);

impl Serialize for Panels<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let maps = self.1.iter().copied().chain(std::iter::repeat(None));
        serializer.collect_seq(self.0.iter().zip(maps).map(|(panel, map)| One(panel, map)))
    }
}

struct One<'a>(&'a Value, Option<&'a FilmMap>);

impl Serialize for One<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut out = serializer.serialize_map(None)?;
        for (key, value) in self.0.as_object().into_iter().flatten() {
            out.serialize_entry(key, value)?;
        }
        if let Some(map) = self.1 {
            out.serialize_entry("map", &Cells(map))?;
        }
        out.end()
    }
}

struct Cells<'a>(&'a FilmMap);

impl Serialize for Cells<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut out = serializer.serialize_map(Some(3))?;
        out.serialize_entry("grid", &self.0.grid)?;
        out.serialize_entry("mean_um", &Rounded(self.0.mean_um()))?;
        out.serialize_entry("sd_um", &Rounded(self.0.sd_um()))?;
        out.end()
    }
}

/// To a hundredth of a micrometre.
struct Rounded(Vec<Option<f64>>);

impl Serialize for Rounded {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let one = |um: &Option<f64>| um.map(|um| (um * 100.0).round() / 100.0);
        serializer.collect_seq(self.0.iter().map(one))
    }
}
