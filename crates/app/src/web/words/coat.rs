//! What the coating page says.

use super::{Counted, catalogue};

catalogue! {
    BESIDE: "climate and countdown", "Klima und Uhr";
    BAY_NOW: "The bay now", "Die Halle jetzt";
    AIR: "Air", "Luft";
    HUMIDITY: "Humidity", "Feuchte";
    SURFACE: "Panel", "Oberfläche";
    SHEET: "From the data sheet", "Aus dem Datenblatt";
    AIR_FROM: "Air from", "Luft von";
    AIR_TO: "Air to", "Luft bis";
    HUMIDITY_FROM: "Humidity from", "Feuchte von";
    HUMIDITY_TO: "Humidity to", "Feuchte bis";
    LEVEL_AFTER: "Level after", "Auspolieren nach";
    OPEN_TIME: "Open until", "Offen bis";
    KEEP_DRY: "Keep dry", "Trocken halten";
    JUDGE: "Judge the bay", "Halle beurteilen";
    GO: "Go", "Los";
    WAIT: "Wait", "Warten";
    NOT_JUDGED: "Read air, humidity and panel first. Then the page says go or wait.", "Zuerst Luft, Feuchte und Oberfläche ablesen. Dann sagt die Seite: los oder warten.";
    DEW_POINT: "Dew point", "Taupunkt";
    MARGIN: "Panel above it", "Oberfläche darüber";
    MARGIN_UNSURE: "± {0}, least {1}", "± {0}, mindestens {1}";
    COLDEST: "Coldest panel allowed", "Kälteste erlaubte Fläche";
    SURFACE_UNDER: "The panel is {0} below the dew point, so it is wet; it must be {1} above. Warm the panel or dry the air.", "Die Fläche liegt {0} unter dem Taupunkt und wird nass; sie muss {1} darüber liegen. Fläche wärmen oder Luft trocknen.";
    SURFACE_COLD: "The panel is {0} above the dew point; {1} are needed. Warm the panel or dry the air.", "Die Fläche ist {0} über dem Taupunkt; nötig sind {1}. Fläche wärmen oder Luft trocknen.";
    AIR_COLD: "The air is {0}; the sheet asks for {1} or more. Heat the bay.", "Die Luft hat {0}; das Blatt verlangt {1} oder mehr. Halle heizen.";
    AIR_WARM: "The air is {0}; the sheet allows {1} at most. Let it cool.", "Die Luft hat {0}; das Blatt erlaubt höchstens {1}. Abkühlen lassen.";
    AIR_DRY: "Humidity is {0}; the sheet asks for {1} or more. Wet the floor.", "Die Feuchte ist {0}; das Blatt verlangt {1} oder mehr. Boden nässen.";
    AIR_MOIST: "Humidity is {0}; the sheet allows {1} at most. Dry the air.", "Die Feuchte ist {0}; das Blatt erlaubt höchstens {1}. Luft trocknen.";
    CLOSE: "The margin only just holds; thermometers and hygrometer are unsure by as much. Read again before each panel.", "Der Abstand reicht nur knapp; so unsicher sind die Geräte selbst. Vor jedem Teil noch einmal ablesen.";
    NO_SHEET: "These limits are usual, assumed until you read the data sheet. Type those of the sheet.", "Diese Grenzen sind üblich, angenommen, bis das Datenblatt gelesen ist. Die des Blattes eintragen.";
    READ_AT: "Read {0} ago.", "Vor {0} abgelesen.";
    OLD: "That is over half an hour old. Read again.", "Das ist über eine halbe Stunde alt. Noch einmal ablesen.";
    SECTIONS: "Sections", "Felder";
    LAY: "Laid now", "Jetzt aufgetragen";
    LEVELLED: "Levelled", "Auspoliert";
    LEVEL_IN: "level in", "auspolieren in";
    LEVEL_NOW: "Level now, open for", "Jetzt auspolieren, offen noch";
    PAST_OPEN: "Past the open time by", "Über die offene Zeit um";
    NO_SECTIONS: "No section is laid. Choose the panel and press when the last stroke is done.", "Kein Feld ist aufgetragen. Teil wählen und beim letzten Strich drücken.";
    DONE_LIST: "Levelled", "Auspoliert";
    TOOK: "open for {0}", "offen für {0}";
    TAKE_BACK: "Remove", "Entfernen";
    DRY_FOR: "Keep the car dry for another {0}.", "Den Wagen noch {0} trocken halten.";
    DRY_DONE: "The dry time of the sheet is over.", "Die Trockenzeit des Blattes ist vorbei.";
    NO_SECTION: "That section is not there any more. Look at the page again.", "Dieses Feld ist nicht mehr da. Die Seite noch einmal ansehen.";
    WRONG_WAY: "{0} is more than {1}. Swap them.", "{0} ist mehr als {1}. Beide tauschen.";
    DEED_CLIMATE: "Bay read", "Halle abgelesen";
    DEED_LAID: "Section laid", "Feld aufgetragen";
    DEED_LEVELLED: "Section levelled", "Feld auspoliert";
    DEED_UNLAID: "Section removed", "Feld entfernt";
    LAID_ONE: "{0} section", "{0} Feld";
    LAID_MANY: "{0} sections", "{0} Felder";
}

/// Sections laid.
pub(crate) const LAID: Counted = Counted {
    one: LAID_ONE,
    several: LAID_MANY,
};
