//! The people of a shop, their roles and their passwords.
//!
//! Law: Argon2id with 19 MiB, 2 rounds, 1 lane and a salt of its own for each
//! password.
//! Source: RFC 9106 for Argon2id; the library's defaults for its strength.
//! Holds: a login belongs to one person of one shop on the whole server.
//! Left out: rules for good passwords beyond their length, 10 to 200 signs.
//! Checked by: `tests/store/accounts.rs` on both databases.

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher as _, PasswordVerifier as _};
use serde_json::Value;

use crate::database::{Cell, Row};
use crate::error::StoreError;
use crate::shop::{Shop, Store};
use crate::token::{new_id, secret_hex, short_text};

/// What a person may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Looks at jobs.
    Viewer,
    /// Works on jobs.
    Technician,
    /// Also keeps the shop: people, prices, links.
    Owner,
}

/// A person of a shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    /// Id within the shop: the `who` of events.
    pub id: String,
    /// What they type to sign in.
    pub login: String,
    /// What others see.
    pub name: String,
    /// What they may do.
    pub role: Role,
    /// Units, language and the like; the pages decide what is in it.
    pub settings: Value,
    /// False once they have left: the name stays in the history.
    pub is_active: bool,
}

/// A person to be added.
#[derive(Clone, Debug)]
pub struct NewPerson<'a> {
    /// What they type to sign in.
    pub login: &'a str,
    /// What others see.
    pub name: &'a str,
    /// What they may do.
    pub role: Role,
    /// 10 to 200 signs; none for someone who only pairs a phone.
    pub password: Option<&'a str>,
}

impl Role {
    /// The word that is kept.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Viewer => "viewer",
            Self::Technician => "technician",
            Self::Owner => "owner",
        }
    }

    /// Reads the kept word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Viewer, Self::Technician, Self::Owner]
            .into_iter()
            .find(|role| role.word() == word)
    }
}

pub(super) const PERSON: &str = "p.id, p.login, p.name, p.role, p.settings, p.active";

pub(super) fn read_person(row: &Row) -> Result<Person, StoreError> {
    let id = row.text(0)?;
    let damage = |what: &str| StoreError::damaged(format!("person {id}"), what);
    Ok(Person {
        login: row.text(1)?,
        name: row.text(2)?,
        role: Role::from_word(&row.text(3)?).ok_or_else(|| damage("unknown role"))?,
        settings: serde_json::from_str(&row.text(4)?).map_err(|_| damage("settings"))?,
        is_active: row.int(5)? != 0,
        id: id.clone(),
    })
}

impl Shop {
    /// Adds a person.
    ///
    /// # Errors
    /// When the login is taken, a text is malformed, or the database is away.
    pub async fn add_person(&self, new: &NewPerson<'_>) -> Result<Person, StoreError> {
        const NEW: &str = "INSERT INTO people (shop, id, login, name, role, password, settings, \
            active, made_ms) VALUES ($1, $2, $3, $4, $5, $6, '{}', 1, $7) \
            ON CONFLICT (login) DO NOTHING";
        let login = short_text("The login", new.login, 120)?.to_lowercase();
        let name = short_text("The name", new.name, 120)?;
        let id = new_id();
        let cells = [
            Cell::from(&self.id),
            Cell::from(&id),
            Cell::from(&login),
            Cell::from(name),
            Cell::from(new.role.word()),
            Cell::from(hash_password(new.password).await?),
            Cell::from(self.now_ms()),
        ];
        if self.database().change(NEW, &cells).await? == 0 {
            return Err(StoreError::Refused(format!(
                "The login `{login}` is taken. Choose another."
            )));
        }
        self.person(&id).await
    }

    /// One person.
    ///
    /// # Errors
    /// When the shop has no such person, or the database is away.
    pub async fn person(&self, id: &str) -> Result<Person, StoreError> {
        let people = self.select_people("AND p.id = $2", &[id.into()]).await?;
        people
            .into_iter()
            .next()
            .ok_or_else(|| StoreError::not_there("person", id))
    }

