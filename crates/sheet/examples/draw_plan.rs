//! Sets the sample plan into a file, to look at it: `draw_plan OUT.pdf [a4|letter] [SHEET.json] [NAME.svg=FILE]...`
//!
//! Law: none.
//! Source: the sample is `tests/plan-sample.json`, invented.
//! Holds: pictures are read from the files named; without any, their places stay out.
//! Left out: checks; the tests do those.
//! Checked by: eye.

use std::error::Error;

use lapwing_sheet::{Paper, SheetInput, Template, set_pdf};

fn main() -> Result<(), Box<dyn Error>> {
    let mut words = std::env::args().skip(1);
    let out = words.next().ok_or("Name the PDF to write.")?;
    let mut paper = Paper::A4;
    let mut data = include_str!("../tests/plan-sample.json").to_owned();
    let mut pictures = Vec::new();
    for word in words {
        match word.split_once('=') {
            Some((name, file)) => {
                pictures.push((name.to_owned(), std::fs::read_to_string(file)?));
            }
            None if word == "letter" => paper = Paper::Letter,
            None if word == "a4" => paper = Paper::A4,
            None => data = std::fs::read_to_string(word)?,
        }
    }
    let pictures: Vec<(&str, &str)> = pictures
        .iter()
        .map(|(name, svg)| (name.as_str(), svg.as_str()))
        .collect();
    let input = SheetInput {
        template: Template::Plan,
        data: &serde_json::from_str(&data)?,
        pictures: &pictures,
        paper,
    };
    std::fs::write(out, set_pdf(&input)?)?;
    Ok(())
}
