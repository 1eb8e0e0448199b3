//! What the laws refuse, in sentences for a person wearing gloves.
//!
//! Law: none. Every refusal names the place, what came, what is allowed and
//! what to do. Doubtful values are not refused here: they come back as values
//! and the caller adds a caution.
//! Holds: for every entry function of this crate; NaN and infinities are
//! refused on the way in, so they cannot leave.
//! Left out: the place in the user's file; the station that read it adds that.
//! Checked by: the unit tests below.

/// Why a law cannot be applied to what it was given.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PhysicsError {
    /// A number lies outside the range the law holds for.
    #[error("{place}: {came} came in, allowed is {allowed}. {remedy}")]
    OutOfRange {
        /// Which quantity.
        place: &'static str,
        /// What came, with its unit.
        came: String,
        /// The range, with its unit.
        allowed: String,
        /// What to do about it.
        remedy: &'static str,
    },
    /// The pad and the panel have no point in common.
    #[error("contact: the pad lies wholly beside the panel. Move the pad centre onto the panel.")]
    PadBesidePanel,
    /// No pressure the pad can give holds the force where it acts.
    #[error(
        "contact: the force acts outside the part of the pad that lies on the panel, so the pad tips over. \
         Bring the force nearer to the pad centre or the pad farther onto the panel."
    )]
    PadTips,
    /// The same at a place of a path.
    #[error(
        "touch: with the machine at x = {x_mm} mm, y = {y_mm} mm from the lower left corner the force acts outside \
         the part of the pad that lies on the panel, so the pad tips over. Hold the pad level, bring the force \
         nearer to the pad centre, or keep the pad farther on the panel."
    )]
    PadTipsAt {
        /// Along x, rounded to a millimetre.
        x_mm: i64,
        /// Along y.
        y_mm: i64,
    },
    /// A path that nowhere lets the pad touch.
    #[error(
        "touch: the pad never touches the panel, its whole path runs beside the free edges. \
         Move the path onto the panel or take the free edges out."
    )]
    NeverTouches,
    /// A list that must hold something is empty or disordered.
    #[error("{place}: {came}. {remedy}")]
    BadList {
        /// Which list.
        place: &'static str,
        /// What is wrong with it.
        came: String,
        /// What to do about it.
        remedy: &'static str,
    },
}

/// A number to be held against its allowed range.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Given {
    /// Which quantity.
    pub(crate) place: &'static str,
    /// Its value in `unit`.
    pub(crate) value: f64,
    /// The unit the sentence shows.
    pub(crate) unit: &'static str,
    /// What to do when it is out of range.
    pub(crate) remedy: &'static str,
}

impl Given {
    /// The value, when it is a number between `lower` and `upper` inclusive.
    pub(crate) fn within(self, lower: f64, upper: f64) -> Result<f64, PhysicsError> {
        if self.value >= lower && self.value <= upper {
            return Ok(self.value);
        }
        Err(PhysicsError::OutOfRange {
            place: self.place,
            came: format!("{} {}", self.value, self.unit),
            allowed: format!("{lower} to {upper} {}", self.unit),
            remedy: self.remedy,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arm_speed(value: f64) -> Result<f64, PhysicsError> {
        Given {
            place: "arm speed",
            value,
            unit: "m/s",
            remedy: "Use 0.025 m/s for one inch a second.",
        }
        .within(0.001, 1.0)
    }

    #[test]
    fn a_refusal_says_place_value_range_and_remedy() {
        let sentence = arm_speed(25.4)
            .expect_err("25 m/s is no arm speed")
            .to_string();
        assert_eq!(
            sentence,
            "arm speed: 25.4 m/s came in, allowed is 0.001 to 1 m/s. Use 0.025 m/s for one inch a second."
        );
    }

    #[test]
    fn not_a_number_and_infinity_are_refused() {
        assert!(arm_speed(f64::NAN).is_err());
        assert!(arm_speed(f64::INFINITY).is_err());
        assert_eq!(arm_speed(0.025), Ok(0.025));
    }
}
