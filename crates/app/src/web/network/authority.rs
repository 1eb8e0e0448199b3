//! The shop's own authority: a certificate that the shop's phones trust once,
//! and that vouches for this server from then on.
//!
//! Law: the authority may vouch only for private addresses and for the names
//! the bay had when it was made (name constraints, RFC 5280 section 4.2.1.10),
//! so a phone that trusts it risks nothing elsewhere. Its key and certificate
//! stay in the data folder, readable by their owner only. The server's
//! certificate is made anew for each address it is called at and lives 397
//! days at most; a running server makes a new one every 30 days.
//! Source: RFC 5280; RFC 1918, 3927, 4193 for the private ranges; 397 days is
//! what browsers take.
//! Left out: withdrawing; delete the folder `authority` and trust the new one.
//! Checked by: `tests/web_network.rs`, where OpenSSL judges both certificates.

use std::collections::HashMap;
use std::fs;
use std::io::Write as _;
use std::net::IpAddr;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant, SystemTime};

use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType,
    ExtendedKeyUsagePurpose, GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose,
    NameConstraints,
};
use rustls::ServerConfig;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};
use sha2::{Digest as _, Sha256};

use crate::failure::Failure;

const DAY: Duration = Duration::from_hours(24);
const AUTHORITY_LASTS_DAYS: u32 = 3650;
const SERVER_LASTS_DAYS: u32 = 396;
const RENEWED_AFTER: Duration = Duration::from_hours(30 * 24);
/// Ends of names that belong to nobody on the internet.
const PRIVATE_ENDS: [&str; 5] = ["local", "lan", "internal", "home.arpa", "localhost"];
/// Ranges of addresses that belong to nobody on the internet.
const PRIVATE_RANGES: [(&str, u8); 8] = [
    ("10.0.0.0", 8),
    ("172.16.0.0", 12),
    ("192.168.0.0", 16),
    ("169.254.0.0", 16),
    ("127.0.0.0", 8),
    ("fc00::", 7),
    ("fe80::", 10),
    ("::1", 128),
];

/// The authority with its key.
pub(crate) struct Authority {
    issuer: Issuer<'static, KeyPair>,
    certificate: CertificateDer<'static>,
    names: Vec<String>,
    made: Mutex<HashMap<IpAddr, (Instant, Arc<ServerConfig>)>>,
}

impl Authority {
    /// Takes the authority of the folder, or makes one at the first start.
    ///
    /// # Errors
    /// When the folder cannot be written or read, or a name was added that
    /// the authority may not vouch for.
    pub(crate) fn in_folder(folder: &Path, names: &[String]) -> Result<Self, Failure> {
        if !folder.join("certificate.pem").exists() {
            make(folder, names)?;
        }
        let read = |name: &str| {
            fs::read_to_string(folder.join(name)).map_err(|e| {
                Failure::Input(format!(
                    "{}: cannot be read ({e}). Put it back from a backup, or delete the folder and let every phone trust the new authority.",
                    folder.join(name).display()
                ))
            })
        };
        let key = KeyPair::from_pem(&read("key.pem")?).map_err(broken)?;
        let certificate = CertificateDer::from_pem_slice(read("certificate.pem")?.as_bytes())
            .map_err(|e| Failure::Input(format!("certificate.pem is damaged ({e:?}).")))?;
        let allowed: Vec<String> = read("names.txt")?.lines().map(str::to_owned).collect();
        if let Some(name) = names.iter().find(|name| !may_vouch(name, &allowed)) {
            return Err(Failure::Input(format!(
                "The shop's authority was made before the name \"{name}\" was given, and may not vouch for it. Leave the name out, bring a certificate with --certificate and --key, or delete {} and let every phone trust the new authority.",
                folder.display()
            )));
        }
        Ok(Self {
            issuer: Issuer::new(params_of(&key, &allowed)?, key),
            certificate,
            names: names.to_vec(),
            made: Mutex::new(HashMap::new()),
        })
    }

    /// What the phone fetches.
    pub(crate) fn certificate(&self) -> &[u8] {
        &self.certificate
    }

