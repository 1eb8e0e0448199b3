//! How the abrasive tires while it works, and what a fresh charge brings back.
//!
//! Law: the cut rate falls with the rubbing work w done by one charge of
//! product, k(w) = k∞ + (k0 − k∞)·e^(−w/w0), towards a floor k∞; its mean over
//! a charge that does the work W is k∞ + (k0 − k∞)·(w0/W)·(1 − e^(−W/w0)).
//! w is ∫∫p·v dA dt in joules for a friction coefficient of one. A fresh charge
//! starts again at w = 0. A constant abrasive has k∞ = k0. A pad that loads up
//! loses a stated share of its cut with every section.
//! Source: none found for polishes that break down; the form is assumed
//! ([`PROVENANCE`]). The falling exponential is the simplest with a floor.
//! Holds: as far as a test spot on the car confirms it. Outside: calibrate.
//! Left out: product drying out, product flung off, abrasive caught in the pad.
//! Checked by: four means of the same exponential printed beside it, and by
//! summing the momentary law. The law itself: not validated, no public data
//! found.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::Energy;

use crate::error::{Given, PhysicsError};

/// How sure the falling law is.
pub const PROVENANCE: Provenance = Provenance::Assumed;

/// What a charge of abrasive does over its life.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Abrasive {
    /// Cuts the same to the end.
    Constant {
        /// Cut rate in 1/Pa.
        cut_rate_per_pa: f64,
    },
    /// Breaks down towards a floor.
    Diminishing {
        /// Cut rate of a fresh charge in 1/Pa.
        fresh_per_pa: f64,
        /// Cut rate of a spent charge in 1/Pa.
        spent_per_pa: f64,
        /// Rubbing work after which 63 % of the fall is over.
        fading_work: Energy,
    },
}

impl Abrasive {
    /// Checks the abrasive.
    ///
    /// # Errors
    /// Refuses cut rates outside 0…1e-8 1/Pa, a spent charge that cuts more
    /// than a fresh one, and a fading work that is not positive.
    pub fn checked(self) -> Result<Self, PhysicsError> {
        let rate = |place, value| {
            Given {
                place,
                value,
                unit: "1/Pa",
                remedy: "A medium abrasive is about 4e-12 1/Pa.",
            }
            .within(0.0, 1e-8)
        };
        match self {
            Self::Constant { cut_rate_per_pa } => {
                rate("cut rate", cut_rate_per_pa)?;
            }
            Self::Diminishing {
                fresh_per_pa,
                spent_per_pa,
                fading_work,
            } => {
                rate("cut rate of a fresh charge", fresh_per_pa)?;
                Given {
                    place: "cut rate of a spent charge",
                    value: spent_per_pa,
                    unit: "1/Pa",
                    remedy: "A spent charge cuts no more than a fresh one.",
                }
                .within(0.0, fresh_per_pa)?;
                Given {
                    place: "fading work",
                    value: fading_work.value,
                    unit: "J",
                    remedy: "A pass does some ten thousand joules.",
                }
                .within(1e-3, 1e9)?;
            }
        }
        Ok(self)
    }

    /// Cut rate in 1/Pa after a charge has done some work. Work below zero
    /// counts as none.
    #[must_use]
    pub fn cut_rate_after(&self, work: Energy) -> f64 {
        match *self {
            Self::Constant { cut_rate_per_pa } => cut_rate_per_pa,
            Self::Diminishing {
                fresh_per_pa,
                spent_per_pa,
                fading_work,
            } => {
                let faded = (-(work.value.max(0.0)) / fading_work.value).exp();
                spent_per_pa + (fresh_per_pa - spent_per_pa) * faded
            }
        }
    }

    /// Mean cut rate in 1/Pa over one charge that does the given work.
    #[must_use]
    pub fn mean_cut_rate(&self, work_per_charge: Energy) -> f64 {
        self.mean_cut_j(0.0, work_per_charge.value)
    }

    /// Mean cut rate in 1/Pa while a charge's work grows from one value to
    /// another.
    #[must_use]
    pub fn mean_between(&self, from: Energy, to: Energy) -> f64 {
        self.mean_cut_j(from.value, to.value)
    }

    /// Mean cut rate of each pass in 1/Pa, when every pass does the same work
    /// and fresh product comes after every `passes_per_charge` passes.
    ///
    /// # Errors
    /// Refuses no passes per charge.
    pub fn cut_rate_of_passes(
        &self,
        work_per_pass: Energy,
        passes: u32,
        passes_per_charge: u32,
    ) -> Result<Vec<f64>, PhysicsError> {
        Given {
            place: "passes per charge of product",
            value: f64::from(passes_per_charge),
            unit: "passes",
            remedy: "At least one pass is done with a charge.",
        }
        .within(1.0, 1000.0)?;
        let work_j = work_per_pass.value.max(0.0);
        Ok((0..passes)
            .map(|pass| f64::from(pass % passes_per_charge))
            .map(|done| self.mean_cut_j(done * work_j, (done + 1.0) * work_j))
            .collect())
    }

