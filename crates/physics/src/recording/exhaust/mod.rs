//! Engine speed from the sound of the exhaust.
//!
//! A sound is held against itself a little later, for all lags at once. At the right speed likeness is high where firings are apart by the
//! lag, and low between. While the speed changes, time is bent until it does not, at a few rates. The firing order, even or not, says which lags these are, so that half and twice the speed do not pass; a course
//! through all moments does the rest.

mod bend;
mod front;
mod likeness;
mod path;
mod row;

use bend::Bend;
use front::Front;
use likeness::{Order, STEP, Summed};
use path::{Course, FASTEST, NEAR, SMOOTH, Told, smoothed, top};
use row::Row;

/// Time from one moment to the next [s] (own choice).
const MOMENT_S: f64 = 0.025;
/// A moment is trusted from this fit and this lead over any other speed on \[1\] (own choice), on the mean of the moments around it.
const TRUSTED_FIT: f32 = 0.35;
const TRUSTED_LEAD: f32 = 0.03;
/// Moments to either side in that mean [1] (own choice): a quarter of a second in all.
const TRUST_AROUND: usize = 5;

/// Most that the rate of the speed's logarithm may change around a trusted moment, times the longest way from firing to firing \[1\] (own choice). How the speed
/// goes between two firings no sound tells; a straight line there is off by up to a quarter of this where the rate changes at once.
const TRUSTED_CHANGE: f64 = 0.1;

/// Rates at which the speed's logarithm may change around a moment, beside none [1/s] (own choice): a blip goes up by 1 to 4, falls by 0.5 to 2.
const RATES: [f64; 6] = [-3.0, -1.5, -0.7, 0.7, 1.5, 3.0];
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
    /// By how much that is more than for any other speed.
    pub lead: f32,
    /// Whether it is trusted.
    pub trusted: bool,
}

