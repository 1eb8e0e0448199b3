//! What the pages say of deeds that wait on the device.

use super::catalogue;

catalogue! {
    WAITING: "Saved here. Not sent yet: {0}.", "Hier gespeichert. Noch nicht gesendet: {0}.";
    SIGNED_OUT: "You are signed out. After signing in it is sent by itself.", "Sie sind abgemeldet. Nach dem Anmelden wird es von selbst gesendet.";
    SIGN_IN_AGAIN: "Sign in again", "Wieder anmelden";
    OTHERS: "Entered here by {0} and not sent yet: {1}. It goes out as theirs when {0} signs in again.", "Hier von {0} eingetragen und noch nicht gesendet: {1}. Es geht unter diesem Namen hinaus, sobald {0} sich wieder anmeldet.";
    SOMEONE: "someone else", "jemand anderem";
    THEY_SIGN_IN: "{0} signs in", "{0} meldet sich an";
    TAKE_OVER: "Take over as {0}", "Als {0} übernehmen";
    TAKE_ASK: "It will stand in the history as yours, {0}, though {1} entered it. Take it over?", "Es steht dann unter Ihrem Namen, {0}, im Verlauf, obwohl {1} es eingetragen hat. Übernehmen?";
    TAKE_YES: "Yes, under my name", "Ja, unter meinem Namen";
    UNSENT: "Not sent yet", "Noch nicht gesendet";
    NO_ROOM: "This phone has no room to keep the photo, and no network to send it. It is still chosen: send it when the network is back, or free some storage first.", "Dieses Telefon hat keinen Platz für das Foto und kein Netz, es zu senden. Es ist noch gewählt: senden, sobald das Netz wieder da ist, oder zuerst Speicher schaffen.";
    ROOM: "Room left for these pages: {0} MB.", "Platz für diese Seiten: noch {0} MB.";
}
