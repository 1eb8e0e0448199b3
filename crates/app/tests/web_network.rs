//! The bay on a network: TLS under the shop's own authority, judged by two
//! libraries that did not make it, a certificate that was brought, a proxy,
//! and what is said and refused in the clear.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests run the program and read what it kept"
)]

mod bay;

use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::time::Duration;

use bay::shop::{Device, Running};
use rcgen::{CertificateParams, Issuer, KeyPair};
use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};
use sha2::{Digest as _, Sha256};

fn network() -> Running {
    Running::with(&["--listen", "0.0.0.0:0", "--name", "bay.example.org"])
}

/// Asks over TLS, trusting one authority; the answer, or why not.
fn asked(host: &str, name: &str, trusted: &[u8], path: &str) -> Result<String, String> {
    let mut roots = RootCertStore::empty();
    let trusted = CertificateDer::from(trusted.to_vec());
    roots.add(trusted).map_err(|e| e.to_string())?;
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .expect("protocols")
        .with_root_certificates(roots)
        .with_no_client_auth();
    let server = ServerName::try_from(name.to_owned()).expect("a name");
    let client = ClientConnection::new(Arc::new(config), server).map_err(|e| e.to_string())?;
    let stream = TcpStream::connect(host).expect("it listens");
    stream
        .set_read_timeout(Some(Duration::from_secs(30)))
        .expect("a limit");
    let mut stream = StreamOwned::new(client, stream);
    let port = host.rsplit(':').next().expect("a port");
    let request = format!(
        "GET {path} HTTP/1.1\r\nhost: {name}:{port}\r\naccept: text/html\r\nconnection: close\r\n\r\n"
    );
    stream
        .write_all(request.as_bytes())
        .map_err(|e| e.to_string())?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).map_err(|e| e.to_string())?;
    Ok(String::from_utf8_lossy(&answer).into_owned())
}

fn authority(running: &Running) -> Vec<u8> {
    let answer = running.get(&Device::default(), "/trust/authority.crt");
    assert_eq!(answer.status, 200);
    assert_eq!(
        answer.header("content-type"),
        Some("application/x-x509-ca-cert")
    );
    answer.body
}

#[test]
fn a_phone_that_trusts_the_authority_gets_in_and_another_does_not() {
    let running = network();
    let trusted = authority(&running);
    for name in ["127.0.0.1", "localhost", "bay.example.org"] {
        let answer = asked(&running.host, name, &trusted, "/healthz").expect(name);
        assert!(answer.starts_with("HTTP/1.1 200"), "{name}: {answer}");
    }
    let other = asked(&running.host, "other.example.org", &trusted, "/healthz");
    assert!(other.is_err_and(|e| e.contains("certificate")));
    let stranger = network();
    let foreign = asked(
        &running.host,
        "127.0.0.1",
        &authority(&stranger),
        "/healthz",
    );
    assert!(foreign.is_err_and(|e| e.contains("certificate")));
}

#[test]
fn the_fingerprint_is_the_certificates_and_stands_on_screen_and_page() {
    let running = network();
    let sum = Sha256::digest(authority(&running));
    let plain: String = sum.iter().map(|b| format!("{b:02X}")).collect();
    let printed = running.printed.join("\n").replace(' ', "");
    assert!(printed.contains(&plain), "{printed}");
    let page = running.get(&Device::default(), "/trust");
    assert_eq!(page.status, 200);
    assert!(page.text().replace(' ', "").contains(&plain));
    assert!(running.printed.iter().any(|l| l.contains("/trust")));
}

#[test]
fn in_the_clear_only_the_way_is_shown() {
    let running = network();
    let nobody = Device::default();
    let page = running.get(&nobody, "/sign-in?to=/jobs");
    assert_eq!(page.status, 308);
    let secure = format!("https://{}/sign-in?to=/jobs", running.host);
    assert_eq!(page.header("location"), Some(&*secure));
    let sent = running.send(&nobody, ("POST", "/sign-in"), &[], b"login=a&password=b");
    assert_eq!(sent.status, 403);
    assert!(sent.header("set-cookie").is_none());
    let api = running.send(&nobody, ("POST", "/api/bench"), &[], b"");
    assert_eq!(api.status, 403);
}

#[test]
fn what_the_authority_keeps_is_for_its_owner_only_and_stays_the_same() {
    let running = network();
    let first = authority(&running);
    let folder = running.data().join("authority");
    for name in ["key.pem", "certificate.pem", "names.txt"] {
        let mode = fs::metadata(folder.join(name))
            .expect("a file")
            .permissions();
        assert_eq!(mode.mode() & 0o077, 0, "{name}");
    }
    let kept = fs::read(folder.join("key.pem")).expect("a key");
    let copied = tempfile::tempdir().expect("a folder");
    let again = copied.path().join("lapwing-data/authority");
    fs::create_dir_all(&again).expect("made");
    for name in ["key.pem", "certificate.pem", "names.txt"] {
        fs::copy(folder.join(name), again.join(name)).expect("copied");
    }
    let second = Running::in_folder(copied, &["--listen", "0.0.0.0:0"]);
    assert_eq!(authority(&second), first);
    let key = second.data().join("authority/key.pem");
    assert_eq!(fs::read(key).expect("a key"), kept);
}