    fn mean_cut_j(&self, from_j: f64, to_j: f64) -> f64 {
        match *self {
            Self::Constant { cut_rate_per_pa } => cut_rate_per_pa,
            Self::Diminishing {
                fresh_per_pa,
                spent_per_pa,
                fading_work,
            } => {
                let start = (-from_j.max(0.0) / fading_work.value).exp();
                let share = (to_j - from_j).max(0.0) / fading_work.value;
                let mean_faded = if share > 0.0 {
                    -(-share).exp_m1() / share
                } else {
                    1.0
                };
                spent_per_pa + (fresh_per_pa - spent_per_pa) * start * mean_faded
            }
        }
    }
}

/// Share of its cut a pad still has after some sections without cleaning, when
/// it loses `loss_per_section_frac` of what is left with each. Assumed; 0 when
/// the pad is cleaned every section.
///
/// # Errors
/// Refuses losses outside 0 to 0.9 of the cut per section.
pub fn loaded_pad_cut_frac(loss_per_section_frac: f64, sections: u32) -> Result<f64, PhysicsError> {
    let loss = Given {
        place: "cut lost per section to a loading pad",
        value: loss_per_section_frac,
        unit: "of the cut",
        remedy: "0.05 means one twentieth a section.",
    }
    .within(0.0, 0.9)?;
    Ok((1.0 - loss).powi(sections.min(1000) as i32))
}

/// Friction of a loading pad over that of a clean one, after some sections
/// without cleaning, when each adds a share. Assumed, like the cut it loses.
///
/// # Errors
/// Refuses gains outside 0 to 1 of the friction per section.
pub fn loaded_pad_friction_frac(
    gain_per_section_frac: f64,
    sections: u32,
) -> Result<f64, PhysicsError> {
    let gain = Given {
        place: "friction gained per section by a loading pad",
        value: gain_per_section_frac,
        unit: "of the friction",
        remedy: "0.05 means one twentieth a section.",
    }
    .within(0.0, 1.0)?;
    Ok((1.0 + gain).powi(sections.min(1000) as i32))
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::energy::joule;

    fn diminishing() -> Abrasive {
        Abrasive::Diminishing {
            fresh_per_pa: 1.0,
            spent_per_pa: 0.3,
            fading_work: Energy::new::<joule>(60.0),
        }
    }

    #[test]
    fn the_mean_over_a_charge_meets_the_printed_values() {
        // k0 1, k∞ .3, scale 60: T 60, 120, 240, 480.
        for (work, expected) in [
            (60.0, 0.7425),
            (120.0, 0.6026),
            (240.0, 0.4718),
            (480.0, 0.3875),
        ] {
            let mean = diminishing().mean_cut_rate(Energy::new::<joule>(work));
            assert!((mean - expected).abs() < 5.1e-5, "{work}: {mean}");
        }
    }

    #[test]
    fn the_mean_is_the_sum_of_the_momentary_law() {
        let n = 10_000;
        let sum: f64 = (0..n)
            .map(|i| {
                diminishing().cut_rate_after(Energy::new::<joule>(
                    200.0 * (f64::from(i) + 0.5) / f64::from(n),
                ))
            })
            .sum();
        let mean = diminishing().mean_cut_rate(Energy::new::<joule>(200.0));
        assert!((mean - sum / f64::from(n)).abs() < 1e-7);
    }

    #[test]
    fn a_fresh_charge_brings_the_cut_back() {
        let passes = diminishing()
            .cut_rate_of_passes(Energy::new::<joule>(60.0), 4, 2)
            .expect("two a charge");
        assert!(passes[1] < passes[0]);
        assert_eq!((passes[2], passes[3]), (passes[0], passes[1]));
        let together = diminishing().mean_cut_rate(Energy::new::<joule>(120.0));
        assert!((0.5 * (passes[0] + passes[1]) - together).abs() < 1e-12);
        assert!(
            diminishing()
                .cut_rate_of_passes(Energy::new::<joule>(60.0), 4, 0)
                .is_err()
        );
    }

    #[test]
    fn a_constant_abrasive_and_an_unused_charge_do_not_fade() {
        let steady = Abrasive::Constant {
            cut_rate_per_pa: 4e-12,
        };
        assert_eq!(steady.mean_cut_rate(Energy::new::<joule>(1e6)), 4e-12);
        assert_eq!(diminishing().mean_cut_rate(Energy::new::<joule>(0.0)), 1.0);
    }

    #[test]
    fn a_loading_pad_loses_a_share_of_what_is_left() {
        assert!((loaded_pad_cut_frac(0.1, 2).expect("a tenth") - 0.81).abs() < 1e-12);
        assert_eq!(loaded_pad_cut_frac(0.0, 9), Ok(1.0));
        assert!(loaded_pad_cut_frac(1.0, 1).is_err());
        assert!((loaded_pad_friction_frac(0.1, 2).expect("a tenth") - 1.21).abs() < 1e-12);
        assert!(loaded_pad_friction_frac(f64::NAN, 1).is_err());
    }

    #[test]
    fn an_abrasive_that_grows_sharper_is_refused() {
        let odd = Abrasive::Diminishing {
            fresh_per_pa: 1e-12,
            spent_per_pa: 2e-12,
            fading_work: Energy::new::<joule>(1.0),
        };
        assert!(odd.checked().is_err());
        assert!(
            Abrasive::Constant {
                cut_rate_per_pa: f64::NAN
            }
            .checked()
            .is_err()
        );
        assert!(
            Abrasive::Constant {
                cut_rate_per_pa: 4e-12
            }
            .checked()
            .is_ok()
        );
    }
}
