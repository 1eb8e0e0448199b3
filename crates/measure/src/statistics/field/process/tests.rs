//! A field by hand, readings given back, and leaving out against doing it.

use proptest::prelude::*;

use super::*;
use crate::statistics::field::Shape;

fn seen<'a>(sites: &'a [Site], values: &'a [f64], noises: &'a [f64]) -> Observations<'a> {
    Observations {
        sites,
        values,
        noise_variances: noises,
    }
}

#[test]
fn between_two_readings_the_field_is_as_worked_by_hand() {
    // k(1) = e^−0.5 = 0.6065307, k(0.5) = e^−0.125 = 0.8824969:
    // mean 0.8824969·(1 + 3)/1.6065307, variance 1 − 2·0.7788008/1.6065307.
    let kernel = Kernel::isotropic(Shape::SquaredExponential, 1.0, 1.0);
    let sites = [[0.0, 0.0], [1.0, 0.0]];
    let field = Process::condition(
        kernel,
        Level::Known(0.0),
        seen(&sites, &[1.0, 3.0], &[0.0; 2]),
    )
    .expect("two readings");
    let found = field.predict([0.5, 0.0]);
    assert!((found.mean - 2.197_273).abs() < 1e-6, "{}", found.mean);
    assert!((found.sd * found.sd - 0.030_456).abs() < 1e-6);
}

#[test]
fn one_reading_of_an_unknown_level_is_the_level() {
    let kernel = Kernel::isotropic(Shape::Matern32, 3.0, 100.0);
    let field = Process::condition(
        kernel,
        Level::Unknown,
        seen(&[[0.0, 0.0]], &[112.0], &[1.0]),
    )
    .expect("one reading");
    assert!((field.level() - 112.0).abs() < 1e-12);
    // Far away: spread of the field twice and the reading's error.
    let far = field.predict([1e6, 0.0]);
    assert!((far.mean - 112.0).abs() < 1e-9 && (far.sd - 19.0_f64.sqrt()).abs() < 1e-9);
    assert!(field.leave_one_out().is_empty());
}

#[test]
fn leaving_a_reading_out_is_what_the_short_form_says() {
    let sites: Vec<Site> = (0..9)
        .map(|k: u32| [f64::from(k * k % 11), f64::from(k)])
        .collect();
    let values: Vec<f64> = (0..9).map(|k: u32| 100.0 + f64::from(k * 7 % 5)).collect();
    let noises = [0.4; 9];
    let kernel = Kernel {
        shape: Shape::Matern52,
        sd: 2.0,
        range_u: 3.0,
        range_v: 5.0,
    };
    for level in [Level::Known(101.0), Level::Unknown] {
        let field =
            Process::condition(kernel, level, seen(&sites, &values, &noises)).expect("nine");
        for (i, short) in field.leave_one_out().iter().enumerate() {
            let without = |list: &[f64]| -> Vec<f64> {
                (0..9).filter(|k| *k != i).map(|k| list[k]).collect()
            };
            let others: Vec<Site> = (0..9).filter(|k| *k != i).map(|k| sites[k]).collect();
            let (y, e) = (without(&values), without(&noises));
            let rest = Process::condition(kernel, level, seen(&others, &y, &e)).expect("eight");
            let long = rest.predict(sites[i]);
            assert!((short.mean - long.mean).abs() < 1e-9);
            assert!((short.sd - (long.sd * long.sd + 0.4).sqrt()).abs() < 1e-9);
        }
    }
}

#[test]
fn places_together_agree_with_places_alone() {
    let sites = [[0.0, 0.0], [4.0, 1.0], [2.0, 6.0]];
    let kernel = Kernel::isotropic(Shape::Matern32, 2.0, 3.0);
    let field = Process::condition(
        kernel,
        Level::Unknown,
        seen(&sites, &[1.0, 2.0, 4.0], &[0.1; 3]),
    )
    .expect("three");
    let asked = [[1.0, 1.0], [5.0, 5.0]];
    let joint = field.joint(&asked);
    for (k, alone) in field.predict_all(&asked).iter().enumerate() {
        assert!((joint.means[k] - alone.mean).abs() < 1e-12);
        assert!((joint.covariance(k, k).sqrt() - alone.sd).abs() < 1e-12);
    }
}

