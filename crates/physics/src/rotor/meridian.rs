//! Spin of a body of revolution whose walls are thin enough to bend like plates and shells: disc with boss and steps, rim that overhangs on one side, in one piece.
//!
//! The section's middle lines are cut into cells, each a narrow cone with its own thickness and metal. Every cell stretches (along the
//! line and round the axis), bends and shears; where two cells meet with their middle lines apart, as at a step, a rigid arm joins them, and the bending that the step makes follows.
//! The answer is linear in ρω², so all is worked out once for ω = 1 rad/s.
//!
//! Source: Zienkiewicz, Bauer, Morgan and Oñate, "A simple and efficient element for axisymmetric shells", *International Journal for Numerical Methods in Engineering* 11 (1977) 1545
//! (from memory): straight two-node cones with shear, integrated at one point. On a disc it is the plane stress and plate theory of Timoshenko, on a tube his theory of bending near an edge.
//!
//! Validity: linear and elastic; walls up to a third or so of their radius. Corners and fillets are not seen: see [`super::notch`].

use std::f64::consts::{PI, TAU};

/// Share of the shear strain that a rectangular section carries \[1\]: source: Reissner (1945), 5/6.
const SHEAR: f64 = 5.0 / 6.0;

/// Elastic constants and density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metal {
    /// Young's modulus [Pa].
    pub young_pa: f64,
    /// Poisson's ratio \[1\].
    pub poisson: f64,
    /// Density [kg/m³].
    pub density_kg_m3: f64,
}

/// A narrow cone between two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Its nodes. What moves is the node; the cell's own end is joined to it by a rigid arm.
    pub nodes: [usize; 2],
    /// Ends of its own middle line: radius and place along the axis [m].
    pub ends_m: [[f64; 2]; 2],
    /// Thickness across the middle line at its ends [m].
    pub thickness_m: [f64; 2],
    /// What it is of.
    pub metal: Metal,
    /// What hangs on it: mass times radius, of the whole turn, per length of middle line [kg·m/m].
    pub hung_kg: f64,
}

/// What is pulled outward at a node by more than the cells: mass times radius [kg·m], and how far beyond the node along the axis it pulls [m].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hung {
    /// Where.
    pub node: usize,
    /// Mass times radius [kg·m], of the whole turn.
    pub pull_kg_m: f64,
    /// How far along the axis from the node [m].
    pub beyond_m: f64,
}

/// Stresses in the middle of a cell for ω = 1 rad/s [Pa·s²/rad²], at both faces. Multiply by ω².
///
/// The first face is on the left when one goes along the line from its first end: in a disc from bore to rim that is the face at greater z, in a rim
/// that is followed towards greater z the inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Faces {
    /// Round the axis.
    pub hoop: [f64; 2],
    /// Along the middle line: radial in a disc, along the axis in a rim.
    pub along: [f64; 2],
}

impl Faces {
    /// Greater of the von Mises stresses at the two faces; a face is free, so that two stresses are all there are. Source: von Mises (1913).
    pub fn von_mises(&self) -> f64 {
        (0..2).map(|k| von_mises(self.hoop[k], self.along[k])).fold(0.0, f64::max)
    }

    /// Straight on from `inner` through `outer` to a place `share` of their distance beyond `outer`.
    pub fn beyond(inner: &Self, outer: &Self, share: f64) -> Self {
        let on = |a: [f64; 2], b: [f64; 2]| std::array::from_fn(|k| b[k] + share * (b[k] - a[k]));
        Self { hoop: on(inner.hoop, outer.hoop), along: on(inner.along, outer.along) }
    }
}

/// Von Mises stress of two principal stresses on a free face. Source: von Mises (1913).
pub fn von_mises(a: f64, b: f64) -> f64 {
    (a * a - a * b + b * b).max(0.0).sqrt()
}

/// How a body of cells stands to spin.
#[derive(Clone, Debug, PartialEq)]
pub struct Response {
    /// Displacements of the nodes for ω = 1 rad/s: outward [m], along the axis [m], rotation of the section [rad].
    pub moved: Vec<[f64; 3]>,
    /// Stresses of the cells.
    pub faces: Vec<Faces>,
}

/// Why a body could not be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NotSolved {
    /// A cell has no length, no thickness, lies on the axis, or its numbers are not usable.
    #[error("cell {0} is no body")]
    BadCell(usize),
    /// The nodes are not joined by cells into one body.
    #[error("the body does not hang together")]
    Loose,
}

