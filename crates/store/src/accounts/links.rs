//! A link that shows a customer one record, for a while, and nothing else.
//!
//! Law: link = id, end and HMAC-SHA-256 of both under the shop's key. The id
//! says nothing about the job or the shop.
//! Source: HMAC is RFC 2104; its test with SHA-256 is RFC 4231.
//! Holds: for anyone who has the link, until its end or until it is withdrawn.
//! Left out: counting visits.
//! Checked by: RFC 4231 test case 2, and `tests/store/accounts.rs` with links forged
//! sign by sign.

use hmac::{Hmac, KeyInit as _, Mac as _};
use sha2::Sha256;

use crate::database::Cell;
use crate::error::StoreError;
use crate::event::{hex, unhex};
use crate::shop::{Shop, Store};
use crate::token::random_bytes;

/// What a link opens.
#[derive(Clone)]
pub enum LinkVerdict {
    /// The record of one job, to read.
    Good {
        /// The shop.
        shop: Shop,
        /// The job.
        job: String,
        /// When the link ends, in milliseconds since 1970.
        expires_ms: i64,
    },
    /// Its time is over.
    Expired,
    /// The shop took it back.
    Withdrawn,
    /// It is none of ours, or a sign of it was changed.
    Forged,
}

/// A link that the shop has given out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LinkCard {
    /// Its id, for taking it back.
    pub id: String,
    /// When it was made, in milliseconds since 1970.
    pub made_ms: i64,
    /// When it ends, in milliseconds since 1970.
    pub expires_ms: i64,
    /// Whether it was taken back.
    pub is_withdrawn: bool,
}

impl Shop {
    /// Makes a link to one job's record that ends after `lasts_ms`.
    ///
    /// # Errors
    /// When the shop has no such job, or the database is away.
    pub async fn make_link(&self, job: &str, lasts_ms: i64) -> Result<String, StoreError> {
        const NEW: &str = "INSERT INTO links (id, shop, job, made_ms, expires_ms) \
            SELECT $1, shop, id, $4, $5 FROM jobs WHERE shop = $2 AND id = $3";
        let id = hex(&random_bytes::<16>());
        let now = self.now_ms();
        let expires_ms = now.saturating_add(lasts_ms);
        let cells = [
            Cell::from(&id),
            Cell::from(&self.id),
            Cell::from(job),
            Cell::from(now),
            Cell::from(expires_ms),
        ];
        if self.database().change(NEW, &cells).await? == 0 {
            return Err(StoreError::not_there("job", job));
        }
        let mark = hex(&mac(&self.link_key().await?, &id, expires_ms)?
            .finalize()
            .into_bytes());
        Ok(format!("{id}.{expires_ms}.{mark}"))
    }

    /// The links that were given out for a job, newest first.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn links(&self, job: &str) -> Result<Vec<LinkCard>, StoreError> {
        const LIST: &str = "SELECT id, made_ms, expires_ms, withdrawn_ms FROM links \
            WHERE shop = $1 AND job = $2 ORDER BY made_ms DESC, id";
        let cells = [Cell::from(&self.id), Cell::from(job)];
        let rows = self.database().rows(LIST, &cells).await?;
        rows.iter()
            .map(|row| {
                Ok(LinkCard {
                    id: row.text(0)?,
                    made_ms: row.int(1)?,
                    expires_ms: row.int(2)?,
                    is_withdrawn: row.maybe_int(3)?.is_some(),
                })
            })
            .collect()
    }

    /// Takes a link back.
    ///
    /// # Errors
    /// When the shop has no such link, or the database is away.
    pub async fn withdraw_link(&self, id: &str) -> Result<(), StoreError> {
        const BACK: &str = "UPDATE links SET withdrawn_ms = $3 WHERE shop = $1 AND id = $2";
        let cells = [Cell::from(&self.id), Cell::from(id), self.now_ms().into()];
        match self.database().change(BACK, &cells).await? {
            0 => Err(StoreError::not_there("link", id)),
            _ => Ok(()),
        }
    }

    async fn link_key(&self) -> Result<String, StoreError> {
        self.own_row("SELECT link_key FROM shops WHERE id = $1")
            .await
    }
}

impl Store {
    /// Says what a link opens.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn open_link(&self, link: &str) -> Result<LinkVerdict, StoreError> {
        const ONE: &str = "SELECT shop, job, withdrawn_ms, expires_ms FROM links WHERE id = $1";
        let Some((id, expires_ms, mark)) = parts(link) else {
            return Ok(LinkVerdict::Forged);
        };
        let Some(row) = self.database().row(ONE, &[id.into()]).await? else {
            return Ok(LinkVerdict::Forged);
        };
        let shop = self.known_shop(&row.text(0)?);
        let is_ours = mac(&shop.link_key().await?, id, expires_ms)?
            .verify_slice(&mark)
            .is_ok();
        if !is_ours || row.int(3)? != expires_ms {
            return Ok(LinkVerdict::Forged);
        }
        if row.maybe_int(2)?.is_some() {
            return Ok(LinkVerdict::Withdrawn);
        }
        if self.now_ms() >= expires_ms {
            return Ok(LinkVerdict::Expired);
        }
        Ok(LinkVerdict::Good {
            shop,
            job: row.text(1)?,
            expires_ms,
        })
    }
}

fn parts(link: &str) -> Option<(&str, i64, Vec<u8>)> {
    let mut parts = link.split('.');
    let (id, end, mark) = (parts.next()?, parts.next()?, parts.next()?);
    let is_plain = |text: &str| {
        text.bytes()
            .all(|b| b.is_ascii_digit() || b.is_ascii_lowercase())
    };
    if parts.next().is_some() || id.len() != 32 || mark.len() != 64 || !is_plain(id) {
        return None;
    }
    let is_number = !end.is_empty() && end.len() < 19 && end.bytes().all(|b| b.is_ascii_digit());
    let expires_ms = is_number.then(|| end.parse().ok())??;
    Some((id, expires_ms, is_plain(mark).then(|| unhex(mark))??))
}

fn mac(key: &str, id: &str, expires_ms: i64) -> Result<Hmac<Sha256>, StoreError> {
    let key = unhex(key).ok_or_else(|| StoreError::damaged("shop", "its link key is no key"))?;
    let mut mac =
        Hmac::<Sha256>::new_from_slice(&key).map_err(|why| StoreError::Fault(why.to_string()))?;
    mac.update(format!("lapwing link 1.{id}.{expires_ms}").as_bytes());
    Ok(mac)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4231 section 4.3, test case 2.
    #[test]
    fn the_mac_is_that_of_rfc_4231() {
        let mut mac = Hmac::<Sha256>::new_from_slice(b"Jefe").expect("a key");
        mac.update(b"what do ya want for nothing?");
        assert_eq!(
            hex(&mac.finalize().into_bytes()),
            "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
        );
    }

    #[test]
    fn malformed_links_have_no_parts() {
        let id = "a".repeat(32);
        let mark = "b".repeat(64);
        assert!(parts(&format!("{id}.17.{mark}")).is_some());
        for link in [
            String::new(),
            "..".to_owned(),
            format!("{id}.17"),
            format!("{id}.17.{mark}.x"),
            format!("{id}.-17.{mark}"),
            format!("{id}.17.{}", mark.to_uppercase()),
            format!("{id}.17.ä{mark}"),
            format!("{id}.99999999999999999999.{mark}"),
        ] {
            assert!(parts(&link).is_none(), "{link}");
        }
    }
}
