//! How thick each layer of a paint system usually is: a table the shop may edit.
//!
//! Law: none; mean and standard deviation of each layer in µm.
//! Source: clear, base, primer, e-coat of a factory finish
//! [`Source::StreitbergerDoessel2008`] (18–25, 25–40, 10–25, 35–50; from memory)
//! and [`Source::Polymers2021`] (primer 35–40, base 10–15, clear 35–40); refinish
//! clear [`Source::RefinishTips2014`] (51–64). Plastic, the top coat of
//! single-stage paint, refinish base and surfacer, and every spread: assumed.
//! Holds: until the shop writes its own `[layers]`, or an ultrasonic gauge says.
//! Left out: correlation between layers; two-colour and three-coat systems,
//! which the shop can write as one base of their sum.
//! Checked by: sums by hand below; the reader's tests.

use lapwing_measure::{Provenance, Source};
use serde::Serialize;

use super::job::{Paint, Substrate};

/// Literature behind the defaults.
pub const LAYER_SOURCES: [Source; 3] = [
    Source::StreitbergerDoessel2008,
    Source::Polymers2021,
    Source::RefinishTips2014,
];

/// One layer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Layer {
    /// Mean, µm.
    pub mean_um: f64,
    /// Standard deviation, µm.
    pub sd_um: f64,
}

const fn layer(mean_um: f64, sd_um: f64) -> Layer {
    Layer { mean_um, sd_um }
}

const NONE: Layer = layer(0.0, 0.0);

/// The layers of one paint system, from the outside inwards.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Build {
    /// Clear coat, or the pigmented top coat of single-stage paint.
    pub top: Layer,
    /// Base coat.
    pub base: Layer,
    /// Primer or surfacer.
    pub primer: Layer,
    /// Electro-coat.
    pub e_coat: Layer,
    /// What lies under a refinish.
    pub old: Layer,
    /// Whether the shop wrote it, or it is the default.
    pub provenance: Provenance,
}

impl Build {
    /// Everything under the top layer.
    #[must_use]
    pub fn rest(&self) -> Layer {
        let under = [self.base, self.primer, self.e_coat, self.old];
        layer(
            under.iter().map(|l| l.mean_um).sum(),
            under.iter().map(|l| l.sd_um * l.sd_um).sum::<f64>().sqrt(),
        )
    }

    /// All layers together.
    #[must_use]
    pub fn total(&self) -> Layer {
        let rest = self.rest();
        layer(
            self.top.mean_um + rest.mean_um,
            self.top.sd_um.hypot(rest.sd_um),
        )
    }
}

/// The paint systems a shop meets.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LayerTable {
    /// Base coat under clear coat on metal, from the factory.
    pub metal: Build,
    /// The same on a plastic part.
    pub plastic: Build,
    /// Pigmented top coat without clear, on metal.
    pub single_stage: Build,
    /// A repair over factory paint.
    pub refinish: Build,
}

impl Default for LayerTable {
    fn default() -> Self {
        let metal = Build {
            top: layer(45.0, 5.0),
            base: layer(15.0, 3.0),
            primer: layer(35.0, 5.0),
            e_coat: layer(20.0, 3.0),
            old: NONE,
            provenance: Provenance::Assumed,
        };
        Self {
            metal,
            plastic: Build {
                top: layer(35.0, 5.0),
                base: layer(16.0, 3.0),
                primer: layer(12.0, 3.0),
                e_coat: NONE,
                ..metal
            },
            single_stage: Build {
                top: layer(50.0, 6.0),
                base: NONE,
                ..metal
            },
            refinish: Build {
                top: layer(57.0, 8.0),
                base: layer(22.0, 5.0),
                primer: layer(60.0, 20.0),
                e_coat: NONE,
                old: layer(110.0, 15.0),
                ..metal
            },
        }
    }
}

impl LayerTable {
    /// The build of a panel.
    #[must_use]
    pub fn of(&self, paint: Paint, substrate: Substrate, is_repainted: bool) -> &Build {
        match (paint, substrate) {
            _ if is_repainted => &self.refinish,
            (Paint::SingleStage, _) => &self.single_stage,
            (_, Substrate::Plastic | Substrate::Laminate) => &self.plastic,
            _ => &self.metal,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // 45 + 15 + 35 + 20; √(25 + 9 + 25 + 9).
    #[test]
    fn the_layers_of_a_metal_panel_add_up_by_hand() {
        let table = LayerTable::default();
        let total = table.metal.total();
        assert!((total.mean_um - 115.0).abs() < 1e-12);
        assert!((total.sd_um - 68.0_f64.sqrt()).abs() < 1e-12);
        assert!((table.plastic.rest().mean_um - 28.0).abs() < 1e-12);
    }

    #[test]
    fn a_repair_outranks_the_paint_and_the_paint_the_substrate() {
        let table = LayerTable::default();
        let build = |paint, substrate, again| *table.of(paint, substrate, again);
        let plastic = Substrate::Plastic;
        assert_eq!(build(Paint::SingleStage, plastic, true), table.refinish);
        assert_eq!(
            build(Paint::SingleStage, Substrate::Steel, false),
            table.single_stage
        );
        assert_eq!(build(Paint::BaseClear, plastic, false), table.plastic);
    }
}
