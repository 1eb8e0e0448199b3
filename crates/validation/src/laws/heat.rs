//! Small heat jobs with known answers, through the solver the stations use.
//!
//! Law: `lapwing_physics::heat::solve_heat` on stated cells and steps. The flux
//! is a disc, or the whole panel, or a band across it; the pad stands, or runs
//! along x at a steady speed. A line source through a thin plate is put in as a
//! disc of a millimetre.
//! Source: named in each case.
//! Holds: for one flux table and one straight run.
//! Left out: point sources proper (a cell is never a point).
//! Checked by: the cases.

use lapwing_measure::quantity::{HeatTransfer, Length, TemperatureDifference, Time, Velocity};
use lapwing_physics::heat::{
    Accuracy, AirContact, Cells, DepthCells, FluxFootprint, FnPath, HeatProblem, HeatResult,
    HeatWatch, Layer, PadMoment, Panel, Rim, Scheme, solve_heat,
};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::length::meter;
use uom::si::temperature_interval::kelvin;
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

use super::motion::millimetres;
use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("heat_through_depth", heat_through_depth),
    ("heat_of_disc", heat_of_disc),
    ("heat_under_disc", heat_under_disc),
    ("heat_of_band", heat_of_band),
];

/// What all heat questions state.
struct Job {
    layers: Vec<Layer>,
    size_m: (f64, f64),
    rim: Rim,
    table: FluxFootprint,
    start_m: (f64, f64),
    speed_m_s: f64,
    probes_m: Vec<(f64, f64)>,
}

/// The whole face heated alike: rise of the surface, or at a depth.
fn heat_through_depth(i: &Inputs<'_>) -> Result<f64, String> {
    const SIDE_M: f64 = 0.04;
    let table = told(FluxFootprint::new(
        1,
        Length::new::<meter>(SIDE_M),
        &[i.number("flux_w_m2")?],
    ))?;
    let middle = (SIDE_M / 2.0, SIDE_M / 2.0);
    let job = Job {
        layers: layers(i)?,
        size_m: (SIDE_M, SIDE_M),
        rim: Rim::Insulated,
        table,
        start_m: middle,
        speed_m_s: 0.0,
        probes_m: vec![middle],
    };
    let result = run(i, &job, (4, 4))?;
    match i.word("output")? {
        "surface" => last_of_probe(&result, 0),
        "mean" => mean_through_sheet(&result, (0.5, 0.5)),
        "depth" => rise_at_depth(&result, i.number("depth_mm")? * 1e-3),
        other => unknown("output", other),
    }
}

/// An even disc on a wide sheet, standing or running: mean rise through the
/// sheet at a place beside its centre, along the run (ahead is positive).
fn heat_of_disc(i: &Inputs<'_>) -> Result<f64, String> {
    let speed_m_s = i.number("speed_mm_s")? * 1e-3;
    let run_m = speed_m_s * i.number("duration_s")?;
    let (job, cells) = disc_job(i, speed_m_s, run_m)?;
    let place_m = job.start_m.0 + run_m + i.number("beside_mm")? * 1e-3;
    mean_through_sheet(&run(i, &job, cells)?, (place_m / job.size_m.0, 0.5))
}

/// An even disc that stands on a wide block: rise of the surface at its centre.
fn heat_under_disc(i: &Inputs<'_>) -> Result<f64, String> {
    let (mut job, cells) = disc_job(i, 0.0, 0.0)?;
    job.probes_m = vec![job.start_m];
    last_of_probe(&run(i, &job, cells)?, 0)
}

