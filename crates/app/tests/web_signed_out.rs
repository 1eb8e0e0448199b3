//! A session that ends while the phone holds readings that are not sent: they
//! stay, the page asks to sign in again, and then they go out once, in order.

mod bay;

use bay::browser::Browser;
use bay::shop::{PASSWORD, Running};

/// Fills the fields of a form and sends it.
fn filled(browser: &Browser, fields: &[(&str, &str)]) {
    for (name, value) in fields {
        browser.run(&format!(
            "document.querySelector('main [name={name}]').value = '{value}'"
        ));
    }
    browser.press("main form .main-deed");
}

/// Makes the first owner in the browser and opens a job; its address.
fn owner_with_job(running: &Running, browser: &Browser) -> String {
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
    let opened = browser.run_later("const done = arguments[arguments.length - 1]; fetch('/jobs', { method: 'POST', headers: { accept: 'application/json', 'content-type': 'application/x-www-form-urlencoded' }, body: 'edit=first-0001&saw=0&name=Grey+hatch&class=hatchback' }).then((r) => done(r.status));");
    assert_eq!(opened, 200);
    format!("{base}/jobs/j-first-0001/readings")
}

#[test]
fn readings_outlive_a_session_and_arrive_once_in_order_after_signing_in() {
    let running = Running::with(&["--listen", "0.0.0.0:0", "--plain-http"]);
    let Some(phone) = Browser::open(390, 844) else {
        return;
    };
    let address = owner_with_job(&running, &phone);
    phone.go(&address);
    bay::take(&phone, "101");
    phone.wait_for(
        "the first",
        "return document.querySelector('#taken').textContent.includes('1 reading')",
    );
    bay::cut(&phone, true);
    for um in ["102", "103"] {
        bay::take(&phone, um);
    }
    phone.wait_for(
        "both wait",
        "return document.documentElement.dataset.waiting === '2'",
    );
    running.sql("DELETE FROM sessions");
    bay::cut(&phone, false);
    phone.wait_for("the way to sign in", "const q = document.querySelector('.queue'); return !q.hidden && q.textContent.includes('Not sent yet: 2') && q.textContent.includes('signed out') && q.querySelector('a') !== null");
    // A third one, taken while signed out, waits with them.
    bay::take(&phone, "104");
    phone.wait_for("all three wait", "return document.documentElement.dataset.waiting === '3' && document.querySelector('.queue').textContent.includes('Not sent yet: 3') && document.querySelector('.queue a') !== null");
    phone.picture("readings-signed-out-390");
    let count = "SELECT COUNT(*) FROM events WHERE kind = 'reading-taken'";
    assert_eq!(running.sql(count), "1", "nothing went out unsigned");
    phone.press(".queue a");
    phone.wait_for("the door", "return location.pathname === '/sign-in'");
    filled(&phone, &[("login", "mika"), ("password", PASSWORD)]);
    phone.wait_for(
        "back at the readings",
        "return location.pathname.endsWith('/readings')",
    );
    phone.wait_for(
        "all sent",
        "return document.documentElement.dataset.waiting === '0' && document.querySelector('.queue').hidden",
    );
    phone.wait_for(
        "all four",
        "return document.querySelector('#taken').textContent.includes('4 readings')",
    );
    let taken = phone.run("return document.querySelector('#taken').textContent");
    let taken = taken.as_str().expect("words");
    let at = |um: &str| taken.find(um).unwrap_or_else(|| panic!("{um}: {taken}"));
    assert!(
        at("104.0") < at("103.0") && at("103.0") < at("102.0"),
        "{taken}"
    );
    for um in ["102.0", "103.0", "104.0"] {
        assert_eq!(taken.matches(um).count(), 1, "{um}");
    }
    assert_eq!(running.sql(count), "4");
}
