//! Reads what is known of the car from before: the shop's layer table, the
//! gauge's stated repeatability, and earlier visits.
//!
//! ```toml
//! [gauge]
//! repeatability = "0.8 um"        # as stated with the gauge
//! [layers.metal]                  # metal | plastic | single_stage | refinish
//! clear = ["42 um", "4 um"]       # mean, standard deviation
//! [[visit]]
//! date = "May 2024"
//! panels = ["bonnet", "roof"]     # left out: every panel
//! removed = "2.1 um"
//! uncertainty = "0.6 um"
//! refinished = false              # true: painted again on that visit
//! [[mark]]                        # of the walk-round
//! panel = "roof"
//! kind = "repaint"                # looks painted again: left until known
//! [history]
//! record = "record.json"          # the hand-over record of the visit before
//! key = "9f3a…"                   # left out: any key, with a caution
//! ```
//!
//! A visit that painted a panel again starts its film anew: what was removed
//! before it, in the order of the file, no longer counts.
//! Left out: which part of a panel was worked; the whole panel is debited.
//! Checked by: `read/tests.rs`.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::Length;
use uom::si::length::micrometer;

use super::field::{Reader, listed, suggestion};
use crate::record::earlier::NamedRecord;
use crate::record::layers::{Build, Layer, LayerTable};
use crate::record::panel_names::name_of;
use crate::record::written::{
    Text, WrittenBuild, WrittenGauge, WrittenJob, WrittenMark, WrittenVisit,
};
use crate::record::{Caution, InputError};

/// Film taken off one panel before, and whether it was painted again.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Past {
    pub(super) removed_um: f64,
    pub(super) removed_sd_um: f64,
    pub(super) is_refinished: bool,
}

pub(super) fn layers(reader: &Reader<'_>, written: &WrittenJob) -> Result<LayerTable, InputError> {
    let mut table = LayerTable::default();
    let Some(layers) = &written.layers else {
        return Ok(table);
    };
    for (build, into) in [
        (&layers.metal, &mut table.metal),
        (&layers.plastic, &mut table.plastic),
        (&layers.single_stage, &mut table.single_stage),
        (&layers.refinish, &mut table.refinish),
    ] {
        if let Some(build) = build {
            one_build(reader, build, into)?;
        }
    }
    Ok(table)
}

fn one_build(
    reader: &Reader<'_>,
    written: &WrittenBuild,
    into: &mut Build,
) -> Result<(), InputError> {
    // Clear coat and top coat are the same place in the build.
    let (top_key, top) = match &written.clear {
        Some(_) => ("clear", &written.clear),
        None => ("top", &written.top),
    };
    for (key, pair, layer) in [
        (top_key, top, &mut into.top),
        ("base", &written.base, &mut into.base),
        ("primer", &written.primer, &mut into.primer),
        ("e_coat", &written.e_coat, &mut into.e_coat),
        ("old", &written.old, &mut into.old),
    ] {
        if let Some(pair) = pair {
            *layer = one_layer(reader, key, pair)?;
            into.provenance = Provenance::Calibrated;
        }
    }
    Ok(())
}

fn one_layer(reader: &Reader<'_>, key: &str, pair: &[Text]) -> Result<Layer, InputError> {
    let [mean, sd] = pair else {
        let sentence = format!(
            "{key} has {} entries; it is a mean and a standard deviation, such as {key} = [\"42 um\", \"4 um\"].",
            pair.len()
        );
        return Err(match pair.first() {
            Some(text) => reader.fault(&text.0, sentence),
            None => InputError::in_file(reader.file, sentence),
        });
    };
    Ok(Layer {
        mean_um: film_um(reader, mean, key, (0.0, 1000.0))?,
        sd_um: film_um(reader, sd, key, (0.0, 300.0))?,
    })
}

pub(super) fn gauge(
    reader: &Reader<'_>,
    written: Option<&WrittenGauge>,
) -> Result<Option<Length>, InputError> {
    let text = written.and_then(|g| g.repeatability.as_ref());
    text.map(|text| {
        film_um(reader, text, "repeatability", (0.05, 20.0)).map(Length::new::<micrometer>)
    })
    .transpose()
}

