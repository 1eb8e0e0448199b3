//! The price: labour, overhead, materials, contingency, tax, and the floor.
//!
//! Law: net = (hours × (labour + overhead) + materials) × (1 + contingency);
//! gross = net × (1 + tax); floor = hours × (cost + overhead) + materials. All
//! amounts are rounded to hundredths line by line, so the lines add up.
//! Source: own; contingency 10 to 20 % is common practice.
//! Holds: for the hours planned; provisional until a test spot has been done.
//! Left out: discounts, deposits.
//! Checked by: the sums below.

use lapwing_measure::Provenance;
use serde::Serialize;

use super::{Hours, Material, PanelPlan};
use crate::record::job::{Job, Prices};
use crate::record::{Caution, Part, Said, Sentence};
use crate::trial::pooling::has_taught;

/// One line of the price.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PriceLine {
    /// What.
    pub what: String,
    /// Amount.
    pub amount: f64,
}

/// For how many panels of how many.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct PanelsCounted {
    /// Panels that the hours and the price are for, those with a reason to be
    /// left among them.
    pub counted: usize,
    /// Panels of the job. The others wait for a reading and count as left alone.
    pub all: usize,
}

impl PanelsCounted {
    fn of(panels: &[PanelPlan]) -> Self {
        let waits = |p: &&PanelPlan| p.said.sentence == Sentence::NotMeasured;
        Self {
            counted: panels.len() - panels.iter().filter(waits).count(),
            all: panels.len(),
        }
    }

    /// Whether the hours and the price are for every panel.
    #[must_use]
    pub fn is_whole(self) -> bool {
        self.counted == self.all
    }
}

/// Says that hours and price leave out the panels nobody has read.
pub(super) fn not_for_all(panels: &[PanelPlan]) -> Option<Caution> {
    let PanelsCounted { counted, all } = PanelsCounted::of(panels);
    (counted < all).then(|| {
        let parts = [counted, all, all - counted].map(|n| Part::Number(n as f64, 0));
        Caution::of("price", Said::new(Sentence::PriceForSome, parts))
    })
}

/// The price.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Price {
    /// Three letters.
    pub currency: String,
    /// Before tax; none of the amounts is stated when the job gives no prices.
    pub net: Option<f64>,
    /// Tax.
    pub tax: Option<f64>,
    /// To pay.
    pub gross: Option<f64>,
    /// What the job costs the shop.
    pub floor: Option<f64>,
    /// Lines that add up to net; empty without prices.
    pub lines: Vec<PriceLine>,
    /// True until a test spot has been done.
    pub is_provisional: bool,
    /// For how many panels of the job hours and price are; nothing at an enquiry,
    /// which counts the whole car.
    pub panels_counted: Option<PanelsCounted>,
    /// Where the hours behind it come from.
    pub provenance: Provenance,
}

/// Prices a plan.
pub(super) fn price(
    job: &Job,
    panels: &[PanelPlan],
    hours: &Hours,
    materials: &[Material],
) -> Price {
    let is_provisional = !job.calibration.on_car.iter().any(has_taught);
    Price {
        is_provisional,
        panels_counted: Some(PanelsCounted::of(panels)),
        ..of_hours(&job.prices, hours.mean, materials, hours.provenance)
    }
}

/// Says which test spots taught nothing that a firm price could rest on.
pub(super) fn why_provisional(job: &Job) -> Option<Caution> {
    let on_car = &job.calibration.on_car;
    if on_car.is_empty() || on_car.iter().any(has_taught) {
        return None;
    }
    let which = if on_car.len() == 1 {
        "The test spot on this car"
    } else {
        "The test spots on this car"
    };
    Some(Caution::new(
        "trial",
        format!(
            "{which} taught next to nothing: neither cut rate nor scratch depths are known better than the class believes. The price stays provisional and the test spot's time stays in it. Read at least five spots before and after, and take a photo of both."
        ),
    ))
}

/// Prices so many hours and materials, before any test spot.
pub(super) fn of_hours(
    prices: &Prices,
    hours: f64,
    materials: &[Material],
    provenance: Provenance,
) -> Price {
    if !prices.is_given {
        return unpriced(prices.currency.clone(), provenance);
    }
    let material = cents(materials.iter().map(|m| m.cost).sum());
    let labour = cents(hours * prices.labour_per_hour);
    let overhead = cents(hours * prices.overhead_per_hour);
    let contingency = cents((labour + overhead + material) * prices.contingency_frac);
    let net = cents(labour + overhead + material + contingency);
    let tax = cents(net * prices.tax_frac);
    let line = |what: &str, amount| PriceLine {
        what: what.to_owned(),
        amount,
    };
    Price {
        currency: prices.currency.clone(),
        net: Some(net),
        tax: Some(tax),
        gross: Some(cents(net + tax)),
        floor: Some(cents(hours * prices.cost_per_hour + overhead + material)),
        lines: vec![
            line("labour", labour),
            line("overhead", overhead),
            line("materials", material),
            line("contingency", contingency),
        ],
        is_provisional: true,
        panels_counted: None,
        provenance,
    }
}

fn unpriced(currency: String, provenance: Provenance) -> Price {
    Price {
        currency,
        net: None,
        tax: None,
        gross: None,
        floor: None,
        lines: Vec::new(),
        is_provisional: true,
        panels_counted: None,
        provenance,
    }
}

fn cents(amount: f64) -> f64 {
    (amount * 100.0).round() / 100.0
}
