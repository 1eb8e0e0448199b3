//! The stations of a paint-correction job, in the order the technician works.
//!
//! - [`record`]: what the stations hand to each other;
//! - [`intake`]: which car, which panels, how large ([`intake::intake`]);
//! - [`inspect`]: what the gauge says ([`inspect::inspect`]);
//! - [`budget`]: how much may go ([`budget::budget`]);
//! - [`mod@bench`]: what a pass does on paper ([`bench::bench`]);
//! - [`trial`]: what one spot taught ([`trial::trial`]);
//! - [`forecast`]: what a recipe will do ([`forecast::forecast`]);
//! - [`exposure`]: what a day does to hands and ears ([`exposure::exposure`]);
//! - [`plan`]: what to do, how long, how much ([`plan::plan`]);
//! - [`work`]: what the timer teaches of the shop's pace ([`work::pace`]);
//! - [`coat`]: whether the day suits a coating ([`coat::coat_day`]);
//! - [`prove`]: what changed, panel by panel ([`prove::prove`]).
//! - [`handover`]: what the next person needs to know ([`handover::handover`]).

pub mod record;

pub mod intake;

pub mod inspect;

pub mod budget;

pub mod bench;

pub mod trial;

pub mod forecast;

pub mod exposure;

pub mod plan;

pub mod work;

pub mod coat;

pub mod prove;

pub mod handover;
