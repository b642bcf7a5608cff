//! What a measured number is: a value, its ±, its unit, and where it came from.

mod angle;
mod reading;
mod unit;

pub use angle::{CrankAngle, DriveRatio, RotorAngle};
pub use reading::{Reading, Source};
pub use unit::{Dimension, Unit};
