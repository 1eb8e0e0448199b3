//! People, sessions, pairing and links.
//!
//! Checked by: itself; each check runs on both databases.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use lapwing_store::{Change, LinkVerdict, NewPerson, Person, Role, Shop, Store};
use serde_json::json;

use crate::servers::{Home, author, edit};

on_both!(
    a_person_signs_in_with_the_right_password_only,
    people_have_roles_and_one_owner_stays,
    a_session_turns_its_token_and_a_stolen_one_ends_it,
    a_new_token_that_got_lost_locks_nobody_out,
    a_session_ends_by_itself_and_by_hand,
    a_pairing_code_works_once_and_not_for_long,
    a_link_opens_one_record_until_it_ends,
);

const MINUTE: i64 = 60_000;
const DAY: i64 = 24 * 60 * MINUTE;
const PASSWORD: &str = "four plain words do";

struct Bay {
    store: Store,
    shop: Shop,
    clock: Arc<AtomicI64>,
    owner: Person,
}

impl Bay {
    async fn new(home: &Home) -> Self {
        let clock = Arc::new(AtomicI64::new(1_700_000_000_000));
        let store = home.open_at(&clock).await;
        let shop = store.found_shop("North bay").await.expect("a shop");
        let new = NewPerson {
            login: " Mika@Bay ",
            name: "Mika",
            role: Role::Owner,
            password: Some(PASSWORD),
        };
        let owner = shop.add_person(&new).await.expect("added");
        Self {
            store,
            shop,
            clock,
            owner,
        }
    }

    fn pass(&self, ms: i64) {
        self.clock.fetch_add(ms, Ordering::SeqCst);
    }

    async fn sign_in(&self) -> String {
        let signed_in = self.store.sign_in("mika@bay", PASSWORD, "tablet").await;
        let signed_in = signed_in.expect("asked").expect("let in");
        signed_in.token.reveal().to_owned()
    }

    /// Whether the token opens a session, and its next token.
    async fn resume(&self, token: &str) -> (bool, Option<String>) {
        let session = self.store.resume(token).await.expect("asked");
        let next = session.as_ref().and_then(|s| s.new_token.as_ref());
        (session.is_some(), next.map(|t| t.reveal().to_owned()))
    }
}

async fn a_person_signs_in_with_the_right_password_only(home: &Home) {
    let bay = Bay::new(home).await;
    let token = bay.sign_in().await;
    let session = bay
        .store
        .resume(&token)
        .await
        .expect("asked")
        .expect("there");
    assert_eq!(session.person, bay.owner);
    assert_eq!(session.shop.id(), bay.shop.id());
    assert_eq!(session.device, "tablet");
    for (login, password) in [
        ("mika@bay", "four plain words don't"),
        ("mika@bay", ""),
        ("mika", PASSWORD),
        ("mika@bay\0", "x"),
        ("' OR 1=1 --", PASSWORD),
        ("", ""),
        ("mika@bay", &"x".repeat(100_000)),
    ] {
        let outcome = bay.store.sign_in(login, password, "tablet").await;
        assert!(outcome.expect("asked").is_none(), "{login}");
    }
    for token in ["", "x", &token[1..], &token.to_uppercase()] {
        assert!(!bay.resume(token).await.0);
    }
    // What is kept opens nothing.
    let file = home.folder.path().join("lapwing.sqlite");
    if home.places.database.starts_with("sqlite") {
        let bytes = std::fs::read(file).expect("the file");
        let has = |text: &str| bytes.windows(text.len()).any(|w| w == text.as_bytes());
        assert!(!has(PASSWORD) && !has(&token));
    }
}

async fn people_have_roles_and_one_owner_stays(home: &Home) {
    let bay = Bay::new(home).await;
    let mut new = NewPerson {
        login: "MIKA@bay",
        name: "Other",
        role: Role::Viewer,
        password: None,
    };
    let error = bay.shop.add_person(&new).await.expect_err("taken");
    assert!(error.to_string().contains("is taken"), "{error}");
    new.login = "rim";
    let rim = bay.shop.add_person(&new).await.expect("added");
    assert_eq!(bay.shop.people().await.expect("listed").len(), 2);
    let error = bay
        .shop
        .set_role(&bay.owner.id, Role::Viewer, true)
        .await
        .expect_err("no");
    assert!(error.to_string().contains("needs an owner"), "{error}");
    let error = bay
        .shop
        .set_role(&bay.owner.id, Role::Owner, false)
        .await
        .expect_err("no");
    assert!(error.to_string().contains("needs an owner"), "{error}");
    bay.shop
        .set_role(&rim.id, Role::Owner, true)
        .await
        .expect("changed");
    bay.shop
        .set_role(&bay.owner.id, Role::Technician, true)
        .await
        .expect("changed");
    let settings = json!({"units": "metric"});
    bay.shop
        .set_settings(&rim.id, &settings)
        .await
        .expect("kept");
    let rim = bay.shop.person(&rim.id).await.expect("there");
    assert_eq!((rim.role, rim.settings), (Role::Owner, settings));
    assert!(bay.shop.set_password(&rim.id, "short").await.is_err());
    assert!(
        bay.shop
            .set_role("nobody", Role::Owner, true)
            .await
            .is_err()
    );
}

