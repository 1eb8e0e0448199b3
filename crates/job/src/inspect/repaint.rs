//! How likely each panel carries other paint than the factory's.
//!
//! Law: panel means are of two populations, factory xᵀβ ± σ₁ and painted again
//! xᵀβ + δ ± σ₂, see [`lapwing_measure::statistics::mixture`]; a small share of
//! filler may lie anywhere from 300 to 3000 µm. x says: lies flat, low on the
//! body, aluminium, plastic, single-stage, hidden. A hidden place is known to
//! be factory paint. A repair adds paint: film under xᵀβ is no likelier a repair
//! than film at it, whatever the tail of the second bell says. The chance stated is that of the fitted mixture with the
//! doubt in β, δ and σ₁ in it.
//! Source: [`lapwing_measure::Source::DempsterLairdRubin1977`]. Beliefs before the readings, all
//! assumed: the layer table's total ± 20 µm; flat panels 4 ± 5, low ones 5 ± 12,
//! aluminium 0 ± 5, hidden −5 ± 8 µm; panels of a car spread by 7 µm (worth 6
//! panels); a repair adds 110 ± 40 µm (repainted 200 to 300 µm in all after
//! trade texts), spread 55 µm, at least 25; 1 panel in 10 is painted again.
//! Holds: for any number of panels; with one or two the beliefs decide, which
//! is said. A car painted again all over reads as one population: only hidden
//! places or the level itself give it away.
//! Left out: which layer is extra.
//! Checked by: the tests below; the fit against scikit-learn, live.

use lapwing_measure::statistics::mixture::{
    Beliefs, Bell, Chance, Mixture, Observation, Point, SpreadBelief, mixture,
};
use lapwing_measure::statistics::summary;
use serde::Serialize;

use super::PanelFilm;
use super::findings;
use super::known::{Known, KnownPanel};
use crate::record::Zone;
use crate::record::job::{Paint, Substrate};
use crate::record::panel_names;
use crate::record::readings::shown;

/// A repair adds this much, µm, and so much more or less.
pub(super) const REPAIR: Bell = Bell {
    mean: 110.0,
    sd: 40.0,
};
/// Spread of repaired panels, µm.
pub(super) const REPAIR_SPREAD_UM: f64 = 55.0;
/// Density of filler, 1/µm: anywhere from 300 to 3000 µm.
pub(super) const FILLER_PER_UM: f64 = 1.0 / 2700.0;
const FILLER_FRAC: f64 = 0.005;
const LEAST_REPAIR_UM: f64 = 25.0;
const FACTORY_SPREAD: SpreadBelief = SpreadBelief {
    sd: 7.0,
    worth: 6.0,
};
/// Panels believed to be factory and painted again before any is read.
const COUNTS: [f64; 2] = [4.5, 0.5];
/// Spread of spots inside a panel, µm, worth so many spots.
const SPOTS: (f64, f64) = (4.0, 6.0);
const COEFFICIENTS: usize = 7;

/// What the panels of the car say together.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RepaintStudy {
    /// Share of panels painted again, 0 to 1.
    pub share_frac: Option<f64>,
    /// Film of an upright factory panel of the usual substrate, µm.
    pub factory_um: Option<f64>,
    /// How well that is known, µm.
    pub factory_sd_um: Option<f64>,
    /// Spread of the car's factory panels about it, µm.
    pub panel_sd_um: Option<f64>,
    /// What it rests on, in a sentence.
    pub words: String,
}

