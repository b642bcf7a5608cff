//! Bob weights: centrifugal moment against springs.

use crate::root;
use quantity::{CrankAngle, DriveRatio};

/// A spring on one weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spring {
    /// Rate [N/m].
    pub rate_n_m: f64,
    /// Force when it begins to be stretched further [N].
    pub preload_n: f64,
    /// Slack at its attachment before it pulls [m].
    pub gap_m: f64,
}

/// A bob-weight mechanism, per weight, all weights alike. Advance and drive as for the crank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mechanism {
    /// Turns of the mechanism per crank turn.
    pub drive: DriveRatio,
    /// Advance with the weights closed.
    pub static_advance: CrankAngle,
    /// Greatest advance that the stops allow over the static one.
    pub range: CrankAngle,
    /// Mass of one weight [kg].
    pub mass_kg: f64,
    /// Distance shaft axis to weight pivot [m].
    pub pivot_radius_m: f64,
    /// Distance pivot to the weight's centre of mass [m].
    pub arm_m: f64,
    /// Angle at the pivot between the line to the shaft and the line to the centre of mass, weights closed [rad].
    pub rest_angle_rad: f64,
    /// Advance of the cam per weight swing, in mechanism angle [1].
    pub cam_per_swing: f64,
    /// Distance pivot to spring attachment [m].
    pub spring_arm_m: f64,
    /// First spring.
    pub first: Spring,
    /// Second spring, where there is one.
    pub second: Option<Spring>,
    /// Friction moment at the pivot [N·m], the half-width of the rising/falling loop.
    pub friction_nm: f64,
}

/// Why these numbers make no mechanism.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadWeights {
    /// A length, mass, rate or ratio that must be positive is not, or something is not finite.
    #[error("masses, lengths, the first spring's rate and the cam's ratio must be positive and finite")]
    NotPositive,
    /// Static advance, range, preload, gap or friction is not finite, or one that may not be negative is.
    #[error("range must be positive; preload, gap and friction must not be negative")]
    Negative,
    /// The weight would swing through the line from shaft to pivot (angle outside 0 to a half turn).
    #[error("the weight swings outside 0 to 180 degrees at its pivot")]
    Swing,
}

/// Bob weights in equilibrium.
///
/// A weight of mass `m` swings by `s` about its pivot at distance `R` from the shaft, its centre of mass at distance `a`
/// from the pivot and at the angle `γ = γ₀ + s` between the lines to shaft and centre of mass. Its centrifugal force
/// points away from the shaft; about the pivot its moment is `m Ω² R a sin γ`. Springs at arm `b`, pulling square to it,
/// hold with `b (F₁ + k₁ b s) + b k₂ max(0, b s − gap)` (and the second one's preload from where it begins to pull). Rising speed must
/// also overcome the friction moment, falling speed is helped by it. Advance = static + cam · s / drive, between stops.
///
/// Where the centrifugal moment grows faster than the springs' the weights fly from one place to another: at rising
/// speed they stand at the first equilibrium from closed, at falling speed at the first from open.
///
/// Assumed: springs stay square to their arms (small swing), gravity and the cam's own reaction are left out. Source:
/// statics; the centrifugal moment is the cross product of lever and force.
#[derive(Clone, Debug, PartialEq)]
pub struct BobWeights {
    mechanism: Mechanism,
    /// Greatest swing [rad].
    swing: f64,
    held: Path,
    rising: Path,
    falling: Path,
}

/// Crank speeds [rad/s] of equilibrium at even steps of swing, made monotone in the direction the path is gone.
#[derive(Clone, Debug, PartialEq)]
struct Path {
    speeds: Vec<f64>,
    /// Friction moment that adds to the springs' [N·m].
    friction: f64,
}

/// Steps of swing between the stops [1]. They only choose the bracket of the root, so they do not limit accuracy unless
/// two equilibria lie closer together than one step.
const STEPS: usize = 64;
/// Bracket width at which the swing is found [1], as a share of the greatest swing: below 1e-8 degrees of any mechanism (own choice).
const SWING_TOLERANCE: f64 = 1e-12;

