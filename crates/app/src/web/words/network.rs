//! What the page says that teaches a phone to trust the shop.

use super::catalogue;

catalogue! {
    TRUST: "Trust the shop", "Dem Betrieb vertrauen";
    LEAD: "The phone learns once who this shop is. Then it opens the pages safely, and keeps readings when the network breaks.", "Das Telefon lernt einmal, wer dieser Betrieb ist. Dann öffnet es die Seiten sicher und behält Messwerte, wenn das Netz ausfällt.";
    FETCH: "Fetch the certificate", "Zertifikat holen";
    FETCH_HOW: "Press the button. The phone asks whether it may load it: allow.", "Den Knopf drücken. Das Telefon fragt, ob es laden darf: erlauben.";
    INSTALL: "Install it", "Installieren";
    KIND_PROFILE: "The phone speaks of a profile", "Das Telefon spricht von einem Profil";
    PROFILE_1: "Open the settings. Near the top stands that a profile was loaded. Tap it, then install.", "Einstellungen öffnen. Oben steht, dass ein Profil geladen wurde. Antippen, dann installieren.";
    PROFILE_2: "Go to General, About, and at the very bottom Certificate Trust Settings.", "Zu Allgemein, Info und ganz unten Zertifikatsvertrauenseinstellungen gehen.";
    PROFILE_3: "Switch the shop's authority on.", "Die Stelle des Betriebs einschalten.";
    KIND_CERTIFICATE: "The phone speaks of a certificate", "Das Telefon spricht von einem Zertifikat";
    CERTIFICATE_1: "Open the settings and search for \"CA certificate\". It stands under Security, Encryption.", "Einstellungen öffnen und nach „CA-Zertifikat“ suchen. Es steht bei Sicherheit, Verschlüsselung.";
    CERTIFICATE_2: "The phone warns in general words. Install anyway: this one speaks only for the shop's own network.", "Das Telefon warnt allgemein. Trotzdem installieren: Dieses gilt nur für das eigene Netz des Betriebs.";
    CERTIFICATE_3: "Choose the file lapwing-authority.crt among the downloads.", "Die Datei lapwing-authority.crt bei den Downloads wählen.";
    COMPARE_TITLE: "Compare", "Vergleichen";
    COMPARE: "The phone shows a fingerprint (SHA-256). It should be this one, as on the server's own screen. If it differs, remove it and ask the owner.", "Das Telefon zeigt einen Fingerabdruck (SHA-256). Er soll dieser sein, wie am Bildschirm des Servers. Ist er anders, wieder entfernen und nachfragen.";
    OPEN: "Open the bay", "Die Halle öffnen";
    OPEN_HOW: "The lock stands closed beside the address. If the phone still warns, go through the steps again.", "Neben der Adresse ist das Schloss zu. Warnt das Telefon noch, die Schritte noch einmal gehen.";
    SAFE: "This certificate can vouch only for private networks and the shop's own names, never for a bank or a shop on the internet.", "Dieses Zertifikat kann nur für private Netze und die eigenen Namen des Betriebs bürgen, nie für eine Bank oder einen Laden im Internet.";
    NO_AUTHORITY: "This bay has no authority of its own, so there is nothing to trust here. Open the start.", "Diese Halle hat keine eigene Stelle, hier ist nichts zu vertrauen. Den Start öffnen.";
    PAST_PROXY: "Here only the shop's proxy is answered. Use the address that begins with https.", "Hier wird nur dem Proxy des Betriebs geantwortet. Die Adresse nehmen, die mit https beginnt.";
}
