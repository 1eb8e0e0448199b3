//! The history: every deed with who, when and what, page by page, and an undo
//! of the oldest as of the newest.

mod bay;

use bay::Server;
use bay::browser::Browser;
use bay::shop::Running;

/// Deeds that a page lists, in its order.
fn listed(page: &str) -> Vec<String> {
    let (_, list) = page.split_once("<ol").expect("a list");
    let (list, _) = list.split_once("</ol>").expect("its end");
    let deeds = list.split("<li><span>").skip(1);
    deeds
        .filter_map(|li| li.split("<br").next().map(str::to_owned))
        .collect()
}

#[test]
fn every_deed_is_listed_once_page_by_page_and_the_first_can_be_undone() {
    let server = Server::start();
    let job = bay::opened(&server);
    for no in 0..90 {
        let fields = format!("edit=read-{no:05}&panel=roof&thickness={}", 100 + no);
        assert_eq!(server.post(&format!("{job}/readings"), &fields).status, 303);
    }
    let last = server.get(&job).text();
    assert!(last.contains("All 91 deeds"), "the job's page leads there");
    let mut path = format!("{job}/history");
    let mut all = Vec::new();
    for page in 0..3 {
        let text = server.get(&path).text();
        all.extend(listed(&text));
        let older = text
            .split("?before=")
            .nth(1)
            .and_then(|t| t.split('"').next());
        match older {
            Some(before) => path = format!("{job}/history?before={before}"),
            None => assert_eq!(page, 2, "three pages of 40"),
        }
    }
    assert_eq!(all.len(), 91);
    assert!(all[0].contains("189"), "{}", all[0]);
    assert!(
        all[89].contains("Reading taken: Roof, 100.0\u{a0}µm"),
        "{}",
        all[89]
    );
    assert_eq!(all[90], "Job opened");
    let undone = server.post(
        &format!("{job}/undo"),
        &format!("edit=undo-00001&event=read-00000&back={job}/history"),
    );
    assert_eq!(undone.header("location"), Some(&*format!("{job}/history")));
    assert!(
        server
            .get(&format!("{job}/readings"))
            .text()
            .contains("89 readings")
    );
    for nonsense in ["0", "-5", "99999999999999999999", "x", "2"] {
        let answer = server.get(&format!("{job}/history?before={nonsense}"));
        assert_eq!(answer.status, 200, "{nonsense}");
    }
    assert_eq!(server.get("/jobs/shop/history").status, 404);
}

#[test]
fn a_deed_says_its_values_who_did_it_and_when() {
    let (running, owner) = Running::owned();
    let opened = running.post(&owner, "/jobs/example", "edit=demo-00001&saw=0");
    let job = opened.header("location").expect("a job").to_owned();
    running.post(&owner, &format!("{job}/trial"), "edit=setup-0001&deed=setup&panel=bonnet&machine=long+orbital&pad=cutting+foam&abrasive=medium+polish");
    let theo = running.person(&owner, "theo", "technician");
    running.post(
        &theo,
        &format!("{job}/trial"),
        "edit=pair-00001&deed=pair&before=118.2&after=115.4",
    );
    let text = running.get(&owner, &format!("{job}/history")).text();
    assert!(text.contains("118.2\u{a0}µm, then 115.4\u{a0}µm"), "{text}");
    let (_, deeds) = text.split_once("deeds-done").expect("the deeds");
    let newest = deeds.split("<li>").nth(1).expect("a deed");
    assert!(
        newest.contains("Someone theo") && newest.contains(" 20"),
        "{newest}"
    );
}

#[test]
fn the_shops_history_lists_its_deeds() {
    let server = Server::start();
    server.post("/shop", "edit=start-0001&saw=0&what=starter");
    for no in 0..7 {
        let fields = format!("edit=gauge-000{no}&what=gauge&units=metric&gauge_um=1.{no}");
        assert_eq!(server.post("/shop", &fields).status, 303);
    }
    assert!(server.get("/shop").text().contains("All 8 deeds"));
    let text = server.get("/shop/history").text();
    assert_eq!(listed(&text).len(), 8);
    let undone = server.post(
        "/jobs/shop/undo",
        "edit=undo-00001&event=gauge-0006&back=%2Fshop%2Fhistory",
    );
    assert_eq!(undone.header("location"), Some("/shop/history"));
    assert!(server.get("/shop").text().contains("value=\"1.5"));
}

#[test]
fn an_address_undoes_its_own_deeds_and_the_shops_are_the_owners() {
    let (running, owner) = Running::owned();
    let opened = running.post(&owner, "/jobs/example", "edit=demo-00001&saw=0");
    let job = opened.header("location").expect("a job").to_owned();
    let gauge = "edit=gauge-0001&saw=0&what=gauge&units=metric&gauge_um=1.5";
    assert_eq!(running.post(&owner, "/shop", gauge).status, 303);
    let theo = running.person(&owner, "theo", "technician");
    let undo = "edit=undo-00001&event=gauge-0001";
    for path in [format!("{job}/undo"), "/jobs/shop/undo".to_owned()] {
        assert_eq!(running.post(&theo, &path, undo).status, 422, "{path}");
    }
    assert_eq!(running.post(&owner, "/jobs/shop/undo", undo).status, 303);
}

#[test]
fn the_history_fits_a_phone_and_a_tablet() {
    let server = Server::start();
    let job = bay::example(&server);
    bay::try_spot(&server, &job);
    for (width, height) in bay::SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        browser.go(&format!("http://{}{job}/history", server.host));
        bay::fits(&browser, &format!("history-{width}"));
    }
}
