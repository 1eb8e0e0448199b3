//! Who works in a shop, and which device is signed in as whom.
//!
//! Holds: passwords are kept as Argon2id hashes; tokens only as SHA-256.
//! Left out: which page asks for which role, and how often a password may be
//! tried; both belong to the pages.
//! Checked by: `tests/store/accounts.rs` on both databases.

mod links;
mod pairing;
mod people;
mod sessions;

pub use links::{LinkCard, LinkVerdict};
pub use people::{NewPerson, Person, Role};
pub use sessions::{Session, SignedIn};
