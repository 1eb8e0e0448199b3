//! How long this shop really takes: the timer's minutes against the plan's.
//!
//! Law: factor = exp(mean of ln(measured/planned)). With three cars or more
//! the mean and its interval are taken over cars, x̄ ± t(0.975, n−1)·s/√n of
//! each car's mean logarithm, because sections of one car hang together; with
//! fewer over sections. The next car spreads with s·√(1 + 1/n).
//! Source: NIST e-Handbook 1.3.5.2 (`Source::NistHandbook`).
//! Holds: for sections that were timed from begin to done. A section that took
//! under a tenth or over ten times its plan is a timer forgotten: left out and
//! counted.
//! Left out: that a shop gets quicker over the years.
//! Checked by: an example worked by hand with the printed t table.

use std::collections::BTreeMap;

use lapwing_measure::statistics::quantile::student_t;
use lapwing_measure::statistics::summary::{mean, sd};
use lapwing_measure::{Provenance, Source};
use serde::Serialize;

/// Where the interval of a mean is written down.
pub const SOURCE: Source = Source::NistHandbook;

/// Fewer sections teach nothing.
pub const LEAST_SECTIONS: usize = 3;

/// From so many cars on the cars are what is counted.
const LEAST_CARS: usize = 3;

/// Measured over planned that is still believed.
const BELIEVED: (f64, f64) = (0.1, 10.0);

/// A section that was timed.
#[derive(Clone, Debug, PartialEq)]
pub struct TimedSection {
    /// Which car.
    pub car: String,
    /// What the plan said, min.
    pub planned_min: f64,
    /// What it took, min.
    pub measured_min: f64,
}

impl TimedSection {
    /// Whether its timer ran as the section did.
    #[must_use]
    pub fn is_believed(&self) -> bool {
        (BELIEVED.0..=BELIEVED.1).contains(&(self.measured_min / self.planned_min))
    }
}

/// The shop's pace.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Pace {
    /// Measured over planned minutes.
    pub factor: f64,
    /// Lower end, 95 %.
    pub lower_95: f64,
    /// Upper end, 95 %.
    pub upper_95: f64,
    /// Standard deviation of the next car's factor, as a share; unknown before
    /// three cars.
    pub next_car_frac: Option<f64>,
    /// Sections it rests on.
    pub sections: usize,
    /// Cars they belong to.
    pub cars: usize,
    /// Sections left out as forgotten timers.
    pub left_out: usize,
    /// Fitted on the shop's own log.
    pub provenance: Provenance,
}

/// What the timed sections teach; nothing before three of them.
#[must_use]
pub fn pace(timed: &[TimedSection]) -> Option<Pace> {
    let mut cars: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for section in timed {
        if section.is_believed() {
            let ratio = section.measured_min / section.planned_min;
            cars.entry(&section.car).or_default().push(ratio.ln());
        }
    }
    let all: Vec<f64> = cars.values().flatten().copied().collect();
    if all.len() < LEAST_SECTIONS {
        return None;
    }
    let is_by_car = cars.len() >= LEAST_CARS;
    let counted = if is_by_car {
        cars.values().filter_map(|logs| mean(logs).ok()).collect()
    } else {
        all.clone()
    };
    let count = counted.len() as f64;
    let (middle, spread) = (mean(&counted).ok()?, sd(&counted).ok()?);
    let half = student_t(0.975, count - 1.0).ok()? * spread / count.sqrt();
    Some(Pace {
        factor: middle.exp(),
        lower_95: (middle - half).exp(),
        upper_95: (middle + half).exp(),
        next_car_frac: is_by_car.then(|| spread * (1.0 + 1.0 / count).sqrt()),
        sections: all.len(),
        cars: cars.len(),
        left_out: timed.len() - all.len(),
        provenance: Provenance::Calibrated,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn section(car: &str, log: f64) -> TimedSection {
        TimedSection {
            car: car.to_owned(),
            planned_min: 6.0,
            measured_min: 6.0 * log.exp(),
        }
    }

    #[test]
    fn three_sections_of_one_car_worked_by_hand() {
        let pace = pace(&[0.0, 0.1, 0.2].map(|l| section("a", l))).expect("a pace");
        // Mean 0.1, s = 0.1, t(0.975, 2) = 4.303 (printed): ±0.24843.
        assert!((pace.factor - 1.105_171).abs() < 1e-6);
        assert!((pace.lower_95 - 0.862_06).abs() < 1e-4);
        assert!((pace.upper_95 - 1.416_85).abs() < 1e-4);
        assert_eq!((pace.sections, pace.cars, pace.next_car_frac), (3, 1, None));
    }

    #[test]
    fn with_three_cars_the_cars_count_and_not_their_sections() {
        let logs = [("a", 0.0), ("b", 0.1), ("c", 0.2)];
        let timed: Vec<TimedSection> = (0..40)
            .flat_map(|_| logs.map(|(car, log)| section(car, log)))
            .collect();
        let pace = pace(&timed).expect("a pace");
        assert!(
            (pace.upper_95 - 1.416_85).abs() < 1e-4,
            "as three, not as 120"
        );
        // 0.1·√(1 + 1/3)
        let next = pace.next_car_frac.expect("three cars");
        assert!((next - 0.115_470).abs() < 1e-5);
        assert_eq!(pace.sections, 120);
    }

    #[test]
    fn a_forgotten_timer_and_nonsense_are_left_out_and_counted() {
        let mut timed: Vec<TimedSection> = [0.0, 0.0, 0.0].map(|l| section("a", l)).to_vec();
        let odd = |planned_min, measured_min| TimedSection {
            car: "a".to_owned(),
            planned_min,
            measured_min,
        };
        timed.extend([
            odd(6.0, 900.0),
            odd(0.0, 5.0),
            odd(6.0, f64::NAN),
            odd(-1.0, 2.0),
        ]);
        let pace = pace(&timed).expect("a pace");
        assert_eq!((pace.factor, pace.left_out), (1.0, 4));
        assert!(super::pace(&timed[..2]).is_none() && super::pace(&[]).is_none());
    }
}
