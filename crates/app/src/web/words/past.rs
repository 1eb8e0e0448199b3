//! What the pages say of a job's past.

use super::catalogue;

catalogue! {
    ALL_DEEDS: "All {0} deeds, with who and when", "Alle {0} Schritte, mit wem und wann";
    TITLE: "every deed", "jeder Schritt";
    LEAD: "Newest first, times in universal time (UTC). Taking a deed back is itself a deed; nothing is ever lost from here.", "Das Neueste zuerst, Zeiten in Weltzeit (UTC). Auch das Zurücknehmen ist ein Schritt; von hier geht nie etwas verloren.";
    AT_THE_BAY: "at this machine, without an account", "an diesem Rechner, ohne Konto";
    OLDER: "Older", "Ältere";
    NEWEST: "Newest", "Neueste";
    BACK: "Back to the job", "Zurück zum Auftrag";
    FROM_TO: "{0}, then {1}", "{0}, dann {1}";
    AND_MORE: "{0}, and {1} more", "{0} und {1} weitere";
    DEED_PANELS: "Panels and gauge given", "Teile und Messgerät angegeben";
}
