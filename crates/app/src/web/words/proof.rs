//! What photographs and the proof say.

use super::{Counted, catalogue};

catalogue! {
    PHOTOS: "Photos", "Fotos";
    SIDE: "Before or after", "Vorher oder nachher";
    BEFORE: "Before", "Vorher";
    AFTER: "After", "Nachher";
    OF_MARK: "Of which mark", "Zu welchem Vermerk";
    NO_MARK: "Whole panel", "Ganzes Teil";
    CHOOSE: "Photo: JPEG, PNG or WebP", "Foto: JPEG, PNG oder WebP";
    SEND: "Keep the photo", "Foto bewahren";
    NOT_SENT: "The photo did not arrive. Look at the network and send it again; it is still chosen.", "Das Foto kam nicht an. Das Netz prüfen und noch einmal senden; es ist noch gewählt.";
    TOO_BIG: "The photo has more than {0} MB. Send a smaller one.", "Das Foto hat mehr als {0} MB. Ein kleineres senden.";
    HEIC: "This photo is in the HEIC format, which cannot be shown everywhere. Choose the most compatible format (JPEG) in the camera's settings.", "Dieses Foto ist im HEIC-Format, das nicht überall gezeigt wird. In den Kameraeinstellungen das kompatible Format (JPEG) wählen.";
    REFUSED: "The photo was not taken. {0}", "Das Foto wurde nicht angenommen. {0}";
    NO_FILE: "No photo came. Choose one and send again.", "Es kam kein Foto. Eines wählen und noch einmal senden.";
    STALLED: "The photo stopped coming. Look at the network and send it again.", "Vom Foto kam nichts mehr. Das Netz prüfen und noch einmal senden.";
    REMOVE: "Take it out", "Herausnehmen";
    GONE: "That photo is not in the job any more. Look at the page again.", "Dieses Foto ist nicht mehr im Auftrag. Die Seite noch einmal ansehen.";
    SHOWS: "{0}: {1}", "{0}: {1}";
    TAKEN: "taken {0}", "aufgenommen {0}";
    STRIPPED: "Place and camera data are taken out before a photo is kept.", "Ort und Kameradaten werden vor dem Bewahren entfernt.";
    PROVE_BESIDE: "before and after", "vorher und nachher";
    NO_PHOTOS: "No panel has photos of both sides yet. Take one after the work, at the same place, in the same light, wiped.", "Noch kein Teil hat Fotos von beiden Seiten. Nach der Arbeit eines machen: gleicher Ort, gleiches Licht, entfettet.";
    SLIDE: "{0}: from before to after", "{0}: von vorher nach nachher";
    CHANGED: "What changed", "Was sich änderte";
    PANEL: "Panel", "Teil";
    FILM_GONE: "Film gone", "Schicht abgetragen";
    PAIRS: "Pairs", "Paare";
    GLOSS: "Gloss", "Glanz";
    GLOSS_GAIN: "{0}, from {1} to {2}", "{0}, von {1} auf {2}";
    NOT_TOLD: "not told from nothing", "nicht von nichts zu unterscheiden";
    PLUS_MINUS: "{0} ({1} to {2})", "{0} ({1} bis {2})";
    NINETEEN: "Intervals hold 19 times in 20. This gauge repeats to {0}; {1} pairs show {2}.", "Die Spannen halten in 19 von 20 Fällen. Dieses Gerät wiederholt auf {0}; {1} Paare zeigen {2}.";
    AFTER_FORM: "Readings after the work", "Messwerte nach der Arbeit";
    AFTER_NOTE: "Same spots, same gauge, panel wiped. An empty field is no reading.", "Gleiche Orte, gleiches Gerät, entfettet. Ein leeres Feld ist kein Messwert.";
    PLACE_NO: "Place {0}, was {1}", "Ort {0}, war {1}";
    MEAN_OF: "mean of {0}", "Mittel aus {0}";
    SPOTS_DRAWN: "{0} from the front, with the spots that were read before", "{0} von vorn, mit den davor gemessenen Orten";
    SPOTS_NOTE: "Seen from the front. Read each spot once more where it lies; one figure a spot.", "Von vorn gesehen. Jeden Ort dort noch einmal messen, wo er liegt; ein Wert je Ort.";
    MORE_PLACES: "{0} more places", "{0} weitere Orte";
    SHOW_PANEL: "Show the panel", "Teil zeigen";
    KEEP_READINGS: "Keep the readings", "Messwerte bewahren";
    NO_BEFORE: "No readings before the work. Without them no film can be proved.", "Keine Messwerte vor der Arbeit. Ohne sie ist kein Abtrag nachweisbar.";
    GLOSS_FORM: "Gloss readings", "Glanzwerte";
    GLOSS_GU: "Gloss, GU", "Glanz, GE";
    ADD_GLOSS: "Add gloss reading", "Glanzwert hinzufügen";
    NO_PLACE: "The place \"{0}\" is not known. Load the page again.", "Der Ort „{0}“ ist nicht bekannt. Die Seite noch einmal laden.";
    DEED_PHOTO: "Photo kept", "Foto bewahrt";
    DEED_UNPHOTO: "Photo taken out", "Foto herausgenommen";
    DEED_AFTER: "Readings after the work", "Messwerte nach der Arbeit";
    DEED_GLOSS: "Gloss read", "Glanz gemessen";
    PROVED_ONE: "{0} panel", "{0} Teil";
    PROVED_MANY: "{0} panels", "{0} Teile";
}

/// Panels with readings after.
pub(crate) const PROVED: Counted = Counted {
    one: PROVED_ONE,
    several: PROVED_MANY,
};