    /// Everyone who works or worked in the shop, by name.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn people(&self) -> Result<Vec<Person>, StoreError> {
        self.select_people("ORDER BY p.name, p.id", &[]).await
    }

    /// Changes a person's role, or lets them go. The last active owner stays.
    ///
    /// # Errors
    /// When the shop has no such person, none would be left to own it, or the
    /// database is away.
    pub async fn set_role(&self, id: &str, role: Role, is_active: bool) -> Result<(), StoreError> {
        const SET: &str = "UPDATE people SET role = $3, active = $4 WHERE shop = $1 AND id = $2";
        const OWNERS: &str = "SELECT COUNT(*) FROM people WHERE shop = $1 AND role = 'owner' \
            AND active = 1";
        const PEN: &str = "UPDATE shops SET name = name WHERE id = $1";
        let mut tx = self.database().write().await?;
        // One change of roles at a time, so that two owners cannot both leave.
        tx.change(PEN, &[Cell::from(&self.id)]).await?;
        let before = tx.row(OWNERS, &[Cell::from(&self.id)]).await?;
        let cells = [
            Cell::from(&self.id),
            Cell::from(id),
            Cell::from(role.word()),
            Cell::from(i64::from(is_active)),
        ];
        if tx.change(SET, &cells).await? == 0 {
            return Err(StoreError::not_there("person", id));
        }
        let after = tx.row(OWNERS, &[Cell::from(&self.id)]).await?;
        let count = |row: Option<Row>| row.map_or(Ok(0), |row| row.int(0));
        if count(before)? > 0 && count(after)? == 0 {
            return Err(StoreError::Refused(
                "The shop needs an owner. Make someone else an owner first.".to_owned(),
            ));
        }
        if !is_active {
            const OUT: &str = "DELETE FROM sessions WHERE shop = $1 AND person = $2";
            tx.change(OUT, &cells[..2]).await?;
        }
        tx.keep().await
    }

    /// Gives a person a new password and signs all their devices out.
    ///
    /// # Errors
    /// When the shop has no such person, the password is too short or long, or
    /// the database is away.
    pub async fn set_password(&self, id: &str, password: &str) -> Result<(), StoreError> {
        const SET: &str = "UPDATE people SET password = $3 WHERE shop = $1 AND id = $2";
        const OUT: &str = "DELETE FROM sessions WHERE shop = $1 AND person = $2";
        let hash = hash_password(Some(password)).await?;
        let cells = [Cell::from(&self.id), Cell::from(id), Cell::from(hash)];
        let mut tx = self.database().write().await?;
        if tx.change(SET, &cells).await? == 0 {
            return Err(StoreError::not_there("person", id));
        }
        tx.change(OUT, &cells[..2]).await?;
        tx.keep().await
    }

    /// Keeps a person's settings.
    ///
    /// # Errors
    /// When the shop has no such person, they are over 16 kB, or the database
    /// is away.
    pub async fn set_settings(&self, id: &str, settings: &Value) -> Result<(), StoreError> {
        const SET: &str = "UPDATE people SET settings = $3 WHERE shop = $1 AND id = $2";
        let text = settings.to_string();
        if text.len() > 16 << 10 {
            return Err(StoreError::Refused("Settings may hold 16 kB.".to_owned()));
        }
        let cells = [Cell::from(&self.id), Cell::from(id), Cell::from(text)];
        match self.database().change(SET, &cells).await? {
            0 => Err(StoreError::not_there("person", id)),
            _ => Ok(()),
        }
    }

    async fn select_people(&self, rest: &str, cells: &[Cell]) -> Result<Vec<Person>, StoreError> {
        let text = format!("SELECT {PERSON} FROM people p WHERE p.shop = $1 {rest}");
        let cells = [&[Cell::from(&self.id)], cells].concat();
        let rows = self
            .database()
            .rows(sqlx::AssertSqlSafe(text), &cells)
            .await?;
        rows.iter().map(read_person).collect()
    }
}

impl Store {
    /// The person behind a login and a password, and their shop; nobody when
    /// either is wrong. It takes the same time for a login that is not there.
    ///
    /// # Errors
    /// When the database is away.
    pub(super) async fn who_is(
        &self,
        login: &str,
        password: &str,
    ) -> Result<Option<(Shop, Person)>, StoreError> {
        let text = format!(
            "SELECT {PERSON}, p.password, p.shop FROM people p WHERE p.login = $1 AND p.active = 1"
        );
        let cells = [Cell::from(login.trim().to_lowercase().replace('\0', ""))];
        let row = self
            .database()
            .row(sqlx::AssertSqlSafe(text), &cells)
            .await?;
        let kept = match &row {
            Some(row) => row.text(6)?,
            None => nobodys_hash().await?,
        };
        let is_right = is_password(password.to_owned(), kept).await?;
        match row {
            Some(row) if is_right => Ok(Some((self.known_shop(&row.text(7)?), read_person(&row)?))),
            _ => Ok(None),
        }
    }
}

/// A hash that no password fits, so that an unknown login costs as much.
async fn nobodys_hash() -> Result<String, StoreError> {
    static HASH: tokio::sync::OnceCell<String> = tokio::sync::OnceCell::const_new();
    HASH.get_or_try_init(|| async { hash_password(None).await })
        .await
        .cloned()
}

async fn hash_password(password: Option<&str>) -> Result<String, StoreError> {
    if let Some(password) = password {
        let length = password.chars().count();
        if !(10..=200).contains(&length) {
            return Err(StoreError::Refused(
                "A password should have 10 to 200 signs. Four plain words do well.".to_owned(),
            ));
        }
    }
    let password = password.map_or_else(secret_hex, str::to_owned);
    tokio::task::spawn_blocking(move || {
        Argon2::default()
            .hash_password(password.as_bytes())
            .map(|hash| hash.to_string())
            .map_err(|why| StoreError::Fault(why.to_string()))
    })
    .await?
}

async fn is_password(password: String, kept: String) -> Result<bool, StoreError> {
    if password.len() > 1000 {
        return Ok(false);
    }
    Ok(tokio::task::spawn_blocking(move || {
        PasswordHash::new(&kept).is_ok_and(|hash| {
            Argon2::default()
                .verify_password(password.as_bytes(), &hash)
                .is_ok()
        })
    })
    .await?)
}
