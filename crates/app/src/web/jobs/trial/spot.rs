//! The pass of a test spot: chosen from the shop's kit, or from the usual
//! classes where the job has no kit yet; written as `lapwing trial` reads it.
//!
//! Source: speeds, forces and sizes of the usual kit are common practice and
//! assumed; those of a job's kit are the shop's own.
//! Checked by: the tests below and `tests/web_trial.rs`.

use std::fmt::Write as _;

use lapwing_job::record::job::{AbrasiveClass, Job, MachineKind, PadClass, Substrate};
use lapwing_job::record::read::read_job;
use maud::{Markup, html};
use serde_json::{Value, json};
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::force::newton;
use uom::si::length::{micrometer, millimeter};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::super::super::entry::{entered, entry, units_field};
use super::super::super::fields::{Fields, NumberField};
use super::super::super::numbers::Measure;
use super::super::super::page::edit_fields;
use super::super::super::refusal::Refusal;
use super::super::super::visitor::Visitor;
use super::super::super::words::{Message, jobs as jobs_say, stations as say};
use super::super::Kept;
use super::super::intake::panel_choice;

/// A test spot as the job's document holds it.
pub(super) struct Spot {
    pub(super) panel: String,
    setup: Value,
}

/// A name with the values behind it.
type Tool = (String, Value);

/// What can be chosen: machines, pads, abrasives.
struct Kit([Vec<Tool>; 3]);

