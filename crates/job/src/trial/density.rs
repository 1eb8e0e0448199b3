//! A distribution of one number on an even grid: mean, spread, ends.
//!
//! Law: area by the trapezoid rule, which on a smooth hump that fades to
//! nothing inside the grid is exact to rounding once the step is under one
//! standard deviation; the area up to a node is corrected by the first term of
//! Euler and Maclaurin, −step²·(f'(x) − f'(start))/12.
//! Source: Euler–Maclaurin formula, Abramowitz and Stegun 23.1.30.
//! Holds: for humps that fade inside the grid.
//! Left out: grids of uneven steps.
//! Checked by: the normal distribution, closed form.

use lapwing_measure::Source;

/// Where the area formula is printed.
pub const SOURCE: Source = Source::AbramowitzStegun1964;

/// A normalised distribution on an even grid.
#[derive(Clone, Debug)]
pub struct Density {
    start: f64,
    step: f64,
    height: Vec<f64>,
    area_to: Vec<f64>,
}

impl Density {
    /// From logarithms of heights at `start + i·step`, up to a common factor.
    /// `None` when nothing is left: all heights zero, or not numbers.
    #[must_use]
    pub fn of_logs(start: f64, step: f64, logs: &[f64]) -> Option<Self> {
        let top = logs
            .iter()
            .copied()
            .filter(|l| !l.is_nan())
            .fold(f64::NEG_INFINITY, f64::max);
        if !top.is_finite() || logs.len() < 3 || step <= 0.0 {
            return None;
        }
        let raw: Vec<f64> = logs
            .iter()
            .map(|l| if l.is_nan() { 0.0 } else { (l - top).exp() })
            .collect();
        let area = step * raw.iter().sum::<f64>();
        let height: Vec<f64> = raw.iter().map(|h| h / area).collect();
        let area_to = areas(&height, step);
        Some(Self {
            start,
            step,
            height,
            area_to,
        })
    }

    /// Nodes with their share of the whole.
    pub fn nodes(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.height
            .iter()
            .enumerate()
            .map(|(i, h)| (self.start + i as f64 * self.step, h * self.step))
    }

    /// Mean of a function of the number.
    #[must_use]
    pub fn mean_of(&self, of: impl Fn(f64) -> f64) -> f64 {
        self.nodes().map(|(x, share)| share * of(x)).sum()
    }

    /// Mean.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.mean_of(|x| x)
    }

    /// Standard deviation.
    #[must_use]
    pub fn sd(&self) -> f64 {
        let mean = self.mean();
        self.mean_of(|x| (x - mean) * (x - mean)).max(0.0).sqrt()
    }

    /// The value that the number stays below with a probability.
    #[must_use]
    pub fn quantile(&self, probability_frac: f64) -> f64 {
        let last = self.area_to.len() - 1;
        let wanted = probability_frac.clamp(0.0, 1.0) * self.area_to[last];
        let cell = self.area_to.partition_point(|a| *a < wanted).clamp(1, last) - 1;
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..50 {
            let middle = f64::midpoint(low, high);
            if self.area_inside(cell, middle) < wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        self.start + self.step * (cell as f64 + f64::midpoint(low, high))
    }

    /// Probability that the number is at most `x`.
    #[must_use]
    pub fn probability_to(&self, x: f64) -> f64 {
        let last = self.area_to.len() - 1;
        let at = (x - self.start) / self.step;
        if at <= 0.0 {
            return 0.0;
        }
        if at >= last as f64 {
            return 1.0;
        }
        let cell = at.floor() as usize;
        (self.area_inside(cell, at - cell as f64) / self.area_to[last]).clamp(0.0, 1.0)
    }

    /// Bits learnt against a prior density given as a function.
    #[must_use]
    pub fn bits_over(&self, prior_height: impl Fn(f64) -> f64) -> f64 {
        let bit = |(x, share): (f64, f64)| {
            let (own, before) = (share / self.step, prior_height(x));
            if own > 1e-300 && before > 1e-300 {
                share * (own / before).log2()
            } else {
                0.0
            }
        };
        self.nodes().map(bit).sum::<f64>().max(0.0)
    }

    /// Cubic through both areas and both heights of a cell.
    fn area_inside(&self, cell: usize, t: f64) -> f64 {
        let (a, b) = (self.area_to[cell], self.area_to[cell + 1]);
        let (fa, fb) = (
            self.step * self.height[cell],
            self.step * self.height[cell + 1],
        );
        let (t2, t3) = (t * t, t * t * t);
        (2.0 * t3 - 3.0 * t2 + 1.0) * a
            + (t3 - 2.0 * t2 + t) * fa
            + (3.0 * t2 - 2.0 * t3) * b
            + (t3 - t2) * fb
    }
}

