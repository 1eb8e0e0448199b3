//! What shape a panel usually has inside the rectangle of its size.
//!
//! Law: none; corners as shares of width and height, u across and v up from the
//! lower left corner. Lying panels are seen from the front of the car, tail
//! panels from behind, flanks from outside: the left one with the nose to the
//! left, the right one mirrored.
//! Source: our own flat drawings of an estate, a saloon, a van and a pick-up
//! (crate `report`), thinned to 2 % of the panel; assumed for every car.
//! Holds: for panels of one face. Bumpers, pillars and mirrors bend round the
//! car and keep their rectangle.
//! Left out: handles, lamps inside a panel, the model of the car.
//! Checked by: the unit tests below and of the outline.

use crate::record::panel_names;

type Corners = &'static [[f64; 2]];

const SHAPES: &[(&str, Corners)] = &[
    (
        "bonnet",
        &[
            [0.99, 0.99],
            [0.75, 0.93],
            [0.50, 0.91],
            [0.22, 0.94],
            [0.01, 0.99],
            [0.08, 0.12],
            [0.29, 0.03],
            [0.50, 0.00],
            [0.71, 0.03],
            [0.92, 0.12],
        ],
    ),
    (
        "roof",
        &[
            [0.96, 0.97],
            [0.50, 1.00],
            [0.03, 0.97],
            [0.00, 0.50],
            [0.03, 0.05],
            [0.50, 0.00],
            [0.97, 0.05],
            [1.00, 0.55],
        ],
    ),
    (
        "tailgate",
        &[
            [0.98, 1.00],
            [1.00, 0.93],
            [1.00, 0.55],
            [0.93, 0.07],
            [0.79, 0.02],
            [0.50, 0.00],
            [0.24, 0.01],
            [0.07, 0.07],
            [0.00, 0.61],
            [0.00, 0.93],
            [0.03, 1.00],
            [0.21, 0.95],
            [0.50, 0.93],
            [0.76, 0.94],
        ],
    ),
    (
        "sill",
        &[[0.99, 1.00], [0.99, 0.19], [0.01, 0.00], [0.01, 1.00]],
    ),
    (
        "front-wing",
        &[
            [0.98, 0.99],
            [1.00, 0.06],
            [0.98, 0.01],
            [0.93, 0.02],
            [0.88, 0.27],
            [0.79, 0.46],
            [0.61, 0.63],
            [0.40, 0.66],
            [0.26, 0.60],
            [0.13, 0.47],
            [0.02, 0.50],
            [0.00, 0.58],
            [0.14, 0.81],
            [0.84, 0.99],
        ],
    ),
    (
        "front-door",
        &[
            [0.98, 0.99],
            [0.98, 0.01],
            [0.02, 0.01],
            [0.01, 0.94],
            [0.30, 0.90],
            [0.41, 0.98],
        ],
    ),
    (
        "rear-door",
        &[
            [0.99, 0.98],
            [0.98, 0.62],
            [0.83, 0.35],
            [0.76, 0.01],
            [0.02, 0.01],
            [0.02, 0.96],
        ],
    ),
    (
        "quarter",
        &[
            [0.66, 0.98],
            [1.00, 0.49],
            [0.99, 0.45],
            [0.79, 0.38],
            [0.88, 0.08],
            [0.49, 0.03],
            [0.47, 0.00],
            [0.37, 0.10],
            [0.26, 0.16],
            [0.14, 0.15],
            [0.01, 0.09],
            [0.03, 0.50],
            [0.72, 0.52],
            [0.60, 0.96],
            [0.61, 1.00],
        ],
    ),
    (
        "boot-lid",
        &[
            [0.99, 0.99],
            [0.98, 0.45],
            [0.82, 0.06],
            [0.63, 0.00],
            [0.33, 0.00],
            [0.19, 0.04],
            [0.08, 0.26],
            [0.02, 0.44],
            [0.00, 0.76],
            [0.02, 1.00],
            [0.50, 0.95],
        ],
    ),
    (
        "side",
        &[
            [0.95, 1.00],
            [0.98, 0.67],
            [0.96, 0.64],
            [0.96, 0.31],
            [0.99, 0.30],
            [1.00, 0.17],
            [0.79, 0.14],
            [0.73, 0.24],
            [0.65, 0.26],
            [0.57, 0.19],
            [0.51, 0.00],
            [0.00, 0.01],
            [0.00, 0.99],
        ],
    ),
    (
        "bed-side",
        &[
            [0.92, 1.00],
            [0.93, 0.53],
            [0.99, 0.50],
            [0.99, 0.16],
            [0.61, 0.12],
            [0.48, 0.46],
            [0.39, 0.53],
            [0.32, 0.55],
            [0.23, 0.50],
            [0.17, 0.41],
            [0.11, 0.24],
            [0.06, 0.01],
            [0.01, 0.00],
            [0.01, 0.95],
        ],
    ),
];

/// The usual shape of a panel by our name.
pub(super) fn usual(name: &str) -> Option<Vec<[f64; 2]>> {
    let (stem, side) = panel_names::stem(name);
    let (_, corners) = SHAPES.iter().find(|(known, _)| *known == stem)?;
    let mirrored = side == Some("right");
    let corner = |[u, v]: &[f64; 2]| [if mirrored { 1.0 - u } else { *u }, *v];
    Some(corners.iter().map(corner).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::corners::area;

    #[test]
    fn every_shape_fills_a_part_of_its_rectangle_and_reaches_its_sides() {
        for (name, corners) in SHAPES {
            let filled = area(corners);
            assert!((0.3..=1.0).contains(&filled), "{name} {filled}");
            for axis in 0..2 {
                let along = || corners.iter().map(|c| c[axis]);
                assert!(along().fold(f64::INFINITY, f64::min) <= 0.02, "{name}");
                assert!(along().fold(0.0, f64::max) >= 0.98, "{name}");
            }
        }
    }

    #[test]
    fn the_right_side_is_the_left_one_mirrored() {
        let (left, right) = (usual("front-door-left"), usual("front-door-right"));
        let (left, right) = (left.expect("known"), right.expect("known"));
        assert!(
            left.iter()
                .zip(&right)
                .all(|(a, b)| (a[0] + b[0] - 1.0).abs() < 1e-12)
        );
        assert!(usual("front-bumper").is_none() && usual("spare-wheel").is_none());
    }
}
