//! States of jobs that were folded a moment ago, kept in memory under the hash
//! of their last event.
//!
//! Law: an event's hash is taken over the hash of the event before it, so the
//! last one names the whole history and the state that follows from it. What
//! stands under a hash can never be out of date; whoever reads asks the
//! database for the job's last hash first.
//! Holds: for several processes on one database; for at most so many bytes, by
//! a count of names and values that is near the truth.
//! Left out: choosing who is forgotten; any entry may go.
//! Checked by: the tests below and every test of the journal.

use std::collections::HashMap;
use std::mem::size_of;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde_json::Value;

use crate::document::JobState;

/// So many bytes of states are kept.
const MOST_BYTES: usize = 28 << 20;
/// A single state beyond this is not kept.
const LARGEST_BYTES: usize = MOST_BYTES / 8;

/// States by the hash of their last event.
#[derive(Default)]
pub(crate) struct Remembered {
    kept: Mutex<Kept>,
}

#[derive(Default)]
struct Kept {
    by_job: HashMap<(String, String), Entry>,
    bytes: usize,
}

struct Entry {
    head: String,
    state: Arc<JobState>,
    bytes: usize,
}

impl Remembered {
    /// The state of a job whose last event has this hash.
    pub(crate) fn find(&self, shop: &str, job: &str, head: &str) -> Option<Arc<JobState>> {
        let kept = self.look();
        let entry = kept.by_job.get(&(shop.to_owned(), job.to_owned()))?;
        (entry.head == head).then(|| Arc::clone(&entry.state))
    }

    /// Keeps a state in place of the job's former one.
    pub(crate) fn keep(&self, shop: &str, job: &str, head: &str, state: &Arc<JobState>) {
        let bytes = bytes_of(&state.document) + 200;
        let mut kept = self.look();
        kept.forget(&(shop.to_owned(), job.to_owned()));
        if bytes > LARGEST_BYTES {
            return;
        }
        while kept.bytes + bytes > MOST_BYTES {
            // A map's order is by chance, which a round through more jobs than
            // fit cannot defeat as it would the longest unused.
            let Some(any) = kept.by_job.keys().next().cloned() else {
                break;
            };
            kept.forget(&any);
        }
        kept.bytes += bytes;
        let entry = Entry {
            head: head.to_owned(),
            state: Arc::clone(state),
            bytes,
        };
        kept.by_job.insert((shop.to_owned(), job.to_owned()), entry);
    }

    fn look(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Kept {
    fn forget(&mut self, of: &(String, String)) {
        if let Some(entry) = self.by_job.remove(of) {
            self.bytes -= entry.bytes;
        }
    }
}

/// About what a value takes in memory.
fn bytes_of(value: &Value) -> usize {
    /// A name's own bytes, its hash and its place in the order.
    const NAME: usize = size_of::<String>() + 24;
    size_of::<Value>()
        + match value {
            Value::String(text) => text.len() + 16,
            Value::Array(all) => all.iter().map(bytes_of).sum(),
            Value::Object(map) => map
                .iter()
                .map(|(name, value)| NAME + name.len() + bytes_of(value))
                .sum(),
            _ => 0,
        }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn state(signs: usize) -> Arc<JobState> {
        Arc::new(JobState {
            document: json!({ "note": "x".repeat(signs) }),
            ..JobState::empty()
        })
    }

    #[test]
    fn a_state_is_found_under_its_own_hash_and_shop_only() {
        let remembered = Remembered::default();
        remembered.keep("s", "j", "h1", &state(3));
        assert!(remembered.find("s", "j", "h1").is_some());
        for (shop, job, head) in [("s", "j", "h2"), ("t", "j", "h1"), ("s", "k", "h1")] {
            assert!(remembered.find(shop, job, head).is_none());
        }
        remembered.keep("s", "j", "h2", &state(4));
        assert!(remembered.find("s", "j", "h1").is_none());
        assert!(remembered.find("s", "j", "h2").is_some());
    }

    #[test]
    fn no_more_is_kept_than_there_is_room_for() {
        let remembered = Remembered::default();
        let large = state(LARGEST_BYTES - 1000);
        for job in 0..30 {
            remembered.keep("s", &job.to_string(), "h", &large);
        }
        let kept = remembered.look();
        assert!(kept.bytes <= MOST_BYTES, "{}", kept.bytes);
        assert!(kept.by_job.len() >= 7, "{}", kept.by_job.len());
        drop(kept);
        remembered.keep("s", "29", "h2", &state(LARGEST_BYTES + 1));
        assert!(remembered.find("s", "29", "h2").is_none());
        let kept = remembered.look();
        let sum: usize = kept.by_job.values().map(|e| e.bytes).sum();
        assert_eq!(kept.bytes, sum);
    }
}
