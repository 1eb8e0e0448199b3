//! A refused form comes back with what was typed and the sentence at it, in the
//! page's words; what is next and what can be undone follow from what was done.

mod bay;

use bay::shop::Running;
use bay::{Server, example};

#[test]
fn a_form_comes_back_with_its_fields_and_opens_at_the_sentence() {
    let server = Server::start();
    let refused = server.post("/film", "readings=panel%2Cthickness_um%0Abonnet%2Cthin");
    assert_eq!(refused.status, 422);
    let page = refused.text();
    assert!(
        page.contains("bonnet,thin</textarea>") && page.contains("autofocus"),
        "{page}"
    );
    let bench = server.get("/bench?force_n=-5&passes=3");
    assert_eq!(bench.status, 422);
    let page = bench.text();
    assert!(page.contains("Force is -5; allowed is"), "{page}");
    assert!(
        page.contains("id=\"bench\"") && page.contains("value=\"3\""),
        "{page}"
    );
    let first = server.post("/first", "shop=North+bay&name=Ann&login=ann&password=short");
    assert_eq!(first.status, 422);
    let page = first.text();
    for words in [
        "value=\"North bay\"",
        "value=\"ann\"",
        "autofocus",
        "name=\"password\"",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(!page.contains("short"), "a password is not shown again");
}

#[test]
fn two_speeds_are_two_whatever_stands_between_them() {
    let server = Server::start();
    let machine = |edit: &str, speeds: &str| {
        server.post(
            "/shop",
            &format!("edit={edit}&saw=0&what=machine&name={edit}&speeds={speeds}"),
        )
    };
    for (edit, speeds) in [("comma-001", "3000%2C4500"), ("space-001", "3000%2C+4500")] {
        assert_eq!(machine(edit, speeds).status, 303);
    }
    let page = server.get("/shop").text();
    assert_eq!(
        page.matches("3\u{202f}000 · 4\u{202f}500").count(),
        2,
        "{page}"
    );
    let refused = machine("words-001", "slow%2Cfast");
    assert_eq!(refused.status, 422);
    assert!(
        refused.text().contains("The speeds are"),
        "{}",
        refused.text()
    );
}

#[test]
fn undo_stands_only_where_it_works_and_a_signature_has_none() {
    let server = Server::start();
    let job = bay::opened(&server);
    for no in 0..2 {
        let fields = format!("edit=reading-{no}&panel=roof&thickness=11{no}");
        server.post(&format!("{job}/readings"), &fields);
    }
    let undo = |event: &str, edit: &str| {
        server.post(
            &format!("{job}/undo"),
            &format!("edit={edit}&event={event}"),
        )
    };
    assert!(server.get(&job).text().contains("value=\"reading-1\""));
    assert_eq!(undo("reading-1", "undo-00001").status, 303);
    for page in [job.clone(), format!("{job}/history")] {
        let text = server.get(&page).text();
        assert!(
            !text.contains("name=\"event\" value=\"reading-1\""),
            "{page}"
        );
        assert!(
            text.contains("name=\"event\" value=\"reading-0\""),
            "{page}"
        );
    }
    let refused = undo("reading-1", "undo-00002");
    assert_eq!(refused.status, 422);
    let words = refused.text();
    assert!(
        words.contains("can no longer be taken back") && !words.contains("reading-taken"),
        "{words}"
    );
}

#[test]
fn what_is_next_follows_from_the_furthest_deed_and_a_signed_record_is_done() {
    let server = Server::start();
    let job = example(&server);
    bay::try_spot(&server, &job);
    let next = || server.get("/jobs").text();
    assert!(next().contains("Finish the test spot, then the plan"));
    let signed = server.post(
        &format!("{job}/handover"),
        "edit=signed-001&nothing=yes&doubt=yes",
    );
    let signed = if signed.status == 303 {
        signed
    } else {
        panic!("{}", signed.text())
    };
    assert!(signed.header("location").is_some());
    let list = next();
    assert!(list.contains("Done; only the after-care is left"), "{list}");
    assert!(!list.contains("Walk round, then wash"), "{list}");
    let page = server.get(&format!("{job}/handover")).text();
    assert!(
        !page.contains("name=\"event\" value=\"signed-001\""),
        "{page}"
    );
    let undo = server.post(&format!("{job}/undo"), "edit=undo-00001&event=signed-001");
    assert_eq!(undo.status, 422);
    assert!(
        undo.text().contains("A signed record is not taken back"),
        "{}",
        undo.text()
    );
    // Work begun afterwards is asked about, once.
    let plan = server.get(&format!("{job}/work")).text();
    let key = plan.split("name=\"key\" value=\"").nth(1);
    let key = key.and_then(|k| k.split('"').next()).expect("a section");
    assert!(plan.contains("is signed. Work on all the same?"), "{plan}");
    let begin = format!("edit=begin-0001&deed=begin&key={key}");
    let asked = server.post(&format!("{job}/work"), &begin);
    assert_eq!(asked.status, 200);
    assert!(
        asked.text().contains("Begin all the same"),
        "{}",
        asked.text()
    );
    let begun = server.post(&format!("{job}/work"), &format!("{begin}&asked=yes"));
    assert_eq!(begun.status, 303);
}

#[test]
fn us_units_bring_us_names_and_prices_of_us_amounts() {
    let server = Server::start();
    server.post("/shop", "edit=kit-00001&saw=0&what=starter");
    let us = [("cookie", "lapwing_units=us; lapwing_language=en")];
    let page = server.send("GET", "/shop", &us, b"").text();
    for words in [
        "Clay, an ounce",
        "Panel wipe, a quart",
        "Tape, a foot",
        "Price of a quart",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains("100 g") && !page.contains("a litre"));
    let job = example(&server);
    let film = server
        .send("GET", &format!("{job}/film?now=1"), &us, b"")
        .text();
    assert!(film.contains("Hood") && !film.contains("Bonnet"), "{film}");
    assert!(film.contains("Left front fender"), "{film}");
}

#[test]
fn who_may_only_look_is_told_so_and_sees_no_forms_of_the_shop() {
    let (running, owner) = Running::owned();
    let viewer = running.person(&owner, "vera", "viewer");
    for path in ["/jobs", "/shop"] {
        let page = running.get(&viewer, path).text();
        assert!(
            page.contains("class=\"looks-only\"") && page.contains("You may look here"),
            "{path}"
        );
        assert!(!running.get(&owner, path).text().contains("looks-only"));
    }
    let own = running.get(&viewer, "/account").text();
    assert!(!own.contains("looks-only"), "a password is one's own");
}
