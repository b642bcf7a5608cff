//! Recordings made of a machine file's engine, with chosen faults, to learn and to test by.
//!
//! Nothing here is shared with what hears recordings ([`crate::study::recording`], `physics::recording`): events are written down from the
//! course of the speed and the law, and drawn block by block.

mod course;
mod exhaust;
mod ignition;

pub use course::{Course, Run};

use crate::{machine::Machine, sampling::SplitMix64, sampling::normal_quantile, study::curve};
use physics::law::Law;
use std::f64::consts::TAU;

/// What is wished for.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// Samples a second [Hz].
    pub rate_hz: f64,
    /// Length [s].
    pub seconds: f64,
    /// How the speed goes.
    pub run: Run,
    /// Greatest speed of a sweep or blip [rad/s]; `None`: the machine's own, no more than 6000 rpm.
    pub fastest_rad_s: Option<f64>,
    /// How fast a sweep changes [rad/s²].
    pub sweep_rad_s2: f64,
    /// The sound of the exhaust in one channel, instead of trigger and spark in two.
    pub exhaust: bool,
    /// A mark at top dead centre instead of the pickup.
    pub mark: bool,
    /// What is wrong with it.
    pub faults: Faults,
    /// Chance.
    pub seed: u64,
}

/// What is wrong with a recording.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Faults {
    /// Height of mains hum of 50 Hz against the pulses \[1\].
    pub hum: f64,
    /// Pulse height to noise [dB]; for the exhaust its root mean square to that of the noise.
    pub noise_db: Option<f64>,
    /// Drift of the line over the recording against the pulses \[1\].
    pub drift: f64,
    /// Clipped at this share of the pulses' height \[1\].
    pub clip: Option<f64>,
    /// Trigger upside down.
    pub inverted: bool,
    /// Channels changed over.
    pub swapped: bool,
    /// Share of firings without a spark \[1\].
    pub missing: f64,
    /// Share of firings with a second spark a millisecond later \[1\].
    pub double: f64,
    /// Stray sparks for each firing \[1\].
    pub stray: f64,
    /// Sparks in every firing below 1500 rpm; 1 = one.
    pub sparks: u8,
    /// Every second spark is a waste one, and weaker.
    pub waste: bool,
}

/// What a made event is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event {
    /// A firing.
    Fires,
    /// A firing without a spark.
    Missing,
    /// A spark where none belongs.
    Stray,
}

/// One event, as it was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Truth {
    /// When [s].
    pub at_s: f64,
    /// What.
    pub event: Event,
    /// Cylinder by index.
    pub cylinder: usize,
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Advance [rad].
    pub advance_rad: f64,
}

/// Why nothing is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotMade {
    /// The machine file gives no curve.
    NoCurve,
    /// Rate, length or speeds make no recording.
    Impossible,
}

/// A recording that is being made.
#[derive(Debug)]
pub struct Maker {
    course: Course,
    wish: Wish,
    truth: Vec<Truth>,
    drawn: Drawn,
    done: u64,
    random: SplitMix64,
}

#[derive(Debug)]
enum Drawn {
    Ignition(ignition::Ignition),
    Exhaust(exhaust::Exhaust),
}

/// Least and greatest rate [Hz] and greatest length [s] that are made (own choice).
const RATES_HZ: (f64, f64) = (8_000.0, 384_000.0);
const LONGEST_S: f64 = 36_000.0;

impl Maker {
    /// Lays out a recording of a machine.
    ///
    /// # Errors
    /// [`NotMade`].
    pub fn new(machine: &Machine, wish: &Wish) -> Result<Self, NotMade> {
        let usable = (RATES_HZ.0..=RATES_HZ.1).contains(&wish.rate_hz) && wish.seconds > 0.2 && wish.seconds <= LONGEST_S;
        if !usable {
            return Err(NotMade::Impossible);
        }
        let mut random = SplitMix64::new(wish.seed);
        let course = Course::of(machine, wish, &mut random).ok_or(NotMade::Impossible)?;
        let laws: Vec<Law> = if wish.exhaust {
            Vec::new()
        } else {
            curve::study(machine).map_err(|_| NotMade::NoCurve)?.cylinders.into_iter().map(|c| c.law).collect()
        };
        let (drawn, truth) = if wish.exhaust {
            (Drawn::Exhaust(exhaust::Exhaust::new(machine, wish, &course, &mut random)), Vec::new())
        } else {
            let (ignition, truth) =
                ignition::Ignition::new(machine, wish, &course, &laws, &mut random).ok_or(NotMade::Impossible)?;
            (Drawn::Ignition(ignition), truth)
        };
        Ok(Self { course, wish: wish.clone(), truth, drawn, done: 0, random })
    }

    /// Channels.
    pub fn channels(&self) -> usize {
        if self.wish.exhaust { 1 } else { 2 }
    }

    /// Frames in all.
    pub fn frames(&self) -> u64 {
        (self.wish.seconds * self.wish.rate_hz) as u64
    }

    /// What was made, in order of time; firings of the cylinder whose lead is recorded.
    pub fn truth(&self) -> &[Truth] {
        &self.truth
    }

    /// The true crank speed [rad/s].
    pub fn speed_rad_s(&self, at_s: f64) -> f64 {
        self.course.speed(at_s)
    }

    /// The next block, one vector for each channel; `None` at the end.
    pub fn next_block(&mut self) -> Option<Vec<Vec<f32>>> {
        /// Frames in a block [1] (own choice).
        const BLOCK: u64 = 16_384;
        let n = BLOCK.min(self.frames() - self.done) as usize;
        if n == 0 {
            return None;
        }
        let first = self.done;
        self.done += n as u64;
        let mut channels = match &mut self.drawn {
            Drawn::Ignition(i) => i.draw(first, n, self.wish.rate_hz, &mut self.random),
            Drawn::Exhaust(e) => vec![e.draw(first, n, self.wish.rate_hz, &mut self.random)],
        };
        let heights = match &self.drawn {
            Drawn::Ignition(i) => vec![i.trigger_height(), ignition::SPARK],
            Drawn::Exhaust(e) => vec![e.rms()],
        };
        for (channel, height) in channels.iter_mut().zip(heights) {
            self.spoil(channel, first, height);
        }
        if self.wish.faults.inverted && !self.wish.exhaust {
            channels[0].iter_mut().for_each(|x| *x = -*x);
        }
        if self.wish.faults.swapped && !self.wish.exhaust {
            channels.swap(0, 1);
        }
        Some(channels.into_iter().map(|c| c.into_iter().map(|x| x as f32).collect()).collect())
    }

    /// Hum, drift, noise, clipping.
    fn spoil(&mut self, channel: &mut [f64], first: u64, height: f64) {
        let f = self.wish.faults;
        let noise = f.noise_db.map_or(0.0, |db| height * 10f64.powf(-db / 20.0));
        for (i, x) in channel.iter_mut().enumerate() {
            let t = (first + i as u64) as f64 / self.wish.rate_hz;
            if f.hum > 0.0 {
                // 50 Hz by IEC 60038, a little off, with a third harmonic.
                *x += f.hum * height * ((TAU * 50.02 * t).sin() + 0.25 * (3.0 * TAU * 50.02 * t + 0.7).sin());
            }
            *x += f.drift * height * t / self.wish.seconds;
            if noise > 0.0 {
                *x += noise * normal_quantile(self.random.unit());
            }
            if let Some(share) = f.clip {
                *x = x.clamp(-share * height, share * height);
            }
            *x = x.clamp(-1.0, 1.0);
        }
    }
}
