//! Product, pads, cloths, clay, wipe, coating, tape and water.
//!
//! Law: product = 6 ml/m² and step; pads = sections over sections per pad;
//! cloths = 1 per m² and step and 4; clay 50 g, wipe 300 ml a step, water 100 l
//! on a 13 m² car, by area; coating 1.2 ml/m² and layer; tape 35 m.
//! Source: common practice throughout.
//! Holds: ±50 %. Left out: drying towels, gloves.
//! Checked by: the published 50 to 105 ml a step on a saloon.

use lapwing_measure::Provenance;
use serde::Serialize;

use super::PanelPlan;
use crate::record::job::{Job, Prices};

/// One thing used up.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Material {
    /// What.
    pub what: String,
    /// How much.
    pub amount: f64,
    /// "ml", "pieces", "g", "m" or "l".
    pub unit: &'static str,
    /// What it costs, in the job's currency.
    pub cost: f64,
    /// Where the amount comes from.
    pub provenance: Provenance,
}

/// Product for a step, ml/m².
pub(super) const PRODUCT_ML_M2: f64 = 6.0;

/// Everything used up.
pub(super) fn materials(job: &Job, panels: &[PanelPlan]) -> Vec<Material> {
    let mut list = Vec::new();
    for (index, abrasive) in job.kit.abrasives.iter().enumerate() {
        let ml: f64 = steps(panels)
            .filter(|(_, s)| s.kit.2 == index)
            .map(|(p, _)| p.area_m2 * PRODUCT_ML_M2)
            .sum();
        push(
            &mut list,
            abrasive.name.clone(),
            ml,
            "ml",
            abrasive.price_per_litre / 1000.0,
        );
    }
    for (index, pad) in job.kit.pads.iter().enumerate() {
        let sections: f64 = steps(panels)
            .filter(|(_, s)| s.kit.1 == index)
            .map(|(p, _)| f64::from(p.sections))
            .sum();
        push(
            &mut list,
            pad.name.clone(),
            (sections / pad.sections).ceil(),
            "pieces",
            pad.price,
        );
    }
    let area_m2 = panels.iter().map(|p| p.area_m2).sum();
    let step_m2 = steps(panels).map(|(p, _)| p.area_m2).sum();
    let layers = job.wish.coating_layers;
    consumables(&mut list, &job.prices, layers, (area_m2, step_m2));
    list
}

/// What is used up whatever the recipe, for the car's area and that area times
/// the steps on it.
pub(super) fn consumables(
    list: &mut Vec<Material>,
    prices: &Prices,
    coating_layers: u32,
    (area_m2, step_m2): (f64, f64),
) {
    let scale = area_m2 / 13.0;
    // Wiped after every step, and all over before a coating.
    let wiped_m2 = if coating_layers > 0 {
        step_m2.max(area_m2)
    } else {
        step_m2
    };
    let cloths = if step_m2 > 0.0 {
        (step_m2 + 4.0).ceil()
    } else {
        4.0
    };
    push(list, "cloths".to_owned(), cloths, "pieces", prices.cloth);
    push(
        list,
        "clay".to_owned(),
        50.0 * scale,
        "g",
        prices.clay_per_100_g / 100.0,
    );
    push(
        list,
        "panel wipe".to_owned(),
        300.0 * wiped_m2 / 13.0,
        "ml",
        prices.wipe_per_litre / 1000.0,
    );
    let tape_m = if step_m2 > 0.0 {
        35.0 * scale.min(1.0)
    } else {
        0.0
    };
    push(
        list,
        "masking tape".to_owned(),
        tape_m,
        "m",
        prices.tape_per_m,
    );
    let coating_ml = 1.2 * area_m2 * f64::from(coating_layers);
    push(
        list,
        "coating".to_owned(),
        coating_ml,
        "ml",
        prices.coating_per_10_ml / 10.0,
    );
    push(list, "water".to_owned(), 100.0 * scale, "l", 0.0);
}

fn steps(panels: &[PanelPlan]) -> impl Iterator<Item = (&PanelPlan, &super::PlanStep)> {
    panels
        .iter()
        .flat_map(|p| p.recipe.iter().map(move |s| (p, s)))
}

pub(super) fn push(
    list: &mut Vec<Material>,
    what: String,
    amount: f64,
    unit: &'static str,
    each: f64,
) {
    if amount > 0.0 {
        list.push(Material {
            what,
            amount,
            unit,
            cost: amount * each,
            provenance: Provenance::CommonPractice,
        });
    }
}
