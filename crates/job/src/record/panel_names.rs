//! What a panel is called in the UK, the US and in German, and where it sits on
//! the car.
//!
//! One name is ours inside (`front-wing-left`); every usual spelling of it is
//! understood on input, written in one word or several, with ü or ue. Left and
//! right are as seated.
//! Source: trade names, common practice; visibility zones A (lying), B
//! (upright, upper) and C (the rest) after [`Source::SpotRepairZones`].
//! Holds: for cars, pick-ups and vans. A name that is none of these is kept
//! as written and counts as zone C, of which least is wished; the film that may
//! go does not hang on the zone. A door without its side keeps its zone.
//! Checked by: the unit tests below.

use lapwing_measure::Source;
use serde::Serialize;

/// Source of the zones.
pub const ZONES_SOURCE: Source = Source::SpotRepairZones;

/// Visibility zone: A lying surfaces, B upright upper half, C the rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Zone {
    /// Lying surfaces: bonnet, roof, lid.
    A,
    /// Upright surfaces from the glass down to half height.
    B,
    /// Everything else.
    C,
}

impl Zone {
    /// The letter.
    #[must_use]
    pub fn letter(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
        }
    }
}

const SYNONYMS: &[(&str, &[&str])] = &[
    ("bonnet", &["hood", "motorhaube", "haube"]),
    ("roof", &["roof-panel", "roof-skin", "dach", "dachhaut"]),
    (
        "tailgate",
        &["liftgate", "hatch", "rear-hatch", "heckklappe"],
    ),
    (
        "boot-lid",
        &[
            "boot",
            "trunk",
            "trunk-lid",
            "decklid",
            "kofferraum",
            "kofferraumdeckel",
            "kofferraumklappe",
            "kofferdeckel",
            "heckdeckel",
        ],
    ),
    (
        "front-bumper",
        &[
            "front-bumper-cover",
            "front-fascia",
            "front-stoßstange",
            "front-stoßfänger",
        ],
    ),
    (
        "rear-bumper",
        &[
            "rear-bumper-cover",
            "rear-fascia",
            "rear-stoßstange",
            "rear-stoßfänger",
            "heckstoßstange",
        ],
    ),
    (
        "front-wing",
        &[
            "wing",
            "fender",
            "front-fender",
            "kotflügel",
            "front-kotflügel",
        ],
    ),
    ("front-door", &["front-tür", "vordertür"]),
    ("rear-door", &["rear-tür", "hintertür", "fondtür"]),
    (
        "quarter",
        &[
            "quarter-panel",
            "rear-quarter",
            "rear-quarter-panel",
            "rear-wing",
            "rear-fender",
            "rear-kotflügel",
            "seitenteil",
            "rear-seitenteil",
        ],
    ),
    (
        "sill",
        &[
            "rocker",
            "rocker-panel",
            "side-skirt",
            "outer-sill",
            "schweller",
            "seitenschweller",
        ],
    ),
    (
        "pillars-cant-rail",
        &[
            "pillars",
            "cant-rail",
            "roof-rail",
            "pillar",
            "säulen",
            "dachrahmen",
        ],
    ),
    (
        "mirror",
        &[
            "mirror-cap",
            "mirror-cover",
            "door-mirror",
            "wing-mirror",
            "side-mirror",
            "spiegel",
            "außenspiegel",
            "spiegelkappe",
        ],
    ),
    ("side", &["side-panel", "van-side"]),
    ("bed-side", &[]),
    ("load-door", &["cargo-door", "rear-load-door"]),
    ("spoiler", &["heckspoiler"]),
];

/// Words that name two panels: which they may be.
const EITHER: &[(&[&str], [&str; 2])] = &[
    (&["door", "tür"], ["front-door", "rear-door"]),
    (
        &["bumper", "fascia", "stoßstange", "stoßfänger"],
        ["front-bumper", "rear-bumper"],
    ),
];

const SIDED: &[&str] = &[
    "front-wing",
    "front-door",
    "rear-door",
    "quarter",
    "sill",
    "pillars-cant-rail",
    "mirror",
    "side",
    "bed-side",
    "load-door",
];

/// Our name for a panel as people write it, or `None` if it is not a name of
/// the trade we know ("L F fender" becomes `front-wing-left`).
#[must_use]
pub fn canonical(written: &str) -> Option<String> {
    let (words, side) = words_and_side(written);
    let base = base_of(&words)?;
    match (SIDED.contains(&base), side) {
        (true, Some(side)) => Some(format!("{base}-{side}")),
        (false, None) => Some(base.to_owned()),
        _ => None,
    }
}

