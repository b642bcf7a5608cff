//! Which input the doubt comes from, as JSON.

use super::{Number, number};
use serde::Serialize;
use workshop::study::{
    curve::Origin,
    sensitivity::{self, Input, InputShare},
    unknowns::Unknown,
};

/// Inputs, the weightiest first.
#[derive(Debug, Serialize)]
pub struct Sensitivity {
    /// Points of the two samples that were compared.
    points: usize,
    inputs: Vec<Share>,
}

/// `hang` is of the doubt whether it hangs, `null` where nearly all cases agree; `spare` of the doubt how far from hanging it is.
#[derive(Debug, Serialize)]
struct Share {
    input: &'static str,
    hang: Option<Indices>,
    spare: Indices,
}

/// Sobol indices.
#[derive(Debug, Serialize)]
struct Indices {
    first_share: Number,
    total_share: Number,
}

impl Sensitivity {
    /// From the study.
    pub fn of(found: &sensitivity::Sensitivity) -> Self {
        Self { points: found.points, inputs: found.inputs.iter().map(share).collect() }
    }
}

fn share(s: &InputShare) -> Share {
    let indices = |s: sensitivity::Shares| Indices { first_share: number(s.first, |x| x), total_share: number(s.total, |x| x) };
    Share { input: code(s.input), hang: s.hang.map(indices), spare: indices(s.spare) }
}

fn code(input: Input) -> &'static str {
    match input {
        Input::Of(Unknown::IdleSpeed) => "idle_speed",
        Input::Of(Unknown::BurnFactor) => "burn_factor",
        Input::Of(Unknown::FrictionFactor) => "friction_factor",
        Input::Of(Unknown::FrictionSlope) => "friction_slope",
        Input::Of(Unknown::RunnerVolume) => "runner_volume",
        Input::Of(Unknown::Overlap) => "overlap",
        Input::Calibrated => "calibrated",
        Input::Curve(Origin::Readings) => "strobe_readings",
        Input::Curve(Origin::Law) => "law",
        Input::Curve(Origin::Segment) => "segment",
        Input::Curve(Origin::Places) => "pickup_places",
        Input::Cut => "cut",
    }
}
