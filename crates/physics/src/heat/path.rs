//! Where the machine is, and when.
//!
//! Law: none; straight lines between timed places, or any function of time.
//! Holds: any path; what it does beside the panel heats nothing.
//! Left out: turning the flux table with the direction of travel; give several
//! tables instead and name one for each moment.
//! Checked by: the unit tests below.

use lapwing_measure::quantity::{Time, Velocity};
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

use super::error::HeatError;

/// Where the pad is at one moment and what it does there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PadMoment {
    /// Machine centre along x, from the panel's lower left corner.
    pub x_m: f64,
    /// Machine centre along y.
    pub y_m: f64,
    /// Which flux table acts.
    pub footprint: usize,
    /// Factor on the table: 1 as given, 0 lifted.
    pub strength_frac: f64,
}

impl PadMoment {
    /// The first table at full strength at a place in metres.
    #[must_use]
    pub fn at(x_m: f64, y_m: f64) -> Self {
        Self {
            x_m,
            y_m,
            footprint: 0,
            strength_frac: 1.0,
        }
    }
}

/// A path in time.
pub trait PadPath: Sync {
    /// Where the pad is after `t_s` seconds.
    fn moment(&self, t_s: f64) -> PadMoment;

    /// Fastest working speed in m/s, jumps left out; the steps follow from it.
    fn speed_m_s(&self) -> f64;

    /// The box around all places at which the pad works, lower left and upper
    /// right corner in metres; nothing when the path does not know it.
    fn extent_m(&self) -> Option<[(f64, f64); 2]> {
        None
    }
}

/// A path given as a function of the seconds.
#[derive(Clone, Copy, Debug)]
pub struct FnPath<F> {
    place: F,
    speed_m_s: f64,
}

impl<F: Fn(f64) -> PadMoment + Sync> FnPath<F> {
    /// A path from a function and its fastest working speed.
    pub fn new(speed: Velocity, place: F) -> Self {
        Self {
            place,
            speed_m_s: speed.get::<meter_per_second>(),
        }
    }
}

impl<F: Fn(f64) -> PadMoment + Sync> PadPath for FnPath<F> {
    fn moment(&self, t_s: f64) -> PadMoment {
        (self.place)(t_s)
    }

    fn speed_m_s(&self) -> f64 {
        self.speed_m_s
    }
}

/// A path given as timed places, straight between them; before the first and
/// after the last it stands.
#[derive(Clone, Debug)]
pub struct TimedPath {
    moments: Vec<(f64, PadMoment)>,
    speed_m_s: f64,
}

impl TimedPath {
    /// A path through places with their times. Two places at the same time are
    /// a jump.
    ///
    /// # Errors
    /// Refuses an empty list, times that run backwards and places that are no
    /// numbers.
    pub fn new(moments: &[(Time, PadMoment)]) -> Result<Self, HeatError> {
        let moments: Vec<(f64, PadMoment)> = moments
            .iter()
            .map(|(t, place)| (t.get::<second>(), *place))
            .collect();
        let bad =
            |(t, p): &&(f64, PadMoment)| !(t.is_finite() && p.x_m.is_finite() && p.y_m.is_finite());
        if let Some((t_s, place)) = moments.iter().find(bad) {
            return Err(HeatError::NoPlace {
                t_s: *t_s,
                x_m: place.x_m,
                y_m: place.y_m,
            });
        }
        if moments.is_empty() || moments.windows(2).any(|pair| pair[1].0 < pair[0].0) {
            return Err(HeatError::OutOfRange {
                what: "path times",
                came: format!("{} places, not in the order of time", moments.len()),
                allowed: "one place or more, each no earlier than the one before".to_owned(),
                remedy: "Sort the places by time.",
            });
        }
        let speed_m_s = moments
            .windows(2)
            .filter(|pair| pair[1].0 > pair[0].0)
            .map(speed)
            .fold(0.0, f64::max);
        Ok(Self { moments, speed_m_s })
    }
}

