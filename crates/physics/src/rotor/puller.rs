//! Pulling a rotor off its taper: what it takes, what a screw gives, what the threads bear.

use super::thread::{Metric, SHEAR_SHARE};

/// A puller's screw and where it presses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screw {
    /// Its thread.
    pub thread: Metric,
    /// Friction in the thread [1].
    pub friction: f64,
    /// Friction of its point on the shaft end [1].
    pub point_friction: f64,
    /// Diameter over which the point rubs [m], taken as an even disc: two thirds count.
    pub point_m: f64,
}

impl Screw {
    /// Force along the shaft [N] that a torque [N·m] gives.
    pub fn force_n(&self, torque_n_m: f64) -> f64 {
        torque_n_m / self.arm_m()
    }

    /// Torque [N·m] that a force [N] takes.
    pub fn torque_n_m(&self, force_n: f64) -> f64 {
        force_n * self.arm_m()
    }

    /// An even pressure on a disc rubs at two thirds of its radius.
    fn arm_m(&self) -> f64 {
        self.thread.thread_arm_m(self.friction) + self.point_friction * self.point_m / 3.0
    }
}

/// Force [N] at which a thread in the rotor strips, over an engaged length [m]: the weaker of the tapped thread and the screw's own.
///
/// `SHEAR_SHARE · R_m · area`, both sides. Sources: see [`Metric::inner_shear_m2`]. Threads share the load evenly only once they yield, so
/// this is the most a sound thread bears, never what may be put on.
pub fn strips_at_n(thread: &Metric, engaged_m: f64, rotor_tensile_pa: f64, screw_tensile_pa: f64) -> f64 {
    let inner = thread.inner_shear_m2(engaged_m) * rotor_tensile_pa;
    let outer = thread.outer_shear_m2(engaged_m) * screw_tensile_pa;
    SHEAR_SHARE * inner.min(outer)
}

/// How the pull is shared among bolts of a plate on a circle when the screw stands off the middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    /// Force of the bolt that bears most [N].
    pub most_n: f64,
    /// Force of the bolt that bears least [N]; below zero the plate lifts there.
    pub least_n: f64,
    /// Whether the bolts hold the plate square whichever way it is off: three or more do, two tip over.
    pub stands: bool,
}

/// A pull [N] through `bolts` evenly on a circle of `circle_m` diameter, with the screw `off_m` from its middle, in the worst direction for it.
///
/// A stiff plate: `F_i = F/n + F e cos φ_i/(R Σcos²φ)`, with Σcos² = n/2 for three or more. Two bolts carry a tilt in their own line only.
/// `None` for fewer than two bolts or a circle of nothing.
pub fn shared(pull_n: f64, bolts: usize, circle_m: f64, off_m: f64) -> Option<Shared> {
    let radius = 0.5 * circle_m;
    if bolts < 2 || !(radius > 0.0 && radius.is_finite()) {
        return None;
    }
    let n = bolts as f64;
    let tilt = off_m.abs() / radius * if bolts == 2 { 1.0 } else { 2.0 };
    // Off towards a bolt loads it most; off away from a bolt relieves it most.
    Some(Shared { most_n: pull_n / n * (1.0 + tilt), least_n: pull_n / n * (1.0 - tilt), stands: bolts > 2 })
}
