//! What a step will do: microns, heat and time, from the laws.
//!
//! Law: the pad's pressure field times its rubbing speed, averaged over a
//! turn, swept along the arm's path (Preston removal, k·p·v) and put as heat
//! η·μ·p·v into a layered panel. Both grow in proportion to the machine's speed
//! (the spin of an orbital machine is taken to keep its ratio to the orbit), so
//! one run per machine, pad, arm speed, substrate and section serves every
//! speed, cut rate and friction share.
//! Source: `lapwing_physics` (Preston 1927; Carslaw and Jaeger 1959).
//! Holds: pad flat, section rim insulated (its neighbours are as warm: the
//! cautious side), cross-hatched passes of 50 % overlap.
//! Left out: cooling between sections and steps; water on the panel.
//! Checked by: `validation` (removal and heat tables); here proportionality.

pub mod law;
pub mod step;

use std::collections::BTreeMap;

use lapwing_measure::quantity::{Length, Velocity};
use lapwing_physics::course::Course;
use rayon::prelude::*;
use uom::si::length::meter;
use uom::si::velocity::millimeter_per_second;

use crate::record::InputError;
use crate::record::job::{Job, Substrate};

pub use self::law::{PassLaw, law_of, touch_of};
pub use self::step::{
    StepForecast, StepSetup, cut_rate, friction_share, scratch_depths, step_forecast,
};

/// Arm speeds a person keeps up, in mm/s (common practice: 40 to 80).
pub const ARM_SPEEDS_MM_S: [f64; 2] = [40.0, 60.0];

/// Section edges that are run, as shares of the largest the shop wants.
const SECTION_SHARES: [f64; 5] = [1.0, 0.85, 0.7, 0.5, 0.35];

/// What one run belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LawKey {
    /// Index of the machine in the kit.
    pub machine: usize,
    /// Index of the pad in the kit.
    pub pad: usize,
    /// Index into [`ARM_SPEEDS_MM_S`].
    pub arm: usize,
    /// Under the paint.
    pub substrate: Substrate,
    /// Index of the section edge, 0 the largest.
    pub section: usize,
}

/// Every law the plan may need.
#[derive(Clone, Debug, Default)]
pub struct Forecast {
    laws: BTreeMap<LawKey, PassLaw>,
    edges: Vec<Length>,
}

impl Forecast {
    /// The law for a key, unless its pad does not fit the section.
    #[must_use]
    pub fn law(&self, key: &LawKey) -> Option<&PassLaw> {
        self.laws.get(key)
    }

    /// Index of the section for a panel that would be a square of this edge:
    /// as few sections as its area asks for, then the largest edge that fits.
    #[must_use]
    pub fn section_for(&self, panel_edge: Length) -> usize {
        let largest = self.edges[0];
        let pieces = (panel_edge / largest).value.powi(2).ceil().max(1.0);
        let wanted = panel_edge / pieces.sqrt();
        self.edges
            .iter()
            .position(|edge| *edge <= wanted * 1.0001)
            .unwrap_or(self.edges.len() - 1)
    }

    /// Edge of a section by index.
    #[must_use]
    pub fn edge(&self, section: usize) -> Length {
        self.edges[section]
    }

    /// How many runs were made.
    #[must_use]
    pub fn count(&self) -> usize {
        self.laws.len()
    }
}

/// Arm speed by index.
#[must_use]
pub fn arm_speed(index: usize) -> Velocity {
    Velocity::new::<millimeter_per_second>(ARM_SPEEDS_MM_S[index])
}

/// Runs every machine, pad, arm speed, substrate and section of a job once.
/// `panel_edges` are the edges of its panels as squares; `progress` is called
/// with the share done.
///
/// # Errors
/// Passes on what the laws refuse, with the machine and pad named.
pub fn forecast(
    job: &Job,
    panel_edges: &[Length],
    progress: &(dyn Fn(f64) + Sync),
) -> Result<Forecast, InputError> {
    let edges: Vec<Length> = SECTION_SHARES
        .iter()
        .map(|s| job.wish.section * *s)
        .collect();
    let mut whole = Forecast {
        laws: BTreeMap::new(),
        edges,
    };
    let keys = keys(job, panel_edges, &whole);
    let touches = touches(job, &keys, &whole)?;
    let done = std::sync::atomic::AtomicUsize::new(0);
    let laws: Result<Vec<(LawKey, PassLaw)>, InputError> = keys
        .par_iter()
        .map(|key| {
            let known = &touches[&(key.machine, key.pad, key.arm)];
            let law = law_of(job, key, whole.edges[key.section], known)?;
            let count = done.fetch_add(1, std::sync::atomic::Ordering::Relaxed) + 1;
            progress(count as f64 / keys.len() as f64);
            Ok((*key, law))
        })
        .collect();
    whole.laws = laws?.into_iter().collect();
    Ok(whole)
}

/// How each pad touches on each machine at each arm speed.
fn touches(
    job: &Job,
    keys: &[LawKey],
    whole: &Forecast,
) -> Result<BTreeMap<(usize, usize, usize), Course>, InputError> {
    let first: BTreeMap<(usize, usize, usize), LawKey> = keys
        .iter()
        .map(|key| ((key.machine, key.pad, key.arm), *key))
        .collect();
    first
        .into_par_iter()
        .map(|(tool, key)| Ok((tool, touch_of(job, &key, whole.edges[key.section])?)))
        .collect()
}

fn keys(job: &Job, panel_edges: &[Length], whole: &Forecast) -> Vec<LawKey> {
    let mut needed: Vec<(Substrate, usize)> = job
        .panels
        .iter()
        .zip(panel_edges)
        .map(|(panel, edge)| (panel.substrate, whole.section_for(*edge)))
        .collect();
    needed.sort_unstable();
    needed.dedup();
    let mut keys = Vec::new();
    for (pad_index, pad) in job.kit.pads.iter().enumerate() {
        for machine in &pad.fits {
            for arm in 0..ARM_SPEEDS_MM_S.len() {
                for (substrate, section) in &needed {
                    let edge_m = whole.edges[*section].get::<meter>();
                    if pad.diameter.get::<meter>() <= 0.7 * edge_m {
                        keys.push(LawKey {
                            machine: *machine,
                            pad: pad_index,
                            arm,
                            substrate: *substrate,
                            section: *section,
                        });
                    }
                }
            }
        }
    }
    keys
}
