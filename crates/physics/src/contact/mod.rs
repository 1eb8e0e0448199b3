//! How the pressure spreads under a pad that is pressed, leaned, or run over a
//! bulge, an edge or a crease.
//!
//! Law: a rigid backing on an elastic bed without tension (Winkler): p = K·u
//! where the bed is pressed by u > 0, p = 0 elsewhere, K = E/t (E stiffness of
//! the foam in Pa, t its thickness in m). A round pad on a flat panel lifts off
//! at the tilt θ = p̄/(K·R).
//! Source: `RoarkEccentric` for the leaning disc; geometry for the rest.
//! Holds: for foam pressed to less than about two thirds of its thickness
//! (`compression_frac`). Outside: the value still comes back, the caller adds a
//! caution: real foam hardens there.
//! Left out: the bending of the backing plate, shear and rim rounding of the
//! foam, wear of the pad.
//! Checked by: the handbook table of the leaning disc through the numeric
//! balance too; force and levers to 1e-6 by another rule for tilt beyond the
//! kern, hole, curve, edge, corner and crease; closed forms of half and quarter
//! discs and of a sharp crest. Foam
//! stiffness: not validated, no public data found.

mod balance;
pub mod disc;
mod pad;
mod shape;
mod sums;
pub mod surface;

use std::f64::consts::PI;

use lapwing_measure::Source;
use lapwing_measure::quantity::{Length, Pressure};
use uom::si::pressure::pascal;

use crate::error::{Given, PhysicsError};
use crate::pad_grid::PadGrid;
use balance::{FacePoint, Goal, Load, Seat};
pub use pad::{Lean, Pad, Touch};
use shape::Shape;
use sums::{Face, Sums};
pub use surface::{Crease, Edge, Surface};

/// Where the law of the leaning disc comes from.
pub const LEANING_DISC_SOURCE: Source = Source::RoarkEccentric;

/// Pressure under the pad and what it comes down to.
#[derive(Clone, Debug)]
pub struct Contact {
    /// Cell means around the pad centre, in pascal. Their integral is the force.
    pub pressure: PadGrid,
    /// Force over the whole face of the pad, in pascal.
    pub mean_pa: f64,
    /// Highest pressure, in pascal.
    pub max_pa: f64,
    /// Touching area over whole face.
    pub contact_frac: f64,
    /// Where the pressure acts, off the pad centre, in pad radii.
    pub eccentricity_frac: f64,
    /// Tilt of the backing against the panel at the pad centre.
    pub tilt_rad: f64,
    /// Deepest compression over bed thickness; beyond about 0.67 foam hardens
    /// and the true peak is higher.
    pub compression_frac: f64,
    /// The pad.
    pub pad: Pad,
    shape: Shape,
    /// Is there nothing under the pad but an endless flat?
    is_plain: bool,
    seat: Seat,
    density: usize,
}

/// Presses a pad on a panel; `cell` is the width of the pressure table's cells.
///
/// # Errors
/// Refuses pads, forces, leans and panels out of range, a pad beside the panel
/// ([`PhysicsError::PadBesidePanel`]) and a force no pressure can balance
/// ([`PhysicsError::PadTips`]).
pub fn press(
    pad: Pad,
    touch: Touch,
    surface: Surface,
    cell: Length,
) -> Result<Contact, PhysicsError> {
    press_with((pad, touch), surface, cell, balance::FINE)
}

/// The same where many touches along a path are asked for: as exact in force
/// and place, with sums of other things over fewer points.
pub(crate) fn press_quickly(
    pad: Pad,
    touch: Touch,
    surface: Surface,
    cell: Length,
) -> Result<Contact, PhysicsError> {
    press_with((pad, touch), surface, cell, balance::COARSE)
}

