//! What fills the store of a capacitor ignition between two sparks: windings on the magneto, or a converter on the battery.

use super::ladder::{Ladder, N, State, ZERO};
use std::f64::consts::TAU;

/// Places in a state: currents of the two windings, volts of the store, sine and cosine of the EMF's phase, then 1.
const STORE: usize = 2;
const SINE: usize = 3;
const COSINE: usize = 4;
const ONE: usize = 5;
/// Windings at most.
pub const MOST_WINDINGS: usize = 2;
/// Steps in one period of the EMF [1] (own choice): what happens within a step is placed to its 65 536th part, so this only has to find every change.
const STEPS: f64 = 96.0;

/// A winding with a diode of its own into the store.
///
/// `e = E ω sin(p ω t)`, behind a resistance and an inductance. The rotor's field is taken for a sine, and not weakened by the current but through the inductance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Winding {
    /// E: peak of the EMF per crank speed [V·s/rad].
    pub peak_per_speed: f64,
    /// [Ω].
    pub ohm: f64,
    /// [H].
    pub henry: f64,
}

/// Windings that fill a store by half waves.
#[derive(Clone, Debug, PartialEq)]
pub struct SourceCoil {
    /// One, or two in phase.
    pub windings: Vec<Winding>,
    /// Periods of the EMF in one turn of the crank [1].
    pub periods_per_turn: f64,
    /// Drop of a diode [V].
    pub diode_v: f64,
    /// The store [F].
    pub store_f: f64,
    /// What drains it [S].
    pub leak_s: f64,
    /// Volts at which something in the module holds it [V].
    pub clamp_v: Option<f64>,
}

/// A store as it was filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filled {
    /// Volts when the next spark comes [V].
    pub volts: f64,
    /// Highest volts on the way [V].
    pub highest_v: f64,
    /// Heat of each winding in that time [J].
    pub heat_j: [f64; MOST_WINDINGS],
    /// Taken by what holds the store's voltage [J].
    pub clamped_j: f64,
    /// Drained [J].
    pub leaked_j: f64,
    /// Lost in the diodes [J].
    pub diodes_j: f64,
    /// Given by the EMFs [J].
    pub given_j: f64,
}

/// Accounts: heat of each winding, clamp, leak, diodes, given.
const ACCOUNTS: usize = 6;

impl SourceCoil {
    /// Fills the store from `from_v` [V] at a crank speed [rad/s] over a number of turns, from a zero of the EMF that a positive half wave follows.
    ///
    /// Windings beyond the second are left out.
    pub fn fill(&self, speed_rad_s: f64, turns: f64, from_v: f64) -> Filled {
        let (volts, highest_v, books) = self.run::<ACCOUNTS>(speed_rad_s, turns, from_v);
        let [a, b, clamped_j, leaked_j, diodes_j, given_j] = books;
        Filled { volts, highest_v, heat_j: [a, b], clamped_j, leaked_j, diodes_j, given_j }
    }

    /// The volts alone [V], several times as fast.
    pub fn fill_v(&self, speed_rad_s: f64, turns: f64, from_v: f64) -> f64 {
        self.run::<0>(speed_rad_s, turns, from_v).0
    }

    /// Volts, highest volts, and the accounts where they are kept.
    fn run<const B: usize>(&self, speed_rad_s: f64, turns: f64, from_v: f64) -> (f64, f64, [f64; B]) {
        let omega = self.periods_per_turn * speed_rad_s;
        let seconds = turns * TAU / speed_rad_s;
        let periods = seconds * omega / TAU;
        let steps = (periods * STEPS).ceil().max(1.0);
        let step_s = seconds / steps;
        let windings = &self.windings[..self.windings.len().min(MOST_WINDINGS)];
        let mut x: State = [0.0, 0.0, from_v, 0.0, 1.0, 1.0];
        let (mut t, mut highest, mut books) = (0.0, from_v, [0.0; B]);
        let mut made: Vec<Stand<B>> = Vec::new();
        let (mut conducts, mut held) = (0usize, false);
        // A step that is cut short is followed by one that makes it up, so that the last one ends in time.
        while t < seconds - 1e-9 * step_s {
            let key = (conducts, held);
            let at = made.iter().position(|made| made.key == key).unwrap_or_else(|| {
                let ladder = self.ladder(windings, omega, speed_rad_s, conducts, held, step_s);
                let (watch, meaning) = self.watched(windings, speed_rad_s, conducts, held);
                made.push(Stand { key, ladder, watch, meaning });
                made.len() - 1
            });
            let Stand { ladder, watch, meaning, .. } = &made[at];
            let (passed, which) = ladder.step(&mut x, &mut books, watch);
            t += passed;
            match which.map(|k| meaning[k]) {
                Some(Event::Winding(w)) => {
                    conducts ^= 1 << w;
                    x[w] = 0.0;
                }
                Some(Event::Clamp) => {
                    if let Some(clamp) = self.clamp_v.filter(|_| !held) {
                        if let Some(clamped) = books.get_mut(2) {
                            *clamped += 0.5 * self.store_f * (x[STORE] * x[STORE] - clamp * clamp);
                        }
                        x[STORE] = clamp;
                    }
                    held = !held;
                }
                None => {}
            }
            highest = highest.max(x[STORE]);
        }
        (x[STORE], highest, books)
    }

