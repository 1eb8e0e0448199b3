//! Sentences of engine and store that come as finished English text: how each
//! is said in German.
//!
//! `{0}`, `{1}` are what stands in a sentence's places; a place is said in
//! German in its turn where it is itself one of these sentences, a panel or a
//! number. Sentences that come with their parts apart are in [`super::said`].
//! Checked by: the tests of `retold`.

use super::{Message, catalogue};

macro_rules! patterns {
    ($($en:literal, $de:literal;)*) => {
        /// Every sentence with its places.
        pub(crate) const PATTERNS: &[Message] = &[$(Message { en: $en, de: $de }),*];
    };
}

patterns! {
    // Where in a file.
    "{0}, line {1}, column {2}: {3}", "{0}, Zeile {1}, Spalte {2}: {3}";
    "{0}, line {1}: {2}", "{0}, Zeile {1}: {2}";
    "{0}.csv: {1}", "{0}.csv: {1}";
    "{0}.toml: {1}", "{0}.toml: {1}";
    "readings taken here: {0}", "hier genommene Messwerte: {0}";
    // Store.
    "The database does not answer ({0}). Nothing was lost; wait a moment and try again, or look whether it is running.", "Die Datenbank antwortet nicht ({0}). Nichts ging verloren; kurz warten und noch einmal versuchen oder nachsehen, ob sie läuft.";
    "The picture store does not answer ({0}). Nothing was lost; wait a moment and try again, or look whether it is running.", "Der Fotospeicher antwortet nicht ({0}). Nichts ging verloren; kurz warten und noch einmal versuchen oder nachsehen, ob er läuft.";
    "The database has no room left. Reading still works and nothing was lost; free some space, then save again.", "Die Datenbank hat keinen Platz mehr. Lesen geht weiter, nichts ging verloren; Platz schaffen und noch einmal speichern.";
    "The picture store has no room left. Reading still works and nothing was lost; free some space, then save again.", "Der Fotospeicher hat keinen Platz mehr. Lesen geht weiter, nichts ging verloren; Platz schaffen und noch einmal speichern.";
    "The disk has no room left. Reading still works and nothing was lost; free some space, then save again.", "Die Platte hat keinen Platz mehr. Lesen geht weiter, nichts ging verloren; Platz schaffen und noch einmal speichern.";
    "There is no job `{0}` in this shop. Go back to the list and choose one.", "Den Auftrag „{0}“ gibt es in diesem Betrieb nicht. Zurück zur Liste und einen wählen.";
    "There is no event `{0}` in this shop. Go back to the list and choose one.", "Den Schritt „{0}“ gibt es in diesem Betrieb nicht. Zurück zur Liste und einen Auftrag wählen.";
    "There is no picture `{0}` in this shop. Go back to the list and choose one.", "Das Foto „{0}“ gibt es in diesem Betrieb nicht. Zurück zur Liste und einen Auftrag wählen.";
    "There is no person `{0}` in this shop. Go back to the list and choose one.", "Die Person „{0}“ gibt es in diesem Betrieb nicht. Zurück zur Liste und jemanden wählen.";
    "There is no {0} `{1}` in this shop. Go back to the list and choose one.", "„{1}“ gibt es in diesem Betrieb nicht. Zurück zur Liste und neu wählen.";
    "There is no such job. Go back to the list and choose one.", "Diesen Auftrag gibt es nicht. Zurück zur Liste und einen wählen.";
    "{0}. Run `lapwing verify`, and restore from the last backup if it agrees.", "{0}. `lapwing verify` laufen lassen und, wenn es das bestätigt, die letzte Sicherung zurückholen.";
    "The store stumbled: {0}. This is our fault; please report it.", "Der Speicher ist gestolpert: {0}. Das ist unser Fehler; bitte melden.";
    "This is our fault, not yours: {0}", "Das ist unser Fehler, nicht Ihrer: {0}";
    "The place `{0}` of the job cannot be changed: {1}.", "Die Stelle „{0}“ des Auftrags lässt sich nicht ändern: {1}.";
    "That edit was set aside and never took effect; settle it instead.", "Diese Änderung wurde beiseitegelegt und galt nie; stattdessen darüber entscheiden.";
    "`{0}` was already taken back (event {1}).", "„{0}“ wurde schon zurückgenommen (Schritt {1}).";
    "`{0}` cannot be taken back alone: `{1}` (event {2}) has changed the same place since. Take that back first.", "„{0}“ lässt sich nicht allein zurücknehmen: „{1}“ (Schritt {2}) hat dieselbe Stelle danach geändert. Das zuerst zurücknehmen.";
    "The edit says it saw version {0} of the job, which is at {1}. Load the job again.", "Die Änderung nennt die Fassung {0} des Auftrags, der bei {1} steht. Den Auftrag neu laden.";
    "The id `{0}` already belongs to another edit. Give each edit an id of its own.", "Die Kennung „{0}“ gehört schon zu einer anderen Änderung. Jede Änderung braucht ihre eigene.";
    "The job has grown over 16 MB. Open a new job for the rest, or put large things into photos.", "Der Auftrag ist über 16 MB groß. Für den Rest einen neuen öffnen oder Großes als Foto ablegen.";
    "An edit names the version it saw, 0 or more.", "Eine Änderung nennt die Fassung, die sie sah: 0 oder mehr.";
    "{0} should be 1 to 64 letters, digits, `-` or `_`.", "{0} sollte 1 bis 64 Buchstaben, Ziffern, - oder _ haben.";
    "{0} should be one line of 1 to {1} signs.", "{0} sollte eine Zeile mit 1 bis {1} Zeichen sein.";
    "The login `{0}` is taken. Choose another.", "Der Anmeldename „{0}“ ist vergeben. Einen anderen wählen.";
    "The shop needs an owner. Make someone else an owner first.", "Der Betrieb braucht jemanden mit allen Rechten. Zuerst einer anderen Person alle Rechte geben.";
    "A password should have 10 to 200 signs. Four plain words do well.", "Ein Kennwort sollte 10 bis 200 Zeichen haben. Vier einfache Wörter genügen.";
    "The zip is not taken: {0}. Send a folder with job.toml, readings.csv and photos, zipped as it is.", "Das Zip wird nicht angenommen: {0}. Einen Ordner mit job.toml, readings.csv und Fotos senden, so gezippt, wie er ist.";
    "The shop has this job already, and its history went another way than the zip's (they part before event {0}). Nothing was changed; export the shop's own first and compare.", "Der Betrieb hat diesen Auftrag schon, und sein Verlauf ging anders weiter als der im Zip (sie trennen sich vor Schritt {0}). Nichts wurde geändert; zuerst den eigenen ausgeben und vergleichen.";
    // Photos.
    "This is no JPEG, PNG or WebP picture. Take the photo again, or save it as JPEG and send that.", "Das ist kein Bild in JPEG, PNG oder WebP. Noch einmal fotografieren oder als JPEG speichern und das senden.";
    "This photo is in the HEIC format, which cannot be shown everywhere. In the camera's settings choose the most compatible format (JPEG), or send a screenshot of it.", "Dieses Foto ist im Format HEIC, das nicht überall zu sehen ist. In der Kamera das kompatibelste Format (JPEG) wählen oder ein Bildschirmfoto davon senden.";
    "This is a moving picture. Send a still one.", "Das ist ein bewegtes Bild. Ein stehendes senden.";
    "The photo is cut off before its end. Send it again.", "Das Foto ist vor seinem Ende abgeschnitten. Noch einmal senden.";
    "The photo is damaged inside. Take or save it again.", "Das Foto ist innen beschädigt. Noch einmal aufnehmen oder speichern.";
    "The photo has more than {0} MB. Send a smaller one.", "Das Foto hat mehr als {0} MB. Ein kleineres senden.";
    "The photo is {0} pixels; at most {1} along a side and {2} million altogether are taken. Send a smaller one.", "Das Foto hat {0} Pixel; höchstens {1} je Seite und {2} Millionen insgesamt werden angenommen. Ein kleineres senden.";
    // The door.
    "There is no such file.", "Diese Datei gibt es nicht.";
    "This job has no such link.", "Diesen Link hat der Auftrag nicht.";
    "This change was asked for by another site. Open the page here and try again.", "Diese Änderung kam von einer fremden Seite. Die Seite hier öffnen und noch einmal versuchen.";
    "Nothing is taken without encryption here. Use the address that begins with https.", "Hier wird nichts ohne Verschlüsselung angenommen. Die Adresse mit https benutzen.";
    "The address names the host \"{0}\"; {1}", "Die Adresse nennt den Rechner „{0}“; {1}";
    "allowed are the machine's addresses and the names given with --name.", "erlaubt sind die Adressen dieses Rechners und die mit --name angegebenen Namen.";
    "without accounts only this machine is answered, as 127.0.0.1 or localhost.", "ohne Konten wird nur dieser Rechner bedient, als 127.0.0.1 oder localhost.";
    // Records and job files.
    "The signature is good, but it is no record of a visit ({0}).", "Die Unterschrift ist gut, aber es ist kein Protokoll eines Besuchs ({0}).";
    "job.toml names the file \"{0}\", which this job does not have. Bring it in with the job folder as a zip, or take that line out.", "job.toml nennt die Datei „{0}“, die dieser Auftrag nicht hat. Sie mit dem Auftragsordner als Zip hereinholen oder die Zeile herausnehmen.";
    "job.toml names the file \"{0}\", which was not sent along. Take that line out, or use `lapwing plan` on the folder.", "job.toml nennt die Datei „{0}“, die nicht mitgesendet wurde. Die Zeile herausnehmen oder `lapwing plan` auf den Ordner anwenden.";
    "Altered: the record was changed after it was signed. Do not rely on it.", "Verändert: Das Protokoll wurde nach der Unterschrift geändert. Nicht darauf verlassen.";
    "Not genuine: the signature does not belong to this record. Do not rely on it.", "Nicht echt: Die Unterschrift gehört nicht zu diesem Protokoll. Nicht darauf verlassen.";
    // Tables of readings.
    "there is a header but no reading on a panel. At least one line with a panel and a film thickness is needed; add the readings below the header.", "es gibt eine Kopfzeile, aber keinen Messwert. Mindestens eine Zeile mit Teil und Schichtdicke ist nötig; die Messwerte unter die Kopfzeile schreiben.";
    "the file is {0} MB. Readings are taken from files up to 64 MB; leave out what is not a reading of this car.", "die Datei hat {0} MB. Messwerte werden aus Dateien bis 64 MB genommen; weglassen, was kein Messwert dieses Wagens ist.";
    "a zero byte came where text is allowed: this is not a table, or UTF-16 without its mark. Save it again as \"CSV UTF-8\".", "ein Nullbyte kam, wo Text erlaubt ist: Das ist keine Tabelle oder UTF-16 ohne Kennung. Noch einmal als „CSV UTF-8“ speichern.";
    "the file is empty. A header line with at least panel and thickness_um is needed, then one reading a line.", "die Datei ist leer. Nötig ist eine Kopfzeile mit mindestens panel und thickness_um, dann je Zeile ein Messwert.";
    "byte {0} of the file (value {1}) is not UTF-8. UTF-8 and marked UTF-16 are read; save the table again as \"CSV UTF-8\".", "Byte {0} der Datei (Wert {1}) ist kein UTF-8. Gelesen werden UTF-8 und gekennzeichnetes UTF-16; die Tabelle noch einmal als „CSV UTF-8“ speichern.";
    "byte {0} of the file is not UTF-16, though the file is marked as such. UTF-8 and marked UTF-16 are read; save the table again as \"CSV UTF-8\".", "Byte {0} der Datei ist kein UTF-16, obwohl sie so gekennzeichnet ist. Gelesen werden UTF-8 und gekennzeichnetes UTF-16; die Tabelle noch einmal als „CSV UTF-8“ speichern.";
    "the column {0} is not known and was passed over.{1}", "die Spalte {0} ist nicht bekannt und wurde übergangen.{1}";
    "both {0} and {1} look like the {2} column. One is allowed; rename or remove the other.", "{0} und {1} sehen beide nach der Spalte {2} aus. Eine ist erlaubt; die andere umbenennen oder entfernen.";
    "the position columns u and v have no unit we know. Name them u_mm and v_mm, or u_in and v_in.", "die Ortsspalten u und v haben keine bekannte Einheit. Sie u_mm und v_mm nennen oder u_in und v_in.";
    "there is a {0} column but no {1} column. A position needs both; add {2} or remove {3}.", "es gibt eine Spalte {0}, aber keine Spalte {1}. Ein Ort braucht beide; {2} ergänzen oder {3} entfernen.";
    "there is no column {0}. The {1} found: {2}. The first line must name the columns: panel, and one of thickness_um, thickness_mil, thickness_mm.", "es gibt keine Spalte {0}. Gefunden: {2}. Die erste Zeile muss die Spalten nennen: panel und eine von thickness_um, thickness_mil, thickness_mm.";
    "{0} has a comma in it, and commas separate the cells here. Write a decimal point, or separate the cells by semicolons.", "{0} enthält ein Komma, und Kommas trennen hier die Zellen. Einen Dezimalpunkt schreiben oder die Zellen mit Semikolon trennen.";
    "{0} is not a number. Write a plain number such as 112.4.", "{0} ist keine Zahl. Eine einfache Zahl schreiben, etwa 112.4.";
    "{0} is too large to be a number here. Write a plain number such as 112.4.", "{0} ist hier als Zahl zu groß. Eine einfache Zahl schreiben, etwa 112.4.";
    "{0} is negative. A film is {1} to {2} µm; read the spot again, or write \"zero\" as its place if it is a zero check.", "{0} ist negativ. Eine Schicht hat {1} bis {2} µm; den Ort noch einmal messen oder als Ort „zero“ schreiben, wenn es eine Nullprobe ist.";
    "{0} is outside the {1} to {2} µm a painted panel can have: read the spot again, or write \"zero\" as its place if it is a zero check.", "{0} liegt außerhalb von {1} bis {2} µm, die ein lackiertes Teil haben kann: den Ort noch einmal messen oder als Ort „zero“ schreiben, wenn es eine Nullprobe ist.";
    "{0} is outside the {1} to {2} µm a painted panel can have: it looks like {3}. Put the right unit into the header.", "{0} liegt außerhalb von {1} bis {2} µm, die ein lackiertes Teil haben kann: Es sieht nach {3} aus. Die richtige Einheit in die Kopfzeile schreiben.";
    "{0} is outside the {1} to {2} µm a single layer can have. Check the unit, or leave the layer empty if it is the whole film.", "{0} liegt außerhalb von {1} bis {2} µm, die eine einzelne Schicht haben kann. Einheit prüfen oder die Schicht leer lassen, wenn es die Gesamtschicht ist.";
    "the table cannot be read ({0}). Save it again.", "die Tabelle lässt sich nicht lesen ({0}). Noch einmal speichern.";
    "repeat {0} of spot {1} on {2} stands in line {3} already. Every repeat of a spot has its own number; count on, or remove the line that was written twice.", "die Wiederholung {0} von Ort {1} auf {2} steht schon in Zeile {3}. Jede Wiederholung hat ihre eigene Nummer; weiterzählen oder die doppelte Zeile entfernen.";
    "a quotation mark opens a cell that runs over the end of the line. A cell is one line; close or remove the quotation mark.", "ein Anführungszeichen öffnet eine Zelle, die über das Zeilenende läuft. Eine Zelle ist eine Zeile; das Zeichen schließen oder entfernen.";
    "the line has {0} cells and the header {1}. If a decimal comma cut a value in two, write a decimal point, or separate the cells by semicolons.", "die Zeile hat {0} Zellen, die Kopfzeile {1}. Hat ein Dezimalkomma einen Wert zerteilt, einen Dezimalpunkt schreiben oder die Zellen mit Semikolon trennen.";
    "the film thickness is missing. Write a plain number such as 112.4, or remove the line.", "die Schichtdicke fehlt. Eine einfache Zahl schreiben, etwa 112.4, oder die Zeile entfernen.";
    "{0} is not a number or not a unit of film. Write a plain number such as 112.4, in um, mil or mm.", "{0} ist keine Zahl oder keine Einheit der Schicht. Eine einfache Zahl schreiben, etwa 112.4, in um, mil oder mm.";
    "the unit {0} contradicts the one named before it. One unit per reading is allowed; correct the header or the line.", "die Einheit {0} widerspricht der zuvor genannten. Je Messwert ist eine Einheit erlaubt; Kopfzeile oder Zeile berichtigen.";
    "{0} has no unit: its cell in the unit column is empty. Write um, mil or mm there, or name the column thickness_um, thickness_mil or thickness_mm.", "{0} hat keine Einheit: Die Zelle der Einheitenspalte ist leer. Dort um, mil oder mm schreiben oder die Spalte thickness_um, thickness_mil oder thickness_mm nennen.";
    "only one of u and v is given. A position needs both, or neither; fill in the other or clear the one.", "nur eines von u und v ist angegeben. Ein Ort braucht beide oder keines; das andere ergänzen oder das eine löschen.";
    "the position {0} is negative. Positions are counted from the panel's lower left corner, u across and v up, so 0 to 10 m is allowed; count from that corner.", "der Ort {0} ist negativ. Gezählt wird von der unteren linken Ecke des Teils, u quer und v aufwärts, erlaubt ist also 0 bis 10 m; von dieser Ecke zählen.";
    "{0} is not a position on a panel. A plain number within 10 m is allowed, its unit stands in the header.", "{0} ist kein Ort auf einem Teil. Erlaubt ist eine einfache Zahl bis 10 m, die Einheit steht in der Kopfzeile.";
    "a zero check of {0} µm is no zero check. A few µm around 0 are allowed; zero the gauge and read the bare plate again.", "eine Nullprobe mit {0} µm ist keine. Erlaubt sind wenige µm um 0; das Messgerät nullen und die blanke Platte noch einmal messen.";
    "the place {0} is not known. Allowed are field, edge, crease, hidden and zero; leave it empty for the open face of the panel.", "der Ort {0} ist nicht bekannt. Erlaubt sind field, edge, crease, hidden und zero; für die freie Fläche leer lassen.";
    "the column {0} names no unit. Allowed are thickness_um, thickness_mil and thickness_mm, or a unit column beside it; rename the column.", "die Spalte {0} nennt keine Einheit. Erlaubt sind thickness_um, thickness_mil und thickness_mm oder eine Einheitenspalte daneben; die Spalte umbenennen.";
    "the layer {0} is not known. Allowed are total, clear, top, base, primer and e-coat; leave it empty for the whole film.", "die Schicht {0} ist nicht bekannt. Erlaubt sind total, clear, top, base, primer und e-coat; für die Gesamtschicht leer lassen.";
    "the repeat {0} is not a count. Write 1, 2, 3 and so on.", "die Wiederholung {0} ist keine Anzahl. 1, 2, 3 und so weiter schreiben.";
    "the panel is {0}. Write which panel the reading was taken on.", "das Teil ist {0}. Schreiben, auf welchem Teil gemessen wurde.";
    "{0} is no panel's name we know, so it counts as a panel of its own. Did you mean {1}? Correct the name, or leave it if it is your own.", "{0} ist kein bekannter Name eines Teils und zählt als eigenes Teil. War {1} gemeint? Den Namen berichtigen oder lassen, wenn es ein eigener ist.";
    "the job has no panel {0}. Did you mean {1}? Correct the name, or add the panel to the job.", "der Auftrag hat kein Teil {0}. War {1} gemeint? Den Namen berichtigen oder das Teil in den Auftrag aufnehmen.";
    "the job has no panel {0}, nor any other. Add the panel to the job.", "der Auftrag hat weder das Teil {0} noch ein anderes. Das Teil in den Auftrag aufnehmen.";
    // What the gauge's readings make doubtful.
    "the gauge shows {0} µm on the bare plate, more than {1} µm off; the readings are taken as they are. Zero the gauge and read again.", "das Messgerät zeigt {0} µm auf der blanken Platte, mehr als {1} µm daneben; die Messwerte gelten, wie sie sind. Das Gerät nullen und noch einmal messen.";
    "{0} µm on {1}: filler or a unit slip; taken as it is.", "{0} µm auf {1}: Spachtel oder eine verwechselte Einheit; gilt, wie es ist.";
    "{0} more readings of {1} µm or more: filler or a unit slip.", "{0} weitere Messwerte von {1} µm oder mehr: Spachtel oder eine verwechselte Einheit.";
    "no spot was read twice, so how well the gauge repeats is not known; {0} µm is {1}. Read a few spots three times.", "kein Ort wurde zweimal gemessen, also ist nicht bekannt, wie gut das Gerät wiederholt; {0} µm ist {1}. Einige Orte dreimal messen.";
    "the repeats differ by less than the display shows, so it hides how well the gauge repeats; the step of the display is counted in.", "die Wiederholungen unterscheiden sich um weniger, als die Anzeige zeigt; sie verbirgt, wie gut das Gerät wiederholt. Der Schritt der Anzeige ist eingerechnet.";
    "The gauge repeats to {0} µm ({1}).", "Das Messgerät wiederholt auf {0} µm ({1}).";
    "Hands differ by {0} µm: let one person read before and after.", "Die Hände unterscheiden sich um {0} µm: Davor und danach sollte dieselbe Person messen.";
    "No zero check was made, so its drift is not known.", "Es gab keine Nullprobe, die Drift ist also nicht bekannt.";
    "Its zero moved by {0} µm from the checks before to those after.", "Seine Null wanderte um {0} µm von den Proben davor zu denen danach.";
    "{0} on {1} is outside {2} to {3} µm and was left out.", "{0} auf {1} liegt außerhalb von {2} bis {3} µm und wurde weggelassen.";
    "{0} µm less film than when the car left the visit before ({1} then, {2} now): somebody polished since. It is debited.", "{0} µm weniger Schicht als am Ende des letzten Besuchs ({1} damals, {2} jetzt): Seither hat jemand poliert. Es ist abgezogen.";
    "{0} of base, primer or e-coat {1} passed over: only the clear or top coat is polished.", "{0} von Basis, Füller oder Grundierung {1} übergangen: Poliert wird nur Klar- oder Decklack.";
    "{0}: the clear or top coat reads {1} µm, but the whole film there reads {2} µm, all layers together; set aside. Check the column, the layer and the unit, and read it again.", "{0}: Klar- oder Decklack misst {1} µm, die Gesamtschicht dort aber {2} µm; beiseitegelegt. Spalte, Schicht und Einheit prüfen und noch einmal messen.";
    "{0}: the reading at u {1} mm, v {2} mm lies outside the panel, which is {3} mm; it counts, but not on the map. Check the position or the size.", "{0}: Der Messwert bei u {1} mm, v {2} mm liegt außerhalb des Teils mit {3} mm; er zählt, aber nicht auf der Karte. Ort oder Größe prüfen.";
    "{0} more readings lie outside the panel and are not on the map.", "{0} weitere Messwerte liegen außerhalb des Teils und stehen nicht auf der Karte.";
    "Panel areas come from the body class: within {0} % for one panel. A tape measure on the large panels sharpens the hours.", "Die Flächen der Teile kommen aus der Karosserieform: auf {0} % je Teil. Die großen Teile mit dem Maßband zu messen, macht die Stunden genauer.";
    "No usual size is known for this panel; {0} m² is assumed. Give its size.", "Für dieses Teil ist keine übliche Größe bekannt; angenommen sind {0} m². Die Größe angeben.";
    "Not in the record of the visit before; counted as never polished there.", "Nicht im Protokoll des letzten Besuchs; gilt dort als nie poliert.";
    "The record of the visit before is of a {0} (\"{1}\"), this job of a {2}. Is it the same car?", "Das Protokoll des letzten Besuchs nennt {0} („{1}“), dieser Auftrag {2}. Ist es derselbe Wagen?";
    "The record of the visit before took film off this panel, but the job does not have it.", "Das Protokoll des letzten Besuchs trug auf diesem Teil Schicht ab, der Auftrag hat es aber nicht.";
    "No prices are given, so no price is worked out; add [prices].", "Es sind keine Preise angegeben, also gibt es keinen Preis; [prices] ergänzen.";
    "No price is given for {0}: counted as 0.", "Für {0} ist kein Preis angegeben: zählt als 0.";
    "The panel does not start at air temperature; the range of the friction share is not carried over to the peak.", "Das Blech beginnt nicht bei Lufttemperatur; die Spanne des Reibungsanteils ist nicht auf die Spitze übertragen.";
    "The heat was worked out for air as warm as the panel's start; the friction share leans on that.", "Die Wärme ist für Luft so warm wie das Blech zu Beginn gerechnet; darauf ruht der Reibungsanteil.";
    // The record.
    "Signed though nothing is noted as done.", "Unterschrieben, obwohl nichts als getan vermerkt ist.";
    "Left as it was.", "Gelassen, wie es war.";
    "Not finished: {0} sections were not worked.", "Nicht fertig: {0} Felder wurden nicht bearbeitet.";
    "Not noted as done.", "Nicht als getan vermerkt.";
    "Planned, and nobody noted work.", "Geplant, und niemand vermerkte Arbeit.";
    "Planned, but not worked.", "Geplant, aber nicht bearbeitet.";
    "Yet the readings say that {0} went, and that is debited.", "Die Messwerte sagen aber, dass {0} abgingen, und das ist abgezogen.";
    "About {0} % of the scratch length stays; {1} % was wished to go.", "Etwa {0} % der Kratzerlänge bleiben; {1} % sollten weg.";
    "By the readings after alone more would be left than there was before, and film does not grow: what is left is that of before less what went.", "Nach den Messwerten danach allein wäre mehr da als davor, und Lack wächst nicht: Übrig ist, was davor da war, weniger das Abgetragene.";
    "What was done here was not noted and the film was not read again: nothing is debited for this visit.", "Was hier getan wurde, ist nicht vermerkt, und die Schicht wurde nicht noch einmal gemessen: Für diesen Besuch ist nichts abgezogen.";
    "The readings after cannot be right: the film reads {0} thicker after than before, and paint does not grow. Another place, dirt or wax, a warm panel, another zero? Read it again. Until then they count for nothing, and what went is taken from the plan.", "Die Messwerte danach können nicht stimmen: Die Schicht misst {0} dicker als davor, und Lack wächst nicht. Anderer Ort, Schmutz oder Wachs, warmes Blech, andere Null? Noch einmal messen. Bis dahin zählen sie nicht, und der Abtrag kommt aus dem Plan.";
    "Noted as not worked, yet {0} less film reads than before; it is debited.", "Als nicht bearbeitet vermerkt, doch die Schicht misst {0} weniger als davor; das ist abgezogen.";
    "{0} went, more than the {1} that the plan expected at most. Do a test spot before the next visit.", "{0} gingen ab, mehr als die {1}, die der Plan höchstens erwartete. Vor dem nächsten Besuch ein Probefeld machen.";
    "{0} with {1} on {2}, {3}, {4} passes, {5} of {6} sections", "{0} mit {1} auf {2}, {3}, {4} Durchgänge, {5} von {6} Feldern";
    "{0} with {1} on {2}, {3}, {4} passes", "{0} mit {1} auf {2}, {3}, {4} Durchgänge";
    // Marks of the walk-round.
    "{0}, a spot", "{0}, ein Punkt";
    "{0}, a hand wide", "{0}, handbreit";
    "{0}, half the panel", "{0}, das halbe Teil";
    "{0}, the whole panel", "{0}, das ganze Teil";
    "{0}, a spot, {1}", "{0}, ein Punkt, {1}";
    "{0}, a hand wide, {1}", "{0}, handbreit, {1}";
    "{0}, half the panel, {1}", "{0}, das halbe Teil, {1}";
    "{0}, the whole panel, {1}", "{0}, das ganze Teil, {1}";
    // The test spot and the price.
    "{0} taught next to nothing: neither cut rate nor scratch depths are known better than the class believes. The price stays provisional and the test spot's time stays in it. Read at least five spots before and after, and take a photo of both.", "{0} lehrte so gut wie nichts: Weder Abtragsrate noch Kratzertiefen sind besser bekannt als angenommen. Der Preis bleibt vorläufig, und die Zeit des Probefelds bleibt darin. Mindestens fünf Orte davor und danach messen und beides fotografieren.";
    // The bench.
    "{0} and {1} contradict each other, because each says how the pad leans. Keep one.", "{0} und {1} widersprechen sich: Beide sagen, wie das Pad kippt. Nur eines behalten.";
    // The film map.
    "Film {0} to {1} on {2} places.", "Schicht {0} bis {1} an {2} Orten.";
    "One in {0} is drawn as a dot; the map rests on all.", "Jeder {0}. ist als Punkt gezeichnet; die Karte ruht auf allen.";
    "Unsure: off by more than {0} one time in five; little known: by more than {1}.", "Unsicher: jedes fünfte Mal um mehr als {0} daneben; kaum bekannt: um mehr als {1}.";
    "Unsure: off by more than {0} one time in five.", "Unsicher: jedes fünfte Mal um mehr als {0} daneben.";
    "The palest colour is {0} or less.", "Die blasseste Farbe heißt {0} oder weniger.";
    "The darkest colour is {0} or more.", "Die dunkelste Farbe heißt {0} oder mehr.";
    "Thinnest plausible place of the open face {0} (19 times in 20).", "Dünnster plausibler Ort der freien Fläche {0} (in 19 von 20 Fällen).";
    "No gauge reads the strip along the edges: it counts {0} thinner, {1}.", "Den Streifen an den Kanten misst kein Gerät: Er zählt {0} dünner, {1}.";
    "Size not measured: drawn around the readings, as large as such a panel usually is.", "Größe nicht gemessen: um die Messwerte gezeichnet, so groß wie ein solches Teil meist ist.";
    "Size not measured: drawn around the readings.", "Größe nicht gemessen: um die Messwerte gezeichnet.";
    "Shape as such a panel usually has, assumed.", "Form wie bei einem solchen Teil üblich, angenommen.";
    "The white dot with a dark ring is the one place read on the crease: {0} thinner, {1}.", "Der weiße Punkt mit dunklem Ring ist der eine gemessene Ort auf der Kante: {0} dünner, {1}.";
    "The broken line is the crease: {0} thinner, {1}.", "Die unterbrochene Linie ist die Kante: {0} dünner, {1}.";
    "A ring with a figure: read there next.", "Ein Ring mit Ziffer: dort als Nächstes messen.";
}

