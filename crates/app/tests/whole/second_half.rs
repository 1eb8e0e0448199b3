//! From the bench to the owner's link: plan, price, work, coat, proof,
//! hand-over.

use std::time::Instant;

use super::Person;

/// Moves a slider and measures in the page how long its answer takes, ms.
pub(crate) fn bench(person: &Person) -> f64 {
    let browser = &person.browser;
    person.go(
        ".line a[href^='/bench']",
        "the bench",
        "return location.pathname === '/bench'",
    );
    person.settle();
    let mut took: Vec<f64> = (0..12)
        .map(|at| {
            let script = format!(
                "const done = arguments[arguments.length - 1];
                 const slider = document.getElementById('tilt_deg');
                 const since = performance.now();
                 new MutationObserver((_, o) => {{ o.disconnect(); done(performance.now() - since); }})
                   .observe(document.querySelector('[data-part=maps]'), {{ childList: true }});
                 slider.value = {}; slider.dispatchEvent(new Event('input', {{ bubbles: true }}));",
                0.4 + 0.3 * f64::from(at)
            );
            let ms = browser.run_later(&script).as_f64().expect("a time");
            browser.run("document.getElementById('tilt_deg').dispatchEvent(new Event('change', { bubbles: true }))");
            person.settle();
            ms
        })
        .collect();
    person.look("bench");
    took.sort_by(f64::total_cmp);
    eprintln!(
        "bench slider, input to new maps: quickest {:.0} ms, median {:.0} ms, slowest {:.0} ms",
        took[0], took[6], took[11]
    );
    browser.run("history.back()");
    person.follow(
        "the job again",
        &format!("return location.pathname === '{}/trial'", person.job),
    );
    took[6]
}

/// Sections, hours, materials, dose, and a firm price.
pub(crate) fn plan(person: &Person) {
    person.enter("/plan");
    person.follow(
        "the plan",
        "return document.querySelector('.price-gate') !== null",
    );
    person.settle();
    let rows = person.number("return document.querySelectorAll('table.work tbody tr').length");
    assert!(rows >= 8.0, "{rows} panels");
    let figures = person.number("return [...document.querySelectorAll('dl.figures dd')].filter((d) => /[0-9]/.test(d.textContent)).length");
    assert_eq!(figures, 4.0, "hours, price, panels, dose");
    let tables = person.number("return document.querySelectorAll('table.plain tr').length");
    assert!(tables > 8.0, "materials and price");
    person.look("plan");
    person
        .browser
        .print(&format!("print-plan-{}", person.width));
    person.browser.press_twice(".price-gate .main-deed");
    person.follow("work", "return location.pathname.endsWith('/work')");
    person.browser.run("history.back()");
    person.follow("the firm price", "return document.querySelector('.price-gate .plate.open')?.nextElementSibling.textContent.includes('€') ?? false");
    person.browser.run("history.forward()");
    person.follow(
        "work",
        "return document.querySelector('.work-deeds .done') !== null",
    );
}

fn press_deed(person: &Person, deed: &str) {
    person.browser.press(&format!(
        ".work-deeds form:has([value={deed}]) button, .pad-care form:has([value={deed}]) button"
    ));
    person.breathe();
}

fn has_deed(person: &Person, deed: &str) -> bool {
    let script = format!("return document.querySelector('.work-deeds [value={deed}]') !== null");
    person.browser.run(&script) == serde_json::Value::Bool(true)
}

/// A panel from its first section to the wipe check.
pub(crate) fn work(person: &Person) {
    let browser = &person.browser;
    person.look("work");
    browser.press_twice(".work-deeds .done button");
    person.follow(
        "it runs",
        "return document.querySelector('.work-deeds .stop') !== null",
    );
    let seconds = "return Number(document.querySelector('.timer').textContent.split(':')[1])";
    person.follow(
        "the timer",
        &format!("const now = () => {{ {seconds} }}; return now() >= 2"),
    );
    let ran = person.number(seconds);
    person.open(&format!("{}/work", person.job));
    assert!(person.number(seconds) >= ran, "a reload changes nothing");
    person.look("work-running");
    person.breathe();
    press_deed(person, "pause");
    assert!(has_deed(person, "begin"));
    press_deed(person, "begin");
    browser.press_twice(".work-deeds .done button");
    // Seconds of minutes: it is asked once more.
    person.follow(
        "a question",
        "return document.querySelector('.work-deeds .asked') !== null",
    );
    person.breathe();
    press_deed(person, "done");
    person.follow(
        "the next",
        "return document.querySelector('.work-deeds [value=begin]') !== null",
    );
    let done = |person: &Person| {
        person.number("return Number(document.querySelectorAll('.work-title')[1]?.textContent.match(/[0-9]+/)?.[0] ?? 0)")
    };
    let number = done(person);
    browser.press("#past .deeds-done li:first-child button");
    person.settle();
    person.follow("the section again", &format!("return Number(document.querySelectorAll('.work-title')[1]?.textContent.match(/[0-9]+/)?.[0] ?? 0) !== {number}"));
    person.breathe();
    press_deed(person, "pad");
    press_deed(person, "swap");
    let since = Instant::now();
    while !has_deed(person, "wiped") {
        assert!(since.elapsed().as_secs() < 240, "the panel has no end");
        let deed = if has_deed(person, "begin") {
            "begin"
        } else {
            "done"
        };
        press_deed(person, deed);
    }
    person.look("work-wipe");
    press_deed(person, "wiped");
    person.follow(
        "the next panel",
        "return document.querySelector('.work-deeds [value=begin]') !== null",
    );
    browser.print(&format!("print-work-{}", person.width));
}

