//! What a recording tells.

mod file;
mod found;
pub mod help;
pub mod page;
mod ran;
mod refuse;

pub use file::*;
pub use found::*;
pub use ran::*;
pub use refuse::*;
