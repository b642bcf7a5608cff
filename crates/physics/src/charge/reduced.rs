//! The circuit while the same valves conduct: linear, and solved exactly.
//!
//! With i the currents of the windings, L i′ = e − R i − Aᵀv. Inputs whose valves block carry nothing, which leaves i = B x; that takes their volts out of
//! BᵀLB x′ = Bᵀ(e − R i − Aᵀv). A conducting valve holds v at a constant plus a resistance times currents, so the right side is linear, both matrices are
//! symmetric, and one change of variables makes one equation of each: y′ = −λ y + g(t), with g a constant and a sine.

#![allow(clippy::needless_range_loop, reason = "windings, inputs and equations are counted, and index several arrays at once")]

use nalgebra::{DMatrix, DVector};
use std::f64::consts::TAU;

use super::{
    circuit::{Bus, Circuit, Node, Valve},
    small::{Matrix, null_space, solve},
};

/// Which valve of an input conducts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// None.
    Off,
    /// The one to plus.
    Upper,
    /// The one from the frame.
    Lower,
}

/// Which valve of every input conducts.
pub type Sides = [Side; 3];

/// Where the circuit is: currents of its windings [A].
pub type Currents = [f64; 3];

/// The sine and cosine of an angle.
#[derive(Clone, Copy)]
pub struct Angle {
    pub sine: f64,
    pub cosine: f64,
}

impl Angle {
    pub fn of(rad: f64) -> Self {
        let (sine, cosine) = rad.sin_cos();
        Self { sine, cosine }
    }
}

/// The circuit at one speed.
pub struct Turning<'c> {
    pub circuit: &'c Circuit,
    pub bus: Bus,
    /// Electrical angular speed [rad/s].
    pub omega: f64,
    /// EMF of each winding: its part along sine and along cosine [V].
    emf: [[f64; 2]; 3],
    /// Current out of each input for one ampere of each winding \[1\].
    into: Matrix,
    /// Time of a whole step [s].
    step_s: f64,
    known: Vec<Option<Reduced>>,
}

/// The equations for one set of conducting valves.
#[derive(Clone, Debug)]
pub struct Reduced {
    pub sides: Sides,
    /// How many equations are left.
    n: usize,
    /// Winding currents from what is solved for, and back.
    out: Matrix,
    back: Matrix,
    /// Decay [1/s].
    rate: [f64; 3],
    /// What a whole step leaves \[1\].
    step_leaves: [f64; 3],
    /// What it would settle to: constant, sine, cosine.
    settled: [[f64; 3]; 3],
    /// Volts of every input, linear in all that they hang on: alone, for one ampere of each winding, for sine and cosine.
    volts: [[f64; 6]; 3],
    /// No valve conducts and nothing is on the frame, so volts of inputs are known against each other only.
    pub free: bool,
}

impl<'c> Turning<'c> {
    /// `steps` of a period are solved at a time.
    pub fn new(circuit: &'c Circuit, bus: Bus, omega: f64, steps: usize) -> Self {
        let mut emf = [[0.0; 2]; 3];
        for (k, w) in circuit.windings.iter().enumerate() {
            let (s, c) = w.phase_rad.sin_cos();
            let peak = if w.open { 0.0 } else { omega * w.linkage_vs };
            emf[k] = [peak * c, peak * s];
        }
        let mut into = [[0.0; 3]; 3];
        for (k, line) in into.iter_mut().enumerate().take(circuit.terminals.len()) {
            for (w, out) in line.iter_mut().enumerate().take(circuit.windings.len()) {
                *out = circuit.incidence(Node::Terminal(k), w);
            }
        }
        let step_s = TAU / (steps as f64 * omega);
        Self { circuit, bus, omega, emf, into, step_s, known: vec![None; 27] }
    }

    /// EMF of a winding [V].
    pub fn emf(&self, winding: usize, at: Angle) -> f64 {
        self.emf[winding][0] * at.sine + self.emf[winding][1] * at.cosine
    }

