//! Reads `[panel]`: size, layers, air and shape.
//!
//! Source: usual layers from `lapwing_physics::heat::Substrate`.
//! Left out: what lies under the pad (see `ground`).
//! Checked by: the reader's tests.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{
    HeatTransfer, Length, MassDensity, SpecificHeatCapacity, Temperature, ThermalConductivity,
};
use lapwing_physics::convection::Facing;
use lapwing_physics::heat::{Layer, Substrate};
use lapwing_physics::stroke::Section;
use toml::Spanned;
use uom::si::length::{meter, micrometer};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::{Notes, ground};
use crate::bench::setup::BenchPanel;
use crate::bench::written::{WrittenLayer, WrittenPanel};
use crate::record::InputError;
use crate::record::read::field::Reader;
use crate::record::written::Text;

const SUBSTRATES: [(&str, Substrate); 6] = [
    ("steel", Substrate::Steel),
    ("aluminium", Substrate::Aluminium),
    ("plastic", Substrate::Polypropylene),
    ("polypropylene", Substrate::Polypropylene),
    ("laminate", Substrate::Laminate),
    ("carbon", Substrate::Laminate),
];

/// Where no start temperature is given, °C.
const ROOM_C: f64 = 25.0;

pub(super) fn panel(
    reader: &Reader<'_>,
    written: &WrittenPanel,
    notes: &mut Notes,
) -> Result<BenchPanel, InputError> {
    let section = section(reader, &written.size)?;
    let layers = layers(reader, written, notes)?;
    let in_plane = [("wide", true), ("insulated", false)];
    let start = temperature(
        reader,
        written.start_temperature.as_ref(),
        "panel.start_temperature",
        Temperature::new::<degree_celsius>(ROOM_C),
    )?;
    notes.if_absent(
        "panel.start_temperature",
        written.start_temperature.as_ref(),
        ("25 °C", Provenance::Assumed),
    );
    let air = temperature(
        reader,
        written.air_temperature.as_ref(),
        "panel.air_temperature",
        start,
    )?;
    let facings = [
        ("up", Facing::Up),
        ("down", Facing::Down),
        ("upright", Facing::Upright),
    ];
    note_losses(written, notes);
    Ok(BenchPanel {
        section,
        layers,
        is_wide: reader.word_or(written.in_plane.as_ref(), "panel.in_plane", &in_plane, true)?,
        start,
        air,
        convection_outside: convection(
            reader,
            written.convection_outside.as_ref(),
            "panel.convection_outside",
        )?,
        convection_inside: convection(
            reader,
            written.convection_inside.as_ref(),
            "panel.convection_inside",
        )?,
        facing: reader.word_or(
            written.facing.as_ref(),
            "panel.facing",
            &facings,
            Facing::Up,
        )?,
        has_pad_wind: written.pad_wind.unwrap_or(true),
        ground: ground::ground(reader, written, &section, notes)?,
    })
}

/// Convection that is left out comes from the laws; the answer says so.
fn note_losses(written: &WrittenPanel, notes: &mut Notes) {
    let law = (
        "from the laws of still air and radiation",
        Provenance::Sourced(lapwing_measure::Source::Incropera),
    );
    notes.if_absent(
        "panel.convection_outside",
        written.convection_outside.as_ref(),
        law,
    );
    notes.if_absent(
        "panel.convection_inside",
        written.convection_inside.as_ref(),
        law,
    );
}

fn convection(
    reader: &Reader<'_>,
    text: Option<&Text>,
    key: &str,
) -> Result<Option<HeatTransfer>, InputError> {
    let Some(text) = text else { return Ok(None) };
    let value: HeatTransfer = reader.quantity(text, key)?;
    let why = "W/m2K, because still air takes 5 to 10 and a fan 50";
    reader.within(text, key, (value.value, why), (0.0, 1000.0))?;
    Ok(Some(value))
}

fn section(reader: &Reader<'_>, size: &Spanned<Vec<Text>>) -> Result<Section, InputError> {
    let [width, height] = &size.get_ref()[..] else {
        return Err(reader.fault(
            size,
            format!(
                "panel.size has {} lengths; give two, such as [\"0.61 m\", \"0.61 m\"].",
                size.get_ref().len()
            ),
        ));
    };
    let side = |text: &Text| -> Result<Length, InputError> {
        let side: Length = reader.quantity(text, "panel.size")?;
        reader.within(
            text,
            "panel.size",
            (
                side.get::<meter>(),
                "m, because a larger panel is worked in sections",
            ),
            (0.05, 5.0),
        )?;
        Ok(side)
    };
    Ok(Section {
        width: side(width)?,
        height: side(height)?,
    })
}

fn temperature(
    reader: &Reader<'_>,
    text: Option<&Text>,
    key: &str,
    otherwise: Temperature,
) -> Result<Temperature, InputError> {
    let Some(text) = text else {
        return Ok(otherwise);
    };
    let value: Temperature = reader.quantity(text, key)?;
    reader.within(
        text,
        key,
        (
            value.get::<degree_celsius>(),
            "°C, because paint outside that is not worked",
        ),
        (-30.0, 120.0),
    )?;
    Ok(value)
}