/// With the authority's own key a thief may at most pretend to be something
/// on a private network: for a name of the internet its word counts nothing.
#[test]
fn the_authority_cannot_vouch_for_the_internet() {
    let running = network();
    let trusted = authority(&running);
    let folder = running.data().join("authority");
    let key = fs::read_to_string(folder.join("key.pem")).expect("a key");
    let key = KeyPair::from_pem(&key).expect("a key");
    let mut params = CertificateParams::new(Vec::new()).expect("parameters");
    let mark = Sha256::digest(key.public_key_raw());
    let name = format!("Lapwing shop authority {:02X}{:02X}", mark[0], mark[1]);
    params
        .distinguished_name
        .push(rcgen::DnType::CommonName, name);
    let issuer = Issuer::new(params, key);
    for (name, is_good) in [("bank.example.com", false), ("till.local", true)] {
        let server = KeyPair::generate().expect("a key");
        let mut forged = CertificateParams::new(vec![name.to_owned()]).expect("parameters");
        forged.not_after = rcgen::date_time_ymd(2040, 1, 1);
        let forged = forged.signed_by(&server, &issuer).expect("signed");
        let files = tempfile::tempdir().expect("a folder");
        let at = |file: &str| files.path().join(file);
        fs::write(at("c.pem"), forged.pem()).expect("written");
        fs::write(at("k.pem"), server.serialize_pem()).expect("written");
        let thief = brought(&at("c.pem"), &at("k.pem"));
        let answer = asked(&thief.host, name, &trusted, "/healthz");
        assert_eq!(answer.is_ok(), is_good, "{name}: {answer:?}");
    }
}

fn brought(certificate: &Path, key: &Path) -> Running {
    let text = |path: &Path| path.to_str().expect("a path").to_owned();
    Running::with(&[
        "--listen",
        "0.0.0.0:0",
        "--name",
        "till.local",
        "--name",
        "bank.example.com",
        "--certificate",
        &text(certificate),
        "--key",
        &text(key),
    ])
}

#[test]
fn openssl_agrees_about_the_chain() {
    let running = network();
    let trusted = running.data().join("authority/certificate.pem");
    let seen = Command::new("openssl")
        .args(["s_client", "-connect", &running.host, "-CAfile"])
        .arg(&trusted)
        .args(["-verify_return_error", "-verify_ip", "127.0.0.1"])
        .stdin(std::process::Stdio::null())
        .output();
    let Ok(seen) = seen else {
        eprintln!("NOT RUN: openssl is not installed (apt-get install openssl).");
        return;
    };
    let said = String::from_utf8_lossy(&seen.stdout).into_owned();
    assert!(said.contains("Verify return code: 0 (ok)"), "{said}");
}

