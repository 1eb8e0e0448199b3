//! The words of the flat car: names, figures, what a screen reader says, what
//! is listed under the picture.
//!
//! Law: none; words.
//! Source: ours.
//! Holds: for any label, figure and finding.
//! Left out: other languages; they come with the options.
//! Checked by: the tests of the flat car.

use super::labels::{Line, Words};
use super::outline::{Kind, Shape};
use super::picture::Picture;
use super::{Fill, PanelPaint, panel_name};
use crate::figure::svg::Span;

impl Picture<'_> {
    /// What a screen reader says: every panel with its figure.
    pub(super) fn description(&self) -> String {
        let named = self
            .shapes
            .iter()
            .zip(&self.paints)
            .filter(|(s, _)| s.kind == Kind::Panel);
        let mut words: Vec<String> = named.map(|(s, p)| self.sentence(s, p)).collect();
        words.insert(
            0,
            format!(
                "{}{}",
                self.label("Unfolded "),
                self.label(self.class.name()).replace('-', " ")
            ),
        );
        words.join("; ")
    }

    pub(super) fn sentence(&self, shape: &Shape, paint: &PanelPaint) -> String {
        let name = self.named(&shape.id);
        let unit = match (paint.fill, self.options.scale) {
            (Fill::Value(..) | Fill::Repaint, Some(scale)) => scale.unit(self.options.units),
            _ => "",
        };
        let said = match (&paint.figure, paint.fill) {
            (Some(figure), _) => format!(" {}\u{a0}{unit}", self.options.labels.figure(figure)),
            (None, Fill::NotMeasured) => format!(" {}", self.label("not measured")),
            (None, Fill::Leave) => format!(" {}", self.label("leave")),
            _ => String::new(),
        };
        let finding = paint
            .finding
            .as_ref()
            .map_or(String::new(), |words| format!(", {}", self.label(words)));
        format!("{name}{}{finding}", said.trim_end_matches(['\u{a0}', ' ']))
    }

    pub(super) fn notes(&self, missing: &[usize]) -> String {
        let unplaced = missing.iter().filter_map(|&i| {
            let (shape, paint) = (&self.shapes[i], &self.paints[i]);
            let says = paint.figure.is_some() || paint.fill == Fill::Leave;
            says.then(|| self.sentence(shape, paint))
        });
        let strangers = self.strangers.iter().map(|p| {
            let name = p.label.clone().unwrap_or_else(|| self.named(&p.id));
            format!("{name} {}", p.figure.clone().unwrap_or_default())
                .trim_end()
                .to_owned()
        });
        let listed: Vec<String> = unplaced.chain(strangers).collect();
        let mut words = self.options.caption.trim().to_owned();
        if !listed.is_empty() {
            let gap = if words.is_empty() { "" } else { " " };
            words = format!("{words}{gap}{}{}", self.label("Also: "), listed.join("; "));
            if !words.ends_with(['?', '.', '!']) {
                words.push('.');
            }
        }
        words
    }

    /// A label in the picture's language.
    fn label<'a>(&self, english: &'a str) -> &'a str {
        self.options.labels.say(english)
    }

    /// A panel in words, with its side.
    fn named(&self, id: &str) -> String {
        let english = panel_name(id);
        let name = self.label(&english);
        if name == english {
            return id.replace('-', " ");
        }
        let side = ["left", "right"].into_iter().find(|s| id.ends_with(s));
        side.map_or_else(
            || name.to_owned(),
            |side| format!("{name} {}", self.label(side)),
        )
    }

    /// Every form the label of shape `i` may take, the fullest first.
    pub(super) fn words(&self, i: usize) -> Words {
        let voice = Voice::new(self, i);
        let (name, short) = (&voice.name, &voice.short);
        let stacked: Vec<Line> = name.split(' ').map(|word| voice.plain(word)).collect();
        let upright = self.options.is_portrait;
        Words {
            inside: vec![
                voice.over(vec![voice.plain(name)]),
                voice.over(stacked),
                voice.over(vec![voice.plain(short)]),
                voice.beside(name),
                voice.beside(short),
            ],
            outside: vec![
                voice.beside(name),
                voice.over(vec![voice.plain(name)]),
                voice.beside(short),
            ],
            turned: if upright {
                vec![voice.beside(name), voice.beside(short)]
            } else {
                Vec::new()
            },
            last: voice.alone(),
        }
    }
}

/// What one panel has to say, and in which sizes.
struct Voice<'a> {
    name: String,
    short: String,
    figure: Option<String>,
    finding: Option<&'a str>,
    is_leave: bool,
    name_px: f64,
    figure_px: f64,
}

impl<'a> Voice<'a> {
    fn new(picture: &'a Picture<'_>, i: usize) -> Self {
        let (shape, paint) = (&picture.shapes[i], &picture.paints[i]);
        let english = paint.label.clone().unwrap_or_else(|| panel_name(&shape.id));
        let labels = picture.options.labels;
        let is_leave = paint.fill == Fill::Leave;
        Self {
            short: labels.say(&short_name(&english, &shape.id)).to_owned(),
            name: labels.say(&english).to_owned(),
            figure: paint
                .figure
                .as_deref()
                .or(is_leave.then_some("Leave"))
                .map(|figure| labels.figure(figure)),
            finding: paint.finding.as_deref().map(|words| labels.say(words)),
            is_leave,
            name_px: picture.name_px,
            figure_px: if is_leave {
                picture.name_px + 1.0
            } else {
                picture.figure_px
            },
        }
    }

    fn plain(&self, words: &str) -> Line {
        Line {
            spans: vec![Span::plain(words, self.name_px)],
            is_plate: false,
        }
    }

    fn figure(&self, size: f64) -> Option<Line> {
        let spans = vec![Span::bold(self.figure.as_deref()?, size)];
        Some(Line {
            spans,
            is_plate: self.is_leave,
        })
    }

    /// Names over the figure over the finding.
    fn over(&self, mut names: Vec<Line>) -> Vec<Line> {
        names.extend(self.figure(self.figure_px));
        names.extend(self.finding.map(|words| self.plain(words)));
        names
    }

    /// Name and figure on one line.
    fn beside(&self, name: &str) -> Vec<Line> {
        let Some(figure) = self.figure.as_deref() else {
            return vec![self.plain(name)];
        };
        let name = Span::plain(format!("{name}\u{a0}"), self.name_px);
        let spans = vec![name, Span::bold(figure, self.name_px + 1.0)];
        vec![Line {
            spans,
            is_plate: self.is_leave,
        }]
    }

    /// The figure without a name.
    fn alone(&self) -> Vec<Vec<Line>> {
        self.figure(self.name_px)
            .map(|line| vec![line])
            .into_iter()
            .collect()
    }
}

/// "Door" for "Front door": its place on the car says which.
fn short_name(name: &str, id: &str) -> String {
    let is_own = name == panel_name(id);
    let last = name.rsplit(' ').next().unwrap_or(name);
    match id {
        _ if id.starts_with("pillars") && is_own => "Pillars".to_owned(),
        _ if is_own && name.contains(' ') => panel_name(last),
        _ => name.to_owned(),
    }
}
