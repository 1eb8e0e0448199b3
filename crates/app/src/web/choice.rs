//! `POST /choose`: language, units and colours, kept in cookies for a year, and
//! language and units with the person who is signed in.
//!
//! Holds: back leads only to a page of ours.
//! Checked by: `tests/web_pages.rs`.

use axum::Extension;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::json;

use super::fields::Fields;
use super::gate::Caller;
use super::refusal::Refusal;
use super::visitor::{self, Theme, UNIT_WORDS, Visitor};
use super::words::{Language, frame};

const A_YEAR_S: u32 = 31_536_000;

/// Sets the cookies and goes back.
pub(crate) async fn choose(
    caller: Option<Extension<Caller>>,
    visitor: Visitor,
    fields: Fields,
) -> Result<Response, Refusal> {
    let languages = Language::ALL.map(|(language, code, _)| (code, language));
    let language = fields.word(
        ("language", frame::LANGUAGE),
        &languages,
        visitor.language,
        &visitor,
    )?;
    let units = fields.word(
        ("units", frame::UNITS),
        &UNIT_WORDS,
        visitor.units,
        &visitor,
    )?;
    let theme = fields.word(
        ("theme", frame::COLOURS),
        &Theme::WORDS,
        visitor.theme,
        &visitor,
    )?;
    let units_word = UNIT_WORDS
        .iter()
        .find(|(_, u)| *u == units)
        .map_or("metric", |(w, _)| w);
    if let Some(Extension(caller)) = caller
        && caller.session.is_some()
    {
        let settings = json!({ "language": language.code(), "units": units_word });
        caller.shop.set_settings(&caller.who, &settings).await?;
    }
    let chosen = Visitor {
        language,
        units,
        theme,
        ..visitor
    };
    let back = fields.text("back").filter(|b| is_ours(b)).unwrap_or("/");
    Ok((cookies(&chosen), Redirect::to(back)).into_response())
}

/// The cookies that keep a visitor's choices.
pub(crate) fn cookies(chosen: &Visitor) -> HeaderMap {
    let units = UNIT_WORDS.iter().find(|(_, u)| *u == chosen.units);
    let mut headers = HeaderMap::new();
    for (name, value) in [
        (visitor::LANGUAGE, chosen.language.code()),
        (visitor::UNITS, units.map_or("metric", |(w, _)| w)),
        (visitor::THEME, chosen.theme.word()),
    ] {
        let cookie = format!("{name}={value}; Path=/; Max-Age={A_YEAR_S}; SameSite=Lax; HttpOnly");
        if let Ok(cookie) = HeaderValue::from_str(&cookie) {
            headers.append(header::SET_COOKIE, cookie);
        }
    }
    headers
}

/// Is it a path on this server, and nothing a browser would read otherwise?
pub(crate) fn is_ours(back: &str) -> bool {
    back.starts_with('/')
        && !back.starts_with("//")
        && back.len() < 2000
        && back.bytes().all(|b| b.is_ascii_graphic() && b != b'\\')
}

#[cfg(test)]
mod tests {
    use super::is_ours;

    #[test]
    fn back_leads_only_to_a_page_of_ours() {
        assert!(is_ours("/bench?force_n=40"));
        for bad in [
            "//evil.example",
            "/\\evil.example",
            "https://evil.example",
            "",
            "/a\r\nb",
        ] {
            assert!(!is_ours(bad), "{bad}");
        }
    }
}
