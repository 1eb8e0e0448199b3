//! How the product tires and the pad loads up over a section, in numbers.
//!
//! Law: see `lapwing_physics::abrasive`: the cut falls with the rubbing work of
//! a charge, k∞ + (k0 − k∞)·e^(−w/w0); a pad that has worked n sections since it
//! was cleaned cuts (1 − loss)ⁿ and rubs (1 + gain)ⁿ of a clean one.
//! Source: none found; all assumed, each number marked in the answer.
//! Holds: as far as a test spot confirms it.
//! Left out: product drying out; loading within a section.
//! Checked by: the closed form of the mean over a charge, through setup files.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::Energy;
use lapwing_physics::abrasive::{
    Abrasive, PROVENANCE, loaded_pad_cut_frac, loaded_pad_friction_frac,
};
use lapwing_physics::course::Course;
use serde::Serialize;
use uom::si::energy::joule;

use super::setup::{Origin, Spread};

/// How product and pad wear.
#[derive(Clone, Copy, Debug)]
pub struct Wearing {
    /// Floor share and fading work; nothing: cuts the same to the end.
    pub breakdown: Option<(f64, Energy)>,
    /// Charges of product for the section.
    pub charges: u32,
    /// The pad's load.
    pub loading: Loading,
}

impl Wearing {
    /// Product that cuts the same to the end, on a clean pad.
    #[must_use]
    pub fn none() -> Self {
        Self {
            breakdown: None,
            charges: 1,
            loading: Loading {
                sections: 0,
                cut_loss_frac: 0.0,
                friction_gain_frac: 0.0,
            },
        }
    }
}

/// A pad that has worked since it was cleaned.
#[derive(Clone, Copy, Debug)]
pub struct Loading {
    /// Sections worked since.
    pub sections: u32,
    /// Share of the cut lost with each.
    pub cut_loss_frac: f64,
    /// Share of friction gained with each.
    pub friction_gain_frac: f64,
}

impl Loading {
    /// Cut and friction over those of a clean pad.
    ///
    /// # Errors
    /// A sentence when a share is out of range.
    pub fn factors(&self) -> Result<(f64, f64), String> {
        let told = |e: lapwing_physics::PhysicsError| e.to_string();
        Ok((
            loaded_pad_cut_frac(self.cut_loss_frac, self.sections).map_err(told)?,
            loaded_pad_friction_frac(self.friction_gain_frac, self.sections).map_err(told)?,
        ))
    }
}

/// The abrasive over the section, for the answer.
#[derive(Clone, Debug, Serialize)]
pub struct AbrasiveLife {
    /// "none" or "diminishing".
    pub breakdown: &'static str,
    /// Share of its cut a spent charge keeps.
    pub floor_frac: f64,
    /// Work after which 63 % of the fall is over; nothing without breakdown.
    pub breakdown_work_j: Option<f64>,
    /// Charges of product.
    pub charges: u32,
    /// Rubbing work of one charge, for a friction coefficient of one.
    pub work_per_charge_j: f64,
    /// Cut rate at the start, loaded pad counted.
    pub first_cut_rate_per_pa: f64,
    /// Mean over the section.
    pub mean_cut_rate_per_pa: f64,
    /// Where a charge ends.
    pub last_cut_rate_per_pa: f64,
    /// Cut of the pad over that of a clean one.
    pub loaded_cut_frac: f64,
    /// Friction of the pad over that of a clean one.
    pub loaded_friction_frac: f64,
    /// Where it comes from.
    pub provenance: Vec<Origin>,
}

impl Wearing {
    /// The abrasive with a fresh cut rate.
    #[must_use]
    pub fn abrasive(&self, fresh_per_pa: f64) -> Abrasive {
        match self.breakdown {
            None => Abrasive::Constant {
                cut_rate_per_pa: fresh_per_pa,
            },
            Some((floor_frac, fading_work)) => Abrasive::Diminishing {
                fresh_per_pa,
                spent_per_pa: floor_frac * fresh_per_pa,
                fading_work,
            },
        }
    }

    /// What became of it along a course; `cut_rate` is that of fresh product
    /// on this pad.
    ///
    /// # Errors
    /// As [`Loading::factors`].
    pub fn told(&self, course: &Course, cut_rate: Spread) -> Result<AbrasiveLife, String> {
        let abrasive = self.abrasive(cut_rate.value);
        let work_per_charge_j = course.total_work_j() / f64::from(self.charges);
        let charge = Energy::new::<joule>(work_per_charge_j);
        let (loaded_cut_frac, loaded_friction_frac) = self.loading.factors()?;
        let origin = |key: &str, value: String| Origin {
            key: format!("abrasive.{key}"),
            value,
            provenance: PROVENANCE,
        };
        let mut provenance = Vec::new();
        if self.breakdown.is_some() {
            provenance.push(origin(
                "breakdown",
                "falls as e^(-work) to a floor".to_owned(),
            ));
        }
        if self.loading.sections > 0 {
            let form = "a fixed share with each section".to_owned();
            provenance.push(Origin {
                provenance: Provenance::Assumed,
                ..origin("loaded_cut_frac", form)
            });
        }
        Ok(AbrasiveLife {
            breakdown: if self.breakdown.is_some() {
                "diminishing"
            } else {
                "none"
            },
            floor_frac: self.breakdown.map_or(1.0, |(floor, _)| floor),
            breakdown_work_j: self.breakdown.map(|(_, work)| work.get::<joule>()),
            charges: self.charges,
            work_per_charge_j,
            first_cut_rate_per_pa: abrasive.cut_rate_after(Energy::new::<joule>(0.0)),
            mean_cut_rate_per_pa: abrasive.mean_cut_rate(charge),
            last_cut_rate_per_pa: abrasive.cut_rate_after(charge),
            loaded_cut_frac,
            loaded_friction_frac,
            provenance,
        })
    }
}
