//! What the shop's own page says.

use super::{Counted, catalogue};

catalogue! {
    BESIDE: "kit, rates, pace", "Ausrüstung, Sätze, Tempo";
    RATES: "Rates and prices", "Sätze und Preise";
    CURRENCY: "Currency, three letters", "Währung, drei Buchstaben";
    LABOUR: "An hour is charged at", "Eine Stunde wird berechnet mit";
    COST: "An hour costs the shop", "Eine Stunde kostet den Betrieb";
    OVERHEAD: "Overhead an hour", "Gemeinkosten je Stunde";
    CONTINGENCY: "For the unforeseen", "Für Unvorhergesehenes";
    TAX: "Tax", "Steuer";
    CLOTH: "A cloth, each use", "Ein Tuch je Einsatz";
    CLAY: "Clay, 100 g", "Knete, 100 g";
    WIPE: "Panel wipe, a litre", "Entfetter, ein Liter";
    COATING: "Coating, 10 ml", "Beschichtung, 10 ml";
    TAPE: "Tape, a metre", "Abklebeband, ein Meter";
    CLAY_US: "Clay, an ounce", "Knete, eine Unze";
    WIPE_US: "Panel wipe, a quart", "Entfetter, ein Quart";
    COATING_US: "Coating, a fluid ounce", "Beschichtung, eine Flüssigunze";
    TAPE_US: "Tape, a foot", "Abklebeband, ein Fuß";
    QUART: "Price of a quart", "Preis je Quart";
    UNITS: "Units on paper", "Einheiten auf Papier";
    KEEP_RATES: "Keep the rates", "Sätze bewahren";
    NO_CURRENCY: "The currency is \"{0}\"; it is three letters, such as GBP or EUR.", "Die Währung ist „{0}“; sie hat drei Buchstaben, etwa GBP oder EUR.";
    MACHINES: "Machines", "Maschinen";
    PADS: "Pads", "Pads";
    ABRASIVES: "Abrasives", "Polituren";
    NONE_YET: "None yet.", "Noch keine.";
    ADD_MACHINE: "Add a machine", "Maschine hinzufügen";
    ADD_PAD: "Add a pad", "Pad hinzufügen";
    ADD_ABRASIVE: "Add an abrasive", "Politur hinzufügen";
    ADD: "Add it", "Hinzufügen";
    NAME: "Name in the shop", "Name im Betrieb";
    NO_NAME: "It needs a name. Type one and send again.", "Es braucht einen Namen. Einen eintippen und noch einmal senden.";
    KIND: "Motion", "Bewegung";
    ROTARY: "Rotary", "Rotation";
    ORBITAL: "Random orbital", "Exzenter, frei";
    FORCED: "Forced rotation", "Exzenter, Zwangsantrieb";
    SPEEDS: "Working speeds, turns or orbits a minute", "Arbeitsdrehzahlen je Minute";
    NO_SPEEDS: "The speeds are \"{0}\"; write one to six numbers from 100 to 12000, such as 3000 4500.", "Die Drehzahlen sind „{0}“; eine bis sechs Zahlen von 100 bis 12000 schreiben, etwa 3000 4500.";
    ORBIT: "Orbit, full stroke", "Hub, ganz";
    SPIN: "Spin under load", "Eigendrehung unter Last";
    FORCE: "Force on the panel", "Kraft auf der Fläche";
    SHAKES: "Declared vibration", "Angegebene Schwingung";
    UNSURE: "Its uncertainty", "Deren Unsicherheit";
    NOISE: "Declared level at the ear", "Angegebener Pegel am Ohr";
    CLASS: "Class", "Klasse";
    FINISHING_FOAM: "Finishing foam", "Finishschaum";
    POLISHING_FOAM: "Polishing foam", "Polierschaum";
    CUTTING_FOAM: "Cutting foam", "Schleifschaum";
    MICROFIBRE: "Microfibre", "Mikrofaser";
    WOOL: "Wool", "Wolle";
    FACE: "Face", "Durchmesser";
    PRICE_EACH: "Price of one", "Stückpreis";
    LASTS: "Sections before a swap", "Felder bis zum Wechsel";
    FITS: "Fits", "Passt auf";
    WITH: "Goes with", "Passt zu";
    FINISHING: "Finishing polish", "Finishpolitur";
    FINE: "Fine polish", "Feine Politur";
    MEDIUM: "Medium polish", "Mittlere Politur";
    HEAVY: "Heavy compound", "Schleifpaste";
    GRAIN: "Grain", "Korn";
    DIMINISHING: "Breaks down", "Zerfällt";
    CONSTANT: "Stays", "Bleibt";
    LITRE: "Price of a litre", "Preis je Liter";
    REMOVE: "Remove", "Entfernen";
    NOT_THERE: "That entry is not there any more. Look at the page again.", "Dieser Eintrag ist nicht mehr da. Die Seite noch einmal ansehen.";
    STILL_USED: "\"{0}\" still goes with \"{1}\". Remove that first.", "„{0}“ gehört noch zu „{1}“. Das zuerst entfernen.";
    FIRST_KIT: "Begin with an invented kit", "Mit erfundener Ausrüstung beginnen";
    FIRST_KIT_NOTE: "Three machines, five pads, four abrasives and rates to change. New jobs and enquiries take them as their own.", "Drei Maschinen, fünf Pads, vier Polituren und Sätze zum Ändern. Neue Aufträge und Anfragen nehmen sie als ihre.";
    USED_BY: "New jobs take this kit along. Jobs that are open keep theirs.", "Neue Aufträge nehmen diese Ausrüstung mit. Offene Aufträge behalten ihre.";
    PACE: "Learned pace", "Gelerntes Tempo";
    PACE_IS: "Takes {0} times the plan", "Braucht {0} mal den Plan";
    PACE_FROM: "{0} to {1}, 19 times in 20", "{0} bis {1}, in 19 von 20 Fällen";
    PACE_OF: "{0} on {1}", "{0} an {1}";
    LEFT_OUT: "{0} left out: a timer forgotten.", "{0} weggelassen: Uhr vergessen.";
    ONE_CAR: "Fewer than three cars: sections of one car hang together, so the interval is too narrow.", "Weniger als drei Wagen: Felder eines Wagens hängen zusammen, die Spanne ist zu eng.";
    NO_PACE: "Nothing learned yet. Three timed sections in work mode are enough to begin.", "Noch nichts gelernt. Drei gestoppte Felder im Arbeitsmodus reichen für den Anfang.";
    DEED_SHOP: "Shop changed", "Betrieb geändert";
    LEARN: "Learn from the finished work", "Aus der fertigen Arbeit lernen";
    LEARNS_FROM: "Looks at the last {0} jobs with timed sections.", "Sieht die letzten {0} Aufträge mit gestoppten Feldern an.";
    TOO_FEW: "{0} sections are timed, {1} of them count, {3} are needed. {2} took under a tenth or over ten times their plan and are left out as a timer forgotten. Time sections in work mode, from begin to done.", "{0} Felder sind gestoppt, {1} davon zählen, {3} sind nötig. {2} brauchten weniger als ein Zehntel oder mehr als das Zehnfache des Plans und gelten als vergessene Uhr. Felder im Arbeitsmodus stoppen, von Beginnen bis Fertig.";
    WHAT: "What to change", "Was zu ändern ist";
    SECTION_ONE: "{0} section", "{0} Feld";
    SECTION_MANY: "{0} sections", "{0} Felder";
    CAR_ONE: "{0} car", "{0} Wagen";
    CAR_MANY: "{0} cars", "{0} Wagen";
}

/// Timed sections.
pub(crate) const SECTIONS: Counted = Counted {
    one: SECTION_ONE,
    several: SECTION_MANY,
};

/// Cars they belong to.
pub(crate) const CARS: Counted = Counted {
    one: CAR_ONE,
    several: CAR_MANY,
};
