//! The periodic steady state at one speed.

use super::{
    circuit::{Bus, Circuit, NotACircuit},
    period::{Period, STEPS, Sample, Totals},
    reduced::{Currents, Turning},
    small::solve,
};

/// Change of a current from one part of a period to the next at which it counts as settled, as a share of the largest \[1\] (own choice).
const SETTLED: f64 = 1e-9;
/// Parts of periods after which it is given up \[1\] (own choice).
const MOST_PERIODS: usize = 400;

/// A settled period.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// What it comes to.
    pub totals: Totals,
    /// The period in steps.
    pub samples: Vec<Sample>,
    /// Periods that were run for it, or parts of one where it repeats itself within the period.
    pub periods: usize,
}

/// Why there is no steady state.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NotSettled {
    /// The circuit cannot be solved.
    #[error(transparent)]
    NotACircuit(#[from] NotACircuit),
    /// A speed that is not above nought.
    #[error("the electrical speed must be above nought")]
    BadSpeed,
    /// Valves switch without end.
    #[error("the valves chatter")]
    Chatter,
    /// It does not repeat itself.
    #[error("it does not settle")]
    Wanders,
}

/// The steady state of a circuit at an electrical angular speed [rad/s] (pole pairs × turning speed).
///
/// EMFs are sines. Valves are a constant drop and a resistance while they conduct. Between switchings each mode of the linear circuit is solved exactly;
/// places of switchings are found to 10⁻¹¹ rad. Periods are run, with Anderson's mixing of the last ones, until one repeats itself; of a sound star or ring sixths of a
/// period, of a sound winding on a bridge halves, since each carries on the last with the windings changed over.
///
/// Iron losses, saturation and the third harmonic of a delta are left out.
///
/// Units: SI. Validity: valves that conduct for at least 1.5° at a time.
///
/// Source of the mixing: Anderson, "Iterative Procedures for Nonlinear Integral Equations", Journal of the ACM 12(4), 1965.
///
/// # Errors
/// [`NotSettled`].
///
/// # Example
/// ```
/// use physics::charge::{Bus, Circuit, Kind, steady};
/// // Magnets of 8 mV·s behind 0.15 Ω and 0.25 mH, six pole pairs at 5000 rpm, into 13.5 V: ngspice has 25.27 A.
/// let circuit = Circuit::sound(Kind::Star, 0.008, 0.15, 0.25e-3, 0.7, 0.0);
/// let omega = 6.0 * 5000.0 * std::f64::consts::TAU / 60.0;
/// let found = steady(&circuit, Bus { emf_v: 13.5, resistance_ohm: 0.0 }, omega).unwrap();
/// assert!((found.totals.mean_a - 25.2735).abs() < 0.08);
/// ```
pub fn steady(circuit: &Circuit, bus: Bus, omega_rad_s: f64) -> Result<Settled, NotSettled> {
    circuit.judge(&bus)?;
    if !(omega_rad_s > 0.0 && omega_rad_s.is_finite()) {
        return Err(NotSettled::BadSpeed);
    }
    let mut turning = Turning::new(circuit, bus, omega_rad_s, STEPS);
    let mut period = Period::new(&mut turning);
    let n = circuit.windings.len();
    let mut mixing = Mixing::default();
    let mut start: Currents = [0.0; 3];
    for periods in 1..=MOST_PERIODS {
        let end = period.run(start, false).ok_or(NotSettled::Chatter)?.currents;
        let off = (0..n).map(|k| (end[k] - start[k]).abs()).fold(0.0, f64::max);
        let size = end.iter().fold(1e-3_f64, |a, x| a.max(x.abs()));
        if off <= SETTLED * size {
            let ended = period.run(end, true).ok_or(NotSettled::Chatter)?;
            return Ok(Settled { totals: ended.totals, samples: ended.samples, periods: periods + 1 });
        }
        start = mixing.next(start, end, n);
    }
    Err(NotSettled::Wanders)
}

/// Anderson's mixing over the last periods.
#[derive(Default)]
struct Mixing {
    /// Start, and how far the end was from it.
    before: Vec<(Currents, Currents)>,
}

impl Mixing {
    fn next(&mut self, start: Currents, end: Currents, n: usize) -> Currents {
        let off = [0, 1, 2].map(|k| end[k] - start[k]);
        // As many differences as there are unknowns, the newest first.
        let (mut steps, mut changes) = (Vec::new(), Vec::new());
        for (x, f) in self.before.iter().rev().take(n) {
            steps.push([0, 1, 2].map(|k| start[k] - x[k]));
            changes.push([0, 1, 2].map(|k| off[k] - f[k]));
        }
        self.before.push((start, off));
        let m = changes.len();
        let dot = |a: &Currents, b: &Currents| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let mut normal = [[0.0; 4]; 4];
        let mut right = [0.0; 4];
        for i in 0..m {
            right[i] = dot(&changes[i], &off);
            for j in 0..m {
                normal[i][j] = dot(&changes[i], &changes[j]);
            }
        }
        // Changes that cannot be told apart are left out, the oldest first; without any it is a plain period.
        let Some((m, weights)) = (1..=m).rev().find_map(|m| Some((m, solve(normal, right, m)?))) else { return end };
        let mixed = [0, 1, 2].map(|k| end[k] - (0..m).map(|i| weights[i] * (steps[i][k] + changes[i][k])).sum::<f64>());
        let most = end.iter().chain(&start).fold(0.0_f64, |a, x| a.max(x.abs()));
        // A jump far beyond what flows is a bad guess.
        if mixed.iter().all(|x| x.is_finite() && x.abs() <= 3.0 * most + 1e-9) { mixed } else { end }
    }
}
