//! Fields that are typed in the visitor's units, and the mark of where a
//! number comes from.
//!
//! A form says in `units` how it was shown, so that a change of units on
//! another page in between turns no millimetre into an inch.
//! Law: metric = (shown − offset)/factor, the table of `numbers`.
//! Checked by: the tests below.

use lapwing_job::record::job::Units;
use lapwing_measure::Provenance;
use lapwing_report::figure::{Theme, mark};
use maud::{Markup, PreEscaped, html};

use super::fields::{Fields, NumberField, short};
use super::numbers::{Measure, typed};
use super::refusal::Refusal;
use super::visitor::{UNIT_WORDS, Visitor, one_of};
use super::words::{Message, enquiry, frame, shop};

/// Which units the form's numbers are in.
pub(crate) fn units_field(visitor: &Visitor) -> Markup {
    let word = UNIT_WORDS.iter().find(|(_, u)| *u == visitor.units);
    html! { input type="hidden" name="units" value=(word.map_or("metric", |(w, _)| *w)); }
}

/// A labelled field for a number of the metric value.
pub(crate) fn entry(visitor: &Visitor, field: &NumberField, value: Option<f64>) -> Markup {
    let shown = field.measure.shown(visitor.units);
    let text = value.map(|v| {
        let digits = shown.digits.max(usize::from(v.fract() != 0.0) * 2);
        let text = visitor.number(v * shown.factor + shown.offset, digits);
        text.replace('\u{202f}', "")
    });
    html! {
        label { span { (visitor.say(label(visitor, field))) @if !shown.unit.is_empty() { ", " (shown.unit) } }
            input type="text" inputmode="decimal" name=(field.key) value=(text.unwrap_or_default()) autocomplete="off"; }
    }
}

/// The same field, with what was typed where the form comes back with a fault.
pub(crate) fn entry_again(
    visitor: &Visitor,
    field: &NumberField,
    value: Option<f64>,
    came: Option<&Fields>,
) -> Markup {
    let Some(came) = came else {
        return entry(visitor, field, value);
    };
    let shown = field.measure.shown(visitor.units);
    html! {
        label { span { (visitor.say(label(visitor, field))) @if !shown.unit.is_empty() { ", " (shown.unit) } }
            input type="text" inputmode="decimal" name=(field.key) value=(came.text(field.key).unwrap_or_default()) autocomplete="off"; }
    }
}

/// A field's name; an amount that a price is for is called by its unit.
fn label(visitor: &Visitor, field: &NumberField) -> Message {
    if visitor.units != Units::Us {
        return field.label;
    }
    match (field.measure, field.key) {
        (Measure::PriceOf100G, _) => shop::CLAY_US,
        (Measure::PriceOfLitre, "price_per_litre") => shop::QUART,
        (Measure::PriceOfLitre, _) => shop::WIPE_US,
        (Measure::PriceOf10Ml, _) => shop::COATING_US,
        (Measure::PriceOfMetre, _) => shop::TAPE_US,
        _ => field.label,
    }
}

/// The metric value of a field in its range, or what it is when left out.
pub(crate) fn entered(
    fields: &Fields,
    field: &NumberField,
    otherwise: f64,
    visitor: &Visitor,
) -> Result<f64, Refusal> {
    let Some(came) = fields.text(field.key) else {
        return Ok(otherwise);
    };
    let units = fields.text("units").and_then(|w| one_of(&UNIT_WORDS, w));
    let shown = field.measure.shown(units.unwrap_or(Units::Metric));
    // The field's own unit may be typed behind the figure.
    let bare = came.strip_suffix(shown.unit).unwrap_or(came);
    let metric = typed(bare).map(|v| (v - shown.offset) / shown.factor);
    // A bound that was shown rounded may be typed back rounded.
    let slack = 0.5 * 0.1_f64.powi(shown.digits as i32) / shown.factor.abs();
    let (low, high) = field.range;
    if let Some(value) = metric.filter(|v| (low - slack..=high + slack).contains(v)) {
        return Ok(value.clamp(low, high));
    }
    let end = |value: f64| visitor.number(value * shown.factor + shown.offset, shown.digits);
    let message = match metric {
        None => frame::NOT_A_NUMBER,
        Some(_) => frame::OUT_OF_RANGE,
    };
    let label = visitor.say(label(visitor, field));
    let parts = [label, &short(came), &end(low), &end(high), shown.unit];
    Err(Refusal::input(
        visitor.fill(message, &parts).replace(" .", "."),
    ))
}