/// The name a panel goes by: ours where the trade knows it, if need be without
/// the side that is missing, else as written in lower case with dashes.
#[must_use]
pub fn name_of(written: &str) -> String {
    let without_side = || {
        let (words, side) = words_and_side(written);
        let base = base_of(&words).filter(|b| side.is_none() && SIDED.contains(b));
        base.map(str::to_owned)
    };
    canonical(written).or_else(without_side).unwrap_or_else(|| {
        let lower = written.to_lowercase();
        let words: Vec<&str> = lower
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .collect();
        words.join("-")
    })
}

/// The words of a name joined with dashes, front or rear first, and its side.
fn words_and_side(written: &str) -> (String, Option<&'static str>) {
    let cleaned: String = written
        .trim()
        .to_lowercase()
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { ' ' })
        .collect();
    let mut side = None;
    let mut words: Vec<&str> = Vec::new();
    for word in cleaned.split_whitespace().filter(|word| *word != "and") {
        match word {
            "left" | "l" | "lh" | "nearside" | "links" | "linke" | "linker" | "linkes" => {
                side = Some("left");
            }
            "right" | "r" | "rh" | "offside" | "rechts" | "rechte" | "rechter" | "rechtes" => {
                side = Some("right");
            }
            "lf" | "vl" => (side, words) = (Some("left"), with_front(words, "front")),
            "rf" | "vr" => (side, words) = (Some("right"), with_front(words, "front")),
            "lr" | "hl" => (side, words) = (Some("left"), with_front(words, "rear")),
            "rr" | "hr" => (side, words) = (Some("right"), with_front(words, "rear")),
            "vorn" | "vorne" | "vordere" | "vorderer" => words = with_front(words, "front"),
            "hinten" | "hintere" | "hinterer" | "hinteres" => words = with_front(words, "rear"),
            "f" => words.push("front"),
            other => words.push(other),
        }
    }
    (words.join("-"), side)
}

/// The panel that words name, without a side.
fn base_of(words: &str) -> Option<&'static str> {
    let wanted = plain(words);
    let found = SYNONYMS.iter().find(|(name, others)| {
        plain(name) == wanted || others.iter().any(|other| plain(other) == wanted)
    })?;
    Some(found.0)
}

/// Without dashes, and ü as ue: "boot-lid" and "bootlid" are one word.
fn plain(words: &str) -> String {
    words
        .replace('-', "")
        .replace('ä', "ae")
        .replace('ö', "oe")
        .replace('ü', "ue")
        .replace('ß', "ss")
}

/// The panel a name nearly is: within two letters of a usual spelling, or a
/// sided panel whose side is missing. `None` for names that are right, and for
/// names like nothing we know.
#[must_use]
pub fn nearly(written: &str) -> Option<String> {
    if canonical(written).is_some() {
        return None;
    }
    let (words, side) = words_and_side(written);
    let base = base_of(&words).unwrap_or(&words);
    let with_side = |panel: &str| match (SIDED.contains(&panel), side) {
        (true, Some(side)) => format!("{panel}-{side}"),
        _ => panel.to_owned(),
    };
    let either = EITHER
        .iter()
        .find(|(words, _)| words.iter().any(|word| plain(word) == plain(base)));
    if let Some((_, [front, rear])) = either {
        return Some(format!("{} or {}", with_side(front), with_side(rear)));
    }
    let mut best: Option<(usize, String)> = None;
    for (ours, others) in SYNONYMS {
        for spelling in std::iter::once(ours).chain(*others) {
            let off = strsim::damerau_levenshtein(spelling, base);
            let allowed = if base.len() < 5 { 1 } else { 2 };
            let is_nearest = best.as_ref().is_none_or(|(known, _)| off < *known);
            if off <= allowed && is_nearest {
                let meant = match (SIDED.contains(ours), side) {
                    (true, Some(side)) => format!("{spelling}-{side}"),
                    (true, None) => format!("{spelling}-left or {spelling}-right"),
                    (false, _) => (*spelling).to_owned(),
                };
                best = Some((off, meant));
            }
        }
    }
    best.map(|(_, meant)| meant)
}

fn with_front<'a>(mut words: Vec<&'a str>, end: &'a str) -> Vec<&'a str> {
    words.insert(0, end);
    words
}

/// The name without its side, and the side.
#[must_use]
pub fn stem(name: &str) -> (&str, Option<&str>) {
    for side in ["left", "right"] {
        if let Some(base) = name.strip_suffix(side).and_then(|b| b.strip_suffix('-')) {
            return (base, Some(side));
        }
    }
    (name, None)
}

/// A name for people: "Left front wing".
#[must_use]
pub fn spoken(name: &str) -> String {
    let (base, side) = stem(name);
    let base = match base {
        "pillars-cant-rail" => "pillars and cant rail".to_owned(),
        other => other.replace('-', " "),
    };
    let whole = match side {
        Some(side) => format!("{side} {base}"),
        None => base,
    };
    capital(&whole)
}

