//! The shop's kit, the first figure of an enquiry, the list of jobs and the
//! learned pace.

#![allow(
    clippy::disallowed_methods,
    reason = "the timer's times lie in the past"
)]

mod bay;

use bay::browser::Browser;
use bay::{Answer, Server, encoded};

fn stocked() -> Server {
    let server = Server::start();
    let answer = server.post("/shop", "edit=shop-0001&saw=0&what=starter");
    assert_eq!(answer.status, 303, "{}", answer.text());
    server
}

fn job_of(answer: &Answer) -> String {
    assert_eq!(answer.status, 303, "{}", answer.text());
    answer.header("location").expect("a job").to_owned()
}

/// The text between two marks.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let (_, after) = text.split_once(from).unwrap_or_else(|| panic!("no {from}"));
    after.split(to).next().unwrap_or_default()
}

#[test]
fn an_enquiry_without_rates_says_hours_and_with_rates_a_price_with_its_range() {
    let server = Server::start();
    let bare = server.get("/enquiry").text();
    assert!(bare.contains("no prices yet") && bare.contains("Hours in the bay"));
    let server = stocked();
    let query = "/enquiry?class=saloon&defects=light-swirls&aim=fresher&colour=light";
    let text = server.get(query).text();
    // 12.2 h as worked by hand in the engine's test.
    for word in [
        "12.2 h",
        "7.7 to 16.6",
        "€",
        "8 times in 10",
        "assumed",
        "common practice",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    for (fields, words) in [
        ("class=tank", "is not known"),
        ("aim=%3Cb%3E", "is not known"),
        ("layers=9", "is not known"),
    ] {
        let answer = server.get(&format!("/enquiry?{fields}"));
        assert_eq!(answer.status, 422);
        assert!(answer.text().contains(words), "{}", answer.text());
    }
}

#[test]
fn an_enquiry_becomes_a_job_that_can_be_planned_with_the_shops_kit() {
    let server = stocked();
    let fields = "edit=enq-00001&saw=0&class=compact-hatch&defects=wash-swirls&aim=clear&colour=dark&name=Grey+hatch&car=five+years";
    let job = job_of(&server.post("/enquiry", fields));
    assert_eq!(
        job_of(&server.post("/enquiry", fields)),
        job,
        "a double tap"
    );
    let list = server.get("/jobs").text();
    assert!(list.contains("Grey hatch") && list.contains("offer open"));
    assert!(list.contains("Book the car in"));
    assert!(!list.contains("/jobs/shop"), "the shop is no job");
    for i in 0..6 {
        let fields = format!("edit=reading-{i}x&panel=bonnet&thickness={}", 118 + i);
        assert_eq!(server.post(&format!("{job}/readings"), &fields).status, 303);
    }
    let text = server.get(&format!("{job}/plan/answer")).text();
    assert!(
        text.contains("long orbital") || text.contains("geared orbital"),
        "{text}"
    );
    assert!(
        server
            .get("/jobs")
            .text()
            .contains("More readings, then the plan")
    );
    let unnamed = server.post("/enquiry", "edit=enq-00002&saw=0&class=saloon");
    assert_eq!(unnamed.status, 422);
}

#[test]
fn kit_is_added_refused_and_removed_in_words() {
    let server = stocked();
    let add = |edit: &str, fields: &str| server.post("/shop", &format!("edit={edit}&{fields}"));
    let machine =
        "what=machine&name=Mini+orbital&kind=random-orbital&speeds=3000+4800&orbit_mm=0.5&units=us";
    assert_eq!(add("kit-00001", machine).status, 303);
    let text = server.get("/shop").text();
    // Half an inch of orbit, typed in inches, is 13 mm.
    assert!(
        text.contains("Mini orbital") && text.contains("13\u{a0}mm"),
        "{text}"
    );
    for (fields, words) in [
        ("what=machine&name=X&speeds=fast", "such as 3000 4500"),
        ("what=machine&speeds=3000", "needs a name"),
        (
            "what=machine&name=X&speeds=3000&orbit_mm=900",
            "allowed is 1 to 40 mm",
        ),
        ("what=pad&name=wool&class=wool", "wool"),
        ("what=rates&currency=pounds", "three letters"),
        ("what=rates&currency=GBP&tax_pct=700", "allowed is 0 to 100"),
        ("what=remove&list=machines&entry=m-long", "still goes with"),
        ("what=remove&list=pads&entry=nothing", "not there any more"),
        ("what=learn", "0 sections are timed, 0 of them count"),
        ("what=everything", "is not known"),
    ] {
        let answer = add("kit-00009", fields);
        assert!(
            [404, 422].contains(&answer.status),
            "{fields}: {}",
            answer.status
        );
        assert!(answer.text().contains(words), "{fields}: {}", answer.text());
    }
    assert_eq!(
        add("kit-00002", "what=remove&list=abrasives&entry=a-fine").status,
        303
    );
    assert!(!server.get("/shop").text().contains("fine polish<"));
    let undo = server.post(
        "/jobs/shop/undo",
        "edit=undo-0001&event=kit-00002&back=%2Fshop",
    );
    assert_eq!(undo.header("location"), Some("/shop"));
    assert!(server.get("/shop").text().contains("fine polish<"));
    for page in ["", "/wash", "/readings", "/coat", "/prove"] {
        assert_eq!(
            server.get(&format!("/jobs/shop{page}")).status,
            404,
            "{page}"
        );
    }
    let sneaky = server.post("/jobs/shop/wash", "edit=wash-0001&item=clay");
    assert_eq!(sneaky.status, 404, "{}", sneaky.text());
}

#[test]
fn the_timer_teaches_the_pace_and_a_pause_counts_for_nothing() {
    let server = Server::start();
    let job = job_of(&server.post("/jobs/example", "edit=demo-00001&saw=0"));
    let path = format!("{job}/work");
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let now_ms = since.expect("after 1970").as_millis() as i64;
    let yesterday_ms = now_ms - 86_400_000;
    for i in 0..3_i64 {
        let page = server.get(&path).text();
        let key = between(&page, "name=\"key\" value=\"", "\"").to_owned();
        let timer = between(&page, "role=\"timer\"", "</div>");
        let (minutes, seconds) = between(timer, "class=\"note\">of ", "<")
            .split_once(':')
            .expect("a clock");
        let number = |text: &str| text.parse::<f64>().expect("a number");
        let planned = 60.0 * number(minutes) + number(seconds);
        let start = yesterday_ms + i * 10_000_000;
        let half = (planned * 1000.0) as i64;
        // Half the plan, an hour of pause, and the plan once more: 1.5 times it.
        for (deed, at) in [
            ("begin", start),
            ("pause", start + half / 2),
            ("begin", start + half / 2 + 3_600_000),
            ("done", start + half / 2 + 3_600_000 + half),
        ] {
            let fields = format!("edit=w-{i}-{at}-{deed}&key={key}&deed={deed}&said_ms={at}");
            assert_eq!(server.post(&path, &fields).status, 303);
        }
    }
    let learnt = server.post("/shop", "edit=learn-001&saw=0&what=learn");
    assert_eq!(learnt.status, 303, "{}", learnt.text());
    let text = server.get("/shop").text();
    for word in [
        "Takes 1.50 times the plan",
        "3 sections on 1 car",
        "calibrated",
        "Fewer than three cars",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let enquiry = server.get("/enquiry").text();
    assert!(enquiry.contains("pace: 1.50 times the plan"), "{enquiry}");
}

#[test]
fn the_list_searches_pages_and_says_what_waits() {
    let server = Server::start();
    job_of(&server.post("/jobs/example", "edit=demo-00001&saw=0"));
    for i in 0..45 {
        let fields = format!("edit=many-{i:05}&saw=0&name=Car+{i:02}&class=saloon");
        job_of(&server.post("/jobs", &fields));
    }
    let first = server.get("/jobs").text();
    assert_eq!(first.matches("class=\"job\"").count(), 40);
    let more = between(&first, "href=\"/jobs?after=", "\"").to_owned();
    let second = server.get(&format!("/jobs?after={more}")).text();
    assert_eq!(second.matches("class=\"job\"").count(), 6);
    let found = server.get("/jobs?search=car+07").text();
    assert_eq!(found.matches("class=\"job\"").count(), 1);
    assert!(
        server
            .get("/jobs?search=zzz")
            .text()
            .contains("No job has these words")
    );
    let quick = server.get("/jobs?search=harbour").text();
    assert!(
        !quick.contains("in doubt"),
        "the list does not wait for the film"
    );
    let judged = server.get("/jobs?search=harbour&judged=yes").text();
    assert!(judged.contains("in doubt"), "{judged}");
    for (query, status) in [
        ("after=x", 422),
        ("stage=nowhere", 422),
        ("after=1.%27", 200),
    ] {
        assert_eq!(
            server.get(&format!("/jobs?{query}")).status,
            status,
            "{query}"
        );
    }
}

#[test]
fn taps_answer_at_once_and_the_pages_fit() {
    let server = stocked();
    let name = encoded("Black saloon, wash marks");
    job_of(&server.post(
        "/enquiry",
        &format!("edit=enq-00001&saw=0&class=saloon&name={name}&car=Six+years+old"),
    ));
    job_of(&server.post("/jobs/example", "edit=demo-00001&saw=0"));
    for (width, height) in bay::SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        browser.go(&format!("http://{}/enquiry", server.host));
        let price = "return document.querySelector('#figure dd').textContent";
        let before = browser.run(price);
        browser.run("document.querySelector('[name=defects][value=deep-scratches]').click(); document.querySelector('[name=aim][value=utmost]').click();");
        browser.wait_for("a new price", &format!("return document.querySelector('#figure dd').textContent !== {before} && !document.querySelector('.stale')"));
        bay::fits(&browser, &format!("enquiry-{width}"));
        browser.go(&format!("http://{}/jobs", server.host));
        browser.wait_for(
            "what waits",
            "return document.getElementById('glance').dataset.judged === 'yes'",
        );
        assert_eq!(
            browser
                .run("return document.querySelector('#glance').textContent.includes('in doubt')"),
            true
        );
        bay::fits(&browser, &format!("glance-{width}"));
        browser.go(&format!("http://{}/shop", server.host));
        browser.run(
            "document.querySelectorAll('details:not(.menu)').forEach((d) => { d.open = true; })",
        );
        bay::fits(&browser, &format!("shop-{width}"));
    }
}
