//! Writing SVG: escaped words, short numbers, and the few elements we use.
//!
//! Law: none; Scalable Vector Graphics 1.1 elements with attributes only.
//! Source: W3C, SVG 1.1 and SVG 2 (`paint-order`, `font-variant` as
//! attributes); W3C, XML 1.0, section 2.2 (allowed characters).
//! Holds: for any text; characters XML forbids become the replacement sign.
//! Left out: styles, scripts, identifiers, patterns, clips: a picture may then
//! stand beside others on one page and under a strict content policy.
//! Checked by: a small well-formedness reader in the tests, which every
//! picture of this folder passes.

use std::fmt::Write as _;

use super::colour::Rgb;
use super::geometry::{Point, Rect};
use super::lettering;
use super::theme::Theme;

/// The families a page may find, the first wished most.
const FAMILIES: &str = "Atkinson Hyperlegible Next, Atkinson Hyperlegible, DejaVu Sans, sans-serif";

/// Which end of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A run of text in one weight and size.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Span {
    pub(crate) words: String,
    pub(crate) size: f64,
    pub(crate) bold: bool,
}

impl Span {
    pub(crate) fn plain(words: impl Into<String>, size: f64) -> Self {
        Self {
            words: words.into(),
            size,
            bold: false,
        }
    }

    pub(crate) fn bold(words: impl Into<String>, size: f64) -> Self {
        Self {
            words: words.into(),
            size,
            bold: true,
        }
    }

    pub(crate) fn width(&self) -> f64 {
        lettering::width_px(&self.words, self.size, self.bold)
    }
}

/// How a line of text is set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ink {
    pub(crate) fill: Rgb,
    pub(crate) halo: Option<Rgb>,
    pub(crate) anchor: Anchor,
    /// Turned a quarter to the left, around its place.
    pub(crate) is_turned: bool,
}

impl Ink {
    pub(crate) const fn new(fill: Rgb, anchor: Anchor) -> Self {
        Self {
            fill,
            halo: None,
            anchor,
            is_turned: false,
        }
    }

    pub(crate) const fn with_halo(self, halo: Rgb) -> Self {
        Self {
            halo: Some(halo),
            ..self
        }
    }
}

/// A picture being written.
pub(crate) struct Svg {
    body: String,
}

impl Svg {
    /// Opens a picture of a size, with the words a screen reader says.
    pub(crate) fn open(width: f64, height: f64, title: &str, description: &str) -> Self {
        let (w, h) = (number(width), number(height));
        let body = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" role=\"img\" font-family=\"{FAMILIES}\" font-variant=\"tabular-nums\"><title>{}</title><desc>{}</desc>\n",
            escaped(title),
            escaped(description)
        );
        Self { body }
    }

    /// Appends markup that is already well formed.
    pub(crate) fn raw(&mut self, markup: &str) {
        self.body.push_str(markup);
    }

    /// A path with attributes, e.g. `fill="none" stroke="#000000"`.
    pub(crate) fn path(&mut self, data: &str, attributes: &str) {
        let _ = writeln!(self.body, "<path d=\"{data}\" {attributes}/>");
    }

    /// A rectangle with attributes.
    pub(crate) fn rect(&mut self, area: Rect, attributes: &str) {
        let _ = writeln!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {attributes}/>",
            number(area.left),
            number(area.top),
            number(area.width()),
            number(area.height())
        );
    }

    /// A straight stroke.
    pub(crate) fn stroke(&mut self, from: Point, to: Point, colour: Rgb, width: f64) {
        let data = format!("M{}L{}", place(from), place(to));
        self.path(
            &data,
            &format!("fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\""),
        );
    }

    /// A filled dot.
    pub(crate) fn dot(&mut self, at: Point, radius: f64, fill: Rgb, edge: Rgb) {
        let _ = writeln!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{fill}\" stroke=\"{edge}\" stroke-width=\"1\"/>",
            number(at.x),
            number(at.y),
            number(radius)
        );
    }

    /// One line of text on its baseline.
    pub(crate) fn text(&mut self, at: Point, spans: &[Span], ink: Ink) {
        let anchor = match ink.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let halo = ink.halo.map_or(String::new(), |colour| {
            format!(
                " stroke=\"{colour}\" stroke-width=\"3\" stroke-linejoin=\"round\" paint-order=\"stroke\""
            )
        });
        let (x, y) = (number(at.x), number(at.y));
        let turn = if ink.is_turned {
            format!(" transform=\"rotate(-90 {x} {y})\"")
        } else {
            String::new()
        };
        let _ = write!(
            self.body,
            "<text x=\"{x}\" y=\"{y}\" fill=\"{}\"{anchor}{turn}{halo}",
            ink.fill
        );
        match spans {
            [only] => {
                let _ = writeln!(self.body, "{}>{}</text>", font(only), escaped(&only.words));
            }
            _ => {
                self.body.push('>');
                for span in spans {
                    let words = escaped(&span.words);
                    let _ = write!(self.body, "<tspan{}>{words}</tspan>", font(span));
                }
                self.body.push_str("</text>\n");
            }
        }
    }

    /// Closes the picture.
    pub(crate) fn close(mut self) -> String {
        self.body.push_str("</svg>\n");
        self.body
    }

    /// The markup so far, for nesting one picture in another.
    pub(crate) fn fragment() -> Self {
        Self {
            body: String::new(),
        }
    }

    /// The markup of a fragment.
    pub(crate) fn into_markup(self) -> String {
        self.body
    }
}

