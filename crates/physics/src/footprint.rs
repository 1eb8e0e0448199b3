//! Pressure times rubbing speed, averaged over a turn, at every point under
//! the pad: what grinds and what heats.
//!
//! Law: f(x) = mean over a turn of p(x − c)·|v(x)|, with the pad centre c
//! running round the orbit (c = 0 for a rotary) and v = (Ω−ω)·ẑ×c + ω·ẑ×x the
//! speed of the pad over the panel at x; when the machine is moved on at V, V
//! is added, which makes the two sides of a line unlike (by V/(ω·R) or so). Twice
//! the angle of v, weighted alike, tells which way the scratches run. The
//! pressure keeps its direction in
//! space: a leaning machine does not turn with its pad. In Pa·m/s; times a
//! friction coefficient it is W/m², times a cut rate it is m/s of film.
//! Source: `Preston1927` for the product p·v; plane kinematics.
//! Holds: for any feed; the arm does not move on within one turn (V ≪ Ω·R).
//! Outside: the pattern of single turns shows.
//! Left out: the pad's vibration across the panel, and pressure that changes
//! within a turn.
//! Checked by: its integral against the pad-fixed speed law, and the radial
//! closed form for even pressure.

use lapwing_measure::quantity::Length;

use crate::contact::{Contact, place_in_cell};
use crate::error::{Given, PhysicsError};
use crate::motion::{Motion, Rates};
use crate::pad_grid::PadGrid;
use crate::wide::widest;

/// Positions of the pad centre over one orbit.
const ORBIT_STEPS: u32 = 64;
/// The same on ground with edges and creases, where tables are coarser and many.
const ORBIT_STEPS_BROKEN: u32 = 24;

/// Pressure times speed around the orbit centre.
#[derive(Clone, Debug, PartialEq)]
pub struct Footprint {
    /// Cell means in Pa·m/s around the machine's centre.
    pub rubbing: PadGrid,
    /// Integral of pressure times speed over the plane, in watts for a
    /// friction coefficient of one.
    pub total_w: f64,
    /// Distance from the machine's centre beyond which nothing is touched.
    pub reach_m: f64,
    /// Half the pad diameter in metres.
    pub pad_radius_m: f64,
}

/// Which way the pad scratches around the orbit centre: pressure times speed
/// times the cosine and the sine of twice the angle the pad moves at.
#[derive(Clone, Debug, PartialEq)]
pub struct Grain {
    /// With cos 2θ, Pa·m/s.
    pub lengthwise: PadGrid,
    /// With sin 2θ, Pa·m/s.
    pub slantwise: PadGrid,
}

impl Footprint {
    /// Lays the pressure under a moving pad whose machine stands still.
    ///
    /// # Errors
    /// Refuses a motion out of range ([`Motion::checked`]).
    pub fn of(contact: &Contact, motion: Motion) -> Result<Self, PhysicsError> {
        Self::moved_on(contact, motion, (0.0, 0.0))
    }

    /// Lays the pressure under a moving pad whose machine is moved over the
    /// panel at `feed_m_s`, x and y in m/s.
    ///
    /// # Errors
    /// Refuses a motion out of range and a feed over 10 m/s.
    pub fn moved_on(
        contact: &Contact,
        motion: Motion,
        feed_m_s: (f64, f64),
    ) -> Result<Self, PhysicsError> {
        let rates = checked(motion, feed_m_s)?;
        let [rubbing] = lay(
            contact,
            &rates,
            |pressure_pa, (x, y)| [pressure_pa * (x * x + y * y).sqrt()],
            feed_m_s,
        );
        Ok(Self::scaled(rubbing, contact, &rates, feed_m_s))
    }

    /// The same together with the way it scratches.
    ///
    /// # Errors
    /// As [`Footprint::moved_on`].
    pub fn with_grain(
        contact: &Contact,
        motion: Motion,
        feed_m_s: (f64, f64),
    ) -> Result<(Self, Grain), PhysicsError> {
        let rates = checked(motion, feed_m_s)?;
        let [rubbing, lengthwise, slantwise] = lay(contact, &rates, grain_of, feed_m_s);
        Ok((
            Self::scaled(rubbing, contact, &rates, feed_m_s),
            Grain {
                lengthwise,
                slantwise,
            },
        ))
    }

    fn scaled(
        mut rubbing: PadGrid,
        contact: &Contact,
        rates: &Rates,
        feed_m_s: (f64, f64),
    ) -> Self {
        let force_n = contact.mean_pa * contact.pad.face_m2();
        let total_w = force_n * contact.mean_of(|x, y| rates.mean_with_feed_m_s((x, y), feed_m_s));
        rubbing.rescale_to(total_w);
        Self {
            rubbing,
            total_w,
            reach_m: contact.pad.radius.value + rates.orbit_radius_m,
            pad_radius_m: contact.pad.radius.value,
        }
    }