fn press_with(
    (pad, touch): (Pad, Touch),
    surface: Surface,
    cell: Length,
    density: usize,
) -> Result<Contact, PhysicsError> {
    pad.checked()?;
    surface.checked(pad.radius.value)?;
    let force_n = Given {
        place: "force on the pad",
        value: touch.force.value,
        unit: "N",
        remedy: "The machine alone weighs 15 to 30 N; 40 to 60 N is a firm push.",
    }
    .within(0.1, 1000.0)?;
    let cell_m = Given {
        place: "pressure cell",
        value: cell.value,
        unit: "m",
        remedy: "Use a thirtieth of the pad radius.",
    }
    .within(pad.radius.value / 400.0, pad.radius.value)?;
    let ground = Under {
        pad: &pad,
        shape: &Shape::of(&surface),
        is_plain: surface.is_endless_flat(),
    };
    if ground.face().area_m2() <= 1e-9 * pad.face_m2() {
        return Err(PhysicsError::PadBesidePanel);
    }
    let (seat, sums) = ground.seat(&touch)?;
    Ok(Contact::at(&ground, (seat, &sums), density).with_table(force_n, cell_m))
}

/// Share of the pad's whole face that lies over the panel.
///
/// # Errors
/// Refuses pads and panels out of range.
pub fn on_panel_frac(pad: &Pad, surface: &Surface) -> Result<f64, PhysicsError> {
    pad.checked()?;
    surface.checked(pad.radius.value)?;
    if !surface.has_edge() {
        return Ok(1.0);
    }
    let ground = Under {
        pad,
        shape: &Shape::of(surface),
        is_plain: false,
    };
    Ok(ground.face().area_m2() / pad.face_m2())
}

/// A pad with what lies under it.
struct Under<'a> {
    pad: &'a Pad,
    shape: &'a Shape,
    is_plain: bool,
}

impl Under<'_> {
    fn face(&self) -> Face<'_> {
        let (radius_m, hole_m) = self.pad.radii_m();
        Face {
            radius_m,
            hole_m,
            shape: self.shape,
        }
    }

    /// How the backing sits, with the exact sums over what it presses.
    fn seat(&self, touch: &Touch) -> Result<(Seat, Sums), PhysicsError> {
        let force_n = touch.force.value;
        let modulus = self.pad.modulus_pa_m();
        let (sine, cosine) = Given {
            place: "direction of the lean",
            value: touch.direction.value,
            unit: "rad",
            remedy: "Give an angle between -360 and 360 degrees.",
        }
        .within(-2.0 * PI, 2.0 * PI)?
        .sin_cos();
        let arm_m = match touch.lean {
            Lean::Level => return self.held(force_n, (0.0, 0.0)),
            Lean::Tilt(angle) => {
                let slope = Given {
                    place: "tilt of the pad",
                    value: angle.value,
                    unit: "rad",
                    remedy: "A pad is on edge at 0.5 rad (29 degrees).",
                }
                .within(-0.5, 0.5)?
                .tan();
                return self.held(force_n, (slope * cosine, slope * sine));
            }
            Lean::Eccentricity(share) => share * self.pad.radius.value,
            Lean::Moment(moment) => moment.value / force_n,
        };
        if self.is_plain && self.pad.hole_radius.value == 0.0 && arm_m >= 0.0 {
            let seat = leaning_seat(self.pad, force_n, arm_m, (cosine, sine))?;
            return Ok((seat, self.face().pressed(&seat, force_n / modulus)));
        }
        let share = Given {
            place: disc::ECCENTRICITY,
            value: arm_m / self.pad.radius.value,
            unit: "of the pad radius",
            remedy: "0 is the pad centre, 1 its rim.",
        }
        .within(-0.98, 0.98)?;
        let moment_nm = force_n * share * self.pad.radius.value;
        let load = Load {
            force_n,
            moment_x_nm: moment_nm * cosine,
            moment_y_nm: moment_nm * sine,
        };
        let points = self.points(balance::COARSE);
        let near = balance::seat_under_load(&points, modulus, load, self.pad.radius.value)?;
        balance::settle(&self.face(), modulus, Goal::Load(load), near)
    }

    /// A seat whose slopes the hand gives, counted from a backing that lies
    /// parallel to what is under it.
    fn held(&self, force_n: f64, slope: (f64, f64)) -> Result<(Seat, Sums), PhysicsError> {
        let along = parallel_slopes(self.pad, self.shape);
        let slopes = (along.0 + slope.0, along.1 + slope.1);
        let modulus = self.pad.modulus_pa_m();
        let near = balance::depth_at_tilt(&self.points(balance::COARSE), modulus, force_n, slopes)?;
        balance::settle(&self.face(), modulus, Goal::Force(force_n), near)
    }

    fn points(&self, density: usize) -> Vec<FacePoint> {
        balance::face_points(self.pad.radii_m(), self.shape, density)
    }
}

