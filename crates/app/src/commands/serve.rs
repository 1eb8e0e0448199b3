//! `lapwing serve`: the bay's pages, for this machine or the shop's network,
//! until it is stopped.

use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};

use clap::Args;
use lapwing_store::Places;

use crate::failure::Failure;
use crate::web::log::Lines;
use crate::web::network::{Reach, Way, checked_name, own_names};
use crate::web::{self, Wish};

/// Where things are kept, and where to listen.
#[derive(Args)]
pub(crate) struct Arguments {
    #[command(flatten)]
    kept: Kept,
    /// Address and port: this machine alone, or as 0.0.0.0:8443 the network, with TLS and accounts
    #[arg(long, default_value = "127.0.0.1:8017", value_parser = address)]
    listen: SocketAddr,
    /// A name the bay is called by on the network; may be given several times
    #[arg(long)]
    name: Vec<String>,
    /// Certificate to speak TLS with (PEM), instead of the shop's own authority
    #[arg(long, requires = "key", value_name = "FILE")]
    certificate: Option<PathBuf>,
    /// Its key (PEM)
    #[arg(long, requires = "certificate", value_name = "FILE")]
    key: Option<PathBuf>,
    /// A proxy speaks TLS to the world and passes requests on: one on this machine, or at these addresses
    #[arg(long, value_name = "ADDRESS", num_args = 0.., value_delimiter = ',',
        conflicts_with_all = ["certificate", "plain_http"])]
    behind_proxy: Option<Vec<IpAddr>>,
    /// Speak plain HTTP over the network: anyone on it can read and change all
    #[arg(long, conflicts_with = "certificate")]
    plain_http: bool,
    /// Which answers are logged, as JSON on standard error; on a network all
    #[arg(long, value_enum)]
    log: Option<Lines>,
}

/// Where things are kept.
#[derive(Args)]
pub(crate) struct Kept {
    /// Folder that holds all the shop keeps
    #[arg(long, default_value = "lapwing-data")]
    pub(crate) data: PathBuf,
    /// Database, as sqlite:FILE or postgres://USER@HOST/NAME; else in the folder
    #[arg(long)]
    database: Option<String>,
    /// Photo store, as file:///FOLDER or s3://BUCKET?endpoint=URL; else in the folder
    #[arg(long)]
    photos: Option<String>,
}

/// An address with its port, or what is wrong with it.
fn address(said: &str) -> Result<SocketAddr, String> {
    const EXAMPLES: &str = "Write it as 127.0.0.1:8017 for this machine alone, or 0.0.0.0:8443 for the shop's network.";
    if let Ok(address) = said.parse() {
        return Ok(address);
    }
    let (host, port) = said.rsplit_once(':').unwrap_or((said, ""));
    let is_host = host.parse::<IpAddr>().is_ok();
    let is_number = !port.is_empty() && port.bytes().all(|b| b.is_ascii_digit());
    Err(if is_host && is_number {
        format!("the port is {port}; allowed is 0 to 65535. {EXAMPLES}")
    } else if said.parse::<IpAddr>().is_ok() {
        format!("a port is missing behind the address. {EXAMPLES}")
    } else {
        format!("an address in numbers and a port are wanted, with a colon between. {EXAMPLES}")
    })
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let reach = arguments.reach()?;
    let places = arguments.kept.places()?;
    let lines = if reach.is_network() {
        Lines::All
    } else {
        Lines::Faults
    };
    let wish = Wish {
        reach,
        places,
        data: arguments.kept.data.clone(),
        lines: arguments.log.unwrap_or(lines),
    };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|e| Failure::Ours(format!("the runtime does not start ({e})")))?;
    let outcome = runtime.block_on(web::serve(wish));
    runtime.shutdown_timeout(std::time::Duration::from_secs(2));
    outcome
}

impl Arguments {
    fn reach(&self) -> Result<Reach, Failure> {
        let mut names: Vec<String> = self
            .name
            .iter()
            .map(|name| checked_name(name))
            .collect::<Result<_, _>>()?;
        let way = self.way()?;
        if way != Way::BehindProxy {
            names.extend(own_names());
        }
        Ok(Reach {
            address: self.listen,
            way,
            names,
            proxies: self.behind_proxy.iter().flatten().copied().collect(),
        })
    }

    fn way(&self) -> Result<Way, Failure> {
        let is_here = self.listen.ip().is_loopback();
        if let Some(proxies) = &self.behind_proxy {
            if is_here || !proxies.is_empty() {
                return Ok(Way::BehindProxy);
            }
            return Err(Failure::Input(format!(
                "--listen is {}: name the proxy's address, as --behind-proxy 10.0.0.5, so that nobody else can pretend to be it; for a proxy on this machine listen on a loopback address such as 127.0.0.1:8017.",
                self.listen
            )));
        }
        Ok(match (&self.certificate, &self.key) {
            (Some(certificate), Some(key)) => Way::Brought {
                certificate: certificate.clone(),
                key: key.clone(),
            },
            _ if is_here => Way::ThisMachine,
            _ if self.plain_http => Way::PlainOnNetwork,
            _ => Way::OwnAuthority(self.kept.data.join("authority")),
        })
    }
}

impl Kept {
    /// The places, with the folder made.
    pub(crate) fn places(&self) -> Result<Places, Failure> {
        make_folder(&self.data)?;
        let mut places = Places::in_folder(&self.data);
        if let Some(database) = &self.database {
            places.database.clone_from(database);
        }
        if let Some(photos) = &self.photos {
            places.pictures.clone_from(photos);
        }
        Ok(places)
    }
}

fn make_folder(folder: &Path) -> Result<(), Failure> {
    std::fs::create_dir_all(folder).map_err(|e| {
        Failure::Input(format!(
            "--data {}: the folder cannot be made ({e}). Name a folder you may write to.",
            folder.display()
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_that_cannot_be_is_told_with_an_example() {
        for (said, told) in [
            ("foo", "an address in numbers and a port are wanted"),
            (
                "localhost:8017",
                "an address in numbers and a port are wanted",
            ),
            (
                "127.0.0.1:99999",
                "the port is 99999; allowed is 0 to 65535",
            ),
            ("0.0.0.0", "a port is missing"),
        ] {
            let fault = address(said).expect_err("no address");
            assert!(fault.starts_with(told), "{said}: {fault}");
            assert!(fault.contains("127.0.0.1:8017"), "{fault}");
        }
        assert!(address("127.0.0.1:8017").is_ok() && address("[::1]:8017").is_ok());
    }
}
