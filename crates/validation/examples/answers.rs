//! Answers a list of questions on standard input, for `compare.py`.
//!
//! In: a JSON list of `{"law": name, "inputs": {...}}`. Out: a JSON list of
//! numbers in the same order; a question that is refused gives its sentence.
//! Run: `cargo run --release -p lapwing-validation --example answers < questions.json`.

use std::io::Read;

use lapwing_validation::laws;
use serde::Deserialize;
use serde_json::{Map, Value};

#[derive(Deserialize)]
struct Question {
    law: String,
    inputs: Map<String, Value>,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text)?;
    let questions: Vec<Question> = serde_json::from_str(&text)?;
    let answers: Vec<Value> = questions
        .iter()
        .map(|q| laws::answer(&q.law, &q.inputs).map_or_else(Value::from, Value::from))
        .collect();
    println!("{}", Value::from(answers));
    Ok(())
}
