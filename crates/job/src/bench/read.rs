//! Reads a pass from `SETUP.toml`, with the place of everything it refuses.
//!
//! Keys as in the contract; what is left out takes the value of the table
//! below and is marked for what it is.
//!
//! Every key is described where it is declared, in `written`.
//!
//! | key | left out |
//! |---|---|
//! | `panel.substrate` | steel, usual film |
//! | `panel.in_plane` | wide |
//! | `panel.start_temperature`, `air_temperature` | 25 °C; the start's |
//! | `panel.convection_*` | from the laws, a level panel, with the pad's wind |
//! | `panel.free_edges`, `crease`, `radius` | none: flat, and goes on |
//! | `pad.class`, `stiffness`, `thickness` | none; 50 kPa, 25 mm (assumed) |
//! | `touch.hold` | level; free with an eccentricity or a moment |
//! | `abrasive.cut_rate`, `friction_share` | medium; usual, 0.3 (assumed) |
//! | `abrasive.breakdown`, `charges` | none; 1 (assumed) |
//! | `pad.sections_since_clean` | 0 |
//! | `finish.roughness`, `refractive_index` | by class; 1.5 (assumed) |
//! | `stroke.arm_speed`, `overlap`, `passes` | 1 in/s, 0.5, 1 (common practice) |
//!
//! Source: `Source::RoarkEccentric` for the lean's range; habits of the trade.
//! Left out: several machines in one file.
//! Checked by: `tests.rs`.

mod abrasive;
pub(crate) mod flat;
mod ground;
mod panel;
mod path;
mod route;
mod tool;

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{Temperature, Time};
use lapwing_physics::contact::Pad;
use lapwing_physics::heat::{Accuracy, Cells, DepthCells, Scheme};
use lapwing_physics::stroke::Section;
use toml::Spanned;
use uom::si::length::millimeter;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::finish::FinishSetup;
use super::setup::{Origin, Setup, Spread};
use super::wearing::Wearing;
use super::written::{WrittenHeat, WrittenSetup};
use crate::record::file_kind::FileKind;
use crate::record::job::{PadClass, Units};
use crate::record::read::field::Reader;
use crate::record::toml_fault::toml_fault;
use crate::record::written::Text;
use crate::record::{Caution, InputError};

/// Said behind every fault of the file's form.
const HINT: &str = "A setup has [panel], [machine], [pad], [touch], [abrasive] and [stroke].";

/// Gives the text of a file that the setup names, or a sentence.
pub type Files<'a> = &'a dyn Fn(&str) -> Result<String, String>;

/// What reading gathers beside the setup.
#[derive(Default)]
struct Notes {
    origins: Vec<Origin>,
    cautions: Vec<Caution>,
}

impl Notes {
    fn origin(&mut self, key: &str, value: impl Into<String>, provenance: Provenance) {
        self.origins.push(Origin {
            key: key.to_owned(),
            value: value.into(),
            provenance,
        });
    }

    /// Marks a key that was left out; what the user gave is the user's own.
    fn if_absent(
        &mut self,
        key: &str,
        written: Option<&Text>,
        (otherwise, mark): (&str, Provenance),
    ) {
        if written.is_none() {
            self.origin(key, otherwise, mark);
        }
    }

    fn caution(&mut self, place: &str, text: impl Into<String>) {
        self.cautions.push(Caution::new(place, text));
    }
}

/// JSON Schema of a setup, every key with its words.
#[must_use]
pub fn setup_schema() -> serde_json::Value {
    schemars::schema_for!(WrittenSetup).to_value()
}

/// Reads a setup; `files` is asked for the path of points, if there is one.
///
/// # Errors
/// One sentence with line and column: what came, what is allowed, why.
pub fn read_setup(file: &str, text: &str, files: Files<'_>) -> Result<Setup, InputError> {
    let written: WrittenSetup =
        toml::from_str(text).map_err(|e| toml_fault((file, text), &e, FileKind::Setup, HINT))?;
    let reader = Reader { file, text };
    let mut notes = Notes::default();
    let panel = panel::panel(&reader, &written.panel, &mut notes)?;
    let motion = tool::motion(&reader, &written.machine, &mut notes)?;
    let pad = tool::pad(&reader, &written.pad, &mut notes)?;
    let touch = tool::touch(&reader, &written.touch, &mut notes)?;
    ground::refuse_tight(&reader, &written.panel, &panel.ground, &pad.bed)?;
    refuse_too_wide(&reader, &written.pad.diameter, (&panel.section, &pad.bed))?;
    let held = route::Held {
        section: &panel.section,
        pad: &pad.bed,
        motion: &motion,
    };
    let route = route::route(&reader, &written.stroke, &held, (files, &mut notes))?;
    let units = reader.word_or(written.units.as_ref(), "units", Units::WORDS, Units::Metric)?;
    let probes = ground::probes(&reader, &written.probe, &panel)?;
    let worn = worn(&reader, &written, pad.class, &mut notes)?;
    let accuracy = accuracy(&reader, &written.heat)?;
    let above = above(&reader, &written.heat.above, panel.start)?;
    Ok(Setup {
        file: file.to_owned(),
        units,
        panel,
        motion,
        pad: pad.bed,
        touch,
        leans_with_travel: tool::leans_with_travel(&reader, &written.touch)?,
        stiffness_kpa: pad.stiffness_kpa,
        cut_rate_per_pa: worn.cut_rate_per_pa,
        friction_frac: worn.friction_frac,
        wearing: worn.wearing,
        finish: worn.finish,
        probes,
        route,
        is_quick: matches!(accuracy, Accuracy::Interactive),
        accuracy,
        above,
        origins: notes.origins,
        cautions: notes.cautions,
    })
}

