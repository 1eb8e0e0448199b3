//! Where to put the gauge next: the place whose reading is most likely to set
//! the decision right, not the place that is known least.
//!
//! Law: the panel is polished when its thinnest place stays above the film
//! that the planned removal needs. Risk = min(w·p, 1 − p), p the chance that
//! the thinnest place is under it, w = c/(1 − c) for a confidence c (19 at
//! 95 %): so many times worse is polishing wrongly than leaving wrongly. Gain
//! = risk now − risk expected after one reading there.
//! Source: [`lapwing_measure::statistics::field::gain`].
//! Holds: for panels with a map. No place is offered within 20 mm of an edge.
//! Where one reading turns nothing, five are judged together. A gain under
//! 0.01 is no gain: more readings will not change the decision.
//! Left out: what the walk to the panel costs; panels without positions.
//! Checked by: the unit tests below and those of the law.

use lapwing_measure::statistics::field::{Choice, Draws, most_telling, reading_gains, set_gain};
use rayon::prelude::*;
use serde::Serialize;

use crate::record::{Part, Said, Sentence};

use super::map::{EDGE_MM, FilmMap, PanelMap};

/// Gains under this are none.
pub const LEAST_GAIN: f64 = 0.01;

/// Candidate places on a panel, about.
const CANDIDATES: f64 = 60.0;

/// Pairs of draws, and the most places they serve together.
const DRAWS: (usize, usize) = (300, 101);
const DRAWS_SEED: u64 = 20_260_102;

/// Places offered on one panel.
const MOST_ON_A_PANEL: usize = 3;

/// Readings that are judged together where one turns nothing.
const SET: usize = 5;

/// Places are rounded to this, mm: nobody aims better with a gauge.
const AIM_MM: f64 = 10.0;

/// A place worth reading.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NextReading {
    /// Our name of the panel.
    pub panel: String,
    /// Across the panel, mm.
    pub u_mm: f64,
    /// Up the panel, mm.
    pub v_mm: f64,
    /// Risk of a wrong decision it takes away, 0 to 1.
    pub gain: f64,
    /// Readings that take it away together; 1 where this one does it alone.
    pub together: usize,
}

/// What further readings are worth.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Advice {
    /// Places, the most worthwhile first.
    pub readings: Vec<NextReading>,
    /// A sentence for every panel, in the order of the maps.
    pub words: Vec<PanelWords>,
}

/// A sentence about a panel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PanelWords {
    /// Our name of the panel.
    pub panel: String,
    /// The sentence, without the panel's name.
    pub text: String,
    /// The same with its parts apart.
    #[serde(skip)]
    pub said: Said,
}

/// Ranks the places of all maps. `needed_um` gives, for a panel, the film its
/// thinnest place needs for the planned removal; `None` where the film of the
/// open face does not decide.
#[must_use]
pub fn next_readings(
    maps: &[PanelMap],
    needed_um: &(dyn Fn(&str) -> Option<f64> + Sync),
    confidence: f64,
) -> Advice {
    let draws = Draws::new(DRAWS_SEED, DRAWS.0, DRAWS.1);
    let confidence = confidence.clamp(0.5, 0.999);
    let found: Vec<(Vec<NextReading>, Said)> = maps
        .par_iter()
        .map(|map| {
            let Some(drawn) = map.drawn() else {
                return (Vec::new(), Sentence::NoMap.into());
            };
            match needed_um(map.panel()) {
                Some(needed_um) => on_panel(drawn, needed_um, confidence, &draws),
                None => (Vec::new(), Sentence::NotDecisive.into()),
            }
        })
        .collect();
    let mut advice = Advice::default();
    for (map, (readings, said)) in maps.iter().zip(found) {
        advice.readings.extend(readings);
        let panel = map.panel().to_owned();
        advice.words.push(PanelWords::of(panel, said));
    }
    advice.readings.sort_by(|a, b| b.gain.total_cmp(&a.gain));
    advice
}