/// A text without control signs, cut to a length.
pub(crate) fn plain(fields: &Fields, key: &str, most: usize) -> String {
    let text = fields.text(key).unwrap_or_default();
    text.chars()
        .filter(|c| !c.is_control())
        .take(most)
        .collect()
}

/// One of a few words as large buttons, one of them down.
pub(crate) fn taps(
    visitor: &Visitor,
    (key, label): (&str, Message),
    words: &[(&str, Message)],
    chosen: &str,
) -> Markup {
    html! {
        fieldset.taps { legend { (visitor.say(label)) }
            div { @for (word, name) in words {
                label { input type="radio" name=(key) value=(word) checked[*word == chosen]; span { (visitor.say(*name)) } }
            } }
        }
    }
}

/// A choice of a few words as a list.
pub(crate) fn choice(
    visitor: &Visitor,
    (key, label): (&str, Message),
    words: &[(&str, Message)],
    chosen: &str,
) -> Markup {
    html! {
        label { span { (visitor.say(label)) }
            select name=(key) { @for (word, name) in words {
                option value=(word) selected[*word == chosen] { (visitor.say(*name)) } } } }
    }
}

/// The mark and the word of where a number comes from.
pub(crate) fn origin(visitor: &Visitor, provenance: Provenance) -> Markup {
    let word = match provenance {
        Provenance::Measured => enquiry::MEASURED,
        Provenance::Calibrated => enquiry::CALIBRATED,
        Provenance::Sourced(_) => enquiry::SOURCED,
        Provenance::CommonPractice => enquiry::COMMON,
        Provenance::Assumed => enquiry::ASSUMED,
    };
    let drawn = mark(provenance, 15.0, Theme::LIGHT.ink2)
        .replace("role=\"img\"", "role=\"img\" aria-hidden=\"true\"");
    html! { span.mark { (PreEscaped(drawn)) (visitor.say(word)) } }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderMap;

    const ORBIT: NumberField = NumberField {
        key: "orbit",
        label: frame::BENCH,
        measure: Measure::Length,
        range: (1.0, 40.0),
    };

    fn orbit(raw: &str) -> Result<f64, String> {
        let visitor = Visitor::of(&HeaderMap::new());
        let fields = Fields::parse(raw.as_bytes(), &visitor).map_err(|r| r.sentence)?;
        entered(&fields, &ORBIT, 15.0, &visitor).map_err(|r| r.sentence)
    }

    #[test]
    fn a_price_goes_with_the_amount_it_is_for() {
        const CLAY: NumberField = NumberField {
            key: "clay_per_100_g",
            label: shop::CLAY,
            measure: Measure::PriceOf100G,
            range: (0.0, 10_000.0),
        };
        let us = Visitor {
            units: Units::Us,
            ..Visitor::of(&HeaderMap::new())
        };
        // 100 g are 3.527 oz: at 7.00 an ounce costs 1.985.
        let shown = entry(&us, &CLAY, Some(7.0)).into_string();
        assert!(
            shown.contains("Clay, an ounce") && shown.contains("1.98"),
            "{shown}"
        );
        let fields = Fields::parse(b"clay_per_100_g=1.984&units=us", &us).expect("fields");
        let back = entered(&fields, &CLAY, 0.0, &us).expect("a price");
        assert!((back - 7.0).abs() < 0.002, "{back}");
    }

    #[test]
    fn a_number_counts_in_the_units_that_its_form_was_shown_in() {
        assert_eq!(orbit("orbit=21&units=metric"), Ok(21.0));
        assert_eq!(orbit("orbit=21+mm&units=metric"), Ok(21.0));
        assert!(orbit("orbit=0.6&units=us").is_ok_and(|mm| (mm - 15.24).abs() < 1e-9));
        assert_eq!(orbit(""), Ok(15.0));
        // 40 mm are shown as 1.6 in; typing that back is no fault.
        assert_eq!(orbit("orbit=1.6&units=us"), Ok(40.0));
        assert!(orbit("orbit=9&units=us").is_err_and(|s| s.contains("1.6 in")));
        assert!(orbit("orbit=wide").is_err_and(|s| s.contains("not a number")));
    }
}
