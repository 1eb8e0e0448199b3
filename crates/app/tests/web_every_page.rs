//! Every page that a link leads to, at the size of a phone and of a tablet:
//! nothing wider than the screen, every target 48 px, no barrier that axe
//! calls serious, in light and dark; a picture of each under
//! `target/screenshots`.
//!
//! Source of the barriers: axe-core, rules of WCAG 2.1 A and AA. It is fetched
//! by `tests/fetch_axe` into `target/axe`; without it that part is not run,
//! and said so loudly.

#![allow(
    clippy::disallowed_methods,
    reason = "the test reads the fetched program"
)]

mod bay;

use std::collections::BTreeSet;
use std::path::PathBuf;

use bay::Server;
use bay::browser::Browser;
use serde_json::{Value, json};

const SIZES: [(u32, u32); 2] = [(390, 844), (1024, 768)];
/// A page of a job that was followed far enough.
const MOST_PAGES: usize = 60;

/// Nothing is wider than the screen, and every target is 48 px.
const MEASURE: &str = "
  const wide = document.documentElement.scrollWidth - innerWidth;
  const seen = (e) => e.getClientRects().length > 0 && !e.closest('p, td, li > span, small, .skip, .origins');
  const small = [...document.querySelectorAll('button, a, summary, select, input:not([type=hidden])')]
    .filter(seen).filter((e) => e.getBoundingClientRect().height < 47.5 && !e.matches('.line a, [type=checkbox], [type=radio]'))
    .map((e) => e.outerHTML.slice(0, 90));
  return JSON.stringify({ wide, small });";

const LINKS: &str = "
  return [...document.querySelectorAll('a[href]')].filter((a) => a.origin === location.origin && !a.hasAttribute('download'))
    .map((a) => a.pathname + a.search).filter((p) => !/\\.(pdf|json|svg|zip|ics|csv)$/.test(p) && !p.startsWith('/assets') && p.length < 90);";

fn axe() -> Option<String> {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("../axe");
    let file = std::fs::read_dir(&folder)
        .ok()?
        .filter_map(Result::ok)
        .next()?;
    std::fs::read_to_string(file.path()).ok()
}

/// A job far enough along that each of its pages has something to show.
fn job(server: &Server) -> String {
    let answer = server.post("/jobs/example", "edit=demo-00001&saw=0");
    let job = answer.header("location").expect("a job").to_owned();
    server.post(
        &format!("{job}/defects"),
        "edit=mark-00001&saw=1&panel=bonnet&kind=chip&note=by+the+badge",
    );
    bay::try_spot(server, &job);
    let key = {
        let text = server.get(&format!("{job}/work")).text();
        let (_, after) = text.split_once("name=\"key\" value=\"").expect("a section");
        after.split('"').next().expect("its key").to_owned()
    };
    server.post(
        &format!("{job}/work"),
        &format!("edit=begin-0001&key={key}&deed=begin"),
    );
    job
}

#[test]
fn every_page_fits_and_has_no_serious_barrier() {
    let server = Server::start();
    let job = job(&server);
    let axe = axe();
    if axe.is_none() {
        let must = std::env::var("LAPWING_MUST_TEST").unwrap_or_default();
        assert!(
            !must.split(',').any(|word| word == "axe"),
            "axe must run here; crates/app/tests/fetch_axe fetches it"
        );
        eprintln!(
            "NOT RUN: barriers were not looked for; crates/app/tests/fetch_axe fetches axe-core."
        );
    }
    let mut faults = Vec::new();
    for (width, height) in SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        let mut open = vec![
            "/".to_owned(),
            job.clone(),
            format!("{job}/work"),
            "/offline".to_owned(),
        ];
        let mut seen = BTreeSet::new();
        while let Some(path) = open.pop() {
            if seen.len() >= MOST_PAGES || !seen.insert(path.clone()) {
                continue;
            }
            let axe = axe.as_deref().filter(|_| width < 700);
            let address = format!("http://{}{path}", server.host);
            let name = path.replace(&job, "job");
            faults.extend(look_at(&browser, (&address, &name, width), axe));
            let links = browser.run(LINKS);
            let fresh = links
                .as_array()
                .into_iter()
                .flatten()
                .filter_map(Value::as_str);
            open.extend(fresh.map(str::to_owned).filter(|p| !seen.contains(p)));
        }
        eprintln!("{} pages at {width}: {seen:?}", seen.len());
        assert!(seen.len() > 12, "the links lead nowhere: {seen:?}");
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Opens a page, keeps its picture and says what is wrong with it.
fn look_at(
    browser: &Browser,
    (address, name, width): (&str, &str, u32),
    axe: Option<&str>,
) -> Vec<String> {
    browser.go(address);
    browser.wait_for(
        address,
        "return document.readyState === 'complete' && !document.querySelector('.stale, .working')",
    );
    let measured = browser.run(MEASURE);
    let mut faults = Vec::new();
    if measured.as_str() != Some("{\"wide\":0,\"small\":[]}") {
        faults.push(measured.to_string());
    }
    let file = name.replace(|c: char| !c.is_ascii_alphanumeric(), "-");
    browser.picture(&format!("every-{file}-{width}"));
    faults.extend(browser.complaints());
    faults.extend(axe.into_iter().flat_map(|axe| barriers(browser, axe)));
    let told = |fault| format!("{name} at {width}: {fault}");
    faults.into_iter().map(told).collect()
}

/// What axe calls serious or critical, in both themes.
fn barriers(browser: &Browser, axe: &str) -> Vec<String> {
    browser.run(&format!("if (!window.axe) {{ {axe} }}"));
    let mut found = Vec::new();
    for theme in ["light", "bay"] {
        browser.run(&format!(
            "document.documentElement.dataset.theme = '{theme}'"
        ));
        let answer = browser.run_later(
            "const done = arguments[arguments.length - 1];
             axe.run(document, { resultTypes: ['violations'] })
               .then((r) => done(r.violations.filter((v) => ['serious', 'critical'].includes(v.impact))
                 .map((v) => v.id + ': ' + v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120) + ' ' + n.any.map((a) => a.message).join(' ')).join(' | '))))
               .catch((e) => done(['axe failed: ' + e]));",
        );
        let told = answer
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_str);
        found.extend(told.map(|t| format!("{theme}: {t}")));
    }
    found
}

#[test]
fn a_printed_page_has_white_paper_and_no_buttons() {
    let server = Server::start();
    let job = job(&server);
    let Some(browser) = Browser::open(1024, 768) else {
        return;
    };
    browser.run("return 1");
    for path in [
        format!("{job}/film?now=yes"),
        format!("{job}/trial?now=yes"),
        format!("{job}/plan?now=yes"),
        job.clone(),
    ] {
        browser.go(&format!("http://{}{path}", server.host));
        browser.run("document.documentElement.dataset.theme = 'bay'");
        browser.own("Emulation.setEmulatedMedia", &json!({ "media": "print" }));
        let ground = browser.run("return getComputedStyle(document.body).backgroundColor");
        assert_eq!(ground.as_str(), Some("rgb(255, 255, 255)"), "{path}");
        let shown = browser.run("return [...document.querySelectorAll('button, .menu, .stepper, input, select')].filter((e) => e.getClientRects().length > 0).length");
        assert_eq!(shown, 0, "{path}");
        let name = path
            .replace(&job, "job")
            .replace(|c: char| !c.is_ascii_alphanumeric(), "-");
        browser.picture(&format!("print-{name}"));
        browser.own("Emulation.setEmulatedMedia", &json!({ "media": "" }));
    }
}
