//! Where the machine's centre is, and when.
//!
//! Law: lines stand at even spacing not wider than s = D·(1 − overlap), D the
//! pad diameter, so that the first and the last stand at the start margin;
//! path = lines × line length + steps across; time = path / arm speed + waits.
//! Each pass covers the section once; in cross-hatch the passes alternate
//! between lines along x and lines along y. A pass starts at the corner where
//! the one before ended. A spread pass goes over the same lines first.
//! Source: habit of the trade (the section, the overlap, the alternation);
//! geometry.
//! Holds: for rectangular sections and steady arm speed. Outside: give the
//! path as points with times.
//! Left out: slowing down at the turns, and arcs.
//! Checked by: the three rows of the two-foot section, path and time at four
//! arm speeds.

mod lines;
mod thinned;

use lapwing_measure::quantity::{Length, Time, Velocity};
use uom::si::length::meter;
use uom::si::time::second;

use crate::error::{Given, PhysicsError};
pub use lines::{Along, Coverage, Margin, SpreadPass, Way};
pub use thinned::thinned;

/// A rectangular section; its lower left corner is (0, 0).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Size along x.
    pub width: Length,
    /// Size along y.
    pub height: Length,
}

impl Section {
    pub(crate) fn checked(&self) -> Result<(), PhysicsError> {
        for (place, size) in [
            ("section width", self.width),
            ("section height", self.height),
        ] {
            Given {
                place,
                value: size.value,
                unit: "m",
                remedy: "Sections are usually 0.4 to 0.7 m wide.",
            }
            .within(0.01, 20.0)?;
        }
        Ok(())
    }
}

/// A straight piece of the path, walked at steady speed; or a stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Where it starts, x and y in metres.
    pub from_m: (f64, f64),
    /// Where it ends.
    pub to_m: (f64, f64),
    /// When it starts, in seconds.
    pub start_s: f64,
    /// When it ends.
    pub end_s: f64,
    /// What the pad does there in a given time, as a share of the work: 1 at
    /// work, less while it spreads, 0 while it is lifted.
    pub strength_frac: f64,
}

impl Leg {
    /// Length of the leg in metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        (self.to_m.0 - self.from_m.0).hypot(self.to_m.1 - self.from_m.1)
    }

    /// Is the pad on the panel and turning?
    #[must_use]
    pub fn is_working(&self) -> bool {
        self.strength_frac > 0.0
    }
}

/// Where the machine is at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whereabouts {
    /// Distance from the left rim of the section.
    pub x: Length,
    /// Distance from the lower rim of the section.
    pub y: Length,
    /// Is the pad on the panel and turning?
    pub is_working: bool,
}

/// A timed path over a section.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// The section.
    pub section: Section,
    legs: Vec<Leg>,
    pass_ends_s: Vec<f64>,
    lines_per_pass: Vec<usize>,
}

/// A point of a path given by hand: x, y and the moment it is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waypoint {
    /// Distance from the left rim of the section.
    pub x: Length,
    /// Distance from the lower rim.
    pub y: Length,
    /// Moment, counted from the start.
    pub at: Time,
}

impl Stroke {
    /// A pad that stands still at a point.
    ///
    /// # Errors
    /// Refuses sections and durations out of range.
    pub fn still(
        section: Section,
        (x, y): (Length, Length),
        duration: Time,
    ) -> Result<Self, PhysicsError> {
        let start = Waypoint {
            x,
            y,
            at: Time::new::<second>(0.0),
        };
        Self::through(
            section,
            &[
                start,
                Waypoint {
                    at: duration,
                    ..start
                },
            ],
        )
    }

    /// One line across the section, walked there and back as often as there
    /// are passes. It lies in the middle of the section.
    ///
    /// # Errors
    /// As [`Stroke::parallel`].
    pub fn line(coverage: &Coverage, along: Along) -> Result<Self, PhysicsError> {
        Self::covering(coverage, Way::Line(along), None)
    }

    /// Parallel lines, every pass in the same direction.
    ///
    /// # Errors
    /// Refuses sections too small for the margin, overlaps outside 0…0.95, arm
    /// speeds outside 1 mm/s…1 m/s and more than 200 passes.
    pub fn parallel(coverage: &Coverage, along: Along) -> Result<Self, PhysicsError> {
        Self::covering(coverage, Way::Parallel(along), None)
    }

    /// Parallel lines, passes alternating between along x and along y.
    ///
    /// # Errors
    /// As [`Stroke::parallel`].
    pub fn cross_hatch(coverage: &Coverage) -> Result<Self, PhysicsError> {
        Self::covering(coverage, Way::CrossHatch, None)
    }

    /// Passes that lie as `way` says, after a spread pass if there is one. The
    /// spread pass counts with the first pass.
    ///
    /// # Errors
    /// As [`Stroke::parallel`]; refuses spreading faster than 1 m/s or with a
    /// faster machine than at work.
    pub fn covering(
        coverage: &Coverage,
        way: Way,
        spread: Option<SpreadPass>,
    ) -> Result<Self, PhysicsError> {
        lines::lay(coverage, way, spread)
    }

