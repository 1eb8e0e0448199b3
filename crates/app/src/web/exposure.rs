//! The day's dose: machines used, one row each, to vibration and noise.
//!
//! The rows become the text of a day file, the same that `lapwing exposure`
//! reads.
//! Checked by: `tests/web_exposure.rs`.

use std::fmt::Write as _;

use axum::extract::rejection::StringRejection;
use axum::response::{IntoResponse, Response};
use lapwing_job::exposure::DayExposure;
use maud::{Markup, html};

use super::api;
use super::fields::{Fields, NumberField, number, short};
use super::numbers::Measure;
use super::page::Page;
use super::refusal::Refusal;
use super::the_line::{Line, Station};
use super::visitor::Visitor;
use super::words::{Message, exposure as say, frame};
use crate::commands;

/// Most machines of a day on the page.
const MOST_USES: usize = 12;

const VIBRATION: NumberField = field("vibration_m_s2", say::VIBRATION, Measure::Vibration, 60.0);
const UNSURE: NumberField = field("unsure_m_s2", say::UNSURE, Measure::Vibration, 30.0);
const NOISE: NumberField = field("noise_db", say::NOISE, Measure::Noise, 140.0);
const MINUTES: NumberField = field("minutes", say::MINUTES, Measure::Minutes, 1440.0);

const fn field(key: &'static str, label: Message, measure: Measure, most: f64) -> NumberField {
    NumberField {
        key,
        label,
        measure,
        range: (0.0, most),
    }
}

/// One row as it came, as text.
#[derive(Clone, Default)]
struct Row {
    what: String,
    numbers: [String; 4],
}

/// A day to look at before one's own is typed in. Invented.
const EXAMPLE: [(&str, [&str; 4]); 3] = [
    ("vacuum cleaner", ["1.0", "0.5", "86", "30"]),
    ("big rotary", ["3.5", "1.5", "84", "35"]),
    ("long orbital", ["5.2", "1.5", "82", "50"]),
];

/// `GET /exposure`: the rows and what they come to.
pub(crate) async fn show(visitor: Visitor, fields: Fields) -> Result<Response, Refusal> {
    let came = rows(&fields);
    let is_example = came.is_empty();
    let rows = if is_example { example(&visitor) } else { came };
    let is_cautious = fields.word(
        ("rule", say::RULE),
        &[("cautious", true), ("as-it-stands", false)],
        true,
        &visitor,
    )?;
    let day = Day {
        rows: &rows,
        is_example,
        is_cautious,
    };
    let dose = day_file(&rows, is_cautious, &visitor)
        .and_then(|text| Ok(commands::exposure::answer("day", &text)?));
    match dose {
        Ok(dose) => Ok(page(&visitor, &day, Ok(&dose)).into_response()),
        Err(refusal) => {
            let page = page(&visitor, &day, Err(&refusal.sentence));
            Ok(refusal.at_the_form(page))
        }
    }
}

/// `POST /api/exposure`: a day file in, the document of the command line out.
pub(crate) async fn api(body: Result<String, StringRejection>) -> Result<Response, Refusal> {
    let text = api::text(body)?;
    let dose = commands::exposure::answer("day", &text)?;
    api::answer(&commands::exposure::document(&dose)?)
}

fn rows(fields: &Fields) -> Vec<Row> {
    let column = |key: &'static str| -> Vec<&str> { fields.all(key).collect() };
    let what = column("what");
    let numbers = [VIBRATION, UNSURE, NOISE, MINUTES].map(|f| column(f.key));
    let count = numbers.iter().map(Vec::len).chain([what.len()]).max();
    let cell = |list: &[&str], i: usize| list.get(i).map_or(String::new(), |t| (*t).to_owned());
    (0..count.unwrap_or(0).min(MOST_USES))
        .map(|i| Row {
            what: cell(&what, i),
            numbers: [0, 1, 2, 3].map(|n| cell(&numbers[n], i)),
        })
        .filter(|row| !row.what.is_empty() || row.numbers.iter().any(|n| !n.is_empty()))
        .collect()
}

