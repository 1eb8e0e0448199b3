//! What one person entered on a phone never goes out as another's: it waits
//! for its person, or until the other takes it over.

mod bay;

use bay::browser::Browser;
use bay::shop::{Device, FORM, PASSWORD, Running};

fn filled(browser: &Browser, fields: &[(&str, &str)]) {
    for (name, value) in fields {
        browser.run(&format!(
            "document.querySelector('main [name={name}]').value = '{value}'"
        ));
    }
    browser.press("main form .main-deed");
}

/// Makes the owner and a technician in the browser and opens a job; its address.
fn two_people(running: &Running, browser: &Browser) -> String {
    let base = format!("http://{}", running.host);
    let code = running.setup_code().expect("a setup code");
    browser.go(&format!("{base}/first"));
    let fields = [
        ("code", &*code),
        ("shop", "North bay"),
        ("name", "Mika Example"),
        ("login", "mika"),
        ("password", PASSWORD),
    ];
    filled(browser, &fields);
    browser.wait_for("signed in", "return location.pathname !== '/first'");
    for (path, body) in [
        (
            "/people",
            format!(
                "name=Theo+Other&login=theo&role=technician&password={}",
                bay::encoded(PASSWORD)
            ),
        ),
        (
            "/jobs",
            "edit=first-0001&saw=0&name=Grey+hatch&class=hatchback".to_owned(),
        ),
    ] {
        let status = browser.run_later(&format!("const done = arguments[arguments.length - 1]; fetch('{path}', {{ method: 'POST', headers: {{ accept: 'application/json', 'content-type': 'application/x-www-form-urlencoded' }}, body: '{body}' }}).then((r) => done(r.status));"));
        assert_eq!(status, 200, "{path}");
    }
    format!("{base}/jobs/j-first-0001/readings")
}

fn enter(browser: &Browser, address: &str, login: &str) {
    let (base, path) = address.split_at(address.find("/jobs").expect("a path"));
    browser.go(&format!("{base}/sign-in?to={path}"));
    filled(browser, &[("login", login), ("password", PASSWORD)]);
    browser.wait_for(
        "signed in",
        "return location.pathname.endsWith('/readings')",
    );
}

const WHO: &str = "SELECT group_concat(name, ', ') FROM (SELECT p.name AS name FROM events e JOIN people p ON p.id = e.who WHERE e.kind = 'reading-taken' ORDER BY e.version)";

/// Two readings that Mika took without a network; then the session was gone.
fn left_by_mika(running: &Running, phone: &Browser) -> String {
    let address = two_people(running, phone);
    phone.go(&address);
    bay::cut(phone, true);
    for um in ["102", "103"] {
        bay::take(phone, um);
    }
    phone.wait_for(
        "both wait",
        "return document.documentElement.dataset.waiting === '2'",
    );
    running.sql("DELETE FROM sessions");
    bay::cut(phone, false);
    enter(phone, &address, "theo");
    phone.wait_for("whose it is", "const o = document.querySelector('.queue.others'); return !o.hidden && o.textContent.includes('Mika Example') && o.textContent.includes(': 2.')");
    address
}

#[test]
fn it_waits_for_its_person_while_another_works_on() {
    let running = Running::with(&["--listen", "0.0.0.0:0", "--plain-http"]);
    let Some(phone) = Browser::open(390, 844) else {
        return;
    };
    let address = left_by_mika(&running, &phone);
    // What the browser wrote of the network that was away and the lost session.
    assert!(!phone.complaints().is_empty());
    bay::fits(&phone, "queue-of-another-390");
    bay::take(&phone, "120");
    phone.wait_for(
        "Theo's own",
        "return document.querySelector('#taken').textContent.includes('1 reading')",
    );
    assert_eq!(running.sql(WHO), "Theo Other");
    assert_eq!(
        phone.run("return document.documentElement.dataset.waiting"),
        "2"
    );
    // A reload and a return to the network change nothing.
    phone.go(&address);
    phone.wait_for("still there", "return !document.querySelector('.queue.others').hidden && document.querySelector('.queue').hidden");
    enter(&phone, &address, "mika");
    phone.wait_for(
        "all sent",
        "return document.documentElement.dataset.waiting === '0' && document.querySelector('.queue.others').hidden",
    );
    assert_eq!(running.sql(WHO), "Theo Other, Mika Example, Mika Example");
}

#[test]
fn another_takes_it_over_only_after_being_asked() {
    let running = Running::with(&["--listen", "0.0.0.0:0", "--plain-http"]);
    let Some(phone) = Browser::open(390, 844) else {
        return;
    };
    left_by_mika(&running, &phone);
    assert!(!phone.complaints().is_empty(), "the network was away");
    phone.press(".others .take");
    phone.wait_for("the question", "return document.querySelector('.others .caution').textContent.includes('though Mika Example entered it')");
    phone.picture("queue-take-over-390");
    let count = "SELECT COUNT(*) FROM events WHERE kind = 'reading-taken'";
    assert_eq!(running.sql(count), "0", "asking sends nothing");
    phone.press(".others .take");
    phone.wait_for(
        "all sent",
        "return document.documentElement.dataset.waiting === '0'",
    );
    assert_eq!(running.sql(WHO), "Theo Other, Theo Other");
    assert_eq!(phone.complaints(), Vec::<String>::new());
}

#[test]
fn the_server_itself_turns_down_what_was_kept_for_someone_else() {
    let (running, owner) = Running::owned();
    let theo = running.person(&owner, "theo", "technician");
    running.post(
        &owner,
        "/jobs",
        "edit=first-0001&saw=0&name=Grey&class=hatchback",
    );
    let id = |device: &Device| {
        let (_, rest) = device
            .cookie
            .split_once("lapwing_who=")
            .expect("it is told");
        rest.split(['.', ';']).next().expect("an id").to_owned()
    };
    let origin = format!("https://{}", running.host);
    let sent = |device: &Device, kept_for: &str, edit: &str| {
        let headers = [
            FORM,
            ("origin", &*origin),
            ("x-lapwing-kept-for", kept_for),
            ("accept", "application/json"),
        ];
        let body = format!("edit={edit}&panel=roof&thickness=110");
        running.send(
            device,
            ("POST", "/jobs/j-first-0001/readings"),
            &headers,
            body.as_bytes(),
        )
    };
    let refused = sent(&theo, &id(&owner), "read-00001");
    assert_eq!(refused.status, 403);
    assert!(
        refused.text().contains("Someone else was signed in"),
        "{}",
        refused.text()
    );
    for (device, edit) in [(&theo, "read-00002"), (&owner, "read-00003")] {
        assert_eq!(sent(device, &id(device), edit).status, 200, "{edit}");
    }
    assert_eq!(
        sent(&Device::default(), &id(&theo), "read-00004").status,
        401
    );
    let left = running.post(&theo, "/sign-out", "");
    let gone = left
        .headers
        .iter()
        .any(|(n, v)| n == "set-cookie" && v.starts_with("lapwing_who=;"));
    assert!(gone, "{:?}", left.headers);
}
