//! Panels and gauge: what a person gives of them reaches readings, film, spot
//! and plan, and stands in the job file that the command line reads.

mod bay;

use bay::browser::Browser;
use bay::{Server, encoded};

/// The fields of the page's form as they stand, with some changed.
fn form(page: &str, gauge: &str, changed: &[(&str, [&str; 3])]) -> String {
    let mut fields = format!(
        "edit=given-{:04}&units=metric&gauge_um={}",
        changed.len(),
        encoded(gauge)
    );
    for row in page.split("<fieldset><legend>").skip(1) {
        let after = |mark: &str| {
            let (_, rest) = row.split_once(mark).expect("a field");
            rest.split('"').next().expect("its value").to_owned()
        };
        let id = after("name=\"panel\" value=\"");
        let chosen = row
            .split("<option value=\"")
            .find(|o| o.contains("selected"))
            .expect("chosen");
        let under = chosen.split('"').next().expect("a word").to_owned();
        let (wide, tall) = (
            after("name=\"wide_mm\" value=\""),
            after("name=\"tall_mm\" value=\""),
        );
        let now = [under, wide, tall];
        let new = changed.iter().find(|(panel, _)| *panel == id);
        let [under, wide, tall] = new.map_or(now, |(_, new)| new.map(str::to_owned));
        fields += &format!(
            "&panel={id}&substrate={under}&wide_mm={}&tall_mm={}",
            encoded(&wide),
            encoded(&tall)
        );
    }
    fields
}

#[test]
fn a_job_without_a_kit_keeps_what_was_given_and_takes_it_into_its_file() {
    let server = Server::start();
    let job = bay::opened(&server);
    let path = format!("{job}/panels");
    let drawing = format!("{job}/readings/panel?panel=bonnet");
    assert!(
        server.get(&drawing).text().contains(&path),
        "the readings page leads there"
    );
    let page = server.get(&path).text();
    let fields = form(&page, "1.5", &[("bonnet", ["aluminium", "1420", "1250"])]);
    assert_eq!(server.post(&path, &fields).status, 303);
    let page = server.get(&path).text();
    let bonnet = page.split("value=\"bonnet\"").nth(1).expect("the bonnet");
    let bonnet = bonnet.split("</fieldset>").next().expect("its end");
    assert!(
        bonnet.contains("value=\"aluminium\" selected") && bonnet.contains("value=\"1420\""),
        "{bonnet}"
    );
    assert!(page.contains("name=\"gauge_um\" value=\"1.50\""), "{page}");
    assert!(server.get(&drawing).text().contains("data-right=\"1420\""));
    // The spot takes the gauge; the shop's kit takes all of it along.
    assert!(
        server
            .get(&format!("{job}/trial"))
            .text()
            .contains("name=\"gauge_um\" value=\"1.50\"")
    );
    server.post("/shop", "edit=start-0001&saw=0&what=starter");
    assert_eq!(
        server
            .post(&format!("{job}/plan"), "edit=kit-000001&deed=kit")
            .status,
        303
    );
    let page = server.get(&path).text();
    assert!(page.contains("value=\"1420\"") && page.contains("value=\"1.50\""));
}

#[test]
fn a_job_file_gets_what_was_given_and_keeps_its_comments() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/panels");
    let page = server.get(&path).text();
    // Nothing changed is no deed.
    assert_eq!(server.post(&path, &form(&page, "1.0", &[])).status, 303);
    let fields = form(
        &page,
        "",
        &[
            ("roof", ["laminate", "1100", "2000.5"]),
            ("bonnet", ["steel", "", ""]),
        ],
    );
    assert_eq!(server.post(&path, &fields).status, 303);
    let zip = server.get(&format!("{job}/job.zip"));
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(zip.body)).expect("a zip");
    let mut text = String::new();
    std::io::Read::read_to_string(&mut zip.by_name("job.toml").expect("the file"), &mut text)
        .expect("text");
    assert!(
        text.contains("size = \"1100 x 2000.5 mm\"") && text.contains("substrate = \"laminate\""),
        "{text}"
    );
    assert!(!text.contains("1.42 x 1.25 m") && !text.contains("repeatability ="));
    assert!(
        text.contains("# What the gauge repeats to"),
        "comments stay"
    );
    let undone = server.post(&format!("{job}/undo"), "edit=undo-00001&event=given-0002");
    assert_eq!(undone.status, 303);
    assert!(server.get(&path).text().contains("value=\"1420\""));
}

#[test]
fn nonsense_is_refused_in_words() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/panels");
    let page = server.get(&path).text();
    for (gauge, change, words) in [
        ("1.0", ("roof", ["steel", "1100", ""]), "only one side"),
        ("1.0", ("roof", ["steel", "3", "1100"]), "allowed is 30"),
        ("1.0", ("roof", ["steel", "wide", "1100"]), "not a number"),
        ("99", ("roof", ["steel", "", ""]), "allowed is 0"),
    ] {
        let answer = server.post(&path, &form(&page, gauge, &[change]));
        assert_eq!(answer.status, 422, "{words}");
        assert!(answer.text().contains(words), "{words}: {}", answer.text());
    }
    for (fields, status) in [
        ("panel=roof", 422),
        ("panel=wheel&substrate=steel&wide_mm=1&tall_mm=1", 422),
        ("", 303),
    ] {
        assert_eq!(server.post(&path, fields).status, status, "{fields}");
    }
}

#[test]
fn the_page_fits_a_phone_and_a_tablet_and_gives_inches_back() {
    let server = Server::start();
    let job = bay::example(&server);
    for (width, height) in bay::SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        browser.go(&format!("http://{}{job}/panels", server.host));
        bay::fits(&browser, &format!("panels-{width}"));
    }
    let us = [("cookie", "lapwing_units=us")];
    let page = server
        .send("GET", &format!("{job}/panels"), &us, b"")
        .text();
    assert!(page.contains("Width, in"), "{page}");
}
