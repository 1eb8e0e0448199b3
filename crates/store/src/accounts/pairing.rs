//! Signs a phone in with a code that another device shows.
//!
//! Law: a code is 32 random bytes, lives five minutes and works once.
//! Holds: of several phones that use one code at once, one gets in.
//! Left out: drawing the code; the pages do.
//! Checked by: `tests/store/accounts.rs` on both databases.

use super::SignedIn;
use crate::database::Cell;
use crate::error::StoreError;
use crate::shop::{Shop, Store};
use crate::token::{Secret, kept_hash};

const LASTS_MS: i64 = 5 * 60_000;

impl Shop {
    /// A code that signs one phone in as this person.
    ///
    /// # Errors
    /// When the shop has no such active person, or the database is away.
    pub async fn make_pairing(&self, person: &str) -> Result<Secret, StoreError> {
        const NEW: &str = "INSERT INTO pairings (hash, shop, person, made_ms, expires_ms) \
            VALUES ($1, $2, $3, $4, $5)";
        let person = self.person(person).await?;
        if !person.is_active {
            return Err(StoreError::not_there("person", &person.id));
        }
        let code = Secret::new();
        let now = self.now_ms();
        let cells = [
            Cell::from(code.kept_hash()),
            Cell::from(&self.id),
            Cell::from(&person.id),
            Cell::from(now),
            Cell::from(now + LASTS_MS),
        ];
        self.database().change(NEW, &cells).await?;
        Ok(code)
    }
}

impl Store {
    /// Signs a phone in with a code; nobody when it is used, old or unknown.
    ///
    /// # Errors
    /// When the device's name is malformed, or the database is away.
    pub async fn pair(&self, code: &str, device: &str) -> Result<Option<SignedIn>, StoreError> {
        const USE: &str = "UPDATE pairings SET used_ms = $2 WHERE hash = $1 \
            AND used_ms IS NULL AND expires_ms > $2 RETURNING shop, person";
        let mut tx = self.database().write().await?;
        let cells = [Cell::from(kept_hash(code)), Cell::from(self.now_ms())];
        let Some(row) = tx.row(USE, &cells).await? else {
            return Ok(None);
        };
        tx.keep().await?;
        let shop = self.known_shop(&row.text(0)?);
        let person = shop.person(&row.text(1)?).await?;
        if !person.is_active {
            return Ok(None);
        }
        Ok(Some(self.begin(shop, person, device).await?))
    }
}
