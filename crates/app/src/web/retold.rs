//! English sentences that come as finished text, told again in the visitor's
//! language: their words are looked for in the catalogue, and what stands in
//! their places is told in its turn.
//!
//! Law: none. A sentence is known when its text is that of a pattern with
//! something in each place; of several patterns the one with most words of its
//! own counts. A text of several sentences is told when every one of them is
//! known; else it stays English, so that no page mixes two languages.
//! Holds: for the catalogue's sentences. Left out: words of the users' own.
//! Checked by: the tests below and `tests/web_german.rs`.

use std::sync::LazyLock;

use lapwing_job::record::Sentence;
use lapwing_job::record::panel_names::canonical;

use super::visitor::Visitor;
use super::words::{Language, Message, panels, paper, retold as say, said};

/// A sentence inside a sentence inside a sentence is as deep as they go.
const DEEPEST: usize = 4;
/// Signs that a pattern must have of its own.
const LEAST_OWN: usize = 4;
/// So many sentences belong together at most.
const MOST_TOGETHER: usize = 6;
/// A longer text is nobody's sentence.
const LONGEST: usize = 4000;

/// A pattern, cut at its places.
struct Pattern {
    message: Message,
    pieces: Vec<&'static str>,
    places: Vec<usize>,
}

/// Every pattern, those with most words of their own first.
static PATTERNS: LazyLock<Vec<Pattern>> = LazyLock::new(|| {
    let engine = Sentence::ALL.iter().map(|s| said::message(*s));
    let all = engine.chain(say::PATTERNS.iter().copied());
    let all = all.chain(paper::TOLD.iter().copied());
    let mut patterns: Vec<Pattern> = all.map(Pattern::of).collect();
    patterns.retain(|p| p.own() >= LEAST_OWN);
    patterns.sort_by_key(|p| std::cmp::Reverse(p.own()));
    patterns
});

impl Pattern {
    fn of(message: Message) -> Self {
        let mut pieces = Vec::new();
        let mut places = Vec::new();
        let mut rest = message.en;
        while let Some((before, after)) = rest.split_once('{') {
            let Some((place, behind)) = after.split_once('}') else {
                break;
            };
            pieces.push(before);
            places.push(place.parse().unwrap_or(0));
            rest = behind;
        }
        pieces.push(rest);
        Self {
            message,
            pieces,
            places,
        }
    }

    fn own(&self) -> usize {
        self.pieces.iter().map(|piece| piece.len()).sum()
    }

    /// What stands in its places, where the text is this sentence.
    fn parts<'t>(&self, text: &'t str) -> Option<Vec<&'t str>> {
        let (first, others) = self.pieces.split_first()?;
        let mut rest = text.strip_prefix(first)?;
        let mut found = vec![""; self.places.iter().max().map_or(0, |most| most + 1)];
        for (at, piece) in others.iter().enumerate() {
            let is_last = at + 1 == others.len();
            let (part, behind) = match (is_last, piece.is_empty()) {
                (true, true) => (rest, ""),
                (true, false) => (rest.strip_suffix(piece)?, ""),
                (false, _) => rest.split_once(piece)?,
            };
            // A sentence with an end of its own does not reach into the next.
            let runs_over = part.contains(". ") && !self.pieces.ends_with(&[""]);
            if part.is_empty() || runs_over {
                return None;
            }
            *found.get_mut(*self.places.get(at)?)? = part;
            rest = behind;
        }
        rest.is_empty().then_some(found)
    }
}

impl Visitor {
    /// An English text of engine or store in the visitor's language; nothing
    /// where it is not known, or where English is what the visitor reads.
    pub(crate) fn retold(&self, english: &str) -> Option<String> {
        if self.language == Language::English || english.len() > LONGEST {
            return None;
        }
        self.retold_at(english.trim(), DEEPEST)
    }

    /// The same, or the English where it is not known.
    pub(crate) fn retold_or(&self, english: &str) -> String {
        self.retold(english).unwrap_or_else(|| english.to_owned())
    }

    fn retold_at(&self, english: &str, depth: usize) -> Option<String> {
        let depth = depth.checked_sub(1)?;
        if let Some(known) = self.known(english, depth) {
            return Some(known);
        }
        // Findings stand in a record with a capital and a full stop.
        let bare = english.strip_suffix('.').unwrap_or(english);
        if let Some(known) = self.known(&with_first(bare, false), depth) {
            let end = if bare.len() < english.len() { "." } else { "" };
            return Some(with_first(&known, true) + end);
        }
        // One sentence or a few that belong together, then the rest.
        let mut ends = english.match_indices(". ").take(MOST_TOGETHER);
        ends.find_map(|(at, _)| {
            let (one, more) = english.split_at(at + 1);
            let told = self.known(one, depth)?;
            let rest = self.retold_at(more.trim_start(), depth + 1)?;
            Some(format!("{told} {rest}"))
        })
    }

