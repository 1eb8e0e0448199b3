//! Where a pass leaves what its laws hold for: the paint is through, or the
//! panel or its paint softens and burns.
//!
//! Law: the paint is through once the deepest place lost as much as clear coat
//! or film are thick; that moment is the same share of the pass as the film is
//! of what goes. Hot is when the hottest place first passes a bound: 100 °C on
//! plastic and laminate, 150 °C on metal; between two moments in a straight line.
//! Source: own; both bounds are assumed: polypropylene and clear coat soften
//! above about 80 °C, and such paint is baked at 130 to 150 °C (common practice).
//! Holds: the moment is exact for a machine that stands still and an abrasive
//! that keeps its cut, else about right. The laws' own numbers are kept.
//! Left out: what softened paint and burnt plastic do then.
//! Checked by: the tests below, by hand, and a machine standing for ten minutes.

use lapwing_physics::heat::Layer;
use serde::Serialize;
use uom::si::length::micrometer;
use uom::si::thermal_conductivity::watt_per_meter_kelvin;

use super::result::{BenchResult, Moment};
use super::setup::Setup;
use crate::record::{Caution, Part, Said, Sentence};

/// Surface temperature from which plastic softens, °C; assumed.
const PLASTIC_SOFT_C: f64 = 100.0;
/// Surface temperature over which paint on metal burns, °C; assumed.
const PAINT_BURNS_C: f64 = 150.0;
/// What conducts worse is plastic or laminate, W/(m·K).
const PLASTIC_W_M_K: f64 = 5.0;

/// From when on the figures mean nothing; `null` where that is not reached.
#[derive(Clone, Copy, Debug, Default, Serialize)]
pub struct Beyond {
    /// The clear coat is through at the deepest place.
    pub clear_through_after_s: Option<f64>,
    /// All paint is through there.
    pub paint_through_after_s: Option<f64>,
    /// The panel or its paint is as hot as `too_hot_c`.
    pub too_hot_after_s: Option<f64>,
    /// Where that begins.
    pub too_hot_c: f64,
    /// Whether it is the panel that softens, not the paint that burns.
    pub is_plastic: bool,
}

impl Beyond {
    pub(super) fn of(setup: &Setup, result: &BenchResult) -> Self {
        let layers = &setup.panel.layers;
        let um = |layers: &[Layer]| {
            let each = layers.iter().map(|l| l.thickness.get::<micrometer>());
            each.sum::<f64>()
        };
        let through = |film_um: f64| {
            let deepest_um = result.removal.max_um;
            (film_um > 0.0 && deepest_um >= film_um).then(|| result.time_s * film_um / deepest_um)
        };
        let paint = layers.len().saturating_sub(1);
        let is_plastic = layers
            .iter()
            .max_by(|a, b| a.thickness.value.total_cmp(&b.thickness.value))
            .is_some_and(|l| l.conductivity.get::<watt_per_meter_kelvin>() < PLASTIC_W_M_K);
        let too_hot_c = if is_plastic {
            PLASTIC_SOFT_C
        } else {
            PAINT_BURNS_C
        };
        Self {
            clear_through_after_s: through(um(&layers[..paint.min(1)])),
            paint_through_after_s: through(um(&layers[..paint])),
            too_hot_after_s: (result.heat.peak_c >= too_hot_c)
                .then(|| first_over(&result.history, too_hot_c).unwrap_or(result.heat.peak_at.t_s)),
            too_hot_c,
            is_plastic,
        }
    }

    /// Why no finish is stated; nothing where the film is still there and whole.
    #[must_use]
    pub fn no_finish(&self) -> Option<Said> {
        if let Some(s) = self.clear_through_after_s {
            return Some(Said::new(Sentence::NoFinishThrough, [seconds(s)]));
        }
        let s = self.too_hot_after_s?;
        let parts = [Part::Heat(self.too_hot_c), seconds(s)];
        Some(Said::new(Sentence::NoFinishBurnt, parts))
    }

