//! The bench opened from a job begins with the job's panel, what lies under
//! it, its clear coat and its kit, with a script and without.

mod bay;

use bay::Server;
use bay::browser::Browser;

fn value(page: &str, key: &str) -> f64 {
    let (_, rest) = page
        .split_once(&format!("name=\"{key}\" min="))
        .expect("a slider");
    let (_, rest) = rest.split_once(" value=\"").expect("a value");
    rest.split('"')
        .next()
        .and_then(|v| v.parse().ok())
        .expect("a number")
}

fn is_chosen(page: &str, word: &str) -> bool {
    page.contains(&format!("<option value=\"{word}\" selected"))
}

#[test]
fn the_bench_begins_with_what_the_job_has() {
    let server = Server::start();
    let job = bay::example(&server);
    let id = job.rsplit('/').next().expect("an id");
    // The bonnet is of aluminium, the bay is cool; the first machine is the rotary.
    let page = server
        .get(&format!(
            "/bench?job={id}&panel=bonnet&tool=rotary&pad_name=wool&polish=heavy+compound"
        ))
        .text();
    for word in ["bonnet", "aluminium", "rotary", "heavy"] {
        assert!(is_chosen(&page, word), "{word}");
    }
    assert!((value(&page, "start_c") - 18.0).abs() < 1e-9);
    assert!((value(&page, "section_mm") - 450.0).abs() < 1e-9);
    assert!(
        page.contains("Clear coat left there, worked out:"),
        "{page}"
    );
    assert!(
        page.contains("As your usual."),
        "the job's own pass is the usual one"
    );
    // Another machine of the kit, and a panel that no gauge reads.
    let page = server
        .get(&format!(
            "/bench?job={id}&panel=front-bumper&tool=long+orbital"
        ))
        .text();
    for word in ["front-bumper", "plastic", "random-orbital"] {
        assert!(is_chosen(&page, word), "{word}");
    }
    let answer = |extra: &str| {
        let answer = server.get(&format!(
            "/bench/answer?job={id}&panel=bonnet&tool=rotary{extra}"
        ));
        assert_eq!(answer.status, 200, "{}", answer.text());
        serde_json::from_slice::<serde_json::Value>(&answer.body).expect("JSON")["answer"].clone()
    };
    let at = |answer: &serde_json::Value, place: &str| {
        answer
            .pointer(place)
            .and_then(serde_json::Value::as_f64)
            .expect("a number")
    };
    let (own, tilted) = (answer(""), answer("&tilt_deg=4"));
    assert!(at(&tilted, "/removal/max_um") > at(&own, "/removal/max_um"));
}

#[test]
fn the_test_spots_pass_and_its_panel_come_first() {
    let server = Server::start();
    let job = bay::example(&server);
    let id = job.rsplit('/').next().expect("an id");
    server.post(&format!("{job}/trial"), "edit=setup-0001&deed=setup&panel=roof&machine=long+orbital&pad=cutting+foam&abrasive=medium+polish&speed_rpm=4100&passes=6&arm_mm_s=30&units=metric");
    let page = server.get(&format!("/bench?job={id}")).text();
    for word in ["roof", "long orbital", "cutting foam", "medium polish"] {
        assert!(is_chosen(&page, word), "{word}");
    }
    assert!((value(&page, "speed_rpm") - 4100.0).abs() < 1e-9);
    assert!((value(&page, "passes") - 6.0).abs() < 1e-9);
    assert!((value(&page, "arm_speed_mm_s") - 30.0).abs() < 1e-9);
}

#[test]
fn a_bare_job_a_strange_one_and_nonsense_still_open_the_bench() {
    let server = Server::start();
    let job = bay::opened(&server);
    let id = job.rsplit('/').next().expect("an id");
    let page = server
        .get(&format!("/bench?job={id}&panel=nothing&tool=%3Cb%3E"))
        .text();
    assert!(page.contains("Back to the job: Grey hatch") && page.contains("No reading says"));
    assert!(!page.contains("<b>\""), "{page}");
    let other = server.get("/bench?job=nothing-here");
    assert_eq!(other.status, 200);
    assert!(!other.text().contains("Back to the job"));
}

#[test]
fn choosing_another_panel_fills_the_sliders_anew() {
    let server = Server::start();
    let job = bay::example(&server);
    let id = job.rsplit('/').next().expect("an id");
    for (width, height) in bay::SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        browser.go(&format!(
            "http://{}/bench?job={id}&panel=bonnet",
            server.host
        ));
        browser.wait_for("the answer", "return !document.querySelector('.stale')");
        bay::fits(&browser, &format!("bench-of-job-{width}"));
        browser.run("const s = document.querySelector('.from-job [name=panel]'); s.value = 'front-bumper'; s.dispatchEvent(new Event('change', { bubbles: true }));");
        browser.wait_for("the bumper", "return location.search.includes('front-bumper') && document.querySelector('#bench [name=substrate]')?.value === 'plastic'");
    }
}
