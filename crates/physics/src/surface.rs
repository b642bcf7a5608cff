//! The torque surface: what the settled cycle gives over speed, throttle opening and advance.
//!
//! Computed once per engine, on all cores and in vector lanes. An advance curve only picks a path over it, so a changed curve costs
//! microseconds.
//!
//! Cylinders on a shared plenum all have the point's advance here, for the axes are three; a curve that splits them is entered with their
//! mean. For a twin with 2° more and 2° less than the mean that moves the torque by up to 0.2 % (crates/physics/tests/cycle.rs;
//! [`crate::cycle::settle_each`] gives each cylinder its own).

use crate::cycle::{Operating, Prepared, Settled, settle_walks};
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// The points at which the surface is computed. Each axis rises strictly and has at least four values.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Crank speeds [rad/s].
    pub speed_rad_s: Vec<f64>,
    /// Effective flow areas of the throttle [m²] (per throttle).
    pub opening_m2: Vec<f64>,
    /// Advances [rad before top dead centre].
    pub advance_rad: Vec<f64>,
}

/// Speeds and openings of one task [1] (own choice): each vector lane goes through the advances at one speed and back at the next. More openings
/// would force the narrow ones to the short steps of the wide ones.
const SPEEDS: usize = 2;
const OPENINGS: usize = 8;

impl Grid {
    /// A grid that serves idle and hang: 24 speeds from `least` to `most` [rad/s], 16 openings in equal ratios between two effective
    /// areas [m²], 12 advances from −10° to 45°.
    pub fn for_idle((least, most): (f64, f64), (narrow, wide): (f64, f64)) -> Self {
        let ratio = |from: f64, to: f64, n: usize, k: usize| from * (to / from).powf(k as f64 / (n - 1) as f64);
        Self {
            speed_rad_s: (0..24).map(|k| ratio(least, most, 24, k)).collect(),
            opening_m2: (0..16).map(|k| ratio(narrow, wide, 16, k)).collect(),
            advance_rad: (0..12).map(|k| f64::from(-10 + 5 * k).to_radians()).collect(),
        }
    }

    /// Points in all.
    pub fn len(&self) -> usize {
        self.speed_rad_s.len() * self.opening_m2.len() * self.advance_rad.len()
    }

    /// No points at all?
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// Steady-state results of the working cycle on a [`Grid`], index `(speed · openings + opening) · advances + advance`.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Where it was computed.
    pub grid: Grid,
    /// Mean torque of the gas on the crank over the whole cycle, gas exchange included, one cylinder [N·m].
    pub gas_torque_nm: Vec<f64>,
    /// Charge drawn per second, one cylinder [kg/s].
    pub charge_kg_s: Vec<f64>,
    /// Share of burned gas in the charge at the spark [1].
    pub residual: Vec<f64>,
    /// Share of grid points that did not settle within the stated tolerance [1].
    pub unsettled: f64,
}

/// How far a computation has come, and whether it should stop. Shared between threads.
#[derive(Debug, Default)]
pub struct Progress {
    done: AtomicUsize,
    of: AtomicUsize,
    stop: AtomicBool,
}

impl Progress {
    /// Pieces done and pieces in all: points of a surface, cases of a sample.
    pub fn state(&self) -> (usize, usize) {
        (self.done.load(Ordering::Relaxed), self.of.load(Ordering::Relaxed))
    }
    /// Work of so many pieces begins.
    pub fn begin(&self, of: usize) {
        self.of.store(of, Ordering::Relaxed);
        self.done.store(0, Ordering::Relaxed);
    }
    /// So many more pieces are done.
    pub fn step(&self, news: usize) {
        self.done.fetch_add(news, Ordering::Relaxed);
    }
    /// Asks the computation to stop.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }
    /// Was it asked to stop?
    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

/// Why there is no surface.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoSurface {
    /// It was stopped.
    #[error("the computation was stopped")]
    Stopped,
    /// An axis does not rise strictly from a positive start, or is too short for cubic interpolation.
    #[error("the grid's axes must rise strictly and have at least four values")]
    BadGrid,
    /// At this point the cycle came to no number.
    #[error("the working cycle came to no number at {at:?}")]
    NoNumber {
        /// The point.
        at: Operating,
    },
}

