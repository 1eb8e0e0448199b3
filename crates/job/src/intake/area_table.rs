//! Outer painted area of each panel by body class, in m².
//!
//! Source: own estimates, developed length × width × fill factor from typical
//! outer dimensions; glass, grilles, lamps and inner shuts left out. Marked
//! assumed wherever they are shown.
//! Holds: ±25 % on one panel, ±15 % on the total.
//! Checked by: `intake` tests.

use crate::record::job::BodyClass;

/// One class: usual outer size and areas. Sided panels count one side.
pub(super) struct ClassRow {
    pub(super) size_m: [f64; 3],
    lying_m2: [f64; 3],
    sided_m2: [f64; 6],
    bumpers_m2: [f64; 2],
    mirror_m2: f64,
}

impl ClassRow {
    pub(super) fn panel_m2(&self, stem: &str) -> Option<f64> {
        Some(match stem {
            "bonnet" => self.lying_m2[0],
            "roof" => self.lying_m2[1],
            "tailgate" | "boot-lid" => self.lying_m2[2],
            "front-wing" => self.sided_m2[0],
            "front-door" => self.sided_m2[1],
            "rear-door" => self.sided_m2[2],
            "quarter" | "side" | "bed-side" => self.sided_m2[3],
            "sill" => self.sided_m2[4],
            "pillars-cant-rail" => self.sided_m2[5],
            "front-bumper" => self.bumpers_m2[0],
            "rear-bumper" => self.bumpers_m2[1],
            "mirror" => self.mirror_m2,
            _ => return None,
        })
        .filter(|m2| *m2 > 0.0)
    }

    /// The largest panel of the class.
    pub(super) fn largest_m2(&self) -> f64 {
        let all = self
            .lying_m2
            .iter()
            .chain(&self.sided_m2)
            .chain(&self.bumpers_m2);
        all.copied().fold(0.0, f64::max)
    }

    pub(super) fn total_m2(&self) -> f64 {
        let lying: f64 = self.lying_m2.iter().sum();
        let sided: f64 = self.sided_m2.iter().sum();
        let bumpers: f64 = self.bumpers_m2.iter().sum();
        lying + bumpers + 2.0 * (sided + self.mirror_m2)
    }
}

const fn row(
    size_m: [f64; 3],
    lying_m2: [f64; 3],
    sided_m2: [f64; 6],
    bumpers_m2: [f64; 2],
    mirror_m2: f64,
) -> ClassRow {
    ClassRow {
        size_m,
        lying_m2,
        sided_m2,
        bumpers_m2,
        mirror_m2,
    }
}

/// One row a class, in the order of [`BodyClass`].
#[rustfmt::skip]
const ROWS: [ClassRow; 12] = [
    row([3.60, 1.65, 1.50], [1.0, 1.5, 0.7], [0.37, 0.65, 0.43, 0.45, 0.22, 0.13], [0.8, 1.0], 0.05), // CityCar
    row([4.00, 1.75, 1.48], [1.2, 1.6, 0.75], [0.43, 0.72, 0.52, 0.54, 0.24, 0.14], [0.9, 1.1], 0.05), // SmallHatch
    row([4.35, 1.80, 1.46], [1.4, 1.75, 0.8], [0.50, 0.75, 0.57, 0.64, 0.25, 0.15], [0.9, 1.2], 0.05), // CompactHatch
    row([4.75, 1.85, 1.44], [1.6, 1.7, 1.05], [0.55, 0.77, 0.62, 0.84, 0.27, 0.16], [1.0, 1.35], 0.05), // Saloon
    row([4.80, 1.85, 1.48], [1.6, 2.5, 0.9], [0.55, 0.77, 0.64, 0.93, 0.27, 0.20], [1.0, 1.3], 0.05), // Estate
    row([4.40, 1.88, 1.30], [1.6, 1.1, 0.9], [0.57, 0.85, 0.0, 0.98, 0.24, 0.13], [1.0, 1.4], 0.05), // TwoDoorSports
    row([4.45, 1.85, 1.65], [1.5, 2.3, 0.9], [0.55, 0.84, 0.69, 0.75, 0.22, 0.20], [1.0, 1.1], 0.06), // CompactSuv
    row([5.00, 1.98, 1.80], [1.9, 3.1, 1.2], [0.71, 1.0, 0.87, 1.0, 0.29, 0.27], [1.3, 1.4], 0.07), // LargeSuv
    row([5.00, 1.95, 1.78], [1.3, 3.5, 1.15], [0.58, 1.0, 1.1, 1.1, 0.31, 0.30], [1.2, 1.45], 0.07), // Mpv
    row([5.35, 1.88, 1.80], [1.7, 2.0, 0.7], [0.64, 0.92, 0.77, 0.91, 0.27, 0.20], [1.05, 0.2], 0.07), // PickUp
    row([5.90, 2.03, 1.95], [2.2, 2.5, 0.9], [0.79, 1.1, 1.0, 1.15, 0.34, 0.23], [0.8, 0.2], 0.10), // FullSizePickUp
    row([5.00, 1.95, 1.95], [1.2, 5.0, 1.7], [0.52, 1.2, 0.0, 3.3, 0.36, 0.34], [1.0, 0.6], 0.09), // PanelVan
];

pub(super) fn class_row(class: BodyClass) -> &'static ClassRow {
    &ROWS[class as usize]
}