/// Numbers of the pass: key, name, measure, range, usual.
type Entry = (&'static str, Message, Measure, (f64, f64), f64);

const ENTRIES: [Entry; 6] = [
    (
        "speed_rpm",
        say::SPEED,
        Measure::Turns,
        (300.0, 8000.0),
        1400.0,
    ),
    ("arm_mm_s", say::ARM, Measure::ArmSpeed, (5.0, 200.0), 40.0),
    ("passes", say::PASSES, Measure::Count, (1.0, 24.0), 4.0),
    (
        "section_mm",
        say::SECTION,
        Measure::Length,
        (200.0, 800.0),
        450.0,
    ),
    ("gauge_um", say::GAUGE, Measure::Film, (0.1, 5.0), 1.0),
    ("took_min", say::TOOK, Measure::Minutes, (0.0, 60.0), 0.0),
];

const DEFECTS: [(&str, Message); 3] = [
    ("light-swirls", say::LIGHT_SWIRLS),
    ("wash-swirls", say::WASH_SWIRLS),
    ("deep-scratches", say::DEEP_SCRATCHES),
];
const BEHAVIOURS: [(&str, Message); 4] = [
    ("soft", say::SOFT),
    ("medium", say::MIDDLING),
    ("hard", say::HARD),
    ("sticky", say::STICKY),
];
const LISTS: [(&str, Message); 3] = [
    ("machine", say::MACHINE),
    ("pad", say::PAD),
    ("abrasive", say::ABRASIVE),
];

impl Kit {
    fn of(job: Option<&Job>) -> Self {
        match job {
            Some(job) if !job.kit.machines.is_empty() => Self::of_job(job),
            _ => Self::usual(),
        }
    }

    fn of_job(job: &Job) -> Self {
        let machines = job.kit.machines.iter().map(|m| {
            let turns = m.speeds.last().map_or(1400.0, |s| s.get::<revolution_per_minute>());
            // Kept in radians a second, 1400 comes back as 1399.999….
            let speed = (10.0 * turns).round() / 10.0;
            (
                m.name.clone(),
                json!({ "kind": m.kind.word(), "orbit_mm": m.orbit.get::<millimeter>(),
                    "spin_rpm": m.spin.get::<revolution_per_minute>(), "force_n": m.force.get::<newton>(),
                    "usual_rpm": speed }),
            )
        });
        let pads = job.kit.pads.iter().map(|p| {
            (
                p.name.clone(),
                json!({ "class": p.class.word(), "pad_mm": p.diameter.get::<millimeter>(),
                    "hole_mm": p.hole.get::<millimeter>() }),
            )
        });
        let abrasives = job.kit.abrasives.iter();
        let abrasives = abrasives.map(|a| (a.name.clone(), json!({ "class": a.class.word() })));
        Self([machines.collect(), pads.collect(), abrasives.collect()])
    }

    fn usual() -> Self {
        let machine = |kind: MachineKind, rpm: f64, orbit_mm: f64, spin_rpm: f64| {
            let values = json!({ "kind": kind.word(), "orbit_mm": orbit_mm, "spin_rpm": spin_rpm,
                "force_n": 40.0, "usual_rpm": rpm });
            (kind.word().to_owned(), values)
        };
        let pad = |(word, _): &(&str, PadClass)| {
            let values = json!({ "class": word, "pad_mm": 140.0, "hole_mm": 0.0 });
            ((*word).to_owned(), values)
        };
        let abrasive =
            |(word, _): &(&str, AbrasiveClass)| ((*word).to_owned(), json!({ "class": word }));
        Self([
            vec![
                machine(MachineKind::RandomOrbital, 4200.0, 15.0, 250.0),
                machine(MachineKind::Rotary, 1400.0, 0.0, 0.0),
                machine(MachineKind::ForcedRotation, 5000.0, 8.0, 320.0),
            ],
            PadClass::WORDS.iter().map(pad).collect(),
            AbrasiveClass::WORDS.iter().map(abrasive).collect(),
        ])
    }
}

fn job_of(kept: &Kept) -> Option<Job> {
    let text = kept.film_text();
    let read = read_job("job.toml", &text)
        .ok()
        .filter(|_| !text.is_empty());
    read.map(|(job, _)| job)
}

impl Spot {
    /// The spot of a job, once it was set up.
    pub(super) fn of(kept: &Kept) -> Option<Self> {
        let setup = kept.document.pointer("/trial/setup")?;
        Some(Self {
            panel: setup["panel"].as_str().unwrap_or_default().to_owned(),
            setup: setup.clone(),
        })
    }

    fn number(&self, key: &str) -> f64 {
        self.setup[key].as_f64().unwrap_or_default()
    }

    fn word(&self, key: &str) -> &str {
        self.setup[key].as_str().unwrap_or_default()
    }

    /// The text that `lapwing trial` reads; `film` is the panel's part of the
    /// film document.
    pub(super) fn text(&self, kept: &Kept, film: Option<&Value>) -> String {
        let mut text = format!(
            "[gauge]\nrepeatability = \"{} um\"\n\n",
            self.number("gauge_um")
        );
        self.write_setup(&mut text, job_of(kept).as_ref());
        let _ = write!(
            text,
            "\n[kit]\npad = \"{}\"\nabrasive = \"{}\"\n\n[paint]\ndefects = \"{}\"\nbehaviour = \"{}\"\n",
            self.word("pad_class"),
            self.word("abrasive_class"),
            self.word("defects"),
            self.word("behaviour"),
        );
        let um = |place: &str| film.and_then(|f| f.pointer(place)).and_then(Value::as_f64);
        let lines = [
            ("budget", um("/budget_um")),
            ("clear_left", um("/clear_left_um/mean")),
            ("clear_left_sd", um("/clear_left_um/sd")),
        ];
        text.push_str("\n[film]\n");
        for (key, um) in lines {
            if let Some(um) = um.filter(|um| *um >= 0.0) {
                let _ = writeln!(text, "{key} = \"{um:.3} um\"");
            }
        }
        if self.number("took_min") > 0.0 {
            let _ = write!(
                text,
                "\n[measured]\ntime = \"{} s\"\n",
                60.0 * self.number("took_min")
            );
        }
        for (_, pair) in kept.entries("/trial/pairs") {
            let um = |key: &str| pair[key].as_f64().unwrap_or_default();
            let _ = write!(
                text,
                "\n[[reading]]\nbefore = \"{:.3} um\"\nafter = \"{:.3} um\"\n",
                um("before_um"),
                um("after_um")
            );
        }
        text
    }

    fn write_setup(&self, text: &mut String, job: Option<&Job>) {
        let panel = job.and_then(|job| job.panels.iter().find(|p| p.name == self.panel));
        let under = panel.map_or(Substrate::Steel, |p| p.substrate);
        let kind = self.word("kind");
        let is_rotary = kind == MachineKind::Rotary.word();
        let turns = if is_rotary { "rpm" } else { "opm" };
        let _ = write!(
            text,
            "[setup]\nsubstrate = \"{}\"\nmachine = \"{kind}\"\nspeed = \"{} {turns}\"\npad = \"{} mm\"\nforce = \"{} N\"\narm_speed = \"{} mm/s\"\noverlap = 0.5\npasses = {}\nsection = [\"{s} mm\", \"{s} mm\"]\n",
            under.word(),
            self.number("speed_rpm"),
            self.number("pad_mm"),
            self.number("force_n"),
            self.number("arm_mm_s"),
            self.number("passes"),
            s = self.number("section_mm"),
        );
        if !is_rotary {
            let _ = write!(
                text,
                "orbit = \"{} mm\"\nspin = \"{} rpm\"\n",
                self.number("orbit_mm"),
                self.number("spin_rpm")
            );
        }
        if self.number("hole_mm") > 0.0 {
            let _ = writeln!(text, "hole = \"{} mm\"", self.number("hole_mm"));
        }
        if let Some(job) = job {
            let start = job.rules.start_temperature.get::<degree_celsius>();
            let _ = writeln!(text, "start_temperature = \"{start} °C\"");
        }
    }
}

fn field_of((key, label, measure, range, _): &Entry) -> NumberField {
    NumberField {
        key,
        label: *label,
        measure: *measure,
        range: *range,
    }
}

/// The form of the pass.
pub(super) fn form(visitor: &Visitor, kept: &Kept, spot: Option<&Spot>) -> Result<Markup, Refusal> {
    let job = job_of(kept);
    let kit = Kit::of(job.as_ref());
    let chosen = |key: &str| spot.map_or("", |spot| spot.word(key));
    let gauge_um = job
        .as_ref()
        .and_then(|j| j.gauge_repeatability)
        .map(|r| r.get::<micrometer>());
    let first_rpm = kit.0[0].first().and_then(|(_, m)| m["usual_rpm"].as_f64());
    let value = |(key, _, _, _, usual): &Entry| {
        let usual = match *key {
            "gauge_um" => gauge_um.unwrap_or(*usual),
            "speed_rpm" => first_rpm.unwrap_or(*usual),
            _ => *usual,
        };
        spot.map_or(usual, |spot| spot.number(key))
    };
    let behaviour = job.as_ref().map_or("medium", |j| j.car.behaviour.word());
    Ok(html! {
        form.reading-form method="post" action=(format!("/jobs/{}/trial", kept.id)) {
            (edit_fields(kept.version)) (units_field(visitor))
            input type="hidden" name="deed" value="setup";
            (panel_choice(visitor, kept))
            @for ((key, label), list) in LISTS.iter().zip(&kit.0) {
                label { span { (visitor.say(*label)) } select name=(key) {
                    @for (name, values) in list { option value=(name) selected[name == chosen(key)] data-rpm=[values["usual_rpm"].as_f64()] { (name) } } } }
            }
            div.pair {
                @for one in &ENTRIES { (entry(visitor, &field_of(one), Some(value(one)))) }
                (words(visitor, ("defects", say::DEFECTS), &DEFECTS, spot.map_or("wash-swirls", |s| s.word("defects"))))
                (words(visitor, ("behaviour", say::BEHAVIOUR), &BEHAVIOURS, spot.map_or(behaviour, |s| s.word("behaviour"))))
            }
            @if job.as_ref().is_none_or(|j| j.kit.machines.is_empty()) { p.note { (visitor.say(say::USUAL_KIT)) } }
            button { (visitor.say(say::SET_UP)) }
        }
    })
}

fn words(
    visitor: &Visitor,
    (key, label): (&str, Message),
    list: &[(&str, Message)],
    now: &str,
) -> Markup {
    html! {
        label { span { (visitor.say(label)) } select name=(key) {
            @for (word, name) in list { option value=(word) selected[*word == now] { (visitor.say(*name)) } } } }
    }
}

/// The setup that a form holds.
pub(super) fn read(fields: &Fields, kept: &Kept, visitor: &Visitor) -> Result<Value, Refusal> {
    let panel = super::super::intake::known_panel(kept, fields, visitor)?;
    let kit = Kit::of(job_of(kept).as_ref());
    let mut setup = json!({ "panel": panel });
    for ((key, label), list) in LISTS.iter().zip(&kit.0) {
        let came = fields.text(key).unwrap_or_default();
        let (name, values) = list.iter().find(|(name, _)| name == came).ok_or_else(|| {
            let short = super::super::super::fields::short(came);
            Refusal::input(visitor.fill(say::NOT_IN_KIT, &[visitor.say(*label), &short]))
        })?;
        setup[*key] = json!(name);
        for (field, value) in values.as_object().into_iter().flatten() {
            let field = if field == "class" {
                format!("{key}_class")
            } else {
                field.clone()
            };
            setup[field] = value.clone();
        }
    }
    for one in &ENTRIES {
        setup[one.0] = json!(entered(fields, &field_of(one), one.4, visitor)?);
    }
    setup["passes"] = json!(setup["passes"].as_f64().unwrap_or(4.0).round());
    let words = |list: &'static [(&'static str, Message)]| -> Vec<(&str, &'static str)> {
        list.iter().map(|(w, _)| (*w, *w)).collect()
    };
    let defects = words(&DEFECTS);
    let behaviours = words(&BEHAVIOURS);
    setup["defects"] =
        json!(fields.word(("defects", say::DEFECTS), &defects, "wash-swirls", visitor)?);
    setup["behaviour"] = json!(fields.word(
        ("behaviour", jobs_say::KIND),
        &behaviours,
        "medium",
        visitor
    )?);
    Ok(setup)
}

#[cfg(test)]
mod tests {
    use super::*;
    use lapwing_job::record::job::{Behaviour, Defects};

    #[test]
    fn every_word_of_the_page_is_a_word_of_the_trial() {
        assert!(
            Defects::WORDS
                .iter()
                .map(|(w, _)| *w)
                .eq(DEFECTS.iter().map(|(w, _)| *w))
        );
        assert!(
            Behaviour::WORDS
                .iter()
                .map(|(w, _)| *w)
                .eq(BEHAVIOURS.iter().map(|(w, _)| *w))
        );
    }
}
