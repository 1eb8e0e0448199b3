//! What an ultrasonic gauge says of single layers, panel by panel.
//!
//! Law: mean of the readings of the top layer; the doubt at any one place of
//! the panel is √(s²·(1 + 1/n) + u²), s the spread of n readings (3 µm, assumed,
//! for one), u the gauge's own: (2 µm + 3 %)/√3.
//! Source: class of ultrasonic gauges (2 µm + 3 %), from memory; rectangular
//! error [`lapwing_measure::Source::Gum2008`] 4.3.7.
//! A layer is never thicker than the whole film of its spot, or, where the spot
//! has no total, than the thickest total of its panel: such a reading is set
//! aside with its line.
//! Holds: for layers of 5 to 500 µm, on plastic as on metal. Readings of hidden
//! places are left out, as nobody polishes there.
//! Left out: base, primer and e-coat readings; only what is polished matters.
//! Checked by: the tests below.

use lapwing_measure::statistics::summary;
use serde::Serialize;

use super::PanelFilm;
use crate::record::readings::{LAYER_UM, LayerReading, shown};
use crate::record::{Caution, LayerName, Place, Readings, panel_names};

/// Spread over the panel where one reading cannot tell, µm.
const USUAL_SPREAD_UM: f64 = 3.0;

/// A layer as read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LayerRead {
    /// Mean, µm.
    pub mean_um: f64,
    /// Doubt at any one place of the panel, µm.
    pub sd_um: f64,
    /// Readings.
    pub count: usize,
}

/// Gives each panel its top layer; a panel without totals is added.
pub(super) fn add(panels: &mut Vec<PanelFilm>, readings: &Readings) -> Vec<Caution> {
    let is_sound = |um: f64| (LAYER_UM.0..=LAYER_UM.1).contains(&um);
    let is_outside = |place: Place| !matches!(place, Place::Hidden | Place::Zero);
    let tops = readings
        .layers
        .iter()
        .filter(|l| l.layer == LayerName::Top && is_sound(l.film_um) && is_outside(l.place));
    let mut films: Vec<(&str, Vec<f64>)> = Vec::new();
    let mut cautions = Vec::new();
    for top in tops {
        if let Some(whole_um) = whole_um(top, readings).filter(|um| top.film_um >= *um) {
            cautions.push(thicker_than_all(top, whole_um));
            continue;
        }
        match films.iter_mut().find(|(name, _)| *name == top.panel) {
            Some((_, films_um)) => films_um.push(top.film_um),
            None => films.push((&top.panel, vec![top.film_um])),
        }
    }
    for (name, films_um) in films {
        let at = panels.iter().position(|p| p.name == name);
        let at = at.unwrap_or_else(|| {
            panels.push(PanelFilm {
                name: name.to_owned(),
                ..PanelFilm::default()
            });
            panels.len() - 1
        });
        panels[at].top_layer = read(&films_um);
    }
    let others = readings.layers.iter().filter(|l| l.layer != LayerName::Top);
    let count = others.count();
    cautions.extend((count > 0).then(|| {
        Caution::new(
            "readings",
            format!(
                "{} of base, primer or e-coat {} passed over: only the clear or top coat is \
                 polished.",
                if count == 1 {
                    "1 reading".to_owned()
                } else {
                    format!("{count} readings")
                },
                if count == 1 { "was" } else { "were" },
            ),
        )
    }));
    cautions
}

/// The whole film at the layer's spot, else the thickest of its panel, µm.
fn whole_um(top: &LayerReading, readings: &Readings) -> Option<f64> {
    let of_panel = || {
        let all = readings.readings.iter();
        all.filter(|r| r.panel == top.panel && r.place != Place::Hidden)
    };
    let spot: Vec<f64> = of_panel()
        .filter(|r| r.spot.is_some() && r.spot == top.spot)
        .map(|r| r.film_um)
        .collect();
    let thickest = || of_panel().map(|r| r.film_um).reduce(f64::max);
    summary::mean(&spot).ok().or_else(thickest)
}

fn thicker_than_all(top: &LayerReading, whole_um: f64) -> Caution {
    Caution::new(
        format!("line {}", top.line),
        format!(
            "{}: the clear or top coat reads {} µm, but the whole film there reads {} µm, all \
             layers together; set aside. Check the column, the layer and the unit, and read it \
             again.",
            panel_names::spoken(&top.panel),
            shown(top.film_um),
            shown(whole_um)
        ),
    )
}

fn read(films_um: &[f64]) -> Option<LayerRead> {
    let mean_um = summary::mean(films_um).ok()?;
    let count = films_um.len();
    let spread_um = summary::sd(films_um).unwrap_or(USUAL_SPREAD_UM);
    let place_um = spread_um * (1.0 + 1.0 / count as f64).sqrt();
    Some(LayerRead {
        mean_um,
        sd_um: place_um.hypot((2.0 + 0.03 * mean_um) / 3.0_f64.sqrt()),
        count,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::readings;

    // By hand: 30, 32, 34: mean 32, s 2, √(4·4/3 + (2.96)²/3) = 2.87.
    #[test]
    fn three_layer_readings_are_averaged_with_their_doubt() {
        let table = "panel,thickness_um,layer\nbumper,30,clear\nbumper,32,clear\nbumper,34,clear\nbumper,17,base\n";
        let readings = readings::read("r.csv", table.as_bytes(), None).expect("sound");
        let mut panels = Vec::new();
        let cautions = add(&mut panels, &readings);
        let caution = cautions.first().expect("base was passed over");
        assert!(
            caution
                .text
                .starts_with("1 reading of base, primer or e-coat was")
        );
        let top = panels[0].top_layer.expect("read");
        assert!((top.mean_um - 32.0).abs() < 1e-12 && top.count == 3);
        let wanted = (16.0 / 3.0 + 2.96_f64.powi(2) / 3.0).sqrt();
        assert!((top.sd_um - wanted).abs() < 1e-12);
    }

    #[test]
    fn hidden_places_and_nonsense_say_nothing_of_the_outside() {
        let table = "panel,thickness_um,layer,place\nroof,40,clear,hidden\n";
        let readings = readings::read("r.csv", table.as_bytes(), None).expect("sound");
        let mut panels = Vec::new();
        assert!(add(&mut panels, &readings).is_empty());
        assert!(panels.is_empty());
    }

    #[test]
    fn a_clear_coat_thicker_than_the_whole_film_is_set_aside_with_its_line() {
        let table = "panel,thickness_um,spot,layer\nbonnet,118,1,\nbonnet,145,1,clear\nbonnet,160,2,\nbonnet,44,3,clear\nbonnet,150,4,clear\n";
        let readings = readings::read("r.csv", table.as_bytes(), None).expect("sound");
        let mut panels = Vec::new();
        let cautions = add(&mut panels, &readings);
        // Spot 1 has its own total; spot 4 has none and is held against 160.
        let [caution] = cautions.as_slice() else {
            panic!("one is set aside: {cautions:?}");
        };
        assert_eq!(caution.place, "line 3");
        assert!(caution.text.contains("145 µm") && caution.text.contains("118 µm"));
        assert_eq!(panels[0].top_layer.map(|t| t.count), Some(2));
    }
}
