//! Where the spark comes at a given speed.

mod bob_weights;
mod pickup;
mod segment;
mod table;

pub use bob_weights::{BadWeights, BobWeights, Mechanism, Spring};
pub use pickup::{BadPickup, Pickup};
pub use segment::{BadSegment, Ramp, Segment, TwoEdge, Wiring};
pub use table::Table;

use quantity::CrankAngle;

/// How the speed was moving.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trend {
    /// Held.
    Held,
    /// Rising.
    Rising,
    /// Falling.
    Falling,
}

/// A law: advance as a function of crank speed.
#[derive(Clone, Debug, PartialEq)]
pub enum Law {
    /// Analogue two-edge module.
    Ramp(Ramp),
    /// Edge to edge, straight between.
    TwoEdge(TwoEdge),
    /// Points, monotone cubic between.
    Table(Table),
    /// The same at all speeds.
    Fixed(CrankAngle),
    /// Bob weights.
    BobWeights(BobWeights),
    /// Another law whose edges are sensed by a pickup that fires ahead of them.
    Sensed(Box<Sensed>),
}

/// A law behind a pickup: all its events come earlier by [`Pickup::ahead_of_edge`].
#[derive(Clone, Debug, PartialEq)]
pub struct Sensed {
    /// The law of the module, from edge to spark.
    pub law: Law,
    /// The pickup that senses the edges.
    pub pickup: Pickup,
}

impl Law {
    /// Advance at a crank speed [rad/s], speed held. Bob weights: friction shaken out, the middle of their loop.
    ///
    /// # Example
    /// ```
    /// use physics::law::{Law, Ramp, Segment};
    /// use quantity::CrankAngle;
    /// let rad_s = |rpm: f64| rpm * std::f64::consts::TAU / 60.0;
    /// let segment = Segment::new(CrankAngle::from_degrees(36.0), CrankAngle::from_degrees(26.0)).unwrap();
    /// let law = Law::Ramp(Ramp::from_speeds(segment, rad_s(1200.0), rad_s(3800.0)).unwrap());
    /// assert!((law.advance(rad_s(800.0)).degrees() - 10.0).abs() < 1e-9);
    /// assert!((law.advance(rad_s(5000.0)).degrees() - 36.0).abs() < 1e-9);
    /// ```
    pub fn advance(&self, speed_rad_s: f64) -> CrankAngle {
        match self {
            Law::BobWeights(weights) => weights.held(speed_rad_s),
            other => other.without_friction(speed_rad_s, Law::advance),
        }
    }

    /// Advance while the speed rises; differs from [`Law::advance`] for bob weights alone.
    pub fn advance_rising(&self, speed_rad_s: f64) -> CrankAngle {
        match self {
            Law::BobWeights(weights) => weights.rising(speed_rad_s),
            other => other.without_friction(speed_rad_s, Law::advance_rising),
        }
    }

    /// Advance while the speed falls; differs from [`Law::advance`] for bob weights alone.
    pub fn advance_falling(&self, speed_rad_s: f64) -> CrankAngle {
        match self {
            Law::BobWeights(weights) => weights.falling(speed_rad_s),
            other => other.without_friction(speed_rad_s, Law::advance_falling),
        }
    }

    /// Advance at a crank speed [rad/s] that moves so.
    pub fn advance_in(&self, trend: Trend, speed_rad_s: f64) -> CrankAngle {
        match trend {
            Trend::Held => self.advance(speed_rad_s),
            Trend::Rising => self.advance_rising(speed_rad_s),
            Trend::Falling => self.advance_falling(speed_rad_s),
        }
    }

    fn without_friction(&self, speed_rad_s: f64, inner: impl Fn(&Law, f64) -> CrankAngle) -> CrankAngle {
        match self {
            Law::Ramp(ramp) => ramp.advance(speed_rad_s),
            Law::TwoEdge(edges) => edges.advance(speed_rad_s),
            Law::Table(table) => table.advance(speed_rad_s),
            Law::Fixed(advance) => *advance,
            Law::BobWeights(weights) => weights.held(speed_rad_s),
            Law::Sensed(sensed) => inner(&sensed.law, speed_rad_s) + sensed.pickup.ahead_of_edge(speed_rad_s),
        }
    }

    /// Whether the pickup wakes the module at this speed; laws without a pickup always fire.
    pub fn fires(&self, speed_rad_s: f64) -> bool {
        match self {
            Law::Sensed(sensed) => speed_rad_s >= sensed.pickup.lowest_firing_speed() && sensed.law.fires(speed_rad_s),
            _ => true,
        }
    }

    /// The same law after `cut` has been taken off the trailing end of its segment. `None` where the law does not fire
    /// from a segment, and for a cut that is negative or leaves no segment.
    pub fn with_trailing_cut(&self, cut: CrankAngle) -> Option<Law> {
        match self {
            Law::Ramp(ramp) => Some(Law::Ramp(ramp.on(ramp.segment().with_trailing_cut(cut)?))),
            Law::TwoEdge(edges) => Some(Law::TwoEdge(edges.on(edges.segment().with_trailing_cut(cut)?))),
            Law::Sensed(sensed) => Some(sensed.law.with_trailing_cut(cut)?.sensed_by(sensed.pickup)),
            Law::Table(_) | Law::Fixed(_) | Law::BobWeights(_) => None,
        }
    }

    /// The same law with every spark earlier by `by`: the plate shifted, or a pickup out of its place.
    pub fn shifted(&self, by: CrankAngle) -> Law {
        match self {
            Law::Ramp(ramp) => Law::Ramp(ramp.on(ramp.segment().shifted(by))),
            Law::TwoEdge(edges) => Law::TwoEdge(edges.on(edges.segment().shifted(by))),
            Law::Table(table) => Law::Table(table.clone().shifted(by)),
            Law::Fixed(advance) => Law::Fixed(*advance + by),
            Law::BobWeights(weights) => Law::BobWeights(weights.clone().shifted(by)),
            Law::Sensed(sensed) => sensed.law.shifted(by).sensed_by(sensed.pickup),
        }
    }

    /// The same law behind a pickup.
    pub fn sensed_by(self, pickup: Pickup) -> Law {
        Law::Sensed(Box::new(Sensed { law: self, pickup }))
    }

    /// The segment that the law fires from, where it does.
    pub fn segment(&self) -> Option<Segment> {
        match self {
            Law::Ramp(ramp) => Some(ramp.segment()),
            Law::TwoEdge(edges) => Some(edges.segment()),
            Law::Sensed(sensed) => sensed.law.segment(),
            Law::Table(_) | Law::Fixed(_) | Law::BobWeights(_) => None,
        }
    }

    /// Crank speeds [rad/s] below and above which the advance no longer changes (pickup aside); `None` for fixed laws.
    pub fn knees(&self) -> Option<(f64, f64)> {
        match self {
            Law::Ramp(ramp) => Some((ramp.start(), ramp.full())),
            Law::TwoEdge(edges) => Some((edges.start(), edges.full())),
            Law::Table(table) => table.ends(),
            Law::Fixed(_) => None,
            Law::BobWeights(weights) => Some(weights.knees()),
            Law::Sensed(sensed) => sensed.law.knees(),
        }
    }
}
