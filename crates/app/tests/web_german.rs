//! German pages of a job speak German: panels, rules, reasons, cautions,
//! recipes; what the engine says only as text is marked English.

mod bay;

use bay::Server;

/// What a technician sees most, with words that must stand there.
const PAGES: [(&str, &[&str]); 5] = [
    (
        "/film/answer",
        &[
            "Motorhaube",
            "begrenzt durch: Klarlack, der bleiben muss",
            "Schon nachlackiert oder gespachtelt",
            ">Dach<",
        ],
    ),
    (
        "/trial/answer",
        &["% kosten", "am oberen Ende der Abtragsrate"],
    ),
    (
        "/plan/answer",
        &[
            "Durchgänge mit",
            "Unvorhergesehenes",
            "Tücher",
            "Säulen, Dachholm links",
        ],
    ),
    ("/work", &["Motorhaube", "Durchgänge mit"]),
    ("/readings", &["Kotflügel links"]),
];

fn german(server: &Server, path: &str) -> String {
    let answer = server.send("GET", path, &[("accept-language", "de")], b"");
    assert_eq!(answer.status, 200, "{path}: {}", answer.text());
    answer.text()
}

#[test]
fn the_stations_speak_german_on_german_pages() {
    let server = Server::start();
    let job = bay::example(&server);
    bay::try_spot(&server, &job);
    for (page, words) in PAGES {
        let text = german(&server, &format!("{job}{page}"));
        for word in words {
            assert!(text.contains(word), "{word} is missing on {page}: {text}");
        }
        for english in [
            "Bonnet",
            "Left front",
            "clear-left",
            "passes at",
            "may go:",
            " passes and ",
        ] {
            assert!(!text.contains(english), "{english} on {page}: {text}");
        }
        // Sentences that come as text are few, and marked.
        let marked = text.matches("<span lang=\"en\">").count();
        assert!(marked <= 4, "{marked} English sentences on {page}");
    }
}

#[test]
fn a_page_in_us_units_has_no_metric_film_or_heat() {
    let server = Server::start();
    let job = bay::example(&server);
    for page in ["/film/answer", "/plan/answer", "/trial"] {
        let headers = [("cookie", "lapwing_units=us")];
        let text = server
            .send("GET", &format!("{job}{page}"), &headers, b"")
            .text();
        let text = text.rsplit("<main").next().unwrap_or_default();
        for metric in ["\u{a0}µm", " µm", "\u{a0}°C", " °C", "mm/s"] {
            let at = text.find(metric);
            let around = at.map(|at| text[..at].chars().rev().take(80).collect::<String>());
            let around = around.map(|a| a.chars().rev().collect::<String>());
            assert_eq!(around, None, "{metric} on {page}");
        }
    }
}
