//! What is taken for a pad, an abrasive or a rub that is only named.
//!
//! Law: none. Ranges span a factor to either side of the value.
//! Source: none found for any of them; all are assumed (`Provenance::Assumed`).
//! Foam stiffness spans the range kept from memory, 20 to 200 kPa; cut rates
//! follow from a habit of the trade (2.5 to 3 µm with four passes); friction
//! shares from wet polishing pads (0.2 to 0.6) times the share of heat that a
//! wet or dry pad leaves to the panel (0.6, 0.9).
//! Holds: until a test spot, a gauge or a glossmeter says better.
//! Left out: makers' own grades.
//! Checked by: not validated, no public data found; only their order is tested.

use super::setup::Spread;
use crate::record::job::{AbrasiveClass, PadClass};

/// Factor a class spans to either side.
pub(crate) const CLASS_FACTOR: f64 = 2.0;

/// Cut rate of an abrasive class in 1/Pa on a class of pad; without one, as on
/// the cutting foam the classes are stated for. Bench, trial and plan share it.
pub(crate) fn cut_rate_per_pa(class: AbrasiveClass, pad: Option<PadClass>) -> Spread {
    let on_cutting_foam = match class {
        AbrasiveClass::Finishing => 1e-12,
        AbrasiveClass::Fine => 2e-12,
        AbrasiveClass::Medium => 4e-12,
        AbrasiveClass::Heavy => 1e-11,
    };
    let by_pad = match pad {
        Some(PadClass::FoamFinishing) => 0.6,
        Some(PadClass::FoamPolishing) => 0.8,
        None | Some(PadClass::FoamCutting) => 1.0,
        Some(PadClass::Microfibre | PadClass::Wool) => 1.2,
    };
    spanning(on_cutting_foam * by_pad, CLASS_FACTOR)
}

/// The class whose cut rate lies nearest, as a ratio.
pub(super) fn nearest_class(rate_per_pa: f64, pad: Option<PadClass>) -> AbrasiveClass {
    let away = |class: &AbrasiveClass| {
        let usual = cut_rate_per_pa(*class, pad).value;
        (rate_per_pa / usual).ln().abs()
    };
    AbrasiveClass::WORDS
        .iter()
        .map(|(_, class)| *class)
        .min_by(|a, b| away(a).total_cmp(&away(b)))
        .unwrap_or(AbrasiveClass::Medium)
}

/// Stiffness in kPa and thickness in mm of a pad class.
pub(super) fn pad_bed(class: PadClass) -> (Spread, f64) {
    let (stiffness_kpa, thickness_mm) = match class {
        PadClass::FoamFinishing => (25.0, 25.0),
        PadClass::FoamPolishing => (50.0, 25.0),
        PadClass::FoamCutting => (100.0, 25.0),
        PadClass::Microfibre => (100.0, 15.0),
        PadClass::Wool => (40.0, 20.0),
    };
    (spanning(stiffness_kpa, CLASS_FACTOR), thickness_mm)
}

/// Friction share by how the pad runs.
pub(super) const FRICTION_WORDS: [(&str, Spread); 3] = [
    ("wet", range(0.2, 0.1, 0.3)),
    ("usual", range(0.3, 0.2, 0.45)),
    ("dry", range(0.45, 0.3, 0.6)),
];

/// Root mean square height in nm that an abrasive leaves under a pad; without a
/// pad class as under a polishing foam.
pub(super) fn roughness_nm(abrasive: AbrasiveClass, pad: Option<PadClass>) -> Spread {
    let by_abrasive = match abrasive {
        AbrasiveClass::Finishing => 4.0,
        AbrasiveClass::Fine => 8.0,
        AbrasiveClass::Medium => 15.0,
        AbrasiveClass::Heavy => 30.0,
    };
    let by_pad = match pad {
        Some(PadClass::FoamFinishing) => 0.8,
        None | Some(PadClass::FoamPolishing) => 1.0,
        Some(PadClass::FoamCutting) => 1.25,
        Some(PadClass::Microfibre | PadClass::Wool) => 1.5,
    };
    spanning(by_abrasive * by_pad, 1.5)
}

fn spanning(value: f64, factor: f64) -> Spread {
    range(value, value / factor, value * factor)
}

const fn range(value: f64, lower: f64, upper: f64) -> Spread {
    Spread {
        value,
        lower,
        upper,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rougher_class_cuts_more_and_leaves_more() {
        let classes = AbrasiveClass::WORDS.iter().map(|(_, class)| *class);
        let rates: Vec<f64> = classes
            .clone()
            .map(|c| cut_rate_per_pa(c, None).value)
            .collect();
        let left: Vec<f64> = classes.map(|c| roughness_nm(c, None).value).collect();
        assert!(rates.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(left.windows(2).all(|pair| pair[0] < pair[1]));
        let soft = roughness_nm(AbrasiveClass::Medium, Some(PadClass::FoamFinishing));
        let wool = roughness_nm(AbrasiveClass::Medium, Some(PadClass::Wool));
        assert!(soft.value < wool.value && soft.lower < soft.value && soft.value < soft.upper);
    }

    #[test]
    fn a_cut_rate_finds_its_class_by_ratio() {
        assert_eq!(nearest_class(3.9e-12, None), AbrasiveClass::Medium);
        assert_eq!(nearest_class(1e-15, None), AbrasiveClass::Finishing);
        assert_eq!(nearest_class(1.0, None), AbrasiveClass::Heavy);
        // 2.6e-12 is medium on a soft pad (2.4) and fine on a cutting foam (2 or 4).
        let soft = nearest_class(2.6e-12, Some(PadClass::FoamFinishing));
        assert_eq!(soft, AbrasiveClass::Medium);
        assert_eq!(nearest_class(2.6e-12, None), AbrasiveClass::Fine);
    }

    #[test]
    fn foam_for_cutting_is_stiffer_than_foam_for_finishing() {
        let stiffness = |class| pad_bed(class).0.value;
        assert!(stiffness(PadClass::FoamFinishing) < stiffness(PadClass::FoamPolishing));
        assert!(stiffness(PadClass::FoamPolishing) < stiffness(PadClass::FoamCutting));
    }
}