    /// The same footprint turned end for end about the y axis (x → −x).
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let mut mirrored = self.clone();
        mirrored
            .rubbing
            .values
            .chunks_mut(self.rubbing.cells)
            .for_each(<[f64]>::reverse);
        mirrored
    }
}

fn checked(motion: Motion, feed_m_s: (f64, f64)) -> Result<Rates, PhysicsError> {
    Given {
        place: "speed of the machine over the panel",
        value: feed_m_s.0.hypot(feed_m_s.1),
        unit: "m/s",
        remedy: "An arm moves at 0.01 to 0.15 m/s.",
    }
    .within(0.0, 10.0)?;
    Ok(motion.checked()?.rates())
}

/// Pressure times speed, and with cos 2θ and sin 2θ of the way it goes.
fn grain_of(pressure_pa: f64, (x, y): (f64, f64)) -> [f64; 3] {
    let speed = (x * x + y * y).sqrt();
    // A place that does not move scratches no way.
    let share = pressure_pa / speed.max(f64::MIN_POSITIVE);
    [
        pressure_pa * speed,
        share * (x * x - y * y),
        share * 2.0 * x * y,
    ]
}

/// Pressure times mean speed at a distance from the orbit centre, for even
/// pressure `pressure_pa` under a full pad of `pad_radius`, where the pad
/// always covers the point (distance up to pad radius minus orbit radius).
/// `None` farther out.
#[must_use]
pub fn even_rubbing_pa_m_s(
    pressure_pa: f64,
    motion: Motion,
    pad_radius: Length,
    distance: Length,
) -> Option<f64> {
    let rates = motion.rates();
    let is_always_covered = distance.value <= pad_radius.value - rates.orbit_radius_m;
    is_always_covered.then(|| pressure_pa * rates.mean_on_panel_m_s(distance.value))
}

/// Lays some function of pressure and velocity around the orbit centre,
/// averaged over a turn.
fn lay<const N: usize>(
    contact: &Contact,
    rates: &Rates,
    of: impl Fn(f64, (f64, f64)) -> [f64; N],
    feed_m_s: (f64, f64),
) -> [PadGrid; N] {
    let reach_m = contact.pad.radius.value + rates.orbit_radius_m;
    let mut tables = [(); N].map(|()| PadGrid::covering(reach_m, contact.pressure.cell_m));
    if rates.orbit_radius_m == 0.0 {
        lay_rotary(&mut tables, contact, |x, y| {
            let velocity = rates.velocity_m_s((0.0, 0.0), (x, y), feed_m_s);
            of(contact.pressure_pa(x, y), velocity)
        });
    } else {
        let mut room = [(); N].map(|()| Room::around(&tables[0]));
        let steps = if contact.is_plain() {
            ORBIT_STEPS
        } else {
            ORBIT_STEPS_BROKEN
        };
        for centre in &rates.centres_m(steps) {
            let of_cell = |pressure_pa: f64, place: (f64, f64)| {
                let velocity = rates.velocity_m_s(*centre, place, feed_m_s);
                of(pressure_pa / f64::from(steps), velocity)
            };
            widest(
                #[inline(always)]
                || lay_orbital(&mut room, contact, *centre, of_cell),
            );
        }
        for (table, room) in tables.iter_mut().zip(&room) {
            room.empty_into(table);
        }
    }
    tables
}

/// Means over each cell from many places inside it.
fn lay_rotary<const N: usize>(
    tables: &mut [PadGrid; N],
    contact: &Contact,
    of: impl Fn(f64, f64) -> [f64; N],
) {
    let (cells, cell_m) = (tables[0].cells, tables[0].cell_m);
    for index in 0..cells * cells {
        let centre = (
            tables[0].centre_m(index % cells),
            tables[0].centre_m(index / cells),
        );
        let side = contact.places_in_cell(centre, cell_m);
        let offset = |i: u32| cell_m * place_in_cell(i, side);
        let mut sum = [0.0; N];
        for k in 0..side * side {
            let here = of(centre.0 + offset(k % side), centre.1 + offset(k / side));
            sum.iter_mut().zip(here).for_each(|(s, h)| *s += h);
        }
        let places = f64::from((side * side).max(1));
        for (table, sum) in tables.iter_mut().zip(sum) {
            table.values[index] = sum / places;
        }
    }
}

/// Cells kept beside a table on every side while an orbit is laid.
const BESIDE: usize = 2;

/// A table with room beside it, so that what is laid need not look for the rim.
struct Room {
    wide: usize,
    values: Vec<f64>,
    line: Vec<f64>,
}

impl Room {
    fn around(table: &PadGrid) -> Self {
        let wide = table.cells + 2 * BESIDE;
        Self {
            wide,
            values: vec![0.0; wide * wide],
            line: vec![0.0; wide],
        }
    }

