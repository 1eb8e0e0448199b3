//! Readings: the place on the car, a big numeric pad, one event a reading.
//!
//! Law: none; 1 mil = 25.4 µm by definition.
//! Left out: the next best place, which comes with the gauge station.
//! Checked by: the tests below, `tests/web_jobs.rs`, `tests/web_queue.rs`.

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_job::record::panel_names::spoken;
use lapwing_report::figure::{CarOptions, Scale};
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::{Value, json};
use std::fmt::Write as _;

use super::super::fields::{Fields, NumberField};
use super::super::numbers::{Measure, typed};
use super::super::page::{Page, backspace, edit_fields, picture};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::jobs as say;
use super::super::{Bay, apart, film};
use super::intake::{panel, panel_choice, pointer};
use super::{Deed, Kept, edit_id, past, perform};
use crate::commands;

const SHARE: (f64, f64) = (0.0, 1.0);

/// `GET /jobs/{job}/readings`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let document = if count(&kept) == 0 {
        Ok(json!({ "panels": [] }))
    } else {
        let table = kept.table().into_bytes();
        let over = commands::film::Over::read("base-clear", "steel")?;
        apart(move || commands::film::at_a_glance("readings.csv", &table, over)).await
    };
    let path = format!("/jobs/{job}/readings");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::READINGS_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Inspect)),
        modules: &["queue.js", "walk.js", "readings.js"],
        styles: &["tools.css", "jobs.css"],
    };
    let body = html! {
        div.wide data-job=(job) {
            p.queue role="status" hidden data-one=(visitor.say(say::WAITING)) {}
            section.two {
                div.car #car data-live { (map(&visitor, &kept, document.as_ref())) }
                (form(&visitor, &kept))
            }
            (taken(&visitor, &kept))
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

fn map(visitor: &Visitor, kept: &Kept, document: Result<&Value, &Refusal>) -> Markup {
    let document = match document {
        Ok(document) => document,
        Err(refusal) => return html! { p.fault lang="en" { (refusal.sentence) } },
    };
    let panels = document["panels"].as_array().cloned().unwrap_or_default();
    let scale = Some(Scale::film());
    let draw = |options| picture(&film::car(visitor, kept.class(), &panels, options));
    html! {
        div.lying { (draw(CarOptions::landscape(scale))) }
        div.upright { (draw(CarOptions::portrait(scale))) }
    }
}

fn form(visitor: &Visitor, kept: &Kept) -> Markup {
    let shown = Measure::Film.shown(visitor.units);
    html! {
        form.reading-form method="post" action=(format!("/jobs/{}/readings", kept.id)) data-queue {
            (edit_fields(kept.version))
            input type="hidden" name="unit" value=(shown.unit);
            input type="hidden" name="u" value="";
            input type="hidden" name="v" value="";
            (panel_choice(visitor, kept))
            label { span { (visitor.say(say::THICKNESS)) ", " (shown.unit) }
                input.big type="text" inputmode="decimal" name="thickness" required autocomplete="off"; }
            div.keys.pad-keys hidden {
                @for key in ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0"] {
                    button type="button" data-key=(key) { (key) }
                }
                button type="button" data-key="delete" aria-label=(visitor.say(super::super::words::frame::PAD_DELETE)) { (backspace()) }
            }
            button.main-deed { (visitor.say(say::ADD_READING)) }
        }
    }
}

fn taken(visitor: &Visitor, kept: &Kept) -> Markup {
    let mut readings = kept.entries("/readings");
    readings.reverse();
    let total = count(kept);
    html! {
        section #taken data-live aria-label=(visitor.say(say::TAKEN)) {
            h2 { (visitor.fill(say::READINGS.of(total), &[&visitor.number(total as f64, 0)])) }
            ul.marks {
                @for (_, reading) in readings.into_iter().take(8) {
                    li { span { b lang="en" { (spoken(reading["panel"].as_str().unwrap_or_default())) } " "
                        (visitor.with_unit(Measure::Film, reading["um"].as_f64().unwrap_or_default())) } }
                }
            }
        }
    }
}

/// `POST /jobs/{job}/readings`: takes one.
pub(crate) async fn take(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let panel = panel(&bay, &job, &fields, &visitor).await?;
    let um_per = fields.word(
        ("unit", say::THICKNESS),
        &[("µm", 1.0), ("mil", 25.4)],
        1.0,
        &visitor,
    )?;
    let came = fields.text("thickness").unwrap_or_default();
    let um = typed(came).map(|value| value * um_per);
    let um = um
        .filter(|um| (20.0..=3000.0).contains(um))
        .ok_or_else(|| {
            let short = super::super::fields::short(came);
            let ends = [20.0, 3000.0].map(|um| visitor.with_unit(Measure::Film, um));
            Refusal::input(visitor.fill(say::NO_READING, &[&short, &ends[0], &ends[1]]))
        })?;
    let place = |key| {
        let field = NumberField {
            key,
            label: say::PLACE,
            measure: Measure::Count,
            range: SHARE,
        };
        match fields.text(key) {
            None => Ok(None),
            Some(_) => fields.number(&field, 0.0, &visitor).map(Some),
        }
    };
    let reading = json!({ "panel": panel, "um": um, "u_frac": place("u")?, "v_frac": place("v")? });
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

/// How many readings a job has.
pub(crate) fn count(kept: &Kept) -> usize {
    let of_folder = kept.text("/folder/readings.csv").lines();
    let lines = of_folder.filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
    lines.count().saturating_sub(1) + kept.entries("/readings").len()
}

/// The folder's table with a row for every reading taken here, in its columns.
pub(crate) fn table(kept: &Kept) -> String {
    let of_folder = kept.text("/folder/readings.csv");
    let mut table = if of_folder.trim().is_empty() {
        "panel,thickness_um\n".to_owned()
    } else {
        format!("{}\n", of_folder.trim_end())
    };
    let head = table.lines().find(|line| !line.starts_with('#'));
    let head = head.unwrap_or_default().to_owned();
    let gap = [';', '\t'].into_iter().find(|s| head.contains(*s));
    let gap = gap.unwrap_or(',');
    let columns: Vec<&str> = head
        .split(gap)
        .map(|c| c.trim().trim_matches('"'))
        .collect();
    for (_, reading) in kept.entries("/readings") {
        let cells: Vec<String> = columns.iter().map(|c| cell(c, reading)).collect();
        let _ = writeln!(table, "{}", cells.join(&gap.to_string()));
    }
    table
}

fn cell(column: &str, reading: &Value) -> String {
    let um = reading["um"].as_f64().unwrap_or_default();
    match column.to_lowercase().as_str() {
        "panel" => reading["panel"].as_str().unwrap_or_default().to_owned(),
        "thickness_um" => format!("{um}"),
        "thickness_mil" => format!("{}", um / 25.4),
        "thickness_mm" => format!("{}", um / 1000.0),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept(folder: &str) -> Kept {
        Kept {
            id: "j".to_owned(),
            version: 1,
            document: json!({
                "folder": { "readings.csv": folder },
                "readings": { "a": { "panel": "roof", "um": 101.6 } },
            }),
            conflicts: Vec::new(),
            latest: Vec::new(),
        }
    }

    #[test]
    fn a_reading_joins_the_table_in_its_own_columns_and_unit() {
        assert_eq!(table(&kept("")), "panel,thickness_um\nroof,101.6\n");
        let mil = "spot;panel;thickness_mil\n1;bonnet;4.2\n";
        assert_eq!(table(&kept(mil)), format!("{mil};roof;4\n"));
        assert_eq!(count(&kept(mil)), 2);
    }
}
