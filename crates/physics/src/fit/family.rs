//! What is fitted: a formula shared by all cylinders, and what is each pickup's own.

use crate::law::{BobWeights, Law, Pickup, Ramp, Segment, Table, Trend, TwoEdge};
use nalgebra::DMatrix;
use quantity::CrankAngle;

/// One reading of the advance, corrected and in SI, with *standard* uncertainties.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AdvanceReading {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Standard uncertainty of the speed [rad/s].
    pub speed_u: f64,
    /// Advance [rad].
    pub advance_rad: f64,
    /// Standard uncertainty of the advance [rad].
    pub advance_u: f64,
    /// Which pickup it belongs to; `None` stands for the mean of them all.
    pub pickup: Option<usize>,
    /// How the speed was moving.
    pub trend: Trend,
}

/// Which formula is fitted.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// [`Ramp`]: lead, arc, start speed, full speed.
    Ramp,
    /// [`TwoEdge`]: lead, arc, start speed, full speed.
    TwoEdge,
    /// [`BobWeights`] on one spring: greatest advance, range, start speed, full speed.
    BobWeights,
    /// The same with friction, the fifth parameter: a share of what the springs' moment rises by from stop to stop.
    StickingWeights,
    /// One advance.
    Fixed,
    /// [`Table`]: the advance at these speeds [rad/s].
    Table(Vec<f64>),
}

impl Shape {
    /// Number of its parameters, place differences aside.
    pub fn parameters(&self) -> usize {
        match self {
            Shape::Ramp | Shape::TwoEdge | Shape::BobWeights => 4,
            Shape::StickingWeights => FRICTION + 1,
            Shape::Fixed => 1,
            Shape::Table(speeds) => speeds.len(),
        }
    }

    /// Has it a lead, an arc and two knees?
    pub fn has_knees(&self) -> bool {
        matches!(self, Shape::Ramp | Shape::TwoEdge) || self.has_weights()
    }

    /// Does it come from weights, and not from the edges of a segment?
    pub fn has_weights(&self) -> bool {
        matches!(self, Shape::BobWeights | Shape::StickingWeights)
    }

    /// Share of the arc by which the spark stays behind the lead, for shapes with knees, from all parameters.
    pub(super) fn share_behind(&self, p: &[f64], speed: f64, trend: Trend) -> f64 {
        let (start, full) = (p[2], p[3]);
        let friction = match (self, trend) {
            (Shape::StickingWeights, Trend::Rising) => p[FRICTION],
            (Shape::StickingWeights, Trend::Falling) => -p[FRICTION],
            _ => 0.0,
        };
        let ahead = match self {
            Shape::TwoEdge => (speed - start) / (full - start),
            weights if weights.has_weights() => (speed * speed - start * start) / (full * full - start * start) - friction,
            _ => 1.0 - start / (full - start) * (full / speed - 1.0),
        };
        1.0 - ahead.clamp(0.0, 1.0)
    }
}

/// Where the friction of [`Shape::StickingWeights`] stands among the parameters.
pub(super) const FRICTION: usize = 4;

/// Where an advance is asked for: speed [rad/s], how it moves, which pickup.
pub(super) type At = (f64, Trend, Option<usize>);

/// A shape shared by all cylinders, and what is each pickup's own.
#[derive(Clone, Debug, PartialEq)]
pub struct Family {
    /// The formula.
    pub shape: Shape,
    /// Known place of each pickup [rad], positive = earlier. At least one entry.
    pub places: Vec<f64>,
    /// Whether a pickup's place is fitted on top of the known one.
    pub free: Vec<bool>,
    /// What is known of each pickup's pulse; without it the edge itself fires.
    pub pickups: Vec<Option<Pickup>>,
}

/// What is known before any strobe reading: value and standard uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Priors {
    /// Lead as measured on the rotor [rad].
    pub lead: Option<(f64, f64)>,
    /// Arc as measured on the rotor [rad].
    pub arc: Option<(f64, f64)>,
    /// Speeds [rad/s] between which the knees are to be expected: their logarithms get this middle and half-width as a
    /// normal prior, weak beside any reading near a knee.
    pub speeds: (f64, f64),
    /// Standard uncertainty of a freed place [rad]; infinite = nothing known.
    pub place_u: f64,
}

impl Family {
    /// All parameters: the shape's, then one place for each freed pickup.
    pub fn parameters(&self) -> usize {
        self.shape.parameters() + self.free.iter().filter(|f| **f).count()
    }

    /// Where the place of a pickup stands among the parameters, if it is fitted.
    pub fn place_parameter(&self, pickup: usize) -> Option<usize> {
        let before = self.free.iter().take(pickup).filter(|f| **f).count();
        self.free.get(pickup).copied().unwrap_or(false).then_some(self.shape.parameters() + before)
    }

