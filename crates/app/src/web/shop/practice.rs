//! The shop's document as the engine takes it: prices and pace for a first
//! figure, kit and prices as the job file of a new job.
//!
//! Left out: formulas; the stations work on what is handed over here.
//! Checked by: the tests below and `tests/web_shop.rs`.

use std::fmt::Write as _;

use lapwing_job::intake::has_panel;
use lapwing_job::plan::provisional::{Aim, KnownPace, Practice};
use lapwing_job::record::job::{BodyClass, Colour, Defects, Prices};
use lapwing_job::record::panel_names::{canonical, spoken, stem};
use lapwing_job::record::read::read_job;
use lapwing_report::figure::{BodyClass as Drawn, panel_ids};
use lapwing_store::Change;
use serde_json::Value;

use super::super::jobs::Kept;
use super::super::refusal::Refusal;
use super::super::visitor::one_of;

/// Words of what the customer would like.
pub(crate) const AIMS: [(&str, Aim); 3] = [
    ("fresher", Aim::Fresher),
    ("clear", Aim::Clear),
    ("utmost", Aim::Utmost),
];

/// What a new job is told of its car.
#[derive(Clone, Debug)]
pub(crate) struct NewJob {
    pub(crate) name: String,
    pub(crate) car: String,
    pub(crate) class: BodyClass,
    pub(crate) colour: Colour,
    pub(crate) defects: Defects,
    pub(crate) aim: Aim,
    pub(crate) coating_layers: u32,
}

impl NewJob {
    /// What a job says of its car: from its enquiry, or what is usual.
    pub(crate) fn of_kept(kept: &Kept) -> Self {
        let asked = |key: &str| kept.document["enquiry"][key].as_str().unwrap_or_default();
        let class = one_of(BodyClass::WORDS, asked("class"));
        let layers = kept.document["enquiry"]["coating_layers"].as_u64();
        Self {
            name: kept.text("/glance/name").to_owned(),
            car: kept.text("/glance/car").to_owned(),
            class: class.unwrap_or_else(|| usual_class(kept.class())),
            colour: one_of(Colour::WORDS, asked("colour")).unwrap_or(Colour::Middle),
            defects: one_of(Defects::WORDS, asked("defects")).unwrap_or(Defects::WashSwirls),
            aim: one_of(&AIMS, asked("aim")).unwrap_or(Aim::Clear),
            coating_layers: layers.and_then(|n| u32::try_from(n).ok()).unwrap_or(0),
        }
    }
}

/// The drawing of a class.
pub(crate) fn drawn(class: BodyClass) -> Drawn {
    match class {
        BodyClass::CityCar | BodyClass::SmallHatch | BodyClass::CompactHatch => Drawn::Hatchback,
        BodyClass::Saloon | BodyClass::TwoDoorSports => Drawn::Saloon,
        BodyClass::Estate => Drawn::Estate,
        BodyClass::CompactSuv | BodyClass::LargeSuv | BodyClass::Mpv => Drawn::LargeSuv,
        BodyClass::PickUp | BodyClass::FullSizePickUp => Drawn::PickUp,
        BodyClass::PanelVan => Drawn::PanelVan,
    }
}

/// The class of a drawing, where nothing more is known.
pub(crate) fn usual_class(drawn: Drawn) -> BodyClass {
    match drawn {
        Drawn::Estate => BodyClass::Estate,
        Drawn::Hatchback => BodyClass::CompactHatch,
        Drawn::Saloon => BodyClass::Saloon,
        Drawn::LargeSuv => BodyClass::LargeSuv,
        Drawn::PanelVan => BodyClass::PanelVan,
        Drawn::PickUp => BodyClass::PickUp,
    }
}

/// What a first figure needs of the shop.
pub(crate) fn practice(shop: &Kept) -> Practice {
    let mean = |list: &str, key: &str, otherwise: f64| {
        let entries = shop.entries(list);
        let found: Vec<f64> = entries
            .iter()
            .filter_map(|(_, e)| e[key].as_f64())
            .collect();
        let count = found.len() as f64;
        if found.is_empty() {
            otherwise
        } else {
            found.iter().sum::<f64>() / count
        }
    };
    let pads = shop.entries("/pads");
    let usual = pads.iter().find(|(_, p)| p["class"] == "foam-polishing");
    Practice {
        prices: prices(shop),
        pad_mm: usual
            .and_then(|(_, p)| p["diameter_mm"].as_f64())
            .unwrap_or(140.0),
        pad_price: mean("/pads", "price", 0.0),
        pad_sections: mean("/pads", "sections", 6.0),
        polish_per_litre: mean("/abrasives", "price_per_litre", 0.0),
        pace: known_pace(&shop.document["pace"]),
    }
}

