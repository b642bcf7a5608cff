//! The pickup's own pulses.

use super::{MarkFound, firings::middle};
use crate::{machine::Machine, study::Finding};
use physics::recording::{Mark, MarkKind};
use std::f64::consts::{PI, TAU};

/// What the pulses show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PulsesFound {
    /// The first pulse of a turn points upward.
    pub first_up: bool,
    /// Peak of the first and of the second pulse per crank speed [unit of the samples·s/rad], each with the scatter from turn to turn; `None`
    /// where the channel is clipped.
    pub peak_per_speed: Option<(Finding, Finding)>,
    /// Whether that is volts.
    pub volts: bool,
    /// By how much the peak grows more slowly than speed from the slowest to the fastest turns \[1\]: 0 where it is in proportion.
    pub lags: Option<f64>,
    /// Width of the first pulse at half height along the rim [m]; `None` without a rim.
    pub width: Option<Finding>,
    /// The gap [m] for which a sharp pole gives that width: no gap is wider.
    pub gap_at_most: Option<Finding>,
}

/// Width at half height of 1/cosh²(x/w), in w \[1\], exactly 2 arcosh √2.
const WIDTH_OF_PULSE: f64 = 1.762_747_174_039_086;
/// Turns that are needed [1] (own choice).
const LEAST: usize = 8;

pub(super) fn found(
    marks: &[Mark],
    kind: MarkKind,
    mark: MarkFound,
    machine: &Machine,
    drive: f64,
    clipped: bool,
    volts: Option<f64>,
) -> Option<PulsesFound> {
    let MarkKind::Pair { leading_up, .. } = kind else { return None };
    let MarkFound::Segment { .. } = mark else { return None };
    let turns: Vec<(f64, &Mark)> = marks
        .windows(3)
        .filter(|w| w[1].turns == 1 && w[2].turns == 1)
        .map(|w| (2.0 * TAU / drive / (w[2].at_s - w[0].at_s), &w[1]))
        .collect();
    if turns.len() < LEAST {
        return None;
    }
    let scale = volts.unwrap_or(1.0);
    let spread = |values: Vec<f64>| {
        let si = middle(values.clone())?;
        let off = middle(values.iter().map(|v| (v - si).abs()).collect())?;
        Some(Finding { si, plus_minus_si: 2.0 * super::firings::MAD_TO_DEVIATION * off })
    };
    let per_speed = |of: fn(&Mark) -> f32| spread(turns.iter().map(|(w, m)| scale * f64::from(of(m).abs()) / w).collect());
    let mut by_speed = turns.clone();
    by_speed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let fifth = by_speed.len().div_ceil(5);
    let mean = |part: &[(f64, &Mark)]| part.iter().map(|(w, m)| f64::from(m.peaks.0.abs()) / w).sum::<f64>() / part.len() as f64;
    let (slow, fast) = (mean(&by_speed[..fifth]), mean(&by_speed[by_speed.len() - fifth..]));
    let radius = machine.trigger.as_ref().map(|t| 0.5 * t.rim_diameter.si);
    let width = radius.and_then(|r| spread(turns.iter().map(|(w, m)| f64::from(m.width_s) * w * drive * r).collect()));
    let gap = |f: Finding| {
        // Width scale of the flux step w = 2 g/π, see `physics::law::Pickup`.
        let by = 0.5 * PI / WIDTH_OF_PULSE;
        Finding { si: by * f.si, plus_minus_si: by * f.plus_minus_si }
    };
    Some(PulsesFound {
        first_up: leading_up,
        peak_per_speed: if clipped { None } else { per_speed(|m| m.peaks.0).zip(per_speed(|m| m.peaks.1)) },
        volts: volts.is_some(),
        lags: (!clipped && slow > 0.0).then(|| 1.0 - fast / slow),
        width,
        gap_at_most: width.map(gap),
    })
}
