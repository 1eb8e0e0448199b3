//! The panel as a gauge sees it: where it was read, where to read next, and a
//! tap that says where the gauge stands now.
//!
//! Law: none; the places come from the station that judges readings. The
//! picture is the panel from the front, u across, v up, in mm.
//! Holds: a panel whose size nobody measured is drawn 1000 by 700 mm, wider
//! where readings lie outside, and says so.
//! Left out: the panel's true outline.
//! Checked by: `tests/web_gauge.rs`, and by looking.

use axum::extract::Path;
use lapwing_job::inspect::next_reading::NextReading;
use lapwing_job::record::read::read_job;
use lapwing_job::record::readings::Reading;
use maud::{Markup, html};
use uom::si::length::millimeter;

use super::super::Bay;
use super::super::fields::Fields;
use super::super::numbers::Measure;
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::{given, proof, stations as say};
use super::Kept;
use crate::commands::job_film::{JobFilm, read_tables};

/// Size of a panel nobody measured, mm.
const USUAL_MM: [f64; 2] = [1000.0, 700.0];
/// Width of the drawing.
const WIDTH: f64 = 360.0;

/// A rectangle on the panel: left, bottom, right, top, mm.
struct Face {
    ends_mm: [f64; 4],
    is_measured: bool,
}

/// `GET /jobs/{job}/readings/panel?panel=…`: the drawing of one panel;
/// with `wait=yes` the places to read next are worked out first.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let panel = super::intake::known_panel(&kept, &fields, &visitor)?;
    let film = match (fields.text("wait"), kept.count_readings()) {
        (_, 0) => None,
        (Some(_), _) => Some(bay.plans.film_of(&kept).await?),
        (None, _) => bay.plans.film_at_hand(&kept),
    };
    let read = read_tables(&kept.tables())?;
    let here: Vec<&Reading> = read.readings.iter().filter(|r| r.panel == panel).collect();
    let read_at = here.iter().filter_map(|r| r.u_mm.zip(r.v_mm));
    let face = face(&kept, &panel, read_at);
    let is_open = film.is_none() && kept.count_readings() > 0;
    let [left, bottom, right, top] = face.ends_mm;
    let next = film.as_deref().map_or(&[][..], JobFilm::next);
    Ok(html! {
        figure.panel-places data-is-open=[is_open.then_some("yes")]
            data-left=(left) data-bottom=(bottom) data-right=(right) data-top=(top)
            data-unit-mm=(Measure::Length.shown(visitor.units).factor) data-digits=(Measure::Length.shown(visitor.units).digits) {
            (drawing(&visitor, (&panel, &face), &here, next))
            figcaption {
                p.where-now data-words=(visitor.say(say::GAUGE_AT)) data-unit=(Measure::Length.shown(visitor.units).unit) { (visitor.say(say::TAP_PANEL)) }
                @if !face.is_measured { p.note { (visitor.say(say::SIZE_NOT_MEASURED)) " "
                    a href=(format!("/jobs/{}/panels", kept.id)) { (visitor.say(given::GIVE_SIZE)) } } }
                @match &film {
                    Some(film) => (advice(&visitor, &panel, film)),
                    None => p.note { (visitor.say(if is_open { say::WORKING_NEXT } else { say::FIRST_READINGS })) },
                }
            }
        }
    })
}

/// The panel with named spots on it, to find them again.
pub(super) fn spots(
    visitor: &Visitor,
    kept: &Kept,
    panel: &str,
    spots: &[(f64, f64, &str)],
) -> Markup {
    let face = face(kept, panel, spots.iter().map(|(u, v, _)| (*u, *v)));
    let [left, bottom, right, top] = face.ends_mm;
    let scale = WIDTH / (right - left).max(1.0);
    let height = ((top - bottom) * scale).clamp(80.0, 420.0);
    let up = height / (top - bottom).max(1.0);
    html! {
        figure.spots {
            svg viewBox=(format!("-14 -14 {} {:.0}", WIDTH + 28.0, height + 28.0)) role="img"
                aria-label=(visitor.fill(proof::SPOTS_DRAWN, &[&visitor.panel(panel)])) {
                rect.face x="0" y="0" width=(WIDTH) height=(format!("{height:.1}")) rx="10" fill="#fafcfb" stroke="#768384" stroke-width="1.6" {}
                @for (u, v, name) in spots {
                    @let (x, y) = ((u - left) * scale, height - (v - bottom) * up);
                    circle cx=(format!("{x:.1}")) cy=(format!("{y:.1}")) r="4" fill="#035868" {}
                    text x=(format!("{x:.1}")) y=(format!("{:.1}", if y > 16.0 { y - 7.0 } else { y + 16.0 })) text-anchor="middle" font-size="12" fill="#0f2429" { (name) }
                }
            }
            figcaption.note { (visitor.say(proof::SPOTS_NOTE))
                @if !face.is_measured { " " (visitor.say(say::SIZE_NOT_MEASURED)) } }
        }
    }
}

