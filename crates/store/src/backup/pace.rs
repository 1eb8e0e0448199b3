//! How far a long copy is: what is done of what, and bytes of photos.
//!
//! Holds: the whole is counted before the first step, in the same moment of the
//! database; work that goes on meanwhile is not in the copy.
//! Left out: time; whoever shows it has a clock.
//! Checked by: `tests/store/backup.rs`.

/// What is being gone through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Rows of the tables.
    Rows,
    /// Photos, with their bytes.
    Photos,
    /// Jobs and photos that are looked through.
    Looking,
}

/// How far it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pace {
    /// What is counted.
    pub part: Part,
    /// So many are done.
    pub done: u64,
    /// Of so many.
    pub of: u64,
    /// Bytes done; 0 where bytes are not counted.
    pub bytes: u64,
    /// Of so many bytes.
    pub of_bytes: u64,
}

/// Hears after each step how far it is.
pub type Told<'a> = &'a (dyn Fn(Pace) + Send + Sync);

impl Pace {
    pub(super) fn of(part: Part, of: u64) -> Self {
        Self {
            part,
            done: 0,
            of,
            bytes: 0,
            of_bytes: 0,
        }
    }

    /// One more is done.
    pub(super) fn step(&mut self, bytes: u64, told: Told<'_>) {
        self.done += 1;
        self.bytes += bytes;
        told(*self);
    }
}
