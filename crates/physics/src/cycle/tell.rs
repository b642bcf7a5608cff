//! When a row of cycles has settled: once each cycle's work and charge are heard, whether they repeat themselves.

/// What a settled point may still be off by [1] (own choice), as a share of the cycle's work (of the work of 0.5 bar mean pressure if that is more) and of its
/// charge: half of the 0.2 % wanted; and as a part of the whole charge, in its share of burned gas. While an engine misfires the work stays
/// as it is and only the burned gas tells that it will burn again, a dozen cycles on. Estimated from the last two changes as a geometric
/// series.
pub const SETTLED: f64 = 1e-3;
/// Cycles after which a point that does not close in counts as not settling: it alternates, as engines near misfire do.
const ENOUGH_CYCLES: usize = 20;
/// Most cycles for one that does: a large plenum behind a small opening fills slowly.
const MOST_CYCLES: usize = 120;
/// Cycles in the mean that is given for one that does not, at least: a whole number of its periods, if it has one of up to
/// [`LONGEST_PERIOD`] cycles.
const MEAN_OF: usize = 12;
const LONGEST_PERIOD: usize = 4;
/// Shrinking of the changes from cycle to cycle [1] (own choice): faster than the first is never believed, for a slow part may hide behind a
/// fast one; slower than the second is not taken for closing in.
const FASTEST: f64 = 0.5;
const SLOWEST: f64 = 0.98;
/// After two cycles, no faster than this is believed of what was seen at the point before [1] (own choice).
const BEFORE: f64 = 0.8;

/// Work and charge of one lane, cycle after cycle.
#[derive(Clone, Debug, Default)]
pub(super) struct Tell {
    works: Vec<f64>,
    charges: Vec<f64>,
    residuals: Vec<f64>,
    /// Cycles at the end in which no step was cut short.
    whole: usize,
    /// Settled within [`SETTLED`].
    pub settled: bool,
    /// Nothing more to hear: settled, or found not to settle.
    pub done: bool,
    /// Cycles at the end over which the mean is taken.
    mean_of: usize,
    /// How the changes of work, charge and burned gas shrank where the lane was before; what two cycles alone cannot tell.
    shrank: Option<[f64; 3]>,
}

impl Tell {
    /// Hears one more cycle. One in which a step was cut short is no settled one, however well it repeats itself.
    pub fn hear(&mut self, work: f64, charge: f64, residual: f64, least_work: f64, cut_short: bool) {
        self.works.push(work);
        self.charges.push(charge);
        self.residuals.push(residual);
        self.whole = if cut_short { 0 } else { self.whole + 1 };
        let cycles = self.works.len();
        let series = [(&self.works, least_work), (&self.charges, 0.0), (&self.residuals, 1.0)];
        let shrinks = match (cycles, self.shrank) {
            (2, Some(before)) => Some(before.map(|s| s.max(BEFORE))),
            (0..=2, _) => None,
            _ => Some(series.map(|(x, least_scale)| shrinks(x, least_scale))),
        };
        self.settled = self.whole > 0
            && shrinks.is_some_and(|all| series.iter().zip(all).all(|((x, least_scale), s)| near_its_limit(x, *least_scale, s)));
        self.shrank = shrinks.or(self.shrank);
        self.mean_of = 1;
        self.done = self.settled || !work.is_finite() || cycles >= MOST_CYCLES;
        if self.done {
            if !self.settled {
                self.mean_of = MEAN_OF.min(cycles);
            }
        } else if let Some(period) = (2..=LONGEST_PERIOD).find(|n| {
            self.whole >= *n
                && repeats(&self.works, *n, least_work)
                && repeats(&self.charges, *n, 0.0)
                && repeats(&self.residuals, *n, 1.0)
        }) {
            let last = &self.works[cycles - period..];
            let (low, high) = last.iter().fold((f64::MAX, f64::MIN), |(low, high), x| (low.min(*x), high.max(*x)));
            self.settled = high - low < 2.0 * SETTLED * high.abs().max(low.abs()).max(least_work);
            (self.done, self.mean_of) = (true, period);
        } else if cycles >= ENOUGH_CYCLES && ![&self.works, &self.charges, &self.residuals].iter().any(|x| closing_in(x)) {
            (self.done, self.mean_of) = (true, MEAN_OF);
        }
    }

    /// To hear of the next point, which begins where this one settled.
    pub fn next(&self) -> Self {
        Self { shrank: self.shrank.filter(|_| self.settled), ..Self::default() }
    }

    /// Cycles heard.
    pub fn cycles(&self) -> usize {
        self.works.len()
    }

    /// Work and charge of the settled cycle, or means of the last ones.
    pub fn result(&self) -> (f64, f64) {
        let mean = |x: &[f64]| x[x.len() - self.mean_of..].iter().sum::<f64>() / self.mean_of as f64;
        (mean(&self.works), mean(&self.charges))
    }
}

