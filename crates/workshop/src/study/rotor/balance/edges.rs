//! What masses that level a rotor on knife edges tell.

use super::{NoEdges, of, value};
use crate::{machine::Balancing, study::Finding};
use physics::rotor::unbalance::{Unbalance, from_trial_masses};

/// The unbalance that masses, all on at once, level: opposite to their sum. `shown` is the least that the edges show [kg·m]: a rotor that lies still may be out by
/// that in any direction.
///
/// # Errors
/// [`NoEdges`].
pub(super) fn told(b: &Balancing, shown: Option<Finding>) -> Result<Unbalance, NoEdges> {
    if b.edges.is_empty() {
        return Err(NoEdges::None);
    }
    let shown = of(shown.ok_or(NoEdges::NoMass)?);
    let masses: Unbalance = b.edges.iter().map(|[m, r, at]| Unbalance::of_mass(value(m), value(r), value(at))).sum();
    let heavy = masses.opposite();
    // The bound is itself in doubt: the mean of its square counts. One metre, so that masses are unbalances.
    let bound = shown.si.hypot(shown.standard_uncertainty_si);
    let hidden = from_trial_masses(heavy.size() - bound, heavy.size() + bound, 1.0).standard_uncertainty_si.powi(2);
    Ok(Unbalance { xx: heavy.xx + hidden, yy: heavy.yy + hidden, ..heavy })
}
