//! What panels, rules, steps and materials are called.
//!
//! A panel is known by its own name inside (`front-wing-left`), a rule by the
//! name it has in the job file; words of the user's own stay as they are.
//! Checked by: the tests of the catalogue and those below.

use super::{Message, catalogue};

catalogue! {
    BONNET: "Bonnet", "Motorhaube";
    ROOF: "Roof", "Dach";
    TAILGATE: "Tailgate", "Heckklappe";
    BOOT_LID: "Boot lid", "Kofferdeckel";
    FRONT_BUMPER: "Front bumper", "Stoßfänger vorn";
    REAR_BUMPER: "Rear bumper", "Stoßfänger hinten";
    SPOILER: "Spoiler", "Spoiler";
    FRONT_WING: "front wing", "Kotflügel";
    FRONT_DOOR: "front door", "Tür vorn";
    REAR_DOOR: "rear door", "Tür hinten";
    QUARTER: "quarter", "Seitenteil";
    SILL: "sill", "Schweller";
    PILLARS: "pillars and cant rail", "Säulen, Dachholm";
    MIRROR: "mirror", "Spiegel";
    SIDE: "side", "Seitenwand";
    SIDE_PANEL: "side panel", "Seitenwand";
    LOAD_DOOR: "load door", "Hecktür";
    BED_SIDE: "bed side", "Ladebordwand";
    US_BONNET: "Hood", "Motorhaube";
    US_TAILGATE: "Liftgate", "Heckklappe";
    US_BOOT_LID: "Trunk lid", "Kofferdeckel";
    US_FRONT_WING: "front fender", "Kotflügel";
    US_QUARTER: "quarter panel", "Seitenteil";
    US_SILL: "rocker panel", "Schweller";
    LEFT: "Left {0}", "{0} links";
    RIGHT: "Right {0}", "{0} rechts";
    R_REMOVED: "film removed ever", "Abtrag insgesamt";
    R_CLEAR: "clear that must stay", "Klarlack, der bleiben muss";
    R_CLEAR_1986: "clear that must stay, 1986", "Klarlack, der bleiben muss, 1986";
    R_QUARTER: "a quarter of the clear", "ein Viertel des Klarlacks";
    R_BANDS: "bands of the whole film", "Stufen der Gesamtschicht";
    R_TOP: "half of the top coat", "Hälfte des Decklacks";
    CUT: "cut", "Schleifpolieren";
    POLISH: "polish", "Polieren";
    FINISH: "finish", "Finish";
    STEP: "{0}: {1}, {2}, {3}, {4}; {5} passes at {6}", "{0}: {1}, {2}, {3}, {4}; {5} Durchgänge mit {6}";
    CLOTHS: "cloths", "Tücher";
    CLAY: "clay", "Knete";
    WIPE: "panel wipe", "Entfetter";
    TAPE: "masking tape", "Abklebeband";
    COATING: "coating", "Beschichtung";
    WATER: "water", "Wasser";
    LABOUR: "labour", "Arbeit";
    OVERHEAD: "overhead", "Gemeinkosten";
    MATERIALS: "materials", "Material";
    CONTINGENCY: "contingency", "Unvorhergesehenes";
    PIECE: "piece", "Stück";
    PIECES: "pieces", "Stück";
    AT_CAR: "Car", "Wagen";
    AT_AREAS: "Areas", "Flächen";
    AT_PRICES: "Prices", "Preise";
    AT_HEAT: "Heat", "Wärme";
    AT_PEOPLE: "People", "Leute";
    AT_GAUGE: "Gauge", "Messgerät";
    AT_KIT: "Kit", "Ausrüstung";
    AT_READINGS: "Readings", "Messwerte";
    AT_ZERO: "Zero check", "Nullprobe";
    AT_PHOTO: "Photo", "Foto";
    AT_BELIEF: "What was believed", "Annahmen";
    AT_TIME: "Time", "Zeit";
    AT_MACHINE: "Machine", "Maschine";
    AT_REMOVAL: "Removal", "Abtrag";
    AT_PAD: "Pad", "Pad";
    AT_TOUCH: "Touch", "Auflage";
}

/// A panel without its side.
pub(crate) fn panel(stem: &str) -> Option<Message> {
    Some(match stem {
        "bonnet" => BONNET,
        "roof" => ROOF,
        "tailgate" => TAILGATE,
        "boot-lid" => BOOT_LID,
        "front-bumper" => FRONT_BUMPER,
        "rear-bumper" => REAR_BUMPER,
        "spoiler" => SPOILER,
        "front-wing" => FRONT_WING,
        "front-door" => FRONT_DOOR,
        "rear-door" => REAR_DOOR,
        "quarter" => QUARTER,
        "sill" => SILL,
        "pillars-cant-rail" => PILLARS,
        "mirror" => MIRROR,
        "side" => SIDE,
        "side-panel" => SIDE_PANEL,
        "load-door" => LOAD_DOOR,
        "bed-side" => BED_SIDE,
        _ => return None,
    })
}

/// The same as it is called where US customary units are used.
pub(crate) fn us_panel(stem: &str) -> Option<Message> {
    Some(match stem {
        "bonnet" => US_BONNET,
        "tailgate" => US_TAILGATE,
        "boot-lid" => US_BOOT_LID,
        "front-wing" => US_FRONT_WING,
        "quarter" => US_QUARTER,
        "sill" => US_SILL,
        _ => return None,
    })
}

