//! What a recording tells.

mod change;
mod file;
mod found;
pub mod help;
pub mod page;
mod pickups;
mod ran;
mod refuse;

pub use change::*;
pub use file::*;
pub use found::*;
pub use pickups::*;
pub use ran::*;
pub use refuse::*;
