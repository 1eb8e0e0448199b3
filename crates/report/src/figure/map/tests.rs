//! Tests of the section map as a whole.

use super::*;
use crate::figure::svg::reading::assert_well_formed;

/// A field of stripes and hills, 120 by 120, up to about 2 µm.
fn stripes() -> Vec<f64> {
    let at = |k: u32| f64::from(k) / 120.0;
    let mut values = Vec::new();
    for row in 0..120 {
        for column in 0..120 {
            let (x, y) = (at(column), at(row));
            let hill = (1.0 - (2.0 * x - 1.0).powi(4)) * (1.0 - (2.0 * y - 1.0).powi(4));
            values.push(hill * (1.3 + 0.3 * (x * 25.0).sin() + 0.2 * (y * 31.0).cos()));
        }
    }
    values
}

fn map(values: &[f64]) -> SectionMap<'_> {
    SectionMap {
        title: "Takes off",
        caption: "Four passes & a <slow> arm.",
        summary: "",
        values,
        columns: 120,
        rows: 120,
        width_m: 0.46,
        height_m: 0.46,
        scale: Scale::removal(2.0),
        walls: &[],
        units: Units::Metric,
        theme: Theme::LIGHT,
        width_px: 360.0,
    }
}

#[test]
fn a_busy_map_stays_small_and_well_formed() {
    let values = stripes();
    let text = section_map(&map(&values)).expect("a good map");
    assert_well_formed(&text);
    assert!(text.len() < 60_000, "{} bytes", text.len());
    assert_eq!(text, section_map(&map(&values)).expect("a good map"));
}

#[test]
fn even_noise_stays_small() {
    // A fixed scrambling of the place stands in for the worst field there is.
    let noise = |k: u32| f64::from(k.wrapping_mul(2_654_435_761) >> 20) / 4096.0 * 2.0;
    let values: Vec<f64> = (0..14_400).map(noise).collect();
    let text = section_map(&map(&values)).expect("a good map");
    assert_well_formed(&text);
    assert!(text.len() < 60_000, "{} bytes", text.len());
    let pair = pair_of_maps(&map(&values), &map(&values)).expect("good maps");
    assert!(pair.len() < 60_000, "{} bytes", pair.len());
}

#[test]
fn least_mean_and_most_are_said_and_marked() {
    let mut values = vec![1.0; 14_400];
    values[0] = 0.4;
    values[14_399] = 1.6;
    let text = section_map(&map(&values)).expect("a good map");
    assert!(text.contains("Least 0.4, mean 1.0, most 1.6\u{a0}\u{3bc}m."));
    // The least lies in the first cell: lower left corner.
    assert!(text.contains(">0.4</text>") && text.contains(">1.6</text>"));
}

#[test]
fn walls_stand_on_the_bar_and_across_the_map() {
    let values: Vec<f64> = (0..14_400)
        .map(|k| 25.0 + f64::from(k % 120) * 0.45)
        .collect();
    let walls = [
        Wall {
            at: 45.0,
            label: "warn".to_owned(),
        },
        Wall {
            at: 60.0,
            label: "stop".to_owned(),
        },
    ];
    let heat = SectionMap {
        title: "Surface peak",
        scale: Scale::temperature(),
        walls: &walls,
        ..map(&values)
    };
    let text = section_map(&heat).expect("a good map");
    assert_well_formed(&text);
    assert_eq!(text.matches(">warn 45<").count(), 2);
    assert_eq!(text.matches(">stop 60<").count(), 2);
    let hot = SectionMap {
        units: Units::Customary,
        ..heat
    };
    let text = section_map(&hot).expect("a good map");
    assert!(text.contains(">warn 113<") && text.contains("\u{a0}in<") && text.contains("°F"));
}

#[test]
fn a_flat_field_is_one_colour_without_lines() {
    let values = vec![1.05; 14_400];
    let text = section_map(&map(&values)).expect("a good map");
    assert!(!text.contains("evenodd"));
}

#[test]
fn a_pair_stands_side_by_side_or_one_above_the_other() {
    let values = stripes();
    let wide = SectionMap {
        width_px: 640.0,
        ..map(&values)
    };
    let text = pair_of_maps(&wide, &wide).expect("good maps");
    assert_well_formed(&text);
    assert!(text.contains("translate(330.0 0.0)"));
    let narrow = pair_of_maps(&map(&values), &map(&values)).expect("good maps");
    assert!(narrow.contains("translate(0.0 "));
}

#[test]
fn refuses_a_grid_that_is_not_what_it_says() {
    let values = stripes();
    let short = SectionMap {
        rows: 119,
        ..map(&values)
    };
    assert!(matches!(
        section_map(&short),
        Err(FigureError::GridShape { came: 14_400, .. })
    ));
    let flat = SectionMap {
        height_m: 0.0,
        ..map(&values)
    };
    assert!(matches!(
        section_map(&flat),
        Err(FigureError::NoRoom { .. })
    ));
    let mut holed = values.clone();
    holed[7] = f64::NAN;
    let error = section_map(&map(&holed)).expect_err("a hole");
    assert_eq!(
        error,
        FigureError::NotANumber {
            what: "map value",
            place: 7
        }
    );
    assert!(error.to_string().contains("place 7"));
}
