//! Laws that fire from the edges of a trigger segment.

use quantity::{CrankAngle, DriveRatio};

/// Why no law can be made of these numbers.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BadSegment {
    /// Lead or arc is not finite, or the arc is not positive.
    #[error("lead {lead_rad} rad and arc {arc_rad} rad make no segment")]
    Arc {
        /// Lead [rad].
        lead_rad: f64,
        /// Arc [rad].
        arc_rad: f64,
    },
    /// Start and full speed are not finite, or do not satisfy 0 < start < full.
    #[error("start speed {start_rad_s} rad/s must be positive and below the full speed {full_rad_s} rad/s")]
    Speeds {
        /// Start speed [rad/s].
        start_rad_s: f64,
        /// Full speed [rad/s].
        full_rad_s: f64,
    },
    /// With the leads reversed, the segment must be shorter than the rotor's turn.
    #[error("arc {arc_rad} rad is not shorter than the turn of {turn_rad} rad")]
    WholeTurn {
        /// Arc [rad].
        arc_rad: f64,
        /// Crank angle of one turn of the rotor [rad].
        turn_rad: f64,
    },
}

/// Which way the pickup's leads are on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wiring {
    /// The leading edge gives the pulse that the module takes as leading.
    Right,
    /// The edges change places; the rotor's turn, as crank angle, is needed to know when the next edge comes.
    Reversed {
        /// Crank angle of one turn of the rotor.
        turn: CrankAngle,
    },
}

/// A trigger segment as seen in crank angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    lead: CrankAngle,
    arc: CrankAngle,
    wiring: Wiring,
}

impl Segment {
    /// Leading edge passes the pickup at advance `lead`, trailing edge at `lead − arc`.
    ///
    /// # Errors
    /// [`BadSegment::Arc`].
    pub fn new(lead: CrankAngle, arc: CrankAngle) -> Result<Self, BadSegment> {
        if lead.radians().is_finite() && arc.radians().is_finite() && arc.radians() > 0.0 {
            Ok(Self { lead, arc, wiring: Wiring::Right })
        } else {
            Err(BadSegment::Arc { lead_rad: lead.radians(), arc_rad: arc.radians() })
        }
    }

    /// The same segment with the pickup's leads reversed.
    ///
    /// # Errors
    /// [`BadSegment::WholeTurn`].
    pub fn reversed(self, drive: DriveRatio) -> Result<Self, BadSegment> {
        let turn = CrankAngle::from_radians(std::f64::consts::TAU / drive.turns_per_crank_turn());
        if self.arc < turn {
            Ok(Self { wiring: Wiring::Reversed { turn }, ..self })
        } else {
            Err(BadSegment::WholeTurn { arc_rad: self.arc.radians(), turn_rad: turn.radians() })
        }
    }

    /// Advance at which the leading edge passes.
    pub fn lead(&self) -> CrankAngle {
        self.lead
    }

    /// Crank angle between the edges.
    pub fn arc(&self) -> CrankAngle {
        self.arc
    }

    /// Which way the leads are on.
    pub fn wiring(&self) -> Wiring {
        self.wiring
    }

    /// Shorter by `cut` at the trailing end; `None` for a negative cut or one that leaves nothing.
    pub fn with_trailing_cut(self, cut: CrankAngle) -> Option<Self> {
        let left = self.arc - cut;
        (cut.radians() >= 0.0 && left.radians() > 0.0).then_some(Self { arc: left, ..self })
    }

    /// Passing the pickup earlier by `by`.
    pub fn shifted(self, by: CrankAngle) -> Self {
        Self { lead: self.lead + by, ..self }
    }

    /// How late [rad] the spark comes at full speed for reversed leads: by the whole arc. Zero with the leads right.
    pub fn late_rad(&self) -> f64 {
        match self.wiring {
            Wiring::Right => 0.0,
            Wiring::Reversed { .. } => self.arc.radians(),
        }
    }

    /// Advance [rad] of the pulse that the module takes as leading, and crank angle [rad] to the one it takes as trailing.
    fn seen_by_module(&self) -> (f64, f64) {
        match self.wiring {
            Wiring::Right => (self.lead.radians(), self.arc.radians()),
            Wiring::Reversed { turn } => ((self.lead - self.arc).radians(), (turn - self.arc).radians()),
        }
    }
}

