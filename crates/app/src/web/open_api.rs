//! `GET /api/openapi.json`: what programs may ask, written from the table of
//! addresses.
//!
//! Source: OpenAPI Specification 3.1.0.
//! Left out: pages for people; the shape of each answer, which the command
//! line's `--json` documents.
//! Checked by: `tests/web_openapi.rs`, and a generator of hostile requests in
//! `./check`.

use axum::response::Response;
use serde_json::{Map, Value, json};

use super::api;
use super::example;
use super::refusal::Refusal;
use super::routes::Door;
use super::table::pages;

/// What a line of the table takes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Question {
    summary: &'static str,
    takes: Takes,
    asking: &'static [Field],
}

/// A field's name and an example of it.
type Field = (&'static str, &'static str);

#[derive(Clone, Copy, Debug)]
enum Takes {
    Nothing,
    Text(&'static str),
    Form(&'static [Field]),
    Files(&'static [Field]),
}

/// Who is signed in.
pub(crate) const SESSION: Question = Question::new(
    "Who is signed in, and the form token that changes take.",
    Takes::Nothing,
);
/// A pass on paper.
pub(crate) const BENCH: Question = Question::new(
    "A pass on paper: a setup as TOML in, what it takes off and how hot it gets out.",
    Takes::Text(include_str!(
        "../../../../examples/bench/rotary-on-steel.toml"
    )),
);
/// A day's dose.
pub(crate) const DAY: Question = Question::new(
    "The day's dose: a day as TOML in, the dose out.",
    Takes::Text(include_str!("../../../../examples/day.toml")),
);
/// Film statistics and budget.
pub(crate) const FILM: Question = Question {
    summary: "Film: a table of readings as CSV in, statistics, clear left and budget out.",
    takes: Takes::Text(example::READINGS),
    asking: &[("system", "basecoat-clear"), ("substrate", "steel")],
};
/// A whole plan.
pub(crate) const PLAN: Question = Question::new(
    "The plan: job file and readings in, the plan out.",
    Takes::Files(&[("job", example::JOB), ("readings", example::READINGS)]),
);
/// A new job.
pub(crate) const OPEN: Question = Question::new(
    "Opens a job.",
    Takes::Form(&[
        ("edit", ""),
        ("name", "Grey hatch"),
        ("car", "invented"),
        ("class", "hatchback"),
    ]),
);
/// A mark of the walk-round.
pub(crate) const MARK: Question = Question::new(
    "Makes a mark of the walk-round, or removes one.",
    Takes::Form(&[
        ("edit", ""),
        ("saw", "1"),
        ("panel", "bonnet"),
        ("kind", "chip"),
        ("extent", "spot"),
        ("note", "by the badge"),
        ("remove", ""),
    ]),
);
/// The wash list.
pub(crate) const WASH: Question = Question::new(
    "Ticks a point of the wash list.",
    Takes::Form(&[
        ("edit", ""),
        ("saw", "1"),
        ("item", "clay"),
        ("minutes", "40"),
        ("amount", "50"),
        ("is_done", "yes"),
    ]),
);
/// A reading.
pub(crate) const READING: Question = Question::new(
    "Takes a reading.",
    Takes::Form(&[
        ("edit", ""),
        ("saw", "1"),
        ("panel", "bonnet"),
        ("thickness", "118"),
        ("unit", "µm"),
        ("u", "0.5"),
        ("v", "0.5"),
    ]),
);
/// Work on a section.
pub(crate) const WORK: Question = Question::new(
    "Begins, pauses or ends a section.",
    Takes::Form(&[
        ("edit", ""),
        ("saw", "1"),
        ("deed", "begin"),
        ("key", "bonnet-1"),
        ("said_ms", "1795600000000"),
    ]),
);
/// Taking back.
pub(crate) const UNDO: Question = Question::new(
    "Takes an event back.",
    Takes::Form(&[("edit", ""), ("event", "example-0001"), ("back", "/jobs")]),
);
/// A decision.
pub(crate) const SETTLE: Question = Question::new(
    "Decides about a change that was set aside.",
    Takes::Form(&[
        ("edit", ""),
        ("saw", "1"),
        ("settles", "example-0001"),
        ("take", "mine"),
    ]),
);

impl Question {
    const fn new(summary: &'static str, takes: Takes) -> Self {
        Self {
            summary,
            takes,
            asking: &[],
        }
    }

    fn body(&self) -> Option<Value> {
        let object = |fields: &[Field], is_file: bool| {
            let fields = fields.iter().map(|(name, example)| {
                let mut schema = of_text(example);
                if is_file {
                    schema["format"] = json!("binary");
                }
                ((*name).to_owned(), schema)
            });
            json!({ "type": "object", "properties": fields.collect::<Map<_, _>>() })
        };
        let (kind, schema) = match self.takes {
            Takes::Nothing => return None,
            Takes::Text(example) => ("text/plain", of_text(example)),
            Takes::Form(fields) => ("application/x-www-form-urlencoded", object(fields, false)),
            Takes::Files(files) => ("multipart/form-data", object(files, true)),
        };
        Some(json!({ "required": true, "content": { kind: { "schema": schema } } }))
    }
}

fn of_text(example: &str) -> Value {
    if example.is_empty() {
        json!({ "type": "string" })
    } else {
        json!({ "type": "string", "examples": [example] })
    }
}

/// `GET /api/openapi.json`.
pub(crate) async fn told() -> Result<Response, Refusal> {
    api::answer(&document())
}

/// The whole description.
pub(crate) fn document() -> Value {
    let mut paths = Map::new();
    for door in pages().doors() {
        let Some(question) = door.question else {
            continue;
        };
        let path = paths.entry(door.path).or_insert_with(|| json!({}));
        path[door.method.to_lowercase()] = operation(&door, &question);
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Lapwing",
            "version": env!("CARGO_PKG_VERSION"),
            "summary": "Numbers for paint correction: film, heat, time, dose and price.",
        },
        "paths": paths,
        "components": { "schemas": { "Refusal": {
            "type": "object",
            "required": ["error"],
            "properties": { "error": { "type": "string", "description": "What came, what is allowed, what to do." } },
        } } },
    })
}

fn operation(door: &Door, question: &Question) -> Value {
    let place = |name: &str, at: &str, example: &str| json!({ "name": name, "in": at, "required": at == "path", "schema": of_text(example) });
    let mut parameters: Vec<Value> = door
        .path
        .split('/')
        .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
        .map(|name| place(name, "path", "j-example-0001"))
        .collect();
    let asking = question.asking.iter();
    parameters.extend(asking.map(|(name, example)| place(name, "query", example)));
    let refusal = json!({
        "description": "A sentence for a person.",
        "content": { "application/json": { "schema": { "$ref": "#/components/schemas/Refusal" } } },
    });
    let mut operation = json!({
        "summary": question.summary,
        "description": format!("Who may: {}.", door.may.word()),
        "parameters": parameters,
        "responses": {
            "200": { "description": "The answer.", "content": { "application/json": {} } },
            "303": { "description": "Taken; a browser goes on there." },
            "4XX": refusal,
        },
    });
    if let Some(body) = question.body() {
        operation["requestBody"] = body;
    }
    operation
}