/// Before three cars the usual spread of a pace stands in.
fn known_pace(pace: &Value) -> Option<KnownPace> {
    Some(KnownPace {
        factor: pace["factor"].as_f64()?,
        spread_frac: pace["next_car_frac"].as_f64().unwrap_or(0.20),
    })
}

fn prices(shop: &Kept) -> Prices {
    let rates = &shop.document["rates"];
    let rate = |key: &str| rates[key].as_f64().unwrap_or(0.0);
    let Some(currency) = rates["currency"].as_str() else {
        return Prices::free();
    };
    Prices {
        is_given: true,
        currency: currency.to_owned(),
        labour_per_hour: rate("labour_per_hour"),
        cost_per_hour: rate("cost_per_hour"),
        overhead_per_hour: rate("overhead_per_hour"),
        contingency_frac: rate("contingency_pct") / 100.0,
        tax_frac: rate("tax_pct") / 100.0,
        cloth: rate("cloth"),
        clay_per_100_g: rate("clay_per_100_g"),
        wipe_per_litre: rate("wipe_per_litre"),
        coating_per_10_ml: rate("coating_per_10_ml"),
        tape_per_m: rate("tape_per_m"),
    }
}

/// The job file of a new job with the shop's kit; nothing while the kit lacks
/// a machine, a pad or an abrasive.
pub(crate) fn job_file(shop: &Kept, job: &NewJob) -> Option<String> {
    let lists = ["/machines", "/pads", "/abrasives"];
    if lists.iter().any(|list| shop.entries(list).is_empty()) {
        return None;
    }
    let mut text = car(job, shop.document["rates"]["units"].as_str());
    gauge(&mut text, shop);
    panels(&mut text, job.class);
    kit(&mut text, shop);
    rates(&mut text, shop);
    Some(text)
}

/// Car and panels alone, for a job that has no kit yet.
pub(crate) fn bare_file(job: &NewJob) -> String {
    let mut text = car(job, None);
    panels(&mut text, job.class);
    text
}

fn car(job: &NewJob, units: Option<&str>) -> String {
    let [a, b, c] = match job.aim {
        Aim::Fresher => [0.6, 0.5, 0.3],
        Aim::Clear => [0.85, 0.7, 0.5],
        Aim::Utmost => [0.95, 0.85, 0.7],
    };
    format!(
        "schema = 1\nname = {}\nunits = {}\n\n[car]\ndescription = {}\nclass = {}\npaint = \"base-clear\"\ncolour = {}\ndefects = {}\n\n[wish]\nzone_a = {a}\nzone_b = {b}\nzone_c = {c}\ncoating_layers = {}\n",
        quoted(&job.name),
        quoted(units.unwrap_or("metric")),
        quoted(&job.car),
        quoted(job.class.word()),
        quoted(job.colour.word()),
        quoted(job.defects.word()),
        job.coating_layers
    )
}

fn gauge(text: &mut String, shop: &Kept) {
    if let Some(um) = shop.document["gauge"]["gauge_um"].as_f64() {
        let _ = write!(text, "\n[gauge]\nrepeatability = \"{um} um\"\n");
    }
}

fn panels(text: &mut String, class: BodyClass) {
    let ids = panel_ids(drawn(class));
    for id in ids.iter().filter(|id| has_panel(class, id)) {
        let _ = write!(text, "\n[[panel]]\nname = {}\n", quoted(&written_name(id)));
        if id.ends_with("bumper") || id.starts_with("mirror") {
            text.push_str("substrate = \"plastic\"\n");
        }
    }
}

/// A panel as a job file names it, so that its reader knows it again.
pub(crate) fn written_name(id: &str) -> String {
    let name = spoken(id);
    if canonical(&name).as_deref() == Some(id) {
        return name;
    }
    match stem(id) {
        (base, Some(side)) => format!("{side} {base}"),
        (base, None) => base.to_owned(),
    }
}