    /// Linear forms that stay above nothing while windings and clamp stand as they do, and what it means where one does not.
    fn watched(&self, windings: &[Winding], speed_rad_s: f64, conducts: usize, held: bool) -> (Vec<State>, Vec<Event>) {
        let mut watch: Vec<State> = Vec::new();
        let mut meaning: Vec<Event> = Vec::new();
        for (w, winding) in windings.iter().enumerate() {
            let mut form = [0.0; N];
            if conducts & (1 << w) != 0 {
                form[w] = 1.0;
            } else {
                (form[STORE], form[ONE], form[SINE]) = (1.0, self.diode_v, -winding.peak_per_speed * speed_rad_s);
            }
            watch.push(form);
            meaning.push(Event::Winding(w));
        }
        if let Some(clamp) = self.clamp_v {
            let mut form = [0.0; N];
            if held {
                // What comes in, less what leaks, no longer keeps it up.
                form[0] = f64::from(u8::from(conducts & 1 != 0));
                form[1] = f64::from(u8::from(conducts & 2 != 0));
                form[STORE] = -self.leak_s;
            } else {
                (form[STORE], form[ONE]) = (-1.0, clamp);
            }
            watch.push(form);
            meaning.push(Event::Clamp);
        }
        (watch, meaning)
    }

    fn ladder<const B: usize>(
        &self,
        windings: &[Winding],
        omega: f64,
        speed_rad_s: f64,
        conducts: usize,
        held: bool,
        step_s: f64,
    ) -> Ladder<B> {
        let (mut a, mut accounts) = (ZERO, [ZERO; ACCOUNTS]);
        a[SINE][COSINE] = omega;
        a[COSINE][SINE] = -omega;
        let mut into_store = [0.0; N];
        for (w, winding) in windings.iter().enumerate().filter(|(w, _)| conducts & (1 << w) != 0) {
            let emf = winding.peak_per_speed * speed_rad_s;
            a[w][SINE] = emf / winding.henry;
            a[w][w] = -winding.ohm / winding.henry;
            a[w][STORE] = -1.0 / winding.henry;
            a[w][ONE] = -self.diode_v / winding.henry;
            into_store[w] = 1.0;
            accounts[w][w][w] = winding.ohm;
            accounts[4][w][ONE] = self.diode_v;
            accounts[5][w][SINE] = emf;
        }
        into_store[STORE] = -self.leak_s;
        accounts[3][STORE][STORE] = self.leak_s;
        if held {
            for (k, share) in into_store.iter().enumerate() {
                accounts[2][k][STORE] += share;
            }
        } else {
            a[STORE] = into_store.map(|x| x / self.store_f);
        }
        // Either all accounts are kept or none.
        Ladder::new(&a, &std::array::from_fn(|k| accounts[k.min(ACCOUNTS - 1)]), step_s)
    }

    /// Volts [V] of the winding's EMF at a crank speed [rad/s], the greater of two: what a peak-hold meter shows with nothing connected.
    pub fn open_v(&self, speed_rad_s: f64) -> f64 {
        self.windings.iter().map(|w| w.peak_per_speed * speed_rad_s).fold(0.0, f64::max)
    }
}

/// One way in which windings and clamp may stand: its steps, what ends it, and what that means.
struct Stand<const B: usize> {
    key: (usize, bool),
    ladder: Ladder<B>,
    watch: Vec<State>,
    meaning: Vec<Event>,
}

#[derive(Clone, Copy, Debug)]
enum Event {
    Winding(usize),
    Clamp,
}

