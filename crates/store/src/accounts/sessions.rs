//! Which device is signed in as whom, by a token that changes as it is used.
//!
//! Law: a token is 32 random bytes and turns into a new one every 15 minutes
//! of use. Once the new one has been used, the old one lives one minute more,
//! for requests under way; used later still, it was stolen, and the whole
//! session ends. A session ends after 7 days without use and after 30 days.
//! Holds: a device that never got the new token, because the network broke,
//! goes on with the old one.
//! Left out: how the token travels; the pages use a cookie.
//! Checked by: `tests/store/accounts.rs` on both databases, with a clock of its own.

use sqlx::AssertSqlSafe;

use super::people::{PERSON, Person, read_person};
use crate::database::Cell;
use crate::error::StoreError;
use crate::shop::{Shop, Store};
use crate::token::{Secret, kept_hash, new_id, secret_hex, short_text};

const MINUTE_MS: i64 = 60_000;
const DAY_MS: i64 = 24 * 60 * MINUTE_MS;
const TURN_AFTER_MS: i64 = 15 * MINUTE_MS;
const OLD_LIVES_MS: i64 = MINUTE_MS;
const IDLE_MS: i64 = 7 * DAY_MS;
const LASTS_MS: i64 = 30 * DAY_MS;

/// A device that is signed in.
#[derive(Clone)]
pub struct Session {
    /// The shop: all its rows and no others can be reached from here.
    pub shop: Shop,
    /// Who signed in.
    pub person: Person,
    /// The session's id, the same through all its tokens.
    pub id: String,
    /// What the device is called.
    pub device: String,
    /// Must come back with every form, against forged requests.
    pub form_token: String,
    /// A new token that the device must use from now on, if it is time.
    pub new_token: Option<Secret>,
}

/// A device that has just been signed in, with the token to hand to it.
#[derive(Clone)]
pub struct SignedIn {
    /// The session.
    pub session: Session,
    /// The token, shown only now.
    pub token: Secret,
}

struct Times {
    turned_ms: i64,
    seen_ms: i64,
    expires_ms: i64,
    replaced_ms: Option<i64>,
}

impl Store {
    /// Signs a device in; nobody when login or password is wrong.
    ///
    /// # Errors
    /// When the device's name is malformed, or the database is away.
    pub async fn sign_in(
        &self,
        login: &str,
        password: &str,
        device: &str,
    ) -> Result<Option<SignedIn>, StoreError> {
        match self.who_is(login, password).await? {
            Some((shop, person)) => Ok(Some(self.begin(shop, person, device).await?)),
            None => Ok(None),
        }
    }