impl BobWeights {
    /// From the measured mechanism.
    ///
    /// # Errors
    /// [`BadWeights`].
    pub fn new(mechanism: Mechanism) -> Result<Self, BadWeights> {
        let m = &mechanism;
        let positive = |x: f64| x.is_finite() && x > 0.0;
        let not_negative = |x: f64| x.is_finite() && x >= 0.0;
        let must_be_positive = [
            m.drive.turns_per_crank_turn(),
            m.mass_kg,
            m.pivot_radius_m,
            m.arm_m,
            m.cam_per_swing,
            m.spring_arm_m,
            m.first.rate_n_m,
        ];
        if !must_be_positive.into_iter().all(positive) {
            return Err(BadWeights::NotPositive);
        }
        let springs = [Some(m.first), m.second];
        let springs_fit =
            springs.iter().flatten().all(|s| not_negative(s.rate_n_m) && not_negative(s.preload_n) && not_negative(s.gap_m));
        if !springs_fit || !positive(m.range.radians()) || !not_negative(m.friction_nm) || !m.static_advance.radians().is_finite()
        {
            return Err(BadWeights::Negative);
        }
        let swing = m.range.radians() * m.drive.turns_per_crank_turn() / m.cam_per_swing;
        if !(m.rest_angle_rad > 0.0 && m.rest_angle_rad + swing < std::f64::consts::PI) {
            return Err(BadWeights::Swing);
        }
        let held = Path::outward(m, swing, 0.0);
        let rising = Path::outward(m, swing, m.friction_nm);
        let falling = Path::inward(m, swing, -m.friction_nm);
        Ok(Self { mechanism, swing, held, rising, falling })
    }

    /// A mechanism known only by what a strobe shows: advance from `static_advance` up to `start_rad_s`, by `range` more
    /// from `full_rad_s` on, and in proportion to the square of the speed between, as one spring gives with weights whose
    /// lever hardly changes. Friction is a share \[1\] of what the springs' moment rises by from stop to stop. Masses and lengths are
    /// stand-ins; only their ratios act.
    ///
    /// # Errors
    /// [`BadWeights`].
    pub fn on_one_spring(
        static_advance: CrankAngle,
        range: CrankAngle,
        start_rad_s: f64,
        full_rad_s: f64,
        friction: f64,
    ) -> Result<Self, BadWeights> {
        /// Swing [rad] so small that the lever's sine stays 1 to nine digits (own choice).
        const SWING_RAD: f64 = 1e-4;
        if full_rad_s.is_nan() || start_rad_s.is_nan() || full_rad_s <= start_rad_s {
            return Err(BadWeights::NotPositive);
        }
        let (closed, open) = (start_rad_s * start_rad_s, full_rad_s * full_rad_s);
        Self::new(Mechanism {
            drive: DriveRatio::CRANK,
            static_advance,
            range,
            mass_kg: 1.0,
            pivot_radius_m: 1.0,
            arm_m: 1.0,
            rest_angle_rad: std::f64::consts::FRAC_PI_2 - 0.5 * SWING_RAD,
            cam_per_swing: range.radians() / SWING_RAD,
            spring_arm_m: 1.0,
            first: Spring { rate_n_m: (open - closed) / SWING_RAD, preload_n: closed, gap_m: 0.0 },
            second: None,
            friction_nm: friction * (open - closed),
        })
    }

    /// The mechanism.
    pub fn mechanism(&self) -> &Mechanism {
        &self.mechanism
    }

    /// Advance at a held crank speed [rad/s], friction shaken out.
    pub fn held(&self, speed_rad_s: f64) -> CrankAngle {
        self.advance(&self.held, speed_rad_s)
    }

