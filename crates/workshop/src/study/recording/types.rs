//! What is said of a recording, what is found in it, and why nothing is.

use super::{Edges, PlaceFound, PulsesFound, RolesFound, Row, pace::Pace};
use crate::study::{Finding, NotStudied, curve};
use physics::recording::{Firing, Level, Mark, NoMarks, Totals};

/// What is said of a recording beforehand; everything may be left open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Given {
    /// Channel of the trigger or mark, 0 or 1.
    pub trigger: Option<usize>,
    /// That channel holds a mark, not the pickup: the angle before top dead centre at which it passes [rad].
    pub mark_rad: Option<f64>,
    /// Which pickup of the machine file was recorded.
    pub pickup: usize,
    /// Volts of a sample of 1, where known.
    pub volts: Option<f64>,
}

/// Why a recording says nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NotHeard {
    /// Less than a second, or the rate too low [Hz].
    TooShort {
        /// Length [s].
        seconds: f64,
    },
    /// A channel is silent.
    Silent {
        /// Which, counted from 0.
        channel: usize,
    },
    /// A channel is no row of single pulses: more of them than any engine gives.
    Crowded {
        /// Which, counted from 0.
        channel: usize,
    },
    /// Which channel is which cannot be told.
    RolesNotTold,
    /// No turns in the trigger's channel.
    NoTurns {
        /// Which, counted from 0.
        channel: usize,
        /// Why.
        why: NoMarks,
    },
    /// Pulses come in pairs, but the machine file has no segment: where the mark stands must be said.
    MarkNotPlaced,
    /// The two pulses of a turn are this far apart on the crank [rad], and the segment in the file is that long: neither the segment nor one
    /// mark's head.
    OtherSegment {
        /// As recorded.
        recorded_rad: f64,
        /// As in the file.
        file_rad: f64,
    },
    /// No such pickup in the machine file.
    NoSuchPickup,
    /// Two pickups are wanted, and a channel shows one pulse a turn in place of a segment's two ends.
    NotASegment {
        /// Which, counted from 0.
        channel: usize,
    },
    /// Two pickups are wanted, and hardly any turns are in both channels.
    NotTogether {
        /// Turns that are.
        turns: usize,
    },
    /// Too few sparks within turns.
    NoSparks {
        /// Found in the channel.
        found: usize,
        /// Turns.
        turns: usize,
    },
    /// Sparks come at no steady place: fewer than half of them near any advance that the cylinders can have.
    NoPlace {
        /// Sparks near a firing place.
        near: usize,
        /// All of them.
        of: usize,
    },
}

/// What must be said beside the answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Caution {
    /// A channel is clipped: heights say nothing.
    Clipped {
        /// Which.
        channel: usize,
        /// Share of its samples \[1\].
        share: f64,
    },
    /// A channel's line moves by more than a quarter of the pulses: hum or drift.
    Wanders {
        /// Which.
        channel: usize,
        /// Least to greatest, as a share of the usual pulse \[1\].
        share: f64,
    },
    /// Noise is high against the pulses.
    Noisy {
        /// Which.
        channel: usize,
        /// Pulse height to noise [dB].
        db: f64,
    },
    /// Samples that were no numbers.
    NotNumbers {
        /// Which.
        channel: usize,
        /// How many.
        count: u64,
    },
    /// Turns could not be followed everywhere.
    TurnsMissing {
        /// Turns without a mark.
        turns: usize,
        /// Times that the row began anew.
        breaks: usize,
    },
    /// One mark in a turn: the unevenness within a turn is not seen, and moves a spark far from the mark by about its share of the angle.
    OneMark,
    /// The lead stands in the file and is not proved by this recording.
    LeadNotProved,
    /// The rate is so low that a sample is more than half a degree at the greatest speed recorded.
    CoarseRate {
        /// Crank angle of a sample [rad].
        sample_rad: f64,
    },
}

/// What one channel is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChannelFound {
    /// Its level.
    pub level: Level,
    /// Usual height of its pulses.
    pub height: f64,
}

impl ChannelFound {
    /// Height to noise [dB]; `None` without noise.
    pub fn db(&self) -> Option<f64> {
        (self.level.noise > 0.0 && self.height > 0.0).then(|| 20.0 * (self.height / self.level.noise).log10())
    }
}

/// What stands in the trigger's channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MarkFound {
    /// Both ends of the segment.
    Segment {
        /// Crank angle from one to the other [rad].
        arc: Finding,
        /// The leading end gives the upward pulse.
        leading_up: bool,
    },
    /// One mark.
    Mark {
        /// Whether it is a pair of pulses close together.
        pair: bool,
    },
}

/// Everything that was found.
#[derive(Clone, Debug)]
pub struct Recorded {
    /// Samples a second [Hz].
    pub rate_hz: f64,
    /// Length [s].
    pub seconds: f64,
    /// Both channels.
    pub channels: [ChannelFound; 2],
    /// Which is which.
    pub roles: RolesFound,
    /// What marks the turns.
    pub mark: MarkFound,
    /// Angle before the top of the first place at which the mark, or the middle of the segment, passes [rad], with its ±.
    pub mark_at: Finding,
    /// Marks: turns and one.
    pub turns: usize,
    /// Lobes beside the marks.
    pub stray_lobes: usize,
    /// Firings, missing and stray sparks, counted.
    pub paired: Totals,
    /// Each place at which sparks come.
    pub places: Vec<PlaceFound>,
    /// Firings gathered by speed, as rows like those of a strobe lamp.
    pub rows: Vec<Row>,
    /// The law fitted to the rows.
    pub curve: Result<curve::CurveStudy, NotStudied>,
    /// The rotor as measured against the recording.
    pub edges: Edges,
    /// The pickup's pulses.
    pub pulses: Option<PulsesFound>,
    /// What the course of the speed says.
    pub pace: Pace,
    /// What must be said.
    pub cautions: Vec<Caution>,
    /// Single events, of the stretch that was asked for; those that were taken before are not among them.
    pub details: Details,
}

/// Single events.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Details {
    /// Marks, in order.
    pub marks: Vec<Mark>,
    /// Firings of the places that are heard, in order. Their advance counts from the segment's length as it was known by then.
    pub firings: Vec<Firing>,
    /// Place and time [s] of firings that are missing.
    pub missing: Vec<(usize, f64)>,
    /// Sparks that belong to no firing: time [s], and advance of the nearest place [rad].
    pub stray: Vec<(f64, f64)>,
}
