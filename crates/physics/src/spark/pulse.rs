//! One pulse of a coil in time: with the plug's gap left out, and with the spark.

use super::{
    ladder::{Ladder, N, State, dot},
    network::{ACCOUNTS, Circuit, Equations, GAP, GIVEN, Gap, I1, I2, ONE, Primary, V1, VO, VP},
};

/// Times of a slow half swing that a spark is followed [1] (own choice): an inductive spark lasts some of them.
const SPARK_FOLLOWED: f64 = 30.0;
/// Changes of switches and gap that are followed in one pulse [1] (own choice); a spark that is quenched and struck again more often has its energy left in the books.
const MOST_CHANGES: usize = 400;
/// Share of what was there at first below which a spark that has gone out is left [1] (own choice).
const LITTLE: f64 = 0.01;

/// A pulse without a spark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pulse {
    /// Greatest voltage at the plug, of either sign [V].
    pub peak_v: f64,
    /// When [s].
    pub peak_s: f64,
    /// From a tenth to nine tenths of it [s].
    pub rise_s: f64,
    /// Greatest current in the primary [A].
    pub primary_a: f64,
    /// Greatest voltage of store or condenser [V].
    pub primary_v: f64,
}

/// Where the energy of a pulse went [J].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Books {
    /// In store, coil and capacitances before.
    pub before_j: f64,
    /// From the supply meanwhile.
    pub given_j: f64,
    /// Heat of the primary winding.
    pub primary_j: f64,
    /// Heat of switch, diodes and what is in line with the primary.
    pub switch_j: f64,
    /// Heat of the secondary winding.
    pub secondary_j: f64,
    /// Heat of lead, cap and plug in line.
    pub series_j: f64,
    /// Heat of soot and damp on the plug.
    pub shunt_j: f64,
    /// Into the gap.
    pub gap_j: f64,
    /// Leak of the store.
    pub leak_j: f64,
    /// Into a transistor that holds its voltage.
    pub clamp_j: f64,
    /// In store, coil and capacitances after.
    pub after_j: f64,
}

impl Books {
    /// What does not add up [J]; rounding alone.
    pub fn amiss_j(&self) -> f64 {
        let spent = self.primary_j + self.switch_j + self.secondary_j + self.series_j + self.shunt_j;
        self.before_j + self.given_j - (spent + self.gap_j + self.leak_j + self.clamp_j + self.after_j)
    }
}

/// A pulse with its spark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spark {
    /// When the gap breaks down [s]; `None` where it never does.
    pub struck_s: Option<f64>,
    /// How long it burns in all [s].
    pub burns_s: f64,
    /// Greatest current through it while it burns, the first discharge of the plug's own capacitance left out [A].
    pub current_a: f64,
    /// The energy's books.
    pub books: Books,
}

/// What of a spark goes into the gap, and for how long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burned {
    /// How long it burns in all [s].
    pub burns_s: f64,
    /// Into the gap [J].
    pub gap_j: f64,
}

/// One moment of a pulse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Since the switch acted [s].
    pub at_s: f64,
    /// Current in the primary [A].
    pub primary_a: f64,
    /// Current out of the secondary [A].
    pub secondary_a: f64,
    /// Volts of store or condenser [V].
    pub store_v: f64,
    /// Volts at the coil's high-tension end [V].
    pub coil_v: f64,
    /// Volts at the plug [V].
    pub plug_v: f64,
}

/// One way in which switches and gap may stand: its equations, its steps, what ends it, and how many of those are the primary side's.
struct Stand<const B: usize> {
    key: (Primary, Gap),
    equations: Equations,
    ladder: Ladder<B>,
    watch: Vec<State>,
    primary: usize,
}

/// Runs one circuit from change to change.
struct Runner<'c, const B: usize> {
    circuit: &'c Circuit,
    /// Places of the accounts that are kept.
    keeps: [usize; B],
    primary: Primary,
    gap: Gap,
    x: State,
    t: f64,
    books: [f64; B],
    /// Needed and burning volts.
    strikes: Option<(f64, f64)>,
    made: Vec<Stand<B>>,
    changes: usize,
    step_s: f64,
    /// What the first discharge of capacitances put into the gap.
    burst_j: f64,
}

impl<'c, const B: usize> Runner<'c, B> {
    fn new(circuit: &'c Circuit, keeps: [usize; B], strikes: Option<(f64, f64)>) -> Self {
        let (x, primary) = circuit.start();
        Self {
            circuit,
            keeps,
            primary,
            gap: Gap::Quiet,
            x,
            t: 0.0,
            books: [0.0; B],
            strikes,
            made: Vec::new(),
            changes: 0,
            step_s: circuit.step_s(),
            burst_j: 0.0,
        }
    }

