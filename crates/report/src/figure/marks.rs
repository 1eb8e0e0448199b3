//! The five marks of where a number comes from, each beside its word.
//!
//! Law: none; shapes. Gauge foot on a line, a line through two points, a page,
//! two rings overlapping, a broken ring.
//! Source: ours.
//! Holds: at 12 to 20 px, in one ink.
//! Left out: colour; the word and the shape carry the meaning.
//! Checked by: five different shapes, all well formed.

use lapwing_measure::Provenance;

use super::colour::Rgb;
use super::svg::{escaped, number};

/// The mark of a provenance as an SVG of `size_px`, in one ink.
#[must_use]
pub fn mark(provenance: Provenance, size_px: f64, ink: Rgb) -> String {
    let size = number(size_px);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{size}\" height=\"{size}\" viewBox=\"0 0 15 15\" role=\"img\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"1.6\"><title>{}</title>{}</svg>\n",
        escaped(provenance.word()),
        shape(provenance, ink)
    )
}

fn shape(provenance: Provenance, ink: Rgb) -> String {
    match provenance {
        Provenance::Measured => {
            format!("<path d=\"M7.5 11 3.8 3h7.4z\" fill=\"{ink}\"/><path d=\"M1 13.6h13\"/>")
        }
        Provenance::Calibrated => format!(
            "<path d=\"M1.5 13 13.5 2.6\"/><circle cx=\"4.6\" cy=\"10.3\" r=\"1.7\" fill=\"{ink}\" stroke=\"none\"/><circle cx=\"10.6\" cy=\"5.1\" r=\"1.7\" fill=\"{ink}\" stroke=\"none\"/>"
        ),
        Provenance::Sourced(_) => {
            "<path d=\"M3 1.5h6.5l3 3v9H3z\"/><path d=\"M5.3 7h5M5.3 10.2h5\"/>".to_owned()
        }
        Provenance::CommonPractice => {
            "<circle cx=\"5.4\" cy=\"7.5\" r=\"4\"/><circle cx=\"9.8\" cy=\"7.5\" r=\"4\"/>"
                .to_owned()
        }
        Provenance::Assumed => {
            "<circle cx=\"7.5\" cy=\"7.5\" r=\"5.8\" stroke-dasharray=\"2.3 2.25\"/>".to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::svg::reading::assert_well_formed;
    use lapwing_measure::Source;

    #[test]
    fn five_marks_five_shapes_each_with_its_word() {
        let all = [
            Provenance::Measured,
            Provenance::Calibrated,
            Provenance::Sourced(Source::Preston1927),
            Provenance::CommonPractice,
            Provenance::Assumed,
        ];
        let mut shapes = std::collections::BTreeSet::new();
        for provenance in all {
            let text = mark(provenance, 15.0, Rgb::BLACK);
            assert_well_formed(&text);
            assert!(text.contains(provenance.word()));
            shapes.insert(shape(provenance, Rgb::BLACK));
        }
        assert_eq!(shapes.len(), 5);
    }
}
