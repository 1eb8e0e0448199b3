//! Photographs from the phone, in the browser at real size and with bad
//! uploads, and the proof of what changed.

mod bay;

use bay::browser::{Browser, drawn_photo};
use bay::{Answer, PIXEL, Part, Server, multipart};
use serde_json::Value;

fn sent(server: &Server, job: &str, parts: &[Part<'_>]) -> Answer {
    let (kind, body) = multipart(parts);
    let headers = [
        ("content-type", kind.as_str()),
        ("accept", "application/json"),
    ];
    server.send("POST", &format!("{job}/photos"), &headers, &body)
}

#[test]
fn a_photo_is_kept_once_shown_taken_out_and_brought_back() {
    let server = Server::start();
    let job = bay::opened(&server);
    let parts: [Part<'_>; 5] = [
        ("edit", None, b"photo-0001"),
        ("panel", None, b"bonnet"),
        ("side", None, b"before"),
        ("photo", Some("../../etc/passwd.png"), &PIXEL),
        ("view", Some("v.png"), &PIXEL),
    ];
    for word in ["kept", "again"] {
        let answer = sent(&server, &job, &parts);
        assert_eq!(answer.status, 200, "{}", answer.text());
        let told: Value = serde_json::from_slice(&answer.body).expect("JSON");
        assert_eq!(told["outcome"], word);
    }
    let text = server.get(&job).text();
    assert_eq!(text.matches("<img").count(), 1, "{text}");
    let (_, after) = text.split_once("<img src=\"").expect("a photo");
    let photo = server.get(after.split('"').next().expect("its address"));
    assert_eq!(photo.status, 200);
    assert_eq!(photo.header("content-type"), Some("image/png"));
    assert_eq!(photo.body, PIXEL);
    assert!(
        photo
            .header("cache-control")
            .is_some_and(|c| c.contains("private"))
    );
    assert!(photo.header("content-security-policy").is_some());
    let (_, name) = text
        .split_once("name=\"remove\" value=\"bonnet-")
        .expect("a name");
    let name = format!("bonnet-{}", name.split('"').next().expect("its end"));
    assert_eq!(name, "bonnet-before-photo0001.png");
    let gone = sent(
        &server,
        &job,
        &[
            ("edit", None, b"gone-00001"),
            ("remove", None, name.as_bytes()),
        ],
    );
    assert_eq!(gone.status, 200, "{}", gone.text());
    assert!(!server.get(&job).text().contains("<img"));
    let undone = server.post(&format!("{job}/undo"), "edit=undo-00001&event=gone-00001");
    assert_eq!(undone.status, 303);
    assert!(server.get(&job).text().contains("<img"));
}

/// A picture that no one has sent yet.
fn fresh_picture(no: u8) -> [u8; 67] {
    let mut picture = PIXEL;
    picture[43] = no;
    picture
}

/// The answers to the same body, sent by several phones at the same moment.
fn at_once(server: &Server, job: &str, phones: usize, parts: &[Part<'_>]) -> Vec<Answer> {
    let start = std::sync::Barrier::new(phones);
    std::thread::scope(|scope| {
        let send = || {
            start.wait();
            sent(server, job, parts)
        };
        let threads: Vec<_> = (0..phones).map(|_| scope.spawn(send)).collect();
        let answers = threads.into_iter().map(|t| t.join().expect("an answer"));
        answers.collect()
    })
}

fn outcomes(answers: &[Answer]) -> Vec<String> {
    let outcome = |answer: &Answer| {
        assert_eq!(answer.status, 200, "{}", answer.text());
        let told: Value = serde_json::from_slice(&answer.body).expect("JSON");
        told["outcome"].as_str().expect("a word").to_owned()
    };
    let mut words: Vec<String> = answers.iter().map(outcome).collect();
    words.sort_unstable();
    words
}

#[test]
fn the_same_photo_sent_many_times_at_once_is_one_deed_each_time() {
    let server = Server::start();
    let job = bay::opened(&server);
    for round in 0..40_u8 {
        let photo = fresh_picture(round);
        let edit = format!("round-{round:04}");
        let parts: [Part<'_>; 4] = [
            ("edit", None, edit.as_bytes()),
            ("panel", None, b"bonnet"),
            ("photo", Some("a.png"), &photo),
            ("view", Some("v.png"), &photo),
        ];
        let words = outcomes(&at_once(&server, &job, 6, &parts));
        assert_eq!(
            words,
            ["again", "again", "again", "again", "again", "kept"],
            "{round}"
        );
        if round % 4 == 0 {
            let name = format!("bonnet-before-round{round:04}.png");
            let gone = format!("gone-{round:05}");
            let parts: [Part<'_>; 2] = [
                ("edit", None, gone.as_bytes()),
                ("remove", None, name.as_bytes()),
            ];
            let words = outcomes(&at_once(&server, &job, 4, &parts));
            assert_eq!(words, ["again", "again", "again", "kept"], "{round}");
        }
    }
    assert_eq!(server.get(&job).text().matches("<img").count(), 30);
}

#[test]
fn a_phone_that_hangs_up_in_the_middle_is_no_fault_of_the_server() {
    use std::io::{Read as _, Write as _};
    let server = Server::start();
    let job = bay::opened(&server);
    let (kind, body) = multipart(&[
        ("edit", None, b"half-00001"),
        ("panel", None, b"bonnet"),
        ("photo", Some("a.png"), &PIXEL),
    ]);
    let head = format!(
        "POST {job}/photos HTTP/1.1\r\nhost: {}\r\naccept: application/json\r\ncontent-type: {kind}\r\ncontent-length: {}\r\n\r\n",
        server.host,
        body.len()
    );
    for part in [body.len() / 3, body.len() / 2, body.len() - 5] {
        let mut stream = std::net::TcpStream::connect(&server.host).expect("it listens");
        stream.write_all(head.as_bytes()).expect("sent");
        stream.write_all(&body[..part]).expect("sent");
        // The answer can still be heard when only the sending side is closed.
        stream.shutdown(std::net::Shutdown::Write).expect("hung up");
        let mut answer = String::new();
        let _ = stream.read_to_string(&mut answer);
        assert!(!answer.contains(" 500 "), "{answer}");
        assert!(
            answer.is_empty() || answer.starts_with("HTTP/1.1 4"),
            "{answer}"
        );
    }
    assert_eq!(
        sent(
            &server,
            &job,
            &[
                ("edit", None, b"half-00001"),
                ("panel", None, b"bonnet"),
                ("photo", Some("a.png"), &PIXEL),
            ]
        )
        .status,
        200,
        "the same photo is taken afterwards"
    );
}

/// Panel, side, file name, bytes, and a word of the refusal.
type Bad<'a> = (&'a [u8], &'a str, &'a str, &'a [u8], &'a str);

#[test]
fn bad_uploads_are_refused_in_words_and_leave_nothing() {
    let server = Server::start();
    let job = bay::opened(&server);
    let mut heic = vec![0, 0, 0, 0x18];
    heic.extend(b"ftypheic0000mif1heic");
    let mut large = vec![0xff, 0xd8, 0xff, 0xe0];
    large.resize(21 << 20, 0);
    let tall = {
        let mut png = PIXEL;
        png[16..20].copy_from_slice(&20_000_u32.to_be_bytes());
        png
    };
    let cases: [Bad<'_>; 9] = [
        (b"bonnet", "", "a.heic", &heic, "HEIC"),
        (
            b"bonnet",
            "",
            "a.jpg",
            b"<script>alert(1)</script>",
            "no JPEG",
        ),
        (b"bonnet", "", "a.png", &PIXEL[..50], "cut off"),
        (b"bonnet", "", "a.png", &tall, "was not taken"),
        (b"bonnet", "", "a.jpg", &large, "was not taken"),
        (b"bonnet", "", "", b"", "No photo came"),
        (b"wheel", "", "a.png", &PIXEL, "no panel"),
        (b"bonnet", "under", "a.png", &PIXEL, "is not known"),
        (&[0xff, 0xfe], "", "a.png", &PIXEL, "not understood"),
    ];
    for (panel, side, file, bytes, words) in cases {
        let mut parts: Vec<Part<'_>> = vec![("panel", None, panel)];
        if !side.is_empty() {
            parts.push(("side", None, side.as_bytes()));
        }
        parts.push(("photo", Some(file), bytes));
        let answer = sent(&server, &job, &parts);
        assert_eq!(answer.status, 422, "{words}: {}", answer.text());
        assert!(answer.text().contains(words), "{words}: {}", answer.text());
    }
    let gone = sent(&server, &job, &[("remove", None, b"nothing.png")]);
    assert_eq!(gone.status, 404);
    assert!(gone.text().contains("not in the job"), "{}", gone.text());
    assert!(!server.get(&job).text().contains("<img"));
}

#[test]
fn a_broken_form_and_a_wrong_address_of_a_photo_are_turned_down() {
    let server = Server::start();
    let job = bay::opened(&server);
    let path = format!("{job}/photos");
    let kind = [("content-type", "multipart/form-data; boundary=lapwing")];
    for body in [
        &b""[..],
        b"--lapwing\r\n",
        b"--other--",
        b"--lapwing\r\ncontent-disposition: form-data; name=\"photo\"; filename=\"a\"\r\n\r\nabc",
    ] {
        let answer = server.send("POST", &path, &kind, body);
        assert!((400..500).contains(&answer.status), "{}", answer.status);
    }
    assert!((400..500).contains(&server.post(&path, "panel=bonnet").status));
    assert!(!server.get(&job).text().contains("<img"));
    for hash in ["0", "..%2f..%2flapwing.sqlite", &"a".repeat(64), "%00"] {
        let answer = server.get(&format!("/photos/{hash}"));
        assert!(
            (400..500).contains(&answer.status),
            "{hash}: {}",
            answer.status
        );
    }
    let stray = sent(
        &server,
        "/jobs/nothing",
        &[("panel", None, b"bonnet"), ("photo", Some("a.png"), &PIXEL)],
    );
    assert_eq!(stray.status, 404);
}

/// Makes a photo of 12 megapixels and several megabytes in the page, puts it
/// into the form and sends it.
fn send_real(browser: &Browser, side: &str, lines: u32) {
    browser.run(&format!("
      window.sent = 'making';
      {}
      canvas.toBlob((blob) => {{
        const form = document.querySelector('.photo-form');
        const box = new DataTransfer(); box.items.add(new File([blob], 'IMG 0001.JPG', {{ type: 'image/jpeg' }}));
        form.elements.photo.files = box.files;
        form.elements.panel.value = 'bonnet'; form.elements.side.value = '{side}';
        window.size = blob.size; form.requestSubmit(); window.sent = 'sent';
      }}, 'image/jpeg', 0.9);", drawn_photo(lines)));
}

#[test]
fn a_real_photo_goes_up_and_both_sides_lie_under_one_slider() {
    let server = Server::start();
    let answer = server.post("/jobs/example", "edit=demo-00001&saw=0");
    let job = answer.header("location").expect("a job").to_owned();
    let Some(phone) = Browser::open(390, 844) else {
        return;
    };
    phone.go(&format!("http://{}{job}", server.host));
    send_real(&phone, "before", 900);
    phone.wait_for(
        "the photo to be made",
        "return window.sent === 'sent' || document.querySelector('#photos img') !== null",
    );
    phone.wait_for("the photo in the job", "const i = document.querySelector('#photos img'); return i !== null && i.complete && i.naturalWidth === 1280");
    bay::fits(&phone, "photos-390");
    // The photo itself is there at its full size.
    phone.run("const whole = new Image(); whole.src = document.querySelector('#photos a').getAttribute('href'); window.whole = whole;");
    phone.wait_for(
        "the whole photo",
        "return window.whole.complete && window.whole.naturalWidth === 4000",
    );
    let href = phone.run("return document.querySelector('#photos a').getAttribute('href')");
    let whole = server.get(href.as_str().expect("an address"));
    assert!(whole.body.len() > 2_000_000, "{} bytes", whole.body.len());
    phone.go(&format!("http://{}{job}/prove", server.host));
    send_real(&phone, "after", 90);
    phone.wait_for(
        "both sides",
        "return document.querySelectorAll('.compare img').length === 2",
    );
    let cut = "return getComputedStyle(document.querySelector('.compare .after')).clipPath";
    let middle = phone.run(cut);
    phone.run("const s = document.querySelector('.compare input'); s.focus(); s.value = 20; s.dispatchEvent(new Event('input', { bubbles: true }));");
    assert_ne!(phone.run(cut), middle, "the slider uncovers the after side");
    readings_after(&server, &job);
    for (width, height) in bay::SIZES {
        let Some(browser) = Browser::open(width, height) else {
            return;
        };
        browser.go(&format!("http://{}{job}/prove", server.host));
        browser.wait_for("the photos", "return [...document.querySelectorAll('.compare img')].every((i) => i.complete && i.naturalWidth > 0)");
        bay::fits(&browser, &format!("prove-{width}"));
    }
    assert!(server.get("/jobs").text().contains("Show what changed"));
}

/// Types a reading 2.5 µm lower at every place of the bonnet.
fn readings_after(server: &Server, job: &str) {
    let path = format!("{job}/prove");
    let text = server.get(&format!("{path}?panel=bonnet")).text();
    let mut fields = "edit=after-0001&deed=after&panel=bonnet&units=metric".to_owned();
    let mut count = 0;
    for piece in text.split("<label><span>Place ").skip(1) {
        let (_, was) = piece.split_once(", was ").expect("what it was");
        let was: f64 = was
            .split('\u{a0}')
            .next()
            .and_then(|w| w.parse().ok())
            .expect("a number");
        let (_, key) = piece
            .split_once("name=\"place\" value=\"")
            .expect("a place");
        let um = was - 2.5 + f64::from(count % 3 - 1) * 0.4;
        fields += &format!(
            "&place={}&um={um:.1}",
            key.split('"').next().expect("its key")
        );
        count += 1;
    }
    assert!(count >= 5, "{count} places");
    let key = fields
        .split("&place=")
        .nth(1)
        .and_then(|k| k.split('&').next());
    let thin = format!(
        "deed=after&panel=bonnet&place={}&um=thin",
        key.expect("a key")
    );
    let refused = server.post(&path, &thin);
    assert_eq!(refused.status, 422);
    assert!(
        refused.text().contains("allowed is 20.0"),
        "{}",
        refused.text()
    );
    assert_eq!(server.post(&path, &fields).status, 303);
    glosses(server, &path);
    let text = server.get(&path).text();
    // Means 72.3 and 88.3.
    for word in [
        "2.5\u{a0}µm",
        "16.0",
        "from 72.3 to 88.3",
        "measured",
        "1 panel",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    refused_figures(server, &path);
}

/// Puts a small photo of one colour into the form and sends it.
fn send_small(browser: &Browser, side: &str, colour: &str) {
    browser.run(&format!("
      const canvas = document.createElement('canvas'); canvas.width = 640; canvas.height = 480;
      const pen = canvas.getContext('2d'); pen.fillStyle = '{colour}'; pen.fillRect(0, 0, 640, 480);
      canvas.toBlob((blob) => {{
        const form = document.querySelector('.photo-form');
        const box = new DataTransfer(); box.items.add(new File([blob], '{side}.jpg', {{ type: 'image/jpeg' }}));
        form.elements.photo.files = box.files;
        form.elements.panel.value = 'bonnet'; form.elements.side.value = '{side}';
        form.requestSubmit();
      }}, 'image/jpeg', 0.9);"));
}

fn waiting(browser: &Browser, count: u32) {
    browser.wait_for(
        "what waits",
        &format!("return document.documentElement.dataset.waiting === '{count}'"),
    );
}

#[test]
fn photos_taken_without_a_network_wait_on_the_phone_and_arrive_once_in_order() {
    let mut server = Server::start();
    let job = bay::opened(&server);
    let Some(phone) = Browser::open(390, 844) else {
        return;
    };
    let address = format!("http://{}{job}", server.host);
    phone.go(&address);
    phone.wait_for(
        "the worker",
        "return navigator.serviceWorker.controller !== null",
    );
    phone.go(&address);
    server.stop();
    send_small(&phone, "before", "#31567c");
    waiting(&phone, 1);
    phone.run("document.querySelector('.mark-form [name=note]').value = 'between the two'; document.querySelector('#car .upright [data-panel=bonnet] path').dispatchEvent(new MouseEvent('click', { bubbles: true, clientX: 195, clientY: 300 }));");
    phone.press(".mark-form .main-deed");
    waiting(&phone, 2);
    send_small(&phone, "after", "#7c3131");
    waiting(&phone, 3);
    let unsent = "const all = [...document.querySelectorAll('.unsent li')]; return all.length === 2 && all.every((i) => i.textContent.includes('Not sent yet') && i.querySelector('img').naturalWidth === 320)";
    phone.wait_for("both shown as not sent", unsent);
    phone.picture("photos-unsent-390");
    let wide = phone.run("return document.documentElement.scrollWidth");
    assert_eq!(wide, 390);
    // A dead battery: the page opens anew without a server, nothing is gone.
    phone.go(&address);
    phone.wait_for("both still there", unsent);
    server.start_again();
    waiting(&phone, 0);
    phone.wait_for("both in the job", "return [...document.querySelectorAll('#photos img')].filter((i) => i.complete && i.naturalWidth === 640).length === 2 && document.querySelectorAll('.unsent li').length === 0");
    let text = server.get(&job).text();
    assert_eq!(text.matches("Photo kept").count(), 2, "each once: {text}");
    let at = |words: &str| {
        text.rfind(words)
            .unwrap_or_else(|| panic!("no {words}: {text}"))
    };
    let (_, past) = text.split_once("id=\"past\"").expect("the past");
    let deeds: Vec<&str> = past
        .split("<li><span>")
        .skip(1)
        .filter_map(|deed| deed.split('<').next())
        .collect();
    let of_phone = deeds
        .iter()
        .take(3)
        .filter(|d| d.starts_with("Photo kept"))
        .count();
    assert_eq!(
        (of_phone, deeds[0], deeds[2]),
        (2, "Photo kept: Bonnet", "Photo kept: Bonnet")
    );
    assert!(at("bonnet-before-") < at("bonnet-after-"), "in their order");
    // That the server was away is no fault of the page.
    phone.complaints();
    bay::fits(&phone, "photos-sent-390");
}

#[test]
fn a_phone_without_room_says_so_and_keeps_its_choice() {
    let server = Server::start();
    let job = bay::opened(&server);
    let Some(phone) = Browser::open(390, 844) else {
        return;
    };
    let origin = format!("http://{}", server.host);
    phone.go(&format!("{origin}{job}"));
    phone.own(
        "Storage.overrideQuotaForOrigin",
        &serde_json::json!({ "origin": origin, "quotaSize": 1 }),
    );
    bay::cut(&phone, true);
    send_real(&phone, "before", 20);
    phone.wait_for(
        "the words",
        "return document.querySelector('.photo-form .said').textContent.includes('no room to keep the photo')",
    );
    assert_eq!(
        phone.run("return document.querySelector('.photo-form').elements.photo.files.length"),
        1
    );
    phone.picture("photos-no-room-390");
    bay::cut(&phone, false);
    // With a network it goes up without being kept on the phone.
    phone.run("document.querySelector('.photo-form').requestSubmit()");
    phone.wait_for(
        "the photo in the job",
        "return document.querySelectorAll('#photos img').length === 1",
    );
    phone.run("const form = document.querySelector('.photo-form'); const box = new DataTransfer(); box.items.add(new File([new Uint8Array(21 * 1024 * 1024)], 'big.jpg')); form.elements.photo.files = box.files; form.requestSubmit();");
    phone.wait_for("the size", "return document.querySelector('.photo-form .said').textContent.includes('more than 20 MB')");
    assert_eq!(server.get(&job).text().matches("Photo kept").count(), 1);
}

/// Types what the gloss meter said before and after.
fn glosses(server: &Server, path: &str) {
    for (i, (side, gu)) in [
        ("before", 71),
        ("before", 74),
        ("before", 72),
        ("after", 88),
        ("after", 90),
        ("after", 87),
    ]
    .iter()
    .enumerate()
    {
        let fields = format!("edit=gloss-{i}xx&deed=gloss&panel=bonnet&side={side}&gloss={gu}");
        assert_eq!(server.post(path, &fields).status, 303);
    }
}

/// Figures that no gauge shows are refused, each in its own words.
fn refused_figures(server: &Server, path: &str) {
    for (fields, words) in [
        (
            "deed=after&panel=bonnet&place=csv-9999&um=100",
            "is not known",
        ),
        ("deed=after&panel=bonnet", "allowed is 20.0"),
        ("deed=gloss&panel=bonnet&gloss=900", "allowed is 0 to 200"),
        ("deed=gloss&panel=bonnet", "not a number"),
        ("deed=gloss&panel=wheel&gloss=80", "no panel"),
    ] {
        let answer = server.post(path, fields);
        assert_eq!(answer.status, 422, "{fields}");
        assert!(answer.text().contains(words), "{fields}: {}", answer.text());
    }
}
