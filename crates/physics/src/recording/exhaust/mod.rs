//! Engine speed from the sound of the exhaust.
//!
//! A sound is held against itself a little later, for all lags at once. At the right speed likeness is high where firings are apart by the
//! lag, and low between. While the speed changes, time is bent until it does not, at a few rates. The firing order, even or not, says which lags these are, so that half and twice the speed do not pass, and a course goes
//! through all moments. Then every firing is looked for again one cycle later, and the course made exact by that.

mod banded;
mod bend;
mod front;
mod halved;
mod likeness;
mod path;
mod refine;
mod row;

use front::Front;
use halved::{Bends, Halved};
use likeness::{Order, STEP};
use path::{Course, SMOOTH, Told, smoothed};
use rayon::prelude::*;
use refine::Refine;
use row::Row;
use std::ops::Range;

/// Time from one moment to the next [s] (own choice), and to the next at which all speeds are looked at.
const MOMENT_S: f64 = 0.025;
const LOOK_S: f64 = 2.0 * MOMENT_S;
/// Looks that are taken at once, on all cores [1] (own choice).
const LOOKS: u64 = 16;
/// Moments that are made exact in one go, and how many to either side go into it [1] (own choice): five seconds and one.
const EXACT: usize = 200;
const BESIDE: usize = 40;
/// A moment is trusted from this fit, this lead over any other course, and this share of the sound found again where the course has it \[1\] (own choice), each the
/// mean of the moments around it.
const TRUSTED_FIT: f32 = 0.35;
const TRUSTED_LEAD: f32 = 0.03;
const TRUSTED_BORNE: f32 = 0.7;
/// Moments to either side in that mean [1] (own choice): a quarter of a second in all.
const TRUST_AROUND: usize = 5;
/// Moments at the beginning that are not trusted [1] (own choice): half a second. Nothing before them says where the course comes from.
const TRUSTED_AFTER: u64 = 20;

/// Most that the rate of the speed's logarithm may change around a trusted moment, times the longest way from firing to firing \[1\] (own choice). How the speed
/// goes between two firings no sound tells; a straight line there is off by up to a quarter of this where the rate changes at once.
const TRUSTED_CHANGE: f64 = 0.2;

/// Rates at which the speed's logarithm may change around a moment, beside none [1/s] (own choice): a blip goes up by 1 to 4, falls by 0.5 to 2.
const RATES: [f64; 3] = [-1.0, 1.2, 2.8];
/// What such a change costs, where a perfect likeness counts 1 \[1\] (own choice): in noise, the best of several is better than one.
const BEND_COSTS: f32 = 0.05;

/// What the engine is.
#[derive(Clone, Debug)]
pub struct Sounding {
    /// When each cylinder fires, as a share of the cycle \[1\].
    pub fires: Vec<f64>,
    /// Turns of the crank in a cycle: 2 for a four-stroke, 1 for a two-stroke.
    pub turns: f64,
    /// Least and greatest crank speed that is looked for [rad/s].
    pub speeds_rad_s: (f64, f64),
}

/// The speed at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// When [s].
    pub at_s: f64,
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// How well the sound goes with it, at most 1.
    pub fit: f32,
    /// By how much that is more, with the moments around, than for any other course of that shape.
    pub lead: f32,
    /// Whether it is trusted.
    pub trusted: bool,
}

/// Hears one channel of exhaust sound. Holds what is said of the last half minute; moments that are settled wait until they are taken.
///
/// Likeness is the correlation coefficient of a stretch with the same some lag later, of the wave below 2 kHz and of its loudness, with a
/// stretch in proportion to the lag (autocorrelation: Rabiner, IEEE Trans. ASSP 25 (1977) 24–33; that the order of firing is the pattern to
/// be met is own construction). Speeds and lags stand on one logarithmic axis, so one pattern serves all speeds.
#[derive(Clone, Debug)]
pub struct ExhaustEar {
    slow_hz: f64,
    front: Front,
    sound: Halved,
    order: Order,
    bends: Vec<Bends>,
    course: Course,
    turns: f64,
    /// Slow samples that were forgotten, and looks that were taken.
    forgotten: u64,
    looks: u64,
    /// Wave and loudness back to the first moment that is not exact, and how many samples before them are gone.
    past: [Vec<f32>; 2],
    gone: u64,
    /// The course as it is settled, look by look; the same moment by moment, and made exact.
    settled: Row<Told>,
    last: Option<Told>,
    rough: Row<Told>,
    refine: Refine,
    exact: Row<Told>,
    ready: Vec<Moment>,
    longest_gap: f64,
}

