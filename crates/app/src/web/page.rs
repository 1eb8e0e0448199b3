//! The frame of every page: head, skip link, menu, the line, choices.
//!
//! Left out: inline script and style, which the content policy forbids.
//! Checked by: `tests/web_pages.rs`: one heading, labels, language, landmarks.

use lapwing_store::Role;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::assets;
use super::the_line::Line;
use super::visitor::{Seat, Theme, UNIT_WORDS, Visitor};
use super::words::{Language, Message, accounts, frame, operator, queue};

/// What a page brings.
pub(crate) struct Page<'a> {
    /// Its heading and title.
    pub(crate) title: &'a str,
    /// A few words beside the heading; may be empty.
    pub(crate) beside: &'a str,
    /// The address to come back to after a choice.
    pub(crate) path: &'a str,
    /// The line, where the page belongs to a station.
    pub(crate) line: Option<Line>,
    /// Names of modules.
    pub(crate) modules: &'a [&'a str],
    /// Names of further styles.
    pub(crate) styles: &'a [&'a str],
}

impl Page<'_> {
    /// The whole page around its body.
    pub(crate) fn around(&self, visitor: &Visitor, body: &Markup) -> Markup {
        html! {
            (DOCTYPE)
            html lang=(visitor.language.code()) data-theme=(visitor.theme.word()) {
                (self.head())
                body.looks-only[self.is_to_look_at(visitor)] {
                    a.skip href="#page" { (visitor.say(frame::SKIP)) }
                    header.head {
                        a.icon href="/" aria-label=(visitor.say(frame::HOME)) { (lapwing()) }
                        div { h1 { (self.title) } " " small { (self.beside) } }
                        (menu(visitor, self.path))
                    }
                    @if let Some(line) = &self.line { (line.draw(visitor)) }
                    main #page tabindex="-1" {
                        @if self.is_to_look_at(visitor) { p.note { (visitor.say(frame::LOOKS_ONLY)) } }
                        (body)
                    }
                }
            }
        }
    }

    /// Whether the visitor may look at this page's shop and jobs, and change
    /// nothing: the forms are not shown then, and the gate refuses them anyway.
    fn is_to_look_at(&self, visitor: &Visitor) -> bool {
        let is_kept = ["/jobs", "/shop", "/enquiry"]
            .iter()
            .any(|of| self.path.starts_with(of));
        visitor.seat == Seat::At(Role::Viewer) && is_kept
    }

    /// The page without any way into the rest, for who is no one of the shop.
    pub(crate) fn alone(&self, visitor: &Visitor, body: &Markup) -> Markup {
        html! {
            (DOCTYPE)
            html lang=(visitor.language.code()) data-theme=(visitor.theme.word()) {
                (self.head())
                body {
                    a.skip href="#page" { (visitor.say(frame::SKIP)) }
                    header.head { span.icon { (lapwing()) } div { h1 { (self.title) } } }
                    main #page tabindex="-1" { (body) }
                }
            }
        }
    }

    fn head(&self) -> Markup {
        html! {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (self.title) " · Lapwing" }
                link rel="icon" href=(assets::address("icon.svg")) type="image/svg+xml";
                link rel="stylesheet" href=(assets::address("tokens.css"));
                link rel="stylesheet" href=(assets::address("bay.css"));
                @for style in self.styles {
                    link rel="stylesheet" href=(assets::address(style));
                }
                link rel="manifest" href="/manifest.webmanifest";
                script type="module" src=(assets::address("shell.js")) {}
                @for module in self.modules {
                    script type="module" src=(assets::address(module)) {}
                }
            }
        }
    }
}

/// The page of a request that was turned down.
pub(crate) fn refused(visitor: &Visitor, sentence: &str, is_signed_out: bool) -> Markup {
    let page = Page {
        title: visitor.say(frame::REFUSED),
        beside: "",
        path: "/",
        line: None,
        modules: &[],
        styles: &[],
    };
    let body = html! {
        div.column {
            p.fault role="alert" { (sentence) }
            @if is_signed_out {
                p { a.button #sign-in-again href="/sign-in" { (visitor.say(accounts::SIGN_IN)) } }
                p.note { (visitor.say(frame::STILL_THERE)) }
            } @else {
                p { a.button href="/" { (visitor.say(frame::GO_BACK)) } }
            }
        }
    };
    page.around(visitor, &body)
}

/// Where a page says what waits on the device and is not sent yet.
pub(crate) fn queue_line(visitor: &Visitor) -> Markup {
    html! {
        p.queue role="status" hidden data-one=(visitor.say(queue::WAITING))
            data-signed-out=(visitor.say(queue::SIGNED_OUT)) data-sign-in=(visitor.say(queue::SIGN_IN_AGAIN)) {}
        div.queue.others role="status" hidden data-said=(visitor.say(queue::OTHERS)) data-someone=(visitor.say(queue::SOMEONE))
            data-sign-in=(visitor.say(queue::THEY_SIGN_IN)) data-take=(visitor.say(queue::TAKE_OVER))
            data-ask=(visitor.say(queue::TAKE_ASK)) data-yes=(visitor.say(queue::TAKE_YES)) {}
    }
}

/// A picture that is already well formed.
pub(crate) fn picture(svg: &str) -> PreEscaped<String> {
    PreEscaped(svg.to_owned())
}

/// The number pad, for pages whose module asks for numbers.
pub(crate) fn number_pad(visitor: &Visitor) -> Markup {
    let digits = ["7", "8", "9", "4", "5", "6", "1", "2", "3"];
    html! {
        template #number-pad {
            dialog.pad aria-labelledby="pad-name" {
                form method="dialog" {
                    h2 #pad-name.pad-name {}
                    output.pad-figure {}
                    p.pad-range.note data-words=(visitor.say(frame::PAD_RANGE)) {}
                    div.keys {
                        @for digit in digits { button type="button" data-key=(digit) { (digit) } }
                        button type="button" data-key="point" { "." }
                        button type="button" data-key="0" { "0" }
                        button type="button" data-key="delete" aria-label=(visitor.say(frame::PAD_DELETE)) {
                            (backspace())
                        }
                    }
                    div.deeds {
                        button.quiet value="cancel" { (visitor.say(frame::PAD_CANCEL)) }
                        button value="take" { (visitor.say(frame::PAD_DONE)) }
                    }
                }
            }
        }
    }
}

