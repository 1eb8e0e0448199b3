//! What is given of panels and gauge, in words.

use super::catalogue;

catalogue! {
    BESIDE: "panels and gauge", "Teile und Messgerät";
    TITLE: "Panels and gauge", "Teile und Messgerät";
    GAUGE: "The gauge", "Das Messgerät";
    GAUGE_UM: "Repeats to (one standard deviation)", "Wiederholt auf (eine Standardabweichung)";
    GAUGE_LEAD: "Its data sheet says it, or ten readings at one place show it. Left empty, it is estimated from places read twice.", "Es steht im Datenblatt, oder zehn Messungen an einem Ort zeigen es. Leer wird es aus doppelt gemessenen Orten geschätzt.";
    PANELS: "The panels", "Die Teile";
    PANELS_LEAD: "A measured size replaces the estimate from the body class: width first, then height or length, straight across. What lies under the paint decides whether a gauge reads it and how it carries heat away.", "Eine gemessene Größe ersetzt die Schätzung aus der Karosserieform: erst Breite, dann Höhe oder Länge, gerade hinüber. Was unter dem Lack liegt, entscheidet, ob das Messgerät dort misst und wie Wärme abfließt.";
    UNDER: "Under the paint", "Unter dem Lack";
    WIDE: "Width", "Breite";
    TALL: "Height or length", "Höhe oder Länge";
    ESTIMATED: "size estimated", "Größe geschätzt";
    KEEP: "Keep these", "So bewahren";
    TO_READINGS: "To the readings", "Zu den Messwerten";
    GIVE_SIZE: "Give size, what is under the paint, and the gauge", "Größe, Untergrund und Messgerät angeben";
    ONE_SIDE: "{0}: only one side is given. Type both, or leave both empty.", "{0}: Nur eine Seite ist angegeben. Beide eintippen oder beide leer lassen.";
    NOT_WHOLE: "The form is not whole: each panel comes with what is under it, width and height. Send it from the page.", "Das Formular ist nicht vollständig: Zu jedem Teil gehören Untergrund, Breite und Höhe. Bitte von der Seite aus senden.";
    SHOP_GAUGE_LEAD: "New jobs take it along; each job can say otherwise on its page of panels and gauge.", "Neue Aufträge nehmen es mit; jeder Auftrag kann es auf seiner Seite für Teile und Messgerät anders sagen.";
    KEEP_GAUGE: "Keep the gauge", "Messgerät bewahren";
}
