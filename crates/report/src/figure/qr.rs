//! A square code that a phone reads: the seal of a record, or a link to it.
//!
//! Law: QR code, error level M (about 15 % of it may be spoilt), with the four
//! light modules around it that the standard asks for.
//! Source: ISO/IEC 18004:2015, by the library `fast_qr`; margin of section 5.3.8.
//! Holds: for texts up to about 2,300 bytes. Outside: a sentence.
//! Left out: colours; it is black on white, because a reader wants contrast.
//! Checked by: an independent decoder (`rqrr`) that reads the picture back.

use std::fmt::Write as _;

use fast_qr::{ECL, QRBuilder};

/// Light modules around the code.
const QUIET: usize = 4;

/// The code as SVG text, `size_px` wide and high.
///
/// # Errors
/// A sentence when the text is too long for any code.
pub fn qr(text: &str, size_px: f64, title: &str) -> Result<String, String> {
    let modules = modules(text)?;
    let side = modules.len() + 2 * QUIET;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" width=\"{size_px}\" height=\"{size_px}\" role=\"img\" shape-rendering=\"crispEdges\"><title>{}</title><rect width=\"{side}\" height=\"{side}\" fill=\"#ffffff\"/><path fill=\"#000000\" d=\"{}\"/></svg>",
        super::svg::escaped(title),
        path(&modules, QUIET as f64, QUIET as f64)
    );
    out.shrink_to_fit();
    Ok(out)
}

/// Dark modules, row by row; one more and the text does not fit.
///
/// # Errors
/// A sentence when the text is too long for any code.
pub(crate) fn modules(text: &str) -> Result<Vec<Vec<bool>>, String> {
    let code = QRBuilder::new(text).ecl(ECL::M).build().map_err(|why| {
        format!(
            "a text of {} bytes does not fit into a square code ({why})",
            text.len()
        )
    })?;
    Ok((0..code.size)
        .map(|y| (0..code.size).map(|x| code[y][x].value()).collect())
        .collect())
}

/// Runs of dark modules as one path, one unit a module.
pub(crate) fn path(modules: &[Vec<bool>], left: f64, top: f64) -> String {
    let mut d = String::new();
    for (y, row) in modules.iter().enumerate() {
        let mut x = 0;
        while x < row.len() {
            let run = row[x..].iter().take_while(|dark| **dark).count();
            if run > 0 {
                let _ = write!(d, "M{} {}h{run}v1h-{run}z", left + x as f64, top + y as f64);
            }
            x += run.max(1);
        }
    }
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Eight pixels a module, read back by an independent decoder.
    fn read_back(modules: &[Vec<bool>]) -> String {
        const PX: usize = 8;
        let side = (modules.len() + 2 * QUIET) * PX;
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| {
            let at = |p: usize| (p / PX).checked_sub(QUIET);
            let dark = at(x)
                .zip(at(y))
                .and_then(|(x, y)| modules.get(y)?.get(x).copied());
            if dark == Some(true) { 0 } else { 255 }
        });
        let grids = image.detect_grids();
        assert_eq!(grids.len(), 1);
        grids[0].decode().expect("it decodes").1
    }

    #[test]
    fn an_independent_decoder_reads_what_was_written() {
        for text in [
            "sha256:0",
            "https://bay.example/r/abc.123.def#sha256=5e884898da28047151d0e56f8dc6292773603d0d6aabbdd62a11ef721d1542d8",
            "Grüße, 12 µm",
        ] {
            assert_eq!(read_back(&modules(text).expect("a code")), text);
        }
    }

    #[test]
    fn the_path_holds_exactly_the_dark_modules() {
        let modules = modules("sha256:0").expect("a code");
        let dark = modules.iter().flatten().filter(|d| **d).count();
        let runs: usize = path(&modules, 0.0, 0.0)
            .split('h')
            .skip(1)
            .filter_map(|part| part.split('v').next()?.parse::<usize>().ok())
            .sum();
        // Each run is named twice, there and back.
        assert_eq!(runs, dark);
    }

    #[test]
    fn a_text_that_fits_into_no_code_is_a_sentence() {
        let error = qr(&"x".repeat(5000), 100.0, "too long").expect_err("refused");
        assert!(error.contains("5000 bytes"), "{error}");
    }
}
