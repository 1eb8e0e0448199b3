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
mod entry;
mod drawn;
mod example;
mod exposure;
mod fields;
mod film;
mod guard;
mod jobs;
mod later;
mod numbers;
mod page;
mod plan;
mod refusal;
mod shop;
mod shell;
mod start;
mod the_line;
mod upload;
mod visitor;
mod words;

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::routing::{get, post};
use lapwing_store::{Places, Shop, Store, StoreError};
use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};

use crate::failure::Failure;

/// How long open answers may take to end once a stop was asked for.
const PATIENCE: Duration = Duration::from_secs(8);

/// What the pages share.
pub(crate) struct Bay {
    bench: bench::Bench,
    doubts: jobs::doubts::Doubts,
    plans: plan::Shelf,
    shop: Shop,
    stopping: watch::Receiver<bool>,
}

impl Bay {
    /// Opens the store; the first start founds the shop.
    async fn open(places: &Places, stopping: watch::Receiver<bool>) -> Result<Self, StoreError> {
        let store = Store::open(places).await?;
        let shop = match store.shops().await?.first() {
            Some(card) => store.shop(&card.id).await?,
            None => store.found_shop("The shop").await?,
        };
        Ok(Self {
            bench: bench::Bench::new(),
            doubts: jobs::doubts::Doubts::default(),
            plans: plan::Shelf::new(),
            shop,
            stopping,
        })
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
    let bay = Bay::open(places, stopping)
        .await
        .map_err(|e| Failure::Input(e.to_string()))?;
    let shop = bay.shop.clone();
    crate::commands::print(&format!("Lapwing listens on http://{bound}\n"));
    let (asked, heard) = tokio::sync::oneshot::channel();
    let stop = async move {
        stop_asked().await;
        let _ = stop_all.send(true);
        let _ = asked.send(());
    };
    let served = axum::serve(listener, router(Arc::new(bay))).with_graceful_shutdown(stop);
    let late = async {
        let _ = heard.await;
        tokio::time::sleep(PATIENCE).await;
    };
    let outcome = tokio::select! {
        outcome = served => outcome.map_err(|e| Failure::Ours(e.to_string())),
        () = late => Ok(()),
    };
    shop.store().close().await;
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

/// Every page, behind the guard.
fn router(bay: Arc<Bay>) -> Router {
    let pages = Router::new()
        .route("/", get(start::show))
        .route("/healthz", get(start::health))
        .route("/choose", post(choice::choose))
        .route("/assets/{*name}", get(assets::show))
        .route("/bench", get(bench::show))
        .route("/bench/answer", get(bench::answer))
        .route("/api/bench", post(bench::by_api))
        .route("/exposure", get(exposure::show))
        .route("/api/exposure", post(exposure::api))
        .route("/film", get(film::show).post(film::work_out))
        .route("/api/film", post(film::by_api))
        .route("/plan", get(plan::form).post(plan::work_out))
        .route("/plan/{name}", get(plan::show))
        .route("/plan/{name}/{file}", get(plan::file))
        .route("/api/plan", post(plan::by_api))
        .route("/jobs", get(jobs::list::show).post(jobs::list::open))
        .route(
            "/enquiry",
            get(jobs::enquiry::show).post(jobs::enquiry::open),
        )
        .route("/shop", get(shop::show).post(shop::change))
        .route("/photos/{hash}", get(jobs::photos::show))
        .route("/jobs/{job}/photos", post(jobs::photos::post))
        .route(
            "/jobs/{job}/prove",
            get(jobs::prove::show).post(jobs::prove::take),
        )
        .route(
            "/jobs/{job}/coat",
            get(jobs::coat::show).post(jobs::coat::act),
        )
        .route("/jobs/example", post(jobs::list::open_example))
        .route("/jobs/{job}", get(jobs::intake::show))
        .route("/jobs/{job}/defects", post(jobs::intake::mark))
        .route(
            "/jobs/{job}/wash",
            get(jobs::wash::show).post(jobs::wash::tick),
        )
        .route(
            "/jobs/{job}/readings",
            get(jobs::readings::show).post(jobs::readings::take),
        )
        .route("/jobs/{job}/readings/car", get(jobs::readings::car))
        .route("/jobs/{job}/readings/panel", get(jobs::panel_places::show))
        .route("/jobs/{job}/readings/import", post(jobs::readings::import))
        .route("/jobs/{job}/film", get(jobs::film_map::show))
        .route("/jobs/{job}/film/answer", get(jobs::film_map::answer))
        .route("/jobs/{job}/film/{panel}", get(jobs::film_map::panel))
        .route(
            "/jobs/{job}/trial",
            get(jobs::trial::show).post(jobs::trial::act),
        )
        .route("/jobs/{job}/trial/answer", get(jobs::trial::answer))
        .route(
            "/jobs/{job}/plan",
            get(jobs::job_plan::show).post(jobs::job_plan::adopt),
        )
        .route("/jobs/{job}/plan/answer", get(jobs::job_plan::answer))
        .route("/sw.js", get(shell::worker))
        .route("/manifest.webmanifest", get(shell::manifest))
        .route("/offline", get(shell::offline))
        .route(
            "/jobs/{job}/work",
            get(jobs::work::show).post(jobs::work::act),
        )
        .route("/jobs/{job}/undo", post(jobs::undo))
        .route("/jobs/{job}/settle", post(jobs::settle))
        .route("/jobs/{job}/events", get(jobs::live::follow))
        .with_state(bay);
    guard::around(pages)
}
