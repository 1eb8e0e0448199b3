//! An invented kit to begin with, so that a first job can be planned at once.
//!
//! Left out: anyone's product; classes only.
//! Checked by: `tests/web_shop.rs`, which plans a job with it.

use lapwing_store::Change;
use serde_json::{Value, json};

/// The whole kit and rates.
pub(super) fn changes() -> Vec<Change> {
    vec![
        Change::put("/machines", machines()),
        Change::put("/pads", pads()),
        Change::put("/abrasives", abrasives()),
        Change::put("/rates", rates()),
    ]
}

fn machines() -> Value {
    let one = |name: &str, kind: &str, speeds: &[u32], numbers: [f64; 6]| {
        json!({ "name": name, "kind": kind, "speeds": speeds, "orbit_mm": numbers[0], "spin_rpm": numbers[1],
            "force_n": numbers[2], "vibration": numbers[3], "unsure": numbers[4], "noise": numbers[5] })
    };
    json!({
        "m-rotary": one("rotary", "rotary", &[1000, 1400], [15.0, 0.0, 30.0, 3.5, 1.5, 84.0]),
        "m-long": one("long orbital", "random-orbital", &[3000, 3800, 4500], [15.0, 250.0, 40.0, 5.2, 1.5, 82.0]),
        "m-geared": one("geared orbital", "forced-rotation", &[5000, 6500], [8.0, 320.0, 40.0, 4.8, 1.5, 84.0]),
    })
}

fn pads() -> Value {
    let one = |name: &str, class: &str, fits: &[&str], numbers: [f64; 3]| json!({ "name": name, "class": class, "fits": fits, "diameter_mm": numbers[0], "price": numbers[1], "sections": numbers[2] });
    let orbitals = ["m-long", "m-geared"];
    json!({
        "p-wool": one("wool", "wool", &["m-rotary"], [150.0, 16.0, 10.0]),
        "p-cut": one("cutting foam", "foam-cutting", &["m-rotary", "m-long"], [150.0, 11.0, 8.0]),
        "p-polish": one("polishing foam", "foam-polishing", &orbitals, [140.0, 10.0, 10.0]),
        "p-finish": one("finishing foam", "foam-finishing", &orbitals, [140.0, 10.0, 12.0]),
        "p-small": one("small polishing foam", "foam-polishing", &orbitals, [80.0, 6.0, 8.0]),
    })
}

fn abrasives() -> Value {
    let one = |name: &str, class: &str, wear: &str, with: &[&str], litre: f64| json!({ "name": name, "class": class, "wear": wear, "with": with, "price_per_litre": litre });
    json!({
        "a-heavy": one("heavy compound", "heavy", "diminishing", &["p-wool", "p-cut"], 38.0),
        "a-medium": one("medium polish", "medium", "diminishing", &["p-cut", "p-polish"], 36.0),
        "a-fine": one("fine polish", "fine", "diminishing", &["p-polish", "p-small"], 36.0),
        "a-finish": one("finishing polish", "finishing", "constant", &["p-finish"], 34.0),
    })
}

fn rates() -> Value {
    json!({
        "currency": "EUR", "units": "metric", "labour_per_hour": 55.0, "cost_per_hour": 26.0,
        "overhead_per_hour": 9.0, "contingency_pct": 12.0, "tax_pct": 20.0, "cloth": 0.4,
        "clay_per_100_g": 9.0, "wipe_per_litre": 12.0, "coating_per_10_ml": 11.0, "tape_per_m": 0.12,
    })
}
