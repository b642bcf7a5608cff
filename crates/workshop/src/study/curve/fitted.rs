//! Laws fitted to the readings, when the file gives none or to set beside the one it gives.

use super::plate::Plate;
use super::strobe::Corrected;
use super::types::{LawKind, LawSupport, Parameter, ParameterName};
use crate::machine::Machine;
use crate::study::Finding;
use physics::fit::{AdvanceReading, Family, LawFit, Priors, Shape, akaike_shares, fit_law};
use physics::interval::student_95;
use physics::law::Trend;

/// Fits of every kind of law that the readings can settle, and their shares.
pub(super) struct Fits {
    /// The fits.
    pub fits: Vec<LawFit>,
    /// Akaike share of each.
    pub shares: Vec<f64>,
    /// Sensors that no reading belongs to.
    pub unread: Vec<usize>,
    /// Standard uncertainty of their places against the lead [rad].
    pub unread_place_u: Vec<f64>,
}

/// Advance points of a fitted table, few and many readings [1]: as many as a curve of three pieces needs, and some more
/// where the readings allow it.
const FEW_POINTS: usize = 4;
/// See [`FEW_POINTS`].
const MANY_POINTS: usize = 6;
/// Readings from which the larger table is fitted as well [1]: two for each point and a few to judge by.
const MANY_READINGS: usize = 16;

impl Fits {
    /// Index of the best.
    pub fn best(&self) -> Option<usize> {
        (0..self.fits.len()).filter(|i| self.shares[*i] > 0.0).max_by(|a, b| self.shares[*a].total_cmp(&self.shares[*b]))
    }

    /// Index of the best of a kind.
    pub fn best_of(&self, wanted: LawKind) -> Option<usize> {
        let of_kind = (0..self.fits.len()).filter(|i| self.shares[*i] > 0.0 && kind(&self.fits[*i].family.shape) == wanted);
        of_kind.max_by(|a, b| self.shares[*a].total_cmp(&self.shares[*b]))
    }

    /// Could the readings settle nothing but one fixed advance?
    pub fn only_fixed(&self) -> bool {
        self.fits.iter().zip(&self.shares).all(|(fit, share)| *share == 0.0 || fit.family.shape == Shape::Fixed)
    }

    /// The kinds of law, best first.
    pub fn support(&self) -> Vec<LawSupport> {
        let mut all: Vec<LawSupport> = Vec::new();
        for (fit, share) in self.fits.iter().zip(&self.shares) {
            let kind = kind(&fit.family.shape);
            match all.iter_mut().find(|s| s.kind == kind) {
                // Two sizes of table are one kind, and weights with and without friction: shares add, the misfit is the better one's.
                Some(s) => {
                    s.misfit = if *share > s.share { fit.misfit } else { s.misfit };
                    s.share += share;
                }
                None => all.push(LawSupport { kind, misfit: fit.misfit, share: *share }),
            }
        }
        all.sort_by(|a, b| b.share.total_cmp(&a.share));
        all
    }
}

/// Fits all kinds. Empty where the readings are too few for any.
pub(super) fn fit_all(machine: &Machine, plate: &Plate, corrected: &[Corrected]) -> Fits {
    let readings: Vec<AdvanceReading> =
        corrected.iter().map(|c| AdvanceReading { pickup: plate.sensor_of(c.cylinder), ..c.reading }).collect();
    let lamp: Vec<f64> = corrected.iter().map(|c| c.lamp_rad).collect();
    let has_readings = |s: usize| readings.iter().any(|r| r.pickup == Some(s));
    let sensors = plate.sensors.len();
    let reference = (0..sensors).find(|s| has_readings(*s)).unwrap_or(0);
    let reference_u = plate.sensors[reference].place.1;
    let open = |s: usize| plate.sensors[s].place_unknown || plate.sensors[s].place.1 > 0.0;
    let free: Vec<bool> = (0..sensors).map(|s| s != reference && has_readings(s) && open(s)).collect();
    let freed = || (0..sensors).filter(|s| free[*s]);
    let place_u = if freed().any(|s| plate.sensors[s].place_unknown) {
        f64::INFINITY
    } else {
        freed().map(|s| plate.sensors[s].place.1).fold(0.0, f64::max).hypot(reference_u)
    };
    let unread: Vec<usize> = (0..sensors).filter(|s| *s != reference && !has_readings(*s)).collect();
    let unread_place_u = unread.iter().map(|s| plate.sensors[*s].place.1.hypot(reference_u)).collect();
    // With reversed leads the edges are not where the rotor's measures say; the strobe alone counts.
    let measured = plate.segment.filter(|_| !plate.any_reversed());
    let known = |value: (f64, f64)| (value.1 > 0.0).then_some(value);
    let priors = Priors {
        lead: measured.and_then(|s| known(s.lead)).map(|(lead, u)| (lead, u.hypot(reference_u))),
        arc: measured.and_then(|s| s.arc()).and_then(known),
        speeds: (machine.engine.kicking_speed.si, machine.engine.top_speed.si),
        place_u,
    };
    let family = |shape: Shape| Family {
        shape,
        places: plate.sensors.iter().map(|s| s.place.0).collect(),
        free: free.clone(),
        pickups: plate.sensors.iter().map(|s| s.pickup.filter(|_| !s.reversed)).collect(),
    };
    let fits: Vec<LawFit> = shapes(plate.segment.is_some(), &readings)
        .into_iter()
        .filter_map(|shape| fit_law(&family(shape), &readings, &priors).ok())
        .filter(|fit| fit.misfit.is_finite())
        .map(|mut fit| {
            fit.add_common_error(&lamp);
            fit
        })
        .collect();
    let shares = akaike_shares(&fits);
    Fits { fits, shares, unread, unread_place_u }
}

