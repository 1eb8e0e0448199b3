//! The bench page: maps first, then words, sliders, charts and origins.
//!
//! Without a script the same form sends itself; with one, the parts between
//! the sliders are exchanged as the finger moves.
//! Checked by: `tests/web_bench.rs`, and by looking.

use lapwing_job::bench::BenchResult;
use lapwing_report::bench_page_pictures::{Look, heat_map, history, profile, removal_map};
use lapwing_report::figure::Theme;
use maud::{Markup, PreEscaped, html};

use super::super::numbers::Measure;
use super::super::page::{Page, number_pad, picture};
use super::super::refusal::{Refusal, at_form};
use super::super::the_line::{Line, Station};
use super::super::visitor::Visitor;
use super::super::words::{Message, bench as say, frame, jobs, stations};
use super::Room;
use super::of_job::{CHOICES, OfJob};
use super::pass::{
    ABRASIVES, Choice, KIND_NAMES, KINDS, PATTERNS, Pass, SLIDERS, SUBSTRATES, Slider,
};
use super::words;
use crate::failure::Failure;

/// The parts of the page that change with the sliders.
pub(super) struct Parts {
    pub(super) maps: Markup,
    pub(super) said: Markup,
    pub(super) more: Markup,
}

impl Parts {
    /// Maps and words alone, while the finger moves.
    pub(super) fn of_moving(
        visitor: &Visitor,
        (now, usual): (&BenchResult, &BenchResult),
        room: Room,
    ) -> Result<(Markup, Markup), Refusal> {
        Ok((
            maps(visitor, now, &look(visitor, room))?,
            said(visitor, now, usual),
        ))
    }

    /// Draws an answer beside the usual one.
    pub(super) fn draw(
        visitor: &Visitor,
        (now, usual): (&BenchResult, &BenchResult),
        room: Room,
    ) -> Result<Self, Refusal> {
        let look = look(visitor, room);
        let maps = maps(visitor, now, &look)?;
        let charts = html! {
            div.chart { (picture(&visitor.picture_told(&history(now, &look).map_err(ours)?))) }
            div.chart { (picture(&visitor.picture_told(&profile(now, &look).map_err(ours)?))) }
        };
        Ok(Self {
            maps,
            said: said(visitor, now, usual),
            more: more(visitor, (now, usual), &charts),
        })
    }
}

fn ours(sentence: String) -> Refusal {
    Failure::Ours(sentence).into()
}

fn look(visitor: &Visitor, room: Room) -> Look<'static> {
    Look {
        theme: Theme::LIGHT,
        units: visitor.figure_units(),
        map_px: room.map_px,
        chart_px: (room.chart_px, 240.0),
        walls_c: room.walls_c,
        summaries: ["", ""],
        words: words::of_pictures(visitor),
    }
}

fn maps(visitor: &Visitor, now: &BenchResult, look: &Look<'_>) -> Result<Markup, Refusal> {
    let summaries = words::summaries(visitor, now);
    let look = &Look {
        summaries: summaries.each_ref().map(String::as_str),
        ..*look
    };
    Ok(html! {
        div.map { (picture(&visitor.picture_told(&removal_map(now, look).map_err(ours)?))) }
        div.map { (picture(&visitor.picture_told(&heat_map(now, look).map_err(ours)?))) }
    })
}

fn said(visitor: &Visitor, now: &BenchResult, usual: &BenchResult) -> Markup {
    let clauses = words::differences(visitor, now, usual);
    let against = if clauses.is_empty() {
        visitor.say(say::AS_USUAL).to_owned()
    } else {
        visitor.fill(say::AGAINST_USUAL, &[&clauses.join(", ")])
    };
    let removal = &now.removal;
    let spread = visitor.fill(
        say::FROM_TO,
        &[
            &words::film(visitor, removal.interior_min_um),
            &words::film(visitor, removal.interior_max_um),
        ],
    );
    html! { (against) " " (spread) }
}

fn more(visitor: &Visitor, (now, usual): (&BenchResult, &BenchResult), charts: &Markup) -> Markup {
    html! {
        @for caution in &now.cautions {
            p.caution { b { (visitor.say(frame::CAUTION)) ". " }
                (visitor.told(caution.said.as_ref(), &caution.text)) }
        }
        table.numbers {
            caption.unseen { (visitor.say(say::NUMBERS)) }
            thead { tr { th scope="col" {} th scope="col" { (visitor.say(say::NOW)) } th scope="col" { (visitor.say(say::USUAL)) } } }
            tbody {
                @for (name, of_now, of_usual) in rows(visitor, now, usual) {
                    tr { th scope="row" { (visitor.say(name)) } td { b { (figure(&of_now)) } } td { (figure(&of_usual)) } }
                }
            }
        }
        (charts)
        (origins(visitor, now))
    }
}

