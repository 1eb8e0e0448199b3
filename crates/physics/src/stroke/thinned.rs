//! A path of very many points drawn with fewer.
//!
//! Law: none; from a kept point the next one is the farthest for which every
//! point between lies within a tolerance of where steady straight motion would
//! have the machine at that moment. So place and time are both kept.
//! Source: geometry.
//! Holds: for any path; at most 256 points are joined, so that the work grows
//! with the number of points and not with its square.
//! Left out: moving the points that are kept.
//! Checked by: a circle, whose sagitta is known, and a straight walk.

use lapwing_measure::quantity::Length;

use super::Waypoint;

/// Most points that one straight piece replaces.
const MOST_JOINED: usize = 256;

/// The path with as few points as keep every point within `tolerance` of its
/// place at its moment; first and last are kept.
#[must_use]
pub fn thinned(points: &[Waypoint], tolerance: Length) -> Vec<Waypoint> {
    let Some(first) = points.first() else {
        return Vec::new();
    };
    let mut kept = vec![*first];
    let mut from = 0;
    while from + 1 < points.len() {
        let farthest = (from + MOST_JOINED).min(points.len() - 1);
        let mut to = from + 1;
        while to < farthest && is_straight(&points[from..=to + 1], tolerance.value) {
            to += 1;
        }
        kept.push(points[to]);
        from = to;
    }
    kept
}

/// Whether steady motion from the first to the last passes all points in time.
fn is_straight(points: &[Waypoint], tolerance_m: f64) -> bool {
    let [first, between @ .., last] = points else {
        return true;
    };
    let lasts_s = last.at.value - first.at.value;
    between.iter().all(|point| {
        let share = (point.at.value - first.at.value) / lasts_s;
        let x_m = first.x.value + share * (last.x.value - first.x.value);
        let y_m = first.y.value + share * (last.y.value - first.y.value);
        (point.x.value - x_m).hypot(point.y.value - y_m) <= tolerance_m
    })
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use lapwing_measure::quantity::Time;
    use uom::si::length::meter;
    use uom::si::time::second;

    use super::*;

    fn at(x_m: f64, y_m: f64, t_s: f64) -> Waypoint {
        Waypoint {
            x: Length::new::<meter>(x_m),
            y: Length::new::<meter>(y_m),
            at: Time::new::<second>(t_s),
        }
    }

    #[test]
    fn a_circle_becomes_chords_as_long_as_their_sagitta_allows() {
        let circle: Vec<Waypoint> = (0..=2000)
            .map(|i| TAU * f64::from(i) / 2000.0)
            .map(|a| at(0.1 * a.cos(), 0.1 * a.sin(), a))
            .collect();
        let kept = thinned(&circle, Length::new::<meter>(1e-4));
        // Chord of sagitta s on radius r spans 2·acos(1 − s/r): 0.0894 rad, 28
        // points of 0.00314 rad; 2000 / 28 is 71 chords and a rest.
        assert_eq!(kept.len(), 73);
        assert_eq!((kept[0], kept[72]), (circle[0], circle[2000]));
    }

    #[test]
    fn a_straight_walk_keeps_its_ends_and_a_pause_is_not_smoothed_away() {
        let walk = |i: i32| at(0.001 * f64::from(i), 0.2, 0.05 * f64::from(i));
        let steady: Vec<Waypoint> = (0..=200).map(walk).collect();
        let tolerance = Length::new::<meter>(1e-4);
        assert_eq!(thinned(&steady, tolerance).len(), 2);
        // The same places with a rest of 2 s in the middle.
        let paused: Vec<Waypoint> = (0..=200)
            .map(|i| {
                let point = walk(i);
                let later = if i > 100 { 2.0 } else { 0.0 };
                at(point.x.value, point.y.value, point.at.value + later)
            })
            .collect();
        let kept = thinned(&paused, tolerance);
        assert!(kept.contains(&paused[100]) && kept.contains(&paused[101]));
    }

    #[test]
    fn no_points_and_two_points_stay_as_they_are() {
        assert!(thinned(&[], Length::new::<meter>(1e-4)).is_empty());
        let two = [at(0.0, 0.0, 0.0), at(0.1, 0.0, 1.0)];
        assert_eq!(thinned(&two, Length::new::<meter>(1e-4)), two);
    }
}
