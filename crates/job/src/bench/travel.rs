//! From the route of a setup to a timed path.
//!
//! Law: see `lapwing_physics::stroke`. On a wide sheet a line runs from where
//! the pad is wholly beside one rim to where it is wholly beside the other,
//! unless the setup says how near the rim it turns.
//! Source: habits of the trade; geometry.
//! Holds: pads whose reach is up to 0.2 m. Outside: the line begins 0.2 m off.
//! Left out: slowing down at turns.
//! Checked by: the tests of the station.

use lapwing_measure::quantity::{Length, Time};
use lapwing_physics::course::{Course, Touchdown};
use lapwing_physics::heat::{FluxFootprint, PadMoment, TimedPath};
use lapwing_physics::stroke::{Margin, Stroke, Way, Waypoint, thinned};
use uom::si::length::{meter, millimeter};
use uom::si::time::second;

use super::setup::{Route, Setup};
use crate::record::{Caution, Part, Said, Sentence};

/// Paths of more points are drawn with fewer, each point within this share of
/// the pad radius of its place.
const MANY_POINTS: usize = 100;
const TOLERANCE_RADII: f64 = 0.002;
/// Farthest start beside the rim, m.
const FARTHEST_M: f64 = 0.2;

pub(super) fn stroke(setup: &Setup, reach_m: f64) -> Result<Stroke, String> {
    let section = setup.panel.section;
    let made = match &setup.route {
        Route::Still(lasts) => {
            Stroke::still(section, (section.width / 2.0, section.height / 2.0), *lasts)
        }
        Route::Lines(lines) => {
            let mut coverage = lines.coverage;
            let is_line = matches!(lines.way, Way::Line(_));
            let goes_on = setup.panel.is_wide && setup.panel.ground.free_sides.is_empty();
            if is_line && goes_on && !lines.has_own_margin {
                coverage.margin = Margin::Inset(Length::new::<meter>(-reach_m.min(FARTHEST_M)));
            }
            Stroke::covering(&coverage, lines.way, lines.spread)
        }
        Route::Points(points) => {
            let within = setup.pad.radius * TOLERANCE_RADII;
            let through = if points.len() > MANY_POINTS {
                Stroke::through(section, &thinned(points, within))
            } else {
                Stroke::through(section, points)
            };
            return through.map_err(|e| format!("stroke.file: {e}"));
        }
    };
    made.map_err(|e| e.to_string())
}

/// Length of the path as it was written, m.
pub(super) fn path_m(setup: &Setup, stroke: &Stroke) -> f64 {
    let Route::Points(points) = &setup.route else {
        return stroke.path_length().get::<meter>();
    };
    let step = |pair: &[Waypoint]| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y);
    let steps = points.windows(2).map(step);
    steps.map(|length| length.get::<meter>()).sum()
}

/// Says so where a path was drawn with fewer points than it was written with.
pub(super) fn doubt(setup: &Setup, stroke: &Stroke) -> Option<Caution> {
    let Route::Points(points) = &setup.route else {
        return None;
    };
    let drawn = stroke.legs().len() + 1;
    let within_mm = (setup.pad.radius * TOLERANCE_RADII).get::<millimeter>();
    (drawn < points.len()).then(|| {
        let parts = [
            Part::Number(points.len() as f64, 0),
            Part::Number(drawn as f64, 0),
            Part::Number(within_mm, 2),
        ];
        Caution::of("stroke.file", Said::new(Sentence::PathThinned, parts))
    })
}

/// The machine's path for the heat, with what the pad does at each of its
/// pieces: weaker while it spreads, lifted where the stroke does not work.
pub(super) fn timed_course(course: &Course) -> Result<TimedPath, String> {
    let mut moments = Vec::new();
    for piece in &course.pieces {
        for (at_s, (x_m, y_m)) in [(piece.start_s, piece.from_m), (piece.end_s, piece.to_m)] {
            let mut moment = PadMoment::at(x_m, y_m);
            moment.footprint = piece.touchdown.unwrap_or(0);
            moment.strength_frac = piece.touchdown.map_or(0.0, |_| piece.strength_frac);
            moments.push((Time::new::<second>(at_s), moment));
        }
    }
    TimedPath::new(&moments).map_err(|e| e.to_string())
}

/// Heat into the panel under every touch of a course.
pub(super) fn fluxes(course: &Course, friction_frac: f64) -> Result<Vec<FluxFootprint>, String> {
    let flux = |touch: &Touchdown| {
        let table = &touch.footprint.rubbing;
        let flux_w_m2: Vec<f64> = table.values.iter().map(|r| r * friction_frac).collect();
        FluxFootprint::new(table.cells, Length::new::<meter>(table.cell_m), &flux_w_m2)
            .map_err(|e| e.to_string())
    };
    course.touchdowns.iter().map(flux).collect()
}
