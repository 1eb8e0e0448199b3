//! Keys of the command line's files, by what the pages call their fields: who
//! never saw a file reads the words of the form.
//!
//! Checked by: the tests of `saying`.

use super::{Message, bench, stations};

/// The longer of two keys that begin alike stands first.
pub(crate) const LABELS: &[(&str, Message)] = &[
    ("gauge.repeatability", stations::GAUGE),
    ("measured.time", stations::TOOK),
    ("setup.arm_speed", stations::ARM),
    ("setup.overlap", bench::OVERLAP),
    ("setup.passes", stations::PASSES),
    ("setup.section", stations::SECTION),
    ("setup.speed", stations::SPEED),
    ("setup.force", bench::FORCE),
    ("setup.spin", bench::SPIN),
    ("setup.orbit", bench::ORBIT),
    ("setup.pad", stations::PAD),
    ("kit.abrasive", stations::ABRASIVE),
    ("kit.pad", stations::PAD),
    ("paint.behaviour", stations::BEHAVIOUR),
    ("paint.defects", stations::DEFECTS),
    ("machine.spin", bench::SPIN),
    ("machine.speed", bench::SPEED),
];