impl ExhaustEar {
    /// For a channel of so many samples a second. `None` without cylinders, or where no speeds are left to look for.
    pub fn new(rate_hz: f64, engine: &Sounding) -> Option<Self> {
        let (least, most) = engine.speeds_rad_s;
        let usable = !engine.fires.is_empty() && least > 0.0 && most > 1.05 * least && most.is_finite() && rate_hz >= 2000.0;
        if !usable {
            return None;
        }
        let front = Front::new(rate_hz);
        let slow_hz = rate_hz / front.every() as f64;
        let cycle = |speed: f64| std::f64::consts::TAU * engine.turns / speed * slow_hz;
        let order = Order::new(&engine.fires, cycle(most), cycle(least), slow_hz);
        let bends = RATES.map(|rate| Bends::new(&order, rate / slow_hz)).to_vec();
        Some(Self {
            slow_hz,
            front,
            sound: Halved::new(),
            course: Course::new(order.speeds, LOOK_S),
            order,
            bends,
            turns: engine.turns,
            forgotten: 0,
            looks: 0,
            past: [Vec::new(), Vec::new()],
            gone: 0,
            settled: Row::new(SMOOTH),
            last: None,
            rough: Row::new(BESIDE),
            refine: Refine::new(&engine.fires, MOMENT_S * slow_hz, slow_hz),
            exact: Row::new(TRUST_AROUND + 1),
            ready: Vec::new(),
            longest_gap: longest_gap(&engine.fires),
        })
    }

    /// Feeds samples in.
    pub fn push(&mut self, samples: &[f32]) {
        for piece in samples.chunks(PIECE) {
            let had = self.sound.len();
            let [wave, loud] = self.sound.signals();
            self.front.push(piece, &mut wave.samples, &mut loud.samples);
            self.past[0].extend(&wave.samples[had..]);
            self.past[1].extend(&loud.samples[had..]);
            self.sound.follow();
            self.look(LOOKS);
        }
    }

    /// The slow sample at a look.
    fn middle(&self, look: u64) -> u64 {
        (self.order.reach() as f64 + look as f64 * LOOK_S * self.slow_hz) as u64
    }

    /// Takes the looks for which there is sound, once there are so many.
    fn look(&mut self, least: u64) {
        let reach = self.order.reach();
        let heard = self.forgotten + self.sound.len() as u64;
        let ready = (self.looks..).take_while(|look| self.middle(*look) + reach as u64 <= heard).count() as u64;
        if ready < least {
            return;
        }
        let at: Vec<usize> = (self.looks..self.looks + ready).map(|look| (self.middle(look) - self.forgotten) as usize).collect();
        let fits: Vec<Vec<f32>> = at.par_iter().map(|at| self.sound.fits(&self.order, &self.bends, *at, BEND_COSTS)).collect();
        fits.iter().for_each(|fits| self.course.push(fits));
        self.looks += ready;
        let settled = self.course.settled();
        self.tell(settled, false);
        let at = (self.middle(self.looks) - self.forgotten) as usize;
        self.forgotten += self.sound.forget(at.saturating_sub(reach).min(self.sound.len())) as u64;
    }

    /// Moments that were settled and not taken yet; each comes once.
    pub fn moments(&mut self) -> Vec<Moment> {
        std::mem::take(&mut self.ready)
    }

    /// The moments that were not taken yet, to the end; none where the sound is shorter than a moment can be told from.
    pub fn finish(mut self) -> Vec<Moment> {
        self.look(1);
        let rest = self.course.rest();
        self.tell(rest, true);
        self.ready
    }

