//! What is not known of an engine, and the engine that a guess at it makes.

use super::{Unknown, screw};
use crate::{
    machine::Machine,
    study::{
        cases::LEAST_FRICTION,
        curve::CurveStudy,
        idle::{Parameter, given},
        judge::{self, APART, Subject},
        model::EngineModel,
    },
};
use physics::rest::{Hold, Running};

/// Standard uncertainty of the friction slope where the file has none \[1\]: engines scatter by 10–20 % about the correlation
/// (Barnes-Moss (1975) in Heywood (1988), 13.6, from memory).
const SLOPE_DEVIATION: f64 = 0.15;
/// Half-widths of a ± per standard uncertainty \[1\] (JCGM 100:2008, 6.2).
const HALF_WIDTHS: f64 = 0.5;

/// An unknown as it is before the readings.
#[derive(Clone, Copy, Debug)]
pub struct Prior {
    pub unknown: Unknown,
    /// Value [SI].
    pub value: f64,
    /// Standard uncertainty [SI], or that of its logarithm.
    pub deviation: f64,
    /// Uncertain by a factor rather than by an amount.
    pub by_factor: bool,
}

impl Prior {
    fn plain(unknown: Unknown, value: f64, deviation: f64) -> Self {
        Self { unknown, value, deviation, by_factor: false }
    }

    /// The value so many standard deviations off.
    pub fn at(&self, x: f64) -> f64 {
        if self.by_factor { self.value * (self.deviation * x).exp() } else { self.value + self.deviation * x }
    }

    /// Standard uncertainty of the value [SI] there, `share` of the deviation being left.
    pub fn uncertainty(&self, x: f64, share: f64) -> f64 {
        share * self.deviation * if self.by_factor { self.at(x) } else { 1.0 }
    }
}

/// The engine and all that is not known of it.
pub struct Bench<'a> {
    pub machine: &'a Machine,
    pub curve: &'a CurveStudy,
    pub model: &'a EngineModel,
    pub priors: Vec<Prior>,
}

/// One engine, at its stop.
pub struct Guess<'a> {
    pub subject: &'a Subject<'a>,
    /// The idle speed that it truly has [rad/s].
    pub idle_rad_s: f64,
    /// What the rev counter shows of a speed, as a share of it [1].
    pub shown: f64,
    /// Opening at the stop, per throttle [m²].
    pub opening_m2: f64,
    /// Does that opening lie in the map?
    pub holds: bool,
    /// Opening for one turn of the screw, per throttle [m²].
    pub per_turn_m2: f64,
    /// Inertia [kg·m²].
    pub inertia_kg_m2: f64,
}

/// The opening that holds the idle with everything as given [m²].
pub fn opening_as_given(machine: &Machine, curve: &CurveStudy, model: &EngineModel) -> Option<f64> {
    let laws: Vec<_> = curve.cylinders.iter().map(|c| c.law.clone()).collect();
    let idle = machine.idle.as_ref()?.speed.si;
    if laws.is_empty() {
        return None;
    }
    Subject::nominal(machine, model, laws).run(machine, model, |running| match running.opening_for(idle) {
        Hold::At { opening_m2, .. } => Some(opening_m2),
        _ => None,
    })
}