/// Product and pad together.
struct Worn {
    cut_rate_per_pa: Spread,
    friction_frac: Spread,
    wearing: Wearing,
    finish: FinishSetup,
}

/// Cut and friction of this pad with this product, and what they leave.
fn worn(
    reader: &Reader<'_>,
    written: &WrittenSetup,
    pad_class: Option<PadClass>,
    notes: &mut Notes,
) -> Result<Worn, InputError> {
    let (cut_rate, class) = abrasive::cut_rate(reader, (&written.abrasive, pad_class), notes)?;
    let friction = abrasive::friction(reader, written.abrasive.friction_share.as_ref(), notes)?;
    let wearing = abrasive::wearing(reader, (&written.abrasive, &written.pad), notes)?;
    let (cut_frac, friction_frac) = wearing
        .loading
        .factors()
        .map_err(|sentence| InputError::in_file(reader.file, sentence))?;
    Ok(Worn {
        cut_rate_per_pa: abrasive::loaded(cut_rate, cut_frac, f64::INFINITY),
        friction_frac: abrasive::loaded(friction, friction_frac, 1.0),
        wearing,
        finish: abrasive::finish(reader, &written.finish, (class, pad_class))?,
    })
}

fn refuse_too_wide(
    reader: &Reader<'_>,
    diameter: &Text,
    (section, pad): (&Section, &Pad),
) -> Result<(), InputError> {
    let shorter = section.width.min(section.height);
    if pad.radius * 2.0 <= shorter {
        return Ok(());
    }
    Err(reader.fault(
        &diameter.0,
        format!(
            "pad.diameter is \"{}\"; allowed is at most the panel's shorter side, {:.0} mm, because a pad larger than the section works beside it. Use a smaller pad or a larger panel.size.",
            diameter.0.get_ref(),
            shorter.get::<millimeter>()
        ),
    ))
}

/// Grids beyond this are refused while the file is read; smaller ones by the
/// heat itself, with the grid that fits.
const MOST_MEGABYTES: f64 = 1e5;

fn accuracy(reader: &Reader<'_>, written: &WrittenHeat) -> Result<Accuracy, InputError> {
    let words = [("quick", Accuracy::Interactive), ("full", Accuracy::Full)];
    let names: Vec<(&str, usize)> = words
        .iter()
        .enumerate()
        .map(|(at, (word, _))| (*word, at))
        .collect();
    let Some(cells) = &written.cells else {
        if let Some(step) = &written.step {
            return Err(reader.fault(
                &step.0,
                "heat.step came without heat.cells. Give both, or leave both to the program.",
            ));
        }
        let at = reader.word_or(written.detail.as_ref(), "heat.detail", &names, 1)?;
        return Ok(words[at].1.clone());
    };
    if let Some(detail) = &written.detail {
        return Err(reader.fault(
            &detail.0,
            "heat.detail and heat.cells contradict each other. Keep one.",
        ));
    }
    let [nx, ny, nz] = three(reader, cells)?;
    let Some(text) = &written.step else {
        return Err(reader.fault(
            cells,
            "heat.cells came without heat.step. Add a step such as \"0.1 s\".",
        ));
    };
    let dt: Time = reader.quantity(text, "heat.step")?;
    let why = "s, because shorter steps cost hours and longer ones skip the pad";
    reader.within(text, "heat.step", (dt.value, why), (1e-4, 60.0))?;
    Ok(Accuracy::Cells(Cells {
        nx,
        ny,
        nz: DepthCells::Total(nz),
        dt,
        scheme: Scheme::TwoStage,
    }))
}

/// Cells along x, along y and through the depth.
fn three(reader: &Reader<'_>, cells: &Spanned<Vec<i64>>) -> Result<[usize; 3], InputError> {
    let [nx, ny, nz] = cells.get_ref()[..] else {
        return Err(reader.fault(
            cells,
            format!(
                "heat.cells has {} numbers; give three: along x, along y, through the depth.",
                cells.get_ref().len()
            ),
        ));
    };
    if [nx, ny, nz].iter().any(|n| *n < 1) {
        return Err(reader.fault(cells, format!("heat.cells is [{nx}, {ny}, {nz}]; allowed is 1 cell or more each way. [120, 120, 12] is usual.")));
    }
    // State, peak and maps, in single precision; far more than any machine's memory.
    let megabytes = 4e-6 * nx as f64 * ny as f64 * (nz as f64 + 4.0);
    if megabytes > MOST_MEGABYTES {
        return Err(reader.fault(cells, format!("heat.cells is [{nx}, {ny}, {nz}], which would take about {megabytes:.0} MB; allowed is 40 MB. [120, 120, 12] is usual and [500, 500, 12] fits; or leave the grid to the program.")));
    }
    Ok([nx, ny, nz].map(|n| usize::try_from(n).unwrap_or(usize::MAX)))
}

/// Surface temperatures people watch, °C (trade texts disagree on the limit).
const WATCHED_C: [f64; 3] = [43.0, 60.0, 71.0];

fn above(
    reader: &Reader<'_>,
    written: &[Text],
    start: Temperature,
) -> Result<Vec<Temperature>, InputError> {
    if written.is_empty() {
        let watched = WATCHED_C.map(Temperature::new::<degree_celsius>);
        return Ok(watched.into_iter().filter(|t| *t > start).collect());
    }
    let lowest_c = start.get::<degree_celsius>();
    written
        .iter()
        .map(|text| {
            let limit: Temperature = reader.quantity(text, "heat.above")?;
            reader.within(
                text,
                "heat.above",
                (
                    limit.get::<degree_celsius>(),
                    "°C, because only what is warmer than the start is timed",
                ),
                (lowest_c, 300.0),
            )?;
            Ok(limit)
        })
        .collect()
}

#[cfg(test)]
mod tests;
