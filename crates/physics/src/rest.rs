//! Where an engine comes to rest: the speeds at which its mean torque is zero at a fixed throttle opening.
//!
//! With each cylinder on its own advance curve α꜀(N), the net mean torque is
//!
//! T(N, A) = Σ꜀ T_gas(N, A, α꜀(N)) − T_friction(N)   \[N·m\]
//!
//! More air always means more torque at a given speed, so for every speed N there is one opening A₀(N) that holds it.
//! The line A₀(N) is all there is to know, and it is a plain function of N:
//!
//! - the rest points at an opening A are the crossings A₀(N) = A;
//! - one is stable where A₀ rises with N, that is where ∂T/∂N < 0;
//! - the folds, at which a stable and an unstable rest point meet, are the local extremes of A₀;
//! - stiffness is dN/d(ln A) along it, and a small push dies out in J / (−∂T/∂ω).
//!
//! No path has to be followed round a fold, and nothing can be missed between two speeds that are closer than any feature of the curve.
//! Where torque does *not* rise with the opening, the lowest opening that holds the speed is taken and the point is marked.
//!
//! Validity: slow changes of mean torque; it says nothing of the unevenness within a cycle or of delays in the inlet.
//! Source: equilibrium and first-order stability of one state, e.g. Strogatz, *Nonlinear Dynamics and Chaos*, 2nd ed., 2.2–2.4 and 3.1.

mod blend;
mod map;

use crate::root::bracketed;
pub use blend::{Blend, Held};
pub use map::{Axis, Stencil, TorqueMap};

/// Half-step of speed and opening for slopes, as a share [1] (own choice): small against the map's own steps, large against rounding.
const SLOPE_STEP: f64 = 0.002;
/// Two folds whose openings differ by less than this share [1] are not told apart (own choice): less air than the surface resolves
/// (each point of it is settled to 0.2 %) and far less than a throttle stop can be set to.
const LEAST_FOLD: f64 = 0.002;
/// Speeds and openings of folds and rest points are narrowed down to this share [1] (own choice).
const NARROW: f64 = 1e-9;
/// Most steps of a narrowing; golden section reaches the square root of `NARROW` in 25.
const MOST_STEPS: usize = 100;

/// An engine held at an opening, ready to be asked where it rests.
pub struct Running<'a> {
    maps: &'a [(f64, &'a TorqueMap)],
    cylinders: usize,
    advance: &'a (dyn Fn(usize, f64) -> f64 + Sync),
    friction: &'a (dyn Fn(f64) -> f64 + Sync),
    inertia_kg_m2: f64,
    rows: Vec<Row>,
    advances: Vec<Stencil>,
}

/// One speed of the map.
struct Row {
    speed_rad_s: f64,
    friction_nm: f64,
}

/// The opening that holds a speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hold {
    /// This one [m²]; `only` is false where torque does not rise with opening and a larger one holds it too.
    At {
        /// Opening [m²].
        opening_m2: f64,
        /// Is it the only one?
        only: bool,
    },
    /// The engine pulls even at the least opening of the map.
    LessThanLeast,
    /// Not even the greatest opening of the map holds it.
    MoreThanMost,
}

/// One point of the line A₀(N).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinePoint {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// The opening that holds it.
    pub hold: Hold,
    /// Does the line rise here, so that the rest is stable? `false` where the hold is outside the map.
    pub stable: bool,
}

/// A rest point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rest {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Does it come back after a push?
    pub stable: bool,
    /// ∂T/∂ω [N·m·s]; negative = restoring.
    pub torque_slope: f64,
    /// J / (−∂T/∂ω) [s]; negative = a push grows.
    pub time_constant_s: f64,
    /// dN/d(ln A) × 1 % [rad/s]; negative at an unstable point.
    pub stiffness_rad_s_per_percent: f64,
}

/// All rest points at one opening.
#[derive(Clone, Debug, PartialEq)]
pub struct Rests {
    /// Slowest first.
    pub points: Vec<Rest>,
    /// Still pulling at the fastest speed of the map: there is another rest beyond it.
    pub pulls_at_top: bool,
}

