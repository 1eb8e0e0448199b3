//! The line: ten stations on one rule, the signature of every page.
//!
//! Thick where the job has been, thin ahead, a ring where it stands, a double
//! stroke for the firm price after the trial. On a phone the line is an
//! overview; two buttons beside the station's name step along it.
//! Checked by: the tests below, and by looking.

use maud::{Markup, html};

use super::visitor::Visitor;
use super::words::{Message, frame};

/// A station of the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Station {
    /// Which car.
    Intake,
    /// What the gauge says.
    Inspect,
    /// What may go.
    Budget,
    /// What one spot taught.
    Trial,
    /// What a recipe will do.
    Forecast,
    /// What to do.
    Plan,
    /// Doing it.
    Work,
    /// Protecting it.
    Coat,
    /// Showing it.
    Prove,
    /// Giving it back.
    HandOver,
}

impl Station {
    /// In the order of the job.
    pub(crate) const ALL: [Self; 10] = [
        Self::Intake,
        Self::Inspect,
        Self::Budget,
        Self::Trial,
        Self::Forecast,
        Self::Plan,
        Self::Work,
        Self::Coat,
        Self::Prove,
        Self::HandOver,
    ];

    pub(crate) fn name(self) -> Message {
        match self {
            Self::Intake => frame::INTAKE,
            Self::Inspect => frame::INSPECT,
            Self::Budget => frame::BUDGET,
            Self::Trial => frame::TRIAL,
            Self::Forecast => frame::FORECAST,
            Self::Plan => frame::PLAN,
            Self::Work => frame::WORK,
            Self::Coat => frame::COAT,
            Self::Prove => frame::PROVE,
            Self::HandOver => frame::HANDOVER,
        }
    }

    /// The page that answers the station's question without a job.
    fn page(self) -> Option<&'static str> {
        match self {
            Self::Inspect => Some("/film"),
            Self::Forecast => Some("/bench"),
            Self::Plan => Some("/plan"),
            Self::Work => Some("/exposure"),
            _ => None,
        }
    }
}

/// One stop of a line.
#[derive(Clone, Debug, Default)]
pub(crate) struct Stop {
    /// Where it leads, if anywhere.
    pub(crate) link: Option<String>,
    /// The figure it added.
    pub(crate) figure: String,
    /// Has the job been there?
    pub(crate) is_done: bool,
}

/// The line as a page has it.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    /// Where it stands.
    pub(crate) here: Station,
    /// Ten stops.
    pub(crate) stops: [Stop; 10],
}

impl Line {
    /// The line without a job: what can be asked on its own.
    pub(crate) fn of_pages(here: Station) -> Self {
        Self {
            here,
            stops: Station::ALL.map(|station| Stop {
                link: station.page().map(str::to_owned),
                ..Stop::default()
            }),
        }
    }

    /// The line of a job: its own pages, and where it has been.
    pub(crate) fn of_job(job: &str, here: Station, figures: &[(Station, String)]) -> Self {
        let mut line = Self::of_pages(here);
        for (station, page) in [
            (Station::Intake, ""),
            (Station::Inspect, "/readings"),
            (Station::Budget, "/film"),
            (Station::Trial, "/trial"),
            (Station::Plan, "/plan"),
            (Station::Work, "/work"),
            (Station::Coat, "/coat"),
            (Station::Prove, "/prove"),
            (Station::HandOver, "/handover"),
        ] {
            line.stops[station as usize].link = Some(format!("/jobs/{job}{page}"));
        }
        // The bench is no page of the job; it knows the way back.
        line.stops[Station::Forecast as usize].link = Some(format!("/bench?job={job}"));
        for (station, figure) in figures {
            let stop = &mut line.stops[*station as usize];
            stop.figure.clone_from(figure);
            stop.is_done = true;
        }
        line
    }

    fn next_link(&self, mut order: impl Iterator<Item = usize>) -> Option<(Station, &str)> {
        order.find_map(|i| Some((Station::ALL[i], self.stops[i].link.as_deref()?)))
    }

    pub(crate) fn draw(&self, visitor: &Visitor) -> Markup {
        let at = self.here as usize;
        let number = (at + 1).to_string();
        let before = self.next_link((0..at).rev());
        let after = self.next_link(at + 1..10);
        html! {
            nav.stations aria-label=(visitor.say(frame::LINE)) {
                ol.line {
                    @for (station, stop) in Station::ALL.into_iter().zip(&self.stops) {
                        (one(visitor, station, stop, self.here))
                    }
                }
                div.stepper {
                    (step(visitor, before, frame::BEFORE, "M14 6l-6 6 6 6"))
                    p { b { (visitor.say(self.here.name())) } " "
                        small { (visitor.fill(frame::STATION_OF, &[&number, "10"])) } }
                    (step(visitor, after, frame::AFTER, "M10 6l6 6-6 6"))
                }
            }
        }
    }
}

fn one(visitor: &Visitor, station: Station, stop: &Stop, here: Station) -> Markup {
    let is_here = station == here;
    let name = visitor.say(station.name());
    let inside = html! {
        i aria-hidden="true" {}
        span { (name) }
        b { (stop.figure) }
    };
    html! {
        li.done[stop.is_done && !is_here].here[is_here].gate[station == Station::Trial]
            aria-current=[is_here.then_some("step")] {
            @match &stop.link {
                Some(link) => a href=(link) aria-label=(name) { (inside) },
                None => span.stop { (inside) },
            }
            @if station == Station::Trial {
                span.wall title=(visitor.say(frame::GATE)) {}
            }
        }
    }
}

fn step(visitor: &Visitor, to: Option<(Station, &str)>, words: Message, arrow: &str) -> Markup {
    html! {
        @if let Some((station, link)) = to {
            a.icon href=(link)
                aria-label=(visitor.fill(words, &[visitor.say(station.name())])) {
                svg viewBox="0 0 24 24" aria-hidden="true" { path d=(arrow) {} }
            }
        } @else {
            span {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderMap;

    #[test]
    fn ten_stations_one_here_and_a_wall_after_the_trial() {
        let visitor = Visitor::of(&HeaderMap::new());
        let drawn = Line::of_pages(Station::Forecast)
            .draw(&visitor)
            .into_string();
        assert_eq!(drawn.matches("<li").count(), 10);
        assert_eq!(drawn.matches("aria-current=\"step\"").count(), 1);
        assert_eq!(drawn.matches("class=\"wall\"").count(), 1);
        assert!(drawn.contains("station 5 of 10"));
    }
}