#[test]
fn wrong_certificates_and_ways_are_refused_with_a_sentence() {
    let files = tempfile::tempdir().expect("a folder");
    let at = |file: &str| files.path().join(file).to_str().expect("a path").to_owned();
    let (one, other) = (
        KeyPair::generate().expect("a key"),
        KeyPair::generate().expect("a key"),
    );
    let params = CertificateParams::new(vec!["a.local".to_owned()]).expect("parameters");
    fs::write(at("c.pem"), params.self_signed(&one).expect("signed").pem()).expect("written");
    fs::write(at("k.pem"), other.serialize_pem()).expect("written");
    fs::write(at("junk.pem"), "no certificate").expect("written");
    let (c, k, junk) = (at("c.pem"), at("k.pem"), at("junk.pem"));
    for (arguments, word) in [
        (
            vec!["--listen", "127.0.0.1:0", "--certificate", &c, "--key", &k],
            "cannot be used",
        ),
        (
            vec![
                "--listen",
                "127.0.0.1:0",
                "--certificate",
                &junk,
                "--key",
                &k,
            ],
            "junk.pem",
        ),
        (
            vec![
                "--listen",
                "127.0.0.1:0",
                "--certificate",
                &c,
                "--key",
                "/no/such",
            ],
            "--key",
        ),
        (
            vec!["--listen", "127.0.0.1:0", "--certificate", &c],
            "--key",
        ),
        (vec!["--listen", "0.0.0.0:0", "--behind-proxy"], "loopback"),
        (vec!["--listen", "192.0.2.77:1"], "nobody can listen"),
        (
            vec!["--listen", "127.0.0.1:0", "--name", "https://x"],
            "--name",
        ),
    ] {
        let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
            .arg("serve")
            .args(&arguments)
            .current_dir(files.path())
            .output()
            .expect("it runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
}

#[test]
fn plain_http_on_a_network_is_asked_for_and_cautioned_and_has_accounts() {
    let running = Running::with(&["--listen", "0.0.0.0:0", "--plain-http"]);
    assert!(running.printed.join("\n").contains("Caution: --plain-http"));
    let nobody = Device::default();
    assert_eq!(
        running.get(&nobody, "/jobs").header("location"),
        Some("/first")
    );
    assert!(running.setup_code().is_some());
    assert_eq!(running.get(&nobody, "/trust").status, 404);
}

#[test]
fn a_foreign_name_is_turned_down_on_a_network() {
    let running = network();
    let trusted = authority(&running);
    let head = "GET /healthz HTTP/1.1\r\nhost: evil.example\r\nconnection: close\r\n\r\n";
    let answer = bay::exchange(&running.host, head.as_bytes(), b"");
    assert_eq!(answer.status, 421);
    assert!(asked(&running.host, "bay.example.org", &trusted, "/healthz").is_ok());
}

/// Asks from another address of this machine, as a proxy or anyone else would.
fn from_address(source: &str, host: &str, request: &str) -> (u16, String) {
    let answer = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime")
        .block_on(async {
            use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
            let socket = tokio::net::TcpSocket::new_v4().expect("a socket");
            let source = format!("{source}:0").parse().expect("an address");
            socket.bind(source).expect("bound");
            let mut stream = socket
                .connect(host.parse().expect("an address"))
                .await
                .expect("connected");
            stream.write_all(request.as_bytes()).await.expect("sent");
            let mut all = String::new();
            stream.read_to_string(&mut all).await.expect("read");
            all
        });
    let status = answer.split(' ').nth(1).and_then(|s| s.parse().ok());
    (status.expect("a status"), answer)
}

/// A wrong setup code, said to come from an address.
fn wrong_code(host: &str, said_from: &str) -> String {
    let body = "code=AAAA-AAAA-AAAA&shop=x&name=x&login=eve&password=four+plain+words";
    format!(
        "POST /first HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\nx-forwarded-proto: https\r\nx-forwarded-for: {said_from}\r\ncontent-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    )
}

fn wait_s(answer: &str) -> u64 {
    let (_, after) = answer.split_once("retry-after: ").expect("how long");
    after
        .split('\r')
        .next()
        .and_then(|s| s.parse().ok())
        .expect("seconds")
}

#[test]
fn a_named_proxy_is_believed_and_forged_words_from_elsewhere_are_not() {
    let running = Running::with(&["--listen", "127.0.0.1:0", "--behind-proxy", "127.0.0.2"]);
    let host = &running.host;
    // Ten codes at once from one address, then one each six seconds.
    for _ in 0..10 {
        assert_eq!(
            from_address("127.0.0.2", host, &wrong_code(host, "198.51.100.1")).0,
            403
        );
    }
    let (status, answer) = from_address("127.0.0.2", host, &wrong_code(host, "198.51.100.1"));
    assert_eq!(status, 429, "{answer}");
    let first = wait_s(&answer);
    assert!((1..=6).contains(&first), "{first}");
    assert!(answer.contains(&format!("Wait {first} s")), "{answer}");
    std::thread::sleep(std::time::Duration::from_millis(2100));
    let (_, answer) = from_address("127.0.0.2", host, &wrong_code(host, "198.51.100.1"));
    assert!(wait_s(&answer) + 2 <= first, "{first}, then {answer}");
    let other = from_address("127.0.0.2", host, &wrong_code(host, "198.51.100.2"));
    assert_eq!(other.0, 403, "another sender is not held up: {}", other.1);
    // Whoever comes past the proxy is turned away, whatever it says.
    for source in ["127.0.0.1", "127.0.0.3"] {
        let forged = from_address(source, host, &wrong_code(host, "127.0.0.2"));
        assert_eq!(forged.0, 403, "{}", forged.1);
        assert!(
            forged.1.contains("only the shop's proxy")
                || forged.1.contains("only the shop&#39;s proxy"),
            "{}",
            forged.1
        );
    }
}

#[test]
fn without_a_proxy_forged_senders_are_one_sender() {
    let running = Running::with(&["--listen", "0.0.0.0:0", "--plain-http"]);
    let host = &running.host;
    let tries: Vec<u16> = (0..11)
        .map(|n| {
            from_address(
                "127.0.0.1",
                host,
                &wrong_code(host, &format!("198.51.100.{n}")),
            )
            .0
        })
        .collect();
    assert_eq!(tries[..10], [403; 10]);
    assert_eq!(
        tries[10], 429,
        "counted by who called, not by what was said"
    );
}
