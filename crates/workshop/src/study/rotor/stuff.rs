//! How strong the rotor's metal is, from its kind and from what was read of it.

use crate::{
    machine::{
        metal::{Metal, Spread},
        rotor::Rotor,
    },
    study::Finding,
};
use quantity::Reading;

/// Strength of a rotor: where there are several metals each strength is that of the weakest in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stuff {
    /// 0.2 % proof stress [Pa].
    pub proof: Finding,
    /// Tensile strength [Pa].
    pub tensile: Finding,
    /// Flux density at which its rim is as good as saturated [T].
    pub saturates: Finding,
    /// It breaks without yielding first.
    pub brittle: bool,
    /// Its strength is that of the kind, not read from this rotor.
    pub of_the_kind: bool,
}

impl Stuff {
    /// `None` without a metal.
    pub fn of(rotor: &Rotor) -> Option<Self> {
        let metals: Vec<&Metal> = rotor.pieces.iter().filter_map(|p| p.metal.or(rotor.metal)).collect();
        if rotor.metal.is_none() && metals.len() < rotor.pieces.len().max(1) {
            return None;
        }
        let weakest =
            |of: &dyn Fn(&Metal) -> Spread| metals.iter().copied().chain(rotor.metal).min_by(|a, b| of(a).0.total_cmp(&of(b).0));
        let (yields, breaks) = (weakest(&|m| m.proof_pa)?, weakest(&|m| m.tensile_pa)?);
        let rim = rotor.pieces.iter().find(|p| p.part == crate::machine::rotor::Part::Rim).and_then(|p| p.metal).or(rotor.metal);
        let finding = |(si, plus_minus_si): Spread| Finding { si, plus_minus_si };
        let or = |read: &Option<Reading>, kind: Spread| read.as_ref().map_or(finding(kind), |r| finding((r.si, r.plus_minus_si)));
        Some(Self {
            proof: or(&rotor.proof_stress, yields.proof_pa),
            tensile: or(&rotor.tensile_strength, breaks.tensile_pa),
            saturates: finding(rim.unwrap_or(yields).saturates_t),
            brittle: metals.iter().any(|m| m.brittle) || rotor.metal.is_some_and(|m| m.brittle),
            of_the_kind: rotor.proof_stress.is_none() || rotor.tensile_strength.is_none(),
        })
    }
}
