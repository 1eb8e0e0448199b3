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

use super::refusal::Refusal;
use super::routes::Door;
use super::{api, pages};

/// What a line of the table takes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Question {
    summary: &'static str,
    takes: Takes,
    asking: &'static [&'static str],
}

#[derive(Clone, Copy, Debug)]
enum Takes {
    Nothing,
    Text,
    Form(&'static [&'static str]),
    Files(&'static [&'static str]),
}

impl Question {
    /// No body.
    pub(crate) const fn nothing(summary: &'static str) -> Self {
        Self::taking(summary, Takes::Nothing)
    }

    /// A text.
    pub(crate) const fn text(summary: &'static str) -> Self {
        Self::taking(summary, Takes::Text)
    }

    /// Fields of a form.
    pub(crate) const fn form(summary: &'static str, fields: &'static [&'static str]) -> Self {
        Self::taking(summary, Takes::Form(fields))
    }

    /// Files.
    pub(crate) const fn files(summary: &'static str, files: &'static [&'static str]) -> Self {
        Self::taking(summary, Takes::Files(files))
    }

    const fn taking(summary: &'static str, takes: Takes) -> Self {
        Self {
            summary,
            takes,
            asking: &[],
        }
    }

    /// With words in the address.
    pub(crate) const fn asking(mut self, words: &'static [&'static str]) -> Self {
        self.asking = words;
        self
    }

    fn body(&self) -> Option<Value> {
        let text = |fields: &[&str]| {
            let fields = fields
                .iter()
                .map(|f| ((*f).to_owned(), json!({ "type": "string" })));
            json!({ "type": "object", "properties": fields.collect::<Map<_, _>>() })
        };
        let (kind, schema) = match self.takes {
            Takes::Nothing => return None,
            Takes::Text => ("text/plain", json!({ "type": "string" })),
            Takes::Form(fields) => ("application/x-www-form-urlencoded", text(fields)),
            Takes::Files(files) => ("multipart/form-data", text(files)),
        };
        Some(json!({ "required": true, "content": { kind: { "schema": schema } } }))
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
    let place = |name: &str, at: &str, is_needed: bool| json!({ "name": name, "in": at, "required": is_needed, "schema": { "type": "string" } });
    let mut parameters: Vec<Value> = door
        .path
        .split('/')
        .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
        .map(|name| place(name, "path", true))
        .collect();
    parameters.extend(
        question
            .asking
            .iter()
            .map(|name| place(name, "query", false)),
    );
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