/// A local extreme of A₀(N).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoldPoint {
    /// Opening [m²].
    pub opening_m2: f64,
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// A greatest opening: opening the throttle past it, the engine leaves this speed upwards. Otherwise a least one: closing past it, it drops.
    pub greatest: bool,
}

impl<'a> Running<'a> {
    /// An engine from its torque, its curves and its friction.
    ///
    /// - `maps`: gas torque of one cylinder as a weighted sum of maps, all on the same axes. One map of weight 1 is the plain case;
    ///   several make an interpolation between engines.
    /// - `advance`: advance [rad] of a cylinder at a speed [rad/s].
    /// - `friction`: mean friction torque of the whole engine [N·m] at a speed [rad/s].
    ///
    /// # Panics
    /// If there is no map, or their axes differ: both are mistakes of the caller, not of the readings.
    pub fn new(
        maps: &'a [(f64, &'a TorqueMap)],
        cylinders: usize,
        advance: &'a (dyn Fn(usize, f64) -> f64 + Sync),
        friction: &'a (dyn Fn(f64) -> f64 + Sync),
        inertia_kg_m2: f64,
    ) -> Self {
        let first = maps.first().expect("at least one torque map").1;
        assert!(maps.iter().all(|(_, m)| m.same_axes(first)), "torque maps must stand on the same axes");
        let mut rows = Vec::with_capacity(first.ln_speed.count());
        let mut advances = Vec::with_capacity(first.ln_speed.count() * cylinders);
        for n in 0..first.ln_speed.count() {
            let speed = first.ln_speed.point(n).exp();
            rows.push(Row { speed_rad_s: speed, friction_nm: friction(speed) });
            advances.extend((0..cylinders).map(|c| first.advance.stencil(advance(c, speed))));
        }
        Self { maps, cylinders, advance, friction, inertia_kg_m2, rows, advances }
    }

    fn axes(&self) -> &TorqueMap {
        self.maps[0].1
    }

    /// Net torque at one row for the openings from `first` on.
    fn row_torque(&self, n: usize, first: usize, out: &mut [f64]) {
        out.fill(-self.rows[n].friction_nm);
        for advance in &self.advances[n * self.cylinders..][..self.cylinders] {
            for (weight, map) in self.maps {
                map.add_row(n, advance, first, *weight, out);
            }
        }
    }

    /// Net torque at any speed for the openings from `first` on.
    fn torque_between(&self, speed: f64, first: usize, out: &mut [f64]) {
        let axes = self.axes();
        out.fill(-(self.friction)(speed));
        let rows = axes.ln_speed.stencil(speed.ln());
        for c in 0..self.cylinders {
            let advance = axes.advance.stencil((self.advance)(c, speed));
            for (i, w) in rows.weights.iter().enumerate() {
                for (weight, map) in self.maps {
                    map.add_row(rows.at + i, &advance, first, w * weight, out);
                }
            }
        }
    }

    /// Net mean torque [N·m] at a speed [rad/s] and an opening [m²]. Outside the map the nearest edge holds.
    pub fn torque(&self, speed_rad_s: f64, opening_m2: f64) -> f64 {
        let s = self.axes().ln_opening.stencil(opening_m2.ln());
        let mut four = [0.0; 4];
        self.torque_between(speed_rad_s, s.at, &mut four);
        dot(&s.weights, &four)
    }

    /// The opening A₀ that holds a speed. Speeds outside the map are taken at its nearest edge.
    pub fn opening_for(&self, speed_rad_s: f64) -> Hold {
        let mut column = vec![0.0; self.axes().ln_opening.count()];
        self.torque_between(speed_rad_s, 0, &mut column);
        hold_in(&self.axes().ln_opening, &column)
    }

    /// The fastest speed of the map [rad/s].
    pub fn fastest(&self) -> f64 {
        self.rows.last().map_or(0.0, |r| r.speed_rad_s)
    }

    /// The whole line A₀(N), slowest speed first.
    pub fn line(&self) -> Vec<LinePoint> {
        let mut column = vec![0.0; self.axes().ln_opening.count()];
        let mut line: Vec<LinePoint> = (0..self.rows.len())
            .map(|n| {
                self.row_torque(n, 0, &mut column);
                LinePoint {
                    speed_rad_s: self.rows[n].speed_rad_s,
                    hold: hold_in(&self.axes().ln_opening, &column),
                    stable: false,
                }
            })
            .collect();
        let order = |p: &LinePoint| match p.hold {
            Hold::LessThanLeast => 0.0,
            Hold::At { opening_m2, .. } => opening_m2,
            Hold::MoreThanMost => f64::INFINITY,
        };
        for n in 0..line.len() {
            let before = order(&line[n.saturating_sub(1)]);
            let after = order(&line[(n + 1).min(line.len() - 1)]);
            line[n].stable = matches!(line[n].hold, Hold::At { .. }) && after > before;
        }
        line
    }

    /// Folds of a [`Running::line`], slowest first, each narrowed down between the speeds of the map.
    pub fn folds(&self, line: &[LinePoint]) -> Vec<FoldPoint> {
        let at = |p: &LinePoint| match p.hold {
            Hold::At { opening_m2, .. } => Some(opening_m2),
            _ => None,
        };
        let mut folds: Vec<FoldPoint> = Vec::new();
        for w in line.windows(3) {
            let (Some(a), Some(b), Some(c)) = (at(&w[0]), at(&w[1]), at(&w[2])) else { continue };
            if (b >= a && b > c) || (b <= a && b < c) {
                folds.push(self.narrow_fold(w[0].speed_rad_s, w[2].speed_rad_s, b > c));
            }
        }
        drop_shallow(&mut folds);
        folds
    }

    fn narrow_fold(&self, low: f64, high: f64, greatest: bool) -> FoldPoint {
        let sign = if greatest { 1.0 } else { -1.0 };
        let opening = |speed: f64| match self.opening_for(speed) {
            Hold::At { opening_m2, .. } => opening_m2,
            Hold::LessThanLeast => 0.0,
            Hold::MoreThanMost => f64::INFINITY,
        };
        let speed = golden_section_greatest(low, high, |speed| sign * opening(speed));
        FoldPoint { opening_m2: opening(speed), speed_rad_s: speed, greatest }
    }

    /// All rest points at an opening [m²].
    pub fn rests(&self, opening_m2: f64) -> Rests {
        let torques = self.torque_row(opening_m2);
        let points = crossings(&torques)
            .map(|n| {
                let (low, high) = (self.rows[n].speed_rad_s, self.rows[n + 1].speed_rad_s);
                let speed = crossing(low, high, |v| self.torque(v, opening_m2));
                self.rest_at(speed, opening_m2, torques[n] > 0.0)
            })
            .collect();
        Rests { points, pulls_at_top: torques.last().is_some_and(|t| *t > 0.0) }
    }

    /// The fastest stable rest speed above `speed` [rad/s] at an opening, between the map's speeds by straight line:
    /// quick, for sampling many engines. A rest beyond the map counts as one at its fastest speed.
    pub fn stable_above(&self, speed_rad_s: f64, opening_m2: f64) -> Option<f64> {
        let torques = self.torque_row(opening_m2);
        let last = self.rows.last()?.speed_rad_s;
        if torques.last().is_some_and(|t| *t > 0.0) {
            return Some(last);
        }
        crossings(&torques)
            .filter(|n| torques[*n] > 0.0)
            .map(|n| {
                let share = torques[n] / (torques[n] - torques[n + 1]);
                self.rows[n].speed_rad_s * (1.0 - share) + self.rows[n + 1].speed_rad_s * share
            })
            .filter(|v| *v > speed_rad_s)
            .last()
    }

    /// The greatest net torque [N·m] at any of the map's speeds above `speed` [rad/s] at an opening [m²]. Where it is positive the engine rests
    /// somewhere above, where it is not it does not: a measure of how near it is to that. NaN above the map.
    pub fn most_torque_above(&self, speed_rad_s: f64, opening_m2: f64) -> f64 {
        let above = self.rows.iter().zip(self.torque_row(opening_m2)).filter(|(row, _)| row.speed_rad_s > speed_rad_s);
        above.map(|(_, torque)| torque).fold(f64::NAN, f64::max)
    }

    fn torque_row(&self, opening_m2: f64) -> Vec<f64> {
        let s = self.axes().ln_opening.stencil(opening_m2.ln());
        (0..self.rows.len())
            .map(|n| {
                let mut four = [0.0; 4];
                self.row_torque(n, s.at, &mut four);
                dot(&s.weights, &four)
            })
            .collect()
    }

    /// Properties of a rest point found at `speed`.
    fn rest_at(&self, speed: f64, opening: f64, stable: bool) -> Rest {
        let (up, down) = (1.0 + SLOPE_STEP, 1.0 - SLOPE_STEP);
        let by_speed = (self.torque(speed * up, opening) - self.torque(speed * down, opening)) / (2.0 * SLOPE_STEP * speed);
        let by_ln_opening = (self.torque(speed, opening * up) - self.torque(speed, opening * down)) / (up / down).ln();
        Rest {
            speed_rad_s: speed,
            stable,
            torque_slope: by_speed,
            time_constant_s: self.inertia_kg_m2 / -by_speed,
            stiffness_rad_s_per_percent: -by_ln_opening / by_speed * 0.01,
        }
    }
}