impl<'a> Bench<'a> {
    /// With an unknown for everything that has a ±; the screw and the inertia only where readings rest on them.
    /// `None` where no idle was seen.
    pub fn new(machine: &'a Machine, curve: &'a CurveStudy, model: &'a EngineModel, opening_m2: f64) -> Option<Self> {
        let idle = machine.idle.as_ref()?;
        let mut priors = vec![Prior::plain(Unknown::IdleSpeed, idle.speed.si, idle.speed.standard_uncertainty_si())];
        priors.push(Prior::plain(Unknown::RevCounter, 1.0, HALF_WIDTHS * idle.rev_counter_share()));
        priors.extend(model.parameters().chain([Parameter::FrictionFactor]).filter_map(|p| {
            let value = given(machine, p)?;
            Some(Prior::plain(Unknown::Given(p), value.si, HALF_WIDTHS * value.plus_minus_si))
        }));
        let slope = machine.engine.friction_slope.as_ref().map_or(SLOPE_DEVIATION, |r| r.standard_uncertainty_si());
        priors.push(Prior::plain(Unknown::FrictionSlope, judge::friction_slope(machine), slope));
        if !idle.screws.is_empty() {
            priors.push(screw::prior(machine, opening_m2));
        }
        if !idle.run_downs.is_empty() {
            let inertia = &machine.engine.inertia;
            priors.push(Prior::plain(Unknown::Inertia, inertia.si, inertia.standard_uncertainty_si()));
        }
        let normals = curve.cylinders.iter().map(|c| c.doubt.normals()).max().unwrap_or(0);
        priors.extend((0..normals).map(|i| Prior::plain(Unknown::Curve(i), 0.0, 1.0)));
        priors.retain(|p| p.deviation > 0.0);
        Some(Self { machine, curve, model, priors })
    }

    /// Where an unknown stands among the others.
    pub fn place(&self, unknown: Unknown) -> Option<usize> {
        self.priors.iter().position(|p| p.unknown == unknown)
    }

    fn value(&self, x: &[f64], unknown: Unknown) -> Option<f64> {
        self.place(unknown).map(|i| self.priors[i].at(x[i]))
    }

    /// What the rev counter shows of a speed, as a share of it \[1\].
    pub fn shown(&self, x: &[f64]) -> f64 {
        self.value(x, Unknown::RevCounter).unwrap_or(1.0)
    }

    /// The value of an unknown; of the idle speed the true one.
    pub fn true_value(&self, i: usize, x: &[f64]) -> f64 {
        self.priors[i].at(x[i]) / if self.priors[i].unknown == Unknown::IdleSpeed { self.shown(x) } else { 1.0 }
    }

    /// Change of that over one standard deviation of each unknown at `x`.
    pub fn row_of(&self, i: usize, x: &[f64]) -> Vec<f64> {
        let mut row = vec![0.0; x.len()];
        row[i] = self.priors[i].uncertainty(x[i], 1.0);
        if let (Unknown::IdleSpeed, Some(counter)) = (self.priors[i].unknown, self.place(Unknown::RevCounter)) {
            row[i] /= self.shown(x);
            row[counter] = -self.true_value(i, x) * self.priors[counter].deviation / self.shown(x);
        }
        row
    }

    /// The engine with each unknown so many standard deviations off, and what `question` finds out about it.
    pub fn ask<R>(&self, x: &[f64], question: impl FnOnce(&Guess, &Running) -> R) -> R {
        let machine = self.machine;
        let off = |p: Parameter| self.place(Unknown::Given(p)).map_or(0.0, |i| HALF_WIDTHS * x[i]);
        let half_widths: Vec<f64> = self.model.parameters().map(off).collect();
        let drawn: Vec<f64> =
            self.priors.iter().zip(x).filter(|(p, _)| matches!(p.unknown, Unknown::Curve(_))).map(|(_, x)| *x).collect();
        let friction = self.value(x, Unknown::Given(Parameter::FrictionFactor)).unwrap_or(machine.engine.friction_factor.si);
        let subject = Subject {
            maps: self.model.varied(&half_widths),
            laws: self.curve.cylinders.iter().map(|c| c.doubt.draw(&drawn).unwrap_or_else(|| c.law.clone())).collect(),
            friction_factor: friction.max(LEAST_FRICTION),
            friction_slope: self.value(x, Unknown::FrictionSlope).unwrap_or_else(|| judge::friction_slope(machine)),
        };
        let idle = machine.idle.as_ref().map_or(f64::NAN, |i| i.speed.si);
        let shown = self.shown(x);
        let idle_rad_s = self.value(x, Unknown::IdleSpeed).unwrap_or(idle) / shown;
        let inertia_kg_m2 = self.value(x, Unknown::Inertia).unwrap_or(machine.engine.inertia.si);
        subject.run(machine, self.model, |running| {
            let (least, most) = self.model.torque().openings();
            let (opening_m2, holds) = match running.opening_for(idle_rad_s) {
                Hold::At { opening_m2, .. } => (sharpened(running, idle_rad_s, opening_m2), true),
                Hold::LessThanLeast => (least, false),
                Hold::MoreThanMost => (most, false),
            };
            let turn = self.value(x, Unknown::OpeningPerTurn);
            let per_turn_m2 = turn.unwrap_or_else(|| screw::prior(machine, opening_m2).value);
            question(&Guess { subject: &subject, idle_rad_s, shown, opening_m2, holds, per_turn_m2, inertia_kg_m2 }, running)
        })
    }

