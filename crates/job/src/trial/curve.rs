//! What correction costs: film, minutes and heat, with bands, and the knee.
//!
//! Law: correction at a film h is the share of scratch length gone, 1 − S(h),
//! averaged over the draws; its band holds 95 % of them. Passes = h over the
//! mean of a pass; minutes = passes × path time × pace; clear left = clear
//! before − h, its lower end (one-sided 95 %) with the spreads of clear and cut
//! rate. Knee: the correction c from which the next 5 points cost as much film
//! as everything up to c, film(c + 5) = 2·film(c).
//! Source: own model; see `evidence`.
//! Holds: all passes like those of the setup, in one go.
//! Outside: a correction the table does not reach (60 µm) has no film.
//! Left out: the marks the pass itself leaves; pauses between sets.
//! Checked by: one sharp set of depths, worked by hand, below.

use lapwing_measure::estimate::NORMAL_95;
use serde::Serialize;

use super::posterior::Draw;

/// One number of passes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Scratch length gone, best guess, %.
    pub correction_pct: f64,
    /// Lower end, 95 %.
    pub correction_lower_pct: f64,
    /// Upper end, 95 %.
    pub correction_upper_pct: f64,
    /// Film taken off, best guess.
    pub removal_um: f64,
    /// Lower end, 95 %, from the cut rate.
    pub removal_lower_95_um: f64,
    /// Upper end, 95 %, from the cut rate.
    pub removal_upper_95_um: f64,
    /// Passes of the setup.
    pub passes: f64,
    /// Minutes with the pad on the section.
    pub minutes: f64,
    /// Clear coat left, best guess.
    pub clear_left_um: Option<f64>,
    /// Its lower end, one-sided 95 %.
    pub clear_left_lower_95_um: Option<f64>,
    /// Highest surface temperature, all passes in one go.
    pub peak_c: Option<f64>,
    /// The same at the upper end of the friction share.
    pub peak_upper_c: Option<f64>,
    /// Whether the film taken, at its upper end, stays within the budget.
    pub is_within_budget: Option<bool>,
}

/// What a wished correction costs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Target {
    /// Wished, %.
    pub correction_pct: f64,
    /// Film that gives it, best guess; nothing beyond 60 µm.
    pub removal_um: Option<f64>,
    /// Lower end, 95 %, from the depths.
    pub removal_lower_95_um: Option<f64>,
    /// Upper end, 95 %.
    pub removal_upper_95_um: Option<f64>,
    /// Passes.
    pub passes: Option<f64>,
    /// Minutes.
    pub minutes: Option<f64>,
    /// Clear coat left.
    pub clear_left_um: Option<f64>,
    /// Its lower end.
    pub clear_left_lower_95_um: Option<f64>,
    /// Highest surface temperature, all passes in one go.
    pub peak_c: Option<f64>,
    /// Whether the film taken, at the upper end of the cut rate, stays within the
    /// budget, as on the curve.
    pub is_within_budget: Option<bool>,
}

/// Where a little more begins to cost a lot.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Knee {
    /// Correction at the knee, %.
    pub correction_pct: f64,
    /// Film up to there.
    pub removal_um: f64,
    /// Points beyond it that cost as much again.
    pub next_points: f64,
}

/// A place on the smooth curve: film, correction, its ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gone {
    /// Film taken off, µm.
    pub film_um: f64,
    /// Share gone, 0 to 1.
    pub mean_frac: f64,
    /// Lower end, 95 %.
    pub lower_frac: f64,
    /// Upper end, 95 %.
    pub upper_frac: f64,
}

/// The smooth curve, over film on a logarithmic scale.
#[derive(Clone, Debug)]
pub struct GoneCurve {
    /// Places, film rising.
    pub places: Vec<Gone>,
}

/// Which line of the band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Best guess.
    Mean,
    /// Lower end of the correction.
    Lower,
    /// Upper end of the correction.
    Upper,
}

/// Ends and number of the table's films.
const LEAST_UM: f64 = 0.02;
const MOST_UM: f64 = 60.0;
const PLACES: usize = 141;

