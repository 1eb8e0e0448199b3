//! How fine to cut the panel and how long to step: fast answers or full ones.
//!
//! Law: cells a twelfth (interactive) or a twenty-fourth (full) of the pad's
//! reach wide; steps in which the pad runs one cell, at most 0.2 s or 0.1 s, in
//! rounds of four (see `round`); depth cells by the reach of the heat (see
//! `depth`), after a touch of t seconds no thicker at the face than 0.19·√t. Where that would cost more solves than the answer may, cells and
//! steps grow until it fits, at most to a quarter of the reach.
//! Source: own choice; the error is measured, not promised: the same job on
//! cells and steps twice and four times as coarse (see `run`).
//! Holds: pads small against the panel and panels up to some square metres.
//! Left out: cells that follow the pad.
//! Checked by: the difference stated against much finer runs.

use lapwing_measure::quantity::Time;
use uom::si::time::second;

use super::column::{LANES, Scheme};
use super::depth::{DepthCell, Fineness, even, graded, total};
use super::error::{Allowed, HeatError, allowed};
use super::layers::Slab;
use super::plane::margin_cells;
use super::sideways::MOST_SWEEPS;

/// What the answer is for.
#[derive(Clone, Debug, PartialEq)]
pub enum Accuracy {
    /// Fast enough to play with.
    Interactive,
    /// Fine enough to sign.
    Full,
    /// Exactly this grid and step.
    Cells(Cells),
}

/// A grid and a step asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Cells {
    /// Cells along the panel's x.
    pub nx: usize,
    /// Cells along the panel's y.
    pub ny: usize,
    /// Cells through the depth.
    pub nz: DepthCells,
    /// Length of a step.
    pub dt: Time,
    /// How time is stepped through the depth.
    pub scheme: Scheme,
}

/// Cells through the depth.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DepthCells {
    /// This many, placed by the program.
    Total(usize),
    /// This many in each layer, from the outside inwards.
    PerLayer(Vec<usize>),
}

/// What the choice depends on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Job<'a> {
    pub(crate) slabs: &'a [Slab],
    pub(crate) size_m: (f64, f64),
    pub(crate) reach_m: f64,
    pub(crate) speed_m_s: f64,
    pub(crate) duration_s: f64,
    /// How far the sheet goes on beyond the panel.
    pub(crate) margin_m: f64,
}

/// A grid and a step decided on.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Settings {
    pub(crate) columns: usize,
    pub(crate) rows: usize,
    pub(crate) cells: Vec<DepthCell>,
    pub(crate) step_s: f64,
    pub(crate) scheme: Scheme,
    /// Steps of a round; 1: every column takes every step.
    pub(crate) round_steps: usize,
    /// Whether the first step is cut into small ones.
    pub(crate) is_eased_in: bool,
}

const AT_LEAST_ONE: &str = "Ask for at least one cell in each direction.";
const COLUMNS: Allowed = allowed("columns", "cells", 1.0, 1e9, AT_LEAST_ONE);
const ROWS: Allowed = allowed("rows", "cells", 1.0, 1e9, AT_LEAST_ONE);
const DEPTHS: Allowed = allowed("depth cells", "cells", 1.0, 1e9, AT_LEAST_ONE);
const STEP: Allowed = allowed("time step", "s", 1e-6, 3600.0, "0.1 s is usual.");
/// Memory the state may take.
const ALLOWED_MEGABYTES: f64 = 40.0;
/// Steps a run may take.
const ALLOWED_STEPS: f64 = 5e6;
/// Cells times steps a run may take: about half an hour on two threads.
const ALLOWED_CELL_STEPS: f64 = 3e12;

/// Fineness of an automatic choice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Recipe {
    /// Cells per reach of the pad.
    pub(crate) cells_per_reach: f64,
    /// Longest step.
    pub(crate) longest_s: f64,
    /// Share of a cell the pad runs in a step.
    pub(crate) cell_frac: f64,
    pub(crate) fineness: Fineness,
    /// Solves (cells times stages) the answer may cost.
    pub(crate) solves: f64,
}

