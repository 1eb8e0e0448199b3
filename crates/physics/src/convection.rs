//! How fast a warm panel gives its heat to the air.
//!
//! Law: heat flux = h·(surface − air). Still air: Nu = 0.54·Ra^¼ up to Ra = 10⁷
//! and 0.15·Ra^⅓ beyond for a warm face turned up, 0.27·Ra^¼ turned down (length
//! = area over rim), and for an upright face (length = height)
//! Nu = {0.825 + 0.387·Ra^⅙/[1 + (0.492/Pr)^(9/16)]^(8/27)}²;
//! Ra = g·ΔT·L³/(T·ν·a), h = Nu·k/L. Radiation: h = ε·σ·(T+T0)(T²+T0²). A
//! spinning disc: h = 0.33·k·√(ω/ν). Still and stirred air mix as the third
//! root of the sum of their cubes, in a ring of [`WIND_REACH_RADII`] pad radii
//! around the pad; over the whole face the wind counts by the ring's share.
//! Source: `Incropera` (correlations and air table, from memory);
//! `CobbSaunders1956` for the spinning disc (from memory).
//! Holds: 10⁴ < Ra < 10¹¹, film 250…400 K, spin with ωR²/ν under 2.4·10⁵.
//! Outside: the nearest law and the nearest air are used on.
//! Left out: drafts, evaporation, the sun; that the ring is warmer than the rest
//! of the face, which makes the wind count for too little: the cautious side.
//! Checked by: a worked example of an upright plate, and the coefficients the
//! project was designed with (rounded to two digits).

use lapwing_measure::quantity::{AngularVelocity, HeatTransfer, Length, Temperature};
use lapwing_measure::{Provenance, Source};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;

use crate::error::{Given, PhysicsError};

/// Where the still-air laws come from.
pub const STILL_AIR_SOURCE: Source = Source::Incropera;
/// Where the spinning disc comes from.
pub const SPINNING_SOURCE: Source = Source::CobbSaunders1956;

/// Emissivity of paint in the infrared.
pub const PAINT_EMISSIVITY: f64 = 0.9;
/// How sure the emissivity is.
pub const EMISSIVITY_PROVENANCE: Provenance = Provenance::Sourced(Source::Incropera);

/// Share of the open radiation that leaves a panel's inner face; the liner or
/// inner sheet behind it has warmed half-way. Assumed.
pub const INNER_RADIATION_FRAC: f64 = 0.5;

/// How far from its centre a spinning pad stirs the air, in pad radii. Assumed:
/// the jet that leaves a disc's rim is followed for one radius.
pub const WIND_REACH_RADII: f64 = 2.0;

const STEFAN_BOLTZMANN_W_M2_K4: f64 = 5.670_374_419e-8;
const GRAVITY_M_S2: f64 = 9.806_65;

/// Air at one atmosphere: temperature K, kinematic viscosity m²/s,
/// conductivity W/(m·K), Prandtl number (`Incropera`, air table).
const AIR_TABLE: [[f64; 4]; 4] = [
    [250.0, 11.44e-6, 22.3e-3, 0.720],
    [300.0, 15.89e-6, 26.3e-3, 0.707],
    [350.0, 20.92e-6, 30.0e-3, 0.700],
    [400.0, 26.41e-6, 33.8e-3, 0.690],
];

/// Which way a face looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facing {
    /// Up: a roof from outside.
    Up,
    /// Down: a roof from inside.
    Down,
    /// Sideways: a door.
    Upright,
}

/// A warm (or cold) face in still air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// Temperature of the face.
    pub surface: Temperature,
    /// Temperature of the air and of what it faces.
    pub air: Temperature,
    /// Width of the face.
    pub width: Length,
    /// Height (upright) or depth (level) of the face.
    pub height: Length,
    /// Which way it looks.
    pub facing: Facing,
}

