//! `lapwing film READINGS.csv`: statistics, findings, clear left and budget,
//! the film map of every panel, and where to put the gauge next.

use std::path::PathBuf;

use clap::Args;
use lapwing_job::budget::{Budget, budget, total_needed_um};
use lapwing_job::inspect::map::{FilmMap, PanelMap, Size, film_maps, sizes};
use lapwing_job::inspect::next_reading::{Advice, PanelWords, next_readings};
use lapwing_job::inspect::{CarFilm, Known, PanelFilm, inspect_knowing};
use lapwing_job::intake::intake;
use lapwing_job::record::job::{Defects, Job, Paint, Panel, Rules, Substrate, Units};
use lapwing_job::record::read::read_job;
use lapwing_job::record::{Caution, InputError, Readings, Said, panel_names, readings};
use lapwing_measure::quantity::Length;
use lapwing_report::figure::{Labels, Telling};
use lapwing_report::film_pictures::film_map;
use serde_json::{Value, json};
use uom::si::length::micrometer;

use super::film_document::Document;
use super::{print, print_json, read_text};
use crate::failure::Failure;

/// Largest table of readings, MB.
pub(crate) const MOST_READINGS_MB: u64 = 64;

/// What one polishing usually takes off, µm (common practice: 1 to 3): the
/// next reading is judged by whether so much may go.
const PLANNED_UM: f64 = 3.0;

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
    /// Job file whose sizes, substrates, paints, earlier visits and rules count:
    /// the budgets are then those of `lapwing plan`
    #[arg(long, value_name = "FILE", conflicts_with_all = ["system", "substrate"])]
    job: Option<PathBuf>,
    /// Folder for one picture a panel; the JSON then carries the maps too
    #[arg(long, value_name = "DIR")]
    map: Option<PathBuf>,
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
    let job = arguments.job.as_deref().map(job_of).transpose()?;
    let names = job.as_ref().map(panel_list);
    let file = arguments.readings.display().to_string();
    let read = readings::read(&file, &bytes, names.as_deref())?;
    let units = if arguments.us {
        Units::Us
    } else {
        Units::Metric
    };
    let ground = Ground {
        job: job.as_ref(),
        over,
    };
    let mut found = Found::of(read, ground);
    found.film.cautions.extend(unasked_job(arguments));
    let mut is_written = false;
    if let Some(folder) = &arguments.map {
        is_written = found.write_pictures(folder, units)?;
    }
    if let Some(folder) = arguments.map.as_ref().filter(|_| !is_written) {
        found.film.cautions.push(Caution::new(
            "--map",
            format!(
                "No panel has three places of the open face with positions, so there is nothing \
                 to draw and {} was not written. Read three places or more, spread over a panel, \
                 and write u_mm and v_mm beside each.",
                folder.display()
            ),
        ));
    }
    let document = found.document();
    if arguments.json {
        let drawn = found.maps.iter().map(PanelMap::drawn);
        return print_json(&Document {
            value: &document,
            maps: drawn.filter(|_| arguments.map.is_some()).collect(),
        });
    }
    print(&lapwing_report::tables::film(&document, units));
    if let Some(folder) = arguments.map.as_ref().filter(|_| is_written) {
        let drawn = found.maps.iter().filter_map(PanelMap::drawn).count();
        let pictures = if drawn == 1 { "picture" } else { "pictures" };
        let told = format!("{drawn} {pictures}, one a panel");
        print(&format!("\nWritten to {}: {told}.\n", folder.display()));
    }
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

/// What is usual where nobody said what is under the paint.
impl Default for Over {
    fn default() -> Self {
        Self {
            system: Paint::BaseClear,
            substrate: Substrate::Steel,
        }
    }
}

/// The panels under the readings: a job's own, and all others alike.
#[derive(Clone, Copy)]
pub(super) struct Ground<'a> {
    job: Option<&'a Job>,
    over: Over,
}

impl<'a> Ground<'a> {
    /// A job where there is one, else what is usual.
    pub(super) fn of(job: Option<&'a Job>) -> Self {
        let over = Over::default();
        Self { job, over }
    }

    pub(super) fn known(self) -> Known {
        self.job.map_or_else(
            || Known::all(self.over.system, self.over.substrate),
            Known::of,
        )
    }

    /// The rules of the job, whose budgets are then those of its plan.
    pub(super) fn rules(self) -> Rules {
        self.job
            .map_or_else(Rules::default, |job| job.rules.clone())
    }

    fn sizes(self) -> Vec<(String, Size)> {
        self.job
            .map_or_else(Vec::new, |job| sizes(job, &intake(job)))
    }

