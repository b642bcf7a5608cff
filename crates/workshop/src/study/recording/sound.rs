//! Speed from the sound of the exhaust.

use super::{
    SILENT,
    pace::{self, By, Pace, Point},
    turns::Course,
};
use crate::machine::{Machine, Strokes};
use physics::recording::exhaust::{ExhaustEar, Moment, Sounding};
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

/// Moments that make a course [1] (own choice): half a second.
const LEAST_MOMENTS: usize = 20;

/// Hears one channel. What is held does not grow with the recording: the ear holds some seconds, and the course of a long one is kept in cells of time.
#[derive(Clone, Debug)]
pub struct SoundListener {
    rate_hz: f64,
    frames: u64,
    greatest: f32,
    ear: Option<ExhaustEar>,
    told: Told,
}

/// Moments, folded.
#[derive(Clone, Debug, Default)]
struct Told {
    course: Course,
    moments: usize,
    trusted: usize,
    /// Sums over those that are trusted.
    fit: f64,
    lead: f64,
}

impl Told {
    fn add(&mut self, m: &Moment) {
        self.course.push(Point { at_s: m.at_s, speed_rad_s: m.speed_rad_s, trusted: m.trusted });
        self.moments += 1;
        if m.trusted {
            self.trusted += 1;
            self.fit += f64::from(m.fit);
            self.lead += f64::from(m.lead);
        }
    }
}

impl SoundListener {
    /// For this engine and so many samples a second.
    pub fn new(rate_hz: f64, machine: &Machine) -> Self {
        let cycle = if machine.engine.strokes == Strokes::Four { 2.0 } else { 1.0 };
        let fires = machine.engine.cylinders.iter().map(|c| (c.fires_at.si / (TAU * cycle)).rem_euclid(1.0)).collect();
        let idle = machine.idle.as_ref().map_or(f64::INFINITY, |i| 0.5 * i.speed.si);
        let least = LEAST_SPEED.min(idle).max(20.0);
        let engine = Sounding { fires, turns: cycle, speeds_rad_s: (least, ABOVE_TOP * machine.engine.top_speed.si) };
        Self { rate_hz, frames: 0, greatest: 0.0, ear: ExhaustEar::new(rate_hz, &engine), told: Told::default() }
    }

    /// One more block.
    pub fn push(&mut self, samples: &[f32]) {
        self.frames += samples.len() as u64;
        self.greatest = samples.iter().filter(|x| x.is_finite()).fold(self.greatest, |m, x| m.max(x.abs()));
        if let Some(ear) = &mut self.ear {
            ear.push(samples);
            ear.moments().iter().for_each(|m| self.told.add(m));
        }
    }

    /// Samples, moments and what is said of them that are held.
    pub fn held(&self) -> usize {
        self.ear.as_ref().map_or(0, ExhaustEar::held) + self.told.course.points().len()
    }

    /// The study.
    ///
    /// # Errors
    /// [`NotTold`].
    pub fn finish(self) -> Result<Sound, NotTold> {
        let seconds = self.frames as f64 / self.rate_hz;
        let ear = self.ear.ok_or(NotTold::CannotLook)?;
        if self.greatest <= SILENT {
            return Err(NotTold::Silent);
        }
        let mut told = self.told;
        ear.finish().iter().for_each(|m| told.add(m));
        if told.moments < LEAST_MOMENTS {
            return Err(NotTold::TooShort { seconds });
        }
        let trusted = told.trusted as f64 / told.moments as f64;
        if trusted < LEAST_TRUSTED {
            return Err(NotTold::NoEngine { trusted });
        }
        let points = told.course.points();
        let mut doubtful_s: Vec<(f64, f64)> = Vec::new();
        for pair in points.windows(2).filter(|w| !w[1].trusted) {
            match doubtful_s.last_mut() {
                Some(last) if last.1 == pair[0].at_s => last.1 = pair[1].at_s,
                _ => doubtful_s.push((pair[0].at_s, pair[1].at_s)),
            }
        }
        Ok(Sound {
            rate_hz: self.rate_hz,
            seconds,
            pace: pace::of(points, None, By::Sound),
            fit: told.fit / told.trusted as f64,
            lead: told.lead / told.trusted as f64,
            doubtful_s,
        })
    }
}
