//! The units people may write, and what one of each is in SI units.
//!
//! Law: SI value = (written value + zero shift) · factor.
//! Source: factors of the inch, pound, gallon and pound-force are exact by the
//! 1959 international yard and pound agreement and standard gravity
//! 9.80665 m/s² (NIST SP 811, Appendix B); psi is lbf/in² to ten digits.
//! Holds: for the spellings listed. Outside: refused with the list.
//! Left out: imperial (British) volumes, acceleration in g, weighting other
//! than A for sound.
//! Checked by: the unit tests of [`super::parse`].

use std::f64::consts::PI;

/// One unit in all its spellings, the one to print first.
pub(crate) struct Unit {
    /// Spellings after normalisation: no blanks, dots, carets or brackets.
    pub(crate) spellings: &'static [&'static str],
    /// SI units in one of it.
    pub(crate) factor: f64,
    /// Added to the written number before the factor is applied.
    pub(crate) shift: f64,
}

/// A kind of quantity and the units it is written in.
pub(crate) struct Kind {
    /// What it is, with its article.
    pub(crate) name: &'static str,
    /// A text that is right.
    pub(crate) example: &'static str,
    /// The list of units for a person.
    pub(crate) allowed: &'static str,
    /// Spellings that differ by letter case alone from a unit of another size.
    pub(crate) lookalikes: &'static [&'static str],
    /// Whether people count this in whole numbers (rpm).
    pub(crate) is_counted: bool,
    /// The units.
    pub(crate) units: &'static [Unit],
}

const fn unit(factor: f64, spellings: &'static [&'static str]) -> Unit {
    Unit {
        spellings,
        factor,
        shift: 0.0,
    }
}

macro_rules! kind {
    ($id:ident, $name:literal, $example:literal, $allowed:literal, [$($unit:expr),* $(,)?]) => {
        kind!($id, $name, $example, $allowed, [$($unit),*], [], false);
    };
    ($id:ident, $name:literal, $example:literal, $allowed:literal, [$($unit:expr),* $(,)?], [$($like:literal),*], $counted:literal) => {
        pub(crate) static $id: Kind = Kind {
            name: $name, example: $example, allowed: $allowed,
            lookalikes: &[$($like),*], is_counted: $counted, units: &[$($unit),*],
        };
    };
}

pub(crate) const IN: f64 = 0.0254;
pub(crate) const FT: f64 = 0.3048;
pub(crate) const LB: f64 = 0.453_592_37;
pub(crate) const LBF: f64 = 4.448_221_615_260_5;
pub(crate) const PSI: f64 = 6_894.757_293_168;
const GAL: f64 = 3.785_411_784e-3;
pub(crate) const FL_OZ: f64 = 29.573_529_562_5e-6;
const G0: f64 = 9.806_65;

kind!(
    LENGTH,
    "a length",
    "125 mm",
    "nm, µm, mm, cm, m, mil, in, ft",
    [
        unit(1e-9, &["nm"]),
        unit(1e-6, &["um", "micron", "microns"]),
        unit(
            1e-3,
            &[
                "mm",
                "millimetre",
                "millimetres",
                "millimeter",
                "millimeters"
            ]
        ),
        unit(1e-2, &["cm"]),
        unit(1.0, &["m", "metre", "metres", "meter", "meters"]),
        unit(25.4e-6, &["mil", "mils", "thou"]),
        unit(IN, &["in", "inch", "inches", "\"", "″", "”", "''"]),
        unit(FT, &["ft", "foot", "feet", "'", "′", "’"]),
    ],
    ["Nm", "NM", "nM", "Mm", "mM"],
    false
);

kind!(
    AREA,
    "an area",
    "1.2 m2",
    "mm2, cm2, m2, in2, ft2",
    [
        unit(1e-6, &["mm2", "sqmm"]),
        unit(1e-4, &["cm2", "sqcm"]),
        unit(1.0, &["m2", "sqm"]),
        unit(IN * IN, &["in2", "sqin"]),
        unit(FT * FT, &["ft2", "sqft"]),
    ],
    ["Mm2", "mM2"],
    false
);

kind!(
    VOLUME,
    "a volume",
    "250 ml",
    "ml, cl, l, cm3, m3, fl oz (US), gal (US)",
    [
        unit(1e-6, &["ml", "cm3", "cc"]),
        unit(1e-5, &["cl"]),
        unit(1e-3, &["l", "litre", "litres", "liter", "liters", "ℓ"]),
        unit(1.0, &["m3"]),
        unit(FL_OZ, &["floz", "usfloz"]),
        unit(GAL, &["gal", "gallon", "gallons", "usgal"]),
    ],
    ["Ml"],
    false
);

