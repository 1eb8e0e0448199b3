//! One run of the bench for the kit: what a pair of cross-hatched passes takes
//! off, and how warm the panel gets pass by pass.
//!
//! Law: the bench's own (`crate::bench`), with a level pad on a flat panel.
//! Removal is kept per unit cut rate (µm per 1e-12 1/Pa), heat per unit friction
//! share, both at the machine's top speed.
//! Source: `lapwing_physics::removal`, `lapwing_physics::heat`.
//! Holds: the heat's grid is coarse (a thirtieth of the section); against the
//! fine grid the peak moves by a few per cent, far less than the friction share.
//! Left out: the pad's tilt; edges and body lines, which the sheet says to mask.
//! Checked by: `validation`, which reaches the bench through its setup files.

use lapwing_measure::quantity::{Angle, HeatTransfer, Length, Time};
use lapwing_physics::contact::{Lean, Pad as Bed, Touch};
use lapwing_physics::convection::Facing;
use lapwing_physics::course::{Course, Ground};
use lapwing_physics::heat::{Accuracy, Cells, DepthCells, HeatWatch, Scheme, Substrate as Stack};
use lapwing_physics::motion::Motion;
use lapwing_physics::stroke::{Coverage, Margin, Section, Way};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::pressure::kilopascal;
use uom::si::{angle::radian, time::second};

use super::{LawKey, arm_speed};
use crate::bench::finish::FinishSetup;
use crate::bench::result::BenchMaps;
use crate::bench::setup::{BenchPanel, Lines, Route, Setup, Spread};
use crate::bench::wearing::Wearing;
use crate::bench::{bench, known_course, repeated_knowing};
use crate::record::InputError;
use crate::record::job::{AbrasiveClass, Job, Machine, MachineKind, Pad, Substrate};

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

/// Cells along the edge of a section for the heat run.
const HEAT_CELLS: usize = 30;
/// Cells of the pictures.
const PICTURE_CELLS: usize = 60;

/// How the pad of a key touches along its lines: the same for every substrate
/// and section, so it is worked out once.
///
/// # Errors
/// What the laws refuse, with machine and pad named.
pub fn touch_of(job: &Job, key: &LawKey, section: Length) -> Result<Course, InputError> {
    known_course(&on_the_bench(job, (key, section), (2, 1.0), HEAT_CELLS))
}

/// Runs the bench for one key; `known` is its touch.
///
/// # Errors
/// What the laws refuse, with machine and pad named.
pub fn law_of(
    job: &Job,
    key: &LawKey,
    section: Length,
    known: &Course,
) -> Result<PassLaw, InputError> {
    let setup = on_the_bench(job, (key, section), (2, 1.0), HEAT_CELLS);
    let told = repeated_knowing(&setup, MOST_PASSES, Some(known))?;
    Ok(PassLaw {
        section,
        pass_s: told.pass_s,
        removal_um: told.pass_um,
        max_over_mean: told.most_over_mean,
        min_over_mean: told.least_over_mean,
        peak_rise_k: told.unit_rise_k,
    })
}

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
) -> Result<BenchMaps, InputError> {
    let mut setup = on_the_bench(job, (key, section), (passes, speed_frac), PICTURE_CELLS);
    setup.cut_rate_per_pa = Spread::given(cut_rate_per_pa);
    setup.friction_frac = Spread::given(friction_frac);
    Ok(bench(&setup, HeatWatch::default())?.maps)
}

/// A step of the kit as a setup of the bench, at a share of the top speed.
fn on_the_bench(
    job: &Job,
    (key, section): (&LawKey, Length),
    (passes, speed_frac): (u32, f64),
    heat_cells: usize,
) -> Setup {
    let machine = &job.kit.machines[key.machine];
    let pad = &job.kit.pads[key.pad];
    let bed = Bed {
        hole_radius: pad.hole / 2.0,
        ..Bed::of_medium_foam(pad.diameter / 2.0)
    };
    Setup {
        file: format!("\"{}\" with \"{}\"", machine.name, pad.name),
        units: job.units,
        panel: panel(job, key.substrate, section),
        motion: motion(machine, speed_frac),
        pad: bed,
        touch: Touch {
            force: machine.force,
            lean: Lean::Level,
            direction: Angle::new::<radian>(0.0),
        },
        leans_with_travel: false,
        stiffness_kpa: Spread::given(bed.stiffness.get::<kilopascal>()),
        cut_rate_per_pa: Spread::given(1e-12),
        friction_frac: Spread::given(1.0),
        wearing: Wearing::none(),
        finish: FinishSetup::assumed(AbrasiveClass::Medium, Some(pad.class)),
        probes: Vec::new(),
        route: Route::Lines(Lines {
            coverage: coverage(job, (section, pad), key.arm, passes),
            way: Way::CrossHatch,
            spread: None,
            has_own_margin: true,
        }),
        accuracy: cells(key.substrate, heat_cells),
        is_quick: false,
        above: Vec::new(),
        origins: Vec::new(),
        cautions: Vec::new(),
    }
}

/// A flat section whose neighbours are as warm; losses at the small end of what
/// the laws give, which is the cautious side.
fn panel(job: &Job, substrate: Substrate, edge: Length) -> BenchPanel {
    let transfer = |w_m2k| Some(HeatTransfer::new::<watt_per_square_meter_kelvin>(w_m2k));
    BenchPanel {
        section: Section {
            width: edge,
            height: edge,
        },
        layers: stack(substrate).stack(),
        is_wide: false,
        start: job.rules.start_temperature,
        air: job.rules.start_temperature,
        convection_outside: transfer(10.0),
        convection_inside: transfer(5.0),
        facing: Facing::Up,
        has_pad_wind: false,
        ground: Ground::default(),
    }
}

/// Few cells through the film, more through plastic, which warms on one side.
fn cells(substrate: Substrate, along: usize) -> Accuracy {
    let film_layers = stack(substrate).stack().len() - 1;
    let mut per_layer = vec![1; film_layers];
    per_layer[0] = 2;
    let is_soft = matches!(substrate, Substrate::Plastic | Substrate::Laminate);
    per_layer.push(if is_soft { 5 } else { 1 });
    Accuracy::Cells(Cells {
        nx: along,
        ny: along,
        nz: DepthCells::PerLayer(per_layer),
        dt: Time::new::<second>(0.2),
        scheme: Scheme::TwoStage,
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

/// The machine at a share of its top speed; the spin of an orbital machine
/// keeps its ratio to the orbit.
fn motion(machine: &Machine, speed_frac: f64) -> Motion {
    let top = machine.speeds[machine.speeds.len() - 1];
    let orbit_radius = machine.orbit / 2.0;
    match machine.kind {
        MachineKind::Rotary => Motion::Rotary {
            spin: top * speed_frac,
        },
        MachineKind::RandomOrbital => Motion::RandomOrbital {
            orbit_radius,
            orbit: top * speed_frac,
            spin: machine.spin * speed_frac,
        },
        MachineKind::ForcedRotation => Motion::ForcedRotation {
            orbit_radius,
            orbit: top * speed_frac,
            turns_per_orbit: (machine.spin / top).value,
        },
    }
}

fn stack(substrate: Substrate) -> Stack {
    match substrate {
        Substrate::Steel => Stack::Steel,
        Substrate::Aluminium => Stack::Aluminium,
        Substrate::Plastic => Stack::Polypropylene,
        Substrate::Laminate => Stack::Laminate,
    }
}
