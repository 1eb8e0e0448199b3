//! What a pass takes off, as the cases ask for it.
//!
//! Law: `lapwing_physics::removal`, `stroke`, `footprint` and `abrasive`.
//! Source: named in each case.
//! Holds: for the ranges those functions allow.
//! Left out: the cut rate itself; the cases give it.
//! Checked by: the cases.

use lapwing_measure::quantity::{Angle, Energy, Force, Time, Velocity};
use lapwing_physics::abrasive::Abrasive;
use lapwing_physics::contact::{Lean, Pad, Surface, Touch, press};
use lapwing_physics::footprint::Footprint;
use lapwing_physics::motion::Motion;
use lapwing_physics::removal::straight::{RotaryPass, chord_integral_m2, stalled_orbital_depth};
use lapwing_physics::removal::uniformity::{LineKind, of_lines};
use lapwing_physics::removal::{self, MapGrid};
use lapwing_physics::stroke::{Along, Coverage, Margin, Section, Stroke, dwell_per_pass};
use uom::si::angle::degree;
use uom::si::energy::joule;
use uom::si::force::newton;
use uom::si::length::{micrometer, nanometer};
use uom::si::time::second;
use uom::si::velocity::millimeter_per_second;

use super::motion::{millimetres, turns};
use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("chord_integral", |i| {
        Ok(chord_integral_m2(1.0, i.number("y_over_r")?))
    }),
    ("chord_integral_total", |i| {
        chord_integral_total(i.count("slices")?)
    }),
    ("rotary_pass_depth_nm", rotary_pass_depth_nm),
    ("rotary_lines_mean_um", |i| {
        Ok(pass(i)?
            .mean_depth(millimetres(i.number("spacing_mm")?))
            .get::<micrometer>())
    }),
    ("stalled_orbital_depth_nm", stalled_orbital_depth_nm),
    ("line_evenness", line_evenness),
    ("removal_middle", removal_middle),
    ("path", path),
    ("dwell_s", dwell_s),
    ("abrasive_mean_frac", abrasive_mean_frac),
];

/// Area under the profile for a radius of one, by slices of our function.
fn chord_integral_total(slices: usize) -> Result<f64, String> {
    let width = 2.0 / slices as f64;
    Ok((0..slices)
        .map(|s| chord_integral_m2(1.0, (s as f64 + 0.5) * width - 1.0) * width)
        .sum())
}

fn speed(value_mm_s: f64) -> Velocity {
    Velocity::new::<millimeter_per_second>(value_mm_s)
}

fn pass(i: &Inputs<'_>) -> Result<RotaryPass, String> {
    Ok(RotaryPass {
        cut_rate_per_pa: i.number("cut_rate_per_pa")?,
        force: Force::new::<newton>(i.number("force_n")?),
        spin: turns(i.number("spin_rpm")?),
        arm_speed: speed(i.number("arm_speed_mm_s")?),
        pad_radius: millimetres(i.number("pad_radius_mm")?),
        hole_radius: millimetres(i.number("hole_radius_mm")?),
    })
}

fn rotary_pass_depth_nm(i: &Inputs<'_>) -> Result<f64, String> {
    let (pass, output) = (pass(i)?, i.word("output")?);
    if output == "at_centre" {
        return Ok(pass.depth_at_centre().get::<nanometer>());
    }
    let beside = millimetres(i.number("beside_mm")?);
    match output {
        "beside" => Ok(pass.depth_beside(beside).get::<nanometer>()),
        "beside_with_feed" => Ok(pass.depth_beside_with_feed(beside).get::<nanometer>()),
        other => unknown("output", other),
    }
}

fn stalled_orbital_depth_nm(i: &Inputs<'_>) -> Result<f64, String> {
    let cut = (
        i.number("cut_rate_per_pa")?,
        Force::new::<newton>(i.number("force_n")?),
    );
    let speeds = (
        speed(i.number("pad_speed_mm_s")?),
        speed(i.number("arm_speed_mm_s")?),
    );
    let (radius, beside) = (
        millimetres(i.number("pad_radius_mm")?),
        millimetres(i.number("beside_mm")?),
    );
    Ok(stalled_orbital_depth(cut, speeds, radius, beside).get::<nanometer>())
}