impl Recipe {
    const INTERACTIVE: Self = Self {
        cells_per_reach: 12.0,
        longest_s: 0.2,
        cell_frac: 1.0,
        fineness: Fineness::COARSE,
        solves: 0.18e9,
    };
    const FULL: Self = Self {
        cells_per_reach: 24.0,
        longest_s: 0.1,
        cell_frac: 1.0,
        fineness: Fineness::FINE,
        solves: 1.8e9,
    };
}

/// Most of the heat's own reach (√t, in √s) that the first cell may take: with
/// a fifth the surface is right within 2 %.
const FIRST_CELL_FRAC: f64 = 0.19;

impl Recipe {
    /// The same with cells thin enough for the shortest touch.
    fn for_touch(self, duration_s: f64) -> Self {
        let thinnest = FIRST_CELL_FRAC * duration_s.sqrt();
        Self {
            fineness: Fineness {
                first_root_s: self.fineness.first_root_s.min(thinnest),
                ..self.fineness
            },
            ..self
        }
    }
}

/// Steps of a round of an automatic choice.
const ROUND_STEPS: usize = 4;

/// Decides on grid and step, and on those of the two coarser runs that give the
/// error; none for a grid asked for.
///
/// # Errors
/// Refuses grids that do not fit into memory and steps that skip.
pub(crate) fn settle(
    job: Job<'_>,
    accuracy: &Accuracy,
) -> Result<(Settings, Vec<Settings>), HeatError> {
    let recipe = match accuracy {
        Accuracy::Interactive => Recipe::INTERACTIVE.for_touch(job.duration_s),
        Accuracy::Full => Recipe::FULL.for_touch(job.duration_s),
        Accuracy::Cells(cells) => return Ok((asked(job, cells)?, Vec::new())),
    };
    let fine = fitted(job, recipe);
    let coarser = |times: usize| {
        let settings = Settings {
            columns: fine.columns.div_ceil(times),
            rows: fine.rows.div_ceil(times),
            cells: graded(job.slabs, recipe.fineness.times((times as f64).powf(0.7))),
            step_s: (times as f64 * fine.step_s).min(job.duration_s / 2.0),
            ..fine.clone()
        };
        checked(settings, job)
    };
    let twins = vec![coarser(2)?, coarser(4)?];
    Ok((checked(fine, job)?, twins))
}

fn fitted(job: Job<'_>, recipe: Recipe) -> Settings {
    let mut dx_m = job.reach_m / recipe.cells_per_reach;
    loop {
        let settings = with_cells(job, recipe, dx_m);
        let solves = solves(job, &settings, dx_m);
        if solves <= recipe.solves || dx_m > 0.25 * job.reach_m {
            return settings;
        }
        dx_m *= 1.1;
    }
}

/// About how many cells are solved or swept in the whole run.
fn solves(job: Job<'_>, settings: &Settings, dx_m: f64) -> f64 {
    let steps = job.duration_s / settings.step_s;
    let beside = 2.0 * margin_cells(job.margin_m, dx_m);
    let (columns, rows) = (settings.columns as f64, settings.rows as f64);
    let plane = (columns + beside) * (rows + beside);
    let depths = settings.cells.len() as f64;
    let round = settings.round_steps as f64;
    // The pad's box: its reach both ways, two rounds of travel and a strip.
    let side_m = 2.0 * (job.reach_m + job.speed_m_s * settings.step_s * round);
    let side = side_m / dx_m;
    let near = (side * (side + LANES as f64) / plane).min(1.0);
    let stable_s = |cell: &DepthCell| 0.25 * dx_m * dx_m / cell.sideways_m2_s;
    let sweeps = |cell: &DepthCell| (2.0 * settings.step_s / stable_s(cell)).sqrt();
    let sideways: f64 = settings.cells.iter().map(sweeps).fold(0.0, f64::max);
    steps * plane * (2.0 * near * depths + depths / round + 2.0 * sideways)
}