    /// Current out of each input [A].
    pub fn outward(&self, i: &Currents) -> [f64; 3] {
        self.into.map(|line| line[0] * i[0] + line[1] * i[1] + line[2] * i[2])
    }

    /// Current into plus [A].
    pub fn to_plus_a(&self, sides: &Sides, outward: &[f64; 3]) -> f64 {
        (0..self.circuit.terminals.len()).filter(|&k| sides[k] == Side::Upper).map(|k| outward[k]).sum()
    }

    /// Volts of plus [V].
    pub fn plus(&self, into_bus: f64) -> f64 {
        self.bus.emf_v + self.bus.resistance_ohm * into_bus
    }

    /// Volts over a conducting valve without its resistance [V].
    fn drop_v(&self, terminal: usize, side: Side) -> f64 {
        let t = &self.circuit.terminals[terminal];
        match side {
            Side::Upper if t.upper == Valve::Diode => self.circuit.diode_v,
            Side::Lower if t.lower == Valve::Diode => -self.circuit.diode_v,
            _ => 0.0,
        }
    }

    /// Makes sure that the equations of these valves are there.
    pub fn ready(&mut self, sides: Sides) -> usize {
        let code = sides.iter().fold(0, |code, s| code * 3 + *s as usize);
        if self.known[code].is_none() {
            self.known[code] = Some(self.reduce(sides));
        }
        code
    }

    /// The equations that [`ready`](Self::ready) has made.
    pub fn reduced(&self, code: usize) -> &Reduced {
        self.known[code].as_ref().expect("made ready before it is asked for")
    }

