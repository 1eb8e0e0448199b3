//! Runs a heat job on all threads of the pool it is called in.
//!
//! Law: none. The job is settled, its model built, the bands of the panel
//! stepped (see `bands`), and what they wrote down is gathered.
//! Holds: the answer is the same to the last bit for any number of threads.
//! Left out: a pool of its own; the caller's is used.
//! Checked by: thread counts against each other.

use super::accuracy::{Job, Settings, settle};
use super::bands::step_all;
use super::error::HeatError;
use super::layers::{Slab, slabs};
use super::plane::{Axis, Plane, Rim, margin_m};
use super::problem::{HeatProblem, HeatWatch, Numbers};
use super::result::{HeatResult, gather};
use super::schedule::{Ingredients, model};

/// Safety of the stated error where three runs show the order.
const SAFETY: f64 = 1.25;
/// Computes the temperatures of a job.
///
/// # Errors
/// Refuses impossible layers, panels, tables, paths, grids and steps, each with
/// a sentence, and stops with [`HeatError::Cancelled`] when asked to.
pub fn solve_heat(
    problem: &HeatProblem<'_>,
    watch: HeatWatch<'_>,
) -> Result<HeatResult, HeatError> {
    let slabs = slabs(problem.layers)?;
    let numbers = problem.numbers()?;
    let (fine, coarser) = settle(job(problem, &numbers, &slabs), problem.accuracy)?;
    let plain = HeatProblem {
        thresholds: &[],
        probes: &[],
        ..*problem
    };
    let plain_numbers = Numbers {
        thresholds_k: Vec::new(),
        ..numbers.clone()
    };
    let quiet = HeatWatch {
        progress: None,
        ..watch
    };
    let twin = |settings: &Settings| {
        run(&plain, &plain_numbers, &slabs, settings, quiet).map(|result| result.peak_rise_k)
    };
    // The coarser runs fill the pauses in which a thread waits for another.
    let (result, twins) = rayon::join(
        || run(problem, &numbers, &slabs, &fine, watch),
        || coarser.iter().map(twin).collect::<Result<Vec<f64>, _>>(),
    );
    let (mut result, twins) = (result?, twins?);
    if let [coarse, coarser] = twins[..] {
        result.peak_error_k = Some(stated_error_k([result.peak_rise_k, coarse, coarser]));
    }
    watch.report(1.0)?;
    Ok(result)
}

fn job<'a>(problem: &HeatProblem<'_>, numbers: &Numbers, slabs: &'a [Slab]) -> Job<'a> {
    Job {
        slabs,
        size_m: numbers.size_m,
        reach_m: numbers.reach_m,
        speed_m_s: numbers.speed_m_s,
        duration_s: numbers.duration_s,
        margin_m: beyond_m(problem, numbers, slabs),
    }
}

/// The automatic choice with every column stepped every time.
#[cfg(test)]
pub(crate) fn solve_without_rounds(problem: &HeatProblem<'_>) -> Result<HeatResult, HeatError> {
    let slabs = slabs(problem.layers)?;
    let numbers = problem.numbers()?;
    let (mut fine, _) = settle(job(problem, &numbers, &slabs), problem.accuracy)?;
    fine.round_steps = 1;
    run(problem, &numbers, &slabs, &fine, HeatWatch::default())
}

/// The error of the first of three peaks on cells and steps doubled each time.
///
/// Law: error = 1.25·max(|d₁|, |d₂|/2), d₁ and d₂ the differences of neighbours.
/// The peak sits at the pad's rim, where the flux jumps, so its order is one: an
/// error is as large as the difference to the run twice as coarse, and d₂ twice
/// d₁. Where d₁ is small by chance, d₂ stands for it.
/// Source: Roache, J. Fluids Eng. 116 (1994) 405, grid convergence index with
/// three grids and a known order, MEMORY.
fn stated_error_k([fine, coarse, coarser]: [f64; 3]) -> f64 {
    let (near, far) = (fine - coarse, coarse - coarser);
    SAFETY * near.abs().max(0.5 * far.abs())
}

fn run(
    problem: &HeatProblem<'_>,
    numbers: &Numbers,
    slabs: &[Slab],
    settings: &Settings,
    watch: HeatWatch<'_>,
) -> Result<HeatResult, HeatError> {
    let margin_m = beyond_m(problem, numbers, slabs);
    let (width_m, height_m) = numbers.size_m;
    let along = Axis::new(width_m, settings.columns, margin_m);
    let plane = Plane::new(along, Axis::new(height_m, settings.rows, margin_m));
    let (watched, probes) = problem.probes(&plane.x, &plane.y)?;
    let ingredients = Ingredients {
        plane,
        loss: numbers.loss,
        footprints: problem.footprints,
        path: problem.path,
        duration_s: numbers.duration_s,
        pass_ends_s: numbers.pass_ends_s.clone(),
        thresholds_k: numbers.thresholds_k.clone(),
        watched,
    };
    let model = model(settings, ingredients)?;
    let tiles = step_all(&model, watch)?;
    let step_s = model.steps.last().map_or(0.0, |step| step.length_s);
    Ok(gather(&model, &tiles, &probes, step_s))
}

/// How far the sheet goes on beyond the panel: as far as heat runs, and as the
/// pad reaches, so that all it puts into a wide sheet is counted.
fn beyond_m(problem: &HeatProblem<'_>, numbers: &Numbers, slabs: &[Slab]) -> f64 {
    let sheet_w_k: f64 = slabs
        .iter()
        .map(|slab| slab.sideways_w_mk * slab.thickness_m)
        .sum();
    let sheet_j_m2k: f64 = slabs
        .iter()
        .map(|slab| slab.volumetric_j_m3k * slab.thickness_m)
        .sum();
    let loss_w_m2k = numbers.loss.outside_w_m2k + numbers.loss.inside_w_m2k;
    match problem.panel.rim {
        Rim::Insulated => 0.0,
        Rim::Wide => margin_m(sheet_w_k, sheet_j_m2k, loss_w_m2k, numbers.duration_s)
            .max(pad_beyond_m(problem, numbers)),
    }
}

/// How far the pad reaches over the panel's rim at most.
fn pad_beyond_m(problem: &HeatProblem<'_>, numbers: &Numbers) -> f64 {
    let (width_m, height_m) = numbers.size_m;
    problem.path.extent_m().map_or(0.0, |[low, high]| {
        let beyond = [-low.0, -low.1, high.0 - width_m, high.1 - height_m];
        beyond
            .map(|out_m| out_m + numbers.reach_m)
            .into_iter()
            .fold(0.0, f64::max)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stated_error_is_the_known_one_of_a_first_order_peak_and_covers_a_chance_hit() {
        // 40 − 4·Δ at Δ = 0.1, 0.2, 0.4: off by 0.4, stated with a quarter more.
        assert!((stated_error_k([39.6, 39.2, 38.4]) - 0.5).abs() < 1e-12);
        assert!((stated_error_k([39.2, 39.2, 38.4]) - 0.5).abs() < 1e-12);
        assert_eq!(stated_error_k([0.0; 3]), 0.0);
    }
}
