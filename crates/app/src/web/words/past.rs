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
    NOT_ANY_MORE: "That can no longer be taken back: it is taken back already, or something later stands on it. Open \"every deed\" of the job; what can be taken back has a button there.", "Das lässt sich nicht mehr zurücknehmen: Es ist schon zurückgenommen, oder Späteres baut darauf auf. „Jeder Schritt“ des Auftrags zeigt, was sich zurücknehmen lässt.";
    NOT_THE_RECORD: "A signed record is not taken back. Change the job and sign another one; the newer record holds.", "Ein unterschriebenes Protokoll wird nicht zurückgenommen. Den Auftrag ändern und ein neues unterschreiben; das neuere gilt.";
    SIGNED_ALREADY: "The record of this job is signed. Work on all the same? Then sign another record.", "Das Protokoll dieses Auftrags ist unterschrieben. Trotzdem weiterarbeiten? Dann ein neues unterschreiben.";
    BEGIN_ANYWAY: "Begin all the same", "Trotzdem beginnen";
    DEED_READING_OUT: "Reading taken out", "Messwert herausgenommen";
    DEED_PANELS: "Panels and gauge given", "Teile und Messgerät angegeben";
}