/// Slopes of a backing held parallel to what lies under the face: zero on a
/// flat or evenly curved panel, the flank's slope beside a crease, between the
/// two flanks on its crest (the plane with the least squares to the crease).
fn parallel_slopes(pad: &Pad, shape: &Shape) -> (f64, f64) {
    if shape.ridges.is_empty() {
        return (0.0, 0.0);
    }
    let ridges = Shape {
        ridges: shape.ridges.clone(),
        ..Shape::default()
    };
    let radius_m = pad.radius.value;
    let whole = Face {
        radius_m,
        hole_m: 0.0,
        shape: &ridges,
    };
    // Pressed so deep that all of it touches: what is left of ∫u·x is −∫g·x.
    let deep = Seat {
        depth_m: radius_m * (1.0 + 2.0 * ridges.steepest(radius_m)),
        ..Seat::default()
    };
    let [_, gap_x, gap_y, ..] = whole.pressed(&deep, PI * radius_m.powi(3)).0;
    let inertia = 0.25 * PI * radius_m.powi(4);
    (-gap_x / inertia, -gap_y / inertia)
}

/// Seat of a full pad on an endless flat, from the closed form.
fn leaning_seat(
    pad: &Pad,
    force_n: f64,
    arm_m: f64,
    (cosine, sine): (f64, f64),
) -> Result<Seat, PhysicsError> {
    let radius_m = pad.radius.value;
    let disc = disc::leaning_disc(arm_m / radius_m)?;
    let mean_depth_m = force_n / pad.face_m2() / pad.modulus_pa_m();
    let slope = disc.tilt_over_lift_off * mean_depth_m / radius_m;
    // The loaded rim is pressed by the peak; the centre lies one radius of slope above it.
    let depth_m = disc.max_over_mean * mean_depth_m - slope * radius_m;
    Ok(Seat {
        depth_m,
        slope_x: slope * cosine,
        slope_y: slope * sine,
    })
}

impl Contact {
    /// How far the touching part reaches in from the loaded rim, in pad radii;
    /// 2 when the whole pad touches. `None` where that is no straight line: on
    /// a curved panel, a crease or at an edge.
    #[must_use]
    pub fn touching_depth_radii(&self) -> Option<f64> {
        if !self.is_plain {
            return None;
        }
        let fall = self.seat.slope_x.hypot(self.seat.slope_y) * self.pad.radius.value;
        let depth = if fall > 0.0 {
            1.0 + self.seat.depth_m / fall
        } else {
            2.0
        };
        Some(depth.clamp(0.0, 2.0))
    }

    /// Is there nothing under the pad but an endless flat?
    pub(crate) fn is_plain(&self) -> bool {
        self.is_plain
    }

    /// The pressure of a full pad that lies level on a flat; `None` otherwise.
    pub(crate) fn even_pa(&self) -> Option<f64> {
        let is_level = self.seat.slope_x == 0.0 && self.seat.slope_y == 0.0;
        let is_even = is_level && self.is_plain && self.pad.hole_radius.value == 0.0;
        is_even.then(|| self.pressed_pa(0.0, 0.0))
    }

    /// Pressure at a point around the pad centre.
    #[must_use]
    pub fn pressure_at(&self, x: Length, y: Length) -> Pressure {
        Pressure::new::<pascal>(self.pressure_pa(x.value, y.value))
    }

