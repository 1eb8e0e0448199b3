//! Reads the pairs and the photos of a trial, and refuses what cannot belong
//! together.
//!
//! Law: paint does not grow: a reading after that is thicker than before by
//! more than three standard deviations of a difference, 3·√2·σ, is a slip.
//! Source: own rule; range of readings `Source::SspcPa2` spots on cars.
//! Holds: polishing, at most 30 µm a trial.
//! Left out: telling which of the two readings is wrong.
//! Checked by: the reader's tests.

use lapwing_measure::quantity::Length;
use toml::Spanned;
use uom::si::length::micrometer;

use super::Notes;
use crate::record::read::field::Reader;
use crate::record::written::{Number, Text};
use crate::record::{InputError, Part, Said, Sentence};
use crate::trial::evidence::PhotoPair;
use crate::trial::pairs::{MOST_OFF_UM, PairSlip, noise_um, slip_of};
use crate::trial::written::{WrittenPhoto, WrittenReading};

/// Readings a car's film can give, µm.
const FILM_UM: (f64, f64) = (20.0, 3000.0);
/// Relative error of one photo where none is given.
const PHOTO_NOISE: f64 = 0.1;

pub(super) fn readings(
    reader: &Reader<'_>,
    written: &[Spanned<WrittenReading>],
    gauge_um: f64,
    notes: &mut Notes,
) -> Result<Vec<(f64, f64)>, InputError> {
    let pairs: Vec<(f64, f64)> = written
        .iter()
        .map(|reading| pair(reader, reading, gauge_um))
        .collect::<Result<_, _>>()?;
    match pairs.len() {
        0 => notes.doubt("reading", Sentence::NoPairs),
        1 => notes.doubt("reading", Sentence::OnePair),
        _ => {}
    }
    Ok(pairs)
}

fn pair(
    reader: &Reader<'_>,
    reading: &Spanned<WrittenReading>,
    gauge_um: f64,
) -> Result<(f64, f64), InputError> {
    let (Some(before), Some(after)) = (&reading.get_ref().before, &reading.get_ref().after) else {
        let missing = if reading.get_ref().before.is_none() {
            "before"
        } else {
            "after"
        };
        return Err(reader.fault(
            reading,
            format!("this [[reading]] has no \"{missing}\", so it makes no pair; read the same spot before and after, or take it out."),
        ));
    };
    let (before_um, after_um) = (
        film(reader, before, "before")?,
        film(reader, after, "after")?,
    );
    match slip_of((before_um, after_um), gauge_um) {
        Some(PairSlip::Grown) => Err(reader.fault(
            &after.0,
            format!("after is {after_um:.1} µm and before {before_um:.1} µm: paint does not grow, and the gauge explains at most {:.1} µm. Swapped, or another spot?", noise_um(gauge_um)),
        )),
        Some(PairSlip::Apart) => Err(reader.fault(
            &after.0,
            format!("before is {before_um:.1} µm and after {after_um:.1} µm, {:.0} µm less: no polish takes off more than {MOST_OFF_UM:.0} µm at once, so these do not pair. Check spot and unit.", before_um - after_um),
        )),
        None => Ok((before_um, after_um)),
    }
}

fn film(reader: &Reader<'_>, text: &Text, key: &str) -> Result<f64, InputError> {
    let length: Length = reader.quantity(text, key)?;
    let um = length.get::<micrometer>();
    let what = "µm, because that is what a car's film reads";
    reader.within(text, key, (um, what), FILM_UM)?;
    Ok(um)
}

pub(super) fn photos(
    reader: &Reader<'_>,
    written: &[WrittenPhoto],
    notes: &mut Notes,
) -> Result<Vec<PhotoPair>, InputError> {
    if written.iter().any(|p| p.noise.is_none()) {
        notes.assumed("photo.noise", "0.1");
    }
    let mut photos = Vec::new();
    for photo in written {
        photos.extend(one_photo(reader, photo, notes)?);
    }
    Ok(photos)
}

fn one_photo(
    reader: &Reader<'_>,
    photo: &WrittenPhoto,
    notes: &mut Notes,
) -> Result<Option<PhotoPair>, InputError> {
    let passes = whole_passes(reader, &photo.passes, "photo.passes", 1.0)?;
    let passes_before = match &photo.passes_before {
        Some(number) => whole_passes(reader, number, "photo.passes_before", 0.0)?,
        None => 0.0,
    };
    let density = |number: &Number, key: &str, least: f64| {
        let what = format!("{key} (scratch length in mm on a mm²)");
        reader.number_within(number, &what, (least, 100.0))
    };
    let before = density(&photo.density_before, "photo.density_before", 0.001)?;
    let after = density(&photo.density_after, "photo.density_after", 0.0)?;
    let noise_frac = reader.number_or(
        photo.noise.as_ref(),
        "photo.noise",
        (0.02, 1.0),
        PHOTO_NOISE,
    )?;
    // Each of the two photos is off by the same share.
    let noise = 3.0 * std::f64::consts::SQRT_2 * noise_frac * before;
    if after - before > noise {
        return Err(reader.fault(
            &photo.density_after.0,
            format!("density_after is {after} and density_before {before}: passes do not add scratches, and the photos explain at most {noise:.2} more. Other light, dust, or marks of the pad: take the photo again or leave it out."),
        ));
    }
    if after > before {
        let parts = [
            Part::Number(after, 2),
            Part::Number(before, 2),
            Part::Number(100.0 * noise_frac, 0),
        ];
        notes.doubt("photo", Said::new(Sentence::PhotoLeftOut, parts));
        return Ok(None);
    }
    if after == before {
        notes.caution("photo", format!("Density before and after are {before} and {after}: the photo shows no correction. It is kept, with its error of {:.0} %.", 100.0 * noise_frac));
    }
    if after == 0.0 {
        notes.caution("photo", "A density of 0 after claims 100 % correction. It is read as nothing above the photo's floor, not as proof that no scratch is left.");
    }
    Ok(Some(PhotoPair {
        passes_before,
        passes,
        before,
        after,
        noise_frac,
    }))
}

fn whole_passes(
    reader: &Reader<'_>,
    number: &Number,
    key: &str,
    least: f64,
) -> Result<f64, InputError> {
    let passes = *number.0.get_ref();
    if passes.fract() == 0.0 && (least..=100.0).contains(&passes) {
        return Ok(passes);
    }
    Err(reader.fault(
        &number.0,
        format!("{key} is {passes}; allowed is a whole number from {least} to 100. Without a pass a photo says nothing of the cut."),
    ))
}
