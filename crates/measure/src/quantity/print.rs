//! Prints quantities for people, in metric or US customary units, rounded to
//! what is asked for or to what the uncertainty justifies.
//!
//! Law: a standard deviation is printed with one digit, or two when the first
//! is a 1, and the value to the same decimal place.
//! Source: ISO/IEC Guide 98-3 (GUM), 7.2.6: at most two digits of an
//! uncertainty; ISO 80000-1, 7.3: thin gaps between groups of three digits
//! from five digits up, and a true minus sign.
//! Holds: for finite values. Outside: "not stated" is printed, never NaN.
//! Left out: exponents; values far from one unit's usual range print long.
//! Checked by: the unit tests below and reading back what was printed.

use uom::si::{
    area::square_meter, force::newton, length::meter, mass::kilogram, pressure::pascal,
    temperature_interval, thermodynamic_temperature, velocity::meter_per_second,
    volume::cubic_meter,
};

use crate::source::Source;

use super::units::{FL_OZ, FT, IN, LB, LBF, PSI};
use super::{
    Area, Force, Length, Mass, Pressure, Temperature, TemperatureDifference, Velocity, Volume,
};

/// Where the digits of an uncertainty are laid down.
pub const SOURCE: Source = Source::Gum2008;

/// The gap between number and unit: it does not break across lines.
const GAP: char = '\u{a0}';
/// The gap between groups of three digits.
const THIN_GAP: char = '\u{202f}';
/// The minus sign that is as wide as a plus.
const MINUS: char = '\u{2212}';
/// What is printed for a value that is not a number.
const NOT_STATED: &str = "not stated";
/// Most digits printed behind the point; a double carries no more.
const MOST_DECIMALS: i32 = 17;

/// The units a person reads.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum UnitSystem {
    /// Micrometres, millimetres, degrees Celsius.
    #[default]
    Metric,
    /// Mils, inches, degrees Fahrenheit.
    UsCustomary,
}

/// How far to round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Digits {
    /// To this many digits that count, at least one.
    Significant(u8),
    /// To this many digits behind the point.
    Decimals(u8),
}

/// A unit to print in: printed = SI / `si_per_unit` − `shift`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// The unit's symbol.
    pub symbol: &'static str,
    /// SI units in one of it.
    pub si_per_unit: f64,
    /// Where the scale's zero lies, in the unit itself.
    pub shift: f64,
}

/// A quantity that can be printed in either system.
pub trait Printed: Copy {
    /// The kind of a deviation of it: a difference, not a place on a scale.
    type Deviation: Copy;
    /// The value in SI units.
    fn si(self) -> f64;
    /// A deviation in SI units.
    fn deviation_si(deviation: Self::Deviation) -> f64;
    /// The unit this value is shown in.
    fn shown(self, system: UnitSystem) -> Shown;
}

/// A length printed as a film build: µm or mil.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Film(pub Length);

/// A length printed as a dimension: mm or in, from 1 m or 2 ft up m or ft.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Dimension(pub Length);

/// A value with its unit, such as "2.7 µm".
#[must_use]
pub fn print<P: Printed>(value: P, system: UnitSystem, digits: Digits) -> String {
    let unit = value.shown(system);
    let number = value.si() / unit.si_per_unit - unit.shift;
    if !number.is_finite() {
        return NOT_STATED.to_owned();
    }
    let decimals = match digits {
        Digits::Decimals(n) => i32::from(n),
        Digits::Significant(n) => decimals_for(number, i32::from(n.max(1))),
    };
    with_unit(&rounded(number, decimals), unit.symbol)
}

/// A value with one standard deviation, such as "2.7 ± 0.8 µm". A deviation
/// that is zero, negative or not a number is not printed; the value then shows
/// three digits.
#[must_use]
pub fn print_with_uncertainty<P: Printed>(
    value: P,
    sd: P::Deviation,
    system: UnitSystem,
) -> String {
    let unit = value.shown(system);
    let number = value.si() / unit.si_per_unit - unit.shift;
    let spread = P::deviation_si(sd) / unit.si_per_unit;
    if !number.is_finite() {
        return NOT_STATED.to_owned();
    }
    if !spread.is_finite() || spread <= 0.0 {
        return print(value, system, Digits::Significant(3));
    }
    let decimals = justified_decimals(spread);
    let text = format!(
        "{}{GAP}±{GAP}{}",
        rounded(number, decimals),
        rounded(spread, decimals)
    );
    with_unit(&text, unit.symbol)
}

/// A value with the ends of its interval, such as "2.7 (2.0 to 3.6) µm",
/// rounded to what a quarter of the interval's width justifies.
#[must_use]
pub fn print_interval<P: Printed>(value: P, lower: P, upper: P, system: UnitSystem) -> String {
    let unit = value.shown(system);
    let [number, low, high] = [value, lower, upper].map(|q| q.si() / unit.si_per_unit - unit.shift);
    if ![number, low, high].iter().all(|v| v.is_finite()) {
        return NOT_STATED.to_owned();
    }
    let spread = (high - low).abs() / 4.0;
    if spread <= 0.0 {
        return print(value, system, Digits::Significant(3));
    }
    let decimals = justified_decimals(spread);
    let [number, low, high] = [number, low, high].map(|v| rounded(v, decimals));
    with_unit(&format!("{number} ({low} to {high})"), unit.symbol)
}

