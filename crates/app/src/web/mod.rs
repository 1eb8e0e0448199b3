//! The bay's pages: server-rendered, everything in the binary, one file a page.
//!
//! A page reads its fields, calls the command function that the command line
//! calls too, and shows the answer; none computes.
//! Holds: without accounts only for the machine it runs on.
//! Left out: TLS; a phone reaches the pages through the shop's own proxy.
//! Checked by: `tests/web_*.rs`, which talk to the running program.

mod api;
mod assets;
mod bench;
mod choice;
mod example;
mod exposure;
mod fields;
mod film;
mod gate;
mod guard;
mod handover;
mod jobs;
mod numbers;
mod page;
mod plan;
mod record_page;
mod refusal;
pub(crate) mod routes;
mod start;
mod the_line;
mod upload;
mod visitor;
mod words;

use std::collections::HashMap;
use std::net::SocketAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Router;
use lapwing_store::{Places, Shop, Store, StoreError};
use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};

use self::routes::May::{Anyone, Technician, Viewer};
use self::routes::Routes;
use crate::failure::Failure;

/// How long open answers may take to end once a stop was asked for.
const PATIENCE: Duration = Duration::from_secs(8);
/// So many shops keep their plans at hand.
const MOST_SHELVES: usize = 64;

/// What all requests share.
pub(crate) struct House {
    bench: Arc<bench::Bench>,
    shelves: Mutex<HashMap<String, Arc<plan::Shelf>>>,
    store: Store,
    first_shop: Shop,
    stopping: watch::Receiver<bool>,
}

/// What a page works with: the shop of who asks, and what is shared.
#[derive(Clone)]
pub(crate) struct Bay {
    bench: Arc<bench::Bench>,
    plans: Arc<plan::Shelf>,
    shop: Shop,
    caller: gate::Caller,
    stopping: watch::Receiver<bool>,
}

impl House {
    /// Opens the store; the first start founds the shop.
    async fn open(places: &Places, stopping: watch::Receiver<bool>) -> Result<Self, StoreError> {
        let store = Store::open(places).await?;
        let first_shop = match store.shops().await?.first() {
            Some(card) => store.shop(&card.id).await?,
            None => store.found_shop("The shop").await?,
        };
        Ok(Self {
            bench: Arc::new(bench::Bench::new()),
            shelves: Mutex::new(HashMap::new()),
            store,
            first_shop,
            stopping,
        })
    }

    /// The room of who asks.
    fn bay_of(&self, caller: gate::Caller) -> Bay {
        Bay {
            bench: Arc::clone(&self.bench),
            plans: self.shelf_of(caller.shop.id()),
            shop: caller.shop.clone(),
            caller,
            stopping: self.stopping.clone(),
        }
    }

    /// A shop's plans; no other shop finds them.
    fn shelf_of(&self, shop: &str) -> Arc<plan::Shelf> {
        let mut shelves = self.shelves.lock().unwrap_or_else(PoisonError::into_inner);
        if shelves.len() >= MOST_SHELVES && !shelves.contains_key(shop) {
            shelves.clear();
        }
        let shelf = shelves
            .entry(shop.to_owned())
            .or_insert_with(|| Arc::new(plan::Shelf::new()));
        Arc::clone(shelf)
    }
}

/// Serves until SIGTERM or Ctrl-C.
pub(crate) async fn serve(address: SocketAddr, places: &Places) -> Result<(), Failure> {
    let listener = TcpListener::bind(address).await.map_err(|e| {
        Failure::Input(format!(
            "--listen {address}: nobody can listen there ({e}). Choose another port, such as 127.0.0.1:8018."
        ))
    })?;
    let bound = listener
        .local_addr()
        .map_err(|e| Failure::Ours(format!("the address is not known ({e})")))?;
    let (stop_all, stopping) = watch::channel(false);
    let house = House::open(places, stopping)
        .await
        .map_err(|e| Failure::Input(e.to_string()))?;
    let store = house.store.clone();
    crate::commands::print(&format!("Lapwing listens on http://{bound}\n"));
    let (asked, heard) = tokio::sync::oneshot::channel();
    let stop = async move {
        stop_asked().await;
        let _ = stop_all.send(true);
        let _ = asked.send(());
    };
    let served = axum::serve(listener, router(&Arc::new(house))).with_graceful_shutdown(stop);
    let late = async {
        let _ = heard.await;
        tokio::time::sleep(PATIENCE).await;
    };
    let outcome = tokio::select! {
        outcome = served => outcome.map_err(|e| Failure::Ours(e.to_string())),
        () = late => Ok(()),
    };
    store.close().await;
    outcome
}