    /// A panel as the job has it; of one that is not listed nothing else is known.
    pub(super) fn panel(self, name: &str) -> Panel {
        let mut panels = self.job.into_iter().flat_map(|job| &job.panels);
        panels.find(|panel| panel.name == name).map_or_else(
            || bare_panel(name, self.over.system, self.over.substrate),
            Panel::clone,
        )
    }
}

/// Statistics, findings and budget of a table of readings; the one JSON
/// document of both doors, without the maps.
pub(crate) fn answer(file: &str, bytes: &[u8], over: Over) -> Result<(Value, Spoken), Failure> {
    let read = readings::read(file, bytes, None)?;
    let found = Found::of(read, Ground { job: None, over });
    Ok((found.document(), found.spoken()))
}

/// What is said about panels, with the parts of each sentence apart.
pub(crate) struct Spoken {
    panels: Vec<PanelSpoken>,
    /// Doubts about readings, film and budgets.
    pub(crate) cautions: Vec<Caution>,
}

/// What is said about one panel.
pub(crate) struct PanelSpoken {
    name: String,
    /// Why so much may go, or nothing.
    pub(crate) reason: Said,
    /// What the readings give away.
    pub(crate) findings: Vec<Said>,
}

impl Spoken {
    fn of((read, film): (&Readings, &CarFilm), budgets: &[Budget]) -> Self {
        let of_budgets = budgets.iter().flat_map(|b| &b.cautions);
        let panel = |(one, may_go): (&PanelFilm, &Budget)| PanelSpoken {
            name: one.name.clone(),
            reason: may_go.said.clone(),
            findings: one.found.iter().map(|f| f.said.clone()).collect(),
        };
        let of_read = read.cautions.iter().chain(&film.cautions);
        Self {
            panels: film.panels.iter().zip(budgets).map(panel).collect(),
            cautions: of_read.chain(of_budgets).cloned().collect(),
        }
    }

    /// What is said about a panel.
    pub(crate) fn panel(&self, name: &str) -> Option<&PanelSpoken> {
        self.panels.iter().find(|p| p.name == name)
    }
}

fn job_of(path: &std::path::Path) -> Result<Job, Failure> {
    let (job, _) = read_job(&path.display().to_string(), &read_text(path)?)?;
    Ok(job)
}

fn panel_list(job: &Job) -> Vec<String> {
    job.panels.iter().map(|p| p.name.clone()).collect()
}