/// A number and its unit with a gap between them.
fn with_unit(number: &str, symbol: &str) -> String {
    format!("{number}{GAP}{symbol}")
}

/// Decimals that show this many digits that count.
fn decimals_for(number: f64, significant: i32) -> i32 {
    // The exponent of the decimal text after rounding, so that 9.99 to two
    // digits is 10 and not 10.0.
    let precision = usize::try_from(significant - 1).unwrap_or(0);
    let text = format!("{number:.precision$e}");
    let exponent = text
        .split_once('e')
        .and_then(|(_, e)| e.parse::<i32>().ok());
    significant - 1 - exponent.unwrap_or(0)
}

/// Decimals that a standard deviation justifies.
fn justified_decimals(spread: f64) -> i32 {
    let leads_with_one = format!("{spread:.1e}").starts_with('1');
    decimals_for(spread, if leads_with_one { 2 } else { 1 })
}

/// A number rounded to so many decimals (negative: tens, hundreds), with thin
/// gaps and a true minus.
fn rounded(number: f64, decimals: i32) -> String {
    let places = usize::try_from(decimals.clamp(0, MOST_DECIMALS)).unwrap_or(0);
    let text = if decimals >= 0 {
        format!("{number:.places$}")
    } else {
        let step: f64 = format!("1e{}", -decimals).parse().unwrap_or(1.0);
        format!("{:.0}", (number / step).round() * step)
    };
    let (is_negative, body) = text
        .strip_prefix('-')
        .map_or((false, text.as_str()), |b| (true, b));
    let is_zero = !body.contains(|c: char| ('1'..='9').contains(&c));
    let (whole, decimals) = body
        .split_once('.')
        .map_or((body, None), |(w, d)| (w, Some(d)));
    let mut out = String::new();
    if is_negative && !is_zero {
        out.push(MINUS);
    }
    out.push_str(&grouped(whole));
    if let Some(decimals) = decimals {
        out.push('.');
        out.push_str(decimals);
    }
    out
}

/// Thin gaps between groups of three, from five digits up.
fn grouped(whole: &str) -> String {
    if whole.len() < 5 {
        return whole.to_owned();
    }
    let mut out = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push(THIN_GAP);
        }
        out.push(digit);
    }
    out
}

const fn unit(symbol: &'static str, si_per_unit: f64) -> Shown {
    Shown {
        symbol,
        si_per_unit,
        shift: 0.0,
    }
}

/// Units of one kind: metric small and large with the limit between them in SI
/// units, then the same for US customary.
type Pair = (Shown, f64, Shown);

/// One unit whatever the size.
const fn always(unit: Shown) -> Pair {
    (unit, f64::INFINITY, unit)
}

macro_rules! printed {
    ($($quantity:ident, $deviation:ident, $si:path, $deviation_si:path, |$this:ident| $inner:expr, $metric:expr, $us:expr;)*) => {$(
        impl Printed for $quantity {
            type Deviation = $deviation;
            fn si(self) -> f64 {
                let $this = self;
                $inner.get::<$si>()
            }
            fn deviation_si(deviation: $deviation) -> f64 {
                deviation.get::<$deviation_si>()
            }
            fn shown(self, system: UnitSystem) -> Shown {
                let (small, limit_si, large) = match system {
                    UnitSystem::Metric => $metric,
                    UnitSystem::UsCustomary => $us,
                };
                if self.si().abs() < limit_si { small } else { large }
            }
        }
    )*};
}

printed! {
    Film, Length, meter, meter, |film| film.0,
        always(unit("µm", 1e-6)), always(unit("mil", 25.4e-6));
    Dimension, Length, meter, meter, |dimension| dimension.0,
        (unit("mm", 1e-3), 1.0, unit("m", 1.0)), (unit("in", IN), 2.0 * FT, unit("ft", FT));
    Velocity, Velocity, meter_per_second, meter_per_second, |speed| speed,
        always(unit("mm/s", 1e-3)), always(unit("in/s", IN));
    Area, Area, square_meter, square_meter, |area| area,
        always(unit("m²", 1.0)), always(unit("ft²", FT * FT));
    Volume, Volume, cubic_meter, cubic_meter, |volume| volume,
        (unit("ml", 1e-6), 1e-3, unit("l", 1e-3)), always(unit("fl oz", FL_OZ));
    Mass, Mass, kilogram, kilogram, |mass| mass,
        (unit("g", 1e-3), 1.0, unit("kg", 1.0)), (unit("oz", LB / 16.0), LB, unit("lb", LB));
    Force, Force, newton, newton, |force| force,
        always(unit("N", 1.0)), always(unit("lbf", LBF));
    Pressure, Pressure, pascal, pascal, |pressure| pressure,
        always(unit("kPa", 1e3)), always(unit("psi", PSI));
    Temperature, TemperatureDifference, thermodynamic_temperature::kelvin, temperature_interval::kelvin, |temperature| temperature,
        always(Shown { symbol: "°C", si_per_unit: 1.0, shift: 273.15 }),
        always(Shown { symbol: "°F", si_per_unit: 5.0 / 9.0, shift: 459.67 });
    TemperatureDifference, TemperatureDifference, temperature_interval::kelvin, temperature_interval::kelvin, |difference| difference,
        always(unit("K", 1.0)), always(unit("°F", 5.0 / 9.0));
}

#[cfg(test)]
mod tests;