/// The outline attributes every panel and frame shares.
pub(crate) fn outline(theme: &Theme, width: f64) -> String {
    format!(
        "fill=\"none\" stroke=\"{}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"",
        theme.ink
    )
}

/// A number with at most one decimal, no trailing zero and no minus zero.
/// Anything that is not a number becomes 0, so a picture stays readable.
pub(crate) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// "x y" for path data.
pub(crate) fn place(p: Point) -> String {
    format!("{} {}", number(p.x), number(p.y))
}

/// Path data of a polyline, in steps of a tenth of a pixel relative to the
/// point before, so that rounding does not add up.
pub(crate) fn run(points: &[Point], closed: bool) -> String {
    let mut data = String::new();
    let mut last = (0_i64, 0_i64);
    for (i, p) in points.iter().enumerate() {
        let here = (tenths(p.x), tenths(p.y));
        if i == 0 {
            let _ = write!(data, "M{} {}", tenth(here.0), tenth(here.1));
        } else if here != last {
            let (dx, dy) = (tenth(here.0 - last.0), tenth(here.1 - last.1));
            let gap = if dy.starts_with('-') { "" } else { " " };
            let _ = write!(data, "l{dx}{gap}{dy}");
        }
        last = here;
    }
    if closed && !data.is_empty() {
        data.push('z');
    }
    data
}

/// Words made safe for XML; the micro sign becomes Greek mu, which our font has.
pub(crate) fn escaped(words: &str) -> String {
    let mut safe = String::with_capacity(words.len());
    for sign in words.chars() {
        match sign {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\u{b5}' => safe.push('\u{3bc}'),
            '\t' | '\n' | '\r' => safe.push(' '),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => safe.push('\u{fffd}'),
            other => safe.push(other),
        }
    }
    safe
}

fn font(span: &Span) -> String {
    let weight = if span.bold {
        " font-weight=\"700\""
    } else {
        ""
    };
    format!(" font-size=\"{}\"{weight}", number(span.size))
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the cast saturates, and no page is 10^17 px wide"
)]
fn tenths(value: f64) -> i64 {
    (value * 10.0).round() as i64
}

fn tenth(tenths: i64) -> String {
    let sign = if tenths < 0 { "-" } else { "" };
    let (whole, rest) = (tenths.unsigned_abs() / 10, tenths.unsigned_abs() % 10);
    match (whole, rest) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}.{rest}"),
        _ => format!("{sign}{whole}.{rest}"),
    }
}

