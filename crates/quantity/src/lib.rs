//! What a measured number is: a value, its ±, its unit, and where it came from.

pub mod angle;
mod combine;
mod error;
mod parse;
mod parts;
mod reading;
mod unit;

pub use angle::{CrankAngle, DriveRatio, RotorAngle};
pub use combine::{Value, propagate};
pub use error::{ReadingError, ReadingErrorKind};
pub use parse::MOST_WRITTEN;
pub use parts::{Parts, Piece};
pub use reading::{Reading, Source};
pub use unit::{Dimension, Unit};
