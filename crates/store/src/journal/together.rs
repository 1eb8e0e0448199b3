//! Devices that write to an SQLite file at the same time share one piece of
//! work, and with it the one wait for the disk that makes it safe.
//!
//! Law: edits that arrive while the disk is being waited for stand in line;
//! the next piece of work takes all of them, and each is answered only after
//! it is kept. An edit that is refused is taken back alone (a savepoint). When
//! the piece of work fails as a whole, each edit of it is tried alone, so that
//! everyone hears their own answer.
//! Holds: in the order in which the edits arrived; PostgreSQL gathers the
//! writes of its lines itself.
//! Left out: other tables than those of jobs.
//! Checked by: `tests/store/together.rs`, and `tests/store/crash.rs` with
//! killed processes.

use std::sync::{Mutex, MutexGuard, PoisonError};

use tokio::sync::oneshot;

use super::Outcome;
use crate::error::StoreError;
use crate::event::{Author, Edit};
use crate::live::Notice;
use crate::shop::{Shop, Store};

/// Most requests in one piece of work.
const MOST_TOGETHER: usize = 64;

/// Who stands in line for the pen.
#[derive(Default)]
pub(crate) struct Line {
    standing: Mutex<Standing>,
}

#[derive(Default)]
struct Standing {
    waiting: Vec<Request>,
    has_leader: bool,
}

/// What one device wants written.
struct Request {
    shop: String,
    job: String,
    author: Author,
    edits: Vec<Edit>,
    answer: oneshot::Sender<Answer>,
}

type Answer = Result<Vec<Outcome>, StoreError>;
type Written = (Vec<Outcome>, Option<Notice>);

impl Shop {
    /// Stands in line with edits of one job and waits until they are safe.
    pub(super) async fn append_together(
        &self,
        job: &str,
        author: &Author,
        edits: &[Edit],
    ) -> Answer {
        let (answer, answered) = oneshot::channel();
        let request = Request {
            shop: self.id.clone(),
            job: job.to_owned(),
            author: author.clone(),
            edits: edits.to_vec(),
            answer,
        };
        if self.store.inner.line.join(request) {
            // Goes on when the one who asked has left: others wait too.
            tokio::spawn(lead(self.store.clone()));
        }
        answered.await.unwrap_or_else(|_| {
            Err(StoreError::Away {
                place: "database",
                why: "its writer stumbled".to_owned(),
            })
        })
    }
}

impl Line {
    /// Whether whoever joined must lead.
    fn join(&self, request: Request) -> bool {
        let mut standing = self.look();
        standing.waiting.push(request);
        !std::mem::replace(&mut standing.has_leader, true)
    }

    /// The next requests; without any the leader is free.
    fn next(&self) -> Vec<Request> {
        let mut standing = self.look();
        let count = standing.waiting.len().min(MOST_TOGETHER);
        standing.has_leader = count > 0;
        standing.waiting.drain(..count).collect()
    }

    fn look(&self) -> MutexGuard<'_, Standing> {
        self.standing.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Frees the line when its leader falls; whoever waited tries again.
struct Leader {
    store: Store,
    is_done: bool,
}

impl Drop for Leader {
    fn drop(&mut self) {
        if !self.is_done {
            let mut standing = self.store.inner.line.look();
            standing.waiting.clear();
            standing.has_leader = false;
        }
    }
}

async fn lead(store: Store) {
    let mut leader = Leader {
        store,
        is_done: false,
    };
    loop {
        let requests = leader.store.inner.line.next();
        if requests.is_empty() {
            leader.is_done = true;
            return;
        }
        serve(&leader.store, requests).await;
    }
}

async fn serve(store: &Store, requests: Vec<Request>) {
    match write(store, &requests).await {
        Ok(all) => {
            for (request, written) in requests.into_iter().zip(all) {
                tell(store, request, written);
            }
        }
        Err(error) if requests.len() == 1 => {
            if let Some(request) = requests.into_iter().next() {
                let _ = request.answer.send(Err(error));
            }
        }
        Err(_) => {
            for request in requests {
                let alone = write(store, std::slice::from_ref(&request)).await;
                let written = alone.map(|mut all| all.pop());
                match written.transpose() {
                    Some(Ok(written)) => tell(store, request, written),
                    Some(Err(error)) => drop(request.answer.send(Err(error))),
                    None => {}
                }
            }
        }
    }
}

/// Answers one request. Whoever has hung up loses only the answer.
fn tell(store: &Store, request: Request, written: Result<Written, StoreError>) {
    let answer = written.map(|(outcomes, notice)| {
        if let Some(notice) = notice {
            // No listener is no fault.
            let _ = store.inner.notices.send(notice);
        }
        outcomes
    });
    let _ = request.answer.send(answer);
}

/// One piece of work for all; an outer error means that nothing was written.
async fn write(
    store: &Store,
    requests: &[Request],
) -> Result<Vec<Result<Written, StoreError>>, StoreError> {
    let is_shared = requests.len() > 1;
    let mut tx = store.database().write().await?;
    let mut all = Vec::with_capacity(requests.len());
    for request in requests {
        if is_shared {
            tx.change("SAVEPOINT one_request", &[]).await?;
        }
        let shop = store.known_shop(&request.shop);
        let written = shop
            .append_in(&mut tx, &request.job, (&request.author, &request.edits))
            .await;
        match written {
            Err(error) if !error.is_about_the_request() || !is_shared => return Err(error),
            Err(error) => {
                tx.change("ROLLBACK TO one_request", &[]).await?;
                all.push(Err(error));
            }
            Ok(written) => all.push(Ok(written)),
        }
        if is_shared {
            tx.change("RELEASE one_request", &[]).await?;
        }
    }
    tx.keep().await?;
    Ok(all)
}
