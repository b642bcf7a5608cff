//! What is uncertain about an engine, as the sampled cases draw it.
//!
//! Every [`Unknown`] is a normal number. As a rule each has its own reading with its own ± and they vary on their own
//! ([`Unknowns::stated`]). Where more is known, say from a calibration, a *joint* distribution takes the place of some of them
//! ([`Unknowns::with`]): their mean, and a lower triangular factor L of their covariance, covariance = L Lᵀ, so that a case is
//! mean + L z with standard normal z. Whatever the joint distribution does not name keeps its own reading.
//!
//! The throttle's opening is not among them: in every case it follows from the idle speed of that case on the engine of that case. Of a joint
//! distribution that has it too, leave its row and column out; that is the marginal distribution of the others.
//!
//! ```
//! use workshop::study::unknowns::{Joint, Unknown};
//! // Burn factor 0.60 ± 0.02 and friction factor 0.9 ± 0.05 (standard uncertainties), correlation 0.8.
//! let covariance = [0.0004, 0.0008, 0.0008, 0.0025];
//! let joint = Joint::new(vec![Unknown::BurnFactor, Unknown::FrictionFactor], 0, vec![0.60, 0.9], &covariance).unwrap();
//! // One standard deviation of the first takes the second along by 0.8 of its own.
//! let drawn: Vec<_> = joint.draw(&[1.0, 0.0]).0.collect();
//! assert!((drawn[0].1 - 0.62).abs() < 1e-9 && (drawn[1].1 - 0.94).abs() < 1e-9);
//! ```

use super::{Finding, idle, idle::Parameter, model::EngineModel};
use crate::machine::Machine;
use nalgebra::DMatrix;

/// Something uncertain about the engine or its idle, not its curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unknown {
    /// Idle speed [rad/s].
    IdleSpeed,
    /// Flame-speed factor \[1\].
    BurnFactor,
    /// Friction factor \[1\].
    FrictionFactor,
    /// Factor on the part of the friction that grows with speed \[1\]; as the file has it unless it was found out
    /// ([`physics::friction::corrected_nm`]).
    FrictionSlope,
    /// Runner volume [m³].
    RunnerVolume,
    /// Valve overlap [rad].
    Overlap,
}

impl Unknown {
    /// All of them; the place of each is its dimension in a sample, taken or not.
    pub const ALL: [Self; 6] =
        [Self::IdleSpeed, Self::BurnFactor, Self::FrictionFactor, Self::FrictionSlope, Self::RunnerVolume, Self::Overlap];

    /// The unknown of a parameter.
    pub fn of(parameter: Parameter) -> Self {
        match parameter {
            Parameter::BurnFactor => Self::BurnFactor,
            Parameter::FrictionFactor => Self::FrictionFactor,
            Parameter::RunnerVolume => Self::RunnerVolume,
            Parameter::Overlap => Self::Overlap,
        }
    }

    /// Place in [`Unknown::ALL`].
    pub fn place(self) -> usize {
        self as usize
    }
}

/// Unknowns that vary together.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    names: Vec<Unknown>,
    /// Directions of the curve's doubt that follow the names.
    directions: usize,
    mean: Vec<f64>,
    /// Lower triangle of the factor, row by row.
    factor: Vec<f64>,
}

/// Why numbers make no joint distribution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotJoint {
    /// Lengths do not fit, a name is there twice, or a number is not finite.
    #[error("names, means and covariance do not fit together")]
    Shape,
    /// The covariance is not positive definite.
    #[error("the covariance is not positive definite")]
    NotPositive,
}

impl Joint {
    /// From means and covariance, row by row: of the names in SI, then of so many directions in which the curve is uncertain, the first ones, in standard deviations.
    ///
    /// # Errors
    /// [`NotJoint`].
    pub fn new(names: Vec<Unknown>, directions: usize, mean: Vec<f64>, covariance: &[f64]) -> Result<Self, NotJoint> {
        let n = names.len() + directions;
        let finite = mean.iter().chain(covariance).all(|x| x.is_finite());
        let once = names.iter().enumerate().all(|(i, name)| !names[..i].contains(name));
        if mean.len() != n || covariance.len() != n * n || !finite || !once {
            return Err(NotJoint::Shape);
        }
        let root = DMatrix::from_row_slice(n, n, covariance).cholesky().ok_or(NotJoint::NotPositive)?.l();
        let factor = (0..n).flat_map(|i| (0..=i).map(move |j| (i, j))).map(|at| root[at]).collect();
        Ok(Self { names, directions, mean, factor })
    }

