//! Lays parallel lines over a section so that they stand evenly.
//!
//! Law: n = ⌈span/s⌉ + 1 lines, actual spacing span/(n − 1), span the section
//! less both margins, s = D·(1 − overlap).
//! A spread pass lays the same lines once before the work, at its own speeds.
//! Source: geometry; a habit of the trade for spreading the product first.
//! Holds: whenever the margin leaves some span. Outside: refused.
//! Left out: a first line along the rim done by hand.
//! Checked by: the rows of the two-foot section (tests of the parent module).

use lapwing_measure::quantity::{Length, Time, Velocity};

use super::{Leg, Section, Stroke};
use crate::error::{Given, PhysicsError};

/// Which way the lines run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    /// Along x.
    X,
    /// Along y.
    Y,
}

/// How near the pad centre comes to the rim of the section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Margin {
    /// The pad stays inside: its centre keeps one pad radius away.
    PadInside,
    /// The pad centre goes to the rim, half the pad beyond it.
    CentreToRim,
    /// The pad centre keeps this distance.
    Inset(Length),
}

/// How a section is to be covered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coverage {
    /// The section.
    pub section: Section,
    /// Half the pad diameter.
    pub pad_radius: Length,
    /// Share of the pad diameter by which neighbouring lines overlap, at least.
    pub overlap_frac: f64,
    /// How near the pad centre comes to the rim.
    pub margin: Margin,
    /// Speed of the pad centre over the panel.
    pub arm_speed: Velocity,
    /// Number of passes, each a full coverage.
    pub passes: u32,
    /// By how much the lines of a pass stand aside from those of the last pass
    /// in the same direction, as a share of the spacing.
    pub shift_frac: f64,
    /// Time with the pad lifted between passes.
    pub wait: Time,
}

/// How the lines of the passes lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// One line through the middle of the section, there and back.
    Line(Along),
    /// Parallel lines, all passes in the same direction.
    Parallel(Along),
    /// Parallel lines, passes in turn along x and along y.
    CrossHatch,
}

impl Way {
    fn along(self, pass: usize) -> Along {
        match self {
            Self::Line(along) | Self::Parallel(along) => along,
            Self::CrossHatch if pass.is_multiple_of(2) => Along::X,
            Self::CrossHatch => Along::Y,
        }
    }

    /// How many earlier passes ran in the direction of this one.
    fn passes_alike(self, pass: usize) -> usize {
        match self {
            Self::CrossHatch => pass / 2,
            Self::Line(_) | Self::Parallel(_) => pass,
        }
    }

    fn lines_m(self, frame: &Frame, along: Along, shift_frac: f64) -> Vec<f64> {
        match self {
            Self::Line(_) => vec![0.5 * frame.size(across(along))],
            Self::Parallel(_) | Self::CrossHatch => frame.lines_across(along, shift_frac),
        }
    }
}

/// A quick pass before the work that spreads the product over the section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpreadPass {
    /// Speed of the pad centre over the panel.
    pub arm_speed: Velocity,
    /// What it does to the paint in the same time, as a share of the work:
    /// the machine's speed while spreading over that at work.
    pub strength_frac: f64,
}

/// Lays all passes, the spread pass first.
pub(crate) fn lay(
    coverage: &Coverage,
    way: Way,
    spread: Option<SpreadPass>,
) -> Result<Stroke, PhysicsError> {
    let frame = Frame::checked(coverage)?;
    let mut walk = Walk::new();
    if let Some(spread) = spread {
        walk.set_pace(spread.checked()?);
        let along = way.along(0);
        walk.cover(&frame, along, &way.lines_m(&frame, along, 0.0));
    }
    walk.set_pace(SpreadPass {
        arm_speed: coverage.arm_speed,
        strength_frac: 1.0,
    });
    let mut lines_per_pass = Vec::new();
    let mut pass_ends_s = Vec::new();
    for pass in 0..coverage.passes as usize {
        let along = way.along(pass);
        let shifts = way.passes_alike(pass) as f64 * coverage.shift_frac;
        let lines_m = way.lines_m(&frame, along, shifts.fract());
        if pass > 0 {
            walk.wait(coverage.wait.value);
        }
        walk.cover(&frame, along, &lines_m);
        lines_per_pass.push(lines_m.len());
        pass_ends_s.push(walk.now_s);
    }
    Ok(Stroke {
        section: coverage.section,
        legs: walk.legs,
        pass_ends_s,
        lines_per_pass,
    })
}

impl SpreadPass {
    fn checked(self) -> Result<Self, PhysicsError> {
        for (place, value, unit, remedy, range) in [
            (
                "arm speed while spreading",
                self.arm_speed.value,
                "m/s",
                "0.15 m/s is usual.",
                (0.001, 1.0),
            ),
            (
                "machine speed while spreading",
                self.strength_frac,
                "of the working speed",
                "Spread at the working speed or slower.",
                (0.0, 1.0),
            ),
        ] {
            Given {
                place,
                value,
                unit,
                remedy,
            }
            .within(range.0, range.1)?;
        }
        Ok(self)
    }
}

fn across(along: Along) -> Along {
    match along {
        Along::X => Along::Y,
        Along::Y => Along::X,
    }
}

/// The part of the section the pad centre may walk in.
struct Frame {
    width_m: f64,
    height_m: f64,
    margin_m: f64,
    widest_spacing_m: f64,
}