/// Whether the walk-round marked a panel as looking painted again.
pub(super) fn looks_repainted(marks: &[WrittenMark], panel: &str) -> bool {
    marks.iter().any(|mark| {
        let kind = mark.kind.0.get_ref().trim().to_lowercase();
        kind.starts_with("repaint") && name_of(mark.panel.0.get_ref()) == panel
    })
}

/// Marks on panels that the job does not have.
pub(super) fn lost_marks(file: &str, written: &WrittenJob) -> Vec<Caution> {
    let names: Vec<String> = written
        .panel
        .iter()
        .map(|p| name_of(p.name.0.get_ref()))
        .collect();
    let lost = written
        .mark
        .iter()
        .map(|mark| mark.panel.0.get_ref())
        .filter(|panel| !names.contains(&name_of(panel)));
    lost.map(|panel| {
        let text = format!("A mark names the panel \"{panel}\", which the job does not have; it counts for nothing. Correct the name, or add the panel.");
        Caution::new(file, text)
    })
    .collect()
}

/// The record of the visit before, and the panels painted again since.
pub(super) fn record(
    reader: &Reader<'_>,
    written: &WrittenJob,
) -> Result<Option<NamedRecord>, InputError> {
    let Some(history) = &written.history else {
        return Ok(None);
    };
    if let Some(key) = &history.key {
        let is_key = |k: &str| k.len() == 64 && k.bytes().all(|b| b.is_ascii_hexdigit());
        if !is_key(key.0.get_ref()) {
            return Err(reader.fault(
                &key.0,
                "key is the public key of the shop that signed the record: 64 signs of 0-9 and a-f. `lapwing verify-record` prints it.",
            ));
        }
    }
    let names: Vec<String> = written
        .panel
        .iter()
        .map(|p| name_of(p.name.0.get_ref()))
        .collect();
    let mut painted_since = Vec::new();
    for name in &names {
        if past(reader, &written.visit, (name, &names))?.is_refinished {
            painted_since.push(name.clone());
        }
    }
    Ok(Some(NamedRecord {
        file: history.record.0.get_ref().clone(),
        key: history.key.as_ref().map(|k| k.0.get_ref().to_lowercase()),
        painted_since,
    }))
}

/// What earlier visits did to a panel of this name.
pub(super) fn past(
    reader: &Reader<'_>,
    visits: &[WrittenVisit],
    (name, names): (&str, &[String]),
) -> Result<Past, InputError> {
    let mut past = Past::default();
    for visit in visits {
        if !concerns(reader, visit, (name, names))? {
            continue;
        }
        if visit.refinished == Some(true) {
            past = Past {
                is_refinished: true,
                ..Past::default()
            };
        }
        if let Some(text) = &visit.removed {
            past.removed_um += film_um(reader, text, "removed", (0.0, 100.0))?;
        }
        if let Some(text) = &visit.uncertainty {
            let sd_um = film_um(reader, text, "uncertainty", (0.0, 100.0))?;
            past.removed_sd_um = past.removed_sd_um.hypot(sd_um);
        }
    }
    Ok(past)
}

fn concerns(
    reader: &Reader<'_>,
    visit: &WrittenVisit,
    (name, names): (&str, &[String]),
) -> Result<bool, InputError> {
    let Some(panels) = &visit.panels else {
        return Ok(true);
    };
    let known: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut is_named = false;
    for text in panels {
        let wanted = name_of(text.0.get_ref());
        if !known.contains(&wanted.as_str()) {
            return Err(reader.fault(
                &text.0,
                format!(
                    "the visit names the panel \"{}\", which the job does not have{} Known: {}.",
                    text.0.get_ref(),
                    suggestion(&wanted, &known),
                    listed(&known)
                ),
            ));
        }
        is_named |= wanted == name;
    }
    Ok(is_named)
}

fn film_um(
    reader: &Reader<'_>,
    text: &Text,
    key: &str,
    range_um: (f64, f64),
) -> Result<f64, InputError> {
    let value: Length = reader.quantity(text, key)?;
    let um = value.get::<micrometer>();
    reader.within(text, key, (um, "µm"), range_um)?;
    Ok(um)
}
