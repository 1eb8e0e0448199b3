//! The engine's own sentences in the languages of the pages.
//!
//! The English words are those of the engine itself; a sentence without a
//! German one does not compile.
//! Left out: sentences that reach the page as text; they are marked English.
//! Checked by: the tests of the catalogue, and those below.

use lapwing_job::record::Sentence;

use super::Message;

macro_rules! german {
    ($($name:ident: $de:literal;)*) => {
        /// A sentence of the engine in every language.
        pub(crate) fn message(sentence: Sentence) -> Message {
            let de = match sentence { $(Sentence::$name => $de),* };
            Message { en: sentence.template(), de }
        }
    };
}

german! {
    Full: "{0}.";
    Matt: "Matter oder seidenmatter Klarlack: Maschinenpolitur machte ihn fleckig glänzend.";
    Wrap: "Folie: kein Lack, nicht mit der Maschine polieren.";
    FilmOnPaint: "Lackschutzfolie: ein anderes Verfahren mit wenig Wärme.";
    PaintedBefore: "Schon nachlackiert oder gespachtelt: Die Schichten sind nicht bekannt. Für sich prüfen oder lassen.";
    MarkedRepainted: "Beim Rundgang als nachlackiert markiert: Die Schichten sind nicht bekannt. Für sich prüfen oder lassen.";
    NotMeasured: "Nicht gemessen: kein Schichtwert auf diesem Teil. Zuerst fünf Werte messen.";
    SingleStageUnread: "Nicht gemessen: Einschichtlack ohne Messwert gilt als abgetragen, nur Finish.";
    PlasticUnread: "Kunststoff ohne Messwert: gilt als dünn, nur Finish.";
    NothingMayGo: "Es darf nichts ab: {0}.";
    OnlyMayGo: "Nur {0} dürfen ab: {1}.";
    UpToMayGo: "Bis {0} dürfen ab: {1}.";
    NoRule: "Keine Schichtregel ist in Kraft, also lässt sich kein Vorrat nennen.";
    RemovedEver: "höchstens {0} dürfen jemals ab";
    ClearLeft: "{0} Klarlack müssen am unteren Ende bleiben";
    ClearLeft1986: "{0} Klarlack müssen bleiben (Werkstattblatt von 1986)";
    QuarterOfClear: "höchstens ein Viertel des Klarlacks darf ab";
    TotalBands: "unter {0} insgesamt nur Finish, unter {1} nichts";
    HalfOfTopCoat: "mindestens {0} Decklack müssen am unteren Ende bleiben";
    SingleStage: "Einschichtlack: Farbe am Pad ist normal und sagt nichts über die Tiefe. Klarlack wird nicht angegeben.";
    PlasticClear: "Kein Messgerät für Metall misst auf Kunststoff; der Klarlack ist hier ein angenommener Aufbau.";
    ThinInAll: "Der dünnste plausible Ort hat {0} insgesamt: dünn. Kanten abkleben, zweimal prüfen.";
    TableDoesNotFit: "{0} insgesamt liegen {1} Streubreiten neben dem angenommenen Aufbau von {2}: Die Schichttabelle passt nicht zu diesem Teil, auf den genannten Klarlack also nicht bauen. [layers] ändern oder die Schichten messen.";
    HiddenBeyond: "Verdeckte Orte zeigen {0} und die freie Fläche {1}: Etwa {2} scheinen zu fehlen, mehr als Polieren erklärt. Entweder wurde die Fläche geschliffen, oder der verdeckte Ort ist anders aufgebaut, nachlackiert oder innen versiegelt. Mehr verdeckte Orte messen, bevor etwas abgetragen wird.";
    HiddenThicker: "Verdeckte Orte sind dicker, als die freie Fläche erklärt: Etwa {0} scheinen abpoliert zu sein, die kein Besuch vermerkt hat.";
    Filler: "{0} liegen über {1}: wohl Spachtel";
    UnitSlip: "{0} können eine verwechselte Einheit sein: Einheit prüfen, den Ort noch einmal messen";
    Uneven: "die Schicht streut im Teil um {0}, mehr als {1}: mehr Orte messen";
    Unrepeated: "{0} wiederholten sich nicht, die anderen Werte des Ortes liegen bei {1}; nicht im Mittel";
    MoreOdd: "{0} weitere auffällige Werte sind nicht im Mittel";
    OddFiller: "{0} unter lauter {1}: Verdacht auf Spachtel oder Nachlackierung; nicht im Mittel";
    OddRaised: "{0} unter lauter {1}: erhöht, den Ort noch einmal messen; nicht im Mittel";
    OddThin: "{0} unter lauter {1}: dünne Stelle, schon geschliffen oder poliert; nicht im Mittel";
    LowestThin: "der niedrigste Ort, {0}, liegt unter {1}: dünn";
    LowestCritical: "der niedrigste Ort, {0}, liegt unter {1}: gefährlich dünn";
    UnderFactory: "{0} sind {1} unter dem Werkslack dieses Wagens: Es fehlt Lack, geschliffen oder abgebeizt, oder er ist einschichtig; keine Nachlackierung, die Lack dazugibt";
    ThinEdge: "dünne Kante: {0} am Rand oder auf einer Kante, {1} unter dem Mittel der Fläche";
    MedianRepaint: "der Median, {0}, liegt über {1}: Verdacht auf Nachlackierung";
    RepaintLikely: "{0} gegen die Werksschicht dieses Wagens: Nachlackierung zu {1} % wahrscheinlich";
    OverOthers: "der Median, {0}, liegt {1} über dem der anderen Teile: Verdacht auf Nachlackierung";
    UnderOthers: "der Median, {0}, liegt {1} unter dem der anderen Teile: schon abpoliert, Kunststoff oder anderer Lack";
    StepBeyond: "die Schicht springt um {0} {1}: Die Fläche dahinter ist wohl nachlackiert";
    StepBefore: "die Schicht springt um {0} {1}: Die Fläche davor ist wohl nachlackiert";
    AboutAcross: "bei etwa {0} quer";
    AboutUp: "bei etwa {0} Höhe";
    BetweenSpots: "zwischen den Orten {0} und {1}";
    BetweenInOrder: "zwischen dem {0}. und dem {1}. Ort der Reihenfolge";
    NoOpenFace: "kein Wert auf der freien Fläche dieses Teils, nur am Rand, auf Kanten oder verdeckt; seine Schicht wird nicht angegeben.";
    OneReading: "ein Wert auf diesem Teil; {0} oder mehr nehmen, darüber verteilt.";
    FewReadings: "{0} Werte auf diesem Teil; {1} oder mehr nehmen, darüber verteilt.";
    OnePlaceAssumed: "{0} Werte nennen weder Ort noch Lage und stimmen so gut überein wie Wiederholungen an einem Ort; sie zählen darum als ein Ort, und wie die Schicht daneben streut, ist angenommen. Zu jedem Wert Ort oder Lage schreiben.";
    Enough: "Weitere Messwerte ändern die Entscheidung nicht.";
    NotDecisive: "Die Schicht der freien Fläche entscheidet hier nicht.";
    ReadSpread: "Die Entscheidung ist offen: fünf weitere Orte messen, darüber verteilt, und aufschreiben, wo.";
    ReadAt: "als Nächstes bei u {0}, v {1} messen; das nimmt dem Risiko einer falschen Entscheidung {2}.";
    ReadTogether: "ein Wert wendet nichts, {0} zusammen nehmen dem Risiko einer falschen Entscheidung {1}: {2}.";
    Place: "u {0} v {1}";
    NoMap: "keine Karte, also lässt sich kein Ort nennen.";
    NoPositions: "Kein Wert der freien Fläche sagt, wo er gemessen ist; das Teil ist darum eine Ebene ohne Karte. Beim Messen den Ort antippen oder u_mm und v_mm dazuschreiben.";
    OnePlace: "Alle Werte sind an einem Ort gemessen; das Teil ist darum eine Ebene ohne Karte. Fünf Orte oder mehr messen, darüber verteilt.";
    FewPlaces: "Weniger als drei Orte der freien Fläche sind bekannt; das Teil ist darum eine Ebene ohne Karte. Fünf Orte oder mehr messen, darüber verteilt.";
    OnlyLayers: "nur einzelne Schichten sind gemessen, also gibt es keine Karte.";
    NoMapFor: "Die Karte lässt sich nicht ausrechnen: {0}.";
    NoKit: "Der Auftrag hat keine vollständige Ausrüstung: Maschinen, Pads und Schleifmittel angeben.";
    NothingFits: "Auf ein so kleines Teil passen Maschine, Pad und Schleifmittel der Ausrüstung nicht zusammen.";
    AllTooHot: "Jedes Rezept der Ausrüstung kann hier über die Abbruchtemperatur kommen (mindestens {0} Anstieg, Spielraum {1}).";
    GentlestTooMuch: "Das sanfteste Rezept kann stellenweise {0} abtragen; nur {1} dürfen ab.";
    FinishingTooHot: "Hier ist nur Finish erlaubt, und jedes Finish der Ausrüstung kann über die Stopptemperatur kommen (kleinste Erwärmung {0}, Spielraum {1}).";
    NoFinishingInKit: "Nur {0} dürfen ab, deshalb ist hier nur Finish erlaubt, und die Ausrüstung hat kein Finish: ein feines oder Finish-Schleifmittel auf Finish- oder Polierpad dazunehmen.";
    GentleTooHotCoolTooMuch: "Was wenig genug abträgt ({0} stellenweise), kann über die Stopptemperatur kommen, und was kühl bleibt, kann {1} abtragen; nur {2} dürfen ab.";
    HeldByBoth: "die Schicht, die ab darf ({0}), und die Abbruchtemperatur begrenzen es, beide am vorsichtigen Ende";
    HeldByFilm: "die Schicht, die ab darf ({0}), begrenzt es, am oberen Ende des Abtrags";
    HeldByHeat: "die Abbruchtemperatur begrenzt es, am oberen Ende der Reibung; in zwei Gängen mit Abkühlpause arbeiten";
    HeldByKit: "die Ausrüstung schafft in acht Durchgängen nicht mehr";
    HeldByFinishing: "hier ist nur Finish erlaubt, und das Finish der Ausrüstung schafft nicht mehr";
    NothingVisible: "Hier ist nur Finish erlaubt, und das Finish der Ausrüstung nimmt {0} ab: Unter 1 % der Kratzer gingen weg, das sieht niemand. Es bleibt, wie es ist.";
    NothingVisibleSafe: "Das stärkste Rezept, das hier sicher ist, nimmt {0} ab: Unter 1 % der Kratzer gingen weg, das sieht niemand. Es bleibt, wie es ist; {1}.";
    Gentlest: "Sanftestes Rezept, das {0} % erreicht; {1} dürfen ab.";
    Reaches: "Erreicht {0} % von gewünschten {1} %: {2}.";
    KeepOff: "Von der Stelle mit {0} fernbleiben: Ihre Schichten sind nicht bekannt.";
    PriceForSome: "Stunden und Preis gelten für {0} von {1} Teilen: Die nicht gemessenen ({2}) zählen als gelassen. Erst messen, dann einen Preis nennen.";
    MayGetWarm: "Am oberen Ende der angenommenen Reibung kann über die Warnung bei {1} kommen: {0} (bis {2}). Teil anfühlen oder Thermometer darauf richten, Pad in Bewegung halten, zwischen den Gängen abkühlen lassen.";
    SoManyPanels: "{0} Teile";
    NotInSixtyDays: "Die Arbeit passt nicht in 60 Tage innerhalb des Auslösewerts für Vibration. Ruhigere Maschine oder mehr Leute nehmen.";
    OverOneDay: "Die Maschinenzeit bleibt unter dem Auslösewert jedes Tages; die Maschinenarbeit verteilt sich auf {0} Tag.";
    OverDays: "Die Maschinenzeit bleibt unter dem Auslösewert jedes Tages; die Maschinenarbeit verteilt sich auf {0} Tage.";
    NoisyDays: "An manchen Tagen erreicht der Lärm den unteren Auslösewert von 80 dB(A). Gehörschutz bereithalten; Sauger und Gebläse kommen dazu.";
    ReadFilmOf: "Die Schicht messen, hier fehlt sie ganz: {0}.";
    NothingToPolish: "Es ist nichts zu polieren, also änderte kein Messwert den Plan.";
    DoTestSpot: "Ein Probefeld mit {0} auf {1} machen: Zehn Paare engten die Abtragsrate ein, von mal oder geteilt durch {2} auf {3}; daran hängen {4} % der Unsicherheit beim Abtrag.";
    PointThermometer: "Gleich nach einem Gang das Thermometer auf das Teil richten: Das engt die Reibung ein, von mal oder geteilt durch {0} auf {1}, und damit jede Spitze.";
    HandsOver: "Über dem Tagesgrenzwert von 5 m/s²: aufhören oder die Arbeit auf Tage oder Leute verteilen.";
    HandsAction: "Der Auslösewert von 2,5 m/s² ist erreicht: Maschinenzeit kürzen oder andere Maschine nehmen.";
    UncertaintyAssumed: "Für {0} ist keine Unsicherheit der angegebenen Vibration genannt: {1} m/s² sind aufgeschlagen, angenommen als die übliche solcher Angaben. Die des Datenblatts eintragen, oder 0, wo sie im Wert enthalten ist.";
    HandsUnder: "Unter dem Auslösewert heißt weniger Risiko, nicht keines. Örtliche Vorschriften gehen vor.";
    EarsOver: "Über 87 dB(A) am Tag: Gehörschutz und weniger Lärm sind fällig.";
    EarsUpper: "Oberer Auslösewert von 85 dB(A) erreicht: Gehörschutz tragen.";
    EarsLower: "Unterer Auslösewert von 80 dB(A) erreicht: Gehörschutz bereithalten.";
    OverADay: "Die Zeiten ergeben zusammen mehr als 24 Stunden.";
    NotToldApartOne: "Von nichts nicht zu unterscheiden: 1 weiteres Paar zeigte {0} mit diesem Messgerät.";
    NotToldApart: "Von nichts nicht zu unterscheiden: {0} weitere Paare zeigten {1} mit diesem Messgerät.";
    NotToldApartFar: "Von nichts nicht zu unterscheiden: Erst sehr viel mehr Paare zeigten {0} mit diesem Messgerät.";
    OutOfReach: "{0} % sind durch Polieren auf diesem Teil nicht erreichbar.";
    CostsTooMuch: "{0} % kosteten {1}, mehr als ab darf: hier nicht versprechen.";
    Costs: "{0} % kosten {1}, etwa {2} Durchgänge und {3} Minuten je Feld.";
    BudgetReaches: "Die {0}, die ab dürfen, bringen {1} % nach {2} Durchgängen, am oberen Ende der Abtragsrate.";
    OnePassTooMuch: "Ein Durchgang kann so schon mehr als die {0} abtragen, die ab dürfen: sanfter arbeiten.";
    Knee: "Die nächsten {0} % kosten so viel Schicht wie die ersten {1} %: bei etwa {2} aufhören, außer es kommt auf einen Kratzer an.";
    HeatEnds: "Ab {1} % steht keine Spitze: Die Wärme ist für {0} Durchgänge am Stück gerechnet. Darüber in Gängen arbeiten und das Teil dazwischen abkühlen lassen.";
    PhotoLeftOut: "Die Dichte danach ist {0} und davor {1}: Durchgänge machen keine Kratzer mehr, darum blieb dieses Foto außen vor, obwohl sein Fehler von {2} % es erklärte. Bei gleichem Licht noch einmal aufnehmen, ohne Staub und Spuren des Pads.";
    CoolBeforePass: "Vor Durchgang {0} abkühlen lassen: Die Oberfläche kann dort über {1} kommen.";
    SaysNothing: "Die Werte sagen so gut wie nichts: Was hier steht, war vorher angenommen. Mindestens fünf Paare und zwei Fotos nehmen.";
    LampPhoto: "Ein Lampenfoto davor und danach zeigte, wie tief diese Kratzer sind: jetzt angenommen.";
    MorePairs: "Mehr Paare lehrten am meisten: Die Abtragsrate ist kaum enger als angenommen.";
    Thermometer: "Ein Thermometerwert gleich nach den Durchgängen engte die Wärme ein: Die Reibung ist angenommen.";
    SecondPhoto: "Ein zweites Foto nach mehr Durchgängen zeigte die tiefen Kratzer: Sie entscheiden, was 95 % kosten.";
    NoPairs: "Es kam kein Paar; der Abtrag ist aus Annahmen errechnet. Dieselben Orte davor und danach messen.";
    OnePair: "Nur ein Paar: Seine Streuung ist die des Messgeräts, ein Ausrutscher fiele nicht auf. Mindestens fünf nehmen.";
    Paused: "Die Durchgänge dauerten {0}, der Weg mit dieser Armgeschwindigkeit dauert {1}. Die übrigen {2} zählen als Pausen und Wenden, jeder Durchgang braucht {3} mal seinen Weg. War der Arm langsamer, die Armgeschwindigkeit ändern: Ein langsamer Arm trägt je Durchgang mehr ab.";
    FewStand: "Von {0} Annahmen lassen die Werte {1} stehen: Die Abtragsrate, die sie verlangen, liegt {2} Abweichungen neben der Mitte der Annahme. Die Antwort ruht nicht auf diesen wenigen, sie ist über ein Gitter summiert; aber prüfen, ob Pad, Schleifmittel, Kraft und Durchgänge die dieses Feldes sind.";
    AgreeTooWell: "Die Paare stimmen besser überein, als ein Messgerät mit {0} erlaubt. Wiederholgenauigkeit prüfen: Ist das Gerät besser als angegeben, sagt die Probe mehr.";
    SpreadMore: "Die Paare streuen mehr, als ein Messgerät mit {0} erklärt; gerechnet ist mit {1}. Ist die Schablone verrutscht oder das Feld ungleich?";
    WarmthDisagrees: "Die Oberfläche wurde um {0} wärmer; angenommen war ein Reibungsanteil von {1} bis {2}, der sie um {3} bis {4} wärmt. Die Annahme schließt das Thermometer fast aus: Die genannten {5} liegen zwischen beiden. Ort und Zeit der Messung, Drehzahl, Kraft und Vorschub prüfen oder ein weiteres [prior] angeben.";
    PriorDisagrees: "Die Werte sagen {0}, angenommen waren {1} bis {2}. Die Annahme schließt die Werte fast aus und zieht die Antwort zwischen beide: Durchgänge, Pad- und Schleifmittelklasse und Kraft prüfen oder ein weiteres [prior] angeben.";
    HardlyLearnt: "Die Werte sagen so gut wie nichts über die Abtragsrate: Ihre Spanne bleibt bei {0} % der Annahme. Mehr Durchgänge oder mehr Paare sagten mehr.";
    SurfaceReaches: "Die Oberfläche erreicht {0}, über den {1}, bei denen das Handwerk aufhört; Quellen nennen {2} bis {3}.";
    PaintThrough: "An der tiefsten Stelle ist der Lack nach etwa {0} durch: Danach sagen die Zahlen nichts mehr.";
    PlasticSoftens: "Kunststoff wird ab etwa {0} weich und verbrennt, und so heiß ist er nach {1}: Danach sagen die Zahlen nichts mehr.";
    PaintBurns: "Lack verbrennt ab etwa {0}, und so heiß ist er nach {1}: Danach sagen die Zahlen nichts mehr.";
    NoFinishThrough: "Glanz und Finish sind nicht angegeben: An der tiefsten Stelle ist der Klarlack nach etwa {0} durch.";
    NoFinishBurnt: "Glanz und Finish sind nicht angegeben: Die Oberfläche ist verbrannt, über {0} nach {1}.";
    GoesThrough: "Die tiefste Stelle verliert {0}; {1} ist {2} dick. Dieser Durchgang geht durch.";
    MayGoThrough: "Am oberen Ende der Abtragsrate verliert die tiefste Stelle {0}; {1} ist {2} dick. Dieser Durchgang kann durchgehen.";
    OverAQuarter: "Die tiefste Stelle verliert {0}, mehr als ein Viertel von {1} {2}; viele Datenblätter erlauben im ganzen Leben nicht mehr.";
    FoamCrushed: "An der härtesten Stelle würde der Schaum auf das {0}-Fache seiner Dicke gedrückt, was kein Pad kann: Es schlägt dort durch. Druck, Abtrag und Wärme dieser Stelle gelten für kein wirkliches Pad; weniger Kraft, weniger Neigung oder ein dickeres oder steiferes Pad nehmen.";
    PathThinned: "Die {0} Punkte wurden als {1} gezeichnet; jeder Punkt liegt höchstens {2} mm von dort, wo er stand, zu seiner Zeit.";
    FoamPressed: "Der Schaum ist an der härtesten Stelle auf {0} % seiner Dicke gedrückt; dort wird er hart, die wahre Spitze ist höher.";
    LiftsOff: "Ein Teil des Pads hebt ab oder hängt über: Mindestens {0} % seiner Fläche berühren.";
    BesidePanel: "{0} lang ist das Pad neben dem Teil, mit weniger als einem Zwanzigstel seiner Fläche darauf, und tut nichts.";
    Holograms: "{0} % der Riefen liegen in einer Richtung und können im Punktlicht als Hologramme erscheinen. Kreuzweise arbeiten oder mit dem Exzenter beenden.";
    NoHaze: "Der Glanz bei 60° ist {0} GE; Schleier ist erst über 70 festgelegt.";
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(text: &str) -> Vec<&str> {
        let parts = text.split('{').skip(1);
        let mut found: Vec<&str> = parts.filter_map(|rest| rest.split('}').next()).collect();
        found.sort_unstable();
        found
    }

    #[test]
    fn no_sentence_of_the_engine_has_lost_a_place_in_german() {
        for sentence in Sentence::ALL {
            let Message { en, de } = message(*sentence);
            assert_eq!(places(en), places(de), "{sentence:?}");
            let is_bare = matches!(sentence, Sentence::Full | Sentence::Place);
            assert!(is_bare || en != de, "{sentence:?} is English in German");
        }
    }
}
