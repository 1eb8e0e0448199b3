//! What cannot be is said where it stands, is not counted, and is asked about
//! before it goes into a record.

mod bay;

use bay::browser::Browser;
use bay::{Answer, Server, encoded};

const GERMAN: (&str, &str) = ("accept-language", "de");

fn import(
    server: &Server,
    job: &str,
    (edit, file, table): (&str, &str, &str),
    more: &str,
) -> Answer {
    let fields = format!("edit={edit}&named={file}&pasted={}{more}", encoded(table));
    server.post(&format!("{job}/readings/import"), &fields)
}

fn work_one(server: &Server, job: &str) {
    let path = format!("{job}/work");
    let page = server.get(&path).text();
    let (_, after) = page.split_once("name=\"key\" value=\"").expect("a section");
    let key = after.split('"').next().expect("its key").to_owned();
    for deed in ["begin", "done"] {
        let answer = server.post(
            &path,
            &format!("edit={deed}-000001&key={key}&deed={deed}&asked=yes"),
        );
        assert_eq!(answer.status, 303, "{}", answer.text());
    }
}

#[test]
fn film_that_grew_is_no_proof_holds_the_signing_back_and_may_be_taken_out() {
    let server = Server::start();
    let job = bay::example(&server);
    work_one(&server, &job);
    let prove = format!("{job}/prove");
    let keep = |edit: &str, um: u32| {
        let fields = format!(
            "edit={edit}&deed=after&panel=bonnet&units=metric&place=csv-5&um={um}&place=csv-6&um={um}"
        );
        assert_eq!(server.post(&prove, &fields).status, 303);
    };
    keep("after-0001", 170);
    let page = server.get(&prove).text();
    assert!(
        page.contains("The readings after cannot be right on: Bonnet"),
        "{page}"
    );
    assert!(page.contains("film does not grow") && !page.contains("not told from nothing"));
    let german = server.send("GET", &prove, &[GERMAN], b"").text();
    assert!(german.contains("Die Messwerte danach können nicht stimmen: Motorhaube"));
    let path = format!("{job}/handover");
    let draft = server.get(&path).text();
    for words in [
        "cannot be right on",
        "Sign with this doubt noted",
        "This will be signed:",
    ] {
        assert!(draft.contains(words), "{words}: {draft}");
    }
    let held = server.post(&path, "edit=sign-00001");
    assert_eq!(held.status, 422);
    assert!(
        held.text().contains("Not signed: read again"),
        "{}",
        held.text()
    );
    assert_eq!(server.get(&format!("{path}/record.json")).status, 404);
    // The car shows what was there before, not what cannot be.
    assert!(!draft.contains(">170<"), "{draft}");
    // Taken out, nothing holds it back any more.
    let out = server.post(&prove, "edit=forget-001&deed=forget&panel=bonnet");
    assert_eq!(out.status, 303, "{}", out.text());
    assert!(!server.get(&prove).text().contains("cannot be right"));
    assert!(
        !server
            .get(&path)
            .text()
            .contains("Sign with this doubt noted")
    );
    // Or it is signed with the doubt, and the record says so.
    keep("after-0002", 170);
    let signed = server.post(&path, "edit=sign-00002&doubt=yes");
    assert_eq!(signed.status, 303, "{}", signed.text());
    let record = server.get(&format!("{path}/record.json")).text();
    assert!(record.contains("Signed with a doubt noted"), "{record}");
    assert!(record.contains("\"after_cannot_be\":true"));
    // Another tab that saw the same draft signs nothing anew.
    assert_eq!(server.post(&path, "edit=sign-00003&doubt=yes").status, 303);
    assert_eq!(server.get(&format!("{path}/record.json")).text(), record);
    assert_eq!(server.get(&path).text().matches("Record signed").count(), 1);
}

