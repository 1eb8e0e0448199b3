//! The app's shell: pages without a network on the machine itself, readings
//! and work that arrive once and in order, double taps, the back button, two
//! devices on one job.

#![allow(clippy::disallowed_methods, reason = "these tests measure time")]

mod bay;

use std::time::{Duration, Instant};

use bay::Server;
use bay::browser::Browser;

const WORKER_IS_THERE: &str = "return navigator.serviceWorker.controller !== null";

#[test]
fn a_page_opened_before_comes_without_a_server_and_its_readings_arrive_once() {
    let mut server = Server::start();
    let job = bay::opened(&server);
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    let address = format!("http://{}{job}/readings", server.host);
    browser.go(&address);
    browser.wait_for("the worker", WORKER_IS_THERE);
    browser.go(&address);
    bay::take(&browser, "101");
    browser.wait_for(
        "the first",
        "return document.querySelector('#taken').textContent.includes('1 reading')",
    );
    server.stop();
    bay::take(&browser, "102");
    browser.wait_for(
        "the queue",
        "return document.documentElement.dataset.waiting === '1'",
    );
    // Reloaded without a server: the page, its style and the queue are there.
    browser.go(&address);
    browser.wait_for("the page from the device", "return document.querySelector('.reading-form') !== null && !document.querySelector('.queue').hidden && document.querySelector('.queue').textContent.includes('1')");
    let styled =
        browser.run("return getComputedStyle(document.querySelector('.main-deed')).minHeight");
    assert_eq!(
        styled.as_str(),
        Some("64px"),
        "the styles came from the device"
    );
    bay::take(&browser, "103");
    browser.wait_for(
        "both wait",
        "return document.documentElement.dataset.waiting === '2'",
    );
    browser.picture("readings-reloaded-offline-390");
    // A page never opened says so in its own words.
    browser.go(&format!("http://{}{job}/wash", server.host));
    assert!(
        browser
            .run("return document.body.textContent")
            .as_str()
            .is_some_and(|t| t.contains("was not opened on this device"))
    );
    server.start_again();
    browser.go(&address);
    browser.wait_for(
        "all sent",
        "return document.documentElement.dataset.waiting === '0'",
    );
    browser.wait_for(
        "all three",
        "return document.querySelector('#taken').textContent.includes('3 readings')",
    );
    once_and_newest_first(&server, &job, ["103.0", "102.0", "101.0"]);
}

fn once_and_newest_first(server: &Server, job: &str, films: [&str; 3]) {
    let text = before_the_past(&server.get(&format!("{job}/readings")).text());
    let places = films.map(|um| text.find(um).unwrap_or_else(|| panic!("{um} is missing")));
    assert!(places.is_sorted(), "{places:?}");
    for um in films {
        assert_eq!(text.matches(um).count(), 1, "{um}");
    }
}

/// A page without its list of deeds, which names readings once more.
fn before_the_past(text: &str) -> String {
    let (page, _) = text.split_once("id=\"past\"").expect("a list of deeds");
    page.to_owned()
}

/// Done far too early is asked about once: the second press answers.
fn done_all_the_same(browser: &Browser) {
    browser.press(".work-deeds .done button");
    browser.wait_for(
        "the question",
        "return document.querySelector('.work-deeds .done .asked') !== null",
    );
    std::thread::sleep(Duration::from_millis(600));
    browser.press(".work-deeds .done button");
}

#[test]
fn work_stops_without_a_network_are_delivered_in_order() {
    let server = Server::start();
    let job = bay::example(&server);
    server.get(&format!("{job}/work"));
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    browser.go(&format!("http://{}{job}/work", server.host));
    browser.press(".work-deeds .done button");
    browser.wait_for(
        "it runs",
        "return document.querySelector('.work-deeds .stop') !== null",
    );
    bay::cut(&browser, true);
    std::thread::sleep(Duration::from_millis(600));
    browser.press(".work-deeds .stop button");
    std::thread::sleep(Duration::from_millis(600));
    done_all_the_same(&browser);
    browser.wait_for(
        "both wait",
        "return document.documentElement.dataset.waiting === '2'",
    );
    browser.picture("work-offline-390");
    bay::cut(&browser, false);
    browser.wait_for("the next section", "return document.documentElement.dataset.waiting === '0' && document.querySelector('.work-deeds .done button').textContent.includes('Begin')");
    let past = server.get(&job).text();
    let at = |words: &str| {
        past.find(words)
            .unwrap_or_else(|| panic!("{words} is missing"))
    };
    assert!(at("Section done") < at("Work paused") && at("Work paused") < at("Section begun"));
}