    fn reduce(&self, sides: Sides) -> Reduced {
        let c = self.circuit;
        let (windings, terminals) = (c.windings.len(), c.terminals.len());
        let live = |w: usize| w < windings && !c.windings[w].open;
        let row = |node: Node| {
            let mut row = [0.0; 3];
            (0..3).filter(|&w| live(w)).for_each(|w| row[w] = c.incidence(node, w));
            row
        };
        let off: Vec<usize> = (0..terminals).filter(|&k| sides[k] == Side::Off).collect();
        let on: Vec<usize> = (0..terminals).filter(|&k| sides[k] != Side::Off).collect();
        let star = row(Node::Star);
        let mut floating: Vec<(Option<usize>, [f64; 3])> = off.iter().map(|&k| (Some(k), row(Node::Terminal(k)))).collect();
        if star != [0.0; 3] {
            floating.push((None, star));
        }
        floating.retain(|(_, row)| *row != [0.0; 3]);
        let rows: Vec<[f64; 3]> = floating.iter().map(|f| f.1).collect();
        let (basis, n) = null_space(&rows, [0, 1, 2].map(live));

        // Resistance of windings, valves and bus as seen by the windings.
        let plus = (0..terminals).filter(|&k| sides[k] == Side::Upper);
        let to_plus: [f64; 3] = plus.fold([0.0; 3], |sum, k| {
            let r = row(Node::Terminal(k));
            [0, 1, 2].map(|w| sum[w] + r[w])
        });
        let mut resistance = [[0.0; 3]; 3];
        for (w, line) in resistance.iter_mut().enumerate() {
            for (v, r) in line.iter_mut().enumerate() {
                let valves: f64 = on.iter().map(|&k| row(Node::Terminal(k))).map(|a| a[w] * a[v] * c.diode_ohm).sum();
                *r = valves + self.bus.resistance_ohm * to_plus[w] * to_plus[v];
            }
            if live(w) {
                line[w] += c.windings[w].resistance_ohm;
            }
        }
        // What conducting valves hold against each winding.
        let held: [f64; 3] = [0, 1, 2].map(|w| {
            let at = |k: usize| if sides[k] == Side::Upper { self.bus.emf_v } else { 0.0 };
            on.iter().map(|&k| row(Node::Terminal(k))[w] * (at(k) + self.drop_v(k, sides[k]))).sum()
        });
        let inductance = |w: usize| if live(w) { c.windings[w].inductance_h } else { 1.0 };
        let project = |m: &dyn Fn(usize, usize) -> f64| {
            DMatrix::from_fn(n, n, |i, j| {
                (0..3).flat_map(|w| (0..3).map(move |v| (w, v))).map(|(w, v)| basis[i][w] * m(w, v) * basis[j][v]).sum()
            })
        };
        let mass = project(&|w, v| if w == v { inductance(w) } else { 0.0 });
        let (rates, modes) = modes(mass, &project(&|w, v| resistance[w][v]));
        let (mut out, mut back, mut rate) = ([[0.0; 3]; 3], [[0.0; 3]; 3], [0.0; 3]);
        for y in 0..n {
            rate[y] = rates[y];
            for w in 0..3 {
                out[w][y] = (0..n).map(|k| basis[k][w] * modes[(k, y)]).sum();
                back[y][w] = out[w][y] * inductance(w);
            }
        }
        let mut settled = [[0.0; 3]; 3];
        for y in 0..n {
            let sum = |of: &dyn Fn(usize) -> f64| (0..3).map(|w| out[w][y] * of(w)).sum::<f64>();
            let (constant, sine, cosine) = (-sum(&|w| held[w]), sum(&|w| self.emf[w][0]), sum(&|w| self.emf[w][1]));
            let (l, o) = (rate[y], self.omega);
            let size = l * l + o * o;
            settled[y] = [constant / l, (l * sine + o * cosine) / size, (l * cosine - o * sine) / size];
        }
        let grounded = (0..windings).any(|w| live(w) && (c.windings[w].from == Node::Ground || c.windings[w].to == Node::Ground));
        let free = on.is_empty() && !grounded;
        let floating = self.volts_of(&floating, free, &inductance);
        let volts = |i: &Currents, at: Angle| self.volts(&sides, &floating, i, at);
        let (still, none) = (Angle { sine: 0.0, cosine: 0.0 }, [0.0; 3]);
        let alone = volts(&none, still);
        let ampere = |w: usize| volts(&[0, 1, 2].map(|v| f64::from(u8::from(v == w))), still);
        let per = [
            ampere(0),
            ampere(1),
            ampere(2),
            volts(&none, Angle { sine: 1.0, cosine: 0.0 }),
            volts(&none, Angle { sine: 0.0, cosine: 1.0 }),
        ];
        let volts =
            [0, 1, 2].map(|k: usize| std::array::from_fn(|of| if of == 0 { alone[k] } else { per[of - 1][k] - alone[k] }));
        let step_leaves = rate.map(|rate| (-rate * self.step_s).exp());
        Reduced { sides, n, out, back, rate, step_leaves, settled, volts, free }
    }

    /// Weights that give the volts of inputs that no valve holds, from what is left over each winding.
    fn volts_of(
        &self,
        floating: &[(Option<usize>, [f64; 3])],
        free: bool,
        inductance: &dyn Fn(usize) -> f64,
    ) -> Vec<(usize, [f64; 3])> {
        // Where nothing fixes them, the last one counts as nought.
        let unknown = &floating[..floating.len() - usize::from(free && !floating.is_empty())];
        let n = unknown.len();
        let mut m = [[0.0; 4]; 4];
        for (i, line) in m.iter_mut().enumerate().take(n) {
            for (j, x) in line.iter_mut().enumerate().take(n) {
                *x = (0..3).map(|w| unknown[i].1[w] * unknown[j].1[w] / inductance(w)).sum();
            }
        }
        let mut weights = vec![[0.0; 3]; n];
        for w in 0..3 {
            let mut b = [0.0; 4];
            (0..n).for_each(|i| b[i] = unknown[i].1[w] / inductance(w));
            let Some(v) = solve(m, b, n) else { return Vec::new() };
            (0..n).for_each(|i| weights[i][w] = v[i]);
        }
        let known = unknown.iter().zip(weights).filter_map(|(f, weights)| Some((f.0?, weights)));
        let nought = floating.last().filter(|_| free).and_then(|f| f.0).map(|k| (k, [0.0; 3]));
        known.chain(nought).collect()
    }

