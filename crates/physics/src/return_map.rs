//! How a small push in speed comes back, cycle by cycle: the return map at a rest point, made linear.
//!
//! Deviations d₀, d₁, … of the mean speed from cycle to cycle follow, near a rest, d_{k+2} = a d_{k+1} + b d_k: one part is the crank's own, the other what the
//! charge remembers of the cycle before (residual gas, pressure in the runner). The roots of λ² = a λ + b are the multipliers:
//!
//! - the greater above 1: the speed runs away;
//! - a pair of complex ones, or a negative one: it hunts, and the swings grow where the magnitude is above 1;
//! - else a push dies away, by the greater one each cycle.
//!
//! Where the charge remembered nothing, the one multiplier would be exp(T_c ∂T/∂ω / J), T_c being the cycle's duration: [`slow`]. A lighter rotor does not move
//! a rest point, at which torque is zero; it moves the multipliers.
//!
//! Validity: the slowest two parts; faster ones must have died out. Source: linear return map, e.g. Strogatz, *Nonlinear Dynamics and Chaos*, 2nd ed., 8.7 and
//! 10.1; the fit to a row of values is Prony's, by least squares.

use crate::cycle::{Drive, Outside, Prepared, STRETCH_RAD, Start, turn};
use std::f64::consts::TAU;

/// Push, as a share of the speed [1] (own choice): small against the distance to another rest, which may lie 4 % away, and against the kinks that a burn
/// near misfire makes of it.
const PUSH: f64 = 0.001;
/// Cycles that the crank turns freely before it is pushed, and those that are followed then (own choice): a crank that is let go first finds the
/// unevenness of its own turn, and what that does must not be taken for the push.
const FREE: usize = 24;
const FOLLOWED: usize = 14;

/// Share of the product of the squares below which two rows of deviations count as one [1] (own choice): only one part is to be seen then.
const ONE_PART: f64 = 1e-9;
/// Part of the deviations that the fit may leave over \[1\] (own choice); beyond it two parts do not tell how a push comes back.
pub const MISFIT: f64 = 0.05;
/// A negative or complex part of less magnitude than this is gone in a cycle or two, and nobody hears it swing \[1\] (own choice).
pub const HEARD: f64 = 0.5;

/// The two multipliers of one cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Multipliers {
    /// Real ones, the greater magnitude first; 0 where only one part is to be seen.
    Real(f64, f64),
    /// A pair of complex ones: magnitude, and angle per cycle [rad].
    Pair {
        /// Magnitude \[1\].
        magnitude: f64,
        /// Angle per cycle [rad], above 0 and below π.
        angle_rad: f64,
    },
}

/// What a push does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// It dies away.
    Steady,
    /// It swings from one side to the other, less each time.
    Swings,
    /// It swings, more each time.
    Hunts,
    /// It grows to one side.
    RunsAway,
}

impl Multipliers {
    /// From deviations of successive cycles; `None` where two parts do not describe them.
    pub fn fit(deviations: &[f64]) -> Option<Self> {
        let (mut s00, mut s01, mut s11, mut s02, mut s12, mut s22) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for w in deviations.windows(3) {
            let [x, y, z] = [w[0], w[1], w[2]];
            (s00, s01, s11) = (s00 + x * x, s01 + x * y, s11 + y * y);
            (s02, s12, s22) = (s02 + x * z, s12 + y * z, s22 + z * z);
        }
        let determinant = s00 * s11 - s01 * s01;
        if !(s00 > 0.0 && s22.is_finite()) {
            return None;
        }
        let (a, b) = if determinant > ONE_PART * s00 * s11 {
            ((s12 * s00 - s02 * s01) / determinant, (s02 * s11 - s12 * s01) / determinant)
        } else {
            (s01 / s00, 0.0)
        };
        let misfit: f64 = deviations.windows(3).map(|w| (w[2] - a * w[1] - b * w[0]).powi(2)).sum();
        if misfit > MISFIT * MISFIT * s22.max(s00) {
            return None;
        }
        let inside = 0.25 * a * a + b;
        Some(if inside < 0.0 {
            let magnitude = (-b).sqrt();
            Self::Pair { magnitude, angle_rad: (0.5 * a / magnitude).clamp(-1.0, 1.0).acos() }
        } else {
            let root = inside.sqrt();
            let (one, other) = (0.5 * a + root, 0.5 * a - root);
            if one.abs() >= other.abs() { Self::Real(one, other) } else { Self::Real(other, one) }
        })
    }

    /// The greatest magnitude \[1\].
    pub fn magnitude(&self) -> f64 {
        match *self {
            Self::Real(first, _) => first.abs(),
            Self::Pair { magnitude, .. } => magnitude,
        }
    }

    /// What they do to a push.
    pub fn manner(&self) -> Manner {
        let magnitude = self.magnitude();
        match *self {
            Self::Real(first, _) if first > 1.0 => Manner::RunsAway,
            Self::Real(first, _) if first >= 0.0 => Manner::Steady,
            _ if magnitude > 1.0 => Manner::Hunts,
            _ if magnitude > HEARD => Manner::Swings,
            _ => Manner::Steady,
        }
    }

    /// Cycles in which a push dies to 1/e; negative where it grows.
    pub fn cycles(&self) -> f64 {
        -1.0 / self.magnitude().ln()
    }
}