/// A disc on a wide panel, its run in the panel's middle, and the cells.
fn disc_job(i: &Inputs<'_>, speed_m_s: f64, run_m: f64) -> Result<(Job, (usize, usize)), String> {
    let metres = |name| i.number(name).map(|mm| mm * 1e-3);
    let (width_m, height_m) = (metres("panel_mm")?, metres("panel_height_mm")?);
    let job = Job {
        layers: layers(i)?,
        size_m: (width_m, height_m),
        rim: Rim::Wide,
        table: disc_table(metres("disc_radius_mm")?, i.number("flux_w_m2")?)?,
        start_m: (0.5 * (width_m - run_m), 0.5 * height_m),
        speed_m_s,
        probes_m: Vec::new(),
    };
    let cell_m = metres("cell_mm")?;
    let cells = |size_m: f64| (size_m / cell_m).round() as usize;
    Ok((job, (cells(width_m), cells(height_m))))
}

/// A band across the whole height that runs along x: highest rise anywhere.
fn heat_of_band(i: &Inputs<'_>) -> Result<f64, String> {
    const HEIGHT_CELLS: usize = 12;
    let cell_m = i.number("cell_mm")? * 1e-3;
    let (band_m, speed_m_s) = (i.number("band_mm")? * 1e-3, i.number("speed_mm_s")? * 1e-3);
    let columns = (band_m / cell_m).round() as usize;
    let table = told(FluxFootprint::new(
        columns,
        Length::new::<meter>(cell_m),
        &vec![i.number("flux_w_m2")?; columns * HEIGHT_CELLS],
    ))?;
    let height_m = HEIGHT_CELLS as f64 * cell_m;
    let width_m = (speed_m_s * i.number("duration_s")? + 2.0 * band_m) / cell_m;
    let width_m = width_m.ceil() * cell_m;
    let start_m = (band_m, 0.5 * height_m);
    let job = Job {
        layers: layers(i)?,
        size_m: (width_m, height_m),
        rim: Rim::Insulated,
        table,
        start_m,
        speed_m_s,
        probes_m: Vec::new(),
    };
    let result = run(i, &job, ((width_m / cell_m).round() as usize, HEIGHT_CELLS))?;
    Ok(result.peak_rise_k)
}

/// Layers as rows of µm, W/(m·K), kg/m³ and J/(kg·K).
fn layers(i: &Inputs<'_>) -> Result<Vec<Layer>, String> {
    let rows = i.lists("layers")?;
    let layer = |(at, row): (usize, &Vec<f64>)| match row[..] {
        [um, k, rho, c] => Ok(Layer::from_si(&format!("layer {}", at + 1), um, k, rho, c)),
        _ => Err("a layer is thickness, conductivity, density and heat capacity.".to_owned()),
    };
    rows.iter().enumerate().map(layer).collect()
}

/// A disc of even flux on cells of a hundredth of its width, the rim cells by
/// their share, the whole power exact.
fn disc_table(radius_m: f64, flux_w_m2: f64) -> Result<FluxFootprint, String> {
    const CELLS: usize = 100;
    const PARTS: usize = 8;
    let part = 2.0 / (CELLS * PARTS) as f64;
    let place = |index: usize, part_index: usize| {
        (index * PARTS + part_index) as f64 * part + 0.5 * part - 1.0
    };
    let share = |at: usize| {
        let inside = (0..PARTS * PARTS)
            .filter(|p| place(at % CELLS, p % PARTS).hypot(place(at / CELLS, p / PARTS)) < 1.0);
        inside.count() as f64 / (PARTS * PARTS) as f64
    };
    let shares: Vec<f64> = (0..CELLS * CELLS).map(share).collect();
    let cell_m = 2.0 * radius_m / CELLS as f64;
    let disc_m2 = std::f64::consts::PI * radius_m * radius_m;
    let exact = flux_w_m2 * disc_m2 / (shares.iter().sum::<f64>() * cell_m * cell_m);
    let flux: Vec<f64> = shares.iter().map(|share| share * exact).collect();
    told(FluxFootprint::new(
        CELLS,
        Length::new::<meter>(cell_m),
        &flux,
    ))
}

