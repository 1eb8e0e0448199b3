//! What the pages about people and signing in say.

use super::catalogue;

catalogue! {
    NOT_ALLOWED: "Your role does not allow this. Ask an owner of the shop.", "Ihre Rolle erlaubt das nicht. Fragen Sie eine Inhaberin oder einen Inhaber.";
    SIGN_IN_FIRST: "Sign in first, then do it again.", "Erst anmelden, dann noch einmal.";
}
