//! The slope against differences, a known field found again, few readings.

use super::*;
use crate::statistics::field::{Draws, Process};

const BELIEFS: Beliefs = Beliefs {
    sd: Belief {
        middle: 4.0,
        log_sd: 0.6,
    },
    range: Belief {
        middle: 500.0,
        log_sd: 0.5,
    },
    noise_sd: Belief {
        middle: 1.0,
        log_sd: 0.3,
    },
};

fn grid(side: u32) -> Vec<Site> {
    (0..side * side)
        .map(|k| [f64::from(k % side) * 90.0, f64::from(k / side) * 80.0])
        .collect()
}

/// Readings of a field with this kernel and noise: L·z through an empty field.
fn drawn(kernel: Kernel, noise_sd: f64, sites: &[Site], seed: u64) -> Vec<f64> {
    let n = sites.len();
    let covariance = DMatrix::from_fn(n, n, |i, j| {
        kernel.covariance(sites[i], sites[j]) + if i == j { noise_sd * noise_sd } else { 0.0 }
    });
    let spread = Draws::new(seed, 1, n).spread(&covariance);
    spread.column(0).iter().map(|f| 115.0 + f).collect()
}

#[test]
fn the_slope_is_what_a_small_change_does() {
    slopes_hold(Shape::Matern52);
    slopes_hold(Shape::Matern32);
}

fn slopes_hold(shape: Shape) {
    let sites = grid(4);
    let kernel = Kernel {
        shape,
        sd: 3.0,
        range_u: 300.0,
        range_v: 200.0,
    };
    let values = drawn(kernel, 1.0, &sites, 11);
    let repeats: Vec<f64> = (0..16).map(|k| f64::from(1 + k % 3)).collect();
    for level in [Level::Known(114.0), Level::Unknown] {
        let seen = Repeated {
            sites: &sites,
            values: &values,
            repeats: &repeats,
            level,
        };
        let (_, stated) = log_likelihood(&seen, kernel, 1.2).expect("a field");
        for (which, slope) in stated.iter().enumerate() {
            let moved = |by: f64| {
                let factor = |k: usize| if k == which { (by).exp() } else { 1.0 };
                let other = Kernel {
                    sd: kernel.sd * factor(0),
                    range_u: kernel.range_u * factor(1),
                    range_v: kernel.range_v * factor(2),
                    ..kernel
                };
                log_likelihood(&seen, other, 1.2 * factor(3))
                    .expect("a field")
                    .0
            };
            let measured = (moved(1e-5) - moved(-1e-5)) / 2e-5;
            assert!(
                (measured - slope).abs() < 1e-6 * slope.abs().max(1.0),
                "{which}: {measured} {slope}"
            );
        }
    }
}

#[test]
fn a_room_used_again_gives_the_bits_of_a_new_one() {
    let sites = grid(5);
    let kernel = Kernel::isotropic(Shape::Matern32, 3.0, 250.0);
    let values = drawn(kernel, 0.7, &sites, 13);
    let seen = Repeated {
        sites: &sites,
        values: &values,
        repeats: &[1.0; 25],
        level: Level::Unknown,
    };
    let mut known = Likelihood::of(seen);
    for (sd, range, noise) in [(3.0, 250.0, 0.7), (8.0, 90.0, 0.1), (0.5, 900.0, 2.0)] {
        let kernel = Kernel::isotropic(Shape::Matern52, sd, range);
        let again = known.at(kernel, noise).expect("a field");
        let (value, slope) = log_likelihood(&seen, kernel, noise).expect("a field");
        assert_eq!(again.0.to_bits(), value.to_bits());
        assert_eq!(again.1.map(f64::to_bits), slope.map(f64::to_bits));
    }
}

