//! `lapwing verify-record FILE`: is this record what its shop signed?

use std::path::PathBuf;

use clap::Args;
use lapwing_store::MOST_RECORD_BYTES;
use serde_json::json;

use super::record_file::{Genuine, judge};
use super::{print, print_json, read_text};
use crate::failure::Failure;

/// Which record, and whose it should be.
#[derive(Args)]
pub(crate) struct Arguments {
    /// The record.json of a hand-over
    file: PathBuf,
    /// The public key it must be signed with: 64 signs, or a file that holds them
    #[arg(long)]
    known_key: Option<String>,
    /// Print one JSON document
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let most_mb = (MOST_RECORD_BYTES >> 20) as u64 + 1;
    let file = lapwing_store::read_file(&arguments.file, most_mb)?;
    let known = arguments.known_key.as_deref().map(key).transpose()?;
    let verdict = judge(&file, known.as_deref());
    let name = arguments.file.display();
    if arguments.json {
        print_json(&match &verdict {
            Ok(genuine) => json!({"genuine": true, "sha256": genuine.sha256, "key": genuine.key,
                "known_key": genuine.is_known_key, "canonical": genuine.is_canonical,
                "reason": null}),
            Err(why) => json!({"genuine": false, "sha256": null, "key": null,
                "known_key": false, "canonical": null, "reason": why}),
        })?;
    }
    let genuine = verdict.map_err(|why| Failure::Input(format!("{name}: {why}")))?;
    if !arguments.json {
        print(&words(&genuine));
    }
    Ok(())
}

/// A key as 64 signs, or from a file that holds nothing else.
fn key(said: &str) -> Result<String, Failure> {
    let is_key = |k: &str| k.len() == 64 && k.bytes().all(|b| b.is_ascii_hexdigit());
    if is_key(said) {
        return Ok(said.to_lowercase());
    }
    let path = PathBuf::from(said);
    let text = path.is_file().then(|| read_text(&path)).transpose()?;
    match text.as_deref().map(str::trim).filter(|k| is_key(k)) {
        Some(key) => Ok(key.to_lowercase()),
        None => Err(Failure::Input(format!(
            "--known-key \"{said}\" is no key: a public key is 64 signs of 0-9 and a-f, as the shop reads it out, or a file that holds them."
        ))),
    }
}

fn words(genuine: &Genuine) -> String {
    let record = &genuine.record;
    let text = |place: &str| {
        record
            .pointer(place)
            .and_then(|v| v.as_str())
            .unwrap_or("-")
    };
    let whose = if genuine.is_known_key {
        "Genuine: unchanged since it was signed with the key you named."
    } else {
        "Unchanged since it was signed, but nobody vouches for the key yet: ask the shop to read its key to you, or name it with --known-key."
    };
    let layout = if genuine.is_canonical {
        ""
    } else {
        "Its spaces or the order of its keys are not as we write them; what it says is unchanged.\n"
    };
    format!(
        "{whose}\n{layout}\ncar   {}\njob   {}\ndate  {}\nseal  {}\nkey   {}\n",
        text("/car/description"),
        text("/job"),
        text("/date"),
        genuine.sha256,
        genuine.key
    )
}