/// Works out a body whose nodes stand at these places: radius and place along the axis [m]. The first node is held along the axis, nothing else is.
///
/// # Errors
/// [`NotSolved`].
pub fn solve(nodes_m: &[[f64; 2]], cells: &[Cell], hung: &[Hung]) -> Result<Response, NotSolved> {
    let mut system = Skyline::new(nodes_m.len(), cells);
    let mut load = vec![0.0; 3 * nodes_m.len()];
    for (k, cell) in cells.iter().enumerate() {
        let shape = Shape::of(cell, nodes_m).ok_or(NotSolved::BadCell(k))?;
        shape.stiffen(cell, &mut system);
        shape.load(cell, &mut load);
    }
    for h in hung {
        load[3 * h.node] += h.pull_kg_m;
        load[3 * h.node + 2] -= h.pull_kg_m * h.beyond_m;
    }
    // Held along the axis: its row and column are taken out.
    system.hold(1);
    load[1] = 0.0;
    system.solve(&mut load).ok_or(NotSolved::Loose)?;
    let moved: Vec<[f64; 3]> = load.chunks_exact(3).map(|m| [m[0], m[1], m[2]]).collect();
    let faces = cells
        .iter()
        .enumerate()
        .map(|(k, cell)| Shape::of(cell, nodes_m).map(|s| s.faces(cell, &moved)).ok_or(NotSolved::BadCell(k)));
    Ok(Response { faces: faces.collect::<Result<_, _>>()?, moved })
}

/// What a cell's strains are of its nodes' six movements.
struct Shape {
    length: f64,
    radius: f64,
    sin: f64,
    thickness: f64,
    /// From the nodes to the cell's ends [m].
    arms: [[f64; 2]; 2],
    /// Stretch along, stretch round, bending along, bending round, shear: rows; the nodes' movements: columns.
    strain: [[f64; 6]; 5],
}

impl Shape {
    fn of(cell: &Cell, nodes_m: &[[f64; 2]]) -> Option<Self> {
        let [[r1, z1], [r2, z2]] = cell.ends_m;
        let length = (r2 - r1).hypot(z2 - z1);
        let (radius, thickness) = (0.5 * (r1 + r2), 0.5 * (cell.thickness_m[0] + cell.thickness_m[1]));
        let metal = cell.metal;
        let usable = [length, radius, thickness, metal.young_pa, metal.density_kg_m3].iter().all(|x| x.is_finite() && *x > 0.0);
        if !(usable && metal.poisson > -1.0 && metal.poisson < 0.5) {
            return None;
        }
        let (cos, sin) = ((r2 - r1) / length, (z2 - z1) / length);
        let arms = std::array::from_fn(|i| std::array::from_fn(|k| cell.ends_m[i][k] - nodes_m[cell.nodes[i]][k]));
        let mut strain = [[0.0; 6]; 5];
        for i in 0..2 {
            let slope = if i == 0 { -1.0 / length } else { 1.0 / length };
            // Outward, along the axis, rotation: of the cell's own end.
            let own = [
                [slope * cos, slope * sin, 0.0],
                [0.5 / radius, 0.0, 0.0],
                [0.0, 0.0, -slope],
                [0.0, 0.0, -0.5 * cos / radius],
                [-slope * sin, slope * cos, -0.5],
            ];
            let [out, up]: [f64; 2] = arms[i];
            for (row, [u, w, b]) in strain.iter_mut().zip(own) {
                // The end moves with the node and is swung round it: outward by −β·up, along the axis by β·out.
                row[3 * i..3 * i + 3].copy_from_slice(&[u, w, b - u * up + w * out]);
            }
        }
        Some(Self { length, radius, sin, thickness, arms, strain })
    }

    fn stiffen(&self, cell: &Cell, system: &mut Skyline) {
        let Metal { young_pa: e, poisson: nu, .. } = cell.metal;
        let h = self.thickness;
        let stretch = e * h / (1.0 - nu * nu);
        let bend = stretch * h * h / 12.0;
        let shear = SHEAR * e * h / (2.0 * (1.0 + nu));
        let weight = TAU * self.radius * self.length;
        let s = &self.strain;
        for i in 0..6 {
            let forces = [
                stretch * (s[0][i] + nu * s[1][i]),
                stretch * (s[1][i] + nu * s[0][i]),
                bend * (s[2][i] + nu * s[3][i]),
                bend * (s[3][i] + nu * s[2][i]),
                shear * s[4][i],
            ];
            for j in 0..6 {
                let k: f64 = s.iter().zip(forces).map(|(row, force)| row[j] * force).sum();
                system.add(3 * cell.nodes[i / 3] + i % 3, 3 * cell.nodes[j / 3] + j % 3, weight * k);
            }
        }
    }