fn example(visitor: &Visitor) -> Vec<Row> {
    EXAMPLE
        .iter()
        .map(|(what, numbers)| Row {
            what: (*what).to_owned(),
            numbers: numbers.map(|n| match visitor.language {
                super::words::Language::German => n.replace('.', ","),
                super::words::Language::English => n.to_owned(),
            }),
        })
        .collect()
}

/// What the page shows of a day.
struct Day<'a> {
    rows: &'a [Row],
    is_example: bool,
    is_cautious: bool,
}

/// The day file. As on the command line an empty uncertainty is the usual one
/// of the reader; nothing else may be left out, for empty is not 0.
fn day_file(rows: &[Row], is_cautious: bool, visitor: &Visitor) -> Result<String, Refusal> {
    let rule = if is_cautious {
        "cautious"
    } else {
        "as-it-stands"
    };
    let mut text = format!("rule = \"{rule}\"\n");
    for (no, row) in rows.iter().enumerate() {
        let value = |at: usize, field: &NumberField| match row.numbers[at].as_str() {
            "" => {
                let machine = (no + 1).to_string();
                let parts = [machine.as_str(), visitor.say(field.label)];
                Err(Refusal::input(visitor.fill(say::EMPTY, &parts)))
            }
            came => number(came, field, visitor),
        };
        let shakes = value(0, &VIBRATION)?;
        let unsure = match row.numbers[1].as_str() {
            "" => String::new(),
            _ => format!("vibration_uncertainty = \"{} m/s2\"\n", value(1, &UNSURE)?),
        };
        let (noise, minutes) = (value(2, &NOISE)?, value(3, &MINUTES)?);
        let _ = write!(
            text,
            "\n[[use]]\nwhat = {}\nvibration = \"{shakes} m/s2\"\n{unsure}noise = \"{noise} dB\"\ntime = \"{minutes} min\"\n",
            quoted(&row.what)
        );
    }
    Ok(text)
}

/// A word as a TOML string; a JSON string is one, once no raw control sign is
/// left in it.
fn quoted(what: &str) -> String {
    let plain: String = short(what).chars().filter(|c| !c.is_control()).collect();
    serde_json::Value::String(plain).to_string()
}

fn page(visitor: &Visitor, day: &Day<'_>, dose: Result<&DayExposure, &str>) -> Markup {
    let page = Page {
        title: visitor.say(frame::EXPOSURE),
        beside: visitor.say(say::BESIDE),
        path: "/exposure",
        line: Some(Line::of_pages(Station::Work)),
        modules: &[],
        styles: &["tools.css"],
    };
    let body = html! {
        div.wide.two {
            section.sums aria-label=(visitor.say(say::SUMS)) {
                @match dose {
                    Err(sentence) => p.fault role="alert" { (visitor.text_told(sentence)) },
                    Ok(dose) => {
                        (figures(visitor, dose))
                        @for caution in &dose.cautions {
                            p.caution { b { (visitor.say(frame::CAUTION)) ". " } (visitor.told(caution.said.as_ref(), &caution.text)) }
                        }
                        p.note { (visitor.say(say::RULE)) ": " (visitor.say(if day.is_cautious { say::CAUTIOUS } else { say::AS_IT_STANDS })) "." }
                    }
                }
            }
            form.uses method="get" action="/exposure" {
                @if day.is_example { p.note { (visitor.say(say::EXAMPLE)) } }
                @for (i, row) in day.rows.iter().chain([Row::default()].iter()).enumerate().take(MOST_USES) {
                    (use_row(visitor, i, row))
                }
                label { span { (visitor.say(say::RULE)) }
                    select name="rule" {
                        option value="cautious" selected[day.is_cautious] { (visitor.say(say::CAUTIOUS)) }
                        option value="as-it-stands" selected[!day.is_cautious] { (visitor.say(say::AS_IT_STANDS)) }
                    }
                }
                button.main-deed { (visitor.say(say::ADD_UP)) }
            }
        }
    };
    page.around(visitor, &body)
}

