//! Accounts in the running program: the first owner, signing in and out,
//! roles, phones, changing tokens, and how often one may try.

#![allow(clippy::disallowed_methods, reason = "these tests run the program")]

mod bay;

use bay::shop::{Device, FORM, PASSWORD, Running};
use bay::{Server, encoded};

fn sign_in(running: &Running, login: &str, password: &str, from: &str) -> u16 {
    let fields = format!("login={login}&password={}", encoded(password));
    let origin = ("origin", &*format!("https://{}", running.host));
    let headers = [FORM, origin, ("x-forwarded-for", from)];
    let nobody = Device::default();
    running
        .send(&nobody, ("POST", "/sign-in"), &headers, fields.as_bytes())
        .status
}

#[test]
fn the_first_owner_needs_the_printed_code_and_is_made_once() {
    let running = Running::empty();
    let nobody = Device::default();
    assert_eq!(
        running.get(&nobody, "/jobs").header("location"),
        Some("/first")
    );
    let form = |code: &str, login: &str| {
        let password = encoded(PASSWORD);
        format!("code={code}&shop=North+bay&name=Mika&login={login}&password={password}")
    };
    for code in ["", "AAAA-AAAA-AAAA", "'%20OR%201=1"] {
        let answer = running.post(&nobody, "/first", &form(code, "mika"));
        assert_eq!(answer.status, 403, "{code}");
    }
    let code = running.setup_code().expect("a code");
    let typed = code.to_lowercase().replace('-', "+");
    let made = running.post(&nobody, "/first", &form(&typed, "mika"));
    assert_eq!(made.status, 303, "{}", made.text());
    let mika = Device::from(&made);
    assert!(running.get(&mika, "/account").text().contains("North bay"));
    assert_eq!(
        running.post(&nobody, "/first", &form(&code, "eve")).status,
        409
    );
    assert_eq!(
        running.get(&nobody, "/first").header("location"),
        Some("/sign-in")
    );
}

#[test]
fn the_cookie_is_out_of_reach_for_scripts_and_other_sites() {
    let (running, _) = Running::owned();
    let fields = format!("login=mika&password={}", encoded(PASSWORD));
    let answer = running.post(&Device::default(), "/sign-in", &fields);
    let set = answer.headers.iter().map(|(_, value)| value);
    let cookie = set
        .clone()
        .find(|v| v.contains("session"))
        .expect("a cookie");
    for word in [
        "__Host-lapwing_session=",
        "HttpOnly",
        "Secure",
        "SameSite=Lax",
        "Path=/",
    ] {
        assert!(cookie.contains(word), "{cookie}");
    }
    assert!(!cookie.contains("Domain"), "{cookie}");
    // Over plain HTTP the secure cookie counts for nothing.
    let head = format!(
        "GET /jobs HTTP/1.1\r\nhost: {}\r\nconnection: close\r\ncookie: {}\r\n\r\n",
        running.host,
        cookie.split(';').next().expect("a pair")
    );
    assert_eq!(
        bay::exchange(&running.host, head.as_bytes(), b"").status,
        401
    );
}

#[test]
fn signing_out_ends_the_session_and_a_new_password_ends_them_all() {
    let (running, owner) = Running::owned();
    let phone = running.person(&owner, "vera", "viewer");
    let tablet = running.signed_in("vera");
    assert_eq!(running.get(&phone, "/jobs").status, 200);
    assert_eq!(running.post(&phone, "/sign-out", "").status, 303);
    assert_eq!(running.get(&phone, "/jobs").status, 303);
    assert_eq!(running.get(&tablet, "/jobs").status, 200);
    let wrong = "old=not+this+one+no&password=other+plain+words+here";
    assert_eq!(
        running.post(&tablet, "/account/password", wrong).status,
        422
    );
    let right = format!("old={}&password=other+plain+words+here", encoded(PASSWORD));
    let changed = running.post(&tablet, "/account/password", &right);
    assert_eq!(changed.status, 303, "{}", changed.text());
    assert_eq!(running.get(&tablet, "/jobs").status, 303);
    assert_eq!(running.get(&Device::from(&changed), "/jobs").status, 200);
}

