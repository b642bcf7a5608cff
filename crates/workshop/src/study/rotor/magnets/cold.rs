//! The bond at its coldest.

use super::{HOT, One};
use crate::{
    machine::Bond,
    study::{
        Finding,
        doubt::{Input, finding, input},
    },
};

/// The bond at the coldest, turned at its top speed as hard as ever.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cold {
    /// Coldest that it gets [K].
    pub temperature_k: f64,
    /// Shear by unequal expansion at the worst corner [Pa].
    pub thermal: Finding,
    /// Strength over load \[1\]; `None` where it is colder than any point of the adhesive's strength.
    pub margin: Option<Finding>,
}

impl Cold {
    /// A corner may part: more is carried than borne.
    pub fn gone(&self) -> bool {
        self.margin.is_some_and(|m| m.si < 1.0)
    }
}

/// Works it out.
pub(super) fn cold(one: &One<'_>, bond: &Bond, x: &[f64]) -> Cold {
    let mut inputs = one.inputs.clone();
    inputs[HOT] = input(&bond.coldest);
    let at = bond.coldest.si;
    let margin = one.strength.at(at).is_ok().then(|| {
        let own = 2.0 * one.strength_u(at) * one.strength_pa(at);
        let all: Vec<Input> = inputs.iter().copied().chain([(0.0, own)]).collect();
        // Its own ± of temperature may reach beyond the points, where nothing is told.
        finding(|y| (one.strength_pa(y[HOT]) + y[x.len()]) / one.load_pa(y, true), &all)
    });
    Cold { temperature_k: at, thermal: finding(|y| one.thermal_pa(y), &inputs), margin }
}
