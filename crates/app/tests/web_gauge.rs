//! Readings with their place, tables from a gauge, film and budget of a job.

mod bay;

use bay::{Server, encoded, multipart};

#[test]
fn a_reading_lies_where_the_panel_was_tapped() {
    let server = Server::start();
    let job = bay::opened(&server);
    let path = format!("{job}/readings");
    let bare = server.get(&format!("{path}/panel?panel=roof")).text();
    assert!(
        bare.contains("Size not measured") && !bare.contains("<circle"),
        "{bare}"
    );
    let taken = server.post(
        &path,
        "edit=reading-1a&panel=roof&thickness=4.4&unit=mil&u_mm=250&v_mm=350",
    );
    assert_eq!(taken.status, 303, "{}", taken.text());
    // 4.4 mil are 111.76 µm; on a face of 1000 by 700 mm drawn 360 wide,
    // 250 mm across is x = 90 and half way up is y = 126.
    let drawn = server.get(&format!("{path}/panel?panel=roof")).text();
    assert!(
        drawn.contains("cx=\"90.0\" cy=\"126.0\"") && drawn.contains(">112<"),
        "{drawn}"
    );
    let other = server.get(&format!("{path}/panel?panel=bonnet")).text();
    assert!(!other.contains("<circle"));
    assert_eq!(server.get(&format!("{path}/panel?panel=wheel")).status, 422);
}

#[test]
fn a_table_in_mil_joins_as_one_event_and_is_undone_as_one() {
    let server = Server::start();
    let job = bay::opened(&server);
    let table =
        b"Panel;Thickness (mil);u_mm;v_mm\nhood;4,4;100;100\nhood;4,5;500;300\nroof;4,0;200;200\n";
    let (kind, body) = multipart(&[
        ("edit", None, b"import-0001"),
        ("saw", None, b"1"),
        ("file", Some("gauge.csv"), table),
    ]);
    let path = format!("{job}/readings/import");
    for _ in 0..2 {
        let answer = server.send("POST", &path, &[("content-type", &kind)], &body);
        assert_eq!(answer.status, 303, "{}", answer.text());
    }
    let text = server.get(&format!("{job}/readings")).text();
    assert!(
        text.contains("3 readings") && text.contains("gauge.csv"),
        "{text}"
    );
    let car = server.get(&format!("{job}/readings/car")).text();
    // 4.0 mil are 101.6 µm.
    assert!(car.contains(">102<"), "{car}");
    server.post(&format!("{job}/undo"), "edit=undo-0001&event=import-0001");
    assert!(
        !server
            .get(&format!("{job}/readings"))
            .text()
            .contains("gauge.csv</b>")
    );
}

#[test]
fn a_table_that_cannot_be_used_is_refused_with_its_line() {
    let server = Server::start();
    let job = bay::opened(&server);
    let path = format!("{job}/readings/import");
    for (pasted, words) in [
        ("panel,thickness_um\nbonnet,abc\n", "line 2"),
        ("colour\nblue\n", "no column"),
        ("panel,thickness_um\n", "no reading"),
        ("<script>alert(1)</script>", "&lt;script"),
    ] {
        let answer = server.post(
            &path,
            &format!("edit=bad-000001&pasted={}", encoded(pasted)),
        );
        assert_eq!(answer.status, 422, "{pasted}");
        assert!(answer.text().contains(words), "{}", answer.text());
    }
    assert_eq!(server.post(&path, "edit=bad-000002").status, 422);
    assert_eq!(
        server.get(&job).text().matches("Table brought in").count(),
        0
    );
}

#[test]
fn film_and_budget_follow_the_page_and_name_the_rule_that_binds() {
    let server = Server::start();
    let job = bay::example(&server);
    let page = server.get(&format!("{job}/film")).text();
    assert!(
        page.contains("data-later=") && page.contains("Being worked out"),
        "{page}"
    );
    let answer = server.get(&format!("{job}/film/answer"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    let text = answer.text();
    for words in [
        "clear that must stay",
        "May go",
        "binds",
        "Right front wing",
    ] {
        assert!(text.contains(words), "{words}");
    }
    // Worked out once, it stands in the page from then on.
    assert!(
        !server
            .get(&format!("{job}/film"))
            .text()
            .contains("Being worked out")
    );
    let map = server.get(&format!("{job}/film/bonnet")).text();
    assert!(
        map.contains("<svg") && map.contains("Thinnest plausible place"),
        "{map}"
    );
    assert_eq!(server.get(&format!("{job}/film/wheel")).status, 404);
}

/// Five places about 96 µm, where one reading more may turn the decision.
const IN_DOUBT: [(&str, &str, &str); 5] = [
    ("97", "150", "150"),
    ("92", "900", "200"),
    ("99", "500", "600"),
    ("94", "800", "550"),
    ("101", "300", "400"),
];

#[test]
fn the_next_place_to_read_stands_on_the_panel_as_the_command_line_names_it() {
    let server = Server::start();
    let job = bay::opened(&server);
    let mut table = "panel,thickness_um,u_mm,v_mm\n".to_owned();
    for (no, (um, u, v)) in IN_DOUBT.iter().enumerate() {
        let fields = format!("edit=reading-{no}a&panel=bonnet&thickness={um}&u_mm={u}&v_mm={v}");
        assert_eq!(server.post(&format!("{job}/readings"), &fields).status, 303);
        table += &format!("bonnet,{um},{u},{v}\n");
    }
    let of_line = server.send(
        "POST",
        "/api/film",
        &[("content-type", "text/csv")],
        table.as_bytes(),
    );
    let of_line: serde_json::Value = serde_json::from_slice(&of_line.body).expect("JSON");
    let first = &of_line["next_readings"][0];
    let path = format!("{job}/readings/panel?panel=bonnet");
    let before = server.get(&path).text();
    assert!(
        before.contains("data-is-open") && before.contains("being worked out"),
        "{before}"
    );
    let text = server.get(&format!("{path}&wait=yes")).text();
    assert!(
        !text.contains("data-is-open") && text.contains("Read next"),
        "{text}"
    );
    let ring =
        format!("data-u=\"{}\" data-v=\"{}\"", first["u_mm"], first["v_mm"]).replace(".0\"", "\"");
    assert!(text.contains(&ring), "{ring} in {text}");
    let other = server
        .get(&format!("{job}/readings/panel?panel=roof&wait=yes"))
        .text();
    assert!(
        other.contains("Best on the whole car") && other.contains("data-choose=\"bonnet\""),
        "{other}"
    );
    let sure = bay::example(&server);
    let sure = server
        .get(&format!("{sure}/readings/panel?panel=roof&wait=yes"))
        .text();
    assert!(
        sure.contains("more readings will not change the decision"),
        "{sure}"
    );
}

#[test]
fn a_job_without_readings_says_where_to_start() {
    let server = Server::start();
    let job = bay::opened(&server);
    assert!(
        server
            .get(&format!("{job}/film"))
            .text()
            .contains("Start with the bonnet")
    );
    let german = server.send(
        "GET",
        &format!("{job}/film"),
        &[("accept-language", "de")],
        b"",
    );
    assert!(german.text().contains("Mit der Haube anfangen"));
}