#[test]
fn a_role_changes_at_once_and_who_has_left_is_out_at_once() {
    let (running, owner) = Running::owned();
    let theo = running.person(&owner, "theo", "technician");
    let open = "edit=open-00001&saw=0&name=One&car=x&class=estate";
    assert_eq!(running.post(&theo, "/jobs", open).status, 303);
    let people = running.get(&owner, "/people").text();
    let before = people.split("/password").next().expect("a form");
    let id = before.rsplit("/people/").next().expect("an id");
    let role = format!("/people/{id}/role");
    assert_eq!(
        running.post(&owner, &role, "role=viewer&active=yes").status,
        303
    );
    let again = "edit=open-00002&saw=0&name=Two&car=x&class=estate";
    assert_eq!(running.post(&theo, "/jobs", again).status, 403);
    assert_eq!(running.get(&theo, "/jobs").status, 200);
    assert_eq!(running.post(&owner, &role, "role=viewer").status, 303);
    assert_eq!(running.get(&theo, "/jobs").status, 303);
    assert_eq!(sign_in(&running, "theo", PASSWORD, "192.0.2.1"), 401);
}

#[test]
fn the_history_names_who_did_it() {
    let (running, owner) = Running::owned();
    let session = running.get(&owner, "/api/session").text();
    let session: serde_json::Value = serde_json::from_str(&session).expect("JSON");
    let open = "edit=open-00001&saw=0&name=One&car=x&class=estate";
    assert_eq!(running.post(&owner, "/jobs", open).status, 303);
    let who = session["person"].as_str().expect("an id");
    let told = running.sql("SELECT who FROM events WHERE id = 'open-00001'");
    assert_eq!(told, who);
}

#[test]
fn a_token_turns_as_it_is_used_and_a_session_ends() {
    let (running, owner) = Running::owned();
    assert!(running.get(&owner, "/jobs").header("set-cookie").is_none());
    running.sql("UPDATE sessions SET turned_ms = turned_ms - 16 * 60000");
    let turned = running.get(&owner, "/jobs");
    assert_eq!(turned.status, 200);
    let newer = Device::from(&turned);
    assert!(newer.cookie.contains("session=") && newer.cookie != owner.cookie);
    assert_eq!(running.get(&newer, "/jobs").status, 200);
    running.sql("UPDATE sessions SET expires_ms = 1");
    let over = running.get(&newer, "/jobs/x?y=1");
    assert_eq!(over.status, 303);
    assert_eq!(
        over.header("location"),
        Some("/sign-in?to=%2Fjobs%2Fx%3Fy%3D1")
    );
    let json = [("accept", "application/json")];
    let queued = running.send(&newer, ("POST", "/jobs"), &json, b"");
    assert_eq!(
        queued.status, 401,
        "what waits in a queue must not be lost in a redirect"
    );
}

#[test]
fn a_change_needs_a_page_of_ours_or_the_form_token() {
    let (running, owner) = Running::owned();
    let post = |headers: &[(&str, &str)]| {
        let headers = [&[FORM], headers].concat();
        let fields = b"language=en";
        running
            .send(&owner, ("POST", "/choose"), &headers, fields)
            .status
    };
    let own = format!("https://{}", running.host);
    assert_eq!(post(&[("origin", &own)]), 303);
    assert_eq!(post(&[("sec-fetch-site", "same-origin")]), 303);
    assert_eq!(post(&[]), 403);
    assert_eq!(post(&[("origin", "https://evil.example")]), 403);
    assert_eq!(post(&[("origin", "null")]), 403);
    assert_eq!(post(&[("sec-fetch-site", "cross-site")]), 403);
    let session = running.get(&owner, "/api/session").text();
    let session: serde_json::Value = serde_json::from_str(&session).expect("JSON");
    let token = session["form_token"].as_str().expect("a token");
    assert_eq!(post(&[("x-lapwing-form-token", token)]), 303);
    assert_eq!(post(&[("x-lapwing-form-token", "0")]), 403);
    let shop = [
        ("x-forwarded-host", "bay.example.org"),
        ("origin", "https://bay.example.org"),
    ];
    assert_eq!(post(&shop), 303, "a proxy with the shop's own name");
}

