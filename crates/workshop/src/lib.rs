//! The trade: what a machine file says, and the studies that turn readings into findings.
//!
//! No prose: findings and warnings are typed, and `sheets` has the words.

pub mod document;
pub mod indices;
pub mod job;
pub mod machine;
pub mod made;
pub mod sampling;
pub mod study;
