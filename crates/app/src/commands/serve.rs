//! `lapwing serve`: the bay's pages, on this machine, until it is stopped.

use std::net::SocketAddr;

use clap::Args;

use crate::failure::Failure;
use crate::web;

/// Where to listen.
#[derive(Args)]
pub(crate) struct Arguments {
    /// Address and port; only this machine itself while there are no accounts
    #[arg(long, default_value = "127.0.0.1:8017")]
    listen: SocketAddr,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    if !arguments.listen.ip().is_loopback() {
        return Err(Failure::Input(format!(
            "--listen is {}: without accounts the pages are for this machine alone, because anyone on the network could change a job. Allowed: a loopback address such as 127.0.0.1:8017.",
            arguments.listen
        )));
    }
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|e| Failure::Ours(format!("the runtime does not start ({e})")))?;
    let outcome = runtime.block_on(web::serve(arguments.listen));
    runtime.shutdown_timeout(std::time::Duration::from_secs(2));
    outcome
}
