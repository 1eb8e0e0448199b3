//! How likely a finding is true, given what the gauge can see.
//!
//! Law: a limit is passed with Φ((limit − x)/s); other paint or filler against
//! the panel's own film by Bayes' rule, p = Σ other/(Σ other + own); a unit slip
//! against filler likewise, with the film that a tenth or 1/25.4 of it would be.
//! A spread s on ν degrees is over the limit with P(χ²_ν < ν·s²/limit²).
//! Source: Bayes' rule; shares before the reading (odd spots: repair 1 in 50,
//! filler 1 in 100; unit slips 1 in 2 of readings over 1000 µm) are assumed.
//! Holds: for readings with a bell-shaped error.
//! Left out: how far two findings rest on the same reading.
//! Checked by: the tests below, at and far from each limit.

use lapwing_measure::statistics::quantile::{chi_squared_cdf, normal_cdf};

use super::repaint::{FILLER_PER_UM, REPAIR, REPAIR_SPREAD_UM};

/// A usual factory film and its spread, to which a slipped unit leads back, µm.
const USUAL_UM: (f64, f64) = (115.0, 25.0);

/// Chance that the true value lies under a limit.
pub(super) fn under(limit_um: f64, came_um: f64, sd_um: f64) -> f64 {
    normal_cdf((limit_um - came_um) / sd_um.max(1e-9))
}

/// Chance that the spread of the panel is over a limit.
pub(super) fn spread_over(limit_um: f64, sd_um: f64, spots: usize) -> Option<f64> {
    let freedom = spots.checked_sub(1).filter(|f| *f > 0)? as f64;
    chi_squared_cdf(freedom * (sd_um / limit_um).powi(2), freedom).ok()
}

/// Chance that a spot above the others is other paint or filler.
pub(super) fn other_paint(film_um: f64, median_um: f64, spread_um: f64) -> f64 {
    let own = 0.97 * bell(film_um, (median_um, spread_um.max(3.0)));
    let repair = 0.02 * repaired(film_um, median_um);
    let filler = 0.01 * filler(film_um);
    share(repair + filler, own)
}

/// Chance that a film far over all paint is filler and not layers of paint.
pub(super) fn filler_not_paint(film_um: f64, factory_um: f64) -> f64 {
    share(filler(film_um), repaired(film_um, factory_um))
}

/// Chance that a reading of a millimetre or more is a slipped unit.
pub(super) fn unit_slip(film_um: f64) -> f64 {
    let slipped = |factor: f64| bell(film_um / factor, USUAL_UM) / factor;
    share((slipped(10.0) + slipped(25.4)) / 2.0, filler(film_um))
}

fn repaired(film_um: f64, factory_um: f64) -> f64 {
    let sd = REPAIR.sd.hypot(REPAIR_SPREAD_UM);
    bell(film_um, (factory_um + REPAIR.mean, sd))
}

fn filler(film_um: f64) -> f64 {
    if film_um >= 300.0 { FILLER_PER_UM } else { 0.0 }
}

fn bell(x: f64, (mean, sd): (f64, f64)) -> f64 {
    let z = (x - mean) / sd;
    (-z * z / 2.0).exp() / (sd * std::f64::consts::TAU.sqrt())
}

fn share(this: f64, other: f64) -> f64 {
    if this + other > 0.0 {
        this / (this + other)
    } else {
        0.5
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn at_a_limit_the_chance_is_one_half() {
        assert!((under(80.0, 80.0, 1.0) - 0.5).abs() < 1e-12);
        assert!(under(80.0, 77.0, 1.0) > 0.99 && under(80.0, 83.0, 1.0) < 0.01);
        assert!(under(80.0, 79.0, 0.0) > 0.999);
    }

    #[test]
    fn a_spot_far_above_is_other_paint_and_a_near_one_is_not() {
        assert!(other_paint(310.0, 116.0, 3.0) > 0.999);
        assert!(other_paint(119.0, 116.0, 3.0) < 0.01);
        assert!(other_paint(2900.0, 116.0, 3.0) > 0.999);
    }

    #[test]
    fn filler_takes_over_from_paint_as_the_film_grows() {
        assert!(filler_not_paint(1200.0, 115.0) > 0.999);
        assert!(filler_not_paint(320.0, 115.0) < filler_not_paint(520.0, 115.0));
    }

    #[test]
    fn a_tenfold_of_usual_paint_is_a_likelier_slip_than_two_millimetres() {
        // By hand: half of N(116; 115, 25)/10 = 7.98e-4 and of N(45.7; 115, 25)/25.4 =
        // 6.8e-6 against 1/2700.
        assert!((unit_slip(1160.0) - 0.685).abs() < 1e-3);
        assert!(unit_slip(2000.0) < unit_slip(1160.0) / 2.0);
    }

    // χ² of 4 degrees under 4: 1 − 3e^−2 = 0.593994.
    #[test]
    fn a_spread_at_its_limit_is_a_little_likelier_over_than_not() {
        let chance = spread_over(12.0, 12.0, 5).expect("five spots");
        assert!((chance - (1.0 - 3.0 * (-2.0_f64).exp())).abs() < 1e-9);
        assert_eq!(spread_over(12.0, 12.0, 1), None);
    }
}