fn on_panel(
    map: &FilmMap,
    needed_um: f64,
    confidence: f64,
    draws: &Draws,
) -> (Vec<NextReading>, Said) {
    let candidates = candidates(map);
    let mut places = map.doubtful.clone();
    let deciding = places.len();
    places.extend(&candidates);
    let choice = Choice {
        threshold: needed_um,
        weight: confidence / (1.0 - confidence),
        noise_sd: map.facts.noise_um,
    };
    let joint = map.process.joint(&places).widened(map.widening);
    let Ok((risk, gains)) = reading_gains(&joint, deciding, &choice, draws) else {
        return (Vec::new(), Sentence::Enough.into());
    };
    let mut ranked: Vec<(f64, [f64; 2])> = gains.into_iter().zip(candidates).collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    ranked.retain(|(gain, _)| *gain >= LEAST_GAIN);
    if !ranked.is_empty() {
        return single(map, apart(map, ranked));
    }
    if risk < LEAST_GAIN {
        return (Vec::new(), Sentence::Enough.into());
    }
    // One reading turns nothing; several may.
    let set = most_telling(&joint, deciding, SET, map.facts.noise_um);
    match set_gain(&joint, deciding, &set, &choice, draws) {
        Ok(gain) if gain >= LEAST_GAIN => {
            together(map, gain, set.into_iter().map(|number| places[number]))
        }
        _ => (Vec::new(), Sentence::Enough.into()),
    }
}

impl PanelWords {
    /// One of our sentences about a panel.
    pub fn of(panel: impl Into<String>, said: impl Into<Said>) -> Self {
        let said = said.into();
        Self {
            panel: panel.into(),
            text: said.english(),
            said,
        }
    }

    /// Whether further readings turn nothing.
    #[must_use]
    pub fn is_enough(&self) -> bool {
        self.said.sentence == Sentence::Enough
    }
}

/// The best places that do not repeat each other.
fn apart(map: &FilmMap, ranked: Vec<(f64, [f64; 2])>) -> Vec<(f64, [f64; 2])> {
    let apart_mm = 0.25 * map.facts.range_u_mm.min(map.facts.range_v_mm);
    let mut chosen: Vec<(f64, [f64; 2])> = Vec::new();
    for (gain, at) in ranked {
        let is_new = chosen
            .iter()
            .all(|(_, other)| (at[0] - other[0]).hypot(at[1] - other[1]) >= apart_mm);
        if is_new && chosen.len() < MOST_ON_A_PANEL {
            chosen.push((gain, at));
        }
    }
    chosen
}

fn single(map: &FilmMap, chosen: Vec<(f64, [f64; 2])>) -> (Vec<NextReading>, Said) {
    let words = chosen.first().map_or_else(
        || Sentence::Enough.into(),
        |(gain, [u, v])| {
            let parts = [Part::Length(*u), Part::Length(*v), Part::Number(*gain, 2)];
            Said::new(Sentence::ReadAt, parts)
        },
    );
    let readings = chosen.into_iter().map(|(gain, at)| next(map, at, gain, 1));
    (readings.collect(), words)
}

fn together(
    map: &FilmMap,
    gain: f64,
    set: impl Iterator<Item = [f64; 2]>,
) -> (Vec<NextReading>, Said) {
    let places: Vec<[f64; 2]> = set.collect();
    let count = places.len();
    let named = places.iter().map(|[u, v]| {
        Part::Said(Said::new(
            Sentence::Place,
            [Part::Length(*u), Part::Length(*v)],
        ))
    });
    let parts = [
        Part::Number(count as f64, 0),
        Part::Number(gain, 2),
        Part::List(named.collect()),
    ];
    let words = Said::new(Sentence::ReadTogether, parts);
    let readings = places.into_iter().map(|at| next(map, at, gain, count));
    (readings.collect(), words)
}

fn next(map: &FilmMap, [u_mm, v_mm]: [f64; 2], gain: f64, together: usize) -> NextReading {
    NextReading {
        panel: map.panel.clone(),
        u_mm,
        v_mm,
        gain,
        together,
    }
}

/// An even lattice over what a gauge can read, rounded to whole centimetres.
fn candidates(map: &FilmMap) -> Vec<[f64; 2]> {
    let outline = &map.outline;
    let [wide, tall] = outline.size_mm().map(|side| side - 2.0 * EDGE_MM);
    if wide <= 0.0 || tall <= 0.0 {
        return Vec::new();
    }
    let across = (CANDIDATES * wide / tall)
        .sqrt()
        .clamp(1.0, CANDIDATES)
        .round();
    let up = (CANDIDATES / across).floor().max(1.0);
    let mut found = Vec::new();
    let mut j = 0.5;
    while j < up {
        let mut i = 0.5;
        while i < across {
            let at = [
                outline.left_mm + EDGE_MM + wide * i / across,
                outline.bottom_mm + EDGE_MM + tall * j / up,
            ];
            let aimed = at.map(|mm| (mm / AIM_MM).round() * AIM_MM);
            if outline.inside_by_mm(aimed) >= EDGE_MM && !found.contains(&aimed) {
                found.push(aimed);
            }
            i += 1.0;
        }
        j += 1.0;
    }
    found
}

#[cfg(test)]
mod tests;
