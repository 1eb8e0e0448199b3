//! Pressure times rubbing speed, averaged over a turn, at every point under
//! the pad: what grinds and what heats.
//!
//! Law: f(x) = mean over a turn of p(x − c)·|v(x)|, with the pad centre c
//! running round the orbit (c = 0 for a rotary) and v = (Ω−ω)·ẑ×c + ω·ẑ×x the
//! speed of the pad over the panel at x. The pressure keeps its direction in
//! space: a leaning machine does not turn with its pad. In Pa·m/s; times a
//! friction coefficient it is W/m², times a cut rate it is m/s of film.
//! Source: `Preston1927` for the product p·v; plane kinematics.
//! Holds: when the arm moves slowly against the pad's own speed (V ≪ ωR), as
//! hands do. Outside: `removal::straight` has the exact law with feed.
//! Left out: the pad's vibration across the panel, and pressure that changes
//! within a turn.
//! Checked by: its integral against the pad-fixed speed law, and the radial
//! closed form for even pressure.

use std::f64::consts::PI;

use lapwing_measure::quantity::Length;

use crate::contact::{Contact, cell_mean};
use crate::error::PhysicsError;
use crate::motion::{Motion, Rates};
use crate::pad_grid::PadGrid;

/// Positions of the pad centre over one orbit.
const ORBIT_STEPS: u32 = 64;

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

impl Footprint {
    /// Lays the pressure under a moving pad.
    ///
    /// # Errors
    /// Refuses a motion out of range ([`Motion::checked`]).
    pub fn of(contact: &Contact, motion: Motion) -> Result<Self, PhysicsError> {
        let rates = motion.checked()?.rates();
        let total_w = contact.integral_of(|x, y| rates.mean_on_pad_m_s(x.hypot(y)));
        let cell_m = contact.pressure.cell_m;
        let reach_m = contact.pad.radius.value + rates.orbit_radius_m;
        let mut rubbing = PadGrid::covering(reach_m, cell_m);
        if rates.orbit_radius_m == 0.0 {
            lay_rotary(&mut rubbing, contact, &rates);
        } else {
            lay_orbital(&mut rubbing, contact, &rates);
        }
        rubbing.rescale_to(total_w);
        Ok(Self {
            rubbing,
            total_w,
            reach_m,
            pad_radius_m: contact.pad.radius.value,
        })
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

fn lay_rotary(rubbing: &mut PadGrid, contact: &Contact, rates: &Rates) {
    let turn_rad_s = rates.spin_rad_s.abs();
    let cell_m = rubbing.cell_m;
    for j in 0..rubbing.cells {
        for i in 0..rubbing.cells {
            let centre = (rubbing.centre_m(i), rubbing.centre_m(j));
            let places = contact.places_in_cell(centre, cell_m);
            rubbing.values[j * rubbing.cells + i] = cell_mean(places, centre, cell_m, |x, y| {
                contact.pressure_pa(x, y) * turn_rad_s * x.hypot(y)
            });
        }
    }
}

/// Carries the pressure table round the orbit and shares each of its cells
/// among the four footprint cells it overlaps, so nothing is lost.
fn lay_orbital(rubbing: &mut PadGrid, contact: &Contact, rates: &Rates) {
    let pressure = &contact.pressure;
    for step in 0..ORBIT_STEPS {
        let phase = 2.0 * PI * (f64::from(step) + 0.5) / f64::from(ORBIT_STEPS);
        let centre = (
            rates.orbit_radius_m * phase.cos(),
            rates.orbit_radius_m * phase.sin(),
        );
        let relative_rad_s = rates.orbit_rad_s - rates.spin_rad_s;
        for j in 0..pressure.cells {
            for i in 0..pressure.cells {
                let pressure_pa = pressure.values[j * pressure.cells + i];
                if pressure_pa > 0.0 {
                    let x = (
                        centre.0 + pressure.centre_m(i),
                        centre.1 + pressure.centre_m(j),
                    );
                    let speed_m_s = (relative_rad_s * centre.0 + rates.spin_rad_s * x.0)
                        .hypot(relative_rad_s * centre.1 + rates.spin_rad_s * x.1);
                    share_out(rubbing, x, pressure_pa * speed_m_s / f64::from(ORBIT_STEPS));
                }
            }
        }
    }
}

fn share_out(rubbing: &mut PadGrid, (x_m, y_m): (f64, f64), value: f64) {
    let place = |coordinate_m: f64| {
        let cells = (coordinate_m + rubbing.half_side_m()) / rubbing.cell_m - 0.5;
        let lower = cells.floor();
        (lower as isize, cells - lower)
    };
    let ((i, right), (j, up)) = (place(x_m), place(y_m));
    for (row, row_share) in [(j, 1.0 - up), (j + 1, up)] {
        for (column, column_share) in [(i, 1.0 - right), (i + 1, right)] {
            let inside = 0..rubbing.cells as isize;
            if inside.contains(&row) && inside.contains(&column) {
                rubbing.values[row as usize * rubbing.cells + column as usize] +=
                    value * row_share * column_share;
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
            let total_w = contact.integral_of(|x, y| rates.mean_on_pad_m_s(x.hypot(y)));
            let mut table = PadGrid::covering(0.0625 + rates.orbit_radius_m, 0.002);
            if rates.orbit_radius_m == 0.0 {
                lay_rotary(&mut table, &contact, &rates);
            } else {
                lay_orbital(&mut table, &contact, &rates);
            }
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
    fn an_impossible_motion_is_refused() {
        assert!(Footprint::of(&contact(Lean::Level), Motion::Rotary { spin: rpm(1e9) }).is_err());
    }
}