    /// A path through points given by hand, working all the way.
    ///
    /// # Errors
    /// Refuses fewer than two points, times that do not grow, and points more
    /// than a metre outside the section.
    pub fn through(section: Section, points: &[Waypoint]) -> Result<Self, PhysicsError> {
        section.checked()?;
        if points.len() < 2 {
            return Err(PhysicsError::BadList {
                place: "path",
                came: format!("{} point came in", points.len()),
                remedy: "Give at least two points with their times.",
            });
        }
        let mut legs = Vec::with_capacity(points.len() - 1);
        for point in points {
            for (place, value, size) in [
                ("path point x", point.x.value, section.width.value),
                ("path point y", point.y.value, section.height.value),
            ] {
                Given {
                    place,
                    value,
                    unit: "m",
                    remedy: "Points are counted from the lower left corner.",
                }
                .within(-1.0, size + 1.0)?;
            }
        }
        for pair in points.windows(2) {
            let lasted = pair[1].at.value - pair[0].at.value;
            Given {
                place: "time between path points",
                value: lasted,
                unit: "s",
                remedy: "Times must grow along the path.",
            }
            .within(1e-6, 1e5)?;
            legs.push(Leg {
                from_m: (pair[0].x.value, pair[0].y.value),
                to_m: (pair[1].x.value, pair[1].y.value),
                start_s: pair[0].at.value - points[0].at.value,
                end_s: pair[1].at.value - points[0].at.value,
                strength_frac: 1.0,
            });
        }
        let end_s = legs.last().map_or(0.0, |leg: &Leg| leg.end_s);
        Ok(Self {
            section,
            legs,
            pass_ends_s: vec![end_s],
            lines_per_pass: vec![1],
        })
    }

    /// The straight pieces in order of time.
    #[must_use]
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }

    /// Length walked with the pad on the panel.
    #[must_use]
    pub fn path_length(&self) -> Length {
        Length::new::<meter>(
            self.legs
                .iter()
                .filter(|leg| leg.is_working())
                .map(Leg::length_m)
                .sum(),
        )
    }

    /// Time from first touch to last, waits included.
    #[must_use]
    pub fn total_time(&self) -> Time {
        Time::new::<second>(self.legs.last().map_or(0.0, |leg| leg.end_s))
    }

    /// Time with the pad on the panel.
    #[must_use]
    pub fn working_time(&self) -> Time {
        Time::new::<second>(
            self.legs
                .iter()
                .filter(|leg| leg.is_working())
                .map(|leg| leg.end_s - leg.start_s)
                .sum(),
        )
    }

    /// When each pass ends, in seconds from the start.
    #[must_use]
    pub fn pass_ends_s(&self) -> &[f64] {
        &self.pass_ends_s
    }

    /// Lines of each pass.
    #[must_use]
    pub fn lines_per_pass(&self) -> &[usize] {
        &self.lines_per_pass
    }

    /// Where the machine is at a moment; `None` before the start and after the
    /// end.
    #[must_use]
    pub fn position_at(&self, moment: Time) -> Option<Whereabouts> {
        let t_s = moment.value;
        let index = self.legs.partition_point(|leg| leg.end_s < t_s);
        let leg = self.legs.get(index).filter(|leg| t_s >= leg.start_s)?;
        let share = ((t_s - leg.start_s) / (leg.end_s - leg.start_s)).clamp(0.0, 1.0);
        let between = |from: f64, to: f64| Length::new::<meter>(from + share * (to - from));
        Some(Whereabouts {
            x: between(leg.from_m.0, leg.to_m.0),
            y: between(leg.from_m.1, leg.to_m.1),
            is_working: leg.is_working(),
        })
    }

    /// The same path mirrored about the section's upright middle line.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let width_m = self.section.width.value;
        let mut mirrored = self.clone();
        for leg in &mut mirrored.legs {
            leg.from_m.0 = width_m - leg.from_m.0;
            leg.to_m.0 = width_m - leg.to_m.0;
        }
        mirrored
    }

    /// The same path at another steady arm speed, as a factor on all times.
    ///
    /// # Errors
    /// Refuses factors outside 0.01 to 100.
    pub fn slowed_by(&self, factor: f64) -> Result<Self, PhysicsError> {
        let factor = Given {
            place: "slowing factor",
            value: factor,
            unit: "times",
            remedy: "2 halves the arm speed.",
        }
        .within(0.01, 100.0)?;
        let mut slowed = self.clone();
        for leg in &mut slowed.legs {
            leg.start_s *= factor;
            leg.end_s *= factor;
        }
        slowed.pass_ends_s.iter_mut().for_each(|end| *end *= factor);
        Ok(slowed)
    }
}

/// Time a point rests under a pad in one pass, π·R²/(V·s).
#[must_use]
pub fn dwell_per_pass(pad_radius: Length, arm_speed: Velocity, spacing: Length) -> Time {
    std::f64::consts::PI * pad_radius * pad_radius / (arm_speed * spacing)
}

#[cfg(test)]
mod tests;
