//! Styles, modules, fonts and icons, all inside the binary.
//!
//! Each name carries a mark of its content, so that a browser may keep it for
//! a year and still gets a new one after an update.
//! Left out: folders on disk; nothing is looked up by a name from outside.
//! Checked by: the tests below and `tests/web_pages.rs`.

use std::collections::HashMap;
use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};
use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use bytes::Bytes;

use super::refusal::Refusal;

/// One file in the binary.
pub(crate) struct Asset {
    name: &'static str,
    kind: &'static str,
    bytes: &'static [u8],
}

macro_rules! assets {
    ($($name:literal as $kind:literal),* $(,)?) => {
        [$(Asset { name: $name, kind: $kind, bytes: include_bytes!(concat!("../../assets/", $name)) }),*]
    };
}

const CSS: &str = "text/css; charset=utf-8";
static ASSETS: [Asset; ASSET_COUNT] = assets![
    "tokens.css" as "text/css; charset=utf-8",
    "bay.css" as "text/css; charset=utf-8",
    "bench.css" as "text/css; charset=utf-8",
    "accounts.css" as "text/css; charset=utf-8",
    "tools.css" as "text/css; charset=utf-8",
    "bench.js" as "text/javascript; charset=utf-8",
    "handover.css" as "text/css; charset=utf-8",
    "jobs.css" as "text/css; charset=utf-8",
    "queue.js" as "text/javascript; charset=utf-8",
    "queue-others.js" as "text/javascript; charset=utf-8",
    "who.js" as "text/javascript; charset=utf-8",
    "walk.js" as "text/javascript; charset=utf-8",
    "readings.js" as "text/javascript; charset=utf-8",
    "later.js" as "text/javascript; charset=utf-8",
    "trial.js" as "text/javascript; charset=utf-8",
    "shell.js" as "text/javascript; charset=utf-8",
    "stations.css" as "text/css; charset=utf-8",
    "work.js" as "text/javascript; charset=utf-8",
    "number-pad.js" as "text/javascript; charset=utf-8",
    "rooms.css" as "text/css; charset=utf-8",
    "glance.js" as "text/javascript; charset=utf-8",
    "enquiry.js" as "text/javascript; charset=utf-8",
    "photos.js" as "text/javascript; charset=utf-8",
    "prove.js" as "text/javascript; charset=utf-8",
    "coat.js" as "text/javascript; charset=utf-8",
    "icon.svg" as "image/svg+xml",
    "fonts/ahn-400.woff2" as "font/woff2",
    "fonts/ahn-600.woff2" as "font/woff2",
    "fonts/ahn-700.woff2" as "font/woff2",
    "fonts/OFL.txt" as "text/plain; charset=utf-8",
];
const ASSET_COUNT: usize = 30;

/// A mark of everything inside; changes with any of it.
static MARK: LazyLock<String> = LazyLock::new(|| {
    let mut hasher = DefaultHasher::new();
    for asset in &ASSETS {
        asset.bytes.hash(&mut hasher);
    }
    format!("{:016x}", hasher.finish())
});

/// The address of an asset, to write into a page.
pub(crate) fn address(name: &str) -> String {
    debug_assert!(find(name).is_some(), "no asset {name}");
    format!("/assets/{}/{name}", *MARK)
}

/// The address of every file that the pages need.
pub(crate) fn every_address() -> Vec<String> {
    let pages = ASSETS.iter().filter(|asset| !asset.name.ends_with(".txt"));
    pages.map(|asset| address(asset.name)).collect()
}

/// The mark of everything inside.
pub(crate) fn mark() -> &'static str {
    &MARK
}

fn find(name: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|a| a.name == name)
}

/// `GET /assets/{mark}/{name}`. An old mark still gets the file, but then it
/// is not kept; styles name their fonts without a mark of their own.
pub(crate) async fn show(Path(path): Path<String>) -> Result<Response, Refusal> {
    let (mark, name) = path.split_once('/').unwrap_or(("", &path));
    let asset = find(name).ok_or_else(|| Refusal::missing("There is no such file."))?;
    let keep = if mark == *MARK {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    let head = [
        (header::CONTENT_TYPE, asset.kind),
        (header::CACHE_CONTROL, keep),
    ];
    debug_assert!(asset.kind != CSS || asset.name.ends_with("css"));
    Ok((StatusCode::OK, head, sent(asset)).into_response())
}

/// What goes out for each name, made ready once.
static SENT: LazyLock<HashMap<&'static str, Bytes>> = LazyLock::new(|| {
    let ready = ASSETS.iter().map(|asset| (asset.name, asset.lean()));
    ready.collect()
});

fn sent(asset: &Asset) -> Bytes {
    let ready = SENT.get(asset.name).cloned();
    ready.unwrap_or_else(|| Bytes::from_static(asset.bytes))
}

impl Asset {
    /// Styles and modules without the lines that are remarks, which are for
    /// whoever reads the source; all else as it is.
    fn lean(&self) -> Bytes {
        let is_remark: fn(&str) -> bool = match self.kind {
            CSS => |line| line.starts_with("/*") && line.ends_with("*/"),
            "text/javascript; charset=utf-8" => |line| line.starts_with("//"),
            _ => return Bytes::from_static(self.bytes),
        };
        let Ok(text) = std::str::from_utf8(self.bytes) else {
            return Bytes::from_static(self.bytes);
        };
        let kept = text
            .split_inclusive('\n')
            .filter(|line| !is_remark(line.trim()));
        Bytes::from(kept.collect::<String>())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lapwing_report::figure::Theme;

    #[test]
    fn remarks_of_a_line_stay_at_home_and_code_goes_out() {
        let module = Asset {
            name: "m.js",
            kind: "text/javascript; charset=utf-8",
            bytes: b"// A remark.\nlet a = 1; // kept\n  // another\nlet u = 'http://b';\n",
        };
        assert_eq!(
            &*module.lean(),
            b"let a = 1; // kept\nlet u = 'http://b';\n"
        );
        let style = Asset {
            name: "s.css",
            kind: CSS,
            bytes: b"/* One line. */\nb { top: 0; } /* kept */\n",
        };
        assert_eq!(&*style.lean(), b"b { top: 0; } /* kept */\n");
    }

    #[test]
    fn every_address_leads_to_its_file() {
        for asset in &ASSETS {
            let address = address(asset.name);
            let (_, rest) = address.split_once("/assets/").expect("a prefix");
            let (mark, name) = rest.split_once('/').expect("a mark");
            assert_eq!(mark, *MARK);
            assert_eq!(find(name).map(|a| a.name), Some(asset.name));
        }
    }

    #[test]
    fn a_name_that_climbs_out_finds_nothing() {
        for name in ["../Cargo.toml", "fonts/../bay.css", "", "BAY.CSS"] {
            assert!(find(name).is_none(), "{name}");
        }
    }

    #[test]
    fn every_page_colour_of_a_picture_follows_the_theme() {
        let tokens = include_str!("../../assets/tokens.css");
        let t = Theme::LIGHT;
        for (name, colour) in [
            ("paper", t.paper),
            ("sheet", t.sheet),
            ("sunk", t.sunk),
            ("hair", t.hair),
            ("rule", t.rule),
            ("ink", t.ink),
            ("ink2", t.ink2),
            ("limit", t.limit),
            ("warn", t.warn),
            ("here", t.here),
            ("act", t.act),
        ] {
            for paint in ["fill", "stroke"] {
                let rule = format!("svg [{paint}=\"{colour}\"]{{{paint}:var(--{name})}}");
                assert!(tokens.contains(&rule), "{rule}");
            }
        }
    }
}
