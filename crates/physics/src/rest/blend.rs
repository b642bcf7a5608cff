//! Many engines at once: weighted sums of torque maps, read so fast that tens of thousands of engines can be laid out.
//!
//! [`Running`](super::Running) answers every question about one engine. Where only two are asked, *which opening holds the idle* and
//! *how hard does it pull at that opening further up*, and that of thousands of engines which differ in the weights of their maps,
//! their curves and their friction, this is the same interpolation in another order: the maps lie side by side, so one pass over
//! neighbouring numbers reads all of them.

use super::{Axis, Hold, TorqueMap, hold_in};

/// Maps that lie side by side.
const SIDE: usize = 8;

/// Torque maps on the same axes, side by side.
#[derive(Clone, Debug)]
pub struct Blend {
    ln_speed: Axis,
    ln_opening: Axis,
    advance: Axis,
    maps: usize,
    /// `((speed · advances + advance) · blocks + block) · openings + opening`
    torque_nm: Vec<[f64; SIDE]>,
}

/// Weights of the maps at four neighbouring openings.
#[derive(Clone, Debug)]
pub struct Held {
    at: usize,
    /// For each block of maps.
    weights: Vec<[[f64; SIDE]; 4]>,
}

impl Blend {
    /// Lays maps out.
    ///
    /// # Panics
    /// If there is no map, or their axes differ: both are mistakes of the caller, not of the readings.
    pub fn new(maps: &[&TorqueMap]) -> Self {
        let first = maps.first().expect("at least one torque map");
        assert!(maps.iter().all(|m| m.same_axes(first)), "torque maps must stand on the same axes");
        let (speeds, advances, openings) = (first.ln_speed.count(), first.advance.count(), first.ln_opening.count());
        let mut torque_nm = Vec::with_capacity(speeds * advances * openings * maps.len().div_ceil(SIDE));
        for row in 0..speeds * advances {
            for block in maps.chunks(SIDE) {
                for a in 0..openings {
                    torque_nm.push(std::array::from_fn(|m| block.get(m).map_or(0.0, |map| map.torques_nm()[row * openings + a])));
                }
            }
        }
        Self { ln_speed: first.ln_speed, ln_opening: first.ln_opening, advance: first.advance, maps: maps.len(), torque_nm }
    }

    /// Crank speeds of the rows [rad/s], slowest first.
    pub fn speeds(&self) -> Vec<f64> {
        (0..self.ln_speed.count()).map(|n| self.ln_speed.point(n).exp()).collect()
    }

    fn blocks(&self) -> usize {
        self.maps.div_ceil(SIDE)
    }

    /// The weights of the maps \[1\] at an opening [m²]; missing weights count as none.
    pub fn held(&self, weights: &[f64], opening_m2: f64) -> Held {
        let s = self.ln_opening.stencil(opening_m2.ln());
        let weight = |block: usize, m: usize| weights.get(block * SIDE + m).copied().unwrap_or(0.0);
        let of_block = |b: usize| s.weights.map(|w| std::array::from_fn(|m| w * weight(b, m)));
        Held { at: s.at, weights: (0..self.blocks()).map(of_block).collect() }
    }

    /// Gas torque of one cylinder [N·m] in row `n` at an advance [rad].
    pub fn torque_in_row(&self, n: usize, advance_rad: f64, held: &Held) -> f64 {
        let s = self.advance.stencil(advance_rad);
        let openings = self.ln_opening.count();
        let mut sum = [0.0; SIDE];
        for (k, by_advance) in s.weights.iter().enumerate() {
            for (b, weights) in held.weights.iter().enumerate() {
                let from = ((n * self.advance.count() + s.at + k) * self.blocks() + b) * openings + held.at;
                add_four(&mut sum, *by_advance, weights, &self.torque_nm[from..from + 4]);
            }
        }
        ((sum[0] + sum[4]) + (sum[1] + sum[5])) + ((sum[2] + sum[6]) + (sum[3] + sum[7]))
    }

    /// The opening that holds a speed [rad/s] with the cylinders at these advances [rad] against a friction torque [N·m], as
    /// [`Running::opening_for`](super::Running::opening_for) has it.
    pub fn opening_for(&self, weights: &[f64], speed_rad_s: f64, advances_rad: &[f64], friction_nm: f64) -> Hold {
        let openings = self.ln_opening.count();
        let speed = self.ln_speed.stencil(speed_rad_s.ln());
        let side: Vec<[f64; SIDE]> =
            (0..self.blocks()).map(|b| std::array::from_fn(|m| weights.get(b * SIDE + m).copied().unwrap_or(0.0))).collect();
        let mut column = vec![-friction_nm; openings];
        for advance in advances_rad {
            let advance = self.advance.stencil(*advance);
            for (i, w) in speed.weights.iter().enumerate() {
                for (k, v) in advance.weights.iter().enumerate() {
                    for (b, weights) in side.iter().enumerate() {
                        let from = (((speed.at + i) * self.advance.count() + advance.at + k) * self.blocks() + b) * openings;
                        add_column(&mut column, w * v, weights, &self.torque_nm[from..from + openings]);
                    }
                }
            }
        }
        hold_in(&self.ln_opening, &column)
    }
}

fn add_four(sum: &mut [f64; SIDE], by_advance: f64, weights: &[[f64; SIDE]; 4], torque: &[[f64; SIDE]]) {
    let mut here = [0.0; SIDE];
    for (w, t) in weights.iter().zip(torque) {
        for m in 0..SIDE {
            here[m] += w[m] * t[m];
        }
    }
    for m in 0..SIDE {
        sum[m] += by_advance * here[m];
    }
}

fn add_column(column: &mut [f64], by_place: f64, weights: &[f64; SIDE], torque: &[[f64; SIDE]]) {
    for (c, t) in column.iter_mut().zip(torque) {
        let mut here = [0.0; SIDE];
        for m in 0..SIDE {
            here[m] = weights[m] * t[m];
        }
        *c += by_place * (((here[0] + here[4]) + (here[1] + here[5])) + ((here[2] + here[6]) + (here[3] + here[7])));
    }
}