fn check_speeds(start_rad_s: f64, full_rad_s: f64) -> Result<(), BadSegment> {
    if start_rad_s > 0.0 && full_rad_s > start_rad_s && full_rad_s.is_finite() {
        Ok(())
    } else {
        Err(BadSegment::Speeds { start_rad_s, full_rad_s })
    }
}

/// Analogue two-edge module: constant-current charge between the edges.
///
/// The spark comes `φ(N) = clamp(k/N − c, 0, W)` after the leading edge, so advance = lead − φ. Full advance from
/// N₂ = k/c on; least advance lead − W up to N₁ = k/(W + c). `k` [rad·rad/s] and `c` [rad] belong to the module, `W` to
/// the rotor: a shorter segment raises the least advance and N₁ and leaves every speed above the new N₁ as it was.
///
/// Reversed leads: the charge starts at the trailing edge and may last until the next leading edge.
/// Source: the equation follows from charging one capacitor with constant current between the edges and discharging it
/// at constant current after the second; common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ramp {
    segment: Segment,
    k: f64,
    c: f64,
}

impl Ramp {
    /// From the speeds [rad/s] at which the delay is the whole segment (`start`) and nothing (`full`), observed on this
    /// segment with the leads right: `c = W N₁/(N₂ − N₁)`, `k = c N₂`.
    ///
    /// # Errors
    /// [`BadSegment::Speeds`].
    pub fn from_speeds(segment: Segment, start_rad_s: f64, full_rad_s: f64) -> Result<Self, BadSegment> {
        check_speeds(start_rad_s, full_rad_s)?;
        let c = segment.arc.radians() * start_rad_s / (full_rad_s - start_rad_s);
        Ok(Self { segment, k: c * full_rad_s, c })
    }

    /// The same module on another segment.
    pub fn on(self, segment: Segment) -> Self {
        Self { segment, ..self }
    }

    /// Its segment.
    pub fn segment(&self) -> Segment {
        self.segment
    }

    /// Speed N₁ up to which the advance is least [rad/s].
    pub fn start(&self) -> f64 {
        self.k / (self.segment.seen_by_module().1 + self.c)
    }

    /// Speed N₂ from which the advance is greatest [rad/s].
    pub fn full(&self) -> f64 {
        self.k / self.c
    }

    /// Advance at a crank speed [rad/s].
    #[inline]
    pub fn advance(&self, speed_rad_s: f64) -> CrankAngle {
        let (first, span) = self.segment.seen_by_module();
        // `max` and `min` rather than `clamp`: a speed that is not a number gives the full delay, never a panic.
        let delay = if speed_rad_s > 0.0 { (self.k / speed_rad_s - self.c).max(0.0).min(span) } else { span };
        CrankAngle::from_radians(first - delay)
    }
}

/// Trailing edge below `start`, leading edge above `full`, straight between (in speed).
///
/// A description of what a strobe shows on such modules, not of a circuit; common practice, no source. Start and full
/// speed belong to the module, so a shorter segment changes the advance everywhere below `full`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoEdge {
    segment: Segment,
    start: f64,
    full: f64,
}

impl TwoEdge {
    /// From the two speeds [rad/s].
    ///
    /// # Errors
    /// [`BadSegment::Speeds`].
    pub fn from_speeds(segment: Segment, start_rad_s: f64, full_rad_s: f64) -> Result<Self, BadSegment> {
        check_speeds(start_rad_s, full_rad_s)?;
        Ok(Self { segment, start: start_rad_s, full: full_rad_s })
    }

    /// The same module on another segment.
    pub fn on(self, segment: Segment) -> Self {
        Self { segment, ..self }
    }

    /// Its segment.
    pub fn segment(&self) -> Segment {
        self.segment
    }

    /// Speed up to which the module takes the trailing pulse [rad/s].
    pub fn start(&self) -> f64 {
        self.start
    }

    /// Speed from which the module takes the leading pulse [rad/s].
    pub fn full(&self) -> f64 {
        self.full
    }

    /// Advance at a crank speed [rad/s].
    #[inline]
    pub fn advance(&self, speed_rad_s: f64) -> CrankAngle {
        let leading = self.segment.lead.radians();
        let trailing = leading - self.segment.arc.radians();
        let (slow, fast) = match self.segment.wiring {
            Wiring::Right => (trailing, leading),
            Wiring::Reversed { .. } => (leading, trailing),
        };
        let share = ((speed_rad_s - self.start) / (self.full - self.start)).clamp(0.0, 1.0);
        CrankAngle::from_radians(slow + share * (fast - slow))
    }
}
