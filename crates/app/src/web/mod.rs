//! The bay's pages: server-rendered, everything in the binary, one file a page.
//!
//! A page reads its fields, calls the command function that the command line
//! calls too, and shows the answer; none computes.
//! Holds: without accounts only for the machine it runs on.
//! Checked by: `tests/web_*.rs`, which talk to the running program.

mod accounts;
mod api;
mod assets;
mod bench;
mod choice;
mod days;
mod entry;
mod errands;
mod drawn;
mod example;
mod exposure;
mod fields;
mod film;
mod gate;
mod guard;
mod handover;
pub(crate) mod house;
mod jobs;
mod links;
pub(crate) mod log;
pub(crate) mod network;
mod later;
mod numbers;
pub(crate) mod open_api;
mod operator;
mod page;
mod plan;
mod record_page;
mod qr;
mod rates;
mod saying;
mod refusal;
mod retold;
pub(crate) mod routes;
mod shop;
mod shell;
mod start;
mod table;
mod the_line;
mod trust;
mod upload;
mod visitor;
mod words;
mod workshop;

use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use lapwing_store::Places;
use tokio::net::TcpListener;
use tokio::sync::watch;

pub(crate) use self::house::Bay;
use self::house::House;
use self::log::Lines;
use self::network::authority::{self, Authority};
use self::network::connections::{self, Speech};
use self::network::{Reach, Way};
pub(crate) use self::table::pages;
pub(crate) use self::workshop::apart;
use crate::failure::Failure;

/// How long open answers may take to end once a stop was asked for.
const PATIENCE: Duration = Duration::from_secs(8);
/// What `lapwing serve` was asked for.
pub(crate) struct Wish {
    pub(crate) reach: Reach,
    pub(crate) places: Places,
    pub(crate) data: PathBuf,
    pub(crate) lines: Lines,
}

/// Serves until SIGTERM or Ctrl-C.
pub(crate) async fn serve(wish: Wish) -> Result<(), Failure> {
    let address = wish.reach.address;
    let listener = TcpListener::bind(address).await.map_err(|e| {
        let why = match e.kind() {
            std::io::ErrorKind::AddrInUse => {
                "another program listens there already, perhaps another bay; stop it".to_owned()
            }
            std::io::ErrorKind::PermissionDenied => {
                "this user may not listen on so low a port; take one over 1023".to_owned()
            }
            std::io::ErrorKind::AddrNotAvailable => {
                "this machine does not have that address; take 127.0.0.1, 0.0.0.0 or one of its own"
                    .to_owned()
            }
            _ => format!("the system says {e}; take another address"),
        };
        Failure::Input(format!(
            "--listen {address}: nobody can listen there: {why}, or choose another port, as --listen 127.0.0.1:8018."
        ))
    })?;
    let bound = listener
        .local_addr()
        .map_err(|e| Failure::Ours(format!("the address is not known ({e})")))?;
    let (speech, authority) = speech(&wish.reach)?;
    let (stop_all, stopping) = watch::channel(false);
    let front = house::Front {
        reach: wish.reach,
        port: bound.port(),
        authority,
    };
    let house = House::open((&wish.places, wish.data), front, stopping)
        .await
        .map_err(|e| Failure::Input(e.to_string()))?;
    let house = Arc::new(house);
    crate::commands::print(&greeting(&house, bound));
    let looking = tokio::spawn(look_around(Arc::clone(&house)));
    let errands = tokio::spawn(errands::run(Arc::clone(&house)));
    let (asked, heard) = tokio::sync::oneshot::channel();
    let stop = async move {
        stop_asked().await;
        let _ = stop_all.send(true);
        let _ = asked.send(());
    };
    let served = connections::serve(listener, speech, router(&house, wish.lines), stop);
    let late = async {
        let _ = heard.await;
        tokio::time::sleep(PATIENCE).await;
    };
    tokio::select! {
        () = served => (),
        () = late => (),
    }
    looking.abort();
    errands.abort();
    house.store.close().await;
    Ok(())
}

fn speech(reach: &Reach) -> Result<(Speech, Option<Arc<Authority>>), Failure> {
    Ok(match &reach.way {
        Way::ThisMachine | Way::BehindProxy | Way::PlainOnNetwork => (Speech::Plain, None),
        Way::OwnAuthority(folder) => {
            let authority = Arc::new(Authority::in_folder(folder, &reach.names)?);
            (Speech::Authority(Arc::clone(&authority)), Some(authority))
        }
        Way::Brought { certificate, key } => {
            (Speech::Brought(authority::brought(certificate, key)?), None)
        }
    })
}

/// Where the bay listens, and what to do at the first start.
fn greeting(house: &House, bound: SocketAddr) -> String {
    let scheme = if house.reach.is_tls() {
        "https"
    } else {
        "http"
    };
    let mut text = format!("Lapwing listens on {scheme}://{bound}\n");
    if !house.reach.is_network() {
        return text;
    }
    let others = house.reach.address_for_others(house.port);
    if house.reach.way != Way::BehindProxy {
        text += &format!("From other devices: {others}\n");
    }
    if let Some(authority) = &house.authority {
        let host = house.reach.host_for_others();
        text += &format!(
            "Phones trust it once, at http://{host}:{}/trust\nFingerprint of the shop's authority: {}\n",
            house.port,
            authority.fingerprint()
        );
    }
    if house.reach.way == Way::PlainOnNetwork {
        text += "Caution: --plain-http sends passwords and jobs unencrypted; anyone on this network can read and change them. Leave it out to use TLS.\n";
    }
    if let Some(code) = house.setup_code() {
        text += &format!(
            "Nobody has an account yet. Open /first there and type the setup code {code}\n"
        );
    }
    text
}

/// Looks now and then whether another process has added the first account.
async fn look_around(house: Arc<House>) {
    while !house.look_for_people().await.unwrap_or(false) {
        tokio::time::sleep(Duration::from_secs(5)).await;
    }
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

/// Every page, behind its gate and the guard.
fn router(house: &Arc<House>, lines: Lines) -> Router {
    guard::around(pages().into_router(house), house, lines)
}
