//! Drops on the way of the ignition's current: what the copper of the wires makes, and what a bad joint adds to it.

use super::{Of, Signature, above};
use crate::{
    machine::Machine,
    study::{
        Finding,
        electric::wires::{self, MOST_DROP_V},
        fault::data::Faults,
    },
};
use physics::interval::{normal_density, normal_share};

/// What a bad joint adds, as a half-normal spread [V] (own choice: most bad joints lose between a tenth of a volt and two volts).
const JOINT_V: f64 = 1.0;
/// What sound joints add beside the copper, as a spread [V] (common practice, no source: a tenth of a volt in a whole side is good).
const SOUND_V: f64 = 0.06;

/// Computed drops [V].
pub struct Copper {
    /// From the battery to the ignition.
    pub feed: Option<Finding>,
    /// From the frame to the battery and to the ignition.
    pub earth: Option<Finding>,
}

/// What the copper of the file's wires drops, where the file says what they carry.
pub fn copper(machine: &Machine) -> Copper {
    let study = wires::study(machine);
    // Of wires side by side, each with its share of the current, the mean.
    let of = |share: &dyn Fn(usize) -> Option<f64>| {
        let each = study.iter().flat_map(|s| s.wires.iter().enumerate()).filter_map(|(k, w)| Some((share(k)?, w.drop?)));
        let drops = each.map(|(share, drop)| Finding { si: share * drop.si, plus_minus_si: share * drop.plus_minus_si });
        // One current flows through all of them in one heat, so their doubts go together.
        let add = |a: Finding, b: Finding| Finding { si: a.si + b.si, plus_minus_si: a.plus_minus_si + b.plus_minus_si };
        drops.reduce(add)
    };
    Copper {
        feed: of(&|k| wires::feeds_ignition(machine, &machine.electric.wires[k])),
        earth: of(&|k| wires::is_earth(&machine.electric.wires[k]).then_some(1.0)),
    }
}

/// A drop that was read beside the copper's: noise alone, or a bad joint on top of it.
///
/// With excess e = read − copper of spread σ, what sound joints scatter among it, a sound joint has the likelihood N(e; 0, σ²), and a bad one that adds |N(0, J²)| has
/// 2 N(e; 0, σ² + J²) Φ(e J / (σ √(σ² + J²))).
pub fn signature(faults: &Faults, of: Of, read: Finding, copper: Finding) -> Signature {
    // Where less is lost than the copper would lose, less flowed than was taken; that is no bad joint either.
    let excess = (read.si - copper.si).max(0.0);
    let sd = (0.5 * read.plus_minus_si).hypot(0.5 * copper.plus_minus_si).hypot(SOUND_V);
    let wide = sd.hypot(JOINT_V);
    let positive = normal_share(excess * JOINT_V / (sd * wide));
    let (sound, joint) = (normal_density(excess, sd), 2.0 * normal_density(excess, wide) * positive);
    // Wires that are too thin lose too much with sound joints.
    let thin = above(copper, MOST_DROP_V) * above(read, MOST_DROP_V);
    let (test, named) = if of == Of::Feed {
        ("drop-feed", [("feed-drop", joint.max(thin * sound)), ("connector", joint), ("kill-leak", joint)])
    } else {
        ("drop-earth", [("bad-earth", joint.max(thin * sound)), ("reg-earth", joint), ("connector", joint)])
    };
    Signature::of_shown(faults, &[test], named, sound, (1, of))
}