fn kit(text: &mut String, shop: &Kept) {
    let word = |entry: &Value, key: &str| quoted(entry[key].as_str().unwrap_or_default());
    let number = |entry: &Value, key: &str| entry[key].as_f64().unwrap_or_default();
    text.push_str("\n[kit]\n");
    for (_, m) in shop.entries("/machines") {
        let speeds: Vec<String> = m["speeds"]
            .as_array()
            .into_iter()
            .flatten()
            .map(|s| format!("\"{s} rpm\""))
            .collect();
        let _ = write!(
            text,
            "\n[[kit.machine]]\nname = {}\nkind = {}\nspeeds = [{}]\nforce = \"{} N\"\nvibration = \"{} m/s2\"\nvibration_uncertainty = \"{} m/s2\"\nnoise = \"{} dB\"\n",
            word(m, "name"),
            word(m, "kind"),
            speeds.join(", "),
            number(m, "force_n"),
            number(m, "vibration"),
            number(m, "unsure"),
            number(m, "noise")
        );
        if m["kind"] != "rotary" {
            let _ = write!(
                text,
                "orbit = \"{} mm\"\nspin = \"{} rpm\"\n",
                number(m, "orbit_mm"),
                number(m, "spin_rpm")
            );
        }
    }
    for (_, p) in shop.entries("/pads") {
        let _ = write!(
            text,
            "\n[[kit.pad]]\nname = {}\nclass = {}\ndiameter = \"{} mm\"\nfits = [{}]\nprice = {:?}\nsections = {:?}\n",
            word(p, "name"),
            word(p, "class"),
            number(p, "diameter_mm"),
            names(shop, "/machines", &p["fits"]),
            number(p, "price"),
            number(p, "sections")
        );
    }
    for (_, a) in shop.entries("/abrasives") {
        let _ = write!(
            text,
            "\n[[kit.abrasive]]\nname = {}\nclass = {}\nwith = [{}]\nwear = {}\nprice_per_litre = {:?}\n",
            word(a, "name"),
            word(a, "class"),
            names(shop, "/pads", &a["with"]),
            word(a, "wear"),
            number(a, "price_per_litre")
        );
    }
}

/// Names of the entries that a list of ids points at.
fn names(shop: &Kept, list: &str, ids: &Value) -> String {
    let ids = ids.as_array().into_iter().flatten();
    let named = ids.filter_map(|id| {
        shop.document
            .pointer(&format!("{list}/{}/name", id.as_str()?))
    });
    let quoted: Vec<String> = named.filter_map(Value::as_str).map(quoted).collect();
    quoted.join(", ")
}

fn rates(text: &mut String, shop: &Kept) {
    let prices = prices(shop);
    if !prices.is_given {
        return;
    }
    let _ = write!(
        text,
        "\n[prices]\ncurrency = {}\nlabour_per_hour = {:?}\ncost_per_hour = {:?}\noverhead_per_hour = {:?}\ncontingency = {:?}\ntax = {:?}\ncloth = {:?}\nclay_per_100_g = {:?}\nwipe_per_litre = {:?}\ncoating_per_10_ml = {:?}\ntape_per_m = {:?}\n",
        quoted(&prices.currency),
        prices.labour_per_hour,
        prices.cost_per_hour,
        prices.overhead_per_hour,
        prices.contingency_frac,
        prices.tax_frac,
        prices.cloth,
        prices.clay_per_100_g,
        prices.wipe_per_litre,
        prices.coating_per_10_ml,
        prices.tape_per_m
    );
}

/// A word as a TOML string; a JSON string is one, once no raw control sign is
/// left in it.
fn quoted(word: &str) -> String {
    let plain: String = word.chars().filter(|c| !c.is_control()).collect();
    Value::String(plain).to_string()
}

