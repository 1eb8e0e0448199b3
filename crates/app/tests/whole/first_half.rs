//! From the start page to the customer's wish: kit, enquiry, walk-round, wash,
//! readings, film, test spot.

use super::Person;
use crate::bay::PAIRS;

/// Panels of the table from the gauge, and what it read there, µm.
const TABLE: [(&str, f64); 9] = [
    ("roof", 112.0),
    ("tailgate", 118.0),
    ("left front wing", 121.0),
    ("right front wing", 119.0),
    ("left front door", 124.0),
    ("right front door", 122.0),
    ("left rear door", 120.0),
    ("right rear door", 123.0),
    ("left quarter", 117.0),
];
/// Where the gauge stands on the bonnet, and what it reads.
const BONNET: [(f64, f64, &str); 6] = [
    (0.2, 0.2, "118.5"),
    (0.8, 0.25, "121"),
    (0.5, 0.5, "119.5"),
    (0.25, 0.75, "122"),
    (0.7, 0.7, "117.5"),
    (0.5, 0.85, "120"),
];

/// Kit and rates of a shop that begins.
pub(crate) fn kit(person: &Person) {
    person.open("/");
    person.look("start");
    person.go(
        ".rooms a[href='/shop']",
        "the shop",
        "return location.pathname === '/shop'",
    );
    person.browser.press_twice("main .main-deed");
    person.follow(
        "the kit",
        "return document.querySelectorAll('.marks li').length >= 12",
    );
    assert_eq!(
        person.number("return document.querySelectorAll('.deeds-done li').length"),
        1.0,
        "two taps are one kit"
    );
    person.look("shop");
}

/// A few taps, a first price, and a session that ends before it is kept.
pub(crate) fn enquiry(person: &mut Person) {
    let browser = &person.browser;
    person.open("/");
    person.go(
        ".rooms a[href='/enquiry']",
        "the enquiry",
        "return location.pathname === '/enquiry'",
    );
    browser.press("[name=class] option[value=compact-hatch]");
    for word in ["wash-swirls", "clear", "dark", "usual"] {
        browser.press(&format!(".taps label:has([value={word}])"));
    }
    browser.press(".taps label:has([name=layers][value='1'])");
    person.follow(
        "the figure",
        "return !document.querySelector('.stale') && location.search.includes('layers=1')",
    );
    let price = person.text("#figure dd");
    assert!(price.contains('€'), "{price}");
    browser.type_in("[name=name]", "Grey hatch");
    browser.type_in("[name=car]", "five years, two owners");
    person.look("enquiry");
    person.lose_session();
    browser.press("main .main-deed");
    person.follow(
        "the refusal",
        "return document.getElementById('sign-in-again') !== null",
    );
    person.forgive_the_end();
    person.look("signed-out");
    browser.press("#sign-in-again");
    person.sign_in("the enquiry", "return location.pathname === '/enquiry'");
    for (name, kept) in [
        ("name", "Grey hatch"),
        ("car", "five years, two owners"),
        ("class", "compact-hatch"),
    ] {
        let stands = browser.run(&format!(
            "return document.querySelector('main [name={name}]').value"
        ));
        assert_eq!(stands.as_str(), Some(kept), "nothing is lost");
    }
    assert_eq!(person.text("#figure dd"), price);
    browser.press_twice("main .main-deed");
    person.follow("the job", "return location.pathname.startsWith('/jobs/j-')");
    let at = browser.run("return location.pathname");
    person.job = at.as_str().expect("an address").to_owned();
}

/// A mark on the flat car and a photo of it.
pub(crate) fn walk_round(person: &Person) {
    let browser = &person.browser;
    browser.press(&format!(
        "#car {} [data-panel='front-door-left']",
        person.car()
    ));
    for form in [".mark-form:not(.photo-form)", ".photo-form"] {
        let chosen = browser.run(&format!(
            "return document.querySelector('{form} [name=panel]').value"
        ));
        assert_eq!(chosen.as_str(), Some("front-door-left"), "{form}");
    }
    browser.press("[name=kind] option[value=scratch]");
    browser.press("[name=extent] option[value=hand]");
    browser.type_in("[name=note]", "by the handle");
    browser.press_twice(".mark-form:not(.photo-form) .main-deed");
    person.follow(
        "the mark",
        "return document.querySelectorAll('#marks li').length === 1",
    );
    // The mark can be chosen for the photo at once.
    browser.press("#photo-mark option:nth-child(2)");
    let photo = person.photo("IMG 0001.JPG", 900);
    browser.type_in(".photo-form [type=file]", photo.to_str().expect("a path"));
    browser.press_twice(".photo-form button");
    person.follow("the photo", "const i = document.querySelector('#photos img'); return i !== null && i.complete && i.naturalWidth === 1280");
    assert_eq!(
        person.number("return document.querySelectorAll('#photos img').length"),
        1.0
    );
    person.look("intake");
}

