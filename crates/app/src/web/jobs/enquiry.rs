//! Enquiry: a few taps become a first figure with its range and what it rests
//! on; one more tap makes it a job.
//!
//! Law: none here; the figure is the plan's `provisional`.
//! Checked by: `tests/web_shop.rs` and by looking.

use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_job::plan::provisional::{
    ARM_SPEED_MM_S, Aim, Enquiry, PASSES, Practice, Provisional, provisional,
};
use lapwing_job::record::job::{BodyClass, Colour, Defects};
use lapwing_measure::Provenance;
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::json;

use super::super::Bay;
use super::super::entry::{choice, origin, plain, taps};
use super::super::fields::Fields;
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields};
use super::super::refusal::Refusal;
use super::super::shop::practice::{AIMS as AIM_WORDS, NewJob, drawn, job_file, practice};
use super::super::shop::{self};
use super::super::visitor::Visitor;
use super::super::words::{Message, enquiry as say, jobs};
use super::list;

const CLASSES: [(&str, Message); 12] = [
    ("city-car", say::CITY_CAR),
    ("small-hatch", say::SMALL_HATCH),
    ("compact-hatch", say::COMPACT_HATCH),
    ("saloon", say::SALOON),
    ("estate", say::ESTATE),
    ("two-door-sports", say::TWO_DOOR),
    ("compact-suv", say::COMPACT_SUV),
    ("large-suv", say::LARGE_SUV),
    ("mpv", say::MPV),
    ("pick-up", say::PICK_UP),
    ("full-size-pick-up", say::FULL_PICK_UP),
    ("panel-van", say::PANEL_VAN),
];
const SHADES: [(&str, Message); 3] = [
    ("dark", say::DARK),
    ("middle", say::MIDDLE),
    ("light", say::LIGHT),
];
const CONDITIONS: [(&str, Message); 3] = [
    ("light-swirls", say::LIGHT_SWIRLS),
    ("wash-swirls", say::WASH_SWIRLS),
    ("deep-scratches", say::DEEP),
];
const SOIL: [(&str, Message); 2] = [("usual", say::USUAL), ("heavy", say::HEAVY)];
const AIMS: [(&str, Message); 3] = [
    ("fresher", say::FRESHER),
    ("clear", say::CLEAR_AIM),
    ("utmost", say::UTMOST),
];
const LAYERS: [(&str, u32); 3] = [("0", 0), ("1", 1), ("2", 2)];

fn read(fields: &Fields, visitor: &Visitor) -> Result<Enquiry, Refusal> {
    Ok(Enquiry {
        class: fields.word(
            ("class", say::CLASS),
            BodyClass::WORDS,
            BodyClass::Estate,
            visitor,
        )?,
        colour: fields.word(
            ("colour", say::SHADE),
            Colour::WORDS,
            Colour::Middle,
            visitor,
        )?,
        defects: fields.word(
            ("defects", say::CONDITION),
            Defects::WORDS,
            Defects::WashSwirls,
            visitor,
        )?,
        is_soiled: fields.word(
            ("soil", say::SOIL),
            &[("usual", false), ("heavy", true)],
            false,
            visitor,
        )?,
        aim: fields.word(("aim", say::WISH), &AIM_WORDS, Aim::Clear, visitor)?,
        coating_layers: fields.word(("layers", say::COATING), &LAYERS, 0, visitor)?,
    })
}

/// `GET /enquiry`.
pub(crate) async fn show(bay: Bay, visitor: Visitor, fields: Fields) -> Result<Markup, Refusal> {
    page(&bay, &visitor, &fields, None).await
}

