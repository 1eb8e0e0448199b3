//! Mean, spread and limits of a belief about one number that physics bounds.
//!
//! Law: p(x) = exp(l(x))/∫exp(l), mean = ∫x·p, sd² = ∫(x − mean)²·p, and x_q with
//! ∫p up to x_q = q; l the log density, inside the bounds only.
//! Source: quadrature of ten points in each of 64 panels,
//! [`Source::AbramowitzStegun1964`] table 25.4.
//! Holds: for densities with one hill (normal, cut normal and products of such),
//! which are searched out by zooming. Outside (no number anywhere, bounds the
//! wrong way round): an error.
//! Left out: several hills; infinite bounds, which [`cut_normal`] makes finite.
//! Checked by: closed forms of the cut normal below; scipy's truncnorm live.

use crate::source::Source;

use super::StatisticsError;
use super::error::{finite, share};
use super::quadrature::points;
use super::root;

/// Where points and weights are printed.
pub const SOURCE: Source = Source::AbramowitzStegun1964;

/// Lower than the top by this much counts as nothing: e^−45 is 3e-20.
const NOTHING: f64 = 45.0;

/// Points of one look along the line, and how often it may zoom in.
const LOOK: u32 = 240;
const MOST_LOOKS: u32 = 12;
const PANELS: u32 = 64;
const PER_PANEL: usize = 10;

/// A belief in numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Values below which the shares asked for lie, in their order.
    pub quantiles: Vec<f64>,
}

/// Sums up the density `exp(log_density)` between two bounds. `shares` are the
/// quantiles wanted, each inside 0 to 1.
///
/// # Errors
/// When the bounds are no numbers or the wrong way round, a share is outside 0
/// to 1, or the density is nothing everywhere.
pub fn belief(
    log_density: impl Fn(f64) -> f64,
    (low, high): (f64, f64),
    shares: &[f64],
) -> Result<Belief, StatisticsError> {
    let nothing = StatisticsError::Unrepresentable { what: "belief" };
    if !(low.is_finite() && high.is_finite() && low < high) {
        return Err(nothing);
    }
    let log = |x: f64| {
        let value = log_density(x);
        if value.is_nan() {
            f64::NEG_INFINITY
        } else {
            value
        }
    };
    let (from, to, top) = hill(&log, (low, high)).ok_or(nothing)?;
    let weight = |x: f64| (log(x) - top).exp();
    let nodes: Vec<(f64, f64)> = points(from, to, PANELS)
        .into_iter()
        .map(|(x, w)| (x, w * weight(x)))
        .collect();
    let whole: f64 = nodes.iter().map(|(_, w)| w).sum();
    let mean = finite(
        nodes.iter().map(|(x, w)| x * w).sum::<f64>() / whole,
        "mean",
    )?;
    let variance = nodes
        .iter()
        .map(|(x, w)| w * (x - mean) * (x - mean))
        .sum::<f64>()
        / whole;
    let quantile = |q: &f64| {
        let wanted = share(*q, "share of a belief")? * whole;
        let mut left = wanted;
        // Ten points a panel: the panel that holds the quantile, then inside it.
        let held = nodes.chunks(PER_PANEL).position(|panel| {
            let area: f64 = panel.iter().map(|(_, w)| w).sum();
            let is_here = left <= area;
            if !is_here {
                left -= area;
            }
            is_here
        });
        let width = (to - from) / f64::from(PANELS);
        let at = held.and_then(|k| u32::try_from(k).ok());
        let start = from + width * f64::from(at.unwrap_or(PANELS - 1));
        let area = |x: f64| {
            points(start, x, 1)
                .iter()
                .fold(0.0, |s, (x, w)| s + w * weight(*x))
        };
        Ok(root::of_rising(|x| area(x) - left, start, start + width).unwrap_or(start + width))
    };
    Ok(Belief {
        mean,
        sd: finite(variance.max(0.0).sqrt(), "deviation")?,
        quantiles: shares.iter().map(quantile).collect::<Result<_, _>>()?,
    })
}

/// A normal belief cut off outside the bounds, either of which may be infinite.
///
/// # Errors
/// As [`belief`]; also when the deviation is not above 0.
pub fn cut_normal(
    (mean, sd): (f64, f64),
    (low, high): (f64, f64),
    shares: &[f64],
) -> Result<Belief, StatisticsError> {
    super::error::inside(sd, "deviation", (0.0, f64::INFINITY))?;
    let reach = 40.0 * sd;
    let from = if low.is_finite() {
        low
    } else {
        mean.min(high) - reach
    };
    let to = if high.is_finite() {
        high
    } else {
        mean.max(low) + reach
    };
    belief(|x| -((x - mean) / sd).powi(2) / 2.0, (from, to), shares)
}