fn run(i: &Inputs<'_>, job: &Job, (nx, ny): (usize, usize)) -> Result<HeatResult, String> {
    let loss = |name| {
        i.number(name)
            .map(HeatTransfer::new::<watt_per_square_meter_kelvin>)
    };
    let per_layer = i
        .list("depth_cells")?
        .iter()
        .map(|cells| *cells as usize)
        .collect();
    let duration = Time::new::<second>(i.number("duration_s")?);
    let dt = Time::new::<second>(i.number("step_s")?);
    let metre = |m| Length::new::<meter>(m);
    let probes: Vec<(Length, Length)> = job
        .probes_m
        .iter()
        .map(|(x, y)| (metre(*x), metre(*y)))
        .collect();
    let (speed_m_s, start_m) = (job.speed_m_s, job.start_m);
    let path = FnPath::new(Velocity::new::<meter_per_second>(speed_m_s), move |t_s| {
        PadMoment::at(start_m.0 + speed_m_s * t_s, start_m.1)
    });
    let problem = HeatProblem {
        layers: &job.layers,
        panel: Panel {
            size_x: metre(job.size_m.0),
            size_y: metre(job.size_m.1),
            rim: job.rim,
        },
        air: AirContact {
            outside: loss("loss_outside_w_m2k")?,
            inside: loss("loss_inside_w_m2k")?,
            start_over_air: TemperatureDifference::new::<kelvin>(0.0),
        },
        footprints: std::slice::from_ref(&job.table),
        path: &path,
        duration,
        pass_ends: &[],
        thresholds: &[],
        probes: &probes,
        accuracy: &Accuracy::Cells(Cells {
            nx,
            ny,
            nz: DepthCells::PerLayer(per_layer),
            dt,
            scheme: Scheme::TwoStage,
        }),
    };
    told(solve_heat(&problem, HeatWatch::default()))
}

fn last_of_probe(result: &HeatResult, probe: usize) -> Result<f64, String> {
    let series = result.probes_k.get(probe).and_then(|series| series.last());
    series
        .map(|k| f64::from(*k))
        .ok_or_else(|| "the probe wrote nothing.".to_owned())
}

/// Rise of a one-cell sheet at a place given in shares of the panel, straight
/// between the four cell middles around it: the mean through its thickness,
/// which is what thin-plate solutions state.
fn mean_through_sheet(result: &HeatResult, (x_frac, y_frac): (f64, f64)) -> Result<f64, String> {
    let grid = &result.grid;
    if grid.depths_m.len() != 1 {
        return Err("a thin sheet has one cell through its depth.".to_owned());
    }
    let between = |frac: f64, cells: usize| {
        let at = (frac * cells as f64 - 0.5).clamp(0.0, cells as f64 - 1.0);
        let low = (at as usize).min(cells - 2);
        (low, at - low as f64)
    };
    let ((column, right), (row, up)) = (between(x_frac, grid.columns), between(y_frac, grid.rows));
    let rise =
        |column: usize, row: usize| f64::from(result.final_rise_k[row * grid.columns + column]);
    let along = |row: usize| rise(column, row) * (1.0 - right) + rise(column + 1, row) * right;
    Ok(along(row) * (1.0 - up) + along(row + 1) * up)
}

/// Rise at a depth in the panel's middle, straight between cell middles; below
/// the last middle, that of the last cell.
fn rise_at_depth(result: &HeatResult, depth_m: f64) -> Result<f64, String> {
    let grid = &result.grid;
    let in_layer = grid.columns * grid.rows;
    let rise = |cell: usize| f64::from(result.final_rise_k[cell * in_layer + in_layer / 2]);
    let below = grid.depths_m.partition_point(|middle| *middle < depth_m);
    if below == 0 {
        return Err(format!(
            "{} mm lies above the first cell.",
            millimetres(depth_m * 1e3).value * 1e3
        ));
    }
    if below == grid.depths_m.len() {
        return Ok(rise(below - 1));
    }
    let (upper_m, lower_m) = (grid.depths_m[below - 1], grid.depths_m[below]);
    let share = (depth_m - upper_m) / (lower_m - upper_m);
    Ok(rise(below - 1) * (1.0 - share) + rise(below) * share)
}