    /// Greatest net torque above the idle [N·m]: positive = it hangs. `None` where it cannot idle.
    pub fn hang_margin_nm(&self, x: &[f64]) -> Option<f64> {
        self.ask(x, |guess, running| {
            let margin = running.most_torque_above(guess.idle_rad_s * APART, guess.opening_m2);
            (guess.holds && margin.is_finite()).then_some(margin)
        })
    }

    /// ln of the opening at the stop.
    pub fn ln_opening(&self, x: &[f64]) -> f64 {
        self.ask(x, |guess, _| guess.opening_m2.ln())
    }

    /// Change of something over one standard deviation of each unknown at `x`, as half of what a step of `step` to either side makes.
    pub fn slopes(&self, x: &[f64], step: f64, of: impl Fn(&[f64]) -> f64) -> Vec<f64> {
        let mut at = x.to_vec();
        (0..x.len())
            .map(|i| {
                at[i] = x[i] + step;
                let up = of(&at);
                at[i] = x[i] - step;
                let down = of(&at);
                at[i] = x[i];
                (up - down) / (2.0 * step)
            })
            .collect()
    }
}

/// Steps by which an opening is sharpened \[1\]: each squares the error of 1e-8 that the search leaves, so the second is at rounding.
const SHARPENED: usize = 2;
/// Step of ln opening for the slope [1] (own choice): far below any bend of the map.
const SLOPE: f64 = 1e-4;

/// The opening that holds a speed to the last digits, by Newton's method: a solver that goes by differences needs it without the noise of a search.
fn sharpened(running: &Running, speed_rad_s: f64, opening_m2: f64) -> f64 {
    (0..SHARPENED).fold(opening_m2, |a, _| {
        let slope =
            (running.torque(speed_rad_s, a * SLOPE.exp()) - running.torque(speed_rad_s, a * (-SLOPE).exp())) / (2.0 * SLOPE);
        let next = a * (-running.torque(speed_rad_s, a) / slope).exp();
        if next.is_finite() && (next / a - 1.0).abs() < SLOPE { next } else { a }
    })
}

impl Guess<'_> {
    /// Net torque [N·m] at a speed [rad/s] and an opening [m²] with the plate turned [rad].
    pub fn net_nm(&self, model: &EngineModel, speed_rad_s: f64, opening_m2: f64, turned_rad: f64) -> f64 {
        let gas: f64 = self
            .subject
            .laws
            .iter()
            .map(|law| {
                let advance = law.advance(speed_rad_s).radians() + turned_rad;
                self.subject.maps.iter().map(|(w, map)| w * map.torque(speed_rad_s, opening_m2, advance)).sum::<f64>()
            })
            .sum();
        gas - self.friction_nm(model, speed_rad_s)
    }

    /// Friction of the whole engine [N·m].
    pub fn friction_nm(&self, model: &EngineModel, speed_rad_s: f64) -> f64 {
        model.cycle().corrected_friction_nm(speed_rad_s, self.subject.friction_factor, self.subject.friction_slope)
    }
}
