//! What the film page says.

use super::catalogue;

catalogue! {
    BESIDE: "what the gauge says", "was das Messgerät sagt";
    READINGS: "Readings, pasted", "Messwerte, eingefügt";
    PASTED: "the pasted readings", "die eingefügten Messwerte";
    NO_READINGS: "No readings came. Paste them or choose a file; the first line names the columns panel and thickness_um.", "Es kamen keine Messwerte. Einfügen oder eine Datei wählen; die erste Zeile nennt die Spalten panel und thickness_um.";
    FILE: "Or as a file", "Oder als Datei";
    COLUMNS: "Columns: panel, and one of thickness_um, thickness_mil, thickness_mm; if you like u_mm, v_mm, spot, repeat, place.", "Spalten: panel und eine von thickness_um, thickness_mil, thickness_mm; auf Wunsch u_mm, v_mm, spot, repeat, place.";
    SYSTEM: "Paint", "Lack";
    BASE_CLEAR: "Colour under clear", "Basislack mit Klarlack";
    SINGLE_STAGE: "Single stage", "Einschicht";
    UNDER: "Under the paint", "Unter dem Lack";
    STEEL: "Steel", "Stahl";
    ALUMINIUM: "Aluminium", "Aluminium";
    PLASTIC: "Plastic", "Kunststoff";
    LAMINATE: "Laminate", "Laminat";
    CLASS: "Drawn as", "Gezeichnet als";
    ESTATE: "Estate", "Kombi";
    HATCHBACK: "Hatchback", "Schrägheck";
    SALOON: "Saloon", "Limousine";
    LARGE_SUV: "Large SUV", "Großer Geländewagen";
    PANEL_VAN: "Panel van", "Kastenwagen";
    PICK_UP: "Pick-up", "Pick-up";
    WORK_OUT: "Work it out", "Auswerten";
    EXAMPLE: "Readings of the example car", "Messwerte des Beispielwagens";
    OTHERS: "Other readings", "Andere Messwerte";
    ANSWER: "The car and what the readings say", "Der Wagen und was die Messwerte sagen";
    CAR: "Whole film, panel by panel", "Gesamtschicht, Teil für Teil";
    SAY: "What the readings say", "Was die Messwerte sagen";
    TABLE: "Panels in numbers", "Die Teile in Zahlen";
    PANEL: "Panel", "Teil";
    COUNT: "Readings", "Werte";
    MEAN: "Mean", "Mittel";
    CLEAR: "Clear left", "Klarlack";
    MAY_GO: "May go", "Darf ab";
    RULE: "Rule that binds", "Regel, die bindet";
    LEAVE: "Leave", "Lassen";
    FINISH_ONLY: "Finish only", "Nur Finish";
    POLISH: "Polish", "Polieren";
    SURE: "Film is measured; clear left is worked out from an assumed build; what may go holds 19 times in 20.", "Die Schicht ist gemessen; der Klarlack ist aus einem angenommenen Aufbau errechnet; was ab darf, hält in 19 von 20 Fällen.";
}