/// Name, now, usual; a line break parts a figure from its range.
type Row = (Message, String, String);

fn rows(v: &Visitor, now: &BenchResult, usual: &BenchResult) -> Vec<Row> {
    let row = |name: Message, of: &dyn Fn(&BenchResult) -> String| (name, of(now), of(usual));
    let film = |um: f64| words::film(v, um);
    let above = |r: &BenchResult| {
        let of_60 = r.heat.seconds_above.iter().find(|a| a.limit_c > 59.0);
        v.with_unit(Measure::Seconds, of_60.map_or(0.0, |a| a.max_s))
    };
    vec![
        row(say::MIDDLE, &|r| ranged(v, r)),
        row(say::LEAST, &|r| film(r.removal.interior_min_um)),
        row(say::MOST, &|r| film(r.removal.max_um)),
        row(say::HOTTEST, &|r| {
            v.with_unit(Measure::Temperature, r.heat.peak_c)
        }),
        row(say::ABOVE_60, &above),
        row(say::TIME, &|r| {
            v.with_unit(Measure::Minutes, r.time_s / 60.0)
        }),
        row(say::PRESSURE, &|r| {
            format!("{}\u{a0}kPa", v.number(r.pressure.max_kpa, 1))
        }),
        row(say::TOUCHING, &|r| {
            v.with_unit(Measure::Percent, 100.0 * r.pressure.contact_frac)
        }),
    ]
}

/// "2.7 µm (1.4 to 5.4)": the middle with the range of an assumed cut rate.
fn ranged(v: &Visitor, result: &BenchResult) -> String {
    let removal = &result.removal;
    let mean = words::film(v, removal.interior_mean_um);
    if removal.interior_upper_um <= removal.interior_lower_um {
        return mean;
    }
    let low = v.bare(Measure::Film, removal.interior_lower_um);
    let high = v.bare(Measure::Film, removal.interior_upper_um);
    format!("{mean}\n({})", v.fill(say::TO, &[&low, &high]))
}

/// A figure with its range in small type.
fn figure(text: &str) -> Markup {
    let (value, range) = text.split_once('\n').unwrap_or((text, ""));
    html! { (value) @if !range.is_empty() { " " small { (range) } } }
}

fn origins(visitor: &Visitor, now: &BenchResult) -> Markup {
    html! {
        details.origins {
            summary { (visitor.say(say::ORIGINS)) }
            table.plain lang="en" {
                @for origin in &now.provenance {
                    tr {
                        th scope="row" { (origin.key) }
                        td { (origin.value) }
                        td.mark { (PreEscaped(lapwing_report::figure::mark(origin.provenance, 15.0, Theme::LIGHT.ink2))) (origin.provenance.word()) }
                    }
                }
            }
        }
    }
}

/// The whole page.
pub(super) fn page(
    visitor: &Visitor,
    (pass, job, fault): (&Pass, Option<&OfJob>, Option<&str>),
    parts: &Parts,
) -> Markup {
    let beside = visitor.fill(
        say::ONE_SECTION,
        &[&visitor.with_unit(Measure::Length, pass.value(9))],
    );
    let home = job.map_or_else(|| "/bench".to_owned(), OfJob::address);
    let page = Page {
        title: visitor.say(frame::BENCH),
        beside: &beside,
        path: &home,
        line: Some(job.map_or_else(|| Line::of_pages(Station::Forecast), |job| job.line.clone())),
        modules: &["bench.js"],
        styles: &["bench.css"],
    };
    let body = html! {
        @if let Some(fault) = fault { (at_form(fault)) }
        @if let Some(job) = job { (from_job(visitor, job)) }
        form #bench.bench method="get" action="/bench" data-stale=(visitor.say(say::WORKING)) {
            @if let Some(job) = job {
                input type="hidden" name="job" value=(job.id);
                @for (key, word) in CHOICES.iter().zip(&job.chosen) {
                    @if !word.is_empty() { input type="hidden" name=(key) value=(word); }
                }
            }
            section.answer aria-label=(visitor.say(say::ANSWER)) {
                div.maps data-part="maps" { (parts.maps) }
                p.said data-part="said" role="status" { (parts.said) }
            }
            fieldset.sliders {
                legend.unseen { (visitor.say(say::PASS)) }
                (choices(visitor, pass))
                @for (at, slider) in SLIDERS.iter().enumerate() { (one(visitor, pass, at, slider)) }
                p.key { span.usual-key {} (visitor.say(say::USUAL)) }
                div.deeds {
                    button.no-script { (visitor.say(say::WORK_OUT)) }
                    a.button.quiet href=(home) { (visitor.say(say::RESET)) }
                }
            }
            section.more data-part="more" aria-label=(visitor.say(say::MORE)) { (parts.more) }
        }
    };
    page.around(visitor, &html! { (body) (number_pad(visitor)) })
}

