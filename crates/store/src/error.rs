//! What can go wrong with the shop's store, as sentences for people.
//!
//! Holds: every fault of a database, a folder or an object store becomes one
//! of these kinds; the pages choose what to do by the kind.
//! Left out: the fault's own words from the library, except in `Fault`.
//! Checked by: the tests below, and the tests that take the database away or
//! fill the disk.

/// Why the store could not do what it was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The database or object store does not answer; trying again may help.
    #[error(
        "The {place} does not answer ({why}). Nothing was lost; wait a moment and try again, or look whether it is running."
    )]
    Away {
        /// `database` or `picture store`.
        place: &'static str,
        /// What the system says.
        why: String,
    },
    /// The disk is full: reading works, writing does not.
    #[error(
        "The {place} has no room left. Reading still works and nothing was lost; free some space, then save again."
    )]
    Full {
        /// `database` or `picture store`.
        place: &'static str,
    },
    /// The shop has no such thing.
    #[error("There is no {what} `{name}` in this shop. Go back to the list and choose one.")]
    NotThere {
        /// What was asked for.
        what: &'static str,
        /// Its name.
        name: String,
    },
    /// The input cannot be taken as it is.
    #[error("{0}")]
    Refused(String),
    /// What is stored contradicts itself.
    #[error(
        "{place}: {what}. Run `lapwing verify`, and restore from the last backup if it agrees."
    )]
    Damaged {
        /// Where.
        place: String,
        /// What does not fit.
        what: String,
    },
    /// A mistake of ours, or of a library.
    #[error("The store stumbled: {0}. This is our fault; please report it.")]
    Fault(String),
}

impl StoreError {
    /// A thing that the shop does not have.
    pub(crate) fn not_there(what: &'static str, name: &str) -> Self {
        Self::NotThere {
            what,
            name: name.chars().take(80).collect(),
        }
    }

    /// Something stored that contradicts itself.
    pub(crate) fn damaged(place: impl Into<String>, what: impl Into<String>) -> Self {
        Self::Damaged {
            place: place.into(),
            what: what.into(),
        }
    }

    /// Whether it concerns what was asked, not the place where it is kept.
    pub(crate) fn is_about_the_request(&self) -> bool {
        matches!(
            self,
            Self::NotThere { .. } | Self::Refused(_) | Self::Damaged { .. }
        )
    }

    /// Whether the same request may succeed by itself a moment later.
    #[must_use]
    pub fn may_pass(&self) -> bool {
        matches!(self, Self::Away { .. })
    }
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        if let sqlx::Error::Database(fault) = &error {
            return from_code(fault.code().as_deref().unwrap_or_default(), &error);
        }
        match error {
            sqlx::Error::Io(why) if why.kind() == std::io::ErrorKind::StorageFull => {
                Self::Full { place: "database" }
            }
            sqlx::Error::Io(why) => away(why.to_string()),
            sqlx::Error::Tls(why) => away(why.to_string()),
            sqlx::Error::PoolTimedOut => away("all its lines are busy".to_owned()),
            sqlx::Error::PoolClosed | sqlx::Error::WorkerCrashed => {
                away("its line was closed".to_owned())
            }
            sqlx::Error::Protocol(why) => away(why),
            other => Self::Fault(other.to_string()),
        }
    }
}

/// Sorts by the code that SQLite (a number) or PostgreSQL (five signs) gives.
fn from_code(code: &str, error: &sqlx::Error) -> StoreError {
    // SQLite's low byte is the kind: 5 busy, 6 locked, 8 read-only, 10 input
    // or output, 13 full, 14 cannot open.
    if let Ok(number) = code.parse::<u32>()
        && code.len() < 5
    {
        return match number & 0xff {
            5 | 6 => away("another program is writing to it".to_owned()),
            13 => StoreError::Full { place: "database" },
            8 | 10 | 14 => away(error.to_string()),
            _ => StoreError::Fault(error.to_string()),
        };
    }
    match code {
        "53100" => StoreError::Full { place: "database" },
        // Serialisation, deadlock, lock, too many connections.
        "40001" | "40P01" | "55P03" | "53300" => away("too many write at once".to_owned()),
        // Connection lost, shutting down, starting up.
        "57P01" | "57P02" | "57P03" | "25006" => away("it is stopping or starting".to_owned()),
        _ if code.starts_with("08") => away(error.to_string()),
        _ => StoreError::Fault(error.to_string()),
    }
}

fn away(why: String) -> StoreError {
    StoreError::Away {
        place: "database",
        why,
    }
}

impl From<object_store::Error> for StoreError {
    fn from(error: object_store::Error) -> Self {
        const PLACE: &str = "picture store";
        if is_storage_full(&error) {
            return Self::Full { place: PLACE };
        }
        match error {
            object_store::Error::NotFound { path, .. } => Self::NotThere {
                what: "picture",
                name: path,
            },
            object_store::Error::Generic { .. }
            | object_store::Error::PermissionDenied { .. }
            | object_store::Error::Unauthenticated { .. } => Self::Away {
                place: PLACE,
                why: error.to_string(),
            },
            other => Self::Fault(other.to_string()),
        }
    }
}

fn is_storage_full(error: &(dyn std::error::Error + 'static)) -> bool {
    let mut next = Some(error);
    while let Some(fault) = next {
        if let Some(io) = fault.downcast_ref::<std::io::Error>()
            && io.kind() == std::io::ErrorKind::StorageFull
        {
            return true;
        }
        next = fault.source();
    }
    false
}

impl From<std::io::Error> for StoreError {
    fn from(error: std::io::Error) -> Self {
        if error.kind() == std::io::ErrorKind::StorageFull {
            return Self::Full { place: "disk" };
        }
        Self::Fault(error.to_string())
    }
}

impl From<tokio::task::JoinError> for StoreError {
    fn from(error: tokio::task::JoinError) -> Self {
        Self::Fault(error.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_closed_line_may_pass_and_says_that_nothing_was_lost() {
        let error = StoreError::from(sqlx::Error::PoolClosed);
        assert!(error.may_pass());
        assert!(error.to_string().contains("Nothing was lost"), "{error}");
    }

    #[test]
    fn a_full_disk_is_told_apart_at_any_depth() {
        let inner = std::io::Error::from(std::io::ErrorKind::StorageFull);
        let error = object_store::Error::Generic {
            store: "folder",
            source: Box::new(inner),
        };
        assert!(matches!(StoreError::from(error), StoreError::Full { .. }));
    }
}
