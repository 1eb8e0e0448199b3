//! Readings: the panel and the place on it, a big numeric pad, one event a
//! reading; tables from a gauge are taken as they are.
//!
//! Law: none; 1 mil = 25.4 µm by definition.
//! Checked by: `tests/web_jobs.rs`, `tests/web_gauge.rs`, `tests/web_queue.rs`.

use std::time::Duration;

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_report::figure::{CarOptions, Scale};
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::{Value, json};

use super::super::fields::{Fields, NumberField};
use super::super::later::later;
use super::super::numbers::{Measure, typed};
use super::super::page::{Page, backspace, edit_fields, picture, queue_line};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{frame, given, jobs as say, stations};
use super::super::{Bay, film};
use super::intake::{panel, panel_choice, pointer};
use super::tables::PLACES;
use super::{Deed, Kept, already, edit_id, past, perform, slips};

/// By definition: a thousandth of an inch.
const UM_PER_MIL: f64 = 25.4;
/// Farthest from a panel's corner, mm.
const FARTHEST_MM: f64 = 10_000.0;
/// The page waits so long for the car; else it follows.
const SOON: Duration = Duration::from_millis(15);

/// `GET /jobs/{job}/readings`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let ready = car_soon(&bay, &visitor, &kept).await;
    let path = format!("/jobs/{job}/readings");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::READINGS_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Inspect)),
        modules: &["queue.js", "later.js", "walk.js", "readings.js"],
        styles: &["tools.css", "jobs.css", "stations.css"],
    };
    let body = html! {
        div.wide data-job=(job) {
            (queue_line(&visitor))
            section.two {
                div.car { (later(&visitor, ("car", &format!("{path}/car")), ready.as_ref(), &path)) }
                (form(&visitor, &kept))
            }
            (taken(&visitor, &kept))
            nav.deeds aria-label=(visitor.say(say::NEXT)) {
                a.button href=(format!("/jobs/{job}/film")) { (visitor.say(stations::TO_FILM)) }
                a.button.quiet href=(format!("/jobs/{job}/panels")) { (visitor.say(given::TITLE)) }
            }
            (super::import::section(&visitor, &kept))
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

/// The car, if it is drawn before anyone notices.
async fn car_soon(bay: &Bay, visitor: &Visitor, kept: &Kept) -> Option<Markup> {
    let glance = tokio::time::timeout(SOON, bay.plans.glance_of(kept)).await;
    Some(match glance.ok()? {
        Ok(glance) => map(visitor, kept, &glance),
        Err(refusal) => html! { p.fault { (visitor.text_told(&refusal.sentence)) } },
    })
}

/// `GET /jobs/{job}/readings/car`: the car by what was read.
pub(crate) async fn car(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let glance = bay.plans.glance_of(&kept).await?;
    Ok(map(&visitor, &kept, &glance))
}

fn map(visitor: &Visitor, kept: &Kept, glance: &Value) -> Markup {
    let panels = glance["panels"].as_array().cloned().unwrap_or_default();
    let scale = Some(Scale::film());
    let draw = |options| picture(&film::car(visitor, kept.class(), &panels, options));
    html! {
        div.lying { (draw(CarOptions::landscape(scale))) }
        div.upright { (draw(CarOptions::portrait(scale))) }
    }
}

fn form(visitor: &Visitor, kept: &Kept) -> Markup {
    let shown = Measure::Film.shown(visitor.units);
    let place = |word: &str| {
        visitor.say(match word {
            "edge" => stations::EDGE,
            "crease" => stations::CREASE,
            "hidden" => stations::HIDDEN,
            "zero" => stations::ZERO,
            _ => stations::FIELD,
        })
    };
    html! {
        form.reading-form method="post" action=(format!("/jobs/{}/readings", kept.id)) data-queue {
            (edit_fields(kept.version))
            input type="hidden" name="unit" value=(shown.unit);
            input type="hidden" name="u_mm" value="";
            input type="hidden" name="v_mm" value="";
            div.pair {
                (panel_choice(visitor, kept))
                label { span { (visitor.say(say::PLACE)) }
                    select name="place" { @for word in PLACES { option value=(word) { (place(word)) } } } }
            }
            div.places data-panel-drawing=(format!("/jobs/{}/readings/panel", kept.id)) {}
            label { span { (visitor.say(say::THICKNESS)) ", " (shown.unit) }
                input.big type="text" inputmode="decimal" name="thickness" required autocomplete="off"; }
            div.keys.pad-keys hidden {
                @for key in ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0"] {
                    button type="button" data-key=(key) { (key) }
                }
                button type="button" data-key="delete" aria-label=(visitor.say(frame::PAD_DELETE)) { (backspace()) }
            }
            button.main-deed { (visitor.say(say::ADD_READING)) }
        }
    }
}

fn taken(visitor: &Visitor, kept: &Kept) -> Markup {
    let mut readings = kept.entries("/readings");
    readings.reverse();
    let total = kept.count_readings();
    html! {
        section #taken data-live aria-label=(visitor.say(say::TAKEN)) {
            h2 { (visitor.fill(say::READINGS.of(total), &[&visitor.number(total as f64, 0)])) }
            (slips::told(visitor, kept))
            ul.marks {
                @for (_, reading) in readings.into_iter().take(8) {
                    li { span { b { (visitor.panel(reading["panel"].as_str().unwrap_or_default())) } " "
                        (visitor.with_unit(Measure::Film, reading["um"].as_f64().unwrap_or_default())) } }
                }
            }
        }
    }
}

