//! Cars drawn flat, kept while the same picture is asked for again.
//!
//! Law: none; the same panels and options give the same picture.
//! Holds: for the last pictures; they carry figures, no words of a customer.
//! Checked by: the test below.

use std::collections::VecDeque;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::{Arc, Mutex};

use lapwing_report::figure::{BodyClass, CarOptions, PanelPaint, flat_car};
use maud::PreEscaped;

/// So many pictures are kept.
const KEPT: usize = 96;

static LAST: Mutex<VecDeque<(u64, Arc<str>)>> = Mutex::new(VecDeque::new());

/// The flat car as it stands in a page.
pub(crate) fn car(
    class: BodyClass,
    panels: &[PanelPaint],
    options: &CarOptions,
) -> PreEscaped<Arc<str>> {
    let mut hasher = DefaultHasher::new();
    format!("{class:?}{panels:?}{options:?}").hash(&mut hasher);
    let mark = hasher.finish();
    let found = LAST.lock().ok().and_then(|last| {
        let found = last.iter().find(|(m, _)| *m == mark);
        found.map(|(_, svg)| Arc::clone(svg))
    });
    PreEscaped(found.unwrap_or_else(|| {
        let svg: Arc<str> = flat_car(class, panels, options).into();
        if let Ok(mut last) = LAST.lock() {
            last.push_front((mark, Arc::clone(&svg)));
            last.truncate(KEPT);
        }
        svg
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_car_is_drawn_once_and_another_anew() {
        let options = CarOptions::portrait(None);
        let one = car(BodyClass::Estate, &[], &options);
        let again = car(BodyClass::Estate, &[], &options);
        assert!(Arc::ptr_eq(&one.0, &again.0));
        assert_eq!(&*one.0, flat_car(BodyClass::Estate, &[], &options));
        let marked = PanelPaint {
            id: "bonnet".to_owned(),
            figure: Some("2".to_owned()),
            ..PanelPaint::default()
        };
        assert_ne!(*car(BodyClass::Estate, &[marked], &options).0, *one.0);
    }
}
