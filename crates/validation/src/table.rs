//! The page that lists the cases: source, grade, bound, and how near it we are.
//!
//! Law: none. The worst difference is printed as a share of its bound with two
//! digits, so that the page is the same on any machine.
//! Holds: for the cases that were compared; the page is written by the run.
//! Left out: the single differences; they are in `differences.csv`.
//! Checked by: a made-up case.

use crate::case::{Case, Grade, Kind, Mark};
use crate::compare::Difference;
use crate::judge::percentile;

/// What is built, but stands on no public number.
const NOT_VALIDATED: &[(&str, &str)] = &[
    (
        "cut rate of an abrasive on clear coat",
        "no publication gives one; a test spot calibrates it",
    ),
    (
        "how an abrasive breaks down over a pass",
        "the form is assumed; only its mean over a charge is compared",
    ),
    (
        "how fast a free pad spins under load",
        "no law was found; the spin is an input",
    ),
    (
        "stiffness of polishing pads, and pads over creases and edges",
        "no measured pad was found; the law is compared on flats, balls, edges and body lines",
    ),
    (
        "heat of a source without width, through the bench",
        "no pad is a line; the smallest pad is compared with discs of its size",
    ),
    (
        "steady heat of a pad on a half space of plastic, through the bench",
        "it takes a year; compared after two hours on a quarter of the heat capacity, with what is missing in closed form",
    ),
    (
        "least of stalled lines a whole pad apart, through the bench",
        "it is nothing at one point between them; a real orbit has a width and smears it",
    ),
    (
        "share of friction that goes into the panel",
        "one second-hand reading of a thermometer only; an input with a range",
    ),
    (
        "vibration and noise of polishing machines",
        "no measurement was found; the declared values are inputs",
    ),
];

/// The whole page.
#[must_use]
pub fn page(compared: &[(Case, Vec<Difference>)]) -> String {
    let counted = || compared.iter().filter(|(case, _)| case.grade != Grade::E);
    let rows: usize = counted().map(|(_, differences)| differences.len()).sum();
    let mut text = format!(
        "# References from outside\n\n\
         Written by `cargo test -p lapwing-validation`; do not edit by hand. Each case is a folder of\n\
         `cases`. Bounds come from the printed digits or the stated uncertainty of the source, and the\n\
         run fails on p75, p99 or maximum. The worst difference is given as a share of the bound: 1.00\n\
         would be at it.\n\n\
         Grades: A closed form, B worked example or table of a standard or handbook, C published\n\
         measurement, D general-purpose library, E our own earlier output (never counted).\n\n\
         {} cases with {rows} rows count.\n\n\
         | case | what | law | source | read | grade | rows | worst / bound | bound |\n\
         |---|---|---|---|---|---|---:|---:|---|\n",
        counted().count()
    );
    for (case, differences) in compared {
        text.push_str(&line(case, differences));
    }
    text.push_str("\n## Built, but no public number was found to hold it against\n\n");
    for (what, why) in NOT_VALIDATED {
        text.push_str(&format!("- {what}: {why}\n"));
    }
    text
}

fn line(case: &Case, differences: &[Difference]) -> String {
    let source = &case.source;
    let bound = match case.kind {
        Kind::Absolute if case.bound_max < 1e-3 => format!("{:e} {}", case.bound_max, case.unit),
        Kind::Absolute => format!("{} {}", case.bound_max, case.unit),
        Kind::Relative => format!("{} %", plain(case.bound_max * 100.0)),
    };
    format!(
        "| {} | {} | `{}` | {}, {}{}, {} | {} | {:?} | {} | {:.2} | {} |\n",
        case.id,
        case.title,
        case.law,
        source.author,
        source.title,
        source
            .year
            .map_or(String::new(), |year| format!(", {year}")),
        source.place,
        if source.mark == Mark::Seen {
            "seen"
        } else {
            "memory"
        },
        case.grade,
        differences.len(),
        percentile(differences, 1.0) / case.bound_max,
        bound.trim()
    )
}

/// A share in percent without the crumbs of binary fractions.
fn plain(percent: f64) -> f64 {
    (percent * 1e9).round() / 1e9
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::made_up::case;
    use crate::compare::compare;

    #[test]
    fn a_case_is_one_line_with_its_share_of_the_bound() {
        let made_up = case(
            "vibration_points",
            40.0,
            "[[row]]\ninputs = { vibrations_m_s2 = [5], hours = [3] }\nexpected = 140\n",
        );
        let differences = compare(&made_up).expect("an answer");
        let text = page(&[(made_up, differences)]);
        assert!(
            text.contains(
                "| made-up | t | `vibration_points` | a, t, 1900, p | memory | A | 1 | 0.25 | 40 |"
            ),
            "{text}"
        );
        assert!(text.contains("1 cases with 1 rows"));
    }

    #[test]
    fn our_own_earlier_output_is_listed_but_not_counted() {
        let own = Case {
            grade: Grade::E,
            ..case("any", 1.0, "[[row]]\ninputs = {}\nexpected = 1\n")
        };
        let text = page(&[(own, Vec::new())]);
        assert!(text.contains("0 cases with 0 rows") && text.contains("| E |"));
    }
}