/// Still-air coefficient of a face.
///
/// # Errors
/// Refuses temperatures outside 230…600 K and sizes outside 1 cm…10 m.
pub fn still_air(face: &Face) -> Result<HeatTransfer, PhysicsError> {
    let (surface_k, air_k) = checked_temps(face.surface, face.air)?;
    let size = |place, value: Length| {
        Given {
            place,
            value: value.value,
            unit: "m",
            remedy: "Give the panel's size.",
        }
        .within(0.01, 10.0)
    };
    let (width_m, height_m) = (
        size("width of the face", face.width)?,
        size("height of the face", face.height)?,
    );
    let film_k = 0.5 * (surface_k + air_k);
    let [viscosity, conductivity, prandtl] = air_at(film_k);
    let level_m = 0.5 * width_m * height_m / (width_m + height_m);
    let length_m = if face.facing == Facing::Upright {
        height_m
    } else {
        level_m
    };
    let rayleigh = GRAVITY_M_S2 * (surface_k - air_k).abs() * length_m.powi(3) * prandtl
        / (film_k * viscosity * viscosity);
    let rises = (face.facing == Facing::Up) == (surface_k >= air_k);
    let nusselt = match face.facing {
        Facing::Upright => upright_nusselt(rayleigh, prandtl),
        _ if rises && rayleigh <= 1e7 => 0.54 * rayleigh.powf(0.25),
        _ if rises => 0.15 * rayleigh.cbrt(),
        _ => 0.27 * rayleigh.powf(0.25),
    };
    Ok(coefficient(nusselt * conductivity / length_m))
}

/// Radiation coefficient towards surroundings at air temperature.
///
/// # Errors
/// Refuses temperatures outside 230…600 K and emissivities outside 0…1.
pub fn radiation(
    surface: Temperature,
    air: Temperature,
    emissivity: f64,
) -> Result<HeatTransfer, PhysicsError> {
    let (surface_k, air_k) = checked_temps(surface, air)?;
    let emissivity = Given {
        place: "emissivity",
        value: emissivity,
        unit: "",
        remedy: "Paint has about 0.9.",
    }
    .within(0.0, 1.0)?;
    let sum = (surface_k + air_k) * (surface_k * surface_k + air_k * air_k);
    Ok(coefficient(emissivity * STEFAN_BOLTZMANN_W_M2_K4 * sum))
}

/// Coefficient of the air a spinning pad drags along, beside the pad.
///
/// # Errors
/// Refuses temperatures outside 230…600 K and spins outside ±3000 rad/s.
pub fn spinning_pad(spin: AngularVelocity, air: Temperature) -> Result<HeatTransfer, PhysicsError> {
    let (air_k, _) = checked_temps(air, air)?;
    let spin_rad_s = Given {
        place: "pad spin",
        value: spin.value,
        unit: "rad/s",
        remedy: "1500 rpm are 157 rad/s.",
    }
    .within(-3000.0, 3000.0)?;
    let [viscosity, conductivity, _] = air_at(air_k);
    Ok(coefficient(
        0.33 * conductivity * (spin_rad_s.abs() / viscosity).sqrt(),
    ))
}

/// What takes heat from a face, part by part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Losses {
    /// Air that rises by itself.
    pub still_air: HeatTransfer,
    /// What the pad's wind adds, over the whole face.
    pub pad_wind: HeatTransfer,
    /// Radiation.
    pub radiation: HeatTransfer,
}

impl Losses {
    /// All parts together.
    #[must_use]
    pub fn whole(&self) -> HeatTransfer {
        self.still_air + self.pad_wind + self.radiation
    }
}

/// A pad that spins over the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PadWind {
    /// Its spin.
    pub spin: AngularVelocity,
    /// Half its diameter.
    pub pad_radius: Length,
}

/// Outer face: still air and radiation, and the pad's wind where it stands.
///
/// # Errors
/// As [`still_air`] and [`spinning_pad`].
pub fn outside(face: &Face, wind: Option<PadWind>) -> Result<Losses, PhysicsError> {
    let still_air = still_air(face)?;
    let pad_wind = match wind {
        Some(wind) => {
            let stirred = spinning_pad(wind.spin, face.air)?.value;
            let mixed = (still_air.value.powi(3) + stirred.powi(3)).cbrt();
            (coefficient(mixed) - still_air) * ring_share(face, wind.pad_radius)
        }
        None => coefficient(0.0),
    };
    Ok(Losses {
        still_air,
        pad_wind,
        radiation: radiation(face.surface, face.air, PAINT_EMISSIVITY)?,
    })
}