    /// The law of one pickup. `None` where the parameters make no law.
    pub fn law(&self, p: &[f64], pickup: usize) -> Option<Law> {
        let angle = CrankAngle::from_radians;
        let law = match &self.shape {
            Shape::Ramp => Law::Ramp(Ramp::from_speeds(Segment::new(angle(p[0]), angle(p[1])).ok()?, p[2], p[3]).ok()?),
            Shape::TwoEdge => Law::TwoEdge(TwoEdge::from_speeds(Segment::new(angle(p[0]), angle(p[1])).ok()?, p[2], p[3]).ok()?),
            Shape::BobWeights | Shape::StickingWeights => {
                let friction = if self.shape == Shape::StickingWeights { p[FRICTION] } else { 0.0 };
                Law::BobWeights(BobWeights::on_one_spring(angle(p[0] - p[1]), angle(p[1]), p[2], p[3], friction).ok()?)
            }
            Shape::Fixed => Law::Fixed(angle(p[0])),
            Shape::Table(speeds) => {
                let points: Vec<_> = speeds.iter().zip(p).map(|(n, a)| (*n, angle(*a))).collect();
                Law::Table(Table::new(&points).ok()?)
            }
        };
        let own = self.place_parameter(pickup).map_or(0.0, |i| p[i]);
        let placed = law.shifted(angle(self.places.get(pickup).copied().unwrap_or(0.0) + own));
        Some(match (&self.shape, self.pickups.get(pickup).copied().flatten()) {
            (Shape::Ramp | Shape::TwoEdge, Some(sensor)) => placed.sensed_by(sensor),
            _ => placed,
        })
    }

    /// Advance [rad] that the parameters give at each reading; not a number where they make no law.
    ///
    /// The same as [`Family::law`] reading by reading, without building a mechanism for every trial of the solver.
    pub(super) fn advances(&self, p: &[f64], at: &[At]) -> Vec<f64> {
        let base: Box<dyn Fn(f64, Trend) -> f64> = match &self.shape {
            shape if shape.has_knees() => Box::new(|n, trend| p[0] - p[1] * shape.share_behind(p, n, trend)),
            _ => match self.law(p, usize::MAX) {
                Some(law) => Box::new(move |n, _| law.advance(n).radians()),
                None => Box::new(|_, _| f64::NAN),
            },
        };
        let own: Vec<f64> =
            (0..self.places.len()).map(|g| self.places[g] + self.place_parameter(g).map_or(0.0, |i| p[i])).collect();
        let one = |g: usize, n: f64| own[g] + self.sensed(g, n);
        at.iter()
            .map(|&(n, trend, pickup)| {
                base(n, trend)
                    + match pickup {
                        Some(g) if g < own.len() => one(g, n),
                        _ => (0..own.len()).map(|g| one(g, n)).sum::<f64>() / own.len() as f64,
                    }
            })
            .collect()
    }

    /// How much earlier [rad] a pickup fires than its edge; nothing for laws that do not fire from an edge.
    fn sensed(&self, pickup: usize, speed: f64) -> f64 {
        match (&self.shape, self.pickups.get(pickup).copied().flatten()) {
            (Shape::Ramp | Shape::TwoEdge, Some(sensor)) => sensor.ahead_of_edge(speed).radians(),
            _ => 0.0,
        }
    }

    /// Advance [rad] that a reading owes to the known place and pulse of its pickup.
    pub(super) fn known_part(&self, reading: &AdvanceReading) -> f64 {
        let of = |g: usize| self.places[g] + self.sensed(g, reading.speed_rad_s);
        match reading.pickup {
            Some(g) if g < self.places.len() => of(g),
            _ => (0..self.places.len()).map(of).sum::<f64>() / self.places.len() as f64,
        }
    }

    /// Inner parameters, in which any number makes a law: the knees as ln N₁ and ln(N₂/N₁ − 1).
    pub(super) fn inward(&self, p: &[f64]) -> Vec<f64> {
        let mut q = p.to_vec();
        if self.shape.has_knees() {
            q[2] = p[2].ln();
            q[3] = (p[3] / p[2] - 1.0).ln();
        }
        if self.shape == Shape::StickingWeights {
            q[FRICTION] = p[FRICTION].ln();
        }
        q
    }

    pub(super) fn outward(&self, q: &[f64]) -> Vec<f64> {
        let mut p = q.to_vec();
        if self.shape.has_knees() {
            p[2] = q[2].exp();
            p[3] = p[2] * (1.0 + q[3].exp());
        }
        if self.shape == Shape::StickingWeights {
            p[FRICTION] = q[FRICTION].exp();
        }
        p
    }

    /// ∂(outer)/∂(inner) at outer parameters.
    pub(super) fn stretch(&self, p: &[f64]) -> DMatrix<f64> {
        let mut t = DMatrix::identity(p.len(), p.len());
        if self.shape.has_knees() {
            t[(2, 2)] = p[2];
            t[(3, 2)] = p[3];
            t[(3, 3)] = p[3] - p[2];
        }
        if self.shape == Shape::StickingWeights {
            t[(FRICTION, FRICTION)] = p[FRICTION];
        }
        t
    }
}

/// Standard uncertainty of reading less curve [rad]: the speed's error is carried by the chord of the curve over ± one
/// standard uncertainty, which also serves at a knee.
pub(super) fn sigmas(family: &Family, p: &[f64], readings: &[AdvanceReading]) -> Vec<f64> {
    let moved = |by: f64| readings.iter().map(|r| (r.speed_rad_s + by * r.speed_u, r.trend, r.pickup)).collect::<Vec<_>>();
    let above = family.advances(p, &moved(1.0));
    let below = family.advances(p, &moved(-1.0));
    readings
        .iter()
        .zip(above.iter().zip(&below))
        .map(|(r, (a, b))| {
            let through_speed = 0.5 * (a - b);
            let square = r.advance_u * r.advance_u + if through_speed.is_finite() { through_speed.powi(2) } else { 0.0 };
            square.sqrt().max(SMALLEST_SIGMA_RAD)
        })
        .collect()
}

/// No reading is surer than this [rad] (a thousandth of a degree, own choice), so that one entered without ± cannot silence the rest.
pub(super) const SMALLEST_SIGMA_RAD: f64 = 1.7e-5;
