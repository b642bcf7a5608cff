//! The rotor in the hand.

pub mod defect;