fn with_cells(job: Job<'_>, recipe: Recipe, dx_m: f64) -> Settings {
    let count = |size_m: f64| ((size_m / dx_m).ceil() as usize).max(4);
    let running_s = recipe.cell_frac * dx_m / job.speed_m_s;
    let coarsening = dx_m * recipe.cells_per_reach / job.reach_m;
    let (columns, rows) = (count(job.size_m.0), count(job.size_m.1));
    let cells = graded(job.slabs, recipe.fineness);
    let narrowest_m = (job.size_m.0 / columns as f64).min(job.size_m.1 / rows as f64);
    let step_s = running_s
        .min(recipe.longest_s * coarsening)
        .min(job.duration_s / 8.0)
        .min(longest_sideways_s(&cells, narrowest_m));
    Settings {
        columns,
        rows,
        cells,
        step_s,
        scheme: Scheme::TwoStage,
        round_steps: ROUND_STEPS,
        is_eased_in: true,
    }
}

/// The longest step that heat running sideways allows: so many sweeps reach
/// n(n + 1)/2 stable steps (see `sideways`), of which nine tenths are used.
fn longest_sideways_s(cells: &[DepthCell], cell_m: f64) -> f64 {
    let sweeps = MOST_SWEEPS as f64;
    let fastest = cells
        .iter()
        .map(|cell| cell.sideways_m2_s)
        .fold(1e-30, f64::max);
    0.9 * 0.5 * sweeps * (sweeps + 1.0) * 0.25 * cell_m * cell_m / fastest
}

fn asked(job: Job<'_>, cells: &Cells) -> Result<Settings, HeatError> {
    let step_s = STEP.hold(cells.dt.get::<second>())?;
    let depths = match &cells.nz {
        DepthCells::Total(count) => *count,
        DepthCells::PerLayer(counts) => counts.iter().sum(),
    };
    fits(cells.nx, cells.ny, depths)?;
    let moves_m = job.speed_m_s * step_s;
    if moves_m > job.reach_m {
        return Err(HeatError::PadSkips {
            step_s,
            moves_mm: 1e3 * moves_m,
            longest_s: job.reach_m / job.speed_m_s,
        });
    }
    let cut = match &cells.nz {
        DepthCells::Total(count) => total(job.slabs, *count)?,
        DepthCells::PerLayer(counts) => even(job.slabs, counts)?,
    };
    let settings = Settings {
        columns: cells.nx,
        rows: cells.ny,
        cells: cut,
        step_s,
        scheme: cells.scheme,
        round_steps: 1,
        is_eased_in: false,
    };
    checked(settings, job)
}

fn checked(settings: Settings, job: Job<'_>) -> Result<Settings, HeatError> {
    fits(settings.columns, settings.rows, settings.cells.len())?;
    let steps = job.duration_s / settings.step_s;
    if steps > ALLOWED_STEPS {
        return Err(HeatError::TooManySteps {
            steps,
            step_s: settings.step_s,
            allowed: ALLOWED_STEPS,
        });
    }
    let cells = settings.columns * settings.rows * settings.cells.len();
    let cell_steps = cells as f64 * steps;
    if cell_steps > ALLOWED_CELL_STEPS {
        return Err(HeatError::TooMuchWork {
            cell_steps,
            cells,
            steps,
            allowed: ALLOWED_CELL_STEPS,
            fits_step_s: settings.step_s * cell_steps / ALLOWED_CELL_STEPS,
        });
    }
    Ok(settings)
}

/// Refuses a grid that would not fit and names the nearest one that does.
fn fits(columns: usize, rows: usize, depths: usize) -> Result<(), HeatError> {
    let count = |range: Allowed, value: usize| range.hold(value as f64);
    let (nx, ny) = (count(COLUMNS, columns)?, count(ROWS, rows)?);
    let nz = count(DEPTHS, depths)?;
    // State, peak and maps, in single precision.
    let megabytes = 4e-6 * nx * ny * (nz + 4.0);
    if megabytes <= ALLOWED_MEGABYTES && depths <= 1000 {
        return Ok(());
    }
    let fits_depths = nz.min(40.0);
    let shrink = (ALLOWED_MEGABYTES / (4e-6 * nx * ny * (fits_depths + 4.0)))
        .sqrt()
        .min(1.0);
    let shrunk = |n: f64| ((n * shrink) as usize).max(1);
    Err(HeatError::TooManyCells {
        columns,
        rows,
        depths,
        megabytes,
        allowed_megabytes: ALLOWED_MEGABYTES,
        fits_columns: shrunk(nx),
        fits_rows: shrunk(ny),
        fits_depths: fits_depths as usize,
    })
}

