//! One file a command. Each reads its input, calls one station after the
//! other, and prints; none computes.

pub(crate) mod bench;
pub(crate) mod coat;
pub(crate) mod exposure;
pub(crate) mod film;
mod film_document;
pub(crate) mod handover;
pub(crate) mod found;
pub(crate) mod job_film;
pub(crate) mod plan;
pub(crate) mod record_file;
pub(crate) mod next_visit;
pub(crate) mod prove;
pub(crate) mod schema;
pub(crate) mod sealed;
pub(crate) mod serve;
pub(crate) mod store;
pub(crate) mod trial;
pub(crate) mod verify_record;

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use serde::Serialize;

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

/// Prints one JSON document, piece by piece.
pub(crate) fn print_json(document: &impl Serialize) -> Result<(), Failure> {
    use std::io::Write;
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    match serde_json::to_writer_pretty(&mut out, document) {
        Err(e) if e.io_error_kind().is_none() => Err(Failure::Ours(format!(
            "the answer cannot be written as JSON ({e})"
        ))),
        written => {
            let ended = written.map_err(std::io::Error::from);
            note_lost(
                &ended
                    .and_then(|()| out.write_all(b"\n"))
                    .and_then(|()| out.flush()),
            );
            Ok(())
        }
    }
}

static OUTPUT_IS_LOST: AtomicBool = AtomicBool::new(false);

/// Prints; a closed pipe ends quietly, any other fault is remembered.
pub(crate) fn print(text: &str) {
    use std::io::Write;
    let mut out = std::io::stdout().lock();
    note_lost(&out.write_all(text.as_bytes()).and_then(|()| out.flush()));
}

fn note_lost(written: &std::io::Result<()>) {
    if written
        .as_ref()
        .is_err_and(|e| e.kind() != std::io::ErrorKind::BrokenPipe)
    {
        OUTPUT_IS_LOST.store(true, Ordering::Relaxed);
    }
}

/// Did something that was to be printed get lost?
pub(crate) fn output_is_lost() -> bool {
    OUTPUT_IS_LOST.load(Ordering::Relaxed)
}
