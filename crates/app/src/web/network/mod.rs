//! How the bay is reached: by this machine alone, or by the shop's network.
//!
//! Law: on this machine alone plain HTTP is enough. On a network the pages
//! come over TLS: with a certificate of the shop's own authority, with one the
//! shop brings, or through a proxy on this machine that ends TLS. Plain HTTP
//! on a network needs a word of its own on the command line.
//! Left out: HTTP/2; certificates from a public authority over ACME, which is
//! the proxy's trade.
//! Checked by: `tests/web_network.rs`.

pub(crate) mod approach;
pub(crate) mod authority;
pub(crate) mod connections;

use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::path::PathBuf;

use crate::failure::Failure;

/// How the pages travel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    /// In the clear, on this machine only.
    ThisMachine,
    /// In the clear to proxies that are known, which speak TLS to the world.
    BehindProxy,
    /// In the clear over the network, as asked.
    PlainOnNetwork,
    /// With TLS, vouched for by the shop's own authority in this folder.
    OwnAuthority(PathBuf),
    /// With TLS and a certificate that was brought.
    Brought {
        /// PEM, the server's first.
        certificate: PathBuf,
        /// PEM.
        key: PathBuf,
    },
}

/// Where to listen, and under which names.
#[derive(Clone, Debug)]
pub(crate) struct Reach {
    /// Address and port.
    pub(crate) address: SocketAddr,
    /// How the pages travel.
    pub(crate) way: Way,
    /// Names the bay answers to, besides addresses.
    pub(crate) names: Vec<String>,
    /// Addresses of the proxies that are believed; without any, this machine.
    pub(crate) proxies: Vec<IpAddr>,
}

impl Reach {
    /// Whether others than this machine can ask.
    pub(crate) fn is_network(&self) -> bool {
        self.way == Way::BehindProxy || !self.address.ip().is_loopback()
    }

    /// Whether who calls is a proxy whose word counts.
    pub(crate) fn is_proxy(&self, peer: IpAddr) -> bool {
        let is_known = if self.proxies.is_empty() {
            peer.is_loopback()
        } else {
            self.proxies.contains(&peer.to_canonical())
        };
        self.way == Way::BehindProxy && is_known
    }

    /// Whether the bay speaks TLS itself.
    pub(crate) fn is_tls(&self) -> bool {
        matches!(self.way, Way::OwnAuthority(_) | Way::Brought { .. })
    }

    /// Whether a request may name this host: a page of another name could be
    /// a trick to read ours through a browser.
    pub(crate) fn answers_to(&self, host: &str) -> bool {
        let name = name_of(host);
        if is_this_machine(name) {
            return true;
        }
        if !self.is_network() {
            return false;
        }
        if self.way == Way::BehindProxy && self.names.is_empty() {
            return !name.is_empty();
        }
        let is_own = |own: &String| own.eq_ignore_ascii_case(name);
        name.parse::<IpAddr>().is_ok() || self.names.iter().any(is_own)
    }

    /// The address to type on another device: scheme, host and port.
    pub(crate) fn address_for_others(&self, port: u16) -> String {
        let scheme = if self.is_tls() { "https" } else { "http" };
        format!("{scheme}://{}:{port}", self.host_for_others())
    }

    /// The host that another device on the network can find.
    pub(crate) fn host_for_others(&self) -> String {
        if !self.address.ip().is_unspecified() {
            return bracketed(self.address.ip());
        }
        self.names
            .iter()
            .find(|name| name.contains('.') && !name.ends_with(".local"))
            .cloned()
            .unwrap_or_else(|| bracketed(own_address().unwrap_or(self.address.ip())))
    }
}

/// The name in "name:port" or "\[address\]:port".
pub(crate) fn name_of(host: &str) -> &str {
    match host.strip_prefix('[') {
        Some(rest) => rest.split(']').next().unwrap_or_default(),
        None => host.split(':').next().unwrap_or_default(),
    }
}

