//! Sorts the readings by panel and spot and averages the repeats of a spot.
//!
//! Law: x̄_spot, the mean of a spot's readings that repeat; x in µm.
//! Source: spot means after [`lapwing_measure::Source::SspcPa2`], which also
//! lets an unusual reading go that does not repeat.
//! Holds: for repeats that share a spot name or, without one, the same position.
//! Any other reading is a spot of its own.
//! Left out: spots read twice that disagree: two readings cannot say which one
//! is wrong, so both stay and show in the repeatability.
//! Checked by: the unit tests of the module above, among them the nested
//! example with a pooled repeatability of 0.774597 µm.

use std::collections::HashMap;

use super::oddities;
use crate::record::readings::{LEAST_FILM_UM, MOST_FILM_UM, shown};
use crate::record::{Caution, Place, Reading};

/// A reading that its own spot's repeats contradict.
#[derive(Clone, Copy, Debug)]
pub(super) struct Unrepeated {
    pub(super) place: Place,
    pub(super) film_um: f64,
    pub(super) others_um: f64,
}

/// One spot of a panel.
#[derive(Debug)]
pub(super) struct Spot<'a> {
    pub(super) place: Place,
    pub(super) mean_um: f64,
    /// Readings behind the mean.
    pub(super) count: usize,
    pub(super) name: Option<&'a str>,
    /// Across and up the panel, mm, where it was written down.
    pub(super) at_mm: Option<[f64; 2]>,
    /// The readings by operator; empty for a spot read once.
    pub(super) by_hand: Vec<Vec<f64>>,
    /// Line of the file of its first reading.
    pub(super) line: usize,
}

/// The spots of one panel.
#[derive(Debug)]
pub(super) struct Panel<'a> {
    pub(super) name: &'a str,
    pub(super) count: usize,
    pub(super) spots: Vec<Spot<'a>>,
    pub(super) unrepeated: Vec<Unrepeated>,
}

impl Panel<'_> {
    /// Means of the field spots of which neither name nor position is known.
    pub(super) fn placeless_um(&self) -> Vec<f64> {
        let is_placeless =
            |s: &&Spot| s.place == Place::Field && s.name.is_none() && s.at_mm.is_none();
        self.spots
            .iter()
            .filter(is_placeless)
            .map(|s| s.mean_um)
            .collect()
    }

    /// How far its places reach from the lower left corner, mm; nothing without
    /// a place.
    pub(super) fn reach_mm(&self) -> Option<[f64; 2]> {
        let places = self.spots.iter().filter_map(|s| s.at_mm);
        let far = places.reduce(|far, at| [far[0].max(at[0]), far[1].max(at[1])])?;
        Some(far.map(|mm| mm + super::map::EDGE_MM))
    }

    /// Spot means at these places, in the order of the file.
    pub(super) fn means_um(&self, places: &[Place]) -> Vec<f64> {
        let wanted = self.spots.iter().filter(|s| places.contains(&s.place));
        wanted.map(|s| s.mean_um).collect()
    }
}

/// The panels in order of first appearance, and what could not be used.
pub(super) fn by_panel(readings: &[Reading]) -> (Vec<Panel<'_>>, Vec<Caution>) {
    let mut cautions = Vec::new();
    let mut order: HashMap<&str, usize> = HashMap::new();
    let mut groups: Vec<(&str, Vec<&Reading>)> = Vec::new();
    for reading in readings.iter().filter(|r| r.place != Place::Zero) {
        if !(LEAST_FILM_UM..=MOST_FILM_UM).contains(&reading.film_um) {
            cautions.push(unusable(reading));
            continue;
        }
        let at = *order.entry(&reading.panel).or_insert_with(|| {
            groups.push((&reading.panel, Vec::new()));
            groups.len() - 1
        });
        groups[at].1.push(reading);
    }
    (
        groups
            .into_iter()
            .map(|(name, group)| panel(name, &group))
            .collect(),
        cautions,
    )
}

