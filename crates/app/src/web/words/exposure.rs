//! What the page of the day's dose says.

use super::catalogue;

catalogue! {
    BESIDE: "hands and ears", "Hände und Ohren";
    SUMS: "What the day comes to", "Was der Tag ergibt";
    VIBRATION: "Vibration", "Vibration";
    UNSURE: "Its uncertainty", "Unsicherheit";
    NOISE: "At the ear", "Am Ohr";
    MINUTES: "Finger on the switch", "Finger am Schalter";
    WHAT: "Machine", "Maschine";
    MACHINE_NO: "Machine {0}", "Maschine {0}";
    EMPTY: "Machine {0}: \"{1}\" is empty, and empty is not 0. Type the value of the data sheet, or empty the whole row.", "Maschine {0}: „{1}“ ist leer, und leer ist nicht 0. Den Wert des Datenblatts eintragen oder die ganze Zeile leeren.";
    RULE: "Rule", "Regel";
    CAUTIOUS: "Cautious: value plus uncertainty", "Vorsichtig: Wert plus Unsicherheit";
    AS_IT_STANDS: "Value as it stands", "Wert wie angegeben";
    ADD_UP: "Add it up", "Zusammenzählen";
    EXAMPLE: "An invented day, to look at. Type your own over it; the machine you wonder about last.", "Ein erfundener Tag zum Ansehen. Den eigenen darüber schreiben; die Maschine, um die es geht, zuletzt.";
    HANDS: "Hands, 8 hours", "Hände, 8 Stunden";
    POINTS: "{0} points", "{0} Punkte";
    EARS: "Ears, 8 hours", "Ohren, 8 Stunden";
    DOSES: "dose {0} % (NIOSH), {1} % (OSHA)", "Dosis {0} % (NIOSH), {1} % (OSHA)";
    LEFT: "Last machine may run", "Letzte Maschine darf laufen";
    FROM_NOUGHT: "from nought: {0}", "von null an: {0}";
    NO_LIMIT: "no limit", "ohne Grenze";
    ACTION_REACHED: "The action value is reached: plan less time, or another machine.", "Der Auslösewert ist erreicht: weniger Zeit oder eine andere Maschine planen.";
    LIMIT_REACHED: "The limit value is reached. Stop for today.", "Der Grenzwert ist erreicht. Für heute aufhören.";
    ACTION: "action", "Auslösewert";
    LIMIT: "limit", "Grenzwert";
    BAR: "{0} points of the day; 100 is the action value, 400 the limit.", "{0} Punkte des Tages; 100 ist der Auslösewert, 400 der Grenzwert.";
}