    /// SHA-256 of the certificate, as phones show it, in groups of two bytes.
    pub(crate) fn fingerprint(&self) -> String {
        let sum = Sha256::digest(&self.certificate);
        let groups = sum.chunks(2).map(|pair| {
            let sign = |b: &u8| format!("{b:02X}");
            pair.iter().map(sign).collect::<String>()
        });
        groups.collect::<Vec<_>>().join(" ")
    }

    /// How to speak TLS to someone who called this address.
    pub(crate) fn server_at(&self, address: IpAddr) -> Result<Arc<ServerConfig>, Failure> {
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((since, config)) = made.get(&address)
            && since.elapsed() < RENEWED_AFTER
        {
            return Ok(Arc::clone(config));
        }
        let config = Arc::new(self.server(address)?);
        made.insert(address, (Instant::now(), Arc::clone(&config)));
        Ok(config)
    }

    fn server(&self, address: IpAddr) -> Result<ServerConfig, Failure> {
        let mut names = vec!["localhost".to_owned(), address.to_string()];
        names.extend(self.names.iter().cloned());
        names.dedup();
        let mut params = CertificateParams::new(names.clone()).map_err(broken)?;
        params.distinguished_name = called("Lapwing bay");
        params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        params.use_authority_key_identifier_extension = true;
        (params.not_before, params.not_after) = life(SERVER_LASTS_DAYS);
        let key = KeyPair::generate().map_err(broken)?;
        let signed = params.signed_by(&key, &self.issuer).map_err(broken)?;
        let chain = vec![signed.der().clone(), self.certificate.clone()];
        config(chain, PrivatePkcs8KeyDer::from(key.serialize_der()).into())
    }
}

/// TLS with a certificate that was brought.
pub(crate) fn brought(certificate: &Path, key: &Path) -> Result<Arc<ServerConfig>, Failure> {
    let wrong = |option: &str, path: &Path, why: String| {
        Failure::Input(format!(
            "{option} {}: {why}. It should be a PEM file that this program may read.",
            path.display()
        ))
    };
    let chain: Result<Vec<_>, _> = CertificateDer::pem_file_iter(certificate)
        .map_err(|e| wrong("--certificate", certificate, format!("{e:?}")))?
        .collect();
    let chain = chain.map_err(|e| wrong("--certificate", certificate, format!("{e:?}")))?;
    if chain.is_empty() {
        let why = "it holds no certificate".to_owned();
        return Err(wrong("--certificate", certificate, why));
    }
    let key =
        PrivateKeyDer::from_pem_file(key).map_err(|e| wrong("--key", key, format!("{e:?}")))?;
    config(chain, key).map(Arc::new)
}

fn config(
    chain: Vec<CertificateDer<'static>>,
    key: PrivateKeyDer<'static>,
) -> Result<ServerConfig, Failure> {
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let no_fit = |e: rustls::Error| {
        Failure::Input(format!(
            "Certificate and key cannot be used ({e}). The key should be the one the certificate was made for."
        ))
    };
    let mut config = ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .map_err(no_fit)?
        .with_no_client_auth()
        .with_single_cert(chain, key)
        .map_err(no_fit)?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(config)
}

/// Makes key and certificate; the certificate last, so that a broken start
/// makes them anew.
fn make(folder: &Path, names: &[String]) -> Result<(), Failure> {
    let key = KeyPair::generate().map_err(broken)?;
    // A machine may have an address of the open internet, too.
    let own = super::own_address().filter(|own| !is_private(*own));
    let allowed: Vec<String> = PRIVATE_ENDS
        .iter()
        .map(|end| (*end).to_owned())
        .chain(names.iter().cloned())
        .chain(own.map(|own| own.to_string()))
        .collect();
    let certificate = params_of(&key, &allowed)?
        .self_signed(&key)
        .map_err(broken)?;
    let written = fs::create_dir_all(folder)
        .and_then(|()| keep(&folder.join("key.pem"), &key.serialize_pem()))
        .and_then(|()| keep(&folder.join("names.txt"), &allowed.join("\n")))
        .and_then(|()| keep(&folder.join("certificate.pem"), &certificate.pem()));
    written.map_err(|e| {
        Failure::Input(format!(
            "{}: the shop's authority cannot be kept there ({e}). Free some space, or name a folder you may write to.",
            folder.display()
        ))
    })
}

