//! What the bench answers, in the units of its JSON keys.
//!
//! Law: none. `removal.mean_um`, `min_um`, `max_um` and `cv` are over the whole
//! section; the `interior_` ones over cells farther than one pad diameter from
//! every rim (the swept area where there is no such cell). Least and most are
//! those of points, not of cells.
//! Holds: a value that cannot be stated is `null`.
//! Checked by: the tests of the station.

use lapwing_measure::Provenance;
use serde::Serialize;

use super::beyond::Beyond;
use super::finish::Finish;
use super::setup::{Origin, Spread};
use super::wearing::AbrasiveLife;
use crate::record::Caution;
use crate::record::job::Units;

/// What a pass does.
#[derive(Clone, Debug, Serialize)]
pub struct BenchResult {
    /// Time from first touch to last, waits included.
    pub time_s: f64,
    /// Length walked with the pad on the panel.
    pub path_m: f64,
    /// What comes off.
    pub removal: Removal,
    /// How warm the surface gets.
    pub heat: Heat,
    /// Depths along both middle lines of the section.
    pub profile: Vec<ProfilePoint>,
    /// The surface over time.
    pub history: Vec<Moment>,
    /// Pressure under the pad, where it presses hardest.
    pub pressure: PadPressure,
    /// The touch along the path, wherever something else lies under the pad.
    pub along_path: Vec<TouchAt>,
    /// Depths and rises at the places asked for.
    pub probes: Vec<Probed>,
    /// How product and pad wear.
    pub abrasive: AbrasiveLife,
    /// What is left for the eye.
    pub finish: Finish,
    /// From when on the figures mean nothing.
    pub beyond: Beyond,
    /// Rubbing speed of the pad.
    pub speed: PadSpeed,
    /// Doubts.
    pub cautions: Vec<Caution>,
    /// Where the numbers come from that the user did not give.
    pub provenance: Vec<Origin>,
    /// Units of words and pictures; the JSON is always in SI.
    #[serde(skip)]
    pub units: Units,
    /// Maps for pictures; not in the JSON.
    #[serde(skip)]
    pub maps: BenchMaps,
}

impl BenchResult {
    /// Places and depths along one middle line of the section.
    #[must_use]
    pub fn profile_along(&self, axis: &str) -> Vec<(f64, f64)> {
        let points = self.profile.iter().filter(|point| point.axis == axis);
        points.map(|p| (p.across_m, p.removal_um)).collect()
    }
}

/// What comes off.
#[derive(Clone, Debug, Serialize)]
pub struct Removal {
    /// Mean over the whole section.
    pub mean_um: f64,
    /// Mean over the interior.
    pub interior_mean_um: f64,
    /// Interior mean at the lower end of the cut rate's range.
    pub interior_lower_um: f64,
    /// Interior mean at the upper end of the cut rate's range.
    pub interior_upper_um: f64,
    /// Least of any place of the section.
    pub min_um: f64,
    /// Most of any place.
    pub max_um: f64,
    /// Deviation over mean, whole section.
    pub cv: f64,
    /// Least of any place of the interior.
    pub interior_min_um: f64,
    /// Most of any place of the interior.
    pub interior_max_um: f64,
    /// Deviation over mean in the interior.
    pub interior_cv: f64,
    /// Is the interior the swept area because the section is too small?
    pub interior_is_swept_area: bool,
    /// Cut rate used, with its range.
    pub cut_rate_per_pa: Spread,
}

/// A depth on a middle line of the section.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct ProfilePoint {
    /// "x": on the line along x at half the height; "y": along y at half the
    /// width.
    pub axis: &'static str,
    /// From the left rim (x) or the lower rim (y).
    pub across_m: f64,
    /// What comes off there.
    pub removal_um: f64,
}

/// How warm the surface gets.
#[derive(Clone, Debug, Serialize)]
pub struct Heat {
    /// Highest surface temperature.
    pub peak_c: f64,
    /// Highest rise of the outer surface over the start.
    pub peak_rise_k: f64,
    /// The same at the lower end of the friction share's range.
    pub peak_rise_lower_k: Option<f64>,
    /// The same at the upper end.
    pub peak_rise_upper_k: Option<f64>,
    /// Difference to the same pass on a grid twice as coarse.
    pub peak_error_k: Option<f64>,
    /// Where and when.
    pub peak_at: PeakAt,
    /// Highest rise during each pass.
    pub pass_peak_rise_k: Vec<f64>,
    /// Put in by the pad.
    pub energy_in_j: f64,
    /// Still in the panel at the end.
    pub energy_stored_j: f64,
    /// Given to the air.
    pub energy_lost_j: f64,
    /// Put in over the whole time, waits included, in W.
    pub mean_power_w: f64,
    /// What the books are off by, as a share.
    pub energy_balance_frac: f64,
    /// Friction share used, with its range.
    pub friction_share: Spread,
    /// Heat transfer used outside.
    pub convection_outside_w_m2k: f64,
    /// Heat transfer used inside.
    pub convection_inside_w_m2k: f64,
    /// How the heat transfer of a face was worked out; none when it was given.
    pub convection: Vec<FaceLoss>,
    /// How long the surface was hot.
    pub seconds_above: Vec<SecondsAbove>,
    /// Cells and steps.
    pub grid: HeatGrid,
}

