//! What the panel is made of, from the clear coat down to the inner face.
//!
//! Law: none; a list of layers with what conduction needs of each.
//! Source: film and sheet values are common trade values for a modern finish
//! (clear 45 µm, base 15 µm, primer 35 µm, e-coat 20 µm over 0.7 mm steel,
//! 1 mm aluminium, 3 mm polypropylene or 2 mm carbon laminate), MEMORY; every
//! one of them may be replaced by the user's own.
//! Holds: dry film, 0 to 100 °C. Outside: the numbers still compute, but
//! polypropylene and clear coat soften above about 80 °C.
//! Left out: change of the properties with temperature; plastics and laminate
//! get no e-coat because none is put on them.
//! Checked by: the products k, ρcδ worked by hand below.

use lapwing_measure::quantity::{Length, MassDensity, SpecificHeatCapacity, ThermalConductivity};
use uom::si::length::{meter, micrometer};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::specific_heat_capacity::joule_per_kilogram_kelvin;
use uom::si::thermal_conductivity::watt_per_meter_kelvin;

use super::error::HeatError;

/// One layer of the panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// What the trade calls it.
    pub name: String,
    /// How thick it is.
    pub thickness: Length,
    /// Conductivity through the thickness, and sideways too unless
    /// `in_plane_conductivity` says otherwise.
    pub conductivity: ThermalConductivity,
    /// Conductivity sideways where it differs (laminates).
    pub in_plane_conductivity: Option<ThermalConductivity>,
    /// Density.
    pub density: MassDensity,
    /// Specific heat capacity.
    pub heat_capacity: SpecificHeatCapacity,
}

impl Layer {
    /// A layer from bare numbers: thickness in µm, conductivity in W/(m·K),
    /// density in kg/m³, heat capacity in J/(kg·K).
    #[must_use]
    pub fn from_si(
        name: &str,
        thickness_um: f64,
        conductivity_w_mk: f64,
        density_kg_m3: f64,
        heat_capacity_j_kgk: f64,
    ) -> Self {
        Self {
            name: name.to_owned(),
            thickness: Length::new::<micrometer>(thickness_um),
            conductivity: ThermalConductivity::new::<watt_per_meter_kelvin>(conductivity_w_mk),
            in_plane_conductivity: None,
            density: MassDensity::new::<kilogram_per_cubic_meter>(density_kg_m3),
            heat_capacity: SpecificHeatCapacity::new::<joule_per_kilogram_kelvin>(
                heat_capacity_j_kgk,
            ),
        }
    }

    /// The same layer with its own conductivity sideways, in W/(m·K).
    #[must_use]
    pub fn conducting_sideways(mut self, conductivity_w_mk: f64) -> Self {
        self.in_plane_conductivity = Some(ThermalConductivity::new::<watt_per_meter_kelvin>(
            conductivity_w_mk,
        ));
        self
    }
}

/// What carries the paint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Substrate {
    /// Steel sheet, 0.7 mm.
    Steel,
    /// Aluminium sheet, 1 mm.
    Aluminium,
    /// Polypropylene, 3 mm.
    Polypropylene,
    /// Carbon-fibre laminate, 2 mm.
    Laminate,
}

impl Substrate {
    /// The usual layers from the outside inwards.
    #[must_use]
    pub fn stack(self) -> Vec<Layer> {
        let mut layers = vec![
            Layer::from_si("clear", 45.0, 0.20, 1200.0, 1500.0),
            Layer::from_si("base", 15.0, 0.25, 1300.0, 1400.0),
            Layer::from_si("primer", 35.0, 0.30, 1400.0, 1300.0),
        ];
        if matches!(self, Self::Steel | Self::Aluminium) {
            layers.push(Layer::from_si("e-coat", 20.0, 0.25, 1300.0, 1400.0));
        }
        layers.push(self.sheet());
        layers
    }

