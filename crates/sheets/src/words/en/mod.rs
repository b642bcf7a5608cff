//! English.
//!
//! Short sentences, the doubt said with the number, and "cannot tell" where the readings do not tell.

pub mod alike;
mod book;
pub mod calibrate;
pub mod caution;
pub mod chance;
mod complaint;
mod defect;
pub mod electric;
pub mod exchange;
pub mod fault;
mod files;
pub mod help;
pub mod job;
pub mod label;
pub mod load;
pub mod page;
pub mod part;
mod reading;
pub mod recording;
pub mod report;
pub mod rotor;
pub mod run;
pub mod sheet;
pub mod spark;
mod study;
mod trim;
mod warning;

pub use book::*;
pub use caution::{Caution, cautions_for_cut, cautions_for_owner, cautions_for_run, cautions_for_test};
pub use complaint::complaint;
pub use defect::{defect, defect_sentence, range};
pub use files::*;
pub use load::{before_tdc, kick, kick_back, knock_room, objection, sweep, sweep_place};
pub use reading::{dimension, reading_error};
pub use study::{
    best_at_idle, chance, chance_short, curve_line, depends, kind, misfit, next_reading, not_studied, parameter, parameter_name,
    parameter_value, rest_point, share_of_best, short_verdict, stiffness, support, verdict,
};
pub use trim::{Step, advice, cannot_undo, cut_range, cutting_list, limit, reversible, unbalance};
pub use warning::warning;

/// The language, as BCP 47 names it.
pub const LANGUAGE: &str = "en";