/// The lowest opening at which a column of torques, one for each opening of the axis, turns from braking to pulling.
fn hold_in(axis: &Axis, column: &[f64]) -> Hold {
    if column[0] > 0.0 {
        return Hold::LessThanLeast;
    }
    let Some(j) = column.windows(2).position(|w| w[0] <= 0.0 && w[1] > 0.0) else {
        return Hold::MoreThanMost;
    };
    let only = column[j + 1..].iter().all(|t| *t > 0.0);
    let net = |x: f64| {
        let s = axis.stencil(x);
        dot(&s.weights, &column[s.at..s.at + 4])
    };
    let x = crossing(axis.point(j), axis.point(j + 1), net);
    Hold::At { opening_m2: x.exp(), only }
}

fn dot(a: &[f64; 4], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Indices after which the sign changes.
fn crossings(torques: &[f64]) -> impl Iterator<Item = usize> + '_ {
    (1..torques.len()).filter(|n| (torques[n - 1] > 0.0) != (torques[*n] > 0.0)).map(|n| n - 1)
}

/// The zero between two points whose torques differ in sign. These are read off the same map, so the search cannot fail;
/// should rounding at an end make it, the middle of the step is within half a step of the truth.
fn crossing(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    bracketed(f, low, high, NARROW * low.abs().max(high.abs())).unwrap_or(0.5 * (low + high))
}

