//! One run of the laws: what a pair of cross-hatched passes takes off, and how
//! warm the panel gets pass by pass.
//!
//! Law: see the station's header. Removal is kept per unit cut rate (µm per
//! 1e-12 1/Pa), heat per unit friction share, both at the machine's top speed.
//! Source: `lapwing_physics::removal`, `lapwing_physics::heat`.
//! Holds: grids are coarse (a twelfth of the section for heat); against the fine
//! grid the peak moves by a few per cent, far less than the friction share.
//! Left out: the pad's tilt.
//! Checked by: `validation`.

use lapwing_measure::quantity::{HeatTransfer, Length, TemperatureDifference, Time};
use lapwing_physics::contact::{Lean, Pad as Bed, Surface, Touch, press};
use lapwing_physics::footprint::Footprint;
use lapwing_physics::heat::{
    Accuracy, AirContact, Cells, DepthCells, FluxFootprint, HeatProblem, HeatWatch,
    Panel as HeatPanel, Rim, Scheme, Substrate as Stack, solve_heat,
};
use lapwing_physics::motion::Motion;
use lapwing_physics::removal::{MapGrid, map};
use lapwing_physics::stroke::{Coverage, Margin, Section, Stroke};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::{length::meter, length::millimeter, temperature_interval::kelvin, time::second};

use super::{LawKey, arm_speed};
use crate::bench::travel::timed;
use crate::record::InputError;
use crate::record::job::{Job, Machine, MachineKind, Pad, Substrate};

/// Most passes in one set.
pub const MOST_PASSES: u32 = 8;

pub use crate::trial::prior::UNIT_CUT_RATE;

/// What one machine, pad and arm speed do to a section, at top speed, per unit
/// cut rate and unit friction share.
#[derive(Clone, Debug)]
pub struct PassLaw {
    /// Edge of the section.
    pub section: Length,
    /// Seconds of one pass, path only.
    pub pass_s: f64,
    /// Interior mean of one pass, µm at a cut rate of 1e-12 1/Pa.
    pub removal_um: f64,
    /// Highest interior place over the interior mean.
    pub max_over_mean: f64,
    /// Lowest interior place over the interior mean.
    pub min_over_mean: f64,
    /// Highest surface rise up to the end of pass 1, 2, ... at a friction
    /// share of 1, in kelvin.
    pub peak_rise_k: Vec<f64>,
}

/// Maps of one step over one section, for pictures.
#[derive(Clone, Debug)]
pub struct StepMaps {
    /// Edge of the section, m.
    pub section_m: f64,
    /// Cells along an edge of the removal map.
    pub removal_cells: usize,
    /// Removal, row by row from the lower rim, µm.
    pub removal_um: Vec<f64>,
    /// Cells along an edge of the temperature map.
    pub heat_cells: usize,
    /// Highest surface rise of each cell at any time, K.
    pub peak_rise_k: Vec<f64>,
}

/// Runs the laws for one key.
///
/// # Errors
/// What the laws refuse, with machine and pad named.
pub fn law_of(
    job: &Job,
    key: &LawKey,
    section: Length,
    footprint: &Footprint,
) -> Result<PassLaw, InputError> {
    let pad = &job.kit.pads[key.pad];
    let place = place(job, (key.machine, key.pad));
    let refuse = |sentence: String| InputError::in_file(place.clone(), sentence);
    let stroke_of = |passes| {
        Stroke::cross_hatch(&coverage(job, (section, pad), key.arm, passes))
            .map_err(|e| refuse(e.to_string()))
    };
    let pair = stroke_of(2)?;
    let cells = 60;
    let removal = map(
        footprint,
        &pair,
        UNIT_CUT_RATE,
        MapGrid {
            columns: cells,
            rows: cells,
        },
    )
    .map_err(|e| refuse(e.to_string()))?;
    let long = stroke_of(MOST_PASSES)?;
    let heat = heat(footprint, &long, section, (key.substrate, HEAT_CELLS)).map_err(&refuse)?;
    let mean_um = removal.interior.mean_um;
    let mut highest = 0.0_f64;
    Ok(PassLaw {
        section,
        pass_s: pair.total_time().get::<second>() / 2.0,
        removal_um: mean_um / 2.0,
        max_over_mean: removal.interior.max_um / mean_um,
        min_over_mean: removal.interior.min_um / mean_um,
        peak_rise_k: heat
            .0
            .iter()
            .map(|k| {
                highest = highest.max(*k);
                highest
            })
            .collect(),
    })
}

/// Cells of the pictures.
const PICTURE_CELLS: usize = 60;

/// Maps of one step: `passes` at a share `speed_frac` of the top speed, a cut
/// rate in 1/Pa and a friction share.
///
/// # Errors
/// What the laws refuse.
pub fn step_maps(
    job: &Job,
    (key, section): (&LawKey, Length),
    (passes, speed_frac): (u32, f64),
    (cut_rate_per_pa, friction_frac): (f64, f64),
) -> Result<StepMaps, InputError> {
    let pad = &job.kit.pads[key.pad];
    let place = place(job, (key.machine, key.pad));
    let refuse = |sentence: String| InputError::in_file(place.clone(), sentence);
    let footprint = footprint_of(job, (key.machine, key.pad))?;
    let stroke = Stroke::cross_hatch(&coverage(job, (section, pad), key.arm, passes))
        .map_err(|e| refuse(e.to_string()))?;
    let grid = MapGrid {
        columns: PICTURE_CELLS,
        rows: PICTURE_CELLS,
    };
    let removal = map(&footprint, &stroke, cut_rate_per_pa * speed_frac, grid)
        .map_err(|e| refuse(e.to_string()))?;
    let (_, peaks) =
        heat(&footprint, &stroke, section, (key.substrate, PICTURE_CELLS)).map_err(&refuse)?;
    Ok(StepMaps {
        section_m: section.get::<meter>(),
        removal_cells: PICTURE_CELLS,
        removal_um: removal.depth_um,
        heat_cells: PICTURE_CELLS,
        peak_rise_k: peaks
            .iter()
            .map(|k| f64::from(*k) * friction_frac * speed_frac)
            .collect(),
    })
}