fn unusable(reading: &Reading) -> Caution {
    let came = if reading.film_um.is_finite() {
        format!("{} µm", shown(reading.film_um))
    } else {
        "what is not a number".to_owned()
    };
    Caution::new(
        format!("line {}", reading.line),
        format!(
            "{came} on {} is outside {LEAST_FILM_UM} to {MOST_FILM_UM} µm and was left out.",
            reading.panel
        ),
    )
}

#[derive(PartialEq, Eq, Hash)]
enum Key<'a> {
    Named(&'a str),
    At(u64, u64),
    Alone(usize),
}

fn key(index: usize, reading: &Reading) -> Key<'_> {
    match (&reading.spot, reading.u_mm, reading.v_mm) {
        (Some(spot), ..) => Key::Named(spot),
        (None, Some(u), Some(v)) => Key::At((u + 0.0).to_bits(), (v + 0.0).to_bits()),
        _ => Key::Alone(index),
    }
}

fn panel<'a>(name: &'a str, group: &[&'a Reading]) -> Panel<'a> {
    let mut order: HashMap<(Place, Key), usize> = HashMap::new();
    let mut spots: Vec<Vec<&'a Reading>> = Vec::new();
    for (index, reading) in group.iter().enumerate() {
        let at = *order
            .entry((reading.place, key(index, reading)))
            .or_insert_with(|| {
                spots.push(Vec::new());
                spots.len() - 1
            });
        spots[at].push(reading);
    }
    let mut panel = Panel {
        name,
        count: group.len(),
        spots: Vec::with_capacity(spots.len()),
        unrepeated: Vec::new(),
    };
    for readings in &spots {
        panel.take(readings);
    }
    panel
}

impl<'a> Panel<'a> {
    fn take(&mut self, readings: &[&'a Reading]) {
        let films_um: Vec<f64> = readings.iter().map(|r| r.film_um).collect();
        let (odd, kept) = oddities::split_repeats(&films_um);
        #[allow(
            clippy::cast_precision_loss,
            reason = "a count of readings, far below 2^53"
        )]
        let mean_um = kept.iter().sum::<f64>() / kept.len() as f64;
        let first = readings[0];
        self.spots.push(Spot {
            place: first.place,
            mean_um,
            count: kept.len(),
            name: first.spot.as_deref(),
            at_mm: middle_mm(readings),
            by_hand: by_hand(readings, &odd),
            line: first.line,
        });
        let unrepeated = |film_um| Unrepeated {
            place: first.place,
            film_um,
            others_um: mean_um,
        };
        self.unrepeated.extend(odd.into_iter().map(unrepeated));
    }
}

fn by_hand(readings: &[&Reading], odd_um: &[f64]) -> Vec<Vec<f64>> {
    if readings.len() < 2 {
        return Vec::new();
    }
    let mut hands: Vec<(Option<&str>, Vec<f64>)> = Vec::new();
    for reading in readings.iter().filter(|r| !odd_um.contains(&r.film_um)) {
        let hand = reading.operator.as_deref();
        match hands.iter_mut().find(|(h, _)| *h == hand) {
            Some((_, films_um)) => films_um.push(reading.film_um),
            None => hands.push((hand, vec![reading.film_um])),
        }
    }
    hands.into_iter().map(|(_, films_um)| films_um).collect()
}

/// Mean of the positions that were written down.
fn middle_mm(readings: &[&Reading]) -> Option<[f64; 2]> {
    let known: Vec<[f64; 2]> = readings
        .iter()
        .filter_map(|r| r.u_mm.zip(r.v_mm).map(|(u, v)| [u, v]))
        .collect();
    let middle = |axis: usize| {
        // About the first, so that equal positions stay equal to the last bit.
        let first = known[0][axis];
        first + known.iter().map(|p| p[axis] - first).sum::<f64>() / count(known.len())
    };
    (!known.is_empty()).then(|| [middle(0), middle(1)])
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a count of readings, far below 2^53"
)]
fn count(readings: usize) -> f64 {
    readings as f64
}
