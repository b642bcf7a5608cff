//! English.

pub mod label;
