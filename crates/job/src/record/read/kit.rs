//! Reads machines, pads and abrasives, and who goes with whom.
//!
//! Ranges are what a hand-held machine can do; outside them a number is taken
//! for a slip and refused.
//! Checked by: `read/tests.rs`.

use lapwing_measure::quantity::{Acceleration, AngularVelocity, Force, Length, sound_level_db};
use uom::si::{
    acceleration::meter_per_second_squared, angular_velocity::radian_per_second,
    angular_velocity::revolution_per_minute, force::newton, length::millimeter,
};

use super::field::Reader;
use crate::record::InputError;
use crate::record::job::{Abrasive, AbrasiveClass, Kit, Machine, MachineKind, Pad, PadClass, Wear};
use crate::record::written::{WrittenAbrasive, WrittenKit, WrittenMachine, WrittenPad};

pub(super) fn kit(reader: &Reader<'_>, written: &WrittenKit) -> Result<Kit, InputError> {
    let machine_names = reader.refuse_duplicates(
        "machine",
        written
            .machine
            .iter()
            .map(|m| (&m.name, m.name.0.get_ref().clone())),
    )?;
    let pad_names = reader.refuse_duplicates(
        "pad",
        written
            .pad
            .iter()
            .map(|p| (&p.name, p.name.0.get_ref().clone())),
    )?;
    reader.refuse_duplicates(
        "abrasive",
        written
            .abrasive
            .iter()
            .map(|a| (&a.name, a.name.0.get_ref().clone())),
    )?;
    Ok(Kit {
        machines: written
            .machine
            .iter()
            .map(|m| machine(reader, m))
            .collect::<Result<_, _>>()?,
        pads: written
            .pad
            .iter()
            .map(|p| pad(reader, p, &machine_names))
            .collect::<Result<_, _>>()?,
        abrasives: written
            .abrasive
            .iter()
            .map(|a| abrasive(reader, a, &pad_names))
            .collect::<Result<_, _>>()?,
    })
}

fn machine(reader: &Reader<'_>, written: &WrittenMachine) -> Result<Machine, InputError> {
    let kind = reader.word(&written.kind, "machine kind", MachineKind::WORDS)?;
    let mut speeds = Vec::new();
    for text in &written.speeds {
        let speed: AngularVelocity = reader.quantity(text, "speeds")?;
        let rpm = speed.get::<revolution_per_minute>();
        reader.within(text, "speeds", (rpm, "rpm or opm"), (100.0, 12_000.0))?;
        speeds.push(speed);
    }
    if speeds.is_empty() {
        return Err(reader.fault(
            &written.name.0,
            "this machine has no speeds; write for example speeds = [\"1200 rpm\"].",
        ));
    }
    speeds.sort_by(|a, b| a.value.total_cmp(&b.value));
    let orbit = orbit(reader, written, kind)?;
    let force: Force = reader.quantity(&written.force, "force")?;
    reader.within(
        &written.force,
        "force",
        (force.get::<newton>(), "N"),
        (1.0, 200.0),
    )?;
    let noise_dba = sound_level_db(written.noise.0.get_ref())
        .map_err(|e| reader.fault(&written.noise.0, format!("noise: {e}")))?;
    reader.within(&written.noise, "noise", (noise_dba, "dB(A)"), (30.0, 130.0))?;
    let vibration: Acceleration = reader.quantity(&written.vibration, "vibration")?;
    let m_s2 = vibration.get::<meter_per_second_squared>();
    reader.within(&written.vibration, "vibration", (m_s2, "m/s²"), (0.0, 60.0))?;
    Ok(Machine {
        name: written.name.0.get_ref().clone(),
        kind,
        speeds,
        orbit,
        spin: reader.quantity_or(
            written.spin.as_ref(),
            "spin",
            AngularVelocity::new::<radian_per_second>(0.0),
        )?,
        force,
        vibration,
        vibration_uncertainty: reader.quantity_or(
            written.vibration_uncertainty.as_ref(),
            "vibration_uncertainty",
            Acceleration::new::<meter_per_second_squared>(1.5),
        )?,
        noise_dba,
    })
}

fn orbit(
    reader: &Reader<'_>,
    written: &WrittenMachine,
    kind: MachineKind,
) -> Result<Length, InputError> {
    match (kind, &written.orbit) {
        (MachineKind::Rotary, None) => Ok(Length::new::<millimeter>(0.0)),
        (MachineKind::Rotary, Some(text)) => Err(reader.fault(
            &text.0,
            "a rotary has no orbit; remove this key or name another machine kind.",
        )),
        (_, None) => Err(reader.fault(
            &written.kind.0,
            "an orbital machine needs its orbit diameter; add for example orbit = \"15 mm\".",
        )),
        (_, Some(text)) => {
            let orbit: Length = reader.quantity(text, "orbit")?;
            reader.within(
                text,
                "orbit",
                (orbit.get::<millimeter>(), "mm"),
                (1.0, 40.0),
            )?;
            Ok(orbit)
        }
    }
}

fn pad(reader: &Reader<'_>, written: &WrittenPad, machines: &[String]) -> Result<Pad, InputError> {
    let diameter: Length = reader.quantity(&written.diameter, "diameter")?;
    reader.within(
        &written.diameter,
        "diameter",
        (diameter.get::<millimeter>(), "mm"),
        (20.0, 250.0),
    )?;
    let hole = match &written.hole {
        Some(text) => {
            let hole: Length = reader.quantity(text, "hole")?;
            let most = 0.8 * diameter.get::<millimeter>();
            reader.within(text, "hole", (hole.get::<millimeter>(), "mm"), (0.0, most))?;
            hole
        }
        None => Length::new::<millimeter>(0.0),
    };
    Ok(Pad {
        name: written.name.0.get_ref().clone(),
        class: reader.word(&written.class, "pad class", PadClass::WORDS)?,
        diameter,
        hole,
        fits: written
            .fits
            .iter()
            .map(|m| reader.reference(m, "machine", machines))
            .collect::<Result<_, _>>()?,
        price: reader.number_or(written.price.as_ref(), "price", (0.0, 10_000.0), 0.0)?,
        sections: reader.number_or(written.sections.as_ref(), "sections", (1.0, 100.0), 6.0)?,
    })
}

fn abrasive(
    reader: &Reader<'_>,
    written: &WrittenAbrasive,
    pads: &[String],
) -> Result<Abrasive, InputError> {
    let cut_rate_per_pa = written
        .cut_rate
        .as_ref()
        .map(|text| {
            let rate = lapwing_measure::quantity::cut_rate(text.0.get_ref())
                .map_err(|e| reader.fault(&text.0, format!("cut_rate: {e}")))?;
            reader.within(text, "cut_rate", (rate, "1/Pa"), (1e-14, 1e-9))?;
            Ok(rate)
        })
        .transpose()?;
    Ok(Abrasive {
        name: written.name.0.get_ref().clone(),
        class: reader.word(&written.class, "abrasive class", AbrasiveClass::WORDS)?,
        with: written
            .with
            .iter()
            .map(|p| reader.reference(p, "pad", pads))
            .collect::<Result<_, _>>()?,
        wear: reader.word_or(written.wear.as_ref(), "wear", Wear::WORDS, Wear::Constant)?,
        cut_rate_per_pa,
        price_per_litre: reader.number_or(
            written.price_per_litre.as_ref(),
            "price_per_litre",
            (0.0, 10_000.0),
            0.0,
        )?,
    })
}