/// The last two changes have one sign and shrink.
fn closing_in(x: &[f64]) -> bool {
    let [.., a, b, c] = *x else { return true };
    let (first, second) = (b - a, c - b);
    first * second > 0.0 && second.abs() < first.abs()
}

/// How the last change of a sequence has shrunk against the one before.
fn shrinks(x: &[f64], least_scale: f64) -> f64 {
    let [.., b, c, d] = *x else { return f64::NAN };
    // Changes a hundred times smaller than what is wanted are no guide to the shrinking, nor is any needed.
    let floor = 0.01 * SETTLED * d.abs().max(least_scale);
    ((d - c).abs() / (c - b).abs().max(floor)).max(FASTEST)
}

/// Has a sequence come within [`SETTLED`] of its limit, if its changes go on shrinking so?
fn near_its_limit(x: &[f64], least_scale: f64, shrinks: f64) -> bool {
    let [.., c, d] = *x else { return false };
    let scale = SETTLED * d.abs().max(least_scale);
    shrinks < SLOWEST && (d - c).abs() * shrinks < scale * (1.0 - shrinks)
}

/// Has every one of the last `period` values come back within [`SETTLED`], and the ones before no more closely?
fn repeats(x: &[f64], period: usize, least_scale: f64) -> bool {
    if x.len() < 3 * period {
        return false;
    }
    let last = &x[x.len() - period..];
    let scale = SETTLED * last.iter().fold(0.0_f64, |most, x| most.max(x.abs())).max(least_scale);
    let change = |back: usize| {
        (0..period).map(move |k| (x[x.len() - 1 - k - back] - x[x.len() - 1 - k - back - period]).abs()).fold(0.0, f64::max)
    };
    let (before, now) = (change(period), change(0));
    let shrinks = (now / before.max(0.01 * scale)).max(FASTEST);
    shrinks < SLOWEST && now * shrinks < scale * (1.0 - shrinks)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cycles until a row of works is done with, and whether it settled, when a step is cut short in the cycles that `cut_short` says.
    fn heard(work: impl Fn(usize) -> f64, cut_short: impl Fn(usize) -> bool) -> (usize, bool) {
        let mut tell = Tell::default();
        while !tell.done {
            let cycle = tell.cycles() + 1;
            tell.hear(work(cycle), 1e-4, 0.1, 1.0, cut_short(cycle));
        }
        (tell.cycles(), tell.settled)
    }

    #[test]
    fn a_cycle_with_a_step_cut_short_is_not_settled() {
        let steady = |_| 100.0;
        assert_eq!(heard(steady, |_| false), (3, true));
        assert_eq!(heard(steady, |cycle| cycle < 3), (3, true), "what came before does not matter");
        assert_eq!(heard(steady, |cycle| cycle < 7), (7, true));
        assert_eq!(heard(steady, |_| true), (ENOUGH_CYCLES, false));
    }

    #[test]
    fn two_cycles_are_enough_where_the_point_before_closed_in_quickly() {
        let hear = |tell: &mut Tell, work: f64| tell.hear(work, 1e-4, 0.1, 1.0, false);
        let settled = |shrink: f64| {
            let mut tell = Tell::default();
            while !tell.done {
                let cycle = tell.cycles() as i32;
                hear(&mut tell, 100.0 * (1.0 + 0.05 * shrink.powi(cycle)));
            }
            assert!(tell.settled);
            tell.next()
        };
        let mut quick = settled(0.3);
        hear(&mut quick, 90.0);
        hear(&mut quick, 90.0 * (1.0 + 0.2 * SETTLED));
        assert!(quick.settled && quick.cycles() == 2);
        // Far from where it will be.
        let mut far = settled(0.3);
        hear(&mut far, 90.0);
        hear(&mut far, 91.0);
        assert!(!far.settled);
        // What shrank slowly before may be a long way off although it hardly moves.
        let mut slow = settled(0.95);
        hear(&mut slow, 90.0);
        hear(&mut slow, 90.0 * (1.0 + 0.2 * SETTLED));
        assert!(!slow.settled);
        // Nothing is believed of a point that did not settle.
        let mut unknown = Tell::default();
        hear(&mut unknown, 90.0);
        hear(&mut unknown, 90.0);
        assert!(!unknown.settled);
    }

    #[test]
    fn a_period_with_a_step_cut_short_is_not_settled() {
        // Up and down by less than SETTLED, without coming nearer: settled as a period of two.
        let two = |cycle: usize| 100.0 * (1.0 + 0.8 * SETTLED * (cycle % 2) as f64);
        assert_eq!(heard(two, |_| false), (6, true));
        assert_eq!(heard(two, |cycle| cycle % 2 == 0), (ENOUGH_CYCLES, false));
    }
}
