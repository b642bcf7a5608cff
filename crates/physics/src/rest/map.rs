//! A torque surface laid out for repeated solution: even axes, and many openings read at once.

use crate::surface::Surface;

/// Speeds in a map. Over a range of 1 : 16 the step is 2.2 %, finer than any band of speeds in which a module changes its law.
const SPEEDS: usize = 128;
/// Openings in a map: twice as many as the surface itself needs, so that resampling adds no error of its own.
const OPENINGS: usize = 32;
/// Advances in a map: about 1.5° apart over a range of 60°, a quarter of the surface's own step.
const ADVANCES: usize = 40;

/// An axis of evenly spaced points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    first: f64,
    step: f64,
    count: usize,
}

/// Where a coordinate falls on an axis: index of the first of four neighbours and their weights.
#[derive(Clone, Copy, Debug)]
pub struct Stencil {
    /// Index of the first neighbour.
    pub at: usize,
    /// Weights of the four neighbours; their sum is 1.
    pub weights: [f64; 4],
}

impl Axis {
    fn between(first: f64, last: f64, count: usize) -> Self {
        let count = if last > first { count } else { 4 };
        let step = if last > first { (last - first) / (count - 1) as f64 } else { 1.0 };
        Self { first, step, count }
    }
    /// Number of points.
    pub fn count(&self) -> usize {
        self.count
    }
    /// The coordinate of a point.
    pub fn point(&self, index: usize) -> f64 {
        self.first + self.step * index as f64
    }
    /// The last coordinate.
    pub fn last(&self) -> f64 {
        self.point(self.count - 1)
    }
    /// Four-point cubic (Lagrange) weights at a coordinate; outside the axis the nearest end holds.
    ///
    /// Source: Abramowitz & Stegun, *Handbook of Mathematical Functions*, 25.2.13.
    pub fn stencil(&self, x: f64) -> Stencil {
        let u = ((x - self.first) / self.step).clamp(0.0, (self.count - 1) as f64);
        let at = (u.floor() as usize).saturating_sub(1).min(self.count - 4);
        let p = u - (at + 1) as f64;
        Stencil {
            at,
            weights: [
                -p * (p - 1.0) * (p - 2.0) / 6.0,
                (p * p - 1.0) * (p - 2.0) / 2.0,
                -p * (p + 1.0) * (p - 2.0) / 2.0,
                p * (p * p - 1.0) / 6.0,
            ],
        }
    }
}

/// Gas torque of one cylinder on even axes of ln speed, advance and ln opening, in that order of storage.
#[derive(Clone, Debug, PartialEq)]
pub struct TorqueMap {
    /// ln of crank speed [rad/s].
    pub ln_speed: Axis,
    /// ln of opening [m²].
    pub ln_opening: Axis,
    /// Advance [rad].
    pub advance: Axis,
    torque_nm: Vec<f64>,
}

impl TorqueMap {
    /// Lays a computed surface out, over the whole of its grid.
    pub fn new(surface: &Surface) -> Self {
        let grid = &surface.grid;
        Self::from_fn(span(&grid.speed_rad_s), span(&grid.opening_m2), span(&grid.advance_rad), |speed, opening, advance| {
            surface.gas_torque(speed, opening, advance)
        })
    }

    /// Lays out any torque function of speed [rad/s], opening [m²] and advance [rad] over the given ranges.
    /// Speeds and openings must be positive.
    pub fn from_fn(
        speed_rad_s: (f64, f64),
        opening_m2: (f64, f64),
        advance_rad: (f64, f64),
        torque: impl Fn(f64, f64, f64) -> f64,
    ) -> Self {
        let ln_speed = Axis::between(speed_rad_s.0.ln(), speed_rad_s.1.ln(), SPEEDS);
        let ln_opening = Axis::between(opening_m2.0.ln(), opening_m2.1.ln(), OPENINGS);
        let advance = Axis::between(advance_rad.0, advance_rad.1, ADVANCES);
        let mut torque_nm = Vec::with_capacity(ln_speed.count * ln_opening.count * advance.count);
        for n in 0..ln_speed.count {
            for k in 0..advance.count {
                for a in 0..ln_opening.count {
                    torque_nm.push(torque(ln_speed.point(n).exp(), ln_opening.point(a).exp(), advance.point(k)));
                }
            }
        }
        Self { ln_speed, ln_opening, advance, torque_nm }
    }