fn use_row(visitor: &Visitor, at: usize, row: &Row) -> Markup {
    let number = (at + 1).to_string();
    let fields = [&VIBRATION, &UNSURE, &NOISE, &MINUTES];
    html! {
        fieldset.use {
            legend { (visitor.fill(say::MACHINE_NO, &[&number])) }
            label.what { span { (visitor.say(say::WHAT)) }
                input type="text" name="what" value=(row.what) maxlength="40" autocomplete="off"; }
            @for (field, value) in fields.iter().zip(&row.numbers) {
                label { span { (visitor.say(field.label)) ", " (field.measure.shown(visitor.units).unit) }
                    input type="text" inputmode="decimal" name=(field.key) value=(value) autocomplete="off"; }
            }
        }
    }
}

fn figures(visitor: &Visitor, dose: &DayExposure) -> Markup {
    let limit = if dose.limit_value_reached {
        Some(say::LIMIT_REACHED)
    } else if dose.action_value_reached {
        Some(say::ACTION_REACHED)
    } else {
        None
    };
    let minutes = |value: Option<f64>| {
        value.map_or_else(
            || visitor.say(say::NO_LIMIT).to_owned(),
            |m| format!("{}\u{a0}min", visitor.number(m, 0)),
        )
    };
    let noise = dose.noise_lex8h_db.map_or_else(
        || "–".to_owned(),
        |db| visitor.with_unit(Measure::Noise, db),
    );
    html! {
        dl.figures {
            div { dt { (visitor.say(say::HANDS)) }
                dd { (visitor.with_unit(Measure::Vibration, dose.a8_m_s2))
                    small { (visitor.fill(say::POINTS, &[&visitor.number(dose.points, 0)])) } } }
            div { dt { (visitor.say(say::EARS)) }
                dd { (noise) small { (visitor.fill(say::DOSES, &[&visitor.number(dose.noise_dose_niosh_pct, 0), &visitor.number(dose.noise_dose_osha_pct, 0)])) } } }
            div { dt { (visitor.say(say::LEFT)) }
                dd { (minutes(dose.minutes_left_to_action_value))
                    small { (visitor.fill(say::FROM_NOUGHT, &[&minutes(dose.minutes_to_action_value)])) } } }
        }
        @if let Some(words) = limit { p.fault role="status" { (visitor.say(words)) } }
        (bar(visitor, dose.points))
    }
}

/// The day's points on a track with both walls: 100 and 400 points.
fn bar(visitor: &Visitor, points: f64) -> Markup {
    let shown = visitor.number(points, 0);
    let words = visitor.fill(say::BAR, &[&shown]);
    let along = |p: f64| format!("{:.1}", 4.0 + 352.0 * (p / 450.0).clamp(0.0, 1.0));
    html! {
        svg.dose viewBox="0 0 360 64" role="img" aria-label=(words) {
            rect x="4" y="24" width="352" height="16" fill="#e4eae7" stroke="#768384" stroke-width="1" {}
            rect x="4" y="24" width=(format!("{:.1}", 352.0 * (points / 450.0).clamp(0.0, 1.0))) height="16" fill="#0f2429" {}
            @for (at, name) in [(100.0, say::ACTION), (400.0, say::LIMIT)] {
                path d=(format!("M{0} 16V48", along(at))) stroke="#922022" stroke-width="5" fill="none" {}
                text x=(along(at)) y="11" font-size="13" text-anchor="middle" fill="#922022" { (visitor.say(name)) }
                text x=(along(at)) y="62" font-size="13" text-anchor="middle" fill="#3e5257" { (visitor.number(at, 0)) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderMap;
    use lapwing_job::exposure::read_day;

    #[test]
    fn any_word_for_a_machine_makes_a_day_the_reader_takes() {
        let visitor = Visitor::of(&HeaderMap::new());
        for what in [
            "\"",
            "\\",
            "\n[[use]]",
            "\u{7f}\u{0}",
            "#",
            "Ünal's \u{202e}",
        ] {
            let row = Row {
                what: what.to_owned(),
                numbers: ["4", "1,5", "86", "60"].map(str::to_owned),
            };
            let text = day_file(&[row], true, &visitor).expect("numbers are good");
            let day = read_day("day", &text).expect("the reader takes it");
            assert_eq!(day.uses.len(), 1, "{text}");
        }
    }
}