    /// Volts of every input against the frame; not a number where it hangs on nothing. `floating` are inputs that no valve holds, with weights of what is left
    /// over each winding.
    fn volts(&self, sides: &Sides, floating: &[(usize, [f64; 3])], i: &Currents, at: Angle) -> [f64; 3] {
        let c = self.circuit;
        let outward = self.outward(i);
        let plus = self.plus(self.to_plus_a(sides, &outward));
        let mut volts = [f64::NAN; 3];
        for k in 0..c.terminals.len() {
            let base = match sides[k] {
                Side::Off => continue,
                Side::Upper => plus,
                Side::Lower => 0.0,
            };
            volts[k] = base + self.drop_v(k, sides[k]) + c.diode_ohm * outward[k];
        }
        let mut over = [0.0; 3];
        for (w, over) in over.iter_mut().enumerate().take(c.windings.len()) {
            let held: f64 = (0..c.terminals.len()).filter(|&k| sides[k] != Side::Off).map(|k| self.into[k][w] * volts[k]).sum();
            *over = self.emf(w, at) - c.windings[w].resistance_ohm * i[w] - held;
        }
        for (k, weights) in floating {
            volts[*k] = (0..3).map(|w| weights[w] * over[w]).sum();
        }
        volts
    }
}

/// Decay rates [1/s] and modes of `M y' = −R y`, each of unit mass: the eigenvectors of `L⁻¹ R L⁻ᵀ` times `L⁻ᵀ`, with `M = L Lᵀ`.
fn modes(mass: DMatrix<f64>, stiff: &DMatrix<f64>) -> (DVector<f64>, DMatrix<f64>) {
    if mass.is_empty() {
        return (DVector::zeros(0), mass);
    }
    let l = mass.cholesky().expect("inductances are above nought").unpack();
    let solved = |m: &DMatrix<f64>| l.solve_lower_triangular(m).expect("a factor's diagonal is above nought");
    let found = solved(&solved(stiff).transpose()).symmetric_eigen();
    let modes = l.tr_solve_lower_triangular(&found.eigenvectors).expect("a factor's diagonal is above nought");
    (found.eigenvalues, modes)
}

impl Reduced {
    /// Currents after the angle has gone from one to another, from these at the first.
    pub fn after(&self, from: &Currents, at_from: Angle, at_to: Angle, seconds: f64) -> Currents {
        self.left(from, at_from, at_to, &self.rate.map(|rate| (-rate * seconds).exp()))
    }

    /// The same after a whole step.
    pub fn stepped(&self, from: &Currents, at_from: Angle, at_to: Angle) -> Currents {
        self.left(from, at_from, at_to, &self.step_leaves)
    }

    fn left(&self, from: &Currents, at_from: Angle, at_to: Angle, leaves: &[f64; 3]) -> Currents {
        let mut y = [0.0; 3];
        for k in 0..self.n {
            let settled = |a: Angle| self.settled[k][0] + self.settled[k][1] * a.sine + self.settled[k][2] * a.cosine;
            let start: f64 = (0..3).map(|w| self.back[k][w] * from[w]).sum();
            y[k] = (start - settled(at_from)) * leaves[k] + settled(at_to);
        }
        // Equations that are not there have nought in `out`.
        self.out.map(|line| line[0] * y[0] + line[1] * y[1] + line[2] * y[2])
    }

    /// Volts of every input against the frame; not a number where it hangs on nothing.
    pub fn volts(&self, i: &Currents, at: Angle) -> [f64; 3] {
        self.volts.map(|v| v[0] + v[1] * i[0] + v[2] * i[1] + v[3] * i[2] + v[4] * at.sine + v[5] * at.cosine)
    }
}
