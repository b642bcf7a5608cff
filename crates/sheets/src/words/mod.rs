//! The only place with sentences for people.
//!
//! Findings, warnings and errors come in typed and leave as plain English that says how sure it is. All text of one
//! language lives in one module ([`en`]); another language is another module with the same functions, chosen here.

mod date;
pub mod en;
mod number;

pub use date::{LAST_SECOND, at, day, on};
pub use en::*;
pub use number::{
    ascii, celsius, count, degrees, degrees_pm, mm, mm_pm, mm_to_hundredth, mm2_pm, mpa, number, percent, pm, rpm, rpm_of,
    rpm_pm, rpm_to_one, seconds_pm,
};