/// Hears one channel of exhaust sound. Holds a second of it and what is said of the last twenty; moments that are settled wait until they are taken.
///
/// Likeness is the correlation coefficient of a stretch with the same some lag later, of the wave below 2 kHz and of its loudness, with a
/// stretch in proportion to the lag (autocorrelation: Rabiner, IEEE Trans. ASSP 25 (1977) 24–33; that the order of firing is the pattern to
/// be met is own construction). Speeds and lags stand on one logarithmic axis, so one pattern serves all speeds.
#[derive(Clone, Debug)]
pub struct ExhaustEar {
    slow_hz: f64,
    front: Front,
    wave: Summed,
    loud: Summed,
    order: Order,
    course: Course,
    turns: f64,
    /// Slow samples that were forgotten, and the next moment counted from the first one.
    forgotten: u64,
    moments: u64,
    /// The slow signals back to the first moment whose course is not settled, and how many samples before them are gone.
    past: [Vec<f32>; 2],
    gone: u64,
    /// The course as it is settled; the same with each speed measured anew; the same smoothed, with how well it goes and its lead.
    settled: Row<Told>,
    measured: Row<Told>,
    smooth: Row<Told>,
    ready: Vec<Moment>,
    longest_gap: f64,
    fits: Vec<(f32, f32)>,
    bends: Vec<Bend>,
    /// The stretch around a moment, bent, and how well every speed goes with it.
    bent: [Summed; 2],
    bent_fits: Vec<(f32, f32)>,
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
        let course = Course::new(order.speeds, MOMENT_S);
        let bends = RATES.map(|rate| Bend::new(order.reach(), rate / slow_hz)).to_vec();
        Some(Self {
            slow_hz,
            front,
            wave: Summed::new(),
            loud: Summed::new(),
            order,
            course,
            turns: engine.turns,
            forgotten: 0,
            moments: 0,
            past: [Vec::new(), Vec::new()],
            gone: 0,
            settled: Row::new(SMOOTH),
            measured: Row::new(SMOOTH),
            smooth: Row::new(TRUST_AROUND + 1),
            ready: Vec::new(),
            longest_gap: longest_gap(&engine.fires),
            fits: Vec::new(),
            bends,
            bent: [Summed::new(), Summed::new()],
            bent_fits: Vec::new(),
        })
    }

    /// Feeds samples in.
    pub fn push(&mut self, samples: &[f32]) {
        for piece in samples.chunks(PIECE) {
            let had = self.wave.samples.len();
            self.front.push(piece, &mut self.wave.samples, &mut self.loud.samples);
            self.past[0].extend(&self.wave.samples[had..]);
            self.past[1].extend(&self.loud.samples[had..]);
            self.wave.sum();
            self.loud.sum();
            self.look();
        }
    }

    /// The slow sample in the middle of a moment.
    fn middle(&self, moment: u64) -> u64 {
        (self.order.reach() as f64 + moment as f64 * MOMENT_S * self.slow_hz) as u64
    }

    fn look(&mut self) {
        let reach = self.order.reach();
        loop {
            let at = (self.middle(self.moments) - self.forgotten) as usize;
            if at + reach > self.wave.samples.len() {
                break;
            }
            self.order.held_against(&[&self.wave, &self.loud], at, 0..self.order.speeds, &mut self.fits);
            self.bend(at);
            self.course.push(&self.fits);
            self.moments += 1;
        }
        let settled = self.course.settled();
        self.tell(settled, false);
        let at = (self.middle(self.moments) - self.forgotten) as usize;
        let drop = at.saturating_sub(reach).min(self.wave.samples.len());
        if drop > FORGET_AT {
            self.wave.forget(drop);
            self.loud.forget(drop);
            self.forgotten += drop as u64;
        }
    }

    /// The same with the speed rising and falling at some rates; for each speed the best of them counts, less what a bend costs.
    fn bend(&mut self, at: usize) {
        let reach = self.order.reach();
        for bend in &self.bends {
            bend.apply(&self.wave.samples[at - reach..], &mut self.bent[0]);
            bend.apply(&self.loud.samples[at - reach..], &mut self.bent[1]);
            let [wave, loud] = &self.bent;
            self.order.held_against(&[wave, loud], reach, 0..self.order.speeds, &mut self.bent_fits);
            for (fit, bent) in self.fits.iter_mut().zip(&self.bent_fits) {
                if bent.0 - BEND_COSTS > fit.0 {
                    *fit = (bent.0 - BEND_COSTS, bent.1);
                }
            }
        }
    }

    /// Moments that were settled and not taken yet; each comes once.
    pub fn moments(&mut self) -> Vec<Moment> {
        std::mem::take(&mut self.ready)
    }

    /// The moments that were not taken yet, to the end; none where the sound is shorter than a moment can be told from.
    pub fn finish(mut self) -> Vec<Moment> {
        let rest = self.course.rest();
        self.tell(rest, true);
        self.ready
    }

    /// Makes moments of the course as far as it is known around them.
    fn tell(&mut self, more: Vec<Told>, all: bool) {
        more.into_iter().for_each(|t| self.settled.push(t));
        let ready = self.settled.ready(all);
        for (k, i) in ready.clone().enumerate() {
            let moment = self.settled.count() + k as u64;
            let (step, change) = smoothed(self.settled.items(), i);
            let measured = self.measure(moment, self.settled.items()[i], step, change);
            self.measured.push(measured);
        }
        self.settled.worked_off(ready.end);
        let needed = self.middle(self.settled.count()) - self.order.reach() as u64;
        let drop = (needed.saturating_sub(self.gone) as usize).min(self.past[0].len());
        for past in &mut self.past {
            past.drain(..drop);
        }
        self.gone += drop as u64;

        let ready = self.measured.ready(all);
        for i in ready.clone() {
            let step = smoothed(self.measured.items(), i).0;
            self.smooth.push(Told { step, ..self.measured.items()[i] });
        }
        self.measured.worked_off(ready.end);

        let ready = self.smooth.ready(all);
        for (k, i) in ready.clone().enumerate() {
            let told = self.smooth.items()[i];
            let cycle = self.order.cycle(told.step);
            self.ready.push(Moment {
                at_s: self.order.reach() as f64 / self.slow_hz + (self.smooth.count() + k as u64) as f64 * MOMENT_S,
                speed_rad_s: std::f64::consts::TAU * self.turns * self.slow_hz / cycle,
                fit: told.fit,
                lead: told.lead,
                trusted: self.trusted(self.smooth.near(i), cycle / self.slow_hz),
            });
        }
        self.smooth.worked_off(ready.end);
    }

    /// The speed at a moment by a stretch that is bent as the course is there.
    fn measure(&mut self, moment: u64, told: Told, step: f64, change: f64) -> Told {
        let reach = self.order.reach();
        let first = (self.middle(moment) - reach as u64 - self.gone) as usize;
        // A longer cycle is a slower engine.
        let rate = (-change * STEP / MOMENT_S).clamp(-FASTEST, FASTEST) / self.slow_hz;
        let bend = Bend::new(reach, rate);
        for (past, bent) in self.past.iter().zip(&mut self.bent) {
            bend.apply(&past[first..], bent);
        }
        let [wave, loud] = &self.bent;
        let at = step.round().clamp(0.0, (self.order.speeds - 1) as f64) as usize;
        let near = at.saturating_sub(NEAR)..(at + NEAR + 1).min(self.order.speeds);
        self.order.held_against(&[wave, loud], reach, near.clone(), &mut self.bent_fits);
        let fits = &self.bent_fits;
        match top(0..fits.len(), |i| fits[i].0) {
            Some(top) => Told { step: near.start as f64 + top, fit: fits[top.round() as usize].0, lead: told.lead },
            None => told,
        }
    }

    /// Whether a moment is trusted, with those around it, where a cycle takes so long [s].
    fn trusted(&self, near: &[Told], cycle_s: f64) -> bool {
        let mean = |of: fn(&Told) -> f32| near.iter().map(of).sum::<f32>() / near.len() as f32;
        let rates = near.windows(2).map(|w| (w[1].step - w[0].step) * STEP / MOMENT_S);
        let (least, most) = rates.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), r| (l.min(r), m.max(r)));
        let turns_off = (most - least) * self.longest_gap * cycle_s;
        mean(|t| t.fit) >= TRUSTED_FIT && mean(|t| t.lead) >= TRUSTED_LEAD && turns_off <= TRUSTED_CHANGE
    }

    /// Values of all kinds that are held.
    pub fn held(&self) -> usize {
        let rows = self.settled.items().len() + self.measured.items().len() + self.smooth.items().len();
        2 * (self.wave.samples.len() + self.past[0].len()) + self.course.held() + rows + self.ready.len()
    }
}

/// Longest way from one firing to the next as a share of the cycle \[1\].
fn longest_gap(fires: &[f64]) -> f64 {
    let to_next = |a: &f64| fires.iter().map(|b| (b - a).rem_euclid(1.0)).filter(|d| *d > 1e-6).fold(1.0, f64::min);
    fires.iter().map(to_next).fold(0.0, f64::max)
}

/// Samples that are taken in one go [1] (own choice), and slow ones that are dropped in one go.
const PIECE: usize = 8192;
const FORGET_AT: usize = 8192;