fn params_of(key: &KeyPair, allowed: &[String]) -> Result<CertificateParams, Failure> {
    let mut params = CertificateParams::new(Vec::new()).map_err(broken)?;
    let mark = Sha256::digest(key.public_key_raw());
    params.distinguished_name = called(&format!(
        "Lapwing shop authority {:02X}{:02X}",
        mark[0], mark[1]
    ));
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let mut permitted: Vec<GeneralSubtree> = Vec::new();
    for name in allowed {
        permitted.push(match name.parse::<IpAddr>() {
            Ok(address) => {
                let whole = if address.is_ipv4() { 32 } else { 128 };
                GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(address, whole))
            }
            Err(_) => GeneralSubtree::DnsName(name.clone()),
        });
    }
    for (address, bits) in PRIVATE_RANGES {
        if let Ok(address) = address.parse() {
            permitted.push(GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(
                address, bits,
            )));
        }
    }
    params.name_constraints = Some(NameConstraints {
        permitted_subtrees: permitted,
        excluded_subtrees: Vec::new(),
    });
    (params.not_before, params.not_after) = life(AUTHORITY_LASTS_DAYS);
    Ok(params)
}

/// From yesterday, because phones' clocks differ, for so many days.
fn life<T: From<SystemTime>>(days: u32) -> (T, T) {
    let begin = SystemTime::now() - DAY;
    (begin.into(), (begin + DAY * days).into())
}

fn called(name: &str) -> DistinguishedName {
    let mut called = DistinguishedName::new();
    called.push(DnType::CommonName, name);
    called
}

/// Whether the authority may vouch for a name or an address.
fn may_vouch(name: &str, allowed: &[String]) -> bool {
    if name.parse().is_ok_and(is_private) {
        return true;
    }
    allowed.iter().any(|end| {
        name == end
            || name
                .strip_suffix(end.as_str())
                .is_some_and(|n| n.ends_with('.'))
    })
}

/// Whether an address belongs to nobody on the internet.
fn is_private(address: IpAddr) -> bool {
    let bits = |address: IpAddr| match address {
        IpAddr::V4(four) => (u128::from(four.to_bits()) << 96, true),
        IpAddr::V6(six) => (six.to_bits(), false),
    };
    let (number, is_four) = bits(address);
    PRIVATE_RANGES.iter().any(|(range, length)| {
        range.parse().is_ok_and(|range| {
            let (range, of_four) = bits(range);
            is_four == of_four && (number ^ range) >> (128 - u32::from(*length)) == 0
        })
    })
}

/// Writes a file that only its owner may read.
fn keep(path: &Path, text: &str) -> std::io::Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    let mut file = options.open(path)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

fn broken(error: rcgen::Error) -> Failure {
    Failure::Input(format!(
        "The shop's authority cannot be used ({error}). Put the folder `authority` back from a backup, or delete it and let every phone trust the new one."
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_vouches_for_private_names_and_those_it_was_made_with() {
        let allowed = ["local".to_owned(), "bay.example.org".to_owned()];
        for name in ["tablet.local", "bay.example.org"] {
            assert!(may_vouch(name, &allowed), "{name}");
        }
        for name in ["example.org", "notlocal", "evilbay.example.org"] {
            assert!(!may_vouch(name, &allowed), "{name}");
        }
    }

    #[test]
    fn private_addresses_are_told_from_others() {
        for private in [
            "10.1.2.3",
            "172.31.0.1",
            "192.168.1.9",
            "fd12::1",
            "fe80::1",
            "::1",
        ] {
            assert!(private.parse().is_ok_and(is_private), "{private}");
        }
        for open in ["172.32.0.1", "11.0.0.1", "192.0.2.2", "2001:db8::1", "::2"] {
            assert!(!open.parse().is_ok_and(is_private), "{open}");
        }
    }

    #[test]
    fn the_second_start_finds_the_same_authority() {
        let folder = tempfile::tempdir().expect("a folder");
        let names = ["shop.example".to_owned()];
        let first = Authority::in_folder(folder.path(), &names).expect("made");
        let again = Authority::in_folder(folder.path(), &names).expect("found");
        assert_eq!(first.fingerprint(), again.fingerprint());
        let other = ["late.example".to_owned()];
        let refused = Authority::in_folder(folder.path(), &other).err();
        assert!(refused.is_some_and(|e| e.to_string().contains("late.example")));
    }
}
