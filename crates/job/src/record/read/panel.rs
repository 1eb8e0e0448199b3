//! Reads the panels of a job, following `like = "other panel"`.
//!
//! A panel that is like another takes from it whatever it does not say
//! itself. A circle of likenesses is refused with its members.
//! Checked by: `read/tests.rs`.

use lapwing_measure::quantity::{Length, size};
use toml::Spanned;
use uom::si::length::{meter, micrometer};

use super::field::Reader;
use super::history;
use crate::record::corners::area;
use crate::record::job::{Defects, Paint, Panel, Substrate};
use crate::record::panel_names::{self, name_of};
use crate::record::written::{WrittenJob, WrittenPanel};
use crate::record::{InputError, Zone};

pub(super) fn panels(reader: &Reader<'_>, written: &WrittenJob) -> Result<Vec<Panel>, InputError> {
    let list = &written.panel;
    if list.is_empty() {
        return Err(InputError::in_file(
            reader.file,
            "the job names no panel; add at least one [[panel]] with a name.",
        ));
    }
    let named: Vec<String> = list.iter().map(panel_name).collect();
    let names = reader.refuse_duplicates("panel", list.iter().map(|p| &p.name).zip(named))?;
    (0..list.len())
        .map(|at| panel(reader, written, &names, at))
        .collect()
}

fn panel_name(panel: &WrittenPanel) -> String {
    name_of(panel.name.0.get_ref())
}

fn panel(
    reader: &Reader<'_>,
    written: &WrittenJob,
    names: &[String],
    at: usize,
) -> Result<Panel, InputError> {
    let chain = likeness(reader, &written.panel, names, at)?;
    let own = |pick: fn(&WrittenPanel) -> Option<&crate::record::written::Text>| {
        chain.iter().find_map(|p| pick(p))
    };
    let name = names[at].clone();
    let paint = own(|p| p.paint.as_ref()).or(written.car.paint.as_ref());
    let defects = own(|p| p.defects.as_ref()).or(written.car.defects.as_ref());
    let zones: &[(&str, Zone)] = &[("A", Zone::A), ("B", Zone::B), ("C", Zone::C)];
    let past = history::past(reader, &written.visit, (&name, names))?;
    let said_before = match &chain[0].removed_before {
        Some(text) => {
            let value: Length = reader.quantity(text, "removed_before")?;
            reader.within(
                text,
                "removed_before",
                (value.get::<micrometer>(), "µm"),
                (0.0, 100.0),
            )?;
            value
        }
        None => Length::new::<micrometer>(0.0),
    };
    Ok(Panel {
        substrate: reader.word_or(
            own(|p| p.substrate.as_ref()),
            "substrate",
            Substrate::WORDS,
            usual_substrate(&name),
        )?,
        size: own(|p| p.size.as_ref())
            .map(|text| measured_size(reader, text))
            .transpose()?,
        paint: reader.word_or(paint, "paint", Paint::WORDS, Paint::BaseClear)?,
        defects: reader.word_or(defects, "defects", Defects::WORDS, Defects::WashSwirls)?,
        removed_before: said_before + Length::new::<micrometer>(past.removed_um),
        removed_before_sd: Length::new::<micrometer>(past.removed_sd_um),
        zone: reader.word_or(
            chain[0].zone.as_ref(),
            "zone",
            zones,
            panel_names::zone(&name),
        )?,
        looks_repainted: history::looks_repainted(&written.mark, &name),
        is_repainted: chain[0].repainted.unwrap_or(false) || past.is_refinished,
        outline_mm: outline(reader, chain[0].outline_mm.as_ref())?,
        said: panel_names::own_word(&name, list_name(&written.panel[at])),
        name,
    })
}

fn list_name(panel: &WrittenPanel) -> &str {
    panel.name.0.get_ref()
}

/// The corners of a panel, or a sentence why they are none.
fn outline(
    reader: &Reader<'_>,
    written: Option<&Spanned<Vec<[f64; 2]>>>,
) -> Result<Vec<[f64; 2]>, InputError> {
    const FARTHEST_MM: f64 = 8000.0;
    const LEAST_MM2: f64 = 1e4;
    let Some(written) = written else {
        return Ok(Vec::new());
    };
    let corners = written.get_ref();
    let is_far = |mm: &f64| !(0.0..=FARTHEST_MM).contains(mm);
    if let Some([u, v]) = corners.iter().find(|c| c.iter().any(is_far)) {
        return Err(reader.fault(
            written,
            format!("outline_mm has a corner at {u}, {v}; allowed is 0 to 8000 mm each way from the panel's lower left corner."),
        ));
    }
    let mm2 = area(corners);
    if !(3..=200).contains(&corners.len()) || mm2 < LEAST_MM2 {
        return Err(reader.fault(
            written,
            format!("outline_mm has {} corners round {:.0} cm²; allowed are 3 to 200 corners round at least 100 cm². Go round the panel in turn, from corner to corner.", corners.len(), mm2 / 100.0),
        ));
    }
    Ok(corners.clone())
}

fn measured_size(
    reader: &Reader<'_>,
    text: &crate::record::written::Text,
) -> Result<(Length, Length), InputError> {
    let (u, v) = size(text.0.get_ref()).map_err(|e| reader.fault(&text.0, format!("size: {e}")))?;
    for side in [u, v] {
        reader.within(text, "size", (side.get::<meter>(), "m"), (0.03, 6.0))?;
    }
    Ok((u, v))
}

/// The panel itself, then the one it is like, and so on.
fn likeness<'w>(
    reader: &Reader<'_>,
    list: &'w [WrittenPanel],
    names: &[String],
    at: usize,
) -> Result<Vec<&'w WrittenPanel>, InputError> {
    let mut visited = vec![at];
    let mut chain = vec![&list[at]];
    while let Some(like) = &chain[chain.len() - 1].like {
        let came = like.0.get_ref();
        let wanted = name_of(came);
        let known: Vec<&str> = names.iter().map(String::as_str).collect();
        let Some(next) = names.iter().position(|n| *n == wanted) else {
            let near = super::field::suggestion(&wanted, &known);
            return Err(reader.fault(
                &like.0,
                format!(
                    "like names the panel \"{came}\", which the job does not have{near} Known: {}.",
                    super::field::listed(&known)
                ),
            ));
        };
        if visited.contains(&next) {
            let circle: Vec<&str> = visited.iter().map(|i| known[*i]).collect();
            return Err(reader.fault(
                &like.0,
                format!("these panels are like each other in a circle: {} and back to {}; give one of them its own values and remove its like.", circle.join(", "), known[next]),
            ));
        }
        visited.push(next);
        chain.push(&list[next]);
    }
    Ok(chain)
}

fn usual_substrate(name: &str) -> Substrate {
    match panel_names::stem(name).0 {
        "front-bumper" | "rear-bumper" | "mirror" | "spoiler" => Substrate::Plastic,
        _ => Substrate::Steel,
    }
}