/// States the chance of each panel and what the car says as a whole.
pub(super) fn judge(panels: &mut [PanelFilm], known: &Known) -> RepaintStudy {
    let within_um2 = within_um2(panels);
    let mut observations = Vec::new();
    let mut owners = Vec::new();
    for (at, panel) in panels.iter().enumerate() {
        let about = known.panel(&panel.name);
        if matches!(about.paint, Paint::Wrap | Paint::Film) || about.is_repainted {
            continue;
        }
        let place = |value: f64, count: usize, is_hidden: bool| Observation {
            value,
            variance: within_um2 / count.max(1) as f64,
            covariates: covariates(panel, about, is_hidden),
            is_first: is_hidden,
        };
        if let Some(um) = panel.mean_um {
            observations.push(place(um, panel.spots, false));
            owners.push(Some(at));
        }
        if let Some(um) = panel.hidden_um {
            observations.push(place(um, 1, true));
            owners.push(None);
        }
    }
    for panel in panels.iter_mut() {
        let about = known.panel(&panel.name);
        panel.repaint_probability = about.is_repainted.then_some(1.0);
    }
    let Some(found) = fitted(&observations, known) else {
        return RepaintStudy {
            words: "No panel was read on its open face, so nothing is said of repaint.".to_owned(),
            ..RepaintStudy::default()
        };
    };
    for (observation, owner) in observations.iter().zip(&owners) {
        if let Some(at) = owner {
            let (middle_um, sd_um) = found.first_middle(&observation.covariates);
            // A repair adds: film under the factory's middle is no likelier one
            // than film at it.
            let raised = Observation {
                value: observation.value.max(middle_um),
                ..observation.clone()
            };
            let Chance { first, .. } = found.chance(&raised);
            panels[*at].repaint_probability = Some((1.0 - first).clamp(0.0, 1.0));
            let spread_um = sd_um.hypot(found.point.spreads[0]);
            let under = findings::under_factory(observation.value, (middle_um, spread_um));
            panels[*at].found.extend(under);
        }
    }
    told(
        &found,
        known,
        owners.iter().flatten().count(),
        observations.len(),
    )
}

fn told(found: &Mixture, known: &Known, read: usize, all: usize) -> RepaintStudy {
    // With a job the usual panel is of steel; without one all are alike.
    let about = &known.usual;
    let upright = PanelFilm::default();
    let plain = covariates(&upright, about, false);
    debug_assert_eq!(plain.len(), COEFFICIENTS);
    let (factory_um, factory_sd_um) = found.first_middle(&plain);
    let basis = match (read, all - read) {
        (0, _) => "only hidden places were read: the factory build is known, the outside is not",
        (1 | 2, 0) => "so few panels were read that the assumed factory build decides",
        (_, 0) => "panels are compared with each other and with the assumed factory build",
        _ => "hidden places serve as the factory build",
    };
    RepaintStudy {
        share_frac: Some(found.point.share_frac),
        factory_um: Some(factory_um),
        factory_sd_um: Some(factory_sd_um),
        panel_sd_um: Some(found.point.spreads[0]),
        words: format!(
            "A factory panel of this car carries about {} µm ({} µm more or less), upright, on \
             {}; {basis}.",
            shown(factory_um.round()),
            shown((10.0 * factory_sd_um).round() / 10.0),
            about.substrate.word(),
        ),
    }
}

/// The best of three climbs: as believed, from the thin end, all painted again.
fn fitted(observations: &[Observation], known: &Known) -> Option<Mixture> {
    if observations.is_empty() {
        return None;
    }
    let beliefs = beliefs(known);
    let free: Vec<f64> = observations
        .iter()
        .map(|o| o.value - offsets(&beliefs, o))
        .collect();
    let lowest = free.iter().copied().fold(f64::INFINITY, f64::min);
    let middle = summary::median(&free).ok()?;
    let from = |level: f64, share_frac: f64| {
        let mut coefficients: Vec<f64> = beliefs.coefficients.iter().map(|b| b.mean).collect();
        coefficients[0] = level;
        Point {
            coefficients,
            shift: REPAIR.mean,
            spreads: [FACTORY_SPREAD.sd, REPAIR_SPREAD_UM],
            share_frac,
        }
    };
    let believed = beliefs.coefficients[0].mean;
    [from(believed, 0.1), from(middle, 0.1), from(lowest, 0.5)]
        .iter()
        .filter_map(|start| mixture(observations, &beliefs, start).ok())
        .max_by(|a, b| a.log_posterior.total_cmp(&b.log_posterior))
}

fn offsets(beliefs: &Beliefs, observation: &Observation) -> f64 {
    let pairs = beliefs.coefficients.iter().zip(&observation.covariates);
    pairs.skip(1).map(|(b, x)| b.mean * x).sum()
}