    /// Advance at a rising crank speed [rad/s].
    pub fn rising(&self, speed_rad_s: f64) -> CrankAngle {
        self.advance(&self.rising, speed_rad_s)
    }

    /// Advance at a falling crank speed [rad/s].
    pub fn falling(&self, speed_rad_s: f64) -> CrankAngle {
        self.advance(&self.falling, speed_rad_s)
    }

    /// Crank speeds [rad/s] at which the weights leave the closed stop and reach the open one, friction aside.
    pub fn knees(&self) -> (f64, f64) {
        (self.held.speeds[0], self.held.speeds[STEPS])
    }

    /// Earlier by `by`: the base plate shifted.
    pub fn shifted(mut self, by: CrankAngle) -> Self {
        self.mechanism.static_advance = self.mechanism.static_advance + by;
        self
    }

    fn advance(&self, path: &Path, speed_rad_s: f64) -> CrankAngle {
        let m = &self.mechanism;
        let swing = path.swing(m, self.swing, speed_rad_s);
        m.static_advance + CrankAngle::from_radians(swing * m.cam_per_swing / m.drive.turns_per_crank_turn())
    }
}

impl Mechanism {
    /// Moment of the springs on one weight at a swing [N·m].
    fn spring_moment(&self, swing: f64) -> f64 {
        let stretch = self.spring_arm_m * swing;
        let pull = |s: &Spring| {
            let beyond = stretch - s.gap_m;
            if beyond >= 0.0 { s.preload_n + s.rate_n_m * beyond } else { 0.0 }
        };
        self.spring_arm_m * (pull(&self.first) + self.second.as_ref().map_or(0.0, pull))
    }

    /// Centrifugal moment on one weight per square of its own speed [N·m·s²].
    fn centrifugal(&self, swing: f64) -> f64 {
        self.mass_kg * self.pivot_radius_m * self.arm_m * (self.rest_angle_rad + swing).sin()
    }

    /// Crank speed [rad/s] at which a swing is in equilibrium.
    fn speed_at(&self, swing: f64, friction: f64) -> f64 {
        let moment = (self.spring_moment(swing) + friction).max(0.0);
        (moment / self.centrifugal(swing)).sqrt() / self.drive.turns_per_crank_turn()
    }
}

impl Path {
    fn speeds(m: &Mechanism, swing: f64, friction: f64) -> Vec<f64> {
        (0..=STEPS).map(|i| m.speed_at(swing * i as f64 / STEPS as f64, friction)).collect()
    }

    fn outward(m: &Mechanism, swing: f64, friction: f64) -> Self {
        let mut speeds = Self::speeds(m, swing, friction);
        for i in 1..speeds.len() {
            speeds[i] = speeds[i].max(speeds[i - 1]);
        }
        Self { speeds, friction }
    }

    fn inward(m: &Mechanism, swing: f64, friction: f64) -> Self {
        let mut speeds = Self::speeds(m, swing, friction);
        for i in (1..speeds.len()).rev() {
            speeds[i - 1] = speeds[i - 1].min(speeds[i]);
        }
        Self { speeds, friction }
    }

    /// Swing at a crank speed [rad], between nothing and `most`.
    fn swing(&self, m: &Mechanism, most: f64, speed_rad_s: f64) -> f64 {
        let reached = self.speeds.partition_point(|&s| s <= speed_rad_s);
        if reached == 0 {
            return 0.0;
        }
        if reached > STEPS {
            return most;
        }
        let step = most / STEPS as f64;
        let own = speed_rad_s * m.drive.turns_per_crank_turn();
        let short = |swing: f64| (m.spring_moment(swing) + self.friction).max(0.0) - own * own * m.centrifugal(swing);
        let (from, to) = ((reached - 1) as f64 * step, reached as f64 * step);
        // The tabulated speeds enclose this one, so the moments change sign; rounding alone can spoil that, at an end.
        root::bracketed(short, from, to, SWING_TOLERANCE * most).unwrap_or(from)
    }
}