    /// One sentence or one word.
    fn known(&self, english: &str, depth: usize) -> Option<String> {
        let word = say::WORDS.iter().find(|w| w.en == english);
        if let Some(word) = word.copied().or_else(|| panels::thing(english)) {
            return Some(self.say(word).to_owned());
        }
        if let Some((first, rest)) = english.split_once("; then ") {
            let (first, rest) = (self.known(first, depth)?, self.known(rest, depth)?);
            return Some(self.fill(say::THEN, &[&first, &rest]));
        }
        PATTERNS.iter().find_map(|pattern| {
            let parts = pattern.parts(english)?;
            let told: Vec<String> = parts
                .iter()
                .map(|part| self.part_told(part, depth))
                .collect();
            let told: Vec<&str> = told.iter().map(String::as_str).collect();
            Some(self.fill(pattern.message, &told))
        })
    }

    /// What stands in a place: a sentence, a panel, a list of them, a figure.
    fn part_told(&self, part: &str, depth: usize) -> String {
        if let Some(told) = self.retold_at(part, depth) {
            return told;
        }
        if canonical(part).is_some() {
            return self.panel_called(part);
        }
        if part.contains(", ") {
            let told: Vec<String> = part.split(", ").map(|p| self.part_told(p, 0)).collect();
            return told.join(", ");
        }
        self.figures(part).replace(" to ", " bis ")
    }

    /// A picture with its figures as the visitor writes them.
    pub(crate) fn picture_told(&self, svg: &str) -> String {
        if self.language == Language::English {
            return svg.to_owned();
        }
        let mut out = String::with_capacity(svg.len());
        let mut rest = svg;
        while let Some((tag, behind)) = rest.split_once('>') {
            out.push_str(tag);
            out.push('>');
            let (text, from) = behind.split_at(behind.find('<').unwrap_or(behind.len()));
            let is_style = tag.trim_start().starts_with("<style");
            if is_style {
                out.push_str(text);
            } else {
                out.push_str(&self.figures(text));
            }
            rest = from;
        }
        out + rest
    }

    /// Decimal signs of figures as the visitor writes them.
    pub(crate) fn figures(&self, text: &str) -> String {
        if self.language == Language::English {
            return text.to_owned();
        }
        let signs: Vec<char> = text.chars().collect();
        let is_digit = |at: Option<usize>| {
            at.and_then(|at| signs.get(at))
                .is_some_and(char::is_ascii_digit)
        };
        let is_figure = |at: usize| {
            // A figure has one point, and no letter leans on it: no name of a file.
            let word = signs[at + 1..].iter().take_while(|c| !c.is_whitespace());
            let is_plain = word.clone().all(|c| !c.is_ascii_alphabetic());
            is_digit(at.checked_sub(1)) && is_digit(Some(at + 1)) && is_plain
        };
        let told = signs.iter().enumerate().map(|(at, sign)| match sign {
            '.' if is_figure(at) => ',',
            other => *other,
        });
        told.collect()
    }
}

/// With a capital or a small letter in front.
fn with_first(text: &str, is_capital: bool) -> String {
    let mut letters = text.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    // "DNS", "UTF-16" and single letters keep their capitals.
    let is_word = letters.clone().next().is_some_and(char::is_lowercase);
    let first: String = match is_capital {
        true => first.to_uppercase().collect(),
        false if is_word => first.to_lowercase().collect(),
        false => first.to_string(),
    };
    first + letters.as_str()
}

#[cfg(test)]
mod tests {
    use super::super::visitor::LANGUAGE;
    use super::*;
    use axum::http::{HeaderMap, HeaderValue, header};
    use lapwing_job::record::{Part, Said};

    fn visitor(language: &str) -> Visitor {
        let mut headers = HeaderMap::new();
        let cookie = HeaderValue::from_str(&format!("{LANGUAGE}={language}")).expect("a cookie");
        headers.append(header::COOKIE, cookie);
        Visitor::of(&headers)
    }