/// The user's own word for a panel, with a capital, where it has other words
/// than ours: "Hood" for `bonnet`; `None` for "left front wing".
#[must_use]
pub fn own_word(name: &str, written: &str) -> Option<String> {
    let words_of = |text: &str| {
        let lower = text.to_lowercase();
        let mut words: Vec<String> = lower
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect();
        words.sort();
        words
    };
    (words_of(name) != words_of(written)).then(|| capital(written.trim()))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + letters.as_str()
    })
}

/// The usual visibility zone of a panel.
#[must_use]
pub fn zone(name: &str) -> Zone {
    match stem(name).0 {
        "bonnet" | "roof" | "boot-lid" => Zone::A,
        "front-wing" | "front-door" | "rear-door" | "quarter" | "tailgate"
        | "pillars-cant-rail" | "mirror" | "side" | "bed-side" | "load-door" => Zone::B,
        _ => Zone::C,
    }
}

/// Whether the panel lies (heat rises off its top) rather than stands.
#[must_use]
pub fn is_lying(name: &str) -> bool {
    zone(name) == Zone::A
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn uk_and_us_names_are_one_panel() {
        for written in [
            "Left front wing",
            "front-wing-left",
            "LF fender",
            "fender (left)",
        ] {
            assert_eq!(
                canonical(written).as_deref(),
                Some("front-wing-left"),
                "{written}"
            );
        }
        assert_eq!(canonical("Hood").as_deref(), Some("bonnet"));
        assert_eq!(canonical("trunk lid").as_deref(), Some("boot-lid"));
    }

    #[test]
    fn one_word_or_two_and_german_names_are_one_panel() {
        for (written, ours) in [
            ("bootlid", "boot-lid"),
            ("Boot Lid", "boot-lid"),
            ("trunk", "boot-lid"),
            ("Kofferraum", "boot-lid"),
            ("Motorhaube", "bonnet"),
            ("Dach", "roof"),
            ("Kotflügel vorne links", "front-wing-left"),
            ("Kotfluegel VR", "front-wing-right"),
            ("Tür hinten rechts", "rear-door-right"),
            ("Linke Vordertür", "front-door-left"),
            ("Stoßstange vorn", "front-bumper"),
            ("Heckklappe", "tailgate"),
        ] {
            assert_eq!(canonical(written).as_deref(), Some(ours), "{written}");
        }
        for (name, others) in SYNONYMS {
            for word in others.iter().chain([name]) {
                assert_eq!(base_of(word), Some(*name), "{word} names two panels");
            }
        }
    }

    #[test]
    fn a_side_that_is_missing_costs_a_panel_neither_its_zone_nor_its_name() {
        assert_eq!(name_of("fender"), "front-wing");
        assert_eq!(zone(&name_of("Kotflügel")), Zone::B);
        assert_eq!(
            nearly("fender").as_deref(),
            Some("front-wing-left or front-wing-right")
        );
        assert_eq!(
            nearly("Tür links").as_deref(),
            Some("front-door-left or rear-door-left")
        );
    }

    #[test]
    fn a_door_without_a_side_or_a_made_up_name_is_unknown() {
        assert_eq!(canonical("front door"), None);
        assert_eq!(canonical("left roof"), None);
        assert_eq!(canonical("gearbox"), None);
    }

    #[test]
    fn a_slip_of_the_pen_is_guessed_and_an_own_name_is_left() {
        assert_eq!(nearly("bonet").as_deref(), Some("bonnet"));
        assert_eq!(nearly("frnt door left").as_deref(), Some("front-door-left"));
        assert_eq!(
            nearly("front door").as_deref(),
            Some("front-door-left or front-door-right")
        );
        for right in ["bonnet", "LF fender", "spare wheel cover", "gearbox"] {
            assert_eq!(nearly(right), None, "{right}");
        }
    }

    #[test]
    fn the_users_own_word_is_kept() {
        assert_eq!(own_word("bonnet", "hood").as_deref(), Some("Hood"));
        assert_eq!(own_word("front-wing-left", "Left front wing"), None);
    }

    #[test]
    fn every_name_that_is_spoken_is_understood_again() {
        for (base, _) in SYNONYMS {
            let sides: &[&str] = if SIDED.contains(base) {
                &["-left", "-right"]
            } else {
                &[""]
            };
            for side in sides {
                let ours = format!("{base}{side}");
                assert_eq!(canonical(&spoken(&ours)).as_deref(), Some(&*ours));
            }
        }
        assert_eq!(
            canonical("Left pillars and cant rail").as_deref(),
            Some("pillars-cant-rail-left")
        );
    }

    #[test]
    fn spoken_names_read_like_speech() {
        assert_eq!(spoken("front-wing-left"), "Left front wing");
        assert_eq!(spoken("roof"), "Roof");
    }
}
