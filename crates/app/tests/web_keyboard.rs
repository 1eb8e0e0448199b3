//! A keyboard reaches everything that a finger can press, in the order of the
//! page, and what has the focus is seen.

mod bay;

use bay::Server;
use bay::browser::Browser;
use serde_json::json;

/// Marks everything that can be reached, and counts it; of a group of radio
/// buttons one takes the focus.
const MARK: &str = "
  const shut = (e) => e.closest('details:not([open])') !== null && e.tagName !== 'SUMMARY';
  const seen = (e) => !shut(e) && e.getClientRects().length > 0 && !e.disabled && e.tabIndex >= 0 && getComputedStyle(e).visibility !== 'hidden';
  const groups = new Set();
  let count = 0;
  for (const e of document.querySelectorAll('a[href], button, select, input:not([type=hidden]), textarea, summary, [tabindex=\"0\"]')) {
    if (!seen(e)) continue;
    if (e.type === 'radio') { if (groups.has(e.name)) continue; groups.add(e.name); }
    count += 1;
  }
  document.body.tabIndex = -1; document.body.focus(); window.reached = new Set(); window.unseen = [];
  return count;";

/// Notes what has the focus now; true when it left the page or came round.
const NOTE: &str = "
  const e = document.activeElement;
  if (!e || e === document.body) return window.reached.size > 0;
  const key = e.type === 'radio' ? e.name : e;
  if (window.reached.has(key)) return true;
  window.reached.add(key);
  const shown = e.matches('.taps input') ? e.nextElementSibling : e;
  const style = getComputedStyle(shown);
  if (style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 2) window.unseen.push(e.outerHTML.slice(0, 90));
  return false;";

#[test]
fn a_keyboard_reaches_everything_and_the_focus_is_seen() {
    let server = Server::start();
    let job = bay::example(&server);
    let Some(browser) = Browser::open(1024, 768) else {
        return;
    };
    for path in [
        "/enquiry".to_owned(),
        job.clone(),
        format!("{job}/wash"),
        format!("{job}/coat"),
        format!("{job}/work"),
    ] {
        browser.go(&format!("http://{}{path}", server.host));
        browser.wait_for(&path, "return document.readyState === 'complete'");
        let count = browser.run(MARK).as_u64().expect("a count");
        assert!(count > 8, "{path}: {count}");
        for _ in 0..=count + 2 {
            for kind in ["keyDown", "keyUp"] {
                browser.own(
                    "Input.dispatchKeyEvent",
                    &json!({ "type": kind, "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9 }),
                );
            }
            if browser.run(NOTE) == json!(true) {
                break;
            }
        }
        let unseen = browser.run("return window.unseen");
        assert_eq!(unseen, json!([]), "{path}: no focus is seen");
        let reached = browser.run("return window.reached.size").as_u64();
        assert!(reached >= Some(count), "{path}: {reached:?} of {count}");
    }
}