/// Go or wait, one section laid and levelled.
pub(crate) fn coat(person: &Person) {
    let browser = &person.browser;
    person.enter("/coat");
    for (field, text) in [("air_c", "21"), ("humidity_pct", "55"), ("surface_c", "20")] {
        browser.type_in(&format!("[name={field}]"), text);
    }
    browser.press("form.readings button");
    person.follow(
        "the verdict",
        "return document.querySelector('.verdict.go') !== null",
    );
    browser.press("main [name=panel] option[value=bonnet]");
    browser.press_twice(".mark-form .main-deed");
    person.follow("the countdown", "return /^[01]:[0-9]{2}$/.test(document.querySelector('.countdowns .count')?.textContent ?? '')");
    assert_eq!(
        person.number("return document.querySelectorAll('.countdowns li').length"),
        1.0
    );
    person.look("coat");
    browser.press(".countdowns button");
    person.follow(
        "it is levelled",
        "return document.querySelector('#levelled li') !== null",
    );
}

/// Before and after under one slider, readings at the same places.
pub(crate) fn prove(person: &Person) {
    let browser = &person.browser;
    person.enter("/prove");
    let photo = person.photo("IMG 0002.JPG", 90);
    browser.press(".photo-form [name=panel] option[value='front-door-left']");
    browser.type_in(".photo-form [type=file]", photo.to_str().expect("a path"));
    browser.press(".photo-form button");
    person.follow("both sides", "return document.querySelectorAll('.compare img').length === 2 && [...document.querySelectorAll('.compare img')].every((i) => i.complete && i.naturalWidth > 0)");
    let cut = "return getComputedStyle(document.querySelector('.compare .after')).clipPath";
    let middle = browser.run(cut);
    browser.key(".compare input", '\u{E014}');
    assert_ne!(
        browser.run(cut),
        middle,
        "the slider uncovers the after side"
    );
    browser.press(".search option[value=bonnet]");
    browser.press(".search button");
    person.follow(
        "the bonnet",
        "return location.search.includes('bonnet') && document.querySelectorAll('.places [name=um]').length === 6",
    );
    for (at, um) in ["116.0", "118.1", "117.2", "119.0", "115.1", "117.3"]
        .iter()
        .enumerate()
    {
        browser.type_in(
            &format!(".places label:nth-child({}) [name=um]", at + 1),
            um,
        );
    }
    browser.press_twice("form:has([value=after]) button");
    person.follow(
        "what changed",
        "return document.querySelectorAll('#changed tbody tr').length === 1",
    );
    person.look("prove");
}

/// Signing, papers, and the owner's link for someone without a session.
pub(crate) fn hand_over(person: &Person) {
    let browser = &person.browser;
    person.enter("/handover");
    person.look("handover-draft");
    browser.press_twice("main form .main-deed");
    person.follow(
        "the record",
        "return document.querySelector('.take-along') !== null",
    );
    person.look("handover");
    browser.print(&format!("print-handover-{}", person.width));
    for (name, begins) in [
        ("record.pdf", "%PDF-"),
        ("record.json", "{"),
        ("care.ics", "BEGIN:VCALENDAR"),
        ("label.pdf", "%PDF-"),
        ("label.svg", "<svg"),
    ] {
        let script = format!(
            "const done = arguments[arguments.length - 1]; const link = document.querySelector(\".take-along a[href$='{name}']\");
             fetch(link.href).then((r) => r.text()).then((t) => done(t.slice(0, {})))",
            begins.len()
        );
        assert_eq!(browser.run_later(&script).as_str(), Some(begins), "{name}");
    }
    owners_link(person);
}

/// The link is made once and opened by someone without a session.
fn owners_link(person: &Person) {
    let browser = &person.browser;
    browser.press(".take-along a[href$='/links']");
    person.follow("the links", "return location.pathname.endsWith('/links')");
    browser.press_twice("main .main-deed");
    person.follow(
        "the link",
        "return document.querySelector('.address') !== null",
    );
    assert_eq!(
        person.number("return document.querySelectorAll('.given').length"),
        1.0,
        "two taps are one link"
    );
    person.look("link");
    let link = browser.run("return document.querySelector('.address').value");
    let path = link
        .as_str()
        .and_then(|l| l.split_once("/r/"))
        .expect("a link")
        .1
        .to_owned();
    person.lose_session();
    person.open(&format!("/r/{path}"));
    person.look("owner");
    let page = person.text("main");
    assert!(
        page.contains("five years, two owners") && !page.contains("North bay"),
        "{page}"
    );
    assert_eq!(
        person.number("return document.querySelectorAll('nav, form').length"),
        0.0
    );
    person.open(&person.job);
    person.follow(
        "the door is shut",
        "return location.pathname === '/sign-in'",
    );
}
