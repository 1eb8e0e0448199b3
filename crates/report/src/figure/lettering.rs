//! How wide a word is, so that labels neither touch nor leave their panel.
//!
//! Law: width = size · Σ advances / 1000; figures are tabular.
//! Source: the advance widths of Atkinson Hyperlegible Next, regular and bold
//! (SIL Open Font License), read from the font files.
//! Holds: for that family. The fallback family runs about 10 % wider; every
//! box therefore keeps air around the word.
//! Left out: kerning, which only ever narrows these words.
//! Checked by: totals added by hand from the same table.

const REGULAR: [u16; 95] = [
    280, 286, 301, 651, 592, 919, 731, 160, 299, 299, 485, 606, 210, 362, 210, 387, 632, 632, 632,
    632, 632, 632, 632, 632, 632, 632, 210, 210, 553, 628, 553, 480, 778, 626, 613, 645, 669, 569,
    552, 694, 694, 392, 512, 631, 541, 824, 693, 714, 592, 724, 614, 592, 558, 690, 593, 856, 623,
    575, 607, 317, 387, 344, 552, 372, 243, 525, 566, 485, 564, 538, 314, 558, 550, 252, 245, 492,
    262, 845, 550, 548, 566, 574, 349, 471, 326, 540, 461, 684, 481, 449, 460, 344, 237, 344, 555,
];
const BOLD: [u16; 95] = [
    312, 303, 390, 765, 610, 969, 725, 210, 335, 335, 485, 595, 271, 373, 272, 440, 632, 632, 632,
    632, 632, 632, 632, 632, 632, 632, 272, 272, 569, 612, 569, 547, 781, 678, 643, 658, 688, 597,
    566, 718, 701, 424, 561, 663, 552, 858, 717, 746, 629, 756, 650, 610, 607, 686, 644, 886, 685,
    650, 618, 340, 440, 344, 582, 400, 288, 552, 596, 510, 596, 563, 365, 593, 571, 300, 259, 555,
    318, 882, 571, 576, 596, 599, 376, 508, 376, 567, 530, 740, 539, 521, 505, 381, 254, 381, 537,
];
/// Signs outside ASCII that our words use: sign, regular, bold.
const OTHERS: [(char, u16, u16); 9] = [
    ('\u{a0}', 280, 312),
    ('°', 352, 394),
    ('±', 579, 611),
    ('·', 240, 294),
    ('×', 532, 536),
    ('–', 504, 501),
    ('…', 670, 780),
    ('\u{2212}', 606, 595),
    ('μ', 550, 602),
];
/// Width of a sign the table does not know: that of a wide letter.
const UNKNOWN: u16 = 720;

/// The width of a piece of text at a size, px.
pub(crate) fn width_px(text: &str, size_px: f64, bold: bool) -> f64 {
    let total: f64 = text
        .chars()
        .map(|sign| f64::from(advance(sign, bold)))
        .sum();
    total * size_px / 1000.0
}

/// Cuts text into lines no wider than `room_px`, at spaces; a single word that
/// is too wide stands alone on its line.
pub(crate) fn wrapped(text: &str, size_px: f64, room_px: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if width_px(&format!("{line} {word}"), size_px, false) <= room_px => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

fn advance(sign: char, bold: bool) -> u16 {
    let table = if bold { &BOLD } else { &REGULAR };
    let code = u32::from(sign);
    if let Some(index) = code.checked_sub(32).and_then(|i| usize::try_from(i).ok())
        && let Some(&width) = table.get(index)
    {
        return width;
    }
    OTHERS
        .iter()
        .find(|(other, ..)| *other == sign)
        .map_or(
            UNKNOWN,
            |&(_, regular, heavy)| if bold { heavy } else { regular },
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn adds_up_the_advances_of_a_word() {
        // R 614, o 548, o 548, f 314 thousandths at 10 px.
        assert!((width_px("Roof", 10.0, false) - 20.24).abs() < 1e-9);
        assert!((width_px("94", 10.0, true) - 12.64).abs() < 1e-9);
        assert!((width_px("", 10.0, true)).abs() < 1e-12);
    }

    #[test]
    fn figures_are_all_equally_wide() {
        for bold in [false, true] {
            assert!(('0'..='9').all(|digit| advance(digit, bold) == 632));
        }
    }

    #[test]
    fn an_unknown_sign_gets_plenty_of_room() {
        assert!(width_px("\u{4e2d}", 10.0, false) > 7.0);
    }

    #[test]
    fn wraps_at_spaces_and_keeps_every_word() {
        let lines = wrapped("one two three", 10.0, 40.0);
        assert_eq!(lines.join(" "), "one two three");
        assert!(lines.len() > 1);
        assert_eq!(wrapped("incomprehensible", 10.0, 5.0).len(), 1);
    }
}
