//! Every page a visitor can reach by links: it answers, it is fit for a screen
//! reader and the content policy, and no field of it can be made to fail.

mod bay;

use std::collections::BTreeSet;

use bay::markup::{Element, elements};
use bay::{Server, encoded};

/// What no field should choke on.
const NASTY: [&str; 14] = [
    "",
    "abc",
    "NaN",
    "1e999",
    "-1e308",
    "99999999999999999999",
    "<script>alert(1)</script>",
    "\"'><b>",
    "'; DROP TABLE job; --",
    "../../etc/passwd",
    "\u{0}",
    "{0}{1}",
    "\u{202e}\u{200d}\u{fffd}",
    "0,0,0",
];

/// Paths of every page that links lead to, from the start.
fn reachable(server: &Server) -> BTreeSet<String> {
    let opened = server.post("/jobs/example", "edit=demo-00001&saw=0");
    assert_eq!(opened.status, 303, "{}", opened.text());
    let mut known = BTreeSet::from(["/".to_owned()]);
    let mut ahead = vec!["/".to_owned()];
    while let Some(path) = ahead.pop() {
        let answer = server.get(&path);
        assert!(
            [200, 303].contains(&answer.status),
            "{path}: {}",
            answer.text()
        );
        if answer
            .header("content-type")
            .is_none_or(|t| !t.starts_with("text/html"))
        {
            continue;
        }
        for element in elements(&answer.text()) {
            let link = element.get("href").filter(|_| element.tag == "a");
            let Some(link) = link.filter(|l| l.starts_with('/')) else {
                continue;
            };
            let path = link.split(['?', '#']).next().unwrap_or(link).to_owned();
            if known.insert(path.clone()) {
                ahead.push(path);
            }
        }
    }
    known
}

fn pages(server: &Server) -> Vec<(String, String)> {
    reachable(server)
        .into_iter()
        .filter_map(|path| {
            let answer = server.get(&path);
            let is_page = answer
                .header("content-type")
                .is_some_and(|t| t.starts_with("text/html"));
            is_page.then(|| (path, answer.text()))
        })
        .collect()
}

#[test]
fn every_page_has_one_heading_a_language_landmarks_and_a_skip_link() {
    let server = Server::start();
    let pages = pages(&server);
    for page in [
        "/bench",
        "/film",
        "/plan",
        "/exposure",
        "/jobs",
        "/jobs/j-demo-00001/work",
    ] {
        assert!(pages.iter().any(|(path, _)| path == page), "{page}");
    }
    for (path, page) in pages {
        let all = elements(&page);
        let is_in_picture = |e: &Element| e.inside.iter().any(|t| t == "svg");
        let count = |tag: &str| {
            let of_tag = all.iter().filter(|e| e.tag == tag && !is_in_picture(e));
            of_tag.count()
        };
        assert_eq!(
            (count("h1"), count("main"), count("title")),
            (1, 1, 1),
            "{path}"
        );
        let root = all.iter().find(|e| e.tag == "html").expect("a root");
        assert_eq!(root.get("lang"), Some("en"), "{path}");
        let skip = all.iter().find(|e| e.tag == "a").expect("a link");
        assert_eq!(skip.get("href"), Some("#page"), "{path}");
        assert!(all.iter().any(|e| e.get("id") == Some("page")), "{path}");
        let mut ids: Vec<&str> = all.iter().filter_map(|e| e.get("id")).collect();
        ids.sort_unstable();
        let told = ids.len();
        ids.dedup();
        assert_eq!(ids.len(), told, "an id stands twice on {path}");
    }
}

#[test]
fn every_field_button_and_picture_has_a_name() {
    let server = Server::start();
    for (path, page) in pages(&server) {
        let all = elements(&page);
        let labels: Vec<&str> = all
            .iter()
            .filter(|e| e.tag == "label")
            .filter_map(|e| e.get("for"))
            .collect();
        for element in &all {
            let is_field = ["input", "select", "textarea"].contains(&element.tag.as_str())
                && element.get("type") != Some("hidden");
            if is_field {
                let by_label = element.inside.iter().any(|t| t == "label")
                    || element.get("id").is_some_and(|id| labels.contains(&id))
                    || element.get("aria-label").is_some();
                assert!(by_label, "{path}: {element:?}");
            }
            if ["button", "a", "summary"].contains(&element.tag.as_str()) {
                let is_named = !element.text.trim().is_empty()
                    || element.get("aria-label").is_some_and(|l| !l.is_empty())
                    || follows_words(&all, element);
                assert!(is_named, "{path}: {element:?}");
            }
            if element.tag == "svg" {
                let is_said = element.get("aria-hidden") == Some("true")
                    || element.get("role") == Some("img");
                assert!(is_said, "{path}: {element:?}");
            }
        }
    }
}

/// Has an element words in the element right inside it?
fn follows_words(all: &[Element], element: &Element) -> bool {
    let at = all
        .iter()
        .position(|e| std::ptr::eq(e, element))
        .unwrap_or(0);
    all.get(at + 1).is_some_and(|next| {
        next.inside.len() > element.inside.len() && !next.text.trim().is_empty()
    })
}

