//! What the bench says of a pass against the usual one, in the visitor's
//! language and units.
//!
//! Law: none; two finished numbers are set beside each other.
//! Checked by: the tests below.

use lapwing_job::bench::BenchResult;
use lapwing_report::bench_page_pictures::Words;

use super::super::numbers::Measure;
use super::super::visitor::Visitor;
use super::super::words::{Message, bench as say};

/// Less than this is "as usual": film µm, heat K, time min.
const SAME: [f64; 3] = [0.05, 0.5, 0.05];

/// The clauses that differ: "takes 0.3 µm more".
pub(super) fn differences(v: &Visitor, now: &BenchResult, usual: &BenchResult) -> Vec<String> {
    let film = now.removal.interior_mean_um - usual.removal.interior_mean_um;
    let heat = now.heat.peak_c - usual.heat.peak_c;
    let time = (now.time_s - usual.time_s) / 60.0;
    let clause = |by: f64, same: f64, measure, (more, less): (Message, Message)| {
        (by.abs() >= same).then(|| {
            let words = if by > 0.0 { more } else { less };
            v.fill(words, &[&v.with_unit(measure, by.abs())])
        })
    };
    [
        clause(
            film,
            SAME[0],
            Measure::Film,
            (say::TAKES_MORE, say::TAKES_LESS),
        ),
        clause(
            heat,
            SAME[1],
            Measure::Difference,
            (say::HOTTER, say::COOLER),
        ),
        clause(time, SAME[2], Measure::Minutes, (say::LONGER, say::SHORTER)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// A removal with as many digits as it can carry.
pub(super) fn film(v: &Visitor, um: f64) -> String {
    if um < 0.95 && v.units == lapwing_job::record::job::Units::Metric {
        format!("{}\u{a0}µm", v.number(um, 2))
    } else {
        v.with_unit(Measure::Film, um)
    }
}

/// What lies under the removal map and the temperature map, with the figures
/// of the table: a map's own cells are coarser than those.
pub(super) fn summaries(v: &Visitor, now: &BenchResult) -> [String; 2] {
    let removal = &now.removal;
    let coolest_c = now
        .maps
        .peak_c
        .iter()
        .copied()
        .fold(now.heat.peak_c, f64::min);
    [
        v.fill(
            say::WHOLE_TAKES,
            &[
                &v.bare(Measure::Film, removal.min_um),
                &v.with_unit(Measure::Film, removal.max_um),
                &v.bare(Measure::Film, removal.mean_um),
            ],
        ),
        v.fill(
            say::WHOLE_PEAKS,
            &[
                &v.bare(Measure::Temperature, coolest_c),
                &v.with_unit(Measure::Temperature, now.heat.peak_c),
            ],
        ),
    ]
}

/// The words on the pictures.
pub(super) fn of_pictures(v: &Visitor) -> Words<'static> {
    Words {
        takes_off: v.say(say::TAKES_OFF),
        surface_peak: v.say(say::SURFACE_PEAK),
        over_time: v.say(say::OVER_TIME),
        across: v.say(say::ACROSS),
        time: v.say(say::TIME),
        surface: v.say(say::SURFACE),
        hottest: v.say(say::HOTTEST_PLACE),
        under_pad: v.say(say::UNDER_PAD),
        place: v.say(say::PLACE),
        left_to_right: v.say(say::LEFT_TO_RIGHT),
        upwards: v.say(say::UPWARDS),
        warn: v.say(say::WARN),
        stop: v.say(say::STOP),
    }
}