    pub(crate) fn pressure_pa(&self, x_m: f64, y_m: f64) -> f64 {
        let distance_sq = x_m * x_m + y_m * y_m;
        let is_face = distance_sq <= self.pad.radius.value.powi(2)
            && distance_sq >= self.pad.hole_radius.value.powi(2);
        if !is_face || !self.shape.is_panel(x_m, y_m) {
            return 0.0;
        }
        self.pressed_pa(x_m, y_m)
    }

    /// Pressure the bed gives at a point of the face, panel edges left aside.
    pub(crate) fn pressed_pa(&self, x_m: f64, y_m: f64) -> f64 {
        self.bed_pa(x_m, y_m).max(0.0)
    }

    /// The same, less than zero where the bed is lifted.
    pub(crate) fn bed_pa(&self, x_m: f64, y_m: f64) -> f64 {
        self.pad.modulus_pa_m() * (self.seat.at(x_m, y_m) - self.shape.gap_m(x_m, y_m))
    }

    /// Mean of `f(x, y)` over the face, weighted by pressure; coordinates in
    /// metres.
    pub(crate) fn mean_of(&self, f: impl Fn(f64, f64) -> f64) -> f64 {
        let points = balance::face_points(self.pad.radii_m(), &self.shape, self.density);
        let (mut whole, mut weighted) = (0.0, 0.0);
        for p in &points {
            let part = p.area_m2 * self.pressed_m(p).max(0.0);
            whole += part;
            weighted += part * f(p.x_m, p.y_m);
        }
        if whole > 0.0 { weighted / whole } else { 0.0 }
    }

    fn at(ground: &Under<'_>, (seat, sums): (Seat, &Sums), density: usize) -> Self {
        let pad = *ground.pad;
        let [u, ux, uy, touching_m2, ..] = sums.0;
        let mut contact = Self {
            pressure: PadGrid::covering(pad.radius.value, pad.radius.value),
            mean_pa: 0.0,
            max_pa: 0.0,
            contact_frac: (touching_m2 / pad.face_m2()).min(1.0),
            eccentricity_frac: ux.hypot(uy) / (u * pad.radius.value),
            tilt_rad: 0.0,
            compression_frac: 0.0,
            pad,
            shape: ground.shape.clone(),
            is_plain: ground.is_plain,
            seat,
            density,
        };
        let along = parallel_slopes(&pad, ground.shape);
        contact.tilt_rad = (seat.slope_x - along.0)
            .hypot(seat.slope_y - along.1)
            .atan();
        contact.max_pa = contact.highest_pa(&ground.points(balance::COARSE));
        contact.compression_frac = contact.max_pa / pad.stiffness.value;
        contact
    }

    /// Places a side a cell needs for its mean: none off the pad, two (Gauss's)
    /// where pressure runs smoothly, six where a crest bends it, twelve where a
    /// rim, a panel edge or lift-off may cross it.
    pub(crate) fn places_in_cell(&self, (x_m, y_m): (f64, f64), cell_m: f64) -> u32 {
        let distance_m = x_m.hypot(y_m);
        let corner_m = cell_m * std::f64::consts::FRAC_1_SQRT_2;
        let (radius_m, hole_m) = (self.pad.radius.value, self.pad.hole_radius.value);
        if distance_m - corner_m > radius_m {
            return 0;
        }
        let is_inside = distance_m + corner_m < radius_m
            && (hole_m == 0.0 || distance_m - corner_m > hole_m)
            && self.shape.clears_edges((x_m, y_m), corner_m);
        let steepest = self.seat.slope_x.hypot(self.seat.slope_y) + self.shape.steepest(radius_m);
        let pressed_m = self.seat.at(x_m, y_m) - self.shape.gap_m(x_m, y_m);
        if is_inside && pressed_m < -steepest * corner_m {
            0
        } else if !is_inside || pressed_m < steepest * corner_m {
            12
        } else if self.shape.clears_ridges((x_m, y_m), corner_m) {
            2
        } else {
            6
        }
    }