fn beliefs(known: &Known) -> Beliefs {
    let total = |build: &crate::record::layers::Build| build.total().mean_um;
    let metal = total(&known.layers.metal);
    let bell = |mean: f64, sd: f64| Bell { mean, sd };
    Beliefs {
        coefficients: vec![
            bell(metal, 20.0),
            bell(4.0, 5.0),
            bell(5.0, 12.0),
            bell(0.0, 5.0),
            bell(total(&known.layers.plastic) - metal, 12.0),
            bell(total(&known.layers.single_stage) - metal, 12.0),
            bell(-5.0, 8.0),
        ],
        shift: REPAIR,
        least_shift: LEAST_REPAIR_UM,
        spreads: [
            FACTORY_SPREAD,
            SpreadBelief {
                sd: REPAIR_SPREAD_UM,
                worth: 6.0,
            },
        ],
        counts: COUNTS,
        stray: Some((FILLER_PER_UM, FILLER_FRAC)),
    }
}

fn covariates(panel: &PanelFilm, about: &KnownPanel, is_hidden: bool) -> Vec<f64> {
    let stem = panel_names::stem(&panel.name).0;
    let is_plastic = matches!(about.substrate, Substrate::Plastic | Substrate::Laminate);
    let is = |statement: bool| f64::from(u8::from(statement));
    vec![
        1.0,
        is(panel_names::zone(&panel.name) == Zone::A && !is_hidden),
        is(matches!(stem, "sill" | "bed-side")),
        is(about.substrate == Substrate::Aluminium),
        is(is_plastic),
        is(about.paint == Paint::SingleStage),
        is(is_hidden),
    ]
}

/// Square of the spread of spots inside a panel, pooled over the car.
fn within_um2(panels: &[PanelFilm]) -> f64 {
    let (sd, worth) = SPOTS;
    let start = (worth * sd * sd, worth);
    let (squares, freedom) = panels.iter().fold(start, |(squares, freedom), p| {
        let more = p.spots.saturating_sub(1) as f64;
        let sd_um = p.sd_um.unwrap_or(0.0);
        (squares + more * sd_um * sd_um, freedom + more)
    });
    squares / freedom
}

#[cfg(test)]
mod tests {
    use super::*;

    fn panel(name: &str, mean_um: f64) -> PanelFilm {
        PanelFilm {
            name: name.to_owned(),
            mean_um: Some(mean_um),
            spots: 5,
            sd_um: Some(3.0),
            ..PanelFilm::default()
        }
    }

    fn chances(panels: &[(&str, f64)]) -> Vec<f64> {
        let mut films: Vec<PanelFilm> = panels.iter().map(|(n, um)| panel(n, *um)).collect();
        judge(&mut films, &Known::default());
        let stated = |f: &PanelFilm| f.repaint_probability.expect("stated");
        films.iter().map(stated).collect()
    }

    #[test]
    fn one_thick_panel_among_even_ones_is_named_and_the_others_are_not() {
        let found = chances(&[
            ("bonnet", 118.0),
            ("roof", 121.0),
            ("front-door-left", 112.0),
            ("front-door-right", 114.0),
            ("quarter-left", 113.0),
            ("front-wing-right", 212.0),
        ]);
        assert!(found[5] > 0.99, "{found:?}");
        assert!(found[..5].iter().all(|p| *p < 0.05), "{found:?}");
    }

    #[test]
    fn a_car_of_three_panels_stays_sane() {
        let even = chances(&[("bonnet", 118.0), ("roof", 112.0), ("tailgate", 121.0)]);
        assert!(even.iter().all(|p| *p < 0.1), "{even:?}");
        let odd = chances(&[("bonnet", 118.0), ("roof", 112.0), ("tailgate", 230.0)]);
        assert!(odd[2] > 0.95 && odd[0] < 0.1 && odd[1] < 0.1, "{odd:?}");
        let unsure = chances(&[("bonnet", 118.0), ("roof", 112.0), ("tailgate", 143.0)]);
        assert!(unsure[2] > 0.05 && unsure[2] < 0.95, "{unsure:?}");
    }

