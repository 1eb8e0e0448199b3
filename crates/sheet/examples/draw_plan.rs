//! Sets the sample plan and hands it to the next program, to look at it: `draw_plan [letter] > plan.pdf`
//!
//! Law: none.
//! Source: the sample is `tests/plan-sample.json`, invented.
//! Holds: without pictures, so their places stay out; `app` sets the sheet with them.
//! Left out: checks; the tests do those.
//! Checked by: eye.

use std::error::Error;
use std::io::Write;

use lapwing_sheet::{Paper, SheetInput, Template, set_pdf};

fn main() -> Result<(), Box<dyn Error>> {
    let wants_letter = std::env::args().any(|word| word == "letter");
    let input = SheetInput {
        template: Template::Plan,
        data: &serde_json::from_str(include_str!("../tests/plan-sample.json"))?,
        pictures: &[],
        photos: &[],
        paper: if wants_letter {
            Paper::Letter
        } else {
            Paper::A4
        },
    };
    std::io::stdout().write_all(&set_pdf(&input)?)?;
    Ok(())
}