#[test]
fn what_cannot_be_right_is_refused() {
    let kernel = Kernel::isotropic(Shape::Matern32, 1.0, 1.0);
    let go = |sites: &[Site], values: &[f64], noises: &[f64]| {
        Process::condition(kernel, Level::Unknown, seen(sites, values, noises)).is_ok()
    };
    let two = [[0.0, 0.0], [1.0, 0.0]];
    assert!(!go(&[], &[], &[]));
    assert!(!go(&two, &[1.0], &[0.0; 2]));
    assert!(!go(&two[..1], &[1.0, 2.0], &[0.0; 2]));
    assert!(!go(&two, &[1.0, f64::NAN], &[0.0; 2]));
    assert!(!go(
        &[[0.0, f64::INFINITY], [1.0, 0.0]],
        &[1.0, 2.0],
        &[0.0; 2]
    ));
    assert!(!go(&two, &[1.0, 2.0], &[0.0, -1.0]));
    assert!(go(&[[3.0, 3.0]; 2], &[1.0, 2.0], &[0.5; 2]));
}

fn scattered() -> impl Strategy<Value = Vec<(Site, f64)>> {
    let one = (0u16..400, 0u16..400, 80.0..150.0_f64);
    prop::collection::vec(one, 1..25).prop_map(|list| {
        let mut list: Vec<(Site, f64)> = list
            .into_iter()
            .map(|(u, v, y)| ([f64::from(u) * 5.0, f64::from(v) * 5.0], y))
            .collect();
        list.sort_by(|a, b| a.0[0].total_cmp(&b.0[0]).then(a.0[1].total_cmp(&b.0[1])));
        list.dedup_by(|a, b| a.0 == b.0);
        list
    })
}

fn field_of(list: &[(Site, f64)], level: Level, noise: f64) -> Process {
    let sites: Vec<Site> = list.iter().map(|l| l.0).collect();
    let values: Vec<f64> = list.iter().map(|l| l.1).collect();
    let kernel = Kernel::isotropic(Shape::Matern32, 4.0, 400.0);
    Process::condition(
        kernel,
        level,
        seen(&sites, &values, &vec![noise; list.len()]),
    )
    .expect("a field")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn without_noise_a_reading_is_given_back(list in scattered()) {
        for level in [Level::Unknown, Level::Known(110.0)] {
            let field = field_of(&list, level, 0.0);
            for (site, value) in &list {
                let found = field.predict(*site);
                prop_assert!((found.mean - value).abs() < 1e-6, "{} {}", found.mean, value);
                prop_assert!(found.sd < 1e-3);
            }
        }
    }

    #[test]
    fn the_field_is_never_surer_without_readings_nor_a_number_that_is_none(
        list in scattered(), u in -9e3..9e3_f64, v in -9e3..9e3_f64,
    ) {
        let known = field_of(&list, Level::Known(110.0), 1.0).predict([u, v]);
        let unknown = field_of(&list, Level::Unknown, 1.0).predict([u, v]);
        prop_assert!(known.mean.is_finite() && unknown.mean.is_finite());
        prop_assert!(known.sd <= 4.0 + 1e-9 && unknown.sd >= known.sd - 1e-9);
    }

    #[test]
    fn the_order_of_the_readings_does_not_matter(list in scattered()) {
        let turned: Vec<(Site, f64)> = list.iter().rev().copied().collect();
        let (a, b) = (field_of(&list, Level::Unknown, 1.0), field_of(&turned, Level::Unknown, 1.0));
        prop_assert!((a.log_likelihood() - b.log_likelihood()).abs() < 1e-7);
        let (a, b) = (a.predict([700.0, 300.0]), b.predict([700.0, 300.0]));
        prop_assert!((a.mean - b.mean).abs() < 1e-7 && (a.sd - b.sd).abs() < 1e-7);
    }
}