impl Surface {
    /// Computes a surface. The result does not depend on the number of threads.
    ///
    /// # Errors
    /// [`NoSurface`].
    pub fn compute(p: &Prepared, grid: &Grid, progress: &Progress) -> Result<Self, NoSurface> {
        let rising = |x: &[f64]| x.len() >= 4 && x.windows(2).all(|w| w[0] < w[1]) && x.iter().all(|x| x.is_finite());
        if !(rising(&grid.speed_rad_s) && rising(&grid.opening_m2) && rising(&grid.advance_rad))
            || grid.speed_rad_s[0] <= 0.0
            || grid.opening_m2[0] <= 0.0
        {
            return Err(NoSurface::BadGrid);
        }
        progress.begin(grid.len());
        let openings = grid.opening_m2.len();
        let advances = grid.advance_rad.len();
        let tasks: Vec<(&[f64], &[f64])> = grid
            .speed_rad_s
            .chunks(SPEEDS)
            .flat_map(|speeds| grid.opening_m2.chunks(OPENINGS).map(move |openings| (speeds, openings)))
            .collect();
        let done: Vec<Vec<Vec<Settled>>> = tasks
            .par_iter()
            .map(|(speeds, openings)| {
                let row = |opening_m2, speed_rad_s| {
                    let at = |&advance_rad| Operating { speed_rad_s, opening_m2, advance_rad };
                    grid.advance_rad.iter().map(at).collect()
                };
                let rows: Vec<_> = openings.iter().flat_map(|opening| speeds.iter().map(|speed| row(*opening, *speed))).collect();
                settle_walks(p, &rows, &mut |news| {
                    progress.step(news);
                    !progress.stopped()
                })
            })
            .collect();
        if progress.stopped() {
            return Err(NoSurface::Stopped);
        }
        let groups = openings.div_ceil(OPENINGS);
        let points = (0..grid.len()).map(|k| {
            let (speed, opening, advance) = (k / advances / openings, k / advances % openings, k % advances);
            let task = speed / SPEEDS * groups + opening / OPENINGS;
            let row = opening % OPENINGS * tasks[task].0.len() + speed % SPEEDS;
            &done[task][row][advance]
        });
        let mut surface = Self {
            grid: grid.clone(),
            gas_torque_nm: Vec::with_capacity(grid.len()),
            charge_kg_s: Vec::with_capacity(grid.len()),
            residual: Vec::with_capacity(grid.len()),
            unsettled: 0.0,
        };
        for (k, point) in points.enumerate() {
            if ![point.torque_nm, point.charge_kg_s, point.residual].iter().all(|x| x.is_finite()) {
                return Err(NoSurface::NoNumber {
                    at: Operating {
                        speed_rad_s: grid.speed_rad_s[k / advances / openings],
                        opening_m2: grid.opening_m2[k / advances % openings],
                        advance_rad: grid.advance_rad[k % advances],
                    },
                });
            }
            surface.gas_torque_nm.push(point.torque_nm);
            surface.charge_kg_s.push(point.charge_kg_s);
            surface.residual.push(point.residual);
            surface.unsettled += f64::from(!point.settled) / grid.len() as f64;
        }
        Ok(surface)
    }

    /// Mean gas torque of one cylinder [N·m].
    ///
    /// Local cubic interpolation with a continuous slope (Catmull–Rom on uneven steps, the opening taken by its logarithm); outside the
    /// grid the nearest edge holds.
    pub fn gas_torque(&self, speed_rad_s: f64, opening_m2: f64, advance_rad: f64) -> f64 {
        self.interpolate(&self.gas_torque_nm, speed_rad_s, opening_m2, advance_rad)
    }