#[cfg(test)]
mod tests {
    use super::super::layers::{Substrate, slabs};
    use super::*;

    #[test]
    fn a_milliard_cells_are_refused_with_their_size_and_a_grid_that_fits() {
        let sentence = fits(10_000, 10_000, 10)
            .expect_err("far too many")
            .to_string();
        assert!(
            sentence.contains("5600 MB") && sentence.contains("40 MB"),
            "{sentence}"
        );
        let HeatError::TooManyCells {
            fits_columns,
            fits_rows,
            fits_depths,
            ..
        } = fits(10_000, 10_000, 10).expect_err("too many")
        else {
            panic!("another refusal");
        };
        assert!(fits(fits_columns, fits_rows, fits_depths).is_ok());
        assert!(fits(0, 10, 10).is_err());
    }

    #[test]
    fn a_run_of_hours_is_refused_before_it_starts_with_a_step_that_fits() {
        let slabs = slabs(&Substrate::Steel.stack()).expect("allowed");
        let job = Job {
            slabs: &slabs,
            size_m: (0.61, 0.61),
            reach_m: 0.0625,
            speed_m_s: 0.0254,
            duration_s: 763.6,
            margin_m: 0.0,
        };
        let cells = |dt_s: f64| {
            Accuracy::Cells(Cells {
                nx: 800,
                ny: 800,
                nz: DepthCells::Total(11),
                dt: Time::new::<second>(dt_s),
                scheme: Scheme::TwoStage,
            })
        };
        // 800 · 800 · 11 cells, 763.6 s in steps of 1 ms: 5.4e12 by hand.
        let sentence = settle(job, &cells(1e-3)).expect_err("hours").to_string();
        assert!(
            sentence.contains("5.4e12") && sentence.contains("0.0018 s"),
            "{sentence}"
        );
        assert!(settle(job, &cells(2e-3)).is_ok());
    }

    #[test]
    fn a_small_pad_on_metal_gets_steps_that_heat_running_sideways_allows() {
        // Aluminium, 7.82e-5 m²/s, under a pad of 20 mm on cells of 10/24 mm: a stable
        // step is 0.555 ms, 136 of them reach 75 ms, under the 100 ms of the recipe.
        let slabs = slabs(&Substrate::Aluminium.stack()).expect("allowed");
        let job = Job {
            slabs: &slabs,
            size_m: (0.1, 0.1),
            reach_m: 0.01,
            speed_m_s: 0.0,
            duration_s: 10.0,
            margin_m: 0.17,
        };
        let (fine, _) = settle(job, &Accuracy::Full).expect("allowed");
        assert!(fine.step_s > 0.05 && fine.step_s < 0.072, "{}", fine.step_s);
    }

    #[test]
    fn an_automatic_choice_keeps_the_pad_within_a_cell_a_step_and_the_work_within_its_budget() {
        let slabs = slabs(&Substrate::Steel.stack()).expect("allowed");
        let job = Job {
            slabs: &slabs,
            size_m: (0.61, 0.61),
            reach_m: 0.0625,
            speed_m_s: 0.0254,
            duration_s: 763.6,
            margin_m: 0.0,
        };
        for (accuracy, budget) in [(Accuracy::Interactive, 0.18e9), (Accuracy::Full, 1.8e9)] {
            let (fine, coarser) = settle(job, &accuracy).expect("allowed");
            let dx = 0.61 / fine.columns as f64;
            assert!(job.speed_m_s * fine.step_s <= dx * 1.1);
            let work = solves(job, &fine, dx);
            assert!(work <= budget, "{work}");
            assert_eq!(coarser.len(), 2);
            assert!(coarser[1].columns < coarser[0].columns);
            assert!(coarser[0].columns < fine.columns);
        }
    }
}
