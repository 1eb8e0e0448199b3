//! The test spot of a job, what the customer chooses, and the plan and price
//! that follow from it.

mod bay;

use bay::{PAIRS, Server};

const SETUP: &str = "deed=setup&panel=bonnet&machine=long+orbital&pad=cutting+foam&abrasive=medium+polish&speed_rpm=4500&passes=4&gauge_um=0.5";

fn spot(server: &Server) -> String {
    let answer = server.post("/jobs/example", "edit=demo-00001&saw=0");
    let job = answer.header("location").expect("a job").to_owned();
    let set = server.post(&format!("{job}/trial"), &format!("edit=setup-0001&{SETUP}"));
    assert_eq!(set.status, 303, "{}", set.text());
    for (i, (before, after)) in PAIRS.iter().enumerate() {
        let fields = format!("edit=pair-0000{i}&deed=pair&before={before}&after={after}");
        assert_eq!(server.post(&format!("{job}/trial"), &fields).status, 303);
    }
    job
}

#[test]
fn a_spot_is_worked_out_as_on_the_command_line() {
    let server = Server::start();
    let job = spot(&server);
    let page = server.get(&format!("{job}/trial")).text();
    assert!(page.contains("6 pairs"), "{page}");
    let text = server.get(&format!("{job}/trial/answer")).text();
    // The mean of the six differences: 17.9 / 6 = 2.98 µm.
    assert!(
        text.contains("<dd>3.0\u{a0}µm") && text.contains("measured"),
        "{text}"
    );
    for words in [
        "What correction costs",
        "may go",
        "calibrated",
        "Pass by pass",
        "of what is now known of the cut rate",
        "The customer wants this",
    ] {
        assert!(text.contains(words), "{words}");
    }
    let german = server
        .send(
            "GET",
            &format!("{job}/trial/answer"),
            &[("accept-language", "de")],
            b"",
        )
        .text();
    for words in [
        "Was Korrektur kostet",
        "darf ab",
        "kalibriert",
        "Minuten für ein Feld",
        "was jetzt über die Abtragsrate bekannt ist",
    ] {
        assert!(german.contains(words), "{words}");
    }
}

#[test]
fn the_choice_is_an_event_that_makes_the_price_firm() {
    let server = Server::start();
    let job = spot(&server);
    let before = server.get(&format!("{job}/plan/answer")).text();
    assert!(before.contains("A test spot makes it firm") && before.contains("Work to this plan"));
    for _ in 0..2 {
        let chosen = server.post(
            &format!("{job}/trial"),
            "edit=choose-001&deed=choose&wish_pct=70",
        );
        assert_eq!(chosen.status, 303, "{}", chosen.text());
    }
    let past = server.get(&format!("{job}/trial")).text();
    assert_eq!(past.matches("wish kept").count(), 1, "{past}");
    let after = server.get(&format!("{job}/plan/answer")).text();
    assert!(after.contains("Customer accepts £"), "{after}");
    assert_ne!(
        hours(&before),
        hours(&after),
        "the wish and the spot change the hours"
    );
    let accepted = server.post(&format!("{job}/plan"), "edit=accept-001");
    assert_eq!(accepted.status, 303, "{}", accepted.text());
    assert!(
        server
            .get(&format!("{job}/plan"))
            .text()
            .contains("Firm price")
    );
    // Undone, the plan is provisional again.
    server.post(&format!("{job}/undo"), "edit=undo-00001&event=choose-001");
    assert!(
        server
            .get(&format!("{job}/plan/answer"))
            .text()
            .contains("A test spot makes it firm")
    );
}

fn hours(plan: &str) -> String {
    let (_, after) = plan.split_once("In the bay</dt><dd>").expect("hours");
    after.split('<').next().expect("a figure").to_owned()
}

#[test]
fn what_a_spot_cannot_be_is_refused_in_words() {
    let server = Server::start();
    let answer = server.post("/jobs/example", "edit=demo-00001&saw=0");
    let job = answer.header("location").expect("a job").to_owned();
    let path = format!("{job}/trial");
    assert_eq!(server.get(&format!("{path}/answer")).status, 422);
    for (fields, words) in [
        (SETUP.replace("long+orbital", "laser"), "not in the kit"),
        (SETUP.replace("panel=bonnet", "panel=wheel"), "no panel"),
        (
            SETUP.replace("passes=4", "passes=400"),
            "allowed is 1 to 24",
        ),
        ("deed=pair&before=118&after=5".to_owned(), "allowed is 20.0"),
        ("deed=drop&pair=nothing".to_owned(), "not there any more"),
        ("deed=choose&wish_pct=85".to_owned(), "not set up yet"),
        ("deed=choose&wish_pct=100".to_owned(), "allowed is 30 to 97"),
    ] {
        let answer = server.post(&path, &format!("edit=bad-000001&{fields}"));
        let status = if fields.contains("drop") { 404 } else { 422 };
        assert_eq!(answer.status, status, "{fields}");
        assert!(answer.text().contains(words), "{fields}: {}", answer.text());
    }
}

#[test]
fn a_job_without_kit_has_usual_machines_and_says_they_are_assumed() {
    let server = Server::start();
    let answer = server.post(
        "/jobs",
        "edit=first-0001&saw=0&name=Grey+hatch&class=hatchback",
    );
    let job = answer.header("location").expect("a job").to_owned();
    assert!(
        server
            .get(&format!("{job}/trial"))
            .text()
            .contains("Their values are assumed")
    );
    let set = "edit=setup-0001&deed=setup&panel=bonnet&machine=rotary&pad=wool&abrasive=heavy&speed_rpm=1400";
    assert_eq!(server.post(&format!("{job}/trial"), set).status, 303);
    let text = server.get(&format!("{job}/trial/answer")).text();
    assert!(
        text.contains("no pairs yet") && text.contains("read the panel for a budget"),
        "{text}"
    );
    assert!(text.contains("taught nothing of the cut rate"), "{text}");
}