/// Area from the start to every node.
fn areas(height: &[f64], step: f64) -> Vec<f64> {
    let last = height.len() - 1;
    let slope = |i: usize| {
        let (before, after) = (i.saturating_sub(1), (i + 1).min(last));
        (height[after] - height[before]) / (step * (after - before) as f64)
    };
    let first = slope(0);
    let mut sum = 0.0;
    let mut highest = 0.0_f64;
    (0..=last)
        .map(|i| {
            if i > 0 {
                sum += step * f64::midpoint(height[i - 1], height[i]);
            }
            highest = highest.max(sum - step * step / 12.0 * (slope(i) - first));
            highest
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn normal(mean: f64, sd: f64, step: f64) -> Density {
        let start = mean - 9.0 * sd;
        let count = (18.0 * sd / step) as usize + 1;
        let logs: Vec<f64> = (0..count)
            .map(|i| -0.5 * ((start + i as f64 * step - mean) / sd).powi(2))
            .collect();
        Density::of_logs(start, step, &logs).expect("a hump")
    }

    #[test]
    fn the_bell_keeps_its_mean_and_spread_even_on_a_coarse_grid() {
        // A step of 0.8 deviations: the rule's own error is exp(−2π²/0.64).
        let bell = normal(1.5, 0.2, 0.16);
        assert!((bell.mean() - 1.5).abs() < 1e-9, "{}", bell.mean());
        assert!((bell.sd() - 0.2).abs() < 1e-9, "{}", bell.sd());
    }

    #[test]
    fn the_ends_of_a_bell_are_1_959964_deviations_out() {
        let bell = normal(0.0, 1.0, 0.05);
        for (p, z) in [
            (0.025, -1.959_964),
            (0.5, 0.0),
            (0.975, 1.959_964),
            (0.9, 1.281_552),
        ] {
            assert!(
                (bell.quantile(p) - z).abs() < 2e-6,
                "{p}: {}",
                bell.quantile(p)
            );
            assert!((bell.probability_to(z) - p).abs() < 1e-6);
        }
    }

    #[test]
    fn learning_nothing_is_no_bits_and_halving_the_spread_is_counted() {
        let bell = normal(0.0, 1.0, 0.05);
        let height = |sd: f64| {
            move |x: f64| {
                (-0.5 * (x / sd).powi(2)).exp() / (sd * (2.0 * std::f64::consts::PI).sqrt())
            }
        };
        assert!(bell.bits_over(height(1.0)) < 1e-9);
        // Kullback–Leibler of N(0,1) from N(0,2): log2 2 − (1 − 1/4)/(2 ln 2).
        let closed = 1.0 - 0.75 / (2.0 * std::f64::consts::LN_2);
        assert!((bell.bits_over(height(2.0)) - closed).abs() < 1e-9);
    }

    #[test]
    fn nothing_has_no_distribution() {
        assert!(Density::of_logs(0.0, 1.0, &[f64::NEG_INFINITY; 5]).is_none());
        assert!(Density::of_logs(0.0, 1.0, &[f64::NAN; 5]).is_none());
        assert!(Density::of_logs(0.0, 0.0, &[0.0; 5]).is_none());
    }
}
