//! Which channel holds the trigger, and which the spark.

use super::{Given, NotHeard};
use physics::recording::{Heard, MarkKind, kind, marks};

/// How the channels were told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// It was said.
    Stated,
    /// One has pairs of opposite pulses at an even pace, the other has none.
    ByPairs,
    /// Each event of the one rings, to and fro several times.
    ByRinging,
    /// Pulses of the one are so much longer.
    ByWidth,
}

/// The roles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RolesFound {
    /// Channel of the trigger, 0 or 1; the other one hears the spark.
    pub trigger: usize,
    /// How that is known.
    pub told: Told,
}

/// A channel's pulses must be longer than the other's by this factor \[1\] (own choice) where nothing else tells them apart.
const LONGER: f64 = 2.0;

/// Lobes that are tried as rows of turns [1] (own choice): enough to tell, and what the search for a row holds stays small.
const LOOKED_AT: usize = 8192;
/// Lobes for each event: a trigger has fewer than the first, a spark more than the second \[1\] (own choice).
const RINGS: (f64, f64) = (1.3, 1.6);

pub(super) fn tell(heard: &[Heard; 2], drive: f64, given: &Given) -> Result<RolesFound, NotHeard> {
    if let Some(trigger) = given.trigger.filter(|t| *t < 2) {
        return Ok(RolesFound { trigger, told: Told::Stated });
    }
    let paired = [0, 1].map(|c| {
        let lobes = &heard[c].lobes[..heard[c].lobes.len().min(LOOKED_AT)];
        match kind(lobes) {
            // Ringing makes opposite pulses as well, many to a spark; a segment's are all there are.
            Ok(found @ MarkKind::Pair { .. }) => {
                marks(lobes, found, drive).is_ok_and(|m| m.marks.len() > 3 && m.stray < m.marks.len())
            }
            _ => false,
        }
    });
    match paired {
        [true, false] => return Ok(RolesFound { trigger: 0, told: Told::ByPairs }),
        [false, true] => return Ok(RolesFound { trigger: 1, told: Told::ByPairs }),
        _ => {}
    }
    let rings = [0, 1].map(|c| {
        let surely = heard[c].onsets.iter().filter(|o| !o.weak).count();
        if surely > 4 { heard[c].lobes.len() as f64 / surely as f64 } else { 0.0 }
    });
    for trigger in [0, 1] {
        if (0.5..RINGS.0).contains(&rings[trigger]) && rings[1 - trigger] > RINGS.1 {
            return Ok(RolesFound { trigger, told: Told::ByRinging });
        }
    }
    let [a, b] = [0, 1].map(|c| {
        let mut widths: Vec<f64> = heard[c].lobes.iter().map(|l| f64::from(l.width_s)).collect();
        widths.sort_by(f64::total_cmp);
        widths.get(widths.len() / 2).copied().unwrap_or(0.0)
    });
    let [first, second] = [0, 1].map(|c| heard[c].lobes.len() > 4);
    match (first && second, a > LONGER * b, b > LONGER * a) {
        (true, true, _) => Ok(RolesFound { trigger: 0, told: Told::ByWidth }),
        (true, _, true) => Ok(RolesFound { trigger: 1, told: Told::ByWidth }),
        _ => Err(NotHeard::RolesNotTold),
    }
}