async fn a_session_turns_its_token_and_a_stolen_one_ends_it(home: &Home) {
    let bay = Bay::new(home).await;
    let first = bay.sign_in().await;
    bay.pass(14 * MINUTE);
    assert_eq!(bay.resume(&first).await, (true, None));
    bay.pass(MINUTE);
    let (_, second) = bay.resume(&first).await;
    let second = second.expect("a new token after 15 minutes");
    assert_eq!(bay.resume(&second).await, (true, None));
    // Requests under way may still come with the old one.
    bay.pass(MINUTE / 2);
    assert_eq!(bay.resume(&first).await, (true, None));
    bay.pass(MINUTE);
    assert_eq!(bay.resume(&first).await, (false, None), "stolen");
    assert_eq!(
        bay.resume(&second).await,
        (false, None),
        "all of it has ended"
    );
}

async fn a_new_token_that_got_lost_locks_nobody_out(home: &Home) {
    let bay = Bay::new(home).await;
    let first = bay.sign_in().await;
    for _ in 0..5 {
        bay.pass(20 * MINUTE);
        // The answer with the new token never arrives.
        assert!(matches!(bay.resume(&first).await, (true, Some(_))));
    }
    bay.pass(20 * MINUTE);
    let (_, next) = bay.resume(&first).await;
    assert!(bay.resume(&next.expect("a token")).await.0);
}

async fn a_session_ends_by_itself_and_by_hand(home: &Home) {
    let bay = Bay::new(home).await;
    let idle = bay.sign_in().await;
    bay.pass(7 * DAY);
    assert!(!bay.resume(&idle).await.0, "seven days without use");
    let mut used = bay.sign_in().await;
    for day in 1..=30 {
        bay.pass(DAY);
        let (is_there, next) = bay.resume(&used).await;
        assert_eq!(is_there, day < 30, "day {day}");
        used = next.unwrap_or(used);
    }
    let token = bay.sign_in().await;
    let session = bay
        .store
        .resume(&token)
        .await
        .expect("asked")
        .expect("there");
    bay.store.sign_out(&session).await.expect("out");
    assert!(!bay.resume(&token).await.0);
    let token = bay.sign_in().await;
    bay.shop
        .set_password(&bay.owner.id, "another four words")
        .await
        .expect("set");
    assert!(!bay.resume(&token).await.0, "a new password signs all out");
}

async fn a_pairing_code_works_once_and_not_for_long(home: &Home) {
    let bay = Bay::new(home).await;
    let code = bay.shop.make_pairing(&bay.owner.id).await.expect("made");
    let tries: Vec<_> = (0..6)
        .map(|n| {
            let (store, code) = (bay.store.clone(), code.clone());
            tokio::spawn(async move { store.pair(code.reveal(), &format!("phone {n}")).await })
        })
        .collect();
    let mut paired = 0;
    for one in tries {
        paired += usize::from(one.await.expect("ran").expect("asked").is_some());
    }
    assert_eq!(paired, 1);
    let old = bay.shop.make_pairing(&bay.owner.id).await.expect("made");
    bay.pass(5 * MINUTE);
    assert!(
        bay.store
            .pair(old.reveal(), "phone")
            .await
            .expect("asked")
            .is_none()
    );
    assert!(bay.store.pair("", "phone").await.expect("asked").is_none());
    assert!(bay.shop.make_pairing("nobody").await.is_err());
}

async fn a_link_opens_one_record_until_it_ends(home: &Home) {
    let bay = Bay::new(home).await;
    for job in ["j", "k"] {
        let open = edit(0, vec![Change::put("/car", job)]);
        bay.shop
            .append(job, &author("t"), &open)
            .await
            .expect("kept");
    }
    let link = bay.shop.make_link("j", DAY).await.expect("made");
    assert!(
        !link.contains(bay.shop.id()),
        "it says nothing about the shop"
    );
    let verdict = bay.store.open_link(&link).await.expect("asked");
    assert!(matches!(verdict, LinkVerdict::Good { job, .. } if job == "j"));
    for at in 0..link.len() {
        let mut forged = link.clone().into_bytes();
        forged[at] = if forged[at] == b'1' { b'2' } else { b'1' };
        let forged = String::from_utf8(forged).expect("text");
        let verdict = bay.store.open_link(&forged).await.expect("asked");
        assert!(matches!(verdict, LinkVerdict::Forged), "sign {at}");
    }
    let card = bay
        .shop
        .links("j")
        .await
        .expect("listed")
        .pop()
        .expect("one");
    bay.shop.withdraw_link(&card.id).await.expect("taken back");
    let verdict = bay.store.open_link(&link).await.expect("asked");
    assert!(matches!(verdict, LinkVerdict::Withdrawn));
    let link = bay.shop.make_link("k", DAY).await.expect("made");
    bay.pass(DAY);
    let verdict = bay.store.open_link(&link).await.expect("asked");
    assert!(matches!(verdict, LinkVerdict::Expired));
    assert!(bay.shop.make_link("none", DAY).await.is_err());
}