fn line_evenness(i: &Inputs<'_>) -> Result<f64, String> {
    let kind = match i.word("machine")? {
        "rotary" => LineKind::Rotary,
        "stalled_orbital" => LineKind::StalledOrbital,
        other => return unknown("machine", other),
    };
    let found = told(of_lines(kind, 1.0 - i.number("spacing_over_diameter")?))?;
    match i.word("output")? {
        "min_over_mean" => Ok(found.min_over_mean),
        "max_over_mean" => Ok(found.max_over_mean),
        "variation" => Ok(found.variation),
        other => unknown("output", other),
    }
}

fn coverage(i: &Inputs<'_>) -> Result<Coverage, String> {
    let side = millimetres(i.number("section_mm")?);
    Ok(Coverage {
        section: Section {
            width: side,
            height: side,
        },
        pad_radius: millimetres(i.number("pad_radius_mm")?),
        overlap_frac: i.number("overlap_frac")?,
        margin: match i.word("margin")? {
            "pad_inside" => Margin::PadInside,
            "centre_to_rim" => Margin::CentreToRim,
            other => return unknown("margin", other),
        },
        arm_speed: speed(i.number("arm_speed_mm_s")?),
        passes: u32::try_from(i.count("passes")?).map_err(|e| e.to_string())?,
        shift_frac: 0.0,
        wait: Time::new::<second>(0.0),
    })
}

fn path(i: &Inputs<'_>) -> Result<f64, String> {
    let stroke = told(Stroke::parallel(&coverage(i)?, Along::X))?;
    match i.word("output")? {
        "lines" => Ok(stroke.lines_per_pass().iter().sum::<usize>() as f64),
        "length_m" => Ok(stroke.path_length().value),
        "time_s" => Ok(stroke.total_time().value),
        other => unknown("output", other),
    }
}

fn dwell_s(i: &Inputs<'_>) -> Result<f64, String> {
    let (radius, spacing) = (
        millimetres(i.number("pad_radius_mm")?),
        millimetres(i.number("spacing_mm")?),
    );
    Ok(dwell_per_pass(radius, speed(i.number("arm_speed_mm_s")?), spacing).value)
}

/// Middle of a section after flat rotary passes: mean and evenness over two
/// line spacings.
fn removal_middle(i: &Inputs<'_>) -> Result<f64, String> {
    let coverage = coverage(i)?;
    let touch = Touch {
        force: Force::new::<newton>(i.number("force_n")?),
        lean: Lean::Level,
        direction: Angle::new::<degree>(0.0),
    };
    let cell = millimetres(i.number("pressure_cell_mm")?);
    let contact = told(press(
        Pad::of_medium_foam(coverage.pad_radius),
        touch,
        Surface::default(),
        cell,
    ))?;
    let footprint = told(Footprint::of(
        &contact,
        Motion::Rotary {
            spin: turns(i.number("spin_rpm")?),
        },
    ))?;
    let stroke = told(match i.word("hatch")? {
        "parallel" => Stroke::parallel(&coverage, Along::X),
        "crossed" => Stroke::cross_hatch(&coverage),
        other => return unknown("hatch", other),
    })?;
    let cells = i.count("cells")?;
    let map = told(removal::map(
        &footprint,
        &stroke,
        i.number("cut_rate_per_pa")?,
        MapGrid {
            columns: cells,
            rows: cells,
        },
    ))?;
    let margin_m = 0.5 * coverage.section.width.value - i.number("half_window_mm")? * 1e-3;
    let middle = map
        .spread_inside(margin_m)
        .ok_or("no cell in the middle.")?;
    match i.word("output")? {
        "mean_um" => Ok(middle.mean_um),
        "max_um" => Ok(middle.max_um),
        "variation" => Ok(middle.variation),
        other => unknown("output", other),
    }
}

/// Mean cut over a charge, in shares of a fresh charge's cut.
fn abrasive_mean_frac(i: &Inputs<'_>) -> Result<f64, String> {
    const FRESH_PER_PA: f64 = 1e-12;
    let abrasive = Abrasive::Diminishing {
        fresh_per_pa: FRESH_PER_PA,
        spent_per_pa: FRESH_PER_PA * i.number("spent_frac")?,
        fading_work: Energy::new::<joule>(i.number("fading_work_j")?),
    };
    let mean_per_pa =
        told(abrasive.checked())?.mean_cut_rate(Energy::new::<joule>(i.number("work_j")?));
    Ok(mean_per_pa / FRESH_PER_PA)
}