/// `POST /jobs/{job}/readings`: takes one, or takes one out.
pub(crate) async fn take(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    if fields.text("deed") == Some("drop") {
        return take_out(&bay, &visitor, &headers, (&fields, &job)).await;
    }
    let panel = panel(&bay, &job, &fields, &visitor).await?;
    let words = PLACES.map(|word| (word, word));
    let place = fields.word(("place", say::PLACE), &words, "field", &visitor)?;
    let um = film_um(&fields, &visitor, place == "zero")?;
    let at = |key| {
        let field = NumberField {
            key,
            label: say::PLACE,
            measure: Measure::Length,
            range: (-FARTHEST_MM, FARTHEST_MM),
        };
        match fields.text(key) {
            None => Ok(None),
            Some(_) => fields.number(&field, 0.0, &visitor).map(Some),
        }
    };
    let (u_mm, v_mm) = (at("u_mm")?, at("v_mm")?);
    let both = u_mm.zip(v_mm);
    let reading = json!({ "panel": panel, "um": um, "place": place,
        "u_mm": both.map(|b| b.0), "v_mm": both.map(|b| b.1) });
    let deed = Deed {
        job: &job,
        kind: "reading-taken",
        changes: vec![Change::put(
            format!("/readings/{}", pointer(&edit_id(&fields))),
            reading,
        )],
        back: format!("/jobs/{job}/readings"),
    };
    perform(&bay, &headers, &fields, deed).await
}

async fn take_out(
    bay: &Bay,
    visitor: &Visitor,
    headers: &HeaderMap,
    (fields, job): (&Fields, &str),
) -> Result<Response, Refusal> {
    let (kind, back) = ("reading-dropped", format!("/jobs/{job}/readings"));
    if let Some(again) = already(bay, headers, fields, (job, kind, &back)).await {
        return Ok(again);
    }
    let kept = Kept::bare(bay, job).await?;
    let changes = slips::dropped(&kept, fields, visitor)?;
    let deed = Deed {
        job,
        kind,
        changes,
        back,
    };
    perform(bay, headers, fields, deed).await
}

/// The gauge's figure in µm; on the bare plate it may be about nothing.
pub(super) fn film_um(fields: &Fields, visitor: &Visitor, is_zero: bool) -> Result<f64, Refusal> {
    one_film_um(fields, visitor, ("thickness", is_zero))
}

/// A film in the unit that was typed behind it, or else that the form names.
pub(super) fn one_film_um(
    fields: &Fields,
    visitor: &Visitor,
    (key, is_zero): (&str, bool),
) -> Result<f64, Refusal> {
    let um_per = fields.word(
        ("unit", say::THICKNESS),
        &[("µm", 1.0), ("mil", UM_PER_MIL)],
        1.0,
        visitor,
    )?;
    let (low, high) = if is_zero {
        (-50.0, 50.0)
    } else {
        (20.0, 3000.0)
    };
    let came = fields.text(key).unwrap_or_default();
    let (bare, um_per) = unit_of(came).unwrap_or((came, um_per));
    let um = typed(bare).map(|value| value * um_per);
    um.filter(|um| (low..=high).contains(um)).ok_or_else(|| {
        let short = super::super::fields::short(came);
        let ends = [low, high].map(|um| visitor.with_unit(Measure::Film, um));
        Refusal::input(visitor.fill(say::NO_READING, &[&short, &ends[0], &ends[1]]))
    })
}

/// A figure and the micrometres of the unit that stands behind it.
pub(super) fn unit_of(came: &str) -> Option<(&str, f64)> {
    let start = came.find(|c: char| c.is_alphabetic())?;
    let um_per = match came[start..].trim().to_lowercase().as_str() {
        // The micro sign and the Greek letter; the first lowers to the second.
        "µm" | "μm" | "um" | "micron" | "microns" => 1.0,
        "mil" | "mils" => UM_PER_MIL,
        "mm" => 1000.0,
        _ => return None,
    };
    Some((came[..start].trim_end(), um_per))
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderMap;

    fn taken(raw: &str) -> Result<f64, String> {
        let visitor = Visitor::of(&HeaderMap::new());
        let fields = Fields::parse(raw.as_bytes(), &visitor).map_err(|r| r.sentence)?;
        film_um(&fields, &visitor, false).map_err(|r| r.sentence)
    }

    #[test]
    fn a_unit_behind_the_figure_is_taken_and_outranks_the_forms() {
        for raw in [
            "thickness=118+%C2%B5m",
            "thickness=118+%CE%BCm",
            "thickness=118um",
            "thickness=0,118+mm",
            "thickness=118+%C2%B5m&unit=mil",
        ] {
            assert_eq!(taken(raw), Ok(118.0), "{raw}");
        }
        assert!(taken("thickness=4.6+mil").is_ok_and(|um| (um - 116.84).abs() < 1e-9));
    }

    #[test]
    fn what_is_no_film_is_refused_with_what_came() {
        for raw in [
            "thickness=118+pints",
            "thickness=%C2%B5m",
            "thickness=5000+mil",
            "thickness=",
        ] {
            assert!(taken(raw).is_err_and(|s| s.contains("allowed")), "{raw}");
        }
    }
}
