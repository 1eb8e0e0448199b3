//! What the pass leaves for the eye: roughness, gloss, haze and holograms.
//!
//! Law: gloss of a smooth film by Fresnel, less what roughness σ scatters,
//! G = G₀·e^(−(4πσ·cos θ/λ)²), at λ = 550 nm; haze H = G60 − G20. Hologram risk
//! is how far all scratches lie one way: |Σ k·p·v·e^(2iθ)|/Σ k·p·v of each place,
//! averaged by what comes off: 1 for scratches all one way, 0 for none.
//! Source: `Iso2813`, `BennettPorteus1961`, `AstmD4039`; roughness by class is
//! assumed; that scratches lying one way show as holograms is common practice.
//! Holds: for a pass long enough that only its own scratches are left, on clear
//! coat without orange peel. Gloss is the lower bound; the upper end of its
//! range counts all scattered light as gloss.
//! Left out: what was there before the pass; how deep single scratches are; oils
//! of the product.
//! Checked by: the printed tables of indices and roughnesses through setup
//! files; the grain of a straight rotary pass in closed form.

use lapwing_measure::quantity::Length;
use lapwing_measure::{Provenance, Source};
use lapwing_physics::course::Course;
use lapwing_physics::gloss::{
    GLOSS_SOURCE, Geometry, HAZE_SOURCE, ROUGHNESS_SOURCE, haze, roughness_factor, smooth_gloss,
};
use lapwing_physics::removal::{Grained, RemovalMap, grain_of_course};
use serde::Serialize;
use uom::si::length::{meter, nanometer};

use super::classes;
use super::setup::{Origin, Spread};
use crate::record::job::{AbrasiveClass, PadClass};
use crate::record::{Caution, Part, Said, Sentence};

/// Green light, which the eye and a glossmeter weigh most.
const WAVELENGTH_NM: f64 = 550.0;

/// What is known of the finish.
#[derive(Clone, Copy, Debug)]
pub struct FinishSetup {
    /// Root mean square height left, nm.
    pub roughness_nm: Spread,
    /// Where it comes from.
    pub roughness_mark: Provenance,
    /// Refractive index of the clear coat.
    pub index: f64,
    /// Where it comes from.
    pub index_mark: Provenance,
}

impl FinishSetup {
    /// What an abrasive leaves under a pad; assumed.
    #[must_use]
    pub fn assumed(abrasive: AbrasiveClass, pad: Option<PadClass>) -> Self {
        Self {
            roughness_nm: classes::roughness_nm(abrasive, pad),
            roughness_mark: Provenance::Assumed,
            index: 1.5,
            index_mark: Provenance::Assumed,
        }
    }
}

/// The finish, for the answer; nothing is stated where the film is gone or burnt.
#[derive(Clone, Debug, Serialize)]
pub struct Finish {
    /// Root mean square height.
    pub roughness_nm: Option<f64>,
    /// Its range.
    pub roughness_lower_nm: Option<f64>,
    /// Its range.
    pub roughness_upper_nm: Option<f64>,
    /// Gloss at 20 degrees.
    pub gloss_20_gu: Option<f64>,
    /// Lower end: the roughest of the range.
    pub gloss_20_lower_gu: Option<f64>,
    /// Upper end: as smooth.
    pub gloss_20_upper_gu: Option<f64>,
    /// Gloss at 60 degrees.
    pub gloss_60_gu: Option<f64>,
    /// Lower end.
    pub gloss_60_lower_gu: Option<f64>,
    /// Upper end.
    pub gloss_60_upper_gu: Option<f64>,
    /// Gloss at 85 degrees.
    pub gloss_85_gu: Option<f64>,
    /// Lower end.
    pub gloss_85_lower_gu: Option<f64>,
    /// Upper end.
    pub gloss_85_upper_gu: Option<f64>,
    /// Haze, G60 − G20; nothing when G60 is 70 or less.
    pub haze_hu: Option<f64>,
    /// How far the scratches lie one way, mean over the interior, 0 to 1.
    pub hologram_risk_frac: Option<f64>,
    /// The same at its worst place.
    pub hologram_worst_frac: Option<f64>,
    /// Why nothing is stated.
    pub not_stated: Option<String>,
    /// The same with its parts apart.
    #[serde(skip)]
    pub not_stated_said: Option<Said>,
    /// Where it comes from.
    pub provenance: Vec<Origin>,
}

/// Grain beyond which a caution is given; assumed.
const SHOWS_FRAC: f64 = 0.4;

impl FinishSetup {
    /// The finish a course leaves.
    ///
    /// # Errors
    /// A sentence when a law refuses the setup.
    pub fn left_by(&self, course: &Course, map: &RemovalMap) -> Result<Finish, String> {
        let margin_m = 2.0 * course.tool.pad.radius.get::<meter>();
        let grained = grain_of_course(course, map, margin_m).map_err(|e| e.to_string())?;
        self.told(&grained)
    }