/// Points that the knee looks ahead.
const NEXT_POINTS: f64 = 5.0;

impl GoneCurve {
    /// From the draws.
    #[must_use]
    pub fn of(draws: &[Draw]) -> Self {
        let step = (MOST_UM / LEAST_UM).ln() / (PLACES - 1) as f64;
        Self {
            places: (0..PLACES)
                .map(|at| gone_at(draws, LEAST_UM * (step * at as f64).exp()))
                .collect(),
        }
    }

    /// Film at which a line reaches a share; nothing where it does not.
    #[must_use]
    pub fn film_for(&self, share: f64, line: Line) -> Option<f64> {
        let on = |g: &Gone| match line {
            Line::Mean => g.mean_frac,
            Line::Lower => g.lower_frac,
            Line::Upper => g.upper_frac,
        };
        let at = self.places.iter().position(|g| on(g) >= share)?;
        let after = self.places[at];
        let Some(before) = at.checked_sub(1).map(|at| self.places[at]) else {
            return Some(after.film_um);
        };
        let rise = on(&after) - on(&before);
        let part = if rise > 0.0 {
            (share - on(&before)) / rise
        } else {
            1.0
        };
        Some(before.film_um * (after.film_um / before.film_um).powf(part))
    }

    /// The knee, where there is one.
    #[must_use]
    pub fn knee(&self) -> Option<Knee> {
        let film = |pct: f64| self.film_for(pct / 100.0, Line::Mean);
        let costs_double = |pct: f64| {
            let (to, on) = (film(pct)?, film(pct + NEXT_POINTS)?);
            Some(on >= 2.0 * to)
        };
        // Below half, every step is steep: the knee is looked for above.
        let mut pct = 50.0;
        while pct + NEXT_POINTS < 100.0 {
            if costs_double(pct)? {
                return Some(Knee {
                    correction_pct: pct,
                    removal_um: film(pct)?,
                    next_points: NEXT_POINTS,
                });
            }
            pct += 0.25;
        }
        None
    }
}

/// Correction at a film over the draws.
#[must_use]
pub fn gone_at(draws: &[Draw], film_um: f64) -> Gone {
    let mut shares: Vec<f64> = draws.iter().map(|d| d.depths.gone(film_um)).collect();
    shares.sort_unstable_by(f64::total_cmp);
    let (lower_frac, upper_frac) = (of_sorted(&shares, 0.025), of_sorted(&shares, 0.975));
    Gone {
        film_um,
        mean_frac: shares.iter().sum::<f64>() / shares.len().max(1) as f64,
        lower_frac,
        upper_frac,
    }
}

/// The value below which a share of a sorted list lies.
#[must_use]
pub fn of_sorted(sorted: &[f64], share: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else {
        return 0.0;
    };
    let at = (share * sorted.len() as f64 - 0.5).clamp(0.0, last as f64);
    let (low, part) = (at.floor() as usize, at.fract());
    let high = (low + 1).min(last);
    sorted[low] + part * (sorted[high] - sorted[low])
}

/// What is known of the panel and the pass beside the draws.
#[derive(Clone, Debug)]
pub struct Costs {
    /// Film of a pass, µm: mean, and its lower and upper factor.
    pub pass_um: f64,
    /// Lower end over the mean.
    pub lower_over_mean: f64,
    /// Upper end over the mean.
    pub upper_over_mean: f64,
    /// Deviation over the mean.
    pub sd_over_mean: f64,
    /// Minutes of a pass.
    pub pass_min: f64,
    /// Clear coat before: mean and deviation, µm.
    pub clear_um: Option<(f64, f64)>,
    /// What may go, µm.
    pub budget_um: Option<f64>,
    /// Surface temperature up to pass 1, 2, ...: best guess and upper end, °C.
    pub peaks_c: Vec<(f64, f64)>,
}

