//! Budgets against the two bulletins (B1 to B4) and the closed form.

use lapwing_measure::quantity::Length;
use uom::si::length::micrometer;

use super::layers::ClearLeft;
use super::*;
use crate::record::read::read_job;

fn shop(in_force: &str) -> Rules {
    let text = format!(
        "schema = 1\nname = \"t\"\n[car]\nclass = \"estate\"\n[rules]\nin_force = [{in_force}]\n[[panel]]\nname = \"roof\"\n"
    );
    read_job("t", &text).expect("good").0.rules
}

fn known_clear(um: f64) -> ClearLeft {
    ClearLeft {
        mean: um,
        sd: 0.0,
        lower_95: um,
        provenance: Provenance::Measured,
    }
}

/// B1 to B3: bulletins 91-282-10 (12.7 µm ever) and 86-10-24 (35.56 µm stay).
#[test]
fn both_bulletins_together_bind_as_printed() {
    let rules = shop("\"removed-ever\", \"clear-left-1986\"");
    for (clear_um, before_um, budget_um, binds) in [
        (50.8, 0.0, 12.70, "removed-ever"),
        (38.1, 0.0, 2.54, "clear-left-1986"),
        (35.1, 3.0, 0.0, "clear-left-1986"),
    ] {
        let clear = known_clear(clear_um);
        let bound = bind(
            film_rules(&rules, &clear, None, before_um),
            Some(clear),
            None,
        );
        let came = bound.budget_um.expect("a budget");
        assert!((came - budget_um).abs() < 0.01, "{clear_um}: {came}");
        assert_eq!(bound.binding_rule.as_deref(), Some(binds));
    }
}

/// B4: a quarter of 50 µm.
#[test]
fn a_quarter_of_fifty_is_twelve_and_a_half() {
    let clear = known_clear(50.0);
    let bound = bind(
        film_rules(&shop("\"quarter-of-clear\""), &clear, None, 0.0),
        Some(clear),
        None,
    );
    assert!((bound.budget_um.expect("a budget") - 12.5).abs() < 1e-9);
}

#[test]
fn a_perfect_gauge_on_a_certain_rest_leaves_the_difference() {
    let prior = LayerPrior {
        clear_um: 45.0,
        clear_sd_um: 5.0,
        rest_um: 70.0,
        rest_sd_um: 0.0,
    };
    let clear = prior.clear_left(Some(108.0), 0.0, 0.0, 0.95);
    assert!((clear.mean - 38.0).abs() < 1e-12 && clear.sd < 1e-9);
}

#[test]
fn no_reading_gives_the_prior_back() {
    let prior = LayerPrior::factory(crate::record::job::Substrate::Steel);
    let clear = prior.clear_left(None, 1.0, 0.0, 0.95);
    assert!((clear.mean - 45.0).abs() < 1e-12);
    assert!((clear.lower_95 - (45.0 - 1.644_853_6 * 5.0)).abs() < 1e-6);
}

#[test]
fn matt_paint_is_left_alone_calmly() {
    let text = "schema = 1\nname = \"t\"\n[car]\nclass = \"estate\"\npaint = \"matt\"\n[[panel]]\nname = \"roof\"\n";
    let job = read_job("t", text).expect("good").0;
    let b = budget(&job.panels[0], None, 1.0, &job.rules);
    assert_eq!(b.verdict, FilmVerdict::Leave);
    assert_eq!(b.length(), None::<Length>);
}

#[test]
fn film_removed_before_is_debited() {
    let text = "schema = 1\nname = \"t\"\n[car]\nclass = \"estate\"\n[[panel]]\nname = \"front bumper\"\nremoved_before = \"3 um\"\n";
    let job = read_job("t", text).expect("good").0;
    assert!((job.panels[0].removed_before.get::<micrometer>() - 3.0).abs() < 1e-12);
    let with = budget(&job.panels[0], None, 1.0, &job.rules);
    let mut fresh = job.panels[0].clone();
    fresh.removed_before = Length::new::<micrometer>(0.0);
    let without = budget(&fresh, None, 1.0, &job.rules);
    assert!(with.budget_um < without.budget_um);
}

