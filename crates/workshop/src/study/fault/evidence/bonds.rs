//! What the computed strength of the magnets' bonds says of a loose one.

use super::{Of, Signature};
use crate::study::{fault::data::Faults, rotor::held::HeldStudy};

/// A chance below this says nothing \[1\] (own choice).
const LEAST: f64 = 0.01;

/// A bond that is sound has had to bear what the engine did to it, whose chance is 1 − f where f is the chance that it lets go; a loose one has had to bear nothing. So the likelihoods are 1
/// and 1 − f, and a strong bond says nothing: glue cracks by knocks, heat and oil as well, of which nothing is computed. Of rings that differ the weakest counts, of a ring one
/// magnet, for bonds of one batch go together.
pub(super) fn signature(faults: &Faults, held: &HeldStudy) -> Option<Signature> {
    let lets_go = held.rings.iter().filter_map(|r| r.lets_go).fold(0.0, f64::max);
    (lets_go >= LEAST)
        .then(|| Signature::of_shown(faults, &["rotor-off"], [("magnet-loose", 1.0)], 1.0 - lets_go.min(1.0), (1, Of::Bonds)))
}
