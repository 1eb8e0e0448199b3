//! A doubtful deed is asked about before it is taken, also where no script
//! runs; a program and the pages' own queue are taken at their word.

mod bay;

use bay::browser::Browser;
use bay::{Server, encoded};

fn key_of(page: &str) -> String {
    let (_, after) = page.split_once("name=\"key\" value=\"").expect("a section");
    after.split('"').next().expect("its key").to_owned()
}

/// The fields of the form on a page of a question, as a browser sends them.
fn fields_of(page: &str) -> String {
    let (_, form) = page
        .split_once("<form method=\"post\" action=\"/jobs")
        .expect("a form");
    let (form, _) = form.split_once("</form>").expect("its end");
    let value = |piece: &str| {
        let (name, rest) = piece.split_once('"')?;
        let value = rest.split_once("value=\"")?.1.split('"').next()?;
        Some(format!("{name}={}", encoded(value)))
    };
    let pairs = form.split("type=\"hidden\" name=\"").skip(1);
    pairs.filter_map(value).collect::<Vec<_>>().join("&")
}

#[test]
fn a_section_done_far_too_early_is_asked_about_without_a_script() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/work");
    let key = key_of(&server.get(&path).text());
    server.post(&path, &format!("edit=begin-0001&key={key}&deed=begin"));
    let done = format!("edit=done-00001&key={key}&deed=done");
    let question = server.post(&path, &done);
    assert_eq!(question.status, 200);
    let text = question.text();
    assert!(
        text.contains("only 0:0") && text.contains("Done all the same"),
        "{text}"
    );
    assert!(
        !server.get(&job).text().contains("Section done"),
        "nothing is taken yet"
    );
    let fields = fields_of(&text);
    assert!(
        fields.contains("edit=done%2D00001") && fields.contains("asked=yes"),
        "{fields}"
    );
    assert_eq!(server.post(&path, &fields).status, 303);
    assert!(server.get(&job).text().contains("Section done"));
    // Delivered once more it is the same deed, and nobody is asked again.
    assert_eq!(server.post(&path, &done).status, 303);
    assert_eq!(server.get(&job).text().matches("Section done").count(), 1);
}

#[test]
fn a_program_and_the_pages_queue_are_not_asked() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/work");
    for (no, extra) in [(1, "&said_ms=1"), (2, "")] {
        let key = key_of(&server.get(&path).text());
        server.post(&path, &format!("edit=begin-000{no}&key={key}&deed=begin"));
        let fields = format!("edit=done-0000{no}&key={key}&deed=done{extra}");
        let kind = ("content-type", "application/x-www-form-urlencoded");
        let json = ("accept", "application/json");
        let headers = if extra.is_empty() {
            vec![kind, json]
        } else {
            vec![kind]
        };
        let answer = server.send("POST", &path, &headers, fields.as_bytes());
        assert!([200, 303].contains(&answer.status), "{}", answer.status);
        assert!(!answer.text().contains("all the same"), "{}", answer.text());
    }
    assert_eq!(server.get(&job).text().matches("Section done").count(), 2);
}

#[test]
fn coating_against_the_climate_is_asked_about_without_a_script() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/coat");
    let lay = "edit=lay-000001&deed=lay&panel=bonnet";
    let question = server.post(&path, lay);
    assert_eq!(question.status, 200);
    assert!(question.text().contains("has not been judged yet"));
    server.post(
        &path,
        "edit=read-00001&deed=read&units=metric&air_c=8&humidity_pct=50&surface_c=8",
    );
    let question = server.post(&path, lay);
    assert!(
        question.text().contains("The bay says wait"),
        "{}",
        question.text()
    );
    assert!(!server.get(&path).text().contains("data-laid"));
    server.post(
        &path,
        "edit=read-00002&deed=read&units=metric&air_c=21&humidity_pct=50&surface_c=21",
    );
    assert_eq!(
        server.post(&path, lay).status,
        303,
        "nothing is doubtful now"
    );
    assert!(server.get(&path).text().contains("data-laid"));
}

#[test]
fn without_a_script_the_browser_shows_the_question_and_takes_the_answer() {
    let server = Server::start();
    let job = bay::example(&server);
    server.get(&format!("{job}/work"));
    for (width, height) in bay::SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        // The page's modules never arrive; the browser itself goes on.
        browser.own("Network.enable", &serde_json::json!({}));
        browser.own(
            "Network.setBlockedURLs",
            &serde_json::json!({ "urls": ["*.js"] }),
        );
        browser.go(&format!("http://{}{job}/work", server.host));
        browser.press(".work-deeds .done button");
        browser.wait_for(
            "it runs",
            "return document.querySelector('.work-deeds .stop') !== null",
        );
        browser.press(".work-deeds .done button");
        browser.wait_for(
            "the question",
            "return document.querySelector('main form [name=asked]') !== null",
        );
        browser.picture(&format!("asked-{width}"));
        let wide = browser.run("return document.documentElement.scrollWidth - innerWidth");
        assert_eq!(wide, 0, "at {width}");
        let before = server.get(&job).text().matches("Section done").count();
        browser.press("main form button");
        browser.wait_for(
            "the next section",
            "return document.querySelector('.work-deeds') !== null",
        );
        let after = server.get(&job).text().matches("Section done").count();
        assert_eq!(after, before + 1, "at {width}");
    }
}