/// The page; with what is wrong beside the name, where something is.
async fn page(
    bay: &Bay,
    visitor: &Visitor,
    fields: &Fields,
    fault: Option<&str>,
) -> Result<Markup, Refusal> {
    let enquiry = read(fields, visitor)?;
    let practice = practice(&shop::load(bay).await?);
    let said = provisional(&enquiry, &practice);
    let page = Page {
        title: visitor.say(say::ENQUIRY),
        beside: visitor.say(say::BESIDE),
        path: "/enquiry",
        line: None,
        modules: &["enquiry.js"],
        styles: &["tools.css", "jobs.css", "rooms.css"],
    };
    let body = html! {
        form.wide.enquiry #enquiry method="post" action="/enquiry" {
            (edit_fields(0))
            div.two {
                div { (asked(visitor, &enquiry)) button.quiet formmethod="get" formnovalidate { (visitor.say(say::WORK_OUT)) } }
                div #figure aria-live="polite" { (figure(visitor, &said, &practice)) }
            }
            section.readings {
                @if let Some(fault) = fault { p.fault role="alert" { (fault) } }
                label { span { (visitor.say(say::NAME)) } input type="text" name="name" maxlength="80" required autocomplete="off" value=(plain(fields, "name", 80)); }
                label { span { (visitor.say(say::CAR)) } input type="text" name="car" maxlength="120" autocomplete="off" value=(plain(fields, "car", 120)); }
                button.main-deed { (visitor.say(say::MAKE_JOB)) }
            }
            (details(visitor, &said))
        }
    };
    Ok(page.around(visitor, &body))
}

fn asked(visitor: &Visitor, enquiry: &Enquiry) -> Markup {
    let aim = AIM_WORDS.iter().find(|(_, a)| *a == enquiry.aim);
    let layers = [
        ("0", say::NO_COATING),
        ("1", Message { en: "1", de: "1" }),
        ("2", Message { en: "2", de: "2" }),
    ];
    html! {
        (choice(visitor, ("class", say::CLASS), &CLASSES, enquiry.class.word()))
        (taps(visitor, ("defects", say::CONDITION), &CONDITIONS, enquiry.defects.word()))
        (taps(visitor, ("aim", say::WISH), &AIMS, aim.map_or("", |(w, _)| *w)))
        (taps(visitor, ("colour", say::SHADE), &SHADES, enquiry.colour.word()))
        (taps(visitor, ("soil", say::SOIL), &SOIL, if enquiry.is_soiled { "heavy" } else { "usual" }))
        (taps(visitor, ("layers", say::COATING), &layers, &enquiry.coating_layers.to_string()))
    }
}

/// The figure, its range, and what it rests on.
fn figure(visitor: &Visitor, said: &Provisional, practice: &Practice) -> Markup {
    let hours = |h: f64| visitor.number(h, 1);
    let whole = |amount: f64| {
        let money = visitor.money(amount.round(), &said.price.currency);
        money.replacen(".00", "", 1).replacen(",00", "", 1)
    };
    let ends = said
        .price
        .gross
        .zip(said.price_low.gross)
        .zip(said.price_high.gross);
    html! {
        dl.figures {
            div { dt { (visitor.say(say::PRICE)) }
                @if let Some(((mean, low), high)) = ends {
                    dd { (whole(mean)) small { (visitor.fill(say::RANGE, &[&whole(low), &whole(high)])) } }
                } @else { dd { "–" small { (visitor.say(say::NO_PRICE)) } } } }
            div { dt { (visitor.say(say::HOURS)) }
                dd { (hours(said.hours.mean)) " " (visitor.say(say::H)) small { (visitor.fill(say::RANGE, &[&hours(said.hours.lower_80), &hours(said.hours.upper_80)])) } } }
            div { dt { (visitor.say(say::STEPS)) } dd { (said.steps) } }
        }
        @if ends.is_none() { p.caution { (visitor.say(say::SET_PRICES)) " " a href="/shop" { (visitor.say(say::TO_SHOP)) } "." } }
        p.note { (visitor.say(say::EIGHT_IN_TEN)) }
        @if let Some(floor) = said.price.floor {
            details.no-print { summary { (visitor.say(say::SHOP_ONLY)) } p { (visitor.fill(say::FLOOR, &[&whole(floor)])) } }
        }
        h2 { (visitor.say(say::ASSUMES)) }
        (assumptions(visitor, said, practice))
    }
}

