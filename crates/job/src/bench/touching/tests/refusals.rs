//! What the bench refuses of pad, panel, hand and product: the key, what came,
//! what is allowed and why.

use super::Keys;

#[test]
fn contradictions_name_both_keys() {
    for (keys, expected) in [
        (
            Keys {
                touch: "eccentricity = 0.1\ntilt = \"1 deg\"",
                ..Keys::default()
            },
            ["touch.eccentricity and touch.tilt contradict"].as_slice(),
        ),
        (
            Keys {
                touch: "moment = \"1 N m\"\neccentricity = 0.1",
                ..Keys::default()
            },
            &["touch.moment and touch.eccentricity contradict"],
        ),
        (
            Keys {
                touch: "hold = \"free\"\ntilt = \"1 deg\"",
                ..Keys::default()
            },
            &["touch.hold = \"free\" and touch.tilt contradict"],
        ),
        (
            Keys {
                touch: "hold = \"level\"\nmoment = \"1 N m\"",
                ..Keys::default()
            },
            &["touch.hold = \"level\" and touch.moment contradict"],
        ),
        (
            Keys {
                panel: "radius = [\"2 m\", \"1 m\"]\nradius_y = \"1 m\"",
                ..Keys::default()
            },
            &["panel.radius and panel.radius_y contradict"],
        ),
        (
            Keys {
                abrasive: "breakdown = \"none\"\nfloor_share = 0.3",
                ..Keys::default()
            },
            &["abrasive.breakdown = \"none\" and abrasive.floor_share contradict"],
        ),
    ] {
        let sentence = keys.refused();
        assert!(
            expected.iter().all(|part| sentence.contains(part)),
            "{sentence}"
        );
    }
}

/// Each refusal names the key, what came, what is allowed and why.
fn refused_with(keys: Keys<'_>, parts: &str) {
    let sentence = keys.refused();
    for part in parts.split('|') {
        assert!(sentence.contains(part), "{sentence}\nmisses {part}");
    }
    assert!(sentence.contains("line "), "{sentence}");
}

#[test]
fn a_panel_out_of_range_names_key_value_range_and_reason() {
    let crease = |keys: &str| format!("[[panel.crease]]\nalong = \"x\"\n{keys}");
    let (far, sharp, folded) = (
        crease("at = \"0.9 m\"\nradius = \"5 mm\""),
        crease("at = \"0.1 m\"\nradius = \"0 mm\""),
        crease("at = \"0.1 m\"\nradius = \"5 mm\"\nfold = \"170 deg\""),
    );
    for (panel, parts) in [
        (
            far.as_str(),
            "panel.crease.at|\"0.9 m\"|0 to 400 mm|because",
        ),
        (
            &sharp,
            "panel.crease.radius|\"0 mm\"|0.5 to 2000 mm|because",
        ),
        (&folded, "panel.crease.fold|\"170 deg\"|0 to 90 deg|because"),
        (
            "radius = [\"1 mm\", \"flat\"]",
            "panel.radius|\"1 mm\"|0.05 to 100000 m|because",
        ),
        (
            "radius = [\"60 mm\", \"flat\"]",
            "panel.radius|60 mm|at least the pad's radius, 62 mm|because",
        ),
        (
            "radius = [\"2 m\"]",
            "panel.radius|1 lengths|give two|\"flat\"",
        ),
        (
            "free_edges = [\"top\"]",
            "panel.free_edges|\"top\"|left, right, near, far|not known",
        ),
        (
            "free_edges = [\"left\", \"left\"]",
            "panel.free_edges|\"left\"|twice|once",
        ),
    ] {
        refused_with(
            Keys {
                panel,
                ..Keys::default()
            },
            parts,
        );
    }
}

#[test]
fn a_pad_or_touch_out_of_range_names_key_value_range_and_reason() {
    for (pad, parts) in [
        (
            "class = \"sponge\"",
            "pad.class|\"sponge\"|foam-cutting|not known",
        ),
        (
            "sections_since_clean = -1",
            "pad.sections_since_clean|-1|0 to 100|because",
        ),
        (
            "cut_loss_per_section = 1.5",
            "pad.cut_loss_per_section|1.5|0 to 0.9|of what is left",
        ),
        (
            "friction_gain_per_section = nan",
            "pad.friction_gain_per_section|NaN|0 to 1|of what there is",
        ),
    ] {
        refused_with(
            Keys {
                pad,
                ..Keys::default()
            },
            parts,
        );
    }
    for (touch, parts) in [
        (
            "tilt = \"30 deg\"",
            "touch.tilt|\"30 deg\"|0 to 25 deg|because",
        ),
        (
            "moment = \"90 N m\"",
            "touch.moment|\"90 N m\"|0 to 50 N m|because",
        ),
        (
            "hold = \"loose\"",
            "touch.hold|\"loose\"|level, free|not known",
        ),
    ] {
        refused_with(
            Keys {
                touch,
                ..Keys::default()
            },
            parts,
        );
    }
}

#[test]
fn an_abrasive_or_finish_out_of_range_names_key_value_range_and_reason() {
    for (abrasive, parts) in [
        (
            "friction_share = 1.2",
            "abrasive.friction_share|1.2|0 to 1|because",
        ),
        (
            "friction_share = \"greasy\"",
            "abrasive.friction_share|\"greasy\"|wet, usual, dry|because",
        ),
        ("floor_share = 2.0", "abrasive.floor_share|2|0 to 1|fresh"),
        (
            "breakdown_work = \"0 J\"",
            "abrasive.breakdown_work|\"0 J\"|1 to 1000000000 J|because",
        ),
        ("charges = 0", "abrasive.charges|0|1 to 100|because"),
    ] {
        refused_with(
            Keys {
                abrasive,
                ..Keys::default()
            },
            parts,
        );
    }
    for (more, parts) in [
        (
            "[finish]\nroughness = \"2 um\"",
            "finish.roughness|\"2 um\"|0 to 500 nm|because",
        ),
        (
            "[finish]\nrefractive_index = 1.0",
            "finish.refractive_index|1|1.3 to 2|clear coat",
        ),
        (
            "[[probe]]\nx = \"0.6 m\"\ny = \"0.1 m\"",
            "probe.x|\"0.6 m\"|0 to 0.5 m|because",
        ),
    ] {
        refused_with(
            Keys {
                more,
                ..Keys::default()
            },
            parts,
        );
    }
}

#[test]
fn a_pad_that_never_touches_and_a_pad_that_tips_are_refused_with_a_sentence() {
    let beside = Keys {
        panel: "free_edges = [\"left\", \"right\", \"near\", \"far\"]",
        stroke: "pattern = \"line\"\narm_speed = \"50 mm/s\"",
        touch: "hold = \"free\"",
        ..Keys::default()
    };
    assert!(beside.worked().removal.max_um > 0.0);
    let tips = Keys {
        stroke: "pattern = \"line\"\narm_speed = \"50 mm/s\"\nmargin = \"-20 mm\"",
        ..beside
    };
    assert!(tips.refused().contains("tips over"), "{}", tips.refused());
}

#[test]
fn a_moment_too_large_for_force_and_pad_is_told_by_its_key() {
    // 3 N m over 40 N and 62.5 mm is 1.2 pad radii.
    let keys = Keys {
        touch: "moment = \"3 N m\"",
        ..Keys::default()
    };
    let sentence = keys.refused();
    for part in [
        "touch.moment: ",
        "eccentricity of 1.2 ",
        "allowed is",
        "smaller moment",
    ] {
        assert!(sentence.contains(part), "{sentence}\nmisses {part}");
    }
}
