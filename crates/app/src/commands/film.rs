//! `lapwing film READINGS.csv`: statistics, findings, clear left and budget.

use std::path::PathBuf;

use clap::Args;
use lapwing_job::budget::budget;
use lapwing_job::inspect::{CarFilm, Known, PanelFilm, inspect_knowing};
use lapwing_job::record::job::{Defects, Paint, Panel, Rules, Substrate, Units};
use lapwing_job::record::{InputError, panel_names, readings};
use lapwing_measure::quantity::Length;
use serde_json::{Value, json};
use uom::si::length::micrometer;

use super::{print, print_json};
use crate::failure::Failure;

/// Largest table of readings, MB.
pub(crate) const MOST_READINGS_MB: u64 = 64;

/// Which readings, over what.
#[derive(Args)]
pub(crate) struct Arguments {
    /// Table of readings (comma, semicolon or tab)
    readings: PathBuf,
    /// Paint system: base-clear or single-stage
    #[arg(long, default_value = "base-clear")]
    system: String,
    /// Under the paint: steel, aluminium, plastic or laminate
    #[arg(long, default_value = "steel")]
    substrate: String,
    /// Print mil instead of µm (JSON always carries µm)
    #[arg(long)]
    us: bool,
    /// Print one JSON document
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let over = Over::read(&arguments.system, &arguments.substrate)?;
    let bytes = lapwing_store::read_file(&arguments.readings, MOST_READINGS_MB)?;
    let document = answer(&arguments.readings.display().to_string(), &bytes, over)?;
    if arguments.json {
        return print_json(&document);
    }
    let units = if arguments.us {
        Units::Us
    } else {
        Units::Metric
    };
    print(&lapwing_report::tables::film(&document, units));
    Ok(())
}

/// What the readings were taken over.
#[derive(Clone, Copy)]
pub(crate) struct Over {
    system: Paint,
    substrate: Substrate,
}

impl Over {
    /// From the words of both doors.
    pub(crate) fn read(system: &str, substrate: &str) -> Result<Self, Failure> {
        Ok(Self {
            system: word(system, "--system", &Paint::WORDS[..2])?,
            substrate: word(substrate, "--substrate", Substrate::WORDS)?,
        })
    }
}

/// Statistics, findings and budget of a table of readings; the one JSON
/// document of both doors.
pub(crate) fn answer(file: &str, bytes: &[u8], over: Over) -> Result<Value, Failure> {
    let read = readings::read(file, bytes, None)?;
    let film = inspect_knowing(&read, &Known::all(over.system, over.substrate));
    Ok(document(&film, &read.cautions, over.system, over.substrate))
}

fn word<T: Copy>(came: &str, key: &str, words: &[(&str, T)]) -> Result<T, Failure> {
    words
        .iter()
        .find(|(w, _)| *w == came)
        .map(|(_, v)| *v)
        .ok_or_else(|| {
            let allowed: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
            InputError::in_file(
                key,
                format!("\"{came}\" is not known. Allowed: {}.", allowed.join(", ")),
            )
            .into()
        })
}

fn document(
    film: &CarFilm,
    read_cautions: &[lapwing_job::record::Caution],
    system: Paint,
    substrate: Substrate,
) -> Value {
    let rules = Rules::default();
    let mut cautions: Vec<_> = read_cautions
        .iter()
        .chain(&film.cautions)
        .cloned()
        .collect();
    let panels: Vec<Value> = film
        .panels
        .iter()
        .map(|one| {
            let panel = bare_panel(&one.name, system, substrate);
            let may_go = budget(&panel, Some(one), film.gauge.reading_sd_um, &rules);
            cautions.extend(may_go.cautions.iter().cloned());
            panel_document(one, &may_go)
        })
        .collect();
    json!({
        "panels": panels,
        "gauge": film.gauge,
        "repaint": film.repaint,
        "cautions": cautions,
    })
}

fn panel_document(one: &PanelFilm, may_go: &lapwing_job::budget::Budget) -> Value {
    json!({
        "name": one.name,
        "count": one.count,
        "mean_um": one.mean_um,
        "sd_um": one.sd_um,
        "median_um": one.median_um,
        "robust_sd_um": one.robust_sd_um,
        "thin_um": one.thin_um,
        "edge_um": one.edge_um,
        "outliers_um": one.outliers_um,
        "findings": one.findings,
        "found": one.found,
        "repaint_probability": one.repaint_probability,
        "top_layer_um": one.top_layer,
        "clear_left_um": may_go.clear_left,
        "budget_um": may_go.budget_um,
        "binding_rule": may_go.binding_rule,
        "rules": may_go.rules,
        "verdict": may_go.verdict,
        "reason": may_go.reason,
        "provenance": {"mean_um": "measured", "budget_um": may_go.provenance, "clear_left_um": "assumed"},
    })
}

fn bare_panel(name: &str, paint: Paint, substrate: Substrate) -> Panel {
    Panel {
        name: name.to_owned(),
        substrate,
        size: None,
        paint,
        defects: Defects::WashSwirls,
        removed_before: Length::new::<micrometer>(0.0),
        removed_before_sd: Length::new::<micrometer>(0.0),
        zone: panel_names::zone(name),
        is_repainted: false,
    }
}