fn assumptions(visitor: &Visitor, said: &Provisional, practice: &Practice) -> Markup {
    let area = format!("{}\u{a0}m²", visitor.number(said.area_m2.mean, 1));
    let arm = visitor.with_unit(Measure::ArmSpeed, ARM_SPEED_MM_S);
    let pad = visitor.with_unit(Measure::Length, practice.pad_mm);
    let passes = visitor.number(PASSES, 0);
    let pace = if said.pace_provenance == Provenance::Calibrated {
        visitor.fill(say::ASSUMED_PACE, &[&visitor.number(said.pace, 2)])
    } else {
        visitor.say(say::NO_PACE).to_owned()
    };
    let lines = [
        (
            format!("{}: {area}", visitor.say(say::ASSUMED_AREA)),
            said.area_m2.provenance,
        ),
        (
            visitor.say(say::ASSUMED_STEPS).to_owned(),
            Provenance::Assumed,
        ),
        (
            visitor.fill(say::ASSUMED_PATH, &[&passes, &arm, &pad]),
            Provenance::CommonPractice,
        ),
        (pace, said.pace_provenance),
        (
            visitor.say(say::ASSUMED_REST).to_owned(),
            Provenance::CommonPractice,
        ),
    ];
    html! {
        ul.rests { @for (words, provenance) in &lines { li { span { (words) } (origin(visitor, *provenance)) } } }
    }
}

fn details(visitor: &Visitor, said: &Provisional) -> Markup {
    html! {
        details #more { summary { (visitor.say(say::STAGES)) }
            table.numbers { tbody {
                @for stage in &said.hours.stages {
                    tr { th scope="row" { (visitor.say(stage_name(stage.what))) } td { (visitor.number(stage.hours, 1)) " " (visitor.say(say::H)) } }
                }
                @for used in &said.materials {
                    tr { th scope="row" { (visitor.say(material_name(&used.what))) }
                        td { (visitor.number(used.amount, 0)) " " (if used.unit == "pieces" { visitor.say(if used.amount.round() == 1.0 { say::PIECE } else { say::PIECES }) } else { used.unit }) } }
                }
            } }
        }
    }
}

fn stage_name(what: &str) -> Message {
    match what {
        "intake and walk-round" => say::S_INTAKE,
        "wash, decontamination, clay, dry" => say::S_WASH,
        "film readings" => say::S_READ,
        "masking" => say::S_MASK,
        "test spot" => say::S_SPOT,
        "machine polishing" => say::S_POLISH,
        "machine polishing (dark paint, a fifth more)" => say::S_POLISH_DARK,
        "panel wipe and inspection" => say::S_WIPE,
        "coating" => say::S_COAT,
        "final look and hand-over" => say::S_HAND,
        _ => say::S_OFF,
    }
}

fn material_name(what: &str) -> Message {
    match what {
        "polish" => say::M_POLISH,
        "pads" => say::M_PADS,
        "cloths" => say::M_CLOTHS,
        "clay" => say::M_CLAY,
        "panel wipe" => say::M_WIPE,
        "masking tape" => say::M_TAPE,
        "coating" => say::M_COATING,
        _ => say::M_WATER,
    }
}

/// `POST /enquiry`: the enquiry becomes a job, with what was said.
pub(crate) async fn open(
    bay: Bay,
    visitor: Visitor,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let enquiry = read(&fields, &visitor)?;
    let new = NewJob {
        name: plain(&fields, "name", 80),
        car: plain(&fields, "car", 120),
        class: enquiry.class,
        colour: enquiry.colour,
        defects: enquiry.defects,
        aim: enquiry.aim,
        coating_layers: enquiry.coating_layers,
    };
    if new.name.is_empty() {
        let refusal = Refusal::input(visitor.say(jobs::NO_NAME));
        let page = page(&bay, &visitor, &fields, Some(&refusal.sentence)).await?;
        return Ok(refusal.at_the_form(page));
    }
    let shop = shop::load(&bay).await?;
    let said = provisional(&enquiry, &practice(&shop));
    let told = json!({
        "class": enquiry.class.word(), "colour": enquiry.colour.word(), "defects": enquiry.defects.word(),
        "is_soiled": enquiry.is_soiled, "aim": enquiry.aim, "coating_layers": enquiry.coating_layers,
        "hours": { "mean": said.hours.mean, "lower_80": said.hours.lower_80, "upper_80": said.hours.upper_80 },
        "gross": { "mean": said.price.gross, "lower_80": said.price_low.gross, "upper_80": said.price_high.gross },
        "currency": said.price.currency, "provenance": said.provenance,
    });
    let glance = json!({ "name": new.name, "car": new.car, "stage": "enquiry" });
    let mut rest = vec![Change::put("/enquiry", told)];
    if let Some(file) = job_file(&shop, &new) {
        rest.push(Change::put("/folder/job.toml", file));
    }
    let class = drawn(enquiry.class).name();
    list::start(&bay, &headers, &fields, (glance, class), rest).await
}
