//! Tests of the panel's map: what is drawn, said and refused.

use super::*;
use crate::figure::svg::reading::assert_well_formed;

fn fields() -> (Vec<f64>, Vec<f64>) {
    let cells = || (0..60 * 40_u32).map(|k| (f64::from(k % 60), f64::from(k / 60)));
    (
        cells().map(|(u, v)| 104.0 + 0.4 * u - 0.2 * v).collect(),
        cells().map(|(u, _)| 1.0 + 0.1 * u).collect(),
    )
}

fn map<'a>(mean_um: &'a [f64], sd_um: &'a [f64], readings: &'a [PanelReading]) -> PanelMap<'a> {
    PanelMap {
        title: "Roof & <rail>",
        caption: "Edges are assumed.",
        mean_um,
        sd_um,
        columns: 60,
        rows: 40,
        size_m: [1.2, 0.8],
        origin_m: [0.0, 0.0],
        edge_m: 0.02,
        outline_m: &[],
        inside_m: &INSIDE_M,
        crease_m: &[],
        readings,
        odd: &[],
        next_m: &[[0.9, 0.3]],
        units: Units::Metric,
        theme: Theme::PRINT,
        width_px: 560.0,
        labels: Labels::default(),
        telling: Telling::ENGLISH,
    }
}

static INSIDE_M: [f64; 2400] = [0.1; 2400];

const READINGS: [PanelReading; 2] = [
    PanelReading {
        u_m: 0.2,
        v_m: 0.2,
        film_um: 107.0,
    },
    PanelReading {
        u_m: 0.7,
        v_m: 0.6,
        film_um: 119.0,
    },
];

#[test]
fn readings_contours_doubt_and_the_next_place_are_drawn() {
    let (mean, sd) = fields();
    let text = panel_map(&map(&mean, &sd, &READINGS)).expect("a good map");
    assert_well_formed(&text);
    assert!(text.len() < 60_000, "{} bytes", text.len());
    for said in [
        ">107<",
        ">119<",
        ">115<",
        ">1<",
        ">unsure<",
        ">little known<",
        "on 2 places",
        "one time in five",
    ] {
        assert!(text.contains(said), "{said}");
    }
    assert!(text.contains(">not measured<") && text.contains("Roof &amp; &lt;rail&gt;"));
}

#[test]
fn a_triangle_is_clipped_and_its_crease_drawn() {
    let (mean, sd) = fields();
    let inside: Vec<f64> = (0..2400_u32)
        .map(|k| 0.3 - f64::from(k % 60) / 200.0 - f64::from(k / 60) / 200.0)
        .collect();
    let shaped = PanelMap {
        outline_m: &[[0.0, 0.0], [1.2, 0.0], [0.0, 0.8]],
        inside_m: &inside,
        crease_m: &[[0.1, 0.2], [0.5, 0.2]],
        ..map(&mean, &sd, &READINGS)
    };
    let text = panel_map(&shaped).expect("a good map");
    assert_well_formed(&text);
    assert!(text.contains("clip-path") && text.contains("stroke-dasharray=\"9 4\""));
}

#[test]
fn a_sure_map_has_no_hatch_and_no_key() {
    let (mean, _) = fields();
    let sd = vec![1.0; mean.len()];
    let text = panel_map(&map(&mean, &sd, &READINGS)).expect("a good map");
    assert!(!text.contains("unsure") && !text.contains("little known"));
}

#[test]
fn film_off_the_scale_is_said() {
    let (mean, sd) = fields();
    let thick: Vec<f64> = mean.iter().map(|um| um + 90.0).collect();
    let text = panel_map(&map(&thick, &sd, &READINGS)).expect("a good map");
    assert!(text.contains("darkest colour is 160"));
    // Beyond it lines at round values still tell the film.
    assert!(text.contains(">200<") || text.contains(">190<"), "{text}");
}

#[test]
fn a_reading_left_out_stands_on_the_map_as_a_cross_with_its_film() {
    let (mean, sd) = fields();
    let odd = [PanelReading {
        u_m: 0.6,
        v_m: 0.4,
        film_um: 310.0,
    }];
    let crossed = PanelMap {
        odd: &odd,
        ..map(&mean, &sd, &READINGS)
    };
    let text = panel_map(&crossed).expect("a good map");
    assert_well_formed(&text);
    assert!(text.contains(">310<"));
}

#[test]
fn mil_and_inches_are_said_where_wished() {
    let (mean, sd) = fields();
    let us = PanelMap {
        units: Units::Customary,
        ..map(&mean, &sd, &READINGS)
    };
    let text = panel_map(&us).expect("a good map");
    assert!(text.contains("mil") && text.contains("\u{a0}in<"));
}

#[test]
fn refuses_a_grid_that_is_not_what_it_says() {
    let (mean, mut sd) = fields();
    let short = PanelMap {
        rows: 39,
        ..map(&mean, &sd, &[])
    };
    assert!(matches!(
        panel_map(&short),
        Err(FigureError::GridShape { .. })
    ));
    let flat = PanelMap {
        size_m: [0.0, 1.0],
        ..map(&mean, &sd, &[])
    };
    assert!(matches!(panel_map(&flat), Err(FigureError::NoRoom { .. })));
    sd[5] = f64::NAN;
    assert!(matches!(
        panel_map(&map(&mean, &sd, &[])),
        Err(FigureError::NotANumber { place: 5, .. })
    ));
}

#[test]
fn of_very_many_readings_it_is_said_how_many_are_drawn() {
    let (mean, sd) = fields();
    let many: Vec<PanelReading> = (0..20_000_u32)
        .map(|k| PanelReading {
            u_m: 0.05 + 1.1 * f64::from(k % 200) / 200.0,
            v_m: 0.05 + 0.7 * f64::from(k / 200) / 100.0,
            film_um: 112.0,
        })
        .collect();
    let text = panel_map(&map(&mean, &sd, &many)).expect("a good map");
    // 20 000 over at most 1 500 dots: every 14th.
    assert!(text.contains("One in 14 is drawn"));
    let few = panel_map(&map(&mean, &sd, &READINGS)).expect("a good map");
    assert!(!few.contains("is drawn as a dot"));
}

#[test]
fn a_figure_stands_beside_its_dot_where_no_line_crosses_it() {
    let (mean, sd) = fields();
    // 20 mm strips: the figure over this dot would stand on the rim.
    let near_top = [PanelReading {
        u_m: 0.6,
        v_m: 0.765,
        film_um: 112.0,
    }];
    let one = map(&mean, &sd, &near_top);
    let drawn = drawing::Drawn::new(&one);
    let figures = drawn.figures();
    let [area] = figures.as_slice() else {
        panic!("one figure: {figures:?}");
    };
    assert_eq!(drawn.lines_under(*area), 0);
}