#[test]
fn a_double_tap_is_one_deed() {
    let server = Server::start();
    let job = bay::example(&server);
    server.get(&format!("{job}/work"));
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    browser.go(&format!("http://{}{job}/readings", server.host));
    let before = server
        .get(&format!("{job}/readings"))
        .text()
        .matches("Reading taken")
        .count();
    browser.run("const form = document.querySelector('.reading-form'); form.elements.thickness.value = '111'; const press = () => { form.elements.thickness.value = '111'; form.querySelector('.main-deed').click(); }; press(); press();");
    browser.wait_for(
        "sent",
        "return document.documentElement.dataset.waiting === '0'",
    );
    browser.wait_for(
        "shown",
        "return document.querySelector('#past').textContent.includes('Reading taken')",
    );
    let after = server
        .get(&format!("{job}/readings"))
        .text()
        .matches("Reading taken")
        .count();
    assert_eq!(after, before + 1);
    browser.go(&format!("http://{}{job}/work", server.host));
    browser
        .run("const b = document.querySelector('.work-deeds .done button'); b.click(); b.click();");
    browser.wait_for(
        "it runs",
        "return document.querySelector('.work-deeds .stop') !== null",
    );
    std::thread::sleep(Duration::from_millis(600));
    // Done, and at once again where Begin comes up: the section after stays shut.
    done_all_the_same(&browser);
    browser.run("document.querySelector('.work-deeds .done button').click();");
    browser.wait_for(
        "the next one waits",
        "return document.querySelector('.work-deeds .done button').textContent.includes('Begin')",
    );
    assert_eq!(server.get(&job).text().matches("Section begun").count(), 1);
}

#[test]
fn going_back_shows_what_is_true_now() {
    let server = Server::start();
    let job = bay::opened(&server);
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    browser.go(&format!("http://{}{job}/readings", server.host));
    browser.go(&format!("http://{}{job}/wash", server.host));
    server.post(
        &format!("{job}/readings"),
        "edit=other-0001&panel=roof&thickness=120",
    );
    browser.run("history.back()");
    browser.wait_for(
        "the reading of the other device",
        "return document.querySelector('#taken')?.textContent.includes('1 reading') ?? false",
    );
    bay::take(&browser, "118");
    browser.wait_for(
        "sent",
        "return document.querySelector('#taken').textContent.includes('2 readings')",
    );
    browser.run("history.forward()");
    browser.wait_for(
        "the list",
        "return document.querySelector('#wash') !== null",
    );
    browser.run("history.back()");
    browser.wait_for(
        "both",
        "return document.querySelector('#taken')?.textContent.includes('2 readings') ?? false",
    );
    let page = before_the_past(&server.get(&format!("{job}/readings")).text());
    assert_eq!(page.matches("118.0").count(), 1, "not sent again");
}

#[test]
fn two_devices_see_each_others_change_within_a_second() {
    let server = Server::start();
    let job = bay::opened(&server);
    let (Some(phone), Some(tablet)) = (Browser::open(390, 844), Browser::open(1024, 768)) else {
        return;
    };
    for browser in [&phone, &tablet] {
        browser.go(&format!("http://{}{job}/readings", server.host));
        browser.wait_for(
            "drawn",
            "return document.querySelector('.panel-places') !== null",
        );
    }
    let mut quickest = Duration::MAX;
    for (no, (here, there)) in [(&phone, &tablet), (&tablet, &phone), (&phone, &tablet)]
        .into_iter()
        .enumerate()
    {
        here.run("document.querySelector('[name=thickness]').value = '119'");
        here.press(".reading-form .main-deed");
        let since = Instant::now();
        there.wait_for(
            "the other's reading",
            &format!(
                "return document.querySelector('#taken h2').textContent.startsWith('{} reading')",
                no + 1
            ),
        );
        quickest = quickest.min(since.elapsed());
    }
    assert!(quickest < Duration::from_secs(1), "{quickest:?}");
    assert_eq!(tablet.complaints(), Vec::<String>::new());
}

#[test]
fn a_slider_answers_while_the_finger_moves() {
    let server = Server::start();
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    browser.go(&format!("http://{}/bench?kind=rotary", server.host));
    browser.wait_for(
        "the first answer",
        "return !document.querySelector('.stale')",
    );
    // A finger that moves for two seconds without a rest.
    browser.run("
      const force = document.getElementById('force_n');
      window.seen = new Set();
      new MutationObserver(() => window.seen.add(document.querySelector('.said').textContent)).observe(document.querySelector('[data-part=maps]'), { childList: true });
      let n = 0;
      const timer = setInterval(() => {
        force.value = 30 + n % 60; n += 1;
        force.dispatchEvent(new Event('input', { bubbles: true }));
        if (n > 120) { clearInterval(timer); force.dispatchEvent(new Event('change', { bubbles: true })); window.rested = true; }
      }, 16);");
    browser.wait_for(
        "the finger rests",
        "return window.rested === true && !document.querySelector('.stale')",
    );
    let seen = browser
        .run("return window.seen.size")
        .as_u64()
        .expect("a count");
    assert!(seen >= 2, "{seen} answers while the finger moved");
    let took = browser.run("return Number(document.getElementById('bench').dataset.tookMs)");
    eprintln!("answers while moving: {seen}; the last took {took} ms");
    assert!(
        browser
            .run("return location.search")
            .as_str()
            .is_some_and(|s| s.contains("force_n="))
    );
}