/// The sign on a key that takes the last digit away.
pub(crate) fn backspace() -> Markup {
    html! {
        svg width="28" height="28" viewBox="0 0 24 24" fill="none" stroke="currentColor" stroke-width="2" aria-hidden="true" {
            path d="M8 5h13v14H8L2 12zM12 9l5 6M17 9l-5 6" {}
        }
    }
}

/// What a form of a job carries unseen: an id of its own, so that sending it
/// twice is one event, and the version of the job the person saw.
pub(crate) fn edit_fields(version: i64) -> Markup {
    html! {
        input type="hidden" name="edit" value=(lapwing_store::new_id());
        input type="hidden" name="saw" value=(version);
    }
}

/// Our bird's crest, as the way home.
fn lapwing() -> Markup {
    html! {
        svg viewBox="0 0 24 24" aria-hidden="true" {
            path d="M3 14c3-6 8-7 12-5l6 1-5 3c-1 5-6 7-10 5M14 8c0-3 2-5 5-6" {}
            path d="M10 18v4M13 17v5" {}
        }
    }
}

/// Pages to go to, in the trade's order.
fn menu(visitor: &Visitor, path: &str) -> Markup {
    let pages = [
        ("/", frame::HOME),
        ("/jobs", frame::JOBS),
        ("/enquiry", frame::ENQUIRY),
        ("/film", frame::FILM),
        ("/bench", frame::BENCH),
        ("/plan", frame::PLAN),
        ("/exposure", frame::EXPOSURE),
        ("/shop", frame::SHOP),
    ];
    html! {
        details.menu {
            summary.icon aria-label=(visitor.say(frame::MENU)) {
                svg viewBox="0 0 24 24" aria-hidden="true" { path d="M4 7h16M4 12h16M4 17h16" {} }
            }
            div.sheet {
                nav aria-label=(visitor.say(frame::MENU)) {
                    ul {
                        @for (link, name) in pages {
                            li { a href=(link) { (visitor.say(name)) } }
                        }
                        @for (link, name) in shop_pages(visitor.seat) {
                            li { a href=(link) { (visitor.say(name)) } }
                        }
                    }
                }
                (choices(visitor, path))
            }
        }
    }
}

/// Pages about people and the machine, for who may see them.
fn shop_pages(seat: Seat) -> Vec<(&'static str, Message)> {
    let account = ("/account", accounts::ACCOUNT);
    let pair = ("/pair", accounts::PAIR);
    let machine = ("/operator", operator::TITLE);
    match seat {
        Seat::Outside => vec![("/sign-in", accounts::SIGN_IN)],
        Seat::Alone => vec![("/first", accounts::NO_ACCOUNTS), machine],
        Seat::At(Role::Owner) => vec![account, pair, ("/people", accounts::PEOPLE), machine],
        Seat::At(_) => vec![account, pair],
    }
}

fn choices(visitor: &Visitor, path: &str) -> Markup {
    let units = |word: &str| {
        visitor.say(if word == "us" {
            frame::US
        } else {
            frame::METRIC
        })
    };
    let theme = |theme: Theme| {
        visitor.say(match theme {
            Theme::Device => frame::AS_DEVICE,
            Theme::Light => frame::LIGHT,
            Theme::Bay => frame::BAY,
        })
    };
    html! {
        form.choices method="post" action="/choose" aria-label=(visitor.say(frame::CHOICES)) {
            input type="hidden" name="back" value=(path);
            label { span { (visitor.say(frame::LANGUAGE)) }
                select name="language" {
                    @for (language, code, name) in Language::ALL {
                        option value=(code) lang=(code) selected[language == visitor.language] { (name) }
                    }
                }
            }
            label { span { (visitor.say(frame::UNITS)) }
                select name="units" {
                    @for (word, of) in UNIT_WORDS {
                        option value=(word) selected[of == visitor.units] { (units(word)) }
                    }
                }
            }
            label { span { (visitor.say(frame::COLOURS)) }
                select name="theme" {
                    @for (word, of) in Theme::WORDS {
                        option value=(word) selected[of == visitor.theme] { (theme(of)) }
                    }
                }
            }
            button { (visitor.say(frame::CHOOSE)) }
        }
    }
}
