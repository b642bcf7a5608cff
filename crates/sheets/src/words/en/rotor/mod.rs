//! The rotor in the hand.

mod advice;
pub mod defect;
mod found;

pub use advice::{advice, cautions, cut_row, engine_row, forbidden, held, limit, step, threads_left, zone_line};
pub use found::*;
