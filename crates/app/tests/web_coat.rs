//! Coating: go or wait with reasons, and a countdown that survives a reload.

mod bay;

use bay::Server;
use bay::browser::Browser;

#[test]
fn a_usual_day_is_go_and_a_cold_panel_waits() {
    let server = Server::start();
    let path = format!("{}/coat", bay::opened(&server));
    assert!(
        server
            .get(&path)
            .text()
            .contains("Read air, humidity and panel first")
    );
    let read =
        |edit: &str, fields: &str| server.post(&path, &format!("edit={edit}&deed=read&{fields}"));
    assert_eq!(
        read("read-00001", "air_c=20&humidity_pct=60&surface_c=19").status,
        303
    );
    let text = server.get(&path).text();
    // Printed tables give 12.0 °C for 20 °C and 60 %.
    for word in [
        "verdict go",
        "12.0\u{a0}°C",
        "15.0\u{a0}°C",
        "common practice",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    // The same in US units: 68 °F and 57 °F, which is 13.9 °C.
    assert_eq!(
        read(
            "read-00002",
            "air_c=68&humidity_pct=60&surface_c=57&units=us&humidity_to_pct=55"
        )
        .status,
        303
    );
    let text = server.get(&path).text();
    for word in [
        "verdict wait",
        "1.9\u{a0}K above the dew point",
        "allows 55.0\u{a0}%",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    for (fields, words) in [
        ("air_c=20&humidity_pct=60", "Read air"),
        ("air_c=90&humidity_pct=60&surface_c=19", "allowed is"),
        (
            "air_c=20&humidity_pct=0&surface_c=19",
            "allowed is 1 to 100",
        ),
        ("air_c=20&humidity_pct=60&surface_c=warm", "not a number"),
        (
            "air_c=20&humidity_pct=60&surface_c=19&air_from_c=30&air_to_c=20",
            "Swap them",
        ),
    ] {
        let answer = read("read-00009", fields);
        assert_eq!(answer.status, 422, "{fields}");
        assert!(answer.text().contains(words), "{fields}: {}", answer.text());
    }
}

#[test]
fn a_section_is_laid_levelled_and_its_time_kept_over_a_restart() {
    let mut server = Server::start();
    let job = bay::opened(&server);
    let path = format!("{job}/coat");
    server.post(
        &path,
        "edit=lay-000001&deed=lay&panel=bonnet&said_ms=1700000000000",
    );
    server.post(&path, "edit=lay-000002&deed=lay&panel=roof&asked=yes");
    server.restart();
    let text = server.get(&path).text();
    assert!(text.contains("data-laid=\"1700000000000\""), "{text}");
    assert_eq!(text.matches("data-laid=").count(), 2);
    let level = |edit: &str, id: &str, at: &str| {
        server
            .post(&path, &format!("edit={edit}&deed=level&section={id}{at}"))
            .status
    };
    assert_eq!(
        level("level-0001", "lay-000001", "&said_ms=1700000095000"),
        303
    );
    assert_eq!(level("level-0002", "nothing", ""), 404);
    let text = server.get(&path).text();
    assert!(
        text.contains("open for 1:35") && text.contains("usual dry time is over"),
        "{text}"
    );
    assert_eq!(level("level-0003", "lay-000002", ""), 303);
    let text = server.get(&path).text();
    assert!(
        text.contains("another 24\u{a0}h 00\u{a0}min")
            || text.contains("another 23\u{a0}h 59\u{a0}min"),
        "{text}"
    );
    assert!(server.get("/jobs").text().contains("Level the coating"));
    assert!(text.contains("2 sections"), "the line says so");
}

#[test]
fn the_countdown_runs_and_a_reload_changes_nothing() {
    let server = Server::start();
    let job = bay::opened(&server);
    let path = format!("{job}/coat");
    server.post(&path, "edit=read-00001&deed=read&air_c=21&humidity_pct=55&surface_c=20&level_after_s=40&open_s=120&dry_h=24&air_from_c=10&air_to_c=27&humidity_from_pct=30&humidity_to_pct=75");
    let address = format!("http://{}{path}", server.host);
    for (width, height) in bay::SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        browser.go(&address);
        browser.press(".mark-form .main-deed");
        browser.wait_for("a countdown", "return document.querySelector('.countdowns li:last-child .count')?.textContent.match(/^0:3\\d$/) !== null && document.querySelector('.countdowns .count') !== null");
        browser.go(&address);
        browser.wait_for("it goes on", "const c = document.querySelector('.countdowns li:last-child .count')?.textContent; return /^0:3[0-8]$/.test(c ?? '')");
        // One section is due, one is past its time.
        let now = browser.run("return Date.now()").as_i64().expect("a time");
        for (id, ago) in [("due", 60_000), ("past", 200_000)] {
            let fields = format!(
                "edit=lay-{id}-{width}&deed=lay&panel=bonnet&said_ms={}",
                now - ago
            );
            server.post(&path, &fields);
        }
        browser.wait_for("both states", "return document.querySelector('[data-state=due]') !== null && document.querySelector('[data-state=past]') !== null");
        bay::fits(&browser, &format!("coat-{width}"));
        browser.press("[data-state=past] button");
        browser.wait_for(
            "it is levelled",
            "return document.querySelector('#levelled li') !== null",
        );
    }
}
