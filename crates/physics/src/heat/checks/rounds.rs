//! Rounds against the same job with every column stepped every time.
//!
//! Law: none; automatic answers take short steps near the pad only (`round`),
//! a grid that is asked for takes them everywhere.
//! Source: our own two ways of one job.
//! Holds: all stock panels, a wandering pad. Bound: a quarter of the 2 % that is
//! demanded of the surface, so that rounds are not what limits an answer.
//! Left out: nothing.
//! Checked by: this is the check.

use super::*;
use crate::heat::Substrate;
use crate::heat::run::solve_without_rounds;

#[test]
fn rounds_give_what_every_step_everywhere_gives() {
    for substrate in [
        Substrate::Steel,
        Substrate::Aluminium,
        Substrate::Polypropylene,
        Substrate::Laminate,
    ] {
        let mut case = Case::still(substrate.stack(), disc(0.0625, 6000.0), 24.0);
        case.size_m = (0.4, 0.3);
        case.losses_w_m2k = (10.0, 5.0);
        case.speed_m_s = 0.0254;
        case.thresholds_k = vec![4.0];
        case.accuracy = Accuracy::Interactive;
        // To and fro over the same line: the second run meets what the first left.
        let to_and_fro =
            |t_s: f64| PadMoment::at(0.08 + 0.0254 * (12.0 - (t_s - 12.0).abs()), 0.15);
        let rounds = case.run(&to_and_fro);
        let every = case
            .pose(&to_and_fro, solve_without_rounds)
            .expect("the case is allowed");
        assert_near(
            &format!("{substrate:?} peak"),
            rounds.peak_rise_k,
            every.peak_rise_k,
            0.005,
        );
        let worst = |of: &dyn Fn(&HeatResult) -> &[f32]| {
            let pairs = of(&rounds).iter().zip(of(&every));
            pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f32::max)
        };
        let bound = 0.01 * every.peak_rise_k as f32;
        let (peaks, ends) = (
            worst(&|result| &result.peak_map_k),
            worst(&|result| &result.final_surface_rise_k),
        );
        assert!(peaks < bound, "{substrate:?}: peaks differ by {peaks} K");
        assert!(ends < bound, "{substrate:?}: ends differ by {ends} K");
        assert_near(
            &format!("{substrate:?} lost"),
            rounds.energy.lost_j,
            every.energy.lost_j,
            0.005,
        );
        assert!((rounds.above[0].longest_s - every.above[0].longest_s).abs() < 1.0);
    }
}
