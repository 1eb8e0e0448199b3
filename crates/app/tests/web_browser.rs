//! The pages in a real browser, at the size of a phone and of a tablet.
//!
//! Not run, and said so loudly, where no browser is installed.

mod bay;

use bay::Server;
use bay::browser::Browser;

const SIZES: [(u32, u32); 2] = [(390, 844), (1024, 768)];

/// Pages opened on both sizes, with the name of their picture.
const PAGES: [(&str, &str); 10] = [
    ("/", "start"),
    ("/jobs", "jobs"),
    ("/bench", "bench"),
    ("/film", "film"),
    ("/film?example=harbour-estate", "film-example"),
    ("/plan", "plan"),
    ("/plan/harbour-estate", "plan-example"),
    ("/exposure", "exposure"),
    ("/enquiry", "enquiry-bare"),
    ("/shop", "shop-bare"),
];

/// Nothing is wider than the screen, and every target is 48 px.
const MEASURE: &str = "
  const wide = document.documentElement.scrollWidth - (screen.width < 700 ? screen.width : innerWidth);
  const seen = (e) => e.getClientRects().length > 0 && !e.closest('p, td, small, .skip, .origins');
  const small = [...document.querySelectorAll('button, a, summary, select, input:not([type=hidden])')]
    .filter(seen).filter((e) => e.getBoundingClientRect().height < 47.5 && !e.matches('.line a'))
    .map((e) => e.outerHTML.slice(0, 90));
  return JSON.stringify({ wide, small });";

#[test]
fn every_page_fits_a_phone_and_a_tablet() {
    let server = Server::start();
    for (width, height) in SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        for (path, name) in PAGES {
            browser.go(&format!("http://{}{path}", server.host));
            browser.wait_for(
                "the page's answer",
                "return document.readyState === 'complete' && !document.querySelector('.stale')",
            );
            let measured = browser.run(MEASURE);
            assert_eq!(
                measured.as_str(),
                Some("{\"wide\":0,\"small\":[]}"),
                "{path} at {width}"
            );
            browser.picture(&format!("{name}-{width}"));
            assert_eq!(
                browser.complaints(),
                Vec::<String>::new(),
                "{path} at {width}"
            );
        }
    }
}

#[test]
fn a_slider_answers_and_a_figure_opens_the_pad() {
    let server = Server::start();
    for (width, height) in SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        browser.go(&format!("http://{}/bench?kind=rotary", server.host));
        browser.wait_for(
            "the first answer",
            "return !document.querySelector('.stale')",
        );
        let before = browser.run("return document.querySelector('.map svg').outerHTML");
        browser.run("const tilt = document.getElementById('tilt_deg'); tilt.value = 4; tilt.dispatchEvent(new Event('input', { bubbles: true }));");
        browser.wait_for(
            "the tilted answer",
            "return !document.querySelector('.stale')",
        );
        let after = browser.run("return document.querySelector('.map svg').outerHTML");
        assert_ne!(before, after, "the map did not move");
        let said = browser.run("return document.querySelector('.said').textContent");
        assert!(
            said.as_str()
                .is_some_and(|s| s.contains("Against your usual")),
            "{said}"
        );
        browser.picture(&format!("bench-tilted-{width}"));
        browser.press(".slider:has(#force_n) output button");
        for key in ["6", "2"] {
            browser.press(&format!("dialog [data-key='{key}']"));
        }
        browser.picture(&format!("bench-pad-{width}"));
        browser.press("dialog [value=take]");
        browser.wait_for(
            "the typed answer",
            "return !document.querySelector('.stale') && location.search.includes('force_n=62')",
        );
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
}

#[test]
fn the_bay_is_dark_and_german_fits_too() {
    let server = Server::start();
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    browser.go(&format!("http://{}/bench", server.host));
    browser.press(".menu summary");
    browser.run("document.querySelector('[name=language]').value = 'de'; document.querySelector('[name=theme]').value = 'bay';");
    browser.press(".choices button");
    browser.wait_for("the dark page", "return document.documentElement.dataset.theme === 'bay' && document.documentElement.lang === 'de'");
    browser.wait_for("the answer", "return !document.querySelector('.stale')");
    let ground = browser.run("return getComputedStyle(document.body).backgroundColor");
    assert_eq!(ground.as_str(), Some("rgb(12, 20, 23)"));
    assert_eq!(
        browser.run("return document.documentElement.scrollWidth - innerWidth"),
        0
    );
    browser.picture("bench-bay-390");
}

#[test]
fn a_job_fits_a_phone_and_a_tablet() {
    let server = Server::start();
    let answer = server.post("/jobs/example", "edit=demo-00001&saw=0");
    let job = answer.header("location").expect("a job").to_owned();
    server.post(
        &format!("{job}/defects"),
        "edit=mark-00001&saw=1&panel=bonnet&kind=chip&note=by+the+badge",
    );
    for (width, height) in SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        for page in ["", "/wash", "/readings", "/work", "/coat", "/prove"] {
            browser.go(&format!("http://{}{job}{page}", server.host));
            browser.wait_for("the page", "return document.readyState === 'complete'");
            let measured = browser.run(MEASURE);
            assert_eq!(
                measured.as_str(),
                Some("{\"wide\":0,\"small\":[]}"),
                "{page} at {width}"
            );
            browser.picture(&format!("job{}-{width}", page.replace('/', "-")));
            assert_eq!(browser.complaints(), Vec::<String>::new(), "{page}");
        }
    }
}