#[test]
fn a_job_with_nothing_done_says_so_before_it_is_signed() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/handover");
    assert!(
        server
            .get(&path)
            .text()
            .contains("No work is noted on any of")
    );
    let held = server.post(&path, "edit=sign-00001");
    assert_eq!(held.status, 422);
    assert!(held.text().contains("nothing is noted as done"));
    assert_eq!(
        server.post(&path, "edit=sign-00002&nothing=yes").status,
        303
    );
    let record = server.get(&format!("{path}/record.json")).text();
    assert!(record.contains("Signed though nothing is noted as done."));
}

#[test]
fn a_table_that_names_an_unknown_panel_is_asked_about() {
    let server = Server::start();
    let job = bay::example(&server);
    let table = "panel,thickness_um\nbonet,112\nbonnet,113\nspare wheel,99\n";
    let came = |edit: &str, more: &str| import(&server, &job, (edit, "gauge.csv", table), more);
    let asked = came("import-001", "");
    assert_eq!(asked.status, 422);
    let page = asked.text();
    for words in [
        "bonet is not a panel of this job",
        "Bonnet (probably meant)",
        "leave these readings out",
        "add \"spare wheel\" to the job",
    ] {
        assert!(
            page.replace("&quot;", "\"").contains(words),
            "{words}: {page}"
        );
    }
    let half = came(
        "import-002",
        "&unknown=bonet&means=panel:bonnet&unknown=spare-wheel&means=",
    );
    assert!(half.text().contains("Say what"), "{}", half.text());
    let kept = came(
        "import-003",
        "&unknown=bonet&means=panel:bonnet&unknown=spare-wheel&means=out",
    );
    assert_eq!(kept.status, 303, "{}", kept.text());
    let page = server.get(&format!("{job}/readings")).text();
    assert!(
        page.contains("gauge.csv</b> 2 readings") && !page.contains("is not a panel"),
        "{page}"
    );
    // What the hand-over makes of it works.
    drafts(&server, &job);
}

fn drafts(server: &Server, job: &str) {
    let page = server.get(&format!("{job}/handover")).text();
    assert!(page.contains("Nothing is signed yet"), "{page}");
}

#[test]
fn a_panel_more_comes_with_its_table_and_tables_are_taken_out_again() {
    let server = Server::start();
    let job = bay::example(&server);
    let more = "panel,thickness_um\nspare wheel,99\n";
    let added = import(
        &server,
        &job,
        ("import-004", "more.csv", more),
        "&unknown=spare-wheel&means=more",
    );
    assert_eq!(added.status, 303, "{}", added.text());
    assert!(
        server
            .get(&format!("{job}/film/answer"))
            .text()
            .contains("pare wheel")
    );
    drafts(&server, &job);
    // Listed, and taken out again.
    let page = server.get(&format!("{job}/readings")).text();
    let (before, _) = page.split_once("more.csv").expect("listed");
    assert!(before.contains("Tables brought in"));
    let gone = server.post(
        &format!("{job}/readings/import"),
        "edit=out-000001&remove=import-004",
    );
    assert_eq!(gone.status, 303, "{}", gone.text());
    let page = server.get(&format!("{job}/readings")).text();
    assert!(
        !page.contains("more.csv</b>") && page.contains("Table taken out"),
        "{page}"
    );
}

#[test]
fn a_table_that_comes_twice_counts_once() {
    let server = Server::start();
    let job = bay::opened(&server);
    let count = || {
        let page = server.get(&format!("{job}/readings")).text();
        page.contains("2 readings") && !page.contains("4 readings")
    };
    let table = "panel,thickness_um\nbonnet,112\nroof,113\n";
    let first = import(&server, &job, ("import-001", "a.csv", table), "");
    assert_eq!(first.status, 303, "{}", first.text());
    let crlf = table.replace('\n', "\r\n");
    let again = import(&server, &job, ("import-002", "b.csv", &crlf), "");
    assert_eq!(again.status, 422);
    assert!(
        again.text().contains("in the job already, as a.csv"),
        "{}",
        again.text()
    );
    assert!(count());
    let other = "thickness_um;panel\n113;roof\n112,0;bonnet\n";
    let same = import(&server, &job, ("import-003", "c.csv", other), "");
    assert_eq!(same.status, 422);
    assert!(same.text().contains("would count twice"), "{}", same.text());
    assert!(count());
    let meant = import(&server, &job, ("import-004", "c.csv", other), "&again=yes");
    assert_eq!(meant.status, 303, "{}", meant.text());
    assert!(
        server
            .get(&format!("{job}/readings"))
            .text()
            .contains("4 readings")
    );
}

