//! Kick-back: whether the first firing at kicking speed can throw the crank backwards.

use crate::cycle::{Operating, Prepared, first_firings};

/// Energy test at kicking speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KickBack {
    /// Work that burning takes from the crank between spark and top dead centre, beyond what compression takes without a spark [J].
    pub work_against_j: f64,
    /// Energy of the turning parts at kicking speed, ½ J ω² [J].
    pub turning_energy_j: f64,
}

impl KickBack {
    /// The part of the turning energy that burning may take [1]: half, no source; the leg's push helps by an unknown amount and the
    /// speed of a kick varies as much.
    pub const MOST_SHARE: f64 = 0.5;

    /// Less than [`KickBack::MOST_SHARE`] of the turning energy is taken.
    pub fn passes(&self) -> bool {
        self.work_against_j < Self::MOST_SHARE * self.turning_energy_j
    }
}

/// The test for a kick with the throttle at an effective area [m²]: fresh charge, no residual, one firing.
pub fn test(p: &Prepared, at: Operating, inertia_kg_m2: f64) -> KickBack {
    let [fired, motored] = first_firings(p, at, [at.advance_rad, NO_SPARK]);
    // Work on the piston from the spark to top dead centre, negative while it is compressed.
    let work = |trace: &crate::cycle::Trace| {
        let value = |angle: f64| {
            let k = trace.samples.partition_point(|s| s.angle_rad < angle).clamp(1, trace.samples.len() - 1);
            let (a, b) = (&trace.samples[k - 1], &trace.samples[k]);
            let f = ((angle - a.angle_rad) / (b.angle_rad - a.angle_rad)).clamp(0.0, 1.0);
            a.work_j + f * (b.work_j - a.work_j)
        };
        value(0.0) - value((-at.advance_rad).min(0.0))
    };
    KickBack {
        work_against_j: (work(&motored) - work(&fired)).max(0.0),
        turning_energy_j: 0.5 * inertia_kg_m2 * at.speed_rad_s * at.speed_rad_s,
    }
}

/// An advance that never comes [rad] (own choice): 300° after top dead centre, when the burnt charge has long left.
pub const NO_SPARK: f64 = -300.0 * std::f64::consts::PI / 180.0;
