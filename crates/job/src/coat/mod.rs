//! Whether the bay suits a coating now: dew point, margin, the product's windows.
//!
//! Law: dew point and margin of `moist_air`; go when the surface is at least
//! 3 K above the dew point and air and humidity lie inside the windows of the
//! data sheet the user holds.
//! Source: `Source::Iso8502_4` for the margin; the windows are typed in. Where
//! none are typed, 18 to 27 °C and 40 to 65 % stand in (common practice).
//! Holds: for thermometers good to 0.5 K and a hygrometer good to 3 % (95 %,
//! assumed); what that does to the margin is said beside it.
//! Left out: how many sections before levelling, which comes with the
//! sequence of laying.
//! Checked by: a printed dew-point table and its decision examples.

use lapwing_measure::quantity::Temperature;
use lapwing_measure::{Provenance, Source};
use lapwing_physics::error::PhysicsError;
use lapwing_physics::moist_air::{Air, DEW_POINT_SOURCE, LEAST_MARGIN_K, MARGIN_SOURCE};
use serde::Serialize;
use uom::si::temperature_interval::kelvin as kelvins_apart;
use uom::si::thermodynamic_temperature::degree_celsius;

/// Publications behind the verdict: the dew point, the margin over it.
pub const SOURCES: [Source; 2] = [DEW_POINT_SOURCE, MARGIN_SOURCE];

/// 95 % half-widths of what the instruments say (assumed).
const THERMOMETER_K: f64 = 0.5;
const HYGROMETER_FRAC: f64 = 0.03;

/// The windows of a product's data sheet.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Windows {
    /// Air, least and most, °C.
    pub air_c: (f64, f64),
    /// Relative humidity, least and most, 0 to 1.
    pub humidity_frac: (f64, f64),
    /// Whether a person typed them from the sheet.
    pub is_from_sheet: bool,
}

impl Default for Windows {
    /// What stands in where no sheet is at hand.
    fn default() -> Self {
        Self {
            air_c: (18.0, 27.0),
            humidity_frac: (0.40, 0.65),
            is_from_sheet: false,
        }
    }
}

/// The bay as it is now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BayClimate {
    /// Air.
    pub air: Temperature,
    /// Relative humidity, 0 to 1.
    pub humidity_frac: f64,
    /// The panel.
    pub surface: Temperature,
}

/// Why one waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WaitFor {
    /// The surface is too near to the dew point.
    WarmerSurface,
    /// The air is under the window.
    WarmerAir,
    /// The air is over the window.
    CoolerAir,
    /// The air is too dry.
    MoisterAir,
    /// The air is too moist.
    DrierAir,
}

/// A reason to wait: what it is, and where the limit lies.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Reason {
    /// What has to change.
    pub wait_for: WaitFor,
    /// Now: K, °C or a share.
    pub now: f64,
    /// The limit in the same unit.
    pub limit: f64,
}

/// Go or wait, and why.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CoatDay {
    /// Dew point of the air.
    pub dew_point_c: f64,
    /// Surface above the dew point.
    pub margin_k: f64,
    /// 95 % half-width of the margin from the instruments.
    pub margin_unsure_k: f64,
    /// Coldest surface that keeps the margin.
    pub coldest_surface_c: f64,
    /// True for go.
    pub is_go: bool,
    /// Reasons to wait; empty for go.
    pub reasons: Vec<Reason>,
    /// The margin holds only by less than the instruments can tell.
    pub is_close: bool,
    /// Where the windows come from.
    pub windows_provenance: Provenance,
}

/// Judges a bay and a product's windows.
///
/// # Errors
/// Refuses air and surfaces outside −20…50 °C and humidity outside 0.01…1.
pub fn coat_day(bay: &BayClimate, windows: &Windows) -> Result<CoatDay, PhysicsError> {
    let air = Air::of(bay.air, bay.humidity_frac)?;
    let margin_k = air.margin_of(bay.surface)?.get::<kelvins_apart>();
    let dew_c = |humidity_frac: f64| -> Result<f64, PhysicsError> {
        let air = Air::of(bay.air, humidity_frac.clamp(0.01, 1.0))?;
        Ok(air.dew_point().get::<degree_celsius>())
    };
    let moister_c = dew_c(bay.humidity_frac + HYGROMETER_FRAC)?;
    let drier_c = dew_c(bay.humidity_frac - HYGROMETER_FRAC)?;
    let margin_unsure_k = ((moister_c - drier_c) / 2.0)
        .hypot(THERMOMETER_K)
        .hypot(THERMOMETER_K);
    let reasons = reasons(bay, windows, margin_k);
    Ok(CoatDay {
        dew_point_c: air.dew_point().get::<degree_celsius>(),
        margin_k,
        margin_unsure_k,
        coldest_surface_c: air.coldest_allowed_surface().get::<degree_celsius>(),
        is_go: reasons.is_empty(),
        is_close: margin_k >= LEAST_MARGIN_K && margin_k < LEAST_MARGIN_K + margin_unsure_k,
        reasons,
        windows_provenance: if windows.is_from_sheet {
            Provenance::Measured
        } else {
            Provenance::CommonPractice
        },
    })
}