    #[test]
    fn a_sentence_of_the_engine_read_back_is_what_its_parts_say() {
        let german = visitor("de");
        let inner = Said::new(Sentence::ClearLeft, [Part::Film(25.4, 1)]);
        let whole = Said::new(Sentence::UpToMayGo, [Part::Film(7.5, 1), Part::Said(inner)]);
        let told = german.retold(&whole.english()).expect("known");
        assert_eq!(
            told.replace('\u{a0}', " "),
            german.said(&whole).replace('\u{a0}', " ")
        );
        // As a record holds a finding: with a capital and a full stop.
        let found = Said::new(
            Sentence::MedianRepaint,
            [Part::Film(204.3, 1), Part::Film(180.0, 0)],
        );
        let capital = with_first(&found.english(), true) + ".";
        let told = german
            .retold(&capital)
            .expect("known")
            .replace('\u{a0}', " ");
        assert_eq!(
            told,
            with_first(&german.said(&found), true).replace('\u{a0}', " ") + "."
        );
    }

    #[test]
    fn every_pattern_knows_itself_and_says_something_else() {
        let german = visitor("de");
        for pattern in PATTERNS.iter() {
            let Message { en, de } = pattern.message;
            let mut english = en.to_owned();
            let mut expected = de.to_owned();
            for place in 0..8 {
                english = english.replace(&format!("{{{place}}}"), &format!("7{place}.5"));
                expected = expected.replace(&format!("{{{place}}}"), &format!("7{place},5"));
            }
            let told = german
                .retold(&english)
                .unwrap_or_else(|| panic!("{english} is not known"));
            assert!(!told.contains('{'), "{told}");
            // A longer pattern may know it too; then it says the same thing.
            let is_itself = told == expected || told.len() > expected.len() / 2;
            assert!(is_itself, "{told} for {expected}");
        }
    }

    #[test]
    fn faults_of_tables_and_of_the_store_are_told_with_their_place() {
        let german = visitor("de");
        let told = |text: &str| german.retold(text);
        assert_eq!(
            told("gauge.csv, line 7: 12.5 is negative. A film is 20 to 3000 µm; read the spot again, or write \"zero\" as its place if it is a zero check.").as_deref(),
            Some("gauge.csv, Zeile 7: 12,5 ist negativ. Eine Schicht hat 20 bis 3000 µm; den Ort noch einmal messen oder als Ort „zero“ schreiben, wenn es eine Nullprobe ist.")
        );
        assert!(
            told("There is no job `j-7` in this shop. Go back to the list and choose one.")
                .is_some_and(|t| t.contains("„j-7“"))
        );
        assert_eq!(told("A word of the user's own."), None);
        assert_eq!(told(""), None);
        assert_eq!(visitor("en").retold("Left as it was."), None);
        assert_eq!(
            told("Left as it was. Not noted as done.").as_deref(),
            Some("Gelassen, wie es war. Nicht als getan vermerkt.")
        );
        let map = "No gauge reads the strip along the edges: it counts 8.0 µm thinner, calibrated. Shape as such a panel usually has, assumed. A ring with a figure: read there next.";
        assert_eq!(
            told(map).as_deref(),
            Some(
                "Den Streifen an den Kanten misst kein Gerät: Er zählt 8,0 µm dünner, kalibriert. Form wie bei einem solchen Teil üblich, angenommen. Ein Ring mit Ziffer: dort als Nächstes messen."
            )
        );
        assert_eq!(
            told("Left as it was. Nobody knows why."),
            None,
            "no mixture"
        );
    }

    #[test]
    fn figures_have_a_comma_and_names_of_files_keep_their_point() {
        let german = visitor("de");
        assert_eq!(
            german.figures("12.5 µm in v1.csv, 3.25"),
            "12,5 µm in v1.csv, 3,25"
        );
        assert_eq!(visitor("en").figures("12.5"), "12.5");
    }

    #[test]
    fn a_picture_keeps_its_drawing_and_has_its_figures_told() {
        let svg = "<svg viewBox=\"0 0 1.5 2\"><style>a{b:1.5px}</style><path d=\"M1.5 2\"/><text x=\"3.5\">12.5 µm</text></svg>";
        let told = visitor("de").picture_told(svg);
        assert_eq!(told, svg.replace("12.5", "12,5"));
        assert_eq!(visitor("en").picture_told(svg), svg);
    }

    #[test]
    fn long_and_strange_texts_do_no_harm() {
        let german = visitor("de");
        for text in [
            "(".repeat(5000),
            ". ".repeat(1500),
            "with on , , passes".to_owned(),
            "{0}".to_owned(),
        ] {
            let _ = german.retold(&text);
        }
    }
}