#[test]
fn a_phone_gets_in_once_with_the_square_and_looking_uses_nothing() {
    let (running, owner) = Running::owned();
    let vera = running.person(&owner, "vera", "viewer");
    let page = running.post(&vera, "/pair", "").text();
    let address = read_square(page.rsplit("class=\"qr\"").next().expect("a square"));
    let (base, path) = address.split_at(address.find("/pair/").expect("a path"));
    assert_eq!(base, format!("https://{}", running.host));
    let phone = Device::default();
    for _ in 0..2 {
        assert_eq!(running.get(&phone, path).status, 200);
    }
    let paired = running.post(&phone, path, "");
    assert_eq!(paired.status, 303, "{}", paired.text());
    let phone = Device::from(&paired);
    assert!(
        running
            .get(&phone, "/account")
            .text()
            .contains("Someone vera")
    );
    assert_eq!(running.post(&Device::default(), path, "").status, 404);
    let other = format!("/pair/{}", "0".repeat(64));
    assert_eq!(running.post(&Device::default(), &other, "").status, 404);
    assert_eq!(
        running
            .post(
                &vera,
                "/pair",
                "person=01a213f6-0000-7000-8000-000000000000"
            )
            .status,
        403
    );
}

/// Reads the square of a page with a decoder of other people's making.
fn read_square(svg: &str) -> String {
    let side: usize = svg
        .split("viewBox=\"0 0 ")
        .nth(1)
        .and_then(|s| s.split(' ').next())
        .and_then(|s| s.parse().ok())
        .expect("a side");
    let path = svg.split(" d=\"").nth(1).expect("a path");
    let path = path.split('"').next().expect("its end");
    let mut dark = vec![false; side * side];
    for module in path.split('M').skip(1) {
        let place = module.split('h').next().expect("a place");
        let (x, y) = place.split_once(' ').expect("two numbers");
        let (x, y): (usize, usize) = (x.parse().expect("x"), y.parse().expect("y"));
        dark[y * side + x] = true;
    }
    const SCALE: usize = 4;
    let mut picture =
        rqrr::PreparedImage::prepare_from_bitmap(side * SCALE, side * SCALE, |x, y| {
            dark[(y / SCALE) * side + x / SCALE]
        });
    let grids = picture.detect_grids();
    let (_, text) = grids.first().expect("a square").decode().expect("readable");
    text
}

#[test]
fn too_many_passwords_for_one_login_or_from_one_place_must_wait() {
    let (running, _) = Running::owned();
    // Eight for one login, from wherever; one was the owner's own.
    let mut refused = 0;
    for i in 0..12 {
        let status = sign_in(
            &running,
            "eve",
            "wrong words all of them",
            &format!("192.0.2.{i}"),
        );
        assert!(status == 401 || status == 429, "{status}");
        refused += usize::from(status == 429);
    }
    assert_eq!(refused, 4);
    assert_eq!(sign_in(&running, "mika", PASSWORD, "192.0.2.50"), 303);
    // Twenty from one place, for whomever.
    let from_one: Vec<u16> = (0..24)
        .map(|i| {
            sign_in(
                &running,
                &format!("n{i}"),
                "wrong words all of them",
                "203.0.113.5",
            )
        })
        .collect();
    assert!(from_one[..20].iter().all(|s| *s == 401), "{from_one:?}");
    assert!(from_one.contains(&429), "{from_one:?}");
    assert_eq!(sign_in(&running, "mika", PASSWORD, "203.0.113.6"), 303);
}

#[test]
fn alone_on_this_machine_nobody_signs_in_until_there_is_an_account() {
    let server = Server::start();
    assert_eq!(server.get("/jobs").status, 200);
    assert_eq!(server.get("/people").header("location"), Some("/first"));
    let add = "name=x&login=x&role=viewer&password=four+plain+words+here";
    assert_eq!(server.post("/people", add).status, 422);
    let fields = format!(
        "shop=Bay&name=Mika&login=mika&password={}",
        encoded(PASSWORD)
    );
    let made = server.post("/first", &fields);
    assert_eq!(made.status, 303, "{}", made.text());
    assert_eq!(server.get("/jobs").status, 401);
}

#[test]
fn choices_follow_a_person_to_another_device() {
    let (running, owner) = Running::owned();
    let chosen = running.post(&owner, "/choose", "language=de&units=us&theme=bay");
    assert_eq!(chosen.status, 303);
    let tablet = running.signed_in("mika");
    let text = running.get(&tablet, "/account").text();
    assert!(
        text.contains("lang=\"de\"") && text.contains("Ihr Konto"),
        "{text}"
    );
}