fn shapes(has_segment: bool, readings: &[AdvanceReading]) -> Vec<Shape> {
    let mut shapes = if has_segment { vec![Shape::Ramp, Shape::TwoEdge] } else { Vec::new() };
    shapes.extend([Shape::BobWeights, Shape::Fixed]);
    let moving = |trend| readings.iter().any(|r| r.trend == trend);
    if moving(Trend::Rising) && moving(Trend::Falling) {
        shapes.push(Shape::StickingWeights);
    }
    let mut speeds: Vec<f64> = readings.iter().map(|r| r.speed_rad_s).collect();
    speeds.sort_by(f64::total_cmp);
    let sizes = if readings.len() >= MANY_READINGS { vec![FEW_POINTS, MANY_POINTS] } else { vec![FEW_POINTS] };
    for points in sizes {
        // Points where the readings are: at even shares of them, ends included.
        let mut at: Vec<f64> =
            (0..points).filter_map(|i| speeds.get(i * speeds.len().saturating_sub(1) / (points - 1)).copied()).collect();
        at.dedup_by(|a, b| *a <= *b * (1.0 + NEAR));
        if at.len() == points {
            shapes.push(Shape::Table(at));
        }
    }
    shapes
}

/// Points of a table nearer than this share of their speed are one [1]: within a rev counter's own error (own choice).
const NEAR: f64 = 0.02;

/// Half-width of the 95 % interval in standard deviations: 2 with honest stated ± (JCGM 100:2008, 6.2), Student's where
/// the scatter itself had to widen them.
pub(super) fn coverage(fit: &LawFit) -> f64 {
    if fit.misfit > 1.0 { student_95(fit.freedom()).max(2.0) } else { 2.0 }
}

/// Which kind a shape is.
pub(super) fn kind(shape: &Shape) -> LawKind {
    match shape {
        Shape::Ramp => LawKind::Ramp,
        Shape::TwoEdge => LawKind::TwoEdge,
        Shape::BobWeights | Shape::StickingWeights => LawKind::BobWeights,
        Shape::Fixed => LawKind::Fixed,
        Shape::Table(_) => LawKind::Table,
    }
}

/// The fitted parameters of one sensor's curve.
pub(super) fn parameters(fit: &LawFit, sensor: usize) -> Vec<Parameter> {
    use ParameterName as Name;
    let names: Vec<Name> = match &fit.family.shape {
        Shape::Ramp | Shape::TwoEdge => vec![Name::Lead, Name::Arc, Name::StartSpeed, Name::FullSpeed],
        // The friction itself is a share that says little; what it does to the spark is added below.
        Shape::BobWeights | Shape::StickingWeights => {
            vec![Name::GreatestAdvance, Name::Range, Name::StartSpeed, Name::FullSpeed]
        }
        Shape::Fixed => vec![Name::Advance],
        Shape::Table(speeds) => speeds.iter().map(|n| Name::TableAdvance { at_rad_s: *n }).collect(),
    };
    let deviations = fit.spread().deviations();
    let wide = coverage(fit);
    let finding = |i: usize| Finding { si: fit.parameters[i], plus_minus_si: wide * deviations[i] };
    let mut all: Vec<Parameter> = names.into_iter().enumerate().map(|(i, name)| Parameter { name, value: finding(i) }).collect();
    if let Some((si, u)) = fit.hysteresis_rad() {
        all.push(Parameter { name: Name::Hysteresis, value: Finding { si, plus_minus_si: wide * u } });
    }
    if let Some(i) = fit.family.place_parameter(sensor) {
        all.push(Parameter { name: Name::Place, value: finding(i) });
    }
    all
}
