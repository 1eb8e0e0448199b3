//! Two benches at the back of the bay for long work, which give way to whoever
//! answers at the counter.
//!
//! Law: each bench is a thread ten steps lower in the order of the processor
//! (nice(2)); threads that the work itself starts stand there too.
//! Source: Linux, sched(7) and setpriority(2): niceness is each thread's own.
//! Holds: work that nobody waits for any more is left undone. Elsewhere than
//! on Linux the benches are not lower.
//! Checked by: the tests below, and the pages under load in `benches/serve`.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use tokio::sync::oneshot;

use super::refusal::Refusal;
use crate::failure::Failure;

/// Long work at once, beside the bench page.
const BENCHES: usize = 2;
#[cfg(target_os = "linux")]
const LOWER: i32 = 10;

type Piece = Box<dyn FnOnce() + Send>;

/// Runs a command function away from the threads that answer.
pub(crate) async fn apart<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Failure> + Send + 'static,
) -> Result<T, Refusal> {
    let (done, result) = oneshot::channel();
    let piece = move || {
        if !done.is_closed() {
            let _ = done.send(work());
        }
    };
    let is_taken = queue().is_some_and(|queue| queue.send(Box::new(piece)).is_ok());
    let broke_off = || Failure::Ours("long work broke off".to_owned());
    if !is_taken {
        return Err(broke_off().into());
    }
    Ok(result.await.map_err(|_| broke_off())??)
}

/// Where pieces are handed in; the benches are set up at the first.
fn queue() -> Option<Sender<Piece>> {
    static QUEUE: OnceLock<Option<Sender<Piece>>> = OnceLock::new();
    QUEUE.get_or_init(set_up).clone()
}

fn set_up() -> Option<Sender<Piece>> {
    let (queue, pieces) = channel();
    let pieces = Arc::new(Mutex::new(pieces));
    for _ in 0..BENCHES {
        let pieces = Arc::clone(&pieces);
        let bench = std::thread::Builder::new().name("long work".to_owned());
        bench.spawn(move || toil(&pieces)).ok()?;
    }
    Some(queue)
}

fn toil(pieces: &Mutex<Receiver<Piece>>) {
    #[cfg(target_os = "linux")]
    {
        // Where it is not allowed, the bench works as the others do.
        let _ = rustix::process::nice(LOWER);
    }
    loop {
        let next = pieces.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok(piece) = next else {
            return;
        };
        // Whoever waits hears that it broke off; the bench takes the next.
        let _ = catch_unwind(AssertUnwindSafe(piece));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn work_that_breaks_off_is_told_and_the_bench_goes_on() {
        for _ in 0..2 * BENCHES {
            let broken = apart(|| -> Result<(), Failure> { panic!("a mistake of ours") });
            assert!(broken.await.is_err());
        }
        assert_eq!(apart(|| Ok(7)).await.ok(), Some(7));
    }

    #[cfg(target_os = "linux")]
    #[tokio::test]
    async fn long_work_stands_lower_than_who_answers() {
        let own = || Ok(rustix::process::getpriority_process(None).unwrap_or(-99));
        let counter = own().unwrap_or(-99);
        let bench = apart(own).await.unwrap_or(-99);
        assert_eq!(bench, (counter + LOWER).min(19));
    }
}
