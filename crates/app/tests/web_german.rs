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

/// Words of English that no German page has.
const ENGLISH: [&str; 25] = [
    "the", "and", "with", "is", "are", "not", "from", "by", "this", "that", "for", "how", "what",
    "which", "one", "only", "it", "its", "be", "has", "of", "to", "than", "where", "no",
];

/// What people see and hear of a page: its text and its spoken names, without
/// what is marked as English and what the users themselves have typed.
fn heard(page: &str) -> Vec<String> {
    let mut text = page.to_owned();
    for (from, to) in [
        ("<span lang=\"en\">", "</span>"),
        ("<table class=\"plain\" lang=\"en\">", "</table>"),
        ("<code>", "</code>"),
        ("<style", "</style>"),
        ("<option value=\"en\"", "</option>"),
        ("<textarea", "</textarea>"),
    ] {
        while let Some(at) = text.find(from) {
            let end = text[at..]
                .find(to)
                .map_or(text.len(), |e| at + e + to.len());
            text.replace_range(at..end, " ");
        }
    }
    let mut heard = Vec::new();
    for piece in text.split('<') {
        let (tag, words) = piece.split_once('>').unwrap_or(("", piece));
        heard.push(words.to_owned());
        for name in [
            "aria-label=\"",
            "alt=\"",
            "title=\"",
            "placeholder=\"",
            "data-words=\"",
            "data-said=\"",
        ] {
            let spoken = tag.split(name).nth(1).and_then(|t| t.split('"').next());
            heard.extend(spoken.map(str::to_owned));
        }
    }
    heard
}

/// What the example itself brings along: names, a description, a kit.
const OWN: [&str; 16] = [
    "Nine-year-old dark blue estate, kept by the sea",
    "Harbour estate",
    "cutting foam",
    "small polishing foam",
    "polishing foam",
    "finishing foam",
    "medium polish",
    "finishing polish",
    "fine polish",
    "heavy compound",
    "long orbital",
    "geared orbital",
    "by the badge",
    "µm of film",
    "rotary",
    "wool",
];

fn english_in(page: &str) -> Vec<String> {
    let mut found = Vec::new();
    for text in heard(page) {
        let own = OWN.iter().fold(text.clone(), |t, own| t.replace(own, ""));
        // A spot's name with its figure, "BE1", is no word.
        let words = own.split(|c: char| !c.is_alphanumeric() && c != '-');
        if words
            .clone()
            .any(|w| ENGLISH.contains(&w.to_lowercase().as_str()) && w != "not")
        {
            found.push(text.trim().to_owned());
        }
    }
    found
}

/// Every page that a visitor can open of the house and of a job.
fn pages_of(job: &str) -> Vec<String> {
    let id = job.rsplit('/').next().expect("an id");
    let mut pages: Vec<String> = [
        "/",
        "/jobs?judged=yes",
        "/enquiry",
        "/film",
        "/bench",
        "/plan",
        "/exposure",
        "/shop",
        "/shop/history",
        "/operator",
        "/first",
        "/offline",
        "/sign-in",
    ]
    .map(str::to_owned)
    .to_vec();
    pages.push(format!("/bench?job={id}"));
    pages.extend(
        [
            "",
            "/wash",
            "/readings",
            "/readings/car",
            "/readings/panel?panel=bonnet&wait=yes",
            "/panels",
            "/film?now=yes",
            "/film/bonnet",
            "/film/roof",
            "/film/front-wing-right",
            "/trial?now=yes",
            "/plan?now=yes",
            "/work",
            "/coat",
            "/prove",
            "/handover",
            "/history",
            "/links",
        ]
        .map(|page| format!("{job}{page}")),
    );
    pages
}

#[test]
fn no_page_of_a_german_visitor_has_english_left() {
    let server = Server::start();
    let job = bay::example(&server);
    bay::try_spot(&server, &job);
    server.post(
        &format!("{job}/defects"),
        "edit=mark-00001&panel=bonnet&kind=chip&note=by+the+badge",
    );
    server.post(
        &format!("{job}/coat"),
        "edit=coat-00001&deed=read&units=metric&air_c=8&humidity_pct=90&surface_c=8",
    );
    server.post(
        &format!("{job}/wash"),
        "edit=wash-00001&item=clay&is_done=yes&minutes=30",
    );
    let pages = pages_of(&job);
    let mut faults = Vec::new();
    for path in &pages {
        let headers = [("accept-language", "de"), ("accept", "text/html")];
        let answer = server.send("GET", path, &headers, b"");
        if answer.status == 303 {
            continue;
        }
        assert_eq!(answer.status, 200, "{path}: {}", answer.text());
        let text = answer.text();
        faults.extend(
            english_in(&text)
                .into_iter()
                .map(|t| format!("{path}: {t}")),
        );
        let marked = text.matches("<span lang=\"en\">").count();
        assert!(marked <= 6, "{marked} English sentences on {path}");
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn figures_in_german_pictures_have_a_comma() {
    let server = Server::start();
    let job = bay::example(&server);
    bay::try_spot(&server, &job);
    for page in [
        "/trial/answer",
        "/film/bonnet",
        "/film/answer",
        "/plan/answer",
    ] {
        let text = german(&server, &format!("{job}{page}"));
        for label in text.split("<text").skip(1) {
            let words = label.split("</text>").next().unwrap_or_default();
            let said: String = words
                .split('<')
                .filter_map(|p| p.split_once('>').map(|(_, t)| t))
                .collect();
            let is_point = said
                .as_bytes()
                .windows(3)
                .any(|w| w[0].is_ascii_digit() && w[1] == b'.' && w[2].is_ascii_digit());
            assert!(!is_point, "{said} on {page}");
        }
    }
}

#[test]
fn refusals_of_engine_and_store_are_german_too() {
    let server = Server::start();
    let job = bay::example(&server);
    let headers = [
        ("accept-language", "de"),
        ("content-type", "application/x-www-form-urlencoded"),
    ];
    let said = |path: &str, fields: &str| {
        server
            .send("POST", path, &headers, fields.as_bytes())
            .text()
    };
    for (path, fields, words) in [
        (
            format!("{job}/undo"),
            "event=nothing-01",
            "gibt es in diesem Betrieb nicht",
        ),
        (
            format!("{job}/readings"),
            "edit=read-00001&saw=99&panel=roof&thickness=110",
            "Den Auftrag neu laden",
        ),
        (
            "/film".to_owned(),
            "readings=panel%2Cthickness_um%0Aroof%2C-5",
            "ist negativ",
        ),
        (
            "/film".to_owned(),
            "readings=a%2Cb%0A1%2C2",
            "Die erste Zeile muss die Spalten nennen",
        ),
        (
            format!("{job}/readings/import"),
            "edit=table-0001&pasted=panel%2Cthickness_um%0Aroof%2Cdick",
            "ist keine Zahl",
        ),
        (
            "/jobs/j-nothing/readings".to_owned(),
            "panel=roof&thickness=110",
            "gibt es in diesem Betrieb nicht",
        ),
    ] {
        let text = said(&path, fields);
        assert!(
            text.contains(words),
            "{path} {fields}: {}",
            text.split("<main").nth(1).unwrap_or(&text)
        );
    }
}
