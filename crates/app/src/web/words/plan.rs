//! What the plan page says.

use super::{Counted, catalogue};

catalogue! {
    LEAD: "A job file and its readings become a plan: what may go, what to do, how long, with what, at what price.", "Eine Auftragsdatei und ihre Messwerte werden zum Plan: was ab darf, was zu tun ist, wie lange, womit, zu welchem Preis.";
    EXAMPLE: "Open the example car", "Beispielwagen öffnen";
    OWN: "Your own job", "Eigener Auftrag";
    JOB_FILE: "job.toml: car, panels, kit, prices", "job.toml: Wagen, Teile, Ausrüstung, Preise";
    READINGS_FILE: "readings.csv: what the gauge says", "readings.csv: was das Messgerät sagt";
    WORK_OUT: "Work out the plan", "Plan ausrechnen";
    NO_FILES: "Two files are needed: job.toml and readings.csv. Choose both and send again.", "Zwei Dateien werden gebraucht: job.toml und readings.csv. Beide wählen und noch einmal senden.";
    NO_KIT: "This job has no job.toml yet: kit, wishes and prices. A plan needs them; open the example car to see one.", "Dieser Auftrag hat noch kein job.toml: Ausrüstung, Wünsche und Preise. Ein Plan braucht sie; der Beispielwagen zeigt einen.";
    GONE: "There is no such plan here. Plans from files are kept until the server stops; send the files again.", "Diesen Plan gibt es hier nicht. Pläne aus Dateien bleiben, bis der Server endet; die Dateien noch einmal senden.";
    CAR: "What may go, panel by panel", "Was ab darf, Teil für Teil";
    STAYS: "What stays, and why", "Was bleibt, und warum";
    LEAVE: "Leave", "Lassen";
    MEASURE_NEXT: "Measure next", "Als Nächstes messen";
    PDF: "The sheet, PDF", "Das Blatt, PDF";
    JSON: "The plan, JSON", "Der Plan, JSON";
    WORK: "What to do", "Was zu tun ist";
    MATERIALS: "Materials", "Material";
    PEOPLE: "Hands and ears, day by day", "Hände und Ohren, Tag für Tag";
    HOURS: "In the bay", "In der Halle";
    EIGHT_IN_TEN: "{0} to {1}, 8 times in 10", "{0} bis {1}, in 8 von 10 Fällen";
    PRICE: "Price", "Preis";
    PROVISIONAL: "provisional until the test spot", "vorläufig bis zum Probefeld";
    NO_PRICE: "not stated: the job gives no prices", "ohne Angabe: der Auftrag nennt keine Preise";
    PANELS: "Panels to work", "Teile in Arbeit";
    STAYS_ONE: "{0} stays as it is", "{0} bleibt, wie es ist";
    STAYS_MANY: "{0} stay as they are", "{0} bleiben, wie sie sind";
    DOSE: "Hands, 8 hours", "Hände, 8 Stunden";
    WORST_DAY: "on the worst day", "am schlimmsten Tag";
    PANEL: "Panel", "Teil";
    RECIPE: "Recipe", "Rezept";
    MAY_GO: "May go", "Darf ab";
    TAKES: "Takes off", "Trägt ab";
    HOTTEST: "Hottest", "Heißeste Stelle";
    SECTIONS: "Sections", "Felder";
    TIME: "Time", "Zeit";
    NET: "Net", "Netto";
    TAX: "Tax", "Steuer";
    GROSS: "To pay", "Zu zahlen";
    FLOOR: "Costs the shop", "Kostet den Betrieb";
    PERSON: "Person", "Person";
    DAY: "Day", "Tag";
    TRIGGER: "Machine running", "Maschine läuft";
    EARS: "Ears, 8 hours", "Ohren, 8 Stunden";
    CAUTION_ONE: "{0} caution", "{0} Hinweis zur Vorsicht";
    CAUTION_MANY: "{0} cautions", "{0} Hinweise zur Vorsicht";
}

/// Panels left alone.
pub(crate) const STAY: Counted = Counted {
    one: STAYS_ONE,
    several: STAYS_MANY,
};

/// Doubts of the plan.
pub(crate) const CAUTIONS: Counted = Counted {
    one: CAUTION_ONE,
    several: CAUTION_MANY,
};
