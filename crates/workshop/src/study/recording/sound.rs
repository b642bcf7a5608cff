//! Speed from the sound of the exhaust.

use super::pace::{self, By, Pace, Point};
use crate::machine::{Machine, Strokes};
use physics::recording::exhaust::{ExhaustEar, Sounding};
use std::f64::consts::TAU;

/// Why a sound says nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NotTold {
    /// Shorter than a second or two.
    TooShort {
        /// Length [s].
        seconds: f64,
    },
    /// Silence.
    Silent,
    /// The rate is too low, or the engine's speeds leave nothing to look for.
    CannotLook,
    /// No speed goes with the sound for long enough.
    NoEngine {
        /// Share of the time that is trusted \[1\].
        trusted: f64,
    },
}

/// What a sound says.
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    /// Samples a second [Hz].
    pub rate_hz: f64,
    /// Length [s].
    pub seconds: f64,
    /// The course of the speed and what it says.
    pub pace: Pace,
    /// Mean of how well the sound goes with the speed, at most 1, and of the lead over any other speed.
    pub fit: f64,
    /// See `fit`.
    pub lead: f64,
    /// Stretches of time that are not trusted [s].
    pub doubtful_s: Vec<(f64, f64)>,
}

/// Least share of the time that must be trusted \[1\] (own choice).
const LEAST_TRUSTED: f64 = 0.25;
/// Speeds below kicking speed are not looked for; this is the least of all [rad/s] (common practice, no source): 400 rpm.
const LEAST_SPEED: f64 = 400.0 * TAU / 60.0;
/// Above the top speed in the file one listens this much further \[1\] (own choice).
const ABOVE_TOP: f64 = 1.05;

/// Hears one channel.
#[derive(Clone, Debug)]
pub struct SoundListener {
    rate_hz: f64,
    frames: u64,
    greatest: f32,
    ear: Option<ExhaustEar>,
}

impl SoundListener {
    /// For this engine and so many samples a second.
    pub fn new(rate_hz: f64, machine: &Machine) -> Self {
        let cycle = if machine.engine.strokes == Strokes::Four { 2.0 } else { 1.0 };
        let fires = machine.engine.cylinders.iter().map(|c| (c.fires_at.si / (TAU * cycle)).rem_euclid(1.0)).collect();
        let idle = machine.idle.as_ref().map_or(f64::INFINITY, |i| 0.5 * i.speed.si);
        let least = LEAST_SPEED.min(idle).max(20.0);
        let engine = Sounding { fires, turns: cycle, speeds_rad_s: (least, ABOVE_TOP * machine.engine.top_speed.si) };
        Self { rate_hz, frames: 0, greatest: 0.0, ear: ExhaustEar::new(rate_hz, &engine) }
    }

    /// One more block.
    pub fn push(&mut self, samples: &[f32]) {
        self.frames += samples.len() as u64;
        self.greatest = samples.iter().filter(|x| x.is_finite()).fold(self.greatest, |m, x| m.max(x.abs()));
        if let Some(ear) = &mut self.ear {
            ear.push(samples);
        }
    }

    /// The study.
    ///
    /// # Errors
    /// [`NotTold`].
    pub fn finish(self) -> Result<Sound, NotTold> {
        let seconds = self.frames as f64 / self.rate_hz;
        let ear = self.ear.ok_or(NotTold::CannotLook)?;
        if self.greatest == 0.0 {
            return Err(NotTold::Silent);
        }
        let moments = ear.finish();
        if moments.len() < 20 {
            return Err(NotTold::TooShort { seconds });
        }
        let n = moments.len() as f64;
        let trusted = moments.iter().filter(|m| m.trusted).count() as f64 / n;
        if trusted < LEAST_TRUSTED {
            return Err(NotTold::NoEngine { trusted });
        }
        let points: Vec<Point> =
            moments.iter().map(|m| Point { at_s: m.at_s, speed_rad_s: m.speed_rad_s, trusted: m.trusted }).collect();
        let of_trusted = |of: fn(&physics::recording::exhaust::Moment) -> f32| {
            moments.iter().filter(|m| m.trusted).map(|m| f64::from(of(m))).sum::<f64>() / (trusted * n)
        };
        let mut doubtful_s: Vec<(f64, f64)> = Vec::new();
        for pair in moments.windows(2).filter(|w| !w[1].trusted) {
            match doubtful_s.last_mut() {
                Some(last) if last.1 == pair[0].at_s => last.1 = pair[1].at_s,
                _ => doubtful_s.push((pair[0].at_s, pair[1].at_s)),
            }
        }
        Ok(Sound {
            rate_hz: self.rate_hz,
            seconds,
            pace: pace::of(&points, None, By::Sound),
            fit: of_trusted(|m| m.fit),
            lead: of_trusted(|m| m.lead),
            doubtful_s,
        })
    }
}