impl Costs {
    /// Clear left and its lower end after a film.
    fn clear_left(&self, film_um: f64) -> (Option<f64>, Option<f64>) {
        let Some((mean, sd)) = self.clear_um else {
            return (None, None);
        };
        let left = mean - film_um;
        let spread = sd.hypot(film_um * self.sd_over_mean);
        (
            Some(left.max(0.0)),
            Some((left - NORMAL_95 * spread).max(0.0)),
        )
    }

    /// Surface temperature after some passes, between whole ones by a line.
    fn peak_c(&self, passes: f64) -> Option<(f64, f64)> {
        let last = self.peaks_c.len().checked_sub(1)?;
        if passes > (last + 1) as f64 {
            return None;
        }
        let at = (passes - 1.0).max(0.0);
        let (low, part) = (at.floor() as usize, at.fract());
        let (a, b) = (
            self.peaks_c[low.min(last)],
            self.peaks_c[(low + 1).min(last)],
        );
        Some((a.0 + part * (b.0 - a.0), a.1 + part * (b.1 - a.1)))
    }

    /// Film, best guess, up to which the upper end of the cut rate stays within
    /// the budget.
    #[must_use]
    pub fn safe_um(&self) -> Option<f64> {
        let most = self.budget_um?;
        (self.upper_over_mean > 0.0).then(|| most / self.upper_over_mean)
    }

    /// A row for a number of passes.
    #[must_use]
    pub fn point(&self, draws: &[Draw], passes: f64) -> CurvePoint {
        let film_um = passes * self.pass_um;
        let gone = gone_at(draws, film_um);
        let upper_um = film_um * self.upper_over_mean;
        let (clear_left_um, clear_left_lower_95_um) = self.clear_left(film_um);
        let peak = self.peak_c(passes);
        CurvePoint {
            correction_pct: 100.0 * gone.mean_frac,
            correction_lower_pct: 100.0 * gone.lower_frac,
            correction_upper_pct: 100.0 * gone.upper_frac,
            removal_um: film_um,
            removal_lower_95_um: film_um * self.lower_over_mean,
            removal_upper_95_um: upper_um,
            passes,
            minutes: passes * self.pass_min,
            clear_left_um,
            clear_left_lower_95_um,
            peak_c: peak.map(|p| p.0),
            peak_upper_c: peak.map(|p| p.1),
            is_within_budget: self.budget_um.map(|most| upper_um <= most),
        }
    }

