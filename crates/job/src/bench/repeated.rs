//! The same pass over and over: what one takes off, and how warm the surface
//! is after each.
//!
//! Law: removal as in `removal`, for a cut rate of 1e-12 1/Pa; heat as in
//! `heat`, for a friction share of 1, so that both serve every cut rate and
//! every share by multiplication.
//! Source: `Source::Preston1927`, `Source::CarslawJaeger1959`.
//! Holds: routes made of passes; all passes in one go, without a pause. A panel
//! that does not start at air temperature is taken to.
//! Outside: refused with a sentence.
//! Left out: cooling between sets.
//! Checked by: the bench itself, in the tests of the trial.

use lapwing_physics::course::Course;
use lapwing_physics::heat::HeatWatch;
use lapwing_physics::removal::{MapGrid, map_course};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::setup::{Route, Setup, Spread};
use super::{heat, touching, travel};
use crate::record::InputError;

/// Cut rate the removal is kept for, 1/Pa.
const UNIT_CUT_RATE: f64 = 1e-12;

/// Cells along a side of the removal map; its mean does not depend on them.
const CELLS: usize = 81;

/// One pass of a setup, and many.
#[derive(Clone, Debug, PartialEq)]
pub struct Repeated {
    /// Passes the setup asks for.
    pub passes: u32,
    /// Interior mean of one pass, µm for 1e-12 1/Pa.
    pub pass_um: f64,
    /// Highest place of the interior over its mean.
    pub most_over_mean: f64,
    /// Lowest place of the interior over its mean.
    pub least_over_mean: f64,
    /// Deviation over mean in the interior.
    pub uneven_frac: f64,
    /// Path time of one pass.
    pub pass_s: f64,
    /// Highest surface rise up to the end of pass 1, 2, ... for a friction
    /// share of 1.
    pub unit_rise_k: Vec<f64>,
    /// Before the pass.
    pub start_c: f64,
}

/// Works out a pass and its repetitions up to `most_passes`.
///
/// # Errors
/// A sentence when the route has no passes or a law refuses.
pub fn repeated(setup: &Setup, most_passes: u32) -> Result<Repeated, InputError> {
    repeated_knowing(setup, most_passes, None)
}

/// The course of a setup on rough tables, for [`repeated_knowing`].
///
/// # Errors
/// As [`repeated`].
pub(crate) fn known_course(setup: &Setup) -> Result<Course, InputError> {
    travel::stroke(setup, setup.reach_m())
        .and_then(|stroke| touching::rough_course(setup, &stroke))
        .map_err(|sentence| InputError::in_file(setup.file.as_str(), sentence))
}

/// The same with a course of the same machine, pad, hand and arm speed over the
/// same ground, whose touches need not be worked out again.
///
/// # Errors
/// As [`repeated`].
pub(crate) fn repeated_knowing(
    setup: &Setup,
    most_passes: u32,
    known: Option<&Course>,
) -> Result<Repeated, InputError> {
    let refuse = |sentence: String| InputError::in_file(setup.file.as_str(), sentence);
    let Some(passes) = passes_of(&setup.route) else {
        return Err(refuse(
            "a trial needs passes; use the pattern \"cross-hatch\" or \"parallel\".".to_owned(),
        ));
    };
    let stroke = travel::stroke(setup, setup.reach_m()).map_err(refuse)?;
    let course = touching::course(setup, &stroke, known).map_err(refuse)?;
    let grid = MapGrid {
        columns: CELLS,
        rows: CELLS,
    };
    let taken = map_course(&course, UNIT_CUT_RATE, grid).map_err(|e| refuse(e.to_string()))?;
    Ok(Repeated {
        passes,
        pass_um: taken.interior.mean_um / f64::from(passes),
        most_over_mean: taken.interior.max_um / taken.interior.mean_um,
        least_over_mean: taken.interior.min_um / taken.interior.mean_um,
        uneven_frac: taken.interior.variation,
        pass_s: stroke.total_time().value / f64::from(passes),
        unit_rise_k: rises(setup, most_passes.max(passes), &course).map_err(refuse)?,
        start_c: setup.panel.start.get::<degree_celsius>(),
    })
}

fn rises(setup: &Setup, passes: u32, known: &Course) -> Result<Vec<f64>, String> {
    let mut long = setup.clone();
    long.friction_frac = Spread::given(1.0);
    long.panel.air = long.panel.start;
    long.above.clear();
    long.route = with_passes(&setup.route, passes);
    let stroke = travel::stroke(&long, long.reach_m())?;
    let course = touching::course(&long, &stroke, Some(known))?;
    let warmed = heat::heat(&long, &course, &stroke, HeatWatch::default())?;
    let mut highest = 0.0_f64;
    Ok(warmed
        .heat
        .pass_peak_rise_k
        .iter()
        .map(|rise_k| {
            highest = highest.max(*rise_k);
            highest
        })
        .collect())
}

fn passes_of(route: &Route) -> Option<u32> {
    match route {
        Route::Lines(lines) => Some(lines.coverage.passes),
        Route::Still(_) | Route::Points(_) => None,
    }
}

fn with_passes(route: &Route, passes: u32) -> Route {
    let mut route = route.clone();
    if let Route::Lines(lines) = &mut route {
        lines.coverage.passes = passes;
    }
    route
}
