//! What repeated readings can and cannot say.