    /// Charge drawn, one cylinder [kg/s].
    pub fn charge(&self, speed_rad_s: f64, opening_m2: f64, advance_rad: f64) -> f64 {
        self.interpolate(&self.charge_kg_s, speed_rad_s, opening_m2, advance_rad)
    }

    /// Share of burned gas in the charge [1].
    pub fn residual(&self, speed_rad_s: f64, opening_m2: f64, advance_rad: f64) -> f64 {
        self.interpolate(&self.residual, speed_rad_s, opening_m2, advance_rad)
    }

    fn interpolate(&self, values: &[f64], speed: f64, opening: f64, advance: f64) -> f64 {
        let s = weights(&self.grid.speed_rad_s, speed, |x| x);
        let o = weights(&self.grid.opening_m2, opening, f64::ln);
        let a = weights(&self.grid.advance_rad, advance, |x| x);
        let (openings, advances) = (self.grid.opening_m2.len(), self.grid.advance_rad.len());
        let mut sum = 0.0;
        for (i, ws) in s {
            for (j, wo) in o {
                let row = (i * openings + j) * advances;
                let mut line = 0.0;
                for (k, wa) in a {
                    line += wa * values[row + k];
                }
                sum += ws * wo * line;
            }
        }
        sum
    }
}

/// Four indices and weights of a cubic with continuous slope through unevenly spaced values.
fn weights(axis: &[f64], at: f64, scale: impl Fn(f64) -> f64) -> [(usize, f64); 4] {
    let last = axis.len() - 1;
    let at = at.clamp(axis[0], axis[last]);
    let i = axis.partition_point(|x| *x <= at).clamp(1, last) - 1;
    let index = |k: isize| (i as isize + k).clamp(0, last as isize) as usize;
    let x: [f64; 4] = std::array::from_fn(|k| scale(axis[index(k as isize - 1)]));
    let h = x[2] - x[1];
    let u = (scale(at) - x[1]) / h;
    let (u2, u3) = (u * u, u * u * u);
    // Hermite basis; the slope at an inner point is the three-point difference, at an end the one-sided one.
    let (h00, h10, h01, h11) = (2.0 * u3 - 3.0 * u2 + 1.0, u3 - 2.0 * u2 + u, -2.0 * u3 + 3.0 * u2, u3 - u2);
    let slope = |before: f64, after: f64| {
        // Weights of (left, middle, right) for the derivative at the middle of steps `before` and `after`.
        let left = -after / (before * (before + after));
        let right = before / (after * (before + after));
        [left, -left - right, right]
    };
    let mut w = [0.0, h00, h01, 0.0];
    if i == 0 {
        w[1] -= h10;
        w[2] += h10;
    } else {
        let m = slope(x[1] - x[0], h);
        for k in 0..3 {
            w[k] += h10 * h * m[k];
        }
    }
    if i + 1 == last {
        w[1] -= h11;
        w[2] += h11;
    } else {
        let m = slope(h, x[3] - x[2]);
        for k in 0..3 {
            w[k + 1] += h11 * h * m[k];
        }
    }
    std::array::from_fn(|k| (index(k as isize - 1), w[k]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn interpolation_keeps_quadratics_and_slopes() {
        // The three-point slope is exact for a parabola, so inside the grid so is the cubic.
        let axis = [1.0, 1.3, 2.1, 2.9, 4.0];
        let f = |x: f64| 0.7 * x * x - 2.0 * x + 0.3;
        for at in [1.31, 1.9, 2.5, 2.89] {
            let got: f64 = weights(&axis, at, |x| x).iter().map(|(i, w)| w * f(axis[*i])).sum();
            assert!((got - f(at)).abs() < 1e-12, "{at}: {got} {}", f(at));
        }
        for at in [0.0, 1.0, 4.0, 9.0] {
            let sum: f64 = weights(&axis, at, f64::ln).iter().map(|(_, w)| w).sum();
            assert!((sum - 1.0).abs() < 1e-12);
        }
    }
}