/// Inner face of the same panel: it looks the other way, and half of the
/// radiation comes back ([`INNER_RADIATION_FRAC`], assumed).
///
/// # Errors
/// As [`still_air`].
pub fn inside(face: &Face) -> Result<Losses, PhysicsError> {
    let facing = match face.facing {
        Facing::Up => Facing::Down,
        Facing::Down => Facing::Up,
        Facing::Upright => Facing::Upright,
    };
    Ok(Losses {
        still_air: still_air(&Face { facing, ..*face })?,
        pad_wind: coefficient(0.0),
        radiation: radiation(face.surface, face.air, PAINT_EMISSIVITY)? * INNER_RADIATION_FRAC,
    })
}

/// Share of the face that lies in the pad's wind, beside the pad.
fn ring_share(face: &Face, pad_radius: Length) -> f64 {
    let ring = std::f64::consts::PI * (WIND_REACH_RADII.powi(2) - 1.0) * pad_radius * pad_radius;
    (ring / (face.width * face.height)).value.min(1.0)
}

fn coefficient(value_w_m2_k: f64) -> HeatTransfer {
    HeatTransfer::new::<watt_per_square_meter_kelvin>(value_w_m2_k)
}

fn checked_temps(surface: Temperature, air: Temperature) -> Result<(f64, f64), PhysicsError> {
    let checked = |place, temperature: Temperature| {
        Given {
            place,
            value: temperature.value,
            unit: "K",
            remedy: "25 °C are 298 K; check the unit.",
        }
        .within(230.0, 600.0)
    };
    Ok((
        checked("surface temperature", surface)?,
        checked("air temperature", air)?,
    ))
}

fn upright_nusselt(rayleigh: f64, prandtl: f64) -> f64 {
    let fall = (1.0 + (0.492 / prandtl).powf(9.0 / 16.0)).powf(8.0 / 27.0);
    (0.825 + 0.387 * rayleigh.powf(1.0 / 6.0) / fall).powi(2)
}