    /// Place of the steps for the state in which the circuit stands.
    fn stand(&mut self) -> usize {
        let key = (self.primary, self.gap);
        if let Some(k) = self.made.iter().position(|made| made.key == key) {
            return k;
        }
        let equations = self.circuit.equations(self.primary, self.gap);
        let ladder = Ladder::new(&equations.a, &self.keeps.map(|k| equations.accounts[k]), self.step_s);
        let mut watch = self.circuit.watched(self.primary, &equations);
        let primary = watch.len();
        match (self.gap, self.strikes) {
            (Gap::Quiet, Some((needed, _))) => {
                for sign in [1.0, -1.0] {
                    let mut form = [0.0; N];
                    (form[VP], form[ONE]) = (-sign, needed);
                    watch.push(form);
                }
            }
            (Gap::Burning { positive }, _) => {
                let sign = if positive { 1.0 } else { -1.0 };
                watch.push(equations.gap_current.map(|x| sign * x));
            }
            _ => {}
        }
        self.made.push(Stand { key, equations, ladder, watch, primary });
        self.made.len() - 1
    }

    /// How fast a quantity changes.
    fn rate(&self, k: usize, place: usize) -> f64 {
        dot(&self.made[k].equations.a[place], &self.x)
    }

    /// One step, and what it changes.
    fn go(&mut self) {
        let k = self.stand();
        let Stand { ladder, watch, primary, .. } = &self.made[k];
        let primary = *primary;
        let (passed, which) = ladder.step(&mut self.x, &mut self.books, watch);
        self.t += passed;
        match which {
            Some(which) if which < primary => {
                self.primary = self.circuit.changed(self.primary, which, &mut self.x);
                self.changes += 1;
            }
            Some(which) => {
                self.changes += 1;
                self.gap = match (self.gap, self.strikes) {
                    (Gap::Quiet, Some((_, burning))) => {
                        let positive = which == primary;
                        self.strike(if positive { burning } else { -burning });
                        Gap::Burning { positive }
                    }
                    _ => Gap::Quiet,
                };
            }
            None => {}
        }
    }

    /// The gap takes the plug's own charge at once, down to its burning volts.
    fn strike(&mut self, burning: f64) {
        let before = self.circuit.held_j(&self.x);
        self.x[VP] = burning;
        if self.circuit.one_end() {
            self.x[VO] = burning;
        }
        self.burst_j += before - self.circuit.held_j(&self.x);
    }

    fn stuck(&self) -> bool {
        self.changes > MOST_CHANGES
    }
}

/// Cubic between two places with given slopes, `s` from 0 to 1.
fn cubic(a: (f64, f64), b: (f64, f64), h: f64, s: f64) -> f64 {
    let (u, w) = (1.0 - s, s);
    u * u * (1.0 + 2.0 * s) * a.0 + w * w * (3.0 - 2.0 * s) * b.0 + h * s * u * (u * a.1 - w * b.1)
}

/// Bisections within a step [1] (own choice): to its millionth part of a millionth.
const BISECTIONS: usize = 40;

/// Time and size of the greatest value of a sampled quantity `(t, value, slope)`, cubic between samples.
fn greatest(samples: &[(f64, f64, f64)]) -> (f64, f64) {
    let mut best = samples.first().map_or((0.0, 0.0), |s| (s.0, s.1));
    for pair in samples.windows(2) {
        let [(ta, va, da), (tb, vb, db)] = [pair[0], pair[1]];
        if vb > best.1 {
            best = (tb, vb);
        }
        if da > 0.0 && db < 0.0 && va.max(vb) > 0.9 * best.1 {
            let h = tb - ta;
            let slope = |s: f64| {
                let e = 1e-4;
                cubic((va, da), (vb, db), h, s + e) - cubic((va, da), (vb, db), h, s - e)
            };
            let (mut low, mut high) = (0.0, 1.0);
            for _ in 0..BISECTIONS {
                let middle = 0.5 * (low + high);
                if slope(middle) > 0.0 { low = middle } else { high = middle }
            }
            let v = cubic((va, da), (vb, db), h, low);
            if v > best.1 {
                best = (ta + low * h, v);
            }
        }
    }
    best
}

/// First time at which a sampled quantity reaches a level from below.
fn reaches(samples: &[(f64, f64, f64)], level: f64) -> Option<f64> {
    let pair = samples.windows(2).find(|pair| pair[0].1 < level && pair[1].1 >= level)?;
    let [(ta, va, da), (tb, vb, db)] = [pair[0], pair[1]];
    let h = tb - ta;
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..BISECTIONS {
        let middle = 0.5 * (low + high);
        if cubic((va, da), (vb, db), h, middle) < level { low = middle } else { high = middle }
    }
    Some(ta + low * h)
}

