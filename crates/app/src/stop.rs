//! Stopping long work with Ctrl-C (or a request to end) without leaving pieces.
//!
//! The signal only raises a flag. Work looks at it now and then and ends by
//! itself; files are written after the work, all or none.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use signal_hook::consts::{SIGINT, SIGTERM};

use crate::failure::Failure;

static ASKED: OnceLock<Arc<AtomicBool>> = OnceLock::new();

/// The flag that Ctrl-C raises. The first call begins to listen.
pub(crate) fn flag() -> &'static AtomicBool {
    ASKED.get_or_init(|| {
        let asked = Arc::new(AtomicBool::new(false));
        for signal in [SIGINT, SIGTERM] {
            // Where a signal cannot be listened to it ends the program, as ever.
            let _ = signal_hook::flag::register(signal, Arc::clone(&asked));
        }
        asked
    })
}

/// Ends here when the user asked to stop.
pub(crate) fn heed() -> Result<(), Failure> {
    if flag().load(Ordering::Relaxed) {
        Err(Failure::Stopped)
    } else {
        Ok(())
    }
}
