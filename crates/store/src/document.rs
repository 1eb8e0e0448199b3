//! A job's state, folded from its events, and when two edits are in each
//! other's way.
//!
//! Law: state(n) = fold(state(n-1), event n). An edit is a list of puts and
//! removals at places of one JSON document; two edits are in each other's way
//! when a place of one equals or contains a place of the other, unless both
//! put the same value there.
//! Source: places are JSON pointers, RFC 6901 sections 3 and 4.
//! Holds: for objects within objects; an array is one value and is replaced
//! as a whole. A list that grows is an object with ids as keys.
//! Left out: the order of keys carries no meaning.
//! Checked by: the RFC's own example of escaped names, by hand, and by random
//! edits that undo themselves.

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use crate::error::StoreError;
use crate::event::{Event, Standing};

const MOST_DEPTH: usize = 16;
const MOST_PLACE_BYTES: usize = 512;

/// One put or removal at one place of the document.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged, deny_unknown_fields)]
pub enum Change {
    /// Sets a value; parents that are missing are made.
    Put {
        /// The place, as a JSON pointer.
        put: String,
        /// What stands there afterwards.
        value: Value,
        /// What stood there before (at most one value); the store fills it in.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        was: Vec<Value>,
    },
    /// Takes a value away.
    Remove {
        /// The place, as a JSON pointer.
        remove: String,
        /// What stood there before (at most one value); the store fills it in.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        was: Vec<Value>,
    },
}

/// What is true of a job after an event.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JobState {
    /// The number of the last event that is folded in.
    pub version: i64,
    /// The job itself.
    pub document: Value,
    /// Ids of edits that were set aside and are not settled yet.
    pub open_conflicts: Vec<String>,
}

impl Change {
    /// A put at a place.
    #[must_use]
    pub fn put(place: impl Into<String>, value: impl Into<Value>) -> Self {
        Self::Put {
            put: place.into(),
            value: value.into(),
            was: Vec::new(),
        }
    }

    /// A removal at a place.
    #[must_use]
    pub fn remove(place: impl Into<String>) -> Self {
        Self::Remove {
            remove: place.into(),
            was: Vec::new(),
        }
    }

    /// The place it touches.
    #[must_use]
    pub fn place(&self) -> &str {
        match self {
            Self::Put { put, .. } => put,
            Self::Remove { remove, .. } => remove,
        }
    }

    /// What stood there before the event, if anything.
    #[must_use]
    pub fn was(&self) -> Option<&Value> {
        match self {
            Self::Put { was, .. } | Self::Remove { was, .. } => was.first(),
        }
    }

    /// The change that takes this one back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        match self.was() {
            Some(before) => Self::put(self.place(), before.clone()),
            None => Self::remove(self.place()),
        }
    }

    /// The same deed, whatever stood there before.
    #[must_use]
    pub fn is_same_deed(&self, other: &Self) -> bool {
        match (self, other) {
            (
                Self::Put { put, value, .. },
                Self::Put {
                    put: place,
                    value: wanted,
                    ..
                },
            ) => put == place && value == wanted,
            (Self::Remove { remove, .. }, Self::Remove { remove: place, .. }) => remove == place,
            _ => false,
        }
    }

    /// Whether this change and another cannot both be meant.
    #[must_use]
    pub fn is_in_the_way_of(&self, other: &Self) -> bool {
        let (a, b) = (self.place(), other.place());
        let contains = |outer: &str, inner: &str| {
            inner
                .strip_prefix(outer)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        };
        (contains(a, b) || contains(b, a)) && !self.is_same_deed(other)
    }
}

impl JobState {
    /// The state before the first event.
    #[must_use]
    pub fn empty() -> Self {
        Self {
            version: 0,
            document: Value::Object(Map::new()),
            open_conflicts: Vec::new(),
        }
    }

    /// Folds one event in.
    ///
    /// # Errors
    /// When the event is not the next one or does not fit the document.
    pub fn fold(&mut self, event: &Event) -> Result<(), StoreError> {
        if event.version != self.version + 1 {
            return Err(StoreError::damaged(
                format!("job {}", event.job),
                format!("event {} follows event {}", event.version, self.version),
            ));
        }
        match event.standing {
            Standing::Aside => self.open_conflicts.push(event.id.clone()),
            Standing::Kept => {
                for change in &event.changes {
                    apply(&mut self.document, change)?;
                }
            }
        }
        if let (Some(settled), Standing::Kept) = (&event.settles, event.standing) {
            self.open_conflicts.retain(|id| id != settled);
        }
        self.version = event.version;
        Ok(())
    }

    /// What stands at a place.
    #[must_use]
    pub fn at(&self, place: &str) -> Option<&Value> {
        self.document.pointer(place)
    }
}

/// Applies the changes in order and notes in each what stood there before.
pub(crate) fn apply_noting(document: &mut Value, changes: &mut [Change]) -> Result<(), StoreError> {
    for change in changes {
        let before = apply(document, change)?;
        match change {
            Change::Put { was, .. } | Change::Remove { was, .. } => {
                *was = before.into_iter().collect();
            }
        }
    }
    Ok(())
}

fn apply(document: &mut Value, change: &Change) -> Result<Option<Value>, StoreError> {
    let steps = steps_of(change.place())?;
    let Some((last, parents)) = steps.split_last() else {
        return Err(refused(change.place(), "it has no name"));
    };
    let is_put = matches!(change, Change::Put { .. });
    let mut here = document;
    for step in parents {
        let Value::Object(map) = here else {
            return Err(refused(change.place(), "its parent is a single value"));
        };
        if !map.contains_key(step) && !is_put {
            return Ok(None);
        }
        here = map
            .entry(step.clone())
            .or_insert_with(|| Value::Object(Map::new()));
    }
    let Value::Object(map) = here else {
        return Err(refused(change.place(), "its parent is a single value"));
    };
    Ok(match change {
        Change::Put { value, .. } => map.insert(last.clone(), value.clone()),
        Change::Remove { .. } => map.shift_remove(last),
    })
}

/// The names along a JSON pointer.
fn steps_of(place: &str) -> Result<Vec<String>, StoreError> {
    if place.len() > MOST_PLACE_BYTES {
        return Err(refused("(long)", "it is longer than 512 bytes"));
    }
    let Some(rest) = place.strip_prefix('/') else {
        return Err(refused(place, "it should start with `/`"));
    };
    let steps: Vec<String> = rest
        .split('/')
        .map(|step| step.replace("~1", "/").replace("~0", "~"))
        .collect();
    if steps.len() > MOST_DEPTH {
        return Err(refused(place, "it is deeper than 16 names"));
    }
    if steps
        .iter()
        .any(|s| s.is_empty() || s.chars().any(char::is_control))
    {
        return Err(refused(place, "a name in it is empty or has control signs"));
    }
    Ok(steps)
}

fn refused(place: &str, why: &str) -> StoreError {
    StoreError::Refused(format!(
        "The place `{place}` of the job cannot be changed: {why}."
    ))
}

#[cfg(test)]
#[path = "document/tests.rs"]
mod tests;