#[test]
fn no_page_breaks_the_content_policy() {
    let server = Server::start();
    for (path, page) in pages(&server) {
        for element in elements(&page) {
            assert!(
                element.get("style").is_none() && element.tag != "style",
                "{path}: {element:?}"
            );
            assert!(
                element.tag != "script" || element.get("src").is_some(),
                "{path}: {element:?}"
            );
            let handler = element.attributes.iter().find(|(n, _)| n.starts_with("on"));
            assert!(handler.is_none(), "{path}: {element:?}");
            for name in ["src", "href", "action"] {
                let outside = element.get(name).filter(|v| v.contains("://"));
                assert!(outside.is_none(), "{path}: {element:?}");
            }
        }
    }
}

#[test]
fn every_asset_a_page_names_is_there_and_kept() {
    let server = Server::start();
    for (path, page) in pages(&server) {
        for element in elements(&page) {
            let address = match element.tag.as_str() {
                "link" => element.get("href"),
                "script" => element.get("src"),
                _ => None,
            };
            let Some(address) = address else { continue };
            let answer = server.get(address);
            assert_eq!(answer.status, 200, "{path}: {address}");
            assert!(!answer.body.is_empty(), "{address}");
            // Only what carries a mark of its content may be kept for long.
            let kept = answer
                .header("cache-control")
                .is_some_and(|c| c.contains("immutable"));
            assert_eq!(kept, address.starts_with("/assets/"), "{address}");
        }
    }
}

#[test]
fn a_page_weighs_under_150_kb_with_its_styles_and_modules() {
    let server = Server::start();
    for (path, page) in pages(&server) {
        let mut weight = page.len();
        for element in elements(&page) {
            let address = element
                .get("href")
                .filter(|_| element.tag == "link")
                .or(element.get("src"));
            weight += address.map_or(0, |a| server.get(a).body.len());
        }
        let fonts: usize = ["400", "600", "700"]
            .iter()
            .map(|w| {
                server
                    .get(&format!("/assets/x/fonts/ahn-{w}.woff2"))
                    .body
                    .len()
            })
            .sum();
        assert!(fonts > 10_000);
        assert!(
            weight + fonts < 150_000,
            "{path} weighs {} bytes",
            weight + fonts
        );
    }
}

#[test]
fn nasty_words_in_every_field_get_a_sentence_and_never_a_fault() {
    let server = Server::start();
    let mut forms = 0;
    for (path, page) in pages(&server) {
        for (method, action, names) in forms_of(&path, &page) {
            forms += 1;
            for name in &names {
                for nasty in NASTY {
                    let fields = format!("{}={}", encoded(name), encoded(nasty));
                    let answer = match method.as_str() {
                        "post" => server.post(&action, &fields),
                        _ => server.get(&format!("{action}?{fields}")),
                    };
                    let text = answer.text();
                    assert!(answer.status < 500, "{method} {action} {fields}: {text}");
                    assert!(!text.contains("<script>alert"), "{action} {fields}");
                    if answer.status >= 400 {
                        assert!(
                            text.contains("class=\"fault\""),
                            "{action} {fields}: {text}"
                        );
                    }
                }
            }
        }
    }
    assert!(forms > 2, "the forms were not found");
}

/// Method, action and field names of every form on a page.
fn forms_of(path: &str, page: &str) -> Vec<(String, String, Vec<String>)> {
    let mut forms: Vec<(String, String, Vec<String>)> = Vec::new();
    for element in elements(page) {
        if element.tag == "form" && element.get("method") != Some("dialog") {
            let action = element.get("action").unwrap_or(path);
            let method = element.get("method").unwrap_or("get");
            forms.push((method.to_owned(), action.to_owned(), Vec::new()));
        }
        let is_field = ["input", "select", "textarea"].contains(&element.tag.as_str());
        if let (true, Some(name), Some(form)) = (is_field, element.get("name"), forms.last_mut()) {
            form.2.push(name.to_owned());
        }
    }
    forms
}

#[test]
fn the_choices_hold_on_the_next_page() {
    let server = Server::start();
    let chosen = server.post("/choose", "language=de&units=us&theme=bay&back=%2Fbench");
    assert_eq!(
        (chosen.status, chosen.header("location")),
        (303, Some("/bench"))
    );
    let cookies: Vec<&str> = chosen
        .headers
        .iter()
        .filter(|(n, _)| n == "set-cookie")
        .filter_map(|(_, v)| v.split(';').next())
        .collect();
    assert_eq!(cookies.len(), 3);
    let page = server.send("GET", "/bench", &[("cookie", &cookies.join("; "))], b"");
    let text = page.text();
    for word in [
        "lang=\"de\"",
        "data-theme=\"bay\"",
        "Der Prüfstand",
        "in/s",
        "°F",
        "mil",
    ] {
        assert!(text.contains(word), "{word}");
    }
    let away = server.post("/choose", "language=de&back=%2F%2Fexample.org");
    assert_eq!(away.header("location"), Some("/"));
}
