//! A law given in the machine file, with the doubt of each number in it.

use super::doubt::Origin;
use super::plate::{Plate, SegmentMeasured, Sensor};
use super::strobe::advance_of;
use super::types::LawKind;
use crate::machine::{BobWeightData, LawData};
use physics::crank::SliderCrank;
use physics::fit::Spread;
use physics::law::{BobWeights, Law, Mechanism, Ramp, Segment, Spring, Table, TwoEdge};
use quantity::{CrankAngle, DriveRatio, Reading};

/// How to build each cylinder's law from a vector of numbers: those of the law, then the places of all sensors.
#[derive(Clone, Debug)]
pub(super) struct Given {
    formula: Formula,
    numbers: usize,
    sensors: Vec<Sensor>,
}

#[derive(Clone, Debug)]
enum Formula {
    /// Numbers: start, full, lead, length of the segment, rim diameter.
    Ramp(SegmentMeasured),
    /// As for the ramp.
    TwoEdge(SegmentMeasured),
    /// Numbers: speed and advance of each point in turn.
    Table,
    /// Numbers: the advance.
    Fixed,
    /// Numbers: see [`weights_of`].
    BobWeights { drive: DriveRatio, second: bool },
}

fn pair(r: &Reading) -> (f64, f64) {
    (r.si, r.standard_uncertainty_si())
}

impl Given {
    /// The recipe and the spread of its numbers. `None` where the file holds no such law: no segment under a module's law,
    /// a piston travel that the engine has not.
    pub fn of(law: &LawData, plate: &Plate, crank: &SliderCrank) -> Option<(Self, Spread)> {
        let on_segment = |start: &Reading, full: &Reading| {
            let s = plate.segment?;
            Some((s, vec![pair(start), pair(full), s.lead, s.length, s.diameter]))
        };
        let (formula, mut values) = match law {
            LawData::Ramp { start, full } => on_segment(start, full).map(|(s, v)| (Formula::Ramp(s), v))?,
            LawData::TwoEdge { start, full } => on_segment(start, full).map(|(s, v)| (Formula::TwoEdge(s), v))?,
            LawData::Table(points) => {
                let mut v = Vec::with_capacity(2 * points.len());
                for (speed, advance) in points {
                    v.extend([pair(speed), advance_of(advance, crank)?]);
                }
                (Formula::Table, v)
            }
            LawData::Fixed(advance) => (Formula::Fixed, vec![advance_of(advance, crank)?]),
            LawData::BobWeights(data) => {
                let second = data.second_rate.is_some() && data.second_gap.is_some();
                (Formula::BobWeights { drive: data.drive, second }, weights_of(data, crank)?)
            }
        };
        let numbers = values.len();
        values.extend(plate.sensors.iter().map(|s| s.place));
        let sensors = plate.sensors.clone();
        Some((Self { formula, numbers, sensors }, Spread::independent(&values)))
    }

    /// What the numbers of the law stand for, without the sensors' places.
    pub fn origins(&self) -> Vec<Origin> {
        let on_segment = matches!(self.formula, Formula::Ramp(_) | Formula::TwoEdge(_));
        // Start and full speed belong to the module.
        (0..self.numbers).map(|i| if on_segment && i >= 2 { Origin::Segment } else { Origin::Law }).collect()
    }

    pub fn kind(&self) -> LawKind {
        match self.formula {
            Formula::Ramp(_) => LawKind::Ramp,
            Formula::TwoEdge(_) => LawKind::TwoEdge,
            Formula::Table => LawKind::Table,
            Formula::Fixed => LawKind::Fixed,
            Formula::BobWeights { .. } => LawKind::BobWeights,
        }
    }

    /// The law of the cylinders on one sensor, from a vector of numbers; `None` where they make no law.
    pub fn law(&self, v: &[f64], sensor: usize) -> Option<Law> {
        let angle = CrankAngle::from_radians;
        let own = self.sensors.get(sensor)?;
        let place = angle(*v.get(self.numbers + sensor)?);
        let on_segment = |measured: &SegmentMeasured, law: &dyn Fn(Segment) -> Option<Law>| {
            let right = Segment::new(angle(v[2]), angle(measured.arc_rad(v[3], v[4])?)).ok()?;
            let law = law(right)?;
            Some(if own.reversed { on(law, right.reversed(measured.drive).ok()?) } else { law })
        };
        let law = match &self.formula {
            // Start and full speed are those of the module with its leads right; only then are the leads changed over.
            Formula::Ramp(m) => on_segment(m, &|s| Ramp::from_speeds(s, v[0], v[1]).ok().map(Law::Ramp))?,
            Formula::TwoEdge(m) => on_segment(m, &|s| TwoEdge::from_speeds(s, v[0], v[1]).ok().map(Law::TwoEdge))?,
            Formula::Table => {
                let points: Vec<_> = v[..self.numbers].chunks_exact(2).map(|p| (p[0], angle(p[1]))).collect();
                Law::Table(Table::new(&points).ok()?)
            }
            Formula::Fixed => Law::Fixed(angle(v[0])),
            Formula::BobWeights { drive, second } => {
                Law::BobWeights(BobWeights::new(mechanism(&v[..self.numbers], *drive, *second)).ok()?)
            }
        };
        let placed = law.shifted(place);
        Some(match own.pickup {
            Some(pickup) if placed.segment().is_some() => placed.sensed_by(pickup),
            _ => placed,
        })
    }
}

fn on(law: Law, segment: Segment) -> Law {
    match law {
        Law::Ramp(ramp) => Law::Ramp(ramp.on(segment)),
        Law::TwoEdge(edges) => Law::TwoEdge(edges.on(segment)),
        other => other,
    }
}

/// The numbers of a bob-weight mechanism, in the order in which [`mechanism`] takes them.
fn weights_of(data: &BobWeightData, crank: &SliderCrank) -> Option<Vec<(f64, f64)>> {
    let mut v = vec![advance_of(&data.static_advance, crank)?];
    let plain = [
        &data.range,
        &data.mass,
        &data.pivot_radius,
        &data.arm,
        &data.rest_angle,
        &data.cam_per_swing,
        &data.spring_arm,
        &data.first_rate,
        &data.first_preload,
        &data.friction,
    ];
    v.extend(plain.into_iter().map(pair));
    if let (Some(rate), Some(gap)) = (&data.second_rate, &data.second_gap) {
        v.extend([pair(rate), pair(gap)]);
    }
    Some(v)
}

fn mechanism(v: &[f64], drive: DriveRatio, second: bool) -> Mechanism {
    Mechanism {
        drive,
        static_advance: CrankAngle::from_radians(v[0]),
        range: CrankAngle::from_radians(v[1]),
        mass_kg: v[2],
        pivot_radius_m: v[3],
        arm_m: v[4],
        rest_angle_rad: v[5],
        cam_per_swing: v[6],
        spring_arm_m: v[7],
        first: Spring { rate_n_m: v[8], preload_n: v[9], gap_m: 0.0 },
        second: second.then(|| Spring { rate_n_m: v[11], preload_n: 0.0, gap_m: v[12] }),
        friction_nm: v[10],
    }
}