/// A film rule by its name in the job file.
pub(crate) fn rule(name: &str) -> Option<Message> {
    Some(match name {
        "removed-ever" => R_REMOVED,
        "clear-left" => R_CLEAR,
        "clear-left-1986" => R_CLEAR_1986,
        "quarter-of-clear" => R_QUARTER,
        "total-bands" => R_BANDS,
        "half-of-top-coat" => R_TOP,
        _ => return None,
    })
}

/// A step of a recipe, a material that every shop uses up, a line of the price.
pub(crate) fn thing(name: &str) -> Option<Message> {
    Some(match name {
        "cut" => CUT,
        "polish" => POLISH,
        "finish" => FINISH,
        "cloths" => CLOTHS,
        "clay" => CLAY,
        "panel wipe" => WIPE,
        "masking tape" => TAPE,
        "coating" => COATING,
        "water" => WATER,
        "labour" => LABOUR,
        "overhead" => OVERHEAD,
        "materials" => MATERIALS,
        "contingency" => CONTINGENCY,
        _ => return None,
    })
}

/// Where a caution stands, when it is no panel: the key of a file or a word.
pub(crate) fn place(word: &str) -> Option<Message> {
    Some(match word {
        "car" => AT_CAR,
        "areas" => AT_AREAS,
        "heat" | "heat.cells" => AT_HEAT,
        "prices" => AT_PRICES,
        "people" => AT_PEOPLE,
        "gauge" => AT_GAUGE,
        "kit" => AT_KIT,
        "reading" | "readings" => AT_READINGS,
        "zero check" => AT_ZERO,
        "photo" => AT_PHOTO,
        "prior" | "posterior" => AT_BELIEF,
        "measured.time" => AT_TIME,
        "machine.speed" | "machine.spin" => AT_MACHINE,
        "removal" => AT_REMOVAL,
        "pad" => AT_PAD,
        "touch" => AT_TOUCH,
        _ => return None,
    })
}

/// Labels of the flat car where US customary units are used.
pub(crate) const US_CAR_LABELS: &[(&str, &str)] = &[
    ("Bonnet", "Hood"),
    ("Tailgate", "Liftgate"),
    ("Boot lid", "Trunk lid"),
    ("Front wing", "Front fender"),
    ("Wing", "Fender"),
    ("Quarter", "Quarter panel"),
    ("Sill", "Rocker panel"),
    ("saloon", "sedan"),
    ("estate", "wagon"),
    ("pick-up", "pickup"),
];

/// Labels of the flat car in German, by the English ones.
pub(crate) const CAR_LABELS: &[(&str, &str)] = &[
    ("Bonnet", "Motorhaube"),
    ("Roof", "Dach"),
    ("Tailgate", "Heckklappe"),
    ("Boot lid", "Kofferdeckel"),
    ("Lid", "Deckel"),
    ("Front bumper", "Stoßfänger vorn"),
    ("Rear bumper", "Stoßfänger hinten"),
    ("Bumper", "Stoßf."),
    ("Front wing", "Kotflügel"),
    ("Wing", "Kotfl."),
    ("Front door", "Tür vorn"),
    ("Rear door", "Tür hinten"),
    ("Door", "Tür"),
    ("Quarter", "Seitenteil"),
    ("Sill", "Schweller"),
    ("Pillars, cant rail", "Säulen, Dachholm"),
    ("Pillars", "Säulen"),
    ("Mirror", "Spiegel"),
    ("Side", "Seitenwand"),
    ("Side panel", "Seitenwand"),
    ("Load door", "Hecktür"),
    ("Bed side", "Ladebordwand"),
    ("Spoiler", "Spoiler"),
    (".", ","),
    ("left", "links"),
    ("right", "rechts"),
    ("leave", "lassen"),
    ("Leave", "Lassen"),
    ("repaint?", "nachlackiert?"),
    ("not measured", "nicht gemessen"),
    ("unsure", "unsicher"),
    ("little known", "wenig bekannt"),
    ("under the scale", "unter der Skala"),
    ("over the scale", "über der Skala"),
    ("total film", "Gesamtschicht"),
    ("may go", "darf ab"),
    ("clear left, worked out", "Klarlack, errechnet"),
    ("Also: ", "Außerdem: "),
    ("Unfolded ", "Abgewickelt: "),
    ("estate", "Kombi"),
    ("hatchback", "Schrägheck"),
    ("saloon", "Limousine"),
    ("large-suv", "Geländewagen"),
    ("panel-van", "Kastenwagen"),
    ("pick-up", "Pick-up"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use lapwing_job::record::panel_names::{spoken, stem};
    use lapwing_report::figure::{BodyClass, panel_ids};

    #[test]
    fn every_panel_that_is_drawn_has_a_name_that_is_spoken_alike() {
        for id in BodyClass::ALL.into_iter().flat_map(panel_ids) {
            let (base, side) = stem(&id);
            let named = panel(base).unwrap_or_else(|| panic!("{id} has no name"));
            let whole = match side {
                Some("left") => LEFT.en.replace("{0}", named.en),
                Some(_) => RIGHT.en.replace("{0}", named.en),
                None => named.en.to_owned(),
            };
            assert_eq!(whole, spoken(&id));
            let drawn = lapwing_report::figure::flatcar::panel_name(&id);
            assert!(CAR_LABELS.iter().any(|(own, _)| *own == drawn), "{drawn}");
        }
    }
}