kind!(
    VELOCITY,
    "a speed",
    "25 mm/s",
    "mm/s, cm/s, m/s, m/min, km/h, in/s, ft/s, ft/min",
    [
        unit(1e-3, &["mm/s", "mms-1"]),
        unit(1e-2, &["cm/s", "cms-1"]),
        unit(1.0, &["m/s", "ms-1"]),
        unit(1.0 / 60.0, &["m/min"]),
        unit(1.0 / 3.6, &["km/h"]),
        unit(IN, &["in/s", "in/sec", "inch/s", "\"/s"]),
        unit(FT, &["ft/s", "ft/sec"]),
        unit(FT / 60.0, &["ft/min"]),
    ],
    ["Mm/s", "mM/s"],
    false
);

kind!(
    TURNING,
    "a turning speed",
    "1500 rpm",
    "rpm, opm, Hz, rad/s",
    [
        unit(
            PI / 30.0,
            &["rpm", "r/min", "rev/min", "1/min", "/min", "min-1", "u/min"]
        ),
        unit(PI / 30.0, &["opm", "orbits/min"]),
        unit(2.0 * PI, &["Hz", "rps", "rev/s"]),
        unit(1.0, &["rad/s"]),
    ],
    ["mHz", "MHz"],
    true
);

kind!(
    TIME,
    "a time",
    "40 s",
    "ms, s, min, h, d",
    [
        unit(1e-3, &["ms"]),
        unit(1.0, &["s", "sec", "secs", "second", "seconds"]),
        unit(60.0, &["min", "mins", "minute", "minutes"]),
        unit(3_600.0, &["h", "hr", "hrs", "hour", "hours"]),
        unit(86_400.0, &["d", "day", "days"]),
    ],
    ["Ms", "mS"],
    false
);

kind!(
    FORCE,
    "a force",
    "40 N",
    "N, kN, lbf, kgf",
    [
        unit(1.0, &["N", "newton", "newtons"]),
        unit(1e3, &["kN"]),
        unit(LBF, &["lbf"]),
        unit(G0, &["kgf"]),
    ]
);

kind!(
    PRESSURE,
    "a pressure",
    "3 kPa",
    "Pa, hPa, kPa, MPa, mbar, bar, psi",
    [
        unit(1.0, &["Pa", "N/m2"]),
        unit(1e2, &["hPa", "mbar"]),
        unit(1e3, &["kPa"]),
        unit(1e6, &["MPa", "N/mm2"]),
        unit(1e5, &["bar"]),
        unit(PSI, &["psi", "lbf/in2"]),
    ],
    ["mPa", "mpa", "Mpa", "Mbar", "MBAR"],
    false
);

kind!(
    TEMPERATURE,
    "a temperature",
    "60 °C",
    "°C, °F, K",
    [
        Unit {
            spellings: &["°C", "C", "degC", "celsius"],
            factor: 1.0,
            shift: 273.15
        },
        Unit {
            spellings: &["°F", "F", "degF", "fahrenheit"],
            factor: 5.0 / 9.0,
            shift: 459.67
        },
        unit(1.0, &["K", "kelvin"]),
    ]
);

kind!(
    TEMPERATURE_DIFFERENCE,
    "a difference of temperatures",
    "3 K",
    "K, °C, °F",
    [
        unit(1.0, &["K", "kelvin", "°C", "C", "degC"]),
        unit(5.0 / 9.0, &["°F", "F", "degF"]),
    ]
);

kind!(
    ANGLE,
    "an angle",
    "1 deg",
    "deg, °, rad",
    [
        unit(PI / 180.0, &["deg", "°", "degree", "degrees"]),
        unit(1.0, &["rad"]),
    ]
);

kind!(
    TORQUE,
    "a turning moment",
    "0.5 N m",
    "N m, N cm, N mm, lbf in, lbf ft",
    [
        unit(1.0, &["Nm"]),
        unit(1e-2, &["Ncm"]),
        unit(1e-3, &["Nmm"]),
        unit(LBF * IN, &["lbfin", "inlbf", "in-lbf", "lbf-in"]),
        unit(LBF * FT, &["lbfft", "ftlbf", "ft-lbf", "lbf-ft"]),
    ],
    ["mNm", "MNm", "nm", "nMm", "NMm"],
    false
);

kind!(
    ENERGY,
    "an energy",
    "20 kJ",
    "J, kJ, MJ, Wh",
    [
        unit(1.0, &["J"]),
        unit(1e3, &["kJ"]),
        unit(1e6, &["MJ"]),
        unit(3600.0, &["Wh"]),
    ],
    ["mJ"],
    false
);

kind!(
    ACCELERATION,
    "an acceleration",
    "4 m/s2",
    "m/s2, mm/s2",
    [
        unit(1.0, &["m/s2", "ms-2", "m/s/s"]),
        unit(1e-3, &["mm/s2"]),
    ],
    ["Mm/s2"],
    false
);

kind!(
    SOUND_LEVEL,
    "a sound level",
    "86 dB(A)",
    "dB, dB(A)",
    [unit(1.0, &["dB", "dBA"])]
);