/// Where and when the surface was hottest.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct PeakAt {
    /// From the left rim.
    pub x_m: f64,
    /// From the lower rim.
    pub y_m: f64,
    /// From the start.
    pub t_s: f64,
}

/// What takes heat from a face, from the laws.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct FaceLoss {
    /// "outside" or "inside".
    pub face: &'static str,
    /// All parts together.
    pub whole_w_m2k: f64,
    /// Air that rises by itself.
    pub still_air_w_m2k: f64,
    /// What the pad's wind adds, over the whole face.
    pub pad_wind_w_m2k: f64,
    /// Radiation.
    pub radiation_w_m2k: f64,
    /// Temperature of the panel at which the laws were read.
    pub panel_c: f64,
    /// Where the laws come from.
    pub provenance: Provenance,
}

/// How long the surface was above a temperature.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct SecondsAbove {
    /// The temperature.
    pub limit_c: f64,
    /// The longest of any place.
    pub max_s: f64,
    /// That place; nothing where no place got so warm.
    pub at: Option<PlaceOn>,
}

/// A place on the section.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct PlaceOn {
    /// From the left rim.
    pub x_m: f64,
    /// From the lower rim.
    pub y_m: f64,
}

/// A point of the history.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Moment {
    /// From the start.
    pub t_s: f64,
    /// Under the pad's centre; nothing while the pad is off the panel.
    pub under_pad_c: Option<f64>,
    /// Hottest place of the surface.
    pub hottest_c: f64,
}

/// Cells and steps of the heat computation.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct HeatGrid {
    /// Cells along x.
    pub columns: usize,
    /// Cells along y.
    pub rows: usize,
    /// Cells through the depth.
    pub depth_cells: usize,
    /// Length of a step.
    pub step_s: f64,
    /// Steps.
    pub steps: usize,
}

/// Pressure under the pad.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct PadPressure {
    /// Force over the whole face.
    pub mean_kpa: f64,
    /// Highest.
    pub max_kpa: f64,
    /// Touching share of the face.
    pub contact_frac: f64,
    /// Where the force acts off the pad centre, as a share of the radius.
    pub eccentricity_frac: f64,
    /// Tilt of the backing against the panel.
    pub tilt_deg: f64,
    /// How far the touching part reaches in from the loaded rim, in pad radii;
    /// nothing at edges, creases and curves.
    pub touching_depth_radii: Option<f64>,
    /// Deepest compression over the pad's thickness.
    pub compression_frac: f64,
    /// Highest pressure at the softest end of the stiffness's range.
    pub max_lower_kpa: f64,
    /// Highest pressure at its stiffest end.
    pub max_upper_kpa: f64,
    /// Where on the panel, from the left rim.
    pub x_m: f64,
    /// Where, from the lower rim.
    pub y_m: f64,
}

/// The touch at one place of the path.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct TouchAt {
    /// Machine centre from the left rim.
    pub x_m: f64,
    /// From the lower rim.
    pub y_m: f64,
    /// Highest pressure.
    pub max_kpa: f64,
    /// The same over force per whole face.
    pub max_over_mean: f64,
    /// Touching share of the face.
    pub contact_frac: f64,
    /// Where the pressure acts off the pad centre, as a share of the radius.
    pub eccentricity_frac: f64,
}

/// Depth and rises at a place that was asked for.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Probed {
    /// From the left rim.
    pub x_m: f64,
    /// From the lower rim.
    pub y_m: f64,
    /// What comes off.
    pub removal_um: f64,
    /// Highest rise of the surface there over the start.
    pub peak_rise_k: f64,
    /// The rise there at the end.
    pub end_rise_k: f64,
    /// How deep under the surface was asked for as well; 0 is the surface.
    pub depth_um: f64,
    /// The rise at that depth at the end.
    pub depth_end_rise_k: f64,
}

/// Rubbing speed of the pad.
#[derive(Clone, Debug, Serialize)]
pub struct PadSpeed {
    /// Over the face and a turn.
    pub mean_m_s: f64,
    /// Highest of any point at any moment.
    pub max_m_s: f64,
    /// Mean over a turn of points of the pad, from its middle (or the rim of its
    /// hole) outwards.
    pub across_pad: Vec<SpeedAt>,
}

/// Rubbing speed of a point of the pad.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct SpeedAt {
    /// From the pad's middle.
    pub radius_m: f64,
    /// Mean over a turn.
    pub mean_m_s: f64,
}

/// Maps over the section, row by row from the lower rim.
#[derive(Clone, Debug, Default)]
pub struct BenchMaps {
    /// Size of the section in metres.
    pub size_m: (f64, f64),
    /// Columns and rows of the removal map.
    pub removal_cells: (usize, usize),
    /// Depths.
    pub removal_um: Vec<f64>,
    /// Columns and rows of the heat map.
    pub heat_cells: (usize, usize),
    /// Highest surface temperature of each cell.
    pub peak_c: Vec<f64>,
    /// Temperature before the pass.
    pub start_c: f64,
}
