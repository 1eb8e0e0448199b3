//! What stands on the owner's paper.

use super::{Message, catalogue};

macro_rules! fixed {
    ($($key:literal: $en:literal, $de:literal;)*) => {
        /// Fixed words of the paper's template, by their key there.
        pub(crate) const FIXED: &[(&str, Message)] = &[$(($key, Message { en: $en, de: $de })),*];
    };
}

fixed! {
    "measured": "measured", "gemessen";
    "calibrated": "calibrated", "kalibriert";
    "sourced": "sourced", "belegt";
    "common practice": "common practice", "üblich";
    "assumed": "assumed", "angenommen";
    "worked-out": "Clear coat is worked out.", "Klarlack ist errechnet.";
    "page": "page", "Seite";
    "of": "of", "von";
    "car-alt": "The car unfolded, each panel with the film that is left", "Der Wagen abgewickelt, jedes Teil mit der verbliebenen Schicht";
    "left": "Left", "Gelassen";
    "panel": "Panel", "Teil";
    "before": "film before", "Schicht vorher";
    "after": "after", "nachher";
    "taken-off": "taken off", "abgetragen";
    "ever": "taken off ever", "insgesamt abgetragen";
    "clear": "clear left, worked out", "Klarlack übrig, errechnet";
    "scale": "0 to 60 µm", "0 bis 60 µm";
    "sure": "Numbers after ± hold 19 times in 20.", "Zahlen nach ± gelten in 19 von 20 Fällen.";
    "least": "least clear coat to keep,", "Klarlack, der bleiben muss:";
    "gauge": "A gauge reads all paint layers together; clear coat is worked out from that and from what was ever taken off.", "Ein Messgerät misst alle Lackschichten zusammen; der Klarlack ist daraus und aus allem bisher Abgetragenen errechnet.";
    "remains": "What remains, and why", "Was bleibt, und warum";
    "keep": "How to keep it", "Pflege";
    "found": "What was found", "Was gefunden wurde";
    "done": "What was done", "Was getan wurde";
    "cautions": "Cautions", "Hinweise zur Vorsicht";
    "caution": "Caution", "Vorsicht";
    "pictures": "Pictures", "Bilder";
    "not-printed": "Kept with the job, not printed here:", "Beim Auftrag bewahrt, hier nicht gedruckt:";
    "signs": "The signs under a picture are the start of its seal: the file that was signed for has it, and no other.", "Die Zeichen unter einem Bild sind der Anfang seines Siegels: Die unterschriebene Datei hat es, keine andere.";
    "seal": "The seal", "Das Siegel";
    "code-alt": "Square code with the seal of this record", "Quadratcode mit dem Siegel dieses Protokolls";
    "seal-file": "This paper shows a record that is also kept as a file, for whoever works on the car next. The file is signed; one changed letter breaks the seal.", "Dieses Blatt zeigt ein Protokoll, das auch als Datei bewahrt ist, für alle, die als Nächstes am Wagen arbeiten. Die Datei ist unterschrieben; ein geänderter Buchstabe bricht das Siegel.";
    "code-opens": "The square code opens the record.", "Der Quadratcode öffnet das Protokoll.";
    "code-holds": "The square code holds the seal.", "Der Quadratcode enthält das Siegel.";
    "check": "Check the file with", "Die Datei prüfen mit";
    "seal-short": "Seal", "Siegel";
    "key": "Key", "Schlüssel";
    "earlier": "Before", "Davor";
    "technician": "Technician", "Werkstatt";
    "owner": "Owner", "Halter";
    "date": "Date", "Datum";
}

catalogue! {
    TITLE: "Paint record", "Lackprotokoll";
    CAPTION_AFTER: "Whole film left on each panel, {0}. Dark is thick. Hatched panels were not read.", "Verbliebene Gesamtschicht auf jedem Teil, {0}. Dunkel ist dick. Schraffierte Teile wurden nicht gemessen.";
    CAPTION_BEFORE: "Whole film before work, {0}: nobody read it again afterwards. Hatched panels were not read.", "Gesamtschicht vor der Arbeit, {0}: Danach hat niemand gemessen. Schraffierte Teile wurden nicht gemessen.";
    OF: "of {0}", "von {0}";
    POLISHED: "panels polished", "Teile poliert";
    AVERAGE: "taken off on average where worked", "im Mittel abgetragen, wo gearbeitet wurde";
    NO_CLEAR: "no clear coat stated", "kein Klarlack angegeben";
    CLEAR_LEAST: "clear left at least, worked out, at the thinnest: {0}", "Klarlack mindestens, errechnet, am dünnsten Teil: {0}";
    PLANNED: "planned in the bay; not noted", "in der Halle geplant; nicht vermerkt";
    NOTED: "of work, by the shop's log", "Arbeit, laut Werkstatt";
    V_POLISHED: "polished", "poliert";
    V_PART: "polished in part", "teils poliert";
    V_LEFT: "left as it was", "gelassen, wie es war";
    V_NOT_NOTED: "not noted", "nicht vermerkt";
    NOT_POLISHED: "not polished", "nicht poliert";
    NOT_STATED: "not stated", "nicht angegeben";
    UNDER: "under {0}", "unter {0}";
    LEAST: "{0}, at least {1}", "{0}, mindestens {1}";
    BETWEEN: "{0} ({1} to {2})", "{0} ({1} bis {2})";
    LEFT: "{0}, before", "{0}, vorher";
    RIGHT: "{0}, after", "{0}, nachher";
    IN_OTHER: "The paper in German, PDF", "Das Blatt auf Englisch, PDF";
}

/// Sentences of the paper with places, for whoever reads them back.
pub(crate) const TOLD: &[Message] = &[
    CAPTION_AFTER,
    CAPTION_BEFORE,
    POLISHED,
    AVERAGE,
    NO_CLEAR,
    CLEAR_LEAST,
    PLANNED,
    NOTED,
    V_POLISHED,
    V_PART,
    V_LEFT,
    V_NOT_NOTED,
    NOT_POLISHED,
    NOT_STATED,
    LEAST,
    BETWEEN,
    LEFT,
    RIGHT,
    UNDER,
    TITLE,
];