impl Frame {
    fn checked(coverage: &Coverage) -> Result<Self, PhysicsError> {
        coverage.section.checked()?;
        let given = |place, value, unit, remedy| Given {
            place,
            value,
            unit,
            remedy,
        };
        let radius_m = given(
            "pad radius",
            coverage.pad_radius.value,
            "m",
            "Pads are 20 to 400 mm across.",
        )
        .within(0.01, 0.2)?;
        let overlap = given(
            "overlap",
            coverage.overlap_frac,
            "of the pad diameter",
            "0.5 is half the pad.",
        )
        .within(0.0, 0.95)?;
        check_pace(coverage)?;
        let (width_m, height_m) = (coverage.section.width.value, coverage.section.height.value);
        let margin_m = match coverage.margin {
            Margin::PadInside => radius_m,
            Margin::CentreToRim => 0.0,
            Margin::Inset(inset) => inset.value,
        };
        given(
            "margin to the rim",
            margin_m,
            "m",
            "Use a smaller pad or a larger section.",
        )
        .within(-0.2, 0.499 * width_m.min(height_m))?;
        Ok(Self {
            width_m,
            height_m,
            margin_m,
            widest_spacing_m: 2.0 * radius_m * (1.0 - overlap),
        })
    }

    fn size(&self, along: Along) -> f64 {
        match along {
            Along::X => self.width_m,
            Along::Y => self.height_m,
        }
    }

    /// Where the lines stand across their direction, from the lower end.
    fn lines_across(&self, along: Along, shift_frac: f64) -> Vec<f64> {
        let span_m = self.size(across(along)) - 2.0 * self.margin_m;
        let gaps = (span_m / self.widest_spacing_m - 1e-9).ceil().max(0.0);
        if gaps == 0.0 {
            return vec![self.margin_m + 0.5 * span_m];
        }
        let spacing_m = span_m / gaps;
        let first_m = self.margin_m + shift_frac * spacing_m;
        let is_shifted = shift_frac > 1e-9;
        let lines = gaps as usize + usize::from(!is_shifted);
        (0..lines)
            .map(|line| first_m + line as f64 * spacing_m)
            .collect()
    }
}

/// Checks speed, passes, shift and wait.
fn check_pace(coverage: &Coverage) -> Result<(), PhysicsError> {
    let given = |place, value, unit, remedy| Given {
        place,
        value,
        unit,
        remedy,
    };
    given(
        "arm speed",
        coverage.arm_speed.value,
        "m/s",
        "One inch a second is 0.0254 m/s.",
    )
    .within(0.001, 1.0)?;
    given(
        "passes",
        f64::from(coverage.passes),
        "passes",
        "Plan again after the first few.",
    )
    .within(1.0, 200.0)?;
    given(
        "shift between passes",
        coverage.shift_frac,
        "of the spacing",
        "0.5 puts lines between lines.",
    )
    .within(0.0, 1.0)?;
    given(
        "wait between passes",
        coverage.wait.value,
        "s",
        "Waits are counted in seconds.",
    )
    .within(0.0, 86_400.0)?;
    Ok(())
}

/// Puts legs one after the other.
struct Walk {
    legs: Vec<Leg>,
    now_s: f64,
    arm_speed_m_s: f64,
    strength_frac: f64,
    at_m: Option<(f64, f64)>,
}

impl Walk {
    fn new() -> Self {
        Self {
            legs: Vec::new(),
            now_s: 0.0,
            arm_speed_m_s: 1.0,
            strength_frac: 1.0,
            at_m: None,
        }
    }

    fn set_pace(&mut self, pace: SpreadPass) {
        self.arm_speed_m_s = pace.arm_speed.value;
        self.strength_frac = pace.strength_frac;
    }

    /// To and fro over the lines, starting at the corner nearest to where the
    /// machine is.
    fn cover(&mut self, frame: &Frame, along: Along, lines_m: &[f64]) {
        let ends_m = (frame.margin_m, frame.size(along) - frame.margin_m);
        let turned = |(a, b): (f64, f64)| match along {
            Along::X => (a, b),
            Along::Y => (b, a),
        };
        let here = self
            .at_m
            .map_or((f64::NEG_INFINITY, f64::NEG_INFINITY), turned);
        let (Some(&lowest), Some(&highest)) = (lines_m.first(), lines_m.last()) else {
            return;
        };
        let starts_far = (here.0 - ends_m.1).abs() < (here.0 - ends_m.0).abs();
        let starts_high = (here.1 - highest).abs() < (here.1 - lowest).abs();
        let mut goes_forward = !starts_far;
        for index in 0..lines_m.len() {
            let line_m = lines_m[if starts_high {
                lines_m.len() - 1 - index
            } else {
                index
            }];
            let (from, to) = if goes_forward {
                ends_m
            } else {
                (ends_m.1, ends_m.0)
            };
            self.go_to(turned((from, line_m)));
            self.go_to(turned((to, line_m)));
            goes_forward = !goes_forward;
        }
    }

    fn go_to(&mut self, to_m: (f64, f64)) {
        let Some(from_m) = self.at_m.replace(to_m) else {
            return;
        };
        let length_m = (to_m.0 - from_m.0).hypot(to_m.1 - from_m.1);
        if length_m < 1e-9 {
            return;
        }
        let lasts_s = length_m / self.arm_speed_m_s;
        self.push(from_m, to_m, lasts_s, self.strength_frac);
    }

    fn wait(&mut self, lasts_s: f64) {
        if let (Some(at_m), true) = (self.at_m, lasts_s > 0.0) {
            self.push(at_m, at_m, lasts_s, 0.0);
        }
    }

    fn push(&mut self, from_m: (f64, f64), to_m: (f64, f64), lasts_s: f64, strength_frac: f64) {
        let end_s = self.now_s + lasts_s;
        self.legs.push(Leg {
            from_m,
            to_m,
            start_s: self.now_s,
            end_s,
            strength_frac,
        });
        self.now_s = end_s;
    }
}
