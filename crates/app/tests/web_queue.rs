//! Two browsers on one job, and a phone that loses its network.

#![allow(clippy::disallowed_methods, reason = "these tests measure time")]

mod bay;

use bay::Server;
use bay::browser::Browser;

#[test]
fn readings_taken_without_a_network_arrive_once_and_in_order() {
    let server = Server::start();
    let job = bay::opened(&server);
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    browser.go(&format!("http://{}{job}/readings", server.host));
    bay::take(&browser, "101");
    browser.wait_for(
        "the first reading",
        "return document.querySelector('#taken').textContent.includes('1 reading')",
    );
    bay::cut(&browser, true);
    for um in ["102", "103", "104"] {
        bay::take(&browser, um);
    }
    browser.wait_for("the queue to say so", "return !document.querySelector('.queue').hidden && document.querySelector('.queue').textContent.includes('3')");
    browser.picture("readings-offline-390");
    assert!(
        !server
            .get(&format!("{job}/readings"))
            .text()
            .contains("104.0")
    );
    bay::cut(&browser, false);
    browser.wait_for(
        "the queue to empty",
        "return document.documentElement.dataset.waiting === '0'",
    );
    browser.wait_for(
        "all four",
        "return document.querySelector('#taken').textContent.includes('4 readings')",
    );
    let text = server.get(&format!("{job}/readings")).text();
    // The list of deeds names each reading once more.
    let (text, _) = text.split_once("id=\"past\"").expect("a list of deeds");
    let at = |um: &str| text.find(um).unwrap_or_else(|| panic!("{um} is missing"));
    assert!(
        at("104.0") < at("103.0") && at("103.0") < at("102.0"),
        "newest first"
    );
    for um in ["102.0", "103.0", "104.0"] {
        assert_eq!(text.matches(um).count(), 1, "{um}");
    }
}

#[test]
fn a_second_device_shows_a_mark_without_a_reload() {
    let server = Server::start();
    let job = bay::opened(&server);
    let Some(phone) = Browser::open(390, 844) else {
        return;
    };
    let Some(tablet) = Browser::open(1024, 768) else {
        return;
    };
    for browser in [&phone, &tablet] {
        browser.go(&format!("http://{}{job}", server.host));
    }
    phone.run("document.querySelector('[name=note]').value = 'by the badge'; document.querySelector('#car .upright [data-panel=bonnet] path').dispatchEvent(new MouseEvent('click', { bubbles: true, clientX: 195, clientY: 300 }));");
    assert_eq!(
        phone.run("return document.querySelector('main [name=panel]').value"),
        "bonnet"
    );
    phone.press(".mark-form .main-deed");
    tablet.wait_for(
        "the phone's mark",
        "return document.querySelector('#marks').textContent.includes('by the badge')",
    );
    phone.picture("intake-390");
    tablet.picture("intake-1024");
    assert_eq!(tablet.complaints(), Vec::<String>::new());
}