fn layers(
    reader: &Reader<'_>,
    written: &WrittenPanel,
    notes: &mut Notes,
) -> Result<Vec<Layer>, InputError> {
    if let Some(layers) = &written.layers {
        let other = written
            .substrate
            .as_ref()
            .map(|t| t.0.span())
            .or(written.film.as_ref().map(Spanned::span));
        if let Some(span) = other {
            return Err(InputError::at_offset(
                reader.file,
                reader.text,
                span.start,
                "panel.layers lists every layer, so panel.substrate and panel.film contradict it. Keep layers alone, or film with substrate.",
            ));
        }
        return listed(reader, layers, "panel.layers");
    }
    let substrate = reader.word_or(
        written.substrate.as_ref(),
        "panel.substrate",
        &SUBSTRATES,
        Substrate::Steel,
    )?;
    let word = written
        .substrate
        .as_ref()
        .map_or("steel", |t| t.0.get_ref().as_str());
    let Some(film) = &written.film else {
        let (key, what) = match &written.substrate {
            Some(_) => ("panel.film", format!("the usual film on {word}")),
            None => ("panel.substrate", format!("{word} with its usual film")),
        };
        notes.origin(key, what, Provenance::Assumed);
        return Ok(substrate.stack());
    };
    let key = match &written.substrate {
        Some(_) => "panel.layers",
        None => "panel.substrate",
    };
    notes.origin(
        key,
        format!("the usual sheet of {word}"),
        Provenance::Assumed,
    );
    let mut layers = listed(reader, film, "panel.film")?;
    layers.push(substrate.sheet());
    Ok(layers)
}

fn listed(
    reader: &Reader<'_>,
    layers: &Spanned<Vec<WrittenLayer>>,
    key: &str,
) -> Result<Vec<Layer>, InputError> {
    let count = layers.get_ref().len();
    if count == 0 || count > 40 {
        return Err(reader.fault(
            layers,
            format!("{key} has {count} layers; allowed is 1 to 40, from the outside inwards."),
        ));
    }
    layers
        .get_ref()
        .iter()
        .map(|layer| self::layer(reader, layer, key))
        .collect()
}

/// A layer; what is left out is taken from the layer of that name.
fn layer(reader: &Reader<'_>, written: &WrittenLayer, list: &str) -> Result<Layer, InputError> {
    let name = written.name.0.get_ref();
    let known = usual(name);
    let missing = |what: &str| {
        reader.fault(&written.name.0, format!("{list}: layer \"{name}\" has no {what}, and no layer of that name is known. Add it, or use clear, base, primer, e-coat, steel, aluminium, polypropylene or laminate."))
    };
    let key = |what: &str| format!("{list}, layer \"{name}\", {what}");
    let thickness: Length = match (&written.thickness, &known) {
        (Some(text), _) => reader.quantity(text, &key("thickness"))?,
        (None, Some(known)) => known.thickness,
        (None, None) => return Err(missing("thickness")),
    };
    let conductivity: ThermalConductivity = match (&written.conductivity, &known) {
        (Some(text), _) => reader.quantity(text, &key("conductivity"))?,
        (None, Some(known)) => known.conductivity,
        (None, None) => return Err(missing("conductivity")),
    };
    let density: MassDensity = match (&written.density, &known) {
        (Some(text), _) => reader.quantity(text, &key("density"))?,
        (None, Some(known)) => known.density,
        (None, None) => return Err(missing("density")),
    };
    let heat_capacity: SpecificHeatCapacity = match (&written.heat_capacity, &known) {
        (Some(text), _) => reader.quantity(text, &key("heat_capacity"))?,
        (None, Some(known)) => known.heat_capacity,
        (None, None) => return Err(missing("heat_capacity")),
    };
    let sideways: Option<ThermalConductivity> = match &written.conductivity_in_plane {
        Some(text) => Some(reader.quantity(text, &key("conductivity_in_plane"))?),
        None if written.conductivity.is_some() => None,
        None => known.as_ref().and_then(|k| k.in_plane_conductivity),
    };
    let layer = Layer {
        name: name.clone(),
        thickness,
        conductivity,
        in_plane_conductivity: sideways,
        density,
        heat_capacity,
    };
    check_layer(reader, written, &layer, &key)?;
    Ok(layer)
}

/// What heat conductivity may be, and why.
const CONDUCTS: &str =
    "W/mK, because everything conducts: paint 0.2, steel 50, the best foam hardly under 0.02";

/// Every number of a layer that was written must be one a material can have.
fn check_layer(
    reader: &Reader<'_>,
    written: &WrittenLayer,
    layer: &Layer,
    key: &dyn Fn(&str) -> String,
) -> Result<(), InputError> {
    if let Some(text) = &written.thickness {
        reader.within(
            text,
            &key("thickness"),
            (
                layer.thickness.get::<micrometer>(),
                "µm, because a layer without thickness is no layer; leave it out",
            ),
            (0.1, 1e6),
        )?;
    }
    for (text, what, value, range, unit) in [
        (
            &written.conductivity,
            "conductivity",
            layer.conductivity.value,
            (0.005, 3000.0),
            CONDUCTS,
        ),
        (
            &written.conductivity_in_plane,
            "conductivity_in_plane",
            layer.in_plane_conductivity.map_or(1.0, |k| k.value),
            (0.005, 3000.0),
            CONDUCTS,
        ),
        (
            &written.density,
            "density",
            layer.density.value,
            (1.0, 25_000.0),
            "kg/m3, because foam has 10 or more and no metal of a body over 20000",
        ),
        (
            &written.heat_capacity,
            "heat_capacity",
            layer.heat_capacity.value,
            (50.0, 20_000.0),
            "J/kgK, because metals have 100 to 900, plastics 1000 to 2000 and water 4200",
        ),
    ] {
        if let Some(text) = text {
            reader.within(text, &key(what), (value, unit), range)?;
        }
    }
    Ok(())
}

fn usual(name: &str) -> Option<Layer> {
    let stacks = [
        Substrate::Steel,
        Substrate::Aluminium,
        Substrate::Polypropylene,
        Substrate::Laminate,
    ];
    stacks
        .iter()
        .flat_map(|s| s.stack())
        .find(|layer| layer.name == name)
}
