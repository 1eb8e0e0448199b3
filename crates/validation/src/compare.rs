//! How far are we off, row by row? Nothing is judged here.
//!
//! Law: difference = |ours − expected|, or that over |expected|.
//! Holds: for every case; a law that refuses its inputs is an error, not a row.
//! Left out: verdicts (see `judge`).
//! Checked by: made-up cases worked by hand.

use crate::case::{Case, Kind};
use crate::laws;

/// One row with our answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Its place in the case, from 1.
    pub row: usize,
    /// What the law was given, as JSON.
    pub inputs: String,
    /// What the source says.
    pub expected: f64,
    /// What we say.
    pub ours: f64,
    /// How far apart, in the case's kind.
    pub off: f64,
}

/// Every difference of a case.
///
/// # Errors
/// A sentence when the law is unknown, refuses its inputs, or answers with
/// something that is not a number.
pub fn compare(case: &Case) -> Result<Vec<Difference>, String> {
    let difference = |(index, row): (usize, &crate::case::Row)| {
        let inputs = case.inputs_of(row);
        let ours = laws::answer(&case.law, &inputs)
            .map_err(|e| format!("{} row {}: {e}", case.id, index + 1))?;
        let distance = (ours - row.expected).abs();
        let off = match case.kind {
            Kind::Absolute => distance,
            Kind::Relative => distance / row.expected.abs(),
        };
        if !off.is_finite() {
            return Err(format!(
                "{} row {}: {ours} against {} has no difference.",
                case.id,
                index + 1,
                row.expected
            ));
        }
        let inputs = serde_json::Value::Object(row.inputs.clone()).to_string();
        Ok(Difference {
            row: index + 1,
            inputs,
            expected: row.expected,
            ours,
            off,
        })
    };
    case.rows.iter().enumerate().map(difference).collect()
}

/// All differences as a table with a heading, for a spreadsheet.
#[must_use]
pub fn csv(compared: &[(Case, Vec<Difference>)]) -> String {
    let mut text = String::from("case,row,inputs,expected,ours,difference,kind,bound_max\n");
    for (case, differences) in compared {
        for d in differences {
            let kind = format!("{:?}", case.kind).to_lowercase();
            let inputs = d.inputs.replace('"', "\"\"");
            text.push_str(&format!(
                "{},{},\"{inputs}\",{},{},{:e},{kind},{:e}\n",
                case.id, d.row, d.expected, d.ours, d.off, case.bound_max
            ));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::made_up::case;

    const ROW: &str = "[[row]]\ninputs = { vibrations_m_s2 = [5], hours = [3] }\nexpected = 140\n";

    #[test]
    fn a_difference_is_worked_by_hand() {
        let absolute = case("vibration_points", 1.0, ROW);
        let off = compare(&absolute).expect("an answer")[0].off;
        assert!((off - 10.0).abs() < 1e-12);
        let relative = Case {
            kind: Kind::Relative,
            ..absolute
        };
        let off = compare(&relative).expect("an answer")[0].off;
        assert!((off - 10.0 / 140.0).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_compared_is_an_error_and_not_a_row() {
        assert!(compare(&case("no_such_law", 1.0, ROW)).is_err_and(|e| e.contains("no_such_law")));
        assert!(
            compare(&case(
                "vibration_points",
                1.0,
                &ROW.replace("hours", "hour")
            ))
            .is_err()
        );
        let unused = ROW.replace("hours", "spare = 1, hours");
        assert!(
            compare(&case("vibration_points", 1.0, &unused)).is_err_and(|e| e.contains("spare"))
        );
        let zero = Case {
            kind: Kind::Relative,
            ..case("vibration_points", 1.0, &ROW.replace("140", "0"))
        };
        assert!(compare(&zero).is_err());
    }

    #[test]
    fn the_spreadsheet_has_one_line_for_each_row() {
        let case = case("vibration_points", 1.0, ROW);
        let differences = compare(&case).expect("an answer");
        let text = csv(&[(case, differences)]);
        assert_eq!(text.lines().count(), 2);
        assert!(
            text.contains("made-up,1,\"{\"\"") && text.contains("}\",140,150,1e1,absolute,1e0"),
            "{text}"
        );
    }
}