    #[test]
    fn one_panel_is_judged_by_the_assumed_build_and_it_is_said() {
        assert!(chances(&[("bonnet", 118.0)])[0] < 0.1);
        assert!(chances(&[("bonnet", 290.0)])[0] > 0.9);
        let mut one = [panel("bonnet", 118.0)];
        let study = judge(&mut one, &Known::default());
        assert!(study.words.contains("the assumed factory build decides"));
    }

    // Thicker is never less likely a repaint.
    #[test]
    fn the_chance_rises_with_the_film() {
        let rest = [
            ("roof", 112.0),
            ("tailgate", 116.0),
            ("front-door-left", 114.0),
        ];
        let chance = |um: f64| {
            let mut all = vec![("bonnet", um)];
            all.extend(rest);
            chances(&all)[0]
        };
        let rising: Vec<f64> = [115.0, 130.0, 145.0, 160.0, 200.0, 300.0]
            .map(chance)
            .to_vec();
        assert!(rising.windows(2).all(|w| w[1] >= w[0] - 1e-6), "{rising:?}");
    }

    #[test]
    fn film_far_under_any_factory_build_is_missing_paint_and_no_repaint() {
        for (has_rest, um) in [(false, 30.0), (true, 30.0), (true, 62.0)] {
            let mut films = vec![panel("bonnet", um)];
            if has_rest {
                let rest = [
                    ("roof", 112.0),
                    ("tailgate", 116.0),
                    ("front-door-left", 114.0),
                ];
                films.extend(rest.map(|(name, um)| panel(name, um)));
            }
            judge(&mut films, &Known::default());
            assert!(films[0].repaint_probability < Some(0.2), "{:?}", films[0]);
            let found = &films[0].found[..];
            assert!(
                matches!(found, [f] if f.kind == findings::FindingKind::UnderFactory
                    && f.probability > Some(0.9) && f.reason.contains("no repaint")),
                "{um}: {found:?}"
            );
            assert!(films[1..].iter().all(|f| f.found.is_empty()));
        }
    }

    #[test]
    fn a_hidden_place_gives_a_car_painted_all_over_away() {
        let all_over = |hidden: bool| {
            let mut films: Vec<PanelFilm> = ["bonnet", "front-door-left", "front-door-right"]
                .map(|n| panel(n, 168.0))
                .to_vec();
            if hidden {
                films[1].hidden_um = Some(101.0);
                films[2].hidden_um = Some(103.0);
            }
            judge(&mut films, &Known::default());
            films[0].repaint_probability.expect("stated")
        };
        assert!(all_over(true) > 0.9, "{}", all_over(true));
        assert!(all_over(true) > all_over(false));
    }

    #[test]
    fn plastic_is_not_held_against_metal_and_film_is_not_judged() {
        let known = Known {
            panels: vec![
                KnownPanel {
                    name: "front-bumper".to_owned(),
                    substrate: Substrate::Plastic,
                    ..Known::default().usual
                },
                KnownPanel {
                    name: "roof".to_owned(),
                    paint: Paint::Wrap,
                    ..Known::default().usual
                },
            ],
            ..Known::default()
        };
        let mut films = [
            panel("front-bumper", 120.0),
            panel("bonnet", 120.0),
            panel("tailgate", 117.0),
            panel("roof", 250.0),
        ];
        judge(&mut films, &known);
        let chance = |at: usize| films[at].repaint_probability;
        assert!(chance(0) > Some(0.5) && chance(1) < Some(0.1));
        assert_eq!(chance(3), None);
    }

    #[test]
    fn nothing_read_or_only_hidden_gets_a_sentence() {
        let study = judge(&mut [], &Known::default());
        assert!(study.words.contains("No panel was read on its open face"));
        let mut hidden = [PanelFilm {
            hidden_um: Some(100.0),
            ..PanelFilm::default()
        }];
        let study = judge(&mut hidden, &Known::default());
        assert!(study.words.contains("only hidden places were read"));
        assert_eq!(hidden[0].repaint_probability, None);
    }
}