fn coverage(job: &Job, (section, pad): (Length, &Pad), arm: usize, passes: u32) -> Coverage {
    Coverage {
        section: Section {
            width: section,
            height: section,
        },
        pad_radius: pad.diameter / 2.0,
        overlap_frac: job.wish.overlap_frac,
        margin: Margin::PadInside,
        arm_speed: arm_speed(arm),
        passes,
        shift_frac: 0.0,
        wait: Time::new::<second>(0.0),
    }
}

fn motion(machine: &Machine) -> Motion {
    let top = machine.speeds[machine.speeds.len() - 1];
    let orbit_radius = machine.orbit / 2.0;
    match machine.kind {
        MachineKind::Rotary => Motion::Rotary { spin: top },
        MachineKind::RandomOrbital => Motion::RandomOrbital {
            orbit_radius,
            orbit: top,
            spin: machine.spin,
        },
        MachineKind::ForcedRotation => Motion::ForcedRotation {
            orbit_radius,
            orbit: top,
            turns_per_orbit: (machine.spin / top).value,
        },
    }
}

fn place(job: &Job, (machine, pad): (usize, usize)) -> String {
    format!(
        "\"{}\" with \"{}\"",
        job.kit.machines[machine].name, job.kit.pads[pad].name
    )
}

/// Footprint of a pad on a machine at its top speed.
///
/// # Errors
/// What the laws of contact and motion refuse.
pub fn footprint_of(job: &Job, pair: (usize, usize)) -> Result<Footprint, InputError> {
    footprint(&job.kit.machines[pair.0], &job.kit.pads[pair.1])
        .map_err(|sentence| InputError::in_file(place(job, pair), sentence))
}

fn footprint(machine: &Machine, pad: &Pad) -> Result<Footprint, String> {
    let radius = pad.diameter / 2.0;
    let bed = Bed {
        hole_radius: pad.hole / 2.0,
        ..Bed::of_medium_foam(radius)
    };
    let touch = Touch {
        force: machine.force,
        lean: Lean::Level,
        direction: lapwing_measure::quantity::Angle::new::<uom::si::angle::radian>(0.0),
    };
    let cell = Length::new::<millimeter>(pad.diameter.get::<millimeter>() / 50.0);
    let contact = press(bed, touch, Surface::default(), cell).map_err(|e| e.to_string())?;
    Footprint::of(&contact, motion(machine)).map_err(|e| e.to_string())
}

/// Cells along the edge of a section for the heat run.
const HEAT_CELLS: usize = 30;

fn heat(
    footprint: &Footprint,
    stroke: &Stroke,
    section: Length,
    (substrate, cells): (Substrate, usize),
) -> Result<(Vec<f64>, Vec<f32>), String> {
    let grid = &footprint.rubbing;
    let flux = FluxFootprint::new(grid.cells, Length::new::<meter>(grid.cell_m), &grid.values)
        .map_err(|e| e.to_string())?;
    let path = timed(stroke)?;
    let layers = stack(substrate).stack();
    let ends: Vec<Time> = stroke
        .pass_ends_s()
        .iter()
        .map(|s| Time::new::<second>(*s))
        .collect();
    let film_layers = layers.len() - 1;
    let mut per_layer = vec![1; film_layers];
    per_layer[0] = 2;
    per_layer.push(
        if matches!(substrate, Substrate::Plastic | Substrate::Laminate) {
            5
        } else {
            1
        },
    );
    let accuracy = Accuracy::Cells(Cells {
        nx: cells,
        ny: cells,
        nz: DepthCells::PerLayer(per_layer),
        dt: Time::new::<second>(0.2),
        scheme: Scheme::TwoStage,
    });
    let transfer = HeatTransfer::new::<watt_per_square_meter_kelvin>;
    let result = solve_heat(
        &HeatProblem {
            layers: &layers,
            panel: HeatPanel {
                size_x: section,
                size_y: section,
                rim: Rim::Insulated,
            },
            air: AirContact {
                outside: transfer(10.0),
                inside: transfer(5.0),
                start_over_air: TemperatureDifference::new::<kelvin>(0.0),
            },
            footprints: &[flux],
            path: &path,
            duration: stroke.total_time(),
            pass_ends: &ends,
            thresholds: &[],
            probes: &[],
            accuracy: &accuracy,
        },
        HeatWatch::default(),
    )
    .map_err(|e| e.to_string())?;
    Ok((result.pass_peak_rise_k, result.peak_map_k))
}

fn stack(substrate: Substrate) -> Stack {
    match substrate {
        Substrate::Steel => Stack::Steel,
        Substrate::Aluminium => Stack::Aluminium,
        Substrate::Plastic => Stack::Polypropylene,
        Substrate::Laminate => Stack::Laminate,
    }
}
