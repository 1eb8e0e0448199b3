//! How often someone may knock.
//!
//! Law: each sender has a store of tries that refills evenly; with T the time
//! at which the store would be full again, a try moves T on by one interval
//! and is refused while T lies more than the whole store ahead.
//! Source: generic cell rate algorithm, ITU-T I.371, annex A.
//! Holds: per process; several processes on one database each count by
//! themselves. An IPv6 sender counts with its whole /64.
//! Left out: senders that share one address share one store.
//! Checked by: the tests below and `tests/web_accounts.rs`.

use std::collections::HashMap;
use std::hash::{BuildHasher, Hash, RandomState};
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// What is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Knock {
    /// Any request.
    Any,
    /// Passwords tried from one place.
    PasswordFrom,
    /// Passwords tried for one login.
    PasswordFor,
    /// Setup and pairing codes.
    Code,
    /// Customers' links that are none.
    Link,
}

impl Knock {
    /// So many at once, and one more after each pause.
    const fn law(self) -> (u32, Duration) {
        match self {
            Self::Any => (600, Duration::from_millis(10)),
            Self::PasswordFrom => (20, Duration::from_secs(6)),
            Self::PasswordFor => (8, Duration::from_secs(30)),
            Self::Code => (10, Duration::from_secs(6)),
            Self::Link => (20, Duration::from_secs(10)),
        }
    }
}

/// So many senders are remembered; then those whose store is full are not.
const MOST: usize = 50_000;

/// Who knocked how often.
pub(crate) struct Rates {
    mixer: RandomState,
    full_at: Mutex<HashMap<(Knock, u64), Instant>>,
}

impl Rates {
    pub(crate) fn new() -> Self {
        Self {
            mixer: RandomState::new(),
            full_at: Mutex::new(HashMap::new()),
        }
    }

    /// Counts a knock from an address; how long to wait when it is too many.
    pub(crate) fn from(&self, knock: Knock, address: IpAddr) -> Result<(), Duration> {
        match address {
            IpAddr::V4(four) => self.count(knock, four.octets(), Instant::now()),
            IpAddr::V6(six) => self.count(knock, &six.octets()[..8], Instant::now()),
        }
    }

    /// Counts a knock for a name.
    pub(crate) fn with_name(&self, knock: Knock, name: &str) -> Result<(), Duration> {
        self.count(knock, name, Instant::now())
    }

    fn count(&self, knock: Knock, who: impl Hash, now: Instant) -> Result<(), Duration> {
        let (store, pause) = knock.law();
        let key = (knock, self.mixer.hash_one(who));
        let mut full_at = self.full_at.lock().unwrap_or_else(PoisonError::into_inner);
        if full_at.len() >= MOST {
            full_at.retain(|_, at| *at > now);
        }
        let was = full_at.get(&key).copied().unwrap_or(now).max(now);
        let next = was + pause;
        let latest = now + pause * store;
        if next > latest {
            return Err(next - latest);
        }
        full_at.insert(key, next);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_store_empties_and_refills_evenly() {
        let rates = Rates::new();
        let begin = Instant::now();
        let at = |s: u64| begin + Duration::from_secs(s);
        for _ in 0..8 {
            assert_eq!(rates.count(Knock::PasswordFor, "mika", begin), Ok(()));
        }
        assert_eq!(
            rates.count(Knock::PasswordFor, "mika", begin),
            Err(Duration::from_secs(30))
        );
        assert_eq!(
            rates.count(Knock::PasswordFor, "mika", at(29)),
            Err(Duration::from_secs(1))
        );
        assert_eq!(rates.count(Knock::PasswordFor, "mika", at(30)), Ok(()));
        assert!(rates.count(Knock::PasswordFor, "mika", at(31)).is_err());
        assert_eq!(rates.count(Knock::PasswordFor, "else", begin), Ok(()));
        assert_eq!(rates.count(Knock::Code, "mika", begin), Ok(()));
    }

    #[test]
    fn a_whole_ipv6_network_is_one_sender() {
        let rates = Rates::new();
        let address = |text: &str| text.parse().expect("an address");
        for i in 0..10 {
            let knock = rates.from(Knock::Code, address(&format!("2001:db8::{i:x}")));
            assert_eq!(knock, Ok(()));
        }
        assert!(rates.from(Knock::Code, address("2001:db8::ffff")).is_err());
        assert!(rates.from(Knock::Code, address("2001:db8:0:1::1")).is_ok());
    }
}
