//! Whether an etched mark may be sanded and polished out, or wants repainting.
//!
//! Law: an etch deeper than half a mil on a pearl or metallic clear coat, or
//! deeper than one mil on a solid colour, is repainted; a shallower one may be
//! sanded and polished.
//! Source: [`Source::AcidRainBulletin1992`], a car maker's service bulletin.
//! Holds: for base coat under clear coat, where the depth is known. A gauge
//! cannot see it; it shows only while sanding out a trial place.
//! Left out: the film that is there; the panel's own budget still rules.
//! Checked by: the two depths of the bulletin, at both sides.

use lapwing_measure::Source;
use lapwing_measure::quantity::Length;
use uom::si::length::micrometer;

/// Where the two depths come from.
pub const ETCH_SOURCE: Source = Source::AcidRainBulletin1992;

/// What an etched mark asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EtchRemedy {
    /// May be sanded and polished, inside the panel's budget.
    SandAndPolish,
    /// Too deep: repaint.
    Repaint,
}

/// Deepest etch that may be polished on pearl or metallic paint: half a mil.
const METALLIC_UM: f64 = 12.7;

/// The same on a solid colour: one mil.
const SOLID_UM: f64 = 25.4;

/// What an etch of a depth asks for.
#[must_use]
pub fn etch_remedy(depth: Length, is_metallic: bool) -> EtchRemedy {
    let most_um = if is_metallic { METALLIC_UM } else { SOLID_UM };
    // Half a nanometre of slack, so that a depth written as "0.5 mil" counts
    // as half a mil whatever the last binary digit says.
    if depth.get::<micrometer>() > most_um + 5e-4 {
        EtchRemedy::Repaint
    } else {
        EtchRemedy::SandAndPolish
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::length::mil;

    /// B5: 15 µm on metallic is repainted, on solid sanded and polished.
    #[test]
    fn fifteen_micrometres_is_too_deep_on_metallic_only() {
        let depth = Length::new::<micrometer>(15.0);
        assert_eq!(etch_remedy(depth, true), EtchRemedy::Repaint);
        assert_eq!(etch_remedy(depth, false), EtchRemedy::SandAndPolish);
    }

    #[test]
    fn the_printed_depths_themselves_may_still_be_polished() {
        assert_eq!(
            etch_remedy(Length::new::<mil>(0.5), true),
            EtchRemedy::SandAndPolish
        );
        assert_eq!(
            etch_remedy(Length::new::<mil>(1.0), false),
            EtchRemedy::SandAndPolish
        );
        assert_eq!(
            etch_remedy(Length::new::<mil>(1.1), false),
            EtchRemedy::Repaint
        );
    }
}
