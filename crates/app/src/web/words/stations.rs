//! What the pages of gauge, budget, test spot, plan and work say.

use super::{Counted, catalogue};

catalogue! {
    WORKING_IT_OUT: "Being worked out. What is known stays.", "Wird ausgerechnet. Was bekannt ist, bleibt.";
    SHOW_WHOLE: "Show the whole page", "Ganze Seite zeigen";
    TO_FILM: "Film and budget", "Schicht und Vorrat";
    TO_TRIAL: "The test spot", "Das Probefeld";
    FIELD: "Open face", "Freie Fläche";
    EDGE: "By an edge", "Am Rand";
    CREASE: "On a crease", "Auf einer Kante";
    HIDDEN: "Hidden, never polished", "Verdeckt, nie poliert";
    ZERO: "Zero check, bare plate", "Nullprobe, blanke Platte";
    IMPORT: "Bring in a table from a gauge", "Eine Tabelle vom Messgerät holen";
    IMPORT_DEED: "Bring it in", "Hereinholen";
    TABLE_FILE: "Table as a file", "Tabelle als Datei";
    TABLE_PASTED: "Or pasted", "Oder eingefügt";
    NO_TABLE: "No table came. Choose a file or paste the lines, then send again.", "Es kam keine Tabelle. Eine Datei wählen oder die Zeilen einfügen, dann noch einmal senden.";
    TABLE_TOO_LARGE: "The table is larger than 900 kB. Cut it in two and bring both in.", "Die Tabelle ist größer als 900 kB. In zwei teilen und beide hereinholen.";
    TABLE_NOT_TEXT: "The table is not UTF-8 text. Save it as UTF-8 and bring it in again.", "Die Tabelle ist kein UTF-8-Text. Als UTF-8 speichern und noch einmal hereinholen.";
    TAP_PANEL: "Tap where the gauge stands.", "Antippen, wo das Messgerät steht.";
    GAUGE_AT: "Gauge at {0} across, {1} up", "Messgerät bei {0} quer, {1} hoch";
    PANEL_DRAWN: "{0} from the front: where it was read and where to read next", "{0} von vorn: wo gemessen ist und wo als Nächstes";
    SIZE_NOT_MEASURED: "Size not measured: drawn 1000 mm wide.", "Größe nicht gemessen: 1000 mm breit gezeichnet.";
    WORKING_NEXT: "The next place is being worked out.", "Der nächste Ort wird ausgerechnet.";
    FIRST_READINGS: "No readings yet. Start with the bonnet, five places.", "Noch keine Messwerte. Mit der Haube anfangen, fünf Orte.";
    READ_NEXT: "Read next", "Als Nächstes messen";
    RING_ONE: "ring 1, {0} across, {1} up; it takes {2} off the risk of a wrong decision", "Ring 1, {0} quer, {1} hoch; das nimmt dem Risiko einer falschen Entscheidung {2}";
    RINGS_TOGETHER: "one reading turns nothing; the {0} rings together take {1} off the risk of a wrong decision", "ein Wert wendet nichts; die {0} Ringe zusammen nehmen dem Risiko einer falschen Entscheidung {1}";
    BEST_ON_CAR: "Best on the whole car:", "Am meisten bringt am ganzen Wagen:";
    FILM_BESIDE: "film and budget", "Schicht und Vorrat";
    MAY_GO_CAR: "What may go, panel by panel", "Was ab darf, Teil für Teil";
    PANEL_BY_PANEL: "Panel by panel", "Teil für Teil";
    NO_FILM: "Nobody has read this panel yet. Take readings first.", "Dieses Teil hat noch niemand gemessen. Zuerst messen.";
    RULES: "Rules and what each allows", "Regeln und was jede erlaubt";
    ALLOWS: "Allows", "Erlaubt";
    STANDING: "Standing", "Stand";
    BINDS: "binds", "bindet";
    BOUND_BY: "bound by: {0}", "begrenzt durch: {0}";
    IN_FORCE: "in force", "in Kraft";
    NOT_IN_FORCE: "not in force", "nicht in Kraft";
    TRIAL_BESIDE: "test spot", "Probefeld";
    SPOT_LEAD: "Polish one spot as you would the panel, read marked places before and after. It teaches how this paint cuts.", "Ein Feld so polieren wie das ganze Teil, markierte Orte davor und danach messen. Das lehrt, wie dieser Lack sich abträgt.";
    SPOT_SETUP: "The pass", "Der Durchgang";
    NO_SPOT: "The pass of the test spot is not set up yet. Do that first.", "Der Durchgang des Probefelds ist noch nicht eingerichtet. Das zuerst.";
    MACHINE: "Machine", "Maschine";
    PAD: "Pad", "Pad";
    ABRASIVE: "Abrasive", "Schleifmittel";
    SPEED: "Speed", "Drehzahl";
    ARM: "Arm speed", "Armgeschwindigkeit";
    PASSES: "Passes", "Durchgänge";
    SECTION: "Edge of the spot", "Kante des Felds";
    GAUGE: "Gauge repeats within", "Messgerät wiederholt auf";
    TOOK: "It took (0: not timed)", "Es dauerte (0: nicht gestoppt)";
    DEFECTS: "Mostly wrong", "Vor allem falsch";
    LIGHT_SWIRLS: "Light swirls", "Leichte Waschkratzer";
    WASH_SWIRLS: "Years of wash swirls", "Waschkratzer aus Jahren";
    DEEP_SCRATCHES: "Deep scratches", "Tiefe Kratzer";
    BEHAVIOUR: "Paint under the pad", "Lack unter dem Pad";
    SOFT: "soft", "weich";
    MIDDLING: "medium", "mittel";
    HARD: "hard", "hart";
    STICKY: "sticky", "klebrig";
    USUAL_KIT: "The job has no kit yet, so usual machines and pads stand here. Their values are assumed.", "Der Auftrag hat noch keine Ausrüstung; hier stehen übliche Maschinen und Pads. Ihre Werte sind angenommen.";
    SET_UP: "Use this pass", "Diesen Durchgang nehmen";
    NOT_IN_KIT: "{0} is \"{1}\", which is not in the kit. Choose one from the list.", "{0} ist „{1}“, das gehört nicht zur Ausrüstung. Eines aus der Liste wählen.";
    PAIRS: "Before and after", "Davor und danach";
    PAIR_ONE: "{0} pair", "{0} Paar";
    PAIR_MANY: "{0} pairs", "{0} Paare";
    PAIR_NOTE: "The same marked place, wiped, before and after the passes.", "Derselbe markierte Ort, entfettet, vor und nach den Durchgängen.";
    BEFORE: "Before", "Davor";
    AFTER: "After", "Danach";
    AFTERWARDS: "then", "dann";
    ADD_PAIR: "Add pair", "Paar hinzufügen";
    PAIRS_ENOUGH: "Sixty pairs are enough for one spot. Remove one first.", "Sechzig Paare reichen für ein Feld. Zuerst eines entfernen.";
    WISH: "Scratches gone", "Kratzer weg";
    OUT_OF_REACH: "Out of reach of polishing here.", "Durch Polieren hier nicht erreichbar.";
    CHOSEN: "Chosen", "Gewählt";
    CHOOSE_WISH: "The customer wants this", "Das möchte der Kunde";
    CHOICE_FEEDS: "The choice and what the spot taught go into the plan.", "Die Wahl und was das Feld gelehrt hat, gehen in den Plan ein.";
    ADVICE: "What to do", "Was zu tun ist";
    BETWEEN: "{0} to {1}", "{0} bis {1}";
    WENT: "Taken off", "Abgetragen";
    NO_PAIRS: "no pairs yet", "noch keine Paare";
    NOT_TOLD_APART: "not told apart from nothing", "nicht von nichts zu unterscheiden";
    A_PASS: "One pass takes", "Ein Durchgang trägt ab";
    HALF_GONE: "Half the scratches gone at", "Hälfte der Kratzer weg bei";
    FROM_FILM: "from this panel's film", "aus der Schicht dieses Teils";
    NO_BUDGET: "read the panel for a budget", "für einen Vorrat das Teil messen";
    MEASURED: "measured", "gemessen";
    CALIBRATED: "calibrated", "kalibriert";
    SOURCED: "sourced", "belegt";
    COMMON: "common practice", "üblich";
    ASSUMED: "assumed", "angenommen";
    CURVE: "What correction costs", "Was Korrektur kostet";
    CURVE_LEARNT: "The band holds 19 times in 20. The cut rate is learnt on this car.", "Das Band hält in 19 von 20 Fällen. Die Abtragsrate ist an diesem Wagen gelernt.";
    CURVE_ASSUMED: "The band holds 19 times in 20. Cut rate and depths are assumed.", "Das Band hält in 19 von 20 Fällen. Abtragsrate und Tiefen sind angenommen.";
    AXIS_FILM: "Film taken off, {0}", "Abtrag, {0}";
    AXIS_GONE: "Scratch length gone, %", "Kratzerlänge weg, %";
    AXIS_MINUTES: "Minutes on one section", "Minuten für ein Feld";
    WALL: "may go {0}, at the upper end", "darf ab {0}, am oberen Ende";
    KNEE: "the next {0} % cost as much film as the first {1} %", "die nächsten {0} % kosten so viel Schicht wie die ersten {1} %";
    THIS_SPOT: "this spot", "dieses Feld";
    PASS_ONE: "{0} pass", "{0} Durchgang";
    PASS_MANY: "{0} passes", "{0} Durchgänge";
    CLEAR_AT_LEAST: "clear left at least {0}", "Klarlack mindestens {0}";
    BEYOND_BUDGET: "beyond the budget", "über dem Vorrat";
    PASS_BY_PASS: "Pass by pass", "Durchgang für Durchgang";
    GONE: "Gone", "Weg";
    COSTS: "Costs", "Kostet";
    PLAN_BESIDE: "plan and price", "Plan und Preis";
    FIRM: "Firm price", "Fester Preis";
    FIRM_NEEDS_SPOT: "The price is provisional. A test spot makes it firm.", "Der Preis ist vorläufig. Ein Probefeld macht ihn fest.";
    ACCEPT_FIRM: "Customer accepts {0}", "Kunde nimmt {0} an";
    WORK_TO_THIS: "Work to this plan", "Nach diesem Plan arbeiten";
    SCREEN_MAY_SLEEP: "This browser does not keep the screen awake. Set the device to stay on.", "Dieser Browser hält den Bildschirm nicht wach. Das Gerät auf Anbleiben stellen.";
    WIPE_CHECK: "All sections done: wipe and look", "Alle Felder fertig: entfetten und ansehen";
    WIPE_WORDS: "Wipe the polish oils off, look under the lamp. Is it as wished?", "Polieröle abwischen, unter der Lampe ansehen. Ist es wie gewünscht?";
    WORK_AGAIN: "Work again", "Noch einmal";
    AS_WISHED: "As wished", "Wie gewünscht";
    PAD_SINCE: "{0} sections since clean, {1} of {2} since new", "{0} Felder seit dem Reinigen, {1} von {2} seit neu";
    SWAP_NOW: "swap now", "jetzt tauschen";
    PAD_SWAP: "Pad swapped", "Pad getauscht";
    TOOK_IN_ALL: "{0} measured in {1} sections.", "{0} gemessen in {1} Feldern.";
    EARS: "Ears, this day", "Ohren, heute";
    OVER: "over the limit", "über der Grenze";
    USED_PLANNED_LIMIT: "so far {0}, then {1}, limit {2}", "bisher {0}, danach {1}, Grenze {2}";
    BARS_NOTE: "Film and heat: the plan's upper end. Hands and ears: this job's last 12 hours.", "Abtrag und Wärme: oberes Ende des Plans. Hände und Ohren: die letzten 12 Stunden dieses Auftrags.";
    DEED_SWAP: "Pad swapped", "Pad getauscht";
    DEED_WIPED: "Panel wiped and looked at", "Teil entfettet und angesehen";
    DEED_AGAIN: "Panel worked again", "Teil noch einmal in Arbeit";
    DEED_TABLE: "Table brought in", "Tabelle hereingeholt";
    DEED_SPOT: "Test spot set up", "Probefeld eingerichtet";
    DEED_PAIR: "Pair taken", "Paar genommen";
    DEED_UNPAIR: "Pair removed", "Paar entfernt";
    DEED_CHOSEN: "Customer's wish kept", "Wunsch des Kunden festgehalten";
    DEED_PLAN: "Plan taken over", "Plan übernommen";
    DEED_KIT: "Kit taken into the job", "Ausrüstung in den Auftrag genommen";
    TAKE_KIT: "Take the shop's kit and prices into this job", "Ausrüstung und Preise des Betriebs in diesen Auftrag nehmen";
    KIT_FIRST: "A plan needs machines, pads, polishes and rates. The shop has them all; one press takes them into this job.", "Ein Plan braucht Maschinen, Pads, Polituren und Sätze. Der Betrieb hat alles; ein Druck nimmt es in diesen Auftrag.";
    SHOP_FIRST: "A plan needs machines, pads, polishes and rates. The shop has none yet; give them once for all jobs.", "Ein Plan braucht Maschinen, Pads, Polituren und Sätze. Der Betrieb hat noch keine; einmal für alle Aufträge angeben.";
    TO_SHOP: "To the shop", "Zum Betrieb";
    DEED_PRICE: "Price accepted", "Preis angenommen";
    OFFLINE: "No network", "Kein Netz";
    OFFLINE_WORDS: "This page was not opened on this device before. Go back; what you typed is kept and is sent when the network is back.", "Diese Seite war auf diesem Gerät noch nicht offen. Zurückgehen; Eingetipptes ist bewahrt und wird gesendet, wenn das Netz wieder da ist.";
}

/// Pairs of a test spot.
pub(crate) const PAIR_COUNT: Counted = Counted {
    one: PAIR_ONE,
    several: PAIR_MANY,
};

/// Passes of a pad.
pub(crate) const PASS_COUNT: Counted = Counted {
    one: PASS_ONE,
    several: PASS_MANY,
};
