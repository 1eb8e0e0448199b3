//! Our answers held against numbers from outside: standards, handbooks, closed forms.
//!
//! A walk through it, in the order a check happens:
//!
//! - [`case`]: a folder with one published table, its source and its bounds;
//! - [`laws`]: the laws a case may name, each answered by our own crates;
//! - [`compare`](mod@compare): every difference between our answer and the
//!   printed one;
//! - [`judge`](mod@judge): whether the differences stay inside their bounds;
//! - [`table`]: the page that lists the cases.
//!
//! Left out: laws for which no public number was found; the page names them.
//! Checked by: the tests beside each step, with made-up cases that must fail.

pub mod case;
pub mod compare;
pub mod judge;
pub mod laws;
pub mod table;