    /// The session of a token; nobody when there is none any more.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn resume(&self, token: &str) -> Result<Option<Session>, StoreError> {
        let hash = kept_hash(token);
        let Some((mut session, times)) = self.find(&hash).await? else {
            return Ok(None);
        };
        let now = self.now_ms();
        // A token that was never used yet counts from when it was made.
        let last_use = times.seen_ms.max(times.turned_ms);
        let is_over = now >= times.expires_ms
            || now >= last_use + IDLE_MS
            || !session.person.is_active
            || times.replaced_ms.is_some_and(|at| now >= at + OLD_LIVES_MS);
        if is_over {
            self.end(&session.id).await?;
            return Ok(None);
        }
        if times.replaced_ms.is_none() {
            self.note_use(&hash, &session.id, &times, now).await?;
            if now >= times.turned_ms + TURN_AFTER_MS {
                session.new_token = self.turn(&hash, &session, &times, now).await?;
            }
        }
        Ok(Some(session))
    }

    /// Signs a device out.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn sign_out(&self, session: &Session) -> Result<(), StoreError> {
        self.end(&session.id).await
    }

    pub(super) async fn begin(
        &self,
        shop: Shop,
        person: Person,
        device: &str,
    ) -> Result<SignedIn, StoreError> {
        let session = Session {
            device: short_text("The device's name", device, 64)?.to_owned(),
            shop,
            person,
            id: new_id(),
            form_token: secret_hex(),
            new_token: None,
        };
        let token = Secret::new();
        let now = self.now_ms();
        let cells = new_row(&token, &session, (now, now), now + LASTS_MS);
        self.database().change(NEW, &cells).await?;
        Ok(SignedIn { session, token })
    }

    async fn find(&self, hash: &str) -> Result<Option<(Session, Times)>, StoreError> {
        let text = format!(
            "SELECT {PERSON}, s.shop, s.id, s.device, s.form_token, s.turned_ms, s.seen_ms, \
             s.expires_ms, s.replaced_ms FROM sessions s \
             JOIN people p ON p.shop = s.shop AND p.id = s.person WHERE s.hash = $1"
        );
        let row = self
            .database()
            .row(AssertSqlSafe(text), &[hash.into()])
            .await?;
        let Some(row) = row else { return Ok(None) };
        let session = Session {
            shop: self.known_shop(&row.text(6)?),
            person: read_person(&row)?,
            id: row.text(7)?,
            device: row.text(8)?,
            form_token: row.text(9)?,
            new_token: None,
        };
        let times = Times {
            turned_ms: row.int(10)?,
            seen_ms: row.int(11)?,
            expires_ms: row.int(12)?,
            replaced_ms: row.maybe_int(13)?,
        };
        Ok(Some((session, times)))
    }

    /// Notes at most once a minute that the token is in use; its first use
    /// puts the tokens before it out of use.
    async fn note_use(
        &self,
        hash: &str,
        id: &str,
        times: &Times,
        now: i64,
    ) -> Result<(), StoreError> {
        const SEEN: &str = "UPDATE sessions SET seen_ms = $2 WHERE hash = $1";
        const REPLACED: &str = "UPDATE sessions SET replaced_ms = $3 \
            WHERE id = $2 AND hash <> $1 AND replaced_ms IS NULL";
        if now < times.seen_ms + MINUTE_MS {
            return Ok(());
        }
        let mut tx = self.database().write().await?;
        tx.change(SEEN, &[hash.into(), now.into()]).await?;
        if times.seen_ms == 0 {
            tx.change(REPLACED, &[hash.into(), id.into(), now.into()])
                .await?;
        }
        tx.keep().await
    }

    /// Makes the next token. Of several requests at once, one gets it.
    async fn turn(
        &self,
        hash: &str,
        session: &Session,
        times: &Times,
        now: i64,
    ) -> Result<Option<Secret>, StoreError> {
        const MINE: &str = "UPDATE sessions SET turned_ms = $2 WHERE hash = $1 AND turned_ms = $3";
        const UNUSED: &str = "DELETE FROM sessions WHERE id = $2 AND hash <> $1 AND seen_ms = 0";
        let mut tx = self.database().write().await?;
        let cells = [hash.into(), now.into(), times.turned_ms.into()];
        if tx.change(MINE, &cells).await? == 0 {
            return Ok(None);
        }
        tx.change(UNUSED, &[hash.into(), Cell::from(&session.id)])
            .await?;
        let token = Secret::new();
        let cells = new_row(&token, session, (now, 0), times.expires_ms);
        tx.change(NEW, &cells).await?;
        tx.keep().await?;
        Ok(Some(token))
    }

    async fn end(&self, id: &str) -> Result<(), StoreError> {
        const END: &str = "DELETE FROM sessions WHERE id = $1";
        self.database().change(END, &[id.into()]).await.map(|_| ())
    }
}

const NEW: &str = "INSERT INTO sessions (hash, id, shop, person, device, form_token, made_ms, \
    turned_ms, seen_ms, expires_ms) VALUES ($1, $2, $3, $4, $5, $6, $7, $7, $8, $9)";

fn new_row(
    token: &Secret,
    session: &Session,
    (made_ms, seen_ms): (i64, i64),
    expires_ms: i64,
) -> [Cell; 9] {
    [
        Cell::from(token.kept_hash()),
        Cell::from(&session.id),
        Cell::from(session.shop.id()),
        Cell::from(&session.person.id),
        Cell::from(&session.device),
        Cell::from(&session.form_token),
        Cell::from(made_ms),
        Cell::from(seen_ms),
        Cell::from(expires_ms),
    ]
}
