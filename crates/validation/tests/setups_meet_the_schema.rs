//! Every setup that comes with the program, judged against the published JSON
//! Schema by a general validator and not by our reader.
//!
//! Holds: for the examples and for the setups of all cases.
//! Left out: what a schema cannot say: units, ranges, keys that contradict.
//! Checked by: setups spoilt on purpose are refused.

/// Every setup that comes with the program.
#[expect(
    clippy::disallowed_methods,
    reason = "the setups are files beside the test"
)]
fn setups_that_come_along() -> Vec<(String, String)> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let cases = root.join("validation/cases");
    let in_cases = std::fs::read_dir(cases).expect("validation has cases");
    let mut places: Vec<std::path::PathBuf> = in_cases
        .map(|case| case.expect("readable").path())
        .collect();
    places.push(root.join("examples/bench"));
    let files = places
        .iter()
        .filter_map(|place| std::fs::read_dir(place).ok());
    files
        .flatten()
        .map(|file| file.expect("readable").path())
        .filter(|file| {
            let name = file.file_name().unwrap_or_default().to_string_lossy();
            let is_example = file.parent().is_some_and(|p| p.ends_with("bench"));
            name.ends_with(".toml") && (is_example || name.starts_with("setup"))
        })
        .map(|file| {
            let text = std::fs::read_to_string(&file).expect("readable");
            (file.display().to_string(), text)
        })
        .collect()
}

#[test]
fn every_setup_that_comes_along_meets_the_published_schema() {
    // Judged by a general validator of JSON Schema, not by our reader.
    let mut schemas = boon::Schemas::new();
    let mut compiler = boon::Compiler::new();
    compiler
        .add_resource("setup.json", lapwing_job::bench::setup_schema())
        .expect("a schema");
    let schema = compiler.compile("setup.json", &mut schemas).expect("sound");
    let as_json = |text: &str| -> serde_json::Value {
        let table: toml::Table = toml::from_str(text).expect("a setup");
        serde_json::to_value(table).expect("plain values")
    };
    let setups = setups_that_come_along();
    assert!(setups.len() > 20, "{}", setups.len());
    for (name, text) in &setups {
        let setup = as_json(text);
        let judged = schemas.validate(&setup, schema);
        let refusal = judged.err().map(|e| e.to_string());
        assert_eq!(refusal, None, "{name}");
    }
    // It does refuse: a misspelt key, a share that is a list, a missing table.
    let (_, good) = &setups[setups.len() - 1];
    for bad in [
        good.replace("[pad]\n", "[pad]\ndiametre = \"1 mm\"\n"),
        good.replace("[machine]", "[machines]"),
        format!("heat = 3\n{good}"),
        good.replace("[abrasive]\n", "[abrasive]\nfriction_share = []\n"),
    ] {
        if &bad == good {
            continue;
        }
        assert!(schemas.validate(&as_json(&bad), schema).is_err(), "{bad}");
    }
}
