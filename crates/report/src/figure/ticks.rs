//! Round places on an axis, and numbers written the way people read them.
//!
//! Law: steps of 1, 2 or 5 times a power of ten, the smallest that leaves at
//! most the wished number of steps.
//! Source: Heckbert 1990, "Nice numbers for graph labels", Graphics Gems, p. 61
//! (the idea of 1-2-5 steps; from memory).
//! Holds: for finite ends with low < high; otherwise there are no ticks.
//! Left out: logarithmic and calendar axes.
//! Checked by: cases worked by hand below.

/// The round step that cuts `span` into at most `most` parts; `None` when the
/// span is not a positive number.
pub(crate) fn round_step(span: f64, most: u32) -> Option<f64> {
    if !span.is_finite() || span <= 0.0 || most == 0 {
        return None;
    }
    let rough = span / f64::from(most);
    let power = 10_f64.powi(exponent(rough));
    [1.0, 2.0, 5.0, 10.0]
        .map(|step| step * power)
        .into_iter()
        .find(|step| span / step <= f64::from(most) * (1.0 + 1e-9))
}

/// Every multiple of `step` from `low` to `high`, both included when they are
/// multiples themselves.
pub(crate) fn multiples(low: f64, high: f64, step: f64) -> Vec<f64> {
    let usable = low.is_finite() && high.is_finite() && step > 0.0 && low <= high;
    if !usable || (high - low) / step > 1000.0 {
        return Vec::new();
    }
    let slack = 1e-9;
    let first = (low / step - slack).ceil();
    let last = (high / step + slack).floor();
    let mut ticks = Vec::new();
    let mut k = first;
    while k <= last {
        ticks.push(k * step);
        k += 1.0;
    }
    ticks
}

/// Round ticks between two ends, at most about `most` steps.
pub(crate) fn ticks(low: f64, high: f64, most: u32) -> (Vec<f64>, usize) {
    match round_step(high - low, most) {
        Some(step) => (multiples(low, high, step), decimals(step)),
        None => (Vec::new(), 0),
    }
}

/// How many decimals a step needs: 0.25 needs 2, 20 needs none.
pub(crate) fn decimals(step: f64) -> usize {
    (0..6)
        .find(|&places| {
            let scaled = step * 10_f64.powi(places);
            (scaled - scaled.round()).abs() < 1e-6 * scaled.abs().max(1e-300)
        })
        .map_or(6, |places| usize::try_from(places).unwrap_or(6))
}

/// A number with a true minus sign, thin groups and no minus on zero.
pub(crate) fn written(value: f64, decimals: usize) -> String {
    let plain = format!("{:.decimals$}", value.abs());
    let (whole, rest) = plain
        .split_once('.')
        .map_or((plain.as_str(), String::new()), |(w, r)| {
            (w, format!(".{r}"))
        });
    let mut grouped = String::new();
    for (i, digit) in whole.chars().enumerate() {
        let left = whole.len() - i;
        if i > 0 && left % 3 == 0 && whole.len() > 3 {
            grouped.push('\u{a0}');
        }
        grouped.push(digit);
    }
    let is_zero = plain.chars().all(|c| c == '0' || c == '.');
    let sign = if value < 0.0 && !is_zero {
        "\u{2212}"
    } else {
        ""
    };
    format!("{sign}{grouped}{rest}")
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the logarithm of a finite double lies within ±324"
)]
fn exponent(value: f64) -> i32 {
    value.log10().floor() as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cuts_a_span_into_round_steps() {
        assert_eq!(round_step(100.0, 5), Some(20.0));
        assert_eq!(round_step(2.0, 10), Some(0.2));
        assert_eq!(round_step(45.0, 5), Some(10.0));
        assert_eq!(round_step(0.0, 5), None);
        assert_eq!(round_step(f64::NAN, 5), None);
    }

    #[test]
    fn starts_at_the_first_round_place_inside() {
        let (places, decimals) = ticks(2.36, 6.3, 5);
        assert_eq!(places, [3.0, 4.0, 5.0, 6.0]);
        assert_eq!(decimals, 0);
    }

    #[test]
    fn writes_minus_groups_and_zero() {
        assert_eq!(written(-4300.0, 0), "\u{2212}4\u{a0}300");
        assert_eq!(written(-0.01, 1), "0.0");
        assert_eq!(written(12.345, 2), "12.35");
        assert_eq!(written(999.0, 0), "999");
    }

    #[test]
    fn counts_the_decimals_of_a_step() {
        for (step, expected) in [(0.25, 2), (20.0, 0), (0.2, 1), (0.005, 3)] {
            assert_eq!(decimals(step), expected, "{step}");
        }
    }

    #[test]
    fn an_absurd_number_of_ticks_is_none() {
        assert!(multiples(0.0, 1e9, 1.0).is_empty());
    }
}
