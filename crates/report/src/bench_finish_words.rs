//! What the terminal says of edges, product, pad and finish of a pass.
//!
//! Law: none; finished numbers are put into words. "Little" and "high" risk of
//! holograms part at 15 % and 40 % of the scratches lying one way; assumed.
//! Left out: gloss at 85°, which is for matt paint; the JSON has it.
//! Checked by: the tests below.

use lapwing_job::bench::BenchResult;

use crate::bench_measures::Kind;

/// A name and what is said under it.
type Line = (&'static str, String);

/// Risk below which little is said, and above which it is called high.
const LITTLE_FRAC: f64 = 0.15;
const HIGH_FRAC: f64 = 0.4;
/// Most probes that are told.
const MOST_PROBES: usize = 12;

/// Everything this page says, in the order of the answer.
pub(crate) fn lines(result: &BenchResult) -> Vec<Line> {
    let mut lines = probes(result);
    lines.extend(hardest(result));
    lines.extend(product(result));
    lines.extend(pad(result));
    lines.extend(finish(result));
    lines
}

fn probes(result: &BenchResult) -> Vec<Line> {
    let place = |m: f64| Kind::Place.told(m, result.units);
    result
        .probes
        .iter()
        .take(MOST_PROBES)
        .enumerate()
        .map(|(index, probe)| {
            let name = if index == 0 { "Probes" } else { "" };
            let warm = |k: f64| Kind::Warmth.told(k, result.units);
            let deep = if probe.depth_um > 0.0 {
                format!(
                    ", {} of it {} down",
                    warm(probe.depth_end_rise_k),
                    place(probe.depth_um * 1e-6)
                )
            } else {
                String::new()
            };
            let words = format!(
                "{} at {} from the left, {} from below; at the end {} warmer{deep}",
                Kind::Depth.told(probe.removal_um, result.units),
                place(probe.x_m),
                place(probe.y_m),
                warm(probe.end_rise_k)
            );
            (name, words)
        })
        .collect()
}

/// Where the pad presses hardest, when that is not the same all over.
fn hardest(result: &BenchResult) -> Option<Line> {
    let pressure = &result.pressure;
    if result.along_path.len() < 2 || pressure.mean_kpa <= 0.0 {
        return None;
    }
    let harder = pressure.max_kpa / pressure.mean_kpa;
    Some((
        "Hardest",
        format!(
            "{harder:.1} times the mean, with the machine at {} from the left, {} from below",
            Kind::Place.told(pressure.x_m, result.units),
            Kind::Place.told(pressure.y_m, result.units)
        ),
    ))
}

fn product(result: &BenchResult) -> Option<Line> {
    let life = &result.abrasive;
    if life.breakdown == "none" || life.first_cut_rate_per_pa <= 0.0 {
        return None;
    }
    let share = |rate: f64| 100.0 * rate / life.first_cut_rate_per_pa;
    let charges = match life.charges {
        1 => "one charge of product".to_owned(),
        count => format!("{count} charges of product"),
    };
    Some((
        "Product",
        format!(
            "{charges}: cuts {:.0} % of fresh on average, {:.0} % where a charge ends",
            share(life.mean_cut_rate_per_pa),
            share(life.last_cut_rate_per_pa)
        ),
    ))
}

fn pad(result: &BenchResult) -> Option<Line> {
    let life = &result.abrasive;
    let is_clean = life.loaded_cut_frac >= 1.0 && life.loaded_friction_frac <= 1.0;
    (!is_clean).then(|| {
        (
            "Pad",
            format!(
                "loaded: cuts {:.0} % and rubs {:.0} % of a clean one",
                100.0 * life.loaded_cut_frac,
                100.0 * life.loaded_friction_frac
            ),
        )
    })
}

fn finish(result: &BenchResult) -> Vec<Line> {
    let finish = &result.finish;
    if let Some(why) = &finish.not_stated {
        return vec![("Leaves", why.clone())];
    }
    let number = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |v| format!("{v:.0}"));
    let haze = finish.haze_hu.map_or_else(
        || "too dull for haze".to_owned(),
        |hu| format!("haze {hu:.0} HU"),
    );
    let assumed = finish
        .provenance
        .iter()
        .any(|o| o.key == "finish.roughness_nm" && o.provenance.word() == "assumed");
    let mark = if assumed {
        ", assumed from the classes"
    } else {
        ""
    };
    let gloss = format!(
        "gloss {} GU at 20° ({} to {}), {} GU at 60°, {haze}; roughness {} nm{mark}",
        number(finish.gloss_20_gu),
        number(finish.gloss_20_lower_gu),
        number(finish.gloss_20_upper_gu),
        number(finish.gloss_60_gu),
        number(finish.roughness_nm)
    );
    let mut lines = vec![("Leaves", gloss)];
    lines.extend(finish.hologram_risk_frac.map(holograms));
    lines
}

fn holograms(risk_frac: f64) -> Line {
    let way = if risk_frac < LITTLE_FRAC {
        "scratches lie every way: little risk of holograms"
    } else if risk_frac < HIGH_FRAC {
        "scratches lean one way: some risk of holograms"
    } else {
        "scratches lie one way: high risk of holograms"
    };
    ("", format!("{way} ({:.0} %)", 100.0 * risk_frac))
}

#[cfg(test)]
mod tests {
    use super::*;
    use lapwing_job::bench::{HeatWatch, bench, read_setup};

    fn said(more: &str, abrasive: &str) -> String {
        let text = format!(
            "[panel]\nsize = [\"0.3 m\", \"0.3 m\"]\nfree_edges = [\"left\"]\nconvection_outside = \"10 W/m2K\"\n\
             convection_inside = \"5 W/m2K\"\n[machine]\nkind = \"rotary\"\nspeed = \"1500 rpm\"\n[pad]\n\
             diameter = \"125 mm\"\nsections_since_clean = 2\n[touch]\nforce = \"40 N\"\n[abrasive]\n{abrasive}\n[stroke]\n\
             pattern = \"line\"\nmargin = \"30 mm\"\narm_speed = \"100 mm/s\"\n[heat]\ndetail = \"quick\"\n{more}"
        );
        let setup = read_setup("s.toml", &text, &|_| Err(String::new())).expect("good");
        let result = bench(&setup, HeatWatch::default()).expect("works");
        lines(&result)
            .into_iter()
            .map(|(name, words)| format!("{name}: {words}\n"))
            .collect()
    }

    #[test]
    fn edge_product_pad_and_finish_are_told_in_plain_words() {
        let told = said(
            "[[probe]]\nx = \"0.15 m\"\ny = \"0.15 m\"\n",
            "breakdown = \"diminishing\"\ncharges = 2",
        );
        for part in [
            "at 150 mm from the left, 150 mm from below",
            "times the mean, with the machine at",
            "2 charges of product: cuts",
            "loaded: cuts 90 % and rubs 110 % of a clean one",
            "GU at 20°",
            "assumed from the classes",
            "risk of holograms",
        ] {
            assert!(told.contains(part), "{part} is missing:\n{told}");
        }
    }

    #[test]
    fn a_constant_abrasive_is_not_spoken_of() {
        let told = said("", "cut_rate = \"heavy\"");
        assert!(
            !told.contains("charge") && !told.contains("Probes"),
            "{told}"
        );
    }
}
