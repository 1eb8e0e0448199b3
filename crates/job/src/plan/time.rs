//! Minutes on each panel and hours in the bay.
//!
//! Law: minutes = sections × path time of all passes + handling 6 min/m² per
//! step (wiping, looking, product, cable, pad). Hours add the fixed stages of a
//! job. The 80 % interval combines the spread of the areas (taken as common to
//! all panels), of the pace (20 %) and of the fixed stages (25 %).
//! Source: path time from geometry; handling is an own figure that meets the
//! published 4 to 6 h of a one-step saloon; stages and spreads common practice.
//! Holds: until the shop's own log says better. Left out: a second person in
//! parallel (÷ 1.7), which only shortens the calendar.
//! Checked by: the published 4 to 6 h for a one-step of 13.2 m².

use lapwing_measure::Provenance;
use lapwing_measure::quantity::Area;
use serde::Serialize;
use uom::si::area::square_meter;
use uom::si::length::meter;

use super::{PanelPlan, PlanStep};
use crate::forecast::Forecast;
use crate::record::job::{Colour, Job};
use crate::trial::pooling::has_taught;

/// Handling per m² and step, minutes (own).
pub(super) const HANDLING_MIN_M2: f64 = 6.0;

/// Standard normal quantile at 0.90: half-width of an 80 % interval.
pub(super) const NORMAL_90: f64 = 1.281_551_565_544_600_4;

/// Time of one stage.
#[derive(Clone, Debug, Serialize)]
pub struct StageTime {
    /// Which.
    pub what: &'static str,
    /// Hours.
    pub hours: f64,
}

/// Hours in the bay.
#[derive(Clone, Debug, Serialize)]
pub struct Hours {
    /// Best guess.
    pub mean: f64,
    /// Lower end, 8 times in 10 (two-sided).
    pub lower_80: f64,
    /// Upper end.
    pub upper_80: f64,
    /// Stages that add up to the mean.
    pub stages: Vec<StageTime>,
    /// Where they come from.
    pub provenance: Provenance,
    #[serde(skip)]
    pub(super) spreads: TimeSpreads,
}

/// Sections on a panel of this area.
pub(super) fn sections(area: Area, laws: &Forecast, section: usize) -> u32 {
    let edge_m = laws.edge(section).get::<meter>();
    (area.get::<square_meter>() / (edge_m * edge_m))
        .ceil()
        .max(1.0) as u32
}

/// Fills in the minutes: so far a step knows the trigger time of one section.
pub(super) fn with_minutes(steps: Vec<PlanStep>, area: Area, sections: u32) -> Vec<PlanStep> {
    steps
        .into_iter()
        .map(|mut step| {
            step.trigger_minutes *= f64::from(sections);
            step.minutes = step.trigger_minutes + HANDLING_MIN_M2 * area.get::<square_meter>();
            step
        })
        .collect()
}

/// Hours of the whole job.
pub(super) fn hours(job: &Job, panels: &[PanelPlan]) -> Hours {
    let scope = Scope::of(job);
    let machine_h: f64 = panels.iter().map(|p| p.minutes).sum::<f64>() * scope.slower() / 60.0;
    let area_m2: f64 = panels.iter().map(|p| p.area_m2).sum();
    let stages = stages(&scope, area_m2, machine_h);
    let fixed_h = stages.iter().map(|s| s.hours).sum::<f64>() - machine_h;
    let mean = machine_h + fixed_h;
    let spreads = spreads(panels, machine_h, fixed_h);
    let half = NORMAL_90 * spreads.area_h.hypot(spreads.pace_h).hypot(spreads.fixed_h);
    Hours {
        mean,
        lower_80: (mean - half).max(0.0),
        upper_80: mean + half,
        stages,
        spreads,
        provenance: Provenance::CommonPractice,
    }
}

/// Share of the machine time that the pace is off by, and of the fixed stages.
pub(super) const PACE_FRAC: f64 = 0.20;
pub(super) const FIXED_FRAC: f64 = 0.25;

/// What the stages depend on beside area and machine time.
pub(super) struct Scope {
    pub(super) is_dark: bool,
    pub(super) is_tried: bool,
    pub(super) coating_layers: u32,
}

impl Scope {
    fn of(job: &Job) -> Self {
        Self {
            is_dark: job.car.colour == Colour::Dark,
            is_tried: job.calibration.on_car.iter().any(has_taught),
            coating_layers: job.wish.coating_layers,
        }
    }

    /// Dark paint shows more, so it takes a fifth more.
    pub(super) fn slower(&self) -> f64 {
        if self.is_dark { 1.2 } else { 1.0 }
    }
}

/// Deviations of the hours by what they come from.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct TimeSpreads {
    pub(super) area_h: f64,
    pub(super) pace_h: f64,
    pub(super) fixed_h: f64,
}

fn spreads(panels: &[PanelPlan], machine_h: f64, fixed_h: f64) -> TimeSpreads {
    let area_m2: f64 = panels.iter().map(|p| p.area_m2).sum();
    let area_sd_frac = panels.iter().map(|p| p.area_sd_m2).sum::<f64>() / area_m2.max(1e-9);
    TimeSpreads {
        area_h: machine_h * area_sd_frac,
        pace_h: machine_h * PACE_FRAC,
        fixed_h: FIXED_FRAC * fixed_h,
    }
}

/// Stages in the order they are done. All but the polishing are common practice
/// for 13 m², scaled with the area where they are done all over.
pub(super) fn stages(scope: &Scope, area_m2: f64, machine_h: f64) -> Vec<StageTime> {
    let scale = area_m2 / 13.0;
    let small = scale.clamp(0.3, 1.0);
    let stage = |what, hours| StageTime { what, hours };
    let mut stages = vec![
        stage("intake and walk-round", 0.6 * small),
        stage("wash, decontamination, clay, dry", 2.5 * scale),
        stage("film readings", 0.4 * scale),
    ];
    if machine_h > 0.0 {
        stages.push(stage("masking", 0.5 * small));
        if !scope.is_tried {
            stages.push(stage("test spot", 0.6));
        }
        let polishing = if scope.is_dark {
            "machine polishing (dark paint, a fifth more)"
        } else {
            "machine polishing"
        };
        stages.push(stage(polishing, machine_h));
        stages.push(stage("panel wipe and inspection", 0.6 * scale));
    }
    if scope.coating_layers > 0 {
        // Coating holds on wiped paint alone, polished or not.
        if machine_h <= 0.0 {
            stages.push(stage("panel wipe and inspection", 0.6 * scale));
        }
        stages.push(stage(
            "coating",
            1.8 * scale * f64::from(scope.coating_layers),
        ));
    }
    stages.push(stage("final look and hand-over", 0.6 * small));
    stages.push(stage("off the car: pads, cloths, messages", 0.8 * small));
    stages
}