#[test]
fn limits_nobody_typed_are_usual_and_assumed() {
    let server = Server::start();
    let path = format!("{}/coat", bay::opened(&server));
    let page = server.get(&path).text();
    assert!(
        page.contains("Usual limits, assumed until you read the data sheet"),
        "{page}"
    );
    assert!(
        page.contains("data-ask=\"The bay has not been judged yet."),
        "{page}"
    );
    let sheet = "air_from_c=18&air_to_c=27&humidity_from_pct=40&humidity_to_pct=65&level_after_s=60&open_s=180&dry_h=24";
    let read = |edit: &str, more: &str| {
        let fields =
            format!("edit={edit}&deed=read&air_c=21&humidity_pct=90&surface_c=21&{sheet}{more}");
        assert_eq!(server.post(&path, &fields).status, 303);
        server.get(&path).text()
    };
    let page = read("read-00001", "");
    assert!(
        page.contains("usual are 65.0\u{a0}% at most (assumed")
            && !page.contains("the sheet allows"),
        "{page}"
    );
    assert!(page.contains("data-ask=\"The bay says wait."), "{page}");
    let page = read("read-00002", "&from_sheet=yes");
    assert!(
        page.contains("the sheet allows 65.0\u{a0}% at most"),
        "{page}"
    );
}

#[test]
fn a_section_done_too_early_is_asked_about_once_and_then_taken() {
    let server = Server::start();
    let job = bay::example(&server);
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    browser.go(&format!("http://{}{job}/work", server.host));
    browser.press(".work-deeds .done button");
    browser.wait_for(
        "it runs",
        "return document.querySelector('.work-deeds .stop') !== null",
    );
    std::thread::sleep(std::time::Duration::from_millis(1200));
    browser.press(".work-deeds [data-early] button");
    browser.wait_for("a question", "return /^Planned .* only 0:0.* all the same/.test(document.querySelector('.asked')?.textContent ?? '')");
    bay::fits(&browser, "work-asked");
    std::thread::sleep(std::time::Duration::from_millis(700));
    browser.press(".work-deeds [data-early] button");
    browser.wait_for(
        "the next",
        "return document.querySelector('.work-deeds [value=begin]') !== null",
    );
    let page = server.get(&job).text();
    assert!(
        page.contains("1 section") && page.contains("Section done: Bonnet 1"),
        "{page}"
    );
}

#[test]
fn work_without_readings_is_warned_of_on_top() {
    let server = Server::start();
    let job = bay::example(&server);
    assert!(
        !server
            .get(&format!("{job}/work"))
            .text()
            .contains("No film has been read")
    );
    let shop = server.post("/shop", "edit=starter-01&saw=0&what=starter");
    assert_eq!(shop.status, 303, "{}", shop.text());
    let job = bay::opened(&server);
    let page = server.get(&format!("{job}/work")).text();
    assert!(page.contains("No film has been read on this car"), "{page}");
}

#[test]
fn the_plan_says_what_goes_what_stays_and_where_not_to_polish() {
    let server = Server::start();
    let page = server.get("/plan/harbour-estate").text();
    let (top, folded) = page
        .split_once("<table class=\"work\">")
        .expect("the table");
    assert!(
        folded.contains("Gone, %") && folded.contains("wished "),
        "gone"
    );
    assert!(top.contains("Found: "), "findings in sight");
    assert!(top.contains("Keep off the place that read"), "{top}");
}

