//! What is given of the car's panels and of the gauge: size, what lies under
//! the paint, and how well the gauge repeats.
//!
//! A job with a job file gets it written there, so that the command line reads
//! the same; a job that has none yet keeps it until it takes the shop's kit.
//! Holds: sizes of 30 to 6000 mm, a gauge that repeats to 0.05 to 20 µm, as
//! the job file's reader takes them.
//! Left out: a panel's outline; what earlier visits took off.
//! Checked by: `tests/web_given.rs`.

pub(crate) mod into_text;

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_job::record::job::{Job, Substrate};
use lapwing_job::record::read::read_job;
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::{Value, json};
use uom::si::length::{micrometer, millimeter};

use self::into_text::{GivenPanel, written};
use super::super::Bay;
use super::super::entry::{entered, entry, units_field};
use super::super::fields::{Fields, NumberField};
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields};
use super::super::refusal::Refusal;
use super::super::shop::practice::{NewJob, bare_file};
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{bench, given as say};
use super::intake::pointer;
use super::{Deed, Kept, already, past, perform};

const WIDE: NumberField = NumberField {
    key: "wide_mm",
    label: say::WIDE,
    measure: Measure::Length,
    range: (30.0, 6000.0),
};
const TALL: NumberField = NumberField {
    key: "tall_mm",
    label: say::TALL,
    ..WIDE
};
/// How well a gauge repeats.
pub(crate) const GAUGE: NumberField = NumberField {
    key: "gauge_um",
    label: say::GAUGE_UM,
    measure: Measure::Film,
    range: (0.05, 20.0),
};

/// What lies under the paint, in the words of the bench.
const SUBSTRATES: [(&str, super::super::words::Message); 4] = [
    ("steel", bench::STEEL),
    ("aluminium", bench::ALUMINIUM),
    ("plastic", bench::PLASTIC),
    ("laminate", bench::LAMINATE),
];

impl Kept {
    /// The job file, or what stands in for it until the job has the shop's
    /// kit: car and panels with what was given of them.
    pub(crate) fn car_text(&self) -> String {
        let text = self.text("/folder/job.toml");
        if !text.trim().is_empty() {
            return text.to_owned();
        }
        self.with_given(&bare_file(&NewJob::of_kept(self)))
    }

    /// The same for the film, which needs no car where nothing was given.
    pub(crate) fn film_text(&self) -> String {
        let has_file = !self.text("/folder/job.toml").trim().is_empty();
        if has_file || self.document.pointer("/given").is_some() {
            self.car_text()
        } else {
            String::new()
        }
    }

    /// A fresh job file with what was given before there was one.
    pub(crate) fn with_given(&self, text: &str) -> String {
        let panels: Vec<(String, GivenPanel)> = self
            .entries("/given/panels")
            .into_iter()
            .map(|(id, given)| (id.clone(), of_json(given)))
            .collect();
        let gauge = self.document.pointer("/given/gauge_um").map(Value::as_f64);
        written(text, &panels, gauge).unwrap_or_else(|_| text.to_owned())
    }
}

fn of_json(given: &Value) -> GivenPanel {
    let mm = |key: &str| given[key].as_f64();
    GivenPanel {
        substrate: given["substrate"].as_str().map(str::to_owned),
        size_mm: mm("wide_mm").zip(mm("tall_mm")).map(|(w, t)| [w, t]),
    }
}

/// A panel as it stands: our name, and what is known of it.
struct Row {
    id: String,
    name: String,
    substrate: Substrate,
    size_mm: Option<[f64; 2]>,
}

impl Row {
    fn all(visitor: &Visitor, job: &Job) -> Vec<Self> {
        let row = |panel: &lapwing_job::record::job::Panel| Self {
            id: panel.name.clone(),
            name: visitor.panel_named(&panel.name, &panel.spoken()),
            substrate: panel.substrate,
            size_mm: panel
                .size
                .map(|(u, v)| [u.get::<millimeter>(), v.get::<millimeter>()]),
        };
        job.panels.iter().map(row).collect()
    }
}

fn job_of(kept: &Kept) -> Result<Job, Refusal> {
    let read = read_job("job.toml", &kept.car_text());
    read.map(|(job, _)| job)
        .map_err(|e| Refusal::input(e.sentence))
}

/// `GET /jobs/{job}/panels`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    page(&visitor, &kept)
}

fn page(visitor: &Visitor, kept: &Kept) -> Result<Markup, Refusal> {
    let path = format!("/jobs/{}/panels", kept.id);
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::BESIDE),
        path: &path,
        line: Some(kept.line(visitor, Station::Inspect)),
        modules: &[],
        styles: &["tools.css", "jobs.css", "rooms.css"],
    };
    let job = job_of(kept)?;
    let gauge_um = job.gauge_repeatability.map(|r| r.get::<micrometer>());
    let body = html! {
        div.column {
            form.readings method="post" action=(path) {
                (edit_fields(kept.version)) (units_field(visitor))
                h2 { (visitor.say(say::GAUGE)) }
                p.note { (visitor.say(say::GAUGE_LEAD)) }
                div.pair { (entry(visitor, &GAUGE, gauge_um)) }
                h2 { (visitor.say(say::PANELS)) }
                p.note { (visitor.say(say::PANELS_LEAD)) }
                div.given { @for row in Row::all(visitor, &job) { (one(visitor, &row)) } }
                button.main-deed { (visitor.say(say::KEEP)) }
            }
            div.deeds { a.button.quiet href=(format!("/jobs/{}/readings", kept.id)) { (visitor.say(say::TO_READINGS)) } }
            (past(visitor, kept, &path))
        }
    };
    Ok(page.around(visitor, &body))
}

