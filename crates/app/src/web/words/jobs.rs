//! What the pages of a job say.

use super::{Counted, catalogue};

catalogue! {
    SEARCH: "Search jobs", "Aufträge suchen";
    FIND: "Find", "Finden";
    NO_JOBS: "No jobs yet. Open the example car to look around, or a job of your own.", "Noch keine Aufträge. Den Beispielwagen öffnen oder einen eigenen Auftrag anlegen.";
    OPEN_EXAMPLE: "Open the example car as a job", "Beispielwagen als Auftrag öffnen";
    DECIDE: "needs a decision", "braucht eine Entscheidung";
    NAME: "Name of the job", "Name des Auftrags";
    CAR: "The car", "Der Wagen";
    BODY: "Body", "Karosserie";
    OPEN: "Open the job", "Auftrag anlegen";
    NO_NAME: "The job needs a name. Type one and send again.", "Der Auftrag braucht einen Namen. Einen eintippen und noch einmal senden.";
    TAP: "Walk round the car. Tap a panel, say what is wrong.", "Um den Wagen gehen. Ein Teil antippen und sagen, was ist.";
    WALK: "The car on the walk-round", "Der Wagen beim Rundgang";
    PANEL: "Panel", "Teil";
    KIND: "What it is", "Was es ist";
    EXTENT: "How far", "Wie weit";
    NOTE: "Note", "Notiz";
    MARK: "Mark it", "Vermerken";
    REMOVE: "Remove", "Entfernen";
    NO_MARK: "That mark is not there any more. Look at the page again.", "Dieser Vermerk ist nicht mehr da. Die Seite noch einmal ansehen.";
    NO_PANEL: "The car has no panel \"{0}\". Choose one from the list.", "Der Wagen hat kein Teil „{0}“. Eines aus der Liste wählen.";
    SWIRLS: "Swirls", "Waschkratzer";
    SCRATCH: "Scratch", "Kratzer";
    CHIP: "Stone chip", "Steinschlag";
    ETCHING: "Etching", "Verätzung";
    STAIN: "Stain", "Fleck";
    DENT: "Dent", "Delle";
    OVERSPRAY: "Overspray", "Sprühnebel";
    REPAINT: "Looks repainted", "Wohl nachlackiert";
    OTHER: "Something else", "Etwas anderes";
    SPOT: "A spot", "Ein Punkt";
    HAND: "A hand wide", "Handbreit";
    HALF: "Half the panel", "Halbes Teil";
    WHOLE: "The whole panel", "Ganzes Teil";
    NEXT: "Go on", "Weiter";
    TO_WASH: "Wash and clay", "Wäsche und Knete";
    TO_READINGS: "Readings", "Messwerte";
    TO_PLAN: "The plan", "Der Plan";
    TO_WORK: "Work", "Arbeit";
    PAST: "What was done", "Was getan wurde";
    UNDO: "Undo", "Zurücknehmen";
    CONFLICT: "Two devices changed the same place. Both are kept; decide which holds.", "Zwei Geräte haben dieselbe Stelle geändert. Beides ist bewahrt; entscheiden, was gilt.";
    MINE: "Came later", "Kam später";
    THEIRS: "Stands now", "Gilt jetzt";
    KEEP: "Keep what stands", "Lassen, was gilt";
    USE_MINE: "Take the later one", "Das Spätere nehmen";
    TAKE: "Decision", "Entscheidung";
    DEED_OPENED: "Job opened", "Auftrag angelegt";
    DEED_MARK: "Mark made", "Vermerk gemacht";
    DEED_UNMARK: "Mark removed", "Vermerk entfernt";
    DEED_READING: "Reading taken", "Messwert genommen";
    DEED_WASH: "Wash list ticked", "Waschliste abgehakt";
    DEED_BEGUN: "Section begun", "Feld begonnen";
    DEED_DONE: "Section done", "Feld fertig";
    DEED_PAUSED: "Work paused", "Arbeit angehalten";
    DEED_PAD: "Pad cleaned", "Pad gereinigt";
    DEED_UNDO: "Taken back", "Zurückgenommen";
    DEED_SETTLED: "Decision made", "Entschieden";
    WAITING: "Saved here. Not sent yet: {0}.", "Hier gespeichert. Noch nicht gesendet: {0}.";
    READINGS_BESIDE: "readings", "Messwerte";
    THICKNESS: "Film", "Schicht";
    PLACE: "Place on the panel", "Ort auf dem Teil";
    ADD_READING: "Add reading", "Messwert hinzufügen";
    TAKEN: "Readings taken", "Genommene Messwerte";
    NO_READING: "The film is \"{0}\"; allowed is {1} to {2}. Read the gauge again.", "Die Schicht ist „{0}“; erlaubt ist {1} bis {2}. Noch einmal ablesen.";
    WASH_BESIDE: "wash, decontamination, clay", "Wäsche, Reinigung, Knete";
    WASH_NOTE: "Minutes and amounts are common practice; type what it took.", "Minuten und Mengen sind üblich; eintragen, was es war.";
    RINSE: "Rinse", "Abspülen";
    FOAM: "Pre-wash foam", "Vorwäsche mit Schaum";
    HAND_WASH: "Hand wash", "Handwäsche";
    IRON: "Iron remover", "Flugrostentferner";
    TAR: "Tar remover", "Teerentferner";
    CLAY: "Clay", "Knete";
    DRY: "Dry", "Trocknen";
    WIPE: "Panel wipe", "Entfetten";
    ITEM: "Item of the list", "Punkt der Liste";
    DONE: "done", "fertig";
    TICK: "Done", "Fertig";
    NOT_DONE: "Not done after all", "Doch nicht fertig";
    MINUTES: "Minutes", "Minuten";
    AMOUNT: "Amount", "Menge";
    WORK_BESIDE: "work", "Arbeit";
    NOW: "Now", "Jetzt";
    SECTION_OF_ALL: "section {0} of {1}", "Feld {0} von {1}";
    OF: "of {0}", "von {0}";
    PASSES: "{0} passes at {1}", "{0} Durchgänge mit {1}";
    THEN: "Then", "Danach";
    SWAP_PAD: "another pad", "anderes Pad";
    ALL_DONE: "Every section is done. On to coating and proof.", "Alle Felder sind fertig. Weiter zu Schutz und Nachweis.";
    FILM: "Film, upper end", "Abtrag, oberes Ende";
    SURFACE: "Surface, upper end", "Oberfläche, oberes Ende";
    HANDS: "Hands, this day", "Hände, heute";
    PLANNED_LIMIT: "planned {0}, limit {1}", "geplant {0}, Grenze {1}";
    STOP: "Stop", "Halt";
    SECTION_DONE: "Section done", "Feld fertig";
    PAD_CLEAN: "Pad cleaned", "Pad gereinigt";
    BEGIN: "Begin", "Beginnen";
    NO_SECTION: "The section is not named. Go back to the work page and press again.", "Das Feld ist nicht genannt. Zur Arbeitsseite zurückgehen und noch einmal drücken.";
    MARKS_ONE: "{0} mark", "{0} Vermerk";
    MARKS_MANY: "{0} marks", "{0} Vermerke";
    READINGS_ONE: "{0} reading", "{0} Messwert";
    READINGS_MANY: "{0} readings", "{0} Messwerte";
    SECTIONS_ONE: "{0} section", "{0} Feld";
    SECTIONS_MANY: "{0} sections", "{0} Felder";
}

/// Marks of the walk-round.
pub(crate) const MARKS: Counted = Counted {
    one: MARKS_ONE,
    several: MARKS_MANY,
};

/// Readings of the gauge.
pub(crate) const READINGS: Counted = Counted {
    one: READINGS_ONE,
    several: READINGS_MANY,
};

/// Sections done.
pub(crate) const SECTIONS: Counted = Counted {
    one: SECTIONS_ONE,
    several: SECTIONS_MANY,
};