/// Where a function with one hump between two speeds is greatest, by golden section.
///
/// Source: Kiefer, *Sequential minimax search for a maximum*, Proc. AMS 4 (1953) 502–506. The square root of [`NARROW`] is
/// as near as function values can tell.
fn golden_section_greatest(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let ratio = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut x1, mut x2) = (high - ratio * (high - low), low + ratio * (high - low));
    let (mut f1, mut f2) = (f(x1), f(x2));
    for _ in 0..MOST_STEPS {
        if high - low <= NARROW.sqrt() * high {
            break;
        }
        if f1 > f2 {
            (high, x2, f2) = (x2, x1, f1);
            x1 = high - ratio * (high - low);
            f1 = f(x1);
        } else {
            (low, x1, f1) = (x1, x2, f2);
            x2 = low + ratio * (high - low);
            f2 = f(x2);
        }
    }
    0.5 * (low + high)
}

/// Takes neighbouring folds away in pairs, shallowest first, while they differ by less than [`LEAST_FOLD`].
fn drop_shallow(folds: &mut Vec<FoldPoint>) {
    let depth = |w: &[FoldPoint]| (w[0].opening_m2 / w[1].opening_m2).ln().abs();
    while let Some((n, least)) = folds.windows(2).map(depth).enumerate().min_by(|a, b| a.1.total_cmp(&b.1)) {
        if least >= LEAST_FOLD {
            break;
        }
        folds.drain(n..n + 2);
    }
}

#[cfg(test)]
mod tests;