/// The stretch where the density is more than nothing, and the log of its top.
fn hill(log: &impl Fn(f64) -> f64, (low, high): (f64, f64)) -> Option<(f64, f64, f64)> {
    let (mut from, mut to) = (low, high);
    let mut top = f64::NEG_INFINITY;
    for _ in 0..MOST_LOOKS {
        let step = (to - from) / f64::from(LOOK);
        let look: Vec<(f64, f64)> = (0..=LOOK)
            .map(|i| from + step * f64::from(i))
            .map(|x| (x, log(x)))
            .collect();
        top = look.iter().map(|(_, l)| *l).fold(top, f64::max);
        if !top.is_finite() {
            return None;
        }
        let stands = |l: f64| l > top - NOTHING;
        let first = look.iter().position(|(_, l)| stands(*l))?;
        let last = look.iter().rposition(|(_, l)| stands(*l))?;
        let before = (from, to);
        from = look[first.saturating_sub(1)].0;
        to = look[(last + 1).min(look.len() - 1)].0;
        if to - from > 0.5 * (before.1 - before.0) {
            break;
        }
    }
    (from < to).then_some((from, to, top))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::quantile::{normal, normal_cdf};

    fn near(came: f64, wanted: f64, within: f64) {
        assert!((came - wanted).abs() <= within, "{came} is not {wanted}");
    }

    // The half normal: mean √(2/π), variance 1 − 2/π, quantile Φ⁻¹((1 + q)/2).
    #[test]
    fn half_a_bell_has_its_closed_form() {
        let half = cut_normal((0.0, 1.0), (0.0, f64::INFINITY), &[0.05, 0.5]).expect("sound");
        let share = 2.0 / std::f64::consts::PI;
        near(half.mean, share.sqrt(), 1e-12);
        near(half.sd, (1.0 - share).sqrt(), 1e-12);
        near(half.quantiles[0], normal(0.525).expect("sound"), 1e-9);
        near(half.quantiles[1], normal(0.75).expect("sound"), 1e-9);
    }

    // Mean m + s·(φ(a) − φ(b))/(Φ(b) − Φ(a)) of a bell cut on both sides.
    #[test]
    fn a_bell_cut_on_both_sides_has_its_closed_form() {
        let (m, s, low, high) = (12.0, 5.0, 4.0, 15.0);
        let cut = cut_normal((m, s), (low, high), &[0.1]).expect("sound");
        let phi = |z: f64| (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
        let (a, b) = ((low - m) / s, (high - m) / s);
        let mass = normal_cdf(b) - normal_cdf(a);
        near(cut.mean, m + s * (phi(a) - phi(b)) / mass, 1e-9);
        let share = (normal_cdf((cut.quantiles[0] - m) / s) - normal_cdf(a)) / mass;
        near(share, 0.1, 1e-9);
    }

    // Far out the tail is an exponential of length s²/d: mean and sd are both that.
    #[test]
    fn far_from_its_bell_a_cut_belief_sits_at_the_bound() {
        let far = cut_normal((-1000.0, 1.0), (0.0, f64::INFINITY), &[0.5]).expect("sound");
        near(far.mean, 1e-3, 3e-9);
        near(far.sd, 1e-3, 3e-9);
        near(far.quantiles[0], 1e-3 * 2.0_f64.ln(), 3e-9);
    }

    #[test]
    fn a_needle_in_a_wide_field_is_found() {
        let needle = cut_normal((777.0, 1e-4), (0.0, 3000.0), &[0.5]);
        let needle = needle.expect("sound");
        near(needle.mean, 777.0, 1e-9);
        near(needle.sd, 1e-4, 1e-10);
    }

    #[test]
    fn bounds_that_leave_nothing_and_nonsense_are_refused() {
        assert!(cut_normal((0.0, 1.0), (2.0, 1.0), &[]).is_err());
        assert!(cut_normal((0.0, 0.0), (0.0, 1.0), &[]).is_err());
        assert!(belief(|_| f64::NAN, (0.0, 1.0), &[]).is_err());
        assert!(cut_normal((0.0, 1.0), (0.0, 1.0), &[1.5]).is_err());
        assert!(cut_normal((f64::NAN, 1.0), (0.0, f64::INFINITY), &[0.5]).is_err());
    }
}