fn reasons(bay: &BayClimate, windows: &Windows, margin_k: f64) -> Vec<Reason> {
    let air_c = bay.air.get::<degree_celsius>();
    let humidity = bay.humidity_frac;
    // A share typed as per cent comes back a hair off.
    const HAIR: f64 = 1e-9;
    let low = |wait_for, now: f64, limit: f64| {
        (now < limit - HAIR).then_some(Reason {
            wait_for,
            now,
            limit,
        })
    };
    let high = |wait_for, now: f64, limit: f64| {
        (now > limit + HAIR).then_some(Reason {
            wait_for,
            now,
            limit,
        })
    };
    [
        low(WaitFor::WarmerSurface, margin_k, LEAST_MARGIN_K),
        low(WaitFor::WarmerAir, air_c, windows.air_c.0),
        high(WaitFor::CoolerAir, air_c, windows.air_c.1),
        low(WaitFor::MoisterAir, humidity, windows.humidity_frac.0),
        high(WaitFor::DrierAir, humidity, windows.humidity_frac.1),
    ]
    .into_iter()
    .flatten()
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bay(air_c: f64, humidity_pct: f64, surface_c: f64) -> BayClimate {
        let celsius = Temperature::new::<degree_celsius>;
        BayClimate {
            air: celsius(air_c),
            humidity_frac: humidity_pct / 100.0,
            surface: celsius(surface_c),
        }
    }

    fn judged(bay: &BayClimate) -> CoatDay {
        coat_day(bay, &Windows::default()).expect("a bay")
    }

    #[test]
    fn a_usual_day_is_go_at_the_printed_dew_point() {
        // Printed dew-point tables give 12.0 °C for 20 °C and 60 %.
        let day = judged(&bay(20.0, 60.0, 19.0));
        assert!(
            (day.dew_point_c - 12.0).abs() <= 0.05,
            "{}",
            day.dew_point_c
        );
        assert!((day.coldest_surface_c - 15.0).abs() <= 0.05);
        assert!(day.is_go && day.reasons.is_empty() && !day.is_close);
    }

    #[test]
    fn each_window_has_its_own_reason() {
        for (bay, reason) in [
            (bay(20.0, 60.0, 14.0), WaitFor::WarmerSurface),
            (bay(15.0, 50.0, 15.0), WaitFor::WarmerAir),
            (bay(30.0, 50.0, 30.0), WaitFor::CoolerAir),
            (bay(22.0, 30.0, 22.0), WaitFor::MoisterAir),
            (bay(22.0, 70.0, 22.0), WaitFor::DrierAir),
        ] {
            let day = judged(&bay);
            let said: Vec<WaitFor> = day.reasons.iter().map(|r| r.wait_for).collect();
            assert_eq!((day.is_go, said), (false, vec![reason]), "{bay:?}");
        }
    }

    #[test]
    fn the_ends_of_a_window_belong_to_it() {
        let windows = Windows::default();
        for (air_c, pct) in [(18.0, 40.0), (27.0, 65.0)] {
            let day = coat_day(&bay(air_c, pct, air_c), &windows).expect("a bay");
            assert!(day.is_go, "{air_c} {pct}: {:?}", day.reasons);
        }
    }

    #[test]
    fn a_margin_that_only_just_holds_is_called_close() {
        // 3 K and a half over 12.0 °C; the instruments leave about ±1 K.
        let day = judged(&bay(20.0, 60.0, 15.5));
        assert!(day.is_go && day.is_close);
        assert!(
            (0.8..1.3).contains(&day.margin_unsure_k),
            "{}",
            day.margin_unsure_k
        );
    }

    #[test]
    fn nonsense_is_refused() {
        for (air_c, pct, surface_c) in [
            (70.0, 50.0, 20.0),
            (20.0, 0.0, 20.0),
            (20.0, 140.0, 20.0),
            (20.0, 50.0, 90.0),
            (f64::NAN, 50.0, 20.0),
        ] {
            assert!(coat_day(&bay(air_c, pct, surface_c), &Windows::default()).is_err());
        }
    }
}