    /// What a wished share costs.
    #[must_use]
    pub fn target(&self, curve: &GoneCurve, share: f64) -> Target {
        let film = curve.film_for(share, Line::Mean);
        let passes = film.map(|um| um / self.pass_um).filter(|p| p.is_finite());
        let clear = film.map(|um| self.clear_left(um));
        Target {
            correction_pct: 100.0 * share,
            removal_um: film,
            // Where the upper end of the correction gets there, the least film.
            removal_lower_95_um: curve.film_for(share, Line::Upper),
            removal_upper_95_um: curve.film_for(share, Line::Lower),
            passes,
            minutes: passes.map(|p| p * self.pass_min),
            clear_left_um: clear.and_then(|c| c.0),
            clear_left_lower_95_um: clear.and_then(|c| c.1),
            peak_c: passes.and_then(|p| self.peak_c(p)).map(|p| p.0),
            is_within_budget: film
                .zip(self.budget_um)
                .map(|(um, most)| um * self.upper_over_mean <= most),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::evidence::Depths;

    fn sharp(median_um: f64) -> Draw {
        Draw {
            ln_cut_rate: 0.0,
            depths: Depths {
                ln_median: median_um.ln(),
                ln_spread: 0.7,
                deep_frac: 0.0,
            },
            floor: 0.01,
            friction: 0.3,
        }
    }

    fn costs() -> Costs {
        Costs {
            pass_um: 0.5,
            lower_over_mean: 0.8,
            upper_over_mean: 1.25,
            sd_over_mean: 0.1,
            pass_min: 2.0,
            clear_um: Some((40.0, 5.0)),
            budget_um: Some(2.0),
            peaks_c: vec![(30.0, 33.0), (34.0, 39.0)],
        }
    }

    #[test]
    fn known_depths_give_the_normal_table_without_a_band() {
        let curve = GoneCurve::of(&[sharp(1.0); 5]);
        // ln film = 0.7·z with z(0.80) = 0.841621, z(0.95) = 1.644854.
        for (share, z) in [(0.5, 0.0), (0.8, 0.841_621), (0.95, 1.644_854)] {
            let film = curve.film_for(share, Line::Mean).expect("reached");
            assert!(
                (film / (0.7_f64 * z).exp() - 1.0).abs() < 2e-3,
                "{share}: {film}"
            );
            assert_eq!(curve.film_for(share, Line::Lower), Some(film));
        }
        assert_eq!(GoneCurve::of(&[sharp(1e9)]).film_for(0.5, Line::Mean), None);
    }

    #[test]
    fn the_knee_is_where_five_points_more_cost_double() {
        let curve = GoneCurve::of(&[sharp(1.0)]);
        let knee = curve.knee().expect("a knee");
        let film = |z: f64| (0.7 * z).exp();
        // By the normal table: 94.0 % needs z 1.5548, 99.0 % 2.3263, ratio
        // 1.716; 94.5 % needs 1.5982, 99.5 % 2.5758, ratio 1.983.
        assert!(film(2.3263) / film(1.5548) < 2.0 && film(2.5758) / film(1.5982) < 2.0);
        assert!(
            knee.correction_pct > 94.5 && knee.correction_pct <= 95.0,
            "{knee:?}"
        );
    }

    #[test]
    fn a_row_is_worked_by_hand() {
        let row = costs().point(&[sharp(1.0); 3], 2.0);
        assert!((row.correction_pct - 50.0).abs() < 1e-9 && row.removal_um == 1.0);
        assert!(row.minutes == 4.0 && row.clear_left_um == Some(39.0));
        // 39 − 1.644854·√(25 + 0.01)
        let lower = row.clear_left_lower_95_um.expect("a bound");
        assert!((lower - 30.774_1).abs() < 1e-4);
        assert!(row.peak_c == Some(34.0) && row.is_within_budget == Some(true));
        assert_eq!(costs().point(&[sharp(1.0)], 3.0).peak_c, None);
        assert_eq!(
            costs().point(&[sharp(1.0)], 4.0).is_within_budget,
            Some(false)
        );
    }

    #[test]
    fn a_wish_costs_film_passes_and_minutes() {
        let target = costs().target(&GoneCurve::of(&[sharp(1.0)]), 0.5);
        assert!((target.removal_um.expect("film") - 1.0).abs() < 1e-3);
        assert!((target.minutes.expect("minutes") - 4.0).abs() < 0.01);
        let never = costs().target(&GoneCurve::of(&[sharp(1e9)]), 0.5);
        assert!(never.removal_um.is_none() && never.minutes.is_none());
    }

    // Budget 2 µm, upper end 1.25 times the mean: 1.6 µm are safe.
    #[test]
    fn a_wish_and_a_row_are_judged_by_the_same_upper_end() {
        let curve = GoneCurve::of(&[sharp(1.0)]);
        assert!((costs().safe_um().expect("a budget") - 1.6).abs() < 1e-12);
        // ln film = 0.7·z: 0.7 of the length at 1.443 µm, 0.8 at 1.802 µm.
        for (share, is_within) in [(0.7, true), (0.8, false)] {
            let target = costs().target(&curve, share);
            assert!(target.removal_um.is_some_and(|um| um < 2.0));
            assert_eq!(target.is_within_budget, Some(is_within), "{share}");
            let row = costs().point(&[sharp(1.0)], target.passes.expect("passes"));
            assert_eq!(row.is_within_budget, target.is_within_budget);
        }
    }

    #[test]
    fn a_share_of_a_sorted_list_lies_between_its_neighbours() {
        let list = [1.0, 2.0, 3.0, 4.0];
        assert!(of_sorted(&list, 0.5) == 2.5 && of_sorted(&list, 0.0) == 1.0);
        assert!(of_sorted(&list, 1.0) == 4.0 && of_sorted(&[], 0.5) == 0.0);
    }
}