fn speed(pair: &[(f64, PadMoment)]) -> f64 {
    let (from, to) = (pair[0].1, pair[1].1);
    (to.x_m - from.x_m).hypot(to.y_m - from.y_m) / (pair[1].0 - pair[0].0)
}

impl PadPath for TimedPath {
    fn moment(&self, t_s: f64) -> PadMoment {
        let after = self.moments.partition_point(|(t, _)| *t <= t_s);
        if after == 0 || after == self.moments.len() {
            return self.moments[after.saturating_sub(1)].1;
        }
        let ((from_s, from), (to_s, to)) = (self.moments[after - 1], self.moments[after]);
        let frac = (t_s - from_s) / (to_s - from_s);
        PadMoment {
            x_m: from.x_m + frac * (to.x_m - from.x_m),
            y_m: from.y_m + frac * (to.y_m - from.y_m),
            ..from
        }
    }

    fn speed_m_s(&self) -> f64 {
        self.speed_m_s
    }

    fn extent_m(&self) -> Option<[(f64, f64); 2]> {
        let is_working = |place: &PadMoment| place.strength_frac > 0.0;
        let at = self.moments.iter().map(|(_, place)| place);
        // On the way to where it is lifted the pad still works.
        let ways = self.moments.windows(2);
        let is_way = |way: &&[(f64, PadMoment)]| is_working(&way[0].1) && way[0].0 < way[1].0;
        let ends = ways.filter(is_way).map(|way| &way[1].1);
        let places = at.filter(|place| is_working(place)).chain(ends);
        places.fold(None, |around, place| {
            let [low, high] = around.unwrap_or([(place.x_m, place.y_m); 2]);
            Some([
                (low.0.min(place.x_m), low.1.min(place.y_m)),
                (high.0.max(place.x_m), high.1.max(place.y_m)),
            ])
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_timed_path_runs_straight_and_ignores_jumps_in_its_speed() {
        let at = |t: f64, x: f64| (Time::new::<second>(t), PadMoment::at(x, 0.0));
        let path = TimedPath::new(&[at(0.0, 0.0), at(2.0, 0.1), at(2.0, 0.5), at(4.0, 0.5)])
            .expect("in order");
        assert!((path.moment(1.0).x_m - 0.05).abs() < 1e-12);
        assert!((path.moment(3.0).x_m - 0.5).abs() < 1e-12);
        assert!((path.speed_m_s() - 0.05).abs() < 1e-12);
    }

    #[test]
    fn the_box_around_a_path_holds_where_it_works_and_not_where_it_is_lifted() {
        let at = |t: f64, x: f64, strength_frac: f64| {
            let place = PadMoment {
                strength_frac,
                ..PadMoment::at(x, -x)
            };
            (Time::new::<second>(t), place)
        };
        let path = TimedPath::new(&[at(0.0, 0.2, 1.0), at(1.0, -0.1, 1.0), at(1.0, 0.9, 0.0)]);
        let extent = path.expect("in order").extent_m();
        assert_eq!(extent, Some([(-0.1, -0.2), (0.2, 0.1)]));
        // Lifted at the end of the way, it works on the way.
        let path = TimedPath::new(&[at(0.0, 0.2, 1.0), at(1.0, -0.3, 0.0)]).expect("in order");
        assert!(path.moment(0.9).strength_frac > 0.0);
        assert_eq!(path.extent_m(), Some([(-0.3, -0.2), (0.2, 0.3)]));
        let lifted = TimedPath::new(&[at(0.0, 0.2, 0.0)]).expect("in order");
        assert_eq!(lifted.extent_m(), None);
    }

    #[test]
    fn paths_that_are_no_paths_are_refused() {
        let at = |t: f64, x: f64| (Time::new::<second>(t), PadMoment::at(x, 0.0));
        assert!(TimedPath::new(&[]).is_err());
        assert!(TimedPath::new(&[at(1.0, 0.0), at(0.5, 0.1)]).is_err());
        assert!(TimedPath::new(&[at(0.0, f64::NAN)]).is_err());
    }
}