/// Resolves at SIGTERM or Ctrl-C.
async fn stop_asked() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut term) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = term.recv() => return,
                _ = tokio::signal::ctrl_c() => return,
            }
        }
    }
    let _ = tokio::signal::ctrl_c().await;
}

/// Long work at once, beside the bench.
static HEAVY: Semaphore = Semaphore::const_new(2);

/// Runs a command function away from the threads that answer.
pub(crate) async fn apart<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Failure> + Send + 'static,
) -> Result<T, refusal::Refusal> {
    let place = HEAVY.acquire().await;
    let done = tokio::task::spawn_blocking(work).await;
    drop(place);
    Ok(done.map_err(|e| Failure::Ours(e.to_string()))??)
}

/// Every page, behind its gate and the guard.
fn router(house: &Arc<House>) -> Router {
    guard::around(pages().into_router(house))
}

/// Every address and who may use it.
pub(crate) fn pages() -> Routes {
    Routes::new()
        .get("/", Viewer, start::show)
        .get("/healthz", Anyone, start::health)
        .post("/choose", Anyone, choice::choose)
        .get("/assets/{*name}", Anyone, assets::show)
        .get("/bench", Viewer, bench::show)
        .get("/bench/answer", Viewer, bench::answer)
        .post("/api/bench", Viewer, bench::by_api)
        .get("/exposure", Viewer, exposure::show)
        .post("/api/exposure", Viewer, exposure::api)
        .get("/film", Viewer, film::show)
        .post("/film", Viewer, film::work_out)
        .post("/api/film", Viewer, film::by_api)
        .get("/plan", Viewer, plan::form)
        .post("/plan", Viewer, plan::work_out)
        .get("/plan/{name}", Viewer, plan::show)
        .get("/plan/{name}/{file}", Viewer, plan::file)
        .post("/api/plan", Viewer, plan::by_api)
        .get("/jobs", Viewer, jobs::list::show)
        .post("/jobs", Technician, jobs::list::open)
        .post("/jobs/example", Technician, jobs::list::open_example)
        .get("/jobs/{job}", Viewer, jobs::intake::show)
        .post("/jobs/{job}/defects", Technician, jobs::intake::mark)
        .get("/jobs/{job}/wash", Viewer, jobs::wash::show)
        .post("/jobs/{job}/wash", Technician, jobs::wash::tick)
        .get("/jobs/{job}/readings", Viewer, jobs::readings::show)
        .post("/jobs/{job}/readings", Technician, jobs::readings::take)
        .get("/jobs/{job}/plan", Viewer, plan::of_job)
        .get("/jobs/{job}/handover", Viewer, handover::show)
        .post("/jobs/{job}/handover", Technician, handover::sign)
        .get("/jobs/{job}/handover/{file}", Viewer, handover::file)
        .get("/jobs/{job}/job.zip", Viewer, handover::travel::export)
        .post("/jobs/bring", Technician, handover::travel::bring)
        .get("/jobs/{job}/work", Viewer, jobs::work::show)
        .post("/jobs/{job}/work", Technician, jobs::work::act)
        .post("/jobs/{job}/undo", Technician, jobs::undo)
        .post("/jobs/{job}/settle", Technician, jobs::settle)
        .get("/jobs/{job}/events", Viewer, jobs::live::follow)
}
