//! What the owner's paper says: the record as strings ready to print, and the
//! car drawn flat with the film that is left.
//!
//! Law: none; bars are placed as shares of 0 to 60 µm.
//! Holds: for a record as written or read back.
//! Left out: German; the paper goes to the owner in the record's language.
//! Checked by: the app's test that sets the example's paper, and by looking.

use lapwing_job::handover::record::{Care, DoneStep, Handed, HandedPanel, Left};
use lapwing_job::handover::spoken;
use lapwing_job::record::job::{BodyClass, Units};
use serde_json::{Value, json};

use crate::calendar::Day;
use crate::figure::{CarOptions, Doubt, Fill, PanelPaint, Scale, Theme, flat_car};
use crate::pictures::{outline, outline_id, units as picture_units};
use crate::record_words::{clear_left, grouped, taken_off, verdict};
use crate::words::{film_number, film_unit, hours, in_units};

/// What stands on the paper beside the record itself.
#[derive(Clone, Copy, Debug)]
pub struct Seal<'a> {
    /// SHA-256 of the record.
    pub sha256: &'a str,
    /// Public key of the shop.
    pub key: &'a str,
    /// The customer's link, where there is one.
    pub link: Option<&'a str>,
    /// Names of the photographs that are printed, in their order.
    pub printed: &'a [String],
}

impl Seal<'_> {
    /// What the square code holds.
    #[must_use]
    pub fn code(&self) -> String {
        match self.link {
            Some(link) => format!("{link}#sha256={}", self.sha256),
            None => format!("sha256:{}", self.sha256),
        }
    }
}

/// The car with the film that is left.
#[must_use]
pub fn car(handed: &Handed, options: &CarOptions, shown: Units) -> String {
    let class = BodyClass::WORDS
        .iter()
        .find(|(w, _)| *w == handed.car.class)
        .map_or(BodyClass::Estate, |(_, c)| *c);
    let painted: Vec<PanelPaint> = handed.panels.iter().map(|p| painted(p, shown)).collect();
    flat_car(outline(class), &painted, options)
}

/// The car as it stands on the paper.
#[must_use]
pub fn printed_car(handed: &Handed, shown: Units) -> String {
    let options = CarOptions {
        units: picture_units(shown),
        theme: Theme::PRINT,
        title: "Film left when the car was handed over".to_owned(),
        ..CarOptions::landscape(Some(Scale::film()))
    };
    car(handed, &options, shown)
}

fn painted(panel: &HandedPanel, shown: Units) -> PanelPaint {
    let after = panel.film_after_um.filter(|_| !panel.after_cannot_be);
    let film = after.or(panel.film_before_um);
    let is_odd = panel.is_repainted
        || panel
            .findings
            .iter()
            .any(|f| f.to_lowercase().contains("repaint"));
    let figure = film.map(|f| match shown {
        Units::Metric => format!("{:.0}", f.mean),
        Units::Us => film_number(f.mean, shown),
    });
    let fill = match film {
        None => Fill::NotMeasured,
        Some(_) if is_odd => Fill::Repaint,
        Some(f) => Fill::Value(f.mean, Doubt::Plain),
    };
    PanelPaint {
        id: outline_id(&panel.name),
        label: None,
        figure,
        finding: (is_odd && film.is_some()).then(|| "repaint?".to_owned()),
        fill,
    }
}

/// The object under the key `sheet` for the owner's paper.
#[must_use]
pub fn sheet(handed: &Handed, seal: &Seal<'_>, from: Option<Day>, shown: Units) -> Value {
    let is_read_after = handed.panels.iter().any(|p| p.film_after_um.is_some());
    json!({
        "title": "Paint record",
        "subtitle": handed.car.description,
        "job": handed.job,
        "date": handed.date,
        "date_iso": handed.date.as_deref().and_then(Day::read).map(Day::iso),
        "lead": lead(handed, shown),
        "unit": film_unit(shown),
        "caption": if is_read_after {
            format!("Whole film left on each panel, {}. Dark is thick. Hatched panels were not read.", film_unit(shown))
        } else {
            format!("Whole film before work, {}: nobody read it again afterwards. Hatched panels were not read.", film_unit(shown))
        },
        "wall": share(handed.limits.clear_left_um),
        "wall_words": film_number(handed.limits.clear_left_um, shown),
        "panels": handed.panels.iter().map(|p| row(p, shown)).collect::<Vec<_>>(),
        "remains": remains(handed, shown),
        "found": found(handed, shown),
        "done": done(handed),
        "care": handed.care.iter().map(|c| care(c, from)).collect::<Vec<_>>(),
        "do_nots": handed.do_nots,
        "cautions": cautions(handed, shown),
        "pictures": handed.pictures.iter().map(|p| json!({
            "file": p.file, "says": p.says, "hash": grouped(&p.sha256, 16),
            "photo": seal.printed.iter().position(|name| *name == p.file).map(|at| at + 1)})).collect::<Vec<_>>(),
        "seal": {
            "hash": grouped(seal.sha256, 64), "key": grouped(seal.key, 64),
            "earlier": handed.earlier.as_ref().map(|e| format!("{}{}", grouped(&e.sha256, 16), e.date.as_ref().map_or_else(String::new, |d| format!(", {d}")))),
            "has_link": seal.link.is_some(),
        },
    })
}