/// The pulse that a coil gives with no spark at the plug: the voltage that is available.
pub fn open_pulse(circuit: &Circuit) -> Pulse {
    let mut run = Runner::new(circuit, [], None);
    let end = circuit.first_swing_s();
    let (mut plug, mut current, mut store) = (Vec::new(), Vec::new(), 0.0f64);
    while run.t < end && !run.stuck() {
        let k = run.stand();
        plug.push((run.t, run.x[VP], run.rate(k, VP)));
        current.push((run.t, run.x[I1], run.rate(k, I1)));
        store = store.max(run.x[V1].abs());
        run.go();
    }
    let turned: Vec<_> = plug.iter().map(|(t, v, d)| (*t, -v, -d)).collect();
    let (up, down) = (greatest(&plug), greatest(&turned));
    let (best, samples) = if up.1 >= down.1 { (up, &plug) } else { (down, &turned) };
    let level = |share: f64| reaches(samples, share * best.1).unwrap_or(best.0);
    Pulse { peak_v: best.1, peak_s: best.0, rise_s: level(0.9) - level(0.1), primary_a: greatest(&current).1, primary_v: store }
}

/// The pulse with its spark: the gap breaks down at `needed_v` [V], either way, and burns at `burning_v` [V] until its current turns round; then it is
/// as before, and breaks down again where the voltage comes back. What its own capacitance holds goes into the gap at once.
pub fn spark(circuit: &Circuit, needed_v: f64, burning_v: f64) -> Spark {
    let before_j = circuit.held_j(&circuit.start().0);
    let mut run = Runner::new(circuit, std::array::from_fn::<_, ACCOUNTS, _>(|k| k), Some((needed_v, burning_v.min(needed_v))));
    let (struck, burns, current) = burn(&mut run);
    let b = &run.books;
    let books = Books {
        before_j,
        given_j: b[GIVEN],
        primary_j: b[0],
        switch_j: b[1],
        secondary_j: b[2],
        series_j: b[3],
        shunt_j: b[4],
        gap_j: b[GAP] + run.burst_j,
        leak_j: b[6],
        clamp_j: b[7],
        after_j: circuit.held_j(&run.x),
    };
    Spark { struck_s: struck, burns_s: burns, current_a: current, books }
}

/// The same of the gap alone, several times as fast as with all the books of [`spark`].
pub fn burned(circuit: &Circuit, needed_v: f64, burning_v: f64) -> Burned {
    let mut run = Runner::new(circuit, [GAP], Some((needed_v, burning_v.min(needed_v))));
    let (_, burns_s, _) = burn(&mut run);
    Burned { burns_s, gap_j: run.books[0] + run.burst_j }
}

/// Runs a pulse with its spark until it is spent: when it strikes [s], how long it burns [s], its greatest current [A].
fn burn<const B: usize>(run: &mut Runner<B>) -> (Option<f64>, f64, f64) {
    let circuit = run.circuit;
    let before_j = circuit.held_j(&run.x);
    let end = SPARK_FOLLOWED * circuit.slow_s();
    let (mut struck, mut burns, mut current) = (None, 0.0, 0.0f64);
    while run.t < end && !run.stuck() {
        let (was, at) = (run.gap, run.t);
        run.go();
        if was != Gap::Quiet {
            burns += run.t - at;
        }
        if run.gap != Gap::Quiet {
            struck = struck.or(Some(run.t));
            let k = run.stand();
            current = current.max(dot(&run.made[k].equations.gap_current, &run.x).abs());
        }
        let left = || circuit.held_j(&run.x) < LITTLE * before_j;
        if struck.is_some() && run.gap == Gap::Quiet && left() {
            break;
        }
    }
    (struck, burns, current)
}

/// The pulse moment by moment for a time [s], with a spark where needed and burning volts are given.
pub fn follow(circuit: &Circuit, strikes: Option<(f64, f64)>, seconds: f64) -> Vec<Moment> {
    let mut run = Runner::new(circuit, [], strikes);
    let mut moments = Vec::new();
    loop {
        moments.push(Moment {
            at_s: run.t,
            primary_a: run.x[I1],
            secondary_a: run.x[I2],
            store_v: run.x[V1],
            coil_v: run.x[VO],
            plug_v: run.x[VP],
        });
        if run.t >= seconds || run.stuck() {
            return moments;
        }
        run.go();
    }
}
