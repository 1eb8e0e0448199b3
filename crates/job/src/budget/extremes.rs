//! Whatever a gauge may show, every number that leaves is a number.
//!
//! Holds: for readings of 20 to 3000 µm, any place, one hand or several.
//! Checked by: itself; it asks the inspection and the budget the same.

use lapwing_measure::quantity::Length;
use proptest::prelude::*;
use uom::si::length::micrometer;

use super::budget;
use crate::inspect::{CarFilm, inspect};
use crate::record::job::{Paint, Panel as JobPanel, Rules};
use crate::record::read::read_job;
use crate::record::readings;

fn job_panel(name: &str, paint: Paint) -> JobPanel {
    let text = "schema = 1\nname = \"t\"\n[car]\nclass = \"estate\"\n[[panel]]\nname = \"roof\"\n";
    let job = read_job("t", text).expect("good").0;
    JobPanel {
        said: None,
        outline_mm: Vec::new(),
        name: name.to_owned(),
        paint,
        removed_before: Length::new::<micrometer>(2.0),
        removed_before_sd: Length::new::<micrometer>(0.5),
        ..job.panels[0].clone()
    }
}

fn is_share(p: Option<f64>) -> bool {
    p.is_none_or(|p| (0.0..=1.0).contains(&p))
}

fn is_sound(um: Option<f64>) -> bool {
    um.is_none_or(f64::is_finite)
}

fn check(table: &str) -> CarFilm {
    let read = readings::read("r.csv", table.as_bytes(), None).expect("sound");
    let car = inspect(&read);
    let gauge = &car.gauge;
    assert!(gauge.repeatability_um > 0.0 && gauge.reading_sd_um.is_finite());
    assert!(is_sound(gauge.drift_um) && is_sound(gauge.operator_sd_um));
    assert!(gauge.words.contains("repeats to") && !car.repaint.words.is_empty());
    assert!(is_sound(car.repaint.factory_um) && is_share(car.repaint.share_frac));
    for film in &car.panels {
        assert!(is_share(film.repaint_probability), "{film:?}");
        assert!(
            film.found.iter().all(|f| is_share(f.probability)),
            "{film:?}"
        );
        assert!(is_sound(film.thin_um) && is_sound(film.sd_um) && is_sound(film.mean_um));
        for paint in [Paint::BaseClear, Paint::SingleStage] {
            let panel = job_panel(&film.name, paint);
            let may_go = budget(&panel, Some(film), gauge.reading_sd_um, &Rules::default());
            assert!(may_go.budget_um.is_none_or(|um| (0.0..=12.7).contains(&um)));
            if let Some(left) = may_go.clear_left {
                assert!(
                    left.lower_95 <= left.mean && left.sd.is_finite(),
                    "{left:?}"
                );
                assert!(left.lower_95 >= 0.0);
            }
        }
    }
    car
}

#[test]
fn one_reading_equal_readings_hidden_and_filler_each_get_an_answer() {
    let head = "panel,thickness_um,place\n";
    let one = check(&format!("{head}roof,110,\n"));
    assert!(one.repaint.words.contains("assumed factory build decides"));
    check(&format!("{head}{}", "roof,110,\n".repeat(6)));
    let hidden = check(&format!("{head}roof,100,hidden\nroof,101,hidden\n"));
    assert!(
        hidden
            .cautions
            .iter()
            .any(|c| c.text.contains("no reading on the open face"))
    );
    check(&format!("{head}roof,3000,\nroof,20,\n"));
    check(&format!(
        "{head}{}",
        "roof,2500,\nbonnet,2500,\ntailgate,2500,\n".repeat(3)
    ));
}

#[test]
fn a_total_the_table_excludes_is_said_in_a_sentence() {
    let car = check("panel,thickness_um\nroof,175\nroof,176\nroof,174\nroof,175\nroof,176\n");
    let panel = job_panel("roof", Paint::BaseClear);
    let mut film = car.panels[0].clone();
    film.is_suspected_repaint = false;
    let may_go = budget(&panel, Some(&film), 1.0, &Rules::default());
    let said = may_go
        .cautions
        .iter()
        .any(|c| c.text.contains("does not fit this panel"));
    assert!(said, "{:?}", may_go.cautions);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_car_gives_numbers(rows in prop::collection::vec(
        (0_usize..4, 20.0_f64..3000.0, 0_usize..6, 0_usize..3, 0_usize..4, 0_usize..3), 1..40,
    )) {
        let panels = ["roof", "bonnet", "left sill", "front bumper"];
        let places = ["", "", "edge", "crease", "hidden", "zero"];
        let hands = ["", "a", "b"];
        let layers = ["", "", "clear"];
        let mut table = String::from("panel,thickness_um,place,operator,spot,layer\nroof,111,,,,\n");
        for (panel, um, place, hand, spot, layer) in rows {
            let is_zero = places[place] == "zero";
            let layer = if is_zero { "" } else { layers[layer] };
            let um = match layer {
                "" if is_zero => um / 100.0,
                "" => um,
                _ => 5.0 + um / 7.0,
            };
            table += &format!("{},{um:.2},{},{},s{spot},{layer}\n", panels[panel], places[place], hands[hand]);
        }
        check(&table);
    }
}
