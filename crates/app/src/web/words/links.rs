//! What the pages about a customer's link say.

use super::catalogue;

catalogue! {
    TITLE: "Links for the customer", "Links für den Kunden";
    LEAD: "A link shows this job's record to whoever has it, and nothing else of the shop.", "Ein Link zeigt den Nachweis dieses Auftrags allen, die ihn haben, und sonst nichts vom Betrieb.";
    ALONE: "This server listens to this machine alone, so nobody else can open a link. Serve the shop's network first:", "Dieser Server hört nur auf diesen Rechner; niemand sonst kann einen Link öffnen. Zuerst im Netz des Betriebs anbieten:";
    UNSIGNED: "The record is not signed yet. Until it is, a link shows only the car.", "Das Protokoll ist noch nicht unterschrieben. Bis dahin zeigt ein Link nur den Wagen.";
    LASTS: "It works for", "Er gilt";
    DAYS: "{0} days", "{0} Tage";
    MAKE: "Make a link", "Link machen";
    READY: "The link is ready", "Der Link ist fertig";
    SQUARE: "Square with the customer's link", "Quadrat mit dem Link für den Kunden";
    ADDRESS: "Address", "Adresse";
    ONCE: "Send it now: it is shown only this once. A new one is quickly made.", "Jetzt verschicken: Er wird nur dieses Mal gezeigt. Ein neuer ist schnell gemacht.";
    GIVEN: "Given out", "Ausgegeben";
    MADE: "made {0}, works until {1}", "gemacht {0}, gilt bis {1}";
    WITHDRAW: "Take it back", "Zurückziehen";
    WITHDRAWN: "taken back", "zurückgezogen";
    OVER: "over", "abgelaufen";
    TO_LINKS: "Links for the customer", "Links für den Kunden";
    RECORD: "Your car", "Ihr Wagen";
    UNTIL: "This page works until {0}.", "Diese Seite gilt bis {0}.";
    IS_OVER: "This link's time is over. Ask the shop for a new one.", "Die Zeit dieses Links ist um. Den Betrieb um einen neuen bitten.";
    IS_WITHDRAWN: "The shop took this link back. Ask them for a new one.", "Der Betrieb hat diesen Link zurückgezogen. Dort um einen neuen bitten.";
    IS_NONE: "This is no link of ours. Copy the whole address from the shop's message.", "Das ist kein Link von uns. Die ganze Adresse aus der Nachricht des Betriebs kopieren.";
}
