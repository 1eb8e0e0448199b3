//! Times what the pad does: its footprint and the map of what it takes off.
//!
//! Run: `cargo bench -p lapwing-physics --bench pad`.

use lapwing_measure::quantity::{Angle, AngularVelocity, Force, Length, Time, Velocity};
use lapwing_physics::contact::{Lean, Pad, Surface, Touch, press};
use lapwing_physics::footprint::Footprint;
use lapwing_physics::motion::Motion;
use lapwing_physics::removal::{MapGrid, map};
use lapwing_physics::stroke::{Coverage, Margin, Section, Stroke};
use uom::si::angle::degree;
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::force::newton;
use uom::si::length::millimeter;
use uom::si::time::second;
use uom::si::velocity::millimeter_per_second;

fn main() {
    divan::main();
}

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn pressed(cell_mm: f64) -> Footprint {
    let touch = Touch {
        force: Force::new::<newton>(40.0),
        lean: Lean::Eccentricity(0.3),
        direction: Angle::new::<degree>(20.0),
    };
    let pad = Pad::of_medium_foam(mm(62.5));
    let contact = press(pad, touch, Surface::default(), mm(cell_mm)).expect("usable");
    let spin = AngularVelocity::new::<revolution_per_minute>(1500.0);
    Footprint::of(&contact, Motion::Rotary { spin }).expect("usable")
}

fn cross_hatch(passes: u32) -> Stroke {
    let coverage = Coverage {
        section: Section {
            width: mm(610.0),
            height: mm(610.0),
        },
        pad_radius: mm(62.5),
        overlap_frac: 0.5,
        margin: Margin::PadInside,
        arm_speed: Velocity::new::<millimeter_per_second>(25.4),
        passes,
        shift_frac: 0.0,
        wait: Time::new::<second>(0.0),
    };
    Stroke::cross_hatch(&coverage).expect("usable")
}

/// A leaning rotary pad, pressed and turned, on cells of so many millimetres.
#[divan::bench(args = [5.0, 2.5, 1.25])]
fn footprint(cell_mm: f64) -> f64 {
    pressed(cell_mm).rubbing.cell_m
}

/// Four passes over a section on so many cells each way.
#[divan::bench(args = [60, 120, 240], sample_count = 10)]
fn removal_sweep(bencher: divan::Bencher<'_, '_>, cells: usize) {
    let (footprint, stroke) = (pressed(1.25), cross_hatch(4));
    let grid = MapGrid {
        columns: cells,
        rows: cells,
    };
    bencher.bench(|| {
        map(&footprint, &stroke, 5e-12, grid)
            .expect("usable")
            .depth_um[0]
    });
}