fn face(kept: &Kept, panel: &str, places: impl Iterator<Item = (f64, f64)>) -> Face {
    let job = read_job("job.toml", &kept.film_text()).ok();
    let of_job = job.and_then(|(job, _)| job.panels.into_iter().find(|p| p.name == panel));
    let size = of_job.and_then(|p| p.size);
    let [wide, tall] = size.map_or(USUAL_MM, |(u, v)| {
        [u.get::<millimeter>(), v.get::<millimeter>()]
    });
    let ends_mm = places.fold([0.0, 0.0, wide, tall], |[a, b, c, d]: [f64; 4], (u, v)| {
        [a.min(u), b.min(v), c.max(u), d.max(v)]
    });
    Face {
        ends_mm,
        is_measured: size.is_some(),
    }
}

fn drawing(
    visitor: &Visitor,
    (panel, face): (&str, &Face),
    readings: &[&Reading],
    next: &[NextReading],
) -> Markup {
    let [left, bottom, right, top] = face.ends_mm;
    let scale = WIDTH / (right - left).max(1.0);
    let height = ((top - bottom) * scale).clamp(80.0, 420.0);
    let up = height / (top - bottom).max(1.0);
    let x = |u_mm: f64| format!("{:.1}", (u_mm - left) * scale);
    let y = |v_mm: f64| format!("{:.1}", height - (v_mm - bottom) * up);
    let mut places: Vec<(f64, f64, f64)> = Vec::new();
    for reading in readings {
        if let (Some(u), Some(v)) = (reading.u_mm, reading.v_mm) {
            // Of repeats at one place the last figure is written.
            places.retain(|place| (place.0, place.1) != (u, v));
            places.push((u, v, reading.film_um));
        }
    }
    let next = next.iter().filter(|n| n.panel == panel);
    html! {
        svg viewBox=(format!("-14 -14 {} {:.0}", WIDTH + 28.0, height + 28.0)) role="img" tabindex="0"
            aria-label=(visitor.fill(say::PANEL_DRAWN, &[&visitor.panel(panel)])) {
            rect.face x="0" y="0" width=(WIDTH) height=(format!("{height:.1}")) rx="10" fill="#fafcfb" stroke="#768384" stroke-width="1.6" {}
            @for (u, v, um) in places {
                circle cx=(x(u)) cy=(y(v)) r="3.5" fill="#3e5257" {}
                text x=(x(u)) y=(format!("{:.1}", height - (v - bottom) * up - 6.0)) text-anchor="middle" font-size="11" fill="#3e5257" { (visitor.number(um * Measure::Film.shown(visitor.units).factor, usize::from(visitor.units == lapwing_job::record::job::Units::Us))) }
            }
            @for (at, one) in next.enumerate() {
                g.next-place data-u=(one.u_mm) data-v=(one.v_mm) {
                    circle cx=(x(one.u_mm)) cy=(y(one.v_mm)) r="13" fill="#f1f5f2" stroke="#ab4b16" stroke-width="3" {}
                    text x=(x(one.u_mm)) y=(format!("{:.1}", height - (one.v_mm - bottom) * up + 5.0)) text-anchor="middle" font-size="14" font-weight="700" fill="#ab4b16" { (at + 1) }
                }
            }
        }
    }
}

/// What further readings are worth, here and on the whole car.
fn advice(visitor: &Visitor, panel: &str, film: &JobFilm) -> Markup {
    let length = |mm: f64| visitor.with_unit(Measure::Length, mm);
    let here: Vec<&NextReading> = film.next().iter().filter(|n| n.panel == panel).collect();
    let best = film.next().first();
    html! {
        @match here.first() {
            Some(one) if one.together == 1 => p { span.plate.next { (visitor.say(say::READ_NEXT)) } " "
                (visitor.fill(say::RING_ONE, &[&length(one.u_mm), &length(one.v_mm), &visitor.number(one.gain, 2)])) },
            Some(one) => p { span.plate.next { (visitor.say(say::READ_NEXT)) } " "
                (visitor.fill(say::RINGS_TOGETHER, &[&one.together.to_string(), &visitor.number(one.gain, 2)])) },
            None => @if let Some(said) = film.next_said(panel) { p.note { (visitor.said(said)) } },
        }
        @if let Some(best) = best.filter(|b| b.panel != panel) {
            p.best-place { (visitor.say(say::BEST_ON_CAR)) " "
                button.quiet.small type="button" data-choose=(best.panel) { (visitor.panel(&best.panel)) } }
        }
    }
}