#[test]
fn a_suspected_repaint_is_not_called_thin_and_the_start_counts_as_the_job_does() {
    let server = Server::start();
    let job = bay::example(&server);
    let list = server.get("/jobs?judged=yes").text();
    assert!(
        list.contains("perhaps repainted") && !list.contains("too thin"),
        "{list}"
    );
    let start = server.get("/").text();
    let (before, _) = start.split_once(" readings: panels").expect("the example");
    let count = before.rsplit(' ').next().expect("a number");
    assert!(
        server
            .get(&job)
            .text()
            .contains(&format!("{count} readings")),
        "{count}"
    );
}

#[test]
fn a_fault_stands_at_its_form_and_nothing_typed_is_lost() {
    let server = Server::start();
    let rates = server.post(
        "/shop",
        "edit=rates-0001&what=rates&currency=EU&labour_per_hour=61,5&tax_pct=19",
    );
    assert_eq!(rates.status, 422);
    let page = rates.text();
    assert!(
        page.contains("it is three letters") && page.contains("value=\"61,5\""),
        "{page}"
    );
    assert!(page.contains("name=\"tax_pct\" value=\"19\""), "{page}");
    let pad = server.post(
        "/shop",
        "edit=pad-000001&what=pad&name=Blue&diameter_mm=wide",
    );
    assert!(
        pad.text().contains("value=\"wide\"") && pad.text().contains("value=\"Blue\""),
        "{}",
        pad.text()
    );
    let enquiry = server.post(
        "/enquiry",
        "edit=enquiry-01&saw=0&class=mpv&defects=deep-scratches&car=A+blue+one&name=",
    );
    assert_eq!(enquiry.status, 422);
    let page = enquiry.text();
    assert!(
        page.contains("needs a name") && page.contains("value=\"A blue one\""),
        "{page}"
    );
    assert!(page.contains("value=\"mpv\" selected"), "{page}");
}

#[test]
fn pages_of_a_machine_without_accounts_do_not_ask_to_sign_in() {
    let server = Server::start();
    for path in [
        "/no-such-page",
        "/jobs/none",
        "/exposure?what=x&vibration_m_s2=abc",
    ] {
        let page = server.get(path).text();
        assert!(!page.contains("/sign-in"), "{path}: {page}");
    }
}

#[test]
fn a_link_that_nobody_else_can_open_says_so_and_the_bench_leads_back() {
    let server = Server::start();
    let job = bay::example(&server);
    let links = server.get(&format!("{job}/links")).text();
    assert!(
        links.contains("nobody else can open a link") && links.contains("--listen 0.0.0.0:8443")
    );
    assert!(links.contains("a link shows only the car"));
    let plan = server.get(&format!("{job}/plan")).text();
    let id = job.rsplit('/').next().expect("an id");
    assert!(
        plan.contains(&format!("href=\"/bench?job={id}\"")),
        "{plan}"
    );
    let bench = server
        .get(&format!("/bench?job={id}&machine=random-orbital"))
        .text();
    assert!(
        bench.contains(&format!("href=\"{job}\""))
            && bench.contains("Back to the job: Harbour estate")
    );
    assert!(!bench.contains("Write opm"), "nobody wrote rpm");
    assert!(
        !server
            .get("/bench?job=none")
            .text()
            .contains("Back to the job")
    );
}

#[test]
fn the_list_of_deeds_says_which_and_a_long_word_does_not_widen_the_page() {
    let server = Server::start();
    let job = bay::opened(&server);
    let long = "x".repeat(200);
    let mark = format!("edit=mark-00001&panel=roof&kind=scratch&extent=hand&note={long}");
    assert_eq!(server.post(&format!("{job}/defects"), &mark).status, 303);
    let page = server.get(&job).text();
    assert!(page.contains("Mark made: Roof, Scratch"), "{page}");
    let Some(browser) = Browser::open(390, 844) else {
        return;
    };
    browser.go(&format!("http://{}{job}", server.host));
    bay::fits(&browser, "long-note");
}
