//! Engine speed from the sound of the exhaust.
//!
//! A sound is held against itself a little later, for all lags at once. At the right speed likeness is high where firings are apart by the
//! lag, and low between. While the speed changes, time is bent until it does not, at a few rates. The firing order, even or not, says which lags these are, so that half and twice the speed do not pass; a course
//! through all moments does the rest.

mod bend;
mod front;
mod likeness;
mod path;

use bend::Bend;
use front::Front;
use likeness::{Order, Summed};
use path::Course;

/// Time from one moment to the next [s] (own choice).
const MOMENT_S: f64 = 0.025;
/// A moment is trusted from this fit and this lead over any other speed on \[1\] (own choice), on the mean of the moments around it.
const TRUSTED_FIT: f32 = 0.35;
const TRUSTED_LEAD: f32 = 0.03;
/// Moments to either side in that mean [1] (own choice): a quarter of a second in all.
const TRUST_AROUND: usize = 5;

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

/// Hears one channel of exhaust sound. Holds a second of it, and some 25 kB for every second that was heard.
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
            fits: Vec::new(),
            bends,
            bent: [Summed::new(), Summed::new()],
            bent_fits: Vec::new(),
        })
    }

    /// Feeds samples in.
    pub fn push(&mut self, samples: &[f32]) {
        for piece in samples.chunks(PIECE) {
            self.front.push(piece, &mut self.wave.samples, &mut self.loud.samples);
            self.wave.sum();
            self.loud.sum();
            self.look();
        }
    }

    fn next_moment(&self) -> f64 {
        self.order.reach() as f64 + self.moments as f64 * MOMENT_S * self.slow_hz
    }

    fn look(&mut self) {
        let reach = self.order.reach();
        loop {
            let at = (self.next_moment() - self.forgotten as f64) as usize;
            if at + reach > self.wave.samples.len() {
                break;
            }
            self.order.held_against(&[&self.wave, &self.loud], at, &mut self.fits);
            self.bend(at);
            self.course.push(&self.fits);
            self.moments += 1;
        }
        let at = (self.next_moment() - self.forgotten as f64) as usize;
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
            bend.apply(&self.wave, at - reach, &mut self.bent[0]);
            bend.apply(&self.loud, at - reach, &mut self.bent[1]);
            let [wave, loud] = &self.bent;
            self.order.held_against(&[wave, loud], reach, &mut self.bent_fits);
            for (fit, bent) in self.fits.iter_mut().zip(&self.bent_fits) {
                if bent.0 - BEND_COSTS > fit.0 {
                    *fit = (bent.0 - BEND_COSTS, bent.1);
                }
            }
        }
    }

    /// The speed against time; empty where the sound is shorter than a moment can be told from.
    pub fn finish(self) -> Vec<Moment> {
        let course = self.course.trace();
        let around = |i: usize, of: fn(&(f64, f32, f32)) -> f32| {
            let near = &course[i.saturating_sub(TRUST_AROUND)..(i + TRUST_AROUND + 1).min(course.len())];
            near.iter().map(of).sum::<f32>() / near.len() as f32
        };
        let moment = |(i, (step, fit, lead)): (usize, &(f64, f32, f32))| Moment {
            at_s: (self.order.reach() as f64 / self.slow_hz) + i as f64 * MOMENT_S,
            speed_rad_s: std::f64::consts::TAU * self.turns * self.slow_hz / self.order.cycle(*step),
            fit: *fit,
            lead: *lead,
            trusted: around(i, |c| c.1) >= TRUSTED_FIT && around(i, |c| c.2) >= TRUSTED_LEAD,
        };
        course.iter().enumerate().map(moment).collect()
    }
}

/// Samples that are taken in one go [1] (own choice), and slow ones that are dropped in one go.
const PIECE: usize = 8192;
const FORGET_AT: usize = 8192;
