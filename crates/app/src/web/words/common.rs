//! What every page says: navigation, stations, choices, refusals.

use super::catalogue;

catalogue! {
    SKIP: "Skip to the page", "Zum Inhalt";
    MENU: "Menu", "Menü";
    HOME: "Start", "Start";
    BENCH: "The bench", "Der Prüfstand";
    LINE: "The job, ten stations", "Der Auftrag, zehn Stationen";
    STATION_OF: "station {0} of {1}", "Station {0} von {1}";
    BEFORE: "Station before: {0}", "Station davor: {0}";
    AFTER: "Next station: {0}", "Nächste Station: {0}";
    INTAKE: "Intake", "Annahme";
    INSPECT: "Inspect", "Prüfung";
    BUDGET: "Budget", "Vorrat";
    TRIAL: "Trial", "Probe";
    FORECAST: "Forecast", "Vorschau";
    PLAN: "Plan", "Plan";
    WORK: "Work", "Arbeit";
    COAT: "Coat", "Schutz";
    PROVE: "Prove", "Nachweis";
    HANDOVER: "Hand over", "Übergabe";
    GATE: "Firm price from here", "Ab hier fester Preis";
    CHOICES: "Language, units, colours", "Sprache, Einheiten, Farben";
    LANGUAGE: "Language", "Sprache";
    UNITS: "Units", "Einheiten";
    METRIC: "µm, °C, mm", "µm, °C, mm";
    US: "mil, °F, in", "mil, °F, in";
    COLOURS: "Colours", "Farben";
    AS_DEVICE: "As the device", "Wie das Gerät";
    LIGHT: "Light", "Hell";
    BAY: "Dark bay", "Dunkle Halle";
    CHOOSE: "Use these", "So anzeigen";
    CAUTION: "Caution", "Vorsicht";
    REFUSED: "That cannot be done", "Das geht nicht";
    GO_BACK: "Back to the start", "Zurück zum Start";
    NO_SUCH_PAGE: "There is no such page. The start lists every page.", "Diese Seite gibt es nicht. Der Start zeigt alle Seiten.";
    WRONG_METHOD: "This address answers another kind of request.", "Diese Adresse beantwortet eine andere Art von Anfrage.";
    TOO_LARGE: "That is too large. At most 24 MB are taken.", "Das ist zu groß. Höchstens 24 MB werden angenommen.";
    TOO_SLOW: "That took longer than a minute and was stopped. Try again, or with less.", "Das dauerte länger als eine Minute und wurde beendet. Noch einmal oder mit weniger versuchen.";
    NOT_UNDERSTOOD: "The request was not understood. Go back and send the form again.", "Die Anfrage wurde nicht verstanden. Zurückgehen und das Formular noch einmal senden.";
    OUR_FAULT: "This is our fault, not yours. Try again; if it stays, note what you did.", "Das ist unser Fehler, nicht Ihrer. Noch einmal versuchen; bleibt es dabei, notieren, was Sie taten.";
    NOT_A_NUMBER: "{0} is \"{1}\", which is not a number. Allowed is {2} to {3} {4}.", "{0} ist „{1}“, das ist keine Zahl. Erlaubt ist {2} bis {3} {4}.";
    OUT_OF_RANGE: "{0} is {1}; allowed is {2} to {3} {4}.", "{0} ist {1}; erlaubt ist {2} bis {3} {4}.";
    NOT_A_WORD: "{0} is \"{1}\", which is not known. Allowed: {2}.", "{0} ist „{1}“, das ist nicht bekannt. Erlaubt: {2}.";
    TOO_MANY_FIELDS: "The form has more than {0} fields. Send it from the page.", "Das Formular hat mehr als {0} Felder. Bitte von der Seite aus senden.";
    START_LEAD: "Numbers for paint correction: film left, what a pass takes off, heat, hours, dose and price. Each says how sure it is.", "Zahlen für die Lackaufbereitung: Schicht, Abtrag je Durchgang, Wärme, Stunden, Belastung und Preis. Jede sagt, wie sicher sie ist.";
    START_BENCH: "Set up a pass and see what it takes off and how hot it gets.", "Einen Durchgang einstellen und sehen, was er abträgt und wie heiß es wird.";
    TYPE_NUMBER: "{0}: type a number", "{0}: Zahl eingeben";
    PAD_DONE: "Take it", "Übernehmen";
    PAD_CANCEL: "Leave it", "Abbrechen";
    PAD_DELETE: "Delete the last digit", "Letzte Ziffer löschen";
    PAD_RANGE: "{0} to {1}", "{0} bis {1}";
}