kind!(
    CUT_RATE,
    "a cut rate",
    "4e-12 1/Pa",
    "1/Pa, 1/MPa, m2/N, mm2/N",
    [
        unit(1.0, &["1/Pa", "/Pa", "Pa-1", "m2/N"]),
        unit(1e-6, &["1/MPa", "/MPa", "MPa-1", "mm2/N"]),
    ],
    ["1/mPa", "/mPa", "mPa-1", "1/mpa", "/mpa", "mpa-1", "Mm2/N"],
    false
);

kind!(
    CONDUCTIVITY,
    "a thermal conductivity",
    "0.2 W/mK",
    "W/mK, W/(m K)",
    [unit(1.0, &["W/mK", "W/m/K", "Wm-1K-1", "W/m°C"]),],
    ["W/Mk", "w/MK", "W/MK", "mW/mK"],
    false
);

kind!(
    DENSITY,
    "a density",
    "1200 kg/m3",
    "kg/m3, g/cm3, g/ml, kg/l",
    [
        unit(1.0, &["kg/m3", "kgm-3", "g/l"]),
        unit(1e3, &["g/cm3", "gcm-3", "g/ml", "kg/l"]),
    ]
);

kind!(
    SPECIFIC_HEAT,
    "a heat capacity",
    "1500 J/kgK",
    "J/kgK, kJ/kgK",
    [
        unit(1.0, &["J/kgK", "J/kg/K", "Jkg-1K-1", "J/kg°C"]),
        unit(1e3, &["kJ/kgK", "kJ/kg/K", "J/gK"]),
    ]
);

kind!(
    HEAT_TRANSFER,
    "a heat transfer coefficient",
    "10 W/m2K",
    "W/m2K",
    [unit(1.0, &["W/m2K", "W/m2/K", "Wm-2K-1", "W/m2°C"]),]
);

kind!(
    MASS,
    "a mass",
    "30 g",
    "mg, g, kg, oz, lb",
    [
        unit(1e-6, &["mg"]),
        unit(1e-3, &["g", "gram", "grams"]),
        unit(1.0, &["kg"]),
        unit(LB / 16.0, &["oz", "ounce", "ounces"]),
        unit(LB, &["lb", "lbs", "pound", "pounds"]),
    ],
    ["Mg"],
    false
);

kind!(
    SHARE,
    "a share",
    "55 %",
    "%, or a bare number from 0 to 1",
    [unit(0.01, &["%", "percent", "pct"]),]
);

/// Kinds a stray unit is looked up in, to say what it measures.
static KINDS: [&Kind; 20] = [
    &LENGTH,
    &AREA,
    &VOLUME,
    &VELOCITY,
    &TURNING,
    &TIME,
    &FORCE,
    &PRESSURE,
    &TEMPERATURE,
    &ANGLE,
    &TORQUE,
    &ENERGY,
    &ACCELERATION,
    &SOUND_LEVEL,
    &CUT_RATE,
    &CONDUCTIVITY,
    &DENSITY,
    &SPECIFIC_HEAT,
    &HEAT_TRANSFER,
    &MASS,
];

impl Kind {
    /// The unit a normalised text names: letter for letter first, then in any
    /// letter case unless that would confuse two sizes.
    pub(crate) fn find(&self, written: &str) -> Option<&'static Unit> {
        let exact = self.units.iter().find(|u| u.spellings.contains(&written));
        if exact.is_some() || self.lookalikes.contains(&written) {
            return exact;
        }
        let lower = written.to_lowercase();
        let is_same = |s: &&str| s.to_lowercase() == lower;
        self.units.iter().find(|u| u.spellings.iter().any(is_same))
    }
}

/// What a unit measures, when some kind knows it letter for letter.
pub(crate) fn measured_by(written: &str) -> Option<&'static str> {
    KINDS
        .iter()
        .find(|kind| kind.units.iter().any(|u| u.spellings.contains(&written)))
        .map(|kind| kind.name)
}

/// A unit without blanks, dots, carets and brackets, superscripts as digits.
pub(crate) fn normalised(unit: &str) -> String {
    let mut out = String::with_capacity(unit.len());
    for c in unit.chars() {
        match c {
            'µ' | 'μ' | 'Μ' => out.push('u'),
            '²' => out.push('2'),
            '³' => out.push('3'),
            '¹' => out.push('1'),
            '⁻' | '\u{2212}' | '\u{2013}' => out.push('-'),
            'º' | '˚' => out.push('°'),
            '℃' => out.push_str("°C"),
            '℉' => out.push_str("°F"),
            '\u{212a}' => out.push('K'),
            '∕' | '⁄' => out.push('/'),
            '·' | '⋅' | '*' | '^' | '.' | '(' | ')' => {}
            c if c.is_whitespace() || super::number::is_blank(c) => {}
            c => out.push(c),
        }
    }
    out
}