/// Says so where a job lies beside the readings that was not asked for.
fn unasked_job(arguments: &Arguments) -> Option<Caution> {
    let beside = arguments.readings.with_file_name("job.toml");
    let is_unasked = arguments.job.is_none() && beside.is_file();
    is_unasked.then(|| {
        Caution::new(
            "budget",
            format!(
                "{0} lies beside these readings and may know sizes, substrates, earlier visits \
                 and rules that are not counted here; `lapwing plan` counts them, so its budgets \
                 may differ. Add --job {0} for the same budgets.",
                beside.display()
            ),
        )
    })
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

/// What the stations said.
pub(super) struct Found {
    read: Readings,
    film: CarFilm,
    pub(super) maps: Vec<PanelMap>,
    budgets: Vec<Budget>,
    pub(super) advice: Advice,
    /// What each panel is taken for, in the order of the film.
    panels: Vec<Panel>,
}

impl Found {
    pub(super) fn of(read: Readings, ground: Ground<'_>) -> Self {
        let rules = &ground.rules();
        let mut film = inspect_knowing(&read, &ground.known());
        let panels: Vec<Panel> = film.panels.iter().map(|p| ground.panel(&p.name)).collect();
        let maps = film_maps(&read, &mut film, &ground.sizes(), rules.confidence);
        let gauge_um = film.gauge.reading_sd_um;
        let both = film.panels.iter().zip(&panels);
        let budgets = both
            .map(|(one, panel)| budget(panel, Some(one), gauge_um, rules))
            .collect();
        let needed_um = |name: &str| {
            let at = film.panels.iter().position(|p| p.name == name)?;
            total_needed_um(&panels[at], &film.panels[at], gauge_um, rules, PLANNED_UM)
        };
        let advice = next_readings(&maps, &needed_um, rules.confidence);
        Self {
            read,
            maps,
            budgets,
            advice,
            panels,
            film,
        }
    }

    /// "Hood (bonnet)": the user's name, ours behind it where it has other
    /// words.
    fn shown(&self, panel: &str) -> String {
        let written = self.read.written(panel);
        if words_of(written) == words_of(panel) {
            written.to_owned()
        } else {
            format!("{written} ({panel})")
        }
    }

    fn next_words(&self) -> Vec<Value> {
        let one = |said: &PanelWords| json!({"panel": said.panel, "shown": self.shown(&said.panel), "text": said.text});
        self.advice.words.iter().map(one).collect()
    }

    /// Writes the pictures; `false` where there is none, and then no folder.
    fn write_pictures(&self, folder: &std::path::Path, units: Units) -> Result<bool, Failure> {
        let mut files: Vec<(String, String)> = Vec::new();
        for map in self.maps.iter().filter_map(PanelMap::drawn) {
            let title = self.shown(&map.panel);
            let svg = film_map(
                map,
                &title,
                &self.advice.readings,
                (units, Labels::default(), Telling::ENGLISH),
            )
            .map_err(Failure::Ours)?;
            files.push((format!("{}.svg", file_name(&map.panel)), svg));
        }
        if files.is_empty() {
            return Ok(false);
        }
        let named: Vec<(&str, &[u8])> = files
            .iter()
            .map(|(name, svg)| (name.as_str(), svg.as_bytes()))
            .collect();
        lapwing_store::write_all(folder, &named)?;
        Ok(true)
    }

    /// What is said, with the parts of each sentence apart.
    pub(super) fn spoken(&self) -> Spoken {
        Spoken::of((&self.read, &self.film), &self.budgets)
    }

    /// The one JSON document of both doors, without the cells of the maps.
    pub(super) fn document(&self) -> Value {
        let budgets = self.budgets.iter().flat_map(|b| &b.cautions);
        let cautions: Vec<_> = self
            .read
            .cautions
            .iter()
            .chain(&self.film.cautions)
            .chain(budgets)
            .collect();
        let both = self.budgets.iter().zip(self.maps.iter().zip(&self.panels));
        let panels: Vec<Value> = self
            .film
            .panels
            .iter()
            .zip(both)
            .map(|(one, (may_go, (map, about)))| {
                let mut panel = panel_document(one, may_go);
                panel["written"] = json!(self.read.written(&one.name));
                panel["shown"] = json!(self.shown(&one.name));
                panel["layers"] = json!(layers(about.substrate, may_go));
                match map {
                    PanelMap::Drawn(map) => panel["field"] = field_document(map),
                    PanelMap::Level { reason, .. } => panel["no_map"] = json!(reason.english()),
                }
                panel
            })
            .collect();
        json!({
            "panels": panels,
            "gauge": self.film.gauge,
            "repaint": self.film.repaint,
            "planned_removal_um": PLANNED_UM,
            "next_readings": self.advice.readings,
            "next_words": self.next_words(),
            "cautions": cautions,
        })
    }
}

/// What the clear was worked out from, for a panel's own line.
fn layers(substrate: Substrate, may_go: &Budget) -> Option<&'static str> {
    let is_soft = matches!(substrate, Substrate::Plastic | Substrate::Laminate);
    (is_soft && may_go.clear_left.is_some())
        .then_some("clear from an assumed build for plastic, not measured")
}

/// The words of a name in the order of letters: "left front wing" has those of
/// `front-wing-left`.
fn words_of(name: &str) -> Vec<String> {
    let lower = name.to_lowercase();
    let mut words: Vec<String> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect();
    words.sort();
    words
}

/// A name that is safe as a file's: letters, digits and dashes.
fn file_name(panel: &str) -> String {
    panel
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { '-' })
        .take(80)
        .collect()
}

fn panel_document(one: &PanelFilm, may_go: &Budget) -> Value {
    json!({
        "name": one.name,
        "count": one.count,
        "mean_um": one.mean_um,
        "sd_um": one.sd_um,
        "median_um": one.median_um,
        "robust_sd_um": one.robust_sd_um,
        "thin_um": one.thin_um,
        "map_lower_um": one.map_lower_um,
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
        "provenance": {"mean_um": "measured", "budget_um": may_go.provenance, "clear_left_um": may_go.clear_left.map(|c| c.provenance)},
    })
}

/// What was learnt of a panel's field.
fn field_document(map: &FilmMap) -> Value {
    let mut field = json!(map.facts);
    field["outline"] = json!(map.outline);
    field["edge"] = json!(map.edge);
    field["crease"] = json!(map.crease);
    field["left_out"] = json!(map.left_out);
    field
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
        looks_repainted: false,
        said: None,
        outline_mm: Vec::new(),
    }
}
