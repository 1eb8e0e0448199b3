//! What the list of jobs says.

use super::{Counted, catalogue};

catalogue! {
    BESIDE: "what is next, what waits", "was ansteht, was wartet";
    ENQUIRE: "New enquiry", "Neue Anfrage";
    EVERY: "All", "Alle";
    STAGES: "By stage", "Nach Schritt";
    ST_ENQUIRY: "Enquiry", "Anfrage";
    ST_INTAKE: "Intake", "Annahme";
    ST_WASH: "Wash", "Wäsche";
    ST_INSPECT: "Readings", "Messung";
    ST_TRIAL: "Test spot", "Probefeld";
    ST_PLAN: "Plan", "Plan";
    ST_WORK: "Work", "Arbeit";
    ST_COAT: "Coat", "Schutz";
    ST_PROVE: "Proof", "Nachweis";
    ST_HANDED: "Handed over", "Übergeben";
    N_ENQUIRY: "Book the car in and walk round it", "Wagen annehmen und herumgehen";
    N_INTAKE: "Walk round, then wash", "Rundgang, dann Wäsche";
    N_WASH: "Finish the wash, then read the film", "Wäsche beenden, dann messen";
    N_INSPECT: "More readings, then the plan", "Weiter messen, dann der Plan";
    N_TRIAL: "Finish the test spot, then the plan", "Probefeld beenden, dann der Plan";
    N_PLAN: "Begin the work", "Mit der Arbeit beginnen";
    N_WORK: "Go on with the next section", "Mit dem nächsten Feld weiter";
    N_COAT: "Level the coating, then prove", "Schutz auspolieren, dann nachweisen";
    N_PROVE: "Show what changed, then sign", "Zeigen, was sich änderte, dann unterschreiben";
    N_HANDED: "Done; only the after-care is left", "Fertig; es bleibt nur die Nachsorge";
    NEXT_IS: "Next:", "Als Nächstes:";
    CONFLICTS_ONE: "{0} change to decide", "{0} Änderung zu entscheiden";
    CONFLICTS_MANY: "{0} changes to decide", "{0} Änderungen zu entscheiden";
    LEAVE_ONE: "{0} panel too thin: leave it?", "{0} Teil zu dünn: lassen?";
    LEAVE_MANY: "{0} panels too thin: leave them?", "{0} Teile zu dünn: lassen?";
    DOUBT_ONE: "{0} panel in doubt", "{0} Teil mit Zweifel";
    DOUBT_MANY: "{0} panels in doubt", "{0} Teile mit Zweifel";
    OFFER: "offer open", "Angebot offen";
    NO_FIND: "No job has these words.", "Kein Auftrag hat diese Worte.";
    MORE: "Older jobs", "Ältere Aufträge";
    OPEN_PLAIN: "Open a job without an enquiry", "Auftrag ohne Anfrage anlegen";
    BAD_PAGE: "That page of the list is not understood. Open the list again.", "Diese Seite der Liste ist nicht verstanden. Die Liste noch einmal öffnen.";
}

/// Edits that wait.
pub(crate) const CONFLICTS: Counted = Counted {
    one: CONFLICTS_ONE,
    several: CONFLICTS_MANY,
};

/// Panels that should be left.
pub(crate) const LEAVE: Counted = Counted {
    one: LEAVE_ONE,
    several: LEAVE_MANY,
};

/// Panels with a finding.
pub(crate) const DOUBTS: Counted = Counted {
    one: DOUBT_ONE,
    several: DOUBT_MANY,
};