#[test]
fn the_likelihood_here_is_that_of_the_conditioned_field() {
    let sites = grid(3);
    let kernel = Kernel::isotropic(Shape::Matern32, 3.0, 250.0);
    let values = drawn(kernel, 0.7, &sites, 12);
    for level in [Level::Known(110.0), Level::Unknown] {
        let seen = Repeated {
            sites: &sites,
            values: &values,
            repeats: &[1.0; 9],
            level,
        };
        let observations = Observations {
            sites: &sites,
            values: &values,
            noise_variances: &[0.49; 9],
        };
        let field = Process::condition(kernel, level, observations).expect("a field");
        let (here, _) = log_likelihood(&seen, kernel, 0.7).expect("a field");
        assert!((here - field.log_likelihood()).abs() < 1e-9);
    }
}

#[test]
fn a_known_field_is_found_again() {
    let sites = grid(14);
    let truth = Kernel::isotropic(Shape::Matern32, 4.0, 300.0);
    let values = drawn(truth, 1.0, &sites, 13);
    let seen = Repeated {
        sites: &sites,
        values: &values,
        repeats: &[1.0; 196],
        level: Level::Unknown,
    };
    let wide = Beliefs {
        range: Belief {
            middle: 600.0,
            log_sd: 0.8,
        },
        ..BELIEFS
    };
    let found = learn(&seen, &wide, Shape::Matern32, Ranges::One).expect("a kernel");
    assert!((2.5..=6.0).contains(&found.kernel.sd), "{found:?}");
    assert!((170.0..=520.0).contains(&found.kernel.range_u), "{found:?}");
    assert!((0.7..=1.4).contains(&found.noise_sd), "{found:?}");
    let (_, slope) = log_likelihood(&seen, found.kernel, found.noise_sd).expect("a kernel");
    let belief = (found.kernel.sd / 4.0).ln() / 0.36;
    assert!(
        (slope[0] - belief).abs() < 1e-2,
        "not at the top: {slope:?}"
    );
}

#[test]
fn two_ranges_are_taken_only_where_the_readings_earn_them() {
    let sites = grid(10);
    let long = Kernel {
        shape: Shape::Matern32,
        sd: 4.0,
        range_u: 900.0,
        range_v: 120.0,
    };
    for (kernel, is_directional) in [
        (long, true),
        (Kernel::isotropic(Shape::Matern32, 4.0, 300.0), false),
    ] {
        let values = drawn(kernel, 0.8, &sites, 14);
        let seen = Repeated {
            sites: &sites,
            values: &values,
            repeats: &[1.0; 100],
            level: Level::Unknown,
        };
        let found = pick(&seen, &BELIEFS).expect("a kernel").kernel;
        assert_eq!(
            found.range_u > 1.5 * found.range_v,
            is_directional,
            "{found:?}"
        );
    }
}

#[test]
fn one_reading_leaves_the_belief_as_it_was() {
    let seen = Repeated {
        sites: &[[0.0, 0.0]],
        values: &[112.0],
        repeats: &[1.0],
        level: Level::Unknown,
    };
    let found = pick(&seen, &BELIEFS).expect("a kernel");
    assert!((found.kernel.sd - 4.0).abs() < 1e-6 && (found.kernel.range_u - 500.0).abs() < 1e-3);
}

#[test]
fn equal_readings_make_a_calm_field_and_no_nonsense() {
    let sites = grid(4);
    let seen = Repeated {
        sites: &sites,
        values: &[118.0; 16],
        repeats: &[1.0; 16],
        level: Level::Unknown,
    };
    let found = pick(&seen, &BELIEFS).expect("a kernel");
    assert!(found.kernel.sd < 4.0 && found.kernel.sd > 0.1, "{found:?}");
    assert!(found.log_posterior.is_finite());
}

#[test]
fn beliefs_that_are_none_are_refused() {
    let seen = Repeated {
        sites: &[[0.0, 0.0]],
        values: &[112.0],
        repeats: &[1.0],
        level: Level::Unknown,
    };
    for middle in [0.0, -1.0, f64::NAN] {
        let bad = Beliefs {
            sd: Belief {
                middle,
                log_sd: 0.5,
            },
            ..BELIEFS
        };
        assert!(pick(&seen, &bad).is_err());
    }
}