    /// Makes moments of the course as far as it is known around them.
    fn tell(&mut self, more: Vec<Told>, all: bool) {
        more.into_iter().for_each(|t| self.settled.push(t));
        let ready = self.settled.ready(all);
        for i in ready.clone() {
            let told = Told { step: smoothed(self.settled.items(), i), ..self.settled.items()[i] };
            if let Some(last) = self.last.replace(told) {
                let between = Told {
                    step: 0.5 * (last.step + told.step),
                    fit: 0.5 * (last.fit + told.fit),
                    lead: 0.5 * (last.lead + told.lead),
                    ..told
                };
                self.rough.push(between);
            }
            self.rough.push(told);
        }
        self.settled.worked_off(ready.end);

        let mut ready = self.rough.ready(all);
        while ready.len() >= if all { 1 } else { EXACT } {
            ready = ready.start..ready.end.min(ready.start + EXACT);
            self.make_exact(ready.clone());
            self.rough.worked_off(ready.end);
            ready = self.rough.ready(all);
        }

        let ready = self.exact.ready(all);
        for (k, i) in ready.clone().enumerate() {
            let told = self.exact.items()[i];
            let cycle = self.order.cycle(told.step);
            let moment = self.exact.count() + k as u64;
            self.ready.push(Moment {
                at_s: self.order.reach() as f64 / self.slow_hz + moment as f64 * MOMENT_S,
                speed_rad_s: std::f64::consts::TAU * self.turns * self.slow_hz / cycle,
                fit: told.fit,
                lead: told.lead,
                trusted: moment >= TRUSTED_AFTER && self.trusted(self.exact.near(i), cycle / self.slow_hz),
            });
        }
        self.exact.worked_off(ready.end);
    }

    /// Makes moments of the course exact, with those beside them.
    fn make_exact(&mut self, which: Range<usize>) {
        let first = which.start.saturating_sub(BESIDE);
        let held = &self.rough.items()[first..(which.end + BESIDE).min(self.rough.items().len())];
        let mut course: Vec<f64> = held.iter().map(|t| -self.order.cycle(t.step).ln()).collect();
        let moment = self.rough.count() - (which.start - first) as u64;
        let middle = self.order.reach() as f64 + moment as f64 * MOMENT_S * self.slow_hz;
        let [wave, loud] = &self.past;
        let borne = self.refine.course([wave, loud], middle - self.gone as f64, &mut course);
        let exact = held.iter().zip(course.iter().zip(borne)).map(|(told, (x, borne))| Told {
            step: self.order.step((-x).exp()),
            borne,
            ..*told
        });
        exact.skip(which.start - first).take(which.len()).for_each(|told| self.exact.push(told));
        // The next ones begin so far before these end.
        let needed =
            middle + (which.end - first).saturating_sub(BESIDE) as f64 * MOMENT_S * self.slow_hz - self.order.reach() as f64;
        let drop = (needed.max(0.0) as u64).saturating_sub(self.gone).min(self.past[0].len() as u64);
        for past in &mut self.past {
            past.drain(..drop as usize);
        }
        self.gone += drop;
    }

    /// Whether a moment is trusted, with those around it, where a cycle takes so long [s].
    fn trusted(&self, near: &[Told], cycle_s: f64) -> bool {
        let mean = |of: fn(&Told) -> f32| near.iter().map(of).sum::<f32>() / near.len() as f32;
        let rates = near.windows(2).map(|w| (w[1].step - w[0].step) * STEP / MOMENT_S);
        let (least, most) = rates.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), r| (l.min(r), m.max(r)));
        let turns_off = (most - least) * self.longest_gap * cycle_s;
        mean(|t| t.fit) >= TRUSTED_FIT
            && mean(|t| t.lead) >= TRUSTED_LEAD
            && mean(|t| t.borne) >= TRUSTED_BORNE
            && turns_off <= TRUSTED_CHANGE
    }

    /// Values of all kinds that are held.
    pub fn held(&self) -> usize {
        let rows = self.settled.items().len() + self.rough.items().len() + self.exact.items().len();
        2 * (2 * self.sound.len() + self.past[0].len()) + self.course.held() + rows + self.ready.len()
    }
}

/// Longest way from one firing to the next as a share of the cycle \[1\].
fn longest_gap(fires: &[f64]) -> f64 {
    let to_next = |a: &f64| fires.iter().map(|b| (b - a).rem_euclid(1.0)).filter(|d| *d > 1e-6).fold(1.0, f64::min);
    fires.iter().map(to_next).fold(0.0, f64::max)
}

/// Samples that are taken in one go [1] (own choice).
const PIECE: usize = 65_536;
