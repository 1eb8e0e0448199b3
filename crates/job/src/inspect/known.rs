//! What is known of the car before a gauge touches it.
//!
//! Law: none. Holds: for what the job says; a panel it does not name counts as
//! steel under base coat and clear coat.
//! Source: layer builds in [`crate::record::layers`].
//! Left out: where the car was built; one table serves every plant.
//! Checked by: the tests of the module above.

use uom::si::length::micrometer;

use crate::record::job::{Job, Paint, Substrate};
use crate::record::layers::LayerTable;

/// What the readings are judged against.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// Repeatability stated with the gauge, µm.
    pub stated_repeatability_um: Option<f64>,
    /// Layer builds of the paint systems.
    pub layers: LayerTable,
    /// The panels the job names.
    pub panels: Vec<KnownPanel>,
    /// What the others are taken for.
    pub usual: KnownPanel,
}

/// What is known of one panel.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownPanel {
    /// Our name.
    pub name: String,
    /// Under the paint.
    pub substrate: Substrate,
    /// Paint.
    pub paint: Paint,
    /// Whether it is said to be painted again.
    pub is_repainted: bool,
}

impl Default for Known {
    fn default() -> Self {
        Self {
            stated_repeatability_um: None,
            layers: LayerTable::default(),
            panels: Vec::new(),
            usual: KnownPanel {
                name: String::new(),
                substrate: Substrate::Steel,
                paint: Paint::BaseClear,
                is_repainted: false,
            },
        }
    }
}

impl Known {
    /// What a job says.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        let panel = |p: &crate::record::job::Panel| KnownPanel {
            name: p.name.clone(),
            substrate: p.substrate,
            paint: p.paint,
            is_repainted: p.is_repainted,
        };
        Self {
            stated_repeatability_um: job.gauge_repeatability.map(|r| r.get::<micrometer>()),
            layers: job.rules.layers,
            panels: job.panels.iter().map(panel).collect(),
            ..Self::default()
        }
    }

    /// What every panel is, when there is no job.
    #[must_use]
    pub fn all(paint: Paint, substrate: Substrate) -> Self {
        let known = Self::default();
        Self {
            usual: KnownPanel {
                substrate,
                paint,
                ..known.usual.clone()
            },
            ..known
        }
    }

    pub(super) fn panel(&self, name: &str) -> &KnownPanel {
        self.panels
            .iter()
            .find(|p| p.name == name)
            .unwrap_or(&self.usual)
    }
}
