//! What changed: film gone and gloss won, panel by panel, each with its interval.
//!
//! Law: film by pairs at the same places, as the trial has it; gloss = mean
//! after less mean before, with the interval of two means whose spreads differ
//! (Welch, 95 %).
//! Source: NIST e-Handbook 1.3.5.3 (`Source::NistHandbook`), Satterthwaite 1946.
//! Holds: for readings at the same places with the same gauge, and gloss read
//! at one angle on a wiped panel.
//! Left out: gauges that differ before and after; photographs, which are shown
//! and not measured here.
//! Checked by: the film pairs of the trial, and a gloss example whose interval
//! was worked by hand with the printed t table.

use lapwing_measure::Provenance;
use lapwing_measure::statistics::summary::mean;
use lapwing_measure::statistics::t_test::{Group, welch};
use serde::Serialize;

use crate::trial::pairs::{Removed, needed};

/// A panel before and after.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PanelBeforeAfter {
    /// Our name.
    pub panel: String,
    /// Film at places, µm.
    pub before_um: Vec<f64>,
    /// Film at the same places, in the same order, µm.
    pub after_um: Vec<f64>,
    /// Gloss before, gloss units.
    pub gloss_before: Vec<f64>,
    /// Gloss after, gloss units; other places are allowed.
    pub gloss_after: Vec<f64>,
}

/// A change of gloss.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GlossChange {
    /// Mean before.
    pub before_gu: f64,
    /// Mean after.
    pub after_gu: f64,
    /// After less before.
    pub gained_gu: f64,
    /// 95 % interval of the gain; unknown with a single reading on a side.
    pub interval_gu: Option<(f64, f64)>,
    /// Read off an instrument.
    pub provenance: Provenance,
}

/// What can be said of a panel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PanelProof {
    /// Our name.
    pub panel: String,
    /// Film gone, where there are pairs.
    pub removed_um: Option<Removed>,
    /// Whether that can be told from nothing.
    pub is_detectable: bool,
    /// Whether film seems to have grown, which it cannot: read again.
    pub is_growth: bool,
    /// Pairs that would show 1 µm with this gauge.
    pub pairs_for_1um: Option<usize>,
    /// Gloss, where it was read on both sides.
    pub gloss: Option<GlossChange>,
}

/// What the readings before and after prove. `gauge_um` is the standard
/// deviation of one reading.
#[must_use]
pub fn prove(panels: &[PanelBeforeAfter], gauge_um: f64) -> Vec<PanelProof> {
    panels
        .iter()
        .map(|panel| {
            let removed_um = Removed::of(&panel.before_um, &panel.after_um, gauge_um);
            PanelProof {
                panel: panel.panel.clone(),
                is_detectable: removed_um.is_some_and(|r| r.is_detectable()),
                is_growth: removed_um.is_some_and(|r| r.is_growth()),
                removed_um,
                pairs_for_1um: needed(gauge_um, 1.0),
                gloss: gloss(&panel.gloss_before, &panel.gloss_after),
            }
        })
        .collect()
}

fn gloss(before: &[f64], after: &[f64]) -> Option<GlossChange> {
    let (before_gu, after_gu) = (mean(before).ok()?, mean(after).ok()?);
    let groups = Group::of(after).ok().zip(Group::of(before).ok());
    let test = groups.and_then(|(after, before)| welch(after, before, 0.95).ok());
    Some(GlossChange {
        before_gu,
        after_gu,
        gained_gu: after_gu - before_gu,
        interval_gu: test.map(|t| (t.lower, t.upper)),
        provenance: Provenance::Measured,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn proven(panel: PanelBeforeAfter) -> PanelProof {
        prove(&[panel], 1.0).remove(0)
    }

    #[test]
    fn film_goes_by_pairs_as_in_the_trial() {
        // The first three of the film pairs: 2.8, 3.5, 2.5; mean 2.9333.
        let proof = proven(PanelBeforeAfter {
            before_um: vec![118.2, 121.5, 119.8],
            after_um: vec![115.4, 118.0, 117.3],
            ..PanelBeforeAfter::default()
        });
        let removed = proof.removed_um.expect("pairs");
        assert!((removed.mean - 2.933_333).abs() < 1e-6);
        // s = 0.513160, t(0.975, 2) = 4.303: ±1.2748; by the gauge 1.96·√(2/3).
        assert!((removed.lower_95 - 1.6586).abs() < 1e-3);
        assert!(proof.is_detectable && proof.gloss.is_none());
        assert_eq!(proof.pairs_for_1um, Some(24));
    }

    #[test]
    fn film_that_grew_is_no_proof_of_anything() {
        // Two pairs, −28 and −33: the t interval (13 times 2.5) holds 0, the
        // gauge's (3.09·1·√(2/2)) does not.
        let grown = proven(PanelBeforeAfter {
            before_um: vec![122.0, 117.0],
            after_um: vec![150.0, 150.0],
            ..PanelBeforeAfter::default()
        });
        assert!(grown.is_growth && !grown.is_detectable);
        // Half a micrometre more is the gauge's own scatter.
        let scatter = proven(PanelBeforeAfter {
            before_um: vec![118.0, 118.0],
            after_um: vec![118.5, 118.5],
            ..PanelBeforeAfter::default()
        });
        assert!(!scatter.is_growth);
    }

    #[test]
    fn gloss_gains_with_an_interval_worked_by_hand() {
        // Both sides spread by 1: standard error √(2/3), 4 degrees of freedom,
        // t(0.975, 4) = 2.776: ±2.267.
        let proof = proven(PanelBeforeAfter {
            gloss_before: vec![80.0, 81.0, 82.0],
            gloss_after: vec![90.0, 91.0, 92.0],
            ..PanelBeforeAfter::default()
        });
        let gloss = proof.gloss.expect("gloss");
        assert_eq!((gloss.before_gu, gloss.gained_gu), (81.0, 10.0));
        let (lower, upper) = gloss.interval_gu.expect("an interval");
        assert!((lower - 7.733).abs() < 1e-3 && (upper - 12.267).abs() < 1e-3);
    }

    #[test]
    fn one_reading_a_side_has_no_interval_and_none_no_gloss() {
        let one = proven(PanelBeforeAfter {
            gloss_before: vec![80.0],
            gloss_after: vec![90.0],
            ..PanelBeforeAfter::default()
        });
        assert!(one.gloss.is_some_and(|g| g.interval_gu.is_none()));
        let none = proven(PanelBeforeAfter {
            before_um: vec![100.0],
            ..PanelBeforeAfter::default()
        });
        assert!(none.gloss.is_none() && none.removed_um.is_none() && !none.is_detectable);
    }

    #[test]
    fn places_that_do_not_match_give_no_number() {
        let proof = proven(PanelBeforeAfter {
            before_um: vec![100.0, 101.0],
            after_um: vec![99.0],
            gloss_before: vec![f64::NAN],
            gloss_after: vec![90.0],
            ..PanelBeforeAfter::default()
        });
        assert!(proof.removed_um.is_none() && proof.gloss.is_none());
    }
}
