//! A customer's link: it shows one car and nothing else, and forged, old and
//! withdrawn ones show nothing.

#![allow(clippy::disallowed_methods, reason = "these tests run the program")]

mod bay;

use bay::shop::{Device, Running};

struct Given {
    running: Running,
    owner: Device,
    job: String,
    address: String,
}

fn given() -> Given {
    let (running, owner) = Running::owned();
    let fields = "edit=first-0001&saw=0&name=File+4711&car=Green+saloon&class=saloon";
    let opened = running.post(&owner, "/jobs", fields);
    let job = opened.header("location").expect("a job").to_owned();
    let address = made(&running, &owner, &job);
    Given {
        running,
        owner,
        job,
        address,
    }
}

fn made(running: &Running, owner: &Device, job: &str) -> String {
    let page = running
        .post(owner, &format!("{job}/links"), "days=7")
        .text();
    let rest = page.split("/r/").nth(1).expect("an address");
    format!("/r/{}", rest.split('<').next().expect("its end"))
}

#[test]
fn it_shows_the_car_to_anyone_and_nothing_of_the_shop() {
    let given = given();
    let nobody = Device::default();
    let page = given.running.get(&nobody, &given.address);
    assert_eq!(page.status, 200);
    let text = page.text();
    assert!(text.contains("Green saloon"), "{text}");
    for hidden in [
        "File 4711",
        "North bay",
        "Mika",
        "\"/jobs",
        "/people",
        "<nav",
        "/sign-in",
    ] {
        assert!(!text.contains(hidden), "{hidden} in {text}");
    }
    assert!(page.header("set-cookie").is_none());
    let job = given.running.get(&nobody, &given.job);
    assert_eq!(job.status, 303, "the link opens no other door");
    let changed = given.running.post(&nobody, &given.address, "x=1");
    assert_eq!(changed.status, 405);
}

#[test]
fn a_link_with_any_sign_changed_is_none() {
    let given = given();
    let link = given.address.trim_start_matches("/r/");
    // Every place, each from a sender of its own, so that nobody has to wait.
    for place in 0..link.len() {
        let sign = link.as_bytes()[place];
        let other = if sign == b'1' { '2' } else { '1' };
        let mut forged = link.to_owned();
        forged.replace_range(place..=place, &other.to_string());
        let from = format!("198.51.100.{place}");
        let headers = [("x-forwarded-for", &*from), ("accept", "text/html")];
        let path = format!("/r/{forged}");
        let answer = given
            .running
            .send(&Device::default(), ("GET", &path), &headers, b"");
        assert_eq!(answer.status, 404, "{forged}");
        assert!(!answer.text().contains("Green"), "{forged}");
    }
}

#[test]
fn a_link_ends_when_it_is_withdrawn_or_its_time_is_over() {
    let given = given();
    let id = given.address.trim_start_matches("/r/").split('.').next();
    let id = id.expect("an id");
    let withdraw = format!("{}/links/{id}/withdraw", given.job);
    assert_eq!(given.running.post(&given.owner, &withdraw, "").status, 303);
    let nobody = Device::default();
    let gone = given.running.get(&nobody, &given.address);
    assert_eq!((gone.status, gone.text().contains("Green")), (410, false));
    // The end is signed: a link whose kept end differs is no link.
    let second = made(&given.running, &given.owner, &given.job);
    assert_eq!(given.running.get(&nobody, &second).status, 200);
    given.running.sql("UPDATE links SET expires_ms = 1");
    assert_eq!(given.running.get(&nobody, &second).status, 404);
}

#[test]
fn guessing_links_must_wait_and_a_good_one_need_not() {
    let given = given();
    let headers = [("x-forwarded-for", "198.51.100.7")];
    let nobody = Device::default();
    let ask = |path: &str| {
        given
            .running
            .send(&nobody, ("GET", path), &headers, b"")
            .status
    };
    let statuses: Vec<u16> = (0..25).map(|i| ask(&format!("/r/guess{i}"))).collect();
    assert!(statuses[..20].iter().all(|s| *s == 404), "{statuses:?}");
    assert!(statuses.contains(&429), "{statuses:?}");
    assert_eq!(ask(&given.address), 200);
}
