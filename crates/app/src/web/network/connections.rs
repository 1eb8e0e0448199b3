//! Takes connections, speaks TLS where it should, and passes requests on.
//!
//! Law: whoever opens a connection must have sent the head of a request
//! within 15 seconds; at most 1024 connections at once, 100 from one address.
//! A first byte of 22 begins a TLS handshake (RFC 8446, section 5.1), so that
//! a phone that asks in plain HTTP can be shown the way.
//! Holds: until the bay is asked to stop; requests under way end first.
//! Checked by: `tests/web_network.rs` and `tests/web_hostile.rs`.

use std::collections::HashMap;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use rustls::ServerConfig;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio_rustls::TlsAcceptor;
use tower_service::Service as _;

use super::approach::Wire;
use super::authority::Authority;
use crate::failure::Failure;

const HEAD_WITHIN: Duration = Duration::from_secs(15);
const MOST: usize = 1024;
const MOST_OF_ONE: usize = 100;
const HANDSHAKE: u8 = 22;

/// How a connection is spoken.
#[derive(Clone)]
pub(crate) enum Speech {
    /// In the clear.
    Plain,
    /// In TLS, under the shop's own authority.
    Authority(Arc<Authority>),
    /// In TLS, with a certificate that was brought.
    Brought(Arc<ServerConfig>),
}

impl Speech {
    fn config(&self, called: IpAddr) -> Result<Option<Arc<ServerConfig>>, Failure> {
        match self {
            Self::Plain => Ok(None),
            Self::Authority(authority) => authority.server_at(called).map(Some),
            Self::Brought(config) => Ok(Some(Arc::clone(config))),
        }
    }
}

/// Open connections by address.
#[derive(Default)]
struct Open {
    by_peer: Mutex<HashMap<IpAddr, usize>>,
}

/// A connection's place among the open ones; given back when dropped.
struct Place {
    open: Arc<Open>,
    peer: IpAddr,
}

impl Open {
    fn place(self: &Arc<Self>, peer: IpAddr) -> Option<Place> {
        let mut open = self.by_peer.lock().unwrap_or_else(PoisonError::into_inner);
        let of_peer = open.get(&peer).copied().unwrap_or(0);
        // A proxy and a browser on this machine count as many.
        let most = if peer.is_loopback() {
            MOST
        } else {
            MOST_OF_ONE
        };
        if of_peer >= most || open.values().sum::<usize>() >= MOST {
            return None;
        }
        open.insert(peer, of_peer + 1);
        Some(Place {
            open: Arc::clone(self),
            peer,
        })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let open = &self.open.by_peer;
        let mut open = open.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = open.get_mut(&self.peer) {
            *count -= 1;
            if *count == 0 {
                open.remove(&self.peer);
            }
        }
    }
}

/// Serves until `stop` resolves, and ends what is under way.
pub(crate) async fn serve(
    listener: TcpListener,
    speech: Speech,
    router: Router,
    stop: impl Future<Output = ()>,
) {
    let graceful = GracefulShutdown::new();
    let open = Arc::new(Open::default());
    let mut stop = std::pin::pin!(stop);
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stop => break,
        };
        let Ok((stream, peer)) = accepted else {
            // Too many open files, for one: others must end first.
            tokio::time::sleep(Duration::from_millis(100)).await;
            continue;
        };
        let Some(place) = open.place(peer.ip().to_canonical()) else {
            continue;
        };
        let (speech, router, watcher) = (speech.clone(), router.clone(), graceful.watcher());
        tokio::spawn(async move {
            let _ = stream.set_nodelay(true);
            talk((stream, peer), &speech, router, watcher).await;
            drop(place);
        });
    }
    drop(listener);
    graceful.shutdown().await;
}

async fn talk(
    (stream, peer): (TcpStream, SocketAddr),
    speech: &Speech,
    router: Router,
    watcher: hyper_util::server::graceful::Watcher,
) {
    let peer = peer.ip().to_canonical();
    let Ok(called) = stream.local_addr() else {
        return;
    };
    let config = match speech.config(called.ip().to_canonical()) {
        Ok(config) => config,
        Err(failure) => {
            eprintln!("{failure}");
            return;
        }
    };
    let wire = |is_secure, is_stray| Wire {
        peer,
        is_secure,
        is_stray,
    };
    let Some(config) = config else {
        return pass(stream, wire(false, false), router, watcher).await;
    };
    let mut first = [0];
    let peeked = tokio::time::timeout(HEAD_WITHIN, stream.peek(&mut first)).await;
    if !matches!(peeked, Ok(Ok(1))) {
        return;
    }
    if first[0] != HANDSHAKE {
        return pass(stream, wire(false, true), router, watcher).await;
    }
    let shake = TlsAcceptor::from(config).accept(stream);
    if let Ok(Ok(stream)) = tokio::time::timeout(HEAD_WITHIN, shake).await {
        pass(stream, wire(true, false), router, watcher).await;
    }
}

/// Reads requests and writes answers until either side has enough.
async fn pass<S>(
    stream: S,
    wire: Wire,
    router: Router,
    watcher: hyper_util::server::graceful::Watcher,
) where
    S: AsyncRead + AsyncWrite + Send + Unpin + 'static,
{
    let answer = hyper::service::service_fn(move |mut request: hyper::Request<_>| {
        request.extensions_mut().insert(wire);
        router.clone().call(request)
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_WITHIN)
        .serve_connection(TokioIo::new(stream), answer);
    // A connection that breaks is the other side's affair.
    let _ = watcher.watch(connection).await;
}