/// The multipliers at a rest speed [rad/s] and an opening [m²], by the working cycle itself with the crank's speed free: half the difference of two runs that
/// were one until they are pushed, up and down, within [`STRETCH_RAD`]. `None` as [`Multipliers::fit`], or where the engine stops.
pub fn at_rest(p: &Prepared, drive: &Drive, speed_rad_s: f64, opening_m2: f64) -> Option<Multipliers> {
    let row = |push: f64| {
        let (mut means, mut since) = (Vec::with_capacity(FOLLOWED), 0.0);
        // Half a degree [rad] (own choice): the crank turns by whole fractions of a degree, and this stands for their rounding.
        const ROUNDING: f64 = TAU / 720.0;
        let mut pushed = false;
        turn(p, drive, Start { speed_rad_s, opening_m2, push: 0.0 }, &|_, _| 1.0, &mut |now| {
            if now.turned_rad + ROUNDING > 2.0 * TAU * (means.len() + 1) as f64 {
                means.push(2.0 * TAU / (now.time_s - since));
                since = now.time_s;
            }
            // ½ J ((1 + push)² − 1) ω², all of it in one stretch.
            let give = !pushed && means.len() == FREE;
            pushed |= give;
            let energy_j = 0.5 * drive.inertia_kg_m2 * (2.0 + push) * push * now.speed_rad_s * now.speed_rad_s;
            let drag_nm = if give { -energy_j / STRETCH_RAD } else { 0.0 };
            (means.len() < FREE + FOLLOWED).then_some(Outside { opening_m2, drag_nm })
        });
        means.split_off(FREE.min(means.len()))
    };
    let (up, down) = (row(PUSH), row(-PUSH));
    if up.len().min(down.len()) < FOLLOWED {
        return None;
    }
    let deviations: Vec<f64> = up.iter().zip(&down).map(|(u, d)| 0.5 * (u - d)).collect();
    Multipliers::fit(&deviations)
}

/// The multiplier of slow changes, exp(T ∂T/∂ω / J) \[1\], for a slope [N·m·s], an inertia [kg·m²] and a cycle of so many seconds.
pub fn slow(torque_slope: f64, inertia_kg_m2: f64, cycle_s: f64) -> f64 {
    (cycle_s * torque_slope / inertia_kg_m2).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding, blown up by the condition of two parts that differ by a tenth.
    const ROUNDING: f64 = 1e-6;

    /// A linear engine J dω/dt = s ω whose charge follows with one multiplier of its own: the deviations are known in closed form.
    fn row(first: (f64, f64), second: (f64, f64)) -> Vec<f64> {
        (0..12).map(|k| first.1 * first.0.powi(k) + second.1 * second.0.powi(k)).collect()
    }

    #[test]
    fn closed_forms_come_back() {
        for (one, other) in [(0.9, 0.4), (1.1, 0.5), (-0.9, 0.3), (0.8, -0.7)] {
            let Some(Multipliers::Real(a, b)) = Multipliers::fit(&row((one, 1.0), (other, 0.5))) else { panic!("{one} {other}") };
            assert!((a - one).abs() < ROUNDING && (b - other).abs() < ROUNDING, "{a} {b}");
        }
        // d_k = r^k cos(k φ).
        for (r, angle) in [(0.95_f64, 0.7_f64), (1.05, 2.0)] {
            let swing: Vec<f64> = (0..12).map(|k| r.powi(k) * (f64::from(k) * angle).cos()).collect();
            let Some(Multipliers::Pair { magnitude, angle_rad }) = Multipliers::fit(&swing) else { panic!() };
            assert!((magnitude - r).abs() < ROUNDING && (angle_rad - angle).abs() < ROUNDING);
        }
    }

    #[test]
    fn a_charge_without_memory_gives_the_slow_multiplier() {
        // J = 0.01 kg·m², slope −0.02 N·m·s, cycles of 0.1 s: τ = 0.5 s, so e^(−0.2) each cycle.
        let lambda = slow(-0.02, 0.01, 0.1);
        assert!((lambda - (-0.2_f64).exp()).abs() < ROUNDING);
        let fitted = Multipliers::fit(&row((lambda, 1.0), (0.0, 0.0))).expect("one part");
        assert!((fitted.magnitude() - lambda).abs() < ROUNDING);
        assert!((fitted.cycles() - 5.0).abs() < 1e3 * ROUNDING, "0.5 s are five cycles");
    }

    #[test]
    fn manners() {
        let manner = |one, other| Multipliers::Real(one, other).manner();
        assert_eq!(manner(0.9, 0.1), Manner::Steady);
        assert_eq!(manner(1.1, 0.1), Manner::RunsAway);
        assert_eq!(manner(-1.1, 0.1), Manner::Hunts);
        assert_eq!(manner(-0.7, 0.1), Manner::Swings);
        assert_eq!(manner(-0.2, 0.1), Manner::Steady);
        assert_eq!(Multipliers::fit(&[0.0; 8]), None, "no push, no answer");
        let noise = [1.0, -0.3, 0.8, 0.1, -0.9, 0.7, 0.2, -0.6, 0.9, 0.4];
        assert_eq!(Multipliers::fit(&noise), None, "two parts do not make noise");
    }
}