/// Viscosity, conductivity and Prandtl number between the table's rows.
fn air_at(film_k: f64) -> [f64; 3] {
    let last = AIR_TABLE.len() - 1;
    let film_k = film_k.clamp(AIR_TABLE[0][0], AIR_TABLE[last][0]);
    let upper = AIR_TABLE
        .iter()
        .position(|row| row[0] >= film_k)
        .unwrap_or(last)
        .max(1);
    let (below, above) = (AIR_TABLE[upper - 1], AIR_TABLE[upper]);
    let share = (film_k - below[0]) / (above[0] - below[0]);
    [1, 2, 3].map(|column| below[column] + share * (above[column] - below[column]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::angular_velocity::revolution_per_minute;
    use uom::si::length::meter;
    use uom::si::thermodynamic_temperature::degree_celsius;

    fn face(surface_c: f64, air_c: f64, size: (f64, f64), facing: Facing) -> Face {
        Face {
            surface: Temperature::new::<degree_celsius>(surface_c),
            air: Temperature::new::<degree_celsius>(air_c),
            width: Length::new::<meter>(size.0),
            height: Length::new::<meter>(size.1),
            facing,
        }
    }

    #[test]
    fn the_worked_fire_screen_is_met() {
        // Incropera, example 9.2 (from memory): a screen 0.71 m high and 1.02 m
        // wide at 232 °C in air of 23 °C has h = 7.0 W/m²K, film taken at 400 K.
        let h = still_air(&face(232.0, 23.0, (1.02, 0.71), Facing::Upright))
            .expect("usable")
            .value;
        assert!((h - 7.0).abs() < 0.05, "{h}");
    }

    #[test]
    fn the_design_values_of_a_two_foot_panel_are_met() {
        // Level 4.6, upright 4.0, radiation 6.0 W/m²K. Temperatures were not
        // printed with them; 45 °C in air of 25 °C is taken, hence ±0.1.
        let of = |facing| {
            still_air(&face(45.0, 25.0, (0.61, 0.61), facing))
                .expect("usable")
                .value
        };
        assert!((of(Facing::Up) - 4.6).abs() < 0.1, "{}", of(Facing::Up));
        assert!(
            (of(Facing::Upright) - 4.0).abs() < 0.1,
            "{}",
            of(Facing::Upright)
        );
        // The face turned down gets half of the face turned up.
        assert!((of(Facing::Down) / of(Facing::Up) - 0.5).abs() < 1e-9);
        let panel = face(45.0, 25.0, (0.61, 0.61), Facing::Up);
        let radiation = radiation(panel.surface, panel.air, PAINT_EMISSIVITY)
            .expect("usable")
            .value;
        assert!((radiation - 6.0).abs() < 0.1);
        // Top about 10, inner face about 5.
        let outside = outside(&panel, None).expect("usable").whole().value;
        assert!((outside - 10.0).abs() < 1.0, "{outside}");
        let inside = inside(&panel).expect("usable").whole().value;
        assert!((inside - 5.0).abs() < 0.5, "{inside}");
    }

    #[test]
    fn a_spinning_pad_gives_about_25() {
        // The design value is one rounded figure; 1200 and 1500 rpm lie around it.
        let at = |rpm| {
            spinning_pad(
                AngularVelocity::new::<revolution_per_minute>(rpm),
                Temperature::new::<degree_celsius>(25.0),
            )
            .expect("usable")
            .value
        };
        assert!(
            (at(1200.0) - 25.0).abs() < 2.5 && (at(1500.0) - 25.0).abs() < 2.5,
            "{} {}",
            at(1200.0),
            at(1500.0)
        );
        assert_eq!(at(0.0), 0.0);
    }

    #[test]
    fn the_pads_wind_counts_where_the_pad_stands() {
        let wind = PadWind {
            spin: AngularVelocity::new::<revolution_per_minute>(1500.0),
            pad_radius: Length::new::<meter>(0.0625),
        };
        let of = |side_m: f64| {
            outside(&face(45.0, 25.0, (side_m, side_m), Facing::Up), Some(wind)).expect("usable")
        };
        // By hand: ring 3·π·0.0625² = 0.036816 m², 9.894 % of 0.61 m squared;
        // still 4.6 and stirred 25 mix to 25.05, so about 2.0 are added.
        let added = of(0.61).pad_wind.value;
        assert!((added - 0.09894 * (25.05 - 4.6)).abs() < 0.25, "{added}");
        // A face no larger than the ring is stirred all over: about 25.
        let small = of(0.15);
        assert!((small.still_air.value + small.pad_wind.value - 25.0).abs() < 2.5);
        let calm = face(45.0, 25.0, (0.61, 0.61), Facing::Up);
        assert_eq!(outside(&calm, None).expect("usable").pad_wind.value, 0.0);
        let parts = of(0.61);
        let sum = parts.still_air.value + parts.pad_wind.value + parts.radiation.value;
        assert_eq!(parts.whole().value, sum);
    }

    #[test]
    fn a_cold_roof_is_like_a_warm_ceiling() {
        let cold_up = still_air(&face(5.0, 25.0, (0.6, 0.6), Facing::Up)).expect("usable");
        let cold_down = still_air(&face(5.0, 25.0, (0.6, 0.6), Facing::Down)).expect("usable");
        assert!(cold_down > cold_up);
    }

    #[test]
    fn no_difference_gives_no_rising_air_but_still_radiates() {
        let even = face(25.0, 25.0, (0.6, 0.6), Facing::Up);
        assert_eq!(still_air(&even).expect("usable").value, 0.0);
        // 4·ε·σ·T³ at 298.15 K = 5.41 by hand.
        assert!(
            (radiation(even.surface, even.air, 0.9)
                .expect("usable")
                .value
                - 5.41)
                .abs()
                < 0.005
        );
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(still_air(&face(f64::NAN, 25.0, (0.6, 0.6), Facing::Up)).is_err());
        assert!(still_air(&face(45.0, 25.0, (0.0, 0.6), Facing::Up)).is_err());
        let air = Temperature::new::<degree_celsius>(25.0);
        assert!(radiation(air, air, 1.5).is_err());
    }
}