/// The wash list; the session ends in the middle and nothing is lost.
pub(crate) fn wash(person: &Person) {
    let browser = &person.browser;
    person.enter("/wash");
    browser.type_in("#wash li:nth-child(1) [name=minutes]", "12");
    browser.press_twice("#wash li:nth-child(1) button");
    person.follow(
        "the first item",
        "return document.querySelectorAll('#wash .done').length === 1",
    );
    person.lose_session();
    browser.press("#wash li:nth-child(2) button");
    person.follow(
        "the way in",
        "return document.querySelector('.queue a.button') !== null",
    );
    assert_eq!(
        person.number("return Number(document.documentElement.dataset.waiting)"),
        1.0
    );
    browser.press(".queue a.button");
    person.sign_in("the list", "return location.pathname.endsWith('/wash')");
    person.forgive_the_end();
    person.follow(
        "the second item",
        "return document.querySelectorAll('#wash .done').length === 2",
    );
    for item in 3..=8 {
        browser.press(&format!("#wash li:nth-child({item}) button"));
        person.follow(
            "the next item",
            &format!("return document.querySelectorAll('#wash .done').length === {item}"),
        );
    }
    assert_eq!(
        browser
            .run("return document.querySelector('#wash li:nth-child(1) [name=minutes]').value")
            .as_str(),
        Some("12")
    );
    person.look("wash");
}

/// Six readings on the pad, a table from the gauge for the rest.
pub(crate) fn readings(person: &Person) {
    let browser = &person.browser;
    person.enter("/readings");
    browser.press(&format!("#car {} [data-panel='bonnet']", person.car()));
    for (at, (across, down, um)) in BONNET.iter().enumerate() {
        person.follow(
            "the panel",
            "return document.querySelector('.panel-places .face') !== null",
        );
        browser.touch(".panel-places .face", (*across, *down));
        person.follow(
            "the place",
            "return document.querySelector('.panel-places .place') !== null",
        );
        for key in um.chars() {
            browser.press(&format!(".pad-keys [data-key='{key}']"));
        }
        browser.press(".reading-form .main-deed");
        person.follow(
            "the reading",
            &format!(
                "return document.querySelectorAll('#taken li').length === {}",
                at + 1
            ),
        );
        person.settle();
    }
    let mut table = "panel,thickness_um,u_mm,v_mm\n".to_owned();
    for (panel, um) in TABLE {
        for (at, (u, v)) in [
            (100, 100),
            (600, 120),
            (350, 300),
            (120, 420),
            (620, 430),
            (380, 180),
        ]
        .iter()
        .enumerate()
        {
            let um = um + [0.0, 2.0, -1.5, 1.0, -2.0, 0.5][at];
            table += &format!("{panel},{um:.1},{u},{v}\n");
        }
    }
    let file = person.file("gauge.csv", table.as_bytes());
    browser.press("main details.no-print summary");
    browser.type_in("[name=file]", file.to_str().expect("a path"));
    browser.press_twice("form[action$='/import'] button");
    person.follow("the table", "return document.querySelector('#tables')?.textContent.includes('gauge.csv') && document.querySelectorAll('#taken li').length === 6");
    person.look("readings");
    // Back over the form that was sent and forward again: nothing is sent twice.
    browser.run("history.back()");
    person.settle();
    browser.run("history.forward()");
    person.follow(
        "the readings again",
        "return document.querySelectorAll('#taken li').length === 6 && document.querySelectorAll('#tables li').length === 1",
    );
}

/// What may go, and the rule that binds.
pub(crate) fn film(person: &Person) {
    person.enter("/film");
    person.follow(
        "the film",
        "return document.querySelector('#film .panel-film') !== null",
    );
    person.settle();
    person.look("film");
    person
        .browser
        .press(".panel-film[data-later*='/bonnet?'] summary");
    person.follow("the map", "return document.querySelector('.panel-film[open] .film-map svg') !== null && !document.querySelector('.stale')");
    assert_eq!(
        person.number("return document.querySelectorAll('.panel-film[open] td b').length"),
        1.0,
        "one rule binds"
    );
    person.look("film-map");
}

/// The test spot, its curve and what the customer wishes.
pub(crate) fn trial(person: &Person) {
    let browser = &person.browser;
    person.enter("/trial");
    person.look("trial-empty");
    browser.press("[name=panel] option[value=bonnet]");
    browser.press("details .reading-form button");
    person.follow(
        "the pairs",
        "return document.querySelector('#pairs') !== null",
    );
    for (at, (before, after)) in PAIRS.iter().enumerate() {
        browser.type_in("[name=before]", before);
        browser.type_in("[name=after]", after);
        browser.press_twice("[data-clears] .main-deed");
        person.follow(
            "the pair",
            &format!(
                "return document.querySelectorAll('#pairs li').length === {}",
                at + 1
            ),
        );
    }
    person.settle();
    person.follow(
        "the curve",
        "return document.querySelector('.curve svg') !== null",
    );
    let before = person.text(".wish-cost");
    for _ in 0..5 {
        browser.key("#wish", '\u{E012}');
    }
    assert_ne!(
        person.text(".wish-cost"),
        before,
        "the cost follows the finger"
    );
    browser.press_twice(".wish .main-deed");
    person.follow(
        "the wish",
        "return document.querySelector('.wish .plate') !== null",
    );
    person.look("trial");
}
