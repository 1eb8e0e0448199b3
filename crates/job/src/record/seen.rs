//! What a trial's readings say by themselves, apart from what was believed
//! before them, so that a belief is never counted twice.
//!
//! Law: precisions add, 1/s² of what is known = 1/s₀² believed + 1/s₁² seen, so
//! s₁⁻² = s⁻² − s₀⁻² and m₁ = (m/s² − m₀/s₀²)·s₁², m the logarithm. The share
//! learnt is 1 − s²/s₀²: the part of the precision that the readings brought.
//! Source: the normal model with known variance, Gelman and others, Bayesian
//! Data Analysis, 3rd ed. 2013, section 2.5 (from memory).
//! Holds: for numbers whose logarithm is about normal. Where the readings left
//! the spread as it was, or widened it, they say nothing.
//! Left out: the shape of what was seen beyond middle and spread.
//! Checked by: there and back with two normals below.

use super::calibration::LogNormal;

/// Share of the precision that readings must have brought for a number to
/// count as learnt: at less, the belief weighs over four times what was read.
pub const LEARNT_FRAC: f64 = 0.2;

/// The widest factor that still says something.
pub const MOST_FACTOR: f64 = 100.0;

/// What a trial's readings say of one number.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Seen {
    /// Nobody wrote it down; what is known stands for it.
    #[default]
    Unsaid,
    /// Nothing: what is known is what was believed.
    Nothing,
    /// So much.
    Said(LogNormal),
}

/// Share of the precision that readings brought, 0 to 1, from the deviations
/// before and after.
#[must_use]
pub fn learnt_frac(before_ln_sd: f64, after_ln_sd: f64) -> f64 {
    (1.0 - (after_ln_sd / before_ln_sd).powi(2)).clamp(0.0, 1.0)
}

impl Seen {
    /// What must have been seen to come from one to the other.
    #[must_use]
    pub fn between(before: LogNormal, after: LogNormal) -> Self {
        let precision = after.ln_sd.powi(-2) - before.ln_sd.powi(-2);
        let said = LogNormal {
            median: ((after.median.ln() * after.ln_sd.powi(-2)
                - before.median.ln() * before.ln_sd.powi(-2))
                / precision)
                .exp(),
            ln_sd: precision.sqrt().recip(),
        };
        let says = precision > 0.0
            && said.median.is_finite()
            && said.median > 0.0
            && said.factor() <= MOST_FACTOR;
        if says {
            Self::Said(said)
        } else {
            Self::Nothing
        }
    }

    /// What counts as seen, beside what a class believes. Where nobody wrote it
    /// down, what is known counts if it is narrower than the class.
    #[must_use]
    pub fn beside(self, known: LogNormal, class: LogNormal) -> Option<LogNormal> {
        match self {
            Self::Said(said) => Some(said),
            Self::Nothing => None,
            Self::Unsaid => {
                Some(known).filter(|k| learnt_frac(class.ln_sd, k.ln_sd) >= LEARNT_FRAC)
            }
        }
    }
}

/// Whether what was seen is worth calling learnt, against a class's belief.
#[must_use]
pub fn is_learnt(seen: LogNormal, class: LogNormal) -> bool {
    let (own, class) = (seen.ln_sd.powi(-2), class.ln_sd.powi(-2));
    own >= LEARNT_FRAC * (own + class)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn normal(median: f64, ln_sd: f64) -> LogNormal {
        LogNormal { median, ln_sd }
    }

    #[test]
    fn what_was_seen_put_back_on_the_belief_gives_what_is_known() {
        // By hand: precisions 25 and 100 give 125; logarithms weigh 1 to 4.
        let before = normal(1.0, 0.2);
        let after = normal((0.8 * 0.5_f64).exp(), 125_f64.sqrt().recip());
        let Seen::Said(said) = Seen::between(before, after) else {
            panic!("the readings said something");
        };
        assert!((said.ln_sd - 0.1).abs() < 1e-12);
        assert!((said.median.ln() - 0.5).abs() < 1e-12);
        assert!((learnt_frac(0.2, after.ln_sd) - 0.8).abs() < 1e-12);
        assert!(is_learnt(said, before));
    }

    #[test]
    fn a_spread_that_stayed_or_grew_was_taught_nothing() {
        for after in [0.35, 0.36, 0.349_99] {
            let seen = Seen::between(normal(4.0, 0.35), normal(4.1, after));
            assert_eq!(seen, Seen::Nothing, "{after}");
            assert_eq!(seen.beside(normal(4.1, after), normal(4.0, 0.35)), None);
        }
        assert_eq!(learnt_frac(0.35, 0.4), 0.0);
    }

    #[test]
    fn a_number_without_its_source_counts_when_it_is_narrower_than_the_class() {
        let class = normal(4.0, 0.35);
        let narrow = normal(4.4, 0.1);
        assert_eq!(Seen::Unsaid.beside(narrow, class), Some(narrow));
        assert_eq!(Seen::Unsaid.beside(class, class), None);
        assert!(!is_learnt(normal(4.0, 0.75), class) && is_learnt(normal(4.0, 0.65), class));
    }
}