    /// Outward pull of the cell itself and of what hangs on it, shared between its ends by two Gauss points.
    fn load(&self, cell: &Cell, load: &mut [f64]) {
        let [[r1, _], [r2, _]] = cell.ends_m;
        for x in [0.5 - 0.5 / 3f64.sqrt(), 0.5 + 0.5 / 3f64.sqrt()] {
            let (r, h) = (r1 + (r2 - r1) * x, cell.thickness_m[0] + (cell.thickness_m[1] - cell.thickness_m[0]) * x);
            // ∫ r² across the wall: of a tube a little more than at its middle.
            let across = r * r * h + self.sin * self.sin * h.powi(3) / 12.0;
            let pull = 0.5 * self.length * (2.0 * PI * cell.metal.density_kg_m3 * across + cell.hung_kg);
            for (i, share) in [1.0 - x, x].into_iter().enumerate() {
                load[3 * cell.nodes[i]] += share * pull;
                load[3 * cell.nodes[i] + 2] -= share * pull * self.arms[i][1];
            }
        }
    }

    fn faces(&self, cell: &Cell, moved: &[[f64; 3]]) -> Faces {
        let at: [f64; 6] = std::array::from_fn(|k| moved[cell.nodes[k / 3]][k % 3]);
        let of = |row: usize| -> f64 { (0..6).map(|k| self.strain[row][k] * at[k]).sum() };
        let (along, round, bent, turned) = (of(0), of(1), of(2), of(3));
        let Metal { young_pa: e, poisson: nu, .. } = cell.metal;
        let stiff = e / (1.0 - nu * nu);
        let mut faces = Faces { hoop: [0.0; 2], along: [0.0; 2] };
        for (k, y) in [0.5 * self.thickness, -0.5 * self.thickness].into_iter().enumerate() {
            // A face of a tube has its own radius.
            let round = (round + y * turned) * self.radius / (self.radius - y * self.sin);
            let along = along + y * bent;
            faces.hoop[k] = stiff * (round + nu * along);
            faces.along[k] = stiff * (along + nu * round);
        }
        faces
    }
}

/// A symmetric matrix by rows from the first column that is not nought up to the diagonal, solved by Cholesky's LDLᵀ.
struct Skyline {
    first: Vec<usize>,
    rows: Vec<Vec<f64>>,
}

impl Skyline {
    fn new(nodes: usize, cells: &[Cell]) -> Self {
        let mut first: Vec<usize> = (0..nodes).map(|n| 3 * n).collect();
        for cell in cells {
            let [a, b] = cell.nodes;
            first[a.max(b)] = first[a.max(b)].min(3 * a.min(b));
        }
        let first: Vec<usize> = (0..3 * nodes).map(|row| first[row / 3]).collect();
        let rows = first.iter().enumerate().map(|(row, first)| vec![0.0; row + 1 - first]).collect();
        Self { first, rows }
    }

    fn add(&mut self, row: usize, column: usize, value: f64) {
        if column <= row {
            self.rows[row][column - self.first[row]] += value;
        }
    }

    fn hold(&mut self, at: usize) {
        self.rows[at].fill(0.0);
        for row in at + 1..self.rows.len() {
            if self.first[row] <= at {
                self.rows[row][at - self.first[row]] = 0.0;
            }
        }
        self.rows[at][at - self.first[at]] = 1.0;
    }

    /// `None` where a pivot is not above nought.
    fn solve(mut self, x: &mut [f64]) -> Option<()> {
        /// Least pivot against its diagonal before \[1\] (own choice): rounding leaves about 1e-16 of it where a part is loose.
        const LOOSE: f64 = 1e-13;
        let n = self.rows.len();
        for i in 0..n {
            let (done, rest) = self.rows.split_at_mut(i);
            let (row, first) = (&mut rest[0], self.first[i]);
            let before = row[i - first];
            for j in first..i {
                let from = first.max(self.first[j]);
                let sum: f64 = (from..j).map(|k| row[k - first] * done[j][k - self.first[j]]).sum();
                row[j - first] -= sum;
            }
            let mut pivot = before;
            for j in first..i {
                let scaled = row[j - first] / done[j][j - self.first[j]];
                pivot -= scaled * row[j - first];
                row[j - first] = scaled;
            }
            if pivot.is_nan() || pivot <= LOOSE * before {
                return None;
            }
            row[i - first] = pivot;
            let sum: f64 = (first..i).map(|k| row[k - first] * x[k]).sum();
            x[i] -= sum;
        }
        for (i, x) in x.iter_mut().enumerate() {
            *x /= self.rows[i][i - self.first[i]];
        }
        for i in (0..n).rev() {
            for k in self.first[i]..i {
                x[k] -= self.rows[i][k - self.first[i]] * x[i];
            }
        }
        Some(())
    }
}

#[cfg(test)]
#[path = "meridian/tests.rs"]
mod tests;