/// A converter that fills a store from the battery with a power of its own, up to a voltage.
///
/// `dE/dt = P − V²/R`, so `E = ½ P R C (1 − e^{−2t/RC})`; with nothing to drain it `E = P t`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Converter {
    /// Power into the store [W].
    pub watts: f64,
    /// Volts at which it stops [V].
    pub stops_v: f64,
    /// The store [F].
    pub store_f: f64,
    /// What drains it [S].
    pub leak_s: f64,
}

impl Converter {
    /// Volts of the store after a time [V].
    ///
    /// # Example
    /// ```
    /// let converter = physics::spark::source::Converter { watts: 5.0, stops_v: 300.0, store_f: 1e-6, leak_s: 0.0 };
    /// assert!((converter.volts(2e-3) - 141.421_356).abs() < 1e-5);
    /// assert_eq!(converter.volts(1.0), 300.0);
    /// ```
    pub fn volts(&self, seconds: f64) -> f64 {
        let rate = 2.0 * self.leak_s / self.store_f;
        let joules = if rate > 0.0 { -self.watts * (-rate * seconds).exp_m1() / rate } else { self.watts * seconds };
        (2.0 * joules / self.store_f).sqrt().min(self.stops_v)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn coil() -> SourceCoil {
        SourceCoil {
            windings: vec![Winding { peak_per_speed: 2.0, ohm: 240.0, henry: 0.2 }],
            periods_per_turn: 3.0,
            diode_v: 0.8,
            store_f: 1e-6,
            leak_s: 1e-6,
            clamp_v: None,
        }
    }

    /// Whatever two windings, a clamp and a leak do, energy is kept.
    #[test]
    fn energy_is_kept() {
        /// Rounding of some thousand exact steps [1].
        const KEPT: f64 = 1e-8;
        let mut two = coil();
        two.windings.push(Winding { peak_per_speed: 0.6, ohm: 24.0, henry: 0.01 });
        for clamp_v in [None, Some(180.0)] {
            for rpm in [300.0, 1000.0, 4000.0, 9000.0] {
                let source = SourceCoil { clamp_v, ..two.clone() };
                let f = source.fill(rpm * TAU / 60.0, 1.0, 0.0);
                let store = 0.5 * 1e-6 * f.volts * f.volts;
                let spent = f.heat_j[0] + f.heat_j[1] + f.clamped_j + f.leaked_j + f.diodes_j + store;
                // What a winding still holds when the spark comes: the last half wave has gone by, so nothing.
                assert!((f.given_j - spent).abs() < KEPT * f.given_j, "{rpm} {clamp_v:?} {f:?}");
                assert!(clamp_v.is_none_or(|most| f.highest_v <= most * (1.0 + 1e-6)));
            }
        }
    }

    /// One half wave through a resistance alone, slow against it: the store ends at the peak less the diode. And never above twice the EMF.
    #[test]
    fn limits_of_a_half_wave() {
        let slow = SourceCoil { leak_s: 0.0, store_f: 1e-8, ..coil() };
        let speed = 400.0 * TAU / 60.0;
        let peak = 2.0 * speed;
        let f = slow.fill(speed, 1.0, 0.0);
        assert!((f.volts - (peak - 0.8)).abs() < 1e-3 * peak, "{f:?} {peak}");
        // Without resistance an inductance carries it past the peak, to less than twice: the half-wave resonance.
        let swinging = SourceCoil {
            windings: vec![Winding { peak_per_speed: 2.0, ohm: 1e-6, henry: 0.2 }],
            diode_v: 0.0,
            leak_s: 0.0,
            ..coil()
        };
        let f = swinging.fill(2000.0 * TAU / 60.0, 1.0, 0.0);
        assert!(f.volts > 2.0 * 2000.0 * TAU / 60.0, "{f:?}");
    }

    #[test]
    fn a_drained_converter_is_that_of_the_equation() {
        let c = Converter { watts: 3.0, stops_v: 1e9, store_f: 1e-6, leak_s: 1e-4 };
        let (n, t) = (200_000, 10e-3);
        let dt = t / n as f64;
        let mut energy = 0.0;
        for _ in 0..n {
            let middle: f64 = energy + 0.5 * dt * (3.0 - 2.0 * energy / 1e-6 * 1e-4);
            energy += dt * (3.0 - 2.0 * middle / 1e-6 * 1e-4);
        }
        assert!((c.volts(t) / (2.0 * energy / 1e-6f64).sqrt() - 1.0).abs() < 1e-8);
    }
}
