//! What every answer must do: books, mirrors, threads, scaling, stopping.
//!
//! Law: linearity, mirror symmetry and conservation of the heat equation.
//! Source: the equation itself.
//! Holds: always. Left out: nothing.
//! Checked by: this is the check.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use super::*;
use crate::heat::{HeatError, Substrate};

/// A lopsided pad wandering over a small panel.
fn wandering(substrate: Substrate, rim: Rim) -> Case {
    let pad = table(40, 0.1, 60.0, |x, y| {
        if x.hypot(y) < 0.05 {
            1.0 + 10.0 * x + 6.0 * y
        } else {
            0.0
        }
    });
    let mut case = Case::still(substrate.stack(), pad, 12.0);
    case.size_m = (0.3, 0.26);
    case.rim = rim;
    case.losses_w_m2k = (10.0, 5.0);
    case.speed_m_s = 0.03;
    case.thresholds_k = vec![6.0, 20.0];
    case.probes_m = vec![(0.15, 0.13), (0.0, 0.26)];
    case.pass_ends_s = vec![6.0, 12.0];
    case.accuracy = cells((50, 45), DepthCells::Total(9), 0.1, Scheme::TwoStage);
    case
}

fn wander(t_s: f64) -> PadMoment {
    PadMoment::at(0.06 + 0.015 * t_s, 0.10 + 0.05 * (0.4 * t_s).sin())
}

fn on_threads(threads: usize, case: &Case) -> HeatResult {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("a pool of threads");
    pool.install(|| case.run(&wander))
}

#[test]
fn any_number_of_threads_gives_the_same_bits() {
    for substrate in [
        Substrate::Steel,
        Substrate::Aluminium,
        Substrate::Polypropylene,
        Substrate::Laminate,
    ] {
        for rim in [Rim::Insulated, Rim::Wide] {
            let mut case = wandering(substrate, rim);
            for accuracy in [case.accuracy.clone(), Accuracy::Interactive] {
                case.accuracy = accuracy;
                let alone = on_threads(1, &case);
                for threads in [2, 3, 8] {
                    assert!(
                        on_threads(threads, &case) == alone,
                        "{substrate:?} {rim:?} on {threads} threads"
                    );
                }
            }
        }
    }
}

#[test]
fn a_mirrored_setup_gives_the_mirrored_field() {
    for substrate in [Substrate::Steel, Substrate::Polypropylene] {
        let case = wandering(substrate, Rim::Insulated);
        let plain = case.run(&wander);
        let mut mirrored = case.clone();
        mirrored.footprint = table(40, 0.1, 60.0, |x, y| {
            if x.hypot(y) < 0.05 {
                1.0 - 10.0 * x + 6.0 * y
            } else {
                0.0
            }
        });
        let other = mirrored.run(&|t_s| {
            let moment = wander(t_s);
            PadMoment {
                x_m: 0.3 - moment.x_m,
                ..moment
            }
        });
        for (row, mirror) in plain.peak_map_k.chunks(50).zip(other.peak_map_k.chunks(50)) {
            for (value, twin) in row.iter().zip(mirror.iter().rev()) {
                assert!((value - twin).abs() < 2e-5 * 20.0, "{value} against {twin}");
            }
        }
    }
}

#[test]
fn heat_that_went_in_is_stored_or_lost_and_a_pad_beside_the_panel_heats_nothing() {
    let case = wandering(Substrate::Aluminium, Rim::Insulated);
    let result = case.run(&wander);
    assert_near("power times time", result.energy.in_j, 60.0 * 12.0, 1e-6);
    assert!(result.energy.lost_j > 0.0 && result.energy.stored_j > 0.0);
    let beside = case.run(&|_| PadMoment::at(-0.2, 0.1));
    assert_eq!(beside.energy.in_j, 0.0);
    assert_eq!(beside.peak_rise_k, 0.0);
    let lifted = case.run(&|t_s| PadMoment {
        strength_frac: 0.0,
        ..wander(t_s)
    });
    assert_eq!(lifted.energy.in_j, 0.0);
}

#[test]
fn the_wide_rim_runs_cooler_than_the_insulated_one() {
    let insulated = wandering(Substrate::Aluminium, Rim::Insulated).run(&wander);
    let wide = wandering(Substrate::Aluminium, Rim::Wide).run(&wander);
    let sum = |result: &HeatResult| {
        result
            .final_surface_rise_k
            .iter()
            .map(|k| f64::from(*k))
            .sum::<f64>()
    };
    assert!(
        sum(&wide) < 0.995 * sum(&insulated),
        "{} against {}",
        sum(&wide),
        sum(&insulated)
    );
    assert_near("same heat", wide.energy.in_j, insulated.energy.in_j, 1e-6);
}

#[test]
fn peak_passes_history_probes_and_times_tell_one_story() {
    let case = wandering(Substrate::Polypropylene, Rim::Insulated);
    let result = case.run(&wander);
    let highest = result.peak_map_k.iter().copied().fold(0.0, f32::max);
    assert_eq!(f64::from(highest), result.peak_rise_k);
    let passes = result.pass_peak_rise_k.iter().copied().fold(0.0, f64::max);
    assert_eq!(passes, result.peak_rise_k);
    let hottest = result
        .history
        .iter()
        .map(|point| point.hottest_rise_k)
        .fold(0.0, f64::max);
    assert_eq!(hottest, result.peak_rise_k);
    assert!(
        result
            .history
            .iter()
            .any(|p| p.t_s == result.peak_at.t_s && p.hottest_rise_k == hottest)
    );
    let at_peak = map_at(
        &result,
        &result.peak_map_k,
        case.size_m,
        (result.peak_at.x_m, result.peak_at.y_m),
    );
    assert_near(
        "map at the hottest place",
        at_peak,
        result.peak_rise_k,
        1e-5,
    );
    assert_eq!(result.probes_k.len(), 2);
    assert_eq!(result.probes_k[0].len(), result.history.len());
    assert!(
        result.above[0].longest_s > result.above[1].longest_s && result.above[1].longest_s > 0.0
    );
    for (seconds, peak) in result.above[1].map_s.iter().zip(&result.peak_map_k) {
        assert_eq!(*seconds > 0.0, *peak > 20.0);
    }
}

