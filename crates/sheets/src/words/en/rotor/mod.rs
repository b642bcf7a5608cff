//! The rotor in the hand.

mod advice;
pub mod balance;
pub mod defect;
pub mod fitting;
mod found;
pub mod holds;
pub mod paper;
pub mod steps;

pub use advice::{
    advice, cautions, cautions_for_drilling, cut_row, engine_row, forbidden, held, limit, step, threads_left, zone_line,
};
pub use found::*;