    /// The bare sheet.
    #[must_use]
    pub fn sheet(self) -> Layer {
        match self {
            Self::Steel => Layer::from_si("steel", 700.0, 50.0, 7850.0, 470.0),
            Self::Aluminium => Layer::from_si("aluminium", 1000.0, 190.0, 2700.0, 900.0),
            Self::Polypropylene => Layer::from_si("polypropylene", 3000.0, 0.25, 1050.0, 1800.0),
            Self::Laminate => {
                Layer::from_si("laminate", 2000.0, 0.7, 1550.0, 1000.0).conducting_sideways(4.0)
            }
        }
    }
}

/// A layer as the kernel needs it, in SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Slab {
    pub(crate) thickness_m: f64,
    pub(crate) through_w_mk: f64,
    pub(crate) sideways_w_mk: f64,
    pub(crate) volumetric_j_m3k: f64,
}

impl Slab {
    /// Diffusivity through the thickness in m²/s.
    pub(crate) fn diffusivity_m2_s(&self) -> f64 {
        self.through_w_mk / self.volumetric_j_m3k
    }
}

/// Checks the layers and turns them into bare numbers.
pub(crate) fn slabs(layers: &[Layer]) -> Result<Vec<Slab>, HeatError> {
    if layers.is_empty() || layers.len() > 64 {
        return Err(HeatError::LayerCount { came: layers.len() });
    }
    layers.iter().map(slab).collect()
}

fn slab(layer: &Layer) -> Result<Slab, HeatError> {
    let through = layer.conductivity.get::<watt_per_meter_kelvin>();
    let sideways = layer
        .in_plane_conductivity
        .map_or(through, |k| k.get::<watt_per_meter_kelvin>());
    let density = layer.density.get::<kilogram_per_cubic_meter>();
    let capacity = layer.heat_capacity.get::<joule_per_kilogram_kelvin>();
    let hold = |what: &'static str, value: f64, unit: &'static str, lower: f64, upper: f64| {
        if value >= lower && value <= upper {
            return Ok(value);
        }
        Err(HeatError::Layer {
            layer: layer.name.clone(),
            what,
            came: format!("{value} {unit}"),
            allowed: format!("{lower} to {upper} {unit}"),
        })
    };
    hold(
        "thickness",
        layer.thickness.get::<micrometer>(),
        "µm",
        0.1,
        1e6,
    )?;
    Ok(Slab {
        thickness_m: layer.thickness.get::<meter>(),
        through_w_mk: hold("conductivity", through, "W/(m·K)", 0.005, 3000.0)?,
        sideways_w_mk: hold("conductivity sideways", sideways, "W/(m·K)", 0.005, 3000.0)?,
        volumetric_j_m3k: hold("density", density, "kg/m³", 1.0, 25_000.0)?
            * hold("heat capacity", capacity, "J/(kg·K)", 50.0, 20_000.0)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_metre_of_sheet_holds_what_the_handbook_product_says() {
        // ρ·c·δ: steel 7850·470·0.7e-3 = 2582.65, aluminium 2700·900·1e-3 = 2430 J/(m²·K).
        let per_m2 = |substrate: Substrate| {
            let slab = slab(&substrate.sheet()).expect("the stock sheet is allowed");
            slab.volumetric_j_m3k * slab.thickness_m
        };
        assert!((per_m2(Substrate::Steel) - 2582.65).abs() < 1e-6);
        assert!((per_m2(Substrate::Aluminium) - 2430.0).abs() < 1e-6);
    }

    #[test]
    fn only_metal_carries_an_e_coat() {
        assert_eq!(Substrate::Steel.stack().len(), 5);
        assert_eq!(Substrate::Polypropylene.stack().len(), 4);
    }

    #[test]
    fn a_layer_of_zero_thickness_is_refused_by_name() {
        let layers = [Layer::from_si("primer", 0.0, 0.3, 1400.0, 1300.0)];
        let sentence = slabs(&layers)
            .expect_err("nothing has no thickness")
            .to_string();
        assert!(
            sentence.contains("primer") && sentence.contains("0 µm"),
            "{sentence}"
        );
        let nonsense = [Layer::from_si("primer", 35.0, f64::NAN, 1400.0, 1300.0)];
        assert!(slabs(&nonsense).is_err());
        assert!(slabs(&[]).is_err());
    }
}
