//! How a request came: from where, under which name, in the clear or not.
//!
//! Law: what a proxy says (`X-Forwarded-For`, `-Proto`, `-Host`) counts only
//! with `--behind-proxy` and only from this machine or the proxies that are
//! named; of several senders the last one counts, which is the one the proxy
//! saw itself.
//! Checked by: the tests below and `tests/web_network.rs`.

use std::net::{IpAddr, Ipv4Addr};

use axum::extract::Request;
use axum::http::{HeaderMap, HeaderName, header};

use super::{Reach, Way};

/// One connection.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wire {
    /// Who called.
    pub(crate) peer: IpAddr,
    /// Whether it is spoken in TLS.
    pub(crate) is_secure: bool,
    /// Plain HTTP at a door that speaks TLS: good for fetching the shop's
    /// certificate and for nothing else.
    pub(crate) is_stray: bool,
}

/// How one request came.
#[derive(Clone, Debug)]
pub(crate) struct Approach {
    /// The sender's address.
    pub(crate) from: IpAddr,
    /// The name it asked for, with the port.
    pub(crate) host: String,
    /// Whether nobody on the way could read it.
    pub(crate) is_secure: bool,
    /// See [`Wire::is_stray`].
    pub(crate) is_stray: bool,
    /// Whether it came past the proxy that it should have come through.
    pub(crate) is_past_proxy: bool,
}

impl Approach {
    /// From the wire and the headers.
    pub(crate) fn new(request: &Request, reach: &Reach) -> Self {
        let wire = request.extensions().get::<Wire>().copied();
        let wire = wire.unwrap_or(Wire {
            peer: IpAddr::V4(Ipv4Addr::LOCALHOST),
            is_secure: false,
            is_stray: false,
        });
        Self::of(wire, request.headers(), reach)
    }

    fn of(wire: Wire, headers: &HeaderMap, reach: &Reach) -> Self {
        let is_proxy = reach.is_proxy(wire.peer);
        let said = |name: &'static str| {
            let all = headers.get_all(HeaderName::from_static(name));
            let last = all.iter().next_back().and_then(|v| v.to_str().ok());
            let last = last.filter(|_| is_proxy)?.rsplit(',').next()?.trim();
            (!last.is_empty()).then(|| last.to_owned())
        };
        let host = headers.get(header::HOST).and_then(|v| v.to_str().ok());
        let from = said("x-forwarded-for").and_then(|v| v.parse().ok());
        Self {
            from: from.unwrap_or(wire.peer),
            host: said("x-forwarded-host").unwrap_or_else(|| host.unwrap_or_default().to_owned()),
            is_secure: wire.is_secure || said("x-forwarded-proto").is_some_and(|p| p == "https"),
            is_stray: wire.is_stray,
            is_past_proxy: reach.way == Way::BehindProxy && !is_proxy,
        }
    }

    /// What an address on this server begins with.
    pub(crate) fn base(&self) -> String {
        let scheme = if self.is_secure { "https" } else { "http" };
        format!("{scheme}://{}", self.host)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(way: Way, peer: &str, headers: &[(&'static str, &'static str)]) -> Approach {
        knowing(&[], (way, peer), headers)
    }

    fn knowing(
        proxies: &[&str],
        (way, peer): (Way, &str),
        headers: &[(&'static str, &'static str)],
    ) -> Approach {
        let address = |text: &&str| text.parse().expect("an address");
        let reach = Reach {
            address: "127.0.0.1:8017".parse().expect("an address"),
            way,
            names: Vec::new(),
            proxies: proxies.iter().map(address).collect(),
        };
        let wire = Wire {
            peer: peer.parse().expect("an address"),
            is_secure: false,
            is_stray: false,
        };
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            let value = axum::http::HeaderValue::from_static(value);
            map.append(HeaderName::from_static(name), value);
        }
        Approach::of(wire, &map, &reach)
    }

    const SAID: [(&str, &str); 4] = [
        ("host", "127.0.0.1:8017"),
        ("x-forwarded-for", "198.51.100.1, 203.0.113.9"),
        ("x-forwarded-proto", "https"),
        ("x-forwarded-host", "bay.example.org"),
    ];

    #[test]
    fn a_proxy_on_this_machine_is_believed_and_only_its_own_word() {
        let came = of(Way::BehindProxy, "127.0.0.1", &SAID);
        assert_eq!(came.base(), "https://bay.example.org");
        assert_eq!(came.from.to_string(), "203.0.113.9");
    }

    #[test]
    fn a_named_proxy_is_believed_and_then_no_other_not_even_this_machine() {
        let named = ["192.0.2.4", "2001:db8::4"];
        for peer in ["192.0.2.4", "2001:db8::4", "::ffff:192.0.2.4"] {
            let came = knowing(&named, (Way::BehindProxy, peer), &SAID);
            assert_eq!(came.from.to_string(), "203.0.113.9", "{peer}");
            assert!(!came.is_past_proxy, "{peer}");
        }
        for peer in ["127.0.0.1", "192.0.2.5", "2001:db8::5"] {
            let came = knowing(&named, (Way::BehindProxy, peer), &SAID);
            assert_eq!(came.from.to_string(), peer);
            assert_eq!(came.base(), "http://127.0.0.1:8017", "{peer}");
            assert!(came.is_past_proxy, "{peer}");
        }
    }

    #[test]
    fn anyone_else_is_not_believed() {
        for (way, peer) in [
            (Way::BehindProxy, "192.0.2.4"),
            (Way::ThisMachine, "127.0.0.1"),
            (Way::PlainOnNetwork, "127.0.0.1"),
        ] {
            let came = of(way, peer, &SAID);
            assert_eq!(came.base(), "http://127.0.0.1:8017");
            assert_eq!(came.from.to_string(), peer);
        }
    }
}
