//! Readings that are probably a slip of the key: shown with what else was
//! read on that panel, and each may be taken out.
//!
//! Law: doubtful is a reading above twice or under half the median of the
//! panel's others, or above 300 µm.
//! Source: series paint reaches up to twice its usual 80 to 130 µm, and from
//! 300 µm on a panel was painted again or filled: common practice of the trade.
//! Holds: for readings taken on these pages; a table's lines are the reader's.
//! Left out: deciding; a doubtful reading counts until a person takes it out.
//! Checked by: the tests below and `tests/web_marked.rs`.

use lapwing_store::Change;
use maud::{Markup, html};

use super::super::fields::Fields;
use super::super::numbers::Measure;
use super::super::page::edit_fields;
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::{checks as say, jobs};
use super::intake::pointer;
use super::{Kept, prove};
use crate::commands::prove::Place;

/// From here on paint is a repaint or filler, µm.
const USUAL_UM: f64 = 300.0;
/// So many times more or less than the others is doubtful.
const TIMES: f64 = 2.0;

/// A doubtful reading and, where the panel has others, what they read.
#[derive(Debug, PartialEq)]
struct Slip {
    id: String,
    panel: String,
    um: f64,
    middle_um: Option<f64>,
}

/// Doubtful readings of a job, each with a way out.
pub(super) fn told(visitor: &Visitor, kept: &Kept) -> Markup {
    let all = prove::places(kept).unwrap_or_default();
    let is_taken = |id: &str| !kept.document["readings"][id].is_null();
    html! {
        @for slip in slips(&all).into_iter().filter(|slip| is_taken(&slip.id)) {
            div.caution role="alert" {
                p { (sentence(visitor, &slip)) }
                form method="post" action=(format!("/jobs/{}/readings", kept.id)) data-queue {
                    (edit_fields(kept.version))
                    input type="hidden" name="deed" value="drop";
                    input type="hidden" name="reading" value=(slip.id);
                    button.quiet.small { (visitor.fill(say::TAKE_READING_OUT, &[&visitor.with_unit(Measure::Film, slip.um)])) }
                }
            }
        }
    }
}

fn sentence(visitor: &Visitor, slip: &Slip) -> String {
    let film = |um: f64| visitor.with_unit(Measure::Film, um);
    let (um, panel) = (film(slip.um), visitor.panel(&slip.panel));
    match slip.middle_um {
        Some(middle_um) => visitor.fill(say::FAR_OFF, &[&um, &panel, &film(middle_um)]),
        None => visitor.fill(say::FAR_UP, &[&um, &panel]),
    }
}

fn slips(all: &[Place]) -> Vec<Slip> {
    let doubtful = |place: &Place| {
        let others = all
            .iter()
            .filter(|p| p.panel == place.panel && p.key != place.key);
        let middle_um = median(others.map(|p| p.um).collect());
        let is_far = middle_um.filter(|m| place.um > TIMES * m || place.um * TIMES < *m);
        (is_far.is_some() || place.um > USUAL_UM).then(|| Slip {
            id: place.key.clone(),
            panel: place.panel.clone(),
            um: place.um,
            middle_um: is_far,
        })
    };
    all.iter().filter_map(doubtful).collect()
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    match values.len() {
        0 => None,
        n if n % 2 == 1 => Some(values[half]),
        _ => Some(0.5 * (values[half - 1] + values[half])),
    }
}

/// The change that takes a reading out, with the reading after at its place.
pub(super) fn dropped(
    kept: &Kept,
    fields: &Fields,
    visitor: &Visitor,
) -> Result<Vec<Change>, Refusal> {
    let id = pointer(fields.text("reading").unwrap_or_default());
    let place = format!("/readings/{id}");
    if id.is_empty() || kept.document.pointer(&place).is_none() {
        return Err(Refusal::missing(visitor.say(jobs::NO_MARK)));
    }
    let mut changes = vec![Change::remove(place)];
    let after = format!("/after/{id}");
    if kept.document.pointer(&after).is_some() {
        changes.push(Change::remove(after));
    }
    Ok(changes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(panel: &str, all: &[f64]) -> Vec<Place> {
        let one = |(at, um): (usize, &f64)| Place {
            key: format!("{panel}-{at}"),
            panel: panel.to_owned(),
            um: *um,
            spot: None,
            at_mm: None,
        };
        all.iter().enumerate().map(one).collect()
    }

    #[test]
    fn a_figure_with_a_nought_too_many_is_doubtful_and_its_neighbours_are_not() {
        let found = slips(&places("bonnet", &[112.0, 118.0, 1120.0, 109.0]));
        // Median of 109, 112, 118.
        let slip = Slip {
            id: "bonnet-2".to_owned(),
            panel: "bonnet".to_owned(),
            um: 1120.0,
            middle_um: Some(112.0),
        };
        assert_eq!(found, [slip]);
    }

    #[test]
    fn a_lone_reading_is_doubtful_only_above_what_paint_is() {
        assert_eq!(slips(&places("roof", &[300.0])), []);
        let found = slips(&places("roof", &[301.0]));
        assert_eq!(found[0].middle_um, None);
        assert_eq!(found.len(), 1);
    }

    #[test]
    fn two_times_is_the_limit_on_both_sides() {
        assert_eq!(slips(&places("roof", &[100.0, 100.0, 200.0])), []);
        assert_eq!(slips(&places("roof", &[100.0, 100.0, 50.0])), []);
        assert_eq!(slips(&places("roof", &[100.0, 100.0, 49.0])).len(), 1);
        assert_eq!(slips(&[]), []);
    }
}
