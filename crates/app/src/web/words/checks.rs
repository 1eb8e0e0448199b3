//! What the pages doubt, and ask once more before they go on.

use super::{Counted, catalogue};

catalogue! {
    // Readings after that cannot be.
    CANNOT_BE: "cannot be: film does not grow", "kann nicht sein: Lack wächst nicht";
    GROWN: "The readings after cannot be right on: {0}. They show clearly more film than before, and paint does not grow. Another place, dirt or wax, a warm panel, another zero? Read there again, or take the readings out.", "Die Messwerte danach können nicht stimmen: {0}. Sie zeigen deutlich mehr Schicht als davor, und Lack wächst nicht. Anderer Ort, Schmutz oder Wachs, warmes Blech, andere Null? Dort noch einmal messen oder die Werte herausnehmen.";
    TOO_FAR: "By the readings after more went than may have. {0} Read again, or sign with the doubt noted.", "Nach den Messwerten danach ging mehr weg, als darf. {0} Noch einmal messen oder mit dem Zweifel unterschreiben.";
    THROUGH: "{0}: {1} went, and there were about {2} of clear coat: it may be through.", "{0}: {1} gingen weg, und Klarlack waren etwa {2}: Er ist vielleicht durch.";
    UNDER_LIMIT: "{0}: {1} went of about {2} of clear coat; at least {3} are left, under the limit of {4}.", "{0}: {1} gingen weg von etwa {2} Klarlack; mindestens {3} bleiben, unter der Grenze von {4}.";
    HELD_FAR: "Not signed: by the readings after more went than may have. {0} Read again, or tick that it is signed with the doubt noted.", "Nicht unterschrieben: Nach den Messwerten danach ging mehr weg, als darf. {0} Noch einmal messen oder ankreuzen, dass mit Zweifel unterschrieben wird.";
    TAKE_OUT: "Take the readings after on {0} out", "Messwerte danach herausnehmen: {0}";
    NONE_AFTER: "This panel has no readings after the work. Load the page again.", "Dieses Teil hat keine Messwerte nach der Arbeit. Die Seite noch einmal laden.";
    DEED_AFTER_OUT: "Readings after taken out", "Messwerte danach herausgenommen";
    READ_AGAIN: "To the readings after", "Zu den Messwerten danach";
    // Marks of the walk round.
    MARKED_ONE: "Marked as repainted at intake: {0}. What the gauge reads there need not be factory film, so the clear coat may be thinner than worked out. Test, or leave.", "Bei der Annahme als nachlackiert vermerkt: {0}. Was das Messgerät dort zeigt, muss kein Werkslack sein; der Klarlack kann dünner sein als gerechnet. Prüfen oder lassen.";
    MARKED_MANY: "Marked as repainted at intake: {0}. What the gauge reads there need not be factory film, so the clear coat may be thinner than worked out. Test, or leave.", "Bei der Annahme als nachlackiert vermerkt: {0}. Was das Messgerät dort zeigt, muss kein Werkslack sein; der Klarlack kann dünner sein als gerechnet. Prüfen oder lassen.";
    TO_MARKS: "To the marks", "Zu den Vermerken";
    // Readings that are probably a slip.
    FAR_OFF: "{0} on {1} is far from what else was read there ({2} in the middle). A slip of the key? Read again and take the wrong one out.", "{0} auf {1} liegt weit ab von dem, was dort sonst gemessen ist (Mitte {2}). Vertippt? Noch einmal messen und den falschen Wert herausnehmen.";
    FAR_UP: "{0} on {1} is far above a car's usual film. Filler or a repaint, or a slip of the key? Read again; if it is a slip, take it out.", "{0} auf {1} liegt weit über der üblichen Schicht eines Wagens. Spachtel, Nachlack oder vertippt? Noch einmal messen; ist es vertippt, herausnehmen.";
    TAKE_READING_OUT: "Take {0} out", "{0} herausnehmen";
    // Pairs of a test spot that cannot be.
    PAIR_FIELD: "{0}: {1}", "{0}: {1}";
    PAIR_APART: "{0} is {1} and {2} is {3}: no polish takes off more than {4} at once. A slip of the key, or another place? Nothing was kept.", "{0} ist {1}, {2} ist {3}: Keine Politur trägt auf einmal mehr als {4} ab. Vertippt oder ein anderer Ort? Nichts wurde behalten.";
    PAIR_GROWN: "{0} is {1}, more than {2}, {3}: paint does not grow. Swapped, or another place? Nothing was kept.", "{0} ist {1}, mehr als {2}, {3}: Lack wächst nicht. Vertauscht oder ein anderer Ort? Nichts wurde behalten.";
    PAIR_BAD: "This pair cannot be: {0}, then {1}. While it is here, the test spot teaches nothing. Take it out and read that place again.", "Dieses Paar kann nicht sein: {0}, dann {1}. Solange es hier steht, lehrt das Probefeld nichts. Herausnehmen und den Ort noch einmal messen.";
    PAIR_OUT: "Take it out", "Herausnehmen";
    // A plan of a car that is hardly read.
    FOR_SO_MANY: "for {0} of {1} panels; the others are not read", "für {0} von {1} Teilen; die anderen sind nicht gemessen";
    MOST_UNREAD: "Only {0} of {1} panels are read. Hours and price leave the others out. Work to this plan all the same?", "Erst {0} von {1} Teilen sind gemessen. Stunden und Preis lassen die anderen aus. Trotzdem nach diesem Plan arbeiten?";
    WORK_ANYWAY: "Work to it all the same", "Trotzdem danach arbeiten";
    // Signing.
    WILL_SIGN: "This will be signed:", "Das wird unterschrieben:";
    WORKED_LINE: "{0} of {1} panels polished; on average {2} taken off.", "{0} von {1} Teilen poliert; im Mittel {2} abgetragen.";
    BEGUN_LINE: "{0} of {1} panels polished, {2} more begun; on average {3} taken off.", "{0} von {1} Teilen poliert, {2} weitere begonnen; im Mittel {3} abgetragen.";
    NOTHING_LINE: "No work is noted on any of {0} panels.", "An keinem von {0} Teilen ist Arbeit vermerkt.";
    LEFT_LINE: "Clear coat left at least {0}, on: {1}.", "Klarlack mindestens {0}, und zwar: {1}.";
    NO_LEFT_LINE: "No clear coat is stated.", "Klarlack ist nicht angegeben.";
    DOUBT_ONE: "{0} caution goes into the record.", "{0} Hinweis zur Vorsicht steht im Protokoll.";
    DOUBT_MANY: "{0} cautions go into the record.", "{0} Hinweise zur Vorsicht stehen im Protokoll.";
    GROWN_LINE: "Readings after that cannot be right, and count for nothing: {0}.", "Messwerte danach, die nicht stimmen können und nicht zählen: {0}.";
    SIGN_NOW: "Sign this record", "Dieses Protokoll unterschreiben";
    FOR_GOOD: "A signed record is not changed any more. When the job changes, a new one can be signed.", "Ein unterschriebenes Protokoll ändert sich nicht mehr. Ändert sich der Auftrag, lässt sich ein neues unterschreiben.";
    SIGN_DOUBT: "Sign with this doubt noted", "Mit diesem Zweifel unterschreiben";
    SIGN_NOTHING: "Sign though nothing is noted as done", "Unterschreiben, obwohl nichts als getan vermerkt ist";
    HELD_BACK: "Not signed: read again where film seems to have grown, take those readings out, or tick that it is signed with the doubt noted.", "Nicht unterschrieben: dort noch einmal messen, wo Lack gewachsen scheint, die Werte herausnehmen oder ankreuzen, dass mit Zweifel unterschrieben wird.";
    HELD_NOTHING: "Not signed: nothing is noted as done. Note the work, or tick that it is signed all the same.", "Nicht unterschrieben: Nichts ist als getan vermerkt. Die Arbeit vermerken oder ankreuzen, dass trotzdem unterschrieben wird.";
    MEND_READINGS: "To the readings and tables", "Zu Messwerten und Tabellen";
    // Tables of readings.
    UNKNOWN: "{0} is not a panel of this job ({1} readings).", "{0} ist kein Teil dieses Auftrags ({1} Messwerte).";
    ASK_UNKNOWN: "The table names panels that this job does not have. Say what each is; nothing was brought in yet.", "Die Tabelle nennt Teile, die dieser Auftrag nicht hat. Angeben, was gemeint ist; noch ist nichts hereingeholt.";
    MEANS: "\"{0}\" is", "„{0}“ ist";
    CHOOSE: "Choose …", "Wählen …";
    PROBABLY: "{0} (probably meant)", "{0} (wohl gemeint)";
    A_PANEL_MORE: "a panel more: add \"{0}\" to the job", "ein weiteres Teil: „{0}“ in den Auftrag aufnehmen";
    LEAVE_OUT: "leave these readings out", "diese Messwerte weglassen";
    NOT_SAID: "Say what \"{0}\" is: a panel of the job, a panel more, or left out.", "Angeben, was „{0}“ ist: ein Teil des Auftrags, ein weiteres Teil oder weglassen.";
    NOTHING_LEFT: "All readings of the table were left out, so nothing was brought in.", "Alle Messwerte der Tabelle wurden weggelassen; nichts ist hereingeholt.";
    SAME_TABLE: "This very table is in the job already, as {0}. Nothing was brought in again.", "Genau diese Tabelle ist schon im Auftrag, als {0}. Nichts wurde noch einmal hereingeholt.";
    SAME_VALUES: "The same readings are in the job already, from {0}. Brought in again they would count twice.", "Dieselben Messwerte sind schon im Auftrag, aus {0}. Noch einmal hereingeholt, zählten sie doppelt.";
    ALL_THE_SAME: "They were read twice: bring them in", "Es wurde zweimal gemessen: hereinholen";
    TABLES: "Tables brought in", "Hereingeholte Tabellen";
    OF_FOLDER: "came with the job", "kam mit dem Auftrag";
    REMOVE_TABLE: "Take the table out", "Tabelle herausnehmen";
    NO_TABLE: "That table is not in the job any more. Load the page again.", "Diese Tabelle ist nicht mehr im Auftrag. Die Seite noch einmal laden.";
    DEED_TABLE_OUT: "Table taken out", "Tabelle herausgenommen";
    BACK: "Back to the readings", "Zurück zu den Messwerten";
    // Asked once more.
    ONCE_MORE: "Asked once more", "Noch einmal gefragt";
    NOT_DONE: "No, back", "Nein, zurück";
    EARLY: "Planned {0}, only {1} on the timer: done all the same?", "Geplant {0}, auf der Uhr erst {1}: trotzdem fertig?";
    DONE_ANYWAY: "Done all the same", "Trotzdem fertig";
    NO_READINGS: "No film has been read on this car. The plan rests on assumed film: read before you polish.", "An diesem Wagen ist keine Schicht gemessen. Der Plan ruht auf angenommener Schicht: vor dem Polieren messen.";
    UNJUDGED: "The bay has not been judged yet. Laid all the same?", "Die Halle ist noch nicht beurteilt. Trotzdem aufgetragen?";
    JUDGED_WAIT: "The bay says wait. Laid all the same?", "Die Halle sagt warten. Trotzdem aufgetragen?";
    LAID_ANYWAY: "Laid all the same", "Trotzdem aufgetragen";
    // The data sheet of a coating.
    USUAL_LIMITS: "Usual limits, assumed until you read the data sheet", "Übliche Grenzen, angenommen, bis das Datenblatt gelesen ist";
    USUAL_COLD: "The air is {0}; usual are {1} or more (assumed, no data sheet typed). Heat the bay.", "Die Luft hat {0}; üblich sind {1} oder mehr (angenommen, kein Datenblatt eingetragen). Halle heizen.";
    USUAL_WARM: "The air is {0}; usual are {1} at most (assumed, no data sheet typed). Let it cool.", "Die Luft hat {0}; üblich sind höchstens {1} (angenommen, kein Datenblatt eingetragen). Abkühlen lassen.";
    USUAL_DRY: "Humidity is {0}; usual are {1} or more (assumed, no data sheet typed). Wet the floor.", "Die Feuchte ist {0}; üblich sind {1} oder mehr (angenommen, kein Datenblatt eingetragen). Boden nässen.";
    USUAL_MOIST: "Humidity is {0}; usual are {1} at most (assumed, no data sheet typed). Dry the air.", "Die Feuchte ist {0}; üblich sind höchstens {1} (angenommen, kein Datenblatt eingetragen). Luft trocknen.";
    FROM_SHEET: "These are the numbers of the data sheet", "Das sind die Zahlen des Datenblatts";
    DRY_USUAL_DONE: "The usual dry time is over; the data sheet may ask for more.", "Die übliche Trockenzeit ist vorbei; das Datenblatt verlangt vielleicht mehr.";
    // Lists.
    REPAINT_ONE: "{0} panel perhaps repainted: test or leave?", "{0} Teil wohl nachlackiert: prüfen oder lassen?";
    REPAINT_MANY: "{0} panels perhaps repainted: test or leave?", "{0} Teile wohl nachlackiert: prüfen oder lassen?";
    KEPT_ONE: "{0} panel not to be polished", "{0} Teil nicht zu polieren";
    KEPT_MANY: "{0} panels not to be polished", "{0} Teile nicht zu polieren";
    // The plan.
    GONE: "Gone", "Weg";
    WISHED: "wished {0} %", "gewünscht {0} %";
    FOUND: "Found: {0}.", "Gefunden: {0}.";
    KEEP_OFF: "Keep off", "Nicht hier";
}

/// Cautions of a record.
pub(crate) const DOUBTS: Counted = Counted {
    one: DOUBT_ONE,
    several: DOUBT_MANY,
};

/// Panels that may have been painted again.
pub(crate) const REPAINTED: Counted = Counted {
    one: REPAINT_ONE,
    several: REPAINT_MANY,
};

/// Panels that are left for another reason than thin film.
pub(crate) const NOT_POLISHED: Counted = Counted {
    one: KEPT_ONE,
    several: KEPT_MANY,
};