    /// What it names.
    pub fn names(&self) -> &[Unknown] {
        &self.names
    }

    /// One draw, from as many standard normal numbers as it has names and directions; missing ones count as none. First what it names, then the directions of
    /// the curve.
    pub fn draw<'a>(&'a self, normals: &'a [f64]) -> (impl Iterator<Item = (Unknown, f64)> + 'a, Vec<f64>) {
        let row = |i: usize| &self.factor[i * (i + 1) / 2..][..=i];
        let value = move |i: usize| self.mean[i] + row(i).iter().zip(normals).map(|(l, z)| l * z).sum::<f64>();
        let named = self.names.len();
        let curve = (named..named + self.directions).map(value).collect();
        (self.names.iter().enumerate().map(move |(i, name)| (*name, value(i))), curve)
    }
}

/// All that is uncertain about an engine.
#[derive(Clone, Debug, PartialEq)]
pub struct Unknowns {
    /// Each on its own: mean and standard uncertainty [SI].
    own: Vec<(Unknown, f64, f64)>,
    joint: Option<Joint>,
}

/// One value for each of [`Unknown::ALL`]; `None` where nothing is known of it.
pub type Drawn = [Option<f64>; Unknown::ALL.len()];

/// A standard uncertainty is half of a ± [1] (JCGM 100:2008, 6.2).
const HALF: f64 = 0.5;

impl Unknowns {
    /// What the machine file says, each reading on its own. Of burn, volume and overlap those over which the model knows the torque.
    pub fn stated(machine: &Machine, model: &EngineModel) -> Self {
        let mut own = Vec::new();
        if let Some(seen) = &machine.idle {
            let u = seen.speed.standard_uncertainty_si().hypot(HALF * seen.rev_counter_share() * seen.speed.si);
            own.push((Unknown::IdleSpeed, seen.speed.si, u));
        }
        let friction = &machine.engine.friction_factor;
        own.push((Unknown::FrictionFactor, friction.si, friction.standard_uncertainty_si()));
        if let Some(slope) = machine.engine.friction_slope.as_ref().filter(|s| s.plus_minus_si > 0.0) {
            own.push((Unknown::FrictionSlope, slope.si, slope.standard_uncertainty_si()));
        }
        for parameter in model.parameters() {
            if let Some(Finding { si, plus_minus_si }) = idle::given(machine, parameter) {
                own.push((Unknown::of(parameter), si, HALF * plus_minus_si));
            }
        }
        own.sort_by_key(|o| o.0);
        Self { own, joint: None }
    }

    /// The same with a joint distribution in place of what it names.
    pub fn with(mut self, joint: Joint) -> Self {
        self.own.retain(|o| !joint.names.contains(&o.0));
        self.joint = Some(joint);
        self
    }

    /// Those that vary together.
    pub fn together(&self) -> &[Unknown] {
        self.joint.as_ref().map_or(&[], |j| &j.names)
    }

    /// Those that vary, each on its own.
    pub fn alone(&self) -> impl Iterator<Item = Unknown> + '_ {
        self.own.iter().filter(|o| o.2 > 0.0).map(|o| o.0)
    }

    /// Directions of the curve that vary together with them.
    pub fn directions(&self) -> usize {
        self.joint.as_ref().map_or(0, |j| j.directions)
    }

    /// One draw from standard normal numbers, one for each of [`Unknown::ALL`]. Those of the curve, which they belong to after a joint distribution, are put in
    /// place of the ones handed in.
    pub fn draw(&self, normals: &[f64; Unknown::ALL.len()], curve: &mut [f64]) -> Drawn {
        let mut drawn = Drawn::default();
        for (name, mean, u) in &self.own {
            drawn[name.place()] = Some(mean + u * normals[name.place()]);
        }
        if let Some(joint) = &self.joint {
            let own: Vec<f64> = joint.names.iter().map(|n| normals[n.place()]).chain(curve.iter().copied()).collect();
            let (named, directions) = joint.draw(&own);
            for (name, value) in named {
                drawn[name.place()] = Some(value);
            }
            curve.iter_mut().zip(directions).for_each(|(z, value)| *z = value);
        }
        drawn
    }
}