    fn told(&self, grained: &Grained) -> Result<Finish, String> {
        let [at_20, at_60, at_85] = [
            self.gloss(Geometry::Deg20)?,
            self.gloss(Geometry::Deg60)?,
            self.gloss(Geometry::Deg85)?,
        ];
        Ok(Finish {
            roughness_nm: Some(self.roughness_nm.value),
            roughness_lower_nm: Some(self.roughness_nm.lower),
            roughness_upper_nm: Some(self.roughness_nm.upper),
            gloss_20_gu: Some(at_20.value),
            gloss_20_lower_gu: Some(at_20.lower),
            gloss_20_upper_gu: Some(at_20.upper),
            gloss_60_gu: Some(at_60.value),
            gloss_60_lower_gu: Some(at_60.lower),
            gloss_60_upper_gu: Some(at_60.upper),
            gloss_85_gu: Some(at_85.value),
            gloss_85_lower_gu: Some(at_85.lower),
            gloss_85_upper_gu: Some(at_85.upper),
            haze_hu: haze(at_60.value, at_20.value),
            hologram_risk_frac: Some(grained.mean_frac),
            hologram_worst_frac: Some(grained.highest_frac),
            not_stated: None,
            not_stated_said: None,
            provenance: self.origins(),
        })
    }

    fn gloss(&self, geometry: Geometry) -> Result<Spread, String> {
        let smooth = smooth_gloss(self.index, geometry).map_err(|e| e.to_string())?;
        let wavelength = Length::new::<nanometer>(WAVELENGTH_NM);
        let left = |roughness_nm: f64| {
            roughness_factor(Length::new::<nanometer>(roughness_nm), wavelength, geometry)
                .map(|share| smooth * share)
                .map_err(|e| e.to_string())
        };
        Ok(Spread {
            value: left(self.roughness_nm.value)?,
            lower: left(self.roughness_nm.upper)?,
            upper: smooth,
        })
    }

    fn origins(&self) -> Vec<Origin> {
        let origin = |key: &str, value: String, provenance| Origin {
            key: format!("finish.{key}"),
            value,
            provenance,
        };
        let by = |source: Source| {
            let entry = source.entry();
            format!("{}, {} ({})", entry.author, entry.title, entry.year)
        };
        vec![
            origin(
                "roughness_nm",
                format!("{} nm", self.roughness_nm.value),
                self.roughness_mark,
            ),
            origin("refractive_index", self.index.to_string(), self.index_mark),
            origin("gloss", by(GLOSS_SOURCE), Provenance::Sourced(GLOSS_SOURCE)),
            origin(
                "gloss_loss",
                by(ROUGHNESS_SOURCE),
                Provenance::Sourced(ROUGHNESS_SOURCE),
            ),
            origin("haze_hu", by(HAZE_SOURCE), Provenance::Sourced(HAZE_SOURCE)),
            origin(
                "hologram_risk_frac",
                "share of the scratches that lie one way".to_owned(),
                Provenance::CommonPractice,
            ),
        ]
    }
}

impl Finish {
    /// Takes every figure back, for a reason.
    pub(super) fn withdraw(&mut self, why: Said) {
        *self = Self {
            roughness_nm: None,
            roughness_lower_nm: None,
            roughness_upper_nm: None,
            gloss_20_gu: None,
            gloss_20_lower_gu: None,
            gloss_20_upper_gu: None,
            gloss_60_gu: None,
            gloss_60_lower_gu: None,
            gloss_60_upper_gu: None,
            gloss_85_gu: None,
            gloss_85_lower_gu: None,
            gloss_85_upper_gu: None,
            haze_hu: None,
            hologram_risk_frac: None,
            hologram_worst_frac: None,
            not_stated: Some(why.english()),
            not_stated_said: Some(why),
            provenance: std::mem::take(&mut self.provenance),
        };
    }

    /// Doubts about the finish.
    #[must_use]
    pub fn doubts(&self) -> Vec<Caution> {
        let mut doubts = Vec::new();
        if let Some(frac) = self.hologram_risk_frac.filter(|frac| *frac > SHOWS_FRAC) {
            let percent = Part::Number(100.0 * frac, 0);
            doubts.push(Caution::of(
                "finish",
                Said::new(Sentence::Holograms, [percent]),
            ));
        }
        if let (None, Some(gloss)) = (self.haze_hu, self.gloss_60_gu) {
            let gloss = Part::Number(gloss, 0);
            doubts.push(Caution::of("finish", Said::new(Sentence::NoHaze, [gloss])));
        }
        doubts
    }
}