#[cfg(test)]
pub(crate) mod reading {
    //! A small XML reader: it accepts only well-formed elements and text.

    /// Panics with a sentence when `text` is not one well-formed element.
    pub(crate) fn assert_well_formed(text: &str) {
        let mut open: Vec<&str> = Vec::new();
        let mut rest = text.trim();
        let mut roots = 0;
        while let Some(start) = rest.find('<') {
            assert_text(&rest[..start]);
            let end = rest[start..].find('>').expect("a tag never ends") + start;
            let tag = &rest[start + 1..end];
            if let Some(name) = tag.strip_prefix('/') {
                assert_eq!(
                    open.pop(),
                    Some(name),
                    "an element closes that was not open"
                );
            } else {
                let name = tag.split([' ', '/']).next().expect("a tag has a name");
                assert!(
                    !name.is_empty() && name.chars().all(char::is_alphanumeric),
                    "<{tag}>"
                );
                assert_attributes(tag[name.len()..].trim_end_matches('/'));
                roots += usize::from(open.is_empty());
                if !tag.ends_with('/') {
                    open.push(name);
                }
            }
            rest = &rest[end + 1..];
        }
        assert!(
            rest.trim().is_empty() && open.is_empty(),
            "left open: {open:?}"
        );
        assert_eq!(roots, 1, "a picture is one element");
    }

    fn assert_text(text: &str) {
        for piece in text.split('&').skip(1) {
            let name = piece.split(';').next().expect("a split has a first part");
            assert!(
                ["amp", "lt", "gt", "quot", "#39"].contains(&name),
                "&{name}"
            );
        }
        assert!(!text.contains('\u{0}'));
    }

    fn assert_attributes(mut text: &str) {
        let mut seen = Vec::new();
        while !text.trim().is_empty() {
            assert!(text.starts_with(' '), "attributes need a space: {text}");
            let (name, rest) = text.trim_start().split_once("=\"").expect("name=\"value\"");
            let (value, rest) = rest.split_once('"').expect("a value ends");
            assert!(!seen.contains(&name), "{name} came twice");
            assert!(!value.contains('<') && !value.contains("NaN") && !value.contains("inf"));
            assert_text(value);
            seen.push(name);
            text = rest;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_minus_zero() {
        for (value, text) in [(1.0, "1"), (-0.04, "0"), (2.25, "2.2"), (-3.66, "-3.7")] {
            assert_eq!(number(value), text);
        }
        assert_eq!(number(f64::NAN), "0");
    }

    #[test]
    fn words_cannot_break_out_of_the_picture() {
        let nasty = "<b a=\"1\">&'\u{1}\u{b5}";
        let safe = escaped(nasty);
        assert_eq!(safe, "&lt;b a=&quot;1&quot;&gt;&amp;&#39;\u{fffd}\u{3bc}");
        let mut svg = Svg::open(1.0, 1.0, nasty, nasty);
        let ink = Ink::new(Rgb::BLACK, Anchor::Middle).with_halo(Rgb::WHITE);
        svg.text(
            Point::new(0.0, 0.0),
            &[Span::plain(nasty, 9.0), Span::bold(nasty, 9.0)],
            ink,
        );
        reading::assert_well_formed(&svg.close());
    }

    #[test]
    #[should_panic(expected = "an element closes that was not open")]
    fn the_reader_of_these_tests_refuses_crossed_elements() {
        reading::assert_well_formed("<a><b></a></b>");
    }

    #[test]
    fn a_run_comes_back_to_its_points() {
        let points = [
            Point::new(1.0, 2.0),
            Point::new(1.05, 2.5),
            Point::new(0.5, -1.0),
        ];
        assert_eq!(run(&points, true), "M1 2l.1 .5l-.6-3.5z");
        assert_eq!(run(&[], true), "");
    }
}