    /// What the laws do not hold for.
    #[must_use]
    pub fn doubts(&self) -> Vec<Caution> {
        let through = self
            .paint_through_after_s
            .map(|s| Caution::of("removal", Said::new(Sentence::PaintThrough, [seconds(s)])));
        let hot = self.too_hot_after_s.map(|s| {
            let sentence = if self.is_plastic {
                Sentence::PlasticSoftens
            } else {
                Sentence::PaintBurns
            };
            let parts = [Part::Heat(self.too_hot_c), seconds(s)];
            Caution::of("heat", Said::new(sentence, parts))
        });
        through.into_iter().chain(hot).collect()
    }
}

fn seconds(s: f64) -> Part {
    Part::Seconds(s, usize::from(s < 10.0))
}

/// When the hottest place first passes a bound.
fn first_over(history: &[Moment], bound_c: f64) -> Option<f64> {
    let at = history.iter().position(|m| m.hottest_c >= bound_c)?;
    let after = history[at];
    let Some(before) = at.checked_sub(1).map(|before| history[before]) else {
        return Some(after.t_s);
    };
    let share = (bound_c - before.hottest_c) / (after.hottest_c - before.hottest_c);
    Some(before.t_s + share * (after.t_s - before.t_s))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{BenchResult, HeatWatch, bench, read_setup};

    fn moment(t_s: f64, hottest_c: f64) -> Moment {
        Moment {
            t_s,
            under_pad_c: None,
            hottest_c,
        }
    }

    #[test]
    fn a_bound_is_passed_between_two_moments_in_a_straight_line() {
        let history = [moment(0.0, 20.0), moment(10.0, 80.0), moment(20.0, 120.0)];
        assert_eq!(first_over(&history, 100.0), Some(15.0));
        assert_eq!(first_over(&history, 20.0), Some(0.0));
        assert_eq!(first_over(&history, 121.0), None);
        assert_eq!(first_over(&[], 10.0), None);
    }

    fn standing(seconds: u32, substrate: &str) -> BenchResult {
        let text = format!(
            "[panel]\nsize = [\"0.4 m\", \"0.4 m\"]\nsubstrate = \"{substrate}\"\n[machine]\nkind = \"rotary\"\n\
             speed = \"1800 rpm\"\n[pad]\ndiameter = \"125 mm\"\n[touch]\nforce = \"45 N\"\ntilt = \"1 deg\"\n\
             [stroke]\npattern = \"still\"\nduration = \"{seconds} s\"\n[heat]\ndetail = \"quick\"\n"
        );
        let setup = read_setup("s.toml", &text, &|_| Err(String::new())).expect("good");
        bench(&setup, HeatWatch::default()).expect("works")
    }

    #[test]
    fn a_machine_that_stands_for_ten_minutes_is_through_and_hot_and_leaves_no_gloss() {
        let result = standing(600, "plastic");
        let beyond = result.beyond;
        let (clear_s, paint_s) = (
            beyond.clear_through_after_s.expect("through"),
            beyond.paint_through_after_s.expect("through"),
        );
        let hot_s = beyond.too_hot_after_s.expect("hot");
        assert!(0.0 < clear_s && clear_s < paint_s && paint_s < 600.0);
        assert!(0.0 < hot_s && hot_s < 60.0, "{hot_s}");
        // Standing for just that long it is through, to a share of the clock.
        let just = standing(paint_s.ceil() as u32, "plastic");
        assert!(just.beyond.paint_through_after_s.is_some());
        let before = standing(paint_s.floor() as u32 - 1, "plastic");
        assert_eq!(before.beyond.paint_through_after_s, None);
        let said: Vec<&str> = result.cautions.iter().map(|c| c.text.as_str()).collect();
        for words in ["The paint is through after about", "softens and burns"] {
            assert!(said.iter().any(|text| text.contains(words)), "{said:?}");
        }
        let finish = &result.finish;
        assert_eq!(finish.gloss_20_gu, None);
        let why = finish.not_stated.as_deref().expect("a reason");
        assert!(why.contains("clear coat is through"), "{why}");
    }

    #[test]
    fn a_short_touch_is_not_beyond_anything_and_its_gloss_stands() {
        let result = standing(2, "steel");
        let beyond = result.beyond;
        assert_eq!(beyond.clear_through_after_s, None);
        assert_eq!(beyond.too_hot_after_s, None);
        assert!(beyond.no_finish().is_none() && beyond.doubts().is_empty());
        assert!(result.finish.gloss_20_gu.is_some());
        assert_eq!(result.finish.not_stated, None);
    }
}
