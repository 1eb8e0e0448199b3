//! What looks doubtful on a car is said where it is decided: panels marked as
//! repainted, figures with a slip of the key, pairs that cannot be, a plan of a
//! car that is hardly read.

mod bay;

use bay::{Server, encoded, multipart};

const HTML: &[(&str, &str)] = &[];

/// What came back of a page that waits for its answer.
fn whole(server: &Server, path: &str) -> String {
    let page = server.send("GET", &format!("{path}?now=1"), HTML, b"");
    assert_eq!(page.status, 200, "{}", page.text());
    page.text()
}

#[test]
fn a_panel_marked_as_repainted_is_said_on_film_plan_and_bench_of_work() {
    let server = Server::start();
    let job = bay::example(&server);
    let said = "Marked as repainted at intake: Bonnet";
    assert!(!whole(&server, &format!("{job}/film")).contains(said));
    let mark = "edit=mark-00001&panel=bonnet&kind=repaint&extent=whole";
    assert_eq!(server.post(&format!("{job}/defects"), mark).status, 303);
    for page in ["film", "plan"] {
        let text = whole(&server, &format!("{job}/{page}"));
        assert!(text.contains(said), "{page}");
    }
    let map = server.get(&format!("{job}/film/bonnet")).text();
    assert!(map.contains(said), "{map}");
    assert!(
        !server
            .get(&format!("{job}/film/roof"))
            .text()
            .contains(said)
    );
    let german = server.send(
        "GET",
        &format!("{job}/film?now=1"),
        &[("accept-language", "de")],
        b"",
    );
    assert!(
        german
            .text()
            .contains("als nachlackiert vermerkt: Motorhaube")
    );
    // The mark goes, and with it the caution.
    let out = server.post(
        &format!("{job}/defects"),
        "edit=mark-00002&remove=mark-00001",
    );
    assert_eq!(out.status, 303);
    assert!(!whole(&server, &format!("{job}/film")).contains(said));
}

#[test]
fn a_nought_too_many_is_doubted_and_taken_out_again() {
    let server = Server::start();
    let job = bay::opened(&server);
    let path = format!("{job}/readings");
    for (no, um) in ["112", "118 µm", "1120", "109"].iter().enumerate() {
        let fields = format!("edit=reading-{no}&panel=roof&thickness={}", encoded(um));
        let taken = server.post(&path, &fields);
        assert_eq!(taken.status, 303, "{um}: {}", taken.text());
    }
    let page = server.get(&path).text();
    assert!(page.contains("118.0\u{a0}µm"), "a unit is taken: {page}");
    let doubt = "is far from what else was read there (112.0\u{a0}µm in the middle)";
    assert_eq!(page.matches(doubt).count(), 1, "{page}");
    assert!(page.contains("Take 1\u{202f}120.0\u{a0}µm out"), "{page}");
    let out = "edit=reading-9&deed=drop&reading=reading-2";
    assert_eq!(server.post(&path, out).status, 303);
    assert_eq!(server.post(&path, out).status, 303, "a double tap");
    let page = server.get(&path).text();
    assert!(
        !page.contains(doubt) && page.contains("3 readings"),
        "{page}"
    );
    assert!(page.contains("Reading taken out"), "{page}");
    let gone = server.post(&path, "edit=reading-8&deed=drop&reading=reading-2");
    assert_eq!(gone.status, 404);
}

#[test]
fn a_pair_that_cannot_be_is_refused_with_its_field() {
    let server = Server::start();
    let job = bay::example(&server);
    bay::try_spot(&server, &job);
    let path = format!("{job}/trial");
    let refuse = |before: &str, after: &str| {
        let fields = format!("edit=pair-bad-{before}&deed=pair&before={before}&after={after}");
        let refused = server.post(&path, &fields);
        assert_eq!(refused.status, 422, "{}", refused.text());
        refused.text()
    };
    let apart = refuse("1130", "112");
    assert!(
        apart.contains("Before is 1\u{202f}130.0\u{a0}µm and After is 112.0\u{a0}µm")
            && apart.contains("30.0\u{a0}µm at once"),
        "{apart}"
    );
    assert!(refuse("112", "121").contains("paint does not grow"));
    let thin = refuse("11", "9");
    assert!(
        thin.contains("Before: ") && thin.contains("allowed is 20.0"),
        "{thin}"
    );
    let page = server.get(&path).text();
    assert!(
        page.contains("3 pairs") && !page.contains("cannot be"),
        "{page}"
    );
    // A gauge set finer afterwards makes an old pair one that cannot be.
    let wide = "edit=pair-wide1&deed=pair&before=118&after=120";
    assert_eq!(server.post(&path, wide).status, 303);
    let finer = "edit=setup-0002&deed=setup&panel=bonnet&machine=long+orbital&pad=cutting+foam&abrasive=medium+polish&speed_rpm=4500&gauge_um=0.1";
    assert_eq!(server.post(&path, finer).status, 303);
    let page = server.get(&path).text();
    for words in [
        "This pair cannot be: 118.0",
        "nothing is worked out",
        "Take it out",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let out = server.post(&path, "edit=pair-out01&deed=drop&pair=pair-wide1");
    assert_eq!(out.status, 303);
    assert!(!server.get(&path).text().contains("cannot be"));
}

#[test]
fn what_the_bay_calls_a_panel_is_what_a_table_may_call_it() {
    let server = Server::start();
    server.post("/shop", "edit=kit-00001&saw=0&what=starter");
    let job = server.post(
        "/jobs",
        "edit=first-0001&saw=0&name=Grey+estate&class=estate",
    );
    let job = job.header("location").expect("a job").to_owned();
    let table = include_bytes!("../../../examples/harbour-estate/readings.csv");
    let (kind, body) = multipart(&[
        ("edit", None, b"import-0001"),
        ("file", Some("readings.csv"), table),
    ]);
    let path = format!("{job}/readings/import");
    let brought = server.send("POST", &path, &[("content-type", &*kind)], &body);
    assert_eq!(brought.status, 303, "{}", brought.text());
}

#[test]
fn a_plan_of_a_car_that_is_hardly_read_says_so_and_asks() {
    let server = Server::start();
    server.post("/shop", "edit=kit-00001&saw=0&what=starter");
    let job = bay::opened(&server);
    for no in 0..5 {
        let fields = format!("edit=reading-{no}&panel=roof&thickness={}", 118 + no);
        assert_eq!(server.post(&format!("{job}/readings"), &fields).status, 303);
    }
    let page = whole(&server, &format!("{job}/plan"));
    // The roof, and four plastic panels that no gauge reads.
    assert!(
        page.contains("for 5 of 19") && page.contains("the others are not read"),
        "{page}"
    );
    let asked = server.post(&format!("{job}/plan"), "edit=plan-00001");
    assert_eq!(asked.status, 200, "{}", asked.text());
    assert!(asked.text().contains("Only 5 of 19"), "{}", asked.text());
    let taken = server.post(&format!("{job}/plan"), "edit=plan-00001&asked=yes");
    assert_eq!(taken.status, 303, "{}", taken.text());
}