#[test]
fn a_scaled_unit_solution_is_the_solution_of_the_scaled_flux() {
    let case = wandering(Substrate::Steel, Rim::Insulated);
    let unit = case.run(&wander);
    let tripled = case.run(&|t_s| PadMoment {
        strength_frac: 3.0,
        ..wander(t_s)
    });
    let scaled = unit.scaled(3.0).expect("it starts at air temperature");
    assert_near("peak", scaled.peak_rise_k, tripled.peak_rise_k, 1e-5);
    assert_near("in", scaled.energy.in_j, tripled.energy.in_j, 1e-6);
    assert!(unit.scaled(-1.0).is_err() && unit.scaled(f64::NAN).is_err());
}

#[test]
fn a_panel_warmer_than_the_air_cools_as_one_lump() {
    // (T−T_air) = 20·e^{−t/τ}, τ = Σρcδ/h, steel sheet alone: 172.18 s; Biot number 1.4e-4.
    let mut case = Case::still(vec![Substrate::Steel.sheet()], everywhere(0.0), 60.0);
    case.losses_w_m2k = (10.0, 5.0);
    case.start_k = 20.0;
    case.accuracy = cells((4, 4), DepthCells::Total(1), 0.5, Scheme::TwoStage);
    let result = case.run_still();
    let fall = 20.0 * (1.0 - (-60.0_f64 / 172.177).exp());
    assert_near(
        "fall",
        -f64::from(result.final_surface_rise_k[0]),
        fall,
        1e-3,
    );
    assert_eq!(result.peak_rise_k, 0.0);
    assert_eq!(result.scaled(2.0), Err(HeatError::NotProportional));
}

#[test]
fn progress_rises_to_one_and_the_flag_stops_the_run() {
    let case = wandering(Substrate::Steel, Rim::Insulated);
    let seen = Mutex::new(Vec::new());
    let note = |frac: f64| seen.lock().expect("nobody else panicked").push(frac);
    let watch = HeatWatch {
        progress: Some(&note),
        cancel: None,
    };
    case.try_run(&wander, watch).expect("it may run to the end");
    let seen = seen.into_inner().expect("nobody else panicked");
    assert!(seen.windows(2).all(|pair| pair[0] <= pair[1]) && seen.last() == Some(&1.0));
    let flag = AtomicBool::new(false);
    let stop = |frac: f64| {
        if frac > 0.4 {
            flag.store(true, Ordering::Relaxed);
        }
    };
    let watch = HeatWatch {
        progress: Some(&stop),
        cancel: Some(&flag),
    };
    assert_eq!(case.try_run(&wander, watch), Err(HeatError::Cancelled));
}

#[test]
fn nonsense_is_refused_with_a_sentence() {
    let refuse = |change: &dyn Fn(&mut Case)| {
        let mut case = wandering(Substrate::Steel, Rim::Insulated);
        change(&mut case);
        case.try_run(&wander, HeatWatch::default())
            .expect_err("nonsense")
            .to_string()
    };
    assert!(refuse(&|c| c.duration_s = f64::NAN).contains("duration"));
    assert!(refuse(&|c| c.size_m.0 = 0.0).contains("panel width"));
    assert!(refuse(&|c| c.losses_w_m2k.0 = -1.0).contains("convection outside"));
    assert!(refuse(&|c| c.probes_m = vec![(0.5, 0.1)]).contains("place on the panel"));
    assert!(refuse(&|c| c.pass_ends_s = vec![3.0, 1.0]).contains("pass ends"));
    assert!(refuse(&|c| c.thresholds_k = vec![f64::NAN]).contains("threshold"));
    assert!(
        refuse(&|c| c.accuracy = cells((50, 45), DepthCells::Total(9), 4.0, Scheme::TwoStage))
            .contains("skips over")
    );
    let far = wandering(Substrate::Steel, Rim::Insulated)
        .try_run(&|_| PadMoment::at(f64::NAN, 0.0), HeatWatch::default());
    assert!(far.expect_err("no place").to_string().contains("no place"));
    let table = wandering(Substrate::Steel, Rim::Insulated).try_run(
        &|_| PadMoment {
            footprint: 3,
            ..PadMoment::at(0.1, 0.1)
        },
        HeatWatch::default(),
    );
    assert!(
        table
            .expect_err("no such table")
            .to_string()
            .contains("table 3")
    );
}

#[test]
fn a_step_that_is_unstable_in_the_metal_is_refused() {
    let mut case = wandering(Substrate::Aluminium, Rim::Insulated);
    case.speed_m_s = 0.0;
    case.accuracy = cells((300, 260), DepthCells::Total(6), 1.0, Scheme::TwoStage);
    let sentence = case
        .try_run(&wander, HeatWatch::default())
        .expect_err("unstable")
        .to_string();
    assert!(
        sentence.starts_with("time step: 1 s came in") && sentence.contains("or less"),
        "{sentence}"
    );
}