fn one(visitor: &Visitor, row: &Row) -> Markup {
    html! {
        fieldset {
            legend { (row.name) @if row.size_mm.is_none() { " " small { (visitor.say(say::ESTIMATED)) } } }
            input type="hidden" name="panel" value=(row.id);
            label { span { (visitor.say(say::UNDER)) }
                select name="substrate" { @for (word, name) in SUBSTRATES {
                    option value=(word) selected[word == row.substrate.word()] { (visitor.say(name)) } } } }
            (entry(visitor, &WIDE, row.size_mm.map(|s| s[0])))
            (entry(visitor, &TALL, row.size_mm.map(|s| s[1])))
        }
    }
}

/// `POST /jobs/{job}/panels`: keeps what differs from what stood there.
pub(crate) async fn keep(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let back = format!("/jobs/{job}/panels");
    let kind = "panels-given";
    if let Some(again) = already(&bay, &headers, &fields, (&job, kind, &back)).await {
        return Ok(again);
    }
    let kept = Kept::load(&bay, &job).await?;
    let now = job_of(&kept)?;
    let panels = changed(&visitor, &Row::all(&visitor, &now), &fields)?;
    let was_um = now.gauge_repeatability.map(|r| r.get::<micrometer>());
    let gauge_um = fields
        .text(GAUGE.key)
        .map(|_| entered(&fields, &GAUGE, 1.0, &visitor))
        .transpose()?;
    // A field that was not sent along says nothing; an empty one says "unknown".
    let is_said = fields.all(GAUGE.key).next().is_some();
    let gauge = (is_said && !is_near(gauge_um, was_um)).then_some(gauge_um);
    let deed = Deed {
        job: &job,
        kind,
        changes: changes(&kept, &panels, gauge)?,
        back,
    };
    perform(&bay, &headers, &fields, deed).await
}

/// Shown and typed back, a number is the same.
fn is_near(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 0.01 * b.abs(),
        (None, None) => true,
        _ => false,
    }
}

fn changed(
    visitor: &Visitor,
    rows: &[Row],
    fields: &Fields,
) -> Result<Vec<(String, GivenPanel)>, Refusal> {
    let lists = ["panel", "substrate", WIDE.key, TALL.key];
    let [ids, under, wide, tall] = lists.map(|key| fields.all(key).collect::<Vec<_>>());
    if [&under, &wide, &tall].iter().any(|l| l.len() != ids.len()) {
        return Err(Refusal::input(visitor.say(say::NOT_WHOLE)));
    }
    let mut found = Vec::new();
    for (at, id) in ids.iter().enumerate() {
        let Some(row) = rows.iter().find(|row| row.id == *id) else {
            let short = super::super::fields::short(id);
            let sentence = visitor.fill(super::super::words::jobs::NO_PANEL, &[&short]);
            return Err(Refusal::input(sentence));
        };
        let substrate = Substrate::WORDS.iter().find(|(word, _)| *word == under[at]);
        let substrate = substrate.map_or(row.substrate, |(_, s)| *s);
        let size_mm = size(visitor, fields, (row, wide[at], tall[at]))?;
        let is_same = |side: usize| is_near(size_mm.map(|s| s[side]), row.size_mm.map(|s| s[side]));
        if substrate != row.substrate || !is_same(0) || !is_same(1) {
            let given = GivenPanel {
                substrate: Some(substrate.word().to_owned()),
                size_mm,
            };
            found.push((row.id.clone(), given));
        }
    }
    Ok(found)
}

fn size(
    visitor: &Visitor,
    fields: &Fields,
    (row, wide, tall): (&Row, &str, &str),
) -> Result<Option<[f64; 2]>, Refusal> {
    if wide.is_empty() && tall.is_empty() {
        return Ok(None);
    }
    if wide.is_empty() || tall.is_empty() {
        return Err(Refusal::input(visitor.fill(say::ONE_SIDE, &[&row.name])));
    }
    let mut own = Fields::default();
    for (key, text) in [
        ("units", fields.text("units").unwrap_or_default()),
        (WIDE.key, wide),
        (TALL.key, tall),
    ] {
        own.push(key.to_owned(), text.to_owned());
    }
    let side = |field: &NumberField| {
        entered(&own, field, 0.0, visitor)
            .map_err(|refusal| Refusal::input(format!("{}: {}", row.name, refusal.sentence)))
    };
    let tenth = |mm: f64| (10.0 * mm).round() / 10.0;
    Ok(Some([tenth(side(&WIDE)?), tenth(side(&TALL)?)]))
}

fn changes(
    kept: &Kept,
    panels: &[(String, GivenPanel)],
    gauge: Option<Option<f64>>,
) -> Result<Vec<Change>, Refusal> {
    if panels.is_empty() && gauge.is_none() {
        return Ok(Vec::new());
    }
    let file = kept.text("/folder/job.toml");
    if !file.trim().is_empty() {
        let text = written(file, panels, gauge).map_err(Refusal::input)?;
        read_job("job.toml", &text).map_err(|e| Refusal::input(e.sentence))?;
        return Ok(vec![Change::put("/folder/job.toml", text)]);
    }
    let mut changes: Vec<Change> = panels
        .iter()
        .map(|(id, given)| {
            let [wide, tall] = [0, 1].map(|at| given.size_mm.map(|s| s[at]));
            let entry = json!({ "panel": id, "substrate": given.substrate, "wide_mm": wide, "tall_mm": tall });
            Change::put(format!("/given/panels/{}", pointer(id)), entry)
        })
        .collect();
    changes.extend(gauge.map(|um| Change::put("/given/gauge_um", json!(um))));
    Ok(changes)
}