    fn pressed_m(&self, p: &FacePoint) -> f64 {
        self.seat.at(p.x_m, p.y_m) - p.gap_m
    }

    /// Highest pressure, looked for over the face and along its rim, and from
    /// the best of both by steps halved down to a millionth of the radius.
    fn highest_pa(&self, points: &[FacePoint]) -> f64 {
        let best = points
            .iter()
            .max_by(|a, b| self.pressed_m(a).total_cmp(&self.pressed_m(b)));
        let inside = best.map_or(0.0, |p| {
            let at = |(x_m, y_m): (f64, f64)| self.pressure_pa(x_m, y_m);
            climbed((p.x_m, p.y_m), self.pad.radius.value / 16.0, at)
        });
        let steepest = self.seat.slope_y.atan2(self.seat.slope_x);
        let rim_m = self.pad.radius.value * (1.0 - 1e-12);
        let on_rim = |angle: f64| self.pressure_pa(rim_m * angle.cos(), rim_m * angle.sin());
        let highest = (0..720)
            .map(|i| steepest + f64::from(i) * PI / 360.0)
            .max_by(|a, b| on_rim(*a).total_cmp(&on_rim(*b)));
        let rim = highest.map_or(0.0, |angle| {
            climbed((angle, 0.0), PI / 720.0, |(angle, _)| on_rim(angle))
        });
        inside.max(rim)
    }

    /// Fills the table with cell means and makes its integral
    /// the force.
    fn with_table(mut self, force_n: f64, cell_m: f64) -> Self {
        let mut table = PadGrid::covering(self.pad.radius.value, cell_m);
        for j in 0..table.cells {
            for i in 0..table.cells {
                let centre = (table.centre_m(i), table.centre_m(j));
                let places = self.places_in_cell(centre, cell_m);
                table.values[j * table.cells + i] =
                    cell_mean(places, centre, cell_m, |x, y| self.pressure_pa(x, y));
            }
        }
        table.rescale_to(force_n);
        self.pressure = table;
        self.mean_pa = force_n / self.pad.face_m2();
        self
    }
}

/// The highest of `height` that steps to all eight sides, halved whenever none
/// leads higher, reach from a place.
fn climbed(from: (f64, f64), first_step: f64, height: impl Fn((f64, f64)) -> f64) -> f64 {
    const SIDES: [f64; 3] = [-1.0, 0.0, 1.0];
    let (mut here, mut best, mut step) = (from, height(from), first_step);
    while step > 1e-5 * first_step {
        let tried = SIDES
            .into_iter()
            .flat_map(|x| SIDES.map(|y| (here.0 + step * x, here.1 + step * y)))
            .map(|place| (height(place), place))
            .fold((best, here), |a, b| if b.0 > a.0 { b } else { a });
        if tried.0 > best {
            (best, here) = tried;
        } else {
            step *= 0.5;
        }
    }
    best
}

/// Mean over a square cell from `points` × `points` places.
pub(crate) fn cell_mean(
    points: u32,
    (x_m, y_m): (f64, f64),
    cell_m: f64,
    f: impl Fn(f64, f64) -> f64,
) -> f64 {
    if points == 0 {
        return 0.0;
    }
    let offset = |i: u32| cell_m * place_in_cell(i, points);
    let sum: f64 = (0..points * points)
        .map(|k| f(x_m + offset(k % points), y_m + offset(k / points)))
        .sum();
    sum / f64::from(points * points)
}

/// Place `index` of `points` along a cell, from its middle, in cells: Gauss's
/// for two, evenly spread for more.
pub(crate) fn place_in_cell(index: u32, points: u32) -> f64 {
    if points == 2 {
        const GAUSS: f64 = 0.288_675_134_594_812_9;
        return if index == 0 { -GAUSS } else { GAUSS };
    }
    (f64::from(index) + 0.5) / f64::from(points) - 0.5
}

#[cfg(test)]
pub(crate) mod tests;