/// What the job brings: choosing another panel or tool fills the sliders anew.
fn from_job(visitor: &Visitor, job: &OfJob) -> Markup {
    let names = [
        jobs::PANEL,
        stations::MACHINE,
        stations::PAD,
        stations::ABRASIVE,
    ];
    let lists = CHOICES
        .iter()
        .zip(names)
        .zip(job.lists.iter().zip(&job.chosen));
    html! {
        p.back { a href=(format!("/jobs/{}", job.id)) { (visitor.fill(say::BACK_TO, &[&job.name])) } }
        form.from-job method="get" action="/bench" {
            input type="hidden" name="job" value=(job.id);
            div.choices {
                @for ((key, name), (list, chosen)) in lists {
                    @if !list.is_empty() {
                        label { span { (visitor.say(name)) } select name=(key) {
                            @for (word, shown) in list { option value=(word) selected[word == chosen] { (shown) } } } }
                    }
                }
            }
            button.no-script { (visitor.say(say::FILL)) }
            p.note { (visitor.say(say::FROM_JOB)) " "
                @match job.base.clear_um() {
                    Some(um) => (visitor.fill(say::CLEAR_THERE, &[&visitor.with_unit(Measure::Film, um)])),
                    None => (visitor.say(say::CLEAR_UNKNOWN)),
                } }
        }
    }
}

fn choices(visitor: &Visitor, pass: &Pass) -> Markup {
    let kind = KINDS.iter().find(|(_, k)| *k == pass.kind);
    let kind = kind.map_or("rotary", |(word, _)| word);
    html! {
        div.choices {
            (select(visitor, ("kind", say::MACHINE), &KIND_NAMES, kind))
            (select(visitor, ("substrate", say::UNDER), &SUBSTRATES, pass.substrate))
            (select(visitor, ("abrasive", say::ABRASIVE), &ABRASIVES, pass.abrasive))
            (select(visitor, ("pattern", say::PATTERN), &PATTERNS, pass.pattern))
        }
    }
}

fn select(
    visitor: &Visitor,
    (key, label): (&str, Message),
    choices: &[Choice],
    chosen: &str,
) -> Markup {
    html! {
        label { span { (visitor.say(label)) }
            select name=(key) {
                @for (word, name) in choices {
                    option value=(word) selected[*word == chosen]
                        data-speeds=[speeds(word)] { (visitor.say(*name)) }
                }
            }
        }
    }
}

/// Least, most and usual speed of a machine kind, for the script.
fn speeds(word: &str) -> Option<String> {
    let (_, kind) = KINDS.iter().find(|(w, _)| *w == word)?;
    let (low, high, usual) = kind.speeds_rpm();
    Some(format!("{low} {high} {usual}"))
}

fn one(visitor: &Visitor, pass: &Pass, at: usize, slider: &Slider) -> Markup {
    let field = &slider.field;
    let shown = field.measure.shown(visitor.units);
    let value = pass.value(at);
    let (low, high) = if field.key == "speed_rpm" {
        let (low, high, _) = pass.kind.speeds_rpm();
        (low.min(value), high.max(value))
    } else {
        field.range
    };
    let name = visitor.say(field.label);
    html! {
        div.slider hidden[!pass.has(at)]
            data-factor=(shown.factor) data-offset=(shown.offset) data-digits=(shown.digits)
            data-unit=(shown.unit) data-usual=(pass.usual_value(at)) {
            label for=(field.key) { (name) }
            output for=(field.key) data-pad=(visitor.fill(frame::TYPE_NUMBER, &[name])) {
                b { (visitor.bare(field.measure, value)) } " " small { (shown.unit) }
            }
            div.track {
                span.usual aria-hidden="true" {}
                input type="range" id=(field.key) name=(field.key) min=(low) max=(high)
                    step=(slider.step) value=(value);
            }
        }
    }
}