/// Is it a name of the machine that nobody else has?
pub(crate) fn is_this_machine(name: &str) -> bool {
    name == "localhost" || name.parse::<IpAddr>().is_ok_and(|a| a.is_loopback())
}

fn bracketed(address: IpAddr) -> String {
    match address {
        IpAddr::V4(four) => four.to_string(),
        IpAddr::V6(six) => format!("[{six}]"),
    }
}

/// The address this machine has on its network. Nothing is sent: connecting a
/// datagram socket only looks up the way to an address kept for examples
/// (RFC 5737).
pub(crate) fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind("0.0.0.0:0").ok()?;
    socket.connect("192.0.2.1:9").ok()?;
    let address = socket.local_addr().ok()?.ip();
    (!address.is_unspecified()).then_some(address)
}

/// The names this machine has by itself: its own, and its own in `.local`.
pub(crate) fn own_names() -> Vec<String> {
    let system = rustix::system::uname();
    let name = system.nodename().to_str().unwrap_or_default();
    let name = name.split('.').next().unwrap_or_default().to_lowercase();
    let is_plain = !name.is_empty()
        && name.len() < 64
        && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    if is_plain {
        vec![format!("{name}.local"), name]
    } else {
        Vec::new()
    }
}

/// Takes a name or an address from the command line.
pub(crate) fn checked_name(name: &str) -> Result<String, Failure> {
    let is_plain = !name.is_empty()
        && name.len() < 254
        && name.split('.').all(|part| {
            (1..64).contains(&part.len())
                && part.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
        });
    if is_plain || name.parse::<IpAddr>().is_ok() {
        return Ok(name.to_lowercase());
    }
    Err(Failure::Input(format!(
        "--name is \"{name}\", which is no name of a machine. Allowed: letters, digits, hyphens and dots, such as bay.example.org; no port and no https://."
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reach(address: &str, way: Way, names: &[&str]) -> Reach {
        Reach {
            address: address.parse().expect("an address"),
            way,
            names: names.iter().map(|n| (*n).to_owned()).collect(),
            proxies: Vec::new(),
        }
    }

    #[test]
    fn alone_only_names_of_this_machine_are_answered() {
        let alone = reach("127.0.0.1:8017", Way::ThisMachine, &["bay.example.org"]);
        for host in ["localhost:8017", "127.0.0.1", "127.0.0.1:1", "[::1]:8017"] {
            assert!(alone.answers_to(host), "{host}");
        }
        for host in [
            "",
            "bay.example.org",
            "localhost.example.org",
            "10.0.0.2:8017",
            "[::2]",
        ] {
            assert!(!alone.answers_to(host), "{host}");
        }
    }

    #[test]
    fn on_a_network_its_addresses_and_names_are_answered() {
        let way = Way::OwnAuthority(PathBuf::new());
        let shop = reach("0.0.0.0:8443", way, &["bay.example.org"]);
        for host in [
            "10.0.0.2:8443",
            "[fd00::1]:8443",
            "BAY.example.org",
            "localhost",
        ] {
            assert!(shop.answers_to(host), "{host}");
        }
        for host in ["", "evil.example", "bay.example.org.evil.example"] {
            assert!(!shop.answers_to(host), "{host}");
        }
        assert!(reach("127.0.0.1:1", Way::BehindProxy, &[]).answers_to("any.example"));
        assert!(!reach("127.0.0.1:1", Way::BehindProxy, &["a.example"]).answers_to("b.example"));
    }

    #[test]
    fn names_with_tricks_are_refused() {
        for name in ["", "a b", "https://a", "a:1", "a..b", "ä", &"a".repeat(300)] {
            assert!(checked_name(name).is_err(), "{name}");
        }
        assert_eq!(
            checked_name("Bay.Example.org").ok().as_deref(),
            Some("bay.example.org")
        );
        assert!(checked_name("192.0.2.7").is_ok() && checked_name("fd00::7").is_ok());
    }
}
