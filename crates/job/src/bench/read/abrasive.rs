//! Reads `[abrasive]`, the pad's load and `[finish]`.
//!
//! Source: none found for breakdown, loading and classes; all assumed, and
//! marked so when they are left out.
//! Left out: product by weight.
//! Checked by: the reader's tests.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{Energy, Length};
use toml::{Spanned, Value};
use uom::si::energy::{joule, kilojoule};
use uom::si::length::nanometer;

use super::Notes;
use crate::bench::classes::{self, FRICTION_WORDS};
use crate::bench::finish::FinishSetup;
use crate::bench::setup::Spread;
use crate::bench::wearing::{Loading, Wearing};
use crate::bench::written::{WrittenAbrasive, WrittenFinish, WrittenPad};
use crate::record::InputError;
use crate::record::job::{AbrasiveClass, PadClass};
use crate::record::read::field::Reader;

/// What is assumed of a diminishing abrasive and a loading pad.
const FLOOR_FRAC: f64 = 0.3;
const BREAKDOWN_WORK_KJ: f64 = 20.0;
const CUT_LOSS_FRAC: f64 = 0.05;
const FRICTION_GAIN_FRAC: f64 = 0.05;

/// Cut rate of fresh product on a clean pad and its class; from a number, the
/// nearest class.
pub(super) fn cut_rate(
    reader: &Reader<'_>,
    (written, pad): (&WrittenAbrasive, Option<PadClass>),
    notes: &mut Notes,
) -> Result<(Spread, AbrasiveClass), InputError> {
    let word = written
        .cut_rate
        .as_ref()
        .map_or("medium", |t| t.0.get_ref().trim());
    let class = AbrasiveClass::WORDS.iter().find(|(name, _)| *name == word);
    if let Some((_, class)) = class {
        let spread = classes::cut_rate_per_pa(*class, pad);
        let on = pad.map_or("", |_| " on this class of pad");
        notes.origin(
            "abrasive.cut_rate",
            format!(
                "{word}{on}: {} 1/Pa, {} to {}",
                rate(spread.value),
                rate(spread.lower),
                rate(spread.upper)
            ),
            Provenance::Assumed,
        );
        return Ok((spread, *class));
    }
    let Some(text) = &written.cut_rate else {
        return Ok((
            classes::cut_rate_per_pa(AbrasiveClass::Medium, pad),
            AbrasiveClass::Medium,
        ));
    };
    let given = lapwing_measure::quantity::cut_rate(word).map_err(|e| {
        reader.fault(
            &text.0,
            format!("abrasive.cut_rate: {e}. Or a class: finishing, fine, medium, heavy."),
        )
    })?;
    reader.within(
        text,
        "abrasive.cut_rate",
        (given, "1/Pa, because paint gives 1e-12 to 1e-11"),
        (1e-15, 1e-9),
    )?;
    Ok((Spread::given(given), classes::nearest_class(given, pad)))
}

/// A cut rate in three digits.
fn rate(per_pa: f64) -> String {
    let text = format!("{per_pa:.2e}");
    let (digits, power) = text.split_once('e').unwrap_or((&text, "0"));
    let digits = digits.trim_end_matches('0').trim_end_matches('.');
    format!("{digits}e{power}")
}

/// Friction share of a clean pad.
pub(super) fn friction(
    reader: &Reader<'_>,
    written: Option<&Spanned<Value>>,
    notes: &mut Notes,
) -> Result<Spread, InputError> {
    const KEY: &str = "abrasive.friction_share";
    let refuse = |at: &Spanned<Value>, came: String| {
        reader.fault(at, format!("{KEY} (friction coefficient times the share of heat into the panel) is {came}; allowed is 0 to 1, because no more heat can enter than is made, or a class: wet, usual, dry."))
    };
    let word = match written {
        None => "usual",
        Some(at) => match at.get_ref() {
            Value::Float(share) if (0.0..=1.0).contains(share) => return Ok(Spread::given(*share)),
            Value::Integer(whole) if (0..=1).contains(whole) => {
                return Ok(Spread::given(*whole as f64));
            }
            Value::String(word) => word.as_str(),
            other => return Err(refuse(at, other.to_string())),
        },
    };
    let Some((name, spread)) = FRICTION_WORDS.iter().find(|(name, _)| *name == word) else {
        return Err(written.map_or_else(
            || InputError::in_file(reader.file, KEY),
            |at| refuse(at, format!("\"{word}\"")),
        ));
    };
    notes.origin(
        KEY,
        format!(
            "{name}: {}, {} to {}",
            spread.value, spread.lower, spread.upper
        ),
        Provenance::Assumed,
    );
    Ok(*spread)
}

/// How product and pad wear.
pub(super) fn wearing(
    reader: &Reader<'_>,
    (abrasive, pad): (&WrittenAbrasive, &WrittenPad),
    notes: &mut Notes,
) -> Result<Wearing, InputError> {
    let charges = match &abrasive.charges {
        Some(count) if (1..=100).contains(count.get_ref()) => *count.get_ref() as u32,
        Some(count) => {
            return Err(reader.fault(count, format!("abrasive.charges is {}; allowed is 1 to 100, because work begins with one charge.", count.get_ref())));
        }
        None => 1,
    };
    let breakdown = breakdown(reader, abrasive, notes)?;
    if breakdown.is_none() && abrasive.charges.is_some() {
        notes.caution("abrasive.charges", "Without breakdown the product cuts the same to the end, however many charges: the key changes nothing. Set breakdown = \"diminishing\" to make it count.");
    }
    Ok(Wearing {
        breakdown,
        charges,
        loading: loading(reader, pad, notes)?,
    })
}