    fn empty_into(&self, table: &mut PadGrid) {
        let rows = self.values.chunks_exact(self.wide).skip(BESIDE);
        for (to, from) in table.values.chunks_exact_mut(table.cells).zip(rows) {
            to.copy_from_slice(&from[BESIDE..BESIDE + to.len()]);
        }
    }
}

/// Sets the pressure table down with its centre at one place of the orbit and
/// shares each of its cells among the four footprint cells it overlaps, so
/// nothing is lost. The cells of both tables are alike, so all are shared alike.
#[inline(always)]
fn lay_orbital<const N: usize>(
    rooms: &mut [Room; N],
    contact: &Contact,
    centre_m: (f64, f64),
    of: impl Fn(f64, (f64, f64)) -> [f64; N],
) {
    let pressure = &contact.pressure;
    let inset = 0.5 * (rooms[0].wide - pressure.cells) as f64;
    let split = |along_m: f64| {
        let at = inset + along_m / pressure.cell_m;
        (at.floor() as usize, at - at.floor())
    };
    let ((column, right), (row, up)) = (split(centre_m.0), split(centre_m.1));
    let cells = pressure.cells;
    for (j, line) in pressure.values.chunks_exact(cells).enumerate() {
        let Some(first) = line.iter().position(|p| *p > 0.0) else {
            continue;
        };
        let last = line.iter().rposition(|p| *p > 0.0).unwrap_or(first);
        let y_m = centre_m.1 + pressure.centre_m(j);
        for (i, pressure_pa) in line.iter().enumerate().take(last + 1).skip(first) {
            let x_m = centre_m.0 + pressure.centre_m(i);
            let values = of(*pressure_pa, (x_m, y_m));
            for (room, value) in rooms.iter_mut().zip(values) {
                room.line[i] = value;
            }
        }
        for room in rooms.iter_mut() {
            let line = &room.line[first..=last];
            for (row, row_share) in [(row + j, 1.0 - up), (row + j + 1, up)] {
                let at = row * room.wide + column + first;
                let (left_share, right_share) = (row_share * (1.0 - right), row_share * right);
                for (to, value) in room.values[at..].iter_mut().zip(line) {
                    *to += left_share * value;
                }
                for (to, value) in room.values[at + 1..].iter_mut().zip(line) {
                    *to += right_share * value;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contact::{Lean, Pad, Surface, Touch, press};
    use lapwing_measure::quantity::{Angle, AngularVelocity, Force};
    use uom::si::angle::degree;
    use uom::si::angular_velocity::revolution_per_minute;
    use uom::si::force::newton;
    use uom::si::length::millimeter;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    fn rpm(value: f64) -> AngularVelocity {
        AngularVelocity::new::<revolution_per_minute>(value)
    }

    fn contact(lean: Lean) -> Contact {
        let touch = Touch {
            force: Force::new::<newton>(40.0),
            lean,
            direction: Angle::new::<degree>(0.0),
        };
        press(
            Pad::of_medium_foam(mm(62.5)),
            touch,
            Surface::default(),
            mm(2.0),
        )
        .expect("a usable touch")
    }

    #[test]
    fn the_total_is_force_times_the_mean_speed_of_the_pad() {
        // K2: 40 N · 6.544985 m/s; K3: 40 N · 2.15628 m/s.
        let rotary = Footprint::of(&contact(Lean::Level), Motion::Rotary { spin: rpm(1500.0) })
            .expect("rotary");
        assert!((rotary.total_w / (40.0 * 6.544_985) - 1.0).abs() < 2e-4);
        let orbital = Motion::RandomOrbital {
            orbit_radius: mm(4.0),
            orbit: rpm(4500.0),
            spin: rpm(300.0),
        };
        let orbital = Footprint::of(&contact(Lean::Level), orbital).expect("orbital");
        assert!((orbital.total_w / (40.0 * 2.156_28) - 1.0).abs() < 2e-4);
        for footprint in [rotary, orbital] {
            assert!((footprint.rubbing.integral() / footprint.total_w - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn the_table_already_holds_the_total_before_it_is_rescaled() {
        let contact = contact(Lean::Eccentricity(0.4));
        for motion in [
            Motion::Rotary { spin: rpm(1500.0) },
            Motion::RandomOrbital {
                orbit_radius: mm(7.5),
                orbit: rpm(4500.0),
                spin: rpm(300.0),
            },
            Motion::ForcedRotation {
                orbit_radius: mm(4.0),
                orbit: rpm(4500.0),
                turns_per_orbit: -0.1,
            },
        ] {
            let rates = motion.rates();
            let total_w = 40.0 * contact.mean_of(|x, y| rates.mean_on_pad_m_s(x.hypot(y)));
            let [table] = lay(&contact, &rates, |p, (x, y)| [p * x.hypot(y)], (0.0, 0.0));
            assert!(
                (table.integral() / total_w - 1.0).abs() < 2e-3,
                "{motion:?}"
            );
        }
    }

    #[test]
    fn even_pressure_follows_the_radial_closed_form() {
        let contact = contact(Lean::Level);
        for motion in [
            Motion::Rotary { spin: rpm(1500.0) },
            Motion::RandomOrbital {
                orbit_radius: mm(7.5),
                orbit: rpm(4500.0),
                spin: rpm(300.0),
            },
            Motion::RandomOrbital {
                orbit_radius: mm(7.5),
                orbit: rpm(4500.0),
                spin: rpm(0.0),
            },
        ] {
            let footprint = Footprint::of(&contact, motion).expect("usable");
            for cell in [8, 15, 25] {
                let middle = footprint.rubbing.cells / 2;
                let x_m = footprint.rubbing.centre_m(middle + cell);
                let y_m = footprint.rubbing.centre_m(middle);
                let here = footprint.rubbing.at(x_m, y_m);
                let law = even_rubbing_pa_m_s(
                    contact.mean_pa,
                    motion,
                    mm(62.5),
                    mm(1e3 * x_m.hypot(y_m)),
                );
                let law = law.expect("always covered");
                assert!(
                    (here / law - 1.0).abs() < 3e-3,
                    "{motion:?} {cell}: {here} {law}"
                );
            }
        }
        assert_eq!(
            even_rubbing_pa_m_s(1.0, Motion::Rotary { spin: rpm(1.0) }, mm(60.0), mm(61.0)),
            None
        );
    }

    #[test]
    fn a_leaning_rotary_rubs_hardest_at_the_loaded_rim() {
        let footprint = Footprint::of(
            &contact(Lean::Eccentricity(0.5)),
            Motion::Rotary { spin: rpm(1500.0) },
        );
        let footprint = footprint.expect("usable");
        // By hand from the touching depth 1.2342 R: pressures as (0.944 + 0.2342) to
        // (0.016 + 0.2342), equally far from the centre.
        let ratio = footprint.rubbing.at(0.059, 0.001) / footprint.rubbing.at(0.001, 0.059);
        assert!((ratio / 4.709 - 1.0).abs() < 0.02, "{ratio}");
        assert_eq!(footprint.rubbing.at(-0.05, 0.0), 0.0);
        assert!(
            footprint.mirrored().rubbing.at(-0.059, 0.001) == footprint.rubbing.at(0.059, 0.001)
        );
    }

    #[test]
    fn the_feed_slows_the_side_that_runs_against_it() {
        // A pad turning from x to y runs against a feed along x at y > 0: the
        // speed there is ω·y − V, on the other side ω·y + V, by hand.
        let spin = rpm(1500.0);
        let moved = Footprint::moved_on(&contact(Lean::Level), Motion::Rotary { spin }, (0.5, 0.0))
            .expect("usable");
        let ratio = moved.rubbing.at(0.001, 0.041) / moved.rubbing.at(0.001, -0.041);
        let (up, down) = (spin.value * 0.041 - 0.5, spin.value * 0.041 + 0.5);
        assert!((ratio / (up / down) - 1.0).abs() < 2e-3, "{ratio}");
    }

    #[test]
    fn a_rotary_scratches_round_its_centre_and_a_stalled_orbital_every_way() {
        let level = contact(Lean::Level);
        let (rubbing, grain) =
            Footprint::with_grain(&level, Motion::Rotary { spin: rpm(1500.0) }, (0.0, 0.0))
                .expect("usable");
        // Beside the centre it moves up and down: cos 2θ = −1; at 45° sin 2θ = −1.
        let at = |table: &PadGrid, x, y| table.at(x, y) / rubbing.rubbing.at(x, y);
        assert!((at(&grain.lengthwise, 0.041, 0.001) + 1.0).abs() < 2e-3);
        assert!((at(&grain.slantwise, 0.031, 0.031) + 1.0).abs() < 2e-3);
        let stalled = Motion::RandomOrbital {
            orbit_radius: mm(4.0),
            orbit: rpm(4500.0),
            spin: rpm(0.0),
        };
        let (rubbing, grain) = Footprint::with_grain(&level, stalled, (0.0, 0.0)).expect("usable");
        assert!(grain.lengthwise.at(0.02, 0.01).abs() < 1e-3 * rubbing.rubbing.at(0.02, 0.01));
    }

    #[test]
    fn an_impossible_motion_is_refused() {
        let racing = Footprint::moved_on(
            &contact(Lean::Level),
            Motion::Rotary { spin: rpm(1500.0) },
            (f64::NAN, 0.0),
        );
        assert!(racing.is_err());
        assert!(Footprint::of(&contact(Lean::Level), Motion::Rotary { spin: rpm(1e9) }).is_err());
    }
}
