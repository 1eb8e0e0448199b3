//! The car drawn flat by what the gauge says.
//!
//! Law: none; values are placed and coloured as they come.
//! Checked by: the figure tests, and by looking.

use lapwing_job::record::job::Units as JobUnits;

use crate::figure::{BodyClass, CarOptions, Doubt, Fill, PanelPaint, Units, flat_car};
use crate::pictures::outline_id;
use crate::words;

/// One panel as the film page has it.
#[derive(Clone, Copy, Debug)]
pub struct FilmPanel<'a> {
    /// Our name of it.
    pub name: &'a str,
    /// Whole film, µm; none where nothing was read.
    pub film_um: Option<f64>,
    /// Do the readings point to a repaint or filler?
    pub has_finding: bool,
    /// Is the panel left alone?
    pub is_left: bool,
}

/// The car by whole film; the figure is in the options' units.
#[must_use]
pub fn film_car(class: BodyClass, panels: &[FilmPanel<'_>], options: &CarOptions) -> String {
    let painted: Vec<PanelPaint> = panels.iter().map(|p| painted(p, options)).collect();
    flat_car(class, &painted, options)
}

fn painted(panel: &FilmPanel<'_>, options: &CarOptions) -> PanelPaint {
    let figure = panel.film_um.map(|um| match options.units {
        Units::Metric => format!("{um:.0}"),
        Units::Customary => words::film_number(um, JobUnits::Us),
    });
    let fill = match panel.film_um {
        None => Fill::NotMeasured,
        Some(_) if panel.has_finding && panel.is_left => Fill::Repaint,
        Some(um) => Fill::Value(um, Doubt::Plain),
    };
    PanelPaint {
        id: outline_id(panel.name),
        label: None,
        figure,
        finding: (panel.has_finding && panel.is_left).then(|| "repaint?".to_owned()),
        fill,
    }
}