/// A kit that a plan would refuse is refused here, where it is typed.
pub(super) fn refuse_what_a_plan_refuses(shop: &Kept, changes: &[Change]) -> Result<(), Refusal> {
    let mut after = Kept::empty(super::SHOP);
    after.document = shop.document.clone();
    for change in changes {
        put(&mut after.document, change);
    }
    let job = NewJob {
        name: "A job".to_owned(),
        car: "A car".to_owned(),
        class: BodyClass::Estate,
        colour: Colour::Middle,
        defects: Defects::WashSwirls,
        aim: Aim::Clear,
        coating_layers: 0,
    };
    match job_file(&after, &job) {
        Some(text) => read_job("kit", &text)
            .map(|_| ())
            .map_err(|e| Refusal::input(e.sentence)),
        None => Ok(()),
    }
}

/// One or two levels deep is all that the shop's page writes.
fn put(document: &mut Value, change: &Change) {
    let parts: Vec<&str> = change.place().split('/').skip(1).collect();
    match (change, parts.as_slice()) {
        (Change::Put { value, .. }, [list]) => document[*list] = value.clone(),
        (Change::Put { value, .. }, [list, id]) => document[*list][*id] = value.clone(),
        (Change::Remove { .. }, [list, id]) => {
            if let Some(map) = document[*list].as_object_mut() {
                map.remove(*id);
            }
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stocked() -> Kept {
        let mut shop = Kept::empty("shop");
        for change in super::super::starter::changes() {
            put(&mut shop.document, &change);
        }
        shop
    }

    fn job(class: BodyClass) -> NewJob {
        NewJob {
            name: "A \"quoted\" \\ name\u{7}".to_owned(),
            car: "Grey".to_owned(),
            class,
            colour: Colour::Dark,
            defects: Defects::DeepScratches,
            aim: Aim::Utmost,
            coating_layers: 1,
        }
    }

    #[test]
    fn every_class_makes_a_job_file_that_is_read_back() {
        for (_, class) in BodyClass::WORDS {
            let text = job_file(&stocked(), &job(*class)).expect("a file");
            let (read, _) = read_job("job.toml", &text).expect("a good file");
            assert_eq!(read.name, "A \"quoted\" \\ name");
            assert_eq!((read.car.class, read.car.colour), (*class, Colour::Dark));
            assert_eq!(
                (
                    read.kit.machines.len(),
                    read.kit.pads.len(),
                    read.kit.abrasives.len()
                ),
                (3, 5, 4)
            );
            assert!(read.prices.is_given && read.panels.len() >= 8, "{class:?}");
            let ids = panel_ids(drawn(*class));
            for panel in &read.panels {
                assert!(ids.contains(&panel.name), "{} is not drawn", panel.name);
            }
        }
    }

    #[test]
    fn the_shops_gauge_goes_into_its_job_files_and_a_bare_one_is_read_too() {
        let mut shop = stocked();
        put(
            &mut shop.document,
            &Change::put("/gauge", serde_json::json!({ "gauge_um": 1.5 })),
        );
        for (_, class) in BodyClass::WORDS {
            let text = job_file(&shop, &job(*class)).expect("a file");
            let (read, _) = read_job("job.toml", &text).expect("a good file");
            assert!(read.gauge_repeatability.is_some());
            let (bare, _) = read_job("job.toml", &bare_file(&job(*class))).expect("a good file");
            assert_eq!(bare.panels.len(), read.panels.len());
            assert!(bare.gauge_repeatability.is_none() && bare.kit.machines.is_empty());
        }
    }

    #[test]
    fn a_shop_without_kit_writes_no_file_and_has_no_prices() {
        let bare = Kept::empty("shop");
        assert!(job_file(&bare, &job(BodyClass::Saloon)).is_none());
        let practice = practice(&bare);
        assert!(!practice.prices.is_given && practice.pace.is_none());
        let stocked = super::practice(&stocked());
        // The mean of the invented kit: 16, 11, 10, 10 and 6.
        assert!((stocked.pad_price - 10.6).abs() < 1e-12);
        assert!((stocked.prices.tax_frac - 0.2).abs() < 1e-12);
    }

    #[test]
    fn a_kit_with_two_of_one_name_is_refused_where_it_is_typed() {
        let twin = stocked().document["pads"]["p-cut"].clone();
        let change = [Change::put("/pads/p-twin", twin)];
        let refused = refuse_what_a_plan_refuses(&stocked(), &change);
        assert!(refused.is_err_and(|r| r.sentence.contains("cutting foam")));
        assert!(refuse_what_a_plan_refuses(&stocked(), &[]).is_ok());
    }
}