catalogue! {
    // Steps one after the other.
    THEN: "{0}; then {1}", "{0}; dann {1}";
    // Words that stand alone.
    MEASURED: "measured", "gemessen";
    CALIBRATED: "calibrated", "kalibriert";
    SOURCED: "sourced", "belegt";
    COMMON_PRACTICE: "common practice", "üblich";
    ASSUMED: "assumed", "angenommen";
    SWIRLS: "swirls", "Waschkratzer";
    SCRATCH: "scratch", "Kratzer";
    CHIP: "chip", "Steinschlag";
    ETCHING: "etching", "Verätzung";
    STAIN: "stain", "Fleck";
    DENT: "dent", "Delle";
    OVERSPRAY: "overspray", "Sprühnebel";
    REPAINT: "repaint", "wohl nachlackiert";
    OTHER: "other", "etwas anderes";
    CAR: "car", "Wagen";
    NOT_STATED: "not stated", "nicht angegeben";
}

/// Words that stand alone.
pub(crate) const WORDS: &[Message] = &[
    MEASURED,
    CALIBRATED,
    SOURCED,
    COMMON_PRACTICE,
    ASSUMED,
    SWIRLS,
    SCRATCH,
    CHIP,
    ETCHING,
    STAIN,
    DENT,
    OVERSPRAY,
    REPAINT,
    OTHER,
    CAR,
    NOT_STATED,
];
