//! What all requests share, and what one request works with.
//!
//! Checked by: every test of the pages.

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use lapwing_store::{Places, Shop, Store, StoreError};
use tokio::sync::{Notify, Semaphore, watch};

use super::gate::Caller;
use super::network::approach::Approach;
use super::network::authority::Authority;
use super::network::{Reach, Way, is_this_machine, name_of};
use super::rates::Rates;
use super::{bench, jobs, plan};

/// So many shops keep their plans at hand.
const MOST_SHELVES: usize = 64;
/// Signs of a setup code: no letter that is read as a digit.
const CODE_SIGNS: &[u8; 32] = b"ABCDEFGHJKMNPQRSTVWXYZ0123456789";

/// What all requests share.
pub(crate) struct House {
    bench: Arc<bench::Bench>,
    doubts: Arc<jobs::doubts::Doubts>,
    shelves: Mutex<HashMap<String, Arc<plan::Shelf>>>,
    pub(crate) store: Store,
    pub(crate) first_shop: Shop,
    pub(crate) reach: Reach,
    /// The port that is listened on.
    pub(crate) port: u16,
    pub(crate) authority: Option<Arc<Authority>>,
    pub(crate) rates: Rates,
    /// Passwords checked at once; each takes 19 MB.
    pub(crate) passwords: Semaphore,
    pub(crate) backups: PathBuf,
    pub(crate) data: PathBuf,
    /// Called when a long errand was asked for here.
    pub(crate) errand_asked: Notify,
    has_people: AtomicBool,
    setup_code: Mutex<Option<String>>,
    stopping: watch::Receiver<bool>,
}

/// What a page works with: the shop of who asks, and what is shared.
#[derive(Clone)]
pub(crate) struct Bay {
    pub(crate) bench: Arc<bench::Bench>,
    pub(crate) doubts: Arc<jobs::doubts::Doubts>,
    pub(crate) plans: Arc<plan::Shelf>,
    pub(crate) shop: Shop,
    pub(crate) caller: Caller,
    pub(crate) stopping: watch::Receiver<bool>,
}

/// How the house is reached.
pub(crate) struct Front {
    pub(crate) reach: Reach,
    pub(crate) port: u16,
    pub(crate) authority: Option<Arc<Authority>>,
}

impl House {
    /// Opens the store; the first start founds the shop.
    pub(crate) async fn open(
        (places, data): (&Places, PathBuf),
        front: Front,
        stopping: watch::Receiver<bool>,
    ) -> Result<Self, StoreError> {
        let store = Store::open(places).await?;
        let first_shop = match store.shops().await?.first() {
            Some(card) => store.shop(&card.id).await?,
            None => store.found_shop("The shop").await?,
        };
        let has_people = are_there_people(&store).await?;
        let needs_code = front.reach.is_network() && !has_people;
        Ok(Self {
            bench: Arc::new(bench::Bench::new()),
            doubts: Arc::new(jobs::doubts::Doubts::default()),
            shelves: Mutex::new(HashMap::new()),
            store,
            first_shop,
            reach: front.reach,
            port: front.port,
            authority: front.authority,
            rates: Rates::new(),
            passwords: Semaphore::new(2),
            backups: places.backups.clone(),
            data,
            errand_asked: Notify::new(),
            has_people: AtomicBool::new(has_people),
            setup_code: Mutex::new(needs_code.then(new_code)),
            stopping,
        })
    }

    /// Whether anyone has an account yet. Other processes may add the first.
    pub(crate) async fn has_people(&self) -> Result<bool, StoreError> {
        if self.has_people.load(Ordering::Relaxed) {
            return Ok(true);
        }
        // Alone on this machine it is looked up every few seconds instead.
        if self.reach.is_network() {
            return self.look_for_people().await;
        }
        Ok(false)
    }

    /// Looks whether anyone has an account, and remembers it.
    pub(crate) async fn look_for_people(&self) -> Result<bool, StoreError> {
        let found = are_there_people(&self.store).await?;
        if found {
            self.has_people.store(true, Ordering::Relaxed);
        }
        Ok(found)
    }

    /// The code that the first owner types, while there is none.
    pub(crate) fn setup_code(&self) -> Option<String> {
        let code = self.setup_code.lock();
        code.unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// What addresses for another device begin with; this machine's own name
    /// means nothing there.
    pub(crate) fn base_for_others(&self, approach: &Approach) -> String {
        let is_direct = self.reach.is_network() && self.reach.way != Way::BehindProxy;
        if is_direct && is_this_machine(name_of(&approach.host)) {
            return self.reach.address_for_others(self.port);
        }
        approach.base()
    }

    /// The room of who asks.
    pub(crate) fn bay_of(&self, caller: Caller) -> Bay {
        Bay {
            bench: Arc::clone(&self.bench),
            doubts: Arc::clone(&self.doubts),
            plans: self.shelf_of(caller.shop.id()),
            shop: caller.shop.clone(),
            caller,
            stopping: self.stopping.clone(),
        }
    }

    /// A shop's plans; no other shop finds them.
    fn shelf_of(&self, shop: &str) -> Arc<plan::Shelf> {
        let mut shelves = self.shelves.lock().unwrap_or_else(PoisonError::into_inner);
        if shelves.len() >= MOST_SHELVES && !shelves.contains_key(shop) {
            shelves.clear();
        }
        let shelf = shelves
            .entry(shop.to_owned())
            .or_insert_with(|| Arc::new(plan::Shelf::new()));
        Arc::clone(shelf)
    }
}

async fn are_there_people(store: &Store) -> Result<bool, StoreError> {
    for card in store.shops().await? {
        if !store.shop(&card.id).await?.people().await?.is_empty() {
            return Ok(true);
        }
    }
    Ok(false)
}

/// 60 bits from the operating system, in three groups of four signs.
fn new_code() -> String {
    let mut bytes = [0_u8; 12];
    rand::fill(&mut bytes);
    let signs = bytes.map(|b| char::from(CODE_SIGNS[usize::from(b % 32)]));
    let groups = signs
        .chunks(4)
        .map(|group| group.iter().collect::<String>());
    groups.collect::<Vec<_>>().join("-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setup_code_is_long_and_never_the_same() {
        let code = new_code();
        assert_eq!(code.len(), 14);
        assert!(code.bytes().all(|b| b == b'-' || CODE_SIGNS.contains(&b)));
        assert_ne!(code, new_code());
    }
}