    /// Torque [N·m] at every point, `(speed · advances + advance) · openings + opening`.
    pub fn torques_nm(&self) -> &[f64] {
        &self.torque_nm
    }

    /// Torque [N·m] at a speed [rad/s], an opening [m²] and an advance [rad]; outside the map the nearest edge holds.
    pub fn torque(&self, speed_rad_s: f64, opening_m2: f64, advance_rad: f64) -> f64 {
        let speed = self.ln_speed.stencil(speed_rad_s.ln());
        let opening = self.ln_opening.stencil(opening_m2.ln());
        let advance = self.advance.stencil(advance_rad);
        let mut four = [0.0; 4];
        for (i, w) in speed.weights.iter().enumerate() {
            self.add_row(speed.at + i, &advance, opening.at, *w, &mut four);
        }
        four.iter().zip(opening.weights).map(|(t, w)| t * w).sum()
    }

    /// The advance [rad] of most torque at a speed [rad/s] and an opening [m²], and that torque [N·m]: the best of a row of
    /// steps a tenth as long as the map's own.
    pub fn best_advance(&self, speed_rad_s: f64, opening_m2: f64) -> (f64, f64) {
        let steps = 10 * (self.advance.count - 1);
        (0..=steps)
            .map(|i| self.advance.first + self.advance.step * i as f64 / 10.0)
            .map(|advance| (advance, self.torque(speed_rad_s, opening_m2, advance)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or((self.advance.first, 0.0))
    }

    /// Speeds [rad/s] of the map: least and greatest.
    pub fn speeds(&self) -> (f64, f64) {
        (self.ln_speed.first.exp(), self.ln_speed.last().exp())
    }

    /// Openings [m²] of the map: least and greatest.
    pub fn openings(&self) -> (f64, f64) {
        (self.ln_opening.first.exp(), self.ln_opening.last().exp())
    }

    /// Advances [rad] of the map: least and greatest.
    pub fn advances(&self) -> (f64, f64) {
        (self.advance.first, self.advance.last())
    }

    /// Do two maps stand on the same axes?
    pub fn same_axes(&self, other: &Self) -> bool {
        (self.ln_speed, self.ln_opening, self.advance) == (other.ln_speed, other.ln_opening, other.advance)
    }

    /// Adds `weight` times the torque at speed row `n` and an advance, for the openings from `first` on, as many as `out` holds.
    pub(super) fn add_row(&self, n: usize, advance: &Stencil, first: usize, weight: f64, out: &mut [f64]) {
        let openings = self.ln_opening.count;
        let base = (n * self.advance.count + advance.at) * openings + first;
        let rows: [&[f64]; 4] = std::array::from_fn(|k| &self.torque_nm[base + k * openings..][..out.len()]);
        let w = advance.weights.map(|w| w * weight);
        for (j, o) in out.iter_mut().enumerate() {
            *o += w[0] * rows[0][j] + w[1] * rows[1][j] + w[2] * rows[2][j] + w[3] * rows[3][j];
        }
    }
}

fn span(points: &[f64]) -> (f64, f64) {
    (points.first().copied().unwrap_or(1.0), points.last().copied().unwrap_or(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cubic is its own four-point interpolation; what is left is rounding.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn four_point_interpolation_is_exact_for_cubics() {
        let axis = Axis::between(-1.0, 2.0, 10);
        let f = |x: f64| 1.0 - 2.0 * x + 0.5 * x * x + 3.0 * x * x * x;
        for x in [-1.0, -0.95, 0.0, 0.123, 1.7, 1.999, 2.0] {
            let s = axis.stencil(x);
            let y: f64 = s.weights.iter().enumerate().map(|(i, w)| w * f(axis.point(s.at + i))).sum();
            assert!((y - f(x)).abs() < ROUNDING, "{x}: {y} {}", f(x));
        }
    }

    #[test]
    fn the_nearest_end_holds_outside() {
        let axis = Axis::between(0.0, 1.0, 5);
        for (x, end) in [(-3.0, 0.0), (9.0, 1.0), (f64::NAN, f64::NAN)] {
            let s = axis.stencil(x);
            let y: f64 = s.weights.iter().enumerate().map(|(i, w)| w * axis.point(s.at + i)).sum();
            assert!((y - end).abs() < ROUNDING || (y.is_nan() && end.is_nan()));
        }
    }
}