#[test]
fn hidden_places_far_over_the_face_say_how_much_seems_gone_or_another_build() {
    let said = |hidden_um: f64| {
        let film = PanelFilm {
            name: "roof".to_owned(),
            count: 5,
            mean_um: Some(111.0),
            median_um: Some(111.0),
            sd_um: Some(1.0),
            spots: 3,
            thin_um: Some(106.0),
            hidden_um: Some(hidden_um),
            ..PanelFilm::default()
        };
        let text =
            "schema = 1\nname = \"t\"\n[car]\nclass = \"estate\"\n[[panel]]\nname = \"roof\"\n";
        let (job, _) = read_job("t", text).expect("good");
        let found = budget(&job.panels[0], Some(&film), 1.0, &job.rules);
        found
            .cautions
            .iter()
            .map(|c| c.text.clone())
            .collect::<String>()
    };
    let far = said(161.0);
    assert!(far.contains("about 50 µm seem to be gone"), "{far}");
    assert!(
        far.contains("161") && far.contains("another build"),
        "{far}"
    );
    assert!(!said(112.0).contains("Hidden"), "{}", said(112.0));
    let near = said(123.0);
    assert!(!near.contains("another build"), "{near}");
}

// Thick single-stage paint is suspected of a repaint as base and clear is.
#[test]
fn a_suspected_repaint_is_left_in_single_stage_paint_too() {
    for paint in ["single-stage", "base-clear"] {
        let text = format!(
            "schema = 1\nname = \"t\"\n[car]\nclass = \"pick-up\"\npaint = \"{paint}\"\n[[panel]]\nname = \"roof\"\n"
        );
        let job = read_job("t", &text).expect("good").0;
        let film = |is_suspected_repaint| PanelFilm {
            median_um: Some(307.0),
            thin_um: Some(290.0),
            is_suspected_repaint,
            ..PanelFilm::default()
        };
        let may_go = |film: &PanelFilm| budget(&job.panels[0], Some(film), 1.0, &job.rules);
        let left = may_go(&film(true));
        assert_eq!(left.verdict, FilmVerdict::Leave, "{paint}");
        assert_eq!(left.said.sentence, Sentence::PaintedBefore);
        assert_eq!(may_go(&film(false)).verdict, FilmVerdict::Polish);
    }
}

// What a person saw at the walk-round weighs as much as a thick reading.
#[test]
fn a_panel_marked_as_repainted_at_the_walk_round_is_left_with_that_reason() {
    let text = "schema = 1\nname = \"t\"\n[car]\nclass = \"saloon\"\n[[panel]]\nname = \"hood\"\n[[panel]]\nname = \"roof\"\n[[mark]]\npanel = \"bonnet\"\nkind = \"repaint\"\n[[mark]]\npanel = \"roof\"\nkind = \"scratch\"\n";
    let job = read_job("t", text).expect("good").0;
    let film = PanelFilm {
        median_um: Some(118.0),
        thin_um: Some(112.0),
        ..PanelFilm::default()
    };
    let may_go = |at: usize| budget(&job.panels[at], Some(&film), 1.0, &job.rules);
    assert_eq!(may_go(0).verdict, FilmVerdict::Leave);
    assert!(
        may_go(0)
            .reason
            .starts_with("Marked as repainted at the walk-round")
    );
    assert_eq!(may_go(1).verdict, FilmVerdict::Polish);
    let read_layers = PanelFilm {
        top_layer: Some(crate::inspect::LayerRead {
            mean_um: 60.0,
            sd_um: 1.0,
            count: 5,
        }),
        ..film.clone()
    };
    let known = budget(&job.panels[0], Some(&read_layers), 1.0, &job.rules);
    assert_eq!(known.verdict, FilmVerdict::Polish, "its layer was read");
}