fn breakdown(
    reader: &Reader<'_>,
    written: &WrittenAbrasive,
    notes: &mut Notes,
) -> Result<Option<(f64, Energy)>, InputError> {
    let (floor, work) = (&written.floor_share, &written.breakdown_work);
    let has_numbers = floor.is_some() || work.is_some();
    let words = [("none", false), ("diminishing", true)];
    let is_diminishing = reader.word_or(
        written.breakdown.as_ref(),
        "abrasive.breakdown",
        &words,
        has_numbers,
    )?;
    if !is_diminishing {
        refuse_numbers_of_none(reader, written)?;
        if written.breakdown.is_none() {
            notes.origin(
                "abrasive.breakdown",
                "none: cuts the same to the end",
                Provenance::Assumed,
            );
        }
        return Ok(None);
    }
    let floor_frac = match floor {
        Some(share) => reader.number_within(
            share,
            "abrasive.floor_share (of the fresh cut; a spent charge cuts no more than a fresh one)",
            (0.0, 1.0),
        )?,
        None => {
            notes.origin(
                "abrasive.floor_share",
                FLOOR_FRAC.to_string(),
                Provenance::Assumed,
            );
            FLOOR_FRAC
        }
    };
    let Some(text) = work else {
        let usual = format!("{BREAKDOWN_WORK_KJ} kJ");
        notes.origin("abrasive.breakdown_work", usual, Provenance::Assumed);
        return Ok(Some((
            floor_frac,
            Energy::new::<kilojoule>(BREAKDOWN_WORK_KJ),
        )));
    };
    let work: Energy = reader.quantity(text, "abrasive.breakdown_work")?;
    let why = "J, because a pass rubs some ten thousand";
    reader.within(
        text,
        "abrasive.breakdown_work",
        (work.get::<joule>(), why),
        (1.0, 1e9),
    )?;
    Ok(Some((floor_frac, work)))
}

/// What does not break down has neither floor nor fading work.
fn refuse_numbers_of_none(
    reader: &Reader<'_>,
    written: &WrittenAbrasive,
) -> Result<(), InputError> {
    let floor = written.floor_share.as_ref();
    let work = written.breakdown_work.as_ref();
    let other = floor
        .map(|n| (n.0.span(), "abrasive.floor_share"))
        .or_else(|| work.map(|t| (t.0.span(), "abrasive.breakdown_work")));
    other.map_or(Ok(()), |(span, key)| {
        Err(InputError::at_offset(
            reader.file,
            reader.text,
            span.start,
            format!("abrasive.breakdown = \"none\" and {key} contradict each other, because what does not break down has no floor. Keep one."),
        ))
    })
}

fn loading(
    reader: &Reader<'_>,
    written: &WrittenPad,
    notes: &mut Notes,
) -> Result<Loading, InputError> {
    let sections = match &written.sections_since_clean {
        Some(count) if (0..=100).contains(count.get_ref()) => *count.get_ref() as u32,
        Some(count) => {
            return Err(reader.fault(count, format!("pad.sections_since_clean is {}; allowed is 0 to 100, because a pad is cleaned long before.", count.get_ref())));
        }
        None => 0,
    };
    let cut_key = "pad.cut_loss_per_section (of what is left; a pad that loses more is spent after one section)";
    let friction_key =
        "pad.friction_gain_per_section (of what there is; at 1 it doubles with each section)";
    let loading = Loading {
        sections,
        cut_loss_frac: reader.number_or(
            written.cut_loss_per_section.as_ref(),
            cut_key,
            (0.0, 0.9),
            CUT_LOSS_FRAC,
        )?,
        friction_gain_frac: reader.number_or(
            written.friction_gain_per_section.as_ref(),
            friction_key,
            (0.0, 1.0),
            FRICTION_GAIN_FRAC,
        )?,
    };
    if sections > 0 {
        for (is_given, key, share) in [
            (
                written.cut_loss_per_section.is_some(),
                "pad.cut_loss_per_section",
                CUT_LOSS_FRAC,
            ),
            (
                written.friction_gain_per_section.is_some(),
                "pad.friction_gain_per_section",
                FRICTION_GAIN_FRAC,
            ),
        ] {
            if !is_given {
                notes.origin(key, share.to_string(), Provenance::Assumed);
            }
        }
    }
    Ok(loading)
}

/// The same number after a loaded pad, its range with it, at most `most`.
pub(super) fn loaded(spread: Spread, factor: f64, most: f64) -> Spread {
    let by = |value: f64| (value * factor).min(most);
    Spread {
        value: by(spread.value),
        lower: by(spread.lower),
        upper: by(spread.upper),
    }
}

/// Roughness and refractive index of what is left.
pub(super) fn finish(
    reader: &Reader<'_>,
    written: &WrittenFinish,
    (abrasive, pad): (AbrasiveClass, Option<PadClass>),
) -> Result<FinishSetup, InputError> {
    let mut finish = FinishSetup::assumed(abrasive, pad);
    if let Some(text) = &written.roughness {
        let roughness: Length = reader.quantity(text, "finish.roughness")?;
        let nm = roughness.get::<nanometer>();
        let why = "nm, because polished clear coat has 5 to 100";
        reader.within(text, "finish.roughness", (nm, why), (0.0, 500.0))?;
        finish.roughness_nm = Spread::given(nm);
        finish.roughness_mark = Provenance::Measured;
    }
    if let Some(number) = &written.refractive_index {
        let key = "finish.refractive_index (of clear coat; water has 1.33, and no clear varnish reaches 2)";
        finish.index = reader.number_within(number, key, (1.3, 2.0))?;
        finish.index_mark = Provenance::Measured;
    }
    Ok(finish)
}
