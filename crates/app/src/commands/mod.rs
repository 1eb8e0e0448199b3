//! One file a command. Each reads its input, calls one station after the
//! other, and prints; none computes.

pub(crate) mod bench;
pub(crate) mod coat;
pub(crate) mod exposure;
pub(crate) mod film;
pub(crate) mod job_film;
pub(crate) mod plan;
pub(crate) mod prove;
pub(crate) mod schema;
pub(crate) mod serve;
pub(crate) mod trial;

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use serde_json::Value;

use crate::failure::Failure;

/// Largest text file that is read, MB.
const MOST_TEXT_MB: u64 = 8;

/// Reads a text file that must be UTF-8.
pub(crate) fn read_text(path: &Path) -> Result<String, Failure> {
    let bytes = lapwing_store::read_file(path, MOST_TEXT_MB)?;
    String::from_utf8(bytes)
        .map_err(|e| {
            Failure::Input(format!(
                "{}: byte {} is not UTF-8 text. Save the file as UTF-8 and try again.",
                path.display(),
                e.utf8_error().valid_up_to() + 1
            ))
        })
        .map(|text| {
            text.strip_prefix('\u{feff}')
                .map(str::to_owned)
                .unwrap_or(text)
        })
}

/// Prints one JSON document.
pub(crate) fn print_json(document: &Value) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(document)
        .map_err(|e| Failure::Ours(format!("the answer cannot be written as JSON ({e})")))?;
    print(&(text + "\n"));
    Ok(())
}

static OUTPUT_IS_LOST: AtomicBool = AtomicBool::new(false);

/// Prints; a closed pipe ends quietly, any other fault is remembered.
pub(crate) fn print(text: &str) {
    use std::io::Write;
    let mut out = std::io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    if written.is_err_and(|e| e.kind() != std::io::ErrorKind::BrokenPipe) {
        OUTPUT_IS_LOST.store(true, Ordering::Relaxed);
    }
}

/// Did something that was to be printed get lost?
pub(crate) fn output_is_lost() -> bool {
    OUTPUT_IS_LOST.load(Ordering::Relaxed)
}