fn lead(handed: &Handed, shown: Units) -> Value {
    let unit = film_unit(shown);
    let (polished, begun) = handed.polished_and_begun();
    let panels = match begun {
        0 => "panels polished".to_owned(),
        begun => format!("panels polished, {begun} more begun"),
    };
    let thinnest = handed
        .panels
        .iter()
        .filter(|p| p.film_before_um.is_some())
        .filter_map(|p| p.clear_left_um.as_ref().map(|c| (c.lower_95, p)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let time = handed.spent.minutes.map_or_else(
        || {
            (
                hours(handed.spent.planned_hours),
                "planned in the bay; not noted",
            )
        },
        |m| (hours(m / 60.0), "of work, by the shop's log"),
    );
    let (figure, time_unit) = time.0.split_once('\u{a0}').unwrap_or((&time.0, ""));
    json!([
        {"figure": polished.to_string(), "unit": format!("of {}", handed.panels.len()), "text": panels},
        {"figure": handed.spent.film_um.map_or_else(|| "-".to_owned(), |um| film_number(um, shown)), "unit": unit,
         "text": "taken off on average where worked", "mark": weakest(handed)},
        {"figure": thinnest.map_or_else(|| "-".to_owned(), |(um, _)| film_number(um, shown)), "unit": unit, "mark": "assumed",
         "text": thinnest.map_or_else(|| "no clear coat stated".to_owned(), |(_, p)| format!("clear left at least, worked out, at the thinnest: {}", p.spoken.to_lowercase()))},
        {"figure": figure, "unit": time_unit, "text": time.1},
    ])
}

/// The weakest mark of what was taken off.
fn weakest(handed: &Handed) -> &str {
    const ORDER: [&str; 5] = [
        "measured",
        "calibrated",
        "sourced",
        "common practice",
        "assumed",
    ];
    handed
        .panels
        .iter()
        .filter(|p| p.verdict != "left")
        .filter_map(|p| p.removed_um.as_ref())
        .map(|r| r.provenance.as_str())
        .max_by_key(|word| ORDER.iter().position(|w| w == word))
        .unwrap_or("assumed")
}

fn row(panel: &HandedPanel, shown: Units) -> Value {
    let film = |f: Option<lapwing_job::handover::record::Film>| {
        f.map_or_else(|| "-".to_owned(), |f| film_number(f.mean, shown))
    };
    json!({
        "name": panel.spoken,
        "verdict": verdict(panel),
        "is_left": panel.verdict == "left",
        "before": film(panel.film_before_um),
        "after": film(panel.film_after_um),
        "taken": taken_off(panel, shown),
        "mark": panel.removed_um.as_ref().map(|r| r.provenance.clone()),
        "ever": film_number(panel.removed_ever_um.mean, shown),
        "clear": panel.clear_left_um.as_ref().map_or_else(String::new, |_| clear_left(panel, shown)),
        "bar": panel.clear_left_um.as_ref().map(bar),
        "may_go": panel.may_go_um.map_or_else(|| "-".to_owned(), |um| film_number(um, shown)),
    })
}

/// Where a clear coat lies on a bar of 0 to 60 µm.
fn bar(left: &Left) -> Value {
    // The middle half of a normal lies within 0.674 deviations.
    let at = |z: f64| share(left.mean + z * left.sd);
    json!({"low": at(-1.96), "from": at(-0.674), "at": share(left.mean), "to": at(0.674), "high": at(1.96)})
}

/// A place on the scale of clear coat, 0 to 1.
fn share(um: f64) -> f64 {
    (um / 60.0).clamp(0.0, 1.0)
}

/// What remains, as place, what and why; panels of which the same is said share
/// a line.
#[must_use]
pub fn remains(handed: &Handed, shown: Units) -> Vec<Value> {
    let said = handed.remains.iter().map(|r| {
        (
            called(handed, &r.panel),
            (in_units(&r.what, shown), in_units(&r.why, shown)),
        )
    });
    sharing(said)
        .into_iter()
        .map(|(places, (what, why))| json!({"place": places, "what": what, "why": why}))
        .collect()
}

/// A panel as the table of the record calls it: in the user's word, where the
/// job has one.
fn called(handed: &Handed, name: &str) -> String {
    let panel = handed.panels.iter().find(|p| p.name == name);
    panel.map_or_else(|| spoken(name), |p| p.spoken.clone())
}

/// Cautions as place and text, shared as [`remains`].
#[must_use]
pub fn cautions(handed: &Handed, shown: Units) -> Vec<Value> {
    let said = handed
        .cautions
        .iter()
        .map(|c| (capital(&c.place), in_units(&c.text, shown)));
    as_places(sharing(said))
}

/// What the walk round and the gauge found, as place and text.
#[must_use]
pub fn found(handed: &Handed, shown: Units) -> Vec<Value> {
    let marks = handed.found.iter().map(|m| {
        let parts = [&m.kind, &m.extent, &m.note];
        let said: Vec<&str> = parts
            .into_iter()
            .map(String::as_str)
            .filter(|p| !p.is_empty())
            .collect();
        (called(handed, &m.panel), sentence(&said.join(", ")))
    });
    let findings = handed.panels.iter().flat_map(|p| {
        p.findings
            .iter()
            .map(|f| (p.spoken.clone(), sentence(&in_units(f, shown))))
    });
    as_places(sharing(marks.chain(findings)))
}

/// What was done, as place and text; panels worked alike share a line.
#[must_use]
pub fn done(handed: &Handed) -> Vec<Value> {
    let worked = handed.panels.iter().filter_map(|panel| {
        let steps: Vec<String> = panel
            .done
            .iter()
            .filter(|s| s.sections_done > 0)
            .map(step)
            .collect();
        (!steps.is_empty()).then(|| (panel.spoken.clone(), sentence(&steps.join("; then "))))
    });
    as_places(sharing(worked))
}

/// Places of which the same is said, together, in the order they came.
fn sharing<T: PartialEq>(said: impl Iterator<Item = (String, T)>) -> Vec<(String, T)> {
    let mut list: Vec<(Vec<String>, T)> = Vec::new();
    for (place, text) in said {
        match list.iter_mut().find(|(_, known)| *known == text) {
            Some((places, _)) if places.contains(&place) => {}
            Some((places, _)) => places.push(place),
            None => list.push((vec![place], text)),
        }
    }
    list.into_iter()
        .map(|(places, text)| (places.join(", "), text))
        .collect()
}

fn as_places(list: Vec<(String, String)>) -> Vec<Value> {
    list.into_iter()
        .map(|(place, text)| json!({"place": place, "text": text}))
        .collect()
}

/// With a capital at its front and a full stop at its end.
fn sentence(text: &str) -> String {
    let end = if text.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    capital(text) + end
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + letters.as_str()
    })
}

fn step(step: &DoneStep) -> String {
    let part = if step.sections_done < step.sections {
        format!(", {} of {} sections", step.sections_done, step.sections)
    } else {
        String::new()
    };
    format!(
        "{} with {} on {}, {}, {} passes{part}",
        step.step, step.abrasive, step.pad, step.machine, step.passes
    )
}

fn care(care: &Care, from: Option<Day>) -> Value {
    let first = from.and_then(|day| day.later(i64::from(care.after_days)));
    let when = match (first, care.every_days) {
        (Some(day), None) => day.spoken(),
        (Some(day), Some(every)) => format!("from {}, then {}", day.spoken(), often(every)),
        (None, None) => format!("after {} days", care.after_days),
        (None, Some(every)) => often(every),
    };
    json!({"when": when, "what": care.what, "why": care.why})
}

fn often(days: u32) -> String {
    match days {
        14 => "every two weeks".to_owned(),
        120 => "every four months".to_owned(),
        days => format!("every {days} days"),
    }
}
